"""The process that searches for shorter cut plans, one at a time, while the shop goes on."""

import logging
import os
import threading
import time
from collections.abc import Sequence
from concurrent.futures import CancelledError
from concurrent.futures.process import BrokenProcessPool

from sqlalchemy import Engine

from app.canvas import searched
from app.ground.acting import now
from app.ground.children import Child, end_with_parent
from app.trade.canvas.laying import ToCut
from app.trade.canvas.lengths import Lengths
from app.trade.canvas.search import Search
from app.trade.canvas.shorter import shorter
from app.trade.canvas.yardage import RollEnd

GRACE = 60  # seconds beyond its own that a search may take
ENDINGS = 50  # tries to end a search that was just begun, a tenth of a second each
LOG = logging.getLogger(__name__)


class Ended(Exception):
    """The searching process ended before its time was over."""


class Searches(Child):
    """One searching process, gentle to everything else on the machine."""

    def __init__(self) -> None:
        super().__init__(gently)

    def find(
        self, stood: Lengths, pieces: Sequence[ToCut], ends: Sequence[RollEnd], search: Search
    ) -> Lengths | None:
        """What a search finds from the lengths that stand, after its seconds; None for nothing sound.

        Raises Ended where its process ends before.
        """
        try:
            asked = self._started().submit(shorter, stood, tuple(pieces), tuple(ends), search, time.monotonic)
            return asked.result(timeout=search.seconds + GRACE)
        except (BrokenProcessPool, CancelledError, TimeoutError) as ended:
            self.close()
            raise Ended from ended


class Seeker:
    """Works off the searches that the book holds, one at a time, in a thread that waits on their process."""

    def __init__(self, book: Engine) -> None:
        self._book = book
        self._searches = Searches()
        self._asked, self._over = threading.Event(), threading.Event()
        self._thread: threading.Thread | None = None

    def resume(self) -> None:
        """At the program's start: give up what was running when it was stopped, go on with what waited."""
        searched.give_up(self._book, now())
        if searched.waiting(self._book):
            self.wake()

    def wake(self) -> None:
        """A search was asked for."""
        self._asked.set()
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="cut searches", daemon=True)
            self._thread.start()

    def close(self) -> None:
        """End the process in the middle of a search if need be; the next start gives that one up."""
        self._over.set()
        self._asked.set()
        for _ in range(ENDINGS):
            self._searches.close()  # again: one may have begun in between
            if self._thread is None or not self._thread.is_alive():
                return
            self._thread.join(timeout=0.1)

    def _work(self) -> None:
        while not self._over.is_set():
            self._asked.wait()
            self._asked.clear()
            while not self._over.is_set() and self.one():
                pass

    def one(self) -> bool:
        """Run the search that has waited longest; whether there was one."""
        begun = searched.begin(self._book, now())
        if begun is None:
            return False
        stood, search = begun.stood, Search(begun.seconds, seed=begun.key)
        try:
            found = self._searches.find(stood.laid, stood.pieces, stood.roll.ends, search)
            searched.end(self._book, begun, now(), found)
        except Exception:
            if not self._over.is_set():
                LOG.exception("search %s for a cut plan ended", begun.key)
                searched.give_up(self._book, now(), begun.key)
        return True


def gently() -> None:
    """Let everything else on the machine go before a search, and leave no search behind a killed program."""
    os.nice(10)
    end_with_parent()

"""Papers in the making: printed one after the other beside the requests, which wait a moment at most."""

import logging
from collections import OrderedDict
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from concurrent.futures import TimeoutError as StillBusy
from dataclasses import dataclass, field
from threading import Lock

from sqlalchemy.exc import OperationalError

from app.ground.acting import Act, new_key
from app.ground.papers import Paper, Printer
from app.ground.press import NotPrinted
from app.trade.problems import Refused

MOMENT = 1.0  # seconds that a request waits for its paper before it shows a page of progress
REMEMBERED = 200  # papers whose progress can still be looked at
log = logging.getLogger("castlenut")


class Coming(Exception):
    """A paper takes longer than a moment; carries the key of the page that shows its progress."""

    def __init__(self, key: str) -> None:
        self.key = key
        super().__init__(f"paper {key} is in the making")


@dataclass(frozen=True)
class Asked:
    """A paper that was asked for. `key`: of its page of progress. `made`: the document's key, in time."""

    act: Act
    paper: Paper
    made: Future[int]
    key: str = field(default_factory=new_key)

    @property
    def waits(self) -> bool:
        """Whether it is still to come."""
        return not self.made.done()

    @property
    def failed(self) -> bool:
        """Whether it was given up."""
        return self.made.done() and (self.made.cancelled() or self.made.exception() is not None)

    @property
    def document(self) -> int | None:
        """Key of the document, or None where there is none yet or never will be."""
        return None if self.waits or self.failed else self.made.result()

    @property
    def says(self) -> str:
        """Why it failed, in words; empty where it did not."""
        if not self.failed:
            return ""
        wrong = None if self.made.cancelled() else self.made.exception()
        return str(wrong) if isinstance(wrong, NotPrinted) else "the program met an error or was stopped"


class Prints:
    """The papers of one running program that are being made, or were a short while ago.

    What is asked for is kept in memory alone: after a restart a paper is asked for again, from the book.
    """

    def __init__(self, moment: float = MOMENT) -> None:
        self.moment = moment
        self._queue = ThreadPoolExecutor(1, "papers")
        self._asked: OrderedDict[str, Asked] = OrderedDict()
        self._lock = Lock()

    def ask(self, printer: Printer, act: Act, paper: Paper) -> Asked:
        """The paper of an act, put in the queue; the same act while it waits or is made joins the first."""
        with self._lock:
            before = self._of_act(act)
            if before is not None and not before.failed:
                return before
            asked = Asked(act, paper, self._queue.submit(printer.issue, act, paper))
            self._asked[asked.key] = asked
            while len(self._asked) > REMEMBERED:
                self._asked.popitem(last=False)
            return asked

    def make_ready(self, printer: Printer, act: Act, expected: Callable[[], Iterable[Paper]]) -> None:
        """Have papers made ready that are expected, each in its turn; what fails is only logged."""

        def begin() -> None:
            for paper in expected():
                self._queue.submit(_logged, printer.make_ready, act, paper)

        self._queue.submit(_logged, begin)

    def _of_act(self, act: Act) -> Asked | None:
        same = (act.submission, act.sent)
        found = (one for one in reversed(self._asked.values()) if (one.act.submission, one.act.sent) == same)
        return next(found, None)

    def waiting(self) -> frozenset[str]:
        """The acts whose papers are still to come.

        A page that says "in the making" asks this before it reads the book: a paper that is done in between
        is then told as in the making once more, never as missing.
        """
        with self._lock:
            return frozenset(one.act.submission for one in self._asked.values() if one.waits)

    def of(self, key: str) -> Asked | None:
        """What was asked for under the key of its page of progress."""
        return self._asked.get(key)

    def result(self, asked: Asked) -> int:
        """The document's key, within a moment.

        Raises Coming where it takes longer, NotPrinted or Refused where it was given up.
        """
        try:
            return asked.made.result(timeout=self.moment)
        except StillBusy:
            raise Coming(asked.key) from None
        except (NotPrinted, Refused, OperationalError):  # a book that cannot be written is told as such
            raise
        except Exception as wrong:
            log.exception("a paper was not printed: %s %s", asked.paper.kind, asked.paper.number)
            raise NotPrinted("the program met an error") from wrong

    def close(self) -> None:
        """Let go of what waits; the press ends what is being made."""
        self._queue.shutdown(wait=False, cancel_futures=True)


def _logged(make: Callable[..., None], *of: object) -> None:
    try:
        make(*of)
    except Exception:
        log.exception("a paper was not made ready")


@dataclass(frozen=True)
class Desk:
    """Where screens have papers printed: beside the request, which gets the key or goes to the progress."""

    printer: Printer
    prints: Prints

    @property
    def address(self) -> str:
        """Under which the shop's tablets look papers up; empty where there is none."""
        return self.printer.address

    def issue(self, act: Act, paper: Paper) -> int:
        """Key of the document; the same act again gives the same one.

        Raises Coming where it takes longer than a moment, NotPrinted where it cannot be made.
        """
        return self.prints.result(self.ask(act, paper))

    def ask(self, act: Act, paper: Paper) -> Asked:
        """Have a paper made, without waiting for it."""
        return self.prints.ask(self.printer, act, paper)

    def make_ready(self, act: Act, expected: Callable[[], Iterable[Paper]]) -> None:
        """Have papers made ready that are expected; nobody waits for them."""
        self.prints.make_ready(self.printer, act, expected)

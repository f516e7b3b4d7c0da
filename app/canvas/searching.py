"""Searches for a shorter cut plan, in a process of their own: the shop goes on while one runs."""

import multiprocessing
import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool

from app.trade.canvas.laying import CutPlan, Strip, ToCut
from app.trade.canvas.search import Search, searched_plan

GRACE = 120  # seconds beyond its own that a search may take, with others before it in the queue


class Searches:
    """One searching process, started when it is first needed, gentle to everything else on the machine."""

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None

    def find(self, strip: Strip, pieces: Sequence[ToCut], search: Search) -> CutPlan | None:
        """The plan that a search finds; None where it finds no sound one, or its process ends before.

        Takes the search's seconds, and those of the searches before it.
        """
        try:
            asked = self._started().submit(searched_plan, strip, tuple(pieces), search)
            return asked.result(timeout=search.seconds + GRACE)
        except (BrokenProcessPool, TimeoutError):
            self.close()
            return None

    def _started(self) -> ProcessPoolExecutor:
        if self._pool is None:
            context = multiprocessing.get_context("spawn")
            self._pool = ProcessPoolExecutor(1, mp_context=context, initializer=gently)
        return self._pool

    def close(self) -> None:
        """End the process, in the middle of a search if need be."""
        pool, self._pool = self._pool, None
        if pool is None:
            return
        for process in list((pool._processes or {}).values()):
            process.kill()
        pool.shutdown(wait=True, cancel_futures=True)


def gently() -> None:
    """Let everything else on the machine go before a search."""
    os.nice(10)

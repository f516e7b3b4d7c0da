"""Cut plans against published lengths, run by hand: `python -m tests.bench.nesting --seconds 60 fu albano`.

Nothing here is a test: the search reads a clock, so a busy machine finds longer plans. The seconds of
processor that it really got stand in the table; 60 seconds on two free cores are 120 of them.
"""

import argparse
import os
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, unsound
from app.trade.canvas.least import at_least
from app.trade.canvas.search import Search, searched_plan
from tests.trade.canvas.published import NAMES, Instance, instance

HEAD = (
    f"{'instance':10} {'pieces':>6} {'published':>10} {'at least':>10} {'first plan':>18} {'s':>5} "
    f"{'search':>18} {'wall s':>8} {'cpu s':>10}"
)


@dataclass(frozen=True)
class Taken:
    """A plan, and the seconds that it took: on the wall and of processor."""

    plan: CutPlan | None
    wall: float
    processor: float


def main() -> None:
    """One line an instance, as soon as it is there."""
    asked = _asked()
    say(HEAD)
    for name in asked.names or NAMES:
        known = instance(name)
        search = Search(asked.seconds, asked.seed)
        first = taken(partial(first_plan, known.strip, known.pieces))
        found = taken(partial(searched_plan, known.strip, known.pieces, search, time.monotonic))
        say(row(known, first, found))


def _asked() -> argparse.Namespace:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("names", nargs="*", help=f"any of {', '.join(NAMES)}; all without")
    reader.add_argument("--seconds", type=int, default=60)
    reader.add_argument("--seed", type=int, default=1)
    return reader.parse_args()


def taken(make: Callable[[], CutPlan | None]) -> Taken:
    """A plan with the seconds that it took."""
    wall, processor = time.perf_counter(), sum(os.times()[:2])
    plan = make()
    return Taken(plan, time.perf_counter() - wall, sum(os.times()[:2]) - processor)


def row(known: Instance, first: Taken, found: Taken) -> str:
    """One line of the table; a plan that is not sound is told as such."""
    return (
        f"{known.name:10} {known.count:6} {known.best:10} {at_least(known.strip, known.pieces).value:10.2f} "
        f"{said(known, first.plan):>18} {first.wall:5.1f} {said(known, found.plan):>18} "
        f"{found.wall:8.1f} {found.processor:10.1f}"
    )


def said(known: Instance, plan: CutPlan | None) -> str:
    """A plan's length and how far it is over the published one."""
    if plan is None or unsound(plan, known.pieces):
        return "not sound"
    return f"{plan.length:.2f} {known.over(plan.length):+.1f} %"


def say(text: str) -> None:
    """A line on the way out."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()

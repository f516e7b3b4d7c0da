"""The season: how much work fits into the working days from a start on, less in the shop's busy months.

Work is counted in full days, those that no other work takes people from. A working day of a busy month does
only its share of one.
"""

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate, chain, count, islice

from app.trade.intervals import Calendar

REACH = 500  # working days that are looked at, about two years; beyond, days are full again


@dataclass(frozen=True)
class Season:
    """Full days of work that are done by the end of each working day after the start; none: all are full.

    Its values rise with every day.
    """

    done: tuple[float, ...] = ()

    def after(self, begun: float, work: float) -> float:
        """Working days from the start until `work` full days are done that were begun `begun` days in."""
        if not self.done:
            return begun + work
        return self._day(self._by(begun) + work)

    def _by(self, days: float) -> float:
        whole = min(int(days), len(self.done) - 1)
        return self.done[whole] + (days - whole) * self._share(whole)

    def _day(self, work: float) -> float:
        ended = max(bisect_left(self.done, work) - 1, 0)
        return ended + (work - self.done[ended]) / self._share(ended)

    def _share(self, ended: int) -> float:
        """What of a full day the working day does that follows `ended` ones."""
        if ended + 1 >= len(self.done):
            return 1.0
        return self.done[ended + 1] - self.done[ended]


def season(start: date, calendar: Calendar, busy_months: frozenset[int], busy_share: float) -> Season:
    """The season from the day after `start`. `busy_share`: over 0 to 1, of each day of a busy month."""
    if not busy_months or busy_share == 1:
        return Season()
    shares = (busy_share if day.month in busy_months else 1.0 for day in _worked(start, calendar))
    return Season(tuple(accumulate(chain((0.0,), shares))))


def _worked(start: date, calendar: Calendar) -> Iterator[date]:
    days = (start + timedelta(days=at) for at in count(1))
    return islice(filter(calendar.works, days), REACH)

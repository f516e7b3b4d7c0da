"""Stages of work whose length is not known for sure: shortest, likely, longest; and what they come to.

A stage is a triangle between its shortest and longest days with its top at the likely ones. Several stages
are drawn many times with a fixed seed and put together as the shop would live them.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from random import Random

from app.trade.problems import Impossible, Problem
from app.trade.vectors import rounded

DRAWS = 20_000
MUCH_LONGER = 5  # times the likely days; common practice


@dataclass(frozen=True)
class Stage:
    """One stage in working days: shortest, likely and longest, 0 or more and in that order.

    Raises Impossible otherwise.
    """

    name: str
    shortest: Decimal
    likely: Decimal
    longest: Decimal

    def __post_init__(self) -> None:
        if not 0 <= self.shortest <= self.likely <= self.longest:
            raise Impossible(
                f"These are no days for: {self.name}", "shortest, likely, longest, such as 3, 4, 7"
            )

    @property
    def mean(self) -> Decimal:
        """Mean of the triangle: (shortest + likely + longest) / 3."""
        return (self.shortest + self.likely + self.longest) / 3

    @property
    def problems(self) -> tuple[Problem, ...]:
        """A longest time far from the likely one is asked about."""
        if self.longest <= MUCH_LONGER * self.likely:
            return ()
        says = f"{self.name}: {self.longest} days at the longest, {self.likely} likely"
        return (Problem(self.name, says, "usually up to five times the likely days", ask=True),)

    def within(self, share: Decimal) -> Decimal:
        """Days within which that share (0 to 1) of such stages ends. Source: triangular distribution."""
        low, top, high = (float(it) for it in (self.shortest, self.likely, self.longest))
        return rounded(_quantile(low, top, high, float(share)))


def _quantile(low: float, top: float, high: float, share: float) -> float:
    if high == low:
        return low
    if share < (top - low) / (high - low):
        return low + math.sqrt(share * (high - low) * (top - low))
    return high - math.sqrt((1 - share) * (high - low) * (high - top))


def fixed(name: str, days: Decimal) -> Stage:
    """A stage whose length is known."""
    return Stage(name, days, days, days)


Whole = Callable[[Sequence[float]], float]


def drawn(stages: Sequence[Stage], whole: Whole, seed: int = 1) -> tuple[float, ...]:
    """Lengths of the whole work, in working days and sorted, from 20,000 draws of its stages.

    `whole`: puts one draw of all stages together, such as `sum`. The same seed draws the same.
    """
    dice = Random(seed)  # noqa: S311 - draws days of work, keeps no secret
    triangles = [(float(it.shortest), float(it.likely), float(it.longest)) for it in stages]
    return tuple(sorted(whole([_quantile(*it, dice.random()) for it in triangles]) for _ in range(DRAWS)))


def share_of(lengths: Sequence[float], share: float) -> Decimal:
    """The length within which that share (over 0 to 1) of sorted draws ends."""
    return rounded(lengths[math.ceil(share * len(lengths)) - 1])

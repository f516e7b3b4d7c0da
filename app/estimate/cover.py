"""Whether a yes still covers a work: what rose or went after the owner agreed, the margin, the limit."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.trade.money import Money, Tolerance, tolerance

GONE = "It was taken off the estimate after the owner agreed to it"


@dataclass(frozen=True)
class Yes:
    """A work agreed to: its price then and now, in minor units before tax; None where it was taken off."""

    work_id: int
    agreed: int
    now: int | None

    @property
    def rise(self) -> int:
        """What it costs above the amount agreed; 0 where it does not."""
        return max((self.now or 0) - self.agreed, 0)


@dataclass(frozen=True)
class Bounds:
    """How far the shop may go without asking: its margin by local law, and the most that the owner named."""

    margin: Tolerance
    limit: int | None = None


def lapses(said: Sequence[Yes], bounds: Bounds) -> dict[int, str]:
    """Why a yes no longer covers a work, in a sentence without its full stop; covered works are left out.

    What rose is added up and what fell is not set against it, so that one work never pays for another. Where
    the sum passes the margin or the owner's limit, everything that rose is asked anew.
    """
    gone = {it.work_id: GONE for it in said if it.now is None}
    stays = [it for it in said if it.now is not None]
    why = _passed(stays, bounds)
    return gone | {it.work_id: f"It rose by {Money(it.rise)}{why}" for it in stays if it.rise and why}


def _passed(stays: Sequence[Yes], bounds: Bounds) -> str:
    """Which bound is passed, and by what; empty where none is."""
    now, rose = sum(it.now or 0 for it in stays), Money(sum(it.rise for it in stays))
    if bounds.limit is not None and now > bounds.limit:
        return f"; the work comes to {Money(now)}, and the owner said at most {Money(bounds.limit)}"
    allowed = tolerance(Money(sum(it.agreed for it in stays)), bounds.margin).value
    return f"; all that rose is {rose}, and {allowed} is the most without asking" if rose > allowed else ""

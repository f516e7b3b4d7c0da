"""Plan of a trailer's tongue and one axle with both tapes: seen from above, front at the left.

The axle is drawn turned the way the tapes say, far more than it is; nothing here is to scale.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.trade.drawings import Point, path
from app.trade.problems import Impossible
from app.trade.quantity import read_number

COUPLER = Point(Decimal(40), Decimal(120))
AXLE_X = Decimal(600)
RIGHT_Y, LEFT_Y = Decimal(30), Decimal(210)
MOST_TURN = Decimal(24)  # how far an end moves on the drawing at most
PER_INCH = Decimal(96)  # drawn inches of turn for one inch between the tapes


@dataclass(frozen=True)
class Plan:
    """Coupler, both spindle ends, both tapes as lines, and what each end farther back is called."""

    coupler: Point
    left: Point
    right: Point
    left_tape: str
    right_tape: str
    axle: str
    back: str


def tapes_drawn(typed: Mapping[str, str]) -> Plan:
    """The plan of an axle; square where the tapes are not read."""
    apart = _apart(typed)
    turn = max(-MOST_TURN, min(MOST_TURN, apart * PER_INCH)) / 2
    left, right = Point(AXLE_X + turn, LEFT_Y), Point(AXLE_X - turn, RIGHT_Y)
    back = "" if not apart else "left end farther back" if apart > 0 else "right end farther back"
    return Plan(
        coupler=COUPLER,
        left=left,
        right=right,
        left_tape=path((COUPLER, left)),
        right_tape=path((COUPLER, right)),
        axle=path((left, right)),
        back=back,
    )


def _apart(typed: Mapping[str, str]) -> Decimal:
    try:
        return read_number(typed.get("tape_left", "")) - read_number(typed.get("tape_right", ""))
    except Impossible:
        return Decimal(0)

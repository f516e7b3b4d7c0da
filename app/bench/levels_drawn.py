"""A coupled trailer from the side with its heights: fenders alone, slack and engaged, frame, ball, chains.

The tilt is drawn larger than it is; nothing here is to scale.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.trade.problems import Impossible
from app.trade.quantity import read_number, with_unit

PASSES = (("alone", "alone"), ("slack", "slack"), ("engaged", "engaged"))  # short: they stand side by side
FENDERS = (("front", 112), ("rear", 262))  # name, and where its wheel stands on the drawing
PER_INCH, MOST_TILT = Decimal("0.8"), Decimal(3)  # drawn degrees for one inch of nose, and their most


@dataclass(frozen=True)
class FenderDrawn:
    """One fender: name, where it stands, and its heights in words, in the order of the work."""

    name: str
    x: int
    heights: tuple[str, ...]


@dataclass(frozen=True)
class Levels:
    """The heights as drawn. `tilt`: degrees with the clock. `nose`: how the trailer stands, in words."""

    fenders: tuple[FenderDrawn, ...]
    tilt: str
    nose: str
    bars: bool


def levels_drawn(typed: Mapping[str, str]) -> Levels:
    """The heights of a set-up; level where the frame is not read."""
    apart = _apart(typed.get("frame_front", ""), typed.get("frame_rear", ""))
    turn = max(-MOST_TILT, min(MOST_TILT, (apart or Decimal(0)) * PER_INCH))
    return Levels(
        fenders=tuple(FenderDrawn(name, x, _heights(typed, name)) for name, x in FENDERS),
        tilt=f"{turn:.2f}",
        nose="" if apart is None else _nose(apart),
        bars=bool(typed.get("links_left") or typed.get("front_engaged")),
    )


def _heights(typed: Mapping[str, str], fender: str) -> tuple[str, ...]:
    read = [(word, typed.get(f"{fender}_{name}", "")) for name, word in PASSES]
    return tuple(f"{word} {with_unit(text, 'in')}" for word, text in read if text)


def _apart(front: str, rear: str) -> Decimal | None:
    """Inches that the front of the frame stands above its rear; None where one is not read."""
    try:
        return read_number(front) - read_number(rear)
    except Impossible:
        return None


def _nose(apart: Decimal) -> str:
    if not apart:
        return "level"
    return f"nose {'up' if apart > 0 else 'down'} {with_unit(f'{abs(apart).normalize():f}', 'in')}"

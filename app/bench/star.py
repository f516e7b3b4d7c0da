"""A wheel from outside with the star in which its nuts are tightened: places as text, no markup."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.trade.drawings import Arrow, Circle, Point, hexagon, nut_places, path, polygon, star_arrows
from app.trade.fasteners import star_sequence


@dataclass(frozen=True)
class NutDrawn:
    """One nut on the drawing: number, place in the order, middle, corners, and what stands at it."""

    nut: int
    turn: int
    at: Point
    corners: str
    reading: str
    now: bool


@dataclass(frozen=True)
class ArrowDrawn:
    """One leg of the star: line and head, and whether both its nuts are done."""

    line: str
    head: str
    done: bool


@dataclass(frozen=True)
class Wheel:
    """A wheel from outside with its star: nuts in the order of their numbers, arrows in that of the work."""

    nuts: tuple[NutDrawn, ...]
    arrows: tuple[ArrowDrawn, ...]
    order: tuple[int, ...]

    @property
    def in_order(self) -> tuple[NutDrawn, ...]:
        """The nuts in tightening order."""
        return tuple(self.nuts[nut - 1] for nut in self.order)


def wheel(studs: int, readings: Mapping[int, str], ring: Circle, leave: Decimal, arrive: Decimal) -> Wheel:
    """A wheel drawn on a ring; `leave` and `arrive` are the gaps between an arrow and its nuts' middles."""
    order = star_sequence(studs).value
    waiting = next((nut for nut in order if nut not in readings), 0)
    size = min(Decimal(68), ring.radius * 4 / studs)
    nuts = tuple(
        NutDrawn(
            nut, order.index(nut) + 1, at, polygon(hexagon(at, size)), readings.get(nut, ""), nut == waiting
        )
        for nut, at in enumerate(nut_places(studs, ring), 1)
    )
    legs = zip(star_arrows(studs, ring, leave, arrive), order[1:], strict=True)
    return Wheel(nuts, tuple(_drawn(leg, done=nut in readings) for leg, nut in legs), order)


def _drawn(arrow: Arrow, *, done: bool) -> ArrowDrawn:
    return ArrowDrawn(path((arrow.start, arrow.end)), polygon(arrow.head), done)

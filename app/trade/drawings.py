"""Places on a drawing of a wheel, for screen and paper alike: plain numbers as text, no markup.

The drawing's y grows downwards and the valve is at the top. Angles: degrees from the valve, against the
clock, seen from outside: x = cx - r sin a, y = cy - r cos a. Nuts count with the clock; nut 1 stands half a
step after the valve, so none hides it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from app.trade.fasteners import star_sequence
from app.trade.problems import Impossible

TENTH = Decimal("0.1")


@dataclass(frozen=True)
class Point:
    """A place on a drawing, in the drawing's own units, to a tenth."""

    x: Decimal
    y: Decimal

    def __str__(self) -> str:
        return f"{self.x},{self.y}"


@dataclass(frozen=True)
class Circle:
    """Middle and radius of a ring of places."""

    x: Decimal
    y: Decimal
    radius: Decimal

    def at(self, angle: Decimal) -> Point:
        """The place on the ring at an angle: degrees from the top, against the clock."""
        turned = math.radians(float(angle))
        return _point(
            float(self.x) - float(self.radius) * math.sin(turned),
            float(self.y) - float(self.radius) * math.cos(turned),
        )


def _point(x: float, y: float) -> Point:
    return Point(_tenth(x), _tenth(y))


def _tenth(number: float) -> Decimal:
    return Decimal(str(number)).quantize(TENTH, rounding="ROUND_HALF_UP") + 0  # no -0.0 on paper


def nut_angle_from_valve(nut: int, studs: int) -> Decimal:
    """Angle of a nut, degrees against the clock from the valve, 0 up to 360: -(n - 1) 360/N - 360/2N.

    `nut`: 1 to `studs`, counted with the clock. Raises Impossible outside.
    """
    if not 1 <= nut <= studs:
        raise Impossible(f"There is no nut {nut}", f"a nut from 1 to {studs}")
    return 360 - Decimal(360) * (2 * nut - 1) / (2 * studs)


def nut_places(studs: int, ring: Circle) -> tuple[Point, ...]:
    """Places of all nuts, nut 1 first, then with the clock."""
    return tuple(ring.at(nut_angle_from_valve(nut, studs)) for nut in range(1, studs + 1))


@dataclass(frozen=True)
class Arrow:
    """A line from one nut's rim to the next one's, with the triangle of its head."""

    start: Point
    end: Point
    head: tuple[Point, Point, Point]


def star_arrows(studs: int, ring: Circle, leave: Decimal, arrive: Decimal) -> tuple[Arrow, ...]:
    """Arrows of the star order, from nut to nut: `leave` off the first middle, `arrive` off the next."""
    nuts = nut_places(studs, ring)
    order = [nuts[nut - 1] for nut in star_sequence(studs).value]
    return tuple(arrow(one, other, leave, arrive) for one, other in pairwise(order))


def arrow(start: Point, end: Point, leave: Decimal, arrive: Decimal, head: Decimal = Decimal(16)) -> Arrow:
    """An arrow between two places, shortened by `leave` and `arrive`; `head` is the length of its head.

    Raises ValueError for one place twice.
    """
    along = complex(float(end.x - start.x), float(end.y - start.y))
    if not along:
        raise ValueError("an arrow needs two places")
    way = along / abs(along)
    tail = complex(float(start.x), float(start.y)) + way * float(leave)
    tip = complex(float(end.x), float(end.y)) - way * float(arrive)
    neck, side = tip - way * float(head), way * 1j * float(head) / 2
    corners = tuple(_point(place.real, place.imag) for place in (tail, neck, tip, neck + side, neck - side))
    return Arrow(corners[0], corners[1], (corners[2], corners[3], corners[4]))


def hexagon(middle: Point, across_corners: Decimal) -> tuple[Point, ...]:
    """The six corners of a nut, one straight up, `across_corners` from corner to corner."""
    ring = Circle(middle.x, middle.y, across_corners / 2)
    return tuple(ring.at(Decimal(60 * corner)) for corner in range(6))


def polygon(points: Sequence[Point]) -> str:
    """The `points` text of a polygon."""
    return " ".join(map(str, points))


def path(points: Sequence[Point]) -> str:
    """The `d` text of an open line through the points."""
    return "M" + "L".join(f"{point.x} {point.y}" for point in points)


def curve(mean: Decimal, high: tuple[Decimal, Decimal], left: Point, size: tuple[Decimal, Decimal]) -> str:
    """The `d` text of one turn of a first harmonic, from the valve round to the valve, in 10 degree steps.

    `high`: amplitude and angle of the high point. `left`: where angle 0 and reading 0 lie. `size`: width of
    the whole turn and height of one unit of reading, which is drawn upwards.
    """
    amplitude, top = high
    width, height = size
    return path(
        [
            _point(
                float(left.x) + float(width) * angle / 360,
                float(left.y)
                - float(height)
                * (float(mean) + float(amplitude) * math.cos(math.radians(angle - float(top)))),
            )
            for angle in range(0, 361, 10)
        ]
    )

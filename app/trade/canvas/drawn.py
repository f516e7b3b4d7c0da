"""Drawing data common to sketch, cut plan and full-size print: places and paths as text, no markup.

A drawing's y grows downwards. Numbers are in the drawing's own unit, to a hundredth.
"""

import cmath
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

import shapely

from app.trade.canvas.outline import Outline
from app.trade.drawings import Point

HUNDREDTH = Decimal("0.01")
NEARLY = 0.75


def kept(number: float) -> Decimal:
    """A number of a drawing, to a hundredth, without a minus before 0."""
    return Decimal(str(number)).quantize(HUNDREDTH, rounding="ROUND_HALF_UP") + 0


def spot(place: complex) -> Point:
    """A place of a drawing, to a hundredth of its unit."""
    return Point(kept(place.real), kept(place.imag))


def line(places: Iterable[complex]) -> str:
    """The `d` text of an open line."""
    return "M" + "L".join(f"{point.x} {point.y}" for point in map(spot, places))


def closed(places: Iterable[complex]) -> str:
    """The `d` text of a closed line."""
    return f"{line(places)}Z"


def lines(several: Iterable[Sequence[complex]]) -> str:
    """The `d` text of several open lines."""
    return "".join(map(line, several))


@dataclass(frozen=True)
class Frame:
    """How cloth comes onto a drawing: drawing units by millimetre, and where the cloth's 0 lies."""

    scale: float
    origin: complex

    def at(self, place: complex) -> complex:
        """A place of the cloth on the drawing, y turned downwards."""
        return self.origin + place.conjugate() * self.scale

    def outline(self, outline: Outline) -> str:
        """The `d` text of an outline."""
        return closed(self.at(corner.number) for corner in outline.corners)


def arrow(middle: complex, way: complex, length: float, head: float) -> str:
    """The `d` text of an arrow through its middle along `way`, with an open head of that size."""
    along = way / abs(way)
    tail, tip = middle - along * length / 2, middle + along * length / 2
    wings = [tip + along * cmath.rect(head, math.radians(angle)) for angle in (150, 210)]
    return lines([(tail, tip), (wings[0], tip, wings[1])])


def readable(way: complex) -> Decimal:
    """Angle in degrees of text along a line, so that it is read from below or from the right."""
    angle = math.degrees(cmath.phase(way))
    if angle > 89.999:
        angle -= 180
    elif angle <= -90.001:
        angle += 180
    return kept(angle)


def widest(outline: Outline) -> tuple[complex, float]:
    """Where an outline has room for a label, and how far that is from its nearest edge, in its millimetres.

    Its centroid where that has nearly as much room as any place, else the place with the most. A crossing
    outline gives the middle of its box and 0.
    """
    return widest_of(shapely.Polygon(outline.ring))


def widest_of(shape: shapely.Polygon) -> tuple[complex, float]:
    """The same of a shape, in its own unit."""
    if not shape.is_valid or not shape.area:
        x, y = (sum(side) / 2 for side in (shape.bounds[0::2], shape.bounds[1::2]))
        return complex(x, y), 0.0
    radius = shapely.maximum_inscribed_circle(shape, tolerance=math.sqrt(shape.area) / 200)
    middle = shape.centroid
    room = middle.distance(shape.exterior) if shape.contains(middle) else 0.0
    if room >= NEARLY * radius.length:
        return complex(middle.x, middle.y), float(room)
    (x, y), _ = shapely.get_coordinates(radius)
    return complex(x, y), float(radius.length)

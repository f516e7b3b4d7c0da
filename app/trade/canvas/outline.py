"""The outline of a piece of cloth: lettered corners, edges with names, area, angles, mirror and turn."""

import cmath
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from string import ascii_uppercase

from app.trade.bounds import says
from app.trade.problems import Impossible
from app.trade.vectors import rounded

FEWEST_CORNERS, MOST_CORNERS = 3, 26
INCH = Decimal("25.4")
TAPE_OFF = Decimal(3)  # mm that lengths taped one after the other may be off each other; common practice
_QUARTERS = ((1, 0), (0, 1), (-1, 0), (0, -1))  # cosine and sine of the quarter turns


@dataclass(frozen=True)
class Corner:
    """A lettered corner; x to the right and y up, in millimetres, seen from the outside face."""

    name: str
    x: Decimal
    y: Decimal

    @property
    def number(self) -> complex:
        """The place as a complex number, for trigonometry."""
        return complex(float(self.x), float(self.y))

    def turned(self, degrees: Decimal) -> "Corner":
        """The corner turned against the clock about 0; quarter turns are exact."""
        if degrees % 90 == 0:
            cosine, sine = _QUARTERS[int(degrees // 90) % 4]
            return Corner(self.name, self.x * cosine - self.y * sine, self.x * sine + self.y * cosine)
        return corner_at(self.name, self.number * cmath.rect(1, math.radians(degrees)))


def corner_at(name: str, place: complex) -> Corner:
    """A corner at a computed place, rounded to nine digits after the point."""
    return Corner(name, rounded(place.real), rounded(place.imag))


def letters(count: int) -> tuple[str, ...]:
    """The letters of that many corners, A first; Impossible for fewer than 3 or more than 26."""
    if not FEWEST_CORNERS <= count <= MOST_CORNERS:
        raise Impossible(f"A piece cannot have {count} corners", "3 to 26 corners, such as 4")
    return tuple(ascii_uppercase[:count])


def edge_name(one: str, other: str) -> str:
    """The name of a length between two corners, the same from either end: `A-D`, never `D-A`."""
    return "-".join(sorted((one, other)))


def length_said(mm: Decimal) -> str:
    """A length for people, in both units: `2,983 mm (117.4 in)`; half a millimetre is the tape's end."""
    return f"{says(mm, 'mm')} ({says(mm / INCH, 'in', 1)})"


@dataclass(frozen=True)
class Edge:
    """One side of an outline, from corner to corner with the cloth on its left."""

    start: Corner
    end: Corner

    @property
    def name(self) -> str:
        """Its name by both letters, in the alphabet's order."""
        return edge_name(self.start.name, self.end.name)

    @property
    def words(self) -> str:
        """Its name as a sentence says it: `A to D`."""
        return self.name.replace("-", " to ")

    @cached_property
    def length(self) -> Decimal:
        """Its length in millimetres."""
        return distance(self.start, self.end)

    @property
    def bearing(self) -> Decimal:
        """Degrees against the clock from x in which it runs, over -180 to 180."""
        return rounded(math.degrees(cmath.phase(self.end.number - self.start.number)))

    @property
    def middle(self) -> tuple[Decimal, Decimal]:
        """The place half way along it."""
        return (self.start.x + self.end.x) / 2, (self.start.y + self.end.y) / 2


def distance(one: Corner, other: Corner) -> Decimal:
    """The straight length between two corners, in millimetres."""
    across, up = one.x - other.x, one.y - other.y
    return (across * across + up * up).sqrt()


def turn(start: Corner, middle: Corner, end: Corner) -> Decimal:
    """Twice the area of three corners: above 0 where the way bends to the left at the middle one."""
    return (middle.x - start.x) * (end.y - start.y) - (middle.y - start.y) * (end.x - start.x)


@dataclass(frozen=True)
class Outline:
    """A closed line of lettered corners, against the clock seen from the outside face.

    It may still be wrong (crossing, flat): `faults` of faults.py tells. Impossible under 3 corners.
    """

    corners: tuple[Corner, ...]

    def __post_init__(self) -> None:
        if len(self.corners) < FEWEST_CORNERS:
            raise Impossible("A piece needs at least 3 corners", "3 to 26 corners, such as 4")

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """All sides in order, from the first corner on."""
        following = (*self.corners[1:], self.corners[0])
        return tuple(Edge(start, end) for start, end in zip(self.corners, following, strict=True))

    def edge(self, name: str) -> Edge:
        """The side of a name such as `A-B`; KeyError where there is none."""
        return {edge.name: edge for edge in self.edges}[name]

    def corner(self, name: str) -> Corner:
        """The corner of a letter; KeyError where there is none."""
        return {corner.name: corner for corner in self.corners}[name]

    def length(self, one: str, other: str) -> Decimal:
        """The straight length between two of its corners, side or diagonal, in millimetres."""
        return distance(self.corner(one), self.corner(other))

    @cached_property
    def signed_area(self) -> Decimal:
        """The area in mm², under 0 where the corners run with the clock. Source: shoelace formula."""
        return sum((_cross(edge) for edge in self.edges), Decimal(0)) / 2

    @property
    def area(self) -> Decimal:
        """The area in mm², whichever way the corners run."""
        return abs(self.signed_area)

    @property
    def perimeter(self) -> Decimal:
        """The way round, in millimetres."""
        return sum((edge.length for edge in self.edges), Decimal(0))

    @property
    def width(self) -> Decimal:
        """From the leftmost to the rightmost corner, in millimetres."""
        return max(it.x for it in self.corners) - min(it.x for it in self.corners)

    @property
    def height(self) -> Decimal:
        """From the lowest to the highest corner, in millimetres."""
        return max(it.y for it in self.corners) - min(it.y for it in self.corners)

    @property
    def told_width(self) -> Decimal:
        """Its width as people tell it: the side that runs right across it, as its drawing says it.

        The outermost corners where no side does, within what a tape is off: a side that leans a little, and
        corners that stand out by a millimetre, are no other size. Millimetres; common practice.
        """
        return _told(self.width, [(abs(it.end.x - it.start.x), it.length) for it in self.edges])

    @property
    def told_height(self) -> Decimal:
        """The same upwards."""
        return _told(self.height, [(abs(it.end.y - it.start.y), it.length) for it in self.edges])

    @property
    def angles(self) -> dict[str, Decimal]:
        """The inner angle at each corner, in degrees, over 180 where the corner turns inward."""
        return {here.name: _angle(before, here, after) for before, here, after in self.bends()}

    @cached_property
    def ring(self) -> tuple[tuple[float, float], ...]:
        """Its corners as plain numbers, for the geometry libraries."""
        return tuple((float(corner.x), float(corner.y)) for corner in self.corners)

    def bends(self) -> Iterator[tuple[Corner, Corner, Corner]]:
        """Each corner between the one before and the one after it."""
        count = len(self.corners)
        return (
            (self.corners[at - 1], it, self.corners[(at + 1) % count]) for at, it in enumerate(self.corners)
        )

    def mirrored(self) -> "Outline":
        """The mate of the piece: left and right changed, the same letters at the mirrored corners."""
        flipped = [Corner(it.name, -it.x, it.y) for it in self.corners]
        return Outline((flipped[0], *reversed(flipped[1:]))).at_origin()

    def turned(self, degrees: Decimal) -> "Outline":
        """The piece turned against the clock about 0; quarter turns are exact."""
        return Outline(tuple(corner.turned(degrees) for corner in self.corners))

    def moved(self, right: Decimal, up: Decimal) -> "Outline":
        """The piece moved, in millimetres."""
        return Outline(tuple(Corner(it.name, it.x + right, it.y + up) for it in self.corners))

    def at_origin(self) -> "Outline":
        """The piece moved so that its leftmost and its lowest corner lie at 0."""
        return self.moved(-min(it.x for it in self.corners), -min(it.y for it in self.corners))


def outline_of(places: Sequence[complex]) -> Outline:
    """An outline through computed places, lettered from A; Impossible for a wrong number of corners."""
    named = zip(letters(len(places)), places, strict=True)
    return Outline(tuple(corner_at(name, place) for name, place in named))


def turned_over(angle: Decimal) -> Decimal:
    """What an angle from a side becomes in the mirror, whose side runs the other way; over -180 to 180.

    `angle`: degrees against the clock, -180 to 180. Cloth with a nap has a way along its warp, so half a turn
    is not the same.
    """
    mirrored = 180 - angle
    return mirrored - 360 if mirrored > 180 else mirrored


def _told(whole: Decimal, sides: Sequence[tuple[Decimal, Decimal]]) -> Decimal:
    """The length of the side nearest to the whole, of those that reach across it; else the whole."""
    across = [length for reach, length in sides if max(whole - reach, abs(length - whole)) <= TAPE_OFF]
    return min(across, key=lambda length: abs(length - whole), default=whole)


def _cross(edge: Edge) -> Decimal:
    return edge.start.x * edge.end.y - edge.end.x * edge.start.y


def _angle(before: Corner, here: Corner, after: Corner) -> Decimal:
    back, on = before.number - here.number, after.number - here.number
    angle = math.atan2(back.imag, back.real) - math.atan2(on.imag, on.real)
    return rounded(math.degrees(angle) % 360)

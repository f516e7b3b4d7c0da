"""The unit from above, nose up, with the places of one station on it: where each lies and its label; pure.

One unit of the drawing is one pixel at its full size, 336 by 500.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.trade.figure import HEAVIEST_FIRST, Grade

WIDE, HIGH = 336, 500
HALF = 50  # half the body's width
TOP, BOTTOM = 116, 466
LEAST_GAP = 70  # a label's own height, so that two are never under one finger
AXLES_AT, AXLE_STEP = 300, 56
CORNER = re.compile(r"^(?:wheel|tire|hub)-(\d+)-(left|right)")
AXLE = re.compile(r"^axle-(\d+)")
WORDS = {
    "lamp-tail": "Lamp",
    "lamp-marker": "Marker",
    "lamp-clearance": "Lamps",
    "lamp-cluster": "Cluster",
    "lamp-reflector": "Reflex",
    "lamp-plate": "Plate",
    "side": "Side",
    "spare": "Spare",
}


@dataclass(frozen=True)
class Seat:
    """One finding's seat on the drawing: the finding's key, its place, its grade, its name."""

    finding: int
    place: str
    grade: Grade
    name: str


@dataclass(frozen=True)
class Spot:
    """A place drawn: label at `x`, `y`, leader to `at_x`, `at_y`, where a tap leads, what stands there."""

    label: str
    says: str
    name: str
    grade: Grade
    finding: int
    x: int
    y: int
    at_x: int
    at_y: int
    right: bool


@dataclass(frozen=True)
class Plan:
    """The whole drawing: the body's middle, the axles' heights, the wheels that this station looks at."""

    middle: int
    axles: tuple[int, ...]
    wheels: frozenset[tuple[int, str]]
    spots: tuple[Spot, ...]

    @property
    def left(self) -> int:
        """Left wall of the body."""
        return self.middle - HALF

    @property
    def right(self) -> int:
        """Right wall of the body."""
        return self.middle + HALF


def plan_of(axles: int, seats: Sequence[Seat]) -> Plan | None:
    """The drawing of a station; None where none of its places can be drawn."""
    groups = _groups(axles, seats)
    if not groups:
        return None
    sides = {right for _, right, _ in groups}
    middle = WIDE // 2 if len(sides) == 2 else (WIDE // 2 - 24 if True in sides else WIDE // 2 + 24)
    spots = [spot for right in (False, True) for spot in _column(middle, groups, right=right)]
    wheels = frozenset(
        (int(found[1]), found[2]) for seat in seats if (found := CORNER.match(seat.place)) is not None
    )
    return Plan(middle, _axles_at(axles), wheels, tuple(spots))


def _axles_at(axles: int) -> tuple[int, ...]:
    first = AXLES_AT - (axles - 1) * AXLE_STEP // 2
    return tuple(first + number * AXLE_STEP for number in range(axles))


Group = tuple["Anchor", bool, list[Seat]]


@dataclass(frozen=True)
class Anchor:
    """Where on the body a place lies: offset from its middle in half widths, and height; and its label."""

    label: str
    across: float
    height: int


def _groups(axles: int, seats: Sequence[Seat]) -> list[Group]:
    """The seats of each drawn place, with the side on which its label stands."""
    found: dict[Anchor, list[Seat]] = {}
    sides = {corner[2] for seat in seats if (corner := CORNER.match(seat.place))}
    for seat in seats:
        if anchor := _anchor(axles, _at_the_wheel(seat.place, sides)):
            found.setdefault(anchor, []).append(seat)
    sided = [(anchor, anchor.across > 0, held) for anchor, held in found.items()]
    return sorted(sided, key=lambda group: (group[1], group[0].height))


def _at_the_wheel(place: str, sides: set[str]) -> str:
    """An axle stands with its wheel where a station looks at the wheels of one side only."""
    return f"wheel{place[4:]}-{next(iter(sides))}" if AXLE.match(place) and len(sides) == 1 else place


def _anchor(axles: int, place: str) -> Anchor | None:
    heights = _axles_at(axles)
    if corner := CORNER.match(place):
        number = int(corner[1])
        return Anchor(f"Axle {number}", -1.2 if corner[2] == "left" else 1.2, heights[number - 1])
    if axle := AXLE.match(place):
        number = int(axle[1])
        return Anchor(f"Axle {number}", 0.4 if number % 2 == 0 else -0.4, heights[number - 1])
    if place.startswith("cylinder-"):
        number = int(place.removeprefix("cylinder-"))
        return Anchor(f"Gas {number}", 0.2 if number % 2 == 0 else -0.2, 100)
    if place.startswith("tank-"):
        return Anchor(place.removeprefix("tank-").capitalize(), 0.6, 220 + 40 * (place == "tank-black"))
    return _named(place)


def _named(place: str) -> Anchor | None:
    word = next((word for start, word in WORDS.items() if place.startswith(start)), "")
    if not word:
        return None
    return Anchor(word, _across(place), _height(place))


def _across(place: str) -> float:
    if place.endswith(("right", "curb")):
        return 0.96
    return -0.96 if place.endswith(("left", "road")) else -0.3


def _height(place: str) -> int:
    if "front" in place:
        return TOP + 14
    if place.startswith(("side", "lamp-reflector-left", "lamp-reflector-right")):
        return 190 if place.startswith("side") else 230
    return BOTTOM - 10 if "marker-rear" in place else BOTTOM


def _column(middle: int, groups: Sequence[Group], *, right: bool) -> list[Spot]:
    held = [group for group in groups if group[1] is right]
    heights = _spread([anchor.height for anchor, _, _ in held])
    x = middle + HALF + 30 if right else 0
    return [
        _spot(middle, anchor, seats, x, height, right=right)
        for (anchor, _, seats), height in zip(held, heights, strict=True)
    ]


def _spread(wanted: list[int]) -> list[int]:
    """Heights near the wanted ones, a label apart, all inside the drawing."""
    heights: list[int] = []
    for want in wanted:
        heights.append(max(want, heights[-1] + LEAST_GAP if heights else LEAST_GAP // 2))
    over = max(heights[-1] - (HIGH - LEAST_GAP // 2), 0) if heights else 0
    for at in reversed(range(len(heights))):
        room = heights[at + 1] - LEAST_GAP if at + 1 < len(heights) else heights[at] - over
        heights[at] = min(heights[at], room)
    return heights


def _spot(middle: int, anchor: Anchor, seats: list[Seat], x: int, y: int, *, right: bool) -> Spot:
    worst = min(seats, key=lambda seat: HEAVIEST_FIRST.index(seat.grade))
    unseen = [seat for seat in seats if seat.grade is Grade.UNSEEN]
    grade = worst.grade if worst.grade in (Grade.DNT, Grade.NEEDS) or not unseen else Grade.UNSEEN
    says = f"{len(unseen)} of {len(seats)} left" if unseen else grade.word.lower()
    return Spot(
        label=anchor.label,
        says=says,
        name=f"{anchor.label}, {'curb' if right else 'road'} side: {grade.word}, {says}",
        grade=grade,
        finding=(unseen or seats)[0].finding,
        x=x,
        y=y,
        at_x=round(middle + anchor.across * HALF),
        at_y=anchor.height,
        right=right,
    )

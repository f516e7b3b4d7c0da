"""A piece from places: coordinates of its corners, or a walk round it by sides and inner angles."""

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate

from app.trade.bounds import says
from app.trade.canvas.faults import faults
from app.trade.canvas.outline import length_said, letters, outline_of
from app.trade.canvas.taped import GOOD, MOST, Draft
from app.trade.figure import COMMON_PRACTICE, Input, Source, Worked
from app.trade.problems import Problem
from app.trade.vectors import rounded

SURVEY = Source("traverse by the compass rule", "surveying handbooks")
MOST_ANGLE_OFF = Decimal(2)  # degrees in the sum of the inner angles; common practice with a folding rule


def plotted(places: Sequence[tuple[Decimal, Decimal]], *, inside: bool = False) -> Draft:
    """The draft of a piece from the coordinates of its corners in millimetres, x to the right, y up.

    `places`: 3 to 26, in order round the piece. `inside`: they were taken from the inside face, so left
    and right are changed once. Raises Impossible for another number of corners.
    """
    outline = outline_of([complex(float(-x if inside else x), float(y)) for x, y in places])
    outline = outline.at_origin() if inside else outline
    return Draft(outline, faults(outline))


@dataclass(frozen=True)
class Walk:
    """A walk round a piece: its sides in order from A, and the inner angle at each corner from A.

    Millimetres and degrees; as many of each as there are corners, 3 to 26.
    """

    sides: tuple[Decimal, ...]
    angles: tuple[Decimal, ...]

    @property
    def angle_off(self) -> Decimal:
        """Sum of the inner angles less (n - 2) times 180, in degrees."""
        return sum(self.angles, Decimal(0)) - 180 * (len(self.angles) - 2)

    @property
    def balanced(self) -> tuple[Decimal, ...]:
        """The inner angles with an equal share of the misfit taken off each."""
        return tuple(angle - self.angle_off / len(self.angles) for angle in self.angles)

    @property
    def legs(self) -> tuple[complex, ...]:
        """Each side as a step, the first along x, by the balanced angles."""
        turns = [180 - float(angle) for angle in self.balanced[1:]]
        ways = accumulate(turns, initial=0.0)
        return tuple(
            cmath.rect(float(side), math.radians(way)) for side, way in zip(self.sides, ways, strict=True)
        )

    @property
    def gap(self) -> Decimal:
        """How far from A the walk ends, in millimetres."""
        return rounded(abs(sum(self.legs)))

    @property
    def places(self) -> list[complex]:
        """The corners after the gap is shared out by length. Source: compass (Bowditch) rule."""
        gap, length = sum(self.legs), float(sum(self.sides))
        shared = [leg - gap * abs(leg) / length for leg in self.legs[:-1]]
        return list(accumulate(shared, initial=0j))


def walked(walk: Walk) -> Draft:
    """The draft of a piece from its sides and inner angles; angle and length misfit are told.

    The angles are balanced, the gap that stays is shared out by length. Kept within 6 mm and 2 degrees.
    Raises Impossible for another number of corners than 3 to 26. Source: compass rule.
    """
    names = letters(len(walk.sides))
    if wrong := _unlike(walk, names):
        return Draft(None, wrong)
    outline = outline_of(walk.places)
    told = (*_angles_off(walk), *_gap(walk, names), *faults(outline))
    sides = {edge.name: side for edge, side in zip(outline.edges, walk.sides, strict=True)}
    return Draft(outline, told, measured=sides if walk.gap > MOST else {})


def _unlike(walk: Walk, names: tuple[str, ...]) -> tuple[Problem, ...]:
    if len(walk.angles) != len(names):
        accepts = f"{len(names)} angles, one at each corner"
        return (Problem("angles", f"{len(names)} sides have {len(walk.angles)} angles", accepts),)
    sides = (
        Problem(name, f"The side from {name} cannot be {side}", "a length above 0 mm, such as 2,438 mm")
        for name, side in zip(names, walk.sides, strict=True)
        if not side > 0
    )
    angles = (
        Problem(name, f"The angle at {name} cannot be {angle}", "over 0 and under 360 degrees, such as 90")
        for name, angle in zip(names, walk.angles, strict=True)
        if not 0 < angle < 360
    )
    return (*sides, *angles)


def _angles_off(walk: Walk) -> tuple[Problem, ...]:
    off = walk.angle_off
    if abs(off) <= Decimal("0.5"):
        return ()
    usual = f"a sum of {180 * (len(walk.angles) - 2)} degrees"
    told = f"The inner angles come to {says(abs(off), 'deg', 1)} too {'much' if off > 0 else 'little'}"
    return (Problem("angles", told, usual, ask=abs(off) <= MOST_ANGLE_OFF),)


def _gap(walk: Walk, names: tuple[str, ...]) -> tuple[Problem, ...]:
    if walk.gap <= GOOD:
        return ()
    told = f"The walk round ends {says(walk.gap, 'mm', 1)} away from corner A"
    accepts = f"within {says(MOST, 'mm')}: measure side {names[0]} to {names[-1]} and the longest again"
    return (Problem(f"{names[0]}-{names[-1]}", told, accepts, ask=walk.gap <= MOST),)


def walk_figure(walk: Walk) -> Worked[Decimal]:
    """The gap of a walk round as a figure, with the way round by the gap (1 in so many).

    Source: traverse by the compass rule, surveying handbooks.
    """
    length = sum(walk.sides, Decimal(0))
    ratio = f"1 in {says(length / walk.gap, 'count')}" if walk.gap else "exact"
    return Worked(
        name="gap of the walk round",
        value=walk.gap,
        says=f"{says(walk.gap, 'mm', 1)}, {ratio}",
        formula="inner angles balanced, then the sum of all sides as steps",
        inputs=(
            Input("way round", length_said(length)),
            Input("inner angles off", says(walk.angle_off, "deg", 2)),
        ),
        source=SURVEY,
        unit="mm",
        limit=f"kept within {says(MOST, 'mm')}; {COMMON_PRACTICE}",
    )

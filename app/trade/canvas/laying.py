"""A cut plan: cut pieces laid on the usable width of a roll, and the check that it can be cut.

x runs along the roll with the warp, y across it. A piece is never mirrored on the table: its mate is a
piece of its own. Plans are made by bottom_left.py and search.py; either is checked here before it is shown.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

import shapely

from app.trade.canvas.faults import crossings
from app.trade.canvas.outline import Corner, Edge, Outline, length_said
from app.trade.problems import Impossible, Problem, Refused

Turns = tuple[Decimal, ...]

ONE_WAY: Turns = (Decimal(0),)  # nap, print, coated one way
EITHER_END: Turns = (Decimal(0), Decimal(180))  # woven cloth: the warp stays along the roll
QUARTERS: Turns = (Decimal(0), Decimal(90), Decimal(180), Decimal(270))  # film and screen without grain

SELVAGE = Decimal(13)  # mm on each side; common practice
SLACK = Decimal("0.00001")  # of the width: what rounding may move a piece


def turns_on(cloth: Turns, piece: Turns) -> Turns:
    """The turns that both the cloth and the piece allow, in the cloth's order.

    Impossible where they have none in common: the piece then needs another cloth, or a seam.
    """
    both = tuple(turn for turn in cloth if turn in piece)
    if not both:
        raise Impossible("This cloth allows none of the piece's turns", "a turn in common, such as 0 degrees")
    return both


def usable_width(roll_mm: Decimal, selvage_mm: Decimal = SELVAGE) -> Decimal:
    """Width of the roll between its selvages, in millimetres; Impossible where nothing is left.

    `selvage_mm`: on each side, 13 by common practice.
    """
    usable = roll_mm - 2 * selvage_mm
    if selvage_mm < 0 or not usable > 0:
        raise Impossible(f"A roll of {roll_mm} mm leaves no width", "a width such as 1,600 mm, selvage 13 mm")
    return usable


@dataclass(frozen=True)
class Strip:
    """Cloth to cut from: usable width and the gap to keep between pieces, in millimetres.

    `gap`: 0 with knife and straight edge, 6 with a hot knife (common practice).
    """

    width: Decimal
    gap: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.gap >= 0):
            raise Impossible("Cloth needs a width", "a usable width such as 1,574 mm and a gap of 0 or more")

    @property
    def slack(self) -> Decimal:
        """What rounding may move a piece, in millimetres."""
        return self.width * SLACK


@dataclass(frozen=True)
class ToCut:
    """A piece to cut: its mark, its cut outline, how many, and how it may be turned on the cloth.

    `warp_angle`: degrees of the warp against the clock from the outline's x. `copies`: at least 1.
    Raises Impossible without copies or turns.
    """

    mark: str
    outline: Outline
    copies: int = 1
    turns: Turns = EITHER_END
    warp_angle: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if self.copies < 1 or not self.turns:
            raise Impossible(f"Piece {self.mark} is not to be cut", "at least 1 copy and one way to lie")

    def turned(self, turn: Decimal) -> Outline:
        """The piece as it lies on the cloth at one of its turns, its box's corner at 0."""
        return self.outline.turned(turn - self.warp_angle).at_origin()


@dataclass(frozen=True)
class Laid:
    """One copy of a piece on the cloth: which turn, and where the lower left corner of its box lies."""

    piece: ToCut
    copy: int
    turn: Decimal
    right: Decimal
    up: Decimal

    @cached_property
    def outline(self) -> Outline:
        """The piece in its place on the cloth."""
        return self.carry(self.piece.outline)

    def carry(self, marks: Outline) -> Outline:
        """What is drawn on the piece (its stitch line), carried to where the piece lies on the cloth."""
        turn, right, up = self._way
        return marks.turned(turn).moved(right, up)

    def carry_edges(self, edges: Iterable[Edge]) -> tuple[Edge, ...]:
        """Single lines of the piece (its notches), carried likewise."""
        return tuple(Edge(self._carried(it.start), self._carried(it.end)) for it in edges)

    def _carried(self, corner: Corner) -> Corner:
        turn, right, up = self._way
        turned = corner.turned(turn)
        return Corner(corner.name, turned.x + right, turned.y + up)

    @cached_property
    def _way(self) -> tuple[Decimal, Decimal, Decimal]:
        """How the piece comes onto the cloth: turned, then moved to the right and up."""
        turn = self.turn - self.piece.warp_angle
        box = self.piece.outline.turned(turn).corners
        return turn, self.right - min(it.x for it in box), self.up - min(it.y for it in box)

    @property
    def label(self) -> str:
        """What is written on the cloth: `E1`, `E2`; the bare mark where there is one copy."""
        return f"{self.piece.mark}{self.copy}" if self.piece.copies > 1 else self.piece.mark

    @property
    def end(self) -> Decimal:
        """Where it ends along the roll, in millimetres."""
        return max(corner.x for corner in self.outline.corners)


@dataclass(frozen=True)
class CutPlan:
    """Pieces laid on a strip, and in words how the plan was found."""

    strip: Strip
    laid: tuple[Laid, ...]
    found: str

    @cached_property
    def length(self) -> Decimal:
        """Length of cloth that it takes, in millimetres; 0 where nothing is laid."""
        return max((laid.end for laid in self.laid), default=Decimal(0))

    @cached_property
    def area(self) -> Decimal:
        """Area of all its pieces, in mm²."""
        return sum((laid.piece.outline.area for laid in self.laid), Decimal(0))

    @property
    def waste(self) -> Decimal:
        """What of the cloth is in no piece, in percent; 0 where nothing is laid."""
        cloth = self.strip.width * self.length
        return (1 - self.area / cloth) * 100 if cloth else Decimal(0)


def shortest(plans: Iterable[CutPlan | None]) -> CutPlan | None:
    """The shortest of several plans; the first of equals; None where there is none."""
    return min((plan for plan in plans if plan), key=lambda plan: plan.length, default=None)


def copies_of(pieces: Iterable[ToCut]) -> Iterator[tuple[ToCut, int]]:
    """Each copy of each piece, with its number from 1."""
    return ((piece, copy) for piece in pieces for copy in range(1, piece.copies + 1))


def fitting(strip: Strip, pieces: Iterable[ToCut]) -> None:
    """Nothing where every piece fits the width and crosses itself nowhere; else raises Refused by name."""
    asked = tuple(pieces)
    wide = [_too_wide(strip, piece) for piece in asked if not turns_that_fit(strip, piece)]
    crossed = [_crossed(piece) for piece in asked if crossings(piece.outline)]
    if wide or crossed:
        raise Refused((*wide, *crossed))


def turns_that_fit(strip: Strip, piece: ToCut) -> Turns:
    """The turns at which a piece lies within the usable width."""
    return tuple(it for it in piece.turns if piece.turned(it).height <= strip.width + strip.slack)


def _too_wide(strip: Strip, piece: ToCut) -> Problem:
    across = min(piece.turned(turn).height for turn in piece.turns)
    says = f"Piece {piece.mark} is {length_said(across)} across, the cloth {length_said(strip.width)}"
    return Problem(piece.mark, says, "a wider roll, or a seam across the piece")


def _crossed(piece: ToCut) -> Problem:
    told = crossings(piece.outline)[0]
    return Problem(piece.mark, f"Piece {piece.mark}: {told.says}", told.accepts)


def unsound(plan: CutPlan, pieces: Iterable[ToCut]) -> tuple[Problem, ...]:
    """What keeps a plan from being cut: copies missing, turned wrongly, off the cloth, or overlapping.

    Overlaps under a millionth of the width squared are rounding. The check knows nothing of how the plan
    was found.
    """
    return (*_wrong_copies(plan, pieces), *_wrong_turns(plan), *_off_cloth(plan), *_overlaps(plan))


def _wrong_copies(plan: CutPlan, pieces: Iterable[ToCut]) -> tuple[Problem, ...]:
    wanted = [(piece.mark, copy) for piece, copy in copies_of(pieces)]
    there = [(laid.piece.mark, laid.copy) for laid in plan.laid]
    return tuple(
        Problem(mark, f"Copy {copy} of piece {mark} lies {there.count((mark, copy))} times", "each copy once")
        for mark, copy in sorted({*wanted, *there})
        if there.count((mark, copy)) != wanted.count((mark, copy))
    )


def _wrong_turns(plan: CutPlan) -> tuple[Problem, ...]:
    return tuple(
        Problem(laid.label, f"{laid.label} is turned by {laid.turn} degrees", "a turn that its cloth allows")
        for laid in plan.laid
        if laid.turn not in laid.piece.turns
    )


def _off_cloth(plan: CutPlan) -> tuple[Problem, ...]:
    slack = plan.strip.slack
    return tuple(
        Problem(laid.label, f"{laid.label} lies off the cloth", f"within {length_said(plan.strip.width)}")
        for laid in plan.laid
        if min(laid.right, laid.up) < -slack
        or laid.up + laid.piece.turned(laid.turn).height > plan.strip.width + slack
    )


def _overlaps(plan: CutPlan) -> tuple[Problem, ...]:
    shapes = [shapely.Polygon(laid.outline.ring) for laid in plan.laid]
    if not shapes:
        return ()
    pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects").T
    most = float(plan.strip.width) ** 2 / 1_000_000
    return tuple(
        Problem(plan.laid[one].label, f"{plan.laid[one].label} and {plan.laid[other].label} overlap", "apart")
        for one, other in pairs
        if one < other and shapes[one].intersection(shapes[other]).area > most
    )

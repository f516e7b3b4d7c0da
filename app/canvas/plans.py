"""Cut plans of an order's cloths: what is laid, what is kept, and what a page or a file shows of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from typing import Any

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.canvas.facts import OrderRead, PieceRead, allowances_of, shrink_of, version_of
from app.canvas.roll import Cut, Roll, cut_of, kept_laid, kept_piece, lengths_kept, read_roll
from app.canvas.tables import CanvasOrder, CanvasPart
from app.canvas.tables import CutPlan as KeptPlan
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.trade.bounds import says
from app.trade.canvas.allowances import grow, notches
from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.dxf import Marks
from app.trade.canvas.laying import CutPlan, Laid, ToCut
from app.trade.canvas.least import bought_at_least
from app.trade.canvas.lengths import Length, Lengths, bought, cost, lengths_of
from app.trade.canvas.outline import Corner, Outline, length_said
from app.trade.canvas.plan_drawn import Band, at_full_size, band_length, bands
from app.trade.canvas.readiness import Kind
from app.trade.canvas.yardage import END_WASTE, RollEnd, bound_said, cloth_to_take, use_figure
from app.trade.figure import Worked, plain
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts

WIDE, WIDE_LONGEST = 1344, Decimal(6500)  # drawing units and mm of cloth of a band on a wide page
UPRIGHT, UPRIGHT_LONGEST = 720, Decimal(3500)  # and on an upright one


@dataclass(frozen=True)
class CutRow:
    """One piece in a list to cut by: its labels on the cloth, its name, cut size and number."""

    labels: str
    name: str
    size: str
    copies: int


def _row(cut: Cut) -> CutRow:
    mark, copies, outline = cut.piece.mark, cut.piece.copies, cut.piece.outline
    labels = f"{mark}1 to {mark}{copies}" if copies > 1 else mark
    size = f"{plain(outline.width, 0)} by {plain(outline.height, 0)} mm"
    return CutRow(labels, cut.name, size, copies)


@dataclass(frozen=True)
class PlanRead:
    """A cut plan with everything that follows from it.

    `kept`: where each copy lies, as the book keeps it. `found`: how, in words.
    """

    key: int
    order_id: int
    cloth_id: int
    at: datetime
    by: str
    roll: Roll
    cuts: tuple[Cut, ...]
    kept: Sequence[Mapping[str, Any]]
    found: str

    @property
    def pieces(self) -> tuple[ToCut, ...]:
        """What is cut."""
        return tuple(cut.piece for cut in self.cuts)

    @property
    def names(self) -> Mapping[str, str]:
        """The pieces' names by their marks."""
        return {cut.piece.mark: cut.name for cut in self.cuts}

    @property
    def marks(self) -> Mapping[str, Marks]:
        """What is drawn on the pieces, by their marks."""
        return {cut.piece.mark: cut.marks for cut in self.cuts}

    @cached_property
    def laid(self) -> Lengths:
        """The lengths of cloth that it is cut from, roll ends first; the last is the roll's where any is."""
        return lengths_kept(self.roll, self.cuts, self.kept, self.found)

    @cached_property
    def lengths(self) -> tuple["CutLength", ...]:
        """The same as a page and a paper show them."""
        return tuple(CutLength(self, at, it) for at, it in enumerate(self.laid, 1))

    @cached_property
    def longest(self) -> Decimal:
        """Length in millimetres of the longest of them, so that all are drawn to one scale."""
        return max(it.plan.length for it in self.laid)

    @cached_property
    def least(self) -> Decimal:
        """Millimetres of the roll that no plan of its pieces takes less of, with these roll ends."""
        return bought_at_least(self.roll.strip, self.pieces, [end.length for end in self.roll.ends])

    @property
    def of_roll(self) -> "CutLength | None":
        """What is cut from the roll; None where roll ends give everything."""
        return self.lengths[-1] if self.lengths[-1].end is None else None

    @property
    def of_ends(self) -> tuple["CutLength", ...]:
        """What is cut from roll ends."""
        return tuple(it for it in self.lengths if it.end is not None)

    @property
    def off_roll(self) -> str:
        """How much of the roll it takes in words, to a centimetre."""
        return f"{self.of_roll.metres} of the roll" if self.of_roll else "nothing of the roll"

    @property
    def usable(self) -> str:
        """The usable width of its roll in words."""
        return length_said(self.roll.strip.width)

    def name_of(self, label: str) -> str:
        """The name of the piece that a label stands on: `P7`, or `P7.2` for its second copy."""
        mark, dot, _ = label.partition(".")
        return self.names[mark + dot]

    @property
    def rows(self) -> tuple[CutRow, ...]:
        """The pieces as a list to cut by."""
        return tuple(_row(cut) for cut in self.cuts)

    @property
    def take(self) -> tuple[Worked[Decimal], Worked[Decimal]]:
        """The cloth that all its pieces take, from roll ends and the roll, in metres and in yards."""
        return _take(sum((it.plan.length for it in self.laid), Decimal(0)))


@dataclass(frozen=True)
class Chalked:
    """A label with the corners to chalk, and where its cut line is notched; empty where nothing is sewn."""

    label: str
    corners: str
    notches: str


@dataclass(frozen=True)
class CutLength:
    """A length of cloth of a plan, its `nth` from 1, with what is cut from it; see trade.canvas.lengths."""

    of: PlanRead
    nth: int
    cut: Length

    @property
    def key(self) -> str:
        """Its name in files and drawings: `7-1`."""
        return f"{self.of.key}-{self.nth}"

    @property
    def plan(self) -> CutPlan:
        """Where its pieces lie."""
        return self.cut.plan

    @property
    def end(self) -> RollEnd | None:
        """The roll end that it is; None for the roll."""
        return self.cut.end

    @property
    def stitch(self) -> Mapping[str, Outline]:
        """The stitch lines of the pieces, by their marks."""
        return {mark: marks.stitch for mark, marks in self.of.marks.items() if marks.stitch}

    @property
    def words(self) -> str:
        """What it is cut from: `The roll`, or `Roll end 31, 2,600 mm (102.4 in)`."""
        return f"Roll end {self.end.mark}, {length_said(self.end.length)}" if self.end else "The roll"

    @property
    def metres(self) -> str:
        """How much of it is taken, in words, to a centimetre."""
        return _metres(self.plan)

    @property
    def chalked(self) -> tuple[Chalked, ...]:
        """What is chalked of each label, in mm along the cloth from its start and up from its edge."""
        laid = sorted(self.plan.laid, key=lambda it: (it.piece.mark, it.copy))
        return tuple(Chalked(it.label, _corners_of(it), self._notches_of(it)) for it in laid)

    def _notches_of(self, laid: Laid) -> str:
        """Where its notches lie on its cut line, edge by edge: `A to B 586, 0 and 1,145, 0`."""
        places: dict[str, list[str]] = {}
        for it in laid.carry_edges(self.of.marks[laid.piece.mark].notches):
            edge = it.start.name.partition("/")[0].replace("-", " to ")
            places.setdefault(edge, []).append(_place(it.end))
        return "; ".join(f"{edge} {' and '.join(at)}" for edge, at in sorted(places.items()))

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """What is cut from it, as it is labelled, in the order of the labels."""
        return tuple(it.label for it in sorted(self.plan.laid, key=lambda it: (it.piece.mark, it.copy)))

    @cached_property
    def bands(self) -> tuple[Band, ...]:
        """It as a wide page draws it, and a paper."""
        return self._bands(WIDE, WIDE_LONGEST)

    @cached_property
    def upright(self) -> tuple[Band, ...]:
        """It as a page held upright draws it, in shorter lengths."""
        return self._bands(UPRIGHT, UPRIGHT_LONGEST)

    def _bands(self, width: int, longest: Decimal) -> tuple[Band, ...]:
        least = max(band_length(self.of.longest, longest), longest / 3)
        return bands(self.plan, width, longest, self.stitch, least)

    @property
    def full_size(self) -> Band:
        """It for a plotter, in millimetres."""
        notches = {mark: marks.snips for mark, marks in self.of.marks.items()}
        return at_full_size(self.plan, self.stitch, notches)

    @cached_property
    def use(self) -> Worked[Decimal]:
        """How much of its cloth is in pieces."""
        return use_figure(self.plan, None if self.end else self.of.least)

    @property
    def bound(self) -> str:
        """Its waste, and of the roll how far it is at most over the least that any plan takes of it."""
        return bound_said(self.use)

    @property
    def take(self) -> tuple[Worked[Decimal], Worked[Decimal]]:
        """What to take from the roll or to order, in metres and in yards."""
        return _take(self.plan.length)

    @property
    def cut_off(self) -> Decimal:
        """Millimetres that a roll end loses to it, with what is lost at its ends."""
        taken = self.plan.length + END_WASTE
        return min(taken, self.end.length) if self.end else taken

    @property
    def left(self) -> str:
        """What stays of a roll end in words; empty where nothing does, and of the roll."""
        stays = self.end.length - self.cut_off if self.end else Decimal(0)
        return length_said(stays) if stays else ""


def _corners_of(laid: Laid) -> str:
    return "; ".join(f"{it.name} {_place(it)}" for it in laid.outline.corners)


def _place(corner: Corner) -> str:
    return f"{plain(corner.x, 0)}, {plain(corner.y, 0)}"


def _metres(plan: CutPlan) -> str:
    return says(plan.length / 1000, "m", 2)


def _take(length_mm: Decimal) -> tuple[Worked[Decimal], Worked[Decimal]]:
    return cloth_to_take(length_mm), cloth_to_take(length_mm, "yd")


def to_cut(order: OrderRead, cloth: CanvasPart, roll: Roll) -> tuple[Cut, ...]:
    """The pieces of a cloth as they are cut; Refused, naming each, where one has no cut size yet."""
    pieces = order.of_cloth(cloth.key)
    if not pieces:
        raise Refused([Problem("", f"No piece is cut from {cloth.place} yet", "its cloth on a piece's page")])
    unknown = [piece for piece in pieces if piece.cut is None]
    if unknown:
        raise Refused([_no_size(piece) for piece in unknown])
    return tuple(_cut(piece, cloth, roll) for piece in pieces)


def _no_size(piece: PieceRead) -> Problem:
    says = f"{piece.mark} {piece.name} has no cut size yet"
    return Problem("", says, "its measures and what each edge gets")


def _cut(piece: PieceRead, cloth: CanvasPart, roll: Roll) -> Cut:
    assert piece.cut is not None
    cut = ToCut(piece.cut_mark, piece.cut.cut, piece.copies, roll.lies.turns, piece.warp_angle)
    return Cut(cut, piece.name, marks_of(piece, cloth))


def marks_of(piece: PieceRead, cloth: CanvasPart | None) -> Marks:
    """The stitch line and notches of a piece that has a cut size, in the coordinates of its cut outline."""
    assert piece.cut is not None
    grown = grow(piece.cut.finished, shrink_of(cloth, piece.warp_angle))
    allowances = allowances_of(piece)
    sewn = [name for name, allowance in allowances.items() if allowance.mm > 0]
    return Marks(grown, tuple(notch for name in sewn for notch in notches(grown, allowances, name)))


def lay(book: Engine, act: Act, order: OrderRead, cloth: CanvasPart, roll: Roll) -> int:
    """Lay the pieces of a cloth on its roll, at once and always the same; returns the plan's key.

    Raises Refused where a piece has no cut size or is wider than the cloth, Stale.
    """
    cuts = to_cut(order, cloth, roll)
    return keep(book, act, "lay cut plan", cloth, roll, cuts, _laid(roll, cuts))


def _laid(roll: Roll, cuts: Sequence[Cut]) -> Lengths:
    """The first plan, what roll ends give off the roll; a piece too wide is told at the width of the roll."""
    pieces = [cut.piece for cut in cuts]
    try:
        return lengths_of(first_plan(roll.strip, pieces), pieces, roll.ends)
    except Refused as refused:
        raise Refused([replace(problem, field="width") for problem in refused.problems]) from refused


def keep(
    book: Engine, act: Act, verb: str, cloth: CanvasPart, roll: Roll, cuts: Sequence[Cut], laid: Lengths
) -> int:
    """Keep a plan of an order as it stood at `act.seen`; returns its key. Raises Refused, Stale."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        return add(session, act, verb, cloth, roll, cuts, laid)


def add(
    session: Session,
    act: Act,
    verb: str,
    cloth: CanvasPart,
    roll: Roll,
    cuts: Sequence[Cut],
    laid: Lengths,
    *others: SQLModel,
) -> int:
    """The key of a plan added with the `others` that it changes; committed by the caller. Refused, Stale."""
    still_stands(session, act, cloth.canvas_order_id)
    row = KeptPlan(
        created_at=act.at,
        canvas_order_id=cloth.canvas_order_id,
        cloth_id=cloth.key,
        version=act.seen,
        roll=dict(roll.texts),
        pieces=[kept_piece(cut) for cut in cuts],
        laid=kept_laid(laid),
        found=laid[-1].plan.found,
        length=str(bought(laid)),
        made_by=act.person,
    )
    return receipts.sign(session, act, verb, row, *others)


def still_stands(session: Session, act: Act, order_id: int) -> None:
    """Raise Stale where the order was changed since `act.seen`, Refused where it was called off."""
    order = session.get_one(CanvasOrder, order_id)
    receipts.current(version_of(session, order), act)
    if order.called_off:
        raise Refused([Problem("", "This canvas order was called off", "a new one")])


def plan_read(session: Session, key: int) -> PlanRead:
    """One plan; NoResultFound where there is none of that key."""
    return _read(session.get_one(KeptPlan, key), people.names(session))


def _read(row: KeptPlan, names: Mapping[int, str]) -> PlanRead:
    roll = read_roll(Texts({**row.roll, "confirm-width": row.roll["width"]}))
    cuts = tuple(cut_of(each, roll.lies.turns) for each in row.pieces)
    return PlanRead(
        key=row.key,
        order_id=row.canvas_order_id,
        cloth_id=row.cloth_id,
        at=row.created_at,
        by=names[row.made_by],
        roll=roll,
        cuts=cuts,
        kept=row.laid,
        found=row.found,
    )


@dataclass(frozen=True)
class Plans:
    """The plans of one cloth, the newest first. `best`: buys least, on the newest roll, as it stands now.

    `standing`: the keys of those whose pieces are to be cut so still. What is said of the order besides, a
    signature or a wish, moves no piece.
    """

    all: tuple[PlanRead, ...]
    standing: frozenset[int]

    @property
    def newest(self) -> PlanRead | None:
        """The plan laid last."""
        return self.all[0] if self.all else None

    @property
    def tries(self) -> tuple[PlanRead, ...]:
        """The plans for the order as it stands, on the roll chosen last."""
        newest = self.newest
        if newest is None or newest.key not in self.standing:
            return ()
        return tuple(it for it in self.all if it.key in self.standing and it.roll.texts == newest.roll.texts)

    @property
    def best(self) -> PlanRead | None:
        """Of the tries the one to cut from, the first of equals: a plan that buys more never replaces one."""
        return min(reversed(self.tries), key=lambda it: cost(it.laid), default=None)


def plans_of(session: Session, order: OrderRead, cloth_id: int) -> Plans:
    """The plans of one cloth of an order."""
    asked = select(KeptPlan).where(KeptPlan.canvas_order_id == order.key, KeptPlan.cloth_id == cloth_id)
    names = people.names(session)
    found = tuple(_read(row, names) for row in session.exec(asked.order_by(col(KeptPlan.id).desc())))
    return Plans(found, frozenset(it.key for it in found if stands(order, it)))


def stands(order: OrderRead, plan: PlanRead) -> bool:
    """Whether what is cut from a plan's cloth is still what the plan was laid of."""
    cloth = next((it for it in order.of_kind(Kind.CLOTH) if it.key == plan.cloth_id), None)
    try:
        return cloth is not None and plan.cuts == to_cut(order, cloth, plan.roll)
    except Refused:
        return False

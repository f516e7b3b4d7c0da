"""What the canvas room knows of an order, as pages, papers and plans read it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from typing import TypeVar

from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from app.bench.facts import open_findings
from app.canvas.resized import ANEW, EARLY, Sized, pieces_signed, resized
from app.canvas.rules import (
    SIGNED,
    EdgeSaid,
    How,
    Measured,
    allowance_of,
    draft_of,
    lettered_as,
    mirrored,
    read_shrink,
    sides_of,
    to_sew,
)
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasRelease, CanvasSeam, OfOrder
from app.ground import people, receipts
from app.ground.tables import Receipt
from app.inspection.catalogue import Caution
from app.inspection.facts import CANVAS_KIT, FindingLine, newest_catalogue
from app.intake.facts import OrderHead, order_head
from app.trade.canvas.allowances import Allowance, CutPiece, EdgeKind, Shrink
from app.trade.canvas.mates import (
    SeamSide,
    mate_problems,
    ring_problems,
    seam_problems,
    sewn_problems,
    symmetry_problems,
)
from app.trade.canvas.options import unlike_options
from app.trade.canvas.outline import Outline
from app.trade.canvas.pattern import unlike_frame
from app.trade.canvas.readiness import CHECKED, SHAPE, TAKEN, Kind, Order, Part, holds_back
from app.trade.canvas.taped import Draft
from app.trade.problems import Impossible, Problem
from app.trade.quantity import read_number

Row = TypeVar("Row", bound=OfOrder)


@dataclass(frozen=True)
class Source:
    """An earlier order from which pieces were taken over: its unit, its release then, its raised frame."""

    key: int
    number: str
    unit: int
    made: str
    released_at: datetime | None
    height: str


@dataclass(frozen=True)
class PieceRead:
    """A piece with all that follows from its measures.

    `draft`: outline and what is wrong with the measures. `cut`: where every edge's allowance is known.
    `mark`: what stands on its label ("P7"). `problems`: what is wrong with draft, edges and mate together.
    `seam_problems`: what is wrong with the seams at its edges, which are problems of the order.
    `source`: the earlier order that it was taken over from.
    """

    key: int
    name: str
    mark: str
    row: CanvasPiece
    draft: Draft
    edges: Mapping[str, EdgeSaid]
    cloth: str
    cut: CutPiece | None
    edge_problems: tuple[Problem, ...]
    mate_problems: tuple[Problem, ...] = ()
    seam_problems: tuple[Problem, ...] = ()
    source: Source | None = None

    @property
    def finished(self) -> Outline | None:
        """Its finished outline, seen from outside; None where the measures do not fix one."""
        return self.draft.outline

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Everything wrong or asked about it; the field is the name of an edge or a corner."""
        return (*self.draft.problems, *self.edge_problems, *self.mate_problems)

    @property
    def faults(self) -> tuple[Problem, ...]:
        """What is wrong or asked about its shape, to be marked on its drawing."""
        sewn = self.cut.problems if self.cut else ()
        return (*self.draft.problems, *self.mate_problems, *sewn)

    @property
    def source_mark(self) -> str:
        """What stands on the label of the piece that it was taken over from."""
        return piece_mark(self.row.taken_from_id or 0)

    @property
    def checked(self) -> str:
        """What was found when it was held against this trailer's frame; empty where nobody said yet."""
        return self.row.known.get(CHECKED, "")

    @property
    def warp_angle(self) -> Decimal:
        """Degrees of the warp against the clock from the finished outline's x."""
        return _warp_of(self.row, self.finished)

    @property
    def copies(self) -> int:
        """How many of it are cut."""
        return self.row.copies

    @property
    def cut_mark(self) -> str:
        """What stands on the cloth before the copy's number: of three copies P7.1, P7.2, P7.3; else P7."""
        return f"{self.mark}." if self.copies > 1 else self.mark

    def label(self, copy: int) -> str:
        """What stands on one copy, from 1."""
        return f"{self.cut_mark}{copy}" if self.copies > 1 else self.mark


@dataclass(frozen=True)
class SeamRead:
    """A seam: its two sides with their lengths, and what keeps them from being sewn together."""

    row: CanvasSeam
    one: tuple[SeamSide, ...]
    other: tuple[SeamSide, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class ReleaseRead:
    """The newest release: which one it is, when, by whom, and whether the order was changed since.

    `number`: 1 for the first release of the order, as its labels and papers name it.
    """

    number: int
    at: datetime
    by: str
    stands: bool
    confirmed: tuple[str, ...]


@dataclass(frozen=True)
class OrderRead:
    """A canvas order with everything that follows from it. `version` rises with every change to it.

    `resized`: what of its finished sizes is otherwise than the owner signed. `signed_early`: that they
    signed before any piece was measured, so on no sizes; empty where they did not.
    """

    key: int
    number: str
    head: OrderHead
    row: CanvasOrder
    opened_by: str
    parts: tuple[CanvasPart, ...]
    pieces: tuple[PieceRead, ...]
    seams: tuple[SeamRead, ...]
    version: int
    release: ReleaseRead | None
    resized: tuple[str, ...] = ()
    signed_early: str = ""

    @property
    def released(self) -> bool:
        """Whether it may be cut as it stands now."""
        return self.release is not None and self.release.stands and not self.row.called_off

    @property
    def issue(self) -> str:
        """Which release of it papers and labels are of, in words: cloth is cut by the newest alone."""
        if self.release is None or not self.released:
            return "not released"
        return f"release {self.release.number}"

    @property
    def stands(self) -> str:
        """How far it has come, in words."""
        if self.row.called_off:
            return "Called off"
        if self.release and self.released:
            return "Released to be cut"
        stands = _held(self.holds_back) if self.holds_back else "Ready to be released"
        return f"Changed since it was released: {stands}" if self.release else stands

    @cached_property
    def holds_back(self) -> tuple[Problem, ...]:
        """All that keeps it from being released; what only asks can be kept by who releases it."""
        return holds_back(readiness(self))

    @property
    def unmeasured(self) -> tuple[str, ...]:
        """The names of its pieces whose finished size is still to be measured."""
        return tuple(it.name for it in self.pieces if it.finished is None or not it.draft.stands)

    def of_kind(self, kind: Kind) -> tuple[CanvasPart, ...]:
        """Its parts of one kind."""
        return tuple(part for part in self.parts if part.kind == kind)

    @property
    def sources(self) -> tuple[Source, ...]:
        """The earlier orders from which its pieces were taken over."""
        return tuple(dict.fromkeys(piece.source for piece in self.pieces if piece.source))

    def taken_from(self, source: Source) -> tuple[PieceRead, ...]:
        """Its pieces that were taken over from one earlier order."""
        return tuple(piece for piece in self.pieces if piece.source == source)

    def piece(self, key: int) -> PieceRead | None:
        """Its piece of a key."""
        return next((piece for piece in self.pieces if piece.key == key), None)

    def of_cloth(self, cloth_id: int) -> tuple[PieceRead, ...]:
        """The pieces cut from one cloth, one cut plan."""
        return tuple(piece for piece in self.pieces if piece.row.cloth_id == cloth_id)


def _held(problems: Sequence[Problem]) -> str:
    hard = sum(not problem.ask for problem in problems)
    count = hard or len(problems)
    things = "1 thing" if count == 1 else f"{count} things"
    if not hard:
        return f"{things} to be confirmed"
    return f"{things} hold{'s' if hard == 1 else ''} it back"


def canvas_number(key: int) -> str:
    """The number of a canvas order on pages and papers: K-0012."""
    return f"K-{key:04}"


def piece_mark(key: int) -> str:
    """What stands on the label of a piece: P7."""
    return f"P{key}"


def canvas_order(session: Session, key: int) -> OrderRead:
    """One canvas order; NoResultFound where there is none of that key."""
    row = session.get_one(CanvasOrder, key)
    parts = tuple(rows_of(session, CanvasPart, key))
    pieces = _pieces(session, key, {part.key: part for part in parts})
    seams = _seams(session, key, pieces)
    version = version_of(session, row)
    release = _release(session, key, version)
    then = _as_signed(session, key)
    return OrderRead(
        key=key,
        number=canvas_number(key),
        head=order_head(session, row.work_order_id),
        row=row,
        opened_by=people.names(session)[row.opened_by],
        parts=parts,
        pieces=tuple(replace(piece, seam_problems=_at_edges(piece, seams)) for piece in pieces),
        seams=seams,
        version=version,
        release=release,
        resized=_resized(then, pieces) if then is not None else (),
        signed_early=EARLY if then is not None and all(it.outline is None for it in then.values()) else "",
    )


def _as_signed(session: Session, key: int) -> Mapping[int, Sized] | None:
    """Pieces as the owner signed them; None where nobody signed."""
    if (rows := pieces_signed(session, key)) is None:
        return None
    return {key: Sized(row.name, _draft(row, rows).outline, row.copies) for key, row in rows.items()}


def _resized(then: Mapping[int, Sized], pieces: Sequence[PieceRead]) -> tuple[str, ...]:
    return resized(then, {it.key: Sized(it.name, it.finished, it.copies) for it in pieces})


def canvas_orders(session: Session, work_order_id: int) -> list[OrderRead]:
    """The canvas orders of a work order, the oldest first, without those called off."""
    asked = select(CanvasOrder.id).where(
        CanvasOrder.work_order_id == work_order_id, col(CanvasOrder.called_off) == ""
    )
    return [canvas_order(session, key) for key in session.exec(asked.order_by(col(CanvasOrder.id))) if key]


def cautions(session: Session) -> tuple[Caution, ...]:
    """What stands beside the measuring of canvas: the cautions of the kit that makes it."""
    catalogue = newest_catalogue(session)
    return catalogue.cautions_of(catalogue.kit(CANVAS_KIT))


def findings_about_canvas(session: Session, work_order_id: int) -> list[FindingLine]:
    """Open findings of a work order that are answered by new canvas, the heaviest first."""
    return [line for line in open_findings(session, work_order_id) if line.about_canvas]


def led_to(session: Session, finding_ids: Iterable[int]) -> dict[int, int]:
    """By the key of a finding, that of the canvas order that it led to, unless that was called off."""
    asked = select(CanvasOrder.finding_id, CanvasOrder.id).where(
        col(CanvasOrder.finding_id).in_(finding_ids), CanvasOrder.called_off == ""
    )
    return {finding: key for finding, key in session.exec(asked) if finding and key}


def rows_of(session: Session, kind: type[Row], order_id: int) -> list[Row]:
    """The rows of one kind of an order that were not taken off, in the order in which they were added."""
    asked = select(kind).where(kind.canvas_order_id == order_id, col(kind.taken_off).is_(False))
    return list(session.exec(asked.order_by(col(kind.id))))


def version_of(session: Session, order: CanvasOrder) -> int:
    """Rises by one with every change to the order, its parts, pieces and seams, and never falls.

    What says nothing of the cloth leaves it as it is.
    """
    return session.exec(select(version_now()).where(CanvasOrder.id == order.key)).one()


def version_now() -> ColumnElement[int]:
    """The version of an order as SQL counts it, for a query over CanvasOrder."""
    own = col(CanvasOrder.revision) - col(CanvasOrder.asides)
    return own + _changes(CanvasPart) + _changes(CanvasPiece) + _changes(CanvasSeam)


def _changes(kind: type[OfOrder]) -> ColumnElement[int]:
    changes = func.coalesce(func.sum(col(kind.revision) + 1), 0)
    return select(changes).where(kind.canvas_order_id == CanvasOrder.id).scalar_subquery()


def _release(session: Session, key: int, version: int) -> ReleaseRead | None:
    asked = select(CanvasRelease).where(CanvasRelease.canvas_order_id == key)
    rows = session.exec(asked.order_by(col(CanvasRelease.id))).all()
    if not rows:
        return None
    row, by = rows[-1], people.names(session)[rows[-1].released_by]
    return ReleaseRead(len(rows), row.created_at, by, row.version == version, tuple(row.confirmed))


# Pieces


def measured_of(row: CanvasPiece) -> Measured:
    """A piece's measures as typed."""
    return Measured(How(row.how), row.corners, row.typed, row.unit, frozenset(row.inward))


def _pieces(session: Session, key: int, parts: Mapping[int, CanvasPart]) -> tuple[PieceRead, ...]:
    rows = {row.key: row for row in rows_of(session, CanvasPiece, key)}
    read = {row.key: _piece(row, _draft(row, rows), parts.get(row.cloth_id or 0)) for row in rows.values()}
    sources = _sources(session, rows.values())
    return tuple(
        replace(
            piece,
            source=sources.get(piece.key),
            edge_problems=(*piece.edge_problems, *_unlike_original(piece, read)),
            mate_problems=(*_unlike_mate(piece, read), *_unlike_halves(piece)),
        )
        for piece in read.values()
    )


def _sources(session: Session, rows: Iterable[CanvasPiece]) -> Mapping[int, Source]:
    """By the key of a piece, the earlier order that it was taken over from."""
    taken = [row for row in rows if row.taken_from_id]
    from_order = {
        row.key: (session.get_one(CanvasPiece, row.taken_from_id).canvas_order_id, row.created_at)
        for row in taken
    }
    found = {act: _source(session, *act) for act in set(from_order.values())}
    return {key: found[act] for key, act in from_order.items()}


def _source(session: Session, key: int, taken_at: datetime) -> Source:
    head = order_head(session, session.get_one(CanvasOrder, key).work_order_id)
    newest = _released_before(session, key, receipts.entry_at(session, taken_at))
    frame = (CanvasPart.canvas_order_id == key, CanvasPart.kind == Kind.FRAME)
    known = session.exec(select(CanvasPart.known).where(*frame)).one()
    return Source(key, canvas_number(key), head.number, head.made, newest, known.get("height", ""))


def _released_before(session: Session, key: int, entry: int) -> datetime | None:
    """When an order was released last before an act of the book, whatever the clock said; None if never."""
    act = (col(Receipt.subject) == str(CanvasRelease.__tablename__)) & (
        col(Receipt.subject_id) == col(CanvasRelease.id)
    )
    released = select(CanvasRelease.created_at).join(Receipt, act)
    before = (CanvasRelease.canvas_order_id == key, col(Receipt.id) < entry)
    return session.exec(released.where(*before).order_by(col(Receipt.id).desc()).limit(1)).first()


def _draft(row: CanvasPiece, rows: Mapping[int, CanvasPiece]) -> Draft:
    if row.how != How.MIRROR:
        return draft_of(measured_of(row))
    original = rows.get(row.mirror_of_id or 0)
    if original is None or original.how == How.MIRROR:
        return Draft(None, (Problem("", "The piece that this mirrors was taken off", "its own measures"),))
    return mirrored(draft_of(measured_of(original)))


def _piece(row: CanvasPiece, draft: Draft, cloth: CanvasPart | None) -> PieceRead:
    edges = {name: EdgeSaid(**said) for name, said in row.edges.items()}
    cut: CutPiece | None = None
    wrong: tuple[Problem, ...] = ()
    if draft.stands and draft.outline is not None:
        sewn = to_sew(draft.outline, edges, shrink_of(cloth, _warp_of(row, draft.outline)))
        cut, wrong = sewn.cut, sewn.problems
    name = cloth.place if cloth else ""
    return PieceRead(row.key, row.name, piece_mark(row.key), row, draft, edges, name, cut, wrong)


def _warp_of(row: CanvasPiece, outline: Outline | None) -> Decimal:
    """Its warp from the outline's x: said from side A to B, which lies anyhow where places were measured."""
    said = read_number(row.warp_angle)
    return said + outline.edge("A-B").bearing if outline else said


def shrink_of(cloth: CanvasPart | None, warp_angle: Decimal) -> Shrink:
    """What the cloth of a piece shrinks; nothing where that is not known yet, which the release asks for."""
    said = cloth.known.get("shrink", "") if cloth else ""
    try:
        return Shrink(*read_shrink(said), warp_angle)
    except Impossible:
        return Shrink(warp_angle=warp_angle)


def allowances_of(piece: PieceRead) -> dict[str, Allowance]:
    """The allowance of each edge of a piece whose `cut` is there."""
    found = {name: allowance_of(said) for name, said in piece.edges.items()}
    return {name: allowance for name, allowance in found.items() if allowance}


def _unlike_mate(piece: PieceRead, read: Mapping[int, PieceRead]) -> tuple[Problem, ...]:
    mate = read.get(piece.row.mate_of_id or 0)
    if mate is None or mate.finished is None or piece.finished is None:
        return ()
    if mate.draft.stretched or piece.draft.stretched:
        return ()
    return mate_problems(piece.finished, lettered_as(piece.finished, mate.finished))


def _unlike_original(piece: PieceRead, read: Mapping[int, PieceRead]) -> tuple[Problem, ...]:
    """Edges of a mirror that are made otherwise than those of the piece that it mirrors."""
    original = read.get(piece.row.mirror_of_id or 0)
    if original is None or piece.finished is None:
        return ()
    pairs = [(it, piece.edges.get(it.name), original.edges.get(it.name)) for it in piece.finished.edges]
    return tuple(
        Problem(
            edge.name,
            f"Edge {edge.words} is not made as that of {original.name}, which it mirrors",
            "both alike",
            ask=True,
        )
        for edge, mine, theirs in pairs
        if mine and theirs and mine.made != theirs.made
    )


def _unlike_halves(piece: PieceRead) -> tuple[Problem, ...]:
    if not piece.row.halves or piece.finished is None or piece.draft.stretched:
        return ()
    return symmetry_problems(piece.finished)


# Seams


def pieces_in(row: CanvasSeam) -> set[int]:
    """The keys of the pieces that a seam holds together."""
    return {int(edge.partition(":")[0]) for edge in (*row.one, *row.other)}


def _seams(session: Session, key: int, pieces: tuple[PieceRead, ...]) -> tuple[SeamRead, ...]:
    known = {piece.key: piece for piece in pieces}
    return tuple(_seam(row, known) for row in rows_of(session, CanvasSeam, key))


def _at_edges(piece: PieceRead, seams: Iterable[SeamRead]) -> tuple[Problem, ...]:
    """What is wrong with the seams of a piece, at each edge; one that is not compared says nothing."""
    return tuple(
        replace(problem, field=name)
        for seam in seams
        for key, _, name in (edge.partition(":") for edge in (*seam.row.one, *seam.row.other))
        if int(key) == piece.key
        for problem in seam.problems
        if problem.field
    )


def _seam(row: CanvasSeam, pieces: Mapping[int, PieceRead]) -> SeamRead:
    held = [piece for key in sorted(pieces_in(row)) if (piece := pieces.get(key))]
    outlines = {it.key: (it.name, it.finished) for it in held if it.finished and it.draft.stands}
    one, other = sides_of(row.one, outlines), sides_of(row.other, outlines)
    if drafts := [it.name for it in held if it.key not in outlines]:
        are = "is a draft" if len(drafts) == 1 else "are drafts"
        says = f"Seam {row.name} cannot be compared: {' and '.join(drafts)} {are}"
        return SeamRead(row, one, other, (Problem("", says, "measures that fix every piece of it"),))
    if len(one) > 1:
        return SeamRead(row, one, other, ring_problems(one, other[0]))
    ease = read_number(row.ease) if row.ease.strip() else Decimal(0)
    unlike = seam_problems(one[0], other[0], ease)
    return SeamRead(row, one, other, (*unlike, *sewn_problems(one[0], other[0], *_kinds(row, pieces))))


def _kinds(row: CanvasSeam, pieces: Mapping[int, PieceRead]) -> tuple[EdgeKind | None, EdgeKind | None]:
    """What is done with the two edges of a seam; None where it is not said."""
    edges = (side[0].partition(":") for side in (row.one, row.other))
    said = (pieces[int(key)].edges.get(name, EdgeSaid()).kind for key, _, name in edges)
    one, other = (EdgeKind(kind) if kind else None for kind in said)
    return one, other


# Release


def readiness(order: OrderRead) -> Order:
    """The order as the trade judges whether it is ready."""
    parts = [
        Part(Kind(row.kind), f"part-{row.key}", row.place, known_of(order.row, row)) for row in order.parts
    ]
    old = [
        (row, Part(Kind.ZIPPER, f"part-{row.key}-old", f"old half at {row.place}", row.old))
        for row in order.parts
        if row.runs_with_old
    ]
    new = {part.key: part for part in parts}
    of_pieces = (part for piece in order.pieces for part in _of_piece(piece))
    return Order(
        parts=(*parts, *(part for _, part in old), *of_pieces),
        drafts={f"piece-{piece.key}": Draft(piece.finished, piece.problems) for piece in order.pieces},
        found=(
            *unlike_options(parts),
            *_unlike_frames(order, parts),
            *_unsigned(order, parts),
            *(problem for seam in order.seams for problem in seam.problems),
        ),
        zipped=tuple((new[f"part-{row.key}"], part) for row, part in old),
    )


def _unlike_frames(order: OrderRead, parts: Iterable[Part]) -> tuple[Problem, ...]:
    frames = [part for part in parts if part.kind is Kind.FRAME]
    return tuple(
        problem
        for source in order.sources
        for frame in frames
        for problem in unlike_frame(frame, source.height, source.number)
    )


def _unsigned(order: OrderRead, parts: Iterable[Part]) -> tuple[Problem, ...]:
    """Sizes that are otherwise than signed, at the order's signature: there it is written anew."""
    fields = (f"{part.key}.{SIGNED}" for part in parts if part.kind is Kind.ORDER)
    return tuple(Problem(field, says, ANEW) for field in fields for says in order.resized)


def known_of(order: CanvasOrder, part: CanvasPart) -> Mapping[str, str]:
    """What is known of a part, and of the order's own where its shape comes from."""
    return {**part.known, SHAPE: order.pattern} if part.kind == Kind.ORDER else part.known


def _of_piece(piece: PieceRead) -> tuple[Part, ...]:
    known = {**piece.row.known, "cloth": piece.cloth, TAKEN: piece.source.number if piece.source else ""}
    edges = piece.finished.edges if piece.finished else ()
    return (
        Part(Kind.PIECE, f"piece-{piece.key}", piece.name, known),
        *(
            Part(
                Kind.EDGE,
                f"piece-{piece.key}.{edge.name}",
                f"edge {edge.words} of {piece.name}",
                {"held": piece.edges.get(edge.name, EdgeSaid()).held},
            )
            for edge in edges
        ),
    )

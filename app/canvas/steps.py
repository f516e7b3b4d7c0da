"""What is done in the canvas room: orders opened and answered, pieces measured, orders released."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import Any, TypeVar

from sqlalchemy import Engine
from sqlmodel import Session

from app.canvas import facts
from app.canvas.rules import How, aside
from app.canvas.said import EdgesSaid, NewPiece, OrderSaid, PartSaid, PieceSaid, SeamSaid
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasRelease, CanvasSeam, OfOrder
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.inspection.tables import Finding
from app.intake.facts import order_head
from app.trade.canvas.outline import turned_over
from app.trade.canvas.pattern import piece_along
from app.trade.canvas.readiness import Kind
from app.trade.letters import apart
from app.trade.problems import Problem, Refused
from app.trade.quantity import read_number

Row = TypeVar("Row", bound=OfOrder)
ALWAYS = (Kind.ORDER, Kind.FRAME)
NO_VIN = "no VIN in the book"


def open_order(book: Engine, act: Act, work_order_id: int, finding_id: int | None = None) -> int:
    """Open a canvas order for the unit of a work order; returns its key.

    What the plate says is taken from the check-in. Raises Refused where the finding led to one already,
    NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        head = order_head(session, work_order_id)
        _refuse_second(session, finding_id)
        order = CanvasOrder(
            created_at=act.at, work_order_id=work_order_id, finding_id=finding_id, opened_by=act.person
        )
        session.add(order)
        session.flush()
        plate = f"{head.made}, {f'VIN {head.vin}' if head.vin else NO_VIN}" if head.made else ""
        known = {Kind.ORDER: {"unit": plate} if plate else {}, Kind.FRAME: {}}
        names = {Kind.ORDER: "the order", Kind.FRAME: "the frame"}
        parts = [_part(act, order.key, kind, names[kind], known[kind]) for kind in ALWAYS]
        return receipts.sign(session, act, "open canvas order", order, *parts)


def _refuse_second(session: Session, finding_id: int | None) -> None:
    if finding_id is None:
        return
    session.get_one(Finding, finding_id)
    if there := facts.led_to(session, [finding_id]).get(finding_id):
        says = f"This finding has led to canvas order {facts.canvas_number(there)} already"
        raise Refused([Problem("finding", says, "that order, or another finding")])


def _part(act: Act, order_id: int, kind: Kind, place: str, known: Mapping[str, str]) -> CanvasPart:
    return CanvasPart(created_at=act.at, canvas_order_id=order_id, kind=kind, place=place, known=dict(known))


def still_open(session: Session, order_id: int) -> CanvasOrder:
    """The row of an order that goes on; Refused where it was called off, NoResultFound."""
    order = session.get_one(CanvasOrder, order_id)
    if order.called_off:
        raise Refused([Problem("", "This canvas order was called off", "a new one")])
    return order


def _there(session: Session, kind: type[Row], key: int) -> Row:
    """A row of an order that goes on; Refused where it was taken off meanwhile."""
    row = session.get_one(kind, key)
    still_open(session, row.canvas_order_id)
    if row.taken_off:
        raise Refused([Problem("", "This was taken off the order", "a new one")])
    return row


def save_order(book: Engine, act: Act, order_id: int, said: OrderSaid) -> int:
    """Keep what the order's own form says; returns its key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = still_open(session, order_id)
        receipts.current(order.revision, act)
        order.asides += aside(order.model_dump(), asdict(said))
        return _saved(session, act, "save canvas order", order, asdict(said))


def _saved(
    session: Session,
    act: Act,
    verb: str,
    row: CanvasOrder | OfOrder,
    values: Mapping[str, Any],
    *beside: CanvasOrder,
) -> int:
    for name, value in values.items():
        setattr(row, name, value)
    row.revision += 1
    return receipts.sign(session, act, verb, row, *beside)


def call_off(book: Engine, act: Act, order_id: int, why: str) -> int:
    """Call an order off, with the reason; returns its key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = still_open(session, order_id)
        receipts.current(order.revision, act)
        return _saved(session, act, "call off canvas order", order, {"called_off": why})


# Parts


def add_part(book: Engine, act: Act, order_id: int, kind: Kind, place: str) -> int:
    """Add a cloth, window, zipper or row of fasteners; returns the part's key.

    Raises Refused, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        still_open(session, order_id)
        return receipts.sign(session, act, "add canvas part", _part(act, order_id, kind, place, {}))


def save_part(book: Engine, act: Act, part_id: int, said: PartSaid) -> int:
    """Keep the answers of a part; returns its key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        part = _there(session, CanvasPart, part_id)
        receipts.current(part.revision, act)
        order = session.get_one(CanvasOrder, part.canvas_order_id)
        order.asides += aside(part.model_dump(), asdict(said))
        return _saved(session, act, "save canvas part", part, asdict(said), order)


def take_part_off(book: Engine, act: Act, part_id: int) -> int:
    """Take a part off its order; returns the order's key.

    Raises Refused for the order's own questions and the frame, and for a cloth that pieces are cut from;
    Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return session.get_one(CanvasPart, made).canvas_order_id
        part = _there(session, CanvasPart, part_id)
        receipts.current(part.revision, act)
        if part.kind in ALWAYS:
            raise Refused([Problem("", f"Every canvas order has {part.place}", "answers for it")])
        _refuse_used(session, part)
        _saved(session, act, "take canvas part off", part, {"taken_off": True})
        return part.canvas_order_id


def _refuse_used(session: Session, part: CanvasPart) -> None:
    pieces = facts.rows_of(session, CanvasPiece, part.canvas_order_id)
    cut = [piece for piece in pieces if piece.cloth_id == part.key]
    if cut:
        raise Refused([_is_cut(piece, part) for piece in cut])


def _is_cut(piece: CanvasPiece, part: CanvasPart) -> Problem:
    says = f"{apart(piece.name)} is cut from {apart(part.place)}"
    return Problem(f"piece-{piece.key}.cloth", says, "another cloth for it first")


# Pieces


def add_piece(book: Engine, act: Act, order_id: int, said: NewPiece) -> int:
    """Add a piece to measure, or the mirror of another; returns its key.

    A mirror takes over edges, cloth and answers, and its warp is mirrored too. Raises Refused, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        still_open(session, order_id)
        piece = CanvasPiece(
            created_at=act.at,
            canvas_order_id=order_id,
            name=said.name,
            how=said.how,
            corners=said.corners,
            unit=said.unit,
        )
        if said.how is How.MIRROR:
            _mirror(session, piece, said.mirror_of)
        return receipts.sign(session, act, "add canvas piece", piece)


def _mirror(session: Session, piece: CanvasPiece, original_id: int | None) -> None:
    original = _there(session, CanvasPiece, original_id or 0)
    if original.canvas_order_id != piece.canvas_order_id or original.how == How.MIRROR:
        raise Refused(
            [Problem("mirror_of", "That piece cannot be mirrored", "a measured piece of this order")]
        )
    piece.mirror_of_id, piece.corners, piece.unit = original.key, original.corners, original.unit
    piece.edges, piece.known = dict(original.edges), piece_along(original.known)
    piece.cloth_id = original.cloth_id
    piece.warp_angle = f"{turned_over(read_number(original.warp_angle))}"
    piece.copies = original.copies


def save_measures(book: Engine, act: Act, piece_id: int, said: PieceSaid) -> int:
    """Keep the measures of a piece as typed, a draft too; returns its key.

    Raises Refused, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        piece = _there(session, CanvasPiece, piece_id)
        receipts.current(piece.revision, act)
        return _saved(session, act, "measure canvas piece", piece, asdict(said))


def save_edges(book: Engine, act: Act, piece_id: int, said: EdgesSaid) -> int:
    """Keep what is done with a piece's edges, and its cloth; returns its key.

    Raises Refused, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        piece = _there(session, CanvasPiece, piece_id)
        receipts.current(piece.revision, act)
        return _saved(session, act, "save canvas edges", piece, asdict(said))


def take_piece_off(book: Engine, act: Act, piece_id: int) -> int:
    """Take a piece off its order; returns the order's key.

    Raises Refused where another mirrors it or a seam is sewn to it, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return session.get_one(CanvasPiece, made).canvas_order_id
        piece = _there(session, CanvasPiece, piece_id)
        receipts.current(piece.revision, act)
        _refuse_leant_on(session, piece)
        _saved(session, act, "take canvas piece off", piece, {"taken_off": True})
        return piece.canvas_order_id


def _refuse_leant_on(session: Session, piece: CanvasPiece) -> None:
    if leaning := [*_leaning(session, piece)]:
        raise Refused(leaning)


def _leaning(session: Session, piece: CanvasPiece) -> Iterator[Problem]:
    """What rests on a piece, each with the field or the place where that is changed."""
    rests, gone = f"rests on {apart(piece.name)}", "that taken off first"
    for it in facts.rows_of(session, CanvasPiece, piece.canvas_order_id):
        if it.mirror_of_id == piece.key:
            yield Problem(f"piece-{it.key}.", f"{apart(it.name)}, its mirror, {rests}", gone)
        elif it.mate_of_id == piece.key:
            says = f"{apart(it.name)}, its mate, {rests}"
            yield Problem(f"piece-{it.key}.mate_of", says, "another mate for it, or none, first")
    for seam in facts.rows_of(session, CanvasSeam, piece.canvas_order_id):
        if piece.key in facts.pieces_in(seam):
            yield Problem(f"seam-{seam.key}", f"Seam {apart(seam.name)} {rests}", gone)


# Release


def release(book: Engine, act: Act, order_id: int, confirmed: Sequence[str]) -> int:
    """Release an order to be cut as it stands; returns the release's key.

    `act.seen`: the version that was looked at. `confirmed`: what was asked and is kept all the same.
    Raises Refused with all that holds it back, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        still_open(session, order_id)
        order = facts.canvas_order(session, order_id)
        receipts.current(order.version, act)
        asked = [problem.says for problem in order.holds_back if problem.ask]
        if left := [it for it in order.holds_back if not it.ask or it.says not in confirmed]:
            raise Refused(left)
        if order.released:
            raise Refused([Problem("", "It is released as it stands", "a change first")])
        row = CanvasRelease(
            created_at=act.at,
            canvas_order_id=order_id,
            version=order.version,
            confirmed=asked,
            released_by=act.person,
        )
        return receipts.sign(session, act, "release canvas order", row)


# Seams


def add_seam(book: Engine, act: Act, order_id: int, said: SeamSaid) -> int:
    """Name edges that are sewn to each other, so that their lengths are compared; returns the order's key.

    Raises Refused, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return session.get_one(CanvasSeam, made).canvas_order_id
        still_open(session, order_id)
        seam = CanvasSeam(created_at=act.at, canvas_order_id=order_id, **asdict(said))
        receipts.sign(session, act, "add canvas seam", seam)
        return order_id


def take_seam_off(book: Engine, act: Act, seam_id: int) -> int:
    """Take a seam off its order; returns the order's key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return session.get_one(CanvasSeam, made).canvas_order_id
        seam = _there(session, CanvasSeam, seam_id)
        receipts.current(seam.revision, act)
        _saved(session, act, "take canvas seam off", seam, {"taken_off": True})
        return seam.canvas_order_id

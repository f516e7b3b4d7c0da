"""An order by a pattern on file: which earlier orders are offered, and pieces of one taken over in one act.

A whole tent or one section: the pieces that were picked come over, with the seams between them alone.
Everything comes as it was typed and stays open to correction. What stands in the order is left alone, and
each piece must be held against this trailer's frame before the order is released (readiness.CHECKED).
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas.facts import OrderRead, PieceRead, canvas_number, canvas_order, version_now
from app.canvas.said import EARLIER, TAKES, Pattern, Taking
from app.canvas.steps import still_open
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasRelease, CanvasSeam
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.intake.facts import made_of
from app.intake.tables import Unit, WorkOrder
from app.trade.canvas.pattern import cloth_along, piece_along
from app.trade.canvas.readiness import Kind
from app.trade.problems import Problem, Refused

# Of a piece as it stands; not its photos, which show another trailer's canvas.
MEASURES = ("name", "how", "corners", "unit", "typed", "inward", "halves", "note")
AS_TYPED = (*MEASURES, "edges", "warp_angle", "copies")

Pieces = Mapping[int, CanvasPiece]  # the new pieces, by the key of the one that each was taken over from


@dataclass(frozen=True)
class Offer:
    """An earlier order of which pieces can be taken over, by key and name.

    `alike`: for a unit of this make and model.
    """

    key: int
    number: str
    unit: int
    made: str
    released_at: datetime
    pieces: Mapping[int, str]
    alike: bool


def offers_for(session: Session, order: OrderRead) -> list[Offer]:
    """The orders whose pieces can be taken over: units of this make and model first, then the newest.

    They are released as they stand, so that every measure is whole and the sizes were agreed. None for an
    order whose shape comes from elsewhere.
    """
    if order.row.pattern != Pattern.FILE:
        return []
    mine, names = session.get_one(Unit, order.head.unit_id), _names(session)
    offers = [
        Offer(key, canvas_number(key), unit.number, made_of(unit), at, names[key], _alike(unit, mine))
        for key, unit, at in _released(session)
        if key != order.key and key in names
    ]
    return sorted(offers, key=lambda it: (not it.alike, -it.key))


def _released(session: Session) -> Iterator[tuple[int, Unit, datetime]]:
    """Orders that are released as they stand, each with its unit and its release."""
    asked = (
        select(CanvasRelease.canvas_order_id, Unit, CanvasRelease.created_at)
        .join(CanvasOrder, col(CanvasOrder.id) == CanvasRelease.canvas_order_id)
        .join(WorkOrder, col(WorkOrder.id) == CanvasOrder.work_order_id)
        .join(Unit, col(Unit.id) == WorkOrder.unit_id)
        .where(CanvasOrder.called_off == "", CanvasRelease.version == version_now())
    )
    yield from session.exec(asked)


def _names(session: Session) -> Mapping[int, Mapping[int, str]]:
    """The pieces of every order, key and name, in the order in which they were added."""
    asked = select(CanvasPiece).where(col(CanvasPiece.taken_off).is_(False)).order_by(col(CanvasPiece.id))
    found: dict[int, dict[int, str]] = {}
    for row in session.exec(asked):
        found.setdefault(row.canvas_order_id, {})[row.key] = row.name
    return found


def _alike(one: Unit, other: Unit) -> bool:
    return _model(one) == _model(other)


def _model(unit: Unit) -> tuple[str, str]:
    return unit.maker.casefold(), unit.model.casefold()


# Taking over


def take_over(book: Engine, act: Act, order_id: int, taking: Taking) -> int:
    """Take pieces of an earlier order over, with edges, seams, mates and cloth; returns the order's key.

    `act.seen`: the version of the order that was looked at. Raises Refused where its shape does not come
    from a pattern on file, where the earlier order is not released as it stands, where a piece of such a
    name stands here already, and for a mirror without the piece that it mirrors; Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = still_open(session, order_id)
        order, earlier = canvas_order(session, order_id), canvas_order(session, taking.earlier)
        receipts.current(order.version, act)
        picked = [it for it in earlier.pieces if it.key in taking.pieces]
        if problems := [*_unfit(order, earlier, picked)]:
            raise Refused(problems)
        cloths = _cloths(session, act, order, earlier, picked)
        pieces = _pieces(session, act, order, picked, cloths)
        named = _named(order, earlier)
        seams = [_seam(act, order, it.row, pieces) for it in earlier.seams if _between(it.row, pieces)]
        others = (*pieces.values(), *cloths.values(), *seams, *named)
        return receipts.sign(session, act, "take canvas pattern over", row, *others)


def _unfit(order: OrderRead, earlier: OrderRead, picked: Sequence[PieceRead]) -> Iterator[Problem]:
    if order.row.pattern != Pattern.FILE:
        says = "The shape of this order does not come from a pattern on file"
        yield Problem(EARLIER, says, "that said first, under who makes it")
    if earlier.key == order.key or not earlier.released:
        says = f"The pieces of {earlier.number} are not agreed as they stand now"
        yield Problem(EARLIER, says, "its release once more, or another order")
    there = {piece.name.casefold() for piece in order.pieces}
    if twice := [piece.name for piece in picked if piece.name.casefold() in there]:
        says = f"In this order there is already: {', '.join(twice)}"
        yield Problem(TAKES, says, "that left out, or what is here taken off or named otherwise first")
    yield from _halved(earlier, picked)


def _halved(earlier: OrderRead, picked: Sequence[PieceRead]) -> Iterator[Problem]:
    """A mirror has no measures of its own: it comes with the piece that it mirrors, or not."""
    keys = {piece.key for piece in picked}
    for piece in picked:
        original = earlier.piece(piece.row.mirror_of_id or 0)
        if original and original.key not in keys:
            says = f"{piece.name} is cut as the mirror of {original.name}"
            yield Problem(TAKES, says, f"{original.name} too, or neither")


def _cloths(
    session: Session, act: Act, order: OrderRead, earlier: OrderRead, picked: Sequence[PieceRead]
) -> dict[int, CanvasPart]:
    """By the key of a cloth of the earlier order, that of this one: of the same name, else a new one.

    Where this order has cloths, but none of that name, which it is cut from is asked of the piece.
    """
    here = {part.place.casefold(): part for part in order.of_kind(Kind.CLOTH)}
    cut = {piece.row.cloth_id for piece in picked}
    used = [part for part in earlier.of_kind(Kind.CLOTH) if part.key in cut]
    if here:
        return {part.key: here[name] for part in used if (name := part.place.casefold()) in here}
    new = {part.key: _cloth(act, order, part) for part in used}
    session.add_all(new.values())
    session.flush()
    return new


def _cloth(act: Act, order: OrderRead, cloth: CanvasPart) -> CanvasPart:
    known = cloth_along(cloth.known)
    return CanvasPart(
        created_at=act.at, canvas_order_id=order.key, kind=Kind.CLOTH, place=cloth.place, known=known
    )


def _pieces(
    session: Session,
    act: Act,
    order: OrderRead,
    picked: Sequence[PieceRead],
    cloths: Mapping[int, CanvasPart],
) -> Pieces:
    old = [piece.row for piece in picked]
    new = {row.key: _piece(act, order, row, cloths.get(row.cloth_id or 0)) for row in old}
    session.add_all(new.values())
    session.flush()
    for row in old:
        new[row.key].mirror_of_id = _key(new, row.mirror_of_id)
        new[row.key].mate_of_id = _key(new, row.mate_of_id)
    return new


def _piece(act: Act, order: OrderRead, row: CanvasPiece, cloth: CanvasPart | None) -> CanvasPiece:
    return CanvasPiece(
        created_at=act.at,
        canvas_order_id=order.key,
        taken_from_id=row.key,
        cloth_id=cloth.key if cloth else None,
        known=piece_along(row.known),
        **{name: deepcopy(getattr(row, name)) for name in AS_TYPED},
    )


def _key(new: Pieces, old: int | None) -> int | None:
    """The key of the new piece in place of an old one; None of one that was taken off or left out."""
    found = new.get(old or 0)
    return found.key if found else None


def _between(row: CanvasSeam, pieces: Pieces) -> bool:
    """Whether a seam runs between pieces that all come over; a ring without one wall closes no more."""
    return all(int(edge.partition(":")[0]) in pieces for edge in (*row.one, *row.other))


def _seam(act: Act, order: OrderRead, row: CanvasSeam, pieces: Pieces) -> CanvasSeam:
    one, other = (_edges(side, pieces) for side in (row.one, row.other))
    return CanvasSeam(
        created_at=act.at, canvas_order_id=order.key, name=row.name, one=one, other=other, ease=row.ease
    )


def _edges(side: Iterable[str], pieces: Pieces) -> list[str]:
    """The edges of a side, each with the key of the new piece: `7:A-B`."""
    named = (edge.partition(":") for edge in side)
    return [f"{pieces[int(key)].key}:{edge}" for key, _, edge in named]


def _named(order: OrderRead, earlier: OrderRead) -> list[CanvasPart]:
    """The order's own part with its pattern named, where nobody named it; none where somebody did."""
    unnamed = [part for part in order.of_kind(Kind.ORDER) if not part.known.get("pattern", "").strip()]
    for part in unnamed:
        pattern = f"canvas order {earlier.number}, unit {earlier.head.number}"
        part.known = {**part.known, "pattern": pattern}
        part.revision += 1
    return unnamed

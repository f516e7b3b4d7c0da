"""An order by a pattern on file: which earlier orders are offered, and their pieces taken over in one act.

Everything comes as it was typed and stays open to correction. What stands in the order is left alone, and
each piece must be held against this trailer's frame before the order is released (readiness.CHECKED).
"""

from collections.abc import Iterable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas.facts import OrderRead, canvas_number, canvas_order, version_now
from app.canvas.said import EARLIER, Pattern
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
    """An earlier order of which the pieces can be taken over; `alike`: for a unit of this make and model."""

    key: int
    number: str
    unit: int
    made: str
    released_at: datetime
    pieces: tuple[str, ...]
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


def _names(session: Session) -> Mapping[int, tuple[str, ...]]:
    """The names of the pieces of every order, in the order in which they were added."""
    asked = select(CanvasPiece.canvas_order_id, CanvasPiece.name).where(col(CanvasPiece.taken_off).is_(False))
    found: dict[int, tuple[str, ...]] = {}
    for key, name in session.exec(asked.order_by(col(CanvasPiece.id))):
        found[key] = (*found.get(key, ()), name)
    return found


def _alike(one: Unit, other: Unit) -> bool:
    return _model(one) == _model(other)


def _model(unit: Unit) -> tuple[str, str]:
    return unit.maker.casefold(), unit.model.casefold()


# Taking over


def take_over(book: Engine, act: Act, order_id: int, earlier_id: int) -> int:
    """Take the pieces of an earlier order over, with their edges, seams, mates and cloth; returns its key.

    `act.seen`: the version of the order that was looked at. Raises Refused where its shape does not come
    from a pattern on file, where the earlier order is not released as it stands, and where a piece of such a
    name stands here already; Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = still_open(session, order_id)
        order, earlier = canvas_order(session, order_id), canvas_order(session, earlier_id)
        receipts.current(order.version, act)
        if problems := [*_unfit(order, earlier)]:
            raise Refused(problems)
        cloths = _cloths(session, act, order, earlier)
        pieces = _pieces(session, act, order, earlier, cloths)
        named = _named(order, earlier)
        seams = [_seam(act, order, it.row, pieces) for it in earlier.seams]
        others = (*pieces.values(), *cloths.values(), *seams, *named)
        return receipts.sign(session, act, "take canvas pattern over", row, *others)


def _unfit(order: OrderRead, earlier: OrderRead) -> Iterator[Problem]:
    if order.row.pattern != Pattern.FILE:
        says = "The shape of this order does not come from a pattern on file"
        yield Problem(EARLIER, says, "that said first, under who makes it")
    if earlier.key == order.key or not earlier.released:
        says = f"The pieces of {earlier.number} are not agreed as they stand now"
        yield Problem(EARLIER, says, "its release once more, or another order")
    there = {piece.name.casefold() for piece in order.pieces}
    if twice := [piece.name for piece in earlier.pieces if piece.name.casefold() in there]:
        says = f"In this order there is already: {', '.join(twice)}"
        yield Problem(EARLIER, says, "that taken off or given another name first; nothing is overwritten")


def _cloths(session: Session, act: Act, order: OrderRead, earlier: OrderRead) -> dict[int, CanvasPart]:
    """By the key of a cloth of the earlier order, that of this one: of the same name, else a new one.

    Where this order has cloths, but none of that name, which it is cut from is asked of the piece.
    """
    here = {part.place.casefold(): part for part in order.of_kind(Kind.CLOTH)}
    used = [part for part in earlier.of_kind(Kind.CLOTH) if earlier.of_cloth(part.key)]
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
    session: Session, act: Act, order: OrderRead, earlier: OrderRead, cloths: Mapping[int, CanvasPart]
) -> Pieces:
    old = [piece.row for piece in earlier.pieces]
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
    """The key of the new piece in place of an old one; None of one that was taken off."""
    found = new.get(old or 0)
    return found.key if found else None


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

"""What an owner buys with a canvas order, in words, and what of it is otherwise now than when they agreed.

What stood at a time is read from the receipts: nothing is kept twice. Sizes are no part of it: the owner
signs them on the order, and a release holds for them as they stand.
"""

import json
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, or_, select

from app.canvas.facts import OrderRead
from app.canvas.said import Maker, questions_of
from app.canvas.shown import KIND_WORDS
from app.canvas.tables import CanvasOrder, CanvasPart
from app.ground.tables import Receipt
from app.trade.canvas.readiness import NONE, Kind
from app.trade.letters import apart

# What of each kind of part an owner sees and pays for, by its questions; the rest is the shop's business.
BOUGHT: Mapping[Kind, tuple[str, ...]] = {
    Kind.ORDER: ("scope", "ship"),
    Kind.CLOTH: ("what", "mass", "colour", "coating", "flame"),
    Kind.WINDOW: ("film", "film_thou", "screen", "flap"),
    Kind.OPTION: ("what", "costs"),
}
TOLD = (Kind.CLOTH, Kind.WINDOW, Kind.OPTION)
MADE = {Maker.HERE: "cut and sewn here", Maker.LOFT: "cut and sewn by a sewing loft"}

Row = Mapping[str, Any]


def told(order: OrderRead) -> tuple[str, ...]:
    """What the owner buys: the order with its pieces, then each cloth, window and option as it is known."""
    return (_headline(order), *(_part(part) for kind in TOLD for part in order.of_kind(kind)))


def _headline(order: OrderRead) -> str:
    pieces = ", ".join(
        f"{it.copies} of {apart(it.name)}" if it.copies > 1 else apart(it.name) for it in order.pieces
    )
    made = MADE[Maker(order.row.maker)]
    return f"Canvas order {order.number}, {made}: {pieces or 'its pieces are still to be measured'}"


def _part(part: CanvasPart) -> str:
    kind = Kind(part.kind)
    answers = [_speaking(kind, *each) for each in _answers(kind, part.known) if each[1]]
    return f"{_name(kind, part.place)}: {', '.join(answers) or 'still to be chosen'}"


def _answers(kind: Kind, known: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The name of each thing bought, and what was said of it; empty where it is open."""
    for question in questions_of(kind):
        if question.key in BOUGHT[kind]:
            said = known.get(question.key, "").strip()
            yield question.name, apart(question.answered(said)) if said else ""


def _speaking(kind: Kind, name: str, said: str) -> str:
    """An answer with its name where it would say nothing alone: `screen 18 by 16`, `no flap`."""
    if said.casefold() == NONE:
        return f"no {name}"
    return f"{name} {said}" if kind is Kind.WINDOW or name == "flame label" else said


def _name(kind: Kind, place: str) -> str:
    return KIND_WORDS[kind] if kind is Kind.ORDER else f"{KIND_WORDS[kind]}, {apart(place)}"


# What changed since


def changed_since(session: Session, order: OrderRead, at: datetime) -> tuple[str, ...]:
    """What of the order was said by then and is otherwise now, in words; what was open then is no change.

    `at`: when the owner agreed to it (UTC).
    """
    now = {part.key: part for part in order.parts}
    then = _stood(session, order.key, at).items()
    return tuple(says for key, row in then if row["kind"] in BOUGHT for says in _changes(row, now.get(key)))


def _stood(session: Session, order_id: int, at: datetime) -> Mapping[int, Row]:
    """The parts of an order as they stood at a time, by key, without those taken off by then."""
    of_order = select(CanvasPart.id).where(CanvasPart.canvas_order_id == order_id)
    mine = (col(Receipt.subject) == _table(CanvasPart)) & col(Receipt.subject_id).in_(of_order)
    own = (col(Receipt.subject) == _table(CanvasOrder)) & (col(Receipt.subject_id) == order_id)
    asked = select(Receipt.stood).where(or_(mine, own), Receipt.created_at <= at).order_by(col(Receipt.id))
    rows = (row for stood in session.exec(asked) for row in json.loads(stood))
    parts = {row["id"]: row for row in rows if row["table"] == _table(CanvasPart)}
    return {key: row for key, row in parts.items() if not row["taken_off"]}


def _table(kind: type[CanvasOrder | CanvasPart]) -> str:
    return str(kind.__tablename__)


def _changes(then: Row, now: CanvasPart | None) -> Iterator[str]:
    kind = Kind(then["kind"])
    name = _name(kind, then["place"])
    if now is None:
        yield f"{name}: taken off"
        return
    today = dict(_answers(kind, now.known))
    for each, was in _answers(kind, then["known"]):
        if was and was != today[each]:
            yield f"{name}: {each} was {was}, is {today[each] or 'open again'}"

"""What an owner buys with a canvas order, in words, and what of it is otherwise now than when they agreed.

Sizes are no part of it: the owner signs them on the order, and `resized.py` tells which are otherwise since.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime

from sqlmodel import Session

from app.canvas.facts import OrderRead
from app.canvas.said import Maker, questions_of
from app.canvas.shown import KIND_WORDS
from app.canvas.stood import Row, as_left, stood
from app.canvas.tables import CanvasPart
from app.trade.canvas.readiness import NONE, Kind
from app.trade.letters import apart

# What of each kind of part an owner sees and pays for, by its questions; the rest is the shop's business.
BOUGHT: Mapping[Kind, tuple[str, ...]] = {
    Kind.ORDER: ("scope", "ship"),
    Kind.CLOTH: ("what", "mass", "colour", "coating", "flame"),
    Kind.WINDOW: ("size", "film", "film_thou", "screen", "flap"),
    Kind.OPTION: ("what", "costs"),
}
TOLD = (Kind.CLOTH, Kind.WINDOW, Kind.OPTION)
MADE = {Maker.HERE: "cut and sewn here", Maker.LOFT: "cut and sewn by a sewing loft"}


def told(order: OrderRead) -> tuple[str, ...]:
    """What the owner buys: the order with its pieces, then each cloth, window and option as it is known."""
    return (_headline(order), *(_part(part) for kind in TOLD for part in order.of_kind(kind)))


def _headline(order: OrderRead) -> str:
    pieces = ", ".join(
        f"{it.copies} of {apart(it.name)}" if it.copies > 1 else apart(it.name) for it in order.pieces
    )
    made = MADE[Maker(order.row.maker)]
    what = pieces or "its pieces are still to be measured"
    return f"Canvas order {order.number}, {made}: {what}{_open(order)}"


def _open(order: OrderRead) -> str:
    """The pieces without a size yet: the price stands before them, and the owner signs them later."""
    names = ", ".join(map(apart, order.unmeasured))
    return f". Sizes still to be measured, signed before cloth is cut: {names}" if names else ""


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


def changed_since(
    session: Session, order: OrderRead, entry: int, heard: datetime | None = None
) -> tuple[str, ...]:
    """What of the order was said by then and is otherwise now, in words; what was open then is no change.

    `entry`: number in the book of the owner's yes. `heard`: until when it was spoken of (UTC), where the yes
    was written down later than it was given.
    """
    now = {part.key: part for part in order.parts}
    acts = [it for it in stood(session, order.key, CanvasPart) if it.receipt <= entry]
    then = as_left(it for it in acts if heard is None or it.at <= heard).items()
    return tuple(says for key, row in then if row["kind"] in BOUGHT for says in _changes(row, now.get(key)))


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

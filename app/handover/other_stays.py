"""What a unit brings from its other stays: do-not-tow findings that nobody cleared."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from sqlmodel import Session, col, select

from app.bench.facts import ClearanceLine, holds_the_tow
from app.ground.series import order_number
from app.handover.rules import Thing
from app.handover.tables import Handover
from app.inspection.facts import FindingLine
from app.intake.facts import OrderHead
from app.intake.tables import WorkOrder
from app.trade.figure import Grade
from app.trade.letters import apart

Spot = tuple[str, str]  # check and place


@dataclass(frozen=True)
class Seen:
    """All looks at one check and place, the one that rules, and what cleared the heavier ones."""

    thing: Thing
    line: FindingLine
    looks: tuple[FindingLine, ...]
    clearances: tuple[ClearanceLine, ...]


def left_open(session: Session, head: OrderHead, lines: Iterable[FindingLine]) -> Iterator[Seen]:
    """The do-not-tow findings of a unit's other stays that hold it in this one too.

    One of a stay that goes on is cleared there. One of a stay that ended unfit holds until it is cleared, or
    was looked at again here: `lines` are the looks of this stay.
    """
    looked = _looked(lines)
    for order in _others(session, head):
        last = _last_handover(session, order)
        if last is None or not last.fit:
            yield from _open_in(session, order, looked if last else {})


def _looked(lines: Iterable[FindingLine]) -> dict[Spot, int]:
    """The number in the book of the last look at each thing."""
    seen = [line for line in lines if line.looked_at and line.grade is not Grade.UNSEEN]
    entries = sorted((line.looked_entry, (line.check, line.place)) for line in seen)
    return {spot: entry for entry, spot in entries}


def _others(session: Session, head: OrderHead) -> list[WorkOrder]:
    same = (WorkOrder.unit_id == head.unit_id, WorkOrder.id != head.order_id)
    return list(session.exec(select(WorkOrder).where(*same).order_by(col(WorkOrder.id))))


def _last_handover(session: Session, order: WorkOrder) -> Handover | None:
    mine = select(Handover).where(Handover.work_order_id == order.key)
    return session.exec(mine.order_by(col(Handover.id).desc()).limit(1)).first()


def _open_in(session: Session, order: WorkOrder, looked: Mapping[Spot, int]) -> Iterator[Seen]:
    for line in holds_the_tow(session, order.key):
        if looked.get((line.check, line.place), 0) <= line.looked_entry:
            yield _brought(line, order_number(order.number))


def _brought(line: FindingLine, number: str) -> Seen:
    said = ", ".join(filter(None, (f"found at {number}", apart(line.reason))))
    brought = replace(line, name=f"{line.name} ({number})", reason=said, kits=())
    thing = Thing(line.id, brought.name, line.grade, reason=said)
    return Seen(thing, brought, (brought,), ())

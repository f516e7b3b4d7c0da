"""What a unit brings along from its earlier stays: when it was here, what fell due since and is not done."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from app.ground.series import order_number
from app.handover.after.facts import Follow, follow_of
from app.intake.tables import WorkOrder


@dataclass(frozen=True)
class Before:
    """An earlier stay of the same unit. `due`: what its handover asked for and nobody has done yet."""

    order_id: int
    number: str
    arrived_at: datetime
    due: tuple[Follow, ...]


def stays_before(session: Session, order: WorkOrder) -> tuple[Before, ...]:
    """The stays of a unit before this one, the newest first."""
    earlier = select(WorkOrder).where(WorkOrder.unit_id == order.unit_id, col(WorkOrder.id) < order.key)
    rows = session.exec(earlier.order_by(col(WorkOrder.id).desc()))
    return tuple(_before(session, row) for row in rows)


def _before(session: Session, row: WorkOrder) -> Before:
    due = tuple(it for it in follow_of(session, row.key) if not it.done)
    return Before(row.key, order_number(row.number), row.arrived_at, due)

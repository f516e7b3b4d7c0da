"""What the workbench reads of the book: where a figure can go, and the figures of a work order."""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.bench.facts import RecordLine, jobs_of, order_exists, records_of
from app.bench.records.figures import KIND
from app.handover.tables import Handover
from app.inspection.catalogue import Caution
from app.inspection.facts import newest_catalogue
from app.inspection.tables import CatalogueVersion
from app.intake.facts import order_head
from app.intake.tables import WorkOrder
from app.workbench.entry import Figure


@dataclass(frozen=True)
class Place:
    """A work order, or one of its jobs, that a figure can be attached to: value in a form, words, keys."""

    value: str
    says: str
    order_id: int
    job_id: int | None = None


def places(session: Session) -> list[Place]:
    """Work orders of the units on the lot, each followed by its open jobs that ask for figures."""
    gone = select(Handover.work_order_id)
    rows = select(WorkOrder.id).where(col(WorkOrder.id).not_in(gone)).order_by(col(WorkOrder.id).desc())
    return [place for key in session.exec(rows) if key for place in _places_of(session, key)]


def _places_of(session: Session, order_id: int) -> Iterator[Place]:
    head = order_head(session, order_id)
    unit = f"Unit {head.number}, {head.whose}"
    yield Place(f"order-{order_id}", unit, order_id)
    for job in jobs_of(session, order_id):
        waits = any(each.kind == KIND.key and each.record is None for each in job.asked)
        if waits and job.finished_at is None:
            yield Place(f"job-{job.id}", f"{unit}: job {job.number}, {job.title}", order_id, job.id)


def attached(session: Session, order_id: int) -> list[RecordLine] | None:
    """The figures attached to a work order, the newest first; None where there is no such order."""
    if not order_exists(session, order_id):
        return None
    return [each for each in reversed(records_of(session, order_id)) if each.kind == KIND.key]


def cautions_of(session: Session, figure: Figure) -> list[Caution]:
    """The cautions that stand beside a figure, as the shop's catalogue words them."""
    if not figure.cautions or session.exec(select(CatalogueVersion.id).limit(1)).first() is None:
        return []
    known = {each.key: each for each in newest_catalogue(session).cautions}
    return [known[key] for key in figure.cautions if key in known]

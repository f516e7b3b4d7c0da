"""What was done last on stays, by the book: what a final check rests on, for one stay or a full lot."""

from collections.abc import Collection

from sqlalchemy import CompoundSelect, union_all
from sqlmodel import Session, col, func, select
from sqlmodel.sql.expression import Select

from app.bench.tables import BenchRecord, Clearance, Job
from app.inspection.tables import Finding, TakenBack, Walk


def moved_last(session: Session, order_ids: Collection[int]) -> dict[int, int]:
    """The number in the book of the last act that changed what a final check rests on, by work order.

    Looks, jobs begun or finished, records, clearances, looks taken back: each stands as before then, with
    its number of then. A work order on which nothing was done is left out. One query, however many there are.
    """
    order, entry = _acts(order_ids).subquery().c
    newest = select(order, func.max(entry)).group_by(order)
    return {key: last for key, last in session.exec(newest) if last}


def _acts(order_ids: Collection[int]) -> CompoundSelect[tuple[int, int]]:
    """The work order and the number of each such act."""
    looks = _of_walks(Finding.looked_entry).join(Finding, col(Finding.walk_id) == col(Walk.id))
    cleared = _of_walks(Clearance.entry).join(Finding, col(Finding.walk_id) == col(Walk.id))
    cleared = cleared.join(Clearance, col(Clearance.finding_id) == col(Finding.id))
    back = _of_walks(TakenBack.entry).join(TakenBack, col(TakenBack.walk_id) == col(Walk.id))
    of_walks = (each.where(col(Walk.work_order_id).in_(order_ids)) for each in (looks, cleared, back))
    jobs = (select(Job.work_order_id, col(each)) for each in (Job.begun_entry, Job.finished_entry))
    of_jobs = (each.where(col(Job.work_order_id).in_(order_ids)) for each in jobs)
    records = select(BenchRecord.work_order_id, BenchRecord.entry)
    return union_all(*of_walks, *of_jobs, records.where(col(BenchRecord.work_order_id).in_(order_ids)))


def _of_walks(entry: int) -> Select[int, int]:
    """A walk's work order and a number of what hangs on it, which is joined still."""
    return select(Walk.work_order_id, col(entry)).select_from(Walk)

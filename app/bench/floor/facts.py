"""Hours as pages and later rooms read them: who is clocked on, stints, sold beside clocked beside billed."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from sqlmodel import Session, col, select

from app.bench import evidence
from app.bench.clock import open_stint
from app.bench.floor import rules
from app.bench.tables import Job, Stint
from app.estimate.rows import lines_of, newest_revision
from app.estimate.tables import Work
from app.ground import people
from app.ground.series import order_number
from app.ground.shop import shop_of
from app.ground.tables import Receipt
from app.ground.words import local
from app.intake.tables import WorkOrder
from app.trade.quantity import read_number

RECENT = timedelta(days=30)
NONE = Decimal("0.00")

# What of a work order is billed is known to the desk, a later room: it puts its answer here, hours by work.
BILLED: list[Callable[[Session, int], Mapping[int, Decimal]]] = []


@dataclass(frozen=True)
class StintLine:
    """One stint as shown. `hours`: so far, where it is open; `forgotten`: open since another day."""

    id: int
    job_id: int
    person: str
    person_id: int
    job: str
    begun_at: datetime
    ended_at: datetime | None
    hours: Decimal
    forgotten: bool
    said_later: bool
    corrected_by: str
    reason: str
    revision: int


@dataclass(frozen=True)
class Hours:
    """Sold, clocked and billed hours of a job; `sold` None where no labour was priced."""

    sold: Decimal | None
    clocked: Decimal
    stints: tuple[StintLine, ...]
    billed: Decimal = NONE

    @property
    def apart(self) -> Decimal | None:
        """Clocked less sold: above 0 it took longer."""
        return None if self.sold is None else self.clocked - self.sold


@dataclass(frozen=True)
class OnFloor:
    """What the page of a job says of the floor: its hours, one's own open stint, who could sign a step."""

    hours: Hours
    mine: StintLine | None
    signers: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class JobHours:
    """A job on the lead's page."""

    job_id: int
    order_id: int
    number: str
    title: str
    finished: bool
    hours: Hours


@dataclass(frozen=True)
class HoursPage:
    """The page Hours: who is on what now, open questions of yesterday, jobs with their hours."""

    now: tuple[StintLine, ...]
    forgotten: tuple[StintLine, ...]
    jobs: tuple[JobHours, ...]


def hours_of(session: Session, order_id: int, at: datetime) -> dict[int, Hours]:
    """Hours of the jobs of a work order by job, also of those that nobody clocked on to."""
    jobs = session.exec(select(Job).where(Job.work_order_id == order_id)).all()
    return _hours(session, jobs, at)


def on_floor(session: Session, job_id: int, person: int, at: datetime) -> OnFloor:
    """The floor's part of a job's page, as one person sees it."""
    job = session.get_one(Job, job_id)
    workers = evidence.workers_of(session, job) if people.several(session) else frozenset()
    others = [each for each in people.working(session) if each.key not in {*workers, person}]
    return OnFloor(
        hours=_hours(session, [job], at)[job_id],
        mine=clocked_on(session, person, at),
        signers=tuple((each.key, each.name) for each in others),
    )


def _hours(session: Session, jobs: Sequence[Job], at: datetime) -> dict[int, Hours]:
    rows = session.exec(
        select(Stint).where(col(Stint.job_id).in_([job.key for job in jobs])).order_by(col(Stint.begun_at))
    )
    by_job: dict[int, list[StintLine]] = {}
    for line in stint_lines(session, rows.all(), at):
        by_job.setdefault(line.job_id, []).append(line)
    orders = {job.work_order_id for job in jobs}
    sold = {order: _sold(session, order) for order in orders}
    billed = {order: _billed(session, order) for order in orders}
    return {
        job.key: _side_by_side(
            sold[job.work_order_id].get(job.work_id),
            by_job.get(job.key, ()),
            billed[job.work_order_id].get(job.work_id, NONE),
        )
        for job in jobs
    }


def _side_by_side(sold: Decimal | None, stints: Iterable[StintLine], billed: Decimal) -> Hours:
    lines = tuple(stints)
    return Hours(sold, sum((each.hours for each in lines if not each.forgotten), NONE), lines, billed)


def _billed(session: Session, order_id: int) -> dict[int, Decimal]:
    """Hours of labour on a work order's invoices, by work."""
    return {work: hours for asked in BILLED for work, hours in asked(session, order_id).items()}


def _sold(session: Session, order_id: int) -> dict[int, Decimal]:
    """Hours of labour by work, as the newest revision prices them."""
    revision = newest_revision(session, order_id)
    found: dict[int, Decimal] = {}
    for line in lines_of(session, revision.key) if revision else ():
        if line.kind == "labour":
            found[line.work_id] = found.get(line.work_id, Decimal(0)) + read_number(line.quantity)
    return found


def stint_lines(session: Session, rows: Iterable[Stint], at: datetime) -> list[StintLine]:
    """Stints as shown, with names and hours at an instant."""
    names, zone = people.names(session), shop_of(session).zone
    return [_line(session, row, names, zone, at) for row in rows]


def _line(session: Session, row: Stint, names: Mapping[int, str], zone: str, at: datetime) -> StintLine:
    job = session.get_one(Job, row.job_id)
    return StintLine(
        id=row.key,
        job_id=row.job_id,
        person=names.get(row.person_id, ""),
        person_id=row.person_id,
        job=session.get_one(Work, job.work_id).title,
        begun_at=row.begun_at,
        ended_at=row.ended_at,
        hours=rules.hours(row.begun_at, row.ended_at or at),
        forgotten=row.ended_at is None
        and rules.forgotten(local(row.begun_at, zone).date(), local(at, zone).date()),
        said_later=row.said_later,
        corrected_by=names.get(row.corrected_by or 0, ""),
        reason=row.reason,
        revision=row.revision,
    )


def clocked_on(session: Session, person: int, at: datetime) -> StintLine | None:
    """The stint that a person is clocked on with, or None."""
    stint = open_stint(session, person)
    return stint_lines(session, [stint], at)[0] if stint else None


def stint_of(session: Session, stint_id: int, at: datetime) -> StintLine | None:
    """One stint, or None where there is none of that key."""
    row = session.get(Stint, stint_id)
    return stint_lines(session, [row], at)[0] if row else None


def likely_end(session: Session, line: StintLine) -> datetime:
    """When somebody who forgot to clock off likely stopped that day, in the shop's own time."""
    zone = shop_of(session).zone
    begun = local(line.begun_at, zone)
    traces = session.exec(
        select(Receipt.created_at)
        .where(Receipt.person_id == line.person_id, Receipt.created_at > line.begun_at)
        .order_by(col(Receipt.created_at))
    )
    same_day = [local(at, zone) for at in traces if local(at, zone).date() == begun.date()]
    return rules.likely_end(begun, same_day[-1] if same_day else None)


def hours_page(session: Session, at: datetime) -> HoursPage:
    """The page Hours: open stints, and the jobs that are open or were finished in the last 30 days."""
    rows = session.exec(select(Stint).where(col(Stint.ended_at).is_(None)).order_by(col(Stint.begun_at)))
    lines = stint_lines(session, rows.all(), at)
    recent = (col(Job.finished_at).is_(None)) | (col(Job.finished_at) > at - RECENT)
    jobs = session.exec(select(Job).where(recent, col(Job.begun_at).is_not(None)).order_by(col(Job.id))).all()
    hours = _hours(session, jobs, at)
    return HoursPage(
        now=tuple(line for line in lines if not line.forgotten),
        forgotten=tuple(line for line in lines if line.forgotten),
        jobs=tuple(_job_hours(session, job, hours[job.key]) for job in jobs),
    )


def _job_hours(session: Session, job: Job, hours: Hours) -> JobHours:
    order = session.get_one(WorkOrder, job.work_order_id)
    title = session.get_one(Work, job.work_id).title
    return JobHours(job.key, order.key, order_number(order.number), title, job.finished_at is not None, hours)

"""What each use of a kit came to: hours sold, clocked and billed side by side, and what its parts cost."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from statistics import median

from sqlmodel import Session, col, select

from app.accounts.document import Bill as Told
from app.accounts.rows import billed_lines
from app.accounts.tables import Bill
from app.bench.floor.facts import BILLED, Hours, hours_of
from app.bench.tables import Job
from app.estimate.facts import TOOK
from app.estimate.tables import Work
from app.inspection.catalogue import Kit
from app.inspection.facts import newest_catalogue
from app.intake.facts import KIND_WORDS, order_head
from app.intake.tables import Unit, WorkOrder
from app.parts.tables import Movement
from app.trade.quantity import read_number
from app.trade.stock import MoveKind
from app.trade.totals import LineKind

LAST = 5  # uses behind the usual hours
MOST = 300  # newest finished works that the page reads
NONE = Decimal(0)


@dataclass(frozen=True)
class Use:
    """One finished work of a kit. Hours; `parts`: minor units off the shelf, less what went back there.

    `on`: kind of unit and its axles; `sold` None where no labour was priced.
    """

    kit: str
    title: str
    order_id: int
    order: str
    unit: int
    on: str
    finished_at: datetime
    sold: Decimal | None
    clocked: Decimal
    billed: Decimal
    parts: int


@dataclass(frozen=True)
class Usual:
    """The hours that a kit usually takes on units alike: the median of its last `of` uses with a clock.

    `billed`: the median of the last uses that were billed; None where none was.
    """

    on: str
    hours: Decimal
    of: int
    billed: Decimal | None = None


@dataclass(frozen=True)
class KitHistory:
    """A kit with its uses, the newest first, and what it usually takes. `hours`: the kit's own, per `per`."""

    key: str
    name: str
    hours: Decimal
    per: str
    uses: tuple[Use, ...]
    usual: tuple[Usual, ...]


def histories(session: Session, at: datetime) -> list[KitHistory]:
    """The kits of the catalogue that were used, by name; `at`: the instant up to which a clock runs."""
    uses, kits = list(_uses(session, at)), sorted(newest_catalogue(session).kits, key=lambda kit: kit.name)
    made = (_history(kit, [use for use in uses if use.kit == kit.key]) for kit in kits)
    return [each for each in made if each.uses]


def _history(kit: Kit, uses: Sequence[Use]) -> KitHistory:
    return KitHistory(kit.key, kit.name, kit.hours, kit.per, tuple(uses), usual(uses))


def usual(uses: Iterable[Use]) -> tuple[Usual, ...]:
    """Median of the clocked hours of the last uses, by kind of unit and axles. `uses`: the newest first.

    A use that nobody clocked on to says nothing of hours. Source: the median, so that one bad day in five
    does not count (common practice).
    """
    by_unit: dict[str, list[Use]] = {}
    for use in uses:
        by_unit.setdefault(use.on, []).append(use)
    found = (_usual(on, alike) for on, alike in sorted(by_unit.items()))
    return tuple(each for each in found if each)


def _usual(on: str, uses: Sequence[Use]) -> Usual | None:
    clocked = [use.clocked for use in uses if use.clocked][:LAST]
    billed = [use.billed for use in uses if use.billed][:LAST]
    return Usual(on, median(clocked), len(clocked), median(billed) if billed else None) if clocked else None


def took(session: Session, order_id: int, at: datetime) -> dict[str, str]:
    """What each kit took on units like that of a work order, in words, by its key: hours of whole works."""
    like = session.get_one(Unit, order_head(session, order_id).unit_id)
    by_kit: dict[str, list[Use]] = {}
    for use in _uses(session, at, like):
        by_kit.setdefault(use.kit, []).append(use)
    return {kit: _says(found) for kit, uses in by_kit.items() for found in usual(uses)}


def _says(usual: Usual) -> str:
    billed = "" if usual.billed is None else f", {usual.billed} h billed"
    return f"whole work on units alike: {usual.hours} h clocked{billed}"


def _uses(session: Session, at: datetime, like: Unit | None = None) -> Iterator[Use]:
    """Finished works that came of a kit, the newest first; `like`: on units of its kind and axles alone."""
    asked = select(Job, Work).join(Work, col(Job.work_id) == col(Work.id))
    done = asked.where(col(Job.finished_at).is_not(None), Work.kit != "")
    if like is not None:
        done = done.join(WorkOrder, col(Job.work_order_id) == col(WorkOrder.id))
        done = done.join(Unit, col(WorkOrder.unit_id) == col(Unit.id))
        done = done.where(Unit.kind == like.kind, Unit.axles == like.axles)
    rows = session.exec(done.order_by(col(Job.finished_at).desc(), col(Job.id).desc()).limit(MOST)).all()
    orders = {job.work_order_id for job, _ in rows}
    hours = {order: hours_of(session, order, at) for order in orders}
    for job, work in rows:
        yield _use(session, job, work, hours[job.work_order_id][job.key])


def _use(session: Session, job: Job, work: Work, hours: Hours) -> Use:
    assert job.finished_at
    head = order_head(session, job.work_order_id)
    unit = session.get_one(Unit, head.unit_id)
    return Use(
        kit=work.kit,
        title=work.title,
        order_id=head.order_id,
        order=head.order_number,
        unit=head.number,
        on=f"{KIND_WORDS[unit.kind]}, {unit.axles} axle{'s' if unit.axles > 1 else ''}",
        finished_at=job.finished_at,
        sold=hours.sold,
        clocked=hours.clocked,
        billed=hours.billed,
        parts=parts_cost(session, work.key),
    )


def billed_hours(session: Session, order_id: int) -> dict[int, Decimal]:
    """Hours of labour on a work order's invoices, by work; what a credit note took back is left out."""
    found: dict[int, Decimal] = {}
    for row in billed_lines(session, order_id):
        told = Told.model_validate(session.get_one(Bill, row.bill_id).snapshot)
        line = next(each for each in told.lines if each.n == row.n)
        if row.work_id is not None and line.kind is LineKind.LABOUR:
            found[row.work_id] = found.get(row.work_id, NONE) + read_number(line.quantity)
    return found


def parts_cost(session: Session, work_id: int) -> int:
    """What the parts of a work cost the shop, less those that went back to the shelf, in minor units."""
    out = (MoveKind.ISSUE, MoveKind.RETURN)
    moved = select(Movement.value).where(Movement.work_id == work_id, col(Movement.kind).in_(out))
    return -sum(session.exec(moved))


BILLED.append(billed_hours)
TOOK.append(took)

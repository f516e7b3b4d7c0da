"""What a unit that was put right in the book after its walk-round makes of it: more to see, heavier looks."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import ColumnElement, and_, or_
from sqlmodel import Session, col, select

from app.bench.facts import RecordLine, judged_now
from app.bench.kinds import Judged, heaviest_of
from app.ground.tables import Receipt
from app.handover.kept import proving
from app.handover.other_stays import Seen
from app.inspection.facts import unlisted
from app.inspection.rules import weight
from app.inspection.steps import by_the_book_now
from app.inspection.tables import Finding, Walk
from app.intake.tables import WorkOrder
from app.trade.figure import Grade, Verdict

MEASURE = "by what the book says of the unit now; take a second look, then measure again"
SINCE = "by what the book says of the unit now; save the look again"


def put_right_last(session: Session, unit_id: int) -> int:
    """The number in the book of the act that kept last what stands of a unit; 0 where none did."""
    asked = select(Receipt.id).where(_on_unit(unit_id)).order_by(col(Receipt.id).desc())
    return session.exec(asked.limit(1)).first() or 0


def _on_unit(unit_id: int) -> ColumnElement[bool]:
    """The receipts of acts that may change what stands of a unit."""
    stays = select(WorkOrder.id).where(WorkOrder.unit_id == unit_id)
    subject, key = col(Receipt.subject), col(Receipt.subject_id)
    arrived = and_(subject == "workorder", key.in_(stays), col(Receipt.act) == "take in unit")
    return or_(and_(subject == "unit", key == unit_id), arrived)


def outgrown(session: Session, walks: Sequence[Walk], entry: int) -> bool:
    """Whether a unit put right by an act of the book asks for more than was walked round."""
    rounds = [walk for walk in walks if walk.depth != "second"]
    return any(entry > walk.entry and unlisted(session, walk) for walk in rounds)


def heavier_now(session: Session, it: Seen, entry: int) -> Seen:
    """A thing as heavy as its look comes to by what stands of the unit, put right last by an act of the book.

    What was cleared is held to its records, by `outmeasured`.
    A person who graded lighter than proposed did so by what the book said then.
    """
    cleared = it.thing.grade is Grade.SOUND and it.line.grade is not Grade.SOUND
    if it.line.looked_at is None or entry <= it.line.looked_entry or cleared:
        return it
    row = session.get_one(Finding, it.line.id)
    judged = by_the_book_now(session, row) if row.proposed else None
    if judged is None or judged.weight >= weight(it.thing.grade, it.thing.by):
        return it
    if (judged.grade, judged.by) == (row.proposed, row.proposed_by):
        return it
    reason = f"{judged.reason}, {SINCE}"
    thing = replace(it.thing, grade=judged.grade, by=judged.by, reason=reason)
    return replace(it, thing=thing, line=replace(it.line, reason=reason))


def outmeasured(session: Session, it: Seen, records: Sequence[RecordLine], entry: int) -> Seen:
    """A cleared thing open again where its records no longer prove it by what stands of the unit.

    `entry`: the act of the book that put the unit right last. A look or a record of after that act stands.
    """
    cleared = it.thing.grade is Grade.SOUND and it.line.grade is not Grade.SOUND
    if not cleared or entry <= it.line.looked_entry:
        return it
    failing = [made.verdict for row in proving(it, records) if (made := _fails(session, row, entry))]
    return _open_again(it, heaviest_of(failing)) if failing else it


def _fails(session: Session, row: RecordLine, entry: int) -> Judged | None:
    """What a record of before an act comes to now, where it was inside its limits and is so no longer."""
    if not row.inside or row.entry >= entry:
        return None
    judged = judged_now(session, row)
    return None if judged.inside else judged


def _open_again(it: Seen, verdict: Verdict) -> Seen:
    reason = f"{verdict.says}, {MEASURE}"
    thing = replace(it.thing, grade=verdict.grade, by=verdict.by, reason=reason)
    line = replace(it.line, grade=verdict.grade, by=verdict.by, reason=reason)
    return replace(it, thing=thing, line=line, clearances=())

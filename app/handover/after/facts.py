"""What is known after a unit has left: what falls due, what was done, retorque visits, the shop's list."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from app.bench.evidence import tools_of
from app.bench.facts import RecordLine, records_of
from app.bench.kinds import Context
from app.ground import documents, people
from app.handover.after import rules
from app.handover.after.rules import NUTS, TIRES, DoneHow, Visit, Wheel
from app.handover.duties import TODAY
from app.handover.tables import FollowUp, Handover, RetorqueVisit
from app.intake.facts import OrderHead, order_head
from app.intake.tables import Owner, WorkOrder
from app.trade.days import day
from app.trade.figure import Grade

TORQUE = "wheel_torque"
NO_DAY = "No day"
LEFT_DAY = "The day it left"  # today, on a list that is read later


@dataclass(frozen=True)
class Follow:
    """One thing that falls due after the unit has left. `done`: in words, empty while it is not done."""

    id: int
    order_id: int
    what: str
    when: str
    kind: str
    due_on: date | None
    due_miles: int | None
    done: str
    revision: int
    done_how: str = ""

    @property
    def of_nuts(self) -> bool:
        """Whether it is the tightening of the wheel nuts."""
        return self.kind == NUTS

    @property
    def of_tires(self) -> bool:
        """Whether it is the registration of tires that were fitted."""
        return self.kind == TIRES

    def overdue(self, on: date) -> bool:
        """Whether its day has gone by."""
        return not self.done and self.due_on is not None and self.due_on < on


@dataclass(frozen=True)
class VisitLine:
    """A retorque visit as kept. `document`: key of its paper, None where it was not printed yet."""

    id: int
    number: str
    visit: Visit
    grade: Grade
    inside: bool
    says: str
    at: datetime
    by: str
    document: int | None


@dataclass(frozen=True)
class Afterwards:
    """Everything after a handover: what falls due, the visits (newest first), the wheels to go round."""

    head: OrderHead
    handed_over: datetime
    follow: tuple[Follow, ...]
    visits: tuple[VisitLine, ...]
    wheels: tuple[Wheel, ...]

    @property
    def nuts_due(self) -> tuple[Follow, ...]:
        """The retorques that are still to come."""
        return tuple(it for it in self.follow if it.of_nuts and not it.done)


def afterwards(session: Session, order_id: int) -> Afterwards | None:
    """What follows the newest handover of a work order; None where it was not handed over.

    NoResultFound where there is no such work order.
    """
    head = order_head(session, order_id)
    mine = select(Handover.created_at).where(Handover.work_order_id == order_id)
    handed_over = session.exec(mine.order_by(col(Handover.id).desc()).limit(1)).first()
    if handed_over is None:
        return None
    visits = visits_of(session, order_id)
    return Afterwards(
        head=head,
        handed_over=handed_over,
        follow=tuple(follow_of(session, order_id)),
        visits=tuple(visits),
        wheels=wheels_of(session, order_id),
    )


def follow_of(session: Session, order_id: int) -> list[Follow]:
    """What falls due after a work order's handover, in the order of its paper."""
    mine = select(FollowUp).where(FollowUp.work_order_id == order_id)
    names = people.names(session)
    return [_follow(row, names) for row in session.exec(mine.order_by(col(FollowUp.id)))]


def follow_up(session: Session, follow_id: int) -> Follow:
    """One thing that falls due; NoResultFound where there is none of that key."""
    return _follow(session.get_one(FollowUp, follow_id), people.names(session))


def _follow(row: FollowUp, names: Mapping[int, str]) -> Follow:
    when, what = _when_and_what(row)
    return Follow(
        id=row.key,
        order_id=row.work_order_id,
        what=what,
        when=when,
        kind=row.kind,
        due_on=row.due_on,
        due_miles=row.due_miles,
        done=_done(row, names),
        revision=row.revision,
        done_how=row.done_how,
    )


def _when_and_what(row: FollowUp) -> tuple[str, str]:
    """With a day, what is to be done names the miles as well; with neither, the row begins with its event."""
    when = day(row.due_on) or (f"{row.due_miles:,} miles" if row.due_miles else "")
    if when:
        return when, row.what
    event, colon, what = row.what.partition(": ")
    if not colon:
        return NO_DAY, row.what
    return LEFT_DAY if event == TODAY else event, what


def _done(row: FollowUp, names: Mapping[int, str]) -> str:
    if row.done_on is None:
        return ""
    how = "At a retorque visit" if row.visit_id else DoneHow(row.done_how).word
    by = names.get(row.done_by or 0, "")
    return ", ".join(filter(None, (how, day(row.done_on), by))) + (
        f": {row.done_says}" if row.done_says else ""
    )


# Retorque visits


def visits_of(session: Session, order_id: int) -> list[VisitLine]:
    """The retorque visits of a work order, the newest first."""
    mine = select(RetorqueVisit).where(RetorqueVisit.work_order_id == order_id)
    rows = session.exec(mine.order_by(col(RetorqueVisit.id).desc()))
    return [visit_line(session, row) for row in rows]


def visit_line(session: Session, row: RetorqueVisit) -> VisitLine:
    """A retorque visit as pages and its paper show it."""
    printed = documents.of_work_order(session, row.work_order_id)
    return VisitLine(
        id=row.key,
        number=row.number,
        visit=rules.kept(row.payload),
        grade=Grade(row.grade),
        inside=row.inside,
        says=row.says,
        at=row.created_at,
        by=people.names(session).get(row.made_by, ""),
        document=next((it.id for it in printed if it.number == row.number), None),
    )


def wheels_of(session: Session, order_id: int) -> tuple[Wheel, ...]:
    """The wheels whose nuts have a torque record on this stay, each with what moved last."""
    newest = {row.place: row for row in records_of(session, order_id) if row.kind == TORQUE}
    moved = _moved_last(session, order_id)
    return tuple(_wheel(row, moved) for row in newest.values())


def _last_visit(session: Session, order_id: int) -> Mapping[str, Any] | None:
    mine = select(RetorqueVisit.payload).where(RetorqueVisit.work_order_id == order_id)
    return session.exec(mine.order_by(col(RetorqueVisit.id).desc()).limit(1)).first()


def _moved_last(session: Session, order_id: int) -> dict[str, tuple[int, ...]]:
    payload = _last_visit(session, order_id)
    return {seen.place: seen.moved for seen in rules.kept(payload).wheels} if payload else {}


def _wheel(row: RecordLine, moved: Mapping[str, tuple[int, ...]]) -> Wheel:
    it: Mapping[str, Any] = row.payload
    return Wheel(
        place=row.place,
        label=row.label,
        studs=int(it["studs"]),
        low=str(it["low"]),
        high=str(it["high"]),
        unit=str(it["unit"]),
        moved_before=moved.get(row.place, tuple(it.get("moved", ()))),
    )


def visit_context(session: Session, order_id: int, on: date) -> Context:
    """What a visit's form needs to know: the day, the instruments in use, and the visit before it, or else
    the newest torque record of the stay.
    """
    last = _last_visit(session, order_id) or _last_torque(session, order_id)
    return Context(place="", label="Retorque visit", on=on, tools=tools_of(session), last=last)


def _last_torque(session: Session, order_id: int) -> Mapping[str, Any] | None:
    made = [row for row in records_of(session, order_id) if row.kind == TORQUE]
    return max(made, key=lambda row: row.entry).payload if made else None


# What the shop has to remind people of


@dataclass(frozen=True)
class Due:
    """One line of the shop's list: what falls due on which unit, and whom to call."""

    follow: Follow
    head: OrderHead
    owner: str
    phone: str


def due_list(session: Session) -> list[Due]:
    """Everything handed over that is not done yet: by day, then by miles, then what has neither."""
    rows = session.exec(
        select(FollowUp, Owner)
        .join(WorkOrder, col(FollowUp.work_order_id) == col(WorkOrder.id))
        .join(Owner, col(WorkOrder.owner_id) == col(Owner.id))
        .where(col(FollowUp.done_on).is_(None))
        .order_by(col(FollowUp.id))
    ).all()
    heads = _heads(session, (row.work_order_id for row, _ in rows))
    due = [Due(_follow(row, {}), heads[row.work_order_id], owner.name, owner.phone) for row, owner in rows]
    return sorted(due, key=lambda it: (it.follow.due_on or date.max, it.follow.due_miles or 10**9))


def _heads(session: Session, order_ids: Iterable[int]) -> dict[int, OrderHead]:
    return {key: order_head(session, key) for key in sorted(set(order_ids))}

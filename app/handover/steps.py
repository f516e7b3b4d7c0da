"""The acts of handover: the final check by a second person, and the handover with its snapshot."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.series import coming_number, dated_number
from app.ground.shop import shop_of
from app.ground.words import local
from app.handover import rules
from app.handover.after.rules import NUTS, REGISTER_DAYS, TIRES, TO_REGISTER
from app.handover.record import Duty, Record
from app.handover.rules import (
    Checked,
    Leaves,
    Leaving,
    Registered,
    fitness,
    in_the_way,
    items_of,
    unseen_of,
    with_initials,
)
from app.handover.stay import Stay, stay_of
from app.handover.tables import FinalCheck, FollowUp, Handover
from app.handover.told.whole import record_of
from app.trade.problems import Problem, Refused


def final_check(book: Engine, act: Act, order_id: int, checked: Checked) -> int:
    """Keep the final check of a stay; returns its key.

    Raises Refused where an item is not answered, where agreed work is not finished, or where the person had a
    hand in the work and somebody else works here who had none.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        stay = stay_of(session, order_id)
        rules.check_checker(act.person, stay.hands)
        _check_finished(stay)
        rules.check_items(checked, items_of(stay.head.kind))
        check = FinalCheck(
            created_at=act.at,
            work_order_id=order_id,
            items=dict(checked.items),
            checked_by=act.person,
            read_by=checked.read_by,
        )
        return receipts.sign(session, act, "final check", check)


def _check_finished(stay: Stay) -> None:
    if left := stay.bench.not_ended:
        raise Refused([Problem("", says, "a finished job, or the owner's later") for says in left])


def hand_over(book: Engine, act: Act, order_id: int, leaving: Leaving) -> int:
    """Keep the handover of a stay with everything that its paper says, and what falls due; returns its key.

    `act.seen`: how many issues the form knew; Stale where there are more by now. A second handover is the
    next issue of the same number and names the one that it replaces. Raises Refused where the unit may not
    leave so. The paper is printed from the snapshot, after this.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        stay = stay_of(session, order_id)
        receipts.current(len(stay.handovers), act)
        found = fitness(with_initials(stay.things, leaving.initials or {}), walked=stay.walked)
        rules.check_leaving(leaving, found, stay.bench, rules.unseen_of(stay.things))
        told = _told(session, stay, leaving, act, dated_number)
        row = _row(act, order_id, leaving, told, stay.handovers[-1] if stay.handovers else None)
        follow = [
            *_follow_ups(session, order_id, told.duties, act.at),
            *_to_register(session, act, leaving, row),
        ]
        return receipts.sign(session, act, "hand over", row, *follow)


def expected(book: Engine, act: Act, order_id: int) -> Iterator[Handover]:
    """A stay's first handover as it would be if it left under tow now, signed on the tablet or on paper.

    None where it may not leave so, or where parts not looked at need a reason first. It is kept nowhere.
    """
    with reading(book) as session:
        stay = stay_of(session, order_id)
        stops = in_the_way(Leaves.TOWED, stay.fitness, stay.bench)
        if stay.handovers or stops or unseen_of(stay.things):
            return
        for signature in ("M0 0", ""):
            registered = Registered.GIVEN if stay.tires else None
            leaving = Leaving(Leaves.TOWED, stay.head.owner, signature=signature, registered=registered)
            yield _row(act, order_id, leaving, _told(session, stay, leaving, act, coming_number), None)


def _told(
    session: Session, stay: Stay, leaving: Leaving, act: Act, number: Callable[[Session, str, int], str]
) -> Record:
    before = stay.handovers[-1] if stay.handovers else None
    year = local(act.at, shop_of(session).zone).year
    return record_of(
        session,
        stay,
        leaving,
        at=act.at,
        person=act.person,
        number=before.number if before else number(session, "handover", year),
        issue=before.issue + 1 if before else 1,
    )


def _row(act: Act, order_id: int, leaving: Leaving, told: Record, before: Handover | None) -> Handover:
    return Handover(
        created_at=act.at,
        work_order_id=order_id,
        number=told.handed.number,
        issue=told.handed.issue,
        fit=told.handed.fit,
        leaves=leaving.how,
        taken_by=leaving.taken_by,
        signature=leaving.signature,
        snapshot=told.model_dump(mode="json"),
        handed_by=act.person,
        replaces_id=before.id if before else None,
    )


def _follow_ups(
    session: Session, order_id: int, duties: tuple[Duty, ...], at: datetime
) -> Iterator[FollowUp]:
    """A follow-up for each day and distance that falls due; those of an earlier issue, not done, go."""
    mine = select(FollowUp).where(FollowUp.work_order_id == order_id, col(FollowUp.done_on).is_(None))
    for gone in session.exec(mine):
        session.delete(gone)
    for duty in duties:
        for miles in _one_by_one(duty):
            what = duty.what if duty.on or miles else f"{duty.when}: {duty.what}"
            yield FollowUp(
                created_at=at,
                work_order_id=order_id,
                kind=NUTS if duty.of_nuts else "",
                what=what,
                due_on=duty.on,
                due_miles=miles,
            )


def _to_register(session: Session, act: Act, leaving: Leaving, row: Handover) -> Iterator[FollowUp]:
    """What is left to do for the registration of tires that were fitted, with its last day."""
    if leaving.registered is Registered.LATER:
        today = local(act.at, shop_of(session).zone).date()
        due_on = today + timedelta(days=REGISTER_DAYS)
        yield FollowUp(
            created_at=act.at, work_order_id=row.work_order_id, kind=TIRES, what=TO_REGISTER, due_on=due_on
        )


def _one_by_one(duty: Duty) -> tuple[int | None, ...]:
    """The distances of a duty, each on its own; one without where it has none."""
    return duty.miles or (None,)

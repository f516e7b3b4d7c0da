"""The acts after a unit has left: a retorque visit is kept, a follow-up is said to be done."""

from datetime import date

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.bench.kinds import Judged
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.series import dated_number
from app.ground.shop import settings_of, shop_of
from app.ground.words import local
from app.handover.after import facts, rules
from app.handover.after.facts import Afterwards
from app.handover.after.rules import NUTS, DoneSaid, Visit
from app.handover.tables import FollowUp, RetorqueVisit
from app.trade.figure import shown
from app.trade.problems import Problem, Refused


def keep_visit(book: Engine, act: Act, order_id: int, visit: Visit) -> int:
    """Keep a retorque visit with its verdict; a sound one does the retorques whose miles are driven.

    Returns its key. `act.seen`: how many visits the form knew; Stale where there are more by now. Raises
    Refused where the unit was not handed over, or no wheel of it has a torque record.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        after = _left(session, order_id)
        receipts.current(len(after.visits), act)
        rules.check_wheels(after.wheels)
        judged = rules.judge_visit(visit, after.wheels, settings_of(session).retorques)
        row = _visit(session, act, order_id, visit, judged)
        session.add(row)
        session.flush()
        done = _done_by(session, act, row, visit) if row.inside else []
        return receipts.sign(session, act, "keep retorque visit", row, *done)


def _left(session: Session, order_id: int) -> Afterwards:
    after = facts.afterwards(session, order_id)
    if after is None:
        raise Refused([Problem("", "The unit was not handed over yet", "a retorque as part of its job")])
    return after


def _visit(session: Session, act: Act, order_id: int, visit: Visit, judged: Judged) -> RetorqueVisit:
    return RetorqueVisit(
        created_at=act.at,
        work_order_id=order_id,
        number=dated_number(session, "retorque visit", _today(session, act).year),
        payload=visit.model_dump(mode="json"),
        inside=judged.inside,
        grade=judged.verdict.grade,
        says=judged.verdict.says,
        worked=[shown(each) for each in judged.figures],
        instrument_id=visit.instrument.id,
        made_by=act.person,
    )


def _done_by(session: Session, act: Act, row: RetorqueVisit, visit: Visit) -> list[FollowUp]:
    today = _today(session, act)
    mine = select(FollowUp).where(
        FollowUp.work_order_id == row.work_order_id, FollowUp.kind == NUTS, col(FollowUp.done_on).is_(None)
    )
    open_ones = {each.key: each for each in session.exec(mine)}
    done = rules.reached(visit, {key: each.due_miles for key, each in open_ones.items()})
    for key in done:
        it = open_ones[key]
        it.done_on, it.done_by, it.done_how, it.visit_id = today, row.made_by, "visit", row.key
        it.revision += 1
    return [open_ones[key] for key in done]


def follow_up_done(book: Engine, act: Act, follow_id: int, said: DoneSaid) -> int:
    """Keep that a thing which fell due was done, or is no longer needed; returns its key.

    Raises Refused where it is done already, Stale where somebody saved first.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = session.get_one(FollowUp, follow_id)
        receipts.current(row.revision, act)
        if row.done_on is not None:
            raise Refused([Problem("", "This is done already", "the next thing that falls due")])
        row.done_on, row.done_by, row.done_how, row.done_says = said.on, act.person, said.how, said.says
        row.revision += 1
        return receipts.sign(session, act, "follow-up done", row)


def _today(session: Session, act: Act) -> date:
    return local(act.at, shop_of(session).zone).date()

"""Open stints: who is clocked on, and how they come to an end, for the acts of the bench and the floor."""

from sqlmodel import Session, col, select

from app.bench.floor.rules import forgotten
from app.bench.tables import Stint
from app.ground.acting import Act
from app.ground.shop import shop_of
from app.ground.words import local
from app.trade.problems import Problem, Refused


def open_stint(session: Session, person: int) -> Stint | None:
    """The stint that a person is clocked on with, or None."""
    mine = select(Stint).where(Stint.person_id == person, col(Stint.ended_at).is_(None))
    return session.exec(mine).one_or_none()


def ended(session: Session, act: Act, stint: Stint) -> Stint:
    """An open stint, ended now. Raises Refused for one of another day: its hour has to be said."""
    if is_forgotten(session, act, stint):
        says = "You did not clock off on the day when you clocked on"
        raise Refused([Problem("", says, "the hour when you stopped, on the page Hours")])
    stint.ended_at = act.at
    stint.revision += 1
    return stint


def all_ended(session: Session, act: Act, job_id: int) -> list[Stint]:
    """The stints of all who are clocked on to a job today, ended now; a forgotten one stays to be asked."""
    rows = session.exec(select(Stint).where(Stint.job_id == job_id, col(Stint.ended_at).is_(None)))
    return [ended(session, act, each) for each in rows if not is_forgotten(session, act, each)]


def is_forgotten(session: Session, act: Act, stint: Stint) -> bool:
    """Whether an open stint was begun on another day, by the shop's own calendar."""
    zone = shop_of(session).zone
    return forgotten(local(stint.begun_at, zone).date(), local(act.at, zone).date())

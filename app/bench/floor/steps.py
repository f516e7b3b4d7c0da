"""The acts of the floor: clock on and off, say or correct hours, pause, sign at a hold point."""

from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import Engine
from sqlmodel import Session, select

from app.bench import evidence, steps
from app.bench.clock import all_ended, ended, open_stint
from app.bench.floor import rules
from app.bench.floor.rules import Pause, Span, Times
from app.bench.tables import HoldSigned, Job, Stint
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.people import Role
from app.ground.shop import shop_of
from app.ground.tables import Person
from app.trade.problems import Problem, Refused

OWN, TABLET = "own sign-in", "passphrase"


# The clock


def clock_on(book: Engine, act: Act, job_id: int) -> int:
    """Clock a person on to a job, and off the one before; returns the stint's key. The job begins with it.

    Raises Refused where the owner's word does not cover the work, for a finished job, for one who is on it
    already, and for one who forgot to clock off on another day.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = steps.begun(session, act, job_id)
        steps.check_word(session, job)
        before = _stopped(session, act, job_id)
        stint = Stint(created_at=act.at, job_id=job_id, person_id=act.person, begun_at=act.at)
        session.add_all([job, *before])
        session.flush()  # the open one ends before the next begins
        return receipts.sign(session, act, "clock on", stint, job, *before)


def _stopped(session: Session, act: Act, job_id: int) -> list[Stint]:
    """The person's open stint, ended now; none where they were clocked off."""
    stint = open_stint(session, act.person)
    if stint is None:
        return []
    if stint.job_id == job_id:
        raise Refused([Problem("", "You are clocked on to this job already", "another job, or clock off")])
    return [ended(session, act, stint)]


def clock_off(book: Engine, act: Act) -> int:
    """Clock a person off; returns the stint's key.

    Raises Refused for one who is not clocked on, and for one who forgot it on another day.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        stint = open_stint(session, act.person)
        if stint is None:
            raise Refused([Problem("", "You are not clocked on", "a job, to clock on to it")])
        return receipts.sign(session, act, "clock off", ended(session, act, stint))


def say_hours(book: Engine, act: Act, stint_id: int, times: Times) -> int:
    """Set the hours of a stint: by a lead with a reason, or by the one who forgot to end it; its key.

    Raises Refused for hours that cannot be and for anybody else, Stale where it moved on.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        stint = session.get_one(Stint, stint_id)
        receipts.current(stint.revision, act)
        _check_may(session, act, stint, times)
        _set_hours(session, act, stint, times)
        return receipts.sign(session, act, "correct hours" if times.reason else "say hours", stint)


def _check_may(session: Session, act: Act, stint: Stint, times: Times) -> None:
    own_end = stint.person_id == act.person and stint.ended_at is None
    if own_end and times.begun is None and not times.reason:
        return
    if session.get_one(Person, act.person).role != Role.LEAD:
        raise Refused([Problem("", "Only a lead corrects hours", "a lead, with a reason")])
    if not times.reason:
        raise Refused([Problem("reason", "The reason is missing", "why these hours are corrected")])


def _set_hours(session: Session, act: Act, stint: Stint, times: Times) -> None:
    zone = ZoneInfo(shop_of(session).zone)
    day = stint.begun_at.astimezone(zone).date()
    ended = datetime.combine(day, times.ended, zone).astimezone(UTC)
    begun = datetime.combine(day, times.begun, zone).astimezone(UTC) if times.begun else stint.begun_at
    if begun == stint.begun_at.replace(second=0, microsecond=0):
        begun = stint.begun_at  # the minute that the form shows
    rules.check_span(Span(begun, ended), _others(session, stint), act.at)
    stint.begun_at, stint.ended_at = begun, ended
    stint.corrected_by = act.person if times.reason else stint.corrected_by
    stint.said_later = stint.said_later or not times.reason
    stint.reason = times.reason or stint.reason
    stint.revision += 1


def _others(session: Session, stint: Stint) -> list[Span]:
    same = select(Stint).where(Stint.person_id == stint.person_id, Stint.id != stint.id)
    return [Span(each.begun_at, each.ended_at) for each in session.exec(same)]


# Pausing


def pause(book: Engine, act: Act, job_id: int, why: Pause) -> int:
    """Pause a begun job with its reason, and clock its people off; returns the job's key.

    Raises Refused for a job that is not begun or finished, Stale where it moved on.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = _running(session, job_id)
        receipts.current(job.revision, act)
        return receipts.sign(session, act, "pause job", job, *paused(session, act, job, why))


def paused(session: Session, act: Act, job: Job, why: Pause) -> list[Stint]:
    """Put a begun job to rest inside an act; the stints that end with it, to be signed along with the job."""
    job.paused_at, job.paused_for, job.paused_note = act.at, why.waits_for.value, why.note
    job.revision += 1
    return all_ended(session, act, job.key)


def _running(session: Session, job_id: int) -> Job:
    job = session.get_one(Job, job_id)
    if job.begun_at is None or job.finished_at is not None:
        raise Refused([Problem("", "This job is not being worked on", "a begun job, not finished")])
    return job


def resume(book: Engine, act: Act, job_id: int) -> int:
    """Go on with a paused job; returns its key. Raises Stale where it moved on."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = _running(session, job_id)
        receipts.current(job.revision, act)
        steps.check_word(session, job)
        steps.go_on(job).revision += 1
        return receipts.sign(session, act, "resume job", job)


# Hold points


@dataclass(frozen=True)
class Signer:
    """Who signs at a hold point, and how they were known."""

    person: int
    how: str


def signer_of(book: Engine, act: Act, named: int | None, passphrase: str) -> Signer:
    """The second person: the one signed in, or one named whose passphrase was typed on the same tablet.

    Raises Refused for a wrong passphrase.
    """
    if named is None or named == act.person:
        return Signer(act.person, OWN)
    with reading(book) as session:
        person = session.get(Person, named)
    no = Problem("passphrase", "Name and passphrase do not match", "the passphrase of the one who signs")
    return Signer(people.prove(book, person, passphrase, act.at, no), TABLET)


def sign_hold(book: Engine, act: Act, job_id: int, number: int, signer: Signer) -> int:
    """Keep that a second person looked at a step; returns the signature's key.

    Raises Refused for a step that is no hold point, not ticked, or signed already, and for who did the work.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = _running(session, job_id)
        _check_hold(session, job, number)
        workers = evidence.workers_of(session, job)
        rules.check_signer(signer.person, workers, several=people.several(session))
        row = HoldSigned(
            created_at=act.at, job_id=job_id, step=number, signed_by=signer.person, how=signer.how
        )
        return receipts.sign(session, act, "sign hold point", row)


def _check_hold(session: Session, job: Job, number: int) -> None:
    if number not in evidence.unsigned(session, job):
        raise Refused([Problem("", f"Step {number} waits for nobody", "a hold point")])
    if number not in job.done_steps:
        raise Refused([Problem("", f"Step {number} is not done yet", "a step that is ticked")])

"""The acts of the bench: open, begin and finish jobs, keep and correct records, clear findings."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Engine
from sqlmodel import Session, select

from app.bench import evidence, rules
from app.bench.clock import all_ended
from app.bench.kinds import Judged, Payload, RecordKind, record_kinds
from app.bench.rules import Clearer, Evidence, How, NewInstrument
from app.bench.tables import BenchRecord, Clearance, Job
from app.estimate.facts import owners_words
from app.estimate.tables import Work
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.people import Role
from app.ground.shop import shop_of
from app.ground.tables import Instrument, Person
from app.ground.words import local
from app.inspection.tables import Finding
from app.trade.figure import shown
from app.trade.problems import Problem, Refused

NO_FORM = "This kind of record has no form here"


# Jobs


def open_jobs(book: Engine, act: Act, order_id: int) -> int:
    """Make a job of each work that the owner agreed to and that has none; returns the first new one's key.

    Returns 0 where there is nothing to make.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        jobs = [_job(session, act, order_id, key) for key in _agreed(session, order_id)]
        return receipts.sign(session, act, "open jobs", *jobs) if jobs else 0


def _job(session: Session, act: Act, order_id: int, work_id: int) -> Job:
    holds = evidence.holds_of(session, session.get_one(Work, work_id))
    return Job(created_at=act.at, work_id=work_id, work_order_id=order_id, holds=list(holds))


def _agreed(session: Session, order_id: int) -> list[int]:
    have = set(session.exec(select(Job.work_id).where(Job.work_order_id == order_id)))
    words = owners_words(session, order_id)
    return [key for key, said in sorted(words.items()) if said.holds and key not in have]


def begin(book: Engine, act: Act, job_id: int) -> int:
    """Begin a job, or take it over; the one who begins is its technician. Returns the job's key."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = unfinished(session, job_id)
        receipts.current(job.revision, act)
        check_word(session, job)
        _begin(session, act, job)
        job.technician_id = act.person
        go_on(job).revision += 1
        return receipts.sign(session, act, "begin job", job)


def tick_step(book: Engine, act: Act, job_id: int, number: int, *, done: bool) -> int:
    """Tick a step, numbered from 1, or take its tick away; returns the job's key.

    Two people may tick at once: each tick stands for itself. Raises Refused for a step that is not there.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = begun(session, act, job_id)
        if not 1 <= number <= len(session.get_one(Work, job.work_id).steps):
            raise Refused([Problem("step", f"There is no step {number}", "a step of this job")])
        rules.check_hold(number, unsigned=evidence.unsigned(session, job), signed=_signed(session, job))
        others = {each for each in job.done_steps if each != number}
        job.done_steps = sorted(others | {number} if done else others)
        return receipts.sign(session, act, "tick step", job)


def tick_steps(book: Engine, act: Act, job_id: int, numbers: Sequence[int]) -> int:
    """Tick several steps at once, as a paper sheet has them, up to the first that waits for a second person.

    Ticks that stand stay. Returns the job's key; raises Refused for a step that is not there or lies beyond.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = begun(session, act, job_id)
        most, waits = len(session.get_one(Work, job.work_id).steps), evidence.unsigned(session, job)
        for number in sorted(set(numbers) - set(job.done_steps)):
            if not 1 <= number <= most:
                raise Refused([Problem("step", f"There is no step {number}", "a step of this job")])
            rules.check_hold(number, unsigned=waits, signed=())
        job.done_steps = sorted({*job.done_steps, *numbers})
        return receipts.sign(session, act, "tick step", job)


def _signed(session: Session, job: Job) -> frozenset[int]:
    return frozenset(evidence.signed_holds(session, job.key) if job.holds else ())


def unfinished(session: Session, job_id: int) -> Job:
    """A job that is not finished; raises Refused for one that is, NoResultFound."""
    job = session.get_one(Job, job_id)
    if job.finished_at is not None:
        raise Refused([Problem("", "This job is finished", "a correction of its records")])
    return job


def begun(session: Session, act: Act, job_id: int) -> Job:
    """An unfinished job that somebody works on from now on, if nobody did before."""
    job = unfinished(session, job_id)
    if job.begun_at is None:
        check_word(session, job)
        _begin(session, act, job)
        job.technician_id = act.person
    return go_on(job)


def _begin(session: Session, act: Act, job: Job) -> None:
    if job.begun_at is None:
        job.begun_at, job.begun_entry = act.at, receipts.coming(session)


def go_on(job: Job) -> Job:
    """A job that is paused no longer."""
    job.paused_at, job.paused_for, job.paused_note = None, "", ""
    return job


def check_word(session: Session, job: Job) -> None:
    """Raise Refused where the owner's word does not cover the work as it stands now."""
    said = owners_words(session, job.work_order_id).get(job.work_id)
    rules.check_agreed(answer=said.answer if said else "", lapsed=said.lapsed if said else "")


def finish_job(book: Engine, act: Act, job_id: int) -> int:
    """Finish a job whose records prove its work, or that a lead accepted; returns its key.

    Raises Refused with every record that is missing or outside, Stale where the job moved on.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = session.get_one(Job, job_id)
        lacks = evidence.lacks_of(session, job)
        rules.check_finish(lacks=lacks, accepted=bool(job.accepted_by), finished=job.finished_at is not None)
        receipts.current(job.revision, act)
        if job.begun_at is None:
            check_word(session, job)
        _begin(session, act, job)
        job.technician_id = job.technician_id or act.person
        go_on(job).finished_at, job.finished_by = act.at, act.person
        job.finished_entry = receipts.coming(session)
        job.revision += 1
        return receipts.sign(session, act, "finish job", job, *all_ended(session, act, job_id))


def accept_job(book: Engine, act: Act, job_id: int, reason: str) -> int:
    """A lead accepts in writing what the records of a job do not prove; returns its key.

    The job may then be finished, but it clears no finding: that takes a second look or a lead's own reason.
    Raises Refused for anyone but a lead, and without a reason.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = unfinished(session, job_id)
        if not _is_lead(session, act.person):
            raise Refused([Problem("", "Only a lead accepts a job without its records", "a lead")])
        if len(reason.strip()) < rules.SHORTEST_REASON:
            raise Refused([Problem("reason", "The reason is too short", rules.REASON_ACCEPTS)])
        receipts.current(job.revision, act)
        job.accepted_reason, job.accepted_by = reason.strip(), act.person
        job.revision += 1
        return receipts.sign(session, act, "accept job", job)


def _is_lead(session: Session, person_id: int) -> bool:
    return session.get_one(Person, person_id).role == Role.LEAD


# Records


@dataclass(frozen=True)
class Measured:
    """A record to be kept: its kind, where, what was read, and the day, by the shop's own calendar."""

    kind: RecordKind[Payload]
    place: str
    payload: Payload
    on: date


def keep_record(book: Engine, act: Act, job_id: int, kind: str, place: str, payload: Payload) -> int:
    """Keep a measured record with its verdict; returns its key. The job begins with it, if it had not.

    Raises Refused where one stands at this place already, for a kind or place that the work does not ask for,
    and for a finished job.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = begun(session, act, job_id)
        _check_asked(session, job, kind, place)
        if evidence.standing_at(session, job_id, kind, place):
            raise Refused([Problem("", "A record stands here already", "a correction that supersedes it")])
        record = _record(session, act, job, _measured(session, act, kind, place, payload))
        session.add(job)
        return receipts.sign(session, act, "keep record", record, job)


def correct_record(book: Engine, act: Act, record_id: int, payload: Payload, reason: str) -> int:
    """Keep a record that supersedes another, with its reason; returns the new one's key.

    Also on a finished job. Raises Refused without a reason and where another one superseded it first.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        old = session.get_one(BenchRecord, record_id)
        assert old.job_id is not None
        if not reason.strip():
            raise Refused([Problem("correction", "The reason is missing", "why this record replaces it")])
        if session.exec(select(BenchRecord.id).where(BenchRecord.supersedes_id == record_id)).first():
            raise Refused([Problem("", "Somebody corrected this record first", "the record that stands now")])
        job = session.get_one(Job, old.job_id)
        record = _record(session, act, job, _measured(session, act, old.kind, old.place, payload))
        record.supersedes_id, record.correction = record_id, reason.strip()
        return receipts.sign(session, act, "correct record", record)


def _measured(session: Session, act: Act, kind: str, place: str, payload: Payload) -> Measured:
    on = local(act.at, shop_of(session).zone).date()
    return Measured(record_kinds()[kind], place, payload, on)


def _check_asked(session: Session, job: Job, kind: str, place: str) -> None:
    if kind not in record_kinds():
        raise Refused([Problem("", NO_FORM, "a lead's acceptance in writing, or a second look")])
    if (kind, place) not in {(each.kind, each.place) for each in evidence.asked_for(session, job)}:
        raise Refused(
            [Problem("", "This work does not ask for this record here", "a record of the job's list")]
        )


def _record(session: Session, act: Act, job: Job, measured: Measured) -> BenchRecord:
    kind = measured.kind
    context = evidence.context_of(session, job, kind, measured.place, measured.on)
    judged: Judged = kind.judge(measured.payload, context)
    payload = measured.payload.model_dump(mode="json")
    return BenchRecord(
        created_at=act.at,
        job_id=job.key,
        work_order_id=job.work_order_id,
        kind=kind.key,
        place=measured.place,
        payload=payload,
        inside=judged.inside,
        says=judged.verdict.says,
        worked=[shown(each) for each in judged.figures],
        instrument_id=(payload.get("instrument") or {}).get("id"),
        made_by=act.person,
    )


# Clearing


def clear_finding(book: Engine, act: Act, finding_id: int, offered: Evidence) -> int:
    """Clear a finding by a finished job, a second look, or a lead's reason; returns the clearance's key.

    Raises Refused with everything that keeps this evidence from clearing it, Stale where the finding was
    graded anew after the page was shown.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        finding = session.get_one(Finding, finding_id)
        receipts.current(finding.revision, act)
        _check_clearance(session, act, finding, offered)
        clearance = Clearance(
            created_at=act.at,
            finding_id=finding_id,
            how=offered.how.value,
            job_id=offered.job_id if offered.how.by_job else None,
            second_look_id=offered.second_look_id if offered.how is How.SECOND_LOOK else None,
            reason=offered.reason.strip(),
            cleared_by=act.person,
        )
        return receipts.sign(session, act, "clear finding", clearance)


def _check_clearance(session: Session, act: Act, finding: Finding, offered: Evidence) -> None:
    cleared = evidence.is_cleared(session, finding)
    proof = evidence.proof_of(session, offered.job_id)
    look = evidence.look_of(session, offered.second_look_id)
    if _elsewhere(session, finding, offered):
        proof, look = None, None
    who = Clearer(act.person, _is_lead(session, act.person), not people.several(session))
    rules.check_clearance(
        evidence.fault_of(session, finding, cleared=cleared), offered, who, proof=proof, look=look
    )


def _elsewhere(session: Session, finding: Finding, offered: Evidence) -> bool:
    """Whether the evidence belongs to another stay than the finding."""
    order = evidence.order_of_finding(session, finding.key)
    job = session.get(Job, offered.job_id) if offered.job_id is not None else None
    if job is not None and job.work_order_id != order:
        return True
    if offered.second_look_id is None:
        return False
    return evidence.order_of_finding(session, offered.second_look_id) != order


# Instruments


def keep_instrument(book: Engine, act: Act, new: NewInstrument, instrument_id: int | None = None) -> int:
    """Keep an instrument, a new one or a changed one; returns its key.

    Raises Refused where another one has the name, Stale where it was changed since the page was shown.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = _instrument(session, act, instrument_id)
        _check_name(session, new.name, instrument_id)
        row.name, row.kind, row.unit = new.name, new.kind, new.unit
        row.least, row.most, row.resolution = new.least, new.most, new.resolution
        row.calibrated_on, row.calibration_due, row.active = (
            new.calibrated_on,
            new.calibration_due,
            new.active,
        )
        row.revision += 1
        return receipts.sign(session, act, "keep instrument", row)


def _instrument(session: Session, act: Act, instrument_id: int | None) -> Instrument:
    if instrument_id is None:
        return Instrument(created_at=act.at, name="", kind="")
    row = session.get_one(Instrument, instrument_id)
    receipts.current(row.revision, act)
    return row


def _check_name(session: Session, name: str, but: int | None) -> None:
    same: Sequence[int | None] = session.exec(select(Instrument.id).where(Instrument.name == name)).all()
    if any(key != but for key in same):
        raise Refused([Problem("name", f"There is an instrument {name} already", "another name")])

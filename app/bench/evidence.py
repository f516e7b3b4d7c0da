"""What the book holds as evidence: jobs, standing records, proofs. Steps and facts read the same."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlmodel import Session, col, func, select

from app.bench.kinds import Context, RecordKind, Tool, record_kinds, title_of
from app.bench.rules import (
    AGAIN,
    Asked,
    Evidence,
    Fault,
    How,
    Look,
    Made,
    Proof,
    Stood,
    asked_of,
    lacking,
    stands,
)
from app.bench.shown import At, Held, but_said_once, not_shown, touches
from app.bench.tables import BenchRecord, Clearance, HoldSigned, Job, Stint
from app.estimate.tables import Work, WorkFinding
from app.ground import people
from app.ground.shop import settings_of
from app.ground.tables import Instrument, Receipt
from app.inspection.catalogue import Kit, ShownBy
from app.inspection.facts import catalogue_of, newest_catalogue
from app.inspection.places import label_of
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.inspection.unit import shape_of
from app.intake.facts import unit_of
from app.trade.figure import HEAVIEST_FIRST, Grade
from app.trade.tire_age import AgePolicy

NO_SECOND = "no second person has signed it yet"
DONE = ("begin job", "tick step")
WORKED = ("begin job", "tick step", "finish job", "keep record", "correct record")


# Jobs and their records


def jobs_answering(session: Session, finding: Finding) -> list[Job]:
    """The jobs whose work answers a finding, or another finding on the same check and place of its stay."""
    same = [each.key for each in same_thing(session, finding)]
    found = session.exec(
        select(Job)
        .join(WorkFinding, col(WorkFinding.work_id) == col(Job.work_id))
        .where(col(WorkFinding.finding_id).in_(same))
        .order_by(col(Job.id))
    )
    return list({job.key: job for job in found}.values())


def same_thing(session: Session, finding: Finding) -> list[Finding]:
    """All findings of a stay on the check and place of this one, second looks and itself among them."""
    order_id = session.get_one(Walk, finding.walk_id).work_order_id
    return list(
        session.exec(
            select(Finding)
            .join(Walk, col(Finding.walk_id) == col(Walk.id))
            .where(
                Walk.work_order_id == order_id, Finding.check == finding.check, Finding.place == finding.place
            )
            .order_by(col(Finding.id))
        )
    )


def findings_answered(session: Session, work_id: int) -> list[Finding]:
    """The findings that a work answers."""
    return list(
        session.exec(
            select(Finding)
            .join(WorkFinding, col(WorkFinding.finding_id) == col(Finding.id))
            .where(WorkFinding.work_id == work_id)
            .order_by(col(Finding.id))
        )
    )


def records_of_job(session: Session, job_id: int) -> list[BenchRecord]:
    """All records of a job, superseded ones among them, in the order they were made."""
    mine = BenchRecord.job_id == job_id
    return list(session.exec(select(BenchRecord).where(mine).order_by(col(BenchRecord.id))))


def standing(records: Sequence[BenchRecord]) -> list[BenchRecord]:
    """The records that no other one supersedes."""
    gone = {each.supersedes_id for each in records}
    return [each for each in records if each.key not in gone]


def lent_to(session: Session, job: Job) -> list[BenchRecord]:
    """Records of other jobs of the stay that serve a job too, with those that they supersede.

    Of a kind that covers the whole unit each time, where the job has none of its own: the newest, and only if
    it was measured after all that this job does was done. Else two lamps would ask for the same twice.
    """
    done = _steps_done(session, job)
    own = {each.kind for each in records_of_job(session, job.key)}
    asked = {each.kind for each in asked_for(session, job) if each.known} - own if done else ()
    return [
        each
        for kind in sorted(asked)
        if record_kinds()[kind].covers
        for each in _newest_after(session, job, kind, done)
    ]


def _steps_done(session: Session, job: Job) -> int:
    """Number in the book of the tick that left no step of a job open; 0 while one is, or it has none."""
    steps = len(session.get_one(Work, job.work_id).steps)
    if not steps or len({*job.done_steps}) < steps:
        return 0
    mine = (Receipt.subject == "job", Receipt.subject_id == job.key, col(Receipt.act).in_(DONE))
    return session.exec(select(func.max(Receipt.id)).where(*mine)).one() or 0


def _newest_after(session: Session, job: Job, kind: str, done: int) -> list[BenchRecord]:
    others = (BenchRecord.work_order_id == job.work_order_id, BenchRecord.kind == kind)
    rows = session.exec(select(BenchRecord).where(*others, BenchRecord.job_id != job.key)).all()
    by_key = {each.key: each for each in rows}
    after = [each for each in standing(rows) if _read_at(each, by_key) > done]
    row = max(after, key=lambda each: each.entry, default=None)
    chain = []
    while row is not None:
        chain.append(row)
        row = by_key.get(row.supersedes_id or 0)
    return chain


def _serving(session: Session, job: Job) -> list[BenchRecord]:
    """All records by which a job is judged: its own and those lent to it, superseded ones among them."""
    return [*records_of_job(session, job.key), *lent_to(session, job)]


def standing_at(session: Session, job_id: int, kind: str, place: str) -> BenchRecord | None:
    """The record of a kind that stands at a place of a job, or None."""
    found = standing(records_of_job(session, job_id))
    return next((each for each in found if (each.kind, each.place) == (kind, place)), None)


def asked_for(session: Session, job: Job) -> tuple[Asked, ...]:
    """The records that a job's work asks for."""
    work = session.get_one(Work, job.work_id)
    per = {kind.key: kind.per for kind in record_kinds().values()}
    return asked_of(work.records, per, shape_of(unit_of(session, job.work_order_id)), _where(session, work))


def _where(session: Session, work: Work) -> tuple[str, ...]:
    """The places that a work touches; none where it is about the whole unit."""
    own = () if work.place in ("", "unit") else (work.place,)
    if not own and work.kit and _sold_per(session, work.kit) == "unit":
        return ()
    found = [finding.place for finding in findings_answered(session, work.key)]
    return tuple(dict.fromkeys((*own, *(place for place in found if place != "unit"))))


def holds_of(session: Session, work: Work) -> tuple[int, ...]:
    """The steps of a work that need a second person: its kit's, where its steps are still the kit's."""
    kit = _kit(session, work.kit) if work.kit else None
    return kit.holds if kit and list(kit.steps) == work.steps else ()


def _kit(session: Session, key: str) -> Kit | None:
    if session.exec(select(CatalogueVersion.id).limit(1)).first() is None:
        return None
    return next((each for each in newest_catalogue(session).kits if each.key == key), None)


def _sold_per(session: Session, kit: str) -> str:
    found = _kit(session, kit)
    return found.per if found else "unit"


def lacks_of(session: Session, job: Job) -> tuple[str, ...]:
    """What the records of a job lack to prove its work, in words."""
    asked = asked_for(session, job)
    found = standing(_serving(session, job))
    titles = {each.kind: title_of(each.kind) for each in asked}
    stood = [Stood(each.kind, each.place, each.inside, each.says) for each in found]
    waits = (f"Step {number}: {NO_SECOND}" for number in unsigned(session, job))
    open_still = _not_shown(session, job, found)
    return (*lacking(asked, stood, titles), *open_still, *behind(session, job), *waits)


def _not_shown(session: Session, job: Job, records: Sequence[BenchRecord]) -> tuple[str, ...]:
    """What the records of a job leave open of the faults that its work answers, a sentence for each."""
    brakes = unit_of(session, job.work_order_id).brakes
    answered = findings_answered(session, job.work_id)
    held = [Held(record.kind, record.place, record.payload) for record in records]
    faults = [but_said_once(At(it.place, brakes, _shown_by(session, it)), held) for it in answered]
    told = [
        f"{title_of(record.kind)}, {label_of(record.place)}: {says}"
        for record in held
        for fault in faults
        if (says := not_shown(fault, record))
    ]
    return tuple(dict.fromkeys(told))


def _shown_by(session: Session, finding: Finding) -> tuple[ShownBy, ...]:
    """What shows a finding put right, by the catalogue in force; by its walk's where the check is gone.

    A shop's changes cannot take it away, and a walk of before the catalogue said it is held to it as well.
    """
    catalogues = newest_catalogue(session), catalogue_of(session, finding.walk_id)
    found = (check for each in catalogues for check in each.checks if check.key == finding.check)
    return next((check.shown_by for check in found), ())


# What a work still lacks in a later room, by the work's key and in words; rooms add theirs.
BEHIND: list[Callable[[Session, int], Iterable[str]]] = []


def behind(session: Session, job: Job) -> tuple[str, ...]:
    """What later rooms say that the work of a job lacks; nothing is asked of a finished one any more."""
    if job.finished_at is not None:
        return ()
    return tuple(says for lacks in BEHIND for says in lacks(session, job.work_id))


def signed_holds(session: Session, job_id: int) -> dict[int, HoldSigned]:
    """The hold points of a job that a second person signed, by the number of their step."""
    rows = session.exec(select(HoldSigned).where(HoldSigned.job_id == job_id))
    return {row.step: row for row in rows}


def unsigned(session: Session, job: Job) -> tuple[int, ...]:
    """The steps of a job that still wait for a second person, by number."""
    signed = signed_holds(session, job.key) if job.holds else {}
    return tuple(number for number in sorted(job.holds) if number not in signed)


def workers_of(session: Session, job: Job) -> frozenset[int]:
    """Everybody who worked on a job: its technician, who began, ticked, measured, clocked on or finished."""
    signed = session.exec(
        select(Receipt.person_id).where(
            Receipt.subject == "job", Receipt.subject_id == job.key, col(Receipt.act).in_(WORKED)
        )
    )
    measured = [record.made_by for record in _serving(session, job)]
    clocked = session.exec(select(Stint.person_id).where(Stint.job_id == job.key))
    known = (job.technician_id, job.finished_by, *signed, *measured, *clocked)
    return frozenset(each for each in known if each)


# What clears


@dataclass(frozen=True)
class Cleared:
    """A clearance with whether it still holds."""

    row: Clearance
    stands: bool


def fault_of(session: Session, finding: Finding, *, cleared: bool = False) -> Fault:
    """A finding as the rules see it, with all who worked on it."""
    workers = [workers_of(session, job) for job in jobs_answering(session, finding)]
    return Fault(
        id=finding.key,
        check=finding.check,
        place=finding.place,
        grade=Grade(finding.grade),
        looked_by=finding.looked_by,
        looked=finding.looked_entry,
        workers=frozenset().union(*workers),
        cleared=cleared,
    )


def proof_of(session: Session, job_id: int | None) -> Proof | None:
    """A job as evidence, or None where there is no such job."""
    job = session.get(Job, job_id) if job_id is not None else None
    if job is None:
        return None
    answered = findings_answered(session, job.work_id)
    kinds = set(session.get_one(Work, job.work_id).records)
    beside = [each for each in answered if not _proved_by(session, each, kinds)]
    return Proof(
        finished=job.finished_entry,
        answers=frozenset((each.check, each.place) for each in answered),
        lacks=lacks_of(session, job),
        measured=bool(_serving(session, job)),
        beside=frozenset((each.check, each.place) for each in beside),
        read=_read_for(session, job, answered),
    )


def _read_for(session: Session, job: Job, answered: Sequence[Finding]) -> dict[tuple[str, str], int]:
    """The oldest measurement of a job that belongs to each finding, by number in the book."""
    every = _serving(session, job)
    by_key = {each.key: each for each in every}
    read = [(each.place, _read_at(each, by_key)) for each in standing(every)]
    return {
        (it.check, it.place): min((at for place, at in read if touches(it.place, place)), default=0)
        for it in answered
    }


def _read_at(record: BenchRecord, by_key: Mapping[int, BenchRecord]) -> int:
    """When a record was measured: what was only typed wrongly was read when the record it replaces was."""
    while record.supersedes_id is not None and not record.correction.startswith(AGAIN):
        record = by_key[record.supersedes_id]
    return record.entry


def _proved_by(session: Session, finding: Finding, kinds: set[str]) -> bool:
    """Whether records of some kinds hold all that one of the kits of a finding's check asks for.

    A kit for other brakes than the unit's proves nothing here: what it measures, this unit may not have.
    """
    catalogues = (catalogue_of(session, finding.walk_id), newest_catalogue(session))
    brakes = unit_of(session, session.get_one(Walk, finding.walk_id).work_order_id).brakes
    kits = [kit for each in catalogues for kit in each.kits_of(finding.check) if kit.fits(brakes)]
    return any(kit.records and kinds.issuperset(kit.records) for kit in kits)


def look_of(session: Session, finding_id: int | None) -> Look | None:
    """A second look as evidence, or None where there is no such finding."""
    finding = session.get(Finding, finding_id) if finding_id is not None else None
    if finding is None:
        return None
    return Look(
        check=finding.check,
        place=finding.place,
        grade=Grade(finding.grade),
        second=session.get_one(Walk, finding.walk_id).depth == "second",
        looked_by=finding.looked_by,
        looked=finding.looked_entry,
    )


def order_of_finding(session: Session, finding_id: int | None) -> int | None:
    """The stay that a finding belongs to, or None where there is no such finding."""
    finding = session.get(Finding, finding_id) if finding_id is not None else None
    return session.get_one(Walk, finding.walk_id).work_order_id if finding else None


def clearances_of(session: Session, findings: Iterable[Finding]) -> list[Cleared]:
    """All clearances of some findings in the order they were made, each with whether it still holds."""
    by_key = {finding.key: finding for finding in findings}
    rows = session.exec(
        select(Clearance).where(col(Clearance.finding_id).in_(list(by_key))).order_by(col(Clearance.id))
    )
    return [Cleared(row, _stands(session, row, by_key[row.finding_id])) for row in rows]


def _stands(session: Session, row: Clearance, finding: Finding) -> bool:
    evidence = Evidence(How(row.how), row.job_id, row.second_look_id, row.reason)
    proof, look = proof_of(session, row.job_id), look_of(session, row.second_look_id)
    made = Made(row.entry, row.cleared_by, not people.several(session))
    return stands(made, fault_of(session, finding), evidence, proof, look)


def is_cleared(session: Session, finding: Finding) -> bool:
    """Whether a finding does not hold any more: cleared, or one as heavy on its check and place since."""
    return finding.key in cleared_among(session, same_thing(session, finding))


def cleared_among(session: Session, findings: Sequence[Finding]) -> set[int]:
    """Keys of the findings, of one stay, that do not hold any more."""
    by_key = {each.key: each for each in findings}
    holding = [
        (each.row, by_key[each.row.finding_id]) for each in clearances_of(session, findings) if each.stands
    ]
    return {
        finding.key
        for finding in findings
        for row, cleared in holding
        if _same_place(cleared, finding) and _reaches(row, cleared, finding)
    }


def _same_place(one: Finding, other: Finding) -> bool:
    return (one.check, one.place) == (other.check, other.place)


def _reaches(row: Clearance, cleared: Finding, finding: Finding) -> bool:
    """Whether the clearance of one finding also clears another: made after it, and for one as heavy.

    Never the second look that it rests on: what that saw still counts, as a watch with its date.
    """
    if row.second_look_id == finding.key:
        return False
    weights = [HEAVIEST_FIRST.index(Grade(each.grade)) for each in (cleared, finding)]
    return row.entry >= finding.looked_entry and weights[0] <= weights[1]


# What a record needs to know


def tools_of(session: Session) -> tuple[Tool, ...]:
    """The instruments in use, by name."""
    rows = session.exec(select(Instrument).where(Instrument.active).order_by(col(Instrument.name)))
    return tuple(
        Tool(row.key, row.name, row.kind, row.unit, row.least, row.most, row.calibration_due) for row in rows
    )


def context_of(session: Session, job: Job, kind: RecordKind[Any], place: str, on: date) -> Context:
    """What a record of a kind at a place of a job needs to know."""
    unit, shop = unit_of(session, job.work_order_id), settings_of(session)
    return Context(
        place=place,
        label=label_of(place),
        on=on,
        studs=unit.stud_count,
        thread=unit.stud_thread,
        torque_low=unit.torque_low,
        torque_high=unit.torque_high,
        torque_unit=unit.torque_unit,
        torque_source=unit.torque_source,
        tire_size=unit.tire_size,
        tire_pressure=unit.tire_pressure,
        pressure_unit=unit.tire_pressure_unit,
        gawr=tuple(unit.gawr),
        gawr_unit=unit.gvwr_unit,
        gvwr=unit.gvwr,
        unit_kind=unit.kind,
        axles=max(unit.axles, 1),
        brakes=unit.brakes,
        brakes_required=unit.brakes_required is not False,
        tire_ages=AgePolicy(shop.tire_watch_years, shop.tire_needs_years, shop.tire_dnt_years),
        weight_unit=shop.weight_unit,
        weight_steps=shop.weight_steps,
        tools=tools_of(session),
        before=_before(session, job, kind.key, place),
        last=_newest_payload(session, job.work_order_id, kind.key),
        systems=_systems(session, job),
    )


def _systems(session: Session, job: Job) -> frozenset[str]:
    answered = findings_answered(session, job.work_id)
    checks = {check.key: check for each in answered for check in catalogue_of(session, each.walk_id).checks}
    return frozenset(str(checks[each.check].system) for each in answered if each.check in checks)


def _before(session: Session, job: Job, kind: str, place: str) -> Mapping[str, Any] | None:
    mine = standing_at(session, job.key, kind, place)
    return mine.payload if mine else _newest_payload(session, job.work_order_id, kind, place)


def _newest_payload(session: Session, order_id: int, kind: str, place: str = "") -> Mapping[str, Any] | None:
    found = select(BenchRecord.payload).where(BenchRecord.work_order_id == order_id, BenchRecord.kind == kind)
    if place:
        found = found.where(BenchRecord.place == place)
    return session.exec(found.order_by(col(BenchRecord.id).desc()).limit(1)).first()

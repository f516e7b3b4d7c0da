"""What the bench knows, as pages, papers and JSON read it: jobs, records, clearances, what still holds."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cached_property
from typing import Any

from sqlmodel import Session, col, select

from app.bench import evidence, rules
from app.bench.evidence import Cleared
from app.bench.floor.rules import pause_said
from app.bench.kinds import Context, Judged, instruments_said, record_kinds, title_of
from app.bench.rules import why_not_agreed
from app.bench.tables import BenchRecord, Job
from app.estimate.facts import CLEARED, OwnersWord, owners_words, priced_findings
from app.estimate.tables import Work
from app.ground import people
from app.ground.series import order_number
from app.ground.tables import Instrument
from app.inspection.catalogue import Caution
from app.inspection.facts import FindingLine, findings_of, newest_catalogue, walks_of
from app.inspection.places import label_of
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.intake.tables import WorkOrder
from app.trade.figure import HEAVIEST_FIRST, Grade
from app.trade.letters import apart
from app.trade.typed import Texts

Names = Mapping[int, str]
ASK_NOW = (Grade.DNT, Grade.NEEDS)  # grades whose finding is not left without a price
GRAVEST = ("DANGER", "WARNING", "CAUTION", "NOTICE")  # ANSI Z535.4


@dataclass(frozen=True)
class RecordLine:
    """A measured record that stands, with all that a page or a paper says of it.

    `earlier`: the records that it superseded, the newest first. `superseded`: whether this is such a one.
    """

    id: int
    job_id: int
    order_id: int
    kind: str
    title: str
    place: str
    label: str
    payload: Mapping[str, Any]
    inside: bool
    says: str
    worked: tuple[dict[str, Any], ...]
    instrument: str
    made_by: str
    made_by_id: int
    made_at: datetime
    entry: int
    correction: str
    superseded: bool = False
    earlier: tuple["RecordLine", ...] = ()

    @property
    def grade(self) -> Grade:
        """Sound inside the limits, needs work outside, unseen where no figure has a verdict yet."""
        if self.inside:
            return Grade.SOUND
        grades = [Grade(each["verdict"]["grade"]) for each in self.worked if each["verdict"]]
        return min(grades, key=HEAVIEST_FIRST.index) if Grade.DNT in grades else Grade.NEEDS

    @property
    def drawing(self) -> Mapping[str, object]:
        """What the drawing of this record needs, for screen and paper."""
        kind = record_kinds()[self.kind]
        plain = Context(place=self.place, label=self.label, on=self.made_at.date())
        return kind.draw(Texts(kind.texts(kind.kept(self.payload))), plain)


@dataclass(frozen=True)
class StepLine:
    """One step of a job. `hold`: a second person signs it before the work goes on; `how` they were known."""

    number: int
    says: str
    done: bool
    hold: bool = False
    signed_by: str = ""
    signed_at: datetime | None = None
    how: str = ""

    @property
    def waits(self) -> bool:
        """Whether it is done and waits for a second person."""
        return self.hold and self.done and not self.signed_by


@dataclass(frozen=True)
class AskedLine:
    """One record that a job must have, and the one that stands; `lent`: another job's that serves it too."""

    kind: str
    title: str
    place: str
    label: str
    known: bool
    record: RecordLine | None
    lent: RecordLine | None = None

    @property
    def covers(self) -> bool:
        """Whether one record of this kind may serve several works."""
        return self.known and record_kinds()[self.kind].covers


@dataclass(frozen=True)
class JobLine:
    """A job with all that a page or a paper says of it."""

    id: int
    work_id: int
    order_id: int
    number: int
    title: str
    place: str
    label: str
    technician: str
    technician_id: int | None
    begun_at: datetime | None
    finished_at: datetime | None
    finished_by: str
    finished_by_id: int | None
    accepted_reason: str
    accepted_by: str
    steps: tuple[StepLine, ...]
    cautions: tuple[Caution, ...]
    defer: str
    outside: bool
    asked: tuple[AskedLine, ...]
    lacks: tuple[str, ...]
    behind: tuple[str, ...]
    finding_ids: tuple[int, ...]
    revision: int
    waits_for: str = ""  # why it is paused, in words
    paused_at: datetime | None = None
    stop: str = ""  # why the owner's word does not cover it; empty where it does, and once it is finished

    @property
    def state(self) -> str:
        """Where the job stands, in words."""
        if self.finished_at:
            return "Finished"
        if self.paused_at:
            return f"Paused, waits for {self.waits_for}"
        return "Begun" if self.begun_at else "Waits"

    @property
    def proved(self) -> bool:
        """Whether its records prove the work."""
        return not self.lacks and any(each.record or each.lent for each in self.asked)

    @property
    def may_finish(self) -> bool:
        """Whether it can be finished now."""
        return self.finished_at is None and (not self.lacks or bool(self.accepted_by))

    @cached_property
    def records(self) -> tuple[RecordLine, ...]:
        """The records that stand."""
        return tuple(each.record for each in self.asked if each.record)


@dataclass(frozen=True)
class ClearanceLine:
    """A clearance as printed; `stands`: whether it still holds."""

    finding_id: int
    name: str
    grade: Grade
    how: str
    says: str
    by: str
    at: datetime
    entry: int
    reason: str
    job_id: int | None
    second_look_id: int | None
    stands: bool
    lent: frozenset[int] = frozenset()  # records of other jobs that its job is proved by

    def rests_on(self, record: RecordLine) -> bool:
        """Whether a measured record is of the work that cleared it, or serves it."""
        return record.id in self.lent or bool(self.job_id and record.job_id == self.job_id)


def jobs_of(session: Session, order_id: int) -> list[JobLine]:
    """The jobs of a work order, in the order in which they were opened."""
    jobs = session.exec(select(Job).where(Job.work_order_id == order_id).order_by(col(Job.id)))
    names, words = people.names(session), owners_words(session, order_id)
    return [
        replace(_job(session, job, number, names), stop=_stop(job, words.get(job.work_id)))
        for number, job in enumerate(jobs, 1)
    ]


def _stop(job: Job, said: OwnersWord | None) -> str:
    if job.finished_at is not None:
        return ""
    return why_not_agreed(said.answer if said else "", said.lapsed if said else "")


def job_of(session: Session, job_id: int) -> JobLine | None:
    """One job, or None where there is none of that key."""
    job = session.get(Job, job_id) if job_id < 2**63 else None
    if job is None:
        return None
    return next(each for each in jobs_of(session, job.work_order_id) if each.id == job_id)


def _job(session: Session, job: Job, number: int, names: Names) -> JobLine:
    work = session.get_one(Work, job.work_id)
    return JobLine(
        id=job.key,
        work_id=work.key,
        order_id=job.work_order_id,
        number=number,
        title=work.title,
        place=work.place,
        label=label_of(work.place),
        technician=names.get(job.technician_id or 0, ""),
        technician_id=job.technician_id,
        begun_at=job.begun_at,
        finished_at=job.finished_at,
        finished_by=names.get(job.finished_by or 0, ""),
        finished_by_id=job.finished_by,
        accepted_reason=job.accepted_reason,
        accepted_by=names.get(job.accepted_by or 0, ""),
        steps=tuple(_steps(session, job, work.steps, names)),
        cautions=cautions_of(session, work.cautions),
        defer=work.defer,
        outside=work.outside,
        asked=tuple(_asked_lines(session, job, names)),
        lacks=evidence.lacks_of(session, job),
        behind=evidence.behind(session, job),
        finding_ids=tuple(each.key for each in evidence.findings_answered(session, work.key)),
        revision=job.revision,
        waits_for=pause_said(job.paused_for, job.paused_note) if job.paused_at else "",
        paused_at=job.paused_at,
    )


def _steps(session: Session, job: Job, says: Sequence[str], names: Names) -> Iterator[StepLine]:
    signed = evidence.signed_holds(session, job.key)
    for number, text in enumerate(says, 1):
        row = signed.get(number)
        yield StepLine(
            number=number,
            says=text,
            done=number in job.done_steps,
            hold=number in job.holds,
            signed_by=names.get(row.signed_by, "") if row else "",
            signed_at=row.created_at if row else None,
            how=row.how if row else "",
        )


def cautions_of(session: Session, keys: Sequence[str]) -> tuple[Caution, ...]:
    """The newest catalogue's cautions of some keys that it holds, the gravest first."""
    if not keys or session.exec(select(CatalogueVersion.id).limit(1)).first() is None:
        return ()
    known = {each.key: each for each in newest_catalogue(session).cautions}
    return tuple(sorted((known[key] for key in keys if key in known), key=lambda it: GRAVEST.index(it.word)))


def _asked_lines(session: Session, job: Job, names: Names) -> Iterator[AskedLine]:
    records = {
        (each.kind, each.place): each for each in _chains(session, BenchRecord.job_id == job.key, names)
    }
    lent = {
        (row.kind, row.place): _record(row, names)
        for row in evidence.standing(evidence.lent_to(session, job))
    }
    for each in evidence.asked_for(session, job):
        at = (each.kind, each.place)
        yield AskedLine(
            each.kind, title_of(each.kind), each.place, each.label, each.known, records.get(at), lent.get(at)
        )


def records_of(session: Session, order_id: int) -> list[RecordLine]:
    """The records of a work order that stand, in the order they were made; each with those it superseded."""
    return _chains(session, BenchRecord.work_order_id == order_id, people.names(session))


def _chains(session: Session, mine: Any, names: Names) -> list[RecordLine]:  # noqa: ANN401 - an SQL condition
    rows = session.exec(select(BenchRecord).where(mine).order_by(col(BenchRecord.id))).all()
    by_key = {row.key: row for row in rows}
    return [
        replace(_record(row, names), earlier=tuple(_superseded(row, by_key, names)))
        for row in evidence.standing(rows)
    ]


def _superseded(row: BenchRecord, by_key: Mapping[int, BenchRecord], names: Names) -> Iterator[RecordLine]:
    while row.supersedes_id is not None:
        row = by_key[row.supersedes_id]
        yield replace(_record(row, names), superseded=True)


def _record(row: BenchRecord, names: Names) -> RecordLine:
    kind = record_kinds()[row.kind]
    return RecordLine(
        id=row.key,
        job_id=row.job_id or 0,
        order_id=row.work_order_id,
        kind=row.kind,
        title=kind.title,
        place=row.place,
        label=label_of(row.place),
        payload=row.payload,
        inside=row.inside,
        says=row.says,
        worked=tuple(row.worked),
        instrument=instruments_said(kind.kept(row.payload)),
        made_by=names.get(row.made_by, ""),
        made_by_id=row.made_by,
        made_at=row.created_at,
        entry=row.entry,
        correction=row.correction,
    )


# Clearances and what still holds


def clearances(session: Session, order_id: int) -> list[ClearanceLine]:
    """All clearances of a work order in the order they were made, lapsed ones among them."""
    findings = {finding.key: finding for finding in _findings(session, order_id)}
    names = people.names(session)
    return [
        replace(_clearance(each, findings[each.row.finding_id], names), lent=_lent(session, each.row.job_id))
        for each in evidence.clearances_of(session, findings.values())
    ]


def cleared_by(session: Session, job: JobLine) -> tuple[ClearanceLine, ...]:
    """What a job cleared, in the order in which it did."""
    return tuple(each for each in clearances(session, job.order_id) if each.job_id == job.id)


def _findings(session: Session, order_id: int) -> list[Finding]:
    found = select(Finding).join(Walk, col(Finding.walk_id) == col(Walk.id))
    return list(session.exec(found.where(Walk.work_order_id == order_id).order_by(col(Finding.id))))


def _clearance(cleared: Cleared, finding: Finding, names: Names) -> ClearanceLine:
    row = cleared.row
    return ClearanceLine(
        finding_id=finding.key,
        name=finding.name,
        grade=Grade(finding.grade),
        how=row.how,
        says=_how_said(row.how, row.reason),
        by=names.get(row.cleared_by, ""),
        at=row.created_at,
        entry=row.entry,
        reason=row.reason,
        job_id=row.job_id,
        second_look_id=row.second_look_id,
        stands=cleared.stands,
    )


def _lent(session: Session, job_id: int | None) -> frozenset[int]:
    job = session.get(Job, job_id) if job_id else None
    return frozenset(each.key for each in evidence.lent_to(session, job)) if job else frozenset()


def _how_said(how: str, reason: str) -> str:
    said = rules.How(how).by
    return f"{said}: {apart(reason)}" if reason else said


def open_findings(session: Session, order_id: int) -> list[FindingLine]:
    """The findings that still hold, the heaviest first: not sound, and not cleared.

    Of several looks at one check and place the heaviest holds, the newest of equals; `rules.counting` says
    when an unseen one counts. A second look that is still unseen counts for nothing by itself either.
    """
    cleared = cleared_in(session, order_id)
    second = {walk.key for walk in walks_of(session, order_id) if walk.depth == "second"}
    heaviest: dict[tuple[str, str], FindingLine] = {}
    for line in _counting(findings_of(session, order_id, second_looks=True)):
        if _holds(line, second) and line.id not in cleared:
            heaviest[line.check, line.place] = _heavier(heaviest.get((line.check, line.place)), line)
    return sorted(heaviest.values(), key=lambda line: line.weight)


def cleared_in(session: Session, order_id: int) -> set[int]:
    """Keys of the findings of a work order that do not hold any more."""
    return evidence.cleared_among(session, _findings(session, order_id))


CLEARED.append(cleared_in)


def to_price(session: Session, order_id: int) -> tuple[FindingLine, ...]:
    """The findings that still hold, ask for work now, and that no work answers; the heaviest first.

    A second look at a thing is answered by the work that was priced for the first.
    """
    priced = priced_findings(session, order_id)
    answered = {(it.check, it.place) for it in findings_of(session, order_id) if it.id in priced}
    return tuple(
        line
        for line in open_findings(session, order_id)
        if line.fitted and line.grade in ASK_NOW and (line.check, line.place) not in answered
    )


def _counting(lines: Sequence[FindingLine]) -> Iterator[FindingLine]:
    by_spot: dict[tuple[str, str], list[FindingLine]] = {}
    for line in lines:
        by_spot.setdefault((line.check, line.place), []).append(line)
    for looks in by_spot.values():
        yield from rules.counting(looks)


def _holds(line: FindingLine, second_walks: set[int]) -> bool:
    if line.grade is Grade.SOUND:
        return False
    return line.grade is not Grade.UNSEEN or line.walk_id not in second_walks


def _heavier(one: FindingLine | None, other: FindingLine) -> FindingLine:
    if one is None or other.weight < one.weight:
        return other
    return other if other.weight == one.weight and other.id > one.id else one


def holds_the_tow(session: Session, order_id: int) -> list[FindingLine]:
    """The findings for which the unit may not leave under tow; empty where none holds it."""
    return [line for line in open_findings(session, order_id) if line.holds_the_tow]


def works_waiting(session: Session, order_id: int) -> list[str]:
    """Titles of the works that the owner agreed to and that have no job yet."""
    have = set(session.exec(select(Job.work_id).where(Job.work_order_id == order_id)))
    said = owners_words(session, order_id)
    return [word.work.title for key, word in sorted(said.items()) if word.holds and key not in have]


# The page that clears, the instruments


@dataclass(frozen=True)
class Offer:
    """What could clear a finding: jobs that answer it, second looks at the same place."""

    finding: FindingLine
    order_id: int
    cleared: bool
    jobs: tuple[JobLine, ...]
    looks: tuple[FindingLine, ...]


def offer_for(session: Session, finding_id: int) -> Offer | None:
    """A finding with the evidence that there is, or None where there is none of that key."""
    row = session.get(Finding, finding_id) if finding_id < 2**63 else None
    if row is None:
        return None
    order_id = session.get_one(Walk, row.walk_id).work_order_id
    lines = findings_of(session, order_id, second_looks=True)
    line = next(each for each in lines if each.id == finding_id)
    answering = {job.key for job in evidence.jobs_answering(session, row)}
    return Offer(
        finding=line,
        order_id=order_id,
        cleared=evidence.is_cleared(session, row),
        jobs=tuple(job for job in jobs_of(session, order_id) if job.id in answering),
        looks=tuple(_second_looks(session, lines, line)),
    )


def _second_looks(session: Session, lines: Sequence[FindingLine], of: FindingLine) -> Iterator[FindingLine]:
    for line in lines:
        same = (line.check, line.place) == (of.check, of.place) and line.id != of.id
        if same and line.looked_at and session.get_one(Walk, line.walk_id).depth == "second":
            yield line


def context_for(session: Session, job_id: int, kind: str, place: str, on: date) -> Context:
    """What the form of a record needs to know; KeyError for a kind without a form."""
    return evidence.context_of(session, session.get_one(Job, job_id), record_kinds()[kind], place, on)


def judged_now(session: Session, record: RecordLine) -> Judged:
    """A record of a job judged anew by what the book says of the unit now, as on the day it was made."""
    context = context_for(session, record.job_id, record.kind, record.place, record.made_at.date())
    kind = record_kinds()[record.kind]
    return kind.judge(kind.kept(record.payload), context)


def instruments_of(session: Session) -> list[Instrument]:
    """All instruments, those in use first, by name."""
    return list(
        session.exec(select(Instrument).order_by(col(Instrument.active).desc(), col(Instrument.name)))
    )


def order_exists(session: Session, order_id: int) -> bool:
    """Whether there is a work order of that key."""
    return order_id < 2**63 and session.get(WorkOrder, order_id) is not None


def number_of(session: Session, order_id: int) -> str:
    """The work order's number as printed."""
    return order_number(session.get_one(WorkOrder, order_id).number)

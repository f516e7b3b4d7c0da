"""The whole thread, read from every room: board, stage, search, and what became of each finding."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from sqlmodel import Session, col, func, select

from app.bench.facts import ASK_NOW, clearances, open_findings, to_price
from app.bench.floor.rules import PausedFor, pause_said
from app.bench.tables import BenchRecord, Clearance, Job
from app.estimate.facts import OwnersWord, findings_by_work, owners_words, words_of
from app.estimate.tables import Consent, Estimate, Revision, Work, WorkFinding, WorkLine
from app.ground import documents
from app.ground.tables import Document, Receipt
from app.handover.moved import moved_last
from app.handover.rules import Towing, still_to_do
from app.handover.stay import bench_of, stay_of
from app.handover.tables import FinalCheck, FollowUp, Handover
from app.inspection.facts import FindingLine, findings_of
from app.inspection.tables import Finding, Walk
from app.intake.facts import OrderHead, head_of, order_head
from app.intake.search import find
from app.intake.tables import Concern, Owner, Unit, WorkOrder
from app.parts.orders import AwaitedPart, awaited_parts
from app.trade.figure import Grade, heaviest
from app.yard.before import Before, stays_before
from app.yard.rules import Paused, Stage, StayFacts, WaitsFor, stage

DAYS_DRAWN = 28
Thing = TypeVar("Thing")


@dataclass(frozen=True)
class BoardRow:
    """One unit on the board: its tag, its stage, its heaviest finding, and its line of days.

    `came`, `waits`: places on the line of days, 0 to 280, today at 280.
    """

    head: OrderHead
    stage: Stage
    grade: Grade
    days: int
    came: int
    waits: int


@dataclass(frozen=True)
class Board:
    """All units on the lot, in groups of who has to move, the longest wait first."""

    groups: tuple[tuple[WaitsFor, tuple[BoardRow, ...]], ...]
    count: int
    for_us: int
    not_to_be_towed: int


def board(session: Session, at: datetime) -> Board:
    """Everything on the lot at an instant."""
    rows = [row for row in rows_of(session, on_the_lot(session), at) if row.stage.on_the_lot]
    rows.sort(key=lambda row: row.stage.since)
    groups = tuple(
        (who, mine) for who in WaitsFor if (mine := tuple(row for row in rows if row.stage.waits is who))
    )
    return Board(
        groups=groups,
        count=len(rows),
        for_us=sum(row.stage.waits is WaitsFor.US for row in rows),
        not_to_be_towed=sum(row.grade is Grade.DNT for row in rows),
    )


def on_the_lot(session: Session) -> list[int]:
    """Keys of the work orders that have not been handed over."""
    gone = select(Handover.work_order_id)
    here = select(WorkOrder).where(col(WorkOrder.id).not_in(gone))
    return [order.key for order in session.exec(here)]


def rows_of(session: Session, order_ids: list[int], at: datetime) -> list[BoardRow]:
    """Board rows of some work orders, in the order of their keys."""
    stays, grades = stays_of(session, order_ids), grades_of(session, order_ids)
    found = session.exec(
        select(WorkOrder, Unit, Owner)
        .join(Unit, col(WorkOrder.unit_id) == col(Unit.id))
        .join(Owner, col(WorkOrder.owner_id) == col(Owner.id))
        .where(col(WorkOrder.id).in_(order_ids))
        .order_by(col(WorkOrder.id))
    )
    return [
        _row(head_of(session, order, unit, owner), stage(stays[order.key]), grades[order.key], at)
        for order, unit, owner in found
    ]


def _row(head: OrderHead, at_stage: Stage, grade: Grade, at: datetime) -> BoardRow:
    return BoardRow(
        head=head,
        stage=at_stage,
        grade=grade,
        days=(at - at_stage.since).days,
        came=_on_line(head.arrived_at, at),
        waits=min(_on_line(at_stage.since, at), 276),
    )


def _on_line(then: datetime, at: datetime) -> int:
    """Place on the line of days: 10 units a day, today at 280, what is older at 0."""
    return max(0, 280 - 10 * round((at - then) / timedelta(days=1)))


def stays_of(session: Session, order_ids: list[int]) -> dict[int, StayFacts]:
    """What is recorded of each stay, in a fixed number of queries however many there are."""
    of = _Recorded.of(session, order_ids)
    return {key: _stay(key, of) for key in of.arrived}


@dataclass(frozen=True)
class _Recorded:
    """Instants by work order, each list in the order of making."""

    arrived: dict[int, datetime]
    walks: dict[int, list[Walk]]
    revisions: dict[int, list[tuple[Estimate, Revision]]]
    answered: dict[int, list[tuple[int, datetime]]]
    words: dict[int, dict[int, OwnersWord]]
    jobs: dict[int, list[Job]]
    records: dict[int, list[datetime]]
    checks: dict[int, FinalCheck]
    moved: dict[int, int]
    when: dict[int, datetime]  # by number in the book
    gone: dict[int, list[datetime]]
    due: dict[int, int]
    awaited: dict[int, list[AwaitedPart]]
    unpriced: dict[int, int]

    @classmethod
    def of(cls, session: Session, ids: list[int]) -> "_Recorded":
        """Everything that the stages of some work orders rest on."""
        orders = select(WorkOrder.id, WorkOrder.arrived_at).where(col(WorkOrder.id).in_(ids))
        walks = select(Walk.work_order_id, Walk).where(col(Walk.work_order_id).in_(ids))
        jobs = select(Job.work_order_id, Job).where(col(Job.work_order_id).in_(ids))
        moved = moved_last(session, ids)
        return cls(
            arrived={key: at for key, at in session.exec(orders) if key is not None},
            walks=_grouped(session.exec(walks.where(Walk.depth != "second").order_by(col(Walk.id)))),
            revisions=_revisions(session, ids),
            answered=_answered(session, ids),
            words=words_of(session, ids),
            jobs=_grouped(session.exec(jobs)),
            records=_times(session, BenchRecord, ids),
            checks=_checks(session, ids),
            moved=moved,
            when=_when(session, moved.values()),
            gone=_times(session, Handover, ids),
            due=_due(session, ids),
            awaited=awaited_parts(session, ids),
            unpriced={key: len(to_price(session, key)) for key in _not_all_priced(session, ids)},
        )


def _stay(key: int, of: _Recorded) -> StayFacts:
    walks, jobs, revisions = of.walks.get(key, []), of.jobs.get(key, []), of.revisions.get(key, [])
    estimate, newest = revisions[-1] if revisions else (None, None)
    said = [at for revision_id, at in of.answered.get(key, []) if newest and revision_id == newest.id]
    words, check = of.words.get(key, {}), of.checks.get(key)
    agreed = frozenset(work for work, word in words.items() if word.holds)
    return StayFacts(
        arrived_at=of.arrived[key],
        walk_begun_at=walks[0].created_at if walks else None,
        walk_ended_at=walks[-1].ended_at if walks else None,
        priced_at=revisions[0][1].created_at if revisions else None,
        offered_at=newest.frozen_at if newest else None,
        answered_at=max(said, default=None),
        agreed=len(agreed),
        begun=sum(job.begun_at is not None for job in jobs),
        finished=sum(job.finished_at is not None for job in jobs),
        moved_at=_newest([*of.records.get(key, []), *_moves(jobs)]),
        checked_at=check.created_at if check else None,
        handed_over_at=_newest(of.gone.get(key, [])),
        follow_ups=of.due.get(key, 0),
        going=any(_under_way(job) and job.paused_at is None for job in jobs),
        paused=_paused(jobs),
        coming=_coming(of.awaited.get(key, []), agreed, jobs),
        unpriced=of.unpriced.get(key, 0),
        offer=f"{estimate.number}, revision {newest.n}" if estimate and newest else "",
        unready=_unready(words, jobs, check, of.moved.get(key, 0), of.when) if check else None,
    )


def _unready(
    words: dict[int, OwnersWord], jobs: list[Job], check: FinalCheck, moved: int, when: dict[int, datetime]
) -> Paused | None:
    """What the handover page says is still to be done on a unit whose final check was made."""
    bench = bench_of(words, {job.work_id: job for job in jobs}, moved, check.entry)
    says = "; ".join(stop.says for stop in still_to_do(bench))
    since = check.created_at if bench.checked else when.get(moved, check.created_at)
    return Paused(says, since) if says else None


def _under_way(job: Job) -> bool:
    return job.begun_at is not None and job.finished_at is None


WHO = {PausedFor.OWNER: WaitsFor.OWNER, PausedFor.PART: WaitsFor.PARTS}


def _paused(jobs: list[Job]) -> tuple[Paused, ...]:
    """What the paused jobs wait for."""
    return tuple(
        Paused(
            pause_said(job.paused_for, job.paused_note),
            job.paused_at,
            WHO.get(PausedFor(job.paused_for), WaitsFor.US),
        )
        for job in jobs
        if _under_way(job) and job.paused_at is not None
    )


def _coming(awaited: list[AwaitedPart], agreed: frozenset[int], jobs: list[Job]) -> tuple[Paused, ...]:
    """What each agreed work that nobody has begun waits for from a supplier, one entry a work."""
    begun = {job.work_id for job in jobs if job.begun_at is not None}
    by_work = _grouped((part.work_id, part) for part in awaited if part.work_id in agreed - begun)
    return tuple(
        Paused(", ".join(part.says for part in parts), min(part.since for part in parts), WaitsFor.PARTS)
        for parts in by_work.values()
    )


def _moves(jobs: list[Job]) -> list[datetime]:
    return [at for job in jobs for at in (job.begun_at, job.finished_at) if at is not None]


def _newest(times: Iterable[datetime]) -> datetime | None:
    return max(times, default=None)


def _grouped(pairs: Iterable[tuple[int, Thing]]) -> dict[int, list[Thing]]:
    groups: dict[int, list[Thing]] = {}
    for key, thing in pairs:
        groups.setdefault(key, []).append(thing)
    return groups


def _times(
    session: Session, table: type[BenchRecord] | type[Handover], ids: list[int]
) -> dict[int, list[datetime]]:
    wanted = select(table.work_order_id, table.created_at).where(col(table.work_order_id).in_(ids))
    return _grouped(session.exec(wanted))


def _revisions(session: Session, ids: list[int]) -> dict[int, list[tuple[Estimate, Revision]]]:
    wanted = (
        select(Estimate, Revision)
        .join(Revision, col(Revision.estimate_id) == col(Estimate.id))
        .where(col(Estimate.work_order_id).in_(ids))
        .order_by(col(Revision.n))
    )
    return _grouped(
        (estimate.work_order_id, (estimate, revision)) for estimate, revision in session.exec(wanted)
    )


def _answered(session: Session, ids: list[int]) -> dict[int, list[tuple[int, datetime]]]:
    wanted = (
        select(Estimate.work_order_id, Consent.revision_id, Consent.said_at)
        .join(Revision, col(Revision.estimate_id) == col(Estimate.id))
        .join(Consent, col(Consent.revision_id) == col(Revision.id))
        .where(col(Estimate.work_order_id).in_(ids))
    )
    return _grouped((order, (revision, said)) for order, revision, said in session.exec(wanted))


def _checks(session: Session, ids: list[int]) -> dict[int, FinalCheck]:
    """The newest final check of each stay."""
    wanted = select(FinalCheck).where(col(FinalCheck.work_order_id).in_(ids)).order_by(col(FinalCheck.id))
    return {check.work_order_id: check for check in session.exec(wanted)}


def _when(session: Session, entries: Iterable[int]) -> dict[int, datetime]:
    """When some acts of the book were, by their number."""
    acts = select(Receipt.id, Receipt.created_at).where(col(Receipt.id).in_(set(entries)))
    return {key: at for key, at in session.exec(acts) if key is not None}


def _not_all_priced(session: Session, ids: list[int]) -> set[int]:
    """Priced stays with a finding that no work of the newest revision answers, whether it holds or not."""
    newest = select(func.max(Revision.id)).group_by(col(Revision.estimate_id))
    answered = (
        select(WorkFinding.finding_id)
        .join(WorkLine, col(WorkLine.work_id) == col(WorkFinding.work_id))
        .where(col(WorkLine.revision_id).in_(newest))
    )
    wanted = (
        select(Walk.work_order_id)
        .join(Finding, col(Finding.walk_id) == col(Walk.id))
        .join(Estimate, col(Estimate.work_order_id) == col(Walk.work_order_id))
        .where(col(Walk.work_order_id).in_(ids), col(Finding.grade).in_(ASK_NOW))
        .where(col(Finding.id).not_in(answered))
    )
    return set(session.exec(wanted))


def _due(session: Session, ids: list[int]) -> dict[int, int]:
    wanted = select(FollowUp.work_order_id).where(
        col(FollowUp.work_order_id).in_(ids), col(FollowUp.done_on).is_(None)
    )
    return Counter(session.exec(wanted))


def grades_of(session: Session, order_ids: list[int]) -> dict[int, Grade]:
    """The heaviest grade of each stay among what still holds; unseen where nobody has looked."""
    walked = set(session.exec(select(Walk.work_order_id).where(col(Walk.work_order_id).in_(order_ids))))
    rated = {key: Grade.SOUND if key in walked else Grade.UNSEEN for key in order_ids}
    rated |= {key: heaviest(grades) for key, grades in _graded(session, order_ids).items()}
    return rated | {key: _held(session, key) for key in _revised(session, order_ids)}


def _graded(session: Session, order_ids: list[int]) -> dict[int, list[Grade]]:
    wanted = (
        select(Walk.work_order_id, Finding.grade)
        .join(Finding, col(Finding.walk_id) == col(Walk.id))
        .where(col(Walk.work_order_id).in_(order_ids), Finding.grade != Grade.UNSEEN)
        .distinct()
    )
    return _grouped((order, Grade(grade)) for order, grade in session.exec(wanted))


def _revised(session: Session, order_ids: list[int]) -> set[int]:
    """Stays with a clearance or a second look, where the bench has to say what still holds."""
    cleared = (
        select(Walk.work_order_id)
        .join(Finding, col(Finding.walk_id) == col(Walk.id))
        .join(Clearance, col(Clearance.finding_id) == col(Finding.id))
        .where(col(Walk.work_order_id).in_(order_ids))
    )
    again = select(Walk.work_order_id).where(col(Walk.work_order_id).in_(order_ids), Walk.depth == "second")
    return {*session.exec(cleared), *session.exec(again)}


def _held(session: Session, order_id: int) -> Grade:
    return heaviest(
        [line.grade for line in open_findings(session, order_id) if line.grade is not Grade.UNSEEN]
    )


@dataclass(frozen=True)
class Knot:
    """One of the six words of a thread. `stopped`: the owner's no or later, which ends it."""

    word: str
    at: datetime | None = None
    stopped: str = ""
    after: bool = False
    end: bool = False


@dataclass(frozen=True)
class Thread:
    """A finding and what became of it."""

    finding: FindingLine
    state: Grade
    says: str
    knots: tuple[Knot, ...]


WORDS = ("found", "priced", "agreed", "done", "measured", "cleared")


@dataclass(frozen=True)
class _Done:
    """What the later rooms hold of one work order, by key."""

    works: dict[int, list[Work]]  # by finding
    words: dict[int, OwnersWord]  # by work
    jobs: dict[int, Job]  # by work
    records: dict[int, list[BenchRecord]]  # by job
    cleared: dict[int, datetime]  # by finding, where the clearance stands


def threads_of(session: Session, order_id: int) -> list[Thread]:
    """The threads of all findings that are not simply sound, the heaviest first, the cleared ones last."""
    done = _done(session, order_id)
    lines = [line for line in findings_of(session, order_id) if line.grade not in (Grade.SOUND, Grade.UNSEEN)]
    threads = [_thread(line, done) for line in lines]
    return sorted(threads, key=lambda thread: thread.state is Grade.SOUND)


def _done(session: Session, order_id: int) -> _Done:
    works = {work.key: work for work in session.exec(select(Work).where(Work.work_order_id == order_id))}
    by_finding = _grouped(
        (finding, works[work])
        for work, findings in findings_by_work(session, order_id).items()
        for finding in findings
    )
    jobs = session.exec(select(Job).where(Job.work_order_id == order_id))
    records = session.exec(select(BenchRecord).where(BenchRecord.work_order_id == order_id))
    return _Done(
        works=by_finding,
        words=owners_words(session, order_id),
        jobs={job.work_id: job for job in jobs},
        records=_grouped((record.job_id or 0, record) for record in records),
        cleared={each.finding_id: each.at for each in clearances(session, order_id) if each.stands},
    )


def _thread(line: FindingLine, done: _Done) -> Thread:
    works = done.works.get(line.id, [])
    words = [done.words[work.key] for work in works if work.key in done.words]
    jobs = [done.jobs[work.key] for work in works if work.key in done.jobs]
    cleared = done.cleared.get(line.id)
    times = (
        line.looked_at,
        min((work.created_at for work in works), default=None),
        max((word.said_at for word in words if word.answer == "yes"), default=None),
        _last([job.finished_at for job in jobs]),
        _newest(record.created_at for job in jobs for record in done.records.get(job.key, [])),
        cleared,
    )
    refused = next((word.answer for word in words if word.answer != "yes"), "") if not times[2] else ""
    state = Grade.SOUND if cleared else line.grade
    says = f"was {line.grade.word}: {line.reason}" if cleared else line.reason
    return Thread(line, state, says, _knots(times, refused))


def _last(times: list[datetime | None]) -> datetime | None:
    """The last of several, or None while one is still to come."""
    reached = [at for at in times if at is not None]
    return max(reached) if reached and len(reached) == len(times) else None


def _knots(times: tuple[datetime | None, ...], refused: str) -> tuple[Knot, ...]:
    """The six knots; a thread is solid from one reached knot to the next, and dotted from there on."""
    reached = [at is not None and not (refused and i >= 2) for i, at in enumerate(times)]
    return tuple(
        Knot(
            word=word,
            at=at if reached[i] else None,
            stopped=refused if refused and i == 2 else "",
            after=bool(refused) and i > 2,
            end=reached[i] and not any(reached[i + 1 : i + 2]),
        )
        for i, (word, at) in enumerate(zip(WORDS, times, strict=True))
    )


@dataclass(frozen=True)
class OrderPage:
    """The work order's main page: may it be towed, the loom, who waits for what, papers."""

    head: OrderHead
    stage: Stage
    road: Towing
    threads: tuple[Thread, ...]
    concerns: tuple[str, ...]
    owner: Owner
    order: WorkOrder
    papers: tuple[Document, ...]
    to_price: tuple[FindingLine, ...]
    walked: bool
    offered: bool
    before: tuple[Before, ...]


def order_page(session: Session, order_id: int) -> OrderPage:
    """Everything on one work order's page; NoResultFound where there is none of that key."""
    order = session.get_one(WorkOrder, order_id)
    threads = tuple(threads_of(session, order_id))
    stay = stays_of(session, [order_id])[order_id]
    return OrderPage(
        head=order_head(session, order_id),
        stage=stage(stay),
        road=stay_of(session, order_id).towing,
        threads=threads,
        concerns=tuple(session.exec(select(Concern.words).where(Concern.work_order_id == order_id))),
        owner=session.get_one(Owner, order.owner_id),
        order=order,
        papers=tuple(documents.of_work_order(session, order_id)),
        to_price=to_price(session, order_id) if stay.unpriced else (),
        walked=stay.walk_begun_at is not None,
        offered=stay.offered_at is not None,
        before=stays_before(session, order),
    )


def found(session: Session, text: str, at: datetime) -> list[BoardRow]:
    """Board rows of the newest stay of every unit that a text can mean, on the lot or gone."""
    stays = [unit.order_id for unit in find(session, text).units if unit.order_id is not None]
    return rows_of(session, stays, at)

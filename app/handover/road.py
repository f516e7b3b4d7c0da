"""Road-ready: may the unit be towed, why not, the least work that would make it so, and the evidence."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlmodel import Session

from app.bench.tables import Job
from app.estimate.facts import LedgerWork, ledger
from app.handover.least import Choice, least_works
from app.handover.other_stays import Seen
from app.handover.rules import NotFit, Stop, Towing
from app.handover.stay import Stay, stay_of
from app.intake.facts import OrderHead
from app.trade.figure import Grade


@dataclass(frozen=True)
class Way:
    """A piece of work that would answer a finding: where it stands, in words, and where one goes on."""

    work_id: int
    title: str
    amount: int
    state: str
    goes: str
    finding_ids: tuple[int, ...]


@dataclass(frozen=True)
class Held:
    """One thing that holds the tow, with the works that answer it; none where nothing is priced yet."""

    stop: Stop
    ways: tuple[Way, ...]
    goes: str


@dataclass(frozen=True)
class Proven:
    """One thing that held the tow and does so no longer: what cleared it, by whom, where to look."""

    name: str
    was: Grade
    reason: str
    says: str
    by: str
    at: datetime
    goes: str


@dataclass(frozen=True)
class RoadReady:
    """The answer for one unit. `least`: the cheapest works that answer all that is priced; `amount`: theirs.

    `unpriced`: names of things that hold the tow and that no piece of work answers yet.
    """

    head: OrderHead
    towing: Towing
    held: tuple[Held, ...]
    least: tuple[Way, ...]
    proof: tuple[Proven, ...]

    @property
    def amount(self) -> int:
        """What the least work costs, in minor units before tax."""
        return sum(way.amount for way in self.least)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What holds the tow and has no piece of work yet."""
        return tuple(it.stop.says for it in self.held if it.stop.finding_id and not it.ways)


def road_ready(session: Session, order_id: int, today: date) -> RoadReady:
    """The road-ready page of a work order; NoResultFound where there is none of that key."""
    stay = stay_of(session, order_id)
    works = [work for work in ledger(session, order_id, today).works if not work.declined]
    ways = [_way(work, stay.jobs, order_id) for work in works]
    found = stay.fitness
    stops = found.stops if isinstance(found, NotFit) else ()
    return RoadReady(
        head=stay.head,
        towing=stay.towing,
        held=tuple(_held(stop, ways, order_id) for stop in stops),
        least=_least(stops, ways),
        proof=tuple(_proof(stay)),
    )


def _way(work: LedgerWork, jobs: Mapping[int, Job], order_id: int) -> Way:
    state, goes = _state(work, jobs.get(work.id), order_id)
    return Way(work.id, work.title, work.amount, state, goes, tuple(it.id for it in work.findings))


def _state(work: LedgerWork, job: Job | None, order_id: int) -> tuple[str, str]:
    if job is not None and job.finished_at:
        return "done, not cleared yet", f"/bench/jobs/{job.key}"
    if job is not None:
        return "in work" if job.begun_at else "waits on the bench", f"/bench/jobs/{job.key}"
    if work.word is not None and work.word.holds:
        return "agreed", f"/bench/orders/{order_id}"
    said = "owner said later" if work.word and work.word.answer == "later" else "to be agreed"
    return said, f"/estimate/{order_id}"


def _held(stop: Stop, ways: list[Way], order_id: int) -> Held:
    room = f"/estimate/{order_id}" if stop.where == "estimate" else f"/inspection/orders/{order_id}"
    goes = f"/inspection/findings/{stop.finding_id}" if stop.finding_id else room
    mine = tuple(way for way in ways if stop.finding_id in way.finding_ids)
    return Held(stop, mine, goes)


def _least(stops: tuple[Stop, ...], ways: list[Way]) -> tuple[Way, ...]:
    needed = {stop.finding_id for stop in stops if stop.finding_id}
    choices = [Choice(way.work_id, frozenset(way.finding_ids), way.amount) for way in ways]
    chosen = {choice.work_id for choice in least_works(needed, choices)}
    return tuple(way for way in ways if way.work_id in chosen)


def _proof(stay: Stay) -> Iterator[Proven]:
    """What cleared each thing that would hold the tow, the gravest first."""
    for spot in sorted(stay.spots, key=lambda it: it.line.weight):
        yield from _cleared(spot)


def _cleared(spot: Seen) -> Iterator[Proven]:
    looks = {look.id: look for look in spot.looks}
    for it in spot.clearances:
        if it.stands and it.finding_id in looks:
            goes = (
                f"/bench/jobs/{it.job_id}#records" if it.job_id else _look(it.second_look_id or it.finding_id)
            )
            reason = looks[it.finding_id].reason
            yield Proven(it.name, it.grade, reason, f"{it.how}: {it.says}", it.by, it.at, goes)


def _look(finding_id: int) -> str:
    return f"/inspection/findings/{finding_id}"

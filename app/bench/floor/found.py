"""Damage that shows only once the work is under way: noted at its place, priced, the job stopped. One act."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.bench import steps as bench
from app.bench.floor.rules import Pause, PausedFor
from app.bench.floor.steps import paused
from app.bench.tables import Job
from app.estimate.steps import price_found
from app.estimate.tables import WorkFinding
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.forms import Sent
from app.ground.photos import Picture
from app.inspection.facts import finding_line
from app.inspection.places import STATIONS
from app.inspection.seeing import held_in, pictures_in
from app.inspection.steps import Seen, look_at, sign_look
from app.inspection.tables import Finding
from app.inspection.walking import rows_of, standing_walk
from app.trade.figure import By, Grade
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader

FIND_MORE = "find more damage"
OWNER_ASKED = "more was found"


class Weighs(StrEnum):
    """How heavy it is, as the technician taps it."""

    DNT = "dnt"
    TOWING = "towing"
    USE = "use"
    SOON = "soon"

    @property
    def word(self) -> str:
        """In the words of the walk-round."""
        return Grade.DNT.word if self is Weighs.DNT else f"{Grade.NEEDS.word}, {By(self).word}"

    @property
    def grade(self) -> Grade:
        """Its grade."""
        return Grade.DNT if self is Weighs.DNT else Grade.NEEDS

    @property
    def by(self) -> By | None:
        """Its term, where it is not do not tow."""
        return None if self is Weighs.DNT else By(self)


@dataclass(frozen=True)
class FoundMore:
    """What was found: where (a place of the walk-round that stood open), how heavy, in words, with photos.

    `held`: keys of photos that an earlier, refused form brought. `stops`: the job waits for the owner.
    """

    finding_id: int
    weighs: Weighs
    says: str
    photos: tuple[Picture, ...] = ()
    held: tuple[int, ...] = ()
    stops: bool = False


def read_found(typed: Sent) -> FoundMore:
    """What a form says was found; raises Refused with every problem."""
    read = Reader(typed)
    finding = read.whole("finding", least=1, most=2**53, required="Say where it is")
    weighs = read.choice("weighs", Weighs, required="Say how heavy it is")
    says = read.text("says", required="Say what is wrong", most=400)
    photos, wrong = pictures_in(typed)
    read.problems += wrong
    read.done()
    assert finding is not None and weighs is not None
    return FoundMore(finding, weighs, says, tuple(photos), tuple(held_in(typed)), stops=read.yes("stops"))


@dataclass(frozen=True)
class PlacesLeft:
    """Places of one station at which nothing was found yet: key and name of each."""

    station: str
    places: tuple[tuple[int, str], ...]


def places_left(session: Session, job: Job) -> tuple[PlacesLeft, ...]:
    """Where more can be found: the stations of this job's own findings first, then in the order of walking.

    Empty where the walk-round has not begun. A place with a finding is left out: that is opened, not found.
    """
    walk = standing_walk(session, job.work_order_id)
    rows = [row for row in rows_of(session, walk.key) if _stands_open(row)] if walk else []
    near = _stations_of(session, job)
    stations = sorted({row.station for row in rows}, key=lambda station: (station not in near, station))
    return tuple(
        PlacesLeft(
            STATIONS[station - 1], tuple((row.key, row.name) for row in rows if row.station == station)
        )
        for station in stations
    )


def _stands_open(row: Finding) -> bool:
    return row.fitted and row.grade in (Grade.UNSEEN, Grade.SOUND)


def _stations_of(session: Session, job: Job) -> set[int]:
    mine = select(WorkFinding.finding_id).where(WorkFinding.work_id == job.work_id)
    return set(session.exec(select(Finding.station).where(col(Finding.id).in_(mine))))


def find_more(book: Engine, act: Act, job_id: int, found: FoundMore, folder: Path) -> int:
    """Keep what was found while a job goes on, and open a supplement for it; returns the finding's key.

    The finding stands at its place of the walk-round as if seen there, readings that were taken stay. Where
    its check names a kit, the kit is put on the open revision of the estimate; the owner has still to agree.
    `folder`: where photos are kept. Raises Refused for a finished job and a place that is taken, Stale,
    NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = bench.unfinished(session, job_id)
        receipts.current(job.revision, act)
        finding = _open_place(session, job, found.finding_id)
        kept = look_at(session, act, finding, _seen(session, finding, found), folder)
        price_found(session, act.part("price"), job.work_order_id, finding.key)
        stopped = _stopped(session, act, job) if found.stops else []
        return sign_look(session, act, FIND_MORE, finding, finding.walk_id, *kept, *stopped)


def _open_place(session: Session, job: Job, finding_id: int) -> Finding:
    """The place that a form names, while nothing was found there."""
    finding, walk = session.get(Finding, finding_id), standing_walk(session, job.work_order_id)
    if finding is None or walk is None or finding.walk_id != walk.key:
        raise Refused(
            [Problem("finding", "That is no place of this unit's walk-round", "a place of the list")]
        )
    if not _stands_open(finding):
        says = f"{finding.name} was found meanwhile: {Grade(finding.grade).word}"
        raise Refused([Problem("finding", says, "a place where nothing was found, or its page of the walk")])
    return finding


def _seen(session: Session, finding: Finding, found: FoundMore) -> Seen:
    """The look as the walk-round would have had it, with the readings that stand there."""
    standing = finding_line(session, finding).readings
    return Seen(
        readings={each.measure: each.typed for each in standing},
        units={each.measure: each.unit for each in standing if each.unit},
        confirmed=frozenset(each.measure for each in standing),
        grade=found.weighs.grade,
        by=found.weighs.by,
        reason=found.says,
        note=finding.note,
        photos=found.photos,
        held=found.held,
    )


def _stopped(session: Session, act: Act, job: Job) -> Iterable[SQLModel]:
    """The job paused for the owner's word, its people clocked off; one not begun has nothing to stop."""
    if job.begun_at is None or job.paused_at is not None:
        return []
    return [job, *paused(session, act, job, Pause(PausedFor.OWNER, OWNER_ASKED))]

"""A stay as handover sees it, read from every earlier room; steps decide and facts show from the same."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from sqlmodel import Session, col, select

from app.bench.evidence import cleared_among
from app.bench.facts import ClearanceLine, RecordLine, clearances, records_of
from app.bench.tables import Job
from app.estimate.facts import OwnersWord, owners_words
from app.estimate.saying import How
from app.ground import people
from app.handover.asked_first import asked_first
from app.handover.kept import watched_still
from app.handover.moved import moved_last
from app.handover.other_stays import Seen, Spot, left_open
from app.handover.put_right import heavier_now, outgrown, outmeasured, put_right_last
from app.handover.rules import Bench, Fitness, Hands, Look, Thing, Towing, fitness, standing, towing
from app.handover.tables import FinalCheck, Handover
from app.inspection.catalogue import Catalogue
from app.inspection.facts import FindingLine, catalogue_of, findings_of, walks_of
from app.inspection.rules import Lifted, must_see, weight
from app.inspection.tables import Finding, Walk
from app.inspection.together import TOGETHER, worse_together
from app.intake.facts import OrderHead, order_head
from app.trade.figure import Grade

Row = TypeVar("Row", Job, FinalCheck, Handover)
TIRES = "tires_fitted"
SETTLED = (Grade.SOUND, Grade.UNSEEN)


@dataclass(frozen=True)
class Stay:
    """What decides a handover. `spots`: in walking order. `jobs`: by work. `records`: those that stand.

    `asked`: works asked for before towing that answer no finding.
    """

    head: OrderHead
    spots: tuple[Seen, ...]
    walked: bool
    bench: Bench
    words: Mapping[int, OwnersWord]
    jobs: Mapping[int, Job]
    records: tuple[RecordLine, ...]
    check: FinalCheck | None
    handovers: tuple[Handover, ...]
    hands: Hands
    catalogue: Catalogue | None
    asked: tuple[Thing, ...] = ()

    @property
    def things(self) -> tuple[Thing, ...]:
        """Each thing as it stands now, then the works asked for before towing that answer none."""
        return (*(spot.thing for spot in self.spots), *self.asked)

    @property
    def fitness(self) -> Fitness:
        """May it leave under tow."""
        return fitness(self.things, walked=self.walked)

    @property
    def tires(self) -> bool:
        """Whether tires were fitted, which are to be registered with their makers."""
        return any(record.kind == TIRES for record in self.records)

    @property
    def towing(self) -> Towing:
        """May it be towed, in a word and why."""
        return towing(self.things, walked=self.walked)


def stay_of(session: Session, order_id: int) -> Stay:
    """The stay of a work order; NoResultFound where there is none of that key."""
    head = order_head(session, order_id)
    walks = walks_of(session, order_id)
    lines = findings_of(session, order_id, second_looks=True)
    words = owners_words(session, order_id)
    jobs = {job.work_id: job for job in _rows(session, Job, order_id)}
    records = tuple(records_of(session, order_id))
    handovers = tuple(_rows(session, Handover, order_id))
    changed = 0 if handovers else put_right_last(session, head.unit_id)
    spots = _spots(session, lines, _initials(words, lines), _clearances(session, order_id))
    spots = tuple(outmeasured(session, spot, records, changed) for spot in spots)
    spots = tuple(watched_still(heavier_now(session, spot, changed), records) for spot in spots)
    check = next(iter(reversed(_rows(session, FinalCheck, order_id))), None)
    moved = moved_last(session, [order_id]).get(order_id, 0)
    return Stay(
        head=head,
        spots=tuple(sorted((*spots, *left_open(session, head, lines)), key=lambda spot: spot.line.station)),
        walked=_walked(walks) and not outgrown(session, walks, changed),
        bench=bench_of(words, jobs, moved, check.entry if check else 0),
        words=words,
        jobs=jobs,
        records=records,
        check=check,
        handovers=handovers,
        hands=_hands(session, jobs.values(), records, spots),
        catalogue=catalogue_of(session, walks[0].key) if walks else None,
        asked=asked_first(session, order_id, words, jobs),
    )


def _rows(session: Session, table: type[Row], order_id: int) -> list[Row]:
    mine = select(table).where(table.work_order_id == order_id)
    return list(session.exec(mine.order_by(col(table.id))))


def _walked(walks: Iterable[Walk]) -> bool:
    """Whether somebody went round it and came to the end, every time."""
    rounds = [walk for walk in walks if walk.depth != "second"]
    return bool(rounds) and all(walk.ended_at for walk in rounds)


def _initials(words: Mapping[int, OwnersWord], lines: Iterable[FindingLine]) -> dict[int, str]:
    """The owner's initials beside works not wanted, by the findings behind them.

    Initials of before the newest look count no more: what was signed away may have been less.
    """
    looks = {line.id: line for line in lines}
    refused = [word for word in words.values() if word.answer != "yes" and word.acknowledged]
    return {
        key: word.acknowledged
        for word in refused
        for key in word.finding_ids
        if key not in looks or _shown(looks[key], word)
    }


def _shown(look: FindingLine, word: OwnersWord) -> bool:
    """Whether the owner answered what the look found: kept after it, and not said before it.

    When an answer was said is typed, to the minute, unless it was signed here and then.
    """
    if look.looked_at is None:
        return True
    in_time = word.how == How.TABLET or look.looked_at.replace(second=0, microsecond=0) <= word.said_at
    return in_time and word.entry >= look.looked_entry


def bench_of(words: Mapping[int, OwnersWord], jobs: Mapping[int, Job], moved: int, check: int) -> Bench:
    """What the bench says of a stay, from the owner's words and the jobs by work; the yard reads it too.

    `moved`, `check`: numbers in the book of what was done last and of the newest final check, 0 for none.
    """
    return Bench(_unfinished(words, jobs), moved, check, _stopped(words, jobs))


def _unfinished(words: Mapping[int, OwnersWord], jobs: Mapping[int, Job]) -> tuple[str, ...]:
    """Titles of works that are still to be done: agreed to, or begun before the owner's word lapsed."""
    return tuple(word.work.title for key, word in words.items() if _to_finish(word, jobs.get(key)))


def _to_finish(word: OwnersWord, job: Job | None) -> bool:
    if job is None or job.begun_at is None:
        return word.holds
    return word.answer == "yes" and job.finished_at is None


def _stopped(words: Mapping[int, OwnersWord], jobs: Mapping[int, Job]) -> tuple[str, ...]:
    """Titles of works that were begun, then not wanted any more, and never ended."""
    begun = {key for key, job in jobs.items() if job.begun_at and not job.finished_at}
    return tuple(word.work.title for key, word in words.items() if key in begun and word.answer != "yes")


def _hands(
    session: Session, jobs: Iterable[Job], records: Iterable[RecordLine], spots: Iterable[Seen]
) -> Hands:
    """Who finished jobs of a stay, whose records cleared its safety findings, and who works here."""
    proving = [each for spot in spots if spot.line.safety for each in spot.clearances]
    return Hands(
        finished=frozenset(job.finished_by for job in jobs if job.finished_by),
        measured=frozenset(
            record.made_by_id for record in records if any(it.rests_on(record) for it in proving)
        ),
        people=frozenset(person.key for person in people.working(session)),
    )


def _clearances(session: Session, order_id: int) -> dict[int, ClearanceLine]:
    """The newest clearance of each finding that still holds."""
    return {line.finding_id: line for line in clearances(session, order_id) if line.stands}


def _spots(
    session: Session,
    lines: list[FindingLine],
    initials: Mapping[int, str],
    cleared_by: Mapping[int, ClearanceLine],
) -> tuple[Seen, ...]:
    faults = [session.get_one(Finding, line.id) for line in lines if line.grade not in SETTLED]
    cleared = cleared_among(session, faults)
    worse = _worse(session, lines, cleared)
    by_spot: dict[Spot, list[FindingLine]] = {}
    for line in sorted(lines, key=lambda line: (line.station, line.id)):
        by_spot.setdefault((line.check, line.place), []).append(line)
    found = [_seen(session, looks, initials, cleared, cleared_by) for looks in by_spot.values()]
    return tuple(_lifted(it, worse.get(it.thing.finding_id)) for it in found)


def _worse(session: Session, lines: Iterable[FindingLine], cleared: Collection[int]) -> dict[int, Lifted]:
    """What those findings that were not put right make of each other, by finding."""
    walks = {line.walk_id for line in lines}
    ended = [key for key in sorted(walks) if session.get_one(Walk, key).ended_at]
    return {row.key: made for key in ended for row, made in worse_together(session, key, cleared)}


def _lifted(it: Seen, made: Lifted | None) -> Seen:
    """A thing as heavy as what is still open beside it makes it."""
    if made is None or weight(made.grade, made.by) >= weight(it.thing.grade, it.thing.by):
        return it
    reason = "; ".join(filter(None, (it.thing.reason, f"{TOGETHER}{made.reason}")))
    thing = replace(it.thing, grade=made.grade, by=made.by, reason=reason)
    return replace(it, thing=thing, line=replace(it.line, reason=reason))


def _seen(
    session: Session,
    lines: list[FindingLine],
    initials: Mapping[int, str],
    cleared: Collection[int],
    cleared_by: Mapping[int, ClearanceLine],
) -> Seen:
    ruling = standing([Look(it.id, it.grade, it.by, it.id in cleared) for it in lines])
    line = next(it for it in lines if it.id == ruling.finding_id)
    return Seen(
        thing=_thing(session, line, ruling, initials),
        line=line,
        looks=tuple(lines),
        clearances=tuple(cleared_by[it.id] for it in lines if it.id in cleared_by),
    )


def _thing(session: Session, line: FindingLine, ruling: Look, initials: Mapping[int, str]) -> Thing:
    still = not ruling.cleared
    return Thing(
        finding_id=line.id,
        name=line.name,
        grade=ruling.now,
        by=line.by if still else None,
        reason=line.reason,
        until=line.until if still else None,
        until_miles=line.until_miles if still else None,
        must_see=ruling.now is Grade.UNSEEN and line.fitted and _must_see(session, line),
        closed_off=line.closed_off,
        initials=initials.get(line.id, ""),
    )


def _must_see(session: Session, line: FindingLine) -> bool:
    return must_see(catalogue_of(session, line.walk_id).check(line.check))

"""What consented work still needs of the parts room, and what is bought, put aside and handed out for it.

A line of an estimate names a stocked part by what kits call it, or by the part's own number at its front.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_UP

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.bench.tables import Job
from app.estimate.facts import lines_of as lines_of_revision
from app.estimate.facts import newest_revision, words_of
from app.estimate.tables import Estimate, WorkLine
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.tables import Kept
from app.intake.facts import OrderHead, order_head
from app.parts.buying import order_parts
from app.parts.facts import PartLine, for_shelf, lines_of, newest, stocked_for
from app.parts.ledger import coming_for, held_by_part, held_for, served
from app.parts.rules import Bought
from app.parts.steps import hand_out, put_back_on_shelf, reserve_for
from app.parts.tables import Part
from app.trade.problems import Problem, Refused
from app.trade.quantity import read_number
from app.trade.totals import LineKind

# Which stays are over is known to the handover, a later room: it puts its answer here.
OVER: list[Callable[[Session], Collection[int]]] = []


@dataclass(frozen=True)
class Need:
    """What one work needs of one part, and how far it is served; quantities in hundredths."""

    work_id: int
    title: str
    part: PartLine
    wanted: int
    held: int
    out: int
    coming: int

    @property
    def missing(self) -> int:
        """What is neither put aside, handed out, nor ordered for it."""
        return max(self.wanted - self.held - self.out - self.coming, 0)

    @property
    def free(self) -> int:
        """What of that lies free on the shelf."""
        return min(self.missing, max(self.part.standing.free, 0))


@dataclass(frozen=True)
class Idle:
    """A part that is put aside for a work order, more of it than its open work needs; in hundredths."""

    part: PartLine
    held: int


@dataclass(frozen=True)
class OrderNeeds:
    """What the consented work of one work order needs; `unknown`: parts that the shop does not stock.

    `idle`: what is put aside and not needed for open work: it is finished, not agreed to, or the unit left.
    """

    head: OrderHead
    needs: tuple[Need, ...]
    unknown: tuple[str, ...]
    idle: tuple[Idle, ...] = ()

    @property
    def open(self) -> bool:
        """Whether anything is still to be put aside, to come, to be handed out, or to go back."""
        return bool(self.idle) or any(need.missing or need.held or need.coming for need in self.needs)


def needs_of(session: Session, order_id: int) -> OrderNeeds:
    """What the consented, unfinished work of a work order needs; NoResultFound where there is none such.

    A stay that is over needs nothing more.
    """
    head = order_head(session, order_id)
    over = any(order_id in each(session) for each in OVER)
    lines = [] if over else _lines(session, order_id)
    named = _named(session, {line.what for line, _ in lines})
    known = [(line, title, named[line.what]) for line, title in lines if line.what in named]
    stands = _part_lines(session, {part for _, _, part in known})
    wanted: dict[tuple[int, int], tuple[str, int]] = {}
    for line, title, part in known:
        _, before = wanted.get((line.work_id, part), ("", 0))
        wanted[line.work_id, part] = title, before + _hundredths(line.quantity)
    needs = tuple(_served(session, order_id, wanted, stands))
    return OrderNeeds(
        head=head,
        needs=needs,
        idle=tuple(_idle(session, order_id, needs)),
        unknown=tuple(dict.fromkeys(line.what for line, _ in lines if line.what not in named)),
    )


def _lines(session: Session, order_id: int) -> list[tuple[WorkLine, str]]:
    """Lines of parts in works agreed to that no finished job has done, each with its work's title."""
    revision = newest_revision(session, order_id)
    words = words_of(session, [order_id]).get(order_id, {})
    mine = (Job.work_order_id == order_id, col(Job.finished_at).is_not(None))
    done = set(session.exec(select(Job.work_id).where(*mine)))
    open_works = {key: word.work.title for key, word in words.items() if word.holds and key not in done}
    rows = lines_of_revision(session, revision.key) if revision else []
    return [
        (row, open_works[row.work_id])
        for row in rows
        if row.kind == LineKind.PART and row.work_id in open_works
    ]


def _named(session: Session, texts: Iterable[str]) -> dict[str, int]:
    """Keys of the stocked parts that lines name, by the line's text."""
    found = stocked_for(session, texts)
    by_front = {text: text.split()[0].upper() for text in texts if text.split() and text not in found}
    asked = select(Part).where(col(Part.number).in_(set(by_front.values())))
    parts = {part.number: newest(session, part).key for part in session.exec(asked)}
    return found | {text: parts[front] for text, front in by_front.items() if front in parts}


def _part_lines(session: Session, part_ids: set[int]) -> dict[int, PartLine]:
    rows = session.exec(select(Part).where(col(Part.id).in_(part_ids)))
    return {line.id: line for line in lines_of(session, rows)}


def _hundredths(quantity: str) -> int:
    return int((read_number(quantity) * 100).to_integral_value(ROUND_UP))


def _served(
    session: Session,
    order_id: int,
    wanted: Mapping[tuple[int, int], tuple[str, int]],
    stands: Mapping[int, PartLine],
) -> Iterable[Need]:
    """Each need with what serves it; what serves the work order as a whole goes to its works in turn."""
    ordered, spare = coming_for(session), {}
    for (work_id, part_id), (title, quantity) in wanted.items():
        served_by = served(session, part_id, order_id)
        held, out, _ = served_by.get(work_id, (0, 0, 0))
        on_the_way = ordered.get((order_id, part_id), {})
        if part_id not in spare:
            loose = served_by.get(None, (0, 0, 0))
            spare[part_id] = {"held": loose[0], "out": loose[1], "coming": on_the_way.get(None, 0)}
        have = {"held": held, "out": out, "coming": on_the_way.get(work_id, 0)}
        for name, some in spare[part_id].items():
            take = min(some, max(quantity - sum(have.values()), 0))
            have[name] += take
            spare[part_id][name] -= take
        yield Need(work_id, title, stands[part_id], quantity, **have)


def _idle(session: Session, order_id: int, needs: Sequence[Need]) -> Iterator[Idle]:
    held = held_by_part(session, order_id)
    for need in needs:
        held[need.part.id] = held.get(need.part.id, 0) - min(need.held, max(need.wanted - need.out, 0))
    beyond = {part: some for part, some in held.items() if some > 0}
    stands = _part_lines(session, set(beyond))
    yield from (Idle(stands[part], some) for part, some in beyond.items())


def all_needs(session: Session) -> list[OrderNeeds]:
    """The work orders whose consented work still waits for parts, the oldest first."""
    keys = session.exec(select(Estimate.work_order_id).order_by(col(Estimate.work_order_id)))
    return [found for found in (needs_of(session, key) for key in keys) if found.open or found.unknown]


def reserve_parts(book: Engine, act: Act, order_id: int) -> int:
    """Put aside what lies free on the shelf for a work order's needs; returns the key of the last movement.

    Raises Refused where nothing is free, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        rows: list[SQLModel] = []
        for need in needs_of(session, order_id).needs:
            if need.missing:
                rows += reserve_for(session, act, need.part.id, order_id, need.missing, need.work_id)
        return _signed(session, act, "reserve parts", rows, "Nothing that it needs lies free on the shelf")


def hand_out_parts(book: Engine, act: Act, order_id: int) -> int:
    """Hand out everything that is put aside for a work order; returns the key of the first movement.

    Raises Refused where nothing is put aside, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order_head(session, order_id)
        parts = held_by_part(session, order_id)
        rows = [row for part in parts for row in hand_out(session, act, part, order_id)]
        return _signed(session, act, "hand out parts", list(rows), "Nothing is put aside for this work order")


def put_back_idle(book: Engine, act: Act, order_id: int) -> int:
    """Free what is put aside for a work order beyond its open work; returns the key of the first movement.

    Raises Refused where there is nothing of the kind, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        found = needs_of(session, order_id)
        works = {need.work_id for need in found.needs}
        rows: list[SQLModel] = []
        for idle in found.idle:
            held = held_for(session, idle.part.id, order_id)
            last = dict(sorted(held.items(), key=lambda tied: tied[0] in works))
            rows += put_back_on_shelf(session, act, idle.part.id, order_id, last, idle.held)
        return _signed(session, act, "put back parts", rows, "Everything that is put aside is needed")


def order_what_is_missing(book: Engine, act: Act) -> int:
    """Order what work needs beyond the shelf, each tied to its work order, and what the shelf itself needs.

    One open order a supplier takes it up; returns the key of the first. Raises Refused where nothing is
    missing or a part has no supplier.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        wanted = [*_for_work(session), *(Bought(it.id, it.wanted) for it in for_shelf(session))]
        rows = order_parts(session, act, wanted)
        return _signed(session, act, "order parts", rows, "Nothing is missing, for work or for the shelf")


def _for_work(session: Session) -> Iterable[Bought]:
    """What is missing for work after what lies free is counted off, once for all of it."""
    free: dict[int, int] = {}
    for found in all_needs(session):
        for need in found.needs:
            there = free.setdefault(need.part.id, max(need.part.standing.free, 0))
            free[need.part.id] = max(there - need.missing, 0)
            if (short := need.missing - there) > 0:
                yield Bought(need.part.id, short, None, found.head.order_id, need.work_id)


def _signed(session: Session, act: Act, verb: str, rows: list[SQLModel], nothing: str) -> int:
    if not rows:
        raise Refused([Problem("", nothing)])
    first, *others = rows
    assert isinstance(first, Kept)
    return receipts.sign(session, act, verb, first, *others)

"""When an order is ready: the loft's days, the hours each order needs, the queue, and the days told.

Nothing that is reckoned is kept: the queue and its days are made anew at each look, from the stages done
since. Kept is what somebody said, and each day that an owner was told.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from functools import lru_cache, partial
from typing import TypeVar

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas import doubts
from app.canvas.facts import OrderRead, canvas_order
from app.canvas.making import Making, Stage, making_of
from app.canvas.materials import (
    CLOTH,
    TIMES,
    Lead,
    Material,
    leads_of,
    overdue,
    read_days,
    read_others,
    unsaid,
)
from app.canvas.priced import declined, hung_here, priced_of
from app.canvas.tables import CanvasHours, CanvasOrder, CanvasTold, LoftDays
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.shop import shop_of
from app.ground.words import local
from app.parts.orders import awaited_parts
from app.trade.canvas.promise import (
    NO_WAIT,
    Asked,
    Loft,
    Promise,
    Work,
    canvas_promise,
    latest_promise,
    still_kept,
)
from app.trade.days import day
from app.trade.figure import Grade, Verdict, Worked
from app.trade.intervals import WEEKDAYS, Calendar
from app.trade.problems import Problem, Refused
from app.trade.quantity import read_number
from app.trade.typed import Reader, Typed

OfOrder = TypeVar("OfOrder", CanvasHours, CanvasTold)
MOST_OFF = 200  # single days off in one list
CLOTH_DAYS = tuple(f"{CLOTH}_{time}" for time in TIMES)
AT_MACHINES = (Stage.WINDOWS, Stage.SEW)
WEEK = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


# What is typed


@dataclass(frozen=True)
class LoftSaid:
    """The loft's day as its form has it; see tables.LoftDays."""

    table_hours: str
    machine_hours: str
    week: list[int]
    off: list[str]
    busy_months: list[int]
    busy_percent: str


def read_loft(typed: Typed) -> LoftSaid:
    """The loft's form; raises Refused with every problem. Hours a day from 0.1 to 240, of all people."""
    read = Reader(typed)
    read.number("table_hours", least="0.1", most="240", usual=("1", "24"), required="The hours are missing")
    read.number("machine_hours", least="0.1", most="240", usual=("1", "48"), required="The hours are missing")
    read.number("busy_percent", least="1", most="100", usual=("20", "100"), required="The share is missing")
    week, months = _ticked(typed, "week", range(7)), _ticked(typed, "busy_months", range(1, 13))
    if not week:
        read.wrong("week", "No day of the week is worked", "at least one day")
    off = _days_off(read)
    read.done()
    return LoftSaid(
        read.raw("table_hours"), read.raw("machine_hours"), week, off, months, read.raw("busy_percent")
    )


def _ticked(typed: Typed, name: str, known: Iterable[int]) -> list[int]:
    sent = set(typed.all(name))
    return [each for each in known if f"{each}" in sent]


def _days_off(read: Reader) -> list[str]:
    texts = read.text("off", most=4000, lines=True).replace(",", " ").split()
    wrong = [text for text in texts if not _is_day(text)]
    if wrong:
        read.wrong("off", f"{wrong[0][:20]} is not a date", "year-month-day, such as 2026-12-25, one a line")
    if len(texts) > MOST_OFF:
        read.wrong("off", f"{len(texts)} days off are too many", f"up to {MOST_OFF}")
    return sorted(set(texts))


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


@dataclass(frozen=True)
class HoursSaid:
    """What an order needs as its form has it; see tables.CanvasHours."""

    table_hours: str
    machine_hours: str
    cloth_shortest: str
    cloth_likely: str
    cloth_longest: str
    first: bool = False
    why: str = ""
    others: dict[str, list[str]] = field(default_factory=dict)


def read_hours(typed: Typed, moved: Sequence[str] = (), materials: Sequence[Material] = ()) -> HoursSaid:
    """What an order needs; raises Refused with every problem.

    `moved`: the orders that going first moves. `materials`: those it takes besides its cloth.
    """
    read = Reader(typed)
    for name, usual in (("table_hours", "24"), ("machine_hours", "80")):
        read.number(name, least="0", most="1000", usual=("0", usual), required="The hours are missing")
    read_days(read, CLOTH_DAYS)
    others = read_others(read, materials)
    first = read.yes("first")
    why = read.text("why", required="Say why it goes first" if first else "", most=200)
    if first and moved:
        read.ask("first", f"This moves back {', '.join(moved)}", "tell their owners where a day was given")
    read.done()
    hours = {name: read.raw(name) for name in ("table_hours", "machine_hours", *CLOTH_DAYS)}
    return HoursSaid(**hours, first=first, why=why, others=others)


@dataclass(frozen=True)
class ToldSaid:
    """The day that the owner is told, and how they are told it."""

    promised: date
    how: str


def read_told(typed: Typed, now: Promise) -> ToldSaid:
    """The day told; raises Refused with every problem, and for a day that has gone by.

    A day sooner than reckoned, and one beyond sixty days, is asked about once.
    """
    read = Reader(typed)
    told = read.day("promised", required="The day is missing")
    how = read.text("how", required="Say how the owner was told", most=120)
    if told and told < now.start:
        read.wrong("promised", f"{day(told)} has gone by", f"a day such as {day(now.promised)}")
    elif told and told < now.promised:
        read.ask(
            "promised",
            f"{day(told)} is sooner than four of five such orders are done",
            f"{day(now.promised)} or later",
        )
    elif told and told > latest_promise(now.start):
        read.ask("promised", "This is more than sixty days away", "usually kept within sixty days")
    read.done()
    assert told is not None
    return ToldSaid(told, how)


# The queue


@dataclass(frozen=True)
class ToldRead:
    """A day that the owner was told: when, by whom, how."""

    at: datetime
    by: str
    likely: date
    promised: date
    reasons: tuple[str, ...]
    how: str


@dataclass(frozen=True)
class LoftRead:
    """The loft's day as it holds. `revision`: how often it was set, for its form."""

    row: LoftDays | None
    revision: int

    @property
    def calendar(self) -> Calendar:
        """The days that the loft works; Monday to Friday until it is said."""
        if self.row is None:
            return Calendar()
        return Calendar(
            frozenset(self.row.week) or WEEKDAYS, frozenset(map(date.fromisoformat, self.row.off))
        )

    @property
    def loft(self) -> Loft | None:
        """What it does in a day; None until it is said."""
        if self.row is None:
            return None
        hours = (read_number(self.row.table_hours), read_number(self.row.machine_hours))
        share = read_number(self.row.busy_percent) / 100
        return Loft(*hours, frozenset(self.row.busy_months), share)


@dataclass(frozen=True)
class Queued:
    """An order in its place in the queue. `told`: every day that the owner was told, the newest last.

    `declined`: the owner said no to it, so that nobody waits for it. `unagreed`: how their word stands where
    the cutting waits for it, else empty.
    """

    order: OrderRead
    making: Making
    hours: CanvasHours | None
    turns: int
    told: tuple[ToldRead, ...]
    declined: bool = False
    unagreed: str = ""

    @property
    def last_told(self) -> ToldRead | None:
        """The day that counts: the last one told."""
        return self.told[-1] if self.told else None

    @property
    def first(self) -> bool:
        """Whether it goes before the orders that are not so marked."""
        return self.hours is not None and self.hours.first

    @property
    def place(self) -> tuple[bool, date, int]:
        """What the queue is sorted by: marked as first, the day told, its age."""
        told = self.last_told.promised if self.last_told else date.max
        return (not self.first, told, self.order.key)

    @property
    def counts(self) -> bool:
        """Whether others wait for it: hours are known, and it is released or its owner was told a day."""
        if self.declined or self.hours is None:
            return False
        return self.order.released or bool(self.told)

    @property
    def leads(self) -> tuple[Lead, ...]:
        """How long its materials were said to take; none once they are cut."""
        if self.hours is None or self.making.of(Stage.CUT).at:
            return ()
        return leads_of(self.order, self.hours)

    @property
    def work(self) -> Work:
        """The hours that are left: none at a table or machine that it has left."""
        if self.hours is None:
            return Work(self.order.number, Decimal(0), Decimal(0))
        table = _left(self.making, self.hours.table_hours, (Stage.CUT,))
        return Work(self.order.number, table, _left(self.making, self.hours.machine_hours, AT_MACHINES))


def _left(making: Making, needed: str, group: Sequence[Stage]) -> Decimal:
    if making.of(group[-1]).at:
        return Decimal(0)
    counted = sum((read_number(it.hours) for it in map(making.of, group) if it.hours), Decimal(0))
    return max(read_number(needed) - counted, Decimal(0))


@dataclass(frozen=True)
class PlaceRead:
    """An order of the queue with its day as it is reckoned now.

    `lacks`: why nothing can be promised, empty where `figure` is there. `kept`: what that means for the day
    told. `before`: the numbers of the orders that it would overtake if it went first. `doubts`: what the day
    does not hold for.
    """

    queued: Queued
    lacks: str
    figure: Worked[Promise] | None
    kept: Verdict | None
    before: tuple[str, ...]
    doubts: tuple[str, ...] = ()

    @property
    def to_tell(self) -> bool:
        """Whether the owner is to be told something else than was told: another day, or that it is open."""
        if self.queued.declined:
            return False
        told = self.queued.last_told
        late = self.kept is not None and self.kept.grade is Grade.NEEDS
        return told is not None and (late or (self.figure is None and self.queued.making.next is not None))


@dataclass(frozen=True)
class Waiting:
    """The queue before its days are reckoned: the loft's day, the orders in their order, today."""

    loft: LoftRead
    zone: str
    orders: tuple[Queued, ...]
    today: date

    @classmethod
    def of(cls, session: Session, today: date) -> "Waiting":
        """Every order that is not packed and not called off."""
        asked = select(CanvasOrder.id).where(col(CanvasOrder.called_off) == "").order_by(col(CanvasOrder.id))
        known = [_queued(session, key) for key in session.exec(asked) if key]
        orders = sorted((it for it in known if it.making.next is not None), key=lambda it: it.place)
        return cls(loft_of(session), shop_of(session).zone, tuple(orders), today)

    def place(self, at: int) -> PlaceRead:
        """The order at a place from 0, reckoned."""
        return _place(self, self.orders[at], self.orders[:at])


def queue(session: Session, today: date) -> tuple[PlaceRead, ...]:
    """Every order that is not packed and not called off, in the order in which the loft takes them."""
    waiting = Waiting.of(session, today)
    return tuple(map(waiting.place, range(len(waiting.orders))))


def place_of(session: Session, order_id: int, today: date) -> PlaceRead:
    """One order as the queue has it; one that is packed or called off has nothing to promise.

    NoResultFound where there is none of that key.
    """
    session.get_one(CanvasOrder, order_id)
    (found,) = _places(session, [order_id], today)
    return found


def places_of_stay(session: Session, work_order_id: int, today: date) -> tuple[PlaceRead, ...]:
    """The canvas orders of a unit's stay that were not called off, the oldest first."""
    here = (CanvasOrder.work_order_id == work_order_id, col(CanvasOrder.called_off) == "")
    keys = session.exec(select(CanvasOrder.id).where(*here).order_by(col(CanvasOrder.id)))
    return _places(session, [key for key in keys if key], today)


def to_tell(session: Session, today: date) -> int:
    """How many owners are to be told another day than they were told; those told none are not reckoned."""
    if session.exec(select(CanvasTold.id).limit(1)).first() is None:
        return 0
    waiting = Waiting.of(session, today)
    told = (at for at, it in enumerate(waiting.orders) if it.told)
    return sum(waiting.place(at).to_tell for at in told)


def _places(session: Session, keys: Sequence[int], today: date) -> tuple[PlaceRead, ...]:
    if not keys:
        return ()
    waiting = Waiting.of(session, today)
    at = {it.order.key: nth for nth, it in enumerate(waiting.orders)}
    return tuple(waiting.place(at[key]) if key in at else _done(_queued(session, key)) for key in keys)


def _done(it: Queued) -> PlaceRead:
    word = "It was called off" if it.order.row.called_off else "It is packed"
    return PlaceRead(it, word, None, None, ())


def _queued(session: Session, key: int) -> Queued:
    hours = _rows(session, CanvasHours, key)
    names = people.names(session)
    order, making = canvas_order(session, key), making_of(session, key)
    return Queued(
        order=order,
        making=making,
        hours=hours[-1] if hours else None,
        turns=len(hours),
        told=tuple(_told(row, names) for row in _rows(session, CanvasTold, key)),
        declined=declined(session, order),
        unagreed="" if making.of(Stage.CUT).at else _unagreed(session, order),
    )


def _unagreed(session: Session, order: OrderRead) -> str:
    price = priced_of(session, order)
    return "" if price.agreed else price.says


def _rows(session: Session, kind: type[OfOrder], key: int) -> list[OfOrder]:
    return list(session.exec(select(kind).where(kind.canvas_order_id == key).order_by(col(kind.id))))


def _told(row: CanvasTold, names: Mapping[int, str]) -> ToldRead:
    return ToldRead(row.created_at, names[row.told_by], row.likely, row.promised, tuple(row.reasons), row.how)


def told_of(session: Session, order_id: int) -> ToldRead | None:
    """The day that the owner was told last; None where none was told."""
    rows = _rows(session, CanvasTold, order_id)
    return _told(rows[-1], people.names(session)) if rows else None


def loft_of(session: Session) -> LoftRead:
    """The loft's day as it holds now."""
    rows = list(session.exec(select(LoftDays).order_by(col(LoftDays.id))))
    return LoftRead(rows[-1] if rows else None, len(rows))


def _place(whole: Waiting, it: Queued, ahead: Sequence[Queued]) -> PlaceRead:
    before = tuple(other.order.number for other in ahead if not other.first)
    lacks, figure = _lacks(it, whole.loft), None
    if not lacks and it.hours and whole.loft.loft:
        cloth, *others = [lead.left(_gone(whole, it.hours)) for lead in it.leads] or [NO_WAIT]
        works = tuple(other.work for other in ahead if other.counts)
        asked = Asked(whole.today, it.work, works, whole.loft.loft, whole.loft.calendar, cloth)
        figure = _reckoned(replace(asked, others=tuple(others)))
    told = it.last_told
    kept = still_kept(told.promised, figure.value) if told and figure else None
    return PlaceRead(it, lacks, figure, kept, before, tuple(_doubts(whole, it, ahead, figure)))


def _doubts(
    whole: Waiting, it: Queued, ahead: Sequence[Queued], figure: Worked[Promise] | None
) -> Iterator[str]:
    told = it.last_told.promised if it.last_told and not it.declined else None
    yield from doubts.told_in_vain(told, _lacks(it, whole.loft))
    if figure:
        yield from doubts.unagreed(it.unagreed)
    if figure and it.hours and it.leads:
        said = local(it.hours.created_at, whole.zone).date()
        yield from overdue(it.leads, _gone(whole, it.hours), partial(whole.loft.calendar.after, said))
        yield from unsaid(it.order, it.hours)
    if figure:
        waiting = (other for other in ahead if other.order.released and not other.declined)
        silent = [other.order.number for other in waiting if other.hours is None]
        yield from doubts.unreckoned(silent)
    if hung_here(it.order):
        unit = it.order.head.promised_at
        ready = told or (figure.value.promised if figure else None)
        yield from doubts.unit_sooner(local(unit, whole.zone).date() if unit else None, ready)


def _lacks(it: Queued, loft: LoftRead) -> str:
    if it.declined:
        return "The owner declined it, so nothing is promised"
    if not it.order.released:
        return "Nothing is promised on an order that is not released as it stands"
    if it.hours is None:
        return "Nobody has said yet how many hours it needs"
    return "" if loft.row else "Nobody has said yet what the loft does in a day"


def _gone(whole: Waiting, hours: CanvasHours) -> int:
    """Working days since it was said how long the materials take."""
    return whole.loft.calendar.between(local(hours.created_at, whole.zone).date(), whole.today)


@lru_cache(maxsize=512)
def _reckoned(asked: Asked) -> Worked[Promise]:
    """The promise of the same question is drawn once; see canvas_promise."""
    return canvas_promise(asked)


def coming(session: Session, order: OrderRead) -> tuple[str, ...]:
    """What is bought for the work of an order, or for its unit without a work, and is not here yet."""
    stay = order.row.work_order_id
    awaited = awaited_parts(session, [stay]).get(stay, [])
    return tuple(it.says for it in awaited if it.work_id in (None, order.row.work_id))


# What is done


def set_loft(book: Engine, act: Act, said: LoftSaid) -> int:
    """Keep what the loft does in a day, from now on; returns the row's key. Raises Stale."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        receipts.current(loft_of(session).revision, act)
        row = LoftDays(created_at=act.at, set_by=act.person, **asdict(said))
        return receipts.sign(session, act, "set loft days", row)


def set_hours(book: Engine, act: Act, order_id: int, said: HoursSaid) -> int:
    """Keep what an order needs, from now on; returns the row's key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        it = _going(session, order_id)
        receipts.current(it.turns, act)
        row = CanvasHours(created_at=act.at, canvas_order_id=order_id, set_by=act.person, **asdict(said))
        return receipts.sign(session, act, "set canvas hours", row)


def tell(book: Engine, act: Act, order_id: int, typed: Typed, today: date) -> int:
    """Keep the day that the owner was told, beside what is reckoned at this moment; returns the row's key.

    Raises Refused where nothing can be promised, Stale where another day was told meanwhile, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        it = _going(session, order_id)
        receipts.current(len(it.told), act)
        place = place_of(session, order_id, today)
        if place.figure is None:
            raise Refused([Problem("promised", place.lacks, "what is missing first")])
        now = place.figure.value
        said = read_told(typed, now)
        row = CanvasTold(
            created_at=act.at,
            canvas_order_id=order_id,
            version=it.order.version,
            likely=min(now.likely, said.promised),
            promised=said.promised,
            reasons=list(now.reasons),
            how=said.how,
            told_by=act.person,
        )
        return receipts.sign(session, act, "tell canvas day", row)


def _going(session: Session, order_id: int) -> Queued:
    it = _queued(session, order_id)
    if it.order.row.called_off:
        raise Refused([Problem("", "This canvas order was called off", "a new one")])
    return it

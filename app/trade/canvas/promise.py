"""When canvas can be promised: as a range, with its reasons in words.

Cloth, film, zippers and the rest have to come, and the orders ahead have to leave the cutting table; then
this order is cut; then the
machines have to be free; then it is sewn, and it is fitted or packed. Hours become full days by what table
and machines do in a day; in the shop's busy months a working day does only its share of one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from functools import partial

from app.trade.bounds import says
from app.trade.canvas.season import Season, season
from app.trade.canvas.stages import Stage, drawn, fixed, share_of
from app.trade.days import MONTHS, day
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked
from app.trade.intervals import Calendar
from app.trade.problems import Impossible
from app.trade.vectors import rounded

USUAL_WEEKS = (4, 6)  # common practice
KEPT_WITHIN = 60  # calendar days; common practice
PROMISED_SHARE, LIKELY_SHARE = 0.8, 0.5
QUICK, SLOW = Decimal("0.9"), Decimal("1.4")  # of the hours reckoned; common practice
NO_WAIT = fixed("cloth", Decimal(0))


@dataclass(frozen=True)
class Work:
    """Hours that one order needs: at the cutting table and at the machines, each 0 or more."""

    name: str
    table: Decimal
    machine: Decimal

    def __post_init__(self) -> None:
        if self.table < 0 or self.machine < 0:
            raise Impossible(f"{self.name} cannot take these hours", "0 hours or more, such as 2.5 and 11")


@dataclass(frozen=True)
class Loft:
    """What the loft does in a day, in hours, and in which months (1 to 12) only a part of it.

    `busy_share`: over 0 to 1, what is left for canvas in a busy month. Impossible outside.
    """

    table_hours: Decimal
    machine_hours: Decimal
    busy_months: frozenset[int] = frozenset()
    busy_share: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if min(self.table_hours, self.machine_hours) <= 0 or not 0 < self.busy_share <= 1:
            raise Impossible(
                "The loft needs hours in a day", "over 0 hours, such as 6, and a share over 0 to 1"
            )


@dataclass(frozen=True)
class Asked:
    """All that a promise depends on.

    `ahead`: orders ahead in the queue, in any order. `cloth`: working days until it is there, `others`: until
    each other material is; the last of them to come decides. `finish`: days to fit or to pack and ship.
    `start`: the day from which days are counted; it does not count itself.
    """

    start: date
    own: Work
    ahead: tuple[Work, ...]
    loft: Loft
    calendar: Calendar
    cloth: Stage = NO_WAIT
    finish: Stage = field(default=Stage("fitting or packing", Decimal("0.5"), Decimal(1), Decimal(3)))
    others: tuple[Stage, ...] = ()

    @property
    def last_material(self) -> Stage:
        """The material that is waited for the longest, in the mean."""
        return max((self.cloth, *self.others), key=lambda it: it.mean)


@dataclass(frozen=True)
class Promise:
    """A range of days: the likely day and the day to promise, with what holds the order up, in words."""

    start: date
    likely: date
    promised: date
    reasons: tuple[str, ...]

    @property
    def calendar_days(self) -> int:
        """Calendar days from the start to the promised day."""
        return (self.promised - self.start).days

    @property
    def words(self) -> str:
        """The range as the owner is told it."""
        if self.likely == self.promised:
            return f"promised by {day(self.promised)}"
        return f"likely {day(self.likely)}, promised by {day(self.promised)}"


def canvas_promise(asked: Asked, seed: int = 1) -> Worked[Promise]:
    """The range for an order: half of such orders end by the likely day, four in five by the promised day.

    The same order, queue and seed give the same days; reckon again whenever the queue moves. Source: common
    practice (four to six weeks, kept within sixty days); triangular stages.
    """
    stages = _stages(asked)
    rate = _season_of(asked)
    lengths = drawn(stages, partial(_put_together, rate), seed)
    likely, promised = (_day(asked, share_of(lengths, share)) for share in (LIKELY_SHARE, PROMISED_SHARE))
    value = Promise(asked.start, likely, promised, _reasons(asked, stages, rate, promised))
    return Worked(
        name="promised day",
        value=value,
        says=value.words,
        formula=(
            "the later of all materials here and cutting table free, then cutting; the later of that and "
            "machines free, then sewing; then fitting or packing; the day by which four of five such orders "
            "are done"
        ),
        inputs=(Input("counted from", day(asked.start)), *map(_input, stages)),
        source=COMMON_PRACTICE,
        limit=f"usually {USUAL_WEEKS[0]} to {USUAL_WEEKS[1]} weeks, kept within {KEPT_WITHIN} days",
        verdict=_verdict(value),
        caution="Nothing is promised on an order with open questions; a new day is told to the owner.",
    )


def _stages(asked: Asked) -> tuple[Stage, ...]:
    table, machine = asked.loft.table_hours, asked.loft.machine_hours
    return (
        asked.cloth,
        _hours("cutting table busy", sum((it.table for it in asked.ahead), Decimal(0)), table),
        _hours("cutting", asked.own.table, table),
        _hours("machines busy", sum((it.machine for it in asked.ahead), Decimal(0)), machine),
        _hours("sewing", asked.own.machine, machine),
        asked.finish,
        *asked.others,
    )


def _hours(name: str, hours: Decimal, a_day: Decimal) -> Stage:
    days = hours / a_day
    return Stage(name, days * QUICK, days, days * SLOW)


def _season_of(asked: Asked) -> Season:
    loft = asked.loft
    return season(asked.start, asked.calendar, loft.busy_months, float(loft.busy_share))


def _put_together(rate: Season, days: Sequence[float]) -> float:
    cloth, table, cutting, machines, sewing, finish, *others = days
    cut = rate.after(max(cloth, *others, rate.after(0, table)), cutting)
    return rate.after(max(cut, rate.after(0, machines)), sewing) + finish


def _day(asked: Asked, days: Decimal) -> date:
    return asked.calendar.after(asked.start, math.ceil(days))


def _input(stage: Stage) -> Input:
    if stage.shortest == stage.longest:
        return Input(stage.name, says(stage.likely, "day", 1))
    shortest, likely = (says(it, "count", 1) for it in (stage.shortest, stage.likely))
    return Input(stage.name, f"{shortest}, likely {likely}, at most {says(stage.longest, 'day', 1)}")


def _reasons(asked: Asked, stages: Sequence[Stage], rate: Season, promised: date) -> tuple[str, ...]:
    told = (_held_up(asked, stages, rate), _busy(asked, promised), _days_off(asked, promised))
    return tuple(reason for reason in told if reason)


def _held_up(asked: Asked, stages: Sequence[Stage], rate: Season) -> str:
    _, table, cutting, machines, *_ = (float(stage.mean) for stage in stages)
    last, table_free, machines_free = asked.last_material, rate.after(0, table), rate.after(0, machines)
    here = float(last.mean)
    if machines_free > rate.after(max(here, table_free), cutting):
        return f"the machines are busy with {_orders(asked)} for about {_days(machines_free)}"
    if here > table_free:
        return f"the {last.name} {'take' if last.name.endswith('s') else 'takes'} about {_days(here)} to come"
    if table:
        return f"the cutting table is busy with {_orders(asked)} for about {_days(table_free)}"
    return "nothing is ahead in the queue: its own work decides"


def _days(count: float) -> str:
    return says(rounded(count), "day")


def _orders(asked: Asked) -> str:
    count = len(asked.ahead)
    return "1 order ahead" if count == 1 else f"{count} orders ahead"


def _busy(asked: Asked, promised: date) -> str:
    """The busy months that lie between the start and the promised day."""
    share = asked.loft.busy_share
    days = range(1, (promised - asked.start).days + 1)
    met = dict.fromkeys((asked.start + timedelta(days=at)).month for at in days)
    busy = [MONTHS[month - 1] for month in met if month in asked.loft.busy_months]
    if not busy or share == 1:
        return ""
    return f"busy months leave {says(share * 100, 'percent')} of each day for canvas: {', '.join(busy)}"


def _days_off(asked: Asked, promised: date) -> str:
    off = sorted(one for one in asked.calendar.off if asked.start < one <= promised)
    worked = [day(one) for one in off if one.weekday() in asked.calendar.week]
    return f"days off on the way: {', '.join(worked)}" if worked else ""


def _verdict(promise: Promise) -> Verdict:
    days = promise.calendar_days
    if days > KEPT_WITHIN:
        told = f"{days} days, over the {KEPT_WITHIN} that a promise is kept within"
        return Verdict(Grade.NEEDS, f"{told}: tell the owner before anything is agreed", By.USE)
    if days > 7 * USUAL_WEEKS[1]:
        return Verdict(Grade.WATCH, f"{days} days, longer than the usual {USUAL_WEEKS[1]} weeks")
    return Verdict(Grade.SOUND, f"{days} days, within the usual {USUAL_WEEKS[1]} weeks")


def still_kept(given: date, now: Promise) -> Verdict:
    """What a promise given earlier means after the queue has moved: kept, close, or to be told to the owner.

    `given`: the day that the owner was told.
    """
    if now.promised <= given:
        return Verdict(Grade.SOUND, f"the day given, {day(given)}, is kept")
    late = (now.promised - given).days
    after = f"{late} {'day' if late == 1 else 'days'} after the day given"
    told = f"now {now.words}, {after}: {'; '.join(now.reasons)}"
    if now.likely <= given:
        return Verdict(Grade.WATCH, told)
    return Verdict(Grade.NEEDS, f"{told}. Tell the owner a new day", By.SOON)


def latest_promise(start: date) -> date:
    """The last day that may be promised: sixty calendar days after the start. Source: common practice."""
    return start + timedelta(days=KEPT_WITHIN)

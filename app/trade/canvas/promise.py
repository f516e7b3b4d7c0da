"""When canvas can be promised: as a range, with its reasons in words.

Cloth has to come, and the orders ahead have to leave the cutting table; then this order is cut; then the
machines have to be free; then it is sewn, and it is fitted or packed. Hours become working days by what
table and machines do in a day, less in the shop's busy months.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from app.trade.bounds import says
from app.trade.canvas.stages import Stage, drawn, fixed, share_of
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked
from app.trade.intervals import Calendar
from app.trade.problems import Impossible

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

    def share(self, day: date) -> Decimal:
        """What of a day's hours is left for canvas in the month of that day."""
        return self.busy_share if day.month in self.busy_months else Decimal(1)


@dataclass(frozen=True)
class Asked:
    """All that a promise depends on.

    `ahead`: orders ahead in the queue, in any order. `cloth`: working days until all materials are there.
    `finish`: days to fit or to pack and ship. `start`: the day from which days are counted; it does not
    count itself.
    """

    start: date
    own: Work
    ahead: tuple[Work, ...]
    loft: Loft
    calendar: Calendar
    cloth: Stage = NO_WAIT
    finish: Stage = field(default=Stage("fitting or packing", Decimal("0.5"), Decimal(1), Decimal(3)))


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
        return f"likely {self.likely.isoformat()}, promised by {self.promised.isoformat()}"


def canvas_promise(asked: Asked, seed: int = 1) -> Worked[Promise]:
    """The range for an order: half of such orders end by the likely day, four in five by the promised day.

    The same order, queue and seed give the same days; reckon again whenever the queue moves. Source: common
    practice (four to six weeks, kept within sixty days); triangular stages.
    """
    stages = _stages(asked)
    lengths = drawn(stages, _put_together, seed)
    likely, promised = (_day(asked, share_of(lengths, share)) for share in (LIKELY_SHARE, PROMISED_SHARE))
    value = Promise(asked.start, likely, promised, _reasons(asked, stages, promised))
    return Worked(
        name="promised day",
        value=value,
        says=value.words,
        formula=(
            "the later of cloth and cutting table free, then cutting; the later of that and machines free, "
            "then sewing; then fitting or packing; the day by which four of five such orders are done"
        ),
        inputs=(Input("counted from", asked.start.isoformat()), *map(_input, stages)),
        source=COMMON_PRACTICE,
        limit=f"usually {USUAL_WEEKS[0]} to {USUAL_WEEKS[1]} weeks, kept within {KEPT_WITHIN} days",
        verdict=_verdict(value),
        caution="Nothing is promised on an order with open questions; a new day is told to the owner.",
    )


def _stages(asked: Asked) -> tuple[Stage, ...]:
    share = asked.loft.share(asked.start)
    table, machine = asked.loft.table_hours * share, asked.loft.machine_hours * share
    return (
        asked.cloth,
        _hours("cutting table busy", sum((it.table for it in asked.ahead), Decimal(0)), table),
        _hours("cutting", asked.own.table, table),
        _hours("machines busy", sum((it.machine for it in asked.ahead), Decimal(0)), machine),
        _hours("sewing", asked.own.machine, machine),
        asked.finish,
    )


def _hours(name: str, hours: Decimal, a_day: Decimal) -> Stage:
    days = hours / a_day
    return Stage(name, days * QUICK, days, days * SLOW)


def _put_together(days: Sequence[float]) -> float:
    cloth, table, cutting, machines, sewing, finish = days
    return max(max(cloth, table) + cutting, machines) + sewing + finish


def _day(asked: Asked, days: Decimal) -> date:
    return asked.calendar.after(asked.start, math.ceil(days))


def _input(stage: Stage) -> Input:
    if stage.shortest == stage.longest:
        return Input(stage.name, says(stage.likely, "day", 1))
    shortest, likely = (says(it, "count", 1) for it in (stage.shortest, stage.likely))
    return Input(stage.name, f"{shortest}, likely {likely}, at most {says(stage.longest, 'day', 1)}")


def _reasons(asked: Asked, stages: Sequence[Stage], promised: date) -> tuple[str, ...]:
    told = (_held_up(asked, stages), _season(asked), _days_off(asked, promised))
    return tuple(reason for reason in told if reason)


def _held_up(asked: Asked, stages: Sequence[Stage]) -> str:
    cloth, table, cutting, machines, *_ = stages
    ready = max(cloth.mean, table.mean) + cutting.mean
    if machines.mean > ready:
        return f"the machines are busy with {_orders(asked)} for about {says(machines.mean, 'day')}"
    if cloth.mean > table.mean:
        return f"the cloth takes about {says(cloth.mean, 'day')} to come"
    if table.mean:
        return f"the cutting table is busy with {_orders(asked)} for about {says(table.mean, 'day')}"
    return "nothing is ahead in the queue and the cloth is here: its own work decides"


def _orders(asked: Asked) -> str:
    count = len(asked.ahead)
    return "1 order ahead" if count == 1 else f"{count} orders ahead"


def _season(asked: Asked) -> str:
    share = asked.loft.share(asked.start)
    return f"busy months leave {says(share * 100, 'percent')} of each day for canvas" if share < 1 else ""


def _days_off(asked: Asked, promised: date) -> str:
    off = sorted(day for day in asked.calendar.off if asked.start < day <= promised)
    worked = [day.isoformat() for day in off if day.weekday() in asked.calendar.week]
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
        return Verdict(Grade.SOUND, f"the day given, {given.isoformat()}, is kept")
    late = (now.promised - given).days
    after = f"{late} {'day' if late == 1 else 'days'} after the day given"
    told = f"now {now.words}, {after}: {'; '.join(now.reasons)}"
    if now.likely <= given:
        return Verdict(Grade.WATCH, told)
    return Verdict(Grade.NEEDS, f"{told}. Tell the owner a new day", By.SOON)


def latest_promise(start: date) -> date:
    """The last day that may be promised: sixty calendar days after the start. Source: common practice."""
    return start + timedelta(days=KEPT_WITHIN)

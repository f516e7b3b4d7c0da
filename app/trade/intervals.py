"""When a thing falls due: by a day or a distance, whichever comes first; and working days to a promise.

Retorque distances stand with the fasteners; the month of a cylinder stands with the cylinders.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from itertools import islice

from app.trade.dates import Month
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit

MOST_MILES = Decimal(2_000_000)
MOST_WORKING_DAYS = 1000
WEEKDAYS = frozenset(range(5))  # Monday to Friday: date.weekday()


@dataclass(frozen=True)
class Every:
    """An interval: months, miles, or both and then whichever comes first.

    `months`: 1 to 360. `miles`: over 0 to 100,000. Impossible outside, or where neither is given.
    """

    months: int | None = None
    miles: Decimal | None = None

    def __post_init__(self) -> None:
        if self.months is None and self.miles is None:
            raise Impossible("An interval needs months, miles or both", "such as 12 months or 12,000 miles")
        if self.months is not None and not 1 <= self.months <= 360:
            raise Impossible(f"{self.months} months is no interval", "1 to 360 months, such as 12")
        if self.miles is not None and not 0 < self.miles <= 100_000:
            raise Impossible(f"{self.miles} miles is no interval", "over 0 to 100,000 miles, such as 12,000")

    def __str__(self) -> str:
        months = "" if self.months is None else f"{self.months} months"
        miles = "" if self.miles is None else with_unit(plain(self.miles), "mi")
        return f"{months} or {miles}, whichever comes first" if months and miles else months or miles


BEARINGS = Every(months=12, miles=Decimal(12_000))  # hub service: common practice


@dataclass(frozen=True)
class Due:
    """When it falls due: on a day, at a count of miles, or at the earlier of both."""

    on: date | None
    at_miles: Decimal | None

    def __str__(self) -> str:
        day = "" if self.on is None else f"on {self.on.isoformat()}"
        miles = "" if self.at_miles is None else f"at {with_unit(plain(self.at_miles), 'mi')}"
        return f"{day} or {miles}, whichever comes first" if day and miles else day or miles


def months_later(day: date, months: int) -> date:
    """The same day of the month that many months later, or its last day where it has no such day."""
    month = Month.of(day).plus_months(months)
    return min(date(month.year, month.month, 1) + timedelta(days=day.day - 1), month.last)


def next_due(
    done_on: date, every: Every, done_at: Decimal | None = None, source: Source = COMMON_PRACTICE
) -> Worked[Due]:
    """When a service is due again after it was done on a day, at a count of miles.

    `done_at`: miles run at that time, 0 to 2,000,000; without it the miles count from 0 at that day.
    Impossible outside. The owner's book, where there is one, comes before the usual interval.
    """
    start = Decimal(0) if done_at is None else done_at
    _miles(start)
    due = Due(
        on=None if every.months is None else months_later(done_on, every.months),
        at_miles=None if every.miles is None else start + every.miles,
    )
    return Worked(
        name="due again",
        value=due,
        says=str(due),
        formula="day done + months, and miles when done + miles; whichever comes first",
        inputs=(
            Input("done on", done_on.isoformat()),
            Input("miles then", with_unit(plain(start), "mi")),
            Input("every", str(every)),
        ),
        source=source,
        caution="The book of the axle or the appliance comes first where it says a shorter interval.",
    )


def _miles(miles: Decimal) -> None:
    if not 0 <= miles <= MOST_MILES:
        raise Impossible(f"{miles} is no count of miles", "0 to 2,000,000 miles, such as 14,500")


def standing(due: Due, on: date, miles: Decimal | None = None, ahead_days: int = 30) -> Verdict:
    """What a due date means on a day, at a count of miles: past it needs work soon, near it is a watch.

    A distance that cannot be told (no miles known) is left to the day. `ahead_days`: how near is near.
    """
    late_by = _late(due, on, miles)
    if late_by:
        return Verdict(Grade.NEEDS, f"was due {due}: {late_by}", By.SOON)
    if due.on is not None and due.on - on <= timedelta(days=ahead_days):
        return Verdict(Grade.WATCH, f"due {due}")
    return Verdict(Grade.SOUND, f"due {due}")


def _late(due: Due, on: date, miles: Decimal | None) -> str:
    days = 0 if due.on is None else (on - due.on).days
    over = Decimal(0) if due.at_miles is None or miles is None else miles - due.at_miles
    said = [f"{days} days late"] if days > 0 else []
    return ", ".join([*said, f"{with_unit(plain(over), 'mi')} over"] if over > 0 else said)


@dataclass(frozen=True)
class Calendar:
    """The days that a shop works: days of the week (Monday is 0) less single days off.

    `off`: holidays and closures, put in by the shop. ValueError where no day of the week is worked.
    """

    week: frozenset[int] = WEEKDAYS
    off: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        if not self.week or not self.week <= frozenset(range(7)):
            raise ValueError("a shop works on at least one day of the week")

    def works(self, day: date) -> bool:
        """Whether a day is worked."""
        return day.weekday() in self.week and day not in self.off

    def after(self, day: date, count: int) -> date:
        """The `count`th worked day after a day that does not count itself; for 0 that day or the next worked.

        `count`: 0 to 1,000; Impossible outside, or where the days off leave no worked day.
        """
        if not 0 <= count <= MOST_WORKING_DAYS:
            raise Impossible(f"{count} is no count of working days", "0 to 1,000, such as 10")
        first = day + timedelta(days=1 if count else 0)
        reach = 7 * (count + 1 + len(self.off))  # each week has a worked day, unless it is one of those off
        worked = (it for it in _following(first, reach) if self.works(it))
        found = next(islice(worked, max(count, 1) - 1, None), None)
        if found is None:
            raise Impossible("The calendar has no worked day left", "at least one worked day a week")
        return found

    def between(self, start: date, end: date) -> int:
        """Worked days after `start` up to and with `end`; 0 where `end` is not later."""
        days = range(1, (end - start).days + 1)
        return sum(self.works(start + timedelta(days=day)) for day in days)


def _following(first: date, count: int) -> Iterator[date]:
    return (first + timedelta(days=day) for day in range(count))


def promise(start: date, working_days: int, calendar: Calendar) -> Worked[date]:
    """Day that a job is promised for: that many worked days after its start, which does not count.

    `working_days`: 0 to 1,000; Impossible outside. Source: common practice.
    """
    value = calendar.after(start, working_days)
    skipped = sorted(day for day in calendar.off if start < day <= value and day.weekday() in calendar.week)
    return Worked(
        name="promised day",
        value=value,
        says=value.isoformat(),
        formula="next worked days counted from the day after the start",
        inputs=(
            Input("start", start.isoformat()),
            Input("working days", str(working_days)),
            Input("days off on the way", ", ".join(day.isoformat() for day in skipped) or "none"),
        ),
        source=COMMON_PRACTICE,
        caution="Parts on order and outside work can move it; a new day is told to the owner.",
    )


def days_of_work(hours_ahead: Sequence[Decimal], own_hours: Decimal, hours_a_day: Decimal) -> Worked[int]:
    """Working days until a job is done behind those ahead of it on one bench, rounded up.

    Hours at least 0, `hours_a_day` over 0 to 24; Impossible outside. Source: common practice.
    """
    if not 0 < hours_a_day <= 24 or min([own_hours, *hours_ahead]) < 0:
        raise Impossible("These are no hours of work", "hours of at least 0; over 0 to 24 a day")
    ahead = sum(hours_ahead, Decimal(0))
    value = int(((ahead + own_hours) / hours_a_day).to_integral_value(ROUND_CEILING))
    return Worked(
        name="working days until done",
        value=value,
        says=f"{value} working days",
        formula="(hours ahead + own hours) / hours a day, rounded up",
        inputs=(
            Input("hours ahead", with_unit(str(ahead), "h")),
            Input("own hours", with_unit(str(own_hours), "h")),
            Input("a day", with_unit(str(hours_a_day), "h")),
        ),
        source=COMMON_PRACTICE,
    )


def tenths_of_hours(minutes: Sequence[int]) -> Worked[Decimal]:
    """Hours in tenths from pieces of work in minutes: the sum is rounded, half up, not each piece.

    `minutes`: none negative; Impossible otherwise. Source: common practice.
    """
    if any(piece < 0 for piece in minutes):
        raise Impossible("A piece of work lasts at least 0 minutes", "whole minutes, such as 27")
    total = sum(minutes)
    value = (Decimal(total) / 6 + Decimal("0.5")).to_integral_value(ROUND_FLOOR) / 10
    return Worked(
        name="hours worked",
        value=value,
        says=with_unit(str(value), "h"),
        formula="sum of the minutes / 60, rounded half up to a tenth of an hour",
        inputs=(Input("minutes", " + ".join(map(str, minutes)) or "0"), Input("sum", str(total))),
        source=COMMON_PRACTICE,
        unit="h",
    )

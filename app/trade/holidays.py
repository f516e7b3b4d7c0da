"""Legal public holidays of the United States and the days on which they are kept. Local law decides."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible

RULE = Source("5 U.S.C.", "6103(a), (b)")
FIRST_YEAR, LAST_YEAR = 2021, 2200  # the list as it stands since 19 June 2021
MONDAY, THURSDAY, SATURDAY, SUNDAY = 0, 3, 5, 6
LAST = -1

FIXED = (
    ("New Year's Day", 1, 1),
    ("Juneteenth", 6, 19),
    ("Independence Day", 7, 4),
    ("Veterans Day", 11, 11),
    ("Christmas Day", 12, 25),
)
# name, month, day of the week, which of the month
MOVED = (
    ("Birthday of Martin Luther King, Jr.", 1, MONDAY, 3),
    ("Washington's Birthday", 2, MONDAY, 3),
    ("Memorial Day", 5, MONDAY, LAST),
    ("Labor Day", 9, MONDAY, 1),
    ("Columbus Day", 10, MONDAY, 2),
    ("Thanksgiving Day", 11, THURSDAY, 4),
)


@dataclass(frozen=True)
class Holiday:
    """A holiday: its name, its day, and the day on which it is kept."""

    name: str
    day: date
    kept: date

    def __str__(self) -> str:
        return f"{self.kept.isoformat()} {self.name}"


def nth_weekday(year: int, month: int, weekday: int, nth: int) -> date:
    """The `nth` Monday (0), Tuesday ... of a month; -1 is the last of it. Source: the calendar."""
    if nth == LAST:
        following = date(year + month // 12, month % 12 + 1, 1)
        return following - timedelta(days=(following.weekday() - weekday - 1) % 7 + 1)
    first = date(year, month, 1)
    return first + timedelta(days=(weekday - first.weekday()) % 7 + 7 * (nth - 1))


def kept_on(day: date) -> date:
    """The day on which a holiday is kept: a Saturday's on Friday, a Sunday's on Monday."""
    return day + timedelta(days={SATURDAY: -1, SUNDAY: 1}.get(day.weekday(), 0))


def federal_holidays(year: int) -> Worked[tuple[Holiday, ...]]:
    """The eleven legal public holidays of a year, in order, each with the day on which it is kept.

    `year`: 2021 to 2200; Impossible outside. That of a New Year's Day on a Saturday is kept in the year
    before. Source: 5 U.S.C. 6103(a); Saturdays by (b), Sundays by custom (Executive Order 11582).
    """
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Impossible(f"{year} is out of reach", f"{FIRST_YEAR} to {LAST_YEAR}, such as 2026")
    found = tuple(sorted(_of(year), key=lambda holiday: holiday.day))
    return Worked(
        name="public holidays",
        value=found,
        says="; ".join(map(str, found)),
        formula="fixed days and days of the week; Saturday is kept on Friday, Sunday on Monday",
        inputs=(Input("year", str(year)),),
        source=RULE,
        caution="A shop sets its own days off; states have others besides.",
    )


def _of(year: int) -> Iterator[Holiday]:
    for name, month, number in FIXED:
        fixed = date(year, month, number)
        yield Holiday(name, fixed, kept_on(fixed))
    for name, month, weekday, nth in MOVED:
        moved = nth_weekday(year, month, weekday, nth)
        yield Holiday(name, moved, moved)


def days_kept(first_year: int, years: int) -> frozenset[date]:
    """Days on which holidays are kept from a year on, that of the next New Year's Day among them."""
    last = min(first_year + years, LAST_YEAR)
    return frozenset(
        holiday.kept for year in range(first_year, last + 1) for holiday in federal_holidays(year).value
    )

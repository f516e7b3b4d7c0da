"""Dates of the trade that have no day: the month of a mark, the week of a tire.

They stay what they are: a month is never kept as a made-up first of the month.
"""

import re
from calendar import month_name, monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Self

from app.trade.problems import Impossible

FIRST_YEAR, LAST_YEAR = 1900, 2199
MONTH_ACCEPTS = "month and year, such as 03-19, 03-2019 or 3 2019"

_MONTH_FIRST = re.compile(r"^(\d{1,2})[-/. ]+(\d{4}|\d{2})$")
_YEAR_FIRST = re.compile(r"^(\d{4})-(\d{2})$")


@dataclass(frozen=True, order=True)
class Month:
    """A month without a day, as a mark or a plate says it; earlier months compare as less.

    `year`: 1900 to 2199. `month`: 1 to 12. Raises Impossible outside these.
    """

    year: int
    month: int

    def __post_init__(self) -> None:
        if not 1 <= self.month <= 12:
            raise Impossible(f"There is no month {self.month}", "a month from 1 to 12")
        if not FIRST_YEAR <= self.year <= LAST_YEAR:
            raise Impossible(f"{self.year} is out of reach", f"a year from {FIRST_YEAR} to {LAST_YEAR}")

    @classmethod
    def of(cls, day: date) -> Self:
        """The month that a day lies in."""
        return cls(day.year, day.month)

    @property
    def first(self) -> date:
        """Its first day."""
        return date(self.year, self.month, 1)

    @property
    def last(self) -> date:
        """Its last day: a term that names a month runs to its end."""
        return date(self.year, self.month, monthrange(self.year, self.month)[1])

    @property
    def words(self) -> str:
        """The month in words, such as "March 2019"."""
        return f"{month_name[self.month]} {self.year}"

    @property
    def iso(self) -> str:
        """The month by ISO 8601, such as "2019-03"; sorts as text."""
        return f"{self.year:04}-{self.month:02}"

    def plus_months(self, months: int) -> "Month":
        """The month that many months later (earlier where negative)."""
        years, rest = divmod(self.year * 12 + self.month - 1 + months, 12)
        return Month(years, rest + 1)

    def plus_years(self, years: int) -> "Month":
        """The same month that many years later."""
        return Month(self.year + years, self.month)

    def months_to(self, later: "Month") -> int:
        """Whole months from this month to another; negative where the other is earlier."""
        return (later.year - self.year) * 12 + later.month - self.month

    def __str__(self) -> str:
        return f"{self.month:02}-{self.year:04}"


def read_month(typed: str, latest: Month) -> Month:
    """The month that stands in a text: `03-19`, `03-2019`, `3 2019`, `3/19` or `2019-03`.

    `latest`: a year of two digits is read as the last one that does not come after it (for a mark,
    the month of today; for an end date, some years ahead). Raises Impossible where it is no month.
    """
    text = typed.strip()
    if found := _YEAR_FIRST.match(text):
        return Month(int(found[1]), int(found[2]))
    found = _MONTH_FIRST.match(text)
    if not found or not text.isascii():
        raise Impossible("This is not a month and a year", MONTH_ACCEPTS)
    month, year = int(found[1]), int(found[2])
    return Month(year, month) if len(found[2]) == 4 else _in_century(month, year, latest)


def _in_century(month: int, two_digits: int, latest: Month) -> Month:
    read = Month(latest.year // 100 * 100 + two_digits, month)
    return read if read <= latest else read.plus_years(-100)


@dataclass(frozen=True, order=True)
class Week:
    """A week of a tire's making. Week 1 is the first full week of the year, Sunday to Saturday.

    This is not the ISO week. `week`: 1 to 53; in a year of 52 weeks week 53 is counted on and is
    not `usual`, as some makers count weeks otherwise. Raises Impossible outside.
    Source: 49 CFR 574.5(b).
    """

    year: int
    week: int

    def __post_init__(self) -> None:
        if not 1 <= self.week <= 53:
            raise Impossible(f"There is no week {self.week:02}", "a week from 01 to 53")
        if not FIRST_YEAR <= self.year <= LAST_YEAR:
            raise Impossible(f"{self.year} is out of reach", f"a year from {FIRST_YEAR} to {LAST_YEAR}")

    @property
    def start(self) -> date:
        """Its Sunday."""
        return _first_sunday(self.year) + timedelta(weeks=self.week - 1)

    @property
    def end(self) -> date:
        """Its Saturday; the last week of a year may end in the next."""
        return self.start + timedelta(days=6)

    @property
    def usual(self) -> bool:
        """Whether the year has that week: false only for week 53 of a year with 52."""
        return self.week <= weeks_in(self.year)

    def __str__(self) -> str:
        return f"week {self.week} of {self.year}"


def week_of(day: date) -> Week:
    """The tire week that a day lies in; the days before the first Sunday belong to the year before."""
    year = day.year if day >= _first_sunday(day.year) else day.year - 1
    return Week(year, (day - _first_sunday(year)).days // 7 + 1)


def weeks_in(year: int) -> int:
    """Number of tire weeks that start in a year: 52 or 53."""
    return (_first_sunday(year + 1) - _first_sunday(year)).days // 7


def _first_sunday(year: int) -> date:
    new_year = date(year, 1, 1)
    return new_year + timedelta(days=(6 - new_year.weekday()) % 7)


def complete_years(start: date, on: date) -> int:
    """Birthdays of `start` that have passed by `on`; 29 February has its birthday on 1 March.

    Negative where `on` is earlier.
    """
    return on.year - start.year - ((on.month, on.day) < (start.month, start.day))


def complete_months(start: date, on: date) -> int:
    """Months completed between two days: the day of the month must have been reached again."""
    return (on.year - start.year) * 12 + on.month - start.month - (on.day < start.day)

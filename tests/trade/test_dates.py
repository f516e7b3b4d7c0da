"""Months without a day, and the weeks of 49 CFR 574.5(b)."""

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.dates import Month, Week, complete_months, complete_years, read_month, week_of, weeks_in
from app.trade.problems import Impossible

months = st.builds(Month, st.integers(1950, 2100), st.integers(1, 12))
days = st.dates(date(1971, 1, 10), date(2099, 12, 31))


@pytest.mark.parametrize(
    ("typed", "latest", "read"),
    [
        ("03-19", Month(2026, 11), Month(2019, 3)),  # as stamped on a cylinder: 49 CFR 180.213(b)
        ("12-85", Month(2026, 11), Month(1985, 12)),  # a mark cannot be of a day to come
        ("11-26", Month(2026, 11), Month(2026, 11)),  # this month itself is not to come
        ("12-26", Month(2026, 11), Month(1926, 12)),  # next month is
        ("05-31", Month(2041, 11), Month(2031, 5)),  # an end date may lie ahead
        ("3 2019", Month(2026, 11), Month(2019, 3)),
        ("03-2019", Month(2026, 11), Month(2019, 3)),
        ("3/2019", Month(2026, 11), Month(2019, 3)),
        ("2019-03", Month(2026, 11), Month(2019, 3)),  # ISO 8601
        (" 9.07 ", Month(2026, 11), Month(2007, 9)),
    ],
)
def test_a_month_is_read_as_it_is_marked(typed: str, latest: Month, read: Month) -> None:
    assert read_month(typed, latest) == read


@pytest.mark.parametrize(
    "typed", ["", "13-19", "00-19", "3", "2019", "03-219", "03-19-20", "٠٣-١٩", "3 1850"]
)
def test_what_is_no_month_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(Impossible) as refused:
        read_month(typed, Month(2026, 11))
    assert refused.value.accepts


def test_a_month_is_printed_in_three_ways() -> None:
    march = Month(2019, 3)
    assert (str(march), march.words, march.iso) == ("03-2019", "March 2019", "2019-03")


@pytest.mark.parametrize(
    ("month", "last"),
    [
        (Month(2024, 2), 29),  # leap year by the Gregorian calendar
        (Month(2023, 2), 28),
        (Month(2000, 2), 29),  # divisible by 400
        (Month(2100, 2), 28),  # divisible by 100, not by 400
        (Month(2026, 4), 30),
    ],
)
def test_the_last_day_of_a_month(month: Month, last: int) -> None:
    assert month.last == date(month.year, month.month, last)
    assert month.first.day == 1


def test_years_are_added_to_a_month() -> None:
    assert Month(2014, 6).plus_years(12) == Month(2026, 6)  # 49 CFR 180.209(e): 12 years after the mark
    assert Month.of(date(2026, 11, 25)).plus_months(3) == Month(2027, 2)  # counted on the calendar


@given(months, st.integers(-400, 400))
def test_months_added_are_months_between(month: Month, count: int) -> None:
    assert month.months_to(month.plus_months(count)) == count


@given(months, months)
def test_months_stand_in_order_as_their_iso_text_does(one: Month, other: Month) -> None:
    assert (one < other) == (one.iso < other.iso)


@given(months)
def test_a_printed_month_is_read_back(month: Month) -> None:
    assert read_month(str(month), Month(1990, 1)) == month
    assert read_month(month.iso, Month(1990, 1)) == month


@pytest.mark.parametrize(
    ("week", "start", "end"),
    [
        # 49 CFR 574.5(b)(3): "0109 means the first full calendar week of 2009, January 4 to January 10"
        (Week(2009, 1), date(2009, 1, 4), date(2009, 1, 10)),
        # the rest: counted by hand on a calendar from the first Sunday of the year
        (Week(2019, 30), date(2019, 7, 28), date(2019, 8, 3)),
        (Week(2021, 8), date(2021, 2, 21), date(2021, 2, 27)),
        (Week(2015, 52), date(2015, 12, 27), date(2016, 1, 2)),
        (Week(2012, 53), date(2012, 12, 30), date(2013, 1, 5)),
        (Week(2024, 1), date(2024, 1, 7), date(2024, 1, 13)),
        (Week(2023, 53), date(2023, 12, 31), date(2024, 1, 6)),
        (Week(1999, 43), date(1999, 10, 24), date(1999, 10, 30)),
    ],
)
def test_a_week_runs_from_sunday_to_saturday(week: Week, start: date, end: date) -> None:
    assert (week.start, week.end) == (start, end)


def test_the_years_with_53_weeks() -> None:
    # years that start on a Sunday, or leap years that start on a Saturday: Gregorian calendar
    long_years = [1995, 2000, 2006, 2012, 2017, 2023, 2028, 2034, 2040]
    assert [year for year in range(1990, 2041) if weeks_in(year) == 53] == long_years


@pytest.mark.parametrize(
    ("year", "day"),
    # first Sunday of January, from a perpetual calendar
    [
        *((2000, 2), (2001, 7), (2002, 6), (2003, 5), (2004, 4), (2005, 2), (2006, 1), (2007, 7)),
        *((2008, 6), (2009, 4), (2010, 3), (2011, 2), (2012, 1), (2013, 6), (2014, 5), (2015, 4)),
        *((2016, 3), (2017, 1), (2018, 7), (2019, 6), (2020, 5), (2021, 3), (2022, 2), (2023, 1)),
        *((2024, 7), (2025, 5), (2026, 4), (2027, 3), (2028, 2), (2029, 7), (2030, 6)),
    ],
)
def test_week_1_starts_on_the_first_sunday(year: int, day: int) -> None:
    assert Week(year, 1).start == date(year, 1, day)
    assert week_of(date(year, 1, day)) == Week(year, 1)


def test_it_is_not_the_iso_week() -> None:
    # ISO 8601: 1 January 2026 is a Thursday, so ISO week 1 begins on 29 December 2025
    assert date.fromisocalendar(2026, 1, 1) == date(2025, 12, 29)
    assert Week(2026, 1).start == date(2026, 1, 4)


def test_week_53_of_a_short_year_is_kept_but_not_usual() -> None:
    assert not Week(2019, 53).usual
    assert Week(2019, 53).start == Week(2020, 1).start  # counted on: the same days
    assert Week(2012, 53).usual


@pytest.mark.parametrize("week", [0, 54, 99, -1])
def test_week_00_and_54_and_up_are_refused(week: int) -> None:
    with pytest.raises(Impossible, match="week"):
        Week(2019, week)


@given(st.integers(1971, 2098), st.integers(1, 52))
def test_the_weeks_agree_with_the_c_library(year: int, week: int) -> None:
    # %U of ISO C strftime counts weeks from the first Sunday, as 574.5(b) does
    assert Week(year, week).start == datetime.strptime(f"{year} {week} 0 +0000", "%Y %U %w %z").date()


@given(days)
def test_every_day_lies_in_its_week(day: date) -> None:
    week = week_of(day)
    assert week.start <= day <= week.end
    assert week.usual


@given(days)
def test_weeks_follow_each_other_without_a_gap(day: date) -> None:
    assert week_of(week_of(day).end + timedelta(days=1)).start == week_of(day).end + timedelta(days=1)


@pytest.mark.parametrize(
    ("start", "on", "years", "months"),
    [
        (date(2020, 6, 15), date(2026, 6, 15), 6, 72),  # on the birthday itself
        (date(2020, 6, 15), date(2026, 6, 14), 5, 71),  # the day before
        (date(2020, 2, 29), date(2026, 2, 28), 5, 71),  # leap day: not yet
        (date(2020, 2, 29), date(2026, 3, 1), 6, 72),  # but on 1 March
        (date(2026, 6, 15), date(2026, 6, 15), 0, 0),
    ],
)
def test_complete_years_and_months_by_the_calendar(start: date, on: date, years: int, months: int) -> None:
    assert (complete_years(start, on), complete_months(start, on)) == (years, months)


@given(days, days)
def test_years_are_twelve_months(one: date, other: date) -> None:
    start, on = sorted((one, other))
    assert complete_years(start, on) == complete_months(start, on) // 12


@pytest.mark.parametrize(
    ("first", "later", "between"),
    [
        # counted on the fingers
        (Month(2019, 3), Month(2019, 3), 0),
        (Month(2019, 3), Month(2020, 2), 11),
        (Month(2019, 12), Month(2020, 1), 1),
        (Month(2020, 1), Month(2019, 12), -1),
        (Month(2014, 6), Month(2026, 6), 144),
    ],
)
def test_months_between(first: Month, later: Month, between: int) -> None:
    assert first.months_to(later) == between


@pytest.mark.parametrize(("year", "month"), [(2019, 0), (2019, 13), (1899, 12), (2200, 1)])
def test_months_that_no_calendar_has(year: int, month: int) -> None:
    with pytest.raises(Impossible):
        Month(year, month)


@given(st.integers(1, 12), st.integers(0, 99), st.builds(Month, st.integers(2000, 2100), st.integers(1, 12)))
def test_two_digits_never_lie_after_the_latest_nor_a_century_before(
    month: int, year: int, latest: Month
) -> None:
    read = read_month(f"{month:02}-{year:02}", latest)
    assert read.year % 100 == year
    assert 0 <= read.months_to(latest) < 1200


@given(months)
def test_a_month_holds_its_own_days(month: Month) -> None:
    assert Month.of(month.first) == Month.of(month.last) == month
    assert month.last + timedelta(days=1) == month.plus_months(1).first


@given(days, st.integers(0, 60))
def test_a_birthday_completes_a_year(start: date, years: int) -> None:
    if (start.month, start.day) == (2, 29):
        return
    birthday = start.replace(year=start.year + years)
    assert complete_years(start, birthday) == years
    assert complete_years(start, birthday - timedelta(days=1)) == years - 1

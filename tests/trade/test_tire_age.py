"""The age of a tire and the shop's policy."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.dates import week_of
from app.trade.figure import HEAVIEST_FIRST, By, Grade
from app.trade.problems import Impossible
from app.trade.tin import DateCode, read_date_code
from app.trade.tire_age import AgePolicy, made_apart, tire_age, without_date

TODAY = date(2026, 6, 15)


@pytest.mark.parametrize(
    ("digits", "years", "grade"),
    [
        # years: days between two dates of the calendar / 365.2425; grades: common practice in the trade
        ("3019", "6.88", Grade.NEEDS),  # 2,514 days from 28 July 2019
        ("0821", "5.31", Grade.WATCH),  # 1,940 days from 21 February 2021
        ("5215", "10.47", Grade.DNT),  # 3,823 days from 27 December 2015
        ("5312", "13.46", Grade.DNT),  # 4,915 days from 30 December 2012
        ("0124", "2.44", Grade.SOUND),  # 890 days from 7 January 2024
        ("439", "26.64", Grade.DNT),  # 9,731 days from 24 October 1999, the latest it can be
    ],
)
def test_age_in_years_on_a_day(digits: str, years: str, grade: Grade) -> None:
    figure = tire_age(read_date_code(digits, TODAY), TODAY)
    assert figure.value == Decimal(years)
    assert figure.verdict is not None
    assert figure.verdict.grade == grade


def test_days_of_the_cases_above_are_those_of_the_calendar() -> None:
    # Julian day numbers: 15 June 2026 is 2461207, 28 July 2019 is 2458693 (astronomical almanac rule)
    assert date(2026, 6, 15).toordinal() - date(2019, 7, 28).toordinal() == 2461207 - 2458693


@pytest.mark.parametrize(
    ("on", "grade"),
    [
        # week 24 of 2016 begins on Sunday 12 June 2016; the limits are birthdays of that day
        (date(2020, 6, 11), Grade.SOUND),
        (date(2020, 6, 12), Grade.WATCH),
        (date(2022, 6, 11), Grade.WATCH),
        (date(2022, 6, 12), Grade.NEEDS),
        (date(2026, 6, 11), Grade.NEEDS),
        (date(2026, 6, 12), Grade.DNT),
    ],
)
def test_the_limits_change_on_the_birthday(on: date, grade: Grade) -> None:
    verdict = tire_age(read_date_code("2416", on), on).verdict
    assert verdict is not None
    assert verdict.grade == grade
    assert (verdict.by == By.SOON) == (grade == Grade.NEEDS)


def test_a_stricter_shop_has_its_own_limits() -> None:
    strict = AgePolicy(watch=2, needs=4, dnt=6)
    verdict = tire_age(read_date_code("3019", TODAY), TODAY, strict).verdict
    assert verdict is not None
    assert verdict.grade == Grade.DNT  # six complete years


def test_a_policy_that_falls_is_refused() -> None:
    with pytest.raises(ValueError, match="rise"):
        AgePolicy(watch=6, needs=4, dnt=10)


def test_age_on_the_first_day_is_nothing() -> None:
    assert tire_age(read_date_code("0109", TODAY), date(2009, 1, 4)).value == 0  # 49 CFR 574.5(b)(3)


def test_a_look_before_the_making_is_refused() -> None:
    with pytest.raises(Impossible, match="after"):
        tire_age(read_date_code("0109", TODAY), date(2009, 1, 3))


def test_years_and_months_are_said_in_words() -> None:
    # 28 July 2019 to 15 June 2026: six birthdays, then ten months to 28 May
    assert tire_age(read_date_code("3019", TODAY), TODAY).says == "6 years 10 months"
    assert tire_age(read_date_code("439", TODAY), TODAY).says.startswith("at least 26 years")
    # 11 May 2025, a Sunday: week 1 began on 5 January (49 CFR 574.5(b)); to 15 June 2026
    young = tire_age(read_date_code("1925", TODAY), TODAY)
    assert (young.says, young.verdict and young.verdict.says) == ("1 year 1 month", "1 year old, under 4")


def test_a_tire_without_a_date_is_not_new() -> None:
    assert (without_date().grade, without_date().by) == (Grade.NEEDS, By.SOON)


@pytest.mark.parametrize(
    ("codes", "grade"),
    [
        # more than two years apart on one axle: common practice
        (("0120", "0120"), Grade.SOUND),
        (("0120", "0122"), Grade.SOUND),  # 5 January 2020 and 2 January 2022: just inside
        (("0120", "0322"), Grade.WATCH),
        (("3019", "0124"), Grade.WATCH),
    ],
)
def test_tires_of_an_axle_made_apart(codes: tuple[str, ...], grade: Grade) -> None:
    verdict = made_apart(tuple(read_date_code(it, TODAY) for it in codes)).verdict
    assert verdict is not None
    assert verdict.grade == grade


def test_one_tire_is_not_apart() -> None:
    with pytest.raises(ValueError, match="apart"):
        made_apart((read_date_code("0120", TODAY),))


def code_of(made: date) -> DateCode:
    week = week_of(made)
    return DateCode(f"{week.week:02}{week.year % 100:02}", (week,))


made_days = st.dates(date(2001, 1, 10), date(2040, 1, 1))


@given(made_days, st.integers(7, 9000), st.integers(0, 2000))
def test_a_tire_never_gets_younger_or_better(made: date, days: int, more: int) -> None:
    code = code_of(made)
    first = tire_age(code, made + timedelta(days=days))
    later = tire_age(code, made + timedelta(days=days + more))
    assert first.verdict is not None
    assert later.verdict is not None
    assert later.value >= first.value
    assert HEAVIEST_FIRST.index(later.verdict.grade) <= HEAVIEST_FIRST.index(first.verdict.grade)


@given(made_days, made_days)
def test_apart_does_not_depend_on_the_order(one: date, other: date) -> None:
    there, back = made_apart((code_of(one), code_of(other))), made_apart((code_of(other), code_of(one)))
    assert (there.value, there.verdict) == (back.value, back.verdict)


@pytest.mark.parametrize(
    ("watch", "needs", "dnt"),
    [(0, 6, 10), (7, 6, 10), (4, 11, 10), (-1, 6, 10)],
)
def test_limits_that_fall_are_refused(watch: int, needs: int, dnt: int) -> None:
    with pytest.raises(ValueError, match="rise"):
        AgePolicy(watch, needs, dnt)


def test_a_shop_may_let_the_decade_decide() -> None:
    # week 43 of 1999 at the latest: 26 years, over any limit; only a very lax shop sees a difference
    lax = AgePolicy(watch=30, needs=40, dnt=50, three_digits=False)
    verdict = tire_age(read_date_code("439", TODAY), TODAY, lax).verdict
    assert verdict is not None
    assert verdict.grade == Grade.SOUND
    strict = tire_age(read_date_code("439", TODAY), TODAY, AgePolicy(watch=30, needs=40, dnt=50)).verdict
    assert strict is not None
    assert strict.grade == Grade.DNT


def test_the_limits_of_the_shop_are_printed_with_the_figure() -> None:
    limit = tire_age(read_date_code("3019", TODAY), TODAY, AgePolicy(3, 5, 7)).limit
    assert "watch from 3 years, needs work soon from 5, do not tow from 7" in limit


@given(made_days, st.integers(7, 9000), st.integers(1, 8), st.integers(0, 4), st.integers(0, 6))
def test_a_stricter_shop_never_grades_better(made: date, days: int, watch: int, needs: int, dnt: int) -> None:
    code, on = code_of(made), made + timedelta(days=days)
    lax = tire_age(code, on, AgePolicy(watch + 1, watch + needs + 1, watch + needs + dnt + 1)).verdict
    strict = tire_age(code, on, AgePolicy(watch, watch + needs, watch + needs + dnt)).verdict
    assert lax is not None
    assert strict is not None
    assert HEAVIEST_FIRST.index(strict.grade) <= HEAVIEST_FIRST.index(lax.grade)

"""Public holidays: the days on which federal offices are closed, year by year."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.holidays import days_kept, federal_holidays, kept_on, nth_weekday
from app.trade.intervals import Calendar, promise
from app.trade.problems import Impossible

# The days kept, as the Office of Personnel Management lists them for pay and leave (from memory).
NEW_YEAR = {2021: "01-01", 2022: "2021-12-31", 2023: "01-02", 2024: "01-01", 2025: "01-01", 2026: "01-01"}
KING = {2021: "01-18", 2022: "01-17", 2023: "01-16", 2024: "01-15", 2025: "01-20", 2026: "01-19"}
WASHINGTON = {2021: "02-15", 2022: "02-21", 2023: "02-20", 2024: "02-19", 2025: "02-17", 2026: "02-16"}
MEMORIAL = {2021: "05-31", 2022: "05-30", 2023: "05-29", 2024: "05-27", 2025: "05-26", 2026: "05-25"}
JUNETEENTH = {2021: "06-18", 2022: "06-20", 2023: "06-19", 2024: "06-19", 2025: "06-19", 2026: "06-19"}
INDEPENDENCE = {2021: "07-05", 2022: "07-04", 2023: "07-04", 2024: "07-04", 2025: "07-04", 2026: "07-03"}
LABOR = {2021: "09-06", 2022: "09-05", 2023: "09-04", 2024: "09-02", 2025: "09-01", 2026: "09-07"}
COLUMBUS = {2021: "10-11", 2022: "10-10", 2023: "10-09", 2024: "10-14", 2025: "10-13", 2026: "10-12"}
VETERANS = {2021: "11-11", 2022: "11-11", 2023: "11-10", 2024: "11-11", 2025: "11-11", 2026: "11-11"}
THANKSGIVING = {2021: "11-25", 2022: "11-24", 2023: "11-23", 2024: "11-28", 2025: "11-27", 2026: "11-26"}
CHRISTMAS = {2021: "12-24", 2022: "12-26", 2023: "12-25", 2024: "12-25", 2025: "12-25", 2026: "12-25"}
LISTED = {
    "New Year's Day": NEW_YEAR,
    "Birthday of Martin Luther King, Jr.": KING,
    "Washington's Birthday": WASHINGTON,
    "Memorial Day": MEMORIAL,
    "Juneteenth": JUNETEENTH,
    "Independence Day": INDEPENDENCE,
    "Labor Day": LABOR,
    "Columbus Day": COLUMBUS,
    "Veterans Day": VETERANS,
    "Thanksgiving Day": THANKSGIVING,
    "Christmas Day": CHRISTMAS,
}
CASES = [
    (name, year, kept if len(kept) == 10 else f"{year}-{kept}")
    for name, years in LISTED.items()
    for year, kept in years.items()
]


@pytest.mark.parametrize(("name", "year", "kept"), CASES)
def test_a_holiday_is_kept_on_the_day_that_federal_offices_close(name: str, year: int, kept: str) -> None:
    found = {each.name: each for each in federal_holidays(year).value}
    assert found[name].kept == date.fromisoformat(kept)


@pytest.mark.parametrize("year", range(2021, 2031))
def test_there_are_eleven_in_order(year: int) -> None:
    found = federal_holidays(year).value  # 5 U.S.C. 6103(a) names eleven
    assert len(found) == 11
    assert [each.day for each in found] == sorted(each.day for each in found)
    assert found[0].name == "New Year's Day"
    assert found[-1].name == "Christmas Day"


@pytest.mark.parametrize(
    ("year", "month", "weekday", "nth", "day"),
    [
        # A printed calendar
        (2026, 5, 0, -1, "2026-05-25"),
        (2027, 5, 0, -1, "2027-05-31"),
        (2026, 12, 4, -1, "2026-12-25"),
        (2026, 12, 3, -1, "2026-12-31"),
        (2028, 2, 1, -1, "2028-02-29"),
        (2026, 2, 6, -1, "2026-02-22"),
        (2026, 11, 3, 4, "2026-11-26"),
        (2029, 11, 3, 4, "2029-11-22"),
        (2026, 6, 0, 1, "2026-06-01"),
        (2026, 3, 6, 2, "2026-03-08"),  # the clocks go forward: 15 U.S.C. 260a
    ],
)
def test_a_weekday_of_a_month(year: int, month: int, weekday: int, nth: int, day: str) -> None:
    assert nth_weekday(year, month, weekday, nth) == date.fromisoformat(day)


@pytest.mark.parametrize("year", [2020, 1900, 2201])
def test_a_year_out_of_reach_is_refused(year: int) -> None:
    with pytest.raises(Impossible, match=str(year)):
        federal_holidays(year)


def test_the_list_says_name_and_day_and_leaves_states_to_the_shop() -> None:
    found = federal_holidays(2026)
    assert "2026-07-03 Independence Day" in found.says
    assert "6103" in str(found.source)
    assert "sets its own days off" in found.caution


def test_days_kept_reach_over_the_turn_of_the_year() -> None:
    # 1 January 2028 is a Saturday, kept on 31 December 2027: 5 U.S.C. 6103(b)
    assert date(2027, 12, 31) in days_kept(2027, 0) | days_kept(2027, 1)
    assert {date(2026, 5, 25), date(2027, 5, 31)} <= days_kept(2026, 1)


@pytest.mark.parametrize(
    ("start", "days", "promised"),
    [
        # Counted on a calendar: federal holidays and weekends left out
        ("2026-05-21", 2, "2026-05-26"),  # Thursday; Friday, then Memorial Day is off
        ("2026-06-18", 1, "2026-06-22"),  # Juneteenth is a Friday
        ("2026-07-01", 3, "2026-07-07"),  # Friday the 3rd is kept for Saturday the 4th
        ("2026-11-24", 3, "2026-11-30"),  # Wednesday, Friday, Monday
        ("2026-12-23", 2, "2026-12-28"),
        ("2027-12-22", 5, "2027-12-30"),  # the 24th is kept for Saturday the 25th
        ("2027-12-30", 1, "2028-01-03"),  # the 31st is kept for Saturday, 1 January
        ("2026-10-09", 1, "2026-10-13"),
    ],
)
def test_a_promise_leaves_out_the_holidays(start: str, days: int, promised: str) -> None:
    first = date.fromisoformat(start)
    calendar = Calendar(off=days_kept(first.year, 1))
    assert promise(first, days, calendar).value == date.fromisoformat(promised)


@given(st.dates(date(2021, 1, 1), date(2190, 12, 31)))
def test_a_holiday_is_never_kept_on_a_weekend_and_at_most_a_day_away(day: date) -> None:
    kept = kept_on(day)
    assert kept.weekday() < 5
    assert abs(kept - day) <= timedelta(days=1)


@given(st.integers(2021, 2200), st.integers(1, 12), st.integers(0, 6), st.integers(1, 4))
def test_the_nth_weekday_is_that_weekday_in_its_seven_days(
    year: int, month: int, weekday: int, nth: int
) -> None:
    found = nth_weekday(year, month, weekday, nth)
    assert (found.month, found.weekday()) == (month, weekday)
    assert 7 * nth - 6 <= found.day <= 7 * nth
    last = nth_weekday(year, month, weekday, -1)
    assert (last + timedelta(days=7)).month != month

"""Due by day or distance, and working days."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import HEAVIEST_FIRST, By, Grade, Source
from app.trade.intervals import (
    BEARINGS,
    Calendar,
    Due,
    Every,
    days_of_work,
    months_later,
    next_due,
    promise,
    standing,
    tenths_of_hours,
)
from app.trade.problems import Impossible

MEMORIAL_DAY, INDEPENDENCE_OBSERVED = date(2026, 5, 25), date(2026, 7, 3)  # 5 USC 6103
HOLIDAYS = Calendar(off=frozenset({MEMORIAL_DAY, INDEPENDENCE_OBSERVED}))


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        # the Gregorian calendar; where the month is too short, its last day
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 11, 25), 12, date(2027, 11, 25)),
        (date(2026, 10, 31), 1, date(2026, 11, 30)),
        (date(2026, 12, 15), 1, date(2027, 1, 15)),
    ],
)
def test_months_later(day: date, months: int, later: date) -> None:
    assert months_later(day, months) == later


@pytest.mark.parametrize(
    ("every", "done_at", "due"),
    [
        # hub service every 12 months or 12,000 miles: common practice
        (BEARINGS, "14500", Due(date(2027, 5, 8), Decimal(26500))),
        (BEARINGS, None, Due(date(2027, 5, 8), Decimal(12000))),
        (Every(months=6), "14500", Due(date(2026, 11, 8), None)),
        (Every(miles=Decimal(50)), "14500", Due(None, Decimal(14550))),
    ],
)
def test_due_again(every: Every, done_at: str | None, due: Due) -> None:
    assert next_due(date(2026, 5, 8), every, Decimal(done_at) if done_at else None).value == due


def test_whichever_comes_first_is_said() -> None:
    said = next_due(date(2026, 5, 8), BEARINGS, Decimal(14500)).says
    assert said == "on 2027-05-08 or at 26,500\u00a0miles, whichever comes first"
    assert str(Every(months=6)) == "6 months"


@pytest.mark.parametrize(
    ("months", "miles"), [(None, None), (0, None), (361, None), (None, "0"), (None, "-5"), (None, "100001")]
)
def test_what_is_no_interval_is_refused(months: int | None, miles: str | None) -> None:
    with pytest.raises(Impossible):
        Every(months, Decimal(miles) if miles else None)


def test_miles_cannot_run_backwards() -> None:
    with pytest.raises(Impossible, match="miles"):
        next_due(date(2026, 5, 8), BEARINGS, Decimal(-1))


@pytest.mark.parametrize(
    ("on", "miles", "grade"),
    [
        # due on 8 May 2027 or at 26,500 miles, whichever comes first: the meaning of the words
        (date(2027, 4, 7), "20000", Grade.SOUND),
        (date(2027, 4, 8), "20000", Grade.WATCH),  # 30 days ahead
        (date(2027, 5, 8), "26500", Grade.WATCH),  # due today is not late
        (date(2027, 5, 9), "20000", Grade.NEEDS),
        (date(2026, 6, 1), "26501", Grade.NEEDS),
        (date(2026, 6, 1), None, Grade.SOUND),
        (date(2027, 5, 9), None, Grade.NEEDS),
    ],
)
def test_where_a_due_date_stands(on: date, miles: str | None, grade: Grade) -> None:
    verdict = standing(Due(date(2027, 5, 8), Decimal(26500)), on, Decimal(miles) if miles else None)
    assert verdict.grade == grade
    assert (verdict.by == By.SOON) == (grade == Grade.NEEDS)


def test_how_late_is_said() -> None:
    due = Due(date(2027, 5, 8), Decimal(26500))
    says = standing(due, date(2027, 5, 18), Decimal(26600)).says
    assert says.endswith("10 days late, 100\u00a0miles over")


@pytest.mark.parametrize(
    ("start", "days", "calendar", "promised"),
    [
        # counted on a wall calendar of 2026
        (date(2026, 5, 20), 10, HOLIDAYS, date(2026, 6, 4)),
        (date(2026, 6, 26), 5, HOLIDAYS, date(2026, 7, 6)),
        (date(2026, 5, 20), 7, HOLIDAYS, date(2026, 6, 1)),
        (date(2026, 5, 20), 10, Calendar(), date(2026, 6, 3)),
        (date(2026, 5, 22), 1, HOLIDAYS, date(2026, 5, 26)),  # over the long weekend
        (date(2026, 5, 23), 0, HOLIDAYS, date(2026, 5, 26)),  # a Saturday: the next worked day
        (date(2026, 5, 20), 0, HOLIDAYS, date(2026, 5, 20)),
        (date(2026, 5, 20), 3, Calendar(frozenset(range(7))), date(2026, 5, 23)),
        (date(2026, 5, 20), 1, Calendar(frozenset({1})), date(2026, 5, 26)),  # Tuesdays only
    ],
)
def test_a_promised_day(start: date, days: int, calendar: Calendar, promised: date) -> None:
    assert promise(start, days, calendar).value == promised


# the eleven federal holidays of 2026 as observed: 5 USC 6103
FEDERAL_2026 = frozenset(
    date(2026, month, day)
    for month, day in (
        *((1, 1), (1, 19), (2, 16), (5, 25), (6, 19), (7, 3), (9, 7)),
        *((10, 12), (11, 11), (11, 26), (12, 25)),
    )
)


@pytest.mark.parametrize(
    ("calendar", "start", "end", "worked"),
    [
        # 2026 has 261 weekdays, 2,088 hours of 8 a day: federal pay calendar
        (Calendar(), date(2025, 12, 31), date(2026, 12, 31), 261),
        (Calendar(off=FEDERAL_2026), date(2025, 12, 31), date(2026, 12, 31), 250),
        (Calendar(off=FEDERAL_2026), date(2026, 10, 31), date(2026, 11, 30), 19),  # November
        (Calendar(), date(2026, 5, 22), date(2026, 5, 24), 0),  # a weekend
        (Calendar(), date(2026, 5, 22), date(2026, 5, 22), 0),
        (Calendar(), date(2026, 5, 22), date(2026, 5, 1), 0),
    ],
)
def test_worked_days_of_a_stretch(calendar: Calendar, start: date, end: date, worked: int) -> None:
    assert calendar.between(start, end) == worked


def test_a_calendar_without_a_worked_day_left_is_told() -> None:
    fridays = frozenset(date(2026, 5, 22) + timedelta(weeks=week) for week in range(30))
    only_fridays = Calendar(frozenset({4}), fridays)
    assert only_fridays.after(date(2026, 5, 20), 1) == date(2026, 12, 18)  # the first one not off


def test_the_days_off_on_the_way_are_named() -> None:
    said = {it.name: it.says for it in promise(date(2026, 5, 20), 10, HOLIDAYS).inputs}
    assert said["days off on the way"] == "2026-05-25"


@pytest.mark.parametrize("days", [-1, 1001])
def test_counts_that_nobody_promises(days: int) -> None:
    with pytest.raises(Impossible, match="working days"):
        promise(date(2026, 5, 20), days, HOLIDAYS)


@pytest.mark.parametrize("week", [frozenset[int](), frozenset({7}), frozenset({-1})])
def test_a_shop_works_on_a_day_of_the_week(week: frozenset[int]) -> None:
    with pytest.raises(ValueError, match="at least one"):
        Calendar(week)


@pytest.mark.parametrize(
    ("ahead", "own", "a_day", "days"),
    [
        # (9.5 + 14 + 7.5 + 11) / 6 is 7 whole days; by hand
        (["9.5", "14", "7.5"], "11", "6", 7),
        ([], "6", "6", 1),
        ([], "6.1", "6", 2),
        ([], "0", "6", 0),
    ],
)
def test_days_behind_the_work_ahead(ahead: list[str], own: str, a_day: str, days: int) -> None:
    assert days_of_work([Decimal(it) for it in ahead], Decimal(own), Decimal(a_day)).value == days


@pytest.mark.parametrize(("own", "a_day"), [("-1", "6"), ("1", "0"), ("1", "25")])
def test_hours_that_no_bench_has(own: str, a_day: str) -> None:
    with pytest.raises(Impossible):
        days_of_work([], Decimal(own), Decimal(a_day))


@pytest.mark.parametrize(
    ("minutes", "hours"),
    [
        # tenths of an hour are six minutes; the sum is rounded, not each piece: common practice
        ([9, 9, 9], "0.5"),
        ([113, 41], "2.6"),
        ([3], "0.1"),
        ([2], "0"),
        ([], "0"),
        ([60], "1"),
    ],
)
def test_minutes_become_tenths_of_hours(minutes: list[int], hours: str) -> None:
    assert tenths_of_hours(minutes).value == Decimal(hours)


def test_no_piece_of_work_lasts_less_than_nothing() -> None:
    with pytest.raises(Impossible):
        tenths_of_hours([5, -1])


days = st.dates(date(2020, 1, 1), date(2040, 1, 1))
calendars = st.builds(
    Calendar,
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(st.dates(date(2020, 1, 1), date(2020, 12, 31)), max_size=20),
)


@given(st.dates(date(2020, 1, 1), date(2020, 12, 31)), st.integers(0, 60), calendars)
def test_a_promised_day_is_worked_and_the_count_is_right(start: date, count: int, calendar: Calendar) -> None:
    found = calendar.after(start, count)
    assert calendar.works(found)
    if count:
        assert calendar.between(start, found) == count


@given(st.dates(date(2020, 1, 1), date(2020, 12, 31)), st.integers(0, 60), calendars)
def test_a_longer_job_is_never_promised_earlier(start: date, count: int, calendar: Calendar) -> None:
    assert calendar.after(start, count) <= calendar.after(start, count + 1)


@given(days, st.integers(0, 240), st.integers(0, 240))
def test_more_months_are_never_earlier(day: date, one: int, more: int) -> None:
    assert months_later(day, one) <= months_later(day, one + more)
    assert months_later(day, 12).year == day.year + 1


@given(days, st.integers(1, 60), st.integers(0, 900), st.integers(0, 300))
def test_time_never_mends_a_due_date(done: date, months: int, later: int, more: int) -> None:
    due = next_due(done, Every(months=months)).value
    first = standing(due, done + timedelta(days=later)).grade
    then = standing(due, done + timedelta(days=later + more)).grade
    assert HEAVIEST_FIRST.index(then) <= HEAVIEST_FIRST.index(first)


@given(st.lists(st.integers(0, 600), max_size=6))
def test_rounded_hours_are_within_three_minutes(minutes: list[int]) -> None:
    assert abs(tenths_of_hours(minutes).value * 60 - sum(minutes)) <= 3


@pytest.mark.parametrize(
    ("week", "start", "count", "day"),
    [
        # a shop open on Saturdays, or closed on Mondays: counted on a wall calendar of 2026
        (range(6), date(2026, 5, 22), 1, date(2026, 5, 23)),
        (range(6), date(2026, 5, 22), 2, date(2026, 5, 26)),
        (range(1, 6), date(2026, 5, 23), 1, date(2026, 5, 26)),
        (range(1, 6), date(2026, 5, 16), 5, date(2026, 5, 23)),
    ],
)
def test_each_shop_has_its_own_week(week: range, start: date, count: int, day: date) -> None:
    assert Calendar(frozenset(week), frozenset({MEMORIAL_DAY})).after(start, count) == day


def test_the_owner_s_book_is_named_where_it_rules() -> None:
    book = next_due(date(2026, 5, 8), Every(months=6), source=Source("axle book", "page 12"))
    assert str(book.source) == "axle book page 12"
    assert "book" in book.caution


@given(
    st.integers(0, 100_000).map(Decimal),
    st.integers(1, 20_000).map(Decimal),
    st.integers(0, 40_000).map(Decimal),
)
def test_one_mile_over_is_over(done: Decimal, every: Decimal, run: Decimal) -> None:
    due = next_due(date(2026, 5, 8), Every(miles=every), done).value
    late = standing(due, date(2026, 5, 8), done + run).grade == Grade.NEEDS
    assert late == (run > every)


@given(st.lists(st.integers(0, 80).map(lambda it: Decimal(it) / 10), max_size=5), st.integers(1, 100))
def test_work_ahead_never_shortens_the_wait(ahead: list[Decimal], tenths: int) -> None:
    own = Decimal(tenths) / 10
    alone, behind = days_of_work([], own, Decimal(6)).value, days_of_work(ahead, own, Decimal(6)).value
    assert 1 <= alone <= behind
    assert (behind - 1) * 6 < sum(ahead) + own <= behind * 6


def test_a_negative_wait_is_refused() -> None:
    with pytest.raises(Impossible, match="hours"):
        days_of_work([Decimal(-1)], Decimal(1), Decimal(6))

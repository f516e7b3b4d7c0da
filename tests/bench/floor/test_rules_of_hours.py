"""Hours on a job: their ends, the likely hour of who forgot, two on one job, the change of the clocks."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import combinations
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bench.floor import rules
from app.bench.floor.rules import Span
from app.trade.problems import Refused
from app.trade.typed import Texts

DAY = datetime(2026, 5, 4, tzinfo=UTC)
NOW = DAY.replace(hour=20)
CHICAGO = ZoneInfo("America/Chicago")
MINUTES = st.integers(0, 20 * 60 - 1)


def at(hour: int, minute: int = 0, second: int = 0) -> datetime:
    """A time of that day."""
    return DAY.replace(hour=hour, minute=minute, second=second)


def kept(span: Span, others: Sequence[Span] = (), now: datetime = NOW) -> bool:
    """Whether hours are taken."""
    try:
        rules.check_span(span, others, now)
    except Refused:
        return False
    return True


# How long


@pytest.mark.parametrize(
    ("minutes", "hours"),
    # By hand: minutes over 60, an exact half to the even hundredth (3 min are 0.05 h)
    [
        (0, "0.00"),
        (3, "0.05"),
        (6, "0.10"),
        (20, "0.33"),
        (40, "0.67"),
        (60, "1.00"),
        (90, "1.50"),
        (479, "7.98"),
    ],
)
def test_minutes_are_hundredths_of_an_hour(minutes: int, hours: str) -> None:
    assert rules.hours(at(8), at(8) + timedelta(minutes=minutes)) == Decimal(hours)


def test_hours_are_counted_by_instants_where_the_clocks_change() -> None:
    """15 U.S.C. 260a: on 8 March 2026 two o'clock is three; from one to four are two hours on the floor."""
    begun, ended = (datetime(2026, 3, 8, hour, tzinfo=CHICAGO).astimezone(UTC) for hour in (1, 4))
    assert rules.hours(begun, ended) == Decimal("2.00")
    begun, ended = (datetime(2026, 11, 1, hour, tzinfo=CHICAGO).astimezone(UTC) for hour in (0, 4))
    assert rules.hours(begun, ended) == Decimal("5.00")  # one o'clock comes twice


# What cannot be


@pytest.mark.parametrize(
    ("begun", "ended", "taken"),
    [
        (at(8), at(9), True),
        (at(8), at(8), False),  # no time at all
        (at(9), at(8), False),  # backwards
        (at(8), at(20), True),  # to this very moment
        (at(8), at(20, 1), False),  # a minute still to come
        (at(4), at(20), True),  # sixteen hours
        (at(3, 59), at(20), False),  # a minute more is a slip
        (at(8), None, True),  # still open
        (at(20), None, False),  # open since now: nothing yet
    ],
)
def test_ends_of_hours(begun: datetime, ended: datetime | None, taken: bool) -> None:
    assert kept(Span(begun, ended)) is taken


@pytest.mark.parametrize(
    ("begun", "ended", "taken"),
    [
        (at(8), at(10), True),  # up to the beginning of the other
        (at(12), at(13), True),  # from its end on
        (at(8), at(10, 1), False),
        (at(11, 59), at(13), False),
        (at(10), at(12), False),  # the same hours
        (at(10, 30), at(11), False),  # inside
        (at(9), at(13), False),  # around
    ],
)
def test_hours_of_one_person_lie_beside_each_other(begun: datetime, ended: datetime, taken: bool) -> None:
    assert kept(Span(begun, ended), [Span(at(10), at(12))]) is taken


def test_open_hours_reach_to_now() -> None:
    running = [Span(at(15), None)]
    assert kept(Span(at(14), at(15)), running)
    assert not kept(Span(at(14), at(15, 1)), running)
    assert not kept(Span(at(18), at(19)), running)


@given(st.lists(st.tuples(MINUTES, st.integers(1, 240)), min_size=1, max_size=8))
def test_hours_taken_one_by_one_never_count_a_minute_twice(typed: list[tuple[int, int]]) -> None:
    """Whatever is typed: what was taken holds no minute twice, counted minute by minute."""
    taken: list[Span] = []
    for begun, long in typed:
        span = Span(DAY + timedelta(minutes=begun), DAY + timedelta(minutes=begun + long))
        if kept(span, taken):
            taken.append(span)
    minutes = [minute for span in taken for minute in minutes_of(span)]
    assert len(minutes) == len(set(minutes))
    assert all(minute < 20 * 60 for minute in minutes)


def minutes_of(span: Span) -> range:
    """The minutes of the day that hours cover."""
    assert span.ended is not None
    return range(*(int((each - DAY).total_seconds() // 60) for each in (span.begun, span.ended)))


def test_two_people_on_one_job_each_have_their_own_hours() -> None:
    """Hours are compared with those of the same person: a helper at the same time is no overlap."""
    both = [Span(at(8), at(10)), Span(at(9), at(11))]
    assert not kept(both[0], [both[1]])  # one person twice
    assert all(kept(span) for span in both)  # two people
    assert sum(rules.hours(each.begun, each.ended or NOW) for each in both) == Decimal("4.00")


# Who forgot


@pytest.mark.parametrize(
    ("begun", "last", "likely"),
    # Common practice: the quarter hour after the last thing kept that day; else closing at five
    [
        (at(8), at(14, 7), at(14, 15)),
        (at(8), at(14, 15), at(14, 15)),
        (at(8), at(14, 15, 1), at(14, 30)),
        (at(8), at(14, 59, 59), at(15)),
        (at(8), at(23, 50), DAY + timedelta(days=1)),
        (at(8), None, at(17)),
        (at(8), at(7), at(17)),  # kept before the hours began: it tells nothing
        (at(8), at(8), at(17)),
        (at(17), None, at(18)),  # begun at closing: an hour
        (at(18, 10), None, at(19, 15)),
    ],
)
def test_the_likely_end(begun: datetime, last: datetime | None, likely: datetime) -> None:
    assert rules.likely_end(begun, last) == likely


@given(MINUTES, st.none() | MINUTES)
def test_the_likely_end_is_a_quarter_after_the_beginning_and_the_last_thing(
    begun: int, last: int | None
) -> None:
    first = DAY + timedelta(minutes=begun)
    seen = None if last is None else DAY + timedelta(minutes=last)
    likely = rules.likely_end(first, seen)
    assert likely > first
    assert likely.minute % 15 == 0
    assert (likely.second, likely.microsecond) == (0, 0)
    if seen is not None and seen > first:
        assert timedelta(0) <= likely - seen < timedelta(minutes=15)


@pytest.mark.parametrize(
    ("begun", "today", "forgot"),
    [
        (date(2026, 5, 4), date(2026, 5, 4), False),
        (date(2026, 5, 4), date(2026, 5, 5), True),
        (date(2026, 12, 31), date(2027, 1, 1), True),
        (date(2026, 5, 5), date(2026, 5, 4), False),
    ],
)
def test_hours_of_another_day_were_forgotten(begun: date, today: date, forgot: bool) -> None:
    assert rules.forgotten(begun, today) is forgot


# What a form says


@pytest.mark.parametrize("hour", ["0:00", "00:00", "8:05", "08:05", "23:59"])
def test_an_hour_is_read(hour: str) -> None:
    found = rules.read_times(Texts({"ended": hour}), correcting=False)
    assert f"{found.ended:%H:%M}" == hour.zfill(5)


@pytest.mark.parametrize(
    "hour",
    ["24:00", "8:60", "8", "8:5", "8:005", "-1:00", "eight", "8.30", "٨:00", "1e1:00", " : ", "008:00"],
)
def test_what_is_no_hour_is_refused_beside_its_field(hour: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_times(Texts({"ended": hour}), correcting=False)
    (problem,) = refused.value.problems
    assert problem.field == "ended"
    assert "16:30" in problem.accepts


def test_both_hours_and_the_reason_are_asked_for_at_once() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_times(Texts({}), correcting=True)
    assert {each.field for each in refused.value.problems} == {"begun", "ended", "reason"}


# Hold points


PEOPLE = (1, 2, 3)


@pytest.mark.parametrize("workers", [list(some) for many in range(4) for some in combinations(PEOPLE, many)])
@pytest.mark.parametrize("signer", PEOPLE)
def test_a_second_person_signs_where_there_is_one(signer: int, workers: list[int]) -> None:
    rules.check_signer(signer, workers, several=False)  # alone in the shop
    if signer in workers:
        with pytest.raises(Refused, match="You worked on this job"):
            rules.check_signer(signer, workers, several=True)
    else:
        rules.check_signer(signer, workers, several=True)

"""What the floor decides: hours to the hundredth, the likely hour, impossible hours, what a pause says."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bench.floor.rules import (
    PausedFor,
    Span,
    check_signer,
    check_span,
    forgotten,
    hours,
    likely_end,
    pause_said,
    read_pause,
    read_times,
)
from app.trade.problems import Refused
from app.trade.typed import Texts

EIGHT = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


def at(hour: int, minute: int = 0) -> datetime:
    """An instant of that day."""
    return EIGHT.replace(hour=hour, minute=minute)


@pytest.mark.parametrize(
    ("minutes", "expected"),
    # a sixtieth of an hour a minute, half a hundredth to the even one
    [(6, "0.10"), (15, "0.25"), (20, "0.33"), (40, "0.67"), (90, "1.50"), (480, "8.00"), (0, "0.00")],
)
def test_minutes_become_hours_to_a_hundredth(minutes: int, expected: str) -> None:
    assert hours(EIGHT, EIGHT + timedelta(minutes=minutes)) == Decimal(expected)


@given(minutes=st.lists(st.integers(min_value=1, max_value=400), min_size=1, max_size=6))
def test_hours_of_parts_come_to_the_hours_of_the_whole(minutes: list[int]) -> None:
    parts = sum(hours(EIGHT, EIGHT + timedelta(minutes=each)) for each in minutes)
    whole = hours(EIGHT, EIGHT + timedelta(minutes=sum(minutes)))
    assert abs(parts - whole) <= Decimal("0.005") * (len(minutes) + 1)  # half a hundredth each


@pytest.mark.parametrize(
    ("last", "likely"),
    [
        (at(14, 52), at(15)),  # the quarter after the last thing kept
        (at(15), at(15)),
        (at(16, 1), at(16, 15)),
        (None, at(17)),  # closing, where nothing tells: common practice
        (at(7), at(17)),  # a trace from before tells nothing
    ],
)
def test_the_likely_hour_follows_the_last_trace_of_that_day(last: datetime | None, likely: datetime) -> None:
    assert likely_end(EIGHT, last) == likely


def test_who_began_after_closing_is_given_an_hour() -> None:
    assert likely_end(at(18, 10), None) == at(19, 15)


@given(begun=st.integers(0, 22), last=st.none() | st.integers(0, 23))
def test_the_likely_hour_is_after_the_beginning(begun: int, last: int | None) -> None:
    seen = None if last is None else at(last, 7)
    assert likely_end(at(begun, 3), seen) > at(begun, 3)


def test_open_hours_of_another_day_are_forgotten() -> None:
    assert forgotten(date(2026, 5, 4), date(2026, 5, 5))
    assert not forgotten(date(2026, 5, 4), date(2026, 5, 4))


@pytest.mark.parametrize(
    ("text", "hour"),
    [("8:15", time(8, 15)), ("08:15", time(8, 15)), ("0:00", time(0)), ("23:59", time(23, 59))],
)
def test_an_hour_is_read_as_it_is_written(text: str, hour: time) -> None:
    assert read_times(Texts({"ended": text}), correcting=False).ended == hour


@pytest.mark.parametrize(
    "text", ["", "24:00", "8", "8:5", "8:60", "half past", "８:15", "-1:00", "8:15 pm", ":15"]
)
def test_what_is_no_hour_is_told_with_an_example(text: str) -> None:
    with pytest.raises(Refused) as refused:
        read_times(Texts({"ended": text}), correcting=False)
    (problem,) = refused.value.problems
    assert (problem.field, "16:30" in problem.accepts) == ("ended", True)


def test_a_lead_who_corrects_says_why() -> None:
    form = {"begun": "08:00", "ended": "12:00"}
    with pytest.raises(Refused) as refused:
        read_times(Texts(form), correcting=True)
    assert [each.field for each in refused.value.problems] == ["reason"]
    said = read_times(Texts({**form, "reason": "Was at the parts counter"}), correcting=True)
    assert said.reason == "Was at the parts counter"
    own = read_times(Texts({**form, "reason": "Was at the parts counter"}), correcting=False)
    assert (own.begun, own.reason) == (None, "")  # neither is asked of who says their own end


@pytest.mark.parametrize(
    ("span", "field"),
    [
        (Span(at(9), at(9)), "ended"),
        (Span(at(9), at(8, 59)), "ended"),
        (Span(at(9), at(19)), "ended"),  # still to come
        (Span(at(11), at(13)), "begun"),  # over 10 to 12
        (Span(at(9), at(10, 1)), "begun"),
        (Span(at(9), at(12, 30)), "begun"),  # around it
    ],
)
def test_hours_that_cannot_be_are_refused(span: Span, field: str) -> None:
    with pytest.raises(Refused) as refused:
        check_span(span, [Span(at(10), at(12))], at(18))
    assert [each.field for each in refused.value.problems] == [field]


@pytest.mark.parametrize("span", [Span(at(9), at(10)), Span(at(12), at(13)), Span(at(17), at(18))])
def test_hours_beside_each_other_stand(span: Span) -> None:
    check_span(span, [Span(at(10), at(12))], at(18))


def test_an_open_stint_reaches_to_now() -> None:
    with pytest.raises(Refused, match="lies over"):
        check_span(Span(at(13), at(14)), [Span(at(12), None)], at(18))


def test_a_stint_longer_than_a_day_of_work_is_a_slip() -> None:
    with pytest.raises(Refused, match="16 hours"):
        check_span(Span(at(0), at(16, 1)), [], at(18))


@pytest.mark.parametrize(
    ("waits_for", "note", "said"),
    [
        ("part", "hub cap, Tuesday", "a part: hub cap, Tuesday"),
        ("part", "", "a part"),
        ("owner", "", "the owner"),
        ("outside", "welder", "outside work: welder"),
        ("other", "paint dries", "paint dries"),
    ],
)
def test_a_pause_says_what_the_unit_waits_for(waits_for: str, note: str, said: str) -> None:
    pause = read_pause(Texts({"paused_for": waits_for, "paused_note": note}))
    assert pause_said(pause.waits_for, pause.note) == said


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({}, "paused_for"),
        ({"paused_for": "rain"}, "paused_for"),
        ({"paused_for": "other"}, "paused_note"),
        ({"paused_for": "part", "paused_note": "x" * 121}, "paused_note"),
    ],
)
def test_a_pause_without_its_reason_is_refused(form: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        read_pause(Texts(form))
    assert [each.field for each in refused.value.problems] == [field]


def test_every_reason_has_its_word() -> None:
    assert {each.word for each in PausedFor} == {"a part", "the owner", "outside work", ""}


def test_who_worked_on_it_is_no_second_person_unless_alone() -> None:
    with pytest.raises(Refused):
        check_signer(3, [1, 3], several=True)
    check_signer(3, [1, 3], several=False)
    check_signer(2, [1, 3], several=True)

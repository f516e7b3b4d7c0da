"""Dates, times and money as people read them."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.ground.words import local, moment, money
from app.trade.days import day, short_day

ZONES = sorted(available_timezones() - {"localtime", "posixrules"})


def test_a_day_is_written_out() -> None:
    assert day(date(2026, 5, 4)) == "4 May 2026"
    assert short_day(date(2026, 11, 30)) == "30 Nov"
    assert day(None) == ""
    assert short_day(None) == ""


@pytest.mark.parametrize(
    ("utc", "zone", "expected"),
    [
        # US law: 15 USC 260a, summer time from 2 a.m. on the second Sunday of March
        (datetime(2026, 3, 8, 6, 59, tzinfo=UTC), "America/New_York", "8 March 2026, 1:59"),
        (datetime(2026, 3, 8, 7, 0, tzinfo=UTC), "America/New_York", "8 March 2026, 3:00"),
        (datetime(2026, 11, 1, 5, 59, tzinfo=UTC), "America/New_York", "1 November 2026, 1:59"),
        (datetime(2026, 11, 1, 6, 0, tzinfo=UTC), "America/New_York", "1 November 2026, 1:00"),
        (datetime(2026, 5, 4, 23, 30, tzinfo=UTC), "Europe/Berlin", "5 May 2026, 1:30"),
        (datetime(2038, 1, 19, 3, 14, 8, tzinfo=UTC), "UTC", "19 January 2038, 3:14"),
    ],
)
def test_an_instant_is_told_by_the_shops_clock(utc: datetime, zone: str, expected: str) -> None:
    assert moment(utc, zone) == expected


def test_no_instant_is_nothing() -> None:
    assert moment(None, "UTC") == ""


@example(2_172_718_800, "US/East-Indiana")
@given(st.integers(631_152_000, 3_786_912_000), st.sampled_from(ZONES))
def test_local_time_is_the_same_instant_in_every_zone(seconds: int, zone: str) -> None:
    """Back in UTC: an hour that comes twice never equals one of another zone (PEP 495)."""
    instant = datetime.fromtimestamp(seconds, UTC)
    assert local(instant, zone).astimezone(UTC) == instant
    assert local(instant, zone).tzinfo == ZoneInfo(zone)


@pytest.mark.parametrize(
    ("minor", "printed"),
    [
        (0, "0.00"),
        (5, "0.05"),
        (-5, "-0.05"),
        (130539, "1,305.39"),
        (100_000_000, "1,000,000.00"),
        (-130539, "-1,305.39"),
    ],
)
def test_money_is_printed_with_two_places_and_its_thousands(minor: int, printed: str) -> None:
    assert money(minor) == printed


@given(st.integers(-(10**15), 10**15))
def test_printed_money_reads_back_to_the_cent(minor: int) -> None:
    assert int(money(minor).replace(",", "").replace(".", "")) == minor

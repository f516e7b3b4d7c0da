"""How much work fits into the working days: counted by hand, and the same back and forth."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.canvas.season import REACH, Season, season
from app.trade.intervals import Calendar

FRIDAY = date(2026, 5, 29)  # the next working day is Monday, 1 June
WEEK = Calendar()
HALF_OF_JUNE = season(FRIDAY, WEEK, frozenset({6}), 0.5)


def test_without_busy_months_a_day_does_a_day() -> None:
    assert season(FRIDAY, WEEK, frozenset(), 0.5) == season(FRIDAY, WEEK, frozenset({6}), 1) == Season()
    assert Season().after(2.5, 3) == 5.5


@pytest.mark.parametrize(
    ("begun", "work", "after"),
    [
        (0, 0, 0),
        (0, 1, 2),  # a full day is two of June
        (0, 11, 22),  # June 2026 has 22 working days: 11 full ones
        (0, 13, 24),  # and two of July
        (21, 1, 22.5),  # half a day of June, half a day of July
        (30, 4, 34),  # July is not busy
        (1.5, 0.25, 2),
    ],
)
def test_a_busy_day_does_its_share(begun: float, work: float, after: float) -> None:
    assert HALF_OF_JUNE.after(begun, work) == pytest.approx(after)


def test_a_day_off_does_nothing() -> None:
    off = Calendar(off=frozenset({date(2026, 6, 1)}))
    # Without the 1st June has 21 working days, 10.5 full ones; the rest is done in half a day of July.
    assert season(FRIDAY, off, frozenset({6}), 0.5).after(0, 11) == pytest.approx(21.5)


def test_beyond_its_reach_days_are_full() -> None:
    always = season(FRIDAY, WEEK, frozenset(range(1, 13)), 0.5)
    assert always.after(0, REACH / 2) == pytest.approx(REACH)
    assert always.after(0, REACH / 2 + 7) == pytest.approx(REACH + 7)
    assert always.after(REACH + 3, 2) == pytest.approx(REACH + 5)


@given(st.floats(0, 40), st.floats(0, 20), st.floats(0, 20))
def test_work_in_two_parts_takes_as_long_as_in_one(begun: float, one: float, other: float) -> None:
    parts = HALF_OF_JUNE.after(HALF_OF_JUNE.after(begun, one), other)
    assert parts == pytest.approx(HALF_OF_JUNE.after(begun, one + other), abs=1e-6)

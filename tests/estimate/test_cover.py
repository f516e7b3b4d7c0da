"""Whether a yes still covers a work: the margin by local law, the owner's limit, what was taken off."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.estimate.cover import GONE, Bounds, Yes, lapses
from app.trade.money import Money, Tolerance

NONE = Bounds(Tolerance())
# The thresholds that laws set, beside the agreed amount (minor units) and the most that may be added to it
FLORIDA = Tolerance(Money(1000), Decimal(10), greater=True, cap=Money(5000))  # Fla. Stat. 559.909
MICHIGAN = Tolerance(Money(1000), Decimal(10))  # MCL 257.1301 ff.: 10 dollars or 10 %, whichever is less
WASHINGTON = Tolerance(percent=Decimal(10), greater=True)  # RCW 46.71.025: 110 % of the estimate
CALIFORNIA = Tolerance()  # Bus. & Prof. Code 9884.9: any excess


@pytest.mark.parametrize(
    ("law", "agreed", "most"),
    [
        (FLORIDA, 8000, 1000),
        (FLORIDA, 30000, 3000),
        (FLORIDA, 70000, 5000),
        (MICHIGAN, 8000, 800),
        (MICHIGAN, 30000, 1000),
        (MICHIGAN, 70000, 1000),
        (WASHINGTON, 8000, 800),
        (WASHINGTON, 30000, 3000),
        (WASHINGTON, 70000, 7000),
        (CALIFORNIA, 8000, 0),
        (CALIFORNIA, 70000, 0),
    ],
)
def test_work_may_rise_up_to_what_the_law_says_and_not_a_cent_more(
    law: Tolerance, agreed: int, most: int
) -> None:
    assert lapses([Yes(1, agreed, agreed + most)], Bounds(law)) == {}
    over = lapses([Yes(1, agreed, agreed + most + 1)], Bounds(law))
    assert set(over) == {1}
    assert f"{Money(most)} is the most without asking" in over[1]


def test_what_did_not_rise_is_covered() -> None:
    assert lapses([Yes(1, 5000, 5000), Yes(2, 5000, 4000)], NONE) == {}


def test_one_work_does_not_pay_for_another() -> None:
    # 10.00 less here is no leave to take 10.00 more there
    assert set(lapses([Yes(1, 5000, 4000), Yes(2, 5000, 6000)], NONE)) == {2}


def test_what_rose_is_added_up_against_one_margin() -> None:
    each = Bounds(Tolerance(Money(1000), Decimal(100)))
    assert lapses([Yes(1, 5000, 5600)], each) == {}
    assert set(lapses([Yes(1, 5000, 5600), Yes(2, 5000, 5600), Yes(3, 5000, 5000)], each)) == {1, 2}


def test_work_taken_off_is_covered_no_longer_and_lends_its_margin_to_nobody() -> None:
    ten = Bounds(Tolerance(Money(100_000), Decimal(10)))
    said = [
        Yes(1, 90_000, None),
        Yes(2, 10_000, 11_001),
    ]  # 10 % of 100.00 is 10.00, of 1,000.00 would be 100.00
    assert lapses(said, ten) == {
        1: GONE,
        2: "It rose by 10.01; all that rose is 10.01, and 10.00 is the most without asking",
    }


def test_the_owners_limit_holds_also_within_the_margin() -> None:
    wide = Bounds(Tolerance(Money(100_000), Decimal(100)), limit=10_500)
    assert lapses([Yes(1, 10_000, 10_500)], wide) == {}
    assert lapses([Yes(1, 10_000, 10_501)], wide) == {
        1: "It rose by 5.01; the work comes to 105.01, and the owner said at most 105.00"
    }


@given(st.lists(st.tuples(st.integers(0, 100_000), st.none() | st.integers(0, 100_000)), max_size=6))
def test_without_any_margin_exactly_what_rose_or_went_is_asked_anew(
    pairs: list[tuple[int, int | None]],
) -> None:
    said = [Yes(key, agreed, now) for key, (agreed, now) in enumerate(pairs)]
    asked = {key for key, (agreed, now) in enumerate(pairs) if now is None or now > agreed}
    assert set(lapses(said, NONE)) == asked

"""Triangular stages against their textbook formulas, and draws against these."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.stages import DRAWS, Stage, drawn, fixed, share_of
from app.trade.problems import Impossible


def stage(shortest: str, likely: str, longest: str) -> Stage:
    return Stage("cloth", Decimal(shortest), Decimal(likely), Decimal(longest))


TENT = [
    stage("0.5", "1", "2"),
    stage("5", "10", "21"),
    stage("0.5", "1", "1.5"),
    stage("3", "4", "7"),
    stage("0.5", "1", "3"),
]


@pytest.mark.parametrize(
    ("share", "days"),
    [
        # Textbook: a + sqrt(p (b - a)(m - a)) up to the top, b - sqrt((1 - p)(b - a)(b - m)) after it,
        # for (5, 10, 21): 5 + sqrt(0.1 * 80), 21 - sqrt(0.5 * 176), 21 - sqrt(0.2 * 176).
        ("0.1", "7.828"),
        ("0.5", "11.619"),
        ("0.8", "15.067"),
        ("0", "5"),
        ("1", "21"),
    ],
)
def test_shares_of_a_triangle(share: str, days: str) -> None:
    assert round(stage("5", "10", "21").within(Decimal(share)), 3) == Decimal(days)


def test_the_mean_of_a_triangle_is_a_third_of_its_three_figures() -> None:
    assert stage("5", "10", "21").mean == 12
    assert fixed("cloth", Decimal(4)).mean == 4
    assert fixed("cloth", Decimal(4)).within(Decimal("0.8")) == 4


@pytest.mark.parametrize("days", [("2", "1", "3"), ("1", "3", "2"), ("-1", "1", "2")])
def test_days_out_of_order_are_refused(days: tuple[str, str, str]) -> None:
    with pytest.raises(Impossible, match="no days for: cloth"):
        stage(*days)


def test_a_very_long_end_is_asked_about() -> None:
    assert not stage("1", "2", "10").problems
    (problem,) = stage("1", "2", "10.5").problems
    assert problem.ask
    assert problem.field == "cloth"


def test_draws_have_the_mean_and_spread_of_the_sum() -> None:
    lengths = drawn(TENT, sum)
    mean = sum(lengths) / DRAWS
    spread = math.sqrt(sum((it - mean) ** 2 for it in lengths) / DRAWS)
    # Textbook: means add up to 20.333; variance (a² + m² + b² - am - ab - mb) / 18, added up, is 3.510².
    assert mean == pytest.approx(20.333, abs=0.1)
    assert spread == pytest.approx(3.510, abs=0.1)
    # The sum is skewed to the right: its 80 % is over the normal distribution's 20.333 + 0.8416 * 3.510.
    assert float(share_of(lengths, 0.8)) == pytest.approx(23.48, abs=0.15)


def test_draws_of_one_stage_follow_its_own_shares() -> None:
    lengths = drawn(TENT[1:2], sum)
    for share in (0.1, 0.5, 0.8):
        assert float(share_of(lengths, share)) == pytest.approx(
            float(TENT[1].within(Decimal(str(share)))), abs=0.15
        )


def test_the_same_seed_draws_the_same() -> None:
    assert drawn(TENT, sum, seed=4) == drawn(TENT, sum, seed=4)
    assert drawn(TENT, sum, seed=4) != drawn(TENT, sum, seed=5)


def test_shares_count_draws_from_the_shortest() -> None:
    assert share_of([1.0, 2.0, 3.0, 4.0, 5.0], 0.8) == 4
    assert share_of([1.0, 2.0, 3.0, 4.0, 5.0], 0.81) == 5
    assert share_of([7.0], 0.5) == 7


@settings(deadline=None)
@given(st.integers(0, 40), st.integers(0, 40), st.integers(1, 40), st.integers(1, 99))
def test_shares_turn_back_into_themselves(low: int, up: int, more: int, percent: int) -> None:
    """The distribution function of a triangle, written out, gives the share back (textbook)."""
    a, m, b = low, low + up, low + up + more
    x = float(stage(str(a), str(m), str(b)).within(Decimal(percent) / 100))
    share = (x - a) ** 2 / ((b - a) * (m - a)) if x < m else 1 - (b - x) ** 2 / ((b - a) * (b - m))
    assert share == pytest.approx(percent / 100, abs=1e-6)


@settings(deadline=None)
@given(st.integers(0, 40), st.integers(0, 40), st.integers(0, 40))
def test_a_later_share_never_ends_earlier(low: int, up: int, more: int) -> None:
    it = stage(str(low), str(low + up), str(low + up + more))
    days = [it.within(Decimal(percent) / 100) for percent in range(0, 101, 5)]
    assert days == sorted(days)
    assert it.shortest - Decimal("0.000001") <= days[0] <= days[-1] <= it.longest + Decimal("0.000001")


def test_stages_side_by_side_end_with_the_longer() -> None:
    """By hand: of two stages that run together, the later one decides; fixed ones show it plainly."""
    lengths = drawn([fixed("cloth", Decimal(4)), fixed("table", Decimal(7))], max)
    assert set(lengths) == {7.0}

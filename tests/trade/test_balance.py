import itertools
import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.balance import (
    Box,
    excess_weight,
    fit_weights,
    near_opposite,
    question_weight,
    residual_verdict,
    usual_limit,
)
from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.vectors import NOTHING, Vector, total

QUARTER = Decimal("0.25")
amounts = st.decimals(0, 8, places=2)
angles = st.decimals(0, 360, places=1)
vectors = st.builds(Vector, amounts, angles)


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


def near(found: Vector, amount: str, angle: str, within: float = 0.001) -> bool:
    return abs(found.number - at(amount, angle).number) <= within


# Weights from the box


@pytest.mark.parametrize(
    ("need", "put_on", "left"),
    [
        ("1.37", "1.25", "0.12"),  # arithmetic: 1.50 would leave 0.13
        ("1.38", "1.50", "0.12"),  # arithmetic: 1.25 would leave 0.13
        ("1.00", "1.00", "0"),
        ("0.20", "0.25", "0.05"),
        ("0.12", None, "0.12"),  # under half a step nothing is fitted: common practice
        ("0.125", None, "0.125"),  # a tie goes to the lighter: common practice
        ("0.375", "0.25", "0.125"),
        ("0", None, "0"),
    ],
)
def test_one_weight_anywhere_is_the_nearest_step(need: str, put_on: str | None, left: str) -> None:
    fit = fit_weights(at(need, "215"), Box(QUARTER, "oz")).value
    assert fit.weights == ((at(put_on, "35"),) if put_on else ())
    assert abs(fit.residual.amount - Decimal(left)) < Decimal("1e-8")


def test_two_places_leave_less_than_one() -> None:
    # by vectors: 0.75 at 20 and 0.75 at 50 sum to 2 x 0.75 x cos 15 = 1.4489 at 35; 1.4489 - 1.37 = 0.0789
    positions = tuple(map(Decimal, (20, 30, 40, 50)))
    fit = fit_weights(at("1.37", "215"), Box(QUARTER, "oz", positions)).value
    assert fit.weights == (at("0.75", "20"), at("0.75", "50"))
    assert abs(fit.residual.amount - Decimal("0.0789")) < Decimal("0.00005")


def test_gram_weights_come_in_fives() -> None:
    fit = fit_weights(at("38", "10"), Box(Decimal(5), "g")).value
    assert fit.weights == (at("40", "190"),)  # arithmetic: 40 is nearer than 35


def test_where_no_place_helps_nothing_is_fitted() -> None:
    # a weight on the heavy side only adds to it
    fit = fit_weights(at("2", "90"), Box(QUARTER, "oz", (Decimal(80), Decimal(100)))).value
    assert fit.weights == ()
    assert fit.residual == at("2", "90")


@given(vectors)
def test_anywhere_leaves_at_most_half_a_step(unbalance: Vector) -> None:
    residual = fit_weights(unbalance, Box(QUARTER, "oz")).value.residual
    assert residual.amount <= Decimal("0.125") + Decimal("1e-8")


@given(vectors, st.lists(angles, max_size=3))
def test_a_place_just_opposite_leaves_at_most_half_a_step(unbalance: Vector, others: list[Decimal]) -> None:
    box = Box(QUARTER, "oz", (unbalance.opposite.angle, *others))
    assert fit_weights(unbalance, box).value.residual.amount <= Decimal("0.125") + Decimal("1e-8")


@given(st.builds(Vector, st.decimals("0.13", 1, places=2), angles), st.lists(angles, min_size=2, max_size=3))
def test_no_other_set_of_weights_leaves_less(unbalance: Vector, places: list[Decimal]) -> None:
    """Held against every pair of piles up to twice the need, each one tried."""
    left = float(fit_weights(unbalance, Box(QUARTER, "oz", tuple(places))).value.residual.amount)
    counts = range(math.ceil(8 * unbalance.amount) + 1)
    for one, other in itertools.combinations([Vector(QUARTER, angle).number for angle in places], 2):
        for here, there in itertools.product(counts, counts):
            assert left <= abs(unbalance.number + here * one + there * other) + 1e-8


@given(vectors, st.lists(angles, min_size=1, max_size=4))
def test_putting_the_weights_on_leaves_what_was_said(unbalance: Vector, places: list[Decimal]) -> None:
    fit = fit_weights(unbalance, Box(QUARTER, "oz", tuple(places))).value
    assert total([unbalance, *fit.weights]) == fit.residual
    assert fit.residual.amount <= unbalance.amount
    assert all(
        weight.amount % QUARTER == 0 and weight.angle in {place % 360 for place in places}
        for weight in fit.weights
    )


def test_three_places_when_asked_for() -> None:
    box = Box(QUARTER, "oz", tuple(map(Decimal, (150, 180, 210))), places=3)
    # 0.25 at each: 0.25 + 2 x 0.25 x cos 30 = 0.6830, straight against the valve (vectors)
    fit = fit_weights(at("0.683", "0"), box).value
    assert len(fit.weights) == 3
    assert fit.residual.amount < Decimal("0.0001")


def test_a_hair_is_never_cancelled_by_two_heavy_weights() -> None:
    # 0.25 at 42.7 and at 222.2 nearly cancel and would leave less than 0.01; common practice fits nothing
    box = Box(QUARTER, "oz", (Decimal("42.7"), Decimal("222.2")))
    assert fit_weights(at("0.01", "0"), box).value.weights == ()


@pytest.mark.parametrize(
    ("heavy", "every", "reach", "positions"),
    [
        ("215", "10", "20", [20, 30, 40, 50]),  # around 35
        ("180", "15", "15", [0, 15, 345]),  # across the valve
        ("0", "90", "10", [180]),
        ("0", "100", "30", [200]),  # 100 degrees do not go round evenly
        ("45", "90", "10", []),
    ],
)  # counted on a protractor
def test_positions_near_the_light_spot(heavy: str, every: str, reach: str, positions: list[int]) -> None:
    assert list(near_opposite(at("1", heavy), Decimal(every), Decimal(reach))) == positions


def test_positions_lie_apart() -> None:
    with pytest.raises(Impossible, match="such as 10"):
        near_opposite(at("1", "0"), Decimal(0), Decimal(20))


@pytest.mark.parametrize("step", ["0", "-0.25"])
def test_a_step_is_over_0(step: str) -> None:
    with pytest.raises(Impossible, match="1/4 oz or 5 g"):
        Box(Decimal(step), "oz")


@pytest.mark.parametrize(("count", "places"), [(37, 2), (13, 3), (4, 4), (4, 0)])
def test_no_search_without_an_end(count: int, places: int) -> None:
    with pytest.raises(ValueError, match="too many"):
        Box(QUARTER, "oz", tuple(map(Decimal, range(count))), places)


# What stays


@pytest.mark.parametrize(
    ("outer", "inner", "unit", "grade"),
    [
        ("0.08", "0.14", "oz", Grade.SOUND),
        ("0.25", "0.25", "oz", Grade.SOUND),  # at most 1/4 oz a plane: common practice
        ("0.26", "0.10", "oz", Grade.NEEDS),
        ("5", "5", "g", Grade.SOUND),  # at most 5 g a plane: common practice
        ("5", "5.1", "g", Grade.NEEDS),
    ],
)
def test_each_plane_against_the_limit(outer: str, inner: str, unit: str, grade: Grade) -> None:
    verdict = residual_verdict(at(outer, "35"), at(inner, "62"), unit).verdict
    assert verdict is not None and verdict.grade is grade
    assert verdict.by is (None if grade is Grade.SOUND else By.SOON)


def test_what_stays_in_both_planes_is_a_vector_sum() -> None:
    # 0.3 at 0 and 0.4 at 90 are the sides of a 3-4-5 triangle: 0.5 at 53.130 degrees
    both = residual_verdict(at("0.3", "0"), at("0.4", "90"), "oz", Decimal("0.5"))
    assert near(both.value, "0.5", "53.130")
    assert both.verdict is not None and both.verdict.inside


def test_the_plane_over_the_limit_is_named() -> None:
    verdict = residual_verdict(at("0.1", "0"), at("0.4", "90"), "oz").verdict
    assert verdict is not None
    assert "inner plane" in verdict.says and "outer" not in verdict.says


def test_the_limit_in_another_unit_is_the_quarter_ounce() -> None:
    # 1 oz = 28.349523125 g exactly, so 1/4 oz = 0.00708738 kg
    assert abs(usual_limit("kg") - Decimal("0.00708738")) < Decimal("1e-7")


# Too much weight


@pytest.mark.parametrize(
    ("outer", "inner", "rim", "unit", "grade"),
    [
        ("4", "1", "14", "oz", Grade.SOUND),  # up to 4 oz a plane to 14 in: common practice
        ("4.25", "1", "14", "oz", Grade.WATCH),
        ("1", "4.25", "13", "oz", Grade.WATCH),
        ("4.25", "1", "15", "oz", Grade.SOUND),  # up to 6 oz a plane from 15 in: common practice
        ("6", "6", "16", "oz", Grade.SOUND),
        ("6.25", "1", "16", "oz", Grade.WATCH),
        ("115", "20", "14", "g", Grade.WATCH),  # 4 oz are 113.4 g at 28.3495 g
        ("113", "20", "14", "g", Grade.SOUND),
    ],
)
def test_so_much_weight_asks_for_the_runout(
    outer: str, inner: str, rim: str, unit: str, grade: Grade
) -> None:
    verdict = excess_weight(Decimal(outer), Decimal(inner), unit, Decimal(rim)).verdict
    assert verdict is not None and verdict.grade is grade
    assert ("runout" in verdict.says) == (grade is Grade.WATCH)


def test_a_weight_under_0_is_refused() -> None:
    with pytest.raises(Impossible):
        excess_weight(Decimal(-1), Decimal(0), "oz", Decimal(14))


@pytest.mark.parametrize(
    ("typed", "unit", "rim", "asks"),
    [
        ("-1", "oz", "14", [False]),
        ("4", "oz", "14", []),
        ("4.25", "oz", "14", [True]),  # over 4 oz to 14 in: common practice
        ("4.25", "oz", "15", []),
        ("175", "g", "15", [True]),  # 6 oz are 170.1 g
    ],
)
def test_an_unlikely_weight_is_asked_about(typed: str, unit: str, rim: str, asks: list[bool]) -> None:
    problems = question_weight("outer", Quantity(typed, unit), Decimal(rim))
    assert [problem.ask for problem in problems] == asks


# Vectors


@pytest.mark.parametrize(
    ("typed", "angle"), [("0", "0"), ("360", "0"), ("-90", "270"), ("725", "5"), ("359.9", "359.9")]
)  # a full turn is 360 degrees
def test_an_angle_is_brought_into_one_turn(typed: str, angle: str) -> None:
    assert at("1", typed).angle == Decimal(angle)


@pytest.mark.parametrize(("amount", "angle"), [("-1", "0"), ("NaN", "0"), ("1", "Infinity")])
def test_a_vector_is_made_of_numbers(amount: str, angle: str) -> None:
    with pytest.raises(Impossible):
        at(amount, angle)


@given(vectors)
def test_a_vector_and_its_opposite_are_nothing(vector: Vector) -> None:
    assert total([vector, vector.opposite]) == NOTHING

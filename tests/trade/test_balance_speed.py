from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.balance_speed import (
    Rolling,
    force_at_speed,
    permitted_in_planes,
    permitted_unbalance,
    residual_against_grade,
    turns_a_minute,
)
from app.trade.figure import Grade
from app.trade.problems import Impossible

ROAD = Rolling(Decimal(60), "mph", Decimal(14), "in")


def share(found: Decimal, published: str) -> float:
    return abs(float(found / Decimal(published)) - 1)


def test_turns_of_a_wheel_at_60() -> None:
    # 60 mph = 1056 in/s; / 14 in = 75.4286 rad/s; x 60 / 2 pi = 720.29
    assert share(turns_a_minute(ROAD).value, "720.29") < 1e-5


def test_metric_and_inch_wheels_turn_alike() -> None:
    # 1 mile = 1.609344 km, 1 in = 25.4 mm, both exact
    metric = Rolling(Decimal("96.56064"), "km_h", Decimal("355.6"), "mm")
    assert share(turns_a_minute(metric).value, str(turns_a_minute(ROAD).value)) < 1e-12


def test_an_ounce_at_the_rim_at_60() -> None:
    # 0.0283495 kg x 0.1905 m x 75.4286² = 30.727 N; / 4.448222 = 6.9076 lbf
    assert share(force_at_speed(Decimal(1), "oz", Decimal("7.5"), ROAD).value, "6.9076") < 1e-4


def test_the_balancing_rule_of_thumb() -> None:
    # published rule: force in lbf = 1.77 x (turns a minute / 1000)² x oz·in
    turns = turns_a_minute(ROAD).value
    force = force_at_speed(Decimal(4), "oz", Decimal(7), ROAD).value
    assert share(force, str(Decimal("1.77") * (turns / 1000) ** 2 * 28)) < 0.004


@given(st.decimals(0, 10, places=2), st.decimals(20, 60, places=1))
def test_double_speed_is_four_times_the_force(weight: Decimal, speed: Decimal) -> None:
    slow = force_at_speed(weight, "oz", Decimal(7), Rolling(speed, "mph", Decimal(14), "in")).value
    fast = force_at_speed(weight, "oz", Decimal(7), Rolling(2 * speed, "mph", Decimal(14), "in")).value
    assert abs(fast - 4 * slow) < Decimal("1e-12")


@pytest.mark.parametrize(("speed", "radius"), [("0", "14"), ("60", "0"), ("-1", "14")])
def test_a_wheel_rolls_on_a_radius(speed: str, radius: str) -> None:
    with pytest.raises(Impossible, match="60 mph"):
        Rolling(Decimal(speed), "mph", Decimal(radius), "in")


@pytest.mark.parametrize(("weight", "radius"), [("-1", "7"), ("1", "0")])
def test_a_weight_sits_at_a_radius(weight: str, radius: str) -> None:
    with pytest.raises(Impossible):
        force_at_speed(Decimal(weight), "oz", Decimal(radius), ROAD)


# What ISO 21940-11 permits


@pytest.mark.parametrize(
    ("grade", "turns", "micrometres"),
    [
        ("6.3", "3000", "20.05"),  # ISO 21940-11 diagram, from memory: about 20 um
        ("2.5", "3000", "7.96"),  # about 8 um
        ("6.3", "1500", "40.1"),  # about 40 um
        ("16", "1000", "152.8"),  # about 150 um
        ("40", "1000", "382"),  # about 400 um
        ("1", "9549", "1.0"),  # 9549 turns a minute are 1000 rad/s
    ],
)
def test_the_permitted_shift_of_the_centre(grade: str, turns: str, micrometres: str) -> None:
    # on 1 kg the g·mm are the micrometres
    assert share(permitted_unbalance(Decimal(1), Decimal(turns), Decimal(grade)).value, micrometres) < 0.001


@pytest.mark.parametrize(
    ("mass", "turns", "grade", "permitted"),
    [
        (
            "3600",
            "3000",
            "2.5",
            "28647",
        ),  # turbine rotor of the standard's annex, 28.6 x 10³ g·mm, from memory
        ("25", "720.29", "40", "13257"),  # 9549 x 40 x 25 / 720.29
        ("40", "2950", "6.3", "815.7"),  # 9549 x 6.3 x 40 / 2950
    ],
)
def test_permitted_unbalance_of_a_rotor(mass: str, turns: str, grade: str, permitted: str) -> None:
    found = permitted_unbalance(Decimal(mass), Decimal(turns), Decimal(grade)).value
    assert share(found, permitted) < 0.001


def test_the_annex_rotor_split_between_its_bearings() -> None:
    # same annex, from memory: bearings 2400 mm apart, centre 1500 from A: 10.7 and 17.9 x 10³ g·mm
    whole = permitted_unbalance(Decimal(3600), Decimal(3000), Decimal("2.5")).value
    a, b = permitted_in_planes(whole, Decimal(0), Decimal(2400), Decimal(1500)).value
    assert share(a, "10700") < 0.005
    assert share(b, "17900") < 0.005


@pytest.mark.parametrize(
    ("centre", "outer"), [("0", "30"), ("1", "30"), ("5", "50"), ("9", "70"), ("10", "70")]
)  # ISO 21940-11, from memory: no share under 0.3 or over 0.7
def test_no_plane_takes_nearly_all(centre: str, outer: str) -> None:
    shares = permitted_in_planes(Decimal(100), Decimal(10), Decimal(0), Decimal(centre)).value
    assert shares[0] == Decimal(outer)
    assert sum(shares) == 100


@pytest.mark.parametrize(
    ("outer", "inner", "centre"), [("0", "10", "11"), ("10", "0", "-1"), ("5", "5", "5")]
)
def test_the_centre_lies_between_the_planes(outer: str, inner: str, centre: str) -> None:
    with pytest.raises(Impossible):
        permitted_in_planes(Decimal(100), Decimal(outer), Decimal(inner), Decimal(centre))


@pytest.mark.parametrize(
    ("left", "grade"), [("0", Grade.SOUND), ("13257", Grade.SOUND), ("13259", Grade.NEEDS)]
)
def test_what_stays_against_grade_40(left: str, grade: Grade) -> None:
    permitted = permitted_unbalance(Decimal(25), Decimal("720.29"))
    verdict = residual_against_grade(Decimal(left), permitted).verdict
    assert verdict is not None and verdict.grade is grade


def test_the_shop_limit_is_far_under_grade_40() -> None:
    # 1/4 oz at 7.5 in in both planes: 2 x 0.25 x 7.5 x 720.08 g·mm
    permitted = permitted_unbalance(Decimal(25), turns_a_minute(ROAD).value).value
    assert Decimal(2700) / permitted < Decimal("0.25")


@pytest.mark.parametrize(
    ("mass", "turns", "grade"), [("0", "700", "40"), ("25", "0", "40"), ("25", "700", "0")]
)
def test_mass_speed_and_grade_are_over_0(mass: str, turns: str, grade: str) -> None:
    with pytest.raises(Impossible):
        permitted_unbalance(Decimal(mass), Decimal(turns), Decimal(grade))


def test_what_stays_is_never_under_0() -> None:
    with pytest.raises(Impossible):
        residual_against_grade(Decimal(-1), permitted_unbalance(Decimal(25), Decimal(700)))

"""Stops against 49 CFR 393.52 and the laws of motion; hub heat against the trade's limits."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.stops import Combination, deceleration, hub_heat, question_stop, stop_from_20


def stop(feet: str, mph: str = "20", what: Combination = Combination.OTHER) -> Worked[Decimal]:
    """A stop."""
    return stop_from_20(Quantity(feet, "ft"), Quantity(mph, "mph"), what)


def verdict(worked: Worked[Decimal]) -> Verdict:
    """The verdict of a figure that has one."""
    assert worked.verdict is not None
    return worked.verdict


@pytest.mark.parametrize(
    ("feet", "what", "grade"),
    [
        ("40", Combination.OTHER, Grade.SOUND),  # 49 CFR 393.52(d): all other combinations, 40 ft
        ("40.1", Combination.OTHER, Grade.NEEDS),
        ("35", Combination.LIGHT, Grade.SOUND),  # same: two-axle tow vehicle, trailer to 3,000 lb, 35 ft
        ("36", Combination.LIGHT, Grade.NEEDS),
    ],
)
def test_a_stop_is_held_against_the_law(feet: str, what: Combination, grade: Grade) -> None:
    found = verdict(stop(feet, what=what))
    assert found.grade is grade
    assert (found.by is By.TOWING) is (grade is Grade.NEEDS)


def test_a_stop_from_another_speed_is_taken_to_20() -> None:
    # Distance goes with the square of speed: 38 × (20 ÷ 21.2)² = 33.8 ft.
    assert round(stop("38", "21.2").value, 1) == Decimal("33.8")


@pytest.mark.parametrize(
    ("feet", "ft_s2"),
    [("25", "17.21"), ("35", "12.29"), ("40", "10.76")],  # v² ÷ 2d, v = 29.333 ft/s
)
def test_the_mean_deceleration_is_that_of_steady_braking(feet: str, ft_s2: str) -> None:
    assert round(deceleration(Quantity(feet, "ft"), Quantity("20", "mph")), 2) == Decimal(ft_s2)


def test_a_mean_in_g_is_said() -> None:
    assert "0.33 g" in stop("40").says  # 10.76 ÷ 32.174


@pytest.mark.parametrize("mph", ["0", "-5", "17.9", "22.1", "55"])
def test_another_speed_tells_nothing_about_20(mph: str) -> None:
    with pytest.raises(Impossible):
        stop("38", mph)


@pytest.mark.parametrize("feet", ["0", "-3"])
def test_a_stop_has_a_length(feet: str) -> None:
    with pytest.raises(Impossible):
        stop(feet)


@pytest.mark.parametrize(("feet", "asked"), [("10", True), ("15.4", False), ("38", False), ("90", True)])
def test_a_stop_that_no_tire_gives_is_asked(feet: str, asked: bool) -> None:
    # 28 ft/s² is 0.87 g: 15.4 ft from 20 mph; under 5 ft/s² is no braking.
    found = question_stop("distance", Quantity(feet, "ft"), Quantity("20", "mph"))
    assert bool(found) is asked
    assert all(each.ask for each in found)


@given(feet=st.integers(20, 80), kmh=st.integers(30, 34))
def test_metric_stops_agree(feet: int, kmh: int) -> None:
    mph = Decimal(kmh) / Decimal("1.609344")
    metres = Decimal(feet) * Decimal("0.3048")
    metric = stop_from_20(Quantity(f"{metres:f}", "m"), Quantity(str(kmh), "km_h"), Combination.OTHER)
    assert metric.value == pytest.approx(Decimal(feet) * (20 / mph) ** 2, abs=Decimal("1e-9"))


def hubs(*warm: str) -> Worked[Decimal]:
    """Hubs by number."""
    return hub_heat({f"hub {n}": Quantity(each, "degF") for n, each in enumerate(warm, 1)})


@pytest.mark.parametrize(
    ("warm", "grade"),
    [
        (("130", "180", "130"), Grade.SOUND),  # 50 over its mates is allowed: common practice
        (("130", "181", "130"), Grade.NEEDS),
        (("195", "200"), Grade.SOUND),  # 200 itself: common practice
        (("198", "201"), Grade.NEEDS),
    ],
)
def test_a_hot_hub_stands_out(warm: tuple[str, ...], grade: Grade) -> None:
    assert verdict(hubs(*warm)).grade is grade


def test_the_hottest_hub_is_named() -> None:
    assert verdict(hubs("120", "190", "118")).says.startswith("hub 2")


def test_celsius_is_taken() -> None:
    cool = {"left": Quantity("50", "degC"), "right": Quantity("55", "degC")}
    assert round(hub_heat(cool).value) == 131  # 55 °C = 131 °F


def test_one_hub_cannot_be_compared() -> None:
    with pytest.raises(Impossible):
        hubs("130")

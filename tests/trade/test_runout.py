import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.runout import (
    Station,
    Where,
    blame,
    even_stations,
    question_runout,
    runout,
    runout_verdict,
)
from app.trade.vectors import Vector, total

vectors = st.builds(Vector, st.decimals(1, 60, places=1), st.decimals(0, 360, places=1))


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


def apart(one: Vector, other: Vector) -> float:
    return abs(one.number - other.number)


def readings(*numbers: int) -> tuple[Station, ...]:
    return even_stations([Decimal(number) for number in numbers])


# One turn of readings


@pytest.mark.parametrize(
    ("numbers", "tir", "amplitude", "angle"),
    [
        ((10, 0, -10, 0), 20, 10, 0),  # a cosine
        ((0, 10, 0, -10), 20, 10, 90),  # a sine
        ((0, 0, 10, 10), 10, 5 * math.sqrt(2), 225),  # (2/4) x (-10, -10)
        ((0, 0, 0, 30), 30, 15, 270),  # (2/4) x 30 at 270
        ((7, 7, 7, 7), 0, 0, 0),
        ((20, 0, 0), 20, 40 / 3, 0),  # (2/3) x 20 at 0
        ((5, 0, 5, 0, 5, 0, 5, 0), 5, 0, 0),  # four lobes hold no first harmonic
    ],
)  # by hand: for even stations (2/N) x sum of readings as vectors
def test_first_harmonic_by_hand(numbers: tuple[int, ...], tir: int, amplitude: float, angle: float) -> None:
    found = runout(readings(*numbers), "thou").value
    assert found.tir == tir
    assert abs(float(found.high.amount) - amplitude) < 1e-6
    assert amplitude == 0 or abs(float(found.high.angle) - angle) < 1e-6


def test_a_bent_wheel_at_eight_stations() -> None:
    # components by hand, 45 degree steps: a = -15.1748, b = 1.2071; hypot 15.2227, direction 175.452
    found = runout(readings(0, 8, 17, 27, 31, 27, 15, 4), "thou").value
    assert (found.tir, found.mean) == (Decimal(31), Decimal("16.125"))
    assert abs(float(found.high.amount) - 15.2226) < 0.0005
    assert abs(float(found.high.angle) - 175.452) < 0.005
    assert abs(float(found.swing) - 30.445) < 0.001
    assert not found.local


@given(vectors, st.decimals(-20, 20, places=1), st.integers(3, 24))
def test_a_pure_harmonic_is_found_again(high: Vector, mean: Decimal, count: int) -> None:
    angles = [Decimal(360) * turn / count for turn in range(count)]
    turned = [math.radians(float(angle - high.angle)) for angle in angles]
    values = [mean + Decimal(str(float(high.amount) * math.cos(angle))) for angle in turned]
    found = runout([Station(*pair) for pair in zip(angles, values, strict=True)], "thou").value
    assert apart(found.high, high) < 1e-6
    assert abs(found.mean - mean) < Decimal("1e-6")
    assert found.rest < Decimal("1e-6")
    assert found.tir <= found.swing + Decimal("1e-6")


@given(vectors, st.lists(st.integers(0, 359), min_size=3, max_size=10, unique=True))
def test_stations_need_not_be_even(high: Vector, places: list[int]) -> None:
    if max(b - a for a, b in zip(sorted(places), sorted(places)[1:], strict=False)) < 20:
        places = [0, 100, 220]  # crowded stations leave the fit to rounding
    stations = [
        Station(
            Decimal(place),
            Decimal(str(float(high.amount) * math.cos(math.radians(place - float(high.angle))))),
        )
        for place in places
    ]
    assert apart(runout(stations, "thou").value.high, high) < 1e-3


def test_a_dent_is_not_a_bend() -> None:
    # one station of eight far out: the harmonic holds a quarter of it, the rest is large (by hand)
    found = runout(readings(0, 0, 0, 40, 0, 0, 0, 0), "thou").value
    assert abs(float(found.high.amount) - 10) < 1e-6
    assert found.local


def test_three_stations_never_speak_of_a_dent() -> None:
    assert not runout(readings(0, 0, 40), "thou").value.local


def test_three_places_at_least() -> None:
    with pytest.raises(Impossible, match="at least 3"):
        runout(readings(0, 10), "thou")
    with pytest.raises(Impossible, match="at least 3"):
        runout(
            [
                Station(Decimal(0), Decimal(1)),
                Station(Decimal(90), Decimal(2)),
                Station(Decimal(360), Decimal(1)),
            ],
            "in",
        )


# The verdict


@pytest.mark.parametrize(
    ("where", "tir", "unit", "grade", "by"),
    [
        (Where.STEEL_BEAD, "0.126", "in", Grade.NEEDS, By.TOWING),  # 49 CFR 570.10(b): 1/8 in
        (Where.STEEL_BEAD, "0.125", "in", Grade.NEEDS, By.SOON),  # at the law's limit, over the shop's aim
        (Where.STEEL_BEAD, "0.045", "in", Grade.SOUND, None),  # aim: common practice
        (Where.STEEL_BEAD, "0.046", "in", Grade.NEEDS, By.SOON),
        (Where.ALLOY_BEAD, "0.031", "in", Grade.NEEDS, By.SOON),
        (Where.ALLOY_BEAD, "0.030", "in", Grade.SOUND, None),
        (Where.ALLOY_BEAD, "3.2", "mm", Grade.NEEDS, By.TOWING),  # 0.12598 in
        (Where.TREAD, "0.060", "in", Grade.SOUND, None),  # 0.060 in radial: service manuals
        (Where.TREAD, "0.061", "in", Grade.NEEDS, By.SOON),
        (Where.TREAD, "0.200", "in", Grade.NEEDS, By.SOON),  # the law speaks of the bead area only
        (Where.SIDEWALL, "80", "thou", Grade.SOUND, None),
        (Where.SIDEWALL, "81", "thou", Grade.NEEDS, By.SOON),
        (Where.TREAD, "1.52", "mm", Grade.SOUND, None),  # 1.52 mm is printed as 0.060 in, service manuals
    ],
)
def test_runout_against_law_and_aim(where: Where, tir: str, unit: str, grade: Grade, by: By | None) -> None:
    verdict = runout_verdict(where, Decimal(tir), unit).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


def test_a_total_reading_is_never_under_0() -> None:
    with pytest.raises(Impossible):
        runout_verdict(Where.TREAD, Decimal(-1), "in")


@pytest.mark.parametrize(
    ("typed", "unit", "asks"),
    [("-1", "in", [False]), ("0.25", "in", []), ("0.26", "in", [True]), ("7", "mm", [True])],
)  # over 1/4 in: common practice
def test_an_unlikely_runout_is_asked_about(typed: str, unit: str, asks: list[bool]) -> None:
    assert [problem.ask for problem in question_runout("tir", Quantity(typed, unit))] == asks


# Wheel or tire


@pytest.mark.parametrize(
    ("first", "second", "who", "turn"),
    [
        (("30", "70"), ("30", "70"), "wheel", 0),  # stays where it was: the wheel
        (("30", "70"), ("30", "250"), "tire", 0),  # went round with the tire
        (("40", "90"), ("0", "0"), "both", 180),  # equal parts at 90, which now cancel
        (("0", "0"), ("40", "90"), "both", 0),  # they cancel as mounted
    ],
)  # by halves of sum and difference
def test_who_is_to_blame(first: tuple[str, str], second: tuple[str, str], who: str, turn: int) -> None:
    found = blame(at(*first), at(*second), "thou").value
    assert found.to_blame == who
    assert abs(float(found.turn) - turn) < 1e-6


def test_a_mixed_case_by_components() -> None:
    # 30 at 70 = (10.261, 28.191), 10 at 200 = (-9.397, -3.420): wheel (0.432, 12.385), tire (9.829, 15.806)
    found = blame(at("30", "70"), at("10", "200"), "thou").value
    assert abs(found.wheel.number - complex(0.432, 12.385)) < 0.001
    assert abs(found.tire.number - complex(9.829, 15.806)) < 0.001
    assert abs(float(found.turn) - 209.88) < 0.01  # 88.003 + 180 - 58.124
    assert abs(float(found.best) - 6.2195) < 0.001  # 18.6123 - 12.3928


@given(vectors, vectors)
def test_turning_by_the_answer_gives_the_best(wheel: Vector, tire: Vector) -> None:
    found = blame(total([wheel, tire]), total([wheel, tire.opposite]), "thou").value
    turned = Vector(tire.amount, tire.angle + found.turn)
    assert abs(total([wheel, turned]).amount - found.best) < Decimal("1e-4")
    assert apart(found.wheel, wheel) < 1e-6
    assert total([wheel, tire]).amount <= found.worst + Decimal("1e-6")

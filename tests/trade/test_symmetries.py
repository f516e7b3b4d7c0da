"""Symmetries and conservation of the core, and the same answers by a library of linear algebra."""

import cmath
import math
from collections.abc import Sequence
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.trade.balance import Box, fit_weights
from app.trade.balance_speed import permitted_unbalance
from app.trade.fasteners import Adapter, star_sequence, torque_at_nut, wrench_setting
from app.trade.hitch import Rig, loads_under, moment_by_tickets
from app.trade.influence import Run, one_plane_weight, two_plane_weights
from app.trade.planes import Held, at_radius, parts, split_weight, transfer
from app.trade.quantity import UNITS, Quantity, alike, convert
from app.trade.runout import Station, blame, even_stations, runout
from app.trade.threads import clamp_from_torque, read_thread, torque_for_clamp
from app.trade.tire_pressure import load_at_pressure, pressure_at
from app.trade.vectors import Vector, total

ANGLES = st.decimals(0, 359, places=1)
AMOUNTS = st.decimals("0.2", "8", places=2)
VECTORS = st.builds(Vector, AMOUNTS, ANGLES)
CLOSE = 1e-6


def turned(vector: Vector, by: Decimal) -> Vector:
    """A vector turned against the clock."""
    return Vector(vector.amount, (vector.angle + by) % 360)


def close(one: Vector, other: complex, within: float = CLOSE) -> bool:
    """Whether a vector is a complex number, nearly."""
    return abs(one.number - other) <= within * max(1, abs(other))


# Balance


@given(VECTORS, ANGLES)
def test_turning_the_wheel_turns_the_weights_and_leaves_as_much(unbalance: Vector, by: Decimal) -> None:
    box = Box(Decimal("0.25"), "oz")
    one = fit_weights(unbalance, box).value
    other = fit_weights(turned(unbalance, by), box).value
    assert abs(one.residual.amount - other.residual.amount) < Decimal("1e-8")
    assert close(total(other.weights), total([turned(each, by) for each in one.weights]).number)


@given(VECTORS, st.integers(1, 36))
def test_what_stays_is_at_most_half_a_step_where_the_opposite_place_is_allowed(
    unbalance: Vector, steps: int
) -> None:
    """Residual bound: any step, a place just opposite: the pile is rounded to the nearest step."""
    step = Decimal(steps) / 36
    box = Box(step, "oz", (unbalance.opposite.angle,))
    assert fit_weights(unbalance, box).value.residual.amount <= step / 2 + Decimal("1e-8")


@given(VECTORS, VECTORS, ANGLES)
def test_static_and_couple_turn_with_the_wheel(outer: Vector, inner: Vector, by: Decimal) -> None:
    one = parts(outer, inner, "oz").value
    other = parts(turned(outer, by), turned(inner, by), "oz").value
    assert close(other.static, turned(one.static, by).number)
    assert close(other.couple, turned(one.couple, by).number)


@given(VECTORS, VECTORS)
def test_looking_from_the_other_side_leaves_the_static_part(outer: Vector, inner: Vector) -> None:
    one, other = parts(outer, inner, "oz").value, parts(inner, outer, "oz").value
    assert close(one.static, other.static.number)
    assert close(one.couple, -other.couple.number)


@given(VECTORS, ANGLES, st.decimals("20", "160", places=1))
def test_a_split_agrees_with_linear_algebra(weight: Vector, first: Decimal, apart: Decimal) -> None:
    second = (first + apart) % 360
    inside = first + apart / 2
    weight = Vector(weight.amount, inside % 360)
    here, there = split_weight(weight, first, second, "oz").value
    columns = [unit(first), unit(second)]
    matrix = np.array([[each.real for each in columns], [each.imag for each in columns]])
    shares = np.linalg.solve(matrix, [weight.number.real, weight.number.imag])
    assert abs(float(here.amount) - shares[0]) < CLOSE
    assert abs(float(there.amount) - shares[1]) < CLOSE


def unit(angle: Decimal) -> complex:
    """A complex number of length one at an angle in degrees."""
    return complex(math.cos(math.radians(float(angle))), math.sin(math.radians(float(angle))))


@given(st.lists(st.tuples(st.integers(-8, 8), VECTORS), min_size=1, max_size=3), st.integers(1, 12))
def test_planes_moved_agree_with_linear_algebra(held: list[tuple[int, Vector]], apart: int) -> None:
    outer, inner = Decimal(apart) / 2, -Decimal(apart) / 2
    sources = [Held(Decimal(place), vector) for place, vector in held]
    one, other = transfer(sources, outer, inner, "oz").value
    force = sum(vector.number for _, vector in held)
    moment = sum(place * vector.number for place, vector in held)
    matrix = np.array([[1, 1], [float(outer), float(inner)]], dtype=complex)
    expected = np.linalg.solve(matrix, np.array([force, moment]))
    assert close(one, complex(expected[0]), 1e-5)
    assert close(other, complex(expected[1]), 1e-5)


@given(VECTORS, st.decimals("3", "12", places=2), st.decimals("3", "12", places=2))
def test_weight_times_radius_stays(weight: Vector, radius: Decimal, other: Decimal) -> None:
    moved = at_radius(weight, radius, other, "oz").value
    assert abs(moved.amount * other - weight.amount * radius) < Decimal("1e-6")
    assert moved.angle == weight.angle


# Trial weights


@given(VECTORS, VECTORS, VECTORS)
def test_one_trial_weight_agrees_with_the_influence_coefficient(
    before: Vector, after: Vector, trial: Vector
) -> None:
    assume(abs(after.number - before.number) > 0.2)
    answer = (after.number - before.number) / trial.number
    found = one_plane_weight(before, after, trial, "oz").value
    assert close(found, -before.number / answer, 1e-5)


@given(VECTORS, VECTORS, st.lists(VECTORS, min_size=4, max_size=4), VECTORS, VECTORS)
def test_two_trial_weights_agree_with_linear_algebra(
    first: Vector, second: Vector, answers: list[Vector], outer: Vector, inner: Vector
) -> None:
    """Readings made from a machine with known coefficients; the weights must bring them to nothing."""
    matrix = np.array([each.number for each in answers]).reshape(2, 2)
    assume(abs(np.linalg.det(matrix)) > 0.5 * float(np.abs(matrix).max()))
    start = np.array([first.number, second.number])
    runs = []
    for plane, trial in enumerate((outer, inner)):
        put = np.zeros(2, dtype=complex)
        put[plane] = trial.number
        read = start + matrix @ put
        runs.append((trial, Run(*map(vector, read))))
    found = two_plane_weights(Run(first, second), runs[0], runs[1], "oz").value
    expected = np.linalg.solve(matrix, -start)
    for ours, theirs in zip(found, expected, strict=True):
        assert close(ours, complex(theirs), 1e-4)


def vector(number: complex) -> Vector:
    """A vector of a complex number."""
    angle = math.degrees(cmath.phase(number)) % 360
    return Vector(Decimal(repr(float(abs(number)))), Decimal(repr(float(angle))))


# Runout

READINGS = st.lists(st.integers(-40, 40), min_size=4, max_size=24)


@given(READINGS)
def test_the_first_harmonic_agrees_with_a_fourier_transform(readings: list[int]) -> None:
    found = runout(even_stations([Decimal(each) for each in readings]), "thou").value
    spectrum = np.fft.rfft(readings)
    amplitude = 2 * abs(spectrum[1]) / len(readings)
    assert abs(float(found.high.amount) - amplitude) < 1e-5
    assert found.tir == max(readings) - min(readings)
    assert abs(float(found.mean) - float(np.mean(readings))) < 1e-6


@given(READINGS, st.lists(st.integers(0, 359), min_size=5, max_size=24, unique=True))
def test_uneven_stations_agree_with_least_squares(readings: list[int], places: list[int]) -> None:
    count = min(len(readings), len(places))
    assume(count >= 5)
    angles = np.radians(places[:count])
    columns = np.column_stack([np.ones(count), np.cos(angles), np.sin(angles)])
    assume(np.linalg.cond(columns) < 50)
    stations = [Station(Decimal(a), Decimal(r)) for a, r in zip(places, readings, strict=False)]
    found = runout(stations, "thou").value
    (mean, cosine, sine), *_ = np.linalg.lstsq(columns, np.array(readings[:count]), rcond=None)
    assert close(found.high, complex(cosine, sine), 1e-4)
    assert abs(float(found.mean) - mean) < 1e-4 * max(1, abs(mean))


@given(READINGS, st.integers(-100, 100))
def test_where_the_dial_was_zeroed_does_not_matter(readings: list[int], zero: int) -> None:
    one = runout(even_stations([Decimal(each) for each in readings]), "thou").value
    other = runout(even_stations([Decimal(each + zero) for each in readings]), "thou").value
    assert one.tir == other.tir
    assert close(other.high, one.high.number, 1e-5)


@given(READINGS, st.integers(0, 23))
def test_starting_at_another_station_turns_the_high_point(readings: list[int], start: int) -> None:
    start %= len(readings)
    one = runout(even_stations([Decimal(each) for each in readings]), "thou").value
    begun = readings[start:] + readings[:start]
    other = runout(even_stations([Decimal(each) for each in begun]), "thou").value
    by = 360 * start / len(readings)
    assert abs(other.high.number * unit(Decimal(by)) - one.high.number) < 1e-4


@given(VECTORS, VECTORS)
def test_wheel_and_tire_make_up_what_was_read(wheel: Vector, tire: Vector) -> None:
    """As mounted they add; with the tire turned by half a turn they subtract."""
    first, second = wheel.number + tire.number, wheel.number - tire.number
    assume(min(abs(first), abs(second)) > 0.05)
    found = blame(vector(first), vector(second), "thou").value
    assert close(found.wheel, wheel.number, 1e-5)
    assert close(found.tire, tire.number, 1e-5)
    assert abs(found.best - abs(wheel.amount - tire.amount)) < Decimal("1e-4")
    assert abs(found.worst - wheel.amount - tire.amount) < Decimal("1e-4")


# ISO 21940-11: permissible residual specific unbalance e = G / omega, in micrometres, at a speed

GRADES = """
grade rpm  micrometres
40    600  637
40    764  500
40    1000 382
16    600  255
16    764  200
16    1000 153
6.3   600  100
6.3   1000 60.2
6.3   3000 20.1
2.5   1000 23.9
2.5   3000 7.96
"""


@pytest.mark.parametrize("row", GRADES.strip().splitlines()[1:])
def test_a_balance_grade_permits_what_the_standard_draws(row: str) -> None:
    grade, rpm, micrometres = map(Decimal, row.split())
    found = permitted_unbalance(Decimal(25), rpm, grade).value / 25  # g·mm a kg is micrometres
    assert abs(found / micrometres - 1) < Decimal("0.004")


# Fasteners


@pytest.mark.parametrize("studs", range(4, 11))
def test_no_star_leaves_a_side_alone(studs: int) -> None:
    """After each pair the clamp's middle is nearer the hub than one nut's own place."""
    order = star_sequence(studs).value
    places = [unit(Decimal(360) * nut / studs) for nut in order]
    for done in range(2, studs + 1, 2):
        assert abs(sum(places[:done])) <= 1.25
    assert abs(sum(places)) < 1e-9


REACHES = st.decimals("1", "6", places=1)


@given(st.decimals("40", "200", places=1), st.decimals("8", "30", places=1), REACHES)
def test_an_adapter_straight_on_always_asks_for_less(
    torque: Decimal, length: Decimal, reach: Decimal
) -> None:
    adapter = Adapter(length, reach)
    setting = wrench_setting(torque, adapter, "lbf_ft").value
    assert setting < torque
    assert abs(torque_at_nut(setting, adapter, "lbf_ft").value - torque) < Decimal("1e-6")


@given(st.sampled_from(["1/2-20", "7/16-20", "9/16-18", "5/8-18"]), st.integers(1000, 20000))
def test_torque_and_clamp_are_proportional(thread: str, clamp: int) -> None:
    stud, k = read_thread(thread), Decimal("0.2")
    one = torque_for_clamp(stud, Decimal(clamp), k).value
    assert abs(torque_for_clamp(stud, Decimal(2 * clamp), k).value - 2 * one) < Decimal("1e-9")
    back = clamp_from_torque(stud, one, "lbf_ft", k).value
    assert abs(back.middle - clamp) < Decimal("1e-6")
    assert back.least < back.middle < back.most


# Hitch


def rig(weights: Sequence[int], lengths: Sequence[int]) -> Rig:
    """A rig of four weights in lb and three lengths in in."""
    return Rig(
        *(Quantity(str(each), "lb") for each in weights),
        *(Quantity(str(each), "in") for each in lengths),
        Quantity("30", "in"),
    )


@given(
    st.tuples(
        st.integers(2000, 4000), st.integers(2000, 4000), st.integers(300, 900), st.integers(3000, 9000)
    ),
    st.tuples(st.integers(110, 170), st.integers(35, 65), st.integers(140, 280)),
    st.integers(0, 30000),
)
def test_axle_loads_agree_with_linear_algebra(
    weights: tuple[int, int, int, int], lengths: tuple[int, int, int], moment: int
) -> None:
    """Two free bodies, five unknowns: three axles, the ball's force, and the moment that is given."""
    front, rear, tongue, gross = weights
    base, over, length = lengths
    # unknowns: front, rear, trailer axle, force of trailer on tow vehicle at the ball (down)
    matrix = np.array(
        [
            [1, 1, 0, -1],  # tow vehicle, force
            [base, 0, 0, over],  # tow vehicle, moments about its rear axle
            [0, 0, 1, 1],  # trailer, force
            [0, 0, 0, length],  # trailer, moments about its axle
        ],
        dtype=float,
    )
    given_ = [front + rear, front * base + moment, gross, tongue * length - moment]
    expected = np.linalg.solve(matrix, np.array(given_, dtype=float))
    found = loads_under(rig(weights, lengths), Decimal(moment))
    for ours, theirs in zip((found.front, found.rear, found.trailer), expected, strict=False):
        assert abs(float(ours) - theirs) < 1e-6
    slack = loads_under(rig(weights, lengths), Decimal(0))
    moved = [found.front - slack.front, found.rear - slack.rear, found.trailer - slack.trailer]
    assert abs(moment_by_tickets(rig(weights, lengths), moved).value - moment) < Decimal("0.01")


# Tires and units


@given(st.integers(1000, 3000), st.integers(50, 80), st.integers(25, 49), st.integers(1, 10))
def test_more_air_up_to_the_mark_carries_more(load: int, most: int, psi: int, more: int) -> None:
    low = load_at_pressure(Decimal(load), Decimal(most), Decimal(psi)).value
    high = load_at_pressure(Decimal(load), Decimal(most), Decimal(min(psi + more, most))).value
    assert low <= high <= load


@given(st.integers(20, 90), st.integers(0, 110), st.integers(0, 110))
def test_warming_and_cooling_again_is_where_it_was(psi: int, start: int, end: int) -> None:
    there = pressure_at(Decimal(psi), Decimal(start), Decimal(end)).value
    back = pressure_at(there, Decimal(end), Decimal(start)).value
    assert abs(back - psi) < Decimal("0.001")


PAIRS = [(one, other) for one in UNITS for other in UNITS if one < other and alike(one, other)]


@pytest.mark.parametrize(("one", "other"), PAIRS)
def test_a_unit_there_and_back_is_the_same(one: str, other: str) -> None:
    for number in ("1", "17.25", "0.003", "4096"):
        back = convert(convert(Decimal(number), one, other), other, one)
        assert abs(back - Decimal(number)) < Decimal("1e-12")

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.trade.figure import Grade
from app.trade.influence import Run, one_plane_weight, two_plane_weights
from app.trade.problems import Impossible
from app.trade.vectors import NOTHING, Vector, vector_of

angles = st.decimals(0, 360, places=1)
vectors = st.builds(Vector, st.decimals(1, 50, places=2), angles)


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


def apart(one: Vector, other: Vector) -> float:
    return abs(one.number - other.number)


# One plane


def test_a_published_polar_plot() -> None:
    # a maker's article on single-plane balancing: 7 mils at 160, with 100 g 5 mils at 70; read off the
    # polar paper 77.8 g, 35 degrees back from the trial weight
    weight = one_plane_weight(at("7", "160"), at("5", "70"), at("100", "0"), "g").value
    assert abs(float(weight.amount) - 77.8) < 5  # paper and protractor
    assert abs(360 - float(weight.angle) - 35) < 1.5


def test_one_plane_by_components() -> None:
    # 5 at 60 = (2.5, 4.3301), 4.2 at 110 = (-1.4365, 3.9467): change 3.9551 at 185.564; 20 x 5 / 3.9551
    weight = one_plane_weight(at("5", "60"), at("4.2", "110"), at("20", "0"), "g").value
    assert abs(float(weight.amount) - 25.2837) < 0.001
    assert abs(float(weight.angle) - 54.437) < 0.01


@pytest.mark.parametrize(
    ("after", "amount", "angle"),
    [
        (("0", "0"), "10", "30"),  # the trial weight was the answer
        (("10", "0"), "5", "30"),  # half way: 10 took 20 down to 10
        (("40", "0"), "10", "210"),  # it doubled: the same on the other side
    ],
)  # proportion
def test_simple_answers(after: tuple[str, str], amount: str, angle: str) -> None:
    weight = one_plane_weight(at("20", "0"), at(*after), at("10", "30"), "g").value
    expected = {"10": at("10", "30"), "5": at("20", "30")}[amount] if angle == "30" else at("10", "210")
    assert apart(weight, expected) < 1e-6


@given(vectors, vectors, vectors)
def test_the_weight_brings_the_reading_to_nothing(before: Vector, answer: Vector, trial: Vector) -> None:
    after = vector_of(before.number + answer.number * trial.number)
    weight = one_plane_weight(before, after, trial, "g").value
    assert abs(before.number + answer.number * weight.number) < 1e-3


@pytest.mark.parametrize(
    ("after", "grade"),
    [
        (("5.5", "62"), Grade.WATCH),  # a tenth and 2 degrees: common practice asks for 30 and 30
        (("8", "60"), Grade.SOUND),
        (("5", "100"), Grade.SOUND),
    ],
)
def test_a_weak_answer_is_watched(after: tuple[str, str], grade: Grade) -> None:
    verdict = one_plane_weight(at("5", "60"), at(*after), at("20", "0"), "g").verdict
    assert verdict is not None and verdict.grade is grade


def test_a_turn_past_the_valve_is_a_small_one() -> None:
    # 359 to 1 degree is 2 degrees, not 358
    verdict = one_plane_weight(at("5", "359"), at("5.1", "1"), at("20", "0"), "g").verdict
    assert verdict is not None and verdict.grade is Grade.WATCH


def test_no_trial_no_answer() -> None:
    with pytest.raises(Impossible, match="trial weight cannot"):
        one_plane_weight(at("5", "60"), at("4", "60"), NOTHING, "g")
    with pytest.raises(Impossible, match="changed nothing"):
        one_plane_weight(at("5", "60"), at("5", "60"), at("20", "0"), "g")


# Two planes


def test_a_published_fan() -> None:
    # an instrument maker's application note on two-plane balancing, example 6, as the documentation of the
    # hsbalance library reprints it: 1.979 g at 236.2 and 1.071 g at 121.8
    before = Run(at("170", "112"), at("53", "78"))
    outer = at("1.15", "0"), Run(at("235", "94"), at("58", "68"))
    inner = at("1.15", "0"), Run(at("185", "115"), at("77", "104"))
    one, two = two_plane_weights(before, outer, inner, "g").value
    assert abs(float(one.amount) - 1.979) < 0.001 and abs(float(one.angle) - 236.2) < 0.05
    assert abs(float(two.amount) - 1.071) < 0.001 and abs(float(two.angle) - 121.8) < 0.05


def test_a_textbook_turbine() -> None:
    # S. S. Rao, Mechanical Vibrations, two-plane balancing, from memory: unbalance 10.0561 at 145.5548 and
    # 5.8774 at 248.2559; the weights go opposite
    before = Run(at("8.5", "60"), at("6.5", "205"))
    left = at("10", "270"), Run(at("6", "125"), at("4.5", "230"))
    right = at("12", "180"), Run(at("6", "35"), at("10.5", "160"))
    one, two = two_plane_weights(before, left, right, "oz").value
    assert apart(one.opposite, at("10.0561", "145.5548")) < 0.001
    assert apart(two.opposite, at("5.8774", "248.2559")) < 0.001


@given(
    st.tuples(vectors, vectors, vectors, vectors), st.tuples(vectors, vectors), st.tuples(vectors, vectors)
)
def test_weights_in_both_planes_leave_nothing(
    answers: tuple[Vector, ...], unbalance: tuple[Vector, Vector], trials: tuple[Vector, Vector]
) -> None:
    a, b, c, d = (answer.number for answer in answers)
    size = max(abs(a), abs(b), abs(c), abs(d))
    assume(abs(a * d - b * c) > 0.05 * size * size)

    def run(outer: complex, inner: complex) -> Run:
        one, two = unbalance[0].number + outer, unbalance[1].number + inner
        return Run(vector_of(a * one + b * two), vector_of(c * one + d * two))

    outer, inner = trials
    found = two_plane_weights(
        run(0, 0), (outer, run(outer.number, 0)), (inner, run(0, inner.number)), "g"
    ).value
    assert apart(found[0], unbalance[0].opposite) < 1e-4
    assert apart(found[1], unbalance[1].opposite) < 1e-4


def test_planes_that_answer_alike_are_refused_or_watched() -> None:
    before = Run(at("5", "0"), at("5", "0"))
    trial = at("1", "0")
    alike = trial, Run(at("6", "0"), at("6", "0"))
    with pytest.raises(Impossible, match="told apart"):
        two_plane_weights(before, alike, alike, "g")
    nearly = trial, Run(at("6", "0"), at("6.05", "0"))
    verdict = two_plane_weights(before, alike, nearly, "g").verdict
    assert verdict is not None and verdict.grade is Grade.WATCH


def test_each_plane_needs_its_trial_weight() -> None:
    run = Run(at("5", "0"), at("5", "0"))
    with pytest.raises(Impossible, match="trial weight cannot be 0"):
        two_plane_weights(run, (NOTHING, run), (at("1", "0"), run), "g")

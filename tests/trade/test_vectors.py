from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.vectors import NOTHING, Vector, total, unit_at, vector_of

vectors = st.builds(Vector, st.decimals(0, 500, places=2), st.decimals(-720, 720, places=1))


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


@pytest.mark.parametrize(
    ("parts", "amount", "angle"),
    [
        ([("3", "0"), ("4", "90")], "5", "53.130102354"),  # the 3-4-5 triangle
        ([("1", "0"), ("1", "120"), ("1", "240")], "0", "0"),  # three even thirds cancel
        ([("1", "350"), ("1", "10")], "1.969615506", "0"),  # 2 cos 10
        ([("1", "45"), ("1", "135")], "1.414213562", "90"),  # a square's diagonal
        ([], "0", "0"),
    ],
)
def test_vectors_add_up(parts: list[tuple[str, str]], amount: str, angle: str) -> None:
    found = total([at(*part) for part in parts])
    assert abs(found.amount - Decimal(amount)) < Decimal("2e-9")
    assert abs(found.angle - Decimal(angle)) < Decimal("1e-6")


@pytest.mark.parametrize(
    ("vector", "says"),
    [
        (at("0.75", "20"), "0.75\u00a0oz at 20°"),
        (at("1.005", "359.7"), "1.01\u00a0oz at 0°"),  # half up, and a whole turn is none
        (at("0", "90"), "0.00\u00a0oz at 90°"),
    ],
)
def test_a_vector_is_said_as_amount_and_angle(vector: Vector, says: str) -> None:
    assert vector.says("oz") == says


@given(vectors)
def test_an_angle_always_lies_in_one_turn(vector: Vector) -> None:
    assert 0 <= vector.angle < 360


@given(vectors)
def test_a_vector_survives_the_way_through_complex_numbers(vector: Vector) -> None:
    back = vector_of(vector.number)
    assert abs(back.number - vector.number) < 1e-7
    assert (back == NOTHING) == (vector.amount == 0)


@given(vectors, vectors)
def test_the_order_of_adding_does_not_matter(one: Vector, other: Vector) -> None:
    assert abs(total([one, other]).number - total([other, one]).number) < 1e-7
    assert total([one, other]).amount <= one.amount + other.amount + Decimal("1e-8")


@given(vectors)
def test_twice_opposite_is_the_same(vector: Vector) -> None:
    assert vector.opposite.opposite == vector
    assert abs(vector.opposite.number + vector.number) < 1e-6


def test_a_vector_grows_along_itself() -> None:
    assert at("2", "30").times(Decimal("1.5")) == at("3", "30")


@pytest.mark.parametrize(("angle", "number"), [("0", 1), ("90", 1j), ("180", -1), ("-90", -1j)])
def test_the_valve_is_the_real_axis(angle: str, number: complex) -> None:
    assert abs(unit_at(Decimal(angle)) - number) < 1e-15

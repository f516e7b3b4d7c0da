"""Linear programs: worked ones from the handbooks, and the corners of small ones tried all."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.linear import Conditions, Numbers, conditions, least_cost


def table(rows: list[list[float]], least: list[float]) -> Conditions:
    """Conditions from a whole table of factors."""
    by = np.array(rows, dtype=float)
    at = np.broadcast_to(np.arange(by.shape[1]), by.shape)
    return Conditions(np.array(at), by, np.array(least, dtype=float))


def test_the_glass_works_of_the_handbook() -> None:
    """Hillier and Lieberman, chapter 3 (from memory): most of 3x + 5y, x <= 4, 2y <= 12, 3x + 2y <= 18."""
    under = table([[-1, 0], [0, -2], [-3, -2], [1, 0], [0, 1]], [-4, -12, -18, 0, 0])
    found = least_cost(np.array([-3.0, -5.0]), under, np.ones(2))
    assert found == pytest.approx([2, 6], abs=1e-6)


def test_the_diet_of_two_foods() -> None:
    """By hand: 2a + b >= 8 and a + 2b >= 7 meet at (3, 2), dearer everywhere else for costs 3 and 2."""
    under = table([[2, 1], [1, 2], [1, 0], [0, 1]], [8, 7, 0, 0])
    assert least_cost(np.array([3.0, 2.0]), under, np.zeros(2)) == pytest.approx([3, 2], abs=1e-6)


@pytest.mark.parametrize("start", [[0.0, 0.0], [50.0, -50.0], [3.0, 2.0]])
def test_the_start_may_hold_no_condition(start: list[float]) -> None:
    under = table([[2, 1], [1, 2], [1, 0], [0, 1]], [8, 7, 0, 0])
    assert least_cost(np.array([3.0, 2.0]), under, np.array(start)) == pytest.approx([3, 2], abs=1e-6)


def test_conditions_of_unlike_width_stand_together() -> None:
    one = conditions([0, 1], [1.0, 1.0], np.array([3.0]))
    both = one + conditions([np.array([0, 1])], [1.0], np.array([0.5, 0.25]))
    assert both.sums(np.array([2.0, 5.0])).tolist() == [7, 2, 5]
    assert both.spread(np.array([1.0, 2.0, 4.0]), 2).tolist() == [3, 5]


def test_a_condition_said_twice_changes_nothing() -> None:
    once = table([[1, 0], [0, 1]], [1, 2])
    assert least_cost(np.ones(2), once + once, np.zeros(2)) == pytest.approx([1, 2], abs=1e-6)


def lowest_corner(cost: Numbers, under: Conditions) -> float:
    """The least cost of all places where two conditions meet and the others hold."""
    costs = [
        float(cost @ np.linalg.solve(under.by[list(two)], under.least[list(two)]))
        for two in combinations(range(len(under.least)), 2)
        if abs(np.linalg.det(under.by[list(two)])) > 1e-6
        and (
            under.sums(np.linalg.solve(under.by[list(two)], under.least[list(two)])) >= under.least - 1e-7
        ).all()
    ]
    return min(costs)


factor = st.integers(-5, 5).map(float)


@settings(deadline=None)
@given(
    st.lists(st.tuples(factor, factor), max_size=5),
    st.lists(st.floats(0.1, 3), min_size=5, max_size=5),
    st.tuples(factor, factor),
)
def test_no_corner_costs_less(rows: list[tuple[float, float]], room: list[float], cost: list[float]) -> None:
    """A box about 0 keeps the answer near; every other condition leaves 0 inside."""
    box = [[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]]
    under = table([*box, *map(list, rows)], [-1.0] * 4 + [-it for it in room[: len(rows)]])
    found = least_cost(np.array(cost), under, np.zeros(2))
    assert (under.sums(found) >= under.least - 1e-6).all()
    assert float(np.array(cost) @ found) == pytest.approx(lowest_corner(np.array(cost), under), abs=1e-6)

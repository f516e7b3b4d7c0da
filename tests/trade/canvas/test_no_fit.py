"""No-fit shapes: shapely's own overlap test agrees wherever it is asked."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from app.trade.canvas.no_fit import NoFits, Ring, no_fit, triangles

SQUARE: Ring = ((0, 0), (10, 0), (10, 10), (0, 10))
NOTCHED: Ring = ((0, 0), (30, 0), (30, 20), (20, 20), (20, 8), (10, 8), (10, 20), (0, 20))
FLAG: Ring = ((0, 0), (14, 3), (2, 9))


def test_triangles_cover_the_outline() -> None:
    for corners in (SQUARE, NOTCHED, FLAG):
        parts = [shapely.Polygon(part) for part in triangles(corners)]
        assert sum(part.area for part in parts) == pytest.approx(shapely.Polygon(corners).area)
        assert shapely.union_all(parts).equals_exact(
            shapely.Polygon(corners).normalize(), 1e-9, normalize=True
        )


def test_two_squares_overlap_within_a_square_of_twice_the_side() -> None:
    found = no_fit(triangles(SQUARE), triangles(SQUARE), 0)
    assert found.equals(shapely.box(-10, -10, 10, 10))  # by hand


def test_a_piece_may_lie_in_the_notch_where_it_just_fits() -> None:
    peg: Ring = ((0, 0), (9, 0), (9, 12), (0, 12))
    found = no_fit(triangles(NOTCHED), triangles(peg), 0)
    assert not found.contains(shapely.Point(10.5, 8.5))  # 10 wide and open at the top
    assert found.contains(shapely.Point(10.5, 7))
    assert found.contains(shapely.Point(12, 8.5))


def test_slack_lets_a_piece_into_a_notch_of_its_own_width() -> None:
    peg: Ring = ((0, 0), (10, 0), (10, 12), (0, 12))
    places = NoFits(0.001).free(shapely.box(5, 8, 15, 20), [(NOTCHED, 0.0, 0.0)], peg)
    assert min(abs(x - 10) + abs(y - 8) for x, y in places) < 0.01


def test_nothing_is_free_in_a_full_room() -> None:
    assert len(NoFits(0.001).free(shapely.box(0, 0, 1, 1), [(SQUARE, 0.0, 0.0)], SQUARE)) == 0


@pytest.mark.parametrize(
    ("lying", "moving"), [(SQUARE, FLAG), (NOTCHED, FLAG), (NOTCHED, NOTCHED), (FLAG, SQUARE)]
)
@given(x=st.floats(-40, 40), y=st.floats(-40, 40))
def test_inside_the_no_fit_shape_is_overlap_and_outside_is_none(
    lying: Ring, moving: Ring, x: float, y: float
) -> None:
    fixed = shapely.Polygon(lying)
    moved = shapely.transform(shapely.Polygon(moving), lambda corners: corners + np.array([x, y]))
    blocked = no_fit(triangles(lying), triangles(moving), 0)
    here = shapely.Point(x, y)
    if blocked.boundary.distance(here) > 1e-6:
        assert blocked.contains(here) == (fixed.intersection(moved).area > 0)

"""No-fit shapes: shapely's own overlap test agrees wherever it is asked."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.no_fit import NoFits, Ring, convex_parts, no_fit, triangles

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


@pytest.mark.parametrize(("corners", "number"), [(SQUARE, 1), (FLAG, 1), (NOTCHED, 3)])
def test_convex_parts_are_few_and_make_up_the_outline(corners: Ring, number: int) -> None:
    parts = [shapely.Polygon(part) for part in convex_parts(corners)]
    assert len(parts) == number
    assert all(part.equals(part.convex_hull) and part.exterior.is_ccw for part in parts)
    assert shapely.union_all(parts).symmetric_difference(shapely.Polygon(corners)).area < 1e-9


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
@settings(deadline=None)
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


@settings(deadline=None)
@given(w=st.integers(1, 50), h=st.integers(1, 50), u=st.integers(1, 50), v=st.integers(1, 50))
def test_two_oblongs_overlap_within_the_sum_of_their_sides(w: int, h: int, u: int, v: int) -> None:
    """By hand: the moving one's origin may not be from -u to w, nor from -v to h."""
    lying: Ring = ((0, 0), (w, 0), (w, h), (0, h))
    moving: Ring = ((0, 0), (u, 0), (u, v), (0, v))
    assert no_fit(triangles(lying), triangles(moving), 0).equals(shapely.box(-u, -v, w, h))


def test_convex_no_fits_follow_minkowskis_theorem() -> None:
    """Perimeters add up: the sum of two convex outlines is as long round as both together."""
    for one, other in ((SQUARE, FLAG), (FLAG, FLAG), (SQUARE, SQUARE)):
        found = no_fit(triangles(one), triangles(other), 0)
        assert found.length == pytest.approx(shapely.Polygon(one).length + shapely.Polygon(other).length)


def test_changing_places_turns_the_no_fit_shape_by_half() -> None:
    here = no_fit(triangles(NOTCHED), triangles(FLAG), 0)
    there = no_fit(triangles(FLAG), triangles(NOTCHED), 0)
    turned = shapely.transform(there, lambda corners: -corners)
    assert here.symmetric_difference(turned).area < 1e-6


def test_each_pair_is_worked_out_once() -> None:
    known = NoFits(0.001)
    assert known.between(SQUARE, FLAG) is known.between(SQUARE, FLAG)
    assert known.between(SQUARE, FLAG) is not known.between(FLAG, SQUARE)


def test_free_places_keep_clear_of_everything_that_lies() -> None:
    lying = [(SQUARE, 0.0, 0.0), (NOTCHED, 12.0, 0.0)]
    places = NoFits(0.001).free(shapely.box(0, 0, 60, 30), lying, FLAG)
    assert len(places)
    for x, y in places:
        moved = shapely.transform(shapely.Polygon(FLAG), lambda corners: corners + np.array([x, y]))  # noqa: B023
        for corners, right, up in lying:
            fixed = shapely.Polygon([(a + right, b + up) for a, b in corners])
            assert fixed.intersection(moved).area < 0.1

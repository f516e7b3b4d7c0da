"""Edges between pieces: shapely's own overlap test agrees wherever it is asked."""

from decimal import Decimal

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.edges import Edges
from app.trade.canvas.laying import ONE_WAY, Strip, ToCut
from app.trade.canvas.outline import outline_of
from app.trade.canvas.ways import Kit

SQUARE = outline_of([0, 10, 10 + 10j, 10j])
NOTCHED = outline_of([0, 30, 30 + 20j, 20 + 20j, 20 + 8j, 10 + 8j, 10 + 20j, 20j])
FLAG = outline_of([0, 14 + 3j, 2 + 9j])
KIT = Kit(
    Strip(Decimal(100)),
    [ToCut(f"P{at}", it, turns=ONE_WAY) for at, it in enumerate([SQUARE, NOTCHED, FLAG])],
)
EDGES = Edges(KIT)


def inside(lying: int, moving: int, right: float, up: float) -> float:
    """How deep the moving piece lies in the other; less than 0 where it does not."""
    normals, out = EDGES.between(lying, moving)
    return float((out - normals @ np.array([right, up])).min(axis=1).max())


def test_how_deep_two_squares_lie_in_each_other_by_hand() -> None:
    assert inside(0, 0, 7, 1) == pytest.approx(3)
    assert inside(0, 0, -7, 9.5) == pytest.approx(0.5)
    assert inside(0, 0, 10, 4) == pytest.approx(0)
    assert inside(0, 0, 12, 4) == pytest.approx(-2)


def test_a_piece_in_a_notch_lies_in_no_part() -> None:
    assert inside(1, 0, 10, 8) == pytest.approx(0)
    assert inside(1, 0, 10, 7) == pytest.approx(1)
    assert inside(1, 0, 11, 8) == pytest.approx(1)


def test_edges_are_of_length_one_or_filled_up() -> None:
    normals, out = EDGES.between(1, 2)
    real = np.isfinite(out)
    assert np.hypot(*normals[real].T) == pytest.approx(1)
    assert real.any(axis=1).all()
    assert not normals[~real].any()


@pytest.mark.parametrize(("lying", "moving"), [(0, 2), (1, 2), (1, 1), (2, 0), (2, 1)])
@settings(deadline=None)
@given(x=st.floats(-40, 40), y=st.floats(-40, 40))
def test_beyond_the_edges_there_is_no_overlap(lying: int, moving: int, x: float, y: float) -> None:
    fixed = shapely.Polygon(KIT.ways[lying].corners)
    moved = shapely.transform(
        shapely.Polygon(KIT.ways[moving].corners), lambda corners: corners + np.array([x, y])
    )
    deep = inside(lying, moving, x, y)
    if abs(deep) > 1e-6:
        assert (deep > 0) == (fixed.intersection(moved).area > 0)


@given(x=st.floats(-40, 40), y=st.floats(-40, 40))
def test_seen_from_the_other_piece_it_is_as_deep(x: float, y: float) -> None:
    assert inside(1, 2, x, y) == pytest.approx(inside(2, 1, -x, -y))

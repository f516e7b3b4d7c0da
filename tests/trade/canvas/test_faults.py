"""Faults of outlines: edges are named, and shapely agrees on what crosses."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from app.trade.canvas.faults import crossed, crossings, faults, meet
from app.trade.canvas.outline import Corner, Edge, Outline, outline_of
from tests.trade.canvas.shapes import CONVEX, NOTCHED


def told(*places: complex) -> list[tuple[str, str, bool]]:
    return [(it.field, it.says.replace("\u00a0", " "), it.ask) for it in faults(outline_of(places))]


def test_a_plain_wall_has_no_faults() -> None:
    assert told(0, 2400, 2400 + 1200j, 1200j) == []


def test_a_bow_tie_names_the_edges_that_cross() -> None:
    assert told(0, 1000 + 1000j, 1000, 1000j)[0] == ("A-B", "Edge A to B crosses edge C to D", False)


def test_a_corner_that_touches_a_far_edge_crosses_it() -> None:
    assert ("A-B", "Edge A to B crosses edge C to D", False) in told(0, 1000, 1000 + 500j, 500, 500j)


def test_two_corners_in_one_place_are_an_edge_without_length() -> None:
    assert ("B-C", "Edge B to C has no length", False) in told(0, 1000, 1000, 1000j)


def test_corners_in_one_line_enclose_nothing() -> None:
    assert ("A-C", "All corners lie on the line A to C", False) in told(0, 500, 1200)


def test_a_corner_that_folds_back_is_a_spike() -> None:
    # tan(1 degree) is 0.0175: 1,000 along and 17 up is less than 2 degrees at A, and at B too.
    fields = {field for field, says, _ in told(0, 1000, 500 + 8j) if "folds back" in says}
    assert fields == {"A", "B"}


def test_corners_that_run_with_the_clock_are_asked_about() -> None:
    field, says, ask = told(0, 1200j, 2400 + 1200j, 2400)[0]
    assert (field, ask) == ("A", True)
    assert "inside face" in says


@pytest.mark.parametrize(
    ("width", "edges"), [(49, ["B-C", "A-D"]), (50, []), (8000, []), (8001, ["A-B", "C-D"])]
)
def test_a_very_short_or_long_edge_is_asked_about(width: int, edges: list[str]) -> None:
    # Common practice: 50 to 8,000 mm for a piece of a folding tent.
    up, along = (width, 1000) if width < 1000 else (1000, width)
    found = told(0, along, complex(along, up), complex(0, up))
    assert [field for field, _, ask in found if ask] == edges


def test_an_inch_value_in_a_millimetre_field_is_asked_about_in_both_units() -> None:
    says = told(0, 48, 48 + 1200j, 1200j)[0][1]
    assert says == "Edge A to B would be 48 mm (1.9 in)"  # 48 in was meant


def test_problems_say_what_is_accepted() -> None:
    assert all(it.accepts for it in faults(outline_of([0, 1000 + 1000j, 1000, 1000j])))


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=4, max_size=8, unique=True))
def test_shapely_finds_the_same_outlines_unsound(places: list[tuple[int, int]]) -> None:
    """On a coarse lattice, where touching and lying on each other are common."""
    corners = (Corner(f"C{at}", Decimal(x), Decimal(y)) for at, (x, y) in enumerate(places))
    outline = Outline(tuple(corners))
    refused = [it for it in faults(outline) if not it.ask]
    if not Polygon(places).is_valid:
        assert refused
    elif not any("folds back" in it.says for it in refused):
        assert not crossings(outline)
        assert not refused


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_good_pieces_have_no_refused_faults(piece: Outline) -> None:
    assert not [it for it in faults(piece) if not it.ask]
    assert not crossings(piece)


@settings(deadline=None)
@given(CONVEX, st.integers(0, 3))
def test_corners_taken_in_the_wrong_order_cross(piece: Outline, at: int) -> None:
    """Two neighbours changed over: the two edges that lead to them cross, as long as there are four."""
    corners = list(piece.corners)
    if len(corners) < 4:
        return
    one, other = at % len(corners), (at + 1) % len(corners)
    corners[one], corners[other] = corners[other], corners[one]
    told = crossings(Outline(tuple(corners)))
    assert len(told) >= 1
    named = {name for problem in told for name in (problem.field,)}
    assert all("-" in name for name in named)


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_a_piece_seen_from_inside_is_asked_about_once(piece: Outline) -> None:
    backward = Outline(tuple(reversed(piece.corners)))
    told = [it for it in faults(backward) if "inside face" in it.says]
    assert len(told) == 1
    assert told[0].ask


@pytest.mark.parametrize("lean", [1.9, 2.1, 178])
def test_a_spike_is_refused_up_to_two_degrees(lean: float) -> None:
    tip = 1000 * complex(math.cos(math.radians(lean)), math.sin(math.radians(lean)))
    told = [it for it in faults(outline_of([0, 1000, tip])) if "folds back" in it.says]
    assert [it.field for it in told][:1] == (["A"] if lean < 2 else ["B"] if lean == 178 else [])


@settings(deadline=None)
@given(st.integers(0, 10), st.integers(0, 10), st.integers(0, 10), st.integers(0, 10))
def test_two_edges_meet_as_shapely_says(x: int, y: int, u: int, v: int) -> None:
    one = Edge(Corner("A", Decimal(2), Decimal(3)), Corner("B", Decimal(8), Decimal(6)))
    other = Edge(Corner("C", Decimal(x), Decimal(y)), Corner("D", Decimal(u), Decimal(v)))
    lines = LineString([(2, 3), (8, 6)]), LineString([(x, y), (u, v)])
    if (x, y) != (u, v):
        assert meet(one, other) == lines[0].intersects(lines[1])


def test_a_bow_tie_of_no_area_is_not_said_to_lie_on_a_line() -> None:
    # Its two halves are equal and turn opposite ways: the signed area is 0, and yet no line holds it.
    assert [says for _, says, _ in told(0, 1000 + 800j, 1000, 800j)] == ["Edge A to B crosses edge C to D"]


def test_both_edges_that_cross_are_named_for_the_drawing() -> None:
    assert crossed(outline_of([0, 1000 + 800j, 1000, 800j])) == {"A-B", "C-D"}
    assert crossed(outline_of([0, 1000, 1000 + 800j, 800j])) == set()

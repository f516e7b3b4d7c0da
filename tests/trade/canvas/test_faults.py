"""Faults of outlines: edges are named, and shapely agrees on what crosses."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from app.trade.canvas.faults import crossings, faults
from app.trade.canvas.outline import Corner, Outline, outline_of


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

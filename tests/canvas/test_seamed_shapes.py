"""Seams and mates over any piece: what is sewn to its own mirror fits, and what was read wrong does not."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.canvas.rules import lettered_as, sides_of
from app.trade.canvas.mates import mate_problems, ring_problems, seam_problems
from app.trade.canvas.outline import Outline, outline_of
from tests.canvas.test_measured_shapes import convex

FEW = settings(max_examples=40, deadline=None)


def stretched(piece: Outline, corner: int, by: float) -> Outline:
    """The piece with one corner moved outward from its middle."""
    places = [it.number for it in piece.corners]
    middle = sum(places) / len(places)
    places[corner] += (places[corner] - middle) / abs(places[corner] - middle) * by
    return outline_of(places)


@FEW
@given(convex())
def test_every_edge_of_a_piece_is_sewn_to_that_of_its_mirror(piece: Outline) -> None:
    known = {1: ("wall", piece), 2: ("mate", piece.mirrored())}
    for edge in piece.edges:
        (one,), (other,) = (sides_of([f"{key}:{edge.name}"], known) for key in (1, 2))
        assert seam_problems(one, other) == ()


@FEW
@given(convex())
def test_all_edges_of_a_piece_in_one_run_are_its_perimeter(piece: Outline) -> None:
    (side,) = sides_of([f"1:{edge.name}" for edge in piece.edges], {1: ("wall", piece)})
    assert float(side.length) == pytest.approx(float(piece.perimeter), abs=1e-6)


@FEW
@given(convex(), st.integers(0, 6), st.floats(25, 60))
def test_a_mate_with_one_corner_elsewhere_is_told(piece: Outline, corner: int, by: float) -> None:
    # A corner of a convex piece moved outward by 25 mm or more makes some length to it over 8 mm longer.
    mate = stretched(piece, corner % len(piece.corners), by).mirrored()
    assert mate_problems(piece, lettered_as(piece, outline_of([it.number for it in mate.corners]))) != ()


@FEW
@given(convex())
def test_a_mate_as_it_was_measured_by_itself_is_no_fault(piece: Outline) -> None:
    mate = outline_of([corner.number for corner in piece.mirrored().corners])
    assert mate_problems(piece, lettered_as(piece, mate)) == ()


@FEW
@given(
    st.integers(1200, 3000), st.integers(1000, 2000), st.integers(600, 1500), st.sampled_from([0, 5, 7, 40])
)
def test_four_walls_close_round_a_roof_within_six_millimetres(
    wide: int, deep: int, high: int, short: int
) -> None:
    # Opposite walls are as long as the roof's edges; one of them is `short` millimetres less.
    roof = outline_of([0, wide, complex(wide, deep), complex(0, deep)])
    tops = [wide, deep, wide, deep - short]
    walls = {
        key: (f"wall {key}", outline_of([0, top, complex(top, high), complex(0, high)]))
        for key, top in enumerate(tops, 2)
    }
    one = sides_of([f"{key}:C-D" for key in walls], walls)
    (other,) = sides_of(["1:A-B", "1:B-C", "1:C-D", "1:A-D"], {1: ("roof", roof)})
    found = ring_problems(one, other)
    assert (found == ()) is (short <= 6)
    assert all("shorter than" in problem.says for problem in found)


@FEW
@given(st.integers(700, 3000), st.decimals(-100, 100, places=1))
def test_an_ease_that_is_named_is_taken_off_the_difference(long: int, ease: Decimal) -> None:
    one = outline_of([0, complex(float(long + ease)), complex(float(long + ease), 600), 600j])
    other = outline_of([0, long, complex(long, 600), 600j])
    known = {1: ("wall", one), 2: ("end", other)}
    (first,), (second,) = sides_of(["1:A-B"], known), sides_of(["2:A-B"], known)
    told = seam_problems(first, second, ease)
    assert all(problem.ask for problem in told)
    assert bool(told) is (abs(ease) > Decimal("0.01") * min(first.length, second.length))

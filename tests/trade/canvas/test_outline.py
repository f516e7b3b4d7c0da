"""Outlines against Euclid, handbook formulas and shapely."""

import math
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from app.trade.canvas.outline import Corner, Outline, edge_name, length_said, letters, outline_of
from app.trade.problems import Impossible
from tests.trade.canvas.shapes import CONVEX, NOTCHED, sizes

END_PANEL = outline_of([0, 2150, 2150 + 1180j, 1075 + 1420j, 1180j])
L_SHAPE = outline_of([0, 2000, 2000 + 1000j, 1000 + 1000j, 1000 + 2000j, 2000j])


def shape_of(outline: Outline) -> Polygon:
    return Polygon([(float(corner.x), float(corner.y)) for corner in outline.corners])


@pytest.mark.parametrize(
    ("one", "other", "mm"),
    [
        # By hand: the panel's corners are whole millimetres, the rest is the theorem of Pythagoras.
        ("A", "B", "2150"),
        ("B", "C", "1180"),
        ("C", "D", "1101.46"),  # 1075 across, 240 up
        ("D", "E", "1101.46"),
        ("A", "C", "2452.53"),  # 2150 across, 1180 up
        ("A", "D", "1781.02"),  # 1075 across, 1420 up
        ("B", "E", "2452.53"),
    ],
)
def test_lengths_of_an_end_panel_follow_pythagoras(one: str, other: str, mm: str) -> None:
    assert round(END_PANEL.length(one, other), 2) == Decimal(mm)
    assert END_PANEL.length(one, other) == END_PANEL.length(other, one)


def test_the_area_of_an_end_panel_is_its_rectangle_and_its_gable() -> None:
    assert END_PANEL.area == 2150 * 1180 + 2150 * 240 / 2  # by hand


def test_a_triangle_of_the_three_four_five_family_has_herons_area() -> None:
    # Heron: s = 108, sqrt(108 * 36 * 18 * 54) = 1944; 54 and 72 stand square, so 54 * 72 / 2 too.
    assert outline_of([0, 72, 54j]).area == 1944
    assert outline_of([0, 72, 54j]).perimeter == 72 + 54 + 90


def test_inner_angles_sum_to_two_right_angles_for_each_corner_but_two() -> None:
    for outline in (END_PANEL, L_SHAPE, outline_of([0, 300, 150 + 20j])):
        right = 180 * (len(outline.corners) - 2)  # Euclid, Elements, proposition I.32, corollary
        assert abs(sum(outline.angles.values()) - right) < Decimal("0.000001")


def test_an_inward_corner_has_more_than_half_a_turn() -> None:
    assert L_SHAPE.angles == {
        "A": 90,
        "B": 90,
        "C": 90,
        "D": 270,
        "E": 90,
        "F": 90,
    }  # by hand: squares


def test_edges_run_round_and_are_named_from_either_end() -> None:
    assert [edge.name for edge in END_PANEL.edges] == ["A-B", "B-C", "C-D", "D-E", "A-E"]
    assert END_PANEL.edge("A-E").words == "A to E"
    assert edge_name("E", "A") == edge_name("A", "E") == "A-E"
    for edge, following in pairwise(END_PANEL.edges):
        assert edge.end == following.start


def test_the_middle_of_an_edge_lies_half_way() -> None:
    assert END_PANEL.edge("A-B").middle == (1075, 0)
    assert END_PANEL.edge("C-D").middle == (Decimal("1612.5"), 1300)  # by hand


def test_an_unknown_edge_or_corner_is_a_slip() -> None:
    with pytest.raises(KeyError):
        END_PANEL.edge("A-C")
    with pytest.raises(KeyError):
        END_PANEL.corner("Z")


def test_the_box_of_a_piece_is_from_corner_to_corner() -> None:
    moved = END_PANEL.moved(Decimal(-500), Decimal(70))
    assert (moved.width, moved.height) == (2150, 1420)
    assert (moved.at_origin().corners[0].x, moved.at_origin().corners[0].y) == (0, 0)


def test_quarter_turns_are_exact_and_change_width_and_height() -> None:
    turned = END_PANEL.turned(Decimal(90))
    assert (turned.width, turned.height) == (1420, 2150)
    assert END_PANEL.turned(Decimal(360)) == END_PANEL
    assert END_PANEL.turned(Decimal(180)).turned(Decimal(180)) == END_PANEL
    assert turned.area == END_PANEL.area


def test_an_eighth_of_a_turn_stands_a_square_on_its_corner() -> None:
    square = outline_of([0, 100, 100 + 100j, 100j]).turned(Decimal(45))
    assert abs(square.width - Decimal("141.421356237")) < Decimal("0.000001")  # 100 times root 2


def test_a_mate_is_the_mirror_with_the_same_letters_over_each_other() -> None:
    piece = outline_of([0, 900, 700 + 500j, 400j])
    mate = piece.mirrored()
    assert mate.signed_area == piece.signed_area > 0  # still against the clock, so a face outside
    for one, other in ("AB", "BC", "CD", "AD", "AC", "BD"):
        assert mate.length(one, other) == piece.length(one, other)
    assert {edge.name for edge in mate.edges} == {edge.name for edge in piece.edges}
    assert mate.corner("A").x == 900  # what was left is right now
    assert mate.mirrored() == piece.at_origin()


def test_corners_with_the_clock_have_an_area_under_zero() -> None:
    outside_in = Outline(tuple(reversed(END_PANEL.corners)))
    assert outside_in.signed_area == -END_PANEL.area
    assert outside_in.area == END_PANEL.area


@pytest.mark.parametrize("count", [0, 2, 27])
def test_a_piece_has_three_to_twenty_six_corners(count: int) -> None:
    with pytest.raises(Impossible, match="3 to 26 corners"):
        letters(count)


def test_two_corners_are_no_piece() -> None:
    with pytest.raises(Impossible, match="at least 3"):
        Outline((Corner("A", Decimal(0), Decimal(0)), Corner("B", Decimal(1), Decimal(0))))


def test_a_length_is_said_in_both_units() -> None:
    said = length_said(Decimal(2438)).replace("\u00a0", " ")
    assert said == "2,438 mm (96.0 in)"  # 96 in = 2438.4 mm: the inch is 25.4 mm


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(-3000, 3000), st.integers(-3000, 3000)), min_size=3, max_size=9, unique=True
    ),
    st.integers(0, 359),
)
def test_area_and_way_round_agree_with_shapely(places: list[tuple[int, int]], degrees: int) -> None:
    outline = outline_of([complex(x, y) for x, y in places])
    assert float(outline.perimeter) == pytest.approx(shape_of(outline).length)
    ring = shape_of(outline)
    if ring.is_valid:
        assert float(outline.area) == pytest.approx(ring.area)
        assert float(outline.turned(Decimal(degrees)).area) == pytest.approx(ring.area, abs=0.01)
        assert (outline.signed_area > 0) == ring.exterior.is_ccw


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.integers(-5000, 5000), st.integers(-5000, 5000), st.integers(0, 359))
def test_moving_and_turning_keep_all_lengths_and_angles(
    piece: Outline, right: int, up: int, degrees: int
) -> None:
    there = piece.turned(Decimal(degrees)).moved(Decimal(right), Decimal(up))
    assert sizes(there) == pytest.approx(sizes(piece), abs=1e-5)
    for name, angle in piece.angles.items():
        assert abs(there.angles[name] - angle) < Decimal("0.001")
    assert there.signed_area > 0


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_a_mirror_changes_the_hand_and_nothing_else(piece: Outline) -> None:
    mate = piece.mirrored()
    for name, angle in piece.angles.items():
        assert abs(mate.angles[name] - angle) < Decimal("0.001")
    for edge in piece.edges:
        assert mate.edge(edge.name).length == edge.length
        assert (mate.edge(edge.name).start.name, mate.edge(edge.name).end.name) == (
            edge.end.name,
            edge.start.name,
        )
    assert min(corner.x for corner in mate.corners) == min(corner.y for corner in mate.corners) == 0


@settings(deadline=None)
@given(CONVEX)
def test_angles_of_a_convex_piece_are_all_under_half_a_turn(piece: Outline) -> None:
    assert all(0 < angle < 180 for angle in piece.angles.values())


@settings(deadline=None)
@given(NOTCHED)
def test_only_the_notch_turns_inward(piece: Outline) -> None:
    assert [name for name, angle in piece.angles.items() if angle > 180] == ["D"]


@settings(deadline=None)
@given(st.integers(1, 4000), st.integers(1, 4000), st.integers(1, 4000))
def test_triangles_have_herons_area(one: int, other: int, height: int) -> None:
    triangle = outline_of([0, one + other, complex(one, height)])
    a, b, c = (float(edge.length) for edge in triangle.edges)
    s = (a + b + c) / 2
    assert float(triangle.area) == pytest.approx(
        math.sqrt(max(s * (s - a) * (s - b) * (s - c), 0)), rel=1e-6, abs=0.01
    )


@pytest.mark.parametrize("turns", [1, 2, 3, 5, -1])
def test_quarter_turns_go_round(turns: int) -> None:
    """By hand: (2, 1) goes to (-1, 2), (-2, -1), (1, -2) and round again."""
    corner = Corner("A", Decimal(2), Decimal(1)).turned(Decimal(90 * turns))
    assert (corner.x, corner.y) == [(2, 1), (-1, 2), (-2, -1), (1, -2)][turns % 4]


# A wall taped as 2,438 by 1,180 whose sides close within a millimetre or two, as laid out from its tapes.
LEANING = outline_of([0, 2437.8, 2439.9 + 1180.3j, 1.4 + 1180.9j])


def test_a_size_is_told_as_the_side_that_runs_across_has_it() -> None:
    # Box: 2,439.9 by 1,180.9. Sides by Pythagoras: A-B 2,437.8, C-D 2,438.5, B-C 1,180.3, A-D 1,180.9.
    assert (LEANING.width, LEANING.height) == (Decimal("2439.9"), Decimal("1180.9"))
    assert round(LEANING.told_width, 1) == Decimal("2438.5")
    assert round(LEANING.told_height, 1) == Decimal("1180.9")


def test_where_no_side_runs_across_a_size_is_that_of_its_outermost_corners() -> None:
    assert END_PANEL.told_width == 2150  # A to B
    assert END_PANEL.told_height == 1420  # the peak, to which no side runs straight up
    slanted = outline_of([0, 300 + 30j, 0 + 60j])  # two sides of 301.5, which lean over 30 mm
    assert slanted.told_width == slanted.edge("A-B").length
    steep = outline_of([0, 1000, 1000 + 900j])  # A to C is 1,345 long, no width
    assert (steep.told_width, steep.told_height) == (1000, 900)

"""Paths, arrows, angles of text and places of labels, by hand."""

import math
from decimal import Decimal

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.drawn import Frame, arrow, closed, kept, line, lines, readable, spot, widest
from app.trade.canvas.outline import Outline, outline_of
from tests.trade.canvas.shapes import CONVEX, NOTCHED


def test_paths_are_plain_text() -> None:
    assert line([0, 10 + 5j]) == "M0.00 0.00L10.00 5.00"
    assert closed([0, 10, 10j]) == "M0.00 0.00L10.00 0.00L0.00 10.00Z"
    assert lines([(0, 1), (2, 3)]) == "M0.00 0.00L1.00 0.00M2.00 0.00L3.00 0.00"


def test_no_number_is_minus_nothing() -> None:
    assert str(kept(-0.001)) == "0.00"
    assert str(spot(complex(-0.004, 1.005))) in ("0.00,1.01", "0.00,1.00")
    assert str(kept(2.675)) == "2.68"  # half up, as written


def test_the_frame_turns_y_downwards() -> None:
    frame = Frame(0.1, 20 + 100j)
    assert frame.at(0j) == 20 + 100j
    assert frame.at(100 + 50j) == 30 + 95j
    assert frame.outline(outline_of([0, 100, 100j])) == "M20.00 100.00L30.00 100.00L20.00 90.00Z"


@pytest.mark.parametrize(
    ("way", "angle"),
    [(1, 0), (-1, 0), (1j, -90), (-1j, -90), (1 + 1j, 45), (-1 - 1j, 45), (1 - 1j, -45), (-1 + 1j, -45)],
)
def test_text_is_read_from_below_or_from_the_right(way: complex, angle: int) -> None:
    """y runs down, so -90 degrees stands upright and is read from the right."""
    assert readable(way) == angle


def test_an_arrow_runs_through_its_middle() -> None:
    shaft, head = arrow(50 + 50j, 2, 20, 4).split("M")[1:]
    assert shaft == "40.00 50.00L60.00 50.00"
    # By hand: the head's wings stand 30 degrees off the shaft: 4 cos 30 = 3.46 back, 2 to either side.
    assert head == "56.54 52.00L60.00 50.00L56.54 48.00"


def test_a_label_stands_in_the_middle_of_a_plain_piece() -> None:
    middle, room = widest(outline_of([0, 2400, 2400 + 260j, 260j]))
    assert (middle, room) == (1200 + 130j, 130)


def test_a_label_keeps_out_of_a_notch() -> None:
    notched = outline_of([0, 1000, 1000 + 1000j, 900 + 1000j, 900 + 100j, 100 + 100j, 100 + 1000j, 1000j])
    middle, room = widest(notched)
    # By hand: walls of 100; the widest circle sits in a corner, of radius 100 / (1 + 1 / root 2) = 58.6.
    assert room == pytest.approx(100 / (1 + 1 / math.sqrt(2)), abs=3)
    assert min(middle.real, 1000 - middle.real, middle.imag) < 100


def test_a_crossing_piece_has_its_label_in_the_middle_of_its_box() -> None:
    assert widest(outline_of([0, 100 + 100j, 100, 100j])) == (50 + 50j, 0)


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_a_label_stands_in_its_piece_with_the_room_that_is_told(piece: Outline) -> None:
    middle, room = widest(piece)
    shape = shapely.Polygon(piece.ring)
    here = shapely.Point(middle.real, middle.imag)
    assert shape.contains(here)
    assert shape.exterior.distance(here) == pytest.approx(room, rel=0.01)
    most = shapely.maximum_inscribed_circle(shape).length
    assert room >= 0.7 * most


@settings(deadline=None)
@given(st.floats(-3.1, 3.1))
def test_no_text_stands_on_its_head(angle: float) -> None:
    way = complex(math.cos(angle), math.sin(angle))
    assert -90 <= readable(way) <= 90
    back = readable(-way)
    assert abs(back - readable(way)) < Decimal("0.05") or abs(abs(back - readable(way)) - 180) < Decimal(
        "0.05"
    )

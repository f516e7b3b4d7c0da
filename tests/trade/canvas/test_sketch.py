"""Sketches: scale, dimensions and marks read back from their paths."""

import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.allowances import Allowance, EdgeKind, cut_piece
from app.trade.canvas.faults import faults
from app.trade.canvas.outline import Outline, outline_of
from app.trade.canvas.sketch import Paper, Shown, Sketch, sketch, thumbnail
from app.trade.problems import Problem
from tests.trade.canvas.shapes import CONVEX, NOTCHED

END_PANEL = outline_of([0, 2150, 2150 + 1180j, 1075 + 1420j, 1180j])


def places(path: str) -> list[complex]:
    numbers = [float(it) for it in re.findall(r"-?\d+\.\d+", path)]
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def inside(found: Sketch) -> bool:
    drawn = [found.finished, found.cut, found.warp, found.ruler.path]
    drawn += [dimension.lines + dimension.ticks for dimension in found.dimensions]
    return all(
        0 <= it.real <= found.width and 0 <= it.imag <= found.height for path in drawn for it in places(path)
    )


def test_a_panel_is_drawn_at_one_to_twenty() -> None:
    # By hand: 2,150 by 1,420 on 134 by 72 mm of paper needs 19.7, so 1 to 20.
    found = sketch(Shown(END_PANEL))
    assert found.scale == "1 to 20"
    assert (found.width, found.height) == (
        Decimal("147.50"),
        Decimal("111.00"),
    )  # 107.5 and 71, with 20 round
    assert inside(found)


@pytest.mark.parametrize(
    ("mm", "scale"), [(70, "1 to 1"), (130, "1 to 2"), (500, "1 to 10"), (9000, "1 to 100")]
)
def test_the_largest_scale_that_fits_is_taken(mm: int, scale: str) -> None:
    square = outline_of([0, mm, complex(mm, mm), complex(0, mm)])
    assert sketch(Shown(square)).scale == (scale if mm < 9000 else "1 to 100")


def test_the_sketch_keeps_all_proportions() -> None:
    found = places(sketch(Shown(END_PANEL)).finished)
    for one, other, mm in ((0, 1, 2150), (1, 2, 1180), (0, 2, 2452.53), (0, 3, 1781.02)):  # Pythagoras
        assert abs(found[one] - found[other]) * 20 == pytest.approx(mm, abs=0.5)
    assert found[3].imag < found[0].imag  # the gable is up: y grows downwards


def test_each_edge_has_its_number_outside_the_piece() -> None:
    found = sketch(Shown(END_PANEL))
    assert [it.number for it in found.dimensions] == ["2,150", "1,180", "1,101", "1,101", "1,180"]
    bottom, right, slope, *_ = found.dimensions
    corners = places(found.finished)
    assert bottom.place.y > max(it.imag for it in corners)
    assert right.place.x > max(it.real for it in corners)
    assert (bottom.angle, right.angle) == (0, -90)
    assert slope.angle == Decimal("12.59")  # by hand: 240 up in 1,075 is 12.585 degrees


def test_numbers_may_be_inches() -> None:
    found = sketch(Shown(END_PANEL), Paper(unit="in"))
    assert found.dimensions[0].number == "84.6"  # 2150 / 25.4


def test_letters_stand_inside_their_corners() -> None:
    notched = outline_of([0, 2000, 2000 + 1000j, 1000 + 1000j, 1000 + 2000j, 2000j])
    for piece in (END_PANEL, notched):
        found = sketch(Shown(piece))
        for letter, corner in zip(found.letters, places(found.finished), strict=True):
            place = complex(float(letter.place.x), float(letter.place.y))
            assert abs(place - corner) == pytest.approx(4.5, abs=0.02)
            assert _holds(places(found.finished), place), letter.name


def _holds(corners: list[complex], place: complex) -> bool:
    """Even-odd rule: how often a line to the right crosses the outline."""
    crossed = False
    for one, other in zip(corners, [*corners[1:], corners[0]], strict=True):
        if (one.imag > place.imag) != (other.imag > place.imag):
            at = one.real + (place.imag - one.imag) * (other.real - one.real) / (other.imag - one.imag)
            crossed ^= at > place.real
    return crossed


def test_the_cut_line_lies_round_the_finished_line() -> None:
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(20)) for edge in END_PANEL.edges}
    found = sketch(Shown(END_PANEL, cut_piece(END_PANEL, allowances).cut))
    assert found.scale == "1 to 25"
    assert places(found.cut)[0] - places(found.finished)[0] == pytest.approx(-0.8 + 0.8j)  # 20 / 25
    assert inside(found)


def test_edges_and_corners_with_problems_are_marked() -> None:
    told = (Problem("C-D", "C to D is 8 mm longer than the others make it"), Problem("B", "flat"))
    found = sketch(Shown(END_PANEL, problems=told))
    assert [it.name for it in found.dimensions if it.wrong] == ["C-D"]
    assert [it.name for it in found.letters if it.wrong] == ["B"]
    assert places(found.dimensions[2].edge) == places(found.finished)[2:4]


def test_a_crossing_draft_is_drawn_with_its_edges_marked() -> None:
    crossed = outline_of([0, 1000 + 1000j, 1000, 1000j])
    found = sketch(Shown(crossed, problems=faults(crossed)))
    assert [it.name for it in found.dimensions if it.wrong] == ["A-B", "C-D"]
    assert inside(found)


def test_the_warp_runs_as_it_is_told() -> None:
    for angle, way in ((0, 1), (90, -1j), (180, -1)):
        tail, tip = places(sketch(Shown(END_PANEL, warp_angle=Decimal(angle))).warp)[:2]
        assert (tip - tail) / abs(tip - tail) == pytest.approx(way)


def test_the_ruler_measures_the_cloth() -> None:
    found = sketch(Shown(END_PANEL))
    assert found.ruler.end.x - found.ruler.start.x == 50
    assert found.ruler.says == "1,000 mm"  # 50 mm of paper at 1 to 20


def test_two_corners_in_one_place_do_not_stop_the_sketch() -> None:
    doubled = Outline((*END_PANEL.corners[:2], END_PANEL.corners[1], *END_PANEL.corners[2:]))
    assert sketch(Shown(doubled, problems=faults(doubled))).dimensions[1].number == "0"


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.integers(0, 359))
def test_any_piece_fits_its_paper_with_all_its_numbers(outline: Outline, warp: int) -> None:
    found = sketch(Shown(outline, warp_angle=Decimal(warp)))
    assert found.width <= 174
    assert found.height <= 112
    assert inside(found)
    assert [it.name for it in found.dimensions] == [edge.name for edge in outline.edges]
    scale = int(found.scale.removeprefix("1 to "))
    for dimension, edge in zip(found.dimensions, outline.edges, strict=True):
        start, end = places(dimension.edge)
        assert abs(end - start) * scale == pytest.approx(float(edge.length), abs=0.015 * scale)
        assert -90 <= dimension.angle <= 90


@settings(deadline=None)
@given(CONVEX)
def test_numbers_stand_outside_and_letters_inside(outline: Outline) -> None:
    found = sketch(Shown(outline))
    corners = places(found.finished)
    for dimension in found.dimensions:
        assert not _holds(corners, complex(float(dimension.place.x), float(dimension.place.y)))
    for letter in found.letters:
        assert _holds(corners, complex(float(letter.place.x), float(letter.place.y)))


@settings(deadline=None)
@given(NOTCHED)
def test_a_draft_is_drawn_to_scale_with_its_cut_line(outline: Outline) -> None:
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(13)) for edge in outline.edges}
    cut = cut_piece(outline, allowances).cut
    found = sketch(Shown(outline, cut))
    scale = int(found.scale.removeprefix("1 to "))
    box = [places(found.cut), places(found.finished)]
    widths = [max(it.real for it in path) - min(it.real for it in path) for path in box]
    assert widths[0] * scale == pytest.approx(float(cut.width), abs=0.015 * scale)
    assert widths[0] > widths[1]


def test_letters_of_a_slim_piece_stand_apart() -> None:
    # A skirt of 2,400 by 100: at 1 to 20 its ends are 5 mm of paper, a letter about 3 mm high.
    found = sketch(Shown(outline_of([0, 2400, 2400 + 100j, 100j])))
    at = {letter.name: letter.place for letter in found.letters}
    assert at["A"].y - at["D"].y > 3
    assert at["B"].y - at["C"].y > 3


def test_a_diagonal_that_a_problem_names_is_drawn_with_its_name() -> None:
    problems = (Problem("B-E", "B to E is long"), Problem("A-B", "a side"), Problem("Q-R", "elsewhere"))
    found = sketch(Shown(END_PANEL, problems=problems))
    (across,) = found.across
    assert across.name == "B to E"
    start, end = places(across.path)
    assert abs(start - end) * 20 == pytest.approx(2452.53, abs=0.5)  # Pythagoras: 2150 and 1180
    assert [dimension.name for dimension in found.dimensions if dimension.wrong] == ["A-B"]


def test_nothing_lies_across_a_piece_without_a_fault() -> None:
    assert sketch(Shown(END_PANEL)).across == ()


L_SHAPED = outline_of([0, 1200, 1200 + 400j, 500 + 400j, 500 + 1900j, 1900j])


@pytest.mark.parametrize("outline", [END_PANEL, outline_of([0, 9000, 9000 + 20j, 20j]), L_SHAPED])
def test_a_thumbnail_fills_its_box_in_one_direction_and_leaves_it_in_none(outline: Outline) -> None:
    found = thumbnail(Shown(outline, warp_angle=Decimal(90)), 20, 15)
    assert found.width <= 20
    assert found.height <= 15
    assert found.width == 20 or found.height == 15
    drawn = places(found.finished)
    across = max(it.real for it in drawn) - min(it.real for it in drawn)
    up = max(it.imag for it in drawn) - min(it.imag for it in drawn)
    assert across * float(outline.height) == pytest.approx(up * float(outline.width), abs=0.01 * 9000)


def test_a_thumbnail_names_the_corners_and_shows_the_warp() -> None:
    found = thumbnail(Shown(END_PANEL, warp_angle=Decimal(90)), 20, 15)
    assert [it.name for it in found.letters] == ["A", "B", "C", "D", "E"]
    tail, tip = places(found.warp)[:2]
    assert tip.imag < tail.imag  # up the piece: y grows downwards
    assert tip.real == pytest.approx(tail.real, abs=0.01)
    corners = places(found.finished)
    for letter, corner in zip(found.letters, corners, strict=True):
        assert abs(complex(float(letter.place.x), float(letter.place.y)) - corner) <= 2.5

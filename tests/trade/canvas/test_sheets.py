"""Full size on sheets: nothing of the piece is lost, and neighbours overlap for the tape."""

import re
from decimal import Decimal

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.outline import Corner, Edge, Outline, outline_of
from app.trade.canvas.sheets import A4, LETTER, TABLOID, Paperstock, Tile, full_size, plotter_page
from app.trade.problems import Impossible
from tests.trade.canvas.shapes import CONVEX, NOTCHED

GUSSET = outline_of([0, 1100, 260 + 560j, 560j])


def on_paper(outline: Outline) -> shapely.Polygon:
    top = max(it.y for it in outline.corners)
    left = min(it.x for it in outline.corners)
    return shapely.Polygon([(float(it.x - left), float(top - it.y)) for it in outline.corners])


@pytest.mark.parametrize("paper", [LETTER, TABLOID, A4])
def test_printed_and_left_out_sheets_together_cover_the_whole_piece(paper: Paperstock) -> None:
    found = full_size(GUSSET, None, paper)
    windows = [shapely.box(*map(float, _corners(it))) for it in (*found.tiles, *found.left_out)]
    assert shapely.union_all(windows).buffer(0.001).contains(on_paper(GUSSET))


def test_inner_sheets_without_a_line_are_left_out() -> None:
    # By hand, A4: 190 by 258 mm are shown, each further sheet 180 by 248 more. 1,000 by 1,000 are
    # 1 + ceil(810 / 180) = 6 across by 1 + ceil(742 / 248) = 4 down; the 16 round the rim bear the line.
    square = full_size(outline_of([0, 1000, 1000 + 1000j, 1000j]), None, A4)
    assert [it.mark for it in square.left_out] == ["B2", "B3", "B4", "B5", "C2", "C3", "C4", "C5"]
    assert len(square.tiles) == 16
    assert [it.words for it in square.across] == ["A to C", "B to D"]
    assert all(way.length == pytest.approx(Decimal("1414.21"), abs=Decimal("0.01")) for way in square.across)


def test_the_warp_of_a_frame_lies_on_a_printed_sheet() -> None:
    square = full_size(outline_of([0, 1000, 1000 + 1000j, 1000j]), None, A4, Decimal(90))
    numbers = [float(it) for it in re.findall(r"-?\d+\.\d+", square.warp)]
    stroke = shapely.LineString([numbers[0:2], numbers[2:4]])
    assert any(shapely.box(*map(float, _corners(it))).contains(stroke) for it in square.tiles)
    assert stroke.length > 80


def test_sheets_are_counted_with_their_overlap() -> None:
    # By hand, letter: 195.9 by 259.4 can be printed, 19 of it are heading and ruler; each further sheet
    # shows 185.9 by 230.4 more.
    # 1,100 wide: 1 + ceil(904.1 / 185.9) = 6; 560 high: 1 + ceil(319.6 / 230.4) = 3.
    found = full_size(GUSSET, None, LETTER)
    assert (found.columns, found.rows) == (6, 3)
    assert len(found.tiles) < 18  # the sheets beyond the slope are empty


def test_one_sheet_is_enough_for_a_small_piece() -> None:
    flap = outline_of([0, 195, 195 + 240j, 240j])
    (tile,) = full_size(flap, None, LETTER).tiles
    assert (tile.mark, tile.view_box) == ("A1", "0.0 0.0 195.9 240.4")


def test_neighbours_overlap_by_ten_millimetres() -> None:
    one, other = full_size(GUSSET, None, A4).tiles[:2]
    assert (one.mark, other.mark) in {("A1", "A2")}
    assert one.x + one.width - other.x == 10


def test_paths_are_in_millimetres_of_full_size() -> None:
    found = full_size(GUSSET, outline_of([20 + 20j, 900 + 20j, 250 + 500j]))
    assert found.cut == "M0.00 560.00L1100.00 560.00L260.00 0.00L0.00 0.00Z"
    assert found.stitch.startswith("M20.00 540.00L900.00 540.00")
    assert (found.width, found.height) == (1100, 560)


def test_rows_go_on_after_z() -> None:
    tall = outline_of([0, 50, 50 + 7000j, 7000j])
    marks = [it.mark for it in full_size(tall, None, LETTER).tiles]
    assert marks[:2] == ["A1", "B1"]
    assert marks[25:28] == ["Z1", "AA1", "AB1"]


def test_notches_are_drawn_at_full_size() -> None:
    # A notch half way along the lower edge of a gusset 560 high, from its stitch line 13 mm out.
    notch = Edge(Corner("n", Decimal(550), Decimal(0)), Corner("n*", Decimal(550), Decimal(-13)))
    found = full_size(GUSSET, None, notches=(notch,))
    assert found.notches == "M550.00 560.00L550.00 573.00"
    assert full_size(GUSSET, None).notches == ""


def test_a_piece_for_a_plotter_is_refused_on_sheets() -> None:
    # letter: 1 + ceil(29,804.1 / 185.9) = 162 across, 1 + ceil(24,759.6 / 230.4) = 109 down, 538 on the rim
    with pytest.raises(Impossible, match="This takes 538 sheets"):
        full_size(outline_of([0, 30000, 30000 + 25000j, 25000j]), None, LETTER)
    with pytest.raises(Impossible, match="This takes 37584 sheets"):  # 216 by 174
        full_size(outline_of([0, 40000, 40000 + 40000j, 40000j]), None, LETTER)


def test_a_plotter_page_has_room_for_the_ruler() -> None:
    page = plotter_page(Decimal(1500), Decimal(12840))
    assert page.view_box == "-20 -20 12880 1540"


@pytest.mark.parametrize(("paper", "inches"), [(LETTER, ("8.5", "11")), (TABLOID, ("11", "17"))])
def test_sheets_are_as_large_as_their_standard_says(paper: Paperstock, inches: tuple[str, str]) -> None:
    assert (paper.width, paper.height) == tuple(Decimal(it) * Decimal("25.4") for it in inches)  # ASME Y14.1
    assert (A4.width, A4.height) == (210, 297)  # ISO 216


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.sampled_from([LETTER, TABLOID, A4]))
def test_no_line_of_any_piece_is_lost_between_the_sheets(outline: Outline, paper: Paperstock) -> None:
    found = full_size(outline, None, paper)
    shape = on_paper(outline)
    windows = [shapely.box(*(float(it) for it in _corners(tile))) for tile in found.tiles]
    assert shapely.union_all(windows).buffer(0.02).contains(shape.boundary)
    inner = [shapely.box(*(float(it) for it in _corners(tile))) for tile in found.left_out]
    assert not any(window.buffer(-0.02).intersects(shape.boundary) for window in inner)
    assert len(found.tiles) <= found.rows * found.columns


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.sampled_from([LETTER, A4]))
def test_a_code_lies_on_no_line_within_its_sheet(outline: Outline, paper: Paperstock) -> None:
    line = on_paper(outline).boundary
    for tile in full_size(outline, None, paper).tiles:
        if tile.free is None:
            continue
        x, y = (float(start) + place for start, place in zip((tile.x, tile.y), tile.free, strict=True))
        assert not shapely.box(x, y, x + 20, y + 20).intersects(line)
        assert tile.free[0] + 20 <= tile.width
        assert tile.free[1] + 20 <= tile.height


def _corners(tile: Tile) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    return tile.x, tile.y, tile.x + tile.width, tile.y + tile.height


@settings(deadline=None)
@given(st.integers(100, 3000), st.integers(100, 2000))
def test_no_sheet_more_is_printed_than_the_box_needs(width: int, height: int) -> None:
    """One sheet less along either side would not reach the end."""
    box = outline_of([0, width, complex(width, height), complex(0, height)])
    found = full_size(box, None, A4)
    reach = [A4.inner[at] + A4.step[at] * (count - 1) for at, count in enumerate((found.columns, found.rows))]
    assert reach[0] >= width
    assert reach[1] >= height
    assert found.columns == 1 or reach[0] - A4.step[0] < width
    assert found.rows == 1 or reach[1] - A4.step[1] < height


def drawn(path: str) -> list[complex]:
    """The starts of all strokes of a path."""
    return [complex(float(x), float(y)) for x, y in re.findall(r"M(-?[\d.]+) (-?[\d.]+)", path)]


@pytest.mark.parametrize("paper", [LETTER, A4])
def test_the_ruler_is_100_mm_above_and_4_inches_below(paper: Paperstock) -> None:
    ups = [it.real for it in drawn(paper.ruler.split("v3")[0].rsplit("v-3", 1)[0])[1:]]
    assert max(ups) - min(ups) == pytest.approx(100)
    assert len(ups) == 11
    downs = [float(it) for it in re.findall(r"M(-?[\d.]+) -?[\d.]+v3", paper.ruler)]
    assert max(downs) - min(downs) == pytest.approx(4 * 25.4)  # 1 in is 25.4 mm exactly
    assert len(downs) == 5


@pytest.mark.parametrize("paper", [LETTER, TABLOID, A4])
def test_ruler_and_its_words_lie_within_their_strip_below_the_drawing(paper: Paperstock) -> None:
    right, down = paper.says_at
    assert 105 < right < paper.inner[0] - 50
    assert 3 < down < paper.foot - 3  # ticks of 3 mm above and below
    for it in drawn(paper.ruler):
        assert 0 < it.real < float(paper.inner[0])
        assert 3 <= it.imag <= float(paper.foot) - 3
    printed = paper.height - 2 * paper.margin
    assert paper.head + paper.inner[1] + paper.foot == printed


def test_register_crosses_of_neighbours_lie_on_each_other() -> None:
    found = full_size(GUSSET, None, LETTER)
    tiles = {tile.mark: set(drawn(tile.marks(LETTER))) for tile in found.tiles}
    beside, below = tiles["B1"] & tiles["B2"], tiles["A1"] & tiles["B1"]
    assert len(beside) == 4  # two crosses of two strokes each, along the edge that they share
    assert len(below) == 4
    assert len({it.real for it in beside}) == 2  # a stroke across starts 3 mm before the upright one
    assert not tiles["A1"] & tiles["C3"]


def test_the_warp_arrow_and_letters_are_drawn_at_full_size() -> None:
    found = full_size(GUSSET, None, LETTER, warp_angle=Decimal(90))
    numbers = [float(it) for it in re.findall(r"-?\d+\.\d+", found.warp)]
    assert numbers[3] < numbers[1]  # upwards: y grows downwards
    assert numbers[0] == pytest.approx(numbers[2], abs=0.01)
    assert 100 < numbers[1] - numbers[3] <= 200
    assert [it.name for it in found.letters] == ["A", "B", "C", "D"]


def test_the_last_sheet_is_named_though_it_may_be_empty() -> None:
    assert full_size(GUSSET, None, LETTER).last == "C6"

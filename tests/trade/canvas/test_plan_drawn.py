"""Cut plans drawn in bands: every piece shown to scale, named once, its warp along the roll."""

import re
from decimal import Decimal
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut
from app.trade.canvas.outline import Outline, outline_of
from app.trade.canvas.plan_drawn import bands
from app.trade.problems import Impossible
from tests.trade.canvas.shapes import CONVEX, NOTCHED
from tests.trade.canvas.test_bottom_left import CLOTH, TENT

WALL = ToCut("W", outline_of([0, 1000, 1000 + 500j, 500j]), 3)


def row() -> CutPlan:
    laid = tuple(Laid(WALL, copy, Decimal(0), Decimal(1000 * (copy - 1)), Decimal(0)) for copy in (1, 2, 3))
    return CutPlan(Strip(Decimal(1500)), laid, "laid by hand")


def places(path: str) -> list[complex]:
    numbers = [float(it) for it in re.findall(r"-?\d+\.\d+", path)]
    return [complex(x, y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def test_a_short_plan_is_one_band_to_scale() -> None:
    (band,) = bands(row(), width=1200)
    assert (band.width, band.height) == (1200, 600)  # 3,000 by 1,500 mm at 0.4
    corners = places(band.shapes[1].cut)
    assert corners == [400 + 600j, 800 + 600j, 800 + 400j, 400 + 400j]
    assert band.words == "from 0.00 to 3.00 m: W1, W2, W3"


def test_a_long_plan_goes_on_in_bands_of_one_length() -> None:
    found = bands(row(), width=1000, longest=Decimal(2000))
    assert [(band.start, band.end) for band in found] == [(0, 1500), (1500, 3000)]
    assert [[it.label for it in band.shapes] for band in found] == [["W1", "W2"], ["W2", "W3"]]


def test_each_piece_is_named_in_one_band_only() -> None:
    for longest in (1000, 2000, 3000, 6500):
        found = bands(first_plan(CLOTH, TENT), longest=Decimal(longest))
        named = [it.label for band in found for it in band.shapes if it.here]
        assert sorted(named) == sorted(it.label for it in first_plan(CLOTH, TENT).laid)


@pytest.mark.parametrize("longest", [700, 1000, 2000, 3000])
def test_a_label_stands_clear_of_the_ends_of_its_band_and_within_its_piece(longest: int) -> None:
    for band in bands(first_plan(CLOTH, TENT), width=1000, longest=Decimal(longest)):
        for shape in (it for it in band.shapes if it.here):
            drawn = shapely.Polygon([(it.real, it.imag) for it in places(shape.cut)]).buffer(0.1)
            assert drawn.contains(shapely.Point(float(shape.place.x), float(shape.place.y)))
            room = min(72, float(shape.room))
            assert 0 <= float(shape.place.x) <= 1000
            if float(shape.room) >= 72:
                assert room - 0.1 <= float(shape.place.x) <= 1000.1 - room


def test_metres_are_marked_along_the_roll() -> None:
    (band,) = bands(row(), width=1200)
    assert [(int(it.x), it.says) for it in band.ticks] == [
        (0, "0 m"), (200, ""), (400, "1 m"), (600, ""), (800, "2 m"), (1000, ""), (1200, "3 m"),
    ]  # fmt: skip
    second = bands(row(), width=1000, longest=Decimal(2000))[1]
    assert [(int(it.x), it.says) for it in second.ticks][:2] == [(0, ""), (333, "2 m")]


def test_a_piece_turned_by_half_points_the_other_way() -> None:
    plan = CutPlan(
        Strip(Decimal(1500)),
        (
            Laid(WALL, 1, Decimal(0), Decimal(0), Decimal(0)),
            Laid(WALL, 2, Decimal(180), Decimal(0), Decimal(600)),
        ),
        "laid by hand",
    )
    one, other = (places(it.warp) for it in bands(plan)[0].shapes)
    assert (one[1] - one[0]).real > 0 > (other[1] - other[0]).real


def test_the_stitch_line_lies_inside_the_cut_line() -> None:
    finished = outline_of([20 + 20j, 980 + 20j, 980 + 480j, 20 + 480j])
    (band,) = bands(row(), width=1200, stitch={"W": finished})
    cut, stitch = places(band.shapes[0].cut), places(band.shapes[0].stitch)
    assert stitch[0] - cut[0] == 8 - 8j  # 20 mm at 0.4, y upwards on the cloth
    assert not bands(row())[0].shapes[0].stitch


def test_a_thin_piece_has_its_arrow_beside_its_label() -> None:
    skirt = ToCut("K", outline_of([0, 2400, 2400 + 100j, 100j]))
    plan = CutPlan(Strip(Decimal(1500)), (Laid(skirt, 1, Decimal(0), Decimal(0), Decimal(0)),), "by hand")
    shape = bands(plan)[0].shapes[0]
    assert all(it.imag == pytest.approx(float(shape.place.y), abs=5) for it in places(shape.warp))
    assert min(it.real for it in places(shape.warp)) > float(shape.place.x) + 20


def test_an_empty_plan_has_no_drawing() -> None:
    with pytest.raises(Impossible, match="Nothing is laid"):
        bands(CutPlan(CLOTH, (), "nothing"))


@settings(deadline=None)
@given(st.lists(st.tuples(CONVEX | NOTCHED, st.sampled_from([0, 180])), min_size=1, max_size=4))
def test_pieces_are_drawn_where_they_lie(pieces: list[tuple[Outline, int]]) -> None:
    """Read back from the paths, every piece has its area, and all stand within the cloth's height."""
    strip, laid, right = Strip(Decimal(5000)), [], Decimal(0)
    for at, (outline, turn) in enumerate(pieces):
        piece = ToCut(f"P{at}.", outline)
        laid.append(Laid(piece, 1, Decimal(turn), right, Decimal(10)))
        right += outline.width
    (band,) = bands(CutPlan(strip, tuple(laid), "in a row"), width=2000, longest=Decimal(99_999))
    scale = 2000 / float(right)
    for shape, one in zip(band.shapes, laid, strict=True):
        drawn = shapely.Polygon([(it.real, it.imag) for it in places(shape.cut)])
        assert drawn.area == pytest.approx(float(one.piece.outline.area) * scale**2, rel=0.02)
        assert drawn.bounds[3] <= float(band.height)
        assert drawn.contains(shapely.Point(float(shape.place.x), float(shape.place.y)))
        assert shape.here


@pytest.mark.parametrize("longest", [700, 1000, 2500, 6500])
def test_bands_cover_the_plan_without_a_gap(longest: int) -> None:
    plan = first_plan(CLOTH, TENT)
    found = bands(plan, longest=Decimal(longest))
    assert found[0].start == 0
    assert abs(found[-1].end - plan.length) < Decimal("0.001")
    for one, following in pairwise(found):
        assert one.end == following.start
        assert abs((one.end - one.start) - (following.end - following.start)) < Decimal("0.001")
    assert all(band.end - band.start <= longest for band in found)

"""Ways to lie: those that look the same are one, and plans come back as they went in."""

from decimal import Decimal

import numpy as np
import pytest

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import EITHER_END, ONE_WAY, QUARTERS, Strip, ToCut, Turns, unsound
from app.trade.canvas.outline import outline_of
from app.trade.canvas.ways import Kit, common_measure, ways
from tests.trade.canvas.published import NAMES, instance
from tests.trade.canvas.test_bottom_left import CLOTH, TENT

SQUARE = outline_of([0, 100, 100 + 100j, 100j])
OBLONG = outline_of([0, 200, 200 + 100j, 100j])
FLAG = outline_of([0, 300, 40 + 200j])


@pytest.mark.parametrize(
    ("piece", "number"),
    [
        (ToCut("S", SQUARE, turns=QUARTERS), 1),
        (ToCut("O", OBLONG, turns=QUARTERS), 2),
        (ToCut("O", OBLONG, turns=EITHER_END), 1),
        (ToCut("F", FLAG, turns=QUARTERS), 4),
        (ToCut("F", FLAG, turns=ONE_WAY), 1),
    ],
)
def test_turns_that_look_the_same_are_one_way(piece: ToCut, number: int) -> None:
    assert len(ways(CLOTH, piece)) == number


def test_a_way_that_is_too_wide_is_left_out() -> None:
    narrow = Strip(Decimal(150))
    assert [way.turn for way in ways(narrow, ToCut("O", OBLONG, turns=QUARTERS))] == [0]


def test_the_gap_grows_the_outline_and_not_the_box() -> None:
    way = ways(Strip(Decimal(1500), gap=Decimal(20)), ToCut("S", SQUARE))[0]
    assert (way.length, way.height) == (100, 100)
    corners = np.array(sorted(way.corners))
    assert corners == pytest.approx(np.array([(-10, -10), (-10, 110), (110, -10), (110, 110)]))


@pytest.mark.parametrize("turns", [ONE_WAY, EITHER_END, QUARTERS])
def test_a_plan_comes_back_as_it_went_in(turns: Turns) -> None:
    pieces = [ToCut("F", FLAG, 3, turns), ToCut("O", OBLONG, 2, turns, Decimal(30))]
    plan, kit = first_plan(CLOTH, pieces), Kit(CLOTH, pieces)
    lying = kit.lying(plan)
    back = kit.plan(lying, "again")
    assert not unsound(back, pieces)
    assert back.length == pytest.approx(plan.length)
    assert kit.length(lying) == pytest.approx(float(plan.length))
    assert [it.label for it in back.laid] == ["F1", "F2", "F3", "O1", "O2"]
    assert {(it.label, it.right, it.up) for it in back.laid} == {
        (it.label, it.right, it.up) for it in plan.laid
    }


def test_another_turn_that_looks_the_same_is_taken_for_its_way() -> None:
    piece = ToCut("O", OBLONG, turns=EITHER_END)
    plan, kit = first_plan(CLOTH, [piece]), Kit(CLOTH, [piece])
    turned = plan.laid[0].__class__(piece, 1, Decimal(180), Decimal(5), Decimal(7))
    lying = kit.lying(plan.__class__(CLOTH, (turned,), "by hand"))
    assert (lying.way.tolist(), lying.right.tolist(), lying.up.tolist()) == ([0], [5], [7])


def test_copies_of_a_piece_share_its_ways() -> None:
    kit = Kit(CLOTH, TENT)
    assert len(kit.choices) == sum(piece.copies for piece in TENT)
    assert sorted({at for choice in kit.choices for at in choice}) == list(range(len(kit.ways)))
    assert kit.lengths.tolist() == [way.length for way in kit.ways]


@pytest.mark.parametrize("name", NAMES)
def test_the_side_of_an_average_piece(name: str) -> None:
    known = instance(name)
    kit = Kit(known.strip, known.pieces)
    assert kit.side**2 * known.count == pytest.approx(float(known.area), rel=1e-3)


def test_lying_goes_by_the_box_of_the_piece() -> None:
    strip = Strip(Decimal(150), gap=Decimal(6))
    plan, kit = first_plan(strip, [ToCut("S", SQUARE, 2)]), Kit(strip, [ToCut("S", SQUARE, 2)])
    assert np.sort(kit.lying(plan).right) == pytest.approx([0, 106], abs=1e-4)


@pytest.mark.parametrize(
    ("sizes", "measure"),
    [
        (["6", "15"], "3"),
        (["0.5", "1.25"], "0.25"),
        (["200", "1000"], "200"),
        (["0", "7"], "7"),
        (["0"], "0"),
        ([], "0"),
    ],
)
def test_sizes_have_a_common_measure(sizes: list[str], measure: str) -> None:
    assert common_measure(map(Decimal, sizes)) == Decimal(measure)


def test_outlines_are_drawn_on_what_measures_all_their_corners_and_the_gap() -> None:
    assert Kit(Strip(Decimal(300)), [ToCut("S", SQUARE), ToCut("O", OBLONG)]).drawn_on == 100
    assert Kit(Strip(Decimal(300)), [ToCut("S", SQUARE), ToCut("F", FLAG)]).drawn_on == 20
    assert Kit(Strip(Decimal(300), Decimal(5)), [ToCut("S", SQUARE), ToCut("O", OBLONG)]).drawn_on == 5


def test_turned_askew_an_outline_is_drawn_on_no_grid() -> None:
    askew = ToCut("O", OBLONG, warp_angle=Decimal(10))
    assert Kit(Strip(Decimal(300)), [askew]).drawn_on < 1

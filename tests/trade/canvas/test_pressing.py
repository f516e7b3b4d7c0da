"""Pressing: nothing overlaps afterwards, nothing gets longer, and what is worked out by hand comes out."""

from decimal import Decimal

import numpy as np
import pytest

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.edges import Edges
from app.trade.canvas.laying import ONE_WAY, Strip, ToCut, unsound
from app.trade.canvas.outline import outline_of
from app.trade.canvas.pressing import Press
from app.trade.canvas.ways import Kit, Lying
from tests.trade.canvas.published import NAMES, instance
from tests.trade.canvas.test_bottom_left import CLOTH, TENT

SQUARE = ToCut("S", outline_of([0, 100, 100 + 100j, 100j]), 2, ONE_WAY)
WEDGE = ToCut("W", outline_of([0, 300, 300j]), 1, ONE_WAY)
BEVEL = ToCut("B", outline_of([300, 300 + 300j, 300j]), 1, ONE_WAY)


def kit_of(width: int, *pieces: ToCut, gap: int = 0) -> Kit:
    return Kit(Strip(Decimal(width), Decimal(gap)), pieces)


def at(*places: tuple[float, float], ways: list[int] | None = None) -> Lying:
    """Copies at these places, of the first way each where no other is told."""
    right, up = np.array(places, dtype=float).T
    return Lying(np.array(ways or [0] * len(places)), right, up)


def pressed(kit: Kit, lying: Lying) -> Lying | None:
    return Press(kit, Edges(kit)).pressed(lying)


def test_two_squares_one_behind_the_other_close_up() -> None:
    kit = kit_of(100, SQUARE)
    found = pressed(kit, at((0, 0), (130, 0)))
    assert found
    assert kit.length(found) == pytest.approx(200, abs=1e-4)


def test_two_squares_beside_each_other_come_to_the_start() -> None:
    kit = kit_of(200, SQUARE)
    found = pressed(kit, at((40, 0), (70, 100)))
    assert found
    assert kit.length(found) == pytest.approx(100, abs=1e-4)


def test_the_gap_is_kept() -> None:
    kit = kit_of(100, SQUARE, gap=6)
    found = pressed(kit, at((0, 0), (130, 0)))
    assert found
    assert kit.length(found) == pytest.approx(206, abs=1e-4)


def test_two_wedges_slide_along_each_other() -> None:
    """By hand: two right triangles of 300 make up a square; pressed along the slope, they do."""
    kit = kit_of(300, WEDGE, BEVEL)
    found = pressed(kit, at((0, 0), (60, 0), ways=[0, 1]))
    assert found
    assert kit.length(found) == pytest.approx(300, abs=1e-3)


def test_a_slight_overlap_is_parted() -> None:
    kit = kit_of(100, SQUARE)
    found = pressed(kit, at((0, 0), (95, 0)))
    assert found
    assert not unsound(kit.plan(found, "pressed"), [SQUARE])
    assert kit.length(found) == pytest.approx(200, abs=1e-4)


def test_pieces_a_little_off_the_cloth_are_moved_onto_it() -> None:
    kit = kit_of(200, SQUARE)
    found = pressed(kit, at((-3, 104), (2, -5)))
    assert found
    assert not unsound(kit.plan(found, "pressed"), [SQUARE])
    assert kit.length(found) == pytest.approx(100, abs=1e-4)


def test_pieces_that_lie_on_each_other_stay_stuck() -> None:
    """Three rounds of a seventh of the side each way: 86 at most, not 100."""
    assert pressed(kit_of(100, SQUARE), at((20, 0), (21, 0))) is None


@pytest.mark.parametrize("name", NAMES)
def test_first_plans_are_pressed_soundly(name: str) -> None:
    known = instance(name)
    kit = Kit(known.strip, known.pieces)
    first = kit.lying(first_plan(known.strip, known.pieces))
    found = pressed(kit, first)
    assert found
    assert not unsound(kit.plan(found, "pressed"), known.pieces)
    assert kit.length(found) <= kit.length(first) * (1 + 1e-6)


def test_pressing_shortens_the_first_plan_of_many_shirts() -> None:
    known = instance("shirts")
    kit = Kit(known.strip, known.pieces)
    first = kit.lying(first_plan(known.strip, known.pieces))
    found = pressed(kit, first)
    assert found
    assert kit.length(found) < 0.99 * kit.length(first)


def test_pressing_again_changes_little() -> None:
    kit = Kit(CLOTH, TENT)
    once = pressed(kit, kit.lying(first_plan(CLOTH, TENT)))
    assert once
    again = pressed(kit, once)
    assert again
    assert kit.length(again) == pytest.approx(kit.length(once), rel=1e-3)
    assert again.way.tolist() == once.way.tolist()

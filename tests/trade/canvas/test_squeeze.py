"""Our own search, by counted steps: sound, shorter, and the same again with the same seed."""

from collections.abc import Callable
from decimal import Decimal
from itertools import groupby

import numpy as np
import pytest

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.depths import LET, LET_DRAWN
from app.trade.canvas.edges import Edges
from app.trade.canvas.laying import CutPlan, Strip, ToCut, unsound
from app.trade.canvas.least import at_least
from app.trade.canvas.outline import outline_of
from app.trade.canvas.squeeze import QUICK, SLOW, Squeeze, depths_for
from app.trade.canvas.ways import Kit
from tests.trade.canvas.published import NAMES, Instance, instance
from tests.trade.canvas.test_bottom_left import CLOTH, TENT


def after(times: int) -> Callable[[], bool]:
    """Over once it was asked so many times."""
    left = iter(range(times))
    return lambda: next(left, None) is None


def plan(strip: Strip, pieces: list[ToCut], times: int, seed: int = 1) -> CutPlan:
    kit = Kit(strip, pieces)
    first = kit.lying(first_plan(strip, pieces))
    squeeze = Squeeze(kit, first, seed)
    squeeze.until(after(times))
    return kit.plan(squeeze.best, "squeezed")


def test_a_tent_gets_shorter() -> None:
    found = plan(CLOTH, TENT, 300)
    assert not unsound(found, TENT)
    assert at_least(CLOTH, TENT).value <= found.length < Decimal("0.97") * first_plan(CLOTH, TENT).length


def test_the_longer_it_goes_on_the_shorter() -> None:
    lengths = [plan(CLOTH, TENT, times).length for times in (0, 100, 400)]
    assert lengths == sorted(lengths, reverse=True)


def test_the_same_seed_finds_the_same() -> None:
    once, again = (plan(CLOTH, TENT, 150, seed=3) for _ in range(2))
    assert [(it.turn, it.right, it.up) for it in once.laid] == [
        (it.turn, it.right, it.up) for it in again.laid
    ]


def test_another_seed_finds_another() -> None:
    assert plan(CLOTH, TENT, 150, seed=3).laid != plan(CLOTH, TENT, 150, seed=4).laid


@pytest.mark.parametrize("name", NAMES)
def test_published_pieces_are_squeezed_sound(name: str) -> None:
    known = instance(name)
    found = plan(known.strip, list(known.pieces), 150)
    assert not unsound(found, known.pieces)
    assert known.best * Decimal("0.999") <= found.length
    assert found.length <= first_plan(known.strip, known.pieces).length * Decimal("1.000001")


@pytest.mark.parametrize("name", ["blaz1", "albano"])
def test_few_steps_come_within_a_tenth_of_the_published_length(name: str) -> None:
    """By steps, not by a clock: the first plans are 18 and 14 percent over."""
    known = instance(name)
    found = plan(known.strip, list(known.pieces), 6000)
    assert known.over(found.length) < 10


def stood(squeeze: Squeeze) -> str:
    if np.isinf(squeeze._length):
        return "anew"
    return "quick" if squeeze._pace is QUICK else "slow"


def test_stuck_at_a_length_it_goes_slower_then_begins_anew_and_the_shortest_is_kept() -> None:
    """Six squares of 10 on a strip of 20 cannot lie in less than 30."""
    squares = [ToCut("S", outline_of([0, 10, 10 + 10j, 10j]), 6)]
    strip = Strip(Decimal(20))
    kit = Kit(strip, squares)
    squeeze = Squeeze(kit, kit.lying(first_plan(strip, squares)), seed=1)
    paces = []
    for _ in range(6 * (QUICK.patience + SLOW.patience) + 20):
        squeeze.go_on(lambda: False)
        paces.append(stood(squeeze))
        assert kit.length(squeeze.best) == pytest.approx(30)
    turns = [pace for pace, _ in groupby(paces)]
    assert turns[:4] == ["quick", "slow", "anew", "quick"]  # what was thrown on the strip has come apart
    assert not unsound(kit.plan(squeeze.best, "squeezed"), squares)


def begun(known: Instance, times: int) -> Squeeze:
    """A search of a published instance, some steps on."""
    kit = Kit(known.strip, known.pieces)
    squeeze = Squeeze(kit, kit.lying(first_plan(known.strip, known.pieces)), seed=1)
    squeeze.until(after(times))
    return squeeze


def test_a_shorter_plan_is_taken_up_and_gone_on_from() -> None:
    known = instance("albano")
    short, long = begun(known, 1500), begun(known, 0)
    kit = Kit(known.strip, known.pieces)
    long.take_up(short.best)
    assert kit.length(long.best) == pytest.approx(kit.length(short.best))
    assert stood(long) == "slow"
    long.until(after(1500))
    assert not unsound(kit.plan(long.best, "squeezed"), known.pieces)
    assert kit.length(long.best) < kit.length(short.best)


def test_a_longer_plan_is_not_taken_up() -> None:
    known = instance("albano")
    short, long = begun(known, 1500), begun(known, 0)
    best = short.best
    short.take_up(long.best)
    assert short.best is best
    assert stood(short) == "quick"


def test_one_piece_stays_where_it_is() -> None:
    one = [ToCut("E", outline_of([0, 700, 700 + 735j, 735j]))]
    found = plan(CLOTH, one, 20)
    assert not unsound(found, one)
    assert found.length == pytest.approx(700, rel=Decimal("1e-5"))


def test_a_gap_is_kept_and_the_edges_of_the_cloth_are_used() -> None:
    strip = Strip(Decimal(1500), gap=Decimal(20))
    squares = [ToCut("Q", outline_of([0, 700, 700 + 735j, 735j]), 4)]
    found = plan(strip, squares, 50)
    assert not unsound(found, squares)
    assert found.length == pytest.approx(1420, rel=Decimal("1e-5"))  # by hand: 700, a gap of 20, 700


@pytest.mark.parametrize(("name", "step"), [("fu", 1), ("shapes1", 1), ("blaz1", 1 / 3), ("trousers", 1)])
def test_the_grid_is_the_one_that_outlines_are_drawn_on(name: str, step: float) -> None:
    known = instance(name)
    kit = Kit(known.strip, known.pieces)
    depths = depths_for(kit, Edges(kit))
    assert (depths.step, depths.let) == (pytest.approx(step), LET_DRAWN)


def test_outlines_drawn_much_finer_have_the_usual_grid() -> None:
    """The sizes of a tent are whole millimetres: a grid so fine would be too slow."""
    kit = Kit(CLOTH, TENT)
    depths = depths_for(kit, Edges(kit))
    assert depths.step == pytest.approx(kit.side / (2 * len(kit.copies) ** 0.5))
    assert depths.let == LET

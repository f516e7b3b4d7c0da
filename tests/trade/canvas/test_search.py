"""Searches: sound plans, shorter than the first, and close to what others have published."""

import pickle
import time
from decimal import Decimal
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import Strip, ToCut, unsound
from app.trade.canvas.least import at_least
from app.trade.canvas.outline import outline_of
from app.trade.canvas.search import OURS, TAKEN_UP, Search, _freely, rounds, searched_plan
from app.trade.canvas.squeeze import Squeeze
from app.trade.canvas.ways import Kit
from app.trade.problems import Impossible, Refused
from tests.trade.canvas.published import instance
from tests.trade.canvas.test_bottom_left import CLOTH, TENT

SHORT = Search(1, seed=4)


def test_a_short_search_shortens_the_first_plan_of_a_tent() -> None:
    found = searched_plan(CLOTH, TENT, SHORT, time.monotonic)
    assert found
    assert not unsound(found, TENT)
    assert at_least(CLOTH, TENT).value <= found.length < first_plan(CLOTH, TENT).length


def test_the_same_seed_searches_alike() -> None:
    """The search reads a clock, so the two lengths may differ a little, by how far each came."""
    once, again = (searched_plan(CLOTH, TENT, SHORT, time.monotonic) for _ in range(2))
    assert once
    assert again
    assert abs(once.length / again.length - 1) < Decimal("0.05")
    assert once.found == "search of 1 seconds, seed 4"


@pytest.mark.parametrize(("name", "ours"), [("fu", False), ("marques", True), ("trousers", False)])
def test_few_many_and_very_many_are_found_a_sound_plan(name: str, ours: bool) -> None:
    """No longer than what is laid at once, whether the library has one thread or two."""
    known = instance(name)
    assert (known.count in OURS) is ours
    found = searched_plan(known.strip, known.pieces, SHORT, time.monotonic)
    assert found
    assert not unsound(found, known.pieces)
    assert found.length <= first_plan(known.strip, known.pieces).length


def test_rectangles_are_put_together_edge_to_edge() -> None:
    """C1_1 of Hopper and Turton (2001): 20; searched freely alone, a minute came to 22."""
    known = instance("c1_1")
    found = searched_plan(known.strip, known.pieces, SHORT, time.monotonic)
    assert found
    assert not unsound(found, known.pieces)
    assert found.length == pytest.approx(20, rel=Decimal("1e-6"))


def test_what_the_library_leaves_apart_is_pressed_together() -> None:
    """Its own plans, taken up from one that is far too long: sound and shorter than they came."""
    known = instance("fu")
    kit = Kit(known.strip, known.pieces)
    freely = list(_freely(known.strip, known.pieces, Search(4, seed=2)))
    assert len(freely) == len(rounds(Search(4), known.pieces))
    for before in freely:
        squeeze = Squeeze(kit, kit.lying(first_plan(known.strip, known.pieces)), seed=1)
        squeeze.take_up(kit.lying(before))
        after = kit.plan(squeeze.best, "pressed")
        assert not unsound(after, known.pieces)
        assert after.length < before.length


def test_a_gap_is_kept_and_the_edges_of_the_cloth_are_used() -> None:
    strip = Strip(Decimal(1500), gap=Decimal(20))
    squares = [ToCut("Q", outline_of([0, 700, 700 + 735j, 735j]), 4)]
    found = searched_plan(strip, squares, SHORT, time.monotonic)
    assert found
    assert not unsound(found, squares)
    # By hand: 735, a gap of 20, 735 lie across 1,500 only where the edges get no gap; along, 700, 20, 700.
    assert Decimal("1419.9") < found.length < 1440


def test_a_piece_as_high_as_the_cloth_does_not_stop_the_search() -> None:
    full = [ToCut("R", outline_of([0, 1000, 1000 + 1500j, 1500j]), 2)]
    found = searched_plan(CLOTH, full, SHORT, time.monotonic)
    assert found
    assert not unsound(found, full)


def test_a_crossing_outline_is_refused_by_name() -> None:
    crossed = [ToCut("X", outline_of([0, 1000 + 1000j, 1000, 900j]), 1)]
    with pytest.raises(Refused, match="Piece X: Edge A to B crosses edge C to D"):
        searched_plan(CLOTH, crossed, SHORT, time.monotonic)


def test_a_piece_too_wide_is_refused_by_name() -> None:
    with pytest.raises(Refused, match="Piece R"):
        searched_plan(CLOTH, [ToCut("R", outline_of([0, 100, 100 + 1600j]), 1)], SHORT, time.monotonic)


def test_the_warp_of_a_piece_lies_along_the_roll() -> None:
    upright = [ToCut("U", outline_of([0, 500, 500 + 1400j, 1400j]), 2, warp_angle=Decimal(90))]
    found = searched_plan(CLOTH, upright, SHORT, time.monotonic)
    assert found
    assert all(it.outline.width == 1400 for it in found.laid)


@pytest.mark.parametrize(("seconds", "seed"), [(0, 1), (-1, 1), (3601, 1), (5, -1)])
def test_a_search_takes_a_second_to_an_hour(seconds: int, seed: int) -> None:
    with pytest.raises(Impossible, match="1 to 3,600 seconds"):
        Search(seconds, seed)


@given(st.integers(1, 3600), st.integers(0, 2**31), st.integers(1, 200))
def test_the_rounds_share_the_library_s_seconds_and_no_dice(seconds: int, seed: int, copies: int) -> None:
    search = Search(seconds, seed)
    shared = rounds(search, [ToCut("E", outline_of([0, 100, 100 + 100j]), copies)])
    assert sum(each.seconds for each in shared) == (
        seconds - seconds // TAKEN_UP if copies in OURS else seconds
    )
    assert max(each.seconds for each in shared) - min(each.seconds for each in shared) <= 1
    assert len({each.seed for each in shared}) == len(shared)
    assert shared == rounds(search, [ToCut("E", outline_of([0, 100, 100 + 100j]), copies)])


@pytest.mark.parametrize(
    ("name", "seconds", "number"),
    [("fu", 5, 1), ("fu", 20, 2), ("fu", 60, 8), ("mao", 60, 1), ("mao", 120, 3), ("shirts", 60, 1)],
)
def test_few_pieces_are_begun_anew_more_often_than_many(name: str, seconds: int, number: int) -> None:
    assert len(rounds(Search(seconds), instance(name).pieces)) == number


def test_another_search_has_other_dice() -> None:
    once, again = (rounds(Search(60, seed), TENT[:2]) for seed in (1, 2))
    assert not {each.seed for each in once} & {each.seed for each in again}


def test_several_rounds_give_one_sound_plan() -> None:
    few = TENT[:2]
    search = Search(4, seed=4)
    assert len(rounds(search, few)) == 2
    found = searched_plan(CLOTH, few, search, time.monotonic)
    assert found
    assert not unsound(found, few)
    assert found.found == "search of 4 seconds, seed 4"


@pytest.mark.parametrize("name", ["marques", "albano"])
def test_published_pieces_are_searched_sound(name: str) -> None:
    """How near the published lengths it comes in a minute is told by `python -m tests.bench.nesting`."""
    known = instance(name)
    found = searched_plan(known.strip, known.pieces, Search(2, seed=1), time.monotonic)
    assert found
    assert not unsound(found, known.pieces)
    assert 0 <= known.over(found.length) < 20  # the first plans are 10 and 14 percent over


def test_a_search_of_rectangles_comes_near_a_proved_optimum() -> None:
    """Hopper and Turton, first set: 20 by 20, no plan can be shorter."""
    known = instance("c1_1")
    found = searched_plan(known.strip, known.pieces, Search(2, seed=1), time.monotonic)
    assert found
    assert not unsound(found, known.pieces)
    assert 20 <= round(found.length, 3) <= 24


def test_searches_run_in_processes_of_the_caller() -> None:
    """Everything that goes to a process and comes back can be sent there."""
    search = Search(1, seed=4)
    sent = pickle.loads(pickle.dumps(partial(searched_plan, CLOTH, TENT[:2], clock=time.monotonic)))
    found = sent(search)
    assert found
    assert pickle.loads(pickle.dumps(found)).length == found.length

"""Pushing apart on the grid: what is kept count of is what is there, and tight strips are filled."""

from decimal import Decimal

import numpy as np
import pytest

from app.trade.canvas.depths import Depths
from app.trade.canvas.edges import Edges
from app.trade.canvas.laying import QUARTERS, Strip, ToCut, unsound
from app.trade.canvas.outline import outline_of
from app.trade.canvas.pushing import Pushing
from app.trade.canvas.ways import Kit, Lying

SQUARE = ToCut("S", outline_of([0, 10, 10 + 10j, 10j]), 6)
HOOK = ToCut("H", outline_of([0, 20, 20 + 10j, 10 + 10j, 10 + 20j, 20j]), 4, QUARTERS)
TALL = ToCut("T", outline_of([0, 10, 10 + 30j, 30j]), 2)


def pushing(width: int, *pieces: ToCut, seed: int = 1, step: float = 1.0) -> tuple[Kit, Pushing]:
    kit = Kit(Strip(Decimal(width)), pieces)
    return kit, Pushing(kit, Depths(kit, Edges(kit), step), np.random.default_rng(seed))


def heap(kit: Kit) -> Lying:
    """All copies on each other at the start."""
    zeros = np.zeros(len(kit.copies))
    return Lying(np.array([ways[0] for ways in kit.choices]), zeros, zeros)


def never() -> bool:
    return False


def test_squares_fill_a_strip_of_their_area() -> None:
    kit, push = pushing(20, SQUARE)
    push.put(heap(kit), 30)
    assert push.overlap > 0
    assert push.part(never)
    assert push.overlap == 0
    found = kit.plan(push.lying(), "pushed")
    assert not unsound(found, [SQUARE])
    assert found.length == 30


def test_hooks_are_turned_until_they_fit() -> None:
    """Two hooks and a square of their notches: by hand, four hooks of 300 fill 30 by 40."""
    kit, push = pushing(30, HOOK, seed=2)
    push.put(heap(kit), 42)
    assert push.part(never)
    assert not unsound(kit.plan(push.lying(), "pushed"), [HOOK])
    assert len(set(push.lying().way.tolist())) > 1


def test_too_short_a_strip_ends_with_the_least_overlap_found() -> None:
    kit, push = pushing(20, SQUARE)
    push.put(heap(kit), 25)
    begun = push.overlap
    assert not push.part(never)
    assert 0 < push.overlap < begun


def test_it_ends_when_it_is_over() -> None:
    kit, push = pushing(20, SQUARE)
    push.put(heap(kit), 25)
    begun = push.overlap
    assert not push.part(lambda: True)
    assert push.overlap == begun


def test_the_maps_show_what_lies_on_the_cloth() -> None:
    """After many moves, as if all copies had just been put there."""
    kit, push = pushing(30, HOOK, SQUARE, TALL, step=1.7)
    push.put(heap(kit), 50)
    push.part(never)
    push.swap()
    maps, deep = [it.copy() for it in push._maps], push._deep.copy()
    push.restore(push.save())
    assert all(np.array_equal(one, two) for one, two in zip(maps, push._maps, strict=True))
    assert np.array_equal(deep, push._deep)


def test_each_place_on_the_maps_is_as_deep_as_its_pieces_say() -> None:
    """Asked of each pair by itself, at every place of every way."""
    kit, push = pushing(30, HOOK, SQUARE, step=1.7)
    push.put(heap(kit), 50)
    push.part(lambda: push.overlap < 20)
    steps = [np.rint(it / 1.7).astype(int) for it in (push.lying().right, push.lying().up)]
    for way in range(len(kit.ways)):
        most_right, most_up = push._last[0][way], push._last[1][way]
        for right, up in [(0, 0), (most_right, most_up), (most_right // 2, 3), (5, most_up)]:
            deep = push._depths.between(push.lying().way, way, right - steps[0], up - steps[1])
            assert push._maps[way, up, right] == deep.sum()


def test_a_swap_changes_the_places_of_two_unlike_pieces() -> None:
    kit, push = pushing(30, SQUARE, TALL)
    places = np.arange(len(kit.copies)) * 10.0
    push.put(Lying(heap(kit).way, places, np.zeros(len(places))), 90)
    before = push.lying().right
    push.swap()
    changed = np.flatnonzero(push.lying().right != before)
    assert len(changed) == 2
    assert len({kit.copies[at][0].mark for at in changed}) == 2
    assert sorted(push.lying().right[changed]) == sorted(before[changed])


def test_a_swap_stays_on_the_cloth() -> None:
    kit, push = pushing(30, SQUARE, TALL)
    for seed in range(20):
        places = np.random.default_rng(seed).uniform(0, 30, len(kit.copies))
        push.put(Lying(heap(kit).way, places, places), 40)
        push.swap()
        lying = push.lying()
        assert ((lying.up >= 0) & (lying.up + kit.heights[lying.way] <= 31)).all()
        assert kit.length(lying) <= 41


def test_the_same_dice_push_alike() -> None:
    found = []
    for _ in range(2):
        kit, push = pushing(30, HOOK, SQUARE, seed=5)
        push.put(heap(kit), 61)
        push.part(never)
        found.append(push.lying())
    assert np.array_equal(found[0].right, found[1].right)
    assert np.array_equal(found[0].up, found[1].up)


@pytest.mark.parametrize("length", [20, 35.0])
def test_copies_are_put_inside_the_strip(length: float) -> None:
    kit, push = pushing(20, SQUARE)
    push.put(Lying(heap(kit).way, np.full(6, 99.0), np.full(6, 99.0)), length)
    assert set(push.lying().right) == {length - 10}
    assert set(push.lying().up) == {10}

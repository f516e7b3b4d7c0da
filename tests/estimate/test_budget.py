"""The choice under a budget, against the worked table and against trying every choice."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.estimate.budget import Item, best_within
from app.trade.money import Rounding

# A worked example by hand: eight works as (price, rank, weight); the must works cost 825 together.
PRICES = {
    "A": (310, 0, 9),
    "B": (280, 0, 9),
    "C": (45, 0, 5),
    "D": (190, 0, 8),
    "E": (120, 1, 4),
    "F": (150, 2, 3),
    "G": (60, 1, 2),
    "H": (35, 2, 2),
}
ITEMS = [
    Item(place, rank, Decimal(price), weight) for place, (price, rank, weight) in enumerate(PRICES.values())
]


@pytest.mark.parametrize(
    ("budget", "best"),
    [
        (1100, "ABCDEGH"),  # 1040: F would not fit
        (900, "ABCDG"),  # 885: all musts, then G
        (600, "BCDG"),  # 575: musts worth 22; A and B are worth 18, and A C D H has no should
        (300, "CDG"),  # 295
        (0, ""),
        (44, "H"),  # nothing heavier costs so little
    ],
)
def test_the_best_choice_is_the_one_worked_by_hand(budget: int, best: str) -> None:
    assert "".join("ABCDEFGH"[key] for key in best_within(budget, ITEMS)) == best


items = st.lists(
    st.builds(
        Item,
        key=st.just(0),
        rank=st.integers(0, 3),
        cost=st.integers(0, 40).map(Decimal),
        weight=st.integers(1, 4),
    ),
    max_size=7,
)


def worth(chosen: tuple[Item, ...]) -> tuple[tuple[int, ...], Decimal]:
    by_rank = tuple(sum(item.weight for item in chosen if item.rank == rank) for rank in range(4))
    return by_rank, -sum((item.cost for item in chosen), Decimal(0))


@given(items, st.integers(0, 120))
def test_no_other_choice_is_better(found: list[Item], budget: int) -> None:
    numbered = [Item(place, it.rank, it.cost, it.weight) for place, it in enumerate(found)]
    chosen = tuple(numbered[key] for key in best_within(budget, numbered))
    every = [
        some
        for count in range(len(numbered) + 1)
        for some in combinations(numbered, count)
        if sum(item.cost for item in some) <= budget
    ]
    assert worth(chosen) == max(map(worth, every))


@given(items, st.integers(0, 120))
def test_heavier_work_is_never_left_for_lighter(found: list[Item], budget: int) -> None:
    even = [Item(place, it.rank, it.cost) for place, it in enumerate(found)]
    chosen = set(best_within(budget, even))
    for left in (it for it in even if it.key not in chosen):
        lighter = [it for it in even if it.key in chosen and it.rank > left.rank]
        heavier = [it for it in even if it.key in chosen and it.rank <= left.rank]
        room = budget - sum(it.cost for it in heavier)
        assert left.cost > room or not lighter


def test_a_cost_below_nothing_is_a_slip() -> None:
    with pytest.raises(ValueError, match="at least 0"):
        best_within(100, [Item(1, 0, Decimal(-1))])


# Tax on top, of two rates, each rounded once on its sum

MODES = {Rounding.HALF_UP: ROUND_HALF_UP, Rounding.HALF_EVEN: ROUND_HALF_EVEN}
RATES = (Decimal("6.25"), Decimal("8.875"))  # Massachusetts; New York City, all three of its taxes together


def taxed(key: int, rank: int, bases: tuple[int, int], weight: int = 1, untaxed: int = 0) -> Item:
    """A work with so much taxed at each of two rates, and so much not taxed."""
    taxes = tuple(base * rate / 100 for base, rate in zip(bases, RATES, strict=True))
    return Item(key, rank, Decimal(sum(bases) + untaxed), weight, taxes)


def due(chosen: Sequence[Item], rounding: Rounding = Rounding.HALF_UP) -> int:
    """What is paid, by plain arithmetic: net sum, and each tax quantised once."""
    taxes = [sum(of_rate) for of_rate in zip(*(it.taxes for it in chosen), strict=True)]
    tax = sum(int(Decimal(each).quantize(Decimal(1), MODES[rounding])) for each in taxes)
    return int(sum(it.cost for it in chosen)) + tax


def test_the_printed_total_as_a_budget_holds_all_that_is_printed() -> None:
    """87.22 at 6.25 % is 5.45125, printed 5.45: who brings 92.67 pays for all of it, and has nothing over."""
    [item] = [taxed(1, 0, (8722, 0))]
    assert due([item]) == 9267 < item.exact
    assert best_within(9267, [item]) == (1,)
    assert best_within(9266, [item]) == ()


def test_two_taxes_that_both_round_up_are_not_spent_beyond_the_budget() -> None:
    """8 at 6.25 % is 0.5 and 100 at 8.875 % is 8.875: exactly 117.375, and 118 to pay."""
    items = [taxed(1, 0, (8, 0)), taxed(2, 0, (0, 100))]
    assert due(items) == 118
    assert best_within(118, items) == (1, 2)
    assert best_within(117, items) == (1,)  # one of the two, and it costs 9 where the other costs 109


works = st.lists(
    st.builds(
        taxed,
        key=st.just(0),
        rank=st.integers(0, 3),
        bases=st.tuples(st.integers(0, 60), st.integers(0, 60)),
        weight=st.integers(1, 3),
        untaxed=st.integers(0, 30),
    ),
    max_size=8,
)


@given(works, st.integers(0, 500), st.sampled_from(Rounding))
@settings(max_examples=400)
def test_no_choice_that_can_be_paid_is_better(found: list[Item], budget: int, rounding: Rounding) -> None:
    """Small sums, where half a cent decides; against every choice, paid as the paper prints it."""
    numbered = [replace(it, key=place) for place, it in enumerate(found)]
    chosen = tuple(numbered[key] for key in best_within(budget, numbered, rounding))
    every = [
        (worth(some)[0], -due(some, rounding))
        for count in range(len(numbered) + 1)
        for some in combinations(numbered, count)
        if due(some, rounding) <= budget
    ]
    assert due(chosen, rounding) <= budget
    assert (worth(chosen)[0], -due(chosen, rounding)) == max(every)


@given(st.integers(1, 40), st.integers(0, 40))
def test_many_works_alike_are_chosen_from_at_once(many: int, paid: int) -> None:
    """Forty lamps of one price: as many as can be paid, and no list of all the ways to pick them."""
    lamps = [taxed(place, 2, (1176, 0), untaxed=3750) for place in range(many)]
    count = min(many, paid)
    assert len(best_within(due(lamps[:count]) if count else 0, lamps)) == count

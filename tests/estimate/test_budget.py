"""The choice under a budget, against the worked table and against trying every choice."""

from decimal import Decimal
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.estimate.budget import Item, best_within

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

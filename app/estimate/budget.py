"""The best choice under a budget, exactly: safety first, never heavier work left for lighter."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Item:
    """One work that may be chosen. `rank`: 0 is the heaviest; `cost` with tax, in minor units, at least 0;
    `weight`: how much it counts among works of its rank, above 0.
    """

    key: int
    rank: int
    cost: Decimal
    weight: int = 1


@dataclass(frozen=True)
class _Choice:
    """Some of the items. `value`: weight reached in each rank, heaviest first."""

    value: tuple[int, ...]
    cost: Decimal
    places: tuple[int, ...]


def best_within(budget: int, items: Sequence[Item]) -> tuple[int, ...]:
    """Keys of the items to choose for at most `budget` minor units, in their order.

    The chosen have the most weight in the heaviest rank, among those the most in the next, and so on; then
    the least cost. Exact: a choice is dropped only where another is worth at least as much for no more, and
    worth by ranks adds up, so that nothing built on it could be better. ValueError for a cost below 0.
    """
    if any(item.cost < 0 or item.weight < 1 for item in items):
        raise ValueError("a cost is at least 0, a weight above 0")
    ranks = max((item.rank for item in items), default=0) + 1
    kept = [_Choice((0,) * ranks, NOTHING, ())]
    for place, item in enumerate(items):
        taken = (_with(choice, place, item) for choice in kept)
        kept = _front([*kept, *(choice for choice in taken if choice.cost <= budget)])
    return tuple(items[place].key for place in kept[-1].places)


def _with(choice: _Choice, place: int, item: Item) -> _Choice:
    value = tuple(
        worth + (item.weight if rank == item.rank else 0) for rank, worth in enumerate(choice.value)
    )
    return _Choice(value, choice.cost + item.cost, (*choice.places, place))


def _front(choices: Iterable[_Choice]) -> list[_Choice]:
    """The choices that no other beats at the same cost or less, the cheapest first, the best last."""
    front: list[_Choice] = []
    for choice in sorted(choices, key=lambda it: (it.cost, [-worth for worth in it.value], it.places)):
        if not front or choice.value > front[-1].value:
            front.append(choice)
    return front

"""The best choice under a budget, exactly: safety first, never heavier work left for lighter."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.money import Rounding, rounded

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Item:
    """One work that may be chosen. `rank`: 0 is the heaviest; `weight`: how much it counts among works of its
    rank, above 0.

    `cost`: minor units; `taxes`: its exact tax on top of that, rate by rate in the same order for all items,
    each to be rounded once on its sum. Together at least 0.
    """

    key: int
    rank: int
    cost: Decimal
    weight: int = 1
    taxes: tuple[Decimal, ...] = ()

    @property
    def exact(self) -> Decimal:
        """What it costs with tax before anything is rounded."""
        return self.cost + sum(self.taxes)


@dataclass(frozen=True)
class _Choice:
    """Some of the items. `value`: weight in each rank, heaviest first; `exact`: with tax, not rounded."""

    value: tuple[int, ...]
    exact: Decimal
    taxes: tuple[Decimal, ...]
    places: tuple[int, ...]

    def due(self, rounding: Rounding) -> Decimal:
        """What the owner pays for it: each tax rounded once on its sum."""
        return self.exact + sum(rounded(tax, rounding).minor - tax for tax in self.taxes)


def best_within(budget: int, items: Sequence[Item], rounding: Rounding = Rounding.HALF_UP) -> tuple[int, ...]:
    """Keys of the items to choose for at most `budget` minor units, in their order.

    The chosen have the most weight in the heaviest rank, among those the most in the next, and so on; then
    the least cost. Exact: a choice is dropped only where another is worth at least as much for so much less
    that no rounding makes up for it, and worth by ranks adds up, so that nothing built on it could be better.
    ValueError for a cost below 0.
    """
    if any(item.exact < 0 or item.weight < 1 for item in items):
        raise ValueError("a cost is at least 0, a weight above 0")
    ranks = max((item.rank for item in items), default=0) + 1
    rates = max((len(item.taxes) for item in items), default=0)  # each rounds by half a minor unit at most
    kept = [_Choice((0,) * ranks, NOTHING, (NOTHING,) * rates, ())]
    for place, item in enumerate(items):
        taken = (_with(choice, place, item) for choice in kept)
        kept = _front([*kept, *(it for it in taken if 2 * (it.exact - budget) <= rates)], rates)
    within = [choice for choice in kept if choice.due(rounding) <= budget]
    best = max(within, key=lambda it: (it.value, -it.due(rounding)), default=kept[0])
    return tuple(items[place].key for place in best.places)


def _with(choice: _Choice, place: int, item: Item) -> _Choice:
    value = tuple(
        worth + (item.weight if rank == item.rank else 0) for rank, worth in enumerate(choice.value)
    )
    taxes = item.taxes or (NOTHING,) * len(choice.taxes)
    summed = tuple(one + other for one, other in zip(choice.taxes, taxes, strict=True))
    return _Choice(value, choice.exact + item.exact, summed, (*choice.places, place))


def _front(choices: Iterable[_Choice], rates: int) -> list[_Choice]:
    """The choices that none at least as good beats by more than rounding can make up, the cheapest first.

    Rounding moves what one choice costs against another by a minor unit for each rate at most. Of choices
    alike in worth, cost and tax the first one stands for all.
    """
    alike: dict[tuple[tuple[int, ...], Decimal, tuple[Decimal, ...]], _Choice] = {}
    for choice in sorted(choices, key=lambda it: (it.exact, [-worth for worth in it.value], it.places)):
        alike.setdefault((choice.value, choice.exact, choice.taxes), choice)
    front: list[_Choice] = []
    costs: list[Decimal] = []  # of the front
    best: list[tuple[int, ...]] = []  # the best worth of the front up to each
    for choice in alike.values():
        beaten = bisect_right(costs, choice.exact - rates)
        if not beaten or choice.value > best[beaten - 1]:
            front.append(choice)
            costs.append(choice.exact)
            best.append(max(best[-1], choice.value) if best else choice.value)
    return front

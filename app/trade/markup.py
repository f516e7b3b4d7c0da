"""What a part is sold for: a mark-up on its cost, in steps that fall as the cost rises."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import Input, Source, Worked
from app.trade.money import NOTHING, Money, rounded
from app.trade.problems import Impossible

MOST_PERCENT = Decimal(400)


@dataclass(frozen=True)
class Step:
    """A mark-up in percent, 0 to 400, for parts that cost up to an amount; None for all dearer ones."""

    up_to: Money | None
    percent: Decimal

    def price(self, cost: Money) -> Money:
        """The cost with this step's mark-up, rounded once."""
        return rounded(cost.minor * (100 + self.percent) / 100)


def selling_price(cost: Money, steps: Sequence[Step]) -> Worked[Money]:
    """Price of a part from what it costs the shop: the mark-up of its step, rounded to a cent.

    A dearer part is never sold for less than a cheaper one: just above the end of a step the price stays at
    what that end is sold for. `cost`: at least 0; Impossible below. `steps`: cheapest first, the last without
    an end; ValueError otherwise. Source: common practice, set by the shop.
    """
    if cost < NOTHING:
        raise Impossible("A cost is at least 0", "an amount such as 12.50")
    _check(steps)
    step = next(each for each in steps if each.up_to is None or cost <= each.up_to)
    passed = [each.price(each.up_to) for each in steps if each.up_to and each.up_to < cost]
    value = max([step.price(cost), *passed])
    return Worked(
        name="price of a part",
        value=value,
        says=str(value),
        formula="cost x (100 + mark-up) / 100, at least what the end of a cheaper step is sold for",
        inputs=(Input("cost", str(cost)), Input("mark-up", f"{step.percent} %")),
        source=Source("shop setting"),
    )


def _check(steps: Sequence[Step]) -> None:
    ends = [each.up_to for each in steps[:-1]]
    known = [end for end in ends if end is not None]
    rising = len(known) == len(ends) and known == sorted(known)
    if not steps or steps[-1].up_to is not None or not rising:
        raise ValueError("steps rise, and the last one has no end")
    if any(not 0 <= each.percent <= MOST_PERCENT for each in steps):
        raise ValueError("a mark-up is 0 to 400 percent")

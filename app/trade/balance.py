"""Wheel balance: what is out of balance, which weights cancel it, what stays.

Angles: degrees from the valve, against the clock, seen from outside; the inner plane too is seen from
outside, through the wheel. An unbalance is where the wheel is heavy; a correction goes opposite. A balancer
that says "add 1.25 oz here" already gives the correction. Weights cure unbalance, never runout.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from app.trade.figure import COMMON_PRACTICE, SHOP_SETTING, By, Grade, Input, Verdict, Worked, plain
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, convert, with_unit
from app.trade.vectors import Vector, total, unit_at

SAME = 9  # residuals that agree to so many places count as equal
MOST_POSITIONS = 36
LIMIT_OZ, LIMIT_G = Decimal("0.25"), Decimal(5)
SMALL_RIM_IN = Decimal(14)
QUESTION_OZ = {"small": Decimal(4), "large": Decimal(6)}


# Weights from the box


@dataclass(frozen=True)
class Box:
    """What the shop can put on: multiples of `step`, at `positions` or (none given) anywhere.

    `places`: how many positions may carry weight, 1 to 3. Each pile is at most twice the need.
    Raises Impossible where the step is 0 or less, ValueError over 36 positions or 3 places.
    """

    step: Decimal
    unit: str
    positions: tuple[Decimal, ...] = ()
    places: int = 2

    def __post_init__(self) -> None:
        if not self.step > 0:
            raise Impossible("A weight cannot be 0 or less", "a step such as 1/4 oz or 5 g")
        if not 1 <= self.places <= 3 or len(self.positions) > (MOST_POSITIONS if self.places < 3 else 12):
            raise ValueError("too many positions to search")


@dataclass(frozen=True)
class Fit:
    """Weights to put on one plane, and the unbalance that stays."""

    weights: tuple[Vector, ...]
    residual: Vector


def fit_weights(unbalance: Vector, box: Box) -> Worked[Fit]:
    """Weights of one plane that leave the least, found by trying them all, and what they leave.

    `unbalance`: mass at the weights' radius, in the box's unit, angle where the wheel is heavy. Equal
    residuals: the lighter set, then fewer pieces, then the lower angle. Where at most half a step is
    needed nothing is fitted. Source: common practice.
    """
    piles = _best(unbalance, box)
    fit = Fit(piles, total([unbalance, *piles]))
    return Worked(
        name="weights",
        value=fit,
        says=f"{_said(piles, box.unit)}; {fit.residual.says(box.unit)} left over",
        formula="the set of weights for which unbalance + weights is least, of all sets",
        inputs=_fit_inputs(unbalance, box),
        source=COMMON_PRACTICE,
        unit=box.unit,
    )


def _fit_inputs(unbalance: Vector, box: Box) -> tuple[Input, ...]:
    where = ", ".join(f"{angle:f}°" for angle in box.positions) or "anywhere"
    return (
        Input("unbalance", unbalance.says(box.unit)),
        Input("step", with_unit(f"{box.step:f}", box.unit)),
        Input("positions", where),
    )


def _said(piles: Sequence[Vector], unit: str) -> str:
    return ", ".join(pile.says(unit) for pile in piles) or "nothing"


Piles = tuple[tuple[Decimal, int], ...]  # angle and count of steps
Cost = tuple[float, int, int, list[Decimal]]


def _best(unbalance: Vector, box: Box) -> tuple[Vector, ...]:
    need = unbalance.opposite.number / float(box.step)
    if unbalance.amount * 2 <= box.step:
        return ()
    angles = sorted({angle % 360 for angle in box.positions}) or [unbalance.opposite.angle]
    ways = {angle: unit_at(angle) for angle in angles}
    best = min(_searched(need, ways, box.places), key=lambda piles: _cost(need, ways, piles))
    return tuple(Vector(count * box.step, angle) for angle, count in best)


def _cost(need: complex, ways: dict[Decimal, complex], piles: Piles) -> Cost:
    left = abs(need - sum(count * ways[angle] for angle, count in piles))
    return round(left, SAME), sum(count for _, count in piles), len(piles), [angle for angle, _ in piles]


def _searched(need: complex, ways: dict[Decimal, complex], places: int) -> Iterator[Piles]:
    """Every set of piles that can be the best: all counts at all places but the last, where two settle it."""
    most = math.ceil(2 * abs(need))
    for angles in combinations(ways, min(places, len(ways))):
        for counts in _counts(need, [ways[angle] for angle in angles], most):
            yield tuple((angle, count) for angle, count in zip(angles, counts, strict=True) if count)


def _counts(need: complex, ways: Sequence[complex], most: int) -> Iterator[tuple[int, ...]]:
    here = ways[0]
    if len(ways) == 1:
        along = math.floor((need * here.conjugate()).real)
        yield from {(min(max(count, 0), most),) for count in (along, along + 1)}
        return
    for count in range(most + 1):
        for rest in _counts(need - count * here, ways[1:], most):
            yield (count, *rest)


def near_opposite(unbalance: Vector, every: Decimal, reach: Decimal) -> tuple[Decimal, ...]:
    """Positions around the light spot that a hand would choose: each `every` degrees, within `reach` of it.

    Counted from the valve, `every` over 0 and at most 360. For a `Box`: it keeps the search from piling
    weights far from where they are needed. Raises Impossible otherwise. Source: common practice.
    """
    if not 0 < every <= 360:
        raise Impossible("Positions lie some degrees apart", "such as 10")
    light = unbalance.opposite.angle
    angles = (every * turn for turn in range(math.ceil(360 / every)))
    return tuple(angle for angle in angles if abs((angle - light + 540) % 360 - 180) <= reach)


# What stays


def residual_verdict(outer: Vector, inner: Vector, unit: str, limit: Decimal | None = None) -> Worked[Vector]:
    """The static sum of what stays in both planes, with the verdict on each plane against the shop's limit.

    Both in `unit` (oz or g) at the weights' radius. Limit: at most 1/4 oz or 5 g a plane where none is given;
    a plane over it needs other weights soon. Source: common practice, the display's zero.
    """
    most = limit if limit is not None else usual_limit(unit)
    both = total([outer, inner])
    return Worked(
        name="left over",
        value=both,
        says=both.says(unit),
        formula="vector sum of both planes' residuals; each plane against the limit",
        inputs=(Input("outer plane", outer.says(unit)), Input("inner plane", inner.says(unit))),
        source=SHOP_SETTING,
        unit=unit,
        limit=f"{with_unit(f'{most:f}', unit)} a plane",
        verdict=_left_over({"outer": outer, "inner": inner}, most, unit),
    )


def usual_limit(unit: str) -> Decimal:
    """Most that may stay in a plane: 0.25 oz, 5 g, or the 1/4 oz in another unit of mass."""
    return {"oz": LIMIT_OZ, "g": LIMIT_G}.get(unit) or convert(LIMIT_OZ, "oz", unit)


def _left_over(planes: dict[str, Vector], most: Decimal, unit: str) -> Verdict:
    over = [name for name, left in planes.items() if left.amount > most]
    limit = with_unit(f"{most:f}", unit)
    if over:
        return Verdict(Grade.NEEDS, f"Over {limit} in the {' and '.join(over)} plane", By.SOON)
    return Verdict(Grade.SOUND, f"At most {limit} in each plane")


# Too much weight


def excess_weight(outer: Decimal, inner: Decimal, unit: str, rim_in: Decimal) -> Worked[Decimal]:
    """The larger of two planes' weights, to be watched where it says: look at the runout first.

    Over 4 oz a plane on rims up to 14 in, over 6 oz on larger ones. `rim_in`: nominal rim diameter, inches.
    Raises Impossible for weights under 0. Source: common practice.
    """
    if min(outer, inner) < 0:
        raise Impossible("A weight cannot be under 0", "0 or more, such as 1.25 oz")
    weight, most = max(outer, inner), convert(_question_oz(rim_in), "oz", unit)
    return Worked(
        name="weight asked for",
        value=weight,
        says=with_unit(plain(weight, 2), unit),
        formula="the larger of both planes",
        inputs=(
            Input("outer plane", with_unit(f"{outer:f}", unit)),
            Input("inner plane", with_unit(f"{inner:f}", unit)),
            Input("rim", with_unit(f"{rim_in:f}", "in")),
        ),
        source=COMMON_PRACTICE,
        unit=unit,
        limit=f"{with_unit(plain(most, 0 if unit == 'g' else 2), unit)} a plane",
        verdict=_excess(weight, most),
    )


def _question_oz(rim_in: Decimal) -> Decimal:
    return QUESTION_OZ["small" if rim_in <= SMALL_RIM_IN else "large"]


def _excess(weight: Decimal, most: Decimal) -> Verdict:
    if weight > most:
        return Verdict(Grade.WATCH, "So much weight hides something: look at runout and bead seat first")
    return Verdict(Grade.SOUND, "A usual amount of weight")


def question_weight(field: str, weight: Quantity, rim_in: Decimal) -> list[Problem]:
    """What to ask about a plane's weight: more than usual is unlikely, under 0 impossible."""
    if weight.value < 0:
        return [Problem(field, "A weight cannot be under 0", "0 or more, such as 1.25 oz")]
    most = _question_oz(rim_in)
    if weight.to("oz") <= most:
        return []
    says = f"{weight} is much for this rim: look at runout and bead seat first"
    return [Problem(field, says, f"at most {most} oz a plane", ask=True)]

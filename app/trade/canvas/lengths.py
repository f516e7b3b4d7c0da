"""The lengths of cloth that pieces are cut from: roll ends in stock first, and the roll for the rest.

Each length is a plan of its own: each piece lies on one of them, under one label. What the shop pays for is
what comes off the roll, so that decides what the ends are used for, and which of two plans is cut from.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

from app.trade.canvas.bottom_left import fill_end, first_plan, left_over
from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut, shortest
from app.trade.canvas.yardage import RollEnd, end_that_holds


@dataclass(frozen=True)
class Length:
    """A length of cloth with the plan of what is cut from it; `end`: the roll end, None for the roll."""

    plan: CutPlan
    end: RollEnd | None = None

    @property
    def copies(self) -> Counter[str]:
        """How many copies are cut from it, by the pieces' marks."""
        return Counter(it.piece.mark for it in self.plan.laid)


Lengths = tuple[Length, ...]


def bought(lengths: Iterable[Length]) -> Decimal:
    """Millimetres of cloth off the roll; 0 where roll ends give everything."""
    return sum((it.plan.length for it in lengths if it.end is None), Decimal(0))


def cost(lengths: Iterable[Length]) -> tuple[int, int, Decimal]:
    """What plans are judged by, least first: whole millimetres bought, then how many ends, and how long."""
    asked = tuple(lengths)
    ends = [it.end.length for it in asked if it.end]
    return round(bought(asked)), len(ends), sum(ends, Decimal(0))


def lengths_of(plan: CutPlan, pieces: Sequence[ToCut], ends: Sequence[RollEnd]) -> Lengths:
    """What is cut from what, roll ends before the roll: every copy once, numbered through.

    `plan`: of all pieces, as if on the roll: never is more bought than that. All from the shortest roll end
    that holds it; else what the ends give, each filled in turn, and the rest from the roll; an end that makes
    the roll's length no shorter stays on the shelf. The same input gives the same lengths.
    """
    if end := end_that_holds(plan.length, ends):
        return (Length(plan, end),)
    best = _best(plan, pieces, ends)
    for end in _ends_of(best):
        fewer = [it for it in _ends_of(best) if it != end]
        best = min(best, _best(plan, pieces, fewer), key=cost)
    return best if len(best) == 1 else numbered(best, pieces)


def _ends_of(lengths: Lengths) -> list[RollEnd]:
    return [it.end for it in lengths if it.end]


def _best(plan: CutPlan, pieces: Sequence[ToCut], ends: Sequence[RollEnd]) -> Lengths:
    """All from the roll, or with the ends, the shortest filled first or the longest."""
    if not ends:
        return (Length(plan),)
    order = sorted(ends, key=lambda it: (it.length, it.mark))
    orders = dict.fromkeys((tuple(order), tuple(reversed(order))))
    return min(((Length(plan),), *(_given(plan, pieces, each) for each in orders)), key=cost)


def _given(plan: CutPlan, pieces: Sequence[ToCut], ends: Sequence[RollEnd]) -> Lengths:
    rest, found = tuple(pieces), list[Length]()
    for end in ends:
        part = filled(plan.strip, end.length, rest)
        if part.laid:
            found.append(Length(part, end))
            rest = left_over(part, rest)
    return (*found, *((Length(_rest(plan, rest)),) if rest else ()))


@lru_cache(maxsize=64)  # the same end is filled again as others are tried without
def filled(strip: Strip, length: Decimal, pieces: tuple[ToCut, ...]) -> CutPlan:
    """What is cut from a roll end of that length, in millimetres, so that much of it is in pieces.

    The largest piece that fits is laid first; it is left for the roll where others fill the end better.
    """
    best, offered = fill_end(strip, length, pieces), pieces
    while better := _with_one_left(strip, length, offered, best):
        best, offered = better
    return best


def _with_one_left(
    strip: Strip, length: Decimal, offered: Sequence[ToCut], stood: CutPlan
) -> tuple[CutPlan, tuple[ToCut, ...]] | None:
    """A fuller plan where a copy of one of its pieces is offered no more, with what is still offered."""
    counts = Counter({piece.mark: piece.copies for piece in offered})
    for mark in dict.fromkeys(it.piece.mark for it in stood.laid):
        fewer = some_of(offered, counts - Counter({mark: 1}))
        plan = fill_end(strip, length, fewer)
        if plan.area > stood.area:
            return plan, fewer
    return None


def some_of(pieces: Iterable[ToCut], copies: Counter[str]) -> tuple[ToCut, ...]:
    """So many copies of the pieces, by their marks."""
    return tuple(replace(it, copies=copies[it.mark]) for it in pieces if copies[it.mark] > 0)


def _rest(plan: CutPlan, rest: Sequence[ToCut]) -> CutPlan:
    """The rest laid anew, or as it lies in the plan without the others where that is shorter."""
    return shortest((first_plan(plan.strip, rest), _without(plan, rest))) or plan


def _without(plan: CutPlan, rest: Sequence[ToCut]) -> CutPlan:
    """The plan with so many copies only, those that end first, moved to the start of the cloth."""
    left = {piece.mark: piece.copies for piece in rest}
    kept = list[Laid]()
    for laid in sorted(plan.laid, key=lambda it: it.end):
        if left.get(laid.piece.mark, 0) > 0:
            left[laid.piece.mark] -= 1
            kept.append(laid)
    start = min((it.right for it in kept), default=Decimal(0))
    return replace(plan, laid=tuple(replace(it, right=it.right - start) for it in kept))


def numbered(lengths: Iterable[Length], pieces: Iterable[ToCut]) -> Lengths:
    """The lengths with the copies of each piece counted through from one to the next."""
    whole = {piece.mark: piece for piece in pieces}
    counted = Counter[str]()
    found = []
    for length in lengths:
        laid = []
        for it in length.plan.laid:
            counted[it.piece.mark] += 1
            laid.append(replace(it, piece=whole[it.piece.mark], copy=counted[it.piece.mark]))
        found.append(replace(length, plan=replace(length.plan, laid=tuple(laid))))
    return tuple(found)

"""The lengths of cloth that a plan is really cut from: roll ends in stock first, and the roll for the rest.

A plan lays all pieces on the roll. Where roll ends give some of them, only the others are cut from the roll,
and each length is a plan of its own: each piece lies on one of them, under one label.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Laid, ToCut, shortest
from app.trade.canvas.yardage import RollEnd, cut_from_ends, end_that_holds


@dataclass(frozen=True)
class Length:
    """A length of cloth with the plan of what is cut from it; `end`: the roll end, None for the roll."""

    plan: CutPlan
    end: RollEnd | None = None

    @property
    def pieces(self) -> tuple[ToCut, ...]:
        """What is cut from it: each piece with its copies here."""
        laid = {it.piece.mark: it.piece for it in self.plan.laid}
        copies = Counter(it.piece.mark for it in self.plan.laid)
        return tuple(replace(piece, copies=copies[mark]) for mark, piece in laid.items())


def lengths_of(plan: CutPlan, pieces: Sequence[ToCut], ends: Sequence[RollEnd]) -> tuple[Length, ...]:
    """What is cut from what, roll ends before the roll: every copy once, numbered through.

    All from the shortest roll end that holds the whole plan; else what each end gives, and the rest from the
    roll; all from the roll where the ends would make its length no shorter.
    """
    if end := end_that_holds(plan.length, ends):
        return (Length(plan, end),)
    given = cut_from_ends(plan.strip, pieces, ends)
    found = [Length(part, end) for end, part in given.used]
    if given.rest:
        found.append(Length(_rest(plan, given.rest)))
    if not given.used or (given.rest and found[-1].plan.length >= plan.length):
        return (Length(plan),)
    return _numbered(found, pieces)


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


def _numbered(lengths: Iterable[Length], pieces: Iterable[ToCut]) -> tuple[Length, ...]:
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

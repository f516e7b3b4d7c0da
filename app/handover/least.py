"""The least work that lets a unit leave under tow: which pieces of work, what they cost together. Pure."""

from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass


@dataclass(frozen=True)
class Choice:
    """A piece of work that could be done: the findings that it answers, and its price in minor units."""

    work_id: int
    answers: frozenset[int]
    amount: int


def least_works(needed: Set[int], works: Iterable[Choice]) -> tuple[Choice, ...]:
    """The cheapest works that together answer every finding which any of them answers; fewest of equals.

    `needed`: keys of the findings that hold the tow. Findings that no work answers are left to the caller.
    Exact: the finding with the fewest works is tried with each of them in turn.
    """
    useful = [work for work in works if work.answers & needed]
    reachable = {key for work in useful for key in work.answers} & needed
    return _cheapest(frozenset(reachable), useful)


def _cheapest(needed: frozenset[int], works: Sequence[Choice]) -> tuple[Choice, ...]:
    if not needed:
        return ()
    hardest = min(sorted(needed), key=lambda key: sum(key in work.answers for work in works))
    found = [
        (work, *_cheapest(needed - work.answers, _without(works, work)))
        for work in works
        if hardest in work.answers
    ]
    return min(found, key=lambda chosen: (sum(each.amount for each in chosen), len(chosen)))


def _without(works: Sequence[Choice], gone: Choice) -> list[Choice]:
    return [work for work in works if work is not gone]

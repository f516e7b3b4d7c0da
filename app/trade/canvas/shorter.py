"""Less cloth off the roll by search: roll ends are filled further, then the rest on the roll is shortened."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from itertools import takewhile

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Strip, ToCut, shortest
from app.trade.canvas.least import at_least
from app.trade.canvas.lengths import Length, Lengths, lengths_of, numbered, some_of
from app.trade.canvas.search import Clock, Search, searched_plan
from app.trade.canvas.yardage import RollEnd

ROUND = 1  # seconds to try whether a roll end holds certain pieces

Lay = Callable[[Sequence[ToCut]], CutPlan | None]


def shorter(
    stood: Lengths, pieces: Sequence[ToCut], ends: Sequence[RollEnd], search: Search, clock: Clock
) -> Lengths | None:
    """Lengths that a search finds from those that stand, whether or not they take less; None for none.

    `ends`: all in stock. Half of the seconds go to the ends that are used, where any are. Every copy lies on
    one length, numbered through. `clock`: as for `searched_plan` of search.py, with whose words it raises.
    """
    strip, over = stood[0].plan.strip, clock() + search.seconds
    used = [it for it in stood if it.end]
    if not used:
        plan = searched_plan(strip, pieces, search, clock)
        return lengths_of(plan, pieces, ends) if plan else None
    half = over - search.seconds / 2
    full = _all_filled(used, pieces, _tried(strip, search, clock), lambda: clock() < half)
    rest = some_of(pieces, _left(pieces, full))
    left = Search(max(int(over - clock()), 1), search.seed)
    return numbered((*full, *_on_roll(strip, rest, left, clock)), pieces)


def _tried(strip: Strip, search: Search, clock: Clock) -> Lay:
    return lambda some: searched_plan(strip, some, Search(ROUND, search.seed), clock)


def _on_roll(strip: Strip, rest: Sequence[ToCut], search: Search, clock: Clock) -> Lengths:
    """The rest on the roll, where any is left."""
    if not rest:
        return ()
    plan = shortest((searched_plan(strip, rest, search, clock), first_plan(strip, rest)))
    return (Length(plan),) if plan else ()


def _left(pieces: Sequence[ToCut], lengths: Sequence[Length]) -> Counter[str]:
    """How many copies of each piece are on none of the lengths."""
    wanted = Counter({piece.mark: piece.copies for piece in pieces})
    return wanted - sum((it.copies for it in lengths), Counter[str]())


def _all_filled(
    used: Sequence[Length], pieces: Sequence[ToCut], lay: Lay, goes_on: Callable[[], bool]
) -> tuple[Length, ...]:
    """The roll ends one after the other, each with as much on it as is found while it goes on."""
    full = list(used)
    for at in range(len(full)):
        while more := _filled_further(full[at], _left(pieces, full), pieces, lay, goes_on):
            full[at] = more
    return tuple(full)


def _filled_further(
    length: Length,
    left: Counter[str],
    pieces: Sequence[ToCut],
    lay: Lay,
    goes_on: Callable[[], bool],
) -> Length | None:
    """The roll end with more cloth in pieces: one more, or a larger for a smaller; None if none is found."""
    for some in takewhile(lambda _: goes_on(), _fuller(length, left, pieces)):
        plan = lay(some)
        if plan and plan.length <= _room(length):
            return Length(plan, length.end)
    return None


def _room(length: Length) -> Decimal:
    assert length.end is not None
    return length.end.length + length.plan.strip.slack


def _fuller(length: Length, left: Counter[str], pieces: Sequence[ToCut]) -> Iterator[tuple[ToCut, ...]]:
    """Pieces that may fit the roll end and have more cloth than what lies on it, those with most first."""
    marks = ["", *length.copies]
    changed = [length.copies + Counter([new]) - Counter([old]) for old in marks for new in left]
    sets = sorted((some_of(pieces, each) for each in changed), key=_area, reverse=True)
    for some in sets:
        if _area(some) > length.plan.area and at_least(length.plan.strip, some).value <= _room(length):
            yield some


def _area(pieces: Sequence[ToCut]) -> Decimal:
    return sum((piece.outline.area * piece.copies for piece in pieces), Decimal(0))

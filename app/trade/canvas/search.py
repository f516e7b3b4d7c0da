"""A shorter plan by search: pieces may overlap for a while and are pushed apart, the strip is shortened.

Two searches run beside each other: our own, squeeze.py, and the open library spyrrow,
which places pieces freely instead of on a grid. Neither is always the shorter; the shorter plan is taken.
Ours presses the library's plans together, which it leaves a hair apart.
For few pieces and for very many the library has two threads, and ours shares both cores with them: by those
it does better with two threads than ours with a core of its own. All rectangles lie edge to edge in a search
of their own, rectangles.py, which came out shorter than the library in each of six trials. A plan that fails
the check of laying.py is dropped.
"""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from random import Random

import shapely
import spyrrow

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import (
    CutPlan,
    Laid,
    Strip,
    ToCut,
    fitting,
    shortest,
    turns_that_fit,
    unsound,
)
from app.trade.canvas.rectangles import all_rectangles, best_fitted
from app.trade.canvas.squeeze import Squeeze
from app.trade.canvas.ways import Kit
from app.trade.problems import Impossible
from app.trade.vectors import rounded

Clock = Callable[[], float]

LONGEST = 3600  # seconds
SETTLING = 240  # copies cubed by the seconds of a round: 12 pieces settle in 7, measured
LEAST = 2  # seconds of a round
OURS = range(21, 60)  # copies that come out shorter with a core for ours: measured from 12 to 99
TAKEN_UP = 4  # of them, the library ends a share of the seconds earlier, and ours goes on from its plan


@dataclass(frozen=True)
class Search:
    """One search: how many whole seconds, 1 to 3,600, and the seed of its dice, 0 or more."""

    seconds: int
    seed: int = 1

    def __post_init__(self) -> None:
        if not 1 <= self.seconds <= LONGEST or self.seed < 0:
            raise Impossible(f"A search cannot take {self.seconds} seconds", "1 to 3,600 seconds, such as 20")


def searched_plan(strip: Strip, pieces: Sequence[ToCut], search: Search, clock: Clock) -> CutPlan | None:
    """The shortest plan that a search finds; None where it finds no sound one.

    `clock`: seconds that only go forward, such as time.monotonic. Takes two threads. With the same seed and
    the same seconds it comes out nearly alike, not to the last digit: how far it comes depends on the clock.
    Raises Refused where a piece is wider than the cloth.
    """
    fitting(strip, pieces)
    return shortest([plan for plan in _plans(strip, pieces, search, clock) if not unsound(plan, pieces)])


def _plans(strip: Strip, pieces: Sequence[ToCut], search: Search, clock: Clock) -> Iterator[CutPlan]:
    ends = clock() + search.seconds
    if all_rectangles(strip, pieces):
        yield best_fitted(strip, pieces, search.seed, lambda: clock() > ends, _said(search))
    else:
        yield from _beside(strip, pieces, search, lambda: clock() > ends)


def _beside(
    strip: Strip, pieces: Sequence[ToCut], search: Search, over: Callable[[], bool]
) -> Iterator[CutPlan]:
    """Of both searches, ours going on from the library's plan where that is the shorter when it ends."""
    kit = Kit(strip, pieces)
    with ThreadPoolExecutor(1) as beside:
        freely = beside.submit(lambda: list(_freely(strip, pieces, search)))
        squeeze = Squeeze(kit, kit.lying(first_plan(strip, pieces)), search.seed)
        squeeze.until(lambda: freely.done() or over())
    found = [plan for plan in freely.result() if not unsound(plan, pieces)]
    yield from found
    yield kit.plan(squeeze.best, _said(search))
    for plan in found:
        squeeze.take_up(kit.lying(plan))
    squeeze.until(over)
    yield kit.plan(squeeze.best, _said(search))


def _copies(pieces: Sequence[ToCut]) -> int:
    return sum(piece.copies for piece in pieces)


def _ours(pieces: Sequence[ToCut]) -> bool:
    """Whether ours has a core for itself, and goes on from what the library found."""
    return _copies(pieces) in OURS


def _freely(strip: Strip, pieces: Sequence[ToCut], search: Search) -> Iterator[CutPlan]:
    for each in rounds(search, pieces):
        laid = _laid(strip, pieces, _solved(strip, pieces, each))
        yield CutPlan(strip, _to_the_start(laid), _said(search))


def _said(search: Search) -> str:
    return f"search of {search.seconds} seconds, seed {search.seed}"


def rounds(search: Search, pieces: Sequence[ToCut]) -> tuple[Search, ...]:
    """The library's rounds, one after the other, that share its seconds, each with dice of its own.

    A search soon settles which pieces lie beside each other, and seldom undoes it: few pieces come out
    shorter when they are begun anew. Twenty and more need a minute for one round: shared among three
    rounds on a busy machine, it came out longer.
    """
    seconds = search.seconds - (search.seconds // TAKEN_UP if _ours(pieces) else 0)
    number = max(1, seconds // max(LEAST, _copies(pieces) ** 3 // SETTLING))
    dice = Random(search.seed)  # noqa: S311 - shuffles pieces of cloth, keeps no secret
    ends = [seconds * at // number for at in range(number + 1)]
    return tuple(Search(end - begin, dice.getrandbits(60)) for begin, end in pairwise(ends))


def _solved(strip: Strip, pieces: Sequence[ToCut], search: Search) -> list[spyrrow.PlacedItem]:
    items = [_item(strip, piece) for piece in pieces]
    width = float(strip.width + strip.gap + strip.slack)  # a piece as high as the strip would stop it
    config = spyrrow.StripPackingConfig(
        total_computation_time=search.seconds,
        num_workers=1 if _ours(pieces) else 2,
        seed=search.seed,
        early_termination=False,
    )
    try:
        return spyrrow.StripPackingInstance("plan", width, items).solve(config).placed_items
    except BaseException as stopped:  # its panics are no Exception
        if type(stopped).__name__ != "PanicException":
            raise
        return []


def _item(strip: Strip, piece: ToCut) -> spyrrow.Item:
    lying = shapely.Polygon(piece.turned(Decimal(0)).ring)
    grown = shapely.buffer(lying, float(strip.gap) / 2, join_style="mitre")
    corners = [(float(x), float(y)) for x, y in shapely.get_coordinates(grown)[:-1]]
    turns = [float(turn) for turn in turns_that_fit(strip, piece)]
    return spyrrow.Item(piece.mark, corners, piece.copies, turns)


def _laid(strip: Strip, pieces: Sequence[ToCut], placed: Sequence[spyrrow.PlacedItem]) -> list[Laid]:
    named = {piece.mark: piece for piece in pieces}
    counted = dict.fromkeys(named, 0)
    laid = []
    for item in placed:
        counted[item.id] += 1
        laid.append(_one(strip, named[item.id], counted[item.id], item))
    return laid


def _one(strip: Strip, piece: ToCut, copy: int, item: spyrrow.PlacedItem) -> Laid:
    turn = min(piece.turns, key=lambda it: abs(float(it) - item.rotation % 360))
    right, up = (rounded(number) for number in item.translation)
    lies = piece.turned(Decimal(0)).turned(turn).moved(right, up - strip.gap / 2)
    left, low = min(it.x for it in lies.corners), min(it.y for it in lies.corners)
    return Laid(piece, copy, turn, left, max(low, Decimal(0)))


def _to_the_start(laid: Sequence[Laid]) -> tuple[Laid, ...]:
    """All pieces moved along together until the first touches the start of the cloth."""
    spare = min((it.right for it in laid), default=Decimal(0))
    return tuple(Laid(it.piece, it.copy, it.turn, it.right - spare, it.up) for it in laid)

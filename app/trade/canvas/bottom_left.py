"""The first plan, at once and always the same: each piece as far left as it goes, then as low.

Pieces are laid in several usual orders, largest first; then the best order is shuffled a little, as often as
the caller allows. The plan depends on pieces, seed and tries only, never on time.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from random import Random

import shapely

from app.trade.canvas.laying import (
    CutPlan,
    Laid,
    Strip,
    ToCut,
    copies_of,
    fitting,
    turns_that_fit,
)
from app.trade.canvas.no_fit import NoFits, Ring
from app.trade.canvas.ways import Way, ways
from app.trade.vectors import rounded

Copy = tuple[ToCut, int]


def first_plan(strip: Strip, pieces: Sequence[ToCut], tries: int = 0, seed: int = 1) -> CutPlan:
    """A plan of all pieces, the shortest of several orders and of `tries` shuffles of the best one.

    `tries`: 0 or more; the same seed and tries give the same plan. Raises Refused where a piece is wider
    than the cloth, naming it.
    """
    fitting(strip, pieces)
    table = _Table(strip)
    copies = list(copies_of(pieces))
    orders = [sorted(copies, key=key, reverse=True) for key in _ORDERS]
    best = min(((table.plan(order), order) for order in orders), key=lambda it: it[0].length)
    dice = Random(seed)  # noqa: S311 - shuffles pieces of cloth, keeps no secret
    for _ in range(tries):
        order = _shuffled(best[1], dice)
        best = min(best, (table.plan(order), order), key=lambda it: it[0].length)
    return best[0]


def _by_area(copy: Copy) -> Decimal:
    return copy[0].outline.area


def _by_length(copy: Copy) -> Decimal:
    return max(copy[0].turned(turn).width for turn in copy[0].turns)


def _by_height(copy: Copy) -> Decimal:
    return max(copy[0].turned(turn).height for turn in copy[0].turns)


_ORDERS: tuple[Callable[[Copy], Decimal], ...] = (_by_area, _by_length, _by_height)


def _shuffled(order: list[Copy], dice: Random) -> list[Copy]:
    """The order with one copy taken out and put in elsewhere."""
    changed = list(order)
    copy = changed.pop(dice.randrange(len(changed)))
    changed.insert(dice.randrange(len(changed) + 1), copy)
    return changed


def fill_end(strip: Strip, length: Decimal, pieces: Sequence[ToCut]) -> CutPlan:
    """What of the pieces can be cut from a roll end of that length, in millimetres; largest first.

    What does not fit stays out of the plan; `left_over` tells it. Pieces too wide stay out too.
    """
    narrow = [piece for piece in pieces if turns_that_fit(strip, piece)]
    table = _Table(strip, length)
    return table.plan(sorted(copies_of(narrow), key=_by_area, reverse=True))


def left_over(plan: CutPlan, pieces: Sequence[ToCut]) -> tuple[ToCut, ...]:
    """The pieces that a plan leaves to be cut, with the copies still missing."""
    laid = [placed.piece.mark for placed in plan.laid]
    missing = [(piece, piece.copies - laid.count(piece.mark)) for piece in pieces]
    return tuple(
        ToCut(piece.mark, piece.outline, count, piece.turns, piece.warp_angle)
        for piece, count in missing
        if count
    )


class _Table:
    """A cutting table with cloth on it; it remembers the no-fit shapes from one plan to the next."""

    def __init__(self, strip: Strip, length: Decimal | None = None) -> None:
        self.strip = strip
        self.longest = None if length is None else float(length + strip.gap + strip.slack)
        self.nofits = NoFits(float(strip.slack) / 100)
        self.ways: dict[str, list[Way]] = {}

    def plan(self, order: Sequence[Copy]) -> CutPlan:
        """The copies laid one after the other; those that find no place are left out."""
        lying: list[tuple[Ring, float, float]] = []
        laid: list[Laid] = []
        for piece, copy in order:
            if place := self._best_place(piece, lying):
                way, right, up = place
                lying.append((way.corners, right, up))
                laid.append(Laid(piece, copy, way.turn, rounded(right), rounded(up)))
        return CutPlan(self.strip, tuple(laid), "laid to the left, largest first")

    def _best_place(
        self, piece: ToCut, lying: Sequence[tuple[Ring, float, float]]
    ) -> tuple[Way, float, float] | None:
        places = [(way, *place) for way in self._ways(piece) if (place := self._place(way, lying))]
        return min(places, key=lambda it: (it[1] + it[0].length, it[2]), default=None)

    def _ways(self, piece: ToCut) -> list[Way]:
        if piece.mark not in self.ways:
            self.ways[piece.mark] = ways(self.strip, piece)
        return self.ways[piece.mark]

    def _place(self, way: Way, lying: Sequence[tuple[Ring, float, float]]) -> tuple[float, float] | None:
        slack = float(self.strip.slack) / 100
        ends = (right + max(x for x, _ in corners) for corners, right, _ in lying)
        reach = max(ends, default=0.0) + float(self.strip.gap)
        across = max(float(self.strip.width) - way.height, 0.0) + slack
        along = reach + slack if self.longest is None else min(reach, self.longest - way.length) + slack
        if along <= 0:
            return None
        free = self.nofits.free(shapely.box(0, 0, along, across), lying, way.corners)
        if not len(free):
            return None
        right, up = min((float(x), float(y)) for x, y in free)
        return right, up

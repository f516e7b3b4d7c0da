"""A search for pieces that are all rectangles: laid one by one where the front of the plan is furthest back.

A plan so far is its front: stretches across the cloth, each cut up to some length. Into the stretch that is
furthest back comes the piece that leaves the fewest steps in the front; of equally good ones, the first in
the order of the pieces. The order is then shuffled, two places at a time and one of the two turned, and kept
where its plan is no longer. Source: Burke, Kendall and Whitwell (2004), best fit; steps counted as by Leung
and Zhang (2011).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from random import Random
from typing import NamedTuple

from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut, copies_of, turns_that_fit
from app.trade.canvas.least import at_least

PATIENCE = 50  # shuffles for each copy without a shorter plan: then it is begun anew
STIRRED = 8  # changes of the best order to begin anew from
UNIT = Decimal("0.00001")  # millimetres: sizes are whole numbers of them, so that equal ones are equal
WALL = 1 << 62  # the edge of the cloth: further than any front


class Box(NamedTuple):
    """A copy at one of its turns, its gap with it: how far along the roll and across it."""

    turn: Decimal
    along: int
    across: int


class Stretch(NamedTuple):
    """A stretch of the front: where across the cloth it begins, how wide it is, how long the cloth is cut."""

    up: int
    room: int
    cut: int


class Next(NamedTuple):
    """A copy in an order of laying: which one, and its boxes, the one that it would rather lie as first."""

    copy: int
    boxes: tuple[Box, ...]

    @property
    def turned(self) -> "Next":
        """The same copy that would rather lie another way, where it has one."""
        return Next(self.copy, (*self.boxes[1:], self.boxes[0]))


Order = list[Next]


@dataclass(frozen=True)
class Put:
    """A copy in its place: as which box, how far right and up."""

    next: Next
    box: Box
    right: int
    up: int


def all_rectangles(strip: Strip, pieces: Sequence[ToCut]) -> bool:
    """Whether every piece lies square on the cloth at each turn that fits it."""
    outlines = (piece.turned(turn) for piece in pieces for turn in turns_that_fit(strip, piece))
    return all(it.area == it.width * it.height for it in outlines)


def best_fitted(
    strip: Strip, pieces: Sequence[ToCut], seed: int, over: Callable[[], bool], found: str
) -> CutPlan:
    """The shortest plan of rectangles that was found until it was `over`: a clock, or a count.

    It ends before where no plan can be shorter. `found`: how the plan says that it was found. With the same
    seed, all comes out the same until then.
    """
    least = _units(at_least(strip, pieces).value)
    table = _Table(strip, pieces)
    dice = Random(seed)  # noqa: S311 - shuffles pieces of cloth, keeps no secret
    best = min((table.laid(order) for order in table.orders()), key=table.length)
    while table.length(best) > least and not over():
        best = min(best, _shortened(table, best, dice, over), key=table.length)
    return table.plan(best, found)


def _shortened(table: "_Table", begun: list[Put], dice: Random, over: Callable[[], bool]) -> list[Put]:
    """What comes of an order, stirred, by changing places until it gets no shorter."""
    order = _stirred([it.next for it in begun], dice, STIRRED)
    best, idle = table.laid(order), 0
    while idle < PATIENCE * len(order) and not over():
        tried = _stirred(order, dice, 1)
        laid = table.laid(tried)
        idle = 0 if table.length(laid) < table.length(best) else idle + 1
        if table.length(laid) <= table.length(best):
            order, best = tried, laid
    return best


def _stirred(order: Order, dice: Random, times: int) -> Order:
    changed = list(order)
    for _ in range(times):
        one, other = dice.randrange(len(order)), dice.randrange(len(order))
        changed[one], changed[other] = changed[other].turned, changed[one]
    return changed


class _Table:
    """The cloth and the boxes of all copies, in whole units; with the gap at each, the edges need none."""

    def __init__(self, strip: Strip, pieces: Sequence[ToCut]) -> None:
        self._strip = strip
        self._width, self._gap = _units(strip.width + strip.gap), _units(strip.gap)
        self._copies = list(copies_of(pieces))
        boxes = {piece.mark: self._boxes_of(piece) for piece in pieces}
        self._all = [Next(at, boxes[piece.mark]) for at, (piece, _) in enumerate(self._copies)]

    def _boxes_of(self, piece: ToCut) -> tuple[Box, ...]:
        """Its ways to lie, each once: turned by half, a rectangle looks the same."""
        unlike: dict[tuple[int, int], Box] = {}
        for turn in turns_that_fit(self._strip, piece):
            outline = piece.turned(turn)
            along, across = outline.width + self._strip.gap, outline.height + self._strip.gap
            size = _units(along), min(_units(across), self._width)  # wider by a hair counts as fitting
            unlike.setdefault(size, Box(turn, *size))
        return tuple(unlike.values())

    def orders(self) -> Iterator[Order]:
        """Usual orders: the largest first, the longest first, the widest first."""
        keys: tuple[Callable[[Box], int], ...] = (
            lambda box: box.along * box.across,
            lambda box: box.along,
            lambda box: box.across,
        )
        for key in keys:
            sizes = [max(map(key, it.boxes)) for it in self._all]
            yield sorted(self._all, key=lambda it: sizes[it.copy], reverse=True)

    def length(self, laid: list[Put]) -> int:
        return max(it.right + it.box.along for it in laid) - self._gap

    def plan(self, laid: list[Put], found: str) -> CutPlan:
        placed = (
            Laid(*self._copies[it.next.copy], it.box.turn, it.right * UNIT, it.up * UNIT)
            for it in sorted(laid, key=lambda it: it.next.copy)
        )
        return CutPlan(self._strip, tuple(placed), found)

    def laid(self, order: Order) -> list[Put]:
        """All copies in their places, in the order in which they were laid."""
        front, left, laid = [Stretch(0, self._width, 0)], list(order), list[Put]()
        while left:
            at = min(range(len(front)), key=lambda it: front[it].cut)
            if fittest := _fittest(left, front, at):
                place, box = fittest
                laid.append(_put(front, at, left.pop(place), box))
            else:
                _give_up(front, at)
        return laid


def _fittest(left: Order, front: list[Stretch], at: int) -> tuple[int, Box] | None:
    """Which of those left to lay, and as which box; None where the stretch is too narrow for all."""
    _, room, cut = front[at]
    walls = _walls(front, at)
    boxes = [(place, box) for place, it in enumerate(left) for box in it.boxes if box.across <= room]
    return max(boxes, key=lambda it: _fit(it[1], room, cut, walls), default=None)


def _units(millimetres: Decimal) -> int:
    return int(millimetres / UNIT)


def _walls(front: list[Stretch], at: int) -> tuple[int, int]:
    """How far the front is cut below and above a stretch."""
    below = front[at - 1].cut if at else WALL
    return below, front[at + 1].cut if at + 1 < len(front) else WALL


def _fit(box: Box, room: int, cut: int, walls: tuple[int, int]) -> int:
    """How many steps of the front a box does away with."""
    level = sum(cut + box.along == wall for wall in walls)
    return 2 + level if box.across == room else min(level, 1)


def _put(front: list[Stretch], at: int, copy: Next, box: Box) -> Put:
    """A box laid at the end of a stretch where it goes on level, else at the higher wall."""
    up, room, cut = front[at]
    below, above = _walls(front, at)
    end = cut + box.along
    low = below == end or (above != end and below >= above)
    put = Put(copy, box, cut, up if low else up + room - box.across)
    laid, rest = Stretch(put.up, box.across, end), room - box.across
    spare = [Stretch(up + box.across if low else up, rest, cut)] if rest else []
    front[at : at + 1] = [laid, *spare] if low else [*spare, laid]
    _join(front)
    return put


def _give_up(front: list[Stretch], at: int) -> None:
    """A stretch that nothing fits is cut up to its lower neighbour."""
    up, room, _ = front[at]
    front[at] = Stretch(up, room, min(_walls(front, at)))
    _join(front)


def _join(front: list[Stretch]) -> None:
    """Neighbours that are cut alike become one."""
    for at in range(len(front) - 1, 0, -1):
        if front[at].cut == front[at - 1].cut:
            below = front[at - 1]
            front[at - 1 : at + 1] = [Stretch(below.up, below.room + front[at].room, below.cut)]

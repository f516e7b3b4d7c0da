"""The ways in which pieces may lie on the cloth, as the searches see them: in floats, grown by the gap."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import gcd

import numpy as np
import shapely

from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut, copies_of, turns_that_fit
from app.trade.canvas.linear import Numbers, Places
from app.trade.canvas.no_fit import Ring
from app.trade.vectors import rounded

ALIKE = 1e-9  # of the area


@dataclass(frozen=True)
class Way:
    """One turn of a piece: its outline grown by half the gap, and the box of the piece itself at 0."""

    turn: Decimal
    corners: Ring
    length: float
    height: float


def ways(strip: Strip, piece: ToCut) -> list[Way]:
    """The ways in which a piece fits the cloth; turns at which it looks the same are one way."""
    unlike: list[Way] = []
    for turn in turns_that_fit(strip, piece):
        way = _way(strip, piece, turn)
        if not any(_alike(way, other) for other in unlike):
            unlike.append(way)
    return unlike


def _way(strip: Strip, piece: ToCut, turn: Decimal) -> Way:
    outline = piece.turned(turn)
    grown = shapely.buffer(shapely.Polygon(outline.ring), float(strip.gap) / 2, join_style="mitre")
    corners = tuple((float(x), float(y)) for x, y in shapely.get_coordinates(grown)[:-1])
    return Way(turn, corners, float(outline.width), float(outline.height))


def _alike(one: Way, other: Way) -> bool:
    shapes = shapely.Polygon(one.corners), shapely.Polygon(other.corners)
    return bool(shapely.symmetric_difference(*shapes).area <= ALIKE * shapes[0].area)


def common_measure(sizes: Iterable[Decimal]) -> Decimal:
    """The largest length that all sizes are whole multiples of; 0 where all are 0 or there are none."""
    each = [Decimal(0), *sizes]
    finest = min(int(it.normalize().as_tuple().exponent) for it in each)
    return Decimal(gcd(*(int(it.scaleb(-finest)) for it in each))).scaleb(finest)


@dataclass(frozen=True)
class Lying:
    """Where all copies lie: the way of each, and how far right and up the corner of its box is."""

    way: Places
    right: Numbers
    up: Numbers


class Kit:
    """All copies to be cut from a strip, and the ways of them all: copy `i` may lie in `choices[i]`."""

    def __init__(self, strip: Strip, pieces: Sequence[ToCut]) -> None:
        self.strip, self.width = strip, float(strip.width)
        self.copies = list(copies_of(pieces))
        self.ways: list[Way] = []
        self._ways_of: dict[str, list[int]] = {}
        for piece in pieces:
            begin = len(self.ways)
            self.ways.extend(ways(strip, piece))
            self._ways_of[piece.mark] = list(range(begin, len(self.ways)))
        self.choices = [self._ways_of[piece.mark] for piece, _ in self.copies]
        self.lengths = np.array([way.length for way in self.ways])
        self.heights = np.array([way.height for way in self.ways])

    @property
    def side(self) -> float:
        """The side of a square as large as the average piece."""
        areas = [float(piece.outline.area) for piece, _ in self.copies]
        return float(np.sqrt(np.mean(areas)))

    @property
    def drawn_on(self) -> Decimal:
        """The largest length that all corners and the gap are whole multiples of: 1 where all are whole."""
        pieces = {piece.mark: piece for piece, _ in self.copies}.values()
        outlines = [it.turned(turn) for it in pieces for turn in turns_that_fit(self.strip, it)]
        sizes = {size for each in outlines for it in each.corners for size in (it.x, it.y)}
        return common_measure(sizes | {self.strip.gap})

    def lying(self, plan: CutPlan) -> Lying:
        """How the copies lie in a plan of all of them."""
        laid = {(it.piece.mark, it.copy): it for it in plan.laid}
        inside = [laid[piece.mark, copy] for piece, copy in self.copies]
        return Lying(
            np.array([self._nearest(it) for it in inside]),
            np.array([float(it.right) for it in inside]),
            np.array([float(it.up) for it in inside]),
        )

    def _nearest(self, laid: Laid) -> int:
        """Its way; where it looks the same at another turn, the way of that one."""
        here = shapely.Polygon(laid.piece.turned(laid.turn).ring)
        shapes = {at: shapely.Polygon(self.ways[at].corners) for at in self._ways_of[laid.piece.mark]}
        return min(shapes, key=lambda at: float(shapely.symmetric_difference(shapes[at], here).area))

    def plan(self, lying: Lying, found: str) -> CutPlan:
        """The plan in which the copies lie so."""
        laid = (
            Laid(piece, copy, self.ways[way].turn, rounded(right), rounded(up))
            for (piece, copy), way, right, up in zip(
                self.copies, lying.way, lying.right, lying.up, strict=True
            )
        )
        return CutPlan(self.strip, tuple(laid), found)

    def length(self, lying: Lying) -> float:
        """How long the cloth must be."""
        return float((lying.right + self.lengths[lying.way]).max())

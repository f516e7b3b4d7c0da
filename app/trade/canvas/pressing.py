"""Pieces pressed together: all moved at once, as far as they go without turning or passing each other.

Two pieces in convex parts lie apart where each part of one lies beyond some edge of the sum of both. Each
pair of parts keeps to the edge that it is furthest beyond; the shortest strip is then a linear program.
Pressed again, the edges may be others. Source: Li and Milenkovic (1995), compaction and separation.
"""

from functools import cached_property

import numpy as np

from app.trade.canvas.edges import Edges
from app.trade.canvas.linear import Conditions, Numbers, Places, conditions, least_cost
from app.trade.canvas.ways import Kit, Lying

PARTING = 3  # rounds in which pieces must have come apart
STUCK = 0.3  # of the overlap left after a round: of 61 shorter plans measured, one came of more
SHORTENING = 20  # rounds at most
GAIN = 1e-4  # of the length: less ends it
REACH = 1 / 7  # of the side of an average piece: how far one round moves a piece each way
APART = 1e-7  # of the width: as good as no overlap
DEAR = 10.0  # an overlap costs more than it can shorten the strip by


class Press:
    """Presses the copies of one kit."""

    def __init__(self, kit: Kit, edges: Edges) -> None:
        self._kit, self._edges = kit, edges

    def pressed(self, lying: Lying) -> Lying | None:
        """The copies parted where they overlap a little, then pressed to the left; None where they stay."""
        parted = self._parted(_on_the_cloth(self._kit, lying))
        return parted and self._shortened(parted)

    def _parted(self, lying: Lying) -> Lying | None:
        for _ in range(PARTING):
            left, overlap, lying = self._round(lying)
            if overlap <= APART:
                return lying
            if left > STUCK:
                break
        return None

    def _shortened(self, lying: Lying) -> Lying:
        for _ in range(SHORTENING):
            *_, closer = self._round(lying)
            if self._kit.length(closer) > (1 - GAIN) * self._kit.length(lying):
                break
            lying = closer
        return lying

    def _round(self, lying: Lying) -> tuple[float, float, Lying]:
        """The share of the overlap that is left, the deepest of it in widths, and how the pieces lie then."""
        task = _Task(self._kit, lying, self._kept_edges(lying))
        solved = least_cost(task.cost, task.under, task.start)
        right, up = solved[:-2].reshape(2, -1) * self._kit.width
        left = float(solved[-1])
        return left, left * float(task.overlap.max(initial=0)), Lying(lying.way, right, up)

    def _kept_edges(self, lying: Lying) -> Numbers:
        """One row for each two parts that can meet: the two copies, the normal, how far apart at least."""
        reach = REACH * self._kit.side
        near = _near(self._kit, lying, 2 * reach)
        normals, out, copies = self._edges_of(lying.way, near)
        apart = np.stack([lying.right, lying.up], axis=1)
        beyond = np.einsum("rex,rx->re", normals, apart[copies[:, 1]] - apart[copies[:, 0]]) - out
        best = beyond.argmax(axis=1)
        kept = np.flatnonzero(beyond.max(axis=1, initial=-np.inf) < 3 * reach)
        return np.column_stack([copies[kept], normals[kept, best[kept]], out[kept, best[kept]]])

    def _edges_of(self, way: Places, near: Places) -> tuple[Numbers, Numbers, Places]:
        """The edges of all pairs of parts of copies near each other, and which two copies each pair is of."""
        found = [self._edges.between(way[one], way[other]) for one, other in near]
        normals = np.concatenate([np.empty((0, self._edges.most, 2)), *(it[0] for it in found)])
        out = np.concatenate([np.empty((0, self._edges.most)), *(it[1] for it in found)])
        return normals, out, np.repeat(near, [len(it[1]) for it in found], axis=0)


def _on_the_cloth(kit: Kit, lying: Lying) -> Lying:
    """Copies that reach off the cloth a little, moved onto it: each round begins within its limits."""
    highest = np.maximum(kit.width - kit.heights[lying.way], 0)
    return Lying(lying.way, np.maximum(lying.right, 0), np.clip(lying.up, 0, highest))


def _near(kit: Kit, lying: Lying, within: float) -> Places:
    """Each two copies whose boxes, grown by the gap, are within reach of each other."""
    far = within + float(kit.strip.gap)
    right, up = lying.right + kit.lengths[lying.way] + far, lying.up + kit.heights[lying.way] + far
    beside = (lying.right < right[:, None]) & (lying.up < up[:, None])
    return np.argwhere(np.triu(beside & beside.T, 1))


class _Task:
    """The linear program of one round, in widths: how far right, how far up, the length, the overlap left.

    The last unknown is the share that is left of all overlaps: 1 at the start, 0 once they are gone.
    """

    def __init__(self, kit: Kit, lying: Lying, kept: Numbers) -> None:
        self._count = len(lying.way)
        self._sizes = kit.lengths[lying.way] / kit.width, kit.heights[lying.way] / kit.width
        self._at = np.concatenate([lying.right, lying.up]) / kit.width
        self._reach = REACH * kit.side / kit.width
        self._one, self._other = kept[:, :2].astype(int).T
        self._normals, self._out = kept[:, 2:4], kept[:, 4] / kit.width
        ends = float((self._at[: self._count] + self._sizes[0]).max())
        self.start = np.concatenate([self._at, [ends, 1.0]])

    @cached_property
    def overlap(self) -> Numbers:
        """How deep each pair of parts is inside the edge that it keeps to."""
        right, up = self._at.reshape(2, -1)
        right, up = right[self._other] - right[self._one], up[self._other] - up[self._one]
        beyond = self._normals[:, 0] * right + self._normals[:, 1] * up - self._out
        deep: Numbers = np.maximum(-beyond, 0.0)
        return deep

    @property
    def cost(self) -> Numbers:
        return np.concatenate([np.zeros(2 * self._count), [1.0, DEAR * self.overlap.sum() + 0.01]])

    @property
    def under(self) -> Conditions:
        return self._apart() + self._on_the_cloth() + self._within_reach()

    def _apart(self) -> Conditions:
        across, upward = self._normals.T
        at = [self._one, self._other, self._count + self._one, self._count + self._other]
        by = [-across, across, -upward, upward, self.overlap]
        return conditions([*at, 2 * self._count + 1], by, self._out)

    def _on_the_cloth(self) -> Conditions:
        ends = conditions([2 * self._count, np.arange(self._count)], [1.0, -1.0], self._sizes[0])
        return ends + conditions([2 * self._count + 1], [1.0], np.zeros(1))

    def _within_reach(self) -> Conditions:
        """Not further than one round goes, nor off the cloth; the width that rounding adds goes on top."""
        every = np.arange(2 * self._count)
        highest = np.concatenate([np.full(self._count, np.inf), 1 - self._sizes[1]])
        least = np.clip(self._at - self._reach, 0.0, np.maximum(highest, 0.0))
        most = np.maximum(np.minimum(self._at + self._reach, highest), least + APART)
        return conditions([every], [1.0], least) + conditions([every], [-1.0], -most)

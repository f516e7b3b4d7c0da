"""How deep pieces lie in each other, worked out once for every two ways and every place on a grid."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.trade.canvas.edges import Edges
from app.trade.canvas.linear import Places
from app.trade.canvas.ways import Kit

Depth = NDArray[np.int16]  # in shares of a step, FINE of them to one

LET = 0.35  # steps: what pieces may overlap by on the grid, for between its places they would not
LET_DRAWN = 0.2  # steps, where outlines are drawn on the grid and touch on it as they are
FINE = 16  # whole numbers add up without a rest, and pass by twice as fast as fractions


@dataclass(frozen=True)
class Table:
    """Depths of a moving way by how far up and right of a lying one it is, from the least such, in steps.

    A row goes right: cloth is longer than wide, and few long rows are sooner added than many short ones.
    """

    depth: Depth
    right: int
    up: int

    @property
    def reversed(self) -> "Table":
        """The same two ways, the other one moving."""
        high, wide = self.depth.shape
        return Table(self.depth[::-1, ::-1].copy(), 1 - self.right - wide, 1 - self.up - high)


class Depths:
    """The tables of each two ways of a kit, `step` apart in the unit of the kit.

    `let`: what two pieces may overlap by as if they did not, in steps.
    `stacks`: for each way that lies, the depths of all ways that move.
    """

    def __init__(self, kit: Kit, edges: Edges, step: float, let: float = LET) -> None:
        self.step, self.let = step, let
        self._kit, self._edges = kit, edges
        every = range(len(kit.ways))
        half = {(one, two): self._table(one, two) for two in every for one in every[: two + 1]}
        whole = {(two, one): table.reversed for (one, two), table in half.items()} | half
        self.tables = [[whole[lying, moving] for moving in every] for lying in every]
        self.stacks = [stacked(row) for row in self.tables]
        self._one_behind_another()

    def _table(self, one: int, two: int) -> Table:
        lying, moving = self._kit.ways[one], self._kit.ways[two]
        right, up = -self._steps(moving.length), -self._steps(moving.height)
        across = np.arange(right, self._steps(lying.length) + 1)
        upward = np.arange(up, self._steps(lying.height) + 1)
        return Table(self._depth(one, two, across, upward), right, up)

    def _depth(self, lying: int, moving: int, across: Places, upward: Places) -> Depth:
        """Of the deepest pair of parts; an overlap within what is let counts nothing."""
        normals, out = self._edges.between(lying, moving)
        x, y = np.meshgrid(across, upward)
        deepest = np.zeros(x.shape)
        for sides, far in zip(normals, out / self.step, strict=True):
            inside = (far - np.multiply.outer(x, sides[:, 0]) - np.multiply.outer(y, sides[:, 1])).min(
                axis=-1
            )
            deepest = np.maximum(deepest, inside - self.let)
        return np.ceil(deepest * FINE).astype(np.int16)

    def _steps(self, size: float) -> int:
        return int((size + float(self._kit.strip.gap)) / self.step)

    def _one_behind_another(self) -> None:
        """All tables in one row of numbers, so that many are asked at once."""
        flat = [table.depth.ravel() for row in self.tables for table in row]
        self._all = np.concatenate(flat)
        begin = np.cumsum([0, *map(len, flat[:-1])])
        sizes = [(it.right, it.up, *it.depth.shape[::-1]) for row in self.tables for it in row]
        about = np.column_stack([sizes, begin]).reshape(len(self.tables), len(self.tables), -1)
        self._about = np.ascontiguousarray(about.transpose(1, 2, 0))  # of each that moves: by those that lie

    def between(self, lying: Places, moving: int, right: Places, up: Places) -> Depth:
        """How deep a way lies in each of several that lie, by how far right and up of each it is."""
        least_right, least_up, wide, high, begin = self._about[moving][:, lying]
        right, up = right - least_right, up - least_up
        meet = np.flatnonzero((right >= 0) & (up >= 0) & (right < wide) & (up < high))
        deep = np.zeros(len(lying), np.int16)
        deep[meet] = self._all[(begin + up * wide + right)[meet]]
        return deep


def stacked(tables: Sequence[Table]) -> Table:
    """Tables of many ways on each other, each at its place, of one size and filled up with nothing."""
    right, up = min(it.right for it in tables), min(it.up for it in tables)
    high, wide = np.max([(it.up + len(it.depth), it.right + len(it.depth[0])) for it in tables], axis=0)
    stack = np.zeros((len(tables), high - up, wide - right), np.int16)
    for layer, it in zip(stack, tables, strict=True):
        rows, columns = it.depth.shape
        layer[it.up - up :, it.right - right :][:rows, :columns] = it.depth
    return Table(stack, right, up)

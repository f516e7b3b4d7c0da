"""How deep pieces lie in each other, worked out once for every two ways and every place on a grid."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.trade.canvas.edges import Edges
from app.trade.canvas.linear import Places
from app.trade.canvas.ways import Kit

Depth = NDArray[np.float32]

LET = 0.35  # steps: what pieces may overlap by on the grid, for between its places they would not
FINE = 16  # a step is counted in so many: whole numbers add up without a rest


@dataclass(frozen=True)
class Table:
    """Depths in steps of a moving way by how far right and up of a lying one it is, from the least such."""

    depth: Depth
    right: int
    up: int

    @property
    def reversed(self) -> "Table":
        """The same two ways, the other one moving."""
        wide, high = self.depth.shape
        return Table(self.depth[::-1, ::-1].copy(), 1 - self.right - wide, 1 - self.up - high)


class Depths:
    """The tables of each two ways of a kit, `step` apart in the unit of the kit.

    `stacks`: for each way that lies, the depths of all ways that move, of one size, filled up with nothing.
    `before`: how far left of and under the corner of the lying one the table of each that moves begins.
    """

    def __init__(self, kit: Kit, edges: Edges, step: float) -> None:
        self.step = step
        self._kit, self._edges = kit, edges
        every = range(len(kit.ways))
        half = {(one, two): self._table(one, two) for two in every for one in every[: two + 1]}
        whole = {(two, one): table.reversed for (one, two), table in half.items()} | half
        self.tables = [[whole[lying, moving] for moving in every] for lying in every]
        self.before = [(-it.right, -it.up) for it in self.tables[0]]
        self.stacks = [_stacked([table.depth for table in row]) for row in self.tables]
        self._one_behind_another()

    def _table(self, one: int, two: int) -> Table:
        lying, moving = self._kit.ways[one], self._kit.ways[two]
        right, up = -self._steps(moving.length), -self._steps(moving.height)
        across = np.arange(right, self._steps(lying.length) + 1)
        upward = np.arange(up, self._steps(lying.height) + 1)
        return Table(self._depth(one, two, across, upward), right, up)

    def _depth(self, lying: int, moving: int, across: Places, upward: Places) -> Depth:
        """Of the deepest pair of parts, in steps; an overlap within what is let counts nothing."""
        normals, out = self._edges.between(lying, moving)
        x, y = np.meshgrid(across, upward, indexing="ij")
        deepest = np.zeros(x.shape)
        for sides, far in zip(normals, out / self.step, strict=True):
            inside = (far - np.multiply.outer(x, sides[:, 0]) - np.multiply.outer(y, sides[:, 1])).min(
                axis=-1
            )
            deepest = np.maximum(deepest, inside - LET)
        return (np.ceil(deepest * FINE) / FINE).astype(np.float32)

    def _steps(self, size: float) -> int:
        return int((size + float(self._kit.strip.gap)) / self.step)

    def _one_behind_another(self) -> None:
        """All tables in one row of numbers, so that many are asked at once."""
        flat = [table.depth.ravel() for row in self.tables for table in row]
        self._all = np.concatenate(flat)
        count = len(self.tables)
        self._begin = np.cumsum([0, *map(len, flat[:-1])]).reshape(count, count)
        about = [[(*it.depth.shape, it.right, it.up) for it in row] for row in self.tables]
        self._wide, self._high, self._right, self._up = np.moveaxis(np.array(about), -1, 0)

    def between(self, lying: Places, moving: int, right: Places, up: Places) -> Depth:
        """How deep a way lies in each of several that lie, by how far right and up of each it is."""
        here = lying, moving
        right, up = right - self._right[here], up - self._up[here]
        wide, high = self._wide[here], self._high[here]
        meet = np.flatnonzero((right >= 0) & (up >= 0) & (right < wide) & (up < high))
        deep = np.zeros(len(lying), np.float32)
        deep[meet] = self._all[(self._begin[here] + right * high + up)[meet]]
        return deep


def _stacked(tables: list[Depth]) -> Depth:
    wide, high = np.max([it.shape for it in tables], axis=0)
    stack = np.zeros((len(tables), wide, high), np.float32)
    for at, table in enumerate(tables):
        stack[at, : table.shape[0], : table.shape[1]] = table
    return stack

"""Pieces pushed apart on a grid: they may overlap, and one after the other goes to where it overlaps least.

Two pieces that keep overlapping weigh more and more, so that others give way: guided local search (Voudouris
and Tsang). For each way there is a map of how deep it would lie at each place of the grid; a move takes a
piece's depths out of all maps and puts them in elsewhere, so that a whole map is looked at in each move.
"""

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from app.trade.canvas.depths import FINE, Depth, Depths
from app.trade.canvas.linear import Numbers, Places
from app.trade.canvas.ways import Kit, Lying

IDLE = 25  # sweeps without less overlap: then it is given up
BETTER = 0.98
WORST, LEAST, EASED = 2.0, 1.2, 0.95  # times the weight: of the deepest overlap, of a slight one, of none
SAME = 2e-2  # of a share of a step: what rounding adds to weighed sums

Copies = tuple[Places, Places, Places]  # way, right and up of each, in steps


class Pushing:
    """The copies of a kit on the grid of a strip that may be too short for them."""

    def __init__(self, kit: Kit, depths: Depths, dice: np.random.Generator) -> None:
        self._kit, self._depths, self._dice = kit, depths, dice
        self._count = len(kit.copies)

    def put(self, lying: Lying, length: float) -> None:
        """Copies to begin with, each at its nearest place inside a strip of that length."""
        step = self._depths.step
        places = np.rint(lying.right / step).astype(int), np.rint(lying.up / step).astype(int)
        self._last = self._most(length, self._kit.lengths), self._most(self._kit.width, self._kit.heights)
        self.restore((lying.way, *places))

    def _most(self, size: float, taken: Numbers) -> Places:
        return np.maximum((size - taken) / self._depths.step + self._depths.let, 0).astype(int)

    def lying(self) -> Lying:
        """Where the copies lie now."""
        step = self._depths.step
        return Lying(self._way.copy(), self._right * step, self._up * step)

    @property
    def overlap(self) -> float:
        """How deep all copies lie in each other, in steps."""
        return float(self._deep.sum()) / 2 / FINE

    def save(self) -> Copies:
        """What `restore` brings back."""
        return self._way.copy(), self._right.copy(), self._up.copy()

    def restore(self, copies: Copies) -> None:
        """Copies as they once lay."""
        self._way, right, up = (it.copy() for it in copies)
        self._right, self._up = (
            np.minimum(right, self._last[0][self._way]),
            np.minimum(up, self._last[1][self._way]),
        )
        self._deep = np.stack([self._depths_of(at) for at in range(self._count)])
        right, up = np.max(self._last, axis=1) + 1
        self._maps = np.zeros((len(self._kit.ways), up, right), np.int16)
        for at in range(self._count):
            on, deep = self._met(at)
            self._maps[on] += deep

    def swap(self) -> None:
        """Two copies of unlike pieces, by dice, each to where the other was."""
        one = int(self._dice.integers(self._count))
        unlike = [at for at, ways in enumerate(self._kit.choices) if ways is not self._kit.choices[one]]
        other = int(self._dice.choice(unlike or range(self._count)))
        places = [(int(self._right[at]), int(self._up[at])) for at in (other, one)]
        for at, (right, up) in zip((one, other), places, strict=True):
            way = int(self._dice.choice(self._kit.choices[at]))
            self._place(at, way, min(right, self._last[0][way]), min(up, self._last[1][way]))

    def part(self, over: Callable[[], bool]) -> bool:
        """Push until nothing overlaps, and say so; or until it gets no better, and go back to the least."""
        self._weights = np.ones(self._deep.shape, np.float32)
        least, kept, idle = self.overlap, self.save(), 0
        while self.overlap and idle < IDLE and not over():
            self._sweep()
            idle = 0 if self.overlap < BETTER * least else idle + 1
            if self.overlap < least:
                least, kept = self.overlap, self.save()
            self._weigh()
        if self.overlap:
            self.restore(kept)
        return not self.overlap

    def _sweep(self) -> None:
        for at in self._dice.permutation(np.flatnonzero(self._deep.any(axis=1))):
            if self._deep[at].any():
                self._move(int(at))

    def _weigh(self) -> None:
        deepest = self._deep.max() or 1
        more = np.where(self._deep > 0, LEAST + (WORST - LEAST) * self._deep / np.float32(deepest), EASED)
        self._weights = np.maximum(self._weights * more, 1)

    def _move(self, at: int) -> None:
        maps = list(self._weighed(at))
        least = min(float(it.min()) for it in maps)
        way, place = self._one_of([(it <= least + SAME).ravel().nonzero()[0] for it in maps])
        up, right = divmod(place, maps[way].shape[1])
        self._place(at, self._kit.choices[at][way], right, up)

    def _one_of(self, places: list[NDArray[np.intp]]) -> tuple[int, int]:
        """One of equally good places by dice, and in which map it is."""
        ends = np.cumsum([len(it) for it in places])
        drawn = int(self._dice.integers(ends[-1])) if ends[-1] > 1 else 0
        which = int(np.searchsorted(ends, drawn, side="right"))
        return which, int(places[which][drawn - ends[which]])

    def _weighed(self, at: int) -> Iterator[NDArray[np.float32]]:
        """How deep a copy would lie at each place on the cloth, times the weights: a map for each way."""
        own = slice(self._kit.choices[at][0], self._kit.choices[at][-1] + 1)
        maps = self._maps[own].astype(np.float32)
        on, deep = self._met(at)
        maps[on] -= deep[own]
        for other in (self._weights[at] > 1).nonzero()[0]:
            on, deep = self._met(other)
            maps[on] += (self._weights[at, other] - 1) * deep[own]
        for way, depths in zip(self._kit.choices[at], maps, strict=True):
            yield depths[: self._last[1][way] + 1, : self._last[0][way] + 1]

    def _place(self, at: int, way: int, right: int, up: int) -> None:
        if (way, right, up) == (self._way[at], self._right[at], self._up[at]):
            return
        on, deep = self._met(at)
        self._maps[on] -= deep
        self._way[at], self._right[at], self._up[at] = way, right, up
        on, deep = self._met(at)
        self._maps[on] += deep
        self._deep[at] = self._deep[:, at] = self._depths_of(at)

    def _depths_of(self, at: int) -> Depth:
        right, up = self._right[at] - self._right, self._up[at] - self._up
        deep = self._depths.between(self._way, self._way[at], right, up)
        deep[at] = 0
        return deep

    def _met(self, at: int) -> tuple[tuple[slice, ...], Depth]:
        """Where on the maps a copy is met, and how deep there."""
        stack = self._depths.stacks[self._way[at]]
        up, right = int(self._up[at]) + stack.up, int(self._right[at]) + stack.right
        _, high, wide = stack.depth.shape
        _, most_up, most_right = self._maps.shape
        on = slice(None), slice(max(up, 0), up + high), slice(max(right, 0), right + wide)
        return on, stack.depth[:, max(-up, 0) : most_up - up, max(-right, 0) : most_right - right]

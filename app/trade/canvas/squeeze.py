"""Our own search for a shorter plan: pushed apart on a grid in a shorter strip, then pressed together.

The strip is made a little shorter than the best plan. Pieces pushed apart in it are pressed, which moves them
off the grid and often much closer. Where they stay stuck, one of the layouts that came nearest is taken up
again with two pieces swapped. A quick pace soon finds how pieces lock into each other; a slow one then gains
what it passed over. Stuck there too, all begins anew.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from app.trade.canvas.depths import LET_DRAWN, Depths
from app.trade.canvas.edges import Edges
from app.trade.canvas.pressing import Press
from app.trade.canvas.pushing import Copies, Pushing
from app.trade.canvas.ways import Kit, Lying

FINE = 2  # times the root of the number of copies: steps of the grid in the side of an average piece
NEARLY = 0.1  # steps of overlap for each piece: pressing may part as much
POOL = 20  # layouts that came nearest
CHOICE = 0.25  # the share of the pool that most are taken from
WHOLE = 2.5  # usual steps: a grid as coarse is not parted, 43 pieces lock into each other by whole units
LOOSE = 1.1  # of the best length: room to begin anew in


@dataclass(frozen=True)
class Pace:
    """By what share of its length the strip is shortened, and how many tries a length gets for each copy."""

    shorter: float
    patience: int


QUICK = Pace(0.01, 2)  # alone, it leaves 64 pieces 1 % longer than the slow one
SLOW = Pace(0.003, 8)  # alone, it leaves 43 pieces of four kinds 3 % longer than the quick one


def depths_for(kit: Kit, edges: Edges) -> Depths:
    """On the grid that all outlines are drawn on, or a share of it, where that is about as fine as the usual.

    On it pieces touch as they are, and less is let: by our own search alone fu, blaz1 and trousers came out
    0.7 to 1.4 % shorter, shapes1 with four seeds within 1.9 to 3.8 % where it had been within 4.8 to 7.7 %.
    """
    usual = kit.side / (FINE * len(kit.copies) ** 0.5)
    shares = _shares(float(kit.drawn_on) / usual)
    return (
        Depths(kit, edges, float(kit.drawn_on) / shares, LET_DRAWN) if shares else Depths(kit, edges, usual)
    )


def _shares(steps: float) -> int:
    """Into how many steps of a grid that many usual steps are parted: none where outlines are drawn finer."""
    return min(round(steps), 1) if steps < WHOLE else round(steps)


class Squeeze:
    """A search for a shorter strip, from copies that do not overlap: with the same seed, the same again.

    `best`: the shortest found so far; what was given, pressed together, at the least.
    """

    def __init__(self, kit: Kit, first: Lying, seed: int) -> None:
        self._kit, self._dice = kit, np.random.default_rng(seed)
        edges = Edges(kit)
        self._press = Press(kit, edges)
        self._pushing = Pushing(kit, depths_for(kit, edges), self._dice)
        self.best = self._press.pressed(first) or first
        self._shorten(self.best, QUICK)

    def until(self, over: Callable[[], bool]) -> None:
        """Search until it is `over`, which is asked again and again: a clock, or a count."""
        while not over():
            self.go_on(over)

    def take_up(self, found: Lying) -> None:
        """Copies that another search left apart, pressed together: gone on from if they are the shortest."""
        pressed = self._press.pressed(found) or found
        if self._kit.length(pressed) < self._kit.length(self.best):
            self.best = pressed
            self._shorten(pressed, SLOW)

    def go_on(self, over: Callable[[], bool]) -> None:
        """Push once, and press what comes out of it."""
        parted = self._pushing.part(over)
        nearly = parted or self._pushing.overlap < NEARLY * len(self._kit.copies)
        pressed = self._press.pressed(self._pushing.lying()) if nearly else None
        if pressed and self._kit.length(pressed) < self._length:
            self.best = min(self.best, pressed, key=self._kit.length)
            self._shorten(pressed, self._pace)
        elif self._tries < self._pace.patience * len(self._kit.copies):
            self._stir()
        else:
            self._change()

    def _shorten(self, lying: Lying, pace: Pace) -> None:
        """Copies that lie apart, in a strip a little too short for them."""
        self._apart, self._length, self._pace = lying, self._kit.length(lying), pace
        self._put(lying, (1 - pace.shorter) * self._length)

    def _change(self) -> None:
        if self._pace is QUICK and np.isfinite(self._length):
            self._shorten(self._apart, SLOW)
        else:
            self._begin_anew()

    def _begin_anew(self) -> None:
        """All copies thrown on a strip with room for them: whatever length they come apart in is taken."""
        kit, room = self._kit, LOOSE * self._kit.length(self.best)
        way = np.array([self._dice.choice(ways) for ways in kit.choices])
        right, up = self._dice.random((2, len(way)))
        self._put(Lying(way, right * (room - kit.lengths[way]), up * (kit.width - kit.heights[way])), room)
        self._length, self._pace = np.inf, QUICK

    def _put(self, lying: Lying, length: float) -> None:
        self._pool: list[tuple[float, Copies]] = []
        self._tries = 0
        self._pushing.put(lying, length)

    def _stir(self) -> None:
        self._tries += 1
        self._pool.append((self._pushing.overlap, self._pushing.save()))
        self._pool = sorted(self._pool, key=lambda it: it[0])[:POOL]
        taken = min(abs(self._dice.normal(0, CHOICE)), 0.999)
        self._pushing.restore(self._pool[int(taken * len(self._pool))][1])
        self._pushing.swap()

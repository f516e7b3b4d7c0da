"""A linear program by its interior: the least cost under many conditions, on numpy alone.

Mehrotra's predictor and corrector (1992): each step first aims straight at the answer, then once more with
what that taught, and stays inside all conditions. Few unknowns stand in each condition, so the conditions
are kept as lists of places and factors, not as a table.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]
Places = NDArray[np.int64]

STEPS = 60  # 10 to 25 are usual
CLOSE = 1e-9
INSIDE = 0.995  # of the way to the nearest condition
LEAST = 1e-15  # room and price; never quite nothing
STIFF = 1e-11  # of the table's diagonal: so that it can be solved near the answer
EDGE = 0.01  # how far inside a start begins


@dataclass(frozen=True)
class Conditions:
    """One a row: the sum of `by` times the unknowns `at` these places is no less than `least`."""

    at: Places
    by: Numbers
    least: Numbers

    def __add__(self, other: "Conditions") -> "Conditions":
        """Both together."""
        wide = max(self.at.shape[1], other.at.shape[1])
        a, b = self._filled(wide), other._filled(wide)
        return Conditions(*(np.concatenate(both) for both in zip(a, b, strict=True)))

    def _filled(self, wide: int) -> tuple[Places, Numbers, Numbers]:
        more = ((0, 0), (0, wide - self.at.shape[1]))
        return np.pad(self.at, more), np.pad(self.by, more), self.least

    def sums(self, unknowns: Numbers) -> Numbers:
        """The sum of each row."""
        total: Numbers = (self.by * unknowns[self.at]).sum(axis=1)
        return total

    def spread(self, prices: Numbers, count: int) -> Numbers:
        """What the prices of the rows come to at each of `count` unknowns."""
        return _added(self.at.ravel(), (self.by * prices[:, None]).ravel(), count)


def conditions(at: list[int | Places], by: list[float | Numbers], least: Numbers) -> Conditions:
    """Conditions alike: in each column one unknown and its factor, the same or another in each row."""
    rows = len(least)
    places = np.stack([np.broadcast_to(np.asarray(it, np.int64), rows) for it in at], axis=1)
    factors = np.stack([np.broadcast_to(np.asarray(it, float), rows) for it in by], axis=1)
    return Conditions(places, factors, least)


def least_cost(cost: Numbers, under: Conditions, start: Numbers) -> Numbers:
    """The unknowns of least total `cost` under the conditions, to about nine digits.

    There must be an answer: some unknowns hold all conditions, and their cost has an end. `start` need hold
    none; the nearer it is, the fewer steps. Unknowns and cost are best of the order of 1.
    """
    path = _Path(cost, under, start)
    for _ in range(STEPS):
        if path.there():
            break
        path.step()
    return path.unknowns


class _Path:
    """Where the steps have come: the unknowns, the room left in each condition, and each one's price."""

    def __init__(self, cost: Numbers, under: Conditions, start: Numbers) -> None:
        self.cost, self.under, self.unknowns = cost, under, start
        self.room = np.maximum(under.sums(start) - under.least, EDGE)
        self.price = EDGE / self.room
        count = len(cost)
        self._cells = (under.at[:, :, None] * count + under.at[:, None, :]).ravel()
        self._products = (under.by[:, :, None] * under.by[:, None, :]).reshape(len(under.by), -1)

    @property
    def gap(self) -> float:
        """Room times price, on average: nothing at the answer."""
        return float(self.room @ self.price) / len(self.room)

    def _short(self) -> tuple[Numbers, Numbers]:
        """What the prices lack of the cost, and the sums of the conditions."""
        lacking = self.cost - self.under.spread(self.price, len(self.cost))
        return lacking, self.under.least + self.room - self.under.sums(self.unknowns)

    def there(self) -> bool:
        lacking, missing = self._short()
        return max(self.gap, np.abs(missing).max()) < CLOSE and bool(np.abs(lacking).max() < CLOSE * 1000)

    def step(self) -> None:
        table, product = self._table(), self.room * self.price
        _, room, price = self._towards(table, -product)
        reached = (self.room + _reach(self.room, room) * room) @ (
            self.price + _reach(self.price, price) * price
        )
        middle = (reached / len(product) / self.gap) ** 3 * self.gap
        unknowns, room, price = self._towards(table, middle - product - room * price)
        by_room, by_price = INSIDE * _reach(self.room, room), INSIDE * _reach(self.price, price)
        self.unknowns = self.unknowns + by_room * unknowns
        self.room = np.maximum(self.room + by_room * room, LEAST)
        self.price = np.maximum(self.price + by_price * price, LEAST)

    def _table(self) -> Numbers:
        count = len(self.cost)
        weights = (self._products * (self.price / self.room)[:, None]).ravel()
        table = _added(self._cells, weights, count * count).reshape(count, count)
        table[np.diag_indices(count)] *= 1 + STIFF
        return table

    def _towards(self, table: Numbers, aim: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """How unknowns, room and price change when room times price is to change by `aim`."""
        lacking, missing = self._short()
        right = self.under.spread((aim + self.price * missing) / self.room, len(self.cost)) - lacking
        unknowns: Numbers = np.linalg.solve(table, right).astype(float)
        room = self.under.sums(unknowns) - missing
        return unknowns, room, (aim - self.price * room) / self.room


def _added(at: Places, numbers: Numbers, count: int) -> Numbers:
    total: Numbers = np.bincount(at, numbers, count).astype(float)
    return total


def _reach(values: Numbers, change: Numbers) -> float:
    """How much of a change can be made until a value is 0; all of it at most."""
    falls = change < 0
    return float(min(1.0, (-values[falls] / change[falls]).min(initial=1.0)))

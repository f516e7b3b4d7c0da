"""Where a piece may not lie: the no-fit shape of a moving piece against one that lies already.

Both are cut into triangles; the sums of each pair of triangles, one of them turned by half, joined together,
are all places of the moving piece's origin at which the two overlap.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Geometry

Ring = tuple[tuple[float, float], ...]
Numbers = NDArray[np.float64]

FLAT = 1e-9  # of the area: what may be missing from a convex part


def triangles(corners: Ring) -> Numbers:
    """The triangles of an outline, as an array of n by 3 corners by x and y."""
    parts = shapely.get_parts(shapely.constrained_delaunay_triangles(shapely.Polygon(corners)))
    numbers: Numbers = shapely.get_coordinates(parts).reshape(-1, 4, 2)[:, :3]
    return numbers


def no_fit(lying: Numbers, moving: Numbers, slack: float) -> Geometry:
    """Places of the moving outline's origin at which it overlaps one that lies at 0.

    Both as `triangles`. `slack`: taken off all round, so that pieces may touch and slide into tight slots.
    """
    sums = lying[:, None, :, None, :] - moving[None, :, None, :, :]
    hulls = shapely.convex_hull(shapely.multipoints(sums.reshape(-1, 9, 2)))
    return shapely.union_all(shapely.buffer(hulls, -slack, join_style="mitre"))


def convex_parts(corners: Ring) -> list[Numbers]:
    """A few convex parts that make up an outline, against the clock: its triangles, joined while convex."""
    whole: list[Geometry] = []
    for part in shapely.polygons(triangles(corners)):
        whole = _joined(whole, part)
    return [shapely.get_coordinates(part)[:-1] for part in shapely.orient_polygons(whole)]


def _joined(parts: list[Geometry], part: Geometry) -> list[Geometry]:
    """Parts with one more, joined to the first that it is convex with, and that one to others in turn."""
    for at, other in enumerate(parts):
        hull = shapely.convex_hull(shapely.union(part, other))
        if hull.area <= (part.area + other.area) * (1 + FLAT):
            return _joined([*parts[:at], *parts[at + 1 :]], hull)
    return [*parts, part]


@dataclass
class NoFits:
    """No-fit shapes of outlines against each other, each worked out once.

    `slack`: how far two pieces may overlap by rounding, in the unit of the outlines.
    """

    slack: float
    _parts: dict[Ring, Numbers] = field(default_factory=dict)
    _known: dict[tuple[Ring, Ring], Geometry] = field(default_factory=dict)

    def between(self, lying: Ring, moving: Ring) -> Geometry:
        """Where the moving outline's origin may not be while the lying one is at 0."""
        key = (lying, moving)
        if key not in self._known:
            self._known[key] = no_fit(self._triangles(lying), self._triangles(moving), self.slack)
        return self._known[key]

    def _triangles(self, corners: Ring) -> Numbers:
        if corners not in self._parts:
            self._parts[corners] = triangles(corners)
        return self._parts[corners]

    def free(self, room: Geometry, lying: Sequence[tuple[Ring, float, float]], moving: Ring) -> Numbers:
        """Corners of what is left of a room for the moving outline's origin; empty where nothing is.

        `lying`: the outlines that lie already, each with how far right and up.
        """
        blocked = [
            shapely.transform(self.between(corners, moving), _shift(right, up))
            for corners, right, up in lying
        ]
        left: Numbers = shapely.get_coordinates(room.difference(shapely.union_all(blocked)))
        return left


@dataclass(frozen=True)
class _Shift:
    by: Numbers

    def __call__(self, corners: Numbers) -> Numbers:
        return corners + self.by


def _shift(right: float, up: float) -> _Shift:
    return _Shift(np.array([right, up]))

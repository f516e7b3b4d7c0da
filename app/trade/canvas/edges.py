"""The edges that keep two pieces apart: of where one may not be while the other lies at 0.

Two outlines in convex parts lie apart where each part of one is beyond some edge of the sum of that part and
one of the other turned by half; how far inside the nearest edge it is, is how deep they lie in each other.
"""

import numpy as np

from app.trade.canvas.linear import Numbers
from app.trade.canvas.no_fit import convex_parts
from app.trade.canvas.ways import Kit

Between = tuple[Numbers, Numbers]  # normals, pairs of parts by edges by x and y; how far out each edge is


class Edges:
    """The edges between each two ways of a kit, worked out once; `most` to each pair of parts.

    Pairs with fewer edges are filled up with some that nothing is ever inside of.
    """

    def __init__(self, kit: Kit) -> None:
        self._parts = [convex_parts(way.corners) for way in kit.ways]
        self.most = 2 * max(len(part) for parts in self._parts for part in parts)
        self._known: dict[tuple[int, int], Between] = {}

    def between(self, lying: int, moving: int) -> Between:
        """For each part of the way that lies with each of the one that moves."""
        key = (int(lying), int(moving))
        if key not in self._known:
            sums = [_edges(one, other) for one in self._parts[lying] for other in self._parts[moving]]
            normals = np.stack([np.pad(it, ((0, self.most - len(it)), (0, 0))) for it, _ in sums])
            out = [np.pad(it, (0, self.most - len(it)), constant_values=np.inf) for _, it in sums]
            self._known[key] = normals, np.stack(out)
        return self._known[key]


def _edges(lying: Numbers, moving: Numbers) -> Between:
    """The edges of a convex part, and those of another turned by half, each as far out as the sum reaches."""
    normals = np.concatenate([_normals(lying), -_normals(moving)])
    return normals, (normals @ lying.T).max(axis=1) + (-normals @ moving.T).max(axis=1)


def _normals(corners: Numbers) -> Numbers:
    """Outward, of length 1, of a convex outline that runs against the clock."""
    along = np.roll(corners, -1, axis=0) - corners
    out: Numbers = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    return out

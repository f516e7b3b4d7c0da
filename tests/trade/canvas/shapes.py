"""Shapes for tests: convex pieces of any size, and pieces with one corner that turns inward."""

import math
from itertools import accumulate

from hypothesis import strategies as st

from app.trade.canvas.outline import Outline, outline_of


def _on_ellipse(steps: list[int], wide: int, high: int) -> Outline:
    total = sum(steps)
    angles = [2 * math.pi * at / total for at in accumulate(steps[:-1], initial=0)]
    places = [complex(wide * math.cos(it), high * math.sin(it)) for it in angles]
    return outline_of(places)


CONVEX = st.builds(
    _on_ellipse,
    st.lists(st.integers(40, 100), min_size=3, max_size=7),
    st.integers(400, 2000),
    st.integers(400, 2000),
)
"""Convex pieces with 3 to 7 corners on an ellipse, none of them very sharp."""


def _notched(width: int, height: int, at: int, deep: int) -> Outline:
    """A wall whose top edge is pulled in at one place: corner D turns inward."""
    inward = complex(width * at / 10, height * (1 - deep / 10))
    return outline_of([0, width, complex(width, height), inward, complex(0, height)])


NOTCHED = st.builds(
    _notched, st.integers(600, 3000), st.integers(600, 2000), st.integers(3, 7), st.integers(2, 6)
)
"""Walls of five corners, of which D turns inward."""


def sizes(outline: Outline) -> list[float]:
    """All lengths between corners, in a fixed order: two shapes with the same are alike."""
    corners = outline.corners
    return [abs(one.number - other.number) for at, one in enumerate(corners) for other in corners[at + 1 :]]

"""What is wrong with an outline before any cloth is cut: each problem names the corner or edge.

A problem's `field` is the name of the edge (`A-B`) or the letter of the corner, so that the drawing can
mark it. A piece with faults is kept as a draft.
"""

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations

from app.trade.canvas.outline import Corner, Edge, Outline, length_said, turn
from app.trade.problems import Problem

SHORTEST_EDGE = Decimal(50)  # common practice: under this a length is likely misread
LONGEST_EDGE = Decimal(8000)
ON_LINE = Decimal("0.01")  # mm that a corner may stand off a line and still be drawn on it
SPIKE = Decimal(2)  # degrees: nothing can be sewn into such a corner


def faults(outline: Outline) -> tuple[Problem, ...]:
    """Everything wrong or unlikely with an outline, edges and corners named; empty where it is fit to cut.

    Refused: corners in one place, crossing edges, no area, a spike. Asked: corners run with the clock,
    an edge under 50 or over 8,000 mm. Source: common practice.
    """
    refused = (*_doubled(outline), *crossings(outline), *_flat(outline), *_spikes(outline))
    return refused or (*_inside_out(outline), *_unlikely(outline))


def crossings(outline: Outline) -> tuple[Problem, ...]:
    """A problem for each pair of edges that cross or touch away from a shared corner."""
    return tuple(
        Problem(one.name, f"Edge {one.words} crosses edge {other.words}", "edges that meet only at corners")
        for one, other in _apart(outline)
        if meet(one, other)
    )


def crossed(outline: Outline) -> set[str]:
    """The names of both edges of each pair that crosses or touches."""
    return {edge.name for pair in _apart(outline) if meet(*pair) for edge in pair}


def _apart(outline: Outline) -> Iterator[tuple[Edge, Edge]]:
    pairs = combinations(outline.edges, 2)
    return (pair for pair in pairs if not {pair[0].start, pair[0].end} & {pair[1].start, pair[1].end})


def meet(one: Edge, other: Edge) -> bool:
    """Whether two straight edges have a point in common."""
    ways = (
        turn(one.start, one.end, other.start),
        turn(one.start, one.end, other.end),
        turn(other.start, other.end, one.start),
        turn(other.start, other.end, one.end),
    )
    if ways[0] * ways[1] < 0 and ways[2] * ways[3] < 0:
        return True
    ends = ((one, other.start), (one, other.end), (other, one.start), (other, one.end))
    return any(way == 0 and _between(edge, end) for way, (edge, end) in zip(ways, ends, strict=True))


def _between(edge: Edge, corner: Corner) -> bool:
    xs, ys = sorted((edge.start.x, edge.end.x)), sorted((edge.start.y, edge.end.y))
    return xs[0] <= corner.x <= xs[1] and ys[0] <= corner.y <= ys[1]


def _doubled(outline: Outline) -> tuple[Problem, ...]:
    return tuple(
        Problem(edge.name, f"Edge {edge.words} has no length", "two corners apart from each other")
        for edge in outline.edges
        if edge.length == 0
    )


def _flat(outline: Outline) -> tuple[Problem, ...]:
    edge = max(outline.edges, key=lambda it: it.length)
    if any(abs(turn(edge.start, edge.end, it)) > ON_LINE * edge.length for it in outline.corners):
        return ()
    return (Problem(edge.name, f"All corners lie on the line {edge.words}", "corners that enclose an area"),)


def _spikes(outline: Outline) -> tuple[Problem, ...]:
    return tuple(
        Problem(name, f"Corner {name} folds back on itself", f"a corner of at least {SPIKE} degrees")
        for name, angle in outline.angles.items()
        if angle < SPIKE or angle > 360 - SPIKE
    )


def _inside_out(outline: Outline) -> tuple[Problem, ...]:
    if outline.signed_area > 0:
        return ()
    says = "The corners run with the clock, as on the inside face"
    return (Problem(outline.corners[0].name, says, "corners against the clock, seen from outside", ask=True),)


def _unlikely(outline: Outline) -> tuple[Problem, ...]:
    accepts = f"usually {length_said(SHORTEST_EDGE)} to {length_said(LONGEST_EDGE)}"
    return tuple(
        Problem(edge.name, f"Edge {edge.words} would be {length_said(edge.length)}", accepts, ask=True)
        for edge in outline.edges
        if not SHORTEST_EDGE <= edge.length <= LONGEST_EDGE
    )

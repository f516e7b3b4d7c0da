"""The least length of cloth that any plan must take: what a plan's gap is told against.

Cut across the roll anywhere: what the pieces cover of that line is at most the width. So their area by the
width is a bound; and pieces that fill more than half of the line cannot lie over each other. Dual-feasible
functions join both: of a covered height h, all counts where it is over W - a, nothing where it is under a.
"""

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from app.trade.bounds import says
from app.trade.canvas.laying import Strip, ToCut, turns_that_fit
from app.trade.figure import Input, Source, Worked
from app.trade.vectors import rounded

SOURCE = Source("dual-feasible functions", "Fekete and Schepers")
Slab = tuple[float, float, float]  # width along the roll, height covered at its start and at its end


def at_least(strip: Strip, pieces: Sequence[ToCut]) -> Worked[Decimal]:
    """Length in millimetres that no plan of these pieces can be under; 0 without pieces.

    Every piece must fit the width. Holds for any outline, not only for rectangles. Source: dual-feasible
    functions (Fekete and Schepers), taken over each line across the roll.
    """
    area = _area_bound(strip, pieces)
    value = max(area, _longest(strip, pieces), _covered(strip, pieces)) if pieces else Decimal(0)
    return Worked(
        name="at least",
        value=value,
        says=says(value, "mm"),
        formula="the greatest of: area by width; the longest piece; what tall pieces leave no room beside",
        inputs=(
            Input("usable width", says(strip.width, "mm")),
            Input("area by width, were nothing wasted", says(area, "mm")),
        ),
        source=SOURCE,
        unit="mm",
    )


def bought_at_least(strip: Strip, pieces: Sequence[ToCut], ends: Sequence[Decimal] = ()) -> Decimal:
    """Length in millimetres that no plan takes less of off the roll, with roll ends of such lengths in stock.

    Every piece must fit the width. The roll's length and the ends one after the other are cloth for all the
    pieces, so together not under `at_least`; and what is longer than every end is cut from the roll.
    """
    all_on_ends = at_least(strip, pieces).value - sum(ends)
    long = [piece for piece in pieces if _longest(strip, [piece]) > max(ends, default=Decimal(0))]
    return max(all_on_ends, at_least(strip, long).value)


def _area_bound(strip: Strip, pieces: Sequence[ToCut]) -> Decimal:
    return sum((piece.outline.area * piece.copies for piece in pieces), Decimal(0)) / strip.width


def _longest(strip: Strip, pieces: Sequence[ToCut]) -> Decimal:
    return max(min(piece.turned(turn).width for turn in turns_that_fit(strip, piece)) for piece in pieces)


def _covered(strip: Strip, pieces: Sequence[ToCut]) -> Decimal:
    width = float(strip.width)
    sections = [
        (piece.copies, [slabs(piece.turned(turn).ring) for turn in turns_that_fit(strip, piece)])
        for piece in pieces
    ]
    lines = {h for _, ways in sections for way in ways for _, *heights in way for h in heights}
    return rounded(max(_counted(sections, a, width) for a in _thresholds(lines, width)) / width)


def _thresholds(heights: set[float], width: float) -> set[float]:
    """Values of a worth trying: heights, and just over what they leave of the width."""
    hair = width * 1e-9
    tried = heights | {width - height + hair for height in heights} | {width / 2}
    return {a for a in tried if 0 < a <= width / 2}


def _counted(sections: Sequence[tuple[int, list[list[Slab]]]], a: float, width: float) -> float:
    return sum(
        copies * min(sum(_slab_counts(slab, a, width) for slab in way) for way in ways)
        for copies, ways in sections
    )


def slabs(corners: Sequence[tuple[float, float]]) -> list[Slab]:
    """An outline in slabs along x between its corners: width, and the height covered at either end."""
    xs = sorted({x for x, _ in corners})
    edges = list(pairwise([*corners, corners[0]]))
    return [
        (right - left, _height(edges, left, right, left), _height(edges, left, right, right))
        for left, right in pairwise(xs)
    ]


def _height(edges: Sequence[tuple[tuple[float, float], ...]], left: float, right: float, x: float) -> float:
    """Top edges run to the left and count, bottom edges run to the right and are taken off."""
    total = 0.0
    for (x0, y0), (x1, y1) in edges:
        if min(x0, x1) <= left and max(x0, x1) >= right and x0 != x1:
            y = y0 + (y1 - y0) * (x - x0) / (x1 - x0)
            total += y if x1 < x0 else -y
    return total


def _slab_counts(slab: Slab, a: float, width: float) -> float:
    run, low, high = slab[0], min(slab[1:]), max(slab[1:])
    if high - low < 1e-9 * width:
        return run * _counts(high, a, width)
    whole = max(high - max(low, width - a), 0.0) / (high - low)
    start, end = max(low, a), min(high, width - a)
    middle = (end * end - start * start) / 2 / (high - low) if end > start else 0.0
    return run * (whole * width + middle)


def _counts(height: float, a: float, width: float) -> float:
    if height > width - a:
        return width
    return height if height >= a else 0.0

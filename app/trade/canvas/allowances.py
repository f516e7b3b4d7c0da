"""From the finished piece to the cut piece: shrinkage first, then what each edge needs for its seam.

Each edge moves outward by its own allowance; the corners are where the moved edges meet. At a folded edge
the sides beyond the fold are mirrored about it, else the hem is too short where the corner is not square.
"""

import cmath
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from app.trade.canvas.faults import crossings
from app.trade.canvas.outline import Corner, Edge, Outline, corner_at, length_said
from app.trade.problems import Impossible, Problem

USUAL_MOST = Decimal(75)  # mm; common practice
MOST_SHRINK, USUAL_SHRINK = Decimal(20), Decimal(5)  # percent; common practice
HARDLY = 0.5  # mm: a fold that misses by less is cut straight on
LONGEST_MITRE = 3  # a corner that reaches farther than 3 allowances is cut square across, at 2
SQUARE_AT = 2
POCKET_EASE, POCKET_TURN = Decimal(6), Decimal(13)
QUARTER, HALF = Decimal("0.25"), Decimal("0.5")
NOTCHED_FROM = Decimal(600)  # mm: a seam from this length on gets quarter marks too; common practice
DEEPEST_SNIP = Decimal(6)  # mm, 1/4 in; common practice


class EdgeKind(StrEnum):
    """What is done with an edge."""

    HEM = "hem"
    FELLED_SMALL = "felled_small"
    FELLED_LARGE = "felled_large"
    PLAIN = "plain"
    ZIPPER = "zipper"
    POCKET = "pocket"
    BOUND = "bound"

    @property
    def word(self) -> str:
        """The kind in the words of the loft."""
        return _WORDS[self]

    @property
    def folded(self) -> bool:
        """Whether the allowance is folded back on the piece along the finished edge."""
        return self in (EdgeKind.HEM, EdgeKind.POCKET)


_WORDS = {
    EdgeKind.HEM: "hem, turned twice",
    EdgeKind.FELLED_SMALL: "felled seam, smaller side",
    EdgeKind.FELLED_LARGE: "felled seam, larger side",
    EdgeKind.PLAIN: "plain seam",
    EdgeKind.ZIPPER: "zipper",
    EdgeKind.POCKET: "pole pocket",
    EdgeKind.BOUND: "bound, raw edge",
}

# Hem: 1/2 in turned under and 1 in hem (FM 10-16, chapter 8). Felled, 1/2 in finished: 5/8 and 1 1/8 in.
# Plain and zipper: 1/2 in. The last three are common practice.
USUAL = {
    EdgeKind.HEM: Decimal(38),
    EdgeKind.FELLED_SMALL: Decimal(16),
    EdgeKind.FELLED_LARGE: Decimal(29),
    EdgeKind.PLAIN: Decimal(13),
    EdgeKind.ZIPPER: Decimal(13),
    EdgeKind.BOUND: Decimal(0),
}


def usual_allowance(kind: EdgeKind, pole_mm: Decimal | None = None) -> Decimal:
    """Usual allowance of an edge in millimetres; a pocket's from its pole, rounded to a tenth.

    `pole_mm`: diameter of the pole, over 0 to 100, needed for a pocket: half round it, 6 of ease and 13
    turned under. Impossible without. Source: FM 10-16 chapter 8 for the hem; common practice.
    """
    if kind is not EdgeKind.POCKET:
        return USUAL[kind]
    if pole_mm is None or not 0 < pole_mm <= 100:
        raise Impossible("A pocket needs the diameter of its pole", "over 0 to 100 mm, such as 25 mm")
    half_round = Decimal(str(math.pi)) * pole_mm / 2
    return (half_round + POCKET_EASE + POCKET_TURN).quantize(Decimal("0.1"))


@dataclass(frozen=True)
class Allowance:
    """What one edge gets: its kind and the millimetres added outward, 0 or more."""

    kind: EdgeKind
    mm: Decimal

    def __post_init__(self) -> None:
        if not self.mm.is_finite() or self.mm < 0:
            raise Impossible(f"An allowance cannot be {self.mm}", "0 mm or more, such as 38 mm for a hem")


@dataclass(frozen=True)
class Shrink:
    """What this roll shrinks, in percent of the cut size, along the warp and across it.

    `warp_angle`: degrees of the warp against the clock from the piece's x. Each 0 to under 20 percent.
    """

    warp: Decimal = Decimal(0)
    weft: Decimal = Decimal(0)
    warp_angle: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        if not (0 <= self.warp < MOST_SHRINK and 0 <= self.weft < MOST_SHRINK):
            raise Impossible("Cloth does not shrink so", "0 to under 20 percent, such as 2 percent")

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is unlikely about it: over 5 percent, or more across than along the warp."""
        much = Problem("shrink", f"{max(self.warp, self.weft)} percent is much", "usually up to 5", ask=True)
        across = Problem("shrink", "More across than along the warp", "usually more along it", ask=True)
        over = max(self.warp, self.weft) > USUAL_SHRINK
        return (*((much,) if over else ()), *((across,) if self.weft > self.warp else ()))


NO_SHRINK = Shrink()


@dataclass(frozen=True)
class CutPiece:
    """The finished outline, the outline to cut, and what is to be asked about it."""

    finished: Outline
    cut: Outline
    problems: tuple[Problem, ...] = field(default=())


def cut_piece(finished: Outline, allowances: Mapping[str, Allowance], shrink: Shrink = NO_SHRINK) -> CutPiece:
    """The piece to cut from a finished outline: grown for the shrinkage, then by each edge's allowance.

    `allowances`: by edge name (`A-B`), one for every edge; KeyError for a missing one. The outline must
    be free of faults. Raises Impossible where the moved edges swallow one of them or cross another.
    """
    grown = grow(finished, shrink)
    corners = [it for at in range(len(grown.edges)) for it in _new_corners(grown, allowances, at)]
    cut = Outline(tuple(corners))
    if cut.signed_area < grown.signed_area or crossings(cut):
        raise Impossible("These allowances are larger than the piece", "smaller allowances, such as 13 mm")
    return CutPiece(finished, cut, (*shrink.problems, *_unlikely(finished, allowances)))


def grow(outline: Outline, shrink: Shrink) -> Outline:
    """The outline that shrinks to the given one: along warp and weft divided by (1 - shrink)."""
    if shrink.warp == shrink.weft == 0:
        return outline
    way = cmath.rect(1, math.radians(float(shrink.warp_angle)))
    along, across = 1 - float(shrink.warp) / 100, 1 - float(shrink.weft) / 100
    placed = [(corner.name, corner.number / way) for corner in outline.corners]
    return Outline(
        tuple(corner_at(name, complex(z.real / along, z.imag / across) * way) for name, z in placed)
    )


def _unlikely(finished: Outline, allowances: Mapping[str, Allowance]) -> tuple[Problem, ...]:
    return tuple(
        Problem(edge.name, f"Edge {edge.words}: {says}", accepts, ask=True)
        for edge in finished.edges
        for says, accepts in _doubts(allowances[edge.name])
    )


def _doubts(allowance: Allowance) -> Iterator[tuple[str, str]]:
    if allowance.mm > USUAL_MOST:
        yield f"{length_said(allowance.mm)} is much", f"usually up to {length_said(USUAL_MOST)}"
    if allowance.mm == 0 and allowance.kind is not EdgeKind.BOUND:
        usual = USUAL.get(allowance.kind, POCKET_TURN)
        yield f"no allowance for a {allowance.kind.word}", f"usually {length_said(usual)}"


@dataclass(frozen=True)
class _Line:
    """An edge and its allowance, as complex numbers: where it starts, which way it runs, how far it moves."""

    start: complex
    way: complex
    out: float
    folded: bool

    @property
    def moved(self) -> complex:
        """A point of the moved line: outward is to the right of the way."""
        return self.start - 1j * self.way * self.out


def _line(edge: Edge, allowance: Allowance) -> _Line:
    run = edge.end.number - edge.start.number
    return _Line(edge.start.number, run / abs(run), float(allowance.mm), allowance.kind.folded)


def _new_corners(grown: Outline, allowances: Mapping[str, Allowance], at: int) -> list[Corner]:
    before, after = grown.edges[at - 1], grown.edges[at]
    lines = _line(before, allowances[before.name]), _line(after, allowances[after.name])
    places = _corner_places(*lines)
    name = grown.corners[at].name
    marks = [name] if len(places) == 1 else [f"{name}{number}" for number in range(1, len(places) + 1)]
    return [corner_at(mark, place) for mark, place in zip(marks, places, strict=True)]


def _corner_places(before: _Line, after: _Line) -> list[complex]:
    bend = (before.way.conjugate() * after.way).imag
    if abs(bend) < 1e-6:
        return _along(before, after)
    if before.folded != after.folded and bend > 0:
        return _beyond_fold(before, after)
    mitre = _crossing(before.moved, before.way, after.moved, after.way)
    reach = max(before.out, after.out)
    if bend < 0 or abs(mitre - after.start) <= LONGEST_MITRE * reach + 1e-9:
        return [mitre]
    return _square_across(before, after, mitre, SQUARE_AT * reach)


def _along(before: _Line, after: _Line) -> list[complex]:
    """Edges that run on in one line: one corner, or a step where their allowances differ."""
    ends = [after.start - 1j * before.way * before.out, after.moved]
    return ends[:1] if abs(ends[0] - ends[1]) < 1e-6 else ends


def _beyond_fold(before: _Line, after: _Line) -> list[complex]:
    """Where the side meets the fold, and where its mirror about the fold meets the folded edge's cut line."""
    fold, side = (before, after) if before.folded else (after, before)
    at_fold = _crossing(fold.start, fold.way, side.moved, side.way)
    mirrored = fold.way * (side.way / fold.way).conjugate()
    tip = _crossing(fold.moved, fold.way, at_fold, mirrored)
    straight = _crossing(fold.moved, fold.way, side.moved, side.way)
    if abs(tip - straight) < HARDLY:
        return [straight]
    return [tip, at_fold] if before.folded else [at_fold, tip]


def _square_across(before: _Line, after: _Line, mitre: complex, reach: float) -> list[complex]:
    out = (mitre - after.start) / abs(mitre - after.start)
    foot = after.start + out * reach
    lines = ((before.moved, before.way), (after.moved, after.way))
    return [_crossing(start, way, foot, out * 1j) for start, way in lines]


def _crossing(start: complex, way: complex, other: complex, along: complex) -> complex:
    reach = ((other - start).conjugate() * along).imag / (way.conjugate() * along).imag
    return start + way * reach


def notches(grown: Outline, allowances: Mapping[str, Allowance], edge: str) -> tuple[Edge, ...]:
    """Notches of one edge, each from the stitch line out to the cut line: at half, from 600 mm at quarters.

    `grown`: the finished outline as `grow` makes it. Matching edges get the same notches, from either end.
    KeyError for an edge that is not there.
    """
    here, out = grown.edge(edge), allowances[edge].mm
    shares = (QUARTER, HALF, 3 * QUARTER) if here.length >= NOTCHED_FROM else (HALF,)
    return tuple(_notch(here, share, out, f"{edge}/{at}") for at, share in enumerate(shares, 1))


def _notch(edge: Edge, share: Decimal, out: Decimal, name: str) -> Edge:
    start, end = edge.start.number, edge.end.number
    way = (end - start) / abs(end - start)
    foot = start + (end - start) * float(share)
    return Edge(corner_at(name, foot), corner_at(f"{name}*", foot - 1j * way * float(out)))


def snip(notch: Edge) -> Edge:
    """What of a notch is cut in: from its place on the cut line inward, so that no cut reaches the seam.

    At most 6 mm (1/4 in) and half of the allowance; common practice. A notch has a length over 0.
    """
    cut, sewn = notch.end.number, notch.start.number
    deep = min(DEEPEST_SNIP, notch.length * HALF) / notch.length
    return Edge(corner_at(notch.start.name, cut + (sewn - cut) * float(deep)), notch.end)

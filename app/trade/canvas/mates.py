"""Pieces held against each other: seams of equal length, mirrored mates, symmetry, and a closed ring.

They catch a wrong tape reading before cloth is cut. Limits are common practice.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from app.trade.bounds import says
from app.trade.canvas.allowances import EdgeKind
from app.trade.canvas.outline import Outline, edge_name, length_said
from app.trade.problems import Problem

SIDE_OFF, DIAGONAL_OFF = Decimal(6), Decimal(8)  # mm
MOST_EASE = Decimal(1)  # percent of a seam that may be eased in
INCH_FOR_MM = (Decimal("24.9"), Decimal("25.9"))


@dataclass(frozen=True)
class SeamSide:
    """One edge of a seam: its piece's name, the outline, and the edge or the run of edges sewn to it."""

    piece: str
    outline: Outline
    edges: tuple[str, ...]

    @property
    def length(self) -> Decimal:
        """Length of the run, in millimetres."""
        return sum((self.outline.edge(name).length for name in self.edges), Decimal(0))

    @property
    def words(self) -> str:
        """The edge and its piece: `A to B of front wall`."""
        return f"{', '.join(name.replace('-', ' to ') for name in self.edges)} of {self.piece}"


def seam_problems(
    one: SeamSide, other: SeamSide, ease_mm: Decimal = Decimal(0), within: Decimal = SIDE_OFF
) -> tuple[Problem, ...]:
    """What keeps two edges from being sewn together: lengths that differ by more than ease and tolerance.

    `ease_mm`: how much longer the first may be by intent, named in the order; over 1 percent is asked.
    `within`: tolerance in millimetres, over 0. Both edges are named. Source: common practice.
    """
    off = one.length - other.length - ease_mm
    if abs(off) > within:
        longer, shorter = (one, other) if off > 0 else (other, one)
        told = f"{longer.words} is {says(abs(off), 'mm', 1)} longer than {shorter.words}"
        accepts = f"within {says(within, 'mm')}, {_both(one, other)}"
        return (Problem(one.edges[0], told + _inches(one.length, other.length), accepts),)
    if ease_mm and abs(ease_mm) * 100 > MOST_EASE * min(one.length, other.length):
        told = f"Ease of {length_said(abs(ease_mm))} between {one.words} and {other.words}"
        return (Problem(one.edges[0], told, "usually up to 1 percent of the seam", ask=True),)
    return ()


def _both(one: SeamSide, other: SeamSide) -> str:
    return f"now {length_said(one.length)} and {length_said(other.length)}"


def _inches(one: Decimal, other: Decimal) -> str:
    ratio = max(one, other) / min(one, other)
    return "; were inches typed for millimetres" if INCH_FOR_MM[0] < ratio < INCH_FOR_MM[1] else ""


PARTNERS = {
    EdgeKind.FELLED_SMALL: EdgeKind.FELLED_LARGE,
    EdgeKind.FELLED_LARGE: EdgeKind.FELLED_SMALL,
    EdgeKind.PLAIN: EdgeKind.PLAIN,
    EdgeKind.ZIPPER: EdgeKind.ZIPPER,
}


def sewn_problems(
    one: SeamSide, other: SeamSide, kind: EdgeKind | None, to: EdgeKind | None
) -> tuple[Problem, ...]:
    """What is asked of two edges of a seam that are cut for different seams; None is not said yet.

    A felled seam has a smaller and a larger side, a plain seam and a zipper two like ones: else an edge has
    too little cloth, or too much. Source: common practice.
    """
    if not kind or not to or (PARTNERS.get(kind, to), PARTNERS.get(to, kind)) == (to, kind):
        return ()
    told = f"{one.words} is cut for a {kind.word}, {other.words} for a {to.word}"
    wanted = PARTNERS.get(kind) or PARTNERS[to]
    return (Problem(one.edges[0], told, f"a {wanted.word} to the other", ask=True),)


def mate_problems(piece: Outline, mate: Outline) -> tuple[Problem, ...]:
    """Where a mate is not the mirror of its piece: sides over 6 mm apart, diagonals over 8 mm, all named.

    Both bear the same letters at the corners that lie over each other. A mate that is a copy and no
    mirror is told too. Source: common practice.
    """
    names = [corner.name for corner in piece.corners]
    if {corner.name for corner in mate.corners} != set(names):
        told = f"The mate has {len(mate.corners)} corners, the piece {len(names)}"
        return (Problem(names[0], told, "a mate with the same letters at its corners"),)
    sides = {edge.name for edge in piece.edges}
    differing = tuple(
        _differs(
            f"{one} to {other}", edge_name(one, other), piece.length(one, other), mate.length(one, other)
        )
        for one, other in combinations(sorted(names), 2)
        if abs(piece.length(one, other) - mate.length(one, other)) > _limit(edge_name(one, other) in sides)
    )
    return differing or _not_mirrored(piece, mate)


def _limit(side: bool) -> Decimal:  # noqa: FBT001 - a length is a side or a diagonal
    return SIDE_OFF if side else DIAGONAL_OFF


def _differs(words: str, field: str, one: Decimal, other: Decimal) -> Problem:
    told = f"{words} is {length_said(one)} here and {length_said(other)} at the mate"
    accepts = f"sides within {says(SIDE_OFF, 'mm')}, diagonals within {says(DIAGONAL_OFF, 'mm')}"
    return Problem(field, told + _inches(one, other), accepts)


def _not_mirrored(piece: Outline, mate: Outline) -> tuple[Problem, ...]:
    """Letters of a mirror run the other way round."""
    follows = {edge.start.name: edge.end.name for edge in piece.edges}
    if all(follows[edge.start.name] != edge.end.name for edge in mate.edges):
        return ()
    told = "The mate is a copy of the piece, not its mirror: its outside would face in"
    return (Problem(mate.edges[0].name, told, "a mirrored piece"),)


def symmetry_problems(outline: Outline) -> tuple[Problem, ...]:
    """Where a piece that should have two like halves has not: sides over 6 mm apart, diagonals over 8.

    The middle line is the one that fits best; each pair of lengths is named. Source: common practice.
    """
    names = [corner.name for corner in outline.corners]
    partners = min(_foldings(names), key=lambda pairs: _misfit(outline, pairs))
    sides = {edge.name for edge in outline.edges}
    found = {}
    for one, other in combinations(names, 2):
        here, there = edge_name(one, other), edge_name(partners[one], partners[other])
        off = abs(outline.length(one, other) - outline.length(partners[one], partners[other]))
        if off > _limit(here in sides):
            found[min(here, there)] = _halves(outline, *sorted((here, there)))
    return tuple(found.values())


def _foldings(names: Sequence[str]) -> list[dict[str, str]]:
    count = len(names)
    return [{names[at]: names[(shift - at) % count] for at in range(count)} for shift in range(count)]


def _misfit(outline: Outline, partners: Mapping[str, str]) -> Decimal:
    pairs = combinations(partners, 2)
    return sum(
        (abs(outline.length(*pair) - outline.length(*(partners[it] for it in pair))) for pair in pairs),
        Decimal(0),
    )


def _halves(outline: Outline, here: str, there: str) -> Problem:
    one, other = (outline.length(*name.split("-")) for name in (here, there))
    words = f"{here} is {length_said(one)}, {there} {length_said(other)}".replace("-", " to ")
    return Problem(here, f"The halves differ: {words}", f"sides within {says(SIDE_OFF, 'mm')} of each other")


def ring_problems(
    walls: Sequence[SeamSide], roof: SeamSide, within: Decimal = SIDE_OFF
) -> tuple[Problem, ...]:
    """What keeps the walls from closing round the roof: sum of their top edges against the roof's edges.

    `within`: tolerance in millimetres for the whole ring. Source: common practice.
    """
    off = sum((wall.length for wall in walls), Decimal(0)) - roof.length
    if abs(off) <= within:
        return ()
    tops = "; ".join(f"{wall.words} {says(wall.length, 'mm')}" for wall in walls)
    way = "longer" if off > 0 else "shorter"
    told = f"The walls together are {says(abs(off), 'mm', 1)} {way} than {roof.words} ({tops})"
    return (Problem(roof.edges[0], told, f"within {says(within, 'mm')}, or the ease named"),)

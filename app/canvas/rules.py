"""From what was typed of a piece to its outline, its allowances and the piece to cut; pure."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from itertools import combinations
from typing import Any

from app.trade.canvas.adjusted import suspects
from app.trade.canvas.allowances import (
    Allowance,
    CutPiece,
    EdgeKind,
    Shrink,
    cut_piece,
    usual_allowance,
)
from app.trade.canvas.mates import SeamSide
from app.trade.canvas.outline import Corner, Outline, edge_name, letters
from app.trade.canvas.plotted import Walk, plotted, walked
from app.trade.canvas.taped import Draft, taped
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, read_number

_TWO = re.compile(r"^\s*(\S+?)\s*%?\s*(?:and|by|;|/|,\s)\s*(\S+?)\s*%?\s*$")
WORDS_ALONE = frozenset({"fitting", "aftercare"})  # of an order
SIGNED = "signed"  # the question of the order: the owner's signature on the finished sizes
SHRINK_ACCEPTS = "percent along and across the warp, such as 2 and 1"


class How(StrEnum):
    """How a piece was measured; a mirror is cut as the mirror of another and has no measures of its own."""

    TAPE = "tape"
    COORDINATES = "coordinates"
    ANGLES = "angles"
    MIRROR = "mirror"


HOW_WORDS = {
    How.TAPE: "sides and diagonals",
    How.COORDINATES: "coordinates of its corners",
    How.ANGLES: "sides and inner angles",
    How.MIRROR: "mirror of another piece",
}


@dataclass(frozen=True)
class Measured:
    """A piece's measures as typed, `unit` (mm or in) of its lengths; see tables.CanvasPiece."""

    how: How
    corners: int
    typed: Mapping[str, str]
    unit: str = "mm"
    inward: frozenset[str] = frozenset()

    @property
    def names(self) -> tuple[str, ...]:
        """The letters of its corners."""
        return letters(self.corners)

    @property
    def sides(self) -> tuple[str, ...]:
        """The names of its sides, from A on."""
        following = (*self.names[1:], self.names[0])
        return tuple(edge_name(one, other) for one, other in zip(self.names, following, strict=True))

    def has(self, name: str) -> bool:
        """Whether something stands in a field."""
        return bool(self.typed.get(name, "").strip())

    def mm(self, name: str) -> Decimal:
        """A length in millimetres; Impossible where it is no number."""
        return Quantity(self.typed[name], self.unit).to("mm")


def draft_of(measured: Measured) -> Draft:
    """The draft of a piece from what was typed: its outline as far as that carries, and what is wrong.

    Impossible where a text that should be a number is none. A mirror has no draft of its own: `mirrored`.
    """
    if measured.how is How.TAPE:
        lengths = {name: measured.mm(name) for name in measured.typed if measured.has(name)}
        return taped(measured.corners, lengths, measured.inward)
    wanted = _wanted(measured)
    if missing := tuple(_missing(name) for name in wanted if not measured.has(name)):
        return Draft(None, missing)
    return _plotted(measured) if measured.how is How.COORDINATES else walked(walk_of(measured))


def _wanted(measured: Measured) -> tuple[str, ...]:
    if measured.how is How.COORDINATES:
        return tuple(f"{name}-{axis}" for name in measured.names for axis in "xy")
    return (*measured.sides, *measured.names)


def _missing(name: str) -> Problem:
    one, _, other = name.partition("-")
    if not other:
        return Problem(name, f"The angle at {name} is missing", "degrees, such as 90")
    if other in ("x", "y"):
        return Problem(name, f"The {other} of corner {one} is missing", "a place such as 1,180 mm")
    return Problem(name, f"Side {one} to {other} is missing", "its length, such as 2,438 mm")


def _plotted(measured: Measured) -> Draft:
    return plotted([(measured.mm(f"{name}-x"), measured.mm(f"{name}-y")) for name in measured.names])


def walk_of(measured: Measured) -> Walk:
    """The walk round a piece of which every side and angle is typed; Impossible for what is no number."""
    angles = (read_number(measured.typed[name]) for name in measured.names)
    return Walk(tuple(map(measured.mm, measured.sides)), tuple(angles))


def may_be_misread(measured: Measured, draft: Draft) -> tuple[str, ...]:
    """The tape lengths of which one alone, read again, would make all others fit, in words: `A to C`.

    None where nothing is wrong, where it is not measured by tape, or where too few checks were taken.
    """
    if measured.how is not How.TAPE or draft.outline is None or draft.stands:
        return ()
    lengths = {name: measured.mm(name) for name in measured.typed if measured.has(name)}
    return tuple(name.replace("-", " to ") for name in suspects(draft.outline, lengths))


def mirrored(draft: Draft) -> Draft:
    """The mirror of a draft; it stands where the other stands, and is wrong where the other is."""
    outline = draft.outline.mirrored() if draft.outline else None
    return Draft(outline, draft.problems, measured=draft.measured)


def lettered_as(piece: Outline, mate: Outline) -> Outline:
    """The mate with the letters of the piece at the corners that lie over each other when it is turned over.

    Each was lettered by itself against the clock, so the letters that fit best are taken. A mate of another
    number of corners comes back as it is.
    """
    if len(piece.corners) != len(mate.corners):
        return mate
    turned = mate.mirrored().corners
    ways = (_lettered(piece, (*turned[at:], *turned[:at])) for at in range(len(turned)))
    return min(ways, key=lambda way: _misfit(piece, way)).mirrored()


def _lettered(piece: Outline, corners: Sequence[Corner]) -> Outline:
    pairs = zip(piece.corners, corners, strict=True)
    return Outline(tuple(Corner(here.name, there.x, there.y) for here, there in pairs))


def _misfit(piece: Outline, other: Outline) -> Decimal:
    pairs = combinations((corner.name for corner in piece.corners), 2)
    return sum((abs(piece.length(*pair) - other.length(*pair)) for pair in pairs), Decimal(0))


# Edges


@dataclass(frozen=True)
class EdgeSaid:
    """What is said of one edge: its kind, what is `added` and its pole as typed in `unit`, what holds it.

    `unit`: mm or in.
    """

    kind: str = ""
    added: str = ""
    pole: str = ""
    held: str = ""
    unit: str = "mm"

    @property
    def made(self) -> tuple[str, Decimal | None]:
        """How it is cut and sewn: its kind, and what it gets in millimetres; None where that is not said."""
        found = allowance_of(self)
        return self.kind, found.mm if found else None


def allowance_of(said: EdgeSaid) -> Allowance | None:
    """What an edge gets: the allowance typed, else the usual one of its kind; None where no kind is said.

    Impossible where it is no number, under 0, or a pocket without its pole.
    """
    if not said.kind:
        return None
    kind = EdgeKind(said.kind)
    if said.added.strip():
        return Allowance(kind, Quantity(said.added, said.unit).to("mm"))
    pole = Quantity(said.pole, said.unit).to("mm") if said.pole.strip() else None
    return Allowance(kind, usual_allowance(kind, pole))


def read_shrink(text: str) -> tuple[Decimal, Decimal]:
    """Percent along and across the warp from `2 and 1`, `2 by 1` or `none`; Impossible for another text."""
    if text.strip().casefold() == "none":
        return Decimal(0), Decimal(0)
    if not (found := _TWO.match(text)):
        raise Impossible("These are not two numbers", SHRINK_ACCEPTS)
    along, across = map(read_number, found.groups())
    Shrink(along, across)
    return along, across


@dataclass(frozen=True)
class ToSew:
    """The piece to cut, where enough is said of its edges, and what is wrong or asked."""

    cut: CutPiece | None
    problems: tuple[Problem, ...] = field(default=())


def to_sew(finished: Outline, edges: Mapping[str, EdgeSaid], shrink: Shrink) -> ToSew:
    """The piece to cut, or each edge of which nothing is said, named."""
    allowances: dict[str, Allowance] = {}
    missing = []
    for edge in finished.edges:
        if found := allowance_of(edges.get(edge.name, EdgeSaid())):
            allowances[edge.name] = found
        else:
            missing.append(_unsaid(edge.name, edge.words))
    if missing:
        return ToSew(None, tuple(missing))
    return _cut(finished, allowances, shrink)


def _unsaid(name: str, words: str) -> Problem:
    return Problem(name, f"What is done with edge {words} is not known", "hem, seam, zipper, pocket or bound")


def _cut(finished: Outline, allowances: Mapping[str, Allowance], shrink: Shrink) -> ToSew:
    try:
        cut = cut_piece(finished, allowances, shrink)
    except Impossible as impossible:
        return ToSew(None, (impossible.at(finished.edges[0].name),))
    return ToSew(cut, cut.problems)


# What says nothing of the cloth


def aside(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    """Whether a change of an order or part says nothing of the cloth: words for who fits it and takes care.

    So does a signature that is written otherwise, not one taken back; and a form saved as it stood.
    """
    changed = {name for name, value in after.items() if value != before[name]}
    return changed <= {*WORDS_ALONE, "known"} and _signature_alone(before.get("known"), after.get("known"))


def _signature_alone(before: Mapping[str, str] | None, after: Mapping[str, str] | None) -> bool:
    one, other = before or {}, after or {}
    changed = {key for key in {*one, *other} if one.get(key) != other.get(key)}
    return not changed or (changed == {SIGNED} and bool(one.get(SIGNED)) and bool(other.get(SIGNED)))


# Seams


def sides_of(edges: Sequence[str], outlines: Mapping[int, tuple[str, Outline]]) -> tuple[SeamSide, ...]:
    """The sides of a seam, one for each piece named in `7:A-B` texts; a piece without an outline is left out.

    `outlines`: by the key of the piece, its name and outline.
    """
    by_piece: dict[int, list[str]] = {}
    for edge in edges:
        key, _, name = edge.partition(":")
        by_piece.setdefault(int(key), []).append(name)
    return tuple(
        SeamSide(outlines[key][0], outlines[key][1], tuple(names))
        for key, names in by_piece.items()
        if key in outlines
    )

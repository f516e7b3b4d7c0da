"""The sketch of a piece to scale: finished line, cut line, dimensions, letters, warp, and its faults."""

import cmath
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from app.trade.canvas.drawn import Frame, arrow, kept, line, lines, readable, spot, widest
from app.trade.canvas.faults import crossed
from app.trade.canvas.outline import INCH, Corner, Edge, Outline
from app.trade.drawings import Point
from app.trade.figure import plain
from app.trade.problems import Problem

SCALES = (1, 2, 5, 10, 20, 25, 50, 100)
ROOM = 20.0  # mm of paper round the piece, for its dimensions
OFF, BEYOND, GAP = 9.0, 1.5, 1.5  # mm of paper: dimension line off its edge, posts past it, and their gap
LETTER_IN, TEXT_OFF = 4.5, 2.6  # mm of paper: letter inside its corner, number off its line
RIM, LABEL_LETTER_IN = 0.5, 2.4  # mm of paper round a thumbnail; letter inside its corner there
LETTER_SHARE = 0.25  # of the shorter edge at most, so that letters of a slim piece stand apart
ACROSS_OFF = 4.0  # mm of paper: name of a diagonal off its line
ACROSS_AT = 0.3  # share of a diagonal at which its name stands, clear of the warp arrow
RULER, MARGIN, RULER_SAYS = 50, 4, 40  # mm of paper; the last for the ruler's words beside it


@dataclass(frozen=True)
class Dimension:
    """One edge's dimension: its name, its number, where that stands and at what angle, and its lines.

    `edge`: path of the edge itself. `wrong`: a problem names this edge; it is drawn heavy.
    """

    name: str
    number: str
    place: Point
    angle: Decimal
    lines: str
    ticks: str
    edge: str
    wrong: bool


@dataclass(frozen=True)
class Letter:
    """A corner's letter and where it stands; `wrong` where a problem names the corner."""

    name: str
    place: Point
    wrong: bool


@dataclass(frozen=True)
class Across:
    """A diagonal that a problem names: its name in words, its path, where the words stand and how turned."""

    name: str
    path: str
    place: Point
    angle: Decimal


@dataclass(frozen=True)
class Ruler:
    """A ruler under the sketch: its path, its two ends, and the millimetres of cloth that it spans."""

    path: str
    start: Point
    end: Point
    says: str


@dataclass(frozen=True)
class Sketch:
    """Everything that a sketch shows, in millimetres of paper. `scale` says "1 to 20"."""

    width: Decimal
    height: Decimal
    scale: str
    finished: str
    cut: str
    dimensions: tuple[Dimension, ...]
    letters: tuple[Letter, ...]
    across: tuple[Across, ...]
    warp: str
    ruler: Ruler


@dataclass(frozen=True)
class Paper:
    """Room for a sketch in millimetres of paper; `unit` of its numbers: `mm`, or `in` to a tenth."""

    width: int = 174
    height: int = 112
    unit: str = "mm"


CONFIRMATION = Paper()


@dataclass(frozen=True)
class Shown:
    """A piece as it is to be drawn: finished outline, cut outline if there is one, warp and faults.

    `warp_angle`: degrees against the clock from the piece's x. A draft with faults is drawn too; `measured`:
    the lengths that its edges bear instead of those of the drawing, in millimetres by edge.
    """

    finished: Outline
    cut: Outline | None = None
    warp_angle: Decimal = Decimal(0)
    problems: tuple[Problem, ...] = ()
    measured: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def outer(self) -> Outline:
        """The outline that needs the most room."""
        return self.cut or self.finished

    @property
    def wrong(self) -> set[str]:
        """Names of the edges and corners that a problem names, and of both edges where two cross."""
        named = {problem.field for problem in self.problems}
        return named | crossed(self.finished) if named else named


def sketch(shown: Shown, paper: Paper = CONFIRMATION) -> Sketch:
    """A sketch at the largest usual scale that fits the paper: 1 to 1, 2, 5, 10, 20, 25, 50 or 100.

    The paper must leave room beside the dimensions: over 40 mm each way.
    """
    outer, scale = shown.outer, _scale(shown.outer, paper)
    left, top = min(it.x for it in outer.corners), max(it.y for it in outer.corners)
    frame = Frame(1 / scale, complex(ROOM - float(left) / scale, ROOM + float(top) / scale))
    width, height = (float(side) / scale + 2 * ROOM for side in (outer.width, outer.height))
    return Sketch(
        width=kept(max(width, RULER + 2 * MARGIN + RULER_SAYS)),
        height=kept(height),
        scale=f"1 to {scale}",
        finished=frame.outline(shown.finished),
        cut=frame.outline(shown.cut) if shown.cut else "",
        dimensions=tuple(_dimension(edge, frame, paper, shown) for edge in shown.finished.edges),
        letters=tuple(letter_of(bend, frame, shown.wrong) for bend in shown.finished.bends()),
        across=tuple(_across(shown.finished, name, frame) for name in _named_across(shown)),
        warp=_warp(shown, frame),
        ruler=_ruler(scale, height),
    )


@dataclass(frozen=True)
class Thumbnail:
    """A piece drawn small for a label, in millimetres of paper, to no round scale."""

    width: Decimal
    height: Decimal
    finished: str
    warp: str
    letters: tuple[Letter, ...]


def thumbnail(shown: Shown, width: int, height: int) -> Thumbnail:
    """A piece's finished outline, letters and warp as large as a box of so many millimetres holds."""
    it = shown.finished
    left, top = min(each.x for each in it.corners), max(each.y for each in it.corners)
    scale = min((width - 2 * RIM) / float(it.width), (height - 2 * RIM) / float(it.height))
    frame = Frame(scale, complex(RIM - float(left) * scale, RIM + float(top) * scale))
    return Thumbnail(
        width=kept(float(it.width) * scale + 2 * RIM),
        height=kept(float(it.height) * scale + 2 * RIM),
        finished=frame.outline(it),
        warp=_warp(shown, frame),
        letters=tuple(letter_of(bend, frame, shown.wrong, LABEL_LETTER_IN) for bend in it.bends()),
    )


def _scale(outer: Outline, paper: Paper) -> int:
    sides = ((outer.width, paper.width), (outer.height, paper.height))
    needed = max(float(cloth) / (room - 2 * ROOM) for cloth, room in sides)
    return next((scale for scale in SCALES if scale >= needed), SCALES[-1])


def _ruler(scale: int, height: float) -> Ruler:
    start, end = complex(MARGIN, height - MARGIN), complex(MARGIN + RULER, height - MARGIN)
    ticks = [(at - 1j, at + 1j) for at in (start, (start + end) / 2, end)]
    return Ruler(lines([(start, end), *ticks]), spot(start), spot(end), f"{plain(Decimal(RULER * scale))} mm")


def _dimension(edge: Edge, frame: Frame, paper: Paper, shown: Shown) -> Dimension:
    start, end = frame.at(edge.start.number), frame.at(edge.end.number)
    way = _unit(end - start)
    out = way * 1j  # y runs down on paper, so outward is to the right of the way as it is seen
    one, other = start + out * OFF, end + out * OFF
    posts = [(at + out * GAP, at + out * (OFF + BEYOND)) for at in (start, end)]
    slash = (way + out) * 0.75
    return Dimension(
        name=edge.name,
        number=_number(shown.measured.get(edge.name, edge.length), paper.unit),
        place=spot((one + other) / 2 + out * TEXT_OFF),
        angle=readable(way),
        lines=lines([*posts, (one, other)]),
        ticks=lines([(at - slash, at + slash) for at in (one, other)]),
        edge=line((start, end)),
        wrong=edge.name in shown.wrong,
    )


def _number(mm: Decimal, unit: str) -> str:
    return plain(mm / INCH, 1) if unit == "in" else plain(mm)


def letter_of(
    bend: tuple[Corner, Corner, Corner], frame: Frame, wrong: Collection[str], most: float = LETTER_IN
) -> Letter:
    """A corner's letter inside its corner, at most so many units of the drawing from it."""
    before, here, after = (frame.at(corner.number) for corner in bend)
    through = _unit(after - here) + _unit(here - before)
    reach = min(most, LETTER_SHARE * min(abs(after - here), abs(here - before)))
    name = bend[1].name
    return Letter(name, spot(here + _unit(through) * -1j * reach), name in wrong)


def _named_across(shown: Shown) -> list[str]:
    """The diagonals that a problem names, in the alphabet's order."""
    letters = {corner.name for corner in shown.finished.corners}
    sides = {edge.name for edge in shown.finished.edges}
    return sorted(name for name in shown.wrong - sides if "-" in name and set(name.split("-")) <= letters)


def _across(outline: Outline, name: str, frame: Frame) -> Across:
    start, end = (frame.at(outline.corner(letter).number) for letter in name.split("-"))
    way = _unit(end - start)
    beside = start + (end - start) * ACROSS_AT + way * -1j * ACROSS_OFF
    return Across(name.replace("-", " to "), line((start, end)), spot(beside), readable(way))


def _unit(way: complex) -> complex:
    return way / abs(way) if way else 0j


def _warp(shown: Shown, frame: Frame) -> str:
    middle, room = widest(shown.finished)
    way = cmath.rect(1, math.radians(-float(shown.warp_angle)))
    return arrow(frame.at(middle), way, min(20.0, max(6.0, room * frame.scale)), 3)

"""The cut plan to scale, as lengths of the roll under each other: pieces, labels, warp, metre marks."""

import cmath
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, Decimal

from app.trade.canvas.drawn import Frame, arrow, kept, lines, spot, widest
from app.trade.canvas.laying import CutPlan, Laid
from app.trade.canvas.outline import Edge, Outline
from app.trade.drawings import Point
from app.trade.figure import plain
from app.trade.problems import Impossible

TICK = Decimal(500)  # mm of cloth
BELOW, BESIDE = 31j, 56 + 0j  # drawing units from a label to its warp arrow
THIN = 42.0  # drawing units: under this a piece has no room below its label
ASIDE = 72.0  # drawing units from a label to an end of its band, so that a name crosses none


@dataclass(frozen=True)
class Shape:
    """One piece in a band: its label, cut and stitch line, notches, the label's place and its warp arrow.

    `room`: drawing units from the label's place to the nearest edge. `here`: the label's place is in this
    band and not in the next, so each piece is named once.
    """

    label: str
    cut: str
    stitch: str
    notches: str
    place: Point
    room: Decimal
    warp: str
    here: bool


@dataclass(frozen=True)
class Tick:
    """A mark along the roll: where it stands in the band, and its metres ("3 m"; empty at the halves)."""

    x: Decimal
    says: str


@dataclass(frozen=True)
class Band:
    """A length of the roll: from and to in millimetres, its size on the drawing, and what lies in it.

    `page`: how wide the drawing is; a short length takes only a part of it.
    """

    start: Decimal
    end: Decimal
    page: Decimal
    width: Decimal
    height: Decimal
    shapes: tuple[Shape, ...]
    ticks: tuple[Tick, ...]

    @property
    def words(self) -> str:
        """What it shows, for those who cannot see it: `from 0.00 to 6.50 m: E1, E2`."""
        labels = ", ".join(shape.label for shape in self.shapes)
        return f"from {plain(self.start / 1000, 2)} to {plain(self.end / 1000, 2)} m: {labels}"


def band_length(length: Decimal, longest: Decimal) -> Decimal:
    """Millimetres of cloth in each band of a plan of that length, over 0, in as few bands as may be."""
    return length / (length / longest).to_integral_value(ROUND_CEILING)


def bands(
    plan: CutPlan,
    width: int = 1344,
    longest: Decimal = Decimal(6500),
    stitch: Mapping[str, Outline] | None = None,
    least: Decimal = Decimal(0),
) -> tuple[Band, ...]:
    """The plan in as few bands of one length as keep each within `longest` millimetres of cloth.

    `width`: drawing units of the page; a plan shorter than `least` is drawn no larger than one so long.
    `stitch`: finished outlines by the piece's mark, in the coordinates of the cut outline. Impossible for an
    empty plan.
    """
    if not plan.laid:
        raise Impossible("Nothing is laid on this cloth", "a plan with at least one piece")
    length = band_length(plan.length, longest)
    count = round(plan.length / length)
    parts = [(length * at, length * (at + 1)) for at in range(count)]
    scale = width / float(max(length, least))
    marks = _Lines(stitch or {})
    found = (_band(plan, part, scale, marks) for part in parts)
    return tuple(replace(band, page=Decimal(width)) for band in found)


def at_full_size(
    plan: CutPlan,
    stitch: Mapping[str, Outline] | None = None,
    notches: Mapping[str, Sequence[Edge]] | None = None,
) -> Band:
    """The whole plan in one length at full size, for a plotter: drawing units are millimetres.

    `stitch`: as for `bands`; `notches`: likewise. Impossible for an empty plan.
    """
    if not plan.laid:
        raise Impossible("Nothing is laid on this cloth", "a plan with at least one piece")
    return _band(plan, (Decimal(0), plan.length), 1.0, _Lines(stitch or {}, notches or {}))


@dataclass(frozen=True)
class _Lines:
    """What is drawn on the pieces besides their cut lines, by their marks."""

    stitch: Mapping[str, Outline]
    notches: Mapping[str, Sequence[Edge]] = field(default_factory=dict)


def _band(plan: CutPlan, part: tuple[Decimal, Decimal], scale: float, marks: _Lines) -> Band:
    start, end = part
    frame = Frame(scale, complex(-float(start) * scale, float(plan.strip.width) * scale))
    lying = [laid for laid in plan.laid if laid.end > start and laid.right < end]
    return Band(
        start=start,
        end=end,
        page=kept(float(end - start) * scale),
        width=kept(float(end - start) * scale),
        height=kept(float(plan.strip.width) * scale),
        shapes=tuple(_shape(laid, frame, part, marks) for laid in lying),
        ticks=_ticks(start, end, scale),
    )


def _shape(laid: Laid, frame: Frame, part: tuple[Decimal, Decimal], marks: _Lines) -> Shape:
    middle, room = widest(laid.outline)
    finished = marks.stitch.get(laid.piece.mark)
    notches = laid.carry_edges(marks.notches.get(laid.piece.mark, ()))
    place = _clear(frame.at(middle), room * frame.scale, float(part[1] - part[0]) * frame.scale)
    way = cmath.rect(1, math.radians(-float(laid.turn)))  # which way the piece's warp runs on the roll
    beside = room * frame.scale < THIN or laid.turn % 180 != 0
    return Shape(
        label=laid.label,
        cut=frame.outline(laid.outline),
        stitch=frame.outline(laid.carry(finished)) if finished else "",
        notches=lines((frame.at(it.start.number), frame.at(it.end.number)) for it in notches),
        place=spot(place),
        room=kept(room * frame.scale),
        warp=arrow(place + (BESIDE if beside else BELOW), way, 52, 8),
        here=part[0] <= kept(middle.real) < part[1],
    )


def _clear(place: complex, room: float, width: float) -> complex:
    """A label's place moved off the ends of a band as far as it stays within its piece."""
    off = min(max(place.real, ASIDE), max(width - ASIDE, ASIDE)) - place.real
    return place + max(min(off, room), -room)


def _ticks(start: Decimal, end: Decimal, scale: float) -> tuple[Tick, ...]:
    first = int((start / TICK).to_integral_value(ROUND_CEILING))
    marks = [TICK * at for at in range(first, int(end / TICK) + 1)]
    return tuple(
        Tick(kept(float(mark - start) * scale), "" if mark % 1000 else f"{mark / 1000:.0f} m")
        for mark in marks
    )

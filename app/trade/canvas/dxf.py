"""A cut plan as a DXF drawing for plotters and cutters: millimetres, one block a piece."""

from __future__ import annotations

import cmath
import io
import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from app.trade.canvas.allowances import snip
from app.trade.canvas.drawn import widest
from app.trade.canvas.laying import CutPlan, Laid, ToCut
from app.trade.canvas.outline import Corner, Edge, Outline

if TYPE_CHECKING:
    from ezdxf.layouts.base import BaseLayout

MILLIMETRES = 4  # $INSUNITS of the DXF reference
TEXT_HEIGHT = 25  # mm


class Layers(Enum):
    """Names of the layers for cut, stitch, warp, notch and text: words, or the numbers of ASTM D6673."""

    WORDS = ("CUT", "STITCH", "WARP", "NOTCH", "TEXT")
    NUMBERS = ("1", "14", "7", "4", "8")


@dataclass(frozen=True)
class Marks:
    """What is drawn on a piece besides its cut line: stitch line and notches, in the same coordinates.

    A notch runs from the stitch line out to the cut line; `snips`: what of them is drawn and cut in.
    """

    stitch: Outline | None = None
    notches: tuple[Edge, ...] = ()

    @property
    def snips(self) -> tuple[Edge, ...]:
        """The notches as they are cut in."""
        return tuple(map(snip, self.notches))


NO_MARKS: Mapping[str, Marks] = {}


def dxf_text(plan: CutPlan, marks: Mapping[str, Marks] = NO_MARKS, layers: Layers = Layers.WORDS) -> str:
    """The plan as the text of a DXF file (R2010, millimetres): a block for each piece, put where it lies.

    `marks`: by the piece's mark. The cloth is drawn on the text layer. An empty plan is an empty cloth.
    """
    from ezdxf.filemanagement import new  # late: it takes two seconds to load, and only this needs it

    drawing = new("R2010", units=MILLIMETRES)
    for name in layers.value:
        drawing.layers.add(name)
    for piece in {laid.piece.mark: laid.piece for laid in plan.laid}.values():
        _piece(drawing.blocks.new(_block(piece)), piece, marks.get(piece.mark, Marks()), layers)
    for laid in plan.laid:
        _lay(drawing.modelspace(), laid, layers)
    _cloth(drawing.modelspace(), plan, layers)
    out = io.StringIO()
    drawing.write(out)
    return out.getvalue()


def _block(piece: ToCut) -> str:
    return f"PIECE_{piece.mark}"


def _piece(block: BaseLayout, piece: ToCut, marks: Marks, layers: Layers) -> None:
    cut, stitch, warp, notch, _ = layers.value
    _ring(block, piece.outline, cut)
    if marks.stitch:
        _ring(block, marks.stitch, stitch)
    for mark in marks.snips:
        block.add_line(_place(mark.start), _place(mark.end), dxfattribs={"layer": notch})
    block.add_line(*_warp(piece), dxfattribs={"layer": warp})


def _warp(piece: ToCut) -> tuple[tuple[float, float], tuple[float, float]]:
    """A line along the warp through the place with most room."""
    middle, room = widest(piece.outline)
    way = cmath.rect(room * 0.8, math.radians(piece.warp_angle))
    one, other = middle - way, middle + way
    return (one.real, one.imag), (other.real, other.imag)


def _lay(space: BaseLayout, laid: Laid, layers: Layers) -> None:
    """Put a piece's block where it lies: turned about the piece's own 0, then moved."""
    first, there = laid.piece.outline.corners[0], laid.outline.corners[0]
    turn = laid.turn - laid.piece.warp_angle
    place = (float(there.x - first.turned(turn).x), float(there.y - first.turned(turn).y))
    space.add_blockref(_block(laid.piece), place, dxfattribs={"rotation": float(turn)})
    middle, _ = widest(laid.outline)
    space.add_text(
        laid.label,
        height=TEXT_HEIGHT,
        dxfattribs={"layer": layers.value[4], "insert": (middle.real, middle.imag)},
    )


def _cloth(space: BaseLayout, plan: CutPlan, layers: Layers) -> None:
    length, width = float(plan.length), float(plan.strip.width)
    corners = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layers.value[4]})


def _ring(layout: BaseLayout, outline: Outline, layer: str) -> None:
    layout.add_lwpolyline(outline.ring, close=True, dxfattribs={"layer": layer})


def _place(corner: Corner) -> tuple[float, float]:
    return float(corner.x), float(corner.y)

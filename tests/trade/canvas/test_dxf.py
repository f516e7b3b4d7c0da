"""DXF files read back with the library's own reader and audit."""

import io
from decimal import Decimal

import ezdxf
import pytest
import shapely
from ezdxf.document import Drawing
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.allowances import Allowance, EdgeKind, cut_piece, notches
from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.dxf import Layers, Marks, dxf_text
from app.trade.canvas.laying import QUARTERS, CutPlan, Laid, ToCut
from app.trade.canvas.outline import Outline, outline_of
from tests.trade.canvas.shapes import CONVEX, NOTCHED
from tests.trade.canvas.test_bottom_left import CLOTH, TENT

WALL = outline_of([0, 1000, 900 + 700j, 100 + 700j])
ALLOWANCES = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(13)) for edge in WALL.edges}
PIECE = ToCut("W", cut_piece(WALL, ALLOWANCES).cut, 2)


def read(text: str) -> Drawing:
    drawing = ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined] # exported without saying so
    assert not drawing.audit().errors
    return drawing


def lying(drawing: Drawing) -> list[shapely.Polygon]:
    """The cut lines where they come to lie, taken out of their blocks by the reader."""
    parts = [part for insert in drawing.modelspace().query("INSERT") for part in insert.virtual_entities()]
    cut = [part for part in parts if part.dxf.layer in ("CUT", "1")]
    return [shapely.Polygon([(x, y) for x, y, *_ in part.get_points()]) for part in cut]


def test_a_plan_comes_back_with_every_piece_in_its_place() -> None:
    plan = first_plan(CLOTH, TENT)
    found = lying(read(dxf_text(plan)))
    for laid, shape in zip(plan.laid, found, strict=True):
        assert shape.symmetric_difference(shapely.Polygon(laid.outline.ring)).area < 1  # mm²


def test_the_drawing_is_in_millimetres() -> None:
    drawing = read(dxf_text(first_plan(CLOTH, [PIECE])))
    assert drawing.header["$INSUNITS"] == 4  # DXF reference: 4 is millimetres
    assert drawing.dxfversion == "AC1024"  # R2010


def test_each_piece_is_a_block_with_its_lines_on_their_layers() -> None:
    marks = {"W": Marks(WALL, notches(WALL, ALLOWANCES, "A-B"))}
    drawing = read(dxf_text(first_plan(CLOTH, [PIECE]), marks))
    layers = [entity.dxf.layer for entity in drawing.blocks.get("PIECE_W")]
    assert sorted(layers) == ["CUT", "NOTCH", "NOTCH", "NOTCH", "STITCH", "WARP"]
    labels = sorted(entity.dxf.text for entity in drawing.modelspace().query("TEXT"))
    assert labels == ["W1", "W2"]


def test_layers_may_bear_the_numbers_of_the_apparel_convention() -> None:
    drawing = read(dxf_text(first_plan(CLOTH, [PIECE]), {"W": Marks(WALL)}, Layers.NUMBERS))
    layers = {entity.dxf.layer for entity in drawing.blocks.get("PIECE_W")}
    assert layers == {"1", "14", "7"}  # ASTM D6673, from memory: 1 cut, 14 sew, 7 grain
    assert lying(drawing)


@pytest.mark.parametrize("angle", [0, 30, 90])
def test_the_warp_is_drawn_along_the_warp(angle: int) -> None:
    piece = ToCut("U", WALL, warp_angle=Decimal(angle))
    plan = CutPlan(CLOTH, (Laid(piece, 1, Decimal(180), Decimal(100), Decimal(50)),), "by hand")
    drawing = read(dxf_text(plan))
    (shape,) = lying(drawing)
    assert shape.symmetric_difference(shapely.Polygon(plan.laid[0].outline.ring)).area < 1
    parts = [part for insert in drawing.modelspace().query("INSERT") for part in insert.virtual_entities()]
    (warp,) = [part for part in parts if part.dxf.layer == "WARP"]
    assert abs(warp.dxf.start.y - warp.dxf.end.y) < 1e-6  # along the roll, whatever the piece's own angle


def test_an_empty_plan_is_an_empty_cloth() -> None:
    drawing = read(dxf_text(CutPlan(CLOTH, (), "nothing")))
    assert [entity.dxftype() for entity in drawing.modelspace()] == ["LWPOLYLINE"]


@settings(max_examples=12, deadline=None)
@given(st.lists(st.tuples(CONVEX | NOTCHED, st.sampled_from([0, 90, 180, 270])), min_size=1, max_size=3))
def test_any_piece_comes_back_where_it_was_laid(pieces: list[tuple[Outline, int]]) -> None:
    laid = tuple(
        Laid(ToCut(f"P{at}.", outline, 1, QUARTERS), 1, Decimal(turn), Decimal(5000 * at), Decimal(at))
        for at, (outline, turn) in enumerate(pieces)
    )
    found = lying(read(dxf_text(CutPlan(CLOTH, laid, "apart"))))
    for one, shape in zip(laid, found, strict=True):
        assert shape.symmetric_difference(shapely.Polygon(one.outline.ring)).area < 1

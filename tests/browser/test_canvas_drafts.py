"""Measures that make no piece, typed on a tablet held upright: its edge is named, and all is kept."""

from collections.abc import Callable

import pytest

from app.canvas import said, steps
from app.canvas.rules import How
from tests.browser.conftest import Desk, Shop
from tests.canvas import loft
from tests.conftest import act

Desks = Callable[..., Desk]
UPRIGHT = {"width": 820, "height": 1180}
BOW = {  # its sides A to B and C to D cross in the middle
    **{"A-x": "0", "A-y": "0", "B-x": "400", "B-y": "300"},
    **{"C-x": "400", "C-y": "0", "D-x": "0", "D-y": "300"},
}
SHORT = {**loft.WALL, "A-C": "800"}  # 400 and 300 do not reach 800: no triangle
TWISTED = {**loft.WALL, "B-D": "540"}  # a wall of 400 by 300 is 500 across: Pythagoras


@pytest.mark.parametrize(
    ("how", "typed", "named"),
    [
        (How.COORDINATES, BOW, "A to B"),
        (How.TAPE, SHORT, "A to C"),
        (How.TAPE, TWISTED, "B to D"),
    ],
)
def test_a_piece_that_cannot_be_is_a_draft_with_its_edge_named(
    shop: Shop, desk: Desks, how: How, typed: dict[str, str], named: str
) -> None:
    key = loft.opened(shop.book)
    piece = steps.add_piece(shop.book, act(), key, said.NewPiece("Front wall", how))
    it = desk(viewport=UPRIGHT)
    it.sign_in("Toni")
    it.go(f"/canvas/pieces/{piece}")
    for field, mm in typed.items():
        it.page.fill(f"#{field}", mm)
    it.press("text=Save these measures")
    it.go(f"/canvas/pieces/{piece}")
    assert {field: it.page.input_value(f"#{field}") for field in typed} == typed
    assert named in it.page.inner_text("main")
    assert it.page.evaluate("document.documentElement.scrollWidth") <= UPRIGHT["width"]
    it.go(f"/canvas/{key}")
    assert "Draft." in it.page.inner_text("main")
    assert not loft.read(shop.book, key).released


def test_mates_that_differ_name_the_edge(shop: Shop, desk: Desks) -> None:
    key = loft.opened(shop.book)
    left = loft.piece(shop.book, key, "Left wall")
    right = loft.piece(
        shop.book, key, "Right wall", {**loft.WALL, "A-B": "420", "A-C": "516.1", "B-D": "516.1"}
    )
    it = desk(viewport=UPRIGHT)
    it.sign_in("Toni")
    it.go(f"/canvas/pieces/{right}")
    it.page.select_option("#mate_of", str(left))
    it.press("text=Save these measures")
    it.go(f"/canvas/{key}")
    assert "A to B" in it.page.inner_text("main")
    assert loft.read(shop.book, key).piece(right).mate_problems  # type: ignore[union-attr]

"""The canvas room in a real browser: measured without script, axe, and the edge of the window."""

from collections.abc import Callable

import pytest

from app.canvas import said, steps
from app.canvas.rules import How
from app.trade.canvas.readiness import Kind
from tests.browser.conftest import Desk, Shop
from tests.canvas import loft
from tests.conftest import act

Desks = Callable[..., Desk]


def test_a_piece_is_measured_without_script(shop: Shop, desk: Desks) -> None:
    key = loft.opened(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Toni")
    it.go(f"/canvas/{key}")
    it.page.fill("#name", "Front wall")  # no piece yet: the form stands open
    it.page.select_option("#how", "tape")
    it.page.click("text=Add this piece")
    for edge, mm in loft.WALL.items():
        it.page.fill(f"#{edge}", mm)
    it.page.click("text=Save these measures")
    drawn = it.page.locator("svg.canvas-sketch").get_attribute("aria-label")
    assert drawn is not None
    assert "A to B 400" in drawn
    assert "wrong" not in drawn


@pytest.mark.parametrize("width", [320, 768, 1280])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    shop: Shop, desk: Desks, width: int, theme: str
) -> None:
    key = loft.ready(shop.book)
    draft = loft.piece(shop.book, key, "Door", {**loft.WALL, "B-D": "540"})
    steps.add_piece(shop.book, act(), key, said.NewPiece("Gable", How.ANGLES, 5))
    loft.piece(shop.book, key, "Rear wall")
    zipper = steps.add_part(shop.book, act(), key, Kind.ZIPPER, "door, left")
    it = desk(viewport={"width": width, "height": 768}, color_scheme=theme)
    it.sign_in("Lee")
    order = loft.read(shop.book, key).head.order_id
    paths = [f"/canvas/orders/{order}", f"/canvas/{key}", f"/canvas/parts/{zipper}"]
    paths += [f"/canvas/pieces/{piece}" for piece in (1, draft, draft + 1)]
    faults, wide = [], []
    for path in paths:
        it.go(path)
        it.page.evaluate("document.querySelectorAll('main details').forEach(it => it.open = true)")
        faults += it.faults()
        wide += [path] * (it.page.evaluate("document.documentElement.scrollWidth") > width)
    assert (faults, wide) == ([], [])

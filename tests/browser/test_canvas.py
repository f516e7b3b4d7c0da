"""The canvas room in a real browser: measured without script, axe, and the edge of the window."""

from collections.abc import Callable

import pytest

from app.canvas import plans, said, steps
from app.canvas.roll import USUAL_ROLL, read_roll
from app.canvas.rules import How
from app.canvas.searched import State
from app.trade.canvas.readiness import Kind
from app.trade.typed import Texts
from tests.browser.conftest import Desk, Shop
from tests.canvas import loft
from tests.canvas.test_pattern import by_pattern, earlier, taken
from tests.canvas.test_searching import until
from tests.conftest import act

Desks = Callable[..., Desk]


def test_a_piece_is_measured_without_script(shop: Shop, desk: Desks) -> None:
    key = loft.opened(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Toni")
    it.go(f"/canvas/{key}")
    it.page.fill("#name", "Front wall")  # no piece yet: the form stands open
    it.page.select_option("#how", "tape")
    it.press("text=Add this piece")
    for edge, mm in loft.WALL.items():
        it.page.fill(f"#{edge}", mm)
    it.press("text=Save these measures")
    drawn = it.page.locator("svg.canvas-sketch").get_attribute("aria-label")
    assert drawn is not None
    assert "A to B 400" in drawn
    assert "wrong" not in drawn


def test_pieces_are_taken_over_and_checked_without_script(shop: Shop, desk: Desks) -> None:
    source, key = earlier(shop.book), by_pattern(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Wren")
    it.go(f"/canvas/{key}")
    it.press(f"#take-over a[href*='pattern={source}#']")
    it.press("text=Take these pieces over")
    told = it.page.inner_text("main")
    assert "3 pieces taken over" in told
    assert "Each is still to be checked on this trailer's frame" in told
    it.page.click("text=to be known or put right")
    it.press("a:has-text('Front wall: check on this trailer')")
    assert it.page.url.endswith("#checked")
    it.page.fill("#checked", "fits, Wren, 6 May")
    it.press("text=Save edges and cloth")
    assert "Checked on this trailer's frame: fits, Wren, 6 May." in it.page.inner_text("main")


def planned(shop: Shop) -> str:
    """The page of a cut plan that was laid, of an order of its own."""
    key = loft.ready(shop.book)
    it = loft.read(shop.book, key)
    (cloth,) = it.of_kind(Kind.CLOTH)
    roll = read_roll(Texts({**USUAL_ROLL, "ends": "31: 400"}))
    plans.lay(shop.book, act(seen=it.version), it, cloth, roll)
    return f"/canvas/cloths/{cloth.key}/plan"


def test_a_plan_is_laid_and_searched_without_script(shop: Shop, desk: Desks) -> None:
    address = planned(shop)
    it = desk(java_script_enabled=False)
    it.sign_in("Toni")
    it.go(address)
    it.page.fill("#width", "1200")
    it.press("text=Lay the plan")
    assert "of the roll" in it.page.inner_text("h1")
    it.press("button:has-text('Search')")
    assert "See whether it is done" in it.page.inner_text("main")
    until(shop.book, 1, State.NOTHING)  # one piece: no plan is shorter
    it.press("text=See whether it is done")
    assert "found no shorter plan" in it.page.inner_text("main")


def test_a_search_tells_by_itself_when_it_is_done_and_keeps_what_is_typed(shop: Shop, desk: Desks) -> None:
    address = planned(shop)
    it = desk()
    it.sign_in("Toni")
    it.go(address)
    it.press("button:has-text('Search')")
    it.page.fill("#width", "1234")
    it.page.wait_for_selector("text=found no shorter plan", timeout=40_000)
    assert it.page.input_value("#width") == "1234"
    it.press("text=Show the plan anew")
    assert it.page.locator("button:has-text('Search')").is_visible()


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
    plan = planned(shop)
    order = loft.read(shop.book, key).head.order_id
    paths = [f"/canvas/orders/{order}", f"/canvas/{key}", f"/canvas/parts/{zipper}"]
    paths += [f"/canvas/pieces/{piece}" for piece in (1, draft, draft + 1)]
    sewn = loft.sewn_up(shop.book, loft.ready(shop.book))
    loft.inspect(shop.book, sewn, stitches="4", dry="no")
    paths += [f"/canvas/{sewn}/inspection", f"/canvas/{sewn}/making"]
    patterned = taken(shop.book, by_pattern(shop.book), earlier(shop.book))
    paths += [f"/canvas/{patterned.key}", f"/canvas/pieces/{patterned.pieces[0].key}"]
    paths += [plan, f"/canvas/{key}/making", "/canvas", f"/canvas/{key}/promise"]
    faults, wide = [], []
    for path in paths:
        it.go(path)
        it.page.evaluate("document.querySelectorAll('main details').forEach(it => it.open = true)")
        faults += it.faults()
        wide += [path] * (it.page.evaluate("document.documentElement.scrollWidth") > width)
    assert (faults, wide) == ([], [])

"""The estimate in a real browser: the drawn signature, the told sum, no script at all, axe on every page."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.estimate.tables import Answer, Consent
from app.ground.book import reading
from tests.browser.conftest import Desk, Shop
from tests.conftest import people_now
from tests.estimate.arrived import BREAKAWAY, ROOF, TREAD, arrive, ledger, priced, shown, work_named

Desks = Callable[..., Desk]


def answer(it: Desk, book: Engine, order_id: int, start: str, word: str) -> None:
    """Tap a word of one line, as a thumb does."""
    key = work_named(book, order_id, start).id
    it.page.check(f'[name="say-{key}"][value="{word}"]')


def test_the_owner_answers_draws_and_the_sum_is_told(shop: Shop, desk: Desks) -> None:
    order_id = shown(shop.book, (BREAKAWAY, ROOF), people_now())
    it = desk()
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}/consent")
    assert it.page.inner_text("[data-agreed-sum]") == "0.00"
    answer(it, shop.book, order_id, "Breakaway", "yes")
    answer(it, shop.book, order_id, "Replace roof", "later")
    assert it.page.inner_text("[data-agreed-sum]") == "225.50"
    it.page.fill("#who", "Rosalind Achterberg")
    drawing = it.page.locator(".signature svg")
    drawing.scroll_into_view_if_needed()
    box = drawing.bounding_box()
    assert box is not None
    it.page.mouse.move(box["x"] + 30, box["y"] + 80)
    it.page.mouse.down()
    it.page.mouse.move(box["x"] + 120, box["y"] + 30, steps=8)
    it.page.mouse.up()
    it.press("text=Keep my answers")
    it.page.wait_for_url(f"**/estimate/{order_id}")
    with reading(shop.book) as session:
        [kept] = session.exec(select(Consent))
        words = [row.answer for row in session.exec(select(Answer))]
    assert kept.signature.startswith("M")
    assert kept.signature.count("L") >= 5
    assert sorted(words) == ["later", "yes"]


def test_a_drawing_can_be_begun_anew(shop: Shop, desk: Desks) -> None:
    order_id = shown(shop.book, (ROOF,), people_now())
    it = desk()
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}/consent")
    it.page.locator(".signature svg").click()
    assert it.page.input_value("#signature") != ""
    it.page.click("text=Draw it anew")
    assert it.page.input_value("#signature") == ""


def test_initials_are_asked_only_where_work_before_towing_is_put_off(shop: Shop, desk: Desks) -> None:
    order_id = shown(shop.book, (TREAD,), people_now())
    it = desk()
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}/consent")
    tire = ledger(shop.book, order_id).works[0].id
    initials = it.page.locator(f"#initials-{tire}")
    assert not initials.is_visible()
    answer(it, shop.book, order_id, "Replace a tire", "no")
    assert initials.is_visible()


def test_a_typed_name_is_enough_without_script(shop: Shop, desk: Desks) -> None:
    order_id = shown(shop.book, (BREAKAWAY,), people_now())
    it = desk(java_script_enabled=False)
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}/consent")
    assert not it.page.locator(".signature").is_visible()
    answer(it, shop.book, order_id, "Breakaway", "yes")
    it.page.fill("#who", "Rosalind Achterberg")
    it.press("text=Keep my answers")
    with reading(shop.book) as session:
        [kept] = session.exec(select(Consent))
    assert (kept.who, kept.signature) == ("Rosalind Achterberg", "")


@pytest.mark.parametrize("width", [320, 768, 1024, 1440])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    shop: Shop, desk: Desks, width: int, theme: str
) -> None:
    bare, open_one = arrive(shop.book), priced(shop.book)
    asked = shown(shop.book, (TREAD, BREAKAWAY, ROOF), people_now())
    it = desk(viewport={"width": width, "height": 768}, color_scheme=theme)
    it.sign_in("Wren")
    work = ledger(shop.book, open_one).works[0]
    paths = (
        f"{bare}",
        f"{open_one}?budget=400",
        f"{open_one}/add",
        f"{open_one}/works/{work.id}",
        f"{open_one}/lines/{work.lines[0].id}",
        f"{asked}/consent?how=phone",
    )
    faults, wide = [], []
    for path in paths:
        it.go(f"/estimate/{path}")
        faults += it.faults()
        wide += [path] * (it.page.evaluate("document.documentElement.scrollWidth") > width)
    assert (faults, wide) == ([], [])

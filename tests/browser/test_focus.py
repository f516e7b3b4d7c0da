"""The keyboard keeps its place: no swap, and no link to a place of the page, throws the hand elsewhere."""

from collections.abc import Callable

from tests.browser.conftest import Desk, Shop
from tests.browser.test_outbox import until
from tests.inspection.walks import at, begun

Desks = Callable[..., Desk]


def test_what_a_vin_says_leaves_the_hand_where_it_types_on_a_refused_form(desk: Desks) -> None:
    it = desk()
    it.sign_in("Wren")
    it.go("/intake/new")
    page = it.page
    page.press("#maker", "Enter")
    until(page, "document.activeElement.id === 'fixes'")
    page.focus("#vin")
    page.keyboard.type("4YMUL0817KG123456")
    page.keyboard.press("Tab")
    page.wait_for_selector("#vin-says b")
    page.wait_for_timeout(100)  # what would move the focus comes after the swap
    assert page.evaluate("document.activeElement.id") == "vin_kind"


def test_a_fault_of_the_list_leads_to_its_field_with_all_that_was_typed(desk: Desks) -> None:
    it = desk()
    it.sign_in("Wren")
    it.go("/intake/new")
    page = it.page
    page.fill("#maker", "Ashlode")
    page.press("#maker", "Enter")
    until(page, "document.activeElement.id === 'fixes'")
    page.fill("#model", "Hauler")
    page.focus('#fixes a[href="#name"]')
    page.keyboard.press("Enter")
    page.wait_for_url("**#name")
    page.wait_for_timeout(300)  # a page that is loaded anew would be empty by then
    assert (page.input_value("#maker"), page.input_value("#model")) == ("Ashlode", "Hauler")
    assert page.locator("#fixes").is_visible()


def test_after_the_rest_of_a_station_is_sound_the_keyboard_goes_on_there(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    it = desk()
    it.sign_in("Toni")
    it.go(f"/inspection/walks/{walk}/stations/2")
    page = it.page
    page.focus(".station-keys button")
    page.keyboard.press("Enter")
    page.wait_for_selector(".station-none")
    until(page, "document.querySelector('main').contains(document.activeElement)")


def test_the_first_key_of_a_check_leads_past_the_walk_line(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    it = desk()
    it.sign_in("Toni")
    for path in (f"findings/{at(shop.book, walk, 'cp.latch').id}", f"walks/{walk}/stations/2"):
        it.go(f"/inspection/{path}")
        it.page.keyboard.press("Tab")
        assert it.page.evaluate("document.activeElement.className") == "skip"
        it.page.keyboard.press("Enter")
        it.page.wait_for_url("**#work")
        it.page.keyboard.press("Tab")
        assert it.page.evaluate("document.querySelector('#work').contains(document.activeElement)")
        assert not it.page.evaluate("!!document.activeElement.closest('.walk-line')")

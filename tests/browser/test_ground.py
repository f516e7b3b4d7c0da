"""The common ground in a real browser: sign-in, keyboard, themes, the policy, the look of every page."""

from collections.abc import Callable

import pytest

from tests.browser.conftest import Desk

Desks = Callable[..., Desk]


def test_a_newcomer_signs_in_with_the_keyboard_alone(desk: Desks) -> None:
    it = desk()
    it.go("/")
    it.page.keyboard.press("Tab")
    assert it.page.evaluate("document.activeElement.textContent") == "To the work"
    it.page.focus("#name")
    it.page.keyboard.type("Toni")
    it.page.keyboard.press("Tab")
    it.page.keyboard.type("four words on paper")
    it.page.keyboard.press("Enter")
    it.page.wait_for_selector("text=The lot is empty")


def test_a_wrong_passphrase_is_said_first_and_the_focus_stands_there(desk: Desks) -> None:
    it = desk()
    it.go("/people/sign-in")
    it.page.fill("#name", "Toni")
    it.page.fill("#passphrase", "not that")
    it.page.click("main button")
    it.page.wait_for_selector("#fixes:focus")  # a selector: the page's policy lets no string be run as script
    assert it.page.input_value("#name") == "Toni"


def test_sign_in_works_without_script(desk: Desks) -> None:
    it = desk(java_script_enabled=False)
    it.sign_in("Toni")
    assert "The lot is empty" in it.page.content()


def test_the_light_key_remembers_the_theme_on_this_device(desk: Desks) -> None:
    it = desk(color_scheme="light")
    it.sign_in("Toni")
    before = it.page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    it.page.check(".light input")
    it.go("/people")
    after = it.page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert before == "rgb(245, 240, 227)"
    assert after == "rgb(18, 21, 24)"


@pytest.mark.parametrize("width", [320, 768, 1280])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_on_the_pages_of_the_ground(desk: Desks, width: int, theme: str) -> None:
    it = desk(viewport={"width": width, "height": 768}, color_scheme=theme)
    it.go("/people/sign-in")
    faults = it.faults()
    it.sign_in("Lee")
    for path in ("/", "/people", "/?find=nobody"):
        it.go(path)
        faults += it.faults()
    assert faults == []


def test_no_page_of_the_ground_scrolls_sideways_at_200_percent(desk: Desks) -> None:
    it = desk(viewport={"width": 512, "height": 384})  # 1024 by 768 at 200 %: WCAG 2.2, 1.4.4 and 1.4.10
    it.sign_in("Lee")
    for path in ("/", "/people"):
        it.go(path)
        assert it.page.evaluate("document.documentElement.scrollWidth") <= 512

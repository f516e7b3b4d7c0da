"""The walk-round in a real browser: taps, digits, photos, two people at once, axe, and no script at all."""

import io
from collections.abc import Callable

import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Page
from sqlalchemy import Engine

from app.inspection import steps
from app.inspection.steps import Seen
from tests.browser.conftest import Desk, Shop
from tests.browser.test_outbox import until
from tests.conftest import act
from tests.inspection.walks import at, begun

Desks = Callable[..., Desk]
LEFT = "tire-1-left"
# The keys stay on the bottom edge while rows scroll under them: axe is to measure the rows, not the overlap.
AT_REST = "document.querySelectorAll('.station-keys, .walk-keys').forEach(it => it.style.position = 'static')"
LAST_KEYS = "document.querySelector('.walk-keys').getBoundingClientRect().bottom <= innerHeight + 1"


def opened(shop: Shop, it: Desk, walk: int, check: str, place: str = "unit") -> Page:
    """The page of one check, opened by Toni."""
    it.sign_in("Toni")
    it.go(f"/inspection/findings/{at(shop.book, walk, check, place).id}")
    return it.page


def grade(book: Engine, walk: int, check: str, place: str = "unit") -> str:
    return at(book, walk, check, place).grade


def test_sound_is_one_tap_and_go_on_the_next(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "cp.latch")
    page.click('.five-key[value="sound"]')
    page.wait_for_selector('.five-key[value="sound"][aria-pressed="true"]:not(:has-text("waiting"))')
    assert grade(shop.book, walk, "cp.latch") == "sound"
    until(page, "document.activeElement !== document.body")
    before = page.url
    page.click('[name="go"]')
    page.wait_for_url(lambda url: url != before)
    assert page.inner_text("h1") != "Latch and pin"


def test_a_reading_is_tapped_on_our_own_digits_and_watched_in_four_taps(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "ti.tread", LEFT)
    field = page.locator("#reading-least")
    field.click()
    assert field.get_attribute("inputmode") == "none"  # no keyboard of the tablet opens
    page.click('.digit-pad [data-key="4"]')
    page.click('.digit-pad [data-key="next"]')
    page.click('[name="go"]')
    page.wait_for_selector(
        '.five-key[value="watch"][aria-pressed="true"]:not(:has-text("waiting"))'
    )  # under 5/32 in: common practice
    assert grade(shop.book, walk, "ti.tread", LEFT) == "watch"
    assert page.locator(".digit-pad").count() == 1
    before = page.url
    page.click('[name="go"]')
    page.wait_for_url(lambda url: url != before)


def test_an_unlikely_reading_is_kept_by_one_more_tap_with_the_grade_that_was_tapped(
    shop: Shop, desk: Desks
) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "ti.tread", LEFT)
    page.fill("#reading-least", "25")
    page.click('.five-key[value="watch"]')
    page.click("text=Keep 25, I read it twice")
    page.wait_for_selector('.five-key[value="watch"][aria-pressed="true"]:not(:has-text("waiting"))')
    assert grade(shop.book, walk, "ti.tread", LEFT) == "watch"


def test_a_key_does_not_move_away_when_the_pad_is_open_and_the_tablet_upright(
    shop: Shop, desk: Desks
) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(viewport={"width": 768, "height": 1024}), walk, "ti.psi", LEFT)
    page.click("#reading-cold")
    for digit in "50":
        page.click(f'.digit-pad [data-key="{digit}"]')
    page.click('.five-key[value="sound"]')
    page.wait_for_selector('.five-key[value="sound"][aria-pressed="true"]:not(:has-text("waiting"))')
    assert grade(shop.book, walk, "ti.psi", LEFT) == "sound"


def test_a_refused_reading_stays_and_the_summary_has_the_focus(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "ti.psi", LEFT)
    page.fill("#reading-cold", "5O psi")
    page.press("#reading-cold", "Enter")
    page.wait_for_selector("#fixes:focus")
    assert page.input_value("#reading-cold") == "5O psi"
    assert grade(shop.book, walk, "ti.psi", LEFT) == "unseen"


def test_enter_saves_the_reading_and_chooses_nothing(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "ti.tread", LEFT)
    page.fill("#reading-least", "3")
    page.press("#reading-least", "Enter")
    page.wait_for_selector(".five-key[data-proposed]")
    assert grade(shop.book, walk, "ti.tread", LEFT) == "needs"


def test_photos_wait_in_the_form_and_say_so(shop: Shop, desk: Desks) -> None:
    walk, out = begun(shop.book), io.BytesIO()
    Image.new("RGB", (80, 60), "gray").save(out, "JPEG")
    page = opened(shop, desk(), walk, "cp.latch")
    pictures: list[FilePayload] = [
        {"name": name, "mimeType": "image/jpeg", "buffer": out.getvalue()} for name in ("a.jpg", "b.jpg")
    ]
    page.set_input_files("#photo", pictures)
    assert page.inner_text("[data-photos-said]") == "2 to be saved"
    page.click('.five-key[value="sound"]')
    page.wait_for_selector('.five-key[value="sound"][aria-pressed="true"]:not(:has-text("waiting"))')
    assert page.locator(".walk-photos > .photo img").count() == 2
    page.set_viewport_size(
        {"width": 820, "height": 1180}
    )  # held upright: the newest beside its key, all below
    assert page.locator(".walk-photos > .photo >> visible=true").count() == 1
    page.click(".walk-more summary")
    assert page.locator(".walk-album .photo >> visible=true").count() == 2
    term, miles = (page.locator(field).bounding_box() for field in ("#until", "#until_miles"))
    assert term is not None
    assert miles is not None
    assert miles["x"] - term["x"] - term["width"] >= 8  # keys stand 8 px apart for gloves: common practice


def test_a_size_of_a_list_stands_on_one_line(shop: Shop, desk: Desks) -> None:
    page = opened(shop, desk(viewport={"width": 820, "height": 1180}), begun(shop.book), "cp.size")
    lines = "all => all.map(it => Math.round(it.getBoundingClientRect().height))"
    assert set(page.eval_on_selector_all(".reading-choices .choice", lines)) == {64}  # a row of one line


def test_two_people_at_once_see_both_versions(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    page = opened(shop, desk(), walk, "ti.tread", LEFT)
    row = at(shop.book, walk, "ti.tread", LEFT)
    steps.record_finding(shop.book, act(1), row.key, Seen(readings={"least": "6"}))
    page.fill("#reading-least", "7")
    page.click(".walk-says >> text=Save reading")
    page.wait_for_selector("table.both")
    assert "Lee saved first" in page.inner_text("#fixes")
    assert page.input_value("#reading-least") == "7"
    page.click(".walk-says >> text=Save reading")
    page.wait_for_selector("table.both", state="detached")
    assert at(shop.book, walk, "ti.tread", LEFT).revision == 2


def test_without_script_the_same_taps_give_the_same_rows(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    it = desk(java_script_enabled=False)
    page = opened(shop, it, walk, "ti.tread", LEFT)
    page.fill("#reading-least", "4")
    it.press('[name="go"]')
    assert page.locator('.five-key[value="watch"][aria-pressed="true"]').count() == 1
    it.press('[name="go"]')
    it.press('.five-key[value="sound"]')
    assert page.locator('.five-key[value="sound"][aria-pressed="true"]').count() == 1
    assert grade(shop.book, walk, "ti.tread", LEFT) == "watch"


@pytest.mark.parametrize("size", [(1024, 768), (768, 1024)])
def test_the_keys_need_no_scroll_and_are_large_enough_for_gloves(
    shop: Shop, desk: Desks, size: tuple[int, int]
) -> None:
    walk = begun(shop.book)
    it = desk(viewport={"width": size[0], "height": size[1]})
    page = opened(shop, it, walk, "ti.tread", LEFT)
    places = [("ti.tread", LEFT), ("ti.age", LEFT), ("cp.latch", "unit"), ("wh.nuts", "wheel-1-left")]
    for check, place in (*places, ("lp.leak", "unit")):
        it.go(f"/inspection/findings/{at(shop.book, walk, check, place).id}")
        assert page.evaluate(LAST_KEYS), check
        for key in page.locator(".five-key").all():
            box = key.bounding_box()
            assert box is not None
            assert (box["width"] >= 128, box["height"] >= 96) == (True, True), check


@pytest.mark.parametrize("width", [320, 768, 1024, 1440])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    shop: Shop, desk: Desks, width: int, theme: str
) -> None:
    walk = begun(shop.book)
    worn = at(shop.book, walk, "ti.tread", LEFT)
    steps.record_finding(shop.book, act(3), worn.key, Seen(readings={"least": "1"}))
    it = desk(viewport={"width": width, "height": 768}, color_scheme=theme)
    it.sign_in("Toni")
    keys = [at(shop.book, walk, check).id for check in ("cp.latch", "cp.chains", "id.vin")]
    paths = [f"findings/{key}" for key in (worn.id, at(shop.book, walk, "ti.age", LEFT).id, *keys)]
    paths += [f"walks/{walk}/stations/{number}" for number in (2, 5, 7, 8)] + [f"walks/{walk}/sum-up"]
    faults, wide = [], []
    for path in paths:
        it.go(f"/inspection/{path}")
        if path.startswith("findings"):
            it.page.click(".walk-more summary")
        it.page.evaluate(AT_REST)
        faults += it.faults()
        wide += [path] * (it.page.evaluate("document.documentElement.scrollWidth") > width)
    assert (faults, wide) == ([], [])

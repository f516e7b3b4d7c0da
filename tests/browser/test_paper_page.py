"""The page of a paper in a real browser: its pages as pictures, saved, and handed over by e-mail."""

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from app.ground.book import reading, writing
from app.ground.papers import Printer
from app.ground.press import Press
from app.ground.shop import shop_of
from app.ground.tables import Document
from app.intake import facts
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.screens import slip_paper
from app.intake.steps import take_in
from tests.browser.conftest import Desk, Shop
from tests.conftest import act
from tests.post.servers import Box, served

Desks = Callable[..., Desk]
SIZES = {"desk": (1180, 820), "tablet": (820, 1180), "telephone": (410, 820)}


@pytest.fixture
def paper(shop: Shop) -> int:
    """The key of a check-in slip that was really printed."""
    with writing(shop.book) as session:
        shop_of(session).email = "desk@shop.example"
    owner = OwnerSaid("Łukasz Ünal", phone="555 0163", email="lu@unal.example")
    order = take_in(shop.book, act(2), Arrival(StaySaid(), owner, UnitSaid("cargo")))
    with reading(shop.book) as session:
        slip = facts.slip_of(session, order)
    press = Press()
    key = Printer(shop.book, press, shop.settings.files).issue(act(2), slip_paper(slip))
    press.close()
    return key


def content(shop: Shop, key: int) -> bytes:
    """The paper's kept bytes."""
    with reading(shop.book) as session:
        sha256 = session.get_one(Document, key).sha256
    return (shop.settings.files / sha256[:2] / sha256).read_bytes()


def named(shop: Shop, port: int) -> None:
    """Name a mail server of this machine in the shop's folder."""
    path = shop.settings.data / "smtp.toml"
    path.write_text(f'host = "127.0.0.1"\nport = {port}\nsecurity = "none"\n')
    path.chmod(0o600)


def drawn(page: Page) -> list[int]:
    """The widths of the pictures that have come."""
    found: list[int] = page.evaluate(
        """async () => { const all = [...document.querySelectorAll('.paper-pages img')];
        for (const each of all) { each.scrollIntoView(); await each.decode(); }
        return all.map(each => each.naturalWidth); }"""
    )
    return found


@pytest.mark.parametrize("script", [True, False])
def test_the_pages_are_seen_and_the_file_is_saved_as_it_is_kept(
    desk: Desks, shop: Shop, paper: int, script: bool, tmp_path: Path
) -> None:
    it = desk(java_script_enabled=script)
    it.sign_in("Toni")
    it.go(f"/papers/{paper}")
    if script:
        assert drawn(it.page) == [1100]
    with it.page.expect_download() as saved:
        it.page.click("text=Save the file")
    assert saved.value.suggested_filename.startswith("Check-in-")
    saved.value.save_as(tmp_path / "saved.pdf")
    assert (tmp_path / "saved.pdf").read_bytes() == content(shop, paper)


@pytest.mark.parametrize("script", [True, False])
def test_a_paper_is_handed_over_and_the_page_says_so(
    desk: Desks, shop: Shop, paper: int, script: bool
) -> None:
    it, box = desk(java_script_enabled=script), Box()
    it.sign_in("Wren")
    with served(box) as port:
        named(shop, port)
        it.go(f"/papers/{paper}")
        assert it.page.input_value("#receiver") == "lu@unal.example"
        it.page.fill("#receiver", "not an address")
        it.page.click("text=Send it")
        it.page.wait_for_selector("#receiver-fix")
        it.page.fill("#receiver", "lu@unal.example")
        it.page.click("text=Send it")
        it.page.wait_for_selector("text=Sent to lu@unal.example")
    assert len(box.letters) == 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    desk: Desks, shop: Shop, paper: int, size: str, theme: str
) -> None:
    width, height = SIZES[size]
    it = desk(viewport={"width": width, "height": height}, color_scheme=theme)
    it.sign_in("Wren")
    faults: list[str] = []
    for server in (False, True):
        if server:
            named(shop, 9)  # the discard port: nobody answers there
        it.go(f"/papers/{paper}")
        faults += it.faults()
        assert it.page.evaluate("document.documentElement.scrollWidth") <= width
    it.page.click("text=Send it")
    it.page.wait_for_selector("text=Not sent to lu@unal.example")
    assert faults + it.faults() == []

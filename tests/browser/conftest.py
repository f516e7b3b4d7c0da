"""A shop that answers on a port of its own, and a real browser at tablet size in front of it."""

import os
import re
import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, sync_playwright
from sqlalchemy import Engine

from app.ground.settings import Settings
from app.web import build
from tests.conftest import PASSPHRASE

CHROMIUM = "/usr/bin/chromium"
PATIENCE = 120_000  # ms: a busy machine is slow, and no test here is about speed
TABLET = {"width": 1024, "height": 768}
AXE = (Path(__file__).parent.parent / "vendor" / "axe-4.14.1.min.js").read_text()
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@dataclass(frozen=True)
class Shop:
    """A running shop: its address and its book."""

    address: str
    book: Engine
    settings: Settings


@dataclass
class Desk:
    """A page of the browser with what a test asks of it."""

    page: Page
    address: str
    reports: list[str]

    def printed(self, location: str) -> int:
        """The key of a paper, once it is made: where its form led to, or where the page of progress leads."""
        end = time.monotonic() + 90
        while time.monotonic() < end:
            answer = self.page.request.get(self.address + location)
            if found := re.fullmatch(r".*/papers/(\d+)\.pdf", answer.url):
                return int(found[1])
            time.sleep(0.2)
        raise AssertionError(f"{location} led to no paper")

    def go(self, path: str) -> None:
        """Open a page of the shop."""
        self.page.goto(self.address + path)

    def press(self, selector: str) -> None:
        """Tap what leads to another page, until that page is there, also where a script leads on later."""
        with self.page.expect_navigation():
            self.page.click(selector)

    def sign_in(self, name: str, passphrase: str = PASSPHRASE) -> None:
        """Sign in as a person does."""
        self.go("/people/sign-in")
        self.page.fill("#name", name)
        self.page.fill("#passphrase", passphrase)
        self.press("main button")
        self.page.wait_for_url(f"{self.address}/")

    def faults(self) -> list[str]:
        """What axe-core finds wrong on the page as it stands, once it has come whole."""
        self.page.wait_for_load_state()
        self.page.evaluate(AXE)
        found = self.page.evaluate(
            "tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", AXE_TAGS
        )
        return [
            f"{self.page.url}: {each['id']}: {node['html'][:160]}"
            for each in found["violations"]
            for node in each["nodes"]
        ]


def serve(settings: Settings) -> tuple[uvicorn.Server, threading.Thread, Engine]:
    """A shop served from a thread; the caller stops the server."""
    app = build(settings)
    server = uvicorn.Server(uvicorn.Config(app, port=settings.port, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.02)
    return server, thread, app.state.book


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return int(held.getsockname()[1])


@contextmanager
def running(folder: Path, furnished: Path, settings: Settings | None = None) -> Iterator[Shop]:
    """A furnished shop in a folder of its own, running until the end of the block."""
    settings = settings or Settings(data=folder, port=free_port())
    settings.data.mkdir()
    shutil.copy(furnished, settings.book)
    server, thread, book = serve(settings)
    yield Shop(f"http://127.0.0.1:{settings.port}", book, settings)
    server.should_exit = True
    thread.join()


@pytest.fixture
def shop(tmp_path: Path, furnished: Path) -> Iterator[Shop]:
    """A furnished shop, running."""
    with running(tmp_path / "shop", furnished) as made:
        yield made


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """The driver of the browser."""
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    """Debian's Chromium. Where CI runs, a machine without it fails; elsewhere its tests are skipped."""
    if not Path(CHROMIUM).exists() and "CI" not in os.environ:
        pytest.skip("no Chromium here")
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
    yield browser
    browser.close()


@pytest.fixture
def contexts(chromium: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """A maker of fresh browser contexts, closed at the end."""
    made: list[BrowserContext] = []

    def make(**how: object) -> BrowserContext:
        made.append(chromium.new_context(**({"viewport": TABLET} | how)))  # type: ignore[arg-type]
        made[-1].set_default_timeout(PATIENCE)
        return made[-1]

    yield make
    for context in made:
        context.close()


@pytest.fixture
def desk(shop: Shop, contexts: Callable[..., BrowserContext]) -> Iterator[Callable[..., Desk]]:
    """A maker of pages in front of the shop; a policy report or a script error fails the test."""
    desks: list[Desk] = []

    def make(**how: object) -> Desk:
        page = contexts(**how).new_page()
        found = Desk(page, shop.address, [])
        page.on("pageerror", lambda error: found.reports.append(_said(error)))
        page.on(
            "console",
            lambda told: found.reports.append(told.text) if "Content Security" in told.text else None,
        )
        desks.append(found)
        return found

    yield make
    assert [report for each in desks for report in each.reports] == []


def _said(error: Error) -> str:
    return str(error)

"""A tablet on plain HTTP: to the browser the page is insecure, it has no lock and no worker; nothing is lost.

What an insecure context lacks: Secure Contexts, W3C (from memory): navigator.locks, service workers, caches.
"""

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, Request, Route

from app.ground.settings import Settings
from tests.browser.conftest import CHROMIUM, PATIENCE, TABLET, Desk, Shop, free_port, running
from tests.browser.test_outbox import SOUND, keeps_all, kept_in_order, sent, until
from tests.inspection.walks import at, begun

NAME = "shop.test"
STATION = 8  # full of checks by sight alone: each is sound by one tap in the list
ENTRIES = "import('/static/js/store.js').then(store => store.all('entries'))"
LEASE = "import('/static/js/store.js').then(store => store.all('lease')).then(all => all.length)"


@pytest.fixture
def plain(tmp_path: Path, furnished: Path) -> Iterator[Shop]:
    """A shop that tablets reach by its name, over plain HTTP."""
    settings = Settings(tmp_path / "shop", port=free_port(), hosts=(NAME, "127.0.0.1"), in_the_clear=True)
    with running(settings.data, furnished, settings) as made:
        yield made


@pytest.fixture
def tablet(playwright: Playwright, plain: Shop) -> Iterator[BrowserContext]:
    """A browser to which the shop is a name on the network and not its own machine."""
    if not Path(CHROMIUM).exists():
        pytest.skip("no Chromium here")
    mapped = f"--host-resolver-rules=MAP {NAME} 127.0.0.1"
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", mapped])
    context = browser.new_context(viewport=TABLET)
    context.set_default_timeout(PATIENCE)
    yield context
    browser.close()


def tab(context: BrowserContext, shop: Shop) -> Desk:
    """One more tab of the tablet."""
    return Desk(context.new_page(), f"http://{NAME}:{shop.settings.port}", [])


def two_tabs(context: BrowserContext, shop: Shop, path: str = "") -> list[Page]:
    """Two tabs on one walk-round, which the tablet keeps, before the network goes."""
    walk = begun(shop.book)
    where = (
        f"/inspection/walks/{walk}/{path}"
        if path
        else f"/inspection/findings/{at(shop.book, walk, 'cp.latch').id}"
    )
    first, second = tab(context, shop), tab(context, shop)
    first.sign_in("Toni")
    for each in (first, second):
        each.go(where)
    keeps_all(first.page, 60)
    return [first.page, second.page]


def saves(context: BrowserContext) -> list[str]:
    """The submission key of every save that leaves this tablet from now on, in order."""
    found: list[str] = []

    def note(request: Request) -> None:
        key = re.search(r'name="submission"\s+([\w-]+)', request.post_data or "")
        if request.method == "POST" and "/inspection/findings/" in request.url and key:
            found.append(key[1])

    context.on("request", note)
    return found


def tapped_in_turn(tabs: list[Page]) -> list[int]:
    """Six checks made sound, each tab at checks of its own; their keys in the order of the taps."""
    counts = iter(range(1, 7))
    for tap in range(3):
        for page, nth in zip(tabs, (tap, -1 - tap), strict=True):
            page.click(f".station-sound >> nth={nth}")
            until(page, f"{ENTRIES}.then(all => all.length === {next(counts)})")
    actions = [str(each["action"]) for each in tabs[0].evaluate(ENTRIES)]
    return [int(action.rsplit("/", 1)[1]) for action in actions]


def test_the_page_is_insecure_and_has_no_lock(plain: Shop, tablet: BrowserContext) -> None:
    it = tab(tablet, plain)
    it.go("/people/sign-in")
    assert it.page.evaluate("[isSecureContext, navigator.locks === undefined, !navigator.serviceWorker]") == [
        False,
        True,
        True,
    ]


def test_two_tabs_send_each_save_once_and_in_the_order_of_the_taps(
    plain: Shop, tablet: BrowserContext
) -> None:
    tabs = two_tabs(tablet, plain, f"stations/{STATION}")
    tablet.set_offline(True)
    tapped = tapped_in_turn(tabs)
    assert len(set(tapped)) == 6
    keys = saves(tablet)
    tablet.set_offline(False)  # both tabs hear of it at once, and both begin to send
    for page in tabs:
        sent(page)
    assert kept_in_order(plain.book) == tapped
    assert set(Counter(keys).values()) == {1}
    assert len(keys) == 6


def test_a_tab_that_died_while_sending_is_followed_by_the_other(plain: Shop, tablet: BrowserContext) -> None:
    first, second = two_tabs(tablet, plain)
    hanging: list[Route] = []
    first.route("**/inspection/findings/*", lambda route: hanging.append(route))
    first.click(SOUND)
    until(first, f"{LEASE}.then(count => count === 1)")
    until(second, f"{ENTRIES}.then(all => all.map(each => each.state).join() === 'sending')")
    first.close()  # its lease is never given back; it ends by itself
    second.evaluate("import('/static/js/sender.js').then(sender => { sender.send({hurry: true}) })")
    sent(second)
    assert len(kept_in_order(plain.book)) == 1


def test_a_tab_that_slept_past_its_lease_does_not_end_the_others(plain: Shop, tablet: BrowserContext) -> None:
    first, second = two_tabs(tablet, plain)
    forever = (
        "import('/static/js/store.js')"
        ".then(store => { store.alone(() => new Promise(go => { window.go = go })) })"
    )
    first.evaluate(forever)
    until(first, f"{LEASE}.then(count => count === 1)")
    taken = (  # what stands in the book once another tab has taken a lease that had ended
        "import('/static/js/store.js').then(store =>"
        " store.put('lease', [{ name: 'outbox', holder: 'other', until: Date.now() + 60000 }]))"
    )
    second.evaluate(taken)
    first.evaluate("window.go()")
    first.wait_for_timeout(300)
    assert second.evaluate(LEASE) == 1


def test_the_page_that_is_open_queues_on_plain_http(plain: Shop, tablet: BrowserContext) -> None:
    first, _ = two_tabs(tablet, plain)
    tablet.set_offline(True)
    first.click(SOUND)
    until(first, f"{ENTRIES}.then(all => all.length === 1 && all[0].state === 'waiting')")
    assert "On this tablet only: 1 save" in first.inner_text("[data-outbox]")
    tablet.set_offline(False)
    sent(first)
    assert len(kept_in_order(plain.book)) == 1

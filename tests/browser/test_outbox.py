"""Nothing tapped on a tablet is lost: cut networks, a killed server, ended sign-ins, two tablets at once."""

import io
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Error, FilePayload, Page, Route
from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import photo_marks
from app.ground.acting import Act
from app.ground.book import open_book, reading
from app.ground.photos import read_photo
from app.ground.tables import PhotoMarks, Receipt
from app.inspection import steps, walking
from app.inspection.steps import Seen
from app.inspection.tables import Finding, FindingPhoto, Reading, Walk
from app.inspection.walking import CheckPage
from app.trade.figure import Grade
from tests.browser.conftest import Desk, Shop, free_port
from tests.conftest import act
from tests.inspection.walks import at, begun

Desks = Callable[..., Desk]
STORE = "import('/static/js/store.js').then(store => store.all('entries'))"
KEPT = "import('/static/js/store.js').then(store => store.all('kept')).then(all => all.length)"
LEFT = "document.querySelector('[data-outbox] summary b').textContent"
SOUND = '.five-key[value="sound"]'
WAITS = '.five-key[value="sound"][aria-pressed="true"] small:has-text("waiting")'
NOTHING_LEFT = (  # in the store too: a page that has just come shows no count yet
    "Promise.all([import('/static/js/store.js'), import('/static/js/queue.js')])"
    ".then(([store, queue]) => store.all('entries').then(all => queue.unsent(all).length === 0"
    " && document.querySelector('[data-outbox]').hidden))"
)


def on_tablet(it: Desk, path: str, name: str = "Toni") -> Page:
    """A page of the walk-round on a tablet that has kept the forms of the whole walk."""
    it.sign_in(name)
    it.go(path)
    return it.page


def until(page: Page, true: str, seconds: float = 120) -> None:
    """Wait until an expression is true; asked from outside, which the page's policy allows."""
    end = time.monotonic() + seconds
    while not holds(page, true):
        assert time.monotonic() < end, true
        page.wait_for_timeout(50)


def holds(page: Page, true: str) -> bool:
    """Whether an expression is true; of a page on its way to the next one nothing is."""
    try:
        return bool(page.evaluate(true))
    except Error as wrong:
        if "context was destroyed" not in wrong.message:
            raise
        return False


def keeps_all(page: Page, forms: int) -> None:
    """Wait until the tablet keeps so many pages."""
    until(page, f"{KEPT}.then(count => count >= {forms})")


def states(page: Page) -> list[str]:
    """The state of each entry of the outbox, in order."""
    return [str(each["state"]) for each in page.evaluate(STORE)]


def sent(page: Page) -> None:
    """Wait until nothing is on this tablet only."""
    until(page, NOTHING_LEFT)


def kept_in_order(book: Engine, since: int = 0) -> list[int]:
    """Keys of the findings recorded, in the order of their receipts."""
    with reading(book) as session:
        acts = (Receipt.act == steps.RECORD, col(Receipt.id) > since)
        found = select(Receipt.subject_id).where(*acts).order_by(col(Receipt.id))
        return list(session.exec(found))


def finding(book: Engine, key: int) -> Finding:
    with reading(book) as session:
        return session.get_one(Finding, key)


def picture() -> FilePayload:
    out = io.BytesIO()
    Image.effect_noise((320, 240), 40).convert("RGB").save(out, "JPEG")
    return {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


# Cut at five points


@dataclass
class Cut:
    """A network that breaks once, at one point of a save."""

    where: str
    cuts: int = 0
    reached: list[int] = field(default_factory=list)

    def __call__(self, route: Route) -> None:
        """Break the first save, let every other one through."""
        if route.request.method != "POST" or self.cuts:
            return route.continue_()
        self.cuts += 1
        return getattr(self, self.where)(route)  # type: ignore[no-any-return]

    def before_send(self, route: Route) -> None:
        """No way to the server."""
        route.abort("internetdisconnected")

    def while_sending(self, route: Route) -> None:
        """The connection is torn down with the form on its way."""
        route.abort("connectionreset")

    def after_the_commit(self, route: Route) -> None:
        """The server keeps it, its answer never arrives."""
        self.reached.append(route.fetch(max_redirects=0).status)
        route.abort("connectionreset")

    def within_the_answer(self, route: Route) -> None:
        """The save is answered; the page that it leads to is not."""
        self.reached.append(route.fetch(max_redirects=0).status)
        route.fulfill(status=502, body="cut off")

    def by_a_stranger(self, route: Route) -> None:
        """Something else on the network answers in the server's place, and keeps nothing."""
        route.fulfill(status=503, body="no gateway")


POINTS = ["before_send", "while_sending", "after_the_commit", "within_the_answer", "by_a_stranger"]


@pytest.mark.parametrize("where", POINTS)
def test_a_save_cut_off_anywhere_is_kept_once(shop: Shop, desk: Desks, where: str) -> None:
    walk, cut = begun(shop.book), Cut(where)
    row = at(shop.book, walk, "cp.latch")
    # A page under a service worker sends around what cuts it here, as soon as the worker has taken it over.
    page = on_tablet(desk(service_workers="block"), f"/inspection/findings/{row.id}")
    page.route(f"**/inspection/findings/{row.id}", cut)
    page.click(SOUND)
    until(page, f"{STORE}.then(all => all.length > 0)")
    sent(page)
    assert cut.cuts == 1
    assert cut.reached in ([], [303])
    assert kept_in_order(shop.book) == [row.id]  # once, though it was sent twice
    assert at(shop.book, walk, "cp.latch").grade == "sound"
    assert states(page) == ["saved"]


# Without the network


def test_a_tap_shows_that_it_waits_and_the_next_check_is_there(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    first = at(shop.book, walk, "cp.latch")
    it = desk()
    page = on_tablet(it, f"/inspection/findings/{first.id}")
    keeps_all(page, 60)
    page.context.set_offline(True)
    page.evaluate(SEES_MARK)
    page.click(SOUND)
    page.wait_for_url(lambda url: not url.endswith(f"/{first.id}"))
    assert page.evaluate("window.marked") == "waiting"  # seen before the page moved on
    assert page.inner_text("h1") != "Latch and pin"
    assert page.evaluate(LEFT) == "1"
    assert finding(shop.book, first.key).grade == "unseen"
    page.context.set_offline(False)
    sent(page)
    assert finding(shop.book, first.key).grade == "sound"


SEES_MARK = """() => {
  const key = document.querySelector('.five-key[value="sound"]');
  const seen = () => { window.marked ??= key.querySelector('small')?.textContent; };
  new MutationObserver(seen).observe(key, { childList: true });
}"""


def test_nothing_moves_under_the_hand_when_a_save_waits(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "cp.latch")
    page = on_tablet(desk(viewport={"width": 820, "height": 1180}), f"/inspection/findings/{row.id}")
    stands = "document.querySelector('.walk-line').getBoundingClientRect().top"
    before = page.evaluate(stands)
    page.context.set_offline(True)
    page.click(SOUND)
    page.wait_for_selector("[data-outbox] summary")
    assert page.inner_text("[data-outbox] summary").startswith("1 to send")
    assert page.evaluate(stands) == before


def test_the_page_loads_again_without_the_network_with_what_waits(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    first = at(shop.book, walk, "cp.latch")
    page = on_tablet(desk(), f"/inspection/findings/{first.id}")
    keeps_all(page, 60)
    until(page, "caches.open('files').then(files => files.keys()).then(all => all.length > 8)")
    page.context.set_offline(True)
    page.click(SOUND)
    page.wait_for_url(lambda url: not url.endswith(f"/{first.id}"))
    there = (page.url, page.inner_text("h1"))
    page.reload()
    until(page, "document.querySelector('[data-outbox] summary b').textContent === '1'")
    until(page, f"document.querySelector('h1').innerText === {there[1]!r}")
    assert page.url == there[0]
    page.context.set_offline(False)
    sent(page)
    assert finding(shop.book, first.key).grade == "sound"


def test_a_slow_answer_is_waited_for_where_nothing_is_kept(
    shop: Shop, desk: Desks, monkeypatch: pytest.MonkeyPatch
) -> None:
    walk = begun(shop.book)
    it = desk()
    it.sign_in("Toni")
    assert it.page.evaluate("navigator.serviceWorker.ready.then(({ active }) => active !== null)")
    until(it.page, "navigator.serviceWorker.controller !== null")
    until(it.page, "caches.keys().then(all => !all.includes('pages'))")
    shown = walking.check_page

    def late(session: Session, key: int) -> CheckPage | None:
        time.sleep(7)  # longer than the worker waits where it has a page to show instead
        return shown(session, key)

    monkeypatch.setattr(walking, "check_page", late)
    it.go(f"/inspection/findings/{at(shop.book, walk, 'cp.latch').id}")
    assert it.page.inner_text("h1") == "Latch and pin"


def test_the_same_check_twice_without_the_network_ends_as_it_was_said_last(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    first = at(shop.book, walk, "cp.latch")
    page = on_tablet(desk(), f"/inspection/findings/{first.id}")
    keeps_all(page, 60)
    page.context.set_offline(True)
    page.click(SOUND)
    page.wait_for_url(lambda url: not url.endswith(f"/{first.id}"))
    page.go_back()
    page.wait_for_selector(WAITS)
    page.click('.five-key[value="watch"]')
    until(page, f"{LEFT} === '2'")
    page.context.set_offline(False)
    sent(page)
    row = finding(shop.book, first.key)
    assert (row.grade, row.revision) == ("watch", 2)


def test_what_closes_a_safety_matter_never_waits_and_keeps_what_was_typed(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "cp.latch")
    steps.record_finding(
        shop.book, act(1), row.key, Seen(grade=None, seen=(), readings={}, note="", reason="")
    )
    with reading(shop.book) as session:
        seen = session.get_one(Finding, row.key)
    second = steps.begin_second_look(shop.book, act(3), seen.key)
    page = on_tablet(desk(), f"/inspection/findings/{second}")
    page.click(".walk-more summary")
    page.fill("#note", "opened and shut ten times")
    page.context.set_offline(True)
    page.click(SOUND)
    until(page, "document.getElementById('told').textContent.startsWith('A second look was not saved')")
    assert page.input_value("#note") == "opened and shut ten times"
    assert states(page) == []
    page.context.set_offline(False)
    page.click(SOUND)
    page.wait_for_selector('.five-key[value="sound"][aria-pressed="true"]')
    assert finding(shop.book, second).grade == "sound"
    assert finding(shop.book, second).note == "opened and shut ten times"


def test_a_save_that_is_refused_later_asks_and_is_opened_with_what_was_typed(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "ti.tread", "tire-1-left")
    page = on_tablet(desk(), f"/inspection/findings/{row.id}")
    keeps_all(page, 60)
    page.context.set_offline(True)
    page.fill("#reading-least", "900")  # a tire has no groove of 900/32 in
    page.set_input_files("#photo", [picture()])
    page.click(SOUND)
    page.wait_for_url(lambda url: not url.endswith(f"/{row.id}"))
    page.context.set_offline(False)
    until(page, "document.querySelector('[data-told]').textContent.includes('1 asks a question')")
    assert page.inner_text("[data-outbox] summary").startswith("1 asks you")  # it does not go by itself
    page.click("[data-outbox] summary")
    page.click("[data-outbox] li >> text=Open")
    page.wait_for_selector("#fixes")
    assert page.input_value("#reading-least") == "900"
    page.fill("#reading-least", "9")
    page.click(SOUND)
    sent(page)
    assert finding(shop.book, row.key).grade == "sound"
    with reading(shop.book) as session:
        assert len(session.exec(select(FindingPhoto)).all()) == 1


ASKING = """Promise.all(['store', 'sender'].map(name => import(`/static/js/${name}.js`))).then(
  ([store, sender]) => store.put('entries', [1, 2].map(made => ({
    key: `asks-${made}`, person: sender.me.person, action: '/inspection/findings/1', page: '/',
    label: 'Tread', fields: [], photos: [], made, state: 'asks', says: 'Too deep', tries: 1, due: 0,
  }))).then(() => sender.changed()))"""
FOCUSED = "(document.activeElement.id || document.activeElement.innerText)"


def test_what_is_thrown_away_leaves_the_keyboard_in_the_list_and_after_the_last_at_the_work(
    shop: Shop, desk: Desks
) -> None:
    """A focus on what is gone would begin the page anew (WCAG 2.2, 2.4.3)."""
    page = on_tablet(desk(), "/")
    page.evaluate(ASKING)
    page.click("[data-outbox] summary")
    for left, then in (
        (1, "1 asks"),
        (0, "main"),
    ):  # what opens the list; the work
        page.locator("[data-outbox] li button", has_text="Throw away").last.focus()
        page.keyboard.press("Enter")
        page.keyboard.press("Enter")
        until(page, f"document.querySelectorAll('[data-outbox] li').length === {left}", 20)
        assert page.evaluate(FOCUSED).startswith(then)


SLOW_STORE = """import('/static/js/store.js').then(store => { store.within('entries', 'readwrite', rows => {
  const end = performance.now() + 1500;
  const again = () => { if (performance.now() < end) rows.get(0).onsuccess = again; };
  again();
}); })"""  # what is written on the tablet waits so long, as behind large photos
SAVED = f"{STORE}.then(all => all.filter(each => each.state === 'saved').length)"


def test_a_page_left_at_once_waits_until_the_tablet_has_what_was_saved(shop: Shop, desk: Desks) -> None:
    """The network is quick, the tablet is not: neither a link nor a reload leaves the save behind."""
    row, asked = at(shop.book, begun(shop.book), "cp.latch"), []
    page = on_tablet(desk(), f"/inspection/findings/{row.id}")
    page.on("dialog", lambda it: (asked.append(it.type), it.dismiss()))
    page.evaluate(SLOW_STORE)
    page.click(SOUND)
    page.click(".ways a:has-text('Yard')")
    page.wait_for_url(lambda url: url.endswith("/"))
    until(page, f"{SAVED}.then(count => count === 1)")
    assert (finding(shop.book, row.key).grade, asked) == ("sound", [])
    page.goto(f"{shop.address}/inspection/findings/{row.id}")
    page.evaluate(SLOW_STORE)
    page.click('.five-key[value="watch"]')
    page.evaluate("location.reload()")
    until(page, f"{SAVED}.then(count => count === 2)")
    assert (finding(shop.book, row.key).grade, asked) == ("watch", ["beforeunload"])


# Typed and not saved


DRAFTED = (
    "import('/static/js/store.js').then(store => store.all('drafts'))"
    ".then(all => JSON.stringify(all.map(each => each.fields)).includes('inner edge'))"
)


def test_what_is_typed_is_back_after_a_reload_with_its_photo(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "ti.tread", "tire-1-left")
    page = on_tablet(desk(), f"/inspection/findings/{row.id}")
    page.set_input_files("#photo", [picture()])
    page.fill("#reading-least", "7")
    page.keyboard.press("Escape")  # the pad away
    page.click(".walk-more summary")
    page.fill("#note", "worn on the inner edge")
    until(page, DRAFTED)
    page.reload()
    page.wait_for_selector("[data-draft-said]:not([hidden])")
    assert page.input_value("#reading-least") == "7"
    assert page.input_value("#note") == "worn on the inner edge"
    assert page.inner_text("[data-photos-said]") == "1 to be saved"
    page.click(SOUND)
    until(page, f"{STORE}.then(all => all.length === 1)")
    sent(page)
    page.reload()
    until(page, "document.querySelectorAll('[data-outbox] li').length === 1")  # listed after drafts are back
    assert page.locator("[data-draft-said]:not([hidden])").count() == 0
    assert finding(shop.book, row.key).note == "worn on the inner edge"


def test_a_sign_in_that_ends_in_the_middle_loses_nothing(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "cp.latch")
    it = desk()
    page = on_tablet(it, f"/inspection/findings/{row.id}")
    page.click(".walk-more summary")
    page.fill("#note", "rust on the pin")
    with shop.book.begin() as connection:  # as after 12 hours: it has run out, nobody ended it
        connection.exec_driver_sql("UPDATE signin SET ends_at = '2026-01-01 00:00:00'")
    page.click(SOUND)
    until(page, "document.querySelector('[data-told]').textContent.includes('Sign in again')")
    assert finding(shop.book, row.key).grade == "unseen"
    it.sign_in("Toni")
    sent(page)
    kept = finding(shop.book, row.key)
    assert (kept.grade, kept.note) == ("sound", "rust on the pin")


# Two tablets on one unit


def test_each_tablet_sees_within_seconds_what_the_other_finished(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "cp.latch")
    one, other = desk(), desk()
    listing = on_tablet(one, f"/inspection/walks/{walk}/stations/{row.station}")
    form = on_tablet(
        other, f"/inspection/findings/{at(shop.book, walk, 'ti.tread', 'tire-1-left').id}", "Lee"
    )
    form.fill("#reading-least", "8")
    for page in (listing, form):
        keeps_all(page, 1)  # it has asked once, so it knows what is new after that
    steps.record_finding(shop.book, act(2), row.key, Seen(grade=None, readings={}, note="seen"))
    until(listing, "document.getElementById('told').textContent.includes('Wren: Latch and pin')")
    until(form, "document.getElementById('told').textContent.includes('Wren: Latch and pin')")
    assert form.input_value("#reading-least") == "8"  # a form in hand stays as it is


def test_what_is_saved_before_a_page_first_asks_is_told_all_the_same(shop: Shop, desk: Desks) -> None:
    """The first ask is held back until another tablet has saved: nothing falls between page and ask."""
    walk, it = begun(shop.book), desk()
    row = at(shop.book, walk, "cp.latch")
    it.sign_in("Toni")
    saved: list[int] = []

    def first_asks(route: Route) -> None:
        if not saved:
            saved.append(steps.record_finding(shop.book, act(2), row.key, Seen(grade=Grade.SOUND)))
        route.continue_()

    it.page.route("**/news?*", first_asks)
    it.go(f"/inspection/walks/{walk}/stations/{row.station}")
    until(it.page, "document.getElementById('told').textContent.includes('Wren: Latch and pin')")
    until(it.page, f"document.querySelector('#f{row.id} a').dataset.state === 'sound'")  # the list too
    assert saved == [row.key]


def test_what_stood_before_a_page_was_made_is_no_news(shop: Shop, desk: Desks) -> None:
    walk, it = begun(shop.book), desk()
    row = at(shop.book, walk, "cp.latch")
    steps.record_finding(shop.book, act(2), row.key, Seen(grade=Grade.SOUND))
    page = on_tablet(it, f"/inspection/walks/{walk}/stations/{row.station}")
    keeps_all(page, 1)  # it has asked once
    assert page.inner_text("#told") == ""


def test_a_conflict_is_settled_line_by_line_with_the_keyboard(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "ti.tread", "tire-1-left")
    page = on_tablet(desk(), f"/inspection/findings/{row.id}")
    steps.record_finding(shop.book, act(1), row.key, Seen(readings={"least": "6"}, note="from the left"))
    page.fill("#reading-least", "7")
    page.keyboard.press("Escape")  # the pad away
    page.click(".walk-more summary")
    page.fill("#note", "mine")
    page.click(".walk-says >> text=Save reading")
    page.wait_for_selector("table.both")
    page.focus('input[name="take-reading-least"]:checked')
    page.keyboard.press("ArrowUp")  # from one's own to the book's
    page.focus('.both ~ p button[value="lines"]')
    page.keyboard.press("Enter")
    page.wait_for_selector("table.both", state="detached")
    sent(page)
    kept = finding(shop.book, row.key)
    with reading(shop.book) as session:
        said = session.exec(select(Reading.typed).where(Reading.finding_id == row.key)).one()
    assert (said, kept.note, kept.revision) == ("6", "mine", 2)


def test_without_script_a_conflict_is_settled_line_by_line_too(shop: Shop, desk: Desks) -> None:
    walk = begun(shop.book)
    row = at(shop.book, walk, "ti.tread", "tire-1-left")
    it = desk(java_script_enabled=False)
    page = on_tablet(it, f"/inspection/findings/{row.id}")
    steps.record_finding(shop.book, act(1), row.key, Seen(readings={"least": "6"}, note="from the left"))
    page.fill("#reading-least", "7")
    it.press(".walk-says >> text=Save reading")
    page.check('.both input[name="take-note"][value="note"]')
    it.press('.both ~ p button[value="lines"]')
    with reading(shop.book) as session:
        said = session.exec(select(Reading.typed).where(Reading.finding_id == row.key)).one()
    assert (said, finding(shop.book, row.key).note) == ("7", "from the left")


# A server that is killed


@dataclass
class Program:
    """The program as a shop runs it, in a process of its own, to be killed and started again."""

    folder: Path
    port: int
    process: subprocess.Popen[bytes] | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def begin(self) -> None:
        command = [sys.executable, "-m", "app", "serve", "--data", str(self.folder), "--port", str(self.port)]
        self.process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        for _ in range(900):
            try:
                urllib.request.urlopen(f"{self.address}/people/sign-in").close()
                return
            except OSError:
                time.sleep(0.1)
        raise AssertionError(self.address)

    def kill(self) -> None:
        assert self.process is not None
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def program(tmp_path: Path, furnished: Path) -> Iterator[Program]:
    """A furnished shop served by the command line."""
    made = Program(tmp_path / "killed", free_port())
    made.folder.mkdir()
    shutil.copy(furnished, made.folder / "castlenut.db")
    yield made
    if made.process and made.process.poll() is None:
        made.kill()


def test_fifty_saves_and_twenty_photos_outlive_a_killed_server_and_arrive_once_in_order(
    program: Program, contexts: Callable[..., BrowserContext]
) -> None:
    book = open_book(program.folder / "castlenut.db")
    walk = begun(book)
    with reading(book) as session:
        plain = select(Finding).where(Finding.walk_id == walk).order_by(col(Finding.id))
        first = next(row for row in session.exec(plain) if row.check == "cp.latch")
    program.begin()
    page = contexts().new_page()
    it = Desk(page, program.address, [])
    on_tablet(it, f"/inspection/findings/{first.id}")
    keeps_all(page, first.key + 70)
    program.kill()
    until(page, "import('/static/js/sender.js').then(({ reach }) => !reach.there)")  # it asks every 3 s
    for number in range(50):
        before = page.url
        if number < 20:
            page.set_input_files("#photo", [picture()])
        page.click(SOUND)
        until(page, f"{LEFT} === '{number + 1}'")
        until(page, f"location.href !== '{before}'")
    entries = page.evaluate(STORE)
    said = [int(each["action"].rsplit("/", 1)[1]) for each in entries]
    assert (len(said), sum(len(each["photos"]) for each in entries)) == (50, 20)
    program.begin()
    until(page, f"{STORE}.then(all => all.every(each => each.state === 'saved' || each.state === 'asks'))")
    asking = {
        int(each["action"].rsplit("/", 1)[1]) for each in page.evaluate(STORE) if each["state"] == "asks"
    }
    arrived = kept_in_order(book)
    assert arrived == [key for key in said if key not in asking]
    assert len(arrived) == len(set(arrived))
    with reading(book) as session:
        photos = [row.finding_id for row in session.exec(select(FindingPhoto))]
    assert sorted(photos) == sorted(key for key in said[:20] if key not in asking)
    book.dispose()


# Marks on a photo


def marking(shop: Shop, it: Desk) -> tuple[Page, int]:
    """The page of a photo that a finding holds, and the key of the finding."""
    row = at(shop.book, begun(shop.book), "cp.latch")
    seen = Seen(grade=Grade.SOUND, photos=(read_photo(picture()["buffer"]),))
    steps.record_finding(shop.book, act(3), row.key, seen, shop.settings.files)
    page = on_tablet(it, f"/inspection/findings/{row.key}")
    page.click(".walk-photos > .photo")
    page.wait_for_selector(".photo-tools:visible")
    return page, row.key


def draw(page: Page, tool: str, *points: tuple[int, int]) -> None:
    """Mark the photo with a tool, by taps."""
    page.click(f'label:has([name="tool"][value="{tool}"])')
    for x, y in points:
        page.locator(".photo-whole .photo-marks").click(position={"x": x, "y": y})


def layers(book: Engine) -> list[list[str]]:
    """What was drawn in each layer kept so far, in order."""
    with reading(book) as session:
        rows = session.exec(select(PhotoMarks).order_by(col(PhotoMarks.id)))
        return [[mark["kind"] for mark in row.marks] for row in rows]


SAVE_MARKS = "text=Save the marks"


def test_marks_drawn_without_the_network_wait_and_arrive_once(shop: Shop, desk: Desks) -> None:
    it = desk()
    page, _ = marking(shop, it)
    page.context.set_offline(True)
    draw(page, "arrow", (60, 60), (160, 120))
    page.click(SAVE_MARKS)
    page.wait_for_selector("[data-waits-said]:has-text('On this tablet only')")
    assert layers(shop.book) == []
    draw(page, "crack", (80, 80))
    page.click(SAVE_MARKS)
    until(page, f"{LEFT} === '2'")
    page.context.set_offline(False)
    sent(page)
    assert layers(shop.book) == [["arrow"], ["arrow", "label"]]
    until(page, "document.querySelector('main form').elements.revision.value === '2'")
    assert page.locator(".photo-whole .photo-marks path").count() == 2


def test_marks_that_wait_are_on_the_photo_again_after_a_reload(shop: Shop, desk: Desks) -> None:
    it = desk()
    page, _ = marking(shop, it)
    page.route("**/marks", lambda route: route.abort("connectionreset"))
    draw(page, "arrow", (60, 60), (160, 120))
    page.click(SAVE_MARKS)
    page.wait_for_selector("[data-waits-said]:has-text('On this tablet only')")
    page.reload()
    page.wait_for_selector("[data-waits-said]:has-text('On this tablet only')")
    until(page, "document.querySelectorAll('.photo-whole .photo-marks path').length === 2")
    draw(page, "crack", (80, 80))
    page.click(SAVE_MARKS)
    until(page, f"{LEFT} === '2'")
    page.unroute("**/marks")
    page.reload()
    sent(page)
    assert layers(shop.book) == [["arrow"], ["arrow", "label"]]


def test_marks_not_saved_yet_are_back_after_a_reload(shop: Shop, desk: Desks) -> None:
    page, _ = marking(shop, desk())
    draw(page, "leak", (80, 80))
    until(page, "import('/static/js/store.js').then(s => s.all('drafts')).then(all => all.length === 1)")
    page.reload()
    page.wait_for_selector("[data-draft-said]:visible")
    page.click(SAVE_MARKS)
    sent(page)
    until(page, "document.querySelector('main form').elements.revision.value === '1'")
    assert layers(shop.book) == [["label"]]


@pytest.mark.parametrize("plain", [False, True])
def test_marks_saved_and_left_at_once_arrive_from_the_page_that_comes_next(
    shop: Shop, desk: Desks, monkeypatch: pytest.MonkeyPatch, plain: bool
) -> None:
    """Save and then Back, before the book has it; `plain`: as over HTTP, without locks."""
    keep, began = photo_marks.keep_marks, []

    def late(book: Engine, made: Act, photo: int, layer: str) -> int:
        began.append(made.submission)
        time.sleep(1)
        return keep(book, made, photo, layer)

    it = desk()
    if plain:
        it.page.add_init_script("Object.defineProperty(navigator, 'locks', { value: undefined })")
    page, finding_key = marking(shop, it)
    monkeypatch.setattr(photo_marks, "keep_marks", late)
    draw(page, "arrow", (60, 60), (160, 120))
    page.click(SAVE_MARKS)
    page.click("text=Back >> nth=0")
    page.wait_for_url(f"**/inspection/findings/{finding_key}")
    sent(page)
    assert (layers(shop.book), len(set(began))) == ([["arrow"]], 1)
    page.reload()
    page.wait_for_selector('.walk-photos img[alt*="marked with an arrow"]')


def test_a_tap_after_a_save_sets_one_mark(shop: Shop, desk: Desks) -> None:
    """The saved form is morphed into place: it must not listen twice."""
    page, _ = marking(shop, desk())
    draw(page, "crack", (80, 80))
    page.click(SAVE_MARKS)
    until(page, "document.querySelector('main form').elements.revision.value === '1'")
    draw(page, "leak", (120, 90))
    page.click(SAVE_MARKS)
    until(page, "document.querySelector('main form').elements.revision.value === '2'")
    assert layers(shop.book) == [["label"], ["label", "label"]]


def test_marks_that_came_too_late_are_shown_beside_those_that_came_first(shop: Shop, desk: Desks) -> None:
    it = desk()
    page, _ = marking(shop, it)
    page.context.set_offline(True)
    draw(page, "leak", (80, 80))
    page.click(SAVE_MARKS)
    until(page, f"{LEFT} === '1'")
    photo_marks.keep_marks(shop.book, act(1), 1, '[{"kind":"circle","at":[500,300],"to":[600,300]}]')
    page.context.set_offline(False)
    until(page, f"{STORE}.then(all => all[0].state === 'asks')")
    page.click("[data-outbox] summary")
    page.click(".outbox button:has-text('Open')")
    page.wait_for_selector("#fixes:has-text('Lee saved first')")
    assert page.locator(".theirs-pair p").all_inner_texts() == [
        "In the book now: marked with a circle",
        "Yours, not saved: marked with leak",
    ]
    page.check('[name="take-layer"][value=""]')
    page.click(SAVE_MARKS)
    sent(page)
    assert layers(shop.book) == [["circle"], ["label"]]


# What never waits


def test_a_walk_round_is_not_ended_without_the_network_and_nothing_of_it_waits(
    shop: Shop, desk: Desks
) -> None:
    """Safety closures never go through the outbox: the key says so, and ends the walk once it is back."""
    walk = begun(shop.book)
    address = f"/inspection/walks/{walk}/sum-up"
    page = on_tablet(desk(), address)
    page.context.set_offline(True)
    page.click("button:has-text('End the walk-round')")
    said = page.locator(".station-keys .key-refused")
    said.wait_for()
    assert "The walk-round was not ended: it needs the shop's computer" in said.inner_text()
    assert "which does not answer" in page.inner_text("#told")  # heard by a reader
    box, high = said.bounding_box(), page.viewport_size
    assert box and high and box["y"] + box["height"] <= high["height"]  # seen without scrolling
    assert page.url.endswith(address)
    assert holds(page, f"{STORE}.then(all => all.length === 0)")
    with reading(shop.book) as session:
        assert session.get_one(Walk, walk).ended_at is None
    page.context.set_offline(False)
    page.click("button:has-text('End the walk-round')")
    page.wait_for_selector(".station-name b:has-text('Ended')")
    with reading(shop.book) as session:
        assert session.get_one(Walk, walk).ended_at is not None


def test_a_walk_round_is_not_ended_before_what_waits_on_the_tablet_has_gone(shop: Shop, desk: Desks) -> None:
    """What is still on its way would otherwise be missing from what the ended walk lifts."""
    walk = begun(shop.book)
    first = at(shop.book, walk, "cp.latch")
    page = on_tablet(desk(), f"/inspection/findings/{first.id}")
    keeps_all(page, 60)
    page.context.route("**/inspection/findings/*", lambda route: held_back(route))
    page.click(SOUND)
    until(page, f"{LEFT} === '1'")
    page.goto(page.url.split("/inspection")[0] + f"/inspection/walks/{walk}/sum-up")
    page.click("button:has-text('End the walk-round')")
    page.wait_for_selector(".station-keys .key-refused:has-text('Those go first')")
    with reading(shop.book) as session:
        assert session.get_one(Walk, walk).ended_at is None
    page.context.unroute_all()
    sent(page)
    page.click("button:has-text('End the walk-round')")
    page.wait_for_selector(".station-name b:has-text('Ended')")


def held_back(route: Route) -> None:
    """What is posted is lost on the way; what is read comes."""
    if route.request.method == "POST":
        route.abort()
    else:
        route.continue_()

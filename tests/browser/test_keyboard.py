"""The whole main job by the keyboard alone: no pointer, no click from script; every stop of Tab is seen."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date

import pytest
from playwright.sync_api import FilePayload, Page

from app.bench.rules import NewInstrument
from app.bench.steps import keep_instrument
from tests.browser.conftest import Desk, Shop
from tests.browser.main_job import FORM
from tests.browser.test_outbox import until
from tests.conftest import act
from tests.whole.filling import picture

Desks = Callable[..., Desk]
MOST_STOPS = 160  # Tabs to a control of one page; more is no way to work

HERE = """() => {
  const it = document.activeElement;
  if (!it || it === document.body) return null;
  const shown = it.matches('[type=checkbox], [type=radio], [type=file]') && it.closest('label') || it;
  const box = shown.getBoundingClientRect();
  const rings = [it, shown, it.parentElement].map((each) => getComputedStyle(each));
  const ring = [...rings, getComputedStyle(it, '::after')];
  const drawn = [...it.querySelectorAll('.hit')].map((hit) => parseFloat(getComputedStyle(hit).strokeWidth));
  const [x, y] = [box.left + box.width / 2, Math.min(box.top + box.height / 2, innerHeight - 1)];
  const over = document.elementFromPoint(Math.min(Math.max(x, 0), innerWidth - 1), Math.max(y, 0));
  return {
    what: `${it.tagName} ${it.id || it.name || it.textContent.trim().slice(0, 40)}`,
    ringed: ring.some((style) => style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2)
      || drawn.some((width) => width >= 4),
    by: over ? over.tagName + "." + over.className : "",
    seen: box.bottom > 0 && box.top < innerHeight && !!over && (shown.contains(over) || over.contains(shown)),
  };
}"""
IS = """([css, text]) => {
  const it = document.activeElement;
  return it.matches(css) && it.textContent.includes(text);
}"""


@dataclass
class Hands:
    """A person without a mouse in front of a page. `unseen`: stops of Tab that could not be seen."""

    desk: Desk
    unseen: list[str] = field(default_factory=list)

    @property
    def page(self) -> Page:
        """The page in front of them."""
        return self.desk.page

    def sign_in(self, name: str) -> None:
        """Sign in as at any door."""
        self.desk.sign_in(name)

    def to(self, css: str, text: str = "") -> None:
        """Tab to a control, looking at each stop on the way."""
        for _ in range(MOST_STOPS):
            if self.page.evaluate(IS, [css, text]):
                return
            self.page.keyboard.press("Tab")
            self._look()
        raise AssertionError(f"{css} {text} is not reached on {self.page.url}")

    def _look(self) -> None:
        it = self.page.evaluate(HERE)
        if it and not (it["ringed"] and it["seen"]):
            self.unseen.append(f"{self.page.url}: {it}")

    def press(self, css: str, text: str = "") -> None:
        """Tab to a key or link and press Enter."""
        self.to(css, text)
        self.page.keyboard.press("Enter")

    def write(self, name: str, text: str) -> None:
        """Tab to a field and type over what stands there."""
        self.to(f'[name="{name}"]')
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)

    def tick(self, css: str, *, on: bool = True) -> None:
        """Tab to a check box, and Space where it stands otherwise."""
        self.to(css)
        if self.page.evaluate("document.activeElement.checked") != on:
            self.page.keyboard.press("Space")

    def choose(self, name: str, value: str) -> None:
        """Tab to a row of choices and go along it with the arrows."""
        self.to(f'[name="{name}"]')
        self.page.keyboard.press("Space")
        for _ in range(20):
            if self.page.evaluate("document.activeElement.value") == value:
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError(f"{name} never comes to {value}")

    def pick(self, name: str, starts: str) -> None:
        """Tab to a list and go down it to a line."""
        self.to(f'select[name="{name}"]')
        for _ in range(60):
            if self.page.evaluate("document.activeElement.selectedOptions[0].text").startswith(starts):
                return
            self.page.keyboard.press("ArrowDown")
        raise AssertionError(f"{name} has no {starts}")

    def stands(self, css: str) -> None:
        """What a save left is there, and the keyboard has not lost its place on the page."""
        self.page.wait_for_selector(css)
        until(self.page, "document.activeElement !== document.body")


@pytest.fixture
def wrench(shop: Shop) -> None:
    """The shop has a wrench that is in date."""
    calibrated = date(2026, 1, 1), date(2099, 1, 1)
    new = NewInstrument("Wrench 2", "torque wrench", "lbf_ft", "30", "250", "1", *calibrated, active=True)
    keep_instrument(shop.book, act(), new)


PHOTO = FilePayload(name="nut.jpg", mimeType="image/jpeg", buffer=picture())


def take_in(writer: Hands) -> None:
    """Find first, then all new, on one page."""
    writer.press("a", "Take in a unit")
    writer.page.wait_for_url("**/intake")
    writer.press("a", "New owner and new unit")
    writer.page.wait_for_url("**/intake/new**")
    write_all(writer, "concerns", "keys", "stands", "name", "phone")
    writer.choose("kind", "utility")
    writer.pick("vin_kind", "No number found")
    write_all(writer, "maker", "model", "year")
    writer.choose("axles", "1")
    write_all(writer, "gvwr")
    writer.tick('[name="spare"]', on=False)
    write_all(writer, "gawr-1", "tire_size", "tire_pressure", "stud_thread", "stud_count")
    write_all(writer, "torque_low", "torque_high", "torque_source")
    writer.choose("brakes_required", "no")
    writer.press("button", "Take it in")
    writer.page.wait_for_url("**/orders/1")


def write_all(writer: Hands, *names: str) -> None:
    """Type the main job's texts, in the order of the page."""
    for name in names:
        writer.write(name, FORM[name])


def walk_round(technician: Hands) -> None:
    """A reading that is do not tow, with its photo; a reading that is sound; a latch in one key."""
    page = technician.page
    technician.desk.go("/orders/1")
    technician.press("a", "Begin the walk-round")
    page.wait_for_url("**/inspection/**")
    technician.press("main button", "")
    page.wait_for_selector(".walk-line")
    open_check(technician, 5, "Nut torque, left wheel, axle 1")
    technician.to('[type="file"]')
    page.set_input_files('[type="file"]', PHOTO)  # what Space opens is the system's own window
    technician.write("reading-least", "60")
    technician.press(".walk-says button[name=save]")
    technician.stands('[data-proposed][value="dnt"]')
    page.wait_for_selector("text=1 kept")
    open_check(technician, 3, "Nut torque, right wheel, axle 1")
    technician.write("reading-least", "100")
    technician.press('button[name="grade"][value="sound"]')
    technician.stands('[aria-pressed="true"][value="sound"]:not(:has-text("waiting"))')
    open_check(technician, 2, "Latch and pin")
    technician.press('button[name="grade"][value="sound"]')
    technician.stands('[aria-pressed="true"][value="sound"]:not(:has-text("waiting"))')
    technician.press('button[name="go"]')
    until(page, "!document.querySelector('h1').textContent.includes('Latch')")
    technician.desk.go("/inspection/walks/1/sum-up")
    technician.press("button", "End the walk-round")
    page.wait_for_selector(".station-name b:has-text('Ended')")


def open_check(technician: Hands, station: int, name: str) -> None:
    """Open a check from the list of its station."""
    technician.desk.go(f"/inspection/walks/1/stations/{station}")
    technician.press(".station-list a", name)
    technician.page.wait_for_selector("form.walk")


def price_and_agree(writer: Hands) -> None:
    """Priced by one key, a work typed by hand, shown, agreed with a typed name: nothing has to be drawn."""
    page = writer.page
    writer.desk.go("/estimate/1")
    writer.press("button", "Price the findings")
    page.wait_for_selector("text=Torque all wheel nuts")
    writer.press("button", "Show it to the owner")
    page.wait_for_url("**/estimate/1/consent")
    writer.choose("say-1", "yes")
    writer.choose("how", "tablet")
    writer.write("who", "Rosalind Achterberg")
    writer.press("button", "Keep my answers")
    page.wait_for_url("**/estimate/1")


def work(technician: Hands) -> None:
    """The agreed work becomes a job; each wheel gets its record; the job is finished."""
    page = technician.page
    technician.desk.go("/bench/orders/1")
    technician.press("button", "Open 1 job")
    page.wait_for_selector(".job-row")
    technician.press(".job-row")
    page.wait_for_url("**/bench/jobs/1")
    technician.press("button", "Begin this job")
    page.wait_for_selector("text=Finish this job")
    for side in ("left", "right"):
        technician.desk.go(f"/bench/jobs/1/records/wheel_torque/wheel-1-{side}")
        for nut in range(1, 6):
            for number in (1, 2):
                technician.tick(f'[name="pass-{number}-{nut}"]')
            technician.write(f"r-{nut}", "105")
        technician.tick('[name="checked"]')
        technician.pick("instrument", "Wrench 2")
        technician.press("button", "Keep this wheel's torque")
        page.wait_for_url("**/bench/jobs/1*")
    technician.press("button", "Finish this job")
    page.wait_for_selector("text=Go to the findings")


def clear_and_check(lead: Hands) -> None:
    """The lead clears the finding by its record and makes the final check."""
    page = lead.page
    lead.desk.go("/bench/orders/1")
    lead.press("a", "Clear this finding")
    page.wait_for_url("**/clear")
    lead.choose("how", "record")
    with page.expect_navigation():
        lead.press("button", "Clear this finding")
    page.wait_for_selector("text=Cleared")
    lead.desk.go("/handover/1")
    for name in page.eval_on_selector_all(".handover-item", "all => all.map((it) => it.id)"):
        lead.choose(name, "yes")
    lead.press("button", "Keep the final check")
    page.wait_for_selector("text=Read it out again")


def bill_and_hand_over(writer: Hands) -> None:
    """Billed, paid, handed over with a signature on the sheet of paper."""
    page = writer.page
    writer.desk.go("/accounts/orders/1")
    writer.press("button", "Make the invoice")
    page.wait_for_url(re.compile("/papers/coming/|#bills"), wait_until="commit")  # as soon as it is printed
    writer.desk.go("/handover/1")
    writer.choose("leaves", "towed")
    writer.write("taken_by", "Rosalind Achterberg")
    if page.query_selector('[name="unseen_reason"]'):
        writer.write("unseen_reason", "Only the wheels were asked for.")
    writer.tick('[name="on_paper"]')
    writer.press("button", "Hand it over and print")
    page.wait_for_selector('a:has-text("Open the handover")')


def test_the_main_job_is_done_without_a_mouse_and_every_stop_is_seen(
    desk: Desks, shop: Shop, wrench: None
) -> None:
    writer, technician, lead = (Hands(desk()) for _ in range(3))
    for each, name in ((writer, "Wren"), (technician, "Toni"), (lead, "Lee")):
        each.sign_in(name)
    take_in(writer)
    walk_round(technician)
    price_and_agree(writer)
    work(technician)
    clear_and_check(lead)
    bill_and_hand_over(writer)
    assert [*writer.unseen, *technician.unseen, *lead.unseen] == []

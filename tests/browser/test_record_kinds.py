"""Every kind of record on the tablet, upright and lying, and on its pages of paper, read back from the PDF.

A kind in `app/bench/records` that has no case in `tests/bench/every_kind.py` fails here.
"""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader
from sqlmodel import select

from app.bench import steps
from app.bench.kinds import record_kinds
from app.bench.tables import BenchRecord
from app.ground import files
from app.ground.book import reading, writing
from app.ground.papers import Printer
from app.ground.press import Press
from app.ground.tables import Document
from app.handover import steps as handover
from app.handover.papers import handover_paper, paper_act
from app.handover.rules import Leaves, Leaving
from app.handover.tables import Handover
from app.intake.tables import Unit
from tests.bench.every_kind import CASES, NO_FORM, tools_of
from tests.bench.stay import TONI, WREN, Stay, stay
from tests.browser.conftest import PATIENCE, Desk, Shop, running
from tests.conftest import act

UPRIGHT, LYING = {"width": 820, "height": 1180}, {"width": 1180, "height": 820}
NUMBER = re.compile(r"-?\d[\d./ ]*")
WORDS_TOO = {  # fields that a number of the case stands in, and that letters belong in as well
    "ball",
    "coupler",
    "load",
    "mark",
    "gvwr",
    "gawr",
}
FILL = """fields => fields.filter(([name, text]) => {
  const found = [...document.querySelectorAll(`form [name="${CSS.escape(name)}"]`)]
  const box = found.find(it => ['radio', 'checkbox'].includes(it.type) && it.value === text)
  const field = found.find(it => !['radio', 'checkbox', 'hidden'].includes(it.type))
  if (box) box.checked = true
  else if (field) { field.value = text; field.dispatchEvent(new Event('input', {bubbles: true})) }
  return !box && !(field && field.value === text)
}).map(([name]) => name)"""
KEYBOARDS = """names => names.flatMap(name => [...document.querySelectorAll(`[name="${CSS.escape(name)}"]`)])
  .filter(it => it.tagName === 'INPUT' && it.type === 'text')
  .filter(it => !['numeric', 'decimal', 'none'].includes(it.inputMode)).map(it => it.name)"""


RAGGED = """() => {
  const starts = [...document.querySelectorAll('.rows .form-two > .field')].map(it => Math.round(
    it.getBoundingClientRect().left + parseFloat(getComputedStyle(it).paddingLeft)))
  return [...new Set(starts)].length
}"""  # at how many edges the fields of a form begin: two columns have two
SPILLED = """() => [...document.querySelectorAll('.choice')].filter(it => it.scrollWidth > it.clientWidth + 1)
  .map(it => it.innerText)"""
CROSSED = """() => {
  const texts = [...document.querySelectorAll('.rows-drawing text')]
  const said = texts.map(it => [it.textContent, it.getBoundingClientRect()])
  const crosses = (one, other) => one.left < other.right - 1 && other.left < one.right - 1
    && one.top < other.bottom - 4 && other.top < one.bottom - 4
  return said.filter(([, one], n) => said.slice(n + 1).some(([, it]) => crosses(one, it))).map(it => it[0])
}"""


@dataclass
class Bench:
    """A shop whose job 1 asks for every kind of record; job 2 asks for the same and stays empty."""

    shop: Shop
    here: Stay
    tools: dict[str, str]
    desk: Desk

    @property
    def page(self) -> Page:
        """The tablet's page."""
        return self.desk.page

    def form(self, key: str) -> dict[str, str]:
        """The case of a kind, with the instrument of this book."""
        found = dict(CASES[key])
        return found | {name: self.tools[found[name]] for name in found if name == "instrument"}

    def paths(self, key: str) -> list[str]:
        """Where the forms of a kind stand."""
        self.desk.go("/bench/jobs/1")
        return sorted(set(re.findall(rf'href="(/bench/jobs/1/records/{key}/[^"#?]+)"', self.page.content())))

    def record(self, key: str) -> BenchRecord | None:
        """The record of a kind, the first one."""
        with reading(self.shop.book) as session:
            return session.exec(select(BenchRecord).where(BenchRecord.kind == key)).first()

    def fill(self, key: str) -> list[str]:
        """Fill the form that is open; the names of what it has no field for."""
        missed = self._filled(key)
        if missed and self.page.locator('.key-tall[name="draw"]').count():
            self.desk.press('.key-tall[name="draw"]')  # how many there are decides what is drawn
            self.page.wait_for_selector(f'[name="{missed[0]}"]:not([type="hidden"])')
            missed = self._filled(key)
        return missed

    def _filled(self, key: str) -> list[str]:
        missed: list[str] = self.page.evaluate(FILL, list(self.form(key).items()))
        return missed

    def keep(self, key: str) -> BenchRecord:
        """The record of a kind, typed on the tablet where it does not stand yet."""
        if (found := self.record(key)) is not None:
            return found
        self.desk.go(self.paths(key)[0])
        assert self.fill(key) == []
        self.page.locator("main form .key-main").last.click()
        self.page.wait_for_url(re.compile(r"/bench/jobs/1(#.*)?$"))
        found = self.record(key)
        assert found is not None
        return found


@pytest.fixture(scope="module")
def bench(chromium: Browser, tmp_path_factory: pytest.TempPathFactory, furnished: Path) -> Iterator[Bench]:
    """The bench, with Toni signed in at the tablet."""
    with running(tmp_path_factory.mktemp("kinds") / "shop", furnished) as shop:
        here = stay(shop.book)
        with writing(shop.book) as session:
            session.exec(select(Unit)).one().kind = "tent"  # the one kind of unit that has every part
        for _ in range(2):
            here.work(tuple(CASES), place="axle-1")
        steps.open_jobs(shop.book, act(TONI), here.order)
        context = chromium.new_context(viewport=UPRIGHT)
        context.set_default_timeout(PATIENCE)
        desk = Desk(context.new_page(), shop.address, [])
        desk.page.on("pageerror", lambda error: desk.reports.append(str(error)))
        desk.sign_in("Toni")
        yield Bench(shop, here, tools_of(here), desk)
        context.close()
        assert desk.reports == []


def test_each_kind_has_its_case() -> None:
    assert set(CASES) | NO_FORM == set(record_kinds())


@pytest.mark.parametrize("size", [UPRIGHT, LYING], ids=["upright", "lying"])
@pytest.mark.parametrize("key", CASES)
def test_its_form_is_sound_and_opens_no_letters_where_numbers_go(
    bench: Bench, key: str, size: dict[str, int]
) -> None:
    page = bench.page
    page.set_viewport_size({"width": size["width"], "height": size["height"]})
    bench.desk.go(bench.paths(key)[-1])
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert bench.fill(key) == []
    numbers = [name for name, text in CASES[key].items() if NUMBER.fullmatch(text) and name not in WORDS_TOO]
    assert page.evaluate(KEYBOARDS, numbers) == []
    assert page.evaluate(SPILLED) == []
    assert page.evaluate(RAGGED) <= 2
    if page.locator('.rows .key-tall[name="draw"]').count():
        bench.desk.press('.key-tall[name="draw"]')  # what was typed stands on the drawing
        assert page.evaluate(CROSSED) == []
    assert bench.desk.faults() == []


@pytest.mark.parametrize("key", CASES)
def test_it_is_kept_as_typed_on_the_tablet(bench: Bench, key: str) -> None:
    found = bench.keep(key)
    assert (found.inside, found.made_by) == (True, TONI)
    said = bench.page.inner_text("main") if bench.page.url.endswith("/bench/jobs/1") else ""
    bench.desk.go("/bench/jobs/1")
    assert found.says in (said or bench.page.inner_text("main"))


def text_of(bench: Bench, kind: str) -> str:
    """The newest paper of a kind, its text in one line."""
    with reading(bench.shop.book) as session:
        document = session.exec(select(Document).where(Document.kind == kind)).all()[-1]
    pages = PdfReader(io.BytesIO(files.read(bench.shop.settings.files, document.sha256))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.fixture(scope="module")
def sheet(bench: Bench) -> str:
    """The job sheet of the job that nobody began, as printed."""
    bench.desk.go("/bench/jobs/2")
    with bench.page.expect_response(lambda answer: answer.url.endswith("/bench/jobs/2/sheet")) as printed:
        bench.page.locator('form[action$="/sheet"] button').first.click()
    assert printed.value.status == 303
    bench.desk.printed(printed.value.headers["location"])
    return text_of(bench, "job sheet")


@pytest.mark.parametrize("key", CASES)
def test_it_has_its_page_to_write_on(sheet: str, key: str) -> None:
    assert record_kinds()[key].title.upper() in sheet.upper()


@pytest.fixture(scope="module")
def handed(bench: Bench) -> str:
    """The handover with a record of every kind, as printed; the unit is not fit and leaves on a carrier."""
    for key in CASES:
        bench.keep(key)
    made = handover.hand_over(
        bench.shop.book, act(WREN), bench.here.order, Leaving(Leaves.CARRIED, "Marisol")
    )
    with reading(bench.shop.book) as session:
        row = session.get_one(Handover, made)
    Printer(bench.shop.book, Press(), bench.shop.settings.files, "").issue(
        paper_act(act(WREN), row), handover_paper(row)
    )
    return text_of(bench, "handover")


@pytest.mark.parametrize("key", CASES)
def test_its_readings_stand_on_the_handovers_pages(handed: str, key: str) -> None:
    assert record_kinds()[key].title in handed
    for name, text in CASES[key].items():
        if re.fullmatch(r"\d+\.\d+", text):
            assert text in handed, name

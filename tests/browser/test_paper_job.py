"""A job done on paper, then typed in on one screen in the sheet's order: nuts, a hub, gas, a scale."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser
from pypdf import PdfReader
from sqlmodel import select

from app.bench import steps
from app.bench.tables import BenchRecord, Job
from app.ground import files
from app.ground.book import reading, writing
from app.ground.tables import Document
from app.ground.tables import Shop as ShopRow
from tests.bench.every_kind import tools_of
from tests.bench.stay import TONI, stay
from tests.browser.conftest import PATIENCE, Desk, running
from tests.browser.test_record_kinds import LYING, UPRIGHT, Bench
from tests.conftest import act

JOBS = {
    1: (("wheel_torque",), "axle-1", 2),
    2: (("bearing_adjustment",), "hub-1-left", 1),
    3: (("leak_test", "flow_lockup"), "unit", 2),
    4: (("scale_tickets",), "unit", 1),
}
LABELS = """() => [...document.querySelectorAll('.form-two .field')]
  .filter(it => it.querySelector('input, select'))
  .map(it => (it.querySelector('legend, label') || it).innerText.trim())
  .filter(Boolean)"""


@dataclass
class Papers(Bench):
    """Four jobs whose sheets were printed on two sizes of paper."""

    def print(self, job: int) -> PdfReader:
        """The sheet of a job, printed and read back."""
        self.desk.go(f"/bench/jobs/{job}")
        with self.page.expect_response(lambda answer: answer.url.endswith(f"/{job}/sheet")) as printed:
            self.page.locator('form[action$="/sheet"] button').first.click()
        assert printed.value.status == 303
        key = self.desk.printed(printed.value.headers["location"])
        with reading(self.shop.book) as session:
            made = session.get_one(Document, key)
        return PdfReader(io.BytesIO(files.read(self.shop.settings.files, made.sha256)))


@pytest.fixture(scope="module")
def bench(chromium: Browser, tmp_path_factory: pytest.TempPathFactory, furnished: Path) -> Iterator[Papers]:
    """Toni at a tablet, with four jobs to do on paper."""
    with running(tmp_path_factory.mktemp("sheets") / "shop", furnished) as shop:
        here = stay(shop.book)
        for kinds, place, _ in JOBS.values():
            here.work(kinds, place=place)
        steps.open_jobs(shop.book, act(TONI), here.order)
        context = chromium.new_context(viewport=UPRIGHT)
        context.set_default_timeout(PATIENCE)
        desk = Desk(context.new_page(), shop.address, [])
        desk.sign_in("Toni")
        yield Papers(shop, here, tools_of(here), desk)
        context.close()


def flat(pdf: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).replace("\xa0", " ").split())


@pytest.mark.parametrize("job", JOBS)
def test_each_sheet_has_no_page_that_holds_only_a_signature(bench: Papers, job: int) -> None:
    for page in bench.print(job).pages:
        assert len(page.extract_text().split()) > 60


@pytest.mark.parametrize(
    ("job", "told"),
    [
        (
            1,
            ("100 to 120", "nut 4", "25 lbf", "55 lbf", "Torque wrench, number and due date", "random wheel"),
        ),
        (2, ("0.001 to 0.010 in", "Dial indicator", "Felt by hand", "Light: about 50 lbf", "Rough or noisy")),
        (3, ("8.5 to 9.5 in wc", "Drop test at 8 in wc", "Manometer, number and due date", "at most 14")),
        (4, ("Tow vehicle alone", "Coupled, bars slack", "Coupled, bars engaged", "Weight-distributing")),
    ],
)
def test_what_is_to_reach_and_to_choose_stands_on_the_paper(
    bench: Papers, job: int, told: tuple[str, ...]
) -> None:
    text = flat(bench.print(job))
    assert [each for each in told if each not in text] == []
    assert ("one random wheel" in text) == (job == 1)


@pytest.mark.parametrize("job", [2, 3, 4])
def test_the_screen_asks_in_the_order_of_the_paper(bench: Papers, job: int) -> None:
    text = flat(bench.print(job))
    bench.page.set_viewport_size({"width": LYING["width"], "height": LYING["height"]})
    bench.desk.go(f"/bench/jobs/{job}/typing")
    labels = [each for each in bench.page.evaluate(LABELS) if each != "Instrument"]
    assert len(labels) > 5
    at = text.index(bench.page.inner_text("h1"))
    for label in labels:
        found = text.find(" ".join(label.split()), at)
        assert found >= 0, label
        at = found


@pytest.mark.parametrize("job", JOBS)
def test_the_sheet_is_typed_in_on_one_screen_record_after_record(bench: Papers, job: int) -> None:
    kinds, _, count = JOBS[job]
    screen = f"/bench/jobs/{job}/typing"
    bench.page.set_viewport_size({"width": UPRIGHT["width"], "height": UPRIGHT["height"]})
    for number in range(count):
        bench.desk.go(screen)
        assert bench.desk.faults() == []
        key = re.search(
            r"typing/(\w+)/",
            bench.page.locator("main form[action*='/typing/']").first.get_attribute("action") or "",
        )
        assert key is not None and key[1] in kinds
        assert bench.fill(key[1]) == []
        bench.desk.press("main form .key-main >> nth=-1")  # back to the same address, with the next form
        assert bench.page.url.partition("#")[0].endswith(screen)
        assert len(records(bench, job)) == number + 1
    assert [each.inside for each in records(bench, job)] == [True] * count
    assert "Every record of the sheet is typed in" in bench.page.inner_text("main")


def records(bench: Papers, job: int) -> list[BenchRecord]:
    with reading(bench.shop.book) as session:
        assert session.get(Job, job) is not None
        return list(session.exec(select(BenchRecord).where(BenchRecord.job_id == job)))


@pytest.mark.parametrize(
    ("paper", "wide", "high"), [("letter", 612, 792), ("a4", 595, 842)]
)  # ISO 216, in pt
@pytest.mark.parametrize("job", JOBS)
def test_a_sheet_fits_the_paper_of_the_shop(
    bench: Papers, job: int, paper: str, wide: int, high: int
) -> None:
    with writing(bench.shop.book) as session:
        session.exec(select(ShopRow)).one().paper = paper
    pages = bench.print(job).pages
    assert len(pages) <= 3
    for page in pages:
        assert (round(page.mediabox.width), round(page.mediabox.height)) == (wide, high)
        assert page.extract_text().count("page ") >= 1  # the foot with its number is on each

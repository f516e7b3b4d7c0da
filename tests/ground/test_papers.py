"""Papers: printed once an act, kept byte for byte, a correction is a new issue."""

import io
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import files
from app.ground.book import reading
from app.ground.codes import square
from app.ground.documents import newest, of_work_order, replaced
from app.ground.papers import Paper, Printer, breakable, page_of
from app.ground.press import NotPrinted, Press, Sheet, to_pdf
from app.ground.settings import Settings
from app.ground.tables import Document
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.facts import order_head
from app.intake.steps import take_in
from tests.conftest import Browser, act


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture
def printer(book: Engine, settings: Settings, press: Press) -> Printer:
    return Printer(book, press, settings.files)


@pytest.fixture
def paper(book: Engine) -> Paper:
    order = take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), UnitSaid("cargo")))
    with reading(book) as session:
        head = order_head(session, order)
    return Paper("base", "note", "N-1", "Note", order, {"tag": head})


def document(book: Engine, key: int) -> Document:
    with reading(book) as session:
        return session.get_one(Document, key)


def test_a_printed_paper_is_kept_under_its_hash(book: Engine, printer: Printer, paper: Paper) -> None:
    found = document(book, printer.issue(act(2), paper))
    content = files.read(printer.folder, found.sha256)
    assert content.startswith(b"%PDF-")
    assert (found.size, found.issue, found.kind, found.printed_by) == (len(content), 1, "note", 2)


def test_the_same_act_prints_once(book: Engine, printer: Printer, paper: Paper) -> None:
    once = act(2)
    assert printer.issue(once, paper) == printer.issue(once, paper)
    with reading(book) as session:
        assert len(list(session.exec(select(Document)))) == 1


def test_a_second_print_is_the_next_issue_and_names_the_one_it_replaces(
    book: Engine, printer: Printer, paper: Paper
) -> None:
    first, second = printer.issue(act(2), paper), printer.issue(act(2), paper)
    assert document(book, second).issue == 2
    assert document(book, second).replaces_id == first
    with reading(book) as session:
        assert replaced(session, document(book, first))
        assert not replaced(session, document(book, second))
        found = newest(session, "note", "N-1")
        assert found is not None
        assert found.key == second
        assert [each.key for each in of_work_order(session, paper.work_order_id)] == [second, first]


def test_a_press_that_breaks_leaves_no_paper_and_says_so(
    book: Engine, settings: Settings, paper: Paper
) -> None:
    class Broken(Press):
        def print(self, sheet: Sheet, seconds: float = 0) -> bytes:
            raise NotPrinted("out of order")

    with pytest.raises(NotPrinted, match="out of order"):
        Printer(book, Broken(), settings.files).issue(act(2), paper)
    with reading(book) as session:
        assert session.exec(select(Document)).first() is None


def test_a_paper_is_handed_out_byte_for_byte_to_whoever_works_here(
    book: Engine, printer: Printer, paper: Paper, signed: Callable[[str], Browser]
) -> None:
    key = printer.issue(act(2), paper)
    answer = signed("Toni").get(f"/papers/{key}.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'inline; filename="Note-N-1-issue-1.pdf"'
    assert answer.content == files.read(printer.folder, document(book, key).sha256)
    for nothing in (99, 2**63, 2**70):
        assert signed("Toni").get(f"/papers/{nothing}.pdf").status_code == 404


SHOP = "http://shop.example:8377"


@pytest.mark.parametrize(
    ("settings", "address"),
    [
        (Settings(Path()), ""),
        (Settings(Path(), hosts=("127.0.0.1", "localhost", "[::1]"), port=9000), ""),
        (Settings(Path(), hosts=("127.0.0.1", "shop.example", "192.168.1.20")), SHOP),
        (Settings(Path(), hosts=("192.168.1.20",), secure=True, port=9000), "https://192.168.1.20:9000"),
    ],
)
def test_the_address_of_the_shop_is_one_that_another_device_reaches(settings: Settings, address: str) -> None:
    assert settings.address == address


def text_of(pdf: bytes) -> str:
    """The words of a paper."""
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def pictures_told(pdf: bytes) -> list[str]:
    """The alternative texts of a paper's pictures: ISO 14289-1, 7.3."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return [
            str(it.get("/Alt", ""))
            for it in opened.objects
            if isinstance(it, pikepdf.Dictionary) and it.get("/S") == "/Figure"
        ]


def test_a_paper_carries_a_code_that_says_what_it_opens(
    book: Engine, printer: Printer, paper: Paper, signed: Callable[[str], Browser]
) -> None:
    reached = replace(printer, address=SHOP)
    keys = [reached.issue(act(2), paper) for _ in range(2)]
    told = pictures_told(files.read(printer.folder, document(book, keys[1]).sha256))
    assert told == ["Code to see on a tablet of the shop whether Note N-1, issue 2, is the newest"]
    with reading(book) as session:
        html, _ = page_of(session, paper, act(2), 1, SHOP)
    assert square(f"{SHOP}/papers/note/N-1/1").path in html
    said = [text_of(files.read(printer.folder, document(book, key).sha256)) for key in keys]
    assert ["In place of issue 1" in each for each in said] == [False, True]
    page = signed("Toni").get("/papers/note/N-1/1").text
    assert "Not the newest:" in page
    assert f'<a href="/papers/{keys[1]}">Issue 2</a>' in page
    assert "This is the newest issue." in signed("Toni").get("/papers/note/N-1/2").text


def test_a_paper_carries_no_code_where_no_tablet_reaches_the_shop(
    book: Engine, printer: Printer, paper: Paper
) -> None:
    content = files.read(printer.folder, document(book, printer.issue(act(2), paper)).sha256)
    assert pictures_told(content) == []
    with reading(book) as session:
        html, _ = page_of(session, paper, act(2), 1)
    assert "127.0.0.1" not in html
    assert "N-1, issue 1" in html


@pytest.mark.filterwarnings("ignore:Exception ignored in:pytest.PytestUnraisableExceptionWarning")
def test_a_word_without_end_takes_no_longer_than_words() -> None:
    def spent(text: str) -> float:
        page = breakable(f"<!DOCTYPE html><html lang='en'><title>Paper</title><p>{text}</p></html>")
        began = time.process_time()
        pdf = to_pdf(Sheet(page))
        assert sum(each.extract_text().count("x") for each in PdfReader(io.BytesIO(pdf)).pages) == 12_000
        return time.process_time() - began

    words = "x" * 23 + " "
    spent(words * 521 + "x" * 17)  # loads the renderer and its fonts
    assert spent("x" * 12_000) < 4 * spent(words * 521 + "x" * 17)


@pytest.mark.parametrize(
    "page",
    [
        f'<svg><path d="{"M0 0h9" * 40}{"9" * 400}"/></svg><p>Short words, as they are.</p>',
        f"<p>{'x' * 48}</p>",
        f"<p>{'word ' * 40}</p>",
        "<p>https://shop.example/papers/handover/1</p>",
    ],
)
def test_what_can_be_broken_already_stays_as_it_is(page: str) -> None:
    assert breakable(page) == page


@pytest.mark.parametrize("letter", ["x", "&amp;", "&#39;", "e\u0301\u0302", "\u05d0"])
def test_a_word_without_end_keeps_its_letters(letter: str) -> None:
    page = f"<p>{letter * 500}</p>"
    made = breakable(page)
    assert made.replace("\u200b", "") == page
    pieces = made.removeprefix("<p>").removesuffix("</p>").split("\u200b")
    assert [len(each) for each in pieces[:-1]] == [24 * len(letter)] * 20

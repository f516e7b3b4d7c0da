"""Where a paper goes on to its next page: no row alone, no name without its rows, no page left half empty.

Common practice of setting ledgers: what is added up stands with some of what it adds up.
"""

import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from sqlalchemy import Engine

from app.accounts.document import Bill, Undone
from app.estimate import facts as estimate
from app.estimate.saying import Said
from app.estimate.screens import Record, paper_of, record_paper
from app.ground.book import open_book, reading
from app.ground.press import Press
from app.handover.record import Picture
from tests.conftest import NOON
from tests.handover.stays import NUTS, Found, stay
from tests.intake.arrivals import drawn
from tests.papers.every import FRAME, SIZES, Word, sheet_of, words_of
from tests.papers.golden import CASES, LONG, MUCH, sheet

FOOT = 21 / 25.4 * 72  # points: what paper.css leaves for the foot
BLANK = 1 / 4  # of a page that goes on: more is waste
A_ROW = 3 / 10  # of a page: a row of photos with its captions under a heading
NOT_DONE = Undone(title="Reseal a side or the roof", amount=79500, said="later", on=date(2026, 5, 4))
Printing = Callable[..., bytes]


@pytest.fixture(scope="module")
def book(furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    made = open_book(Path(shutil.copy(furnished, tmp_path_factory.mktemp("breaks") / "castlenut.db")))
    yield made
    made.dispose()


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture(scope="module")
def bill_of(book: Engine, press: Press) -> Printing:
    """Prints the first works of an invoice of eighteen, the last part of them so many times more, as PDF."""
    paper = CASES["invoice-extreme"](book)
    whole = paper.facts["bill"]
    assert isinstance(whole, Bill)

    def print_it(size: str, works: int, parts: int = 0, undone: tuple[Undone, ...] = ()) -> bytes:
        lines = tuple(line for *_, them in whole.works[:works] for line in them)
        lines += lines[-1:] * parts
        bill = whole.model_copy(update={"lines": lines, "undone": undone})
        with reading(book) as session:
            made = sheet_of(session, replace(paper, facts={**paper.facts, "bill": bill}), Path())
        return press.print(replace(made, size=size))

    return print_it


def pages_of(pdf: bytes) -> list[list[str]]:
    """The lines of each page, without the foot's three."""
    read = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    pages = read.stdout.decode().split("\f")[:-1]
    return [[" ".join(it.split()) for it in page.splitlines() if it.strip()][:-3] for page in pages]


def rows(page: list[str]) -> list[str]:
    """The priced rows of an invoice's page: they end in their tax."""
    return [it for it in page if it.endswith(("none", "6%"))]


def blank(page: list[Word], height: float) -> float:
    """The part of a page that stays empty over its foot."""
    body = [it.bottom for it in page if it.bottom < height - FOOT]
    return (height - FOOT - max(body)) / height


def going_on(pdf: bytes, size: str) -> list[float]:
    """How much of each page but the last stays empty."""
    return [blank(page, SIZES[size][1]) for page in words_of(pdf)[:-1]]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("works", (3, 4, 5, 6, 7))  # around one page
def test_the_totals_stand_with_a_piece_of_work(bill_of: Printing, size: str, works: int) -> None:
    pdf = bill_of(size, works)
    *before, last = pages_of(pdf)
    assert len(rows(last)) >= 2
    assert not [page[-1] for page in before if page[-1].endswith("done 4 May")]  # no name without its rows
    assert [it for it in going_on(pdf, size) if it > BLANK] == []


def test_what_it_is_made_of_adds_up_to_what_it_is_before_tax(bill_of: Printing) -> None:
    last = "\n".join(pages_of(bill_of("letter", 18))[-1])
    made_of = re.findall(r"^(?:Labour|Parts|Outside work|Fees) ([\d,]+\.\d\d)(?: [A-Z]|$)", last, re.M)
    before_tax = re.search(r"Before tax ([\d,]+\.\d\d)", last)
    assert before_tax is not None
    assert len(made_of) == 4
    assert sum(map(amount, made_of)) == amount(before_tax[1])


def amount(printed: str) -> Decimal:
    return Decimal(printed.replace(",", ""))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("more", (0, 1, 2, 3, 276))
def test_a_work_longer_than_a_page_goes_on_with_two_rows(bill_of: Printing, size: str, more: int) -> None:
    pdf, one = bill_of(size, 1, parts=24 + more), bill_of(size, 1)
    assert len(rows(pages_of(pdf)[-1])) >= 2
    lines, before = (sum(len(rows(page)) for page in pages_of(it)) for it in (pdf, one))
    assert lines == before + 24 + more
    assert [it for it in going_on(pdf, size) if it > BLANK] == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", [12, 13, 60])
def test_what_was_not_done_is_all_there_behind_totals_that_stand_with_the_work(
    bill_of: Printing, size: str, count: int
) -> None:
    pdf = bill_of(size, 5, undone=(NOT_DONE,) * count)
    pages = pages_of(pdf)
    assert sum("795.00 later, 4 May" in it for page in pages for it in page) == count
    assert rows(next(page for page in pages if any(it.endswith("$10,935.34") for it in page[9:])))
    assert [it for it in going_on(pdf, size) if it > BLANK] == []


@pytest.mark.parametrize("name", ["estimate", "estimate-short", "estimate-extreme"])
def test_a_sum_stands_under_its_row_and_the_answer_by_telephone_under_the_signatures(
    furnished: Path, tmp_path: Path, press: Press, name: str
) -> None:
    book = open_book(Path(shutil.copy(furnished, tmp_path / "castlenut.db")))
    made = sheet(name, book)
    book.dispose()
    for size in SIZES:
        pdf = press.print(replace(made, size=size))
        pages = pages_of(pdf)
        assert not [page for page in pages if page[1].startswith("Sum")]  # the head of the table comes first
        assert not [page for page in pages if page[0].startswith("If you answered by telephone")]
        whole = pages[-1][0] == "What it comes to, with tax"  # with the signatures: that block is not cut
        assert [it for it in going_on(pdf, size)[: -1 if whole else None] if it > BLANK] == []


@pytest.mark.parametrize("works", (9, 11))
def test_an_estimate_is_signed_under_what_it_comes_to(
    furnished: Path, tmp_path: Path, press: Press, works: int
) -> None:
    book = open_book(Path(shutil.copy(furnished, tmp_path / "castlenut.db")))
    made = stay(book, MUCH[:1] + MUCH[-works + 1 :])
    made.price(say={})
    with reading(book) as session:
        asked = sheet_of(session, paper_of(estimate.sheet(session, made.order, NOON.date())), Path())
    book.dispose()
    for size in SIZES:
        pages = pages_of(press.print(replace(asked, size=size)))
        [signed] = [page for page in pages if any(it.startswith("Owner: ") for it in page)]
        assert "What it comes to, with tax" in signed


@pytest.fixture(scope="module")
def album(furnished: Path, press: Press, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Printing]:
    """Prints a report of some lines with so many photos."""
    folder = tmp_path_factory.mktemp("album")
    book = open_book(Path(shutil.copy(furnished, folder / "castlenut.db")))
    paper, photo = CASES["report"](book), folder / "photo.jpg"
    photo.write_bytes(drawn())

    def print_it(size: str, count: int) -> bytes:
        names = [f"photo-{n}" for n in range(count)]
        photos = [Picture(name=it, sha256="", alt=it, caption="Crack in the hanger weld") for it in names]
        page = paper.facts["it"]
        shown = replace(page, report=page.report.model_copy(update={"photos": tuple(photos)}))
        with reading(book) as session:
            made = sheet_of(session, replace(paper, facts={**paper.facts, "it": shown}), Path())
        return press.print(replace(made, size=size, pictures=dict.fromkeys(names, photo)))

    yield print_it
    book.dispose()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", (1, 2, 3, 4, 5, 6, 7, 9, 12))
def test_photos_follow_what_stands_before_them_none_alone(album: Printing, size: str, count: int) -> None:
    pdf = album(size, count)
    pages = [" ".join(it.text for it in page) for page in words_of(pdf)]
    shown = [each for page in pages if (each := page.count("Crack in the hanger weld"))]
    assert sum(shown) == count
    assert count == 1 or 1 not in shown
    [headed] = [nth for nth, page in enumerate(pages) if " Photos " in f" {page}"]
    assert "Crack in the hanger weld" in pages[headed]
    assert count == 3 or going_on(pdf, size)[headed - 1] < A_ROW  # three stand together in two rows


STOPS = (
    FRAME,
    NUTS,
    Found("cp.chains", "Safety chains", 2, "dnt", reason="none fitted; two are asked for"),
    Found("ti.tread", "Tread depth, left tire, axle 1", 5, "dnt", "tire-1-left", reason="1/32 in"),
    Found("bk.battery", "Breakaway battery", 2, "dnt", reason="held 6 min; 15 are asked for"),
)


@pytest.mark.parametrize(
    ("record", "found", "said", "last"),
    [
        (Record.CONSENT, MUCH, Said.YES, "Agreed in this answer"),
        (Record.DECLINED, STOPS, Said.LATER, "5 Replace a tire"),
    ],
)
def test_a_record_of_many_answers_begins_on_its_front_and_is_signed_under_them(
    furnished: Path,
    tmp_path: Path,
    press: Press,
    record: Record,
    found: tuple[Found, ...],
    said: Said,
    last: str,
) -> None:
    book = open_book(Path(shutil.copy(furnished, tmp_path / "castlenut.db")))
    made = stay(book, found, owner=LONG)
    made.price(say={"": said})
    with reading(book) as session:
        paper = record_paper(record, estimate.agreement(session, made.order, NOON.date()))
        printed = sheet_of(session, paper, Path())
    book.dispose()
    for size in SIZES:
        pdf = press.print(replace(printed, size=size))
        pages = pages_of(pdf)
        assert [it for it in going_on(pdf, size) if it > BLANK] == []
        signed = [page for page in pages if any(it.startswith("Owner: ") for it in page)]
        assert record is Record.CONSENT or all(any(last in it for it in page) for page in signed)
        assert any(last in it for page in pages for it in page)

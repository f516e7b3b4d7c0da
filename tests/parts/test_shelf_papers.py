"""Papers of the shelf, read back: bin labels with their bars, count sheets without the book's figures."""

import re
from collections.abc import Callable
from io import BytesIO

from pypdf import PdfReader
from sqlalchemy import Engine

from app.ground.book import reading
from app.ground.codes import square
from app.parts import facts
from app.parts.labels import QUIET, label, stripes
from app.trade.code128 import widths
from tests.conftest import Browser
from tests.parts.shelf import part, stocked

Signed = Callable[[str], Browser]


def printed(browser: Browser, path: str, form: dict[str, str]) -> list[str]:
    """The text of each page of a paper that a form prints."""
    answer = browser.post(path, form)
    assert answer.status_code == 303, answer.text
    pdf = browser.get(f"{answer.headers['location']}.pdf")
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(BytesIO(pdf.content)).pages]


def test_bars_stand_as_wide_as_the_code_says_with_their_quiet_zones() -> None:
    """ISO/IEC 15417, 4.7: ten modules stay empty on either side."""
    made = stripes("BRG-L44649")
    bars = [(int(at), int(width)) for at, width in re.findall(r"M(\d+) 0h(\d+)v1", made.path)]
    assert [width for _, width in bars] == list(widths("BRG-L44649"))[::2]
    assert bars[0][0] == QUIET == 10
    assert sum(bars[-1]) + QUIET == made.width == 11 * 12 + 13 + 20


def test_a_label_opens_its_part(book: Engine) -> None:
    part(book)
    with reading(book) as session:
        [line] = facts.catalogue(session)
    made = label(line, "http://shop:8377")
    assert made.code == square(f"http://shop:8377/parts/catalogue/{line.id}")
    assert label(line, "").code is None
    assert made.stripes == stripes("BRG-L44649")


def test_a_label_is_printed_for_each_part_found(book: Engine, signed: Signed) -> None:
    part(book)
    tire = "Trailer tire on its rim, white spokes, ST205/75R14"
    part(book, number="TIR-1", name=tire, bin="T-01")
    part(book, number="OLD-1", active=False)
    browser = signed("Toni")
    pages = printed(browser, "/parts/labels", {"submission": "all"})
    assert len(pages) == 2
    assert "BRG-L44649" in pages[0]
    assert "A-03-2" in pages[0]
    assert "TIR-1" in pages[1]
    assert tire in pages[1]  # the size, which tells parts apart, stands last
    assert len(printed(browser, "/parts/labels", {"submission": "one", "find": "TIR"})) == 1
    none = browser.post("/parts/labels", {"submission": "none", "find": "nothing of that"})
    assert none.status_code == 422
    assert "No part in use is found so" in none.text


def test_a_count_sheet_names_the_bins_and_not_what_the_book_has(book: Engine, signed: Signed) -> None:
    stocked(book, 7319)  # so long that neither a day nor the hash in the foot holds it by chance
    stocked(book, 5, number="TIR-1", bin="T-01")
    [page] = printed(signed("Toni"), "/parts/count/sheet", {"submission": "sheet", "aisle": "A"})
    assert "Count sheet, aisle A" in page
    assert "A-03-2 BRG-L44649" in page
    assert "7,319" not in page and "7319" not in page
    assert "TIR-1" not in page

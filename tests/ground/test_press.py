"""The press: what it prints, what it refuses to open, what it does when a paper will not end."""

import io
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader

from app.ground.press import Enclosed, NotPrinted, Press, Sheet
from tests.conftest import NOON

PAGE = "<!DOCTYPE html><html lang='en'><head><title>Paper</title></head><body><h1>{}</h1></body></html>"


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_a_paper_is_tagged_has_its_language_title_and_only_our_fonts(press: Press) -> None:
    pdf = press.print(Sheet(PAGE.format("110 lbf·ft, 149 N·m")))
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        root = opened.Root
        assert bool(root.MarkInfo.Marked)  # ISO 14289-1, 7.1
        assert str(root.Lang) == "en"  # ISO 14289-1, 7.2
        assert bool(root.ViewerPreferences.DisplayDocTitle)
        assert "/StructTreeRoot" in root
        assert "/OutputIntents" in root  # ISO 19005-3, 6.2.3
        fonts = {
            str(font.BaseFont) for page in opened.pages for font in page.Resources.get("/Font", {}).values()
        }
    assert fonts
    assert all("Hyperlegible" in font or "Barlow" in font for font in fonts)
    assert "110 lbf·ft, 149 N·m" in text_of(pdf)


def test_the_same_sheet_gives_the_same_bytes(press: Press) -> None:
    sheet = Sheet(PAGE.format("Same"), enclosed=(Enclosed("record.json", b"{}", "record", NOON),))
    assert press.print(sheet) == press.print(sheet)


def test_letter_and_a4_come_from_one_sheet(press: Press) -> None:
    def size(name: str) -> tuple[int, int]:
        box = PdfReader(io.BytesIO(press.print(Sheet(PAGE.format("x"), name)))).pages[0].mediabox
        return round(box.width), round(box.height)

    assert size("letter") == (612, 792)  # 8.5 x 11 in at 72 points
    assert size("a4") == (595, 842)  # ISO 216: 210 x 297 mm


def test_what_is_enclosed_comes_out_again(press: Press) -> None:
    record = b'{"unit": 417}'
    pdf = press.print(
        Sheet(PAGE.format("x"), enclosed=(Enclosed("record.json", record, "the record", NOON),))
    )
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert opened.attachments["record.json"].get_file().read_bytes() == record


SMUGGLERS = [
    "<link rel=attachment href='file:///etc/passwd'>",
    "<img src='file:///etc/passwd' alt='x'>",
    "<img src='http://127.0.0.1:9/x.png' alt='x'>",
    "<object data='file:///etc/passwd'></object>",
    "<link rel=stylesheet href='http://127.0.0.1:9/x.css'>",
    "<style>@import url(file:///etc/passwd);</style>",
    "<p style='background: url(file:///etc/passwd)'>x</p>",
    "<img src='asset:other.jpg' alt='x'>",
    "<svg width='10' height='10'><image href='file:///etc/passwd' width='10' height='10'/></svg>",
]


@pytest.mark.parametrize("smuggler", SMUGGLERS)
def test_nothing_is_opened_that_is_not_the_papers_own(press: Press, smuggler: str) -> None:
    try:
        pdf = press.print(Sheet(PAGE.format(smuggler)))
    except NotPrinted:
        return
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert not list(opened.attachments)
    assert "root:" not in text_of(pdf)


def test_a_missing_picture_stops_the_paper_and_is_named(press: Press, tmp_path: Path) -> None:
    gone = tmp_path / "gone.jpg"
    with pytest.raises(NotPrinted):
        press.print(Sheet(PAGE.format("<img src='asset:p.jpg' alt='x'>"), pictures={"p.jpg": gone}))


def test_a_paper_that_will_not_end_is_stopped_and_the_next_one_prints() -> None:
    press = Press()
    try:
        endless = Sheet(PAGE.format("<p>" + "<span>" * 300 + "word " * 400_000))
        with pytest.raises(NotPrinted, match="not done"):
            press.print(endless, seconds=1)
        assert text_of(press.print(Sheet(PAGE.format("Next")))) == "Next"
    finally:
        press.close()

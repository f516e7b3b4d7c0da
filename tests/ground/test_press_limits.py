"""The press at its limits: many papers at once, a process that dies, pictures and files of all sizes."""

import io
import os
import re
import signal
import sys
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from unicodedata import normalize

import pikepdf
import pytest
from PIL import Image
from pypdf import PdfReader

from app.ground.press import MEMORY, SECONDS, Enclosed, NotPrinted, Press, Sheet, sheets_of, to_pdf
from app.ground.settings import folder
from tests.conftest import NOON

HEAD = "<!DOCTYPE html><html lang='en'><head><meta charset='utf-8'><title>Paper</title></head><body>"


def sheet(body: str, **more: object) -> Sheet:
    return Sheet(f"{HEAD}{body}</body></html>", **more)  # type: ignore[arg-type]


OURS = re.compile("Hyperlegible|Barlow|Names")


def fonts_of(pdf: bytes) -> set[str]:
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return {
            str(font.BaseFont) for page in opened.pages for font in page.Resources.get("/Font", {}).values()
        }


def texts(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    made.warm()
    yield made
    made.close()


def jpeg(path: Path, size: tuple[int, int]) -> Path:
    Image.new("RGB", size, "teal").save(path, "JPEG")
    return path


def test_papers_asked_for_at_once_come_out_each_as_its_own(press: Press) -> None:
    found: dict[int, list[str]] = {}

    def order(number: int) -> None:
        found[number] = texts(press.print(sheet(f"<h1>Paper {number}</h1>")))

    threads = [threading.Thread(target=order, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == {number: [f"Paper {number}"] for number in range(6)}


def test_a_process_that_dies_fails_its_paper_in_words_and_the_next_one_prints() -> None:
    press = Press()
    try:
        assert texts(press.print(sheet("<p>First</p>"))) == ["First"]
        assert press._pool is not None
        (pid,) = press._pool._processes
        os.kill(pid, signal.SIGKILL)
        with pytest.raises(NotPrinted, match="The printing process ended before the paper was done"):
            for _ in range(50):  # the pool may need a moment to see that its process is gone
                press.print(sheet("<p>Second</p>"))
                time.sleep(0.1)
        assert texts(press.print(sheet("<p>Third</p>"))) == ["Third"]
    finally:
        press.close()


def test_a_closed_press_opens_again_when_it_is_asked_and_closes_twice() -> None:
    press = Press()
    press.close()
    assert texts(press.print(sheet("<p>Again</p>"))) == ["Again"]
    press.close()
    press.close()


def test_a_paper_has_a_minute_and_a_gigabyte_and_no_more() -> None:
    assert SECONDS == 60
    assert MEMORY == 2**30
    assert Press().memory == MEMORY


def taken_up(press: Press) -> int:
    """Bytes of data that the process of a press has taken up: VmData of proc(5), held by RLIMIT_DATA."""
    assert press._pool is not None
    (pid,) = press._pool._processes
    said = Path(f"/proc/{pid}/status").read_text()
    return int(said.partition("VmData:")[2].split()[0]) * 1024


@pytest.mark.skipif(sys.platform != "linux", reason="data is held to its limit, and told, on Linux")
def test_a_paper_that_needs_more_memory_is_not_printed_and_the_next_one_is() -> None:
    usual = Press()
    usual.print(sheet("<p>First</p>"))
    little = Press(taken_up(usual) + (24 << 20))
    usual.close()
    row = "<tr><th scope='row'>What</th><td>what we found of it</td></tr>"
    try:
        assert texts(little.print(sheet("<p>First</p>"))) == ["First"]
        with pytest.raises(NotPrinted, match=r"more memory than|process ended before"):
            little.print(sheet(f"<table>{row * 35}</table>" * 40))
        assert texts(little.print(sheet("<p>Next</p>"))) == ["Next"]
    finally:
        little.close()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("110 lbf·ft, 149 N·m, ½ in, 12 °C, 1 × 2", "110 lbf·ft, 149 N·m, ½ in, 12 °C, 1 × 2"),
        ("“It growls” - she said", "“It growls” - she said"),
        ("Zoë Ångström, José Núñez, Łukasz Żak", "Zoë Ångström, José Núñez, Łukasz Żak"),
    ],
)
def test_signs_of_the_trade_and_of_names_are_in_our_fonts(press: Press, text: str, shown: str) -> None:
    assert texts(press.print(sheet(f"<p>{text}</p>"))) == [shown]


# Letters with tone marks as Unicode composes them (Unicode 15, canonical composition).
TONES = "\u0301\u0300\u0309\u0303\u0323"
VIETNAMESE = "".join(normalize("NFC", vowel + tone) for vowel in "aăâeêioôơuưy" for tone in TONES)
NAMES = {
    "Greek": "Νίκος Παπαδόπουλος Άγγελος Ξένος",
    "Cyrillic": "Дмитрий Щербаков Юлія Їжак Ђорђе Џунић",
    "Vietnamese": f"Nguyễn Thị Phượng Đỗ {VIETNAMESE}{VIETNAMESE.upper()}",
    "Armenian": "Արամ Խաչատրյան",
    "Georgian": "გიორგი ჭავჭავაძე",
    "Hebrew": "שרה כהן אביגיל לוי",
    "Arabic": "محمد عبد الرحمن گلزار پرویز",
}


def signs(text: str) -> Counter[str]:
    """How often each sign stands in a text, whatever the order and the blanks that a reader finds."""
    return Counter("".join(normalize("NFKC", text).split()))


@pytest.mark.parametrize("letters", NAMES)
def test_names_of_other_alphabets_are_printed_whole_from_our_own_fonts(press: Press, letters: str) -> None:
    name = NAMES[letters]
    pdf = press.print(sheet(f"<h1>{name}</h1><p>{name}</p>"))
    (text,) = texts(pdf)
    assert signs(text) == signs(name * 2)  # a sign without a letter in any font would come back as another
    assert all(OURS.search(font) for font in fonts_of(pdf)), fonts_of(pdf)


def test_a_paper_in_latin_letters_loads_no_font_for_names(press: Press) -> None:
    assert len(sheets_of(sheet("<p>Zoë Łukasz, 110 lbf·ft, ½ in</p>"))) == 1
    assert len(sheets_of(sheet("<p>Νίκος</p>"))) == 2
    assert not any("Names" in font for font in fonts_of(press.print(sheet("<p>Zoë Łukasz</p>"))))


def test_the_fonts_for_names_are_small_and_carry_their_licence() -> None:
    files = sorted((folder("static") / "fonts").glob("noto-*.woff2"))
    assert len(files) == 10
    assert sum(path.stat().st_size for path in files) < 1_500_000
    # OFL 1.1, condition 2: each copy contains the copyright notice and the licence.
    licence = (folder("static") / "fonts" / "noto-sans-OFL.txt").read_text()
    assert licence.startswith("Copyright 2015-2020 Google LLC")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence


def test_a_sign_that_no_font_of_ours_has_stops_no_paper(press: Press) -> None:
    (text,) = texts(press.print(sheet("<p>Owner 李 明</p><p>bay 2</p>")))
    assert "bay 2" in text.replace("\0", "")  # the sign is drawn as a box; a reader may find blanks there


@pytest.mark.parametrize("size", [(1, 1), (1600, 1200), (12, 1600)])
def test_a_picture_of_any_shape_is_printed(press: Press, tmp_path: Path, size: tuple[int, int]) -> None:
    path = jpeg(tmp_path / "p.jpg", size)
    pdf = press.print(sheet("<img src='asset:photo-1' alt='Tail'>", pictures={"photo-1": path}))
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        assert any(page.get_images() for page in opened.pages)


def test_a_picture_that_is_no_picture_stops_the_paper_and_is_named(press: Press, tmp_path: Path) -> None:
    path = tmp_path / "p.jpg"
    path.write_bytes(b"not a picture")
    with pytest.raises(NotPrinted, match="photo-1"):
        press.print(sheet("<img src='asset:photo-1' alt='x'>", pictures={"photo-1": path}))


def test_many_attachments_come_out_byte_for_byte(press: Press) -> None:
    held = {
        "record.json": b'{"unit": 417}',
        "due.ics": b"BEGIN:VCALENDAR\r\n",
        "large.bin": os.urandom(300_000),
        "empty": b"",
    }
    enclosed = tuple(Enclosed(name, content, f"about {name}", NOON) for name, content in held.items())
    with pikepdf.open(io.BytesIO(press.print(sheet("<p>x</p>", enclosed=enclosed)))) as opened:
        found = {name: opened.attachments[name].get_file().read_bytes() for name in opened.attachments}
    assert found == held


def test_an_attachment_says_that_it_is_data_and_what_it_is_about(press: Press) -> None:
    enclosed = (Enclosed("record.json", b"{}", "everything that this paper says", NOON),)
    with pikepdf.open(io.BytesIO(press.print(sheet("<p>x</p>", enclosed=enclosed)))) as opened:
        found = opened.Root.AF[0]
        assert {each.objgen for each in opened.Root.AF} == {found.objgen}  # one file, however often named
        assert str(found.AFRelationship) == "/Data"  # ISO 19005-3, 6.8
        assert str(found.Desc) == "everything that this paper says"


def test_thirty_pages_are_all_there_in_order(press: Press) -> None:
    body = "".join(
        f"<p style='page-break-after: always'>page {number} of the list</p>" for number in range(30)
    )
    found = [text for text in texts(press.print(sheet(body))) if text.strip()]
    assert [int(text.split()[1]) for text in found] == list(range(30))


@pytest.mark.parametrize(
    "html", ["", "no tags at all", "<p>not closed", "<html><body></html>", "<p>\0</p>", "&&&<<<>>>"]
)
def test_a_page_that_is_hardly_one_is_printed_or_refused_in_words(press: Press, html: str) -> None:
    try:
        assert press.print(Sheet(html)).startswith(b"%PDF-")
    except NotPrinted as wrong:
        assert str(wrong)


def test_a_size_of_paper_that_we_do_not_have_is_a_slip_of_ours() -> None:
    with pytest.raises(KeyError):
        to_pdf(Sheet(HEAD, "legal"))


def test_a_paper_after_others_has_the_same_bytes_as_in_a_process_of_its_own(press: Press) -> None:
    """Style sheets and fonts are read once in a process: nothing of one paper may show in the next."""
    later = [
        sheet(f"<h1>Paper</h1><p>{name}</p>") for name in ("Zoë, 110 lbf·ft", "Νίκος", "Zoë, 110 lbf·ft")
    ]
    after = [press.print(each) for each in later]
    alone = Press()
    try:
        assert alone.print(later[2]) == after[2] == after[0]
    finally:
        alone.close()
    assert not any("Names" in font for font in fonts_of(after[2]))
    assert any("Names" in font for font in fonts_of(after[1]))
    assert [signs(" ".join(texts(pdf))) for pdf in after] == [
        signs(f"Paper{name}") for name in ("Zoë, 110 lbf·ft", "Νίκος", "Zoë, 110 lbf·ft")
    ]


def test_a_second_size_of_paper_in_the_same_process_keeps_its_size(press: Press) -> None:
    boxes = [
        PdfReader(io.BytesIO(press.print(sheet("<p>x</p>", size=size)))).pages[0].mediabox
        for size in ("letter", "a4", "letter")
    ]
    assert [(round(box.width), round(box.height)) for box in boxes] == [(612, 792), (595, 842), (612, 792)]

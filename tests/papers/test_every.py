"""What holds for every paper: numbered pages, titles, structure, code, words inside the page and apart.

Rules of the machine are those of ISO 14289-1 (PDF/UA-1); the numbers are the checkpoints of the Matterhorn
Protocol 1.1, from memory. The layout is common practice.
"""

import re
from collections import Counter
from itertools import combinations, pairwise

import pikepdf
import pytest

from app.ground.codes import square
from app.ground.press import Sheet, to_pdf
from app.ground.settings import folder
from tests.papers.conftest import Printings
from tests.papers.every import ADDRESS, CASES, SIZES, Case, Printed, Word, words_of
from tests.papers.structure import tree_of

DRAWN = "canvas_full_size"  # one drawing over all its sheets, laid out anew for each size
LABELS = {"labels", "canvas_labels"}  # 70 x 38 mm, whatever the shop prints on
ALL = [
    pytest.param(case, size, id=f"{case.name}, {size}")
    for case in CASES
    for size in SIZES
    if (case.template, size) != (DRAWN, "a4")
]
every = pytest.mark.parametrize(("case", "size"), ALL)
COMMON = {"base", "shop_paper"}  # what papers stand on
MM = 72 / 25.4  # points
MARGIN = {"letter": 20.95, "a4": 18.0}  # the measure is 174 mm on both
CUT_UP = 9 * MM  # tags and cards may stand wider


def of(printings: Printings, case: Case, size: str) -> Printed:
    return printings[case.name, size]


def texts(it: Printed) -> list[str]:
    """The words of each page, as they are read."""
    return [" ".join(word.text for word in page) for page in words_of(it.pdf)]


def test_every_template_is_printed_here() -> None:
    there = {path.stem for path in (folder("templates") / "paper").glob("[!_]*.html")} - COMMON
    assert there == {case.template for case in CASES}


@every
def test_each_page_has_the_size_of_the_sheet(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        found = {(round(float(page.mediabox[2])), round(float(page.mediabox[3]))) for page in pdf.pages}
    assert found == {(198, 108) if case.template in LABELS else SIZES[size]}


@every
def test_each_page_says_which_of_how_many_of_what(printings: Printings, case: Case, size: str) -> None:
    if case.card:
        return
    it = of(printings, case, size)
    foot = it.root.find_class("foot")[0]
    said = [" ".join(span.text_content().split()) for span in foot.iter("span")]
    pages = texts(it)
    for nth, text in enumerate(pages, 1):
        assert f"page {nth} of {len(pages)}" in text
        for each in said:
            assert each in text, (nth, each)
    assert re.search(r"(issue|revision) \d", " ".join(said)), said
    assert re.fullmatch(r"[0-9a-f]{4} [0-9a-f]{4}", said[-1])  # where the chain of receipts stood


@every
def test_title_language_and_maker_are_told(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    with it.opened as pdf:
        assert str(pdf.docinfo["/Title"]) == it.root.findtext(".//title")  # 06-003, 07-001
        assert str(pdf.Root.Lang) == "en-US"  # 11-006
        assert pdf.Root.MarkInfo.Marked  # 06-001, 01-005
        assert str(pdf.docinfo["/Author"])


@every
def test_headings_follow_each_other_without_a_gap(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        levels = [int(it.kind[1]) for it in tree_of(pdf).walk() if re.fullmatch("H[1-6]", it.kind)]
    firsts = [level for level in levels if level == 1]
    assert levels[0] == 1  # 14-002
    assert len(firsts) == 1 or case.template in LABELS  # each label is headed by its part
    assert all(after - before <= 1 for before, after in pairwise(levels))  # 14-003


@every
def test_every_table_has_heads_that_say_what_they_head(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        tables = [it for it in tree_of(pdf).walk() if it.kind == "Table"]
    for table in tables:
        heads = [it for it in table.walk() if it.kind == "TH"]
        assert heads


@every
def test_every_picture_is_told_in_words(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        figures = [it for it in tree_of(pdf).walk() if it.kind == "Figure"]
    assert [it for it in figures if not it.alt.strip()] == []  # 13-004


@every
def test_headings_are_bookmarks(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    heads = [" ".join(head.text_content().split()) for head in it.root.xpath("//h1 | //h2 | //h3")]
    with it.opened as pdf, pdf.open_outline() as outline:
        assert [" ".join(each.title.split()) for each in flat(outline.root)] == heads


def flat(items: list[pikepdf.OutlineItem]) -> list[pikepdf.OutlineItem]:
    return [it for item in items for it in (item, *flat(list(item.children)))]


@every
def test_a_code_opens_the_page_of_this_issue(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    drawn = re.findall(r'<svg class="qr".*?d="([^"]+)"', it.html, re.DOTALL)
    assert drawn
    if not case.card and case.template != "jobsheet":
        assert square(f"{ADDRESS}/papers/{it.address}").path in drawn


@every
def test_no_word_stands_outside_the_measure(printings: Printings, case: Case, size: str) -> None:
    if case.template == DRAWN:
        return  # what a sheet shows of the drawing is cut at its edge
    width, height = (198, 108) if case.template in LABELS else SIZES[size]
    side = 3 * MM if case.template in LABELS else CUT_UP if case.card else MARGIN[size] * MM
    for page in words_of(of(printings, case, size).pdf):
        outside = [it for it in page if it.left < side - 1 or it.right > width - side + 1]
        outside += [it for it in page if it.top < 0 or it.bottom > height]
        assert outside == []


@every
def test_no_word_stands_on_another(printings: Printings, case: Case, size: str) -> None:
    for page in words_of(of(printings, case, size).pdf):
        assert [(a.text, b.text) for a, b in combinations(page, 2) if on_another(a, b)] == []


def on_another(a: Word, b: Word) -> bool:
    """Whether the middle halves of two words' boxes meet: the letters, not the leading."""
    across = min(a.right, b.right) - max(a.left, b.left)
    up = min(a.bottom - a.height / 4, b.bottom - b.height / 4) - max(
        a.top + a.height / 4, b.top + b.height / 4
    )
    return across > 0.5 and up > 0.5


def test_words_on_words_are_seen() -> None:
    one = Word("a", 10, 10, 30, 22)
    assert on_another(one, Word("b", 25, 12, 40, 24))
    assert not on_another(one, Word("b", 31, 10, 40, 22))
    assert not on_another(one, Word("b", 10, 20, 40, 32))  # the leading of two lines may meet


@every
def test_no_page_is_left_empty(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    foot = sum(len(span.text_content().split()) for span in it.root.xpath("//footer//span"))
    for words in words_of(it.pdf):
        assert len(words) > foot + 4  # "page 1 of 2" has four words; a blank back says that it is one


@pytest.mark.parametrize("size", SIZES)
def test_a_canvas_order_is_signed_under_something_that_is_signed(printings: Printings, size: str) -> None:
    pages = texts(printings["canvas order", size])
    [signed] = [page for page in pages if "The finished sizes and materials are as I want them." in page]
    assert "After-care" in signed  # the signatures have no page of their own


@pytest.mark.parametrize("size", SIZES)
def test_a_cut_plan_is_drawn_under_its_words(printings: Printings, size: str) -> None:
    [page] = [page for page in texts(printings["cut list", size]) if "Take 5.0 m" in page]
    assert "P2" in page.partition("Take 5.0 m")[2]


@every
def test_no_row_is_split_over_pages(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        rows = [it for it in tree_of(pdf).walk() if it.kind == "TR" and len(it.pages) > 1]
    # many plain things told in one paragraph may be longer than what is left of a page
    assert len(rows) <= of(printings, case, size).html.count('class="folded')


@pytest.mark.parametrize(
    ("name", "boxes"),
    [
        ("山田 花子", True),
        ("김민준", True),
        ("สมชาย", True),
        ("Łucja Đặng", False),
        ("Ελένη", False),
        ("ليلى", False),
    ],
)
@pytest.mark.filterwarnings("ignore:Exception ignored in:pytest.PytestUnraisableExceptionWarning")
def test_a_paper_with_boxes_for_letters_says_so(name: str, boxes: bool) -> None:
    page = f"<html lang='en'><head><title>Note</title></head><body><p>{name}</p></body></html>"
    said = " ".join(word.text for word in words_of(to_pdf(Sheet(page)))[0])
    assert ("A box stands for a letter that we cannot print" in said) == boxes


@every
def test_no_cell_of_a_table_runs_into_the_next(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    root = it.root
    for line_end in root.iter("br"):
        line_end.tail = f" {line_end.tail or ''}"
    cells = [words for cell in root.xpath("//td | //th") if (words := cell.text_content().split())]
    printed = Counter(word.text for page in words_of(it.pdf) for word in page)
    assert not Counter(words[0] for words in cells) - printed
    assert not Counter(words[-1] for words in cells) - printed

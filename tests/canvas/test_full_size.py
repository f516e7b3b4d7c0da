"""A piece at full size, printed by the real press and measured on the page."""

import io
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pikepdf
import pypdf
import pypdfium2
import pytest
from sqlalchemy import Engine

from app.canvas.full_size import sheets_of, told
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.ground.shop import shop_of
from tests.canvas import loft
from tests.conftest import Browser

Signed = Callable[[str], Browser]
POINT = 25.4 / 72  # mm: a point is 1/72 in (ISO 32000)
WALL = {"A-B": "1200", "B-C": "900", "C-D": "1200", "A-D": "900", "A-C": "1500", "B-D": "1500"}


def sheets(browser: Browser, piece: int) -> bytes:
    """The PDF of a piece at full size."""
    answer = browser.post(f"/canvas/pieces/{piece}/full-size", {"submission": new_key(), "revision": "0"})
    assert answer.status_code == 303, answer.text
    return browser.get(f"{answer.headers['location']}.pdf").content


def strokes(page: pikepdf.Page) -> list[list[complex]]:
    """Every stroked line of a page in millimetres of the paper, as the content stream draws it."""
    found: list[list[complex]] = []
    stack: list[pikepdf.Matrix] = []
    now = pikepdf.Matrix()
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "q":
                stack.append(now)
            case "Q":
                now = stack.pop()
            case "cm":
                now = pikepdf.Matrix(*map(float, operands)) @ now
            case "m" | "l" as way:
                x, y = now.transform(tuple(map(float, operands)))
                found.extend([[]] if way == "m" else [])
                found[-1].append(complex(x, y) * POINT)
    return found


def clip_of(page: pikepdf.Page) -> tuple[float, float]:
    """Lower and upper end in millimetres of the clip within which the longest stroke is drawn."""
    stack: list[tuple[pikepdf.Matrix, tuple[float, float]]] = []
    now, clip = pikepdf.Matrix(), (0.0, 1e6)
    box, longest = (0.0, 1e6), (0.0, (0.0, 1e6))
    path: list[complex] = []
    for operands, operator in pikepdf.parse_content_stream(page):
        match str(operator):
            case "q":
                stack.append((now, clip))
            case "Q":
                now, clip = stack.pop()
            case "cm":
                now = pikepdf.Matrix(*map(float, operands)) @ now
            case "re":
                x, y, _, height = map(float, operands)
                ends = [now.transform((x, at))[1] * POINT for at in (y, y + height)]
                box = (min(ends), max(ends))
            case "W":
                clip = (max(clip[0], box[0]), min(clip[1], box[1]))
            case "m" | "l" as way:
                x, y = now.transform((float(operands[0]), float(operands[1])))
                path = [complex(x, y)] if way == "m" else [*path, complex(x, y)]
                reach = max(abs(at - path[0]) for at in path)
                longest = max(longest, (reach, clip))
    return longest[1]


def boxes_of(pdf: bytes, words: str) -> list[tuple[float, float]]:
    """Of each page, the lower and the upper end in millimetres of the first letter of these words."""
    found = []
    for page in pypdfium2.PdfDocument(pdf):
        text = page.get_textpage()
        at = text.search(words).get_next()
        assert at is not None
        _, bottom, _, top = text.get_charbox(at[0])
        found.append((bottom * POINT, top * POINT))
    return found


def ticks(page: pikepdf.Page, height: float) -> list[float]:
    """Where the upright strokes of a height in millimetres stand, from the left, among the lowest ones."""
    upright = [
        it for it in strokes(page) if len(it) == 2 and abs((it[1] - it[0]) - complex(0, height)) < 0.01
    ]
    low = min(it[0].imag for it in upright)
    return sorted(it[0].real for it in upright if abs(it[0].imag - low) < 0.01)


def test_the_ruler_of_every_sheet_measures_100_mm_and_4_inches(book: Engine, signed: Signed) -> None:
    loft.ready(book)
    pdf = pikepdf.open(io.BytesIO(sheets(signed("Toni"), 1)))
    assert len(pdf.pages) > 1
    for page in pdf.pages:
        above, below = ticks(page, 3), ticks(page, -3)  # in a PDF y grows upwards
        assert above[-1] - above[0] == pytest.approx(100, abs=0.2)
        assert below[-1] - below[0] == pytest.approx(101.6, abs=0.2)
        assert (len(above), len(below)) == (11, 5)


def test_the_cut_line_is_at_full_size(book: Engine, signed: Signed) -> None:
    # 400 / 0.97 + 76 by 300 + 76 mm: 3 percent shrinkage along the warp, hems of 38 mm
    loft.ready(book)
    pdf = pikepdf.open(io.BytesIO(sheets(signed("Toni"), 1)))
    outline = max(strokes(pdf.pages[0]), key=lambda it: max((abs(at - it[0]) for at in it), default=0))
    across = max(at.real for at in outline) - min(at.real for at in outline)
    up = max(at.imag for at in outline) - min(at.imag for at in outline)
    assert across == pytest.approx(400 / 0.97 + 76, abs=0.2)
    assert up == pytest.approx(376, abs=0.2)


def test_no_line_of_the_piece_runs_through_heading_or_ruler(book: Engine, signed: Signed) -> None:
    """Letter sheets, margins of 10 mm, 10 mm of heading and 9 of ruler: the drawing ends between them.

    A PDF's y grows upwards; what is drawn beyond is cut off by the drawing's own clip.
    """
    loft.ready(book)
    printed = sheets(signed("Toni"), 1)
    pdf = pikepdf.open(io.BytesIO(printed))
    low, high = 10 + 9, 279.4 - 10 - 10
    clips = [clip_of(page) for page in pdf.pages]
    assert len(clips) == 6
    for bottom, top in clips:
        assert bottom == pytest.approx(low, abs=0.3)
        assert top == pytest.approx(high, abs=0.3)
    assert min(bottom for bottom, _ in boxes_of(printed, "Full size, sheet")) > high
    assert max(top for _, top in boxes_of(printed, "100 mm above")) < low


@pytest.mark.parametrize(("paper", "wide", "high"), [("letter", 215.9, 279.4), ("a4", 210, 297)])
def test_sheets_are_of_the_shops_paper(
    book: Engine, signed: Signed, paper: str, wide: float, high: float
) -> None:
    loft.ready(book)
    with writing(book) as session:
        shop = shop_of(session)
        shop.paper = paper
        session.add(shop)
    pages = pypdf.PdfReader(io.BytesIO(sheets(signed("Toni"), 1))).pages
    for page in pages:
        assert float(page.mediabox.width) * POINT == pytest.approx(wide, abs=0.1)
        assert float(page.mediabox.height) * POINT == pytest.approx(high, abs=0.1)


def test_every_sheet_says_what_and_where_it_is(book: Engine, signed: Signed) -> None:
    loft.ready(book)
    pages = pypdf.PdfReader(io.BytesIO(sheets(signed("Toni"), 1))).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    # letter: 488.4 by 376 mm are 1 + ceil(292.5 / 185.9) = 3 across and 1 + ceil(135.6 / 230.4) = 2 down
    assert len(texts) == 6
    for nth, mark in enumerate(("A1", "A2", "A3", "B1", "B2", "B3"), 1):
        text = texts[nth - 1]
        assert text.count(f"{mark} Full size, sheet {nth} of 6: ") == 1
        told = "K-0001, P1 Front wall, outside up, 1 from wall cloth, issue 1; sheets A1 to B3; not released"
        assert f"{told}, cut nothing" in text
        # On the order's sketch the full line is the finished one: a sheet says which it is here.
        assert "Full line: cut here. Long dashes: sewn or folded there" in text
        assert "100 mm above, 4 in below" in text


def test_how_many_sheets_is_told_before_printing(book: Engine, signed: Signed) -> None:
    loft.ready(book)
    page = signed("Toni").get("/canvas/pieces/1").text
    assert "6 sheets of letter, taped together" in page
    assert "Print these sheets" in page


def test_a_large_piece_is_a_frame_of_sheets_with_a_map(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    (cloth,) = loft.read(book, key).of_kind(loft.Kind.CLOTH)
    wall = loft.piece(book, key, "Rear wall", WALL)
    loft.sewn(book, wall, cloth.key)
    toni = signed("Toni")
    # letter: 1,200 / 0.97 + 76 by 976 mm are 1 + ceil(1,117.2 / 185.9) = 8 by 1 + ceil(735.6 / 230.4) = 5;
    # 22 of 40 lie round the rim. The finished line runs 38 mm inside the cut one: at the right, where the
    # last column shows but 11.8 mm of the piece, on three more sheets
    told_first = (
        "25 sheets of letter, taped together to a frame by a map on one more; 15 inner sheets hold no line"
    )
    assert told_first in toni.get(f"/canvas/pieces/{wall}").text
    pages = pypdf.PdfReader(io.BytesIO(sheets(toni, wall))).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    assert len(texts) == 1 + 25
    assert (
        "Map Full size, 25 sheets: K-0001, P2 Rear wall, outside up, 1 from wall cloth, issue 1" in texts[0]
    )
    assert "15 inner sheets hold no line and are not printed" in texts[0]
    # long dashes: 1,237.1 by 900 mm, across sqrt(1,237.1² + 900²) = 1,529.8
    assert "A to C 1,530 mm (60.2 in); B to D 1,530 mm (60.2 in)" in texts[0]
    assert [text.split()[0] for text in texts[1:10]] == [*(f"A{at}" for at in range(1, 9)), "B1"]
    assert "B2 Full size" not in " ".join(texts)


def test_sheets_printed_again_say_which_issue_they_replace(book: Engine, signed: Signed) -> None:
    loft.ready(book)
    toni = signed("Toni")
    first, second = (pypdf.PdfReader(io.BytesIO(sheets(toni, 1))).pages for _ in range(2))
    assert "in place of" not in first[0].extract_text()
    for page in second:
        assert "issue 2, in place of issue 1; sheets A1" in " ".join(page.extract_text().split())


def test_a_draft_has_no_sheets(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    draft = loft.piece(book, key, typed={"A-B": "400"})
    (piece,) = loft.read(book, key).pieces
    with reading(book) as session:
        says, can = told(session, piece)
    assert not can
    assert says == "P1 Front wall has no cut size yet. Wanted: its measures and edges first"
    answer = signed("Toni").post(f"/canvas/pieces/{draft}/full-size", {"submission": new_key()})
    assert answer.status_code == 422
    assert signed("Toni").post("/canvas/pieces/99/full-size", {"submission": "a"}).status_code == 404


def test_a_warp_across_is_drawn_across(book: Engine) -> None:
    (piece,) = loft.read(book, loft.ready(book)).pieces
    piece.row.warp_angle = "90"
    with reading(book) as session:
        found = sheets_of(session, piece)
    start, end = (part.split("L")[0] for part in found.warp[1:].split("L")[:2])
    assert Decimal(start.split()[0]) == Decimal(end.split()[0])


def test_sheets_are_kept_as_a_paper_of_the_order(book: Engine, signed: Signed, tmp_path: Path) -> None:
    loft.ready(book)
    toni = signed("Toni")
    sent = {"submission": new_key(), "revision": "0"}
    first = toni.post("/canvas/pieces/1/full-size", sent).headers["location"]
    assert toni.post("/canvas/pieces/1/full-size", sent).headers["location"] == first  # sent twice
    assert sheets(toni, 1) != b""
    assert "K-0001 P1" in toni.get(first).text

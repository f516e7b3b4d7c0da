"""Papers stay readable after a grey scan and a copy of the copy: nothing is drawn too thin or too pale.

Told from what the pages draw, in the printer's own numbers. Text of at least 7 to 1 against the ground is
WCAG 2.2, success criterion 1.4.6 (enhanced); the thinnest stroke of .35 pt is common practice: a scan at
150 dpi has a pixel of .48 pt, and a line much thinner is gone in the second copy.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO

import pikepdf
import pytest

from app.ground.press import Sheet, to_pdf
from tests.papers.conftest import Printings
from tests.papers.every import Case
from tests.papers.test_every import every, of

THINNEST = 0.35  # points
TEXT_CONTRAST, LINE_CONTRAST = 7.0, 3.0  # WCAG 2.2: 1.4.6 for text, 1.4.11 for what is drawn
SHOWS, STROKES = {"Tj", "TJ", "'", '"'}, {"S", "s", "B", "b", "B*", "b*"}


@dataclass(frozen=True)
class Ink:
    """What one operator puts on the page: text or a stroke, lightness 0 (black) to 1, width in points."""

    text: bool
    light: float
    width: float = 0


@dataclass
class Pen:
    """What is set when something is drawn."""

    scale: float = 1
    fill: float = 0
    stroke: float = 0
    width: float = 1


def inks(page: pikepdf.Page | pikepdf.Object, scale: float = 1) -> Iterator[Ink]:
    """Everything that a page writes and strokes, in what it includes too."""
    pen, kept = Pen(scale), list[Pen]()
    forms = page.get("/Resources", {}).get("/XObject", {})
    for operands, name in pikepdf.parse_content_stream(page):
        match str(name):
            case "q":
                kept.append(Pen(**vars(pen)))
            case "Q":
                pen = kept.pop()
            case "cm":
                a, b, c, d = (float(it) for it in list(operands)[:4])
                pen.scale *= math.sqrt(abs(a * d - b * c))
            case "w":
                pen.width = float(operands[0])
            case "g" | "rg" | "sc" | "scn" if numbers(operands):
                pen.fill = lightness(numbers(operands))
            case "G" | "RG" | "SC" | "SCN" if numbers(operands):
                pen.stroke = lightness(numbers(operands))
            case shown if shown in SHOWS:
                yield Ink(text=True, light=pen.fill)
            case drawn if drawn in STROKES:
                yield Ink(text=False, light=pen.stroke, width=pen.width * pen.scale)
            case "Do" if forms[str(operands[0])].get("/Subtype") == "/Form":
                yield from inks(forms[str(operands[0])], pen.scale)


def numbers(operands: object) -> list[float]:
    """The numbers of a colour operator; a pattern's name is left out."""
    return [float(it) for it in operands if not isinstance(it, pikepdf.Name)]  # type: ignore[attr-defined]


def lightness(colour: list[float]) -> float:
    """Relative luminance of grey or red, green and blue: WCAG 2.2, its definition."""
    red, green, blue = colour if len(colour) == 3 else [colour[0]] * 3
    linear = [it / 12.92 if it <= 0.04045 else ((it + 0.055) / 1.055) ** 2.4 for it in (red, green, blue)]
    return sum(share * it for share, it in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def on_white(light: float) -> float:
    """Contrast to white paper."""
    return 1.05 / (light + 0.05)


def faults(pdf: pikepdf.Pdf) -> list[tuple[int, Ink]]:
    """What is too pale or too thin, by page. White is for what stands on black."""
    return [(nth, ink) for nth, page in enumerate(pdf.pages, 1) for ink in inks(page) if too_weak(ink)]


def too_weak(ink: Ink) -> bool:
    """Whether a copy of a copy may lose it."""
    if not ink.text and ink.width < THINNEST:
        return True
    least = TEXT_CONTRAST if ink.text else LINE_CONTRAST
    return ink.light < 0.99 and on_white(ink.light) < least


@every
def test_nothing_on_a_paper_is_too_thin_or_too_pale_to_be_copied(
    printings: Printings, case: Case, size: str
) -> None:
    with of(printings, case, size).opened as pdf:
        assert any(ink.text for page in pdf.pages for ink in inks(page))
        assert faults(pdf) == []


@pytest.mark.filterwarnings("ignore:Exception ignored in:pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize(
    ("drawn", "weak"),
    [
        ("<p style='color: #595959'>grey</p>", False),  # 7.0 to 1 on white
        ("<p style='color: #5f5f5f'>grey</p>", True),
        ("<p style='color: #e00000'>red</p>", True),  # 5.0 to 1: a copier reads it as grey
        ("<p>black</p>", False),
        ("<svg width='9mm' height='9mm'><path d='M0 0h9' stroke='black' stroke-width='.3'/></svg>", True),
        ("<svg width='9mm' height='9mm'><path d='M0 0h9' stroke='black' stroke-width='.5'/></svg>", False),
        ("<svg width='9mm' height='9mm'><path d='M0 0h9' stroke='#bbb' stroke-width='2'/></svg>", True),
    ],
)
def test_what_is_too_weak_is_found(drawn: str, weak: bool) -> None:
    page = f"<!DOCTYPE html><html lang='en'><head><title>Note</title></head><body>{drawn}</body></html>"
    with pikepdf.open(BytesIO(to_pdf(Sheet(page)))) as pdf:
        assert bool(faults(pdf)) == weak

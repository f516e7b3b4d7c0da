"""Signs that our fonts lack: what they hold is read from them, and what they lack is told on paper."""

from pathlib import Path
from unicodedata import category

import pytest
from fontTools.ttLib import TTFont

from app.ground.press import Sheet, to_pdf
from app.ground.settings import folder
from app.ground.signs import printable
from app.trade.letters import BEYOND_LATIN, NO_LETTERS
from tests.papers.every import words_of

PAGE = "<!DOCTYPE html><html lang='en'><head><title>Note</title></head><body><p>{}</p></body></html>"
NEVER_DRAWN = range(0xFE00, 0xFE10)  # they choose the form of the sign before them


def held(names: str) -> set[str]:
    """The letters of the fonts of some files."""
    return {chr(code) for path in (folder("static") / "fonts").glob(names) for code in letters_in(path)}


def letters_in(path: Path) -> set[int]:
    """The codes of a font."""
    with TTFont(path) as font:
        return set(font.getBestCmap())


def test_what_can_be_printed_is_what_the_fonts_hold() -> None:
    latin, names = held("[ab]*-latin-*.woff2"), held("noto-*.woff2")
    ours = latin | {letter for letter in names if BEYOND_LATIN.match(letter)}
    seen = [chr(code) for code in range(0x20, 0x30000) if category(chr(code))[0] in "LMNPS"]
    assert len(seen) > 100_000
    wrong = [it for it in seen if (it in ours) == bool(NO_LETTERS.match(it))]
    assert [it for it in wrong if ord(it) not in NEVER_DRAWN] == []


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("crack 1⅜ in", "crack 1 3⁄8 in"),  # Unicode: U+215C is 3, U+2044, 8
        ("⅝ bolt, ⅓ worn", "5⁄8 bolt, 1⁄3 worn"),
        ("½ in, 1¾ in", "½ in, 1¾ in"),  # the fonts have these
        ("≥ 95 → 110", "&gt;= 95 -&gt; 110"),
        ("non‑stop", "non-stop"),
    ],
)
def test_signs_are_written_with_others_that_say_the_same(typed: str, told: str) -> None:
    assert printable(f"<p>{typed}</p>") == f"<p>{told}</p>"


@pytest.mark.filterwarnings("ignore:Exception ignored in:pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize(
    ("typed", "boxes"),
    [("1⅜ in, ≥ 95", False), ("done ✓", True), ("\N{TRACTOR} towed", True), ("15 ☐", True), ("15 Ω", False)],
)
def test_a_sign_that_is_left_is_told_as_a_box(typed: str, boxes: bool) -> None:
    page = words_of(to_pdf(Sheet(printable(PAGE.format(typed)))))[0]
    assert ("A box stands for a letter" in " ".join(word.text for word in page)) == boxes

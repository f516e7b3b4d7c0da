"""The joined style sheet, and the rules of the look that a machine can hold."""

import re
from pathlib import Path

import pytest

from app.ground import sheets
from app.ground.settings import folder

CSS = folder("static") / "css"
SCREENS = sorted(path for path in CSS.rglob("*.css") if not path.name.startswith("paper"))


def test_every_sheet_is_joined_once_in_its_layer() -> None:
    joined = sheets.joined()
    assert "@import" not in joined
    for path in SCREENS:
        if path.name != "sheet.css":
            assert path.read_text().strip()[:200] in joined, path


def test_every_file_that_the_sheet_names_is_there_and_braces_match() -> None:
    joined = sheets.joined()
    for name in re.findall(r'url\("([^"]+)"\)', joined):
        assert name.startswith("data:") or (folder("static") / name).is_file(), name
    assert joined.count("{") == joined.count("}")


@pytest.mark.parametrize("path", SCREENS, ids=lambda path: path.name)
def test_colours_stand_in_the_tokens_only(path: Path) -> None:
    if path.name == "tokens.css":
        return
    text = re.sub(r"/\*.*?\*/", "", path.read_text(), flags=re.DOTALL)
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", text) == []


def luminance(colour: str) -> float:
    """Relative luminance: WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio: WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def tokens(theme: int) -> dict[str, str]:
    pairs = re.findall(r"--([\w-]+): light-dark\((#\w{6}), (#\w{6})\)", (CSS / "tokens.css").read_text())
    return {name: both[theme] for name, *both in pairs}


def test_black_on_white_has_the_contrast_that_the_standard_says() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)  # WCAG 2.2, 1.4.3: from 1 to 21


@pytest.mark.parametrize("theme", [0, 1], ids=["yard", "bay"])
def test_words_marks_and_borders_stand_out_in_both_themes(theme: int) -> None:
    colour = tokens(theme)
    for ground in ("paper", "field"):
        for word in ("ink", "ink-2"):
            assert contrast(colour[word], colour[ground]) >= 7, (word, ground)  # WCAG 2.2, 1.4.6
        for mark in ("unseen", "sound", "watch", "needs"):
            assert contrast(colour[mark], colour[ground]) >= 4.5, (mark, ground)  # our own bar
        assert contrast(colour["rule"], colour[ground]) >= 3, ground  # WCAG 2.2, 1.4.11
    assert contrast(colour["on-ink"], colour["ink"]) >= 7


def test_black_is_the_only_colour_of_the_papers() -> None:
    text = re.sub(r"/\*.*?\*/", "", (CSS / "paper.css").read_text(), flags=re.DOTALL)
    found = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", text))
    assert found <= {"#000", "#fff"}

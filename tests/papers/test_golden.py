"""Papers against their kept pictures: the letters may be drawn a little otherwise, nothing may have moved."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image, ImageFilter

from app.ground.book import open_book
from app.ground.press import Press, Sheet
from tests.papers.golden import CASES, KEPT, Shot, differing, sheet, shots

AS_BEFORE = 0.002  # of a page's tiles


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    """The press, whose process has no fonts but ours."""
    made = Press()
    yield made
    made.close()


@pytest.fixture(scope="module")
def sheets(furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Sheet]:
    made = {}
    for name in CASES:
        book = open_book(Path(shutil.copy(furnished, tmp_path_factory.mktemp("golden") / "castlenut.db")))
        made[name] = sheet(name, book)
        book.dispose()
    return made


def worst(found: list[Shot]) -> tuple[float, str]:
    """The page that differs most from its picture."""
    return max((differing(it.picture, Image.open(it.file).convert("L")), it.name) for it in found)


@pytest.mark.parametrize("name", CASES)
def test_a_paper_looks_as_it_did(sheets: dict[str, Sheet], press: Press, name: str) -> None:
    found = list(shots(name, sheets[name], press))
    assert {it.file for it in found} == set(KEPT.glob(f"{name}-[al]*.png"))
    differs, where = worst(found)
    assert differs <= AS_BEFORE, f"{where}: if it is meant, python -m tests.papers.golden and look at it"


@pytest.mark.parametrize(
    ("name", "moved"),
    [
        ("handover-typical", ".ask { padding-left: 39mm !important }"),
        ("handover-typical", ".w-done { width: 42mm !important }"),
        ("handover-extreme", ".stops .state { width: 46mm !important }"),
        ("estimate", ".col-work { width: 101mm !important }"),
        ("handover-short", ".tag { margin-bottom: 9mm !important }"),
    ],
)
def test_a_moved_column_is_seen(sheets: dict[str, Sheet], press: Press, name: str, moved: str) -> None:
    changed = replace(
        sheets[name], html=sheets[name].html.replace("</head>", f"<style>{moved}</style></head>")
    )
    assert worst(list(shots(name, changed, press)))[0] > AS_BEFORE


@pytest.mark.parametrize("name", CASES)
def test_softer_letters_are_the_same_page(name: str) -> None:
    for path in KEPT.glob(f"{name}-[al]*.png"):
        page = Image.open(path).convert("L")
        assert differing(page, page.filter(ImageFilter.GaussianBlur(0.4))) <= AS_BEFORE


def test_the_pictures_are_small() -> None:
    assert sum(path.stat().st_size for path in KEPT.glob("*.png")) < 2_000_000

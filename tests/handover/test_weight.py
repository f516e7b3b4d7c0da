"""The weight of a handover with photos: light enough to be sent, each photo made small once."""

import io
import os
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from PIL import Image
from pypdf import PdfReader
from sqlalchemy import Engine

from app.ground import files, photos
from app.ground.book import reading
from app.ground.papers import Printer
from app.ground.press import Press
from app.ground.tables import Document
from app.handover.papers import handover_paper, paper_act
from app.handover.tables import Handover
from tests.conftest import act
from tests.handover.stays import ready, with_photo

LARGEST = 1_000_000  # bytes of a handover of about four pages with six photos
PHOTOS = 6


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


def taken(size: tuple[int, int] = (4000, 3000)) -> bytes:
    """A photo as a tablet sends it, as full of detail as no real one is: every dot of a coarse grid anew."""
    coarse = Image.frombytes("RGB", (800, 600), os.urandom(800 * 600 * 3))
    out = io.BytesIO()
    coarse.resize(size).save(out, "JPEG", quality=95)
    return out.getvalue()


def test_a_handover_with_six_large_photos_weighs_a_megabyte_at_most(
    book: Engine, tmp_path: Path, press: Press
) -> None:
    made = ready(book)
    shots = [taken() for _ in range(PHOTOS)]
    assert min(map(len, shots)) > 2_000_000  # or they are not large
    for shot in shots:
        with_photo(made, "VIN plate", tmp_path, content=shot)
    pdf = printed(book, made.hand_over(), tmp_path, press)
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        images = {it.objgen: it for page in opened.pages for it in page.get_images().values()}
        sizes = [(int(it.Width), int(it.Height)) for it in images.values()]
    assert sizes == [(496, 372)] * PHOTOS
    assert len(PdfReader(io.BytesIO(pdf)).pages) >= 4
    assert len(pdf) <= LARGEST
    assert len(list((tmp_path / photos.COPIES).glob("??/*"))) == PHOTOS


def printed(book: Engine, handover: int, kept: Path, press: Press) -> bytes:
    """A handover's paper, as kept."""
    with reading(book) as session:
        row = session.get_one(Handover, handover)
    key = Printer(book, press, kept).issue(paper_act(act(), row), handover_paper(row))
    with reading(book) as session:
        return files.read(kept, session.get_one(Document, key).sha256)

"""The whole main job in a real browser: with scripts, without them, and the same rows at the end."""

import io
import sqlite3
import urllib.request
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.bench.rules import NewInstrument
from app.bench.steps import keep_instrument
from app.ground import backups, files
from app.ground.book import reading
from app.ground.tables import Document
from app.handover.tables import Handover
from tests.browser.conftest import TABLET, Desk, Shop, running
from tests.browser.main_job import MainJob
from tests.conftest import act

Desks = Callable[..., Desk]
LEFT_OUT = {"created_at", "submission", "sent", "before", "stood", "sha256", "size", "device", "snapshot"}


WRENCH = NewInstrument(
    "Wrench 2", "torque wrench", "lbf_ft", "30", "250", "1", date(2026, 1, 1), date(2099, 1, 1), active=True
)


@pytest.fixture
def wrench(shop: Shop) -> None:
    """The shop has a wrench that is in date."""
    keep_instrument(shop.book, act(), WRENCH)


def run(desk: Desks, look: Callable[[Desk], None], **how: object) -> str:
    writer, technician, lead = (desk(viewport=TABLET, **how) for _ in range(3))
    return MainJob(writer, technician, lead, look).run()


def essence(book: Engine) -> dict[str, list[tuple[object, ...]]]:
    """The rows of all tables but what differs between two runs: times, keys of acts, hashes."""
    found: dict[str, list[tuple[object, ...]]] = {}
    with sqlite3.connect(str(book.url.database)) as raw:
        raw.row_factory = sqlite3.Row
        for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
            rows = raw.execute(f'SELECT * FROM "{name}" ORDER BY 1').fetchall()
            if name not in ("signin", "alembic_version"):
                found[name] = [_told(row) for row in rows]
    raw.close()
    return found


def _told(row: sqlite3.Row) -> tuple[object, ...]:
    times = {name for name in row.keys() if name.endswith(("_at", "hash"))}  # noqa: SIM118 - a Row is no dict
    return tuple(row[name] for name in row.keys() if name not in LEFT_OUT | times)  # noqa: SIM118


def test_a_newcomer_does_the_whole_job_and_every_page_is_sound(desk: Desks, shop: Shop, wrench: None) -> None:
    faults: list[str] = []
    paper = run(desk, lambda it: faults.extend(it.faults()))
    assert faults == []
    assert backups.verify(shop.settings) == []
    with reading(shop.book) as session:
        document = session.exec(select(Document).where(Document.kind == "handover")).one()
        handed = session.exec(select(Handover)).one()
    assert paper == f"/papers/{document.id}.pdf"
    assert handed.fit
    text = text_of(files.read(shop.settings.files, document.sha256))
    for figure in ("You may tow it", "Rosalind Achterberg", handed.number, "90 to 120", "105", "60"):
        assert figure in text, figure


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


@pytest.fixture
def other(tmp_path: Path, furnished: Path) -> Iterator[Shop]:
    """A second shop, as furnished as the first."""
    with running(tmp_path / "other", furnished) as made:
        yield made


def test_the_same_taps_without_script_leave_the_same_rows(
    desk: Desks, shop: Shop, other: Shop, wrench: None, contexts: Callable[..., BrowserContext]
) -> None:
    run(desk, lambda _: None)
    scripted = essence(shop.book)
    keep_instrument(other.book, act(), WRENCH)

    def plain(**how: object) -> Desk:
        return Desk(contexts(java_script_enabled=False, **how).new_page(), other.address, [])

    run(plain, lambda _: None)
    assert essence(other.book) == scripted


def test_a_stranger_with_the_papers_address_sees_no_paper(shop: Shop) -> None:
    with urllib.request.urlopen(f"{shop.address}/papers/1.pdf") as answer:
        assert "Sign in" in answer.read().decode()

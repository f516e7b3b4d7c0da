"""Handovers made ready before they are signed: the same paper as one rendered whole, or not used at all."""

import io
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import files, press
from app.ground.book import reading, writing
from app.ground.papers import Printer, page_of
from app.ground.press import Press
from app.ground.series import dated_number
from app.ground.shop import shop_of
from app.ground.tables import Document
from app.handover import steps
from app.handover.papers import as_json, handover_paper, paper_act
from app.handover.record import Record
from app.handover.rules import Leaving
from app.handover.tables import Handover
from tests.conftest import NOON, act
from tests.handover.stays import WREN, Stay, ready, towed, with_photo
from tests.papers import test_archive
from tests.papers.every import CASES, Printed
from tests.papers.machine import file_faults
from tests.papers.structure import tree_of


class Watched(Press):
    """A press that tells how each paper was made."""

    def __init__(self) -> None:
        super().__init__()
        self.made: list[str] = []

    def _made(self, seconds: float, make: Callable[..., bytes], *of: object) -> bytes:
        self.made.append(make.__name__)
        return super()._made(seconds, make, *of)


READY, WHOLE, SET_IN = (it.__name__ for it in (press.rendered_ready, press.to_pdf, press.set_in))


@pytest.fixture(scope="module")
def one_press() -> Iterator[Watched]:
    made = Watched()
    yield made
    made.close()


@pytest.fixture
def watched(one_press: Watched) -> Watched:
    """A press that has made nothing ready, as after a start."""
    one_press._ready.clear()
    one_press.made.clear()
    return one_press


@pytest.fixture
def printer(book: Engine, tmp_path: Path, watched: Watched) -> Printer:
    return Printer(book, watched, tmp_path / "files", "http://shop.example:8377")


def make_ready(printer: Printer, made: Stay) -> None:
    """What the handover page has done when it is shown."""
    for row in steps.expected(printer.book, act(person=WREN), made.order):
        printer.make_ready(act(person=WREN), handover_paper(row))


def row_of(book: Engine, key: int) -> Handover:
    with reading(book) as session:
        return session.get_one(Handover, key)


def printed(printer: Printer, key: int) -> bytes:
    """A handover's paper, as kept."""
    row = row_of(printer.book, key)
    document = printer.issue(paper_act(act(), row), handover_paper(row))
    with reading(printer.book) as session:
        return files.read(printer.folder, session.get_one(Document, document).sha256)


def signs(pdf: bytes) -> list[Counter[str]]:
    """How often each sign stands on each page; a reader finds the late facts in an order of its own."""
    return [Counter("".join(page.extract_text().split())) for page in PdfReader(io.BytesIO(pdf)).pages]


def structure(pdf: bytes) -> list[tuple[str, str]]:
    """Types and alternative texts in reading order, without what only groups and without runs of text."""
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        nodes = [(it.kind, it.alt) for it in tree_of(opened).walk()]
    return [it for it in nodes if it[0] not in ("NonStruct", "Span")]


SIGNED = (towed(), replace(towed(), signature="", on_paper=True))


@pytest.mark.parametrize("leaving", SIGNED, ids=["on the tablet", "on paper"])
def test_a_paper_made_ready_says_what_one_rendered_whole_says(
    book: Engine, printer: Printer, watched: Watched, leaving: Leaving
) -> None:
    made = ready(book)
    with_photo(made, "VIN plate", printer.folder)
    make_ready(printer, made)
    assert watched.made == [READY, READY]  # signed on the tablet, and on paper
    key = made.hand_over(leaving)
    pdf = printed(printer, key)
    assert watched.made[2:] == [SET_IN]
    row = row_of(book, key)
    html, size = _page(printer, row)
    paper = handover_paper(row)
    whole = watched._made(60, press.to_pdf, press.Sheet(html, size, printer._pictures(paper), paper.enclosed))
    assert signs(pdf) == signs(whole)
    assert structure(pdf) == structure(whole)
    text = "".join("".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)
    record = Record.model_validate(row.snapshot)
    for said in (record.handed.taken_by, record.handed.by, record.handed.witness[:4], record.handed.number):
        assert "".join(said.split()) in text
    with pikepdf.open(io.BytesIO(pdf)) as opened, pikepdf.open(io.BytesIO(whole)) as other:
        assert opened.attachments["record.json"].get_file().read_bytes() == as_json(row.snapshot)
        assert set(opened.attachments) == set(other.attachments)
        assert opened.Root.Metadata.read_bytes() == other.Root.Metadata.read_bytes()  # both claims
        assert len(opened.Root.AF) == len(other.Root.AF)
        assert not [it for it in opened.objects if _keeps_a_place(it)]


RULES = (
    test_archive.test_it_claims_both_and_says_what_it_claims,
    test_archive.test_everything_shown_is_content_with_a_tag_or_an_artifact,
    test_archive.test_tags_are_the_standard_ones_and_nothing_is_tagged_twice,
    test_archive.test_a_row_stands_in_a_table_and_a_cell_in_a_row,
    test_archive.test_every_head_of_a_table_says_what_it_heads,
    test_archive.test_fonts_are_inside_and_their_letters_can_be_read_out,
    test_archive.test_nothing_moves_plays_or_runs,
    test_archive.test_what_is_enclosed_says_its_name_and_how_it_belongs,
)


def test_a_paper_that_was_set_in_keeps_the_rules_of_both_claims(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    key = made.hand_over(replace(towed(), signature="M10 10L200 60"))
    pdf = printed(printer, key)
    assert watched.made[-1] == SET_IN
    html, size = _page(printer, row_of(book, key))
    case = next(it for it in CASES if it.template == "handover")
    for rule in RULES:
        rule({(case.name, size): Printed(case.name, size, html, pdf, "")}, case, size)
    assert file_faults(pdf) == []


def _keeps_a_place(part: Any) -> bool:  # noqa: ANN401
    return isinstance(part, pikepdf.Dictionary) and str(part.get("/Alt", "")).startswith("late-")


def _page(printer: Printer, row: Handover) -> tuple[str, str]:
    with reading(printer.book) as session:
        return page_of(session, handover_paper(row), act(), row.issue, printer.address)


def test_a_fact_that_changed_in_between_is_never_told_as_it_was(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    with writing(book) as session:
        shop_of(session).phone = "555 0199"
    pdf = printed(printer, made.hand_over())
    assert watched.made[2:] == [WHOLE]
    assert "555 0199" in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


def test_another_handover_in_between_takes_the_number_and_the_paper_is_rendered_whole(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    with writing(book) as session:
        dated_number(session, "handover", NOON.year)
    key = made.hand_over()
    pdf = printed(printer, key)
    assert watched.made[2:] == [WHOLE]
    assert row_of(book, key).number in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


def test_after_a_restart_the_paper_is_rendered_whole(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    fresh = Watched()
    try:
        printed(replace(printer, press=fresh), made.hand_over())
        assert fresh.made == [WHOLE]
    finally:
        fresh.close()


def test_a_name_larger_than_its_place_is_printed_whole_and_not_cut(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    name = "Rosalind " * 8 + "Achterb"
    pdf = printed(printer, made.hand_over(replace(towed(), taken_by=name)))
    assert watched.made[2:] == [SET_IN, WHOLE]
    text = "".join("".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)
    assert "".join(name.split()) in text


def test_the_same_handover_printed_again_is_one_document(
    book: Engine, printer: Printer, watched: Watched
) -> None:
    made = ready(book)
    make_ready(printer, made)
    make_ready(printer, made)
    assert watched.made == [READY, READY]  # made ready once
    key = made.hand_over()
    assert printed(printer, key) == printed(printer, key)
    with reading(book) as session:
        assert len(list(session.exec(select(Document)))) == 1


def test_nothing_is_made_ready_that_may_not_leave_or_has_left(book: Engine, printer: Printer) -> None:
    made = ready(book)
    assert len(list(steps.expected(book, act(person=WREN), made.order))) == 2
    made.hand_over()
    assert list(steps.expected(book, act(person=WREN), made.order)) == []

"""The inspection report: what a walk-round found, on paper for somebody who is about to buy."""

import io
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.ground import files
from app.ground.book import reading, writing
from app.ground.papers import Printer
from app.ground.press import Press
from app.ground.tables import Document
from app.handover.inspected import KIND, Page, Report, report_of, report_paper
from app.handover.papers import stations_of
from app.handover.record import schema_of
from app.inspection.tables import Walk
from app.trade.figure import Grade
from tests.conftest import Browser, act
from tests.handover.stays import ALARM, HUB, NUTS, ROOF, SEAL, SOUND, USUAL, Stay, stay, with_photo
from tests.handover.test_papers import bare, flat

Sign = Callable[[str], Browser]
BUYER = "Tomasz Wiśniewski"


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


def reported(made: Stay) -> Report:
    """What the report on a stay says at noon."""
    with reading(made.book) as session:
        found = report_of(session, made.order, act(person=2))
    assert found is not None
    return found


def page_of(report: Report) -> Page:
    """As its template is given it."""
    return Page(report, tuple(stations_of(report.lines)))


def printed(made: Stay, press: Press, folder: Path) -> bytes:
    """The paper of a report, as kept."""
    printer = Printer(made.book, press, folder)
    key = printer.issue(act(person=2), report_paper(reported(made), made.order))
    with reading(made.book) as session:
        return files.read(folder, session.get_one(Document, key).sha256)


def text_of(pdf: bytes) -> str:
    """Its words."""
    return flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))


def test_everything_found_and_not_seen_reads_back(book: Engine, press: Press, tmp_path: Path) -> None:
    made = stay(book, [*USUAL, HUB], owner=BUYER, depth="prepurchase")
    with_photo(made, NUTS.name, tmp_path)
    text = bare(text_of(printed(made, press, tmp_path)))
    report = reported(made)
    assert bare(f"What we found on this unit for {BUYER}.") in text
    assert bare("Walk-round before buying, 4 May 2026, 12:00") in text
    assert bare("Do not tow. One finding holds it: Nuts in place, right wheel, axle 2.") in text
    for line in report.lines:
        assert bare(line.name.removesuffix(f", {line.where}")) in text
        assert bare(line.got[1:]) in text
    for figure in report.figures:
        assert bare(figure.formula) in text
        assert bare(figure.says) in text
    for warned in report.cautions:
        assert bare(warned.avoid) in text
    for photo in report.photos:
        assert bare(photo.caption) in text


def test_the_heaviest_stands_first_and_unseen_apart(book: Engine) -> None:
    page = page_of(reported(stay(book, [*SOUND, ROOF, ALARM, SEAL, NUTS, HUB])))
    assert [line.name for line in page.found] == [NUTS.name, ALARM.name, SEAL.name]
    assert {line.name for line in page.unseen} == {ROOF.name, HUB.name}
    assert page.looked == len(SOUND) - 1 + 3  # the spring bars are not fitted
    assert page.lookers == ("Toni",)


def test_a_unit_that_needs_nothing_is_said_so(book: Engine, press: Press, tmp_path: Path) -> None:
    text = text_of(printed(stay(book, SOUND), press, tmp_path))
    assert "Nothing that we looked at needs anything now." in text
    assert "What we did not see" not in text
    assert "It may be towed." in text


def test_the_report_is_inside_as_a_program_reads_it(book: Engine, press: Press, tmp_path: Path) -> None:
    made = stay(book, [*USUAL, HUB])
    with pikepdf.open(io.BytesIO(printed(made, press, tmp_path))) as pdf:
        assert set(pdf.attachments) == {"record.json"}
        inside = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert Report.model_validate(inside) == reported(made)
    assert set(inside) == set(schema_of(Report)["properties"])


def test_a_second_report_is_the_next_issue_and_says_whose_place_it_takes(
    book: Engine, press: Press, tmp_path: Path
) -> None:
    made = stay(book, SOUND)
    first, second = (text_of(printed(made, press, tmp_path)) for _ in range(2))
    assert "Inspection report WO-000001, issue 1" in first
    assert "In place of" not in first
    assert "Inspection report WO-000001, issue 2" in second
    assert "In place of issue 1" in second


def test_it_is_printed_from_the_sum_of_the_walk_round(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS], depth="prepurchase")
    toni = signed("Toni")
    page = toni.get(f"/inspection/walks/{made.walk}/sum-up").text
    assert f'action="/handover/{made.order}/inspection-report"' in page
    answer = toni.post(f"/handover/{made.order}/inspection-report", {"submission": "r-1", "revision": "0"})
    assert answer.status_code == 303
    assert toni.get(answer.headers["location"]).content.startswith(b"%PDF-")
    again = toni.post(f"/handover/{made.order}/inspection-report", {"submission": "r-1", "revision": "0"})
    assert again.headers["location"] == answer.headers["location"]
    with reading(book) as session:
        document = session.get_one(Document, 1)
    assert (document.kind, document.number, document.work_order_id) == (KIND, "WO-000001", made.order)


def test_a_walk_round_that_goes_on_is_not_reported(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    with writing(book) as session:
        session.get_one(Walk, made.walk).ended_at = None
    toni = signed("Toni")
    assert "inspection-report" not in toni.get(f"/inspection/walks/{made.walk}/sum-up").text
    answer = toni.post(f"/handover/{made.order}/inspection-report", {"submission": "r-1", "revision": "0"})
    assert answer.status_code == 422
    assert "The walk-round is not ended." in answer.text
    assert toni.post("/handover/99/inspection-report", {"submission": "r-2"}).status_code == 404


def test_the_schema_of_the_report_can_be_asked_for(signed: Sign) -> None:
    answer = signed("Toni").get("/handover/inspection-schema.json")
    assert answer.headers["content-type"] == "application/schema+json"
    assert answer.json() == schema_of(Report)


def test_many_black_rows_become_a_boxed_list(book: Engine) -> None:
    found = [replace(NUTS, name=f"Nuts {n}", place=f"wheel-{n}-right") for n in range(6)]
    made = stay(book, found)
    assert page_of(reported(made)).many
    assert reported(made).state is Grade.DNT

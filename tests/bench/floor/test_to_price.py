"""What was found and is answered by no work: said on yard, order, jobs, estimate and paper."""

import re
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlmodel import select

from app.bench import steps
from app.bench.facts import to_price
from app.bench.floor import steps as floor
from app.bench.floor.found import FoundMore, Weighs, find_more
from app.bench.rules import Evidence, How
from app.bench.tables import Job
from app.estimate.facts import ledger, newest_revision, priced_findings, sheet
from app.estimate.rules import Group, NewWork
from app.estimate.steps import add_work
from app.estimate.tables import WorkLine
from app.ground.book import reading, writing
from app.trade.figure import Grade
from app.yard import facts as yard
from app.yard.rules import WaitsFor
from tests.bench.stay import LATER, LEE, TONI, WREN, Stay
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
TORN = "Door frame bent by the last tow"
SAID = FoundMore(0, Weighs.DNT, TORN)


@pytest.fixture
def bare(here: Stay, tmp_path: Path) -> int:
    """A do-not-tow finding made at job 1, at a check that no kit answers."""
    here.work(answers=[here.finding("dnt")])
    steps.open_jobs(here.book, act(TONI), here.order)
    floor.clock_on(here.book, act(TONI), 1)
    place = here.finding("sound", check="id.history", place="unit")
    with reading(here.book) as session:
        seen = session.get_one(Job, 1).revision
    return find_more(here.book, act(TONI, seen=seen), 1, FoundMore(place, Weighs.DNT, TORN), tmp_path)


def unpriced(here: Stay) -> list[int]:
    with reading(here.book) as session:
        return [line.id for line in to_price(session, here.order)]


def row_of(here: Stay) -> yard.BoardRow:
    with reading(here.book) as session:
        (row,) = yard.rows_of(session, [here.order], LATER)
    return row


def write_work(here: Stay, *findings: int) -> int:
    with reading(here.book) as session:
        newest = newest_revision(session, here.order)
    assert newest is not None
    new = NewWork("Straighten the door frame", Group.MUST, hours="2", finding_ids=findings)
    return add_work(here.book, act(WREN, seen=newest.revision), here.order, new)


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages).split())


def test_what_no_kit_answers_is_to_be_priced(here: Stay, bare: int) -> None:
    assert unpriced(here) == [bare]


def test_a_work_written_by_hand_answers_it_on_a_supplement(here: Stay, bare: int) -> None:
    write_work(here, bare)
    with reading(here.book) as session:
        newest = newest_revision(session, here.order)
        assert bare in priced_findings(session, here.order)
    assert newest is not None
    assert (newest.n, newest.frozen_at) == (2, None)
    assert unpriced(here) == []


def test_a_work_taken_off_the_revision_answers_nothing_any_more(here: Stay, bare: int) -> None:
    work = write_work(here, bare)
    with writing(here.book) as session:
        for line in session.exec(select(WorkLine).where(WorkLine.work_id == work)):
            session.delete(line)
    assert unpriced(here) == [bare]
    assert row_of(here).stage.waits_for.startswith("1 finding to be priced")


def test_a_work_for_something_else_leaves_it_to_be_priced(here: Stay, bare: int) -> None:
    write_work(here)
    assert unpriced(here) == [bare]


def test_a_second_look_at_it_asks_for_no_second_price(here: Stay, bare: int) -> None:
    write_work(here, bare)
    here.finding("dnt", check="id.history", place="unit", second=True, at=LATER)
    assert unpriced(here) == []


@pytest.mark.parametrize("grade", ["watch", "sound", "unseen"])
def test_what_asks_for_no_work_now_is_not_waited_for(here: Stay, grade: str) -> None:
    here.finding(grade, check="id.history", place="unit")
    assert unpriced(here) == []


def test_what_was_cleared_by_a_lead_is_priced_no_more(here: Stay, bare: int) -> None:
    with reading(here.book) as session:
        seen = to_price(session, here.order)[0].revision
    why = Evidence(How.LEAD, reason="Straightened under the maker's recall, letter kept")
    steps.clear_finding(here.book, act(LEE, at=LATER, seen=seen), bare, why)
    assert unpriced(here) == []
    assert "to be priced" not in row_of(here).stage.waits_for
    with reading(here.book) as session:
        assert ledger(session, here.order, NOON.date()).to_price == ()


def test_the_yard_says_so_and_that_it_waits_for_us(here: Stay, bare: int) -> None:
    stage = row_of(here).stage
    assert stage.waits is WaitsFor.US
    assert stage.waits_for.startswith("1 finding to be priced; ")
    write_work(here, bare)
    assert "to be priced" not in row_of(here).stage.waits_for


def test_every_page_says_so_with_the_way_to_its_work(signed: Signed, here: Stay, bare: int) -> None:
    wren = signed("Wren")
    way = f"/estimate/{here.order}/add?finding={bare}"
    assert "1 finding to be priced" in wren.get("/").text
    for page in (f"/orders/{here.order}", f"/bench/orders/{here.order}", f"/estimate/{here.order}"):
        text = wren.get(page).text
        assert "To be priced" in text, page
        assert (TORN in text, way in text) == (True, True), page


def test_a_technician_reads_it_but_writes_no_price(signed: Signed, here: Stay, bare: int) -> None:
    toni = signed("Toni")
    for page in (f"/orders/{here.order}", f"/bench/orders/{here.order}", f"/estimate/{here.order}"):
        text = toni.get(page).text
        assert "To be priced" in text, page
        assert "/add?finding=" not in text, page


def test_its_form_has_the_finding_ticked_and_keeps_the_work(signed: Signed, here: Stay, bare: int) -> None:
    wren = signed("Wren")
    form = wren.get(f"/estimate/{here.order}/add?finding={bare}").text
    assert re.search(rf'name="findings" value="{bare}" checked', form)
    page = f"/orders/{here.order}"
    assert "To be priced" in wren.get(page).text
    write_work(here, bare)
    assert "To be priced" not in wren.get(page).text


def test_the_sheet_leaves_out_what_is_only_watched(here: Stay, bare: int) -> None:
    here.finding("watch", check="bo.seam", place="side-road")
    with reading(here.book) as session:
        made = sheet(session, here.order, NOON.date())
    assert [it.id for it in made.to_price if it.grade is not Grade.DNT] == []
    assert bare in {it.id for it in made.to_price}


def test_the_printed_estimate_says_what_is_in_no_sum(signed: Signed, here: Stay, bare: int) -> None:
    write_work(here)
    wren = signed("Wren")
    with reading(here.book) as session:
        newest = newest_revision(session, here.order)
    assert newest is not None
    sent = {"submission": "print-1", "revision": str(newest.revision)}
    printed = wren.post(f"/estimate/{here.order}/print", sent)
    assert printed.status_code == 303, printed.text
    paper = wren.get(printed.headers["location"])
    text = text_of(paper.content)
    assert "Found, and not priced yet" in text
    assert TORN in text
    assert "None of it is in the sums." in text

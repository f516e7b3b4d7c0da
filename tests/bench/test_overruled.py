"""A lead clears own work: asked for on the page, in writing, and said on the job, the order and its sheet."""

from collections.abc import Callable
from io import BytesIO

import pytest
from pypdf import PdfReader
from sqlmodel import select

from app.bench import steps
from app.bench.facts import cleared_by, job_of
from app.bench.tables import Clearance
from app.ground.book import reading
from tests.bench.forms import torque
from tests.bench.stay import LEE, Stay
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
WHY = "The second person is ill, the owner leaves at noon"
SAID = "by the lead who did the work, with its records; no other person cleared it"


@pytest.fixture
def own(here: Stay) -> int:
    """A do-not-tow finding whose job the lead did alone and finished."""
    finding = here.finding("dnt")
    here.work(answers=[finding])
    steps.open_jobs(here.book, act(LEE), here.order)
    steps.keep_record(here.book, act(LEE), 1, "wheel_torque", "wheel-1-left", torque())
    with reading(here.book) as session:
        line = job_of(session, 1)
    assert line is not None
    steps.finish_job(here.book, act(LEE, seen=line.revision), 1)
    return finding


def sent(**more: str) -> dict[str, str]:
    return {"how": "own work", "job": "1", "revision": "1"} | more


def kept(here: Stay) -> list[tuple[str, int | None, str, int]]:
    with reading(here.book) as session:
        return [(row.how, row.job_id, row.reason, row.cleared_by) for row in session.exec(select(Clearance))]


def test_the_page_offers_it_to_a_lead_alone_and_for_do_not_tow_alone(
    signed: Signed, here: Stay, own: int
) -> None:
    page = f"/bench/findings/{own}/clear"
    assert 'value="own work"' in signed("Lee").get(page).text
    assert 'value="own work"' not in signed("Wren").get(page).text
    lighter = here.finding("needs", place="wheel-2-left")
    here.work(answers=[lighter], place="wheel-2-left")
    steps.open_jobs(here.book, act(LEE), here.order)
    assert 'value="own work"' not in signed("Lee").get(f"/bench/findings/{lighter}/clear").text


@pytest.mark.parametrize("reason", ["", "in haste"])
def test_without_a_reason_it_is_refused_beside_its_field(
    signed: Signed, here: Stay, own: int, reason: str
) -> None:
    answer = signed("Lee").post(f"/bench/findings/{own}/clear", sent(reason=reason))
    assert answer.status_code == 422
    assert 'id="reason-fix"' in answer.text
    assert 'value="own work" checked' in answer.text
    assert kept(here) == []


def test_nobody_but_a_lead_overrules(signed: Signed, here: Stay, own: int) -> None:
    assert signed("Wren").post(f"/bench/findings/{own}/clear", sent(reason=WHY)).status_code == 422
    assert kept(here) == []


def test_the_plain_way_stays_shut_to_the_one_who_did_the_work(signed: Signed, here: Stay, own: int) -> None:
    answer = signed("Lee").post(f"/bench/findings/{own}/clear", sent(how="record", reason=WHY))
    assert answer.status_code == 422
    assert "another person clears the do-not-tow finding" in answer.text
    assert kept(here) == []


def test_in_writing_it_clears_and_every_page_says_by_whom_and_why(
    signed: Signed, here: Stay, own: int
) -> None:
    lee = signed("Lee")
    assert lee.post(f"/bench/findings/{own}/clear", sent(reason=WHY)).status_code == 303
    assert kept(here) == [("own work", 1, WHY, LEE)]
    for page in ("/bench/jobs/1", f"/bench/orders/{here.order}"):
        assert f"{SAID}: {WHY}" in lee.get(page).text, page
    with reading(here.book) as session:
        line = job_of(session, 1)
        assert line is not None
        assert [(each.finding_id, each.stands) for each in cleared_by(session, line)] == [(own, True)]


def test_the_sheet_printed_afterwards_says_it_too(signed: Signed, here: Stay, own: int) -> None:
    lee = signed("Lee")
    lee.post(f"/bench/findings/{own}/clear", sent(reason=WHY))
    paper = lee.get(lee.post("/bench/jobs/1/sheet", {}).headers["location"])
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(paper.content)).pages).split())
    assert WHY in text
    assert "no other person cleared it" in text


def test_a_correction_that_lies_outside_opens_the_finding_again(signed: Signed, here: Stay, own: int) -> None:
    lee = signed("Lee")
    lee.post(f"/bench/findings/{own}/clear", sent(reason=WHY))
    steps.correct_record(here.book, act(LEE), 1, torque(r_3="90"), "Nut 3 read again")
    assert "Does not hold any more" in lee.get("/bench/jobs/1").text

"""The pages after a unit has left, as a browser meets them."""

import re
from collections.abc import Callable
from io import BytesIO

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground import files
from app.ground.book import reading
from app.ground.settings import Settings
from app.ground.tables import Document
from app.handover.after import facts
from app.handover.tables import FollowUp, RetorqueVisit
from tests.conftest import Browser
from tests.handover.after.test_steps import keep, left
from tests.handover.stays import Stay, ready
from tests.links import alike

Sign = Callable[[str], Browser]


def form(made: Stay, **more: str) -> dict[str, str]:
    with reading(made.book) as session:
        places = [wheel.place for wheel in facts.wheels_of(session, made.order)]
    said = {f"wheel-{place}": "none" for place in places}
    return {
        "miles": "27",
        "torque": "110",
        "instrument": "1",
        "submission": "visit-1",
        "revision": "0",
        **said,
        **more,
    }


def test_a_visit_is_kept_and_printed(book: Engine, signed: Sign, settings: Settings) -> None:
    made = left(book)
    answer = signed("Toni").post(f"/handover/{made.order}/retorque", form(made))
    assert (answer.status_code, answer.headers["location"]) == (
        303,
        f"/handover/{made.order}/retorque#visits",
    )
    with reading(book) as session:
        paper = session.exec(select(Document).where(Document.kind == "retorque visit")).one()
        kept = session.exec(select(RetorqueVisit)).one()
        content = files.where(settings.files, paper.sha256).read_bytes()
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)
    assert kept.number in text
    assert "No nut moved" in text
    assert "100 to 120 lbf·ft" in text.replace("\n", " ").replace("\N{NO-BREAK SPACE}", " ")
    assert "50 miles" in text  # the next one


def test_a_visit_with_a_hole_comes_back_with_what_was_typed(book: Engine, signed: Sign) -> None:
    made = left(book)
    answer = signed("Toni").post(f"/handover/{made.order}/retorque", form(made, miles="twelve"))
    assert answer.status_code == 422
    assert 'value="twelve"' in answer.text
    assert 'aria-invalid="true"' in answer.text
    with reading(book) as session:
        assert not session.exec(select(RetorqueVisit)).all()


def test_a_visit_sent_twice_is_one_visit_and_one_paper(book: Engine, signed: Sign) -> None:
    made = left(book)
    toni = signed("Toni")
    answers = [toni.post(f"/handover/{made.order}/retorque", form(made)) for _ in range(2)]
    assert [it.status_code for it in answers] == [303, 303]
    with reading(book) as session:
        assert len(session.exec(select(RetorqueVisit)).all()) == 1
        assert len(session.exec(select(Document).where(Document.kind == "retorque visit")).all()) == 1


def test_a_visit_that_comes_too_late_keeps_what_was_typed(book: Engine, signed: Sign) -> None:
    made = left(book)
    keep(made)
    answer = signed("Toni").post(f"/handover/{made.order}/retorque", form(made, miles="31"))
    assert answer.status_code == 409
    assert 'value="31"' in answer.text


def test_do_not_tow_is_said_in_words(book: Engine, signed: Sign) -> None:
    made = left(book)
    keep(made, moved=2)
    keep(made, 1, moved=2)
    page = signed("Toni").get(f"/handover/{made.order}/retorque").text
    assert "It must not be towed" in page
    assert "WARNING" in page


def test_a_unit_on_the_lot_has_no_retorque_page(book: Engine, signed: Sign) -> None:
    made = ready(book)
    assert signed("Toni").get(f"/handover/{made.order}/retorque").status_code == 404
    assert signed("Toni").get("/handover/999/retorque").status_code == 404


def test_a_writer_sees_the_visits_and_does_not_keep_one(book: Engine, signed: Sign) -> None:
    made = left(book)
    wren = signed("Wren")
    assert "A technician keeps the visit" in wren.get(f"/handover/{made.order}/retorque").text
    assert wren.post(f"/handover/{made.order}/retorque", form(made)).status_code == 403


def follow_ups(book: Engine, *, kind: str) -> list[int]:
    with reading(book) as session:
        mine = select(FollowUp).where(FollowUp.kind == kind).order_by(col(FollowUp.id))
        return [row.key for row in session.exec(mine)]


def test_a_follow_up_is_done_by_the_owners_word(book: Engine, signed: Sign) -> None:
    made = left(book)
    wren, key = signed("Wren"), follow_ups(book, kind="")[0]
    page = wren.get(f"/handover/follow-ups/{key}").text
    day = re.search(r'name="on"[^>]*value="([^"]+)"', page)
    assert day
    said = {
        "how": "elsewhere",
        "on": "2026-05-04",
        "says": "owner by phone",
        "submission": "f-1",
        "revision": "0",
    }
    answer = wren.post(f"/handover/follow-ups/{key}", {**said, "on": day[1]})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/handover/{made.order}#papers")
    assert "owner by phone" in wren.get(f"/handover/{made.order}").text


def test_a_follow_up_without_a_word_comes_back(book: Engine, signed: Sign) -> None:
    left(book)
    wren, key = signed("Wren"), follow_ups(book, kind="")[0]
    said = {"how": "", "on": "tomorrow", "says": "x", "submission": "f-1", "revision": "0"}
    answer = wren.post(f"/handover/follow-ups/{key}", said)
    assert answer.status_code == 422
    assert 'value="tomorrow"' in answer.text


def test_nuts_are_not_ticked_off_by_the_shop(book: Engine, signed: Sign) -> None:
    left(book)
    page = signed("Wren").get(f"/handover/follow-ups/{follow_ups(book, kind='nuts')[0]}").text
    assert "Done in this shop" not in page
    assert "retorque visit" in page


@pytest.mark.parametrize("key", ["0", "999", str(2**63)])
def test_a_follow_up_that_is_not_there_is_a_page_that_is_not_there(signed: Sign, key: str) -> None:
    assert signed("Wren").get(f"/handover/follow-ups/{key}").status_code == 404


def test_the_shops_list_names_whom_to_call(book: Engine, signed: Sign) -> None:
    made = left(book)
    page = signed("Wren").get("/handover/due").text
    assert "Rosalind Achterberg" in page
    assert f'href="/handover/{made.order}/retorque"' in page
    assert 'href="tel:' in page


def test_each_link_of_what_falls_due_has_a_name_of_its_own(book: Engine, signed: Sign) -> None:
    made, wren = left(book), signed("Wren")
    assert list(alike(wren.get("/handover/due").text)) == []
    assert list(alike(wren.get(f"/handover/{made.order}").text)) == []


def test_an_empty_list_says_so(signed: Sign) -> None:
    assert "Nothing falls due" in signed("Wren").get("/handover/due").text

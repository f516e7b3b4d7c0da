"""The handover's page as a browser meets it: with the way to what stands in the way, and nothing lost."""

import re
import time
from collections.abc import Callable

import pytest
from fastapi import FastAPI
from sqlalchemy import Engine
from sqlmodel import Session, select

from app.ground import files
from app.ground.book import reading
from app.ground.printing import Asked, Prints
from app.ground.settings import Settings
from app.ground.tables import Photo
from app.handover import facts
from app.handover.facts import HandoverPage
from app.handover.rules import items_of
from app.handover.screens import router, way_to
from app.handover.tables import FinalCheck, Handover
from app.trade.figure import Grade
from tests.conftest import Browser
from tests.handover.stays import HUB, NUTS, SIGNATURE, SOUND, Found, carried, ready, stay, with_photo

CABLE = Found("bk.cable", "Breakaway cable", 2, "needs", by="towing", reason="frayed at the eye")
LEAVE = {
    "leaves": "towed",
    "taken_by": "Rosalind Achterberg",
    "signature": SIGNATURE,
    "revision": "0",
    "submission": "leave-1",
}
CHECK = {**{f"item-{it.key}": "yes" for it in items_of("travel")}, "submission": "check-1", "revision": "0"}
Sign = Callable[[str], Browser]


def kept(book: Engine) -> list[Handover]:
    with reading(book) as session:
        return list(session.exec(select(Handover)))


def test_what_stands_in_the_way_is_linked_to_where_it_is_put_right(book: Engine, signed: Sign) -> None:
    made = stay(book)
    made.price(say={})
    page = signed("Wren").get(f"/handover/{made.order}").text
    assert '<h1 id="road">Do not tow</h1>' in page
    assert f'href="/inspection/findings/{made.findings[NUTS.name]}"' in page
    assert f'href="/bench/orders/{made.order}"' in page
    assert 'href="#check"' in page
    assert "two nuts loose" in page


@pytest.mark.parametrize(
    ("where", "finding", "way"),
    [
        ("inspection", 7, "/inspection/findings/7"),
        ("inspection", None, "/inspection/orders/3"),
        ("bench", None, "/bench/orders/3"),
        ("final check", None, "#check"),
        ("handover", 7, "#leave"),
    ],
)
def test_each_stop_has_its_own_way(where: str, finding: int | None, way: str) -> None:
    from app.handover.rules import Stop

    assert way_to(Stop("x", Grade.DNT, finding, where), 3) == way


def test_the_plate_of_a_carrier_stands_as_it_was_typed(book: Engine, signed: Sign) -> None:
    made = ready(book)
    made.hand_over(carried())
    page = signed("Wren").get(f"/handover/{made.order}").text
    assert "Carried: flatbed of Low Fields Haulage, plate TR 40 17" in page


def test_nothing_in_the_way_is_said_plainly(book: Engine, signed: Sign) -> None:
    made = ready(book)
    page = signed("Wren").get(f"/handover/{made.order}").text
    assert "It may leave under tow" in page
    assert "Nothing stands in the way." in page


def test_the_final_check_is_kept_and_the_page_goes_on(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    answer = signed("Toni").post(f"/handover/{made.order}/final-check", CHECK)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/handover/{made.order}#leave")
    with reading(book) as session:
        assert session.exec(select(FinalCheck)).one().checked_by == 3


def test_a_final_check_with_a_hole_comes_back_with_its_answers(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    answer = signed("Wren").post(f"/handover/{made.order}/final-check", {**CHECK, "item-tools": ""})
    assert answer.status_code == 422
    assert 'href="#item-tools"' in answer.text
    assert 'aria-describedby="item-tools-fix"' in answer.text
    assert re.search(r'name="item-nuts" value="yes" checked', answer.text)
    with reading(book) as session:
        assert not list(session.exec(select(FinalCheck)))


def test_who_did_the_work_is_told_that_another_checks(book: Engine, signed: Sign) -> None:
    made = stay(book)
    made.price(say={})
    made.work()
    toni = signed("Toni")
    assert "another person makes the final check" in toni.get(f"/handover/{made.order}").text
    answer = toni.post(f"/handover/{made.order}/final-check", CHECK)
    assert answer.status_code == 422
    assert "another person makes the final check" in answer.text


def test_a_handover_is_kept_printed_and_shown(book: Engine, signed: Sign) -> None:
    made = ready(book)
    wren = signed("Wren")
    answer = wren.post(f"/handover/{made.order}", LEAVE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/handover/{made.order}#papers")
    page = wren.get(f"/handover/{made.order}").text
    assert "Handed over, fit to tow" in page
    found = re.search(r'href="(/papers/\d+\.pdf)"', page)
    assert found
    paper = wren.get(found[1])
    assert paper.content.startswith(b"%PDF-")
    assert paper.content == wren.get(found[1]).content


def test_the_same_handover_sent_twice_is_one(book: Engine, signed: Sign) -> None:
    made = ready(book)
    wren = signed("Wren")
    first, second = (wren.post(f"/handover/{made.order}", LEAVE) for _ in range(2))
    assert first.headers["location"] == second.headers["location"]
    assert len(kept(book)) == 1


def test_an_open_do_not_tow_is_refused_and_what_was_typed_stays(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS])
    typed = {**LEAVE, "taken_by": "Somebody Else"}
    answer = signed("Wren").post(f"/handover/{made.order}", typed)
    assert answer.status_code == 422
    assert "two nuts loose" in answer.text
    assert "carried away as not fit to tow" in answer.text
    assert 'value="Somebody Else"' in answer.text
    assert f'value="{SIGNATURE}"' in answer.text
    assert kept(book) == []


def test_an_open_do_not_tow_is_told_before_the_signature_is_asked_for(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS])
    wren = signed("Wren")
    answer = wren.post(f"/handover/{made.order}", {**LEAVE, "submission": "leave-9", "signature": ""}).text
    assert 0 < answer.index('<a href="#leaves">') < answer.index('<a href="#signature">')


def test_initials_and_reasons_are_asked_for_where_they_are_needed(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, CABLE, HUB])
    made.check()
    wren = signed("Wren")
    name = f"initials-{made.findings[CABLE.name]}"
    page = wren.get(f"/handover/{made.order}").text
    assert f'name="{name}"' in page
    assert 'name="unseen_reason"' in page
    answer = wren.post(f"/handover/{made.order}", LEAVE)
    assert answer.status_code == 422
    assert 'href="#unseen_reason"' in answer.text
    nothing = wren.post(f"/handover/{made.order}", {"submission": "leave-3", "unseen_reason": ""}).text
    for field in ("leaves", "taken_by", "signature", "unseen_reason"):  # all of it at once
        assert f'<a href="#{field}">' in nothing
    done = {**LEAVE, "submission": "leave-2", name: "RA", "unseen_reason": "drum stuck"}
    assert wren.post(f"/handover/{made.order}", done).status_code == 303
    assert kept(book)[0].fit


def test_a_form_that_is_too_late_is_told_who_took_it(book: Engine, signed: Sign) -> None:
    made = ready(book)
    made.hand_over()
    answer = signed("Wren").post(f"/handover/{made.order}", {**LEAVE, "taken_by": "Somebody Else"})
    assert answer.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", answer.text)
    assert "<td>Rosalind Achterberg</td><td>Somebody Else</td>" in answer.text
    assert 'value="Somebody Else"' in answer.text
    assert len(kept(book)) == 1


def test_a_paper_that_failed_leaves_the_handover_and_prints_again(
    book: Engine, signed: Sign, settings: Settings
) -> None:
    made = ready(book)
    with_photo(made, NUTS.name, settings.files)
    with reading(book) as session:
        picture = files.where(settings.files, session.exec(select(Photo)).one().sha256)
    whole = picture.read_bytes()
    picture.unlink()  # a disk that lost a photo: the paper cannot be made
    wren, again = signed("Wren"), f"/handover/{made.order}/issues/1/paper"
    assert wren.post(f"/handover/{made.order}", LEAVE).status_code == 303
    page = wren.get(f"/handover/{made.order}").text
    assert "The paper was not printed. What it says is in the book." in page
    assert f'action="{again}"' in page
    assert wren.post(again, {"submission": "again-1"}).status_code == 503
    assert len(kept(book)) == 1
    picture.write_bytes(whole)
    printed = wren.post(again, {"submission": "again-2"})
    assert printed.status_code == 303
    assert wren.post(again, {"submission": "again-3"}).headers["location"] == printed.headers["location"]
    assert wren.get(printed.headers["location"]).content.startswith(b"%PDF-")


def test_a_technician_sees_the_page_but_hands_nothing_over(book: Engine, signed: Sign) -> None:
    made = ready(book)
    toni = signed("Toni")
    assert "Hand it over and print" not in toni.get(f"/handover/{made.order}").text
    assert toni.post(f"/handover/{made.order}", LEAVE).status_code == 403
    assert kept(book) == []


@pytest.mark.parametrize("key", ["0", "999", "-1", "99999999999999999999", "x"])
def test_a_key_that_is_not_in_the_book_is_no_page(signed: Sign, book: Engine, key: str) -> None:
    wren = signed("Wren")
    assert wren.get(f"/handover/{key}").status_code == 404
    assert wren.post(f"/handover/{key}", LEAVE).status_code == 404
    assert wren.post(f"/handover/{key}/final-check", CHECK).status_code == 404
    assert wren.post(f"/handover/{key}/issues/1/paper", {"submission": "x"}).status_code == 404


def test_an_issue_that_is_not_in_the_book_is_not_printed(book: Engine, signed: Sign) -> None:
    made = ready(book)
    assert (
        signed("Wren").post(f"/handover/{made.order}/issues/1/paper", {"submission": "x"}).status_code == 404
    )


def test_the_schema_of_the_record_is_published(book: Engine, signed: Sign) -> None:
    answer = signed("Toni").get("/handover/schema.json")
    assert answer.headers["content-type"] == "application/schema+json"
    assert answer.json()["title"] == "Record"
    assert "duties" in answer.json()["properties"]


def test_every_route_names_who_may_use_it() -> None:
    assert all(getattr(route, "dependencies", None) for route in router.routes)


def test_nobody_signed_in_sees_nothing(book: Engine, app: object, signed: Sign) -> None:
    made = stay(book, SOUND)
    browser = signed("Wren")
    browser.client.cookies.clear()
    assert browser.get(f"/handover/{made.order}").status_code == 303


def asked_last(app: FastAPI) -> Asked:
    """The paper that was asked for last."""
    prints: Prints = app.state.prints
    return list(prints._asked.values())[-1]


def test_a_paper_made_while_the_page_reads_the_book_is_not_called_missing(
    app: FastAPI, book: Engine, signed: Sign, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = ready(book)
    app.state.prints.moment = 0
    wren = signed("Wren")
    wren.post(f"/handover/{made.order}", LEAVE)
    read = facts.handover_of

    def slowly(session: Session, order_id: int) -> HandoverPage:
        """The facts as they stand, told only once the paper has been made."""
        it = read(session, order_id)
        asked_last(app).made.result(timeout=60)
        return it

    monkeypatch.setattr(facts, "handover_of", slowly)
    assert "The paper was not printed" not in wren.get(f"/handover/{made.order}").text
    monkeypatch.undo()
    assert "Open the handover, issue 1" in wren.get(f"/handover/{made.order}").text


def test_a_handover_whose_paper_takes_long_is_answered_and_shows_the_paper_when_it_is_made(
    app: FastAPI, book: Engine, signed: Sign
) -> None:
    made = ready(book)
    app.state.prints.moment = 0
    wren = signed("Wren")
    answer = wren.post(f"/handover/{made.order}", LEAVE)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/handover/{made.order}#papers")
    address = f"/handover/{made.order}/issues/1/paper"
    page = wren.get(f"/handover/{made.order}").text
    assert "The paper is being made." in page
    assert f'hx-get="{address}"' in page
    anew = f'<noscript><meta http-equiv="refresh" content="2; url=/handover/{made.order}"></noscript>'
    assert anew in page
    document = asked_last(app).made.result(timeout=60)
    part = wren.get(address, part=True).text
    assert f'href="/papers/{document}.pdf"' in part
    assert "hx-get" not in part
    plain = wren.get(address)
    assert (plain.status_code, plain.headers["location"]) == (303, f"/handover/{made.order}#papers")


def test_a_handover_whose_press_was_killed_says_so_and_is_printed_again(
    app: FastAPI, book: Engine, signed: Sign
) -> None:
    made = ready(book)
    app.state.prints.moment = 0
    wren = signed("Wren")
    wren.post(f"/handover/{made.order}", LEAVE)
    asked = asked_last(app)
    press = app.state.press
    while asked.waits:
        if press._pool and press._pool._processes:  # a process that is not there yet cannot be killed
            press.close()
        time.sleep(0.01)
    page = wren.get(f"/handover/{made.order}").text
    assert "The paper was not printed. What it says is in the book." in page
    app.state.prints.moment = 60
    again = wren.post(f"/handover/{made.order}/issues/1/paper", {"submission": "again-1"})
    assert wren.get(again.headers["location"]).content.startswith(b"%PDF-")


@pytest.mark.parametrize("issue", ["0", "2", str(2**63)])
def test_an_issue_that_there_is_not_has_no_paper(issue: str, book: Engine, signed: Sign) -> None:
    made = ready(book)
    answer = signed("Wren").get(f"/handover/{made.order}/issues/{issue}/paper", part=True)
    assert answer.status_code == 404

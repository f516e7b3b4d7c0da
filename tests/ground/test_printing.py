"""Papers made beside the requests: one after the other, with a page of progress, none of them twice."""

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from threading import Thread

import pytest
from fastapi import FastAPI
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.ground.papers import Paper, Printer
from app.ground.press import NotPrinted, Press
from app.ground.printing import MOMENT, REMEMBERED, Asked, Coming, Desk, Prints
from app.ground.settings import Settings
from app.ground.tables import Document
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.facts import order_head
from app.intake.steps import take_in
from tests.conftest import Browser, act


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture
def desk(book: Engine, settings: Settings, press: Press) -> Iterator[Desk]:
    """A desk whose requests do not wait at all."""
    made = Desk(Printer(book, press, settings.files), Prints(moment=0))
    yield made
    made.prints.close()


@pytest.fixture
def paper(book: Engine) -> Paper:
    order = take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), UnitSaid("cargo")))
    with reading(book) as session:
        head = order_head(session, order)
    return Paper("base", "note", "N-1", "Note", order, {"tag": head})


def documents(book: Engine) -> list[Document]:
    with reading(book) as session:
        return list(session.exec(select(Document)))


def ended(asked: Asked) -> Asked:
    """What was asked for, when it is made or given up."""
    for _ in range(600):
        if not asked.waits:
            return asked
        time.sleep(0.1)
    raise AssertionError("a paper neither came nor failed in a minute")


def test_a_request_that_does_not_wait_is_told_where_its_paper_will_be(
    book: Engine, desk: Desk, paper: Paper
) -> None:
    with pytest.raises(Coming) as coming:
        desk.issue(act(2), paper)
    asked = desk.prints.of(coming.value.key)
    assert asked is not None
    made = ended(asked)
    assert [row.key for row in documents(book)] == [made.document]
    assert (made.failed, made.says) == (False, "")


def test_a_request_that_waits_long_enough_has_its_paper(book: Engine, desk: Desk, paper: Paper) -> None:
    desk.prints.moment = 60
    key = desk.issue(act(2), paper)
    assert [row.key for row in documents(book)] == [key]


def test_the_same_act_joins_the_paper_that_is_being_made(book: Engine, desk: Desk, paper: Paper) -> None:
    once = act(2)
    asked = [desk.ask(once, paper) for _ in range(5)]
    assert len({one.key for one in asked}) == 1
    ended(asked[0])
    assert desk.ask(once, paper) is asked[0]
    assert len(documents(book)) == 1


def test_papers_of_several_acts_are_made_in_the_order_of_asking(
    book: Engine, desk: Desk, paper: Paper
) -> None:
    asked = [desk.ask(act(2), replace(paper, number=f"N-{number}")) for number in range(4)]
    for one in asked:
        ended(one)
    assert [row.number for row in documents(book)] == ["N-0", "N-1", "N-2", "N-3"]


def test_a_paper_that_cannot_be_made_says_why_and_is_tried_anew_when_asked_again(
    book: Engine, desk: Desk, paper: Paper
) -> None:
    once = act(2)
    failed = ended(desk.ask(once, replace(paper, facts={**paper.facts, "tag": None})))
    assert failed.failed
    assert failed.document is None
    assert failed.says == "the program met an error or was stopped"
    made = ended(desk.ask(once, paper))
    assert made.key != failed.key
    assert [row.key for row in documents(book)] == [made.document]


def test_a_fault_of_the_program_is_not_printed_and_in_words(desk: Desk, paper: Paper) -> None:
    desk.prints.moment = 60
    with pytest.raises(NotPrinted, match="the program met an error"):
        desk.issue(act(2), replace(paper, facts={"tag": None}))


def test_what_waits_when_the_program_ends_is_let_go_and_keeps_no_paper(
    book: Engine, settings: Settings, paper: Paper
) -> None:
    press = Press()
    desk = Desk(Printer(book, press, settings.files), Prints(moment=0))
    asked = [desk.ask(act(2), replace(paper, number=f"N-{number}")) for number in range(5)]
    desk.prints.close()
    press.close()
    for one in asked[2:]:
        assert ended(one).failed
        assert one.says
    ended(asked[0])
    ended(asked[1])
    press.close()  # a thread that was between two papers may have opened it anew
    assert len(documents(book)) == sum(one.document is not None for one in asked)


def test_a_request_waits_a_second_and_progress_is_remembered_for_many_papers() -> None:
    assert MOMENT == 1.0  # usability: beyond about a second a person loses the thread (Miller 1968)
    assert REMEMBERED == 200


class Instant(Printer):
    """A printer that is done at once: here only the queue before it is looked at."""

    def issue(self, act: object, paper: object) -> int:
        """A key."""
        return 1


def test_pages_may_look_while_others_ask(
    book: Engine, settings: Settings, press: Press, paper: Paper
) -> None:
    prints, printer = Prints(), Instant(book, press, settings.files)
    asking = Thread(target=lambda: [prints.ask(printer, act(), paper) for _ in range(3000)])
    asking.start()
    looks = 0
    while asking.is_alive():
        assert len(prints.waiting()) <= 3000
        looks += 1
    assert looks > 0
    prints.close()


def test_an_act_waits_until_its_paper_is_made_and_an_unknown_page_is_none(desk: Desk, paper: Paper) -> None:
    once = act(2)
    assert once.submission not in desk.prints.waiting()
    assert desk.prints.of("nothing") is None
    asked = desk.ask(once, paper)
    assert desk.prints.waiting() == {once.submission}
    assert desk.prints.of(asked.key) is asked
    ended(asked)
    assert desk.prints.waiting() == frozenset()


# The page of progress


def slip(app: FastAPI, book: Engine, signed: Callable[[str], Browser]) -> tuple[Browser, str]:
    """A browser and the page to which the print of an intake slip leads, where nobody waits."""
    order = take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), UnitSaid("cargo")))
    app.state.prints.moment = 0
    wren = signed("Wren")
    answer = wren.post(f"/intake/orders/{order}/slip", {"submission": "slip-1", "revision": "0"})
    assert answer.status_code == 303
    return wren, answer.headers["location"]


def test_a_paper_that_takes_long_leads_to_its_progress_and_from_there_to_the_paper(
    app: FastAPI, book: Engine, signed: Callable[[str], Browser]
) -> None:
    wren, where = slip(app, book, signed)
    assert where.startswith("/papers/coming/")
    page = wren.get(where)
    if page.status_code == 200:  # a quick machine may be done by now
        assert "The paper is being made." in page.text
        assert f'hx-get="{where}"' in page.text
        assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in page.text
    asked = app.state.prints.of(where.rpartition("/")[2])
    ended(asked)
    done = wren.get(where)
    assert (done.status_code, done.headers["location"]) == (303, f"/papers/{asked.document}.pdf")
    part = wren.get(where, part=True)
    assert (part.status_code, part.headers["hx-redirect"]) == (200, where)
    assert wren.get(done.headers["location"]).content.startswith(b"%PDF-")


def test_the_part_that_polls_is_the_part_alone(
    app: FastAPI, book: Engine, signed: Callable[[str], Browser], paper: Paper
) -> None:
    waiting = _endless(app, book, paper)
    part = signed("Wren").get(f"/papers/coming/{waiting.key}", part=True)
    assert part.text.lstrip().startswith("<p")
    assert "<html" not in part.text
    assert 'hx-trigger="every 1s"' in part.text
    app.state.prints.close()
    app.state.press.close()
    ended(waiting)


def test_a_paper_that_failed_is_said_with_its_reason_and_that_nothing_is_lost(
    app: FastAPI, book: Engine, signed: Callable[[str], Browser], paper: Paper
) -> None:
    waiting = _endless(app, book, paper)
    wren = signed("Wren")
    for _ in range(600):  # the process takes its time to start; only one that works can be killed
        app.state.press.close()
        if not waiting.waits:
            break
        time.sleep(0.1)
    page = wren.get(f"/papers/coming/{waiting.key}")
    assert page.status_code == 503
    assert "Not printed: " in page.text
    assert "What it says is in the book; print it again." in page.text
    assert documents(book) == []


def _endless(app: FastAPI, book: Engine, paper: Paper) -> Asked:
    """A paper of so many words that it is not done before this test is."""
    tag = replace(paper.facts["tag"], owner="word " * 400_000)  # type: ignore[type-var]  # a head
    printer = Printer(book, app.state.press, app.state.settings.files)
    asked: Asked = app.state.prints.ask(printer, act(2), replace(paper, facts={"tag": tag}))
    return asked


def test_a_paper_that_nobody_asked_for_is_not_in_the_making(signed: Callable[[str], Browser]) -> None:
    page = signed("Toni").get("/papers/coming/long-gone")
    assert page.status_code == 404
    assert "Print it again" in page.text


@pytest.mark.parametrize("name", ["Lee", "Wren", "Toni"])
def test_whoever_works_here_may_look(name: str, signed: Callable[[str], Browser]) -> None:
    assert signed(name).get("/papers/coming/x").status_code == 404

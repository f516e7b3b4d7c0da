"""Work asked for before towing that answers no finding: it holds the tow until done, or signed away."""

from collections.abc import Callable
from datetime import date

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.estimate import steps as estimate
from app.estimate.rules import Group, NewLine, NewWork
from app.estimate.saying import Said
from app.ground.book import reading
from app.handover.facts import told
from app.handover.road import road_ready
from app.handover.rules import Fit, NotFit
from app.handover.stay import stay_of
from app.handover.tables import Handover
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.totals import LineKind
from tests.conftest import Browser
from tests.handover.stays import SOUND, Stay, stay

SLEEVE = "Sleeve the scored spindle"
LINES = (NewLine(LineKind.PART, "Sleeve", "1", 4300, "parts"),)
Signed = Callable[[str], Browser]


@pytest.fixture
def made(book: Engine) -> Stay:
    """A sound unit for which work is asked before towing, typed by hand."""
    it = stay(book, SOUND)
    asked(it, SLEEVE)
    return it


def asked(it: Stay, title: str, group: Group = Group.MUST, instead_of: int | None = None) -> int:
    """The key of a work typed by hand."""
    new = NewWork(title, group, lines=LINES, instead_of=instead_of)
    return estimate.add_work(it.book, it.estimate_act(), it.order, new)


def shown(it: Stay, answer: Said | None = None) -> None:
    """The estimate shown, and answered where the owner did."""
    estimate.freeze(it.book, it.estimate_act(), it.order)
    if answer:
        it.say(answer)


def test_it_holds_the_tow_until_the_owner_answers(made: Stay) -> None:
    made.check()
    with reading(made.book) as session:
        now = stay_of(session, made.order)
        road = road_ready(session, made.order, date(2026, 5, 4))
    assert isinstance(now.fitness, NotFit)
    (stop,) = now.fitness.stops
    assert stop.says.startswith(SLEEVE)
    assert "has not agreed to it, nor signed to leave it undone" in stop.says
    assert (now.towing.state, now.towing.says) == (Grade.NEEDS, f"Before towing: {SLEEVE}.")
    assert [one.goes for one in road.held] == [f"/estimate/{made.order}"]
    with pytest.raises(Refused, match="nor signed"):
        made.hand_over()


@pytest.mark.parametrize("answer", [Said.NO, Said.LATER])
def test_signed_away_it_may_leave_and_the_paper_says_without_what(made: Stay, answer: Said) -> None:
    shown(made, answer)
    made.check()
    made.hand_over()
    with reading(made.book) as session:
        said = told(session.exec(select(Handover)).one())
    assert said.handed.fit
    assert f"You tow it without work that we asked for first: {SLEEVE}." in said.answer
    before = [duty.what for duty in said.duties if duty.when == "Before you tow"]
    assert before == [f"Have it put right: {SLEEVE}."]
    assert [one.title for one in said.left] == [SLEEVE]


def test_agreed_to_the_bench_holds_it_and_done_nothing_does(made: Stay) -> None:
    shown(made, Said.YES)
    assert [stop.where for stop in made.page().in_the_way] == ["bench", "final check"]
    made.work()
    made.check()
    assert made.page().in_the_way == ()


def test_work_that_may_wait_holds_nothing(book: Engine) -> None:
    it = stay(book, SOUND)
    asked(it, SLEEVE, Group.SHOULD)
    with reading(book) as session:
        assert isinstance(stay_of(session, it.order).fitness, Fit)


def test_two_ways_of_it_are_asked_for_once_and_not_at_the_handover(made: Stay) -> None:
    with reading(made.book) as session:
        (thing,) = stay_of(session, made.order).asked
    asked(made, "Replace the axle", instead_of=thing.work_id)
    with reading(made.book) as session:
        assert [it.name for it in stay_of(session, made.order).asked] == [SLEEVE]
    assert made.page().initialled == ()  # it is answered on the estimate, not at the handover


def test_the_page_leads_to_the_estimate(made: Stay, signed: Signed) -> None:
    page = signed("Wren").get(f"/handover/{made.order}").text
    assert f'<a class="row handover-stop" href="/estimate/{made.order}" data-state="needs">' in page
    assert SLEEVE in page

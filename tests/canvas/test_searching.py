"""Searches for a shorter plan, off the request's way: asked, waited for, found, given up, put aside."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import col, select

from app.canvas import plans, searched, steps
from app.canvas.plans import PlanRead
from app.canvas.searched import State
from app.canvas.searching import Ended, Searches, Seeker
from app.canvas.tables import CutPlan, CutSearch
from app.ground import receipts
from app.ground.book import reading
from app.ground.receipts import Stale
from app.ground.tables import Receipt
from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan as Plan
from app.trade.canvas.laying import Laid, unsound
from app.trade.canvas.lengths import Length, Lengths, bought, numbered
from app.trade.canvas.search import Search
from app.trade.problems import Refused
from tests.canvas import loft
from tests.canvas.test_plans import copies, form, laid, order_of, plan, roll, sent, version
from tests.conftest import Browser, act
from tests.trade.canvas.published import Instance, instance

Signed = Callable[[str], Browser]
LATER = datetime(2026, 5, 4, 17, 0, tzinfo=UTC)


def stood(book: Engine) -> PlanRead:
    """A plan of five copies of a wall."""
    key = loft.ready(book)
    copies(book, key, 5)
    return plan(book, laid(book, key))


def asked(book: Engine, plan: PlanRead, seconds: int = 1, person: int = 1) -> int:
    return searched.ask(book, act(person=person, seen=version(book)), plan, seconds)


def state(book: Engine, key: int) -> State:
    with reading(book) as session:
        return searched.search_read(session, key).state


def until(book: Engine, key: int, wanted: State, seconds: float = 60) -> None:
    """Wait until a search stands so."""
    end = time.monotonic() + seconds
    while state(book, key) is not wanted:
        assert time.monotonic() < end, state(book, key)
        time.sleep(0.05)


def pulled_apart(stood: PlanRead) -> Lengths:
    """The same plan, every piece ten times as far along the roll."""
    (cut,) = stood.laid
    far = (Laid(it.piece, it.copy, it.turn, it.right * 10 + 1, it.up) for it in cut.plan.laid)
    return (Length(Plan(cut.plan.strip, tuple(far), "pulled apart")),)


def long_plan(book: Engine) -> PlanRead:
    """A plan of the order in which much cloth is lost, so that any search finds a shorter one."""
    first = stood(book)
    it, cloth = order_of(book, 1)
    far = pulled_apart(first)
    at = act(seen=it.version)
    return plan(book, plans.keep(book, at, "lay cut plan", cloth, first.roll, first.cuts, far))


@pytest.fixture
def seeker(book: Engine) -> Iterator[Seeker]:
    made = Seeker(book)
    yield made
    made.close()


# The process


def first(of: Instance) -> Lengths:
    return (Length(first_plan(of.strip, of.pieces)),)


@pytest.fixture(scope="module")
def searches() -> Iterator[Searches]:
    made = Searches()
    yield made
    made.close()


def test_a_search_in_its_own_process_finds_a_sound_and_shorter_plan(searches: Searches) -> None:
    # fu of the published strip-packing instances: the first plan is 20 percent over the best length known.
    fu = instance("fu")
    found = searches.find(first(fu), fu.pieces, (), Search(6))  # a busy machine takes 2 to begin
    assert found is not None
    assert unsound(found[0].plan, fu.pieces) == ()
    assert fu.over(bought(found)) < 15


def test_a_search_whose_process_is_killed_says_so_and_the_next_one_runs(searches: Searches) -> None:
    fu = instance("fu")
    searches.find(first(fu), fu.pieces, (), Search(1))
    assert searches._pool is not None
    for process in searches._pool._processes.values():
        process.kill()
    with pytest.raises(Ended):
        searches.find(first(fu), fu.pieces, (), Search(1))
    assert searches.find(first(fu), fu.pieces, (), Search(1)) is not None


# What the book holds of a search


def test_a_search_waits_until_it_is_begun_and_keeps_what_it_finds(book: Engine, seeker: Seeker) -> None:
    before = long_plan(book)
    key = asked(book, before, person=3)
    assert state(book, key) is State.WAITING
    assert seeker.one()
    assert state(book, key) is State.FOUND
    with reading(book) as session:
        row = session.get_one(CutSearch, key)
        assert row.found_id is not None
        found = plans.plan_read(session, row.found_id)
        told = searched.search_read(session, key).says.replace("\N{NO-BREAK SPACE}", " ")
    assert bought(found.laid) < bought(before.laid)
    assert unsound(found.laid[0].plan, found.pieces) == ()
    assert found.by == "Toni"  # who asked for it
    assert told.startswith(f"found a plan that takes {found.off_roll}".replace("\N{NO-BREAK SPACE}", " "))
    assert not seeker.one()


def test_a_plan_that_is_no_shorter_is_not_kept(book: Engine, seeker: Seeker) -> None:
    key = loft.ready(book)
    only = plan(book, laid(book, key))  # one piece: no plan is shorter than the piece
    search = asked(book, only)
    seeker.one()
    assert state(book, search) is State.NOTHING
    with reading(book) as session:
        assert len(session.exec(select(CutPlan)).all()) == 1
        assert searched.search_read(session, search).says == "found no shorter plan"


def test_a_search_fills_the_roll_ends_and_takes_less_off_the_roll(book: Engine, seeker: Seeker) -> None:
    """Five walls of 488.37 by 376 mm on a roll 1,000 wide, two beside each other; an end of 1,000 holds four.

    The plan that stands has two on the end and three on the roll, 976.74 mm. By hand: the fifth alone takes
    488.37 of the roll, so 488 less.
    """
    key = loft.ready(book)
    copies(book, key, 5)
    it, cloth = order_of(book, key)
    on = roll(ends="31: 1000")
    cuts = plans.to_cut(it, cloth, on)
    whole = first_plan(on.strip, [cut.piece for cut in cuts])
    poor = Plan(whole.strip, whole.laid[:2], whole.found)
    rest = first_plan(on.strip, [replace(cuts[0].piece, copies=3)])
    laid_ = numbered((Length(poor, on.ends[0]), Length(rest)), [cuts[0].piece])
    stood_ = plan(book, plans.keep(book, act(seen=it.version), "lay cut plan", cloth, on, cuts, laid_))
    search = asked(book, stood_, seconds=5)
    assert seeker.one()
    with reading(book) as session:
        row = session.get_one(CutSearch, search)
        assert row.found_id is not None
        found, told = plans.plan_read(session, row.found_id), searched.search_read(session, search).says
        best = plans.plans_of(session, loft.read(book, key), cloth.key).best
    assert [len(each.labels) for each in found.lengths] == [4, 1]
    assert (
        told.replace("\N{NO-BREAK SPACE}", " ") == "found a plan that takes 0.49 m of the roll, 488 mm less"
    )
    assert best is not None
    assert best.key == found.key


def test_where_nothing_is_cut_from_the_roll_no_search_is_asked_for(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    only = plan(book, laid(book, key, ends="31: 1000"))
    assert only.off_roll == "nothing of the roll"
    with pytest.raises(Refused, match="Nothing is cut from the roll"):
        asked(book, only)
    page = signed("Toni").get(f"/canvas/cloths/{only.cloth_id}/plan").text
    assert "/search" not in page
    assert "Nothing is left for the roll." in page


def test_a_search_begins_once(book: Engine) -> None:
    key = asked(book, stood(book))
    begun = searched.begin(book, LATER)
    assert begun is not None
    assert (begun.key, begun.seconds) == (key, 1)
    assert state(book, key) is State.RUNNING
    assert searched.begin(book, LATER) is None


def test_one_search_for_a_cloth_goes_on_at_a_time(book: Engine) -> None:
    before = stood(book)
    key = asked(book, before)
    with pytest.raises(Refused, match="A search for this cloth still goes on"):
        asked(book, before)
    begun = searched.begin(book, LATER)
    assert begun is not None
    with pytest.raises(Refused, match="still goes on"):
        asked(book, before)
    assert searched.end(book, begun, LATER, None) is State.NOTHING
    assert asked(book, before) == key + 1


def test_the_same_form_twice_asks_once(book: Engine) -> None:
    before = stood(book)
    twice = act(seen=version(book))
    assert searched.ask(book, twice, before, 5) == searched.ask(book, twice, before, 5)
    with reading(book) as session:
        assert len(session.exec(select(CutSearch)).all()) == 1


def test_no_search_is_asked_for_a_changed_order(book: Engine) -> None:
    before, seen = stood(book), version(book)
    copies(book, 1, 2)
    with pytest.raises(Stale):
        searched.ask(book, act(seen=seen), before, 5)
    with pytest.raises(Stale):
        asked(book, before)


def test_a_waiting_search_of_a_changed_order_is_put_aside(book: Engine) -> None:
    key = asked(book, stood(book))
    copies(book, 1, 2)
    assert searched.waiting(book)
    assert searched.begin(book, LATER) is None
    assert state(book, key) is State.ASIDE
    assert not searched.waiting(book)


def test_what_is_found_for_an_order_changed_meanwhile_is_put_aside(book: Engine) -> None:
    before = long_plan(book)
    key = asked(book, before)
    begun = searched.begin(book, LATER)
    assert begun is not None
    copies(book, 1, 2)
    assert searched.end(book, begun, LATER, plan(book, 1).laid) is State.ASIDE
    assert state(book, key) is State.ASIDE
    with reading(book) as session:
        assert len(session.exec(select(CutPlan)).all()) == 2  # those laid before


def test_a_search_of_an_order_called_off_is_put_aside(book: Engine) -> None:
    before = stood(book)
    key = asked(book, before)
    steps.call_off(book, act(seen=loft.read(book, 1).row.revision), 1, "Sold")
    assert searched.begin(book, LATER) is None
    assert state(book, key) is State.ASIDE


def test_every_end_is_signed_by_who_asked(book: Engine, seeker: Seeker) -> None:
    asked(book, long_plan(book), person=3)
    seeker.one()
    with reading(book) as session:
        assert list(receipts.broken(session)) == []
        rows = session.exec(select(Receipt).order_by(col(Receipt.id).desc()).limit(3)).all()
    assert [row.act for row in rows] == ["end cut search", "find cut plan", "ask for cut search"]
    assert {row.person_id for row in rows} == {3}
    assert [row.device for row in rows] == ["searching", "searching", "test"]


# Stopped and killed


def test_a_search_whose_process_is_killed_is_given_up_and_can_be_asked_again(book: Engine) -> None:
    before = long_plan(book)
    seeker = Seeker(book)
    key = asked(book, before, seconds=20)
    seeker.wake()
    until(book, key, State.RUNNING)
    killed(seeker)
    until(book, key, State.GIVEN_UP, seconds=15)
    again = asked(book, before)
    seeker.wake()
    until(book, again, State.FOUND)
    seeker.close()


def killed(seeker: Seeker) -> None:
    """Kill the searching process as soon as it is there."""
    end = time.monotonic() + 20
    while time.monotonic() < end:
        pool = seeker._searches._pool
        if pool is not None and pool._processes:
            time.sleep(0.5)
            for process in list(pool._processes.values()):
                process.kill()
            return
        time.sleep(0.02)
    raise AssertionError("no process was started")


def test_at_the_end_of_the_program_the_search_ends_at_once_and_the_next_start_gives_it_up(
    book: Engine,
) -> None:
    seeker = Seeker(book)
    key = asked(book, long_plan(book), seconds=60)
    seeker.wake()
    until(book, key, State.RUNNING)
    began = time.monotonic()
    seeker.close()
    assert time.monotonic() - began < 10
    assert seeker._searches._pool is None
    assert seeker._thread is not None
    assert not seeker._thread.is_alive()
    assert state(book, key) is State.RUNNING
    following = Seeker(book)
    following.resume()
    following.close()
    assert state(book, key) is State.GIVEN_UP


def test_what_waited_when_the_program_was_stopped_runs_at_the_next_start(app: FastAPI, book: Engine) -> None:
    key = asked(book, long_plan(book))
    with TestClient(app):
        until(book, key, State.FOUND)


def test_a_program_killed_in_the_middle_of_a_search_leaves_no_process_and_gives_it_up_at_its_next_start(
    book: Engine,
) -> None:
    key = asked(book, long_plan(book), seconds=5)
    command = [sys.executable, "-m", "tests.canvas.seeking", str(book.url.database)]
    with subprocess.Popen(command, start_new_session=True) as program:
        until(book, key, State.RUNNING)
        group = os.getpgid(program.pid)
        children = [pid for pid in members(group) if pid != program.pid]
        end = time.monotonic() + 20
        while not children and time.monotonic() < end:
            time.sleep(0.1)
            children = [pid for pid in members(group) if pid != program.pid]
        assert children
        program.send_signal(signal.SIGKILL)
    assert state(book, key) is State.RUNNING
    assert searched.give_up(book, LATER) == 1
    assert state(book, key) is State.GIVEN_UP
    end = time.monotonic() + 30
    while members(group) and time.monotonic() < end:
        time.sleep(0.2)
    assert members(group) == []


def members(group: int) -> list[int]:
    """The processes of a group that still run."""
    found = []
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            pid, rest = each.read_text().split(" (", 1)
        except OSError:
            continue
        state_, _, its = rest.rpartition(") ")[2].split()[:3]
        if int(its) == group and state_ != "Z":
            found.append(int(pid))
    return found


# The pages


@pytest.fixture
def address(book: Engine) -> str:
    """The page of a plan in which much cloth is lost."""
    before = long_plan(book)
    return f"/canvas/cloths/{before.cloth_id}/plan"


def ask_on_page(toni: Browser, book: Engine, seconds: str = "5") -> None:
    answer = toni.post("/canvas/plans/2/search", sent(version(book), seconds=seconds))
    assert answer.status_code == 303


def test_a_search_is_answered_at_once_and_shown_on_the_page_when_it_is_done(
    book: Engine, address: str, signed: Signed
) -> None:
    toni = signed("Toni")
    began = time.monotonic()
    ask_on_page(toni, book)
    assert time.monotonic() - began < 4  # the search itself takes 5
    page = toni.get(address).text
    assert 'hx-get="/canvas/searches/1" hx-trigger="every 2s"' in page
    assert "See whether it is done" in page
    assert 'action="/canvas/plans/2/search"' not in page
    until(book, 1, State.FOUND)
    page = toni.get(address).text
    assert "found a plan that takes" in page
    assert "hx-trigger" not in page
    assert "3 plans were tried" in page or "2 plans were tried" in page


def test_the_part_that_asks_by_itself_stops_when_the_search_is_over(
    book: Engine, address: str, signed: Signed
) -> None:
    toni = signed("Toni")
    asked(book, plan(book, 2))
    part = toni.get("/canvas/searches/1", part=True).text
    assert part.strip().startswith("<p")
    assert 'hx-trigger="every 2s"' in part
    assert "waits for the search before it" in part
    seeker = Seeker(book)
    seeker.one()
    seeker.close()
    part = toni.get("/canvas/searches/1", part=True).text
    assert "hx-trigger" not in part
    assert "Show the plan anew" in part


def test_a_search_asked_for_as_a_page_leads_to_its_plan(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    asked(book, plan(book, 2))
    answer = toni.get("/canvas/searches/1")
    assert (answer.status_code, answer.headers["location"]) == (303, f"{address}#plan")
    assert toni.get("/canvas/searches/9").status_code == 404


def test_a_second_search_while_one_goes_on_is_told(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    asked(book, plan(book, 2))
    answer = toni.post("/canvas/plans/2/search", sent(version(book), seconds="5"))
    assert answer.status_code == 422
    assert "A search for this cloth still goes on" in answer.text


def test_a_search_put_aside_is_not_shown_with_the_changed_order(
    book: Engine, address: str, signed: Signed
) -> None:
    toni = signed("Toni")
    asked(book, plan(book, 2))
    copies(book, 1, 2)
    searched.begin(book, LATER)
    toni.post(address, sent(version(book), **form()))
    page = toni.get(address).text
    assert "The search of" not in page
    assert 'action="/canvas/plans/3/search"' in page

"""The board of a full lot: sixty units at every stage, what the page says against what the rows hold."""

import re
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import lxml.html
import pytest
from fastapi import FastAPI
from sqlalchemy import Engine, event

from app.ground.acting import now
from app.ground.book import open_book, reading
from app.trade.figure import Grade
from app.yard import facts
from app.yard.facts import Board, BoardRow
from app.yard.rules import WaitsFor
from tests.conftest import NOON, Browser
from tests.yard.test_facts import Play, after, arrive, play

LATER = NOON + timedelta(days=40)


def checked_in(it: Play) -> None:
    """Nothing was done."""


def walking(it: Play) -> None:
    it.finding(it.walk(ended=None), "ti.tread", "watch", place="tire-1-left")


def walked(it: Play) -> None:
    it.finding(it.walk(), "ti.tread", "needs", place="tire-1-left")


def priced(it: Play) -> None:
    work = it.work(it.finding(it.walk(), "ti.tread", "dnt", place="tire-1-left"))
    it.line(it.offer(frozen=None), work)


def offered(it: Play) -> None:
    work = it.work(it.finding(it.walk(), "ti.tread", "dnt", place="tire-1-left"))
    it.line(it.offer(), work)


def agreed(it: Play) -> None:
    it.say(it.offer(), {it.work(it.finding(it.walk(), "ti.tread", "needs", place="tire-1-left")): "yes"})


def in_work(it: Play) -> None:
    work = it.work(it.finding(it.walk(), "ti.tread", "dnt", place="tire-1-left"))
    it.say(it.offer(), {work: "yes"})
    it.job(work)


def worked(it: Play) -> None:
    bad = it.finding(it.walk(), "ti.tread", "dnt", place="tire-1-left")
    work = it.work(bad)
    it.say(it.offer(), {work: "yes"})
    job = it.job(work, finished=7)
    it.record(job)
    it.clear(bad, job)


def gone(it: Play) -> None:
    worked(it)
    it.leave()


# what was recorded, the stage's word, who has to move, the heaviest grade that still holds
STAGES: tuple[tuple[Callable[[Play], None], str, WaitsFor, Grade], ...] = (
    (checked_in, "checked in", WaitsFor.US, Grade.UNSEEN),
    (walking, "being inspected", WaitsFor.US, Grade.WATCH),
    (walked, "to be priced", WaitsFor.US, Grade.NEEDS),
    (priced, "priced", WaitsFor.US, Grade.DNT),
    (offered, "waiting for the owner", WaitsFor.OWNER, Grade.DNT),
    (agreed, "agreed", WaitsFor.US, Grade.NEEDS),
    (in_work, "in work", WaitsFor.US, Grade.DNT),
    (worked, "in final check", WaitsFor.US, Grade.SOUND),
    (gone, "handed over", WaitsFor.NOBODY, Grade.SOUND),
)
HERE = [each for each in STAGES if each[1] != "handed over"]
UNITS = 60


@pytest.fixture(scope="module")
def lot(furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """Sixty units, one after the other at each stage, an hour between them."""
    path = tmp_path_factory.mktemp("lot") / "castlenut.db"
    shutil.copy(furnished, path)
    engine = open_book(path)
    for number in range(UNITS):
        order = arrive(engine, f"Owner <{number}>", hours=number)
        play(engine, order, STAGES[number % len(STAGES)][0])
    yield engine
    engine.dispose()


@pytest.fixture
def board(lot: Engine) -> Board:
    with reading(lot) as session:
        return facts.board(session, LATER)


def rows(board: Board) -> list[BoardRow]:
    return [row for _, mine in board.groups for row in mine]


def expected(number: int) -> tuple[Callable[[Play], None], str, WaitsFor, Grade]:
    """What the unit of a number was given."""
    return STAGES[(number - 1) % len(STAGES)]


def test_every_unit_that_has_not_left_is_on_the_board_once(board: Board) -> None:
    here = [number for number in range(1, UNITS + 1) if expected(number)[1] != "handed over"]
    assert sorted(row.head.number for row in rows(board)) == here
    assert board.count == len(here) == 54


def test_each_unit_shows_its_own_stage_its_own_waiting_and_its_own_grade(board: Board) -> None:
    for row in rows(board):
        _, word, waits, grade = expected(row.head.number)
        assert (row.stage.word, row.stage.waits, row.grade) == (word, waits, grade), row.head.number
        assert row.head.owner == f"Owner <{row.head.number - 1}>"


def test_the_sums_are_those_of_the_rows(board: Board) -> None:
    counted = Counter(row.stage.waits for row in rows(board))
    assert board.for_us == counted[WaitsFor.US]
    assert board.not_to_be_towed == sum(row.grade is Grade.DNT for row in rows(board))
    assert {who: len(mine) for who, mine in board.groups} == counted


def test_groups_stand_in_the_order_of_who_has_to_move_and_the_longest_wait_first(board: Board) -> None:
    assert [who for who, _ in board.groups] == [WaitsFor.US, WaitsFor.OWNER]
    for _, mine in board.groups:
        assert [row.stage.since for row in mine] == sorted(row.stage.since for row in mine)


def test_the_line_of_days_runs_from_arrival_to_today(board: Board) -> None:
    for row in rows(board):
        assert 0 <= row.came <= row.waits <= 276
        assert row.days == (LATER - row.stage.since).days


def test_a_full_lot_is_read_in_as_many_questions_as_a_lot_of_nine(lot: Engine) -> None:
    def asked(order_ids: list[int]) -> int:
        statements: list[str] = []

        def hear(_c: object, _u: object, statement: str, *_: object) -> None:
            statements.append(statement)

        event.listen(lot, "before_cursor_execute", hear)
        with reading(lot) as session:
            facts.stays_of(session, order_ids)
        event.remove(lot, "before_cursor_execute", hear)
        return len(statements)

    assert asked(list(range(1, 61))) == asked(list(range(1, 10)))


@pytest.mark.parametrize(
    ("days", "place"),
    [(0, 280), (0.4, 280), (1, 270), (13, 150), (27, 10), (28, 0), (29, 0), (400, 0)],
)
def test_a_day_is_ten_places_and_what_is_older_than_four_weeks_stands_at_the_edge(
    book: Engine, days: float, place: int
) -> None:
    order = arrive(book)
    with reading(book) as session:
        (row,) = facts.rows_of(session, [order], NOON + timedelta(days=days))
    assert row.came == place
    assert row.days == int(days)
    assert row.waits == min(place, 276)  # the wait of today is still to be seen


def test_rows_are_those_that_were_asked_for_and_no_others(lot: Engine) -> None:
    with reading(lot) as session:
        assert [row.head.order_id for row in facts.rows_of(session, [7, 3, 99], LATER)] == [3, 7]
        assert facts.rows_of(session, [], LATER) == []
        assert facts.stays_of(session, []) == {}
        assert facts.grades_of(session, []) == {}


def test_an_empty_lot_is_said_to_be_empty(signed: Callable[[str], Browser]) -> None:
    page = signed("Toni").get("/").text
    assert "The lot is empty." in page
    assert '<b class="num">0</b> on the lot' in page
    assert 'href="/intake"' not in page  # a technician takes nothing in


def test_an_empty_lot_tells_a_lead_where_the_shop_is_set_up(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    page = lee.get("/").text
    for way in ("/shop", "/people", "/bench/instruments", "/inspection/catalogue", "/parts", "/intake"):
        assert f'href="{way}">' in page.split("The lot is empty", 1)[1].split("<footer", 1)[0]
    assert 'href="/bench/instruments"' in lee.get("/shop").text
    assert "The lot is empty" in (writers := signed("Wren").get("/").text)
    assert "/bench/instruments" not in writers


# --- the page -----------------------------------------------------------------------------------


@pytest.fixture
def busy(lot: Engine, book: Engine, app: FastAPI, signed: Callable[[str], Browser]) -> Iterator[Browser]:
    """A browser in front of the full lot."""
    toni = signed("Toni")
    kept = toni.client.cookies["castlenut"]
    with lot.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    with book.begin() as connection:
        rows_of = connection.exec_driver_sql("SELECT * FROM signin").all()
    marks = ", ".join("?" * len(rows_of[0]))
    with lot.begin() as connection:
        connection.exec_driver_sql("DELETE FROM signin")
        connection.exec_driver_sql(f"INSERT INTO signin VALUES ({marks})", tuple(rows_of[0]))
    before, app.state.book = app.state.book, lot
    assert toni.client.cookies["castlenut"] == kept
    yield toni
    app.state.book = before


def lines(page: lxml.html.HtmlElement) -> dict[int, list[str]]:
    """The cells of each unit's line on a page, by unit number."""
    found = {}
    for line in page.xpath("//tbody/tr[@data-state]"):
        cells = [re.sub(r"\s+", " ", cell.text_content()).strip() for cell in line]
        found[int(cells[1])] = [line.get("data-state"), *cells]
    return found


def test_the_page_of_the_board_says_what_the_facts_say(busy: Browser, lot: Engine) -> None:
    answer = busy.get("/")
    page = lxml.html.document_fromstring(answer.text)
    with reading(lot) as session:
        board = facts.board(session, now())
    shown = lines(page)
    assert set(shown) == {row.head.number for row in rows(board)}
    for row in rows(board):
        state, mark, _, what, stands, waits, days, _ = shown[row.head.number]
        assert state == row.grade
        assert mark.endswith(row.grade.word)
        assert what == f"{row.head.what}, {row.head.owner}"
        assert (stands, waits) == (row.head.stands, row.stage.waits_for)
        assert days == (str(row.days) if row.days else "today")
    for number in (board.count, board.for_us, board.not_to_be_towed):
        assert f'<b class="num">{number}</b>' in answer.text
    headings = [each.text_content() for each in page.xpath('//th[@scope="rowgroup"]')]
    assert headings == ["Wait for us", "Wait for the owner"]
    assert "<0>" not in answer.text  # an owner's name is no tag


@pytest.mark.parametrize(
    ("asked", "numbers"),
    [
        ("17", [17, 18]),  # unit 17, and unit 18 whose owner is called so
        ("WO-000009", [9]),  # left the lot, yet found
        ("Owner <5>", [6]),
        ("nobody of that name", []),
        ("%", []),
    ],
)
def test_the_search_finds_on_the_lot_and_what_has_left(busy: Browser, asked: str, numbers: list[int]) -> None:
    answer = busy.client.get("/", params={"find": asked})
    page = lxml.html.document_fromstring(answer.text)
    assert sorted(lines(page)) == numbers
    assert f"{len(numbers)} found for" in page.text_content()
    assert page.xpath('//input[@name="find"]')[0].get("value") == asked


def test_each_row_leads_to_its_order_and_each_order_says_the_same(busy: Browser, lot: Engine) -> None:
    for order_id in range(1, len(STAGES) + 1):
        text = busy.get(f"/orders/{order_id}").text
        with reading(lot) as session:
            page = facts.order_page(session, order_id)
        assert f'<h1 id="road">{page.road.word}</h1>' in text
        assert page.stage.word in text
        shown = lxml.html.document_fromstring(text)
        assert page.road.says in shown.text_content()
        assert len(shown.xpath('//table[@class="loom"]/tbody/tr')) == len(page.threads)


@pytest.mark.parametrize(
    ("number", "leads"),
    [
        (1, "/inspection/orders/1"),
        (2, "/inspection/orders/2"),
        (3, "/estimate/3"),
        (4, "/estimate/4"),
        (5, "/estimate/5/consent"),
        (6, "/bench/orders/6"),
        (7, "/bench/orders/7"),
        (8, "/handover/8"),
        (9, None),
    ],
)
def test_the_first_key_of_an_order_leads_to_what_comes_next(
    busy: Browser, number: int, leads: str | None
) -> None:
    page = lxml.html.document_fromstring(busy.get(f"/orders/{number}").text)
    assert [key.get("href") for key in page.xpath('//p[@class="road-next"]/a')] == ([leads] if leads else [])


# --- threads of every shape ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("done", "reached", "ends"),
    [
        (walked, 1, ["found"]),
        (priced, 2, ["priced"]),
        (offered, 2, ["priced"]),
        (agreed, 3, ["agreed"]),
        (in_work, 3, ["agreed"]),
        (worked, 6, ["cleared"]),
        (gone, 6, ["cleared"]),
    ],
)
def test_a_thread_is_solid_as_far_as_the_work_has_come(
    book: Engine, done: Callable[[Play], None], reached: int, ends: list[str]
) -> None:
    order = arrive(book)
    play(book, order, done)
    with reading(book) as session:
        (thread,) = facts.threads_of(session, order)
    assert [knot.word for knot in thread.knots] == list(facts.WORDS)
    assert [knot.at is not None for knot in thread.knots] == [n < reached for n in range(6)]
    assert [knot.word for knot in thread.knots if knot.end] == ends
    assert not any(knot.stopped or knot.after for knot in thread.knots)


@pytest.mark.parametrize("answer", ["no", "later"])
def test_a_work_that_the_owner_does_not_want_stops_at_that_word(book: Engine, answer: str) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        it.say(it.offer(), {it.work(it.finding(it.walk(), "ti.tread", "dnt")): answer})

    play(book, order, acts)
    with reading(book) as session:
        (thread,) = facts.threads_of(session, order)
        page = facts.order_page(session, order)
    assert [knot.stopped for knot in thread.knots] == ["", "", answer, "", "", ""]
    assert [knot.after for knot in thread.knots] == [False, False, False, True, True, True]
    assert thread.state is Grade.DNT
    assert page.road.word == "Do not tow"  # a no makes nothing safe
    assert page.stage.word == "in final check"


@pytest.mark.parametrize("answers", [("yes", "no"), ("no", "yes"), ("yes", "later")])
def test_a_finding_with_two_works_goes_on_where_one_is_agreed(book: Engine, answers: tuple[str, str]) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        bad = it.finding(it.walk(), "ti.tread", "dnt")
        works = (it.work(bad), it.work(bad))
        it.say(it.offer(), dict(zip(works, answers, strict=True)))

    play(book, order, acts)
    with reading(book) as session:
        (thread,) = facts.threads_of(session, order)
    assert thread.knots[2].at == after(5)
    assert not any(knot.stopped for knot in thread.knots)


def test_one_work_that_answers_two_findings_ties_both_threads(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk()
        found = it.finding(walk, "ti.tread", "dnt"), it.finding(walk, "ti.age", "needs")
        work = it.work(*found)
        it.say(it.offer(), {work: "yes"})
        it.job(work, finished=7)

    play(book, order, acts)
    with reading(book) as session:
        threads = facts.threads_of(session, order)
    assert [thread.finding.check for thread in threads] == ["ti.tread", "ti.age"]  # the heaviest first
    assert all(thread.knots[3].at == after(7) for thread in threads)
    assert all(thread.knots[5].at is None for thread in threads)


def test_sound_and_unseen_have_no_thread_and_what_was_cleared_stands_last(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk()
        it.finding(walk, "cp.latch", "sound")
        it.finding(walk, "cp.chains", "unseen")
        bad = it.finding(walk, "ti.tread", "dnt")
        it.finding(walk, "bo.seam", "watch")
        work = it.work(bad)
        it.say(it.offer(), {work: "yes"})
        job = it.job(work, finished=7)
        it.record(job)
        it.clear(bad, job)

    play(book, order, acts)
    with reading(book) as session:
        threads = facts.threads_of(session, order)
    assert [(thread.finding.check, thread.state) for thread in threads] == [
        ("bo.seam", Grade.WATCH),
        ("ti.tread", Grade.SOUND),
    ]
    assert threads[1].says == "was Do not tow: as seen"


def test_a_record_of_another_job_measures_nothing_of_this_thread(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk()
        one, other = it.finding(walk, "ti.tread", "dnt"), it.finding(walk, "ti.age", "dnt")
        works = it.work(one), it.work(other)
        it.say(it.offer(), dict.fromkeys(works, "yes"))
        it.job(works[0], finished=7)
        it.record(it.job(works[1]))

    play(book, order, acts)
    with reading(book) as session:
        threads = {it.finding.check: it for it in facts.threads_of(session, order)}
    assert threads["ti.tread"].knots[4].at is None
    assert threads["ti.age"].knots[4].at == after(6.5)
    assert [knot.end for knot in threads["ti.age"].knots] == [False, False, True, False, True, False]

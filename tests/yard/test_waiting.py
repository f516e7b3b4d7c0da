"""A unit waits for parts: from the order at the supplier to the delivery, as the yard tells it."""

from collections.abc import Callable
from datetime import date

import pytest
from sqlalchemy import Engine

from app.bench import needs
from app.bench import steps as bench
from app.bench.floor.rules import Pause, PausedFor
from app.bench.floor.steps import pause
from app.ground.book import reading
from app.parts import buying
from app.parts.rules import Came
from app.yard import facts
from app.yard.rules import Stage, WaitsFor
from tests.bench.test_needs import LINE, agreed
from tests.conftest import NOON, Browser, act
from tests.parts.shelf import stocked, supplier

Signed = Callable[[str], Browser]
DEC_3 = date(2026, 12, 3)


def stage_of(book: Engine, order_id: int) -> Stage:
    with reading(book) as session:
        (row,) = facts.rows_of(session, [order_id], NOON)
    return row.stage


@pytest.fixture
def bought(book: Engine) -> int:
    """Key of a work order whose only work needs four pieces, of which three are ordered."""
    stocked(book, 1, supplier_id=supplier(book), reorder_quantity=0, reorder_at=0)
    order_id = agreed(book)
    needs.reserve_parts(book, act(), order_id)
    needs.order_what_is_missing(book, act())
    return order_id


def job_of(book: Engine, order_id: int) -> int:
    bench.open_jobs(book, act(), order_id)
    return 1


def test_a_work_whose_parts_are_ordered_waits_for_them(book: Engine, bought: int) -> None:
    found = stage_of(book, bought)
    assert (found.word, found.waits) == ("waiting for parts", WaitsFor.PARTS)
    assert found.waits_for == "3 Bearing set, cone and cup, no day told yet"


def test_the_day_that_the_supplier_names_is_told(book: Engine, bought: int) -> None:
    buying.send_order(book, act(seen=1), 1, "phone")
    buying.take_in_delivery(book, act(seen=2), 1, [Came(1, 100, DEC_3)])
    assert stage_of(book, bought).waits_for == "2 Bearing set, cone and cup, expected 3 Dec"


def test_the_wait_ends_with_the_delivery(book: Engine, bought: int) -> None:
    buying.send_order(book, act(seen=1), 1, "phone")
    buying.take_in_delivery(book, act(seen=2), 1, [Came(1, 300, None)])
    found = stage_of(book, bought)
    assert (found.word, found.waits, found.waits_for) == ("agreed", WaitsFor.US, "1 of 1 jobs to finish")


def test_an_order_closed_without_its_parts_is_waited_for_no_more(book: Engine, bought: int) -> None:
    buying.send_order(book, act(seen=1), 1, "phone")
    buying.close_order(book, act(seen=2), 1)
    assert stage_of(book, bought).waits is WaitsFor.US


def test_a_job_that_was_begun_without_its_parts_goes_on_till_it_is_paused(book: Engine, bought: int) -> None:
    job = job_of(book, bought)
    bench.begin(book, act(), job)
    assert (stage_of(book, bought).word, stage_of(book, bought).waits) == ("in work", WaitsFor.US)
    pause(book, act(seen=1), job, Pause(PausedFor.PART, "bearing, Thursday"))
    found = stage_of(book, bought)
    assert (found.word, found.waits_for) == ("waiting for parts", "A part: bearing, Thursday")


def test_another_work_order_does_not_wait_for_these_parts(book: Engine, bought: int) -> None:
    other = agreed(book, lines=(LINE,))
    assert stage_of(book, other).word == "agreed"
    assert stage_of(book, bought).word == "waiting for parts"


def test_the_yard_groups_what_waits_for_parts(book: Engine, bought: int, signed: Signed) -> None:
    page = signed("Wren").get("/").text
    assert "Wait for parts" in page
    assert "3 Bearing set, cone and cup, no day told yet" in page
    with reading(book) as session:
        board = facts.board(session, NOON)
    assert board.for_us == 0
    assert [who for who, _ in board.groups] == [WaitsFor.PARTS]
    assert bought == board.groups[0][1][0].head.order_id

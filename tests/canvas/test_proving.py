"""The job that new canvas is sold by is finished when the canvas is inspected, not before."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine

from app.bench import facts as bench
from app.bench import steps as bench_steps
from app.canvas import making, steps
from app.canvas.making import ORDER, Stage, StageSaid
from app.ground.book import reading
from app.trade.problems import Refused
from tests.canvas import loft
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
LEE, TONI = 1, 3


@pytest.fixture
def order(book: Engine) -> int:
    """An order sewn up, to be sent to the shop, and the job of its work."""
    key = loft.sewn_up(book, loft.ready(book))
    bench_steps.open_jobs(book, act(TONI), loft.read(book, key).row.work_order_id)
    return key


def job(book: Engine) -> bench.JobLine:
    with reading(book) as session:
        found = bench.job_of(session, 1)
    assert found is not None
    return found


def finish(book: Engine) -> int:
    return bench_steps.finish_job(book, act(TONI, seen=job(book).revision), 1)


def stage_done(book: Engine, key: int, stage: Stage) -> None:
    said = StageSaid(stage, "", "by hand and eye")
    making.keep_stage(book, act(LEE, seen=ORDER.index(stage)), key, said)


def test_a_job_waits_for_the_inspection_of_its_canvas(book: Engine, order: int) -> None:
    with pytest.raises(Refused, match=r"K-0001 is not inspected\. Final trim done, next: inspect"):
        finish(book)
    loft.inspect(book, order)
    stage_done(book, order, Stage.INSPECT)
    assert job(book).lacks == ()
    finish(book)
    assert job(book).finished_at is not None


def test_a_job_waits_too_where_a_later_inspection_finds_a_leak(book: Engine, order: int) -> None:
    loft.inspect(book, order)
    stage_done(book, order, Stage.INSPECT)
    loft.inspect(book, order, LEE, dry="no")
    with pytest.raises(Refused, match="inspection of K-0001 does not hold: 1 thing to put right"):
        finish(book)
    loft.inspect(book, order)
    finish(book)


def test_a_finished_job_is_asked_no_more_when_the_inspection_is_taken_back(book: Engine, order: int) -> None:
    loft.inspect(book, order)
    stage_done(book, order, Stage.INSPECT)
    finish(book)
    making.take_back(book, act(LEE, seen=len(ORDER) - 1), order, "a seam was sewn again")
    assert job(book).lacks == ()


def test_a_job_does_not_wait_for_canvas_that_was_called_off(book: Engine, order: int) -> None:
    row = loft.read(book, order).row
    steps.call_off(book, act(LEE, seen=row.revision), order, "the owner sells the trailer")
    assert job(book).behind == ()


def test_the_page_of_the_job_says_how_far_its_canvas_is(book: Engine, signed: Signed, order: int) -> None:
    page = signed("Toni").get("/bench/jobs/1").text
    assert "Canvas order K-0001 is not inspected. Final trim done, next: inspect." in page
    assert "1 thing to come" in page

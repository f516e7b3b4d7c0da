"""Eight programs note payments at once, some are killed in the middle: no number is lost or given twice."""

import multiprocessing
import os
import signal
import time
from pathlib import Path

from sqlalchemy import Engine

from app.accounts import steps
from app.ground import backups
from app.ground.acting import new_key
from app.ground.book import open_book, reading
from app.ground.series import next_number
from app.ground.settings import Settings
from tests.accounts.stays import cash, desk
from tests.conftest import act
from tests.estimate.arrived import TREAD, arrive

WRITERS, KILLED = 8, 4
EACH = 6  # payments of a writer that lives
PATIENCE = 120  # seconds


def pays(
    path: Path, order_id: int, done: "multiprocessing.sharedctypes.Synchronized[int]", most: int
) -> None:
    """One program: notes payments until it has noted enough."""
    book = open_book(path)
    for _ in range(most):
        steps.take_payment(book, desk(book, order_id), order_id, cash(100))
        with done.get_lock():
            done.value += 1
    os._exit(0)


def test_eight_writers_with_kills_leave_numbers_without_gaps_or_repeats(
    book: Engine, settings: Settings
) -> None:
    orders = [arrive(book, (TREAD,)) for _ in range(WRITERS)]
    book.dispose()
    forking = multiprocessing.get_context("fork")
    counts = [forking.Value("i", 0) for _ in orders]
    most = [10_000] * KILLED + [EACH] * (WRITERS - KILLED)
    running = [
        forking.Process(target=pays, args=(settings.book, order, count, enough))
        for order, count, enough in zip(orders, counts, most, strict=True)
    ]
    for each in running:
        each.start()
    killed = _kill_in_the_middle(running[:KILLED], counts[:KILLED])
    for each in running[KILLED:]:
        each.join(PATIENCE)
    assert [each.exitcode for each in killed] == [-signal.SIGKILL] * KILLED
    assert [each.exitcode for each in running[KILLED:]] == [0] * (WRITERS - KILLED)
    numbers = _numbers(book)
    assert numbers == [f"R-2026-{n:04}" for n in range(1, len(numbers) + 1)]
    assert len(numbers) >= (WRITERS - KILLED) * EACH + KILLED
    with reading(book) as session:
        assert next_number(session, "receipt", 2026) == len(numbers) + 1
    assert backups.verify(settings) == []


def _kill_in_the_middle(processes: list, counts: list) -> list:  # type: ignore[type-arg]  # of the fork context
    """Each is killed once it has noted something, wherever it then stands."""
    until = time.monotonic() + PATIENCE
    for each, count in zip(processes, counts, strict=True):
        while not count.value and time.monotonic() < until:
            time.sleep(0.005)
        os.kill(each.pid, signal.SIGKILL)
        each.join(PATIENCE)
    return processes


def _numbers(book: Engine) -> list[str]:
    with book.connect() as connection:
        return [number for (number,) in connection.exec_driver_sql("SELECT number FROM payment ORDER BY id")]


def test_an_act_that_fails_gives_its_number_back(book: Engine) -> None:
    order_id = arrive(book, (TREAD,))
    once = act(person=2, seen=0, submission=new_key())
    steps.take_payment(book, once, order_id, cash(100))
    steps.take_payment(book, once, order_id, cash(100))  # a repeat takes none
    steps.take_payment(book, desk(book, order_id), order_id, cash(200))
    assert _numbers(book) == ["R-2026-0001", "R-2026-0002"]

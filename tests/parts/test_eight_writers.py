"""Eight programs move one part in one book, and are killed while they do: the ledger stays whole."""

import multiprocessing
import random
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from multiprocessing.context import ForkProcess
from pathlib import Path

from sqlalchemy import Engine
from sqlalchemy.exc import OperationalError
from sqlmodel import col, select

from app.ground.acting import Act, now
from app.ground.backups import verify
from app.ground.book import open_book, reading
from app.ground.receipts import broken
from app.ground.settings import Settings
from app.ground.tables import Receipt
from app.parts import steps
from app.parts.ledger import served
from app.parts.rules import MoveSaid
from app.parts.tables import Movement
from app.trade.problems import Refused
from app.trade.stock import MoveKind
from tests.parts.shelf import order, standing, stocked

EACH = 5  # movements at least of each program before it is killed
SECONDS = 90  # on a machine that has much else to do
KINDS = (
    MoveKind.RECEIVE,
    MoveKind.ISSUE,
    MoveKind.ISSUE,
    MoveKind.RESERVE,
    MoveKind.RELEASE,
    MoveKind.RETURN,
)


def writes(path: Path, told: Path, part_id: int, number: int) -> None:
    """Move stock at random, as often as it is allowed; what was answered is told, a key a line."""
    book, chosen = open_book(path), random.Random(told.name)
    with told.open("w") as out:
        for count in range(100_000):
            key, kind = f"{told.name}-{count}", chosen.choice(KINDS)
            said = MoveSaid(
                kind, chosen.choice((100, 200, 300)), None if kind is MoveKind.RECEIVE else number
            )
            time.sleep(
                chosen.random() / 20
            )  # SQLite's waiting is not fair to those behind one that never rests
            with suppress(Refused, OperationalError):
                steps.move_stock(book, Act(key, key, 1, now(), told.name), part_id, said)
                out.write(f"{key}\n")
                out.flush()


@contextmanager
def programs(book: Path, told: list[Path], part_id: int, number: int) -> Iterator[list[ForkProcess]]:
    """As many programs as files to tell in; every one is killed at the end."""
    fork = multiprocessing.get_context("fork")
    begun = [fork.Process(target=writes, args=(book, each, part_id, number)) for each in told]
    for each in begun:
        each.start()
    try:
        yield begun
    finally:
        for each in begun:
            each.kill()
            each.join()


def answers(told: list[Path]) -> list[str]:
    """What the programs were answered: whole lines only."""
    texts = [each.read_text() for each in told if each.exists()]
    return [line.strip() for text in texts for line in text.splitlines(keepends=True) if line.endswith("\n")]


def wait_for(told: list[Path]) -> None:
    """Until each program was answered often enough."""
    until = time.monotonic() + SECONDS
    while not all(len(answers([each])) >= EACH for each in told):
        assert time.monotonic() < until, answers(told)
        time.sleep(0.05)


def test_eight_programs_that_are_killed_leave_a_ledger_that_adds_up(
    book: Engine, settings: Settings, tmp_path: Path
) -> None:
    key = stocked(book, 6)
    order_id, number = order(book)
    book.dispose()  # no connection is shared with the programs
    first, second = ([tmp_path / f"{word}-{n}" for n in range(4)] for word in ("first", "second"))
    with programs(settings.book, first, key, number), programs(settings.book, second, key, number) as others:
        wait_for([*first, *second])
        others[0].kill()
        others[1].kill()
    third = [tmp_path / f"third-{n}" for n in range(8)]
    with programs(settings.book, third, key, number):
        wait_for(third)

    told = answers([*first, *second, *third])
    with reading(book) as session:
        rows = list(session.exec(select(Movement).where(Movement.part_id == key).order_by(col(Movement.id))))
        kept = set(session.exec(select(Receipt.submission)))
        assert list(broken(session)) == []
        mine = served(session, key, order_id)
    assert set(told) <= kept  # what was answered is in the book
    assert len(rows) >= len(told) >= 16 * EACH
    never_below_nothing(rows)
    stands = standing(book, key)
    assert (stands.on_hand, stands.reserved) == (sum(r.on_hand for r in rows), sum(r.reserved for r in rows))
    assert sum(held for held, _, _ in mine.values()) == stands.reserved
    assert verify(settings) == []


def never_below_nothing(rows: list[Movement]) -> None:
    """At no moment were fewer than none on the shelf, or more reserved than there were."""
    on_hand = reserved = value = 0
    for row in rows:
        on_hand, reserved, value = on_hand + row.on_hand, reserved + row.reserved, value + row.value
        assert 0 <= reserved <= on_hand, row
        assert value >= 0, row

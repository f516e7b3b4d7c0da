"""Books whose rows bore no numbers yet: a migration gives them, by the receipts of their times."""

import re
from datetime import timedelta

import pytest
from alembic import command
from sqlalchemy import Engine, text
from sqlmodel import Session

from app.ground import migrating
from app.ground.book import reading
from app.ground.migrating import migrate
from app.inspection import steps as inspection
from app.inspection import taking_back
from app.inspection.steps import Seen
from app.inspection.tables import Finding
from app.trade.figure import By, Grade
from tests.handover.stays import NUTS, SOUND, TONI, Found, Stay, stay

BOLTS = Found("cp.bolts", "Coupler bolts", 2)
COLUMNS = {
    "walk": "entry",
    "consent": "entry",
    "benchrecord": "entry",
    "clearance": "entry",
    "finalcheck": "entry",
    "takenback": "entry",
    "finding": "looked_entry",
    "job": "begun_entry + 1000 * finished_entry",
}


def numbers(book: Engine) -> dict[str, list[int]]:
    """What the rows of a book bear as the numbers of their acts, in the order of their keys."""
    with book.connect() as connection:
        asked = {table: text(f"SELECT {said} FROM {table} ORDER BY id") for table, said in COLUMNS.items()}
        return {table: list(connection.execute(it).scalars()) for table, it in asked.items()}


@pytest.fixture
def made(book: Engine) -> Stay:
    """A stay through all its acts, each an hour before the one that came before it."""
    it = stay(book, [*SOUND[1:], NUTS, BOLTS])
    acts = [
        lambda: it.price(say={}),
        it.work,
        lambda: it.clear(NUTS.name),
        lambda: look(it, Grade.WATCH, "one washer is thin"),
        lambda: look(it, Grade.NEEDS, "one bolt is loose"),
        lambda: back(it),
        it.check,
    ]
    for each in acts:
        it.at -= timedelta(hours=1)
        each()
    return it


def look(it: Stay, grade: Grade, reason: str) -> None:
    """A look of Toni's at the bolts."""
    with reading(it.book) as session:
        seen = session.get_one(Finding, it.findings[BOLTS.name]).revision
    said = Seen(grade=grade, reason=reason, by=By.SOON if grade is Grade.NEEDS else None)
    inspection.record_finding(it.book, it.act(TONI, seen), it.findings[BOLTS.name], said)


def back(it: Stay) -> None:
    """Toni's last look taken back."""
    with reading(it.book) as session:
        newest = taking_back.last_acts(session, it.order, TONI)
    key = next(act.id for act in newest if act.stands and not act.taken_back)
    taking_back.take_back(it.book, it.act(TONI), it.order, key, "key")


def to_before(book: Engine) -> None:
    """A book as a program of before had it."""
    config = migrating._config()
    with book.connect() as connection:
        connection.connection.cursor().execute(
            "PRAGMA foreign_keys=OFF"
        )  # else a rebuilt table loses its children
        config.attributes["connection"] = connection
        command.downgrade(config, "0015")
        connection.commit()
        connection.connection.cursor().execute("PRAGMA foreign_keys=ON")


def test_rows_of_before_get_the_numbers_of_their_acts_whatever_the_clock_said(made: Stay) -> None:
    before = numbers(made.book)
    assert all(0 not in found for found in before.values())
    to_before(made.book)
    migrate(made.book)
    assert numbers(made.book) == before


def without_numbers(session: Session) -> None:
    """Receipts as they were signed before looks bore numbers."""
    session.execute(text("DROP TRIGGER receipt_no_update"))
    for key, stood in session.execute(text("SELECT id, stood FROM receipt")).all():
        old = re.sub(r'"looked_entry":\d+,', "", stood)
        session.execute(text("UPDATE receipt SET stood = :old WHERE id = :key"), {"old": old, "key": key})
    session.commit()


def test_a_look_of_before_that_stands_again_has_the_number_that_it_had(made: Stay) -> None:
    stood = numbers(made.book)["finding"]
    look(made, Grade.NEEDS, "one bolt is loose after all")
    assert numbers(made.book)["finding"] != stood
    with reading(made.book) as session:
        without_numbers(session)
    back(made)
    assert numbers(made.book)["finding"] == stood

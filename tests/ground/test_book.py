"""The book: its settings, its writers, what survives."""

import multiprocessing
import os
import signal
import sqlite3
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, Engine
from sqlalchemy.exc import IntegrityError, OperationalError
from sqlmodel import SQLModel, select

from app.ground import receipts
from app.ground.book import PRAGMAS, open_book, pragmas, reading, writing
from app.ground.migrating import migrate
from app.ground.tables import APPEND_ONLY, Instrument, Receipt, Series
from tests.conftest import NOON, act


def instrument(name: str) -> Instrument:
    return Instrument(created_at=NOON, name=name, kind="torque wrench")


def test_every_connection_has_the_settings_that_durability_rests_on(book: Engine) -> None:
    # synchronous FULL (2): sqlite.org/pragma.html, a WAL commit survives a power cut only so
    assert pragmas(book) == PRAGMAS
    assert PRAGMAS["synchronous"] == 2


def test_a_block_that_ends_is_kept_and_one_that_breaks_leaves_nothing(book: Engine) -> None:
    with writing(book) as session:
        session.add(instrument("Wrench 1"))
    with pytest.raises(RuntimeError), writing(book) as session:
        session.add(instrument("Wrench 2"))
        session.flush()
        raise RuntimeError
    with reading(book) as session:
        assert [each.name for each in session.exec(select(Instrument))] == ["Wrench 1"]


def test_eight_writers_who_read_then_write_lose_no_count(book: Engine) -> None:
    def count() -> None:
        for _ in range(25):
            with writing(book) as session:
                series = session.get(Series, ("test", 0)) or Series(name="test", year=0)
                series.last += 1
                session.add(series)

    threads = [threading.Thread(target=count) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with reading(book) as session:
        assert session.get_one(Series, ("test", 0)).last == 200


def test_eight_threads_with_one_act_make_one_row(book: Engine) -> None:
    same = act(submission="the same")
    keys: list[int] = []

    def keep() -> None:
        with writing(book) as session:
            made = receipts.repeated(session, same)
            keys.append(made or receipts.sign(session, same, "add instrument", instrument("Wrench")))

    threads = [threading.Thread(target=keep) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(keys) == 8
    assert len(set(keys)) == 1
    with reading(book) as session:
        assert len(list(session.exec(select(Instrument)))) == 1


def _write_and_tell(path: Path, told: int) -> None:
    engine = open_book(path)
    for number in range(10_000):
        with writing(engine) as session:
            session.add(instrument(f"Wrench {number}"))
        os.write(told, f"{number}\n".encode())


def test_nothing_that_was_told_as_saved_is_lost_when_the_program_is_killed(
    book: Engine, tmp_path: Path
) -> None:
    path = Path(str(book.url.database))
    context = multiprocessing.get_context("fork")
    for _ in range(5):
        read, write = os.pipe()
        child = context.Process(target=_write_and_tell, args=(path, write))
        child.start()
        os.close(write)
        told = [os.read(read, 64) for _ in range(20)]
        assert child.pid is not None
        os.kill(child.pid, signal.SIGKILL)
        child.join()
        with os.fdopen(read, "rb") as rest:
            numbers = [int(each) for each in (b"".join(told) + rest.read()).split()]
        with reading(book) as session:
            kept = {each.name for each in session.exec(select(Instrument))}
        assert {f"Wrench {number}" for number in numbers} <= kept
    with sqlite3.connect(path) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    raw.close()


def test_every_append_only_table_refuses_change_and_removal(book: Engine) -> None:
    migrate(book)
    with book.connect() as connection:
        made = {
            name
            for (name,) in connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        }
    assert made == {f"{table}_no_{word}" for table in APPEND_ONLY for word in ("update", "delete")}
    assert {"receipt", "document", "consent", "answer", "benchrecord", "clearance", "handover"} <= set(
        APPEND_ONLY
    )


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE receipt SET act = 'other'",
        "DELETE FROM receipt",
        "INSERT OR REPLACE INTO receipt SELECT * FROM receipt LIMIT 1",
    ],
)
def test_a_receipt_cannot_be_changed_whoever_asks(book: Engine, statement: str) -> None:
    with pytest.raises((IntegrityError, OperationalError), match="append-only"), book.begin() as connection:
        connection.exec_driver_sql(statement)


def test_the_file_itself_refuses_a_text_in_a_numbers_column(book: Engine) -> None:
    with pytest.raises(IntegrityError, match="cannot store TEXT"), book.begin() as connection:
        connection.exec_driver_sql("INSERT INTO series (name, year, last) VALUES ('x', 0, 'many')")


def test_the_migrations_make_exactly_the_tables_of_the_rooms(book: Engine) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with book.connect() as connection:
        found = compare_metadata(MigrationContext.configure(connection), SQLModel.metadata)
        assert [it for it in found if not as_the_file_has_it(connection, it)] == []


def as_the_file_has_it(connection: Connection, found: Sequence[Any]) -> bool:
    """Whether a difference is none: SQLAlchemy reads no ON DELETE that stands beside its column."""
    if found[0] not in ("add_fk", "remove_fk"):
        return False
    reference = found[1]
    (column,) = reference.columns.keys()
    wanted = SQLModel.metadata.tables[reference.table.name].c[column].foreign_keys
    rows = connection.exec_driver_sql(f"PRAGMA foreign_key_list({reference.table.name})").mappings()
    kept = [(row["table"], row["to"], row["on_delete"]) for row in rows if row["from"] == column]
    return kept == [(*it.target_fullname.split("."), it.ondelete or "NO ACTION") for it in wanted]


def test_a_chain_is_whole_until_a_byte_of_it_is_changed(book: Engine) -> None:
    with reading(book) as session:
        assert list(receipts.broken(session)) == []
        second = session.exec(select(Receipt)).all()[1].key
    with book.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER receipt_no_update")
        connection.exec_driver_sql(f"UPDATE receipt SET stood = stood || ' ' WHERE id = {second}")
    with reading(book) as session:
        assert next(receipts.broken(session)) == second


def test_a_receipt_in_the_middle_cannot_be_taken_away_unseen(book: Engine) -> None:
    with book.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER receipt_no_delete")
        connection.exec_driver_sql("DELETE FROM receipt WHERE id = 2")
    with reading(book) as session:
        assert list(receipts.broken(session)) == [3]


def test_a_receipt_keeps_what_stood_but_no_secret(book: Engine) -> None:
    with reading(book) as session:
        stood = session.exec(select(Receipt.stood)).all()
    assert '"name":"Toni"' in stood[2]
    assert "argon2" not in "".join(stood)

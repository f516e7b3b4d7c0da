"""The shop's book: one SQLite file, written by one act at a time, on disk before anything is answered."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, event
from sqlmodel import Session, create_engine

PRAGMAS = {
    "journal_mode": "wal",
    "synchronous": 2,  # FULL: with NORMAL a power cut takes back what was answered
    "foreign_keys": 1,
    "busy_timeout": 10_000,
    "recursive_triggers": 1,  # without it INSERT OR REPLACE walks past the append-only triggers
    "trusted_schema": 0,
}
# A lock hands over in order; SQLite's own waiting lets the luckiest go first and starves others.
_one_writer = threading.Lock()


def open_book(path: Path) -> Engine:
    """The engine of a book file; its tables are made by `migrate`."""
    engine = create_engine(f"sqlite:///{path}", pool_size=10, max_overflow=40)
    event.listen(engine, "connect", _on_connect)
    event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None  # the driver must not begin by itself
    for name, value in PRAGMAS.items():
        connection.execute(f"PRAGMA {name}={value}")


def _on_begin(connection: Connection) -> None:
    connection.exec_driver_sql(connection.get_execution_options().get("begin", "BEGIN"))


@contextmanager
def writing(book: Engine) -> Iterator[Session]:
    """A session that may write: begins IMMEDIATE, commits at the end of the block, keeps nothing on an error.

    The commit has happened when the block is left, so before anything is answered.
    """
    with (
        _one_writer,
        Session(book.execution_options(begin="BEGIN IMMEDIATE"), expire_on_commit=False) as session,
    ):
        yield session
        session.commit()


@contextmanager
def reading(book: Engine) -> Iterator[Session]:
    """A session that only reads: one snapshot, open late and close early."""
    with Session(book, expire_on_commit=False) as session:
        yield session


def pragmas(book: Engine) -> dict[str, Any]:
    """The settings in force on a connection, to be compared with `PRAGMAS`."""
    with book.connect() as connection:
        return {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in PRAGMAS}

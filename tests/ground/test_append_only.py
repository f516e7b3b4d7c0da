"""Tables whose rows are never changed or removed: held by the file itself, whoever asks and however."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from sqlalchemy import Column, Connection, Engine, Table
from sqlalchemy.exc import DatabaseError
from sqlmodel import SQLModel

from app.ground.book import PRAGMAS
from app.ground.migrating import migrate, triggers
from app.ground.settings import Settings
from app.ground.tables import APPEND_ONLY

NEVER = [
    # what was billed, paid and counted, and on what terms
    *("bill", "billline", "payment", "exemption", "dayclose", "terms"),
    # what an owner was told, said, signed or was handed; what was measured; what all of it rests on
    *("receipt", "document", "photo", "arrivalphoto", "findingphoto", "catalogueversion", "consent"),
    *("answer", "benchrecord", "clearance", "finalcheck", "handover", "movement", "retorquevisit"),
    # how the place of a job looked before and after it
    "jobphoto",
    # that canvas may be cut as it stood, and how its pieces looked
    *("canvasrelease", "canvasphoto"),
    # a plan as it was found, from which cloth was cut
    "cutplan",
    # which stage of making canvas was done, or taken back
    "canvasstage",
    # what was read of sewn canvas
    "canvasinspection",
    # what the loft does in a day, what an order needs, which day its owner was told
    *("loftdays", "canvashours", "canvastold"),
    # who signed at a hold point, what was taken back, what was drawn on a photo or left out of a finding
    *("holdsigned", "takenback", "photomarks", "photoleftout"),
    # to whom a paper went by e-mail, and what came of it
    *("mailing", "mailingend"),
    # at which rate the shop charged tax, and from when
    "shoptax",
]
FILLING: dict[type, Any] = {str: "as it was", int: 7, bool: 1, float: 1.5}


def test_the_list_of_what_is_never_changed_is_the_one_written_down_here() -> None:
    assert sorted(APPEND_ONLY) == sorted(NEVER)
    assert set(APPEND_ONLY) <= set(SQLModel.metadata.tables)


def row_of(table: Table) -> dict[str, Any]:
    """A row with something in every column, of the column's kind."""
    made: dict[str, Any] = {}
    for column in table.columns:
        kind = column.type.python_type
        made[column.name] = FILLING.get(kind, "2026-05-04 16:00:00")
        if kind is dict or kind is list:
            made[column.name] = "{}"
    return made | {"id": 7}


@pytest.fixture
def filled(book: Engine, table: str) -> Iterator[Connection]:
    """A connection to a book whose table holds one row 7; what it points at is nobody's matter here."""
    with book.connect() as connection:
        connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
        connection.rollback()
        raw: Any = connection.connection.dbapi_connection
        raw.execute("PRAGMA foreign_keys=OFF")
        insert(connection, table, "INSERT")
        connection.commit()
        yield connection
        connection.rollback()
        raw.execute("PRAGMA foreign_keys=ON")


def insert(connection: Connection, table: str, verb: str, more: str = "", **other: Any) -> None:  # noqa: ANN401 - whatever a column holds
    row = row_of(SQLModel.metadata.tables[table]) | other
    names, marks = ", ".join(f'"{name}"' for name in row), ", ".join("?" * len(row))
    statement = f'{verb} INTO "{table}" ({names}) VALUES ({marks}) {more}'
    connection.exec_driver_sql(statement, tuple(row.values()))


def seventh(connection: Connection, table: str) -> tuple[Any, ...]:
    return tuple(connection.exec_driver_sql(f'SELECT * FROM "{table}" WHERE id = 7').one())


@pytest.mark.parametrize("table", NEVER)
def test_no_statement_changes_or_removes_a_row(filled: Connection, table: str) -> None:
    before = seventh(filled, table)
    ways = (
        f'UPDATE "{table}" SET id = 8 WHERE id = 7',
        f'UPDATE "{table}" SET created_at = created_at',
        f'DELETE FROM "{table}" WHERE id = 7',
        f'DELETE FROM "{table}"',
        f'INSERT OR REPLACE INTO "{table}" SELECT * FROM "{table}"',
        f'REPLACE INTO "{table}" SELECT * FROM "{table}"',
        f'UPDATE OR IGNORE "{table}" SET created_at = "x"',
        f'UPDATE OR REPLACE "{table}" SET created_at = "x"',
    )
    for statement in ways:
        with pytest.raises(DatabaseError, match=f"{table} is append-only"):
            filled.exec_driver_sql(statement)
        filled.rollback()
        assert seventh(filled, table) == before, statement


@pytest.mark.parametrize("table", NEVER)
def test_a_row_is_not_put_in_the_place_of_another_by_its_key(filled: Connection, table: str) -> None:
    before = seventh(filled, table)
    later = "ON CONFLICT(id) DO UPDATE SET created_at = 'x'"
    for verb, more in (("INSERT OR REPLACE", ""), ("REPLACE", ""), ("INSERT", later)):
        with pytest.raises(DatabaseError, match="append-only"):
            insert(filled, table, verb, more, created_at="2027-01-01 00:00:00")
        filled.rollback()
        assert seventh(filled, table) == before


UNIQUE = (
    "submission",
    "hash",
    "sha256",
    "number",
    "supersedes_id",
    "takes_back_id",
    "step",
    "receipt_id",
    "finding_photo_id",
    "version",
)


def other_of(column: Column[Any]) -> Any:  # noqa: ANN401 - whatever the column holds
    return 8 if column.type.python_type is int else "another"


@pytest.mark.parametrize("table", NEVER)
def test_a_new_row_is_added_as_ever(filled: Connection, table: str) -> None:
    columns = SQLModel.metadata.tables[table].columns
    other = {name: other_of(columns[name]) for name in UNIQUE if name in columns}
    insert(filled, table, "INSERT", id=8, **other)
    assert filled.exec_driver_sql(f'SELECT count(*) FROM "{table}" WHERE id > 6').scalar() == 2


@pytest.mark.parametrize("table", NEVER)
@pytest.mark.parametrize("word", ["update", "delete"])
def test_a_guard_that_was_taken_away_stands_again_after_the_next_start(
    book: Engine, settings: Settings, table: str, word: str
) -> None:
    name = f"{table}_no_{word}"
    with book.begin() as connection:
        connection.exec_driver_sql(f"DROP TRIGGER {name}")
    migrate(book)
    with book.connect() as connection:
        found = connection.exec_driver_sql("SELECT tbl_name FROM sqlite_master WHERE name = ?", (name,))
        assert found.scalar() == table


def test_the_guards_hold_other_programs_too(settings: Settings, book: Engine) -> None:
    with closing(sqlite3.connect(settings.book)) as other:
        for statement in ("UPDATE receipt SET act = 'x'", "DELETE FROM receipt"):
            with pytest.raises(sqlite3.IntegrityError, match="receipt is append-only"):
                other.execute(statement)


def test_replacing_walks_past_a_guard_only_where_recursive_triggers_are_off(
    settings: Settings, book: Engine
) -> None:
    # sqlite.org/lang_conflict.html: REPLACE fires delete triggers only with recursive triggers on
    assert PRAGMAS["recursive_triggers"] == 1
    statement = "INSERT OR REPLACE INTO receipt SELECT * FROM receipt LIMIT 1"
    with closing(sqlite3.connect(settings.book)) as careless:
        careless.execute(statement)  # why the setting is made on each of our own connections
        careless.rollback()
    with pytest.raises(DatabaseError, match="append-only"), book.begin() as ours:
        ours.exec_driver_sql(statement)


def test_a_guard_is_made_for_each_verb_and_names_its_table() -> None:
    made = triggers(["consent"])
    assert len(made) == 2
    assert all("IF NOT EXISTS consent_no_" in each and "ON consent" in each for each in made)


@pytest.mark.parametrize("name", sorted(SQLModel.metadata.tables))
def test_every_table_is_strict(book: Engine, name: str) -> None:
    # sqlite.org/stricttables.html: a strict table refuses a value of another kind than its column's
    with book.connect() as connection:
        found = connection.exec_driver_sql("SELECT strict FROM pragma_table_list WHERE name = ?", (name,))
        assert found.scalar() == 1

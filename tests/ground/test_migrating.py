"""Bringing a filled book to a newer schema: all steps or none, a copy first, no row lost."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import Engine
from sqlalchemy.exc import OperationalError
from sqlmodel import select

from app.ground import backups, migrating
from app.ground.book import open_book, reading
from app.ground.migrating import backup_name, migrate
from app.ground.settings import Settings, folder
from app.ground.tables import Person
from app.intake import steps
from app.intake.tables import WorkOrder
from tests.conftest import NOON, act
from tests.intake.arrivals import rosalind

STEP = '''"""{note}"""

from alembic import op

revision = "{revision}"
down_revision = "{before}"
branch_labels = None
depends_on = None


def upgrade() -> None:
{body}
'''
Write = Callable[..., None]
SHIPPED = sorted(each.name[:4] for each in folder("migrations").glob("versions/[0-9]*.py"))
NEWEST = SHIPPED[-1]  # behind which the made-up steps of a later day stand
FIRST, SECOND = "9001", "9002"


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Write:
    """A program of a later day: the folder of migrations with steps of its own written behind the first."""
    steps_of = tmp_path / "migrations"
    shutil.copytree(folder("migrations"), steps_of)
    monkeypatch.setattr(migrating, "folder", lambda _: steps_of)

    def write(revision: str, before: str, *lines: str) -> None:
        body = "\n".join(f"    {line}" for line in lines)
        text = STEP.format(note="A later step.", revision=revision, before=before, body=body)
        (steps_of / "versions" / f"{revision}_later.py").write_text(text)

    return write


@pytest.fixture
def filled(book: Engine) -> Engine:
    """A book with people and an arrival."""
    steps.take_in(book, act(), rosalind())
    return book


def version(book: Engine) -> str:
    with book.connect() as connection:
        return str(connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar())


def columns(book: Engine, table: str) -> set[str]:
    with book.connect() as connection:
        found = connection.exec_driver_sql("SELECT name FROM pragma_table_info(?)", (table,))
        return {name for (name,) in found}


def test_a_book_that_is_up_to_date_is_left_as_it_is_and_not_copied(
    filled: Engine, settings: Settings, tmp_path: Path
) -> None:
    before = backups.table_hashes(settings.book)
    for _ in range(2):
        migrate(filled, tmp_path / "copy.db")
    assert backups.table_hashes(settings.book) == before
    assert not (tmp_path / "copy.db").exists()


def test_a_new_book_is_made_without_a_copy(tmp_path: Path) -> None:
    engine = open_book(tmp_path / "new.db")
    migrate(engine, tmp_path / "copy.db")
    assert "receipt" in backups.table_hashes(tmp_path / "new.db")
    assert not (tmp_path / "copy.db").exists()
    engine.dispose()


def test_a_step_adds_its_column_and_every_row_stays(
    filled: Engine, settings: Settings, later: Write, tmp_path: Path
) -> None:
    later(FIRST, NEWEST, "op.execute(\"ALTER TABLE owner ADD COLUMN title TEXT NOT NULL DEFAULT ''\")")
    before = backups.counts(settings)
    migrate(filled, tmp_path / "copies" / "before.db")
    assert version(filled) == FIRST
    assert "title" in columns(filled, "owner")
    assert backups.counts(settings) == before
    assert backups.verify(settings) == []
    with reading(filled) as session:
        assert session.get_one(WorkOrder, 1).number == 1


def test_the_copy_made_first_is_the_book_as_it_stood(
    filled: Engine, settings: Settings, later: Write, tmp_path: Path
) -> None:
    before = backups.table_hashes(settings.book)
    later(FIRST, NEWEST, 'op.execute("ALTER TABLE owner ADD COLUMN title TEXT")')
    migrate(filled, tmp_path / "copies" / "before.db")
    assert backups.table_hashes(tmp_path / "copies" / "before.db") == before
    assert backups.table_hashes(settings.book) != before


@pytest.mark.parametrize("broken_step", [FIRST, SECOND])
def test_steps_are_taken_all_or_none(
    filled: Engine, settings: Settings, later: Write, broken_step: str
) -> None:
    before = backups.table_hashes(settings.book)
    for step, base in ((FIRST, NEWEST), (SECOND, FIRST)):
        good = (
            f'op.execute("ALTER TABLE owner ADD COLUMN c{step} TEXT")',
            "op.execute('DELETE FROM concern')",
        )
        bad = ("op.execute('SELECT no_such_function()')",) if step == broken_step else ()
        later(step, base, *good, *bad)
    with pytest.raises(OperationalError, match="no_such_function"):
        migrate(filled)
    assert version(filled) == NEWEST
    assert backups.table_hashes(settings.book) == before
    assert not {f"c{FIRST}", f"c{SECOND}"} & columns(filled, "owner")


def test_a_table_that_is_built_anew_takes_no_row_of_another_with_it(
    filled: Engine, settings: Settings, later: Write
) -> None:
    # sqlite.org/lang_altertable.html, 7: the twelve steps; with foreign keys on, the drop would cascade
    later(
        FIRST,
        NEWEST,
        'op.execute("CREATE TABLE owner_new AS SELECT * FROM owner")',
        'op.execute("DELETE FROM owner")',
        'op.execute("INSERT INTO owner SELECT * FROM owner_new")',
        'op.execute("DROP TABLE owner_new")',
    )
    before = backups.table_hashes(settings.book)
    migrate(filled)
    after = backups.table_hashes(settings.book)
    assert {name for name in before if before[name] != after[name]} == {"alembic_version"}


def test_a_step_that_would_leave_rows_pointing_at_nothing_is_refused(
    filled: Engine, settings: Settings, later: Write
) -> None:
    before = backups.table_hashes(settings.book)
    later(FIRST, NEWEST, 'op.execute("DELETE FROM owner")')
    with pytest.raises(RuntimeError, match="rows would point at nothing"):
        migrate(filled)
    assert backups.table_hashes(settings.book) == before


def test_foreign_keys_hold_again_after_a_migration_that_went_well_or_not(
    filled: Engine, later: Write
) -> None:
    later(FIRST, NEWEST, 'op.execute("DELETE FROM owner")')
    with pytest.raises(RuntimeError):
        migrate(filled)
    for _ in range(3):  # whichever connection of the pool comes next
        with filled.connect() as connection:
            assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
            connection.rollback()


def test_a_step_may_not_touch_what_is_never_changed_while_its_guard_stands(
    filled: Engine, settings: Settings, later: Write
) -> None:
    before = backups.table_hashes(settings.book)
    later(FIRST, NEWEST, "op.execute(\"UPDATE receipt SET device = 'other'\")")
    with pytest.raises(Exception, match="receipt is append-only"):
        migrate(filled)
    assert backups.table_hashes(settings.book) == before


def shape(book: Engine) -> dict[str, list[tuple[object, ...]]]:
    """Tables, columns, indexes and triggers of a book, as SQLite names them."""
    with book.connect() as connection:
        names = connection.exec_driver_sql("SELECT type, name, tbl_name FROM sqlite_master").all()
        asked = 'SELECT m.name, c.name, c.type, c."notnull", c.pk FROM sqlite_master m, '
        columns = connection.exec_driver_sql(f"{asked} pragma_table_info(m.name) c").all()
    return {"names": sorted(map(tuple, names)), "columns": sorted(map(tuple, columns))}


@pytest.mark.parametrize("released", SHIPPED[:-1])
def test_a_book_of_every_earlier_release_comes_up_to_the_schema_of_a_new_one(
    released: str, book: Engine, tmp_path: Path
) -> None:
    old = open_book(tmp_path / "old.db")
    config = migrating._config()
    with old.connect() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, released)
        connection.exec_driver_sql("INSERT INTO series (name, year, last) VALUES ('invoice', 2026, 7)")
        connection.commit()
    migrate(old, tmp_path / "copy.db")
    assert version(old) == NEWEST
    assert (tmp_path / "copy.db").exists()
    assert shape(old) == shape(book)
    with old.connect() as connection:
        assert connection.exec_driver_sql("SELECT last FROM series").scalar() == 7
    old.dispose()


def test_a_book_of_a_later_program_is_not_opened_by_this_one(filled: Engine, settings: Settings) -> None:
    with filled.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(Exception, match="9999"):
        migrate(filled)
    with reading(filled) as session:
        assert len(session.exec(select(Person)).all()) == 3


def test_the_copy_is_named_by_its_second() -> None:
    assert backup_name(NOON) == "before-upgrade-20260504-160000.db"

"""Bringing a book to the newest schema: a backup first, then all steps in one transaction."""

import sqlite3
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine

from app.ground.settings import folder


def triggers(names: list[str]) -> list[str]:
    """The statements that make tables append-only; made again on each start."""
    return [
        f"CREATE TRIGGER IF NOT EXISTS {name}_no_{act.lower()} BEFORE {act} ON {name} "
        f"BEGIN SELECT RAISE(ABORT, '{name} is append-only'); END"
        for name in names
        for act in ("UPDATE", "DELETE")
    ]


def migrate(book: Engine, backup: Path | None = None) -> None:
    """Run every missing migration, all or none; `backup` is where the book as it stood is copied first.

    Raises RuntimeError where rows would be left pointing at nothing, and keeps the book as it stood.
    """
    from alembic import command

    config = _config()
    with book.execution_options(begin="BEGIN IMMEDIATE").connect() as connection:
        raw: Any = connection.connection.dbapi_connection
        raw.execute("PRAGMA foreign_keys=OFF")  # else a rebuilt table takes its children with it
        try:
            if backup is not None and _behind(raw):
                _copy(raw, backup)
            connection.begin()  # ours, else alembic commits each step by itself
            config.attributes["connection"] = connection
            command.upgrade(config, "head")
            _make_sure(connection.exec_driver_sql("PRAGMA foreign_key_check").all())
            for statement in triggers(_append_only()):
                connection.exec_driver_sql(statement)
            connection.commit()
        finally:
            connection.rollback()
            raw.execute("PRAGMA foreign_keys=ON")


def _append_only() -> list[str]:
    from app.ground.tables import APPEND_ONLY

    return APPEND_ONLY


def _config() -> Any:  # noqa: ANN401 - alembic is imported late, it is slow
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    return config


def _make_sure(lost: object) -> None:
    if lost:
        raise RuntimeError(f"rows would point at nothing: {lost}")


def _behind(raw: sqlite3.Connection) -> bool:
    """Whether a filled book stands on an older schema than this program's."""
    from alembic.script import ScriptDirectory

    if not raw.execute("SELECT 1 FROM sqlite_master WHERE name='alembic_version'").fetchone():
        return False
    stands = raw.execute("SELECT version_num FROM alembic_version").fetchone()
    return bool(stands) and stands[0] != ScriptDirectory.from_config(_config()).get_current_head()


def _copy(raw: sqlite3.Connection, backup: Path) -> None:
    backup.parent.mkdir(parents=True, exist_ok=True)
    with sqlite3.connect(backup) as copy:
        raw.backup(copy)
    copy.close()


def backup_name(at: datetime) -> str:
    """File name of the copy made before a migration."""
    return f"before-upgrade-{at:%Y%m%d-%H%M%S}.db"

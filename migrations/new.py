"""Writes a migration: the difference between the tables and a book that was brought up to date."""

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.config import Config

from app.ground.book import open_book
from app.ground.settings import folder


def main() -> None:
    """Write the next migration; its message is the first argument."""
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    with tempfile.TemporaryDirectory() as scratch:
        book = open_book(Path(scratch) / "book.db")
        with book.connect() as connection:
            config.attributes["connection"] = connection
            command.upgrade(config, "head")  # without the triggers of `migrate`: a new table is still to come
            command.revision(config, " ".join(sys.argv[1:]), autogenerate=True, rev_id=_next())
        book.dispose()


def _next() -> str:
    """The number after that of the newest migration."""
    numbers = [int(each.name[:4]) for each in folder("migrations").glob("versions/[0-9]*.py")]
    return f"{max(numbers, default=0) + 1:04}"


if __name__ == "__main__":
    main()

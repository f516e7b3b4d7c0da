"""Writes a migration: the difference between the tables and a book that was brought up to date."""

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.config import Config

from app.ground.book import open_book
from app.ground.migrating import migrate
from app.ground.settings import folder


def main() -> None:
    """Write the next migration; its message is the first argument."""
    config = Config()
    config.set_main_option("script_location", str(folder("migrations")))
    config.set_main_option("path_separator", "os")
    with tempfile.TemporaryDirectory() as scratch:
        book = open_book(Path(scratch) / "book.db")
        migrate(book)
        with book.connect() as connection:
            config.attributes["connection"] = connection
            command.revision(config, " ".join(sys.argv[1:]), autogenerate=True)
        book.dispose()


if __name__ == "__main__":
    main()

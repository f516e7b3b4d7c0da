"""The demo shop, furnished once for each file of tests."""

from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from sqlalchemy import Engine

from app.demo import furnish
from app.ground.book import open_book
from app.ground.settings import Settings


@dataclass(frozen=True)
class Demo:
    """A furnished shop: its folder and its open book."""

    settings: Settings
    book: Engine


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    """A demo shop of its own."""
    settings = Settings(data=tmp_path_factory.mktemp("demo"), demo=True)
    furnish(settings)
    book = open_book(settings.book)
    yield Demo(settings, book)
    book.dispose()

"""One shop for all pages of a file: what only asks changes nothing, so it need not be made anew."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from app.ground import people
from app.ground.acting import now
from app.ground.book import open_book
from app.ground.gate import cookie_name
from app.ground.settings import Settings
from app.web import build
from tests.conftest import PASSPHRASE, Browser


@pytest.fixture(scope="module")
def asking(tmp_path_factory: pytest.TempPathFactory, furnished: Path) -> Iterator[Browser]:
    """A technician's browser that only asks."""
    folder = tmp_path_factory.mktemp("asking")
    settings = Settings(data=folder, hosts=("testserver",))
    shutil.copy(furnished, settings.book)
    book = open_book(settings.book)
    with TestClient(build(settings), follow_redirects=False) as client:
        cookie = people.sign_in(book, "Toni", PASSPHRASE, "test", now())
        client.cookies.set(cookie_name(secure=False), cookie)
        yield Browser(client)
    book.dispose()

"""A shop for each test: a real book in a folder of its own, people, an act, a browser's client."""

import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from sqlalchemy import Engine

from app.ground import people
from app.ground.acting import Act, hash_of, new_key
from app.ground.book import open_book
from app.ground.gate import cookie_name
from app.ground.migrating import migrate
from app.ground.people import NewPerson, Role
from app.ground.settings import Settings
from app.ground.tables import Shop
from app.web import build

NOON = datetime(2026, 5, 4, 16, 0, tzinfo=UTC)  # noon in the shop's zone
PASSPHRASE = "four words on paper"
TOKEN = re.compile(r'name="token" value="([^"]+)"')


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A shop's data folder; the test client calls it `testserver`."""
    return Settings(data=tmp_path / "shop", hosts=("testserver", "127.0.0.1", "localhost"))


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated book with its people, made once and copied for each test."""
    path = tmp_path_factory.mktemp("furnished") / "castlenut.db"
    engine = open_book(path)
    migrate(engine)
    furnish(engine)
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    return path


@pytest.fixture
def book(settings: Settings, furnished: Path) -> Iterator[Engine]:
    """The shop's book, with three people: 1 Lee (lead), 2 Wren (writer), 3 Toni (technician)."""
    settings.data.mkdir(parents=True, exist_ok=True)
    shutil.copy(furnished, settings.book)
    engine = open_book(settings.book)
    yield engine
    engine.dispose()


def furnish(engine: Engine) -> None:
    """A shop with one person of each role."""
    shop = Shop(created_at=NOON, name="Two Creeks Trailer Shop", phone="555 0100", address="1 Mill Lane")
    people.open_shop(engine, act(person=0), shop, NewPerson("Lee", Role.LEAD, PASSPHRASE))
    people.add_person(engine, act(), NewPerson("Wren", Role.WRITER, PASSPHRASE))
    people.add_person(engine, act(), NewPerson("Toni", Role.TECHNICIAN, PASSPHRASE))


def act(person: int = 1, seen: int = 0, at: datetime = NOON, submission: str = "") -> Act:
    """An act by a person, at noon unless said otherwise, with a submission key of its own."""
    key = submission or new_key()
    return Act(submission=key, sent=hash_of([("key", key)]), person=person, at=at, device="test", seen=seen)


@pytest.fixture
def app(settings: Settings, book: Engine) -> FastAPI:
    """The web application over the book; its requests wait for their papers, however busy the machine is."""
    made = build(settings)
    made.state.prints.moment = 60
    return made


@dataclass
class Browser:
    """A client that behaves as a browser does: it sends its origin and the token of its form."""

    client: TestClient

    def get(self, path: str, *, part: bool = False) -> Response:
        """A page; `part` asks as htmx does."""
        return self.client.get(path, headers={"HX-Request": "true"} if part else {})

    def post(
        self,
        path: str,
        form: Mapping[str, str | list[str]],
        *,
        at: str = "",
        files: list[tuple[str, tuple[str, bytes, str]]] | None = None,
        part: bool = False,
    ) -> Response:
        """A form sent to `path`, with the token that the page `at` (else `/people`) holds."""
        token = self.token(at or "/people")
        headers = {"Origin": "http://testserver"} | ({"HX-Request": "true"} if part else {})
        return self.client.post(path, data={"token": token, **form}, files=files, headers=headers)

    def token(self, path: str) -> str:
        """The form token on a page."""
        found = TOKEN.search(self.client.get(path).text)
        return found[1] if found else ""


@pytest.fixture
def signed(app: FastAPI, book: Engine) -> Iterator[Callable[[str], Browser]]:
    """A maker of browsers, each signed in by name: `signed("Toni")`."""
    opened: list[TestClient] = []

    def make(name: str) -> Browser:
        client = TestClient(app, follow_redirects=False)
        cookie = people.sign_in(book, name, PASSPHRASE, "test", people_now())
        client.cookies.set(cookie_name(secure=False), cookie)
        opened.append(client)
        return Browser(client)

    yield make
    for client in opened:
        client.close()


def people_now() -> datetime:
    """The present, for sessions that the application compares with its own clock."""
    from app.ground.acting import now

    return now()

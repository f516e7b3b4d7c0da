"""One demo shop, made once; each test works on a copy of it, signed in as before."""

import fcntl
import os
import pickle
import shutil
import sqlite3
import time
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response
from sqlmodel import select

from app.demo import furnish
from app.ground import people
from app.ground.acting import now
from app.ground.backups import table_hashes
from app.ground.book import open_book, writing
from app.ground.gate import cookie_name
from app.ground.settings import Settings
from app.ground.tables import SignIn
from app.web import build
from tests.conftest import PASSPHRASE
from tests.whole.crawl import Form, Page, crawl, forms
from tests.whole.filling import answers_for

MOST_TRIED = 15  # forms of a route
MOST_WAITED = 6_000  # hundredths of a second
ORIGIN = {"Origin": "http://testserver"}
PEOPLE = {"lead": "Maren Holt", "writer": "Wyn Parry", "technician": "Tomas Reyl"}


@dataclass(frozen=True)
class Made:
    """The demo shop as made: its folder, and the cookie of each role."""

    data: Path
    cookies: Mapping[str, str]

    @property
    def book(self) -> Path:
        """Its book."""
        return self.data / "castlenut.db"


@dataclass
class Desk:
    """A copy of the demo shop with its application, and the lead's browser in front of it."""

    app: FastAPI
    client: TestClient
    settings: Settings
    made: Made

    def send(self, form: Form, sent: Mapping[str, Any], **headers: str) -> Response:
        """A form sent as a browser does."""
        files = dict.fromkeys(form.names("file"), ("", b"")) if form.whole else {}
        files |= {name: sent[name] for name in files if name in sent}
        data = {name: value for name, value in sent.items() if name not in files}
        return self.client.post(form.action, data=data, files=files or None, headers={**ORIGIN, **headers})

    def at_once(self, form: Form, sent: Mapping[str, Any], times: int = 4) -> list[Response]:
        """The same form sent by several threads at the same time."""
        with ThreadPoolExecutor(times) as pool:
            return list(pool.map(lambda _: self.send(form, sent), range(times)))

    def anew(self) -> None:
        """Put the book back to where the demo left it."""
        self._rest()
        self.app.state.book.dispose()
        for leftover in ("castlenut.db-wal", "castlenut.db-shm"):
            (self.settings.data / leftover).unlink(missing_ok=True)
        first = as_made(self.settings.data)
        awake(first)
        shutil.copy(first, self.settings.book)

    def _rest(self) -> None:
        """Wait until nothing has the book open: a paper that is still printed would write into the next."""
        for _ in range(MOST_WAITED):
            if not self.app.state.book.pool.checkedout():
                return
            time.sleep(0.01)
        raise AssertionError("the book was never put down")

    def stands(self) -> dict[str, dict[str, Any]]:
        """Count and hash of every table but the sign-ins, whose use time moves by itself."""
        return {name: each for name, each in table_hashes(self.settings.book).items() if name != "signin"}

    def rows(self) -> dict[str, int]:
        """Number of rows of every table but the sign-ins."""
        with closing(sqlite3.connect(self.settings.book)) as raw:
            found = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name != 'signin'")
            names = [name for (name,) in found]
            return {name: raw.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in names}

    def token(self, role: str) -> str:
        """The form token of a role's sign-in."""
        found = people.who(self.app.state.book, self.made.cookies[role], now())
        assert found is not None
        return found.form_token


Thing = TypeVar("Thing")


def once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], Thing]) -> Thing:
    """What is made in a folder, once for all the processes that run tests; the others wait and read it."""
    root = factory.getbasetemp()
    folder = (root.parent if "PYTEST_XDIST_WORKER" in os.environ else root) / "whole"
    folder.mkdir(exist_ok=True)
    kept = folder / f"{name}.pickle"
    with (folder / f"{name}.lock").open("w") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        if not kept.exists():
            kept.write_bytes(pickle.dumps(make(folder / name)))
        found: Thing = pickle.loads(kept.read_bytes())
    return found


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    """The demo shop, with its lead, a writer and a technician signed in."""
    return once(tmp_path_factory, "made", _made)


def _made(folder: Path) -> Made:
    settings = Settings(data=folder, demo=True)
    furnish(settings)
    engine = open_book(settings.book)
    cookies = {role: people.sign_in(engine, name, PASSPHRASE, role, now()) for role, name in PEOPLE.items()}
    with engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    engine.dispose()
    return Made(settings.data, cookies)


def copied(made: Made, data: Path) -> Path:
    """The folder of a copy of the demo shop."""
    folder = Path(shutil.copytree(made.data, data))
    awake(folder / made.book.name)
    shutil.copy(folder / made.book.name, as_made(folder))
    return folder


def as_made(data: Path) -> Path:
    """Where the book of a copy is kept as it was first: its program never opens it."""
    return data.with_suffix(".as-made")


def awake(book: Path) -> None:
    """Use the sign-ins of a copy now: a long run of tests is no reason to be signed out as idle."""
    engine = open_book(book)
    with writing(engine) as session:
        for signed in session.exec(select(SignIn)):
            signed.used_at = now()
    engine.dispose()


@contextmanager
def open_desk(made: Made, data: Path, role: str = "lead") -> Iterator[Desk]:
    """A copy of the demo shop in a folder of its own, with a browser signed in."""
    settings = Settings(data=copied(made, data), hosts=("testserver",), demo=True)
    app = build(settings)
    app.state.prints.moment = 60  # papers are waited for, however busy the machine is
    client = TestClient(app, follow_redirects=False, raise_server_exceptions=False)
    client.cookies.set(cookie_name(secure=False), made.cookies[role])
    app.state.seeker.close()  # what a form does is looked at, not what is searched for afterwards
    try:
        yield Desk(app, client, settings, made)
    finally:
        client.close()
        app.state.prints.close()
        app.state.press.close()
        app.state.viewer.close()
        app.state.book.dispose()


@pytest.fixture
def desk(made: Made, tmp_path: Path) -> Iterator[Desk]:
    """A copy of the demo shop for one test."""
    with open_desk(made, tmp_path / "shop") as opened:
        yield opened


@dataclass(frozen=True)
class Crawled:
    """What a crawl found: every page, every form that changes something, what looking changed."""

    pages: Mapping[str, Page]
    forms: Sequence[Form]
    changed: Sequence[str]


@pytest.fixture(scope="session")
def crawled(made: Made, tmp_path_factory: pytest.TempPathFactory) -> Crawled:
    """The shop as the lead's browser finds it, from the yard on."""
    return once(tmp_path_factory, "crawled", lambda folder: _crawled(made, folder))


def _crawled(made: Made, folder: Path) -> Crawled:
    with open_desk(made, folder) as desk:
        before = desk.stands()
        pages = crawl(desk.client)
        after = desk.stands()
        shown = [page for page in pages.values() if page.is_page]
        posted = [form for page in shown for form in forms(page, desk.app) if form.method == "POST"]
    return Crawled(pages, posted, [name for name in after if after[name] != before[name]])


@pytest.fixture(scope="session")
def pages(crawled: Crawled) -> Mapping[str, Page]:
    """Every page that the lead reaches from the yard, by address."""
    return crawled.pages


@pytest.fixture(scope="session")
def posted(crawled: Crawled) -> Sequence[Form]:
    """Every form of every page that changes something."""
    return crawled.forms


@dataclass(frozen=True)
class Kept:
    """A form with an answer that the shop keeps."""

    form: Form
    sent: Mapping[str, Any]
    where: str

    @property
    def printed(self) -> bool:
        """Whether it prints a paper, which takes a second of the processor."""
        return self.where.startswith("/papers")


@pytest.fixture(scope="session")
def kept(crawled: Crawled, made: Made, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Kept]:
    """For each route that changes something, one form of the demo shop that it keeps."""
    return once(tmp_path_factory, "kept", lambda folder: _kept(crawled.forms, made, folder))


def _kept(posted: Sequence[Form], made: Made, folder: Path) -> Mapping[str, Kept]:
    found: dict[str, Kept] = {}
    tried: Counter[str] = Counter()
    with open_desk(made, folder) as desk:
        for form in posted:
            if form.route not in found and tried[form.route] < MOST_TRIED and (it := _tried(desk, form)):
                found[form.route] = it
            desk.anew()
            tried[form.route] += 1
    return found


def _tried(desk: Desk, form: Form) -> Kept | None:
    for sent in answers_for(form, desk.app.state.book):
        answer = desk.send(form, sent)
        if answer.status_code == 303 and desk.client.get("/").status_code == 200:  # still signed in
            return Kept(form, sent, answer.headers["location"])
    return None

"""Saved before it is said: the row is on disk when an answer begins; no answer says so when it is not."""

import resource
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, closing, contextmanager
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine, event
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.ground import backups
from app.ground.gate import cookie_name
from tests.whole.conftest import Desk, Kept


class Witness:
    """Stands before the application and looks into the book, from outside, when an answer begins."""

    def __init__(self, app: ASGIApp, book: Path) -> None:
        self.app = app
        self.book = book
        self.key = ""
        self.seen: list[tuple[int, int]] = []  # status of the answer, receipts of the key then on disk

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, and every message of the answer after a look."""

        async def watched(message: Message) -> None:
            if message["type"] == "http.response.start":
                self.seen.append((message["status"], self.on_disk()))
            await send(message)

        await self.app(scope, receive, watched)

    def on_disk(self) -> int:
        """Number of receipts of the key, as another program reads them."""
        with closing(sqlite3.connect(f"file:{self.book}?mode=ro", uri=True)) as other:
            found = other.execute(
                "SELECT count(*) FROM receipt WHERE submission = ? OR submission LIKE ? || '/%'",
                (self.key, self.key),
            )
            return int(found.fetchone()[0])


def test_every_act_is_on_disk_when_its_answer_begins(desk: Desk, kept: Mapping[str, Kept]) -> None:
    witness = Witness(desk.app, desk.settings.book)
    client = TestClient(witness, follow_redirects=False, raise_server_exceptions=False)
    client.cookies.set(cookie_name(secure=False), desk.made.cookies["lead"])
    watched = Desk(desk.app, client, desk.settings, desk.made)
    for route, it in kept.items():
        witness.key, witness.seen = it.sent["submission"][0], []
        assert witness.on_disk() == 0, route
        watched.send(it.form, it.sent)
        ((status, receipts),) = witness.seen
        assert (status, receipts > 0) == (303, True), route
        desk.anew()
    client.close()


# Ways in which the book itself can fail


Failure = Callable[[Engine], AbstractContextManager[None]]
MOST_PAGES = 1_073_741_823  # as SQLite has it where nothing is set
FULL = 10_000  # rows that make the log longer than any other file that this process writes


@contextmanager
def no_more_bytes(book: Engine) -> Iterator[None]:
    """No file of this process may grow, so that a commit cannot be written: what a full disk does.

    A reader holds the log, so that it is not begun anew from its front.
    """
    path = Path(str(book.url.database))
    with closing(sqlite3.connect(path, isolation_level=None)) as reader:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM receipt").fetchone()
        with closing(sqlite3.connect(path)) as writer, writer:
            rows = ((f"filler {number}", 0, number) for number in range(FULL))
            writer.executemany("INSERT INTO series (name, year, last) VALUES (?, ?, ?)", rows)
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (Path(f"{path}-wal").stat().st_size, hard))
        try:
            yield
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def each_connection(statement: str, undo: str) -> Failure:
    """A way to fail: a statement that every connection is given."""

    @contextmanager
    def failing(book: Engine) -> Iterator[None]:
        def told(connection: sqlite3.Connection, *_: object) -> None:
            pages = connection.execute("PRAGMA page_count").fetchone()[0]
            connection.execute(statement.format(pages=pages))

        def untold(connection: sqlite3.Connection, *_: object) -> None:
            connection.execute(undo)

        event.listen(book, "checkout", told)
        try:
            yield
        finally:
            event.remove(book, "checkout", told)
            event.listen(book, "checkout", untold)

    return failing


FAILURES: dict[str, Failure] = {
    "nothing more can be written": no_more_bytes,
    "the book is read-only": each_connection("PRAGMA query_only=1", "PRAGMA query_only=0"),
    "the book may not grow": each_connection(
        "PRAGMA max_page_count={pages}", f"PRAGMA max_page_count={MOST_PAGES}"
    ),
}


def no_free_pages(desk: Desk) -> None:
    """Give back the free pages, so that many a new row needs another one."""
    desk.app.state.book.dispose()
    with closing(sqlite3.connect(desk.settings.book)) as raw:
        raw.execute("VACUUM")


@pytest.mark.parametrize(
    ("why", "part"), [*((why, False) for why in FAILURES), ("nothing more can be written", True)]
)
def test_what_could_not_be_kept_is_never_said_to_be(
    desk: Desk, kept: Mapping[str, Kept], why: str, part: bool
) -> None:
    no_free_pages(desk)
    before = desk.rows()["receipt"]
    headers = {"HX-Request": "true"} if part else {}
    with FAILURES[why](desk.app.state.book):
        sent = kept if why == "the book is read-only" else {r: k for r, k in kept.items() if not k.printed}
        answers = {route: desk.send(it.form, it.sent, **headers) for route, it in sent.items()}
        fitted = [route for route, answer in answers.items() if answer.status_code == 303]
        told = {route: answer for route, answer in answers.items() if route not in fitted}
        # An act that fitted into a page moves its row on: a later form over the same row comes too late, and
        # one that asks for what is no more so is refused (a second look by who looked, an act not the last).
        fair = {503, 409, 422} if fitted else {503}
        assert {
            route: answer.status_code for route, answer in told.items() if answer.status_code not in fair
        } == {}
        assert [route for route, answer in told.items() if "Not saved" not in answer.text] == []
        assert len(told) > len(kept) // 2
    assert fitted == [] or why == "the book may not grow"  # what fits into a page is kept
    assert desk.rows()["receipt"] >= before + len(fitted)
    assert fitted or desk.rows()["receipt"] == before
    assert backups.verify(desk.settings) == []


@pytest.mark.parametrize("why", FAILURES)
def test_the_next_save_works_once_the_fault_is_gone(desk: Desk, kept: Mapping[str, Kept], why: str) -> None:
    it = kept["/people"]
    before = desk.rows()["person"]
    with FAILURES[why](desk.app.state.book):
        desk.send(it.form, it.sent)
    assert desk.send(it.form, it.sent).status_code == 303
    assert desk.rows()["person"] == before + 1


def test_looking_still_works_while_nothing_can_be_saved(desk: Desk) -> None:
    with FAILURES["the book is read-only"](desk.app.state.book):
        assert desk.client.get("/").status_code == 200

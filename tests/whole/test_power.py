"""The real program killed in the middle of saving, again and again: nothing that it answered is lost."""

import json
import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx

from app.ground import backups
from app.ground.gate import cookie_name
from app.ground.settings import Settings
from tests.whole.conftest import Kept, Made, copied
from tests.whole.crawl import LONG
from tests.whole.filling import picture

KILLS = 200 if LONG else 20
SAVERS = 4
ROUTES = ("/bench/instruments", "/intake/new", "/intake/orders/{order_id}/photos")


@dataclass
class Ledger:
    """What the savers sent, and what the program answered, by submission key."""

    answered: set[str] = field(default_factory=set)
    open: dict[str, tuple[str, Mapping[str, Any]]] = field(default_factory=dict)  # sent, never answered
    wrong: list[tuple[str, int]] = field(default_factory=list)
    made: int = 0
    guard: threading.Lock = field(default_factory=threading.Lock)

    def next(self) -> int:
        """A number that no other save has."""
        with self.guard:
            self.made += 1
            return self.made


@dataclass(frozen=True)
class Saver:
    """One tablet: it saves until the program is gone; first what was never answered, with the same key."""

    address: str
    cookie: str
    kept: Mapping[str, Kept]
    ledger: Ledger
    again: tuple[str, ...]

    def run(self) -> None:
        """Save until no answer comes."""
        cookies = {cookie_name(secure=False): self.cookie}
        with httpx.Client(base_url=self.address, cookies=cookies, headers={"Origin": self.address}) as client:
            try:
                for key in self.again:
                    self._send(client, key, *self.ledger.open[key])
                while True:
                    self._send(client, *self._new(self.ledger.next()))
            except httpx.HTTPError:
                return

    def _new(self, number: int) -> tuple[str, str, Mapping[str, Any]]:
        it = self.kept[ROUTES[number % len(ROUTES)]]
        key = f"kill-{number}"
        changes = {"submission": key, "name": f"Kill {number}", "phone": f"555 {number:07}"}
        photo = {name: ("x.jpg", picture()) for name in it.form.names("file")[:1]}
        return key, it.form.action, {**it.sent, **changes, **photo}

    def _send(self, client: httpx.Client, key: str, action: str, sent: Mapping[str, Any]) -> None:
        self.ledger.open[key] = action, sent
        files = {name: value for name, value in sent.items() if isinstance(value, tuple)}
        texts = {name: value for name, value in sent.items() if name not in files}
        answer = client.post(action, data=texts, files=files or None)
        del self.ledger.open[key]
        if answer.status_code == 303 and not answer.headers["location"].startswith("/people"):
            self.ledger.answered.add(key)
        else:
            self.ledger.wrong.append((key, answer.status_code))


@contextmanager
def serving(data: Path) -> Iterator[str]:
    """The address of a program of its own that serves the folder, killed at the end of the block."""
    command = [sys.executable, "-m", "app", "serve", "--data", str(data), "--port", free_port()]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, start_new_session=True) as process:
        assert process.stdout is not None
        said = process.stdout.readline()
        address = re.search(r"http://\S+", said)
        assert address, said
        try:
            answering(address[0])
            yield address[0]
        finally:
            os.killpg(process.pid, signal.SIGKILL)  # the group that this process leads: itself and its press


def free_port() -> str:
    """A port that nobody listens on."""
    import socket

    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return str(held.getsockname()[1])


def answering(address: str) -> None:
    """Wait until the program answers."""
    for _ in range(600):
        try:
            httpx.get(f"{address}/people/sign-in", timeout=5)
            return
        except httpx.HTTPError:
            time.sleep(0.05)
    raise AssertionError(address)


def test_nothing_that_was_answered_is_lost_when_the_program_is_killed(
    made: Made, kept: Mapping[str, Kept], tmp_path: Path
) -> None:
    settings = Settings(data=copied(made, tmp_path / "shop"))
    ledger, chance = Ledger(), random.Random(20260504)
    for _ in range(KILLS):
        before = len(ledger.answered)
        waiting = tuple(ledger.open)
        with serving(settings.data) as address:
            cookie = made.cookies["lead"]
            savers = [Saver(address, cookie, kept, ledger, waiting[nth::SAVERS]) for nth in range(SAVERS)]
            threads = [threading.Thread(target=saver.run) for saver in savers]
            for thread in threads:
                thread.start()
            while len(ledger.answered) == before and not ledger.wrong:
                time.sleep(0.01)
            time.sleep(chance.uniform(0.1, 0.6))
        for thread in threads:
            thread.join()
        assert ledger.wrong == []
        assert ledger.answered - set(receipts(settings.book)) == set()
    assert len(ledger.answered) >= KILLS
    assert backups.verify(settings) == []  # integrity, foreign keys, the chain of receipts, every photo
    assert rows_lacking(settings.book) == []
    assert rows_without_receipt(settings.book) == []
    sys.stdout.write(f"{KILLS} kills, {len(ledger.answered)} answered, 0 lost\n")


def receipts(book: Path) -> dict[str, str]:
    """What stood in the rows of each of our saves, by submission key."""
    with closing(sqlite3.connect(book)) as raw:
        return dict(raw.execute("SELECT submission, stood FROM receipt WHERE submission LIKE 'kill-%'"))


def rows_lacking(book: Path) -> list[tuple[str, int]]:
    """Rows that a receipt says it made and that are not there: a save that was kept in part."""
    with closing(sqlite3.connect(book)) as raw:
        return [
            (row["table"], row["id"])
            for stood in receipts(book).values()
            for row in json.loads(stood)
            if raw.execute(f'SELECT 1 FROM "{row["table"]}" WHERE id = ?', (row["id"],)).fetchone() is None
        ]


def rows_without_receipt(book: Path) -> list[str]:
    """Names that our saves gave to rows and that stand twice, or without their receipt."""
    known = {f"Kill {key.removeprefix('kill-')}" for key in receipts(book)}
    with closing(sqlite3.connect(book)) as raw:
        found = [
            name
            for table in ("instrument", "owner")
            for (name,) in raw.execute(f"SELECT name FROM {table} WHERE name LIKE 'Kill %'")
        ]
    return [name for name in found if name not in known or found.count(name) > 1]

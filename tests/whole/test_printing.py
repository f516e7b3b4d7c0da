"""The real program killed while it makes a paper: the paper is asked for again, and nothing else is lost."""

import re
import time
from pathlib import Path

import httpx
from sqlalchemy import Engine

from app.ground import backups, people
from app.ground.acting import now
from app.ground.gate import cookie_name
from app.ground.settings import Settings
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from tests.conftest import PASSPHRASE, TOKEN, act
from tests.whole.test_power import serving


def ask(data: Path, cookie: str, order: int, *, wait: bool = False) -> httpx.Response:
    """The answer to a slip asked for from a program of its own, killed right after, or at the end."""
    with serving(data) as address:
        cookies = {cookie_name(secure=False): cookie}
        with httpx.Client(
            base_url=address, cookies=cookies, headers={"Origin": address}, timeout=90
        ) as client:
            token = TOKEN.search(client.get("/people").text)
            assert token
            sent = {"token": token[1], "submission": "slip-1", "revision": "0"}
            answer = client.post(f"/intake/orders/{order}/slip", data=sent)
            while wait and answer.headers.get("content-type") != "application/pdf":
                assert answer.status_code in (200, 303), answer.text
                time.sleep(0.2)
                answer = client.get(answer.headers.get("location") or str(answer.url))
            return answer


def test_a_paper_is_printed_after_the_program_was_killed_in_the_middle(
    book: Engine, settings: Settings
) -> None:
    arrival = Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), UnitSaid("cargo"))
    order = take_in(book, act(2), arrival)
    cookie = people.sign_in(book, "Wren", PASSPHRASE, "test", now())
    for _ in range(2):
        answer = ask(settings.data, cookie, order)
        assert answer.status_code == 303
        assert re.fullmatch(r"/papers/(\d+\.pdf|coming/\S+)", answer.headers["location"])
    assert ask(settings.data, cookie, order, wait=True).content.startswith(b"%PDF-")
    assert backups.verify(settings) == []

"""Two tablets on one finding, opened, saved, sent again in any order: no save is lost without being seen.

Forty examples on an ordinary run; with CASTLENUT_LONG=1 in the environment two thousand.
"""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground.acting import new_key
from app.ground.book import reading
from app.ground.tables import Receipt
from app.inspection.tables import Finding
from tests.conftest import Browser
from tests.inspection.walks import begun

EXAMPLES = 2000 if "CASTLENUT_LONG" in os.environ else 40
MOVES = st.lists(
    st.tuples(st.sampled_from(["Toni", "Lee"]), st.sampled_from(["open", "save", "save", "again"])),
    min_size=2,
    max_size=14,
)


@dataclass
class Tablet:
    """A form as it stands on one tablet: the revision it was shown, and the last save it sent."""

    browser: Browser
    token: str
    seen: int = 0
    last: dict[str, str] = field(default_factory=dict)


@dataclass
class Book:
    """What has to stand in the book: the saves that were taken, in order."""

    taken: list[str] = field(default_factory=list)

    @property
    def revision(self) -> int:
        return len(self.taken)


def tablets(signed: Callable[[str], Browser]) -> dict[str, Tablet]:
    made = {name: signed(name) for name in ("Toni", "Lee")}
    return {name: Tablet(browser, browser.token("/people")) for name, browser in made.items()}


def fresh_rows(book: Engine) -> Iterator[Finding]:
    """One untouched finding after another; a new walk where one is used up."""
    while True:
        walk = begun(book)
        with reading(book) as session:
            found = select(Finding).where(Finding.walk_id == walk).order_by(col(Finding.id))
            rows = list(session.exec(found))
        yield from rows


def test_no_save_of_two_tablets_is_lost_unseen(signed: Callable[[str], Browser], book: Engine) -> None:
    both, rows = tablets(signed), fresh_rows(book)

    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    @given(moves=MOVES)
    def walked(moves: list[tuple[str, str]]) -> None:
        row, stands = next(rows), Book()
        for tablet in both.values():
            tablet.seen, tablet.last = 0, {}
        for number, (name, move) in enumerate(moves):
            MOVED[move](both[name], row.key, stands, f"{name} {number}")
            check(book, row.key, stands)

    walked()


def opened(tablet: Tablet, key: int, stands: Book, _: str) -> None:
    page = tablet.browser.get(f"/inspection/findings/{key}", part=True).text
    assert f'name="revision" value="{stands.revision}"' in page
    tablet.seen = stands.revision


def saved(tablet: Tablet, key: int, stands: Book, note: str) -> None:
    """Taken where the form is the newest; else shown beside what stands, and then it may take its place."""
    tablet.last = {"submission": new_key(), "revision": str(tablet.seen), "note": note, "grade": "unseen"}
    answer = post(tablet, key, tablet.last)
    if tablet.seen == stands.revision:
        assert answer[0] == 303
        stands.taken.append(note)
        tablet.seen = stands.revision
    else:
        assert answer[0] == 409
        assert stands.taken[-1] in answer[1]  # the save that would have been lost is on the page
        assert note in answer[1]
        tablet.seen, tablet.last = stands.revision, {}


def again(tablet: Tablet, key: int, stands: Book, _: str) -> None:
    """The same save sent once more, as an outbox does that heard no answer: nothing happens twice."""
    if tablet.last:
        assert post(tablet, key, tablet.last)[0] == 303


def post(tablet: Tablet, key: int, form: dict[str, str]) -> tuple[int, str]:
    sent = {"token": tablet.token, **form}
    headers = {"Origin": "http://testserver", "HX-Request": "true"}
    answer = tablet.browser.client.post(f"/inspection/findings/{key}", data=sent, headers=headers)
    return answer.status_code, answer.text


def check(book: Engine, key: int, stands: Book) -> None:
    with reading(book) as session:
        row = session.get_one(Finding, key)
        kept = (Receipt.subject == "finding", Receipt.subject_id == key)
        receipts = session.exec(select(Receipt).where(*kept)).all()
    assert (row.revision, row.note) == (stands.revision, stands.taken[-1] if stands.taken else "")
    assert len(receipts) == len(stands.taken)


MOVED = {"open": opened, "save": saved, "again": again}

"""Who came first: the receipt behind the rows that a late form had not seen."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import receipts
from app.ground.book import reading, writing
from app.ground.first import About, Beside, First, first_about, late
from app.ground.forms import Pair, Sent
from app.ground.receipts import Stale
from app.ground.shop import save_shop
from app.ground.shop_form import read_shop_said
from app.ground.tables import Instrument, Person, Shop
from app.trade.typed import Texts
from tests.conftest import NOON, act
from tests.ground.test_shop import FORM

ZONE = "America/New_York"


def keep(book: Engine, name: str, person: int, *others: Instrument) -> int:
    with writing(book) as session:
        row = Instrument(created_at=NOON, name=name, kind="torque wrench")
        return receipts.sign(session, act(person=person), f"keep {name}", row, *others)


def of(book: Engine, about: About) -> tuple[str, str]:
    with reading(book) as session:
        found = first_about(session, about)
    return (found.by, found.act) if found else ("", "")


def test_the_newest_act_on_a_row_is_found_with_its_person(book: Engine) -> None:
    one, other = keep(book, "first", 1), keep(book, "second", 2)
    with reading(book) as session:
        names = {person.key: person.name for person in session.exec(select(Person))}
    assert of(book, About(Instrument, id=one)) == (names[1], "keep first")
    assert of(book, About(Instrument, id=other)) == (names[2], "keep second")
    assert of(book, About(Instrument, Shop)) == (names[2], "keep second")


def test_a_row_signed_beside_another_is_found_too(book: Engine) -> None:
    beside = Instrument(created_at=NOON, name="beside", kind="gauge", revision=7)
    keep(book, "first", 1, beside)
    assert of(book, About(Instrument, revision=7))[1] == "keep first"


def test_rows_that_no_act_left_have_nobody(book: Engine) -> None:
    keep(book, "first", 1)
    assert of(book, About(Instrument, id=99)) == ("", "")
    assert of(book, About(Shop)) == ("", "open shop")  # by nobody: there was no account before


@pytest.mark.parametrize(
    ("by", "says"),
    [
        ("Wyn Parry", "Wyn Parry saved first, 4 May 2026, 12:05 (change line)"),
        ("", "someone saved first, 4 May 2026, 12:05 (change line)"),
    ],
)
def test_it_is_said_by_the_shops_clock(by: str, says: str) -> None:
    at = datetime(2026, 5, 4, 16, 5, tzinfo=UTC)
    assert First(by, at, "change line").says(ZONE) == says
    assert First(by, at + timedelta(hours=1), "change line").says("UTC") == says.replace("12:05", "17:05")


def test_a_late_form_holds_both_sides_of_what_differs_and_who_came_first(book: Engine) -> None:
    with reading(book) as session:
        leads = {person.key: person.name for person in session.exec(select(Person))}
    save_shop(book, act(), read_shop_said(Texts({**FORM, "labour_rate": "99"})))
    sent = Sent([("labour_rate", "120"), ("address", "9 Mill Lane\r\nHarrow Bend")])
    now = {"labour_rate": "99.00", "address": "9 Mill Lane\nHarrow Bend"}
    form = late(book, ZONE, sent, Stale(4), About(Shop), now)
    assert form.theirs == {"labour_rate": "99.00"}
    assert form.mine("labour_rate") == "120"
    assert form.first == f"{leads[1]} saved first, 4 May 2026, 12:00 (save shop)"
    assert (form.revision, form.late, form.wrong, form.pairs) == (4, True, True, [])


def test_a_late_form_whose_rows_nobody_is_known_for_still_says_that_it_came_late(book: Engine) -> None:
    beside = (Beside("name", "Name", "never"),)
    form = late(book, ZONE, Sent([("name", "x")]), Stale(1), About(Instrument, id=5), None, lambda _: beside)
    assert (form.first, form.theirs, form.late, form.pairs) == ("", {}, True, [])


def test_where_nothing_can_be_taken_both_sides_are_told_in_words(book: Engine) -> None:
    keep(book, "first", 1)
    sent = Sent([("name", "second"), ("kind", "a"), ("kind", "b"), ("note", "")])
    form = late(book, ZONE, sent, Stale(1), About(Instrument), None, beside_instrument)
    assert form.pairs == [Pair("Name", "first", "second"), Pair("Kind", "torque wrench", "an A, b")]
    assert form.theirs == {}


def beside_instrument(first: First) -> list[Beside]:
    row, words = first.row(Instrument) or {}, {"a": "an A"}
    name, kind = Beside("name", "Name", row["name"]), Beside("kind", "Kind", row["kind"], words)
    return [name, kind, Beside("note", "Note", ""), Beside("unsent", "Not asked", "anything")]


def test_the_rows_that_an_act_left_are_told_by_table(book: Engine) -> None:
    keep(book, "first", 1, Instrument(created_at=NOON, name="beside", kind="gauge"))
    with reading(book) as session:
        first = first_about(session, About(Instrument, name="beside"))
    assert first is not None
    assert [row["name"] for row in first.rows] == ["first", "beside"]
    assert (first.row(Instrument) or {})["name"] == "first"
    assert first.row(Shop) is None

"""Receipts: an act once, its trace, and a chain that shows every later touch."""

import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground import people, receipts, staff
from app.ground.acting import Act, hash_of, new_key, tapped_at
from app.ground.book import open_book, reading, writing
from app.ground.migrating import migrate
from app.ground.receipts import FIRST, Stale
from app.ground.tables import Instrument, Person, Receipt
from app.trade.problems import Refused
from tests.conftest import NOON, PASSPHRASE, act

LINE = {name for name in Receipt.model_fields if name not in ("id", "hash", "before")}
OTHER: Mapping[str, Any] = {
    "created_at": "2027-01-01 00:00:00.000000",
    "submission": "another",
    "sent": "another",
    "act": "another",
    "subject": "another",
    "subject_id": 99,
    "person_id": 2,
    "device": "another",
    "stood": "[]",
}


def keep(book: Engine, it: Act, name: str = "Wrench") -> int:
    with writing(book) as session:
        if (made := receipts.repeated(session, it)) is not None:
            return made
        row = Instrument(created_at=it.at, name=name, kind="torque wrench")
        return receipts.sign(session, it, "keep instrument", row)


@pytest.mark.parametrize(
    ("waited", "minutes"),
    [
        ("1740000", 29),
        ("60000", 1),
        ("59999", None),  # sent at once
        ("5184000001", None),  # over 60 days
        ("", None),
        ("-1", None),
        ("soon", None),
        ("\u0663", None),
        ("9" * 30, None),
    ],
)
def test_when_a_form_was_tapped_follows_from_how_long_it_waited(waited: str, minutes: int | None) -> None:
    found = tapped_at(waited, NOON)
    assert found == (None if minutes is None else NOON - timedelta(minutes=minutes))


def test_a_receipt_tells_when_a_tablet_took_what_it_sent_later(book: Engine) -> None:
    keep(book, replace(act(), tapped=NOON - timedelta(minutes=29)))
    keep(book, act(), "Gauge")
    later, at_once = chain(book)[-2:]
    assert receipts.tapped(later) == NOON - timedelta(minutes=29)
    assert later.created_at == NOON
    assert receipts.tapped(at_once) is None
    assert broken(book) == []


def chain(book: Engine) -> list[Receipt]:
    with reading(book) as session:
        return list(session.exec(select(Receipt).order_by(col(Receipt.id))))


def broken(book: Engine) -> list[int]:
    with reading(book) as session:
        return list(receipts.broken(session))


def tamper(book: Engine, statement: str, *values: object) -> None:
    """What somebody could do who has the file and takes the guards away first."""
    with book.begin() as connection:
        for word in ("update", "delete"):
            connection.exec_driver_sql(f"DROP TRIGGER IF EXISTS receipt_no_{word}")
        connection.exec_driver_sql(statement, values)


def test_each_receipt_holds_the_hash_of_the_one_before(book: Engine) -> None:
    for number in range(5):
        keep(book, act(), f"Wrench {number}")
    found = chain(book)
    assert found[0].before == FIRST
    assert [each.before for each in found[1:]] == [each.hash for each in found[:-1]]
    with reading(book) as session:
        assert receipts.head(session) == found[-1].hash


def test_a_book_without_acts_has_zeros_at_its_head(tmp_path: Path) -> None:
    engine = open_book(tmp_path / "new.db")
    migrate(engine)
    with reading(engine) as session:
        assert receipts.head(session) == FIRST == "0" * 64
        assert list(receipts.broken(session)) == []
    engine.dispose()


@pytest.mark.parametrize("field", sorted(LINE))
def test_no_field_of_a_receipt_can_be_changed_unseen(book: Engine, field: str) -> None:
    tamper(book, f"UPDATE receipt SET {field} = ? WHERE id = 2", OTHER[field])
    assert broken(book) == [2]


def test_every_field_of_a_receipt_is_under_its_hash() -> None:
    assert set(OTHER) == LINE


@pytest.mark.parametrize("field", ["hash", "before"])
def test_a_hash_put_in_the_place_of_another_is_seen(book: Engine, field: str) -> None:
    tamper(book, f"UPDATE receipt SET {field} = ? WHERE id = 2", "f" * 64)
    assert 2 in broken(book)


def test_a_receipt_made_up_between_two_others_is_seen(book: Engine) -> None:
    third = chain(book)[2]
    made_up = Receipt(**{**third.model_dump(), "id": None, "submission": "x", "hash": "", "stood": "[]"})
    made_up.hash = receipts.hash_of(made_up)  # by somebody who knows how
    with writing(book) as session:
        session.add(made_up)
    assert broken(book) == [made_up.key]


def test_the_newest_receipt_taken_away_is_seen_by_the_head_on_the_papers(book: Engine) -> None:
    printed = chain(book)[-1].hash
    tamper(book, "DELETE FROM receipt WHERE id = 3")
    assert broken(book) == []  # what is left is a whole chain
    with reading(book) as session:
        assert receipts.head(session) != printed


def test_two_receipts_exchanged_are_seen(book: Engine) -> None:
    tamper(book, "UPDATE receipt SET id = -id")
    tamper(book, "UPDATE receipt SET id = id + 4")
    assert broken(book)


# --- an act happens once ------------------------------------------------------------------------


def test_the_same_act_gives_the_key_of_the_row_it_made(book: Engine) -> None:
    once = act()
    assert keep(book, once) == keep(book, once)
    assert len([each for each in chain(book) if each.act == "keep instrument"]) == 1


def test_the_same_key_with_other_content_is_refused_and_changes_nothing(book: Engine) -> None:
    once = act(submission="one")
    keep(book, once)
    before = len(chain(book))
    with pytest.raises(Refused) as refused:
        keep(book, replace(once, sent=hash_of([("name", "another")])))
    (problem,) = refused.value.problems
    assert problem.says == "This form was sent before with other content"
    assert problem.accepts == "a page opened anew"
    assert len(chain(book)) == before


def test_the_same_content_under_another_key_is_another_act(book: Engine) -> None:
    assert keep(book, act()) != keep(book, act())


def test_an_act_that_broke_left_no_receipt_and_may_be_tried_again(book: Engine) -> None:
    once = act()
    with pytest.raises(RuntimeError), writing(book) as session:
        row = Instrument(created_at=NOON, name="Wrench", kind="torque wrench")
        receipts.sign(session, once, "keep instrument", row)
        raise RuntimeError
    assert keep(book, once)
    assert broken(book) == []


def test_a_part_of_an_act_has_a_key_that_is_the_same_on_a_repeat() -> None:
    whole = act(submission="one")
    assert whole.part("slip").submission == whole.part("slip").submission == "one/slip"
    assert whole.part("slip").submission != whole.part("tags").submission
    assert replace(whole.part("slip"), submission="one") == whole


def test_keys_of_forms_do_not_meet() -> None:
    keys = {new_key() for _ in range(1000)}
    assert len(keys) == 1000
    assert all(len(key) >= 22 for key in keys)  # 128 bits in base64url: RFC 4648, 5


@pytest.mark.parametrize(("seen", "stale"), [(3, False), (2, True), (4, True), (-1, True), (0, True)])
def test_an_act_counts_only_for_the_revision_that_it_saw(seen: int, stale: bool) -> None:
    if stale:
        with pytest.raises(Stale) as found:
            receipts.current(3, act(seen=seen))
        assert found.value.revision == 3
    else:
        receipts.current(3, act(seen=seen))


# --- what stood ---------------------------------------------------------------------------------


def test_a_receipt_says_who_did_what_when_on_which_device_and_what_then_stood(book: Engine) -> None:
    key = keep(book, act(person=3), "Wrench “two” ½")
    last = chain(book)[-1]
    assert (last.act, last.subject, last.subject_id) == ("keep instrument", "instrument", key)
    assert (last.person_id, last.device, last.created_at) == (3, "test", NOON)
    (stood,) = json.loads(last.stood)
    assert (stood["table"], stood["name"], stood["kind"]) == ("instrument", "Wrench “two” ½", "torque wrench")


def test_an_act_of_nobody_is_nobodys(book: Engine) -> None:
    assert chain(book)[0].person_id is None  # the shop was opened before anybody worked there


def test_a_row_changed_later_still_stands_in_its_first_receipt_as_it_was(book: Engine) -> None:
    staff.let_go(book, act(), 3)
    stood = [
        json.loads(each.stood)[0] for each in chain(book) if each.subject == "person" and each.subject_id == 3
    ]
    assert [each["active"] for each in stood] == [True, False]


def test_no_receipt_whatever_holds_a_secret(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    staff.end_sessions(book, act(), 3)
    staff.give_passphrase(book, act(), 3, "another four words here")
    with reading(book) as session:
        person = session.get_one(Person, 3)
    told = " ".join(each.stood for each in chain(book))
    for secret in (person.passphrase_hash, people.hashed_cookie(cookie), cookie, "another four words"):
        assert secret not in told
    assert '"table":"signin"' in told  # the sign-ins that were ended are told, without their secrets


@given(st.lists(st.tuples(st.text(max_size=8), st.text(max_size=8)), max_size=6), st.randoms())
def test_the_hash_of_what_was_sent_is_of_the_content_whatever_its_order(
    pairs: list[tuple[str, str]], dice: Random
) -> None:
    mixed = list(pairs)
    dice.shuffle(mixed)
    assert hash_of(mixed) == hash_of(pairs)
    assert hash_of([*pairs, ("more", "")]) != hash_of(pairs)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ([("a", "bc")], [("ab", "c")]),
        ([("a", "1"), ("b", "2")], [("a", "2"), ("b", "1")]),
        ([("a", "1,b")], [("a", "1"), ("b", "")]),
        ([("a", "é")], [("a", "e\u0301")]),
        ([("a", "1")], [("a", "1"), ("a", "1")]),
    ],
)
def test_contents_that_look_alike_have_hashes_of_their_own(
    one: list[tuple[str, str]], other: list[tuple[str, str]]
) -> None:
    assert hash_of(one) != hash_of(other)

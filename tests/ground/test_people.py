"""Accounts and sign-in, as rows and as pages."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import people
from app.ground.book import open_book, reading
from app.ground.people import NewPerson, Role
from app.ground.settings import Settings
from app.ground.tables import Person, Shop, SignIn
from app.trade.problems import Refused
from app.trade.typed import Texts
from app.web import build
from tests.conftest import NOON, PASSPHRASE, Browser, act


def form(**changed: str) -> Texts:
    texts = {"name": "Ada", "role": "writer", "passphrase": "long enough it is", "again": "long enough it is"}
    return Texts(texts | changed)


def test_a_person_is_read_as_typed() -> None:
    assert people.read_person(form()) == NewPerson("Ada", Role.WRITER, "long enough it is")


@pytest.mark.parametrize(
    ("changed", "field", "accepts"),
    [
        ({"name": ""}, "name", ""),
        ({"role": "owner"}, "role", "lead"),
        # NIST SP 800-63B-4: at least 15 characters where a passphrase stands alone
        ({"passphrase": "14 characters.", "again": "14 characters."}, "passphrase", "at least 15"),
        ({"again": "another"}, "again", "the same"),
        ({"name": "A\0da"}, "name", "letters"),
    ],
)
def test_what_cannot_be_is_named_with_its_field(changed: dict[str, str], field: str, accepts: str) -> None:
    with pytest.raises(Refused) as refused:
        people.read_person(form(**changed))
    assert [problem.field for problem in refused.value.problems] == [field]
    assert accepts in refused.value.problems[0].accepts


def test_the_first_account_of_a_shop_is_a_lead_and_there_is_only_one_first(book: Engine) -> None:
    with reading(book) as session:
        assert session.get_one(Person, 1).role == "lead"
    with pytest.raises(Refused, match="first account"):
        shop = Shop(created_at=NOON, name="Other")
        people.open_shop(book, act(person=0), shop, NewPerson("Eve", Role.LEAD, PASSPHRASE))


def test_a_name_is_taken_once(book: Engine) -> None:
    with pytest.raises(Refused, match="already"):
        people.add_person(book, act(), NewPerson("Toni", Role.LEAD, PASSPHRASE))


def test_a_name_that_is_taken_is_told_with_all_else_of_the_form(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    sent = {"name": "Toni", "role": "owner", "passphrase": "short", "again": "other"}
    page = lee.post("/people", sent).text
    for field in ("name", "role", "passphrase", "again"):
        assert f'<a href="#{field}">' in page
    assert "Toni has an account already" in page
    assert "Accepted: one of: Technician, Writer, Lead." in page


def test_a_new_account_sent_twice_is_kept_once(signed: Callable[[str], Browser], book: Engine) -> None:
    lee = signed("Lee")
    sent = {
        "name": "Ada",
        "role": "writer",
        "passphrase": PASSPHRASE,
        "again": PASSPHRASE,
        "submission": "ada",
    }
    for _ in range(2):
        assert lee.post("/people", sent).status_code == 303


def test_a_cookie_signs_in_until_it_is_idle_too_long_or_ended(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    found = people.who(book, cookie, NOON + timedelta(minutes=29))
    assert found is not None
    assert (found.name, found.role) == ("Toni", Role.TECHNICIAN)
    assert people.who(book, cookie, NOON + timedelta(minutes=29 + 31)) is None
    people.sign_out(book, found.sign_in, NOON)
    assert people.who(book, cookie, NOON) is None


def test_no_session_lives_longer_than_twelve_hours_however_busy(book: Engine) -> None:
    cookie, at = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON), NOON
    while at < NOON + timedelta(hours=11, minutes=45):
        assert people.who(book, cookie, at) is not None
        at += timedelta(minutes=15)
    assert people.who(book, cookie, NOON + timedelta(hours=12)) is None


def test_the_book_alone_signs_nobody_in(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    with reading(book) as session:
        kept = session.exec(select(SignIn)).one()
        hashed = session.get_one(Person, 3).passphrase_hash
    assert cookie not in (kept.cookie_hash, kept.form_token)
    assert people.who(book, kept.cookie_hash, NOON) is None
    assert hashed.startswith("$argon2id$v=19$m=19456,t=2,p=1$")  # OWASP password storage: at least so


def test_wrong_tries_make_one_wait_longer_and_longer_and_a_restart_does_not_help(
    book: Engine, settings: Settings
) -> None:
    for _ in range(people.FREE_TRIES):
        with pytest.raises(Refused, match="do not match"):
            people.sign_in(book, "Toni", "wrong", "x", NOON)
    again = open_book(settings.book)
    with pytest.raises(Refused, match="Too many"):
        people.sign_in(again, "Toni", PASSPHRASE, "x", NOON + timedelta(seconds=29))
    assert people.sign_in(again, "Toni", PASSPHRASE, "x", NOON + timedelta(seconds=31))
    again.dispose()


def test_a_person_who_left_is_signed_out_at_once(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    with book.begin() as connection:
        connection.exec_driver_sql("UPDATE person SET active = 0 WHERE name = 'Toni'")
    assert people.who(book, cookie, NOON) is None
    with pytest.raises(Refused, match="do not match"):
        people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)


def test_a_new_shop_asks_for_its_first_account_and_signs_it_in(settings: Settings) -> None:
    client = TestClient(build(settings), follow_redirects=False)
    assert client.get("/people/sign-in").headers["location"] == "/people/first"
    sent = {
        "shop_name": "Two Creeks",
        "zone": "America/New_York",
        "paper": "a4",
        "name": "Lee",
        "passphrase": PASSPHRASE,
        "again": PASSPHRASE,
    }
    wrong = client.post(
        "/people/first", data=sent | {"zone": "Moon"}, headers={"Origin": "http://testserver"}
    )
    assert wrong.status_code == 422
    assert "Moon is not a time zone" in wrong.text
    short = {"zone": "Moon", "passphrase": "short", "again": "other", "name": ""}
    all_wrong = client.post(
        "/people/first", data=sent | short, headers={"Origin": "http://testserver"}
    ).text  # shop and account are one form, so all of it is told at once
    for field in ("zone", "passphrase", "again", "name"):
        assert f'<a href="#{field}">' in all_wrong
    assert 'value="Two Creeks"' in wrong.text
    assert PASSPHRASE not in wrong.text
    right = client.post("/people/first", data=sent, headers={"Origin": "http://testserver"})
    assert right.status_code == 303
    assert "HttpOnly" in right.headers["set-cookie"]
    assert "samesite=strict" in right.headers["set-cookie"].lower()
    assert client.get("/people").status_code == 200


def test_sign_in_leads_back_but_never_off_this_shop(app: FastAPI, book: Engine) -> None:
    client = TestClient(app, follow_redirects=False)
    for asked, goes in (("/people", "/people"), ("//evil.test", "/"), ("https://evil.test", "/")):
        sent = {"name": "Toni", "passphrase": PASSPHRASE, "then": asked}
        answer = client.post("/people/sign-in", data=sent, headers={"Origin": "http://testserver"})
        assert answer.headers["location"] == goes


def test_signing_out_ends_the_session_on_the_server(signed: Callable[[str], Browser]) -> None:
    toni = signed("Toni")
    cookie = dict(toni.client.cookies)
    assert toni.post("/people/sign-out", {}).status_code == 303
    toni.client.cookies.update(cookie)
    assert toni.get("/people").status_code == 303

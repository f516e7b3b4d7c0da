"""The door: how long a wrong passphrase makes one wait, for whom, and what ends a session."""

import threading
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import people
from app.ground.book import reading
from app.ground.people import IDLE, LONGEST, Role
from app.ground.tables import Person, SignIn
from app.trade.problems import Refused
from tests.conftest import NOON, PASSPHRASE, Browser

ORIGIN = {"Origin": "http://testserver"}


def later(seconds: float) -> datetime:
    return NOON + timedelta(seconds=seconds)


def wrong(book: Engine, at: datetime = NOON, name: str = "Toni") -> str:
    """What a wrong try is told."""
    with pytest.raises(Refused) as refused:
        people.sign_in(book, name, "not the right one", "x", at)
    return refused.value.problems[0].says


def toni(book: Engine) -> Person:
    with reading(book) as session:
        return session.exec(select(Person).where(Person.name == "Toni")).one()


def waits(book: Engine) -> list[int]:
    """Seconds of each wait, from the fifth wrong try on, each made when the last one is over."""
    at, found = NOON, []
    for number in range(14):
        wrong(book, at)
        until = toni(book).wait_until
        if number >= 4:
            assert until is not None
            found.append(int((until - at).total_seconds()))
            at = until
        else:
            assert until is None
    return found


def test_the_wait_doubles_from_half_a_minute_to_an_hour(book: Engine) -> None:
    # NIST SP 800-63B-4, 3.2.2: limit the rate; a wait that grows up to an hour is its own example
    assert waits(book) == [30, 60, 120, 240, 480, 960, 1920, 3600, 3600, 3600]


@pytest.mark.parametrize(("seconds", "taken"), [(0, False), (29.999, False), (30, True)])
def test_the_right_passphrase_waits_too_to_the_second(book: Engine, seconds: float, taken: bool) -> None:
    for _ in range(5):
        wrong(book)
    try:
        people.sign_in(book, "Toni", PASSPHRASE, "x", later(seconds))
    except Refused as refused:
        assert not taken
        (problem,) = refused.problems
        assert problem.says == "Too many wrong tries"
        assert problem.accepts == f"the next try in {30 - int(seconds)} seconds"
        return
    assert taken


def test_a_try_during_the_wait_is_not_counted(book: Engine) -> None:
    for _ in range(5):
        wrong(book)
    for _ in range(20):
        assert wrong(book, later(10)) == "Too many wrong tries"
    assert toni(book).tries == 5


def test_four_wrong_tries_are_forgiven_by_a_right_one(book: Engine) -> None:
    for _ in range(3):
        for _ in range(4):
            assert wrong(book) == "Name and passphrase do not match"
        assert people.sign_in(book, "Toni", PASSPHRASE, "x", NOON)
        assert (toni(book).tries, toni(book).wait_until) == (0, None)


def test_one_persons_wait_is_nobody_elses(book: Engine) -> None:
    for _ in range(5):
        wrong(book)
    assert people.sign_in(book, "Wren", PASSPHRASE, "x", NOON)


@pytest.mark.parametrize("name", ["Nobody", "", "toni", "Toni ", "Toni\0", "' OR 1=1 --"])
def test_an_unknown_name_is_told_the_same_as_a_wrong_passphrase(book: Engine, name: str) -> None:
    # OWASP authentication cheat sheet: the answer must not say which of the two was wrong
    for _ in range(7):
        assert wrong(book, name=name) == "Name and passphrase do not match"
    assert toni(book).tries == 0


def test_eight_guesses_at_once_are_all_counted(book: Engine) -> None:
    threads = [threading.Thread(target=wrong, args=(book,)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert toni(book).tries >= 5  # those that came once the wait had begun are not counted
    assert toni(book).wait_until is not None
    with reading(book) as session:
        assert session.exec(select(SignIn)).first() is None


@pytest.mark.parametrize(
    ("passphrase", "matches"),
    [
        (PASSPHRASE, True),
        (PASSPHRASE + " ", False),
        (PASSPHRASE.upper(), False),
        (PASSPHRASE[:-1], False),
        ("", False),
        ("x" * 100_000, False),
        ("\0", False),
    ],
)
def test_a_passphrase_is_taken_sign_by_sign(book: Engine, passphrase: str, matches: bool) -> None:
    try:
        people.sign_in(book, "Toni", passphrase, "x", NOON)
    except Refused:
        assert not matches
    else:
        assert matches


# --- sessions -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("idle", "there"), [(IDLE - timedelta(seconds=1), True), (IDLE, False), (IDLE + timedelta(1), False)]
)
def test_half_an_hour_without_a_page_ends_a_session(book: Engine, idle: timedelta, there: bool) -> None:
    # 30 minutes and 12 hours: NIST SP 800-63B-3, 4.2.3, AAL2
    assert timedelta(minutes=30) == IDLE
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    assert (people.who(book, cookie, NOON + idle) is not None) is there


def test_a_session_kept_busy_ends_at_twelve_hours_to_the_second(book: Engine) -> None:
    assert timedelta(hours=12) == LONGEST
    cookie, last = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON), NOON + LONGEST
    for minutes in range(25, 720, 25):
        assert people.who(book, cookie, NOON + timedelta(minutes=minutes))
    assert people.who(book, cookie, last - timedelta(seconds=1))
    assert people.who(book, cookie, last) is None


def test_looking_again_within_a_minute_writes_nothing(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)

    def used() -> datetime:
        with reading(book) as session:
            return session.exec(select(SignIn)).one().used_at

    for seconds in (1, 59, 60):
        people.who(book, cookie, later(seconds))
        assert used() == NOON
    people.who(book, cookie, later(61))
    assert used() == later(61)


@pytest.mark.parametrize("cookie", ["", "x", "\0", "a" * 5000, "' OR 1=1 --", "é"])
def test_no_made_up_cookie_is_anybodys(book: Engine, cookie: str) -> None:
    people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    assert people.who(book, cookie, NOON) is None


def test_each_sign_in_has_a_cookie_and_a_token_of_its_own(book: Engine) -> None:
    cookies = {people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON) for _ in range(4)}
    with reading(book) as session:
        kept = session.exec(select(SignIn)).all()
    assert (
        len(cookies) == len({each.cookie_hash for each in kept}) == len({it.form_token for it in kept}) == 4
    )
    assert all(len(cookie) >= 43 for cookie in cookies)  # 256 bits in base64url: RFC 4648, 5
    for cookie in cookies:
        found = people.who(book, cookie, NOON)
        assert found is not None
        assert (found.name, found.role) == ("Toni", Role.TECHNICIAN)


def test_signing_out_on_one_device_leaves_the_others_signed_in(book: Engine) -> None:
    here, there = (people.sign_in(book, "Toni", PASSPHRASE, place, NOON) for place in ("a", "b"))
    mine = people.who(book, here, NOON)
    assert mine is not None
    people.sign_out(book, mine.sign_in, NOON)
    assert people.who(book, here, NOON) is None
    assert people.who(book, there, NOON) is not None


def test_a_very_long_name_of_a_browser_is_kept_short(book: Engine) -> None:
    people.sign_in(book, "Toni", PASSPHRASE, "x" * 5000, NOON)
    with reading(book) as session:
        assert session.exec(select(SignIn)).one().device == "x" * 80


# --- as a browser meets it ----------------------------------------------------------------------


def test_the_sign_in_page_says_how_long_to_wait(app: FastAPI, book: Engine) -> None:
    client = TestClient(app)
    sent = {"name": "Toni", "passphrase": "not the right one"}
    for _ in range(5):
        assert "do not match" in client.post("/people/sign-in", data=sent, headers=ORIGIN).text
    answer = client.post("/people/sign-in", data=sent | {"passphrase": PASSPHRASE}, headers=ORIGIN)
    assert answer.status_code == 422
    assert "Too many wrong tries" in answer.text
    assert "the next try in 30 seconds" in answer.text or "the next try in 29 seconds" in answer.text


def test_the_cookie_is_kept_from_scripts_other_sites_and_other_paths(app: FastAPI, book: Engine) -> None:
    client = TestClient(app, follow_redirects=False)
    sent = {"name": "Toni", "passphrase": PASSPHRASE}
    said = client.post("/people/sign-in", data=sent, headers=ORIGIN).headers["set-cookie"].lower()
    # RFC 6265bis, 5.6: attributes of a cookie
    for attribute in ("httponly", "samesite=strict", "path=/"):
        assert attribute in said
    assert "expires" not in said and "max-age" not in said  # gone with the browser
    assert "domain=" not in said


def test_signing_in_again_makes_a_new_session_and_not_the_one_that_was_sent(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    # OWASP session management: a session's name is made anew at sign-in, so that none can be planted
    lee = signed("Lee")
    before = lee.client.cookies["castlenut"]
    sent = {"name": "Lee", "passphrase": PASSPHRASE}
    answer = lee.client.post("/people/sign-in", data=sent, headers=ORIGIN)
    assert before not in answer.headers["set-cookie"]

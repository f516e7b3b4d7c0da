"""Leaving, coming back, passphrases and sessions: as rows, and as a browser meets them."""

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground import people, staff
from app.ground.acting import Act
from app.ground.book import reading
from app.ground.carrying import carried, carry
from app.ground.forms import Sent
from app.ground.people import NewPerson, Role
from app.ground.receipts import Stale, broken
from app.ground.shop_form import texts_of
from app.ground.tables import Person, Receipt, Shop, SignIn
from app.trade.problems import Refused
from tests.conftest import NOON, PASSPHRASE, Browser, act, people_now

LEE, WREN, TONI = 1, 2, 3
OTHER = "five quite other words"
FORM = texts_of(Shop(created_at=NOON, name="Two Creeks Trailer Shop"))
TWICE = {"passphrase": OTHER, "again": OTHER}
Step = Callable[[Engine, Act], int]
STEPS: dict[str, Step] = {
    "end sessions": lambda book, it: staff.end_sessions(book, it, TONI),
    "let go": lambda book, it: staff.let_go(book, it, TONI),
    "take back": lambda book, it: staff.take_back(book, it, TONI),
    "give role": lambda book, it: staff.give_role(book, it, TONI, Role.WRITER),
    "give passphrase": lambda book, it: staff.give_passphrase(book, it, TONI, OTHER),
}
SEEING = ["give role", "let go", "take back", "give passphrase"]


def person(book: Engine, key: int) -> Person:
    with reading(book) as session:
        return session.get_one(Person, key)


def newest_receipt(book: Engine) -> Receipt:
    with reading(book) as session:
        assert list(broken(session)) == []
        return session.exec(select(Receipt).order_by(col(Receipt.id).desc())).all()[0]


@pytest.mark.parametrize("name", STEPS)
def test_each_act_happens_once_and_leaves_its_receipt(name: str, book: Engine) -> None:
    once = act()
    assert STEPS[name](book, once) == STEPS[name](book, once) == TONI
    receipt = newest_receipt(book)
    assert (receipt.act, receipt.subject_id, receipt.person_id) == (name, TONI, LEE)
    assert person(book, TONI).revision == (1 if name in SEEING else 0)


@pytest.mark.parametrize("name", SEEING)
def test_whoever_saw_an_older_state_is_told(name: str, book: Engine) -> None:
    staff.take_back(book, act(), TONI)
    with pytest.raises(Stale):
        STEPS[name](book, act(seen=0))


@pytest.mark.parametrize("name", ["end sessions", "let go", "give passphrase"])
def test_every_device_is_signed_out(name: str, book: Engine) -> None:
    cookies = [people.sign_in(book, "Toni", PASSPHRASE, device, NOON) for device in ("tablet", "desk")]
    wren = people.sign_in(book, "Wren", PASSPHRASE, "desk", NOON)
    STEPS[name](book, act())
    assert [people.who(book, cookie, NOON) for cookie in cookies] == [None, None]
    assert people.who(book, wren, NOON) is not None


def test_one_who_left_signs_in_only_after_coming_back_and_old_sessions_stay_ended(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    staff.let_go(book, act(), TONI)
    with pytest.raises(Refused, match="do not match"):
        people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    staff.take_back(book, act(seen=1), TONI)
    assert people.who(book, cookie, NOON) is None
    assert people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON + timedelta(minutes=1))


def test_the_last_lead_stays(book: Engine) -> None:
    with pytest.raises(Refused, match="only lead"):
        staff.let_go(book, act(), LEE)
    second = people.add_person(book, act(), NewPerson("Ada", Role.LEAD, PASSPHRASE))
    assert staff.let_go(book, act(), LEE) == LEE
    with pytest.raises(Refused, match="only lead"):
        staff.let_go(book, act(), second)  # one who left does not count


def test_a_new_passphrase_takes_the_place_of_the_old_and_ends_the_wait(book: Engine) -> None:
    for _ in range(people.FREE_TRIES):
        with pytest.raises(Refused):
            people.sign_in(book, "Toni", "wrong", "x", NOON)
    staff.give_passphrase(book, act(), TONI, OTHER)
    assert people.sign_in(book, "Toni", OTHER, "x", NOON)
    with pytest.raises(Refused, match="do not match"):
        people.sign_in(book, "Toni", PASSPHRASE, "x", NOON)


def test_ones_own_passphrase_is_changed_by_knowing_the_old_one(book: Engine) -> None:
    cookie = people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    once = act(person=TONI)
    assert staff.change_passphrase(book, once, PASSPHRASE, OTHER) == TONI
    assert staff.change_passphrase(book, once, PASSPHRASE, OTHER) == TONI  # a repeat, not a wrong try
    assert people.who(book, cookie, NOON) is None
    assert people.sign_in(book, "Toni", OTHER, "tablet", NOON)
    assert newest_receipt(book).act == "change passphrase"


def test_guessing_the_old_passphrase_is_slowed_as_at_the_door(book: Engine) -> None:
    for _ in range(people.FREE_TRIES):
        with pytest.raises(Refused, match="not your passphrase"):
            staff.change_passphrase(book, act(person=TONI), "guess", OTHER)
    with pytest.raises(Refused, match="Too many") as refused:
        staff.change_passphrase(book, act(person=TONI), PASSPHRASE, OTHER)
    assert refused.value.problems[0].field == "old"


def test_no_receipt_holds_a_passphrase_its_hash_or_what_it_could_be_guessed_from(book: Engine) -> None:
    staff.give_passphrase(book, act(), TONI, OTHER)
    receipt = newest_receipt(book)
    for secret in (OTHER, "argon2", "form_token", "cookie_hash"):
        assert secret not in receipt.stood
    pairs = [("name", "Ada"), ("passphrase", OTHER), ("again", OTHER), ("old", PASSPHRASE)]
    assert Sent(pairs).hash == Sent([("name", "Ada"), ("passphrase", "x" * 20)]).hash


def test_the_devices_of_a_person_are_those_still_signed_in(book: Engine) -> None:
    people.sign_in(book, "Toni", PASSPHRASE, "old tablet", NOON - timedelta(hours=2))
    people.sign_in(book, "Toni", PASSPHRASE, "tablet", NOON)
    people.sign_in(book, "Wren", PASSPHRASE, "desk", NOON)
    with reading(book) as session:
        found = people.signed_in(session, session.get_one(Person, TONI), NOON)
    assert [each.device for each in found] == ["tablet"]


# --- a form that stood open while its session ran out -------------------------------------------


def who(book: Engine, name: str, at: object = NOON) -> people.Who:
    found = people.who(book, people.sign_in(book, name, PASSPHRASE, "tablet", NOON), NOON)
    assert found is not None
    return found


def test_a_form_of_a_sign_in_that_ran_out_is_still_that_persons(book: Engine) -> None:
    earlier, now_in = who(book, "Toni"), who(book, "Toni")
    assert people.form_is_of(book, now_in, now_in.form_token, NOON)
    assert people.form_is_of(book, now_in, earlier.form_token, NOON)
    assert not people.form_is_of(book, now_in, earlier.form_token, NOON + timedelta(days=2))
    assert not people.form_is_of(book, now_in, "", NOON)
    assert not people.form_is_of(book, who(book, "Wren"), earlier.form_token, NOON)


def test_a_form_of_a_sign_in_that_was_ended_is_nobodys(book: Engine) -> None:
    earlier, now_in = who(book, "Toni"), who(book, "Toni")
    people.sign_out(book, earlier.sign_in, NOON)
    assert not people.form_is_of(book, now_in, earlier.form_token, NOON)


def hidden(page: str) -> dict[str, str]:
    """The hidden fields of a page's form."""
    found = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)">', page)
    return {name: unescape(value) for name, value in found}


def run_out(book: Engine) -> None:
    """Half an hour passes without a page."""
    long_ago = (people_now() - timedelta(minutes=31)).strftime("%Y-%m-%d %H:%M:%S.%f")
    with book.begin() as connection:
        connection.exec_driver_sql("UPDATE signin SET used_at = ?", (long_ago,))


def test_a_form_sent_after_the_session_ran_out_goes_through_the_new_sign_in_and_is_saved_once(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    form = {
        **FORM,
        "law_place": "Ohio\r\n<b>",
        "token": lee.token("/shop"),
        "submission": "late",
        "revision": "0",
    }
    run_out(book)
    headers = {"Origin": "http://testserver", "Referer": "http://testserver/shop?x=1"}
    lost = lee.client.post("/shop", data=form, headers=headers)
    assert lost.status_code == 401
    assert "Not saved yet: you were signed out" in lost.text
    assert "30 minutes" in lost.text
    door = hidden(lost.text)
    assert door["then"] == "/shop?x=1"
    wrong = lee.client.post(
        "/people/sign-in", data={**door, "name": "Lee", "passphrase": "no"}, headers=headers
    )
    assert (wrong.status_code, hidden(wrong.text)["carried"]) == (422, door["carried"])
    sign_in = {**door, "name": "Lee", "passphrase": PASSPHRASE}
    page = lee.client.post("/people/sign-in", data=sign_in, headers=headers)
    assert page.status_code == 200
    assert 'action="/shop"' in page.text
    assert "Ohio" in page.text and "<b>" not in page.text
    assert hidden(page.text) == form
    late = {**hidden(page.text), "law_place": "Ohio"}
    assert lee.client.post("/shop", data=late, headers=headers).status_code == 303
    assert 'value="Ohio"' in lee.get("/shop").text


def test_another_person_does_not_save_what_somebody_else_typed(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    people.add_person(book, act(), NewPerson("Ada", Role.LEAD, PASSPHRASE))
    form = {**FORM, "law_place": "Ohio", "token": lee.token("/shop"), "revision": "0"}
    run_out(book)
    headers = {"Origin": "http://testserver"}
    door = hidden(lee.client.post("/shop", data=form, headers=headers).text)
    sign_in = {**door, "name": "Ada", "passphrase": PASSPHRASE}
    page = lee.client.post("/people/sign-in", data=sign_in, headers=headers)
    assert lee.client.post("/shop", data=hidden(page.text), headers=headers).status_code == 403


def test_a_stranger_and_an_empty_or_endless_form_are_just_sent_to_the_door(
    signed: Callable[[str], Browser], book: Engine, app: FastAPI
) -> None:
    headers = {"Origin": "http://testserver"}
    stranger = TestClient(app, follow_redirects=False)
    assert stranger.post("/shop", data={"law_place": "x"}, headers=headers).status_code == 303
    lee = signed("Lee")
    run_out(book)
    assert lee.client.post("/shop", data={}, headers=headers).status_code == 303
    lost = lee.client.post("/shop", data={"address": "x" * 30_000}, headers=headers)
    assert lost.headers["location"] == "/people/sign-in?then=/&ended=yes"
    assert "Not saved: you were signed out" in lee.client.get(lost.headers["location"]).text


@pytest.mark.parametrize("text", ["", "x", "[]", "{}", "[1,2,3]", '["/", [["a"]], false]', "[" * 9000])
def test_a_carried_text_that_is_not_ours_is_nothing(text: str) -> None:
    assert carried(text) is None


def test_passphrases_are_not_carried_and_files_are_told() -> None:
    sent = Sent([("name", "Ada"), ("passphrase", OTHER), ("again", OTHER), ("old", OTHER)], {"photo": [b"x"]})
    found = carry("/people", sent)
    assert (found.pairs, found.files) == ((("name", "Ada"),), True)
    assert carried(found.text) == found


def test_what_is_carried_is_told_by_its_fields_in_words() -> None:
    found = carry("/shop", Sent([("token", "t"), ("law_place", "Ohio"), ("cold-psi", "65"), ("note", "")]))
    assert found.said == [("law place", "Ohio"), ("cold psi", "65")]


def test_a_page_asked_for_after_the_session_ran_out_says_nothing_of_a_loss(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    run_out(book)
    asked = lee.get("/?find=412").headers["location"]
    assert asked == "/people/sign-in?then=/%3Ffind%3D412"
    assert "signed out" not in lee.client.get(asked).text


def test_htmx_is_told_401_and_keeps_its_page(signed: Callable[[str], Browser], book: Engine) -> None:
    lee = signed("Lee")
    run_out(book)
    headers = {"HX-Request": "true", "Origin": "http://testserver"}
    assert lee.client.post("/people", data={}, headers=headers).status_code == 401


def test_the_door_keeps_the_name_and_never_the_passphrase(app: FastAPI, book: Engine) -> None:
    client = TestClient(app)
    sent = {"name": "Toni", "passphrase": "not the right one", "then": "/shop", "ended": "yes"}
    answer = client.post("/people/sign-in", data=sent, headers={"Origin": "http://testserver"})
    assert answer.status_code == 422
    assert "not the right one" not in answer.text
    assert 'value="Toni"' in answer.text
    assert 'name="then" value="/shop"' in answer.text
    assert "you were signed out" in answer.text


# --- as a browser meets it ----------------------------------------------------------------------


def test_a_lead_sees_where_a_person_is_signed_in_and_ends_it(signed: Callable[[str], Browser]) -> None:
    lee, toni = signed("Lee"), signed("Toni")
    assert '<a href="/people/3">Toni</a>' in lee.get("/people").text
    assert "Sign Toni out everywhere" in lee.get("/people/3").text
    assert lee.post("/people/3/sign-outs", {}).headers["location"] == "/people/3"
    assert "Nowhere now." in lee.get("/people/3").text
    assert toni.get("/people").status_code == 303


def test_a_lead_lets_go_and_takes_back(signed: Callable[[str], Browser], book: Engine) -> None:
    lee = signed("Lee")
    assert lee.post("/people/3/leave", {"revision": "0"}).status_code == 303
    assert "does not work here any more" in lee.get("/people").text
    late = lee.post("/people/3/leave", {"revision": "0"})
    assert late.status_code == 409
    assert re.search(r"Not saved: Lee saved first, [^<]*\(let go\)", late.text)
    assert "<b>does not work here any more</b>" in late.text
    assert lee.post("/people/3/return", {"revision": "1"}).status_code == 303
    assert person(book, TONI).active


def test_the_last_lead_is_told_why_not(signed: Callable[[str], Browser], book: Engine) -> None:
    answer = signed("Lee").post("/people/1/leave", {"revision": "0"})
    assert answer.status_code == 422
    assert "Lee is the only lead here" in answer.text
    assert person(book, LEE).active


def test_a_person_works_in_another_role_from_the_next_page_on(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee, toni = signed("Lee"), signed("Toni")
    assert toni.get("/people/1").status_code == 403
    assert re.search(r'value="technician" checked', lee.get("/people/3").text)
    assert lee.post("/people/3/role", {"role": "lead", "revision": "0"}).status_code == 303
    assert person(book, TONI).role == Role.LEAD
    assert toni.get("/people/1").status_code == 200
    assert newest_receipt(book).act == "give role"


def test_the_last_lead_stays_a_lead_until_there_is_another(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    refused = lee.post("/people/1/role", {"role": "writer", "revision": "0"})
    assert refused.status_code == 422
    assert "Lee is the only lead here" in refused.text
    assert re.search(r'value="writer" checked', refused.text)  # what was tapped is kept
    staff.give_role(book, act(), WREN, Role.LEAD)
    assert lee.post("/people/1/role", {"role": "writer", "revision": "0"}).status_code == 303
    assert lee.get("/people/3").status_code == 403


@pytest.mark.parametrize("role", ["", "owner", "LEAD"])
def test_a_role_that_the_shop_does_not_know_is_refused(
    role: str, signed: Callable[[str], Browser], book: Engine
) -> None:
    answer = signed("Lee").post("/people/3/role", {"role": role, "revision": "0"})
    assert answer.status_code == 422
    assert 'id="role-fix"' in answer.text
    assert person(book, TONI).role == Role.TECHNICIAN


def test_a_role_given_too_late_is_shown_beside_what_stands(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    lee.post("/people/3/role", {"role": "writer", "revision": "0"})
    late = lee.post("/people/3/role", {"role": "lead", "revision": "0"})
    assert late.status_code == 409
    assert "In the book now: <b>Writer</b>" in late.text
    assert re.search(r'value="lead" checked', late.text)


def test_a_passphrase_set_by_a_lead_is_refused_in_words_and_never_shown_again(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    lee = signed("Lee")
    short = lee.post(
        "/people/3/passphrase", {"passphrase": "fourteen signs", "again": "other", "revision": "0"}
    )
    assert short.status_code == 422
    assert "at least 15 characters" in short.text  # NIST SP 800-63B-4
    assert "The two do not match" in short.text
    assert "fourteen signs" not in short.text
    assert lee.post("/people/3/passphrase", {**TWICE, "revision": "0"}).status_code == 303
    assert people.sign_in(book, "Toni", OTHER, "x", people_now())


def test_everyone_changes_their_own_passphrase_and_signs_in_anew(
    signed: Callable[[str], Browser], book: Engine
) -> None:
    toni = signed("Toni")
    page = toni.get("/people/passphrase")
    assert page.status_code == 200
    empty = toni.post("/people/passphrase", {"old": "", "passphrase": "short", "again": "other"}).text
    for field in ("old", "passphrase", "again"):
        assert f'<a href="#{field}">' in empty
    wrong = toni.post("/people/passphrase", {**TWICE, "old": "not this one"})
    assert wrong.status_code == 422
    assert "This is not your passphrase of now" in wrong.text
    assert 'aria-describedby="old-fix"' in wrong.text
    assert "not this one" not in wrong.text and OTHER not in wrong.text
    right = toni.post("/people/passphrase", {**TWICE, "old": PASSPHRASE})
    assert right.headers["location"] == "/people/sign-in"
    assert toni.get("/people").status_code == 303
    assert people.sign_in(book, "Toni", OTHER, "x", people_now())


@pytest.mark.parametrize("name", ["Wren", "Toni"])
def test_only_a_lead_looks_after_others(name: str, signed: Callable[[str], Browser], book: Engine) -> None:
    browser = signed(name)
    assert browser.get("/people/1").status_code == 403
    for what in ("sign-outs", "leave", "return", "role", "passphrase"):
        assert browser.post(f"/people/1/{what}", TWICE).status_code == 403
    assert person(book, LEE).active
    with reading(book) as session:
        assert all(each.ended_at is None for each in session.exec(select(SignIn)))


@pytest.mark.parametrize("key", ["99", str(2**63), "x", "-1"])
def test_nobody_of_that_number(key: str, signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    assert lee.get(f"/people/{key}").status_code == 404
    for what in ("sign-outs", "leave", "return", "role", "passphrase"):
        assert lee.post(f"/people/{key}/{what}", TWICE).status_code == 404

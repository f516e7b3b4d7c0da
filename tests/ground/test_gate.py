"""The gate, as a browser and as a stranger meet it."""

from collections.abc import Callable

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from tests.conftest import Browser


def test_a_stranger_is_sent_to_sign_in_and_back(app: FastAPI) -> None:
    answer = TestClient(app, follow_redirects=False).get("/people")
    assert answer.status_code == 303
    assert answer.headers["location"] == "/people/sign-in?then=/people"


def test_people_page_is_shown_to_everyone_who_works_here(signed: Callable[[str], Browser]) -> None:
    for name in ("Lee", "Wren", "Toni"):
        answer = signed(name).get("/people")
        assert answer.status_code == 200
        assert name in answer.text


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Origin": "http://evil.test"}, 403),
        ({"Origin": "null"}, 403),
        ({}, 403),  # a browser always says its origin on a post
        ({"Origin": "http://testserver:81"}, 403),  # another port is another program
        ({"Origin": "http://testserver", "Sec-Fetch-Site": "cross-site"}, 403),
        ({"Origin": "http://testserver", "Sec-Fetch-Site": "same-site"}, 403),
        ({"Host": "evil.test", "Origin": "http://evil.test"}, 400),
    ],
)
def test_a_form_from_elsewhere_changes_nothing(
    signed: Callable[[str], Browser], headers: dict[str, str], status: int
) -> None:
    lee = signed("Lee")
    form = {
        "token": lee.token("/people"),
        "name": "Mallory",
        "role": "lead",
        "passphrase": "x" * 20,
        "again": "x" * 20,
    }
    assert lee.client.post("/people", data=form, headers=headers).status_code == status
    assert "Mallory" not in lee.get("/people").text


def test_a_form_without_the_sessions_token_changes_nothing(signed: Callable[[str], Browser]) -> None:
    lee, toni = signed("Lee"), signed("Toni")
    form = {"name": "Mallory", "role": "lead", "passphrase": "x" * 20, "again": "x" * 20}
    for token in ("", toni.token("/people")):
        answer = lee.client.post(
            "/people", data={**form, "token": token}, headers={"Origin": "http://testserver"}
        )
        assert answer.status_code == 403
    assert "Mallory" not in lee.get("/people").text


def test_a_lead_adds_a_person_once(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    form = {
        "name": "Ada",
        "role": "technician",
        "passphrase": "x" * 20,
        "again": "x" * 20,
        "submission": "one",
    }
    assert lee.post("/people", form).status_code == 303
    assert lee.post("/people", form).status_code == 303
    assert lee.get("/people").text.count("Ada") == 1


def test_a_technician_may_not_add_people(signed: Callable[[str], Browser]) -> None:
    assert signed("Toni").post("/people", {"name": "Ada"}).status_code == 403


def test_headers_of_safety_stand_on_every_answer(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    for path in ("/people", "/static/icon.svg", "/nowhere"):
        answer = lee.get(path)
        assert answer.headers["content-security-policy"].startswith("default-src 'none'")
        assert answer.headers["x-content-type-options"] == "nosniff"
    assert lee.get("/people").headers["cache-control"] == "no-store"

"""The figures as JSON: the same as the page, problems by field, the description, the gate."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx import Response

from app.trade.figure import Worked
from app.workbench.api import described
from app.workbench.entry import Figure, Kind
from app.workbench.model import model_of, plain_value, text_of, texts_of
from app.workbench.registry import all_figures
from tests.conftest import Browser
from tests.workbench.asking import asked

Signed = Callable[[str], Browser]
FIGURES = list(all_figures().values())


def sent(browser: Browser, key: str, body: object, *, token: str | None = None) -> Response:
    """A body sent as a script of our own page sends it."""
    with_token = browser.token("/people") if token is None else token
    headers = {"Origin": "http://testserver", "X-Token": with_token, "Content-Type": "application/json"}
    text = body if isinstance(body, str) else json.dumps(body)
    return browser.client.post(f"/api/figures/{key}", content=text, headers=headers)


def example(figure: Figure) -> dict[str, object]:
    """The example of a figure as a body: boxes as booleans, lists as lists."""
    body: dict[str, object] = {}
    for each in figure.fields:
        if each.kind is Kind.YES:
            body[each.name] = each.example == "yes"
        elif each.kind is Kind.NUMBERS:
            body[each.name] = each.example.split()
        else:
            body[each.name] = each.example
    return body


def told(figures: tuple[Worked[object], ...]) -> list[tuple[str, str, str]]:
    """Name, words and formula of figures."""
    return [(each.name, each.says, each.formula) for each in figures]


def test_every_figure_answers_as_its_page_does(signed: Signed) -> None:
    toni = signed("Toni")
    token = toni.token("/people")
    for figure in FIGURES:
        answer = sent(toni, figure.key, example(figure), token=token)
        assert answer.status_code == 200, (figure.key, answer.text)
        found = answer.json()
        assert (found["key"], found["title"]) == (figure.key, figure.title)
        assert [(each["name"], each["says"], each["formula"]) for each in found["figures"]] == told(
            asked(figure.key)
        )
        asking = toni.client.get(f"/api/figures/{figure.key}", params=figure.examples)
        assert asking.json() == found


def test_a_figure_says_its_verdict_in_words(signed: Signed) -> None:
    answer = sent(signed("Toni"), "end-play", {"play": 0.5, "play-unit": "mm", "axle": "light"})
    verdict = answer.json()["figures"][0]["verdict"]
    assert verdict == {
        "grade": "needs",
        "word": "Needs work",
        "says": "Over 0.010 in: adjust",
        "by": "before towing",
    }


def test_numbers_may_be_numbers_and_keep_their_digits(signed: Signed) -> None:
    toni = signed("Toni")
    answer = sent(toni, "star", {"studs": 6})
    assert answer.json()["figures"][0]["value"] == [1, 4, 6, 3, 5, 2]  # opposite pairs: common practice
    line = sent(toni, "line-amount", {"quantity": 1.4, "price": 95, "per": 1}).json()["figures"][0]
    assert (line["says"], line["value"]) == ("133.00", {"minor": 13300})


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"studs": 99}, "studs"),
        ({"studs": "NaN"}, "studs"),
        ('{"studs": NaN}', "studs"),
        ('{"studs": 1e400}', "studs"),
        ('{"studs": ' + "9" * 4000 + "}", "studs"),
        ({"studs": None}, "studs"),
        ({"studs": True}, "studs"),
        ({"studs": [6]}, "studs"),
        ({"studs": {"a": 1}}, "studs"),
        ({"studs": "\ud800"}, "studs"),
        ({"studs": "6\x00"}, "studs"),
        ({"studs": "x" * 1_000_000}, "studs"),
        ({}, "studs"),
        ({"studs": 6, "more": 1}, "more"),
        ({"studs": 6, "\ud800": 1}, ""),  # no text at all
        ([], ""),
        ("", ""),
        ("{", ""),
        ("[" * 100_000, ""),
        ("null", ""),
        ({"studs": 6, "confirm": "studs"}, "confirm"),
    ],
    ids=lambda it: str(it)[:30],
)
def test_what_is_wrong_is_a_list_of_problems_by_field(signed: Signed, body: object, field: str) -> None:
    answer = sent(signed("Toni"), "star", body)
    assert answer.status_code == 422
    problems = answer.json()["problems"]
    assert [each["field"] for each in problems] == [field]
    assert problems[0]["says"]


def test_all_problems_come_at_once(signed: Signed) -> None:
    answer = sent(signed("Toni"), "gas-pressure", {"warm": "x", "air": "-1"})
    assert {each["field"] for each in answer.json()["problems"]} == {"warm", "air"}


def test_an_unlikely_value_is_asked_and_kept_when_confirmed(signed: Signed) -> None:
    toni = signed("Toni")
    answer = sent(toni, "passes", {"aim": 400})
    assert answer.json()["problems"][0]["ask"] is True
    assert sent(toni, "passes", {"aim": 400, "confirm": ["aim"]}).status_code == 200


def test_the_list_tells_fields_with_units_and_limits(signed: Signed) -> None:
    found = signed("Wren").client.get("/api/figures").json()["figures"]
    assert [each["key"] for each in found] == list(all_figures())
    play = next(each for each in found if each["key"] == "end-play")["fields"][0]
    assert (play["name"], play["units"], play["least"], play["most"]) == ("play", ["in", "mm"], "0", "1")


# The gate


STRANGERS = [
    ("GET", "/api/figures"),
    ("GET", "/api/figures/openapi.json"),
    ("GET", "/api/figures/star?studs=6"),
    ("GET", "/api/figures/nothing"),
    ("POST", "/api/figures/star"),
    ("POST", "/api/figures/nothing"),
]


@pytest.mark.parametrize(("method", "path"), STRANGERS)
@pytest.mark.parametrize("extra", [{}, {"HX-Request": "true"}, {"Accept": "text/html"}])
def test_a_stranger_is_told_so_in_json_not_sent_to_the_sign_in_page(
    app: FastAPI, method: str, path: str, extra: dict[str, str]
) -> None:
    """RFC 9110, 15.5.2: 401 where what is asked for needs a sign-in first; no redirect to a page."""
    client = TestClient(app, follow_redirects=False)
    headers = {"Origin": "http://testserver", **extra}
    answer = client.request(method, path, json={"studs": 6} if method == "POST" else None, headers=headers)
    assert answer.status_code == 401
    assert_plain_problem(answer, "Sign in first.")


def test_a_session_that_ended_is_told_so_in_json(signed: Signed) -> None:
    toni = signed("Toni")
    token = toni.token("/people")
    toni.client.cookies.set("castlenut", "x" * 43)
    answer = sent(toni, "star", {"studs": 6}, token=token)
    assert answer.status_code == 401
    assert_plain_problem(answer, "Sign in first.")


def assert_plain_problem(answer: Response, says: str) -> None:
    """A JSON problem without a field, in the shape of all problems, kept nowhere."""
    assert answer.headers["content-type"].startswith("application/json")
    assert answer.headers["cache-control"] == "no-store"
    assert answer.json() == {"problems": [{"field": "", "says": says, "accepts": "", "ask": False}]}


def test_every_refusal_is_json(signed: Signed) -> None:
    toni = signed("Toni")
    assert_plain_problem(toni.client.get("/api/figures/nothing"), "There is no such figure.")
    assert_plain_problem(toni.client.get("/api/nothing"), "There is no such page.")
    without = toni.client.post("/api/figures/star", json={}, headers={"Origin": "http://testserver"})
    assert without.status_code == 403
    assert_plain_problem(without, "The header X-Token is not this session's. Open a page anew.")
    other = toni.client.put("/api/figures/star", headers={"Origin": "http://testserver"})
    assert other.status_code == 405
    assert_plain_problem(other, "This page cannot be asked for that way.")


@pytest.mark.parametrize("token", ["", "x", "x" * 100_000])
def test_a_post_needs_the_token_of_the_session(signed: Signed, token: str) -> None:
    assert sent(signed("Toni"), "star", {"studs": 6}, token=token).status_code in (403, 431)


def test_a_token_of_another_person_is_refused(signed: Signed) -> None:
    other = signed("Wren").token("/people")
    assert sent(signed("Toni"), "star", {"studs": 6}, token=other).status_code == 403


def test_a_post_from_elsewhere_is_refused(signed: Signed) -> None:
    toni = signed("Toni")
    headers = {"Origin": "http://elsewhere.example", "X-Token": toni.token("/people")}
    assert toni.client.post("/api/figures/star", json={"studs": 6}, headers=headers).status_code == 403


def test_a_figure_that_is_not_there_is_not_found(signed: Signed) -> None:
    toni = signed("Toni")
    assert toni.client.get("/api/figures/nothing").status_code == 404
    assert sent(toni, "nothing", {}).status_code == 404


# The description


@pytest.fixture(scope="module")
def openapi() -> dict[str, Any]:
    """The OpenAPI description."""
    return described()


def test_the_description_names_every_figure_with_its_model(openapi: dict[str, Any]) -> None:
    assert openapi["openapi"].startswith("3.1")
    paths = set(openapi["paths"])
    assert paths == {"/api/figures", *(f"/api/figures/{key}" for key in all_figures())}
    for figure in FIGURES:
        told_ = openapi["paths"][f"/api/figures/{figure.key}"]
        assert told_["post"]["summary"] == figure.title
        if figure.fields:
            assert {each["name"] for each in told_["get"]["parameters"]} >= {
                each.name for each in figure.fields
            }


def test_every_reference_of_the_description_leads_somewhere(openapi: dict[str, Any]) -> None:
    schemas = openapi["components"]["schemas"]
    for reference in references(openapi):
        assert reference.removeprefix("#/components/schemas/") in schemas


def references(part: object) -> Iterator[str]:
    """Every `$ref` in a description."""
    if isinstance(part, dict):
        for name, value in part.items():
            yield from [value] if name == "$ref" else references(value)
    elif isinstance(part, list):
        for each in part:
            yield from references(each)


def test_a_schema_tells_units_choices_and_what_is_needed(openapi: dict[str, Any]) -> None:
    schema = openapi["components"]["schemas"]["EndPlay"]
    assert schema["required"] == ["play", "axle"]
    assert schema["properties"]["play-unit"]["enum"] == ["in", "mm"]
    assert schema["properties"]["axle"]["enum"] == ["light", "heavy"]
    assert "0 to 1" in schema["properties"]["play"]["description"].replace("\xa0", " ")
    assert schema["additionalProperties"] is False


def test_the_description_is_served(signed: Signed, openapi: dict[str, Any]) -> None:
    assert signed("Toni").client.get("/api/figures/openapi.json").json() == json.loads(json.dumps(openapi))


# Models


def test_a_body_becomes_the_texts_of_the_form() -> None:
    figure = all_figures()["end-play"]
    body = {"play": 1e-3, "play-unit": "mm", "axle": "light", "confirm": ["play", "gone"]}
    checked = model_of(figure.key, figure).model_validate(body)
    texts = texts_of(checked.model_dump(by_alias=True))
    assert texts["play"] == "0.001"
    assert texts["play-unit"] == "mm"
    assert texts["confirm-play"] == "0.001"
    assert "confirm-gone" not in texts


@pytest.mark.parametrize(
    ("value", "text"),
    [(True, "yes"), (False, ""), (1.5, "1.5"), (6, "6"), ([1, "2 1/2"], "1; 2 1/2"), ("\ud800", "?")],
)
def test_a_value_is_what_a_person_would_have_typed(value: object, text: str) -> None:
    assert text_of(value) == text


def test_every_value_of_the_trade_can_be_said_in_json() -> None:
    for figure in FIGURES:
        for worked in asked(figure.key):
            json.dumps(plain_value(worked.value))

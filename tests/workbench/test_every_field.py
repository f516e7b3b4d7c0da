"""Every field of every entry: odd input by page, by JSON and by post; the same answer by every way."""

import json
from collections.abc import Iterator
from decimal import Decimal
from html import unescape
from typing import Any
from urllib.parse import urlencode

import lxml.html
import pytest
from httpx import Response

from app.trade.quantity import UNITS, read_number
from app.workbench.api import described
from app.workbench.entry import Field, Figure, Kind
from app.workbench.registry import all_figures
from app.workbench.rules import example_query
from tests.conftest import Browser
from tests.workbench.asking import asked, refused

FIGURES = list(all_figures().values())
FIELDS = [(figure, field) for figure in FIGURES for field in figure.fields]
MEASURED = [(figure, field) for figure, field in FIELDS if field.kind in (Kind.NUMBER, Kind.WHOLE)]
CHOSEN = [(figure, field) for figure, field in FIELDS if field.kind is Kind.CHOICE]
LISTS = [(figure, field) for figure, field in FIELDS if field.kind is Kind.NUMBERS]
DAYS = [(figure, field) for figure, field in FIELDS if field.kind in (Kind.DAY, Kind.MONTH)]
WITH_UNITS = [(figure, field) for figure, field in FIELDS if len(field.units) > 1]

SCRIPT = "<script>alert(1)</script>"
NO_NUMBERS = ("ten", "1.2.3", "1,250", "--4", "1/0", "0x10", "1e3", "NaN", "Infinity", "½½", SCRIPT, "\u0663")
NO_DAYS = ("tomorrow", "2026-13-01", "2026-02-30", "04/05/2026 noon", "20260504x", "0", SCRIPT)


def named(it: object) -> str:
    """The name of a parameter in a test's own name."""
    return it.key if isinstance(it, Figure) else it.name if isinstance(it, Field) else ""


def by_field(figure: Figure, field: Field, text: str) -> list[str]:
    """The fields that are refused where one text of an example is changed."""
    return [each.field for each in refused(figure.key, {field.name: text})]


# The rules of each kind of field


@pytest.mark.parametrize(("figure", "field"), MEASURED, ids=named)
def test_a_number_that_is_none_is_refused_at_its_field(figure: Figure, field: Field) -> None:
    for text in NO_NUMBERS:
        assert by_field(figure, field, text) == [field.name], text


@pytest.mark.parametrize(("figure", "field"), MEASURED, ids=named)
def test_a_number_past_its_ends_is_refused_with_what_is_accepted(figure: Figure, field: Field) -> None:
    step = Decimal(1) if field.kind is Kind.WHOLE else Decimal("0.001")
    for text in (f"{read_number(field.least) - step:f}", f"{read_number(field.most) + step:f}"):
        (problem,) = refused(figure.key, {field.name: text})
        assert problem.field == field.name
        assert not problem.ask
        assert field.least in problem.accepts.replace(",", "")


@pytest.mark.parametrize(("figure", "field"), CHOSEN, ids=named)
def test_every_choice_is_taken_and_no_other(figure: Figure, field: Field) -> None:
    for value, word in field.options:
        assert word
        for problem in refused(figure.key, {field.name: value}):
            assert problem.field in {each.name for each in figure.fields}
            assert "is not one of the choices" not in problem.says
    for text in ("something else", SCRIPT, "0x"):
        assert by_field(figure, field, text)[0] == field.name


@pytest.mark.parametrize(("figure", "field"), LISTS, ids=named)
def test_a_list_is_refused_as_a_whole_at_its_field(figure: Figure, field: Field) -> None:
    fewest, most = field.counts
    texts = ["; ".join([field.example.split()[0]] * (most + 1)), "one two", f"{field.example}; x", "1 3/8 2"]
    if fewest > 1:
        texts.append(field.example.replace(";", " ").split()[0])
    for text in texts:
        assert by_field(figure, field, text)[0] == field.name, text


@pytest.mark.parametrize(("figure", "field"), DAYS, ids=named)
def test_a_day_that_is_none_is_refused_at_its_field(figure: Figure, field: Field) -> None:
    for text in NO_DAYS:
        assert by_field(figure, field, text) == [field.name], text


@pytest.mark.parametrize(("figure", "field"), WITH_UNITS, ids=named)
def test_a_unit_of_another_kind_is_refused_at_its_field(figure: Figure, field: Field) -> None:
    for unit in ("parsec", "V" if field.unit != "V" else "psi", SCRIPT):
        assert [each.field for each in refused(figure.key, {f"{field.name}-unit": unit})] == [field.name]


@pytest.mark.parametrize("figure", FIGURES, ids=named)
def test_an_empty_form_names_every_needed_field_and_no_other(figure: Figure) -> None:
    problems = refused(figure.key, {each.name: "" for each in figure.fields})
    missing = {each.field for each in problems if "missing" in each.says}
    assert missing == {each.name for each in figure.fields if each.needed}


# Page and JSON


def body_of(figure: Figure) -> dict[str, object]:
    """The example of an entry as JSON: lists as lists, boxes as booleans, numbers as numbers."""
    return {each.name: _as_json(each) for each in figure.fields if each.example}


def _as_json(field: Field) -> object:
    if field.kind is Kind.YES:
        return True
    if field.kind is Kind.NUMBERS:
        return field.example.split()
    if field.kind is Kind.WHOLE:
        return int(field.example)
    return field.example


def posted(browser: Browser, figure: Figure, body: object, token: str) -> Response:
    """JSON sent as a script of our own page sends it."""
    headers = {"Origin": "http://testserver", "X-Token": token, "Content-Type": "application/json"}
    return browser.client.post(f"/api/figures/{figure.key}", content=json.dumps(body), headers=headers)


@pytest.fixture(scope="module")
def token(asking: Browser) -> str:
    """The form token of the session."""
    return asking.token("/people")


def address(figure: Figure, **changed: str) -> str:
    """The example of an entry as a link, with some fields changed."""
    return f"/workbench/{figure.key}?{urlencode(dict(example_query(figure)) | changed)}"


def control(text: str, name: str) -> lxml.html.HtmlElement:
    """The field of a name on a page."""
    found = lxml.html.document_fromstring(text.replace("\x00", "")).xpath(f'//*[@id="{name}"]')
    assert found, name
    return found[0]


@pytest.mark.parametrize("figure", FIGURES, ids=named)
def test_page_link_and_json_say_the_same(figure: Figure, asking: Browser, token: str) -> None:
    page = " ".join(unescape(asking.get(address(figure)).text).replace("\xa0", " ").split())
    told = posted(asking, figure, body_of(figure), token).json()
    linked = asking.client.get(f"/api/figures/{figure.key}", params=dict(example_query(figure))).json()
    assert told == linked
    for worked, ours in zip(told["figures"], asked(figure.key), strict=True):
        assert (worked["says"], worked["unit"]) == (ours.says, ours.unit)
        assert worked["source"] == str(ours.source)
        assert [each["name"] for each in worked["inputs"]] == [each.name for each in ours.inputs]
        assert " ".join(worked["formula"].split()) in page


@pytest.mark.parametrize("figure", [each for each in FIGURES if each.fields], ids=named)
def test_every_field_refused_is_said_beside_it_with_what_was_typed(figure: Figure, asking: Browser) -> None:
    """One page for all: each field is filled with what is none of its kind."""
    odd = {each.name: "\N{WRENCH} odd" for each in figure.fields if each.kind is not Kind.YES}
    page = asking.get(address(figure, **odd))
    assert page.status_code == 422
    for field in figure.fields:
        if field.name in odd and field.kind is not Kind.CHOICE:
            assert_beside(page.text, field, odd[field.name])


def assert_beside(text: str, field: Field, typed: str) -> None:
    """The field keeps what was typed; where it is refused, it says so beside itself."""
    shown = control(text, field.name)
    assert typed in (shown.get("value"), (shown.text or "").strip())
    if field.kind is Kind.TEXT:
        return  # some texts are taken as they are
    assert shown.get("aria-invalid") == "true", field.name
    assert f"{field.name}-fix" in shown.get("aria-describedby").split()
    fix = control(text, f"{field.name}-fix").text_content()
    assert "Accepted" in fix


@pytest.mark.parametrize("figure", [each for each in FIGURES if each.fields], ids=named)
def test_every_field_odd_by_json_is_a_problem_by_field(figure: Figure, asking: Browser, token: str) -> None:
    for odd in (None, {"a": 1}, [["x"]], "\N{WRENCH}"):
        body = {each.name: odd for each in figure.fields if each.kind is not Kind.TEXT}
        if not body:
            continue
        answer = posted(asking, figure, body_of(figure) | body, token)
        assert answer.status_code == 422, odd
        names = {each["field"] for each in answer.json()["problems"]}
        assert names <= {each.name for each in figure.fields}
        assert all(each["says"] for each in answer.json()["problems"])


@pytest.mark.parametrize("figure", FIGURES, ids=named)
def test_a_field_that_is_not_there_is_refused_by_json(figure: Figure, asking: Browser, token: str) -> None:
    answer = posted(asking, figure, body_of(figure) | {"more": 1}, token)
    assert [each["field"] for each in answer.json()["problems"]] == ["more"]
    assert answer.status_code == 422


# The description


@pytest.fixture(scope="module")
def openapi() -> dict[str, Any]:
    """The OpenAPI description, as it is read from the wire."""
    told: dict[str, Any] = json.loads(json.dumps(described()))
    return told


def schema_of(openapi: dict[str, Any], figure: Figure) -> dict[str, Any]:
    """The schema of the body of an entry."""
    content = openapi["paths"][f"/api/figures/{figure.key}"]["post"]["requestBody"]["content"]
    reference = content["application/json"]["schema"]["$ref"].rsplit("/", 1)[1]
    found: dict[str, Any] = openapi["components"]["schemas"][reference]
    return found


@pytest.mark.parametrize("figure", [each for each in FIGURES if each.fields], ids=named)
def test_a_schema_names_every_field_with_its_label_and_what_is_needed(
    figure: Figure, openapi: dict[str, Any]
) -> None:
    schema = schema_of(openapi, figure)
    for field in figure.fields:
        told = schema["properties"][field.name]
        assert field.label in told["description"]
        assert (field.name in schema.get("required", [])) == field.needed
        assert_of_its_kind(told, schema["properties"].get(f"{field.name}-unit"), field)
    assert schema["additionalProperties"] is False


def assert_of_its_kind(told: dict[str, Any], unit: dict[str, Any] | None, field: Field) -> None:
    """Choices are listed, units too, with the first as default."""
    if field.kind is Kind.CHOICE:
        assert set(words_of(told)) >= {value for value, _ in field.options}
    if len(field.units) > 1:
        assert unit is not None
        assert unit["enum"] == list(field.units)
        assert unit["default"] == field.unit
        assert set(unit["enum"]) <= set(UNITS)
    else:
        assert unit is None


def words_of(part: object) -> Iterator[str]:
    """Every listed value in a part of a schema."""
    if isinstance(part, dict):
        for name, value in part.items():
            yield from value if name == "enum" else words_of(value)
    elif isinstance(part, list):
        for each in part:
            yield from words_of(each)


@pytest.mark.parametrize("figure", FIGURES, ids=named)
def test_the_description_tells_the_ways_and_the_answers(figure: Figure, openapi: dict[str, Any]) -> None:
    told = openapi["paths"][f"/api/figures/{figure.key}"]
    assert set(told) == {"get", "post"}
    for way in told.values():
        assert (way["summary"], way["description"], way["tags"]) == (
            figure.title,
            figure.says,
            [figure.section],
        )
        assert {"200", "422"} <= set(way["responses"])
    assert len({told["get"]["operationId"], told["post"]["operationId"]}) == 2
    needed = {each["name"] for each in told["get"].get("parameters", []) if each["required"]}
    assert needed == {each.name for each in figure.fields if each.needed}

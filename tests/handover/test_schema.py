"""The record against its published schema, by a validator of our own: what it takes and what it does not."""

import copy
import json
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import Any

import pytest
from pydantic import ValidationError
from sqlalchemy import Engine

from app.ground.book import reading
from app.handover.facts import told
from app.handover.record import Record, schema
from app.handover.tables import Handover
from tests.handover.stays import HUB, NUTS, SOUND, carried, ready, stay, towed

SCHEMA = schema()
Json = Any  # a value as JSON has it
Path = tuple[str | int, ...]

# JSON Schema 2020-12, as far as the published one goes; a word that is not known here fails the test

SAYS_NOTHING = {"title", "description", "default", "$schema", "$defs", "examples"}
TYPES: dict[str, Callable[[Json], bool]] = {
    "object": lambda it: isinstance(it, dict),
    "array": lambda it: isinstance(it, list),
    "string": lambda it: isinstance(it, str),
    "boolean": lambda it: isinstance(it, bool),
    "null": lambda it: it is None,
    "integer": lambda it: isinstance(it, int) and not isinstance(it, bool),
    "number": lambda it: isinstance(it, int | float) and not isinstance(it, bool),
}
FORMATS: dict[str, Callable[[str], object]] = {
    "date": date.fromisoformat,
    "date-time": lambda text: datetime.fromisoformat(text.replace("Z", "+00:00")),
}


def wrong(it: Json, by: dict[str, Any], at: Path = ()) -> Iterator[str]:
    """What is wrong with a value by a schema, each with its place."""
    for word, asked in by.items():
        if word not in SAYS_NOTHING:
            yield from RULES[word](it, asked, by, at)


def _reference(it: Json, asked: str, _by: dict[str, Any], at: Path) -> Iterator[str]:
    yield from wrong(it, SCHEMA["$defs"][asked.removeprefix("#/$defs/")], at)


def _type(it: Json, asked: str, _by: dict[str, Any], at: Path) -> Iterator[str]:
    if not TYPES[asked](it):
        yield f"{at}: {it!r} is no {asked}"


def _enum(it: Json, asked: list[Json], _by: dict[str, Any], at: Path) -> Iterator[str]:
    if it not in asked:
        yield f"{at}: {it!r} is none of {asked}"


def _any_of(it: Json, asked: list[dict[str, Any]], _by: dict[str, Any], at: Path) -> Iterator[str]:
    if all(list(wrong(it, each, at)) for each in asked):
        yield f"{at}: {it!r} is none of its kinds"


def _required(it: Json, asked: list[str], _by: dict[str, Any], at: Path) -> Iterator[str]:
    if isinstance(it, dict):
        yield from (f"{at}: {name} is missing" for name in asked if name not in it)


def _properties(it: Json, asked: dict[str, Any], _by: dict[str, Any], at: Path) -> Iterator[str]:
    for name in asked if isinstance(it, dict) else ():
        if name in it:
            yield from wrong(it[name], asked[name], (*at, name))


def _additional(it: Json, asked: Json, by: dict[str, Any], at: Path) -> Iterator[str]:
    for name in set(it) - set(by.get("properties", {})) if isinstance(it, dict) else ():
        if asked is False:
            yield f"{at}: {name} is not known"
        elif isinstance(asked, dict):
            yield from wrong(it[name], asked, (*at, name))


def _items(it: Json, asked: dict[str, Any], _by: dict[str, Any], at: Path) -> Iterator[str]:
    for number, each in enumerate(it if isinstance(it, list) else ()):
        yield from wrong(each, asked, (*at, number))


def _format(it: Json, asked: str, _by: dict[str, Any], at: Path) -> Iterator[str]:
    try:
        FORMATS[asked](it)
    except (ValueError, AttributeError, TypeError):
        yield f"{at}: {it!r} is no {asked}"


RULES: dict[str, Callable[[Json, Any, dict[str, Any], Path], Iterator[str]]] = {
    "$ref": _reference,
    "type": _type,
    "enum": _enum,
    "anyOf": _any_of,
    "required": _required,
    "properties": _properties,
    "additionalProperties": _additional,
    "items": _items,
    "format": _format,
}


def record(book: Engine, key: int) -> Json:
    """The record of a handover, as it is enclosed in the paper."""
    with reading(book) as session:
        return json.loads(told(session.get_one(Handover, key)).model_dump_json())


@pytest.fixture
def whole(book: Engine) -> Json:
    """The record of a unit worked on, cleared, checked and towed."""
    return record(book, ready(book).hand_over())


def test_a_towed_unit_holds_to_the_schema(whole: Json) -> None:
    assert list(wrong(whole, SCHEMA)) == []


def test_a_carried_unit_holds_to_the_schema(book: Engine) -> None:
    held = record(book, stay(book, [*SOUND, NUTS]).hand_over(carried()))
    assert list(wrong(held, SCHEMA)) == []
    assert held["stops"]
    assert held["final_check"] is None


def test_a_unit_with_parts_not_looked_at_holds_to_the_schema(book: Engine) -> None:
    made = stay(book, [*SOUND, HUB])
    made.check()
    assert list(wrong(record(book, made.hand_over(towed(unseen_reason="drum stuck"))), SCHEMA)) == []


def test_an_empty_walk_round_holds_to_the_schema(book: Engine) -> None:
    assert list(wrong(record(book, stay(book, []).hand_over(carried())), SCHEMA)) == []


# What it does not take


def places(it: Json, at: Path = ()) -> Iterator[tuple[Path, Json]]:
    """Every place of a value, the whole first."""
    yield at, it
    inside = it.items() if isinstance(it, dict) else enumerate(it) if isinstance(it, list) else ()
    for name, each in inside:
        yield from places(each, (*at, name))


def shapes(it: Json) -> dict[str, tuple[Path, Json]]:
    """One place of each shape: `lines[].name` stands once, however many lines there are."""
    found: dict[str, tuple[Path, Json]] = {}
    for at, each in places(it):
        if "payload" in at[:-1]:  # a measured record has the form of its own kind
            continue
        found.setdefault(re.sub(r"\d+", "n", "/".join(map(str, at))), (at, each))
    return found


def changed(it: Json, at: Path, do: Callable[[Json, str | int], None]) -> Json:
    """A copy with one place changed."""
    made = copy.deepcopy(it)
    holder = made
    for step in at[:-1]:
        holder = holder[step]
    do(holder, at[-1])
    return made


def refused(it: Json) -> bool:
    """Whether the schema refuses a value; it takes nothing that the model does not read back."""
    by_schema = bool(list(wrong(it, SCHEMA)))
    try:
        Record.model_validate_json(json.dumps(it))
    except ValidationError:
        assert by_schema, "the schema takes what cannot be read back"
    return by_schema


def test_a_field_that_is_not_known_is_refused_wherever_it_stands(whole: Json) -> None:
    for shape, (at, each) in shapes(whole).items():
        if isinstance(each, dict) and not shape.endswith("payload"):
            assert refused(changed({"": whole}, ("", *at, "more"), put("x"))[""]), shape


def put(text: Json) -> Callable[[Json, str | int], None]:
    """Puts a value at a place."""

    def do(holder: Json, name: str | int) -> None:
        holder[name] = text

    return do


def needed(by: dict[str, Any]) -> Iterator[str]:
    """The names that a part of the schema asks for."""
    yield from by.get("required", [])


def test_a_record_without_a_needed_field_is_refused(whole: Json) -> None:
    assert set(needed(SCHEMA)) >= {"shop", "tag", "handed", "answer", "stops", "duties", "lines"}
    for name in needed(SCHEMA):
        assert refused({key: each for key, each in whole.items() if key != name}), name


@pytest.mark.parametrize("part", ["shop", "tag", "handed"])
def test_a_part_without_a_needed_field_is_refused(whole: Json, part: str) -> None:
    for name in needed(SCHEMA["$defs"][part.capitalize()]):
        assert refused({**whole, part: {key: it for key, it in whole[part].items() if key != name}}), name


def test_a_number_where_words_belong_is_refused(whole: Json) -> None:
    for shape, (at, each) in shapes(whole).items():
        if isinstance(each, str):
            assert refused(changed(whole, at, put(7))), shape


def test_words_where_a_number_belongs_are_refused(whole: Json) -> None:
    found = [
        at for at, each in shapes(whole).values() if isinstance(each, int) and not isinstance(each, bool)
    ]
    assert found
    for at in found:
        assert refused(changed(whole, at, put("seven"))), at


def test_a_list_in_place_of_a_part_is_refused(whole: Json) -> None:
    for shape, (at, each) in shapes(whole).items():
        if at and isinstance(each, dict) and not shape.endswith("payload"):
            assert refused(changed(whole, at, put([]))), shape


def test_a_part_in_place_of_a_list_is_refused(whole: Json) -> None:
    for shape, (at, each) in shapes(whole).items():
        if isinstance(each, list):
            assert refused(changed(whole, at, put({}))), shape


@pytest.mark.parametrize("grade", ["fine", "SOUND", "", "do not tow"])
def test_a_grade_that_there_is_not_is_refused(whole: Json, grade: str) -> None:
    line = {**whole["lines"][0], "state": grade}
    assert refused({**whole, "lines": [line, *whole["lines"][1:]]})


@pytest.mark.parametrize("day", ["31-08-2026", "2026-02-30", "soon", ""])
def test_a_day_that_there_is_not_is_refused(whole: Json, day: str) -> None:
    number = next(n for n, each in enumerate(whole["duties"]) if each["on"])
    duties = [{**each, "on": day} if n == number else each for n, each in enumerate(whole["duties"])]
    assert refused({**whole, "duties": duties})


def test_an_instant_without_its_hour_is_no_instant(whole: Json) -> None:
    assert refused({**whole, "handed": {**whole["handed"], "at": "yesterday"}})


def test_money_is_whole_minor_units(whole: Json) -> None:
    assert isinstance(whole["cost"]["gross"], int)
    assert refused({**whole, "cost": {**whole["cost"], "gross": 12.5}})


def test_the_reader_itself_knows_right_from_wrong() -> None:
    """The validator on examples of the standard's own pages: a product with a needed id and a price."""
    by = {
        "type": "object",
        "properties": {"id": {"type": "integer"}, "tags": {"type": "array", "items": {"type": "string"}}},
        "required": ["id"],
        "additionalProperties": False,
    }
    assert not list(wrong({"id": 1, "tags": ["a"]}, by))
    for odd in ({}, {"id": "1"}, {"id": 1.0, "more": 2}, {"id": 1, "tags": [1]}, [], None, {"id": True}):
        assert list(wrong(odd, by)), odd

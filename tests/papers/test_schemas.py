"""What papers enclose and exports hold for programs, against the schemas that are published for them.

Standing by the rule of `schemas.py`: what is published never changes, and is read for good.
"""

import copy
import json
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from pydantic import BaseModel

from app.handover.record import schema_of
from tests.handover.test_schema import wrong
from tests.papers.conftest import Printings
from tests.papers.schemas import KEPT, PUBLISHED, TOLD, file_of, fingerprint, format_of, shape

HOLD_ONE = {
    "handover": "handover/2",
    "not fit": "handover/2",
    "invoice": "bill/1",
    "walk-round": "inspection/1",
}
Json = Any  # a value as JSON has it


def published(version: str) -> Json:
    """A published schema."""
    return json.loads(file_of(version).read_text())


@pytest.mark.parametrize("told", TOLD, ids=format_of)
def test_the_published_schema_is_that_of_the_program(told: type[BaseModel]) -> None:
    kept, ours = published(format_of(told)), schema_of(told)
    assert shape(kept) == shape(ours), f"raise the version in the format of {told.__name__}"
    assert kept == ours, "words that describe: python -m tests.papers.schemas"


def test_no_published_version_has_changed() -> None:
    files = {path.stem.replace("-", "/"): json.loads(path.read_text()) for path in KEPT.glob("*.json")}
    assert {version: fingerprint(each) for version, each in files.items()} == PUBLISHED


# What changes a version, and what does not


def field(schema: Json) -> Json:
    return schema["$defs"]["Line"]["properties"]


CHANGES: Mapping[str, Callable[[Json], object]] = {
    "a field more": lambda it: field(it).update(color={"type": "string", "default": ""}),
    "a field fewer": lambda it: field(it).pop("note"),
    "another type": lambda it: field(it)["station"].update(type="string"),
    "no more asked for": lambda it: it["$defs"]["Line"]["required"].remove("got"),
    "a value more to choose": lambda it: it["$defs"]["Grade"]["enum"].append("odd"),
    "another value where it is left out": lambda it: field(it)["plain"].update(default=True),
    "anything may stand beside": lambda it: it["$defs"]["Line"].pop("additionalProperties"),
}
WORDS: Mapping[str, Callable[[Json], object]] = {
    "described more clearly": lambda it: it["$defs"]["Line"].update(description="One thing."),
    "another title": lambda it: field(it)["got"].update(title="What was got"),
    "another order": lambda it: it["$defs"]["Line"]["required"].reverse(),
    "another name of its class": lambda it: it.update(json.loads(json.dumps(it).replace("Line", "Row"))),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_of_what_a_record_may_hold_is_another_version(change: str) -> None:
    schema = published("handover/1")
    changed = copy.deepcopy(schema)
    CHANGES[change](changed)
    assert fingerprint(changed) != fingerprint(schema)


@pytest.mark.parametrize("change", WORDS)
def test_words_that_describe_are_no_other_version(change: str) -> None:
    schema = published("handover/1")
    changed = copy.deepcopy(schema)
    WORDS[change](changed)
    assert changed != schema
    assert fingerprint(changed) == fingerprint(schema)


# Records of every version are read


READERS = {format_of(told).partition("/")[0]: told for told in TOLD}
EXAMPLES: Mapping[str, Json] = {
    "string": "words",
    "integer": 7,
    "boolean": True,
    "date": "2026-05-04",
    "date-time": "2026-05-04T12:00:00Z",
}


def example(it: Json, *, whole: bool) -> Json:
    """A value that a schema lets stand: with every field, or with those alone that it asks for."""
    if "anyOf" in it:
        return example(it["anyOf"][0 if whole else -1], whole=whole)
    if "enum" in it:
        return it["enum"][-1 if whole else 0]
    if it["type"] == "array":
        return [example(it["items"], whole=whole)] if whole else []
    if it["type"] == "object":
        asked = it.get("properties", {}) if whole else it.get("required", ())
        return {name: example(it["properties"][name], whole=whole) for name in asked}
    return EXAMPLES.get(it.get("format", it["type"]))


@pytest.mark.parametrize("whole", [True, False])
@pytest.mark.parametrize("version", PUBLISHED)
def test_a_record_of_every_published_version_is_read(version: str, whole: bool) -> None:
    schema = shape(published(version))
    record = {**example(schema, whole=whole), "format": version}
    assert list(wrong(record, schema)) == []
    read = READERS[version.partition("/")[0]].model_validate_json(json.dumps(record))
    assert format_of(type(read)).partition("/")[0] == version.partition("/")[0]
    assert read.model_dump()["format"] == version


def faults(held: Json) -> list[str]:
    """What is wrong with a record by the published schema of the format that it names."""
    return list(wrong(held, shape(published(held["format"]))))


def test_every_record_inside_a_paper_holds_to_its_schema(printings: Printings) -> None:
    found: dict[str, str] = {}
    for (case, _), it in printings.items():
        with it.opened as pdf:
            files = {name: each.get_file().read_bytes() for name, each in pdf.attachments.items()}
        for held in (json.loads(content) for name, content in files.items() if name.endswith(".json")):
            assert faults(held) == []
            found[case] = held["format"]
    assert HOLD_ONE.items() <= found.items()


def test_a_record_that_does_not_hold_is_told(printings: Printings) -> None:
    with printings["walk-round", "letter"].opened as pdf:
        held = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert faults({**held, "more": 1})
    assert faults({**held, "lines": [{**held["lines"][0], "state": "odd"}]})
    assert faults({name: each for name, each in held.items() if name != "vin"})

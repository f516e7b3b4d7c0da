"""What papers enclose for programs, against the schemas that are published for them."""

import json
from typing import Any

import pytest
from pydantic import BaseModel

from app.handover.record import schema_of
from tests.handover.test_schema import wrong
from tests.papers.conftest import Printings
from tests.papers.schemas import KEPT, TOLD, file_of, format_of, inlined

HOLD_ONE = {
    "handover": "handover/1",
    "not fit": "handover/1",
    "invoice": "bill/1",
    "walk-round": "inspection/1",
}


@pytest.mark.parametrize("told", TOLD, ids=format_of)
def test_the_published_schema_is_that_of_the_program(told: type[BaseModel]) -> None:
    kept = json.loads(file_of(told).read_text())
    assert kept == schema_of(told), "python -m tests.papers.schemas"


def faults(held: Any) -> list[str]:  # noqa: ANN401 - as JSON has it
    """What is wrong with a record by the published schema of the format that it names."""
    schema = json.loads((KEPT / f"{held['format'].replace('/', '-')}.json").read_text())
    return list(wrong(held, inlined(schema, schema["$defs"])))


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

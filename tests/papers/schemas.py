"""The published schemas of what papers enclose and exports hold for programs, in `static/schemas/`.

A paper that has left names its format and version, and is read by that version's schema for good. So one
rule: a version rises with every change of what a record may hold or how a field is read. That is a field more
or fewer, asked for or not, of another type, with other values to choose from, or with another value where it
is left out. Words that only describe may be made clearer; names of classes and the order of fields do not
count. Every version stays published, and today's program reads the records of all.

`python -m tests.papers.schemas` writes the schemas of today's program. It refuses where one that is published
would hold something else: the version in `format` is raised first.
"""

import hashlib
import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from app.accounts.closing import Day
from app.accounts.document import Bill
from app.accounts.journal import Journal
from app.handover.inspected import Report
from app.handover.record import Record, schema_of

KEPT = Path(__file__).parents[2] / "static" / "schemas"
TOLD: tuple[type[BaseModel], ...] = (Record, Report, Bill, Day, Journal)
DESCRIBES = {"title", "description", "$schema", "$defs"}
NO_ORDER = {"required", "enum"}
PUBLISHED = {  # the fingerprint of each version: lines are added, none is ever changed
    "handover/1": "6fc382a2c93cde98",
    "handover/2": "a074b12de6262da1",
    "inspection/1": "5f2d9ee256210f24",
    "bill/1": "c6e72b180a596a93",
    "day/1": "7e0782e44de73c5b",
    "journal/1": "6d85f69c7d7eb8ce",
}


def format_of(told: type[BaseModel]) -> str:
    """Name and version of a format, as each record names it: `handover/1`."""
    return str(told.model_fields["format"].default)


def file_of(version: str) -> Path:
    """The file of a published schema."""
    return KEPT / f"{version.replace('/', '-')}.json"


def shape(schema: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as JSON has it
    """What a schema lets a record hold: each part in the place of its reference, no word that describes."""
    return _bare(schema, schema.get("$defs", {}))


def _bare(schema: Any, parts: Mapping[str, Any]) -> Any:  # noqa: ANN401
    if isinstance(schema, list):
        return [_bare(each, parts) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "$ref" in schema:
        schema = {**parts[schema["$ref"].removeprefix("#/$defs/")], **schema}
    return {
        word: _said(word, each, parts)
        for word, each in schema.items()
        if word not in DESCRIBES and word != "$ref"
    }


def _said(word: str, each: Any, parts: Mapping[str, Any]) -> Any:  # noqa: ANN401
    if word == "properties":  # names of fields, which may be those of words
        return {field: _bare(it, parts) for field, it in each.items()}
    return sorted(each) if word in NO_ORDER else _bare(each, parts)


def fingerprint(schema: Mapping[str, Any]) -> str:
    """The hash of what a schema lets a record hold, its first 16 digits."""
    return hashlib.sha256(json.dumps(shape(schema), sort_keys=True).encode()).hexdigest()[:16]


def renew() -> str | None:
    """Write the schemas of today's program; what is to be done about one that is not published as it is."""
    found = {format_of(told): schema_of(told) for told in TOLD}
    odd = {name: it for name, schema in found.items() if (it := fingerprint(schema)) != PUBLISHED.get(name)}
    for name in found.keys() - (odd.keys() & PUBLISHED.keys()):
        file_of(name).write_text(json.dumps(found[name], indent=1, ensure_ascii=False) + "\n")
    said = [
        f"{name} is published with other fields: raise the version in its `format`"
        if name in PUBLISHED
        else f'a version more for PUBLISHED: "{name}": "{it}",'
        for name, it in odd.items()
    ]
    return "\n".join(said) or None


if __name__ == "__main__":
    sys.exit(renew())

"""The published schemas of what papers enclose for programs, in `static/schemas/`.

`python -m tests.papers.schemas` renews them after a change that is meant.
"""

import json
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from app.accounts.document import Bill
from app.handover.inspected import Report
from app.handover.record import Record, schema_of

KEPT = Path(__file__).parents[2] / "static" / "schemas"
TOLD: tuple[type[BaseModel], ...] = (Record, Report, Bill)


def format_of(told: type[BaseModel]) -> str:
    """Name and version of a format, as each record names it: `handover/1`."""
    return str(told.model_fields["format"].default)


def file_of(told: type[BaseModel]) -> Path:
    """The file of a published schema."""
    return KEPT / f"{format_of(told).replace('/', '-')}.json"


def inlined(schema: Any, parts: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as JSON has it
    """A schema with each part that it refers to in the place of the reference."""
    if isinstance(schema, list):
        return [inlined(each, parts) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "$ref" in schema:
        return inlined(parts[schema["$ref"].removeprefix("#/$defs/")], parts)
    return {name: inlined(each, parts) for name, each in schema.items() if name != "$defs"}


def renew() -> None:
    """Write every schema anew."""
    for told in TOLD:
        file_of(told).write_text(json.dumps(schema_of(told), indent=1, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    sys.exit(renew())

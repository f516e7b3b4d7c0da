"""The JSON of the workbench: a model of each figure's fields, and what is answered."""

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, StrictBool, StrictFloat, StrictInt, StrictStr, create_model

from app.trade.figure import Verdict, Worked
from app.trade.problems import Problem
from app.workbench import entry
from app.workbench.entry import Figure, Kind

Bare = StrictStr | StrictInt | StrictFloat
TYPES: Mapping[Kind, Any] = {
    Kind.NUMBER: Bare,
    Kind.NUMBERS: StrictStr | list[Bare],
    Kind.WHOLE: Bare,
    Kind.MONEY: Bare,
    Kind.TEXT: Bare,
    Kind.CHOICE: StrictStr,
    Kind.YES: StrictBool | StrictStr,
    Kind.DAY: StrictStr,
    Kind.MONTH: StrictStr,
}


class Sent(BaseModel):
    """Base of what is sent: only fields of the figure; `confirm` names unlikely ones that are meant."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    confirm: list[StrictStr] = Field(default=[], description="Fields whose unlikely value is meant")


# What is answered


class SaidJson(BaseModel):
    """A name and what stands beside it."""

    name: str
    says: str


class VerdictJson(BaseModel):
    """A verdict: its grade as a key and as a word, its reason, and by when work is needed."""

    grade: str
    word: str
    says: str
    by: str = ""


class WorkedJson(BaseModel):
    """A worked figure. `value`: typed; numbers are texts, so that none loses a digit."""

    name: str
    value: Any
    says: str
    unit: str
    formula: str
    inputs: list[SaidJson]
    limit: str
    verdict: VerdictJson | None
    source: str
    caution: str


class AnswerJson(BaseModel):
    """What a figure answers."""

    key: str
    title: str
    figures: list[WorkedJson]


class ProblemJson(BaseModel):
    """One thing wrong with one field. `ask`: it is only unlikely; confirm the field to keep it."""

    field: str
    says: str
    accepts: str
    ask: bool


class ProblemsJson(BaseModel):
    """All that is wrong with what was sent."""

    problems: list[ProblemJson]


class FieldJson(BaseModel):
    """A field of a figure."""

    name: str
    label: str
    kind: str
    needed: bool
    units: list[str]
    least: str
    most: str
    options: list[str]
    example: str


class FigureJson(BaseModel):
    """A figure of the list."""

    key: str
    title: str
    section: str
    says: str
    fields: list[FieldJson]


class ListJson(BaseModel):
    """All figures of the workbench."""

    figures: list[FigureJson]


def worked_json(worked: Worked[object]) -> WorkedJson:
    """A worked figure as JSON; its words are those of the page."""
    return WorkedJson(
        name=worked.name,
        value=plain_value(worked.value),
        says=worked.says,
        unit=worked.unit,
        formula=worked.formula,
        inputs=[SaidJson(name=each.name, says=each.says) for each in worked.inputs],
        limit=worked.limit,
        verdict=verdict_json(worked.verdict) if worked.verdict else None,
        source=str(worked.source),
        caution=worked.caution,
    )


def verdict_json(verdict: Verdict) -> VerdictJson:
    """A verdict as JSON."""
    return VerdictJson(
        grade=verdict.grade.value,
        word=verdict.grade.word,
        says=verdict.says,
        by=verdict.by.word if verdict.by else "",
    )


def plain_value(value: object) -> object:
    """A value of the trade in what JSON knows: numbers as texts, records by field, the rest in words."""
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return [plain_value(each) for each in value]
    if isinstance(value, Mapping):
        return {str(name): plain_value(each) for name, each in value.items()}
    return _fields_of(value)


def _fields_of(value: object) -> object:
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain_value(getattr(value, each.name)) for each in fields(value)}
    return str(value)


def problem_json(problem: Problem) -> ProblemJson:
    """A problem as JSON."""
    return ProblemJson(field=problem.field, says=problem.says, accepts=problem.accepts, ask=problem.ask)


def figure_json(figure: Figure) -> FigureJson:
    """An entry as JSON."""
    told = [
        FieldJson(
            name=each.name,
            label=each.label,
            kind=each.kind.value,
            needed=each.needed,
            units=[unit for unit in each.units if unit],
            least=each.least,
            most=each.most,
            options=[value for value, _ in each.options],
            example=each.example,
        )
        for each in figure.fields
    ]
    return FigureJson(
        key=figure.key, title=figure.title, section=figure.section, says=figure.says, fields=told
    )


# What is sent


@cache
def model_of(key: str, figure: Figure) -> type[Sent]:
    """The model of a figure's fields: each with its words, limits, unit and example."""
    made: dict[str, Any] = {}
    for each in figure.fields:
        made |= _model_fields(each)
    name = "".join(word.capitalize() for word in key.split("-"))
    model: type[Sent] = create_model(name, __base__=Sent, __doc__=figure.says, **made)
    return model


def _model_fields(field: entry.Field) -> dict[str, Any]:
    more: dict[str, Any] = {"enum": [value for value, _ in field.options]} if field.options else {}
    told = Field(
        default=... if field.needed else "",
        title=field.label,
        description=f"{field.label}: {field.accepts}",
        examples=[field.example],
        json_schema_extra=more,
    )
    found: dict[str, Any] = {field.name: (TYPES[field.kind], told)}
    if len(field.units) > 1:
        unit = Field(field.unit, alias=f"{field.name}-unit", json_schema_extra={"enum": list(field.units)})
        found[f"{field.name}_unit"] = (StrictStr, unit)
    return found


def texts_of(sent: Mapping[str, object]) -> dict[str, str]:
    """What was sent as the texts of a form; a confirmed field confirms what it holds."""
    texts = {name: text_of(value) for name, value in sent.items() if name != "confirm"}
    confirmed = sent.get("confirm")
    names = confirmed if isinstance(confirmed, list) else []
    return texts | {f"confirm-{name}": texts.get(name, "").strip() for name in names if name in texts}


def text_of(value: object) -> str:
    """A JSON value as a person would have typed it; half a surrogate pair becomes a question mark."""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, list):
        return "; ".join(text_of(each) for each in value)
    if isinstance(value, float) and math.isfinite(value):
        return f"{Decimal(repr(value)):f}"
    return str(value).encode("utf-8", "replace").decode()

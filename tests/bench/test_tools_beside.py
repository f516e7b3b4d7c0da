"""Instruments out of date in every kind of record: asked once, kept when meant, printed beside the figure."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from app.bench.kinds import Context, RecordKind, Tool, record_kinds
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.bench.contexts import TOOLS, context
from tests.bench.every_kind import CASES
from tests.bench.filled import TOOLS as MORE_TOOLS
from tests.bench.test_kinds import DIAL, at
from tests.bench.test_paper_parts import Written, line, part

WITH_TOOL = sorted(key for key, form in CASES.items() if form.get("instrument"))
ALL = {str(tool.id): tool for tool in (*TOOLS, *MORE_TOOLS, DIAL)}
ON = date(2026, 5, 4)
LATE = date(2026, 3, 1)


def tool_of(key: str) -> Tool:
    return ALL[CASES[key]["instrument"]]


def with_due(key: str, due: date | None) -> tuple[RecordKind[Any], Context]:
    """A kind where its tool falls due on a day."""
    known = {"wheel_torque", "balance"}
    kind, here = (record_kinds()[key], context()) if key in known else at(key)
    return kind, replace(here, on=ON, tools=(replace(tool_of(key), due=due),))


def read(key: str, due: date | None, **more: str) -> Any:  # noqa: ANN401 - a payload of any kind
    kind, here = with_due(key, due)
    return kind.read(Texts(CASES[key] | {name.replace("_", "-"): text for name, text in more.items()}), here)


@pytest.mark.parametrize("key", WITH_TOOL)
def test_a_tool_past_its_date_is_asked_about_at_its_field(key: str) -> None:
    with pytest.raises(Refused) as refused:
        read(key, LATE)
    (problem,) = refused.value.problems
    assert (problem.field, problem.ask) == ("instrument", True)
    assert "1 March 2026" in problem.says


@pytest.mark.parametrize("key", WITH_TOOL)
def test_meant_all_the_same_it_is_kept_and_printed_beside_the_figure(key: str) -> None:
    record = read(key, LATE, confirm_instrument=CASES[key]["instrument"])
    said = str(record.instrument).replace("\xa0", " ")
    assert record.instrument.overdue
    assert tool_of(key).name in said
    assert "was due 1 March 2026, used all the same" in said
    assert said in part(key, "kept", line(Written(key, record, ())))


@pytest.mark.parametrize("key", WITH_TOOL)
@pytest.mark.parametrize("days", [0, 1, 365])
def test_on_its_last_day_and_before_it_nothing_is_asked(key: str, days: int) -> None:
    record = read(key, ON + timedelta(days=days))
    assert not record.instrument.overdue
    assert "all the same" not in str(record.instrument)


@pytest.mark.parametrize("key", WITH_TOOL)
def test_the_day_after_it_is_asked(key: str) -> None:
    with pytest.raises(Refused):
        read(key, ON - timedelta(days=1))


@pytest.mark.parametrize("key", WITH_TOOL)
def test_a_tool_without_a_date_is_taken(key: str) -> None:
    assert not read(key, None).instrument.overdue


@pytest.mark.parametrize("key", WITH_TOOL)
def test_a_tool_of_another_kind_measures_nothing_here(key: str) -> None:
    kind, here = with_due(key, None)
    strange = replace(tool_of(key), kind="tape")
    with pytest.raises(Refused) as refused:
        kind.read(Texts(CASES[key]), replace(here, tools=(strange,)))
    assert "instrument" in {problem.field for problem in refused.value.problems}


@pytest.mark.parametrize("key", WITH_TOOL)
def test_what_was_overdue_when_used_stays_so_in_the_kept_record(key: str) -> None:
    kind, _ = with_due(key, None)
    record = read(key, LATE, confirm_instrument=CASES[key]["instrument"])
    again = kind.kept(record.model_dump(mode="json"))
    assert str(again.instrument) == str(record.instrument)
    assert kind.texts(again)["instrument"] == CASES[key]["instrument"]


def test_a_form_begins_with_the_last_instrument_or_the_only_one_and_with_none_where_a_person_must_say() -> (
    None
):
    two = (Tool(1, "Wrench 1", "torque wrench"), Tool(2, "Wrench 2", "torque wrench"))
    last = {"instrument": {"id": 2}}
    assert replace(context(), tools=two, last=None).needed_tool(("torque wrench",)) == ""
    assert replace(context(), tools=two[:1], last=None).needed_tool(("torque wrench",)) == "1"
    assert replace(context(), tools=two, last=last).needed_tool(("torque wrench",)) == "2"
    assert replace(context(), tools=(), last=None).needed_tool(("torque wrench",)) == ""


def test_an_instrument_that_a_record_may_do_without_is_never_chosen_for_the_one_who_measures() -> None:
    kind, here = at("bearing_adjustment")
    assert kind.start(here)["instrument"] == ""


def test_the_grease_is_typed_once_on_a_stay() -> None:
    kind, here = at("bearing_adjustment")
    assert kind.start(here)["grease"] == ""
    assert kind.start(replace(here, last={"grease": "GC-LB, red"}))["grease"] == "GC-LB, red"


def test_a_thing_with_a_place_of_its_own_is_named_by_it() -> None:
    kind, here = at("marks_dates")
    assert kind.start(replace(here, place="cylinder-1", label="Cylinder 1"))["what"] == "Cylinder 1"
    assert kind.start(replace(here, place="unit", label="Whole unit"))["what"] == ""

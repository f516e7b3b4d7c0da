"""Timed leak test as a record: pressures in the range of the named gauge, in the unit of their test."""

from dataclasses import replace
from datetime import date

import pytest

from app.bench.kinds import Tool
from app.bench.records.leak_test import KIND
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.filled import GAUGE, WATER_GAUGE

PSI = Tool(11, "Test gauge", "pressure gauge", "psi", "0", "15", date(2027, 1, 1))
HERE = context(tools=(GAUGE, WATER_GAUGE, PSI))
FORM = {
    "test": "leak",
    "start": "9",
    "start_temperature": "70",
    "began": "10:05",
    "minutes": "3",
    "end": "9",
    "end_temperature": "70",
    "ended": "10:20",
    "soap": "dry",
    "instrument": str(GAUGE.id),
}
PIPING = {**FORM, "test": "piping", "start": "10", "end": "10", "minutes": "15", "instrument": str(PSI.id)}


def problems(form: dict[str, str]) -> list[Problem]:
    """What is wrong with a form, or asked."""
    with pytest.raises(Refused) as refused:
        KIND.read(Texts(form), HERE)
    return list(refused.value.problems)


def test_nine_inches_for_three_minutes_hold() -> None:
    # NFPA 54, annex C: 9 ± 0.5 in wc, 3 minutes, no fall and no rise.
    assert KIND.judge(KIND.read(Texts(FORM), HERE), HERE).verdict.grade is Grade.SOUND


@pytest.mark.parametrize(
    ("changed", "grade"),
    [
        ({"minutes": "2.9"}, Grade.UNSEEN),  # under 3 minutes proves nothing: NFPA 54, annex C
        ({"start": "8.5", "end": "8.5"}, Grade.SOUND),  # ends of the band included
        ({"start": "9.5", "end": "9.5"}, Grade.SOUND),
        ({"start": "8.4", "end": "8.4"}, Grade.UNSEEN),  # another pressure than the test's
        ({"end": "8.8"}, Grade.NEEDS),  # no loss is tolerated: shut and tag
    ],
)
def test_the_verdict_at_its_limits(changed: dict[str, str], grade: Grade) -> None:
    assert KIND.judge(KIND.read(Texts({**FORM, **changed}), HERE), HERE).verdict.grade is grade


def test_a_pressure_beyond_the_manometer_is_asked_and_printed_beside_the_figure() -> None:
    beyond = {**FORM, "start": "31", "end": "31"}
    found = problems(beyond)
    assert {(each.field, each.ask) for each in found} == {("start", True), ("end", True)}
    assert "31 in wc is outside the range of Manometer" in found[0].says.replace("\xa0", " ")
    kept = KIND.read(Texts({**beyond, "confirm-start": "31", "confirm-end": "31"}), HERE)
    assert "outside its range: 31" in str(kept.instrument)


def test_a_pressure_on_new_pipe_is_held_against_the_gauge_in_psi() -> None:
    assert KIND.read(Texts(PIPING), HERE).start == "10"
    found = problems({**PIPING, "start": "20", "end": "20"})
    assert "20 psi is outside the range of Test gauge" in found[0].says.replace("\xa0", " ")


def test_a_water_column_is_held_against_a_gauge_in_psi_by_its_worth() -> None:
    # 9 in wc is 0.325 psi (1 psi = 27.708 in wc at 4 °C: NIST SP 811); a gauge from 0 to 100 psi holds it,
    # and is far too coarse for it: its scale ends at more than five times the pressure (IFGC 406.4.1).
    found = problems({**FORM, "instrument": str(WATER_GAUGE.id)})
    assert [(each.field, each.ask) for each in found] == [("start", True)]
    assert "too coarse for 9 in wc" in found[0].says.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("most", "asked"),
    [("15", False), ("50", False), ("50.1", True), ("60", True), ("100", True)],
)
def test_a_pointers_scale_ends_at_five_times_the_test_pressure(most: str, asked: bool) -> None:
    # IFGC 406.4.1: a mechanical gauge ends at most at 5 times the test pressure; 10 psi.
    here = context(tools=(replace(PSI, most=most),))
    if not asked:
        assert KIND.read(Texts(PIPING), here).instrument is not None
        return
    with pytest.raises(Refused) as refused:
        KIND.read(Texts(PIPING), here)
    (problem,) = refused.value.problems
    assert (problem.field, problem.ask) == ("start", True)
    assert "50.0 psi" in problem.accepts.replace("\xa0", " ")


def test_a_water_column_is_never_too_coarse() -> None:
    column = replace(GAUGE, most="400")
    here = context(tools=(column,))
    assert KIND.read(Texts(FORM), here).instrument is not None


def test_a_scale_kept_all_the_same_is_printed_beside_the_figure() -> None:
    here = context(tools=(replace(PSI, most="100"),))
    kept = KIND.read(Texts({**PIPING, "confirm-start": "10"}), here)
    assert "scale too coarse for: 10 psi" in str(kept.instrument).replace("\xa0", " ")
    assert kept.instrument is not None
    assert kept.instrument.outside == ()
    assert KIND.kept(kept.model_dump(mode="json")) == kept


def test_a_record_of_before_knows_no_scale_and_is_read_all_the_same() -> None:
    old = KIND.read(Texts(PIPING), HERE).model_dump(mode="json")
    del old["instrument"]["coarse"]
    assert KIND.kept(old).instrument is not None


@pytest.mark.parametrize("changed", [{"start": "x"}, {"start": ""}, {"test": ""}])
def test_a_pressure_that_cannot_be_read_is_told_and_its_scale_not_asked(changed: dict[str, str]) -> None:
    with pytest.raises(Refused) as refused:
        KIND.read(Texts({**PIPING, **changed}), context(tools=(replace(PSI, most="100"),)))
    assert not any(each.ask for each in refused.value.problems)


def test_without_a_test_no_range_is_asked_about() -> None:
    assert "test" in {each.field for each in problems({**FORM, "test": "", "start": "31"})}


@pytest.mark.parametrize(
    ("test", "said"), [("leak", "9 in wc"), ("piping", "9 psi"), ("appliances", "9 in wc")]
)
def test_the_printed_pressure_carries_the_unit_of_its_test(test: str, said: str) -> None:
    rows = KIND.draw(Texts({**FORM, "test": test}), HERE)["kept_rows"]
    start = next(row for row in rows if row.name == "start")  # type: ignore[attr-defined]
    assert start.said("9").replace("\xa0", " ") == said


def test_the_form_shows_no_unit_that_a_tap_could_make_wrong() -> None:
    rows = KIND.draw(Texts(FORM), HERE)["rows"]
    assert next(row for row in rows if row.name == "start").unit_word == ""  # type: ignore[attr-defined]


@pytest.mark.parametrize("field", ["start", "end", "minutes", "start_temperature", "end_temperature", "test"])
def test_what_is_missing_is_told_at_its_field(field: str) -> None:
    found = problems({**FORM, field: ""})
    assert [each.field for each in found if not each.ask] == [field]


def test_the_record_gives_its_form_again() -> None:
    kept = KIND.read(Texts(PIPING), HERE)
    assert KIND.read(Texts(KIND.texts(kept)), HERE) == kept
    assert KIND.kept(kept.model_dump(mode="json")) == kept

"""Instruments: the day on which a calibration runs out, the ends of a range, and what a new one may say."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.bench import rules
from app.bench.kinds import Tool
from app.bench.records.wheel_torque import KIND, WheelTorque
from app.trade.problems import Problem, Refused
from app.trade.quantity import Quantity
from app.trade.typed import Texts
from tests.bench.contexts import BALANCER, WRENCH, context
from tests.bench.forms import SIX_AT_110, TORQUE

DUE = date(2027, 1, 12)
KINDS = ("torque wrench", "pressure gauge", "multimeter")


def kept(on: date, **changed: str) -> WheelTorque:
    """A wheel measured on a day with the wrench that falls due on 12 January 2027."""
    form = {**TORQUE, **SIX_AT_110, **{name.replace("_", "-"): text for name, text in changed.items()}}
    return KIND.read(Texts(form), context(on=on))


def wrong(on: date, **changed: str) -> list[Problem]:
    """What is wrong with that form."""
    with pytest.raises(Refused) as refused:
        kept(on, **changed)
    return list(refused.value.problems)


# The calibration. ISO 6789-2 (from memory): 12 months or 5,000 cycles unless the owner sets another interval


@pytest.mark.parametrize(
    ("days", "overdue"), [(-365, False), (-1, False), (0, False), (1, True), (365, True)]
)
def test_the_day_on_which_it_falls_due_is_its_last_good_one(days: int, overdue: bool) -> None:
    assert WRENCH.overdue(DUE + timedelta(days=days)) is overdue


def test_an_instrument_without_a_date_is_not_overdue_and_says_so() -> None:
    assert not BALANCER.overdue(date(2099, 1, 1))
    assert "due" not in BALANCER.calibration(DUE)


def test_a_reading_keeps_what_the_calibration_was_on_its_day() -> None:
    assert not kept(DUE).instrument.overdue
    (problem,) = wrong(DUE + timedelta(days=1))
    assert (problem.field, problem.ask) == ("instrument", True)
    late = kept(DUE + timedelta(days=1), confirm_instrument=str(WRENCH.id))
    assert late.instrument.overdue
    assert "used all the same" in WRENCH.calibration(DUE + timedelta(days=1))


def test_a_yes_to_another_instrument_is_no_yes() -> None:
    (problem,) = wrong(DUE + timedelta(days=1), confirm_instrument="99")
    assert problem.ask


@pytest.mark.parametrize("chosen", ["", "99", "wrench", "-1"])
def test_a_reading_without_its_instrument_is_refused_beside_the_field(chosen: str) -> None:
    assert {each.field for each in wrong(DUE, instrument=chosen)} == {"instrument"}


def test_an_instrument_of_another_kind_does_not_measure_torque() -> None:
    assert {each.field for each in wrong(DUE, instrument=str(BALANCER.id))} == {"instrument"}


# The range. 1 lbf·ft is 1.3558179483 N·m: NIST SP 811, appendix B


@pytest.mark.parametrize(
    ("typed", "unit", "reaches"),
    [
        ("20", "lbf_ft", True),
        ("19.9", "lbf_ft", False),
        ("150", "lbf_ft", True),
        ("150.1", "lbf_ft", False),
        ("27.2", "N_m", True),  # 20.06 lbf·ft
        ("27.1", "N_m", False),  # 19.99
        ("203.3", "N_m", True),  # 149.9
        ("203.4", "N_m", False),  # 150.02
        ("240", "lbf_in", True),
        ("239", "lbf_in", False),
        ("1800", "lbf_in", True),
        ("1801", "lbf_in", False),
    ],
)
def test_a_range_has_both_ends_in_every_unit(typed: str, unit: str, reaches: bool) -> None:
    assert WRENCH.reaches(Quantity(typed, unit)) is reaches


@pytest.mark.parametrize(
    ("least", "most", "inside", "outside"),
    [("20", "", "9000", "19"), ("", "150", "0.1", "151"), ("", "", "9000", None)],
)
def test_an_end_that_is_not_known_is_no_limit(
    least: str, most: str, inside: str, outside: str | None
) -> None:
    tool = replace(WRENCH, least=least, most=most)
    assert tool.reaches(Quantity(inside, "lbf_ft"))
    assert outside is None or not tool.reaches(Quantity(outside, "lbf_ft"))


@pytest.mark.parametrize(
    ("tool", "words"),
    [
        (WRENCH, "20 to 150 lbf·ft"),
        (replace(WRENCH, least=""), "up to 150 lbf·ft"),
        (replace(WRENCH, most=""), ""),
        (Tool(9, "Feeler gauge", "gauge"), ""),
    ],
)
def test_a_range_in_words(tool: Tool, words: str) -> None:
    assert tool.range.replace("\xa0", " ") == words


# A new instrument

NEW = {
    **{"name": "Torque wrench T-09", "kind": "torque wrench", "unit": "lbf_ft", "least": "20", "most": "150"},
    **{"resolution": "1", "calibrated_on": "2026-05-04", "calibration_due": "2027-05-04"},
}


def refused(**changed: str) -> dict[str, str]:
    """What is said of a new instrument, by field; empty where it is taken."""
    try:
        rules.read_instrument(Texts({**NEW, **changed}), KINDS)
    except Refused as wrongs:
        return {each.field: each.says for each in wrongs.problems}
    return {}


def test_a_new_instrument_is_read_as_it_is_typed() -> None:
    found = rules.read_instrument(Texts(NEW), KINDS)
    assert (found.least, found.most, found.resolution) == ("20", "150", "1")
    assert (found.calibrated_on, found.calibration_due) == (date(2026, 5, 4), date(2027, 5, 4))
    assert found.active
    assert not rules.read_instrument(Texts({**NEW, "retired": "yes"}), KINDS).active


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 61}, "name"),
        ({"kind": "hammer"}, "kind"),
        ({"kind": ""}, "kind"),
        ({"unit": "cubits"}, "unit"),
        ({"unit": ""}, "unit"),  # a range without its unit
        ({"least": "150", "most": "150"}, "most"),
        ({"least": "151"}, "most"),
        ({"least": "twenty"}, "least"),
        ({"most": "1e3"}, "most"),
        ({"resolution": "fine"}, "resolution"),
        ({"calibrated_on": "2026-02-30"}, "calibrated_on"),
        ({"calibration_due": "soon"}, "calibration_due"),
        ({"calibration_due": "2026-05-04"}, "calibration_due"),  # on the day of the calibration
        ({"calibration_due": "2026-05-03"}, "calibration_due"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(changed: dict[str, str], field: str) -> None:
    assert set(refused(**changed)) == {field}


@pytest.mark.parametrize(
    "changed",
    [
        {"calibrated_on": "", "calibration_due": ""},
        {"calibrated_on": ""},
        {"calibration_due": "2026-05-05"},
        {"least": "", "most": "", "resolution": "", "unit": ""},
        {"least": ""},
        {"least": "-30", "most": "0"},  # a vacuum gauge
        {"least": "149.9"},
        {"name": "x" * 60},
    ],
)
def test_what_is_not_known_is_left_empty(changed: dict[str, str]) -> None:
    assert refused(**changed) == {}


def test_everything_wrong_is_said_at_once() -> None:
    assert set(refused(name="", kind="", unit="cubits", least="x")) == {"name", "kind", "unit", "least"}

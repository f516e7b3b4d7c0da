"""The gauge of a pressure test: its scale must hold what was read, and not be too coarse."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.gauges import Gauge, question_gauge
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def gauge(most: str, unit: str = "in_wc", least: str = "", *, mechanical: bool = False) -> Gauge:
    """A gauge from `least` to `most`."""
    return Gauge(Quantity(most, unit), Quantity(least, unit) if least else None, mechanical)


@pytest.mark.parametrize(
    ("pressure", "unit", "most", "scale", "says"),
    [
        # A reading off the scale is none. 1 psi is 27.68 in wc: NIST SP 811
        ("9", "in_wc", "16", "in_wc", ""),
        ("16", "in_wc", "16", "in_wc", ""),  # the end of the scale itself can be read
        ("16.1", "in_wc", "16", "in_wc", "cannot show"),
        ("9", "in_wc", "8", "in_wc", "cannot show"),
        ("3", "psi", "60", "in_wc", "cannot show"),  # 3 psi is 83 in wc
        ("3", "psi", "90", "in_wc", ""),
        ("14", "in_wc", "35", "in_wc", ""),
        ("14", "in_wc", "3.4", "kPa", "cannot show"),  # 14 in wc is 3.487 kPa
        ("14", "in_wc", "3.5", "kPa", ""),
        ("-1", "in_wc", "16", "in_wc", "cannot show"),
    ],
)
def test_a_manometer_shows_what_lies_on_its_scale(
    pressure: str, unit: str, most: str, scale: str, says: str
) -> None:
    found = question_gauge("start", Quantity(pressure, unit), gauge(most, scale))
    assert [says in each.says for each in found] == ([True] if says else [])
    assert not any(each.ask for each in found)


@pytest.mark.parametrize(
    ("pressure", "most", "asked"),
    [
        # IFGC 406.4: a mechanical gauge ends at five times the test pressure at most (from memory)
        ("3", "15", False),
        ("3", "15.1", True),
        ("3", "30", True),
        ("3", "60", True),
        ("3", "100", True),
        ("6", "30", False),
        ("10", "30", False),
        ("10", "50", False),
        ("10", "60", True),
        ("12", "60", False),
        ("20", "100", False),
        ("15", "100", True),
    ],
)
def test_a_pointer_on_too_large_a_scale_is_questioned(pressure: str, most: str, asked: bool) -> None:
    found = question_gauge("start", Quantity(pressure, "psi"), gauge(most, "psi", mechanical=True))
    assert [each.ask for each in found] == ([True] if asked else [])
    assert not question_gauge("start", Quantity(pressure, "psi"), gauge(most, "psi"))  # a liquid column


def test_what_is_wrong_names_field_reading_and_scale() -> None:
    (problem,) = question_gauge("end", Quantity("9", "in_wc"), gauge("8", least="0"))
    assert problem.field == "end"
    assert problem.says.replace("\u00a0", " ") == "This gauge cannot show 9 in wc"
    assert problem.accepts.replace("\u00a0", " ") == "0 to 8 in wc, or another gauge"
    (coarse,) = question_gauge("start", Quantity("3", "psi"), gauge("60", "psi", mechanical=True))
    assert coarse.accepts.replace("\u00a0", " ") == "a scale that ends at 15.0 psi at most"


def test_a_scale_that_begins_above_0_cannot_show_less() -> None:
    (problem,) = question_gauge("start", Quantity("2", "psi"), gauge("30", "psi", "3"))
    assert "cannot show" in problem.says
    assert question_gauge("start", Quantity("3", "psi"), gauge("30", "psi", "3")) == []


@pytest.mark.parametrize(("most", "least"), [("0", ""), ("-5", ""), ("8", "8"), ("8", "9")])
def test_a_scale_of_nothing_is_refused(most: str, least: str) -> None:
    with pytest.raises(Impossible):
        gauge(most, least=least)


@given(st.decimals("0.1", "100", places=1), st.decimals("0.1", "100", places=1))
def test_a_larger_scale_never_hides_a_reading_that_a_smaller_one_shows(read: object, top: object) -> None:
    pressure = Quantity(str(read), "in_wc")
    if question_gauge("start", pressure, gauge(str(top))) == []:
        assert question_gauge("start", pressure, gauge("101")) == []

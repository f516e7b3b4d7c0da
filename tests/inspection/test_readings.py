"""Readings are kept to the letter; the impossible is refused, the unlikely asked once."""

import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.inspection.catalogue import Check, Measure, read_catalogue
from app.inspection.readings import Reading, accepted, confirmed_in, in_unit, read_readings
from app.trade.dates import Month
from app.trade.problems import Problem, Refused
from app.trade.quantity import Quantity
from app.trade.tin import DateCode

CATALOGUE = read_catalogue(Path(__file__).parents[2] / "seed_data" / "catalogue")
DAY = date(2026, 5, 4)


def everything(typed: Mapping[str, str]) -> dict[str, str]:
    return {key if key.startswith("unit-") else f"reading-{key}": text for key, text in typed.items()}


def read(key: str, typed: Mapping[str, str]) -> dict[str, Reading]:
    fields = everything(typed)
    return read_readings(CATALOGUE.check(key), fields, set(fields), DAY)


def problems(key: str, typed: Mapping[str, str], confirmed: set[str] | None = None) -> list[Problem]:
    with pytest.raises(Refused) as refused:
        read_readings(CATALOGUE.check(key), everything(typed), confirmed or set(), DAY)
    return list(refused.value.problems)


@pytest.mark.parametrize(
    ("key", "typed", "field", "says"),
    [
        ("ti.tread", {"least": "-1"}, "reading-least", "cannot be"),
        ("ti.tread", {"least": "41"}, "reading-least", "cannot be"),
        ("ti.tread", {"least": "41/32"}, "reading-least", "41/32\u00a0in cannot be"),
        ("ti.tread", {"least": "1,250"}, "reading-least", "can mean"),
        ("ti.tread", {"least": "abc"}, "reading-least", "not a number"),
        ("ti.tread", {"least": "3", "unit-least": "psi"}, "unit-least", "not a unit"),
        ("ti.age", {"code": "5419"}, "reading-code", "week 54"),  # 49 CFR 574.5(b): weeks 01 to 53
        ("ti.age", {"code": "0019"}, "reading-code", "week 00"),
        ("ti.age", {"code": "2326"}, "reading-code", "still to come"),
        ("hb.endplay", {"play": "-0.001"}, "reading-play", "cannot be"),
        ("hb.service", {"last": "06-2026"}, "reading-last", "lies ahead"),
        ("wh.studs", {"broken": "1.5"}, "reading-broken", "cannot be counted"),
        ("cp.size", {"coupler": "3 1/2 in"}, "reading-coupler", "not one of the choices"),
        ("id.recall", {"searched": "2026-05-05"}, "reading-searched", "lies ahead"),
        ("id.recall", {"searched": "2026-02-30"}, "reading-searched", "no such day"),
        ("id.recall", {"searched": "yesterday"}, "reading-searched", "not a date"),
        ("id.title", {"name": "x" * 201}, "reading-name", "characters long"),
        ("id.title", {"name": "a\x00b"}, "reading-name", "cannot be printed"),
    ],
)
def test_the_impossible_is_refused_beside_its_field(
    key: str, typed: dict[str, str], field: str, says: str
) -> None:
    (problem,) = problems(key, typed, {field})
    assert (problem.field, problem.ask) == (field, False)
    assert says in problem.says
    assert problem.accepts


def test_the_unlikely_is_asked_once_and_then_kept() -> None:
    check = CATALOGUE.check("wh.torque")
    (asked,) = problems("wh.torque", {"least": "20"})
    assert (asked.field, asked.ask, asked.accepts) == ("reading-least", True, "usually 40 to 350\u00a0lbf·ft")
    kept = read_readings(check, {"reading-least": "20"}, {"reading-least"}, DAY)
    assert kept["least"].typed == "20"


def test_week_53_of_a_short_year_is_asked() -> None:
    (asked,) = problems("ti.age", {"code": "5319"})  # 2019 has 52 such weeks (49 CFR 574.5(b))
    assert asked.ask


def test_all_problems_come_at_once() -> None:
    found = problems("bk.battery", {"rested": "19", "minutes": "x", "end": "3", "held": "1.5"})
    assert [(it.field, it.ask) for it in found] == [
        ("reading-rested", False),
        ("reading-minutes", False),
        ("reading-end", True),
        ("reading-held", False),
    ]


def test_what_is_accepted_is_told_in_the_unit_that_was_chosen() -> None:
    # 1 lb is exactly 0.45359237 kg (NIST SP 811)
    (measure,) = [it for it in CATALOGUE.check("cp.rating").measures if it.key == "rating"]
    assert measure.most is not None
    (problem,) = problems("cp.rating", {"rating": "99999", "unit-rating": "kg"})
    low, high = re.findall(r"[0-9.]+", problem.accepts)[:2]
    assert problem.accepts.count("kg") == 2
    assert "lb" not in problem.accepts
    assert Decimal("0.99") < Decimal(high) / (measure.most * Decimal("0.45359237")) <= 1
    assert Decimal(low) >= (measure.least or 0) * Decimal("0.45359237")


def test_accepted_words_name_range_example_and_unit() -> None:
    (problem,) = problems("ti.tread", {"least": "50"})
    assert problem.accepts == "0 to 40/32\u00a0in, such as 10/32\u00a0in"


def test_a_confirmed_field_sends_the_same_text_again() -> None:
    typed = {
        "reading-least": "20",
        "confirm-reading-least": "20",
        "reading-most": "9",
        "confirm-reading-most": "8",
    }
    assert confirmed_in(typed) == {"reading-least"}


def test_an_empty_field_is_no_reading() -> None:
    assert read_readings(CATALOGUE.check("ti.tread"), {"reading-least": "  "}, set(), DAY) == {}


CHECKS = st.sampled_from(CATALOGUE.checks)


@given(CHECKS, st.text(max_size=40), st.text(max_size=8))
def test_no_text_breaks_the_reading_and_what_is_kept_is_the_text(check: Check, text: str, unit: str) -> None:
    typed = {f"reading-{m.key}": text for m in check.measures} | {
        f"unit-{m.key}": unit for m in check.measures
    }
    try:
        found = read_readings(check, typed, set(typed), DAY)
    except Refused as refused:
        assert refused.problems
    else:
        assert all(reading.typed == text for reading in found.values())


# What a reading means


def test_a_number_keeps_its_text_and_unit_and_means_a_quantity() -> None:
    reading = read("wh.torque", {"least": " 1 3/8 ", "unit-least": "N_m"})["least"]
    assert (reading.typed, reading.unit, reading.value) == (" 1 3/8 ", "N_m", Quantity("1 3/8", "N_m"))
    assert str(reading) == "1\u00a03/8\u00a0N·m"


def test_a_date_code_a_month_and_a_day_mean_what_they_say() -> None:
    code = read("ti.age", {"code": "2319"})["code"]
    assert isinstance(code.value, DateCode)
    assert code.value.latest.start == date(2019, 6, 9)  # 49 CFR 574.5(b): week 1 of 2019 begins on 6 January
    assert read("hb.service", {"last": "4/25"})["last"].value == Month(2025, 4)
    assert read("id.recall", {"searched": "2026-05-04"})["searched"].value == date(2026, 5, 4)
    assert (code.unit, code.number_in("year"), code.quantity) == ("", None, None)


def test_an_answer_and_a_text_mean_themselves() -> None:
    assert read("cp.size", {"coupler": "2 in"})["coupler"].value == "2 in"
    assert read("id.title", {"name": " Ottersby Trailers "})["name"].value == "Ottersby Trailers"


@pytest.mark.parametrize(
    ("typed", "unit", "into", "expected"),
    [
        ("25.4", "mm", "in", "1"),  # 25.4 mm to the inch, exactly (NIST SP 811)
        ("1.5875", "mm", "in_32nd", "2"),
        ("0.79375", "mm", "in_32nd", "1"),
        ("1/16", "in", "in_32nd", "2"),
        ("1", "lb", "kg", "0.453592370"),  # exactly 0.45359237 kg (NIST SP 811)
        ("100", "kPa", "psi", "14.503773773"),  # 1 psi is 6 894.757 293 168 Pa
        ("5", "in", "in", "5"),
    ],
)
def test_a_conversion_leaves_no_hair(typed: str, unit: str, into: str, expected: str) -> None:
    assert in_unit(Quantity(typed, unit), into) == Decimal(expected)


def test_a_count_is_asked_for_as_a_count_and_not_as_a_fraction() -> None:
    for check in CATALOGUE.checks:
        for measure in (each for each in check.measures if each.unit == "count"):
            with pytest.raises(Refused) as refused:
                read_readings(check, {f"reading-{measure.key}": "two"}, set(), DAY)
            (problem,) = refused.value.problems
            assert problem.says == "This is not a number"
            assert "such as" in problem.accepts
            assert "." not in problem.accepts and "/" not in problem.accepts, check.key


def test_a_number_of_32_digits_is_refused_and_not_a_crash() -> None:
    (problem,) = problems("wh.torque", {"least": "9" * 32, "unit-least": "N_m"})
    assert "cannot be" in problem.says


@pytest.mark.parametrize(
    ("key", "measure", "text"),
    [
        ("ti.tread", "least", "0 to 40/32\u00a0in, such as 10/32\u00a0in"),
        ("wh.torque", "least", "0 to 800\u00a0lbf·ft, such as 195\u00a0lbf·ft"),
        ("wh.studs", "broken", "0 to 10, such as 2"),
        ("hb.endplay", "play", "0 to 0.5\u00a0in, such as 0.015\u00a0in"),
    ],
)
def test_what_a_measure_accepts_in_words(key: str, measure: str, text: str) -> None:
    assert accepted(CATALOGUE.check(key).measure(measure)) == text


def test_a_measure_with_one_end_says_that_one() -> None:
    at_least = Measure(key="a", label="One end", unit="in", least=Decimal(2))
    at_most = Measure(key="a", label="One end", unit="in", most=Decimal(8))
    assert accepted(at_least) == "at least 2, such as 6\u00a0in"
    assert accepted(at_most) == "at most 8, such as 4\u00a0in"
    assert accepted(Measure(key="a", label="No end", unit="in")) == "such as 5\u00a0in"


TWO_UNITS = [
    (check.key, measure.key, unit)
    for check in CATALOGUE.checks
    for measure in check.measures
    for unit in measure.also
]


@settings(deadline=None)
@given(st.sampled_from(TWO_UNITS), st.decimals(0, 1, places=3))
def test_either_unit_is_refused_at_the_same_ends(which: tuple[str, str, str], part: Decimal) -> None:
    key, name, unit = which
    measure = CATALOGUE.check(key).measure(name)
    low, high = measure.least or Decimal(0), measure.most or Decimal(10)
    inside = low + (high - low) * (part * Decimal("0.98") + Decimal("0.01"))
    typed = f"{in_unit(Quantity(f'{inside:f}', measure.unit), unit):.6f}"
    found = read(key, {name: typed, f"unit-{name}": unit})[name].number_in(measure.unit)
    assert found is not None
    assert abs(found - inside) <= abs(high - low) / 1000
    beyond = f"{in_unit(Quantity(f'{high * 2 + 1:f}', measure.unit), unit):.6f}"
    assert "cannot be" in problems(key, {name: beyond, f"unit-{name}": unit})[0].says


# The unlikely, at the ends of every range of the catalogue

RANGES = [
    pytest.param(check.key, measure, id=f"{check.key}-{measure.key}")
    for check in CATALOGUE.checks
    for measure in check.measures
    if measure.kind == "number" and measure.usual is not None
]


def asked(check: str, measure: Measure, number: Decimal, confirmed: bool) -> list[Problem]:
    """What is said of one reading, the others left empty; nothing where it is kept."""
    field = f"reading-{measure.key}"
    try:
        read_readings(CATALOGUE.check(check), {field: f"{number:f}"}, {field} if confirmed else set(), DAY)
    except Refused as refused:
        return list(refused.problems)
    return []


def just_beyond(measure: Measure) -> list[Decimal]:
    """A number a little under and one a little over the usual range, as far as they are taken at all."""
    assert measure.usual is not None
    step = Decimal(1) if measure.unit == "count" else Decimal("0.001")
    found = [measure.usual[0] - step, measure.usual[1] + step]
    low, high = measure.least, measure.most
    return [each for each in found if (low is None or each >= low) and (high is None or each <= high)]


@pytest.mark.parametrize(("check", "measure"), RANGES)
def test_the_ends_of_what_is_usual_are_kept_unasked(check: str, measure: Measure) -> None:
    assert measure.usual is not None
    assert [asked(check, measure, end, confirmed=False) for end in measure.usual] == [[], []]


@pytest.mark.parametrize(("check", "measure"), RANGES)
def test_just_beyond_is_one_question_with_range_and_unit_and_then_kept(check: str, measure: Measure) -> None:
    assert measure.usual is not None
    for number in just_beyond(measure):
        (told,) = asked(check, measure, number, confirmed=False)
        assert (told.ask, told.field) == (True, f"reading-{measure.key}")
        assert f"{number:f}" in told.says
        assert [f"{end:f}" in told.accepts for end in measure.usual] == [True, True]
        assert asked(check, measure, number, confirmed=True) == []


def test_most_ranges_leave_room_for_a_question() -> None:
    rooms = [bool(just_beyond(param.values[1])) for param in RANGES]  # type: ignore[arg-type]
    assert sum(rooms) / len(rooms) > 0.8  # a range without room would refuse what it could ask

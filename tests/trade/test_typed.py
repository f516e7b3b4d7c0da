"""The reader of forms: every problem at once, in words, beside its field."""

from collections.abc import Callable
from datetime import date
from enum import StrEnum

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Problem, Refused
from app.trade.quantity import Quantity
from app.trade.typed import Reader, Texts


class Side(StrEnum):
    """A choice to read."""

    LEFT = "left"
    RIGHT = "right"


def read(**texts: str) -> Reader:
    return Reader(Texts(texts))


def only(reader: Reader) -> Problem:
    with pytest.raises(Refused) as refused:
        reader.done()
    (problem,) = refused.value.problems
    return problem


def test_all_problems_are_told_at_once() -> None:
    reader = read(name="", axles="nine", side="up", day="31.2.")
    reader.text("name", required="The name is missing")
    reader.whole("axles", most=4)
    reader.choice("side", Side)
    reader.day("day")
    with pytest.raises(Refused) as refused:
        reader.done()
    assert [problem.field for problem in refused.value.problems] == ["name", "axles", "side", "day"]


def test_a_form_without_problems_is_done() -> None:
    read().done()


def test_a_text_is_stripped_and_line_ends_are_one_sign() -> None:
    assert read(note="  a\r\nb ").text("note", lines=True) == "a\nb"


@pytest.mark.parametrize("bad", ["a\0b", "a\x1bb", "a\nb", "\ud800"])
def test_signs_that_cannot_be_printed_are_refused(bad: str) -> None:
    reader = read(name=bad)
    reader.text("name")
    assert "cannot be printed" in only(reader).says


def test_a_text_that_is_too_long_is_told_how_long_it_may_be() -> None:
    reader = read(name="x" * 201)
    reader.text("name")
    assert only(reader).accepts == "at most 200 characters"


def test_a_number_outside_what_can_be_is_refused_with_the_range_and_its_unit() -> None:
    reader = read(torque="-5")
    assert reader.quantity("torque", "lbf_ft", least="1", most="600") is None
    problem = only(reader)
    assert problem.says == "-5 cannot be"
    assert problem.accepts == "1\u00a0lbf·ft to 600\u00a0lbf·ft"


def test_a_number_at_its_ends_is_taken() -> None:
    reader = read(low="1", high="600")
    assert reader.quantity("low", "lbf_ft", least="1", most="600") == Quantity("1", "lbf_ft")
    assert reader.quantity("high", "lbf_ft", least="1", most="600") == Quantity("600", "lbf_ft")
    reader.done()


def test_limits_hold_in_whatever_unit_was_chosen() -> None:
    reader = Reader(Texts({"torque": "900", "torque-unit": "N_m"}))
    assert reader.quantity("torque", "lbf_ft", most="600") is None  # 900 N·m is 663.8 lbf·ft
    assert only(reader).field == "torque"


def test_a_unit_of_another_kind_is_refused() -> None:
    for unit in ("psi", "parsec", "<script>"):
        reader = Reader(Texts({"torque": "90", "torque-unit": unit}))
        assert reader.quantity("torque", "lbf_ft") is None
        assert only(reader).accepts == "lbf·ft"


def test_an_unlikely_value_is_asked_once_and_then_kept() -> None:
    asked = read(torque="400")
    asked.quantity("torque", "lbf_ft", most="600", usual=("40", "350"))
    assert only(asked).ask
    kept = Reader(Texts({"torque": "400", "confirm-torque": "400"}))
    assert kept.quantity("torque", "lbf_ft", most="600", usual=("40", "350")) == Quantity("400", "lbf_ft")
    kept.done()


def test_a_confirmation_holds_for_the_value_that_was_confirmed_only() -> None:
    other = Reader(Texts({"torque": "500", "confirm-torque": "400"}))
    other.quantity("torque", "lbf_ft", most="600", usual=("40", "350"))
    assert only(other).ask


@pytest.mark.parametrize("typed", ["1.5", "-1", "5", "1e1", "one"])
def test_a_count_is_whole_and_inside_its_range(typed: str) -> None:
    reader = read(axles=typed)
    assert reader.whole("axles", least=1, most=4) is None
    assert only(reader).field == "axles"


@pytest.mark.parametrize("typed", ["two", "2004.5", "1899", "1/0", "1,250", "9" * 40, ""])
def test_a_whole_number_is_asked_for_as_what_it_is(typed: str) -> None:
    reader = read(year=typed)
    missing = "The year is missing"
    reader.whole("year", least=1900, most=2027, required=missing, what="a year", such_as="2004")
    assert only(reader).accepts == "a year from 1900 to 2027, such as 2004"


def test_a_choice_tells_its_values_to_a_form_that_has_words_for_them() -> None:
    for typed in ("", "up"):
        reader = read(side=typed)
        assert reader.choice("side", Side, required="Say which side") is None
        assert (only(reader).accepts, only(reader).choices) == ("one of: left, right", ("left", "right"))
        own = read(side=typed)
        own.choice("side", Side, required="Say which side", accepts="a side of the road")
        assert (only(own).accepts, only(own).choices) == ("a side of the road", ())


def test_days_are_days() -> None:
    assert read(day="2026-05-08").day("day") == date(2026, 5, 8)
    for typed in ("2026-02-30", "2026-13-01", "8 May", "0000-01-01"):
        reader = read(day=typed)
        assert reader.day("day") is None
        assert "2026-05-08" in only(reader).accepts


def test_what_may_be_left_out_may_be_left_out() -> None:
    reader = read()
    assert reader.text("name") == ""
    assert reader.number("n") is None
    assert reader.whole("w") is None
    assert reader.quantity("q", "lb") is None
    assert reader.day("d") is None
    assert reader.choice("c", Side) is None
    assert not reader.yes("y")
    reader.done()


READERS: list[Callable[[Reader], object]] = [
    lambda reader: reader.text("x"),
    lambda reader: reader.number("x", least="0", most="10", usual=("1", "2")),
    lambda reader: reader.whole("x"),
    lambda reader: reader.quantity("x", "lbf_ft", usual=("1", "2")),
    lambda reader: reader.day("x"),
    lambda reader: reader.choice("x", Side),
    lambda reader: reader.yes("x"),
]


@given(st.text(max_size=50), st.sampled_from(READERS), st.text(max_size=10))
def test_no_text_whatever_breaks_a_field(text: str, reads: Callable[[Reader], object], unit: str) -> None:
    reader = Reader(Texts({"x": text, "x-unit": unit}))
    reads(reader)
    assert all(problem.says for problem in reader.problems)


@pytest.mark.parametrize(
    ("typed", "cents"), [("45", 4500), ("$1,305.39", 130539), ("1.305,39", 130539), ("0", 0)]
)
def test_an_amount_of_money_is_read_to_the_cent(typed: str, cents: int) -> None:
    reader = read(cap=typed)
    assert reader.money("cap") == cents
    reader.done()


@pytest.mark.parametrize(
    ("typed", "says", "accepts"),
    [
        ("", "The cap is missing", "an amount such as"),
        ("4O", "This is not an amount of money", "an amount such as"),
        ("-1", "-1 cannot be", "0.00 to 500.00, or none"),
        ("500.01", "500.01 cannot be", "0.00 to 500.00, or none"),
    ],
)
def test_an_amount_that_cannot_be_is_told_with_its_range(typed: str, says: str, accepts: str) -> None:
    reader = read(cap=typed)
    assert reader.money("cap", most=50000, required="The cap is missing", less=", or none") is None
    problem = only(reader)
    assert (problem.says, problem.ask) == (says, False)
    assert problem.accepts.startswith(accepts)


def test_an_amount_read_two_ways_or_unusual_is_asked_about_once() -> None:
    for typed in ("1,305", "600"):
        reader = read(cap=typed)
        reader.money("cap", usual=(0, 50000))
        assert only(reader).ask
        kept = read(cap=typed, **{"confirm-cap": typed})
        assert kept.money("cap", usual=(0, 50000)) in (130500, 60000)
        kept.done()


def test_ends_are_told_in_the_unit_that_was_chosen() -> None:
    # 1 lb is exactly 0.45359237 kg (NIST SP 811): 200 to 40,000 lb are 90.72 to 18,143.7 kg
    reader = Reader(Texts({"gvwr": "9", "gvwr-unit": "kg", "plain": "9"}))
    reader.quantity("gvwr", "lb", least="200", most="40000")
    reader.quantity("plain", "lb", least="200", most="40000")
    assert [it.accepts for it in reader.problems] == [
        "90.8\u00a0kg to 18100\u00a0kg",
        "200\u00a0lb to 40000\u00a0lb",
    ]

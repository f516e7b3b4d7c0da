"""Reading a form: every problem at its field, units, lists, questions; nothing typed breaks it."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.problems import Impossible, Refused
from app.trade.typed import Texts
from app.workbench.entry import Figure, Kind, number_in
from app.workbench.registry import all_figures
from app.workbench.rules import answer, apart, read_values, read_what_for, record_of
from tests.workbench.asking import TODAY, asked, refused

FIGURES = list(all_figures().values())
FIELDS = [(figure.key, field.name) for figure in FIGURES for field in figure.fields]
ODD = [
    "",
    "-1",
    "0",
    "99999999999999999999",
    "NaN",
    "1,5",
    "1,250",
    "\N{WRENCH}",
    "1\x00",
    "x" * 1_000_000,
    "<script>alert(1)</script>",
    "1e9",
    "\u0663",
    "9999-12-31",
    "0001-01-01",
    "12-9999",
    "; ; ;",
    "1 2 3 4 5 6 7",
    "1/0",
]


@pytest.mark.parametrize(("key", "name"), FIELDS)
def test_odd_texts_are_worked_out_or_refused_in_words(key: str, name: str) -> None:
    figure = all_figures()[key]
    names = {each.name for each in figure.fields}
    for odd in ODD:
        problems = refused(key, {name: odd})
        assert all(each.says and each.field in names for each in problems), (odd, problems)


@pytest.mark.parametrize(("key", "name"), FIELDS)
def test_what_is_no_value_at_all_is_refused_at_its_own_field(key: str, name: str) -> None:
    field = all_figures()[key].field_of(name)
    assert field is not None
    if field.kind is Kind.YES or (field.kind is Kind.TEXT and field.parse is None):
        return
    for odd in ("<script>", "\N{WRENCH}", "x" * 100_000):
        assert name in {each.field for each in refused(key, {name: odd})}, odd


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.key)
@settings(max_examples=8, deadline=None)
@given(data=st.data())
def test_several_odd_texts_at_once_never_break_a_figure(figure: Figure, data: st.DataObject) -> None:
    odd = st.one_of(st.sampled_from(ODD), st.decimals(-500, 500, places=2).map(str))
    typed = {
        each.name: data.draw(st.one_of(st.just(each.example), st.just(each.example), odd))
        for each in figure.fields
    }
    try:
        found = answer(figure, Texts(typed), TODAY)
    except Refused as wrong:
        assert wrong.problems
    else:
        assert all(each.says for each in found.figures)


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.key)
def test_all_that_is_missing_is_said_at_once(figure: Figure) -> None:
    needed = {each.name for each in figure.fields if each.needed}
    problems = refused(figure.key, {each.name: "" for each in figure.fields})
    assert needed <= {each.field for each in problems}


# Units


def test_a_unit_of_another_kind_is_refused_at_its_field() -> None:
    problems = refused("end-play", {"play-unit": "lb"})
    assert [(each.field, each.says, each.accepts) for each in problems] == [
        ("play", "lb is not a unit for this", "in, mm")
    ]


def test_a_unit_that_is_none_is_refused_not_met_with_an_error() -> None:
    assert refused("runout", {"readings-unit": "<b>"})[0].field == "readings"


def test_a_limit_counts_in_the_unit_of_the_field() -> None:
    assert refused("end-play", {"play": "26", "play-unit": "mm"})[0].says == "26 cannot be"  # over 1 in
    assert refused("end-play", {"play": "25", "play-unit": "mm", "confirm-play": "25"}) == []


def test_a_converted_number_has_no_noise() -> None:
    """1 kg is 2.204622621... lb: seven digits of it."""
    from app.trade.quantity import Quantity

    assert f"{number_in(Quantity('1', 'kg'), 'lb')}" == "2.204623"
    assert f"{number_in(Quantity('25.4', 'mm'), 'in')}" == "1"
    assert f"{number_in(Quantity('1.50', 'in'), 'in')}" == "1.50"  # as typed


# Numbers and lists


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("1 2 3", ["1", "2", "3"]),
        ("1;2; 3", ["1", "2", "3"]),
        ("1\n2", ["1", "2"]),
        ("1 3/8; 2", ["1 3/8", "2"]),
        ("3/32 4/32", ["3/32", "4/32"]),
        ("1,5 2,5", ["1,5", "2,5"]),
        ("27, 31, 15", ["27", "31", "15"]),
        ("", []),
    ],
)
def test_a_list_is_read_as_people_write_it(typed: str, read: list[str]) -> None:
    assert apart(typed) == read


@pytest.mark.parametrize("typed", ["1 3/8 1 1/2", "2 1 3/8", "9" * 500])
def test_a_list_that_can_mean_two_things_is_refused(typed: str) -> None:
    with pytest.raises(Impossible):
        apart(typed)


def test_a_comma_is_a_decimal_point_where_it_can_be_nothing_else() -> None:
    assert asked("weight-radii", {"rim": "15,5"})[0].says.startswith("7.75")
    assert "can mean" in refused("passes", {"aim": "1,250"})[0].says


def test_a_list_with_too_many_numbers_says_how_many() -> None:
    problem = refused("axle-tires", {"loads": "1760 1760 1760 1760 1760"})[0]
    assert (problem.field, problem.says) == ("loads", "These are 5 numbers")
    assert problem.accepts.startswith("2 to 4")


# Unlikely, then kept


def test_an_unlikely_value_is_asked_once_and_kept_when_confirmed() -> None:
    problem = refused("passes", {"aim": "400"})[0]
    assert problem.ask
    assert problem.field == "aim"
    assert refused("passes", {"aim": "400", "confirm-aim": "400"}) == []
    assert refused("passes", {"aim": "410", "confirm-aim": "400"})[0].ask  # another value asks anew


def test_a_size_without_letters_is_asked_about() -> None:
    problem = refused("tire-size", {"size": "205/75R14"})[0]
    assert problem.ask
    assert "passenger" in problem.says
    assert refused("tire-size", {"size": "205/75R14", "confirm-size": "205/75R14"}) == []


def test_an_amount_that_can_mean_two_things_is_asked() -> None:
    assert refused("capped-share", {"base": "1,305"})[0].ask
    assert refused("capped-share", {"base": "1,305", "confirm-base": "1,305"}) == []


# Who is to blame


@pytest.mark.parametrize(
    ("key", "changed", "field"),
    [
        ("tire-age", {"code": "5419"}, "code"),  # there is no week 54
        ("tire-age", {"code": "3027"}, "code"),  # a week to come
        ("vin", {"number": "1M8GDM9AXKP04278I"}, "number"),  # a VIN has no I: 49 CFR 565.13
        ("wheel-torque", {"low": "130"}, "low"),  # over the high end
        ("wheel-torque", {"readings": "110 110 110 110 110 110 110"}, "readings"),  # seven on six studs
        ("adapter-setting", {"reach": "30", "turn": "180"}, "reach"),  # folded back past the grip
        ("bearing", {"cone": "L99999"}, "cone"),
        ("weight-split", {"weight_at": "200"}, "weight_at"),  # not between 0 and 72
        ("requalification", {"tested": "01-2015"}, "tested"),  # before the manufacture
        ("tongue-share", {"tongue": "4000"}, "tongue"),
        ("scale-tickets", {"alone_front": "3105"}, "alone_front"),  # no step of 20 lb
        ("gas-run-time", {"duties": "33"}, "duties"),  # one duty for two inputs
        ("promised-day", {"off": "25 May"}, "off"),
        ("bill", {"discount": "9000.00"}, "discount"),
        ("bill", {"parts": "12.345"}, "parts"),
    ],
)
def test_what_the_trade_refuses_is_said_at_the_field_to_blame(
    key: str, changed: dict[str, str], field: str
) -> None:
    assert [each.field for each in refused(key, changed)] == [field]


# Records


def test_a_record_keeps_what_was_typed_with_units_and_words() -> None:
    figure = all_figures()["magnet-current"]
    record = record_of(figure, Texts(figure.examples), TODAY, "left feed")
    said = {each.name: each.says for each in record.typed}
    assert said["Volts at the same point"] == "12.6\u00a0V"
    assert said["Drum"] == "10 in"
    assert said["The law asks for these brakes"] == "yes"
    assert record.what_for == "left feed"
    assert record.figures[0].verdict is not None


def test_a_record_keeps_the_unit_that_was_chosen() -> None:
    figure = all_figures()["end-play"]
    typed = Texts({"play": "0.1", "play-unit": "mm", "axle": "light"})
    assert record_of(figure, typed, TODAY, "").typed[0].says == "0.1\u00a0mm"


def test_what_it_is_for_is_a_short_line() -> None:
    assert read_what_for(Texts({"x": " spare "}), "x") == "spare"
    with pytest.raises(Refused):
        read_what_for(Texts({"x": "x" * 61}), "x")


def test_a_month_of_two_digits_is_the_last_one_that_has_been() -> None:
    figure = all_figures()["requalification"]
    values = read_values(figure, Texts({**figure.examples, "made": "03-16"}), date(2026, 5, 4))
    assert values.month("made").iso == "2016-03"


def test_an_entry_that_asks_for_another_type_is_a_slip_of_ours() -> None:
    figure = all_figures()["star"]
    values = read_values(figure, Texts({"studs": "6"}), TODAY)
    with pytest.raises(TypeError):
        values.text("studs")

"""Size markings and their geometry."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.tire_size import (
    Build,
    SizeKind,
    circumference,
    overall_diameter,
    read_size,
    revolutions_per_km,
    revolutions_per_mile,
    rim_widths,
    size_change,
)


@pytest.mark.parametrize(
    ("typed", "marking", "kind", "build"),
    [
        # forms of marking: ISO 4000-1 and 49 CFR 571.139 S4.1
        ("ST205/75R14", "ST205/75R14", SizeKind.ST, Build.RADIAL),
        ("st 205/75 r 14", "ST205/75R14", SizeKind.ST, Build.RADIAL),
        ("ST205/75 D15", "ST205/75D15", SizeKind.ST, Build.BIAS),
        ("ST175/80-13", "ST175/80-13", SizeKind.ST, Build.BIAS),
        ("175/80D13ST", "ST175/80D13", SizeKind.ST, Build.BIAS),
        ("LT235/85R16", "LT235/85R16", SizeKind.LT, Build.RADIAL),
        ("P205/75R15", "P205/75R15", SizeKind.P, Build.RADIAL),
        ("205/75R15", "205/75R15", SizeKind.EURO, Build.RADIAL),
        ("20.5x8.0-10", "20.5x8.0-10", SizeKind.FLOTATION, Build.BIAS),
        ("20,5 X 8,0 - 10", "20.5x8.0-10", SizeKind.FLOTATION, Build.BIAS),
        ("31x10.50R15LT", "31x10.50R15LT", SizeKind.FLOTATION, Build.RADIAL),
        ("4.80-8", "4.80-8", SizeKind.NUMERIC, Build.BIAS),
        ("4.80/4.00-8", "4.80/4.00-8", SizeKind.NUMERIC, Build.BIAS),
        ("7.00-15LT", "7.00-15LT", SizeKind.NUMERIC, Build.BIAS),
        ("8-14.5 MH", "8-14.5MH", SizeKind.NUMERIC, Build.BIAS),
    ],
)
def test_a_marking_is_read(typed: str, marking: str, kind: SizeKind, build: Build) -> None:
    size = read_size(typed)
    assert (size.marking, size.kind, size.build) == (marking, kind, build)


@pytest.mark.parametrize(
    ("typed", "letter", "index", "dual", "speed"),
    [
        ("ST205/75R14 C 100/96M", "C", 100, 96, "M"),
        ("ST225/75R15 Load Range E", "E", None, None, ""),
        ("ST225/75R15 LRD 113/108N", "D", 113, 108, "N"),
        ("LT235/85R16 120/116R", "", 120, 116, "R"),
        ("P205/75R15 97S", "", 97, None, "S"),
        ("4.80-12 6PR", "C", None, None, ""),  # 6 ply rating is load range C: tire and rim standards
        ("ST175/80D13 C", "C", None, None, ""),
        ("ST205/75R14 8PR LRD", "D", None, None, ""),
        ("ST205/75R14 LRD 8PR", "D", None, None, ""),
        ("ST235/80R16 10PR 124/121N", "E", 124, 121, "N"),
    ],
)
def test_what_stands_behind_the_size_is_read(
    typed: str, letter: str, index: int | None, dual: int | None, speed: str
) -> None:
    size = read_size(typed)
    assert (size.load_range, size.index, size.dual_index, size.speed) == (letter, index, dual, speed)


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "ST205",
        "ST95/75R14",
        "ST405/75R14",
        "ST205/25R14",
        "ST205/105R14",
        "ST205/75R7",
        "ST205/75R25",
        "ST205/75R14.7",
        "13x6.0-10",  # no sidewall left
        "205 75 14",
        "ST205/75R14; DROP",
        "ST٢٠٥/75R14",
    ],
)
def test_what_is_no_size_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(Impossible) as refused:
        read_size(typed)
    assert "ST205/75R14" in refused.value.accepts


def test_a_size_without_letters_is_questioned_as_a_passenger_size() -> None:
    size = read_size("205/75R14")
    assert size.passenger
    assert [(it.field, it.ask) for it in size.problems] == [("size", True)]
    assert read_size("P205/75R14").passenger
    assert not read_size("ST205/75R14").passenger
    assert read_size("ST205/75R14").problems == ()


@pytest.mark.parametrize(
    ("typed", "diameter", "per_mile", "per_km"),
    [
        # diameter: rim x 25.4 + 2 x section x aspect (ISO 4000-1); turns: / 3.05 or 2.99 of it (ETRTO);
        # worked with a hand calculator
        ("ST205/75R14", "663.1", "795.7", "494.4"),
        ("ST175/80R13", "610.2", "864.7", "537.3"),
        ("ST225/75R15", "718.5", "734.4", "456.3"),
        ("ST235/80R16", "782.4", "674.4", "419.1"),
        ("ST145/80R12", "536.8", "983.0", "610.8"),
        ("ST225/75D15", "718.5", "749.1", "465.5"),
        ("20.5x8.0-10", "520.7", "1033.7", "642.3"),
        ("31x10.50R15LT", "787.4", "670.1", "416.4"),
    ],
)
def test_geometry_of_a_size(typed: str, diameter: str, per_mile: str, per_km: str) -> None:
    size = read_size(typed)
    assert overall_diameter(size).value == Decimal(diameter)
    assert round(revolutions_per_mile(size).value, 1) == Decimal(per_mile)
    assert round(revolutions_per_km(size).value, 1) == Decimal(per_km)


@pytest.mark.parametrize(
    ("typed", "tabled_in", "within_percent"),
    [
        # overall diameters of published trailer tire tables, in inches
        ("ST175/80R13", "23.9", "1.3"),
        ("ST205/75R14", "26.1", "1.3"),
        ("ST225/75R15", "28.3", "1.3"),
        ("ST235/80R16", "30.7", "1.3"),
        ("4.80-12", "20.5", "0.01"),
        ("5.30-12", "21.9", "0.01"),
        ("7.00-15LT", "29.4", "0.01"),
        ("4.50-8", "16.5", "5"),  # an estimate: rim + 1.78 x section
    ],
)
def test_the_diameter_agrees_with_the_tables(typed: str, tabled_in: str, within_percent: str) -> None:
    found = overall_diameter(read_size(typed)).value / Decimal("25.4")
    assert abs(found / Decimal(tabled_in) - 1) * 100 <= Decimal(within_percent)


def test_a_numeric_size_on_a_large_rim_asks_for_a_tape() -> None:
    with pytest.raises(Impossible, match="does not tell the diameter"):
        overall_diameter(read_size("9.50-16.5LT"))


def test_circumference_in_mm_and_inches() -> None:
    assert circumference(read_size("ST205/75R14")).says == "2,083\u00a0mm (82.0\u00a0in)"  # pi x 663.1 mm


@pytest.mark.parametrize(
    ("typed", "low", "high"),
    [
        # rims of trailer tire tables
        ("ST175/80R13", "4.5", "5.5"),
        ("ST205/75R14", "5", "6.5"),
        ("ST225/75R15", "5", "7"),
        ("ST235/80R16", "6", "7.5"),
        ("4.80-12", "4", "4"),
        ("ST205/75R15", "5", "6.5"),  # 0.62 to 0.82 of 8.07 in
    ],
)
def test_rims_that_a_size_goes_on(typed: str, low: str, high: str) -> None:
    assert rim_widths(read_size(typed)).value == (Decimal(low), Decimal(high))


@pytest.mark.parametrize(
    ("present", "other", "percent", "lift"),
    [
        ("ST205/75R14", "ST215/75R14", "2.262", "7.5"),  # 15.0 of 663.1 mm
        ("ST205/75R15", "ST225/75R15", "4.357", "15.0"),  # 30.0 of 688.5 mm
        ("ST225/75R15", "ST205/75R15", "-4.175", "-15.0"),
        ("ST205/75R14", "ST205/75R14", "0", "0.0"),
    ],
)
def test_a_change_of_size(present: str, other: str, percent: str, lift: str) -> None:
    figure = size_change(read_size(present), read_size(other))
    assert round(figure.value, 3) == Decimal(percent)
    assert f"stands {lift}\u00a0mm higher" in figure.says
    assert "hitch" in figure.caution


metric = st.builds(
    lambda prefix, section, aspect, build, rim: f"{prefix}{section}/{aspect}{build}{rim}",
    st.sampled_from(["ST", "LT", "P", ""]),
    st.integers(100, 400),
    st.integers(30, 99),
    st.sampled_from(["R", "D", "-"]),
    st.integers(8, 24),
)


@given(metric, st.sampled_from(["", " C", " LRE", " 100/96M"]))
def test_a_printed_size_is_read_back(marking: str, tail: str) -> None:
    assert str(read_size(marking + tail)) == marking
    assert read_size(marking.lower()) == read_size(marking)


@given(st.text(max_size=20))
def test_any_text_is_a_size_or_refused(typed: str) -> None:
    try:
        assert read_size(typed).rim >= 8
    except Impossible as impossible:
        assert impossible.accepts


@given(metric, metric)
def test_a_larger_wheel_turns_less(one: str, other: str) -> None:
    small, large = sorted((read_size(one), read_size(other)), key=lambda it: overall_diameter(it).value)
    if small.build is large.build:
        assert revolutions_per_mile(small).value >= revolutions_per_mile(large).value
    assert circumference(small).value <= circumference(large).value


@given(metric)
def test_a_mile_is_1_609344_km(marking: str) -> None:
    size = read_size(marking)
    ratio = revolutions_per_mile(size).value / revolutions_per_km(size).value
    assert abs(ratio - Decimal("1.609344")) < Decimal("1e-20")


@pytest.mark.parametrize(
    ("typed", "height_mm"),
    [
        # section x aspect / 100: ISO 4000-1
        ("ST205/75R14", "153.75"),
        ("ST175/80R13", "140"),
        ("ST225/75R15", "168.75"),
        ("ST235/80R16", "188"),
        ("ST145/80R12", "116"),
    ],
)
def test_the_sidewall_is_half_of_what_the_rim_leaves(typed: str, height_mm: str) -> None:
    size = read_size(typed)
    left = overall_diameter(size).value - size.rim * Decimal("25.4")
    assert left == 2 * Decimal(height_mm)


@pytest.mark.parametrize(
    ("typed", "mm"), [("4.80-12", "121.92"), ("ST205/75R14", "205"), ("20.5x8.0-10", "203.2")]
)
def test_the_section_in_mm(typed: str, mm: str) -> None:
    assert read_size(typed).section_mm == Decimal(mm)  # 25.4 mm an inch, exact


def test_the_letters_do_not_change_the_geometry() -> None:
    diameters = {overall_diameter(read_size(f"{it}205/75R14")).value for it in ("ST", "LT", "P", "")}
    assert len(diameters) == 1


def test_bias_tires_turn_a_little_more() -> None:
    # rolling circumference 2.99 against 3.05 diameters: ETRTO
    radial, bias = (revolutions_per_mile(read_size(f"ST225/75{it}15")).value for it in "RD")
    assert round(bias / radial, 4) == Decimal("1.0201")


@given(metric)
def test_the_rims_found_lie_in_the_section(marking: str) -> None:
    low, high = rim_widths(read_size(marking)).value
    section = read_size(marking).section_mm / Decimal("25.4")
    assert section * Decimal("0.5") < low <= high < section * Decimal("0.9")

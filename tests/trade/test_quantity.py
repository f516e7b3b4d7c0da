"""Numbers as people type them, and units against the outside."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.quantity import UNITS, Quantity, alike, convert, read_number, with_unit

# Exact factors: NIST SP 811 (2008), appendix B.8 and B.9, unless said otherwise
FACTORS = [
    ("1", "in", "mm", "25.4"),
    ("1", "ft", "m", "0.3048"),
    ("1", "mi", "km", "1.609344"),
    ("1", "lb", "kg", "0.45359237"),
    ("1", "oz", "g", "28.349523125"),
    ("1", "lbf_ft", "N_m", "1.355817948"),
    ("1", "lbf_in", "N_m", "0.1129848290"),
    ("1", "kgf_m", "N_m", "9.80665"),
    ("1", "psi", "kPa", "6.894757"),
    ("1", "bar", "kPa", "100"),
    ("1", "in_wc", "kPa", "0.2490889"),
    ("1", "gal", "L", "3.785412"),
    ("1", "mph", "km_h", "1.609344"),
    ("1", "btu_h", "btu_h", "1"),
    ("32", "degF", "degC", "0"),
    ("212", "degF", "degC", "100"),
    ("-40", "degC", "degF", "-40"),
    ("32", "in_32nd", "in", "1"),  # by its name
    ("8", "in_32nd", "mm", "6.35"),  # 1/4 in
    ("1000", "thou", "in", "1"),  # by its name
]


@pytest.mark.parametrize(("typed", "unit", "into", "expected"), FACTORS)
def test_units_convert_as_published(typed: str, unit: str, into: str, expected: str) -> None:
    found = Quantity(typed, unit).to(into)
    assert abs(found - Decimal(expected)) <= abs(Decimal(expected)) * Decimal("1e-6") + Decimal("1e-20")


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("3.5", "3.5"),
        ("3,5", "3.5"),
        (" 12 ", "12"),
        ("1 3/8", "1.375"),
        ("1-3/8", "1.375"),
        ("5/32", "0.15625"),
        ("1½", "1.5"),
        ("2 5/16", "2.3125"),
        ("-2", "-2"),
        ("\u22122.5", "-2.5"),  # typographic minus
        ("-1 1/2", "-1.5"),
        (".25", "0.25"),
        ("7.", "7"),
        ("1 250", "1250"),
        ("0,250", "0.250"),
        ("12,50", "12.50"),
    ],
)
def test_numbers_are_read_as_people_type_them(typed: str, value: str) -> None:
    assert read_number(typed) == Decimal(value)


@pytest.mark.parametrize("typed", ["1,250", "12,500", "-1,250"])
def test_a_comma_that_can_mean_two_things_is_asked_not_guessed(typed: str) -> None:
    with pytest.raises(Impossible, match="can mean"):
        read_number(typed)


@pytest.mark.parametrize(
    "typed",
    [
        *("", "abc", "5O", "1e5", "1e999999", "NaN", "inf", "--1", "1.2.3", "1,2,3", "5/0", "1/2/3", "0x10"),
        *("１２", "٣", "\0", "1;2", "9" * 40, "1_000"),
    ],
)
def test_what_is_no_number_is_refused_in_words(typed: str) -> None:
    with pytest.raises(Impossible) as refused:
        read_number(typed)
    assert refused.value.accepts


@given(st.text(max_size=60))
def test_no_text_whatever_breaks_the_reader(text: str) -> None:
    try:
        assert read_number(text).is_finite()
    except Impossible as refused:
        assert refused.says


@given(st.decimals(-100_000, 100_000, allow_nan=False, places=3))
def test_a_printed_decimal_reads_back(number: Decimal) -> None:
    assert read_number(str(number)) == number


@given(
    st.decimals("0.001", 100_000, allow_nan=False, places=3),
    st.sampled_from([(unit, other) for unit in UNITS for other in UNITS if alike(unit, other)]),
)
def test_there_and_back_is_the_same(number: Decimal, pair: tuple[str, str]) -> None:
    unit, other = pair
    back = convert(convert(number, unit, other), other, unit)
    assert abs(back - number) <= abs(number) * Decimal("1e-20") + Decimal("1e-18")


@pytest.mark.parametrize(
    ("typed", "unit", "number", "printed"),
    [
        ("8/32", "in_32nd", "8", "8/32\u00a0in"),
        (" 10 / 32 ", "in_32nd", "10", "10/32\u00a0in"),
        ("1/2", "in_32nd", "0.5", "1/2/32\u00a0in"),  # half a 32nd
        ("8/32", "in", "0.25", "8/32\u00a0in"),
    ],
)
def test_the_fraction_on_a_gauge_is_not_divided_twice(
    typed: str, unit: str, number: str, printed: str
) -> None:
    found = Quantity(typed, unit)
    assert (found.value, str(found), found.typed) == (Decimal(number), printed, typed)


def test_what_was_typed_is_what_is_printed() -> None:
    assert str(Quantity("1.10", "lbf_ft")) == "1.10\u00a0lbf·ft"
    assert str(Quantity("3.5", "in_32nd")) == "3.5/32\u00a0in"
    assert with_unit("14", "percent") == "14\u00a0%"
    assert with_unit("68", "degF") == "68\u00a0°F"
    assert with_unit("3", "count") == "3"


def test_kinds_are_never_mixed() -> None:
    with pytest.raises(ValueError, match="cannot become"):
        Quantity("1", "psi").to("lb")
    assert not alike("psi", "lb")
    assert not alike("psi", "parsec")
    with pytest.raises(KeyError):
        Quantity("1", "parsec")

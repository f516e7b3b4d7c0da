"""Figures of cloth, film, screen and zippers against published conversions and tables."""

from decimal import Decimal

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.cloths import cloth_mass, film_mm, screen_opening, slider_sizes, teeth_an_inch
from app.trade.problems import Impossible
from app.trade.quantity import convert


@pytest.mark.parametrize(
    ("ounces", "grams"),
    [
        # 1 oz/yd² = 33.905747 g/m²: 28.349523125 g (NIST SP 811) by 0.83612736 m².
        ("1", "33.9"),
        ("8", "271.2"),
        ("10", "339.1"),
        ("10.1", "342.4"),
        ("18", "610.3"),
        ("22", "745.9"),
    ],
)
def test_ounces_a_square_yard_in_grams_a_square_metre(ounces: str, grams: str) -> None:
    found = cloth_mass(Decimal(ounces))
    assert found.value == Decimal(grams)
    assert found.says == f"{grams} g/m²"
    assert "22 by 36 in" in found.caution


@pytest.mark.parametrize(
    ("thousandths", "mm"), [("12", "0.30"), ("16", "0.41"), ("20", "0.51"), ("30", "0.76"), ("40", "1.02")]
)
def test_film_in_thousandths_of_an_inch(thousandths: str, mm: str) -> None:
    assert film_mm(Decimal(thousandths)) == Decimal(mm)  # 1 in = 25.4 mm exactly


def test_a_screen_of_eighteen_by_sixteen_is_open_by_its_count() -> None:
    # By hand: 25.4 / 18 - 0.28 = 1.131, 25.4 / 16 - 0.28 = 1.3075.
    assert screen_opening(Decimal(18), Decimal("0.28")) == Decimal("1.13")
    assert screen_opening(Decimal(16), Decimal("0.28")) == Decimal("1.31")


def test_teeth_are_counted_over_fifty_millimetres() -> None:
    # By hand: 20 teeth over 50 mm are 20 * 25.4 / 50 = 10.16 an inch.
    assert teeth_an_inch(20, Decimal(50)).value == Decimal("10.2")
    assert teeth_an_inch(10, Decimal("25.4")).value == 10


@pytest.mark.parametrize(
    ("mouth", "sizes"),
    [
        ("3.8", "1 to 2"),  # ASTM D3657, table 1
        ("3.9", "3 to 4"),
        ("5.7", "3 to 4"),
        ("5.8", "5 to 6"),
        ("7.0", "5 to 6"),
        ("7.1", "7 to 10"),
    ],
)
def test_a_slider_is_grouped_by_its_mouth(mouth: str, sizes: str) -> None:
    assert slider_sizes(Decimal(mouth)) == sizes


def test_figures_that_cannot_be_are_refused() -> None:
    for slip in (
        lambda: cloth_mass(Decimal(0)),
        lambda: cloth_mass(Decimal(41)),
        lambda: film_mm(Decimal(3)),
        lambda: film_mm(Decimal(121)),
        lambda: screen_opening(Decimal(0), Decimal("0.2")),
        lambda: screen_opening(Decimal(18), Decimal("1.5")),
        lambda: teeth_an_inch(0, Decimal(50)),
        lambda: teeth_an_inch(20, Decimal(0)),
        lambda: slider_sizes(Decimal(0)),
        lambda: slider_sizes(Decimal(21)),
    ):
        with pytest.raises(Impossible) as refused:
            slip()
        assert refused.value.accepts


@pytest.mark.parametrize("ounces", ["7", "8.5", "12", "14", "15.5", "25"])
def test_mass_agrees_with_the_unit_library(ounces: str) -> None:
    """pint as reference: ounces a square yard into grams a square metre."""
    units = pint.UnitRegistry(non_int_type=Decimal)
    theirs = units.Quantity(Decimal(ounces), "ounce / yard ** 2").to("gram / meter ** 2").magnitude
    assert abs(cloth_mass(Decimal(ounces)).value - theirs) <= Decimal("0.05")


@settings(deadline=None)
@given(st.integers(4, 120))
def test_film_agrees_with_the_units_of_the_house(thousandths: int) -> None:
    assert abs(film_mm(Decimal(thousandths)) - convert(Decimal(thousandths), "thou", "mm")) <= Decimal(
        "0.005"
    )


@settings(deadline=None)
@given(st.integers(8, 40), st.integers(5, 30))
def test_thread_and_opening_make_up_the_mesh(count: int, hundredths: int) -> None:
    """By hand: opening and thread together, as often as threads are counted, are one inch."""
    thread = Decimal(hundredths) / 100
    opening = screen_opening(Decimal(count), thread)
    assert abs((opening + thread) * count - Decimal("25.4")) <= Decimal("0.005") * count


def test_midges_stay_out_of_a_fine_mesh() -> None:
    # Common practice: an opening of at most 0.7 mm, about 30 threads an inch of 0.18 mm.
    assert screen_opening(Decimal(30), Decimal("0.18")) == Decimal("0.67")


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(20, 200))
def test_teeth_counted_twice_as_far_are_twice_as_many(teeth: int, over: int) -> None:
    once, twice = teeth_an_inch(teeth, Decimal(over)), teeth_an_inch(2 * teeth, Decimal(2 * over))
    assert once.value == twice.value
    assert once.inputs[0].says == str(teeth)


@settings(deadline=None)
@given(st.integers(1, 200))
def test_every_slider_has_its_group(tenths: int) -> None:
    mouth = Decimal(tenths) / 10
    sizes = slider_sizes(mouth)
    smaller = [slider_sizes(Decimal(it) / 10) for it in range(1, tenths)]
    assert all(int(it.split(" to ")[0]) <= int(sizes.split(" to ")[0]) for it in smaller)

"""Figures of cloth, film, screen and zippers against published conversions and tables."""

from decimal import Decimal

import pytest

from app.trade.canvas.cloths import cloth_mass, film_mm, screen_opening, slider_sizes, teeth_an_inch
from app.trade.problems import Impossible


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

from decimal import Decimal

import pytest

from app.trade.bounds import above_zero, not_negative, pounds, says
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, convert


@pytest.mark.parametrize(
    ("value", "unit", "into", "exact"),
    [
        # exact by definition: 1 in is 25.4 mm, 1 ft is 0.3048 m (international yard and pound agreement)
        ("25.4", "mm", "in", "1"),
        ("2032", "mm", "in", "80"),
        ("1.5875", "mm", "in_32nd", "2"),
        ("9.144", "m", "ft", "30"),
        ("3", "min", "h", "0.05"),
        ("68", "degF", "degC", "20"),
    ],
)
def test_a_reading_at_a_limit_stays_at_it_in_another_unit(
    value: str, unit: str, into: str, exact: str
) -> None:
    assert convert(Decimal(value), unit, into) == Decimal(exact)


def test_nothing_and_less_are_refused_with_the_unit_that_is_meant() -> None:
    assert above_zero("Width", Quantity("80", "in"), "in") == 80
    assert not_negative("Lining", Quantity("0", "mm"), "in") == 0
    with pytest.raises(Impossible, match="Width cannot be 0"):
        above_zero("Width", Quantity("0", "in"), "in")
    with pytest.raises(Impossible, match="0 or more, in mm"):
        not_negative("Lining", Quantity("-1", "mm"), "mm")


def test_a_number_is_printed_with_its_unit() -> None:
    assert says(Decimal("1234.56"), "lb").replace("\u00a0", " ") == "1,235 lb"
    assert says(Decimal("0.05"), "V", 1).replace("\u00a0", " ") == "0.1 V"


def test_a_computed_weight_reads_as_people_write_it() -> None:
    assert pounds(Decimal("720.000000")).typed == "720"
    assert pounds(Decimal("6000")).typed == "6000"  # never 6E+3
    assert pounds(Decimal("1") / 3).typed == "0.333333"

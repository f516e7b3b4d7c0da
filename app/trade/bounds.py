"""Readings held against what can exist, and numbers set as people read them."""

from decimal import Decimal

from app.trade.figure import plain
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, with_unit


def above_zero(name: str, reading: Quantity, unit: str) -> Decimal:
    """The reading in `unit`; raises Impossible where it is not above 0."""
    found = reading.to(unit)
    if found <= 0:
        raise Impossible(f"{name} cannot be {reading}", f"a number above 0, in {with_unit('', unit).strip()}")
    return found


def not_negative(name: str, reading: Quantity, unit: str) -> Decimal:
    """The reading in `unit`; raises Impossible where it is under 0."""
    found = reading.to(unit)
    if found < 0:
        raise Impossible(f"{name} cannot be {reading}", f"0 or more, in {with_unit('', unit).strip()}")
    return found


def says(number: Decimal, unit: str, places: int = 0) -> str:
    """A computed number with its unit as printed, rounded half up to `places`."""
    return with_unit(plain(number, places), unit)


def pounds(weight: Decimal) -> Quantity:
    """A computed weight in lb as a quantity, to a millionth, without needless zeros."""
    return Quantity(f"{round(weight, 6).normalize():f}", "lb")

"""A measured quantity: kept as typed, with its unit; converted once on the way out.

Units of the trade in short keys (`in`, `in_32nd`, `lbf_ft`, `N_m`, `psi`, `kPa`, `lb`, `kg`, `V`, `A`,
`ohm`, `oz`, `g`, `degF`, `degC`, `in_wc`, ...). pint does the converting with Decimal; its types stop here.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from app.trade.problems import Impossible

# key: (as printed, as pint reads it)
UNITS: dict[str, tuple[str, str]] = {
    "": ("", "dimensionless"),
    "count": ("", "dimensionless"),
    "percent": ("%", "percent"),
    "in": ("in", "inch"),
    "in_32nd": ("/32 in", "inch_32nd"),
    "thou": ("thousandths in", "thou"),
    "ft": ("ft", "foot"),
    "mi": ("miles", "mile"),
    "km": ("km", "kilometer"),
    "mm": ("mm", "millimeter"),
    "m": ("m", "meter"),
    "in2": ("in²", "inch ** 2"),
    "ft2": ("ft²", "foot ** 2"),
    "mm2": ("mm²", "millimeter ** 2"),
    "lbf_ft": ("lbf·ft", "foot * pound_force"),
    "lbf_in": ("lbf·in", "inch * pound_force"),
    "N_m": ("N·m", "newton * meter"),
    "kgf_m": ("kgf·m", "kilogram_force * meter"),
    "lb": ("lb", "pound"),
    "kg": ("kg", "kilogram"),
    "oz": ("oz", "ounce"),
    "g": ("g", "gram"),
    "lbf": ("lbf", "pound_force"),
    "N": ("N", "newton"),
    "kN": ("kN", "kilonewton"),
    "psi": ("psi", "psi"),
    "kPa": ("kPa", "kilopascal"),
    "bar": ("bar", "bar"),
    "ksi": ("ksi", "ksi"),
    "MPa": ("MPa", "megapascal"),
    "oz_in": ("oz·in", "ounce * inch"),
    "g_mm": ("g·mm", "gram * millimeter"),
    "in_wc": ("in wc", "inch_wc"),
    "V": ("V", "volt"),
    "mV": ("mV", "millivolt"),
    "A": ("A", "ampere"),
    "mA": ("mA", "milliampere"),
    "ohm": ("ohm", "ohm"),
    "Ah": ("Ah", "ampere * hour"),
    "degF": ("°F", "degree_Fahrenheit"),
    "degC": ("°C", "degree_Celsius"),
    "deg": ("°", "degree"),
    "s": ("s", "second"),
    "min": ("min", "minute"),
    "h": ("h", "hour"),
    "day": ("days", "day"),
    "month": ("months", "month"),
    "year": ("years", "year"),
    "mph": ("mph", "mile / hour"),
    "km_h": ("km/h", "kilometer / hour"),
    "rpm": ("rpm", "revolution / minute"),
    "ppm": ("ppm", "dimensionless"),
    "gal": ("gal", "gallon"),
    "L": ("L", "liter"),
    "btu_h": ("Btu/h", "Btu / hour"),
}

_MIXED = re.compile(r"^([+-]?)(?:(\d+)[ -])?(\d+)/(\d+)$")
_PLAIN = re.compile(r"^[+-]?(\d+(\.\d*)?|\.\d+)$")
_OF_32 = re.compile(r"^\s*(\d+)\s*/\s*32\s*$")
_SPACES = re.compile(r"[\u00a0\u2009\u202f\s]+")
_EXACT = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
LONGEST = 32
ALIKE = Decimal("0.005")  # of a limit, by which a reading in another unit may be rounded onto it
KEPT = Context(prec=22)  # digits of a conversion: its last ones are noise, and 25.4 mm must not be under 1 in


@cache
def _registry() -> Any:  # noqa: ANN401 - pint has no types of its own to name here
    import pint

    units: Any = pint.UnitRegistry(non_int_type=Decimal, autoconvert_offset_to_baseunit=True)
    units.define("inch_32nd = inch / 32")
    units.define("inch_wc = 249.0889 pascal")  # conventional inch of water: NIST SP 811, appendix B.8
    return units


def read_number(typed: str) -> Decimal:
    """The number that stands in a text: `3.5`, `3,5`, `1 3/8`, `5/32`, `-2`; blanks are ignored.

    Raises Impossible where it is no number, and where a comma could mean two things (`1,250`).
    """
    text = typed.strip()
    if len(text) > LONGEST:
        raise Impossible("This is too long for a number", f"at most {LONGEST} characters")
    for sign, spelled in _EXACT.items():
        text = text.replace(sign, spelled)
    text = _SPACES.sub(" ", text.replace("\u2212", "-").replace("\u2013", "-")).strip()
    if mixed := _MIXED.match(text):
        return _mixed(mixed)
    return _decimal(text.replace(" ", ""), typed)


def read_in(typed: str, unit: str) -> Decimal:
    """The number that a text gives in a unit: 8/32 of a field in 32nds of an inch is 8 of them.

    Gauges of tread and lining say 8/32; nobody means a quarter of a 32nd. Raises Impossible as `read_number`.
    """
    return read_number(_without_unit(typed, unit))


def _without_unit(typed: str, unit: str) -> str:
    whole = _OF_32.match(typed) if unit == "in_32nd" else None
    return whole[1] if whole else typed


def _mixed(found: re.Match[str]) -> Decimal:
    sign, whole, above, below = found.groups()
    if int(below) == 0:
        raise Impossible("A fraction cannot have 0 below the line", "a number such as 1 3/8")
    fraction = Fraction(int(whole or 0)) + Fraction(int(above), int(below))
    size = Decimal(fraction.numerator) / Decimal(fraction.denominator)
    return -size if sign == "-" else size


def _decimal(text: str, typed: str) -> Decimal:
    if re.match(r"^[+-]?[1-9]\d{0,2},\d{3}$", text):
        with_point, without = text.replace(",", "."), text.replace(",", "")
        raise Impossible(f"{typed.strip()} can mean {with_point} or {without}", f"{with_point} or {without}")
    text = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    if not text.isascii() or not _PLAIN.match(text):
        raise Impossible("This is not a number", "a number such as 12, 3.5 or 1 3/8")
    return Decimal(text)


@dataclass(frozen=True)
class Quantity:
    """A quantity as typed, with its unit key; `value` is its exact Decimal in that unit.

    Raises Impossible where the text is no number, KeyError where the unit is not ours.
    """

    typed: str
    unit: str

    def __post_init__(self) -> None:
        UNITS[self.unit]
        read_in(self.typed, self.unit)

    @property
    def value(self) -> Decimal:
        """The typed number in its own unit."""
        return read_in(self.typed, self.unit)

    def to(self, unit: str) -> Decimal:
        """The quantity in another unit of the same kind; ValueError where the kinds differ."""
        return convert(self.value, self.unit, unit)

    def under(self, limit: Decimal, unit: str) -> bool:
        """Whether it lies under a limit in `unit`; what reads as the limit itself does not."""
        return self.against((limit,), unit) < limit

    def over(self, limit: Decimal, unit: str) -> bool:
        """Whether it lies over a limit in `unit`; what reads as the limit itself does not."""
        return self.against((limit,), unit) > limit

    def against(self, limits: Iterable[Decimal], unit: str) -> Decimal:
        """The number in the unit of some limits, and the limit itself where both read alike as typed.

        11 in wc stand in a table of kPa as 2.74, so that a gauge which shows 2.74 kPa shows the limit and not
        a hair over it. Alike is only what lies within half a percent: 3 kPa is not 11 in wc.
        """
        if unit == self.unit:
            return self.value
        return next((limit for limit in limits if self._reads(limit, unit)), self.to(unit))

    def _reads(self, limit: Decimal, unit: str) -> bool:
        return reads_as(self.value, convert(limit, unit, self.unit))

    def __str__(self) -> str:
        return with_unit(self.typed, self.unit)


def reads_as(reading: Decimal, worked: Decimal) -> bool:
    """Whether a reading, with the digits it was typed with, is what a number that was worked out reads as.

    Never where they lie more than half a percent apart, however few the digits.
    """
    half_a_step = Decimal(5).scaleb(int(reading.as_tuple().exponent) - 1)
    return abs(worked - reading) <= min(half_a_step, ALIKE * abs(worked))


def convert(value: Decimal, unit: str, into: str) -> Decimal:
    """A bare number from one unit key into another; ValueError where they measure different things."""
    if unit == into:
        return value
    import pint

    units = _registry()
    try:
        found = units.Quantity(value, UNITS[unit][1]).to(UNITS[into][1]).magnitude
    except pint.DimensionalityError as mixed:
        raise ValueError(f"{unit} cannot become {into}") from mixed
    return KEPT.plus(found if isinstance(found, Decimal) else Decimal(str(found)))


def bound_in(end: str, unit: str, into: str, rounding: str) -> str:
    """An end of a range with its unit, for people who chose another: converted, then three digits of it.

    `rounding`: up for the lower end and down for the upper one, so that what is told is taken.
    """
    if into == unit:
        return with_unit(end, unit)
    found = convert(Decimal(end), unit, into)
    step = Decimal(1).scaleb(found.adjusted() - 2)
    return with_unit(f"{found.quantize(step, rounding).normalize():f}", into)


def alike(unit: str, other: str) -> bool:
    """Whether two unit keys are ours and measure the same kind of thing."""
    if unit not in UNITS or other not in UNITS:
        return False
    try:
        convert(Decimal(1), unit, other)
    except ValueError:
        return False
    return True


def with_unit(number: str, unit: str) -> str:
    """Number and unit as printed, a no-break space between (`3.5/32 in`, `110 lbf·ft`, `14 %`)."""
    printed, number = UNITS[unit][0], _without_unit(number, unit)
    if not printed:
        return number
    gap = "" if printed.startswith(("/", "°")) and printed not in ("°F", "°C") else "\u00a0"
    return f"{number}{gap}{printed}".replace(" ", "\u00a0")

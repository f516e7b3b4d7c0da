"""Readings as typed at a check: kept to the letter, with the value that they mean.

The form sends `reading-<measure>` and, where several units may be typed, `unit-<measure>`.
"""

import re
from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from app.inspection.catalogue import Check, Measure
from app.trade.dates import Month, read_month
from app.trade.problems import Impossible, Problem, Refused
from app.trade.quantity import UNITS, Quantity, bound_in, with_unit
from app.trade.tin import DATE_ACCEPTS, DateCode, read_date_code
from app.trade.typed import LINE, unprintable

Value = Quantity | DateCode | Month | date | str
PLACES = 9  # decimals that count after a conversion: 1.5875 mm is 2/32 in, not a hair under it
FAR = Decimal(10) ** 12
DAY_ACCEPTS = "year-month-day, such as 2026-05-08"
_ISO_DAY = re.compile(r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")


@dataclass(frozen=True)
class Reading:
    """One reading: the measure's key, the text exactly as typed, its unit key, and what it means."""

    measure: str
    typed: str
    unit: str
    value: Value

    def __str__(self) -> str:
        return str(self.value)

    @property
    def quantity(self) -> Quantity | None:
        """The reading as a quantity; None where it is no number."""
        return self.value if isinstance(self.value, Quantity) else None

    def number_in(self, unit: str) -> Decimal | None:
        """The number in a unit, free of the hair that a conversion leaves; None where it is no number."""
        return None if self.quantity is None else in_unit(self.quantity, unit)


def in_unit(quantity: Quantity, unit: str) -> Decimal:
    """A quantity in another unit, rounded to nine decimals where it had to be converted."""
    if quantity.unit == unit:
        return quantity.value
    found = quantity.to(unit)
    return found if abs(found) > FAR else round(found, PLACES)


def confirmed_in(typed: Mapping[str, str]) -> set[str]:
    """Fields of a form whose unlikely text came back confirmed: `confirm-<field>` holds the same text."""
    return {
        field
        for field, text in typed.items()
        if field.startswith("reading-") and typed.get(f"confirm-{field}") == text
    }


def read_readings(
    check: Check, typed: Mapping[str, str], confirmed: AbstractSet[str], day: date
) -> dict[str, Reading]:
    """The readings that stand in a form, by measure; a field left empty is no reading.

    `confirmed`: field names whose unlikely value a person has confirmed. `day`: the day of the look; dates
    may not lie after it. Raises Refused with every problem: the impossible refused, the unlikely asked.
    """
    found: dict[str, Reading] = {}
    problems: list[Problem] = []
    for measure in check.measures:
        text = typed.get(f"reading-{measure.key}", "")
        if not text.strip():
            continue
        try:
            found[measure.key] = _read(measure, text, typed.get(f"unit-{measure.key}", ""), day)
        except Refused as refused:
            problems += refused.problems
            continue
        problems += _asked(measure, found[measure.key], confirmed)
    if problems:
        raise Refused(problems)
    return found


def _read(measure: Measure, text: str, unit: str, day: date) -> Reading:
    field = f"reading-{measure.key}"
    chosen = unit.strip() or measure.unit
    if chosen not in measure.units:
        accepts = " or ".join(UNITS[key][0] or "no unit" for key in measure.units)
        raise Refused([Problem(f"unit-{measure.key}", f"{chosen[:20]} is not a unit of this", accepts)])
    try:
        value = READERS[measure.kind](Field(measure, text.strip(), chosen, day))
    except Impossible as impossible:
        raise Refused([impossible.at(field)]) from None
    return Reading(measure.key, text, chosen if isinstance(value, Quantity) else "", value)


@dataclass(frozen=True)
class Field:
    """One field as it stands in a form: its measure, the text without outer blanks, the unit, the day."""

    measure: Measure
    text: str
    unit: str
    day: date


def _number(field: Field) -> Quantity:
    found = _quantity(field)
    number = in_unit(found, field.measure.unit)
    low, high = field.measure.least, field.measure.most
    if (low is not None and number < low) or (high is not None and number > high):
        raise Impossible(f"{found} cannot be", accepted(field.measure, field.unit))
    if field.unit == "count" and number != number.to_integral_value():
        raise Impossible(f"{found} cannot be counted", accepted(field.measure))
    return found


def _quantity(field: Field) -> Quantity:
    try:
        return Quantity(field.text, field.unit)
    except Impossible as impossible:
        if field.unit != "count":
            raise
        raise Impossible(impossible.says, accepted(field.measure)) from None


def accepted(measure: Measure, unit: str = "") -> str:
    """What a measure accepts, in words, with an example; in its own unit, or in the one that was chosen."""
    example = f"such as {_told(measure, _example(measure), unit, ROUND_HALF_UP)}"
    low = None if measure.least is None else _told(measure, measure.least, unit, ROUND_CEILING)
    high = None if measure.most is None else _told(measure, measure.most, unit, ROUND_FLOOR)
    if low and high:
        return f"{_bare(low, measure, unit)} to {high}, {example}"
    edge = (
        f"at least {_bare(low, measure, unit)}, "
        if low
        else f"at most {_bare(high, measure, unit)}, "
        if high
        else ""
    )
    return f"{edge}{example}"


def _told(measure: Measure, end: Decimal, unit: str, rounding: str) -> str:
    return bound_in(f"{end:f}", measure.unit, unit or measure.unit, rounding)


def _bare(told: str, measure: Measure, unit: str) -> str:
    return told.removesuffix(with_unit("", unit or measure.unit))


def _example(measure: Measure) -> Decimal:
    low, high = measure.usual or (measure.least or Decimal(0), measure.most or Decimal(10))
    middle = (low + high) / 2
    return middle.to_integral_value() if abs(middle) >= 1 else Decimal(f"{middle:.2g}")


def _date_code(field: Field) -> DateCode:
    return read_date_code(field.text, field.day)


def _month(field: Field) -> Month:
    today = Month.of(field.day)
    found = read_month(field.text, today)
    if found > today:
        raise Impossible(f"{found} lies ahead", f"a month up to {today}")
    return found


def _day(field: Field) -> date:
    if not _ISO_DAY.match(field.text):
        raise Impossible("This is not a date", DAY_ACCEPTS)
    try:
        found = date.fromisoformat(field.text)
    except ValueError:
        raise Impossible("There is no such day", DAY_ACCEPTS) from None
    if found > field.day:
        raise Impossible(f"{found.isoformat()} lies ahead", f"a day up to {field.day.isoformat()}")
    return found


def _text(field: Field) -> str:
    if len(field.text) > LINE:
        raise Impossible(f"This is {len(field.text)} characters long", f"at most {LINE} characters")
    if any(unprintable(char) for char in field.text):
        raise Impossible("This holds characters that cannot be printed", "letters, digits and signs")
    return field.text


def _answer(field: Field) -> str:
    answers = field.measure.answers
    if field.text not in answers:
        raise Impossible(f"{field.text[:40]} is not one of the choices", "one of: " + ", ".join(answers))
    return field.text


READERS: dict[str, Callable[[Field], Value]] = {
    "number": _number,
    "tin": _date_code,
    "month": _month,
    "date": _day,
    "text": _text,
    "choice": _answer,
    "yes_no": _answer,
}


def _asked(measure: Measure, reading: Reading, confirmed: AbstractSet[str]) -> list[Problem]:
    field = f"reading-{measure.key}"
    if field in confirmed:
        return []
    if isinstance(reading.value, DateCode) and not reading.value.latest.usual:
        return [Problem(field, f"{reading.value.latest.year} has 52 weeks", DATE_ACCEPTS, ask=True)]
    number = reading.number_in(measure.unit)
    if number is None or measure.usual is None or measure.usual[0] <= number <= measure.usual[1]:
        return []
    low, high = (
        _told(measure, end, reading.unit, rounding)
        for end, rounding in zip(measure.usual, (ROUND_CEILING, ROUND_FLOOR), strict=True)
    )
    usual = f"usually {_bare(low, measure, reading.unit)} to {high}"
    return [Problem(field, f"{reading} is unusual here", usual, ask=True)]

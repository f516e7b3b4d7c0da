"""What an entry of the workbench is made of: fields, how the figure is worked out, how it is drawn.

An entry is data: the form, the JSON model and the page come from it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Context, Decimal
from enum import StrEnum
from typing import Any, TypeVar

from app.trade.dates import Month
from app.trade.figure import Worked
from app.trade.money import Money
from app.trade.problems import Problem
from app.trade.quantity import UNITS, Quantity, with_unit

Found = TypeVar("Found")
Figures = tuple[Worked[object], ...]
DIGITS = Context(prec=7)  # of a reading taken into another unit: no gauge of a shop tells more
MOST_NUMBERS = 36
FEW, ROOM = 3, 24  # choices, and their letters, that stand in one row

# Units that stand beside a field, the first is that of its limits
LENGTH, SMALL, DIAL = "in mm", "thou mm in", "in mm thou"
ROAD, WEIGHT, FORCE = "ft m", "lb kg", "lbf N"
TORQUE, PRESSURE, GAS = "lbf_ft N_m lbf_in", "psi kPa bar", "in_wc kPa psi"
TREAD, WARMTH, MASS = "in_32nd mm in", "degF degC", "oz g"
TURN, VOLTS, AMPS, MILES = "deg", "V", "A", "mi km"


class Kind(StrEnum):
    """What a field takes."""

    NUMBER = "number"
    NUMBERS = "numbers"
    WHOLE = "whole number"
    MONEY = "amount of money"
    TEXT = "text"
    CHOICE = "choice"
    YES = "yes or no"
    DAY = "date"
    MONTH = "month"


@dataclass(frozen=True)
class Field:
    """One field. `units`: keys, the first is the one of `least`, `most` and `usual`; empty for a bare number.

    `example`: a text that computes. `start`: what a fresh form holds; `today`: that is the day. `counts`:
    fewest and most of a list. `parse`: reads a text, raising Impossible; `questions`: what to ask about what
    it read.
    """

    name: str
    label: str
    kind: Kind
    example: str
    units: tuple[str, ...] = ("",)
    least: str = ""
    most: str = ""
    usual: tuple[str, ...] = ()
    options: tuple[tuple[str, str], ...] = ()
    needed: bool = True
    start: str = ""
    hint: str = ""
    counts: tuple[int, int] = (1, MOST_NUMBERS)
    parse: Callable[[str], object] | None = None
    questions: Callable[[Any], Iterable[Problem]] | None = None
    today: bool = False

    @property
    def unit(self) -> str:
        """The unit that limits are in."""
        return self.units[0]

    @property
    def unit_words(self) -> tuple[tuple[str, str], ...]:
        """Units to choose from, each with its word."""
        return tuple((unit, UNITS[unit][0]) for unit in self.units)

    @property
    def few(self) -> bool:
        """Whether its choices have room beside one another."""
        return len(self.options) <= FEW and sum(len(word) for _, word in self.options) <= ROOM

    @property
    def accepts(self) -> str:
        """What would be taken, with an example."""
        if self.options:
            return "one of: " + ", ".join(value for value, _ in self.options)
        such = f"such as {with_unit(self.example, self.unit) if self.unit else self.example}"
        return f"{self._reach}, {such}" if self._reach else such

    @property
    def _reach(self) -> str:
        if not (self.least and self.most):
            return ""
        return f"{self.least} to {with_unit(self.most, self.unit)}"

    @property
    def tells(self) -> str:
        """The hint beside the field."""
        optional = "" if self.needed or self.kind in (Kind.YES, Kind.CHOICE) else "Leave empty if not known"
        such = "" if self.kind in (Kind.YES, Kind.CHOICE, Kind.DAY) else f"Such as {self.example}"
        return ". ".join(filter(None, (self.hint, such if not self.hint else "", optional)))


class Values:
    """What was read of a form, by field; each accessor knows the type that its kind of field gives."""

    def __init__(self, found: Mapping[str, object]) -> None:
        self.found = dict(found)

    def has(self, name: str) -> bool:
        """Whether the field was filled."""
        return self.found.get(name) not in (None, "", ())

    def of(self, name: str, kind: type[Found]) -> Found:
        """The value of a field; TypeError where the entry asks for another type than its field gives."""
        value = self.found[name]
        if not isinstance(value, kind):
            raise TypeError(f"{name} is {type(value).__name__}, not {kind.__name__}")
        return value

    def quantity(self, name: str) -> Quantity:
        """A reading as typed, with its unit."""
        return self.of(name, Quantity)

    def maybe(self, name: str) -> Quantity | None:
        """A reading as typed, None where the field is empty."""
        return self.quantity(name) if self.has(name) else None

    def number(self, name: str, unit: str = "") -> Decimal:
        """A reading as a bare number in a unit; another unit than the typed one is taken over to 7 digits."""
        return number_in(self.quantity(name), unit)

    def maybe_number(self, name: str, unit: str = "") -> Decimal | None:
        """The same, None where the field is empty."""
        return self.number(name, unit) if self.has(name) else None

    def quantities(self, name: str) -> tuple[Quantity, ...]:
        """The readings of a list; none where it is empty."""
        found = self.of(name, tuple)
        return tuple(each for each in found if isinstance(each, Quantity))

    def numbers(self, name: str, unit: str = "") -> tuple[Decimal, ...]:
        """The readings of a list as bare numbers in a unit."""
        return tuple(number_in(each, unit) for each in self.quantities(name))

    def whole(self, name: str) -> int:
        """A whole number."""
        return self.of(name, int)

    def text(self, name: str) -> str:
        """A text or the value of a choice."""
        return self.of(name, str)

    def yes(self, name: str) -> bool:
        """Whether a box was ticked."""
        return self.of(name, bool)

    def day(self, name: str) -> date:
        """A date."""
        return self.of(name, date)

    def month(self, name: str) -> Month:
        """A month."""
        return self.of(name, Month)

    def money(self, name: str) -> Money:
        """An amount of money."""
        return self.of(name, Money)


def number_in(reading: Quantity, unit: str) -> Decimal:
    """A reading as a bare number in a unit, without needless zeros where it was converted."""
    if reading.unit == unit:
        return reading.value
    return Decimal(f"{DIGITS.plus(reading.to(unit)).normalize():f}")


@dataclass(frozen=True)
class Drawn:
    """A drawing: the template `workbench/draw/<name>.html` and its facts."""

    name: str
    it: object


def not_drawn(_values: Values, _figures: Figures) -> Drawn | None:
    """No drawing: the figure is read, not looked at."""
    return None


@dataclass(frozen=True)
class Figure:
    """One entry. `says`: the question that it answers. `cautions`: keys of the catalogue's cautions.

    `work` gives the worked figures; it may raise Impossible or Refused, which is then said at the field that
    is to blame: `blame`, or the one that is found out.
    """

    key: str
    title: str
    section: str
    says: str
    fields: tuple[Field, ...]
    work: Callable[[Values], Figures]
    draw: Callable[[Values, Figures], Drawn | None] = not_drawn
    cautions: tuple[str, ...] = ()
    blame: str = ""

    @property
    def examples(self) -> dict[str, str]:
        """A form that computes: the example of each field."""
        return {each.name: each.example for each in self.fields}

    def field_of(self, name: str) -> Field | None:
        """The field of a name."""
        return next((each for each in self.fields if each.name == name), None)


# Short ways to write a field


def number(
    name: str,
    label: str,
    units: str,
    example: str,
    reach: tuple[str, str],
    *,
    usual: tuple[str, ...] = (),
    needed: bool = True,
    start: str = "",
    hint: str = "",
) -> Field:
    """A reading; `units`: keys with blanks between, none for a bare number; `reach`: least and most."""
    return Field(
        name=name,
        label=label,
        kind=Kind.NUMBER,
        example=example,
        units=tuple(units.split()) or ("",),
        least=reach[0],
        most=reach[1],
        usual=usual,
        needed=needed,
        start=start,
        hint=hint,
    )


def numbers(
    name: str,
    label: str,
    units: str,
    example: str,
    reach: tuple[str, str],
    *,
    counts: tuple[int, int] = (1, MOST_NUMBERS),
    needed: bool = True,
    hint: str = "",
) -> Field:
    """A list of readings, blanks or semicolons between them."""
    return Field(
        name=name,
        label=label,
        kind=Kind.NUMBERS,
        example=example,
        units=tuple(units.split()) or ("",),
        least=reach[0],
        most=reach[1],
        counts=counts,
        needed=needed,
        hint=hint or f"Blanks or semicolons between, such as {example}",
    )


def whole(
    name: str,
    label: str,
    example: str,
    reach: tuple[int, int],
    *,
    needed: bool = True,
    start: str = "",
    hint: str = "",
) -> Field:
    """A whole number."""
    least, most = map(str, reach)
    return Field(
        name, label, Kind.WHOLE, example, least=least, most=most, needed=needed, start=start, hint=hint
    )


def text(
    name: str,
    label: str,
    example: str,
    *,
    parse: Callable[[str], object] | None = None,
    questions: Callable[[Any], Iterable[Problem]] | None = None,
    needed: bool = True,
    hint: str = "",
) -> Field:
    """A text, read by `parse` where it has a form of its own."""
    return Field(name, label, Kind.TEXT, example, parse=parse, questions=questions, needed=needed, hint=hint)


def choice(name: str, label: str, options: Sequence[tuple[str, str]], example: str = "") -> Field:
    """One of a few; the first stands in a fresh form."""
    first = options[0][0]
    return Field(name, label, Kind.CHOICE, example or first, options=tuple(options), start=first)


def words(kind: type[StrEnum]) -> tuple[tuple[str, str], ...]:
    """The values of an enum as options."""
    return tuple((each.value, each.value) for each in kind)


def yes(name: str, label: str, example: str = "") -> Field:
    """A box to tick."""
    return Field(name, label, Kind.YES, example, needed=False)


def day(name: str, label: str, example: str, *, today: bool = True, needed: bool = True) -> Field:
    """A date; a fresh form starts with today unless told otherwise."""
    return Field(name, label, Kind.DAY, example, today=today, needed=needed)


def month(name: str, label: str, example: str, *, needed: bool = True) -> Field:
    """A month as a mark says it."""
    return Field(name, label, Kind.MONTH, example, needed=needed)


def money(name: str, label: str, example: str, *, needed: bool = True) -> Field:
    """An amount of money."""
    return Field(name, label, Kind.MONEY, example, needed=needed)

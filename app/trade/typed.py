"""Reading a form: text in, values out, every problem collected so that a person sees all of them at once.

A rule makes a `Reader` over what was typed, asks it for each field, and ends with `done()`, which raises
`Refused` with all problems. A value that is possible but unlikely is asked about once: the form comes back
with a key that sends `confirm-<field>` with the same text, and then it is kept.
"""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from enum import StrEnum
from typing import Protocol, TypeVar

from app.trade.money import MONEY_ACCEPTS, Money, read_money
from app.trade.problems import Impossible, Problem, Refused
from app.trade.quantity import UNITS, Quantity, alike, bound_in, read_in

Choice = TypeVar("Choice", bound=StrEnum)

LINE = 200
TEXT = 4000
_DAY = re.compile(r"^(\d{4})-(\d{1,2})-(\d{1,2})$")


class Typed(Protocol):
    """What was sent by a form: text by field name, and all texts of a field that may repeat."""

    def get(self, name: str, default: str = "", /) -> str:
        """The last text of a field."""
        ...

    def all(self, name: str) -> list[str]:
        """All texts of a field."""
        ...


class Texts:
    """A plain mapping as `Typed`: a field holds one text."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self.texts = dict(texts)

    def get(self, name: str, default: str = "", /) -> str:
        """The text of a field."""
        return self.texts.get(name, default)

    def all(self, name: str) -> list[str]:
        """The text of a field as a list."""
        return [self.texts[name]] if name in self.texts else []


class Reader:
    """Reads the fields of one form; see the module."""

    def __init__(self, typed: Typed) -> None:
        self.typed = typed
        self.problems: list[Problem] = []

    def done(self) -> None:
        """Raise Refused with every problem found, or nothing."""
        if self.problems:
            raise Refused(self.problems)

    def wrong(self, field: str, says: str, accepts: str = "") -> None:
        """Note a problem that only the caller could see."""
        self.problems.append(Problem(field, says, accepts))

    def ask(self, field: str, says: str, accepts: str = "") -> None:
        """Question an unlikely value once: nothing is noted where the same text came back confirmed."""
        if self.typed.get(f"confirm-{field}") != self.raw(field):
            self.problems.append(Problem(field, says, accepts, ask=True))

    def raw(self, field: str) -> str:
        """The text as it stands, stripped."""
        return self.typed.get(field, "").strip()

    def text(self, field: str, *, required: str = "", most: int = LINE, lines: bool = False) -> str:
        """A text; `required` is what to say when it is empty. Control characters are refused."""
        found = self.raw(field).replace("\r\n", "\n")
        if not found and required:
            self.wrong(field, required)
        if len(found) > most:
            self.wrong(field, f"This is {len(found)} characters long", f"at most {most} characters")
        if any(unprintable(char, lines=lines) for char in found):
            self.wrong(field, "This holds characters that cannot be printed", "letters, digits and signs")
        return found

    def choice(
        self, field: str, choices: type[Choice], *, required: str = "", accepts: str = ""
    ) -> Choice | None:
        """One of the values of an enum. `accepts`: what to choose, in words; else a form tells its own."""
        found = self.raw(field)
        if found in list(choices):
            return choices(found)
        says = f"{found[:40]} is not one of the choices" if found else required
        if says:
            self.problems.append(_unchosen(field, says, [str(each) for each in choices], accepts))
        return None

    def yes(self, field: str) -> bool:
        """Whether a check box was set."""
        return self.raw(field) in ("on", "yes", "1", "true")

    def number(
        self,
        field: str,
        *,
        least: str = "",
        most: str = "",
        usual: Sequence[str] = (),
        required: str = "",
        unit: str = "",
    ) -> Decimal | None:
        """A decimal number inside `least` to `most` (ends included); outside `usual` it is asked once.

        `unit`: that of the field, where a number may be typed with it (8/32 of 32nds).
        """
        found = self._number(field, required, unit)
        if found is None:
            return None
        return self._within(field, found, least, most, usual)

    def whole(
        self,
        field: str,
        *,
        least: int = 0,
        most: int = 1_000_000,
        required: str = "",
        what: str = "a whole number",
        such_as: str = "",
    ) -> int | None:
        """A whole number inside `least` to `most`; `what` it is and an example, in the words of a refusal."""
        accepts = f"{what} from {least} to {most}" + (f", such as {such_as}" if such_as else "")
        found = self._number(field, required, accepts=accepts)
        if found is None:
            return None
        if found != found.to_integral_value() or not least <= found <= most:
            self.wrong(field, f"{self.raw(field)} cannot be", accepts)
            return None
        return int(found)

    def money(
        self,
        field: str,
        *,
        least: int = 0,
        most: int = 10_000_000,
        usual: Sequence[int] = (),
        required: str = "",
        less: str = "",
    ) -> int | None:
        """An amount in minor units inside `least` to `most`; outside `usual`, or read two ways, asked once.

        `less`: what to do instead of an amount outside.
        """
        found = self._amount(field, required)
        if found is None:
            return None
        if not least <= found <= most:
            self.wrong(field, f"{self.raw(field)} cannot be", f"{_amounts(least, most)}{less}")
            return None
        if usual and not usual[0] <= found <= usual[1]:
            self.ask(field, f"{Money(found)} is unusual", f"usually {_amounts(usual[0], usual[1])}")
        return found

    def quantity(
        self,
        field: str,
        unit: str,
        *,
        least: str = "",
        most: str = "",
        usual: Sequence[str] = (),
        required: str = "",
    ) -> Quantity | None:
        """A quantity as typed; its unit is the field `<field>-unit` where the form has one, else `unit`.

        `least`, `most` and `usual` are in `unit`.
        """
        if self._number(field, required) is None:
            return None
        chosen = self.typed.get(f"{field}-unit") or unit
        if not alike(chosen, unit):
            self.wrong(field, f"{chosen[:20]} is not a unit for this", _unit_word(unit))
            return None
        found = Quantity(self.raw(field), chosen)
        inside = self._within(field, found.to(unit), least, most, usual, unit, chosen)
        return found if inside is not None else None

    def day(self, field: str, *, required: str = "") -> date | None:
        """A date typed as 2026-05-08 (what a date field sends)."""
        found = self.raw(field)
        if not found:
            if required:
                self.wrong(field, required, "a date such as 2026-05-08")
            return None
        if (parts := _DAY.match(found)) and (day := _date(*map(int, parts.groups()))):
            return day
        self.wrong(field, f"{found[:20]} is not a date", "year-month-day, such as 2026-05-08")
        return None

    def _number(self, field: str, required: str, unit: str = "", accepts: str = "") -> Decimal | None:
        """The number of a field; `accepts`: what the field takes, where it takes not just any number."""
        found = self.raw(field)
        if not found:
            if required:
                self.wrong(field, required, accepts or "a number")
            return None
        try:
            return read_in(found, unit)
        except Impossible as impossible:
            self.wrong(field, impossible.says, accepts or impossible.accepts)
            return None

    def _amount(self, field: str, required: str) -> int | None:
        text = self.raw(field)
        if not text:
            if required:
                self.wrong(field, required, MONEY_ACCEPTS)
            return None
        try:
            return read_money(text, field, confirmed=self.typed.get(f"confirm-{field}") == text).minor
        except Impossible as impossible:
            self.problems.append(impossible.at(field))
        except Refused as asked:
            self.problems += asked.problems
        return None

    def _within(
        self,
        field: str,
        found: Decimal,
        least: str,
        most: str,
        usual: Sequence[str],
        unit: str = "",
        chosen: str = "",
    ) -> Decimal | None:
        """The number where it lies within its ends, which are in `unit` and told in the one chosen."""
        accepts = _range(least, most, unit, chosen)
        if (least and found < Decimal(least)) or (most and found > Decimal(most)):
            self.wrong(field, f"{self.raw(field)} cannot be", accepts)
            return None
        if usual and not Decimal(usual[0]) <= found <= Decimal(usual[1]):
            self.ask(
                field, f"{self.raw(field)} is unusual", f"usually {_range(usual[0], usual[1], unit, chosen)}"
            )
        return found


def unprintable(char: str, *, lines: bool = False) -> bool:
    """Whether a character has no place in a typed text (controls, lone surrogates); line ends by choice."""
    if lines and char in "\n\t":
        return False
    return unicodedata.category(char) in ("Cc", "Cs")


def _unchosen(field: str, says: str, values: Sequence[str], accepts: str) -> Problem:
    if accepts:
        return Problem(field, says, accepts)
    return Problem(field, says, "one of: " + ", ".join(values), choices=tuple(values))


def _amounts(least: int, most: int) -> str:
    return f"{Money(least)} to {Money(most)}"


def _range(least: str, most: str, unit: str = "", chosen: str = "") -> str:
    low = bound_in(least, unit, chosen or unit, ROUND_CEILING) if least else ""
    high = bound_in(most, unit, chosen or unit, ROUND_FLOOR) if most else ""
    if low and high:
        return f"{low} to {high}"
    return f"at least {low}" if low else f"at most {high}"


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _unit_word(unit: str) -> str:
    return UNITS[unit][0] or "no unit"

"""The number of a trailer: a 17-character VIN by 49 CFR 565, or an older or assigned number as it is.

A wrong check digit on a used trailer is questioned, not refused: the number on the frame is what it is.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from app.trade.figure import Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible, Problem

LENGTH = 17
FIRST_YEAR = 1980  # first model year with a letter of its own: 49 CFR 565.15(d), table VII
RULE_YEAR = 1981  # the 17 characters are asked from this model year
CHECK_RULE = Source("49 CFR", "565.15(c)")
YEAR_RULE = Source("49 CFR", "565.15(d)")
VIN_ACCEPTS = (
    "17 letters and digits without I, O and Q; for a unit made before 1981, or with a number that a state "
    "assigned, say so and type the number as it stands"
)
OTHER_ACCEPTS = "the number as stamped: up to 30 letters, digits, blanks, hyphens or slashes"

VALUES = {
    **{str(digit): digit for digit in range(10)},
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    **{"P": 7, "R": 9},
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"  # 1980 to 2009, then from the start again
MISREAD = {"I": "1", "O": "0", "Q": "0"}

_BLANKS = re.compile(r"[\s\-]+")
_OTHER = re.compile(r"^[A-Z0-9][A-Z0-9 /.\-]{0,29}$")


class VinKind(StrEnum):
    """What kind of number it is."""

    STANDARD = "standard"
    BEFORE_1981 = "before 1981"
    ASSIGNED = "assigned"


@dataclass(frozen=True)
class Vin:
    """A number with its kind and why it is of that kind.

    `years`: model years that position 10 can mean, empty where it says nothing. `low_volume`: a maker of
    few units, whose identifier goes on in positions 12 to 14. `problems`: what has to be confirmed.
    """

    number: str
    kind: VinKind
    why: str
    years: tuple[int, ...] = ()
    low_volume: bool = False
    problems: tuple[Problem, ...] = ()

    @property
    def grouped(self) -> str:
        """A standard number in groups for reading aloud; another number as it stands."""
        if self.kind is not VinKind.STANDARD:
            return self.number
        n = self.number
        return f"{n[:3]} {n[3:8]} {n[8]} {n[9]} {n[10:]}"

    @property
    def maker(self) -> str:
        """The maker's identifier: 3 characters, or 3 and 3 of a low-volume maker; empty when not standard."""
        if self.kind is not VinKind.STANDARD:
            return ""
        return f"{self.number[:3]}/{self.number[11:14]}" if self.low_volume else self.number[:3]

    @property
    def serial(self) -> str:
        """The serial: positions 12 to 17, or 15 to 17 of a low-volume maker; empty when not standard."""
        if self.kind is not VinKind.STANDARD:
            return ""
        return self.number[14:] if self.low_volume else self.number[11:]


def read_vin(typed: str, on: date, *, made: int | None = None, assigned: bool = False) -> Vin:
    """The number of a trailer with its kind.

    `made`: model year where it is known: before 1981 any length is kept as it stands. `assigned`: the
    number was assigned by a state or put on a home-made trailer, so only its characters are looked at.
    A year that position 10 cannot mean is questioned.
    Raises Impossible where a number that has to be standard cannot be one. `on`: today, for the model year.
    Source: 49 CFR 565.13, 565.15.
    """
    if assigned:
        return _as_it_stands(typed, VinKind.ASSIGNED, "assigned by a state, or home-made: no check digit")
    if made is not None and made < RULE_YEAR:
        return _as_it_stands(typed, VinKind.BEFORE_1981, f"made in {made}, before 17 characters were asked")
    vin = _standard(_BLANKS.sub("", typed).upper(), on)
    return replace(vin, problems=(*vin.problems, *_made_problem(vin.years, made)))


def _as_it_stands(typed: str, kind: VinKind, why: str) -> Vin:
    number = " ".join(typed.upper().split())
    if not _OTHER.match(number):
        raise Impossible("This is no number of a trailer", OTHER_ACCEPTS)
    return Vin(number, kind, why, problems=_looks_standard(number))


def _looks_standard(number: str) -> tuple[Problem, ...]:
    packed = _BLANKS.sub("", number)
    if len(packed) != LENGTH or set(packed) - set(VALUES) or check_digit(packed).value != packed[8]:
        return ()
    return (Problem("vin", "This has 17 characters and a right check digit", VIN_ACCEPTS, ask=True),)


def _standard(number: str, on: date) -> Vin:
    _refuse_impossible(number)
    return Vin(
        number=number,
        kind=VinKind.STANDARD,
        why="17 characters, as asked from model year 1981",
        years=model_years(number[9], on),
        low_volume=number[2] == "9",
        problems=_unlikely(number, on),
    )


def _refuse_impossible(number: str) -> None:
    if len(number) != LENGTH:
        raise Impossible(f"A VIN has 17 characters, this has {len(number)}", VIN_ACCEPTS)
    wrong = [f"{sign} in position {place}" for place, sign in enumerate(number, 1) if sign not in VALUES]
    if wrong:
        raise Impossible(f"A VIN cannot hold {', '.join(wrong)}{_instead(number)}", VIN_ACCEPTS)


def _instead(number: str) -> str:
    meant = "".join(MISREAD.get(sign, sign) for sign in number)
    return f"; look whether it is {meant}" if meant != number and not set(meant) - set(VALUES) else ""


def _unlikely(number: str, on: date) -> tuple[Problem, ...]:
    return (*_check_problem(number), *_year_problem(number, on), *_serial_problem(number))


def _check_problem(number: str) -> tuple[Problem, ...]:
    right = check_digit(number).value
    if number[8] == right:
        return ()
    says = f"Position 9 is {number[8]}, by the other characters it is {right}{_near(number)}"
    return (Problem("vin", says, "the number read again from the frame", ask=True),)


def _near(number: str) -> str:
    found = one_change_away(number)
    return f"; one change makes it agree: {found[0]}" if len(found) == 1 else ""


def _year_problem(number: str, on: date) -> tuple[Problem, ...]:
    if number[9] not in YEAR_CODES:
        says = f"{number[9]} in position 10 is no model year"
    elif not model_years(number[9], on):
        says = f"{number[9]} in position 10 is a model year still to come"
    else:
        return ()
    return (Problem("vin", says, "the number read again from the frame", ask=True),)


def _made_problem(years: Sequence[int], made: int | None) -> tuple[Problem, ...]:
    """A year made may lie one before the model year."""
    if made is None or not years or {made, made + 1} & set(years):
        return ()
    says = f"Position 10 says {_or(years)}, not {made}"
    return (Problem("vin", says, "the number and the year read again from the label", ask=True),)


def _serial_problem(number: str) -> tuple[Problem, ...]:
    if number[14:].isdigit():
        return ()
    says = f"The last three of a trailer's VIN are digits, this ends in {number[14:]}"
    return (Problem("vin", says, "the number read again from the frame", ask=True),)


def check_digit(number: str) -> Worked[str]:
    """Check digit that belongs in position 9: 0 to 9 or X.

    `number`: 17 characters of the VIN set, whatever stands in position 9; Impossible otherwise.
    Source: 49 CFR 565.15(c).
    """
    _refuse_impossible(number)
    total = sum(VALUES[sign] * weight for sign, weight in zip(number, WEIGHTS, strict=True))
    right = "0123456789X"[total % 11]
    agrees = number[8] == right
    return Worked(
        name="check digit",
        value=right,
        says=right,
        formula="each character's value times its position's weight, summed; the rest of a division by 11",
        inputs=(Input("number", number), Input("sum", f"{total} = {total // 11} x 11 + {total % 11}")),
        source=CHECK_RULE,
        limit="position 9 says the rest, X for 10",
        verdict=_digit_verdict(number[8], right, agrees=agrees),
        caution="A right digit proves nothing alone: some slips leave it right. Compare with the title.",
    )


def _digit_verdict(found: str, right: str, *, agrees: bool) -> Verdict:
    if agrees:
        return Verdict(Grade.SOUND, f"position 9 is {found}, as it should be")
    return Verdict(Grade.WATCH, f"position 9 is {found}, by the other characters it is {right}")


LOOKALIKES = {"S": "5", "5": "S", "B": "8", "8": "B", "Z": "2", "2": "Z", "G": "6", "6": "G"}


def one_change_away(number: str) -> tuple[str, ...]:
    """The numbers that one look-alike exchange (S 5, B 8, Z 2, G 6) makes agree with their check digit."""
    swapped = (
        number[:place] + LOOKALIKES[sign] + number[place + 1 :]
        for place, sign in enumerate(number)
        if sign in LOOKALIKES
    )
    return tuple(each for each in swapped if check_digit(each).value == each[8])


def model_years(code: str, on: date) -> tuple[int, ...]:
    """Model years that a code in position 10 can mean, from 1980 to next year, the latest last.

    The code comes again after 30 years, and on a trailer position 7 does not decide between them.
    Empty where it is no code of a year. Source: 49 CFR 565.15(d), table VII.
    """
    if len(code) != 1 or code not in YEAR_CODES:
        return ()
    first = FIRST_YEAR + YEAR_CODES.index(code)
    return tuple(range(first, on.year + 2, 30))


def model_year(number: str, on: date) -> Worked[tuple[int, ...]]:
    """Model years that a standard VIN can mean; the label, the tires and the title decide between two.

    `number`: 17 characters. Raises Impossible where it is no VIN. Source: 49 CFR 565.15(d), table VII.
    """
    _refuse_impossible(number)
    years = model_years(number[9], on)
    return Worked(
        name="model year",
        value=years,
        says=_or(years),
        formula="the code in position 10, from 1980 on and again every 30 years",
        inputs=(Input("position 10", number[9]), Input("read on", on.isoformat())),
        source=YEAR_RULE,
        caution="Decide between two by the certification label, the tires and the title."
        if years[1:]
        else "",
    )


def _or(years: Sequence[int]) -> str:
    return " or ".join(map(str, years)) or "not said"

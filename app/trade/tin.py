"""The tire identification number on the sidewall: its groups and the week of making.

The date code stands in its own window on the sidewall and settles whether it has three or four digits,
so it is asked for in a field of its own; the number alone is read as well as its length allows.
"""

import re
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from app.trade.dates import Week
from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible, Problem

RULE = Source("49 CFR", "574.5")
DATE_ACCEPTS = "four digits, week and year, such as 3019 for week 30 of 2019; three digits before July 2000"
TIN_ACCEPTS = "the symbols after DOT, such as 1ABC2D3EF 3019"
UNUSED = "GIOQSZ"  # letters that 49 CFR 574.5 leaves out of the number
FIRST_RULE = date(1971, 5, 22)  # the number became law: 36 FR 1196
FOUR_DIGITS = date(2000, 7, 2)  # four digits from here: 64 FR 36807

_SEPARATORS = re.compile(r"[\s\-./]+")
_RETREAD = re.compile(r"^\s*DOT\s*-?\s*R\b", re.IGNORECASE)
_WEEK_YEAR = re.compile(r"^(0[1-9]|[1-4]\d|5[0-3])\d\d$")


class TinForm(StrEnum):
    """Which of its forms a number has, in plain words."""

    THIRTEEN = "13 symbols: plant 3, maker 6, date 4"
    FOUR_DIGIT = "plant 2, size 2, maker 0 to 4, date 4"
    THREE_DIGIT = "plant 2, size 2, maker 0 to 4, date 3"
    RETREAD = "retread: plant 3, date 4"
    PARTIAL = "without a date: the full number is on the other sidewall"


@dataclass(frozen=True)
class DateCode:
    """The date code as read, with every week that it can mean, the latest last.

    Four digits mean one week. Three digits leave the decade open: see `decade_known`.
    """

    digits: str
    weeks: tuple[Week, ...]

    @property
    def latest(self) -> Week:
        """The latest week that it can mean; the age of the tire is at least the age of this."""
        return self.weeks[-1]

    @property
    def decade_known(self) -> bool:
        """Whether the code says the decade: it does with four digits."""
        return len(self.digits) == 4

    def __str__(self) -> str:
        years = [str(week.year) for week in self.weeks]
        earlier = f"{', '.join(years[:-1])} or " if len(years) > 1 else ""
        return f"week {self.latest.week} of {earlier}{years[-1]}"


@dataclass(frozen=True)
class Tin:
    """A tire identification number by its groups; `date` is None where this sidewall has none.

    `problems`: what is unlikely and has to be confirmed, such as a letter that the law leaves out.
    """

    symbols: str
    form: TinForm
    plant: str
    maker: str
    date: DateCode | None
    problems: tuple[Problem, ...] = ()

    def __str__(self) -> str:
        return f"DOT {' '.join(part for part in (self.plant, self.maker, self.tail) if part)}"

    @property
    def tail(self) -> str:
        """The digits of the date group, empty where there is none."""
        return self.date.digits if self.date else ""


def read_date_code(typed: str, on: date) -> DateCode:
    """The week or weeks that a date code can mean, none starting after `on`.

    Four digits are week and year from 2000; three are week and last digit of a year up to July 2000,
    so the decade is told as a range. Raises Impossible for anything else, for week 00 and for week 54
    and up, and for a week still to come. Source: 49 CFR 574.5(b); 64 FR 36807.
    """
    digits = _SEPARATORS.sub("", typed)
    if not (digits.isascii() and digits.isdigit() and len(digits) in (3, 4)):
        raise Impossible("This is not a date code", DATE_ACCEPTS)
    weeks = _of_four(digits) if len(digits) == 4 else _of_three(digits)
    if not weeks or weeks[-1].start > on:
        raise Impossible(f"{digits} is still to come; read the digits again", DATE_ACCEPTS)
    return DateCode(digits, weeks)


def _of_four(digits: str) -> tuple[Week, ...]:
    return (Week(2000 + int(digits[2:]), int(digits[:2])),)


def _of_three(digits: str) -> tuple[Week, ...]:
    week, last = int(digits[:2]), int(digits[2])
    possible = [Week(decade + last, week) for decade in range(1970, 2010, 10)]
    return tuple(it for it in possible if it.end >= FIRST_RULE and it.start < FOUR_DIGITS)


def read_tin(typed: str, on: date, date_code: str = "") -> Tin:
    """The number by its groups; `date_code`, where typed, overrides what its end seems to say.

    Accepts blanks, hyphens, lower case and a leading DOT. Raises Impossible where it can be no TIN.
    A number without a date is kept as PARTIAL: the other sidewall has to be read. Source: 49 CFR 574.5.
    """
    symbols, retread = _symbols(typed)
    code = read_date_code(date_code, on) if date_code.strip() else None
    form = _form(symbols, code, retread=retread)
    body, tail = _cut(symbols, code, form)
    found = code or (read_date_code(tail, on) if tail else None)
    plant = 3 if form in (TinForm.THIRTEEN, TinForm.RETREAD) or _is_short_thirteen(symbols, form) else 2
    problems = (*_odd_letters(symbols), *_unlikely_week(found), *_guessed(form, code))
    return Tin(symbols, form, body[:plant], body[plant:], found, problems)


def _symbols(typed: str) -> tuple[str, bool]:
    retread = _RETREAD.match(typed)
    text = _SEPARATORS.sub("", typed[retread.end() :] if retread else typed).upper().removeprefix("DOT")
    if not re.fullmatch(r"[A-Z0-9]{4,13}", text):
        raise Impossible("This is not the number of a tire", TIN_ACCEPTS)
    return text, bool(retread)


def _form(symbols: str, code: DateCode | None, *, retread: bool) -> TinForm:
    if code:
        return _form_with_code(symbols, code, retread=retread)
    if retread and len(symbols) == 7 and symbols[-4:].isdigit():
        return TinForm.RETREAD
    return _form_by_length(symbols)


def _form_with_code(symbols: str, code: DateCode, *, retread: bool) -> TinForm:
    if not code.decade_known:
        return TinForm.THREE_DIGIT
    if retread:
        return TinForm.RETREAD
    whole = len(symbols) if symbols.endswith(code.digits) else len(symbols) + 4
    return TinForm.THIRTEEN if whole == 13 else TinForm.FOUR_DIGIT


def _form_by_length(symbols: str) -> TinForm:
    count = len(symbols)
    if count >= 8 and _WEEK_YEAR.match(symbols[-4:]):
        return TinForm.THIRTEEN if count == 13 else TinForm.FOUR_DIGIT
    if 7 <= count <= 11 and _WEEK_YEAR.match(symbols[-3:] + "0"):
        return TinForm.THREE_DIGIT
    return _partial(symbols)


def _partial(symbols: str) -> TinForm:
    if len(symbols) > 9 or symbols[-4:].isdigit():
        raise Impossible("The end is no week and year; read it again", TIN_ACCEPTS)
    return TinForm.PARTIAL


def _is_short_thirteen(symbols: str, form: TinForm) -> bool:
    return form is TinForm.PARTIAL and len(symbols) == 9


def _cut(symbols: str, code: DateCode | None, form: TinForm) -> tuple[str, str]:
    if code:
        return symbols.removesuffix(code.digits), code.digits
    digits = {TinForm.PARTIAL: 0, TinForm.THREE_DIGIT: 3}.get(form, 4)
    return symbols[: len(symbols) - digits], symbols[len(symbols) - digits :]


def _odd_letters(symbols: str) -> tuple[Problem, ...]:
    return tuple(
        Problem("tin", f"{letter} is not used in the number; read it again", TIN_ACCEPTS, ask=True)
        for letter in UNUSED
        if letter in symbols
    )


def _guessed(form: TinForm, code: DateCode | None) -> tuple[Problem, ...]:
    if form is not TinForm.THREE_DIGIT or code:
        return ()
    says = "The end is read as a three-digit date, before July 2000; type the date window to settle it"
    return (Problem("date_code", says, DATE_ACCEPTS, ask=True),)


def _unlikely_week(code: DateCode | None) -> tuple[Problem, ...]:
    if code is None or code.latest.usual:
        return ()
    says = f"{code.latest.year} has 52 weeks, this says 53; it may be off by one week"
    return (Problem("date_code", says, DATE_ACCEPTS, ask=True),)


def made_in(code: DateCode) -> Worked[tuple[Week, ...]]:
    """Week in which a tire was made; every week that it can be where the code has three digits."""
    return Worked(
        name="made in",
        value=code.weeks,
        says=str(code),
        formula="first two digits are the week, the rest is the year; week 1 is the first full week",
        inputs=(Input("date code", code.digits), Input("days", _days(code.latest))),
        source=RULE,
        caution="" if code.decade_known else "Three digits do not say the decade; the latest is counted.",
    )


def _days(week: Week) -> str:
    return f"{week.start.isoformat()} to {week.end.isoformat()}"

"""Amounts of money: whole minor units, one rounding, printed and read in one way.

Rates, quantities and unit prices keep their decimals as typed; only an amount is rounded, and only once.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction

from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible, Problem, Refused

MOST_MINOR = 10_000_000_000  # a hundred million: nothing in a shop for trailers comes near
LONGEST = 20  # more digits than Decimal computes with would be no amount any more
MONEY_ACCEPTS = "an amount such as 1305.39 or 1,305.39"

_SIGNS = re.compile(r"^[$\u20ac\u00a3]|[$\u20ac\u00a3]$")
_GROUPED = re.compile(r"^-?[1-9]\d{0,2}((,\d{3})+(\.\d{1,2})?|(\.\d{3})+,\d{1,2}|(\.\d{3}){2,})$")
_SIMPLE = re.compile(r"^-?(\d+([.,]\d{0,2})?|[.,]\d{1,2})$")
_EITHER = re.compile(r"^-?[1-9]\d{0,2}[.,]\d{3}$")


class Rounding(StrEnum):
    """What becomes of an exact half: up (away from zero), or to the even neighbour."""

    HALF_UP = "half_up"
    HALF_EVEN = "half_even"


_MODES = {Rounding.HALF_UP: ROUND_HALF_UP, Rounding.HALF_EVEN: ROUND_HALF_EVEN}


@dataclass(frozen=True, order=True)
class Money:
    """An amount in whole minor units (cents); the currency is the shop's, with two decimals.

    `minor` within a hundred million either way; Impossible outside.
    """

    minor: int = 0

    def __post_init__(self) -> None:
        if abs(self.minor) > MOST_MINOR:
            raise Impossible("This is too much money for a trailer", "an amount under 100,000,000.00")

    @property
    def amount(self) -> Decimal:
        """The amount in major units, exact to two decimals."""
        return Decimal(self.minor).scaleb(-2)

    def __add__(self, other: "Money") -> "Money":
        return Money(self.minor + other.minor)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.minor - other.minor)

    def __neg__(self) -> "Money":
        return Money(-self.minor)

    def __str__(self) -> str:
        return f"{self.amount:,.2f}"


NOTHING = Money(0)


def summed(amounts: Iterable[Money]) -> Money:
    """The sum of amounts, nothing where there are none."""
    return sum(amounts, NOTHING)


def rounded(minor: Decimal, rounding: Rounding = Rounding.HALF_UP) -> Money:
    """An exact number of minor units as an amount: the one place where money is rounded."""
    return Money(int(minor.quantize(Decimal(1), _MODES[rounding])))


def percent_of(base: Money, percent: Decimal, rounding: Rounding = Rounding.HALF_UP) -> Money:
    """A share of an amount, rounded once. `percent`: 0 to 100; Impossible outside."""
    if not 0 <= percent <= 100:
        raise Impossible(f"{percent} % is no share", "0 to 100 %, such as 6.25")
    return rounded(base.minor * percent / 100, rounding)


def capped_share(base: Money, percent: Decimal, cap: Money) -> Worked[Money]:
    """A share of an amount, at most `cap`: shop supplies as a part of the work.

    `base` and `cap` at least 0, `percent` 0 to 100; Impossible outside. Source: shop setting.
    """
    if base < NOTHING or cap < NOTHING:
        raise Impossible("A share is of an amount of at least 0", MONEY_ACCEPTS)
    value = min(percent_of(base, percent), cap)
    return Worked(
        name="share of the amount",
        value=value,
        says=str(value),
        formula="amount x percent / 100, rounded to a cent, at most the cap",
        inputs=(Input("amount", str(base)), Input("share", f"{percent} %"), Input("cap", str(cap))),
        source=Source("shop setting"),
        limit=f"at most {cap}",
    )


def spread(total: Money, weights: Sequence[int]) -> tuple[Money, ...]:
    """An amount shared out by weights to the cent, so that the shares add up to it exactly.

    Each share is cut down, then the cents that are left go to the largest remainders, the earlier first.
    `weights`: none negative, not all 0; Impossible otherwise.
    """
    whole = sum(weights)
    if whole <= 0 or min(weights) < 0:
        raise Impossible("An amount is shared out over amounts above 0", "at least one line above 0")
    exact = [Fraction(abs(total.minor) * weight, whole) for weight in weights]
    cents = [int(share) for share in exact]
    left = abs(total.minor) - sum(cents)
    by_rest = sorted(range(len(exact)), key=lambda place: (cents[place] - exact[place], place))
    for place in by_rest[:left]:
        cents[place] += 1
    return tuple(Money(-cent if total.minor < 0 else cent) for cent in cents)


def cash(due: Money, step: int) -> Money:
    """What is paid in coins where the smallest coin is `step` minor units: to the nearest, half up.

    `step`: 1 to 100; ValueError outside.
    """
    if not 1 <= step <= 100:
        raise ValueError("the smallest coin is 1 to 100 minor units")
    steps = rounded(Decimal(due.minor) / step)
    return Money(steps.minor * step)


@dataclass(frozen=True)
class Tolerance:
    """How far a bill may pass what was agreed: a fixed amount and a percentage, whichever is asked.

    `greater`: the greater of the two counts, else the less. `cap`: the most in any case, None without.
    Nothing at all is the strictest: every cent more needs a new word.
    """

    fixed: Money = NOTHING
    percent: Decimal = Decimal(0)
    greater: bool = False
    cap: Money | None = None

    @property
    def says(self) -> str:
        """By how much a bill may not pass what was agreed, in words that follow "by": `over 10 %`."""
        return " or by ".join(f"over {each}" for each in self._bounds()) or "even a cent"

    def _bounds(self) -> list[str]:
        """What stops a bill, each by itself; nothing where every cent does."""
        both = [f"{self.percent} %" if self.percent else "", str(self.fixed) if self.fixed.minor else ""]
        given = [each for each in both if each]
        if not given or (not self.greater and len(given) == 1):
            return []
        if self.greater and len(given) == 2:
            given = [f"the greater of {' and '.join(given)}"]
        return [*given, str(self.cap)] if self.cap is not None else given


def tolerance(agreed: Money, rule: Tolerance) -> Worked[Money]:
    """What a bill may be over the agreed amount without asking again.

    The law of the place may be stricter. `agreed`: at least 0; Impossible outside. Source: shop setting.
    """
    if agreed < NOTHING:
        raise Impossible("An agreed amount is at least 0", MONEY_ACCEPTS)
    choose = max if rule.greater else min
    value = choose(rule.fixed, percent_of(agreed, rule.percent))
    value = value if rule.cap is None else min(value, rule.cap)
    word = "greater" if rule.greater else "less"
    return Worked(
        name="may be over the agreed amount by",
        value=value,
        says=str(value),
        formula=f"the {word} of the fixed amount and the percentage, at most the cap",
        inputs=(
            Input("agreed", str(agreed)),
            Input("fixed", str(rule.fixed)),
            Input("share", f"{rule.percent} %"),
            Input("cap", str(rule.cap) if rule.cap is not None else "none"),
        ),
        source=Source("shop setting"),
        caution="Local law on repair estimates comes first; anything over is asked before the work.",
    )


def read_money(typed: str, field: str = "amount", *, confirmed: bool = False) -> Money:
    """The amount that stands in a text: `1305.39`, `1,305.39`, `$45`, `-12.50`; also `1.305,39`.

    `1,305` can mean two things and is asked: Refused with a problem to confirm; `confirmed` keeps it as
    1,305.00. Raises Impossible where it is no amount, and for more than two decimals (`1.305`).
    """
    text = _SIGNS.sub("", re.sub(r"[\s\u00a0\u202f]", "", typed.replace("\u2212", "-"))).strip()
    if len(text) > LONGEST:
        raise Impossible("This is too long for an amount of money", f"at most {LONGEST} characters")
    if _EITHER.match(text):
        return _either(text, field, confirmed=confirmed)
    if not text.isascii() or not (_SIMPLE.match(text) or _GROUPED.match(text)):
        raise Impossible("This is not an amount of money", MONEY_ACCEPTS)
    return rounded(Decimal(_with_point(text)) * 100)


def _either(text: str, field: str, *, confirmed: bool) -> Money:
    thousands = Money(int(re.sub(r"[.,]", "", text)) * 100)
    if "." in text:
        raise Impossible(f"{text} has three decimals", f"two decimals at most, or {thousands}")
    if not confirmed:
        says = f"{text} is read as {thousands}"
        raise Refused(
            [Problem(field, says, f"{thousands.amount} or {text.replace(',', '.')[:-1]}", ask=True)]
        )
    return thousands


def _with_point(text: str) -> str:
    """The same number with a point for the decimals and nothing between thousands."""
    last = max(text.rfind("."), text.rfind(","))
    decimals = text[last + 1 :] if last >= 0 and len(text) - last - 1 != 3 else None
    if decimals is None:
        return re.sub(r"[.,]", "", text)
    return f"{re.sub(r'[.,]', '', text[:last]) or '0'}.{decimals or '0'}".replace("-.", "-0.")

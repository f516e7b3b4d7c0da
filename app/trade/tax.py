"""Tax categories of a document and their rates in force from a day. Set to local law by the shop."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from app.trade.problems import Impossible


class TaxCode(StrEnum):
    """Tax category codes of EN 16931 that a trailer shop meets."""

    RATED = "S"
    ZERO = "Z"
    EXEMPT = "E"
    OUTSIDE = "O"


@dataclass(frozen=True, order=True)
class TaxRate:
    """A rate in percent with its category code; exempt and outside say why.

    Rated: over 0 to 100. The others: 0. Impossible otherwise. Source: EN 16931 BR-S, BR-Z, BR-E, BR-O.
    """

    code: TaxCode
    percent: Decimal = Decimal(0)
    reason: str = ""

    def __post_init__(self) -> None:
        if self.code is TaxCode.RATED and not 0 < self.percent <= 100:
            raise Impossible(f"{self.percent} % is no tax rate", "over 0 to 100 %, such as 6.25 %; or exempt")
        if self.code is not TaxCode.RATED and self.percent != 0:
            raise Impossible("What is not taxed has the rate 0", "0 %")
        if self.code in (TaxCode.EXEMPT, TaxCode.OUTSIDE) and not self.reason.strip():
            raise Impossible("The reason is missing", "why no tax is due, such as: labour to repair")

    def __str__(self) -> str:
        return f"{_short(self.percent)} %" if self.code is TaxCode.RATED else self.reason or "0 %"


def _short(percent: Decimal) -> str:
    """A percentage without needless zeros, never with an exponent."""
    text = f"{percent:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def rate_of(percent: Decimal, reason: str = "not taxed here") -> TaxRate:
    """A rate as a shop sets it: over 0 is rated, 0 is exempt for the reason given."""
    return TaxRate(TaxCode.RATED, percent) if percent != 0 else TaxRate(TaxCode.EXEMPT, reason=reason)


@dataclass(frozen=True)
class TaxCategory:
    """What is taxed alike (`parts`, `labour` ...), with its rates by the first day of each.

    `rates`: at least one, days rising; ValueError otherwise.
    """

    key: str
    name: str
    rates: tuple[tuple[date, TaxRate], ...]

    def __post_init__(self) -> None:
        days = [day for day, _ in self.rates]
        if not days or days != sorted(set(days)):
            raise ValueError(f"the rates of {self.key} need rising first days")

    def on(self, day: date) -> TaxRate:
        """The rate in force on a day; Impossible before the first."""
        known = [rate for first, rate in self.rates if first <= day]
        if not known:
            raise Impossible(
                f"{self.name} has no tax rate on {day.isoformat()}",
                f"a day from {self.rates[0][0].isoformat()}",
            )
        return known[-1]


def rates_on(categories: Iterable[TaxCategory], day: date) -> dict[str, TaxRate]:
    """The rates of all categories in force on a day, by key; Impossible where one has none yet."""
    return {category.key: category.on(day) for category in categories}

"""What lines come to: by kind, discount, tax by category, before and with tax, rounded in one way."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from decimal import Decimal
from typing import Any

from app.estimate.rules import Charges, NewLine, Taxing, rates_of
from app.trade.figure import Worked
from app.trade.money import Money, percent_of, summed
from app.trade.totals import Basis, LineKind, Totals, amount_due, totals


@dataclass(frozen=True)
class TaxSum:
    """Tax of one rate: which categories it is on, their sum and the tax, in minor units."""

    rate: str
    on: tuple[str, ...]
    base: int
    tax: int


@dataclass(frozen=True)
class Sums:
    """Sums in minor units. `fees` holds core deposits too; `discount` is at most 0; `gross` is with tax."""

    labour: int = 0
    parts: int = 0
    outside: int = 0
    fees: int = 0
    discount: int = 0
    net: int = 0
    taxes: tuple[TaxSum, ...] = ()
    tax: int = 0
    gross: int = 0

    def as_kept(self) -> dict[str, Any]:
        """The sums as JSON, for the revision that was shown."""
        return asdict(self)


def sums(lines: Sequence[NewLine], charges: Taxing) -> Sums:
    """The sums of lines under the shop's rates and rounding."""
    found = totals_of(lines, charges)
    return Sums(
        labour=_of(found, LineKind.LABOUR),
        parts=_of(found, LineKind.PART),
        outside=_of(found, LineKind.OUTSIDE),
        fees=_of(found, LineKind.FEE, LineKind.CORE),
        discount=_of(found, LineKind.DISCOUNT),
        net=found.net.minor,
        taxes=_taxes(found, charges),
        tax=found.tax.minor,
        gross=found.gross.minor,
    )


def totals_of(lines: Sequence[NewLine], charges: Taxing) -> Totals:
    """The totals of lines, as the trade works them out."""
    return totals([line.as_line() for line in lines], rates_of(charges), charges.rule)


def weight(lines: Sequence[NewLine], charges: Taxing) -> tuple[Decimal, tuple[Decimal, ...]]:
    """What lines add to a document, in minor units, and the exact tax on top that is rounded later.

    Of each rate that the shop has one tax, in rising order; none where tax is rounded on every line.
    """
    if charges.rule.basis is Basis.LINE:
        return Decimal(totals_of(lines, charges).gross.minor), ()
    rates, rounding = rates_of(charges), charges.rule.rounding
    taxes = dict.fromkeys(sorted({rate.percent for rate in rates.values()} - {Decimal(0)}), Decimal(0))
    for it in lines:
        if percent := rates[it.tax].percent:
            taxes[percent] += it.amount(rounding).minor * percent / 100
    return Decimal(sum(it.amount(rounding).minor for it in lines)), tuple(taxes.values())


def deposit(gross: int, charges: Charges) -> int:
    """What is asked for in advance of an amount with tax: the shop's share of it, rounded once."""
    return percent_of(Money(gross), charges.percent("deposit_percent"), charges.rule.rounding).minor


def worked_total(lines: Sequence[NewLine], charges: Taxing) -> Worked[Money]:
    """The amount with tax, with the sums that lead to it."""
    return replace(amount_due(totals_of(lines, charges)), name="all lines, with tax")


def _of(found: Totals, *kinds: LineKind) -> int:
    return summed(it.net for it in found.lines if it.line.kind in kinds).minor


def _taxes(found: Totals, charges: Taxing) -> tuple[TaxSum, ...]:
    rates = rates_of(charges)
    used = list(dict.fromkeys(it.line.tax for it in found.lines))
    return tuple(
        TaxSum(
            rate=str(group.rate),
            on=tuple(each for each in used if rates[each] == group.rate),
            base=group.base.minor,
            tax=group.tax.minor,
        )
        for group in found.groups
    )

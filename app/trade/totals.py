"""Lines of a document and their totals, in the order and spirit of EN 16931.

Lines are rounded once each, grouped by tax rate, taxed once a group (or once a line, if the shop says so),
and added up. What is printed adds up to what is printed below it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import Input, Source, Worked
from app.trade.money import NOTHING, Money, Rounding, cash, percent_of, rounded, spread, summed
from app.trade.problems import Impossible, Problem, Refused
from app.trade.tax import TaxCode, TaxRate

WHOLE_BILL = ""


class LineKind(StrEnum):
    """What a line is for."""

    LABOUR = "labour"
    PART = "part"
    OUTSIDE = "outside"
    FEE = "fee"
    CORE = "core"
    DISCOUNT = "discount"


class Basis(StrEnum):
    """Where tax is rounded: once for each rate of the document, or on every line."""

    DOCUMENT = "document"
    LINE = "line"


@dataclass(frozen=True)
class Rule:
    """The shop's rounding: what becomes of a half, and where tax is rounded."""

    rounding: Rounding = Rounding.HALF_UP
    basis: Basis = Basis.DOCUMENT


USUAL = Rule()


@dataclass(frozen=True)
class Line:
    """One line: `quantity` (hours, pieces, kg) at `price` minor units for `per` of them.

    `price` may have decimals (0.88 cents), never a minus: a reversal has a negative quantity, and a discount
    is a positive amount that its kind takes off. `tax`: key of its category; for a discount, WHOLE_BILL
    spreads it over all rates. Impossible for a quantity of 0, a negative price, a `per` not above 0.
    """

    kind: LineKind
    says: str
    quantity: Decimal
    price: Decimal
    tax: str
    per: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if not self.quantity.is_finite() or self.quantity == 0:
            raise Impossible("A line needs a quantity", "a quantity such as 1.4 or 2; a minus for a reversal")
        if not self.price.is_finite() or self.price < 0:
            raise Impossible(
                "A price is at least 0", "a price such as 38.75; a reversal has a negative quantity"
            )
        if self.per <= 0:
            raise Impossible("A price is for a quantity above 0", "such as 1 or 100")

    @property
    def sign(self) -> int:
        """Minus one for a discount, one for all else."""
        return -1 if self.kind is LineKind.DISCOUNT else 1

    def net(self, rounding: Rounding = Rounding.HALF_UP) -> Money:
        """Its amount before tax, rounded once; negative for a discount."""
        return rounded(self.sign * self.quantity * self.price / self.per, rounding)


@dataclass(frozen=True)
class PrintedLine:
    """A line with its amount; `tax` only where tax is rounded line by line."""

    line: Line
    net: Money
    tax: Money | None = None


@dataclass(frozen=True)
class TaxGroup:
    """All lines of one rate: their sum (after its share of whole-bill discounts) and the tax on it."""

    rate: TaxRate
    base: Money
    tax: Money


@dataclass(frozen=True)
class Totals:
    """The totals of a document, each derived from its lines and tax groups.

    `cash_step`: the smallest coin in minor units where it is paid in coins, else 1.
    """

    lines: tuple[PrintedLine, ...]
    groups: tuple[TaxGroup, ...]
    paid: Money = NOTHING
    cash_step: int = 1

    def __post_init__(self) -> None:
        cash(NOTHING, self.cash_step)  # refuses a step that is none here, not when it is printed

    @property
    def charges(self) -> Money:
        """Sum of all lines but discounts."""
        return summed(it.net for it in self.lines if it.line.kind is not LineKind.DISCOUNT)

    @property
    def discounts(self) -> Money:
        """Sum of the discounts, as a positive amount."""
        return -summed(it.net for it in self.lines if it.line.kind is LineKind.DISCOUNT)

    @property
    def net(self) -> Money:
        """Total before tax: BT-109."""
        return self.charges - self.discounts

    @property
    def tax(self) -> Money:
        """Sum of the tax of all rates: BT-110."""
        return summed(group.tax for group in self.groups)

    @property
    def gross(self) -> Money:
        """Total with tax: BT-112."""
        return self.net + self.tax

    @property
    def due(self) -> Money:
        """What is left to pay, in coins where it is paid in coins: BT-115."""
        return cash(self.gross - self.paid, self.cash_step)

    @property
    def rounding(self) -> Money:
        """What the coins add or take: BT-114."""
        return self.due - (self.gross - self.paid)


def totals(
    lines: Sequence[Line],
    rates: Mapping[str, TaxRate],
    rule: Rule = USUAL,
    paid: Money = NOTHING,
    cash_step: int = 1,
) -> Totals:
    """Totals of a document from its lines and the rates in force by category key.

    `paid`: what was paid before. `cash_step`: 1 to 100 (ValueError outside). Raises Refused where a line's
    category has no rate, where a rate outside tax stands beside others (EN 16931 BR-O-11), or where a
    whole-bill discount is more than the bill. Source: EN 16931 BR-CO-10 to BR-CO-17.
    """
    _refuse(lines, rates)
    printed = tuple(_printed(line, rates, rule) for line in lines)
    groups = _groups(printed, rates, rule)
    return Totals(_with_tax_of_discounts(printed, groups, rule), groups, paid, cash_step)


def _refuse(lines: Sequence[Line], rates: Mapping[str, TaxRate]) -> None:
    problems = [_no_rate(line) for line in lines if not _is_whole_bill(line) and line.tax not in rates]
    if problems:
        raise Refused(problems)
    used = {_same(rates[line.tax]) for line in lines if not _is_whole_bill(line)}
    if any(code is TaxCode.OUTSIDE for code, _ in used) and len(used) > 1:
        raise Refused([Problem("tax", "What is outside tax stands alone", "exempt with a reason instead")])


def _no_rate(line: Line) -> Problem:
    return Problem("tax", f"{line.says}: the tax category {line.tax!r} has no rate", "a category of the shop")


def _is_whole_bill(line: Line) -> bool:
    return line.kind is LineKind.DISCOUNT and line.tax == WHOLE_BILL


def _printed(line: Line, rates: Mapping[str, TaxRate], rule: Rule) -> PrintedLine:
    net = line.net(rule.rounding)
    if rule.basis is Basis.DOCUMENT or _is_whole_bill(line):
        return PrintedLine(line, net)
    return PrintedLine(line, net, percent_of(net, rates[line.tax].percent, rule.rounding))


def _groups(printed: Sequence[PrintedLine], rates: Mapping[str, TaxRate], rule: Rule) -> tuple[TaxGroup, ...]:
    by_rate: dict[tuple[TaxCode, Decimal], list[PrintedLine]] = {}
    for it in printed:
        if not _is_whole_bill(it.line):
            by_rate.setdefault(_same(rates[it.line.tax]), []).append(it)
    used = sorted(by_rate, key=lambda same: (-same[1], same[0]))
    bases = [summed(it.net for it in by_rate[same]) for same in used]
    shares = _shares(summed(it.net for it in printed if _is_whole_bill(it.line)), bases)
    return tuple(
        _group(_merged(by_rate[same], rates), by_rate[same], base, share, rule)
        for same, base, share in zip(used, bases, shares, strict=True)
    )


def _same(rate: TaxRate) -> tuple[TaxCode, Decimal]:
    return rate.code, rate.percent


def _merged(own: Sequence[PrintedLine], rates: Mapping[str, TaxRate]) -> TaxRate:
    """The one rate of lines that share code and percent; their reasons one after the other."""
    found = [rates[it.line.tax] for it in own]
    reasons = dict.fromkeys(rate.reason for rate in found if rate.reason)
    return replace(found[0], reason="; ".join(reasons))


def _shares(off: Money, bases: Sequence[Money]) -> tuple[Money, ...]:
    if off == NOTHING:
        return (NOTHING,) * len(bases)
    weights = [max(base.minor, 0) for base in bases]
    if -off.minor > sum(weights):
        raise Refused([Problem("discount", f"{-off} is more than the bill", "at most the bill")])
    return spread(off, weights)


def _group(rate: TaxRate, own: Sequence[PrintedLine], base: Money, share: Money, rule: Rule) -> TaxGroup:
    after = base + share
    if rule.basis is Basis.DOCUMENT:
        return TaxGroup(rate, after, percent_of(after, rate.percent, rule.rounding))
    of_lines = summed(it.tax for it in own if it.tax is not None)
    return TaxGroup(rate, after, of_lines + percent_of(share, rate.percent, rule.rounding))


def _with_tax_of_discounts(
    printed: tuple[PrintedLine, ...], groups: Sequence[TaxGroup], rule: Rule
) -> tuple[PrintedLine, ...]:
    """The lines as they are; where tax is printed by line, whole-bill discounts with theirs."""
    whole = [it for it in printed if _is_whole_bill(it.line)]
    if rule.basis is Basis.DOCUMENT or not summed(it.net for it in whole).minor:
        return printed
    rest = summed(group.tax for group in groups) - summed(it.tax for it in printed if it.tax is not None)
    taxes = iter(spread(rest, [-it.net.minor for it in whole]))
    return tuple(replace(it, tax=next(taxes)) if _is_whole_bill(it.line) else it for it in printed)


def line_amount(line: Line, rounding: Rounding = Rounding.HALF_UP) -> Worked[Money]:
    """Amount of a line before tax, rounded once to a cent. Source: EN 16931 BT-131."""
    value = line.net(rounding)
    per = f" / {line.per}" if line.per != 1 else ""
    return Worked(
        name="line amount",
        value=value,
        says=str(value),
        formula=f"quantity x price{' / quantity of the price' if per else ''}, rounded to a cent",
        inputs=(
            Input("quantity", str(line.quantity)),
            Input("price", f"{_price(line.price)}{per}"),
            Input("rounding", _in_words(rounding)),
        ),
        source=Source("EN 16931", "BT-131"),
    )


def _price(minor: Decimal) -> str:
    """A unit price with all of its decimals, two at least."""
    text = f"{minor / 100:f}"
    return text if len(text.partition(".")[2]) >= 2 else f"{minor / 100:.2f}"


def _in_words(rounding: Rounding) -> str:
    up = rounding is Rounding.HALF_UP
    return "half a cent up, away from zero" if up else "half a cent to the even cent"


def group_tax(group: TaxGroup, rule: Rule = USUAL) -> Worked[Money]:
    """Tax of one rate. Source: EN 16931 BR-CO-17. Rates and what is taxed are set to local law."""
    once = "once for the rate" if rule.basis is Basis.DOCUMENT else "on every line, then added"
    return Worked(
        name="tax",
        value=group.tax,
        says=str(group.tax),
        formula=f"base x rate / 100, rounded to a cent {once}",
        inputs=(Input("base", str(group.base)), Input("rate", str(group.rate))),
        source=Source("EN 16931", "BR-CO-17"),
        caution="Rates, and what is taxed, are the shop's settings; local law decides.",
    )


def amount_due(found: Totals) -> Worked[Money]:
    """Amount due of a document, with the sums that lead to it. Source: EN 16931 BR-CO-13 to BR-CO-16."""
    return Worked(
        name="amount due",
        value=found.due,
        says=str(found.due),
        formula="lines less discounts, plus tax, less paid, with the rounding to coins",
        inputs=(
            Input("lines", str(found.charges)),
            Input("discounts", str(found.discounts)),
            Input("before tax", str(found.net)),
            *(Input(f"tax {group.rate} of {group.base}", str(group.tax)) for group in found.groups),
            Input("with tax", str(found.gross)),
            Input("paid", str(found.paid)),
            Input("rounding to coins", str(found.rounding)),
        ),
        source=Source("EN 16931", "BR-CO-13, BR-CO-15, BR-CO-16"),
    )


def net_of_gross(gross: Money, rate: TaxRate, rounding: Rounding = Rounding.HALF_UP) -> tuple[Money, Money]:
    """Net and tax of a price that includes tax: net is rounded, tax is what is left of it."""
    net = rounded(gross.minor / (1 + rate.percent / 100), rounding)
    return net, gross - net

"""Lines of a bill and what they come to: discounts spread before tax, cores back, tax once for each rate."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from app.accounts.document import BilledLine, TaxSum
from app.estimate.rules import SUPPLIES, NewLine
from app.trade.money import Money, Rounding, spread, summed
from app.trade.problems import Problem, Refused
from app.trade.quantity import read_number
from app.trade.tax import TaxCode, TaxRate
from app.trade.totals import LineKind, PrintedLine, Rule, TaxGroup, totals

CORE_BACK = "core came back"
EXEMPT = "exempt buyer, certificate"


@dataclass(frozen=True)
class Entry:
    """A line on its way to a bill, with the work behind it. `of`: number of the line it takes back."""

    line: NewLine
    work_id: int | None = None
    title: str = ""
    group: str = ""
    became: str = ""
    of: int | None = None


@dataclass(frozen=True)
class Done:
    """A finished work to be billed: its lines by key, what was agreed and what it costs, in minor units."""

    work_id: int
    title: str
    group: str
    agreed: int
    amount: int
    finished_on: date | None
    lines: Mapping[int, NewLine]
    became: str = ""

    @property
    def cores(self) -> dict[int, NewLine]:
        """Its core deposits, by key of the line."""
        return {key: line for key, line in self.lines.items() if line.kind is LineKind.CORE}


def entries_of(works: Iterable[Done], cores_back: frozenset[int] = frozenset()) -> list[Entry]:
    """The lines of works, each core deposit that came back followed by its return."""
    return [entry for work in works for entry in _entries(work, cores_back)]


def _entries(work: Done, cores_back: frozenset[int]) -> Iterable[Entry]:
    for key, line in work.lines.items():
        entry = Entry(line, work.work_id, work.title, work.group, work.became)
        yield entry
        if key in cores_back:
            yield replace(entry, line=returned(line))


def returned(line: NewLine) -> NewLine:
    """The same line in reverse: a quantity below 0 at the same price."""
    return replace(line, quantity=f"{-read_number(line.quantity):f}", what=f"{line.what}, {CORE_BACK}")


def discounted(entries: Sequence[Entry], off: Money, why: str, rounding: Rounding) -> list[Entry]:
    """The entries with a discount on the whole bill, shared out to the cent over what is taxed alike.

    `off`: at least 0. Raises Refused where it is more than the bill.
    """
    if not off.minor:
        return list(entries)
    bases = _bases(entries, rounding)
    if off.minor > sum(bases.values()):
        most = Money(sum(bases.values()))
        raise Refused([Problem("discount", f"{off} is more than the bill", f"at most {most}")])
    shares = zip(bases, spread(off, list(bases.values())), strict=True)
    return [*entries, *(_discount(tax, share, why) for tax, share in shares if share.minor)]


def _bases(entries: Sequence[Entry], rounding: Rounding) -> dict[str, int]:
    """What stands under each tax category, without those that come to nothing."""
    bases: dict[str, int] = {}
    for entry in entries:
        bases[entry.line.tax] = bases.get(entry.line.tax, 0) + entry.line.amount(rounding).minor
    return {tax: base for tax, base in bases.items() if base > 0}


def _discount(tax: str, share: Money, why: str) -> Entry:
    new = NewLine(LineKind.DISCOUNT, f"{why}, on {tax}", "1", share.minor, tax)
    return Entry(new, title="Discount on the whole bill")


def exempt(rates: Iterable[str], certificate: str) -> dict[str, TaxRate]:
    """The rates of a buyer who pays no tax: exempt in every category, with the certificate as the reason."""
    return dict.fromkeys(rates, TaxRate(TaxCode.EXEMPT, reason=f"{EXEMPT} {certificate}"))


@dataclass(frozen=True)
class Sum:
    """What lines come to, in minor units."""

    lines: tuple[BilledLine, ...]
    taxes: tuple[TaxSum, ...]
    net: int
    tax: int
    gross: int


def added_up(entries: Sequence[Entry], rates: Mapping[str, TaxRate], rule: Rule) -> Sum:
    """Lines with their amounts, tax by rate and totals, each amount rounded once by the shop's rule.

    Raises Refused where a category has no rate. Source: EN 16931 BR-CO-10 to BR-CO-15.
    """
    found = totals([entry.line.as_line() for entry in entries], rates, rule)
    return Sum(
        lines=tuple(
            _line(n, entry, printed, rates[entry.line.tax])
            for n, (entry, printed) in enumerate(zip(entries, found.lines, strict=True), 1)
        ),
        taxes=tuple(map(_tax, found.groups)),
        net=found.net.minor,
        tax=found.tax.minor,
        gross=found.gross.minor,
    )


def _line(n: int, entry: Entry, printed: PrintedLine, rate: TaxRate) -> BilledLine:
    line = entry.line
    return BilledLine(
        n=n,
        work_id=entry.work_id,
        title=entry.title,
        group=entry.group,
        kind=line.kind,
        what=line.what,
        quantity=line.quantity,
        price=line.price,
        amount=printed.net.minor,
        taxed=None if printed.tax is None else printed.tax.minor,
        tax=line.tax,
        code=rate.code,
        percent=_plain(rate.percent),
        became=entry.became,
        of=entry.of,
    )


def _tax(group: TaxGroup) -> TaxSum:
    rate = group.rate
    return TaxSum(
        code=rate.code,
        percent=_plain(rate.percent),
        reason=rate.reason,
        base=group.base.minor,
        tax=group.tax.minor,
    )


def _plain(percent: Decimal) -> str:
    text = f"{percent:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_entry(line: BilledLine) -> Entry:
    """A billed line on its way to a credit note."""
    new = NewLine(line.kind, line.what, line.quantity, line.price, line.tax)
    return Entry(new, line.work_id, line.title, line.group, of=line.n)


def with_supplies(stands: Sequence[BilledLine], wanted: frozenset[int]) -> frozenset[int]:
    """Numbers of the lines to be taken back, with the shop supplies of each work that keeps no labour.

    `stands`: the lines that are not taken back yet. Supplies are a share of the labour: without any, of none.
    """
    labour = [line for line in stands if line.kind is LineKind.LABOUR]
    kept = {line.work_id for line in labour if line.n not in wanted}
    bare = {line.work_id for line in labour} - kept
    return wanted | {line.n for line in stands if line.what == SUPPLIES and line.work_id in bare}


def taken_back(
    stands: Sequence[BilledLine], chosen: Sequence[BilledLine], rates: Mapping[str, TaxRate], rule: Rule
) -> Sum:
    """What a credit note over some of the lines that still stand comes to.

    The tax of each rate is what the tax falls by, so that credit notes over every line of an invoice add up
    to its tax to the cent, whatever the cents of each.
    """
    credited = added_up([as_entry(line) for line in chosen], rates, rule)
    after = added_up([as_entry(line) for line in stands if line not in chosen], rates, rule)
    before = added_up([as_entry(line) for line in stands], rates, rule)
    taxes = tuple(_fall(each, before.taxes, after.taxes) for each in credited.taxes)
    tax = summed(Money(each.tax) for each in taxes).minor
    return replace(credited, taxes=taxes, tax=tax, gross=credited.net + tax)


def _fall(credited: TaxSum, before: Sequence[TaxSum], after: Sequence[TaxSum]) -> TaxSum:
    falls = _of_rate(before, credited) - _of_rate(after, credited)
    return credited.model_copy(update={"tax": falls})


def _of_rate(taxes: Sequence[TaxSum], like: TaxSum) -> int:
    return sum(each.tax for each in taxes if (each.code, each.percent) == (like.code, like.percent))

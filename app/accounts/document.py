"""What a bill says, whole and frozen: the paper prints it, the book keeps it, programs read it.

Amounts in minor units; instants in UTC; days in the shop's zone. A credit note's amounts are above 0, as what
it takes back was.
"""

from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from pydantic import BaseModel, ConfigDict

from app.trade.money import Money, Rounding, summed
from app.trade.tax import TaxCode, TaxRate
from app.trade.totals import Basis, LineKind, Rule


class Kind(StrEnum):
    """What a bill is."""

    INVOICE = "invoice"
    CREDIT = "credit"

    @property
    def word(self) -> str:
        """As papers head it."""
        return "Invoice" if self is Kind.INVOICE else "Credit note"

    @property
    def sign(self) -> int:
        """One where it is owed, minus one where it is given back."""
        return 1 if self is Kind.INVOICE else -1


class Part(BaseModel):
    """Base of all that stands in a bill: frozen, and no field that the format does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Party(Part):
    """Who sells or buys. `country`: two letters of ISO 3166-1."""

    name: str
    address: str = ""
    phone: str = ""
    email: str = ""
    country: str = ""
    tax_number: str = ""
    register_number: str = ""


class Tag(Part):
    """The unit's tag as papers show it."""

    number: int
    what: str
    whose: str
    stands: str
    lines: tuple[str, ...] = ()


class BilledLine(Part):
    """One line. `price`: minor units for one; `tax`: its category; `of`: number of the line it takes back.

    `taxed`: its tax in minor units, only where tax is rounded on every line.
    """

    n: int
    work_id: int | None
    title: str
    group: str
    kind: LineKind
    what: str
    quantity: str
    price: int
    amount: int
    tax: str
    code: TaxCode
    percent: str
    taxed: int | None = None
    became: str = ""
    of: int | None = None

    @property
    def times(self) -> str:
        """The quantity as people read it: `1.2 h`, `2`."""
        return f"{self.quantity} h" if self.kind is LineKind.LABOUR else self.quantity

    @property
    def rate(self) -> str:
        """How it is taxed, in a word."""
        return f"{self.percent} %" if self.code is TaxCode.RATED else "none"


class TaxSum(Part):
    """Tax of one rate: the sum that it is on and the tax."""

    code: TaxCode
    percent: str
    reason: str
    base: int
    tax: int


class Received(Part):
    """Money received before the bill was made, or held from earlier."""

    what: str
    on: date
    means: str
    amount: int


class Undone(Part):
    """Offered work that was not done by the owner's choice. `amount`: before tax."""

    title: str
    amount: int
    said: str
    on: date


class Bill(Part):
    """Everything that a bill says."""

    format: str = "bill/1"
    kind: Kind
    number: str
    made_at: datetime
    made_by: str
    on: date
    due_on: date
    takes_back: str = ""
    taken_back_from: date | None = None
    reason: str = ""
    currency: str
    currency_code: str
    zone: str
    seller: Party
    buyer: Party
    tag: Tag
    order_number: str
    agreed_on: date | None = None
    taxed_on: date | None = None  # its tax point; None: made before it was kept, and on a credit note
    lines: tuple[BilledLine, ...]
    taxes: tuple[TaxSum, ...]
    net: int
    tax: int
    gross: int
    received: tuple[Received, ...] = ()
    undone: tuple[Undone, ...] = ()
    note: str = ""
    rounding: Rounding | None = None  # None: made before it was kept
    basis: Basis = Basis.DOCUMENT
    witness: str = ""  # hash of the newest receipt before it

    @property
    def paid(self) -> int:
        """What was received before."""
        return sum(each.amount for each in self.received)

    @property
    def due(self) -> int:
        """What is left to pay; below 0 where more was received than billed."""
        return self.gross - self.paid

    @property
    def discounts(self) -> int:
        """Sum of the discounts, as a positive amount."""
        return -sum(line.amount for line in self.lines if line.kind is LineKind.DISCOUNT)

    def of(self, *kinds: LineKind) -> int:
        """Sum of the lines of some kinds."""
        return summed(Money(line.amount) for line in self.lines if line.kind in kinds).minor

    @property
    def works(self) -> list[tuple[str, str, str, list[BilledLine]]]:
        """The lines by work, in their order: group, title, what became of it, lines."""
        found: dict[tuple[str, str, int | None], list[BilledLine]] = {}
        for line in self.lines:
            found.setdefault((line.group, line.title, line.work_id), []).append(line)
        return [(group, title, lines[0].became, lines) for (group, title, _), lines in found.items()]

    def rule(self, otherwise: Rounding) -> Rule:
        """How it was rounded; `otherwise`: what becomes of half a cent where the bill does not say."""
        return Rule(self.rounding or otherwise, self.basis)

    def rates(self) -> dict[str, TaxRate]:
        """The rate of each tax category, as it was when the bill was made."""
        reasons = {(each.code, each.percent): each.reason for each in self.taxes}
        return {line.tax: _rate(line, reasons) for line in self.lines}


def _rate(line: BilledLine, reasons: dict[tuple[TaxCode, str], str]) -> TaxRate:
    return TaxRate(line.code, Decimal(line.percent), reasons[line.code, line.percent])

"""What the accounts keep: bills with their lines, payments, exemptions, closes of the day, terms.

Nothing here is ever changed: an error is put right by a credit note, a refund, or a newer row.
"""

from datetime import date
from typing import Any

from sqlalchemy import JSON
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["bill", "billline", "payment", "exemption", "dayclose", "terms"]


class Bill(Kept, table=True):
    """An invoice, or the credit note that takes one back in whole or in part. Amounts in minor units."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    kind: str  # invoice or credit
    number: str = Field(unique=True)  # I-2026-0244, CN-2026-0012; credit notes of before: K-2026-0012
    takes_back_id: int | None = Field(default=None, foreign_key="bill.id", index=True)
    on_day: date = Field(index=True)  # in the shop's zone
    due_on: date
    net: int
    tax: int
    gross: int  # as printed: a credit note's too is above 0
    snapshot: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)  # what its paper says
    made_by: int = Field(foreign_key="person.id")


class BillLine(Kept, table=True):
    """One line of a bill. A line is taken back once at most."""

    bill_id: int = Field(foreign_key="bill.id", index=True)
    n: int  # its number on the bill
    work_id: int | None = Field(default=None, foreign_key="work.id", index=True)
    amount: int  # minor units, before tax
    takes_back_id: int | None = Field(default=None, foreign_key="billline.id", unique=True)


class Payment(Kept, table=True):
    """Money that came in, or went back where `amount` is below 0. Minor units."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    number: str = Field(unique=True)  # R-2026-0031
    kind: str  # deposit, payment or refund
    means: str  # cash, card, cheque or transfer
    amount: int
    reference: str = ""  # number of the cheque, of the card slip, of the transfer
    on_day: date  # when it was received, in the shop's zone
    rounded: int = 0  # what coins left off and counts as paid too; below 0 where coins took more
    owed_before: int  # what the owner owed before it, below 0 where money was held
    note: str = ""
    taken_by: int = Field(foreign_key="person.id")

    @property
    def counts(self) -> int:
        """What it counts on the account: the amount with what coins left off."""
        return self.amount + self.rounded


class Exemption(Kept, table=True):
    """An owner pays no tax, by a certificate; the newest row of an owner counts, an empty one ends it."""

    owner_id: int = Field(foreign_key="owner.id", index=True)
    certificate: str
    until: date | None = None
    kept_by: int = Field(foreign_key="person.id")


class DayClose(Kept, table=True):
    """The drawer counted against the book: everything since the close before. Minor units."""

    number: str = Field(unique=True)  # D-2026-0112
    on_day: date
    start: int  # cash in the drawer at the start
    counted: int
    banked: int  # taken out of the drawer
    last_bill: int = 0  # key of the newest bill that it covers
    last_payment: int = 0
    snapshot: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    closed_by: int = Field(foreign_key="person.id")


class Terms(Kept, table=True):
    """What stands on every bill, and how bills are told to programs; the newest row counts."""

    country: str  # ISO 3166-1, two letters
    currency_code: str  # ISO 4217
    tax_number: str = ""  # sales-tax permit or the like
    register_number: str = ""
    due_days: int = 0
    note: str = ""  # warranty, hours, thanks
    set_by: int = Field(foreign_key="person.id")

"""What the parts room keeps: suppliers, parts, the ledger of movements, purchase orders, lists read in.

Quantities are whole hundredths of the part's unit, so that the file adds them up exactly; money is minor
units.
"""

from datetime import date, datetime

from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["movement"]


class Supplier(Kept, table=True):
    """Who sells us parts. `account`: our number with them; `lead_days`: usual days from order to shelf."""

    name: str = Field(unique=True)
    phone: str = ""
    email: str = ""
    address: str = ""
    account: str = ""
    lead_days: int | None = None
    note: str = ""
    active: bool = True
    revision: int = 0


class Part(Kept, table=True):
    """One thing that the shop buys and sells. `price` None: by the shop's mark-up on the cost."""

    number: str = Field(unique=True)  # the shop's own
    name: str
    designation: str = Field(default="", index=True)  # open: ISO, SAE, DOT or inch bearing number
    unit: str = "each"
    supplier_id: int | None = Field(default=None, foreign_key="supplier.id", index=True)
    supplier_number: str = ""
    cost: int = 0  # minor units for one
    price: int | None = None
    bin: str = Field(default="", index=True)
    reorder_at: int = 0  # hundredths; ordered anew where what is free and coming falls to this
    reorder_quantity: int = 0  # hundredths; 0: bought only when work needs it
    superseded_by_id: int | None = Field(default=None, foreign_key="part.id")
    kit_part: str = ""  # what kits call it, where it stands in for their part
    active: bool = True
    revision: int = 0


class PurchaseOrder(Kept, table=True):
    """What is bought of one supplier at once. It is open until sent; what came is the ledger's to say."""

    number: str = Field(unique=True)  # P-2026-0041
    supplier_id: int = Field(foreign_key="supplier.id", index=True)
    note: str = ""
    sent_at: datetime | None = None
    sent_how: str = ""
    closed_at: datetime | None = None  # whatever has not come by then is not coming
    revision: int = 0


class PurchaseLine(Kept, table=True):
    """One part on a purchase order; with a work order it is bought for that one (special order)."""

    purchase_order_id: int = Field(foreign_key="purchaseorder.id", index=True)
    part_id: int = Field(foreign_key="part.id", index=True)
    quantity: int  # hundredths
    given_up: int = 0  # hundredths that were ordered and are not coming any more
    cost: int  # minor units for one
    work_order_id: int | None = Field(default=None, foreign_key="workorder.id", index=True)
    work_id: int | None = None  # a later room's key, so without a foreign key
    expected_on: date | None = None  # of what has not come yet


class Movement(Kept, table=True):
    """One line of the ledger: what it did to on hand, reserved and value. Stock is the sum of these."""

    part_id: int = Field(foreign_key="part.id", index=True)
    kind: str  # receive, reserve, release, issue, return or count
    on_hand: int = 0  # hundredths, negative when it leaves the shelf
    reserved: int = 0  # hundredths
    value: int = 0  # minor units of what is on the shelf
    work_order_id: int | None = Field(default=None, foreign_key="workorder.id", index=True)
    work_id: int | None = None  # a later room's key, so without a foreign key
    purchase_line_id: int | None = Field(default=None, foreign_key="purchaseline.id", index=True)
    note: str = ""
    person_id: int = Field(foreign_key="person.id")


class PartList(Kept, table=True):
    """A list of parts read in as text, looked at first, then kept whole or not at all."""

    text: str
    read_by: int = Field(foreign_key="person.id")
    kept_at: datetime | None = None
    revision: int = 0

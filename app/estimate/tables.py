"""What price and consent keep: pieces of work, estimate revisions with their lines, the owner's word."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Entered, Kept

APPEND_ONLY += ["consent", "answer"]


class Work(Kept, table=True):
    """One piece of work that answers findings: from a kit, or typed by hand. The owner answers per work."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    kit: str = ""  # key of the kit, empty when typed by hand
    title: str
    place: str = ""
    records: list[str] = Field(default_factory=list, sa_type=JSON)  # record kinds that must prove it
    steps: list[str] = Field(default_factory=list, sa_type=JSON)
    cautions: list[str] = Field(default_factory=list, sa_type=JSON)  # keys
    defer: str = ""  # who must do it by law, in words
    outside: bool = False
    instead_of_id: int | None = Field(default=None, foreign_key="work.id")  # another way of doing that work


class WorkFinding(Kept, table=True):
    """A work answers a finding."""

    work_id: int = Field(foreign_key="work.id", index=True)
    finding_id: int = Field(foreign_key="finding.id", index=True)


class Estimate(Kept, table=True):
    """The priced offer of one work order, in revisions."""

    work_order_id: int = Field(foreign_key="workorder.id", unique=True)
    number: str = Field(unique=True)  # E-2026-0301


class Revision(Kept, table=True):
    """One state of an estimate. Frozen when shown to the owner; after that only a new revision changes it."""

    estimate_id: int = Field(foreign_key="estimate.id", index=True)
    n: int
    valid_until: date | None = None
    note: str = ""
    frozen_at: datetime | None = None
    frozen_by: int | None = Field(default=None, foreign_key="person.id")
    totals: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)  # as shown, once frozen
    revision: int = 0


class WorkLine(Kept, table=True):
    """One priced line of a revision. Amounts are integer minor units, before tax."""

    revision_id: int = Field(foreign_key="revision.id", index=True)
    work_id: int = Field(foreign_key="work.id", index=True)
    position: int
    group: str  # must, should or wait
    kind: str  # labour, part, outside, fee, discount or core
    what: str
    quantity: str = "1"  # as typed: hours in tenths for labour
    price: int = 0  # minor units for one
    amount: int = 0  # minor units, rounded by the one rule; discounts negative
    tax: str = "parts"  # tax category: parts, labour, outside, supplies, disposal, exempt


class Consent(Entered, table=True):
    """What the owner said about one frozen revision, and how."""

    revision_id: int = Field(foreign_key="revision.id", index=True)
    how: str  # tablet, paper, phone or writing
    who: str
    phone: str = ""
    said_at: datetime
    read_back: str = ""
    limit: int | None = None  # minor units, before tax
    signature: str = ""  # SVG path of a signature drawn on the tablet
    taken_by: int = Field(foreign_key="person.id")


class Answer(Kept, table=True):
    """The owner's word on one work: yes, no or later. A declined safety line carries the acknowledgement."""

    consent_id: int = Field(foreign_key="consent.id", index=True)
    work_id: int = Field(foreign_key="work.id", index=True)
    answer: str  # yes, no or later
    amount: int = 0  # minor units agreed to, before tax
    acknowledged: str = ""  # initials of the owner beside a declined safety work

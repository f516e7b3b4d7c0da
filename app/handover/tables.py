"""What handover keeps: the final check, the handover with its snapshot, what falls due after."""

from datetime import date
from typing import Any, ClassVar

from sqlalchemy import JSON, UniqueConstraint
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["finalcheck", "handover"]


class FinalCheck(Kept, table=True):
    """A second person reads the last list out before the unit leaves."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    items: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    checked_by: int = Field(foreign_key="person.id")
    read_by: str = ""


class Handover(Kept, table=True):
    """The unit leaves, as fit to tow or not; the snapshot is what its paper says."""

    __table_args__: ClassVar[Any] = (UniqueConstraint("number", "issue"),)

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    number: str  # H-2026-0188
    issue: int
    fit: bool
    leaves: str  # towed, or how it is carried away
    taken_by: str  # who takes the unit
    signature: str = ""
    snapshot: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    handed_by: int = Field(foreign_key="person.id")
    replaces_id: int | None = Field(default=None, foreign_key="handover.id")


class FollowUp(Kept, table=True):
    """Something that falls due after the unit has left."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    what: str
    due_on: date | None = None
    due_miles: int | None = None
    done_on: date | None = None
    done_by: int | None = Field(default=None, foreign_key="person.id")
    revision: int = 0

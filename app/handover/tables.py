"""What handover keeps: the final check, the handover with its snapshot, what falls due after."""

from datetime import date
from typing import Any, ClassVar

from sqlalchemy import JSON, UniqueConstraint
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Entered, Kept

APPEND_ONLY += ["finalcheck", "handover", "retorquevisit"]


class FinalCheck(Entered, table=True):
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


class RetorqueVisit(Kept, table=True):
    """The unit came back after its first miles, and every wheel's nuts were gone round at the full figure."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    number: str = Field(unique=True)  # N-2026-0044
    payload: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)  # a visit as typed
    inside: bool
    grade: str
    says: str  # the verdict in words
    worked: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    instrument_id: int = Field(foreign_key="instrument.id")
    made_by: int = Field(foreign_key="person.id")


class FollowUp(Kept, table=True):
    """Something that falls due after the unit has left. Wheel nuts are done by a visit or by the owner."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    kind: str = ""  # nuts, tires (their registration), or empty
    what: str
    due_on: date | None = None
    due_miles: int | None = None
    done_on: date | None = None
    done_by: int | None = Field(default=None, foreign_key="person.id")
    done_how: str = ""  # visit, here, elsewhere or dropped; of tires: given, mailed or online
    done_says: str = ""  # who says so, what was done
    visit_id: int | None = Field(default=None, foreign_key="retorquevisit.id")
    revision: int = 0

"""What the walk-round keeps: the catalogue it was made with, walks, findings, readings, photos."""

from datetime import date, datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, UniqueConstraint
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Entered, Kept

APPEND_ONLY += ["catalogueversion", "findingphoto", "takenback", "photoleftout"]


class CatalogueVersion(Kept, table=True):
    """The catalogue as it stood; an old inspection still shows the checks that it was made with."""

    sha256: str = Field(index=True)
    content: str  # JSON
    shipped_id: int | None = Field(default=None, foreign_key="catalogueversion.id")  # None: as shipped
    changes: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)  # the shop's, over the shipped
    made_by: int | None = Field(default=None, foreign_key="person.id")


class Walk(Entered, table=True):
    """One walk-round of a unit. A second look is a walk of its own."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    catalogue_id: int = Field(foreign_key="catalogueversion.id")
    depth: str  # quick, full, prepurchase or second (a second look at single findings)
    begun_by: int = Field(foreign_key="person.id")
    ended_at: datetime | None = None
    ended_by: int | None = Field(default=None, foreign_key="person.id")
    revision: int = 0


class Finding(Kept, table=True):
    """The verdict on one check at one place of the unit."""

    __table_args__: ClassVar[Any] = (UniqueConstraint("walk_id", "check", "place"),)

    walk_id: int = Field(foreign_key="walk.id", index=True)
    check: str  # key in the walk's catalogue
    place: str
    name: str = ""  # check and place as said: "Tread depth, left tire, axle 1"
    station: int = 0
    grade: str = "unseen"
    by: str | None = None  # with needs: towing, use or soon
    until: date | None = None  # with watch: look again by
    until_miles: int | None = None
    reason: str = ""
    source: str = ""
    proposed: str = ""  # grade that the rule proposed, empty without a rule
    proposed_by: str | None = None
    proposed_reason: str = ""
    dissent: str = ""  # why the person graded otherwise
    fitted: bool = True  # False: the unit has no such thing
    note: str = ""
    seen: list[str] = Field(default_factory=list, sa_type=JSON)  # keys of the defects picked
    worked: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)  # worked figures, as shown
    alone: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)  # before others made it heavier
    closed_off: bool = False  # tagged and shut, so that "before use" does not hold the tow
    looked_by: int | None = Field(default=None, foreign_key="person.id")
    looked_at: datetime | None = None
    looked_entry: int = 0  # number in the book of the act that graded it last, no lighter; 0 for none
    revision: int = 0


class Reading(Kept, table=True):
    """One reading of a finding, as typed. The receipts keep what stood before."""

    __table_args__: ClassVar[Any] = (UniqueConstraint("finding_id", "measure"),)

    finding_id: int = Field(foreign_key="finding.id", index=True)
    measure: str
    label: str
    typed: str
    unit: str = ""
    confirmed_by: int | None = Field(default=None, foreign_key="person.id")  # who kept an unlikely value


class FindingPhoto(Kept, table=True):
    """A photo that belongs to a finding."""

    finding_id: int = Field(foreign_key="finding.id", index=True)
    photo_id: int = Field(foreign_key="photo.id")


class TakenBack(Entered, table=True):
    """An act of a walk-round taken back by the person who did it; its receipt stays beside this row."""

    walk_id: int = Field(foreign_key="walk.id", index=True)
    receipt_id: int = Field(foreign_key="receipt.id", unique=True)
    reason: str = ""  # why, for a safety check


class PhotoLeftOut(Kept, table=True):
    """A photo that its finding shows no longer, since the act that brought it was taken back."""

    finding_photo_id: int = Field(foreign_key="findingphoto.id", unique=True)
    taken_back_id: int = Field(foreign_key="takenback.id")

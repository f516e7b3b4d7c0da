"""What the bench keeps: jobs with their hours and hold points, measured records, clearances."""

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, Index, UniqueConstraint, text
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Entered, Kept

APPEND_ONLY += ["benchrecord", "clearance", "holdsigned", "jobphoto"]


class Job(Kept, table=True):
    """Consented work given to a technician."""

    work_id: int = Field(foreign_key="work.id", unique=True)
    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    technician_id: int | None = Field(default=None, foreign_key="person.id")
    begun_at: datetime | None = None
    begun_entry: int = 0  # number in the book of the act that began it
    done_steps: list[int] = Field(default_factory=list, sa_type=JSON)
    holds: list[int] = Field(default_factory=list, sa_type=JSON)  # steps that a second person signs
    paused_at: datetime | None = None
    paused_for: str = ""  # part, owner, outside or other
    paused_note: str = ""
    finished_at: datetime | None = None
    finished_entry: int = 0  # number in the book of the act that finished it
    finished_by: int | None = Field(default=None, foreign_key="person.id")
    accepted_reason: str = ""  # a lead's written acceptance where a record is missing or outside
    accepted_by: int | None = Field(default=None, foreign_key="person.id")
    revision: int = 0


class Stint(Kept, table=True):
    """Hours of one person on one job, open until `ended_at`; a person has at most one open."""

    __table_args__: ClassVar[Any] = (
        Index("one_open_stint", "person_id", unique=True, sqlite_where=text("ended_at IS NULL")),
    )

    job_id: int = Field(foreign_key="job.id", index=True)
    person_id: int = Field(foreign_key="person.id", index=True)
    begun_at: datetime
    ended_at: datetime | None = None
    said_later: bool = False  # the end was forgotten and said the next morning
    corrected_by: int | None = Field(default=None, foreign_key="person.id")
    reason: str = ""  # why a lead corrected it
    revision: int = 0


class HoldSigned(Kept, table=True):
    """A second person looked at a step beyond which the job does not go without it."""

    __table_args__: ClassVar[Any] = (UniqueConstraint("job_id", "step"),)

    job_id: int = Field(foreign_key="job.id", index=True)
    step: int
    signed_by: int = Field(foreign_key="person.id")
    how: str  # own sign-in, or passphrase on the technician's tablet


class JobPhoto(Kept, table=True):
    """A photo of the place of a job, before the work or after it. It proves no work by itself."""

    job_id: int = Field(foreign_key="job.id", index=True)
    photo_id: int = Field(foreign_key="photo.id")
    when: str  # before or after
    words: str = ""
    made_by: int = Field(foreign_key="person.id")


class BenchRecord(Entered, table=True):
    """A measured record: typed, judged, never changed. A correction supersedes it."""

    job_id: int | None = Field(default=None, foreign_key="job.id", index=True)
    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    kind: str
    place: str = ""
    payload: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    inside: bool
    says: str  # the verdict in words
    worked: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    instrument_id: int | None = Field(default=None, foreign_key="instrument.id")
    made_by: int = Field(foreign_key="person.id")
    supersedes_id: int | None = Field(default=None, foreign_key="benchrecord.id", unique=True)
    correction: str = ""  # why it supersedes


class Clearance(Entered, table=True):
    """A finding is cleared: by a finished job with its records, or by a second look.

    It lapses where its evidence is corrected away or the finding is graded anew; then another may follow.
    """

    finding_id: int = Field(foreign_key="finding.id", index=True)
    how: str  # record, second look or lead
    job_id: int | None = Field(default=None, foreign_key="job.id")
    second_look_id: int | None = Field(default=None, foreign_key="finding.id")
    reason: str = ""  # written by a lead who overrides; printed
    cleared_by: int = Field(foreign_key="person.id")

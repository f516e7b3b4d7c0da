"""What the bench keeps: jobs, measured records, clearances."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["benchrecord", "clearance"]


class Job(Kept, table=True):
    """Consented work given to a technician."""

    work_id: int = Field(foreign_key="work.id", unique=True)
    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    technician_id: int | None = Field(default=None, foreign_key="person.id")
    begun_at: datetime | None = None
    done_steps: list[int] = Field(default_factory=list, sa_type=JSON)
    finished_at: datetime | None = None
    finished_by: int | None = Field(default=None, foreign_key="person.id")
    accepted_reason: str = ""  # a lead's written acceptance where a record is missing or outside
    accepted_by: int | None = Field(default=None, foreign_key="person.id")
    revision: int = 0


class BenchRecord(Kept, table=True):
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


class Clearance(Kept, table=True):
    """A finding is cleared: by a finished job with its records, or by a second look.

    It lapses where its evidence is corrected away or the finding is graded anew; then another may follow.
    """

    finding_id: int = Field(foreign_key="finding.id", index=True)
    how: str  # record, second look or lead
    job_id: int | None = Field(default=None, foreign_key="job.id")
    second_look_id: int | None = Field(default=None, foreign_key="finding.id")
    reason: str = ""  # written by a lead who overrides; printed
    cleared_by: int = Field(foreign_key="person.id")

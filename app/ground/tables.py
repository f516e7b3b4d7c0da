"""What the common ground keeps: people, sign-ins, receipts, the shop, instruments, photos, documents."""

import re
import unicodedata
from datetime import date, datetime
from typing import Any, ClassVar

from sqlalchemy import (
    JSON,
    Boolean,
    Connection,
    Date,
    DateTime,
    Float,
    String,
    Table,
    UniqueConstraint,
    event,
    func,
    select,
)
from sqlalchemy.engine.default import DefaultExecutionContext
from sqlalchemy.ext.compiler import compiles
from sqlmodel import Field, SQLModel


def _spelled(name: str, *kinds: type) -> None:
    for kind in kinds:
        compiles(kind, "sqlite")(lambda *_, **__: name)


# STRICT tables know few type names; these are the ones our columns need.
_spelled("TEXT", String, DateTime, Date, JSON)
_spelled("INTEGER", Boolean)
_spelled("REAL", Float)


@event.listens_for(Table, "after_parent_attach")
def _strict(table: Table, _metadata: object) -> None:
    """Every table is STRICT on SQLite, so that the file itself refuses a text in a number's column."""
    table.dialect_options["sqlite"]["strict"] = True


# Tables whose rows are never changed or removed; `migrations/` makes a trigger for each.
APPEND_ONLY: list[str] = ["receipt", "document", "photo", "photomarks", "shoptax"]


class Kept(SQLModel):
    """Base of all rows: an integer key and the instant when the row was made (UTC)."""

    id: int | None = Field(default=None, primary_key=True)
    created_at: datetime

    @property
    def key(self) -> int:
        """The key of a row that has been kept; AssertionError for one that has not."""
        assert self.id is not None
        return self.id


def coming_entry(connection: Connection) -> int:
    """The number in the book of the act under way: that which its receipt will have; 1 in an empty book.

    Numbers rise with every act, whatever the machine's clock says: which of two things came last is told by
    them, and by no time.
    """
    newest = connection.execute(select(func.max(Receipt.id))).scalar()
    return int(newest or 0) + 1


def _coming(context: DefaultExecutionContext) -> int:
    return coming_entry(context.connection)


class Entered(Kept):
    """Base of rows whose order decides something; `entry`: the number in the book of the act that made it."""

    entry: int = Field(default=None, nullable=False, sa_column_kwargs={"default": _coming})


class Person(Kept, table=True):
    """Someone who works here. `role`: technician, writer or lead (who also administers)."""

    name: str = Field(unique=True)
    role: str
    passphrase_hash: str
    active: bool = True
    tries: int = 0  # wrong passphrases in a row
    wait_until: datetime | None = None
    revision: int = 0


class SignIn(Kept, table=True):
    """One signed-in device; ended on the server, so that a stolen cookie can be made worthless."""

    person_id: int = Field(foreign_key="person.id", index=True)
    cookie_hash: str = Field(unique=True)  # SHA-256 of the random cookie
    form_token: str  # in every form; compared on every change
    device: str = ""
    used_at: datetime
    ends_at: datetime
    ended_at: datetime | None = None


class Receipt(Kept, table=True):
    """One act, once: at the same time the receipt of its submission and its entry in the audit chain."""

    submission: str = Field(unique=True)
    sent: str  # hash of what was sent
    act: str  # the act's verb: "record finding"
    subject: str = Field(index=True)  # table of the row made or changed
    subject_id: int = Field(index=True)
    person_id: int | None = Field(default=None, foreign_key="person.id")
    device: str = ""
    stood: str  # what then stood in the rows, as JSON text
    before: str  # hash of the receipt before this one
    hash: str = Field(unique=True)


class Shop(Kept, table=True):
    """The shop's own settings: one row, edited by a lead."""

    name: str
    address: str = ""
    phone: str = ""
    email: str = ""
    zone: str = "America/New_York"
    currency: str = "$"
    paper: str = "letter"  # letter or a4
    settings: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    revision: int = 0


class ShopTax(Kept, table=True):
    """A tax rate of one category, in force from a day on; of rows of the same day the newest counts."""

    category: str  # parts, labour, outside, supplies or disposal
    first_day: date
    percent: str  # 0 where it is not taxed
    set_by: int | None = Field(default=None, foreign_key="person.id")  # None: as the shop was opened


class Instrument(Kept, table=True):
    """A wrench, gauge, balancer, scale or meter that a record names."""

    name: str
    kind: str  # torque wrench, balancer, tread gauge, dial indicator, multimeter, manometer, scale ...
    unit: str = ""
    least: str = ""  # range, as typed
    most: str = ""
    resolution: str = ""
    calibrated_on: date | None = None
    calibration_due: date | None = None
    active: bool = True
    revision: int = 0


class Photo(Kept, table=True):
    """A picture, upright and without its metadata; files are kept by content hash."""

    sha256: str = Field(index=True)  # 1,600 px copy, as printed
    small_sha256: str  # 480 px copy
    width: int
    height: int
    size: int
    taken_by: int = Field(foreign_key="person.id")


class PhotoMarks(Kept, table=True):
    """A layer of marks drawn over a photo, which itself stays as it is; the newest layer is shown."""

    photo_id: int = Field(foreign_key="photo.id", index=True)
    marks: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    made_by: int = Field(foreign_key="person.id")


class Document(Kept, table=True):
    """A printed paper, kept byte for byte. A correction is a new issue that names the one it replaces."""

    __table_args__: ClassVar[Any] = (UniqueConstraint("kind", "number", "issue"),)

    kind: str
    number: str
    issue: int
    title: str
    work_order_id: int = Field(index=True)  # a later room's key, so without a foreign key
    sha256: str
    size: int
    printed_by: int = Field(foreign_key="person.id")
    replaces_id: int | None = Field(default=None, foreign_key="document.id")

    @property
    def file_name(self) -> str:
        """A name under which it may be saved anywhere: letters, digits, points and dashes of ASCII."""
        plain = unicodedata.normalize("NFKD", f"{self.title}-{self.number}-issue-{self.issue}")
        return re.sub(r"[^A-Za-z0-9.]+", "-", plain.encode("ascii", "ignore").decode()).strip("-.") + ".pdf"


class Series(SQLModel, table=True):
    """Last number given in a series of document numbers, one row a series and year."""

    name: str = Field(primary_key=True)
    year: int = Field(primary_key=True)
    last: int = 0

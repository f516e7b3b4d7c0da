"""What a handover says, whole and frozen: the paper prints it, the book keeps it, the PDF encloses it.

Money in minor units before tax unless said otherwise; instants in UTC; days in the shop's zone.
"""

from datetime import date, datetime
from typing import Any

from pydantic import BaseModel, ConfigDict

from app.trade.figure import By, Grade


class Part(BaseModel):
    """Base of all that stands in the record: frozen, and no field that the format does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Said(Part):
    """A name and what is said of it."""

    name: str
    says: str


class Figure(Part):
    """A worked figure as it was shown."""

    name: str
    says: str
    formula: str
    inputs: tuple[Said, ...] = ()
    limit: str = ""
    verdict: Said | None = None
    source: str = ""
    caution: str = ""


class Stroke(Part):
    """A mark drawn over a photo: the path `d` of a line, or a label that `says` something at `x` and `y`."""

    d: str = ""
    x: int = 0
    y: int = 0
    wide: int = 0
    says: str = ""


class Picture(Part):
    """A photo: the name that the page uses, the hash of its print copy, what it shows, when and by whom."""

    name: str
    sha256: str
    alt: str
    caption: str
    high: int = 0  # of the marks' drawing, which is 1000 wide
    drawn: tuple[Stroke, ...] = ()


class Line(Part):
    """One thing that was looked at, as it stands. `got`: readings and reason; `was`: what was cleared.

    `where`: the place in words, where the name ends with it. `plain`: nothing but its state and name (and the
    reason, where it was not looked at) is to be told, so that the paper may name it together with others.
    """

    finding_id: int
    check: str
    place: str
    name: str
    station: int
    state: Grade
    fitted: bool
    got: str
    by: By | None = None
    until: date | None = None
    until_miles: int | None = None
    was: str = ""
    dissent: str = ""
    note: str = ""
    source: str = ""
    looked_by: str = ""
    looked_at: datetime | None = None
    where: str = ""
    plain: bool = False


class WorkDone(Part):
    """A work that was agreed to and finished, with what came of it. `amount` as agreed."""

    title: str
    result: str
    amount: int
    finished_on: date | None = None
    finished_by: str = ""
    accepted: str = ""

    @property
    def short(self) -> str:
        """What came of it, up to the first semicolon."""
        return self.result.partition(";")[0]


class Left(Part):
    """A fault that stays: the work offered for it, what was answered, the owner's initials and signature.

    `signed`: who signed, and on which day. `amount`: None where it was never priced. `state`: None where no
    finding stands behind it.
    """

    title: str
    state: Grade | None
    why: str
    amount: int | None
    answer: str
    said: str
    initials: str = ""
    signature: str = ""
    signed: str = ""


class Thread(Part):
    """A fault that held the tow and how far it came."""

    what: str
    found: date | None = None
    priced: date | None = None
    agreed: date | None = None
    done: date | None = None
    measured: date | None = None
    cleared: date | None = None
    says: str = ""


class Measured(Part):
    """A measured record that stands. `payload`: as kept by its kind."""

    id: int
    kind: str
    title: str
    place: str
    label: str
    says: str
    inside: bool
    made_by: str
    made_at: datetime
    instrument: str = ""
    correction: str = ""
    payload: dict[str, Any] = {}


class Warned(Part):
    """A caution with its signal word, and beside what it stands."""

    word: str
    hazard: str
    result: str
    avoid: str


class Duty(Part):
    """What falls due: in words, with its day and distances where it has them."""

    when: str
    what: str
    on: date | None = None
    miles: tuple[int, ...] = ()

    @property
    def of_nuts(self) -> bool:
        """Whether it is the tightening of the wheel nuts, the one duty that comes due several times."""
        return len(self.miles) > 1


class TaxLine(Part):
    """Tax of one rate."""

    rate: str
    base: int
    tax: int


class Cost(Part):
    """Sum of the agreed work that was done: before tax, tax by rate, with tax."""

    net: int
    taxes: tuple[TaxLine, ...]
    tax: int
    gross: int


class Invoiced(Part):
    """What was billed for the stay, with tax, and what was paid; `due` below 0 where money is held."""

    numbers: tuple[str, ...]
    gross: int
    paid: int
    due: int


class Shop(Part):
    """The shop as it stood."""

    name: str
    address: str
    phone: str
    zone: str
    currency: str


class Tag(Part):
    """The unit's tag."""

    number: int
    what: str
    whose: str
    stands: str
    lines: tuple[str, ...] = ()


class Handed(Part):
    """The handover itself. `replaces`: the issue that this one takes the place of."""

    number: str
    issue: int
    at: datetime
    by: str
    fit: bool
    leaves: str
    carrier: str
    taken_by: str
    signature: str
    on_paper: bool
    replaces: str = ""
    witness: str = ""  # hash of the newest receipt before it
    unseen_reason: str = ""


class FinalCheck(Part):
    """The last list, as it was answered."""

    items: tuple[Said, ...]
    checked_by: str
    read_by: str
    at: datetime


class Stopping(Part):
    """One thing that keeps the unit off the road."""

    state: Grade
    says: str


class Record(Part):
    """Everything that the handover says."""

    format: str = "handover/2"
    shop: Shop
    tag: Tag
    order_number: str
    vin: str
    owner: str
    handed: Handed
    answer: tuple[str, ...]  # the sentences under "May I tow it?"
    stops: tuple[Stopping, ...]
    duties: tuple[Duty, ...]
    works: tuple[WorkDone, ...]
    cost: Cost | None
    invoiced: Invoiced | None = None  # None where nothing was billed, or by a program older than the accounts
    lines: tuple[Line, ...]
    left: tuple[Left, ...]
    threads: tuple[Thread, ...]
    measured: tuple[Measured, ...]
    figures: tuple[Figure, ...]
    photos: tuple[Picture, ...]
    photos_more: int = 0
    cautions: tuple[Warned, ...] = ()
    defers: tuple[str, ...] = ()
    final_check: FinalCheck | None = None
    held: int | None = None  # paid ahead and not billed; None where a bill tells it, and in handover/1
    registered: str = ""  # of tires fitted: given, mailed, online or later; empty where none were, or unasked

    @property
    def dated(self) -> bool:
        """Whether anything falls due on a day: then there are a calendar and a slip for the wallet."""
        return any(duty.on for duty in self.duties)


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the record."""
    return schema_of(Record)


def schema_of(told: type[BaseModel]) -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of what a paper tells."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **told.model_json_schema()}

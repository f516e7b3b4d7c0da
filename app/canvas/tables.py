"""What the canvas room keeps: orders, what is known of their parts, pieces as measured, seams, releases.

Whether an order may be cut, its outlines, lengths and sizes are never kept: facts.py derives them.
"""

from datetime import date
from typing import Any, ClassVar

from sqlalchemy import JSON, UniqueConstraint
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Entered, Kept

APPEND_ONLY += ["canvasrelease", "canvasphoto", "cutplan", "canvasstage"]
APPEND_ONLY += ["loftdays", "canvashours", "canvastold", "canvasinspection"]


class CanvasOrder(Kept, table=True):
    """New canvas for the unit of one work order. `called_off`: why nothing comes of it, else empty.

    `work_id`: the work of the estimate that prices it; none again where that work is taken off the estimate
    before the owner saw it. It is no part of what is released, so it leaves `revision` as it is.
    `asides`: how many changes of it and its parts said nothing of the cloth (rules.aside), so that what was
    released, planned and inspected stands.
    """

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    finding_id: int | None = Field(default=None, foreign_key="finding.id")  # what led here
    opened_by: int = Field(foreign_key="person.id")
    maker: str = "here"  # here, or loft: who cuts and sews
    pattern: str = "measure"  # measure, old (the old piece is the pattern) or file (pattern on file)
    wishes: str = ""  # what else the owner wishes
    fitting: str = ""  # instructions for who fits it
    aftercare: str = ""
    called_off: str = ""
    work_id: int | None = Field(default=None, foreign_key="work.id", ondelete="SET NULL")
    revision: int = 0
    asides: int = 0


class OfOrder(Kept):
    """Base of what an order is made of. `taken_off`: it belongs to the order no longer."""

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    taken_off: bool = False
    revision: int = 0


class CanvasPart(OfOrder, table=True):
    """What is known of one part of an order, by the keys of its questions in readiness.QUESTIONS.

    `known`: answers as written. `old`: of a zipper, the answers for the half that stays on the old tent.
    """

    kind: str  # readiness.Kind: order, frame, cloth, window, zipper, fastener, option
    place: str  # "front wall, door"; of a cloth its name
    known: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    old: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    runs_with_old: bool = False  # a zipper that must run with a half that stays


class CanvasPiece(OfOrder, table=True):
    """One piece of cloth as it was measured; a draft where its measures do not carry.

    `typed`: measures as typed, by `A-B` (side or diagonal), `A-x`, `A-y` (coordinates), `A` (inner angle).
    `edges`: by `A-B`, what is done with it: kind, what is added, pole, the unit of both, what holds it.
    `inward`: corners so marked.
    """

    name: str
    how: str = "tape"  # tape (sides and diagonals), coordinates, angles, or mirror of `mirror_of_id`
    corners: int = 4
    unit: str = "mm"
    typed: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    inward: list[str] = Field(default_factory=list, sa_type=JSON)
    edges: dict[str, dict[str, str]] = Field(default_factory=dict, sa_type=JSON)
    known: dict[str, str] = Field(default_factory=dict, sa_type=JSON)  # readiness.PIECE, but for its cloth
    cloth_id: int | None = Field(default=None, foreign_key="canvaspart.id")
    warp_angle: str = "0"  # degrees against the clock from A to B; of a mirror from B to A
    copies: int = 1
    mirror_of_id: int | None = Field(default=None, foreign_key="canvaspiece.id")  # cut as its mirror
    mate_of_id: int | None = Field(default=None, foreign_key="canvaspiece.id")  # measured; must be its mirror
    taken_from_id: int | None = Field(default=None, foreign_key="canvaspiece.id")  # of an earlier order
    halves: bool = False  # it has two like halves, so that they are held against each other
    note: str = ""


class CanvasSeam(OfOrder, table=True):
    """Edges that are sewn or zipped to each other. An edge is `7:A-B`: key of its piece, and its name.

    More than one piece on the first side makes a ring: all walls round the edge of a roof.
    """

    name: str
    one: list[str] = Field(default_factory=list, sa_type=JSON)
    other: list[str] = Field(default_factory=list, sa_type=JSON)
    ease: str = ""  # mm that the first side is longer by intent, as typed


class CanvasRelease(Kept, table=True):
    """An order is released to be cut as it stood: `version` is that of facts.version_of.

    What is changed afterwards needs another release. `confirmed`: what was asked and kept all the same.
    """

    __table_args__: ClassVar[Any] = (UniqueConstraint("canvas_order_id", "version"),)

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    version: int
    confirmed: list[str] = Field(default_factory=list, sa_type=JSON)
    released_by: int = Field(foreign_key="person.id")


class CanvasPhoto(Kept, table=True):
    """A photo of a piece: the old canvas with a tape on it, a zipper beside a ruler. It proves no measure."""

    canvas_piece_id: int = Field(foreign_key="canvaspiece.id", index=True)
    photo_id: int = Field(foreign_key="photo.id")
    words: str = ""
    made_by: int = Field(foreign_key="person.id")


class CutPlan(Kept, table=True):
    """One plan of the pieces of a cloth on its roll, as it was found; the one that buys least is cut from.

    `roll`: the roll's form as typed. `pieces`: cut and stitch outlines as they were; it is cut from as long
    as they are what is to be cut. `laid`: where each copy lies, and on which roll end. `version` is that of
    facts.version_of, as it was laid. `length`: millimetres off the roll; of all pieces, where `laid` tells no
    roll ends.
    """

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    cloth_id: int = Field(foreign_key="canvaspart.id", index=True)
    version: int
    roll: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    pieces: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    laid: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    found: str
    length: str
    made_by: int = Field(foreign_key="person.id")


class CutSearch(Kept, table=True):
    """A search for a shorter plan that was asked for: from which plan, how long, and what became of it.

    `state`: searched.State. `version`: of the order as it was asked; a changed order puts it aside.
    """

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    cloth_id: int = Field(foreign_key="canvaspart.id", index=True)
    plan_id: int = Field(foreign_key="cutplan.id")
    version: int
    seconds: int
    state: str = Field(index=True)
    found_id: int | None = Field(default=None, foreign_key="cutplan.id")
    made_by: int = Field(foreign_key="person.id")


class CanvasStage(Entered, table=True):
    """A stage of making an order that was said to be done, or taken back (`done` False) with the reason."""

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    stage: str  # making.Stage
    done: bool = True
    hours: str = ""  # as typed
    note: str = ""
    made_by: int = Field(foreign_key="person.id")


class LoftDays(Kept, table=True):
    """What the loft does in a day, and on which days it works; the newest row holds.

    Hours and `busy_percent` as typed. `week`: days worked, Monday 0. `off`: single days off as 2026-12-25.
    `busy_months`: 1 to 12, when only that percent of a day is left for canvas.
    """

    table_hours: str
    machine_hours: str
    week: list[int] = Field(default_factory=list, sa_type=JSON)
    off: list[str] = Field(default_factory=list, sa_type=JSON)
    busy_months: list[int] = Field(default_factory=list, sa_type=JSON)
    busy_percent: str = "100"
    set_by: int = Field(foreign_key="person.id")


class CanvasHours(Kept, table=True):
    """What an order needs: hours as typed, and working days from this row on until its materials are here.

    `others`: by materials.Material, shortest, likely and longest as typed; empty where the days of the cloth
    are said for all. `first`: it goes before the orders that are not, and `why`. The newest row holds.
    """

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    table_hours: str
    machine_hours: str
    cloth_shortest: str = "0"
    cloth_likely: str = "0"
    cloth_longest: str = "0"
    others: dict[str, list[str]] = Field(default_factory=dict, sa_type=JSON)
    first: bool = False
    why: str = ""
    set_by: int = Field(foreign_key="person.id")


class CanvasTold(Kept, table=True):
    """A day that the owner was told: what was likely and promised, why, and how they were told."""

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    version: int  # of the order, facts.version_of
    likely: date
    promised: date
    reasons: list[str] = Field(default_factory=list, sa_type=JSON)
    how: str
    told_by: int = Field(foreign_key="person.id")


class CanvasInspection(Entered, table=True):
    """What was read of a sewn order, by somebody else than who sewed it; what it means is derived.

    `version`: of the order as it stood. `drawn`: the lengths that it was held against, see inspected.Drawn.
    `readings`: as typed, by field; `accepted` among them: why a lead takes it with its faults.
    """

    canvas_order_id: int = Field(foreign_key="canvasorder.id", index=True)
    version: int
    drawn: list[dict[str, Any]] = Field(default_factory=list, sa_type=JSON)
    readings: dict[str, str] = Field(default_factory=dict, sa_type=JSON)
    made_by: int = Field(foreign_key="person.id")

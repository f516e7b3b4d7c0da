"""The inspection of a sewn order: what is read of it, what that means, and what the book holds of it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any

from sqlmodel import Session, col, select

from app.canvas.facts import OrderRead, PieceRead
from app.canvas.tables import CanvasInspection, CanvasStage
from app.canvas.tried import SeamClass, Seams, Stitch, Water
from app.ground import people
from app.trade.bounds import says
from app.trade.canvas.outline import length_said
from app.trade.canvas.sewn import (
    CUP,
    allowed_off,
    head_held,
    seam_strength,
    size_read,
    spray_rated,
    stitches_read,
)
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.quantity import Quantity, read_number, with_unit
from app.trade.typed import Reader, Typed
from app.trade.water_tests import sprayed

LEAST_SPRAY = Decimal(10)  # minutes on canvas, common practice
LENGTHS = {"mm": ("1", "20000"), "in": ("0.1", "787")}
YES_NO = (("yes", "Yes"), ("no", "No"))
MAY_LACK = (*YES_NO, ("none", "None"))
MOST_FORCE, MOST_HEAD = "20000", "20000"  # N, mm of water


class Answer(StrEnum):
    """Yes or no."""

    YES = "yes"
    NO = "no"


class Found(StrEnum):
    """Yes, no, or nothing there to look at."""

    YES = "yes"
    NO = "no"
    NONE = "none"


LOOKED: Mapping[str, tuple[str, str]] = {
    "locked": ("Ends of thread locked, no raw edge to the weather", "Thread not locked, or an edge left raw"),
    "laps": ("Laps point down, face and top as drawn", "A lap points up, or a face is the wrong way round"),
    "hardware": ("Fasteners tight, cannot be turned by hand", "A fastener is loose"),
    "zips": ("Zippers run ten times both ways, slider as drawn", "A zipper does not run"),
    "film": ("Film flat, no needle cut beyond its row", "The film is creased or cut"),
}
MAY_BE_NONE = ("hardware", "zips", "film")
NEEDED = {
    Seams.HAND: ("seam_holds",),
    Seams.STRIP: ("seam_force", "cloth_force"),
    Seams.GRAB: ("seam_force", "cloth_force"),
    Water.SPRAY: ("minutes", "dry", "wetted"),
    Water.CUP: ("cup_holds",),
    Water.RATING: ("rating", "rating_least"),
    Water.ISO: ("head", "head_least"),
    Water.AATCC: ("head", "head_least"),
}
NUMBERS = {
    "minutes": ("0.5", "1440", "Say how long it was sprayed"),
    "seam_force": ("1", MOST_FORCE, "Say at what force the seam gave way"),
    "cloth_force": ("1", MOST_FORCE, "Say at what force the cloth alone gave way"),
    "head": ("1", MOST_HEAD, "Say how much water it held"),
    "head_least": ("1", MOST_HEAD, "Say how much water was ordered"),
    "rating": ("0", "5", "Say which spray rating was read"),
    "rating_least": ("1", "5", "Say which spray rating was ordered"),
}
ANSWERS = {
    "seam_holds": "Say whether the seams hold a pull by hand",
    "dry": "Say whether it stayed dry inside",
    "cup_holds": "Say whether thread wicks water through",
}
UNLIKELY = Decimal("0.05")  # of a length: off by more, it is read again before it is kept; common practice
RATINGS, HALF = ("rating", "rating_least"), Decimal("0.5")
FIELDS = (
    *("seam_class", "stitch", "seams", "seam_holds", "seam_force", "cloth_force"),
    *("water", "minutes", "dry", "wetted", "cup_holds", "rating", "rating_least"),
    *("head", "head_least", "stitches", *LOOKED, "words", "accepted"),
)
WORKED_ON = ("cut", "windows", "sew", "trim")  # stages after which it is inspected anew


# What is measured


@dataclass(frozen=True)
class Drawn:
    """A length of the order that is measured again on the sewn piece. `mm`: as drawn; `unit`: of the tape."""

    key: str
    label: str
    mm: Decimal
    unit: str
    diagonal: bool = False

    @property
    def said(self) -> str:
        """The length of the order in both units."""
        return length_said(self.mm)

    @property
    def allowed(self) -> str:
        """How far it may be off."""
        return says(allowed_off(self.mm, diagonal=self.diagonal), "mm", 1)

    def kept(self) -> dict[str, Any]:
        """The length as the book keeps it."""
        return {**vars(self), "mm": str(self.mm)}


def drawn_of(order: OrderRead) -> tuple[Drawn, ...]:
    """Every side of every copy of the order's pieces, and one diagonal where there are more than three."""
    return tuple(it for piece in order.pieces for copy in range(piece.copies) for it in _of(piece, copy + 1))


def _of(piece: PieceRead, copy: int) -> Iterator[Drawn]:
    outline, unit = piece.finished, piece.row.unit
    label = f"{piece.label(copy)} {piece.name},"
    if outline is None:
        return
    for edge in outline.edges:
        yield Drawn(f"size-{piece.key}-{copy}-{edge.name}", f"{label} {edge.words}", edge.length, unit)
    if len(outline.corners) > 3:
        across = outline.length("A", "C")
        yield Drawn(f"size-{piece.key}-{copy}-A-C", f"{label} A to C, across", across, unit, diagonal=True)


# What is typed


def read_inspection(typed: Typed, drawn: Sequence[Drawn], *, lead: bool = False) -> dict[str, str]:
    """The readings that stand in a form, by field; raises Refused with every problem.

    `lead`: whether a lead sends it, who alone may take it with its faults.
    """
    read = Reader(typed)
    for it in drawn:
        _length(read, it)
    read.number("stitches", least="1", most="30", required="Count the stitches along an inch")
    read.choice("seam_class", SeamClass, required="Say what the seams of walls and roof are")
    read.choice("stitch", Stitch, required="Say which stitch they are sewn with")
    seams = read.choice("seams", Seams, required="Say how the seams were tried")
    water = read.choice("water", Water, required="Say how water was put on it")
    needed = {name for way in (seams, water) if way for name in NEEDED[way]}
    _numbers(read, needed)
    _answers(read, needed)
    read.text("words", most=400)
    if read.text("accepted", most=400) and not lead:
        read.wrong("accepted", "A lead takes it with its faults, nobody else", "empty, or a lead")
    read.done()
    others = {name for names in NEEDED.values() for name in names} - needed
    names = (*(it.key for it in drawn), *(name for name in FIELDS if name not in others))
    return {name: text for name in names if (text := read.raw(name))}


def _length(read: Reader, it: Drawn) -> None:
    """A finished length; one far off the order is asked about: a figure left out, inches for millimetres."""
    least, most = LENGTHS[it.unit]
    found = read.quantity(it.key, it.unit, least=least, most=most, required=f"{it.label} is not measured")
    if found is not None and abs(found.to("mm") - it.mm) > UNLIKELY * it.mm:
        off = says(abs(found.to("mm") - it.mm), "mm")
        read.ask(it.key, f"{it.label} read as {found} is {off} off the order", f"about {it.said}")


def _numbers(read: Reader, needed: Iterable[str]) -> None:
    for name, (least, most, missing) in NUMBERS.items():
        if name in needed:
            found = read.number(name, least=least, most=most, required=missing)
            if name in RATINGS and found is not None and found % HALF:
                read.ask(name, f"A rating of {read.raw(name)} is read in halves", "such as 4 or 4.5")


def _answers(read: Reader, needed: Iterable[str]) -> None:
    for name, missing in ANSWERS.items():
        if name in needed:
            read.choice(name, Answer, required=missing)
    for name, (good, _) in LOOKED.items():
        kind: type[Answer] | type[Found] = Found if name in MAY_BE_NONE else Answer
        read.choice(name, kind, required=f"{good}: look, and say yes or no")
    if "wetted" in needed:
        read.choice("wetted", Found, required="Say whether it was wetted and dried once before")


# What it means


@dataclass(frozen=True)
class Judged:
    """What the readings of an inspection mean: figures that explain themselves, and what was seen."""

    sizes: tuple[Worked[Decimal], ...]
    figures: tuple[Worked[Decimal], ...]
    seen: tuple[Verdict, ...]

    @property
    def faults(self) -> tuple[str, ...]:
        """Everything that is not sound, in words."""
        told = [it.verdict for it in (*self.sizes, *self.figures) if it.verdict]
        return tuple(each.says for each in (*told, *self.seen) if each.grade is not Grade.SOUND)


def judged(readings: Mapping[str, str], drawn: Sequence[Drawn]) -> Judged:
    """The verdict on each reading."""
    sizes = tuple(
        size_read(it.label, it.mm, Quantity(readings[it.key], it.unit), diagonal=it.diagonal) for it in drawn
    )
    figures = (stitches_read(read_number(readings["stitches"])), *_tried(readings))
    return Judged(sizes, figures, tuple(_seen(readings)))


def _tried(readings: Mapping[str, str]) -> Iterator[Worked[Decimal]]:
    seams, water = Seams(readings["seams"]), Water(readings["water"])
    if seams.standard:
        forces = (Quantity(readings[name], "N") for name in NEEDED[seams])
        yield seam_strength(seams.standard, *forces)
    if water.head:
        yield head_held(water.head, *(Quantity(readings[name], "mm") for name in NEEDED[water]))
    elif water is Water.RATING:
        yield spray_rated(*(read_number(readings[name]) for name in NEEDED[water]))
    elif water is Water.SPRAY:
        yield sprayed(Quantity(readings["minutes"], "min"), LEAST_SPRAY)


def _seen(readings: Mapping[str, str]) -> Iterator[Verdict]:
    yield from _made(readings)
    if readings.get("cup_holds"):
        yield _either(readings["cup_holds"], f"no thread wicks in 5 min, {CUP}", "Thread wicks water through")
    if readings.get("seam_holds"):
        yield _either(readings["seam_holds"], "seams hold a pull by hand", "A seam gives under the hand")
    if readings.get("dry"):
        yield _either(readings["dry"], "dry inside", "Water comes through")
    if readings.get("wetted") == "no":
        told = "Cloth without a coating is wetted and dried once first (ISO 5912 8.3): this proves nothing"
        yield Verdict(Grade.UNSEEN, told)
    for name, (good, bad) in LOOKED.items():
        if readings[name] != "none":
            yield _either(readings[name], good, bad)


def _made(readings: Mapping[str, str]) -> Iterator[Verdict]:
    """What the seams are; older records do not say it."""
    if made := readings.get("seam_class"):
        plain = Verdict(Grade.NEEDS, "Plain seams let water in and carry little: fell them", By.USE)
        yield plain if made == SeamClass.PLAIN else Verdict(Grade.SOUND, SeamClass(made).word)
    if stitch := readings.get("stitch"):
        runs = Verdict(Grade.NEEDS, "A one-thread chain runs open from one broken stitch", By.USE)
        yield runs if stitch == Stitch.SINGLE else Verdict(Grade.SOUND, Stitch(stitch).word)


def _either(answer: str, good: str, bad: str) -> Verdict:
    return Verdict(Grade.SOUND, good) if answer == "yes" else Verdict(Grade.NEEDS, bad, By.USE)


# What the book holds


@dataclass(frozen=True)
class InspectionRead:
    """An inspection: when, by whom, its readings and their verdict.

    `stands`: it is of the order as that stands now, and nothing was sewn since. `accepted`: why a lead takes
    its faults, empty without.
    """

    at: datetime
    by: str
    by_id: int
    stands: bool
    readings: Mapping[str, str]
    drawn: tuple[Drawn, ...]
    judged: Judged
    accepted: str

    @property
    def passes(self) -> bool:
        """Whether the order may be packed by it."""
        return self.stands and (not self.judged.faults or bool(self.accepted))

    @property
    def says(self) -> str:
        """How it came out, in a sentence without its full stop."""
        if not self.stands:
            return "It was changed or worked on since it was inspected"
        if not self.judged.faults:
            return "Inspected, nothing to put right"
        count = len(self.judged.faults)
        things = "1 thing" if count == 1 else f"{count} things"
        return f"Inspected, {things} taken all the same" if self.accepted else f"{things} to put right"

    @property
    def words(self) -> str:
        """What else was said."""
        return self.readings.get("words", "")

    def reading(self, it: Drawn) -> str:
        """A length as it was read, with its unit."""
        return with_unit(self.readings[it.key], it.unit)

    @property
    def ways(self) -> tuple[str, str]:
        """How seams and water were tried, in words."""
        return Seams(self.readings["seams"]).word, Water(self.readings["water"]).word


@dataclass(frozen=True)
class Inspections:
    """The inspections of an order, the newest last; their number is the revision of the form."""

    all: tuple[InspectionRead, ...]

    @property
    def newest(self) -> InspectionRead | None:
        """The one that counts."""
        return self.all[-1] if self.all else None

    @property
    def passes(self) -> bool:
        """Whether the order may be packed."""
        return self.newest is not None and self.newest.passes

    @property
    def says(self) -> str:
        """How it stands, in a sentence without its full stop."""
        return self.newest.says if self.newest else "There is no inspection record yet"


def inspections_of(session: Session, order: OrderRead) -> Inspections:
    """Every inspection of an order."""
    asked = select(CanvasInspection).where(CanvasInspection.canvas_order_id == order.key)
    names = people.names(session)
    rows, worked = (
        session.exec(asked.order_by(col(CanvasInspection.id))).all(),
        _worked_on(session, order.key),
    )
    return Inspections(
        tuple(_read(row, names, stands=row.version == order.version and worked <= row.entry) for row in rows)
    )


def _worked_on(session: Session, order_id: int) -> int:
    """Number in the book of its last cutting, sewing or trimming, or of that taken back; 0 for none."""
    here = (CanvasStage.canvas_order_id == order_id, col(CanvasStage.stage).in_(WORKED_ON))
    asked = select(CanvasStage).where(*here).order_by(col(CanvasStage.id).desc()).limit(1)
    row = session.exec(asked).first()
    return row.entry if row else 0


def _read(row: CanvasInspection, names: Mapping[int, str], *, stands: bool) -> InspectionRead:
    drawn = tuple(Drawn(**{**each, "mm": Decimal(each["mm"])}) for each in row.drawn)
    return InspectionRead(
        at=row.created_at,
        by=names[row.made_by],
        by_id=row.made_by,
        stands=stands,
        readings=row.readings,
        drawn=drawn,
        judged=judged(row.readings, drawn),
        accepted=row.readings.get("accepted", ""),
    )

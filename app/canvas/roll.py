"""The roll that pieces are cut from, as typed, and a cut plan to and from what the book keeps; pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from typing import Any

from app.trade.canvas.dxf import Marks
from app.trade.canvas.laying import (
    EITHER_END,
    ONE_WAY,
    QUARTERS,
    SELVAGE,
    CutPlan,
    Laid,
    Strip,
    ToCut,
    Turns,
    usable_width,
)
from app.trade.canvas.lengths import Length, Lengths, lengths_of
from app.trade.canvas.outline import Corner, Edge, Outline
from app.trade.canvas.written import mm_written
from app.trade.canvas.yardage import RollEnd
from app.trade.problems import Impossible
from app.trade.typed import Reader, Typed

LEAST, MOST, USUAL = "200", "5200", ("900", "3200")  # mm of a roll's width; common practice
MOST_ENDS = 20
END_ACCEPTS = "a mark and a length on each line, such as 31: 4200 mm or 32: 4.6 yd"
FIELDS = ("width", "width-unit", "selvage", "tool", "lies", "ends")


class Tool(StrEnum):
    """What cuts the cloth: it decides the gap between the pieces."""

    KNIFE = "knife"
    HOT = "hot_knife"

    @property
    def word(self) -> str:
        """The tool with its gap; common practice."""
        return {"knife": "Knife and straight edge, no gap", "hot_knife": "Hot knife, 6 mm between pieces"}[
            self
        ]

    @property
    def gap(self) -> Decimal:
        """Millimetres between the pieces."""
        return Decimal(6) if self is Tool.HOT else Decimal(0)


class Lies(StrEnum):
    """How pieces may be turned on the cloth."""

    ONE_WAY = "one_way"
    ENDS = "ends"
    QUARTERS = "quarters"

    @property
    def word(self) -> str:
        """The turns in words."""
        return {
            "one_way": "One way only: nap, print, or a side that sheds water one way",
            "ends": "Either end first: woven cloth, its warp along the roll",
            "quarters": "Any quarter turn: film and screen without grain",
        }[self]

    @property
    def turns(self) -> Turns:
        """The turns in degrees."""
        return {"one_way": ONE_WAY, "ends": EITHER_END, "quarters": QUARTERS}[self]


USUAL_ROLL: Mapping[str, str] = {
    "width": "1500",
    "width-unit": "mm",
    "selvage": str(SELVAGE),
    "tool": Tool.KNIFE.value,
    "lies": Lies.ENDS.value,
    "ends": "",
}


@dataclass(frozen=True)
class Roll:
    """A roll: its usable strip, how pieces may lie on it, and ends of it that are in stock.

    `texts`: its form as typed. Lengths in millimetres.
    """

    texts: Mapping[str, str]
    strip: Strip
    lies: Lies
    ends: tuple[RollEnd, ...] = ()


def read_roll(typed: Typed) -> Roll:
    """The roll that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    width = read.quantity(
        "width", "mm", least=LEAST, most=MOST, usual=USUAL, required="The width of the roll is missing"
    )
    selvage = read.number("selvage", least="0", most="150", required="The selvage is missing, 0 for none")
    tool = read.choice("tool", Tool, required="Say what cuts the cloth")
    lies = read.choice("lies", Lies, required="Say how its pieces may lie")
    ends = _ends(read)
    strip: Strip | None = None
    if width is not None and selvage is not None and tool is not None:
        strip = _strip(read, width.to("mm"), selvage, tool)
    read.done()
    assert strip is not None
    assert lies is not None
    return Roll({name: typed.get(name).strip() for name in FIELDS}, strip, lies, ends)


def _strip(read: Reader, width: Decimal, selvage: Decimal, tool: Tool) -> Strip | None:
    try:
        return Strip(usable_width(width, selvage), tool.gap)
    except Impossible as impossible:
        read.problems.append(impossible.at("selvage"))
        return None


def _ends(read: Reader) -> tuple[RollEnd, ...]:
    lines = [line.strip() for line in read.typed.get("ends").splitlines() if line.strip()]
    if len(lines) > MOST_ENDS:
        read.wrong("ends", f"These are {len(lines)} roll ends", f"up to {MOST_ENDS}")
        return ()
    found = [_end(read, line) for line in lines]
    marks = [end.mark for end in found if end]
    if len(set(marks)) < len(marks):
        read.wrong("ends", "Two roll ends have the same mark", END_ACCEPTS)
    return tuple(end for end in found if end)


def _end(read: Reader, line: str) -> RollEnd | None:
    mark, _, length = line.rpartition(":")
    found = mm_written(length)
    if not mark.strip() or found is None or not 0 < found <= 200_000:
        read.wrong("ends", f"{line[:40]} is no roll end", END_ACCEPTS)
        return None
    return RollEnd(mark.strip()[:20], found)


# A plan as the book keeps it


@dataclass(frozen=True)
class Cut:
    """A piece of a plan: what is cut, its name, and what is drawn on it."""

    piece: ToCut
    name: str
    marks: Marks = field(default_factory=Marks)


def kept_piece(cut: Cut) -> dict[str, Any]:
    """A piece as the book keeps it."""
    piece, stitch = cut.piece, cut.marks.stitch
    return {
        "mark": piece.mark,
        "name": cut.name,
        "copies": piece.copies,
        "warp": str(piece.warp_angle),
        "cut": _corners(piece.outline.corners),
        "stitch": _corners(stitch.corners) if stitch else [],
        "notches": [_corners((each.start, each.end)) for each in cut.marks.notches],
    }


def cut_of(kept: Mapping[str, Any], turns: Turns) -> Cut:
    """The piece again, to be turned so."""
    piece = ToCut(kept["mark"], _outline(kept["cut"]), kept["copies"], turns, Decimal(kept["warp"]))
    notches = tuple(Edge(*map(_corner, each)) for each in kept["notches"])
    return Cut(piece, kept["name"], Marks(_outline(kept["stitch"]) if kept["stitch"] else None, notches))


def _corners(corners: Iterable[Corner]) -> list[list[str]]:
    return [[corner.name, str(corner.x), str(corner.y)] for corner in corners]


def _corner(kept: Sequence[str]) -> Corner:
    name, x, y = kept
    return Corner(name, Decimal(x), Decimal(y))


def _outline(kept: Sequence[Sequence[str]]) -> Outline:
    return Outline(tuple(map(_corner, kept)))


def kept_laid(lengths: Lengths) -> list[dict[str, Any]]:
    """Where each copy lies, as the book keeps it; `end`: the mark of its roll end, empty for the roll."""
    return [
        {
            "mark": it.piece.mark,
            "copy": it.copy,
            "turn": str(it.turn),
            "right": str(it.right),
            "up": str(it.up),
            "end": length.end.mark if length.end else "",
        }
        for length in lengths
        for it in length.plan.laid
    ]


def lengths_kept(roll: Roll, cuts: Sequence[Cut], laid: Sequence[Mapping[str, Any]], found: str) -> Lengths:
    """The lengths again, roll ends first.

    Older plans lie all on the roll; what their roll ends give was not kept and is worked out at each look.
    """
    if any("end" not in it for it in laid):
        whole = _plan_of(roll.strip, cuts, laid, found)
        return _worked_out(whole, tuple(cut.piece for cut in cuts), roll.ends)
    ends = {end.mark: end for end in roll.ends}
    of_end = {mark: [it for it in laid if it["end"] == mark] for mark in (it["end"] for it in laid)}
    return tuple(
        Length(_plan_of(roll.strip, cuts, some, found), ends[mark] if mark else None)
        for mark, some in of_end.items()
    )


@lru_cache(maxsize=64)  # takes up to seconds
def _worked_out(plan: CutPlan, pieces: tuple[ToCut, ...], ends: tuple[RollEnd, ...]) -> Lengths:
    return lengths_of(plan, pieces, ends)


def _plan_of(strip: Strip, cuts: Sequence[Cut], laid: Sequence[Mapping[str, Any]], found: str) -> CutPlan:
    pieces = {cut.piece.mark: cut.piece for cut in cuts}
    return CutPlan(
        strip,
        tuple(
            Laid(
                pieces[it["mark"]],
                it["copy"],
                Decimal(it["turn"]),
                Decimal(it["right"]),
                Decimal(it["up"]),
            )
            for it in laid
        ),
        found,
    )

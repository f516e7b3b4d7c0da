"""Record kinds: one file a kind in `records/`, found by walking the folder.

A kind reads its form into a frozen payload, judges the payload, and says what its drawing needs. Readings
stay in the payload as they were typed. Nothing here knows a database or a clock.
"""

import pkgutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cache
from importlib import import_module
from typing import Any, Generic, TypeVar

from pydantic import BaseModel, ConfigDict

from app.bench import records
from app.trade.figure import HEAVIEST_FIRST, WEIGHT_OF_BY, Grade, Verdict, Worked
from app.trade.gauges import Gauge, question_gauge
from app.trade.letters import run_on
from app.trade.problems import Problem
from app.trade.quantity import Quantity, alike, with_unit
from app.trade.tire_age import USUAL_AGES, AgePolicy
from app.trade.typed import Reader, Typed

INSTRUMENT_KINDS = (
    "torque wrench",
    "balancer",
    "dial indicator",
    "caliper",
    "tread gauge",
    "pressure gauge",
    "multimeter",
    "clamp meter",
    "manometer",
    "spring scale",
    "scale",
    "thermometer",
)
USUAL_STEPS = {"oz": Decimal("0.25"), "g": Decimal(5)}  # balance weights: common practice
NO_CALIBRATION = "no calibration date known"


class Payload(BaseModel):
    """Base of what a record keeps: frozen, and no field that the kind does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


Kept = TypeVar("Kept", bound=Payload)


# Instruments


@dataclass(frozen=True)
class Tool:
    """An instrument as the bench knows it: range and unit as kept, due date of its calibration."""

    id: int
    name: str
    kind: str
    unit: str = ""
    least: str = ""
    most: str = ""
    due: date | None = None

    @property
    def range(self) -> str:
        """The range in words, empty where it is not known."""
        if self.least and self.most:
            return f"{self.least} to {with_unit(self.most, self.unit)}"
        return f"up to {with_unit(self.most, self.unit)}" if self.most else ""

    def overdue(self, on: date) -> bool:
        """Whether the calibration has run out by a day."""
        return self.due is not None and self.due < on

    def calibration(self, on: date) -> str:
        """The state of the calibration on a day, as printed beside the reading."""
        if self.due is None:
            return NO_CALIBRATION
        if self.overdue(on):
            return f"calibration was due {said_day(self.due)}, used all the same"
        return f"calibration due {said_day(self.due)}"

    def picked(self, on: date) -> str:
        """Its name in a list to choose from, short enough for a tablet held upright.

        As in `Torque wrench 2, due 12 Jan 2027`.
        """
        if self.due is None:
            return f"{self.name}, {NO_CALIBRATION}"
        was = "was due" if self.overdue(on) else "due"
        return f"{self.name}, {was} {self.due.day} {self.due:%b %Y}"

    @property
    def pointer(self) -> bool:
        """Whether it shows a pressure by a pointer on a scale whose end is known."""
        return self.kind == "pressure gauge" and bool(self.most) and alike(self.unit, "psi")

    def reaches(self, reading: Quantity) -> bool:
        """Whether a reading lies in the instrument's range, ends included; an unknown end is no limit."""
        if not alike(self.unit, reading.unit):
            return True
        value = reading.to(self.unit)
        low = Quantity(self.least, self.unit).value if self.least else None
        high = Quantity(self.most, self.unit).value if self.most else None
        return (low is None or value >= low) and (high is None or value <= high)


class Used(Payload):
    """The instrument of a record, as it stood on that day."""

    id: int
    name: str
    range: str = ""
    calibration: str = NO_CALIBRATION
    overdue: bool = False
    outside: tuple[str, ...] = ()  # readings kept although they lie outside its range
    coarse: tuple[
        str, ...
    ] = ()  # pressures kept although its scale is too large to show a small loss of them

    def __str__(self) -> str:
        doubts = (("outside its range", self.outside), ("scale too coarse for", self.coarse))
        said = "".join(f"; {doubt}: {', '.join(readings)}" for doubt, readings in doubts if readings)
        return ", ".join(filter(None, (self.name, self.range, self.calibration))) + said


def instruments_said(kept: Payload) -> str:
    """The instruments of a record as printed, each with its calibration; empty where it names none."""
    named = (getattr(kept, field, None) for field in ("instrument", "second"))
    return ". ".join(str(each) for each in named if each)


def said_day(day: date) -> str:
    """A date for people: 12 January 2027."""
    return f"{day.day} {day:%B} {day.year}"


# What a kind is told, and what it answers


@dataclass(frozen=True)
class Context:
    """What a record needs to know of the unit, the shop, the place and the day.

    Texts of the unit as kept, empty where unknown. `before`: payload of the record that this one follows at
    the same place; `last`: payload of the newest record of the kind on this stay; None where there is none.
    `systems`: of the checks whose findings the work answers, such as coupler or tent.
    """

    place: str
    label: str
    on: date
    studs: int | None = None
    thread: str = ""
    torque_low: str = ""
    torque_high: str = ""
    torque_unit: str = "lbf_ft"
    torque_source: str = ""
    tire_size: str = ""
    tire_pressure: str = ""
    pressure_unit: str = "psi"
    gawr: tuple[str, ...] = ()
    gawr_unit: str = "lb"
    gvwr: str = ""  # in `gawr_unit`
    unit_kind: str = ""  # travel, tent, cargo, utility, boat; empty where nobody says
    brakes: str = "unknown"  # none, electric, surge, hydraulic, air
    axles: int = 3  # as many as a form has room for, where nobody says
    brakes_required: bool = True  # by the law where the shop works; unknown counts as required
    tire_ages: AgePolicy = USUAL_AGES
    weight_unit: str = "oz"
    weight_steps: Mapping[str, Decimal] = field(default_factory=lambda: dict(USUAL_STEPS))
    tools: tuple[Tool, ...] = ()
    before: Mapping[str, Any] | None = None
    last: Mapping[str, Any] | None = None
    systems: frozenset[str] = frozenset()

    def last_text(self, name: str) -> str:
        """A text of the newest record of the kind, to begin the next one with; empty where there is none."""
        return str((self.last or {}).get(name, ""))

    @property
    def last_tool(self) -> str:
        """Key of the instrument used last for this kind on this stay, as text."""
        return self.last_used("instrument")

    def last_used(self, field: str) -> str:
        """Key of the instrument that stood last in a field of this kind on this stay, as text."""
        return str(((self.last or {}).get(field) or {}).get("id", ""))

    def tools_of(self, kinds: Sequence[str]) -> tuple[Tool, ...]:
        """The instruments of some kinds."""
        return tuple(tool for tool in self.tools if tool.kind in kinds)

    def needed_tool(self, kinds: Sequence[str]) -> str:
        """Key of the instrument that a form which needs one begins with, as text: the one used last on this
        stay, else the only one of its kinds; empty where the shop has several, so that a person says which.
        """
        able = self.tools_of(kinds)
        return self.last_tool or (str(able[0].id) if len(able) == 1 else "")


@dataclass(frozen=True)
class Judged:
    """The verdict on a record with the figures behind it."""

    verdict: Verdict
    figures: tuple[Worked[object], ...] = ()

    @property
    def inside(self) -> bool:
        """Whether the record is inside its limits, so that it can prove the work."""
        return self.verdict.inside

    @property
    def unfinished(self) -> bool:
        """Whether something has not been measured yet."""
        return self.verdict.grade is Grade.UNSEEN


def heaviest_of(verdicts: Sequence[Verdict]) -> Verdict:
    """The heaviest of several verdicts: its grade, the earliest term and the words of all of that grade."""
    grade = min((each.grade for each in verdicts), key=HEAVIEST_FIRST.index)
    same = [each for each in verdicts if each.grade is grade]
    by = min((each.by for each in same), key=lambda term: WEIGHT_OF_BY[term])
    return Verdict(grade, run_on(each.says for each in same), by)


def nothing_drawn(_typed: Typed, _context: Context) -> Mapping[str, object]:
    """The drawing facts of a kind without a drawing."""
    return {}


@dataclass(frozen=True)
class RecordKind(Generic[Kept]):
    """One kind of measured record.

    `per`: what one record is about: wheel (end of an axle), tire, hub, axle, unit, or place
    (wherever the work is).
    `read`: the payload that stands in a form; raises Refused. `judge`: its verdict with worked figures.
    `start`: texts of a fresh form. `texts`: texts of the form that gives a payload again.
    `draw`: what the form's and the paper's drawing need. `tools`: kinds of instrument that can measure it.
    `cautions`: keys of the catalogue's cautions that stand before the form. `covers`: whether a record looks
    at everything of its kind on the unit each time, so that one of after several works shows all of them.
    """

    key: str
    title: str
    per: str
    shape: type[Kept]
    read: Callable[[Typed, Context], Kept]
    judge: Callable[[Kept, Context], Judged]
    start: Callable[[Context], dict[str, str]]
    texts: Callable[[Kept], dict[str, str]]
    draw: Callable[[Typed, Context], Mapping[str, object]] = field(default=nothing_drawn)
    tools: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    covers: bool = False

    def kept(self, payload: Mapping[str, Any]) -> Kept:
        """The payload as the book keeps it, read back."""
        return self.shape.model_validate(payload)


@cache
def record_kinds() -> Mapping[str, RecordKind[Any]]:
    """All kinds by key: `KIND` of every module in `records/`."""
    names = sorted(module.name for module in pkgutil.iter_modules(records.__path__, f"{records.__name__}."))
    kinds = [import_module(name).KIND for name in names]
    return {kind.key: kind for kind in kinds}


def title_of(key: str) -> str:
    """The title of a record kind, also of one that has no form yet."""
    kind = record_kinds().get(key)
    return kind.title if kind else key.replace("_", " ").capitalize()


# Helps for reading forms


def put(read: Reader, problems: Sequence[Problem]) -> None:
    """Note what a rule of the trade found: the impossible refused, the unlikely asked once."""
    for each in problems:
        if each.ask:
            read.ask(each.field, each.says, each.accepts)
        else:
            read.wrong(each.field, each.says, each.accepts)


def refused_at(read: Reader, field: str) -> bool:
    """Whether something is wrong with a field already, so that it is not asked about as well."""
    return any(each.field == field for each in read.problems)


def read_tool(
    read: Reader, context: Context, kinds: Sequence[str], *, required: bool = True, field: str = "instrument"
) -> Tool | None:
    """The instrument chosen in a field; an overdue calibration is asked about once."""
    raw = read.raw(field)
    tool = next((each for each in context.tools_of(kinds) if str(each.id) == raw), None)
    if tool is None and (raw or required):
        read.wrong(field, "The instrument is missing", f"a {kinds[0]} from the list")
    if tool is not None and tool.overdue(context.on) and tool.due:
        says = f"The calibration of {tool.name} was due {said_day(tool.due)}"
        read.ask(field, says, "an instrument with its calibration in date")
    return tool


def ask_range(read: Reader, field: str, reading: Quantity, tool: Tool | None) -> str:
    """The reading in words where it lies outside the instrument's range, after asking once; else nothing."""
    if tool is None or refused_at(read, field) or tool.reaches(reading):
        return ""
    read.ask(field, f"{reading} is outside the range of {tool.name}", tool.range)
    return str(reading)


def ask_scale(read: Reader, field: str, pressure: Quantity, tool: Tool | None) -> str:
    """The pressure of a test in words where a pointer's scale is too large for it, after asking once."""
    if tool is None or refused_at(read, field) or not tool.pointer:
        return ""
    gauge = Gauge(Quantity(tool.most, tool.unit), mechanical=True)
    doubts = [each for each in question_gauge(field, pressure, gauge) if each.ask]
    for each in doubts:
        read.ask(field, each.says, each.accepts)
    return str(pressure) if doubts else ""


def used(tool: Tool, context: Context, outside: Sequence[str] = (), coarse: Sequence[str] = ()) -> Used:
    """What a record keeps of its instrument."""
    return Used(
        id=tool.id,
        name=tool.name,
        range=tool.range,
        calibration=tool.calibration(context.on),
        overdue=tool.overdue(context.on),
        outside=tuple(filter(None, outside)),
        coarse=tuple(filter(None, coarse)),
    )

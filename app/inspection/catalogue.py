"""The catalogue: the checks of the walk-round with their limits, the kits that answer them, the cautions.

Plain data, read from the seed folder or from the shop's book; an old inspection keeps the version it was
made with, as JSON.
"""

import tomllib
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any, Literal, Self, TypeVar

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from app.trade.figure import By, Grade, Source
from app.trade.quantity import UNITS, alike

Kind = Literal["travel", "tent", "cargo", "utility", "boat"]
BrakeKind = Literal["none", "electric", "surge", "hydraulic", "air"]
Depth = Literal["quick", "full", "prepurchase"]
PlaceWord = Literal[
    "unit",
    "side",
    "axle",
    "wheel",
    "tire",
    "hub",
    "lamp",
    "cylinder",
    "appliance",
    "receptacle",
    "exit",
    "tank",
]
MeasureKind = Literal["number", "tin", "month", "date", "text", "choice", "yes_no"]
RecordWord = Literal[
    "wheel_torque",
    "fastener_torque",
    "bearing_adjustment",
    "balance",
    "tires_fitted",
    "brake_readings",
    "breakaway",
    "breakaway_pull",
    "lights",
    "electrical_load",
    "mains_test",
    "leak_test",
    "flow_lockup",
    "appliance",
    "scale_tickets",
    "hitch_setup",
    "axle_tape",
    "lift_test",
    "water_test",
    "moisture_map",
    "canvas_fit",
    "function",
    "figures",
    "marks_dates",
    "identity",
    "road_test",
]

WATCH_DAYS = 180  # where a watch names no other term: common practice
KINDS: tuple[Kind, ...] = ("travel", "tent", "cargo", "utility", "boat")
DEPTHS: tuple[Depth, ...] = ("quick", "full", "prepurchase")

Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
Says = Annotated[str, Field(min_length=2, max_length=400)]
Cents = Annotated[int, Field(ge=0)]


class Entry(BaseModel):
    """Base of all that stands in the catalogue: frozen, and no field that the format does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


class Proposal(Entry):
    """A grade that the catalogue proposes, why, and from where; `by` for needs, `until_...` for watch."""

    grade: Grade
    says: Says
    source: Source
    by: By | None = None
    until_days: int | None = Field(default=None, gt=0)
    until_miles: int | None = Field(default=None, gt=0)
    law: bool = False

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if (self.grade is Grade.NEEDS) != (self.by is not None):
            raise ValueError("needs carries by (towing, use or soon), and nothing else does")
        if self.grade is not Grade.WATCH and (self.until_days or self.until_miles):
            raise ValueError("only watch carries until_days or until_miles")
        return self

    @property
    def days(self) -> int | None:
        """Days until a watch is due: the term named, 180 where none is, None where miles alone count."""
        if self.grade is not Grade.WATCH:
            return None
        return self.until_days or (None if self.until_miles else WATCH_DAYS)


class Limit(Proposal):
    """One limit of a measure: under, up to, over, from; two signs together make a band.

    `value` is for choices and yes or no: the answer that it applies to.
    """

    under: Decimal | None = None
    up_to: Decimal | None = None
    over: Decimal | None = None
    from_: Decimal | None = Field(default=None, alias="from")
    value: str | None = None

    @model_validator(mode="after")
    def _signed(self) -> Self:
        if not self.ends and self.value is None:
            raise ValueError("a limit needs under, up_to, over, from or value")
        return self

    @property
    def ends(self) -> tuple[Decimal, ...]:
        """The numbers at which the limit begins or ends."""
        signs = (self.under, self.up_to, self.over, self.from_)
        return tuple(sign for sign in signs if sign is not None)

    @property
    def has_number(self) -> bool:
        """Whether the limit is held against a number."""
        return self.value is None

    def applies_to(self, number: Decimal) -> bool:
        """Whether a number, in the measure's unit, is caught; every sign that is given must hold."""
        return (
            (self.under is None or number < self.under)
            and (self.up_to is None or number <= self.up_to)
            and (self.over is None or number > self.over)
            and (self.from_ is None or number >= self.from_)
        )


class Measure(Entry):
    """One thing that is read at a check: what it is called, its unit, what is usual, what cannot be.

    `least_axles`: it is asked of units with so many axles or more.
    """

    key: Key
    label: Says
    kind: MeasureKind = "number"
    unit: str = ""
    also: tuple[str, ...] = ()
    usual: tuple[Decimal, Decimal] | None = None
    least: Decimal | None = None
    most: Decimal | None = None
    required: bool = True
    least_axles: Annotated[int, Field(ge=1, le=4)] = 1
    choices: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()

    @property
    def units(self) -> tuple[str, ...]:
        """Unit keys that may be typed, the measure's own first."""
        return (self.unit, *self.also)

    @property
    def answers(self) -> tuple[str, ...]:
        """The answers of a choice or of yes or no; empty for what is typed freely."""
        return ("yes", "no") if self.kind == "yes_no" else self.choices

    @model_validator(mode="after")
    def _sane(self) -> Self:
        faults = [says for wrong, says in MEASURE_RULES if wrong(self)]
        if faults:
            raise ValueError("; ".join(faults))
        return self


def _unknown_unit(measure: Measure) -> bool:
    return any(unit not in UNITS for unit in measure.units)


def _mixed_units(measure: Measure) -> bool:
    return any(not alike(unit, measure.unit) for unit in measure.also if unit in UNITS)


def _bad_range(measure: Measure) -> bool:
    low, high = measure.usual or (None, None)
    ends = [end for end in (measure.least, low, high, measure.most) if end is not None]
    return ends != sorted(ends) or (low is not None and low == high)


def _limited_text(measure: Measure) -> bool:
    return bool(measure.limits) and measure.kind != "number" and not measure.answers


def _odd_limit(measure: Measure) -> bool:
    return any(limit.has_number == bool(measure.answers) for limit in measure.limits)


def _odd_answer(measure: Measure) -> bool:
    return any(limit.value is not None and limit.value not in measure.answers for limit in measure.limits)


MEASURE_RULES: tuple[tuple[Callable[[Measure], bool], str], ...] = (
    (_unknown_unit, "unit and also name units of the trade"),
    (_mixed_units, "also names units that cannot become the measure's own"),
    (_bad_range, "usual lies, low before high, between least and most"),
    (lambda m: (m.kind == "choice") != bool(m.choices), "a choice names its choices, and nothing else does"),
    (_limited_text, "only numbers and answers have limits"),
    (_odd_limit, "a limit of a number has a number, a limit of an answer has a value"),
    (lambda m: m.required and m.least_axles > 1, "what not every unit has is not required"),
    (_odd_answer, "a limit's value is one of the answers"),
)


class Defect(Proposal):
    """One thing that can be seen, from the pick-list, and the grade that it proposes."""

    key: Key
    kits: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _seen(self) -> Self:
        if self.grade is Grade.UNSEEN:
            raise ValueError("what is seen cannot be graded unseen")
        return self


class ShownBy(Entry):
    """What a record of a kind holds that shows a fault put right: one of some of its fields.

    Linings alone make sound brake readings, and say nothing of a magnet. `{side}` in a field is the side of
    the fault, or either where it has none. `worth`: what has to stand in the field; empty for anything.
    `brakes`: the kinds of brakes for which it is asked; empty for all. `lacks`: what is said where it fails.
    `cites`: name of the record's figure that the owner is told first; empty for what it says as a whole.
    `once`: the unit has one of it, such as its brake fluid, so that one record of a job's several says it.
    """

    record: RecordWord
    one_of: Annotated[tuple[str, ...], Field(min_length=1)]
    lacks: Says
    worth: str = ""
    brakes: tuple[BrakeKind, ...] = ()
    cites: str = ""
    once: bool = False


class Check(Entry):
    """One check: where it is made, how to look, what is read, what can be seen, what grade follows.

    `brakes`: the kinds of brakes that have what it looks at; empty where all have. `least_axles`: 2 for what
    stands between two axles. `shown_by`: all that records of these kinds have to hold before they show it put
    right; a record of another kind of its kits shows it as it is.
    """

    key: Annotated[str, Field(pattern=r"^[a-z]{2}\.[a-z0-9_]+$")]
    name: Says
    system: Key
    kinds: Annotated[tuple[Kind, ...], Field(min_length=1)]
    places: PlaceWord
    brakes: tuple[BrakeKind, ...] = ()
    least_axles: Annotated[int, Field(ge=1, le=4)] = 1
    depth: Annotated[tuple[Depth, ...], Field(min_length=1)]
    station: Annotated[int, Field(ge=0, le=11)]
    safety: bool = False
    look: Says
    cautions: tuple[str, ...] = ()
    kits: tuple[str, ...] = ()
    photo: str = ""
    rule: str = ""
    absent: Proposal | None = None
    shown_by: tuple[ShownBy, ...] = ()
    measures: tuple[Measure, ...] = Field(default=(), alias="measure")
    defects: tuple[Defect, ...] = Field(default=(), alias="defect")

    @model_validator(mode="after")
    def _distinct(self) -> Self:
        twice = _twice([entry.key for entry in self.measures]) + _twice([entry.key for entry in self.defects])
        if twice:
            raise ValueError(f"{', '.join(twice)} stands twice among the measures or defects")
        return self

    def measure(self, key: str) -> Measure:
        """The measure of that key; KeyError where the check has none."""
        return _found(self.measures, key)

    def defect(self, key: str) -> Defect:
        """The defect of that key; KeyError where the check has none."""
        return _found(self.defects, key)


class Part(Entry):
    """A part of a kit: its price in cents for one, how many, and what it is counted by.

    `role`: what an order of canvas counts it by: cloth by its cut plans, zip by its zippers, else its pieces.
    """

    name: Says
    price: Cents
    quantity: Decimal = Decimal(1)
    per: str = ""
    category: str = "parts"
    role: Literal["", "cloth", "zip"] = ""


class Fee(Entry):
    """A fee of a kit: its price in cents."""

    name: Says
    price: Cents
    category: str = "fee"


class Kit(Entry):
    """A priced bundle of work: hours, parts, fees, the steps, and the records that the work must produce.

    `brakes`: the kinds of brakes that it is for; empty where it is for all. `aside`: the shop offers it no
    more; what was priced by it keeps it.
    """

    key: Key
    name: Says
    per: str = "unit"
    hours: Annotated[Decimal, Field(ge=0, le=100)]
    outside: bool = False
    records: tuple[RecordWord, ...] = ()
    cautions: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    holds: tuple[int, ...] = ()  # numbers of the steps that a second person signs before the work goes on
    defer: str = ""
    brakes: tuple[BrakeKind, ...] = ()
    aside: bool = False
    parts: tuple[Part, ...] = Field(default=(), alias="part")
    fees: tuple[Fee, ...] = Field(default=(), alias="fee")

    def fits(self, brakes: str) -> bool:
        """Whether it is for a unit with these brakes; where nobody knows them, it may be."""
        return not self.brakes or brakes in (*self.brakes, "unknown")

    @model_validator(mode="after")
    def _holds_stand(self) -> Self:
        if not set(self.holds) <= set(range(1, len(self.steps) + 1)):
            raise ValueError("holds are numbers of the kit's steps")
        return self


class Caution(Entry):
    """What can hurt, what it does, and how it is avoided; the word by the meanings of ANSI Z535."""

    key: Key
    word: Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
    hazard: Says
    result: Says
    avoid: Says


class Phrase(Entry):
    """A phrase for notes, tapped instead of typed."""

    says: Says


class Catalogue(Entry):
    """All checks, kits and cautions of one version."""

    checks: tuple[Check, ...]
    kits: tuple[Kit, ...]
    cautions: tuple[Caution, ...]
    phrases: tuple[Says, ...] = ()

    def check(self, key: str) -> Check:
        """The check of that key; KeyError where there is none."""
        return _found(self.checks, key)

    def kit(self, key: str) -> Kit:
        """The kit of that key; KeyError where there is none."""
        return _found(self.kits, key)

    def kits_of(self, check: str) -> tuple[Kit, ...]:
        """The kits that a check and its defects name; none for a check that is not there."""
        found = next((each for each in self.checks if each.key == check), None)
        named = {*found.kits, *(kit for defect in found.defects for kit in defect.kits)} if found else set()
        return tuple(kit for kit in self.kits if kit.key in named)

    @property
    def kits_offered(self) -> tuple[Kit, ...]:
        """The kits by which work is priced; those put aside are left out."""
        return tuple(kit for kit in self.kits if not kit.aside)

    def kits_for(self, keys: Iterable[str], brakes: str) -> tuple[str, ...]:
        """Those of some kits that are offered for a unit with these brakes.

        Where nobody knows what brakes it has, the first kit that is for some kinds stands for those that are
        for others: the same work would be priced twice.
        """
        offered = {kit.key: kit for kit in self.kits_offered}
        kits = [offered[key] for key in keys if key in offered]
        kinds = _kinds(kits) if brakes == "unknown" else {brakes}
        return tuple(kit.key for kit in kits if not kit.brakes or kinds & set(kit.brakes))

    def caution(self, key: str) -> Caution:
        """The caution of that key; KeyError where there is none."""
        return _found(self.cautions, key)

    def cautions_of(self, entry: Check | Kit) -> tuple[Caution, ...]:
        """The cautions that stand beside a check or kit, in the order in which it names them."""
        return tuple(self.caution(key) for key in entry.cautions)

    def for_walk(self, kind: str, depth: str) -> tuple[Check, ...]:
        """The checks that a walk of this kind and depth holds, in the order of the catalogue."""
        return tuple(check for check in self.checks if kind in check.kinds and depth in check.depth)

    def to_json(self) -> str:
        """The whole version as JSON; `from_json` gives it back equal."""
        return self.model_dump_json(by_alias=True)

    def faults(self) -> list[str]:
        """What entries name that is not there, and keys that stand twice; empty where all fits."""
        placed = [("shop", check) for check in self.checks]
        kits, cautions = [("shop", kit) for kit in self.kits], [("shop", each) for each in self.cautions]
        return _cross_faults(placed, kits, cautions)

    @classmethod
    def from_json(cls, text: str) -> Self:
        """The version that stands in a JSON text; raises CatalogueFault where it is none."""
        try:
            return cls.model_validate_json(text)
        except ValidationError as wrong:
            raise CatalogueFault(_faults("kept version", "catalogue", wrong)) from None


class CatalogueFault(ValueError):
    """What is wrong with a catalogue, all of it: each fault names its file and entry."""

    def __init__(self, faults: list[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(faults))


Keyed = TypeVar("Keyed", Measure, Defect, Check, Kit, Caution)
Whole = TypeVar("Whole", Check, Kit, Caution, Phrase)


def _kinds(kits: Iterable[Kit]) -> set[BrakeKind]:
    """The kinds of brakes that the first kit is for which is not for all."""
    return next((set(kit.brakes) for kit in kits if kit.brakes), set())


def _found(entries: tuple[Keyed, ...], key: str) -> Keyed:
    for entry in entries:
        if entry.key == key:
            return entry
    raise KeyError(key)


def _twice(keys: list[str]) -> list[str]:
    return [key for key, times in Counter(keys).items() if times > 1]


def read_catalogue(folder: Path) -> Catalogue:
    """The catalogue of a folder: `checks/*.toml` in order of name, and the other three files.

    Raises CatalogueFault with every fault found, each naming its file and entry.
    """
    faults: list[str] = []
    files = sorted((folder / "checks").glob("*.toml"))
    checks = [made for file in files for made in _read(file, "check", Check, faults)]
    kits = list(_read(folder / "kits.toml", "kit", Kit, faults))
    cautions = list(_read(folder / "cautions.toml", "caution", Caution, faults))
    phrases = list(_read(folder / "phrases.toml", "phrase", Phrase, faults))
    faults += _cross_faults(checks, kits, cautions)
    if faults:
        raise CatalogueFault(faults)
    return Catalogue(
        checks=_bare(checks),
        kits=_bare(kits),
        cautions=_bare(cautions),
        phrases=tuple(phrase.says for phrase in _bare(phrases)),
    )


def _bare(placed: list[tuple[str, Whole]]) -> tuple[Whole, ...]:
    return tuple(entry for _, entry in placed)


def _read(file: Path, word: str, shape: type[Whole], faults: list[str]) -> Iterator[tuple[str, Whole]]:
    for number, entry in enumerate(_entries(file, word, faults), 1):
        name = str(entry.get("key", f"{word} {number}")) if isinstance(entry, dict) else f"{word} {number}"
        try:
            yield file.name, shape.model_validate(entry)
        except ValidationError as wrong:
            faults += _faults(file.name, name, wrong)


def _entries(file: Path, word: str, faults: list[str]) -> list[Any]:
    try:
        content = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as wrong:
        faults.append(f"{file.name}: cannot be read: {wrong.__class__.__name__} {wrong}")
        return []
    faults += [
        f"{file.name}:{other}: only [[{word}]] stands in this file" for other in content if other != word
    ]
    found = content.get(word, [])
    return found if isinstance(found, list) else [found]


def _faults(file: str, entry: str, wrong: ValidationError) -> list[str]:
    return [
        f"{file}:{entry}: {'.'.join(map(str, fault['loc'])) or 'entry'}: {fault['msg']}"
        for fault in wrong.errors()
    ]


Placed = list[tuple[str, Check]]


def _cross_faults(
    checks: Placed, kits: list[tuple[str, Kit]], cautions: list[tuple[str, Caution]]
) -> list[str]:
    known_kits = {kit.key for _, kit in kits}
    known_cautions = {caution.key for _, caution in cautions}
    faults = _same_keys(checks) + _same_keys(kits) + _same_keys(cautions)
    for file, check in checks:
        named = {*check.kits, *(kit for defect in check.defects for kit in defect.kits)}
        faults += [f"{file}:{check.key}: no kit {kit}" for kit in sorted(named - known_kits)]
    both: list[tuple[str, Check | Kit]] = [*checks, *kits]
    for file, entry in both:
        unknown = sorted(set(entry.cautions) - known_cautions)
        faults += [f"{file}:{entry.key}: no caution {caution}" for caution in unknown]
    return faults


def _same_keys(placed: Sequence[tuple[str, Check | Kit | Caution]]) -> list[str]:
    twice = _twice([entry.key for _, entry in placed])
    return [f"{file}:{entry.key}: this key stands twice" for file, entry in placed if entry.key in twice]

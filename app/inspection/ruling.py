"""What a rule is given and what it answers: the case of one check at one place, and rulings."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from app.inspection.catalogue import WATCH_DAYS, Check, Proposal
from app.inspection.readings import Reading
from app.trade.dates import Month
from app.trade.figure import COMMON_PRACTICE, HEAVIEST_FIRST, WEIGHT_OF_BY, By, Grade, Source, Worked
from app.trade.quantity import Quantity
from app.trade.tin import DateCode
from app.trade.tire_age import USUAL_AGES, AgePolicy

Weight = tuple[int, int]


def weight(grade: Grade, by: By | None) -> Weight:
    """How heavy a grade is: less is heavier; needs before towing is heavier than needs soon."""
    return HEAVIEST_FIRST.index(grade), WEIGHT_OF_BY[by]


@dataclass(frozen=True)
class UnitFacts:
    """What rules need to know of a unit; what is None or empty is not known and never counts as enough.

    `gawr_lb`, `axle_load_lb`: one an axle, front first. Torque as the wheel's or axle's maker gives it.
    `magnet_size`: drum size in inches, 7, 10 or 12. `brakes`: unknown, none, electric, surge,
    hydraulic, air. `date_codes`: of its tires as read on this stay, by place.
    """

    kind: str = "travel"
    year: int | None = None
    vin: str = ""
    vin_assigned: bool = False
    axles: int | None = None
    wheels_per_axle_side: int = 1
    gvwr_lb: Decimal | None = None
    gawr_lb: tuple[Decimal | None, ...] = ()
    gross_lb: Decimal | None = None
    axle_load_lb: tuple[Decimal | None, ...] = ()
    placard_size: str = ""
    placard_psi: Decimal | None = None
    torque_low: Decimal | None = None
    torque_high: Decimal | None = None
    torque_unit: str = "lbf_ft"
    torque_source: str = ""
    wrench_deviation: Decimal | None = None
    brakes: str = ""
    brakes_required: bool | None = None
    breakaway_required: bool | None = None
    magnet_size: str = ""
    commercial: bool = False
    cylinder_specification: str = "4BA"
    date_codes: Mapping[str, DateCode] = field(default_factory=dict)

    def gawr(self, axle: int | None) -> Decimal | None:
        """GAWR of an axle in lb, counted from 1; None where it is not known."""
        return _nth(self.gawr_lb, axle)

    def axle_load(self, axle: int | None) -> Decimal | None:
        """Weighed load of an axle in lb, counted from 1; None where it was not weighed."""
        return _nth(self.axle_load_lb, axle)


def _nth(values: tuple[Decimal | None, ...], axle: int | None) -> Decimal | None:
    return values[axle - 1] if axle is not None and 1 <= axle <= len(values) else None


@dataclass(frozen=True)
class Policy:
    """The shop's limits that no law sets, and the figures of its state. Common practice where not set."""

    tire_ages: AgePolicy = USUAL_AGES
    tires_apart_years: int = 2
    hub_months: int = 12
    hub_miles: Decimal = Decimal(12000)
    breakaway_battery_years: int = 4
    brakes_from_lb: Decimal = Decimal(3000)
    breakaway_from_lb: Decimal = Decimal(3000)
    brakes_on_all_wheels: bool = True


@dataclass(frozen=True)
class Ruling:
    """One grade with its reason and source. `law`: a computed limit that only a new reading makes lighter."""

    grade: Grade
    says: str
    source: Source = COMMON_PRACTICE
    by: By | None = None
    days: int | None = None
    miles: int | None = None
    law: bool = False
    worked: Worked[object] | None = None

    @property
    def weight(self) -> Weight:
        """How heavy it is; less is heavier."""
        return weight(self.grade, self.by)


def ruling_of(worked: Worked[object], *, law: tuple[Grade, ...] = ()) -> list[Ruling]:
    """The ruling of a worked figure, from its verdict; none where it gives no verdict.

    `law`: the grades at which it is a law that speaks, not the shop's own aim.
    """
    verdict = worked.verdict
    if verdict is None:
        return []
    grade, says, by = verdict.grade, verdict.says, verdict.by
    days = WATCH_DAYS if grade is Grade.WATCH else None
    return [Ruling(grade, says, worked.source, by, days, law=grade in law, worked=worked)]


def proposed(entry: Proposal, says: str, *, law: bool = False) -> Ruling:
    """The ruling of a limit or defect of the catalogue, with its reason in words."""
    return Ruling(entry.grade, says, entry.source, entry.by, entry.days, entry.until_miles, law)


@dataclass(frozen=True)
class Case:
    """One check at one place: what was read, what is known of the unit, the shop's limits, the day."""

    check: Check
    place: str
    readings: Mapping[str, Reading]
    facts: UnitFacts = field(default_factory=UnitFacts)
    day: date = date.min
    policy: Policy = field(default_factory=Policy)

    @property
    def axle(self) -> int | None:
        """Number of the axle that the place belongs to, from 1; None where it belongs to none."""
        found = re.search(r"-(\d+)", self.place)
        return int(found[1]) if found else None

    @property
    def tires_on_axle(self) -> int:
        """Tires on one axle: two, or four on duals."""
        return 2 * self.facts.wheels_per_axle_side

    @property
    def axle_codes(self) -> tuple[DateCode, ...]:
        """The date codes of the tires of its axle, as read at each tire."""
        start = f"tire-{self.axle}-"
        return tuple(code for place, code in sorted(self.facts.date_codes.items()) if place.startswith(start))

    @property
    def brakes_required(self) -> bool:
        """Whether the law asks for brakes on this unit; not known counts as asked for."""
        return self.facts.brakes_required is not False

    def quantity(self, key: str) -> Quantity | None:
        """A reading as a quantity; None where it was not taken."""
        reading = self.readings.get(key)
        return reading.quantity if reading else None

    def number(self, key: str, unit: str | None = None) -> Decimal | None:
        """A reading as a number in the measure's unit or the one named; None where it was not taken."""
        reading = self.readings.get(key)
        return reading.number_in(self.check.measure(key).unit if unit is None else unit) if reading else None

    def text(self, key: str) -> str:
        """A text or an answer; empty where it was not given."""
        reading = self.readings.get(key)
        return reading.value if reading and isinstance(reading.value, str) else ""

    def code(self, key: str) -> DateCode | None:
        """A tire's date code; None where it was not read."""
        reading = self.readings.get(key)
        return reading.value if reading and isinstance(reading.value, DateCode) else None

    def month(self, key: str) -> Month | None:
        """A month; None where it was not read."""
        reading = self.readings.get(key)
        return reading.value if reading and isinstance(reading.value, Month) else None

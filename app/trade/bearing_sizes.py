"""Inch tapered bearings and seals of trailer hubs: designations and sizes.

The number stamped on the cone, cup and seal decides, and a caliper confirms it; what stands here suggests and
never orders by itself. The plate of the axle limits its load, not the bearing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import COMMON_PRACTICE, Input, Source, Worked
from app.trade.problems import Impossible
from app.trade.quantity import convert, with_unit

SIZES = Source("ABMA 19.2", "inch tapered bearings (from memory)")
CLOSE_IN = Decimal("0.002")  # what a shop caliper leaves open
STAMPED = "The number stamped on the old part decides; measure before ordering."


@dataclass(frozen=True)
class BearingSet:
    """A cone with its usual cup; bore of the cone and outer diameter of the cup in inches."""

    cone: str
    cup: str
    bore_in: Decimal
    cup_in: Decimal

    @property
    def says(self) -> str:
        """Numbers and sizes on one line."""
        bore, cup = with_unit(str(self.bore_in), "in"), with_unit(str(self.cup_in), "in")
        return f"{self.cone} with {self.cup}: bore {bore}, cup {cup}"


def _set(cone: str, cup: str, bore_in: str, cup_in: str) -> BearingSet:
    return BearingSet(cone, cup, Decimal(bore_in), Decimal(cup_in))


SETS = (
    _set("LM11949", "LM11910", "0.7500", "1.7810"),
    _set("L44643", "L44610", "1.0000", "1.9800"),
    _set("L44649", "L44610", "1.0625", "1.9800"),
    _set("LM67048", "LM67010", "1.2500", "2.3280"),
    _set("15123", "15245", "1.2500", "2.4409"),
    _set("14125A", "14276", "1.2500", "2.7170"),
    _set("02475", "02420", "1.2500", "2.6875"),
    _set("L68149", "L68111", "1.3775", "2.3612"),
    _set("25580", "25520", "1.7500", "3.2650"),
    _set("387A", "382A", "2.2500", "3.8125"),
)
BY_CONE = {found.cone: found for found in SETS}


@dataclass(frozen=True)
class Seal:
    """A grease seal by the spindle's seal seat and the hub's bore, in inches."""

    seat_in: Decimal
    bore_in: Decimal

    @property
    def says(self) -> str:
        """Both sizes on one line."""
        return f"{self.seat_in} x {with_unit(str(self.bore_in), 'in')}"


@dataclass(frozen=True)
class HubSet:
    """What a hub of an axle's capacity usually holds: inner and outer cone, seals."""

    least_lb: int
    most_lb: int
    inner: tuple[str, ...]
    outer: tuple[str, ...]
    seals: tuple[Seal, ...]


def _seal(seat: str, bore: str) -> Seal:
    return Seal(Decimal(seat), Decimal(bore))


SMALL_SEALS = (_seal("1.25", "1.98"), _seal("1.50", "1.98"))
MIDDLE_SEALS = (_seal("2.25", "3.376"),)
HUBS = (
    HubSet(1000, 2000, ("L44643", "L44649"), ("L44643", "L44649"), SMALL_SEALS),
    HubSet(2000, 3500, ("L44643", "L44649"), ("LM11949",), SMALL_SEALS[1:]),
    HubSet(3500, 3500, ("L68149",), ("L44649",), (_seal("1.719", "2.565"),)),
    HubSet(5200, 6000, ("25580",), ("LM67048", "15123"), MIDDLE_SEALS),
    HubSet(7000, 7000, ("25580",), ("14125A",), MIDDLE_SEALS),
    HubSet(8000, 8000, ("25580",), ("02475",), MIDDLE_SEALS),
    HubSet(9000, 10000, ("387A",), ("25580",), (_seal("2.875", "3.88"),)),
)  # common practice


def bearing_set(cone: str) -> Worked[BearingSet]:
    """The cup and sizes that belong to a cone's number, such as `L68149`; blanks and case are ignored.

    Raises Impossible for a number that is not in the list. Source: ABMA 19.2, from memory.
    """
    found = BY_CONE.get("".join(cone.split()).upper())
    if found is None:
        raise Impossible(f"Cone {cone.strip()} is not in the list", "a number such as L68149, or measure it")
    return Worked(
        name="bearing",
        value=found,
        says=found.says,
        formula="list of designations",
        inputs=(Input("cone", found.cone),),
        source=SIZES,
        unit="in",
        caution=STAMPED,
    )


def sets_with_bore(bore: Decimal, unit: str) -> Worked[tuple[BearingSet, ...]]:
    """All sets whose cone has a measured bore, within 0.002 in; several where the bore alone cannot tell.

    `bore`: over 0, in `unit`. None found: an empty tuple. Raises Impossible for 0 or less.
    Source: ABMA 19.2, from memory.
    """
    if bore <= 0:
        raise Impossible("A bore cannot be 0 or less", "such as 1.250 in or 31.75 mm")
    inches = convert(bore, unit, "in")
    found = tuple(one for one in SETS if abs(one.bore_in - inches) <= CLOSE_IN)
    return Worked(
        name="bearings with this bore",
        value=found,
        says=", ".join(one.cone for one in found) or "none in the list",
        formula="bore within 0.002 in",
        inputs=(Input("bore", with_unit(f"{bore:f}", unit)),),
        source=SIZES,
        unit="in",
        caution=STAMPED,
    )


def usual_hubs(capacity_lb: int) -> Worked[tuple[HubSet, ...]]:
    """What hubs of an axle capacity usually hold, in pounds; more than one where practice differs.

    None in the list: an empty tuple. Raises Impossible for 0 or less. Source: common practice.
    """
    if capacity_lb <= 0:
        raise Impossible("A capacity cannot be 0 or less", "such as 3500 lb")
    found = tuple(hub for hub in HUBS if hub.least_lb <= capacity_lb <= hub.most_lb)
    return Worked(
        name="usual bearings",
        value=found,
        says="; ".join(_hub_says(hub) for hub in found) or "none in the list",
        formula="list by axle capacity",
        inputs=(Input("axle capacity", with_unit(f"{capacity_lb:,}", "lb")),),
        source=COMMON_PRACTICE,
        caution=f"{STAMPED} The axle's plate limits the load, not the bearing.",
    )


def _hub_says(hub: HubSet) -> str:
    return (
        f"inner {_either(hub.inner)}, outer {_either(hub.outer)}, seal {_either([s.says for s in hub.seals])}"
    )


def _either(names: Sequence[str]) -> str:
    return " or ".join(names)

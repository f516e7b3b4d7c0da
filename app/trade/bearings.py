"""Adjustable tapered wheel bearings: adjusting, end play, grease, service.

For hubs with two tapered bearings and a spindle nut. Sealed cartridge hubs are not adjusted: they are
replaced and their nut tightened to the maker's figure. Designations and sizes: bearing_sizes.py.
"""

import math
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from app.trade.dates import Month
from app.trade.figure import (
    COMMON_PRACTICE,
    HEAVIEST_FIRST,
    By,
    Grade,
    Input,
    Source,
    Verdict,
    Worked,
    plain,
)
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, with_unit
from app.trade.threads import Thread

MONTHS, MILES = 12, 12_000
PITCH = Source("geometry", "pitch of the thread")
GREASE_RULE = Source("ASTM D4950", "from memory; mixing is common practice")
ON_STANDS = "Wheel up on stands, chocks both sides, before the hub comes off."


# End play


@dataclass(frozen=True)
class EndPlayLimits:
    """Least, most and greatest tolerable end play, in inches."""

    least: Decimal
    most: Decimal
    stop: Decimal
    source: Source

    def __str__(self) -> str:
        return f"{self.least} to {with_unit(str(self.most), 'in')}"


HEAVY_RULE = Source("TMC RP 618", "(as reported in the trade press)")
LIGHT = EndPlayLimits(Decimal("0.001"), Decimal("0.010"), Decimal("0.030"), COMMON_PRACTICE)
HEAVY = EndPlayLimits(
    Decimal("0.001"), Decimal("0.005"), Decimal("0.030"), Source("TMC RP 618", "(as reported)")
)


def end_play_verdict(reading: Quantity, limits: EndPlayLimits = LIGHT) -> Worked[Decimal]:
    """End play in inches with its grade, measured with a dial indicator on the hub.

    `reading`: any unit of length, 0 or more. Inside the limits, ends included: sound. Over the stop: do not
    tow. Else, and without play (0 is preload): needs work before towing. Raises Impossible under 0.
    Source: common practice for light trailers, TMC RP 618 for heavy vehicles.
    """
    if reading.value < 0:
        raise Impossible("End play cannot be under 0", "such as 0.004 in or 0.1 mm; 0 where there is none")
    play = reading.to("in")
    verdict = _end_play(reading, limits)
    return Worked(
        name="end play",
        value=play,
        says=with_unit(plain(play, 4), "in"),
        formula="largest of several readings, pushed and pulled straight",
        inputs=(Input("reading", str(reading)),),
        source=limits.source,
        unit="in",
        limit=str(limits),
        verdict=verdict,
        caution=ON_STANDS,
    )


def _end_play(play: Quantity, limits: EndPlayLimits) -> Verdict:
    if play.over(limits.stop, "in"):
        return Verdict(Grade.DNT, f"Over {limits.stop} in: nut, lock or bearing has let go")
    if play.over(limits.most, "in"):
        return Verdict(Grade.NEEDS, f"Over {limits.most} in: adjust", By.TOWING)
    if play.under(limits.least, "in"):
        return Verdict(Grade.NEEDS, f"Under {limits.least} in: tight bearings run hot, back off", By.TOWING)
    return Verdict(Grade.SOUND, f"Inside {limits}")


def question_end_play(field: str, reading: Quantity) -> list[Problem]:
    """What to ask about an end play: exactly 0 and over 0.030 in are unlikely, under 0 impossible."""
    if reading.value < 0:
        return [Problem(field, "End play cannot be under 0", "0 to 0.030 in, such as 0.004 in")]
    if reading.value == 0:
        return [Problem(field, "No end play at all: is the hub free?", "0.001 to 0.010 in", ask=True)]
    if reading.over(LIGHT.stop, "in"):
        return [Problem(field, f"{reading} is very much", "0.001 to 0.010 in", ask=True)]
    return []


# Adjusting


@dataclass(frozen=True)
class Adjustment:
    """How a spindle nut is set: seat while the hub turns, back off, then the last step."""

    seat: str
    back_off: str
    then: str
    source: Source

    @property
    def steps(self) -> tuple[str, ...]:
        """The three steps as sentences for a job sheet."""
        return (
            f"Seat the bearings while turning the hub: {self.seat}",
            f"Back off: {self.back_off}",
            f"Then: {self.then}",
        )


ADJUSTMENTS = {
    "light": Adjustment(
        "about 50 lbf·ft (68 N·m)",
        "loosen fully without turning the hub",
        "finger-tight; where no slot lines up, back to the nearest; a new cotter pin, ends bent",
        COMMON_PRACTICE,
    ),
    "utility": Adjustment(
        "30 lbf·ft (41 N·m)",
        "1/16 turn",
        "finger-tight, a new cotter pin, the hub turns freely",
        Source("US Army TM 9-2330-202-13&P", "WP 0054"),
    ),
    "two nuts": Adjustment(
        "until it binds",
        "1/6 turn",
        "washers and second nut on, no rock at the wheel",
        Source("US Army TM 9-2330-202-13&P", "WP 0055"),
    ),
    "heavy": Adjustment(
        "200 lbf·ft, then loosen, then 50 lbf·ft",
        "by the thread's pitch",
        "lock, then measure 0.001 to 0.005 in with an indicator",
        HEAVY_RULE,
    ),
}


def adjustment(kind: str) -> Worked[tuple[str, ...]]:
    """The three steps of setting a spindle nut: `light`, `utility`, `two nuts` or `heavy`.

    The axle maker's own steps win. Raises Impossible for another kind. Source: as each one says.
    """
    if kind not in ADJUSTMENTS:
        raise Impossible(f"There is no adjustment called {kind}", ", ".join(ADJUSTMENTS))
    found = ADJUSTMENTS[kind]
    return Worked(
        name="bearing adjustment",
        value=found.steps,
        says=f"seat {found.seat}; back off {found.back_off}; {found.then}",
        formula="seat, back off, set, lock, measure",
        inputs=(Input("hub", kind),),
        source=found.source,
        caution=ON_STANDS,
    )


def axial_movement(thread: Thread, turned: Decimal) -> Worked[Decimal]:
    """How far a spindle nut moves along when turned by an angle: inches, or mm for a metric thread.

    `turned`: degrees, either sense, 0 or more; one flat of a hexagon nut is 60. True once the bearings are
    seated and there is play. Raises Impossible under 0. Source: the thread's pitch.
    """
    if turned < 0:
        raise Impossible("A nut turns by 0 degrees or more", "such as 60 for one flat")
    moved = thread.pitch * turned / 360
    return Worked(
        name="movement of the nut",
        value=moved,
        says=with_unit(plain(moved, 4 if thread.inch else 3), thread.unit),
        formula="pitch x angle / 360",
        inputs=(Input("thread", thread.name), Input("turned", with_unit(f"{turned:f}", "deg"))),
        source=PITCH,
        unit=thread.unit,
    )


def angle_for_movement(thread: Thread, movement: Decimal) -> Worked[Decimal]:
    """Angle, degrees, by which a nut is turned to move along by so much; also said in flats of a hexagon.

    `movement`: 0 or more, in the thread's unit. Raises Impossible under 0. Source: the thread's pitch.
    """
    if movement < 0:
        raise Impossible("A nut moves by 0 or more", "such as 0.005 in")
    angle = 360 * movement / thread.pitch
    return Worked(
        name="angle of the nut",
        value=angle,
        says=f"{with_unit(plain(angle, 1), 'deg')}, {plain(angle / 60, 2)} flats",
        formula="360 x movement / pitch",
        inputs=(Input("thread", thread.name), Input("movement", with_unit(f"{movement:f}", thread.unit))),
        source=PITCH,
        unit="deg",
    )


def lock_step(slots: int, holes: int) -> Worked[Decimal]:
    """Least angle, degrees, between two positions in which a castle nut can be locked.

    `slots`: of the nut, 3 or more; `holes`: ends of the pin holes around the spindle, 1 or more, evenly
    spaced (one hole right through has 2 ends). Raises Impossible otherwise. Source: geometry.
    """
    if slots < 3 or holes < 1:
        raise Impossible("A castle nut has slots, a spindle a hole", "6 slots and 2 hole ends")
    step = Decimal(360) / math.lcm(slots, holes)
    return Worked(
        name="locking step",
        value=step,
        says=with_unit(plain(step, 1), "deg"),
        formula="360 / least common multiple of slots and hole ends",
        inputs=(Input("slots", str(slots)), Input("hole ends", str(holes))),
        source=Source("geometry"),
        unit="deg",
    )


# Grease


class Thickener(StrEnum):
    """What holds the oil of a grease."""

    LITHIUM = "lithium"
    LITHIUM_COMPLEX = "lithium complex"
    CALCIUM_SULFONATE = "calcium sulfonate"
    ALUMINUM_COMPLEX = "aluminum complex"
    POLYUREA = "polyurea"
    CLAY = "clay"
    UNKNOWN = "unknown"


def mixing_verdict(there: Thickener, new: Thickener) -> Verdict:
    """Whether a grease may be pumped onto what is there: only onto the same thickener, and both known.

    Otherwise everything is washed out first. Source: common practice.
    """
    if Thickener.UNKNOWN in (there, new):
        return Verdict(Grade.NEEDS, "Grease not known: wash everything out, pack anew", By.SOON)
    if there is not new:
        says = f"{there.value.capitalize()} and {new.value} do not mix: wash everything out, pack anew"
        return Verdict(Grade.NEEDS, says, By.SOON)
    return Verdict(Grade.SOUND, "Same thickener: may be topped up")


@dataclass(frozen=True)
class Grease:
    """A grease as its tub says it: consistency, ASTM D4950 category, and whether it resists water."""

    nlgi: str
    category: str
    water_resistant: bool = False


def grease_verdict(grease: Grease, *, boat: bool = False) -> Verdict:
    """Whether a grease suits a trailer's wheel bearings: NLGI 2, category GC (GC-LB); boats also water.

    Source: ASTM D4950 (service categories, from memory), common practice.
    """
    if grease.nlgi.strip() != "2":
        return Verdict(Grade.NEEDS, f"NLGI {grease.nlgi}: wheel bearings take NLGI 2", By.SOON)
    if "GC" not in re.split(r"[^A-Z]+", grease.category.upper()):
        return Verdict(Grade.NEEDS, f"{grease.category or 'No category'}: wheel bearings take GC-LB", By.SOON)
    if boat and not grease.water_resistant:
        return Verdict(Grade.NEEDS, "A boat trailer takes a water-resistant GC-LB grease", By.SOON)
    return Verdict(Grade.SOUND, "NLGI 2, GC-LB")


def grease_to_pack(
    grease: Grease, new: Thickener, there: Thickener | None, *, boat: bool = False
) -> Worked[Verdict]:
    """Whether a grease suits the hub, and whether it may go onto what is there; the heavier counts.

    `there`: None for a hub washed clean. Source: ASTM D4950 (from memory), common practice.
    """
    verdicts = [grease_verdict(grease, boat=boat)]
    if there is not None:
        verdicts.append(mixing_verdict(there, new))
    found = min(verdicts, key=lambda each: HEAVIEST_FIRST.index(each.grade))
    return Worked(
        name="grease",
        value=found,
        says=found.says,
        formula="consistency, category and water by the tub; thickener as the one that is there",
        inputs=(
            Input("new grease", f"NLGI {grease.nlgi} {grease.category}, {new.value}"),
            Input("in the hub", there.value if there else "nothing, washed clean"),
            Input("goes into the water", "yes" if boat else "no"),
        ),
        source=GREASE_RULE,
        limit="NLGI 2, GC-LB, the same thickener",
        verdict=found,
        caution="The maker's own grease, where the axle's book names one, goes before this.",
    )


# Service


@dataclass(frozen=True)
class Service:
    """What is known of a hub's last service: the day, and the miles driven since (None where unknown)."""

    done: date | None
    miles_since: Decimal | None = None


def service_verdict(last: Service, today: date, *, boat: bool = False) -> Worked[date | None]:
    """Day on which the next bearing service falls due, by miles or months, whichever comes first.

    Every 12 months or 12,000 miles. Over either, or unknown: needs work soon; on a boat trailer that goes
    into the water before towing. None where the last service is unknown. Raises Impossible for a service
    after today and for miles under 0. Source: common practice.
    """
    due = _due(last, today)
    return Worked(
        name="bearing service",
        value=due,
        says=f"due {due:%Y-%m-%d} or after 12,000 miles, whichever comes first" if due else "due now",
        formula="last service + 12 months, or + 12,000 miles, whichever comes first",
        inputs=(
            Input("last service", f"{last.done:%Y-%m-%d}" if last.done else "unknown"),
            Input("miles since", "unknown" if last.miles_since is None else f"{last.miles_since:f}"),
        ),
        source=COMMON_PRACTICE,
        limit=f"{MONTHS} months or {MILES:,} miles",
        verdict=_serviced(last, due, today, By.TOWING if boat else By.SOON),
        caution="After a seal leak, a hot hub or a flood: now, whatever the date says.",
    )


def _due(last: Service, today: date) -> date | None:
    if last.miles_since is not None and last.miles_since < 0:
        raise Impossible("Miles cannot be under 0", "0 or more, such as 3000")
    if last.done is None:
        return None
    if last.done > today:
        raise Impossible("The service lies after today", "a day up to today")
    month = Month.of(last.done).plus_months(MONTHS)
    return month.first.replace(day=min(last.done.day, month.last.day))


def _serviced(last: Service, due: date | None, today: date, by: By) -> Verdict:
    if due is None:
        return Verdict(Grade.NEEDS, "Last service unknown: clean, inspect, pack; no long tow before", by)
    if today > due or (last.miles_since or 0) > MILES:
        return Verdict(Grade.NEEDS, "Over 12 months or 12,000 miles: clean, inspect, pack", by)
    return Verdict(Grade.SOUND, "Inside 12 months and 12,000 miles")

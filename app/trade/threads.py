"""Stud threads: stress area, proof load, clamp, and the torque that goes with it.

A check or a fallback: the figure of the wheel's, hub's or axle's maker wins. Press-in wheel studs seldom
carry a head mark, so an unknown grade is the usual case, and nothing is guessed from it.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import By, Grade, Input, Source, Verdict, Worked, plain
from app.trade.problems import Impossible, Problem
from app.trade.quantity import convert, read_number, with_unit

PI = Decimal("3.14159265358979323846")
INCH_AREA, METRIC_AREA = Decimal("0.9743"), Decimal("0.9382")  # pitches taken off the diameter
REUSABLE = Decimal("0.75")  # share of the proof load for a joint that is opened again
SCATTER = Decimal("0.30")  # of the clamp, either way, when torque is the measure
USUAL_K = (Decimal("0.08"), Decimal("0.35"))

INCH_RULE = Source("ASME B1.1", "(from memory)")
METRIC_RULE = Source("ISO 898-1", "(from memory)")
J429_RULE = Source("SAE J429", "(from memory)")
TEXTBOOK = Source("machine-design textbooks", "(from memory)")

_INCH = re.compile(r"^(\d+[ -]\d+/\d+|\d+/\d+|\d+)\s*-\s*(\d+)(\s*UN[A-Z]*)?$", re.IGNORECASE)
_METRIC = re.compile(r"^M\s*(\d+)\s*[x×]\s*(\d+(?:\.\d+)?)$", re.IGNORECASE)


@dataclass(frozen=True)
class Thread:
    """A thread by its name, nominal diameter and pitch, both in `unit` (`in` or `mm`)."""

    name: str
    unit: str
    diameter: Decimal
    pitch: Decimal

    def __post_init__(self) -> None:
        if not 0 < self.pitch * 3 < self.diameter:
            raise Impossible(f"{self.name} is no thread", "a thread such as 1/2-20 or M12x1.5")

    @property
    def inch(self) -> bool:
        """Whether the thread is an inch thread; else it is metric."""
        return self.unit == "in"

    @property
    def units(self) -> "ThreadUnits":
        """Units in which its area, force and torque are given."""
        return INCH_UNITS if self.inch else METRIC_UNITS


@dataclass(frozen=True)
class ThreadUnits:
    """Units that go together: area, stress, force, torque as worked and as shown, diameter's divisor."""

    area: str
    stress: str
    force: str
    worked: str
    torque: str
    per_lever: Decimal  # of the diameter's unit in the lever's unit


INCH_UNITS = ThreadUnits("in2", "ksi", "lbf", "lbf_in", "lbf_ft", Decimal(1))
METRIC_UNITS = ThreadUnits("mm2", "MPa", "N", "N_m", "N_m", Decimal(1000))


def read_thread(typed: str) -> Thread:
    """The thread that stands in a text: `1/2-20`, `1-1/4-12 UNF`, `M12x1.5`; metric needs its pitch.

    Raises Impossible where it is no thread.
    """
    text = " ".join(typed.split())
    if found := _METRIC.match(text):
        return Thread(f"M{found[1]}x{found[2]}", "mm", Decimal(found[1]), Decimal(found[2]))
    if (found := _INCH.match(text)) and int(found[2]):
        return Thread(f"{found[1]}-{found[2]}", "in", read_number(found[1]), 1 / Decimal(found[2]))
    raise Impossible(f"{text} is no thread", "a thread such as 1/2-20 or M12x1.5")


def stress_area(thread: Thread) -> Worked[Decimal]:
    """Area that carries the load of a stud in tension, in² for inch and mm² for metric threads.

    Source: ASME B1.1 (inch), ISO 898-1 (metric), both from memory.
    """
    taken = INCH_AREA if thread.inch else METRIC_AREA
    area = PI / 4 * (thread.diameter - taken * thread.pitch) ** 2
    return Worked(
        name="stress area",
        value=area,
        says=with_unit(plain(area, 4 if thread.inch else 1), thread.units.area),
        formula=f"pi/4 x (diameter - {taken} x pitch)²",
        inputs=(Input("thread", thread.name),),
        source=INCH_RULE if thread.inch else METRIC_RULE,
        unit=thread.units.area,
    )


# Strength


class StudGrade(StrEnum):
    """Strength of a stud: SAE J429 grade or ISO 898-1 class; unknown where nothing is marked."""

    SAE_2 = "2"
    SAE_5 = "5"
    SAE_8 = "8"
    ISO_8_8 = "8.8"
    ISO_10_9 = "10.9"
    ISO_12_9 = "12.9"
    UNKNOWN = "unknown"


_KSI = {StudGrade.SAE_2: Decimal(55), StudGrade.SAE_5: Decimal(85), StudGrade.SAE_8: Decimal(120)}
_MPA = {StudGrade.ISO_8_8: Decimal(580), StudGrade.ISO_10_9: Decimal(830), StudGrade.ISO_12_9: Decimal(970)}
_THICK_8_8 = Decimal(600)  # over 16 mm
_LARGEST = {StudGrade.SAE_2: Decimal("0.75"), StudGrade.SAE_5: Decimal(1), StudGrade.SAE_8: Decimal("1.5")}


def proof_stress(thread: Thread, grade: StudGrade) -> Decimal:
    """Stress that a stud must bear without setting: ksi for inch threads and grades, MPa for metric.

    Grade 2 to 3/4 in, 5 to 1 in, 8 to 1 1/2 in. Raises Impossible for an unknown grade, for a grade of the
    other system and beyond those sizes. Source: SAE J429, ISO 898-1, from memory.
    """
    known = _KSI if thread.inch else _MPA
    if grade not in known:
        marks = "grade 2, 5 or 8" if thread.inch else "class 8.8, 10.9 or 12.9"
        raise Impossible(f"Grade {grade} says nothing about {thread.name}", f"{marks}, as marked on the stud")
    if thread.inch and thread.diameter > _LARGEST[grade]:
        raise Impossible(f"Grade {grade} ends at {_LARGEST[grade]} in", "the maker's figure")
    return _THICK_8_8 if grade is StudGrade.ISO_8_8 and thread.diameter > 16 else known[grade]


def proof_load(thread: Thread, grade: StudGrade) -> Worked[Decimal]:
    """Load that a stud must bear without setting: lbf for inch, N for metric threads.

    Raises Impossible where the grade says nothing. Source: SAE J429, ISO 898-1, from memory.
    """
    stress, area = proof_stress(thread, grade), stress_area(thread)
    load = stress * area.value * (1000 if thread.inch else 1)
    return Worked(
        name="proof load",
        value=load,
        says=with_unit(plain(load), thread.units.force),
        formula="proof stress x stress area",
        inputs=(
            Input("thread", thread.name),
            Input("proof stress", with_unit(f"{stress:f}", thread.units.stress)),
            Input("stress area", area.says),
        ),
        source=J429_RULE if thread.inch else METRIC_RULE,
        unit=thread.units.force,
    )


def clamp_target(thread: Thread, grade: StudGrade, share: Decimal = REUSABLE) -> Worked[Decimal]:
    """Clamp to aim at: a share of the proof load, 0.75 for a joint that is opened again.

    `share`: over 0, at most 1. lbf for inch, N for metric. Source: machine-design textbooks, from memory.
    """
    if not 0 < share <= 1:
        raise Impossible("A share of the proof load is over 0 and at most 1", "0.75")
    proof = proof_load(thread, grade)
    clamp = share * proof.value
    return Worked(
        name="clamp",
        value=clamp,
        says=with_unit(plain(clamp), thread.units.force),
        formula="share x proof load",
        inputs=(Input("share", f"{share:f}"), Input("proof load", proof.says)),
        source=TEXTBOOK,
        unit=thread.units.force,
    )


# Torque and clamp


class Surface(StrEnum):
    """State of the thread and seat, as far as friction goes."""

    DRY = "dry"
    ZINC = "zinc plated, dry"
    CADMIUM = "cadmium plated, dry"
    OILED = "oiled"
    ANTI_SEIZE = "anti-seize"


NUT_FACTORS = {
    Surface.DRY: (Decimal("0.16"), Decimal("0.20"), Decimal("0.30")),
    Surface.ZINC: (Decimal("0.20"), Decimal("0.21"), Decimal("0.22")),
    Surface.CADMIUM: (Decimal("0.15"), Decimal("0.18"), Decimal("0.20")),
    Surface.OILED: (Decimal("0.15"), Decimal("0.17"), Decimal("0.18")),
    Surface.ANTI_SEIZE: (Decimal("0.11"), Decimal("0.13"), Decimal("0.15")),
}  # least, usual, most: textbooks, from memory; for a cone or ball seat K is an effective value


def torque_for_clamp(thread: Thread, clamp: Decimal, k: Decimal) -> Worked[Decimal]:
    """Torque that gives a clamp: lbf·ft for inch threads (clamp in lbf), N·m for metric (clamp in N).

    `k`: nut factor, over 0. Raises Impossible for 0 or less. Source: machine-design textbooks, from memory.
    """
    _positive("A clamp", clamp)
    _positive("K", k)
    units = thread.units
    torque = convert(k * thread.diameter / units.per_lever * clamp, units.worked, units.torque)
    return Worked(
        name="torque",
        value=torque,
        says=with_unit(plain(torque), units.torque),
        formula="K x diameter x clamp",
        inputs=(*_friction(thread, k), Input("clamp", with_unit(plain(clamp), units.force))),
        source=TEXTBOOK,
        unit=units.torque,
        caution="A figure of the wheel's or axle's maker wins over this.",
    )


@dataclass(frozen=True)
class Clamp:
    """Least, middle and most clamp that a torque can give, in the thread's unit of force."""

    least: Decimal
    middle: Decimal
    most: Decimal


def clamp_from_torque(thread: Thread, torque: Decimal, unit: str, k: Decimal) -> Worked[Clamp]:
    """Clamp that a torque gives, with its scatter of 30 % either way: lbf for inch, N for metric threads.

    `torque`: over 0, in any unit of torque. Raises Impossible for 0 or less.
    Source: machine-design textbooks, from memory.
    """
    _positive("A torque", torque)
    _positive("K", k)
    units = thread.units
    middle = convert(torque, unit, units.worked) / (k * thread.diameter / units.per_lever)
    clamp = Clamp(middle * (1 - SCATTER), middle, middle * (1 + SCATTER))
    return Worked(
        name="clamp",
        value=clamp,
        says=f"{plain(clamp.least)} to {with_unit(plain(clamp.most), units.force)}",
        formula="torque / (K x diameter), 30 % either way",
        inputs=(Input("torque", with_unit(f"{torque:f}", unit)), *_friction(thread, k)),
        source=TEXTBOOK,
        unit=units.force,
    )


def share_of_proof(thread: Thread, grade: StudGrade, torque: Worked[Clamp]) -> Worked[Decimal]:
    """Share of the proof load that the middle clamp takes up; over 1 the stud is being stretched.

    At most 0.90: sound. Up to 1: watch. Over 1: needs work before towing (another torque or stud).
    Source: machine-design textbooks, from memory.
    """
    proof = proof_load(thread, grade)
    share = torque.value.middle / proof.value
    return Worked(
        name="share of the proof load",
        value=share,
        says=plain(share, 2),
        formula="clamp / proof load",
        inputs=(Input("clamp", torque.says), Input("proof load", proof.says)),
        source=TEXTBOOK,
        limit="at most 0.90",
        verdict=_stretched(share),
    )


def _stretched(share: Decimal) -> Verdict:
    if share > 1:
        return Verdict(Grade.NEEDS, "Over the proof load: the stud is stretched, fit a new one", By.TOWING)
    if share > Decimal("0.90"):
        return Verdict(Grade.WATCH, "Near the proof load: only by the maker's figure")
    return Verdict(Grade.SOUND, "Inside the proof load")


def question_k(field: str, k: Decimal) -> list[Problem]:
    """What to ask about a nut factor: outside 0.08 to 0.35 is unlikely, 0 or less impossible."""
    if k <= 0:
        return [Problem(field, "K cannot be 0 or less", "0.20 for dry steel")]
    if USUAL_K[0] <= k <= USUAL_K[1]:
        return []
    return [Problem(field, f"K {k:f} is unusual", "0.08 to 0.35, such as 0.20 for dry steel", ask=True)]


def question_surface(field: str, surface: Surface) -> list[Problem]:
    """What to ask about the state of a wheel stud: oil and anti-seize raise the clamp. Common practice."""
    if surface not in (Surface.OILED, Surface.ANTI_SEIZE):
        return []
    says = f"{surface.value.capitalize()} threads clamp far harder at the same torque"
    return [Problem(field, says, "clean and dry, unless the maker says so", ask=True)]


def _friction(thread: Thread, k: Decimal) -> tuple[Input, Input]:
    return Input("K", f"{k:f}"), Input("thread", thread.name)


def _positive(what: str, number: Decimal) -> None:
    if not number > 0:
        raise Impossible(f"{what} cannot be 0 or less", "a number over 0")

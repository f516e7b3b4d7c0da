"""Bolts of a joint that is no wheel: their order, readings against the maker's figure, thread that shows."""

from collections.abc import Collection, Mapping
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import not_negative, says
from app.trade.fasteners import CLEAN_AND_DRY, FINE_DEVIATION, TorqueRange, torque_grade
from app.trade.figure import COMMON_PRACTICE, HEAVIEST_FIRST, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, with_unit

THREAD_RULE = Source("COMAR", "11.14.05.03(2)(e) and (f)")
THREAD_LEAST = Decimal("0.25")  # in of U-bolt thread beyond its nut
USUAL_LBF_FT = (Decimal(3), Decimal(600))
FEWEST, MOST = 1, 24


class Joint(StrEnum):
    """What the bolts hold, as far as a loose one differs."""

    U_BOLTS = "u_bolts"
    SPRINGS = "springs"
    COUPLER = "coupler"
    BALL = "ball"
    HEAD = "head"
    BODY = "body"
    TIE_DOWN = "tie_down"
    OTHER = "other"

    @property
    def word(self) -> str:
        """The joint in plain words."""
        return JOINTS[self]

    @property
    def holds_the_tow(self) -> bool:
        """Whether a loose bolt lets go of an axle or of the tow vehicle."""
        return self in (Joint.U_BOLTS, Joint.SPRINGS, Joint.COUPLER, Joint.BALL, Joint.HEAD)


JOINTS = {
    Joint.U_BOLTS: "U-bolts of an axle",
    Joint.SPRINGS: "Springs, shackles, equalizers",
    Joint.COUPLER: "Coupler",
    Joint.BALL: "Ball and ball mount",
    Joint.HEAD: "Hitch head and brackets",
    Joint.BODY: "Body, floor, tank straps",
    Joint.TIE_DOWN: "Tie-down points, deck",
    Joint.OTHER: "Something else",
}


def outward_order(count: int) -> Worked[tuple[int, ...]]:
    """Order in which bolts in a row are tightened: from the middle outward, side about.

    `count`: 1 to 24, numbered from one end, else Impossible. Source: common practice.
    """
    if not FEWEST <= count <= MOST:
        raise Impossible(f"{count} bolts cannot be", f"{FEWEST} to {MOST}")
    middle = (count + 1) / 2
    order = tuple(sorted(range(1, count + 1), key=lambda bolt: (abs(bolt - middle), bolt)))
    return Worked(
        name="tightening order",
        value=order,
        says=" ".join(map(str, order)),
        formula="from the middle of the row outward",
        inputs=(Input("bolts", str(count)),),
        source=COMMON_PRACTICE,
        caution=CLEAN_AND_DRY,
    )


def bolt_torque(
    readings: Mapping[str, Decimal | None],
    figure: TorqueRange,
    joint: Joint,
    deviation: Decimal = FINE_DEVIATION,
) -> Worked[Mapping[str, Grade]]:
    """Each bolt's grade by its name, and the joint's verdict; a bolt without reading is unseen.

    Under the low end: do not tow where the joint holds axle or tow vehicle, else needs work before towing.
    Over the high end by more than the wrench may be off: needs work. `readings`: at least one, each above 0,
    else Impossible. Source: the part's maker; common practice for the grades.
    """
    if not readings:
        raise Impossible("There is no bolt", "at least one")
    graded = {name: _graded(reading, figure, deviation) for name, reading in readings.items()}
    return Worked(
        name="bolt torque",
        value=graded,
        says=f"{len(graded)} bolts, {figure}",
        unit=figure.unit,
        formula="every bolt between the low and the high end; the wrench may be off by d",
        inputs=(
            *(Input(name, "none" if r is None else f"{r:f}") for name, r in readings.items()),
            Input("d", says(100 * deviation, "percent")),
        ),
        source=COMMON_PRACTICE,
        limit=str(figure),
        verdict=_joint(graded, figure, joint),
        caution=CLEAN_AND_DRY,
    )


def _graded(reading: Decimal | None, figure: TorqueRange, deviation: Decimal) -> Grade:
    if reading is None:
        return Grade.UNSEEN
    if reading <= 0:
        raise Impossible("A torque cannot be 0 or less", f"such as {with_unit('75', figure.unit)}")
    return torque_grade(reading, figure, deviation)


def _joint(graded: Mapping[str, Grade], figure: TorqueRange, joint: Joint) -> Verdict:
    grade = min(graded.values(), key=HEAVIEST_FIRST.index)
    which = ", ".join(name for name, each in graded.items() if each is grade)
    if grade is Grade.SOUND:
        return Verdict(grade, f"All {len(graded)} inside {figure}")
    if grade is Grade.DNT:
        return _loose(f"{which}: under {figure}", joint)
    if grade is Grade.NEEDS:
        return Verdict(grade, f"{which}: over {figure}, slacken and tighten anew", By.TOWING)
    if grade is Grade.UNSEEN:
        return Verdict(grade, f"{which}: without a reading")
    return Verdict(grade, f"{which}: so near an end of {figure} that the wrench cannot tell which side of it")


def _loose(found: str, joint: Joint) -> Verdict:
    return Verdict(Grade.DNT, found) if joint.holds_the_tow else Verdict(Grade.NEEDS, found, By.TOWING)


def moved_verdict(moved: Collection[str], moved_before: Collection[str], joint: Joint) -> Verdict:
    """What a check round or retorque visit means, by the names of the bolts that moved, now and last time.

    Moved: another round before towing. Moved twice running: do not tow before thread, seat and hole are
    looked at, where the joint holds axle or tow vehicle. Source: common practice.
    """
    if twice := sorted(set(moved) & set(moved_before)):
        return _loose(f"{', '.join(twice)} moved twice running: look at thread, seat and hole", joint)
    if moved:
        return Verdict(Grade.NEEDS, f"{', '.join(sorted(moved))} moved: go round once more", By.TOWING)
    return Verdict(Grade.SOUND, "no bolt moved")


def thread_shown(shortest: Quantity) -> Worked[Decimal]:
    """Thread beyond the nut of a U-bolt over the least, in inches; at least 0. Source: COMAR 11.14.05.03."""
    found = not_negative("Thread", shortest, "in")
    short = Verdict(Grade.NEEDS, f"{shortest} of thread beyond a nut, under 1/4 in", By.TOWING)
    return Worked(
        name="thread beyond the nut",
        value=found - THREAD_LEAST,
        says=f"at least {shortest}",
        unit="in",
        formula="shortest thread beyond its nut − 1/4 in",
        inputs=(Input("shortest thread", str(shortest)),),
        limit="at least 1/4 in",
        verdict=short if found < THREAD_LEAST else Verdict(Grade.SOUND, f"{shortest} beyond every nut"),
        source=THREAD_RULE,
        caution="U-bolts that were tightened once are not used again.",
    )


def question_bolt(field: str, torque: Quantity) -> list[Problem]:
    """What to ask about a bolt's torque: outside 3 to 600 lbf·ft is unlikely, 0 or less impossible.

    Source: common practice.
    """
    if torque.value <= 0:
        return [Problem(field, "A torque cannot be 0 or less", "a torque such as 75 lbf·ft")]
    low, high = USUAL_LBF_FT
    if low <= torque.to("lbf_ft") <= high:
        return []
    return [Problem(field, f"{torque} is unusual for a bolt here", "3 to 600 lbf·ft", ask=True)]

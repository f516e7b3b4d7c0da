"""What is decided after a unit has left: the verdict of a retorque visit, a follow-up that is done. Pure.

A follow-up clears no finding: it says that what the handover asked for was done, by whom, when.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from app.bench.kinds import Context, Judged, Payload, Used, heaviest_of, read_tool, used
from app.bench.torques import WRENCH, outside_range, read_torque
from app.handover.rules import Registered
from app.trade.fasteners import (
    RETORQUE_MILES,
    TorqueRange,
    question_torque,
    retorque_schedule,
    retorque_verdict,
)
from app.trade.figure import By, Grade, Verdict
from app.trade.problems import Problem, Refused
from app.trade.quantity import Quantity, read_number, with_unit
from app.trade.typed import Reader, Typed

NUTS = "nuts"
TIRES = "tires"
TO_REGISTER = "Give the owner the makers' registration form of the new tires, or send it for them"
REGISTER_DAYS = 30  # for a registration that the shop sends: 49 CFR 574.8, from memory
MOST_MILES = Decimal(200)  # a first retorque after more than this is asked about: common practice
NONE_MOVED, SOME_MOVED = "none", "moved"


@dataclass(frozen=True)
class Wheel:
    """A wheel whose nuts were tightened on this stay. `low`, `high`: the figure as typed.

    `moved_before`: the nuts that moved when it was gone round last.
    """

    place: str
    label: str
    studs: int
    low: str
    high: str
    unit: str
    moved_before: tuple[int, ...] = ()

    @property
    def figure(self) -> TorqueRange:
        """What the wrench is to be set to."""
        return TorqueRange(read_number(self.low), read_number(self.high), self.unit)

    @property
    def nuts(self) -> range:
        """The numbers of its nuts."""
        return range(1, self.studs + 1)


class WheelSeen(Payload):
    """One wheel gone round: the nuts that turned before the wrench gave, now and the time before."""

    place: str
    label: str
    figure: str
    moved: tuple[int, ...] = ()
    moved_before: tuple[int, ...] = ()


class Visit(Payload):
    """A retorque visit as typed. `miles`: driven since the handover, in `distance_unit`."""

    miles: str
    distance_unit: str
    torque: str
    torque_unit: str
    wheels: tuple[WheelSeen, ...]
    instrument: Used

    @property
    def driven(self) -> Decimal:
        """Miles driven since the handover."""
        return Quantity(self.miles, self.distance_unit).to("mi")

    @property
    def set_to(self) -> str:
        """What the wrench was set to, with its unit."""
        return with_unit(self.torque, self.torque_unit)


def read_visit(typed: Typed, wheels: Sequence[Wheel], context: Context) -> Visit:
    """The visit that stands in a form; raises Refused with every problem.

    Each wheel is answered: no nut moved, or which ones. `context`: the instruments, and the day.
    """
    form = Reader(typed)
    unit = wheels[0].unit if wheels else "lbf_ft"
    driven = _distance(form)
    tool = read_tool(form, context, (WRENCH,))
    torque = read_torque(form, "torque", unit, question_torque)
    if not torque:
        form.wrong("torque", "What the wrench was set to is missing", "the wheel's figure, such as 110")
    outside = outside_range(form, [("torque", torque)] if torque else [], unit, tool)
    seen = tuple(_wheel(form, wheel) for wheel in wheels)
    form.done()
    assert tool is not None
    return Visit(
        miles=driven,
        distance_unit=_distance_unit(typed),
        torque=torque,
        torque_unit=unit,
        wheels=seen,
        instrument=used(tool, context, sorted(outside)),
    )


def _distance_unit(typed: Typed) -> str:
    return "km" if typed.get("distance_unit") == "km" else "mi"


def _distance(form: Reader) -> str:
    driven = form.number("miles", least="0", most="100000", required="The distance driven is missing")
    if driven is None:
        return form.raw("miles")
    if Quantity(form.raw("miles"), _distance_unit(form.typed)).to("mi") > MOST_MILES:
        form.ask("miles", "That is far for a first retorque", f"at most {MOST_MILES} miles as a rule")
    return form.raw("miles")


def _wheel(form: Reader, wheel: Wheel) -> WheelSeen:
    field = f"wheel-{wheel.place}"
    moved = tuple(nut for nut in wheel.nuts if form.yes(f"{field}-{nut}"))
    said = form.raw(field)
    if said == SOME_MOVED and not moved:
        form.wrong(field, f"{wheel.label}: which nuts moved is missing", "each nut that moved, ticked")
    elif said == NONE_MOVED and moved:
        form.wrong(field, f"{wheel.label}: no nut moved, and nuts are ticked", "one of the two")
    elif said not in (NONE_MOVED, SOME_MOVED):
        form.wrong(field, f"{wheel.label} is not answered", "no nut moved, or which ones")
    return WheelSeen(
        place=wheel.place,
        label=wheel.label,
        figure=str(wheel.figure),
        moved=moved,
        moved_before=wheel.moved_before,
    )


def judge_visit(visit: Visit, wheels: Sequence[Wheel], miles: tuple[int, ...] = RETORQUE_MILES) -> Judged:
    """The heaviest wheel decides: sound where no nut moved and the wrench was at every wheel's figure.

    A nut that moved: go round once more before towing; moved twice running: do not tow. `miles`: the shop's
    retorques. Source: common practice.
    """
    by_place = {wheel.place: wheel for wheel in wheels}
    verdicts = [_verdict(seen) for seen in visit.wheels]
    verdicts += [_set_wrong(visit, by_place[seen.place]) for seen in visit.wheels if seen.place in by_place]
    return Judged(heaviest_of(verdicts), (retorque_schedule(miles),))


def _verdict(seen: WheelSeen) -> Verdict:
    found = retorque_verdict(seen.moved, seen.moved_before)
    return (
        found if found.grade is Grade.SOUND else Verdict(found.grade, f"{seen.label}: {found.says}", found.by)
    )


def _set_wrong(visit: Visit, wheel: Wheel) -> Verdict:
    at, figure = read_number(visit.torque), wheel.figure
    if figure.low <= at <= figure.high:
        return Verdict(Grade.SOUND, "No nut moved")
    says = f"{wheel.label}: the wrench was set to {visit.set_to}, the figure is {figure}"
    return Verdict(Grade.NEEDS, says, By.TOWING)


def reached(visit: Visit, due: Mapping[int, int | None]) -> list[int]:
    """Keys of the follow-ups that a sound visit does: those whose miles are driven. `due`: miles by key."""
    return [key for key, miles in due.items() if miles is None or miles <= visit.driven]


def next_retorque(driven: Decimal, miles: tuple[int, ...] = RETORQUE_MILES) -> int | None:
    """Miles of the next retorque after a distance driven; None after the last. `miles`: the shop's."""
    return next((each for each in miles if each > driven), None)


# A follow-up that is done


class DoneHow(StrEnum):
    """How a follow-up came to be done."""

    HERE = "here"
    ELSEWHERE = "elsewhere"
    DROPPED = "dropped"
    GIVEN = "given"
    MAILED = "mailed"
    ONLINE = "online"

    @property
    def word(self) -> str:
        """As the pages say it."""
        return {
            DoneHow.HERE: "Done in this shop",
            DoneHow.ELSEWHERE: "Done elsewhere, as the owner says",
            DoneHow.DROPPED: "No longer needed",
        }.get(self) or Registered(self.value).word


USUAL_WAYS = (DoneHow.HERE, DoneHow.ELSEWHERE, DoneHow.DROPPED)
WAYS = {
    NUTS: (DoneHow.ELSEWHERE, DoneHow.DROPPED),
    TIRES: (DoneHow.GIVEN, DoneHow.MAILED, DoneHow.ONLINE, DoneHow.ELSEWHERE, DoneHow.DROPPED),
}


def ways_of(kind: str) -> tuple[DoneHow, ...]:
    """The ways in which a follow-up of a kind is done; nuts tightened here are a visit with its readings."""
    return WAYS.get(kind, USUAL_WAYS)


@dataclass(frozen=True)
class DoneSaid:
    """That a follow-up is done: how, on which day, and the words that say so."""

    how: DoneHow
    on: date
    says: str


def read_done(typed: Typed, *, kind: str, handed_over: date, today: date) -> DoneSaid:
    """What a form says of a follow-up of a kind; raises Refused with every problem."""
    form = Reader(typed)
    how = form.choice("how", DoneHow, required="How it was done is missing", accepts="one of the list")
    on = form.day("on", required="The day is missing")
    says = form.text("says", required="Who says so, and what was done, is missing", most=200)
    if kind == NUTS and how is DoneHow.HERE:
        form.wrong("how", "Nuts tightened here need their readings", "a retorque visit")
    elif how is not None and how not in ways_of(kind):
        form.wrong("how", "This is not done so", "one of the list")
    if on is not None and not handed_over <= on <= today:
        form.wrong("on", "The day lies outside the time since the handover", "from the handover to today")
    form.done()
    assert how is not None
    assert on is not None
    return DoneSaid(how, on, says)


def check_wheels(wheels: Iterable[Wheel]) -> None:
    """Raise Refused where no wheel of this stay has a torque record to go by."""
    if not list(wheels):
        says = "No wheel has a torque record on this stay"
        raise Refused([Problem("", says, "a new work order, with the wheels' torque as its record")])


def kept(payload: Mapping[str, Any]) -> Visit:
    """A visit as the book keeps it, read back."""
    return Visit.model_validate(payload)

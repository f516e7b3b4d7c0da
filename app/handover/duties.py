"""What the owner must do, by when: event-bound duties first, then the dated ones.

Pure. Retorque distances and service intervals come from the trade; terms are common practice.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.handover.rules import Fitness, NotFit, Thing, listed
from app.trade.dates import Month
from app.trade.fasteners import RETORQUE_MILES, miles_said
from app.trade.figure import By, Grade
from app.trade.intervals import BEARINGS, next_due

TODAY = "Today"  # the event of a duty that falls due as the unit leaves
SOON_DAYS, SOON_MILES = 30, 500  # needs work, soon: common practice
BEDDING_MILES = 200  # new linings and drums settle: common practice
BOLT_MILES = 100  # U-bolts and shackles after work on them, looked at by then: common practice


@dataclass(frozen=True)
class Duty:
    """One thing to do. `when`: in words, first on its line. `on`: a day, `miles`: distances, if it has any.

    `rank`: order among the duties that are bound to an event and not to a day.
    """

    when: str
    what: str
    on: date | None = None
    miles: tuple[int, ...] = ()
    rank: int = 0


@dataclass(frozen=True)
class Done:
    """What was done to the unit that falls due again.

    `nuts`: the figure that wheel nuts were tightened to, None where no wheel was touched, "" where unknown;
    `retorques`: the miles after which that is done again.
    `linings`: linings or drums were renewed.
    `cylinders`: name and last month of use of each gas cylinder whose date was read.
    """

    nuts: str | None = None
    bolts: bool = False
    linings: bool = False
    bearings: bool = False
    cylinders: tuple[tuple[str, Month], ...] = ()
    retorques: tuple[int, ...] = RETORQUE_MILES


def duties(things: Iterable[Thing], found: Fitness, done: Done, on: date) -> tuple[Duty, ...]:
    """What falls due after a unit has left on a day: bound to an event first, then by date."""
    known = list(things)
    made = [
        *_carried(found),
        *(duty for thing in known if not _told_by_cylinder(thing, done) for duty in _of_thing(thing, on)),
        *_unseen(known),
        *_of_work(done, on),
    ]
    return tuple(sorted(made, key=lambda duty: (duty.on or date.min, duty.rank)))


def _carried(found: Fitness) -> Iterator[Duty]:
    if isinstance(found, NotFit):
        yield Duty(TODAY, "Move it only on a carrier, its wheels off the road.", rank=0)
        yield Duty("Before any towing", "Have each fault above put right, then looked at again.", rank=1)


def _told_by_cylinder(thing: Thing, done: Done) -> bool:
    """Whether a watch only repeats the last day on which a cylinder may be refilled."""
    last_days = {name: last.last for name, last in done.cylinders}
    return thing.grade is Grade.WATCH and thing.until is not None and last_days.get(thing.name) == thing.until


def _of_thing(thing: Thing, on: date) -> Iterator[Duty]:
    if thing.grade is Grade.NEEDS and thing.by is By.TOWING:
        yield Duty("Before you tow", f"Have it put right: {thing.name}.", rank=2)
    elif thing.grade is Grade.NEEDS and thing.by is By.USE:
        yield Duty("Before you use it", f"{thing.name}. {_shut(thing)}", rank=3)
    elif thing.grade is Grade.NEEDS:
        day = on + timedelta(days=SOON_DAYS)
        yield Duty("", f"Have it put right, or after {SOON_MILES} miles: {thing.name}.", day, (SOON_MILES,))
    elif thing.grade is Grade.WATCH:
        yield _watched(thing)


def _shut(thing: Thing) -> str:
    return (
        "It is shut off and tagged until it is put right." if thing.closed_off else "Do not use it as it is."
    )


def _watched(thing: Thing) -> Duty:
    miles = (thing.until_miles,) if thing.until_miles else ()
    if thing.until is None:
        when = f"{miles[0]:,} miles" if miles else "Your next visit"
        return Duty(when, f"Have it measured again: {thing.name}.", None, miles, rank=6)
    also = f", or after {miles[0]:,} miles" if miles else ""
    return Duty("", f"Have it measured again{also}: {thing.name}.", thing.until, miles)


def _unseen(things: Sequence[Thing]) -> Iterator[Duty]:
    unseen = [it.name for it in things if it.grade is Grade.UNSEEN and it.must_see]
    if unseen:
        yield Duty("Your next visit", f"Let us see what we could not: {listed(unseen)}.", rank=7)


def _of_work(done: Done, on: date) -> Iterator[Duty]:
    if done.nuts is not None:
        yield Duty(miles_said(done.retorques), _retorque(done.nuts), None, done.retorques, rank=4)
    if done.bolts:
        yield Duty(
            "50 to 100 miles", "Have U-bolts and shackle bolts looked at again.", None, (BOLT_MILES,), rank=5
        )
    if done.linings:
        what = "Have the brakes adjusted again: new linings and drums settle."
        yield Duty(f"{BEDDING_MILES} miles", what, None, (BEDDING_MILES,), rank=5)
    if done.bearings:
        yield _bearings(on)
    for name, last in done.cylinders:
        if last.last >= on:
            yield Duty("", f"Last day on which it may be refilled: {name}.", last.last)


def _retorque(figure: str) -> str:
    to = f" to {figure}" if figure else ""
    return f"Have every wheel nut tightened{to}. A nut that moves twice: stop and call us."


def _bearings(on: date) -> Duty:
    due = next_due(on, BEARINGS).value
    miles = int(due.at_miles or 0)
    what = f"Have the wheel bearings cleaned, greased and set, or after {miles:,} miles."
    return Duty("", what, due.on, (miles,))

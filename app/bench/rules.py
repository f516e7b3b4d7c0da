"""What the bench decides: which records a work asks for, whether a job is proved, what clears a finding.

Evidence closes findings, not ticks. Where the shop has two people, the one who did the work never clears a
do-not-tow finding.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import Protocol, TypeVar

from app.inspection.places import CORNERS, OF_WORD, SPARE, Place, UnitShape, label_of
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.quantity import UNITS, read_number
from app.trade.typed import Reader, Typed

SHORTEST_REASON = 10
REASON_ACCEPTS = "why, in a sentence that the owner may read"
SHOWN_BY = "a finished job with its records, a second look by another person, or a lead's reason"
ON_THE_JOB = "the same done on the page of the job, which is linked here"
WHOLE_UNIT = Place("unit", "Whole unit", 0)
AGAIN = "Done again."  # how the correction of a record begins that was measured anew


# Which records


@dataclass(frozen=True)
class Asked:
    """One record that a job must have: its kind and where. `known`: whether the kind has a form."""

    kind: str
    place: str
    label: str
    known: bool


def asked_of(
    kinds: Sequence[str], per: Mapping[str, str], shape: UnitShape, where: Collection[str]
) -> tuple[Asked, ...]:
    """The records that a work asks for, kind by kind, in the order of the kit, then from front to rear.

    `per`: what one record of a known kind is about; kinds that it does not name have no form yet.
    `where`: places of the work and of the findings that it answers; none: the whole unit.
    """
    return tuple(
        Asked(kind, place.key, place.label, kind in per)
        for kind in dict.fromkeys(kinds)
        for place in (places_of(per[kind], shape, where) if kind in per else (WHOLE_UNIT,))
    )


def places_of(per: str, shape: UnitShape, where: Collection[str]) -> tuple[Place, ...]:
    """The places where a kind is measured: those of the unit that the work touches.

    `per`: wheel, tire, hub, axle, place or unit. A work on an axle touches both its ends, a work on the
    whole unit or at a place of another sort touches all. The spare only where it is named; work at the
    spare alone touches no wheel, hub or axle of the road.
    """
    if per == "unit":
        return (WHOLE_UNIT,)
    if per == "place":
        named = tuple(Place(key, label_of(key), 0) for key in where if key != WHOLE_UNIT.key)
        return named or (WHOLE_UNIT,)
    every = tuple(OF_WORD[per](shape))
    touched = tuple(place for place in every if any(_touches(key, place.key) for key in where))
    if not touched and {*where} - {WHOLE_UNIT.key} == {SPARE.key}:
        return (SPARE,) if per == "tire" else ()  # bought, perhaps, for a unit that came without one
    return touched or tuple(place for place in every if place != SPARE) or (WHOLE_UNIT,)


def _touches(where: str, place: str) -> bool:
    """Whether work at one place touches another: same corner, end of the same axle, wheel of that side."""
    if where == place:
        return True
    here, there = where.split("-"), place.split("-")
    if here[0] in CORNERS and there[0] in CORNERS:
        return here[1:3] == there[1:3] and (len(here) < 4 or len(there) < 4 or here[3] == there[3])
    if "axle" in (here[0], there[0]):
        return len(here) > 1 and len(there) > 1 and here[1] == there[1] and _axled(here) and _axled(there)
    sides = {"road": "left", "curb": "right"}
    return here[0] == "side" and there[0] in CORNERS and sides.get(here[-1]) == there[2]


def _axled(parts: Sequence[str]) -> bool:
    return parts[0] in (*CORNERS, "axle")


# Whether a job is proved


@dataclass(frozen=True)
class Stood:
    """A record that stands, the newest of its chain: kind, place, inside its limits or not, and its words."""

    kind: str
    place: str
    inside: bool
    says: str


def lacking(asked: Sequence[Asked], records: Sequence[Stood], titles: Mapping[str, str]) -> tuple[str, ...]:
    """What is missing before the records prove the work, one sentence each; empty where they do."""
    stands = {(each.kind, each.place): each for each in records}
    return tuple(
        says
        for each in asked
        if (says := _lack(each, stands.get((each.kind, each.place)), titles[each.kind]))
    )


def _lack(asked: Asked, found: Stood | None, title: str) -> str:
    if not asked.known:
        return f"{title} has no form here yet: a lead accepts it in writing, or a second look shows it"
    if found is None:
        return f"{title}, {asked.label}: not measured yet"
    return "" if found.inside else f"{title}, {asked.label}: {found.says}"


def why_not_agreed(answer: str, lapsed: str) -> str:
    """Why a work may not be worked on, a sentence without its full stop; empty where the owner agreed to it.

    `answer`: the owner's latest, empty where there is none. `lapsed`: why a yes covers it no longer.
    """
    if answer == "yes":
        return lapsed
    said = {"no": "The owner said no to this work", "later": "The owner puts this work off"}
    return said.get(answer, "The owner has not agreed to this work")


def check_agreed(*, answer: str, lapsed: str) -> None:
    """Raise Refused where the owner's word does not cover a work, with the reason."""
    if says := why_not_agreed(answer, lapsed):
        raise Refused([Problem("", says, "work that the owner agreed to, at what it costs now")])


def check_hold(number: int, *, unsigned: Collection[int], signed: Collection[int]) -> None:
    """Raise Refused where a step lies beyond a hold point that nobody signed, or was signed itself."""
    waits = min(unsigned, default=number)
    if waits < number:
        says = f"Step {waits} waits for a second person"
        raise Refused([Problem("step", says, "their signature at it before the work goes on")])
    if number in signed:
        raise Refused([Problem("step", f"Step {number} is signed by a second person", "steps after it")])


def check_finish(*, lacks: Sequence[str], accepted: bool, finished: bool) -> None:
    """Raise Refused where a job may not be finished: with every record that is missing or outside."""
    if finished:
        raise Refused([Problem("", "This job is finished already", "a correction of its records")])
    if lacks and not accepted:
        accepts = "records inside their limits, or a lead's acceptance in writing"
        raise Refused([Problem("", says, accepts) for says in lacks])


def read_reason(typed: Typed, field: str = "reason") -> str:
    """The reason that stands in a form, at least 10 characters; raises Refused."""
    read = Reader(typed)
    reason = read.text(field, required="The reason is missing", most=400)
    check_reason(read, field, reason)
    read.done()
    return reason


def check_reason(read: Reader, field: str, reason: str) -> None:
    """Note a reason that is too short to say anything."""
    if reason and len(reason) < SHORTEST_REASON:
        read.wrong(field, "This reason is too short", REASON_ACCEPTS)


def read_correction(typed: Typed) -> str:
    """Why a record supersedes another: gone round again, or what was typed wrongly; raises Refused."""
    read = Reader(typed)
    kind = read.raw("correction-kind")
    if kind not in ("again", "typing"):
        read.wrong("correction-kind", "Say why this record replaces the other", "done again, or put right")
    words = read.text("correction", most=200)
    if kind == "typing":
        if not words:
            read.wrong("correction", "The reason is missing", "what was wrong in the record that stands")
        check_reason(read, "correction", words)
        if words.startswith(AGAIN):  # else a slip of the pen would count as a newer measurement
            read.wrong("correction", "That is said of what was measured anew", "done again, as the kind")
    read.done()
    return words if kind == "typing" else f"{AGAIN} {words}".strip()


# What clears a finding


class Graded(Protocol):
    """Whatever has a grade: a finding, a look."""

    @property
    def grade(self) -> Grade:
        """The grade."""


AnyLook = TypeVar("AnyLook", bound=Graded)


def counting(looks: Sequence[AnyLook]) -> list[AnyLook]:
    """Those of all looks at one check and place that count: unseen only where nobody ever looked.

    Bench, yard and handover ask here alike, so that a thing seen in a second look is open in none of them.
    """
    return [look for look in looks if look.grade is not Grade.UNSEEN] or list(looks)


class How(StrEnum):
    """How a finding is cleared."""

    RECORD = "record"
    SECOND_LOOK = "second look"
    LEAD = "lead"
    OWN_WORK = "own work"  # a lead who did the work overrules that another person clears it

    @property
    def by_job(self) -> bool:
        """Whether a finished job with its records is the evidence."""
        return self in (How.RECORD, How.OWN_WORK)

    @property
    def by(self) -> str:
        """By what or whom a finding is cleared so, in words."""
        return BY[self]


BY = {
    How.RECORD: "by a finished job with its records inside their limits",
    How.SECOND_LOOK: "by a second look",
    How.LEAD: "by a lead, without record or second look",
    How.OWN_WORK: "by the lead who did the work, with its records; no other person cleared it",
}


@dataclass(frozen=True)
class Evidence:
    """What somebody offers to clear a finding with."""

    how: How
    job_id: int | None = None
    second_look_id: int | None = None
    reason: str = ""


@dataclass(frozen=True)
class Fault:
    """A finding as it is to be cleared: graded, not sound; `workers`: all who worked on it.

    `looked`: number in the book of the look that graded it, 0 where nobody has looked.
    """

    id: int
    check: str
    place: str
    grade: Grade
    looked_by: int | None
    looked: int
    workers: frozenset[int]
    cleared: bool = False


@dataclass(frozen=True)
class Proof:
    """A job offered as evidence: which findings it answers, what its records lack.

    `finished`: number in the book of the act that finished it, 0 while it is not.
    `beside`: findings that it answers though its records do not hold what any kit of their check asks for.
    `read`: number in the book of the oldest measurement that stands for each finding; 0 where none does.
    """

    finished: int
    answers: frozenset[tuple[str, str]]
    lacks: tuple[str, ...]
    measured: bool
    beside: frozenset[tuple[str, str]] = frozenset()
    read: Mapping[tuple[str, str], int] = field(default_factory=dict)


@dataclass(frozen=True)
class Look:
    """A second look offered as evidence; `looked`: its number in the book, 0 where nobody has looked."""

    check: str
    place: str
    grade: Grade
    second: bool
    looked_by: int | None
    looked: int


@dataclass(frozen=True)
class Clearer:
    """Who clears: key, whether a lead, whether nobody else works here."""

    person: int
    lead: bool
    alone: bool


def read_evidence(typed: Typed) -> Evidence:
    """The evidence that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    how = read.choice("how", How, required="Choose what shows that it is put right", accepts=SHOWN_BY)
    job = read.whole("job", least=1, most=2**53) if how and how.by_job else None
    look = read.whole("second_look", least=1, most=2**53) if how is How.SECOND_LOOK else None
    reason = read.text("reason", most=400)
    if how and how.by_job and job is None:
        read.wrong("job", "The job is missing", "the job that put it right, of the list")
    if how is How.SECOND_LOOK and look is None:
        read.wrong("second_look", "The second look is missing", "one of the list, by another person")
    read.done()
    assert how is not None
    return Evidence(how, job, look, reason)


def check_clearance(
    fault: Fault, evidence: Evidence, who: Clearer, *, proof: Proof | None, look: Look | None
) -> None:
    """Raise Refused with everything that keeps this evidence from clearing this finding."""
    problems = [*_not_to_clear(fault), *_wrong_person(fault, evidence, who)]
    if evidence.how.by_job:
        problems += _by_record(fault, proof)
    elif evidence.how is How.SECOND_LOOK:
        problems += _by_look(fault, look, who)
    else:
        problems += _by_lead(evidence, who)
    if problems:
        raise Refused(problems)


def _not_to_clear(fault: Fault) -> list[Problem]:
    if fault.cleared:
        return [Problem("", "This finding is cleared already", "a finding that still holds")]
    if fault.grade is Grade.SOUND:
        return [
            Problem("", "This finding is sound: there is nothing to clear", "watch, needs work, do not tow")
        ]
    if fault.grade is Grade.UNSEEN:
        return [Problem("", "Nobody has looked at this yet", "a look, with its reading and grade")]
    return []


def _wrong_person(fault: Fault, evidence: Evidence, who: Clearer) -> list[Problem]:
    needs_another = fault.grade is Grade.DNT and not who.alone and who.person in fault.workers
    if evidence.how is How.OWN_WORK:
        return _overruled(evidence, who) if needs_another else [NOTHING_TO_OVERRULE]
    if needs_another:
        says = "You did this work, so another person clears the do-not-tow finding"
        return [Problem("", says, "someone who did not work on it")]
    return []


NOTHING_TO_OVERRULE = Problem(
    "how", "Nothing is to be overruled here: the record clears this finding by itself", "a finished job"
)


def _overruled(evidence: Evidence, who: Clearer) -> list[Problem]:
    if not who.lead:
        return [Problem("", "Only a lead may clear a do-not-tow finding after own work", "another person")]
    return _reason_said(evidence)


def _by_record(fault: Fault, proof: Proof | None) -> list[Problem]:
    if proof is None or (fault.check, fault.place) not in proof.answers:
        return [Problem("job", "This job does not answer the finding", "a job that was sold for it")]
    if proof.measured and (fault.check, fault.place) in proof.beside:
        says = "What this job measures does not prove this finding put right"
        return [Problem("job", says, "a job with a kit of its check, a second look, or a lead's reason")]
    if not proof.finished:
        return [Problem("job", "This job is not finished", ON_THE_JOB)]
    if not proof.measured:
        return [Problem("job", "This job has no measured record", "a second look, or a lead's reason")]
    if proof.lacks:
        return [Problem("job", says, ON_THE_JOB) for says in proof.lacks]
    if proof.finished < fault.looked:
        return [Problem("job", "The finding is newer than this job", "work done after it, or a second look")]
    if proof.read.get((fault.check, fault.place), 0) < fault.looked:
        says = "The finding is newer than what this job measured"
        return [Problem("job", says, "the same measured again after it, or a second look")]
    return []


def _by_look(fault: Fault, look: Look | None, who: Clearer) -> list[Problem]:
    if look is None or not look.second or (look.check, look.place) != (fault.check, fault.place):
        return [Problem("second_look", "This is no second look at the same place", "one of the list")]
    if look.grade not in (Grade.SOUND, Grade.WATCH):
        return [Problem("second_look", f"The second look says {look.grade.word.lower()}", "sound, or watch")]
    if not look.looked or look.looked < fault.looked:
        return [Problem("second_look", "The finding is newer than this look", "a look after it")]
    return _by_own_eyes(fault, look, alone=who.alone)


def _by_own_eyes(fault: Fault, look: Look, *, alone: bool) -> list[Problem]:
    if fault.grade is not Grade.DNT or alone:
        return []
    if look.looked_by in fault.workers:
        return [Problem("second_look", "The one who did the work looked again", "the look of another person")]
    if look.looked_by == fault.looked_by:
        return [Problem("second_look", "The same person looked twice", "the look of another person")]
    return []


def _by_lead(evidence: Evidence, who: Clearer) -> list[Problem]:
    if not who.lead:
        return [Problem("", "Only a lead may clear without record or second look", "the lead's own sign-in")]
    return _reason_said(evidence)


def _reason_said(evidence: Evidence) -> list[Problem]:
    if len(evidence.reason.strip()) < SHORTEST_REASON:
        return [Problem("reason", "The reason is missing or too short", REASON_ACCEPTS)]
    return []


@dataclass(frozen=True)
class Made:
    """The number in the book of a clearance, by whom it was made, and whether nobody else works here."""

    entry: int
    by: int
    alone: bool


def stands(made: Made, fault: Fault, evidence: Evidence, proof: Proof | None, look: Look | None) -> bool:
    """Whether a clearance still holds: the finding was not graded anew, and its evidence is still good.

    A do-not-tow finding is open again where the one who cleared it made the evidence anew afterwards, or
    where it only became do not tow later and the hands or eyes that cleared it were not enough for that.
    """
    if fault.looked > made.entry or _by_own_hands(made, fault, evidence):
        return False
    if evidence.how.by_job:
        return proof is not None and not proof.lacks and proof.measured
    if evidence.how is How.SECOND_LOOK:
        return look is not None and _still_seen(fault, look, alone=made.alone)
    return True


def _by_own_hands(made: Made, fault: Fault, evidence: Evidence) -> bool:
    by_worker = fault.grade is Grade.DNT and made.by in fault.workers and not made.alone
    return by_worker and evidence.how is not How.OWN_WORK


def _still_seen(fault: Fault, look: Look, *, alone: bool) -> bool:
    return look.grade in (Grade.SOUND, Grade.WATCH) and not _by_own_eyes(fault, look, alone=alone)


# Instruments


@dataclass(frozen=True)
class NewInstrument:
    """An instrument as a form describes one, read and found possible."""

    name: str
    kind: str
    unit: str
    least: str
    most: str
    resolution: str
    calibrated_on: date | None
    calibration_due: date | None
    active: bool


def read_instrument(typed: Typed, kinds: Collection[str]) -> NewInstrument:
    """The instrument that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    found = NewInstrument(
        name=read.text("name", required="The name is missing, as painted on the instrument", most=60),
        kind=_kind(read, kinds),
        unit=read.raw("unit"),
        least=_range_end(read, "least"),
        most=_range_end(read, "most"),
        resolution=_range_end(read, "resolution"),
        calibrated_on=read.day("calibrated_on"),
        calibration_due=read.day("calibration_due"),
        active=not read.yes("retired"),
    )
    _check_instrument(read, found)
    read.done()
    return found


def _kind(read: Reader, kinds: Collection[str]) -> str:
    if read.raw("kind") not in kinds:
        read.wrong("kind", "The kind is missing", "one of the list")
    return read.raw("kind")


def _range_end(read: Reader, field: str) -> str:
    read.number(field, least="-1000", most="1000000")
    return read.raw(field)


def _check_instrument(read: Reader, found: NewInstrument) -> None:
    if found.unit not in UNITS:
        read.wrong("unit", "This is not a unit of the list", "one of the list")
    if read.problems:
        return
    if found.least and found.most and read_number(found.least) >= read_number(found.most):
        read.wrong("most", "The range runs backwards", "the least first, such as 20 to 150")
    if (found.least or found.most) and not found.unit:
        read.wrong("unit", "A range needs its unit", "one of the list")
    if found.calibrated_on and found.calibration_due and found.calibration_due <= found.calibrated_on:
        read.wrong("calibration_due", "This is not after the calibration", "usually 12 months after it")

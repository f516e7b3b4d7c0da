"""Decisions of the walk-round: what a check's readings and sights come to, and how far a person may differ.

Pure: no book, no clock. Readings are read in `readings`, named rules stand in `named_rules`, findings that
weigh more together in `lifting`.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.inspection.catalogue import Check, Limit, Measure
from app.inspection.lifting import Found, Lifted, combined
from app.inspection.named_rules import CAN_BE_DNT, EASES_WHERE_NOT_REQUIRED, rulings_of
from app.inspection.readings import Reading, confirmed_in, read_readings
from app.inspection.ruling import Case, Policy, Ruling, UnitFacts, Weight, proposed, weight
from app.trade.figure import COMMON_PRACTICE, By, Grade, Source, Worked
from app.trade.problems import Problem, Refused
from app.trade.quantity import Quantity

__all__ = [
    "ABSENT",
    "NOTHING_SEEN",
    "Case",
    "Choice",
    "Found",
    "Judgement",
    "Lifted",
    "Policy",
    "Reading",
    "Ruling",
    "Settled",
    "Stood",
    "UnitFacts",
    "combined",
    "confirmed_in",
    "eased",
    "grade_of",
    "judge",
    "must_see",
    "read_readings",
    "settle",
    "weight",
]

ABSENT = "absent"  # among what is seen: the unit has no such thing
SPARE = "spare"
NOT_LOOKED = "not looked at yet"
NOTHING_SEEN = "looked at, nothing of the list seen"


@dataclass(frozen=True)
class Judgement:
    """What a check comes to at a place: the grade proposed, by when or until when, why, and from where.

    `worked`: the figures behind it. `floor`: the lightest grade that a person may still choose, where a
    computed law limit holds it; None where none does. `missing`: labels of required readings not taken.
    `fitted`: False where the unit has no such thing.
    """

    grade: Grade
    reason: str
    source: Source
    by: By | None = None
    until: date | None = None
    until_miles: int | None = None
    worked: tuple[Worked[object], ...] = ()
    floor: tuple[Grade, By | None] | None = None
    floor_source: Source | None = None
    missing: tuple[str, ...] = ()
    fitted: bool = True
    safety: bool = False

    @property
    def weight(self) -> Weight:
        """How heavy it is; less is heavier."""
        return weight(self.grade, self.by)


def judge(
    check: Check,
    readings: Mapping[str, Reading],
    seen: Collection[str] | None,
    facts: UnitFacts,
    day: date,
    policy: Policy | None = None,
    place: str = "unit",
) -> Judgement:
    """What a check comes to: the worst of its readings, of what is seen and of its named rule.

    `seen`: keys of the defects picked, or ABSENT; empty where one looked and saw nothing of the list, None
    where nobody has looked. A required reading not taken leaves the place unseen. A spare that would be do
    not tow is needs work before use: off or tagged, it does not hold the tow. KeyError for an unknown defect.
    """
    if seen is None and not readings:
        return Judgement(Grade.UNSEEN, NOT_LOOKED, COMMON_PRACTICE, safety=check.safety)
    if seen is not None and ABSENT in seen:
        return _not_fitted(check, day)
    case = Case(check, place, readings, facts, day, policy or Policy())
    missing = _missing(check, readings)
    found = [_as_spare(case, ruling) for ruling in _all_rulings(case, seen or (), missing)]
    return _worst(case, found, missing)


def _not_fitted(check: Check, day: date) -> Judgement:
    if check.absent is None:
        return Judgement(Grade.SOUND, "not fitted", COMMON_PRACTICE, fitted=False)
    entry = check.absent
    until = _until(proposed(entry, entry.says), day)
    return Judgement(
        entry.grade,
        entry.says,
        entry.source,
        entry.by,
        until,
        entry.until_miles,
        fitted=False,
        safety=check.safety,
    )


def _missing(check: Check, readings: Mapping[str, Reading]) -> tuple[str, ...]:
    return tuple(m.label for m in check.measures if m.required and m.key not in readings)


def _all_rulings(case: Case, seen: Collection[str], missing: tuple[str, ...]) -> Iterator[Ruling]:
    for measure in case.check.measures:
        yield from _by_limit(measure, case.readings.get(measure.key))
    for key in seen:
        yield _by_sight(case, key)
    yield from rulings_of(case)
    if missing:
        yield Ruling(Grade.UNSEEN, f"no reading yet: {', '.join(missing)}")


def _by_limit(measure: Measure, reading: Reading | None) -> list[Ruling]:
    """The ruling of the first limit that applies; none where none does."""
    if reading is None:
        return []
    read = reading.quantity
    for limit in measure.limits:
        if limit.value == reading.value if read is None else _catches(limit, read, measure.unit):
            says = f"{measure.label}: {reading}, {limit.says}"
            return [proposed(limit, says, law=limit.law)]
    return []


def _catches(limit: Limit, read: Quantity, unit: str) -> bool:
    return limit.applies_to(read.against(limit.ends, unit))


def grade_of(measure: Measure, reading: Reading | None) -> Grade:
    """The grade of one reading by its own limits: unseen where not taken, sound where none applies."""
    if reading is None:
        return Grade.UNSEEN
    return next((ruling.grade for ruling in _by_limit(measure, reading)), Grade.SOUND)


def _by_sight(case: Case, key: str) -> Ruling:
    defect = case.check.defect(key)
    ruling = proposed(defect, defect.says)
    eased = case.check.rule == EASES_WHERE_NOT_REQUIRED and not case.brakes_required
    if eased and ruling.grade is Grade.DNT:
        says = f"{ruling.says}; fitted, though the law does not ask for it"
        return replace(ruling, grade=Grade.NEEDS, by=By.TOWING, says=says)
    return ruling


def _as_spare(case: Case, ruling: Ruling) -> Ruling:
    if case.place != SPARE or ruling.grade is not Grade.DNT:
        return ruling
    says = f"{ruling.says}; spare: taken off or tagged, not to be rolled on"
    return replace(ruling, grade=Grade.NEEDS, by=By.USE, says=says)


def _worst(case: Case, found: list[Ruling], missing: tuple[str, ...]) -> Judgement:
    worst = min(found, key=lambda ruling: ruling.weight, default=_nothing_found(case))
    held = min((ruling for ruling in found if ruling.law), key=lambda ruling: ruling.weight, default=None)
    same = [ruling.says for ruling in found if ruling.weight == worst.weight] or [worst.says]
    return Judgement(
        grade=worst.grade,
        reason="; ".join(_each_once(same)),
        source=worst.source,
        by=worst.by,
        until=_until(worst, case.day),
        until_miles=worst.miles,
        worked=tuple(ruling.worked for ruling in found if ruling.worked),
        floor=(held.grade, held.by) if held else None,
        floor_source=held.source if held else None,
        missing=missing,
        safety=case.check.safety,
    )


def _each_once(says: list[str]) -> list[str]:
    """Sentences without those that another one ends with: a choice and the figure beside it say the same."""
    known = list(dict.fromkeys(says))
    return [each for each in known if not any(it != each and it.endswith(each) for it in known)]


def _nothing_found(case: Case) -> Ruling:
    read = [f"{case.check.measure(key).label}: {reading}" for key, reading in case.readings.items()]
    sources = [limit.source for measure in case.check.measures for limit in measure.limits]
    says = "; ".join(read) or NOTHING_SEEN
    return Ruling(Grade.SOUND, says, sources[0] if sources else COMMON_PRACTICE)


def _until(ruling: Ruling, day: date) -> date | None:
    return day + timedelta(days=ruling.days) if ruling.days else None


def must_see(check: Check) -> bool:
    """Whether a check has to be seen before handover: a safety check that can come to do not tow."""
    proposals = [*check.defects, *(limit for measure in check.measures for limit in measure.limits)]
    proposals += [check.absent] if check.absent else []
    named = check.rule in CAN_BE_DNT
    return check.safety and (named or any(entry.grade is Grade.DNT for entry in proposals))


@dataclass(frozen=True)
class Choice:
    """What a person chose at a check. `person` and `second`: keys of people; `photo`: one is attached."""

    grade: Grade
    by: By | None = None
    until: date | None = None
    until_miles: int | None = None
    reason: str = ""
    person: int | None = None
    second: int | None = None
    photo: bool = False


@dataclass(frozen=True)
class Settled:
    """The grade that stands in the book. `dissent`: why it is not the one proposed, empty where it is."""

    grade: Grade
    by: By | None
    until: date | None
    until_miles: int | None
    dissent: str


HEAVIER = "graded heavier by the person who looked"


def settle(judgement: Judgement, choice: Choice, day: date) -> Settled:
    """The grade that stands after a person has chosen; raises Refused with every field that stops it.

    Heavier than proposed: freely. Lighter than a computed law limit: only by a new reading. Lighter than a
    judgement: with a reason, and from do not tow also with a second person and a photo. Needs carries by,
    watch a day to come or miles. A safety check is not sound without its required readings.
    """
    until, miles = _term(judgement, choice)
    problems = [*_term_problems(choice, until, miles, day), *_dissent_problems(judgement, choice)]
    if problems:
        raise Refused(problems)
    by = choice.by if choice.grade is Grade.NEEDS else None
    return Settled(choice.grade, by, until, miles, _dissent(judgement, choice))


def _chosen(choice: Choice) -> Weight:
    return weight(choice.grade, choice.by if choice.grade is Grade.NEEDS else None)


def _term(judgement: Judgement, choice: Choice) -> tuple[date | None, int | None]:
    if choice.grade is not Grade.WATCH:
        return None, None
    if choice.until or choice.until_miles or judgement.grade is not Grade.WATCH:
        return choice.until, choice.until_miles
    return judgement.until, judgement.until_miles


def _term_problems(choice: Choice, until: date | None, miles: int | None, day: date) -> Iterator[Problem]:
    if choice.grade is Grade.NEEDS and choice.by is None:
        yield Problem("by", "Say by when it has to be put right", "before towing, before use, or soon")
    if choice.grade is Grade.WATCH and not until and not miles:
        yield Problem("until", "Say when to look again", "a day such as 2026-11-01, or miles such as 500")
    if until and until <= day:
        yield Problem("until", f"{until.isoformat()} is not ahead", f"a day after {day.isoformat()}")
    if miles is not None and miles <= 0:
        yield Problem("until", f"{miles} miles cannot be", "miles such as 500")


def _dissent_problems(judgement: Judgement, choice: Choice) -> Iterator[Problem]:
    chosen = _chosen(choice)
    nameless = choice.grade is Grade.NEEDS and choice.by is None
    if nameless or chosen <= judgement.weight:
        return
    if judgement.floor and chosen > weight(*judgement.floor):
        says = f"{judgement.floor_source} sets this limit: only a new reading makes it lighter"
        yield Problem("grade", says, f"{_grade_words(*judgement.floor)}, or a new reading")
        return  # neither reason nor second person would help
    if judgement.safety and judgement.missing and choice.grade in (Grade.SOUND, Grade.WATCH):
        yield Problem("grade", "Unseen is not sound", f"first the reading: {', '.join(judgement.missing)}")
        if judgement.grade is Grade.UNSEEN:
            return  # nothing else stands against it: no reason takes the place of the reading
    yield from _evidence_problems(judgement, choice)


def _evidence_problems(judgement: Judgement, choice: Choice) -> Iterator[Problem]:
    if not choice.reason.strip():
        yield Problem("reason", "Lighter than proposed: say why", "a sentence on what you saw")
    if judgement.grade is not Grade.DNT:
        return
    if choice.second is None or choice.second == choice.person:
        yield Problem("second", "A second person has to look too", "somebody else of the shop")
    if not choice.photo:
        yield Problem("photo", "A photo has to show it", "a photo of the place, with a scale where it helps")


@dataclass(frozen=True)
class Stood:
    """What stands at a place before it is looked at again.

    `by_itself`: how heavy it is without what others make of it. `dissent`: the reason that stands beside it.
    `own`: whether the same person looked, or nobody else works here. `ended`: whether the walk-round has.
    """

    grade: Grade
    by_itself: Weight
    dissent: str = ""
    own: bool = True
    ended: bool = False


ON_THE_ORDER = "a finished job with its records, a second look, or a lead's reason, on the work order's page"


def refuse_eased(stood: Stood, chosen: Weight) -> None:
    """Refuse a lighter grade where do not tow stands and the walk-round ended with it or another found it.

    Asked before all else that a lighter grade needs: a reason or a second person would not help.
    """
    lighter = stood.grade is Grade.DNT and chosen > stood.by_itself
    if lighter and (stood.ended or not stood.own):
        why = "The walk-round ended with do not tow here" if stood.ended else "Somebody else found do not tow"
        raise Refused([Problem("grade", f"{why}: it is cleared, not graded anew", ON_THE_ORDER)])


def eased(stood: Stood, settled: Settled, reason: str) -> str:
    """What is said of a do-not-tow finding that a new look makes lighter; empty where it makes none so.

    Raises Refused where the walk-round ended with it or somebody else found it: then evidence clears it, and
    no new look. Before that, the one who found it says what was wrong with it.
    """
    chosen = weight(settled.grade, settled.by)
    refuse_eased(stood, chosen)
    if stood.grade is not Grade.DNT or chosen <= stood.by_itself:
        return ""
    if not reason.strip() or reason.strip() == stood.dissent:
        says = "Do not tow stood here: say what was wrong with that"
        raise Refused([Problem("reason", says, "a sentence, such as: gauge misread, read again")])
    return f"do not tow stood here before: {reason.strip()}"


def _grade_words(grade: Grade, by: By | None) -> str:
    return grade.word if by is None else f"{grade.word}, {by.word}"


def _dissent(judgement: Judgement, choice: Choice) -> str:
    if _chosen(choice) == judgement.weight:
        return ""
    lighter = _chosen(choice) > judgement.weight
    return choice.reason.strip() or ("" if lighter else HEAVIER)

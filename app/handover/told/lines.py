"""What was looked at, as it stands, and how far each fault that held the tow has come."""

from collections.abc import Collection, Iterator, Sequence

from app.bench.facts import ClearanceLine, RecordLine
from app.bench.rules import How
from app.handover import record, sentences
from app.handover.kept import figures_of, proving
from app.handover.other_stays import Seen
from app.handover.stay import SETTLED, TIRES
from app.handover.told.teller import Teller, keys_of
from app.inspection.facts import FindingLine, catalogue_of
from app.inspection.rules import NOTHING_SEEN, weight
from app.trade.days import day
from app.trade.figure import By, Grade
from app.trade.letters import RUN_ON, apart, run_on
from app.trade.tin import read_tin

TIRE_DATES = ("ti.age", "ti.match")
TAKEN_OFF = "read on the tire that was taken off"
NOTHING = ("", NOTHING_SEEN)


def line_of(it: Teller, spot: Seen) -> record.Line:
    """One thing as it stands: state, readings and reason, what it was where it was cleared."""
    line, thing = spot.line, spot.thing
    cleared = thing.grade is Grade.SOUND and line.grade not in (Grade.SOUND, Grade.UNSEEN)
    found = sentences.got(line, cleared=cleared, unseen_reason=it.leaving.unseen_reason)
    if found and line.readings and _tire_changed(it, line):
        found += f"; {TAKEN_OFF}"
    return record.Line(
        finding_id=line.id,
        check=line.check,
        place=line.place,
        name=line.name,
        station=line.station,
        state=thing.grade,
        fitted=line.fitted,
        got=found or cleared_says(it, spot),
        by=thing.by,
        until=thing.until,
        until_miles=thing.until_miles,
        was=_was(it, spot),
        dissent=line.dissent,
        note=line.note if line.grade is not Grade.UNSEEN else "",
        source=line.source,
        looked_by=line.looked_by,
        looked_at=line.looked_at,
        where=_where(it, line),
        plain=_plain(spot),
    )


def _tire_changed(it: Teller, line: FindingLine) -> bool:
    """Whether what was read of a tire was read before another was fitted in its place."""
    check = catalogue_of(it.session, line.walk_id).check(line.check)
    fitted = [row.entry for row in it.stay.records if (row.kind, row.place) == (TIRES, line.place)]
    seen = check.system == "tires" and line.grade is not Grade.UNSEEN
    return seen and any(entry > line.looked_entry for entry in fitted)


def _where(it: Teller, line: FindingLine) -> str:
    """The place in words: what the name says after that of its check; empty where it begins otherwise."""
    check = catalogue_of(it.session, line.walk_id).check(line.check)
    begin = f"{check.name}, "
    return line.name.removeprefix(begin) if line.name.startswith(begin) else ""


def _plain(spot: Seen) -> bool:
    """Whether a thing is sound, not fitted or unseen, and nobody read, noted or photographed any of it."""
    return spot.thing.grade in SETTLED and not spot.clearances and all(map(_bare, spot.looks))


def _bare(look: FindingLine) -> bool:
    told = (look.photos, look.worked, look.seen, look.dissent, look.until, look.until_miles)
    if any(told) or any(reading.typed for reading in look.readings):
        return False
    if look.grade is Grade.UNSEEN:
        return True
    return look.grade is Grade.SOUND and not look.note and (not look.fitted or look.reason in NOTHING)


def _was(it: Teller, spot: Seen) -> str:
    """The heaviest fault at a spot that was cleared, and how; empty where none was."""
    if not spot.clearances:
        return ""
    keys = {each.finding_id for each in spot.clearances}
    told = min((it for it in spot.looks if it.id in keys), key=lambda look: weight(look.grade, look.by))
    how = _how(it, spot.clearances[-1])
    return f"Was {_said_as(told)}: {apart(told.reason or told.name)}. {how}"


def _said_as(look: FindingLine) -> str:
    """The grade of a look, needs work with its term."""
    word = look.grade.word.lower()
    return f"{word} {look.by.word}" if look.by else word


def _how(it: Teller, line: ClearanceLine) -> str:
    on, by, why = day(it.day_of(line.at)), apart(line.by), apart(line.reason)
    if line.how == How.LEAD:
        return f"Accepted {on} by {by}: {why}."
    if line.how == How.OWN_WORK:
        return f"Measured, cleared {on} by {by}, who did the work and not another person: {why}."
    begin = "Looked at again" if line.how == How.SECOND_LOOK else "Measured"
    return f"{begin}, cleared {on} by {by}."


def cleared_says(it: Teller, spot: Seen) -> str:
    """What the work that cleared a fault measured there; where it has no record, that it was put right.

    A fault in a tire's date is answered by the date of the new one, and not by what a figure of another
    check still watches, such as the axle's reserve, which has a line of its own.
    """
    mine = [row for row in it.stay.records if any(each.rests_on(row) for each in spot.clearances)]
    here = [row for row in mine if row.place == spot.line.place] or mine
    told = [*_dated(spot, proving(spot, it.stay.records))]
    parts = [part for row in here[:3] for part in _of_its_own(row, figures_of(spot))]
    return run_on([*told, *parts]) if told or parts else "put right"


def _of_its_own(row: RecordLine, named: Collection[str]) -> list[str]:
    """What a record says without what figures other than the named watch; what they find sound instead."""
    verdicts = [(str(each.get("name")), each["verdict"]) for each in row.worked if each.get("verdict")]
    others = {it["says"].lower() for name, it in verdicts if name not in named and it["grade"] == Grade.WATCH}
    left = [part for part in row.says.split(RUN_ON) if part.lower() not in others]
    return left or [str(it["says"]) for _, it in verdicts if it["grade"] == Grade.SOUND]


def _dated(spot: Seen, records: Sequence[RecordLine]) -> Iterator[str]:
    """The date code of each new tire where the fault was in the date of the old one."""
    for row in records if spot.line.check in TIRE_DATES else ():
        code = read_tin(str(row.payload["tin"]), row.made_at.date()).date if row.kind == TIRES else None
        if code:
            yield f"new tire, date code {code.digits} ({code})"


def threads(it: Teller) -> Iterator[record.Thread]:
    """The faults that held the tow, each with the days on which it was found, priced ... cleared."""
    for spot in it.stay.spots:
        held = [look for look in spot.looks if look.grade is Grade.DNT or look.by is By.TOWING]
        if held:
            yield _thread(it, spot, held[0])


def _thread(it: Teller, spot: Seen, first: FindingLine) -> record.Thread:
    works = [key for key, found in it.by_work.items() if keys_of(spot) & set(found)]
    jobs = [it.stay.jobs[key] for key in works if key in it.stay.jobs]
    agreed = [word for key in works if (word := it.stay.words.get(key)) and word.answer == "yes"]
    rows = [row for row in it.stay.records if row.job_id in {job.key for job in jobs}]
    rows += [row for row in it.stay.records if any(row.id in each.lent for each in spot.clearances)]
    priced = [work.created_at for key, work in it.works.items() if key in works]
    return record.Thread(
        what=f"{first.name}: {apart(first.reason)}" if first.reason else first.name,
        found=it.day_of(first.looked_at),
        priced=it.day_of(min(priced, default=None)),
        agreed=it.day_of(max((word.said_at for word in agreed), default=None)),
        done=it.day_of(max((job.finished_at for job in jobs if job.finished_at), default=None)),
        measured=it.day_of(max((row.made_at for row in rows), default=None)),
        cleared=it.day_of(spot.clearances[-1].at) if spot.clearances else None,
        says=cleared_says(it, spot) if spot.clearances else "",
    )

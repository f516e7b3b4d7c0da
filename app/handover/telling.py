"""The record of a handover, told from every room: what was looked at, done, measured, left, its cost."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import Session, col, select

from app.bench.facts import ClearanceLine, RecordLine
from app.bench.rules import How
from app.bench.tables import Job
from app.estimate.facts import OwnersWord
from app.estimate.rows import as_line, findings_by_work, lines_of, newest_revision, works_of
from app.estimate.sums import sums
from app.estimate.tables import Answer, Consent, Work, WorkLine
from app.ground import people
from app.ground.receipts import head as newest_hash
from app.ground.shop import settings_of, shop_of
from app.ground.tables import Photo
from app.ground.words import day, local, moment
from app.handover import record, sentences
from app.handover.duties import Done, Duty, duties
from app.handover.rules import (
    DONE,
    NOT_FITTED,
    Fitness,
    Leaves,
    Leaving,
    NotFit,
    Stop,
    Thing,
    fitness,
    in_the_way,
    items_of,
    with_initials,
)
from app.handover.stay import Seen, Stay
from app.inspection.facts import FindingLine
from app.intake.facts import unit_of
from app.trade.dates import Month, read_month
from app.trade.figure import HEAVIEST_FIRST, By, Grade, plain
from app.trade.quantity import UNITS, read_number, with_unit

MOST_PHOTOS = 24
WHEELS = {"wheel_torque", "tires_fitted", "balance", "bearing_adjustment"}  # the wheel was off
MONTH = re.compile(r"\d{2}-\d{4}")
HOT_HUBS = "c11"
ANSWERS = {DONE: "looked at", NOT_FITTED: "not fitted"}
CYLINDER_DATE = "lp.date"
LAST_USE = "requalification due"
DEFERS = (
    "Local law decides who may work on gas, brakes and electrics.",
    "Where it asks for a licensed or qualified person, let nobody else do it.",
)
DANGER_FIRST = ("DANGER", "WARNING", "CAUTION", "NOTICE")


@dataclass(frozen=True)
class Teller:
    """What telling needs: the session, the stay, how it leaves, when, by whom."""

    session: Session
    stay: Stay
    leaving: Leaving
    at: datetime
    person: int
    number: str
    issue: int
    zone: str
    names: Mapping[int, str]

    def day_of(self, at: datetime | None) -> date | None:
        """The day of an instant in the shop's zone."""
        return local(at, self.zone).date() if at else None

    @property
    def stops(self) -> tuple[Stop, ...]:
        """What keeps it off the road: faults, else what was not done; empty where it is fit."""
        things = with_initials(self.stay.things, self.leaving.initials or {})
        found = fitness(things, walked=self.stay.walked)
        return found.stops if isinstance(found, NotFit) else in_the_way(Leaves.TOWED, found, self.stay.bench)


def record_of(
    session: Session, stay: Stay, leaving: Leaving, *, at: datetime, person: int, number: str, issue: int
) -> record.Record:
    """Everything that the handover of a stay says, at an instant, handed by a person."""
    shop = shop_of(session)
    it = Teller(session, stay, leaving, at, person, number, issue, shop.zone, people.names(session))
    unit = unit_of(session, stay.head.order_id)
    stops = it.stops
    found = NotFit(stops) if stops else fitness(_things(it), walked=True)
    photos, more = _photos(it)
    return record.Record(
        shop=record.Shop(
            name=shop.name, address=shop.address, phone=shop.phone, zone=shop.zone, currency=shop.currency
        ),
        tag=_tag(it),
        order_number=stay.head.order_number,
        vin=unit.vin,
        owner=stay.head.owner,
        handed=_handed(it, fit=not stops),
        answer=tuple(_answer(it, found, _gvwr(unit.gvwr, unit.gvwr_unit))),
        stops=tuple(record.Stopping(state=stop.grade, says=stop.says) for stop in stops),
        duties=tuple(_duty(each) for each in duties(_things(it), found, _done(it), _today(it))),
        works=tuple(_works(it)),
        cost=_cost(it),
        lines=tuple(_line(it, spot) for spot in stay.spots),
        left=tuple(_left(it)),
        threads=tuple(_threads(it)),
        measured=tuple(_measured(it)),
        figures=tuple(_figures(it)),
        photos=photos,
        photos_more=more,
        cautions=tuple(_cautions(it)),
        defers=tuple(_defers(it)),
        final_check=_final_check(it),
    )


def _things(it: Teller) -> tuple[Thing, ...]:
    return with_initials(it.stay.things, it.leaving.initials or {})


def _today(it: Teller) -> date:
    return local(it.at, it.zone).date()


def _tag(it: Teller) -> record.Tag:
    head = it.stay.head
    made = head.made if head.vin else ""
    lines = tuple(filter(None, (f"VIN {head.vin}" if head.vin else "", made or head.made)))
    return record.Tag(
        number=head.number, what=head.what, whose=head.owner, stands="handed over", lines=lines[:2]
    )


def _handed(it: Teller, *, fit: bool) -> record.Handed:
    leaving = it.leaving
    return record.Handed(
        number=it.number,
        issue=it.issue,
        at=it.at,
        by=it.names.get(it.person, ""),
        fit=fit,
        leaves=str(leaving.leaves),
        carrier=leaving.carrier,
        taken_by=leaving.taken_by,
        signature=leaving.signature,
        on_paper=leaving.on_paper,
        replaces=f"{it.number}, issue {it.issue - 1}" if it.issue > 1 else "",
        witness=newest_hash(it.session),
        unseen_reason=leaving.unseen_reason,
    )


def _gvwr(typed: str, unit: str) -> str:
    return with_unit(plain(read_number(typed)), unit) if typed else ""


def _answer(it: Teller, found: Fitness, gvwr: str) -> Iterator[str]:
    if isinstance(found, NotFit):
        return sentences.may_not_tow(found.stops, it.leaving)
    looked = sum(spot.thing.grade is not Grade.UNSEEN and spot.line.fitted for spot in it.stay.spots)
    put_right = sum(_held(spot) for spot in it.stay.spots)
    return sentences.may_tow(found, looked, put_right, gvwr, it.leaving.unseen_reason)


def _held(spot: Seen) -> bool:
    """Whether a fault at this spot held the tow and does not any more."""
    held = any(look.grade is Grade.DNT or look.by is By.TOWING for look in spot.looks)
    return held and spot.thing.grade in (Grade.SOUND, Grade.WATCH)


def _duty(each: Duty) -> record.Duty:
    return record.Duty(when=each.when or day(each.on), what=each.what, on=each.on, miles=each.miles)


# What was done


def _finished(it: Teller) -> list[tuple[Work, Job]]:
    works = works_of(it.session, it.stay.head.order_id)
    return [(works[key], job) for key, job in it.stay.jobs.items() if job.finished_at]


def _done(it: Teller) -> Done:
    kinds = {row.kind for row in it.stay.records}
    kinds |= {kind for work, _ in _finished(it) for kind in work.records}
    drums = any({"brake_readings", "bearing_adjustment"} <= set(work.records) for work, _ in _finished(it))
    return Done(
        nuts=_nut_figure(it.stay.records) if kinds & WHEELS else None,
        bolts="fastener_torque" in kinds,
        linings=drums,
        bearings="bearing_adjustment" in kinds,
        cylinders=tuple(_cylinders(it)),
    )


def _nut_figure(rows: Sequence[RecordLine]) -> str:
    """The wheel nuts' figure as the newest torque record has it; empty where none has."""
    said = [row.payload for row in rows if row.kind == "wheel_torque" and row.payload.get("low")]
    if not said:
        return ""
    low, high = str(said[-1]["low"]), str(said[-1].get("high") or said[-1]["low"])
    unit = str(said[-1].get("unit", ""))
    return with_unit(low if low == high else f"{low} to {high}", unit) if unit in UNITS else low


def _cylinders(it: Teller) -> Iterator[tuple[str, Month]]:
    for spot in it.stay.spots:
        for figure in spot.line.worked if spot.line.check == CYLINDER_DATE else ():
            if figure.get("name") == LAST_USE and (month := _month(str(figure.get("says", "")), it)):
                yield spot.line.name, month


def _month(says: str, it: Teller) -> Month | None:
    found = MONTH.search(says)
    return read_month(found[0], Month.of(_today(it)).plus_years(20)) if found else None


def _works(it: Teller) -> Iterator[record.WorkDone]:
    for work, job in _finished(it):
        word = it.stay.words.get(work.key)
        yield record.WorkDone(
            title=work.title,
            result=_result(it, job),
            amount=word.amount if word else 0,
            finished_on=it.day_of(job.finished_at),
            finished_by=it.names.get(job.finished_by or 0, ""),
            accepted=_accepted(it, job),
        )


def _result(it: Teller, job: Job) -> str:
    """What came of a job: the words of its records, each once; done where it has none."""
    says = [row.says for row in it.stay.records if row.job_id == job.key]
    return "; ".join(dict.fromkeys(says)) or "done"


def _accepted(it: Teller, job: Job) -> str:
    by = it.names.get(job.accepted_by or 0, "")
    return f"Accepted by {by}: {job.accepted_reason}" if job.accepted_reason else ""


def _cost(it: Teller) -> record.Cost | None:
    """Sum of the agreed work that was done, as it was agreed; None where nothing was."""
    done = {work.key for work, _ in _finished(it)}
    lines = [line for line in _agreed_lines(it) if line.work_id in done]
    if not lines:
        return None
    found = sums([as_line(line) for line in lines], settings_of(it.session))
    taxes = tuple(
        record.TaxLine(rate=each.rate, base=each.base, tax=each.tax) for each in found.taxes if each.tax
    )
    return record.Cost(net=found.net, taxes=taxes, tax=found.tax, gross=found.gross)


def _agreed_lines(it: Teller) -> Iterator[WorkLine]:
    """The lines of each work agreed to, from the revision that the owner said yes to."""
    said = it.session.exec(
        select(Answer.work_id, Answer.answer, Consent.revision_id)
        .join(Consent, col(Answer.consent_id) == col(Consent.id))
        .join(Work, col(Answer.work_id) == col(Work.id))
        .where(Work.work_order_id == it.stay.head.order_id)
        .order_by(col(Answer.id))
    )
    latest = {work_id: (answer, revision_id) for work_id, answer, revision_id in said}
    for work_id, (answer, revision_id) in latest.items():
        if answer == "yes":
            yield from (line for line in lines_of(it.session, revision_id) if line.work_id == work_id)


# What was looked at


def _line(it: Teller, spot: Seen) -> record.Line:
    line, thing = spot.line, spot.thing
    cleared = thing.grade is Grade.SOUND and line.grade not in (Grade.SOUND, Grade.UNSEEN)
    found = sentences.got(line, cleared=cleared, unseen_reason=it.leaving.unseen_reason)
    return record.Line(
        finding_id=line.id,
        check=line.check,
        place=line.place,
        name=line.name,
        station=line.station,
        state=thing.grade,
        fitted=line.fitted,
        got=found or _cleared_says(it, spot),
        by=thing.by,
        until=thing.until,
        until_miles=thing.until_miles,
        was=_was(it, spot),
        dissent=line.dissent,
        note=line.note if line.grade is not Grade.UNSEEN else "",
        source=line.source,
        looked_by=line.looked_by,
        looked_at=line.looked_at,
    )


def _was(it: Teller, spot: Seen) -> str:
    """The heaviest fault at a spot that was cleared, and how; empty where none was."""
    if not spot.clearances:
        return ""
    keys = {each.finding_id for each in spot.clearances}
    told = min((it for it in spot.looks if it.id in keys), key=lambda look: HEAVIEST_FIRST.index(look.grade))
    how = _how(it, spot.clearances[-1])
    return f"Was {told.grade.word.lower()}: {told.reason or told.name}. {how}"


def _how(it: Teller, line: ClearanceLine) -> str:
    on = day(it.day_of(line.at))
    if line.how == How.LEAD:
        return f"Accepted {on} by {line.by}: {line.reason}."
    begin = "Looked at again" if line.how == How.SECOND_LOOK else "Measured"
    return f"{begin}, cleared {on} by {line.by}."


def _cleared_says(it: Teller, spot: Seen) -> str:
    """What the work that cleared a fault measured there; where it has no record, that it was put right."""
    jobs = {each.job_id for each in spot.clearances}
    mine = [row for row in it.stay.records if row.job_id and row.job_id in jobs]
    here = [row for row in mine if row.place == spot.line.place] or mine
    return "; ".join(dict.fromkeys(row.says for row in here[:3])) or "put right"


# What is left


def _left(it: Teller) -> Iterator[record.Left]:
    """Works not agreed to whose fault stays, then open faults that no work was priced for."""
    open_now = {key: spot for spot in it.stay.spots if _open(spot) for key in _keys(spot)}
    by_work = findings_by_work(it.session, it.stay.head.order_id)
    priced: set[int] = set()
    for work_id, offered in _offered(it).items():
        behind = [open_now[key] for key in by_work.get(work_id, ()) if key in open_now]
        priced |= {key for spot in behind for key in _keys(spot)}
        word = it.stay.words.get(work_id)
        if (word is None or word.answer != "yes") and (behind or not by_work.get(work_id)):
            yield _left_work(it, offered, behind, word)
    rest = {spot.thing.finding_id: spot for key, spot in open_now.items() if key not in priced}
    yield from (_left_bare(it, spot) for spot in rest.values() if not _keys(spot) & priced)


def _open(spot: Seen) -> bool:
    return spot.thing.grade in (Grade.DNT, Grade.NEEDS)


def _keys(spot: Seen) -> set[int]:
    return {look.id for look in spot.looks}


@dataclass(frozen=True)
class Offered:
    """A work as the newest revision offers it."""

    title: str
    amount: int


def _offered(it: Teller) -> dict[int, Offered]:
    revision = newest_revision(it.session, it.stay.head.order_id)
    works, amounts = works_of(it.session, it.stay.head.order_id), dict[int, int]()
    for line in lines_of(it.session, revision.key) if revision else []:
        amounts[line.work_id] = amounts.get(line.work_id, 0) + line.amount
    return {key: Offered(works[key].title, amount) for key, amount in amounts.items()}


def _left_work(it: Teller, offered: Offered, behind: Sequence[Seen], word: OwnersWord | None) -> record.Left:
    heavy = min(behind, key=lambda spot: HEAVIEST_FIRST.index(spot.thing.grade), default=None)
    return record.Left(
        title=offered.title,
        state=heavy.thing.grade if heavy else None,
        why="; ".join(f"{spot.thing.name}: {spot.thing.reason}" for spot in behind[:3]),
        amount=offered.amount,
        answer=word.answer if word else "",
        said=_said(it, word),
        initials=_initials(it, behind) or (word.acknowledged if word else ""),
        signature=_signature(it, word),
        signed=f"{word.who}, {day(it.day_of(word.said_at))}." if word else "",
    )


def _left_bare(it: Teller, spot: Seen) -> record.Left:
    return record.Left(
        title=spot.thing.name,
        state=spot.thing.grade,
        why=spot.thing.reason,
        amount=None,
        answer="",
        said="No work was priced for it.",
        initials=_initials(it, [spot]),
    )


def _initials(it: Teller, behind: Sequence[Seen]) -> str:
    """The initials that the owner set at this handover."""
    said = it.leaving.initials or {}
    return next((said[spot.thing.finding_id] for spot in behind if spot.thing.finding_id in said), "")


def _said(it: Teller, word: OwnersWord | None) -> str:
    """What the owner answered, when and how."""
    begin = sentences.LEFT_WORDS[word.answer if word else ""]
    return f"{begin}, {day(it.day_of(word.said_at))}, {_HOW[word.how]}: {word.who}." if word else f"{begin}."


_HOW = {"tablet": "here", "paper": "on paper", "phone": "by phone", "writing": "in writing"}


def _signature(it: Teller, word: OwnersWord | None) -> str:
    """The signature drawn under the answer, where one was."""
    if word is None:
        return ""
    mine = select(Consent.signature).join(Answer, col(Answer.consent_id) == col(Consent.id))
    same = (Answer.work_id == word.work.key, Consent.said_at == word.said_at)
    return it.session.exec(mine.where(*same).order_by(col(Answer.id).desc())).first() or ""


# How it came about


def _threads(it: Teller) -> Iterator[record.Thread]:
    for spot in it.stay.spots:
        held = [look for look in spot.looks if look.grade is Grade.DNT or look.by is By.TOWING]
        if held:
            yield _thread(it, spot, held[0])


def _thread(it: Teller, spot: Seen, first: FindingLine) -> record.Thread:
    works = [key for key, found in _by_work(it).items() if _keys(spot) & set(found)]
    jobs = [it.stay.jobs[key] for key in works if key in it.stay.jobs]
    agreed = [word for key in works if (word := it.stay.words.get(key)) and word.answer == "yes"]
    rows = [row for row in it.stay.records if row.job_id in {job.key for job in jobs}]
    priced = [
        work.created_at for key, work in works_of(it.session, it.stay.head.order_id).items() if key in works
    ]
    return record.Thread(
        what=f"{first.name}: {first.reason}" if first.reason else first.name,
        found=it.day_of(first.looked_at),
        priced=it.day_of(min(priced, default=None)),
        agreed=it.day_of(max((word.said_at for word in agreed), default=None)),
        done=it.day_of(max((job.finished_at for job in jobs if job.finished_at), default=None)),
        measured=it.day_of(max((row.made_at for row in rows), default=None)),
        cleared=it.day_of(spot.clearances[-1].at) if spot.clearances else None,
        says=_cleared_says(it, spot) if spot.clearances else "",
    )


def _by_work(it: Teller) -> Mapping[int, tuple[int, ...]]:
    return findings_by_work(it.session, it.stay.head.order_id)


def _measured(it: Teller) -> Iterator[record.Measured]:
    for row in it.stay.records:
        yield record.Measured(
            id=row.id,
            kind=row.kind,
            title=row.title,
            place=row.place,
            label=row.label,
            says=row.says,
            inside=row.inside,
            made_by=row.made_by,
            made_at=row.made_at,
            instrument=row.instrument,
            correction=row.correction,
            payload=dict(row.payload),
        )


def _figures(it: Teller) -> Iterator[record.Figure]:
    """All worked figures of findings and records, each once."""
    worked = [each for spot in it.stay.spots for look in spot.looks for each in look.worked]
    worked += [each for row in it.stay.records for each in row.worked]
    yield from dict.fromkeys(map(_figure, worked))


def _figure(kept: Mapping[str, Any]) -> record.Figure:
    verdict = kept.get("verdict")
    return record.Figure(
        name=str(kept.get("name", "")),
        says=str(kept.get("says", "")),
        formula=str(kept.get("formula", "")),
        inputs=tuple(record.Said(name=each["name"], says=each["says"]) for each in kept.get("inputs", ())),
        limit=str(kept.get("limit") or ""),
        verdict=record.Said(name=str(verdict["grade"]), says=str(verdict["says"])) if verdict else None,
        source=_source(kept.get("source")),
        caution=str(kept.get("caution") or ""),
    )


def _source(kept: object) -> str:
    if isinstance(kept, Mapping):
        return f"{kept.get('title', '')} {kept.get('section', '')}".strip()
    return str(kept or "")


# Photos, cautions, the final check


def _photos(it: Teller) -> tuple[tuple[record.Picture, ...], int]:
    """The photos of findings, faults first, and how many more the shop keeps."""
    looks = sorted((look for spot in it.stay.spots for look in spot.looks), key=lambda look: look.weight)
    shown = [(look, key) for look in looks for key in look.photos]
    return tuple(_picture(it, look, key) for look, key in shown[:MOST_PHOTOS]), max(
        len(shown) - MOST_PHOTOS, 0
    )


def _picture(it: Teller, look: FindingLine, key: int) -> record.Picture:
    photo = it.session.get_one(Photo, key)
    taken = f"{moment(photo.created_at, it.zone)}, {it.names.get(photo.taken_by, '')}"
    what = look.reason or sentences.readings(look.readings)
    says = f"{look.name}: {what}" if what else look.name
    return record.Picture(
        name=f"photo-{key}", sha256=photo.sha256, alt=f"Photo: {says}", caption=f"{says}. {taken}."
    )


def _cautions(it: Teller) -> Iterator[record.Warned]:
    """The cautions of what is left open, the gravest first, each once; of hot hubs where nuts fall due."""
    if it.stay.catalogue is None:
        return
    checks = {check.key: check for check in it.stay.catalogue.checks}
    spots = [spot for spot in it.stay.spots if _open(spot)]
    keys = {key for spot in spots if (check := checks.get(spot.line.check)) for key in check.cautions}
    keys |= {HOT_HUBS} if _done(it).nuts is not None else set()
    known = [each for each in it.stay.catalogue.cautions if each.key in keys]
    for each in sorted(known, key=lambda one: DANGER_FIRST.index(one.word)):
        yield record.Warned(word=each.word, hazard=each.hazard, result=each.result, avoid=each.avoid)


def _defers(it: Teller) -> Iterator[str]:
    """Who must do what by law: always the general sentence, then what kits of open and done work say."""
    yield from DEFERS
    works = works_of(it.session, it.stay.head.order_id)
    said = [works[key].defer for key in works]
    kits = {kit for spot in it.stay.spots if _open(spot) for kit in spot.line.kits}
    said += [kit.defer for kit in (it.stay.catalogue.kits if it.stay.catalogue else ()) if kit.key in kits]
    yield from dict.fromkeys(each for each in said if each)


def _final_check(it: Teller) -> record.FinalCheck | None:
    check = it.stay.check
    if check is None or not it.stay.bench.checked:
        return None
    items = [item for item in items_of(it.stay.head.kind) if item.key in check.items]
    return record.FinalCheck(
        items=tuple(record.Said(name=item.says, says=ANSWERS[check.items[item.key]]) for item in items),
        checked_by=it.names.get(check.checked_by, ""),
        read_by=check.read_by,
        at=check.created_at,
    )

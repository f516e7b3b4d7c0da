"""The acts of the walk-round: begin, look, say the rest is sound, end, look again."""

import hashlib
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.photos import Picture, keep_photo
from app.ground.shop import settings_of, shop_of
from app.ground.tables import Kept, Photo, Receipt
from app.ground.words import local
from app.inspection import rules
from app.inspection.catalogue import DEPTHS, WATCH_DAYS, Check
from app.inspection.facts import catalogue_of, newest_version, photos_shown, unlisted, version
from app.inspection.places import SPARE, Place, station_of, walk_order
from app.inspection.rules import ABSENT, Choice, Judgement, Reading, Settled, Stood, UnitFacts
from app.inspection.tables import Finding, FindingPhoto, Walk
from app.inspection.tables import Reading as KeptReading
from app.inspection.tires_read import AGE, APART, NO_SPARE, SPARE_THERE, axle_of, date_codes
from app.inspection.together import weigh_together
from app.inspection.unit import facts_of, policy_of, shape_of
from app.intake.tables import Unit, WorkOrder
from app.trade.figure import By, Grade, shown
from app.trade.problems import Problem, Refused

SECOND = "second"
RECORD, SAME, REST, END = "record finding", "same reading", "rest of station sound", "end walk-round"
MORE, HOLD = "add to walk-round", "hold photo"


@dataclass(frozen=True)
class Seen:
    """What a person read, saw and chose at one check, as a form or a script says it.

    `readings`: text by measure key; `units`: unit key by measure key where another one was typed;
    `confirmed`: keys of measures whose unlikely value is kept. `seen`: keys of the defects picked. `grade`
    None leaves the choice to the rule: what it proposes is kept. `fitted` False: the unit has no such thing.
    `second`: key of the second person, where a lighter grade than do not tow asks for one. `held`: keys of
    photos that an earlier, refused form brought.
    """

    readings: dict[str, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    confirmed: frozenset[str] = frozenset()
    seen: tuple[str, ...] = ()
    grade: Grade | None = None
    by: By | None = None
    until: date | None = None
    until_miles: int | None = None
    reason: str = ""
    note: str = ""
    fitted: bool = True
    closed_off: bool = False
    second: int | None = None
    photos: tuple[Picture, ...] = ()
    held: tuple[int, ...] = ()


# The walk


def begin_walk(book: Engine, act: Act, order_id: int, depth: str = "") -> int:
    """Begin the walk-round of a work order with all its findings unseen; returns the walk's key.

    One that stands is given what the unit asks for since the book was put right; nothing is taken from it.

    `depth`: quick, full or prepurchase; empty takes the one agreed at intake. A work order that has a walk
    already gets no second one: its key is returned. Raises Refused where the depth is none of these.
    """
    if depth and depth not in DEPTHS:
        raise Refused([Problem("depth", f"{depth[:20]} is not a depth", "quick, full or prepurchase")])
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = session.get_one(WorkOrder, order_id)
        standing = (Walk.work_order_id == order_id, Walk.depth != SECOND)
        if (walk := session.exec(select(Walk).where(*standing)).first()) is not None:
            return _complete(session, act, walk)
        kept = newest_version(session)
        walk = Walk(
            created_at=act.at,
            work_order_id=order_id,
            catalogue_id=kept.key,
            depth=depth or order.depth,
            begun_by=act.person,
        )
        session.add(walk)
        session.flush()
        unit = session.get_one(Unit, order.unit_id)
        order_of_looking = walk_order(version(session, kept.key), shape_of(unit), walk.depth)
        session.add_all(_unseen(act, walk.key, check, place) for check, place in order_of_looking)
        return receipts.sign(session, act, "begin walk-round", walk)


def _complete(session: Session, act: Act, walk: Walk) -> int:
    """The walk's key, once it also holds what the unit asks for since the book was put right."""
    asked = [_unseen(act, walk.key, check, place) for check, place in unlisted(session, walk)]
    session.add_all(asked)
    return receipts.sign(session, act, MORE, walk, *asked) if asked else walk.key


def _unseen(act: Act, walk_id: int, check: Check, place: Place) -> Finding:
    return Finding(
        created_at=act.at,
        walk_id=walk_id,
        check=check.key,
        place=place.key,
        name=name_of(check, place),
        station=station_of(check, place),
    )


def name_of(check: Check, place: Place) -> str:
    """A check at its place, as people say it: Tread depth, left tire, axle 1."""
    if place.key == "unit" or place.label == check.name:
        return check.name
    return f"{check.name}, {place.label[0].lower()}{place.label[1:]}"


def record_finding(book: Engine, act: Act, finding_id: int, seen: Seen, folder: Path | None = None) -> int:
    """Keep what was read, seen and chosen at one check, with its judgement; returns the finding's key.

    `folder`: where photos are kept. Raises Refused with every problem, Stale where somebody saved first.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        finding = session.get_one(Finding, finding_id)
        receipts.current(finding.revision, act)
        gone = _says_no_spare(finding)
        kept = look_at(session, act, finding, seen, folder)
        if finding.check == SPARE_THERE and _says_no_spare(finding) is not gone:
            kept += _spare_follows(session, act, finding)
        return sign_look(session, act, RECORD, finding, finding.walk_id, *kept)


def _says_no_spare(finding: Finding) -> bool:
    return finding.check == SPARE_THERE and (not finding.fitted or NO_SPARE in finding.seen)


def _spare_follows(session: Session, act: Act, answer: Finding) -> list[SQLModel]:
    """What one answer says of every check at the spare: that there is none, or that it is to be looked at.

    A spare that nobody has seen is not fitted where there is none; one that turns up is unseen again.
    """
    gone = _says_no_spare(answer)
    seen = Seen(fitted=False) if gone else Seen(grade=Grade.UNSEEN)
    here = (Finding.walk_id == answer.walk_id, Finding.place == SPARE.key)
    follows = Finding.grade == Grade.UNSEEN if gone else col(Finding.fitted).is_(False)
    rows = session.exec(select(Finding).where(*here, follows).order_by(col(Finding.id))).all()
    return [each for row in rows for each in (row, *look_at(session, act, row, seen))]


def sign_look(session: Session, act: Act, verb: str, row: Kept, walk_id: int, *others: SQLModel) -> int:
    """The key of the act's row, signed with the others and, once the walk has ended, with what they lift."""
    walk = session.get_one(Walk, walk_id)
    lifted = weigh_together(session, walk_id) if walk.ended_at and walk.depth != SECOND else []
    rows = {id(each): each for each in (*others, *lifted) if each is not row}
    return receipts.sign(session, act, verb, row, *rows.values())


def look_at(
    session: Session, act: Act, finding: Finding, seen: Seen, folder: Path | None = None
) -> list[SQLModel]:
    """Write one look into a finding, inside an act; its readings and photos, to be signed with it.

    `folder`: where photos are kept. Raises Refused with every problem.
    """
    looked = _look(session, act.at, finding, seen)
    photos = _photos(session, act, finding, seen, folder)
    stood = _stood(session, act, finding)
    if seen.grade is not None:
        rules.refuse_eased(stood, rules.weight(seen.grade, seen.by or By.TOWING))  # the heaviest it can mean
    settled = _settled(session, act, looked, finding, seen)
    eased = rules.eased(stood, settled, seen.reason)
    _write(finding, act, receipts.coming(session), looked, seen, settled)
    finding.reason = "; ".join(filter(None, (finding.reason, eased)))
    kept = _put_readings(session, act, finding, looked.readings, seen)
    session.add_all(kept)
    return [*kept, *photos, *match_anew(session, act.at, finding)]


def match_anew(session: Session, at: datetime, tire: Finding) -> list[Finding]:
    """The match of a tire's axle, judged anew by the date codes as they stand now, where that changes it.

    One that stood as it was proposed follows; one that a person graded otherwise only becomes heavier. Where
    it is no lighter than it stood it counts as looked at now: nothing that cleared it had seen these codes.
    """
    if tire.check != AGE:
        return []
    session.flush()
    same = (Finding.walk_id == tire.walk_id, Finding.place == f"axle-{axle_of(tire.place)}")
    found = session.exec(select(Finding).where(*same, col(Finding.looked_at).is_not(None)))
    return [row for row in found if _matched(session, at, row)]


def _matched(session: Session, at: datetime, row: Finding) -> bool:
    check = catalogue_of(session, row.walk_id).check(row.check)
    if check.rule != APART or check.measures or not row.fitted:
        return False
    judged = _look(session, at, row, Seen(seen=tuple(row.seen), grade=Grade.SOUND)).judgement
    stands = rules.weight(Grade(row.grade), By(row.by) if row.by else None)
    worked = [shown(each) for each in judged.worked]
    other = (judged.reason, worked) != (row.reason, row.worked)
    as_proposed = (row.grade, row.by) == (row.proposed, row.proposed_by) and other
    if not as_proposed and judged.weight >= stands:
        return False
    row.grade, row.by, row.until, row.until_miles = judged.grade, judged.by, judged.until, judged.until_miles
    row.proposed, row.proposed_by, row.proposed_reason = judged.grade, judged.by, judged.reason
    row.reason, row.source, row.dissent, row.alone = judged.reason, str(judged.source), "", {}
    row.worked = worked
    if judged.weight <= stands and judged.grade is not Grade.SOUND:
        row.looked_entry = receipts.coming(session)
    row.revision += 1
    return True


@dataclass(frozen=True)
class Looked:
    """One look, judged: the check, the readings, what the rules make of them, and the shop's day."""

    check: Check
    readings: dict[str, Reading]
    judgement: Judgement
    day: date


def _look(session: Session, at: datetime, finding: Finding, seen: Seen) -> Looked:
    check = catalogue_of(session, finding.walk_id).check(finding.check)
    day = local(at, shop_of(session).zone).date()
    typed = {f"reading-{key}": text for key, text in seen.readings.items()}
    typed |= {f"unit-{key}": unit for key, unit in seen.units.items()}
    confirmed = {f"reading-{key}" for key in seen.confirmed}
    unknown = [key for key in seen.seen if key not in {defect.key for defect in check.defects}]
    if unknown:
        raise Refused([Problem("seen", f"{unknown[0][:40]} is not in the list", "a choice of the list")])
    readings = rules.read_readings(check, typed, confirmed, day)
    facts = _facts(session, check, finding)
    sights = (ABSENT,) if not seen.fitted else seen.seen
    looked = sights if sights or seen.grade not in (None, Grade.UNSEEN) else None
    policy = policy_of(settings_of(session))
    judgement = rules.judge(check, readings, looked, facts, day, policy, finding.place)
    return Looked(check, readings, judgement, day)


def by_the_book_now(session: Session, row: Finding) -> Judgement | None:
    """What a kept look comes to by what the book says of the unit now, on the day of the look.

    None where nobody looked, or where what was read then is not taken any more.
    """
    if row.looked_at is None:
        return None
    kept = list(session.exec(select(KeptReading).where(KeptReading.finding_id == row.key)))
    seen = Seen(
        readings={each.measure: each.typed for each in kept},
        units={each.measure: each.unit for each in kept if each.unit},
        confirmed=frozenset(each.measure for each in kept),
        seen=tuple(row.seen),
        grade=Grade.SOUND,
        fitted=row.fitted,
    )
    try:
        return _look(session, row.looked_at, row, seen).judgement
    except Refused:
        return None


def _facts(session: Session, check: Check, finding: Finding) -> UnitFacts:
    """What is known of the unit, with the date codes of its tires where the check holds them together."""
    facts, walk = facts_of(_unit(session, finding)), session.get_one(Walk, finding.walk_id)
    return (
        replace(facts, date_codes=date_codes(session, walk.work_order_id)) if check.rule == APART else facts
    )


def _unit(session: Session, finding: Finding) -> Unit:
    walk = session.get_one(Walk, finding.walk_id)
    return session.get_one(Unit, session.get_one(WorkOrder, walk.work_order_id).unit_id)


def _settled(session: Session, act: Act, looked: Looked, finding: Finding, seen: Seen) -> Settled:
    """What stands after the choice; without a choice, what the rule proposes."""
    judged = looked.judgement
    if seen.grade is None or (seen.grade is Grade.UNSEEN and not looked.readings and not seen.seen):
        return Settled(judged.grade, judged.by, judged.until, judged.until_miles, "")
    second = _second(session, seen) if people.several(session) else act.person + 1
    choice = Choice(
        grade=seen.grade,
        by=seen.by or (judged.by if seen.grade is judged.grade else None),
        until=seen.until or _usual_term(judged, seen, looked.day),
        until_miles=seen.until_miles,
        reason=seen.reason,
        person=act.person,
        second=second,
        photo=bool(seen.photos or seen.held) or _has_photo(session, finding),
    )
    return rules.settle(judged, choice, looked.day)


def _second(session: Session, seen: Seen) -> int | None:
    """The second person who was named, where somebody of that key works here."""
    return seen.second if seen.second in {each.key for each in people.working(session)} else None


def _stood(session: Session, act: Act, finding: Finding) -> Stood:
    """What stands at a place before it is looked at again."""
    alone = finding.alone or {"grade": finding.grade, "by": finding.by}
    own = finding.looked_by == act.person or not people.several(session)
    ended = stood_at_the_end(session, finding) or session.get_one(Walk, finding.walk_id).ended_at is not None
    by_itself = rules.weight(Grade(alone["grade"]), By(alone["by"]) if alone["by"] else None)
    return Stood(Grade(finding.grade), by_itself, finding.dissent, own=own, ended=ended)


def stood_at_the_end(session: Session, finding: Finding) -> bool:
    """Whether the walk-round was ended, even if that was taken back, after a finding was looked at."""
    if finding.looked_at is None:
        return False
    of_walk = (Receipt.act == END, Receipt.subject == "walk", Receipt.subject_id == finding.walk_id)
    since = col(Receipt.id) >= finding.looked_entry
    return session.exec(select(Receipt.id).where(*of_walk, since).limit(1)).first() is not None


def _usual_term(judged: Judgement, seen: Seen, day: date) -> date | None:
    """The shop's usual term of a watch that a person chose; None where the rule or the person gives one."""
    chosen = seen.grade is Grade.WATCH and judged.grade is not Grade.WATCH
    return day + timedelta(days=WATCH_DAYS) if chosen and not seen.until_miles else None


def _has_photo(session: Session, finding: Finding) -> bool:
    return session.exec(photos_shown().where(FindingPhoto.finding_id == finding.key)).first() is not None


def _write(finding: Finding, act: Act, entry: int, looked: Looked, seen: Seen, settled: Settled) -> None:
    judged = looked.judgement
    finding.grade, finding.by = settled.grade, settled.by
    finding.until, finding.until_miles, finding.dissent = settled.until, settled.until_miles, settled.dissent
    finding.proposed, finding.proposed_by, finding.proposed_reason = judged.grade, judged.by, judged.reason
    finding.reason = settled.dissent if settled.dissent and seen.reason.strip() else judged.reason
    finding.source = str(judged.source)
    finding.note, finding.seen, finding.fitted = seen.note.strip(), list(seen.seen), seen.fitted
    finding.closed_off = seen.closed_off and settled.by is By.USE
    finding.alone = {}
    finding.worked = [shown(each) for each in judged.worked]
    finding.looked_by, finding.looked_at, finding.looked_entry = act.person, act.at, entry
    finding.revision += 1


def _put_readings(
    session: Session, act: Act, finding: Finding, readings: dict[str, Reading], seen: Seen
) -> list[KeptReading]:
    """The readings as they now stand; the receipts keep what stood before."""
    check = catalogue_of(session, finding.walk_id).check(finding.check)
    same = KeptReading.finding_id == finding.key
    before = {each.measure: each for each in session.exec(select(KeptReading).where(same))}
    for key in before.keys() - readings.keys():
        session.delete(before.pop(key))
    return [
        _reading(
            act, before.get(key), finding, check.measure(key).label, reading, confirmed=key in seen.confirmed
        )
        for key, reading in readings.items()
    ]


def _reading(
    act: Act, before: KeptReading | None, finding: Finding, label: str, reading: Reading, *, confirmed: bool
) -> KeptReading:
    row = before or KeptReading(
        created_at=act.at, finding_id=finding.key, measure=reading.measure, label=label, typed=""
    )
    if row.typed != reading.typed or row.unit != reading.unit:
        row.confirmed_by = act.person if confirmed else None
    row.typed, row.unit = reading.typed, reading.unit
    return row


def _photos(
    session: Session, act: Act, finding: Finding, seen: Seen, folder: Path | None
) -> list[FindingPhoto]:
    held = [_held_by(session, act.person, key) for key in dict.fromkeys(seen.held)]
    if None in held:
        raise Refused([Problem("photo", "A photo of this form is gone", "the photo taken anew")])
    known = [photo for photo in held if photo is not None]
    new = _new_photos(session, act, seen.photos, {photo.sha256 for photo in known}, folder)
    return [
        FindingPhoto(created_at=act.at, finding_id=finding.key, photo_id=photo.key)
        for photo in (*known, *new)
    ]


def _new_photos(
    session: Session, act: Act, pictures: Sequence[Picture], known: set[str], folder: Path | None
) -> list[Photo]:
    """The pictures kept, but for those that an earlier form brought already."""
    new = [each for each in pictures if hashlib.sha256(each.print_jpeg).hexdigest() not in known]
    assert folder is not None or not new, "photos need the folder that keeps them"
    return [keep_photo(session, folder, act, each) for each in new if folder]


def hold_photos(book: Engine, act: Act, pictures: Sequence[Picture], folder: Path) -> list[int]:
    """Keys of pictures kept without a finding yet, so that a refused form loses none.

    The same act again gives the same keys. A later form names them in `Seen.held`. Raises Refused where the
    act's own key was used for something else: nothing of that form is held.
    """
    with writing(book) as session:
        receipts.repeated(session, act)
        numbered = enumerate(pictures)
        return [_hold(session, act.part(f"photo {number}"), each, folder) for number, each in numbered]


def _hold(session: Session, act: Act, picture: Picture, folder: Path) -> int:
    if (made := receipts.repeated(session, act)) is not None:
        return made
    return receipts.sign(session, act, HOLD, keep_photo(session, folder, act, picture))


def held_photos(session: Session, person: int, keys: Sequence[int]) -> list[int]:
    """Those of the keys that are photos which this person's refused forms brought and no finding has yet."""
    return [key for key in dict.fromkeys(keys) if _held_by(session, person, key)]


def _held_by(session: Session, person: int, key: int) -> Photo | None:
    asked = (Receipt.act == HOLD, Receipt.subject_id == key, Receipt.person_id == person)
    held = session.exec(select(Receipt.id).where(*asked).limit(1)).first()
    used = session.exec(select(FindingPhoto.id).where(FindingPhoto.photo_id == key).limit(1)).first()
    return session.get(Photo, key) if held and not used else None


# Many at once


def rest_sound(
    book: Engine, act: Act, walk_id: int, station: int, only: Collection[int] | None = None
) -> int:
    """Say of every unseen, non-safety check of a station that it is sound; returns the walk's key.

    Safety checks and checks with a required reading are looked at one by one and left as they are. `only`:
    keys of the findings that a page listed; nothing else is touched.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        walk = session.get_one(Walk, walk_id)
        found = rest_of(session, walk_id, station, act.at)
        rest = [finding for finding in found if only is None or finding.key in only]
        for finding in rest:
            look_at(session, act, finding, Seen(grade=Grade.SOUND))
        return sign_look(session, act, REST, walk, walk.key, *rest)


def rest_of(session: Session, walk_id: int, station: int, at: datetime) -> list[Finding]:
    """The unseen checks of a station that may be called sound together: no safety, no reading, no doubt."""
    catalogue = catalogue_of(session, walk_id)
    here = (Finding.walk_id == walk_id, Finding.station == station, Finding.grade == Grade.UNSEEN)
    found = session.exec(
        select(Finding).where(*here, col(Finding.looked_at).is_(None)).order_by(col(Finding.id))
    )
    easy = [finding for finding in found if _easy(catalogue.check(finding.check))]
    return [finding for finding in easy if _sound_at_a_look(session, finding, at)]


def _easy(check: Check) -> bool:
    return not check.safety and not any(measure.required for measure in check.measures)


def _sound_at_a_look(session: Session, finding: Finding, at: datetime) -> bool:
    """Whether the rules have nothing against sound where nothing was read."""
    return _look(session, at, finding, Seen(grade=Grade.SOUND)).judgement.grade is Grade.SOUND


def same_reading(
    book: Engine, act: Act, finding_ids: Sequence[int], seen: Seen, folder: Path | None = None
) -> int:
    """Keep the same look at several places in one act; returns the key of the first finding.

    All or none: raises Refused where one of them does not take it, or where a place beside the first has been
    looked at already; Stale where somebody saved the first since. Photos go to the first.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        first, *others = _places(session, finding_ids)
        receipts.current(first.revision, act)
        _alike(first, others)
        kept = look_at(session, act, first, seen, folder)
        for finding in others:
            kept += look_at(session, act, finding, replace(seen, photos=()))
        return sign_look(session, act, SAME, first, first.walk_id, *others, *kept)


def _places(session: Session, finding_ids: Sequence[int]) -> list[Finding]:
    found = [session.get(Finding, key) for key in dict.fromkeys(finding_ids)]
    if None in found:
        raise Refused([Problem("also", "One of these is not there", "the places still unseen")])
    return [row for row in found if row is not None]


def _alike(first: Finding, others: Sequence[Finding]) -> None:
    for other in others:
        if (other.walk_id, other.check) != (first.walk_id, first.check):
            raise Refused([Problem("also", f"{other.name} is another check", "the same check elsewhere")])
        if other.looked_at is not None:
            raise Refused([Problem("also", f"{other.name} has been looked at", "a place that is unseen")])


# The end, and looking again


def end_walk(book: Engine, act: Act, walk_id: int) -> int:
    """End a walk-round; what is unseen stays unseen, what is worse together is lifted. Returns its key."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        walk = session.get_one(Walk, walk_id)
        receipts.current(walk.revision, act)
        walk.ended_at, walk.ended_by = act.at, act.person
        walk.revision += 1
        return receipts.sign(session, act, END, walk, *weigh_together(session, walk.key))


def begin_second_look(book: Engine, act: Act, finding_id: int) -> int:
    """Open a second look at one finding, unseen, without the first readings; returns the new finding's key.

    Raises Refused where the same person looked first and the shop has somebody else.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        first = session.get_one(Finding, finding_id)
        if first.looked_by == act.person and people.several(session):
            raise Refused([Problem("", "You looked at this first", "a second look by another person")])
        before = session.get_one(Walk, first.walk_id)
        walk = Walk(
            created_at=act.at,
            work_order_id=before.work_order_id,
            catalogue_id=before.catalogue_id,
            depth=SECOND,
            begun_by=act.person,
        )
        session.add(walk)
        session.flush()
        second = Finding(
            created_at=act.at,
            walk_id=walk.key,
            check=first.check,
            place=first.place,
            name=first.name,
            station=first.station,
        )
        return receipts.sign(session, act, "begin second look", second, walk)

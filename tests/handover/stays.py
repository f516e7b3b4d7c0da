"""Stays to hand over: a travel trailer with findings of the real catalogue, worked on by the rooms' acts."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import Engine
from sqlmodel import Session, select

from app.bench import steps as bench
from app.bench.album import PhotosSaid, When, keep_photos
from app.bench.kinds import Tool
from app.bench.records.wheel_torque import KIND as TORQUE
from app.bench.rules import Evidence, How
from app.bench.tables import Clearance, Job
from app.estimate import facts as estimate_facts
from app.estimate import saying
from app.estimate import steps as estimate
from app.estimate.saying import Said, SaidAll, WorkSaid
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.photos import keep_photo, read_photo
from app.ground.settings import folder
from app.ground.tables import Instrument
from app.handover import facts, steps
from app.handover.rules import Checked, Leaves, Leaving, items_of
from app.inspection.catalogue import Catalogue, read_catalogue
from app.inspection.tables import CatalogueVersion, Finding, FindingPhoto, Reading, Walk
from app.intake.arrival import Arrival, Known, StaySaid
from app.intake.steps import take_in
from app.intake.tables import Unit, WorkOrder
from app.trade.cylinders import Mark, Method, requalification_due
from app.trade.dates import Month
from app.trade.figure import shown
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.forms import SIX_AT_110
from tests.bench.forms import TORQUE as TORQUE_FORM
from tests.conftest import NOON, act
from tests.intake.arrivals import drawn, rosalind

LEE, WREN, TONI = 1, 2, 3
HOUR = timedelta(hours=1)
OWNER = "Rosalind Achterberg"
SIGNATURE = "M10 40 L30 20 L60 44"
WHEEL = "wheel-2-right"
DUE_FIGURE = shown(requalification_due([Mark(Month(2014, 8), Method.MADE)], date(2026, 5, 4)))


@cache
def catalogue() -> Catalogue:
    """The catalogue that ships with the program."""
    return read_catalogue(folder("seed_data") / "catalogue")


@dataclass(frozen=True)
class Found:
    """A finding to be made. `readings`: label, text and unit of each."""

    check: str
    name: str
    station: int
    grade: str = "sound"
    place: str = "unit"
    by: str | None = None
    reason: str = ""
    until: date | None = None
    miles: int | None = None
    closed: bool = False
    fitted: bool = True
    readings: tuple[tuple[str, str, str], ...] = ()
    worked: tuple[dict[str, Any], ...] = ()
    note: str = ""


NUTS = Found("wh.nuts", "Nuts in place, right wheel, axle 2", 3, "dnt", WHEEL, reason="two nuts loose")
SEAL = Found(
    "bo.seam",
    "Seams, curb side",
    6,
    "needs",
    "side-curb",
    by="soon",
    reason="open for 2 ft: water gets in",
    readings=(("Open length", "2", "ft"),),
)
ALARM = Found(
    "fs.co",
    "CO alarm",
    7,
    "needs",
    by="use",
    closed=True,
    reason="to be replaced in 2023",
    readings=(("Age", "12", "year"),),
)
LINING = Found(
    "br.lining",
    "Lining, left wheel, axle 1",
    9,
    "watch",
    "wheel-1-left",
    reason="4/32 in left",
    until=date(2027, 5, 1),
    miles=5000,
    readings=(("Thinnest place", "4", "in_32nd"),),
)
ROOF = Found("bo.roof", "Roof skin", 6, "unseen", note="wet all three days")
HUB = Found("hb.rock", "Play by hand, left hub, axle 1", 5, "unseen", "hub-1-left")
CYLINDER = Found(
    "lp.date",
    "Gas cylinder 1",
    2,
    "watch",
    "cylinder-1",
    reason="due 08-2026",
    until=date(2026, 8, 31),
    worked=(DUE_FIGURE,),
)
SOUND = (
    Found("id.vin", "VIN plate", 1, reason="same as the papers"),
    Found("cp.latch", "Latch and pin", 2),
    Found("bk.battery", "Breakaway battery", 2, readings=(("Rested", "12.7", "V"), ("Held", "15", "min"))),
    Found(
        "ti.tread",
        "Tread depth, left tire, axle 1",
        5,
        place="tire-1-left",
        readings=(("Least", "7", "in_32nd"),),
    ),
    Found("cp.bars", "Spring bars and head", 2, fitted=False),
    Found("lp.leak", "Gas leak test", 7, readings=(("Start", "9.0", "in_wc"), ("End", "9.0", "in_wc"))),
)
USUAL = (*SOUND, NUTS, SEAL, ALARM, LINING, ROOF, CYLINDER)


@dataclass
class Stay:
    """A stay in a book; `at` moves on with each act."""

    book: Engine
    order: int
    walk: int
    findings: dict[str, int]  # by name
    at: datetime = NOON

    def act(self, person: int, seen: int = 0) -> Act:
        """An act a minute after the last one."""
        self.at += timedelta(minutes=1)
        return act(person=person, seen=seen, at=self.at)

    def estimate_act(self) -> Act:
        """An act of the writer who has just seen the ledger."""
        with reading(self.book) as session:
            return self.act(WREN, estimate_facts.guard(session, self.order))

    def price(self, *, say: Mapping[str, Said], initials: str = "RA", who: str = OWNER) -> None:
        """Price all, show it, and keep the owner's word: yes where `say` (by start of title) has no other."""
        estimate.price_findings(self.book, self.estimate_act(), self.order)
        frozen = estimate.freeze(self.book, self.estimate_act(), self.order)
        with reading(self.book) as session:
            works = estimate_facts.ledger(session, self.order, NOON.date()).works
        words = tuple(self._word(work.id, work.title, say, initials) for work in works)
        said = SaidAll(saying.How.TABLET, who, words, signature=SIGNATURE)
        estimate.consent(self.book, self.estimate_act(), self.order, frozen, said)

    def say(self, answer: Said, initials: str = "RA") -> None:
        """The owner's word on every work of the estimate as it was shown last."""
        with reading(self.book) as session:
            works = estimate_facts.ledger(session, self.order, NOON.date()).works
            newest = estimate_facts.newest_revision(session, self.order)
        assert newest is not None
        words = tuple(WorkSaid(work.id, answer, "" if answer is Said.YES else initials) for work in works)
        said = SaidAll(saying.How.TABLET, OWNER, words, signature=SIGNATURE)
        estimate.consent(self.book, self.estimate_act(), self.order, newest.key, said)

    def _word(self, key: int, title: str, say: Mapping[str, Said], initials: str) -> WorkSaid:
        answer = next((said for start, said in say.items() if title.startswith(start)), Said.YES)
        return WorkSaid(key, answer, "" if answer is Said.YES else initials)

    def work(self, person: int = TONI, says: str = "Shown to the lead on the unit") -> None:
        """Open, measure and finish every job; what has no form is accepted by the lead."""
        bench.open_jobs(self.book, self.act(WREN), self.order)
        with reading(self.book) as session:
            from app.bench.facts import jobs_of

            jobs = jobs_of(session, self.order)
        for job in jobs:
            self._do(
                job.id, person, [(it.kind, it.place) for it in job.asked if it.kind == "wheel_torque"], says
            )

    def _do(self, job: int, person: int, places: list[tuple[str, str]], says: str) -> None:
        for _, place in places:
            self.torque(job, place, person)
        bench.accept_job(self.book, self.act(LEE, self._job(job)), job, says)
        bench.finish_job(self.book, self.act(person, self._job(job)), job)

    def _job(self, key: int) -> int:
        with reading(self.book) as session:
            return session.get_one(Job, key).revision

    def torque(self, job: int, place: str, person: int = TONI) -> int:
        """A wheel's nuts at 110 lbf·ft kept for a job."""
        tool = self._wrench()
        form = Texts({**TORQUE_FORM, **SIX_AT_110, "instrument": str(tool.id)})
        payload = TORQUE.read(form, replace(context(place=place), tools=(tool,)))
        return bench.keep_record(self.book, self.act(person), job, "wheel_torque", place, payload)

    def _wrench(self) -> Tool:
        with writing(self.book) as session:
            row = session.get(Instrument, 1) or Instrument(
                created_at=NOON,
                name="Torque wrench T-02",
                kind="torque wrench",
                unit="lbf_ft",
                least="20",
                most="150",
                calibration_due=date(2027, 3, 4),
            )
            session.add(row)
            session.flush()
            return Tool(row.key, row.name, row.kind, row.unit, row.least, row.most, row.calibration_due)

    def clear(
        self, name: str, person: int = LEE, reason: str = "Every nut gone round twice, wheel turned"
    ) -> int:
        """A finding cleared by the lead, with a reason."""
        evidence = Evidence(How.LEAD, reason=reason)
        return bench.clear_finding(self.book, self.act(person), self.findings[name], evidence)

    def clear_by_row(self, name: str) -> None:
        """A clearance put into the book as a row."""
        with writing(self.book) as session:
            by = self.act(LEE)
            row = Clearance(
                created_at=by.at,
                finding_id=self.findings[name],
                how="lead",
                reason="Looked at together on the lift",
                cleared_by=LEE,
            )
            receipts.sign(session, by, "clear finding", row)

    def check(self, person: int = WREN) -> int:
        """The final check, every item looked at."""
        items = {it.key: "yes" for it in items_of("travel")}
        return steps.final_check(self.book, self.act(person), self.order, Checked(items, "Toni"))

    def hand_over(self, leaving: Leaving | None = None, *, seen: int = 0, by: Act | None = None) -> int:
        """The handover, towed by the owner unless said otherwise."""
        return steps.hand_over(self.book, by or self.act(WREN, seen), self.order, leaving or towed())

    def page(self) -> facts.HandoverPage:
        """What the handover page shows."""
        with reading(self.book) as session:
            return facts.handover_of(session, self.order)


def towed(**more: Any) -> Leaving:  # noqa: ANN401 - any field of a Leaving
    """Taken under tow by its owner."""
    return Leaving(Leaves.TOWED, OWNER, signature=SIGNATURE, **more)


def carried(**more: Any) -> Leaving:  # noqa: ANN401 - any field of a Leaving
    """Taken away on a flatbed."""
    carrier = "flatbed of Low Fields Haulage, plate TR 40 17"
    return Leaving(Leaves.CARRIED, "Tomasz Wiśniewski", carrier, SIGNATURE, **more)


def stay(book: Engine, found: Iterable[Found] = USUAL, *, owner: str = "", depth: str = "full") -> Stay:
    """A travel trailer taken in and walked round with these findings."""
    arrival = rosalind()
    if owner and arrival.owner:
        arrival = replace(arrival, owner=replace(arrival.owner, name=owner))
    return _walked(book, take_in(book, act(person=WREN), arrival), found, depth, NOON)


def another(made: Stay, found: Iterable[Found]) -> Stay:
    """The same unit taken in once more, beside the stay that it has, and walked round with these findings."""
    with reading(made.book) as session:
        unit = session.get_one(Unit, session.get_one(WorkOrder, made.order).unit_id)
    arrival = Arrival(StaySaid(), known_unit=Known(unit.key, unit.revision), beside=True)
    order = take_in(made.book, made.act(WREN), arrival)
    return _walked(made.book, order, found, "full", made.act(TONI).at)


def _walked(book: Engine, order: int, found: Iterable[Found], depth: str, at: datetime) -> Stay:
    with writing(book) as session:
        walk = _kept(session, _walk(order, _version(session), depth, at))
        keys = {it.name: _keep(session, walk, it, at) for it in found}
        receipts.sign(session, act(person=TONI, at=at), "walk round", session.get_one(Walk, walk))
    return Stay(book, order, walk, keys, at)


def _version(session: Session) -> int:
    row = CatalogueVersion(created_at=NOON, sha256="0" * 64, content=catalogue().to_json())
    return (session.get(CatalogueVersion, 1) or row).id or _kept(session, row)


def _walk(order: int, version: int, depth: str, at: datetime) -> Walk:
    return Walk(
        created_at=at, work_order_id=order, catalogue_id=version, depth=depth, begun_by=TONI, ended_at=at
    )


def _keep(session: Session, walk: int, it: Found, at: datetime) -> int:
    key = _kept(
        session,
        Finding(
            created_at=NOON,
            walk_id=walk,
            check=it.check,
            place=it.place,
            name=it.name,
            station=it.station,
            grade=it.grade,
            by=it.by,
            reason=it.reason,
            until=it.until,
            until_miles=it.miles,
            closed_off=it.closed,
            fitted=it.fitted,
            worked=list(it.worked),
            note=it.note,
            looked_by=None if it.grade == "unseen" else TONI,
            looked_at=None if it.grade == "unseen" else at,
            looked_entry=0 if it.grade == "unseen" else receipts.coming(session),
        ),
    )
    for label, typed, unit in it.readings:
        measure = label.lower()
        _kept(
            session,
            Reading(created_at=NOON, finding_id=key, measure=measure, label=label, typed=typed, unit=unit),
        )
    return key


def _kept(session: Session, row: Finding | Walk | CatalogueVersion | Reading) -> int:
    session.add(row)
    session.flush()
    return row.key


def with_photo(made: Stay, name: str, files: Path, ink: str = "black", content: bytes | None = None) -> None:
    """A photo hung on a finding: drawn in an ink, or the content of a file."""
    with writing(made.book) as session:
        photo = keep_photo(session, files, act(person=TONI), read_photo(content or drawn(ink=ink)))
        session.add(FindingPhoto(created_at=NOON, finding_id=made.findings[name], photo_id=photo.key))


def with_job_photos(made: Stay, files: Path, *said: tuple[When, str]) -> int:
    """Photos of the stay's first job, when taken and what they show; returns the job's key."""
    with reading(made.book) as session:
        job = session.exec(select(Job.id).where(Job.work_order_id == made.order).order_by("id")).first()
    assert job is not None
    for when, words in said:
        photos = PhotosSaid(when, (read_photo(drawn()),), words)
        keep_photos(made.book, act(person=TONI), job, photos, files)
    return job


def ready(book: Engine, found: Iterable[Found] = USUAL, **more: str) -> Stay:
    """A stay worked on, cleared and checked, so that it may be towed."""
    made = stay(book, found, **more)
    made.price(say={"Seam": Said.LATER, "Reseal": Said.LATER, "Alarm": Said.NO})
    made.work()
    for name, key in made.findings.items():
        with reading(book) as session:
            held = session.get_one(Finding, key).grade == "dnt"
        if held:
            made.clear(name)
    made.check()
    return made

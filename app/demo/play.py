"""Plays the made-up shop of `seed_data/demo.toml` into a new book, day by day."""

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Engine

from app.accounts import papers as account_papers
from app.accounts import steps as accounts
from app.accounts.ready import ready
from app.accounts.rows import owed, seen
from app.accounts.rules import Counted, InvoiceSaid, Means, PaymentSaid, read_terms
from app.accounts.tables import Bill, DayClose, Payment
from app.bench import needs, shown
from app.bench import steps as bench
from app.bench.album import PhotosSaid, When, keep_photos
from app.bench.facts import JobLine, context_for, jobs_of, open_findings
from app.bench.floor import steps as floor
from app.bench.floor.rules import Pause, PausedFor
from app.bench.kinds import record_kinds
from app.bench.rules import Evidence, How, NewInstrument
from app.bench.torques import WRENCH
from app.demo.fitting import fitting
from app.demo.loft import Loft
from app.demo.pictures import job_picture, picture
from app.demo.records import played, texts_for
from app.demo.shelf import Shelf
from app.estimate import saying
from app.estimate import steps as estimate
from app.estimate.facts import lines_of, revisions_of
from app.estimate.rows import estimate_of, works_of
from app.estimate.rules import Group, NewLine, NewWork, Tax
from app.ground import people
from app.ground.acting import Act, hash_of, now
from app.ground.book import open_book, reading
from app.ground.migrating import migrate
from app.ground.papers import Paper, Printer
from app.ground.people import NewPerson, Role
from app.ground.photo_marks import keep_marks
from app.ground.press import NotPrinted, Press
from app.ground.settings import Settings, folder
from app.ground.shop import shop_of
from app.ground.shop_form import read_opening
from app.handover import steps as handover
from app.handover.after import steps as after
from app.handover.after.facts import visit_context, wheels_of
from app.handover.after.papers import visit_act, visit_paper
from app.handover.after.rules import read_visit
from app.handover.papers import handover_paper, paper_act
from app.handover.rules import Checked, Leaves, Leaving, Registered, items_of
from app.handover.stay import stay_of
from app.handover.tables import Handover
from app.inspection import editing
from app.inspection import steps as inspection
from app.inspection.catalogue import Catalogue, read_catalogue
from app.inspection.facts import FindingLine, findings_of, pictures_of
from app.inspection.steps import Seen
from app.inspection.unit import facts_of
from app.intake import steps as intake
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, TowSaid, UnitSaid
from app.intake.facts import order_head, unit_of
from app.intake.tables import Unit
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from app.trade.totals import LineKind
from app.trade.typed import Texts

LATEST = 21  # the last hour of the day in which a job is still begun
COURSE = (
    "arrived",
    "walking",
    "walked",
    "priced",
    "offered",
    "agreed",
    "working",
    "done",
    "checked",
    "billed",
    "gone",
)


def furnish(settings: Settings) -> None:
    """Make the demo shop in a new data folder."""
    scenario = tomllib.loads((folder("seed_data") / "demo.toml").read_text())
    settings.data.mkdir(parents=True, exist_ok=True)
    book = open_book(settings.book)
    migrate(book)
    catalogue = shown.checked(read_catalogue(folder("seed_data") / "catalogue"))
    play = Play(book, settings, catalogue, now())
    play.open_shop(scenario)
    shelf = Shelf(book, play.act, play.today)
    shelf.stock()
    for stay in sorted(scenario["stay"], key=lambda each: -each["days"]):
        play.stay(stay)
    shelf.serve()
    Loft(book, play.act, play.today).measure()
    play.press.close()
    book.dispose()


@dataclass
class Play:
    """Acts one after the other, each with its person and its time."""

    book: Engine
    settings: Settings
    catalogue: Catalogue
    today: datetime
    people: dict[str, int] = field(default_factory=dict)
    made: int = 0
    press: Press = field(default_factory=Press)

    def act(self, role: str, at: datetime, seen: int = 0) -> Act:
        """An act by the person of a role."""
        self.made += 1
        key = f"demo-{self.made}"
        return Act(key, hash_of([("key", key)]), self.people.get(role, 0), at, "demo", seen)

    def open_shop(self, scenario: Mapping[str, Any]) -> None:
        """The shop, its people, its instruments, its catalogue."""
        at = self.today - timedelta(days=400)
        first, *others = scenario["person"]
        phrase = scenario["passphrase"]
        account = {"name": first["name"], "passphrase": phrase, "again": phrase}
        shop, lead = read_opening(Texts(scenario["shop"] | account), at)
        self.people["lead"] = people.open_shop(self.book, self.act("", at), shop, lead)
        for each in others:
            new = NewPerson(each["name"], Role(each["role"]), phrase)
            key = people.add_person(self.book, self.act("lead", at), new)
            self.people["second" if each["role"] in self.people else each["role"]] = key
        for each in scenario["instrument"]:
            bench.keep_instrument(self.book, self.act("lead", at), self._instrument(each))
        editing.keep_catalogue(self.book, self.catalogue)
        accounts.set_terms(self.book, self.act("lead", at), read_terms(Texts(scenario["terms"])))

    def _instrument(self, each: Mapping[str, Any]) -> NewInstrument:
        return NewInstrument(
            name=each["name"],
            kind=each["kind"],
            unit=each["unit"],
            least=each["least"],
            most=each["most"],
            resolution=each["resolution"],
            calibrated_on=self._day(each.get("calibrated")),
            calibration_due=self._day(each.get("due")),
            active=True,
        )

    def _day(self, offset: int | None) -> date | None:
        return None if offset is None else (self.today + timedelta(days=offset)).date()

    def stay(self, told: Mapping[str, Any]) -> None:
        """One stay, as far as the scenario says it goes."""
        came = (self.today - timedelta(days=told["days"])).replace(hour=13, minute=0, tzinfo=UTC)
        it = Stay(self, told, min(came, self.today - timedelta(hours=2)))
        for step in COURSE[: COURSE.index(told["goes"]) + 1]:
            getattr(it, step)()


@dataclass
class Stay:
    """One stay on its way through the rooms; `at` moves on with every act."""

    play: Play
    told: Mapping[str, Any]
    at: datetime
    order: int = 0
    walk: int = 0

    @property
    def book(self) -> Engine:
        """The book that is played into."""
        return self.play.book

    def act(self, role: str, minutes: float = 20, seen: int = 0) -> Act:
        """The next act, some minutes on but never ahead of now."""
        self.at = min(self.at + timedelta(minutes=minutes), self.play.today)
        return self.play.act(role, self.at, seen)

    @property
    def zone(self) -> str:
        """The shop's own time zone."""
        with reading(self.book) as session:
            return shop_of(session).zone

    def next_morning(self) -> None:
        """The next working morning, nine o'clock in the shop, but never ahead of now."""
        morning = (self.at + timedelta(days=1)).replace(hour=13, minute=0)
        self.at = min(morning, self.play.today)

    def arrived(self) -> None:
        """Taken in, with drawn photos."""
        told = self.told
        unit = dict(told["unit"])
        unit["gawr"] = tuple(unit.get("gawr", ()))
        said = dict(told["stay"])
        shots = tuple(intake.Shot(picture(shows), shows) for shows in said.pop("photos", ()))
        said["concerns"] = tuple(said.get("concerns", ()))
        promised = self.at + timedelta(days=said.pop("promised", 12))
        arrival = Arrival(
            StaySaid(**said, promised_at=promised.replace(hour=20, minute=0)),
            OwnerSaid(**told["owner"]),
            UnitSaid(**unit),
            TowSaid(**told["tow"]) if "tow" in told else None,
        )
        album = intake.Album(self.play.settings.files, shots)
        self.order = intake.take_in(self.book, self.act("writer", 0), arrival, album)

    def walking(self) -> None:
        """Begun: what the scenario names is looked at, and the first stations."""
        self.walk = inspection.begin_walk(self.book, self.act("technician", 60), self.order)
        for finding in self._findings():
            if named := self._named(finding):
                self._record(finding, self._seen(named))
                self._mark(finding, named)
            elif finding.station <= 2:
                self._record_sound(finding)
        self._lead_looks_too()

    def _mark(self, finding: FindingLine, named: Mapping[str, Any]) -> None:
        """The marks that the scenario draws over a finding's photo."""
        if "marks" not in named:
            return
        with reading(self.book) as session:
            photo = pictures_of(session, [finding.id])[-1].photo_id
        keep_marks(self.book, self.act("technician", 0.5), photo, named["marks"])

    def _lead_looks_too(self) -> None:
        """The lead has a look at one place that nobody has seen yet."""
        for finding in [each for each in self._findings() if each.station > 2 and not each.looked_at][:1]:
            self._record_sound(finding, "lead")

    def walked(self) -> None:
        """Everything else is sound; the walk-round is ended."""
        for finding in self._findings():
            if finding.looked_at is None:
                self._record_sound(finding)
        inspection.end_walk(self.book, self.act("technician"), self.walk)

    def _findings(self) -> list[FindingLine]:
        with reading(self.book) as session:
            found = findings_of(session, self.order)
        return sorted(found, key=lambda line: (line.station, line.id))

    def _named(self, finding: FindingLine) -> Mapping[str, Any] | None:
        place = (finding.check, finding.place)
        return next((f for f in self.told["finding"] if (f["check"], f["place"]) == place), None)

    def _record(self, finding: FindingLine, seen: Seen, role: str = "technician") -> None:
        act = self.act(role, 0.5, finding.revision)
        inspection.record_finding(self.book, act, finding.id, seen, self.play.settings.files)

    def _seen(self, named: Mapping[str, Any]) -> Seen:
        return Seen(
            readings=dict(named.get("readings", {})),
            seen=tuple(named.get("seen", ())),
            grade=Grade(named["grade"]) if "grade" in named else None,
            by=By(named["by"]) if "by" in named else None,
            note=named.get("note", ""),
            photos=(picture(named["photo"]),) if "photo" in named else (),
        )

    def _record_sound(self, finding: FindingLine, role: str = "technician") -> None:
        check = self.play.catalogue.check(finding.check)
        texts = fitting(check, facts_of(self._unit()), self.at.date(), finding.place)
        if texts is not None:
            self._record(finding, Seen(readings=texts, grade=Grade.SOUND), role)

    def _unit(self) -> Unit:
        with reading(self.book) as session:
            return unit_of(session, self.order)

    def priced(self) -> None:
        """The findings are priced."""
        self.next_morning()
        estimate.price_findings(self.book, self.act("writer", 45, self._revision()), self.order)
        for way in self.told.get("way", ()):
            self._add(way, instead_of=self._work(way["instead_of"]))

    def _add(self, told: Mapping[str, Any], instead_of: int | None = None) -> None:
        """A work typed by hand: its hours and one part; another way of a work stands in the group of that."""
        part = NewLine(LineKind.PART, told["part"], told.get("quantity", "1"), told["price"], Tax.PARTS)
        group = Group(told.get("group", Group.WAIT))
        work = NewWork(told["title"], group, lines=(part,), hours=told["hours"], instead_of=instead_of)
        estimate.add_work(self.book, self.act("writer", 10, self._revision()), self.order, work)

    def _work(self, start: str) -> int:
        """The key of the work whose title starts so."""
        with reading(self.book) as session:
            works = works_of(session, self.order)
        return next(key for key, work in works.items() if work.title.startswith(start))

    def _revision(self) -> int:
        with reading(self.book) as session:
            found = estimate_of(session, self.order)
            return revisions_of(session, found.key)[-1].revision if found else 0

    def offered(self) -> None:
        """The estimate is shown to the owner."""
        estimate.freeze(self.book, self.act("writer", 30, self._revision()), self.order)

    def agreed(self) -> None:
        """The owner agrees on the phone to what cannot wait, and puts the rest off."""
        with reading(self.book) as session:
            found = estimate_of(session, self.order)
            assert found is not None
            revision = revisions_of(session, found.key)[-1]
            groups = {line.work_id: line.group for line in lines_of(session, revision.key)}
            owner = order_head(session, self.order).owner
        yes, later = saying.Said("yes"), saying.Said("later")
        said = saying.SaidAll(
            how=saying.How.PHONE,
            who=owner,
            answers=tuple(
                saying.WorkSaid(work, later if group == "wait" else yes) for work, group in groups.items()
            ),
            phone=self.told["owner"]["phone"],
            read_back="Read out work by work; agreed to all but what may wait.",
        )
        act = self.act("writer", 180, revision.revision)
        estimate.consent(self.book, act, self.order, revision.key, said)
        bench.open_jobs(self.book, self.act("writer", 5), self.order)
        if "deposit" in self.told:
            self._deposit(self.told["deposit"])
        if "more" in self.told:
            self._uncovered(self.told["more"])

    def _uncovered(self, more: Mapping[str, Any]) -> None:
        """The first job is begun and uncovers more, which the owner is asked about."""
        self.next_morning()
        job = self._jobs()[0]
        bench.begin(self.book, self.act("technician", 60, job.revision), job.id)
        self._add(more)
        estimate.freeze(self.book, self.act("writer", 10, self._revision()), self.order, more["note"])

    def _jobs(self) -> list[JobLine]:
        with reading(self.book) as session:
            return jobs_of(session, self.order)

    def working(self) -> None:
        """The first job is begun and its first records are kept."""
        self.next_morning()
        job = self._jobs()[0]
        bench.begin(self.book, self.act("technician", 60, job.revision), job.id)
        self._photographed(job, When.BEFORE)
        self._clocked(job)
        self._measure(job)
        if self.told["goes"] == "working":
            self._on_the_floor(job)

    def _photographed(self, job: JobLine, when: When) -> None:
        """A drawn photo of a job, as the technician takes one before the work and one after it."""
        said = PhotosSaid(when, (job_picture(job.title, when),))
        keep_photos(self.book, self.act("technician", 1), job.id, said, self.play.settings.files)

    def _clocked(self, job: JobLine) -> None:
        """Three quarters of an hour of the technician on a job."""
        if self.at.astimezone(ZoneInfo(self.zone)).hour > LATEST:
            self.next_morning()
        floor.clock_on(self.book, self.act("technician", 1), job.id)
        floor.clock_off(self.book, self.act("technician", 45))

    def _on_the_floor(self, job: JobLine) -> None:
        """How it stands now: one job waits for a part, one forgot to clock off, the lead is at work."""
        others = self._jobs()[1:]
        for other in others[:1]:
            bench.begin(self.book, self.act("technician", 5, other.revision), other.id)
            waits = Pause(PausedFor.PART, "leaf spring, Tuesday")
            floor.pause(self.book, self.act("technician", 1, other.revision + 1), other.id, waits)
        yesterday = self.play.act("second", self.play.today - timedelta(days=1))
        floor.clock_on(self.book, yesterday, job.id)
        floor.clock_on(self.book, self.play.act("lead", self._since()), job.id)

    def _since(self) -> datetime:
        """Forty minutes ago, but never yesterday in the shop: hours open since then count as forgotten."""
        now_there = self.play.today.astimezone(ZoneInfo(self.zone))
        midnight = now_there.replace(hour=0, minute=0, second=0, microsecond=0)
        return max(now_there - timedelta(minutes=40), midnight).astimezone(UTC)

    def _measure(self, job: JobLine) -> None:
        for asked in job.asked:
            if asked.record is None and played(asked.kind):
                self._keep(job, asked.kind, asked.place)

    def _keep(self, job: JobLine, kind: str, place: str) -> None:
        act = self.act("technician", 12)
        with reading(self.book) as session:
            context = context_for(session, job.id, kind, place, act.at.date())
        found = record_kinds()[kind]
        payload = found.read(Texts(texts_for(kind, context)), context)
        bench.keep_record(self.book, act, job.id, kind, place, payload)

    def done(self) -> None:
        """All jobs are finished with their records, or accepted by the lead; what they answer is cleared."""
        self._supplied()
        for job in self._jobs():
            self._finish(job)
        for finding in list(self._open()):
            self._clear(finding)

    def _supplied(self) -> None:
        """What the work needs and lies on the shelf is put aside for it and handed out."""
        for step in (needs.reserve_parts, needs.hand_out_parts):
            with suppress(Refused):  # this work needs nothing of the shelf
                step(self.book, self.act("technician", 5), self.order)

    def _job(self, job_id: int) -> JobLine:
        return next(job for job in self._jobs() if job.id == job_id)

    def _finish(self, job: JobLine) -> None:
        if job.begun_at is None:
            bench.begin(self.book, self.act("technician", 30, job.revision), job.id)
            self._photographed(job, When.BEFORE)
        self._clocked(job)
        self._measure(self._job(job.id))
        for step in job.steps:
            act = self.act("technician", 6, self._job(job.id).revision)
            bench.tick_step(self.book, act, job.id, step.number, done=True)
            if step.hold:
                lead = self.act("lead", 2)
                signer = floor.Signer(lead.person, floor.OWN)
                floor.sign_hold(self.book, lead, job.id, step.number, signer)
        self._photographed(job, When.AFTER)
        if not self._job(job.id).may_finish:
            reason = "Looked at together with the technician; measured by hand, not in a form."
            bench.accept_job(self.book, self.act("lead", 10, self._job(job.id).revision), job.id, reason)
        bench.finish_job(self.book, self.act("technician", 5, self._job(job.id).revision), job.id)

    def _open(self) -> Iterator[FindingLine]:
        with reading(self.book) as session:
            yield from open_findings(session, self.order)

    def _clear(self, finding: FindingLine) -> None:
        for job in self._jobs():
            if finding.id in job.finding_ids and job.proved:
                evidence = Evidence(How.RECORD, job_id=job.id)
                bench.clear_finding(self.book, self.act("lead", 5, finding.revision), finding.id, evidence)
                return

    def checked(self) -> None:
        """A second person reads the last list out."""
        self.next_morning()
        items = {item.key: "yes" for item in items_of(self._unit().kind)}
        handover.final_check(self.book, self.act("lead", 30), self.order, Checked(items, "Juno Askew"))

    def _deposit(self, amount: int) -> None:
        """A deposit in cash, and the day closed on it."""
        said = PaymentSaid(Means.CASH, amount, self.at.date())
        made = accounts.take_payment(self.book, self.act("writer", 10, self._account()), self.order, said)
        act = self.act("writer", 30, seen=1)
        closed = accounts.close_day(self.book, act, Counted(15_000, 15_000 + amount, amount))
        with reading(self.book) as session:
            payment, close = session.get_one(Payment, made), session.get_one(DayClose, closed)
            receipt = account_papers.receipt_paper(session, payment)
            day = account_papers.day_paper(session, close)
        self._print(account_papers.receipt_act(act, payment), receipt)
        self._print(account_papers.day_act(act, close), day)

    def _account(self) -> int:
        with reading(self.book) as session:
            return seen(session, self.order)

    def _print(self, act: Act, paper: Paper) -> None:
        """A paper; a machine without the renderer's libraries still has its demo."""
        settings = self.play.settings
        with suppress(NotPrinted):
            Printer(self.book, self.play.press, settings.files, settings.address).issue(act, paper)

    def billed(self) -> None:
        """Everything that was done is billed, and the better part of it paid by card."""
        with reading(self.book) as session:
            works = frozenset(work.work_id for work in ready(session, self.order, self.at.date()).works)
        said = InvoiceSaid(works, self.at.date() + timedelta(days=14))
        made = accounts.make_invoice(self.book, self.act("writer", 20, self._account()), self.order, said)
        with reading(self.book) as session:
            row, due = session.get_one(Bill, made), owed(session, self.order)
        self._print(account_papers.bill_act(self.act("writer", 0), row), account_papers.bill_paper(row))
        card = PaymentSaid(Means.CARD, due - due % 10_000, self.at.date(), "slip 0417")
        made = accounts.take_payment(self.book, self.act("writer", 10, self._account()), self.order, card)
        with reading(self.book) as session:
            payment = session.get_one(Payment, made)
            receipt = account_papers.receipt_paper(session, payment)
        self._print(account_papers.receipt_act(self.act("writer", 0), payment), receipt)

    def gone(self) -> None:
        """Handed over under tow, with its paper."""
        with reading(self.book) as session:
            given = Registered.GIVEN if stay_of(session, self.order).tires else None
        leaving = Leaving(Leaves.TOWED, self.told["owner"]["name"], on_paper=True, registered=given)
        act = self.act("writer", 60)
        made = handover.hand_over(self.book, act, self.order, leaving)
        with reading(self.book) as session:
            row = session.get_one(Handover, made)
        self._print(paper_act(act, row), handover_paper(row))
        self._retorqued()

    def _retorqued(self) -> None:
        """The owner comes back after the first miles, and every wheel's nuts are gone round."""
        self.next_morning()
        with reading(self.book) as session:
            wheels, context = (
                wheels_of(session, self.order),
                visit_context(session, self.order, self.at.date()),
            )
        typed = {"miles": "28", **{f"wheel-{wheel.place}": "none" for wheel in wheels}}
        for wheel in wheels[:1]:
            tool = next(tool for tool in context.tools if tool.kind == WRENCH)
            typed |= {"torque": f"{wheel.figure.aim:f}", "instrument": str(tool.id)}
        if wheels:
            visit = read_visit(Texts(typed), wheels, context)
            made = after.keep_visit(self.book, self.act("technician", 25), self.order, visit)
            with reading(self.book) as session:
                paper = visit_paper(session, made)
            self._print(visit_act(self.act("writer", 0), made), paper)

"""The bench's pages: jobs of a work order, one job, record forms, clearing, instruments, papers."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Annotated, TypeVar

from fastapi import APIRouter, Depends, HTTPException, Path, Request, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.bench import facts, rules, steps
from app.bench.album import album_of
from app.bench.facts import AskedLine, JobLine, RecordLine
from app.bench.floor.facts import on_floor
from app.bench.floor.rules import PausedFor
from app.bench.kinds import INSTRUMENT_KINDS, Context, Payload, RecordKind, record_kinds
from app.bench.tables import Job
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.codes import square_to
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, LEADS, TECHNICIANS, Acting, Book, Page, Set, Typed, printer_of
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.ground.shop import settings_of
from app.ground.tables import Instrument
from app.ground.words import local
from app.inspection.catalogue import Caution
from app.inspection.facts import pictures_of
from app.inspection.tables import Finding
from app.intake.facts import OrderHead, order_head
from app.trade.fasteners import retorque_schedule
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.quantity import UNITS
from app.trade.typed import Texts

router = APIRouter()
Found = TypeVar("Found")
Key = Annotated[int, Path(ge=1, lt=2**63)]
PAUSES = [(each.value, each.word or "something else") for each in PausedFor]
MOST_PICTURES = 4  # on a job sheet
TOOL_UNITS = (
    *("", "lbf_ft", "lbf_in", "N_m", "in", "in_32nd", "thou", "mm", "psi", "kPa", "in_wc"),
    *("V", "A", "ohm", "oz", "g", "lb", "kg", "lbf", "degF", "degC"),
)


# Jobs of a work order


@router.get("/bench/orders/{order_id}", dependencies=[Depends(ANYONE)])
def jobs_page(order_id: Key, book: Book, page: Page) -> Response:
    """The jobs of a work order, what still holds the unit, and what was cleared."""
    return _jobs(book, page, order_id, Filled())


@router.post("/bench/orders/{order_id}/jobs", dependencies=[Depends(ANYONE)])
def open_jobs(order_id: Key, act: Acting, book: Book, page: Page) -> Response:
    """Opens a job for each piece of work that the owner agreed to."""
    with reading(book) as session:
        _found(facts.order_exists(session, order_id) or None, "There is no such work order.")
    steps.open_jobs(book, act, order_id)
    return page.go(f"/bench/orders/{order_id}")


def _jobs(book: Engine, page: Pages, order_id: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        _found(facts.order_exists(session, order_id) or None, "There is no such work order.")
        shown = {
            "head": order_head(session, order_id),
            "jobs": facts.jobs_of(session, order_id),
            "waiting": facts.works_waiting(session, order_id),
            "findings": facts.open_findings(session, order_id),
            "to_price": {line.id for line in facts.to_price(session, order_id)},
            "clearances": facts.clearances(session, order_id),
            "torque_records": _torques(facts.records_of(session, order_id)),
        }
    return page.show("bench/order", status=status, form=form, **shown)


def _torques(records: list[RecordLine]) -> list[RecordLine]:
    """The newest torque record of each wheel, the oldest first: one wheel may be asked for by two jobs."""
    newest = {each.place: each for each in records if each.kind == "wheel_torque"}
    return sorted(newest.values(), key=lambda each: each.id)


def _found(found: Found | None, says: str) -> Found:
    if found is None:
        raise HTTPException(404, says)
    return found


# One job


@router.get("/bench/jobs/{job_id}", dependencies=[Depends(ANYONE)])
def job_page(job_id: Key, book: Book, page: Page) -> Response:
    """One job: cautions, steps, the records that it asks for, and whether the owner's word covers it."""
    return _job(book, page, job_id, Filled(revision=_job_line(book, job_id).revision))


@router.post("/bench/jobs/{job_id}/begin", dependencies=[Depends(TECHNICIANS)])
def begin_job(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Begins a job in the name of who asks."""
    return on_job(book, page, job_id, typed, lambda: steps.begin(book, act, job_id))


@router.post("/bench/jobs/{job_id}/steps/{number}", dependencies=[Depends(TECHNICIANS)])
def tick_step(job_id: Key, number: int, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Keeps a step of a job as done, or as not done after all."""
    done = typed.get("done") == "yes"
    return on_job(book, page, job_id, typed, lambda: steps.tick_step(book, act, job_id, number, done=done))


@router.post("/bench/jobs/{job_id}/finish", dependencies=[Depends(TECHNICIANS)])
def finish_job(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Finishes a job whose records stand inside their limits, or that a lead has accepted."""
    return on_job(book, page, job_id, typed, lambda: steps.finish_job(book, act, job_id))


@router.post("/bench/jobs/{job_id}/accept", dependencies=[Depends(LEADS)])
def accept_job(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Keeps a lead's written acceptance where a record is missing or outside."""
    return on_job(
        book, page, job_id, typed, lambda: steps.accept_job(book, act, job_id, rules.read_reason(typed))
    )


def on_job(book: Engine, page: Pages, job_id: int, typed: Sent, step: Callable[[], int]) -> Response:
    """One act on a job, answered by its page: as it stands now, or with what was typed and why not."""
    revision = _job_line(book, job_id).revision
    try:
        step()
    except Refused as refused:
        return _job(book, page, job_id, replace(again(typed, refused.problems), revision=revision), 422)
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(Job, id=job_id), beside=_job_beside)
        return _job(book, page, job_id, form, 409)
    return page.go(f"/bench/jobs/{job_id}")


def _job_beside(first: First) -> list[Beside]:
    """What a job says now in the fields that are asked for no more: accepted, or paused."""
    job = first.row(Job) or {}
    waits = Beside("paused_for", "It waits for", job.get("paused_for", ""), dict(PAUSES))
    note = Beside("paused_note", "What exactly", job.get("paused_note", ""))
    return [Beside("reason", "Why it is accepted", job.get("accepted_reason", "")), waits, note]


def _job_line(book: Engine, job_id: int) -> JobLine:
    with reading(book) as session:
        return _found(facts.job_of(session, job_id), "There is no such job.")


def _job(book: Engine, page: Pages, job_id: int, form: Filled, status: int = 200) -> Response:
    assert page.who is not None
    with reading(book) as session:
        job = _found(facts.job_of(session, job_id), "There is no such job.")
        shown = {
            "job": job,
            "head": order_head(session, job.order_id),
            "number": facts.number_of(session, job.order_id),
            "floor": on_floor(session, job_id, page.who.id, now()),
            "album": album_of(session, job_id),
            "clearances": facts.cleared_by(session, job),
            "pauses": PAUSES,
        }
    return page.show("bench/job", status=status, form=form, **shown)


# Records


@dataclass(frozen=True)
class Sheet:
    """The form of one record: job, kind, what is asked for where, what it needs to know, what stands."""

    job: JobLine
    kind: RecordKind[Payload]
    asked: AskedLine
    context: Context
    head: OrderHead
    cautions: tuple[Caution, ...]

    @property
    def record(self) -> RecordLine | None:
        """The record that stands here."""
        return self.asked.record

    @property
    def record_ids(self) -> set[int]:
        """Keys of this place's records, superseded ones among them."""
        return {each.id for each in (self.record, *self.record.earlier)} if self.record else set()


def sheet_of(book: Engine, page: Pages, job_id: int, kind: str, place: str) -> Sheet:
    """The form of one record of a job; HTTPException 404 where the job asks for no such record."""
    on = local(now(), page.zone).date()
    with reading(book) as session:
        job = _found(facts.job_of(session, job_id), "There is no such job.")
        asked = next((each for each in job.asked if (each.kind, each.place) == (kind, place)), None)
        if asked is None or not asked.known:
            raise HTTPException(404, "This job asks for no such record.")
        context = facts.context_for(session, job_id, kind, place, on)
        found, head = record_kinds()[kind], order_head(session, job.order_id)
        return Sheet(job, found, asked, context, head, facts.cautions_of(session, found.cautions))


def _record(page: Pages, sheet: Sheet, form: Filled, status: int = 200) -> Response:
    return page.show("bench/record", status=status, **sheet_facts(sheet, form))


def sheet_facts(sheet: Sheet, form: Filled) -> dict[str, object]:
    """What the form of a record shows."""
    typed = form.typed or Texts(form.values)
    return {
        "form": form,
        "job": sheet.job,
        "kind": sheet.kind,
        "asked": sheet.asked,
        "record": sheet.record,
        "context": sheet.context,
        "head": sheet.head,
        "cautions": sheet.cautions,
        "tools": sheet.context.tools_of(sheet.kind.tools),
        "it": sheet.kind.draw(typed, sheet.context),
    }


@router.get("/bench/jobs/{job_id}/records/{kind}/{place}", dependencies=[Depends(ANYONE)])
def record_page(job_id: Key, kind: str, place: str, book: Book, page: Page) -> Response:
    """The form of a measured record, or of the correction of the one that stands."""
    sheet = sheet_of(book, page, job_id, kind, place)
    if sheet.record is None:
        return _record(page, sheet, Filled(sheet.kind.start(sheet.context)))
    return _record(page, sheet, _correction(sheet, sheet.record))


def _correction(sheet: Sheet, record: RecordLine) -> Filled:
    values = sheet.kind.texts(sheet.kind.kept(record.payload))
    return Filled({**values, "supersedes": str(record.id), "correction-kind": ""})


@router.post("/bench/jobs/{job_id}/records/{kind}/{place}", dependencies=[Depends(TECHNICIANS)])
def save_record(
    job_id: Key, kind: str, place: str, typed: Typed, act: Acting, book: Book, page: Page
) -> Response:
    """Keeps a measured record with its verdict, or draws it anew without keeping it."""
    sheet = sheet_of(book, page, job_id, kind, place)
    if typed.get("draw"):
        return _record(page, sheet, again(typed, []))
    try:
        keep_typed(book, act, sheet, typed)
    except Refused as refused:
        return _record(page, sheet, again(typed, refused.problems), 422)
    return page.go(f"/bench/jobs/{job_id}#records")


def keep_typed(book: Engine, act: Act, sheet: Sheet, typed: Sent) -> None:
    """Keep the record that stands in a form, or the correction of one; raises Refused with every problem."""
    problems: list[Problem] = []
    payload = reason = None
    try:
        payload = sheet.kind.read(typed, sheet.context)
    except Refused as refused:
        problems += refused.problems
    try:
        reason = rules.read_correction(typed) if typed.get("supersedes") else ""
    except Refused as refused:
        problems += refused.problems
    if problems or payload is None or reason is None:
        raise Refused(problems)
    supersedes = typed.get("supersedes")
    if not supersedes:
        steps.keep_record(book, act, sheet.job.id, sheet.kind.key, sheet.asked.place, payload)
    elif supersedes not in {str(key) for key in sheet.record_ids}:
        raise Refused(
            [Problem("", "The record that this corrects is not of this job", "the page opened anew")]
        )
    else:
        steps.correct_record(book, act, int(supersedes), payload, reason)


# Clearing


@router.get("/bench/findings/{finding_id}/clear", dependencies=[Depends(ANYONE)])
def clear_page(finding_id: Key, book: Book, page: Page) -> Response:
    """What could clear a finding: finished jobs with their records, second looks, a lead's reason."""
    return _clear(book, page, finding_id, None)


@router.post("/bench/findings/{finding_id}/clear", dependencies=[Depends(ANYONE)])
def clear_finding(finding_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Clears a finding by the evidence that the form names."""
    with reading(book) as session:
        offer = _found(facts.offer_for(session, finding_id), "There is no such finding.")
    try:
        steps.clear_finding(book, act, finding_id, rules.read_evidence(typed))
    except Refused as refused:
        return _clear(book, page, finding_id, again(typed, refused.problems), 422)
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(Finding, id=finding_id), beside=_graded_anew)
        return _clear(book, page, finding_id, form, 409)
    return page.go(f"/bench/orders/{offer.order_id}#findings")


def _graded_anew(first: First) -> list[Beside]:
    row = first.row(Finding)
    graded = f"graded {Grade(row['grade']).word.lower()}: {row['reason']}" if row else ""
    words = {how.value: f"cleared {how.by}" for how in rules.How}
    return [Beside("how", "The finding", graded, words)] if row else []


def _clear(book: Engine, page: Pages, finding_id: int, form: Filled | None, status: int = 200) -> Response:
    with reading(book) as session:
        offer = _found(facts.offer_for(session, finding_id), "There is no such finding.")
        head = order_head(session, offer.order_id)
    form = form or Filled(revision=offer.finding.revision)
    return page.show("bench/clear", status=status, offer=offer, head=head, form=form)


# Instruments


@router.get("/bench/instruments", dependencies=[Depends(ANYONE)])
def instruments_page(book: Book, page: Page) -> Response:
    """The shop's instruments with range and calibration."""
    return _instruments(book, page, Filled())


@router.post("/bench/instruments", dependencies=[Depends(LEADS)])
def add_instrument(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps a new instrument."""
    try:
        steps.keep_instrument(book, act, rules.read_instrument(typed, INSTRUMENT_KINDS))
    except Refused as refused:
        return _instruments(book, page, again(typed, refused.problems), status=422)
    return page.go("/bench/instruments")


@router.get("/bench/instruments/{instrument_id}", dependencies=[Depends(LEADS)])
def instrument_page(instrument_id: Key, book: Book, page: Page) -> Response:
    """The form that changes an instrument."""
    row = _instrument(book, instrument_id)
    return _instruments(book, page, Filled(_texts(row), revision=row.revision), row)


@router.post("/bench/instruments/{instrument_id}", dependencies=[Depends(LEADS)])
def change_instrument(instrument_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what was changed of an instrument."""
    row = _instrument(book, instrument_id)
    try:
        steps.keep_instrument(book, act, rules.read_instrument(typed, INSTRUMENT_KINDS), instrument_id)
    except Refused as refused:
        return _instruments(book, page, again(typed, refused.problems), row, status=422)
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(Instrument, id=instrument_id), _texts(row))
        return _instruments(book, page, form, row, status=409)
    return page.go("/bench/instruments")


def _instrument(book: Engine, instrument_id: int) -> Instrument:
    with reading(book) as session:
        return _found(session.get(Instrument, instrument_id), "There is no such instrument.")


def _texts(row: Instrument) -> Mapping[str, str]:
    return {
        "name": row.name,
        "kind": row.kind,
        "unit": row.unit,
        "least": row.least,
        "most": row.most,
        "resolution": row.resolution,
        "calibrated_on": str(row.calibrated_on or ""),
        "calibration_due": str(row.calibration_due or ""),
        "retired": "" if row.active else "yes",
    }


def _instruments(
    book: Engine, page: Pages, form: Filled, row: Instrument | None = None, status: int = 200
) -> Response:
    with reading(book) as session:
        rows = facts.instruments_of(session)
    units = [(unit, UNITS[unit][0] or "none") for unit in TOOL_UNITS]
    return page.show(
        "bench/instruments",
        status=status,
        form=form,
        rows=rows,
        row=row,
        kinds=INSTRUMENT_KINDS,
        units=units,
        today=local(now(), page.zone).date(),
    )


# Papers


@router.post("/bench/jobs/{job_id}/sheet", dependencies=[Depends(ANYONE)])
def print_job_sheet(
    job_id: Key, act: Acting, typed: Typed, book: Book, page: Page, settings: Set, request: Request
) -> Response:
    """Prints the sheet of a job: steps, figures to reach, boxes to fill."""
    job = _job_line(book, job_id)
    with reading(book) as session:
        paper = job_paper(session, job, local(now(), page.zone).date(), settings.address)
    try:
        made = printer_of(request).issue(act, paper)
    except NotPrinted as wrong:
        problem = Problem("", f"The sheet was not printed: {wrong}", "trying once more")
        form = replace(again(typed, [problem]), revision=job.revision)
        return _job(book, page, job_id, form, 422)
    return page.go(f"/papers/{made}.pdf")


def job_paper(session: Session, job: JobLine, on: date, address: str) -> Paper:
    """The sheet of a job. `on`: today in the shop; `address`: where tablets reach it, empty for no code."""
    pictures = pictures_of(session, job.finding_ids)[:MOST_PICTURES]
    told = _sheet_told(session, on, job)
    return Paper(
        template="jobsheet",
        kind="job sheet",
        number=f"{facts.number_of(session, job.order_id)}, job {job.number}",
        title="Job sheet",
        work_order_id=job.order_id,
        facts={**told, "code": square_to(address, "bench", "jobs", job.id), "pictures": pictures},
        photos={f"photo-{each.photo_id}": each.sha256 for each in pictures},
    )


def _sheet_told(session: Session, on: date, job: JobLine) -> dict[str, object]:
    """What a job sheet says, without its code and its pictures."""
    blanks = [_blank(session, on, job, each) for each in job.asked if _open(each)]
    return {
        "job": job,
        "tag": order_head(session, job.order_id),
        "blanks": blanks,
        "clearances": facts.cleared_by(session, job),
        "tools": list(dict.fromkeys(tool for each in blanks for tool in each.kind.tools)),
        "nuts": any(each.kind.key == "wheel_torque" for each in blanks),
    }


@dataclass(frozen=True)
class Blank:
    """A record to be written on paper: kind, where, and what its drawing needs."""

    kind: RecordKind[Payload]
    asked: AskedLine
    context: Context
    it: Mapping[str, object]


def _open(asked: AskedLine) -> bool:
    """Whether a record is still to be written: it has a form, and none stands inside its limits."""
    stands = asked.record or asked.lent
    return asked.known and not (stands and stands.inside)


def _blank(session: Session, on: date, job: JobLine, asked: AskedLine) -> Blank:
    kind = record_kinds()[asked.kind]
    context = facts.context_for(session, job.id, kind.key, asked.place, on)
    return Blank(kind, asked, context, kind.draw(Texts(kind.start(context)), context))


def _card(head: OrderHead, wheels: list[RecordLine], miles: tuple[int, ...]) -> Mapping[str, object]:
    """What the nut card says; wheels with another figure or other studs than the newest are named on it."""
    newest = wheels[-1]
    told = ("studs", "unit", "low", "high")
    odd = [each for each in wheels if any(each.payload[name] != newest.payload[name] for name in told)]
    schedule = retorque_schedule(miles)
    return {"tag": head, "wheels": wheels, "newest": newest, "odd": odd, "schedule": schedule}


@router.post("/bench/orders/{order_id}/retorque", dependencies=[Depends(ANYONE)])
def print_retorque_card(
    order_id: Key, act: Acting, typed: Typed, book: Book, page: Page, request: Request
) -> Response:
    """Prints the nut card of the wheels whose torque stands."""
    with reading(book) as session:
        _found(facts.order_exists(session, order_id) or None, "There is no such work order.")
        head, number = order_head(session, order_id), facts.number_of(session, order_id)
        wheels = _torques(facts.records_of(session, order_id))
        miles = settings_of(session).retorques
    if not wheels:
        problem = Problem("", "No wheel has its torque recorded yet", "a wheel nut torque record first")
        return _jobs(book, page, order_id, again(typed, [problem]), 422)
    paper = Paper(
        template="retorque",
        kind="retorque card",
        number=number,
        title="Nut card",
        work_order_id=order_id,
        facts=_card(head, wheels, miles),
    )
    try:
        made = printer_of(request).issue(act, paper)
    except NotPrinted as wrong:
        problem = Problem("", f"The card was not printed: {wrong}", "trying once more")
        return _jobs(book, page, order_id, again(typed, [problem]), 422)
    return page.go(f"/papers/{made}.pdf")

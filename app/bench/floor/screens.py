"""The floor's pages: one tap to clock on, the shop's hours, a pause, the second person at a hold point."""

from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine

from app.bench.floor import facts, rules, steps
from app.bench.floor.facts import StintLine
from app.bench.screens import on_job
from app.bench.tables import Stint
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.first import About, Beside, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, TECHNICIANS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.people import Role
from app.ground.receipts import Stale
from app.ground.words import local
from app.trade.problems import Refused
from app.trade.typed import Reader

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]


# The clock


@router.post("/bench/jobs/{job_id}/clock", dependencies=[Depends(TECHNICIANS)])
def clock_on(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Clocks the person on to this job, and off the one before."""
    return on_job(book, page, job_id, typed, lambda: steps.clock_on(book, act, job_id))


@router.get("/bench/hours", dependencies=[Depends(ANYONE)])
def hours_page(book: Book, page: Page) -> Response:
    """Who is on what now, hours that nobody ended, sold beside clocked hours of each job."""
    return _hours(book, page, Filled())


def _hours(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    assert page.who is not None
    with reading(book) as session:
        shown = facts.hours_page(session, now())
        mine = facts.clocked_on(session, page.who.id, now())
    return page.show("bench/floor/hours", status=status, shown=shown, mine=mine, form=form)


@router.post("/bench/clock-off", dependencies=[Depends(TECHNICIANS)])
def clock_off(act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Clocks the person off."""
    try:
        steps.clock_off(book, act)
    except Refused as refused:
        return _hours(book, page, again(typed, refused.problems), 422)
    return page.go("/bench/hours")


@router.get("/bench/stints/{stint_id}", dependencies=[Depends(TECHNICIANS)])
def stint_page(stint_id: Key, book: Book, page: Page) -> Response:
    """The hours of one stint, with the likely hour where its end was forgotten."""
    return _stint(book, page, stint_id, None)


@router.post("/bench/stints/{stint_id}", dependencies=[Depends(TECHNICIANS)])
def say_hours(stint_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Keeps when somebody stopped who forgot to clock off, or a lead's correction with its reason."""
    line = _line(book, stint_id)
    try:
        steps.say_hours(book, act, stint_id, rules.read_times(typed, correcting=_corrects(page, line)))
    except Refused as refused:
        form = replace(again(typed, refused.problems), revision=line.revision)
        return _stint(book, page, stint_id, form, 422)
    except Stale as stale:
        return _stint(book, page, stint_id, _too_late(book, page, stint_id, typed, stale), 409)
    return page.go("/bench/hours")


def _too_late(book: Engine, page: Pages, stint_id: int, typed: Sent, stale: Stale) -> Filled:
    line, about = _line(book, stint_id), About(Stint, id=stint_id)
    stands = _stands(line, page.zone)
    if _corrects(page, line):
        return late(book, page.zone, typed, stale, about, stands)
    told = [Beside("ended", "Stopped", stands["ended"])]
    return late(book, page.zone, typed, stale, about, beside=lambda _: told)


def _corrects(page: Pages, line: StintLine) -> bool:
    """Whether the person corrects these hours, with a reason: a lead, but for an end of their own to say."""
    assert page.who is not None
    return page.who.role == Role.LEAD and not _own_end(page, line)


def _own_end(page: Pages, line: StintLine) -> bool:
    """Whether these are hours of the person's own that nobody ended."""
    assert page.who is not None
    return line.person_id == page.who.id and line.ended_at is None


def _line(book: Engine, stint_id: int) -> StintLine:
    with reading(book) as session:
        line = facts.stint_of(session, stint_id, now())
    if line is None:
        raise HTTPException(404, "There are no such hours.")
    return line


def _stands(line: StintLine, zone: str) -> dict[str, str]:
    """A stint as its form shows it; no end while it is open."""
    ended = f"{local(line.ended_at, zone):%H:%M}" if line.ended_at else ""
    return {"begun": f"{local(line.begun_at, zone):%H:%M}", "ended": ended, "reason": line.reason}


def _stint(book: Engine, page: Pages, stint_id: int, form: Filled | None, status: int = 200) -> Response:
    line = _line(book, stint_id)
    with reading(book) as session:
        likely = facts.likely_end(session, line)
    ended = local(line.ended_at, page.zone) if line.ended_at else likely
    begun = local(line.begun_at, page.zone)
    form = form or Filled({"begun": f"{begun:%H:%M}", "ended": f"{ended:%H:%M}"}, revision=line.revision)
    corrects = _corrects(page, line)
    shown = {"line": line, "likely": likely, "corrects": corrects, "may": corrects or _own_end(page, line)}
    return page.show("bench/floor/stint", status=status, form=form, **shown)


# Pausing


@router.post("/bench/jobs/{job_id}/pause", dependencies=[Depends(TECHNICIANS)])
def pause_job(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Pauses a job with its reason; the yard says what the unit waits for."""
    return on_job(book, page, job_id, typed, lambda: steps.pause(book, act, job_id, rules.read_pause(typed)))


@router.post("/bench/jobs/{job_id}/resume", dependencies=[Depends(TECHNICIANS)])
def resume_job(job_id: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Goes on with a paused job."""
    return on_job(book, page, job_id, typed, lambda: steps.resume(book, act, job_id))


# Hold points


@router.post("/bench/jobs/{job_id}/holds/{number}", dependencies=[Depends(TECHNICIANS)])
def sign_hold(job_id: Key, number: Key, act: Acting, book: Book, page: Page, typed: Typed) -> Response:
    """Keeps that a second person looked at a step, by own sign-in or passphrase on this tablet."""
    return on_job(book, page, job_id, typed, lambda: _signed(book, act, job_id, number, typed))


def _signed(book: Engine, act: Act, job_id: int, number: int, typed: Sent) -> int:
    read = Reader(typed)
    named = read.whole("signer", least=1, most=2**53)
    read.done()
    signer = steps.signer_of(book, act, named, typed.get("passphrase"))
    return steps.sign_hold(book, act, job_id, number, signer)

"""Typing a paper job sheet in afterwards: one page in the sheet's order, the next record open on it."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine

from app.bench import facts, steps
from app.bench.facts import AskedLine, JobLine
from app.bench.screens import keep_typed, sheet_facts, sheet_of
from app.ground.book import reading
from app.ground.forms import Filled, Sent, again
from app.ground.gate import TECHNICIANS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.intake.facts import order_head
from app.trade.problems import Problem, Refused

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]


@router.get("/bench/jobs/{job_id}/typing", dependencies=[Depends(TECHNICIANS)])
def typing_page(job_id: Key, book: Book, page: Page) -> Response:
    """The sheet of a job as it is typed in: steps, records in their order, the next one open."""
    return _typing(book, page, job_id, Filled())


def _typing(book: Engine, page: Pages, job_id: int, form: Filled, status: int = 200) -> Response:
    job = _job(book, job_id)
    left = to_type(job)
    if not left:
        with reading(book) as session:
            head = order_head(session, job.order_id)
        return page.show("bench/typed", status=status, job=job, head=head, form=form)
    sheet = sheet_of(book, page, job_id, left[0].kind, left[0].place)
    return _open(
        page, job, left[0], sheet_facts(sheet, Filled(sheet.kind.start(sheet.context))), form, status
    )


def _open(
    page: Pages, job: JobLine, asked: AskedLine, shown: dict[str, object], steps_form: Filled, status: int
) -> Response:
    where = f"/bench/jobs/{job.id}/typing/{asked.kind}/{asked.place}"
    return page.show("bench/typing", status=status, **{**shown, "here": where, "steps_form": steps_form})


def to_type(job: JobLine) -> tuple[AskedLine, ...]:
    """The records of a job that are still to be typed in, in the order of its sheet."""
    return tuple(each for each in job.asked if each.known and not (each.record or each.lent))


def _job(book: Engine, job_id: int) -> JobLine:
    with reading(book) as session:
        job = facts.job_of(session, job_id)
    if job is None:
        raise HTTPException(404, "There is no such job.")
    return job


@router.post("/bench/jobs/{job_id}/typing", dependencies=[Depends(TECHNICIANS)])
def tick_sheet(job_id: Key, act: Acting, typed: Typed, book: Book, page: Page) -> Response:
    """Keeps the steps that are ticked on the paper."""
    _job(book, job_id)
    try:
        steps.tick_steps(book, act, job_id, _numbers(typed))
    except Refused as refused:
        return _typing(book, page, job_id, again(typed, refused.problems), 422)
    return page.go(f"/bench/jobs/{job_id}/typing")


def _numbers(typed: Sent) -> list[int]:
    raw = typed.all("step")
    if not all(each.isascii() and each.isdigit() and len(each) < 4 for each in raw):
        raise Refused([Problem("step", "This is no step", "a step of this job")])
    return [int(each) for each in raw]


@router.post("/bench/jobs/{job_id}/typing/{kind}/{place}", dependencies=[Depends(TECHNICIANS)])
def type_record(
    job_id: Key, kind: str, place: str, act: Acting, typed: Typed, book: Book, page: Page
) -> Response:
    """Keeps one record of the sheet, and goes on to the next."""
    sheet = sheet_of(book, page, job_id, kind, place)
    status = 200
    form = again(typed, [])
    if not typed.get("draw"):
        try:
            keep_typed(book, act, sheet, typed)
        except Refused as refused:
            form, status = again(typed, refused.problems), 422
        else:
            return page.go(f"/bench/jobs/{job_id}/typing")
    return _open(page, sheet.job, sheet.asked, sheet_facts(sheet, form), Filled(), status)

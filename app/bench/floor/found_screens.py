"""The page on which a technician says that more damage was found while a job goes on."""

from collections.abc import Sequence

from fastapi import APIRouter, Depends, HTTPException, Response
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound

from app.bench.facts import job_of, number_of
from app.bench.floor.found import Weighs, find_more, places_left, read_found
from app.bench.screens import Key
from app.bench.tables import Job
from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, again
from app.ground.gate import TECHNICIANS, Acting, Book, Page, Set, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.inspection.screens import held_of
from app.intake.facts import order_head
from app.trade.problems import Refused

router = APIRouter()
UPLOAD = 27_000_000


@router.get("/bench/jobs/{job_id}/found", dependencies=[Depends(TECHNICIANS)])
def found_page(job_id: Key, book: Book, page: Page) -> Response:
    """The form for damage that shows only once the work is under way."""
    return _page(book, page, job_id, None)


@router.post("/bench/jobs/{job_id}/found", dependencies=[Depends(TECHNICIANS)], max_body_size=UPLOAD)
def keep_found(job_id: Key, typed: Typed, act: Acting, book: Book, page: Page, settings: Set) -> Response:
    """Keeps the finding, opens a supplement for it, and stops the job where that was said."""
    try:
        find_more(book, act, job_id, read_found(typed), settings.files)
    except NoResultFound as nothing:
        raise HTTPException(404, "There is no such job.") from nothing
    except Refused as refused:
        held = held_of(book, act, typed, settings)
        return _page(book, page, job_id, again(typed, refused.problems), 422, held)
    except Stale as stale:
        held = held_of(book, act, typed, settings)
        form = late(book, page.zone, typed, stale, About(Job, id=job_id))
        return _page(book, page, job_id, form, 409, held)
    with reading(book) as session:
        return page.go(f"/bench/orders/{session.get_one(Job, job_id).work_order_id}#findings")


def _page(
    book: Engine,
    page: Pages,
    job_id: int,
    form: Filled | None,
    status: int = 200,
    held: Sequence[int] = (),
) -> Response:
    with reading(book) as session:
        line = job_of(session, job_id)
        if line is None:
            raise HTTPException(404, "There is no such job.")
        shown = {
            "job": line,
            "head": order_head(session, line.order_id),
            "number": number_of(session, line.order_id),
            "stations": places_left(session, session.get_one(Job, job_id)),
            "weights": [(each.value, each.word) for each in Weighs],
            "held": held,
        }
    form = form or Filled({"stops": "yes"}, revision=line.revision)
    return page.show("bench/floor/found", status=status, form=form, **shown)

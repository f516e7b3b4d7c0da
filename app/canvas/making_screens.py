"""Pages of how a canvas order is made: its stages said done one after the other, the last one taken back."""

from collections.abc import Callable

from fastapi import APIRouter, Depends, Response
from sqlalchemy import Engine

from app.canvas import facts, making
from app.canvas.answers import answered
from app.canvas.inspected import inspections_of
from app.canvas.priced import priced_of
from app.canvas.roll_ends import ROLL_ENDS, ends_in_stock
from app.canvas.screens import NO_ORDER, Key
from app.canvas.shown import hrefs_of
from app.canvas.tables import CanvasStage
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, Sent
from app.ground.gate import ANYONE, Acting, Book, Page, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.trade.typed import Reader

router = APIRouter()
HERE = ("", "stage", "hours", "note", "why", ROLL_ENDS)  # fields of this page; the rest is elsewhere


@router.get("/canvas/{canvas_id}/making", dependencies=[Depends(ANYONE)])
def making_page(canvas_id: Key, book: Book, page: Page) -> Response:
    """The stages of a canvas order."""
    return _making(book, page, canvas_id)


def _making(
    book: Engine, page: Pages, canvas_id: int, name: str = "", form: Filled | None = None, status: int = 200
) -> Response:
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        order = facts.canvas_order(session, canvas_id)
        made, price = making.making_of(session, canvas_id), priced_of(session, order)
        inspections = inspections_of(session, order)
        ends = ends_in_stock(session, order) if made.next is making.Stage.CUT else []
    elsewhere = [it for it in form.problems if it.field not in HERE] if form else []
    given = {name: form} if form else {}
    return page.show(
        "canvas/making",
        status=status,
        it=order,
        head=order.head,
        made=made,
        price=price,
        inspections=inspections,
        ends=ends,
        hrefs=hrefs_of(order, elsewhere),
        form=given.get("stage", Filled(revision=made.turns)),
        back_form=given.get("back", Filled(revision=made.turns)),
        wrong=form is not None,
    )


@router.post("/canvas/{canvas_id}/making", dependencies=[Depends(ANYONE)])
def keep_stage(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep that a stage is done."""
    return _do(
        book,
        page,
        canvas_id,
        typed,
        "stage",
        lambda: making.keep_stage(book, act, canvas_id, making.read_stage(typed)),
    )


@router.post("/canvas/{canvas_id}/making/back", dependencies=[Depends(ANYONE)])
def take_back(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take the last stage back."""

    def step() -> int:
        read = Reader(typed)
        why = read.text("why", required="Say why it is taken back", most=400)
        read.done()
        return making.take_back(book, act, canvas_id, why)

    return _do(book, page, canvas_id, typed, "back", step)


def _do(
    book: Engine, page: Pages, canvas_id: int, typed: Sent, name: str, step: Callable[[], int]
) -> Response:
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        facts.canvas_order(session, canvas_id)
    about = About(CanvasStage, canvas_order_id=canvas_id)
    return answered(
        page,
        typed,
        step,
        show=lambda form, status: _making(book, page, canvas_id, name, form, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, about, beside=_beside),
        to=f"/canvas/{canvas_id}/making",
    )


def _beside(first: First) -> list[Beside]:
    """What came first: the stage that was done, or taken back."""
    row = first.row(CanvasStage) or {}
    note, hours = str(row.get("note", "")), str(row.get("hours", ""))
    return [
        Beside("hours", "Hours it took", hours),
        Beside("note", "What was looked at", note),
        Beside("why", "Why it is taken back", note if row.get("done") in (False, 0) else ""),
    ]

"""The page of an order's inspection: what is read of it, and what that means."""

from collections.abc import Iterator

from fastapi import APIRouter, Depends, Response
from sqlalchemy import Engine

from app.canvas import facts, inspected
from app.canvas.answers import answered
from app.canvas.inspected import LOOKED, MAY_BE_NONE, MAY_LACK, YES_NO
from app.canvas.inspecting import keep_inspection
from app.canvas.making import making_of
from app.canvas.screens import NO_ORDER, Key
from app.canvas.tables import CanvasInspection
from app.canvas.tried import SeamClass, Seams, Stitch, Water
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled
from app.ground.gate import ANYONE, Acting, Book, Page, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.ground.people import Role

router = APIRouter()
LOOKS = [(name, good, MAY_LACK if name in MAY_BE_NONE else YES_NO) for name, (good, _) in LOOKED.items()]
LABELS = {
    "stitches": "Stitches an inch",
    "seam_force": "Seam gave way at",
    "cloth_force": "Cloth gave way at",
    "minutes": "Sprayed for",
    "rating": "Spray rating read",
    "rating_least": "Least rating ordered",
    "head": "Water held",
    "head_least": "Least ordered",
    "words": "Remarks",
    "accepted": "Why it is taken all the same",
}


@router.get("/canvas/{canvas_id}/inspection", dependencies=[Depends(ANYONE)])
def inspection_page(canvas_id: Key, book: Book, page: Page) -> Response:
    """The inspection of a canvas order."""
    return _inspection(book, page, canvas_id)


def _inspection(
    book: Engine, page: Pages, canvas_id: int, form: Filled | None = None, status: int = 200
) -> Response:
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        order = facts.canvas_order(session, canvas_id)
        made, kept = making_of(session, canvas_id), inspected.inspections_of(session, order)
    return page.show(
        "canvas/inspection",
        status=status,
        it=order,
        head=order.head,
        made=made,
        kept=kept,
        drawn=inspected.drawn_of(order),
        classes=[(it.value, it.word) for it in SeamClass],
        stitches=[(it.value, it.word) for it in Stitch],
        seams=[(way.value, way.word) for way in Seams],
        water=[(way.value, way.word) for way in Water],
        looked=LOOKS,
        yes_no=YES_NO,
        may_lack=MAY_LACK,
        form=form or Filled(revision=len(kept.all)),
        wrong=form is not None,
    )


@router.post("/canvas/{canvas_id}/inspection", dependencies=[Depends(ANYONE)])
def keep(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep an inspection as it was read."""
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        drawn = inspected.drawn_of(facts.canvas_order(session, canvas_id))
    lead = page.who is not None and page.who.role == Role.LEAD
    about = About(CanvasInspection, canvas_order_id=canvas_id)
    return answered(
        page,
        typed,
        lambda: keep_inspection(book, act, canvas_id, inspected.read_inspection(typed, drawn, lead=lead)),
        show=lambda form, status: _inspection(book, page, canvas_id, form, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, about, beside=_beside),
        to=f"/canvas/{canvas_id}/inspection",
    )


def _beside(first: First) -> Iterator[Beside]:
    """What came first: the readings that somebody else kept."""
    row = first.row(CanvasInspection) or {}
    drawn = {each["key"]: each["label"] for each in row.get("drawn", ())}
    readings = row.get("readings", {})
    for name, label in {**drawn, **LABELS}.items():
        yield Beside(name, label, f"{readings.get(name, '')}")

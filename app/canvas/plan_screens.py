"""Pages of the cut plan of a cloth: the roll, the plan to scale, a search for a shorter one, its files."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Request, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.canvas import facts, plans, searched
from app.canvas.answers import Step, answered
from app.canvas.facts import OrderRead
from app.canvas.plans import CutLength, PlanRead
from app.canvas.roll import USUAL_ROLL, Lies, Tool, read_roll
from app.canvas.screens import Key
from app.canvas.searching import Seeker
from app.canvas.tables import CanvasPart, CanvasPiece, CanvasSeam
from app.ground.first import About, late
from app.ground.forms import Filled, Sent
from app.ground.gate import ANYONE, Acting, Book, Page, Typed
from app.ground.keyed import found
from app.ground.pages import Pages, fill
from app.trade.canvas.dxf import dxf_text
from app.trade.canvas.readiness import Kind
from app.trade.canvas.sheets import plotter_page, ruler, words_beside
from app.trade.typed import Reader

router = APIRouter()
NO_CLOTH = "There is no such cloth of a canvas order."
NO_SEARCH = "There is no such search for a cut plan."
NO_PLAN = "There is no such cut plan."
SECONDS, USUAL_SECONDS = (5, 20, 60), "5"
RULER_BELOW = Decimal(10)  # mm from the cloth to the ruler of a plotter's page


def seeker_of(request: Request) -> Seeker:
    """What works off the searches of this application."""
    seeker: Seeker = request.app.state.seeker
    return seeker


Seeking = Annotated[Seeker, Depends(seeker_of)]


@router.get("/canvas/cloths/{cloth_id}/plan", dependencies=[Depends(ANYONE)])
def plan_page(cloth_id: Key, book: Book, page: Page) -> Response:
    """The cut plan of one cloth."""
    return _plan(book, page, cloth_id)


def _plan(
    book: Engine, page: Pages, cloth_id: int, form: Filled | None = None, status: int = 200
) -> Response:
    with found(book, cloth_id, no_such=NO_CLOTH) as session:
        cloth, order = _cloth(session, cloth_id)
        known, search = plans.plans_of(session, order, cloth_id), searched.newest(session, cloth_id)
    texts = known.newest.roll.texts if known.newest else USUAL_ROLL
    return page.show(
        "canvas/plan",
        status=status,
        it=order,
        head=order.head,
        cloth=cloth,
        pieces=order.of_cloth(cloth_id),
        known=known,
        plan=known.best,
        search=search if search and search.version == order.version else None,
        fresh=True,
        tools=[(tool.value, tool.word) for tool in Tool],
        lies=[(each.value, each.word) for each in Lies],
        seconds=[(str(each), f"{each} seconds") for each in SECONDS],
        form=form or Filled({**texts, "seconds": USUAL_SECONDS}, revision=order.version),
    )


def _cloth(session: Session, cloth_id: int) -> tuple[CanvasPart, OrderRead]:
    cloth = session.get_one(CanvasPart, cloth_id)
    if cloth.kind != Kind.CLOTH or cloth.taken_off:
        raise HTTPException(404, NO_CLOTH)
    return cloth, facts.canvas_order(session, cloth.canvas_order_id)


@router.post("/canvas/cloths/{cloth_id}/plan", dependencies=[Depends(ANYONE)])
def lay_plan(cloth_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Lay the pieces of a cloth on the roll that the form says."""
    with found(book, cloth_id, no_such=NO_CLOTH) as session:
        cloth, order = _cloth(session, cloth_id)
    return _answered(
        book, page, cloth, order.key, typed, lambda: plans.lay(book, act, order, cloth, read_roll(typed))
    )


@router.post("/canvas/plans/{plan_id}/search", dependencies=[Depends(ANYONE)])
def search_plan(plan_id: Key, typed: Typed, act: Acting, book: Book, page: Page, seeker: Seeking) -> Response:
    """Ask for a search for a shorter plan, for the seconds that were chosen; it is answered at once."""
    with found(book, plan_id, no_such=NO_PLAN) as session:
        stood = plans.plan_read(session, plan_id)
        cloth, _ = _cloth(session, stood.cloth_id)

    def step() -> None:
        searched.ask(book, act, stood, _seconds(typed))
        seeker.wake()

    return _answered(book, page, cloth, stood.order_id, typed, step)


def _answered(
    book: Engine, page: Pages, cloth: CanvasPart, order_id: int, typed: Sent, step: Step
) -> Response:
    about = About(CanvasPart, CanvasPiece, CanvasSeam, canvas_order_id=order_id)
    return answered(
        page,
        typed,
        step,
        show=lambda form, status: _plan(book, page, cloth.key, form, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, about),
        to=f"/canvas/cloths/{cloth.key}/plan#plan",
    )


@router.get("/canvas/searches/{search_id}", dependencies=[Depends(ANYONE)])
def search_state(search_id: Key, book: Book, page: Page) -> Response:
    """How a search stands: the part of the page that asks again by itself, or the whole page of its plan."""
    with found(book, search_id, no_such=NO_SEARCH) as session:
        search = searched.search_read(session, search_id)
    if not page.part:
        return page.go(f"/canvas/cloths/{search.cloth_id}/plan#plan")
    return page.show("canvas/search", search=search, fresh=False)


def _seconds(typed: Sent) -> int:
    read = Reader(typed)
    seconds = read.whole("seconds", required="Say how long to search", what="whole seconds")
    if seconds is not None and seconds not in SECONDS:
        read.wrong("seconds", f"{seconds} is not one of the choices", "5, 20 or 60 seconds")
    read.done()
    assert seconds is not None
    return seconds


# Files of a plan


Nth = Annotated[int, Query(ge=0, lt=100)]  # which length of the plan, from 1; 0 for the last one


@router.get("/canvas/plans/{plan_id}/plan.dxf", dependencies=[Depends(ANYONE)])
def plan_dxf(plan_id: Key, book: Book, nth: Nth = 0) -> Response:
    """A length of the plan for a plotter or cutter: DXF, in millimetres, one block a piece."""
    drawn = _drawn(book, plan_id, nth)
    return _file(dxf_text(drawn.length.plan, drawn.of.marks), "application/dxf", f"{drawn.name}.dxf")


@router.get("/canvas/plans/{plan_id}/plan.svg", dependencies=[Depends(ANYONE)])
def plan_svg(plan_id: Key, book: Book, nth: Nth = 0) -> Response:
    """A length of the plan at full size on one page: SVG, in millimetres."""
    drawn = _drawn(book, plan_id, nth)
    strip = drawn.length.plan.strip
    at = Decimal(0), strip.width + RULER_BELOW
    shown: Mapping[str, object] = {
        "number": drawn.order.number,
        "cloth": drawn.cloth.place,
        "stands": drawn.stands,
        "length": drawn.length,
        "band": drawn.length.full_size,
        "sheet": plotter_page(strip.width, drawn.length.plan.length),
        "ruler": ruler(*at),
        "says_at": words_beside(*at),
    }
    return _file(fill("canvas/plan.svg", shown), "image/svg+xml", f"{drawn.name}.svg")


@dataclass(frozen=True)
class _Drawn:
    """A length of a plan as its files show it: of which order and cloth, and whether it is cut by."""

    of: PlanRead
    length: CutLength
    order: OrderRead
    cloth: CanvasPart

    @property
    def name(self) -> str:
        """The name of its files, without what ends it."""
        return f"{self.order.number}-plan-{self.length.key}"

    @property
    def stands(self) -> str:
        """Which release of the order it is of; cloth is cut by no other."""
        if not plans.stands(self.order, self.of):
            return "the order was changed since, cut nothing"
        return self.order.issue if self.order.released else f"{self.order.issue}, cut nothing"


def _drawn(book: Engine, plan_id: int, nth: int) -> _Drawn:
    with found(book, plan_id, no_such=NO_PLAN) as session:
        it = plans.plan_read(session, plan_id)
        cloth = session.get_one(CanvasPart, it.cloth_id)
        order = facts.canvas_order(session, it.order_id)
    if nth > len(it.lengths):
        raise HTTPException(404, NO_PLAN)
    return _Drawn(it, it.lengths[nth - 1], order, cloth)


def _file(text: str, kind: str, name: str) -> Response:
    told = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=kind, headers=told)

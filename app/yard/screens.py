"""The yard: the board of everything on the lot, the search, the work order's page."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Response

from app.canvas import promised
from app.ground import receipts
from app.ground.acting import now
from app.ground.book import reading
from app.ground.gate import ANYONE, Book, Page
from app.ground.keyed import found
from app.ground.words import local
from app.yard import facts

router = APIRouter()


@router.get("/", dependencies=[Depends(ANYONE)])
def yard(book: Book, page: Page, find: Annotated[str, Query(alias="find")] = "") -> Response:
    """The board of everything on the lot, or what a search found."""
    at = now()
    today = local(at, page.zone).date()
    with reading(book) as session:
        board = facts.board(session, at)
        hits = facts.found(session, find, at) if find.strip() else None
        canvas_late, newest = promised.to_tell(session, today), receipts.clock_behind(session, at)
    return page.show(
        "yard/yard",
        board=board,
        found=hits,
        asked=find,
        at=at,
        today=today,
        canvas_late=canvas_late,
        newest=newest,
    )


@router.get("/orders/{order_id}", dependencies=[Depends(ANYONE)])
def order(order_id: int, book: Book, page: Page) -> Response:
    """The page of a work order: may it be towed, and the thread of each finding."""
    with found(book, order_id, no_such="There is no such work order.") as session:
        stay = facts.order_page(session, order_id)
        canvas = promised.places_of_stay(session, order_id, page.today)
    return page.show("yard/order", order=stay, head=stay.head, canvas=canvas)

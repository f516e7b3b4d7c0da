"""The yard: the board of everything on the lot, the search, the work order's page."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Response
from sqlalchemy.exc import NoResultFound

from app.ground.acting import now
from app.ground.book import reading
from app.ground.gate import ANYONE, Book, Page
from app.ground.words import local
from app.yard import facts

router = APIRouter()
LARGEST_KEY = 2**63 - 1


@router.get("/", dependencies=[Depends(ANYONE)])
def yard(book: Book, page: Page, find: Annotated[str, Query(alias="find")] = "") -> Response:
    """The board of everything on the lot, or what a search found."""
    at = now()
    with reading(book) as session:
        board = facts.board(session, at)
        found = facts.found(session, find, at) if find.strip() else None
    return page.show("yard/yard", board=board, found=found, asked=find, today=local(at, page.zone).date())


@router.get("/orders/{order_id}", dependencies=[Depends(ANYONE)])
def order(order_id: int, book: Book, page: Page) -> Response:
    """The page of a work order: may it be towed, and the thread of each finding."""
    try:
        with reading(book) as session:
            found = facts.order_page(session, min(order_id, LARGEST_KEY))
    except NoResultFound:
        raise HTTPException(404, "There is no such work order.") from None
    return page.show("yard/order", order=found, head=found.head)

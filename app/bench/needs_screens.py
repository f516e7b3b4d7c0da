"""Pages of what work needs of the parts room: all work orders, and one of them."""

from collections.abc import Callable

from fastapi import APIRouter, Depends, Response
from sqlalchemy import Engine

from app.bench import needs
from app.ground.book import reading
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.parts.facts import for_shelf
from app.parts.screens import Key, found
from app.trade.problems import Refused

router = APIRouter()
NONE = "There is no such work order."


@router.get("/bench/needs", dependencies=[Depends(ANYONE)])
def needs_page(book: Book, page: Page) -> Response:
    """What all consented work and the shelf need."""
    return _needs(book, page, Filled())


@router.post("/bench/needs", dependencies=[Depends(WRITERS)])
def order_what_is_missing(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Order what is missing."""
    try:
        needs.order_what_is_missing(book, act)
    except Refused as refused:
        return _needs(book, page, again(typed, refused.problems), 422)
    return page.go("/parts/orders")


def _needs(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        orders, shelf = needs.all_needs(session), for_shelf(session)
    return page.show("bench/needs", status=status, orders=orders, shelf=shelf, form=form)


@router.get("/bench/orders/{order_id}/parts", dependencies=[Depends(ANYONE)])
def order_needs_page(order_id: Key, book: Book, page: Page) -> Response:
    """What the consented work of one work order needs."""
    return _of_order(book, page, order_id, Filled())


def _of_order(book: Engine, page: Pages, order_id: int, form: Filled, status: int = 200) -> Response:
    with found(book, NONE) as session:
        it = needs.needs_of(session, order_id)
    return page.show("bench/order_needs", status=status, it=it, head=it.head, form=form)


@router.post("/bench/orders/{order_id}/parts/reserve", dependencies=[Depends(ANYONE)])
def reserve_parts(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Put aside what lies on the shelf."""
    return _do(book, page, order_id, typed, lambda: needs.reserve_parts(book, act, order_id))


@router.post("/bench/orders/{order_id}/parts/hand-out", dependencies=[Depends(ANYONE)])
def hand_out_parts(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Hand out what is put aside."""
    return _do(book, page, order_id, typed, lambda: needs.hand_out_parts(book, act, order_id))


@router.post("/bench/orders/{order_id}/parts/put-back", dependencies=[Depends(ANYONE)])
def put_back_idle(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Free what is put aside and no open work needs."""
    return _do(book, page, order_id, typed, lambda: needs.put_back_idle(book, act, order_id))


def _do(book: Engine, page: Pages, order_id: int, typed: Sent, step: Callable[[], int]) -> Response:
    try:
        with found(book, NONE):
            step()
    except Refused as refused:
        return _of_order(book, page, order_id, again(typed, refused.problems), 422)
    return page.go(f"/bench/orders/{order_id}/parts")

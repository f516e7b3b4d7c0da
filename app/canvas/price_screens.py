"""The page's key that puts a canvas order on the estimate of its unit's stay."""

from fastapi import APIRouter, Depends, Response

from app.canvas import priced
from app.canvas.facts import OrderRead
from app.canvas.screens import Key, done
from app.ground.book import reading
from app.ground.gate import WRITERS, Acting, Book, Page, Typed

router = APIRouter()


@router.post("/canvas/{canvas_id}/price", dependencies=[Depends(WRITERS)])
def price_order(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Put the order on the estimate, or name the work there that prices it."""

    def step(order: OrderRead) -> int:
        with reading(book) as session:
            works, stock = priced.works_to_choose(session, order), priced.stock_of(session)
        rows, options = priced.rows_to_price(order), priced.extras_of(order)
        said = priced.read_priced(typed, order.row.maker, works, rows, stock, options)
        return priced.price_order(book, act, order.key, said)

    return done(book, page, canvas_id, typed, "price", step)

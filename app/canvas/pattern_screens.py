"""The route that takes pieces of an earlier canvas order over into one by a pattern on file."""

from fastapi import APIRouter, Depends, Response

from app.canvas import said
from app.canvas.facts import OrderRead
from app.canvas.pattern import offers_for, take_over
from app.canvas.screens import Key, done
from app.ground.book import reading
from app.ground.gate import WRITERS, Acting, Book, Page, Typed

router = APIRouter()


@router.post("/canvas/{canvas_id}/pattern", dependencies=[Depends(WRITERS)])
def take_pattern(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take pieces of an earlier order over."""

    def step(order: OrderRead) -> int:
        with reading(book) as session:
            offers = {it.key: it.pieces for it in offers_for(session, order)}
        return take_over(book, act, order.key, said.read_taking(typed, offers))

    return done(book, page, canvas_id, typed, "take", step)

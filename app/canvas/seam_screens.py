"""The seams of a canvas order: two edges sewn to each other, or walls round the edge of a roof."""

from fastapi import APIRouter, Depends, Response

from app.canvas import said, shown, steps
from app.canvas.facts import OrderRead
from app.canvas.screens import Key, done
from app.canvas.tables import CanvasSeam
from app.ground.gate import ANYONE, Acting, Book, Page, Typed
from app.ground.keyed import found

router = APIRouter()
NO_SEAM = "There is no such seam of a canvas order."


@router.post("/canvas/{canvas_id}/seams", dependencies=[Depends(ANYONE)])
def add_seam(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Name two edges that are sewn to each other."""

    def step(order: OrderRead) -> int:
        edges = [key for key, _ in shown.edges_of(order)]
        return steps.add_seam(book, act, order.key, said.read_seam(typed, edges))

    return done(book, page, canvas_id, typed, "seam", step)


@router.post("/canvas/{canvas_id}/rings", dependencies=[Depends(ANYONE)])
def add_ring(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Name the walls that go round a roof."""

    def step(order: OrderRead) -> int:
        edges = [key for key, _ in shown.edges_of(order)]
        pieces = {piece.key: piece.name for piece in order.pieces}
        return steps.add_seam(book, act, order.key, said.read_ring(typed, edges, pieces))

    return done(book, page, canvas_id, typed, "ring", step)


@router.post("/canvas/seams/{seam_id}/remove", dependencies=[Depends(ANYONE)])
def take_seam_off(seam_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a seam off its order."""
    with found(book, seam_id, no_such=NO_SEAM) as session:
        order = session.get_one(CanvasSeam, seam_id).canvas_order_id
    return done(book, page, order, typed, "gone", lambda _: steps.take_seam_off(book, act, seam_id))

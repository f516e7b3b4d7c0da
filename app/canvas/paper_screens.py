"""The route that prints the papers of a canvas order."""

from fastapi import APIRouter, Depends, Response

from app.canvas import facts, screens
from app.canvas.papers import Printed, paper_of
from app.canvas.screens import NO_ORDER, Key
from app.ground.forms import again
from app.ground.gate import ANYONE, Acting, Book, Page, Printing, Typed
from app.ground.keyed import found
from app.ground.press import NotPrinted
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader

router = APIRouter()


@router.post("/canvas/{canvas_id}/print", dependencies=[Depends(ANYONE)])
def print_paper(
    canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page, printer: Printing
) -> Response:
    """Print a paper of a canvas order."""
    try:
        read = Reader(typed)
        printed = read.choice("paper", Printed, required="Say which paper")
        read.done()
        assert printed is not None
        with found(book, canvas_id, no_such=NO_ORDER) as session:
            order = facts.canvas_order(session, canvas_id)
            paper = paper_of(session, order, printed, page.today, printer.address)
        made = printer.issue(act, paper)
    except Refused as refused:
        return screens.order_with(book, page, canvas_id, {"print": again(typed, refused.problems)}, 422)
    except NotPrinted as failed:
        wrong = again(typed, [Problem("paper", str(failed), "the same key once more")])
        return screens.order_with(book, page, canvas_id, {"print": wrong}, 422)
    return page.go(f"/papers/{made}")

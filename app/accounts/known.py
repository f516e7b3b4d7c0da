"""What pages of the accounts share: a session for the page of some keys, papers printed once."""

from functools import partial

from fastapi import HTTPException, Request, Response

from app.ground.acting import Act
from app.ground.gate import printer_of
from app.ground.keyed import found as found_of
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.press import NotPrinted

found = partial(found_of, no_such="There is no such account.")
NOT_PRINTED = "Not printed. What the paper says is in the book; print it again."


def printed(request: Request, act: Act, paper: Paper) -> int | None:
    """Key of the document of a paper; None where it could not be made: what it says stays in the book."""
    try:
        return printer_of(request).issue(act, paper)
    except NotPrinted:
        return None


def print_again(page: Pages, act: Act, paper: Paper) -> Response:
    """On to a paper that could not be printed at once; HTTPException 503 where it still cannot."""
    document = printed(page.request, act, paper)
    if document is None:
        raise HTTPException(503, NOT_PRINTED)
    return page.go(f"/papers/{document}.pdf")

"""What pages of the accounts share: a session for the page of some keys, the day, papers printed once."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from fastapi import HTTPException, Request, Response
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.pages import Pages
from app.ground.papers import Paper, Printer
from app.ground.press import NotPrinted
from app.ground.settings import Settings
from app.ground.words import local

LARGEST_KEY = 2**63
NO_SUCH = "There is no such account."
NOT_PRINTED = "Not printed. What the paper says is in the book; print it again."


@contextmanager
def found(book: Engine, *keys: int) -> Iterator[Session]:
    """A reading session for the page of some keys; HTTPException 404 where the book has none of a key."""
    if not all(0 < key < LARGEST_KEY for key in keys):
        raise HTTPException(404, NO_SUCH)
    try:
        with reading(book) as session:
            yield session
    except NoResultFound:
        raise HTTPException(404, NO_SUCH) from None


def today(page: Pages) -> date:
    """The day that it is in the shop."""
    return local(now(), page.zone).date()


def printed(request: Request, settings: Settings, act: Act, paper: Paper) -> int | None:
    """Key of the document of a paper; None where it could not be made: what it says stays in the book."""
    state = request.app.state
    try:
        return Printer(state.book, state.press, settings.files).issue(act, paper)
    except NotPrinted:
        return None


def print_again(page: Pages, settings: Settings, act: Act, paper: Paper) -> Response:
    """On to a paper that could not be printed at once; HTTPException 503 where it still cannot."""
    document = printed(page.request, settings, act, paper)
    if document is None:
        raise HTTPException(503, NOT_PRINTED)
    return page.go(f"/papers/{document}.pdf")

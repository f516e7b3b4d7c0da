"""A reading session in which a key that is not in the book is a page that is not there."""

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import HTTPException
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.ground.book import reading

LARGEST_KEY = 2**63
NO_SUCH = "There is no such handover."


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

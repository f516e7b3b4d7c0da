"""The page of something that the book has or has not: a key that nothing has is a page that is not there."""

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import HTTPException
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.ground.book import reading

ABOVE_ALL_KEYS = 2**63  # what SQLite holds in a key ends below it


@contextmanager
def found(book: Engine, *keys: int, no_such: str) -> Iterator[Session]:
    """A reading session for the page of some keys; HTTPException 404 in words where the book lacks one.

    `no_such`: what the page then says, for instance "There is no such estimate."
    """
    if not all(0 < key < ABOVE_ALL_KEYS for key in keys):
        raise HTTPException(404, no_such)
    try:
        with reading(book) as session:
            yield session
    except NoResultFound:
        raise HTTPException(404, no_such) from None

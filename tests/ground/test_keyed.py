"""A key that the book does not have is a page that is not there, whatever number it is."""

import pytest
from fastapi import HTTPException
from sqlalchemy import Engine

from app.ground.keyed import ABOVE_ALL_KEYS, found
from app.ground.tables import Person

NO_SUCH = "There is no such person."


def test_a_key_of_the_book_opens_a_reading_session(book: Engine) -> None:
    with found(book, 1, 2, no_such=NO_SUCH) as session:
        assert session.get_one(Person, 1).name == "Lee"


# SQLite holds a key in a signed integer of 8 bytes: https://www.sqlite.org/datatype3.html, section 2.
@pytest.mark.parametrize("keys", [(0,), (-1,), (ABOVE_ALL_KEYS,), (1, 0), (1, 2**70)])
def test_a_number_that_no_key_can_be_never_reaches_the_book(keys: tuple[int, ...], book: Engine) -> None:
    with pytest.raises(HTTPException) as gone, found(book, *keys, no_such=NO_SUCH):
        pytest.fail("it opened a session")
    assert (gone.value.status_code, gone.value.detail) == (404, NO_SUCH)


@pytest.mark.parametrize("key", [99, ABOVE_ALL_KEYS - 1])
def test_what_is_looked_up_in_vain_is_not_there(key: int, book: Engine) -> None:
    with pytest.raises(HTTPException) as gone, found(book, key, no_such=NO_SUCH) as session:
        session.get_one(Person, key)
    assert (gone.value.status_code, gone.value.detail) == (404, NO_SUCH)


def test_another_fault_is_not_told_as_a_page_that_is_missing(book: Engine) -> None:
    with pytest.raises(ZeroDivisionError), found(book, 1, no_such=NO_SUCH):
        _ = 1 // 0

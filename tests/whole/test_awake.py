"""A long run of tests is no reason to be signed out."""

import shutil
from datetime import timedelta
from pathlib import Path

from sqlmodel import select

from app.ground import people
from app.ground.acting import now
from app.ground.book import open_book, writing
from app.ground.tables import SignIn
from tests.whole.conftest import Made, awake


def test_a_copy_made_long_after_the_sign_in_is_signed_in(made: Made, tmp_path: Path) -> None:
    book = tmp_path / made.book.name
    shutil.copy(made.book, book)
    engine = open_book(book)
    with writing(engine) as session:
        for signed in session.exec(select(SignIn)):
            signed.used_at = now() - people.IDLE - timedelta(minutes=1)
    assert people.who(engine, made.cookies["lead"], now()) is None
    awake(book)
    assert people.who(engine, made.cookies["lead"], now()) is not None
    engine.dispose()

"""One answer about the spare stands for every check at it."""

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.inspection import steps, taking_back
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Walk
from app.trade.figure import By, Grade
from tests.conftest import act
from tests.inspection.walks import at, begun

NONE_THERE = Seen(seen=("none",), grade=Grade.NEEDS, by=By.SOON)


def answer(book: Engine, walk: int, seen: Seen) -> int:
    row = at(book, walk, "ti.spare")
    return steps.record_finding(book, act(3, seen=row.revision), row.key, seen)


def at_the_spare(book: Engine, walk: int) -> list[Finding]:
    with reading(book) as session:
        here = (Finding.walk_id == walk, Finding.place == "spare")
        return list(session.exec(select(Finding).where(*here)))


@pytest.mark.parametrize("said", [NONE_THERE, Seen(fitted=False)])
def test_no_spare_is_said_once(book: Engine, said: Seen) -> None:
    walk = begun(book)
    assert len(at_the_spare(book, walk)) > 5
    answer(book, walk, said)
    assert {(it.grade, it.fitted, it.reason) for it in at_the_spare(book, walk)} == {
        (Grade.SOUND, False, "not fitted")
    }


def test_a_spare_that_somebody_looked_at_keeps_its_look(book: Engine) -> None:
    walk = begun(book)
    tread = at(book, walk, "ti.tread", "spare")
    steps.record_finding(book, act(3), tread.key, Seen(readings={"least": "1"}))
    answer(book, walk, NONE_THERE)
    kept = at(book, walk, "ti.tread", "spare")
    assert (kept.grade, kept.by, kept.fitted) == (Grade.NEEDS, By.USE, True)


def test_a_spare_that_turns_up_is_unseen_again(book: Engine) -> None:
    walk = begun(book)
    answer(book, walk, NONE_THERE)
    answer(book, walk, Seen(grade=Grade.SOUND))
    assert {(it.grade, it.fitted) for it in at_the_spare(book, walk)} == {(Grade.UNSEEN, True)}


def test_an_answer_taken_back_leaves_the_spare_unseen(book: Engine) -> None:
    walk = begun(book)
    answer(book, walk, NONE_THERE)
    with reading(book) as session:
        order = session.get_one(Walk, walk).work_order_id
        newest = taking_back.last_acts(session, order, 3)[0]
    taking_back.take_back(book, act(3), order, newest.id, next(iter(taking_back.REASONS)))
    assert {it.grade for it in at_the_spare(book, walk)} == {Grade.UNSEEN}
    assert at(book, walk, "ti.spare").grade == Grade.UNSEEN


def test_another_look_at_a_spare_that_is_there_changes_nothing_at_it(book: Engine) -> None:
    walk = begun(book)
    valve = at(book, walk, "ti.valve", "spare")
    steps.record_finding(book, act(3), valve.key, Seen(fitted=False))
    answer(book, walk, Seen(grade=Grade.SOUND))
    answer(book, walk, Seen(seen=("loose",), grade=Grade.NEEDS, by=By.TOWING))
    assert not at(book, walk, "ti.valve", "spare").fitted

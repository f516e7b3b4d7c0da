"""A do-not-tow finding is cleared by evidence; a new look or a taking back does not make it go away."""

from dataclasses import replace

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading, writing
from app.ground.tables import Person
from app.inspection import steps, taking_back
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Walk
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from tests.conftest import NOON, act
from tests.inspection.walks import CATALOGUE, at, begun

TONI, LEE = 3, 1
LATCH = "cp.latch"
WORST = CATALOGUE.check(LATCH).defects[0].key
DNT = Seen(seen=(WORST,))
SOUND = Seen(grade=Grade.SOUND)
WHY = Seen(grade=Grade.SOUND, reason="Wrong key tapped")


@pytest.fixture
def walk(book: Engine) -> int:
    return begun(book)


def finding(book: Engine, walk: int, check: str) -> Finding:
    return at(book, walk, check)


def record(book: Engine, walk: int, check: str, place: str, seen: Seen) -> Finding:
    it = at(book, walk, check, place)
    steps.record_finding(book, act(TONI, seen=it.revision), it.key, seen)
    return at(book, walk, check, place)


def found(book: Engine, walk: int) -> None:
    """The latch found at do not tow by Toni."""
    assert record(book, walk, LATCH, "unit", DNT).grade == "dnt"


def end(book: Engine, walk: int, person: int = TONI) -> None:
    """The walk-round ended an hour later."""
    with reading(book) as session:
        seen = session.get_one(Walk, walk).revision
    steps.end_walk(book, act(person, seen=seen, at=NOON.replace(hour=18)), walk)


def again(book: Engine, walk: int, seen: Seen, person: int = TONI) -> Finding:
    """The latch looked at again, as its page now stands."""
    it = finding(book, walk, LATCH)
    moment = NOON.replace(hour=19)
    steps.record_finding(book, act(person, seen=it.revision, at=moment), it.key, seen)
    return finding(book, walk, LATCH)


def test_the_one_who_found_it_says_what_was_wrong_with_it(book: Engine, walk: int) -> None:
    found(book, walk)
    with pytest.raises(Refused, match="say what was wrong") as refused:
        again(book, walk, SOUND)
    assert [problem.field for problem in refused.value.problems] == ["reason"]
    row = again(book, walk, WHY)
    assert (row.grade, row.dissent) == ("sound", "")
    assert row.reason.endswith("do not tow stood here before: Wrong key tapped")


@pytest.mark.parametrize(
    "seen",
    [
        SOUND,
        WHY,
        Seen(),  # nothing read, nothing seen: unseen again
        Seen(fitted=False, reason="Has none of it"),
        Seen(grade=Grade.NEEDS, by=By.TOWING, reason="Goes with a push"),
        Seen(grade=Grade.WATCH, until_miles=500, reason="Goes with a push"),
    ],
)
def test_once_the_walk_round_ended_no_new_look_makes_it_lighter(book: Engine, walk: int, seen: Seen) -> None:
    found(book, walk)
    end(book, walk)
    with pytest.raises(Refused, match="it is cleared, not graded anew"):
        again(book, walk, seen)
    assert finding(book, walk, LATCH).grade == "dnt"
    assert again(book, walk, DNT).grade == "dnt"  # the same again is a look


def test_no_reason_is_asked_for_where_none_would_help(book: Engine, walk: int) -> None:
    """By its code the tire is proposed as do not tow: a lighter grade would ask for a reason and a person."""
    old = Seen(readings={"code": "1508"})
    row = record(book, walk, "ti.age", "tire-1-left", old)
    assert row.grade == "dnt"
    end(book, walk)
    lighter = Seen(readings=old.readings, grade=Grade.SOUND)
    later = act(TONI, seen=row.revision, at=NOON.replace(hour=19))
    with pytest.raises(Refused) as refused:
        steps.record_finding(book, later, row.key, lighter)
    assert [problem.field for problem in refused.value.problems] == ["grade"]


def test_what_somebody_else_found_is_not_graded_away(book: Engine, walk: int) -> None:
    found(book, walk)
    with pytest.raises(Refused, match="Somebody else found do not tow"):
        again(book, walk, WHY, person=LEE)


def test_alone_in_the_shop_nobody_else_is_asked(book: Engine, walk: int) -> None:
    found(book, walk)
    with writing(book) as session:
        for person in session.exec(select(Person).where(Person.id != LEE)):
            person.active = False
    assert again(book, walk, WHY, person=LEE).grade == "sound"


def test_a_reason_that_stood_there_already_says_nothing_new(book: Engine, walk: int) -> None:
    it = finding(book, walk, LATCH)
    steps.record_finding(book, act(TONI), it.key, Seen(grade=Grade.DNT, reason="Jaw looks bent to me"))
    with pytest.raises(Refused, match="say what was wrong"):
        again(book, walk, Seen(grade=Grade.SOUND, reason="Jaw looks bent to me"))


def test_an_end_that_was_taken_back_was_an_end(book: Engine, walk: int) -> None:
    found(book, walk)
    end(book, walk)
    back(book)
    with reading(book) as session:
        assert session.get_one(Walk, walk).ended_at is None
    with pytest.raises(Refused, match="walk-round ended with do not tow"):
        again(book, walk, WHY)


def test_a_finding_with_which_the_walk_round_ended_is_not_taken_back(book: Engine, walk: int) -> None:
    found(book, walk)
    end(book, walk, LEE)
    with pytest.raises(Refused, match="it is cleared, not taken back"):
        back(book)
    assert finding(book, walk, LATCH).grade == "dnt"


def test_a_slip_made_after_the_end_is_taken_back(book: Engine, walk: int) -> None:
    end(book, walk, LEE)
    assert again(book, walk, DNT).grade == "dnt"
    back(book)
    assert finding(book, walk, LATCH).grade == "unseen"


def test_what_only_others_make_do_not_tow_may_be_looked_at_again(book: Engine, walk: int) -> None:
    found(book, walk)
    end(book, walk)
    with writing(book) as session:
        row = session.get_one(Finding, finding(book, walk, LATCH).key)
        row.alone = {"grade": "needs", "by": "towing", "reason": "pin bent"}
    same = Seen(grade=Grade.NEEDS, by=By.TOWING, reason="Pin bent, seen again")
    assert again(book, walk, same).grade == "needs"
    with writing(book) as session:
        row = session.get_one(Finding, finding(book, walk, LATCH).key)
        row.alone, row.grade = {"grade": "needs", "by": "towing", "reason": "pin bent"}, "dnt"
    with pytest.raises(Refused, match="walk-round ended"):
        again(book, walk, SOUND)


def test_a_tap_without_a_term_is_what_the_rule_proposes(book: Engine, walk: int) -> None:
    """Needs work tapped alone: the term of what is seen is as heavy as what stands there by itself."""
    bent = Seen(seen=("bent",))
    assert record(book, walk, LATCH, "unit", bent).by == "soon"
    end(book, walk)
    with writing(book) as session:
        row = session.get_one(Finding, finding(book, walk, LATCH).key)
        row.alone, row.grade = {"grade": "needs", "by": "soon", "reason": "bent"}, "dnt"
    row = again(book, walk, replace(bent, grade=Grade.NEEDS))
    assert (row.grade, row.by) == ("needs", "soon")


def test_a_second_person_who_does_not_work_here_is_none(book: Engine, walk: int) -> None:
    lighter = Seen(seen=(WORST,), grade=Grade.NEEDS, by=By.SOON, reason="Freed it by hand", second=4711)
    with pytest.raises(Refused) as refused:
        record(book, walk, LATCH, "unit", lighter)
    assert "second" in {problem.field for problem in refused.value.problems}


def back(book: Engine) -> None:
    """Toni's newest act that stands taken back."""
    with reading(book) as session:
        told = taking_back.offered(taking_back.last_acts(session, 1, TONI))
    assert told is not None
    taking_back.take_back(book, act(TONI), 1, told.id, "misread")

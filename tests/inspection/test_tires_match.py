"""The match of an axle's tires takes their date codes from where each was read, and asks none again."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import count

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.acting import Act
from app.ground.book import reading
from app.inspection import steps, taking_back
from app.inspection.rules import Judgement, UnitFacts, judge
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Walk
from app.inspection.tires_read import axle_of
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.tin import read_date_code
from tests.conftest import NOON, Browser, act
from tests.inspection.walks import CATALOGUE, TRAVEL, at, begun

MATCH = CATALOGUE.check("ti.match")
LEFT, RIGHT = "tire-1-left", "tire-1-right"
OLD, NEAR, FAR = "2322", "2224", "2424"  # June 2022; a week under, and a week over two years later


TICKS = count(1)


def later(seen: int = 0) -> Act:
    """An act of Toni's, a minute after the one before."""
    return act(3, seen=seen, at=NOON + timedelta(minutes=next(TICKS)))


def code_at(book: Engine, walk: int, place: str, typed: str) -> None:
    """The age of a tire read by Toni."""
    row = at(book, walk, "ti.age", place)
    seen = Seen(readings={"code": typed})
    steps.record_finding(book, later(row.revision), row.key, seen)


def matched(book: Engine, walk: int, axle: int = 1, **seen: object) -> Finding:
    """The match of an axle looked at by Toni: nothing of the list seen unless said otherwise."""
    row = at(book, walk, "ti.match", f"axle-{axle}")
    look = replace(Seen(grade=Grade.SOUND), **seen)  # type: ignore[arg-type]  # any field
    steps.record_finding(book, later(row.revision), row.key, look)
    return at(book, walk, "ti.match", f"axle-{axle}")


def judged(**codes: str) -> Judgement:
    """The match of axle 1 with codes by place, such as tire_1_left."""
    read = {place.replace("_", "-"): read_date_code(text, NOON.date()) for place, text in codes.items()}
    return judge(MATCH, {}, (), UnitFacts(axles=2, date_codes=read), NOON.date(), place="axle-1")


def test_the_check_asks_for_no_code() -> None:
    assert MATCH.measures == ()


@pytest.mark.parametrize(
    ("codes", "grade"),
    [
        ({"tire_1_left": OLD, "tire_1_right": NEAR}, Grade.SOUND),  # two years: common practice
        ({"tire_1_left": OLD, "tire_1_right": FAR}, Grade.WATCH),
        ({"tire_1_left": FAR, "tire_1_right": OLD}, Grade.WATCH),
        ({"tire_1_left": OLD}, Grade.SOUND),  # one tire is not apart from itself
        ({"tire_1_left": OLD, "tire_2_right": FAR}, Grade.SOUND),  # of another axle
        ({"tire_1_left": OLD, "spare": FAR}, Grade.SOUND),
        ({"tire_1_left_inner": OLD, "tire_1_left_outer": FAR}, Grade.WATCH),  # duals
        ({}, Grade.SOUND),
    ],
)
def test_the_oldest_and_the_newest_of_the_axle_are_held_together(codes: dict[str, str], grade: Grade) -> None:
    assert judged(**codes).grade is grade


def test_its_figure_explains_itself() -> None:
    (worked,) = judged(tire_1_left=OLD, tire_1_right=FAR).worked
    assert [it.says[:4] for it in worked.inputs] == [OLD, FAR]
    assert worked.limit == "at most 2 years"


@pytest.mark.parametrize(
    ("place", "axle"), [("tire-2-left", "2"), ("tire-1-right-inner", "1"), ("axle-3", "3"), ("spare", "")]
)
def test_a_tire_is_of_its_axle(place: str, axle: str) -> None:
    assert axle_of(place) == axle


def test_a_walk_judges_by_the_codes_that_it_has(book: Engine) -> None:
    walk = begun(book)
    for place, typed in ((LEFT, OLD), (RIGHT, FAR), ("tire-2-left", OLD), ("tire-2-right", NEAR)):
        code_at(book, walk, place, typed)
    with pytest.raises(Refused, match="Lighter than proposed"):
        matched(book, walk)
    assert matched(book, walk, grade=Grade.WATCH).proposed == "watch"
    assert matched(book, walk, 2).grade == "sound"


def test_a_code_that_comes_later_judges_the_match_anew(book: Engine) -> None:
    walk = begun(book)
    code_at(book, walk, LEFT, OLD)
    before = matched(book, walk)
    assert before.grade == "sound"
    code_at(book, walk, RIGHT, FAR)
    after = at(book, walk, "ti.match", "axle-1")
    assert (after.grade, after.proposed) == ("watch", "watch")
    assert after.until is not None
    assert after.revision == before.revision + 1
    code_at(book, walk, RIGHT, NEAR)  # read again: it was mistyped
    assert at(book, walk, "ti.match", "axle-1").grade == "sound"


def test_a_match_not_looked_at_yet_stays_unseen(book: Engine) -> None:
    walk = begun(book)
    for place, typed in ((LEFT, OLD), (RIGHT, FAR)):
        code_at(book, walk, place, typed)
    assert at(book, walk, "ti.match", "axle-1").grade == "unseen"


def test_what_is_heavier_by_sight_stays(book: Engine) -> None:
    walk = begun(book)
    assert matched(book, walk, seen=("mixed",), grade=None).grade == "dnt"
    for place, typed in ((LEFT, OLD), (RIGHT, FAR)):
        code_at(book, walk, place, typed)
    assert at(book, walk, "ti.match", "axle-1").grade == "dnt"


def test_a_grade_of_ones_own_that_is_heavier_stays(book: Engine) -> None:
    walk = begun(book)
    own = matched(book, walk, grade=Grade.DNT, reason="Two makes, the walls differ")
    for place, typed in ((LEFT, OLD), (RIGHT, FAR)):
        code_at(book, walk, place, typed)
    stands = at(book, walk, "ti.match", "axle-1")
    assert (stands.grade, stands.reason, stands.revision) == ("dnt", own.reason, own.revision)


def test_taking_a_code_back_lets_the_match_down(book: Engine) -> None:
    walk = begun(book)
    code_at(book, walk, LEFT, OLD)
    matched(book, walk)
    code_at(book, walk, RIGHT, FAR)
    assert at(book, walk, "ti.match", "axle-1").grade == "watch"
    with reading(book) as session:
        order = session.exec(select(Walk)).one().work_order_id
        last = taking_back.last_acts(session, order, 3)[0]
    taking_back.take_back(book, later(), order, last.id, "place")
    assert at(book, walk, "ti.age", RIGHT).grade == "unseen"
    assert at(book, walk, "ti.match", "axle-1").grade == "sound"


def test_the_page_shows_the_codes_and_where_to_read_those_that_are_missing(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    walk = begun(book, TRAVEL)
    code_at(book, walk, LEFT, OLD)
    page = signed("Toni").get(f"/inspection/findings/{at(book, walk, 'ti.match', 'axle-1').key}").text
    assert "Date codes</b>, within 2 years of each other, as read at each tire" in page
    left, right = (at(book, walk, "ti.age", place).key for place in (LEFT, RIGHT))
    assert f'href="/inspection/findings/{left}">Left tire<small>{OLD}</small>' in page
    assert f'href="/inspection/findings/{right}">Right tire<small>not read yet</small>' in page
    assert 'name="reading-' not in page
    age = signed("Toni").get(f"/inspection/findings/{left}").text
    assert "as read at each tire" not in age

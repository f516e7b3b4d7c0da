"""The acts after a unit has left: kept once, in order, with what they do to the things that fall due."""

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError
from sqlmodel import Session, col, select

from app.bench.evidence import tools_of
from app.bench.kinds import Context, Used
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.handover.after import facts, rules, steps
from app.handover.after.rules import DoneHow, DoneSaid
from app.handover.tables import FollowUp, RetorqueVisit
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import NOON
from tests.handover.stays import SOUND, TONI, WREN, Stay, ready, stay

TODAY = NOON.date()


def left(book: Engine) -> Stay:
    """A stay whose wheel was torqued and that was handed over."""
    made = ready(book)
    made.hand_over()
    return made


def visit(made: Stay, *, miles: str = "27", moved: int = 0) -> rules.Visit:
    with reading(made.book) as session:
        wheels = facts.wheels_of(session, made.order)
        context = Context(place="", label="", on=TODAY, tools=tools_of(session))
    typed = {"miles": miles, "torque": "110", "instrument": "1"}
    for wheel in wheels:
        typed[f"wheel-{wheel.place}"] = "moved" if moved else "none"
        typed |= {f"wheel-{wheel.place}-{moved}": "yes"} if moved else {}
    return rules.read_visit(Texts(typed), wheels, context)


def keep(made: Stay, seen: int = 0, *, miles: str = "27", moved: int = 0) -> int:
    it = visit(made, miles=miles, moved=moved)
    return steps.keep_visit(made.book, made.act(TONI, seen), made.order, it)


def nuts(session: Session, made: Stay) -> list[FollowUp]:
    mine = select(FollowUp).where(FollowUp.work_order_id == made.order, FollowUp.kind == "nuts")
    return list(session.exec(mine.order_by(col(FollowUp.due_miles))))


def test_the_handover_makes_three_retorques_due(book: Engine) -> None:
    # Common practice: 10, 25 and 50 miles.
    made = left(book)
    with reading(book) as session:
        assert [row.due_miles for row in nuts(session, made)] == [10, 25, 50]


def test_a_sound_visit_does_the_retorques_that_are_driven(book: Engine) -> None:
    made = left(book)
    key = keep(made)
    with reading(book) as session:
        rows = nuts(session, made)
        kept = session.get_one(RetorqueVisit, key)
    assert [row.visit_id for row in rows] == [key, key, None]
    assert [row.done_by for row in rows] == [TONI, TONI, None]
    assert (kept.inside, kept.says, kept.number) == (True, "No nut moved", "N-2026-0001")


def test_a_visit_at_which_a_nut_moved_does_nothing_yet(book: Engine) -> None:
    made = left(book)
    keep(made, moved=2)
    with reading(book) as session:
        assert not any(row.done_on for row in nuts(session, made))


def test_the_same_nut_twice_running_is_do_not_tow(book: Engine) -> None:
    made = left(book)
    keep(made, moved=2)
    key = keep(made, 1, moved=2)
    with reading(book) as session:
        assert session.get_one(RetorqueVisit, key).grade == "dnt"
        assert facts.wheels_of(session, made.order)[0].moved_before == (2,)


def test_after_a_round_in_which_it_stood_a_nut_that_moves_is_new(book: Engine) -> None:
    made = left(book)
    keep(made, moved=2)
    keep(made, 1)
    key = keep(made, 2, moved=2)
    with reading(book) as session:
        assert session.get_one(RetorqueVisit, key).grade == "needs"


def test_a_visit_is_kept_once(book: Engine) -> None:
    made = left(book)
    act = made.act(TONI)
    first = steps.keep_visit(book, act, made.order, visit(made))
    assert steps.keep_visit(book, act, made.order, visit(made)) == first
    with reading(book) as session:
        assert len(session.exec(select(RetorqueVisit)).all()) == 1


def test_two_people_do_not_keep_the_same_visit(book: Engine) -> None:
    made = left(book)
    keep(made)
    with pytest.raises(Stale):
        keep(made)


def test_a_visit_is_never_changed(book: Engine) -> None:
    made = left(book)
    key = keep(made)
    with pytest.raises(DBAPIError), writing(book) as session:
        session.get_one(RetorqueVisit, key).says = "all well"


def test_what_has_not_left_has_no_visit(book: Engine) -> None:
    made = ready(book)
    with pytest.raises(Refused, match="not handed over yet"):
        keep(made)


def test_a_stay_without_torque_records_has_no_visit(book: Engine) -> None:
    made = stay(book, SOUND)
    made.check(WREN)
    made.hand_over()
    with pytest.raises(Refused, match="No wheel has a torque record"):
        steps.keep_visit(
            book,
            made.act(TONI),
            made.order,
            rules.Visit(
                miles="1",
                distance_unit="mi",
                torque="110",
                torque_unit="lbf_ft",
                wheels=(),
                instrument=Used(id=1, name="T"),
            ),
        )


SAID = DoneSaid(DoneHow.ELSEWHERE, TODAY, "owner by phone")


def test_the_owners_word_does_a_follow_up_once(book: Engine) -> None:
    made = left(book)
    with reading(book) as session:
        key = nuts(session, made)[0].key
    act = made.act(WREN)
    assert steps.follow_up_done(book, act, key, SAID) == steps.follow_up_done(book, act, key, SAID) == key
    with reading(book) as session:
        done = facts.follow_up(session, key).done
    assert done == "Done elsewhere, as the owner says, 4 May 2026, Wren: owner by phone"
    with pytest.raises(Refused, match="done already"):
        steps.follow_up_done(book, made.act(WREN, 1), key, SAID)


def test_a_form_that_comes_too_late_is_stale(book: Engine) -> None:
    made = left(book)
    keep(made)
    with reading(book) as session:
        key = nuts(session, made)[0].key
    with pytest.raises(Stale):
        steps.follow_up_done(book, made.act(WREN), key, SAID)


def test_what_is_done_leaves_the_list_of_the_shop(book: Engine) -> None:
    made = left(book)
    with reading(book) as session:
        before = [it.follow.id for it in facts.due_list(session)]
    keep(made, miles="60")
    with reading(book) as session:
        after = facts.due_list(session)
    assert len(after) == len(before) - 3
    assert not any(it.follow.of_nuts for it in after)
    days = [it.follow.due_on for it in after if it.follow.due_on]
    assert days == sorted(days)
    assert after[0].phone

"""Ways round a do-not-tow finding: another stay, a unit put right in the book, words said too early."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import col, select

from app.bench import steps as bench
from app.bench.tables import Job
from app.estimate.saying import Said
from app.ground import receipts
from app.ground.book import reading, writing
from app.handover.stay import stay_of
from app.handover.tables import Handover
from app.inspection import steps as inspection
from app.inspection import taking_back
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Walk
from app.intake.arrival import UnitSaid
from app.intake.steps import save_unit
from app.intake.tables import Unit
from app.trade.figure import Grade
from app.trade.problems import Refused
from tests.handover.stays import (
    LEE,
    NUTS,
    SOUND,
    TONI,
    WREN,
    Found,
    Stay,
    another,
    carried,
    stay,
    towed,
)
from tests.inspection.test_tires_match import FAR, LEFT, NEAR, OLD, RIGHT, code_at, matched
from tests.inspection.walks import TRAVEL, at, begun

CABLE = Found("bk.cable", "Breakaway cable", 2, "needs", by="towing", reason="frayed at the eye")
PIN = Found("cp.latch", "Latch and pin", 2, "needs", by="towing", reason="pin bent")
BOLTS = Found("cp.bolts", "Coupler bolts", 2, "needs", by="towing", reason="one bolt is missing")
MOUNT = Found("cp.mount", "Ball mount", 2, "needs", by="towing", reason="hole is worn")
SOUND_NUTS = replace(NUTS, grade="sound", reason="")


def fit(made: Stay) -> bool:
    """Whether the newest handover of a stay says fit."""
    with reading(made.book) as session:
        mine = select(Handover).where(Handover.work_order_id == made.order)
        return session.exec(mine.order_by(col(Handover.id))).all()[-1].fit


# Another stay of the same unit


def test_do_not_tow_of_another_stay_that_goes_on_holds_the_unit(book: Engine) -> None:
    first = stay(book, [*SOUND, NUTS])
    second = another(first, [*SOUND, SOUND_NUTS])
    second.check()
    with pytest.raises(Refused, match=r"right wheel, axle 2 \(WO-000001\).*two nuts loose"):
        second.hand_over()
    assert second.page().fitness.stops[0].finding_id == first.findings[NUTS.name]  # type: ignore[union-attr]
    first.at = second.at
    first.clear(NUTS.name)
    second.hand_over()
    assert fit(second)


def test_do_not_tow_with_which_it_was_carried_away_holds_it_when_it_comes_back(book: Engine) -> None:
    first = stay(book, [*SOUND, NUTS])
    first.hand_over(carried())
    second = another(first, SOUND)
    second.check()
    with pytest.raises(Refused, match="found at WO-000001"):
        second.hand_over()
    key = second.hand_over(carried())
    with reading(book) as session:
        said = session.get_one(Handover, key).snapshot
    assert [(it["state"], it["name"]) for it in said["lines"] if it["check"] == NUTS.check] == [
        ("dnt", f"{NUTS.name} (WO-000001)")
    ]


def test_what_was_looked_at_again_when_it_came_back_is_judged_by_that(book: Engine) -> None:
    first = stay(book, [*SOUND, NUTS])
    first.hand_over(carried())
    second = another(first, [*SOUND, SOUND_NUTS])
    second.check()
    second.hand_over()
    assert fit(second)


def test_what_was_put_right_in_a_stay_that_ended_fit_says_nothing_later(book: Engine) -> None:
    first = stay(book, [*SOUND, NUTS])
    first.clear(NUTS.name)
    first.check()
    first.hand_over()
    second = another(first, SOUND)
    assert [it for it in second.page().in_the_way if it.grade is Grade.DNT] == []


# A unit put right in the book


def said(made: Stay, **changed: object) -> None:
    """What the book says of the unit, with some of it put right."""
    with reading(made.book) as session:
        unit = session.get_one(Unit, 1)
    names = UnitSaid.__dataclass_fields__
    old = UnitSaid(**{name: getattr(unit, name) for name in names})
    save_unit(made.book, made.act(WREN, unit.revision), 1, replace(old, **changed))  # type: ignore[arg-type]


@pytest.mark.parametrize("changed", [{"axles": 3, "gawr": ()}, {"kind": "cargo"}])
def test_a_unit_that_asks_for_more_than_was_walked_is_not_fit(
    book: Engine, changed: dict[str, object]
) -> None:
    made = stay(book, SOUND)
    made.check()
    assert made.page().in_the_way == ()
    said(made, **changed)
    with pytest.raises(Refused, match="walk-round is not ended"):
        made.hand_over()
    made.hand_over(carried())
    assert not fit(made)


def test_a_look_that_the_units_new_figures_make_heavier_is_saved_again_first(book: Engine) -> None:
    light = replace(TRAVEL, gvwr="1900", gawr=("1000", "1000"), brakes_required=None)
    made = Stay(book, 1, begun(book, light), {})
    look = Seen(readings={"braked": "0"})
    key = at(book, made.walk, "br.need").key
    inspection.record_finding(book, made.act(TONI), key, look)
    inspection.end_walk(book, made.act(TONI), made.walk)
    # under 3,000 lb no brakes are asked for; from there on all wheels have them (the shop's usual figure)
    assert [it.says for it in made.page().in_the_way] == ["The final check is not made"]
    said(made, gvwr="6000", gawr=("3500", "3500"))
    held = made.page().in_the_way[0]
    assert (held.grade, held.finding_id) == (Grade.DNT, key)
    assert held.says.endswith("by what the book says of the unit now; save the look again")
    inspection.record_finding(book, made.act(TONI, 1), key, replace(look, readings={"braked": "4"}))
    assert [it.says for it in made.page().in_the_way] == ["The final check is not made"]


# The owner's initials


def test_initials_for_less_than_was_found_later_do_not_count(book: Engine) -> None:
    made = stay(book, [*SOUND, CABLE])
    made.price(say={"": Said.NO}, initials="RA")
    with writing(book) as session:
        row = session.get_one(Finding, made.findings[CABLE.name])
        row.looked_at, row.reason = made.act(TONI).at, "torn through"
        row.looked_entry = receipts.coming(session)
    made.check()
    with pytest.raises(Refused, match="torn through: the owner has not signed"):
        made.hand_over()
    made.hand_over(towed(initials={made.findings[CABLE.name]: "RA"}))
    assert fit(made)


def test_initials_typed_to_the_minute_of_the_look_count(book: Engine) -> None:
    made = stay(book, [*SOUND, CABLE])
    made.price(say={"": Said.NO}, initials="RA")
    with writing(book) as session:
        row = session.get_one(Finding, made.findings[CABLE.name])
        row.looked_at = made.at + timedelta(seconds=59)
    made.at += timedelta(minutes=2)
    made.check()
    made.hand_over()


# Worse together, once one of them was put right


def test_two_that_stay_open_are_worse_together_though_a_third_was_put_right(book: Engine) -> None:
    made = stay(book, [*SOUND[2:], PIN, BOLTS, MOUNT])
    with writing(book) as session:  # as ending the walk-round lifts the first of them
        row = session.get_one(Finding, made.findings[PIN.name])
        row.alone, row.grade, row.by = {"grade": "needs", "by": "towing", "reason": "pin bent"}, "dnt", None
    made.clear(PIN.name)
    made.check()
    signed = towed(initials={made.findings[name]: "RA" for name in (BOLTS.name, MOUNT.name)})
    # two faults on the coupling are not towed (the shop's rules of grading)
    with pytest.raises(Refused, match=r"Coupler bolts: .*worse together: two faults on the coupling"):
        made.hand_over(signed)
    made.clear(BOLTS.name)
    made.check()
    made.hand_over(signed)
    assert fit(made)


# Work that was begun


def test_work_begun_and_then_not_wanted_is_ended_before_it_leaves(book: Engine) -> None:
    made = stay(book, [*SOUND, CABLE])
    made.price(say={})
    job = bench.open_jobs(book, made.act(WREN), made.order)
    bench.begin(book, made.act(TONI), job)
    made.say(Said.NO)
    for leave in (made.check, made.hand_over):
        with pytest.raises(Refused, match="begun, then not wanted"):
            leave()
    with reading(book) as session:
        seen = session.get_one(Job, job).revision
    bench.accept_job(book, made.act(LEE, seen), job, "Old cable put back on, switch tried")
    bench.finish_job(book, made.act(TONI, seen + 1), job)
    made.check()
    made.hand_over()
    assert fit(made)


# What the final check rests on


def test_a_look_taken_back_after_the_final_check_asks_for_a_new_one(book: Engine) -> None:
    """What stands then is as of before the check, though nobody who checked had it before the eyes."""
    made = stay(book, [*SOUND[1:], replace(BOLTS, grade="sound", reason="")])
    inspection.record_finding(
        book, made.act(TONI), made.findings[BOLTS.name], Seen(grade=Grade.WATCH, reason="one washer is thin")
    )
    made.check()
    assert made.page().in_the_way == ()
    with reading(book) as session:
        [mine] = taking_back.last_acts(session, made.order, TONI)
    taking_back.take_back(book, made.act(TONI), made.order, mine.id, "key")
    assert "Something was done after the final check" in {stop.says for stop in made.page().in_the_way}


# A check judged anew by what is read beside it


@pytest.mark.parametrize(
    "read",
    [
        ("0126",),  # further apart than what was cleared
        (NEAR, FAR),  # first sound, then apart again
    ],
)
def test_a_match_judged_anew_and_no_lighter_is_open_again(book: Engine, read: tuple[str, ...]) -> None:
    walk = begun(book)
    for place, typed in ((LEFT, OLD), (RIGHT, FAR)):
        code_at(book, walk, place, typed)
    key = matched(book, walk, grade=Grade.WATCH).key
    with reading(book) as session:
        made = Stay(book, session.get_one(Walk, walk).work_order_id, walk, {"match": key})
    made.clear_by_row("match")
    assert counts(made, key) is Grade.SOUND
    for typed in read:
        code_at(book, walk, RIGHT, typed)
    assert counts(made, key) is Grade.WATCH


def counts(made: Stay, key: int) -> Grade:
    """The grade that counts of a finding at handover."""
    with reading(made.book) as session:
        return next(it.grade for it in stay_of(session, made.order).things if it.finding_id == key)


def test_a_match_that_only_becomes_lighter_keeps_its_look(book: Engine) -> None:
    walk = begun(book)
    for place, typed in ((LEFT, OLD), (RIGHT, FAR)):
        code_at(book, walk, place, typed)
    before = matched(book, walk, grade=Grade.WATCH).looked_entry
    code_at(book, walk, RIGHT, NEAR)
    assert at(book, walk, "ti.match", "axle-1").looked_entry == before

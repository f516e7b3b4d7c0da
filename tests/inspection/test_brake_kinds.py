"""What is asked follows what brakes the unit: a surge trailer has no magnets."""

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import col, select

from app.bench.kinds import Context
from app.bench.records.brake_readings import rows
from app.ground.book import reading, writing
from app.inspection import steps
from app.inspection.catalogue import KINDS
from app.inspection.places import UnitShape, places_for, walk_order
from app.inspection.readings import read_readings
from app.inspection.rules import Judgement, UnitFacts, judge
from app.inspection.tables import Finding, Walk
from app.inspection.walking import sum_page
from app.intake.arrival import Brakes
from app.intake.tables import Unit, WorkOrder
from app.trade.figure import Grade
from tests.conftest import NOON, Browser, act
from tests.inspection.walks import CATALOGUE, TRAVEL, begun

Signed = Callable[[str], Browser]

# By how each kind works, common practice: magnets and their current are electric; fluid, hose and pads are
# hydraulic, whether the push of the trailer or a pump presses; a surge actuator breaks away by a lever, the
# others by a switch, which a battery of its own feeds where current does the work (49 CFR 393.43(d)).
SHOES = {"br.work", "br.lining", "br.soak", "br.drum", "br.drum_state", "br.parts"}
MAGNETS = {"br.magnet", "br.amps", "br.wire"}
FLUID = {"br.pad", "br.line", "br.fluid"}
OF_KIND = {
    Brakes.NONE: set(),
    Brakes.ELECTRIC: SHOES | MAGNETS | {"bk.works", "bk.battery", "bk.cable"},
    Brakes.SURGE: SHOES | FLUID | {"cp.surge", "bk.surge", "bk.cable"},
    Brakes.HYDRAULIC: SHOES | FLUID | {"bk.works", "bk.battery", "bk.cable"},
    Brakes.AIR: SHOES | {"bk.works"},
}
BOUND = SHOES | MAGNETS | FLUID | {"cp.surge", "bk.surge", "bk.works", "bk.battery", "bk.cable"}
ALWAYS = {"br.need", "bk.fitted"}


def asked(kind: str, brakes: str) -> set[str]:
    shape = UnitShape(kind, axles=2, brakes=brakes)  # type: ignore[arg-type]
    return {check.key for check, _ in walk_order(CATALOGUE, shape, "full")}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("brakes", OF_KIND)
def test_a_unit_is_asked_about_the_brakes_that_it_has(kind: str, brakes: Brakes) -> None:
    found = asked(kind, brakes)
    assert found & BOUND == OF_KIND[brakes]
    assert found >= ALWAYS


@pytest.mark.parametrize("kind", KINDS)
def test_where_nobody_knows_the_brakes_all_of_them_are_asked_about(kind: str) -> None:
    assert asked(kind, Brakes.UNKNOWN) >= BOUND | ALWAYS
    assert asked(kind, UnitShape("boat").brakes) == asked(kind, Brakes.UNKNOWN)


def test_nothing_else_depends_on_the_brakes() -> None:
    assert {check.key for check in CATALOGUE.checks if check.brakes} == BOUND
    assert asked("travel", Brakes.UNKNOWN) - asked("travel", Brakes.NONE) == BOUND


def test_an_equalizer_is_looked_for_between_two_axles_only() -> None:
    # A single axle hangs on its springs alone: common practice.
    check = CATALOGUE.check("su.equal")
    assert places_for(check, UnitShape("travel", axles=1)) == []
    assert len(places_for(check, UnitShape("travel", axles=2))) == 2


REQUIRED = UnitFacts(axles=2, gvwr_lb=Decimal(6000), brakes="surge", brakes_required=True)


def judged(key: str, facts: UnitFacts, **typed: str) -> Judgement:
    check = CATALOGUE.check(key)
    form = {f"reading-{name}": text for name, text in typed.items()}
    day = NOON.date()
    return judge(check, read_readings(check, form, frozenset(form), day), [], facts, day)


@pytest.mark.parametrize(("held", "grade"), [("3", Grade.DNT), ("4", Grade.SOUND)])
def test_a_surge_lever_that_leaves_a_wheel_free_is_not_towed(held: str, grade: Grade) -> None:
    # 49 CFR 393.43(d): brakes go on at once and stay on, on every braked wheel.
    assert judged("bk.surge", REQUIRED, held=held, braked="4").grade is grade


def test_wheels_with_brakes_on_a_unit_without_leave_the_question_open() -> None:
    # Unknown never counts as enough: brakes that the book denies were not asked about in this walk.
    bare = UnitFacts(axles=1, gvwr_lb=Decimal(2000), brakes="none", brakes_required=False)
    assert judged("br.need", bare, braked="2").grade is Grade.UNSEEN
    assert "the book says no brakes" in judged("br.need", bare, braked="2").reason
    assert judged("br.need", bare, braked="0").grade is Grade.SOUND


def test_a_brake_record_asks_for_magnets_discs_and_lines_where_there_are_or_may_be_some() -> None:
    def named(brakes: str) -> set[str]:
        return {row.name for row in rows(Context("axle-1", "Axle 1", NOON.date(), brakes=brakes))}

    sides = ("left", "right")
    magnets = {"magnet", "volts", "amps", *(f"{of}_{side}" for of in ("ohms", "amps") for side in sides)}
    discs = {"pad", *(f"{of}_{side}" for of in ("pad", "rotor") for side in sides)}
    discs |= {f"rotor_{side}_least" for side in sides}
    lines = {"joints", "fluid"}
    assert named("unknown") == named("electric") | named("hydraulic")
    assert named("electric") - named("hydraulic") == magnets
    assert named("hydraulic") - named("electric") == discs | lines
    assert named("surge") == named("hydraulic")


# A book that is put right while the walk-round is under way


def corrected(book: Engine, walk: int, brakes: str) -> int:
    """Key of the work order, once its unit has other brakes in the book."""
    with writing(book) as session:
        order = session.get_one(WorkOrder, session.get_one(Walk, walk).work_order_id)
        unit = session.get_one(Unit, order.unit_id)
        unit.brakes = brakes
        session.add(unit)
        return order.key


def held(book: Engine, walk: int) -> list[str]:
    with reading(book) as session:
        return list(
            session.exec(select(Finding.check).where(Finding.walk_id == walk).order_by(col(Finding.id)))
        )


def missing(book: Engine, walk: int) -> tuple[str, ...]:
    with reading(book) as session:
        page = sum_page(session, walk)
        assert page is not None
        return page.unlisted


def test_a_walk_is_given_what_a_corrected_unit_asks_for_and_keeps_what_it_had(book: Engine) -> None:
    walk = begun(book, replace(TRAVEL, brakes="none"))
    before = held(book, walk)
    assert not set(before) & BOUND
    assert missing(book, walk) == ()
    order = corrected(book, walk, "surge")
    assert "Breakaway of the surge actuator" in missing(book, walk)
    again = act(3)
    assert steps.begin_walk(book, again, order) == walk
    after = held(book, walk)
    assert after[: len(before)] == before
    assert set(after) - set(before) == OF_KIND[Brakes.SURGE]
    assert missing(book, walk) == ()
    assert steps.begin_walk(book, again, order) == walk  # the same act again
    assert held(book, walk) == after


def test_opening_a_walk_that_holds_all_adds_nothing(book: Engine) -> None:
    walk = begun(book)
    before = held(book, walk)
    with reading(book) as session:
        order = session.get_one(Walk, walk).work_order_id
    assert steps.begin_walk(book, act(3), order) == walk
    assert held(book, walk) == before


def test_the_sum_says_what_is_missing_and_one_key_adds_it(book: Engine, signed: Signed) -> None:
    toni, walk = signed("Toni"), begun(book, replace(TRAVEL, brakes="none"))
    sum_up = f"/inspection/walks/{walk}/sum-up"
    assert "The book has changed" not in toni.get(sum_up).text
    order = corrected(book, walk, "surge")
    page = toni.get(sum_up).text
    assert "The book has changed" in page
    assert f'action="/inspection/orders/{order}"' in page
    keys = re.findall(r'name="submission" value="([^"]+)"', page)
    assert len(keys) == len(set(keys)) == 2  # one for each form of the page
    answer = toni.post(f"/inspection/orders/{order}", {"submission": keys[0]})
    assert answer.status_code == 303
    assert "The book has changed" not in toni.get(sum_up).text
    assert set(held(book, walk)) & BOUND == OF_KIND[Brakes.SURGE]

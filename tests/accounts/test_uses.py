"""What each use of a kit came to: hours sold, clocked and billed, what its parts cost, the usual hours."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import select

from app.accounts import steps
from app.accounts.rules import CreditSaid
from app.accounts.uses import LAST, KitHistory, Use, Usual, billed_hours, histories, parts_cost, took, usual
from app.bench import steps as bench
from app.bench.floor import steps as floor
from app.bench.tables import Job
from app.estimate.tables import Work
from app.ground.acting import now
from app.ground.book import reading, writing
from app.intake.facts import order_head
from app.intake.tables import Unit
from app.parts.tables import Movement, Part
from app.trade.stock import MoveKind
from tests.accounts.stays import TONI, WREN, agreed, billed, desk, finish, finished, jobs
from tests.conftest import NOON, Browser, act
from tests.estimate.arrived import BREAKAWAY, HUB_1, ROOF, arrive

WHEN = NOON + timedelta(hours=9)
HUBS = (HUB_1,)


def use(clocked: str = "1.0", on: str = "Travel trailer, 1 axle") -> Use:
    return Use("hubs", "Hubs", 1, "WO-000001", 417, on, NOON, Decimal("1.2"), Decimal(clocked), Decimal(0), 0)


def told(book: Engine) -> list[KitHistory]:
    with reading(book) as session:
        return histories(session, WHEN)


def clocked_and_finished(book: Engine, minutes: int) -> int:
    """A work order with the hubs repacked, its technician clocked on for some minutes."""
    order_id = agreed(book, HUBS)
    (job,) = jobs(book, order_id)
    floor.clock_on(book, act(person=TONI), job.id)
    floor.clock_off(book, act(person=TONI, at=NOON + timedelta(minutes=minutes)))
    finish_begun(book, job.id)
    return order_id


def finish_begun(book: Engine, job_id: int) -> None:
    with reading(book) as session:
        seen = session.get_one(Job, job_id).revision
    bench.accept_job(book, act(person=1, seen=seen), job_id, "Seen done.")
    bench.finish_job(book, act(person=TONI, seen=seen + 1), job_id)


def test_sold_clocked_and_billed_hours_stand_beside_each_other(book: Engine) -> None:
    order_id = clocked_and_finished(book, 84)
    (kit,) = told(book)
    (one,) = kit.uses
    assert (one.clocked, one.billed) == (Decimal("1.4"), Decimal(0))
    assert one.sold is not None
    assert one.sold > 0
    billed(book, order_id)
    (one,) = told(book)[0].uses
    assert one.billed == one.sold  # flat-rate labour is billed as it was sold
    assert kit.usual == (Usual(one.on, Decimal("1.4"), 1),)
    assert told(book)[0].usual == (Usual(one.on, Decimal("1.4"), 1, one.sold),)


def test_the_page_of_hours_has_all_three_beside_each_other(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    order_id = clocked_and_finished(book, 84)
    with writing(book) as session:
        session.exec(select(Job)).one().finished_at = now()  # the page goes 30 days back
    before = signed("Toni").get("/bench/hours").text
    (one,) = told(book)[0].uses
    cells = (("Sold, h", "{}"), ("Clocked, h", "1.40"), ("Billed, h", "{}"))
    row = "".join(f'<td data-label="{label}" class="amount">{it}</td>' for label, it in cells)
    assert row.format(one.sold, "-") in before
    billed(book, order_id)
    assert row.format(one.sold, one.sold) in signed("Toni").get("/bench/hours").text
    (job,) = jobs(book, order_id)
    assert f"<b>{one.sold} h</b> billed" in signed("Wren").get(f"/bench/jobs/{job.id}").text


def says(book: Engine, order_id: int) -> dict[str, str]:
    with reading(book) as session:
        return took(session, order_id, WHEN)


def test_what_a_kit_took_stands_beside_its_choice_on_units_alike(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    done = clocked_and_finished(book, 84)
    new = arrive(book, (ROOF,))  # another unit of the same kind and axles
    kit = told(book)[0]
    assert says(book, new) == {kit.key: "whole work on units alike: 1.40 h clocked"}
    billed(book, done)
    sold = told(book)[0].uses[0].sold
    words = f"whole work on units alike: 1.40 h clocked, {sold} h billed"
    assert says(book, new) == {kit.key: words}
    choice = f'<option value="{kit.key}">{kit.name}, per {kit.per}, {kit.hours} h; {words}</option>'
    page = signed("Wren").get(f"/estimate/{new}/add").text
    assert choice in page


@pytest.mark.parametrize(("field", "value"), [("axles", 3), ("kind", "boat")])
def test_what_a_kit_took_on_other_units_is_not_told(book: Engine, field: str, value: object) -> None:
    clocked_and_finished(book, 84)
    new = arrive(book, (ROOF,))
    with writing(book) as session:
        unit = session.get_one(Unit, order_head(session, new).unit_id)
        setattr(unit, field, value)
    assert says(book, new) == {}


def test_a_kit_that_nobody_clocked_on_to_tells_nothing(book: Engine) -> None:
    finished(book, HUBS)
    assert says(book, arrive(book, (ROOF,))) == {}


def test_hours_that_a_credit_note_took_back_are_not_billed(book: Engine) -> None:
    order_id = finished(book, HUBS)
    bill_id = billed(book, order_id)
    with reading(book) as session:
        before = billed_hours(session, order_id)
    assert sum(before.values()) > 0
    steps.take_back(book, desk(book, order_id), bill_id, CreditSaid(frozenset(), "billed twice", whole=True))
    with reading(book) as session:
        assert billed_hours(session, order_id) == {}


def test_work_that_is_not_finished_or_by_hand_is_no_use(book: Engine) -> None:
    order_id = agreed(book, (BREAKAWAY,))
    assert told(book) == []
    finish(book, jobs(book, order_id)[0].id)
    assert [kit.uses[0].order_id for kit in told(book)] == [order_id]
    with writing(book) as session:
        session.get_one(Work, jobs(book, order_id)[0].work_id).kit = ""
    assert told(book) == []


def test_the_newest_use_stands_first_and_kits_by_name(book: Engine) -> None:
    first, second = finished(book, (*HUBS, BREAKAWAY)), finished(book, HUBS)
    found = told(book)
    assert [kit.name for kit in found] == sorted(kit.name for kit in found)
    both = next(kit for kit in found if len(kit.uses) == 2)
    assert [each.order_id for each in both.uses] == [second, first]


def moved(book: Engine, work_id: int, *moves: tuple[MoveKind, int]) -> None:
    with writing(book) as session:
        part = Part(created_at=NOON, number=f"B-{work_id}", name="Bearing")
        session.add(part)
        session.flush()
        for kind, value in moves:
            session.add(
                Movement(
                    created_at=NOON, part_id=part.key, kind=kind, value=value, work_id=work_id, person_id=WREN
                )
            )


@pytest.mark.parametrize(
    ("moves", "cost"),
    [
        ((), 0),
        (((MoveKind.ISSUE, -1240),), 1240),
        (((MoveKind.ISSUE, -1240), (MoveKind.ISSUE, -35), (MoveKind.RETURN, 620)), 655),
        (((MoveKind.RESERVE, 0), (MoveKind.RECEIVE, 5000)), 0),  # bought for it, not used yet
        (((MoveKind.ISSUE, -620), (MoveKind.RETURN, 620)), 0),
    ],
)
def test_parts_cost_what_left_the_shelf_less_what_came_back(
    book: Engine, moves: tuple[tuple[MoveKind, int], ...], cost: int
) -> None:
    order_id = finished(book, HUBS)
    (job,) = jobs(book, order_id)
    moved(book, job.work_id, *moves)
    with reading(book) as session:
        assert parts_cost(session, job.work_id) == cost
    assert told(book)[0].uses[0].parts == cost


@pytest.mark.parametrize(
    ("clocked", "hours", "of"),
    [
        (["1.0"], "1.0", 1),
        (["1.0", "2.0"], "1.5", 2),
        (["1.0", "9.0", "1.2"], "1.2", 3),  # one bad day does not count
        (["1.0", "1.0", "1.0", "4.0", "4.0", "4.0", "4.0"], "1.0", LAST),  # the newest five
        (["0", "1.4"], "1.4", 1),  # nobody clocked on
    ],
)
def test_the_usual_hours_are_the_median_of_the_last(clocked: list[str], hours: str, of: int) -> None:
    (found,) = usual(map(use, clocked))
    assert (found.hours, found.of) == (Decimal(hours), of)


def test_units_of_other_kinds_and_axles_are_kept_apart() -> None:
    one, two = "Travel trailer, 1 axle", "Travel trailer, 2 axles"
    found = usual([use("1.0", one), use("3.0", two), use("1.4", one)])
    assert [(each.on, each.hours) for each in found] == [(one, Decimal("1.2")), (two, Decimal("3.0"))]


def test_the_billed_hours_are_the_median_of_the_last_that_were_billed() -> None:
    uses = [replace(use("1.0"), billed=Decimal(each)) for each in ("2.0", "0", "3.0", "2.4")]
    assert usual(uses) == (Usual(uses[0].on, Decimal("1.0"), 4, Decimal("2.4")),)


def test_nothing_clocked_is_nothing_usual() -> None:
    assert usual([]) == ()
    assert usual([use("0")]) == ()


@given(st.lists(st.decimals("0.1", "40", places=1), min_size=1, max_size=20))
def test_the_usual_hours_lie_between_the_least_and_the_most_of_the_last(hours: list[Decimal]) -> None:
    (found,) = usual(replace(use(), clocked=each) for each in hours)
    last = hours[:LAST]
    assert min(last) <= found.hours <= max(last)
    assert found.hours == median(last)
    assert found.of == len(last)


def test_the_page_shows_the_kit_beside_what_it_took(book: Engine, signed: Callable[[str], Browser]) -> None:
    order_id = clocked_and_finished(book, 84)
    page = signed("Wren").get("/accounts/kits").text
    kit = told(book)[0]
    assert kit.name in page
    assert f"<b>{kit.hours} h</b>" in page
    assert "<b>1.40 h</b> clocked, once" in page
    assert f'href="/orders/{order_id}"' in page
    assert "Parts cost" in page


def test_the_page_says_so_before_any_kit_was_used(book: Engine, signed: Callable[[str], Browser]) -> None:
    order_id = arrive(book, (ROOF,))
    wren = signed("Wren")
    assert "No kit was used in finished work yet." in wren.get("/accounts/kits").text
    assert 'href="/accounts/kits"' in wren.get(f"/estimate/{order_id}/add").text
    assert 'href="/accounts/kits"' in wren.get("/accounts").text
    assert signed("Toni").get("/accounts/kits").status_code == 403

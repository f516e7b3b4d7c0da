"""Partial receipts and back orders: what is worth what, and which day is promised in the end."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground.book import reading, writing
from app.intake.tables import WorkOrder
from app.parts import buying
from app.parts.ledger import coming, coming_for, held_for
from app.parts.orders import awaited_parts
from app.parts.rules import BoughtSaid, Came
from app.trade import stock
from tests.conftest import act
from tests.parts.shelf import order, part, standing, supplier
from tests.parts.test_orders import page

SHOP = ZoneInfo("America/New_York")
PROMISED = datetime(2026, 5, 8, 20, 0, tzinfo=UTC)  # 16:00 in the shop


def day(n: int) -> date:
    return date(2026, 5, n)


def ordered(book: Engine, *bought: tuple[str, int, int]) -> int:
    """A sent order with one line each of (part number, hundredths, cost), all for one work order; its key."""
    from_whom = supplier(book)
    order_id, number = order(book)
    with writing(book) as session:
        session.get_one(WorkOrder, order_id).promised_at = PROMISED
    buying.open_order(book, act(), from_whom)
    for seen, (name, quantity, cost) in enumerate(bought, 1):
        part(book, number=name, supplier_id=from_whom, unit="ft")
        buying.add_line(book, act(seen=seen), 1, BoughtSaid(name, quantity, cost, number))
    buying.send_order(book, act(seen=len(bought) + 1), 1, "phone")
    return order_id


def delivered(book: Engine, *came: Came) -> None:
    buying.take_in_delivery(book, act(seen=page(book).order.revision), 1, came)


def promised(book: Engine, order_id: int) -> datetime:
    with reading(book) as session:
        at = session.get_one(WorkOrder, order_id).promised_at
    assert at is not None
    return at.astimezone(SHOP)


# Which day is promised


@pytest.mark.parametrize("days", [(20, 15), (15, 20), (20, 20)])
def test_of_two_parts_that_come_late_the_last_one_decides_the_day(
    book: Engine, days: tuple[int, int]
) -> None:
    order_id = ordered(book, ("WIRE-1", 400, 62), ("WIRE-2", 400, 62))
    delivered(book, *(Came(n, 0, day(each), moves_promise=True) for n, each in enumerate(days, 1)))
    assert promised(book, order_id).date() == day(20)
    assert page(book).late == ()


def test_a_day_that_was_moved_on_meanwhile_is_not_drawn_back(book: Engine) -> None:
    order_id = ordered(book, ("WIRE-1", 400, 62))
    with writing(book) as session:
        session.get_one(WorkOrder, order_id).promised_at = PROMISED + timedelta(days=30)
    delivered(book, Came(1, 0, day(20), moves_promise=True))
    assert promised(book, order_id).date() == date(2026, 6, 7)


def test_each_back_order_moves_the_day_on_and_the_hour_stays(book: Engine) -> None:
    order_id = ordered(book, ("WIRE-1", 400, 62))
    for n, came in ((12, 100), (19, 100), (26, 100)):
        delivered(book, Came(1, came, day(n), moves_promise=True))
        assert promised(book, order_id) == datetime(2026, 5, n, 16, 0, tzinfo=SHOP)
    with reading(book) as session:
        [waits] = awaited_parts(session, [order_id])[order_id]
    assert waits.says == "1 ft Bearing set, cone and cup, expected 26 May"


def test_the_hour_stays_the_shops_own_when_the_clocks_go_back(book: Engine) -> None:
    """Summer time ends on 1 November 2026 in New York (15 U.S.C. 260a): 16:00 is then 21:00 UTC."""
    order_id = ordered(book, ("WIRE-1", 400, 62))
    delivered(book, Came(1, 0, date(2026, 11, 2), moves_promise=True))
    assert promised(book, order_id).hour == 16
    assert promised(book, order_id).astimezone(UTC).hour == 21


def test_an_order_without_a_promised_day_gets_none_from_a_delivery(book: Engine) -> None:
    order_id = ordered(book, ("WIRE-1", 400, 62))
    with writing(book) as session:
        session.get_one(WorkOrder, order_id).promised_at = None
    delivered(book, Came(1, 0, day(20), moves_promise=True))
    with reading(book) as session:
        assert session.get_one(WorkOrder, order_id).promised_at is None


def test_what_comes_in_parts_is_held_for_its_work_order_and_the_rest_is_still_coming(book: Engine) -> None:
    order_id = ordered(book, ("WIRE-1", 400, 62))
    for came, held, left in ((150, 150, 250), (50, 200, 200), (200, 400, 0)):
        delivered(book, Came(1, came, None))
        with reading(book) as session:
            assert held_for(session, 1, order_id) == {None: held}
            assert coming_for(session).get((order_id, 1), {None: 0}) == {None: left}
            assert coming(session) == {}
    assert page(book).state == "all here"


# What it is worth


def test_a_purchase_in_many_deliveries_is_worth_what_it_costs(book: Engine) -> None:
    """10 ft at 0.05 in twenty pieces of half a foot: 0.025 each, half up 0.03, would make 0.60 of 0.50."""
    ordered(book, ("WIRE-1", 1000, 5))
    for _ in range(20):
        delivered(book, Came(1, 50, None))
    assert (standing(book, 1).on_hand, standing(book, 1).value) == (1000, 50)
    assert page(book).total == 50


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=12), st.integers(0, 5_000_000))
@settings(suppress_health_check=[HealthCheck.too_slow])
def test_however_a_purchase_is_split_its_deliveries_add_up(pieces: Sequence[int], cost: int) -> None:
    came, worth = 0, 0
    for some in pieces:
        worth += stock.receive(some, cost, came).value
        came += some
    exact = Decimal(came) * cost / 100
    assert worth == int(exact.quantize(Decimal(1), ROUND_HALF_UP))


def test_a_single_delivery_is_rounded_half_up_once() -> None:
    assert [stock.receive(some, 5).value for some in (49, 50, 51)] == [2, 3, 3]  # 2.45, 2.5, 2.55

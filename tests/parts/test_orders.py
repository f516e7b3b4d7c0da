"""Purchase orders: filled, sent, taken in, closed; what is late moves the promise once agreed."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading, writing
from app.ground.receipts import Stale, sign
from app.intake.tables import WorkOrder
from app.parts import buying, orders
from app.parts.ledger import coming, coming_for, held_for
from app.parts.orders import OrderPage
from app.parts.rules import Bought, BoughtSaid, Came
from app.parts.tables import PurchaseLine, PurchaseOrder
from app.trade.problems import Refused
from tests.conftest import NOON, Browser, act, people_now
from tests.parts.shelf import order, part, standing, stands, stocked, supplier

Signed = Callable[[str], Browser]
MAY_12 = date(2026, 5, 12)


def page(book: Engine, key: int = 1) -> OrderPage:
    with reading(book) as session:
        return orders.order_page(session, key)


def bought(book: Engine, *, tied: bool = True) -> tuple[int, int]:
    """Keys of a part and of a work order; six of it are on order 1, four of them for that work order."""
    key = part(book, supplier_id=supplier(book))
    order_id, number = order(book)
    buying.open_order(book, act(), 1)
    buying.add_line(book, act(seen=1), 1, BoughtSaid("BRG-L44649", 200, None, None))
    if tied:
        buying.add_line(book, act(seen=2), 1, BoughtSaid("BRG-L44649", 400, 1500, number))
    return key, order_id


def sent(book: Engine) -> tuple[int, int]:
    keys = bought(book)
    buying.send_order(book, act(seen=3), 1, "phone")
    return keys


def test_an_order_gets_the_next_number_of_its_year(book: Engine) -> None:
    one, two = supplier(book), supplier(book, "Lowmoor Tire Depot")
    assert buying.open_order(book, act(), one) == 1
    assert buying.open_order(book, act(), one) == 1  # the one that is open
    assert buying.open_order(book, act(), two) == 2
    assert [page(book, key).order.number for key in (1, 2)] == ["P-2026-0001", "P-2026-0002"]


def test_the_same_part_for_the_same_work_is_one_line(book: Engine) -> None:
    bought(book)
    buying.add_line(book, act(seen=3), 1, BoughtSaid("BRG-L44649", 300, None, None))
    lines = page(book).lines
    assert [(line.quantity, line.cost, line.unit_number) for line in lines] == [
        (500, 1450, None),
        (400, 1500, 401),
    ]
    assert page(book).total == 5 * 1450 + 4 * 1500


def test_what_is_wanted_goes_to_each_parts_supplier(book: Engine) -> None:
    one, two = supplier(book), supplier(book, "Lowmoor Tire Depot")
    bearing, tire = part(book, supplier_id=one), part(book, number="TIR-1", supplier_id=two, cost=9200)
    with writing(book) as session:
        rows = buying.order_parts(
            session, act(), [Bought(bearing, 200), Bought(tire, 400), Bought(bearing, 100)]
        )
        first = rows[0]
        assert isinstance(first, PurchaseOrder)
        sign(session, act(), "order parts", first, *rows[1:])
    assert [(line.number, line.quantity) for line in page(book, 1).lines] == [("BRG-L44649", 300)]
    assert [(line.number, line.quantity) for line in page(book, 2).lines] == [("TIR-1", 400)]


def test_a_part_without_a_supplier_is_named(book: Engine) -> None:
    key = part(book)
    with pytest.raises(Refused, match="No supplier is known for BRG-L44649"), writing(book) as session:
        buying.order_parts(session, act(), [Bought(key, 100)])


def test_an_order_that_was_sent_is_not_changed(book: Engine) -> None:
    sent(book)
    for late in (
        lambda: buying.add_line(book, act(seen=4), 1, BoughtSaid("BRG-L44649", 100, None, None)),
        lambda: buying.remove_line(book, act(seen=4), 1, 1),
        lambda: buying.send_order(book, act(seen=4), 1, "phone"),
    ):
        with pytest.raises(Refused, match="was sent"):
            late()
    assert page(book).state == "sent"


def test_an_empty_order_is_not_sent_and_a_late_form_changes_nothing(book: Engine) -> None:
    buying.open_order(book, act(), supplier(book))
    with pytest.raises(Refused, match="nothing on this order"):
        buying.send_order(book, act(seen=1), 1, "phone")
    with pytest.raises(Stale):
        buying.send_order(book, act(seen=0), 1, "phone")
    with pytest.raises(Refused, match="not sent yet"):
        buying.take_in_delivery(book, act(seen=1), 1, [])


def test_what_comes_for_a_work_order_is_put_aside_for_it(book: Engine) -> None:
    key, order_id = sent(book)
    again = act(seen=4)
    came = [Came(1, 200, None), Came(2, 300, MAY_12)]
    assert buying.take_in_delivery(book, again, 1, came) == buying.take_in_delivery(book, again, 1, came)
    assert stands(book, key) == (5, 3)
    assert standing(book, key).value == 2 * 1450 + 3 * 1500
    with reading(book) as session:
        assert held_for(session, key, order_id) == {None: 300}
        assert coming_for(session) == {(order_id, key): {None: 100}}
        assert coming(session) == {}
    shown = page(book)
    assert shown.state == "part here"
    assert [(line.came, line.left, line.expected_on) for line in shown.lines] == [
        (200, 0, None),
        (300, 100, MAY_12),
    ]


def test_more_than_was_ordered_is_refused_beside_its_row(book: Engine) -> None:
    key, _ = sent(book)
    with pytest.raises(Refused) as refused:
        buying.take_in_delivery(book, act(seen=4), 1, [Came(1, 100, None), Came(2, 500, None)])
    assert refused.value.problems[0].field == "came-2"
    assert stands(book, key) == (0, 0)  # all rows or none


def test_what_comes_late_moves_the_promised_day_only_where_the_writer_agreed(book: Engine) -> None:
    _, order_id = sent(book)
    promised = datetime(2026, 5, 8, 20, 0, tzinfo=UTC)  # 16:00 in the shop
    with writing(book) as session:
        session.get_one(WorkOrder, order_id).promised_at = promised
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 0, MAY_12)])
    assert [line.number for line in page(book).late] == ["BRG-L44649"]
    buying.take_in_delivery(book, act(seen=5), 1, [Came(2, 0, MAY_12, moves_promise=True)])
    with reading(book) as session:
        row = session.get_one(WorkOrder, order_id)
    assert row.promised_at == promised + timedelta(days=4)
    assert row.promised_at is not None
    assert row.promised_at.astimezone(ZoneInfo("America/New_York")).hour == 16
    assert page(book).late == ()


def test_what_a_closed_order_owes_is_not_coming_any_more(book: Engine) -> None:
    key, _ = sent(book)
    with reading(book) as session:
        assert coming(session) == {key: 200}
    buying.close_order(book, act(seen=4), 1)
    with reading(book) as session:
        assert coming(session) == coming_for(session) == {}
    assert page(book).state == "closed"
    with pytest.raises(Refused, match="closed"):
        buying.take_in_delivery(book, act(seen=5), 1, [Came(1, 100, None)])


def test_an_order_that_came_whole_says_so(book: Engine) -> None:
    sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(1, 200, None), Came(2, 400, None)])
    assert (page(book).state, page(book).awaited) == ("all here", ())


# The pages


def test_an_order_is_opened_filled_and_sent_by_its_forms(book: Engine, signed: Signed) -> None:
    part(book, supplier_id=supplier(book))
    order(book)
    browser = signed("Wren")
    opened = browser.post("/parts/orders", {"submission": "open", "supplier": "1"})
    assert opened.headers["location"] == "/parts/orders/1"
    line = {"submission": "a", "revision": "1", "part": "brg-l44649", "quantity": "4", "order": "WO-000001"}
    assert browser.post("/parts/orders/1/lines", line | {"order": "WO-9"}).status_code == 422
    assert browser.post("/parts/orders/1/lines", line | {"submission": "b"}).status_code == 303
    unsaid = browser.post("/parts/orders/1/send", {"submission": "c", "revision": "2"})
    assert unsaid.status_code == 422
    assert "How it was sent is missing" in unsaid.text
    late = browser.post("/parts/orders/1/send", {"submission": "d", "revision": "1", "how": "phone"})
    assert late.status_code == 409
    assert browser.post("/parts/orders/1/send", {"submission": "e", "revision": "2", "how": "phone"})
    assert "It is <b>sent</b>" in browser.get("/parts/orders/1").text
    assert "1 of 1 lines" in browser.get("/parts/orders").text


def test_a_day_after_the_promise_is_asked_before_it_moves(book: Engine, signed: Signed) -> None:
    _, order_id = sent(book)
    today = people_now()
    with writing(book) as session:
        session.get_one(WorkOrder, order_id).promised_at = today + timedelta(days=3)
    browser, day = signed("Wren"), (today + timedelta(days=9)).date().isoformat()
    form = {"submission": "late", "revision": "4", "came-2": "1", "expected-2": day}
    asked = browser.post("/parts/orders/1/delivery", form)
    assert asked.status_code == 422
    assert f'name="confirm-expected-2" value="{day}"' in asked.text
    assert "Unit 401 is promised for" in asked.text
    kept = browser.post("/parts/orders/1/delivery", form | {"submission": "yes", "confirm-expected-2": day})
    assert kept.status_code == 303
    with reading(book) as session:
        row = session.get_one(WorkOrder, order_id)
    assert row.promised_at is not None
    assert abs(row.promised_at - (today + timedelta(days=9))) < timedelta(hours=25)


def test_an_order_is_printed_for_its_supplier(book: Engine, signed: Signed) -> None:
    sent(book)
    browser = signed("Wren")
    printed = browser.post("/parts/orders/1/print", {"submission": "print", "revision": "4"})
    assert printed.status_code == 303
    pdf = browser.get(f"{printed.headers['location']}.pdf")
    text = re.sub(r"\s+", " ", "".join(it.extract_text() for it in PdfReader(BytesIO(pdf.content)).pages))
    for words in ("Purchase order P-2026-0001", "Fenwater Axle Supply", "BRG-L44649", "special order", "401"):
        assert words in text, words
    assert "89.00" in text  # 2 at 14.50 and 4 at 15.00: 29.00 + 60.00, by hand


def test_a_technician_reads_orders_and_changes_none(book: Engine, signed: Signed) -> None:
    sent(book)
    browser = signed("Toni")
    assert browser.get("/parts/orders/1").status_code == 200
    for act_on in ("lines", "send", "delivery", "close", "print", "lines/1/remove"):
        assert browser.post(f"/parts/orders/1/{act_on}", {"submission": act_on}).status_code == 403
    assert browser.get("/parts/orders/9").status_code == 404


def test_a_line_is_taken_off_an_open_order(book: Engine, signed: Signed) -> None:
    bought(book)
    browser = signed("Wren")
    gone = browser.post("/parts/orders/1/lines/1/remove", {"submission": "off", "revision": "3"})
    assert gone.status_code == 303
    with reading(book) as session:
        assert [line.id for line in session.exec(select(PurchaseLine))] == [2]
    assert NOON.year == 2026
    assert stocked(book, 1, number="OTHER")


def test_the_two_forms_of_an_open_order_are_two_acts(book: Engine, signed: Signed) -> None:
    bought(book)
    keys = re.findall(r'name="submission" value="([^"]+)"', signed("Wren").get("/parts/orders/1").text)
    assert len(keys) == len(set(keys)) >= 4  # a line each, print, add, send

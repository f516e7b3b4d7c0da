"""Purchase orders: filled, sent, taken in, closed; what is late moves the promise once agreed."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from typing import Any
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
from app.parts.rules import Awaited, Bought, BoughtSaid, Came, read_delivery
from app.parts.tables import PurchaseLine, PurchaseOrder
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import NOON, Browser, act, people_now
from tests.parts.shelf import moves, order, part, standing, stands, stocked, supplier

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
    for act_on in ("lines", "send", "delivery", "close", "print", "lines/1/remove", "lines/1/cost"):
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


# What comes otherwise than ordered, and what does not come


def awaiting(**more: Any) -> tuple[Awaited, ...]:  # noqa: ANN401 - any field
    return (Awaited(**{"line_id": 2, "outstanding": 400, "cost": 1500, **more}),)


def read(typed: dict[str, str], **more: Any) -> Came:  # noqa: ANN401 - any field
    [came] = read_delivery(Texts(typed), awaiting(**more), date(2026, 5, 5))
    return came


def test_what_came_at_another_cost_is_worth_that(book: Engine) -> None:
    key, _ = sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 300, None, cost=1620)])
    assert standing(book, key).value == 3 * 1620  # 48.60, not the 45.00 that was ordered
    assert moves(book, key)[0].note == "came at 16.20, ordered at 15.00"
    buying.take_in_delivery(book, act(seen=5), 1, [Came(2, 100, None)])
    assert standing(book, key).value == 3 * 1620 + 1500
    line = page(book).lines[1]
    assert (line.worth, line.otherwise, line.amount) == (6360, True, 6000)


def test_the_cost_ordered_typed_again_is_no_other_cost(book: Engine) -> None:
    key, _ = sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 400, None, cost=1500)])
    assert (standing(book, key).value, moves(book, key)[0].note) == (6000, "")
    assert not page(book).lines[1].otherwise


@pytest.mark.parametrize(("typed", "kept"), [("", None), ("16.20", 1620), ("7.51", 751), ("29.99", 2999)])
def test_a_cost_is_read_with_what_came(typed: str, kept: int | None) -> None:
    assert read({"came-2": "1", "cost-2": typed}).cost == kept


@pytest.mark.parametrize("typed", ["7.50", "30.00", "1620"])
def test_a_cost_of_half_or_twice_is_asked_once(typed: str) -> None:
    with pytest.raises(Refused, match=r"ordered at 15\.00"):
        read({"came-2": "1", "cost-2": typed})
    assert read({"came-2": "1", "cost-2": typed, "confirm-cost-2": typed}).cost


def test_a_cost_of_nothing_that_came_is_refused() -> None:
    with pytest.raises(Refused, match="without anything that came"):
        read({"cost-2": "16.20"})


def test_a_line_that_does_not_come_is_missing_again_and_the_others_still_come(book: Engine) -> None:
    """Two of six came for the shelf; the four of the work order never do, and the order stays open."""
    key, order_id = sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 100, None, ends=True)])
    with reading(book) as session:
        assert (coming(session), coming_for(session)) == ({key: 200}, {})
        assert held_for(session, key, order_id) == {None: 100}
    line = page(book).lines[1]
    assert (line.quantity, line.came, line.given_up, line.left) == (400, 100, 300, 0)
    assert page(book).state == "part here"
    with pytest.raises(Refused, match="still to come"):
        buying.take_in_delivery(book, act(seen=5), 1, [Came(2, 100, None)])
    buying.take_in_delivery(book, act(seen=5), 1, [Came(1, 200, None)])
    assert page(book).state == "nothing more comes"


def test_the_rest_does_not_come_on_a_day() -> None:
    assert read({"ends-2": "yes"}) == Came(2, 0, None, ends=True)
    assert (
        read({"ends-2": "yes", "expected-2": "2026-05-04"}, expected_on=date(2026, 5, 4)).expected_on is None
    )
    with pytest.raises(Refused, match="has a day, and is not coming"):
        read({"ends-2": "yes", "expected-2": "2026-05-12"})


def test_a_day_that_stands_already_moves_no_promise() -> None:
    """By the supplier's usual days it may stand after the promised day, and nobody agreed to move that."""
    typed = {"came-2": "1", "expected-2": "2026-05-12"}
    assert not read(typed, expected_on=MAY_12, promised=date(2026, 5, 8), unit_number=401).moves_promise


def test_an_order_is_expected_after_its_suppliers_usual_days_and_then_overdue(book: Engine) -> None:
    """Sent on 4 May with 3 days: expected on the 7th, overdue from the 8th on."""
    part(book, supplier_id=supplier(book, lead_days=3))
    buying.open_order(book, act(), 1)
    buying.add_line(book, act(seen=1), 1, BoughtSaid("BRG-L44649", 200, None, None))
    buying.send_order(book, act(seen=2), 1, "phone")
    [line] = page(book).lines
    assert line.expected_on == date(2026, 5, 7)
    assert [len(page(book).overdue(date(2026, 5, day))) for day in (7, 8)] == [0, 1]
    buying.take_in_delivery(book, act(seen=3), 1, [Came(1, 200, line.expected_on)])
    assert page(book).overdue(date(2026, 5, 8)) == ()


def test_a_delivery_is_taken_in_by_its_form(book: Engine, signed: Signed) -> None:
    key, _ = sent(book)
    browser = signed("Wren")
    assert "Rest not coming" in browser.get("/parts/orders/1").text
    form = {"submission": "came", "revision": "4", "came-2": "3", "cost-2": "16.20", "ends-2": "yes"}
    assert browser.post("/parts/orders/1/delivery", form).status_code == 303
    shown = re.sub(r"<[^>]+>", "", browser.get("/parts/orders/1").text)
    for words in ("1 not coming any more", "what came cost 48.60 in all", "the catalogue has 14.50 for one"):
        assert words in shown, words
    assert standing(book, key).value == 4860
    yesterday = (people_now() - timedelta(days=2)).date()
    with writing(book) as session:
        session.get_one(PurchaseLine, 1).expected_on = yesterday
    assert "overdue" in browser.get("/parts/orders/1").text
    assert "1 overdue" in browser.get("/parts/orders").text


def test_what_is_bought_elsewhere_serves_the_work_of_what_did_not_come(book: Engine) -> None:
    key, order_id = sent(book)
    with writing(book) as session:
        session.get_one(PurchaseLine, 2).work_id = 7
        number = session.get_one(WorkOrder, order_id).number
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 0, None, ends=True)])
    buying.open_order(book, act(), supplier(book, "Lowmoor Tire Depot"))
    buying.add_line(book, act(seen=1), 2, BoughtSaid("BRG-L44649", 400, 1700, number))
    with reading(book) as session:
        assert coming_for(session) == {(order_id, key): {7: 400}}


def test_a_closed_order_says_what_did_not_come(book: Engine) -> None:
    sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 100, None)])
    buying.close_order(book, act(seen=5), 1)
    assert [(line.came, line.given_up, line.left) for line in page(book).lines] == [
        (0, 200, 0),
        (100, 300, 0),
    ]


def test_an_order_printed_again_says_what_is_not_wanted_any_more(book: Engine, signed: Signed) -> None:
    sent(book)
    buying.take_in_delivery(book, act(seen=4), 1, [Came(2, 100, None, ends=True)])
    browser = signed("Wren")
    printed = browser.post("/parts/orders/1/print", {"submission": "print", "revision": "5"})
    pdf = browser.get(f"{printed.headers['location']}.pdf")
    text = re.sub(r"\s+", " ", "".join(it.extract_text() for it in PdfReader(BytesIO(pdf.content)).pages))
    assert "(3 not wanted any more)" in text


def labels(shown: str) -> list[str]:
    """What the labels of a page say, in their order."""
    return [
        re.sub(r"<[^>]+>", "", it).strip()
        for it in re.findall(r"<label[^>]*>(.*?)</label>", shown, re.DOTALL)
    ]


def test_two_lines_of_the_same_part_have_fields_of_their_own_names(book: Engine, signed: Signed) -> None:
    sent(book)
    found = labels(signed("Wren").get("/parts/orders/1").text)
    assert len(set(found)) == len(found)
    assert "BRG-L44649, line 2, for unit 401, came now" in found
    assert "BRG-L44649, line 1, for the shelf, came now" in found


def test_a_part_bought_once_is_named_by_its_number_alone(book: Engine, signed: Signed) -> None:
    bought(book, tied=False)
    buying.send_order(book, act(seen=2), 1, "phone")
    assert "BRG-L44649, came now" in labels(signed("Wren").get("/parts/orders/1").text)

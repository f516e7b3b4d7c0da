"""What pages read of parts, stock and orders, against figures reckoned by hand beside each case."""

from datetime import date

import pytest
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground.book import reading, writing
from app.ground.shop import ShopSettings
from app.parts import buying, facts, orders
from app.parts.facts import PartLine, aisle_of, price_of, signed
from app.parts.rules import BoughtSaid, Came, PartSaid
from app.parts.tables import Part, PurchaseLine, PurchaseOrder
from app.trade.stock import MoveKind
from tests.conftest import act
from tests.parts.shelf import move, order, part, stocked, supplier

SHOP = ShopSettings()  # as a shop begins: 60 % up to 20.00, 40 % up to 100.00, 25 % above


def line(book: Engine, key: int) -> PartLine:
    with reading(book) as session:
        return next(each for each in facts.catalogue(session) if each.id == key)


def changed(book: Engine, key: int, **more: object) -> None:
    with writing(book) as session:
        row = session.get_one(Part, key)
        for name, value in more.items():
            setattr(row, name, value)


# What a part is sold for


@pytest.mark.parametrize(
    ("cost", "price", "sold"),
    [
        (1450, None, 2320),  # 14.50 x 1.6
        (2000, None, 3200),  # the end of the first step: 20.00 x 1.6
        (2001, None, 3200),  # 20.01 x 1.4 is 28.01: never less than what a cheaper part is sold for
        (2286, None, 3200),  # 22.86 x 1.4 is 32.00
        (2287, None, 3202),  # 22.87 x 1.4 is 32.018
        (10001, None, 14000),  # 100.01 x 1.25 is 125.01; 100.00 is sold for 140.00
        (0, None, 0),
        (1450, 1000, 1000),  # its own price stands, also below the cost
        (1450, 0, 0),  # given away is a price too
    ],
)
def test_a_part_is_sold_for_its_own_price_or_by_mark_up(cost: int, price: int | None, sold: int) -> None:
    assert price_of(PartSaid("A-1", "Seal", cost=cost, price=price), SHOP) == sold


def test_a_dearer_part_is_never_sold_for_less_than_a_cheaper_one() -> None:
    prices = [price_of(PartSaid("A-1", "Seal", cost=cost), SHOP) for cost in range(0, 20_000)]
    assert prices == sorted(prices)
    assert all(price >= cost for cost, price in enumerate(prices))


# What the shelf wants: a point of 4, a quantity of 10


@pytest.mark.parametrize(
    ("there", "held", "wanted"),
    [
        (5, 0, 0),
        (4, 0, 10),  # at the point is at the time to order
        (6, 2, 10),  # two of six are put aside: 4 are free
        (6, 1, 0),
        (0, 0, 10),
    ],
)
def test_the_shelf_wants_its_quantity_where_what_is_free_falls_to_the_point(
    book: Engine, there: int, held: int, wanted: int
) -> None:
    key = stocked(book, there) if there else part(book)
    if held:
        move(book, key, MoveKind.RESERVE, held, order(book)[1])
    assert line(book, key).wanted == wanted * 100


@pytest.mark.parametrize(
    "change", [{"active": False}, {"superseded_by_id": 2}, {"reorder_quantity": 0}, {"reorder_at": 0}]
)
def test_what_is_not_bought_for_the_shelf_any_more_is_not_wanted(
    book: Engine, change: dict[str, object]
) -> None:
    key = stocked(book, 1)
    part(book, number="BRG-2")
    changed(book, key, **change)
    assert line(book, key).wanted == 0


def ordered(book: Engine, pieces: int, number: int | None = None) -> int:
    """Key of the order on which a bearing stands, for the shelf or for one work order."""
    key = buying.open_order(book, act(), 1)
    said = BoughtSaid("BRG-L44649", pieces * 100, None, number)
    return buying.add_line(book, act(seen=revision(book, key)), key, said)


def revision(book: Engine, key: int) -> int:
    with reading(book) as session:
        return session.get_one(PurchaseOrder, key).revision


@pytest.mark.parametrize(
    ("pieces", "tied", "wanted"),
    [(1, False, 1000), (2, False, 0), (9, True, 1000)],  # 3 there and 2 coming are above 4
)
def test_what_comes_for_the_shelf_is_counted_and_what_comes_for_work_is_not(
    book: Engine, pieces: int, tied: bool, wanted: int
) -> None:
    key = stocked(book, 3, supplier_id=supplier(book))
    ordered(book, pieces, order(book)[1] if tied else None)
    assert line(book, key).wanted == wanted


# Aisles


@pytest.mark.parametrize(
    ("bin_", "aisle"), [("A-03-2", "A"), ("T12", "T12"), ("", ""), ("-1", ""), ("B/2", "B/2")]
)
def test_an_aisle_is_what_stands_before_the_first_stroke(bin_: str, aisle: str) -> None:
    assert aisle_of(bin_) == aisle


def test_a_retired_part_is_counted_while_any_of_it_lies_there(book: Engine) -> None:
    lies, gone = stocked(book, 1), part(book, number="S-2")
    stands = part(book, number="S-3", bin="A-03-1")
    for key in (lies, gone):
        changed(book, key, active=False)
    with reading(book) as session:
        assert [each.id for each in facts.on_shelf(session, "A")] == [stands, lies]  # by bin
        assert facts.aisles(session) == ["A"]
        assert facts.on_shelf(session, "B") == []


@pytest.mark.parametrize(("hundredths", "text"), [(300, "+3"), (-250, "-2.5"), (0, ""), (1, "+0.01")])
def test_a_change_is_printed_with_its_sign(hundredths: int, text: str) -> None:
    assert signed(hundredths) == text


def test_the_ledger_of_a_part_says_what_then_stood_the_newest_first(book: Engine) -> None:
    key, (order_id, number) = stocked(book, 5), order(book)
    for kind, pieces in ((MoveKind.RESERVE, 2), (MoveKind.ISSUE, 3), (MoveKind.RETURN, 1)):
        move(book, key, kind, pieces, number)
    with reading(book) as session:
        page = facts.part_page(session, key)
    assert [(it.word, it.on_hand, it.then) for it in page.moves[-1:]] == [("Received", "+5", "5")]
    assert page.moves[0].then == "3"  # 5 in, 3 out, 1 back
    assert {it.order_id for it in page.moves[:-1]} == {order_id}
    assert page.line.on_hand == "3"
    assert (page.line.reserved, page.line.free) == ("0", "3")


# Purchase orders


def test_amounts_are_rounded_once_a_line_and_add_up_to_the_total(book: Engine) -> None:
    # by hand: 2.5 lb at 7.89 are 19.725, so 19.73; 3.33 lb at 7.89 are 26.2737, so 26.27
    part(book, number="GREASE", unit="lb", supplier_id=supplier(book))
    key = buying.open_order(book, act(), 1)
    for hundredths, number in ((250, None), (333, order(book)[1])):
        said = BoughtSaid("GREASE", hundredths, 789, number)
        buying.add_line(book, act(seen=revision(book, key)), key, said)
    with reading(book) as session:
        page = orders.order_page(session, key)
    assert [(it.ordered, it.amount) for it in page.lines] == [("2.5 lb", 1973), ("3.33 lb", 2627)]
    assert page.total == 4600


def came(book: Engine, key: int, pieces: int, day: date | None = None) -> None:
    with reading(book) as session:
        [row] = session.exec(select(PurchaseLine).where(col(PurchaseLine.purchase_order_id) == key))
    buying.take_in_delivery(book, act(seen=revision(book, key)), key, [Came(row.key, pieces * 100, day)])


def state(book: Engine, key: int) -> str:
    with reading(book) as session:
        return orders.order_page(session, key).state


def test_an_order_says_where_it_stands_all_its_life(book: Engine) -> None:
    part(book, supplier_id=supplier(book))
    key = ordered(book, 6)
    seen = [state(book, key)]
    buying.send_order(book, act(seen=revision(book, key)), key, "phone")
    seen.append(state(book, key))
    came(book, key, 2)
    seen.append(state(book, key))
    came(book, key, 4)
    seen.append(state(book, key))
    buying.close_order(book, act(seen=revision(book, key)), key)
    seen.append(state(book, key))
    assert seen == ["open", "sent", "part here", "all here", "closed"]


@pytest.mark.parametrize(
    ("unit", "day", "says"),
    [
        ("each", date(2026, 5, 12), "3 Bearing set, cone and cup, expected 12 May"),
        ("lb", date(2026, 5, 12), "3 lb Bearing set, cone and cup, expected 12 May"),
        ("each", None, "3 Bearing set, cone and cup, no day told yet"),
    ],
)
def test_what_a_work_order_waits_for_is_said_with_its_day(
    book: Engine, unit: str, day: date | None, says: str
) -> None:
    part(book, unit=unit, supplier_id=supplier(book))
    order_id, number = order(book)
    key = ordered(book, 4, number)
    buying.send_order(book, act(seen=revision(book, key)), key, "phone")
    came(book, key, 1, day)
    with reading(book) as session:
        found = orders.awaited_parts(session, [order_id])
        assert orders.awaited_parts(session, []) == {}
    assert [it.says for it in found[order_id]] == [says]


def test_what_came_or_was_closed_is_not_awaited_any_more(book: Engine) -> None:
    part(book, supplier_id=supplier(book))
    order_id, number = order(book)
    key = ordered(book, 4, number)
    buying.send_order(book, act(seen=revision(book, key)), key, "phone")
    came(book, key, 3)
    buying.close_order(book, act(seen=revision(book, key)), key)
    with reading(book) as session:
        assert orders.awaited_parts(session, [order_id]) == {}

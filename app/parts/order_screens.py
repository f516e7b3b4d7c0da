"""Pages of purchase orders: the list, one order, what came of it, its paper."""

from collections.abc import Callable
from datetime import date
from functools import partial

from fastapi import APIRouter, Depends, Request, Response
from sqlalchemy import Engine

from app.ground import documents
from app.ground.book import reading
from app.ground.first import About, Beside, First, Row, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed, printer_of
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.parts import buying, dearer, facts, orders, rules
from app.parts.forms import amount
from app.parts.orders import OrderPage
from app.parts.screens import Key, found
from app.parts.tables import Part, PurchaseLine, PurchaseOrder
from app.trade.problems import Problem, Refused
from app.trade.stock import pieces
from app.trade.typed import Reader

router = APIRouter()
NONE = "There is no such purchase order."


@router.get("/parts/orders", dependencies=[Depends(ANYONE)])
def orders_page(book: Book, page: Page) -> Response:
    """All purchase orders, the newest first."""
    return _orders(book, page, Filled())


@router.post("/parts/orders", dependencies=[Depends(WRITERS)])
def open_order(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Open an order with a supplier."""
    try:
        with reading(book) as session:
            supplier = _supplier(typed, facts.supplier_names(session))
        order_id = buying.open_order(book, act, supplier)
    except Refused as refused:
        return _orders(book, page, again(typed, refused.problems), 422)
    return page.go(f"/parts/orders/{order_id}")


def _supplier(typed: Sent, known: dict[int, str]) -> int:
    read = Reader(typed)
    chosen = {str(key): key for key in known}.get(read.raw("supplier"))
    if chosen is None:
        read.wrong("supplier", "The supplier is missing", "one of the list")
    read.done()
    assert chosen is not None
    return chosen


def _orders(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        pages = orders.order_pages(session)
        known = [(str(it.id), it.name) for it in facts.suppliers(session) if it.active]
    return page.show(
        "parts/orders", status=status, orders=pages, today=page.today, suppliers=known, form=form
    )


@router.get("/parts/orders/{order_id}", dependencies=[Depends(ANYONE)])
def order_page(order_id: Key, book: Book, page: Page) -> Response:
    """One purchase order."""
    return _order(book, page, order_id)


def _order(
    book: Engine, page: Pages, order_id: int, forms: dict[str, Filled] | None = None, status: int = 200
) -> Response:
    with found(book, NONE) as session:
        shown = orders.order_page(session, order_id)
        papers = documents.issues(session, "purchase order", shown.order.number)
        others = dearer.other_costs(session, shown)
    given, revision = forms or {}, shown.order.revision
    return page.show(
        "parts/order",
        status=status,
        it=shown,
        today=page.today,
        papers=papers,
        other_costs=others,
        cost_form=given.get("cost", Filled(revision=revision)),
        add_form=given.get("add", Filled(revision=revision)),
        send_form=given.get("send", Filled(revision=revision)),
        came_form=given.get("came", Filled(_expected(shown), revision=revision)),
        hows=[(how, how) for how in rules.HOWS],
    )


def _expected(shown: OrderPage) -> dict[str, str]:
    return {f"expected-{it.id}": str(it.expected_on) for it in shown.awaited if it.expected_on}


def _do(
    book: Engine, page: Pages, order_id: int, typed: Sent, name: str, step: Callable[[], int]
) -> Response:
    """Do one act on an order and show it; what was refused, or came too late, stays in its form."""
    try:
        with found(book, NONE) as session:
            orders.order_page(session, order_id)
        with found(book, NONE):
            step()
    except Refused as refused:
        return _order(book, page, order_id, {name: again(typed, refused.problems)}, 422)
    except Stale as stale:
        about = About(PurchaseOrder, id=order_id)
        beside = partial(_beside, book=book)
        form = late(book, page.zone, typed, stale, about, beside=beside)
        return _order(book, page, order_id, {name: form}, 409)
    return page.go(f"/parts/orders/{order_id}")


def _beside(first: First, book: Engine) -> list[Beside]:
    """What came first on the order: how it was sent, a line put on it, or what came of its lines."""
    sent = Beside("how", "How it was sent", (first.row(PurchaseOrder) or {}).get("sent_how", ""))
    lines = [row for row in first.rows if row["table"] == PurchaseLine.__tablename__]
    with reading(book) as session:
        numbers = {row["id"]: session.get_one(Part, row["part_id"]).number for row in lines}
    if first.act == "add to purchase order":
        return [sent, *_added(lines[0], numbers[lines[0]["id"]])]
    return [sent, *(_arrived(first, row, numbers[row["id"]]) for row in lines)]


def _added(line: Row, number: str) -> list[Beside]:
    quantity = Beside("quantity", "Quantity", pieces(line["quantity"]))
    return [
        Beside("part", "Our number", number),
        quantity,
        Beside("cost", "Cost for one", amount(line["cost"])),
    ]


def _arrived(first: First, line: Row, number: str) -> Beside:
    """How many of a line a delivery brought."""
    came = [row for row in first.rows if row.get("purchase_line_id") == line["id"]]
    quantity = sum(row["on_hand"] for row in came)
    return Beside(f"came-{line['id']}", f"{number}, came now", pieces(quantity) if quantity else "")


@router.post("/parts/orders/{order_id}/lines", dependencies=[Depends(WRITERS)])
def add_line(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Put a part on an open order."""
    with reading(book) as session:
        superseded = facts.superseded(session)
    return _do(
        book,
        page,
        order_id,
        typed,
        "add",
        lambda: buying.add_line(book, act, order_id, rules.read_bought(typed, superseded)),
    )


@router.post("/parts/orders/{order_id}/lines/{line_id}/remove", dependencies=[Depends(WRITERS)])
def remove_line(order_id: Key, line_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a line off an open order."""
    return _do(book, page, order_id, typed, "add", lambda: buying.remove_line(book, act, order_id, line_id))


@router.post("/parts/orders/{order_id}/send", dependencies=[Depends(WRITERS)])
def send_order(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Note that an order was sent, and how."""
    return _do(
        book,
        page,
        order_id,
        typed,
        "send",
        lambda: buying.send_order(book, act, order_id, rules.read_sent_how(typed)),
    )


@router.post("/parts/orders/{order_id}/delivery", dependencies=[Depends(WRITERS)])
def take_in_delivery(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what came, and when the rest is expected."""
    return _do(
        book,
        page,
        order_id,
        typed,
        "came",
        lambda: buying.take_in_delivery(book, act, order_id, _came(book, order_id, typed, page.today)),
    )


def _came(book: Engine, order_id: int, typed: Sent, today: date) -> tuple[rules.Came, ...]:
    with reading(book) as session:
        awaited = orders.awaited(orders.order_page(session, order_id))
    return rules.read_delivery(typed, awaited, today)


@router.post("/parts/orders/{order_id}/lines/{line_id}/cost", dependencies=[Depends(WRITERS)])
def take_cost(order_id: Key, line_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take the cost at which a part came over into the catalogue."""
    read = Reader(typed)
    said = dearer.CostSaid(read.raw("seen"), read.yes("price"))
    return _do(
        book, page, order_id, typed, "cost", lambda: dearer.take_cost(book, act, order_id, line_id, said)
    )


@router.post("/parts/orders/{order_id}/close", dependencies=[Depends(WRITERS)])
def close_order(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Close an order: what has not come is not coming."""
    return _do(book, page, order_id, typed, "send", lambda: buying.close_order(book, act, order_id))


@router.post("/parts/orders/{order_id}/print", dependencies=[Depends(WRITERS)])
def print_order(
    order_id: Key, typed: Typed, act: Acting, book: Book, page: Page, request: Request
) -> Response:
    """Print an order for its supplier."""
    with found(book, NONE) as session:
        paper = order_paper(orders.order_page(session, order_id))
    try:
        key = printer_of(request).issue(act, paper)
    except Refused as refused:
        return _order(book, page, order_id, {"send": again(typed, refused.problems)}, 422)
    except NotPrinted as failed:
        wrong = again(typed, [Problem("", str(failed), "the same key once more")])
        return _order(book, page, order_id, {"send": wrong}, 422)
    return page.go(f"/papers/{key}")


def order_paper(shown: OrderPage) -> Paper:
    """The paper of a purchase order, for its supplier."""
    return Paper("purchase_order", "purchase order", shown.order.number, "Purchase order", 0, {"it": shown})

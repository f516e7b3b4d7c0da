"""What is done with purchase orders: opened, filled, sent, taken in as it comes, closed."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.receipts import current
from app.ground.series import dated_number
from app.ground.shop import shop_of
from app.ground.words import local
from app.intake.tables import WorkOrder
from app.parts.ledger import lines_of, received, standing_of, written
from app.parts.rules import Bought, BoughtSaid, Came
from app.parts.steps import order_key
from app.parts.tables import Movement, Part, PurchaseLine, PurchaseOrder, Supplier
from app.trade import stock
from app.trade.money import Money
from app.trade.problems import Problem, Refused

SENT = "This order was sent; what is wanted now goes on another"


def order_parts(session: Session, act: Act, wanted: Sequence[Bought]) -> list[SQLModel]:
    """Rows of the orders that buy these parts, one a supplier, to be signed by the caller.

    What is wanted goes on a supplier's open order, else on a new one. Raises Refused where a part has no
    supplier.
    """
    parts = {it.part_id: session.get_one(Part, it.part_id) for it in wanted}
    if lost := sorted(part.number for part in parts.values() if part.supplier_id is None):
        raise Refused([Problem("", f"No supplier is known for {', '.join(lost)}", "a supplier in each part")])
    rows: list[SQLModel] = []
    for supplier in dict.fromkeys(part.supplier_id for part in parts.values()):
        order = _open_order(session, act, supplier or 0)
        mine = [it for it in wanted if parts[it.part_id].supplier_id == supplier]
        rows += [order, *(_line(session, act, order, parts[it.part_id], it) for it in mine)]
    return list({id(row): row for row in rows}.values())  # a line that was raised twice stands once


def _open_order(session: Session, act: Act, supplier_id: int) -> PurchaseOrder:
    mine = (PurchaseOrder.supplier_id == supplier_id, col(PurchaseOrder.sent_at).is_(None))
    still = col(PurchaseOrder.closed_at).is_(None)
    order = session.exec(select(PurchaseOrder).where(*mine, still)).first() or _new(session, act, supplier_id)
    order.revision += 1
    return order


def _new(session: Session, act: Act, supplier_id: int) -> PurchaseOrder:
    year = local(act.at, shop_of(session).zone).year
    number = dated_number(session, "purchase order", year)
    order = PurchaseOrder(created_at=act.at, number=number, supplier_id=supplier_id)
    session.add(order)
    session.flush()
    return order


def _line(session: Session, act: Act, order: PurchaseOrder, part: Part, it: Bought) -> PurchaseLine:
    """The order's line for the same part and work, raised; else a new one."""
    same = (PurchaseLine.purchase_order_id == order.key, PurchaseLine.part_id == part.key)
    tied = (PurchaseLine.work_order_id == it.work_order_id, PurchaseLine.work_id == it.work_id)
    line = session.exec(select(PurchaseLine).where(*same, *tied)).first()
    if line is None:
        line = PurchaseLine(
            created_at=act.at,
            purchase_order_id=order.key,
            part_id=part.key,
            quantity=0,
            cost=part.cost,
            work_order_id=it.work_order_id,
            work_id=it.work_id,
        )
    line.quantity += it.quantity
    line.cost = line.cost if it.cost is None else it.cost
    session.add(line)
    session.flush()
    return line


def open_order(book: Engine, act: Act, supplier_id: int) -> int:
    """Open an order with a supplier, or find the one that is open; returns its key. Raises NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(Supplier, supplier_id)
        return receipts.sign(session, act, "open purchase order", _open_order(session, act, supplier_id))


def add_line(book: Engine, act: Act, order_id: int, said: BoughtSaid) -> int:
    """Put a part on an open order; returns the order's key. With a work order it is bought for that alone.

    Raises Refused, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = _changing(session, act, order_id)
        part = session.exec(select(Part).where(Part.number == said.number)).first()
        if part is None:
            says = f"{said.number[:30]} is no part of the shop"
            raise Refused([Problem("part", says, "a number of the catalogue")])
        tied = order_key(session, said.order) if said.order is not None else None
        work = _given_up_for(session, part.key, tied)
        line = _line(session, act, order, part, Bought(part.key, said.quantity, said.cost, tied, work))
        return receipts.sign(session, act, "add to purchase order", order, line)


def _given_up_for(session: Session, part_id: int, work_order_id: int | None) -> int | None:
    """The work that a part of a work order was last ordered for and did not come; None without one."""
    if work_order_id is None:
        return None
    same = (PurchaseLine.part_id == part_id, PurchaseLine.work_order_id == work_order_id)
    lost = select(PurchaseLine.work_id).where(*same, PurchaseLine.given_up > 0)
    return session.exec(lost.order_by(col(PurchaseLine.id).desc()).limit(1)).first()


def remove_line(book: Engine, act: Act, order_id: int, line_id: int) -> int:
    """Take a line off an open order; returns the order's key. Raises Refused, Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = _changing(session, act, order_id)
        session.delete(_of(session, order_id, line_id))
        return receipts.sign(session, act, "take off purchase order", order)


def _changing(session: Session, act: Act, order_id: int) -> PurchaseOrder:
    order = session.get_one(PurchaseOrder, order_id)
    current(order.revision, act)
    if order.sent_at is not None or order.closed_at is not None:
        raise Refused([Problem("", SENT)])
    order.revision += 1
    return order


def _of(session: Session, order_id: int, line_id: int) -> PurchaseLine:
    same = (PurchaseLine.id == line_id, PurchaseLine.purchase_order_id == order_id)
    return session.exec(select(PurchaseLine).where(*same)).one()


def send_order(book: Engine, act: Act, order_id: int, how: str) -> int:
    """Note that an order was sent, and how; returns its key. Raises Refused for an empty one, Stale."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = _changing(session, act, order_id)
        if not lines_of(session, order_id):
            raise Refused([Problem("", "There is nothing on this order yet", "at least one part")])
        order.sent_at, order.sent_how = act.at, how
        return receipts.sign(session, act, "send purchase order", order, *_expected(session, act, order))


def _expected(session: Session, act: Act, order: PurchaseOrder) -> list[PurchaseLine]:
    """The lines of an order that goes out, expected after the supplier's usual days; none without such."""
    usual, lines = session.get_one(Supplier, order.supplier_id).lead_days, lines_of(session, order.key)
    if usual is None:
        return []
    day = local(act.at, shop_of(session).zone).date() + timedelta(days=usual)
    for line in lines:
        line.expected_on = day
    return lines


def close_order(book: Engine, act: Act, order_id: int) -> int:
    """Close an order: what has not come by now is not coming; returns its key. Raises Refused, Stale."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = _awaiting(session, act, order_id)
        order.closed_at = act.at
        lines = [_given_up(session, line) for line in lines_of(session, order_id)]
        return receipts.sign(session, act, "close purchase order", order, *lines)


def _given_up(session: Session, line: PurchaseLine) -> PurchaseLine:
    """A line of which what has not come is not coming any more."""
    line.given_up = line.quantity - received(session, [line.key]).get(line.key, 0)
    return line


def _awaiting(session: Session, act: Act, order_id: int) -> PurchaseOrder:
    order = session.get_one(PurchaseOrder, order_id)
    current(order.revision, act)
    if order.sent_at is None or order.closed_at is not None:
        says = "This order was not sent yet" if order.closed_at is None else "This order is closed"
        raise Refused([Problem("", says, "an order that was sent and is not closed")])
    order.revision += 1
    return order


def take_in_delivery(book: Engine, act: Act, order_id: int, came: Sequence[Came]) -> int:
    """Keep what came of an order and when the rest is expected; returns the order's key.

    What was bought for a work order is reserved for it at once; a promised date that the writer agreed to
    move is moved. Raises Refused, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = _awaiting(session, act, order_id)
        rows: list[SQLModel] = []
        for each in came:
            line = _of(session, order_id, each.line_id)
            rows += _taken_in(session, act, line, each)
        return receipts.sign(session, act, "take in delivery", order, *rows)


def _taken_in(session: Session, act: Act, line: PurchaseLine, came: Came) -> list[SQLModel]:
    rows: list[SQLModel] = [line]
    if came.quantity:
        rows += _received(session, act, line, came)
        session.add_all(rows)
        session.flush()
        rows += _put_aside(session, act, line, came.quantity)
    line.expected_on = came.expected_on
    if came.ends:
        _given_up(session, line)
    if came.moves_promise and came.expected_on and line.work_order_id:
        rows.append(_promised(session, line.work_order_id, came.expected_on))
    return rows


def _received(session: Session, act: Act, line: PurchaseLine, came: Came) -> list[Movement]:
    """What came as a row of the ledger, worth what it cost; a cost that was not ordered is noted there."""
    before = received(session, [line.key]).get(line.key, 0)
    _refuse_more(line, came, line.quantity - line.given_up - before)
    if came.cost is None or came.cost == line.cost:
        return written(act, line.part_id, [stock.receive(came.quantity, line.cost, before)], line_id=line.key)
    note = f"came at {Money(came.cost)}, ordered at {Money(line.cost)}"
    return written(act, line.part_id, [stock.receive(came.quantity, came.cost)], line_id=line.key, note=note)


def _refuse_more(line: PurchaseLine, came: Came, left: int) -> None:
    if came.quantity > left:
        says = f"{stock.pieces(left)} are still to come"
        raise Refused([Problem(f"came-{line.key}", says, f"at most {stock.pieces(left)}")])


def _put_aside(session: Session, act: Act, line: PurchaseLine, quantity: int) -> list[SQLModel]:
    if line.work_order_id is None:
        return []
    move = stock.reserve(standing_of(session, line.part_id), quantity, line.work_id)
    rows = written(act, line.part_id, [move], line.work_order_id)
    session.add_all(rows)
    session.flush()
    return list(rows)


def _promised(session: Session, work_order_id: int, day: date) -> WorkOrder:
    """The work order with its promised date moved to a later day, at the same time of day.

    Never to an earlier one: of two parts that come late the last one decides.
    """
    order, zone = session.get_one(WorkOrder, work_order_id), ZoneInfo(shop_of(session).zone)
    promised = order.promised_at.astimezone(zone) if order.promised_at else None
    if promised is not None and promised.date() < day:
        order.promised_at = datetime.combine(day, promised.time(), zone)
        order.revision += 1
    return order

"""What is known of purchase orders, as their pages and their paper read it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from sqlmodel import Session, col, select

from app.ground.series import order_number
from app.ground.shop import shop_of
from app.ground.words import local
from app.intake.tables import Unit, WorkOrder
from app.parts.ledger import lines_of, outstanding, paid, received
from app.parts.rules import Awaited
from app.parts.tables import Part, PurchaseLine, PurchaseOrder, Supplier
from app.trade.days import short_day
from app.trade.money import rounded
from app.trade.stock import pieces


@dataclass(frozen=True)
class BoughtLine:
    """One line: the part, how much was ordered and came, what it costs, for which unit it is bought alone.

    Quantities in hundredths, money in minor units. `given_up`: what is not coming any more; `worth`: what the
    part that came cost in all; `catalogue_cost`: what the catalogue has for one.
    """

    id: int
    part_id: int
    number: str
    name: str
    their_number: str
    unit: str
    quantity: int
    came: int
    cost: int
    expected_on: date | None
    work_order_id: int | None = None
    order: str = ""
    unit_number: int | None = None
    promised: date | None = None
    given_up: int = 0
    worth: int = 0
    catalogue_cost: int = 0

    @property
    def left(self) -> int:
        """What is still to come."""
        return max(self.quantity - self.given_up - self.came, 0)

    @property
    def serves(self) -> str:
        """What it is bought for."""
        return f"unit {self.unit_number}" if self.unit_number else "the shelf"

    @property
    def otherwise(self) -> bool:
        """Whether what came is worth something else than was ordered."""
        return self.worth != rounded(Decimal(self.came) * self.cost / 100).minor

    def overdue(self, today: date) -> bool:
        """Whether the day on which the rest was expected is over."""
        return bool(self.left) and self.expected_on is not None and self.expected_on < today

    @property
    def amount(self) -> int:
        """Quantity times cost, rounded once."""
        return rounded(Decimal(self.quantity) * self.cost / 100).minor

    @property
    def ordered(self) -> str:
        """The quantity as printed, with its unit."""
        return pieces(self.quantity) if self.unit == "each" else f"{pieces(self.quantity)} {self.unit}"


@dataclass(frozen=True)
class OrderPage:
    """One purchase order with its lines."""

    order: PurchaseOrder
    supplier: Supplier
    lines: tuple[BoughtLine, ...]

    @property
    def total(self) -> int:
        """What all lines come to, in minor units before tax."""
        return sum(line.amount for line in self.lines)

    @property
    def state(self) -> str:
        """Where it stands, in a word or two."""
        if self.order.closed_at is not None:
            return "closed"
        if self.order.sent_at is None:
            return "open"
        if not any(line.left for line in self.lines):
            return "nothing more comes" if any(line.given_up for line in self.lines) else "all here"
        return "part here" if any(line.came for line in self.lines) else "sent"

    @property
    def awaited(self) -> tuple[BoughtLine, ...]:
        """The lines of which something is still to come."""
        return tuple(line for line in self.lines if line.left)

    def place(self, line: BoughtLine) -> int:
        """Which line of the order it is, from 1."""
        return self.lines.index(line) + 1

    def named(self, line: BoughtLine) -> str:
        """The part's number; where more lines buy the same part, which line it is and what it is for."""
        if sum(it.part_id == line.part_id for it in self.lines) == 1:
            return line.number
        return f"{line.number}, line {self.place(line)}, for {line.serves}"

    def overdue(self, today: date) -> tuple[BoughtLine, ...]:
        """Lines whose rest was expected before a day, and is not here."""
        return tuple(line for line in self.awaited if line.overdue(today))

    @property
    def late(self) -> tuple[BoughtLine, ...]:
        """Lines that come after the day for which their unit is promised."""
        return tuple(
            it for it in self.awaited if it.expected_on and it.promised and it.expected_on > it.promised
        )


def order_page(session: Session, order_id: int) -> OrderPage:
    """One purchase order; NoResultFound where there is none of that key."""
    order = session.get_one(PurchaseOrder, order_id)
    lines = lines_of(session, order_id)
    keys = [line.key for line in lines]
    arrived = Arrived(received(session, keys), paid(session, keys))
    zone = shop_of(session).zone
    return OrderPage(
        order=order,
        supplier=session.get_one(Supplier, order.supplier_id),
        lines=tuple(_line(session, line, arrived, zone) for line in lines),
    )


@dataclass(frozen=True)
class Arrived:
    """What came of purchase lines, and what that is worth, by line."""

    came: Mapping[int, int]
    worth: Mapping[int, int]


def _line(session: Session, line: PurchaseLine, arrived: Arrived, zone: str) -> BoughtLine:
    part = session.get_one(Part, line.part_id)
    work_order = session.get(WorkOrder, line.work_order_id) if line.work_order_id else None
    promised = work_order.promised_at if work_order else None
    return BoughtLine(
        id=line.key,
        part_id=part.key,
        number=part.number,
        name=part.name,
        their_number=part.supplier_number,
        unit=part.unit,
        quantity=line.quantity,
        came=arrived.came.get(line.key, 0),
        worth=arrived.worth.get(line.key, 0),
        given_up=line.given_up,
        catalogue_cost=part.cost,
        cost=line.cost,
        expected_on=line.expected_on,
        work_order_id=line.work_order_id,
        order=order_number(work_order.number) if work_order else "",
        unit_number=session.get_one(Unit, work_order.unit_id).number if work_order else None,
        promised=local(promised, zone).date() if promised else None,
    )


def order_pages(session: Session) -> list[OrderPage]:
    """All purchase orders, the newest first."""
    keys = session.exec(select(PurchaseOrder.id).order_by(col(PurchaseOrder.id).desc()))
    return [order_page(session, key) for key in keys if key is not None]


def awaited(page: OrderPage) -> tuple[Awaited, ...]:
    """What a delivery of an order may bring."""
    return tuple(
        Awaited(line.id, line.left, line.unit_number, line.promised, line.expected_on, line.cost)
        for line in page.awaited
    )


@dataclass(frozen=True)
class AwaitedPart:
    """A part on its way for one work of a work order: in words, and since when it is ordered.

    `says`: quantity, part, and the day it is expected, as in `4 Grease seal, expected 3 Dec`.
    """

    work_id: int | None
    says: str
    since: datetime


def awaited_parts(session: Session, order_ids: Collection[int]) -> dict[int, list[AwaitedPart]]:
    """What is ordered for some work orders and not here yet, by work order, in the order of buying."""
    mine = [(line, left) for line, left in outstanding(session) if line.work_order_id in order_ids]
    ids = {line.part_id for line, _ in mine}
    parts = {part.key: part for part in session.exec(select(Part).where(col(Part.id).in_(ids)))}
    found: dict[int, list[AwaitedPart]] = {}
    for line, left in mine:
        assert line.work_order_id is not None
        coming = AwaitedPart(line.work_id, _says(parts[line.part_id], line, left), line.created_at)
        found.setdefault(line.work_order_id, []).append(coming)
    return found


def _says(part: Part, line: PurchaseLine, left: int) -> str:
    much = pieces(left) if part.unit == "each" else f"{pieces(left)} {part.unit}"
    when = f"expected {short_day(line.expected_on)}" if line.expected_on else "no day told yet"
    return f"{much} {part.name}, {when}"

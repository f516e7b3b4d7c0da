"""The close of the day: everything billed, taken and given back since the close before it."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlmodel import Session, col, select

from app.accounts.document import Kind, Part
from app.accounts.rows import last_close
from app.accounts.rules import Means, by_means
from app.accounts.tables import Bill, DayClose, Payment
from app.ground.series import order_number
from app.ground.shop import shop_of
from app.ground.words import local
from app.intake.tables import WorkOrder


class BillTold(Part):
    """A bill in the close: amounts in minor units, a credit note's below 0."""

    kind: Kind
    number: str
    order: str
    net: int
    tax: int
    gross: int


class PaymentTold(Part):
    """Money in the close, below 0 where it was given back. `rounded`: what coins left off."""

    number: str
    kind: str
    order: str
    means: str
    reference: str
    amount: int
    rounded: int = 0


class Day(Part):
    """What happened since the last close. `since`: its instant, None before the first."""

    format: str = "day/1"
    since: datetime | None
    until: datetime
    start: int
    bills: tuple[BillTold, ...]
    payments: tuple[PaymentTold, ...]
    last_bill: int
    last_payment: int

    @property
    def count(self) -> int:
        """How many bills and payments there are."""
        return len(self.bills) + len(self.payments)

    @property
    def invoiced(self) -> int:
        """Invoices with tax."""
        return sum(each.gross for each in self.bills if each.kind is Kind.INVOICE)

    @property
    def credited(self) -> int:
        """Credit notes with tax, as a positive amount."""
        return -sum(each.gross for each in self.bills if each.kind is Kind.CREDIT)

    @property
    def tax(self) -> int:
        """Tax billed, less what was taken back."""
        return sum(each.tax for each in self.bills)

    @property
    def taken(self) -> dict[Means, int]:
        """Money received, by means."""
        return dict(by_means((each.means, each.amount) for each in self.payments if each.amount > 0))

    @property
    def refunded(self) -> dict[Means, int]:
        """Money given back, by means, as positive amounts."""
        return dict(by_means((each.means, -each.amount) for each in self.payments if each.amount < 0))

    @property
    def rounded(self) -> int:
        """What coins left off all of it; below 0 where they took more."""
        return sum(each.rounded for each in self.payments)

    @property
    def cash(self) -> int:
        """Cash taken less cash given back."""
        return self.taken[Means.CASH] - self.refunded[Means.CASH]


def day_of(session: Session, at: datetime) -> Day:
    """Everything since the last close, up to now; `start`: the cash that it left in the drawer."""
    last = last_close(session)
    bills = _since(session, last)
    payments = _payments_since(session, last)
    return Day(
        since=last.created_at if last else None,
        until=at,
        start=last.counted - last.banked if last else 0,
        bills=tuple(_bill(*each) for each in bills),
        payments=tuple(_payment(*each) for each in payments),
        last_bill=bills[-1][0].key if bills else (last.last_bill if last else 0),
        last_payment=payments[-1][0].key if payments else (last.last_payment if last else 0),
    )


def _since(session: Session, last: DayClose | None) -> Sequence[tuple[Bill, WorkOrder]]:
    found = select(Bill, WorkOrder).join(WorkOrder, col(Bill.work_order_id) == col(WorkOrder.id))
    new = col(Bill.id) > (last.last_bill if last else 0)
    return session.exec(found.where(new).order_by(col(Bill.id))).all()


def _payments_since(session: Session, last: DayClose | None) -> Sequence[tuple[Payment, WorkOrder]]:
    found = select(Payment, WorkOrder).join(WorkOrder, col(Payment.work_order_id) == col(WorkOrder.id))
    new = col(Payment.id) > (last.last_payment if last else 0)
    return session.exec(found.where(new).order_by(col(Payment.id))).all()


def noted_later(session: Session, day: Day) -> dict[str, date]:
    """Days on which money of a close came or went that was noted on a later day, by number of its receipt."""
    zone, numbers = shop_of(session).zone, [each.number for each in day.payments]
    rows = session.exec(select(Payment).where(col(Payment.number).in_(numbers)))
    return {row.number: row.on_day for row in rows if row.on_day < local(row.created_at, zone).date()}


def _bill(row: Bill, order: WorkOrder) -> BillTold:
    kind = Kind(row.kind)
    return BillTold(
        kind=kind,
        number=row.number,
        order=order_number(order.number),
        net=kind.sign * row.net,
        tax=kind.sign * row.tax,
        gross=kind.sign * row.gross,
    )


def _payment(row: Payment, order: WorkOrder) -> PaymentTold:
    return PaymentTold(
        number=row.number,
        kind=row.kind,
        order=order_number(order.number),
        means=row.means,
        reference=row.reference,
        amount=row.amount,
        rounded=row.rounded,
    )

"""What the accounts know, as pages, papers, exports and later rooms read it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar

from sqlmodel import Session, col, select

from app.accounts import document
from app.accounts.closing import Day
from app.accounts.document import Kind
from app.accounts.e_invoice import e_invoice
from app.accounts.ready import Ready, ready
from app.accounts.rows import (
    bills_of,
    exemption_of,
    invoiced,
    paid_of,
    payments_of,
    seen,
    standing,
    terms_of,
)
from app.accounts.rules import Age, Owed, TermsSaid, age_of, settled
from app.accounts.tables import Bill, DayClose, Exemption, Payment
from app.estimate.rules import SUPPLIES
from app.ground import documents, people
from app.ground.series import order_number
from app.ground.shop import settings_of
from app.intake.facts import OrderHead, order_head
from app.intake.tables import Owner, WorkOrder
from app.trade.money import Money, cash

Row = TypeVar("Row", Bill, Payment)
PAPER_OF = {Kind.INVOICE: "invoice", Kind.CREDIT: "credit note"}


def amount_text(minor: int) -> str:
    """An amount as it stands in a field, empty where it is not above 0."""
    return f"{Money(minor).amount:.2f}" if minor > 0 else ""


@dataclass(frozen=True)
class BillFacts:
    """A bill as its account shows it. `left`: still to pay; `document`: its paper, None where unprinted."""

    id: int
    kind: Kind
    number: str
    on: date
    due_on: date
    gross: int
    left: int
    by: str
    takes_back: str
    stands: bool
    is_e_invoice: bool
    document: int | None


@dataclass(frozen=True)
class PaymentFacts:
    """Money received, or given back where `amount` is below 0. `rounded`: what coins left off."""

    id: int
    number: str
    kind: str
    means: str
    amount: int
    rounded: int
    reference: str
    on: date
    noted_at: datetime
    by: str
    note: str
    document: int | None


@dataclass(frozen=True)
class Account:
    """The account of one work order, in minor units with tax. `owed`: below 0 where money is held.

    `coin`: the smallest that the shop pays and takes.
    """

    head: OrderHead
    bills: tuple[BillFacts, ...]
    payments: tuple[PaymentFacts, ...]
    invoiced: int
    received: int
    ready: Ready
    exemption: Exemption | None
    terms: TermsSaid
    deposit: int
    seen: int
    coin: int

    @property
    def owed(self) -> int:
        """Invoices less credit notes and payments."""
        return self.invoiced - self.received

    @property
    def in_cash(self) -> int | None:
        """What settles it in coins, where that is not what is owed or held; None where it is."""
        owed = Money(abs(self.owed))
        coins = cash(owed, self.coin)
        return coins.minor if self.billed and coins != owed else None

    @property
    def billed(self) -> bool:
        """Whether anything was billed."""
        return bool(self.bills)


def account(session: Session, order_id: int, today: date) -> Account:
    """The account of a work order; NoResultFound where there is none of that key."""
    head = order_head(session, order_id)
    bills, payments, names = (
        bills_of(session, order_id),
        payments_of(session, order_id),
        people.names(session),
    )
    received = sum(row.counts for row in payments)
    left, found = left_of(bills, received), ready(session, order_id, today)
    numbers = {row.key: row.number for row in bills}
    return Account(
        head=head,
        bills=tuple(_bill(session, row, left, names, numbers) for row in bills),
        payments=tuple(_payment(session, row, names) for row in payments),
        invoiced=invoiced(bills),
        received=received,
        ready=found,
        exemption=exemption_of(session, head.owner_id, today),
        terms=terms_of(session),
        deposit=found.ledger.deposit,
        seen=seen(session, order_id),
        coin=settings_of(session).cash_step,
    )


def left_of(bills: Sequence[Bill], received: int) -> dict[int, int]:
    """What is left to pay of each invoice of a work order, by key, in minor units."""
    credited: dict[int, int] = {}
    for row in bills:
        if row.takes_back_id is not None:
            credited[row.takes_back_id] = credited.get(row.takes_back_id, 0) + row.gross
    invoices = [row for row in bills if row.kind == Kind.INVOICE]
    owed = [Owed(row.key, row.due_on, row.gross, credited.get(row.key, 0)) for row in invoices]
    return settled(owed, received)


def _bill(
    session: Session, row: Bill, left: Mapping[int, int], names: Mapping[int, str], numbers: Mapping[int, str]
) -> BillFacts:
    kind = Kind(row.kind)
    return BillFacts(
        id=row.key,
        kind=kind,
        number=row.number,
        on=row.on_day,
        due_on=row.due_on,
        gross=row.gross,
        left=left.get(row.key, 0),
        by=names.get(row.made_by, ""),
        takes_back=numbers.get(row.takes_back_id or 0, ""),
        stands=kind is Kind.INVOICE and bool(standing(session, row.key)),
        is_e_invoice=not e_invoice(document.Bill.model_validate(row.snapshot))[1],
        document=_document(session, PAPER_OF[kind], row.number),
    )


def _document(session: Session, kind: str, number: str) -> int | None:
    found = documents.newest(session, kind, number)
    return found.key if found else None


def _payment(session: Session, row: Payment, names: Mapping[int, str]) -> PaymentFacts:
    return PaymentFacts(
        id=row.key,
        number=row.number,
        kind=row.kind,
        means=row.means,
        amount=row.amount,
        rounded=row.rounded,
        reference=row.reference,
        on=row.on_day,
        noted_at=row.created_at,
        by=names.get(row.taken_by, ""),
        note=row.note,
        document=_document(session, "receipt", row.number),
    )


@dataclass(frozen=True)
class Credit:
    """An invoice on the page of its credit note: what it says, and the lines not taken back yet."""

    row: Bill
    told: document.Bill
    stands: tuple[document.BilledLine, ...]
    seen: int

    @property
    def shares(self) -> bool:
        """Whether shop supplies stand on it that go back with their labour."""
        return any(line.what == SUPPLIES for line in self.stands)


def credit_of(session: Session, row: Bill) -> Credit:
    """What of an invoice may still be taken back."""
    told = document.Bill.model_validate(row.snapshot)
    numbers = {line.n for line in standing(session, row.key)}
    stands = tuple(line for line in told.lines if line.n in numbers)
    return Credit(row, told, stands, seen(session, row.work_order_id))


# The whole shop: what is owed, how long


@dataclass(frozen=True)
class OwedLine:
    """One invoice that is not paid in full, or money held for an owner (`number` empty, `left` below 0)."""

    order_id: int
    order: str
    owner: str
    phone: str
    number: str
    due_on: date | None
    left: int
    age: Age | None


@dataclass(frozen=True)
class Owing:
    """Everything that is owed on a day: invoices, the longest due first; money held; sums by age."""

    lines: tuple[OwedLine, ...]
    held: tuple[OwedLine, ...]
    by_age: Mapping[Age, int]

    @property
    def total(self) -> int:
        """Everything owed, in minor units."""
        return sum(self.by_age.values())


def owing(session: Session, today: date) -> Owing:
    """What is owed to the shop on a day, by age, and what it holds for owners."""
    bills = _grouped(session.exec(select(Bill).order_by(col(Bill.id))))
    payments = _grouped(session.exec(select(Payment).order_by(col(Payment.id))))
    heads = _heads(session, {*bills, *payments})
    received = {key: sum(row.counts for row in mine) for key, mine in payments.items()}
    lines = [
        _owed_line(heads[key], row, left, today)
        for key, mine in bills.items()
        for row, left in _unpaid(mine, received.get(key, 0))
    ]
    held = [
        _held_line(heads[key], over)
        for key, paid in received.items()
        if (over := paid - invoiced(bills.get(key, []))) > 0
    ]
    ages = {age: sum(line.left for line in lines if line.age is age) for age in Age}
    return Owing(tuple(sorted(lines, key=lambda line: line.due_on or today)), tuple(held), ages)


def _unpaid(bills: list[Bill], received: int) -> Iterable[tuple[Bill, int]]:
    left = left_of(bills, received)
    return [(row, left[row.key]) for row in bills if left.get(row.key)]


def _grouped(rows: Iterable[Row]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = {}
    for row in rows:
        found.setdefault(row.work_order_id, []).append(row)
    return found


def _heads(session: Session, keys: set[int]) -> dict[int, tuple[WorkOrder, Owner]]:
    found = session.exec(
        select(WorkOrder, Owner)
        .join(Owner, col(WorkOrder.owner_id) == col(Owner.id))
        .where(col(WorkOrder.id).in_(keys))
        .order_by(col(WorkOrder.id))
    )
    return {order.key: (order, owner) for order, owner in found}


def _held_line(whose: tuple[WorkOrder, Owner], over: int) -> OwedLine:
    order, owner = whose
    return OwedLine(order.key, order_number(order.number), owner.name, owner.phone, "", None, -over, None)


def _owed_line(whose: tuple[WorkOrder, Owner], row: Bill, left: int, today: date) -> OwedLine:
    order, owner = whose
    return OwedLine(
        order_id=order.key,
        order=order_number(order.number),
        owner=owner.name,
        phone=owner.phone,
        number=row.number,
        due_on=row.due_on,
        left=left,
        age=age_of(row.due_on, today),
    )


@dataclass(frozen=True)
class CloseFacts:
    """A close of the day in the list. `off`: counted less expected, in minor units."""

    id: int
    number: str
    on: date
    counted: int
    off: int
    by: str
    document: int | None


def closes(session: Session, most: int = 30) -> list[CloseFacts]:
    """The newest closes of the day, the newest first."""
    names = people.names(session)
    rows = session.exec(select(DayClose).order_by(col(DayClose.id).desc()).limit(most))
    return [_close(session, row, names) for row in rows]


def _close(session: Session, row: DayClose, names: Mapping[int, str]) -> CloseFacts:
    expected = row.start + Day.model_validate(row.snapshot).cash
    return CloseFacts(
        id=row.key,
        number=row.number,
        on=row.on_day,
        counted=row.counted,
        off=row.counted - expected,
        by=names.get(row.closed_by, ""),
        document=_document(session, "day close", row.number),
    )


# For later rooms


@dataclass(frozen=True)
class Settled:
    """What stands on the handover: numbers of the invoices, their sum with tax, what was paid and is due."""

    numbers: tuple[str, ...]
    invoiced: int
    paid: int
    due: int


def settled_of(session: Session, order_id: int) -> Settled | None:
    """Invoices and payments of a work order in short; None where nothing was billed."""
    bills = bills_of(session, order_id)
    if not bills:
        return None
    paid = paid_of(session, order_id)
    numbers = tuple(row.number for row in bills if row.kind == Kind.INVOICE)
    return Settled(numbers, invoiced(bills), paid, invoiced(bills) - paid)

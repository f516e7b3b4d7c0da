"""The journal for the bookkeeper: every bill by rate of tax and every payment, as CSV and JSON."""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import asdict, fields, replace
from datetime import date

from pydantic import ConfigDict
from pydantic.dataclasses import dataclass
from sqlmodel import Session, col, select

from app.accounts import document
from app.accounts.document import Kind, Part
from app.accounts.tables import Bill, Payment
from app.ground.cells import harmless
from app.ground.series import order_number
from app.intake.tables import Owner, WorkOrder
from app.trade.money import Money


@dataclass(frozen=True, config=ConfigDict(extra="forbid"))
class Entry:
    """One row of the journal. Amounts in major units as text; what is taken back or given back is below 0."""

    day: str
    kind: str
    number: str
    refers_to: str
    order: str
    owner: str
    category: str
    rate: str
    net: str
    tax: str
    gross: str
    means: str
    reference: str


def journal(session: Session, first: date, last: date) -> list[Entry]:
    """Every bill and payment of some days, ends included, in the order of days and numbers."""
    entries = [*_bills(session, first, last), *_payments(session, first, last)]
    return sorted(entries, key=lambda entry: (entry.day, entry.number, entry.rate))


def _bills(session: Session, first: date, last: date) -> Iterator[Entry]:
    found = select(Bill, WorkOrder, Owner).join(WorkOrder, col(Bill.work_order_id) == col(WorkOrder.id))
    owned = found.join(Owner, col(WorkOrder.owner_id) == col(Owner.id))
    for row, order, owner in session.exec(owned.where(Bill.on_day >= first, Bill.on_day <= last)):
        yield from _by_rate(row, order_number(order.number), owner.name)


def _by_rate(row: Bill, order: str, owner: str) -> Iterator[Entry]:
    told, sign = document.Bill.model_validate(row.snapshot), Kind(row.kind).sign
    for each in told.taxes:
        yield Entry(
            day=row.on_day.isoformat(),
            kind=told.kind.word.lower(),
            number=row.number,
            refers_to=told.takes_back,
            order=order,
            owner=owner,
            category=each.code,
            rate=each.percent,
            net=_amount(sign * each.base),
            tax=_amount(sign * each.tax),
            gross=_amount(sign * (each.base + each.tax)),
            means="",
            reference="",
        )


def _payments(session: Session, first: date, last: date) -> Iterator[Entry]:
    found = select(Payment, WorkOrder, Owner).join(WorkOrder, col(Payment.work_order_id) == col(WorkOrder.id))
    owned = found.join(Owner, col(WorkOrder.owner_id) == col(Owner.id))
    for row, order, owner in session.exec(owned.where(Payment.on_day >= first, Payment.on_day <= last)):
        entry = _payment(row, order_number(order.number), owner.name)
        yield entry
        if row.rounded:
            yield replace(entry, kind="rounding to coins", gross=_amount(row.rounded), reference="")


def _payment(row: Payment, order: str, owner: str) -> Entry:
    return Entry(
        day=row.on_day.isoformat(),
        kind=row.kind,
        number=row.number,
        refers_to="",
        order=order,
        owner=owner,
        category="",
        rate="",
        net="",
        tax="",
        gross=_amount(row.amount),
        means=row.means,
        reference=row.reference,
    )


def _amount(minor: int) -> str:
    return f"{Money(minor).amount:.2f}"


TEXTS = ("owner", "reference")


def as_csv(entries: Iterable[Entry]) -> str:
    """The journal as CSV (RFC 4180) with a head line; typed text can never run as a spreadsheet's formula."""
    into = io.StringIO()
    writer = csv.DictWriter(into, [each.name for each in fields(Entry)], lineterminator="\r\n")
    writer.writeheader()
    writer.writerows({**asdict(each), **_harmless(each)} for each in entries)
    return into.getvalue()


def _harmless(entry: Entry) -> dict[str, str]:
    return {name: harmless(getattr(entry, name)) for name in TEXTS}


class Journal(Part):
    """The journal of some days, `first` and `last` among them."""

    format: str = "journal/1"
    first: date
    last: date
    entries: tuple[Entry, ...]


def as_json(entries: Iterable[Entry], first: date, last: date) -> str:
    """The journal as JSON, with the days that it covers."""
    return Journal(first=first, last=last, entries=tuple(entries)).model_dump_json(indent=1)

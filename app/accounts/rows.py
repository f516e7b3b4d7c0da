"""The rows of the accounts, as steps and read models both find them."""

from collections.abc import Iterable
from datetime import date

from sqlmodel import Session, col, select

from app.accounts.document import Kind
from app.accounts.rules import TermsSaid
from app.accounts.tables import Bill, BillLine, DayClose, Exemption, Payment, Terms
from app.estimate.facts import guard
from app.ground.shop import shop_of

CODES = {"$": "USD", "€": "EUR", "£": "GBP"}


def bills_of(session: Session, order_id: int) -> list[Bill]:
    """The invoices and credit notes of a work order, in the order in which they were made."""
    mine = Bill.work_order_id == order_id
    return list(session.exec(select(Bill).where(mine).order_by(col(Bill.id))))


def payments_of(session: Session, order_id: int) -> list[Payment]:
    """What was received and given back on a work order, in the order in which it was noted."""
    mine = Payment.work_order_id == order_id
    return list(session.exec(select(Payment).where(mine).order_by(col(Payment.id))))


def paid_of(session: Session, order_id: int) -> int:
    """What was paid on a work order so far, less what was given back, in minor units with tax."""
    return sum(row.counts for row in payments_of(session, order_id))


def seen(session: Session, order_id: int) -> int:
    """What an act on this account must have seen: it rises with every bill, payment and change of price."""
    entries = len(bills_of(session, order_id)) + len(payments_of(session, order_id))
    return entries + guard(session, order_id)


def invoiced(bills: Iterable[Bill]) -> int:
    """What bills come to with tax, credit notes taken off, in minor units."""
    return sum(Kind(bill.kind).sign * bill.gross for bill in bills)


def owed(session: Session, order_id: int) -> int:
    """Invoices less credit notes and payments, in minor units; below 0 where money is held for the owner."""
    return invoiced(bills_of(session, order_id)) - paid_of(session, order_id)


def lines_of_bill(session: Session, bill_id: int) -> list[BillLine]:
    """The lines of a bill, in their order."""
    mine = BillLine.bill_id == bill_id
    return list(session.exec(select(BillLine).where(mine).order_by(col(BillLine.n))))


def standing(session: Session, bill_id: int) -> list[BillLine]:
    """The lines of an invoice that no credit note has taken back."""
    lines = lines_of_bill(session, bill_id)
    back = select(BillLine.takes_back_id).where(col(BillLine.takes_back_id).in_([line.key for line in lines]))
    gone = set(session.exec(back))
    return [line for line in lines if line.key not in gone]


def billed_lines(session: Session, order_id: int) -> list[BillLine]:
    """The lines of a work order's invoices that no credit note has taken back."""
    invoices = [bill for bill in bills_of(session, order_id) if bill.kind == Kind.INVOICE]
    return [line for bill in invoices for line in standing(session, bill.key)]


def exemption_of(session: Session, owner_id: int, day: date) -> Exemption | None:
    """The certificate by which an owner pays no tax on a day, or None."""
    mine = select(Exemption).where(Exemption.owner_id == owner_id).order_by(col(Exemption.id).desc())
    row = session.exec(mine.limit(1)).first()
    if row is None or not row.certificate or (row.until and row.until < day):
        return None
    return row


def terms_of(session: Session) -> TermsSaid:
    """What stands on every bill; before a lead has set it, the shop's own currency and no more."""
    row = session.exec(select(Terms).order_by(col(Terms.id).desc()).limit(1)).first()
    if row is None:
        sign = shop_of(session).currency
        return TermsSaid("US", CODES.get(sign, sign if len(sign) == 3 else "USD"), "", "", 0, "")
    return TermsSaid(
        row.country, row.currency_code, row.tax_number, row.register_number, row.due_days, row.note
    )


def last_close(session: Session) -> DayClose | None:
    """The newest close of the day, or None."""
    return session.exec(select(DayClose).order_by(col(DayClose.id).desc()).limit(1)).first()

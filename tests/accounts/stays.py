"""Finished, agreed work of a unit, played by the rooms' own acts, for the tests of the accounts."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta

from sqlalchemy import Engine

from app.accounts import facts, steps
from app.accounts.facts import Account
from app.accounts.rules import InvoiceSaid, Means, PaymentSaid
from app.accounts.tables import Bill
from app.bench import steps as bench
from app.bench.facts import JobLine, jobs_of
from app.estimate import steps as estimate
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.ground.acting import Act
from app.ground.book import reading
from tests.conftest import NOON, act
from tests.estimate.arrived import USUAL, Found, ledger, shown, writer

DAY = date(2026, 5, 4)  # of NOON, in the shop's zone
LEE, WREN, TONI = 1, 2, 3


def agreed(book: Engine, found: tuple[Found, ...] = USUAL, said: Mapping[str, str] | None = None) -> int:
    """The key of a work order whose owner said yes to everything, but for works whose title starts so."""
    order_id = shown(book, found)
    made = ledger(book, order_id)
    answers = tuple(_said(work.id, _answer(work.title, said or {})) for work in made.works)
    consent = SaidAll(How.PHONE, "Rosalind Achterberg", answers, phone="555 0142", read_back="all read out")
    estimate.consent(book, writer(book, order_id), order_id, made.revision_id, consent)
    bench.open_jobs(book, act(person=WREN), order_id)
    return order_id


def _said(work_id: int, answer: str) -> WorkSaid:
    return WorkSaid(work_id, Said(answer), "" if answer == "yes" else "RA")


def _answer(title: str, said: Mapping[str, str]) -> str:
    return next((answer for start, answer in said.items() if title.startswith(start)), "yes")


def jobs(book: Engine, order_id: int) -> list[JobLine]:
    """The jobs of a work order."""
    with reading(book) as session:
        return jobs_of(session, order_id)


def finish(book: Engine, job_id: int) -> None:
    """A job begun, accepted by the lead and finished."""
    bench.begin(book, act(person=TONI), job_id)
    bench.accept_job(book, act(person=LEE, seen=1), job_id, "Seen done.")
    bench.finish_job(book, act(person=TONI, seen=2), job_id)


def finished(book: Engine, found: tuple[Found, ...] = USUAL, said: Mapping[str, str] | None = None) -> int:
    """The key of a work order whose agreed work is all finished."""
    order_id = agreed(book, found, said)
    for job in jobs(book, order_id):
        finish(book, job.id)
    return order_id


def account(book: Engine, order_id: int) -> Account:
    """The account as it stands."""
    with reading(book) as session:
        return facts.account(session, order_id, DAY)


def desk(book: Engine, order_id: int, at: datetime = NOON) -> Act:
    """An act of the writer who has just seen the account."""
    return act(person=WREN, seen=account(book, order_id).seen, at=at)


def billed(book: Engine, order_id: int, at: datetime = NOON, due: date = DAY, **said: object) -> int:
    """The key of an invoice over everything that may be billed."""
    works = frozenset(work.work_id for work in account(book, order_id).ready.works)
    invoice = InvoiceSaid(**{"works": works, "due_on": due, **said})  # type: ignore[arg-type]  # as a form says
    return steps.make_invoice(book, desk(book, order_id, at), order_id, invoice)


def cash(amount: int, means: Means = Means.CASH, reference: str = "", on: date = DAY) -> PaymentSaid:
    """Money of an amount in minor units, confirmed."""
    return PaymentSaid(means, amount, on, reference, confirmed=True)


def paid(book: Engine, order_id: int, amount: int, at: datetime = NOON) -> int:
    """The key of a payment in cash."""
    return steps.take_payment(book, desk(book, order_id, at), order_id, cash(amount))


def bill(book: Engine, bill_id: int) -> Bill:
    """A bill's row."""
    with reading(book) as session:
        return session.get_one(Bill, bill_id)


LATER = NOON + timedelta(days=1)

"""What a handover says of the money: the invoice, what was paid, what is due; an old record still reads."""

from sqlalchemy import Engine

from app.accounts.facts import settled_of
from app.ground.book import reading
from app.handover.record import Invoiced, Record, schema
from tests.accounts.stays import bill, billed, finished, paid
from tests.estimate.arrived import TREAD


def test_nothing_billed_says_nothing(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 5000)
    with reading(book) as session:
        assert settled_of(session, order_id) is None


def test_invoice_paid_and_due_stand_together(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 5000)
    gross = bill(book, billed(book, order_id)).gross
    with reading(book) as session:
        found = settled_of(session, order_id)
    assert found is not None
    assert (found.numbers, found.invoiced, found.paid) == (("I-2026-0001",), gross, 5000)
    assert found.due == gross - 5000


def test_a_record_from_before_the_accounts_still_reads() -> None:
    field = Record.model_fields["invoiced"]
    assert not field.is_required()
    assert field.default is None
    assert "invoiced" not in schema()["required"]
    assert Invoiced(numbers=("I-2026-0001",), gross=1, paid=1, due=0).due == 0

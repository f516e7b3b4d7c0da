"""What a handover says of the money: the invoice, what was paid, what is due; an old record still reads."""

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.accounts.facts import settled_of
from app.accounts.rows import paid_of
from app.bench import steps as bench
from app.ground.book import reading
from app.ground.press import Press
from app.handover.facts import told
from app.handover.record import Invoiced, Record, schema
from app.handover.tables import Handover
from tests.accounts.stays import bill, billed, finished, paid
from tests.estimate.arrived import TREAD
from tests.handover.stays import WREN, Stay, carried, stay
from tests.handover.test_papers import Shop, flat, press  # noqa: F401 - a fixture


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


@pytest.fixture
def begun(book: Engine) -> Stay:
    """A stay with 500.20 paid ahead, its work agreed and not finished, and nothing billed."""
    made = stay(book)
    made.price(say={})
    bench.open_jobs(book, made.act(WREN), made.order)
    paid(book, made.order, 50020)
    return made


def test_what_was_paid_ahead_is_told_where_nothing_is_billed(begun: Stay) -> None:
    key = begun.hand_over(carried())
    with reading(begun.book) as session:
        row = session.get_one(Handover, key)
    assert (told(row).format, told(row).held, told(row).invoiced) == ("handover/2", 50020, None)


def test_the_paper_says_that_the_deposit_is_held_for_the_owner(
    begun: Stay,
    tmp_path: Path,
    press: Press,  # noqa: F811 - the fixture
) -> None:
    _, pdf = Shop(begun.book, tmp_path / "files", press).print(begun.hand_over(carried()))
    front = flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages[:2]))
    assert "500.20 that you paid ahead is held for you" in front
    assert "does not stand here" not in front


def test_once_a_bill_is_made_it_tells_what_was_paid(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 5000)
    bill(book, billed(book, order_id))
    with reading(book) as session:
        assert settled_of(session, order_id) is not None
        assert paid_of(session, order_id) == 5000


def test_a_record_of_the_first_version_still_reads_and_says_nothing_of_a_deposit() -> None:
    field = Record.model_fields["held"]
    assert not field.is_required()
    assert field.default is None


def test_a_record_from_before_the_accounts_still_reads() -> None:
    field = Record.model_fields["invoiced"]
    assert not field.is_required()
    assert field.default is None
    assert "invoiced" not in schema()["required"]
    assert Invoiced(numbers=("I-2026-0001",), gross=1, paid=1, due=0).due == 0

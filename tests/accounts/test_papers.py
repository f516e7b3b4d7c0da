"""The papers of the accounts read back from their PDF: sums, words, and what is enclosed for programs."""

import io
import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.accounts import papers, steps
from app.accounts.en16931 import broken
from app.accounts.papers import bill_paper
from app.accounts.rules import Counted, CreditSaid, Means, PaymentSaid, TermsSaid
from app.accounts.tables import Bill, DayClose, Payment
from app.ground import files
from app.ground.book import reading
from app.ground.papers import Paper, Printer
from app.ground.press import Press
from app.ground.tables import Document
from app.ground.words import money
from tests.accounts.stays import DAY, LATER, WREN, account, bill, billed, cash, desk, finished, paid
from tests.accounts.test_steps import settings
from tests.conftest import act
from tests.estimate.arrived import BREAKAWAY, TREAD
from tests.ground.taxing import taxed
from tests.papers.test_schemas import faults

TWO = (TREAD, BREAKAWAY)


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    opened = Press()
    yield opened
    opened.close()


class Shelf:
    """A printer with its folder; gives back what a paper says and holds."""

    def __init__(self, book: Engine, press: Press, folder: Path) -> None:
        self.book, self.folder = book, folder
        self.printer = Printer(book, press, folder)

    def pdf(self, act_: object, paper: Paper) -> bytes:
        key = self.printer.issue(act_, paper)  # type: ignore[arg-type]  # an Act
        with reading(self.book) as session:
            return files.read(self.folder, session.get_one(Document, key).sha256)

    def bill(self, row: Bill) -> bytes:
        return self.pdf(papers.bill_act(act(person=WREN), row), papers.bill_paper(row))


@pytest.fixture
def shelf(book: Engine, press: Press, tmp_path: Path) -> Shelf:
    return Shelf(book, press, tmp_path / "files")


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def enclosed(pdf: bytes) -> dict[str, bytes]:
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        return {name: bytes(each.get_file().read_bytes()) for name, each in opened.attachments.items()}


def test_an_invoice_says_its_sums_and_encloses_itself_for_programs(book: Engine, shelf: Shelf) -> None:
    steps.set_terms(book, act(), TermsSaid("US", "USD", "77-120934", "00-4471", 14, "Warranted 12 months."))
    order_id = finished(book, TWO, {"Breakaway": "later"})
    paid(book, order_id, 10000)
    row = bill(book, billed(book, order_id))
    pdf = shelf.bill(row)
    said = text_of(pdf)
    # by hand from the kit's prices: labour 75.00, tire 145.00, valve 4.50, disposal 5.00, supplies 2.25;
    # 6 % of 151.75 is 9.105, half up 9.11
    for each in ("I-2026-0001", "231.75", "Tax, 6 % of 151.75", "9.11", "240.86", "$140.86 to pay"):
        assert each in said
    assert "Deposit, 4 May 2026, cash less 100.00" in said
    assert "Breakaway switch, cable and battery 225.50 later, 4 May" in said
    assert "Warranted 12 months." in said
    inside = enclosed(pdf)
    assert set(inside) == {"bill.json", "bill.xml"}
    assert json.loads(inside["bill.json"]) == row.snapshot
    assert broken(inside["bill.xml"]) == []
    assert shelf.bill(row) == pdf  # printed once, the same bytes for ever


def test_a_bill_of_an_older_program_encloses_what_was_kept_then(book: Engine) -> None:
    row = bill(book, billed(book, finished(book, TWO)))
    kept = {name: each for name, each in row.snapshot.items() if name not in {"basis", "taxed_on"}}
    inside, *_ = bill_paper(row.model_copy(update={"snapshot": kept})).enclosed
    assert json.loads(inside.content) == kept  # it names its own version, by which it is read


def test_without_its_numbers_the_shop_encloses_no_e_invoice(book: Engine, shelf: Shelf) -> None:
    row = bill(book, billed(book, finished(book, TWO)))
    assert set(enclosed(shelf.bill(row))) == {"bill.json"}


def test_a_credit_note_says_what_it_takes_back_and_why(book: Engine, shelf: Shelf) -> None:
    order_id = finished(book, (TREAD,))
    first = billed(book, order_id)
    said = CreditSaid(frozenset({2}), "the old tire was kept")
    note = bill(book, steps.take_back(book, desk(book, order_id), first, said))
    text = text_of(shelf.bill(note))
    for each in (
        "Credit note",
        "CN-2026-0001",
        "From invoice I-2026-0001",
        "the old tire was kept",
        "153.70",
        "what you have paid beyond that is held for you until it is given back",
    ):
        assert each in text  # 145.00 with 6 %
    assert "What became of it" not in text


def test_a_receipt_says_what_is_left(book: Engine, shelf: Shelf) -> None:
    order_id = finished(book, (TREAD,))
    billed(book, order_id)  # 240.86
    key = steps.take_payment(book, desk(book, order_id), order_id, cash(20000, Means.CHEQUE, "No. 1042"))
    with reading(book) as session:
        row = session.get_one(Payment, key)
        paper = papers.receipt_paper(session, row)
    said = text_of(shelf.pdf(papers.receipt_act(act(person=WREN), row), paper))
    for each in (
        "Receipt",
        "R-2026-0001",
        "$200.00",
        "Payment by cheque, No. 1042",
        "40.86 to pay after this",
    ):
        assert each in said


def test_a_receipt_says_money_given_back(book: Engine, shelf: Shelf) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 5000)
    key = steps.give_back(book, desk(book, order_id), order_id, cash(5000))
    with reading(book) as session:
        row = session.get_one(Payment, key)
        paper = papers.receipt_paper(session, row)
    said = text_of(shelf.pdf(papers.receipt_act(act(person=WREN), row), paper))
    assert "$50.00" in said
    assert "Refund by cash" in said
    assert "Received back by" in said
    assert "Nothing is left to pay" in said
    assert account(book, order_id).owed == 0


def test_the_close_of_the_day_says_whether_the_drawer_agrees(book: Engine, shelf: Shelf) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 20000)
    billed(book, order_id)
    key = steps.close_day(book, act(person=WREN, seen=2), Counted(15000, 34950, 20000, confirmed=True))
    with reading(book) as session:
        row = session.get_one(DayClose, key)
        paper = papers.day_paper(session, row)
    said = text_of(shelf.pdf(papers.day_act(act(person=WREN), row), paper))
    # 150.00 and 200.00 are 350.00; 349.50 counted; 200.00 to the bank leaves 149.50
    for each in (
        "Day close, 4 May 2026",
        "$0.50 short",
        "Expected 350.00",
        "Left in the drawer 149.50",
        "240.86",
    ):
        assert each in said
    assert (row.snapshot["format"], faults(row.snapshot)) == ("day/1", [])
    assert faults({**row.snapshot, "bills": [{"number": "I-1"}]})


def test_the_close_of_the_day_says_which_money_was_noted_later(book: Engine, shelf: Shelf) -> None:
    order_id = finished(book, (TREAD,))
    early = PaymentSaid(Means.CASH, 2000, DAY - timedelta(days=2))
    steps.take_payment(book, desk(book, order_id), order_id, early)
    paid(book, order_id, 3000)
    key = steps.close_day(book, act(person=WREN, seen=2), Counted(0, 5000, 0))
    with reading(book) as session:
        row = session.get_one(DayClose, key)
        paper = papers.day_paper(session, row)
    said = text_of(shelf.pdf(papers.day_act(act(person=WREN), row), paper))
    assert "Deposit R-2026-0001 received 2 May 2026" in said
    assert said.count("received") == 1


def test_a_bill_taxed_as_on_an_earlier_day_says_so(book: Engine, shelf: Shelf) -> None:
    settings(book, tax_point="done")
    order_id = finished(book, TWO)
    same = text_of(shelf.bill(bill(book, billed(book, order_id))))
    assert "Taxed as on" not in same
    later = billed(book, finished(book, TWO), LATER, LATER.date())
    assert "Taxed as on 4 May 2026, when the work was finished." in text_of(shelf.bill(bill(book, later)))


def test_tax_rounded_by_line_is_printed_beside_each_line(book: Engine, shelf: Shelf) -> None:
    settings(book, tax_basis="line")
    taxed(book, parts="8.25", labour="8.25")
    row = bill(book, billed(book, finished(book, TWO)))
    pdf = shelf.bill(row)
    found = text_of(pdf)
    lines = papers.told(row).lines
    assert len([each for each in lines if each.taxed]) > 3
    assert all(f"{each.percent} % {money(each.taxed)}" in found for each in lines if each.taxed)
    assert sum(each.taxed or 0 for each in lines) == row.tax

"""What pages and the bookkeeper read: what is owed by age, money held, closes, the journal."""

import csv
import io
import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import select

from app.accounts import facts, journal, steps
from app.accounts.facts import Owing
from app.accounts.journal import Entry
from app.accounts.rules import Age, Counted, CreditSaid, Means
from app.estimate.facts import ledger
from app.ground.book import reading, writing
from app.ground.tables import Shop
from tests.accounts.stays import DAY, WREN, account, bill, billed, cash, desk, finished, paid
from tests.conftest import act
from tests.estimate.arrived import BREAKAWAY, TREAD
from tests.papers.test_schemas import faults

TWO = (TREAD, BREAKAWAY)
ROW = Entry("2026-05-04", "payment", "R-1", "", "WO-1", "Ada", "", "", "", "", "1.00", "cash", "")


def owing(book: Engine, on: date) -> Owing:
    with reading(book) as session:
        return facts.owing(session, on)


def entries(book: Engine, first: date = DAY, last: date = DAY) -> list[Entry]:
    with reading(book) as session:
        return journal.journal(session, first, last)


@pytest.mark.parametrize(
    ("days", "age"),
    [
        (0, Age.CURRENT),
        (1, Age.TO_30),
        (31, Age.TO_60),
        (61, Age.TO_90),
        (91, Age.OVER_90),
    ],  # common practice
)
def test_an_unpaid_invoice_grows_old(book: Engine, days: int, age: Age) -> None:
    gross = bill(book, billed(book, finished(book, TWO))).gross
    found = owing(book, DAY + timedelta(days=days))
    assert (found.total, found.by_age[age]) == (gross, gross)
    assert sum(found.by_age.values()) == gross
    assert [line.number for line in found.lines] == ["I-2026-0001"]


def test_the_longest_due_stands_first(book: Engine) -> None:
    one, two = finished(book, (TREAD,)), finished(book, (TREAD,))
    billed(book, one, due=DAY + timedelta(days=30))
    billed(book, two)
    assert [line.order_id for line in owing(book, DAY).lines] == [two, one]


def test_what_is_paid_or_taken_back_is_owed_no_more(book: Engine) -> None:
    one, two = finished(book, (TREAD,)), finished(book, (TREAD,))
    paid(book, one, bill(book, billed(book, one)).gross)
    first = billed(book, two)
    said = CreditSaid(frozenset(), "wrong owner", whole=True)
    steps.take_back(book, desk(book, two), first, said)
    found = owing(book, DAY + timedelta(days=400))
    assert (found.total, found.lines, found.held) == (0, (), ())


def test_a_deposit_is_held_until_it_is_billed(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 5000)
    (held,) = owing(book, DAY).held
    assert (held.order_id, held.left, held.owner) == (order_id, -5000, "Rosalind Achterberg")
    billed(book, order_id)
    assert owing(book, DAY).held == ()


def test_the_deposit_asked_is_the_share_that_the_estimate_names_with_its_tax(book: Engine) -> None:
    with writing(book) as session:
        shop = session.exec(select(Shop)).one()
        shop.settings = {**shop.settings, "deposit_percent": "25"}
    order_id = finished(book, (TREAD,))
    with reading(book) as session:
        told = ledger(session, order_id, DAY)
    # 231.75 agreed and 9.11 tax are 240.86, of which a quarter is 60.215, half up
    assert (told.agreed, told.covered.gross) == (23175, 24086)
    assert account(book, order_id).deposit == told.deposit == 6022


def test_money_over_after_a_credit_note_is_held(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    first = billed(book, order_id)
    gross = bill(book, first).gross
    paid(book, order_id, gross)
    steps.take_back(book, desk(book, order_id), first, CreditSaid(frozenset(), "goodwill", whole=True))
    assert account(book, order_id).owed == -gross
    assert [line.left for line in owing(book, DAY).held] == [-gross]


def test_an_account_of_no_work_order_is_not_there(book: Engine) -> None:
    with pytest.raises(NoResultFound):
        account(book, 999)


@pytest.mark.parametrize(("minor", "text"), [(0, ""), (-5, ""), (5, "0.05"), (130539, "1305.39")])
def test_an_amount_stands_in_its_field_or_nothing_does(minor: int, text: str) -> None:
    assert facts.amount_text(minor) == text


def test_closes_say_what_the_drawer_was_off_by(book: Engine) -> None:
    order_id = finished(book, (TREAD,))
    paid(book, order_id, 20000)
    steps.close_day(book, act(person=WREN, seen=1), Counted(15000, 34950, 0, confirmed=True))
    with reading(book) as session:
        (found,) = facts.closes(session)
    # 150.00 and 200.00 are 350.00; 349.50 counted
    assert (found.number, found.on, found.counted, found.off, found.by) == (
        "D-2026-0001",
        DAY,
        34950,
        -50,
        "Wren",
    )
    assert found.document is None


# The journal


def test_the_journal_balances_with_the_account(book: Engine) -> None:
    order_id = finished(book, TWO)
    first = billed(book, order_id)
    paid(book, order_id, 10000)
    steps.take_back(book, desk(book, order_id), first, CreditSaid(frozenset({1}), "billed twice"))
    steps.give_back(book, desk(book, order_id), order_id, cash(500, Means.TRANSFER, "T-9"))
    found = entries(book)
    bills = sum(round(float(each.gross) * 100) for each in found if not each.means)
    money = sum(round(float(each.gross) * 100) for each in found if each.means)
    assert (bills - money, money) == (account(book, order_id).owed, 9500)
    note = [each for each in found if each.kind == "credit note"]
    assert {each.refers_to for each in note} == {"I-2026-0001"}
    # labour 75.00, not taxed, and its share of 3 % for shop supplies, taxed
    assert [(each.category, each.net) for each in note] == [("E", "-75.00"), ("S", "-2.25")]


def test_a_journal_holds_its_days_ends_included(book: Engine) -> None:
    billed(book, finished(book, (TREAD,)))
    day = timedelta(days=1)
    assert len(entries(book, DAY - day, DAY)) == len(entries(book, DAY, DAY + day)) == 2
    assert entries(book, DAY + day, DAY + day) == entries(book, DAY - day, DAY - day) == []


FULL_WIDTH = [
    "\uff1d1+1",
    "\uff0b1",
    "\uff0d1",
    "\uff20SUM(A1)",
]  # = + - @ as a phone's keyboard may type them


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", "\nx", *FULL_WIDTH])
def test_typed_text_never_runs_in_a_spreadsheet(text: str) -> None:
    # OWASP, "CSV Injection": cells that begin so are formulas to a spreadsheet (from memory)
    (row,) = csv.DictReader(io.StringIO(journal.as_csv([replace(ROW, owner=text, reference=text)])))
    assert row["owner"] == row["reference"] == f"'{text}"


def test_amounts_below_nothing_stay_numbers() -> None:
    (row,) = csv.DictReader(io.StringIO(journal.as_csv([replace(ROW, gross="-1.00")])))
    assert row["gross"] == "-1.00"


def test_names_with_commas_and_quotes_come_back_whole() -> None:
    # RFC 4180, section 2: such fields stand in quotes, lines end in CR LF
    text = journal.as_csv([replace(ROW, owner='Ada "Tin", Finch')])
    assert text.count("\r\n") == 2
    assert next(iter(csv.DictReader(io.StringIO(text))))["owner"] == 'Ada "Tin", Finch'


def test_the_journal_as_json_says_its_days() -> None:
    told = json.loads(journal.as_json([ROW], DAY, DAY))
    assert (told["format"], told["first"], told["last"]) == ("journal/1", "2026-05-04", "2026-05-04")
    assert told["entries"][0]["number"] == "R-1"
    assert faults(told) == []
    assert faults({**told, "entries": [{**told["entries"][0], "color": "red"}]})

"""Tax in force from a day: an open estimate follows the day, what was shown or answered keeps its own."""

from datetime import date, timedelta

import pytest
from sqlalchemy import Engine

from app.estimate import facts, steps
from app.estimate.facts import Ledger
from app.estimate.rules import Group, NewWork
from app.ground.book import reading
from tests.conftest import NOON
from tests.estimate.arrived import BREAKAWAY, arrive, priced, shown, writer
from tests.estimate.test_agreed import yes
from tests.ground.taxing import taxed

TODAY = NOON.date()  # 4 May 2026
JULY = date(2026, 7, 1)
# The breakaway: 1.2 h at 125.00, parts 26.00 and 42.00, disposal 3.00, supplies 4.50; 225.50 before tax
NET, TAXED = 22550, 7250


def on(book: Engine, order_id: int, day: date) -> Ledger:
    with reading(book) as session:
        return facts.ledger(session, order_id, day)


@pytest.fixture
def from_july(book: Engine) -> Engine:
    """A shop whose tax on parts and supplies goes from 6 % to 7.25 % on 1 July."""
    taxed(book, JULY, parts="7.25", supplies="7.25")
    return book


@pytest.mark.parametrize(
    ("day", "tax"),
    [
        (TODAY, 435),  # 72.50 at 6 %
        (JULY - timedelta(days=1), 435),
        (JULY, 526),  # 72.50 at 7.25 % is 5.25625
        (JULY + timedelta(days=400), 526),
    ],
)
def test_an_open_estimate_is_taxed_at_the_rate_of_the_day_it_is_looked_at(
    from_july: Engine, day: date, tax: int
) -> None:
    total = on(from_july, priced(from_july, (BREAKAWAY,)), day).total
    assert (total.net, total.tax, total.gross) == (NET, tax, NET + tax)
    assert sum(it.base for it in total.taxes if it.tax) == TAXED


def test_what_was_shown_keeps_the_rate_of_the_day_it_was_shown(from_july: Engine) -> None:
    order_id = shown(from_july, (BREAKAWAY,))
    assert on(from_july, order_id, JULY).total.tax == 435


def test_a_supplement_after_the_day_takes_the_new_rate_for_the_whole_of_it(from_july: Engine) -> None:
    """One document has one rate a category: what was agreed before keeps its price, which is before tax."""
    order_id = shown(from_july, (BREAKAWAY,))
    work = yes(from_july, order_id, "Breakaway")
    later = NOON + (JULY - TODAY)
    plate = NewWork("Weld a new plate", Group.MUST, hours="2")
    steps.add_work(from_july, writer(from_july, order_id, later), order_id, plate)
    steps.freeze(from_july, writer(from_july, order_id, later), order_id)
    found = on(from_july, order_id, JULY)
    # 80.00 is taxed: 72.50, and the supplies of the plate, 7.50; 7.25 % of it is 5.80
    assert [(it.rate, it.base, it.tax) for it in found.total.taxes if it.tax] == [("7.25 %", 8000, 580)]
    assert (found.work(work).amount, found.work(work).rises_by, found.work(work).asks) == (NET, 0, False)


def test_a_budget_is_drawn_at_the_rate_of_the_day(from_july: Engine) -> None:
    order_id = priced(from_july, (BREAKAWAY,))
    with reading(from_july) as session:
        drawn = [
            facts.within_budget(session, facts.ledger(session, order_id, day), NET + 435, day).budget
            for day in (TODAY, JULY)
        ]
    assert [(it.left, it.short) for it in drawn if it] == [(0, 0), (NET + 435, 91)]


def test_a_rate_set_for_a_day_that_is_over_leaves_the_shown_estimate_alone(book: Engine) -> None:
    order_id, open_one = shown(book, (BREAKAWAY,)), arrive(book, (BREAKAWAY,))
    steps.price_findings(book, writer(book, open_one), open_one)
    taxed(book, TODAY - timedelta(days=30), parts="9", supplies="9")
    assert on(book, order_id, TODAY).total.tax == 435
    assert on(book, open_one, TODAY).total.tax == 653  # 72.50 at 9 % is 6.525

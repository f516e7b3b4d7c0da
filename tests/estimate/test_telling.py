"""The estimate as JSON says what the ledger says, to the cent and with the owner's word."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from sqlalchemy import Engine

from app.estimate.saying import Said, WorkSaid
from app.estimate.telling import told
from tests.conftest import Browser
from tests.estimate.arrived import BREAKAWAY, ROOF, TREAD, arrive, ledger, shown, work_named
from tests.estimate.test_agreed import dearer, say, yes

Signed = Callable[..., Browser]


def test_lines_add_up_to_works_and_works_to_groups(book: Engine) -> None:
    made = told(ledger(book, shown(book)))
    assert len(made.groups) == 3
    for group in made.groups:
        assert group.net == sum(work.amount for work in group.works)
        for work in group.works:
            assert work.amount == sum(line.amount for line in work.lines)
    assert made.total.net == sum(group.net for group in made.groups)
    assert made.total.gross == made.total.net + sum(tax.tax for tax in made.total.taxes)


def test_amounts_are_decimals_in_text(signed: Signed, book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    found = signed("Toni").get(f"/api/estimates/{order_id}").json()
    # kit k5: 1.2 h at 125.00, parts 26.00 and 42.00, disposal 3.00, supplies 4.50
    assert (found["number"], found["revision"], found["total"]["net"]) == ("E-2026-0001", 1, "225.50")
    labour = found["groups"][0]["works"][0]["lines"][0]
    assert labour == {
        "kind": "labour",
        "what": "Labour",
        "quantity": "1.2",
        "price": "125.00",
        "amount": "150.00",
        "tax": "labour",
    }


def test_the_owners_word_is_told_with_why_it_lapsed(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    work = yes(book, order_id, "Breakaway")
    before = told(ledger(book, order_id))
    dearer(book, order_id, work, 9000)
    after = told(ledger(book, order_id))
    [first], [second] = ([it.word for it in made.groups[0].works] for made in (before, after))
    assert first is not None
    assert second is not None
    assert (first.answer, first.amount, first.holds, first.lapsed) == ("yes", Decimal("225.50"), True, "")
    assert not second.holds
    assert second.lapsed.startswith("It rose by 90.00")
    assert (before.covered.net, after.covered.net) == (Decimal("225.50"), Decimal("0.00"))


def test_declined_work_is_told_outside_the_sums(book: Engine) -> None:
    order_id = shown(book, (TREAD, ROOF))
    roof = work_named(book, order_id, "Replace roof")
    say(book, order_id, WorkSaid(roof.id, Said.NO))
    made = told(ledger(book, order_id))
    assert [work.in_sums for group in made.groups for work in group.works] == [True, False]


def test_an_order_without_prices_is_told_empty(signed: Signed, book: Engine) -> None:
    found = signed("Wren").get(f"/api/estimates/{arrive(book)}").json()
    assert (found["number"], found["groups"], found["total"]["gross"]) == ("", [], "0.00")


@pytest.mark.parametrize("key", ["99", "0", "-1", "9223372036854775808"])
def test_an_order_that_is_not_there_is_not_told(signed: Signed, key: str) -> None:
    assert signed("Wren").get(f"/api/estimates/{key}").status_code == 404

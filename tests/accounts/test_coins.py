"""Cash paid to the smallest coin: what is asked for, what the difference does, where it is shown."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.accounts import facts, journal, papers, rules, steps
from app.accounts.closing import day_of
from app.accounts.rules import Counted, Means, PaymentSaid, Way
from app.accounts.tables import DayClose, Payment
from app.ground.book import reading
from app.ground.press import Press
from app.ground.words import money
from app.trade.money import Money
from app.trade.problems import Refused
from tests.accounts.stays import DAY, WREN, account, billed, cash, desk, finished
from tests.accounts.test_papers import Shelf, text_of
from tests.accounts.test_steps import settings
from tests.conftest import Browser, act
from tests.estimate.arrived import BREAKAWAY

FIVE = 5


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    opened = Press()
    yield opened
    opened.close()


@pytest.fixture
def shelf(book: Engine, press: Press, tmp_path: Path) -> Shelf:
    return Shelf(book, press, tmp_path / "files")


def pay(book: Engine, order_id: int, amount: int, means: Means = Means.CASH) -> Payment:
    made = steps.take_payment(book, desk(book, order_id), order_id, cash(amount, means, "slip 1"))
    with reading(book) as session:
        return session.get_one(Payment, made)


def refund(book: Engine, order_id: int, amount: int, means: Means = Means.CASH) -> Payment:
    said = PaymentSaid(means, amount, DAY, "slip 2", confirmed=True, way=Way.BACK)
    made = steps.give_back(book, desk(book, order_id), order_id, said)
    with reading(book) as session:
        return session.get_one(Payment, made)


def owing(book: Engine, cents: int) -> int:
    """A work order of which some cents over whole units are left to pay, in a shop without small coins."""
    settings(book, cash_step=FIVE)
    order_id = finished(book, (BREAKAWAY,))
    billed(book, order_id)
    pay(book, order_id, account(book, order_id).owed - cents, Means.CARD)
    return order_id


# Canada, Budget 2012, "Eliminating the penny": 1 and 2 down, 3 and 4 up, 6 and 7 down, 8 and 9 up
CANADA = {491: 490, 492: 490, 493: 495, 494: 495, 495: 495, 496: 495, 497: 495, 498: 500, 499: 500, 500: 500}


@pytest.mark.parametrize(("left", "coins"), CANADA.items())
def test_what_is_left_is_settled_in_coins_and_to_the_cent_by_card(
    book: Engine, left: int, coins: int
) -> None:
    order_id = owing(book, left)
    assert account(book, order_id).in_cash == (coins if coins != left else None)
    row = pay(book, order_id, coins)
    assert (row.amount, row.rounded, row.counts) == (coins, left - coins, left)
    assert account(book, order_id).owed == 0


@pytest.mark.parametrize("means", [Means.CARD, Means.CHEQUE, Means.TRANSFER])
def test_all_but_cash_is_paid_to_the_cent(book: Engine, means: Means) -> None:
    order_id = owing(book, 492)
    row = pay(book, order_id, 492, means)
    assert (row.amount, row.rounded) == (492, 0)


def test_a_part_in_cash_is_not_rounded_but_has_to_be_payable_in_coins(book: Engine) -> None:
    order_id = owing(book, 492)
    with pytest.raises(Refused, match=r"2\.01 cannot be paid in coins of 0\.05") as wrong:
        pay(book, order_id, 201)
    assert wrong.value.problems[0].accepts == "2.00"
    row = pay(book, order_id, 200)
    assert (row.rounded, account(book, order_id).owed) == (0, 292)


def test_less_than_half_a_coin_names_the_coin(book: Engine) -> None:
    order_id = owing(book, 492)
    with pytest.raises(Refused) as wrong:
        pay(book, order_id, 2)
    assert wrong.value.problems[0].accepts == "0.05"


# Less than half a coin: Canada, Budget 2012, rounds a total of 1 or 2 cents down to nothing


@pytest.mark.parametrize("left", [1, 2])
def test_less_than_half_a_coin_is_settled_by_nothing_in_cash(book: Engine, shelf: Shelf, left: int) -> None:
    order_id = owing(book, left)
    assert account(book, order_id).in_cash == 0
    row = pay(book, order_id, 0)
    assert (row.amount, row.rounded, row.owed_before) == (0, left, left)
    assert account(book, order_id).owed == 0
    with reading(book) as session:
        paper = papers.receipt_paper(session, row)
        (coins,) = [e for e in journal.journal(session, DAY, DAY) if e.kind == "rounding to coins"]
        assert facts.owing(session, DAY).total == 0
    said = text_of(shelf.pdf(papers.receipt_act(act(person=WREN), row), paper))
    assert f"In coins: 0.0{left} rounded to 0.00; the 0.0{left} between them counts as settled." in said
    assert "Nothing is left to pay." in said
    assert coins.gross == f"0.0{left}"


def test_less_than_half_a_coin_that_is_held_goes_back_as_nothing(book: Engine, shelf: Shelf) -> None:
    order_id = owing(book, 0)
    pay(book, order_id, 2, Means.CARD)
    row = refund(book, order_id, 0)
    assert (row.kind, row.amount, row.counts) == ("refund", 0, -2)
    assert account(book, order_id).owed == 0
    with reading(book) as session:
        paper = papers.receipt_paper(session, row)
    said = text_of(shelf.pdf(papers.receipt_act(act(person=WREN), row), paper))
    assert "What you got back" in said


@pytest.mark.parametrize(
    ("left", "means"),
    [
        (0, Means.CASH),  # nothing is owed
        (3, Means.CASH),  # a coin settles it
        (492, Means.CASH),
        (2, Means.CARD),  # paid to the cent
        (2, Means.CHEQUE),
        (2, Means.TRANSFER),
    ],
)
def test_nothing_settles_nothing_else(book: Engine, left: int, means: Means) -> None:
    order_id = owing(book, left)
    with pytest.raises(Refused, match=r"0\.00 is no payment"):
        pay(book, order_id, 0, means)
    with pytest.raises(Refused, match=r"0\.00 is no payment"):  # owed is not held
        refund(book, order_id, 0, means)
    assert account(book, order_id).owed == left


def test_nothing_is_no_deposit(book: Engine) -> None:
    settings(book, cash_step=FIVE)
    order_id = finished(book, (BREAKAWAY,))
    with pytest.raises(Refused, match=r"0\.00 is no payment"):
        pay(book, order_id, 0)


def test_a_shop_with_cents_has_nothing_too_small(book: Engine) -> None:
    order_id = owing(book, 1)
    settings(book, cash_step=1)
    with pytest.raises(Refused, match=r"0\.00 is no payment"):
        pay(book, order_id, 0)


def test_the_page_asks_for_nothing_and_takes_it(book: Engine, signed: Callable[[str], Browser]) -> None:
    order_id = owing(book, 2)
    where, wren = f"/accounts/orders/{order_id}", signed("Wren")
    assert "In cash 0.00: the smallest coin is 0.05" in wren.get(where).text
    day, seen = DAY.isoformat(), str(account(book, order_id).seen)
    sent = {"way": "in", "on_day": day, "confirm-on_day": day, "revision": seen}
    by_card = wren.post(f"{where}/payments", {**sent, "amount": "0.00", "means": "card"})
    assert by_card.status_code == 422
    assert "0.00 is no payment" in by_card.text
    assert account(book, order_id).owed == 2
    wren.post(f"{where}/payments", {**sent, "amount": "0.00", "means": "cash"})
    page = wren.get(where).text
    assert "Paid in full" in page
    assert "from 0.02" in page


def test_a_deposit_is_never_rounded(book: Engine) -> None:
    settings(book, cash_step=FIVE)
    order_id = finished(book, (BREAKAWAY,))
    with pytest.raises(Refused, match="cannot be paid in coins"):
        pay(book, order_id, 10002)
    assert pay(book, order_id, 10000).rounded == 0
    assert account(book, order_id).in_cash is None


def test_money_goes_back_in_coins_too(book: Engine) -> None:
    order_id = owing(book, 0)
    pay(book, order_id, 493, Means.CARD)
    assert account(book, order_id).in_cash == 495
    row = refund(book, order_id, 495)
    assert (row.amount, row.rounded, row.counts) == (-495, 2, -493)
    assert account(book, order_id).owed == 0


def test_no_more_goes_back_in_coins_than_came_in(book: Engine) -> None:
    settings(book, cash_step=FIVE)
    order_id = finished(book, (BREAKAWAY,))
    pay(book, order_id, 493, Means.CARD)
    with pytest.raises(Refused, match=r"Only 4\.93 was received"):
        refund(book, order_id, 500)
    assert refund(book, order_id, 495).counts == -493


def test_a_shop_with_cents_rounds_nothing(book: Engine) -> None:
    order_id = owing(book, 493)
    settings(book, cash_step=1)
    assert account(book, order_id).in_cash is None
    assert pay(book, order_id, 493).rounded == 0


@given(
    st.integers(1, 10_000_000),
    st.sampled_from([1, 5, 10, 20, 25, 50, 100]),
    st.sampled_from(list(Means)),
)
def test_what_settles_and_what_is_left_off_add_up_and_stay_within_half_a_coin(
    owed: int, coin: int, means: Means
) -> None:
    amount = rules.payable(means, owed, coin).minor
    said = PaymentSaid(means, amount, DAY)
    rules.check_coins(said, coin)
    off = rules.left_by_coins(said, owed, coin)
    assert amount + off == owed
    assert abs(off) * 2 <= coin
    assert off == 0 or means is Means.CASH


# Sweden, act 1970:1029 section 2 as amended by SFS 2009:283: 1 to 49 ore down, 50 to 99 up
@pytest.mark.parametrize(("ore", "kronor"), [(77249, 77200), (77250, 77300), (77201, 77200), (77299, 77300)])
def test_whole_crowns(ore: int, kronor: int) -> None:
    assert rules.payable(Means.CASH, ore, 100) == Money(kronor)


# Where it is shown


def test_the_receipt_says_what_the_coins_left_off(book: Engine, shelf: Shelf) -> None:
    row = pay(book, owing(book, 492), 490)
    with reading(book) as session:
        paper = papers.receipt_paper(session, row)
    said = text_of(shelf.pdf(papers.receipt_act(act(person=WREN), row), paper))
    assert "In coins: 4.92 rounded to 4.90; the 0.02 between them counts as settled." in said
    assert "Nothing is left to pay." in said


def test_the_drawer_agrees_with_the_coins_and_the_close_says_what_they_left_off(
    book: Engine, shelf: Shelf
) -> None:
    pay(book, owing(book, 492), 490)
    pay(book, owing(book, 498), 500)
    with reading(book) as session:
        day = day_of(session, act().at)
    assert (day.cash, day.rounded) == (990, 0)
    order_id = owing(book, 492)
    pay(book, order_id, 490)
    with reading(book) as session:
        day = day_of(session, act().at)
    assert (day.cash, day.rounded) == (1480, 2)
    made = steps.close_day(book, act(person=WREN, seen=day.count), Counted(0, 1480, 0))
    with reading(book) as session:
        row = session.get_one(DayClose, made)
        paper = papers.day_paper(session, row)
    said = text_of(shelf.pdf(papers.day_act(act(person=WREN), row), paper))
    assert "Yes, to the cent." in said
    assert "Rounding to coins left off 0.02." in said
    assert "rounded from 4.92" in said


def test_the_journal_still_balances_with_the_account(book: Engine) -> None:
    order_id = owing(book, 492)
    pay(book, order_id, 490)
    with reading(book) as session:
        entries = journal.journal(session, DAY, DAY)
        (settled,) = [facts.settled_of(session, order_id)]
    coins = [each for each in entries if each.kind == "rounding to coins"]
    assert [(each.gross, each.means) for each in coins] == [("0.02", "cash")]
    money_in = sum(round(float(each.gross) * 100) for each in entries if each.means)
    assert settled is not None
    assert (settled.paid, settled.due) == (money_in, 0)
    assert money(settled.invoiced) == money(money_in)


def test_money_owed_and_held_counts_what_coins_left_off(book: Engine) -> None:
    pay(book, owing(book, 492), 490)
    with reading(book) as session:
        found = facts.owing(session, DAY)
    assert (found.total, found.held) == (0, ())


def test_the_account_asks_for_coins_and_shows_what_they_left_off(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    order_id = owing(book, 492)
    where = f"/accounts/orders/{order_id}"
    assert "In cash 4.90: the smallest coin is 0.05" in signed("Wren").get(where).text
    sent = {
        "amount": "4.92",
        "means": "cash",
        "way": "in",
        "on_day": DAY.isoformat(),
        "confirm-on_day": str(DAY),
    }
    seen = str(account(book, order_id).seen)
    answer = signed("Wren").post(f"{where}/payments", {**sent, "revision": seen})
    assert answer.status_code == 422
    assert "4.92 cannot be paid in coins of 0.05. Accepted: 4.90." in answer.text
    pay(book, order_id, 490)
    page = signed("Wren").get(where).text
    assert "from 4.92" in page
    assert "In cash" not in page

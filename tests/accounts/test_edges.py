"""Where the forms of the accounts begin and end, and the sums that hold whatever is typed."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.accounts import rules
from app.accounts.rules import (
    Age,
    Counted,
    CreditSaid,
    Means,
    Owed,
    PaymentSaid,
    Way,
    age_of,
    by_means,
    payable,
    settled,
)
from app.trade.money import Money
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts

TODAY = date(2026, 5, 4)


class Boxes(Texts):
    """A form whose field `works`, `cores` or `lines` repeats: its texts stand between blanks."""

    def all(self, name: str) -> list[str]:
        return self.texts.get(name, "").split()


def problems(read: Callable[[], object]) -> list[Problem]:
    with pytest.raises(Refused) as refused:
        read()
    return list(refused.value.problems)


def fields(read: Callable[[], object]) -> list[str]:
    return [each.field for each in problems(read)]


# Invoices

INVOICE = {"works": "3 4", "due_on": "2026-05-18"}


def invoice(**typed: str) -> rules.InvoiceSaid:
    return rules.read_invoice(Boxes(INVOICE | typed), TODAY)


def test_an_invoice_without_a_discount_has_none_and_needs_no_reason() -> None:
    said = invoice()
    assert (said.works, said.off, said.why, said.cores_back) == (frozenset({3, 4}), 0, "", frozenset())
    assert invoice(discount="0").off == 0


@pytest.mark.parametrize(("typed", "due"), [("2026-05-04", 0), ("2027-05-04", 365)])
def test_a_bill_is_due_from_today_to_a_year_ahead(typed: str, due: int) -> None:
    assert invoice(due_on=typed).due_on == TODAY + timedelta(days=due)


@pytest.mark.parametrize("typed", ["2026-05-03", "2027-05-05", "", "soon"])
def test_a_bill_is_not_due_before_it_is_made_nor_after_a_year(typed: str) -> None:
    assert fields(lambda: invoice(due_on=typed)) == ["due_on"]


@pytest.mark.parametrize("field", ["works", "cores"])
@pytest.mark.parametrize("typed", ["x", "-1", "1.0", "٣", "²", "1" * 13, "3 x"])
def test_a_box_that_is_none_of_the_list_is_refused(field: str, typed: str) -> None:
    assert fields(lambda: invoice(**{field: typed})) == [field]


def test_a_key_of_twelve_digits_is_one_and_a_box_set_twice_counts_once() -> None:
    assert invoice(works="9" * 12).works == frozenset({10**12 - 1})
    assert invoice(works="3 3 3").works == frozenset({3})


def test_the_reason_of_a_discount_is_eighty_letters_at_most() -> None:
    assert invoice(discount="5", discount_why="a" * 80).why == "a" * 80
    assert fields(lambda: invoice(discount="5", discount_why="a" * 81)) == ["discount_why"]
    assert fields(lambda: invoice(discount="0.01")) == ["discount_why"]


def test_a_discount_is_a_hundred_thousand_at_most() -> None:
    assert invoice(discount="100000", discount_why="closing down").off == 10_000_000
    assert "discount" in fields(lambda: invoice(discount="100000.01", discount_why="closing down"))


@given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(0, 120))
def test_days_to_pay_are_counted_from_the_day_of_the_bill(day: date, days: int) -> None:
    assert rules.due_from(day, days).toordinal() == day.toordinal() + days


# Credit notes


def credit(**typed: str) -> CreditSaid:
    return rules.read_credit(Boxes({"reason": "billed twice"} | typed))


def test_a_credit_note_is_over_lines_or_over_the_whole() -> None:
    assert credit(lines="1 2") == CreditSaid(frozenset({1, 2}), "billed twice")
    assert credit(whole="yes") == CreditSaid(frozenset(), "billed twice", whole=True)
    assert fields(credit) == ["lines"]
    assert fields(lambda: credit(whole="no")) == ["lines"]


def test_the_reason_of_a_credit_note_is_needed_and_short() -> None:
    assert fields(lambda: credit(lines="1", reason=" ")) == ["reason"]
    assert credit(lines="1", reason="a" * 160).reason == "a" * 160
    assert fields(lambda: credit(lines="1", reason="a" * 161)) == ["reason"]


def test_the_whole_takes_back_what_still_stands_and_no_line_that_does_not() -> None:
    whole = CreditSaid(frozenset(), "r", whole=True)
    assert rules.check_lines(whole, [2, 3]) == frozenset({2, 3})
    assert rules.check_lines(CreditSaid(frozenset({2}), "r"), [2, 3]) == frozenset({2})
    assert fields(lambda: rules.check_lines(whole, [])) == ["lines"]
    assert fields(lambda: rules.check_lines(CreditSaid(frozenset({1, 2}), "r"), [2, 3])) == ["lines"]
    named = CreditSaid(
        frozenset({1}), "r", whole=True
    )  # a line taken back meanwhile is said, not passed over
    assert fields(lambda: rules.check_lines(named, [2, 3])) == ["lines"]


def test_a_credit_note_of_one_cent_gives_something_back() -> None:
    rules.check_credit(1)
    assert [it.says for it in problems(lambda: rules.check_credit(0))] == ["These lines come to 0.00"]


# Payments

PAYMENT = {"amount": "50.00", "means": "cash", "on_day": "2026-05-04"}


def payment(**typed: str) -> PaymentSaid:
    return rules.read_payment(Texts(PAYMENT | typed), TODAY)


def test_a_payment_is_read_as_typed() -> None:
    assert payment() == PaymentSaid(Means.CASH, 5000, TODAY)
    assert payment(means="card", reference="S-1", note="n", way="back") == PaymentSaid(
        Means.CARD, 5000, TODAY, "S-1", "n", way=Way.BACK
    )


@pytest.mark.parametrize("means", ["cash", "card"])
def test_cash_and_card_need_no_reference(means: str) -> None:
    assert payment(means=means).reference == ""


@pytest.mark.parametrize(
    ("means", "says"),
    [
        ("cheque", "The number of the cheque is missing"),
        ("transfer", "The reference of the transfer is missing"),
    ],
)
def test_paper_and_bank_need_theirs(means: str, says: str) -> None:
    [problem] = problems(lambda: payment(means=means))
    assert (problem.field, problem.says) == ("reference", says)


@pytest.mark.parametrize(("amount", "minor"), [("0.01", 1), ("100000", 10_000_000)])
def test_from_one_cent_to_a_hundred_thousand_is_a_payment(amount: str, minor: int) -> None:
    assert payment(amount=amount).amount == minor


@pytest.mark.parametrize("amount", ["", "-1", "100000.01", "0.001", "much"])
def test_what_is_no_payment_is_refused_beside_the_amount(amount: str) -> None:
    assert fields(lambda: payment(amount=amount)) == ["amount"]


@pytest.mark.parametrize(
    ("on_day", "asks"),
    [("2026-05-04", None), ("2026-04-03", None), ("2026-04-02", True), ("2026-05-05", False), ("", False)],
)
def test_money_was_given_today_or_within_a_month(on_day: str, asks: bool | None) -> None:
    if asks is None:
        assert payment(on_day=on_day).on_day.isoformat() == on_day
    else:
        [problem] = problems(lambda: payment(on_day=on_day))
        assert (problem.field, problem.ask) == ("on_day", asks)


@pytest.mark.parametrize(("field", "most"), [("reference", 60), ("note", 160)])
def test_what_is_noted_beside_a_payment_is_short(field: str, most: int) -> None:
    assert getattr(payment(**{field: "a" * most}), field) == "a" * most
    assert fields(lambda: payment(**{field: "a" * (most + 1)})) == [field]


def money(amount: int, means: Means = Means.CASH, *, confirmed: bool = False) -> PaymentSaid:
    return PaymentSaid(means, amount, TODAY, confirmed=confirmed)


def test_all_that_is_owed_may_come_in_and_a_cent_more_is_asked_about() -> None:
    rules.check_payment(money(5000), 5000)
    [problem] = problems(lambda: rules.check_payment(money(5001), 5000))
    assert (problem.field, problem.ask) == ("amount", True)
    rules.check_payment(money(5001, confirmed=True), 5000)


def test_nothing_is_owed_where_money_is_held() -> None:
    [problem] = problems(lambda: rules.check_payment(money(1), -3000))
    assert problem.accepts == "usually at most 0.00"


def test_cash_over_what_is_owed_names_the_change() -> None:
    """By hand: 860.00 - 859.15 = 0.85; in coins of 0.05 860.00 - 859.15 too, of 1.00 860.00 - 859.00."""
    given = PaymentSaid(Means.CASH, 86000, TODAY)
    for coin, accepts in ((1, "859.15, with 0.85"), (5, "859.15, with 0.85"), (100, "859.00, with 1.00")):
        [problem] = problems(lambda coin=coin: rules.check_payment(given, 85915, coin))
        assert problem.accepts == f"usually at most {accepts} given back as change"


def test_a_card_gives_no_change() -> None:
    [problem] = problems(lambda: rules.check_payment(PaymentSaid(Means.CARD, 86000, TODAY), 85915))
    assert problem.accepts == "usually at most 859.15"


def test_what_is_held_may_go_back_and_a_cent_more_is_asked_about() -> None:
    rules.check_refund(money(3000), -3000, 8000)
    [asked] = problems(lambda: rules.check_refund(money(3001), -3000, 8000))
    assert (asked.ask, asked.says) == (True, "30.00 is held for the owner")
    rules.check_refund(money(8000, confirmed=True), -3000, 8000)
    [never] = problems(lambda: rules.check_refund(money(8001, confirmed=True), -3000, 8000))
    assert (never.ask, never.says) == (False, "Only 80.00 was received")


def test_nothing_is_held_while_something_is_owed() -> None:
    [problem] = problems(lambda: rules.check_refund(money(1), 3000, 8000))
    assert (problem.ask, problem.says) == (True, "0.00 is held for the owner")


# Swedish rounding to 0.05 and to whole units, as its public table has it: 1, 2 down; 3, 4 up
@pytest.mark.parametrize(
    ("minor", "five"),
    [
        (1000, 1000),
        (1001, 1000),
        (1002, 1000),
        (1003, 1005),
        (1004, 1005),
        (1006, 1005),
        (1007, 1005),
        (1008, 1010),
    ],
)
def test_cash_goes_to_the_nearest_five_and_all_else_stays(minor: int, five: int) -> None:
    assert payable(Means.CASH, minor, 5).minor == five
    assert {payable(means, minor, 5).minor for means in Means if means is not Means.CASH} == {minor}


@given(st.integers(1, 10**7), st.sampled_from([1, 5, 10, 20, 50, 100]))
def test_what_coins_leave_off_is_the_bill_less_what_was_paid(settles: int, coin: int) -> None:
    paid = money(payable(Means.CASH, settles, coin).minor)
    assert paid.amount + rules.left_by_coins(paid, settles, coin) == settles
    assert abs(rules.left_by_coins(paid, settles, coin)) * 2 <= coin
    assert rules.left_by_coins(money(settles, Means.CARD), settles, coin) == 0


@given(st.integers(1, 10**6), st.sampled_from([5, 10, 50, 100]))
def test_what_coins_cannot_pay_is_refused_with_what_they_can(amount: int, coin: int) -> None:
    if amount % coin == 0:
        rules.check_coins(money(amount), coin)
        return
    [problem] = problems(lambda: rules.check_coins(money(amount), coin))
    offered = round(float(problem.accepts.replace(",", "")) * 100)
    assert offered % coin == 0
    assert offered > 0
    assert abs(offered - amount) <= coin
    rules.check_coins(money(amount, Means.CARD), coin)


# What is owed


BILLS = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 500_000), st.integers(0, 600_000)), min_size=1, max_size=8
)


def owed(bills: list[tuple[int, int, int]]) -> list[Owed]:
    return [
        Owed(key, TODAY + timedelta(days=days), gross, credited)
        for key, (days, gross, credited) in enumerate(bills, 1)
    ]


@given(BILLS, st.integers(-100_000, 2_000_000))
def test_what_is_left_is_what_stands_less_what_came_in_and_never_below_nothing(
    bills: list[tuple[int, int, int]], received: int
) -> None:
    rows = owed(bills)
    left = settled(rows, received)
    stands = sum(each.stands for each in rows)
    assert set(left) == {each.bill_id for each in rows}
    assert sum(left.values()) == max(stands - max(received, 0), 0)
    assert all(0 <= left[each.bill_id] <= each.stands for each in rows)


@given(BILLS, st.integers(0, 2_000_000))
def test_no_later_bill_is_paid_while_an_earlier_one_is_open(
    bills: list[tuple[int, int, int]], received: int
) -> None:
    rows = sorted(owed(bills), key=lambda each: (each.due_on, each.bill_id))
    left = settled(rows[::-1], received)  # in whatever order they are handed in
    still_open = [n for n, each in enumerate(rows) if left[each.bill_id]]
    if still_open:
        later = rows[still_open[0] + 1 :]
        assert all(left[each.bill_id] == each.stands for each in later)


@given(BILLS, st.integers(0, 500_000), st.integers(0, 500_000))
def test_more_money_never_leaves_more_owed(bills: list[tuple[int, int, int]], some: int, more: int) -> None:
    before, after = settled(owed(bills), some), settled(owed(bills), some + more)
    assert all(after[key] <= before[key] for key in before)


def test_two_bills_of_one_day_are_paid_in_the_order_of_their_numbers() -> None:
    rows = [Owed(2, TODAY, 100), Owed(1, TODAY, 100)]
    assert settled(rows, 150) == {1: 0, 2: 50}


def test_a_bill_taken_back_beyond_its_sum_asks_for_nothing() -> None:
    assert Owed(1, TODAY, 100, 150).stands == 0
    assert settled([Owed(1, TODAY, 100, 150)], 0) == {1: 0}


@given(st.integers(-400, 400))
def test_a_debt_only_grows_older(days: int) -> None:
    order = list(Age)
    due = TODAY - timedelta(days=days)
    assert order.index(age_of(due, TODAY)) <= order.index(age_of(due, TODAY + timedelta(days=1)))


# Certificates, terms, the drawer


def test_a_certificate_holds_to_the_end_of_its_day_or_without_one() -> None:
    typed = {"certificate": "a" * 60, "until": "2026-05-04"}
    assert rules.read_exemption(Texts(typed), TODAY).until == TODAY
    assert rules.read_exemption(Texts(typed | {"until": ""}), TODAY).until is None
    assert fields(lambda: rules.read_exemption(Texts(typed | {"until": "2026-05-03"}), TODAY)) == ["until"]
    assert fields(lambda: rules.read_exemption(Texts({"certificate": "a" * 61}), TODAY)) == ["certificate"]


TERMS = {"country": "us", "currency_code": "usd", "due_days": "14"}


def terms(**typed: str) -> rules.TermsSaid:
    return rules.read_terms(Texts(TERMS | typed))


@pytest.mark.parametrize(("typed", "days"), [("0", 0), ("120", 120)])
def test_a_bill_may_be_due_at_once_or_after_four_months(typed: str, days: int) -> None:
    assert terms(due_days=typed).due_days == days


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("due_days", "121"),
        ("due_days", "-1"),
        ("due_days", ""),
        ("country", "u"),
        ("country", "usa"),
        ("country", "u1"),
        ("country", "ÜS"),
        ("currency_code", "us"),
        ("currency_code", "usdd"),
        ("tax_number", "a" * 41),
        ("register_number", "a" * 41),
        ("note", "a" * 401),
    ],
)
def test_terms_that_cannot_be_are_refused_beside_their_field(field: str, typed: str) -> None:
    assert set(fields(lambda: terms(**{field: typed}))) == {field}


# ISO 4217: minor units other than two, metals and funds that are no money of a till (from memory)
@pytest.mark.parametrize(
    "code", ["JPY", "KRW", "ISK", "KWD", "BHD", "TND", "CLF", "XAU", "XDR", "XXX", "XTS"]
)
def test_a_bill_is_in_money_of_a_hundred_cents(code: str) -> None:
    assert fields(lambda: terms(currency_code=code.lower())) == ["currency_code"]


@pytest.mark.parametrize("code", ["USD", "CAD", "EUR", "GBP", "SEK", "CHF", "MXN", "AUD"])
def test_the_money_of_most_countries_is_taken(code: str) -> None:
    assert terms(currency_code=code.lower()).currency_code == code


@pytest.mark.parametrize(("field", "most"), [("tax_number", 40), ("register_number", 40), ("note", 400)])
def test_what_stands_on_every_bill_is_kept_to_its_last_letter(field: str, most: int) -> None:
    assert getattr(terms(**{field: "a" * most}), field) == "a" * most


DRAWER = {"start": "100.00", "counted": "150.00", "banked": "50.00"}


def drawer(**typed: str) -> Counted:
    return rules.read_counted(Texts(DRAWER | typed))


def test_all_that_was_counted_may_go_to_the_bank_and_no_cent_more() -> None:
    assert drawer(banked="150.00") == Counted(10_000, 15_000, 15_000)
    assert drawer(banked="") == Counted(10_000, 15_000, 0)
    [problem] = problems(lambda: drawer(banked="150.01"))
    assert (problem.field, problem.accepts) == ("banked", "at most 150.00")


def test_an_empty_drawer_is_counted_and_a_drawer_not_counted_is_not() -> None:
    assert drawer(start="0", counted="0", banked="0") == Counted(0, 0, 0)
    assert fields(lambda: drawer(counted="", banked="")) == ["counted"]
    assert fields(lambda: drawer(start="")) == ["start"]
    assert fields(lambda: drawer(counted="")) == [
        "counted"
    ]  # what goes to the bank is not weighed against it


@given(st.integers(0, 10**6), st.integers(-(10**6), 10**6), st.integers(0, 10**6))
def test_a_drawer_agrees_where_its_count_is_its_start_with_the_cash(
    start: int, cash: int, counted: int
) -> None:
    said = Counted(start, counted, 0)
    if counted == start + cash:
        rules.check_counted(said, cash)
        return
    [problem] = problems(lambda: rules.check_counted(said, cash))
    assert (problem.field, problem.ask) == ("counted", True)
    assert problem.accepts == f"{Money(start + cash)} is expected"
    rules.check_counted(Counted(start, counted, 0, confirmed=True), cash)


@given(st.lists(st.tuples(st.sampled_from([str(each) for each in Means]), st.integers(1, 10**6))))
def test_sums_by_means_name_every_means_and_lose_no_cent(payments: list[tuple[str, int]]) -> None:
    found = by_means(payments)
    assert list(found) == list(Means)
    assert sum(found.values()) == sum(amount for _, amount in payments)
    for means in Means:
        assert found[means] == sum(amount for name, amount in payments if name == means)

"""What the accounts' forms may say, what passes what was agreed, what is owed since when."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.accounts import rules
from app.accounts.adding_up import Done
from app.accounts.rules import Age, CreditSaid, InvoiceSaid, Means, Owed, PaymentSaid, Way
from app.estimate.cover import Bounds
from app.estimate.rules import NewLine
from app.trade.money import Money, Tolerance
from app.trade.problems import Problem, Refused
from app.trade.totals import LineKind
from app.trade.typed import Texts, Typed

DAY = date(2026, 5, 4)
INVOICE = {"works": "3", "due_on": "2026-05-18", "discount": "", "discount_why": ""}
PAYMENT = {"amount": "400.00", "means": "cash", "reference": "", "on_day": "2026-05-04", "note": ""}


def refused(read: Callable[[], object]) -> list[Problem]:
    with pytest.raises(Refused) as caught:
        read()
    return list(caught.value.problems)


def work(agreed: int, amount: int, key: int = 3) -> Done:
    core = NewLine(LineKind.CORE, "Core", "1", 100, "parts")
    return Done(key, f"Work {key}", "", agreed, amount, None, {11: core})


# The invoice


def test_an_invoice_is_read_as_typed() -> None:
    said = rules.read_invoice(Texts({**INVOICE, "discount": "25", "discount_why": "goodwill"}), DAY)
    assert said == InvoiceSaid(frozenset({3}), date(2026, 5, 18), frozenset(), 2500, "goodwill")


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("works", "x", "none of the list"),
        ("works", "\N{ARABIC-INDIC DIGIT THREE}", "none of the list"),
        ("works", "9" * 400, "none of the list"),
        ("due_on", "", "missing"),
        ("due_on", "2026-05-03", "cannot be"),  # a day before the bill
        ("due_on", "2027-05-05", "cannot be"),  # over a year on
        ("due_on", "soon", "not a date"),
        ("discount", "-5", "cannot be"),
        ("discount", "5 percent", "not an amount"),
        ("discount_why", "x" * 81, "characters long"),
    ],
)
def test_an_impossible_invoice_is_refused_beside_its_field(field: str, text: str, says: str) -> None:
    problems = refused(lambda: rules.read_invoice(Texts({**INVOICE, field: text}), DAY))
    assert [problem.field for problem in problems] == [field]
    assert says in problems[0].says


def test_a_discount_needs_its_reason() -> None:
    (problem,) = refused(lambda: rules.read_invoice(Texts({**INVOICE, "discount": "5"}), DAY))
    assert problem.field == "discount_why"


def test_an_invoice_over_nothing_is_refused() -> None:
    (problem,) = refused(lambda: rules.read_invoice(Texts({"due_on": "2026-05-18"}), DAY))
    assert (problem.field, problem.says) == ("works", "Nothing is chosen")


def test_the_last_days_an_invoice_may_be_due_are_taken() -> None:
    for text in ("2026-05-04", "2027-05-04"):  # today, and 365 days on
        assert rules.read_invoice(Texts({**INVOICE, "due_on": text}), DAY).due_on.isoformat() == text


@pytest.mark.parametrize(
    ("said", "field"),
    [
        (InvoiceSaid(frozenset({3, 4}), DAY), "works"),
        (InvoiceSaid(frozenset({3}), DAY, frozenset({12})), "cores"),
    ],
)
def test_what_may_not_be_billed_is_refused(said: InvoiceSaid, field: str) -> None:
    (problem,) = refused(lambda: rules.check_chosen(said, [work(100, 100)]))
    assert problem.field == field


# Never beyond consent and margin. Agreed 300.00: which excess needs a new word, by the law of the place


@pytest.mark.parametrize(
    ("margin", "most"),
    [
        (Tolerance(), 0),  # Cal. Bus. & Prof. Code 9884.9: none
        (Tolerance(Money(1000), Decimal(10), greater=True, cap=Money(5000)), 3000),  # Fla. Stat. 559.909
        (Tolerance(Money(1000), Decimal(10)), 1000),  # MCL 257.1301 ff.: $10 or 10 %, the less
        (Tolerance(Money(10**9), Decimal(10)), 3000),  # RCW 46.71.025; O. Reg. 17/05: 10 %
    ],
)
def test_a_bill_passes_what_was_agreed_by_the_margin_at_most(margin: Tolerance, most: int) -> None:
    rules.check_bounds([work(30000, 30000 + most)], Bounds(margin))
    (problem,) = refused(lambda: rules.check_bounds([work(30000, 30001 + most)], Bounds(margin)))
    assert problem.field == "works"
    assert "Work 3" in problem.says


def test_a_cheaper_work_pays_for_no_dearer_one() -> None:
    works = [work(10000, 5000), work(10000, 10001, key=4)]
    assert refused(lambda: rules.check_bounds(works, Bounds(Tolerance())))
    rules.check_bounds(works[:1], Bounds(Tolerance()))


def test_the_owner_s_limit_holds_before_the_margin() -> None:
    margin = Tolerance(Money(10_000), Decimal(100), greater=True)
    rules.check_bounds([work(30000, 30500)], Bounds(margin, limit=30500))
    (problem,) = refused(lambda: rules.check_bounds([work(30000, 30501)], Bounds(margin, limit=30500)))
    assert "at most 305.00" in problem.says


# Taking back


def test_a_credit_note_needs_lines_and_a_reason() -> None:
    assert {each.field for each in refused(lambda: rules.read_credit(Texts({})))} == {"lines", "reason"}
    said = rules.read_credit(Texts({"lines": "2", "reason": "billed twice"}))
    assert said == CreditSaid(frozenset({2}), "billed twice")
    assert rules.read_credit(Texts({"whole": "yes", "reason": "wrong owner"})).whole


def test_lines_taken_back_before_are_refused() -> None:
    assert rules.check_lines(CreditSaid(frozenset({1}), "x"), [1, 2]) == {1}
    assert rules.check_lines(CreditSaid(frozenset(), "x", whole=True), [1, 2]) == {1, 2}
    for said, stands in (
        (CreditSaid(frozenset({3}), "x"), [1, 2]),
        (CreditSaid(frozenset(), "x", whole=True), []),
    ):
        (problem,) = refused(lambda said=said, stands=stands: rules.check_lines(said, stands))
        assert problem.field == "lines"


@pytest.mark.parametrize("gross", [0, -1])
def test_a_credit_note_gives_something_back(gross: int) -> None:
    assert refused(lambda: rules.check_credit(gross))[0].field == "lines"
    rules.check_credit(1)


# Money


@pytest.mark.parametrize(
    ("field", "text", "says"),
    [
        ("amount", "", "missing"),
        ("amount", "-5", "cannot be"),
        ("amount", "1.005", "three decimals"),
        ("amount", "NaN", "not an amount"),
        ("means", "", "missing"),
        ("means", "beads", "not one of the choices"),
        ("on_day", "", "missing"),
        ("on_day", "2026-05-05", "not come yet"),
        ("way", "sideways", "not one of the choices"),
        ("note", "x" * 161, "characters long"),
        ("reference", "a\0b", "cannot be printed"),
    ],
)
def test_an_impossible_payment_is_refused_beside_its_field(field: str, text: str, says: str) -> None:
    problems = refused(lambda: rules.read_payment(Texts({**PAYMENT, field: text}), DAY))
    assert [problem.field for problem in problems] == [field]
    assert says in problems[0].says


@pytest.mark.parametrize("means", ["cheque", "transfer"])
def test_a_cheque_and_a_transfer_carry_their_number(means: str) -> None:
    (problem,) = refused(lambda: rules.read_payment(Texts({**PAYMENT, "means": means}), DAY))
    assert problem.field == "reference"
    kept = rules.read_payment(Texts({**PAYMENT, "means": means, "reference": "1042"}), DAY)
    assert kept.reference == "1042"


def test_a_payment_noted_late_is_asked_about_once() -> None:
    late = {**PAYMENT, "on_day": "2026-04-02"}  # 32 days before
    (problem,) = refused(lambda: rules.read_payment(Texts(late), DAY))
    assert problem.ask
    kept = rules.read_payment(Texts({**late, "confirm-on_day": "2026-04-02"}), DAY)
    assert kept.on_day == date(2026, 4, 2)
    assert rules.read_payment(Texts({**PAYMENT, "on_day": "2026-04-03"}), DAY)  # 31 days: kept


def money(amount: int, *, confirmed: bool = False, way: Way = Way.IN) -> PaymentSaid:
    return PaymentSaid(Means.CASH, amount, DAY, confirmed=confirmed, way=way)


def test_more_than_is_owed_is_asked_about_once() -> None:
    rules.check_payment(money(100), 100)
    (problem,) = refused(lambda: rules.check_payment(money(101), 100))
    assert problem.ask
    rules.check_payment(money(101, confirmed=True), 100)
    assert refused(lambda: rules.check_payment(money(1), -50))[0].ask  # nothing is owed


def test_no_more_goes_back_than_came_in_and_no_more_than_is_held_without_a_word() -> None:
    rules.check_refund(money(100), -100, 500)
    (problem,) = refused(lambda: rules.check_refund(money(101), -100, 500))
    assert problem.ask
    rules.check_refund(money(500, confirmed=True), -100, 500)
    (problem,) = refused(lambda: rules.check_refund(money(501, confirmed=True), -100, 500))
    assert not problem.ask


def test_a_confirmed_amount_counts_only_as_it_was_typed() -> None:
    assert rules.read_payment(Texts({**PAYMENT, "confirm-amount": "400.00"}), DAY).confirmed
    assert not rules.read_payment(Texts({**PAYMENT, "confirm-amount": "40.00"}), DAY).confirmed
    assert not rules.read_payment(Texts(PAYMENT), DAY).confirmed


# What is owed since when


@pytest.mark.parametrize(
    ("days", "age"),
    [
        # ends of the usual five columns of an aged list of debtors: common practice
        (-10, Age.CURRENT),
        (0, Age.CURRENT),
        (1, Age.TO_30),
        (30, Age.TO_30),
        (31, Age.TO_60),
        (60, Age.TO_60),
        (61, Age.TO_90),
        (90, Age.TO_90),
        (91, Age.OVER_90),
        (4000, Age.OVER_90),
    ],
)
def test_age_of_a_debt(days: int, age: Age) -> None:
    assert rules.age_of(DAY - timedelta(days=days), DAY) is age


def test_money_goes_to_what_fell_due_first() -> None:
    invoices = [Owed(1, DAY, 10000), Owed(2, DAY - timedelta(days=40), 5000, credited=1000)]
    assert rules.settled(invoices, 4500) == {2: 0, 1: 9500}
    assert rules.settled(invoices, 0) == {2: 4000, 1: 10000}
    assert rules.settled(invoices, 99999) == {2: 0, 1: 0}
    assert rules.settled(invoices, -500) == {2: 4000, 1: 10000}
    assert rules.settled([Owed(1, DAY, 100, credited=100)], 0) == {1: 0}


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(0, 100_000)), max_size=6), st.integers(0, 300_000))
def test_what_is_left_is_what_was_billed_less_what_came_in(
    bills: list[tuple[int, int]], received: int
) -> None:
    invoices = [Owed(key, DAY - timedelta(days=days), gross) for key, (days, gross) in enumerate(bills)]
    left = rules.settled(invoices, received)
    assert sum(left.values()) == max(sum(each.gross for each in invoices) - received, 0)
    assert all(0 <= left[each.bill_id] <= each.gross for each in invoices)


# Certificates, terms, the drawer


def test_a_certificate_that_is_over_is_refused() -> None:
    (problem,) = refused(
        lambda: rules.read_exemption(Texts({"certificate": "EX-1", "until": "2026-05-03"}), DAY)
    )
    assert problem.field == "until"
    assert rules.read_exemption(Texts({"certificate": "EX-1", "until": "2026-05-04"}), DAY).until == DAY
    assert rules.read_exemption(Texts({"certificate": ""}), DAY).certificate == ""


TERMS = {"country": "us", "currency_code": "usd", "due_days": "14"}


def test_terms_are_read_in_capitals() -> None:
    said = rules.read_terms(Texts(TERMS))
    assert (said.country, said.currency_code, said.due_days) == ("US", "USD", 14)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("country", "USA"),
        ("country", ""),
        ("country", "1!"),
        ("currency_code", "$"),
        ("currency_code", "JPY"),  # no minor unit: ISO 4217
        ("currency_code", "KWD"),  # three decimals: ISO 4217
        ("currency_code", "CLF"),  # four decimals: ISO 4217
        ("currency_code", "XAU"),  # gold, no money: ISO 4217
        ("currency_code", "XXX"),  # "no currency": ISO 4217
        ("due_days", "121"),
        ("due_days", "1.5"),
        ("note", "x" * 401),
    ],
)
def test_impossible_terms_are_refused_beside_their_field(field: str, text: str) -> None:
    assert {each.field for each in refused(lambda: rules.read_terms(Texts({**TERMS, field: text})))} == {
        field
    }


def drawer(**texts: str) -> Typed:
    return Texts({"start": "150.00", "counted": "230.00", "banked": "", **texts})


def test_a_drawer_that_differs_is_asked_about_once() -> None:
    rules.check_counted(rules.read_counted(drawer()), 8000)  # 150 + 80 = 230
    (problem,) = refused(lambda: rules.check_counted(rules.read_counted(drawer()), 8005))
    assert problem.ask
    assert problem.says == "0.05 less than the book has"
    (more,) = refused(lambda: rules.check_counted(rules.read_counted(drawer()), 7990))
    assert (more.says, more.accepts) == ("0.10 more than the book has", "229.90 is expected")
    said = rules.read_counted(Texts({"start": "150", "counted": "230.00", "confirm-counted": "230.00"}))
    rules.check_counted(said, 8005)


def test_no_more_goes_to_the_bank_than_was_counted() -> None:
    assert rules.read_counted(drawer(banked="230")).banked == 23000
    (problem,) = refused(lambda: rules.read_counted(drawer(banked="230.01")))
    assert problem.field == "banked"


def test_money_is_summed_by_means_and_every_means_is_named() -> None:
    found = rules.by_means([("cash", 100), ("card", 250), ("cash", -30)])
    assert found == {Means.CASH: 70, Means.CARD: 250, Means.CHEQUE: 0, Means.TRANSFER: 0}

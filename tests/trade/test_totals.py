"""Totals of documents against the published examples of EN 16931 and against the law of rounding."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.money import NOTHING, Money, Rounding, summed
from app.trade.problems import Impossible, Refused
from app.trade.tax import TaxCode, TaxRate, rate_of
from app.trade.totals import (
    WHOLE_BILL,
    Basis,
    Line,
    LineKind,
    Rule,
    amount_due,
    group_tax,
    line_amount,
    net_of_gross,
    totals,
)

EXEMPT = rate_of(Decimal(0), "exempt")
RATES = {
    **{f"s{percent}": rate_of(Decimal(percent)) for percent in ("6", "10", "12", "15", "21", "25")},
    **{f"us{percent}": rate_of(Decimal(percent)) for percent in ("8.25", "6.875", "8.875")},
    "e": EXEMPT,
}


def line(amount: str, tax: str, quantity: str = "1", per: str = "1", kind: LineKind = LineKind.PART) -> Line:
    return Line(kind, "a line", Decimal(quantity), Decimal(amount) * 100, tax, Decimal(per))


def off(amount: str, tax: str = WHOLE_BILL) -> Line:
    return line(amount, tax, kind=LineKind.DISCOUNT)


@pytest.mark.parametrize(
    ("quantity", "price", "per", "net"),
    [
        # CEN/TC 434 example 8 (ubl-tc434-example8): quantity, price, base quantity, line amount
        ("132", "15.24", "12", 16764),
        ("16000", "0.00880", "1", 14080),
        ("16000", "0.00101", "1", 1616),
        ("1", "441.00", "12", 3675),
        # by hand: 43.245 is a tie
        ("15", "28.83", "10", 4325),
        ("0.35", "14.90", "1", 522),  # 5.215
        ("1.4", "115.00", "1", 16100),
        ("2", "38.75", "1", 7750),
        ("-2", "38.75", "1", -7750),
        ("-0.35", "14.90", "1", -522),  # a credit mirrors its invoice
    ],
)
def test_a_line_is_quantity_by_price(quantity: str, price: str, per: str, net: int) -> None:
    assert line(price, "s6", quantity, per).net().minor == net
    assert line_amount(line(price, "s6", quantity, per)).value.minor == net


def test_half_even_is_the_shop_s_choice() -> None:
    assert line("28.83", "s6", "15", "10").net(Rounding.HALF_EVEN).minor == 4324  # 43.245 to the even cent


@pytest.mark.parametrize(
    ("lines", "net", "tax", "gross"),
    [
        # published examples of CEN/TC 434, folder ubl/examples: sums by rate, BT-109, BT-110, BT-112
        ([("183.23", "s6"), ("46.37", "s21")], "229.60", ["9.74", "10.99"], "250.33"),  # example 1
        ([("900", "s25"), ("800", "s10")], "1,700.00", ["225.00", "80.00"], "2,005.00"),  # example 3
        ([("1500", "s25"), ("2500", "s12")], "4,000.00", ["375.00", "300.00"], "4,675.00"),  # example 4
        ([("908.91", "s21")], "908.91", ["190.87"], "1,099.78"),  # example 8
        ([("147.00", "s21")], "147.00", ["30.87"], "177.87"),  # example 9
        ([("100.11", "e")], "100.11", ["0.00"], "100.11"),  # creditnote1
    ],
)
def test_totals_of_the_published_examples(
    lines: list[tuple[str, str]], net: str, tax: list[str], gross: str
) -> None:
    found = totals([line(*it) for it in lines], RATES)
    assert str(found.net) == net
    assert [str(group.tax) for group in found.groups] == tax
    assert str(found.gross) == gross


def test_published_example_2_with_its_tie_and_its_negative_group() -> None:
    # ubl-tc434-example2: 25 % of 1460.50 is 365.125 and goes up; group E is -25.00
    returned = Line(LineKind.PART, "returned", Decimal(-1), Decimal(2500), "e")
    lines = [line("1460.50", "s25"), line("1.00", "s15"), returned]
    found = totals(lines, RATES, paid=Money(100000))
    assert [str(group.tax) for group in found.groups] == ["365.13", "0.15", "0.00"]
    assert [str(group.base) for group in found.groups] == ["1,460.50", "1.00", "-25.00"]
    assert (str(found.gross), str(found.due)) == ("1,801.78", "801.78")


def test_published_example_5_with_discount_fee_and_deposit() -> None:
    # ubl-tc434-example5: 4000.00, allowance 150, charge 150; taxed 1500 at 25 %, 2500 at 12 %; paid 2337.50
    lines = [
        line("1500", "s25"),
        line("2500", "s12"),
        line("150", "s25", kind=LineKind.FEE),
        off("150", "s25"),
    ]
    found = totals(lines, RATES, paid=Money(233750))
    assert (str(found.discounts), str(found.net), str(found.tax)) == ("150.00", "4,000.00", "675.00")
    assert str(found.due) == "2,337.50"


def test_amounts_that_cancel_leave_nothing() -> None:
    # CII-BR-CO-10-RoundingIssue of the CEN test files
    signed = [("1", "720.81"), ("1", "0.01"), ("-1", "720.81"), ("-1", "0.01")]
    found = totals([line(price, "s6", quantity) for quantity, price in signed], RATES)
    assert (found.net, found.tax, found.due) == (NOTHING, NOTHING, NOTHING)
    assert str(found.due) == "0.00"  # never minus zero


def test_a_job_on_a_trailer() -> None:
    # bearings 77.50 and grease 5.22 at 6 %, disposal 4.50 at 6 %, labour 161.00 exempt less 10.00; by hand
    lines = [
        line("38.75", "s6", "2"),
        line("115.00", "e", "1.4", kind=LineKind.LABOUR),
        line("14.90", "s6", "0.35"),
        line("4.50", "s6", kind=LineKind.FEE),
        off("10.00", "e"),
    ]
    found = totals(lines, RATES, paid=Money(10000))
    assert (str(found.charges), str(found.net), str(found.tax)) == ("248.22", "238.22", "5.23")
    assert (str(found.gross), str(found.due)) == ("243.45", "143.45")
    assert amount_due(found).says == "143.45"
    assert group_tax(found.groups[0]).inputs[0].says == "87.22"


@pytest.mark.parametrize(
    ("prices", "tax", "by_line", "by_document"),
    [
        # Streamlined Sales and Use Tax Agreement section 324: item or invoice basis; by hand
        (["1.05"] * 3, "us8.25", "0.27", "0.26"),
        (["5.05"] * 4, "us6.875", "1.40", "1.39"),
        (["0.58"] * 3, "s6", "0.09", "0.10"),
        (["19.95", "4.49", "7.05"], "us8.875", "2.80", "2.79"),
    ],
)
def test_item_basis_and_invoice_basis(prices: list[str], tax: str, by_line: str, by_document: str) -> None:
    lines = [line(price, tax) for price in prices]
    assert str(totals(lines, RATES, Rule(basis=Basis.LINE)).tax) == by_line
    assert str(totals(lines, RATES, Rule(basis=Basis.DOCUMENT)).tax) == by_document


# tax charts that states print for the counter (from memory): first and last amount in cents for each cent
CHART_6 = "0-8 9-24 25-41 42-58 59-74 75-91 92-108"  # Michigan, 6 %
CHART_8_25 = "0-6 7-18 19-30 31-42 43-54 55-66 67-78 79-90 91-103"  # Texas, 8.25 %


def rows_of(percent: str, chart: str) -> list[tuple[str, int, int]]:
    spans = [span.split("-") for span in chart.split()]
    return [(percent, int(cents), tax) for tax, span in enumerate(spans) for cents in span if cents != "0"]


@pytest.mark.parametrize(("percent", "cents", "tax"), [*rows_of("6", CHART_6), *rows_of("8.25", CHART_8_25)])
def test_tax_of_small_amounts_is_that_of_the_printed_charts(percent: str, cents: int, tax: int) -> None:
    bill = Line(LineKind.PART, "cotter pin", Decimal(1), Decimal(cents), "t")
    for basis in Basis:
        assert totals([bill], {"t": rate_of(Decimal(percent))}, Rule(basis=basis)).tax == Money(tax)


def test_tax_on_every_line_is_printed_on_every_line() -> None:
    # Streamlined Sales and Use Tax Agreement section 324, item basis: 0.087 and 0.424 to the cent; by hand
    lines = [line("1.05", "us8.25"), line("5.14", "us8.25"), line("80.00", "e", kind=LineKind.LABOUR)]
    found = totals(lines, RATES, Rule(basis=Basis.LINE))
    assert [str(it.tax) for it in found.lines] == ["0.09", "0.42", "0.00"]
    assert str(found.tax) == "0.51"
    assert all(it.tax is None for it in totals(lines, RATES).lines)


def test_a_core_that_comes_back_is_a_negative_quantity() -> None:
    # EN 16931 BR-27: the price stays positive; the deposit of 15.00 at 6 % goes out and comes back
    out = totals([line("15.00", "s6", kind=LineKind.CORE)], RATES)
    back = totals([line("15.00", "s6", "-1", kind=LineKind.CORE)], RATES)
    assert (str(out.gross), str(back.gross)) == ("15.90", "-15.90")
    assert out.net + back.net == NOTHING


def test_paid_too_much_is_owed_back() -> None:
    found = totals([line("100.00", "e")], RATES, paid=Money(12000))
    assert str(found.due) == "-20.00"  # EN 16931 BR-CO-16: due is gross less paid


@pytest.mark.parametrize("step", [0, -5, 101])
def test_no_such_coin(step: int) -> None:
    with pytest.raises(ValueError, match="coin"):
        totals([line("1.00", "e")], RATES, cash_step=step)


def test_two_discounts_on_the_whole_bill_share_their_tax_by_line() -> None:
    # 10 % of 100.00 and of 50.00, then 10.00 and 20.00 off: tax 15.00 less 3.00; by hand
    lines = [line("100.00", "s10"), line("50.00", "s10"), off("10.00"), off("20.00")]
    found = totals(lines, RATES, Rule(basis=Basis.LINE))
    assert [str(it.tax) for it in found.lines] == ["10.00", "5.00", "-1.00", "-2.00"]
    assert (str(found.net), str(found.tax), str(found.gross)) == ("120.00", "12.00", "132.00")


def test_a_discount_on_the_whole_bill_is_shared_out_over_the_rates() -> None:
    # 25.00 over 120.00, 79.95, 50.05: 12.00, 8.00, 5.00 by the largest remainder
    lines = [line("120.00", "s25"), line("79.95", "s12"), line("50.05", "e"), off("25.00")]
    found = totals(lines, RATES)
    assert [str(group.base) for group in found.groups] == ["108.00", "71.95", "45.05"]
    assert str(found.net) == "225.00"


def test_coins_come_last() -> None:
    # Canada, Budget 2012: 2 cents go down
    found = totals([line("772.72", "e")], RATES, cash_step=5)
    assert (str(found.gross), str(found.rounding), str(found.due)) == ("772.72", "-0.02", "772.70")


def test_the_same_rate_under_two_names_is_one_group() -> None:
    # EN 16931 BG-23: one breakdown for each category code and rate
    rates = {"parts": rate_of(Decimal(6)), "supplies": rate_of(Decimal("6.0"))}
    found = totals([line("1.00", "parts"), line("2.00", "supplies")], rates)
    assert [str(group.base) for group in found.groups] == ["3.00"]


def test_reasons_of_exempt_lines_are_kept() -> None:
    rates = {"labour": rate_of(Decimal(0), "labour to repair"), "resale": rate_of(Decimal(0), "resale")}
    (group,) = totals([line("1.00", "labour"), line("2.00", "resale")], rates).groups
    assert group.rate.reason == "labour to repair; resale"


def test_what_is_outside_tax_stands_alone() -> None:
    # EN 16931 BR-O-11
    rates = {**RATES, "o": TaxRate(TaxCode.OUTSIDE, reason="no tax here")}
    assert totals([line("5.00", "o")], rates).tax == NOTHING
    with pytest.raises(Refused, match="stands alone"):
        totals([line("5.00", "o"), line("5.00", "s6")], rates)


def test_a_line_without_a_rate_is_refused_with_all_others() -> None:
    with pytest.raises(Refused) as refused:
        totals([line("5.00", "nowhere"), line("5.00", "either"), line("5.00", "s6")], RATES)
    assert len(refused.value.problems) == 2


def test_a_discount_larger_than_the_bill_is_refused() -> None:
    with pytest.raises(Refused, match="more than the bill"):
        totals([line("5.00", "s6"), off("5.01")], RATES)
    assert totals([line("5.00", "s6"), off("5.00")], RATES).due == NOTHING


@pytest.mark.parametrize(
    ("quantity", "price", "per"),
    [
        ("0", "1", "1"),
        ("NaN", "1", "1"),
        ("1", "-1", "1"),
        ("1", "Infinity", "1"),
        ("1", "1", "0"),
        ("1", "1", "-1"),
    ],
)
def test_lines_that_no_invoice_carries(quantity: str, price: str, per: str) -> None:
    # EN 16931 BR-27: a price is not negative
    with pytest.raises(Impossible):
        Line(LineKind.PART, "a line", Decimal(quantity), Decimal(price), "s6", Decimal(per))


@pytest.mark.parametrize(
    ("gross", "percent", "net", "tax"),
    [
        # net = gross / (1 + rate), tax = the rest; by hand
        (10000, "8.25", 9238, 762),
        (11900, "19", 10000, 1900),
        (100, "6.875", 94, 6),
    ],
)
def test_a_price_that_holds_its_tax(gross: int, percent: str, net: int, tax: int) -> None:
    assert net_of_gross(Money(gross), rate_of(Decimal(percent))) == (Money(net), Money(tax))


def test_a_price_is_told_with_its_decimals() -> None:
    said = {it.name: it.says for it in line_amount(line("0.00880", "s6", "16000")).inputs}
    assert said["price"].startswith("0.0088")
    assert {it.name: it.says for it in line_amount(line("125", "s6")).inputs}["price"] == "125.00"


def test_no_lines_make_no_bill() -> None:
    empty = totals([], RATES)
    assert (empty.groups, empty.due) == ((), NOTHING)


quantities = st.integers(-999, 9999).filter(bool).map(lambda it: Decimal(it) / 10)
prices = st.integers(0, 500_000).map(Decimal)
kinds = st.sampled_from([LineKind.LABOUR, LineKind.PART, LineKind.FEE, LineKind.OUTSIDE, LineKind.CORE])
lines_of = st.lists(
    st.builds(Line, kinds, st.just("a line"), quantities, prices, st.sampled_from(sorted(RATES))), max_size=8
)
rules = st.builds(Rule, st.sampled_from(list(Rounding)), st.sampled_from(list(Basis)))


@given(lines_of, rules, st.integers(0, 100_000).map(Money), st.sampled_from([1, 5, 100]))
def test_what_is_printed_adds_up(lines: list[Line], rule: Rule, paid: Money, step: int) -> None:
    found = totals(lines, RATES, rule, paid, step)
    assert summed(it.net for it in found.lines) == found.net
    assert summed(group.base for group in found.groups) == found.net
    assert summed(group.tax for group in found.groups) == found.tax
    assert found.net + found.tax == found.gross
    assert found.gross - found.paid + found.rounding == found.due
    assert found.due.minor % step == 0


@given(lines_of, rules, st.integers(1, 5000))
def test_it_still_adds_up_with_a_discount_on_the_whole_bill(
    lines: list[Line], rule: Rule, cents: int
) -> None:
    lines = [replace(it, quantity=abs(it.quantity)) for it in lines]
    most = summed(it.net(rule.rounding) for it in lines).minor
    if not most:
        return
    discount = Line(LineKind.DISCOUNT, "off", Decimal(1), Decimal(min(cents, most)), WHOLE_BILL)
    found = totals([*lines, discount], RATES, rule)
    assert summed(it.net for it in found.lines) == found.net == summed(group.base for group in found.groups)
    assert all(group.base >= NOTHING for group in found.groups)
    if rule.basis is Basis.LINE:
        assert summed(it.tax for it in found.lines if it.tax is not None) == found.tax


@given(lines_of, rules)
def test_a_credit_note_mirrors_its_invoice(lines: list[Line], rule: Rule) -> None:
    back = [replace(it, quantity=-it.quantity) for it in lines]
    assert totals(back, RATES, rule).gross == -totals(lines, RATES, rule).gross


@given(lines_of)
def test_tax_by_document_is_within_half_a_cent_of_exact(lines: list[Line]) -> None:
    for group in totals(lines, RATES).groups:
        exact = group.base.minor * group.rate.percent / 100
        assert abs(group.tax.minor - exact) <= Decimal("0.5")

"""What an estimate comes to: published examples line by line, and every figure beside the others."""

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.estimate.rules import NewLine, Tax
from app.estimate.sums import Sums, deposit, sums, weight, worked_total
from app.ground.taxes import DaySettings
from app.trade.totals import LineKind


def part(price: int, tax: str = "parts", quantity: str = "1") -> NewLine:
    return NewLine(LineKind.PART, "Part", quantity, price, tax)


def of(kind: LineKind, price: int, tax: str, quantity: str = "1") -> NewLine:
    return NewLine(kind, "Line", quantity, price, tax)


def come_to(lines: Sequence[NewLine], **rates: str) -> Sums:
    return sums(lines, DaySettings(**{f"tax_{name}": rate for name, rate in rates.items()}))


# The examples of CEN/TC 434's artefacts, release 1.3.16: amounts as filed, rates as the shop's categories


def test_example_3_a_charge_is_taxed_with_the_lines_of_its_rate() -> None:
    """ubl-tc434-example3: 800 at 25 %, 800 at 10 %, a charge of 100 at 25 %: tax 305.00, in all 2,005.00."""
    lines = [part(80000), part(80000, "labour"), of(LineKind.FEE, 10000, "supplies")]
    found = come_to(lines, parts="25", labour="10", supplies="25")
    assert (found.net, found.tax, found.gross) == (170000, 30500, 200500)
    assert [(it.rate, it.base, it.tax) for it in found.taxes] == [
        ("25 %", 90000, 22500),
        ("10 %", 80000, 8000),
    ]
    assert found.taxes[0].on == ("parts", "supplies")


def test_example_5_a_discount_and_a_fee_of_one_rate() -> None:
    """ubl-tc434-example5: allowance and charge 150.00 each; 1,500 at 25 %, 2,500 at 12 %; in all 4,675.00."""
    fee, off = of(LineKind.FEE, 15000, "parts"), of(LineKind.DISCOUNT, 15000, "parts")
    found = come_to([part(150000), part(250000, "labour"), fee, off], parts="25", labour="12")
    assert (found.fees, found.discount, found.net, found.tax) == (15000, -15000, 400000, 67500)
    assert found.gross == 467500


def test_example_8_prices_of_a_dozen_and_prices_finer_than_a_cent() -> None:
    """ubl-tc434-example8: lines of 908.91 together at 21 %: tax 190.87, with tax 1,099.78."""
    assert come_to([part(90891)], parts="21").gross == 109978


def test_example_9() -> None:
    """ubl-tc434-example9: 147.00 at 21 % is 30.87; 177.87."""
    assert come_to([part(14700, "outside")], outside="21").gross == 17787


def test_a_half_cent_of_tax_goes_up_or_to_the_even_one_by_the_shops_setting() -> None:
    """ubl-tc434-example2: 25 % of 1,460.50 is 365.125, filed as 365.13."""
    rates = {"tax_parts": "25"}
    assert sums([part(146050)], DaySettings(**rates)).tax == 36513
    assert sums([part(146050)], DaySettings(**rates, rounding="half_even")).tax == 36512


@pytest.mark.parametrize(
    ("prices", "rate", "by_line", "by_bill"),
    [
        # Streamlined Sales and Use Tax Agreement s. 324 (R.I. Gen. Laws 44-18.1-25): to the third decimal, up
        # where that is over four, by item or by invoice as the seller chooses. Arithmetic by hand.
        ((105, 105, 105), "8.25", 27, 26),
        ((505, 505, 505, 505), "6.875", 140, 139),
        ((58, 58, 58), "6", 9, 10),
        ((1995, 449, 705), "8.875", 280, 279),
    ],
)
def test_tax_is_rounded_by_item_or_by_invoice(
    prices: Sequence[int], rate: str, by_line: int, by_bill: int
) -> None:
    lines = [part(each) for each in prices]
    assert sums(lines, DaySettings(tax_parts=rate)).tax == by_bill
    assert sums(lines, DaySettings(tax_parts=rate, tax_basis="line")).tax == by_line


def test_a_core_deposit_is_taxed_as_its_part_and_goes_back_whole() -> None:
    """Battery 130.20 with a core of 18.00 at 6 %: 148.20, tax 8.892, half up 8.89; without the core 7.81."""
    battery, core = part(13020), of(LineKind.CORE, 1800, "parts")
    found = come_to([battery, core], parts="6")
    assert (found.parts, found.fees, found.tax, found.gross) == (13020, 1800, 889, 15709)
    assert come_to([battery], parts="6").gross == 13801


@pytest.mark.parametrize(("gross", "percent", "asked"), [(22985, "30", 6896), (0, "30", 0), (1, "50", 1)])
def test_a_deposit_is_a_share_of_what_is_paid_rounded_once(gross: int, percent: str, asked: int) -> None:
    assert deposit(gross, DaySettings(deposit_percent=percent)) == asked


def test_nothing_comes_to_nothing() -> None:
    assert sums([], DaySettings()) == Sums()
    assert weight([], DaySettings(tax_parts="0", tax_supplies="0")) == (0, ())


lines_of_any_kind = st.lists(
    st.builds(
        of,
        kind=st.sampled_from(LineKind),
        price=st.integers(0, 100_000),
        tax=st.sampled_from([str(tax) for tax in Tax]),
        quantity=st.decimals("0.1", "40", places=1).map(str),
    ),
    max_size=12,
)
shops = st.builds(
    DaySettings,
    tax_parts=st.sampled_from(["0", "6", "6.25", "8.875"]),
    tax_labour=st.sampled_from(["0", "6", "5.5"]),
    tax_disposal=st.sampled_from(["0", "6.25"]),
    rounding=st.sampled_from(["half_up", "half_even"]),
    tax_basis=st.sampled_from(["document", "line"]),
)


@given(lines_of_any_kind, shops)
def test_every_sum_is_the_sum_of_what_is_printed_above_it(lines: list[NewLine], shop: DaySettings) -> None:
    found = sums(lines, shop)
    assert found.labour + found.parts + found.outside + found.fees + found.discount == found.net
    assert sum(it.base for it in found.taxes) == found.net
    assert sum(it.tax for it in found.taxes) == found.tax
    assert found.net + found.tax == found.gross == worked_total(lines, shop).value.minor


@given(lines_of_any_kind, shops)
def test_what_the_budget_weighs_is_what_the_paper_prints(lines: list[NewLine], shop: DaySettings) -> None:
    mode = ROUND_HALF_UP if shop.rounding == "half_up" else ROUND_HALF_EVEN
    each = [weight([line], shop) for line in lines]
    whole, taxes = weight(lines, shop)
    assert whole == sum(net for net, _ in each)
    assert taxes == tuple(map(sum, zip(*(of_line for _, of_line in each), strict=True))) or not lines
    assert whole + sum(tax.quantize(Decimal(1), mode) for tax in taxes) == sums(lines, shop).gross

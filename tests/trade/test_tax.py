"""Tax categories and their rates by day."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.tax import TaxCategory, TaxCode, TaxRate, rate_of, rates_on

SIX, SEVEN = rate_of(Decimal(6)), rate_of(Decimal(7))
NEW_YEAR = date(2026, 1, 1)
PARTS = TaxCategory("parts", "Parts", ((date(2020, 1, 1), SIX), (NEW_YEAR, SEVEN)))
LABOUR = TaxCategory("labour", "Labour", ((date(2020, 1, 1), rate_of(Decimal(0), "labour to repair")),))


@pytest.mark.parametrize(
    ("day", "rate"),
    [
        (date(2025, 12, 31), SIX),  # a rate is in force from its first day on: the day of supply decides
        (NEW_YEAR, SEVEN),
        (date(2030, 1, 1), SEVEN),
        (date(2020, 1, 1), SIX),
    ],
)
def test_the_rate_of_a_day(day: date, rate: TaxRate) -> None:
    assert PARTS.on(day) == rate
    assert rates_on([PARTS, LABOUR], day)["parts"] == rate


def test_before_the_first_rate_nothing_is_known() -> None:
    with pytest.raises(Impossible, match="no tax rate on 2019-12-31"):
        PARTS.on(date(2019, 12, 31))


@pytest.mark.parametrize(
    ("code", "percent", "reason"),
    [
        (TaxCode.RATED, "0", ""),  # EN 16931 BR-S-05: over 0
        (TaxCode.RATED, "-1", ""),
        (TaxCode.RATED, "101", ""),
        (TaxCode.ZERO, "6", ""),  # BR-Z-05: 0
        (TaxCode.EXEMPT, "6", "resale"),  # BR-E-05: 0
        (TaxCode.OUTSIDE, "6", "no tax here"),  # BR-O-05: no rate
        (TaxCode.EXEMPT, "0", " "),  # BR-E-10: the reason is told
        (TaxCode.OUTSIDE, "0", ""),  # BR-O-10
    ],
)
def test_rates_that_no_invoice_may_carry(code: TaxCode, percent: str, reason: str) -> None:
    with pytest.raises(Impossible):
        TaxRate(code, Decimal(percent), reason)


def test_a_rate_is_printed_short() -> None:
    assert str(rate_of(Decimal("8.250"))) == "8.25 %"
    assert str(rate_of(Decimal("10"))) == "10 %"
    assert str(rate_of(Decimal(0), "labour to repair")) == "labour to repair"
    assert str(TaxRate(TaxCode.ZERO)) == "0 %"


@pytest.mark.parametrize(
    "rates", [(), ((NEW_YEAR, SIX), (NEW_YEAR, SEVEN)), ((NEW_YEAR, SIX), (date(2020, 1, 1), SEVEN))]
)
def test_rates_without_rising_days_are_a_slip(rates: tuple[tuple[date, TaxRate], ...]) -> None:
    with pytest.raises(ValueError, match="rising"):
        TaxCategory("parts", "Parts", rates)


@given(st.dates(date(2020, 1, 1), date(2040, 1, 1)))
def test_a_rate_changes_only_on_its_first_day(day: date) -> None:
    changed = PARTS.on(day) != PARTS.on(day + timedelta(days=1))
    assert changed == (day + timedelta(days=1) == NEW_YEAR)


@given(st.decimals("0.001", 100, places=3))
def test_a_printed_rate_is_the_rate(percent: Decimal) -> None:
    printed = str(rate_of(percent)).removesuffix(" %")
    assert Decimal(printed) == percent
    assert "E" not in printed


def test_a_category_without_a_rate_yet_stops_the_whole_document() -> None:
    with pytest.raises(Impossible, match="Labour"):
        rates_on([TaxCategory("labour", "Labour", ((NEW_YEAR, SIX),))], date(2025, 12, 31))


@pytest.mark.parametrize("percent", ["6", "8.25", "100", "0.001"])
def test_a_rate_over_nothing_is_rated(percent: str) -> None:
    # EN 16931 BR-S-05: category S has a rate over 0
    assert rate_of(Decimal(percent)).code is TaxCode.RATED


def test_a_rate_of_nothing_is_exempt_with_its_reason() -> None:
    # EN 16931 BR-E-05 and BR-E-10
    exempt = rate_of(Decimal("0.00"), "labour to repair")
    assert (exempt.code, exempt.percent, exempt.reason) == (TaxCode.EXEMPT, Decimal(0), "labour to repair")

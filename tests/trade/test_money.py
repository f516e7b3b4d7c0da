"""Amounts: rounding, sharing out, reading and printing."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.money import (
    NOTHING,
    Money,
    Rounding,
    Tolerance,
    capped_share,
    cash,
    percent_of,
    read_money,
    rounded,
    spread,
    summed,
    tolerance,
)
from app.trade.problems import Impossible, Refused


@pytest.mark.parametrize(
    ("minor", "up", "even"),
    [
        # half up away from zero, and half even: IEEE 754-2008 4.3; the General Decimal Arithmetic names
        ("267.5", 268, 268),
        ("266.5", 267, 266),
        ("-234.5", -235, -234),
        ("0.5", 1, 0),
        ("-0.5", -1, 0),
        ("267.4999", 267, 267),
        ("8.4975", 8, 8),  # "carried to the third decimal": RI Gen. Laws 44-18.1-25; once, not twice
    ],
)
def test_an_amount_is_rounded_once(minor: str, up: int, even: int) -> None:
    assert rounded(Decimal(minor)).minor == up
    assert rounded(Decimal(minor), Rounding.HALF_EVEN).minor == even


@pytest.mark.parametrize(
    ("minor", "printed"),
    [
        (130539, "1,305.39"),
        (0, "0.00"),
        (5, "0.05"),
        (-1250, "-12.50"),
        (123456789, "1,234,567.89"),
        (100, "1.00"),
    ],
)
def test_an_amount_is_printed_with_two_decimals(minor: int, printed: str) -> None:
    assert str(Money(minor)) == printed  # thousands by comma, as in the United States


@pytest.mark.parametrize(
    ("typed", "minor"),
    [
        ("1305.39", 130539),
        ("1,305.39", 130539),
        ("1 305,39", 130539),
        ("1.305,39", 130539),  # as on the continent: the last sign is the decimal one
        ("$45", 4500),
        ("45 $", 4500),
        ("$1,250,000", 125000000),
        ("1.250.000", 125000000),
        ("12,5", 1250),
        ("12.5", 1250),
        (".5", 50),
        ("-.5", -50),
        ("-12.50", -1250),
        ("\u221212.50", -1250),
        ("45.", 4500),
        ("0", 0),
        ("007", 700),
    ],
)
def test_an_amount_is_read_as_typed(typed: str, minor: int) -> None:
    assert read_money(typed).minor == minor


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "abc",
        "1e5",
        "12.345",
        "1.305",
        "1,30,5",
        "1,2345",
        "0,305",
        "--5",
        "1.305.39",
        "١٢",
        "NaN",
        "9" * 15,
        "9" * 400,
    ],
)
def test_what_is_no_amount_is_refused(typed: str) -> None:
    with pytest.raises(Impossible):
        read_money(typed)


def test_an_amount_that_can_mean_two_things_is_asked() -> None:
    with pytest.raises(Refused) as refused:
        read_money("1,305", "price")
    (problem,) = refused.value.problems
    assert (problem.field, problem.ask) == ("price", True)
    assert "1,305.00" in problem.says
    assert read_money("1,305", "price", confirmed=True).minor == 130500


@pytest.mark.parametrize(
    ("total", "weights", "shares"),
    [
        # largest remainder (Hamilton's method), by hand; ties to the earlier
        (1000, [3333, 3333, 3334], [333, 333, 334]),
        (2500, [12000, 7995, 5005], [1200, 800, 500]),
        (-1000, [3333, 3333, 3334], [-333, -333, -334]),
        (1, [1, 1], [1, 0]),
        (100, [1, 1, 1], [34, 33, 33]),
        (0, [5, 6], [0, 0]),
        (700, [0, 7], [0, 700]),
    ],
)
def test_an_amount_is_shared_out_to_the_cent(total: int, weights: list[int], shares: list[int]) -> None:
    assert [it.minor for it in spread(Money(total), weights)] == shares


# census of 1790 and the 120 seats of the first apportionment bill, by Hamilton's method: public record
CENSUS_1790 = {
    **{"Virginia": (630560, 21), "Massachusetts": (475327, 16), "Pennsylvania": (432879, 14)},
    **{"North Carolina": (353523, 12), "New York": (331589, 11), "Maryland": (278514, 9)},
    **{"Connecticut": (236841, 8), "South Carolina": (206236, 7), "New Jersey": (179570, 6)},
    **{"New Hampshire": (141822, 5), "Vermont": (85533, 3), "Georgia": (70835, 2)},
    **{"Kentucky": (68705, 2), "Rhode Island": (68446, 2), "Delaware": (55540, 2)},
}


def test_shares_are_those_of_the_first_apportionment() -> None:
    people = [counted for counted, _ in CENSUS_1790.values()]
    seats = [given for _, given in CENSUS_1790.values()]
    assert [share.minor for share in spread(Money(120), people)] == seats


@pytest.mark.parametrize("weights", [[], [0, 0], [5, -1]])
def test_nothing_can_be_shared_over_nothing(weights: list[int]) -> None:
    with pytest.raises(Impossible):
        spread(Money(100), weights)


@pytest.mark.parametrize(
    ("due", "step", "paid"),
    [
        # Canada, Budget 2012: 1, 2 down; 3, 4 up; 6, 7 down; 8, 9 up, to 5 cents
        (491, 5, 490),
        (492, 5, 490),
        (493, 5, 495),
        (494, 5, 495),
        (496, 5, 495),
        (497, 5, 495),
        (498, 5, 500),
        (499, 5, 500),
        (77272, 5, 77270),
        # Sweden, act 1970:1029 section 2: 1 to 49 ore down, 50 to 99 up
        (12349, 100, 12300),
        (12350, 100, 12400),
        (12399, 100, 12400),
        (491, 1, 491),  # by card: exact
    ],
)
def test_coins(due: int, step: int, paid: int) -> None:
    assert cash(Money(due), step).minor == paid


def test_no_coin_is_larger_than_a_whole() -> None:
    with pytest.raises(ValueError, match="coin"):
        cash(Money(100), 0)


FLORIDA = Tolerance(Money(1000), Decimal(10), greater=True, cap=Money(5000))
MICHIGAN = Tolerance(Money(1000), Decimal(10))
TEN_PERCENT = Tolerance(NOTHING, Decimal(10), greater=True)


@pytest.mark.parametrize(
    ("rule", "agreed", "over"),
    [
        # Florida Stat. 559.909 (from memory): $10 or 10 %, whichever is greater, at most $50
        (FLORIDA, 8000, 1000),
        (FLORIDA, 30000, 3000),
        (FLORIDA, 70000, 5000),
        # Michigan MCL 257.1301 and following (from memory): $10 or 10 %, whichever is less
        (MICHIGAN, 8000, 800),
        (MICHIGAN, 30000, 1000),
        (MICHIGAN, 70000, 1000),
        # RCW 46.71.025 and O. Reg. 17/05: 10 % of the estimate
        (TEN_PERCENT, 8000, 800),
        (TEN_PERCENT, 70000, 7000),
        # California B&P 9884.9: nothing over the estimate without consent
        (Tolerance(), 70000, 0),
    ],
)
def test_how_far_a_bill_may_pass_what_was_agreed(rule: Tolerance, agreed: int, over: int) -> None:
    assert tolerance(Money(agreed), rule).value.minor == over


@pytest.mark.parametrize(
    ("rule", "says"),
    [
        # "by" what is said, each bound by itself: the less of two is either of them, and a cap is one more
        (FLORIDA, "over the greater of 10 % and 10.00 or by over 50.00"),
        (MICHIGAN, "over 10 % or by over 10.00"),
        (TEN_PERCENT, "over 10 %"),
        (Tolerance(Money(2500), greater=True), "over 25.00"),
        (
            Tolerance(Money(1000), Decimal("7.5"), cap=Money(500)),
            "over 7.5 % or by over 10.00 or by over 5.00",
        ),
        (Tolerance(), "even a cent"),
        (Tolerance(Money(1000)), "even a cent"),  # the less of 10.00 and no share is nothing
        (Tolerance(percent=Decimal(10), cap=Money(5000)), "even a cent"),
        (Tolerance(greater=True, cap=Money(5000)), "even a cent"),
    ],
)
def test_the_owner_is_told_the_rule_and_not_a_sum_that_holds_for_one_answer(
    rule: Tolerance, says: str
) -> None:
    assert rule.says == says
    assert (says == "even a cent") == (tolerance(Money(70000), rule).value == NOTHING)


@pytest.mark.parametrize(
    ("base", "percent", "cap", "share"),
    [(100000, "3", 4500, 3000), (200000, "3", 4500, 4500), (0, "3", 4500, 0), (1050, "5", 4500, 53)],
)
def test_supplies_are_a_share_up_to_a_cap(base: int, percent: str, cap: int, share: int) -> None:
    # arithmetic by hand: 5 % of 10.50 is 0.525, half up 0.53
    assert capped_share(Money(base), Decimal(percent), Money(cap)).value.minor == share


def test_a_share_lies_between_nothing_and_all() -> None:
    with pytest.raises(Impossible):
        percent_of(Money(100), Decimal(101))
    with pytest.raises(Impossible):
        capped_share(Money(-1), Decimal(3), Money(100))
    with pytest.raises(Impossible):
        tolerance(Money(-1), FLORIDA)


def test_too_much_money_is_a_slip() -> None:
    with pytest.raises(Impossible, match="too much"):
        Money(10_000_000_001)


amounts = st.integers(-10_000_000, 10_000_000).map(Money)
weights = st.lists(st.integers(0, 500_000), min_size=1, max_size=8).filter(any)


@given(amounts)
def test_a_printed_amount_is_read_back(amount: Money) -> None:
    assert read_money(str(amount)) == amount
    assert read_money(f"${amount.amount}" if amount >= NOTHING else str(amount.amount)) == amount


@given(amounts)
def test_an_amount_written_the_continental_way_is_read_back(amount: Money) -> None:
    continental = str(amount).translate(str.maketrans(",.", ".,"))
    assert read_money(continental) == amount


@given(st.integers(1, 999), st.integers(0, 999))
def test_three_digits_behind_one_comma_are_always_asked(high: int, low: int) -> None:
    typed = f"{high},{low:03}"
    with pytest.raises(Refused):
        read_money(typed)
    assert read_money(typed, confirmed=True).minor == (high * 1000 + low) * 100


@given(amounts.map(lambda it: max(it, -it)), amounts.map(lambda it: max(it, -it)))
def test_a_larger_agreement_never_allows_less(one: Money, other: Money) -> None:
    small, large = sorted((one, other))
    for rule in (FLORIDA, MICHIGAN, TEN_PERCENT):
        assert tolerance(small, rule).value <= tolerance(large, rule).value
    assert tolerance(large, FLORIDA).value <= Money(5000)


@given(amounts, weights)
def test_shares_add_up_and_none_is_a_cent_off(total: Money, over: list[int]) -> None:
    shares = spread(total, over)
    assert summed(shares) == total
    for share, weight in zip(shares, over, strict=True):
        assert abs(Decimal(share.minor) - Decimal(total.minor) * weight / sum(over)) < 1


@given(st.lists(amounts, max_size=8))
def test_a_sum_does_not_depend_on_the_order(all_of: list[Money]) -> None:
    assert summed(all_of) == summed(reversed(all_of))
    assert -summed(all_of) == summed(-it for it in all_of)


@given(st.decimals(-1_000_000, 1_000_000, places=4))
def test_a_credit_mirrors_its_invoice(minor: Decimal) -> None:
    assert rounded(-minor) == -rounded(minor)
    assert abs(rounded(minor).minor - minor) <= Decimal("0.5")


@given(amounts, st.sampled_from([1, 5, 10, 50, 100]))
def test_coins_are_never_more_than_half_a_step_off(due: Money, step: int) -> None:
    paid = cash(due, step)
    assert paid.minor % step == 0
    assert 2 * abs(paid.minor - due.minor) <= step


@given(st.text(max_size=12))
def test_any_text_is_an_amount_or_refused(typed: str) -> None:
    try:
        assert isinstance(read_money(typed), Money)
    except (Impossible, Refused) as refused:
        assert str(refused)

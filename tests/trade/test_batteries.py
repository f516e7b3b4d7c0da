from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.batteries import breakaway_endurance, capacity_needed, charge_at, endurance, state_of_charge
from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

WARM = Quantity("80", "degF")


@pytest.mark.parametrize(
    ("volts", "percent"),
    [
        # BCI table for flooded 12 V batteries at 80 °F
        ("12.65", "100"),
        ("12.45", "75"),
        ("12.24", "50"),
        ("12.06", "25"),
        ("11.89", "0"),
        # ends and half way
        ("12.80", "100"),
        ("11.50", "0"),
        ("12.55", "87.5"),
        ("12.15", "37.5"),
    ],
)
def test_charge_by_the_table(volts: str, percent: str) -> None:
    assert state_of_charge(Quantity(volts, "V"), WARM).value == Decimal(percent)


@pytest.mark.parametrize(
    ("degrees", "taken"),
    [
        # tables print 0.024 V a 10 °F under 80: 12.40 V at 50 °F is 12.328 V
        ("50", "12.328"),
        ("40", "12.304"),
        ("30", "12.280"),
        ("65", "12.400"),  # too little to be worth correcting
        ("95", "12.400"),  # never added
    ],
)
def test_table_correction_for_the_cold(degrees: str, taken: str) -> None:
    found = state_of_charge(Quantity("12.40", "V"), Quantity(degrees, "degF"), by_table=True)
    assert found.value == charge_at(Decimal(taken))


def test_nothing_is_corrected_unless_asked() -> None:
    cold = Quantity("20", "degF")
    assert state_of_charge(Quantity("12.45", "V"), cold).value == 75


@pytest.mark.parametrize(
    ("volts", "grade"),
    [
        ("12.6", Grade.SOUND),
        ("12.45", Grade.SOUND),
        ("12.3", Grade.WATCH),
        ("12.2", Grade.NEEDS),
        ("13.2", Grade.UNSEEN),  # surface charge, over 12.9 V: common practice
        ("10.4", Grade.NEEDS),  # under 10.5 V a cell is dead: common practice
    ],
)
def test_grade_of_volts_at_rest(volts: str, grade: Grade) -> None:
    found = state_of_charge(Quantity(volts, "V"), WARM)
    assert found.verdict is not None
    assert found.verdict.grade is grade
    assert "hydrogen" in found.caution


@pytest.mark.parametrize(
    ("amps", "ideal"),
    # ampere hours without Peukert are amps × 15 min: 8.2 × 0.25 = 2.05 and so on, by hand
    [("8.2", "2.05"), ("16.3", "4.075"), ("24.5", "6.125")],
)
def test_ideal_capacity_for_a_quarter_hour(amps: str, ideal: str) -> None:
    assert abs(capacity_needed(Decimal(amps), Decimal(1)) - Decimal(ideal)) < Decimal("1e-9")


@pytest.mark.parametrize(
    ("amps", "exponent", "needed"),
    [
        # Peukert's law by hand: 20 × I × (0.25 ÷ 20) ^ (1 ÷ k); 0.0125 ^ 0.90909 = 0.018617
        ("8.2", "1.1", "3.05"),
        ("16.3", "1.1", "6.07"),
        ("8.2", "1.2", "4.26"),  # 0.0125 ^ 0.83333 = 0.025947
        ("24.5", "1.2", "12.71"),
    ],
)
def test_capacity_by_peukert(amps: str, exponent: str, needed: str) -> None:
    assert abs(capacity_needed(Decimal(amps), Decimal(exponent)) - Decimal(needed)) < Decimal("0.01")


@pytest.mark.parametrize(
    ("amps", "rated", "minutes", "grade"),
    [
        # 60 × 20 × (5 ÷ 164) ^ 1.2 = 18.2 min; (5 ÷ 326) ^ 1.2 gives 8.0 min: by hand
        ("8.2", "5", "18.2", Grade.SOUND),
        ("16.3", "5", "8.0", Grade.NEEDS),
        ("16.3", "12", "22.8", Grade.SOUND),
    ],
)
def test_breakaway_battery(amps: str, rated: str, minutes: str, grade: Grade) -> None:
    found = breakaway_endurance(Quantity(amps, "A"), Quantity(rated, "Ah"))
    assert abs(found.value - Decimal(minutes)) < Decimal("0.1")
    assert found.verdict is not None
    assert found.verdict.grade is grade  # 49 CFR 393.43(d): at least 15 minutes


def test_rated_current_lasts_twenty_hours() -> None:
    # the definition of a 20 hour rating
    assert endurance(Decimal("0.25"), Decimal(5), Decimal("1.3")) == 1200


@pytest.mark.parametrize(
    ("amps", "rated", "exponent"), [("0", "5", "1.2"), ("8", "0", "1.2"), ("8", "5", "0.9")]
)
def test_what_cannot_be_is_refused(amps: str, rated: str, exponent: str) -> None:
    with pytest.raises(Impossible):
        breakaway_endurance(Quantity(amps, "A"), Quantity(rated, "Ah"), Decimal(exponent))


def test_a_24_v_battery_is_refused() -> None:
    with pytest.raises(Impossible):
        state_of_charge(Quantity("25.2", "V"), WARM)


@given(amps=st.decimals("1", "40", places=1), exponent=st.decimals("1", "1.4", places=2))
def test_needed_capacity_lasts_a_quarter_hour(amps: Decimal, exponent: Decimal) -> None:
    assert abs(endurance(amps, capacity_needed(amps, exponent), exponent) - 15) < Decimal("1e-9")


@given(low=st.decimals("11", "12.9", places=2), more=st.decimals("0.01", "1", places=2))
def test_more_volts_are_never_less_charge(low: Decimal, more: Decimal) -> None:
    assert charge_at(low) <= charge_at(low + more)


@pytest.mark.parametrize(
    ("volts", "says"),
    [
        ("12.6", "94 % charged"),  # 75 + 25 × 0.15 ÷ 0.20 = 93.75, by hand
        ("12.3", "57 %: recharge before storage"),
        ("12.06", "25 %: recharge, then a load test"),
        ("13.3", "surface charge: let it rest, then measure again"),
        ("10.4", "10.4 V: a dead cell, or flat"),
    ],
)
def test_the_verdict_says_what_to_do(volts: str, says: str) -> None:
    verdict = state_of_charge(Quantity(volts, "V"), WARM).verdict
    assert verdict is not None
    assert verdict.says.replace("\u00a0", " ") == says


@pytest.mark.parametrize(
    ("volts", "grade"),
    [
        ("12.9", Grade.SOUND),
        ("12.91", Grade.UNSEEN),
        ("10.5", Grade.NEEDS),
        ("12.24", Grade.WATCH),  # 50 % itself
        ("12.23", Grade.NEEDS),
        ("12.44", Grade.WATCH),
    ],
)
def test_ends_of_the_bands(volts: str, grade: Grade) -> None:
    verdict = state_of_charge(Quantity(volts, "V"), WARM).verdict
    assert verdict is not None
    assert verdict.grade is grade


def test_volts_that_cannot_tell_give_no_percent() -> None:
    for volts in ("13.5", "9"):
        assert state_of_charge(Quantity(volts, "V"), WARM).value is None


@given(amps=st.decimals("1", "30", places=1), more=st.decimals("0.1", "10", places=1))
def test_more_current_empties_it_more_than_in_proportion(amps: Decimal, more: Decimal) -> None:
    slow, fast = endurance(amps, Decimal(5)), endurance(amps + more, Decimal(5))
    assert fast * (amps + more) < slow * amps

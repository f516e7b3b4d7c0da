from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.gas_tests import (
    DROP_TEST,
    HOLD_TESTS,
    LEAK_CHECK,
    PIPING,
    Found,
    HoldTest,
    Timed,
    found,
    leak_test,
)
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def timed(
    start: str, end: str, warm: str = "68", later: str = "68", minutes: str = "3", unit: str = "in_wc"
) -> Timed:
    return Timed(
        Quantity(start, unit),
        Quantity(end, unit),
        Quantity(minutes, "min"),
        Quantity(warm, "degF"),
        Quantity(later, "degF"),
        station=Quantity("14.5", "psi"),
    )


@pytest.mark.parametrize(
    ("start", "end", "later", "rate"),
    [
        # ideal gas by hand: 0.25 ft³, 14.5 psi, 3 min; 0.6 in wc at 527.67 °R is
        # 0.25 × (0.6 ÷ 27.68) ÷ 527.67 × 519.67 ÷ 14.696 ÷ 0.05 = 0.00726
        ("9.0", "8.4", "68", "0.00726"),
        ("9.0", "8.4", "67", "-0.00215"),
        ("9.0", "9.0", "67", "-0.00943"),
        ("9.0", "9.0", "68", "0"),
    ],
)
def test_rate(start: str, end: str, later: str, rate: str) -> None:
    assert abs(timed(start, end, later=later).rate - Decimal(rate)) < Decimal("0.00002")


@pytest.mark.parametrize(
    ("warm", "fall"),
    [("40", "0.83"), ("68", "0.79"), ("90", "0.76")],  # Gay-Lussac: absolute pressure ÷ absolute temperature
)
def test_one_degree_moves_the_gauge_by_most_of_an_inch(warm: str, fall: str) -> None:
    # ΔP = P ÷ T at 14.696 psi + 9 in wc = 415.8 in wc, so 415.8 ÷ 499.67 = 0.832
    cooler = str(Decimal(warm) - 1)
    closed = Timed(
        Quantity("9", "in_wc"),
        Quantity(str(Decimal(9) - Decimal(fall)), "in_wc"),
        Quantity("3", "min"),
        Quantity(warm, "degF"),
        Quantity(cooler, "degF"),
    )
    assert abs(closed.rate) < closed.doubt / 5


@pytest.mark.parametrize(
    ("start", "end", "later", "shown", "grade"),
    [
        ("9.0", "9.0", "68", Found.HELD, Grade.SOUND),  # La. Admin. Code 55:IX-175: no fall and no rise
        ("9.0", "8.4", "68", Found.LEAK, Grade.NEEDS),
        ("9.0", "8.4", "67", Found.COOLING, Grade.UNSEEN),
        ("9.0", "8.95", "68", Found.COOLING, Grade.UNSEEN),  # less than the gauge shows: repeat
        ("9.0", "9.0", "67", Found.HIDDEN, Grade.UNSEEN),
        ("9.0", "9.8", "69", Found.WARMING, Grade.UNSEEN),
        ("9.0", "9.6", "68", Found.PASSING, Grade.NEEDS),
        ("9.0", "9.0", "69", Found.LEAK, Grade.NEEDS),  # steady while warming: gas went out
    ],
)
def test_what_a_leak_check_shows(start: str, end: str, later: str, shown: Found, grade: Grade) -> None:
    here = timed(start, end, later=later)
    worked = leak_test(here)
    assert found(here) is shown
    assert worked.verdict is not None
    assert worked.verdict.grade is grade
    assert worked.verdict.by is (By.USE if grade is Grade.NEEDS else None)
    assert "licensed" in worked.caution


@pytest.mark.parametrize(
    ("test", "start", "minutes", "unit", "grade"),
    [
        (LEAK_CHECK, "9", "3", "in_wc", Grade.SOUND),  # NFPA 54 annex C: 9 ± 1/2 in wc, 3 minutes
        (LEAK_CHECK, "9", "2.9", "in_wc", Grade.UNSEEN),
        (LEAK_CHECK, "9.6", "3", "in_wc", Grade.UNSEEN),
        (LEAK_CHECK, "11", "3", "in_wc", Grade.UNSEEN),  # regulators locked: proves nothing
        (DROP_TEST, "8", "3", "in_wc", Grade.SOUND),  # common practice
        (HOLD_TESTS["appliances"], "12", "10", "in_wc", Grade.SOUND),  # WAC 296-150C-1460: 10 minutes
        (HOLD_TESTS["appliances"], "12", "9", "in_wc", Grade.UNSEEN),
        (PIPING, "3", "15", "psi", Grade.SOUND),  # La. Admin. Code 55:IX-175(A): at least 3 psi, 15 min
        (PIPING, "10", "15", "psi", Grade.SOUND),
        (PIPING, "2.9", "15", "psi", Grade.UNSEEN),
        (PIPING, "3", "14", "psi", Grade.UNSEEN),
    ],
)
def test_a_hold_counts_at_its_own_pressure_and_time(
    test: HoldTest, start: str, minutes: str, unit: str, grade: Grade
) -> None:
    worked = leak_test(timed(start, start, minutes=minutes, unit=unit), test)
    assert worked.verdict is not None
    assert worked.verdict.grade is grade


def test_a_leak_is_a_leak_in_a_test_too_short() -> None:
    verdict = leak_test(timed("9", "7", minutes="1")).verdict
    assert verdict is not None
    assert verdict.grade is Grade.NEEDS


@pytest.mark.parametrize(
    ("start", "minutes", "warm"),
    [("9", "0", "68"), ("-600", "3", "68"), ("9", "3", "-80"), ("9", "3", "200")],
)
def test_what_cannot_be_is_refused(start: str, minutes: str, warm: str) -> None:
    with pytest.raises(Impossible):
        timed(start, "9", warm=warm, minutes=minutes)


@given(
    start=st.decimals("8.5", "9.5", places=1),
    fall=st.decimals("0", "5", places=1),
    more=st.decimals("0.1", "3", places=1),
)
def test_a_greater_fall_is_a_greater_rate(start: Decimal, fall: Decimal, more: Decimal) -> None:
    small, large = timed(str(start), str(start - fall)), timed(str(start), str(start - fall - more))
    assert small.rate < large.rate


@given(minutes=st.integers(1, 60))
def test_rate_times_time_is_the_gas_that_left(minutes: int) -> None:
    first, other = timed("9", "8"), timed("9", "8", minutes=str(minutes))
    assert abs(first.rate * 3 - other.rate * minutes) < Decimal("1e-12")


def test_the_verdict_and_the_limit_are_plain() -> None:
    found_leak = leak_test(timed("9", "8"))
    assert found_leak.limit.replace("\u00a0", " ") == "no fall and no rise in 3 min at 8.5 to 9.5 in wc"
    assert found_leak.verdict is not None
    assert found_leak.verdict.says == "pressure falls: cylinders off and tagged"
    steady = leak_test(timed("9", "9")).verdict
    assert steady is not None
    assert steady.says.replace("\u00a0", " ") == "held 9 in wc for 3 min"


def test_the_figure_keeps_every_reading_as_typed() -> None:
    # 7 CCR 1101-15-3-2 (Colorado) asks for times and pressures; temperatures and gauge are common practice
    shown = {each.name: each.says.replace("\u00a0", " ") for each in leak_test(timed("9.0", "8.4")).inputs}
    assert shown == {
        "start": "9.0 in wc at 68 °F",
        "end": "8.4 in wc at 68 °F",
        "time": "3 min",
        "volume": "0.25 ft³",
        "station pressure": "14.5 psi",
        "gauge division": "0.1 in wc",
    }


def test_celsius_and_kilopascal_give_the_same_rate() -> None:
    # 68 °F is 20 °C; 9 in wc is 2.2418 kPa, 8.4 in wc 2.09235 kPa (1 in wc = 249.089 Pa: NIST SP 811)
    metric = Timed(
        Quantity("2.24180", "kPa"),
        Quantity("2.09235", "kPa"),
        Quantity("180", "s"),
        Quantity("20", "degC"),
        Quantity("20", "degC"),
        station=Quantity("14.5", "psi"),
    )
    assert abs(metric.rate - timed("9.0", "8.4").rate) < Decimal("0.000005")


@pytest.mark.parametrize(
    ("volume", "division"), [("0", "0.1"), ("-1", "0.1"), ("0.25", "0"), ("0.25", "-0.1")]
)
def test_no_volume_and_no_gauge_are_refused(volume: str, division: str) -> None:
    warm, nine = Quantity("68", "degF"), Quantity("9", "in_wc")
    with pytest.raises(Impossible):
        Timed(nine, nine, Quantity("3", "min"), warm, warm, Decimal(volume), Quantity(division, "in_wc"))


@given(start=st.decimals("8.5", "9.5", places=1), warm=st.integers(20, 100), cooler=st.integers(1, 15))
def test_a_tight_pipe_that_cools_shows_no_leak(start: Decimal, warm: int, cooler: int) -> None:
    # ideal gas: absolute pressure falls as absolute temperature (°F + 459.67)
    station = Decimal("14.5") * Decimal("27.679905")  # 1 psi = 27.679905 in wc
    end = (start + station) * (warm - cooler + Decimal("459.67")) / (warm + Decimal("459.67")) - station
    here = timed(str(start), f"{end:f}"[:20], warm=str(warm), later=str(warm - cooler))
    assert abs(here.rate) < here.doubt / 100
    assert found(here) is Found.COOLING

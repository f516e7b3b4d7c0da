"""Load and cold pressure."""

from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.tire_pressure import (
    cold_pressure,
    load_at_pressure,
    load_between_rows,
    pressure_at,
    pressure_for_load,
)


@pytest.mark.parametrize(
    ("most_lb", "most_psi", "psi", "tabled"),
    [
        # rows of published trailer tire load tables: the lower row from the highest of the same size
        ("1360", "50", "35", "1100"),  # ST175/80-13
        ("1610", "65", "50", "1360"),
        ("1725", "65", "50", "1480"),  # ST185/80-13
        ("1725", "65", "35", "1200"),
        ("1760", "50", "35", "1430"),  # ST205/75-14
        ("1870", "50", "35", "1520"),  # ST215/75-14
        ("2150", "65", "50", "1820"),  # ST205/75-15
        ("2150", "65", "35", "1480"),
        ("2830", "80", "65", "2540"),  # ST225/75-15
        ("2830", "80", "50", "2150"),
        ("2830", "80", "35", "1760"),
        ("3420", "80", "65", "3000"),  # ST235/80-16
        ("3420", "80", "50", "2600"),
        ("3420", "80", "35", "2090"),
    ],
)
def test_scaling_agrees_with_the_tables_within_2_percent(
    most_lb: str, most_psi: str, psi: str, tabled: str
) -> None:
    found = load_at_pressure(Decimal(most_lb), Decimal(most_psi), Decimal(psi)).value
    assert abs(found / Decimal(tabled) - 1) < Decimal("0.02")


@pytest.mark.parametrize(
    ("most_lb", "most_psi", "load", "psi"),
    [
        # inverse of the same formula with logarithm tables: 34.8, 48.9, 52.02, 38.04 psi, rounded up
        ("1360", "50", "1100", 35),
        ("2540", "65", "2150", 49),
        ("2830", "80", "2200", 53),
        ("1760", "50", "1500", 39),
        ("1360", "50", "1360", 50),
        ("1360", "50", "300", 35),  # not under the lowest row of the tables
    ],
)
def test_pressure_for_a_load(most_lb: str, most_psi: str, load: str, psi: int) -> None:
    assert pressure_for_load(Decimal(most_lb), Decimal(most_psi), Decimal(load)).value == psi


def test_an_overload_is_refused_not_inflated_away() -> None:
    with pytest.raises(Impossible, match="more air does not raise its rating"):
        pressure_for_load(Decimal(1360), Decimal(50), Decimal(1400))
    with pytest.raises(Impossible, match="not a pressure for this tire"):
        load_at_pressure(Decimal(1360), Decimal(50), Decimal(60))


@pytest.mark.parametrize(
    ("most_lb", "most_psi", "psi"),
    [
        ("1360", "50", "9"),
        ("1360", "0", "0"),
        ("0", "50", "40"),
        ("1360", "140", "40"),
        ("-1360", "50", "40"),
    ],
)
def test_what_no_sidewall_says_is_refused(most_lb: str, most_psi: str, psi: str) -> None:
    with pytest.raises(Impossible):
        load_at_pressure(Decimal(most_lb), Decimal(most_psi), Decimal(psi))


ROWS = [(Decimal(35), Decimal(1480)), (Decimal(50), Decimal(1820)), (Decimal(65), Decimal(2150))]


@pytest.mark.parametrize(
    ("psi", "load"),
    [
        # 1,480 + 5/15 x 340, by hand; rows of a published table for ST205/75-15
        ("40", "1593.3"),
        ("35", "1480.0"),
        ("50", "1820.0"),
        ("65", "2150.0"),
    ],
)
def test_between_two_rows_in_a_straight_line(psi: str, load: str) -> None:
    assert round(load_between_rows(ROWS, Decimal(psi)).value, 1) == Decimal(load)


@pytest.mark.parametrize("psi", ["34", "66"])
def test_nothing_is_said_outside_a_table(psi: str) -> None:
    with pytest.raises(Impossible, match="outside the table"):
        load_between_rows(ROWS, Decimal(psi))


@pytest.mark.parametrize(
    ("psi", "set_at", "now", "reads"),
    [
        # gas law at constant volume with absolute temperature in degrees Rankine, by hand
        ("50", "70", "30", "45.11"),
        ("65", "68", "95", "69.08"),
        ("80", "60", "20", "72.71"),
        ("50", "70", "70", "50.00"),
    ],
)
def test_pressure_follows_the_temperature(psi: str, set_at: str, now: str, reads: str) -> None:
    assert round(pressure_at(Decimal(psi), Decimal(set_at), Decimal(now)).value, 2) == Decimal(reads)


@pytest.mark.parametrize(
    ("psi", "least", "most"),
    [
        # the driver's rule of 1 to 2 psi for 10 degrees Fahrenheit: common practice
        ("35", "0.9", "1.1"),
        ("50", "1.1", "1.3"),
        ("80", "1.7", "1.9"),
    ],
)
def test_ten_degrees_are_worth_one_to_two_psi(psi: str, least: str, most: str) -> None:
    gained = pressure_at(Decimal(psi), Decimal(70), Decimal(80)).value - Decimal(psi)
    assert Decimal(least) <= gained <= Decimal(most)


@pytest.mark.parametrize(
    ("psi", "set_at", "now"), [("-1", "70", "70"), ("50", "-61", "70"), ("50", "70", "201")]
)
def test_pressures_and_temperatures_of_no_tire_are_refused(psi: str, set_at: str, now: str) -> None:
    with pytest.raises(Impossible):
        pressure_at(Decimal(psi), Decimal(set_at), Decimal(now))


@pytest.mark.parametrize(
    ("psi", "grade"),
    [
        # under 80 % of the placard counts as run flat; within 3 psi is level: common practice
        ("39.9", Grade.NEEDS),
        ("40", Grade.NEEDS),
        ("46.9", Grade.NEEDS),
        ("47", Grade.SOUND),
        ("50", Grade.SOUND),
        ("65", Grade.SOUND),
        ("66", Grade.NEEDS),
        ("0", Grade.NEEDS),
    ],
)
def test_a_cold_pressure_is_judged(psi: str, grade: Grade) -> None:
    verdict = cold_pressure(Decimal(psi), Decimal(50), Decimal(65)).verdict
    assert verdict is not None
    assert verdict.grade == grade
    assert (verdict.by == By.TOWING) == (grade == Grade.NEEDS)


def test_a_tire_that_ran_low_is_looked_at_from_inside() -> None:
    verdict = cold_pressure(Decimal("39.9"), Decimal(50), Decimal(65)).verdict
    assert verdict is not None
    assert "inside" in verdict.says


@pytest.mark.parametrize(
    ("psi", "placard", "most"), [("151", "50", "65"), ("50", "66", "65"), ("-1", "50", "65")]
)
def test_pressures_that_cannot_be_are_refused(psi: str, placard: str, most: str) -> None:
    with pytest.raises(Impossible):
        cold_pressure(Decimal(psi), Decimal(placard), Decimal(most))


loads, pressures = st.integers(300, 4000).map(Decimal), st.integers(35, 110).map(Decimal)


@given(loads, pressures, st.integers(10, 110).map(Decimal), st.integers(10, 110).map(Decimal))
def test_more_air_carries_more_up_to_the_mark(
    most: Decimal, full: Decimal, one: Decimal, two: Decimal
) -> None:
    low, high = sorted((one, two))
    assume(high <= full)
    lower, higher = load_at_pressure(most, full, low).value, load_at_pressure(most, full, high).value
    assert lower <= higher <= most


@given(loads, pressures, st.integers(200, 4000).map(Decimal))
def test_the_pressure_found_carries_the_load(most: Decimal, full: Decimal, load: Decimal) -> None:
    assume(load <= most)
    psi = pressure_for_load(most, full, load).value
    assert psi <= full
    assert load_at_pressure(most, full, psi).value >= load - Decimal("1e-9")


@given(pressures, st.integers(-20, 120).map(Decimal), st.integers(-20, 120).map(Decimal))
def test_back_at_the_first_temperature_it_reads_the_same(psi: Decimal, one: Decimal, two: Decimal) -> None:
    there = pressure_at(psi, one, two).value
    assume(there <= 130)
    assert abs(pressure_at(there, two, one).value - psi) < Decimal("1e-9")


@given(st.integers(35, 65).map(Decimal))
def test_the_straight_line_lies_under_the_curve(psi: Decimal) -> None:
    # a chord of a curve that bends down lies under it: geometry
    curve = [
        (it, load_at_pressure(Decimal(2150), Decimal(65), it).value) for it in map(Decimal, (35, 50, 65))
    ]
    chord = load_between_rows(curve, psi).value
    exact = load_at_pressure(Decimal(2150), Decimal(65), psi).value
    assert chord <= exact + Decimal("1e-9")
    assert exact - chord < exact * Decimal("0.005")


@given(st.integers(0, 150).map(Decimal), st.integers(10, 80).map(Decimal), st.integers(0, 40).map(Decimal))
def test_only_a_pressure_near_the_placard_is_sound(psi: Decimal, placard: Decimal, room: Decimal) -> None:
    verdict = cold_pressure(psi, placard, placard + room).verdict
    assert verdict is not None
    near = placard * Decimal("0.8") <= psi and placard - 3 <= psi <= placard + room
    assert (verdict.grade == Grade.SOUND) == near

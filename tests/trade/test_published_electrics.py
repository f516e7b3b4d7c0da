"""Batteries, wire and lamps against the outside: BCI, Peukert, NEC, Ohm, the lamp table of the law."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.batteries import capacity_needed, charge_at, endurance
from app.trade.lamps import Body, lamps_required
from app.trade.quantity import Quantity
from app.trade.wiring import FUSE_MOST, Circuit, smallest_gauge, voltage_drop


def q(number: object, unit: str) -> Quantity:
    """A quantity."""
    return Quantity(str(number), unit)


# BCI: open circuit volts of a flooded battery at 80 °F
BCI = [("12.65", 100), ("12.45", 75), ("12.24", 50), ("12.06", 25)]


@pytest.mark.parametrize(("volts", "percent"), BCI)
def test_charge_of_the_council_s_table(volts: str, percent: int) -> None:
    assert charge_at(Decimal(volts)) == percent


@given(st.decimals("11", "13", places=2), st.decimals("0", "0.5", places=2))
def test_more_volts_are_never_less_charge(volts: Decimal, more: Decimal) -> None:
    assert 0 <= charge_at(volts) <= charge_at(volts + more) <= 100


# Peukert: t = H (C / (I H))^k with H = 20 h; in minutes, by hand
@pytest.mark.parametrize(
    ("amps", "rated", "exponent", "minutes"),
    [
        ("0.25", "5", "1.2", "1200"),  # its own 20 hour current: 20 h at any exponent
        ("0.25", "5", "1.4", "1200"),
        ("5", "5", "1", "60"),
        ("10", "5", "1", "30"),
        ("12", "5", "1.2", "11.5"),
        ("12", "7", "1.2", "17.3"),
        ("12", "9", "1.2", "23.3"),
        ("6", "5", "1.2", "26.5"),
        ("6", "7", "1.2", "39.6"),
    ],
)
def test_a_battery_lasts_by_peukert(amps: str, rated: str, exponent: str, minutes: str) -> None:
    found = endurance(Decimal(amps), Decimal(rated), Decimal(exponent))
    assert abs(found / Decimal(minutes) - 1) < Decimal("0.006")


@given(st.decimals("1", "30", places=1), st.decimals("1", "1.6", places=2))
def test_the_capacity_needed_lasts_fifteen_minutes(amps: Decimal, exponent: Decimal) -> None:
    found = endurance(amps, capacity_needed(amps, exponent), exponent)
    assert abs(found - 15) < Decimal("1e-9")  # 49 CFR 393.43(d)


# NEC 240.4(D) for 18 to 10 AWG (from memory)
@pytest.mark.parametrize(("gauge", "fuse"), [(14, 15), (12, 20), (10, 30)])
def test_a_fuse_of_the_code(gauge: int, fuse: int) -> None:
    assert FUSE_MOST[gauge] == fuse


@given(st.integers(1, 30), st.integers(3, 40), st.sampled_from([14, 12, 10, 8, 6]))
def test_a_drop_is_in_proportion_to_current_and_length(amps: int, feet: int, gauge: int) -> None:
    def lost(current: int, length: int) -> Decimal:
        return voltage_drop(Circuit(q(current, "A"), q(length, "ft"), q("12.6", "V")), gauge).value

    assert abs(lost(2 * amps, feet) - 2 * lost(amps, feet)) < Decimal("1e-12")
    assert abs(lost(amps, 3 * feet) - 3 * lost(amps, feet)) < Decimal("1e-12")


@given(st.integers(1, 25), st.integers(3, 30))
def test_the_gauge_chosen_keeps_the_drop_and_its_fuse(amps: int, feet: int) -> None:
    circuit = Circuit(q(amps, "A"), q(feet, "ft"), q("12.6", "V"))
    gauge = smallest_gauge(circuit, q(30, "A"), Decimal(3)).value
    assert circuit.percent(gauge) <= 3
    assert FUSE_MOST[gauge] >= 30


# 49 CFR 393.11 table 1, 571.108 table I-b: width in, length ft, what comes besides the nine of every trailer
LAMPS = """
60  8   3000  -
79  29  9900  -
80  12  3500  clearance identification
96  20  7000  clearance identification
102 29  9990  clearance identification
79  30  7000  intermediate
96  30  7000  clearance identification intermediate
102 40  14000 clearance identification intermediate
"""


@pytest.mark.parametrize("row", LAMPS.strip().splitlines())
def test_lamps_by_width_and_length(row: str) -> None:
    width, feet, rating, *besides = row.split()
    body = Body(q(width, "in"), q(feet, "ft"), q(rating, "lb"), date(2015, 6, 1), living=True)
    names = " ".join(lamp.name for lamp in lamps_required(body).value)
    for each in ("clearance", "identification", "intermediate"):
        assert (each in names) == (each in besides)

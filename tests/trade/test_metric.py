"""Readings in metric units give the same figure and the same grade as in those of the shop."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.brakes import Lining, lining_thickness
from app.trade.cargo import cargo_room
from app.trade.chains import chain_strength
from app.trade.coupling import level_coupled
from app.trade.cylinders import fill
from app.trade.figure import Verdict, Worked
from app.trade.gas_pipes import PIPES, pipe_capacity
from app.trade.propane import energy, vapour_pressure
from app.trade.quantity import Quantity
from app.trade.ratings import Compared, governing_rating
from app.trade.regulators import delivery
from app.trade.tongue import tongue_share
from app.trade.wiring import Circuit, voltage_drop

# exact by definition: 1 lb = 0.45359237 kg, 1 in = 25.4 mm, 1 ft = 0.3048 m
KG_PER_LB, MM_PER_IN, M_PER_FT = Decimal("0.45359237"), Decimal("25.4"), Decimal("0.3048")
NEAR = Decimal("1e-9")


def lb(pounds: Decimal | int) -> Quantity:
    return Quantity(f"{pounds}", "lb")


def kg(pounds: Decimal | int) -> Quantity:
    return Quantity(f"{pounds * KG_PER_LB:f}", "kg")


def graded(worked: Worked[object]) -> Verdict:
    assert worked.verdict is not None
    return worked.verdict


@given(tongue=st.integers(-500, 2000), gross=st.integers(4000, 9000))
def test_tongue_share(tongue: int, gross: int) -> None:
    shop, metric = tongue_share(lb(tongue), lb(gross)), tongue_share(kg(tongue), kg(gross))
    assert abs(shop.value - metric.value) < NEAR


@given(least=st.integers(0, 16))
def test_lining(least: int) -> None:
    shop = Quantity(str(least), "in_32nd")
    metric = Quantity(f"{least * MM_PER_IN / 32:f}", "mm")
    for kind in Lining:
        assert graded(lining_thickness(shop, kind)).grade is graded(lining_thickness(metric, kind)).grade


@given(rating=st.integers(1000, 9000), load=st.integers(0, 9000))
def test_ratings_are_not_moved_by_the_unit(rating: int, load: int) -> None:
    shop = governing_rating([Compared("GVWR", lb(rating), lb(load))])
    metric = governing_rating([Compared("GVWR", kg(rating), kg(load))])
    assert graded(shop).grade is graded(metric).grade


@given(st.lists(st.integers(1000, 9000), min_size=0, max_size=3), st.integers(1000, 9000))
def test_chains(strengths: list[int], rating: int) -> None:
    shop = chain_strength([lb(each) for each in strengths], lb(rating))
    metric = chain_strength([kg(each) for each in strengths], kg(rating))
    assert abs(shop.value - metric.value) < NEAR


@given(rating=st.integers(2000, 9000), empty=st.integers(1000, 9000), water=st.integers(0, 600))
def test_cargo_room(rating: int, empty: int, water: int) -> None:
    shop = cargo_room(lb(rating), lb(empty), [("water", lb(water))])
    metric = cargo_room(kg(rating), kg(empty), [("water", kg(water))])
    assert abs(shop.value - metric.value) < NEAR


@given(water=st.integers(20, 240), tare=st.integers(5, 80))
def test_fill(water: int, tare: int) -> None:
    shop, metric = fill(lb(water), lb(tare)), fill(kg(water), kg(tare))
    assert abs(shop.value - metric.value) < NEAR


@given(front=st.integers(10, 30), rear=st.integers(10, 30))
def test_level(front: int, rear: int) -> None:
    shop = level_coupled(Quantity(str(front), "in"), Quantity(str(rear), "in"), tandem=True)
    heights = (Quantity(f"{each * MM_PER_IN:f}", "mm") for each in (front, rear))
    metric = level_coupled(*heights, tandem=True)
    assert graded(shop).grade is graded(metric).grade


@given(amps=st.integers(1, 40), feet=st.integers(1, 60))
def test_voltage_drop(amps: int, feet: int) -> None:
    volts, current = Quantity("12.6", "V"), Quantity(str(amps), "A")
    shop = voltage_drop(Circuit(current, Quantity(str(feet), "ft"), volts), 10)
    metric = voltage_drop(Circuit(current, Quantity(f"{feet * M_PER_FT:f}", "m"), volts), 10)
    assert abs(shop.value - metric.value) < NEAR


@given(feet=st.integers(5, 80), pipe=st.sampled_from(PIPES))
def test_gas_pipe(feet: int, pipe: object) -> None:
    here = next(each for each in PIPES if each == pipe)
    shop = pipe_capacity(here, Quantity(str(feet), "ft"))
    metric = pipe_capacity(here, Quantity(f"{feet * M_PER_FT:f}", "m"))
    assert abs(shop.value / metric.value - 1) < NEAR


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [("-40", "-40"), ("-4", "-20"), ("32", "0"), ("50", "10"), ("68", "20"), ("104", "40")],
)
def test_pressure_of_propane(fahrenheit: str, celsius: str) -> None:
    shop = vapour_pressure(Quantity(fahrenheit, "degF"))
    metric = vapour_pressure(Quantity(celsius, "degC"))
    assert abs(shop.value - metric.value) < NEAR


@pytest.mark.parametrize(
    ("in_wc", "mbar"),
    # 1 in wc is 2.490889 mbar: NIST SP 811, appendix B.8
    [("11", "27.3998"), ("10.6", "26.4034"), ("12.5", "31.1361"), ("9.5", "23.6634")],
)
def test_regulator(in_wc: str, mbar: str) -> None:
    lock_up = Quantity("13", "in_wc")
    metric = Quantity(f"{Decimal(mbar) / 1000:f}", "bar")
    shop = graded(delivery(Quantity(in_wc, "in_wc"), lock_up))
    assert graded(delivery(metric, lock_up)).grade is shop.grade


def test_a_nine_kilogram_cylinder_is_a_twenty_pound_one() -> None:
    # 20 lb is 9.0718 kg
    assert abs(energy(Quantity("9.0718474", "kg")).value - energy(lb(20)).value) < Decimal("0.001")

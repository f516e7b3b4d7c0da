from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.propane import Burner, absolute_kpa, energy, load, run_time, vapour_pressure
from app.trade.quantity import Quantity


@pytest.mark.parametrize(
    ("fahrenheit", "psig"),
    [
        # pure propane at saturation by an equation-of-state library (CoolProp 8.0), one atmosphere taken off
        ("-40", "1.42"),
        ("-20", "10.73"),
        ("0", "23.69"),
        ("20", "41.14"),
        ("40", "63.94"),
        ("60", "93.02"),
        ("70", "110.21"),
        ("80", "129.34"),
        ("90", "150.53"),
        ("100", "173.92"),
        ("110", "199.64"),
        ("120", "227.85"),
    ],
)
def test_pressure_in_a_cylinder(fahrenheit: str, psig: str) -> None:
    assert abs(vapour_pressure(Quantity(fahrenheit, "degF")).value - Decimal(psig)) < Decimal("0.05")


@pytest.mark.parametrize(
    ("celsius", "bar"),
    # handbook table of refrigerant R-290 at saturation, bar absolute, from memory
    [("-40", "1.11"), ("-20", "2.44"), ("0", "4.74"), ("20", "8.36"), ("40", "13.69"), ("50", "17.13")],
)
def test_absolute_pressure_of_r_290(celsius: str, bar: str) -> None:
    found = absolute_kpa(Decimal(celsius) + Decimal("273.15")) / 100
    assert abs(found / Decimal(bar) - 1) < Decimal("0.003")


def test_it_boils_at_one_atmosphere_at_minus_44_f() -> None:
    # NFPA 58 annex B: boiling point -44 °F; 231.04 K in the NIST web book
    assert abs(vapour_pressure(Quantity("-43.8", "degF")).value) < Decimal("0.02")
    assert abs(absolute_kpa(Decimal("231.04")) - Decimal("101.325")) < Decimal("0.1")


def test_higher_up_the_gauge_reads_more() -> None:
    warm = Quantity("70", "degF")
    # about 83.4 kPa at 5,300 ft: standard atmosphere; the difference is 17.9 kPa or 2.6 psi
    more = vapour_pressure(warm, Decimal("83.4")).value - vapour_pressure(warm).value
    assert abs(more - Decimal("2.6")) < Decimal("0.01")


@pytest.mark.parametrize(
    ("pounds", "btu"),
    # 42 % of the water capacity × 21,548 Btu/lb (NFPA 58 annex B), by hand
    [("11.00", "237028"), ("19.99", "430745"), ("30.03", "647086"), ("39.98", "861489"), ("1", "21548")],
)
def test_heat_in_a_cylinder(pounds: str, btu: str) -> None:
    assert abs(energy(Quantity(pounds, "lb")).value - Decimal(btu)) < 1


def test_a_gallon_has_the_heat_of_the_table() -> None:
    # NFPA 58 annex B: 4.20 lb/gal liquid, 91,502 Btu/gal; the table's own rounding is 1 %
    assert abs(energy(Quantity("4.20", "lb")).value / 91502 - 1) < Decimal("0.012")


def test_run_time_of_two_thirty_pound_cylinders() -> None:
    burners = [
        Burner("furnace", Decimal(30000), Decimal("0.33")),
        Burner("water heater", Decimal(12000), Decimal("0.10")),
        Burner("refrigerator", Decimal(1500)),
        Burner("oven", Decimal(7100), Decimal("0.05")),
    ]
    # 9900 + 1200 + 1500 + 355 = 12,955 Btu/h; 60.06 × 21,548 ÷ 12,955 = 99.9 h, by hand
    assert load(burners) == 12955
    found = run_time(Quantity("60.06", "lb"), burners)
    assert found.value.quantize(Decimal("0.1")) == Decimal("99.9")
    assert len(found.inputs) == 5


def test_nothing_burning_has_no_time() -> None:
    for burners in ([], [Burner("oven", Decimal(7100), Decimal(0))]):
        with pytest.raises(Impossible, match="Nothing burns"):
            run_time(Quantity("20", "lb"), burners)


@pytest.mark.parametrize(("btu", "duty"), [("0", "1"), ("-5", "1"), ("100", "1.1"), ("100", "-0.1")])
def test_a_burner_that_cannot_be_is_refused(btu: str, duty: str) -> None:
    with pytest.raises(Impossible):
        Burner("range", Decimal(btu), Decimal(duty))


def test_weather_out_of_reach_is_refused() -> None:
    for degrees in ("-61", "161"):
        with pytest.raises(Impossible):
            vapour_pressure(Quantity(degrees, "degF"))


@given(cold=st.decimals("-60", "150", places=1), more=st.decimals("0.1", "10", places=1))
def test_warmer_is_more_pressure(cold: Decimal, more: Decimal) -> None:
    low, high = (
        vapour_pressure(Quantity(str(cold), "degF")),
        vapour_pressure(Quantity(str(cold + more), "degF")),
    )
    assert low.value < high.value


@given(pounds=st.integers(1, 100), btu=st.integers(500, 80000))
def test_hours_times_load_is_the_heat(pounds: int, btu: int) -> None:
    fuel = Quantity(str(pounds), "lb")
    hours = run_time(fuel, [Burner("furnace", Decimal(btu))]).value
    assert abs(hours * btu - energy(fuel).value) < Decimal("1e-9")

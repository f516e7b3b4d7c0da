from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.wiring import (
    FUSE_MOST,
    Circuit,
    circuit_drop,
    circular_mils,
    fuse_verdict,
    gauge_name,
    resistance_per_1000_ft,
    smallest_gauge,
    voltage_drop,
    wire_diameter,
)

GAUGES = sorted(FUSE_MOST, reverse=True)


def run(amps: str, feet: str, volts: str = "12.6", celsius: str = "75") -> Circuit:
    return Circuit(Quantity(amps, "A"), Quantity(feet, "ft"), Quantity(volts, "V"), Decimal(celsius))


@pytest.mark.parametrize(
    ("gauge", "diameter"),
    [
        # ASTM B258, in; 36 and 4/0 are the two that define the rest
        (36, "0.0050"),
        (18, "0.0403"),
        (16, "0.0508"),
        (14, "0.0641"),
        (12, "0.0808"),
        (10, "0.1019"),
        (8, "0.1285"),
        (6, "0.1620"),
        (4, "0.2043"),
        (2, "0.2576"),
        (0, "0.3249"),
        (-1, "0.3648"),
        (-3, "0.4600"),
    ],
)
def test_diameter(gauge: int, diameter: str) -> None:
    assert wire_diameter(gauge).quantize(Decimal("0.0001")) == Decimal(diameter)


@pytest.mark.parametrize(
    ("gauge", "mils", "solid", "stranded"),
    [
        # NEC chapter 9 table 8: circular mils, ohm per 1000 ft at 75 °C, uncoated copper
        (18, "1620", "7.77", "7.95"),
        (16, "2580", "4.89", "4.99"),
        (14, "4110", "3.07", "3.14"),
        (12, "6530", "1.93", "1.98"),
        (10, "10380", "1.21", "1.24"),
        (8, "16510", "0.764", "0.778"),
        (6, "26240", None, "0.491"),
        (4, "41740", None, "0.308"),
        (2, "66360", None, "0.194"),
        (0, "105600", None, "0.122"),
    ],
)
def test_area_and_resistance(gauge: int, mils: str, solid: str | None, stranded: str) -> None:
    assert abs(circular_mils(gauge) / Decimal(mils) - 1) < Decimal("0.003")
    assert abs(resistance_per_1000_ft(gauge) / Decimal(stranded) - 1) < Decimal("0.007")
    if solid:
        found = resistance_per_1000_ft(gauge, stranded=False)
        assert abs(found / Decimal(solid) - 1) < Decimal("0.005")


@pytest.mark.parametrize(
    ("gauge", "ohm"),
    # NBS Handbook 100, solid copper at 20 °C, ohm per 1000 ft
    [(18, "6.385"), (14, "2.525"), (12, "1.588"), (10, "0.9989"), (8, "0.6282"), (4, "0.2485")],
)
def test_resistance_at_20c(gauge: int, ohm: str) -> None:
    found = resistance_per_1000_ft(gauge, Decimal(20), stranded=False)
    assert abs(found / Decimal(ohm) - 1) < Decimal("0.001")


def test_a_circular_mil_foot_of_copper_has_10_371_ohm() -> None:
    # 10.371 ohm, 20 °C, 100 % IACS: NBS Handbook 100
    found = resistance_per_1000_ft(12, Decimal(20), stranded=False) * circular_mils(12) / 1000
    assert abs(found - Decimal("10.371")) < Decimal("0.002")


@pytest.mark.parametrize(
    ("gauge", "volts"),
    [
        # by hand from NEC table 8 stranded: 2 × 25 ft × ohm ÷ 1000 × 12 A
        (12, "1.188"),
        (10, "0.744"),
        (8, "0.467"),
        (6, "0.295"),
    ],
)
def test_drop_of_12_a_over_25_ft(gauge: int, volts: str) -> None:
    assert abs(voltage_drop(run("12", "25"), gauge).value - Decimal(volts)) < Decimal("0.009")


@pytest.mark.parametrize(
    ("gauge", "most", "grade"),
    [(8, "3", Grade.NEEDS), (6, "3", Grade.SOUND), (10, "10", Grade.SOUND), (12, "3", Grade.NEEDS)],
)
def test_grade_of_a_drop(gauge: int, most: str, grade: Grade) -> None:
    # ABYC E-11: at most 3 % for brakes, lamps and charging, 10 % for the rest; 12.6 V
    verdict = voltage_drop(run("12", "25"), gauge, Decimal(most)).verdict
    assert verdict is not None
    assert verdict.grade is grade


def test_smallest_wire_agrees_with_the_circular_mil_rule() -> None:
    # CM = 10.75 × I × round trip ÷ drop = 10.75 × 12 × 50 ÷ 0.36 = 17,917: over 8 AWG (16,510), so 6 AWG
    assert smallest_gauge(run("12", "25", "12"), Quantity("15", "A")).value == 6


def test_the_fuse_can_ask_for_a_thicker_wire_than_the_drop() -> None:
    # NEC 240.4(D): 14 AWG at most 15 A, 12 AWG at most 20 A
    short = run("5", "3")
    assert smallest_gauge(short, Quantity("7", "A")).value == 18
    assert smallest_gauge(short, Quantity("20", "A")).value == 12


@pytest.mark.parametrize(
    ("gauge", "fuse", "grade"),
    [
        (14, "15", Grade.SOUND),  # NEC 240.4(D)
        (14, "30", Grade.NEEDS),
        (12, "20", Grade.SOUND),
        (12, "25", Grade.NEEDS),
        (10, "30", Grade.SOUND),
        (18, "10", Grade.NEEDS),
        (8, "40", Grade.SOUND),  # table 310.16, 60 °C
    ],
)
def test_fuse(gauge: int, fuse: str, grade: Grade) -> None:
    verdict = fuse_verdict(gauge, Quantity(fuse, "A")).verdict
    assert verdict is not None
    assert verdict.grade is grade
    assert verdict.by is (By.USE if grade is Grade.NEEDS else None)


@pytest.mark.parametrize(
    ("plug", "lamp", "ground", "grade"),
    [
        ("12.4", "11.9", "0.1", Grade.SOUND),
        ("12.0", "10.8", "0.2", Grade.SOUND),  # 90 % and 0.2 V themselves: common practice
        ("12.0", "10.7", "0.1", Grade.NEEDS),
        ("12.4", "11.9", "0.3", Grade.NEEDS),
    ],
)
def test_volts_at_a_lamp(plug: str, lamp: str, ground: str, grade: Grade) -> None:
    verdict = circuit_drop(Quantity(plug, "V"), Quantity(lamp, "V"), Quantity(ground, "V")).verdict
    assert verdict is not None
    assert verdict.grade is grade


def test_gauges_are_named_as_printed_on_the_reel() -> None:
    assert [gauge_name(n) for n in (12, 0, -1, -3)] == ["12 AWG", "1/0 AWG", "2/0 AWG", "4/0 AWG"]


def test_what_cannot_be_is_refused() -> None:
    for amps, feet, volts in (("0", "5", "12"), ("5", "-1", "12"), ("5", "5", "0")):
        with pytest.raises(Impossible):
            run(amps, feet, volts)
    for gauge in (-4, 41):
        with pytest.raises(Impossible):
            wire_diameter(gauge)
    with pytest.raises(Impossible, match="serves"):
        smallest_gauge(run("100", "200"), Quantity("100", "A"))
    with pytest.raises(Impossible):
        fuse_verdict(13, Quantity("15", "A"))
    with pytest.raises(Impossible):
        resistance_per_1000_ft(12, Decimal(200))


@given(amps=st.integers(1, 30), feet=st.integers(1, 40), index=st.integers(1, len(GAUGES) - 1))
def test_thicker_wire_loses_less_and_twice_the_load_twice_as_much(amps: int, feet: int, index: int) -> None:
    one, double = run(str(amps), str(feet)), run(str(2 * amps), str(feet))
    assert one.drop(GAUGES[index]) < one.drop(GAUGES[index - 1])
    assert abs(double.drop(12) - 2 * one.drop(12)) < Decimal("1e-18")


@given(amps=st.integers(1, 20), feet=st.integers(1, 30))
def test_the_next_thinner_wire_would_not_serve(amps: int, feet: int) -> None:
    circuit, fuse = run(str(amps), str(feet)), Quantity(str(amps), "A")
    best = smallest_gauge(circuit, fuse).value
    assert circuit.percent(best) <= 3
    if best != 18:
        thinner = GAUGES[GAUGES.index(best) - 1]
        assert circuit.percent(thinner) > 3 or FUSE_MOST[thinner] < amps


def test_drop_prints_volts_percent_and_what_went_in() -> None:
    # NEC table 8, 8 AWG stranded: 0.778 ohm ÷ 1000 ft × 50 ft × 12 A = 0.467 V, 3.7 % of 12.6 V
    found = voltage_drop(run("12", "25"), 8)
    assert found.says.replace("\u00a0", " ") == "0.47 V, 3.7 %"
    assert found.limit == "at most 3 % of the source"
    shown = {each.name: each.says.replace("\u00a0", " ") for each in found.inputs}
    assert shown == {
        "current": "12 A",
        "one way": "25 ft",
        "source": "12.6 V",
        "wire at": "75 °C",
        "wire": "8 AWG",
    }
    assert found.verdict is not None
    assert found.verdict.says.replace("\u00a0", " ") == "3.7 % lost, over 3 %"


def test_smallest_wire_prints_its_name_and_the_fuse_it_bears() -> None:
    found = smallest_gauge(run("12", "25"), Quantity("15", "A"))
    assert found.says == "6 AWG"
    assert "fuse at most 55 A" in found.limit  # NEC table 310.16, 60 °C


def test_an_oversize_fuse_is_named_with_the_wire() -> None:
    verdict = fuse_verdict(14, Quantity("30", "A")).verdict
    assert verdict is not None
    assert verdict.says.replace("\u00a0", " ") == "30 A on a wire for 15 A: disconnect"


@pytest.mark.parametrize("celsius", ["-60", "0", "20", "75", "150"])
def test_resistance_is_a_straight_line_over_temperature(celsius: str) -> None:
    # 0.393 % of the 20 °C value a kelvin: NBS Handbook 100
    at_20, here = (resistance_per_1000_ft(10, Decimal(each)) for each in ("20", celsius))
    assert abs(here / at_20 - 1 - Decimal("0.00393") * (Decimal(celsius) - 20)) < Decimal("1e-20")


@given(gauge=st.integers(-3, 34))
def test_six_gauges_on_the_diameter_is_about_half(gauge: int) -> None:
    # ASTM B258: six steps are 92 ^ (6 ÷ 39) = 2.005
    assert abs(wire_diameter(gauge) / wire_diameter(gauge + 6) - Decimal("2.005")) < Decimal("0.001")

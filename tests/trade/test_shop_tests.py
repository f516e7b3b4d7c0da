"""Moisture, mains, charging, burners and water against the limits of law and trade."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.burners import carbon_monoxide, safety_valve
from app.trade.charging import Charging, battery_load, converter
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.mains import Live, Trip, bonding, live_test
from app.trade.moisture import moisture
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.water_tests import Held, sprayed, water_hold


def verdict(worked: Worked[Decimal]) -> Verdict:
    """The verdict of a figure that has one."""
    assert worked.verdict is not None
    return worked.verdict


def percent(*readings: str) -> dict[str, Quantity]:
    """Points by number."""
    return {f"point {n}": Quantity(each, "percent") for n, each in enumerate(readings, 1)}


@pytest.mark.parametrize(
    ("reading", "grade"),
    [
        ("18", Grade.SOUND),  # dry to 18 %: common practice
        ("18.5", Grade.WATCH),
        ("20", Grade.WATCH),
        ("20.1", Grade.NEEDS),
        ("28", Grade.NEEDS),  # near fibre saturation, about 30 %: Forest Products Laboratory report 2147
    ],
)
def test_the_wettest_point_decides(reading: str, grade: Grade) -> None:
    found = moisture(percent("12", reading, "9"))
    assert (verdict(found).grade, found.value) == (grade, Decimal(reading))
    assert "point 2" in found.says


@pytest.mark.parametrize(("reading", "grade"), [("15", Grade.SOUND), ("15.5", Grade.NEEDS)])
def test_wood_is_closed_over_at_15(reading: str, grade: Grade) -> None:
    assert verdict(moisture(percent(reading), to_close=True)).grade is grade  # 15 %: common practice


def test_saturated_wood_is_opened() -> None:
    assert "open it up" in verdict(moisture(percent("29"))).says


@pytest.mark.parametrize("readings", [(), ("-1",), ("101",)])
def test_moisture_that_cannot_be_is_refused(readings: tuple[str, ...]) -> None:
    with pytest.raises(Impossible):
        moisture(percent(*readings))


def ohms(*readings: str) -> dict[str, Quantity]:
    """Points by number."""
    return {f"point {n}": Quantity(each, "ohm") for n, each in enumerate(readings, 1)}


@pytest.mark.parametrize(("reading", "grade"), [("1", Grade.SOUND), ("1.1", Grade.NEEDS)])
def test_every_point_is_bonded_within_an_ohm(reading: str, grade: Grade) -> None:
    assert verdict(bonding(ohms("0.2", reading), neutral_apart=True)).grade is grade  # NEC 551.56; 1 ohm


def test_neutral_joined_to_ground_is_not_to_be_used() -> None:
    found = verdict(bonding(ohms("0.2"), neutral_apart=False))  # NEC 551: insulated neutral
    assert (found.grade, found.by) == (Grade.NEEDS, By.USE)


def test_no_ohms_at_all_are_refused() -> None:
    with pytest.raises(Impossible):
        bonding({}, neutral_apart=True)
    with pytest.raises(Impossible):
        bonding(ohms("-0.1"), neutral_apart=True)


def live(
    line: str = "118",
    skin: str = "0.5",
    right: int = 6,
    button: Trip = Trip.TRIPS,
    tester: Trip = Trip.TRIPS,
) -> Worked[Decimal]:
    """Live readings of six outlets."""
    return live_test(Live(Quantity(line, "V"), Quantity(skin, "V"), right, 6, button, tester))


@pytest.mark.parametrize(
    ("found", "grade"),
    [
        (live(), Grade.SOUND),
        (live(skin="2"), Grade.SOUND),  # 2 V to earth: common practice
        (live(skin="2.1"), Grade.NEEDS),
        (live(right=5), Grade.NEEDS),
        (live(button=Trip.STAYS), Grade.NEEDS),  # NEC 551.40: ground-fault protection
        (live(tester=Trip.STAYS), Grade.NEEDS),
        (live(button=Trip.NONE, tester=Trip.NONE), Grade.SOUND),
        (live(line="100"), Grade.SOUND),
        (live(line="131"), Grade.NEEDS),
        (live(line="99"), Grade.NEEDS),
    ],
)
def test_live_readings_are_held_against_their_limits(found: Worked[Decimal], grade: Grade) -> None:
    assert verdict(found).grade is grade
    assert (verdict(found).by is By.USE) is (grade is Grade.NEEDS)
    assert "qualified person" in found.caution


def test_a_live_skin_is_unplugged_first() -> None:
    assert "unplug it now" in verdict(live(skin="60", right=2)).says


@pytest.mark.parametrize(("right", "outlets"), [(7, 6), (-1, 6), (0, 0)])
def test_outlets_that_are_not_there_cannot_be_right(right: int, outlets: int) -> None:
    with pytest.raises(Impossible):
        Live(Quantity("118", "V"), Quantity("0", "V"), right, outlets, Trip.NONE, Trip.NONE)


@pytest.mark.parametrize(("volts", "grade"), [("10.5", Grade.SOUND), ("10.4", Grade.NEEDS)])
def test_a_battery_holds_under_load(volts: str, grade: Grade) -> None:
    assert verdict(battery_load(Quantity(volts, "V"))).grade is grade  # 20 A for 5 min: common practice


def charging(idle: str, loaded: str, ripple: str = "0.1") -> Worked[Decimal]:
    """A converter's readings."""
    return converter(Charging(Quantity(idle, "V"), Quantity(loaded, "V"), Quantity(ripple, "V")))


@pytest.mark.parametrize(
    ("found", "grade", "by"),
    [
        # 13.2 to 14.4 V idle, at least 13.0 V loaded, at most 15.0 V, ripple 0.5 V: common practice.
        (charging("13.6", "13.2"), Grade.SOUND, None),
        (charging("13.6", "12.9"), Grade.NEEDS, By.SOON),
        (charging("14.8", "13.4"), Grade.WATCH, None),
        (charging("15.2", "13.4"), Grade.NEEDS, By.SOON),
        (charging("15.6", "13.4"), Grade.NEEDS, By.USE),
        (charging("13.6", "13.2", "0.6"), Grade.NEEDS, By.SOON),
    ],
)
def test_a_converter_is_held_against_its_limits(found: Worked[Decimal], grade: Grade, by: By | None) -> None:
    assert (verdict(found).grade, verdict(found).by) == (grade, by)


def test_no_volts_are_no_reading() -> None:
    with pytest.raises(Impossible):
        charging("0", "13")
    with pytest.raises(Impossible):
        charging("13.6", "13.2", "-1")


@pytest.mark.parametrize(("seconds", "grade"), [("90", Grade.SOUND), ("91", Grade.NEEDS), ("0", Grade.SOUND)])
def test_a_safety_valve_shuts_within_90_seconds(seconds: str, grade: Grade) -> None:
    found = safety_valve(Quantity(seconds, "s"))  # 90 s: ANSI Z21, from memory
    assert (verdict(found).grade, found.value) == (grade, 90 - Decimal(seconds))


@pytest.mark.parametrize(
    ("inside", "outside", "grade"),
    [("9", "0", Grade.SOUND), ("10", "0", Grade.NEEDS), ("11", "2", Grade.SOUND)],  # 9 ppm over outside
)
def test_carbon_monoxide_counts_over_outside(inside: str, outside: str, grade: Grade) -> None:
    assert verdict(carbon_monoxide(Quantity(inside, "ppm"), Quantity(outside, "ppm"))).grade is grade


@pytest.mark.parametrize(
    ("inside", "outside", "grade"),
    [
        ("9", "9", Grade.SOUND),  # 40 CFR 50.8(a)(1): clean outdoor air is at most 9 ppm over 8 hours
        ("0", "9", Grade.SOUND),
        ("0", "9.1", Grade.UNSEEN),
        ("2", "30", Grade.UNSEEN),  # swapped, or read beside an exhaust: neither shows the appliance sound
        ("38", "30", Grade.UNSEEN),  # 8 over it, and nobody should breathe 38
        ("40", "30", Grade.NEEDS),  # 10 over it, whatever is outside
    ],
)
def test_foul_air_outside_is_nothing_to_compare_with(inside: str, outside: str, grade: Grade) -> None:
    found = carbon_monoxide(Quantity(inside, "ppm"), Quantity(outside, "ppm"))
    assert verdict(found).grade is grade
    assert found.value == Decimal(inside) - Decimal(outside)
    assert "40 CFR" in str(found.source)


@given(st.integers(0, 2000), st.integers(0, 2000))
def test_readings_taken_for_one_another_never_hide_more_than_9_ppm(inside: int, outside: int) -> None:
    swapped = verdict(carbon_monoxide(Quantity(str(outside), "ppm"), Quantity(str(inside), "ppm")))
    assert (swapped.grade is Grade.SOUND) <= (inside - outside <= 9)


def hold(start: str, end: str, minutes: str = "15") -> Worked[Decimal]:
    """A shut water system."""
    return water_hold(Held(Quantity(start, "psi"), Quantity(end, "psi"), Quantity(minutes, "min")))


@pytest.mark.parametrize(
    ("found", "grade"),
    [
        # 40 psi for 15 min, at most 5 psi lost: common practice.
        (hold("40", "35"), Grade.SOUND),
        (hold("40", "34.9"), Grade.NEEDS),
        (hold("40", "40", "14"), Grade.UNSEEN),
        (hold("20", "20"), Grade.UNSEEN),
        (hold("40", "41"), Grade.UNSEEN),
        (hold("40", "30", "2"), Grade.NEEDS),  # a leak is a leak before the time is up
    ],
)
def test_water_is_held(found: Worked[Decimal], grade: Grade) -> None:
    assert verdict(found).grade is grade


def test_bar_is_taken() -> None:
    held = Held(Quantity("2.8", "bar"), Quantity("2.7", "bar"), Quantity("15", "min"))
    assert round(water_hold(held).value, 2) == Decimal("1.45")  # 0.1 bar = 1.450 psi (NIST SP 811)


@pytest.mark.parametrize(("minutes", "grade"), [("15", Grade.SOUND), ("14", Grade.UNSEEN)])
def test_a_short_spray_proves_nothing(minutes: str, grade: Grade) -> None:
    assert verdict(sprayed(Quantity(minutes, "min"), Decimal(15))).grade is grade

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.magnets import (
    MAGNETS,
    Fault,
    Reading,
    expected_current,
    magnet_current,
    magnet_resistance,
    series_resistance,
    steps_that_fit,
)
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def reading(drum: str, count: int, volts: str, amps: str) -> Reading:
    return Reading(MAGNETS[drum], count, Quantity(volts, "V"), Quantity(amps, "A"))


@pytest.mark.parametrize(
    ("drum", "count", "low", "high"),
    [
        # The trade's current lists at 12 to 13 V, common practice: 10 and 12 in drums ...
        ("10", 2, "7.5", "8.2"),
        ("12", 2, "7.5", "8.2"),
        ("10", 4, "15.0", "16.3"),
        ("12", 4, "15.0", "16.3"),
        ("10", 6, "22.6", "24.5"),
        ("12", 6, "22.6", "24.5"),
        # ... and 7 in drums
        ("7", 2, "6.3", "6.8"),
        ("7", 4, "12.6", "13.7"),
        ("7", 6, "19.0", "20.6"),
    ],
)
def test_greatest_current_is_the_maximum_of_the_trade_lists_at_12_and_13_v(
    drum: str, count: int, low: str, high: str
) -> None:
    at_12 = expected_current(MAGNETS[drum], count, Quantity("12", "V")).value.most
    at_13 = expected_current(MAGNETS[drum], count, Quantity("13", "V")).value.most
    assert abs(at_12 - Decimal(low)) < Decimal("0.15")
    assert abs(at_13 - Decimal(high)) < Decimal("0.15")


def test_four_ten_inch_magnets_at_12_6_v_by_ohms_law() -> None:
    # 4 × 12.6 ÷ 3.5 = 14.4 and 4 × 12.6 ÷ 3.2 = 15.75, by hand
    found = expected_current(MAGNETS["10"], 4, Quantity("12.6", "V"))
    assert (found.value.least, found.value.most) == (Decimal("14.4"), Decimal("15.75"))
    assert found.says.replace("\u00a0", " ") == "14.4 to 15.8 A"
    assert "qualified person" in found.caution


@pytest.mark.parametrize(
    ("amps", "fault"),
    [
        ("15", Fault.NONE),  # inside 14.4 to 15.75
        ("12.96", Fault.NONE),  # 0.9 × 14.4, the end of the band
        ("17.32", Fault.NONE),  # under 1.1 × 15.75 = 17.325
        ("17.4", Fault.SHORT),
        ("11.6", Fault.OPEN),  # three magnets draw 10.8 to 11.8
        ("7.5", Fault.OPEN),  # two draw 7.2 to 7.9
        ("9.5", Fault.GROUND),  # on no step
        ("0.1", Fault.DEAD),
        ("0", Fault.DEAD),
    ],
)
def test_what_four_magnets_at_12_6_v_say(amps: str, fault: Fault) -> None:
    # Common practice: a tenth either way of n·V/R; steps of one magnet; under 0.2 A no feed
    assert magnet_current(reading("10", 4, "12.6", amps)).value is fault


def test_one_open_magnet_is_named_with_the_number_that_draws() -> None:
    assert steps_that_fit(reading("10", 4, "12.6", "11.6")) == (3,)
    verdict = magnet_current(reading("10", 4, "12.6", "11.6")).verdict
    assert verdict is not None
    assert "3 of 4" in verdict.says


def test_steps_of_six_overlap_and_all_are_listed() -> None:
    # five draw 18.0 to 19.7, four 14.4 to 15.8 A at 12.6 V; a tenth either way both hold 16.5
    assert steps_that_fit(reading("10", 6, "12.6", "16.5")) == (5, 4)


def test_poor_ground_is_given_in_ohm() -> None:
    # 12.6 ÷ 9.5 − 3.35 ÷ 4 = 1.3263 − 0.8375 = 0.4888, by hand
    assert series_resistance(reading("10", 4, "12.6", "9.5")).quantize(Decimal("0.0001")) == Decimal("0.4888")


@pytest.mark.parametrize(
    ("amps", "required", "grade", "by"),
    [
        ("15", True, Grade.SOUND, None),
        ("11.6", True, Grade.DNT, None),  # 49 CFR 393.48(a): every brake fitted works
        ("11.6", False, Grade.NEEDS, By.TOWING),
        ("0", True, Grade.DNT, None),
        ("17.5", True, Grade.NEEDS, By.SOON),  # over the band, under 120 % of 15.75 = 18.9: 570.58(a)
        ("19", True, Grade.DNT, None),  # over 120 %
        ("9.5", True, Grade.DNT, None),  # under 70 % of 15.75 = 11.0
        ("9.5", False, Grade.NEEDS, By.TOWING),
    ],
)
def test_grade_of_a_current(amps: str, required: bool, grade: Grade, by: By | None) -> None:
    verdict = magnet_current(reading("10", 4, "12.6", amps), required=required).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


@pytest.mark.parametrize(
    ("ohms", "grade"),
    [
        (["3.2", "3.5"], Grade.SOUND),  # common practice: 3.2 to 3.5 ohm for 10 and 12 in
        (["3.3", "1.1"], Grade.DNT),  # shorted turns
        (["3.3", "0"], Grade.DNT),
        (["3.3", "9"], Grade.NEEDS),  # open or corroded: the pair
    ],
)
def test_grade_of_resistances(ohms: list[str], grade: Grade) -> None:
    found = magnet_resistance(MAGNETS["10"], [Quantity(ohm, "ohm") for ohm in ohms])
    assert found.verdict is not None
    assert found.verdict.grade is grade


def test_what_cannot_be_is_refused() -> None:
    for drum_count_volts_amps in (("10", 0, "12", "1"), ("10", 4, "0", "1"), ("10", 4, "24", "1")):
        with pytest.raises(Impossible):
            reading(*drum_count_volts_amps)
    with pytest.raises(Impossible, match="cannot be"):
        reading("10", 2, "12", "-1")
    with pytest.raises(Impossible):
        magnet_resistance(MAGNETS["10"], [])


@given(
    count=st.integers(1, 6),
    volts=st.decimals("9", "15", places=1),
    drum=st.sampled_from(sorted(MAGNETS)),
)
def test_current_of_k_magnets_fits_step_k(count: int, volts: Decimal, drum: str) -> None:
    magnet = MAGNETS[drum]
    for drawing in range(1, count + 1):
        amps = (volts / magnet.middle_ohm * drawing).quantize(Decimal("0.01"))
        here = reading(drum, count, str(volts), str(amps))
        assert here.together.holds(amps) if drawing == count else drawing in steps_that_fit(here)


@given(count=st.integers(1, 6), extra=st.decimals("0.05", "2", places=2))
def test_series_resistance_put_in_is_found_again(count: int, extra: Decimal) -> None:
    amps = Decimal(12) / (extra + MAGNETS["12"].middle_ohm / count)
    here = reading("12", count, "12", str(amps.quantize(Decimal("0.0000001"))))
    assert abs(series_resistance(here) - extra) < Decimal("0.0001")


@pytest.mark.parametrize(
    ("amps", "says"),
    [
        # Ohm's law by hand for four magnets at 12.6 V: 14.4 to 15.75 A, and 0.49 ohm too much
        ("15", "15 A is inside 14.4 to 15.8 A"),
        ("11.6", "11.6 A is what 3 of 4 magnets draw: measure each wheel"),
        ("9.5", "9.5 A is under 14.4 to 15.8 A: about 0.49 ohm in feed or ground"),
        ("19", "19 A is over 14.4 to 15.8 A: unplug before tracing"),
        ("0.1", "0.1 A is no current: open feed, open ground or dead controller"),
    ],
)
def test_the_verdict_says_what_to_look_for(amps: str, says: str) -> None:
    verdict = magnet_current(reading("10", 4, "12.6", amps)).verdict
    assert verdict is not None
    assert verdict.says.replace("\u00a0", " ") == says


@pytest.mark.parametrize(
    ("amps", "fault"),
    [
        # one 10 in magnet at 12 V draws 3.43 to 3.75 A, by hand; there is no smaller step
        ("0.19", Fault.DEAD),
        ("0.2", Fault.GROUND),  # common practice: under 0.2 A nothing is connected
        ("2.9", Fault.GROUND),
        ("3.5", Fault.NONE),
        ("4.2", Fault.SHORT),
    ],
)
def test_one_magnet_alone(amps: str, fault: Fault) -> None:
    assert magnet_current(reading("10", 1, "12", amps)).value is fault


@pytest.mark.parametrize(
    ("ohm", "grade"),
    [
        # common practice: 3.2 to 3.5 ohm, a tenth allowed either way, so 2.88 to 3.85
        ("2.87", Grade.DNT),
        ("2.88", Grade.SOUND),
        ("3.85", Grade.SOUND),
        ("3.86", Grade.NEEDS),
    ],
)
def test_ends_of_the_resistance_band(ohm: str, grade: Grade) -> None:
    found = magnet_resistance(MAGNETS["12"], [Quantity(ohm, "ohm")])
    assert found.verdict is not None
    assert found.verdict.grade is grade


def test_a_bad_magnet_is_named_by_its_number() -> None:
    found = magnet_resistance(MAGNETS["10"], [Quantity(each, "ohm") for each in ("3.3", "1", "3.3", "0.5")])
    assert found.verdict is not None
    assert found.verdict.says == "magnets 2, 4 read low, a shorted coil"
    assert [each.name for each in found.inputs] == ["magnet 1", "magnet 2", "magnet 3", "magnet 4"]


@pytest.mark.parametrize(("ohm", "says"), [("0.9", "the magnet reads low"), ("5", "the magnet reads high")])
def test_a_magnet_that_was_measured_alone_has_no_number(ohm: str, says: str) -> None:
    found = magnet_resistance(MAGNETS["10"], [Quantity(ohm, "ohm")])
    assert found.verdict is not None
    assert found.verdict.says.startswith(says)


def test_a_12_v_system_reaches_to_18_v_and_no_axle_has_13_magnets() -> None:
    assert reading("10", 12, "18", "1").count == 12
    for count, volts in ((13, "12"), (4, "18.1")):
        with pytest.raises(Impossible):
            reading("10", count, volts, "1")


def test_the_figure_shows_all_that_went_in() -> None:
    found = magnet_current(reading("7", 2, "12.6", "6.4"))
    shown = {each.name: each.says.replace("\u00a0", " ") for each in found.inputs}
    assert shown == {
        "magnets": "2",
        "volts at the same point": "12.6 V",
        "resistance of one magnet, cold": "3.8 to 4.0 ohm",  # common practice for 7 in drums
        "current measured": "6.4 A",
    }
    assert str(found.source) == "49 CFR 570.58(a)"

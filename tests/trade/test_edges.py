"""A limit met exactly is met in every unit, and no verdict contradicts the figures that stand beside it.

Conversions: 1 in wc = 249.0889 Pa, 1 psi = 6.894757 kPa, 1 ft = 0.3048 m, 1 in = 25.4 mm,
1 lb = 0.45359237 kg (NIST SP 811, appendix B.8).
"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.bearings import HEAVY, LIGHT, end_play_verdict
from app.trade.brakes import Lining, drum_diameter, lining_thickness, pad_thickness, rotor_thickness
from app.trade.coupling import level_coupled
from app.trade.figure import Grade, Worked
from app.trade.gas_tests import APPLIANCES_ON, LEAK_CHECK, HoldTest, Timed, leak_test
from app.trade.quantity import Quantity, convert
from app.trade.ratings import Compared, governing_rating
from app.trade.regulators import delivery
from app.trade.runout import Where, runout_verdict
from app.trade.stops import Combination, hub_heat, stop_from_20
from app.trade.tire_load import Fitted, capacity_against_gawr
from app.trade.tire_pressure import cold_pressure
from app.trade.tire_wear import least_tread
from app.trade.tongue import tongue_share
from app.trade.water_tests import Held, water_hold


def q(typed: str, unit: str) -> Quantity:
    return Quantity(typed, unit)


def grade(worked: Worked[object]) -> Grade:
    assert worked.verdict is not None
    return worked.verdict.grade


@pytest.mark.parametrize(
    ("typed", "unit", "limit", "of", "under", "over"),
    [
        ("2.74", "kPa", "11", "in_wc", False, False),  # 2.73998 kPa
        ("2.740", "kPa", "11", "in_wc", False, False),
        ("2.73", "kPa", "11", "in_wc", True, False),
        ("2.75", "kPa", "11", "in_wc", False, True),
        ("2.7", "kPa", "11", "in_wc", True, False),  # 10.84 in wc: rounded too far to be the limit
        ("3", "kPa", "11", "in_wc", False, True),  # 12.04
        ("345", "kPa", "50", "psi", False, False),  # 344.74
        ("149", "N_m", "110", "lbf_ft", False, False),  # 149.14
        ("150", "N_m", "110", "lbf_ft", False, True),
        ("12.2", "m", "40", "ft", False, False),  # 12.192
        ("1.59", "mm", "2", "in_32nd", False, False),  # 1.5875
        ("1.58", "mm", "2", "in_32nd", True, False),
        ("0.062", "in", "2", "in_32nd", True, False),  # 1/16 in is 0.0625: half a percent is 0.0003
        ("1/16", "in", "2", "in_32nd", False, False),
        ("93.3", "degC", "200", "degF", False, False),  # 93.33
        ("11.04", "in_wc", "11", "in_wc", False, True),  # in the limit's own unit every digit counts
        ("10.999999", "in_wc", "11", "in_wc", True, False),
        ("0", "kPa", "0", "in_wc", False, False),
        ("-0.1", "mm", "0", "in", True, False),
    ],
)
def test_what_reads_as_the_limit_is_neither_under_nor_over_it(
    typed: str, unit: str, limit: str, of: str, under: bool, over: bool
) -> None:
    reading, end = q(typed, unit), Decimal(limit)
    assert (reading.under(end, of), reading.over(end, of)) == (under, over)


@given(
    st.integers(1, 9999), st.integers(2, 4), st.sampled_from([("in_wc", "kPa"), ("in", "mm"), ("ft", "m")])
)
def test_a_limit_rounded_to_half_a_percent_is_met(number: int, places: int, units: tuple[str, str]) -> None:
    limit = Decimal(number) / 10
    there = convert(limit, *units)
    typed = f"{there:.{places}f}"
    near = abs(Decimal(typed) - there) <= there / 200
    reading = Quantity(typed, units[1])
    assert (reading.under(limit, units[0]) or reading.over(limit, units[0])) is not near
    far = Quantity(f"{there * Decimal('1.02'):.6f}", units[1])
    assert far.over(limit, units[0])
    assert not far.under(limit, units[0])


def test_the_longest_numbers_are_held_against_a_limit_too() -> None:
    assert q("0." + "0" * 29 + "1", "kPa").under(Decimal(11), "in_wc")
    assert q("9" * 32, "kPa").over(Decimal(11), "in_wc")
    assert q("1/3", "in").under(Decimal(11), "in_32nd")


def gas(start: Quantity, test: HoldTest) -> Worked[object]:
    warm = q("68", "degF")
    return leak_test(Timed(start, start, q("10", "min"), warm, warm), test)


def pressure(read: Quantity) -> Worked[object]:
    return cold_pressure(read.to("psi"), Decimal(50), Decimal(50))


# what limits, its source, the figure of a reading, the reading at the limit, and the next one beyond it
EDGES: list[tuple[str, str, Callable[[Quantity], Worked[object]], str, str, str]] = [
    ("lock-up", "NFPA 58: 14 in wc", lambda it: delivery(q("11", "in_wc"), it), "kPa", "3.49", "3.50"),
    ("leak check", "NFPA 54 annex C: 9.5 in wc", lambda it: gas(it, LEAK_CHECK), "kPa", "2.37", "2.38"),
    ("air", "WAC 296-150C-1460: 14 in wc", lambda it: gas(it, APPLIANCES_ON), "kPa", "3.49", "3.50"),
    ("bead", "common practice: 0.045 in", lambda it: runout(it), "mm", "1.143", "1.15"),
    ("heavy hub", "TMC RP 618: 0.005 in", lambda it: end_play_verdict(it, HEAVY), "mm", "0.127", "0.128"),
    ("light hub", "common practice: 0.010 in", lambda it: end_play_verdict(it, LIGHT), "mm", "0.254", "0.26"),
    ("stop", "49 CFR 393.52(d): 40 ft", lambda it: stop(it), "m", "12.2", "12.3"),
    ("drum", "49 CFR 570.59(b): as cast", lambda it: drum(it), "mm", "256.29", "256.31"),
    ("rotor", "49 CFR 570.59(b): as marked", lambda it: rotor(it), "in", "0.3937", "0.393"),
    ("pad", "49 CFR 570.59(c): 1/16 in", lambda it: pad_thickness(it, BONDED), "mm", "1.59", "1.58"),
    ("lining", "49 CFR 570.59(c): 1/16 in", lambda it: lining_thickness(it, BONDED), "mm", "1.59", "1.58"),
    ("tread", "49 CFR 570.9(a): 2/32 in", lambda it: least_tread([it]), "mm", "1.59", "1.58"),
    ("hub", "common practice: 200 °F", lambda it: hubs(it), "degC", "93.3", "94"),
    ("water", "common practice: 5 psi", lambda it: water(it), "kPa", "265.5", "264"),
    ("coupled", "common practice: 1 in nose up", lambda it: nose(it), "mm", "525.4", "526"),
    ("rating", "49 CFR 571.3: GVWR", lambda it: governing_rating([rated(it)]), "kg", "3175.2", "3176"),
    ("tire", "49 CFR 571.110: the placard", pressure, "kPa", "345", "352"),
]
BONDED = Lining.BONDED


def runout(read: Quantity) -> Worked[object]:
    return runout_verdict(Where.STEEL_BEAD, read.value, read.unit)


def stop(read: Quantity) -> Worked[object]:
    return stop_from_20(read, q("20", "mph"), Combination.OTHER)


def drum(read: Quantity) -> Worked[object]:
    return drum_diameter([read, q("10.088", "in")], q("10.090", "in"))


def rotor(read: Quantity) -> Worked[object]:
    return rotor_thickness(read, q("10", "mm"))


def hubs(read: Quantity) -> Worked[object]:
    return hub_heat({"left": read, "right": q("80", "degC")})


def water(read: Quantity) -> Worked[object]:
    return water_hold(Held(q("300", "kPa"), read, q("15", "min")))


def nose(read: Quantity) -> Worked[object]:
    return level_coupled(read, q("500", "mm"), tandem=True)


def rated(read: Quantity) -> Compared:
    return Compared("GVWR", q("7000", "lb"), read)


HEAVIER = (Grade.SOUND, Grade.WATCH, Grade.UNSEEN, Grade.NEEDS, Grade.DNT)


@pytest.mark.parametrize("case", EDGES, ids=lambda case: f"{case[0]}, {case[1]}")
def test_a_limit_met_in_another_unit_is_met(
    case: tuple[str, str, Callable[[Quantity], Worked[object]], str, str, str],
) -> None:
    _, _, figure, unit, at, beyond = case
    met, passed = (HEAVIER.index(grade(figure(q(typed, unit)))) for typed in (at, beyond))
    assert met < passed


def test_tires_that_carry_the_rating_to_the_pound_carry_it() -> None:
    # 49 CFR 571.120 S5.1.2: at least the GAWR; 1,588 kg are 3,500.9 lb, and 1,587.6 kg are 3,500.06
    load = Fitted(Decimal(1750), passenger=False)
    short = {
        kg: grade(capacity_against_gawr([load, load], convert(Decimal(kg), "kg", "lb")))
        for kg in ("1587.6", "1588")
    }
    assert short == {"1587.6": Grade.WATCH, "1588": Grade.DNT}


def test_a_pressure_of_one_plate_in_kilopascal_is_that_of_the_other_in_psi() -> None:
    # 345 kPa are 50.04 psi: a placard of 345 kPa is not over a tire's 50 psi
    placard = q("345", "kPa").to("psi")
    found = cold_pressure(Decimal(50), placard, Decimal(50))
    assert (grade(found), found.limit) == (Grade.SOUND, "50 to 50 psi")


def test_a_share_that_is_not_the_limit_does_not_read_like_it() -> None:
    found = tongue_share(q("599", "lb"), q("6000", "lb")).verdict  # 9.983 %
    assert found is not None
    assert found.says.startswith("9.98\xa0%, outside")
    inside = tongue_share(q("600", "lb"), q("6000", "lb")).verdict
    assert inside is not None
    assert inside.says.startswith("10.0\xa0%, inside")

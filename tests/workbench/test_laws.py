"""Laws that figures keep whatever is typed: mechanics, gas, money and the calendar, in plain fractions.

The reference of each is worked out here from the law itself, with nothing of ours, and what is typed goes
through the form's own texts.
"""

from collections.abc import Mapping
from datetime import date, timedelta
from fractions import Fraction
from math import cos, radians
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.figure import Grade
from app.trade.money import Money
from tests.workbench.asking import asked, refused

FEW = settings(deadline=None, max_examples=60)
LB = st.integers(100, 9000)


def typed(number: Fraction) -> str:
    """A number of finite decimals as a person types it."""
    return f"{float(number):.4f}".rstrip("0").rstrip(".")


def value(key: str, changed: Mapping[str, str], which: int = 0) -> Any:  # noqa: ANN401 - each figure has its own
    """The value of a figure as worked out of its form."""
    return asked(key, changed)[which].value


def close(found: object, exact: Fraction, within: float = 1e-9) -> bool:
    """Whether a figure is a fraction, but for the digits that a decimal leaves off."""
    return abs(float(str(found)) - float(exact)) <= within * max(1.0, abs(float(exact)))


# 49 CFR 565.15(c): values of letters, weights of places, the rest of a division by 11; X is ten

LETTERS = {
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    **{"P": 7, "R": 9},
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
    **{str(n): n for n in range(10)},
}
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"  # table VII: no I, O, Q, U, Z and no zero


def with_check_digit(number: str) -> str:
    rest = sum(LETTERS[sign] * weight for sign, weight in zip(number, WEIGHTS, strict=True)) % 11
    return f"{number[:8]}{'X' if rest == 10 else rest}{number[9:]}"


NUMBERS = st.tuples(
    st.text("".join(LETTERS), min_size=9, max_size=9),
    st.sampled_from(YEARS),
    st.text("".join(LETTERS), min_size=1, max_size=1),
    st.text("0123456789", min_size=6, max_size=6),
).map("".join)


@FEW
@given(NUMBERS)
def test_a_number_with_its_check_digit_is_right(number: str) -> None:
    right = with_check_digit(number)
    found = asked("vin", {"number": right, "confirm-number": right})
    assert found[0].value == right[8]


@FEW
@given(NUMBERS, st.integers(0, 16), st.sampled_from(sorted(LETTERS)))
def test_one_sign_read_wrong_does_not_pass_unseen_where_it_counts_otherwise(
    number: str, place: int, sign: str
) -> None:
    right = with_check_digit(number)
    wrong = f"{right[:place]}{sign}{right[place + 1 :]}"
    differs = (LETTERS[sign] - LETTERS[right[place]]) * WEIGHTS[place] % 11 != 0
    counts = place != 8 and differs and not (place == 9 and sign not in YEARS)
    if counts and not refused("vin", {"number": wrong}):
        assert value("vin", {"number": wrong}) != wrong[8]


# ISO 4000-1: overall diameter = rim x 25.4 + 2 x section x aspect


@pytest.mark.parametrize("section", [145, 175, 185, 205, 215, 225, 235])
@pytest.mark.parametrize("aspect", [75, 80])
@pytest.mark.parametrize("rim", [12, 13, 14, 15, 16])
def test_a_tire_is_as_tall_as_its_rim_and_two_walls(section: int, aspect: int, rim: int) -> None:
    exact = Fraction(rim * 254, 10) + 2 * Fraction(section * aspect, 100)
    assert close(value("tire-size", {"size": f"ST{section}/{aspect}R{rim}"}), exact)


@FEW
@given(st.lists(LB.filter(lambda n: n >= 200), min_size=2, max_size=4).filter(lambda it: len(it) != 3))
def test_an_axle_bears_the_sum_of_its_tires(loads: list[int]) -> None:
    changed = {"loads": " ".join(map(str, loads)), "weighed": "", "end": ""}
    found = asked("axle-tires", changed)
    assert close(found[0].value, Fraction(sum(loads)))
    inside = sum(loads) >= 3500  # 49 CFR 571.120 S5.1.2: not less than the axle's rating
    assert found[1].verdict is not None
    assert (found[1].verdict.grade is not Grade.DNT) is inside
    passenger = asked("axle-tires", changed | {"passenger": "yes"})
    assert close(passenger[0].value, sum(loads) / Fraction(11, 10), 0.001)


# Gay-Lussac at constant volume, absolute: p1 / T1 = p2 / T2


@FEW
@given(st.integers(10, 130), st.integers(-60, 200), st.integers(-60, 200))
def test_pressure_follows_the_absolute_temperature(psi: int, before: int, now: int) -> None:
    zero, air = Fraction(45967, 100), Fraction(14696, 1000)
    exact = (psi + air) * (now + zero) / (before + zero) - air
    changed = {"psi": str(psi), "set_at": str(before), "now": str(now)}
    if not refused("pressure-and-temperature", changed):
        assert close(value("pressure-and-temperature", changed), exact, 1e-6)


# ISO 6789, an adapter out of line: torque = setting x (L + E cos a) / L; the way back gives it again


@FEW
@given(st.integers(20, 300), st.integers(6, 60), st.integers(0, 20), st.integers(0, 90))
def test_an_adapter_set_and_read_back_is_the_torque(torque: int, wrench: int, reach: int, turn: int) -> None:
    arms = {"wrench": str(wrench), "reach": str(reach), "turn": str(turn)}
    setting = value("adapter-setting", arms | {"torque": str(torque)})
    by_hand = torque * wrench / (wrench + reach * cos(radians(turn)))
    assert abs(float(setting) - by_hand) < 0.06  # told to a tenth
    back = value("adapter-torque", arms | {"torque": f"{setting:f}"})
    assert abs(float(back) - torque) < 0.06 * (wrench + reach) / wrench + 0.06


@FEW
@given(st.integers(50, 300), st.integers(0, 20))
def test_a_wrench_lies_within_its_percents_both_ways(reading: int, off: int) -> None:
    low, high = value("wrench-band", {"reading": str(reading), "off": str(off)})
    assert close(low, reading * Fraction(100 - off, 100))
    assert close(high, reading * Fraction(100 + off, 100))


# Statics: a share is a share; what is moved changes the tongue by its lever and the sum not at all


@FEW
@given(st.integers(0, 1500), st.integers(1500, 9000))
def test_a_tongue_is_a_share_of_the_whole(tongue: int, gross: int) -> None:
    changed = {"tongue": str(tongue), "gross": str(gross), "doubt": ""}
    if not refused("tongue-share", changed):
        assert close(value("tongue-share", changed), Fraction(tongue * 100, gross))


@FEW
@given(st.integers(1, 400), st.integers(4, 30), st.integers(31, 96))
def test_a_beam_multiplies_by_its_arms(reading: int, load: int, scale: int) -> None:
    changed = {"reading": str(reading), "load": str(load), "scale": str(scale)}
    if not refused("tongue-by-beam", changed):
        assert close(value("tongue-by-beam", changed), Fraction(reading * scale, load))


@FEW
@given(st.integers(100, 1500), st.integers(1, 40), st.integers(120, 300))
def test_a_jack_behind_the_ball_bears_more_than_the_ball(jack: int, behind: int, length: int) -> None:
    changed = {"jack": str(jack), "behind": str(behind), "length": str(length)}
    found = value("tongue-by-jack", changed)
    assert close(found, Fraction(jack * (length - behind), length))
    assert found < jack


@FEW
@given(st.integers(10, 400), st.integers(-60, 60))
def test_cargo_moved_forward_and_back_is_where_it_was(thing: int, forward: int) -> None:
    changed = {"thing": str(thing), "forward": str(forward)}
    if not refused("cargo-moved", changed):
        exact = (442 + Fraction(thing * forward, 186)) * 100 / 5200
        assert close(value("cargo-moved", changed), exact, 1e-4)  # what moves is told to a hundredth of a lb
        assert close(value("cargo-moved", changed, 1), Fraction(85, 10))


@FEW
@given(st.integers(1000, 9000), st.integers(500, 5000), st.integers(0, 400), st.integers(0, 400))
def test_what_may_still_be_loaded_is_the_rating_less_all_that_is_aboard(
    rating: int, empty: int, water: int, gear: int
) -> None:
    changed = {"rating": str(rating), "empty": str(empty), "water": str(water), "gas": "", "gear": str(gear)}
    if not refused("cargo-room", changed):
        assert close(value("cargo-room", changed), Fraction(rating - empty - water - gear))


@FEW
@given(st.integers(1, 720))
def test_a_nut_goes_a_pitch_in_a_turn(turned: int) -> None:
    changed = {"turned": str(turned)}
    if not refused("nut-movement", changed):
        found = value("nut-movement", changed)
        twice = value("nut-movement", {"turned": "360"})
        assert close(found, Fraction(str(twice)) * turned / 360, 1e-6)


@FEW
@given(
    *(st.integers(low, high).map(lambda n: Fraction(n, 10)) for low, high in ((1, 90), (40, 120), (40, 120)))
)
def test_a_weight_further_out_is_lighter_by_the_radii(
    weight: Fraction, radius: Fraction, other: Fraction
) -> None:
    changed = {"weight": typed(weight), "radius": typed(radius), "other": typed(other)}
    if not refused("weight-at-radius", changed):
        assert close(value("weight-at-radius", changed).amount, weight * radius / other)


# Ohm


@FEW
@given(st.integers(1, 12), st.integers(80, 150).map(lambda n: Fraction(n, 10)))
def test_magnets_side_by_side_draw_their_sum(count: int, volts: Fraction) -> None:
    changed = {"drum": "10", "least": "3.2", "most": "3.5", "count": str(count), "volts": typed(volts)}
    if not refused("magnet-expected", changed):
        found = value("magnet-expected", changed)
        assert abs(float(found.least) - float(count * volts / Fraction(35, 10))) < 1e-6
        assert abs(float(found.most) - float(count * volts / Fraction(32, 10))) < 1e-6


# Propane: 21,548 Btu/lb (DOE); a cylinder takes 42 % of its water capacity (49 CFR 173.315, from memory)


@FEW
@given(st.integers(1, 100), st.integers(1000, 90_000), st.integers(1, 100))
def test_gas_lasts_as_long_as_its_heat(fuel: int, btu: int, duty: int) -> None:
    changed = {"fuel": str(fuel), "inputs": str(btu), "duties": str(duty)}
    assert close(value("gas-run-time", changed), Fraction(fuel * 21548 * 100, btu * duty), 1e-6)


@FEW
@given(st.integers(200, 2500).map(lambda n: Fraction(n, 10)))
def test_a_cylinder_takes_forty_two_percent_of_its_water(water: Fraction) -> None:
    changed = {"water": typed(water)}
    if not refused("cylinder-fill", changed):
        assert close(value("cylinder-fill", changed), water * 42 / 100)


# Money: each amount rounded once, an exact half up


def half_up(exact: Fraction) -> int:
    return (2 * exact + 1).__floor__() // 2


@FEW
@given(st.integers(1, 9999), st.integers(0, 99_999))
def test_a_line_is_quantity_times_price_rounded_once(hundredths: int, cents: int) -> None:
    changed = {"quantity": typed(Fraction(hundredths, 100)), "price": f"{cents / 100:.2f}", "per": "1"}
    if not refused("line-amount", changed):
        assert value("line-amount", changed) == Money(half_up(Fraction(hundredths * cents, 100)))


@FEW
@given(st.integers(1, 999_999), st.integers(0, 100), st.integers(1, 99_999))
def test_a_capped_share_is_never_over_its_cap(base: int, share: int, cap: int) -> None:
    changed = {"base": f"{base / 100:.2f}", "share": str(share), "cap": f"{cap / 100:.2f}"}
    if not refused("capped-share", changed):
        assert value("capped-share", changed) == Money(min(half_up(Fraction(base * share, 100)), cap))


@FEW
@given(st.lists(st.integers(0, 600), min_size=1, max_size=6))
def test_hours_are_the_minutes_rounded_once_to_a_tenth(minutes: list[int]) -> None:
    changed = {"minutes": " ".join(map(str, minutes))}
    if not refused("hours-worked", changed):
        tenths = half_up(Fraction(sum(minutes), 6))
        assert close(value("hours-worked", changed), Fraction(tenths, 10))


# The calendar: 49 CFR 574.5(g)(4), week 1 is the first full week of a year, which begins on a Sunday


def first_sunday(year: int) -> date:
    first = date(year, 1, 1)
    return first + timedelta(days=(6 - first.weekday()) % 7)


@FEW
@given(st.integers(1, 52), st.integers(2001, 2025))
def test_a_tire_is_as_old_as_the_calendar_says(week: int, year: int) -> None:
    code = f"{week:02d}{year % 100:02d}"
    made = first_sunday(year) + timedelta(weeks=week - 1)
    found = value("tire-age", {"code": code, "on": "2026-05-04"}, 1)
    assert abs(float(found) - (date(2026, 5, 4) - made).days / 365.2425) < 0.006


@FEW
@given(st.dates(date(2020, 1, 1), date(2030, 12, 31)), st.integers(1, 60))
def test_due_again_is_the_same_day_of_a_later_month_or_its_last(done: date, months: int) -> None:
    found = value("due-again", {"done": done.isoformat(), "months": str(months)}).on
    assert (found.year * 12 + found.month) - (done.year * 12 + done.month) == months
    assert found.day == done.day or ((found + timedelta(days=1)).day == 1 and found.day < done.day)

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.brakes import (
    Hold,
    Lining,
    breakaway_hold,
    drum_diameter,
    lining_thickness,
    pad_thickness,
    rotor_thickness,
)
from app.trade.figure import HEAVIEST_FIRST, By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def verdict(worked: Worked[Decimal] | Worked[Decimal | None]) -> Verdict:
    assert worked.verdict is not None
    return worked.verdict


@pytest.mark.parametrize(
    ("typed", "unit", "kind", "grade"),
    [
        ("1/16", "in", Lining.BONDED, Grade.NEEDS),  # 49 CFR 570.59(c): not less than 1/16 bonded
        ("1.9", "in_32nd", Lining.BONDED, Grade.DNT),
        ("1.5", "mm", Lining.BONDED, Grade.DNT),  # 1/16 in is 1.5875 mm
        ("1.6", "mm", Lining.BONDED, Grade.NEEDS),
        ("1/32", "in", Lining.RIVETED, Grade.NEEDS),  # 570.59(c): not less than 1/32 over the rivet
        ("0.9", "in_32nd", Lining.RIVETED, Grade.DNT),
        ("0", "in", Lining.RIVETED, Grade.DNT),
        ("2.9", "in_32nd", Lining.BONDED, Grade.NEEDS),  # under 3/32: common practice
        ("3", "in_32nd", Lining.BONDED, Grade.WATCH),
        ("3.9", "in_32nd", Lining.BONDED, Grade.WATCH),  # under 4/32: common practice
        ("4", "in_32nd", Lining.BONDED, Grade.SOUND),
        ("1/4", "in", Lining.BONDED, Grade.SOUND),
    ],
)
def test_lining(typed: str, unit: str, kind: Lining, grade: Grade) -> None:
    assert verdict(lining_thickness(Quantity(typed, unit), kind)).grade is grade


def test_commercial_lining_comes_off_at_the_limit_itself() -> None:
    # 49 CFR 396 appendix A 1(a)(6): 1/16 in or less at the shoe centre; 393.47(d)
    for kind in Lining:
        assert verdict(lining_thickness(Quantity("1/16", "in"), kind, commercial=True)).grade is Grade.DNT
    above = lining_thickness(Quantity("2.1", "in_32nd"), Lining.BONDED, commercial=True)
    assert verdict(above).grade is Grade.NEEDS
    assert str(above.source) == "49 CFR 393.47(d)"


def test_a_shop_can_raise_the_limit_and_never_lower_it() -> None:
    raised = lining_thickness(Quantity("2.5", "in_32nd"), Lining.BONDED, shop_least=Quantity("3", "in_32nd"))
    lowered = lining_thickness(Quantity("1.5", "in_32nd"), Lining.BONDED, shop_least=Quantity("1", "in_32nd"))
    assert verdict(raised).grade is Grade.DNT
    assert verdict(lowered).grade is Grade.DNT  # 49 CFR 570.59(c) stays


def test_lining_that_cannot_be_is_refused() -> None:
    for typed in ("-1", "0.6"):
        with pytest.raises(Impossible, match="cannot be"):
            lining_thickness(Quantity(typed, "in"), Lining.BONDED)


@given(thin=st.integers(0, 159), more=st.integers(1, 160))
def test_more_lining_is_never_graded_worse(thin: int, more: int) -> None:
    thick = min(thin + more, 160)
    grades = [
        verdict(lining_thickness(Quantity(str(Decimal(n) / 10), "in_32nd"), Lining.BONDED)).grade
        for n in (thin, thick)
    ]
    assert HEAVIEST_FIRST.index(grades[0]) <= HEAVIEST_FIRST.index(grades[1])


@pytest.mark.parametrize(
    ("readings", "cast", "left", "grade"),
    [
        # Usual cast maxima, common practice: 10 in drum 10.090, 12 in 12.090, 7 in 7.090
        (["10.002", "10.004"], "10.090", "0.086", Grade.SOUND),
        (["10.058", "10.060"], "10.090", "0.030", Grade.SOUND),  # the usual refinish limit itself
        (["10.062", "10.064"], "10.090", "0.026", Grade.WATCH),
        (["10.090", "10.090"], "10.090", "0.000", Grade.WATCH),  # 49 CFR 570.59(b): within the maximum
        (["10.088", "10.091"], "10.090", "-0.001", Grade.DNT),
        (["12.020", "12.026"], "12.090", "0.064", Grade.NEEDS),  # 0.006 out of round, over 0.005
        (["12.020", "12.025"], "12.090", "0.065", Grade.SOUND),
        (["7.030", "7.031"], "7.090", "0.059", Grade.SOUND),
    ],
)
def test_drum(readings: list[str], cast: str, left: str, grade: Grade) -> None:
    found = drum_diameter([Quantity(each, "in") for each in readings], Quantity(cast, "in"))
    assert found.value == Decimal(left)
    assert verdict(found).grade is grade


def test_a_drum_without_a_maximum_stays_unseen() -> None:
    found = drum_diameter([Quantity("10.0", "in")] * 2, None)
    assert found.value is None
    assert verdict(found).grade is Grade.UNSEEN


def test_one_diameter_is_not_enough() -> None:
    with pytest.raises(Impossible):
        drum_diameter([Quantity("10.0", "in")], Quantity("10.090", "in"))


@pytest.mark.parametrize(
    ("minutes", "volts", "held", "required", "grade", "by"),
    [
        ("15", "11.2", 4, True, Grade.SOUND, None),  # 49 CFR 393.43(d): at least 15 minutes
        ("14.9", "11.2", 4, True, Grade.DNT, None),
        ("6", "9.8", 4, True, Grade.DNT, None),
        ("6", "9.8", 4, False, Grade.NEEDS, By.TOWING),
        ("15", "10.4", 4, True, Grade.DNT, None),  # under 10.5 V: common practice
        ("15", "10.5", 4, True, Grade.SOUND, None),
        ("15", "12.0", 3, True, Grade.DNT, None),  # 393.43(d): all brakes, fewer than three axles
        ("15", "12.0", 3, False, Grade.NEEDS, By.TOWING),
    ],
)
def test_breakaway(minutes: str, volts: str, held: int, required: bool, grade: Grade, by: By | None) -> None:
    found = breakaway_hold(Hold(Quantity(minutes, "min"), Quantity(volts, "V"), held, 4), required=required)
    assert (verdict(found).grade, verdict(found).by) == (grade, by)
    assert "tow plug out" in found.caution


@pytest.mark.parametrize(
    ("minutes", "held", "grade"), [("15", 4, Grade.SOUND), ("14.9", 4, Grade.DNT), ("15", 3, Grade.DNT)]
)
def test_a_breakaway_without_a_battery_is_held_by_time_and_wheels(
    minutes: str, held: int, grade: Grade
) -> None:
    # 49 CFR 393.43(d): 15 minutes, all brakes; a surge lever or an air line has no volts to read
    found = breakaway_hold(Hold(Quantity(minutes, "min"), None, held, 4))
    assert verdict(found).grade is grade
    assert [each.name for each in found.inputs] == ["held", "wheels held"]
    assert found.limit == "at least 15 min, every braked wheel"
    assert "plug" not in found.caution


@pytest.mark.parametrize(("held", "braked"), [(5, 4), (-1, 4), (0, 0)])
def test_more_wheels_than_there_are_is_refused(held: int, braked: int) -> None:
    with pytest.raises(Impossible):
        Hold(Quantity("15", "min"), Quantity("12", "V"), held, braked)


def test_lining_prints_what_is_left_over_the_limit() -> None:
    found = lining_thickness(Quantity("5/32", "in"), Lining.BONDED)
    assert found.value == 3  # 5/32 less 2/32 in: 49 CFR 570.59(c)
    assert found.says == "3.0/32 in over the limit".replace(" in ", "\u00a0in ")
    assert found.limit.replace("\u00a0", " ") == "at least 2.0/32 in"
    assert "qualified person" in found.caution


@pytest.mark.parametrize(("typed", "unit"), [("1/2", "in"), ("16", "in_32nd"), ("12.7", "mm")])
def test_half_an_inch_of_lining_is_the_most_that_is_taken(typed: str, unit: str) -> None:
    assert lining_thickness(Quantity(typed, unit), Lining.BONDED).value == 14


def test_drum_verdicts_give_thousandths() -> None:
    ten = Quantity("10.090", "in")  # the usual cast maximum of a 10 in drum: common practice
    for readings, says in (
        (("10.088", "10.091"), "0.001 in over the cast maximum"),
        (("10.010", "10.016"), "0.006 in out of round, over 0.005 in"),
        (("10.070", "10.071"), "0.019 in left: too little to turn it"),
        (("10.010", "10.012"), "0.078 in left"),
    ):
        found = drum_diameter([Quantity(each, "in") for each in readings], ten)
        assert verdict(found).says.replace("\u00a0", " ") == says


def test_millimetres_of_drum_and_maximum_mix_with_inches() -> None:
    # 254 mm is 10 in, 256.286 mm is 10.090 in (25.4 mm exactly)
    found = drum_diameter([Quantity("254", "mm"), Quantity("10.001", "in")], Quantity("256.286", "mm"))
    assert found.value == Decimal("0.089")


@given(least=st.integers(10000, 10080), spread=st.integers(0, 5), more=st.integers(1, 30))
def test_a_larger_drum_is_never_graded_better(least: int, spread: int, more: int) -> None:
    def graded(wear: int) -> Grade:
        sizes = (least + wear, least + wear + spread)
        readings = [Quantity(str(Decimal(each) / 1000), "in") for each in sizes]
        return verdict(drum_diameter(readings, Quantity("10.090", "in"))).grade

    assert HEAVIEST_FIRST.index(graded(more)) <= HEAVIEST_FIRST.index(graded(0))


@pytest.mark.parametrize(
    ("minutes", "volts", "held", "says"),
    [
        ("15", "11", 2, "2 of 4 wheels free"),
        ("6", "11", 4, "held 6 min of 15 min"),
        ("15", "9.8", 4, "9.8 V at the end, under 10.5 V (common practice)"),
        ("15", "11", 4, "every braked wheel held for 15 min"),
    ],
)
def test_breakaway_says_what_let_go(minutes: str, volts: str, held: int, says: str) -> None:
    found = breakaway_hold(Hold(Quantity(minutes, "min"), Quantity(volts, "V"), held, 4))
    assert verdict(found).says.replace("\u00a0", " ") == says
    assert str(found.source) == "49 CFR 393.43(d)"


def test_a_trailer_with_one_braked_wheel_can_be_tested() -> None:
    hold = Hold(Quantity("900", "s"), Quantity("12", "V"), 1, 1)
    assert verdict(breakaway_hold(hold)).grade is Grade.SOUND  # 900 s is 15 min


@pytest.mark.parametrize(
    ("typed", "unit", "kind", "grade"),
    [
        # 49 CFR 570.59(c): lining or pad at least 1/32 in over the fastener, 1/16 in over a bonded one's shoe
        ("0", "in", Lining.BONDED, Grade.DNT),
        ("1.9", "in_32nd", Lining.BONDED, Grade.DNT),
        ("1/16", "in", Lining.BONDED, Grade.NEEDS),
        ("0.9", "in_32nd", Lining.RIVETED, Grade.DNT),
        ("1/32", "in", Lining.RIVETED, Grade.NEEDS),
        ("3.9", "in_32nd", Lining.BONDED, Grade.NEEDS),  # under 1/8 in: common practice
        ("1/8", "in", Lining.BONDED, Grade.SOUND),
        ("3.2", "mm", Lining.BONDED, Grade.SOUND),
        ("3/4", "in", Lining.RIVETED, Grade.SOUND),
    ],
)
def test_pad(typed: str, unit: str, kind: Lining, grade: Grade) -> None:
    found = pad_thickness(Quantity(typed, unit), kind)
    assert (verdict(found).grade, str(found.source)) == (grade, "49 CFR 570.59(c)")


def test_a_pad_that_cannot_be_is_refused() -> None:
    for typed in ("-1", "0.8"):
        with pytest.raises(Impossible, match="cannot be"):
            pad_thickness(Quantity(typed, "in"), Lining.BONDED)


@pytest.mark.parametrize(
    ("thinnest", "least", "left", "grade"),
    [
        # 49 CFR 570.59(b): within the least safe thickness embossed on the rotor
        ("0.470", "0.450", "0.020", Grade.SOUND),
        ("0.450", "0.450", "0", Grade.SOUND),
        ("0.449", "0.450", "-0.001", Grade.DNT),
    ],
)
def test_rotor(thinnest: str, least: str, left: str, grade: Grade) -> None:
    found = rotor_thickness(Quantity(thinnest, "in"), Quantity(least, "in"))
    assert (found.value, verdict(found).grade) == (Decimal(left), grade)
    assert (found.limit, str(found.source)) == (f"at least {least}\xa0in", "49 CFR 570.59(b)")


def test_a_rotor_without_a_mark_stays_unseen() -> None:
    found = rotor_thickness(Quantity("0.47", "in"), None)
    assert (found.value, found.says, verdict(found).grade) == (None, "cannot be told", Grade.UNSEEN)
    with pytest.raises(Impossible):
        rotor_thickness(Quantity("0", "in"), None)

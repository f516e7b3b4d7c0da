import math
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.fasteners import (
    Adapter,
    TorqueRange,
    Wrench,
    between_studs,
    miles_said,
    question_torque,
    read_retorques,
    read_through,
    retorque_schedule,
    retorque_verdict,
    staged_passes,
    star_sequence,
    torque_at_nut,
    torque_verdict,
    wrench_band,
    wrench_deviation,
    wrench_setting,
)
from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

PLACARD = TorqueRange(Decimal(100), Decimal(120), "lbf_ft")
studs = st.integers(3, 20)


def all_at(reading: str, count: int = 6) -> dict[int, Decimal]:
    return dict.fromkeys(range(1, count + 1), Decimal(reading))


# The order


@pytest.mark.parametrize(
    ("count", "order"),
    [
        (4, (1, 3, 2, 4)),  # common practice: crosswise
        (
            5,
            (1, 3, 5, 2, 4),
        ),  # the five-pointed star, nuts numbered around; common practice, TM 10-4320-344-24
        (8, (1, 5, 3, 7, 2, 6, 4, 8)),  # the flange pattern of ASME PCC-1, table 4, from memory
    ],
)
def test_the_order_is_the_known_star(count: int, order: tuple[int, ...]) -> None:
    assert star_sequence(count).value == order


@given(studs)
def test_every_nut_once_and_nut_1_first(count: int) -> None:
    order = star_sequence(count).value
    assert order[0] == 1
    assert sorted(order) == list(range(1, count + 1))


@given(st.integers(5, 20))
def test_neighbours_never_follow_each_other_from_five_studs_on(count: int) -> None:
    order = star_sequence(count).value
    assert all(between_studs(one, other, count) >= 2 for one, other in pairwise(order))


@given(studs.filter(lambda count: count % 2 == 0))
def test_an_even_count_goes_by_opposite_pairs(count: int) -> None:
    order = star_sequence(count).value
    pairs = zip(order[::2], order[1::2], strict=True)
    assert all(between_studs(one, other, count) == count // 2 for one, other in pairs)


@given(studs.filter(lambda count: count % 2 == 1))
def test_an_odd_count_goes_by_the_widest_step_there_is(count: int) -> None:
    order = star_sequence(count).value
    assert {between_studs(one, other, count) for one, other in pairwise(order)} == {count // 2}


@given(studs)
def test_the_clamp_never_leans_by_more_than_about_one_nut(count: int) -> None:
    # derived: k steps of nearly half a turn sum to at most 1 / cos(pi / 2N), 1.155 for three studs
    lean = 0j
    for nut in star_sequence(count).value:
        lean += complex(math.cos(2 * math.pi * nut / count), math.sin(2 * math.pi * nut / count))
        assert abs(lean) <= 1.1548


@pytest.mark.parametrize("count", [0, 1, 2, 37, -4])
def test_no_star_for_too_few_or_too_many_studs(count: int) -> None:
    with pytest.raises(Impossible, match="3 to 36"):
        star_sequence(count)


@pytest.mark.parametrize(
    ("one", "other", "apart"), [(1, 2, 1), (1, 6, 1), (6, 1, 1), (1, 4, 3), (2, 2, 0)]
)  # counted on a six-stud wheel
def test_steps_between_studs_go_the_short_way(one: int, other: int, apart: int) -> None:
    assert between_studs(one, other, 6) == apart


# The stages


def test_three_passes_and_a_check() -> None:
    # common practice for 1/2-20 studs: 20 to 25, 50 to 60, then the figure, then once more round
    first, second, third, check = staged_passes(Decimal(110), "lbf_ft").value
    assert 20 <= first.torque <= 25
    assert 50 <= second.torque <= 60
    assert third.torque == check.torque == 110
    assert [stage.wheel_up for stage in (first, second, third, check)] == [True, True, False, False]
    assert check.check and not third.check
    assert [stage.number for stage in (first, second, third, check)] == [1, 2, 3, 4]


@given(st.decimals(10, 500, places=1))
def test_passes_rise_and_stay_near_a_quarter_and_a_half(aim: Decimal) -> None:
    first, second, third, check = (stage.torque for stage in staged_passes(aim, "N_m").value)
    assert 0 < first < second < third == check == aim
    assert abs(first - aim / 4) <= Decimal("2.5")
    assert abs(second - aim / 2) <= Decimal("2.5")


@pytest.mark.parametrize("aim", ["0", "-1"])
def test_no_passes_without_an_aim(aim: str) -> None:
    with pytest.raises(Impossible, match="such as 110"):
        staged_passes(Decimal(aim), "lbf_ft")


def test_retorque_after_10_25_and_50_miles() -> None:
    figure = retorque_schedule()
    assert figure.value == (10, 25, 50)  # common practice on trailer wheels
    assert "16, 40, 80 km" in figure.says  # 1 mile = 1.609344 km exactly
    assert f"{figure.source}" == "common practice"


def test_a_shop_has_its_own_retorques() -> None:
    figure = retorque_schedule(read_retorques("25, 50 100"))
    assert figure.value == (25, 50, 100)
    assert figure.says == "after 25, 50 and 100 miles (40, 80, 161 km), then before each trip"
    assert f"{figure.source}" == "shop setting, common practice"
    assert miles_said((50,)) == "50 miles"


@pytest.mark.parametrize(
    "text", ["", "0", "10, 10", "50, 25", "ten", "10.5", "-10", "501", "1 2 3 4 5 6 7", "\u0661"]
)
def test_retorques_are_rising_whole_miles(text: str) -> None:
    with pytest.raises(Impossible) as impossible:
        read_retorques(text)
    assert "such as 10, 25, 50" in impossible.value.accepts


@given(st.lists(st.integers(1, 500), min_size=1, max_size=6, unique=True))
def test_what_is_read_of_retorques_is_what_was_meant(miles: list[int]) -> None:
    assert read_retorques(", ".join(map(str, sorted(miles)))) == tuple(sorted(miles))


@pytest.mark.parametrize(
    ("moved", "before", "grade"),
    [((), (), Grade.SOUND), ((3,), (), Grade.NEEDS), ((3,), (4,), Grade.NEEDS), ((3, 4), (4,), Grade.DNT)],
)  # common practice: a nut that moves twice points at seat, stud or wheel
def test_a_nut_that_moves_twice_stops_the_tow(
    moved: tuple[int, ...], before: tuple[int, ...], grade: Grade
) -> None:
    assert retorque_verdict(moved, before).grade is grade


def test_the_nuts_that_moved_are_named() -> None:
    assert retorque_verdict((5, 2)).says.startswith("Nuts 2 and 5 moved")
    assert retorque_verdict((5, 2)).by is By.TOWING
    assert retorque_verdict((2, 5), (5,)).says.startswith("Nut 5 moved twice")


# The wrench


@pytest.mark.parametrize(
    ("kind", "top", "unit", "share"),
    [
        (Wrench.CLICK, "150", "lbf_ft", "0.04"),  # ISO 6789-1:2017, type II class A over 10 N·m (from memory)
        (Wrench.DIAL, "200", "N_m", "0.04"),  # type I class B over 10 N·m (from memory)
        (Wrench.ELECTRONIC, "200", "N_m", "0.04"),  # type I class C over 10 N·m (from memory)
        (Wrench.CLICK, "10", "N_m", "0.06"),  # up to 10 N·m (from memory)
        (Wrench.CLICK, "10.1", "N_m", "0.04"),  # over 10 N·m (from memory)
        (Wrench.CLICK, "88", "lbf_in", "0.06"),  # 9.94 N·m at 0.112985 N·m each, NIST SP 811 B.8
        (Wrench.BEAM, "150", "lbf_ft", "0.06"),  # type I class A, bending beam (from memory)
    ],
)
def test_the_deviation_of_a_wrench(kind: Wrench, top: str, unit: str, share: str) -> None:
    assert wrench_deviation(kind, Decimal(top), unit).value == Decimal(share)


def test_100_on_a_wrench_means_96_to_104() -> None:
    # arithmetic on the ISO 6789-1 deviation of 4 %
    assert wrench_band(Decimal(100), "lbf_ft").value == (Decimal(96), Decimal(104))


def test_a_band_needs_a_reading() -> None:
    with pytest.raises(Impossible, match="cannot be 0 or less"):
        wrench_band(Decimal(0), "lbf_ft")


def test_the_nut_gets_more_through_a_straight_adapter() -> None:
    # US Army TM 9-254, figure 4-5: wrench 12 in, adapter 2 in, setting 60 lbf·in gives 70 lbf·in
    adapter = Adapter(Decimal(12), Decimal(2))
    assert torque_at_nut(Decimal(60), adapter, "lbf_in").value == pytest.approx(Decimal(70))


def test_the_setting_for_40_through_a_4_in_adapter() -> None:
    # US Army TM 9-2350-261-20-1, paragraph g: 40 lbf·ft, wrench 12 in, adapter 4 in: set 30 lbf·ft
    adapter = Adapter(Decimal(12), Decimal(4))
    assert wrench_setting(Decimal(40), adapter, "lbf_ft").value == pytest.approx(Decimal(30))


@pytest.mark.parametrize(
    ("angle", "setting"),
    [
        ("90", "100"),  # square to the handle: no change (lever arms)
        ("270", "100"),  # the other side: no change
        ("180", "120"),  # folded back: 100 x 12 / (12 - 2) (lever arms)
        ("60", "92.307692"),  # 100 x 12 / (12 + 2 x 0.5) (lever arms)
    ],
)
def test_the_angle_of_the_adapter_counts(angle: str, setting: str) -> None:
    found = wrench_setting(Decimal(100), Adapter(Decimal(12), Decimal(2), Decimal(angle)), "lbf_ft").value
    assert abs(found - Decimal(setting)) < Decimal("0.00001")


@given(st.decimals(10, 500, places=1), st.decimals(8, 40, places=1), st.decimals(0, 7, places=1))
def test_setting_and_torque_undo_each_other(torque: Decimal, length: Decimal, reach: Decimal) -> None:
    adapter = Adapter(length, reach, Decimal(30))
    there = wrench_setting(torque, adapter, "N_m").value
    assert abs(torque_at_nut(there, adapter, "N_m").value - torque) < Decimal("1e-20")
    assert there <= torque


@pytest.mark.parametrize(
    ("length", "reach", "angle"), [("0", "2", "0"), ("-3", "2", "0"), ("12", "-1", "0"), ("12", "12", "180")]
)
def test_an_adapter_without_a_lever_is_refused(length: str, reach: str, angle: str) -> None:
    with pytest.raises(Impossible):
        wrench_setting(Decimal(100), Adapter(Decimal(length), Decimal(reach), Decimal(angle)), "lbf_ft")


# The verdict


@pytest.mark.parametrize(
    ("reading", "grade"),
    [
        ("99.9", Grade.DNT),  # 49 CFR 570.10(c): nuts tight; under the placard's low end
        ("100", Grade.WATCH),  # 100 may be 96 on a wrench of 4 %
        ("104.1", Grade.WATCH),  # 104.1 x 0.96 = 99.94
        ("104.2", Grade.SOUND),  # 104.2 x 0.96 = 100.03
        ("110", Grade.SOUND),  # 105.6 to 114.4
        ("115.3", Grade.SOUND),  # 115.3 x 1.04 = 119.91
        ("115.4", Grade.WATCH),  # 115.4 x 1.04 = 120.02
        ("120", Grade.WATCH),
        ("124.8", Grade.WATCH),  # over by the wrench's 4 %: 120 x 1.04 = 124.8, common practice
        ("124.9", Grade.NEEDS),
    ],
)
def test_a_reading_against_the_placard_and_the_wrench(reading: str, grade: Grade) -> None:
    verdict = torque_verdict(all_at(reading), 6, PLACARD).verdict
    assert verdict is not None and verdict.grade is grade


@pytest.mark.parametrize(
    ("reading", "grade"),
    [("99", Grade.DNT), ("100", Grade.SOUND), ("104", Grade.WATCH), ("105", Grade.NEEDS)],
)  # a placard with one figure: the wrench's own 4 % is all the room there is
def test_a_single_figure_leaves_the_wrench_its_band(reading: str, grade: Grade) -> None:
    one = TorqueRange(Decimal(100), Decimal(100), "lbf_ft")
    verdict = torque_verdict(all_at(reading), 6, one).verdict
    assert verdict is not None and verdict.grade is grade


def test_the_heaviest_nut_speaks_for_the_wheel() -> None:
    figure = torque_verdict(all_at("110") | {2: Decimal(95), 5: Decimal(90), 3: Decimal(140)}, 6, PLACARD)
    assert [nut.nut for nut in figure.value if nut.grade is Grade.DNT] == [2, 5]
    assert figure.value[2].grade is Grade.NEEDS
    assert figure.verdict is not None
    assert figure.verdict.says.startswith("Nuts 2 and 5 under 100 to 120")
    assert figure.verdict.by is None
    assert not figure.verdict.inside


def test_too_tight_is_to_be_done_before_towing() -> None:
    verdict = torque_verdict(all_at("110") | {4: Decimal(140)}, 6, PLACARD).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (Grade.NEEDS, By.TOWING)
    assert verdict.says.startswith("Nut 4 over")


@pytest.mark.parametrize("reading", ["118", "122"])  # 4 % of 120 is 4.8: either may be on either side
def test_a_nut_near_an_end_is_not_said_to_be_inside(reading: str) -> None:
    verdict = torque_verdict(all_at("110") | {4: Decimal(reading)}, 6, PLACARD).verdict
    assert verdict is not None
    assert verdict.says.startswith("Nut 4 so near an end of 100 to 120")
    assert verdict.says.endswith("cannot tell which side of it")


def test_a_nut_without_a_reading_is_unseen() -> None:
    verdict = torque_verdict({1: Decimal(110), 4: Decimal(110)}, 6, PLACARD).verdict
    assert verdict is not None
    assert verdict.grade is Grade.UNSEEN
    assert verdict.says == "Nuts 2, 3, 5 and 6 without a reading"


def test_without_a_figure_nothing_is_seen() -> None:
    figure = torque_verdict(all_at("110"), 6, None)
    assert figure.verdict is not None
    assert figure.verdict.grade is Grade.UNSEEN
    assert figure.limit == ""


def test_a_nut_that_the_wheel_lacks_is_a_slip() -> None:
    with pytest.raises(ValueError, match="no nut"):
        torque_verdict({7: Decimal(110)}, 6, PLACARD)


def test_a_reading_of_0_is_refused() -> None:
    with pytest.raises(Impossible):
        torque_verdict(all_at("0"), 6, PLACARD)


@pytest.mark.parametrize(("low", "high"), [("120", "100"), ("0", "100"), ("-5", "-1")])
def test_a_range_runs_upwards_from_over_0(low: str, high: str) -> None:
    with pytest.raises(Impossible, match="100 to 120"):
        TorqueRange(Decimal(low), Decimal(high), "lbf_ft")


def test_the_aim_is_the_middle() -> None:
    assert PLACARD.aim == 110
    assert str(PLACARD) == "100 to 120\u00a0lbf·ft"  # as a wheel placard says it


@given(st.decimals(50, 200, places=1), st.decimals(0, 100, places=1), st.decimals(1, 400, places=1))
def test_inside_as_read_is_never_called_outside(low: Decimal, width: Decimal, reading: Decimal) -> None:
    figure = TorqueRange(low, low + width, "N_m")
    verdict = torque_verdict({1: reading, 2: reading, 3: reading}, 3, figure).verdict
    assert verdict is not None
    if low <= reading <= low + width:
        assert verdict.inside
    if reading < low:
        assert verdict.grade is Grade.DNT


@pytest.mark.parametrize(
    ("typed", "unit", "asks"),
    [
        ("40", "lbf_ft", False),
        ("39", "lbf_ft", True),  # under 40 lbf·ft: common practice
        ("350", "lbf_ft", False),
        ("351", "lbf_ft", True),
        ("149", "N_m", False),  # 110 lbf·ft at 1.355818 N·m, NIST SP 811 B.8
        ("1100", "N_m", True),
    ],
)
def test_an_unlikely_torque_is_asked_about(typed: str, unit: str, asks: bool) -> None:
    problems = question_torque("aim", Quantity(typed, unit))
    assert [problem.ask for problem in problems] == [True] * asks


def test_an_impossible_torque_is_no_question() -> None:
    assert [problem.ask for problem in question_torque("aim", Quantity("-5", "lbf_ft"))] == [False]


# What the wrench shows through an adapter, read at the nut


@pytest.mark.parametrize(
    ("shows", "length", "reach", "low", "high", "at_nut"),
    [
        ("30", "12", "4", "40", "40", "40"),  # US Army TM 9-2350-261-20-1, paragraph g
        ("214", "10", "4", "300", "300", "300"),  # US Army TM 1-1500-204-23-9: 214.29, set to 214
        ("117", "10", "1.5", "120", "135", "135"),  # FAA AC 43.13-1B, figure 7-2 (from memory): 117.39
        ("118", "10", "1.5", "120", "135", "135.7"),  # 118 x 11.5 / 10
        ("117.0", "10", "1.5", "120", "135", "134.6"),  # read to a tenth it is not 117.4
        ("99", "18", "2", "100", "120", "110.0"),  # 99 x 20 / 18
        ("1", "12", "4", "1.4", "1.4", "1.3"),  # 1.05 is 5 % off, however few the digits
    ],
)
def test_a_wrench_that_shows_the_setting_of_an_end_reads_as_that_end(
    shows: str, length: str, reach: str, low: str, high: str, at_nut: str
) -> None:
    figure = TorqueRange(Decimal(low), Decimal(high), "lbf_ft")
    found = read_through(Decimal(shows), Adapter(Decimal(length), Decimal(reach)), figure)
    assert found == Decimal(at_nut)

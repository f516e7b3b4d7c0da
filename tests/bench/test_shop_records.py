"""The rows of axle tape, lift, hitch, road, electrics, mains, gas, appliance, water, canvas and identity."""

from dataclasses import replace

import pytest

from app.trade.figure import Grade
from app.trade.typed import Texts
from tests.bench.test_kinds import at, judged, problems

LIMITS: list[tuple[str, dict[str, str], Grade]] = [
    ("axle_tape", {"tape_right": "195"}, Grade.NEEDS),  # over 1/8 in: common practice
    ("axle_tape", {"tape_left": "196.8", "confirm-tape_right": "195 5/16"}, Grade.NEEDS),  # 49 CFR 393.70(a)
    ("axle_tape", {"next_right": "34 1/8"}, Grade.NEEDS),  # 1/16 in: common practice
    ("axle_tape", {"toe_rear": "73 3/4"}, Grade.NEEDS),  # 1/8 in: common practice
    ("axle_tape", {"camber_left": "-0.3"}, Grade.NEEDS),  # atan(0.3 / 15) = 1.15 degrees, over 1
    ("axle_tape", {"rear_left": "19"}, Grade.NEEDS),  # 1 in side to side: common practice
    ("lift_test", {"seated": "no"}, Grade.DNT),  # lets go of the ball
    ("lift_test", {"latches": "no"}, Grade.DNT),
    ("lift_test", {"coupler": "2 5/16"}, Grade.DNT),  # ball and coupler differ
    ("lift_test", {"play": "1/8"}, Grade.NEEDS),  # 1/16 in: common practice
    ("lift_test", {"rise": "1/2"}, Grade.UNSEEN),  # 1 in of rise: common practice
    ("lift_test", {"latched": "no"}, Grade.DNT),  # the roof can lift on the road
    ("lift_test", {"holds": "no"}, Grade.NEEDS),
    ("lift_test", {"cables": "no"}, Grade.NEEDS),
    ("lift_test", {"minutes": "9"}, Grade.UNSEEN),
    ("lift_test", {"high_rear_right": "99"}, Grade.NEEDS),  # over 1 in: common practice
    ("hitch_setup", {"pinned": "no"}, Grade.DNT),
    ("hitch_setup", {"clip": "no"}, Grade.DNT),
    ("hitch_setup", {"chains": "no"}, Grade.NEEDS),
    ("hitch_setup", {"chain_gap": "2"}, Grade.NEEDS),  # 3 to 12 in: common practice
    ("hitch_setup", {"links_right": "4"}, Grade.NEEDS),
    ("hitch_setup", {"frame_front": "22"}, Grade.NEEDS),  # nose up over 1 in: common practice
    ("hitch_setup", {"front_engaged": "32 1/2"}, Grade.DNT),  # 150 % restored: more than was lost
    ("hitch_setup", {"front_engaged": "33 3/4"}, Grade.NEEDS),  # 25 % of 50 asked by the book
    ("hitch_setup", {"cable": "none"}, Grade.SOUND),
    ("road_test", {"distance": "41"}, Grade.NEEDS),  # 40 ft: 49 CFR 393.52(d)
    ("road_test", {"distance": "36", "what": "light"}, Grade.NEEDS),  # 35 ft: same
    ("road_test", {"sway": "grows"}, Grade.DNT),  # common practice
    ("road_test", {"sway": "stays"}, Grade.NEEDS),
    ("road_test", {"hub_2_right": "205"}, Grade.NEEDS),  # over 200 °F: common practice
    ("road_test", {"hub_2_right": "190"}, Grade.NEEDS),  # over 50 °F hotter than the others' mean
    ("road_test", {"grips": "no"}, Grade.DNT),
    ("electrical_load", {"loaded": "10.4"}, Grade.NEEDS),  # 10.5 V: common practice
    ("electrical_load", {"rested": "12.1"}, Grade.NEEDS),  # under 50 %: BCI table, 12.24 V
    ("electrical_load", {"under_load": "12.9"}, Grade.NEEDS),  # 13.0 V: common practice
    ("electrical_load", {"fuse": "40"}, Grade.NEEDS),  # 30 A on 10 AWG: NEC 240.4(D)
    ("electrical_load", {"at_lamp": "11.2"}, Grade.NEEDS),  # 89 % of the plug, 90: common practice
    ("electrical_load", {"in_ground": "0.3"}, Grade.NEEDS),  # 0.2 V: common practice
    ("mains_test", {"ohms_gas": "1.2"}, Grade.NEEDS),  # 1 ohm: NEC 551.56, common practice
    ("mains_test", {"neutral": "no"}, Grade.NEEDS),  # NEC 551: neutral insulated
    ("mains_test", {"skin": "2.5"}, Grade.NEEDS),  # 2 V: common practice
    ("mains_test", {"right": "5"}, Grade.NEEDS),
    ("mains_test", {"tester": "no"}, Grade.NEEDS),  # NEC 551.40
    ("flow_lockup", {"lock_up": "14.1"}, Grade.NEEDS),  # 14 in wc: NFPA 58
    ("flow_lockup", {"running": "9.9"}, Grade.NEEDS),  # 10 in wc: common practice
    ("flow_lockup", {"creeps": "yes"}, Grade.NEEDS),
    ("flow_lockup", {"changeover": "9.9"}, Grade.NEEDS),  # 10 in wc: common practice
    ("flow_lockup", {"burning": "30000"}, Grade.UNSEEN),  # under half of 72,600 Btu/h
    ("flow_lockup", {"two_stage": "no"}, Grade.NEEDS),  # NFPA 58
    ("appliance", {"seconds": "91"}, Grade.NEEDS),  # 90 s: ANSI Z21, from memory
    ("appliance", {"inside": "11"}, Grade.NEEDS),  # 9 ppm over outside
    ("appliance", {"flame": "yellow"}, Grade.NEEDS),
    ("appliance", {"chamber": "no"}, Grade.NEEDS),
    ("appliance", {"smell": "no"}, Grade.NEEDS),
    ("water_test", {"end": "34"}, Grade.NEEDS),  # 5 psi in 15 min: common practice
    ("water_test", {"minutes": "10"}, Grade.UNSEEN),
    ("water_test", {"dry": "no"}, Grade.NEEDS),
    ("water_test", {"spray_minutes": "12"}, Grade.UNSEEN),  # 15 min: common practice
    ("water_test", {"spray_minutes": "12", "sprayed": "canvas"}, Grade.SOUND),  # 10 min for canvas
    ("water_test", {"quiet": "no"}, Grade.NEEDS),
    ("water_test", {"valve": "no"}, Grade.NEEDS),
    ("canvas_fit", {"gap_top_left": "3/8"}, Grade.NEEDS),  # 1/4 in: common practice
    ("canvas_fit", {"zips": "3"}, Grade.NEEDS),
    ("canvas_fit", {"exit": "no"}, Grade.NEEDS),
    ("identity", {"frame": "1M8GDM9AXKP042789"}, Grade.NEEDS),  # differs from the plate
    ("identity", {"papers": "no papers"}, Grade.WATCH),
    ("identity", {"placard": "gone", "tires": ""}, Grade.NEEDS),  # 49 CFR 571.110 S4.3.5: trailers too
    ("identity", {"recalls": "open"}, Grade.NEEDS),
    ("identity", {"recalls": "no", "searched": ""}, Grade.UNSEEN),
]


@pytest.mark.parametrize(("key", "changed", "grade"), LIMITS)
def test_a_record_is_judged_by_its_limits(key: str, changed: dict[str, str], grade: Grade) -> None:
    assert judged(key, **changed).verdict.grade is grade


REFUSED = [
    ("axle_tape", {"between": ""}, "between"),
    ("axle_tape", {"tape_left": "0"}, "tape_left"),
    ("axle_tape", {"camber_left": "5"}, "camber_left"),
    ("lift_test", {"ball": "3"}, "ball"),
    ("lift_test", {"rise": ""}, "rise"),
    ("lift_test", {"high_front_left": ""}, "high_front_left"),
    ("hitch_setup", {"front_slack": ""}, "front_slack"),
    ("hitch_setup", {"links_left": ""}, "links_left"),
    ("hitch_setup", {"frame_front": "-3"}, "frame_front"),
    ("road_test", {"speed": "30"}, "speed"),
    ("road_test", {"speed": "15"}, "speed"),
    ("road_test", {"distance": "0"}, "distance"),
    ("road_test", {"second_person": ""}, "second_person"),
    ("road_test", {"hub_1_left": ""}, "hub_1_left"),
    ("electrical_load", {"ripple": ""}, "ripple"),
    ("electrical_load", {"rested": "24"}, "rested"),
    ("electrical_load", {"wire": "9"}, "wire"),
    ("mains_test", {"dead": "no"}, "dead"),
    ("mains_test", {"by_whom": ""}, "by_whom"),
    ("mains_test", {"skin": ""}, "skin"),
    ("mains_test", {"right": "7"}, "right"),
    ("mains_test", {"right": "5.5"}, "right"),
    ("flow_lockup", {"burning": "80000"}, "burning"),
    ("flow_lockup", {"instrument": ""}, "instrument"),
    ("appliance", {"by_whom": ""}, "by_whom"),
    ("appliance", {"seconds": "-1"}, "seconds"),
    ("water_test", {"end": ""}, "end"),
    ("water_test", {"dry": "no", "where": ""}, "where"),
    ("canvas_fit", {"zips": "5"}, "zips"),
    ("canvas_fit", {"zips": "1.5"}, "zips"),
    ("identity", {"plate": "1M8GDM9AXKPO42788"}, "plate"),  # the letter O is none: 49 CFR 565.13
    ("identity", {"searched": ""}, "searched"),
    ("identity", {"gvwr": ""}, "gvwr"),
]


@pytest.mark.parametrize(("key", "changed", "field"), REFUSED)
def test_what_cannot_be_is_refused_at_its_field(key: str, changed: dict[str, str], field: str) -> None:
    found = [each for each in problems(key, **changed) if each.field == field]
    assert found
    assert not found[0].ask


@pytest.mark.parametrize(
    ("key", "changed", "field"),
    [
        ("axle_tape", {"tape_left": "198"}, "tape_right"),  # over 1 1/2 in: another point?
        ("road_test", {"distance": "12"}, "distance"),  # 35.9 ft/s²: no tire gives that
        ("electrical_load", {"rested": "7"}, "rested"),
        ("mains_test", {"instrument": "5"}, "line"),  # 118 V on a meter to 20 V
        ("identity", {"plate": "1M8GDM9A1KP042788"}, "plate"),  # check digit is X: 49 CFR 565.15(c)
    ],
)
def test_what_is_unlikely_is_asked(key: str, changed: dict[str, str], field: str) -> None:
    assert (field, True) in {(each.field, each.ask) for each in problems(key, **changed)}


LIVE = ("by_whom", "licence", "line", "skin", "right", "outlets", "button", "tester")


def test_mains_without_its_live_tests_waits_for_a_qualified_person() -> None:
    found = judged("mains_test", **dict.fromkeys(LIVE, ""))
    assert found.unfinished
    assert "qualified person" in found.verdict.says


def test_a_hitch_without_bars_needs_no_fender_heights() -> None:
    bars = ("front_alone", "front_slack", "front_engaged", "rear_alone", "rear_slack", "rear_engaged")
    empty = dict.fromkeys((*bars, "goal", "links_left", "links_right"), "")
    assert judged("hitch_setup", **empty).verdict.grade is Grade.SOUND


def test_lithium_is_not_told_by_its_volts_at_rest() -> None:
    found = judged("electrical_load", battery="lithium", rested="13.3")
    assert "state of charge" not in {each.name for each in found.figures}


def test_a_state_assigned_number_has_no_check_digit() -> None:
    number = {"plate": "MD 1234567", "frame": "MD1234567", "papers": "MD 1234567"}
    found = judged("identity", of_kind="assigned", **number)
    assert (found.figures, found.verdict.grade) == ((), Grade.SOUND)


@pytest.mark.parametrize(
    ("kind", "systems", "heads"),
    [
        ("tent", {"tent"}, ["Folding roof", "Coupler on its ball"]),
        ("tent", {"coupler"}, ["Coupler on its ball", "Folding roof"]),
        ("utility", {"coupler"}, ["Coupler on its ball"]),
    ],
)
def test_a_lift_test_begins_with_what_the_work_is_on(kind: str, systems: set[str], heads: list[str]) -> None:
    of, here = at("lift_test")
    here = replace(here, unit_kind=kind, systems=frozenset(systems))
    drawn = of.draw(Texts(of.start(here)), here)["rows"]
    assert [row.head for row in drawn if row.head] == heads  # type: ignore[attr-defined] # rows of a form

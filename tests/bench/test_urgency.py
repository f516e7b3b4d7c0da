"""By when: what each fault of a record asks for, in whose words, and which of several rules the whole.

The limits themselves are tried on both sides in test_both_sides; here it is what a person is told: the grade,
the term (before towing, before use, soon), and the words that say which part. Limits as named there; terms
are common practice: what lets go or does not brake on the road is put right before towing, what burns,
shocks or falls on people before use, the rest soon.
"""

from itertools import permutations

import pytest

from app.bench.kinds import heaviest_of
from app.trade.figure import By, Grade, Verdict
from tests.bench.test_kinds import judged

DNT, NEEDS, UNSEEN, WATCH, SOUND = Grade.DNT, Grade.NEEDS, Grade.UNSEEN, Grade.WATCH, Grade.SOUND


# One fault: its term and its words

TOLD = [
    ("appliance", {"chamber": "no"}, By.USE, "Burn chamber cracked"),
    ("appliance", {"vent": "no"}, By.USE, "Vent loose or blocked"),
    ("appliance", {"relief": "no"}, By.USE, "Relief valve stuck"),
    ("appliance", {"smell": "no"}, By.USE, "cylinders off"),
    ("appliance", {"flame": "yellow"}, By.USE, "Flame yellow, sooting"),
    ("appliance", {"flame": "lifts"}, By.USE, "Flame lifts or goes out"),
    ("appliance", {"seconds": "90.1"}, By.USE, "over 90 s"),
    ("appliance", {"inside": "10.1"}, By.USE, "over outside"),  # 1 ppm outside: 9.1 over it
    ("axle_tape", {"next_right": "34 1/8"}, By.SOON, ""),
    ("bearing_adjustment", {"cotter": "no"}, By.TOWING, "Old cotter pin"),
    ("bearing_adjustment", {"turns": "drags"}, By.TOWING, "does not turn free"),
    ("bearing_adjustment", {"turns": "noise"}, By.TOWING, "does not turn free"),
    ("breakaway_pull", {"lets_go": "no"}, By.TOWING, "stay on when it is set free"),
    ("breakaway_pull", {"cable": "no"}, By.TOWING, "Cable or hose worn"),
    ("canvas_fit", {"supports": "no"}, By.USE, "safety supports"),
    ("canvas_fit", {"exit": "no"}, By.USE, "does not open from inside"),
    ("canvas_fit", {"closes": "no"}, By.SOON, "Does not close"),
    ("canvas_fit", {"seams": "no"}, By.SOON, "Seams give"),
    ("canvas_fit", {"smooth": "no"}, By.SOON, "Drumming wrinkles"),
    ("canvas_fit", {"needle": "no"}, By.SOON, "Needle holes"),
    ("canvas_fit", {"gap_top_left": "0.26"}, By.SOON, "Top left corner 0.26 in out"),
    ("canvas_fit", {"gap_bottom_right": "1/2"}, By.SOON, "Bottom right corner"),
    ("canvas_fit", {"zips": "1"}, By.SOON, "3 of 4 zips do not run"),
    ("electrical_load", {"loaded": "10.4"}, By.SOON, "under 10.5 V"),
    ("electrical_load", {"idle": "15.6"}, By.USE, "switch it off"),
    ("electrical_load", {"under_load": "12.9"}, By.SOON, "under 13.0 V"),
    ("electrical_load", {"ripple": "0.51"}, By.SOON, "over 0.5 V"),
    ("electrical_load", {"idle": "15.1"}, By.SOON, "over 15.0 V"),
    ("flow_lockup", {"creeps": "yes"}, By.USE, "replace the regulator"),
    ("flow_lockup", {"lock_up": "14.1"}, By.USE, "lock-up over 14"),
    ("flow_lockup", {"running": "9.9"}, By.USE, "running under 10"),
    ("flow_lockup", {"running": "10.4"}, By.SOON, "set it"),
    ("flow_lockup", {"running": "11.6"}, By.SOON, "set it"),
    ("flow_lockup", {"two_stage": "no"}, By.USE, "Single-stage"),
    ("flow_lockup", {"vent": "no"}, By.USE, "vent blocked"),
    ("flow_lockup", {"changeover": "9.9"}, By.USE, "Changeover 9.9 in wc"),
    ("function", {"opens": "no"}, By.USE, "Main door: does not work"),
    ("function", {"holds": "no"}, By.USE, "Main door: does not work"),
    ("function", {"force": "51", "force_most": "50"}, By.USE, "by its maker"),
    ("hitch_setup", {"chains": "no"}, By.TOWING, "Chains not crossed"),
    ("hitch_setup", {"cable": "no"}, By.TOWING, "Breakaway cable"),
    ("hitch_setup", {"plug": "no"}, By.TOWING, "Plug not held"),
    ("hitch_setup", {"bolts": "no"}, By.TOWING, "Head bolts"),
    ("hitch_setup", {"chain_gap": "2"}, By.TOWING, "Chains 2 in over the ground"),
    ("hitch_setup", {"chain_gap": "13"}, By.TOWING, "Chains 13 in over the ground"),
    ("hitch_setup", {"links_right": "6"}, By.TOWING, "Links differ"),
    ("identity", {"frame": "1M8GDM9AXKP042789"}, By.TOWING, "plate and in the frame"),
    ("identity", {"papers": "1M8GDM9AXKP042789"}, By.TOWING, "plate and in the papers"),
    (
        "identity",
        {"frame": "X", "papers": "Y"},
        By.TOWING,
        "plate and in the frame and papers",
    ),
    ("identity", {"certification": "gone", "gvwr": "", "gawr": ""}, By.SOON, "maker of record"),
    ("identity", {"placard": "gone", "tires": ""}, By.SOON, "placard gone"),
    ("identity", {"recalls": "open"}, By.SOON, "Open recall: maker's list"),
    ("lift_test", {"holds": "no"}, By.USE, "Winch slips"),
    ("lift_test", {"cables": "no"}, By.USE, "Broken wires"),
    ("lift_test", {"supports": "no"}, By.USE, "Safety supports missing"),
    ("lift_test", {"play": "1/8"}, By.SOON, "Play 1/8 in"),
    ("bearing_adjustment", {"seal": "no"}, By.TOWING, "Old seal"),
    ("lights", {"ground": "dead"}, By.TOWING, "ground"),
    ("lights", {"charge": "dead"}, By.SOON, "charging line"),
    ("lights", {"reverse": "dead"}, By.SOON, "reverse lamp"),
    ("leak_test", {"soap": "bubbles"}, By.USE, "bubbles at a joint"),
    ("road_test", {"lag": "no"}, By.TOWING, "come on late"),
    ("lights", {"marker": "dark"}, By.TOWING, "side markers"),
    ("lights", {"plate": "dark", "reflectors": "dark"}, By.TOWING, "plate lamp; reflectors missing"),
    ("lights", {"volts_plug": "12.6", "volts_lamp": "11.5", "instrument": "5"}, By.SOON, "1.1 V lost"),
    ("mains_test", {"skin": "2.1"}, By.USE, "unplug it now"),
    ("mains_test", {"right": "4"}, By.USE, "2 of 6 outlets"),
    ("mains_test", {"button": "no"}, By.USE, "GFCI does not trip"),
    ("mains_test", {"tester": "no"}, By.USE, "GFCI does not trip"),
    ("mains_test", {"line": "99.9"}, By.USE, "outside 100 to 130 V"),
    ("mains_test", {"line": "130.1"}, By.USE, "outside 100 to 130 V"),
    ("marks_dates", {"good_to": "04-2026"}, By.USE, "Cylinder 1: ran out"),
    ("marks_dates", {"tested": "no"}, By.USE, "does not answer its test"),
    ("road_test", {"straight": "no"}, By.TOWING, "Pulls to one side"),
    ("road_test", {"lever": "no"}, By.TOWING, "Lever"),
    ("road_test", {"quiet": "no"}, By.SOON, "something loose"),
    ("road_test", {"turns": "no"}, By.TOWING, "pulled tight in a turn"),
    ("road_test", {"after": "no"}, By.TOWING, "A nut moved"),
    ("road_test", {"sway": "stays"}, By.TOWING, "longer than two swings"),
    ("road_test", {"hub_2_right": "201"}, By.TOWING, "over 200"),
    ("water_test", {"dry": "no"}, By.SOON, "Water comes in: left rear corner"),
    ("water_test", {"quiet": "no"}, By.SOON, "something leaks"),
    ("water_test", {"tank_dry": "no"}, By.TOWING, "joints drip"),
    ("water_test", {"valve": "no"}, By.TOWING, "cap drips"),
    ("water_test", {"end": "34.9"}, By.SOON, "over 5 psi"),
]


@pytest.mark.parametrize(("key", "changed", "by", "words"), TOLD)
def test_a_single_fault_says_which_and_by_when(key: str, changed: dict[str, str], by: By, words: str) -> None:
    found = judged(key, **changed).verdict
    assert (found.grade, found.by) == (NEEDS, by)
    assert words in found.says


STOPPED = [
    ("hitch_setup", {"pinned": "no"}, "Latch not pinned"),
    ("hitch_setup", {"clip": "no"}, "without its clip"),
    ("lift_test", {"latches": "no"}, "Latch does not shut"),
    ("lift_test", {"seated": "no"}, "Socket lifts off"),
    ("lift_test", {"latched": "no"}, "roof can lift"),
    ("lift_test", {"ball": "50", "coupler": "2"}, "Ball 50 under a coupler for 2"),
    ("bearing_adjustment", {"state": "worn"}, "fit a new one with its cup"),  # common practice
    ("lights", {"brake_feed": "dead"}, "brake feed"),  # 49 CFR 393.48(a): every brake works
    ("lights", {"tail": "dark"}, "No light: tail"),
    ("lights", {"tail": "none", "left": "dark"}, "No light: tail, turn left"),
    ("road_test", {"grips": "no"}, "A side does not grip"),
    ("road_test", {"sway": "grows"}, "Sway grows"),
    ("breakaway", {"wheels_held": "2"}, "2 of 4 wheels free"),
    ("breakaway", {"minutes": "14.9"}, "of 15 min"),
    ("breakaway", {"volts_end": "10.4"}, "under 10.5 V"),
    ("breakaway_pull", {"wheels_held": "2"}, "2 of 4 wheels free"),
    ("breakaway_pull", {"goes_on": "no"}, "does not go on and stay on"),
]


@pytest.mark.parametrize(("key", "changed", "words"), STOPPED)
def test_what_stops_the_tow_says_so_and_has_no_term(key: str, changed: dict[str, str], words: str) -> None:
    found = judged(key, **changed).verdict
    assert (found.grade, found.by) == (DNT, None)
    assert words in found.says


PROVES_NOTHING = [
    ("bearing_adjustment", {"measured": "hand", "play_1": "", "play_2": ""}, "put an indicator on it"),
    ("flow_lockup", {"burning": "36299"}, "Under half of the input"),
    ("flow_lockup", {"minutes": "0.5"}, "Lock-up after 0.5 of 1 min"),
    ("flow_lockup", {"lock_up": "10.9"}, "read both again"),
    ("identity", {"photo": "no"}, "no photograph"),
    ("identity", {"recalls": "no", "searched": ""}, "Recalls not searched"),
    ("lift_test", {"rise": "0.9"}, "Raised 0.9 of 1 in"),
    ("lift_test", {"minutes": "9"}, "Held 9 of 10 min"),
    ("water_test", {"minutes": "14"}, "of 15 min"),
    ("water_test", {"quiet_minutes": "9"}, "Pump watched for 9 of 10 min"),
    ("water_test", {"tank_minutes": "29"}, "Tank watched for 29 of 30 min"),
    ("water_test", {"start": "34", "end": "34"}, "not the pressure of this test"),
    ("water_test", {"start": "61", "end": "60"}, "not the pressure of this test"),
    ("water_test", {"start": "40", "end": "41"}, "the supply is not shut"),
    ("hitch_setup", {"front_engaged": "34 1/2"}, "wrong way round"),  # lower with the bars than without
]


@pytest.mark.parametrize(("key", "changed", "words"), PROVES_NOTHING)
def test_what_proves_nothing_leaves_the_record_unfinished(
    key: str, changed: dict[str, str], words: str
) -> None:
    found = judged(key, **changed)
    assert found.verdict.grade is UNSEEN
    assert found.unfinished
    assert not found.inside
    assert words in found.verdict.says


STILL_FINE = [
    ("appliance", {"seconds": "0"}),
    ("appliance", {"inside": "10", "outside": "1"}),  # 9 ppm over outside, the end included
    ("appliance", {"chamber": "none", "vent": "none"}),
    ("breakaway", {"minutes": "120"}),
    ("brake_readings", {"lining": "riveted", "lining_left": "4", "lining_right": "4"}),
    ("canvas_fit", {"exit": "none"}),
    ("canvas_fit", {"gap_top_left": "1/4"}),
    ("canvas_fit", {"zips": "0", "zips_all": "0"}),  # a wall without a zip
    ("electrical_load", {"idle": "14.4"}),
    ("electrical_load", {"idle": "13.2"}),
    ("flow_lockup", {"running": "10.5"}),
    ("flow_lockup", {"running": "11.5"}),
    ("flow_lockup", {"lock_up": "14"}),
    ("flow_lockup", {"burning": "36300"}),  # half of 72,600 Btu/h to the unit
    ("flow_lockup", {"changeover": ""}),  # one cylinder: nothing to change over to
    ("function", {"opens": "none"}),
    ("function", {"force": "40"}),  # measured, but no maker's figure to hold it against
    ("hitch_setup", {"cable": "none"}),
    ("hitch_setup", {"links_left": "", "links_right": ""}),
    ("identity", {"papers": "1m8gdm9a-xkp0-42788"}),  # grouped as papers print it, in any case
    ("bearing_adjustment", {"state": "shut", "inner": "", "outer": "", "seal": "", "seal_number": ""}),
    ("lights", dict.fromkeys(("ground", "brake_feed", "charge", "reverse"), "none")),
    ("leak_test", {"began": "23:58", "ended": "0:02"}),  # over midnight
    ("road_test", {"lag": "none"}),
    ("lights", {"marker": "none", "plate": "none"}),
    ("lights", {"volts_plug": "12.6", "volts_lamp": "11.6", "instrument": "5"}),
    ("mains_test", {"line": "100"}),
    ("mains_test", {"line": "130"}),
    ("mains_test", {"skin": "2"}),
    ("mains_test", {"button": "none", "tester": "none"}),  # no GFCI before the first outlets asked for one
    ("mains_test", {"ohms_skin": "", "ohms_gas": "", "ohms_outlet": ""}),
    ("road_test", {"grips": "none", "lever": "none"}),
    ("road_test", {"hub_2_left": "", "hub_2_right": ""}),
    ("water_test", {"sprayed": "canvas", "spray_minutes": "10"}),
    ("water_test", {"start": "60", "end": "55"}),
    ("water_test", {"start": "35", "end": "35"}),
]


@pytest.mark.parametrize(("key", "changed"), STILL_FINE)
def test_what_lies_on_the_limit_or_is_not_fitted_is_sound(key: str, changed: dict[str, str]) -> None:
    found = judged(key, **changed)
    assert found.verdict.grade is SOUND, found.verdict
    assert found.inside
    assert found.verdict.by is None


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"frame": "none found"}, "none in the frame"),
        ({"papers": "no papers"}, "none in the papers"),
        ({"frame": "None", "papers": "none"}, "none in the frame and papers"),
    ],
)
def test_a_number_that_stands_in_one_place_only_is_watched(changed: dict[str, str], words: str) -> None:
    found = judged("identity", **changed).verdict
    assert (found.grade, found.by) == (WATCH, None)
    assert words in found.says


# Several faults: the heaviest grade rules, the earliest term goes with it, no word is lost

SEVERAL = [
    # the term that comes later stands first in the list of the kind
    ("road_test", {"quiet": "no", "turns": "no"}, NEEDS, By.TOWING, ("loose", "turn")),
    ("road_test", {"quiet": "no", "sway": "stays"}, NEEDS, By.TOWING, ("loose", "swings")),
    ("road_test", {"quiet": "no", "after": "no"}, NEEDS, By.TOWING, ("loose", "nut")),
    ("water_test", {"dry": "no", "valve": "no"}, NEEDS, By.TOWING, ("Water comes in", "cap drips")),
    ("water_test", {"end": "30", "tank_dry": "no"}, NEEDS, By.TOWING, ("over 5 psi", "joints drip")),
    ("flow_lockup", {"running": "10.4", "vent": "no"}, NEEDS, By.USE, ("set it", "vent")),
    (
        "electrical_load",
        {"loaded": "10.4", "idle": "15.6"},
        NEEDS,
        By.USE,
        ("under 10.5 V", "switch it off"),
    ),
    ("hitch_setup", {"front_engaged": "33 3/4", "chains": "no"}, NEEDS, By.TOWING, ("book", "Chains")),
    ("lift_test", {"play": "1/8", "cables": "no"}, NEEDS, By.USE, ("Play", "Broken wires")),
    (
        "identity",
        {"frame": "X", "recalls": "open"},
        NEEDS,
        By.TOWING,
        ("differs", "Open recall"),
    ),
    # a heavier grade takes the place of all lighter ones
    ("road_test", {"grips": "no", "straight": "no"}, DNT, None, ("does not grip",)),
    ("lift_test", {"seated": "no", "rise": "1/2"}, DNT, None, ("Socket",)),
    ("lights", {"stop": "dark", "marker": "dark"}, DNT, None, ("stop",)),
    ("lift_test", {"latches": "no", "latched": "no"}, DNT, None, ("Latch does not shut", "roof latch")),
    # what needs work is said before what was not seen
    ("water_test", {"minutes": "10", "valve": "no"}, NEEDS, By.TOWING, ("cap drips",)),
    ("bearing_adjustment", {"measured": "hand", "cotter": "no"}, NEEDS, By.TOWING, ("cotter",)),
]


@pytest.mark.parametrize(("key", "changed", "grade", "by", "words"), SEVERAL)
def test_of_several_faults_the_earliest_term_rules_and_each_is_named(
    key: str, changed: dict[str, str], grade: Grade, by: By | None, words: tuple[str, ...]
) -> None:
    found = judged(key, **changed).verdict
    assert (found.grade, found.by) == (grade, by)
    assert all(word.lower() in found.says.lower() for word in words), found.says


def test_the_order_in_which_faults_are_found_does_not_change_the_term() -> None:
    told = [
        Verdict(NEEDS, "drips", By.SOON),
        Verdict(NEEDS, "shocks", By.USE),
        Verdict(NEEDS, "lets go", By.TOWING),
        Verdict(WATCH, "rattles"),
    ]
    for some in permutations(told):
        found = heaviest_of(some)
        assert (found.grade, found.by) == (NEEDS, By.TOWING)
        assert set(found.says.split("; ")) == {"drips", "shocks", "lets go"}
    assert heaviest_of(told[:2]).by is heaviest_of(told[1::-1]).by is By.USE


def test_the_same_words_are_said_once() -> None:
    twice = [Verdict(NEEDS, "drips", By.SOON), Verdict(NEEDS, "drips", By.TOWING)]
    assert (heaviest_of(twice).says, heaviest_of(twice).by) == ("drips", By.TOWING)

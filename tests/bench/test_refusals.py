"""Each row of each kind: what it must hold, the last figure that it takes, and the first that it does not.

The ends are those of the instrument or of the thing: a 12 V system does not read over 18 V, a water system is
not put under more than 150 psi, a trailer has no more than twelve braked wheels (common practice).
"""

from dataclasses import replace

import pytest

from app.bench.kinds import record_kinds
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.bench.test_kinds import FORMS, at, judged, problems

PICKED = {"appliance", "bearing_adjustment", "breakaway", "canvas_fit", "flow_lockup", "function", "identity"}


def said(key: str, **changed: str) -> dict[str, Problem]:
    """What is wrong with a form, by field; empty where nothing is."""
    kind, here = at(key)
    try:
        kind.read(Texts({**FORMS[key], **changed}), here)
    except Refused as refused:
        return {each.field: each for each in refused.problems}
    return {}


# What must be told: a row left empty is refused in its own words

MISSING = [
    ("appliance", "which", "Say which appliance"),
    ("appliance", "plate", "The plate is missing"),
    ("appliance", "by_whom", "The name is missing"),
    ("appliance", "chamber", "say yes or no"),
    ("appliance", "vent", "say yes or no"),
    ("appliance", "relief", "say yes or no"),
    ("appliance", "flame", "Say how it burns"),
    ("appliance", "seconds", "Time it"),
    ("appliance", "inside", "The reading is missing"),
    ("appliance", "outside", "The reading is missing"),
    ("appliance", "smell", "say yes or no"),
    ("bearing_adjustment", "state", "Say how they are"),
    ("bearing_adjustment", "inner", "Inner bearing: its number is missing"),
    ("bearing_adjustment", "outer", "Outer bearing: its number is missing"),
    ("bearing_adjustment", "seal_number", "Seal: its number is missing"),
    ("bearing_adjustment", "seal", "Say whether the seal is new"),
    ("bearing_adjustment", "way", "Say how the nut was set"),
    ("bearing_adjustment", "measured", "Say how end play was measured"),
    ("bearing_adjustment", "cotter", "Say whether the lock is new"),
    ("bearing_adjustment", "turns", "Say how the hub turns"),
    ("bearing_adjustment", "instrument", "The indicator is missing"),
    ("breakaway", "volts_start", "The voltage is missing"),
    ("breakaway", "volts_end", "The voltage is missing"),
    ("breakaway", "minutes", "The time is missing"),
    ("breakaway", "wheels_held", "Count missing"),
    ("breakaway", "wheels_braked", "Count missing"),
    ("breakaway_pull", "goes_on", "say yes or no"),
    ("breakaway_pull", "tried", "Say how they were tried"),
    ("breakaway_pull", "minutes", "The time is missing"),
    ("breakaway_pull", "wheels_held", "Count missing"),
    ("breakaway_pull", "wheels_braked", "Count missing"),
    ("breakaway_pull", "lets_go", "say yes or no"),
    ("breakaway_pull", "cable", "say yes or no"),
    ("brake_readings", "lining", "This belongs to what was read beside it"),
    ("brake_readings", "lining_left", "This belongs to what was read beside it"),
    ("brake_readings", "lining_right", "This belongs to what was read beside it"),
    ("canvas_fit", "piece", "Say which piece"),
    ("canvas_fit", "supports", "say yes or no"),
    ("canvas_fit", "closes", "say yes or no"),
    ("canvas_fit", "smooth", "say yes or no"),
    ("canvas_fit", "gap_top_left", "The corner is missing"),
    ("canvas_fit", "gap_top_right", "The corner is missing"),
    ("canvas_fit", "gap_bottom_left", "The corner is missing"),
    ("canvas_fit", "gap_bottom_right", "The corner is missing"),
    ("canvas_fit", "zips", "Count missing"),
    ("canvas_fit", "zips_all", "Count missing"),
    ("canvas_fit", "seams", "say yes or no"),
    ("canvas_fit", "exit", "say yes or no"),
    ("canvas_fit", "needle", "say yes or no"),
    ("electrical_load", "battery", "The battery is not whole"),
    ("electrical_load", "rested", "The battery is not whole"),
    ("electrical_load", "warmth", "The battery is not whole"),
    ("electrical_load", "loaded", "The battery is not whole"),
    ("electrical_load", "idle", "The converter is not whole"),
    ("electrical_load", "under_load", "The converter is not whole"),
    ("electrical_load", "wire", "The fuse is not whole"),
    ("electrical_load", "fuse", "The fuse is not whole"),
    ("electrical_load", "at_plug", "What the lamps get is not whole"),
    ("electrical_load", "at_lamp", "What the lamps get is not whole"),
    ("electrical_load", "in_ground", "What the lamps get is not whole"),
    ("flow_lockup", "two_stage", "say yes or no"),
    ("flow_lockup", "vent", "say yes or no"),
    ("flow_lockup", "all_input", "The input is missing"),
    ("flow_lockup", "burning", "The input is missing"),
    ("flow_lockup", "running", "The pressure is missing"),
    ("flow_lockup", "lock_up", "The pressure is missing"),
    ("flow_lockup", "minutes", "The time is missing"),
    ("flow_lockup", "creeps", "Say whether it still rises"),
    ("function", "what", "Say what was tried"),
    ("function", "opens", "Say whether it works"),
    ("function", "holds", "Say whether it holds"),
    ("hitch_setup", "frame_front", "Front of the frame: the height is missing"),
    ("hitch_setup", "frame_rear", "Rear of the frame: the height is missing"),
    ("hitch_setup", "front_alone", "The front fender is not whole"),
    ("hitch_setup", "rear_engaged", "The rear fender is not whole"),
    ("hitch_setup", "links_left", "The other side is missing"),
    ("hitch_setup", "links_right", "The other side is missing"),
    ("hitch_setup", "bolts", "say yes or no"),
    ("hitch_setup", "pinned", "say yes or no"),
    ("hitch_setup", "clip", "say yes or no"),
    ("hitch_setup", "chains", "say yes or no"),
    ("hitch_setup", "chain_gap", "The gap is missing"),
    ("hitch_setup", "cable", "say yes or no"),
    ("hitch_setup", "plug", "say yes or no"),
    ("identity", "of_kind", "Say what kind of number it is"),
    ("identity", "plate", "The plate's number is missing"),
    ("identity", "frame", "Say what the frame shows"),
    ("identity", "papers", "Say what the papers show"),
    ("identity", "photo", "Say yes or no"),
    ("identity", "certification", "Say yes or no"),
    ("identity", "gvwr", "The label is there, so it is copied"),
    ("identity", "gawr", "The label is there, so it is copied"),
    ("identity", "placard", "Say yes or no"),
    ("identity", "tires", "The label is there, so it is copied"),
    ("identity", "recalls", "Say whether recalls were searched"),
    ("identity", "searched", "Say where and when it was searched"),
    ("leak_test", "minutes", ""),
    ("leak_test", "began", "The time is missing"),
    ("leak_test", "ended", "The time is missing"),
    ("leak_test", "soap", "Say what the soap showed"),
    ("lift_test", "ball", "The coupler is not whole"),
    ("lift_test", "coupler", "The coupler is not whole"),
    ("lift_test", "latches", "The coupler is not whole"),
    ("lift_test", "seated", "The coupler is not whole"),
    ("lift_test", "play", "The coupler is not whole"),
    ("lift_test", "supports", "The roof is not whole"),
    ("lift_test", "cables", "The roof is not whole"),
    ("lift_test", "holds", "The roof is not whole"),
    ("lift_test", "minutes", "The roof is not whole"),
    ("lift_test", "high_rear_right", "The roof is not whole"),
    ("lift_test", "latched", "The roof is not whole"),
    ("lights", "tail", "Tail: not looked at"),
    ("lights", "stop", "Stop: not looked at"),
    ("lights", "left", "Turn left: not looked at"),
    ("lights", "right", "Turn right: not looked at"),
    ("lights", "marker", "not looked at"),
    ("lights", "plate", "Plate lamp: not looked at"),
    ("lights", "reflectors", "not looked at"),
    ("lights", "ground", "Ground, wire and pin: not looked at"),
    ("lights", "brake_feed", "not looked at"),
    ("lights", "charge", "not looked at"),
    ("lights", "reverse", "not looked at"),
    ("mains_test", "dead", "say yes or no"),
    ("mains_test", "neutral", "say yes or no"),
    ("mains_test", "by_whom", "need the name of a qualified person"),
    ("mains_test", "line", "The live test is not whole"),
    ("mains_test", "skin", "The live test is not whole"),
    ("mains_test", "right", "The live test is not whole"),
    ("mains_test", "outlets", "The live test is not whole"),
    ("mains_test", "button", "The live test is not whole"),
    ("mains_test", "tester", "The live test is not whole"),
    ("marks_dates", "what", "Say what it is"),
    ("marks_dates", "mark", "The mark is missing"),
    ("marks_dates", "good_to", "The date is missing"),
    ("marks_dates", "tested", "Say whether it works"),
    ("road_test", "tow_vehicle", "The tow vehicle is missing"),
    ("road_test", "road", "The road is missing"),
    ("road_test", "second_person", "the second one is missing"),
    ("road_test", "miles", "The miles are missing"),
    ("road_test", "grips", "say yes or no"),
    ("road_test", "what", "Say which"),
    ("road_test", "speed", "The stop from about 20 mph is missing"),
    ("road_test", "distance", "The stop from about 20 mph is missing"),
    ("road_test", "straight", "say yes or no"),
    ("road_test", "lag", "say yes or no"),
    ("road_test", "lever", "say yes or no"),
    ("road_test", "sway", "say what it did"),
    ("road_test", "quiet", "say yes or no"),
    ("road_test", "turns", "say yes or no"),
    ("road_test", "hub_1_left", "the temperature is missing"),
    ("road_test", "hub_1_right", "the temperature is missing"),
    ("road_test", "after", "say yes or no"),
    ("tires_fitted", "tin", "The number is missing"),
    ("tires_fitted", "size", "The size is missing"),
    ("tires_fitted", "load", "The load is missing"),
    ("tires_fitted", "placard", "The pressure is missing"),
    ("tires_fitted", "most", "The pressure is missing"),
    ("tires_fitted", "pressure", "The pressure is missing"),
    ("water_test", "sprayed", "The spray is not whole"),
    ("water_test", "spray_minutes", "The spray is not whole"),
    ("water_test", "dry", "The spray is not whole"),
    ("water_test", "start", "The pressure test is not whole"),
    ("water_test", "minutes", "The pressure test is not whole"),
    ("water_test", "quiet_minutes", "The pump test is not whole"),
    ("water_test", "quiet", "The pump test is not whole"),
    ("water_test", "tank_minutes", "The tank test is not whole"),
    ("water_test", "tank_dry", "The tank test is not whole"),
    ("water_test", "valve", "The tank test is not whole"),
    ("axle_tape", "tape_left", "Square is not whole"),
    ("axle_tape", "ball_to_axle", "Square is not whole"),
    ("axle_tape", "next_left", "The distance of the axles is not whole"),
    ("axle_tape", "toe_across", "Toe is not whole"),
    ("axle_tape", "camber_tall", "Camber is not whole"),
    ("axle_tape", "front_right", "The height at the front is not whole"),
    ("axle_tape", "rear_left", "The height at the rear is not whole"),
]


@pytest.mark.parametrize(("key", "field", "words"), MISSING)
def test_a_row_left_empty_is_named_in_its_own_words(key: str, field: str, words: str) -> None:
    found = said(key, **{field: ""})
    assert field in found
    assert words in found[field].says
    assert not found[field].ask


@pytest.mark.parametrize(("key", "field", "words"), [each for each in MISSING if each[0] in PICKED])
def test_blanks_are_as_good_as_nothing(key: str, field: str, words: str) -> None:
    assert words in said(key, **{field: "  "})[field].says


# Ends of what is taken: (kind, field, the last figure, the first beyond)

ENDS = [
    ("appliance", "seconds", "600", "601"),
    ("appliance", "seconds", "0", "-1"),
    ("appliance", "inside", "2000", "2001"),
    ("appliance", "outside", "0", "-0.1"),
    ("axle_tape", "tape_left", "600", "601"),
    ("axle_tape", "toe_across", "1", "0.9"),
    ("axle_tape", "camber_left", "3", "3.1"),
    ("axle_tape", "camber_right", "-3", "-3.1"),
    ("bearing_adjustment", "play_2", "0.5", "0.51"),
    ("breakaway", "minutes", "120", "121"),
    ("breakaway", "volts_start", "18", "18.1"),
    ("breakaway", "volts_end", "0", "-0.1"),
    ("breakaway", "amps_start", "60", "61"),
    ("breakaway", "wheels_braked", "12", "13"),
    ("breakaway_pull", "pull", "5000", "5001"),
    ("breakaway_pull", "minutes", "120", "121"),
    ("brake_readings", "lining_left", "16", "17"),
    ("canvas_fit", "gap_top_left", "12", "12.1"),
    ("canvas_fit", "zips_all", "60", "61"),
    ("electrical_load", "warmth", "-40", "-41"),
    ("electrical_load", "warmth", "150", "151"),
    ("electrical_load", "rested", "18", "18.1"),
    ("electrical_load", "loaded", "0.1", "0"),
    ("electrical_load", "ripple", "10", "10.1"),
    ("electrical_load", "fuse", "300", "301"),
    ("flow_lockup", "all_input", "500000", "500001"),
    ("flow_lockup", "burning", "1", "0"),
    ("flow_lockup", "running", "60", "61"),
    ("flow_lockup", "changeover", "60", "61"),
    ("flow_lockup", "minutes", "60", "61"),
    ("function", "force", "1000", "1001"),
    ("hitch_setup", "frame_front", "4", "3.9"),
    ("hitch_setup", "frame_rear", "80", "81"),
    ("hitch_setup", "chain_gap", "30", "31"),
    ("hitch_setup", "goal", "100", "101"),
    ("lift_test", "rise", "12", "12.1"),
    ("lift_test", "play", "1", "1.1"),
    ("lift_test", "minutes", "120", "121"),
    ("lift_test", "high_front_left", "150", "151"),
    ("lights", "volts_plug", "18", "18.1"),
    ("lights", "volts_lamp", "0", "-0.1"),
    ("mains_test", "ohms_frame", "1000000", "1000001"),
    ("mains_test", "line", "300", "301"),
    ("mains_test", "skin", "300", "301"),
    ("mains_test", "outlets", "60", "61"),
    ("road_test", "miles", "0.1", "0"),
    ("road_test", "miles", "100", "101"),
    ("road_test", "speed", "18", "17.9"),
    ("road_test", "speed", "22", "22.1"),
    ("road_test", "distance", "300", "301"),
    ("road_test", "hub_1_left", "-20", "-21"),
    ("road_test", "hub_2_right", "900", "901"),
    ("tires_fitted", "load", "200", "199"),
    ("tires_fitted", "load", "9000", "9001"),
    ("tires_fitted", "pressure", "0", "-1"),
    ("tires_fitted", "most", "150", "151"),
    ("water_test", "start", "150", "151"),
    ("water_test", "spray_minutes", "0.5", "0.4"),
    ("water_test", "tank_minutes", "1440", "1441"),
]


@pytest.mark.parametrize(("key", "field", "last", "beyond"), ENDS)
def test_a_row_takes_its_last_figure_and_none_beyond(key: str, field: str, last: str, beyond: str) -> None:
    assert field not in {name for name, each in said(key, **{field: last}).items() if not each.ask}
    found = said(key, **{field: beyond})
    assert field in found
    assert not found[field].ask


# Choices


@pytest.mark.parametrize("key", sorted(FORMS))
def test_a_choice_that_is_none_of_the_list_is_refused_with_the_list(key: str) -> None:
    kind, here = at(key)
    rows = list(kind.draw(Texts(kind.start(here)), here).get("rows", ()))  # type: ignore[call-overload]  # rows
    for row in (each for each in rows if each.options and FORMS[key].get(each.name)):
        for typed in ("YES", "perhaps", row.options[0][1] + "!"):
            found = said(key, **{row.name: typed})
            assert found[row.name].says
            assert not found[row.name].ask
            assert all(word in found[row.name].accepts for _, word in row.options)


# What two rows say together


TOGETHER = [
    ("breakaway", {"wheels_held": "4", "wheels_braked": "3"}, "wheels_held", "More wheels hold"),
    ("breakaway", {"wheels_braked": "4.5"}, "wheels_braked", "a whole number from"),
    ("brake_readings", {"magnet": "10", "ohms_left": "3.3"}, "ohms_right", "belongs"),
    ("brake_readings", {"ohms_left": "3.3", "ohms_right": "3.3"}, "magnet", "belongs"),
    ("brake_readings", {"volts": "12.5", "amps": "7.5"}, "magnet", "belongs"),
    ("brake_readings", {"magnet": "10", "volts": "12.5"}, "amps", "belongs"),
    ("brake_readings", {"drum_right_2": "10.02"}, "drum_right_1", "belongs"),
    ("canvas_fit", {"zips": "5"}, "zips", "More zips run"),
    ("canvas_fit", {"zips_all": "4.5"}, "zips_all", "a whole number from"),
    ("flow_lockup", {"burning": "72601"}, "burning", "More burns than there is"),
    ("function", {"opens": "none", "holds": "none"}, "opens", "Nothing was tried"),
    ("hitch_setup", {"links_left": "5.5", "links_right": "5.5"}, "links_left", "a whole number from"),
    ("leak_test", {"began": "10:05", "ended": "10:07", "minutes": "4"}, "ended", "The clock says 2 min"),
    ("leak_test", {"began": "25:05"}, "began", "not a time of the day"),
    ("leak_test", {"ended": "ten"}, "ended", "not a time of the day"),
    ("lights", {"volts_lamp": "12.0"}, "volts_plug", "both ends"),
    ("mains_test", {"dead": "no"}, "dead", "must be dead"),
    ("mains_test", {"right": "7"}, "right", "More outlets are right"),
    ("mains_test", {"right": "0", "outlets": "0"}, "right", "at least 1"),
    ("mains_test", {"outlets": "6.5"}, "outlets", "a whole number from"),
    ("marks_dates", {"made": "06-2026"}, "made", "still to come"),
    ("marks_dates", {"made": "03-2021", "good_to": "02-2021"}, "good_to", "before it was made"),
    ("tires_fitted", {"most": "49"}, "most", "asks for more"),
    ("water_test", {"dry": "no", "where": ""}, "where", "Say where it came in"),
]


@pytest.mark.parametrize(("key", "changed", "field", "words"), TOGETHER)
def test_what_two_rows_cannot_say_together_is_refused_at_one(
    key: str, changed: dict[str, str], field: str, words: str
) -> None:
    found = said(key, **changed)
    assert field in found
    assert words in f"{found[field].says}, {found[field].accepts}"


@pytest.mark.parametrize(
    ("key", "changed"),
    [
        ("breakaway", {"wheels_held": "0", "wheels_braked": "1"}),
        ("flow_lockup", {"burning": "72600"}),
        ("mains_test", {"right": "0"}),
        ("mains_test", {"right": "60", "outlets": "60"}),
        ("marks_dates", {"made": "05-2026"}),
        ("marks_dates", {"made": "05-2026", "good_to": "05-2026"}),
        ("tires_fitted", {"most": "50", "placard": "50"}),
        ("water_test", {"where": ""}),
        ("function", {"opens": "none"}),
        ("identity", {"recalls": "no", "searched": ""}),
        ("identity", {"placard": "gone", "tires": ""}),
    ],
)
def test_what_two_rows_can_just_say_together_is_kept(key: str, changed: dict[str, str]) -> None:
    assert said(key, **changed) == {}


# Asked once, kept when the same text comes back, asked again when it is another


ASKED = [
    ("axle_tape", "tape_right", "197.5"),  # over 1 1/2 in from the left one
    ("bearing_adjustment", "play_1", "0"),
    ("bearing_adjustment", "play_2", "0.031"),
    ("breakaway", "volts_start", "8.9"),
    ("breakaway", "volts_end", "15.1"),
    ("electrical_load", "rested", "7.9"),
    ("electrical_load", "idle", "16.1"),
    ("road_test", "distance", "12"),
]


@pytest.mark.parametrize(("key", "field", "typed"), ASKED)
def test_the_unlikely_is_asked_once_and_kept_as_confirmed(key: str, field: str, typed: str) -> None:
    [problem] = problems(key, **{field: typed})
    assert (problem.field, problem.ask) == (field, True)
    confirmed = {field: typed, f"confirm-{field}": typed}
    assert said(key, **confirmed) == {}
    again = said(key, **confirmed | {f"confirm-{field}": f"{typed}1"})
    assert again[field].ask


# Kinds that hold several tests: none is refused, one alone is enough


PARTS = {
    "axle_tape": (("next_left", "next_right"), ("front_left", "front_right"), ("rear_left", "rear_right")),
    "electrical_load": (("wire", "fuse"), ("idle", "under_load", "ripple")),
    "water_test": (("start", "end", "minutes"), ("quiet_minutes", "quiet")),
    "brake_readings": (("lining", "lining_left", "lining_right"),),
    "lift_test": (("ball", "coupler", "latches", "rise", "seated", "play"),),
}


@pytest.mark.parametrize(("key", "part"), [(key, part) for key, parts in PARTS.items() for part in parts])
def test_one_test_of_a_kind_is_enough_and_none_is_too_little(key: str, part: tuple[str, ...]) -> None:
    kind, here = at(key)
    tool = {"instrument": FORMS[key].get("instrument", "")}
    alone = {name: FORMS[key][name] for name in part} | tool
    record = kind.read(Texts(alone), here)
    assert kind.judge(record, here).verdict.grade is Grade.SOUND
    with pytest.raises(Refused) as refused:
        kind.read(Texts(tool), here)
    assert "Nothing was read" in " ".join(each.says for each in refused.value.problems)


def test_the_roof_of_a_unit_that_has_none_is_not_asked_for() -> None:
    kind, here = at("lift_test")
    shown = kind.draw(Texts({}), replace(here, unit_kind="utility"))["rows"]
    assert not [row for row in shown if row.name in ("supports", "latched")]  # type: ignore[attr-defined]  # rows
    both = kind.draw(Texts({}), replace(here, unit_kind="tent"))["rows"]
    assert {"supports", "latched"} <= {row.name for row in both}  # type: ignore[attr-defined]  # rows


@pytest.mark.parametrize(("axles", "most"), [(1, 1), (2, 2), (3, 3)])
def test_a_road_test_reads_as_many_hubs_as_the_trailer_has(axles: int, most: int) -> None:
    kind, here = at("road_test")
    rows = kind.draw(Texts({}), replace(here, axles=axles))["rows"]
    hubs = [row.name for row in rows if row.name.startswith("hub_")]  # type: ignore[attr-defined]  # rows
    assert hubs == [f"hub_{n}_{side}" for n in range(1, most + 1) for side in ("left", "right")]


# 49 CFR 393.52(d): 35 ft for a combination whose trailer has a GVWR of 3,000 lb or less, 40 ft for any other
@pytest.mark.parametrize(
    ("gvwr", "unit", "what"),
    [
        ("3000", "lb", "light"),
        ("3001", "lb", "other"),
        ("1360", "kg", "light"),
        ("1361", "kg", "other"),
        ("", "lb", "other"),
        ("about 2000", "lb", "other"),
    ],
)
def test_the_usual_stop_follows_the_rating_of_the_trailer(gvwr: str, unit: str, what: str) -> None:
    kind, here = at("road_test")
    assert kind.start(replace(here, gvwr=gvwr, gawr_unit=unit))["what"] == what


@pytest.mark.parametrize(("what", "distance", "inside"), [("light", "35", True), ("light", "36", False)])
def test_a_light_combination_stops_in_thirty_five_feet(what: str, distance: str, inside: bool) -> None:
    assert judged("road_test", what=what, distance=distance).inside is inside


def test_every_kind_of_rows_is_tried_here() -> None:
    own = {"balance", "wheel_torque", "scale_tickets", "moisture_map", "fastener_torque", "figures"}
    assert {key for key, _, _ in MISSING} == set(record_kinds()) - own

"""Each limit of each kind from both sides: what is just inside, and what is just beyond.

A limit that is only tried from afar may sit anywhere in between. The pairs go through the form.
"""

from dataclasses import dataclass

import pytest

from app.bench.kinds import record_kinds
from app.trade.figure import HEAVIEST_FIRST, Grade
from app.trade.typed import Texts
from tests.bench.test_kinds import FORMS, at, judged, problems


@dataclass(frozen=True)
class Limit:
    """A field with what still is inside and what is beyond, and the grade beyond."""

    kind: str
    inside: dict[str, str]
    beyond: dict[str, str]
    grade: Grade

    def __str__(self) -> str:
        return f"{self.kind}: {', '.join(f'{name} {text}' for name, text in self.beyond.items())}"


LIMITS = [
    # Breakaway: 15 minutes, 49 CFR 393.43(d); 10.5 V under load, common practice for a 12 V battery
    Limit("breakaway", {"minutes": "15"}, {"minutes": "14.9"}, Grade.DNT),
    Limit("breakaway", {"volts_end": "10.5"}, {"volts_end": "10.4"}, Grade.DNT),
    # A surge lever or an air line: the same 15 minutes, and no battery to read
    Limit("breakaway_pull", {"minutes": "15"}, {"minutes": "14.9"}, Grade.DNT),
    Limit("breakaway_pull", {"wheels_held": "4"}, {"wheels_held": "3"}, Grade.DNT),
    # Lining: 1/16 in over the shoe bonded, 1/32 in over the rivet, 49 CFR 570.59(c); shop advice at 3/32 in
    Limit("brake_readings", {"lining_left": "3"}, {"lining_left": "2.9"}, Grade.NEEDS),
    Limit(
        "brake_readings",
        {"lining": "riveted", "lining_left": "3", "lining_right": "3"},
        {"lining": "riveted", "lining_left": "0.9", "lining_right": "3"},
        Grade.DNT,
    ),
    # End play: 0.001 to 0.010 in, common practice for light hubs; 0.005 in, TMC RP 618 for heavy ones
    Limit("bearing_adjustment", {"play_2": "0.010"}, {"play_2": "0.011"}, Grade.NEEDS),
    Limit(
        "bearing_adjustment",
        {"way": "heavy", "play_2": "0.005"},
        {"way": "heavy", "play_2": "0.006"},
        Grade.NEEDS,
    ),
    # Lock-up: 1 minute at least, common practice; changeover at least 10 in wc, common practice
    Limit("flow_lockup", {"minutes": "1"}, {"minutes": "0.9"}, Grade.UNSEEN),
    Limit("flow_lockup", {"changeover": "10"}, {"changeover": "9.9"}, Grade.NEEDS),
    # Road test: sway, pull, and what was heard
    Limit("road_test", {"sway": "none"}, {"sway": "stays"}, Grade.NEEDS),
    Limit("road_test", {"sway": "none"}, {"sway": "grows"}, Grade.DNT),
    Limit("road_test", {"grips": "none"}, {"grips": "no"}, Grade.DNT),
    Limit("road_test", {"straight": "yes"}, {"straight": "no"}, Grade.NEEDS),
    Limit("road_test", {"turns": "yes"}, {"turns": "no"}, Grade.NEEDS),
    Limit("road_test", {"after": "yes"}, {"after": "no"}, Grade.NEEDS),
    # 40 ft from 20 mph for a combination: 49 CFR 393.52(d) table
    Limit("road_test", {"distance": "40"}, {"distance": "41"}, Grade.NEEDS),
    # Hitch: nose up at most 1 in is the shop's aim; chains 3 to 12 in over the ground, common practice
    Limit("hitch_setup", {"chain_gap": "3"}, {"chain_gap": "2.9"}, Grade.NEEDS),
    Limit("hitch_setup", {"chain_gap": "12"}, {"chain_gap": "12.1"}, Grade.NEEDS),
    Limit("hitch_setup", {"links_left": "5", "links_right": "5"}, {"links_right": "6"}, Grade.NEEDS),
    Limit("hitch_setup", {"pinned": "yes"}, {"pinned": "no"}, Grade.DNT),
    Limit("hitch_setup", {"clip": "yes"}, {"clip": "no"}, Grade.DNT),
    Limit("hitch_setup", {"chains": "yes"}, {"chains": "no"}, Grade.NEEDS),
    Limit("hitch_setup", {"cable": "none"}, {"cable": "no"}, Grade.NEEDS),
    Limit("hitch_setup", {"plug": "yes"}, {"plug": "no"}, Grade.NEEDS),
    Limit("hitch_setup", {"bolts": "yes"}, {"bolts": "no"}, Grade.NEEDS),
    # Lift test: 1 in of rise shows that the coupler holds, 1/16 in of play, 10 minutes: common practice
    Limit("lift_test", {"rise": "1"}, {"rise": "15/16"}, Grade.UNSEEN),
    Limit("lift_test", {"play": "1/16"}, {"play": "5/64"}, Grade.NEEDS),
    Limit("lift_test", {"minutes": "10"}, {"minutes": "9.9"}, Grade.UNSEEN),
    Limit("lift_test", {"coupler": "2", "ball": "2"}, {"ball": "1 7/8"}, Grade.DNT),
    Limit("lift_test", {"latches": "yes"}, {"latches": "no"}, Grade.DNT),
    Limit("lift_test", {"seated": "yes"}, {"seated": "no"}, Grade.DNT),
    Limit("lift_test", {"latched": "yes"}, {"latched": "no"}, Grade.DNT),
    Limit("lift_test", {"holds": "yes"}, {"holds": "no"}, Grade.NEEDS),
    Limit("lift_test", {"cables": "yes"}, {"cables": "no"}, Grade.NEEDS),
    # Appliance: thermocouple shut in 90 s, CO at most 9 ppm over outside (EPA's 8 h figure): common practice
    Limit("appliance", {"seconds": "90"}, {"seconds": "91"}, Grade.NEEDS),
    Limit("appliance", {"inside": "9", "outside": "0"}, {"inside": "10", "outside": "0"}, Grade.NEEDS),
    Limit("appliance", {"flame": "blue"}, {"flame": "yellow"}, Grade.NEEDS),
    Limit("appliance", {"smell": "yes"}, {"smell": "no"}, Grade.NEEDS),
    Limit("appliance", {"chamber": "none"}, {"chamber": "no"}, Grade.NEEDS),
    Limit("appliance", {"vent": "none"}, {"vent": "no"}, Grade.NEEDS),
    Limit("appliance", {"relief": "none"}, {"relief": "no"}, Grade.NEEDS),
    # Water: 15 minutes on a roof, 40 psi that fall by at most 5, pump 10, tank 30 minutes: common practice
    Limit("water_test", {"spray_minutes": "15"}, {"spray_minutes": "14.5"}, Grade.UNSEEN),
    Limit("water_test", {"minutes": "15"}, {"minutes": "14.5"}, Grade.UNSEEN),
    Limit("water_test", {"quiet_minutes": "10"}, {"quiet_minutes": "9.5"}, Grade.UNSEEN),
    Limit("water_test", {"tank_minutes": "30"}, {"tank_minutes": "29.5"}, Grade.UNSEEN),
    Limit("water_test", {"tank_dry": "yes"}, {"tank_dry": "no"}, Grade.NEEDS),
    Limit("water_test", {"valve": "yes"}, {"valve": "no"}, Grade.NEEDS),
    Limit("water_test", {"quiet": "yes"}, {"quiet": "no"}, Grade.NEEDS),
    # Mains: 1 ohm from metal to the inlet's ground, neutral apart: NFPA 70 article 551, from memory
    Limit("mains_test", {"ohms_skin": "1"}, {"ohms_skin": "1.1"}, Grade.NEEDS),
    Limit("mains_test", {"neutral": "yes"}, {"neutral": "no"}, Grade.NEEDS),
    # Electrical: 10.5 V after 5 min at 20 A; converter at least 13.0 V; fuse by the wire: common practice
    Limit("electrical_load", {"loaded": "10.5"}, {"loaded": "10.4"}, Grade.NEEDS),
    Limit("electrical_load", {"under_load": "13.0"}, {"under_load": "12.9"}, Grade.NEEDS),
    Limit("electrical_load", {"ripple": "0.5"}, {"ripple": "0.6"}, Grade.NEEDS),
    Limit("electrical_load", {"wire": "14", "fuse": "15"}, {"wire": "14", "fuse": "20"}, Grade.NEEDS),
    Limit("electrical_load", {"in_ground": "0.2"}, {"in_ground": "0.3"}, Grade.NEEDS),
    # Lamps: 49 CFR 393.11 table 1 for what must be lit
    Limit("lights", {"stop": "lit"}, {"stop": "dark"}, Grade.DNT),
    Limit("lights", {"left": "lit"}, {"left": "dark"}, Grade.DNT),
    Limit("lights", {"right": "lit"}, {"right": "dark"}, Grade.DNT),
    Limit("lights", {"marker": "lit"}, {"marker": "dark"}, Grade.NEEDS),
    Limit("lights", {"reflectors": "lit"}, {"reflectors": "dark"}, Grade.NEEDS),
    # Function test: what its maker allows, end included
    Limit(
        "function", {"force": "50", "force_most": "50"}, {"force": "50.1", "force_most": "50"}, Grade.NEEDS
    ),
    Limit("function", {"opens": "none"}, {"opens": "no"}, Grade.NEEDS),
    # Bolts: the maker's own figure, ends included, a wrench of 4 % (ISO 6789-1)
    Limit("fastener_torque", {"r-2": "70"}, {"r-2": "69.9"}, Grade.DNT),
    Limit("fastener_torque", {"r-2": "85"}, {"r-2": "88.5"}, Grade.NEEDS),  # 85 ÷ 0.96 = 88.54
    Limit("fastener_torque", {"thread": "1/4"}, {"thread": "15/64"}, Grade.NEEDS),  # COMAR 11.14.05.03(2)
    # Dates run to the end of their month: 49 CFR 180.209(a)
    Limit("marks_dates", {"good_to": "05-2026"}, {"good_to": "04-2026"}, Grade.NEEDS),
    # Cold pressure at least 80 % of the placard: common practice
    Limit("tires_fitted", {"pressure": "50"}, {"pressure": "30"}, Grade.NEEDS),
]


def confirmed(changed: dict[str, str]) -> dict[str, str]:
    """A change with each of its values confirmed, so that the unlikely is kept."""
    return changed | {f"confirm-{name}": text for name, text in changed.items()}


@pytest.mark.parametrize("limit", LIMITS, ids=str)
def test_a_limit_holds_on_both_sides(limit: Limit) -> None:
    inside = judged(limit.kind, **confirmed(limit.inside)).verdict.grade
    beyond = judged(limit.kind, **confirmed(limit.beyond)).verdict.grade
    assert inside in (Grade.SOUND, Grade.WATCH)
    assert beyond is limit.grade
    assert HEAVIEST_FIRST.index(beyond) < HEAVIEST_FIRST.index(inside)


def test_every_measured_kind_has_a_limit_here_or_a_test_of_its_own() -> None:
    elsewhere = {
        *("wheel_torque", "balance", "scale_tickets", "leak_test", "moisture_map"),  # a file each
        *("axle_tape", "canvas_fit", "identity", "figures"),  # with the shop's records and figures
    }
    assert {limit.kind for limit in LIMITS} | elsewhere == set(record_kinds())


# What stands beside the figure on paper


@pytest.mark.parametrize("key", [key for key in FORMS if FORMS[key].get("instrument")])
def test_the_instrument_stands_in_the_record_as_it_was_that_day(key: str) -> None:
    kind, here = at(key)
    record = kind.read(Texts(FORMS[key]), here)
    tool = next(each for each in here.tools if str(each.id) == FORMS[key]["instrument"])
    assert (record.instrument.id, record.instrument.name) == (tool.id, tool.name)
    assert record.instrument.calibration == tool.calibration(here.on)
    assert str(record.instrument).startswith(tool.name)


@pytest.mark.parametrize("key", [key for key in FORMS if FORMS[key].get("instrument")])
def test_an_instrument_that_the_shop_does_not_have_is_refused(key: str) -> None:
    for raw in ("404", "x", "-1", "1 OR 1"):
        found = [each for each in problems(key, instrument=raw) if each.field == "instrument"]
        assert found
        assert not found[0].ask


@pytest.mark.parametrize("key", FORMS)
def test_no_two_rows_of_a_form_share_a_field_or_go_without_a_label(key: str) -> None:
    kind, here = at(key)
    rows = list(kind.draw(Texts(kind.start(here)), here).get("rows", ()))  # type: ignore[call-overload]  # rows
    names = [row.name for row in rows]
    assert len(set(names)) == len(names)
    assert all(row.label and all(word for _, word in row.options) for row in rows)


@pytest.mark.parametrize("key", FORMS)
def test_a_verdict_says_why_in_words_without_a_full_stop(key: str) -> None:
    says = judged(key).verdict.says
    assert says == says.strip()
    assert not says.endswith(".")


@pytest.mark.parametrize("key", FORMS)
def test_every_figure_names_its_formula_and_source(key: str) -> None:
    for each in judged(key).figures:
        assert each.name
        assert each.formula
        assert str(each.source)

"""The kinds that are lists of rows: what each takes, how it is judged. And what every kind must keep."""

import ast
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.bench import records
from app.bench.kinds import Context, Judged, RecordKind, Tool, heaviest_of, record_kinds, title_of
from app.inspection.catalogue import Catalogue
from app.trade.figure import Grade, Verdict
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.bench.contexts import TOOLS, context
from tests.bench.filled import FILLED
from tests.bench.filled import PLACES as FILLED_PLACES
from tests.bench.filled import TOOLS as MORE_TOOLS
from tests.bench.stay import catalogue

DIAL = Tool(7, "Dial 1", "dial indicator", "in", "0", "1", date(2027, 1, 1))
HERE = context(tools=(*TOOLS, *MORE_TOOLS, DIAL), gawr=("3500", "3500"), axles=2)

FORMS: dict[str, dict[str, str]] = {
    "bearing_adjustment": {
        "state": "clean",
        "inner": "L68149 / L68111",
        "outer": "L44649 / L44610",
        "seal": "yes",
        "seal_number": "1.719 x 2.565 in",
        "way": "light",
        "measured": "indicator",
        "play_1": "0.003",
        "play_2": "0.005",
        "cotter": "yes",
        "turns": "free",
        "instrument": "7",
    },
    "tires_fitted": {
        "tin": "1ABC2D3EF 3025",
        "size": "ST205/75R14",
        "load": "1760",
        "placard": "50",
        "most": "50",
        "pressure": "50",
    },
    "breakaway": {
        "volts_start": "12.6",
        "minutes": "15",
        "volts_end": "11.4",
        "wheels_held": "4",
        "wheels_braked": "4",
        "instrument": "5",
    },
    "breakaway_pull": {
        "goes_on": "yes",
        "tried": "hand",
        "minutes": "15",
        "wheels_held": "4",
        "wheels_braked": "4",
        "lets_go": "yes",
        "cable": "yes",
    },
    "brake_readings": {"lining": "bonded", "lining_left": "5", "lining_right": "6"},
    "leak_test": {
        "test": "leak",
        "start": "9",
        "start_temperature": "68",
        "end": "9",
        "end_temperature": "68",
        "minutes": "3",
        "began": "10:05",
        "ended": "10:30",
        "soap": "dry",
        "instrument": "6",
    },
    "function": {"what": "Main door", "opens": "yes", "holds": "yes"},
    "marks_dates": {"what": "Cylinder 1", "mark": "M1234", "good_to": "03-2031", "tested": "none"},
    "lights": {
        **dict.fromkeys(("tail", "stop", "left", "right", "marker", "plate", "reflectors"), "lit"),
        **dict.fromkeys(("ground", "brake_feed", "charge"), "fed"),
        "reverse": "none",
    },
    **FILLED,
}
PLACES = FILLED_PLACES | {
    "tires_fitted": "tire-1-left",
    "brake_readings": "axle-1",
    "bearing_adjustment": "hub-1-left",
}


METER = {"instrument": "5"}


def at(key: str) -> tuple[RecordKind[Any], Context]:
    """A kind with the context of its usual place."""
    return record_kinds()[key], replace(HERE, place=PLACES.get(key, "unit"))


def judged(key: str, **changed: str) -> Judged:
    """A filled form, read and judged."""
    kind, here = at(key)
    judged_: Judged = kind.judge(kind.read(Texts({**FORMS[key], **changed}), here), here)
    return judged_


def problems(key: str, **changed: str) -> list[Problem]:
    """What is wrong with a form."""
    kind, here = at(key)
    with pytest.raises(Refused) as refused:
        kind.read(Texts({**FORMS[key], **changed}), here)
    return list(refused.value.problems)


@pytest.mark.parametrize("key", FORMS)
def test_a_well_filled_form_is_inside(key: str) -> None:
    found = judged(key)
    assert (found.inside, found.unfinished) == (True, False)
    assert found.verdict.says


@pytest.mark.parametrize("key", FORMS)
def test_a_record_reads_back_and_fills_its_form_again(key: str) -> None:
    kind, here = at(key)
    record = kind.read(Texts(FORMS[key]), here)
    assert kind.kept(record.model_dump(mode="json")) == record
    assert kind.read(Texts(kind.texts(record)), here) == record


@pytest.mark.parametrize("key", FORMS)
def test_an_empty_form_is_refused_field_by_field(key: str) -> None:
    kind, here = at(key)
    with pytest.raises(Refused) as refused:
        kind.read(Texts({}), here)
    assert all(each.says and each.field for each in refused.value.problems)


@pytest.mark.parametrize("key", FORMS)
@settings(deadline=None, max_examples=40)  # the first one loads the units
@given(data=st.data())
def test_whatever_is_typed_is_kept_or_refused_in_words(key: str, data: st.DataObject) -> None:
    kind, here = at(key)
    typed = st.sampled_from(
        ["", "0", "-1", "1e9", "9999999", "x", "yes", "½", "٣", "\ud800", "00", "1,250", " "]
    )
    form = {name: data.draw(st.sampled_from([text, data.draw(typed)])) for name, text in FORMS[key].items()}
    try:
        record = kind.read(Texts(form), here)
    except Refused as refused:
        assert refused.problems
        return
    assert kind.judge(record, here).verdict.says


@pytest.mark.parametrize(
    ("key", "changed", "grade"),
    [
        # End play 0.001 to 0.010 in, over 0.030 in let go: common practice for light trailers.
        ("bearing_adjustment", {"play_2": "0.010"}, Grade.SOUND),
        ("bearing_adjustment", {"play_2": "0.012"}, Grade.NEEDS),
        ("bearing_adjustment", {"play_2": "0.035", "confirm-play_2": "0.035"}, Grade.DNT),
        ("bearing_adjustment", {"way": "heavy", "play_2": "0.006"}, Grade.NEEDS),  # TMC RP 618: 0.005 in
        ("bearing_adjustment", {"measured": "hand", "play_1": "", "play_2": ""}, Grade.UNSEEN),
        ("bearing_adjustment", {"cotter": "no"}, Grade.NEEDS),  # never re-use a cotter pin: common practice
        ("bearing_adjustment", {"turns": "noise"}, Grade.NEEDS),
        # Two tires of 1,600 lb under a 3,500 lb axle: 49 CFR 571.120 S5.1.2.
        ("tires_fitted", {"load": "1600"}, Grade.DNT),
        ("tires_fitted", {"pressure": "30"}, Grade.NEEDS),  # under 80 % of the placard: common practice
        ("tires_fitted", {"tin": "1ABC2D3EF 3015"}, Grade.DNT),  # over ten years: shop setting
        # 15 minutes, every braked wheel: 49 CFR 393.43(d).
        ("breakaway", {"minutes": "14"}, Grade.DNT),
        ("breakaway", {"wheels_held": "3"}, Grade.DNT),
        ("breakaway", {"volts_end": "10.4"}, Grade.DNT),  # 10.5 V: common practice
        # The same 15 minutes and every wheel; at once, and on it stays: 49 CFR 393.43(d). The rest: practice.
        ("breakaway_pull", {"pull": "180"}, Grade.SOUND),
        ("breakaway_pull", {"minutes": "14"}, Grade.DNT),
        ("breakaway_pull", {"wheels_held": "3"}, Grade.DNT),
        ("breakaway_pull", {"goes_on": "no"}, Grade.DNT),
        ("breakaway_pull", {"lets_go": "no"}, Grade.NEEDS),
        ("breakaway_pull", {"cable": "no"}, Grade.NEEDS),
        # Bonded lining 1/16 in over the shoe: 49 CFR 570.59(c).
        ("brake_readings", {"lining_left": "1.9"}, Grade.DNT),
        ("brake_readings", {"lining_left": "2/32"}, Grade.NEEDS),  # as the gauge says it
        ("brake_readings", {"lining_left": "2"}, Grade.NEEDS),  # lawful, under 3/32 in: common practice
        ("brake_readings", {"lining": "riveted", "lining_left": "0.9"}, Grade.DNT),  # 1/32 in: same
        # Nothing may be lost: NFPA 54 annex C.
        ("leak_test", {"end": "8.5"}, Grade.NEEDS),
        ("leak_test", {"minutes": "2"}, Grade.UNSEEN),
        ("leak_test", {"start": "6", "end": "6"}, Grade.UNSEEN),
        ("function", {"holds": "no"}, Grade.NEEDS),
        ("function", {"force": "60", "force_most": "50"}, Grade.NEEDS),
        ("marks_dates", {"good_to": "04-2026"}, Grade.NEEDS),
        ("marks_dates", {"good_to": "05-2026"}, Grade.SOUND),  # a month runs to its end: 49 CFR 180.209(a)
        ("marks_dates", {"tested": "no"}, Grade.NEEDS),
        # Tail, stop and turn lamps are required: 49 CFR 393.11 table 1.
        ("lights", {"stop": "dark"}, Grade.DNT),
        ("lights", {"tail": "none"}, Grade.DNT),
        ("lights", {"plate": "dark"}, Grade.NEEDS),
        ("lights", {"volts_plug": "12.6", "volts_lamp": "11.0", "instrument": "5"}, Grade.NEEDS),
        ("lights", {"volts_plug": "12.6", "volts_lamp": "12.7", "instrument": "5"}, Grade.SOUND),  # one digit
        (
            "lights",
            {"volts_plug": "12", "volts_lamp": "12.6", "confirm-volts_lamp": "12.6", "instrument": "5"},
            Grade.UNSEEN,  # Ohm: a wire loses volts, it makes none
        ),
    ],
)
def test_a_record_is_judged_by_its_limits(key: str, changed: dict[str, str], grade: Grade) -> None:
    assert judged(key, **changed).verdict.grade is grade


@pytest.mark.parametrize(
    ("key", "changed", "field"),
    [
        ("bearing_adjustment", {"play_1": "", "play_2": ""}, "play_1"),
        ("bearing_adjustment", {"instrument": ""}, "instrument"),
        ("bearing_adjustment", {"play_1": "-0.001"}, "play_1"),
        ("bearing_adjustment", {"turns": "sideways"}, "turns"),
        ("tires_fitted", {"tin": "1ABC2D3EF 5426"}, "tin"),  # no week 54
        ("tires_fitted", {"size": "round"}, "size"),
        ("tires_fitted", {"most": "45"}, "most"),
        ("breakaway", {"wheels_held": "5"}, "wheels_held"),
        ("breakaway", {"wheels_held": "2.5"}, "wheels_held"),
        ("breakaway", {"instrument": ""}, "instrument"),
        ("breakaway_pull", {"wheels_held": "5"}, "wheels_held"),
        ("breakaway_pull", {"wheels_braked": "4.5"}, "wheels_braked"),
        ("breakaway_pull", {"tried": ""}, "tried"),
        ("breakaway_pull", {"tried": "looked at"}, "tried"),
        ("brake_readings", {"lining_right": ""}, "lining_right"),
        ("brake_readings", {"lining": "", "lining_left": "", "lining_right": ""}, "lining"),
        ("brake_readings", {"drum_left_1": "10.02"}, "drum_left_2"),
        ("brake_readings", {"amps": "12"}, "volts"),
        ("brake_readings", {"amps_left": "3.4", "volts": "12", "magnet": "10"}, "amps_right"),
        ("brake_readings", {"pad_left": "6"}, "pad_right"),
        ("brake_readings", {"rotor_left_least": "0.45"}, "rotor_left"),  # a mark alone says nothing
        ("brake_readings", {"drum_left_most": "10.09"}, "drum_left_1"),
        ("leak_test", {"minutes": "0"}, "minutes"),
        ("leak_test", {"start_temperature": "500"}, "start_temperature"),
        ("function", {"opens": "none", "holds": "none"}, "opens"),
        ("marks_dates", {"good_to": "13-2031"}, "good_to"),
        ("marks_dates", {"made": "06-2026"}, "made"),
        ("marks_dates", {"made": "01-2020", "good_to": "01-2019"}, "good_to"),
        ("lights", {"volts_plug": "12.6"}, "volts_lamp"),
        ("lights", {"tail": ""}, "tail"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(key: str, changed: dict[str, str], field: str) -> None:
    found = problems(key, **changed)
    assert field in {each.field for each in found}
    assert not any(each.ask for each in found if each.field == field)


@pytest.mark.parametrize(
    ("key", "changed", "field"),
    [
        ("bearing_adjustment", {"play_1": "0", "play_2": ""}, "play_1"),  # no play at all is unlikely
        ("tires_fitted", {"size": "ST225/75R15"}, "size"),  # not the size on the label
        ("breakaway", {"volts_start": "17"}, "volts_start"),
        ("lights", {**METER, "volts_plug": "15.1", "volts_lamp": "15"}, "volts_plug"),  # 12 V, charging: 15 V
        ("lights", {**METER, "volts_plug": "9", "volts_lamp": "8.9"}, "volts_lamp"),
        ("lights", {**METER, "volts_plug": "12.0", "volts_lamp": "12.2"}, "volts_lamp"),  # Ohm: it only falls
        ("appliance", {"inside": "3", "outside": "4"}, "outside"),  # a burner takes none out of the air
        ("leak_test", {"start": "31"}, "start"),  # beyond the manometer's 30 in wc
    ],
)
def test_what_is_unlikely_is_asked(key: str, changed: dict[str, str], field: str) -> None:
    assert {(each.field, each.ask) for each in problems(key, **changed)} == {(field, True)}


def test_magnets_and_drums_are_judged_where_they_are_read() -> None:
    drums = {"drum_left_1": "10.02", "drum_left_2": "10.022", "drum_left_most": "10.09"}
    assert judged("brake_readings", **drums).inside
    worn = {**drums, "drum_left_1": "10.1"}
    assert judged("brake_readings", **worn).verdict.grade is Grade.DNT  # 49 CFR 570.59(b)
    ohms = {"magnet": "10", "ohms_left": "3.3", "ohms_right": "1.0"}
    assert judged("brake_readings", **ohms).verdict.grade is Grade.DNT  # shorted coil: common practice


@pytest.mark.parametrize(
    ("typed", "grade", "says"),
    [  # 16-222 C.M.R. chapter 1, 200.70 C: no leak, no bulge under pressure; the level is common practice
        ({"joints": "wet"}, Grade.DNT, "a joint leaks or a hose bulges under pressure"),
        ({"fluid": "low"}, Grade.NEEDS, "the fluid is low"),
        (
            {"joints": "dry", "fluid": "new"},
            Grade.SOUND,
            "joints and hoses dry under pressure; new fluid at its mark",
        ),
    ],
)
def test_lines_are_looked_at_under_pressure_and_fluid_at_its_mark(
    typed: Mapping[str, str], grade: Grade, says: str
) -> None:
    kind, here = at("brake_readings")
    there = replace(here, brakes="surge")
    found = kind.judge(kind.read(Texts(typed), there), there).verdict
    assert (found.grade, found.says) == (grade, says)


def test_pads_and_rotors_are_judged_where_a_unit_may_have_discs() -> None:
    # 49 CFR 570.59(b) and (c): pad at least 1/16 in over the shoe, rotor within the mark on it
    lining = {"lining": "", "lining_left": "", "lining_right": ""}
    pads = {**lining, "pad": "bonded", "pad_left": "6", "pad_right": "5"}
    assert judged("brake_readings", **pads).inside
    thin = judged("brake_readings", **{**pads, "pad_right": "1.9"}).verdict
    assert (thin.grade, thin.says) == (Grade.DNT, "pad 1.9/32\xa0in, the limit is 2.0/32\xa0in")
    rotors = {**pads, "rotor_left": "0.47", "rotor_left_least": "0.45", "rotor_right": "0.44"}
    assert judged("brake_readings", **rotors).unfinished  # no mark read on the right one
    worn = judged("brake_readings", **rotors, rotor_right_least="0.45").verdict
    assert worn.says == "rotor 0.44\xa0in, its minimum is 0.45\xa0in"
    kind, here = at("brake_readings")
    for brakes, discs in (("electric", False), ("hydraulic", True), ("surge", True), ("unknown", True)):
        drawn = kind.draw(Texts({}), replace(here, brakes=brakes))["rows"]
        assert isinstance(drawn, tuple)
        assert ("pad_left" in {row.name for row in drawn}) is discs


def test_each_magnet_is_judged_by_its_own_current() -> None:
    # Ohm: one 10 in magnet of 3.2 to 3.5 ohm draws 3.4 to 3.8 A at 12 V; 49 CFR 570.58(a) for the whole axle
    fed = {"magnet": "10", "volts": "12", "amps": "7.2", "amps_left": "3.6", "amps_right": "3.6"}
    assert judged("brake_readings", **fed).inside
    assert judged("brake_readings", **{**fed, "amps": "3.6", "amps_right": "0"}).verdict.grade is Grade.DNT
    alone = judged("brake_readings", **{**fed, "amps": "", "amps_right": "6"})
    assert "6\xa0A is over" in alone.verdict.says


@pytest.mark.parametrize(
    ("typed", "unit", "psi"),
    # 1 psi = 6.894757 kPa: NIST SP 811, appendix B.8; 345 kPa is 50.04 psi, 3.5 bar 50.76
    [("50", "psi", "50"), ("345", "kPa", "50"), ("3,5", "bar", "51"), ("", "kPa", "")],
)
def test_the_placards_pressure_is_not_asked_again_in_another_unit(typed: str, unit: str, psi: str) -> None:
    kind = record_kinds()["tires_fitted"]
    assert kind.start(replace(HERE, tire_pressure=typed, pressure_unit=unit))["placard"] == psi


def test_an_unknown_axle_rating_is_no_capacity() -> None:
    kind, here = at("tires_fitted")
    unknown = replace(here, gawr=())
    found = kind.judge(kind.read(Texts(FORMS["tires_fitted"]), unknown), unknown)
    assert len(found.figures) == 2  # pressure and age, no capacity


# What every kind must keep


def test_every_kind_is_named_in_the_catalogue_and_titled() -> None:
    asked = {record for kit in catalogue().kits for record in kit.records}
    assert isinstance(catalogue(), Catalogue)
    assert set(record_kinds()) <= asked
    for record in asked:
        assert title_of(record)[0].isupper()
        assert "_" not in title_of(record)


def test_a_kind_knows_no_database_and_no_clock() -> None:
    folder = Path(records.__path__[0])
    for file in [
        *folder.glob("*.py"),
        *(folder.parent / name for name in ("kinds.py", "rows.py", "star.py")),
    ]:
        for node in ast.walk(ast.parse(file.read_text())):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            assert not [name for name in names if name.startswith(("sqlmodel", "sqlalchemy", "app.ground"))]


def test_the_heaviest_verdict_rules_and_names_all_of_its_weight() -> None:
    found = heaviest_of([Verdict(Grade.SOUND, "fine"), Verdict(Grade.DNT, "one"), Verdict(Grade.DNT, "two")])
    assert (found.grade, found.says) == (Grade.DNT, "one; two")


@pytest.mark.parametrize(
    ("tool", "words"),
    [
        (Tool(1, "W", "torque wrench", "lbf_ft", "20", "150"), "20 to 150\xa0lbf·ft"),
        (Tool(1, "W", "torque wrench", "lbf_ft", "", "150"), "up to 150\xa0lbf·ft"),
        (Tool(1, "W", "torque wrench"), ""),
    ],
)
def test_a_range_is_said_as_far_as_it_is_known(tool: Tool, words: str) -> None:
    assert tool.range == words
    assert tool.calibration(date(2026, 5, 4)) == "no calibration date known"


def test_a_record_kept_before_a_row_was_asked_for_reads_and_is_judged_as_it_was() -> None:
    later = {
        "bearing_adjustment": ("state", "inner", "outer", "seal", "seal_number"),
        "leak_test": ("began", "ended", "soap"),
        "lights": ("ground", "brake_feed", "charge", "reverse"),
        "road_test": ("lag",),
        "brake_readings": (
            "pad",
            "pad_left",
            "pad_right",
            "rotor_left",
            "rotor_left_least",
            "amps_left",
            "joints",
        ),
    }
    for key, names in later.items():
        kind, here = at(key)
        payload = kind.read(Texts(FORMS[key]), here).model_dump(mode="json")
        kept = kind.kept({name: text for name, text in payload.items() if name not in names})
        assert kind.judge(kept, here).verdict.grade is Grade.SOUND, key


def test_a_dead_brake_feed_is_not_towed_where_the_law_asks_for_brakes() -> None:
    # 49 CFR 393.42 and 393.48(a): required brakes work; where none are required it waits until the tow
    kind, here = at("lights")
    record = kind.read(Texts({**FORMS["lights"], "brake_feed": "dead"}), here)
    grades = [kind.judge(record, replace(here, brakes_required=it)).verdict.grade for it in (True, False)]
    assert grades == [Grade.DNT, Grade.NEEDS]


def test_joints_not_soaped_leave_a_held_pressure_unseen() -> None:
    assert judged("leak_test", soap="not").verdict.says == "joints not soaped yet"
    assert judged("leak_test", soap="not").unfinished


def test_a_reflector_is_whole_or_missing_and_never_dark() -> None:
    kind, here = at("lights")
    rows = {row.name: row for row in kind.draw(Texts({}), here)["rows"]}  # type: ignore[attr-defined] # rows
    assert [word for _, word in rows["reflectors"].options] == ["Whole and clean", "Missing, broken or faded"]
    assert judged("lights", reflectors="dark").verdict.says == "Reflectors missing, broken or faded"
    with pytest.raises(Refused):
        judged("lights", reflectors="none")  # a trailer without is one where they are missing: 49 CFR 393.11

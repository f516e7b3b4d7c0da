"""Published worked examples through the forms: what a handbook, a law or an instrument maker printed.

The same figures stand in the tests of the core; here they go in as a technician types them, by way of the
form, the payload and the book's JSON.
"""

import json
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from app.bench.kinds import Judged, RecordKind, Tool, record_kinds
from app.trade.figure import Grade, Worked
from app.trade.quantity import convert, with_unit
from app.trade.threads import read_thread, stress_area
from app.trade.typed import Texts
from tests.bench.contexts import BALANCER, context
from tests.bench.filled import FILLED
from tests.bench.forms import TORQUE

FINE_WRENCH = Tool(21, "Torque wrench 21", "torque wrench", "lbf_in", "100", "3000", date(2027, 1, 12))
LONG_WRENCH = Tool(22, "Torque wrench 22", "torque wrench", "lbf_ft", "10", "250", date(2027, 1, 12))


def judged(key: str, form: Mapping[str, str], **changed: object) -> Judged:
    """A form read, kept as the book keeps it, read back and judged."""
    kind: RecordKind[object] = record_kinds()[key]  # type: ignore[assignment]  # any kind
    here = context(**changed)
    payload = kind.read(Texts(form), here)
    kept = json.loads(json.dumps(payload.model_dump(mode="json")))  # type: ignore[attr-defined]
    return kind.judge(kind.kept(kept), here)


def figure(found: Judged, name: str) -> Worked[object]:
    """A figure of a record by its name."""
    return next(each for each in found.figures if each.name == name)


# Torque: FAA AC 43.13-1B, table 7-1, fine thread, tension nuts, lbf·in at 40 ksi


@pytest.mark.parametrize(
    ("studs", "low", "high"),
    [
        ("7/16-20", "37.5", "41.67"),  # 450 to 500 lbf·in
        ("1/2-20", "40", "57.5"),  # 480 to 690
        ("9/16-18", "66.67", "83.33"),  # 800 to 1,000
        ("5/8-18", "91.67", "108.33"),  # 1,100 to 1,300
    ],
)
def test_a_row_of_the_aircraft_table_goes_through_the_bolts_form(studs: str, low: str, high: str) -> None:
    middle = str((Decimal(low) + Decimal(high)) / 2)
    form = {
        **FILLED["fastener_torque"],
        **{"low": low, "high": high, "thread": "3/8", "figure_from": f"AC 43.13-1B table 7-1, {studs}"},
        **{f"r-{bolt}": middle for bolt in range(1, 5)},
        **{f"confirm-r-{bolt}": middle for bolt in range(1, 5)},
        **{"confirm-low": low, "confirm-high": high, "instrument": str(LONG_WRENCH.id)},
    }
    found = judged("fastener_torque", form, tools=(LONG_WRENCH,))
    assert found.verdict.grade in (Grade.SOUND, Grade.WATCH)  # watch where the wrench's 4 % reaches an end
    under = {**form, "r-3": low.split(".")[0], "confirm-r-3": low.split(".")[0]}
    if Decimal(under["r-3"]) < Decimal(low):
        assert judged("fastener_torque", under, tools=(LONG_WRENCH,)).verdict.grade is Grade.DNT


@pytest.mark.parametrize(
    ("studs", "low", "high"),
    [("7/16-20", 450, 500), ("1/2-20", 480, 690), ("9/16-18", 800, 1000), ("5/8-18", 1100, 1300)],
)
def test_the_table_implies_a_nut_factor_of_clean_steel(studs: str, low: int, high: int) -> None:
    # K = T ÷ (D · S · At) at S = 40 ksi lies in 0.14 to 0.25, dry or cadmium plated: machine-design textbooks
    thread = read_thread(studs)
    area = stress_area(thread).value
    diameter = Decimal(Fraction(studs.split("-")[0]).numerator) / Fraction(studs.split("-")[0]).denominator
    for torque in (low, high):
        assert Decimal("0.14") < torque / (diameter * 40_000 * area) < Decimal("0.25")


# Torque: TM 10-4320-344-24, 2.23.1.2: five studs, every other one, 20 lb-ft, 10 more a round, 90 lb-ft


def test_the_manuals_five_stud_wheel_is_tightened_every_other_one() -> None:
    kind = record_kinds()["wheel_torque"]
    drawn = kind.draw(Texts({"studs": "5", "low": "90"}), context(studs=5))
    assert drawn["wheel"].order == (1, 3, 5, 2, 4)  # type: ignore[attr-defined]


def test_the_manuals_wheel_is_kept_at_ninety() -> None:
    form = {
        **{"studs": "5", "unit": "lbf_ft", "low": "90", "confirm-low": "90", "checked": "yes"},
        **{f"r-{nut}": "90" for nut in range(1, 6)},
        **{f"pass-{turn}-{nut}": "yes" for turn in (1, 2) for nut in range(1, 6)},
        "instrument": str(LONG_WRENCH.id),
    }
    found = judged("wheel_torque", form, studs=5, tools=(LONG_WRENCH,))
    assert found.inside
    assert (
        judged("wheel_torque", {**form, "r-2": "80"}, studs=5, tools=(LONG_WRENCH,)).verdict.grade
        is Grade.DNT
    )


def test_the_manuals_figure_is_the_same_in_newton_metres() -> None:
    # 90 lb-ft is 122 N·m there
    assert round(convert(Decimal(90), "lbf_ft", "N_m")) == 122
    form = {
        **{"studs": "5", "unit": "N_m", "low": "120", "confirm-low": "120", "high": "124", "checked": "yes"},
        **{f"r-{nut}": "122" for nut in range(1, 6)},
        **{f"pass-{turn}-{nut}": "yes" for turn in (1, 2) for nut in range(1, 6)},
        "instrument": str(LONG_WRENCH.id),
    }
    assert judged("wheel_torque", form, studs=5, tools=(LONG_WRENCH,)).inside


# Balance in two planes: a handbook's method of splitting and adding vectors


def test_two_equal_weights_thirty_degrees_to_either_side_act_as_their_cosine() -> None:
    # 2 · cos 30° = 1.7321: one plane, 1 oz at 190 and at 250 against 1.7321 oz at 40
    form = {
        **{"unit": "oz", "outer": "1.7321", "outer-at": "40", "inner": "0.1", "inner-at": "0"},
        **{"outer-w1": "1", "outer-w1-at": "190", "outer-w2": "1", "outer-w2-at": "250"},
    }
    kind = record_kinds()["balance"]
    record = kind.read(Texts({**_plain("oz"), **form}), context())
    assert record.left_over(record.outer).amount < Decimal("0.0001")


def test_a_weight_split_between_two_places_does_the_same() -> None:
    # 50 g at 100 between 90 and 162: 46.4193 g and 9.1292 g: law of sines
    form = {
        **{"outer": "50", "outer-at": "280", "inner": "1", "inner-at": "0"},
        **{"outer-w1": "46.4193", "outer-w1-at": "90", "outer-w2": "9.1292", "outer-w2-at": "162"},
    }
    kind = record_kinds()["balance"]
    record = kind.read(Texts({**_plain("g"), **form}), context())
    assert record.left_over(record.outer).amount < Decimal("0.001")


def test_both_planes_of_a_published_field_balance_come_to_nothing() -> None:
    # An instrument maker's application note, example 6: corrections 1.979 g at 236.2 and 1.071 g at 121.8;
    # the unbalance is opposite, so those weights leave nothing in either plane.
    form = {
        **{"outer": "1.979", "outer-at": "56.2", "outer-w1": "1.979", "outer-w1-at": "236.2"},
        **{"inner": "1.071", "inner-at": "301.8", "inner-w1": "1.071", "inner-w1-at": "121.8"},
    }
    kind = record_kinds()["balance"]
    record = kind.read(Texts({**_plain("g"), **form}), context())
    assert record.left_over(record.outer).amount < Decimal("0.001")
    assert record.left_over(record.inner).amount < Decimal("0.001")
    assert kind.judge(record, context()).inside


def test_two_planes_do_not_mend_each_other() -> None:
    # Static balance is not dynamic balance: 20 g out at 0 and 20 g in at 180 sum to nothing and still wobble
    form = {
        "outer": "20",
        "outer-at": "0",
        "inner": "20",
        "inner-at": "180",
        "outer-left": "20",
        "inner-left": "20",
    }
    kind = record_kinds()["balance"]
    found = kind.judge(kind.read(Texts({**_plain("g"), **form}), context()), context())
    assert not found.inside


def _plain(unit: str) -> dict[str, str]:
    return {
        **{"unit": unit, "rim": "14", "shows": "heavy", "instrument": str(BALANCER.id)},
        **{"outer-left": "0", "inner-left": "0"},
    }


# A DOT cylinder: 49 CFR 180.209(e) and (g), as amended by 85 FR 68790


@pytest.mark.parametrize(
    ("made", "good_to", "on", "grade"),
    [
        (
            "05-2014",
            "05-2026",
            date(2026, 5, 31),
            Grade.SOUND,
        ),  # 12 years; it may be filled to the month's end
        ("05-2014", "05-2026", date(2026, 6, 1), Grade.NEEDS),  # 180.209(a): not after it
        ("06-2021", "06-2026", date(2026, 6, 30), Grade.SOUND),  # 5 years by external visual, 180.209(g)
        ("06-2021", "06-2026", date(2026, 7, 1), Grade.NEEDS),
        ("01-2016", "01-2026", date(2026, 2, 1), Grade.NEEDS),  # 10 years by proof pressure
    ],
)
def test_a_cylinder_runs_out_with_its_month(made: str, good_to: str, on: date, grade: Grade) -> None:
    form = {
        "what": "Cylinder, 20 lb",
        "mark": "DOT 4BA240",
        "made": made,
        "good_to": good_to,
        "tested": "none",
    }
    assert judged("marks_dates", form, on=on, place="cylinder-1").verdict.grade is grade


def test_what_was_made_after_today_is_no_mark() -> None:
    kind = record_kinds()["marks_dates"]
    form = {
        "what": "Cylinder",
        "mark": "DOT 4BA240",
        "made": "06-2026",
        "good_to": "06-2038",
        "tested": "none",
    }
    with pytest.raises(Exception, match="still to come"):
        kind.read(Texts(form), context(on=date(2026, 5, 4)))


# Three passes over a scale: the sums by statics


THREE_PASSES = FILLED["scale_tickets"]


@pytest.mark.parametrize(
    ("changed", "tongue", "gross"),
    [
        ({}, 720, 6000),  # (2860 + 3920) − (3100 + 2960); + 5280
        ({"rear_2": "3900"}, 700, 5980),
        ({"axles_2": "5300"}, 720, 6020),
        ({"rear_2": "3700"}, 500, 5780),
    ],
)
def test_the_tongue_is_what_the_tow_vehicle_gained(changed: dict[str, str], tongue: int, gross: int) -> None:
    found = judged("scale_tickets", {**THREE_PASSES, **changed}, axles=2)
    assert figure(found, "tongue weight").value == tongue
    assert figure(found, "trailer weight").value == gross


def test_each_reading_is_counted_once_in_the_whole_train() -> None:
    # All that stands on the ground, bars engaged: 2,980 + 3,720 + 5,360 = 12,060; as much with bars slack
    found = judged("scale_tickets", {**THREE_PASSES, "gcwr": "12060"}, axles=2)
    weighed_train = next(
        each.says for each in figure(found, "governing rating").inputs if each.name == "GCWR"
    )
    assert "12,060" in weighed_train or "12060" in weighed_train


# Bearings: TMC RP 618 for heavy hubs, common practice for light ones


@pytest.mark.parametrize(
    ("play", "grade"),
    [("0.001", Grade.SOUND), ("0.010", Grade.SOUND), ("0.011", Grade.NEEDS)],  # 0.001 to 0.010 in
)
def test_end_play_of_a_light_hub_at_its_limits(play: str, grade: Grade) -> None:
    form = {**FILLED.get("bearing_adjustment", _hub()), **dict.fromkeys(("play_1", "play_2", "play_3"), play)}
    found = judged("bearing_adjustment", {**form, "instrument": "31"}, tools=(INDICATOR,))
    assert found.verdict.grade is grade


INDICATOR = Tool(31, "Dial indicator 1", "dial indicator", "in", "0", "0.5", date(2027, 1, 12))


def _hub() -> dict[str, str]:
    return {
        **{"state": "shut", "way": "light", "grease": "GC-LB, lithium complex", "measured": "indicator"},
        **{"cotter": "yes", "turns": "free", "instrument": "31"},
    }


# Tensile area: ASME B1.1, as published tables print it


@pytest.mark.parametrize(
    ("studs", "area"),
    [("7/16-20", "0.1187"), ("1/2-20", "0.1599"), ("9/16-18", "0.203"), ("5/8-18", "0.256")],  # UNF table
)
def test_published_stress_areas(studs: str, area: str) -> None:
    assert abs(stress_area(read_thread(studs)).value / Decimal(area) - 1) < Decimal("0.005")


# An adapter between wrench and nut: the setting T x L / (L + E), and what the wrench shows back at the nut


ADAPTERS = (  # torque at the nut, wrench L, adapter E, what the handbook sets the wrench to
    ("300", "10", "4", "214"),  # US Army TM 1-1500-204-23-9, paragraph on figure 8-16
    ("40", "12", "4", "30"),  # US Army TM 9-2350-261-20-1, paragraph g
    ("70", "12", "2", "60"),  # US Army TM 9-254, figure 4-5, in lbf·in there
    ("100", "12", "6", "66.7"),  # Navy training manual 14315, figure 3-45, in lbf·in there
    ("135", "10", "1.5", "117"),  # FAA AC 43.13-1B, figure 7-2 (from memory), in lbf·in there
)
WIDE_WRENCH = Tool(23, "Torque wrench 23", "torque wrench", "lbf_ft", "10", "600", date(2027, 1, 12))


def through_adapter(key: str, at_nut: str, lengths: tuple[str, str], shows: str) -> Judged:
    """A wheel or a joint whose wrench shows one figure for all, through an adapter, for one figure alone."""
    form = dict(FILLED.get(key, TORQUE))
    readings = [name for name in form if name.startswith("r-")]
    changed = {
        "low": at_nut,
        "confirm-low": at_nut,
        "high": "",
        "whole": shows,
        "unit": "lbf_ft",
        "instrument": "23",
    }
    both = dict(zip(("wrench_length", "adapter_length"), lengths, strict=True))
    return judged(key, {**form, **dict.fromkeys(readings, ""), **changed, **both}, tools=(WIDE_WRENCH,))


@pytest.mark.parametrize("key", ["wheel_torque", "fastener_torque"])
@pytest.mark.parametrize(("at_nut", "wrench", "adapter", "shows"), ADAPTERS)
def test_a_handbooks_setting_reads_as_its_torque_at_the_nut(
    key: str, at_nut: str, wrench: str, adapter: str, shows: str
) -> None:
    found = through_adapter(key, at_nut, (wrench, adapter), shows)
    assert found.inside
    assert found.verdict.grade is Grade.SOUND
    setting = figure(found, "wrench setting").value
    assert abs(Decimal(str(setting)) - Decimal(shows)) < Decimal("0.5")
    assert figure(found, "true torque").inputs[0].says == with_unit(at_nut, "lbf_ft")  # what it was judged by


@pytest.mark.parametrize("key", ["wheel_torque", "fastener_torque"])
def test_a_wrench_set_to_the_figure_itself_is_too_tight_through_an_adapter(key: str) -> None:
    # TM 9-2350-261-20-1: 30 on the wrench is 40 at the nut, so 40 on it is 40 x 16 / 12 = 53.3
    found = through_adapter(key, "40", ("12", "4"), "40")
    assert found.verdict.grade is Grade.NEEDS
    assert figure(found, "torque at the nut").says.startswith("53.3")

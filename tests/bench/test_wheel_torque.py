"""Wheel nut torque as a record: what the form takes, how it is judged, what is drawn."""

from dataclasses import replace
from decimal import Decimal

import pytest
from pydantic import ValidationError

from app.bench.kinds import record_kinds
from app.bench.records.wheel_torque import KIND, WheelTorque
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.bench.contexts import OLD_WRENCH, WRENCH, context
from tests.bench.forms import SIX_AT_110, TORQUE, named, torque


def problems(**changed: str) -> list[Problem]:
    """What is wrong with a form."""
    with pytest.raises(Refused) as refused:
        KIND.read(Texts({**TORQUE, **SIX_AT_110, **named(changed)}), context())
    return list(refused.value.problems)


def test_the_kind_is_found_by_walking_the_folder() -> None:
    assert record_kinds()["wheel_torque"] is KIND


def test_readings_are_kept_as_typed() -> None:
    assert torque(r_1="110.50").readings[0].typed == "110.50"


def test_a_payload_cannot_be_changed_and_knows_its_fields() -> None:
    record = torque()
    with pytest.raises(ValidationError):
        record.studs = 5  # type: ignore[misc]  # that is what is tried
    with pytest.raises(ValidationError):
        WheelTorque.model_validate({**record.model_dump(), "colour": "black"})


def test_the_book_gives_the_payload_back() -> None:
    record = torque(moved_3="yes")
    assert KIND.kept(record.model_dump(mode="json")) == record


def test_the_form_of_a_record_gives_the_record_again() -> None:
    record = torque(moved_3="yes", r_4="")
    assert KIND.read(Texts(KIND.texts(record)), context()) == record


def test_all_nuts_inside_the_placard_and_a_check_round_are_sound() -> None:
    judged = KIND.judge(torque(), context())
    assert (judged.verdict.grade, judged.inside) == (
        Grade.SOUND,
        True,
    )  # 110 in 100 to 120, +/- 4 %: ISO 6789-1
    assert "All 6 nuts" in judged.verdict.says


@pytest.mark.parametrize(
    ("reading", "grade"),
    [
        ("99", Grade.DNT),  # under the low end: 49 CFR 570.10(c), nuts tight
        ("100", Grade.WATCH),  # inside as read, 96 to 104 is what the wrench can mean: ISO 6789-1
        ("110", Grade.SOUND),
        ("125", Grade.NEEDS),  # over 120 by more than 4 %
    ],
)
def test_one_nut_weighs_for_the_wheel(reading: str, grade: Grade) -> None:
    assert KIND.judge(torque(r_3=reading), context()).verdict.grade is grade


def test_a_nut_without_reading_leaves_the_wheel_unfinished() -> None:
    judged = KIND.judge(torque(r_5="", r_2=""), context())
    assert (judged.unfinished, judged.inside) == (True, False)
    assert "Nuts 2 and 5" in judged.verdict.says


def test_without_a_check_round_nothing_is_proved() -> None:
    judged = KIND.judge(torque(checked=""), context())
    assert judged.unfinished
    assert "Check round" in judged.verdict.says


def test_a_nut_that_moved_asks_for_another_round() -> None:
    assert KIND.judge(torque(moved_3="yes"), context()).verdict.grade is Grade.NEEDS  # common practice


def test_a_nut_that_moves_twice_running_stops_the_wheel() -> None:
    before = torque(moved_3="yes").model_dump(mode="json")
    again = KIND.read(Texts({**TORQUE, **SIX_AT_110, "moved-3": "yes"}), context(before=before))
    assert KIND.judge(again, context()).verdict.grade is Grade.DNT  # seat, stud, wheel: common practice


def test_a_figure_put_right_is_still_the_same_round() -> None:
    before = torque(moved_3="yes").model_dump(mode="json")
    form = Texts({**TORQUE, **SIX_AT_110, "moved-3": "yes", "correction-kind": "typing"})
    assert KIND.judge(KIND.read(form, context(before=before)), context()).verdict.grade is Grade.NEEDS


def test_one_reading_may_stand_for_the_wheel() -> None:
    empty = {f"r-{nut}": "" for nut in range(1, 7)}
    record = KIND.read(Texts({**TORQUE, **empty, "whole": "110"}), context())
    assert record.by_nut == dict.fromkeys(range(1, 7), Decimal(110))
    assert KIND.judge(record, context()).inside


def test_a_reading_for_the_wheel_and_for_single_nuts_is_refused() -> None:
    assert [each.field for each in problems(whole="110")] == ["whole"]


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("r_1", "0", "0 or less"),
        ("r_1", "-5", "0 or less"),
        ("r_1", "llO", "not a number"),
        ("studs", "2", "cannot be"),
        ("studs", "", "missing"),
        ("low", "", "missing"),
        ("high", "90", "backwards"),
        ("instrument", "", "instrument is missing"),
        ("instrument", "3", "instrument is missing"),  # a balancer tightens nothing
    ],
)
def test_the_impossible_is_refused_at_its_field(field: str, text: str, words: str) -> None:
    found = problems(**{field: text})
    assert found[0].field == field.replace("_", "-")
    assert words in found[0].says
    assert found[0].accepts
    assert not found[0].ask


def test_an_unlikely_reading_is_asked_once_and_kept() -> None:
    found = problems(r_1="390")  # 40 to 350 lbf·ft is usual for a wheel nut: common practice
    assert {(each.field, each.ask) for each in found} == {("r-1", True)}
    assert torque(**{"r_1": "390", "confirm-r-1": "390"}).readings[0].typed == "390"


def test_a_reading_outside_the_wrenchs_range_is_asked_and_printed() -> None:
    found = problems(r_1="160")
    assert "range of Torque wrench 7" in found[0].says
    kept = torque(**{"r_1": "160", "confirm-r-1": "160"})
    assert "outside its range: 160" in str(kept.instrument)


def test_an_overdue_calibration_is_asked_and_printed() -> None:
    found = problems(instrument=str(OLD_WRENCH.id))
    assert found[0].ask
    assert "due 1 March 2026" in found[0].says
    kept = torque(**{"instrument": str(OLD_WRENCH.id), "confirm-instrument": str(OLD_WRENCH.id)})
    assert kept.instrument.overdue
    assert "was due 1 March 2026, used all the same" in str(kept.instrument)


def test_a_calibration_in_date_is_printed() -> None:
    assert "calibration due 12 January 2027" in str(torque().instrument)


def test_a_nut_left_out_of_a_pass_is_asked_by_its_number_and_then_kept_so() -> None:
    found = problems(pass_2_6="", pass_2_3="")
    assert [(each.field, each.ask) for each in found] == [("passes", True)]
    assert found[0].says == "Pass 2 is not ticked at nut 3, 6"
    kept = torque(pass_2_6="", pass_2_3="", confirm_passes="yes")
    assert [each.nuts for each in kept.passes] == [(1, 4, 6, 3, 5, 2), (1, 4, 5, 2)]


def test_the_passes_are_kept_nut_by_nut_in_star_order() -> None:
    # opposite pairs, every other pair first: common practice
    assert {each.number: each.nuts for each in torque().passes} == {
        1: (1, 4, 6, 3, 5, 2),
        2: (1, 4, 6, 3, 5, 2),
    }


@pytest.mark.parametrize(
    ("ticked", "number", "next_nut"),
    [
        ({}, 1, 1),
        ({"pass-1-1": "yes"}, 1, 4),
        ({"pass-1-1": "yes", "pass-1-4": "yes"}, 1, 6),
        ({f"pass-1-{nut}": "yes" for nut in range(1, 7)}, 2, 1),
        ({f"pass-{turn}-{nut}": "yes" for turn in (1, 2) for nut in range(1, 7)}, 3, 1),
        ({"r-1": "110"}, 3, 4),  # who reads figures is in the last pass
    ],
)
def test_the_drawing_follows_the_pass_in_hand(ticked: dict[str, str], number: int, next_nut: int) -> None:
    drawn = KIND.draw(Texts({"studs": "6", "low": "110", **ticked}), context())
    wheel = drawn["wheel"]
    assert drawn["pass_now"] == number
    assert [nut.nut for nut in wheel.nuts if nut.now] == [next_nut]  # type: ignore[attr-defined]


def test_a_fresh_form_holds_the_units_figure_and_the_last_wrench() -> None:
    form = KIND.start(context(last=torque().model_dump(mode="json")))
    assert (form["studs"], form["low"], form["high"]) == ("6", "100", "120")
    assert form["instrument"] == str(WRENCH.id)


def test_the_units_figure_is_not_taken_for_the_same_number_in_another_unit() -> None:
    found = problems(unit="N_m")  # the form keeps 100 to 120 of the book's lbf·ft
    assert [(each.field, each.ask) for each in found if each.field == "low"] == [("low", False)]
    # 1 lbf·ft = 1.355818 N·m: NIST SP 811, appendix B.8
    assert "100 to 120\u00a0lbf·ft" in found[0].says
    assert "135.6 to 162.7\u00a0N·m" in found[0].accepts


@pytest.mark.parametrize(("low", "high"), [("136", "163"), ("135.6", "162.7"), ("135", "162")])
def test_the_units_figure_may_be_typed_in_the_wrenchs_unit(low: str, high: str) -> None:
    readings = {f"r_{nut}": "150" for nut in range(1, 7)}
    assert torque(unit="N_m", low=low, high=high, **readings).unit == "N_m"


def test_another_figure_than_the_units_is_asked_once() -> None:
    found = problems(low="90", high="110")
    assert [(each.field, each.ask) for each in found] == [("low", True)]
    assert "100 to 120\u00a0lbf·ft" in found[0].says
    assert torque(low="90", high="110", confirm_low="90").low == "90"


def test_a_unit_without_a_figure_asks_nothing_of_it() -> None:
    unknown = replace(context(), torque_low="", torque_high="")
    typed = Texts({**TORQUE, **SIX_AT_110, "low": "90", "high": "125"})
    assert KIND.read(typed, unknown).low == "90"


def test_the_star_of_six_is_drawn_in_its_order() -> None:
    drawn = KIND.draw(Texts(TORQUE), context())
    wheel = drawn["wheel"]
    assert wheel.order == (1, 4, 6, 3, 5, 2)  # type: ignore[attr-defined]  # opposite pairs: common practice
    assert len(wheel.arrows) == 5  # type: ignore[attr-defined]
    assert drawn["aim"] == "110"  # middle of 100 to 120


@pytest.mark.parametrize("studs", range(3, 13))
def test_any_count_of_studs_is_drawn(studs: int) -> None:
    wheel = KIND.draw(Texts({**TORQUE, "studs": str(studs)}), context())["wheel"]
    assert sorted(wheel.order) == list(range(1, studs + 1))  # type: ignore[attr-defined]
    assert len({str(nut.at) for nut in wheel.nuts}) == studs  # type: ignore[attr-defined]


@pytest.mark.parametrize("text", ["", "x", "2", "99", "6.5", "٦"])
def test_without_a_usable_count_nothing_is_drawn(text: str) -> None:
    assert KIND.draw(Texts({**TORQUE, "studs": text}), context())["wheel"] is None


def test_the_next_nut_in_the_order_is_the_one_in_hand() -> None:
    drawn = KIND.draw(Texts({**TORQUE, "r-1": "110", "r-4": "110"}), context())["wheel"]
    assert [nut.nut for nut in drawn.nuts if nut.now] == [6]  # type: ignore[attr-defined]


# An adapter between wrench and nut: US Army TM 9-254, figure 4-5

ADAPTER = {"wrench_length": "18", "adapter_length": "2"}
AT_99 = {f"r-{nut}": "99" for nut in range(1, 7)}  # 110 x 18 / (18 + 2)


def through(**changed: str) -> WheelTorque:
    """Six nuts at 110 lbf·ft, read as 99 on the wrench through an adapter."""
    return KIND.read(Texts({**TORQUE, **AT_99, **ADAPTER, **changed}), context())


def refused_lengths(**lengths: str) -> list[Problem]:
    """What is wrong with the lengths of a form that is otherwise whole."""
    with pytest.raises(Refused) as refused:
        through(**lengths)
    return list(refused.value.problems)


def test_through_an_adapter_the_nuts_are_judged_not_the_wrench() -> None:
    record = through()
    assert record.readings[0].typed == "99"  # kept as typed
    assert record.by_nut == dict.fromkeys(range(1, 7), Decimal(110))
    assert KIND.judge(record, context()).verdict.grade is Grade.SOUND
    plainly = torque(**{f"r_{nut}": "99" for nut in range(1, 7)})
    assert KIND.judge(plainly, context()).verdict.grade is Grade.DNT  # the same readings without it


def test_the_record_says_the_setting_and_the_torque_at_the_nut() -> None:
    said = {each.name: each.says for each in KIND.judge(through(), context()).figures}
    assert said["wrench setting"] == "99.0\N{NO-BREAK SPACE}lbf·ft"
    assert said["torque at the nut"] == "110.0\N{NO-BREAK SPACE}lbf·ft"
    assert said["tightening passes"].startswith("25, 50, 99")  # a quarter and half of what is set


def test_without_an_adapter_nothing_is_said_of_one() -> None:
    said = {each.name for each in KIND.judge(torque(), context()).figures}
    assert not said & {"wrench setting", "torque at the nut"}


def test_a_record_kept_before_there_were_adapters_reads_as_it_did() -> None:
    old = torque().model_dump(mode="json")
    for name in ADAPTER:
        assert old.pop(name) == ""
    kept = KIND.kept(old)
    assert kept == torque()
    assert kept.adapter is None


def test_the_form_of_a_record_gives_its_adapter_again() -> None:
    assert KIND.read(Texts(KIND.texts(through())), context()) == through()
    assert KIND.kept(through().model_dump(mode="json")) == through()


def test_one_reading_for_the_wheel_goes_through_the_adapter_too() -> None:
    record = through(**dict.fromkeys(AT_99, ""), whole="99")
    assert set(record.by_nut.values()) == {Decimal(110)}


@pytest.mark.parametrize(
    ("lengths", "field"),
    [
        ({"wrench_length": ""}, "wrench_length"),
        ({"adapter_length": ""}, "adapter_length"),
        ({"wrench_length": "0"}, "wrench_length"),
        ({"wrench_length": "-18"}, "wrench_length"),
        ({"adapter_length": "0"}, "adapter_length"),
        ({"adapter_length": "-2"}, "adapter_length"),
        ({"adapter_length": "2 inches"}, "adapter_length"),
        ({"wrench_length": "101"}, "wrench_length"),
    ],
)
def test_lengths_that_cannot_be_are_refused_at_their_field(lengths: dict[str, str], field: str) -> None:
    found = [each for each in refused_lengths(**lengths) if each.field == field]
    assert found
    assert not found[0].ask


@pytest.mark.parametrize(
    ("lengths", "reading"),
    [
        ({"wrench_length": "60"}, "106.5"),  # longer than a wrench for wheels is: common practice
        ({"adapter_length": "1/2"}, "107"),
        ({"adapter_length": "26"}, "45"),  # longer than the wrench itself
    ],
)
def test_unlikely_lengths_are_asked_once_and_kept(lengths: dict[str, str], reading: str) -> None:
    readings = dict.fromkeys(AT_99, reading)
    assert [each.ask for each in refused_lengths(**lengths, **readings)] == [True]
    confirmed = {f"confirm-{name}": text for name, text in lengths.items()}
    assert KIND.judge(through(**lengths, **readings, **confirmed), context()).inside


def test_a_reading_is_questioned_by_what_it_means_at_the_nut() -> None:
    # 30 on the wrench is 40 at the nut (TM 9-2350-261-20-1), the least that is usual for a wheel nut
    low = {**dict.fromkeys(AT_99, "30"), "low": "40", "confirm-low": "40", "high": "40"}
    assert KIND.judge(through(**low, wrench_length="12", adapter_length="4"), context()).inside
    under = {**low, "r-2": "29"}
    found = refused_lengths(**under, wrench_length="12", adapter_length="4")
    assert {(each.field, each.ask) for each in found} == {("r-2", True)}


def test_the_wrenchs_range_is_held_against_what_it_shows() -> None:
    high = {
        **dict.fromkeys(AT_99, "145"),
        "low": "155",
        "confirm-low": "155",
        "high": "165",
    }  # 161 at the nut, its scale ends at 150
    assert KIND.judge(through(**high), context()).inside


def test_the_form_tells_what_to_set_as_soon_as_the_lengths_stand() -> None:
    drawn = KIND.draw(Texts({**TORQUE, **ADAPTER, "r-1": "99"}), context())
    assert (drawn["aim"], drawn["set_to"], drawn["at_nut"]) == ("110", "99", {1: "110"})
    assert [each.torque for each in drawn["passes"]] == [25, 50]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "lengths", [{}, {"wrench_length": "18"}, {"wrench_length": "x", "adapter_length": "2"}]
)
def test_without_both_lengths_the_wrench_is_set_to_the_aim(lengths: dict[str, str]) -> None:
    drawn = KIND.draw(Texts({**TORQUE, **lengths, "r-1": "99"}), context())
    assert (drawn["set_to"], drawn["at_nut"], drawn["adapter"]) == ("110", {}, None)

"""Scale tickets as a record: a three-pass weighing through the form, tongue scale, ratings, bad tickets."""

import re
from decimal import Decimal

import pytest

from app.bench.records.scale_tickets import KIND, ScaleTickets
from app.trade.figure import Grade, Worked
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.test_kinds import FORMS, judged, problems

FORM = FORMS["scale_tickets"]
PASSES = [name for name in FORM if name[-2:] in ("_1", "_2", "_3") and not name.startswith("gawr")]


def figures(**changed: str) -> dict[str, Worked[object]]:
    """The figures of a weighing by name."""
    return {each.name: each for each in judged("scale_tickets", **changed).figures}


def test_a_three_pass_weighing_comes_to_what_statics_says() -> None:
    # Three passes, worked by hand: (2860 + 3920) − (3100 + 2960) = 720; 720 + 5280 = 6000; 720 ÷ 6000 = 12 %;
    # (2980 − 2860) ÷ (3100 − 2860) = 50 %; 5360 − 5280 = 80.
    found = figures()
    assert found["tongue weight"].value == 720
    assert found["trailer weight"].value == 6000
    assert found["tongue share"].value == 12
    assert found["front axle restored"].value == 50
    assert found["moved to the trailer axles"].value == 80


def test_the_doubt_of_a_twenty_pound_scale_is_printed() -> None:
    # Rounding alone, uniform: u = d ÷ √12; tongue of four readings 2u = 23.1 lb; share ± 0.34 points.
    assert figures()["tongue weight"].says.replace("\xa0", " ") == "720 lb ± 23 lb"
    assert figures()["tongue share"].says.endswith("± 0.3")


@pytest.mark.parametrize(
    ("rear", "front", "grade"),
    [
        ("3920", "2860", Grade.SOUND),
        ("3480", "2860", Grade.DNT),  # 280 of 5560: 5.04 %, ± 0.35 reaches under 5 %: common practice
        ("3600", "2860", Grade.NEEDS),  # 400 of 5680: 7 %, under 10 %: common practice
    ],
)
def test_the_share_is_held_against_the_bands(rear: str, front: str, grade: Grade) -> None:
    kept = {"ticket_3": "", "front_3": "", "rear_3": "", "axles_3": "", "tow_rear": ""}
    assert judged("scale_tickets", rear_2=rear, front_2=front, **kept).verdict.grade is grade


def test_bars_never_hide_part_of_the_tongue() -> None:
    # From the pass with bars engaged one would get 640: the third pass is no tongue weight.
    assert figures()["tongue weight"].value != 2980 + 3720 - 6060


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"gvwr": "5900"}, "trailer GVWR: 100 lb over"),  # 6000 against 49 CFR 571.3's GVWR
        (
            {"gawr_1": "2600", "gawr_2": "2600"},
            "GAWR, all axles: 160 lb over",
        ),  # 5360 on the road, bars engaged
        ({"tow_rear": "3600"}, "tow vehicle rear GAWR: 120 lb over"),  # 3720
        ({"coupling": "5000"}, "coupler or ball: 1,000 lb over"),
        ({"hitch_tongue": "500"}, "hitch, tongue: 220 lb over"),
        ({"gcwr": "12000"}, "GCWR: 60 lb over"),  # 2980 + 3720 + 5360, the tongue counted once
        ({"tow_gvwr": "6500"}, "tow vehicle GVWR: 200 lb over"),
    ],
)
def test_the_least_rating_governs(changed: dict[str, str], words: str) -> None:
    found = judged("scale_tickets", **changed).verdict
    assert found.grade is Grade.DNT
    assert words in found.says.replace("\xa0", " ")


def test_single_axles_are_held_against_their_own_rating() -> None:
    found = judged("scale_tickets", axle_1="3600", axle_2="1760").verdict
    assert "GAWR axle 1: 100 lb over" in found.says.replace("\xa0", " ")


def test_a_rating_that_nobody_read_is_not_taken_from_another() -> None:
    assert judged("scale_tickets", gvwr="").verdict.grade is Grade.UNSEEN


def test_the_tongue_may_be_read_on_a_scale_of_its_own() -> None:
    plain = dict.fromkeys([*PASSES, "goal", "tow_rear"], "")
    found = judged("scale_tickets", **{**plain, "tongue": "600", "axles_2": "4400"})
    share = found.figures[0].value
    assert (share, found.verdict.grade) == (Decimal(12), Grade.SOUND)  # 600 ÷ 5000


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"front_1": ""}, "front_1"),
        ({"axles_2": ""}, "axles_2"),
        ({"axles_3": ""}, "axles_3"),
        ({"front_1": "3110"}, "front_1"),  # no step of 20
        ({"rear_2": "-20"}, "rear_2"),
        ({"tongue": "700"}, "tongue"),
        ({"scale": ""}, "scale"),
        ({"division": "0"}, "division"),
    ],
)
def test_a_ticket_that_cannot_be_is_refused(changed: dict[str, str], field: str) -> None:
    found = [each for each in problems("scale_tickets", **changed) if each.field == field]
    assert found
    assert not found[0].ask


@pytest.mark.parametrize(
    ("changed", "field"),
    [({"front_2": "3120"}, "front_2"), ({"axles_3": "5260"}, "axles_2")],
)
def test_swapped_tickets_are_asked(changed: dict[str, str], field: str) -> None:
    assert field in {each.field for each in problems("scale_tickets", **changed) if each.ask}


def test_weighings_that_disagree_prove_nothing() -> None:
    found = judged("scale_tickets", axles_3="5460", gawr_1="", gawr_2="").verdict
    assert found.grade is Grade.UNSEEN  # 100 lb apart, over two steps of 20
    assert "weigh again" in found.says


def test_the_passes_are_drawn_with_their_changes() -> None:
    drawn = KIND.draw(Texts(FORM), context())["passes"]
    assert isinstance(drawn, tuple)
    assert [each.total for each in drawn] == ["6,060", "12,060", "12,060"]
    assert drawn[1].loads["front"].change == "-240"
    assert drawn[2].loads["rear"].change == "-200"


def test_a_blank_form_draws_two_passes_and_no_figure() -> None:
    drawn = KIND.draw(Texts({}), context())
    assert len(drawn["passes"]) == 2  # type: ignore[arg-type]  # a tuple
    assert drawn["figures"] == ()


def test_the_label_of_the_unit_begins_the_ratings() -> None:
    form = KIND.start(context(gvwr="7000", gawr=("3500", "3500"), axles=2))
    assert (form["gvwr"], form["gawr_1"], form["gawr_2"]) == ("7000", "3500", "3500")
    metric = KIND.start(context(gvwr="3175", gawr=("1588",), gawr_unit="kg", axles=1))
    assert (metric["gvwr"], metric["gawr_1"], metric["rating_unit"]) == ("3175", "1588", "kg")
    assert metric["unit"] == "lb"


METRIC = {
    **{"unit": "kg", "division": "10", "front_1": "1400", "rear_1": "1340", "axles_2": "2400"},
    **{"front_2": "1300", "rear_2": "1770", "front_3": "1350", "rear_3": "1680", "axles_3": "2440"},
    **{"tow_rear": "", "rating_unit": "kg", "gvwr": "3175", "gawr_1": "1588", "gawr_2": "1588"},
}


def test_a_scale_in_kilograms_comes_to_the_same_statics() -> None:
    # By hand: (1300 + 1770) − (1400 + 1340) = 330; 330 + 2400 = 2730 kg; 330 ÷ 2730 = 12.088 %;
    # (1350 − 1300) ÷ (1400 − 1300) = 50 %. 1 kg = 1 ÷ 0.45359237 lb exactly: NIST SP 811.
    found = figures(**METRIC)
    assert found["tongue weight"].value == pytest.approx(Decimal(330) / Decimal("0.45359237"))
    assert found["trailer weight"].value == pytest.approx(Decimal(2730) / Decimal("0.45359237"))
    assert round(found["tongue share"].value, 3) == Decimal("12.088")  # type: ignore[call-overload]
    assert found["front axle restored"].value == pytest.approx(50)


@pytest.mark.parametrize(
    ("gvwr", "unit", "grade"),
    [
        ("3175", "kg", Grade.SOUND),  # 2,730 kg on 3,175 kg
        ("2700", "kg", Grade.DNT),  # 30 kg over
        ("7000", "lb", Grade.SOUND),  # plate in lb, scale in kg: 2,730 kg is 6,018.6 lb
        ("5900", "lb", Grade.DNT),
    ],
)
def test_plates_keep_a_unit_of_their_own(gvwr: str, unit: str, grade: Grade) -> None:
    axles = ("1588", "1588") if unit == "kg" else ("3500", "3500")
    plates = {"rating_unit": unit, "gvwr": gvwr, "gawr_1": axles[0], "gawr_2": axles[1]}
    assert judged("scale_tickets", **{**METRIC, **plates}).verdict.grade is grade


def test_kilograms_are_kept_and_printed_as_kilograms() -> None:
    kept = KIND.read(Texts({**FORM, **METRIC}), context())
    assert (kept.unit, kept.front_1, kept.rating_unit, kept.gvwr) == ("kg", "1400", "kg", "3175")
    drawn = KIND.draw(Texts(KIND.texts(kept)), context())
    said = {row.name: row.said("1400").replace("\xa0", " ") for row in drawn["kept_rows"]}  # type: ignore[attr-defined]
    assert (said["front_1"], said["gvwr"]) == ("1400 kg", "1400 kg")
    assert drawn["unit_word"] == "kg"


@pytest.mark.parametrize("unit", ["", "st", "N"])
def test_another_unit_is_no_choice(unit: str) -> None:
    assert "unit" in {each.field for each in problems("scale_tickets", unit=unit)}


def test_a_step_that_is_none_is_told_in_the_scales_unit() -> None:
    found = next(each for each in problems("scale_tickets", **{**METRIC, "front_1": "1405"}))
    assert (found.field, found.accepts) == ("front_1", "steps of 10 kg")


def test_readings_stand_as_typed() -> None:
    kept = KIND.read(Texts({**FORM, "front_1": "3100.0"}), context())
    assert isinstance(kept, ScaleTickets)
    assert kept.front_1 == "3100.0"
    assert re.fullmatch(r"3100\.0", kept.model_dump()["front_1"])

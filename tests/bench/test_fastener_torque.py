"""Fastener torque as a record: named bolts, the cross, rounds, thread, retorque, what is refused."""

import pytest

from app.bench.records.fastener_torque import KIND, FastenerTorque
from app.trade.figure import Grade
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.test_kinds import FORMS, judged, problems

FORM = FORMS["fastener_torque"]


def kept(**changed: str) -> FastenerTorque:
    """Four U-bolt nuts inside 70 to 85 lbf·ft."""
    return KIND.read(Texts({**FORM, **changed}), context())


def test_bolts_carry_their_names_and_readings_as_typed() -> None:
    record = kept(**{"r-3": "77.50"})
    assert [each.name for each in record.bolts] == ["Left, front leg", "Left, rear leg", "Bolt 3", "Bolt 4"]
    assert record.bolts[2].typed == "77.50"


@pytest.mark.parametrize(
    ("changed", "grade"),
    [
        ({"r-3": "69"}, Grade.DNT),  # under the maker's low end
        ({"r-3": "89"}, Grade.NEEDS),  # over 85 by more than 4 %: ISO 6789-1
        ({"r-3": "69", "joint": "body"}, Grade.NEEDS),
        ({"r-3": ""}, Grade.UNSEEN),
        ({"checked": ""}, Grade.UNSEEN),
        ({"moved-2": "yes"}, Grade.NEEDS),  # another round: common practice
        ({"thread": "1/8"}, Grade.NEEDS),  # COMAR 11.14.05.03(2): 1/4 in beyond the nut
        ({"visit": "retorque", "miles": "75"}, Grade.SOUND),
    ],
)
def test_a_joint_is_judged_by_its_worst(changed: dict[str, str], grade: Grade) -> None:
    assert judged("fastener_torque", **changed).verdict.grade is grade


def test_a_bolt_that_moves_at_two_visits_stops_the_tow() -> None:
    before = kept(**{"moved-2": "yes"}).model_dump(mode="json")
    form = Texts({**FORM, "moved-2": "yes", "visit": "retorque", "miles": "75"})
    again = KIND.read(form, context(before=before))
    found = KIND.judge(again, context()).verdict
    assert found.grade is Grade.DNT  # look at thread, seat and hole: common practice
    assert "Left, rear leg" in found.says


def test_one_reading_may_stand_for_all() -> None:
    record = kept(**{f"r-{bolt}": "" for bolt in range(1, 5)}, whole="78")
    assert set(record.readings.values()) == {78}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"joint": ""}, "joint"),
        ({"joint": "wheel"}, "joint"),
        ({"count": "0"}, "count"),
        ({"count": "25"}, "count"),
        ({"low": ""}, "low"),
        ({"high": "60"}, "high"),
        ({"r-1": "0"}, "r-1"),
        ({"r-1": "x"}, "r-1"),
        ({"whole": "78"}, "whole"),
        ({"n-2": "Left, front leg"}, "n-2"),
        ({"visit": ""}, "visit"),
        ({"visit": "retorque"}, "miles"),
        ({"order": ""}, "order"),
        ({"count": "2", "r-3": "", "r-4": ""}, "order"),  # two bolts make no cross
        ({"instrument": ""}, "instrument"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(changed: dict[str, str], field: str) -> None:
    found = [each for each in problems("fastener_torque", **changed) if each.field == field]
    assert found
    assert not found[0].ask


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"pass-2-3": ""}, "passes"),
        ({"r-1": "160"}, "r-1"),  # the wrench ends at 150
        ({"instrument": "2"}, "instrument"),  # calibration was due 1 March 2026
    ],
)
def test_what_is_unlikely_is_asked(changed: dict[str, str], field: str) -> None:
    assert (field, True) in {(each.field, each.ask) for each in problems("fastener_torque", **changed)}


def test_a_skipped_round_is_kept_once_confirmed() -> None:
    assert [each.nuts for each in kept(**{"pass-2-3": "", "confirm-passes": "yes"}).passes] == [
        (1, 3, 2, 4),
        (1, 2, 4),
    ]  # four go crosswise: common practice


def test_the_cross_goes_corner_to_corner() -> None:
    drawn = KIND.draw(Texts(FORM), context())
    assert drawn["order"] == (1, 3, 2, 4)  # opposite bolts follow each other: common practice
    assert drawn["ring"] is not None


def test_a_row_goes_from_the_middle_and_has_no_ring() -> None:
    drawn = KIND.draw(Texts({**FORM, "order": "row", "count": "5"}), context())
    assert (drawn["order"], drawn["ring"]) == ((3, 2, 4, 1, 5), None)


@pytest.mark.parametrize("count", ["", "x", "0", "99", "٤"])
def test_without_a_usable_count_nothing_is_drawn(count: str) -> None:
    assert KIND.draw(Texts({**FORM, "count": count}), context())["order"] == ()


def test_a_retorque_begins_with_the_names_of_last_time() -> None:
    before = kept().model_dump(mode="json")
    form = KIND.start(context(before=before, last=before))
    assert (form["visit"], form["n-1"], form["low"]) == ("retorque", "Left, front leg", "70")


# An adapter between wrench and bolt: US Army TM 9-2350-261-20-1, 12 in and 4 in, three quarters

ADAPTER = {"wrench_length": "12", "adapter_length": "4"}


def test_through_an_adapter_the_bolts_are_judged_not_the_wrench() -> None:
    at_57 = {f"r-{bolt}": "57" for bolt in range(1, 5)}  # 57 x 16 / 12 = 76 at the bolt
    record = kept(**ADAPTER, **at_57)
    assert set(record.readings.values()) == {76}
    assert record.bolts[0].typed == "57"
    found = {each.name: each.says for each in KIND.judge(record, context()).figures}
    assert found["wrench setting"].startswith("58.1")  # 77.5 x 12 / 16
    assert KIND.judge(record, context()).verdict.grade is Grade.SOUND


def test_a_bolt_without_a_reading_stays_without_one() -> None:
    record = kept(**ADAPTER, **{"r-1": "57", "r-2": "57", "r-3": "57", "r-4": ""})
    assert record.readings["Bolt 4"] is None
    assert KIND.judge(record, context()).unfinished


def test_the_form_of_the_bolts_gives_their_adapter_again() -> None:
    record = kept(**ADAPTER)
    assert KIND.read(Texts(KIND.texts(record)), context()) == record


@pytest.mark.parametrize("missing", ["wrench_length", "adapter_length"])
def test_one_length_alone_is_refused(missing: str) -> None:
    found = problems("fastener_torque", **{**ADAPTER, missing: ""})
    assert [each.field for each in found] == [missing]


def test_the_sheet_shows_each_bolts_torque_beside_what_was_read() -> None:
    drawn = KIND.draw(Texts({**FORM, **ADAPTER, "r-1": "57"}), context())
    assert (drawn["set_to"], drawn["at_nut"][1]) == ("58.1", "76")  # type: ignore[index]

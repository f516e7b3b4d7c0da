"""What the owner reads: short sentences, every reading as typed, unseen with its reason."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from app.handover import sentences
from app.handover.rules import Fit, Leaves, Leaving, Stop
from app.inspection.facts import FindingLine, ReadingLine
from app.trade.figure import By, Grade

CARRIED = Leaving(Leaves.CARRIED, "Tomasz", "flatbed")
LINE = FindingLine(
    id=1,
    walk_id=1,
    check="ti.tread",
    place="tire-1-left",
    name="Tread depth",
    station=5,
    grade=Grade.SOUND,
    by=None,
    until=None,
    until_miles=None,
    reason="",
    source="",
    dissent="",
    note="",
    fitted=True,
    closed_off=False,
    seen=(),
    worked=(),
    looked_by="Toni",
    looked_by_id=3,
    looked_at=datetime(2026, 5, 4, tzinfo=UTC),
    looked_entry=4,
    revision=0,
    safety=True,
    kits=(),
)


def read(label: str, typed: str, unit: str, by: str = "") -> ReadingLine:
    return ReadingLine(label.lower(), label, typed, unit, by)


TREAD = read("Least", "7", "in_32nd")
VOLTS = read("Rested", "12.7", "V")


@pytest.mark.parametrize(
    ("count", "says"), [(0, "no faults"), (1, "one fault"), (10, "ten faults"), (1200, "1,200 faults")]
)
def test_small_counts_are_words_and_large_ones_figures(count: int, says: str) -> None:
    assert sentences.counted(count, "fault", "faults") == says


def test_everything_that_is_to_be_known_before_towing_is_said() -> None:
    found = Fit(unseen=("Hub",), left=("Mirror",), closed=("Stove",))
    assert list(sentences.may_tow(found, 40, 3, "6,800 lb", "drum stuck")) == [
        "We looked at 40 things.",
        "Three faults had to be put right before it could leave; that is done.",
        "It is handed over with parts not looked at: Hub. Reason: drum stuck.",
        "You tow it without work that we asked for first: Mirror.",
        "Do not use what is shut off: Stove.",
        "Loaded, it may weigh at most 6,800 lb.",
    ]


def test_nothing_is_said_of_what_is_not_so() -> None:
    assert list(sentences.may_tow(Fit(), 1, 0, "", "")) == ["We looked at one thing."]


@pytest.mark.parametrize(
    ("grades", "begin"),
    [
        ([Grade.DNT], "One fault stops it: "),
        ([Grade.DNT, Grade.DNT, Grade.UNSEEN], "Two faults stop it: "),
        ([Grade.UNSEEN], "We cannot say that it is fit for the road."),
        ([Grade.NEEDS], "We cannot say that it is fit for the road."),
    ],
)
def test_the_refusal_counts_the_faults(grades: list[Grade], begin: str) -> None:
    said = list(sentences.may_not_tow([Stop("x", grade) for grade in grades], CARRIED))
    assert said[0].startswith(begin)
    assert said[1] == "It leaves on a carrier, wheels off the road: flatbed."
    assert said[-1] == "The law where you are may forbid towing it at all."


def test_no_sentence_of_ours_has_more_than_twenty_words() -> None:
    fit = sentences.may_tow(Fit(("a",), ("b",), ("c",)), 40, 3, "6,800 lb", "wet")
    held = sentences.may_not_tow([Stop("x", Grade.DNT)], CARRIED)
    for said in [*fit, *held]:
        assert all(len(one.split()) <= 20 for one in said.split(". "))  # owner text: at most 20 words


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ([], ""),
        ([TREAD], "7/32\u00a0in"),
        ([TREAD, VOLTS], "Least: 7/32\u00a0in; Rested: 12.7\u00a0V"),
        ([replace(TREAD, typed=""), VOLTS], "12.7\u00a0V"),
        ([read("Turn", "yes", "")], "yes"),
        ([read("Torque", "950", "N_m", "Lee")], "950\u00a0N·m (kept by Lee)"),
        ([read("Odd", "3", "furlong")], "3 furlong"),
    ],
)
def test_readings_are_told_as_typed_with_their_unit(given: list[ReadingLine], says: str) -> None:
    assert sentences.readings(given) == says


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({}, "looked at"),
        ({"seen": ("no crack",)}, "no crack"),
        ({"readings": (TREAD,)}, "7/32\u00a0in"),
        ({"readings": (TREAD,), "reason": "7/32 in, over 5"}, "7/32\u00a0in"),
        (
            {"readings": (TREAD,), "reason": "worn", "grade": Grade.NEEDS, "by": By.SOON},
            "7/32\u00a0in; worn",
        ),
        ({"grade": Grade.DNT, "reason": "cord showing"}, "cord showing"),
        ({"fitted": False}, "not fitted"),
        (
            {"fitted": False, "grade": Grade.DNT, "reason": "two are asked for"},
            "not fitted; two are asked for",
        ),
        ({"grade": Grade.UNSEEN}, "Not looked at"),
        ({"grade": Grade.UNSEEN, "note": "wet"}, "Not looked at (wet)"),
        ({"grade": Grade.UNSEEN, "note": "wet", "reason": "not looked at yet"}, "Not looked at (wet)"),
    ],
)
def test_what_was_found_is_told(changed: dict[str, object], says: str) -> None:
    assert sentences.got(replace(LINE, **changed), cleared=False) == says  # type: ignore[arg-type] # any field


def test_unseen_takes_the_reason_given_at_the_handover() -> None:
    unseen = replace(LINE, grade=Grade.UNSEEN, reason="not looked at yet")
    assert sentences.got(unseen, cleared=False, unseen_reason="drum stuck") == "Not looked at (drum stuck)"


def test_a_cleared_fault_leaves_room_for_what_the_work_measured() -> None:
    fault = replace(LINE, grade=Grade.DNT, reason="cord showing", readings=(TREAD,))
    assert sentences.got(fault, cleared=True) == ""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.bearings import (
    HEAVY,
    Grease,
    Service,
    Thickener,
    adjustment,
    angle_for_movement,
    axial_movement,
    end_play_verdict,
    grease_to_pack,
    grease_verdict,
    lock_step,
    mixing_verdict,
    question_end_play,
    service_verdict,
)
from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.threads import read_thread

# End play


@pytest.mark.parametrize(
    ("typed", "unit", "grade", "by"),
    [
        ("0", "in", Grade.NEEDS, By.TOWING),  # preload: common practice, a greased trailer hub needs play
        ("0.0009", "in", Grade.NEEDS, By.TOWING),  # under 0.001 in: common practice
        ("0.001", "in", Grade.SOUND, None),  # 0.001 to 0.010 in, ends included: common practice
        ("0.005", "in", Grade.SOUND, None),
        ("0.010", "in", Grade.SOUND, None),
        ("0.0101", "in", Grade.NEEDS, By.TOWING),  # over 0.010 in: common practice
        ("0.030", "in", Grade.NEEDS, By.TOWING),
        ("0.0301", "in", Grade.DNT, None),  # over 0.030 in: common practice
        ("4", "thou", Grade.SOUND, None),  # 4 thousandths are 0.004 in
        ("0.1", "mm", Grade.SOUND, None),  # 0.1 / 25.4 = 0.0039 in
        ("0.25", "mm", Grade.SOUND, None),  # 0.00984 in
        ("0.26", "mm", Grade.NEEDS, By.TOWING),  # 0.01024 in
        ("0.02", "mm", Grade.NEEDS, By.TOWING),  # 0.00079 in
        ("0.77", "mm", Grade.DNT, None),  # 0.0303 in
    ],
)
def test_end_play_of_a_light_trailer(typed: str, unit: str, grade: Grade, by: By | None) -> None:
    verdict = end_play_verdict(Quantity(typed, unit)).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


@pytest.mark.parametrize(
    ("typed", "grade"), [("0.001", Grade.SOUND), ("0.005", Grade.SOUND), ("0.006", Grade.NEEDS)]
)  # TMC RP 618: 0.001 to 0.005 in, as reported in the trade press
def test_end_play_of_a_heavy_vehicle(typed: str, grade: Grade) -> None:
    verdict = end_play_verdict(Quantity(typed, "in"), HEAVY).verdict
    assert verdict is not None and verdict.grade is grade


def test_end_play_under_0_is_refused() -> None:
    with pytest.raises(Impossible, match=r"such as 0\.004 in"):
        end_play_verdict(Quantity("-0.001", "in"))


@given(st.decimals(0, 1, places=4))
def test_more_play_never_means_less_work_beyond_the_limit(play: Decimal) -> None:
    verdict = end_play_verdict(Quantity(f"{play:f}", "in")).verdict
    assert verdict is not None
    assert verdict.inside == (Decimal("0.001") <= play <= Decimal("0.010"))


@pytest.mark.parametrize(
    ("typed", "asks"),
    [
        ("-0.001", [False]),  # impossible
        ("0", [True]),  # exactly 0 is unlikely on a free hub: common practice
        ("0.004", []),
        ("0.030", []),
        ("0.031", [True]),  # over 0.030 in: common practice
    ],
)
def test_an_unlikely_end_play_is_asked_about(typed: str, asks: list[bool]) -> None:
    assert [problem.ask for problem in question_end_play("play", Quantity(typed, "in"))] == asks


# Adjusting


@pytest.mark.parametrize(
    ("kind", "seat", "back_off"),
    [
        ("light", "50 lbf·ft", "without turning the hub"),  # common practice
        ("utility", "30 lbf·ft", "1/16 turn"),  # US Army TM 9-2330-202-13&P, WP 0054
        ("two nuts", "binds", "1/6 turn"),  # same manual, WP 0055
        ("heavy", "200 lbf·ft", "pitch"),  # TMC RP 618, as reported
    ],
)
def test_seat_back_off_and_set(kind: str, seat: str, back_off: str) -> None:
    first, second, third = adjustment(kind).value
    assert seat in first and back_off in second and third.startswith("Then")


def test_an_unknown_adjustment_is_refused() -> None:
    with pytest.raises(Impossible, match="light, utility"):
        adjustment("sealed")


@pytest.mark.parametrize(
    ("thread", "angle", "movement"),
    [
        ("1-14", "60", "0.01190"),  # pitch 1/14 in, a flat is a sixth: arithmetic
        ("1-14", "45", "0.00893"),
        ("1-14", "22.5", "0.00446"),
        ("1-14", "30", "0.00595"),
        ("3/4-18", "60", "0.00926"),
        ("3/4-20", "60", "0.00833"),
        ("1-12", "360", "0.08333"),
        ("M24x2", "60", "0.33333"),
        ("1-14", "0", "0"),
    ],
)
def test_a_nut_moves_by_its_pitch(thread: str, angle: str, movement: str) -> None:
    moved = axial_movement(read_thread(thread), Decimal(angle)).value
    assert abs(moved - Decimal(movement)) < Decimal("0.00001")


def test_five_thousandths_on_14_threads() -> None:
    # 0.005 x 14 x 360 = 25.2 degrees
    assert abs(angle_for_movement(read_thread("1-14"), Decimal("0.005")).value - Decimal("25.2")) < Decimal(
        "1e-9"
    )


@given(st.decimals(0, 720, places=1))
def test_angle_and_movement_undo_each_other(angle: Decimal) -> None:
    thread = read_thread("1-14")
    moved = axial_movement(thread, angle).value
    assert abs(angle_for_movement(thread, moved).value - angle) < Decimal("1e-9")


def test_a_nut_turns_and_moves_by_0_or_more() -> None:
    with pytest.raises(Impossible):
        axial_movement(read_thread("1-14"), Decimal(-1))
    with pytest.raises(Impossible):
        angle_for_movement(read_thread("1-14"), Decimal(-1))


@pytest.mark.parametrize(
    ("slots", "holes", "step"),
    [
        (6, 2, "60"),  # six slots, one hole right through: every slot meets it at 60 degrees only
        (6, 4, "30"),  # two holes crossed
        (6, 1, "60"),
        (8, 2, "45"),
        (12, 2, "30"),
        (6, 5, "12"),
    ],
)  # counted on a drawing
def test_a_castle_nut_locks_in_steps(slots: int, holes: int, step: str) -> None:
    assert lock_step(slots, holes).value == Decimal(step)


@pytest.mark.parametrize(("slots", "holes"), [(2, 2), (6, 0)])
def test_a_castle_nut_has_slots(slots: int, holes: int) -> None:
    with pytest.raises(Impossible):
        lock_step(slots, holes)


# Grease


@pytest.mark.parametrize("there", list(Thickener))
@pytest.mark.parametrize("new", list(Thickener))
def test_only_the_same_known_grease_tops_up(there: Thickener, new: Thickener) -> None:
    # common practice: never mix thickeners, unknown grease is washed out
    same = there is new and new is not Thickener.UNKNOWN
    assert mixing_verdict(there, new).inside == same


@pytest.mark.parametrize(
    ("nlgi", "category", "water", "boat", "inside"),
    [
        ("2", "GC-LB", False, False, True),  # ASTM D4950: GC for wheel bearings, LB for chassis
        ("2", "gc-lb", False, False, True),
        ("2", "GC", False, False, True),
        ("2", "LB", False, False, False),  # chassis only
        ("2", "GA", False, False, False),  # mild duty
        ("2", "", False, False, False),
        ("1", "GC-LB", False, False, False),  # common practice: NLGI 2
        ("2", "GC-LB", False, True, False),  # common practice: boats take water-resistant grease
        ("2", "GC-LB", True, True, True),
    ],
)
def test_a_wheel_bearing_grease(nlgi: str, category: str, water: bool, boat: bool, inside: bool) -> None:
    assert grease_verdict(Grease(nlgi, category, water), boat=boat).inside == inside


# Service


@pytest.mark.parametrize(
    ("done", "miles", "grade"),
    [
        (date(2025, 5, 1), "3000", Grade.SOUND),  # 12 months or 12,000 miles: common practice
        (date(2025, 4, 30), "3000", Grade.SOUND),  # due today
        (date(2025, 4, 29), "3000", Grade.NEEDS),  # a day over, few miles
        (date(2026, 4, 1), "12001", Grade.NEEDS),  # a month, many miles: whichever comes first
        (date(2026, 4, 1), "12000", Grade.SOUND),
        (date(2026, 4, 1), None, Grade.SOUND),  # miles unknown: by date
        (None, "100", Grade.NEEDS),
        (None, None, Grade.NEEDS),
    ],
)
def test_service_by_months_or_miles(done: date | None, miles: str | None, grade: Grade) -> None:
    last = Service(done, Decimal(miles) if miles else None)
    verdict = service_verdict(last, date(2026, 4, 30)).verdict
    assert verdict is not None and verdict.grade is grade


def test_a_boat_trailer_is_served_before_towing() -> None:
    # common practice: water in the hub does not wait
    for boat, by in ((True, By.TOWING), (False, By.SOON)):
        verdict = service_verdict(Service(None), date(2026, 4, 30), boat=boat).verdict
        assert verdict is not None and verdict.by is by


@pytest.mark.parametrize(
    ("done", "due"),
    [
        (date(2025, 3, 15), date(2026, 3, 15)),
        (date(2024, 2, 29), date(2025, 2, 28)),  # the calendar: no 29 February in 2025
        (date(2023, 2, 28), date(2024, 2, 28)),
    ],
)
def test_twelve_months_on(done: date, due: date) -> None:
    assert service_verdict(Service(done), date(2026, 4, 30)).value == due


def test_a_service_after_today_or_miles_under_0_are_refused() -> None:
    with pytest.raises(Impossible, match="after today"):
        service_verdict(Service(date(2026, 5, 1)), date(2026, 4, 30))
    with pytest.raises(Impossible, match="Miles"):
        service_verdict(Service(date(2026, 4, 1), Decimal(-1)), date(2026, 4, 30))


# Grease and what is there


@pytest.mark.parametrize(
    ("nlgi", "category", "there", "boat", "water", "grade"),
    [
        # ASTM D4950, from memory: GC for wheel bearings, LB for chassis; common practice for mixing
        ("2", "GC-LB", Thickener.LITHIUM_COMPLEX, False, False, Grade.SOUND),
        ("2", "GC", Thickener.LITHIUM_COMPLEX, False, False, Grade.SOUND),
        ("2", "GC-LB", None, False, False, Grade.SOUND),
        ("2", "GC-LB", Thickener.POLYUREA, False, False, Grade.NEEDS),
        ("2", "GC-LB", Thickener.CLAY, False, False, Grade.NEEDS),
        ("2", "GC-LB", Thickener.LITHIUM, False, False, Grade.NEEDS),
        ("2", "GC-LB", Thickener.UNKNOWN, False, False, Grade.NEEDS),
        ("2", "LB", Thickener.LITHIUM_COMPLEX, False, False, Grade.NEEDS),
        ("2", "GB", None, False, False, Grade.NEEDS),
        ("2", "none", None, False, False, Grade.NEEDS),
        ("1", "GC-LB", None, False, False, Grade.NEEDS),
        ("3", "GC-LB", None, False, False, Grade.NEEDS),
        ("2", "GC-LB", None, True, False, Grade.NEEDS),
        ("2", "GC-LB", None, True, True, Grade.SOUND),
    ],
)
def test_a_grease_suits_the_hub_and_what_is_in_it(
    nlgi: str, category: str, there: Thickener | None, boat: bool, water: bool, grade: Grade
) -> None:
    found = grease_to_pack(Grease(nlgi, category, water), Thickener.LITHIUM_COMPLEX, there, boat=boat)
    assert found.verdict is not None
    assert found.verdict.grade is grade
    assert found.value == found.verdict


def test_a_hub_washed_clean_is_said() -> None:
    says = [each.says for each in grease_to_pack(Grease("2", "GC-LB"), Thickener.CLAY, None).inputs]
    assert says == ["NLGI 2 GC-LB, clay", "nothing, washed clean", "no"]

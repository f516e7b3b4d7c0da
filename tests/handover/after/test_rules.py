"""A retorque visit and a follow-up, decided without a database."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from app.bench.kinds import Context, Tool
from app.handover.after import rules
from app.handover.after.rules import DoneHow, Wheel
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from app.trade.typed import Texts

DAY = date(2026, 5, 4)
NBSP = "\N{NO-BREAK SPACE}"
WRENCH = Tool(1, "Torque wrench T-02", "torque wrench", "lbf_ft", "20", "150", date(2027, 3, 4))
CONTEXT = Context(place="", label="Retorque visit", on=DAY, tools=(WRENCH,))
LEFT = Wheel("wheel-1-left", "Left wheel, axle 1", 6, "100", "120", "lbf_ft")
RIGHT = Wheel("wheel-1-right", "Right wheel, axle 1", 6, "100", "120", "lbf_ft", moved_before=(3,))
WHEELS = (LEFT, RIGHT)
FORM = {
    "miles": "27",
    "distance_unit": "mi",
    "torque": "110",
    "instrument": "1",
    "wheel-wheel-1-left": "none",
    "wheel-wheel-1-right": "none",
}


def plain(text: str) -> str:
    """A text with ordinary blanks."""
    return text.replace(NBSP, " ")


def read(**more: str) -> rules.Visit:
    return rules.read_visit(Texts({**FORM, **more}), WHEELS, CONTEXT)


def refused(**more: str) -> dict[str, str]:
    with pytest.raises(Refused) as found:
        read(**more)
    return {it.field: it.says for it in found.value.problems}


def test_a_visit_keeps_what_was_typed_and_with_which_wrench() -> None:
    visit = read()
    assert (visit.miles, visit.distance_unit, plain(visit.set_to)) == ("27", "mi", "110 lbf·ft")
    assert (
        plain(str(visit.instrument)) == "Torque wrench T-02, 20 to 150 lbf·ft, calibration due 4 March 2027"
    )
    assert [plain(seen.figure) for seen in visit.wheels] == ["100 to 120 lbf·ft"] * 2


def test_no_nut_moved_is_sound() -> None:
    judged = rules.judge_visit(read(), WHEELS)
    assert (judged.verdict.grade, judged.verdict.says) == (Grade.SOUND, "No nut moved")
    assert judged.inside


def test_a_nut_that_moved_asks_for_another_round_before_towing() -> None:
    # Common practice: a nut that turns at its figure was loose; the round is made again.
    visit = read(**{"wheel-wheel-1-left": "moved", "wheel-wheel-1-left-2": "yes"})
    verdict = rules.judge_visit(visit, WHEELS).verdict
    assert (verdict.grade, verdict.by) == (Grade.NEEDS, By.TOWING)
    assert verdict.says.startswith("Left wheel, axle 1: ")


def test_a_nut_that_moved_twice_running_is_do_not_tow() -> None:
    # Common practice: seat, stud or wheel gives way; tightening again hides it.
    visit = read(**{"wheel-wheel-1-right": "moved", "wheel-wheel-1-right-3": "yes"})
    assert rules.judge_visit(visit, WHEELS).verdict.grade is Grade.DNT


def test_another_nut_than_last_time_is_not_twice_running() -> None:
    visit = read(**{"wheel-wheel-1-right": "moved", "wheel-wheel-1-right-4": "yes"})
    assert rules.judge_visit(visit, WHEELS).verdict.grade is Grade.NEEDS


@pytest.mark.parametrize(
    ("torque", "grade"), [("100", Grade.SOUND), ("120", Grade.SOUND), ("99", Grade.NEEDS)]
)
def test_the_wrench_is_set_to_the_wheels_figure(torque: str, grade: Grade) -> None:
    assert rules.judge_visit(read(torque=torque), WHEELS).verdict.grade is grade


def test_wheels_of_two_figures_are_judged_each_by_its_own() -> None:
    other = replace(RIGHT, low="140", high="150")
    verdict = rules.judge_visit(read(), (LEFT, other)).verdict
    says = "Right wheel, axle 1: the wrench was set to 110 lbf·ft, the figure is 140 to 150 lbf·ft"
    assert plain(verdict.says) == says


def test_every_wheel_is_answered() -> None:
    found = refused(**{"wheel-wheel-1-left": "", "wheel-wheel-1-right": "all of them"})
    assert found == {
        "wheel-wheel-1-left": "Left wheel, axle 1 is not answered",
        "wheel-wheel-1-right": "Right wheel, axle 1 is not answered",
    }


def test_an_answer_and_its_nuts_agree() -> None:
    assert "which nuts moved" in refused(**{"wheel-wheel-1-left": "moved"})["wheel-wheel-1-left"]
    assert "nuts are ticked" in refused(**{"wheel-wheel-1-left-1": "yes"})["wheel-wheel-1-left"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [("", "The distance driven is missing"), ("-5", "-5"), ("next week", "not a number")],
)
def test_a_distance_is_a_number_of_miles_or_km(typed: str, says: str) -> None:
    assert says in refused(miles=typed)["miles"]


def test_a_far_distance_is_asked_about_and_then_kept() -> None:
    assert refused(miles="240") == {"miles": "That is far for a first retorque"}
    assert read(miles="240", **{"confirm-miles": "240"}).driven == 240


def test_km_count_as_the_miles_that_they_are() -> None:
    # International mile: 1.609344 km exactly (NIST SP 811, B.8).
    assert round(read(miles="80.4672", distance_unit="km").driven, 6) == 50


def test_the_wrench_and_its_setting_are_needed() -> None:
    found = refused(instrument="", torque="")
    assert "torque" in found
    assert "instrument" in found


def test_a_torque_beyond_the_wrench_is_asked_about() -> None:
    assert "torque" in refused(torque="160")


@pytest.mark.parametrize(
    ("driven", "keys"),
    [("5", []), ("10", [1]), ("27", [1, 2]), ("50", [1, 2, 3]), ("400", [1, 2, 3])],
)
def test_a_visit_does_the_retorques_whose_miles_are_driven(driven: str, keys: list[int]) -> None:
    # Common practice: 10, 25 and 50 miles after a wheel was fitted.
    visit = read(miles=driven, **{"confirm-miles": driven})
    assert rules.reached(visit, {1: 10, 2: 25, 3: 50}) == keys


@pytest.mark.parametrize(("driven", "miles"), [(0, 10), (10, 25), (24, 25), (25, 50), (50, None)])
def test_the_next_retorque_is_the_first_that_is_not_driven_yet(driven: int, miles: int | None) -> None:
    assert rules.next_retorque(Decimal(driven)) == miles


def test_a_shop_with_its_own_schedule_has_its_own_next() -> None:
    assert rules.next_retorque(Decimal(30), (25, 100)) == 100
    assert rules.next_retorque(Decimal(100), (25, 100)) is None


def test_a_stay_without_a_torque_record_has_no_figure_to_go_by() -> None:
    with pytest.raises(Refused, match="No wheel has a torque record"):
        rules.check_wheels(())
    rules.check_wheels(WHEELS)


DONE = {"how": "elsewhere", "on": "2026-05-02", "says": "owner by phone, tire shop at 48 miles"}


def done(*, kind: str = rules.NUTS, **more: str) -> rules.DoneSaid:
    typed = Texts({**DONE, **more})
    return rules.read_done(typed, kind=kind, handed_over=date(2026, 4, 30), today=DAY)


def test_a_thing_is_done_on_a_day_by_somebodys_word() -> None:
    said = done()
    assert (said.how, said.on, said.says) == (DoneHow.ELSEWHERE, date(2026, 5, 2), DONE["says"])


def test_nuts_tightened_here_are_a_visit_and_not_a_tick() -> None:
    with pytest.raises(Refused, match="need their readings"):
        done(how="here")
    assert done(how="here", kind="").how is DoneHow.HERE


@pytest.mark.parametrize("how", ["given", "mailed", "online", "elsewhere", "dropped"])
def test_a_registration_is_given_sent_or_dropped(how: str) -> None:
    assert done(how=how, kind=rules.TIRES).how == how


@pytest.mark.parametrize(("kind", "how"), [(rules.TIRES, "here"), (rules.NUTS, "given"), ("", "online")])
def test_a_way_of_another_kind_is_refused(kind: str, how: str) -> None:
    with pytest.raises(Refused) as found:
        done(how=how, kind=kind)
    assert [it.field for it in found.value.problems] == ["how"]


def test_every_way_has_its_word() -> None:
    assert len({how.word for how in DoneHow}) == len(DoneHow)


@pytest.mark.parametrize("day", ["2026-04-29", "2026-05-05"])
def test_the_day_lies_between_the_handover_and_today(day: str) -> None:
    with pytest.raises(Refused, match="outside the time since the handover"):
        done(on=day)


def test_who_says_so_is_needed() -> None:
    with pytest.raises(Refused) as found:
        done(says="", how="", on="")
    assert {it.field for it in found.value.problems} == {"says", "how", "on"}

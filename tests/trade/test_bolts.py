"""Bolts of a joint against the maker's figure, Maryland's rule on U-bolts, and common practice."""

from decimal import Decimal

import pytest

from app.trade.bolts import Joint, bolt_torque, moved_verdict, outward_order, question_bolt, thread_shown
from app.trade.fasteners import TorqueRange
from app.trade.figure import By, Grade, Verdict
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

FIGURE = TorqueRange(Decimal(70), Decimal(85), "lbf_ft")


def judged(reading: str | None, joint: Joint = Joint.U_BOLTS) -> Verdict:
    """Two bolts, one of them at a reading."""
    readings = {"front": Decimal("77.5"), "rear": Decimal(reading) if reading else None}
    verdict = bolt_torque(readings, FIGURE, joint).verdict
    assert verdict is not None
    return verdict


@pytest.mark.parametrize(
    ("reading", "grade"),
    [
        ("69.9", Grade.DNT),  # under the maker's low end: loose
        ("70", Grade.WATCH),  # inside as read, 67 to 73 is what 4 % can mean: ISO 6789-1
        ("77.5", Grade.SOUND),
        ("88.4", Grade.WATCH),  # 85 and 4 %: the wrench may account for it
        ("88.5", Grade.NEEDS),
        (None, Grade.UNSEEN),
    ],
)
def test_the_worst_bolt_decides_and_is_named(reading: str | None, grade: Grade) -> None:
    found = judged(reading)
    assert found.grade is grade
    assert grade is Grade.SOUND or "rear" in found.says


@pytest.mark.parametrize("joint", Joint)
def test_a_loose_bolt_stops_the_tow_where_it_holds_axle_or_vehicle(joint: Joint) -> None:
    found = judged("40", joint)
    holds = joint in (Joint.U_BOLTS, Joint.SPRINGS, Joint.COUPLER, Joint.BALL, Joint.HEAD)
    assert (found.grade, found.by) == ((Grade.DNT, None) if holds else (Grade.NEEDS, By.TOWING))
    assert joint.word


@pytest.mark.parametrize("reading", ["0", "-3"])
def test_a_torque_is_above_nothing(reading: str) -> None:
    with pytest.raises(Impossible):
        judged(reading)


def test_a_joint_has_a_bolt() -> None:
    with pytest.raises(Impossible):
        bolt_torque({}, FIGURE, Joint.BODY)


@pytest.mark.parametrize(
    ("count", "order"),
    # Rows are tightened from the middle outward: common practice.
    [(1, (1,)), (2, (1, 2)), (5, (3, 2, 4, 1, 5)), (6, (3, 4, 2, 5, 1, 6))],
)
def test_a_row_goes_from_the_middle_outward(count: int, order: tuple[int, ...]) -> None:
    assert outward_order(count).value == order


@pytest.mark.parametrize("count", [0, 25])
def test_a_row_has_its_limits(count: int) -> None:
    with pytest.raises(Impossible):
        outward_order(count)


@pytest.mark.parametrize(("inches", "grade"), [("1/4", Grade.SOUND), ("0.24", Grade.NEEDS)])
def test_a_quarter_inch_of_thread_shows(inches: str, grade: Grade) -> None:
    verdict = thread_shown(Quantity(inches, "in")).verdict  # COMAR 11.14.05.03(2)
    assert verdict is not None
    assert verdict.grade is grade


@pytest.mark.parametrize(
    ("moved", "before", "grade"),
    [
        ((), (), Grade.SOUND),
        (("rear",), (), Grade.NEEDS),  # another round: common practice
        (("rear",), ("front",), Grade.NEEDS),
        (("rear",), ("rear",), Grade.DNT),  # moved twice running: common practice
    ],
)
def test_a_bolt_that_moves_twice_stops_the_tow(
    moved: tuple[str, ...], before: tuple[str, ...], grade: Grade
) -> None:
    assert moved_verdict(moved, before, Joint.U_BOLTS).grade is grade


def test_a_deck_bolt_that_moves_twice_is_put_right_before_towing() -> None:
    assert moved_verdict(["1"], ["1"], Joint.TIE_DOWN).by is By.TOWING


@pytest.mark.parametrize(
    ("torque", "unit", "asked"),
    [("3", "lbf_ft", 0), ("2.9", "lbf_ft", 1), ("600", "lbf_ft", 0), ("814", "N_m", 1), ("813", "N_m", 0)],
)
def test_an_unlikely_torque_is_asked(torque: str, unit: str, asked: int) -> None:
    found = question_bolt("r-1", Quantity(torque, unit))  # 600 lbf·ft = 813.5 N·m (NIST SP 811)
    assert [each.ask for each in found] == [True] * asked


def test_no_torque_is_impossible() -> None:
    assert not question_bolt("r-1", Quantity("0", "lbf_ft"))[0].ask


@pytest.mark.parametrize("reading", ["70", "85.1"])
def test_a_reading_that_the_wrench_cannot_tell_from_an_end_is_not_called_inside(reading: str) -> None:
    says = judged(reading).says
    assert "so near an end of 70 to 85" in says.replace("\xa0", " ")
    assert "inside" not in says

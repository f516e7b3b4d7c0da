from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.coupling import Stance, ball_drop, level_coupled
from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def inches(length: str) -> Quantity:
    return Quantity(length, "in")


def stance(shank: str = "17.5", coupler: str = "18.5", ball: str = "2.5", squat: str = "1") -> Stance:
    return Stance(inches(shank), inches(coupler), inches(ball), inches(squat))


@pytest.mark.parametrize(
    ("here", "step", "drop", "left"),
    [
        # shank + ball − coupler − squat, to the nearest hole: by hand
        (stance(), "3/4", "0.75", "-0.25"),
        (stance(squat="0.5"), "1", "1", "0"),
        (stance(shank="22", coupler="18"), "1", "6", "-0.5"),
        (stance(shank="14", coupler="20"), "1", "-4", "-0.5"),  # a rise
        (stance(shank="20", coupler="18.5", squat="2"), "2", "2", "0"),
    ],
)
def test_drop_of_the_drawbar(here: Stance, step: str, drop: str, left: str) -> None:
    found = ball_drop(here, inches("192"), inches(step)).value
    assert (found.drop, found.left_over) == (Decimal(drop), Decimal(left))


def test_what_is_left_over_is_an_angle() -> None:
    # arctangent of −0.25 ÷ 192 is −0.0746°: by hand
    found = ball_drop(stance(), inches("192"), inches("3/4")).value
    assert abs(found.degrees + Decimal("0.0746")) < Decimal("0.0001")


@pytest.mark.parametrize(
    ("front", "rear", "tandem", "grade", "by"),
    [
        ("18", "18", True, Grade.SOUND, None),
        ("18", "18.5", True, Grade.SOUND, None),  # a little nose down: common practice
        ("19", "18", True, Grade.SOUND, None),  # nose up by at most 1 in: common practice
        ("19.1", "18", False, Grade.NEEDS, By.SOON),
        ("19.1", "18", True, Grade.NEEDS, By.TOWING),
    ],
)
def test_level(front: str, rear: str, tandem: bool, grade: Grade, by: By | None) -> None:
    verdict = level_coupled(inches(front), inches(rear), tandem=tandem).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


@pytest.mark.parametrize(("shank", "coupler"), [("7", "18"), ("18", "36"), ("-1", "18")])
def test_heights_that_cannot_be_are_refused(shank: str, coupler: str) -> None:
    with pytest.raises(Impossible):
        stance(shank=shank, coupler=coupler)


def test_steps_and_lengths_of_nothing_are_refused() -> None:
    for length, step in (("0", "1"), ("192", "0")):
        with pytest.raises(Impossible):
            ball_drop(stance(), inches(length), inches(step))


@given(shank=st.decimals("10", "30", places=2), coupler=st.decimals("10", "30", places=2))
def test_drop_and_rest_are_what_was_wanted(shank: Decimal, coupler: Decimal) -> None:
    found = ball_drop(stance(str(shank), str(coupler)), inches("192"), inches("3/4")).value
    assert found.drop + found.left_over == shank + Decimal("2.5") - coupler - 1
    assert abs(found.left_over) <= Decimal("0.375")


@pytest.mark.parametrize(
    ("here", "says"),
    [
        (stance(), "drop 0.75 in"),
        (stance(shank="14", coupler="20"), "rise 4.50 in"),
        (stance(shank="18.5", coupler="20"), "drop 0.00 in"),
    ],
)
def test_drop_or_rise_is_said(here: Stance, says: str) -> None:
    # in steps of 3/4 in; −4.5 is six of them
    assert ball_drop(here, inches("192"), inches("3/4")).says.replace("\u00a0", " ") == says


@pytest.mark.parametrize(
    ("front", "rear", "says"),
    [("18", "18", "level"), ("18.25", "18", "0.25 in nose up"), ("18", "18.5", "0.50 in nose down")],
)
def test_nose_up_or_down_is_said(front: str, rear: str, says: str) -> None:
    assert level_coupled(inches(front), inches(rear), tandem=True).says.replace("\u00a0", " ") == says


@pytest.mark.parametrize("height", ["8", "35"])
def test_ends_of_the_heights_are_taken(height: str) -> None:
    assert stance(shank=height, coupler=height).shank.value == Decimal(height)

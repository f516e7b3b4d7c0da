"""Axle by tape against plane trigonometry and the limits of law and trade."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tape import Tapes, axle_square, axles_parallel, camber, corner_heights, toe


def inches(typed: str) -> Quantity:
    """A length."""
    return Quantity(typed, "in")


def tapes(left: str, right: str, between: str = "72", length: str = "192") -> Tapes:
    """Both tapes of an axle 72 in wide, 192 in behind the ball."""
    return Tapes(inches(left), inches(right), inches(between), inches(length))


def verdict(worked: Worked[object]) -> Verdict:
    """The verdict of a figure that has one."""
    assert worked.verdict is not None
    return worked.verdict


def turned(degrees: float, length: float = 192, half: float = 36) -> tuple[str, str]:
    """Both tapes of an axle turned about its middle, by coordinates: the outside check."""
    psi = math.radians(degrees)
    ends = [(length + side * half * math.sin(psi), -side * half * math.cos(psi)) for side in (1, -1)]
    left, right = (math.hypot(*end) for end in ends)
    return f"{left:.6f}", f"{right:.6f}"


@given(st.floats(-3, 3))
def test_the_turn_put_in_by_coordinates_comes_out(degrees: float) -> None:
    left, right = turned(degrees)
    found = axle_square(tapes(left, right)).value
    assert float(found) == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize(
    ("apart", "degrees"),
    [
        # psi = apart / width for small turns: 0.375 / 72 rad = 0.298 degrees, exact 0.304 (trigonometry).
        (Decimal("0.375"), Decimal("0.304")),
        (Decimal("0.125"), Decimal("0.101")),
        (Decimal("1.125"), Decimal("0.911")),
    ],
)
def test_a_difference_of_the_tapes_is_an_angle(apart: Decimal, degrees: Decimal) -> None:
    middle = Decimal(192**2 + 36**2).sqrt()
    found = axle_square(tapes(f"{middle + apart / 2:.8f}", f"{middle - apart / 2:.8f}")).value
    assert round(found, 3) == degrees


@pytest.mark.parametrize(
    ("right", "grade", "by"),
    [
        ("195.375", Grade.SOUND, None),  # 1/8 in apart, the limit itself: common practice
        ("195.37", Grade.NEEDS, By.SOON),
        ("194.45", Grade.NEEDS, By.SOON),
        ("194.35", Grade.NEEDS, By.TOWING),  # tracks over 3 in to the side: 49 CFR 393.70(a)
    ],
)
def test_an_axle_is_square_within_an_eighth_and_tracks_within_three(
    right: str, grade: Grade, by: By | None
) -> None:
    found = verdict(axle_square(tapes("195.5", right)))
    assert (found.grade, found.by) == (grade, by)


def test_the_end_that_is_too_far_back_is_named() -> None:
    assert "left end too far back" in verdict(axle_square(tapes("195.5", "195"))).says
    assert "right end too far back" in verdict(axle_square(tapes("195", "195.5"))).says


def test_metric_tapes_agree_with_inches() -> None:
    metric = Tapes(*(Quantity(typed, "mm") for typed in ("4965.7", "4953", "1828.8", "4876.8")))
    assert metric.degrees == pytest.approx(tapes("195.5", "195").degrees, abs=Decimal("0.00001"))


@pytest.mark.parametrize(
    ("left", "right", "between", "length"),
    [
        ("0", "195", "72", "192"),
        ("195", "-1", "72", "192"),
        ("300", "195", "72", "192"),
        ("195", "194", "1", "1"),
    ],
)
def test_tapes_that_make_no_axle_are_refused(left: str, right: str, between: str, length: str) -> None:
    with pytest.raises(Impossible):
        tapes(left, right, between, length)


@pytest.mark.parametrize(
    ("right", "grade"),
    [("34.0625", Grade.SOUND), ("34.07", Grade.NEEDS), ("33.9", Grade.NEEDS)],  # 1/16 in: common practice
)
def test_axles_are_parallel_within_a_sixteenth(right: str, grade: Grade) -> None:
    assert verdict(axles_parallel(inches("34"), inches(right))).grade is grade


@pytest.mark.parametrize(
    ("rear", "degrees", "grade"),
    [
        # asin(toe / 28): 1/16 in is 0.128 degrees, 1/8 in is 0.256 (trigonometry); 1/8 in: common practice.
        ("73.5625", Decimal("0.128"), Grade.SOUND),
        ("73.625", Decimal("0.256"), Grade.SOUND),
        ("73.63", Decimal("0.266"), Grade.NEEDS),
        ("73.25", Decimal("-0.512"), Grade.NEEDS),
    ],
)
def test_toe_in_is_above_zero(rear: str, degrees: Decimal, grade: Grade) -> None:
    found = toe(inches("73.5"), inches(rear), inches("28"))
    assert (round(found.value, 3), verdict(found).grade) == (degrees, grade)


def test_toe_over_no_diameter_is_no_angle() -> None:
    with pytest.raises(Impossible):
        toe(inches("73.5"), inches("73.6"), inches("0"))
    with pytest.raises(Impossible, match="differ by the tire's diameter"):
        toe(inches("40"), inches("73"), inches("28"))


@pytest.mark.parametrize(
    ("left", "right", "grade"),
    [
        # atan(gap / 15): 0.25 in is 0.955 degrees, 0.265 in is 1.012 (trigonometry); 1 degree, 1/2 apart.
        ("0.25", "0.25", Grade.SOUND),
        ("0.262", "0.25", Grade.SOUND),  # 1.0007, printed 1.00
        ("0.265", "0.25", Grade.NEEDS),
        ("0.2", "0.05", Grade.NEEDS),  # 0.573 degrees apart
        ("-0.1", "0.02", Grade.SOUND),  # 0.458 degrees apart
    ],
)
def test_camber_is_held_loaded_and_side_against_side(left: str, right: str, grade: Grade) -> None:
    assert verdict(camber(inches(left), inches(right), inches("15"))).grade is grade


def test_a_wider_gap_at_the_top_leans_in() -> None:
    left, right = camber(inches("0.25"), inches("-0.25"), inches("15")).value
    assert (round(left, 3), round(right, 3)) == (Decimal("-0.955"), Decimal("0.955"))


@pytest.mark.parametrize(
    ("right", "grade"),
    [
        ("21.5", Grade.SOUND),
        ("21.6", Grade.NEEDS),
        ("19.4", Grade.NEEDS),
    ],  # 1 in side to side: common practice
)
def test_sides_stand_within_an_inch(right: str, grade: Grade) -> None:
    pairs = {"front": (inches("20"), inches("20")), "rear": (inches("20.5"), inches(right))}
    found = corner_heights(pairs)
    assert verdict(found).grade is grade
    assert "rear" in found.says


def test_no_height_at_all_is_refused() -> None:
    with pytest.raises(Impossible):
        corner_heights({})
    with pytest.raises(Impossible):
        corner_heights({"front": (inches("-1"), inches("20"))})

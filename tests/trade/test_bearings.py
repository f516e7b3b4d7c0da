from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.bearings import HEAVY, end_play_verdict, question_end_play
from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

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

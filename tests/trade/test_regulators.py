import pytest

from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.regulators import delivery


@pytest.mark.parametrize(
    ("running", "lock_up", "grade", "by"),
    [
        ("11", "12.5", Grade.SOUND, None),  # 11 in wc nominal: common practice
        ("10.5", "12", Grade.SOUND, None),
        ("11.5", "14", Grade.SOUND, None),  # NFPA 58: at most 14 in wc
        ("11", "14.1", Grade.NEEDS, By.USE),
        ("9.9", "12", Grade.NEEDS, By.USE),
        ("10.4", "12", Grade.NEEDS, By.SOON),
        ("11.6", "13", Grade.NEEDS, By.SOON),
        ("11", "10.8", Grade.UNSEEN, None),  # lock-up cannot lie under running
    ],
)
def test_delivery(running: str, lock_up: str, grade: Grade, by: By | None) -> None:
    verdict = delivery(Quantity(running, "in_wc"), Quantity(lock_up, "in_wc")).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


def test_a_regulator_that_creeps_is_replaced() -> None:
    found = delivery(Quantity("11", "in_wc"), Quantity("12", "in_wc"), creeps=True)
    assert found.verdict is not None
    assert found.verdict.by is By.USE
    assert "licensed" in found.caution


def test_kilopascal_serve_as_well() -> None:
    # 11 in wc is 2.74 kPa, 14 in wc 3.487 kPa (1 in wc = 249.089 Pa: NIST SP 811)
    for shut, says in (("3.49", "inside"), ("3.50", "lock-up over")):
        verdict = delivery(Quantity("2.74", "kPa"), Quantity(shut, "kPa")).verdict
        assert verdict is not None
        assert says in verdict.says


def test_less_than_no_pressure_is_refused() -> None:
    with pytest.raises(Impossible):
        delivery(Quantity("-1", "in_wc"), Quantity("12", "in_wc"))


@pytest.mark.parametrize(
    ("running", "lock_up", "says"),
    [
        ("11", "12", "running and lock-up inside"),
        ("9", "12", "running under 10 in wc"),
        ("11", "15", "lock-up over 14 in wc"),
        ("10.2", "12", "running outside 10.5 to 11.5 in wc: set it"),
        ("11", "10", "lock-up under running: read both again"),
    ],
)
def test_the_verdict_says_what_is_amiss(running: str, lock_up: str, says: str) -> None:
    verdict = delivery(Quantity(running, "in_wc"), Quantity(lock_up, "in_wc")).verdict
    assert verdict is not None
    assert verdict.says == says


def test_the_rise_to_lock_up_is_the_figure() -> None:
    found = delivery(Quantity("11", "in_wc"), Quantity("12.5", "in_wc"))
    assert str(found.value) == "1.5"  # 12.5 − 11, by hand
    assert found.says.replace("\u00a0", " ") == "running 11 in wc, lock-up 12.5 in wc"
    assert [each.says.replace("\u00a0", " ") for each in found.inputs] == ["11 in wc", "12.5 in wc", "no"]

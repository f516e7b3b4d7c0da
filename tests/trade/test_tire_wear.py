"""Tread depth."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import HEAVIEST_FIRST, By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tire_wear import TreadPolicy, least_tread, tread_spread


def readings(*typed: str, unit: str = "in_32nd") -> list[Quantity]:
    return [Quantity(it, unit) for it in typed]


@pytest.mark.parametrize(
    ("typed", "unit", "grade"),
    [
        ("1.9", "in_32nd", Grade.DNT),  # 49 CFR 393.75(c), 570.9(a), 570.62(a): under 2/32 in
        ("2", "in_32nd", Grade.NEEDS),  # 2/32 in itself is lawful; under 4/32 is common practice
        ("3.9", "in_32nd", Grade.NEEDS),
        ("4", "in_32nd", Grade.WATCH),  # under 5/32: common practice
        ("5", "in_32nd", Grade.SOUND),
        ("0", "in_32nd", Grade.DNT),
        ("1.5", "mm", Grade.DNT),  # 2/32 in is 1.5875 mm: 25.4 / 16, exact
        ("1.6", "mm", Grade.NEEDS),  # FMVSS 119 S6.4 gives 1/16 in as 1.6 mm
        ("3.1", "mm", Grade.NEEDS),  # 4/32 in is 3.175 mm
        ("3.2", "mm", Grade.WATCH),
        ("4.0", "mm", Grade.SOUND),  # 5/32 in is 3.96875 mm
    ],
)
def test_the_least_reading_is_judged(typed: str, unit: str, grade: Grade) -> None:
    verdict = least_tread(readings(typed, unit=unit)).verdict
    assert verdict is not None
    assert verdict.grade == grade
    assert (verdict.by == By.SOON) == (grade == Grade.NEEDS)


def test_the_least_of_several_counts_as_typed() -> None:
    figure = least_tread(readings("6", "4.5", "7"))
    assert figure.value == Decimal("4.5")
    assert figure.says == "4.5/32\u00a0in"
    assert len(figure.inputs) == 3


def test_the_law_is_named_where_it_decides() -> None:
    assert str(least_tread(readings("1")).source).startswith("49 CFR")
    assert "common practice" in str(least_tread(readings("3")).source)


@pytest.mark.parametrize("typed", ["-1", "41", "400"])
def test_no_tread_is_that_deep(typed: str) -> None:
    with pytest.raises(Impossible, match="tread"):
        least_tread(readings(typed))


def test_a_tread_without_a_reading_has_no_depth() -> None:
    with pytest.raises(ValueError, match="reading"):
        least_tread([])


def test_the_shop_may_be_stricter_but_not_laxer_than_the_law() -> None:
    verdict = least_tread(readings("2.5"), TreadPolicy(dnt=Decimal(3))).verdict
    assert verdict is not None
    assert verdict.grade == Grade.DNT
    with pytest.raises(ValueError, match="law"):
        TreadPolicy(dnt=Decimal("1.5"))


@pytest.mark.parametrize(
    ("typed", "spread", "grade"),
    [
        (("6", "6", "6"), "0", Grade.SOUND),
        (("6", "8"), "2", Grade.SOUND),  # over 2/32 across one tire: common practice
        (("5", "7.5"), "2.5", Grade.NEEDS),
    ],
)
def test_a_difference_across_the_tire_points_at_the_axle(
    typed: tuple[str, ...], spread: str, grade: Grade
) -> None:
    figure = tread_spread(readings(*typed))
    assert figure.value == Decimal(spread)
    assert figure.verdict is not None
    assert figure.verdict.grade == grade


depths = st.decimals(0, 40, places=1).map(str)


@given(st.lists(depths, min_size=1, max_size=6), depths)
def test_one_more_reading_never_makes_it_better(typed: list[str], more: str) -> None:
    first, then = least_tread(readings(*typed)), least_tread(readings(*typed, more))
    assert first.verdict is not None
    assert then.verdict is not None
    assert then.value <= first.value
    assert HEAVIEST_FIRST.index(then.verdict.grade) <= HEAVIEST_FIRST.index(first.verdict.grade)
    assert tread_spread(readings(*typed, more)).value >= tread_spread(readings(*typed)).value


@given(st.lists(depths, min_size=1, max_size=6))
def test_millimetres_and_32nds_agree(typed: list[str]) -> None:
    # 1/32 in is 0.79375 mm, exact
    metric = [Quantity(str(Decimal(it) * Decimal("0.79375")), "mm") for it in typed]
    one, other = least_tread(readings(*typed)), least_tread(metric)
    assert abs(one.value - other.value) < Decimal("1e-20")


@given(st.permutations(["6", "4.5", "7", "2"]))
def test_where_it_was_read_changes_nothing(order: list[str]) -> None:
    assert least_tread(readings(*order)).value == 2
    assert tread_spread(readings(*order)).value == 5

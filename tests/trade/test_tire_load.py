"""What the tires of an axle may carry."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import HEAVIEST_FIRST, Grade
from app.trade.problems import Impossible
from app.trade.tire_load import (
    Fitted,
    axle_capacity,
    capacity_against_gawr,
    capacity_against_weighed,
    spare_against_gawr,
)


def tires(load: str, count: int = 2, *, passenger: bool = False) -> list[Fitted]:
    return [Fitted(Decimal(load), passenger)] * count


@pytest.mark.parametrize(
    ("load", "count", "passenger", "gawr", "reserve", "percent", "grade"),
    [
        # the sum at least the GAWR: 49 CFR 571.120 S5.1.2; arithmetic by hand
        ("1760", 2, False, "3500", "20", "0.57", Grade.WATCH),
        ("1820", 2, False, "3500", "140", "4.00", Grade.WATCH),
        ("2150", 2, False, "3500", "800", "22.86", Grade.SOUND),
        ("2540", 2, False, "5200", "-120", "-2.31", Grade.DNT),
        ("1360", 2, False, "2750", "-30", "-1.09", Grade.DNT),
        ("1750", 2, False, "3500", "0", "0.00", Grade.WATCH),  # equal is lawful
        # a passenger tire's load is divided by 1.10 first: 571.120 S5.1.2, NHTSA letter nht76-1.47
        ("1400", 2, True, "2500", "45.45", "1.82", Grade.WATCH),
        ("1400", 2, True, "2750", "-204.55", "-7.44", Grade.DNT),
        ("1400", 2, False, "2750", "50", "1.82", Grade.WATCH),  # the same load on a trailer tire
        # 95 % of the GAWR was refused: NHTSA letter 77-3.29
        ("1662.5", 2, False, "3500", "-175", "-5.00", Grade.DNT),
        ("2540", 4, False, "8000", "2160", "27.00", Grade.SOUND),  # duals, the dual load marked
    ],
)
def test_capacity_against_gawr(
    load: str, count: int, passenger: bool, gawr: str, reserve: str, percent: str, grade: Grade
) -> None:
    figure = capacity_against_gawr(tires(load, count, passenger=passenger), Decimal(gawr))
    assert round(figure.value.lb, 2) == Decimal(reserve)
    assert round(figure.value.percent, 2) == Decimal(percent)
    assert figure.verdict is not None
    assert figure.verdict.grade == grade


@pytest.mark.parametrize(
    ("load", "axle", "end", "reserve", "grade"),
    [
        # no tire over its load: 49 CFR 393.75(f); over 90 % the owner is told: common practice
        ("1760", "2950", None, "570", Grade.SOUND),
        ("1760", "3168", None, "352", Grade.SOUND),  # 90 % itself
        ("1760", "3169", None, "351", Grade.WATCH),
        ("1760", "3520", None, "0", Grade.WATCH),
        ("1760", "3521", None, "-1", Grade.DNT),
        # an uneven axle: the heavier end counts twice
        ("1760", "3300", "1800", "-80", Grade.DNT),
        ("1760", "3000", "1550", "420", Grade.SOUND),
    ],
)
def test_capacity_against_the_scale(
    load: str, axle: str, end: str | None, reserve: str, grade: Grade
) -> None:
    heavier = Decimal(end) if end else None
    figure = capacity_against_weighed(tires(load), Decimal(axle), heavier)
    assert figure.value.lb == Decimal(reserve)
    assert figure.verdict is not None
    assert figure.verdict.grade == grade


def test_every_figure_says_that_the_rating_stays() -> None:
    assert "do not raise the axle rating" in axle_capacity(tires("1760")).caution
    assert "do not raise the axle rating" in capacity_against_gawr(tires("1760"), Decimal(3500)).caution


def test_the_reserve_is_said_in_pounds_and_percent() -> None:
    assert str(capacity_against_gawr(tires("1760"), Decimal(3500)).value) == "reserve 20\u00a0lb (0.57 %)"
    assert str(capacity_against_gawr(tires("1360"), Decimal(2750)).value) == "short by 30\u00a0lb (-1.09 %)"


@pytest.mark.parametrize("count", [0, 1, 3, 5])
def test_an_axle_has_two_tires_or_four(count: int) -> None:
    with pytest.raises(Impossible, match="tires"):
        axle_capacity(tires("1760", count))


@pytest.mark.parametrize("load", ["0", "-1760", "199", "9001"])
def test_no_tire_carries_that(load: str) -> None:
    with pytest.raises(Impossible, match="tire load"):
        Fitted(Decimal(load))


@pytest.mark.parametrize("gawr", ["0", "-3500", "499", "20001"])
def test_no_axle_is_rated_so(gawr: str) -> None:
    with pytest.raises(Impossible, match="GAWR"):
        capacity_against_gawr(tires("1760"), Decimal(gawr))


@pytest.mark.parametrize(("axle", "end"), [("99", None), ("3000", "1499"), ("3000", "3001")])
def test_what_a_scale_cannot_say_is_refused(axle: str, end: str | None) -> None:
    with pytest.raises(Impossible):
        capacity_against_weighed(tires("1760"), Decimal(axle), Decimal(end) if end else None)


loads = st.integers(200, 9000).map(Decimal)
ratings = st.integers(500, 20000).map(Decimal)


@given(loads, loads, ratings, st.integers(0, 500).map(Decimal))
def test_a_heavier_rating_never_gets_a_better_grade(
    one: Decimal, other: Decimal, gawr: Decimal, more: Decimal
) -> None:
    pair = [Fitted(one), Fitted(other)]
    first = capacity_against_gawr(pair, gawr)
    then = capacity_against_gawr(pair, min(gawr + more, Decimal(20000)))
    assert first.verdict is not None
    assert then.verdict is not None
    assert then.value.lb <= first.value.lb
    assert HEAVIEST_FIRST.index(then.verdict.grade) <= HEAVIEST_FIRST.index(first.verdict.grade)


@given(loads)
def test_a_passenger_tire_counts_for_ten_elevenths(load: Decimal) -> None:
    assert abs(Fitted(load, passenger=True).trailer_lb * 11 - load * 10) < Decimal("0.0001")


@given(st.permutations([Decimal(1760), Decimal(1820), Decimal(2150), Decimal(1360)]), ratings)
def test_the_order_of_the_tires_changes_nothing(order: list[Decimal], gawr: Decimal) -> None:
    found = capacity_against_gawr([Fitted(it) for it in order], gawr).value
    assert found.capacity_lb == 7090  # 1,760 + 1,820 + 2,150 + 1,360, by hand
    assert found.lb == 7090 - gawr


@given(loads, st.integers(100, 20000).map(Decimal), st.integers(0, 500).map(Decimal))
def test_more_on_the_scale_never_gets_a_better_grade(load: Decimal, axle: Decimal, more: Decimal) -> None:
    pair = [Fitted(load)] * 2
    first = capacity_against_weighed(pair, axle)
    then = capacity_against_weighed(pair, min(axle + more, Decimal(20000)))
    assert first.verdict is not None
    assert then.verdict is not None
    assert HEAVIEST_FIRST.index(then.verdict.grade) <= HEAVIEST_FIRST.index(first.verdict.grade)


@given(loads, st.integers(100, 20000).map(Decimal))
def test_an_even_axle_is_judged_by_its_whole_load(load: Decimal, axle: Decimal) -> None:
    pair = [Fitted(load)] * 2
    even = capacity_against_weighed(pair, axle, axle / 2)
    assert even.value == capacity_against_weighed(pair, axle).value


def test_one_passenger_tire_among_trailer_tires_is_divided_alone() -> None:
    # 49 CFR 571.120 S5.1.2: the rating of that tire; 1,760 + 1,540 / 1.10 = 3,160
    mixed = [Fitted(Decimal(1760)), Fitted(Decimal(1540), passenger=True)]
    figure = axle_capacity(mixed)
    assert figure.value == 3160
    assert [it.says for it in figure.inputs][1].endswith("/ 1.10, a passenger tire")


def test_the_aim_is_the_shop_s() -> None:
    # 15 % over 3,500 lb is 4,025 lb: two tires of 2,000 lb are enough for an aim of 10 %, not of 15 %
    ten = capacity_against_gawr(tires("2000"), Decimal(3500)).verdict
    fifteen = capacity_against_gawr(tires("2000"), Decimal(3500), Decimal(15)).verdict
    assert ten is not None
    assert fifteen is not None
    assert (ten.grade, fifteen.grade) == (Grade.SOUND, Grade.WATCH)


@pytest.mark.parametrize(
    ("marked", "passenger", "gawr", "tires", "reserve", "grade"),
    [
        # 49 CFR 571.110 S4.2.2: load of the wheel against the tire's maximum; by hand
        ("1760", False, "3500", 2, "10", Grade.SOUND),
        ("1750", False, "3500", 2, "0", Grade.SOUND),
        ("1749", False, "3500", 2, "-1", Grade.NEEDS),
        ("1820", False, "3500", 2, "70", Grade.SOUND),
        ("1480", False, "3500", 2, "-270", Grade.NEEDS),
        ("990", False, "2000", 2, "-10", Grade.NEEDS),
        ("1045", False, "2000", 2, "45", Grade.SOUND),
        ("2150", False, "8000", 4, "150", Grade.SOUND),
        ("1980", False, "8000", 4, "-20", Grade.NEEDS),
        # S4.2.2.2: a passenger tire divided by 1.10
        ("1925", True, "3500", 2, "0", Grade.SOUND),
        ("1924", True, "3500", 2, "-0.91", Grade.NEEDS),
        ("1760", True, "3000", 2, "100", Grade.SOUND),
    ],
)
def test_a_spare_carries_what_one_wheel_may_have_to(
    marked: str, passenger: bool, gawr: str, tires: int, reserve: str, grade: Grade
) -> None:
    found = spare_against_gawr(Fitted(Decimal(marked), passenger), Decimal(gawr), tires)
    assert round(found.value.lb, 2) == Decimal(reserve)
    assert found.verdict is not None
    assert found.verdict.grade is grade
    assert "bolt circle" in found.caution


@pytest.mark.parametrize(("gawr", "tires"), [("499", 2), ("20001", 2), ("3500", 3), ("3500", 0)])
def test_no_axle_has_such_a_spare(gawr: str, tires: int) -> None:
    with pytest.raises(Impossible):
        spare_against_gawr(Fitted(Decimal(1760)), Decimal(gawr), tires)

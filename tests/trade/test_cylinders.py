from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.cylinders import PERIOD, Mark, Method, fill, requalification_due
from app.trade.dates import Month
from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

TODAY = date(2026, 5, 8)


def made(year: int, month: int) -> Mark:
    return Mark(Month(year, month), Method.MADE)


def again(year: int, month: int, method: Method) -> Mark:
    return Mark(Month(year, month), method)


@pytest.mark.parametrize(
    ("marks", "due"),
    [
        # 49 CFR 180.209(e) as amended by 85 FR 68790: first 12 years, then 12 by expansion, 10 by proof;
        # 180.209(g): 5 by external visual
        ([made(2011, 8)], "08-2023"),
        ([made(2020, 1)], "01-2032"),
        ([made(2024, 12)], "12-2036"),
        ([made(2003, 6), again(2021, 11, Method.VISUAL)], "11-2026"),
        ([made(2005, 2), again(2018, 3, Method.PROOF)], "03-2028"),
        ([made(2005, 2), again(2018, 3, Method.EXPANSION)], "03-2030"),
        # the latest mark counts, also before the first twelve years are over
        ([made(2018, 1), again(2020, 1, Method.VISUAL)], "01-2025"),
        ([again(2022, 4, Method.VISUAL), made(1998, 4), again(2010, 4, Method.EXPANSION)], "04-2027"),
        ([again(2019, 7, Method.VISUAL)], "07-2024"),  # manufacture not legible, the later mark is
    ],
)
def test_month_due(marks: list[Mark], due: str) -> None:
    assert str(requalification_due(marks, TODAY).value) == due


def test_periods_are_those_of_the_rule_in_force() -> None:
    # 85 FR 68790, effective 30 November 2020; the older text had 7 for proof pressure
    assert PERIOD == {Method.MADE: 12, Method.EXPANSION: 12, Method.PROOF: 10, Method.VISUAL: 5}


@pytest.mark.parametrize(
    ("mark", "grade"),
    [
        (made(2014, 4), Grade.NEEDS),  # due 04-2026, over on 1 May
        (made(2014, 5), Grade.WATCH),  # 180.205(c), from memory: good to the end of the month due
        (made(2014, 11), Grade.WATCH),  # six months ahead: common practice
        (made(2014, 12), Grade.SOUND),
        (again(2016, 4, Method.PROOF), Grade.NEEDS),
        (again(2021, 12, Method.VISUAL), Grade.SOUND),
    ],
)
def test_grade_on_the_day(mark: Mark, grade: Grade) -> None:
    found = requalification_due([mark], TODAY)
    assert found.verdict is not None
    assert found.verdict.grade is grade
    assert "requalifier number" in found.caution


def test_a_date_without_a_number_extends_nothing_and_is_said() -> None:
    # 49 CFR 180.213(d): the mark is month, number, year
    bare = Mark(Month(2024, 3), Method.VISUAL, numbered=False)
    found = requalification_due([made(2010, 3), bare], TODAY)
    assert str(found.value) == "03-2022"
    assert found.verdict is not None
    assert "left out" in found.verdict.says


@pytest.mark.parametrize(
    "marks",
    [
        [],
        [Mark(Month(2024, 3), Method.VISUAL, numbered=False)],
        [made(2010, 3), again(2009, 3, Method.VISUAL)],
        [made(2026, 6)],
    ],
)
def test_marks_that_prove_nothing_are_refused(marks: list[Mark]) -> None:
    with pytest.raises(Impossible):
        requalification_due(marks, TODAY)


@pytest.mark.parametrize("specification", ["DOT-SP 13957", "3AA", "ASME", "TC-4BM"])
def test_other_cylinders_follow_other_rules(specification: str) -> None:
    with pytest.raises(Impossible, match="not for"):
        requalification_due([made(2020, 1)], TODAY, specification)


@given(year=st.integers(1980, 2026), month=st.integers(1, 5), method=st.sampled_from(Method))
def test_due_month_is_the_marks_month(year: int, month: int, method: Method) -> None:
    due = requalification_due([again(year, month, method)], TODAY).value
    assert due.month == month
    assert due.year - year == PERIOD[method]


@given(st.lists(st.integers(1990, 2025), min_size=1, max_size=6), st.sampled_from(Method))
def test_order_of_reading_the_marks_changes_nothing(years: list[int], method: Method) -> None:
    marks = [again(year, 3, method) for year in years if method is not Method.MADE] or [made(2000, 3)]
    assert requalification_due(marks, TODAY).value == requalification_due(marks[::-1], TODAY).value


@pytest.mark.parametrize(
    ("water", "most"),
    [
        # 42 % of stamped water capacity, 29 CFR 1910.110(b)(12); the trade names the cylinders by the result
        ("26.2", "11"),
        ("47.6", "20"),
        ("71.5", "30"),
        ("95.2", "40"),
        ("238", "100"),
    ],
)
def test_greatest_fill_is_the_size_that_the_trade_calls_it(water: str, most: str) -> None:
    found = fill(Quantity(water, "lb"), Quantity("18", "lb")).value
    assert abs(found - Decimal(most)) < Decimal("0.05")


@pytest.mark.parametrize(
    ("scale", "grade"),
    [
        ("36.7", Grade.SOUND),  # 17 lb tare, 19.7 in it
        ("37.3", Grade.SOUND),  # 20.3 of 19.992, under 102 %
        ("37.5", Grade.DNT),  # 20.5, over 102 %: common practice
        ("17", Grade.SOUND),  # empty
        ("16.4", Grade.UNSEEN),  # lighter than its own tare
    ],
)
def test_grade_by_the_scale(scale: str, grade: Grade) -> None:
    found = fill(Quantity("47.6", "lb"), Quantity("17", "lb"), Quantity(scale, "lb"))
    assert found.verdict is not None
    assert found.verdict.grade is grade


def test_kilograms_are_taken_as_stamped() -> None:
    # a 20 lb cylinder stamped WC 21.6 kg: 42 % is 9.07 kg, that is 20.0 lb (1 lb = 0.45359237 kg)
    found = fill(Quantity("21.6", "kg"), Quantity("8", "kg")).value
    assert found.quantize(Decimal("0.1")) == Decimal("20.0")


def test_no_water_capacity_is_refused() -> None:
    with pytest.raises(Impossible):
        fill(Quantity("0", "lb"), Quantity("17", "lb"))


def test_the_figure_shows_mark_period_and_day() -> None:
    found = requalification_due([made(2005, 2), again(2018, 3, Method.PROOF)], TODAY)
    assert [each.says for each in found.inputs] == ["03-2018, proof pressure (S)", "10 years", "2026-05-08"]
    assert found.says == "03-2028"
    assert str(found.source) == "49 CFR 180.209(e) and (g)"
    assert "last day of the month" in found.limit


@pytest.mark.parametrize(
    ("mark", "says"),
    [
        (made(2013, 8), "overdue since 08-2025: no fill"),
        (made(2014, 5), "due 05-2026"),
        (made(2020, 1), "in date until 01-2032"),
    ],
)
def test_the_verdict_names_the_month(mark: Mark, says: str) -> None:
    verdict = requalification_due([mark], TODAY).verdict
    assert verdict is not None
    assert verdict.says == says


@pytest.mark.parametrize("specification", ["4B", "4BA", "4bw", "4E", "DOT-4BA"])
def test_the_four_specifications_of_the_rule_are_taken(specification: str) -> None:
    # 49 CFR 180.209(e): DOT 4B, 4BA, 4BW, 4E
    assert str(requalification_due([made(2020, 1)], TODAY, specification).value) == "01-2032"


def test_a_mark_of_this_month_counts_and_one_of_the_next_does_not() -> None:
    assert str(requalification_due([again(2026, 5, Method.VISUAL)], TODAY).value) == "05-2031"
    with pytest.raises(Impossible, match="lies ahead"):
        requalification_due([again(2026, 6, Method.VISUAL)], TODAY)


def test_requalified_in_the_month_of_manufacture_is_no_contradiction() -> None:
    assert (
        str(requalification_due([made(2020, 3), again(2020, 3, Method.EXPANSION)], TODAY).value) == "03-2032"
    )


def test_fill_says_what_the_scale_may_show() -> None:
    # 47.6 × 0.42 = 19.992 lb and 17 lb of tare, by hand
    found = fill(Quantity("47.6", "lb"), Quantity("17", "lb"))
    assert found.says.replace("\u00a0", " ") == "20.0 lb"
    assert found.limit.replace("\u00a0", " ") == "at most 37.0 lb on the scale"
    assert found.verdict is None
    assert "qualified person" in found.caution


@given(water=st.integers(20, 300), tare=st.integers(5, 80), net=st.decimals("0", "100", places=1))
def test_overfilled_is_over_102_percent_of_42(water: int, tare: int, net: Decimal) -> None:
    verdict = fill(
        Quantity(str(water), "lb"), Quantity(str(tare), "lb"), Quantity(str(tare + net), "lb")
    ).verdict
    assert verdict is not None
    assert (verdict.grade is Grade.DNT) is (net > water * Decimal("0.4284"))

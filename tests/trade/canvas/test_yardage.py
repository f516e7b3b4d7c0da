"""Yards and metres to take, roll ends, and the figures of a plan, by hand."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut
from app.trade.canvas.least import at_least
from app.trade.canvas.outline import outline_of
from app.trade.canvas.yardage import (
    RollEnd,
    cloth_to_take,
    end_that_holds,
    guessed_length,
    use_figure,
)
from app.trade.problems import Impossible

CLOTH = Strip(Decimal(1500))
WALL = ToCut("W", outline_of([0, 1000, 1000 + 750j, 750j]), 4)


@pytest.mark.parametrize(
    ("mm", "unit", "taken"),
    [
        # By hand: the plan and 150 mm for the ends (common practice), up to the next tenth.
        ("12840", "m", "13.0"),
        ("12850", "m", "13.0"),
        ("12851", "m", "13.1"),
        ("12840", "yd", "14.3"),  # 12,990 / 914.4 = 14.206
        ("764.4", "yd", "1.0"),  # exactly one yard of 914.4 mm
    ],
)
def test_cloth_to_take_is_rounded_up(mm: str, unit: str, taken: str) -> None:
    found = cloth_to_take(Decimal(mm), unit)
    assert found.value == Decimal(taken)
    assert found.says == f"{taken} {unit}"


def test_another_waste_at_the_ends_may_be_named() -> None:
    assert cloth_to_take(Decimal(5000), ends=Decimal(0)).value == 5
    assert cloth_to_take(Decimal(5000), ends=Decimal(500)).value == Decimal("5.5")


@pytest.mark.parametrize(("mm", "ends"), [("0", "150"), ("-1", "150"), ("100", "-1")])
def test_no_length_cannot_be_taken(mm: str, ends: str) -> None:
    with pytest.raises(Impossible, match="no length of cloth"):
        cloth_to_take(Decimal(mm), ends=Decimal(ends))


def test_before_a_plan_three_quarters_are_reckoned_to_be_in_pieces() -> None:
    # By hand: 4 * 0.75 m² = 3 m²; by 1.5 m is 2 m; by 75 % is 2.67 m.
    found = guessed_length(CLOTH, [WALL])
    assert round(found.value, 1) == Decimal("2666.7")
    assert "guess" in found.caution
    assert guessed_length(CLOTH, [WALL], Decimal(100)).value == 2000


@pytest.mark.parametrize("use", ["0", "-5", "101"])
def test_another_share_than_up_to_all_of_the_cloth_is_refused(use: str) -> None:
    with pytest.raises(Impossible, match="cannot be in pieces"):
        guessed_length(CLOTH, [WALL], Decimal(use))


def test_the_figure_of_a_plan_tells_waste_and_gap() -> None:
    spread = CutPlan(
        CLOTH,
        tuple(Laid(WALL, copy, Decimal(0), Decimal((copy - 1) * 1000), Decimal(0)) for copy in (1, 2, 3, 4)),
        "laid by hand",
    )
    found = use_figure(spread, at_least(CLOTH, [WALL]).value)
    assert found.value == 50  # 3 m² of 6 m²
    told = {it.name: it.says.replace("\u00a0", " ") for it in found.inputs}
    assert told["pieces"] == "3.00 m²"
    assert told["plan"] == "1.50 m by 4.00 m"
    assert told["waste"] == "50.0 %"
    assert told["no plan can be under"] == "2.00 m"
    assert told["this plan is over it by"] == "100.0 % at most"
    assert told["found"] == "laid by hand"


ENDS = [RollEnd("31-a", Decimal(5000)), RollEnd("31-b", Decimal(2400)), RollEnd("28", Decimal(2400))]


@pytest.mark.parametrize(
    ("mm", "mark"), [("2250", "28"), ("2251", "31-a"), ("4850", "31-a"), ("4851", None), ("100", "28")]
)
def test_the_shortest_roll_end_that_holds_a_plan(mm: str, mark: str | None) -> None:
    found = end_that_holds(Decimal(mm), ENDS)
    assert (found.mark if found else None) == mark


@settings(deadline=None)
@given(st.integers(1, 60_000), st.sampled_from(["m", "yd"]))
def test_what_is_taken_is_enough_and_no_tenth_more(mm: int, unit: str) -> None:
    taken = cloth_to_take(Decimal(mm), unit).value
    one = Decimal(1000) if unit == "m" else Decimal("914.4")  # the yard, exactly
    assert taken * one >= mm + 150 - Decimal("0.001")
    assert (taken - Decimal("0.1")) * one < mm + 150


@settings(deadline=None)
@given(st.lists(st.integers(100, 9000), max_size=6, unique=True), st.integers(50, 9000))
def test_no_shorter_end_would_have_done(lengths: list[int], needed: int) -> None:
    ends = [RollEnd(f"end {at}", Decimal(length)) for at, length in enumerate(lengths)]
    found = end_that_holds(Decimal(needed), ends)
    enough = sorted(length for length in lengths if length >= needed + 150)
    assert (found.length if found else None) == (enough[0] if enough else None)


def test_a_plan_that_fills_its_cloth_has_no_waste() -> None:
    full = ToCut("W", outline_of([0, 1000, 1000 + 1500j, 1500j]), 2)
    laid = tuple(Laid(full, copy, Decimal(0), Decimal(1000 * (copy - 1)), Decimal(0)) for copy in (1, 2))
    found = use_figure(CutPlan(CLOTH, laid, "laid by hand"), at_least(CLOTH, [full]).value)
    assert found.value == 100
    told = {it.name: it.says.replace("\u00a0", " ") for it in found.inputs}
    assert told["this plan is over it by"] == "0.0 % at most"


def test_a_gap_of_more_than_the_whole_least_length_is_told_in_metres_and_a_roll_end_has_none() -> None:
    """Two walls of 1,000 mm, one after the other. By hand: 1,999 over a least length of 1, 2,000 over 0."""
    wall = ToCut("W", WALL.outline, 2)
    laid = tuple(Laid(wall, copy, Decimal(0), Decimal((copy - 1) * 1000), Decimal(0)) for copy in (1, 2))
    plan = CutPlan(CLOTH, laid, "laid by hand")
    gaps = [
        {it.name: it.says.replace("\u00a0", " ") for it in use_figure(plan, least).inputs}
        for least in (Decimal(1), Decimal(0))
    ]
    assert [gap["this plan is over it by"] for gap in gaps] == ["2.00 m at most"] * 2
    assert [gap["no plan can be under"] for gap in gaps] == ["0.00 m"] * 2
    assert [it.name for it in use_figure(plan).inputs] == ["pieces", "plan", "waste"]

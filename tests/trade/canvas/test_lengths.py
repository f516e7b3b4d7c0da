"""What is cut from roll ends and what from the roll: every copy once, under one label."""

from collections import Counter
from decimal import Decimal

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut
from app.trade.canvas.lengths import Length, lengths_of
from app.trade.canvas.outline import outline_of
from app.trade.canvas.yardage import RollEnd
from tests.trade.canvas.test_bottom_left import CLOTH as WIDE
from tests.trade.canvas.test_bottom_left import TENT

CLOTH = Strip(Decimal(1000))
WALL = ToCut("W.", outline_of([0, 1000, 1000 + 600j, 600j]), 3)  # one lies across the cloth, so three are 3 m


def ends(**lengths: int) -> list[RollEnd]:
    return [RollEnd(mark, Decimal(mm)) for mark, mm in lengths.items()]


def split(**lengths: int) -> list[tuple[str, int, list[str]]]:
    found = lengths_of(first_plan(CLOTH, [WALL]), [WALL], ends(**lengths))
    return [
        (it.end.mark if it.end else "roll", round(it.plan.length), [laid.label for laid in it.plan.laid])
        for it in found
    ]


@pytest.mark.parametrize(
    ("lengths", "wanted"),
    [
        # By hand: a wall takes 1,000 mm of cloth.
        ({}, [("roll", 3000, ["W.1", "W.2", "W.3"])]),
        ({"a": 900}, [("roll", 3000, ["W.1", "W.2", "W.3"])]),
        ({"a": 1050}, [("a", 1000, ["W.1"]), ("roll", 2000, ["W.2", "W.3"])]),
        ({"a": 2050, "b": 1050}, [("b", 1000, ["W.1"]), ("a", 2000, ["W.2", "W.3"])]),
        ({"a": 1050, "b": 1020}, [("b", 1000, ["W.1"]), ("a", 1000, ["W.2"]), ("roll", 1000, ["W.3"])]),
        ({"a": 3150}, [("a", 3000, ["W.1", "W.2", "W.3"])]),  # with the 150 for its ends it holds them all
    ],
)
def test_each_wall_is_cut_from_one_length_and_named_once(
    lengths: dict[str, int], wanted: list[tuple[str, int, list[str]]]
) -> None:
    assert split(**lengths) == wanted


def test_ends_that_make_the_roll_no_shorter_are_left_on_the_shelf() -> None:
    # Two small flaps beside a wall of the roll: cut from an end they would spare nothing of it.
    long = ToCut("L", outline_of([0, 3000, 3000 + 500j, 500j]))
    flap = ToCut("F", outline_of([0, 300, 300 + 300j, 300j]))
    plan = first_plan(CLOTH, [long, flap])
    assert round(plan.length) == 3000
    assert lengths_of(plan, [long, flap], ends(a=400)) == (Length(plan),)


def test_the_rest_is_never_longer_than_it_lies_in_the_plan() -> None:
    """A plan that was searched for: the rest laid anew would take more than what stays of it."""
    high, low = (ToCut(mark, outline_of([0, 900, 900 + up, up])) for mark, up in (("H", 700j), ("N", 300j)))
    slim = ToCut("S", outline_of([0, 1000, 1000 + 1000j, 1000j]))
    laid = [(high, 0, 0), (low, 0, 700), (slim, 900, 0)]
    plan = CutPlan(
        CLOTH, tuple(Laid(it, 1, Decimal(0), Decimal(right), Decimal(up)) for it, right, up in laid), "found"
    )
    *_, roll = lengths_of(plan, [high, low, slim], ends(a=1000))
    assert round(roll.plan.length) == 900
    assert {it.label for it in roll.plan.laid} == {"H", "N"}


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(300, 5000), max_size=3))
def test_together_they_are_the_plan(lengths: list[int]) -> None:
    plan = first_plan(WIDE, TENT)
    given_ends = [RollEnd(f"end {at}", Decimal(mm)) for at, mm in enumerate(lengths)]
    found = lengths_of(plan, TENT, given_ends)
    labels = [laid.label for it in found for laid in it.plan.laid]
    assert sorted(labels) == sorted(laid.label for laid in plan.laid)
    assert sum((Counter({piece.mark: piece.copies for piece in it.pieces}) for it in found), Counter()) == (
        Counter({piece.mark: piece.copies for piece in TENT})
    )
    for it in found:
        shapes = [shapely.Polygon(laid.outline.ring) for laid in it.plan.laid]
        assert shapely.union_all(shapes).area == pytest.approx(sum(shape.area for shape in shapes), rel=1e-6)
        assert it.end is None or it.plan.length <= it.end.length + WIDE.slack
    roll = [it for it in found if it.end is None]
    assert all(it.plan.length <= plan.length for it in roll)

"""What is cut from roll ends and what from the roll: every copy once, under one label."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut, unsound
from app.trade.canvas.least import bought_at_least
from app.trade.canvas.lengths import Length, Lengths, bought, cost, filled, lengths_of, numbered, some_of
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


def whole_width(mark: str, length: int, copies: int = 1) -> ToCut:
    """A piece as wide as the cloth."""
    return ToCut(mark, outline_of([0, length, length + 1000j, 1000j]), copies)


def test_an_end_is_filled_by_two_pieces_where_the_largest_would_waste_it() -> None:
    # By hand: 1,100 leaves 950 of the end for nothing, twice 1,000 leaves 50: 1,100 is bought, not 2,000.
    pieces = (whole_width("L", 1100), whole_width("M", 1000, 2))
    part = filled(CLOTH, Decimal(2050), pieces)
    assert [it.piece.mark for it in part.laid] == ["M", "M"]
    found = lengths_of(first_plan(CLOTH, pieces), pieces, ends(a=2050))
    assert [[laid.label for laid in it.plan.laid] for it in found] == [["M1", "M2"], ["L"]]
    assert round(bought(found)) == 1100


def test_of_two_ends_the_one_that_spares_nothing_stays_on_the_shelf() -> None:
    """By hand: the wall on b spares 1,000 of the roll; the flap on a lies beside the strip at no cost."""
    pieces = (whole_width("W", 1000), *strip_and_flap())
    found = lengths_of(first_plan(CLOTH, pieces), pieces, ends(a=400, b=1010))
    assert [(it.end.mark if it.end else "", round(it.plan.length)) for it in found] == [
        ("b", 1000),
        ("", 3000),
    ]


def strip_and_flap() -> tuple[ToCut, ToCut]:
    return (
        ToCut("L", outline_of([0, 3000, 3000 + 500j, 500j])),
        ToCut("F", outline_of([0, 300, 300 + 300j, 300j])),
    )


def test_the_longest_end_is_filled_first_where_that_buys_less() -> None:
    # By hand: shortest first, 900 goes on a and b then holds 1,000 alone, so 1,100 is bought; longest first,
    # b takes 1,100 and 900, a nothing, and 1,000 is bought.
    pieces = (whole_width("L", 1100), whole_width("M", 1000), whole_width("S", 900))
    found = lengths_of(first_plan(CLOTH, pieces), pieces, ends(a=920, b=2000))
    assert [(it.end.mark if it.end else "", [laid.label for laid in it.plan.laid]) for it in found] == [
        ("b", ["L", "S"]),
        ("", ["M"]),
    ]


def test_plans_are_judged_by_cloth_bought_then_by_how_many_ends_and_how_long() -> None:
    plan = first_plan(CLOTH, [WALL])
    roll, short, long = Length(plan), Length(plan, *ends(a=3100)), Length(plan, *ends(b=4000))
    order: list[Lengths] = [(short,), (long,), (short, long), (roll,), (short, roll)]
    mixed = [order[at] for at in (3, 0, 4, 2, 1)]
    assert sorted(mixed, key=cost) == order
    assert [round(bought(it)) for it in order] == [0, 0, 0, 3000, 3000]


@st.composite
def orders(draw: st.DrawFn) -> tuple[list[ToCut], list[RollEnd]]:
    """A few oblong pieces of one to three copies, and up to three roll ends."""
    sizes = draw(
        st.lists(
            st.tuples(st.integers(100, 2500), st.integers(100, 1000), st.integers(1, 3)),
            min_size=1,
            max_size=4,
        )
    )
    pieces = [
        ToCut(f"P{at}.", outline_of([0, x, complex(x, y), complex(0, y)]), copies)
        for at, (x, y, copies) in enumerate(sizes)
    ]
    lengths = draw(st.lists(st.integers(300, 5000), max_size=3))
    return pieces, [RollEnd(f"end {at}", Decimal(mm)) for at, mm in enumerate(lengths)]


def each_once(found: Lengths, pieces: list[ToCut], given_ends: list[RollEnd]) -> None:
    """Every copy lies once, soundly, on the usable width and within its roll end; no end is used twice."""
    labels = [(laid.piece.mark, laid.copy) for it in found for laid in it.plan.laid]
    assert sorted(labels) == sorted((p.mark, copy) for p in pieces for copy in range(1, p.copies + 1))
    for it in found:
        assert it.end is None or it.plan.length <= it.end.length + it.plan.strip.slack
        (again,) = numbered([it], some_of(pieces, it.copies))
        assert not unsound(again.plan, some_of(pieces, it.copies))
    used = [it.end for it in found]
    assert len(set(used)) == len(used)
    assert {end for end in used if end} <= set(given_ends)


@settings(max_examples=40, deadline=None)
@given(orders())
def test_never_more_is_bought_than_without_ends_and_never_less_than_can_be(
    order: tuple[list[ToCut], list[RollEnd]],
) -> None:
    pieces, given_ends = order
    plan = first_plan(CLOTH, pieces)
    found = lengths_of(plan, pieces, given_ends)
    each_once(found, pieces, given_ends)
    least = bought_at_least(CLOTH, pieces, [end.length for end in given_ends])
    assert least - Decimal("0.1") <= bought(found) <= plan.length
    for end in given_ends:
        fewer = lengths_of(plan, pieces, [it for it in given_ends if it != end])
        assert round(bought(fewer)) >= round(bought(found)) or end not in {it.end for it in fewer}


@settings(max_examples=6, deadline=None)
@given(st.lists(st.integers(300, 5000), max_size=2))
def test_together_they_are_the_plan(lengths: list[int]) -> None:
    plan = first_plan(WIDE, TENT)
    given_ends = [RollEnd(f"end {at}", Decimal(mm)) for at, mm in enumerate(lengths)]
    found = lengths_of(plan, TENT, given_ends)
    each_once(found, TENT, given_ends)
    assert bought(found) <= plan.length

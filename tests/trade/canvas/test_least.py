"""Lower bounds: worked by hand, and never over a length that somebody has reached."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.laying import EITHER_END, ONE_WAY, QUARTERS, Strip, ToCut
from app.trade.canvas.least import at_least, bought_at_least, slabs
from app.trade.canvas.outline import Outline, outline_of
from tests.trade.canvas.published import NAMES, instance
from tests.trade.canvas.shapes import CONVEX, NOTCHED


def oblong(
    mark: str, length: int, height: int, copies: int = 1, turns: tuple[Decimal, ...] = EITHER_END
) -> ToCut:
    return ToCut(mark, outline_of([0, length, complex(length, height), complex(0, height)]), copies, turns)


TENT = [
    oblong("E", 2150, 1180, 2),
    oblong("S", 1960, 760),
    oblong("T", 1960, 700),
    oblong("F", 900, 420, 2),
]


def test_a_dual_feasible_function_beats_area_and_tall_pieces() -> None:
    # By hand, a = 420: E counts 1500 (1180 > 1080), S, T and F their own height:
    # (2 * 2150 * 1500 + 1960 * (760 + 700) + 2 * 900 * 420) / 1500 = 6711.7.
    # Area alone gives 5794.4; E and S, over half of 1500, give 2 * 2150 + 1960 = 6260.
    found = at_least(Strip(Decimal(1500)), TENT)
    assert round(found.value, 1) == Decimal("6711.7")
    assert "5,794" in found.inputs[1].says


def test_tall_pieces_cannot_lie_over_each_other() -> None:
    # By hand: two pieces 800 high cannot share a line of 1500.
    found = at_least(Strip(Decimal(1500)), [oblong("A", 1000, 800, 2)])
    assert found.value == 2000


def test_pieces_of_just_half_the_width_can() -> None:
    assert at_least(Strip(Decimal(1500)), [oblong("A", 1000, 750, 2)]).value == 1000


def test_the_longest_piece_is_a_bound() -> None:
    assert at_least(Strip(Decimal(1500)), [oblong("K", 2400, 10)]).value == 2400
    assert at_least(Strip(Decimal(1500)), [oblong("K", 1400, 10, turns=QUARTERS)]).value == 10  # upright
    assert at_least(Strip(Decimal(1300)), [oblong("K", 1400, 10, turns=QUARTERS)]).value == 1400


def test_gables_are_counted_only_where_they_are_tall() -> None:
    # By hand: a triangle 1000 long and 1000 high is over 750 on the quarter of its length by its apex.
    gable = ToCut("G", outline_of([0, 1000, 500 + 1000j]), 8, ONE_WAY)
    found = at_least(Strip(Decimal(1500)), [gable])
    area = Decimal(8 * 500_000) / 1500
    # With a from 0 up to the half, 8 (W t + rest) / W is at most the area plus what the tips gain.
    assert found.value >= area
    tips = 8 * 250  # eight tips of 250 cannot lie over each other
    assert found.value >= tips


@pytest.mark.parametrize(
    ("ends", "wanted"),
    [
        # By hand: four walls across the whole width are 4,000 mm, and a strip of 2,400 beside none.
        ((), 6400),
        ((1500,), 4900),
        ((1500, 2000), 2900),  # 6,400 less both
        ((2000, 2000, 2000), 2400),  # the strip is longer than every end
        ((2400, 2000, 2000), 0),
    ],
)
def test_what_roll_ends_may_give_need_not_be_bought(ends: tuple[int, ...], wanted: int) -> None:
    pieces = [oblong("W", 1000, 1000, 4), oblong("K", 2400, 600)]
    found = bought_at_least(Strip(Decimal(1000)), pieces, [Decimal(mm) for mm in ends])
    assert found == wanted


def test_no_pieces_take_no_cloth() -> None:
    assert at_least(Strip(Decimal(1500)), []).value == 0


@pytest.mark.parametrize("name", NAMES)
def test_the_bound_is_under_the_best_length_published(name: str) -> None:
    known = instance(name)
    found = at_least(known.strip, known.pieces).value
    assert known.area / known.strip.width - Decimal("0.001") <= found <= known.best


@pytest.mark.parametrize("name", NAMES)
def test_published_pieces_add_up_to_their_published_area(name: str) -> None:
    known = instance(name)
    assert sum(piece.outline.area * piece.copies for piece in known.pieces) == known.area


def test_slabs_of_a_notched_piece_tell_what_it_covers() -> None:
    # A U: 14 long, two legs 2 wide and 5 high, a bar of 2 over the rest. By hand.
    found = slabs([(0, 0), (2, 0), (2, 3), (12, 3), (12, 0), (14, 0), (14, 5), (0, 5)])
    assert found == [(2, 5, 5), (10, 2, 2), (2, 5, 5)]


def test_slabs_of_a_piece_with_a_bay_count_both_arms() -> None:
    # A U lying on its side: beyond x = 2 it covers two arms of 2, not the bay of 1 between them.
    found = slabs([(0, 0), (9, 0), (9, 2), (2, 2), (2, 3), (9, 3), (9, 5), (0, 5)])
    assert found == [(2, 5, 5), (7, 4, 4)]


def test_slabs_of_a_triangle_rise_and_fall() -> None:
    assert slabs([(0, 0), (10, 0), (5, 4)]) == [(5, 0, 4), (5, 4, 0)]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 10)), min_size=1, max_size=4),
    st.integers(10, 14),
)
def test_the_bound_is_under_the_true_least_length(sizes: list[tuple[int, int]], width: int) -> None:
    """Every way to lay a few whole rectangles on whole numbers is tried: none is shorter than the bound."""
    pieces = [oblong(f"P{at}.", length, height) for at, (length, height) in enumerate(sizes)]
    found = at_least(Strip(Decimal(width)), pieces).value
    assert found <= _least(sizes, width) + Decimal("0.000001")


def _least(sizes: list[tuple[int, int]], width: int) -> int:
    """The least length, tried one after the other: the first at which all find a place."""
    longest = sum(length for length, _ in sizes)
    return next(length for length in range(1, longest + 1) if _fit(sizes, length, width, []))


def _fit(rest: list[tuple[int, int]], length: int, width: int, laid: list[tuple[int, int, int, int]]) -> bool:
    if not rest:
        return True
    (long, high), *others = rest
    for x in range(length - long + 1):
        for y in range(width - high + 1):
            clear = all(x >= a + c or a >= x + long or y >= b + d or b >= y + high for a, b, c, d in laid)
            if clear and _fit(others, length, width, [*laid, (x, y, long, high)]):
                return True
    return False


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_slabs_cover_the_area_of_their_outline(outline: Outline) -> None:
    """Trapezium rule, exact for straight edges."""
    found = slabs(outline.ring)
    assert sum(run * (low + high) / 2 for run, low, high in found) == pytest.approx(
        float(outline.area), rel=1e-6
    )
    assert sum(run for run, _, _ in found) == pytest.approx(float(outline.width))
    assert all(high >= -1e-6 <= low for _, low, high in found)


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.integers(2, 5))
def test_more_copies_never_need_less_cloth(outline: Outline, copies: int) -> None:
    strip = Strip(Decimal(5000))
    lengths = [at_least(strip, [ToCut("P", outline, count)]).value for count in range(1, copies + 1)]
    assert lengths == sorted(lengths)
    assert lengths[-1] >= outline.area * copies / 5000 - Decimal("0.001")

"""Searches that take less off the roll: by hand, and sound whatever they find."""

import time
from decimal import Decimal

from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.laying import CutPlan, Laid, Strip, ToCut
from app.trade.canvas.lengths import Length, Lengths, bought, cost, lengths_of, numbered
from app.trade.canvas.outline import outline_of
from app.trade.canvas.search import Search
from app.trade.canvas.shorter import shorter
from app.trade.canvas.yardage import RollEnd
from tests.trade.canvas.test_bottom_left import CLOTH as WIDE
from tests.trade.canvas.test_bottom_left import TENT
from tests.trade.canvas.test_lengths import each_once, ends, whole_width

CLOTH = Strip(Decimal(1000))


def row(*pieces: ToCut, apart: int = 0, end: RollEnd | None = None) -> Length:
    """Pieces as wide as the cloth, one after the other."""
    at, laid = Decimal(0), list[Laid]()
    for piece in pieces:
        laid.append(Laid(piece, 1, Decimal(0), at, Decimal(0)))
        at += piece.outline.width + apart
    return Length(CutPlan(CLOTH, tuple(laid), "laid by hand"), end)


def found(
    stood: Lengths, pieces: list[ToCut], *given_ends: RollEnd, seconds: int = 4
) -> list[tuple[str, int, int]]:
    """Of each length its end, how many millimetres of it, and how many pieces."""
    asked = numbered(stood, pieces)
    told = shorter(asked, pieces, given_ends, Search(seconds), time.monotonic)
    assert told is not None
    each_once(told, pieces, list(given_ends))
    return [(it.end.mark if it.end else "", round(it.plan.length), len(it.plan.laid)) for it in told]


def test_what_still_fits_a_roll_end_comes_off_the_roll() -> None:
    # By hand: of three walls of 1,000 one lies on an end of 2,050; a second fits: 1,000 is bought, not 2,000.
    (end,), wall = ends(a=2050), whole_width("W", 1000, 3)
    stood = (row(wall, end=end), row(wall, wall))
    assert found(stood, [wall], end) == [("a", 2000, 2), ("", 1000, 1)]


def test_a_larger_piece_takes_the_place_of_a_smaller_one() -> None:
    # By hand: 1,500 on the end of 1,500 and 1,000 on the roll, not the other way round.
    (end,), small, large = ends(a=1500), whole_width("S", 1000), whole_width("L", 1500)
    stood = (row(small, end=end), row(large))
    assert found(stood, [small, large], end) == [("a", 1500, 1), ("", 1000, 1)]


def test_where_the_ends_come_to_give_everything_nothing_is_left_for_the_roll() -> None:
    (end,), wall = ends(a=2000), whole_width("W", 1000, 2)
    assert found((row(wall, end=end), row(wall)), [wall], end) == [("a", 2000, 2)]


def test_only_what_no_end_gives_is_shortened() -> None:
    """Pulled apart on the roll: two walls take 2,000 by hand, the one on the end is not among them."""
    (end,), wall = ends(a=1050), whole_width("W", 1000, 3)
    stood = (row(wall, end=end), row(wall, wall, apart=700))
    assert found(stood, [wall], end) == [("a", 1000, 1), ("", 2000, 2)]


def test_a_search_of_the_whole_that_an_end_comes_to_hold_buys_nothing() -> None:
    # By hand: two walls pulled apart are 2,700 long and fit no end; together they are 2,000, and 150 for its
    # ends (common practice).
    (end,), wall = ends(a=2200), whole_width("W", 1000, 2)
    assert found((row(wall, wall, apart=700),), [wall], end) == [("a", 2000, 2)]


def test_a_tent_with_two_roll_ends_takes_less_and_every_piece_once() -> None:
    given_ends = [RollEnd("31", Decimal(4377)), RollEnd("32", Decimal(2771))]
    stood = lengths_of(first_plan(WIDE, TENT), TENT, given_ends)
    told = shorter(stood, TENT, given_ends, Search(6), time.monotonic)
    assert told is not None
    each_once(told, TENT, given_ends)
    assert cost(told) < cost(stood)
    assert bought(told) < bought(stood) - 100


def test_the_gap_is_kept_on_roll_end_and_roll() -> None:
    cloth = Strip(Decimal(1000), Decimal(6))
    flap = ToCut("F", outline_of([0, 400, 400 + 300j, 300j]), 9)
    given_ends = ends(a=900)
    told = shorter(
        lengths_of(first_plan(cloth, [flap]), [flap], given_ends),
        [flap],
        given_ends,
        Search(2),
        time.monotonic,
    )
    assert told is not None
    for it in told:
        corners = [(laid.right, laid.up) for laid in it.plan.laid]
        assert all(
            abs(x - u) >= 406 - cloth.slack or abs(y - v) >= 306 - cloth.slack
            for at, (x, y) in enumerate(corners)
            for u, v in corners[:at]
        )

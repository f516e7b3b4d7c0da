"""Least squares on tapes: worked figures, and planted mistakes found again."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.adjusted import Adjusted, adjusted, suspects
from app.trade.canvas.outline import Outline, outline_of
from app.trade.canvas.taped import taped

WALL = {
    "A-B": Decimal(2438),
    "B-C": Decimal(1830),
    "C-D": Decimal(2341),
    "A-D": Decimal(1801),
    "A-C": Decimal(3017),
    "B-D": Decimal(2983),
}
# Solved outside with a general least-squares solver, three coordinates held: fitted less taped, in mm.
LEFT = {"A-B": "-0.186", "B-C": "-0.143", "C-D": "-0.194", "A-D": "-0.146", "A-C": "0.240", "B-D": "0.237"}
PENTAGON = outline_of([0, 2150, 2150 + 1180j, 1075 + 1420j, 1180j])
PAIRS = ("AB", "BC", "CD", "DE", "AE", "AC", "AD", "BD", "BE", "CE")


def laid(lengths: dict[str, Decimal], corners: int = 4) -> Outline:
    outline = taped(corners, lengths).outline
    assert outline
    return outline


def wall() -> Adjusted:
    return adjusted(laid(WALL), WALL)


def pentagon(**wrong: int) -> dict[str, Decimal]:
    """Its own ten lengths, rounded to the millimetre, with mistakes planted by pair (`AC=25`)."""
    exact = {f"{one}-{other}": round(PENTAGON.length(one, other)) for one, other in PAIRS}
    return {key: Decimal(mm + wrong.get(key.replace("-", ""), 0)) for key, mm in exact.items()}


@pytest.mark.parametrize("name", LEFT)
def test_what_is_left_in_each_tape(name: str) -> None:
    assert round(wall().residuals[name], 3) == Decimal(LEFT[name])


def test_the_fitted_corners() -> None:
    found = wall().outline
    # From the same outside solution: A at 0, B on the x axis.
    for name, x, y in (("B", "2437.814", "0"), ("C", "2399.342", "1829.452"), ("D", "58.722", "1799.897")):
        corner = found.corner(name)
        assert (round(corner.x, 3), round(corner.y, 3)) == (Decimal(x), Decimal(y))


def test_the_spread_with_one_check_is_what_is_left() -> None:
    # sqrt of the sum of the squares, by 1 check: 0.477, from the outside solution.
    assert round(wall().spread, 3) == Decimal("0.477")


def test_about_half_the_closure_is_left() -> None:
    """With one check the residuals are the closure times a unit vector: here 0.961 times 0.497."""
    (closure,) = taped(4, WALL).closures
    assert round(abs(closure.off) * Decimal("0.497"), 2) == round(wall().spread, 2)


def test_exact_lengths_leave_nothing() -> None:
    exact = {f"{one}-{other}": PENTAGON.length(one, other) for one, other in PAIRS}
    found = adjusted(PENTAGON, exact)
    assert all(abs(it) < Decimal("0.000001") for it in found.residuals.values())
    assert abs(found.outline.area - PENTAGON.area) < Decimal("0.01")


def test_without_a_check_there_is_no_spread() -> None:
    fixed = {key: mm for key, mm in WALL.items() if key != "B-D"}
    found = adjusted(laid(WALL), fixed)
    assert found.spread == 0
    assert all(abs(it) < Decimal("0.000001") for it in found.residuals.values())


def test_lengths_that_fix_nothing_are_a_slip() -> None:
    sides = {key: WALL[key] for key in ("A-B", "B-C", "C-D", "A-D")}
    with pytest.raises(ValueError, match="do not fix"):
        adjusted(laid(WALL), sides)


def test_one_check_cannot_say_where_the_mistake_is() -> None:
    wrong = WALL | {"A-C": WALL["A-C"] + 25}
    assert suspects(laid(wrong), wrong) == ()
    left = adjusted(laid(wrong), wrong).residuals
    # From the outside solution: 25 mm in A to C leave about 6 in both diagonals and 4 to 5 in the sides.
    assert {key: round(float(it)) for key, it in left.items()} == {
        "A-B": 5, "B-C": 4, "C-D": 5, "A-D": 4, "A-C": -6, "B-D": -6,
    }  # fmt: skip


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("off", [25, -40])
def test_a_planted_mistake_is_found_again(pair: str, off: int) -> None:
    lengths = pentagon(**{pair: off})
    assert suspects(PENTAGON, lengths) == (f"{pair[0]}-{pair[1]}",)


def test_two_mistakes_name_no_single_one() -> None:
    assert suspects(PENTAGON, pentagon(AC=25, BD=-30)) == ()


def test_an_honest_piece_has_no_suspects() -> None:
    assert suspects(PENTAGON, pentagon()) == ()
    assert suspects(PENTAGON, pentagon(AC=2)) == ()


def test_letters_may_stand_either_way() -> None:
    turned = {"-".join(reversed(key.split("-"))): mm for key, mm in pentagon(CE=30).items()}
    assert suspects(PENTAGON, turned) == ("C-E",)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(-15, 15), min_size=10, max_size=10))
def test_the_fit_is_better_than_any_nudge(tenths: list[int]) -> None:
    """Least squares: moving a corner of the fitted piece never leaves less."""
    lengths = {
        f"{one}-{other}": PENTAGON.length(one, other) + Decimal(tenth) / 10
        for (one, other), tenth in zip(PAIRS, tenths, strict=True)
    }
    found = adjusted(PENTAGON, lengths)
    best = _squares(found.outline, lengths)
    assert best == pytest.approx(sum(float(it) ** 2 for it in found.residuals.values()), abs=1e-6)
    for at in range(5):
        for nudge in (0.2, -0.2, 0.2j, -0.2j):
            corners = [corner.number for corner in found.outline.corners]
            corners[at] += nudge
            assert _squares(outline_of(corners), lengths) >= best - 1e-9


def _squares(outline: Outline, lengths: dict[str, Decimal]) -> float:
    return sum(float(outline.length(*key.split("-")) - mm) ** 2 for key, mm in lengths.items())

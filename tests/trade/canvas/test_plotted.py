"""Pieces from coordinates, and from a walk round them, held against worked traverses of surveyors."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.outline import Outline
from app.trade.canvas.plotted import Walk, plotted, walk_figure, walked
from app.trade.canvas.taped import Draft
from app.trade.problems import Impossible
from tests.trade.canvas.shapes import CONVEX, NOTCHED, sizes


def degrees(whole: int, minutes: int, seconds: int = 0) -> Decimal:
    return Decimal(whole) + Decimal(minutes) / 60 + Decimal(seconds) / 3600


def numbers(*typed: str) -> tuple[Decimal, ...]:
    return tuple(map(Decimal, typed))


def told(found: Draft) -> list[tuple[str, str, bool]]:
    return [(it.field, it.says.replace("\u00a0", " "), it.ask) for it in found.problems]


# Traverse calculations, ASM 215, Purdue University: balanced (north, east) by the compass rule, in feet.
# Its azimuths 26°10', 104°35', 195°30', 358°18' and 306°54' give these inner angles.
LOOP = Walk(
    numbers("285.10", "610.45", "720.48", "203.00", "647.02"),
    (degrees(100, 44), degrees(101, 35), degrees(89, 5), degrees(17, 12), degrees(231, 24)),
)
BALANCED = {
    "A": (10000.00, 10000.00),
    "B": (10255.96, 10125.66),
    "C": (10102.44, 10716.31),
    "D": (9408.37, 10523.62),
    "E": (9611.34, 10517.55),
}


def test_a_loop_closes_as_its_surveyors_found() -> None:
    assert abs(LOOP.angle_off) < Decimal("0.000001")
    assert abs(LOOP.gap - Decimal("0.89")) < Decimal("0.01")  # 0.71 south, 0.53 east, both rounded
    precision = sum(LOOP.sides) / LOOP.gap
    assert abs(precision - 2771) < 30  # theirs, from a gap rounded to 0.89: 1 in 2,771


@pytest.mark.parametrize("pair", ["AB", "BC", "CD", "DE", "AE", "AC", "AD", "BD", "BE", "CE"])
def test_its_corners_lie_as_balanced_by_the_compass_rule(pair: str) -> None:
    outline = walked(LOOP).outline
    assert outline
    theirs = math.dist(BALANCED[pair[0]], BALANCED[pair[1]])
    assert float(outline.length(*pair)) == pytest.approx(theirs, abs=0.02)  # coordinates given to 0.01


def test_a_handbook_loop_has_its_angles_balanced_and_its_precision() -> None:
    """Surveying handbook, closed traverse of five courses, from memory: 11 seconds off, 1 in 30,000."""
    angles = (
        degrees(100, 45, 37),
        degrees(231, 23, 43),
        degrees(17, 12, 59),
        degrees(89, 3, 28),
        degrees(101, 34, 24),
    )
    loop = Walk(numbers("647.25", "203.03", "720.35", "610.24", "285.13"), angles)
    assert round(loop.angle_off * 3600) == 11
    assert round(loop.gap, 2) == Decimal("0.08")
    assert round(sum(loop.sides) / loop.gap, -3) == 30_000
    assert round((angles[0] - loop.balanced[0]) * 3600, 1) == Decimal("2.2")  # 11 seconds by 5 corners


def test_a_walk_round_a_rectangle_closes_exactly() -> None:
    found = walked(Walk(numbers("2400", "1200", "2400", "1200"), (Decimal(90),) * 4))
    assert found.stands
    assert found.outline
    assert (found.outline.width, found.outline.height, found.outline.area) == (2400, 1200, 2_880_000)
    assert walk_figure(Walk(numbers("300", "400", "300", "400"), (Decimal(90),) * 4)).says.endswith("exact")


@pytest.mark.parametrize(("side", "ask"), [("2402", None), ("2404", True), ("2407", False)])
def test_a_walk_that_ends_away_from_its_start_is_told(side: str, ask: bool | None) -> None:
    # All corners square: the gap is the difference of the two long sides.
    found = walked(Walk(numbers("2400", "1200", side, "1200"), (Decimal(90),) * 4))
    assert [it[2] for it in told(found)] == ([] if ask is None else [ask])
    assert all(it[0] == "A-D" and "away from corner A" in it[1] for it in told(found))


@pytest.mark.parametrize(
    ("angle", "ask", "says"),
    [("90.4", None, ""), ("91", True, "1.0° too much"), ("87", False, "3.0° too little")],
)
def test_angles_that_do_not_add_up_are_told(angle: str, ask: bool | None, says: str) -> None:
    walk = Walk(numbers("300", "300", "300", "300"), (*(Decimal(90),) * 3, Decimal(angle)))
    found = [it for it in told(walked(walk)) if it[0] == "angles"]
    assert [it[2] for it in found] == ([] if ask is None else [ask])
    assert all(says in it[1] for it in found)


def test_sides_and_angles_that_cannot_be_are_named() -> None:
    found = walked(Walk(numbers("300", "0", "300"), numbers("60", "400", "60")))
    assert found.outline is None
    assert [it[0] for it in told(found)] == ["B", "B"]
    assert told(found)[1][1] == "The angle at B cannot be 400"


def test_a_missing_angle_is_told_with_the_count() -> None:
    found = walked(Walk(numbers("300", "300", "300"), numbers("60", "60")))
    assert told(found) == [("angles", "3 sides have 2 angles", False)]


def test_the_figure_shows_the_way_round() -> None:
    figure = walk_figure(LOOP)
    assert figure.says.replace("\u00a0", " ").startswith("0.9 mm, 1 in 2,7")
    assert figure.source.title.startswith("traverse")
    assert len(figure.inputs) == 2


def test_coordinates_make_a_piece_as_they_stand() -> None:
    found = plotted([(Decimal(x), Decimal(y)) for x, y in ((0, 0), (1200, 0), (1200, 900), (0, 700))])
    assert found.stands
    assert found.outline
    assert found.outline.area == 1200 * 800  # trapezium: mean of 900 and 700


def test_coordinates_from_the_inside_are_mirrored_once() -> None:
    inside = [(Decimal(x), Decimal(y)) for x, y in ((0, 0), (0, 700), (1200, 900), (1200, 0))]
    assert [it[2] for it in told(plotted(inside))] == [True]  # asked: corners run with the clock
    found = plotted(inside, inside=True)
    assert found.stands
    assert found.outline
    assert found.outline.signed_area == 1200 * 800
    assert found.outline.corner("A").x == 1200


def test_crossing_coordinates_stay_a_draft_with_their_outline() -> None:
    found = plotted([(Decimal(x), Decimal(y)) for x, y in ((0, 0), (900, 900), (900, 0), (0, 900))])
    assert found.outline is not None
    assert not found.stands
    assert told(found)[0][0] == "A-B"


def test_two_places_are_no_piece() -> None:
    with pytest.raises(Impossible):
        plotted([(Decimal(0), Decimal(0)), (Decimal(1), Decimal(0))])


def walk_round(outline: Outline) -> Walk:
    return Walk(
        tuple(edge.length for edge in outline.edges),
        tuple(outline.angles[corner.name] for corner in outline.corners),
    )


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_any_piece_comes_back_from_its_own_sides_and_angles(outline: Outline) -> None:
    found = walked(walk_round(outline))
    assert found.outline
    assert sizes(found.outline) == pytest.approx(sizes(outline), abs=0.01)
    assert walk_round(outline).gap < Decimal("0.001")


@settings(deadline=None)
@given(CONVEX, st.integers(1, 20))
def test_angles_all_off_by_the_same_are_put_right(outline: Outline, tenths: int) -> None:
    """A protractor that reads a little too much everywhere: balancing takes just that off."""
    true = walk_round(outline)
    off = Walk(true.sides, tuple(angle + Decimal(tenths) / 10 for angle in true.angles))
    found = walked(off).outline
    assert found
    assert sizes(found) == pytest.approx(sizes(outline), abs=0.01)


@settings(deadline=None)
@given(CONVEX, st.integers(4, 40))
def test_a_side_that_is_too_long_leaves_just_that_gap(outline: Outline, off: int) -> None:
    true = walk_round(outline)
    long = Walk((true.sides[0] + off, *true.sides[1:]), true.angles)
    assert abs(long.gap - off) < Decimal("0.001")
    assert any(it.field.startswith("A-") for it in walked(long).problems)


def test_the_gap_is_shared_out_by_length() -> None:
    """By hand: 300, 400, 500 whose last side was read 512: the gap of 12 is shared 3 : 4 : 5.12."""
    angles = (Decimal("53.130102354"), Decimal("90"), Decimal("36.869897646"))
    found = walked(Walk(numbers("300", "400", "512"), angles))
    assert found.outline
    shared = 12 * 300 / Decimal(1212)
    assert not found.stands
    # The walk overshoots A by 12 along the last side, so B is pulled back along it by its share.
    b = found.outline.corner("B")
    along = Decimal("0.6"), Decimal("0.8")  # cosine and sine of the angle at A, 53.13 degrees
    assert abs(b.x - (300 + shared * along[0])) < Decimal("0.01")
    assert abs(b.y - shared * along[1]) < Decimal("0.01")


@settings(deadline=None)
@given(CONVEX | NOTCHED)
def test_coordinates_read_from_the_inside_give_the_mirror(outline: Outline) -> None:
    seen = [(-corner.x, corner.y) for corner in outline.corners]
    found = plotted(seen, inside=True).outline
    assert found
    assert found.signed_area == outline.signed_area
    assert sizes(found) == pytest.approx(sizes(outline), abs=0.001)

"""Cut plans laid by hand, sound and unsound: the check knows nothing of how a plan was found."""

from decimal import Decimal

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.laying import (
    EITHER_END,
    ONE_WAY,
    QUARTERS,
    CutPlan,
    Laid,
    Strip,
    ToCut,
    fitting,
    shortest,
    turns_on,
    turns_that_fit,
    unsound,
    usable_width,
)
from app.trade.canvas.outline import Outline, outline_of
from app.trade.problems import Impossible, Refused
from tests.trade.canvas.shapes import CONVEX, NOTCHED

STRIP = Strip(Decimal(1500))
WALL = ToCut("W", outline_of([0, 1000, 1000 + 500j, 500j]), 2)
GABLE = ToCut("G", outline_of([0, 800, 400 + 300j]), 1, ONE_WAY)


def lay(piece: ToCut, copy: int, right: int, up: int, turn: int = 0) -> Laid:
    return Laid(piece, copy, Decimal(turn), Decimal(right), Decimal(up))


def plan(*laid: Laid) -> CutPlan:
    return CutPlan(STRIP, laid, "laid by hand")


def test_usable_width_is_the_roll_without_its_selvages() -> None:
    assert usable_width(Decimal(1600)) == 1574  # 13 mm on each side: common practice
    assert usable_width(Decimal(1520), Decimal(10)) == 1500


@pytest.mark.parametrize(("roll", "selvage"), [("26", "13"), ("0", "0"), ("1600", "-1")])
def test_a_roll_without_width_is_refused(roll: str, selvage: str) -> None:
    with pytest.raises(Impossible, match="leaves no width"):
        usable_width(Decimal(roll), Decimal(selvage))


@pytest.mark.parametrize(("width", "gap"), [("0", "0"), ("-5", "0"), ("1500", "-1")])
def test_cloth_needs_a_width_and_no_gap_under_nothing(width: str, gap: str) -> None:
    with pytest.raises(Impossible, match="needs a width"):
        Strip(Decimal(width), Decimal(gap))


def test_a_piece_needs_copies_and_turns() -> None:
    with pytest.raises(Impossible, match="Piece W is not to be cut"):
        ToCut("W", WALL.outline, 0)
    with pytest.raises(Impossible):
        ToCut("W", WALL.outline, 1, ())


def test_a_plan_laid_side_by_side_is_sound() -> None:
    sound = plan(lay(WALL, 1, 0, 0), lay(WALL, 2, 0, 500), lay(GABLE, 1, 0, 1000))
    assert not unsound(sound, [WALL, GABLE])
    assert sound.length == 1000
    assert sound.area == 2 * 500_000 + 120_000
    assert round(sound.waste, 1) == Decimal("25.3")  # 1 - 1.12 / 1.5


def test_pieces_may_nest_where_their_outlines_do() -> None:
    """A triangle turned by half a turn fits beside itself, though the boxes overlap."""
    triangle = ToCut("T", outline_of([0, 800, 800j]), 2)
    nested = plan(lay(triangle, 1, 0, 0), lay(triangle, 2, 0, 0, 180))
    assert not unsound(nested, [triangle])
    assert nested.length == 800
    assert [laid.label for laid in nested.laid] == ["T1", "T2"]


@pytest.mark.parametrize(
    ("laid", "mark", "says"),
    [
        ([lay(WALL, 1, 0, 0)], "W", "Copy 2 of piece W lies 0 times"),
        ([lay(WALL, 1, 0, 0), lay(WALL, 1, 0, 500)], "W", "Copy 1 of piece W lies 2 times"),
        ([lay(WALL, 1, 0, 0), lay(WALL, 2, 999, 0)], "W1", "W1 and W2 overlap"),
        ([lay(WALL, 1, 0, 0), lay(WALL, 2, 0, 1001)], "W2", "W2 lies off the cloth"),
        ([lay(WALL, 1, 0, -1), lay(WALL, 2, 0, 500)], "W1", "W1 lies off the cloth"),
        ([lay(WALL, 1, -1, 0), lay(WALL, 2, 0, 500)], "W1", "W1 lies off the cloth"),
        ([lay(WALL, 1, 0, 0), lay(WALL, 2, 1000, 0, 90)], "W2", "W2 is turned by 90 degrees"),
    ],
)
def test_an_unsound_plan_is_told_with_its_piece(laid: list[Laid], mark: str, says: str) -> None:
    told = unsound(plan(*laid), [WALL])
    assert (mark, says) in [(it.field, it.says) for it in told]
    assert not any(it.ask for it in told)


def test_a_plan_with_a_piece_that_nobody_ordered_is_unsound() -> None:
    assert [it.field for it in unsound(plan(lay(GABLE, 1, 0, 0)), [])] == ["G"]


def test_turning_keeps_the_piece_and_moves_its_box() -> None:
    assert (WALL.turned(Decimal(90)).width, WALL.turned(Decimal(90)).height) == (500, 1000)
    assert WALL.turned(Decimal(180)).area == WALL.outline.area


def test_the_warp_of_a_piece_comes_to_lie_along_the_roll() -> None:
    upright = ToCut("U", WALL.outline, 1, ONE_WAY, warp_angle=Decimal(90))  # its warp runs up the piece
    lying = upright.turned(Decimal(0))
    assert (lying.width, lying.height) == (500, 1000)


def test_only_turns_that_fit_the_width_are_left() -> None:
    film = ToCut("F", outline_of([0, 1800, 1800 + 400j, 400j]), 1, QUARTERS)
    assert turns_that_fit(STRIP, film) == EITHER_END  # 1,800 across does not fit 1,500
    assert turns_that_fit(Strip(Decimal(1800)), film) == QUARTERS


def test_a_piece_wider_than_the_cloth_is_refused_by_name() -> None:
    wide = ToCut("R", outline_of([0, 3000, 3000 + 1600j, 1600j]))
    with pytest.raises(Refused) as refused:
        fitting(STRIP, [WALL, wide])
    (problem,) = refused.value.problems
    assert problem.field == "R"
    assert "1,600" in problem.says
    assert "seam" in problem.accepts
    fitting(STRIP, [WALL])


def test_the_shortest_of_several_plans_wins() -> None:
    long, short = plan(lay(GABLE, 1, 500, 0)), plan(lay(GABLE, 1, 0, 0))
    assert shortest([long, None, short]) is short
    assert shortest([None]) is None


def test_an_empty_plan_takes_nothing() -> None:
    assert (plan().length, plan().area, plan().waste) == (0, 0, 0)
    assert not unsound(plan(), [])


def test_a_single_copy_bears_the_bare_mark() -> None:
    assert lay(GABLE, 1, 0, 0).label == "G"
    assert lay(GABLE, 1, 100, 0).end == 900


def test_what_is_drawn_on_a_piece_is_carried_with_it() -> None:
    finished = outline_of([20 + 20j, 980 + 20j, 980 + 480j, 20 + 480j])
    for turn in (0, 180):
        carried = lay(WALL, 1, 300, 200, turn).carry(finished)
        assert min(it.x for it in carried.corners) == 320  # 20 inside the cut line on every side
        assert max(it.y for it in carried.corners) == 680


@settings(deadline=None)
@given(CONVEX, CONVEX, st.integers(-1500, 1500), st.integers(0, 1500))
def test_overlaps_are_found_as_shapely_finds_them(one: Outline, other: Outline, right: int, up: int) -> None:
    strip = Strip(Decimal(9000))
    pieces = [ToCut("A", one), ToCut("B", other)]
    laid = (lay(pieces[0], 1, 4000, 2000), lay(pieces[1], 1, 4000 + right, 2000 + up))
    told = [it for it in unsound(CutPlan(strip, laid, "by chance"), pieces) if "overlap" in it.says]
    shapes = [shapely.Polygon(it.outline.ring) for it in laid]
    shared = shapes[0].intersection(shapes[1]).area
    if not 60 < shared < 100:  # the limit is a millionth of 9,000 squared: 81 mm²
        assert bool(told) == (shared > 81)


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.sampled_from([0, 90, 180, 270]), st.integers(0, 179), st.integers(0, 5000))
def test_a_laid_piece_has_its_box_where_it_was_laid(
    outline: Outline, turn: int, warp: int, right: int
) -> None:
    piece = ToCut("P", outline, 1, QUARTERS, Decimal(warp))
    laid = lay(piece, 1, right, 100, turn)
    assert min(it.x for it in laid.outline.corners) == pytest.approx(Decimal(right), abs=Decimal("0.00001"))
    assert min(it.y for it in laid.outline.corners) == pytest.approx(Decimal(100), abs=Decimal("0.00001"))
    assert float(laid.outline.area) == pytest.approx(float(outline.area), rel=1e-6)
    assert laid.carry(outline) == laid.outline
    assert laid.outline.signed_area > 0  # turned, never mirrored


def test_pieces_may_touch() -> None:
    """Knife and straight edge: one cut parts two pieces."""
    gable = ToCut("G", outline_of([0, 800, 400 + 300j]), 2, EITHER_END)
    touching = plan(lay(gable, 1, 0, 0), lay(gable, 2, 400, 0, 180))
    assert not unsound(touching, [gable])
    closer = plan(lay(gable, 1, 0, 0), lay(gable, 2, 390, 0, 180))
    assert [it.field for it in unsound(closer, [gable])] == ["G1"]


@pytest.mark.parametrize(
    ("cloth", "piece", "both"),
    [
        (EITHER_END, QUARTERS, EITHER_END),  # woven cloth keeps its warp, whatever the piece would bear
        (QUARTERS, EITHER_END, EITHER_END),  # film without grain, but the piece has an up
        (ONE_WAY, QUARTERS, ONE_WAY),
        (QUARTERS, QUARTERS, QUARTERS),
    ],
)
def test_a_piece_turns_only_where_its_cloth_allows(
    cloth: tuple[Decimal, ...], piece: tuple[Decimal, ...], both: tuple[Decimal, ...]
) -> None:
    assert turns_on(cloth, piece) == both


def test_a_piece_that_its_cloth_cannot_bear_is_refused() -> None:
    with pytest.raises(Impossible, match="none of the piece's turns"):
        turns_on(ONE_WAY, (Decimal(90),))


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_plan_is_checked_against_each_pieces_own_turns(turn: int) -> None:
    for turns in (ONE_WAY, EITHER_END, QUARTERS):
        piece = ToCut("P", outline_of([0, 600, 600 + 400j, 400j]), 1, turns)
        told = unsound(plan(lay(piece, 1, 0, 0, turn)), [piece])
        assert bool(told) == (Decimal(turn) not in turns)


def test_waste_and_area_of_a_plan_add_up_to_its_cloth() -> None:
    for up in (0, 400, 900):
        sound = plan(lay(WALL, 1, 0, 0), lay(WALL, 2, up, 500))
        cloth = sound.length * STRIP.width
        assert abs(sound.area + cloth * sound.waste / 100 - cloth) < Decimal("0.001")

"""Seams, mates, halves and rings: made wrong on purpose by known amounts."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.canvas.allowances import EdgeKind
from app.trade.canvas.mates import (
    SeamSide,
    mate_problems,
    ring_problems,
    seam_problems,
    sewn_problems,
    symmetry_problems,
)
from app.trade.canvas.outline import Corner, Outline, outline_of
from app.trade.problems import Problem
from tests.trade.canvas.shapes import CONVEX, NOTCHED

WALL = outline_of([0, 2400, 2300 + 1200j, 1150j])
ROOF = outline_of([0, 3000, 3000 + 2000j, 2000j])


def told(problems: tuple[Problem, ...]) -> list[tuple[str, str, bool]]:
    return [(it.field, it.says.replace("\u00a0", " "), it.ask) for it in problems]


def bent(outline: Outline, name: str, right: int, up: int) -> Outline:
    return Outline(
        tuple(Corner(it.name, it.x + right, it.y + up) if it.name == name else it for it in outline.corners)
    )


def bottom(mm: str, piece: str = "wall") -> SeamSide:
    return SeamSide(piece, outline_of([0, float(mm), float(mm) + 500j, 500j]), ("A-B",))


@pytest.mark.parametrize(("mm", "count"), [("2400", 0), ("2406", 0), ("2394", 0), ("2406.5", 1), ("2393", 1)])
def test_a_seam_matches_within_a_quarter_inch(mm: str, count: int) -> None:
    assert len(seam_problems(bottom(mm), bottom("2400", "skirt"))) == count


def test_a_seam_that_does_not_match_names_both_edges() -> None:
    ((field, says, ask),) = told(seam_problems(bottom("2425", "front wall"), bottom("2400", "skirt")))
    assert (field, ask) == ("A-B", False)
    assert says == "A to B of front wall is 25.0 mm longer than A to B of skirt"
    ((_, says, _),) = told(seam_problems(bottom("2400", "front wall"), bottom("2425", "skirt")))
    assert says.startswith("A to B of skirt is 25.0 mm longer")


def test_ease_named_in_the_order_is_no_misfit() -> None:
    assert not seam_problems(bottom("2420"), bottom("2400"), ease_mm=Decimal(20))
    assert told(seam_problems(bottom("2430"), bottom("2400"), ease_mm=Decimal(30)))[0][2] is True  # over 1 %
    assert told(seam_problems(bottom("2400"), bottom("2400"), ease_mm=Decimal(20)))[0][2] is False


@pytest.mark.parametrize(
    ("one", "other", "wanted"),
    [
        # A felled seam of 1/2 in takes 5/8 in on one side and 1 1/8 in on the other (common practice).
        ("felled_small", "felled_large", ""),
        ("felled_large", "felled_small", ""),
        ("plain", "plain", ""),
        ("zipper", "zipper", ""),
        ("hem", "bound", ""),
        ("felled_large", "felled_large", "a felled seam, smaller side to the other"),
        ("felled_small", "plain", "a felled seam, larger side to the other"),
        ("hem", "zipper", "a zipper to the other"),
        ("plain", "zipper", "a plain seam to the other"),
    ],
)
def test_two_edges_of_a_seam_are_cut_for_one_another(one: str, other: str, wanted: str) -> None:
    sides = bottom("2400"), bottom("2400", "skirt")
    found = sewn_problems(*sides, EdgeKind(one), EdgeKind(other))
    assert [it.accepts for it in found] == ([wanted] if wanted else [])
    for it in found:
        assert it.ask
        assert it.says.startswith("A to B of wall is cut for a ")
        assert ", A to B of skirt for a " in it.says
    assert sewn_problems(*sides, None, EdgeKind(other)) == ()
    assert sewn_problems(*sides, EdgeKind(one), None) == ()


def test_a_seam_may_run_over_several_edges() -> None:
    gable = outline_of([0, 2150, 2150 + 1180j, 1075 + 1420j, 1180j])
    run = SeamSide("end", gable, ("C-D", "D-E"))
    assert round(run.length, 2) == Decimal("2202.93")  # Pythagoras: twice 1101.465
    assert run.words == "C to D, D to E of end"
    assert not seam_problems(run, bottom("2200"))


def test_inches_typed_for_millimetres_are_suspected() -> None:
    assert "were inches typed" in told(seam_problems(bottom("94.5"), bottom("2400")))[0][1]  # 94.5 in
    assert "were inches typed" not in told(seam_problems(bottom("2000"), bottom("2400")))[0][1]


def test_the_tolerance_may_be_closer() -> None:
    assert seam_problems(bottom("2403"), bottom("2400"), within=Decimal(2))
    assert not seam_problems(bottom("2403"), bottom("2400"), within=Decimal(3))


def test_a_mirror_is_a_mate() -> None:
    assert not mate_problems(WALL, WALL.mirrored())
    assert not mate_problems(WALL, WALL.mirrored().turned(Decimal(90)))


def test_a_copy_is_no_mate() -> None:
    ((_, says, ask),) = told(mate_problems(WALL, WALL))
    assert "its outside would face in" in says
    assert not ask


@pytest.mark.parametrize(
    ("right", "up", "edges"),
    [
        # Corner B of a rectangle moved along A to B: that side by the whole, B to C hardly, B to D nearly so.
        (5, 0, []),
        (7, 0, ["A-B"]),  # diagonal B to D by 6.3: within 8
        (10, 0, ["A-B", "B-D"]),
        (0, -7, ["B-C"]),
    ],
)
def test_sides_are_held_within_six_and_diagonals_within_eight(right: int, up: int, edges: list[str]) -> None:
    square = outline_of([0, 2400, 2400 + 1200j, 1200j])
    found = mate_problems(bent(square, "B", right, up), square.mirrored())
    assert [it.field for it in found] == edges


def test_a_misread_mate_tells_both_lengths() -> None:
    says = told(mate_problems(WALL, bent(WALL, "B", 50, 0).mirrored()))[0][1]
    assert says == "A to B is 2,400 mm (94.5 in) here and 2,450 mm (96.5 in) at the mate"


def test_a_mate_with_other_corners_is_told() -> None:
    ((field, says, _),) = told(mate_problems(WALL, outline_of([0, 100, 100j])))
    assert (field, says) == ("A", "The mate has 3 corners, the piece 4")


def test_a_gable_has_two_like_halves() -> None:
    assert not symmetry_problems(outline_of([0, 2150, 2150 + 1180j, 1075 + 1420j, 1180j]))
    assert not symmetry_problems(outline_of([0, 2000, 1000 + 1000j]))
    assert not symmetry_problems(outline_of([0, 2000, 1700 + 900j, 300 + 900j]))


def test_a_gable_with_one_wrong_reading_names_the_lengths_that_differ() -> None:
    askew = outline_of([0, 2150, 2150 + 1180j, 1095 + 1420j, 1180j])
    found = told(symmetry_problems(askew))
    assert "C-D" in {field for field, _, _ in found}
    says = next(says for field, says, _ in found if field == "C-D")
    # Pythagoras: 1055 across and 240 up, 1095 across and 240 up
    assert says == "The halves differ: C to D is 1,082 mm (42.6 in), D to E 1,121 mm (44.1 in)"


def test_a_slanting_wall_is_not_symmetric() -> None:
    assert symmetry_problems(WALL)


def test_walls_close_round_the_roof() -> None:
    roof = SeamSide("roof", ROOF, ("A-B", "B-C", "C-D", "A-D"))
    walls = [bottom("3000", "front"), bottom("2000", "right"), bottom("3000", "rear"), bottom("2000", "left")]
    assert not ring_problems(walls, roof)
    ((field, says, _),) = told(ring_problems([*walls[:3], bottom("1980", "left")], roof))
    assert field == "A-B"
    assert says.startswith("The walls together are 20.0 mm shorter than")
    assert "A to B of left 1,980 mm" in says
    assert "longer" in told(ring_problems([*walls[:3], bottom("2050", "left")], roof))[0][1]


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.integers(0, 359))
def test_any_piece_and_its_mirror_are_mates_however_they_lie(outline: Outline, degrees: int) -> None:
    assert mate_problems(outline, outline.mirrored().turned(Decimal(degrees))) == ()
    assert mate_problems(outline.mirrored(), outline) == ()


@settings(deadline=None)
@given(NOTCHED, st.sampled_from("ABCDE"), st.integers(30, 80))
def test_a_corner_out_of_place_is_named_by_all_its_lengths(outline: Outline, name: str, off: int) -> None:
    """Every length told ends at the corner that was moved."""
    mate = bent(outline, name, off, off).mirrored()
    told = mate_problems(outline, mate)
    assert told
    assert all(name in problem.field.split("-") for problem in told)


@settings(deadline=None)
@given(CONVEX)
def test_seams_agree_with_themselves_and_with_their_mirror(outline: Outline) -> None:
    for edge in outline.edges:
        here = SeamSide("wall", outline, (edge.name,))
        there = SeamSide("mate", outline.mirrored(), (edge.name,))
        assert seam_problems(here, there) == ()


@settings(deadline=None)
@given(st.integers(600, 3000), st.integers(600, 2000), st.integers(50, 250), st.integers(9, 60))
def test_a_trapezium_is_symmetric_until_one_leg_is_misread(
    width: int, height: int, inset: int, off: int
) -> None:
    even = outline_of([0, width, complex(width - inset, height), complex(inset, height)])
    assert symmetry_problems(even) == ()
    told = symmetry_problems(bent(even, "C", 0, off))
    assert told
    assert all(problem.says.startswith("The halves differ") for problem in told)


def test_a_ring_counts_every_wall_once() -> None:
    roof = SeamSide("roof", ROOF, ("A-B", "B-C", "C-D", "A-D"))
    for missing in range(4):
        walls = [
            bottom(mm, f"wall {at}")
            for at, mm in enumerate(("3000", "2000", "3000", "2000"))
            if at != missing
        ]
        ((_, says, _),) = told(ring_problems(walls, roof))
        assert f"{3000 if missing % 2 == 0 else 2000},".replace("000,", ",000.0 mm shorter") in says

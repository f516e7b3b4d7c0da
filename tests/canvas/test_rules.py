"""Measures to outlines: against theorems and published figures."""

from decimal import Decimal

import pytest

from app.canvas.rules import (
    EdgeSaid,
    How,
    Measured,
    allowance_of,
    draft_of,
    lettered_as,
    may_be_misread,
    mirrored,
    read_shrink,
    sides_of,
    to_sew,
)
from app.trade.canvas.allowances import Allowance, EdgeKind, Shrink
from app.trade.canvas.outline import Outline, outline_of
from app.trade.problems import Impossible

SQUARE = outline_of([0, 600, 600 + 600j, 600j])
EDGES = ("A-B", "B-C", "C-D", "A-D")


def outline(measured: Measured) -> Outline:
    found = draft_of(measured).outline
    assert found is not None
    return found


def test_three_sides_make_the_area_of_herons_formula() -> None:
    # s = 108: sqrt(108 * 36 * 18 * 54) = 1944, Heron. A triangle needs no check length.
    draft = draft_of(Measured(How.TAPE, 3, {"A-B": "72", "B-C": "90", "A-C": "54"}))
    assert draft.outline is not None
    assert draft.outline.area == pytest.approx(Decimal(1944), abs=Decimal("0.001"))
    assert [problem for problem in draft.problems if not problem.ask] == []


def test_a_wall_of_three_by_four_closes_with_diagonals_of_five() -> None:
    tape = {"A-B": "4", "B-C": "3", "C-D": "4", "A-D": "3", "A-C": "5", "B-D": "5"}  # Pythagoras
    draft = draft_of(Measured(How.TAPE, 4, {key: f"{int(mm) * 300}" for key, mm in tape.items()}))
    assert draft.stands
    assert [abs(closure.off) < Decimal("0.001") for closure in draft.closures] == [True]


def test_inches_are_read_as_inches() -> None:
    # 1 in = 25.4 mm: NIST SP 811, appendix B.8.
    tape = {"A-B": "36", "B-C": "48", "C-D": "36", "A-D": "48", "A-C": "60", "B-D": "60"}
    found = outline(Measured(How.TAPE, 4, tape, "in"))
    assert found.edge("A-B").length == pytest.approx(Decimal("914.4"), abs=Decimal("0.001"))


def test_fractions_of_an_inch_are_taken_as_a_tape_shows_them() -> None:
    tape = {"A-B": "36 1/2", "B-C": "48", "A-C": "60"}
    found = outline(Measured(How.TAPE, 3, tape, "in"))
    assert found.length("A", "B") == pytest.approx(Decimal("927.1"), abs=Decimal("0.001"))  # 36.5 * 25.4


@pytest.mark.parametrize(
    ("how", "corners", "typed", "named"),
    [
        (How.TAPE, 4, {"A-B": "900"}, "B-C"),
        (How.COORDINATES, 3, {"A-x": "0", "A-y": "0", "B-x": "900"}, "B-y"),
        (How.ANGLES, 4, {"A-B": "900", "B-C": "900"}, "C-D"),
    ],
)
def test_what_is_not_measured_yet_is_named(how: How, corners: int, typed: dict[str, str], named: str) -> None:
    draft = draft_of(Measured(how, corners, typed))
    assert draft.outline is None
    assert not draft.stands
    assert draft.problems[0].field == named


def test_coordinates_give_the_area_of_the_shoelace_formula() -> None:
    # The end panel: 2150 by 1180 with a gable 240 high: 2150 * 1180 + 2150 * 240 / 2 = 2,795,000.
    corners = {"A": (0, 0), "B": (2150, 0), "C": (2150, 1180), "D": (1075, 1420), "E": (0, 1180)}
    typed = {f"{name}-{axis}": str(at[axis == "y"]) for name, at in corners.items() for axis in "xy"}
    assert outline(Measured(How.COORDINATES, 5, typed)).area == 2_795_000


def test_six_sides_and_angles_of_120_degrees_close_a_regular_hexagon() -> None:
    # Euclid: the inner angles come to (6 - 2) * 180; the area is 3 sqrt(3) / 2 * side².
    measured = Measured(How.ANGLES, 6, {})
    typed = dict.fromkeys(measured.sides, "600") | dict.fromkeys(measured.names, "120")
    found = outline(Measured(How.ANGLES, 6, typed))
    assert float(found.area) == pytest.approx(3 * 3**0.5 / 2 * 600**2, rel=1e-9)


def test_a_crossing_piece_keeps_its_outline_and_is_told() -> None:
    # A bow tie: its sides A to B and C to D cross in the middle.
    at = {"A": (0, 0), "B": (600, 600), "C": (600, 0), "D": (0, 600)}
    typed = {f"{name}-{axis}": str(place[axis == "y"]) for name, place in at.items() for axis in "xy"}
    draft = draft_of(Measured(How.COORDINATES, 4, typed))
    assert draft.outline is not None
    assert not draft.stands
    assert {problem.field for problem in draft.problems} & {"A-B", "C-D"}


def test_a_mirror_has_every_length_and_the_other_hand() -> None:
    draft = draft_of(Measured(How.TAPE, 3, {"A-B": "720", "B-C": "900", "A-C": "540"}))
    mate = mirrored(draft)
    assert draft.outline is not None
    assert mate.outline is not None
    for edge in draft.outline.edges:  # a mirror is an isometry
        assert mate.outline.edge(edge.name).length == pytest.approx(edge.length, abs=Decimal("1e-6"))
    order = [corner.name for corner in mate.outline.corners]
    assert order == ["A", "C", "B"]  # the letters run the other way round
    assert mate.outline.signed_area > 0  # still against the clock, as it is seen from its own outside


def test_a_mirror_of_nothing_is_nothing() -> None:
    assert mirrored(draft_of(Measured(How.TAPE, 4, {}))).outline is None


# Edges


def test_an_edge_gets_the_usual_allowance_of_its_kind() -> None:
    # FM 10-16, chapter 8: a hem takes 1 1/2 in of cloth, 38.1 mm.
    hem = allowance_of(EdgeSaid("hem"))
    assert hem is not None
    assert hem.mm == pytest.approx(Decimal("38.1"), abs=Decimal("0.5"))
    assert hem.kind is EdgeKind.HEM


def test_what_is_typed_goes_before_the_usual() -> None:
    assert allowance_of(EdgeSaid("hem", "45")) == Allowance(EdgeKind.HEM, Decimal(45))


def test_a_pocket_goes_half_round_its_pole() -> None:
    # pi * 25 / 2 = 39.27, with 6 of ease and 13 turned under: 58.3, common practice.
    found = allowance_of(EdgeSaid("pocket", pole="25"))
    assert found is not None
    assert found.mm == Decimal("58.3")


def test_a_pocket_without_its_pole_is_refused() -> None:
    with pytest.raises(Impossible, match="pole"):
        allowance_of(EdgeSaid("pocket"))


def test_an_edge_of_which_nothing_is_said_gets_nothing() -> None:
    assert allowance_of(EdgeSaid()) is None


@pytest.mark.parametrize("text", ["2 and 1", "2 by 1", "2; 1", "2/1", "2 % and 1 %", "2, 1"])
def test_shrinkage_is_read_along_and_across(text: str) -> None:
    assert read_shrink(text) == (Decimal(2), Decimal(1))


@pytest.mark.parametrize("text", ["2", "a little", "2 and much", "2 and 25", "-1 and 0", ""])
def test_shrinkage_that_says_nothing_is_refused(text: str) -> None:
    with pytest.raises(Impossible):
        read_shrink(text)


def test_none_shrinks_nothing() -> None:
    assert read_shrink("None") == (Decimal(0), Decimal(0))


def test_the_cut_piece_is_the_finished_divided_by_what_stays() -> None:
    # 3 percent along: 600 / 0.97 = 618.557, not 600 * 1.03 = 618.000.
    edges = dict.fromkeys(EDGES, EdgeSaid("bound"))
    found = to_sew(SQUARE, edges, Shrink(Decimal(3))).cut
    assert found is not None
    assert found.cut.width == pytest.approx(Decimal(600) / Decimal("0.97"), abs=Decimal("0.001"))
    assert found.cut.height == 600


def test_a_square_grows_by_its_allowance_on_both_sides() -> None:
    edges = dict.fromkeys(EDGES, EdgeSaid("plain", "15"))
    found = to_sew(SQUARE, edges, Shrink()).cut
    assert found is not None
    assert (found.cut.width, found.cut.height) == (Decimal(630), Decimal(630))


def test_each_edge_of_which_nothing_is_said_is_named() -> None:
    found = to_sew(SQUARE, {"A-B": EdgeSaid("hem")}, Shrink())
    assert found.cut is None
    assert [problem.field for problem in found.problems] == ["B-C", "C-D", "A-D"]


def test_the_sides_of_a_seam_are_gathered_by_piece() -> None:
    sides = sides_of(["1:A-B", "1:B-C", "2:A-B", "9:A-B"], {1: ("wall", SQUARE), 2: ("end", SQUARE)})
    assert [(side.piece, side.edges, side.length) for side in sides] == [
        ("wall", ("A-B", "B-C"), Decimal(1200)),
        ("end", ("A-B",), Decimal(600)),
    ]


# A regular pentagon of side 1000: all diagonals are the golden ratio times the side (Euclid XIII.8).
GOLDEN = "1618.034"
PENTAGON = dict.fromkeys(("A-B", "B-C", "C-D", "D-E", "A-E"), "1000") | dict.fromkeys(
    ("A-C", "A-D", "B-D", "B-E", "C-E"), GOLDEN
)


def test_a_pentagon_of_the_golden_ratio_closes_by_all_its_diagonals() -> None:
    measured = Measured(How.TAPE, 5, PENTAGON)
    draft = draft_of(measured)
    assert draft.stands
    assert len(draft.closures) == 3  # ten lengths, 2n - 3 = 7 needed
    assert all(abs(closure.off) < Decimal("0.01") for closure in draft.closures)
    assert may_be_misread(measured, draft) == ()


@pytest.mark.parametrize("edge", ["A-D", "C-E", "C-D"])
def test_one_wrong_reading_among_enough_checks_is_pointed_at(edge: str) -> None:
    wrong = str(Decimal(PENTAGON[edge]) + 40)
    measured = Measured(How.TAPE, 5, {**PENTAGON, edge: wrong})
    draft = draft_of(measured)
    assert not draft.stands
    assert may_be_misread(measured, draft) == (edge.replace("-", " to "),)


def test_one_check_alone_cannot_point_at_the_wrong_reading() -> None:
    wall = {"A-B": "400", "B-C": "300", "C-D": "400", "A-D": "300", "A-C": "500", "B-D": "540"}
    measured = Measured(How.TAPE, 4, wall)
    assert may_be_misread(measured, draft_of(measured)) == ()


def test_nothing_is_suspected_of_coordinates() -> None:
    measured = Measured(How.COORDINATES, 3, {})
    assert may_be_misread(measured, draft_of(measured)) == ()


# A mate lettered by itself


@pytest.mark.parametrize("first", range(4))
def test_a_mirror_fits_whatever_corner_its_letters_begin_at(first: int) -> None:
    # A wall of 800, high on its right: as far as lengths go a mirror is the same piece (an isometry).
    wall = outline_of([0, 800, 800 + 900j, 300j])
    corners = [corner.number for corner in wall.mirrored().corners]
    mate = outline_of([*corners[first:], *corners[:first]])
    found = lettered_as(wall, mate)
    for edge in wall.edges:
        assert found.edge(edge.name).length == pytest.approx(edge.length, abs=Decimal("1e-6"))


def test_a_copy_of_a_lopsided_piece_fits_at_no_corner() -> None:
    wall = outline_of([0, 800, 800 + 900j, 300j])
    found = lettered_as(wall, wall)
    assert any(abs(found.edge(edge.name).length - edge.length) > 6 for edge in wall.edges)


def test_a_mate_of_another_number_of_corners_comes_back_as_it_is() -> None:
    triangle = outline_of([0, 600, 600j])
    assert lettered_as(SQUARE, triangle) is triangle

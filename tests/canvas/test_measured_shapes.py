"""Any piece that can be sewn, measured in each of the three ways, comes out as the piece that it was."""

import math
from decimal import Decimal

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from app.canvas.rules import EdgeSaid, How, Measured, draft_of, lettered_as, mirrored, to_sew
from app.canvas.said import diagonals_of, fields_of
from app.trade.canvas.allowances import Shrink
from app.trade.canvas.outline import Outline, outline_of

PLACES = Decimal("0.000001")


@st.composite
def convex(draw: st.DrawFn, least: int = 3, most: int = 7) -> Outline:
    """A convex piece: corners on an ellipse with its longer axis 2 to 3 m, none near another."""
    count = draw(st.integers(least, most))
    gaps = [draw(st.floats(0.7, 1.3)) for _ in range(count)]
    wide, high = draw(st.floats(1000, 1500)), draw(st.floats(600, 1000))
    turns = [2 * math.pi * sum(gaps[:at]) / sum(gaps) for at in range(count)]
    return outline_of([complex(wide * math.cos(turn), high * math.sin(turn)) for turn in turns])


def typed(mm: Decimal | float) -> str:
    return f"{Decimal(mm).quantize(PLACES):f}"


def by_tape(piece: Outline, unit: str = "mm") -> Measured:
    """All sides and every diagonal that the form offers, as a perfect tape would read them."""
    per = Decimal("25.4") if unit == "in" else Decimal(1)
    count = len(piece.corners)
    names = fields_of(Measured(How.TAPE, count, {}))
    lengths = {name: typed(piece.length(*name.split("-")) / per) for name in names}
    return Measured(How.TAPE, count, lengths, unit)


def by_places(piece: Outline) -> Measured:
    at = {f"{it.name}-{axis}": typed(getattr(it, axis)) for it in piece.corners for axis in "xy"}
    return Measured(How.COORDINATES, len(piece.corners), at)


def by_angles(piece: Outline) -> Measured:
    sides = {edge.name: typed(edge.length) for edge in piece.edges}
    angles = {name: typed(angle) for name, angle in piece.angles.items()}
    return Measured(How.ANGLES, len(piece.corners), sides | angles)


def laid(measured: Measured) -> Outline:
    draft = draft_of(measured)
    assert draft.outline is not None
    assert [problem.says for problem in draft.problems if not problem.ask] == []
    return draft.outline


def alike(one: Outline, other: Outline) -> None:
    """The same piece, wherever it lies: every length between two corners, and the way round."""
    names = [corner.name for corner in one.corners]
    for name in names:
        for there in names:
            assert float(one.length(name, there)) == pytest.approx(float(other.length(name, there)), abs=0.05)
    assert one.signed_area * other.signed_area > 0


@settings(max_examples=40, deadline=None)
@given(convex())
def test_a_perfect_tape_gives_the_piece_back(piece: Outline) -> None:
    alike(laid(by_tape(piece)), piece)


@settings(max_examples=20, deadline=None)
@given(convex())
def test_inches_and_millimetres_give_the_same_piece(piece: Outline) -> None:
    alike(laid(by_tape(piece, "in")), laid(by_tape(piece)))


@settings(max_examples=40, deadline=None)
@given(convex())
def test_coordinates_give_the_piece_back(piece: Outline) -> None:
    alike(laid(by_places(piece)), piece)


@settings(max_examples=40, deadline=None)
@given(convex())
def test_sides_and_angles_give_the_piece_back(piece: Outline) -> None:
    alike(laid(by_angles(piece)), piece)


LEANING = outline_of([1000, 365 + 855j, -733 + 624j, -733 - 624j, 365 - 855j])  # E stands on B and D


@settings(max_examples=40, deadline=None)
@given(convex())
@example(LEANING)
def test_every_spare_length_of_a_perfect_tape_closes(piece: Outline) -> None:
    draft = draft_of(by_tape(piece))
    count = len(piece.corners)
    spare = count + len(diagonals_of(count)) - (2 * count - 3)
    assert len(draft.closures) == spare
    assert all(abs(closure.off) < Decimal("0.05") for closure in draft.closures)


@settings(max_examples=30, deadline=None)
@given(convex(least=5), st.data())
def test_one_length_read_wrong_by_a_hand_is_never_a_piece_to_cut(piece: Outline, data: st.DataObject) -> None:
    measured = by_tape(piece)
    name = data.draw(st.sampled_from(sorted(measured.typed)))
    wrong = Measured(
        How.TAPE,
        measured.corners,
        {**measured.typed, name: typed(Decimal(measured.typed[name]) + 100)},
    )
    assert not draft_of(wrong).stands


@settings(max_examples=40, deadline=None)
@given(convex())
def test_the_mirror_of_the_mirror_is_the_piece(piece: Outline) -> None:
    twice = mirrored(mirrored(draft_of(by_places(piece)))).outline
    assert twice is not None
    alike(twice, piece)
    assert [it.name for it in twice.corners] == [it.name for it in piece.corners]


@settings(max_examples=40, deadline=None)
@given(convex(), st.integers(0, 6))
def test_a_mirror_lettered_from_any_corner_is_found_to_fit(piece: Outline, first: int) -> None:
    corners = [corner.number for corner in piece.mirrored().corners]
    at = first % len(corners)
    found = lettered_as(piece, outline_of([*corners[at:], *corners[:at]]))
    for edge in piece.edges:
        assert float(found.edge(edge.name).length) == pytest.approx(float(edge.length), abs=0.01)


@settings(max_examples=40, deadline=None)
@given(convex(), st.floats(1, 60))
def test_an_even_seam_all_round_is_the_mitred_offset_of_shapely(piece: Outline, seam: float) -> None:
    edges = {edge.name: EdgeSaid("plain", typed(seam)) for edge in piece.edges}
    found = to_sew(piece, edges, Shrink()).cut
    assert found is not None
    wanted = shapely.Polygon(piece.ring).buffer(seam, join_style="mitre", mitre_limit=3)
    sharp = min(float(angle) for angle in piece.angles.values())
    if sharp > 45:  # sharper corners are cut square across by a rule of our own
        assert shapely.Polygon(found.cut.ring).area == pytest.approx(wanted.area, rel=1e-6)


@settings(max_examples=40, deadline=None)
@given(convex(), st.decimals(0, 10, places=1), st.decimals(0, 5, places=1))
def test_what_shrinks_comes_back_to_the_finished_area(piece: Outline, warp: Decimal, weft: Decimal) -> None:
    # An area shrinks by the product of both shares, whichever way the piece lies.
    edges = {edge.name: EdgeSaid("bound") for edge in piece.edges}
    found = to_sew(piece, edges, Shrink(warp, weft, Decimal(30))).cut
    assert found is not None
    left = found.cut.area * (1 - warp / 100) * (1 - weft / 100)
    assert float(left) == pytest.approx(float(piece.area), rel=1e-6)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_cloth_that_shrinks_along_the_warp_only_grows_the_side_along_it(turn: int) -> None:
    # 1,000 by 600 at 3 percent along: 1000 / 0.97 = 1030.93, or 600 / 0.97 = 618.56 across.
    piece = outline_of([0, 1000, 1000 + 600j, 600j])
    edges = {edge.name: EdgeSaid("bound") for edge in piece.edges}
    found = to_sew(piece, edges, Shrink(Decimal(3), Decimal(0), Decimal(turn))).cut
    assert found is not None
    wanted = (1030.928, 600) if turn % 180 == 0 else (1000, 618.557)
    assert (float(found.cut.width), float(found.cut.height)) == pytest.approx(wanted, abs=0.01)

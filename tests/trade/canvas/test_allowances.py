"""From finished to cut: shapely's mitred buffer as reference, folds by paper folding, field manual hems."""

import math
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import affine_transform
from shapely.geometry import Point, Polygon

from app.trade.canvas.allowances import (
    NO_SHRINK,
    Allowance,
    CutPiece,
    EdgeKind,
    Shrink,
    cut_piece,
    grow,
    notches,
    snip,
    usual_allowance,
)
from app.trade.canvas.faults import crossings
from app.trade.canvas.outline import Outline, outline_of
from app.trade.problems import Impossible
from tests.trade.canvas.shapes import CONVEX, NOTCHED

WALL = outline_of([0, 1200, 1200 + 900j, 700j])


def cut(outline: Outline, *mm: str, kind: EdgeKind = EdgeKind.PLAIN, shrink: Shrink = NO_SHRINK) -> CutPiece:
    named = zip(outline.edges, mm, strict=True)
    return cut_piece(outline, {edge.name: Allowance(kind, Decimal(it)) for edge, it in named}, shrink)


def places(outline: Outline) -> list[tuple[float, float]]:
    return [(round(float(it.x), 3), round(float(it.y), 3)) for it in outline.corners]


def shape_of(outline: Outline) -> Polygon:
    return Polygon([(float(it.x), float(it.y)) for it in outline.corners])


def test_unlike_allowances_move_each_edge_by_its_own() -> None:
    # By hand: bottom to y = -50, right to x = 1215, left to x = -25; the sloping top, 1 up in 6, moves up by
    # 15 sqrt(37)/6 = 15.207: at x = 1215 it is 700 + 1215/6 + 15.207, at x = -25 700 - 25/6 + 15.207.
    found = cut(WALL, "50", "15", "15", "25")
    assert places(found.cut) == [(-25, -50), (1215, -50), (1215, 917.707), (-25, 711.040)]
    assert round(found.cut.area, 1) == Decimal("1071823.2")  # trapezium 1240 wide, 967.707 and 761.040 high
    assert not found.problems


def test_like_allowances_are_shapelys_mitred_buffer() -> None:
    found = cut(WALL, "15", "15", "15", "15").cut
    assert float(found.area) == pytest.approx(shape_of(WALL).buffer(15, join_style="mitre").area)


@settings(deadline=None)
@given(st.lists(st.integers(20, 100), min_size=3, max_size=8), st.integers(300, 2000), st.integers(0, 60))
def test_any_blunt_piece_is_shapelys_mitred_buffer(steps: list[int], radius: int, out: int) -> None:
    """Corners on an ellipse: convex, and where no corner is sharp nothing is cut across."""
    angles = [2 * math.pi * sum(steps[:at]) / sum(steps) for at in range(len(steps))]
    outline = outline_of([complex(radius * math.cos(it), 0.7 * radius * math.sin(it)) for it in angles])
    if min(outline.angles.values()) < 45:
        return
    found = cut(outline, *[str(out)] * len(steps)).cut
    buffered = shape_of(outline).buffer(out, join_style="mitre", mitre_limit=10)
    assert float(found.area) == pytest.approx(buffered.area, rel=1e-6)


def test_an_inward_corner_moves_into_its_notch() -> None:
    notched = outline_of([0, 2000, 2000 + 1000j, 1000 + 1000j, 1000 + 2000j, 2000j])
    found = cut(notched, *["20"] * 6).cut
    assert places(found)[3] == (1020, 1020)  # by hand: outward is up and to the right there
    assert float(found.area) == pytest.approx(shape_of(notched).buffer(20, join_style="mitre").area)


@pytest.mark.parametrize(("apex", "corners"), [(60, 3), (39.5, 3), (38, 4), (15, 4)])
def test_a_sharp_corner_is_cut_square_across(apex: float, corners: int) -> None:
    """A mitre reaches e / sin(t/2): 3 e at 38.94 degrees; sharper corners end at 2 e."""
    half = math.radians(apex / 2)
    flag = outline_of(
        [0, 2000 * complex(math.cos(half), -math.sin(half)), 2000 * complex(math.cos(half), math.sin(half))]
    )
    found = cut(flag, "15", "15", "15").cut
    assert len(found.corners) == corners
    reach = min(float(it.x) for it in found.corners)
    assert reach == pytest.approx(-30 if corners == 4 else -15 / math.sin(half))


def test_no_cut_corner_lies_nearer_than_its_allowance() -> None:
    found = cut(outline_of([0, 1500 - 120j, 1500 + 120j]), "15", "15", "15")
    ring = shape_of(found.cut)
    assert ring.contains(shape_of(found.finished))
    for edge in found.finished.edges:
        middle = Point(*(float(it) for it in edge.middle))
        assert ring.exterior.distance(middle) == pytest.approx(15)


def test_a_hem_folds_back_onto_a_slanting_side() -> None:
    """Fold the cut piece along its hem line: the flap must lie exactly inside the cut piece."""
    piece = outline_of([0, 1000, 800 + 600j, 200 + 600j])
    kinds = {"A-B": EdgeKind.HEM, "B-C": EdgeKind.PLAIN, "C-D": EdgeKind.PLAIN, "A-D": EdgeKind.PLAIN}
    allowances = {name: Allowance(kind, usual_allowance(kind)) for name, kind in kinds.items()}
    ring = shape_of(cut_piece(piece, allowances).cut)
    below = ring.intersection(Polygon([(-500, 0), (2000, 0), (2000, -100), (-500, -100)]))
    folded = affine_transform(below, [1, 0, 0, -1, 0, 0])  # mirrored about y = 0
    above = ring.intersection(Polygon([(-500, 0), (2000, 0), (2000, 38), (-500, 38)]))
    assert folded.symmetric_difference(above).area < 0.01
    assert below.area == pytest.approx(above.area)


def test_a_hem_at_square_corners_needs_no_extra_corners() -> None:
    found = cut_piece(
        outline_of([0, 900, 900 + 500j, 500j]),
        {
            "A-B": Allowance(EdgeKind.HEM, Decimal(38)),
            "B-C": Allowance(EdgeKind.PLAIN, Decimal(13)),
            "C-D": Allowance(EdgeKind.HEM, Decimal(38)),
            "A-D": Allowance(EdgeKind.PLAIN, Decimal(13)),
        },
    )
    assert places(found.cut) == [(-13, -38), (913, -38), (913, 538), (-13, 538)]
    assert [it.name for it in found.cut.corners] == ["A", "B", "C", "D"]


def test_a_corner_taped_hardly_out_of_square_needs_none_either() -> None:
    """Half a millimetre at the fold is no cut of its own: 38 deep, 5 in 1,000 out of square is 0.38."""
    for lean, corners in ((5, 4), (9, 6)):
        leaning = outline_of([0, 900, complex(900 + lean, 1000), complex(lean, 1000)])
        kinds = {"A-B": EdgeKind.HEM, "B-C": EdgeKind.PLAIN, "C-D": EdgeKind.PLAIN, "A-D": EdgeKind.PLAIN}
        allowances = {name: Allowance(kind, usual_allowance(kind)) for name, kind in kinds.items()}
        assert len(cut_piece(leaning, allowances).cut.corners) == corners


def test_two_hems_that_meet_are_mitred() -> None:
    found = cut(outline_of([0, 900, 900 + 500j, 500j]), *["38"] * 4, kind=EdgeKind.HEM).cut
    assert places(found) == [(-38, -38), (938, -38), (938, 538), (-38, 538)]


def test_edges_in_one_line_step_where_their_allowances_differ() -> None:
    found = cut(outline_of([0, 500, 1000, 1000 + 400j, 400j]), "10", "30", "0", "0", "0").cut
    assert places(found) == [(0, -10), (500, -10), (500, -30), (1000, -30), (1000, 400), (0, 400)]
    level = cut(outline_of([0, 500, 1000, 1000 + 400j, 400j]), "10", "10", "0", "0", "0").cut
    assert len(level.corners) == 5


def test_no_allowance_leaves_the_piece_as_it_is() -> None:
    found = cut(WALL, "0", "0", "0", "0", kind=EdgeKind.BOUND)
    assert places(found.cut) == places(WALL)
    assert not found.problems


@pytest.mark.parametrize(
    ("kind", "mm"),
    [
        (EdgeKind.HEM, "38"),  # FM 10-16, chapter 8: 1/2 in turned under and 1 in hem, 1 1/2 in = 38.1 mm
        (EdgeKind.FELLED_SMALL, "16"),  # common practice: 5/8 in = 15.9 mm
        (EdgeKind.FELLED_LARGE, "29"),  # common practice: 1 1/8 in = 28.6 mm
        (EdgeKind.PLAIN, "13"),  # common practice: 1/2 in
        (EdgeKind.ZIPPER, "13"),
        (EdgeKind.BOUND, "0"),
    ],
)
def test_usual_allowances(kind: EdgeKind, mm: str) -> None:
    assert usual_allowance(kind) == Decimal(mm)
    assert kind.word


def test_a_pocket_goes_half_round_its_pole() -> None:
    # By hand: 25 pi / 2 = 39.3, 6 of ease, 13 turned under.
    assert usual_allowance(EdgeKind.POCKET, Decimal(25)) == Decimal("58.3")


@pytest.mark.parametrize("pole", [None, Decimal(0), Decimal(-25), Decimal(101)])
def test_a_pocket_without_a_pole_is_refused(pole: Decimal | None) -> None:
    with pytest.raises(Impossible, match="diameter of its pole"):
        usual_allowance(EdgeKind.POCKET, pole)


@pytest.mark.parametrize("mm", ["-1", "NaN", "Infinity"])
def test_an_allowance_is_nothing_or_more(mm: str) -> None:
    with pytest.raises(Impossible):
        Allowance(EdgeKind.PLAIN, Decimal(mm))


def test_unlikely_allowances_are_asked_about_with_their_edge() -> None:
    told = cut(WALL, "76", "15", "0", "75").problems
    assert [(it.field, it.ask) for it in told] == [("A-B", True), ("C-D", True)]
    assert "no allowance for a plain seam" in told[1].says


def test_every_edge_needs_its_allowance() -> None:
    with pytest.raises(KeyError):
        cut_piece(WALL, {"A-B": Allowance(EdgeKind.PLAIN, Decimal(13))})


def test_shrinkage_divides_and_does_not_multiply() -> None:
    # By hand: 2000 / 0.97 = 2061.86; 2000 times 1.03 would be 2060 and come out short.
    strip = outline_of([0, 2000, 2000 + 500j, 500j])
    assert round(grow(strip, Shrink(Decimal(3))).width, 2) == Decimal("2061.86")
    assert grow(strip, Shrink(Decimal(3))).height == 500
    upright = Shrink(Decimal(3), warp_angle=Decimal(90))
    assert round(grow(strip, upright).height, 2) == Decimal("515.46")  # 500 / 0.97
    assert round(grow(strip, upright).width, 2) == 2000


def test_a_slanting_line_grows_along_both_threads() -> None:
    # By hand: (1000, 1000) with 3 and 1 percent is (1030.93, 1010.10), so 1443.30 long.
    square = grow(outline_of([0, 1000, 1000 + 1000j, 1000j]), Shrink(Decimal(3), Decimal(1)))
    assert round(square.length("A", "C"), 2) == Decimal("1443.30")


def test_the_washed_piece_has_its_finished_size_again() -> None:
    shrink = Shrink(Decimal("2.5"), Decimal("0.5"), Decimal(30))
    way = complex(math.cos(math.radians(30)), math.sin(math.radians(30)))
    for corner, grown in zip(WALL.corners, grow(WALL, shrink).corners, strict=True):
        along = grown.number / way
        washed = complex(along.real * 0.975, along.imag * 0.995) * way  # what the cloth loses
        assert abs(washed - corner.number) < 1e-6


def test_allowances_are_added_after_the_growth() -> None:
    strip = outline_of([0, 2000, 2000 + 500j, 500j])
    found = cut(strip, *["13"] * 4, shrink=Shrink(Decimal(3))).cut
    assert round(found.width, 2) == Decimal("2087.86")  # 2061.86 and 13 on either side


@pytest.mark.parametrize(("warp", "weft"), [("20", "0"), ("-1", "0"), ("0", "20"), ("0", "-0.1")])
def test_impossible_shrinkage_is_refused(warp: str, weft: str) -> None:
    with pytest.raises(Impossible, match="shrink"):
        Shrink(Decimal(warp), Decimal(weft))


@pytest.mark.parametrize(
    ("warp", "weft", "count"), [("5", "2", 0), ("6", "2", 1), ("1", "2", 1), ("6", "7", 2)]
)
def test_unlikely_shrinkage_is_asked_about(warp: str, weft: str, count: int) -> None:
    told = Shrink(Decimal(warp), Decimal(weft)).problems
    assert len(told) == count
    assert all(it.ask and it.field == "shrink" for it in told)


def test_a_cut_piece_does_not_cross_itself() -> None:
    found = cut(outline_of([0, 1000, 800 + 600j, 200 + 600j]), "38", "13", "29", "13", kind=EdgeKind.HEM)
    assert not crossings(found.cut)


@pytest.mark.parametrize(("mm", "shares"), [(599, [0.5]), (600, [0.25, 0.5, 0.75])])
def test_long_seams_get_notches_at_the_quarters(mm: int, shares: list[float]) -> None:
    """Common practice: half points, and quarter points on long seams."""
    strip = outline_of([0, mm, complex(mm, 300), 300j])
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(13)) for edge in strip.edges}
    found = notches(strip, allowances, "A-B")
    assert [float(it.start.x) for it in found] == [pytest.approx(share * mm) for share in shares]
    assert all((it.start.y, it.end.y) == (0, -13) for it in found)


def test_notches_of_matching_edges_lie_over_each_other() -> None:
    wall = outline_of([0, 2000, 1900 + 900j, 900j])
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(13)) for edge in wall.edges}
    here = notches(wall, allowances, "B-C")
    there = notches(wall.mirrored(), allowances, "B-C")
    edge = wall.edge("B-C")
    from_start = [abs(it.start.number - edge.start.number) for it in here]
    mate = wall.mirrored().edge("B-C")
    from_end = [abs(it.start.number - mate.end.number) for it in there]
    assert from_start == [pytest.approx(it) for it in reversed(from_end)]


@pytest.mark.parametrize(("allowance", "deep"), [(38, 6), (13, 6), (12, 6), (8, 4)])
def test_a_notch_is_cut_in_from_the_cut_line_and_stays_clear_of_the_seam(allowance: int, deep: int) -> None:
    """Common practice, from memory: 6 mm (1/4 in) at most, and no more than half of the allowance."""
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(allowance)) for edge in WALL.edges}
    (first, *_) = notches(WALL, allowances, "A-B")
    found = snip(first)
    assert found.end == first.end
    assert (float(found.start.x), float(found.start.y)) == (300, pytest.approx(deep - allowance))


def half_planes(outline: Outline, out: dict[str, int]) -> Polygon:
    """What unlike allowances leave of the plane, edge by edge: only for convex outlines."""
    kept = Polygon([(-9999, -9999), (9999, -9999), (9999, 9999), (-9999, 9999)])
    for edge in outline.edges:
        start, end = edge.start.number, edge.end.number
        way = (end - start) / abs(end - start)
        line = start - 1j * way * out[edge.name]
        corners = [
            line - 30000 * way,
            line + 30000 * way,
            line + 30000 * way * (1 + 1j),
            line - 30000 * way * (1 - 1j),
        ]
        kept = kept.intersection(Polygon([(it.real, it.imag) for it in corners]))
    return kept


@settings(deadline=None)
@given(CONVEX, st.lists(st.integers(0, 60), min_size=7, max_size=7))
def test_unlike_allowances_are_what_the_moved_edges_leave(outline: Outline, mm: list[int]) -> None:
    """Edge by edge in shapely, where no corner is sharp enough to be cut across."""
    out = {edge.name: it for edge, it in zip(outline.edges, mm, strict=False)}
    allowances = {name: Allowance(EdgeKind.PLAIN, Decimal(it)) for name, it in out.items()}
    found = cut_piece(outline, allowances).cut
    if len(found.corners) == len(outline.corners):
        assert shape_of(found).symmetric_difference(half_planes(outline, out)).area < 1


@settings(deadline=None)
@given(st.integers(-500, 500), st.integers(-500, 500), st.integers(5, 60), st.integers(0, 30))
def test_any_hem_folds_back_onto_its_own_piece(left: int, right: int, hem: int, side: int) -> None:
    """The bottom of a slanting wall, folded up about its hem line, covers just what lies over it."""
    wall = outline_of([0, 1500, complex(1500 + right, 900), complex(left, 900)])
    allowances = {
        "A-B": Allowance(EdgeKind.HEM, Decimal(hem)),
        "B-C": Allowance(EdgeKind.PLAIN, Decimal(side)),
        "C-D": Allowance(EdgeKind.PLAIN, Decimal(0)),
        "A-D": Allowance(EdgeKind.PLAIN, Decimal(side)),
    }
    ring = shape_of(cut_piece(wall, allowances).cut)
    below = ring.intersection(Polygon([(-3000, 0), (5000, 0), (5000, -hem), (-3000, -hem)]))
    above = ring.intersection(Polygon([(-3000, 0), (5000, 0), (5000, hem), (-3000, hem)]))
    folded = affine_transform(below, [1, 0, 0, -1, 0, 0])
    assert folded.symmetric_difference(above).area < 2 * hem + 1  # half a millimetre at either side is let go


@settings(deadline=None)
@given(CONVEX | NOTCHED, st.integers(0, 40), st.integers(0, 40), st.integers(0, 179))
def test_a_washed_piece_is_the_finished_one(outline: Outline, warp: int, weft: int, angle: int) -> None:
    shrink = Shrink(Decimal(warp) / 10, Decimal(weft) / 10, Decimal(angle))
    grown = grow(outline, shrink)
    way = complex(math.cos(math.radians(angle)), math.sin(math.radians(angle)))
    for corner, larger in zip(outline.corners, grown.corners, strict=True):
        along = larger.number / way
        washed = complex(along.real * (1 - warp / 1000), along.imag * (1 - weft / 1000)) * way
        assert abs(washed - corner.number) < 1e-5
    # The area shrinks by both shares, whichever way the warp runs.
    kept = (1 - Decimal(warp) / 1000) * (1 - Decimal(weft) / 1000)
    assert float(grown.area * kept) == pytest.approx(float(outline.area), rel=1e-6)


@settings(deadline=None)
@given(CONVEX)
def test_a_mirrored_piece_is_cut_as_the_mirror(outline: Outline) -> None:
    allowances = {
        edge.name: Allowance(EdgeKind.HEM if at == 0 else EdgeKind.PLAIN, Decimal(10 + at))
        for at, edge in enumerate(outline.edges)
    }
    here = cut_piece(outline, allowances).cut.mirrored()
    there = cut_piece(outline.mirrored(), allowances).cut.at_origin()
    assert shape_of(here).symmetric_difference(shape_of(there)).area < 1


def test_allowances_keep_a_notch_open() -> None:
    """Inward corners move into the notch from both sides; it closes where it is narrower than they are."""
    slot = outline_of([0, 1000, 1000 + 800j, 530 + 800j, 500 + 200j, 470 + 800j, 800j])
    found = cut(slot, *["10"] * 7).cut
    assert not crossings(found)
    assert float(found.area) == pytest.approx(shape_of(slot).buffer(10, join_style="mitre").area, rel=0.001)


@pytest.mark.parametrize(("mm", "fits"), [(8, True), (60, False)])
def test_a_notch_narrower_than_its_allowances_is_refused(mm: int, fits: bool) -> None:
    # 20 wide at its mouth and 100 deep: with 60 on both sides its cut lines cross beyond the mouth.
    notched = outline_of([0, 600, 600 + 400j, 310 + 400j, 300 + 300j, 290 + 400j, 400j])
    allowances = {edge.name: Allowance(EdgeKind.PLAIN, Decimal(mm)) for edge in notched.edges}
    if fits:
        cut = cut_piece(notched, allowances).cut
        assert Polygon(cut.ring).is_valid
        return
    with pytest.raises(Impossible, match="larger than the piece"):
        cut_piece(notched, allowances)

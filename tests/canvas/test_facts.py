"""What follows from the rows of a canvas order: outlines, cut pieces, versions, what holds it back."""

from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound

from app.canvas import facts, said, steps
from app.canvas.facts import PieceRead
from app.canvas.rules import How
from app.canvas.tables import CanvasPart, CanvasPiece, CanvasSeam
from app.ground.book import reading
from app.ground.series import LETTERS
from app.trade.canvas.readiness import Kind
from tests.canvas import loft
from tests.conftest import NOON, act

EDGES = ("A-B", "B-C", "C-D", "A-D")


def only(book: Engine, key: int) -> PieceRead:
    (found,) = loft.read(book, key).pieces
    return found


def cloth(shrink: str) -> CanvasPart:
    return CanvasPart(
        created_at=NOON, canvas_order_id=1, kind=Kind.CLOTH, place="wall", known={"shrink": shrink}
    )


def test_a_number_names_an_order() -> None:
    assert [facts.canvas_number(key) for key in (1, 12, 12345)] == ["K-0001", "K-0012", "K-12345"]


def test_an_order_that_is_not_there_is_not_found(book: Engine) -> None:
    with reading(book) as session, pytest.raises(NoResultFound):
        facts.canvas_order(session, 1)


def test_the_orders_of_a_work_order_are_its_own_the_oldest_first(book: Engine) -> None:
    first = loft.opened(book)
    order_id = loft.read(book, first).head.order_id
    second = steps.open_order(book, act(), order_id)
    other = loft.opened(book)
    with reading(book) as session:
        assert [it.key for it in facts.canvas_orders(session, order_id)] == [first, second]
        assert [it.key for it in facts.canvas_orders(session, loft.read(book, other).head.order_id)] == [
            other
        ]
        assert facts.canvas_orders(session, 99) == []


@pytest.mark.parametrize(
    ("text", "warp", "weft"),
    [("3 and 1", "3", "1"), ("none", "0", "0"), ("a little", "0", "0"), ("", "0", "0")],
)
def test_a_cloth_shrinks_by_what_was_measured(text: str, warp: str, weft: str) -> None:
    found = facts.shrink_of(cloth(text), Decimal(90))
    assert (found.warp, found.weft, found.warp_angle) == (Decimal(warp), Decimal(weft), Decimal(90))


def test_a_piece_without_a_cloth_is_cut_unshrunk(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key)
    edges = {side: {"kind": "plain", "added": "10"} for side in EDGES}
    steps.save_edges(book, act(seen=1), made, said.EdgesSaid(edges, {}, None, "0", 1))
    piece = only(book, key)
    assert piece.cut is not None
    # 400 by 300 with 10 on every side, within the tape's own rounding.
    assert float(piece.cut.cut.width) == pytest.approx(420, abs=0.01)
    assert float(piece.cut.cut.height) == pytest.approx(320, abs=0.01)
    assert piece.cloth == ""


def test_allowances_are_those_of_every_edge(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key)
    kinds = {"A-B": "hem", "B-C": "felled_small", "C-D": "felled_large", "A-D": "bound"}
    edges = {side: {"kind": kind} for side, kind in kinds.items()}
    steps.save_edges(book, act(seen=1), made, said.EdgesSaid(edges, {}, None, "0", 1))
    found = facts.allowances_of(only(book, key))
    # Hem 1 1/2 in (FM 10-16, chapter 8); felled 5/8 and 1 1/8 in, common practice; to a millimetre.
    inches = {"A-B": "1.5", "B-C": "0.625", "C-D": "1.125", "A-D": "0"}
    for side, inch in inches.items():
        assert abs(found[side].mm - Decimal(inch) * Decimal("25.4")) < 1, side


def test_allowances_larger_than_the_piece_are_told_and_cut_nothing(book: Engine) -> None:
    # A notch 100 deep and 20 wide cannot take 60 on both its sides: the moved edges swallow it.
    at = {"A": (0, 0), "B": (600, 0), "C": (600, 400), "D": (310, 400), "E": (300, 300), "F": (290, 400)}
    corners = {**at, "G": (0, 400)}
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Patch", How.COORDINATES, 7))
    typed = {f"{name}-{axis}": str(place[axis == "y"]) for name, place in corners.items() for axis in "xy"}
    steps.save_measures(book, act(), made, said.PieceSaid("Patch", typed, []))
    sides = ("A-B", "B-C", "C-D", "D-E", "E-F", "F-G", "A-G")
    edges = {side: {"kind": "plain", "added": "60"} for side in sides}
    steps.save_edges(book, act(seen=1), made, said.EdgesSaid(edges, {}, None, "0", 1))
    piece = only(book, key)
    assert piece.draft.stands
    assert piece.cut is None
    assert [problem.says for problem in piece.problems] == ["These allowances are larger than the piece"]


def test_a_draft_has_no_cut_size(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key, typed={**loft.WALL, "B-D": "560"})
    loft.sewn(book, made, loft.cloth(book, key))
    piece = only(book, key)
    assert piece.finished is not None
    assert piece.cut is None
    assert piece.edge_problems == ()  # its measures come first


def test_the_mirror_of_a_piece_taken_off_says_so(book: Engine) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    with reading(book) as session:  # as if the rule of steps had been older than the row
        row = session.get_one(CanvasPiece, wall)
        row.taken_off = True
        session.flush()
        found = facts.canvas_order(session, key).piece(mate)
    assert found is not None
    assert found.finished is None
    assert "taken off" in found.problems[0].says


def test_the_warp_of_a_mirror_is_mirrored_too(book: Engine) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    steps.save_edges(book, act(seen=1), wall, said.EdgesSaid({}, {}, None, "30", 2))
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    found = loft.read(book, key).piece(mate)
    assert found is not None
    assert (found.warp_angle, found.copies) == (Decimal(150), 2)  # 180 - 30: left and right are changed


@pytest.mark.parametrize(
    ("warp", "mirrored"), [("0", 180), ("90", 90), ("-90", -90), ("180", 0), ("-30", -150)]
)
def test_a_nap_that_runs_from_a_to_b_does_so_in_the_mirror(book: Engine, warp: str, mirrored: int) -> None:
    """By hand: left and right change places, so a way at an angle from x is at 180 less it in the mirror."""
    key = loft.opened(book)
    wall = loft.piece(book, key)
    steps.save_edges(book, act(seen=1), wall, said.EdgesSaid({}, {}, None, warp, 1))
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    found = loft.read(book, key).piece(mate)
    assert found is not None
    assert found.warp_angle == mirrored


def test_the_warp_is_counted_from_side_a_to_b_however_that_side_lies(book: Engine) -> None:
    """Coordinates with A to B upright, 300 mm; the warp along it, on cloth that shrinks 3 percent along.

    By hand: 300 / 0.97 + 2 x 38 is 385.3 upright, 400 + 2 x 38 across.
    """
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Front wall", How.COORDINATES))
    places = {"A": (400, 0), "B": (400, 300), "C": (0, 300), "D": (0, 0)}
    typed = {
        f"{name}-{axis}": f"{it}" for name, at in places.items() for axis, it in zip("xy", at, strict=True)
    }
    steps.save_measures(book, act(), made, said.PieceSaid("Front wall", typed, []))
    loft.sewn(book, made, loft.cloth(book, key))
    piece = only(book, key)
    assert piece.cut is not None
    assert piece.warp_angle == 90
    assert float(piece.cut.cut.height) == pytest.approx(385.28, abs=0.01)
    assert float(piece.cut.cut.width) == pytest.approx(476, abs=0.01)


def test_pieces_are_found_by_key_and_by_cloth(book: Engine) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    (piece,) = found.pieces
    assert found.piece(piece.key) is piece
    assert found.piece(99) is None
    assert found.of_cloth(piece.row.cloth_id or 0) == (piece,)
    assert found.of_cloth(99) == ()
    assert piece.mark == f"P{piece.key}"


def test_every_kind_of_change_raises_the_version(book: Engine) -> None:
    key = loft.ready(book)
    versions = [loft.read(book, key).version]

    def after() -> None:
        versions.append(loft.read(book, key).version)

    made = loft.piece(book, key, "Rear wall")
    after()
    steps.add_seam(book, act(), key, said.SeamSaid("corner", ["1:B-C"], [f"{made}:A-D"]))
    after()
    steps.take_seam_off(book, act(), 1)
    after()
    steps.take_piece_off(book, act(seen=1), made)
    after()
    steps.call_off(book, act(), key, "Sold")
    after()
    assert versions == sorted(set(versions))


def test_a_seam_knows_its_pieces() -> None:
    seam = CanvasSeam(
        created_at=NOON, canvas_order_id=1, name="ring", one=["1:A-B", "2:A-B"], other=["12:C-D"]
    )
    assert facts.pieces_in(seam) == {1, 2, 12}


def test_what_is_only_asked_is_to_be_confirmed(book: Engine) -> None:
    key = loft.ready(book)
    assert loft.read(book, key).stands == "Ready to be released"
    (piece,) = loft.read(book, key).pieces
    edges = {side: {"kind": "hem", "added": "90", "held": "sewn"} for side in EDGES}  # over 75 mm is much
    cloth_id = piece.row.cloth_id
    steps.save_edges(book, act(seen=2), piece.key, said.EdgesSaid(edges, dict(loft.SEEN), cloth_id, "0", 1))
    assert loft.read(book, key).stands == "4 things to be confirmed"
    edges["A-B"] = {"kind": "hem"}
    steps.save_edges(book, act(seen=3), piece.key, said.EdgesSaid(edges, dict(loft.SEEN), cloth_id, "0", 1))
    assert loft.read(book, key).stands == "1 thing holds it back"


def test_every_problem_of_a_piece_leads_to_its_piece(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key, typed={**loft.WALL, "B-D": "560"})
    fields = [problem.field for problem in loft.read(book, key).holds_back]
    assert f"piece-{made}.B-D" in fields
    assert f"piece-{made}.A-B.held" in fields


def test_no_other_paper_is_numbered_with_the_letter_of_canvas_orders() -> None:
    letter, _, _ = facts.canvas_number(1).partition("-")
    assert letter not in LETTERS.values()

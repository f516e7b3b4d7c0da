"""How orders stand on their pages: rows, links, sketches, texts of forms that read back as they were."""

import pytest
from sqlalchemy import Engine

from app.canvas import said, shown, steps
from app.canvas.facts import PieceRead, measured_of
from app.canvas.rules import How
from app.canvas.tables import CanvasPart
from app.trade.canvas.readiness import QUESTIONS, Kind
from app.trade.problems import Problem
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import NOON, act


def part(kind: Kind, **known: str) -> CanvasPart:
    return CanvasPart(id=7, created_at=NOON, canvas_order_id=1, kind=kind, place="front wall", known=known)


def read(book: Engine, made: int) -> PieceRead:
    found = loft.read(book, 1).piece(made)
    assert found is not None
    return found


# Parts


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind not in (Kind.PIECE, Kind.EDGE)])
def test_every_question_of_a_part_is_a_field_of_its_form(kind: Kind) -> None:
    asked = shown.asked_of(part(kind))
    assert [it.key for it in asked.new] == [it.key for it in QUESTIONS[kind]]
    assert all(it.label.endswith("?") for it in (*asked.new, *asked.old))
    assert {it.key for it in (*asked.new, *asked.old)} <= set(shown.part_texts(part(kind)))


def test_only_a_zipper_has_an_old_half() -> None:
    assert [kind for kind in Kind if shown.asked_of(part(kind)).old] == [Kind.ZIPPER]


def test_every_choice_of_a_question_may_be_left_open() -> None:
    for kind, key in said.CHOICES:
        (asked,) = [it for it in shown.asked_of(part(kind)).new if it.key == key]
        assert asked.options[0] == ("", "Not known yet")
        assert len(asked.options) == len(said.CHOICES[kind, key]) + 1


def test_a_parts_form_reads_back_as_it_was_kept() -> None:
    kept = part(Kind.ZIPPER, chain="8", teeth="coil")
    kept.old, kept.runs_with_old = {"chain": "10"}, True
    found = said.read_part(Texts(shown.part_texts(kept)), Kind.ZIPPER)
    assert (found.place, found.known, found.old) == ("front wall", kept.known, kept.old)
    assert found.runs_with_old


def test_a_row_counts_what_is_not_known_and_asks_the_next() -> None:
    row = shown.part_row(part(Kind.FASTENER, what="turn button", apart="200 mm"))
    assert (row.kind, row.place, row.open) == ("Fasteners", "front wall", 2)
    assert "kind of fastener: turn button; spacing: 200 mm" in row.said
    assert row.asks.startswith("Front wall: first from the corner")
    assert shown.part_row(part(Kind.FASTENER, what="none")).open == 0


@pytest.mark.parametrize(
    ("kind", "answers", "says"),
    [
        (Kind.WINDOW, {"film_thou": "20"}, "film thickness: 20 thousandths of an inch"),
        (Kind.CLOTH, {"shrink": "2 and 1"}, "shrinkage: 2 and 1 percent along and across"),
        (Kind.CLOTH, {"shrink": "none"}, "shrinkage: none"),
    ],
)
def test_a_bare_figure_is_said_with_what_it_counts(kind: Kind, answers: dict[str, str], says: str) -> None:
    assert shown.part_row(part(kind, **answers)).said == says


# What holds back


@pytest.mark.parametrize(
    ("field", "href"),
    [
        ("part-3.teeth", "/canvas/parts/3#teeth"),
        ("part-3-old.teeth", "/canvas/parts/3#old-teeth"),
        ("piece-1.outside", "/canvas/pieces/1#outside"),
        ("piece-1.A-B.held", "/canvas/pieces/1#held-A-B"),
        ("piece-1.A-B", "/canvas/pieces/1#kind-A-B"),  # nothing is said of its edges
        ("piece-1.C", "/canvas/pieces/1#C"),
        ("piece", "/canvas/1#add-piece"),
        ("cloth", "/canvas/1#add-part"),
        ("B-C", "/canvas/1#seams"),
    ],
)
def test_a_problem_leads_to_where_it_is_put_right(book: Engine, field: str, href: str) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    block = shown.block_of(loft.read(book, key), Problem(field, "Something is not known", "an answer"))
    assert block.href == href


# Pieces


def test_a_piece_says_how_far_it_has_come(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key, typed={})
    assert shown.piece_card(read(book, made)).stands == "Side A to B is missing"
    steps.save_measures(book, act(seen=1), made, said.PieceSaid("Front wall", dict(loft.WALL), []))
    card = shown.piece_card(read(book, made))
    assert card.stands.startswith("What is done with edge A to B")
    assert (card.wrong, card.cut) == (False, "")
    edges = {side: {"kind": "bound"} for side in ("A-B", "B-C", "C-D", "A-D")}
    steps.save_edges(book, act(seen=2), made, said.EdgesSaid(edges, {}, None, "0", 1))
    card = shown.piece_card(read(book, made))
    assert card.stands == "Measured, with its cut size"
    assert card.finished == card.cut  # a bound edge is raw: nothing is added
    assert card.area == "0.12 m²"  # 0.3 by 0.4


def test_a_size_is_told_in_both_units(book: Engine) -> None:
    key = loft.opened(book)
    card = shown.piece_card(read(book, loft.piece(book, key)))
    # 400 mm is 15.7 in and 300 mm 11.8 in: 25.4 mm to the inch.
    assert card.finished.replace("\u00a0", " ") == "400 mm (15.7 in) by 300 mm (11.8 in)"


def test_a_piece_taped_in_inches_is_drawn_in_inches(book: Engine) -> None:
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Door", How.TAPE, 4, "in"))
    tape = {"A-B": "24", "B-C": "70", "C-D": "24", "A-D": "70", "A-C": "74", "B-D": "74"}  # 12, 35, 37
    steps.save_measures(book, act(), made, said.PieceSaid("Door", tape, []))
    sketch = shown.piece_card(read(book, made)).sketch
    assert sketch is not None
    assert sorted(dimension.number for dimension in sketch.dimensions) == ["24.0", "24.0", "70.0", "70.0"]


def test_a_piece_without_an_outline_has_no_sketch(book: Engine) -> None:
    key = loft.opened(book)
    assert shown.piece_card(read(book, loft.piece(book, key, typed={}))).sketch is None


@pytest.mark.parametrize(
    ("how", "groups"),
    [
        (How.TAPE, {"Sides": 5, "Diagonals": 5}),
        (How.COORDINATES, {"Coordinates": 10}),
        (How.ANGLES, {"Sides": 5, "Inner angles": 5}),
    ],
)
def test_the_measures_of_a_pentagon_stand_in_groups(book: Engine, how: How, groups: dict[str, int]) -> None:
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Gable", how, 5))
    found = shown.measures_of(read(book, made))
    assert {head: len(measures) for head, measures in found.items()} == groups
    units = {
        measure.unit for head, measures in found.items() for measure in measures if head != "Inner angles"
    }
    assert units == {"mm"}


def test_a_mirror_has_no_measures_of_its_own(book: Engine) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    assert shown.measures_of(read(book, mate)) == {}
    card = shown.piece_card(read(book, mate))
    assert card.how == "Cut as the mirror of another piece"
    assert card.sketch is not None
    assert shown.measured_pieces(loft.read(book, key)) == [("", "None"), (str(wall), "Front wall")]


def test_a_mirror_is_not_said_to_be_measured(book: Engine) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    loft.sewn(book, wall, loft.cloth(book, key))
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    card = shown.piece_card(read(book, mate))
    assert (card.how, card.stands) == ("Cut as the mirror of another piece", "Mirrored, with its cut size")


def test_the_forms_of_a_piece_read_back_as_they_were_kept(book: Engine) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    measured = measured_of(piece.row)
    measures = said.read_piece(Texts(shown.piece_texts(piece)), measured, {})
    assert (measures.name, measures.typed) == ("Front wall", loft.WALL)
    cloths = {piece.row.cloth_id or 0: "wall cloth"}
    edges = said.read_edges(Texts(shown.edge_texts(piece)), measured.sides, cloths)
    assert edges.edges == piece.row.edges
    assert (edges.known, edges.cloth_id) == (loft.SEEN, piece.row.cloth_id)


def test_the_orders_own_form_reads_back_as_it_was_kept(book: Engine) -> None:
    key = loft.opened(book)
    own = said.OrderSaid("loft", "file", "More light", "Roof edge first", "Dry it")
    steps.save_order(book, act(), key, own)
    assert said.read_order(Texts(shown.order_texts(loft.read(book, key).row))) == own


def test_a_draft_has_no_finished_size_and_its_edges_no_length(book: Engine) -> None:
    key = loft.opened(book)
    good = read(book, loft.piece(book, key))
    bad = read(book, loft.piece(book, key, "Side wall", {**loft.WALL, "A-C": "900", "B-D": ""}))
    assert shown.piece_card(good).finished == "400 mm (15.7 in) by 300 mm (11.8 in)".replace(
        " mm", "\N{NO-BREAK SPACE}mm"
    ).replace(" in)", "\N{NO-BREAK SPACE}in)")
    assert shown.piece_card(bad).sketch is not None
    assert shown.piece_card(bad).finished == ""
    words = dict(shown.edges_of(loft.read(book, key)))
    assert words[f"{bad.key}:A-B"] == "A to B of Side wall, a draft"
    assert words[f"{good.key}:A-B"].startswith("A to B of Front wall, 400")

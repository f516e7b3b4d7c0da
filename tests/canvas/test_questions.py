"""Every question of an order that is ready, taken away, holds it back again, and nothing else does."""

import pytest
from sqlalchemy import Engine

from app.canvas import said, shown, steps
from app.trade.canvas.readiness import (
    CLOTH,
    FASTENER,
    FRAME,
    OPTION,
    ORDER,
    PIECE,
    WINDOW,
    ZIPPER,
    Kind,
    Question,
)
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import act

ALL_THERE = {
    Kind.WINDOW: {
        "film": "clear",
        "film_thou": "20",
        "screen": "18 by 16",
        "flap": "none",
        "size": "700 by 480",
    },
    Kind.ZIPPER: {
        "chain": "8",
        "teeth": "coil",
        "teeth_an_inch": "10",
        "length": "1,820 mm",
        "separating": "separating",
        "slider_side": "left",
        "pulls": "both",
    },
    Kind.FASTENER: {"what": "turn button", "first": "75 mm", "apart": "200 mm", "count": "9"},
    Kind.OPTION: {"what": "more privacy by darker cloth", "costs": "in the price"},
}
OF_FILE = "pattern"  # asked only where the shape comes from a pattern on file
MEASURED = tuple(question for question in ORDER if question.key != OF_FILE)
OWN = ((Kind.ORDER, MEASURED), (Kind.FRAME, FRAME), (Kind.CLOTH, CLOTH))
ADDED = ((Kind.WINDOW, WINDOW), (Kind.ZIPPER, ZIPPER), (Kind.FASTENER, FASTENER), (Kind.OPTION, OPTION))


def each(kinds: tuple[tuple[Kind, tuple[Question, ...]], ...]) -> list[tuple[Kind, str]]:
    return [(kind, question.key) for kind, questions in kinds for question in questions]


def hard(book: Engine, key: int) -> list[str]:
    return [problem.field for problem in loft.read(book, key).holds_back if not problem.ask]


def answered(book: Engine, part: int, kind: Kind, without: str = "") -> None:
    parts = loft.read(book, 1).parts
    (row,) = [it for it in parts if it.key == part]
    (cloth,) = [f"{it.key}" for it in parts if it.kind == Kind.CLOTH]
    known = {**ALL_THERE.get(kind, row.known), "at": cloth, without: ""}
    texts = Texts({**shown.part_texts(row), **known})
    read = said.read_part(texts, kind, shown.abouts_of(parts))
    steps.save_part(book, act(seen=row.revision), part, read)


@pytest.mark.parametrize(("kind", "question"), each(OWN))
def test_a_question_without_its_answer_holds_the_order_back(book: Engine, kind: Kind, question: str) -> None:
    key = loft.ready(book)
    assert hard(book, key) == []
    (part,) = loft.read(book, key).of_kind(kind)
    answered(book, part.key, kind, question)
    assert hard(book, key) == [f"part-{part.key}.{question}"]
    (told,) = [it for it in loft.read(book, key).holds_back if not it.ask]
    assert told.says.endswith("?")
    assert told.accepts


def test_a_pattern_on_file_is_named_before_it_is_cut_by(book: Engine) -> None:
    """Which pattern, and where it lies: asked of an order by a pattern on file, and of no other."""
    key = loft.ready(book)
    own = said.OrderSaid("here", "file", "", "", "")
    steps.save_order(book, act(), key, own)
    (part,) = loft.read(book, key).of_kind(Kind.ORDER)
    assert hard(book, key) == [f"part-{part.key}.pattern"]
    assert [row.asks for row in shown.part_rows(loft.read(book, key)) if row.key == part.key] == [
        "The order: pattern on file is not known. Which pattern is it, and where does it lie?"
    ]
    known = Texts({**shown.part_texts(part), "pattern": "12, drawer 3"})
    steps.save_part(book, act(seen=part.revision), part.key, said.read_part(known, Kind.ORDER))
    assert hard(book, key) == []


@pytest.mark.parametrize(("kind", "question"), each(ADDED))
def test_so_does_one_of_a_part_that_was_added(book: Engine, kind: Kind, question: str) -> None:
    key = loft.ready(book)
    part = steps.add_part(book, act(), key, kind, "front wall")
    assert len(hard(book, key)) == len(dict(ADDED)[kind])
    answered(book, part, kind)
    assert hard(book, key) == []
    answered(book, part, kind, question)
    assert hard(book, key) == [f"part-{part}.{question}"]


@pytest.mark.parametrize("kind", [Kind.ZIPPER, Kind.FASTENER])
def test_what_is_not_there_is_asked_no_further(book: Engine, kind: Kind) -> None:
    key = loft.ready(book)
    part = steps.add_part(book, act(), key, kind, "front wall")
    (first, *_) = dict(ADDED)[kind]
    steps.save_part(book, act(), part, said.PartSaid("front wall", {first.key: "none"}))
    assert hard(book, key) == []


@pytest.mark.parametrize("question", [it.key for it in PIECE if it.key not in ("cloth", "checked")])
def test_a_piece_says_which_face_is_out_and_who_measured_it_how(book: Engine, question: str) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    known = {name: text for name, text in loft.SEEN.items() if name != question}
    edges = said.EdgesSaid(dict(piece.row.edges), known, piece.row.cloth_id, "0", 1)
    steps.save_edges(book, act(seen=piece.row.revision), piece.key, edges)
    assert hard(book, key) == [f"piece-{piece.key}.{question}"]


def test_a_piece_without_its_cloth_holds_the_order_back(book: Engine) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    edges = said.EdgesSaid(dict(piece.row.edges), dict(loft.SEEN), None, "0", 1)
    steps.save_edges(book, act(seen=piece.row.revision), piece.key, edges)
    assert hard(book, key) == [f"piece-{piece.key}.cloth"]


@pytest.mark.parametrize("edge", ["A-B", "B-C", "C-D", "A-D"])
def test_an_edge_says_what_holds_it_and_what_is_done_with_it(book: Engine, edge: str) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    row = {**piece.row.edges, edge: {"kind": "hem"}}
    steps.save_edges(
        book, act(seen=2), piece.key, said.EdgesSaid(row, dict(loft.SEEN), piece.row.cloth_id, "0", 1)
    )
    assert hard(book, key) == [f"piece-{piece.key}.{edge}.held"]
    row = {**piece.row.edges, edge: {"held": "sewn"}}
    steps.save_edges(
        book, act(seen=3), piece.key, said.EdgesSaid(row, dict(loft.SEEN), piece.row.cloth_id, "0", 1)
    )
    assert hard(book, key) == [f"piece-{piece.key}.{edge}"]


@pytest.mark.parametrize("edge", sorted(loft.WALL))
def test_a_length_that_is_wrong_or_not_taken_holds_the_order_back(book: Engine, edge: str) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    for revision, typed in ((2, {**loft.WALL, edge: "560"}), (3, {**loft.WALL, edge: ""})):
        kept = {name: text for name, text in typed.items() if text}
        steps.save_measures(book, act(seen=revision), piece.key, said.PieceSaid("Front wall", kept, []))
        assert any(field.startswith(f"piece-{piece.key}.") for field in hard(book, key)), typed
        with pytest.raises(Refused):
            steps.release(book, act(seen=loft.read(book, key).version), key, [])
    steps.save_measures(book, act(seen=4), piece.key, said.PieceSaid("Front wall", dict(loft.WALL), []))
    assert hard(book, key) == []

"""Seams, rings and mates: lengths of two edges compared before cloth is cut. Limits are common practice."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from sqlalchemy import Engine

from app.canvas import said, shown, steps
from app.canvas.facts import SeamRead
from app.canvas.rules import How
from app.ground.acting import new_key
from app.ground.receipts import Stale
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
# A right triangle of 5, 12, 13 (Euclid's second triple), in hundreds of millimetres; and one 12 mm longer.
GABLE = {"A-B": "500", "B-C": "1200", "A-C": "1300"}


class Many:
    """A form whose fields repeat."""

    def __init__(self, **texts: str | list[str]) -> None:
        self.texts = {name: [text] if isinstance(text, str) else text for name, text in texts.items()}

    def get(self, name: str, default: str = "", /) -> str:
        return self.texts.get(name, [default])[-1]

    def all(self, name: str) -> list[str]:
        return self.texts.get(name, [])


def two_walls(book: Engine, *, other: str = "300") -> tuple[int, int, int]:
    """An order with two walls; the seam side of the second is `other` millimetres."""
    key = loft.opened(book)
    one = loft.piece(book, key)
    long = float(other)
    across = f"{(400**2 + long**2) ** 0.5:.3f}"  # Pythagoras
    typed = {**loft.WALL, "B-C": other, "A-D": other, "A-C": across, "B-D": across}
    return key, one, loft.piece(book, key, "Side wall", typed)


def seam_of(book: Engine, key: int) -> SeamRead:
    (found,) = loft.read(book, key).seams
    return found


def sewn(book: Engine, key: int, one: str, other: str, ease: str = "") -> int:
    return steps.add_seam(book, act(), key, said.SeamSaid("corner", [one], [other], ease))


def test_a_drawing_that_is_wrong_only_at_a_seam_says_what_is_heavy(book: Engine, signed: Signed) -> None:
    key, one, two = two_walls(book, other="320")
    toni, heavy = signed("Toni"), "what is wrong or asked is drawn heavy"
    assert heavy not in toni.get(f"/canvas/pieces/{one}").text
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    page = toni.get(f"/canvas/pieces/{one}").text
    assert ("Draft." in page, 'class="canvas-wrong"' in page, heavy in page) == (False, True, True)


@pytest.mark.parametrize(("other", "problems"), [("300", 0), ("305.9", 0), ("306.2", 1), ("293.5", 1)])
def test_two_edges_of_a_seam_are_equal_within_six_millimetres(
    book: Engine, other: str, problems: int
) -> None:
    key, one, two = two_walls(book, other=other)
    assert sewn(book, key, f"{one}:B-C", f"{two}:A-D") == key
    found = seam_of(book, key)
    assert len(found.problems) == problems
    for problem in found.problems:
        assert "B to C of Front wall" in problem.says
        assert "A to D of Side wall" in problem.says


def test_a_seam_that_differs_is_drawn_heavy_on_both_pieces(book: Engine) -> None:
    key, one, two = two_walls(book, other="320")
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    cards = [shown.piece_card(piece) for piece in loft.read(book, key).pieces]
    heavy = [[it.name for it in card.sketch.dimensions if it.wrong] for card in cards if card.sketch]
    assert heavy == [["B-C"], ["A-D"]]
    for card in cards:
        assert "A to D of Side wall is" in card.problems[-1].says
        assert not card.wrong  # each piece by itself is none


def test_an_ease_that_is_meant_is_no_fault(book: Engine) -> None:
    key, one, two = two_walls(book, other="320")
    sewn(book, key, f"{two}:A-D", f"{one}:B-C", ease="20")
    (asked,) = seam_of(book, key).problems
    assert asked.ask  # 20 of 300 is over 1 percent


def test_a_seam_that_differs_holds_the_order_back(book: Engine) -> None:
    key, one, two = two_walls(book, other="340")
    before = loft.read(book, key).holds_back
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    (new,) = [problem for problem in loft.read(book, key).holds_back if problem not in before]
    assert "longer than" in new.says


def test_a_seam_to_a_piece_without_an_outline_cannot_be_compared(book: Engine) -> None:
    key, one, two = two_walls(book)
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    steps.save_measures(book, act(seen=1), two, said.PieceSaid("Side wall", {}, []))
    (problem,) = seam_of(book, key).problems
    assert "cannot be compared" in problem.says


@pytest.mark.parametrize("drawn", [{"A-C": "540"}, {"A-C": "900"}, {"B-D": "530"}])
def test_a_seam_to_a_draft_is_not_compared_by_its_stretched_edges(
    book: Engine, drawn: dict[str, str]
) -> None:
    """A side wall whose tapes do not close is drawn as well as it goes: its edges are no lengths."""
    key, one, two = two_walls(book)
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    assert seam_of(book, key).problems == ()
    draft = said.PieceSaid("Side wall", {**loft.WALL, **drawn}, [])
    steps.save_measures(book, act(seen=1), two, draft)
    (problem,) = seam_of(book, key).problems
    assert problem.says == "Seam corner cannot be compared: Side wall is a draft"
    assert not problem.ask


def test_what_is_drawn_stretched_is_no_mate_to_be_held_against(book: Engine) -> None:
    key, one, two = two_walls(book, other="312")
    pair = {"mate_of_id": one}
    good = {**loft.WALL, "B-C": "312", "A-D": "312", "A-C": "507.3", "B-D": "507.3"}
    steps.save_measures(book, act(seen=1), two, said.PieceSaid("Side wall", good, [], **pair))
    found = loft.read(book, key).piece(two)
    assert found is not None
    assert found.mate_problems
    steps.save_measures(
        book, act(seen=2), two, said.PieceSaid("Side wall", {**good, "A-C": "900"}, [], **pair)
    )
    draft = loft.read(book, key).piece(two)
    assert draft is not None
    assert (draft.mate_problems, draft.draft.stands) == ((), False)


def edged(book: Engine, key: int, piece: int, kinds: dict[str, str], seen: int = 1) -> None:
    edges = {side: {"kind": kinds.get(side, "hem")} for side in ("A-B", "B-C", "C-D", "A-D")}
    steps.save_edges(book, act(seen=seen), piece, said.EdgesSaid(edges, {}, None, "0", 1))


def test_a_felled_seam_has_a_smaller_and_a_larger_side(book: Engine) -> None:
    key, one, two = two_walls(book)
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    edged(book, key, one, {"B-C": "felled_large"})
    edged(book, key, two, {"A-D": "felled_large"})
    (problem,) = seam_of(book, key).problems
    assert problem.ask
    assert problem.says.startswith(
        "B to C of Front wall is cut for a felled seam, larger side, A to D of Side"
    )
    edged(book, key, two, {"A-D": "felled_small"}, seen=2)
    assert seam_of(book, key).problems == ()


def test_a_mirror_is_made_as_the_piece_that_it_mirrors(book: Engine) -> None:
    key, one, _ = two_walls(book)
    edged(book, key, one, {})
    mate = steps.add_piece(book, act(), key, said.NewPiece("Mate", How.MIRROR, mirror_of=one))
    found = loft.read(book, key).piece(mate)
    assert found is not None
    assert found.edge_problems == ()
    edged(book, key, one, {"B-C": "zipper"}, seen=2)  # the piece is changed, and its mirror is not
    found = loft.read(book, key).piece(mate)
    assert found is not None
    (asked,) = found.edge_problems
    assert (asked.field, asked.ask) == ("B-C", True)
    assert asked.says == "Edge B to C is not made as that of Front wall, which it mirrors"


def test_walls_together_are_as_long_as_the_roof(book: Engine) -> None:
    key, one, two = two_walls(book)
    roof = loft.piece(book, key, "Roof")
    edges = [f"{key}:{edge}" for key in (one, two, roof) for edge in ("A-B", "B-C", "C-D", "A-D")]
    names = {one: "Front wall", two: "Side wall", roof: "Roof"}
    tops = [f"{one}:A-B", f"{one}:C-D", f"{two}:A-D"]  # 400 + 400 + 300 against 1,400 round the roof
    ring = said.read_ring(Many(ring="round", roof=str(roof), wall=tops), edges, names)
    assert len(ring.other) == 4
    steps.add_seam(book, act(), key, ring)
    (problem,) = seam_of(book, key).problems
    assert "300" in problem.says
    assert "shorter" in problem.says


# A wall of 800 with 300 up at its left and 900 at its right end, measured by the corners from A on: the
# sloping top is 1000 and the diagonals follow (6, 8, 10 and Pythagoras).
LEFT = {
    "A-x": "0",
    "A-y": "0",
    "B-x": "800",
    "B-y": "0",
    "C-x": "800",
    "C-y": "900",
    "D-x": "0",
    "D-y": "300",
}
RIGHT = {**LEFT, "C-y": "300", "D-y": "900"}  # high at its left


def plotted(book: Engine, key: int, name: str, typed: dict[str, str], mate_of: int | None = None) -> int:
    made = steps.add_piece(book, act(), key, said.NewPiece(name, How.COORDINATES))
    return steps.save_measures(book, act(), made, said.PieceSaid(name, typed, [], mate_of_id=mate_of))


@pytest.mark.parametrize(
    ("typed", "named", "fits"),
    [
        (RIGHT, set(), True),
        ({**RIGHT, "C-y": "325"}, {"A-C", "B-C", "C-D"}, False),  # one corner is 25 too high
        (LEFT, set(), False),  # a copy: its outside would face in, whatever its letters
    ],
)
def test_a_measured_mate_must_be_the_mirror(
    book: Engine, typed: dict[str, str], named: set[str], fits: bool
) -> None:
    key = loft.opened(book)
    one = plotted(book, key, "Left wall", LEFT)
    two = plotted(book, key, "Right wall", typed, one)
    piece = loft.read(book, key).piece(two)
    assert piece is not None
    assert named <= {problem.field for problem in piece.mate_problems}
    assert (piece.mate_problems == ()) is fits


@pytest.mark.parametrize(("peak", "fits"), [("600", True), ("630", False)])
def test_two_halves_that_should_be_alike_are_held_against_each_other(
    book: Engine, peak: str, fits: bool
) -> None:
    # A gable of 1200 with its peak in the middle, then 30 beside it: by Pythagoras its two slopes are then
    # 854.5 and 806.1 instead of 848.5 each.
    gable = {"A-x": "0", "A-y": "0", "B-x": "1200", "B-y": "0", "C-x": peak, "C-y": "600"}
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Gable", How.COORDINATES, 3))
    steps.save_measures(book, act(), made, said.PieceSaid("Gable", gable, [], halves=True))
    piece = loft.read(book, key).piece(made)
    assert piece is not None
    assert ([it for it in piece.mate_problems if "halves differ" in it.says] == []) is fits


def test_a_mate_of_another_number_of_corners_is_told(book: Engine) -> None:
    key = loft.opened(book)
    made = steps.add_piece(book, act(), key, said.NewPiece("Gable", How.TAPE, 3))
    steps.save_measures(book, act(), made, said.PieceSaid("Gable", dict(GABLE), []))
    wall = plotted(book, key, "Wall", LEFT, made)
    piece = loft.read(book, key).piece(wall)
    assert piece is not None
    assert ["3 corners" in problem.says for problem in piece.mate_problems] == [True]


def test_a_seam_is_taken_off_and_lets_its_pieces_go(book: Engine) -> None:
    key, one, two = two_walls(book)
    sewn(book, key, f"{one}:B-C", f"{two}:A-D")
    with pytest.raises(Refused, match="Seam corner rests on Side wall"):
        steps.take_piece_off(book, act(seen=1), two)
    seam, again = seam_of(book, key).row.key, act()
    with pytest.raises(Stale):
        steps.take_seam_off(book, act(seen=3), seam)
    assert [steps.take_seam_off(book, again, seam) for _ in range(2)] == [key, key]
    assert loft.read(book, key).seams == ()
    assert steps.take_piece_off(book, act(seen=1), two) == key


def test_the_same_seam_sent_twice_is_one(book: Engine) -> None:
    key, one, two = two_walls(book)
    again = act()
    said_so = said.SeamSaid("corner", [f"{one}:B-C"], [f"{two}:A-D"])
    assert [steps.add_seam(book, again, key, said_so) for _ in range(2)] == [key, key]
    assert len(loft.read(book, key).seams) == 1


EDGES = ["1:A-B", "1:B-C", "2:A-B"]


@pytest.mark.parametrize(
    ("texts", "wrong"),
    [
        ({"seam": "", "seam-one": "1:A-B", "seam-other": "2:A-B"}, "seam"),
        ({"seam": "corner", "seam-one": "3:A-B", "seam-other": "2:A-B"}, "seam-one"),
        ({"seam": "corner", "seam-one": "1:A-B", "seam-other": "1:A-B"}, "seam-other"),
        ({"seam": "corner", "seam-one": "1:A-B", "seam-other": "2:A-B", "ease": "some"}, "ease"),
    ],
)
def test_what_is_no_seam_is_refused_beside_its_field(texts: dict[str, str], wrong: str) -> None:
    with pytest.raises(Refused) as refused:
        said.read_seam(Texts(texts), EDGES)
    assert [problem.field for problem in refused.value.problems] == [wrong]


@pytest.mark.parametrize(
    ("roof", "walls", "wrong"), [("", ["1:A-B", "2:A-B"], "roof"), ("2", ["1:A-B", "2:A-B"], "wall")]
)
def test_a_ring_has_a_roof_and_at_least_two_walls(roof: str, walls: list[str], wrong: str) -> None:
    with pytest.raises(Refused) as refused:
        said.read_ring(Many(ring="round", roof=roof, wall=walls), EDGES, {1: "wall", 2: "roof"})
    assert wrong in [problem.field for problem in refused.value.problems]


def test_a_seam_is_added_and_taken_off_on_the_orders_page(book: Engine, signed: Signed) -> None:
    key, one, two = two_walls(book, other="312")
    toni = signed("Toni")
    form: dict[str, str | list[str]] = {"submission": new_key(), "revision": "0", "seam": "Front corner"}
    form |= {"seam-one": f"{one}:B-C", "seam-other": f"{two}:A-D"}
    refused = toni.post(f"/canvas/{key}/seams", {**form, "submission": new_key(), "ease": "x"})
    assert refused.status_code == 422
    assert 'value="Front corner"' in refused.text
    assert toni.post(f"/canvas/{key}/seams", form).status_code == 303
    page = unescape(toni.get(f"/canvas/{key}").text)
    assert re.search(r"A to D of Side wall is 12.0\s*mm longer than B to C of Front wall", page)
    seam = seam_of(book, key).row.key
    gone = {"submission": new_key(), "revision": "0"}
    assert toni.post(f"/canvas/seams/{seam}/remove", gone).status_code == 303
    assert toni.post("/canvas/seams/99/remove", gone).status_code == 404
    assert loft.read(book, key).seams == ()


def test_a_ring_is_added_on_the_orders_page(book: Engine, signed: Signed) -> None:
    key, one, two = two_walls(book)
    roof = loft.piece(book, key, "Roof")
    form: dict[str, str | list[str]] = {"submission": new_key(), "revision": "0", "ring": "Walls to the roof"}
    form |= {"roof": str(roof), "wall": [f"{one}:A-B", f"{one}:B-C", f"{two}:A-B", f"{two}:B-C"]}
    assert signed("Toni").post(f"/canvas/{key}/rings", form).status_code == 303
    assert "They match" in signed("Toni").get(f"/canvas/{key}").text  # 2 * (400 + 300) on both sides

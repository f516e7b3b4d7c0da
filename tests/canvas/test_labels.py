"""Labels of pieces: one for each copy, with face, way up, warp and what is sewn to which edge."""

from sqlalchemy import Engine

from app.canvas import labels, said, steps
from app.canvas.facts import OrderRead
from app.canvas.labels import PieceLabel, labels_of
from app.canvas.tables import CanvasPiece
from app.ground.book import writing
from tests.canvas import loft
from tests.canvas.test_pattern import by_pattern, earlier, taken
from tests.conftest import act


def copied(book: Engine, copies: int) -> OrderRead:
    """An order of one wall that is cut several times."""
    key = loft.ready(book)
    with writing(book) as session:
        row = session.get_one(CanvasPiece, loft.read(book, key).pieces[0].key)
        row.copies = copies
        session.add(row)
    return loft.read(book, key)


def seamed(book: Engine, seams: int = 1) -> OrderRead:
    """A wall whose side A to B is sewn to B to C of a second piece, so many times."""
    key = loft.ready(book)
    wall = loft.read(book, key).pieces[0].key
    roof = loft.piece(book, key, "Roof")
    for at in range(seams):
        seam = said.SeamSaid(f"Eaves {at}", [f"{wall}:A-B"], [f"{roof}:C-D"])
        steps.add_seam(book, act(), key, seam)
    return loft.read(book, key)


def of(found: tuple[PieceLabel, ...], mark: str) -> list[PieceLabel]:
    return [label for label in found if label.mark == mark]


def test_each_copy_has_its_label_with_its_number(book: Engine) -> None:
    found = labels_of(copied(book, 3))
    assert [(it.mark, it.count) for it in found] == [
        ("P1.1", "1 of 3"),
        ("P1.2", "2 of 3"),
        ("P1.3", "3 of 3"),
    ]
    assert {it.name for it in found} == {"Front wall"}


def test_one_copy_bears_the_bare_mark(book: Engine) -> None:
    (label,) = labels_of(copied(book, 1))
    assert (label.mark, label.count, label.more) == ("P1", "1 of 1", False)


def test_a_label_says_face_and_way_up_as_the_order_does(book: Engine) -> None:
    (label,) = labels_of(copied(book, 1))
    assert label.lines == ("Drawn from outside: face out, A to B down",)


def test_an_unsaid_face_is_told_as_unsaid(book: Engine) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    (label,) = labels_of(loft.read(book, key))
    assert label.lines == ("Drawn from outside: its face and way up are not said",)


def test_both_pieces_of_a_seam_name_the_other_edge(book: Engine) -> None:
    found = labels_of(seamed(book))
    (wall,), (roof,) = of(found, "P1"), of(found, "P2")
    assert wall.lines[1:] == ("A\N{EN DASH}B with C\N{EN DASH}D of Roof",)
    assert roof.lines[1:] == ("C\N{EN DASH}D with A\N{EN DASH}B of Front wall",)


def test_a_wall_between_two_others_is_told_on_one_label(book: Engine) -> None:
    key = loft.ready(book)
    wall = loft.read(book, key).pieces[0].key
    for edge, name in (("A-D", "Front bed end"), ("B-C", "Rear bed end")):
        end = loft.piece(book, key, name)
        steps.add_seam(book, act(), key, said.SeamSaid(name, [f"{wall}:{edge}"], [f"{end}:B-C"]))
    (label,) = of(labels_of(loft.read(book, key)), "P1")
    assert label.lines[1:] == (
        "A\N{EN DASH}D with B\N{EN DASH}C of Front bed end",
        "B\N{EN DASH}C with B\N{EN DASH}C of Rear bed end",
    )


def test_what_one_label_cannot_hold_stands_on_the_next(book: Engine) -> None:
    wall = of(labels_of(seamed(book, seams=9)), "P1")
    assert len(wall) > 1
    assert [label.more for label in wall] == [False, *[True] * (len(wall) - 1)]
    lines = [line for label in wall for line in label.lines]
    assert len(lines) == 10  # the face, then every seam once
    assert all(label.lines for label in wall)
    rows = [sum(-(-len(line) // labels.SIGNS) for line in label.lines) for label in wall]
    assert max(rows) <= labels.ROWS


def test_a_line_longer_than_a_label_stands_alone(book: Engine) -> None:
    key = loft.ready(book)
    wall = loft.read(book, key).pieces[0].key
    roof = loft.piece(book, key, "Roof over the kitchen side and both of its storage flaps, lower half" * 2)
    steps.add_seam(book, act(), key, said.SeamSaid("Eaves", [f"{wall}:A-B"], [f"{roof}:C-D"]))
    first, second = of(labels_of(loft.read(book, key)), "P1")
    assert len(first.lines) == len(second.lines) == 1
    assert "storage flaps" in second.lines[0]


def test_a_piece_without_an_outline_has_no_label(book: Engine) -> None:
    key = loft.opened(book)
    loft.piece(book, key, typed={"A-B": "400"})
    assert labels_of(loft.read(book, key)) == ()


def test_the_code_opens_the_order_and_is_left_out_without_an_address(book: Engine) -> None:
    key = loft.ready(book)
    order = loft.read(book, key)
    (coded,), (bare,) = labels_of(order, "http://shop:8377"), labels_of(order)
    assert coded.code is not None
    assert bare.code is None
    (longer,) = labels_of(order, "http://shop.of.the.road.to.the.lake:8377")
    assert longer.code is not None
    assert longer.code.path != coded.code.path


def test_a_piece_taken_over_names_the_pattern_that_it_is_cut_by(book: Engine) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source)
    found = {label.name: label.lines for label in labels_of(new) if not label.more}
    assert found["Front wall"][1] == "By the pattern P1 of K-0001"
    assert found["Door"][1] == "By the pattern P3 of K-0001"

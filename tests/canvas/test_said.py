"""The forms of the canvas room: what is taken, and what is refused beside which field."""

from collections.abc import Callable

import pytest

from app.canvas import said
from app.canvas.rules import How, Measured
from app.trade.canvas.readiness import Kind
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts


def refused(read: Callable[[], object]) -> list[Problem]:
    with pytest.raises(Refused) as caught:
        read()
    return list(caught.value.problems)


def test_the_orders_own_form_says_who_makes_it() -> None:
    found = said.read_order(Texts({"maker": "loft", "pattern": "file", "wishes": " more light "}))
    assert (found.maker, found.pattern, found.wishes) == ("loft", "file", "more light")
    assert {it.field for it in refused(lambda: said.read_order(Texts({"maker": "x"})))} == {
        "maker",
        "pattern",
    }


def test_a_part_needs_a_kind_and_a_place() -> None:
    assert said.read_added(Texts({"kind": "zipper", "place": "door"})) == (Kind.ZIPPER, "door")
    assert {it.field for it in refused(lambda: said.read_added(Texts({"kind": "order"})))} == {
        "kind",
        "place",
    }


def test_an_answer_not_known_is_not_kept() -> None:
    found = said.read_part(Texts({"place": "door", "chain": "8", "teeth": "", "length": "  "}), Kind.ZIPPER)
    assert found.known == {"chain": "8"}
    assert found.old == {}


def test_the_old_half_is_asked_only_where_it_stays() -> None:
    texts = {"place": "door", "chain": "8", "old-chain": "10"}
    assert said.read_part(Texts(texts), Kind.ZIPPER).old == {}
    found = said.read_part(Texts({**texts, "runs_with_old": "yes"}), Kind.ZIPPER)
    assert (found.old, found.runs_with_old) == ({"chain": "10"}, True)


def test_a_choice_is_one_of_its_own() -> None:
    wrong = refused(lambda: said.read_part(Texts({"place": "door", "teeth": "wooden"}), Kind.ZIPPER))
    assert [it.field for it in wrong] == ["teeth"]
    assert "coil" in wrong[0].accepts


def test_no_cloth_is_fire_proof() -> None:
    wrong = refused(lambda: said.read_part(Texts({"place": "wall", "flame": "Fireproof!"}), Kind.CLOTH))
    assert [(it.field, it.ask) for it in wrong] == [("flame", False)]


def test_unusual_film_is_asked_about_once() -> None:
    texts = {"place": "front", "film": "clear", "film_thou": "25"}
    wrong = refused(lambda: said.read_part(Texts(texts), Kind.WINDOW))
    assert [(it.field, it.ask) for it in wrong] == [("film_thou", True)]
    kept = said.read_part(Texts({**texts, "confirm-film_thou": "25"}), Kind.WINDOW)
    assert kept.known["film_thou"] == "25"


def test_shrinkage_is_two_numbers() -> None:
    wrong = refused(lambda: said.read_part(Texts({"place": "wall", "shrink": "a bit"}), Kind.CLOTH))
    assert [it.field for it in wrong] == ["shrink"]
    assert said.read_part(Texts({"place": "wall", "shrink": "2 and 1"}), Kind.CLOTH).known


# Pieces


def test_a_piece_needs_a_name_and_a_way_of_measuring() -> None:
    found = said.read_new_piece(Texts({"name": "door", "how": "angles", "corners": "6", "unit": "in"}), {})
    assert found == said.NewPiece("door", How.ANGLES, 6, "in")
    wrong = refused(lambda: said.read_new_piece(Texts({"corners": "2"}), {}))
    assert {it.field for it in wrong} == {"name", "how", "corners"}


def test_a_mirror_needs_its_original() -> None:
    texts = {"name": "left", "how": "mirror"}
    assert [it.field for it in refused(lambda: said.read_new_piece(Texts(texts), {7: "right"}))] == [
        "mirror_of"
    ]
    found = said.read_new_piece(Texts({**texts, "mirror_of": "7"}), {7: "right"})
    assert found.mirror_of == 7
    wrong = refused(lambda: said.read_new_piece(Texts({**texts, "mirror_of": "8"}), {7: "right"}))
    assert [it.field for it in wrong] == ["mirror_of"]


@pytest.mark.parametrize("corners", range(3, 27))
def test_the_lengths_offered_are_enough_to_fix_the_piece_and_to_check_it(corners: int) -> None:
    # 2n - 3 lengths fix n corners (Laman); one more is a check.
    names = said.fields_of(Measured(How.TAPE, corners, {}))
    assert len(names) == len(set(names))
    assert len(names) >= 2 * corners - 3 + (corners > 3)


def test_all_diagonals_of_a_hexagon_are_offered() -> None:
    assert len(said.diagonals_of(6)) == 9  # n(n - 3) / 2


WALL = Measured(How.TAPE, 4, {})


def test_a_measure_keeps_what_was_typed() -> None:
    texts = {"name": "wall", "A-B": "2,438.5", "B-C": " 1 830 ", "C-D": ""}
    found = said.read_piece(Texts({**texts, "A-B": "2438.5"}), WALL, {})
    assert found.typed == {"A-B": "2438.5", "B-C": "1 830"}


@pytest.mark.parametrize("text", ["long", "0", "-4", "20001", "1e9", "NaN"])
def test_what_no_tape_could_read_is_refused_beside_its_field(text: str) -> None:
    wrong = refused(lambda: said.read_piece(Texts({"name": "wall", "B-D": text}), WALL, {}))
    assert [it.field for it in wrong] == ["B-D"]


def test_a_coordinate_may_lie_left_of_the_first_corner_and_an_angle_below_360() -> None:
    plotted = Measured(How.COORDINATES, 3, {})
    assert said.read_piece(Texts({"name": "wall", "B-x": "-12"}), plotted, {}).typed == {"B-x": "-12"}
    angles = Measured(How.ANGLES, 3, {})
    wrong = refused(lambda: said.read_piece(Texts({"name": "wall", "B": "360"}), angles, {}))
    assert [it.field for it in wrong] == ["B"]


def test_edges_say_what_is_done_with_them() -> None:
    texts = {"kind-A-B": "hem", "held-A-B": "hooked", "kind-B-C": "pocket", "pole-B-C": "25", "copies": "2"}
    found = said.read_edges(
        Texts({**texts, "cloth": "3", "outside": "face out"}), ["A-B", "B-C"], {3: "wall"}
    )
    assert found.edges == {
        "A-B": {"kind": "hem", "held": "hooked"},
        "B-C": {"kind": "pocket", "pole": "25", "unit": "mm"},
    }
    assert (found.cloth_id, found.copies, found.warp_angle) == (3, 2, "0")
    assert found.known == {"outside": "face out"}


def test_a_pocket_without_its_pole_is_refused_beside_the_pole() -> None:
    wrong = refused(lambda: said.read_edges(Texts({"kind-A-B": "pocket"}), ["A-B"], {}))
    assert [it.field for it in wrong] == ["pole-A-B"]


def test_a_cloth_of_another_order_is_refused() -> None:
    wrong = refused(lambda: said.read_edges(Texts({"cloth": "4"}), ["A-B"], {3: "wall"}))
    assert [it.field for it in wrong] == ["cloth"]

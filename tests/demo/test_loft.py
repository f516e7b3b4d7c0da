"""The demo's canvas orders: one released, one that still asks, one to be confirmed, one by a pattern."""

import pytest

from app.canvas import facts, pattern
from app.ground.book import reading
from app.intake.facts import unit_of
from tests.demo.conftest import Demo


def read(shop: Demo, key: int) -> facts.OrderRead:
    with reading(shop.book) as session:
        return facts.canvas_order(session, key)


@pytest.mark.parametrize(
    ("key", "stands"), [(1, "Released to be cut"), (2, "things hold it back"), (3, "things to be confirmed")]
)
def test_each_canvas_order_stands_where_the_scenario_says(shop: Demo, key: int, stands: str) -> None:
    assert stands in read(shop, key).stands


def test_they_belong_to_the_folding_tent_trailer_and_to_its_finding(shop: Demo) -> None:
    found = read(shop, 1)
    with reading(shop.book) as session:
        assert unit_of(session, found.head.order_id).kind == "tent"
        (line,) = facts.findings_about_canvas(session, found.head.order_id)
        assert len(facts.canvas_orders(session, found.head.order_id)) == 4
    assert found.row.finding_id == line.id


def test_every_piece_of_the_released_order_has_its_cut_size(shop: Demo) -> None:
    found = read(shop, 1)
    assert [piece.name for piece in found.pieces] == ["Front bed end", "Rear bed end", "Curb side wall"]
    for piece in found.pieces:
        assert piece.cut is not None
        assert piece.finished is not None
        assert piece.cut.cut.area > piece.finished.area
    assert [seam.problems for seam in found.seams] == [(), ()]


def test_the_screen_door_is_a_draft_with_its_diagonal_named(shop: Demo) -> None:
    (door,) = read(shop, 2).pieces
    assert not door.draft.stands
    assert [problem.field for problem in door.draft.problems if not problem.ask] == ["B-D"]


def test_its_zipper_would_not_run_with_the_old_half(shop: Demo) -> None:
    told = [problem.says for problem in read(shop, 2).holds_back]
    assert any("the old tent has 10" in says for says in told)


def test_the_pieces_of_the_first_are_offered_to_the_one_by_a_pattern(shop: Demo) -> None:
    with reading(shop.book) as session:
        (offer,) = pattern.offers_for(session, read(shop, 4))
    assert (offer.key, offer.alike) == (1, True)
    assert tuple(offer.pieces.values()) == ("Front bed end", "Rear bed end", "Curb side wall")

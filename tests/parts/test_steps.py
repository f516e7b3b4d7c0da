"""Acts of the parts room: kept once, refused beside the field, never below nothing."""

from dataclasses import replace

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError, NoResultFound
from sqlmodel import select

from app.ground.book import reading, writing
from app.ground.receipts import Stale, broken, sign
from app.ground.tables import Receipt
from app.parts import steps
from app.parts.ledger import held_for, out_for, served
from app.parts.rules import Counted, MoveSaid, PartSaid, SupplierSaid
from app.parts.tables import Movement, Part, Supplier
from app.trade.problems import Refused
from app.trade.stock import MoveKind
from tests.conftest import act
from tests.parts.shelf import (
    BEARING,
    move,
    moves,
    order,
    part,
    standing,
    standing_of,
    stands,
    stocked,
    supplier,
)


def refusal(refused: pytest.ExceptionInfo[Refused]) -> tuple[str, str]:
    [problem] = refused.value.problems
    return problem.field, problem.says


def test_a_supplier_is_kept_once_and_its_name_is_its_own(book: Engine) -> None:
    again = act()
    said = SupplierSaid("Fenwater Axle Supply", phone="555 0171", lead_days=3)
    key = steps.save_supplier(book, again, None, said)
    assert steps.save_supplier(book, again, None, said) == key
    with pytest.raises(Refused) as refused:
        steps.save_supplier(book, act(), None, said)
    assert refusal(refused)[0] == "name"
    with reading(book) as session:
        [row] = session.exec(select(Supplier))
    assert (row.name, row.phone, row.lead_days, row.revision) == ("Fenwater Axle Supply", "555 0171", 3, 1)


def test_a_supplier_changed_since_it_was_shown_is_not_overwritten(book: Engine) -> None:
    key = supplier(book)
    steps.save_supplier(book, act(seen=1), key, SupplierSaid("Fenwater", phone="555 0171"))
    with pytest.raises(Stale) as stale:
        steps.save_supplier(book, act(seen=1), key, SupplierSaid("Fenwater Axles"))
    assert stale.value.revision == 2


def test_a_part_is_kept_as_said(book: Engine) -> None:
    sold_by = supplier(book)
    key = part(book, supplier_id=sold_by, price=2900)
    with reading(book) as session:
        row = session.get_one(Part, key)
    assert (row.number, row.designation, row.cost, row.price) == ("BRG-L44649", "L44649/L44610", 1450, 2900)
    assert (row.bin, row.reorder_at, row.reorder_quantity, row.supplier_id) == ("A-03-2", 400, 1000, sold_by)


def test_a_number_is_given_once(book: Engine) -> None:
    part(book)
    with pytest.raises(Refused) as refused:
        part(book, name="Another")
    assert refusal(refused) == ("number", "BRG-L44649 is another part's number")


def test_a_part_is_saved_over_the_revision_that_was_seen(book: Engine) -> None:
    key = part(book)
    said = PartSaid(**{**BEARING, "bin": "B-01"})
    with pytest.raises(Stale):
        steps.save_part(book, act(seen=0), key, said)
    assert steps.save_part(book, act(seen=1), key, said) == key
    with pytest.raises(NoResultFound):
        steps.save_part(book, act(), 999, PartSaid("X", "Nothing"))


def test_parts_do_not_supersede_each_other_in_a_ring(book: Engine) -> None:
    first, second = part(book, number="A"), part(book, number="B")
    steps.save_part(book, act(seen=1), first, PartSaid("A", "Old", superseded_by_id=second))
    with pytest.raises(Refused) as refused:
        steps.save_part(book, act(seen=1), second, PartSaid("B", "New", superseded_by_id=first))
    assert refusal(refused)[0] == "superseded_by"


def test_stock_comes_in_at_the_parts_cost_or_at_its_own(book: Engine) -> None:
    key = part(book)
    move(book, key, MoveKind.RECEIVE, 4)
    steps.move_stock(book, act(), key, MoveSaid(MoveKind.RECEIVE, 200, cost=1600))
    assert standing(book, key).value == 4 * 1450 + 2 * 1600
    assert stands(book, key) == (6, 0)


def test_what_is_reserved_for_one_work_order_is_not_handed_out_to_another(book: Engine) -> None:
    key = stocked(book, 5)
    (first, one), (_, two) = order(book), order(book)
    move(book, key, MoveKind.RESERVE, 4, one)
    with pytest.raises(Refused) as refused:
        move(book, key, MoveKind.ISSUE, 2, two)
    field, says = refusal(refused)
    assert (field, says) == ("quantity", "2 are asked for, and 1 are free or reserved for this work order")
    move(book, key, MoveKind.ISSUE, 5, one)
    assert stands(book, key) == (0, 0)
    with reading(book) as session:
        assert out_for(session, key, first) == {None: (500, 5 * 1450)}


def test_what_was_handed_out_comes_back_and_no_more(book: Engine) -> None:
    key = stocked(book, 3)
    _, number = order(book)
    move(book, key, MoveKind.ISSUE, 2, number)
    move(book, key, MoveKind.RETURN, 1, number)
    with pytest.raises(Refused) as refused:
        move(book, key, MoveKind.RETURN, 2, number)
    assert refusal(refused)[0] == "quantity"
    assert stands(book, key) == (2, 0)
    assert standing(book, key).value == 2 * 1450


def test_a_reservation_is_released_by_what_is_held(book: Engine) -> None:
    key = stocked(book, 3)
    _, number = order(book)
    move(book, key, MoveKind.RESERVE, 2, number)
    with pytest.raises(Refused):
        move(book, key, MoveKind.RELEASE, 3, number)
    move(book, key, MoveKind.RELEASE, 2, number)
    assert stands(book, key) == (3, 0)


def test_a_work_order_that_is_none_is_refused_beside_its_field(book: Engine) -> None:
    key = stocked(book, 3)
    with pytest.raises(Refused) as refused:
        move(book, key, MoveKind.ISSUE, 1, 4711)
    assert refusal(refused) == ("order", "There is no work order 4711")
    assert stands(book, key) == (3, 0)


def test_the_same_movement_sent_twice_moves_once(book: Engine) -> None:
    key, again = part(book), act()
    said = MoveSaid(MoveKind.RECEIVE, 300)
    assert steps.move_stock(book, again, key, said) == steps.move_stock(book, again, key, said) == key
    assert stands(book, key) == (3, 0)
    with pytest.raises(Refused):
        steps.move_stock(book, replace(again, sent="other"), key, said)


def test_a_movement_leaves_its_receipt_with_its_row(book: Engine) -> None:
    key = stocked(book, 3)
    with reading(book) as session:
        receipt = session.exec(select(Receipt).where(Receipt.act == "receive stock")).one()
        assert list(broken(session)) == []
    assert '"movement"' in receipt.stood
    assert receipt.subject_id == key


def test_the_ledger_is_never_changed(book: Engine) -> None:
    stocked(book, 3)
    for statement in ("UPDATE movement SET on_hand = 900", "DELETE FROM movement"):
        with pytest.raises(DBAPIError, match="append-only"), book.begin() as connection:
            connection.exec_driver_sql(statement)


def test_a_count_keeps_all_rows_or_none(book: Engine) -> None:
    one, two = stocked(book, 5), stocked(book, 8, number="BRG-L68149")
    with pytest.raises(Refused) as refused:
        steps.keep_counts(book, act(), [Counted(one, 400, 500), Counted(two, 700, 900)])
    assert refusal(refused)[0] == f"counted-{two}"
    assert stands(book, one) == (5, 0)
    again = act()
    counts = [Counted(one, 400, 500), Counted(two, 800, 800)]
    assert steps.keep_counts(book, again, counts) == steps.keep_counts(book, again, counts)
    assert (stands(book, one), stands(book, two)) == ((4, 0), (8, 0))
    assert [row.kind for row in moves(book, two)] == ["receive", "count"]


def test_a_shelf_that_moved_while_it_was_counted_is_counted_again(book: Engine) -> None:
    key = stocked(book, 5)
    _, number = order(book)
    move(book, key, MoveKind.ISSUE, 1, number)
    with pytest.raises(Refused) as refused:
        steps.keep_counts(book, act(), [Counted(key, 500, 500)])
    assert "5 stood in the book, now 4" in refusal(refused)[1]


def test_a_count_below_what_is_reserved_is_refused_beside_its_field(book: Engine) -> None:
    key = stocked(book, 5)
    _, number = order(book)
    move(book, key, MoveKind.RESERVE, 3, number)
    with pytest.raises(Refused) as refused:
        steps.keep_counts(book, act(), [Counted(key, 200, 500)])
    assert refusal(refused) == (f"counted-{key}", "3 are reserved for work orders")


def test_a_later_room_reserves_for_a_work_and_hands_out_what_it_held(book: Engine) -> None:
    key = stocked(book, 5)
    order_id, _ = order(book)
    with writing(book) as session:
        kept = [
            *steps.reserve_for(session, act(), key, order_id, 200, tie=7),
            *steps.reserve_for(session, act(), key, order_id, 400, tie=9),
        ]
        assert [row.reserved for row in kept] == [200, 300]  # at most what is free
        assert steps.reserve_for(session, act(), key, order_id, 100) == []
        sign(session, act(), "reserve parts", kept[0], *kept[1:])
    with reading(book) as session:
        assert held_for(session, key, order_id) == {7: 200, 9: 300}
    with writing(book) as session:
        gone = steps.hand_out(session, act(), key, order_id)
        assert steps.hand_out(session, act(), key, order_id) == []
        sign(session, act(), "hand out parts", gone[0], *gone[1:])
    with reading(book) as session:
        assert standing_of(session, key).on_hand == 0
        assert served(session, key, order_id) == {7: (0, 200, 2900), 9: (0, 300, 4350)}
        assert session.exec(select(Movement).where(Movement.work_id == 7)).all()

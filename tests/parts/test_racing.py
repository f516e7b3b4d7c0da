"""Two desks of one program at once: what one of them did, the other is told, and nothing is done twice."""

from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.ground.receipts import broken
from app.parts import buying, list_steps, steps
from app.parts.ledger import received
from app.parts.rules import BoughtSaid, Came, Counted, MoveSaid, PartSaid
from app.parts.tables import Part, PurchaseLine, PurchaseOrder
from app.trade.stock import MoveKind
from tests.conftest import act
from tests.parts.shelf import order, part, stands, stocked, supplier
from tests.racing import DESKS, at_once, kinds


def test_of_six_who_save_one_part_one_is_kept_and_five_are_told(book: Engine) -> None:
    key = part(book)
    saids = [PartSaid("BRG-L44649", f"Bearing set {n}", cost=1450) for n in range(DESKS)]
    came = at_once([lambda it=it: steps.save_part(book, act(seen=1), key, it) for it in saids])
    assert kinds(came) == {"int": 1, "Stale": DESKS - 1}
    with reading(book) as session:
        assert session.get_one(Part, key).revision == 2
        assert list(broken(session)) == []  # who came too late left no gap in the chain


def test_of_six_new_parts_of_one_number_one_is_kept(book: Engine) -> None:
    said = PartSaid("S-1", "Seal", cost=400)
    came = at_once([lambda: steps.save_part(book, act(), None, said)] * DESKS)
    assert kinds(came) == {"int": 1, "Refused": DESKS - 1}


def test_the_last_piece_is_handed_out_once(book: Engine) -> None:
    key, numbers = stocked(book, 1), [order(book)[1] for _ in range(DESKS)]
    moves = [MoveSaid(MoveKind.ISSUE, 100, number) for number in numbers]
    came = at_once([lambda it=it: steps.move_stock(book, act(), key, it) for it in moves])
    assert kinds(came) == {"int": 1, "Refused": DESKS - 1}
    assert stands(book, key) == (0, 0)


def test_the_last_pieces_are_put_aside_for_no_more_work_than_they_serve(book: Engine) -> None:
    key, numbers = stocked(book, 4), [order(book)[1] for _ in range(DESKS)]
    moves = [MoveSaid(MoveKind.RESERVE, 200, number) for number in numbers]
    came = at_once([lambda it=it: steps.move_stock(book, act(), key, it) for it in moves])
    assert kinds(came) == {"int": 2, "Refused": DESKS - 2}
    assert stands(book, key) == (4, 4)


def test_one_key_pressed_on_six_desks_moves_once(book: Engine) -> None:
    key, once = stocked(book, 9), act()
    said = MoveSaid(MoveKind.ISSUE, 100, order(book)[1])
    came = at_once([lambda: steps.move_stock(book, once, key, said)] * DESKS)
    assert came == [key] * DESKS
    assert stands(book, key) == (8, 0)


def test_a_shelf_counted_by_two_is_counted_once(book: Engine) -> None:
    key = stocked(book, 9)
    counted = [[Counted(key, pieces * 100, 900)] for pieces in (7, 8)]
    came = at_once([lambda it=it: steps.keep_counts(book, act(), it) for it in counted])
    assert kinds(came) == {"int": 1, "Refused": 1}
    assert stands(book, key)[0] in (7, 8)


def test_a_delivery_is_taken_in_once(book: Engine) -> None:
    part(book, supplier_id=supplier(book))
    buying.open_order(book, act(), 1)
    buying.add_line(book, act(seen=1), 1, BoughtSaid("BRG-L44649", 600, None, None))
    buying.send_order(book, act(seen=2), 1, "phone")
    with reading(book) as session:
        line = session.exec(select(PurchaseLine)).one().key
    all_of_it = [Came(line, 600, None)]
    came = at_once([lambda: buying.take_in_delivery(book, act(seen=3), 1, all_of_it)] * DESKS)
    assert kinds(came) == {"int": 1, "Stale": DESKS - 1}
    with reading(book) as session:
        assert received(session, [line]) == {line: 600}


def test_a_supplier_has_one_open_order_whoever_opens_it(book: Engine) -> None:
    key = supplier(book)
    came = at_once([lambda: buying.open_order(book, act(), key)] * DESKS)
    assert set(came) == {1}
    with reading(book) as session:
        assert [row.number for row in session.exec(select(PurchaseOrder))] == ["P-2026-0001"]


def test_a_list_is_kept_once(book: Engine) -> None:
    key = list_steps.read_in(book, act(), "number,name,cost\nS-1,Seal,4\nS-2,Cap,1")
    came = at_once([lambda: list_steps.keep_list(book, act(), key)] * DESKS)
    assert kinds(came) == {"int": 1, "Refused": DESKS - 1}
    with reading(book) as session:
        assert sorted((row.number, row.revision) for row in session.exec(select(Part))) == [
            ("S-1", 1),
            ("S-2", 1),
        ]

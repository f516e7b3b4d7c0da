"""The pages of the parts room, as a browser meets them."""

import re
from collections.abc import Callable

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.parts import steps
from app.parts.rules import PartSaid
from app.parts.tables import Movement, Part, Supplier
from app.trade.stock import MoveKind
from tests.conftest import Browser, act
from tests.parts.shelf import BEARING, move, order, part, stands, stocked, supplier

Signed = Callable[[str], Browser]
FORM = {
    "submission": "a form",
    "number": "brg-l68149",
    "name": "Bearing set",
    "cost": "14.50",
    "unit": "each",
}


def body(text: str) -> str:
    """A page's text without its tags, blanks as one."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text))


def test_the_catalogue_shows_what_there_is_and_what_is_free(book: Engine, signed: Signed) -> None:
    key = stocked(book, 5, price=2900)
    _, number = order(book)
    move(book, key, MoveKind.RESERVE, 2, number)
    page = body(signed("Toni").get("/parts").text)
    assert "A-03-2 BRG-L44649 Bearing set, cone and cup , L44649/L44610 order 10" in page
    assert re.search(r"order 10 5 2 3 29\.00", page)
    assert "1 to be ordered for the shelf" in page


@pytest.mark.parametrize(
    ("asked", "shown"),
    [("l44649", True), ("L44610", True), ("a-03", True), ("cone and", True), ("%", False), ("L68149", False)],
)
def test_a_part_is_found_by_number_name_designation_or_bin(
    book: Engine, signed: Signed, asked: str, shown: bool
) -> None:
    part(book)
    page = signed("Toni").get(f"/parts?find={asked.replace('%', '%25')}").text
    assert ("/parts/catalogue/1" in page) is shown


def test_a_writer_adds_a_part(book: Engine, signed: Signed) -> None:
    sold_by = supplier(book)
    answer = signed("Wren").post("/parts/new", FORM | {"supplier": str(sold_by), "bin": "b-01"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/parts/catalogue/1")
    with reading(book) as session:
        [row] = session.exec(select(Part))
    assert (row.number, row.bin, row.supplier_id, row.cost) == ("BRG-L68149", "B-01", sold_by, 1450)


def test_a_refused_part_keeps_what_was_typed_and_says_what_is_taken(book: Engine, signed: Signed) -> None:
    answer = signed("Wren").post("/parts/new", FORM | {"number": "BRG 1 ü", "cost": "a lot"})
    assert answer.status_code == 422
    assert 'value="BRG 1 ü"' in answer.text
    assert 'value="a lot"' in answer.text
    assert 'aria-describedby="number-hint number-fix"' in answer.text
    assert "such as BRG-L44649" in answer.text
    with reading(book) as session:
        assert session.exec(select(Part)).first() is None


def test_a_form_sent_twice_makes_one_part(book: Engine, signed: Signed) -> None:
    browser = signed("Wren")
    first, second = browser.post("/parts/new", FORM), browser.post("/parts/new", FORM)
    assert [(it.status_code, it.headers["location"]) for it in (first, second)] == [
        (303, "/parts/catalogue/1")
    ] * 2
    with reading(book) as session:
        assert len(session.exec(select(Part)).all()) == 1


def test_a_part_saved_meanwhile_shows_both(book: Engine, signed: Signed) -> None:
    key, browser = part(book), signed("Wren")
    shown = browser.get(f"/parts/catalogue/{key}/edit").text
    assert 'value="L44649/L44610"' in shown
    steps.save_part(book, act(seen=1), key, PartSaid(**{**BEARING, "bin": "C-07"}))
    late = {**FORM, "number": "BRG-L44649", "bin": "A-09", "revision": "1"}
    answer = browser.post(f"/parts/catalogue/{key}/edit", late)
    assert answer.status_code == 409
    assert 'value="A-09"' in answer.text
    assert "In the book now: <b>C-07</b>" in answer.text


def test_a_part_says_how_its_price_is_made(book: Engine, signed: Signed) -> None:
    key = part(book)
    page = body(signed("Toni").get(f"/parts/catalogue/{key}").text)
    assert "23.20, by the shop" in page  # 14.50 with 60 %, the shop's first step
    assert "Ordered anew 10 when 4 or fewer are free and coming" in page


def test_a_technician_hands_out_for_a_work_order(book: Engine, signed: Signed) -> None:
    key = stocked(book, 5)
    order_id, number = order(book)
    form = {"submission": "hand", "kind": "issue", "quantity": "2", "order": f"WO-{number:06}"}
    browser = signed("Toni")
    answer = browser.post(f"/parts/catalogue/{key}/movements", form)
    assert answer.status_code == 303
    assert stands(book, key) == (3, 0)
    page = body(browser.get(f"/parts/catalogue/{key}").text)
    assert re.search(r"Handed out -2 3 WO-000001 Toni", page)
    with reading(book) as session:
        row = session.exec(select(Movement).where(Movement.kind == "issue")).one()
    assert (row.work_order_id, row.person_id) == (order_id, 3)


def test_more_than_there_is_is_refused_beside_the_field(book: Engine, signed: Signed) -> None:
    key = stocked(book, 1)
    _, number = order(book)
    form = {"submission": "hand", "kind": "issue", "quantity": "2", "order": str(number)}
    answer = signed("Toni").post(f"/parts/catalogue/{key}/movements", form)
    assert answer.status_code == 422
    assert 'aria-describedby="quantity-hint quantity-fix"' in answer.text
    assert "2 are asked for, and 1 are free or reserved" in answer.text
    assert stands(book, key) == (1, 0)


def test_a_shelf_is_counted_row_by_row(book: Engine, signed: Signed) -> None:
    one, two = stocked(book, 5), stocked(book, 8, number="BRG-L68149", bin="A-04")
    stocked(book, 2, number="TIR-1", bin="T-01")
    browser = signed("Toni")
    page = browser.get("/parts/count?aisle=A").text
    assert f'name="counted-{one}"' in page
    assert "TIR-1" not in page
    form = {"submission": "count", "aisle": "A", f"counted-{one}": "4", f"stood-{one}": "500"}
    answer = browser.post("/parts/count", form | {f"counted-{two}": "eight", f"stood-{two}": "800"})
    assert answer.status_code == 422
    assert 'value="eight"' in answer.text
    assert stands(book, one) == (5, 0)
    assert browser.post("/parts/count", form).status_code == 303
    assert stands(book, one) == (4, 0)


def test_suppliers_are_added_and_changed(book: Engine, signed: Signed) -> None:
    browser = signed("Wren")
    form = {"submission": "new", "name": "Fenwater Axle Supply", "lead_days": "3"}
    assert browser.post("/parts/suppliers", form).status_code == 303
    page = browser.get("/parts/suppliers/1").text
    assert 'value="Fenwater Axle Supply"' in page
    saved = {"submission": "edit", "name": "Fenwater", "revision": "1", "retired": "yes"}
    assert browser.post("/parts/suppliers/1", saved).status_code == 303
    late = browser.post("/parts/suppliers/1", saved | {"submission": "late", "name": "Fen"})
    assert late.status_code == 409
    assert "In the book now: <b>Fenwater</b>" in late.text
    refused = browser.post("/parts/suppliers", {"submission": "again", "name": "Fenwater"})
    assert refused.status_code == 422
    with reading(book) as session:
        [row] = session.exec(select(Supplier))
    assert (row.name, row.active) == ("Fenwater", False)


@pytest.mark.parametrize("path", ["/parts/new", "/parts/catalogue/1/edit", "/parts/suppliers/1"])
def test_a_technician_changes_no_catalogue(book: Engine, signed: Signed, path: str) -> None:
    part(book, supplier_id=supplier(book))
    browser = signed("Toni")
    assert browser.get(path).status_code == 403
    assert browser.post(path, FORM).status_code == 403


@pytest.mark.parametrize("path", ["/parts/catalogue/9", "/parts/catalogue/9/edit", "/parts/suppliers/9"])
def test_a_key_that_is_not_in_the_book_is_no_page(signed: Signed, path: str) -> None:
    assert signed("Wren").get(path).status_code == 404
    assert signed("Wren").get(path.replace("9", "x")).status_code == 404

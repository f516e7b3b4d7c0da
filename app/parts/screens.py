"""Pages of the catalogue: the list, one part with its ledger, suppliers, and the count of a shelf."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Query, Response
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.parts import facts, rules, steps
from app.parts.forms import part_texts, supplier_texts
from app.parts.tables import Part, Supplier
from app.trade.problems import Refused
from app.trade.stock import MoveKind

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]
Asked = Annotated[str, Query(max_length=200)]
KINDS = (
    (MoveKind.ISSUE.value, "Hand out"),
    (MoveKind.RESERVE.value, "Reserve"),
    (MoveKind.RELEASE.value, "Release"),
    (MoveKind.RETURN.value, "Take back"),
    (MoveKind.RECEIVE.value, "Receive"),
    (MoveKind.COUNT.value, "Count"),
)


@contextmanager
def found(book: Engine, says: str = "There is no such part.") -> Iterator[Session]:
    """A reading session; a key that is not in the book is a page that is not there."""
    try:
        with reading(book) as session:
            yield session
    except NoResultFound:
        raise HTTPException(404, says) from None


# The catalogue


@router.get("/parts", dependencies=[Depends(ANYONE)])
def catalogue_page(book: Book, page: Page, find: Asked = "") -> Response:
    """The catalogue, or what of it holds a text."""
    with reading(book) as session:
        lines = facts.catalogue(session, find.strip())
    return page.show("parts/catalogue", lines=lines, asked=find, most=facts.MOST_FOUND)


@router.get("/parts/new", dependencies=[Depends(WRITERS)])
def new_part(book: Book, page: Page) -> Response:
    """The form of a new part."""
    return _part_form(book, page, None, Filled({"unit": "each"}))


@router.post("/parts/new", dependencies=[Depends(WRITERS)])
def add_part(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep a new part."""
    try:
        with reading(book) as session:
            shelves = facts.shelves(session)
        part_id = steps.save_part(book, act, None, rules.read_part(typed, shelves))
    except Refused as refused:
        return _part_form(book, page, None, again(typed, refused.problems), 422)
    return page.go(f"/parts/catalogue/{part_id}")


@router.get("/parts/catalogue/{part_id}", dependencies=[Depends(ANYONE)])
def part_page(part_id: Key, book: Book, page: Page) -> Response:
    """One part: how it stands, its ledger, the form of a movement."""
    return _part(book, page, part_id, Filled({"kind": MoveKind.ISSUE.value}))


@router.post("/parts/catalogue/{part_id}/movements", dependencies=[Depends(ANYONE)])
def move_stock(part_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep one movement of a part."""
    try:
        with found(book):
            steps.move_stock(book, act, part_id, rules.read_move(typed))
    except Refused as refused:
        return _part(book, page, part_id, again(typed, refused.problems), 422)
    return page.go(f"/parts/catalogue/{part_id}")


def _part(book: Engine, page: Pages, part_id: int, form: Filled, status: int = 200) -> Response:
    with found(book) as session:
        shown = facts.part_page(session, part_id)
    return page.show("parts/part", status=status, it=shown, form=form, kinds=KINDS)


@router.get("/parts/catalogue/{part_id}/edit", dependencies=[Depends(WRITERS)])
def edit_part(part_id: Key, book: Book, page: Page) -> Response:
    """The form of a part as it stands."""
    with found(book) as session:
        part = session.get_one(Part, part_id)
        values = part_texts(session, part)
    return _part_form(book, page, part_id, Filled(values, revision=part.revision))


@router.post("/parts/catalogue/{part_id}/edit", dependencies=[Depends(WRITERS)])
def save_part(part_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what a part's form says now."""
    try:
        with found(book) as session:
            own, shelves = session.get_one(Part, part_id).number, facts.shelves(session)
        steps.save_part(book, act, part_id, rules.read_part(typed, shelves, own))
    except Refused as refused:
        return _part_form(book, page, part_id, again(typed, refused.problems), 422)
    except Stale as stale:
        with found(book) as session:
            now = part_texts(session, session.get_one(Part, part_id))
        form = late(book, page.zone, typed, stale, About(Part, id=part_id), now)
        return _part_form(book, page, part_id, form, 409)
    return page.go(f"/parts/catalogue/{part_id}")


def _part_form(book: Engine, page: Pages, part_id: int | None, form: Filled, status: int = 200) -> Response:
    with found(book) as session:
        part = session.get_one(Part, part_id) if part_id else None
        known = [("", "none yet"), *((str(it.id), it.name) for it in facts.suppliers(session))]
        in_kits = [("", "none"), *((name, name) for name in facts.kit_parts(session))]
    return page.show(
        "parts/part_form",
        status=status,
        part=part,
        form=form,
        suppliers=known,
        kit_parts=in_kits,
        units=[(each, each) for each in rules.UNITS],
    )


# Suppliers


@router.get("/parts/suppliers", dependencies=[Depends(ANYONE)])
def suppliers_page(book: Book, page: Page) -> Response:
    """All suppliers, with the form of a new one."""
    return _suppliers(book, page, None, Filled())


@router.post("/parts/suppliers", dependencies=[Depends(WRITERS)])
def add_supplier(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep a new supplier."""
    try:
        steps.save_supplier(book, act, None, rules.read_supplier(typed))
    except Refused as refused:
        return _suppliers(book, page, None, again(typed, refused.problems), 422)
    return page.go("/parts/suppliers")


@router.get("/parts/suppliers/{supplier_id}", dependencies=[Depends(WRITERS)])
def edit_supplier(supplier_id: Key, book: Book, page: Page) -> Response:
    """The form of a supplier as it stands."""
    with found(book, "There is no such supplier.") as session:
        row = session.get_one(Supplier, supplier_id)
    return _suppliers(book, page, supplier_id, Filled(supplier_texts(row), revision=row.revision))


@router.post("/parts/suppliers/{supplier_id}", dependencies=[Depends(WRITERS)])
def save_supplier(supplier_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what a supplier's form says now."""
    try:
        with found(book, "There is no such supplier."):
            steps.save_supplier(book, act, supplier_id, rules.read_supplier(typed))
    except Refused as refused:
        return _suppliers(book, page, supplier_id, again(typed, refused.problems), 422)
    except Stale as stale:
        with reading(book) as session:
            now = supplier_texts(session.get_one(Supplier, supplier_id))
        form = late(book, page.zone, typed, stale, About(Supplier, id=supplier_id), now)
        return _suppliers(book, page, supplier_id, form, 409)
    return page.go("/parts/suppliers")


def _suppliers(
    book: Engine, page: Pages, supplier_id: int | None, form: Filled, status: int = 200
) -> Response:
    with found(book, "There is no such supplier.") as session:
        rows = facts.suppliers(session)
        row = session.get_one(Supplier, supplier_id) if supplier_id else None
    return page.show("parts/suppliers", status=status, rows=rows, row=row, form=form)


# The count of a shelf


@router.get("/parts/count", dependencies=[Depends(ANYONE)])
def count_page(book: Book, page: Page, aisle: Asked = "") -> Response:
    """The shelf of one aisle, with a field for each part's count."""
    return _count(book, page, aisle, Filled({"aisle": aisle}))


@router.post("/parts/count", dependencies=[Depends(ANYONE)])
def keep_counts(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what was counted, all or nothing."""
    aisle = typed.get("aisle")[:24]
    try:
        with reading(book) as session:
            stood = {line.id: line.standing.on_hand for line in facts.on_shelf(session, aisle)}
        steps.keep_counts(book, act, rules.read_counts(typed, stood))
    except Refused as refused:
        return _count(book, page, aisle, again(typed, refused.problems), 422)
    return page.go("/parts")


def _count(book: Engine, page: Pages, aisle: str, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        aisles = facts.aisles(session)
        chosen = aisle if aisle in aisles else (aisles[0] if aisles and not form.typed else aisle)
        lines = facts.on_shelf(session, chosen)
    return page.show("parts/count", status=status, aisles=aisles, aisle=chosen, lines=lines, form=form)

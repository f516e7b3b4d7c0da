"""A shelf for the tests of the parts room: suppliers, parts, stock, work orders."""

from typing import Any

from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.intake.tables import WorkOrder
from app.parts import steps
from app.parts.ledger import standing_of
from app.parts.rules import MoveSaid, PartSaid, SupplierSaid
from app.parts.tables import Movement
from app.trade.stock import MoveKind, Standing
from tests.conftest import act
from tests.estimate.arrived import arrive

BEARING: dict[str, Any] = {
    "number": "BRG-L44649",
    "name": "Bearing set, cone and cup",
    "designation": "L44649/L44610",
    "cost": 1450,
    "bin": "A-03-2",
    "reorder_at": 400,
    "reorder_quantity": 1000,
}


def supplier(book: Engine, name: str = "Fenwater Axle Supply", **more: Any) -> int:  # noqa: ANN401 - any field
    """Key of a new supplier."""
    return steps.save_supplier(book, act(), None, SupplierSaid(name, **more))


def part(book: Engine, **more: Any) -> int:  # noqa: ANN401 - any field
    """Key of a new part: a bearing unless said otherwise."""
    return steps.save_part(book, act(), None, PartSaid(**{**BEARING, **more}))


def stocked(book: Engine, pieces: int, **more: Any) -> int:  # noqa: ANN401 - any field
    """Key of a new part of which some lie on the shelf."""
    key = part(book, **more)
    move(book, key, MoveKind.RECEIVE, pieces)
    return key


def move(book: Engine, part_id: int, kind: MoveKind, pieces: int, order: int | None = None) -> int:
    """One movement of whole pieces; `order`: a work order's number."""
    return steps.move_stock(book, act(), part_id, MoveSaid(kind, pieces * 100, order))


def order(book: Engine) -> tuple[int, int]:
    """Key and number of a new work order."""
    key = arrive(book)
    with reading(book) as session:
        return key, session.get_one(WorkOrder, key).number


def stands(book: Engine, part_id: int) -> tuple[int, int]:
    """Whole pieces on hand and reserved."""
    found = standing(book, part_id)
    return found.on_hand // 100, found.reserved // 100


def standing(book: Engine, part_id: int) -> Standing:
    """How a part stands."""
    with reading(book) as session:
        return standing_of(session, part_id)


def moves(book: Engine, part_id: int) -> list[Movement]:
    """The ledger of a part, the oldest first."""
    with reading(book) as session:
        return list(session.exec(select(Movement).where(Movement.part_id == part_id)))

"""How the rows of a canvas order stood at every act, read from the receipts: nothing is kept twice."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlmodel import Session, col, or_, select

from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasStage
from app.ground.tables import Receipt

Row = Mapping[str, Any]


@dataclass(frozen=True)
class Stood:
    """A row as an act left it. `receipt`: the act's key, rising; `at`: when it was done (UTC)."""

    receipt: int
    at: datetime
    row: Row


def stood(
    session: Session, order_id: int, *kinds: type[CanvasPart | CanvasPiece | CanvasStage]
) -> list[Stood]:
    """Every row of these kinds that an act on the order left, in the turn of the acts."""
    tables = {str(kind.__tablename__) for kind in kinds}
    of_kinds = [
        (col(Receipt.subject) == str(kind.__tablename__))
        & col(Receipt.subject_id).in_(select(kind.id).where(kind.canvas_order_id == order_id))
        for kind in kinds
    ]
    own = (col(Receipt.subject) == str(CanvasOrder.__tablename__)) & (col(Receipt.subject_id) == order_id)
    asked = select(Receipt).where(or_(own, *of_kinds)).order_by(col(Receipt.id))
    return [it for receipt in session.exec(asked) for it in _rows(receipt) if it.row["table"] in tables]


def _rows(receipt: Receipt) -> Iterator[Stood]:
    for row in json.loads(receipt.stood):
        yield Stood(receipt.key, receipt.created_at, row)


def of_table(acts: Iterable[Stood], kind: type[CanvasPart | CanvasPiece | CanvasStage]) -> Iterator[Stood]:
    """Those of one kind."""
    return (it for it in acts if it.row["table"] == str(kind.__tablename__))


def as_left(acts: Iterable[Stood]) -> Mapping[int, Row]:
    """By key, each row as the last of the acts left it, without those taken off by then."""
    rows = {it.row["id"]: it.row for it in acts}
    return {key: row for key, row in rows.items() if not row["taken_off"]}

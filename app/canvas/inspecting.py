"""Keeping the inspection of an order: by somebody else than who sewed it, once it is released and sewn."""

from collections.abc import Mapping

from sqlalchemy import Engine

from app.canvas.facts import canvas_order
from app.canvas.inspected import drawn_of, inspections_of
from app.canvas.making import Stage, making_of, refuse_own_work
from app.canvas.tables import CanvasInspection
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.trade.problems import Problem, Refused


def keep_inspection(book: Engine, act: Act, order_id: int, readings: Mapping[str, str]) -> int:
    """Keep an inspection as it was read, faults and all; returns the order's key.

    `readings`: of inspected.read_inspection. `act.seen`: how many inspections there were. Raises Refused for
    an order that is not released and sewn as it stands, and by who sewed it; Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order, making = canvas_order(session, order_id), making_of(session, order_id)
        receipts.current(len(inspections_of(session, order).all), act)
        if not order.released or making.of(Stage.SEW).at is None:
            raise Refused([Problem("", "Nothing is sewn yet that could be inspected", "its sewing first")])
        refuse_own_work(session, act, making, Stage.INSPECT)
        row = CanvasInspection(
            created_at=act.at,
            canvas_order_id=order_id,
            version=order.version,
            drawn=[it.kept() for it in drawn_of(order)],
            readings=dict(readings),
            made_by=act.person,
        )
        return receipts.sign(session, act, "inspect canvas", order.row, row)

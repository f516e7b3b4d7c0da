"""Roll ends that lie in stock: what is cut from them leaves the shelf with the cutting, and comes back so.

A roll end is in stock where its mark on the plan is the number of a part that is sold by length.
"""

from collections.abc import Iterator
from decimal import ROUND_CEILING, Decimal

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.canvas.facts import OrderRead
from app.canvas.plans import PlanRead, plans_of
from app.ground.acting import Act
from app.parts.ledger import held_for, out_for, standing_of, written
from app.parts.tables import Movement, Part
from app.trade import stock
from app.trade.canvas.readiness import Kind
from app.trade.canvas.yardage import RollEnd
from app.trade.problems import Impossible, Problem, Refused

BY_LENGTH = {"m": Decimal(1000), "yd": Decimal("914.4"), "ft": Decimal("304.8")}  # mm; NIST SP 811, B.8


def cut_off(session: Session, act: Act, order: OrderRead) -> list[Movement]:
    """Rows that take what the order's plans cut from roll ends off the shelf, to be signed by the caller.

    Raises Refused where an end in stock is shorter than the plan says.
    """
    rows: list[Movement] = []
    for part, mm in _from_stock(session, order):
        stay, some = order.row.work_order_id, _hundredths(mm, part.unit)
        try:
            moves = stock.issue(standing_of(session, part.key), held_for(session, part.key, stay), some)
        except Impossible as impossible:
            told = f"Roll end {part.number}: {impossible.says}"
            raise Refused([Problem("stage", told, "its count put right, or the plan laid anew")]) from None
        rows += written(act, part.key, moves, stay, note=_note(order))
    return rows


def put_back(session: Session, act: Act, order: OrderRead) -> list[Movement]:
    """Rows that put what `cut_off` took back on the shelf, to be signed by the caller."""
    stay = order.row.work_order_id
    asked = (
        select(Movement.part_id, func.sum(Movement.on_hand))
        .where(Movement.work_order_id == stay, Movement.note == _note(order))
        .group_by(col(Movement.part_id))
    )
    gone = [(part, -some) for part, some in session.exec(asked) if some < 0]
    return [
        row
        for part, some in gone
        for row in written(
            act, part, stock.put_back(out_for(session, part, stay), some), stay, note=_note(order)
        )
    ]


def _note(order: OrderRead) -> str:
    return f"roll end cut for {order.number}"


def _from_stock(session: Session, order: OrderRead) -> Iterator[tuple[Part, Decimal]]:
    """Parts that are roll ends of the order's plans, with the millimetres cut from each."""
    for cloth in order.of_kind(Kind.CLOTH):
        best = plans_of(session, order, cloth.key).best
        for end, mm in _ends(best) if best else ():
            asked = select(Part).where(Part.number == end.mark.upper(), col(Part.unit).in_(BY_LENGTH))
            if part := session.exec(asked).first():
                yield part, mm


def _ends(plan: PlanRead) -> list[tuple[RollEnd, Decimal]]:
    return [(it.end, it.cut_off) for it in plan.of_ends if it.end]


def _hundredths(mm: Decimal, unit: str) -> int:
    return int((mm / BY_LENGTH[unit] * 100).to_integral_value(ROUND_CEILING))

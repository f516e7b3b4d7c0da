"""Roll ends that lie in stock: what is cut from them leaves the shelf with the cutting, and comes back so.

A roll end is in stock where its mark on the plan is the number of a part that is sold by length.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.canvas.facts import OrderRead
from app.canvas.plans import PlanRead, plans_of
from app.canvas.tables import CanvasPart
from app.ground.acting import Act
from app.parts.ledger import held_for, out_for, standing_of, written
from app.parts.tables import Movement, Part
from app.trade import stock
from app.trade.canvas.readiness import Kind
from app.trade.canvas.yardage import RollEnd
from app.trade.problems import Problem, Refused

ROLL_ENDS = "roll-ends"  # where the page of the making tells them
BY_LENGTH = {"m": Decimal(1000), "yd": Decimal("914.4"), "ft": Decimal("304.8")}  # mm; NIST SP 811, B.8


@dataclass(frozen=True)
class EndCut:
    """A roll end in stock that an order is cut from: what the plan takes and what it may, in hundredths.

    `part` and `cloth` by their keys; `unit`: the length that the part is sold by.
    """

    part: int
    number: str
    unit: str
    cloth: int
    cloth_name: str
    wanted: int
    there: int

    @property
    def says(self) -> str:
        """What is cut from it and what lies there, with their unit."""
        wanted, there = (f"{stock.pieces(some)} {self.unit}" for some in (self.wanted, self.there))
        return f"Roll end {self.number}: the plan cuts {wanted} of it, {there} on the shelf may be cut"

    @property
    def short(self) -> Problem:
        """The refusal of an end that is shorter than its plan says."""
        return Problem(ROLL_ENDS, self.says, "its count on the shelf put right, or the plan laid anew")


def ends_in_stock(session: Session, order: OrderRead) -> list[EndCut]:
    """The roll ends in stock that the plans of an order cut from."""
    return [_end_cut(session, order, *each) for each in _from_stock(session, order)]


def _end_cut(session: Session, order: OrderRead, cloth: CanvasPart, part: Part, mm: Decimal) -> EndCut:
    held = held_for(session, part.key, order.row.work_order_id)
    there = standing_of(session, part.key).free + sum(held.values())
    wanted = _hundredths(mm, part.unit)
    return EndCut(part.key, part.number, part.unit, cloth.key, cloth.place, wanted, there)


def cut_off(session: Session, act: Act, order: OrderRead) -> list[Movement]:
    """Rows that take what the order's plans cut from roll ends off the shelf, to be signed by the caller.

    Raises Refused where an end in stock is shorter than the plan says.
    """
    rows: list[Movement] = []
    stay, ends = order.row.work_order_id, ends_in_stock(session, order)
    if short := [end.short for end in ends if end.wanted > end.there]:
        raise Refused(short)
    for end in ends:
        moves = stock.issue(standing_of(session, end.part), held_for(session, end.part, stay), end.wanted)
        rows += written(act, end.part, moves, stay, note=_note(order))
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


def _from_stock(session: Session, order: OrderRead) -> Iterator[tuple[CanvasPart, Part, Decimal]]:
    """Parts that are roll ends of the order's plans, each with its cloth and the millimetres cut from it."""
    for cloth in order.of_kind(Kind.CLOTH):
        best = plans_of(session, order, cloth.key).best
        for end, mm in _ends(best) if best else ():
            asked = select(Part).where(Part.number == end.mark.upper(), col(Part.unit).in_(BY_LENGTH))
            if part := session.exec(asked).first():
                yield cloth, part, mm


def _ends(plan: PlanRead) -> list[tuple[RollEnd, Decimal]]:
    return [(it.end, it.cut_off) for it in plan.of_ends if it.end]


def _hundredths(mm: Decimal, unit: str) -> int:
    return int((mm / BY_LENGTH[unit] * 100).to_integral_value(ROUND_CEILING))

"""What the ledger of movements comes to: for each part, for each work order, for each purchase line."""

from collections.abc import Iterable

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.ground.acting import Act
from app.parts.tables import Movement, PurchaseLine, PurchaseOrder
from app.trade.stock import Move, MoveKind, Standing, Tie

NOTHING = Standing()


def standings(session: Session, *part_ids: int) -> dict[int, Standing]:
    """On hand, reserved and value by part: the sums of the ledger. All that moved where no part is named."""
    asked = select(
        Movement.part_id,
        func.sum(col(Movement.on_hand)),
        func.sum(col(Movement.reserved)),
        func.sum(col(Movement.value)),
    ).group_by(col(Movement.part_id))
    if part_ids:
        asked = asked.where(col(Movement.part_id).in_(part_ids))
    return {part: Standing(*sums) for part, *sums in session.exec(asked)}


def standing_of(session: Session, part_id: int) -> Standing:
    """How one part stands; nothing where it never moved."""
    return standings(session, part_id).get(part_id, NOTHING)


Served = dict[Tie, tuple[int, int, int]]


def served(session: Session, part_id: int, order_id: int) -> Served:
    """What a work order holds of a part, has out of it, and what that is worth, by the work it serves."""
    out = (MoveKind.ISSUE, MoveKind.RETURN)
    rows = session.exec(
        select(
            Movement.work_id,
            func.sum(Movement.reserved),
            func.sum(Movement.on_hand).filter(col(Movement.kind).in_(out)),
            func.sum(Movement.value).filter(col(Movement.kind).in_(out)),
        )
        .where(Movement.part_id == part_id, Movement.work_order_id == order_id)
        .group_by(col(Movement.work_id))
        .order_by(col(Movement.work_id))
    )
    return {work: (held, -(gone or 0), -(value or 0)) for work, held, gone, value in rows}


def held_for(session: Session, part_id: int, order_id: int) -> dict[Tie, int]:
    """What is put aside of a part for a work order, by the work it serves."""
    return {tie: held for tie, (held, _, _) in served(session, part_id, order_id).items() if held}


def held_by_part(session: Session, order_id: int) -> dict[int, int]:
    """What is put aside for a work order, by part, in hundredths; parts of which nothing is are left out."""
    asked = select(Movement.part_id, func.sum(Movement.reserved)).where(Movement.work_order_id == order_id)
    rows = session.exec(asked.group_by(col(Movement.part_id)).order_by(col(Movement.part_id)))
    return {part: held for part, held in rows if held}


def out_for(session: Session, part_id: int, order_id: int) -> dict[Tie, tuple[int, int]]:
    """What a work order has out of a part, with its value, by the work it serves."""
    return {tie: (out, value) for tie, (_, out, value) in served(session, part_id, order_id).items() if out}


def lines_of(session: Session, order_id: int) -> list[PurchaseLine]:
    """The lines of a purchase order, in the order in which they were put on it."""
    mine = PurchaseLine.purchase_order_id == order_id
    return list(session.exec(select(PurchaseLine).where(mine).order_by(col(PurchaseLine.id))))


def received(session: Session, line_ids: Iterable[int]) -> dict[int, int]:
    """What has come of purchase lines so far, by line; lines of which nothing came are left out."""
    asked = (
        select(Movement.purchase_line_id, func.sum(Movement.on_hand))
        .where(col(Movement.purchase_line_id).in_(list(line_ids)), Movement.kind == MoveKind.RECEIVE)
        .group_by(col(Movement.purchase_line_id))
    )
    return {line: came for line, came in session.exec(asked) if line is not None}


def paid(session: Session, line_ids: Iterable[int]) -> dict[int, int]:
    """What the deliveries of purchase lines are worth so far, by line, in minor units."""
    asked = (
        select(Movement.purchase_line_id, func.sum(Movement.value))
        .where(col(Movement.purchase_line_id).in_(list(line_ids)), Movement.kind == MoveKind.RECEIVE)
        .group_by(col(Movement.purchase_line_id))
    )
    return {line: worth for line, worth in session.exec(asked) if line is not None}


def outstanding(session: Session) -> list[tuple[PurchaseLine, int]]:
    """Lines of purchase orders that are not closed, each with what is still to come, above nothing."""
    asked = (
        select(PurchaseLine)
        .join(PurchaseOrder, col(PurchaseLine.purchase_order_id) == col(PurchaseOrder.id))
        .where(col(PurchaseOrder.closed_at).is_(None))
        .order_by(col(PurchaseLine.id))
    )
    lines = list(session.exec(asked))
    came = received(session, [line.key for line in lines])
    left = [(line, line.quantity - line.given_up - came.get(line.key, 0)) for line in lines]
    return [(line, some) for line, some in left if some > 0]


def coming(session: Session) -> dict[int, int]:
    """What is ordered for the shelf and not here yet, by part; special orders are not for the shelf."""
    found: dict[int, int] = {}
    for line, some in outstanding(session):
        if line.work_order_id is None:
            found[line.part_id] = found.get(line.part_id, 0) + some
    return found


def coming_for(session: Session) -> dict[tuple[int, int], dict[Tie, int]]:
    """What is ordered for work orders and not here yet, by work order and part, then by work."""
    found: dict[tuple[int, int], dict[Tie, int]] = {}
    for line, some in outstanding(session):
        if line.work_order_id is not None:
            mine = found.setdefault((line.work_order_id, line.part_id), {})
            mine[line.work_id] = mine.get(line.work_id, 0) + some
    return found


def written(
    act: Act,
    part_id: int,
    moves: Iterable[Move],
    order_id: int | None = None,
    line_id: int | None = None,
    note: str = "",
) -> list[Movement]:
    """Moves as rows of the ledger, to be signed."""
    return [
        Movement(
            created_at=act.at,
            part_id=part_id,
            kind=move.kind,
            on_hand=move.on_hand,
            reserved=move.reserved,
            value=move.value,
            work_order_id=order_id,
            work_id=move.tie,
            purchase_line_id=line_id,
            note=note,
            person_id=act.person,
        )
        for move in moves
    ]

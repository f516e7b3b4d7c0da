"""What is done in the parts room: suppliers and parts kept, stock moved, the shelf counted."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.intake.tables import WorkOrder
from app.parts.ledger import held_for, out_for, standing_of, written
from app.parts.rules import Counted, MoveSaid, PartSaid, SupplierSaid
from app.parts.tables import Movement, Part, Supplier
from app.trade import stock
from app.trade.problems import Impossible, Problem, Refused
from app.trade.stock import Move, MoveKind, Tie, pieces


def save_supplier(book: Engine, act: Act, supplier_id: int | None, said: SupplierSaid) -> int:
    """Keep a supplier, a new one where no key is given; returns the key.

    Raises Refused where the name is another's, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        same = (Supplier.name == said.name, col(Supplier.id) != (supplier_id or 0))
        if session.exec(select(Supplier.id).where(*same)).first():
            raise Refused([Problem("name", "There is a supplier of that name", "another name")])
        row = session.get_one(Supplier, supplier_id) if supplier_id else Supplier(created_at=act.at, name="")
        return _saved(session, act, "save supplier", row, said)


def save_part(book: Engine, act: Act, part_id: int | None, said: PartSaid) -> int:
    """Keep a part, a new one where no key is given; returns the key.

    Raises Refused where the number is another's or parts would supersede each other in a ring, Stale,
    NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = session.get_one(Part, part_id) if part_id else Part(created_at=act.at, number="", name="")
        _refuse_number(session, said.number, part_id)
        _refuse_ring(session, part_id, said.superseded_by_id)
        return _saved(session, act, "save part", row, said)


def _saved(session: Session, act: Act, verb: str, row: Supplier | Part, said: SupplierSaid | PartSaid) -> int:
    receipts.current(row.revision, act)
    put(row, said)
    return receipts.sign(session, act, verb, row)


def put(row: Supplier | Part, said: SupplierSaid | PartSaid) -> None:
    """Put what is said into a row and raise its revision."""
    for name, value in asdict(said).items():
        setattr(row, name, value)
    row.revision += 1


def _refuse_number(session: Session, number: str, part_id: int | None) -> None:
    same = (Part.number == number, col(Part.id) != (part_id or 0))
    if session.exec(select(Part.id).where(*same)).first():
        raise Refused([Problem("number", f"{number} is another part's number", "a number not given yet")])


def _refuse_ring(session: Session, part_id: int | None, newer: int | None) -> None:
    seen = {part_id}
    while newer is not None:
        if newer in seen:
            says = "These parts would supersede each other in a ring"
            raise Refused([Problem("superseded_by", says, "a part that nothing leads back from")])
        seen.add(newer)
        newer = session.get_one(Part, newer).superseded_by_id


# Movements


def move_stock(book: Engine, act: Act, part_id: int, said: MoveSaid) -> int:
    """Keep one movement of a part as it was asked for; returns the part's key.

    Raises Refused beside the field where there is not enough, or no such work order; NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        part = session.get_one(Part, part_id)
        order_id = order_key(session, said.order) if said.order is not None else None
        try:
            moves = _decided(session, part, said, order_id or 0)
        except Impossible as impossible:
            raise Refused([impossible.at("quantity")]) from None
        rows = written(act, part_id, moves, order_id, note=said.note)
        return receipts.sign(session, act, f"{said.kind} stock", part, *rows)


def _decided(session: Session, part: Part, said: MoveSaid, order_id: int) -> Sequence[Move]:
    standing = standing_of(session, part.key)
    match said.kind:
        case MoveKind.RECEIVE:
            return [stock.receive(said.quantity, part.cost if said.cost is None else said.cost)]
        case MoveKind.RESERVE:
            return [stock.reserve(standing, said.quantity)]
        case MoveKind.RELEASE:
            return stock.release(held_for(session, part.key, order_id), said.quantity)
        case MoveKind.ISSUE:
            return stock.issue(standing, held_for(session, part.key, order_id), said.quantity)
        case MoveKind.RETURN:
            return stock.put_back(out_for(session, part.key, order_id), said.quantity)
        case MoveKind.COUNT:
            return [stock.count(standing, said.quantity, part.cost)]


def order_key(session: Session, number: int, field: str = "order") -> int:
    """Key of the work order of a number; Refused at `field` where there is none."""
    found = session.exec(select(WorkOrder).where(WorkOrder.number == number)).first()
    if found is None:
        raise Refused([Problem(field, f"There is no work order {number}", "a number such as WO-000124")])
    return found.key


def reserve_for(
    session: Session, act: Act, part_id: int, order_id: int, quantity: int, tie: Tie = None
) -> list[Movement]:
    """Rows that put a part aside for a work of a work order, to be signed by the caller.

    At most what is free; none where nothing is. `quantity` in hundredths, above 0.
    """
    standing = standing_of(session, part_id)
    some = min(quantity, standing.free)
    if some <= 0:
        return []
    return _added(session, written(act, part_id, [stock.reserve(standing, some, tie)], order_id))


def hand_out(session: Session, act: Act, part_id: int, order_id: int) -> list[Movement]:
    """Rows that hand out everything held of a part for a work order, to be signed by the caller."""
    held = held_for(session, part_id, order_id)
    if not held:
        return []
    moves = stock.issue(standing_of(session, part_id), held, sum(held.values()))
    return _added(session, written(act, part_id, moves, order_id))


def put_back_on_shelf(
    session: Session, act: Act, part_id: int, order_id: int, held: Mapping[Tie, int], quantity: int
) -> list[Movement]:
    """Rows that free some of what is held of a part for a work order, to be signed by the caller.

    `held`: by the work it serves, in the order in which it is freed. Impossible beyond that.
    """
    return _added(session, written(act, part_id, stock.release(held, quantity), order_id))


def _added(session: Session, rows: list[Movement]) -> list[Movement]:
    session.add_all(rows)
    session.flush()
    return rows


def keep_counts(book: Engine, act: Act, counts: Sequence[Counted]) -> int:
    """Keep what was counted, all of it or nothing; returns the key of the first movement.

    Raises Refused beside each field where the shelf moved since the form was shown, or less was counted than
    is reserved.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        rows, problems = [], []
        for each in counts:
            try:
                rows += written(act, each.part_id, [_recount(session, each)])
            except Impossible as impossible:
                problems.append(impossible.at(f"counted-{each.part_id}"))
        if problems:
            raise Refused(problems)
        first, *others = rows
        return receipts.sign(session, act, "count stock", first, *others)


def _recount(session: Session, each: Counted) -> Move:
    part, standing = session.get_one(Part, each.part_id), standing_of(session, each.part_id)
    if standing.on_hand != each.stood:
        now = f"{pieces(each.stood)} stood in the book, now {pieces(standing.on_hand)}"
        raise Impossible(f"It moved since the sheet was shown: {now}", "the shelf counted once more")
    return stock.count(standing, each.counted, part.cost)

"""What the parts room knows, as pages and papers read it: the catalogue, one part, suppliers, the shelf."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import or_
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session, col, select

from app.ground import people
from app.ground.series import order_number
from app.ground.shop import ShopSettings, settings_of
from app.inspection.facts import newest_catalogue
from app.intake.tables import WorkOrder
from app.parts.ledger import NOTHING, coming, standing_of, standings
from app.parts.rules import PartSaid, Shelves, Superseded
from app.parts.tables import Movement, Part, Supplier
from app.trade.figure import Worked
from app.trade.markup import selling_price
from app.trade.money import Money
from app.trade.stock import MoveKind, Standing, pieces, to_order

MOVE_WORDS = {
    MoveKind.RECEIVE: "Received",
    MoveKind.RESERVE: "Reserved",
    MoveKind.RELEASE: "Released",
    MoveKind.ISSUE: "Handed out",
    MoveKind.RETURN: "Came back",
    MoveKind.COUNT: "Counted",
}
MOST_FOUND = 300


@dataclass(frozen=True)
class PartLine:
    """One part in a list: what it is, where it lies, how it stands, what it is sold for.

    `price` in minor units; `coming`: ordered for the shelf; `wanted`: what reordering would buy; hundredths.
    """

    id: int
    number: str
    name: str
    designation: str
    unit: str
    bin: str
    supplier: str
    standing: Standing
    coming: int
    wanted: int
    price: int
    active: bool

    @property
    def on_hand(self) -> str:
        """What is on the shelf, as printed."""
        return pieces(self.standing.on_hand)

    @property
    def reserved(self) -> str:
        """What is reserved of it, as printed."""
        return pieces(self.standing.reserved)

    @property
    def free(self) -> str:
        """What is free, as printed."""
        return pieces(self.standing.free)

    @property
    def unit_word(self) -> str:
        """The unit behind a quantity; nothing for single things."""
        return "" if self.unit == "each" else self.unit


def catalogue(session: Session, find: str = "") -> list[PartLine]:
    """Parts whose number, name, designation, bin or supplier's number holds a text, by bin and number."""
    asked = select(Part).order_by(col(Part.active).desc(), col(Part.bin), col(Part.number))
    if find:
        columns = (Part.number, Part.name, Part.designation, Part.bin, Part.supplier_number)
        asked = asked.where(or_(*(col(each).icontains(find, autoescape=True) for each in columns)))
    return lines_of(session, session.exec(asked.limit(MOST_FOUND)))


def for_shelf(session: Session) -> list[PartLine]:
    """The parts whose free and coming stock has fallen to the reorder point, by bin and number."""
    asked = select(Part).where(col(Part.active), Part.reorder_quantity > 0)
    parts = session.exec(asked.order_by(col(Part.bin), col(Part.number)))
    return [line for line in lines_of(session, parts) if line.wanted]


def lines_of(session: Session, parts: Iterable[Part]) -> list[PartLine]:
    """List lines of some parts, in their order."""
    stands, on_the_way, settings = standings(session), coming(session), settings_of(session)
    names = supplier_names(session)
    return [
        _line(part, stands.get(part.key, NOTHING), on_the_way.get(part.key, 0), names, settings)
        for part in parts
    ]


def _line(
    part: Part, standing: Standing, on_the_way: int, names: Mapping[int, str], settings: ShopSettings
) -> PartLine:
    wanted = to_order(standing, on_the_way, part.reorder_at, part.reorder_quantity)
    return PartLine(
        id=part.key,
        number=part.number,
        name=part.name,
        designation=part.designation,
        unit=part.unit,
        bin=part.bin,
        supplier=names.get(part.supplier_id or 0, ""),
        standing=standing,
        coming=on_the_way,
        wanted=wanted if part.active and part.superseded_by_id is None else 0,
        price=price_of(part, settings),
        active=part.active,
    )


def price_of(part: Part | PartSaid, settings: ShopSettings) -> int:
    """What a part is sold for, in minor units before tax: its own price, else by mark-up."""
    return part.price if part.price is not None else marked_up(part, settings).value.minor


def marked_up(part: Part | PartSaid, settings: ShopSettings) -> Worked[Money]:
    """The price of a part by the shop's mark-up on its cost, as a figure that explains itself."""
    return selling_price(Money(part.cost), settings.markup_steps)


def supplier_names(session: Session) -> dict[int, str]:
    """Names of all suppliers by key."""
    return {row.key: row.name for row in session.exec(select(Supplier))}


def suppliers(session: Session) -> list[Supplier]:
    """All suppliers, those we buy from first, by name; to be read only."""
    return list(session.exec(select(Supplier).order_by(col(Supplier.active).desc(), col(Supplier.name))))


def shelves(session: Session) -> Shelves:
    """What a part's form may name."""
    numbers = {number: key for number, key in session.exec(select(Part.number, Part.id)) if key is not None}
    return Shelves(supplier_names(session), numbers, frozenset(kit_parts(session)))


def kit_parts(session: Session) -> list[str]:
    """What the kits of the newest catalogue call their parts, each once, by name."""
    try:
        kits = newest_catalogue(session).kits
    except NoResultFound:
        return []
    return sorted({part.name for kit in kits for part in kit.parts})


# One part


@dataclass(frozen=True)
class MoveLine:
    """One line of a part's ledger: what was done, by how much, for which work order, what then stood."""

    at: datetime
    kind: MoveKind
    word: str
    on_hand: str
    reserved: str
    order_id: int | None
    order: str
    note: str
    person: str
    then: str


@dataclass(frozen=True)
class PartPage:
    """Everything on a part's page. `figure`: its price by mark-up, None where it has one of its own."""

    part: Part
    line: PartLine
    supplier: Supplier | None
    newer: Part | None
    older: tuple[Part, ...]
    moves: tuple[MoveLine, ...]
    figure: Worked[Money] | None


def part_page(session: Session, part_id: int) -> PartPage:
    """One part with its ledger, the newest movement first; NoResultFound where there is none of that key."""
    part = session.get_one(Part, part_id)
    [line] = lines_of(session, [part])
    older = session.exec(select(Part).where(Part.superseded_by_id == part_id).order_by(col(Part.number)))
    return PartPage(
        part=part,
        line=line,
        supplier=session.get(Supplier, part.supplier_id) if part.supplier_id else None,
        newer=session.get(Part, part.superseded_by_id) if part.superseded_by_id else None,
        older=tuple(older),
        moves=tuple(_moves(session, part_id)),
        figure=marked_up(part, settings_of(session)) if part.price is None else None,
    )


def _moves(session: Session, part_id: int) -> list[MoveLine]:
    names, stood = people.names(session), 0
    rows = session.exec(
        select(Movement, WorkOrder)
        .join(WorkOrder, col(Movement.work_order_id) == col(WorkOrder.id), isouter=True)
        .where(Movement.part_id == part_id)
        .order_by(col(Movement.id))
    )
    lines = []
    for row, order in rows:
        stood += row.on_hand
        lines.append(_move(row, order, names.get(row.person_id, ""), stood))
    return lines[::-1]


def _move(row: Movement, order: WorkOrder | None, person: str, stood: int) -> MoveLine:
    kind = MoveKind(row.kind)
    return MoveLine(
        at=row.created_at,
        kind=kind,
        word=MOVE_WORDS[kind],
        on_hand=signed(row.on_hand),
        reserved=signed(row.reserved),
        order_id=row.work_order_id,
        order=order_number(order.number) if order else "",
        note=row.note,
        person=person,
        then=pieces(stood),
    )


def signed(hundredths: int) -> str:
    """A change as printed, with its sign; empty where nothing changed."""
    return f"{'+' if hundredths > 0 else ''}{pieces(hundredths)}" if hundredths else ""


# The shelf


def aisles(session: Session) -> list[str]:
    """The first pieces of all bins of parts in use, such as A of A-03-2, in order."""
    bins = session.exec(select(Part.bin).where(col(Part.active)).distinct())
    return sorted({aisle_of(each) for each in bins})


def aisle_of(bin_: str) -> str:
    """The aisle of a bin: what stands before its first stroke; empty for a part without a bin."""
    return bin_.partition("-")[0]


def on_shelf(session: Session, aisle: str) -> list[PartLine]:
    """The parts of one aisle that are in use or still lie there, by bin and number."""
    asked = select(Part).order_by(col(Part.bin), col(Part.number))
    lines = lines_of(session, [part for part in session.exec(asked) if aisle_of(part.bin) == aisle])
    return [line for line in lines if line.active or line.standing.on_hand]


def stocked_for(session: Session, names: Iterable[str]) -> dict[str, int]:
    """Keys of the stocked parts by what kits call them; names that no part in use answers to are left out.

    The part at the end of a line of succession counts, also where the one that kits name is retired. Where
    two parts are called alike, the one kept last counts.
    """
    asked = select(Part).where(col(Part.kit_part).in_(set(names) - {""})).order_by(col(Part.id))
    ends = [(part.kit_part, newest(session, part)) for part in session.exec(asked)]
    return {name: part.key for name, part in ends if part.active}


def newest(session: Session, part: Part) -> Part:
    """The part that stands at the end of a line of succession."""
    while part.superseded_by_id is not None:
        part = session.get_one(Part, part.superseded_by_id)
    return part


def superseded(session: Session) -> Superseded:
    """The parts that others have taken the place of, each with the newest of its line."""
    older = list(session.exec(select(Part).where(col(Part.superseded_by_id).is_not(None))))
    in_use = select(Part.name).where(col(Part.active), col(Part.superseded_by_id).is_(None))
    called = {name.upper() for name in session.exec(in_use)}
    newer = {part.number.upper(): newest(session, part) for part in older}
    words = {number: f"{part.number}, {part.name}," for number, part in newer.items()}
    names = {part.name.upper(): words[part.number.upper()] for part in older}
    return Superseded(words, {name: takes for name, takes in names.items() if name not in called})


def standing(session: Session, part_id: int) -> Standing:
    """How one part stands, for rooms that ask before they reserve."""
    return standing_of(session, part_id)

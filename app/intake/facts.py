"""What intake knows, as pages, papers and JSON read it."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlmodel import Session

from app.ground.series import order_number
from app.ground.shop import shop_of
from app.ground.words import day
from app.intake.tables import Owner, Unit, WorkOrder

KIND_WORDS = {
    "travel": "Travel trailer",
    "tent": "Folding tent trailer",
    "cargo": "Cargo trailer",
    "utility": "Utility trailer",
    "boat": "Boat trailer",
}
NUMBER_WORDS = ("no", "one", "two", "three", "four")


@dataclass(frozen=True)
class OrderHead:
    """What stands on the tag of a unit's stay: page, paper and JSON show the same."""

    order_id: int
    order_number: str
    unit_id: int
    owner_id: int
    number: int
    kind: str
    what: str
    made: str
    owner: str
    whose: str
    stands: str
    since: str
    arrived_at: datetime
    promised_at: datetime | None
    vin: str
    revision: int

    @property
    def lines(self) -> list[str]:
        """What a paper's tag says below the owner."""
        return [f"VIN {self.vin}"] if self.vin else [self.made]


def order_head(session: Session, order_id: int) -> OrderHead:
    """The tag of one work order; NoResultFound where there is none of that key."""
    order = session.get_one(WorkOrder, order_id)
    return head_of(
        session, order, session.get_one(Unit, order.unit_id), session.get_one(Owner, order.owner_id)
    )


def head_of(session: Session, order: WorkOrder, unit: Unit, owner: Owner) -> OrderHead:
    """The tag from rows already at hand."""
    arrived = order.arrived_at.astimezone(ZoneInfo(shop_of(session).zone)).date()
    made = made_of(unit)
    return OrderHead(
        order_id=order.key,
        order_number=order_number(order.number),
        unit_id=unit.key,
        owner_id=owner.key,
        number=unit.number,
        kind=unit.kind,
        what=what_of(unit),
        made=made,
        owner=owner.name,
        whose=", ".join(filter(None, (made, owner.name))),
        stands=order.stands or "In the yard",
        since=f"since {day(arrived)}",
        arrived_at=order.arrived_at,
        promised_at=order.promised_at,
        vin=unit.vin,
        revision=order.revision,
    )


def what_of(unit: Unit) -> str:
    """A unit in words: Travel trailer, 21 ft, two axles."""
    length = f"{unit.length_ft} ft" if unit.length_ft else ""
    axles = f"{NUMBER_WORDS[unit.axles]} axle{'' if unit.axles == 1 else 's'}"
    return ", ".join(filter(None, (KIND_WORDS[unit.kind], length, axles)))


def made_of(unit: Unit) -> str:
    """Maker, model and year as far as they are known: 2013 Ashlode 21."""
    return " ".join(filter(None, (str(unit.year or ""), unit.maker, unit.model)))

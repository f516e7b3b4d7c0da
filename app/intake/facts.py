"""What intake knows, as pages, papers and JSON read it."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from sqlmodel import Session, col, select

from app.ground import people
from app.ground.documents import has_left
from app.ground.series import order_number
from app.ground.shop import shop_of
from app.ground.tables import Photo
from app.ground.words import moment
from app.intake.rules import digits
from app.intake.tables import ArrivalPhoto, Concern, Owner, TowVehicle, Unit, WorkOrder
from app.trade.days import day
from app.trade.letters import apart

KIND_WORDS = {
    "travel": "Travel trailer",
    "tent": "Folding tent trailer",
    "cargo": "Cargo trailer",
    "utility": "Utility trailer",
    "boat": "Boat trailer",
}
DEPTH_WORDS = {
    "quick": "Quick walk-round",
    "full": "Full walk-round",
    "prepurchase": "Walk-round before buying",
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
        """What a paper's tag says below maker, model and owner."""
        return [f"VIN {self.vin}"] if self.vin else []


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
        whose=", ".join(map(apart, filter(None, (made, owner.name)))),
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


def unit_of(session: Session, order_id: int) -> Unit:
    """The unit of a work order, to be read only; NoResultFound where there is none of that key."""
    return session.get_one(Unit, session.get_one(WorkOrder, order_id).unit_id)


def owner_of(session: Session, order_id: int) -> Owner:
    """The owner who brought the unit, to be read only; NoResultFound where there is no such work order."""
    return session.get_one(Owner, session.get_one(WorkOrder, order_id).owner_id)


def tow_vehicle_of(session: Session, order_id: int) -> TowVehicle | None:
    """What towed the unit here, to be read only; None where nothing was said of it."""
    key = session.get_one(WorkOrder, order_id).tow_vehicle_id
    return session.get_one(TowVehicle, key) if key is not None else None


def last_tow_vehicle(session: Session, owner_id: int) -> TowVehicle | None:
    """The owner's tow vehicle that was named last, or None."""
    same = TowVehicle.owner_id == owner_id
    return session.exec(select(TowVehicle).where(same).order_by(col(TowVehicle.id).desc())).first()


def concerns_of(session: Session, order_id: int) -> list[str]:
    """The owner's own words, in the order in which they were said."""
    same = Concern.work_order_id == order_id
    return list(session.exec(select(Concern.words).where(same).order_by(col(Concern.id))))


@dataclass(frozen=True)
class ArrivalPicture:
    """A photo of the arriving unit. `sha256`: its print copy, as a paper needs it."""

    photo_id: int
    shows: str
    sha256: str
    taken_at: datetime


def arrival_photos(session: Session, order_id: int) -> list[ArrivalPicture]:
    """The photos of a unit's arrival, in the order in which they were kept."""
    found = session.exec(
        select(ArrivalPhoto, Photo)
        .join(Photo, col(ArrivalPhoto.photo_id) == col(Photo.id))
        .where(ArrivalPhoto.work_order_id == order_id)
        .order_by(col(ArrivalPhoto.id))
    )
    return [ArrivalPicture(photo.key, row.shows, photo.sha256, row.created_at) for row, photo in found]


def last_order_of(session: Session, unit_id: int) -> int | None:
    """Key of a unit's newest work order, or None where it has never been taken in."""
    same = WorkOrder.unit_id == unit_id
    return session.exec(select(WorkOrder.id).where(same).order_by(col(WorkOrder.id).desc())).first()


def still_here(session: Session, unit_id: int) -> WorkOrder | None:
    """A unit's newest work order that was not handed over; None where it is not in the shop."""
    same = WorkOrder.unit_id == unit_id
    orders = session.exec(select(WorkOrder).where(same).order_by(col(WorkOrder.id).desc()))
    return next((order for order in orders if not has_left(session, order.key)), None)


def owner_with_phone(session: Session, phone: str, but: int = 0) -> Owner | None:
    """Another owner who has this telephone number already, or None. `but`: key of the owner at hand."""
    wanted = digits(phone)
    if not wanted:
        return None
    has = col(Owner.phone_digits).contains(wanted)
    found = session.exec(select(Owner).where(has, col(Owner.id) != but))
    return next((owner for owner in found if wanted in owner.phone_digits.split()), None)


# The slip


@dataclass(frozen=True)
class Slip:
    """What the intake slip prints. `came`: label and text of each thing noted when it came."""

    head: OrderHead
    owner: Owner
    depth: str
    concerns: tuple[str, ...]
    came: tuple[tuple[str, str], ...]
    condition: str
    photos: tuple[ArrivalPicture, ...]
    axles: int
    taken_in_by: str


def slip_of(session: Session, order_id: int) -> Slip:
    """Everything on the intake slip of a work order; NoResultFound where there is none of that key."""
    order, unit = session.get_one(WorkOrder, order_id), unit_of(session, order_id)
    return Slip(
        head=order_head(session, order_id),
        owner=owner_of(session, order_id),
        depth=DEPTH_WORDS[order.depth],
        concerns=tuple(concerns_of(session, order_id)),
        came=tuple(_came(session, order, unit)),
        condition=order.condition,
        photos=tuple(arrival_photos(session, order_id)),
        axles=unit.axles,
        taken_in_by=people.names(session).get(order.taken_in_by, ""),
    )


def _came(session: Session, order: WorkOrder, unit: Unit) -> list[tuple[str, str]]:
    tow = tow_vehicle_of(session, order.key)
    zone = shop_of(session).zone
    return [
        ("Towed by", ", ".join(filter(None, (tow.what, tow.plate))) if tow else "not said"),
        ("Ball fitted", (tow.ball_size if tow else "") or "not said"),
        ("Coupler takes", unit.ball_size or "not said"),
        ("Plate", unit.plate or "none seen"),
        ("Keys", str(order.keys) if order.keys else "none"),
        ("Spare", "came with it" if order.came_with_spare else "not with it"),
        ("Gas cylinders", str(order.came_with_cylinders) if order.came_with_cylinders else "none"),
        ("Left with it", order.came_with or "nothing noted"),
        ("Promised", moment(order.promised_at, zone) or "not yet"),
    ]

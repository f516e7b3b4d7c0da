"""Taking a unit in, and putting right later what was written down then."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Engine
from sqlmodel import Session, SQLModel, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.photos import Picture, keep_photo
from app.ground.receipts import Stale
from app.ground.series import next_number, order_number
from app.intake.arrival import Arrival, Known, NumberKind, OwnerSaid, StaySaid, TowSaid, UnitSaid
from app.intake.facts import still_here
from app.intake.rules import digits
from app.intake.tables import ArrivalPhoto, Concern, Owner, TowVehicle, Unit, WorkOrder
from app.trade.problems import Problem, Refused


@dataclass(frozen=True)
class Shot:
    """A picture of the arriving unit, and what it shows."""

    picture: Picture
    shows: str = ""


@dataclass(frozen=True)
class Album:
    """Pictures of an arrival, and the folder that keeps files by their hash."""

    folder: Path
    shots: tuple[Shot, ...] = ()


def take_in(book: Engine, act: Act, arrival: Arrival, album: Album | None = None) -> int:
    """Keep an arrival in one act: owner, unit, tow vehicle, concerns, photos; returns the work order's key.

    Unit and work order get their numbers here. The same act again changes nothing. Raises Refused where the
    VIN is another unit's, or the unit has an open work order and no second one is meant; Stale where owner
    or unit were saved since they were shown.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        owner = _owner(session, act, arrival)
        unit = _unit(session, act, arrival, owner)
        _not_here(session, arrival)
        tow = _tow(session, act, arrival.tow, owner)
        order = _order(session, act, arrival.stay, unit, tow)
        hung = _hung(session, act, order, arrival.stay.concerns, album)
        return receipts.sign(session, act, "take in unit", order, owner, unit, *filter(None, [tow]), *hung)


def _not_here(session: Session, arrival: Arrival) -> None:
    """Question a unit that never left: its concerns belong to the work order that it has."""
    if arrival.known_unit is None or arrival.beside:
        return
    if order := still_here(session, arrival.known_unit.id):
        says = f"The unit has an open work order, {order_number(order.number)}"
        raise Refused([Problem("beside", says, "that one, or the tick that a second one is meant")])


def _owner(session: Session, act: Act, arrival: Arrival) -> Owner:
    """Who brings the unit: a known owner as said now, the unit's own, or a new one."""
    known = arrival.known_owner
    if known is None and arrival.owner is not None:
        return _kept(session, _written(Owner(created_at=act.at, name=""), arrival.owner))
    if known is None:
        assert arrival.known_unit is not None, "an arrival names an owner, or a unit that has one"
        return session.get_one(Owner, session.get_one(Unit, arrival.known_unit.id).owner_id)
    return _known(session, session.get_one(Owner, known.id), known, arrival.owner)


def _unit(session: Session, act: Act, arrival: Arrival, owner: Owner) -> Unit:
    known = arrival.known_unit
    if known is not None:
        unit = session.get_one(Unit, known.id)
        _own_number(session, arrival.unit, unit.id)
        _known(session, unit, known, arrival.unit)
        return _moved_to(unit, owner)
    assert arrival.unit is not None, "an arrival names a unit, or describes a new one"
    _own_number(session, arrival.unit, None)
    number = next_number(session, "unit")
    new = Unit(created_at=act.at, number=number, owner_id=owner.key, kind=arrival.unit.kind)
    return _kept(session, _written(new, arrival.unit))


def _moved_to(unit: Unit, owner: Owner) -> Unit:
    """The unit, in the hands of who brings it now."""
    if unit.owner_id != owner.key:
        unit.owner_id = owner.key
        unit.revision += 1
    return unit


def _own_number(session: Session, said: UnitSaid | None, unit_id: int | None) -> None:
    """Raise Refused where another unit has the same VIN; older and assigned numbers may meet by chance."""
    if said is None or said.vin_kind != NumberKind.STANDARD:
        return
    found = session.exec(select(Unit).where(Unit.vin == said.vin, col(Unit.id) != (unit_id or 0))).first()
    if found is not None:
        says = f"Unit {found.number} has this number already"
        raise Refused([Problem("vin", says, f"another number, or take in unit {found.number} once more")])


def _tow(session: Session, act: Act, said: TowSaid | None, owner: Owner) -> TowVehicle | None:
    """The tow vehicle of that name of the owner, as said now, or a new one."""
    if said is None:
        return None
    same = (TowVehicle.owner_id == owner.key, TowVehicle.what == said.what)
    found = session.exec(select(TowVehicle).where(*same)).first()
    if found is None:
        found = TowVehicle(created_at=act.at, owner_id=owner.key, what=said.what)
    if _differs(found, said):
        _written(found, said)
    return _kept(session, found)


def _order(session: Session, act: Act, stay: StaySaid, unit: Unit, tow: TowVehicle | None) -> WorkOrder:
    order = WorkOrder(
        created_at=act.at,
        number=next_number(session, "work order"),
        unit_id=unit.key,
        owner_id=unit.owner_id,
        tow_vehicle_id=tow.key if tow else None,
        arrived_at=act.at,
        taken_in_by=act.person,
    )
    return _kept(session, _written(order, stay))


def _hung(
    session: Session, act: Act, order: WorkOrder, concerns: Sequence[str], album: Album | None
) -> list[SQLModel]:
    """What hangs on the work order: concerns and photos."""
    said = [Concern(created_at=act.at, work_order_id=order.key, words=words) for words in concerns]
    return [*said, *_photos(session, act, order.key, album)]


def _photos(session: Session, act: Act, order_id: int, album: Album | None) -> list[ArrivalPhoto]:
    if album is None:
        return []
    return [
        ArrivalPhoto(
            created_at=act.at,
            work_order_id=order_id,
            photo_id=keep_photo(session, album.folder, act, shot.picture).key,
            shows=shot.shows,
        )
        for shot in album.shots
    ]


def save_owner(book: Engine, act: Act, owner_id: int, said: OwnerSaid) -> int:
    """Keep what is said of an owner now; returns the owner's key. Raises Stale, NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        owner = session.get_one(Owner, owner_id)
        receipts.current(owner.revision, act)
        return receipts.sign(session, act, "save owner", _written(owner, said))


def save_unit(book: Engine, act: Act, unit_id: int, said: UnitSaid) -> int:
    """Keep what is said of a unit now; returns the unit's key.

    Raises Stale, NoResultFound, and Refused where the VIN is another unit's.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        unit = session.get_one(Unit, unit_id)
        receipts.current(unit.revision, act)
        _own_number(session, said, unit_id)
        return receipts.sign(session, act, "save unit", _written(unit, said))


def save_stay(book: Engine, act: Act, order_id: int, said: StaySaid) -> int:
    """Keep what is said of a stay now; returns the work order's key. Raises Stale, NoResultFound.

    `said.concerns` are added to those that stand: the owner's words are never taken back.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = session.get_one(WorkOrder, order_id)
        receipts.current(order.revision, act)
        new = _hung(session, act, order, said.concerns, None)
        return receipts.sign(session, act, "save stay", _written(order, said), *new)


def add_photos(book: Engine, act: Act, order_id: int, album: Album) -> int:
    """Keep more pictures of an arrival; returns the work order's key. Raises NoResultFound."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = session.get_one(WorkOrder, order_id)
        return receipts.sign(session, act, "add photos", order, *_photos(session, act, order_id, album))


# Rows and what is said of them

Row = Owner | Unit | TowVehicle | WorkOrder
Said = OwnerSaid | UnitSaid | TowSaid | StaySaid


def _columns(said: Said) -> dict[str, object]:
    """What is said by column; a tuple is kept as a list, concerns have rows of their own."""
    found = {name: list(it) if isinstance(it, tuple) else it for name, it in asdict(said).items()}
    found.pop("concerns", None)
    if isinstance(said, OwnerSaid):
        found["phone_digits"] = " ".join(filter(None, map(digits, (said.phone, said.phone_2))))
    return found


def _differs(row: Row, said: Said) -> bool:
    return any(getattr(row, name) != value for name, value in _columns(said).items())


RowKind = TypeVar("RowKind", Owner, Unit, TowVehicle, WorkOrder)


def _written(row: RowKind, said: Said) -> RowKind:
    """The row as said, its revision raised."""
    for name, value in _columns(said).items():
        setattr(row, name, value)
    row.revision += 1
    return row


def _known(session: Session, row: RowKind, known: Known, said: Said | None) -> RowKind:
    """A row that the book has, as said now; raises Stale where it was saved since it was shown."""
    if said is None or not _differs(row, said):
        return row
    if row.revision != known.revision:
        raise Stale(row.revision)
    return _kept(session, _written(row, said))


def _kept(session: Session, row: RowKind) -> RowKind:
    """The row with its key."""
    session.add(row)
    session.flush()
    return row

"""Finding a unit or an owner that the book knows: by unit number, name, telephone, end of the VIN, plate."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, func, or_
from sqlmodel import Session, col, select

from app.intake.facts import made_of, what_of
from app.intake.rules import digits, packed
from app.intake.tables import Owner, Unit, WorkOrder

MOST = 20
LEAST_DIGITS = 4  # fewer digits of a telephone number or VIN name half the book
LARGEST_NUMBER = 2**31
_PHONE = re.compile(r"^[\d\s()+\-./]+$")
_WHOLE = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "ħ": "h", "ı": "i", "æ": "ae", "œ": "oe"})
_ORDER = re.compile(r"^WO-?0*(\d{1,9})$", re.IGNORECASE)


@dataclass(frozen=True)
class UnitFound:
    """A unit that the book knows. `order_id`, `came_at`: its newest stay, None where it has none."""

    unit_id: int
    owner_id: int
    number: int
    what: str
    made: str
    owner: str
    vin: str
    plate: str
    order_id: int | None
    came_at: datetime | None


@dataclass(frozen=True)
class OwnerFound:
    """An owner whom the book knows, with the short numbers of the units."""

    owner_id: int
    name: str
    phone: str
    email: str
    units: tuple[int, ...]


@dataclass(frozen=True)
class Found:
    """What a search found, the newest first; false where it found nothing."""

    units: tuple[UnitFound, ...] = ()
    owners: tuple[OwnerFound, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.units or self.owners)


def find(session: Session, text: str) -> Found:
    """Units and owners that a text can mean, at most 20 of each; nothing for an empty text.

    Read as unit number, work order number, part of a name (accents and capitals do not count), at least
    four digits of a telephone number, at least four signs of the end of a VIN, part of a plate.
    """
    sought = " ".join(text.split())[:80]
    if not sought:
        return Found()
    owners = _owners(session, sought)
    return Found(_units(session, sought, [owner.key for owner in owners]), _with_units(session, owners))


def folded(text: str) -> str:
    """A text without accents and capitals, for comparing names."""
    apart = unicodedata.normalize("NFKD", text.casefold()).translate(_WHOLE)  # no accent falls off these
    return "".join(char for char in apart if not unicodedata.combining(char))


def _owners(session: Session, sought: str) -> list[Owner]:
    """Owners by name or telephone, the newest first."""
    words = folded(sought).split()
    names = session.exec(select(Owner.id, Owner.name))
    keys = [key for key, name in names if all(word in folded(name) for word in words)]
    wanted = or_(col(Owner.id).in_(keys[-MOST:]), *_phone(sought))
    return list(session.exec(select(Owner).where(wanted).order_by(col(Owner.id).desc()).limit(MOST)))


def _phone(sought: str) -> list[ColumnElement[bool]]:
    number = digits(sought)
    if len(number) < LEAST_DIGITS or not _PHONE.match(sought):
        return []
    return [col(Owner.phone_digits).contains(number)]


def _units(session: Session, sought: str, owner_ids: Sequence[int]) -> tuple[UnitFound, ...]:
    """Units by number, work order, VIN, plate, or one of these owners, the newest first."""
    wanted = or_(col(Unit.owner_id).in_(owner_ids), *_numbers(sought), *_plates(sought))
    return _lines(session, wanted)


def units_of(session: Session, owner_id: int) -> tuple[UnitFound, ...]:
    """The newest units of an owner."""
    return _lines(session, col(Unit.owner_id) == owner_id)


def _lines(session: Session, wanted: ColumnElement[bool]) -> tuple[UnitFound, ...]:
    found = session.exec(
        select(Unit, Owner)
        .join(Owner, col(Unit.owner_id) == col(Owner.id))
        .where(wanted)
        .order_by(col(Unit.id).desc())
        .limit(MOST)
    ).all()
    last = _last_stays(session, [unit.key for unit, _ in found])
    return tuple(_unit(unit, owner, last.get(unit.key)) for unit, owner in found)


def _numbers(sought: str) -> list[ColumnElement[bool]]:
    if found := _ORDER.match(sought):
        stay = select(WorkOrder.unit_id).where(WorkOrder.number == int(found[1]))
        return [col(Unit.id).in_(stay)]
    if sought.isascii() and sought.isdigit() and int(sought) < LARGEST_NUMBER:
        return [col(Unit.number) == int(sought)]
    return []


def _plates(sought: str) -> list[ColumnElement[bool]]:
    sign = packed(sought)
    if len(sign) < LEAST_DIGITS:
        return [_bare(Unit.plate) == sign] if sign else []
    return [
        _bare(Unit.vin).endswith(sign, autoescape=True),
        _bare(Unit.plate).contains(sign, autoescape=True),
    ]


def _bare(column: object) -> ColumnElement[str]:
    """A column of numbers without blanks and hyphens, as `packed` leaves a text."""
    bare: Any = column
    for sign in " -./":
        bare = func.replace(bare, sign, "")
    return func.upper(bare)


def _last_stays(session: Session, unit_ids: Sequence[int]) -> dict[int, WorkOrder]:
    stays = select(WorkOrder).where(col(WorkOrder.unit_id).in_(unit_ids)).order_by(col(WorkOrder.id))
    return {stay.unit_id: stay for stay in session.exec(stays)}


def _unit(unit: Unit, owner: Owner, stay: WorkOrder | None) -> UnitFound:
    return UnitFound(
        unit_id=unit.key,
        owner_id=owner.key,
        number=unit.number,
        what=what_of(unit),
        made=made_of(unit),
        owner=owner.name,
        vin=unit.vin,
        plate=unit.plate,
        order_id=stay.key if stay else None,
        came_at=stay.arrived_at if stay else None,
    )


def _with_units(session: Session, owners: Sequence[Owner]) -> tuple[OwnerFound, ...]:
    keys = [owner.key for owner in owners]
    pairs = session.exec(select(Unit.owner_id, Unit.number).where(col(Unit.owner_id).in_(keys))).all()
    return tuple(
        OwnerFound(
            owner_id=owner.key,
            name=owner.name,
            phone=owner.phone,
            email=owner.email,
            units=tuple(sorted(number for key, number in pairs if key == owner.key)),
        )
        for owner in owners
    )

"""What is said when a unit arrives, as plain frozen values: a form or a script makes them, a step keeps them.

Quantities are texts as typed, in the unit that the field beside them names. Everything but an owner's name
and a unit's kind may be left out: an empty text is not known.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Kind(StrEnum):
    """The five kinds of unit."""

    TRAVEL = "travel"
    TENT = "tent"
    CARGO = "cargo"
    UTILITY = "utility"
    BOAT = "boat"


class Preferred(StrEnum):
    """How an owner wants to be reached."""

    PHONE = "phone"
    TEXT = "text"
    EMAIL = "email"
    PAPER = "paper"


class NumberKind(StrEnum):
    """What the number on the frame is; empty in the book while nobody has looked."""

    STANDARD = "standard"
    BEFORE_1981 = "before 1981"
    ASSIGNED = "assigned"
    NONE = "none"


class Brakes(StrEnum):
    """What brakes the unit; unknown until somebody has told or looked."""

    UNKNOWN = "unknown"
    NONE = "none"
    ELECTRIC = "electric"
    SURGE = "surge"
    HYDRAULIC = "hydraulic"
    AIR = "air"


class Ball(StrEnum):
    """Coupler and ball sizes."""

    IN_1_7_8 = "1 7/8 in"
    IN_2 = "2 in"
    IN_2_5_16 = "2 5/16 in"
    IN_3 = "3 in"
    MM_50 = "50 mm"
    LUNETTE = "lunette eye"


class Depth(StrEnum):
    """How deep the walk-round goes."""

    QUICK = "quick"
    FULL = "full"
    PREPURCHASE = "prepurchase"


@dataclass(frozen=True)
class OwnerSaid:
    """An owner as described at the desk."""

    name: str
    phone: str = ""
    phone_2: str = ""
    email: str = ""
    address: str = ""
    preferred: str = Preferred.PHONE


@dataclass(frozen=True)
class UnitSaid:
    """A unit as its plates and its owner describe it.

    `gawr`: one text an axle in `gvwr_unit`, or nothing at all. `torque_low`, `torque_high`: in
    `torque_unit`, with `torque_source`. `wheels_per_end`: 1, or 2 for duals. `brakes_required`: by the law
    where the shop works, None where it is not known. The fields are the columns of the same names.
    """

    kind: str
    vin: str = ""
    vin_kind: str = ""
    plate: str = ""
    maker: str = ""
    model: str = ""
    year: int | None = None
    length_ft: str = ""
    width_in: str = ""
    axles: int = 1
    wheels_per_end: int = 1
    spare: bool = True
    gvwr: str = ""
    gvwr_unit: str = "lb"
    gawr: tuple[str, ...] = ()
    tire_size: str = ""
    tire_pressure: str = ""
    tire_pressure_unit: str = "psi"
    stud_thread: str = ""
    stud_count: int | None = None
    torque_low: str = ""
    torque_high: str = ""
    torque_unit: str = "lbf_ft"
    torque_source: str = ""
    brakes: str = Brakes.UNKNOWN
    brakes_required: bool | None = None
    ball_size: str = ""
    cylinders: int = 0
    battery: str = ""


@dataclass(frozen=True)
class TowSaid:
    """A tow vehicle. `rating`: its towing rating in `rating_unit`; `ball_size`: the ball fitted to it."""

    what: str
    plate: str = ""
    rating: str = ""
    rating_unit: str = "lb"
    ball_size: str = ""


@dataclass(frozen=True)
class StaySaid:
    """One stay: why the owner came, what came along, how it looked, where it stands, what was promised.

    `concerns`: the owner's own words, one text each. `promised_at`: an instant with its zone.
    `depth`: how deep the walk-round goes.
    """

    concerns: tuple[str, ...] = ()
    keys: int = 0
    came_with_spare: bool = False
    came_with_cylinders: int = 0
    came_with: str = ""
    condition: str = ""
    stands: str = ""
    promised_at: datetime | None = None
    depth: str = Depth.FULL


@dataclass(frozen=True)
class Known:
    """A row that the book has already, with the revision that was seen of it."""

    id: int
    revision: int


@dataclass(frozen=True)
class Arrival:
    """Everything that one taking-in keeps: owner, unit, tow vehicle, stay.

    All new: `owner` and `unit` are given, `known_owner` and `known_unit` are None. Returning: `known_unit`
    names the unit; what is given in `unit` replaces what the book has, None leaves it as it is. Likewise
    `known_owner`; with a known unit and neither `owner` nor `known_owner`, the unit's owner brings it.
    `beside`: a second work order is meant beside one that is open.
    """

    stay: StaySaid
    owner: OwnerSaid | None = None
    unit: UnitSaid | None = None
    tow: TowSaid | None = None
    known_owner: Known | None = None
    known_unit: Known | None = None
    beside: bool = False

"""What intake keeps: owners, units, tow vehicles, work orders, concerns, photos of arrival."""

from datetime import datetime
from typing import Any

from sqlalchemy import JSON
from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["arrivalphoto"]


class Owner(Kept, table=True):
    """Who owns units and answers for them."""

    name: str = Field(index=True)
    phone: str = ""
    phone_2: str = ""
    phone_digits: str = Field(default="", index=True)  # digits of both phones, blank between, for the search
    email: str = ""
    address: str = ""
    preferred: str = "phone"  # phone, text, email or paper
    revision: int = 0


class Unit(Kept, table=True):
    """A trailer, as its plates and its owner describe it. Quantities are kept as typed, with their unit."""

    number: int = Field(unique=True)  # the short number that people say
    owner_id: int = Field(foreign_key="owner.id", index=True)
    kind: str  # travel, tent, cargo, utility or boat
    vin: str = Field(default="", index=True)
    vin_kind: str = ""  # what the number is: 17 places, before 1981, state-assigned, home-made, none
    plate: str = Field(default="", index=True)
    maker: str = ""
    model: str = ""
    year: int | None = None
    length_ft: str = ""
    width_in: str = ""
    axles: int = 1
    wheels_per_end: int = 1  # 1 single, 2 dual
    spare: bool = True
    gvwr: str = ""
    gvwr_unit: str = "lb"
    gawr: list[str] = Field(default_factory=list, sa_type=JSON)  # one text an axle, in `gvwr_unit`
    tire_size: str = ""
    tire_pressure: str = ""
    tire_pressure_unit: str = "psi"
    stud_thread: str = ""
    stud_count: int | None = None
    torque_low: str = ""
    torque_high: str = ""
    torque_unit: str = "lbf_ft"
    torque_source: str = ""  # where the figure came from: wheel placard, axle maker's sheet, shop table
    brakes: str = "unknown"  # unknown, none, electric, surge, hydraulic, air
    brakes_required: bool | None = None  # by the law where the shop works; None: not known
    ball_size: str = ""
    cylinders: int = 0
    battery: str = ""
    extra: dict[str, Any] = Field(default_factory=dict, sa_type=JSON)
    revision: int = 0


class TowVehicle(Kept, table=True):
    """What tows the unit."""

    owner_id: int = Field(foreign_key="owner.id", index=True)
    what: str  # maker, model and year as text
    plate: str = ""
    rating: str = ""  # towing rating, as typed
    rating_unit: str = "lb"
    ball_size: str = ""
    revision: int = 0


class WorkOrder(Kept, table=True):
    """One stay of a unit in the shop; all that happens hangs on it. Its stage is derived, never typed."""

    number: int = Field(unique=True)
    unit_id: int = Field(foreign_key="unit.id", index=True)
    owner_id: int = Field(foreign_key="owner.id", index=True)
    tow_vehicle_id: int | None = Field(default=None, foreign_key="towvehicle.id")
    arrived_at: datetime
    taken_in_by: int = Field(foreign_key="person.id")
    keys: int = 0
    came_with_spare: bool = False
    came_with_cylinders: int = 0
    came_with: str = ""  # papers, hitch head, bars ...
    condition: str = ""  # on arrival
    stands: str = ""  # bay or place in the yard
    promised_at: datetime | None = None
    depth: str = "full"  # walk-round: quick, full or prepurchase
    revision: int = 0


class Concern(Kept, table=True):
    """Why the owner came, in the owner's words, never paraphrased."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    words: str


class ArrivalPhoto(Kept, table=True):
    """A photo of the unit as it arrived."""

    work_order_id: int = Field(foreign_key="workorder.id", index=True)
    photo_id: int = Field(foreign_key="photo.id")
    shows: str = ""  # which corner, label, damage

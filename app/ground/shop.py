"""The shop's own settings, typed: rates, taxes, rounding, increments, ages. One row, edited by a lead."""

from dataclasses import dataclass, fields
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import available_timezones

from sqlmodel import Session, select

from app.ground.tables import Shop
from app.trade.typed import Reader, Typed


@dataclass(frozen=True)
class ShopSettings:
    """What the figures need to know of the shop. Money in minor units; rates as Decimal percent.

    `margin`: work may cost this much more than agreed before the owner must be asked again.
    """

    labour_rate: int = 12500
    labour_minimum_tenths: int = 2
    tax_parts: str = "6.0"
    tax_labour: str = "0"
    tax_outside: str = "0"
    tax_supplies: str = "6.0"
    tax_disposal: str = "0"
    rounding: str = "half_up"
    supplies_percent: str = "3"
    supplies_cap: int = 4500
    valid_days: int = 30
    margin: int = 5000
    margin_percent: str = "10"
    weight_increment_g: str = "7"
    weight_unit: str = "oz"
    weight_increment_oz: str = "0.25"
    tire_watch_years: int = 4
    tire_needs_years: int = 6
    tire_dnt_years: int = 10
    wheel_nut_torque_table: str = ""
    brakes_required_from_lb: str = "3000"
    law_place: str = ""

    def percent(self, name: str) -> Decimal:
        """A rate by its name (`tax_parts` ...), in percent."""
        return Decimal(str(getattr(self, name)))

    def with_kept(self, kept: dict[str, Any]) -> "ShopSettings":
        """These settings with the ones that the shop has kept."""
        known = {each.name for each in fields(self)}
        return type(self)(**{**self.__dict__, **{k: v for k, v in kept.items() if k in known}})


def shop_of(session: Session) -> Shop:
    """The shop's row; a shop without one has not been opened yet (NoResultFound)."""
    return session.exec(select(Shop)).one()


def settings_of(session: Session) -> ShopSettings:
    """The shop's settings, defaults where nothing was set."""
    return ShopSettings().with_kept(shop_of(session).settings)


def read_shop(typed: Typed, at: datetime) -> Shop:
    """The shop that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    shop = Shop(
        created_at=at,
        name=read.text("shop_name", required="The shop's name is missing", most=80),
        address=read.text("address", most=160),
        phone=read.text("phone", most=40),
        email=read.text("email", most=120),
        zone=read.text("zone", required="The time zone is missing", most=60),
        paper=read.text("paper") or "letter",
    )
    if shop.zone and shop.zone not in available_timezones():
        read.wrong("zone", f"{shop.zone[:40]} is not a time zone", "a name such as America/New_York")
    if shop.paper not in ("letter", "a4"):
        read.wrong("paper", "This is not a paper size", "letter or a4")
    read.done()
    return shop

"""Dates, times, money and names as people read them."""

from datetime import datetime
from decimal import Decimal
from unicodedata import bidirectional
from zoneinfo import ZoneInfo

from markupsafe import Markup

from app.trade.days import day


def moment(value: datetime | None, zone: str) -> str:
    """An instant in the shop's zone: 4 May 2026, 14:05."""
    if value is None:
        return ""
    local = value.astimezone(ZoneInfo(zone))
    return f"{day(local.date())}, {local.hour}:{local.minute:02}"


def local(value: datetime, zone: str) -> datetime:
    """An instant as the shop's clock shows it."""
    return value.astimezone(ZoneInfo(zone))


def money(minor: int) -> str:
    """Minor units as a printed amount without the currency sign: 1,305.39."""
    return f"{Decimal(minor) / 100:,.2f}"


def apart(typed: str) -> Markup:
    """What a person typed, isolated from the line it stands in (Unicode UAX #9, isolates; HTML, `bdi`).

    So a number after a Hebrew or Arabic name stays behind it. The press takes no direction from the letters:
    where the first strong one runs right to left (UAX #9, P2 and P3), the isolate says so.
    """
    strong = next((it for it in map(bidirectional, typed) if it in {"L", "R", "AL"}), "L")
    isolate = Markup("<bdi>{}</bdi>") if strong == "L" else Markup('<bdi dir="rtl">{}</bdi>')
    return isolate.format(typed)

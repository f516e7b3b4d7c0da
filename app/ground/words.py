"""Dates, times and money as people read them."""

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

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


def begun(text: str) -> str:
    """A text with a capital letter at its start."""
    return text[:1].upper() + text[1:]


def money(minor: int) -> str:
    """Minor units as a printed amount without the currency sign: 1,305.39."""
    return f"{Decimal(minor) / 100:,.2f}"

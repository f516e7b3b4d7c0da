"""Dates, times and money as people read them."""

from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def day(value: date | None) -> str:
    """A date for people: 4 May 2026."""
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1]} {value.year}"


def short_day(value: date | None) -> str:
    """A date where room is short: 4 May."""
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1][:3].replace('Jul', 'July')}"


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

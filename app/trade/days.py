"""Dates as the shop writes them, in figures, on pages and on papers alike."""

from datetime import date

MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)


def day(value: date | None) -> str:
    """A date for people: 4 May 2026; empty where there is none."""
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1]} {value.year}"


def short_day(value: date | None) -> str:
    """A date where room is short: 4 May, 4 July, 4 Dec."""
    return "" if value is None else f"{value.day} {MONTHS[value.month - 1][:3].replace('Jul', 'July')}"

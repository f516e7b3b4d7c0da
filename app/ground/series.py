"""Document numbers: one series a kind and year, without repeats, given inside the act that uses them."""

from sqlmodel import Session

from app.ground.tables import Series

LETTERS = {
    "estimate": "E",
    "invoice": "I",
    "credit note": "CN",
    "receipt": "R",
    "day close": "D",
    "handover": "H",
    "retorque visit": "N",
    "intake": "C",
    "purchase order": "P",
    "work order": "WO",
    "unit": "",
}


def next_number(session: Session, name: str, year: int = 0) -> int:
    """The next number of a series (`year` 0: one series for all years); committed with the act."""
    series = session.get(Series, (name, year)) or Series(name=name, year=year)
    series.last += 1
    session.add(series)
    session.flush()
    return series.last


def dated_number(session: Session, name: str, year: int) -> str:
    """The next number of a yearly series, as printed: `E-2026-0301`."""
    return _dated(name, year, next_number(session, name, year))


def coming_number(session: Session, name: str, year: int) -> str:
    """The number that a yearly series would give next, as printed; it is not given."""
    series = session.get(Series, (name, year))
    return _dated(name, year, series.last + 1 if series else 1)


def _dated(name: str, year: int, number: int) -> str:
    return f"{LETTERS[name]}-{year}-{number:04}"


def order_number(number: int) -> str:
    """A work order's number as printed: `WO-000236`."""
    return f"WO-{number:06}"

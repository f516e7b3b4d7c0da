"""Who came first: the receipt behind the rows that a late form had not seen."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Engine, exists, func
from sqlmodel import Session, col, select

from app.ground import people
from app.ground.book import reading
from app.ground.forms import Filled, Sent, conflict, differing
from app.ground.receipts import Stale
from app.ground.tables import Kept, Receipt
from app.ground.words import moment


@dataclass(frozen=True)
class First:
    """The newest act on a row: who did it, when (UTC), and its verb; no name where no person did."""

    by: str
    at: datetime
    act: str

    def says(self, zone: str) -> str:
        """As a page says it: "Wyn Parry saved first, 4 May 2026, 14:05 (change line)"."""
        return f"{self.by or 'someone'} saved first, {moment(self.at, zone)} ({self.act})"


class About:
    """The rows that a form is about: of any of these tables, with these fields."""

    def __init__(self, *tables: type[Kept], **where: int | str) -> None:
        self.names = [str(table.__tablename__) for table in tables]
        self.where = where

    def left(self) -> ColumnElement[bool]:
        """Whether an act left such a row. Source: json_each of sqlite.org/json1.html."""
        row = func.json_each(Receipt.stood).table_valued("value")
        fields = [func.json_extract(row.c.value, f"$.{name}") == it for name, it in self.where.items()]
        named = func.json_extract(row.c.value, "$.table").in_(self.names)
        return exists().select_from(row).where(named, *fields)


def first_about(session: Session, about: About) -> First | None:
    """The newest act that left such a row, signed by itself or beside another; None where there is none."""
    newest = col(Receipt.id).desc()
    found = session.exec(select(Receipt).where(about.left()).order_by(newest).limit(1)).first()
    if found is None:
        return None
    return First(people.names(session).get(found.person_id or 0, ""), found.created_at, found.act)


def late(
    book: Engine,
    zone: str,
    typed: Sent,
    stale: Stale,
    now: Mapping[str, str],
    about: About,
    *,
    adds: bool = False,
) -> Filled:
    """The form that came too late, beside what came first and by whom.

    `now`: what stands in the book, text by field; `adds`: the form adds a row, so nothing of it is taken.
    """
    with reading(book) as session:
        first = first_about(session, about)
    says = first.says(zone) if first else ""
    return conflict(typed, differing(typed, now), stale.revision, says, adds=adds)

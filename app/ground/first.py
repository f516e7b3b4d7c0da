"""Who came first: the receipt behind the rows that a late form had not seen."""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Engine, exists, func
from sqlmodel import Session, col, select

from app.ground import people
from app.ground.book import reading
from app.ground.forms import Filled, Pair, Sent, conflict, differing
from app.ground.receipts import Stale
from app.ground.tables import Kept, Receipt
from app.ground.words import moment

Row = Mapping[str, Any]


@dataclass(frozen=True)
class First:
    """The newest act on a row: who did it, when (UTC), its verb, and the rows that it left, as JSON has them.

    No name where no person did it; the row that was signed comes first.
    """

    by: str
    at: datetime
    act: str
    rows: Sequence[Row] = ()

    def row(self, table: type[Kept]) -> Row | None:
        """The first row of a table that the act left; None where it left none."""
        return next((row for row in self.rows if row["table"] == table.__tablename__), None)

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
    by = people.names(session).get(found.person_id or 0, "")
    return First(by, found.created_at, found.act, json.loads(found.stood))


@dataclass(frozen=True)
class Beside:
    """A field of a form that adds a row or is asked for no more: its label, and what came first there.

    `words`: what the values of the field are called.
    """

    name: str
    label: str
    theirs: str
    words: Mapping[str, str] = field(default_factory=dict)

    def with_typed(self, typed: Sent) -> Pair:
        """The line of both sides; a repeated field's texts one after the other."""
        mine = ", ".join(self.words.get(text, text) for text in typed.all(self.name) if text.strip())
        return Pair(self.label, self.words.get(self.theirs, self.theirs), mine)


def late(
    book: Engine,
    zone: str,
    typed: Sent,
    stale: Stale,
    about: About,
    now: Mapping[str, str] | None = None,
    beside: Callable[[First], Iterable[Beside]] | None = None,
) -> Filled:
    """The form that came too late, beside what came first and by whom.

    `now`: what stands in the book, text by field, each to be taken or not; `beside`: where nothing is taken,
    the fields sent and what came first in them.
    """
    with reading(book) as session:
        first = first_about(session, about)
    shown = beside(first) if first and beside else ()
    pairs = [each.with_typed(typed) for each in shown if typed.has(each.name)]
    says, told = first.says(zone) if first else "", [pair for pair in pairs if pair.mine or pair.theirs]
    return conflict(typed, differing(typed, now or {}), stale.revision, says, told)

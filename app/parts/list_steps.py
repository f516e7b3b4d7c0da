"""What is done with lists of parts: read in, looked at, kept whole."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.shop import ShopSettings, settings_of
from app.parts.facts import price_of, shelves
from app.parts.lists import Bad, ReadList, misshapen, read_list
from app.parts.rules import PartSaid
from app.parts.steps import put
from app.parts.tables import Part, PartList
from app.trade.problems import Problem, Refused

ASKED = "Some of it is asked about, and was not answered as it stands now"
MOST_TOLD = 5  # beside a field; more of them are one mistake made throughout


@dataclass(frozen=True)
class Priced:
    """What a part costs the shop and what it is sold for, in minor units."""

    cost: int
    price: int


@dataclass(frozen=True)
class ListLine:
    """A part that a list adds or changes: its prices by the list, and before; None for a new one."""

    said: PartSaid
    now: Priced
    before: Priced | None


@dataclass(frozen=True)
class ListPage:
    """A list as it would be kept now: what was read, which of its parts are new, changed, or as they are."""

    row: PartList
    read: ReadList
    new: tuple[ListLine, ...] = ()
    changed: tuple[ListLine, ...] = ()
    same: int = 0


def list_page(session: Session, list_id: int) -> ListPage:
    """One list against the catalogue as it is now; NoResultFound where there is none of that key."""
    row, known = session.get_one(PartList, list_id), known_parts(session)
    read, settings = read_list(row.text, shelves(session), known), settings_of(session)
    parts = [] if read.bad else read.parts
    lines = [
        _line(part, known.get(part.number), settings) for part in parts if known.get(part.number) != part
    ]
    new = tuple(line for line in lines if line.before is None)
    changed = tuple(line for line in lines if line.before is not None)
    return ListPage(row, read, new, changed, len(parts) - len(lines))


def _line(said: PartSaid, before: PartSaid | None, settings: ShopSettings) -> ListLine:
    then = Priced(before.cost, price_of(before, settings)) if before else None
    return ListLine(said, Priced(said.cost, price_of(said, settings)), then)


def lists(session: Session) -> list[PartList]:
    """The lists read in so far, the newest first."""
    return list(session.exec(select(PartList).order_by(col(PartList.id).desc()).limit(30)))


def known_parts(session: Session) -> dict[str, PartSaid]:
    """The parts of the shop as they are said, by number."""
    return {row.number: said_of(row) for row in session.exec(select(Part))}


def said_of(row: Part) -> PartSaid:
    """A part's row as a form would say it."""
    return PartSaid(**{each.name: getattr(row, each.name) for each in fields(PartSaid)})


def read_in(book: Engine, act: Act, text: str) -> int:
    """Keep a list to be looked at; returns its key.

    Raises Refused beside the text where there is none, a column is missing or not known, or a row has too few
    or too many cells: such a list shows nothing to look at.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        if not text.strip():
            raise Refused([Problem("text", "There is no list", "a file, or text with a header row")])
        if bad := misshapen(text):
            raise Refused([beside(bad)])
        return receipts.sign(
            session, act, "read in list", PartList(created_at=act.at, text=text, read_by=act.person)
        )


def beside(bad: Sequence[Bad]) -> Problem:
    """What is wrong with the shape of a list, beside its field: each row and column, and what is accepted."""
    told = [f"Row {it.row}, {it.column or 'the row'}: {it.says}" for it in bad[:MOST_TOLD]]
    more = [f"And {len(bad) - MOST_TOLD} more"] if len(bad) > MOST_TOLD else []
    return Problem("text", ". ".join([*told, *more]), bad[0].accepts)


def keep_list(book: Engine, act: Act, list_id: int, meant: str = "") -> int:
    """Keep every part of a list, all in one act; returns the list's key.

    `meant`: the question of the list (`ReadList.question`) that was answered with yes. Raises Refused where
    any row is bad, what is asked about it was not answered, or it was kept before; NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        page = list_page(session, list_id)
        if page.read.bad:
            raise Refused([Problem("", "Some rows are bad; nothing was kept", "the list put right")])
        if page.row.kept_at is not None:
            raise Refused([Problem("", "This list was kept before", "a new list")])
        if page.read.question != meant:
            raise Refused([Problem("meant", ASKED, "the box set, or another list")])
        page.row.kept_at = act.at
        page.row.revision += 1
        rows = _rows(session, act, page)
        return receipts.sign(session, act, "keep list", page.row, *rows)


def _rows(session: Session, act: Act, page: ListPage) -> list[Part]:
    known: Mapping[str, Part] = {row.number: row for row in session.exec(select(Part))}
    rows = []
    for line in (*page.new, *page.changed):
        said = line.said
        row = known.get(said.number) or Part(created_at=act.at, number="", name="")
        put(row, said)
        rows.append(row)
    return rows

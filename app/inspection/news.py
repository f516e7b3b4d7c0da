"""What became of a walk-round since a tablet looked: for two people who walk round one unit at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, func, select

from app.ground import people
from app.inspection.tables import Finding, Walk
from app.inspection.walking import Stop, rows_of, stops_of
from app.trade.figure import Grade

NEWEST = 5


@dataclass(frozen=True)
class Look:
    """One finished look, as another tablet tells it."""

    finding: int
    name: str
    grade: Grade
    by: str
    by_id: int
    at: datetime
    entry: int


@dataclass(frozen=True)
class News:
    """A walk-round as it stands: `stands` rises with every save of it, `of_station` with those of a station.

    `rows`: its findings in the order of walking; `looks`: the newest, newest first.
    """

    walk: Walk
    stands: int
    stops: tuple[Stop, ...]
    of_station: tuple[tuple[int, int], ...]
    rows: tuple[Finding, ...]
    looks: tuple[Look, ...]


def stands(session: Session, walk_id: int) -> int:
    """A number that rises with every save of a walk-round; one sum over an index."""
    total = session.exec(select(func.sum(Finding.revision)).where(Finding.walk_id == walk_id)).one()
    return int(total or 0)


def news_of(session: Session, walk_id: int) -> News | None:
    """What stands in a walk-round now; None where it is none."""
    walk = session.get(Walk, walk_id)
    if walk is None or walk.depth == "second":
        return None
    rows = rows_of(session, walk_id)
    return News(
        walk=walk,
        stands=sum(row.revision for row in rows),
        stops=tuple(stops_of(rows)),
        of_station=tuple(_by_station(rows)),
        rows=tuple(rows),
        looks=tuple(_looks(session, rows)),
    )


def _by_station(rows: Sequence[Finding]) -> list[tuple[int, int]]:
    sums: dict[int, int] = {}
    for row in rows:
        sums[row.station] = sums.get(row.station, 0) + row.revision
    return sorted(sums.items())


def _looks(session: Session, rows: Sequence[Finding]) -> list[Look]:
    names = people.names(session)
    made = [
        _look(row, at, names.get(row.looked_by or 0, "")) for row in rows if (at := row.looked_at) is not None
    ]
    return sorted(made, key=lambda look: (look.entry, look.finding), reverse=True)[:NEWEST]


def _look(row: Finding, at: datetime, by: str) -> Look:
    return Look(row.key, row.name, Grade(row.grade), by, row.looked_by or 0, at, row.looked_entry)

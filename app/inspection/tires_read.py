"""The date codes that were read at each tire of a stay, for the check that holds them against each other."""

import re
from dataclasses import dataclass

from sqlmodel import Session, col, select

from app.inspection.tables import Finding, Reading, Walk
from app.trade.tin import DateCode, read_date_code

AGE, CODE, APART = "ti.age", "code", "made_apart"  # the check and its measure; the rule that takes them
SPARE_THERE, NO_SPARE = "ti.spare", "none"  # the check and its choice: there is no spare
_AXLE = re.compile(r"^(?:tire|axle)-(\d+)")


@dataclass(frozen=True)
class TireRead:
    """A tire of an axle and its date code as typed, empty where nobody has read it. `place` in words."""

    finding_id: int
    place: str
    code: str


def axle_of(place: str) -> str:
    """The number of the axle that a tire or an axle is of; empty for the spare and all else."""
    found = _AXLE.match(place)
    return found[1] if found else ""


def tires_read(session: Session, order_id: int, axle: str) -> tuple[TireRead, ...]:
    """The tires of an axle as the walk-round of a stay has them, in order of place; none without an axle."""
    return tuple(
        TireRead(row.key, row.name.partition(", ")[2].partition(",")[0], typed or "")
        for row, typed in _rows(session, order_id)
        if axle and axle_of(row.place) == axle
    )


def date_codes(session: Session, order_id: int) -> dict[str, DateCode]:
    """The date codes read on a stay, by the place of their tire."""
    return {
        row.place: read_date_code(typed, row.looked_at.date())
        for row, typed in _rows(session, order_id)
        if typed and row.looked_at
    }


def _rows(session: Session, order_id: int) -> list[tuple[Finding, str | None]]:
    """Each tire's newest look at its age on the walk-round of a stay, second looks left aside."""
    read = (col(Reading.finding_id) == col(Finding.id)) & (Reading.measure == CODE)
    asked = (
        select(Finding, Reading.typed)
        .join(Walk, col(Finding.walk_id) == col(Walk.id))
        .outerjoin(Reading, read)
        .where(Walk.work_order_id == order_id, Walk.depth != "second", Finding.check == AGE)
        .order_by(col(Finding.id))
    )
    newest = {row.place: (row, typed) for row, typed in session.exec(asked)}
    return [newest[place] for place in sorted(newest)]

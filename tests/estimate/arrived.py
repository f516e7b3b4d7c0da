"""A unit in the shop with findings of the real catalogue, made by rows, for the tests of the estimate."""

import hashlib
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from sqlalchemy import Engine
from sqlmodel import Session, select

from app.estimate import facts, steps
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.settings import folder
from app.inspection.catalogue import read_catalogue
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.intake.tables import Owner, Unit, WorkOrder
from tests.conftest import NOON, act


@dataclass(frozen=True)
class Found:
    """A finding to be made: check, place, grade, term, the defects picked."""

    check: str
    place: str
    grade: str
    by: str | None = None
    seen: tuple[str, ...] = ()
    reason: str = "seen"


TREAD = Found("ti.tread", "tire-1-left", "dnt", reason="1/32 in; 2/32 is the least")
AGE = Found("ti.age", "tire-1-left", "needs", "soon", reason="7 years old")
BREAKAWAY = Found("bk.battery", "unit", "needs", "towing", reason="held 6 minutes, 15 are asked for")
HUB_1 = Found("hb.service", "hub-1-left", "needs", "soon", reason="last service not known")
HUB_2 = Found("hb.service", "hub-1-right", "needs", "soon", reason="last service not known")
ROOF = Found("bo.roof", "unit", "watch", reason="hairline gap at the front seam")
PLATE = Found("id.plate", "unit", "sound")
USUAL = (ROOF, TREAD, AGE, BREAKAWAY, HUB_1, HUB_2, PLATE)


@cache
def catalogue_text() -> str:
    """The catalogue that ships with the program, as JSON."""
    return read_catalogue(folder("seed_data") / "catalogue").to_json()


def arrive(book: Engine, found: tuple[Found, ...] = USUAL, *, axles: int = 1, brakes: str = "unknown") -> int:
    """The key of a work order whose walk-round found these."""
    with writing(book) as session:
        number = len(session.exec(select(WorkOrder)).all()) + 1
        owner = _kept(session, Owner(created_at=NOON, name="Rosalind Achterberg", phone="555 0142"))
        unit = Unit(
            created_at=NOON,
            number=400 + number,
            owner_id=owner,
            kind="travel",
            maker="Ashlode",
            axles=axles,
            brakes=brakes,
        )
        _kept(session, unit)
        order = WorkOrder(
            created_at=NOON,
            number=number,
            unit_id=unit.key,
            owner_id=owner,
            arrived_at=NOON,
            taken_in_by=2,
            stands="Bay 2",
        )
        _kept(session, order)
        walk = Walk(
            created_at=NOON,
            work_order_id=order.key,
            catalogue_id=_catalogue(session),
            depth="full",
            begun_by=3,
            ended_at=NOON,
            ended_by=3,
        )
        _kept(session, walk)
        for each in found:
            _kept(session, _finding(walk.key, each))
        return order.key


def _kept(session: Session, row: Owner | Unit | WorkOrder | Walk | Finding | CatalogueVersion) -> int:
    session.add(row)
    session.flush()
    return row.key


def _catalogue(session: Session) -> int:
    text = catalogue_text()
    sha256 = hashlib.sha256(text.encode()).hexdigest()
    kept = session.get(CatalogueVersion, 1)
    return (
        kept.key if kept else _kept(session, CatalogueVersion(created_at=NOON, sha256=sha256, content=text))
    )


def _finding(walk_id: int, found: Found) -> Finding:
    return Finding(
        created_at=NOON,
        walk_id=walk_id,
        check=found.check,
        place=found.place,
        name=f"{found.check} at {found.place}",
        grade=found.grade,
        by=found.by,
        seen=list(found.seen),
        reason=found.reason,
        looked_by=3,
        looked_at=NOON,
    )


def ledger(book: Engine, order_id: int) -> facts.Ledger:
    """The ledger as it stands."""
    with reading(book) as session:
        return facts.ledger(session, order_id, NOON.date())


def writer(book: Engine, order_id: int, at: datetime = NOON) -> Act:
    """An act of the writer who has just seen the ledger."""
    with reading(book) as session:
        return act(person=2, seen=facts.guard(session, order_id), at=at)


def priced(book: Engine, found: tuple[Found, ...] = USUAL, *, axles: int = 1) -> int:
    """The key of a work order whose findings are priced."""
    order_id = arrive(book, found, axles=axles)
    steps.price_findings(book, writer(book, order_id), order_id)
    return order_id


def shown(book: Engine, found: tuple[Found, ...] = USUAL, at: datetime = NOON) -> int:
    """The key of a work order whose estimate was shown to the owner."""
    order_id = priced(book, found)
    steps.freeze(book, writer(book, order_id, at), order_id)
    return order_id


def work_named(book: Engine, order_id: int, start: str) -> facts.LedgerWork:
    """The work of the ledger whose title starts so."""
    return next(work for work in ledger(book, order_id).works if work.title.startswith(start))

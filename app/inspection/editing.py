"""The catalogue kept in the shop's book, version by version: as it ships, and as the shop has changed it."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import people, receipts
from app.ground.acting import Act, now
from app.ground.book import writing
from app.ground.tables import Receipt
from app.inspection.catalogue import Catalogue
from app.inspection.facts import newest_version, version
from app.inspection.shop_changes import CHANGES, AnyChange, differences, fitting, laid_over, with_change
from app.inspection.tables import CatalogueVersion


def keep_catalogue(book: Engine, catalogue: Catalogue) -> int:
    """Key of the version that holds the catalogue as it ships; a new one only where the content is new.

    What the shop has changed is laid over a new one, as a version of its own.
    """
    with writing(book) as session:
        standing = _newest(session)
        sha256 = hashlib.sha256(catalogue.to_json().encode()).hexdigest()
        same = (CatalogueVersion.sha256 == sha256, col(CatalogueVersion.shipped_id).is_(None))
        if (kept := session.exec(select(CatalogueVersion).where(*same)).first()) is not None:
            return kept.key
        shipped = _kept(session, now(), catalogue)
        if standing and standing.changes:
            changes = fitting(catalogue, CHANGES.validate_python(standing.changes))
            _kept(session, now(), laid_over(catalogue, changes), shipped.key, changes)
        return shipped.key


def _newest(session: Session) -> CatalogueVersion | None:
    return session.exec(select(CatalogueVersion).order_by(col(CatalogueVersion.id).desc())).first()


def _kept(
    session: Session,
    at: datetime,
    catalogue: Catalogue,
    shipped_id: int | None = None,
    changes: Sequence[AnyChange] = (),
    person: int | None = None,
) -> CatalogueVersion:
    content = catalogue.to_json()
    row = CatalogueVersion(
        created_at=at,
        sha256=hashlib.sha256(content.encode()).hexdigest(),
        content=content,
        shipped_id=shipped_id,
        changes=[change.model_dump(mode="json", by_alias=True) for change in changes],
        made_by=person,
    )
    session.add(row)
    session.flush()
    return row


def change_catalogue(book: Engine, act: Act, *new: AnyChange) -> int:
    """Keep changes of the shop as one new version; returns its key. Walks keep the version they began with.

    `act.seen`: the version that the page showed. Raises Refused where one does not fit or makes
    lighter what the law sets, Stale where somebody changed the catalogue since.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        standing = newest_version(session)
        receipts.current(standing.key, act)
        shipped_id = standing.shipped_id or standing.key
        changes = CHANGES.validate_python(standing.changes)
        for change in new:
            changes = with_change(changes, change)
        catalogue = laid_over(version(session, shipped_id), changes)
        row = _kept(session, act.at, catalogue, shipped_id, changes, act.person)
        return receipts.sign(session, act, "change catalogue", row)


def made_before(session: Session, act: Act) -> Catalogue | None:
    """The catalogue before the version that this same act made; None for a new act."""
    made = session.exec(select(Receipt.subject_id).where(Receipt.submission == act.submission)).first()
    earlier = select(CatalogueVersion).where(col(CatalogueVersion.id) < (made or 0))
    row = session.exec(earlier.order_by(col(CatalogueVersion.id).desc())).first()
    return version(session, row.key) if row else None


@dataclass(frozen=True)
class VersionLine:
    """One version of the catalogue: when and by whom, and what it says otherwise than the one before."""

    id: int
    at: datetime
    by: str
    says: tuple[str, ...]


def versions(session: Session) -> list[VersionLine]:
    """All versions of the catalogue, the newest first."""
    rows = list(session.exec(select(CatalogueVersion).order_by(col(CatalogueVersion.id))))
    names, said = people.names(session), list[VersionLine]()
    for before, row in zip([None, *rows], rows, strict=False):
        differ = differences(version(session, before.key), version(session, row.key)) if before else []
        by = names.get(row.made_by or 0, "as shipped")
        said.append(VersionLine(row.key, row.created_at, by, tuple(differ)))
    return said[::-1]

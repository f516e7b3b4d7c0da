"""Findings of a walk that weigh more because of others: who they are, and how the book keeps it.

What a finding is alone stays beside what it has become, so that it goes back once the others are better.
"""

from collections.abc import Collection

from sqlmodel import Session, SQLModel, col, select

from app.inspection.catalogue import Check
from app.inspection.facts import catalogue_of
from app.inspection.rules import Found, Lifted, combined
from app.inspection.tables import Finding, Reading
from app.trade.figure import By, Grade

TOGETHER = "worse together: "  # stands in the reason of a finding that was lifted
Alone = dict[str, str | None]


def worse_together(
    session: Session, walk_id: int, without: Collection[int] = ()
) -> list[tuple[Finding, Lifted]]:
    """The findings of a walk that others make heavier than they stand, with what they become.

    What nobody has looked at stays unseen, which is no lighter: it is named before handover. `without`: keys
    of findings that count no more, since they were put right.
    """
    found = _weighed(session, walk_id, without)
    return [(row, made) for row, made in found if made and not _stands(row, made)]


def weigh_together(session: Session, walk_id: int) -> list[SQLModel]:
    """The findings of a walk that its others change, changed, with their readings; none where all stands.

    A finding is lifted by one grade from what it is alone, and goes back to that where nothing lifts it.
    """
    changed = [(row, made) for row, made in _weighed(session, walk_id) if not _stands(row, made)]
    for row, made in changed:
        _become(row, made)
    keys = [row.key for row, _ in changed]
    readings = session.exec(select(Reading).where(col(Reading.finding_id).in_(keys)))
    return [*(row for row, _ in changed), *readings]


def _weighed(
    session: Session, walk_id: int, without: Collection[int] = ()
) -> list[tuple[Finding, Lifted | None]]:
    """Every finding that was looked at, with what others make of it; None where it stands alone."""
    catalogue = catalogue_of(session, walk_id)
    asked = (Finding.walk_id == walk_id, col(Finding.id).not_in(without))
    rows = list(session.exec(select(Finding).where(*asked).order_by(col(Finding.id))))
    found = combined([_found(row, catalogue.check(row.check)) for row in rows])
    lifted = {(made.check, made.place): made for made in found}
    return [(row, lifted.get((row.check, row.place))) for row in rows if row.looked_at is not None]


def _alone(row: Finding) -> Alone:
    return row.alone or {"grade": row.grade, "by": row.by, "reason": row.reason}


def _found(row: Finding, check: Check) -> Found:
    alone = _alone(row)
    by = By(alone["by"]) if alone["by"] else None
    grade = Grade(str(alone["grade"]))
    return Found(row.check, check.system, row.place, grade, by, frozenset(row.seen))


def _becomes(row: Finding, made: Lifted | None) -> Alone:
    alone = _alone(row)
    if made is None:
        return alone
    reason = "; ".join(filter(None, (alone["reason"], f"{TOGETHER}{made.reason}")))
    return {"grade": made.grade, "by": made.by, "reason": reason}


def _stands(row: Finding, made: Lifted | None) -> bool:
    return _becomes(row, made) == {"grade": row.grade, "by": row.by, "reason": row.reason}


def _become(row: Finding, made: Lifted | None) -> None:
    alone, becomes = _alone(row), _becomes(row, made)
    row.grade, row.by, row.reason = str(becomes["grade"]), becomes["by"], str(becomes["reason"])
    row.until, row.until_miles = None, None
    row.alone = alone if made else {}
    row.revision += 1

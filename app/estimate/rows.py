"""The rows of an estimate, as steps and read models both find them."""

from collections.abc import Collection, Mapping
from datetime import date
from typing import Any, TypeVar

from sqlmodel import Session, col, select

from app.estimate.rules import Group, NewLine, Offered
from app.estimate.tables import Estimate, Revision, Work, WorkFinding, WorkLine
from app.ground.shop import ShopSettings, settings_of
from app.ground.taxes import DaySettings, settings_on
from app.inspection.facts import findings_of
from app.trade.money import Tolerance
from app.trade.totals import LineKind

Settings = TypeVar("Settings", bound=ShopSettings)


def estimate_of(session: Session, order_id: int) -> Estimate | None:
    """The estimate of a work order, or None before anything was priced."""
    return session.exec(select(Estimate).where(Estimate.work_order_id == order_id)).one_or_none()


def revisions_of(session: Session, estimate_id: int) -> list[Revision]:
    """All revisions of an estimate, the first one first; the last one may still be open."""
    mine = Revision.estimate_id == estimate_id
    return list(session.exec(select(Revision).where(mine).order_by(col(Revision.n))))


def newest_revision(session: Session, order_id: int) -> Revision | None:
    """The newest revision of a work order's estimate, open or frozen; None before anything was priced."""
    estimate = estimate_of(session, order_id)
    return revisions_of(session, estimate.key)[-1] if estimate else None


def lines_of(session: Session, revision_id: int) -> list[WorkLine]:
    """The lines of a revision, in their order."""
    mine = WorkLine.revision_id == revision_id
    return list(session.exec(select(WorkLine).where(mine).order_by(col(WorkLine.position))))


def works_of(session: Session, order_id: int) -> dict[int, Work]:
    """All works of a work order by key, also those that only an older revision holds."""
    mine = select(Work).where(Work.work_order_id == order_id).order_by(col(Work.id))
    return {work.key: work for work in session.exec(mine)}


def findings_by_work(session: Session, order_id: int) -> dict[int, tuple[int, ...]]:
    """Keys of the findings that each work answers."""
    pairs = session.exec(
        select(WorkFinding.work_id, WorkFinding.finding_id)
        .join(Work, col(WorkFinding.work_id) == col(Work.id))
        .where(Work.work_order_id == order_id)
        .order_by(col(WorkFinding.id))
    )
    by_work: dict[int, tuple[int, ...]] = {}
    for work_id, finding_id in pairs:
        by_work[work_id] = (*by_work.get(work_id, ()), finding_id)
    return by_work


def priced_findings(session: Session, order_id: int) -> frozenset[int]:
    """Keys of the findings that some work of the newest revision answers."""
    newest = newest_revision(session, order_id)
    here = {line.work_id for line in lines_of(session, newest.key)} if newest else set()
    by_work = findings_by_work(session, order_id)
    return frozenset(finding for work in here for finding in by_work.get(work, ()))


def as_line(row: WorkLine) -> NewLine:
    """A kept line as the rules take it."""
    return NewLine(LineKind(row.kind), row.what, row.quantity, row.price, row.tax)


def tow_holding(session: Session, order_id: int) -> frozenset[int]:
    """Keys of the works that answer a finding for which the unit may not leave under tow."""
    holding = {line.id for line in findings_of(session, order_id) if line.holds_the_tow}
    by_work = findings_by_work(session, order_id)
    return frozenset(work for work, findings in by_work.items() if holding & set(findings))


def offered(lines: list[WorkLine], works: dict[int, Work], holding: Collection[int] = ()) -> list[Offered]:
    """The works that lines make up, each with its amount before tax, in the order of the lines.

    `holding`: keys of the works without which the unit may not be towed.
    """
    amounts: dict[int, int] = {}
    groups: dict[int, str] = {}
    for line in lines:
        amounts[line.work_id] = amounts.get(line.work_id, 0) + line.amount
        groups.setdefault(line.work_id, line.group)
    return [
        Offered(key, works[key].title, Group(groups[key]), amount, works[key].instead_of_id, key in holding)
        for key, amount in amounts.items()
    ]


def charges_of(session: Session, revision: Revision | None, today: date) -> DaySettings:
    """The settings and tax rates that price a revision: as when it was frozen, else as they are today."""
    return settings_as(revision.totals if revision else {}, settings_on(session, today))


def settings_as(totals: Mapping[str, Any], now: Settings) -> Settings:
    """The settings that were frozen in a revision's totals; those of now where it is open.

    A setting that they do not name came later: it is what a shop begins with, which is as it was before.
    """
    return type(now)().with_kept(totals["settings"]) if "settings" in totals else now


def margin_of(session: Session, order_id: int) -> Tolerance:
    """How far work may pass what was agreed, by the settings that price the newest revision."""
    newest = newest_revision(session, order_id)
    return settings_as(newest.totals if newest else {}, settings_of(session)).tolerance

"""What price and consent know, as pages, papers and JSON read it."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from app.estimate.tables import Answer, Consent, Estimate, Revision, Work, WorkFinding, WorkLine


@dataclass(frozen=True)
class OwnersWord:
    """The owner's latest answer to one work: yes, no or later, when, how, and up to what amount."""

    work: Work
    answer: str
    amount: int
    acknowledged: str
    said_at: datetime
    how: str
    who: str
    finding_ids: tuple[int, ...]


def owners_words(session: Session, order_id: int) -> dict[int, OwnersWord]:
    """The latest answer to each work of a work order, by work key; works never answered are left out."""
    said = session.exec(
        select(Answer, Consent, Work)
        .join(Consent, col(Answer.consent_id) == col(Consent.id))
        .join(Work, col(Answer.work_id) == col(Work.id))
        .where(Work.work_order_id == order_id)
        .order_by(col(Answer.id))
    )
    answers = {work.key: (answer, consent, work) for answer, consent, work in said}
    findings = findings_by_work(session, order_id)
    return {
        key: OwnersWord(
            work=work,
            answer=answer.answer,
            amount=answer.amount,
            acknowledged=answer.acknowledged,
            said_at=consent.said_at,
            how=consent.how,
            who=consent.who,
            finding_ids=findings.get(key, ()),
        )
        for key, (answer, consent, work) in answers.items()
    }


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


def estimate_of(session: Session, order_id: int) -> Estimate | None:
    """The estimate of a work order, or None before anything was priced."""
    return session.exec(select(Estimate).where(Estimate.work_order_id == order_id)).one_or_none()


def revisions_of(session: Session, estimate_id: int) -> list[Revision]:
    """All revisions of an estimate, the first one first; the last one may still be open."""
    mine = Revision.estimate_id == estimate_id
    return list(session.exec(select(Revision).where(mine).order_by(col(Revision.n))))


def lines_of(session: Session, revision_id: int) -> list[WorkLine]:
    """The lines of a revision, in their order."""
    mine = WorkLine.revision_id == revision_id
    return list(session.exec(select(WorkLine).where(mine).order_by(col(WorkLine.position))))

"""What the owner said, as every later room reads it: the latest answer to each work, and whether it holds."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func
from sqlmodel import Session, col, select

from app.estimate.cover import Bounds, Yes, lapses
from app.estimate.rows import estimate_of, revisions_of, settings_as, works_of
from app.estimate.tables import Answer, Consent, Estimate, Revision, Work, WorkFinding, WorkLine
from app.ground import people
from app.ground.shop import ShopSettings, settings_of


@dataclass(frozen=True)
class OwnersWord:
    """The owner's latest answer to one work: yes, no or later, when, how, and up to what amount.

    `entry`: number in the book of the act that kept it. `lapsed`: why a yes covers the work no longer, a
    sentence without its full stop; empty where it does.
    """

    work: Work
    answer: str
    amount: int
    acknowledged: str
    said_at: datetime
    entry: int
    how: str
    who: str
    finding_ids: tuple[int, ...]
    lapsed: str = ""

    @property
    def holds(self) -> bool:
        """Whether the work may be done: a yes that still covers what it costs now."""
        return self.answer == "yes" and not self.lapsed


Said = tuple[Answer, Consent, Work]
OTHER_WAY = "The owner chose another way of doing it"


def owners_words(session: Session, order_id: int) -> dict[int, OwnersWord]:
    """The latest answer to each work of a work order, by work key; works never answered are left out."""
    return words_of(session, [order_id]).get(order_id, {})


def words_of(session: Session, order_ids: Sequence[int]) -> dict[int, dict[int, OwnersWord]]:
    """The latest answers of several work orders, in a fixed number of queries however many there are."""
    said = _said(session, order_ids)
    prices, charges = _prices_now(session, order_ids), _charges_now(session, order_ids)
    findings = _findings(session, order_ids)
    return {
        order: _words(rows, prices.get(order, {}), charges[order], findings) for order, rows in said.items()
    }


def _said(session: Session, order_ids: Sequence[int]) -> dict[int, list[Said]]:
    rows = session.exec(
        select(Answer, Consent, Work)
        .join(Consent, col(Answer.consent_id) == col(Consent.id))
        .join(Work, col(Answer.work_id) == col(Work.id))
        .where(col(Work.work_order_id).in_(order_ids))
        .order_by(col(Answer.id))
    )
    by_order: dict[int, list[Said]] = {}
    for answer, consent, work in rows:
        by_order.setdefault(work.work_order_id, []).append((answer, consent, work))
    return by_order


def _prices_now(session: Session, order_ids: Sequence[int]) -> dict[int, dict[int, int]]:
    """What each work of the newest revision costs, by order and work, in minor units before tax."""
    newest = select(func.max(Revision.id)).group_by(col(Revision.estimate_id))
    rows = session.exec(
        select(Estimate.work_order_id, WorkLine.work_id, func.sum(WorkLine.amount))
        .join(Revision, col(Revision.estimate_id) == col(Estimate.id))
        .join(WorkLine, col(WorkLine.revision_id) == col(Revision.id))
        .where(col(Estimate.work_order_id).in_(order_ids), col(Revision.id).in_(newest))
        .group_by(col(Estimate.work_order_id), col(WorkLine.work_id))
    )
    by_order: dict[int, dict[int, int]] = {}
    for order, work, amount in rows:
        by_order.setdefault(order, {})[work] = amount
    return by_order


def _charges_now(session: Session, order_ids: Sequence[int]) -> dict[int, ShopSettings]:
    """The settings that price each order's newest revision: as they were when it was frozen, else as now."""
    settings = settings_of(session)
    rows = session.exec(
        select(Estimate.work_order_id, Revision.totals)
        .join(Revision, col(Revision.estimate_id) == col(Estimate.id))
        .where(col(Estimate.work_order_id).in_(order_ids))
        .order_by(col(Revision.id))
    )
    return {order: settings_as(totals, settings) for order, totals in rows}


def _findings(session: Session, order_ids: Sequence[int]) -> dict[int, tuple[int, ...]]:
    pairs = session.exec(
        select(WorkFinding.work_id, WorkFinding.finding_id)
        .join(Work, col(WorkFinding.work_id) == col(Work.id))
        .where(col(Work.work_order_id).in_(order_ids))
        .order_by(col(WorkFinding.id))
    )
    by_work: dict[int, tuple[int, ...]] = {}
    for work_id, finding_id in pairs:
        by_work[work_id] = (*by_work.get(work_id, ()), finding_id)
    return by_work


def _words(
    said: Iterable[Said],
    prices: Mapping[int, int],
    charges: ShopSettings,
    findings: Mapping[int, tuple[int, ...]],
) -> dict[int, OwnersWord]:
    latest = {work.key: (answer, consent, work) for answer, consent, work in said}
    yes = [
        Yes(key, answer.amount, prices.get(key))
        for key, (answer, _, _) in latest.items()
        if answer.answer == "yes"
    ]
    others = _other_ways(latest.values())
    bounds = Bounds(charges.tolerance, limit_in(consent for _, consent, _ in said))
    lapsed = lapses([it for it in yes if it.work_id not in others], bounds) | others
    return {key: _word(row, findings.get(key, ()), lapsed.get(key, "")) for key, row in latest.items()}


def _other_ways(said: Iterable[Said]) -> dict[int, str]:
    """Works agreed to before the owner chose another way of doing the same, with that as the reason."""
    newest: dict[int, Said] = {}
    yes = [it for it in said if it[0].answer == "yes"]
    for it in sorted(yes, key=lambda it: it[0].key):
        newest[it[2].instead_of_id or it[2].key] = it
    chosen = {it[2].key for it in newest.values()}
    return {work.key: OTHER_WAY for _, _, work in yes if work.key not in chosen}


def _word(said: Said, finding_ids: tuple[int, ...], lapsed: str) -> OwnersWord:
    answer, consent, work = said
    return OwnersWord(
        work=work,
        answer=answer.answer,
        amount=answer.amount,
        acknowledged=answer.acknowledged,
        said_at=consent.said_at,
        entry=consent.entry,
        how=consent.how,
        who=consent.who,
        finding_ids=finding_ids,
        lapsed=lapsed,
    )


def limit_in(consents: Iterable[Consent]) -> int | None:
    """The most that the owner named last, in minor units before tax; None where no consent names any."""
    named = [consent.limit for consent in consents if consent.limit is not None]
    return named[-1] if named else None


def limit_of(session: Session, order_id: int) -> int | None:
    """The most that the owner of a work order named last, in minor units before tax, or None."""
    return limit_in(row for _, row in kept_consents(session, order_id))


@dataclass(frozen=True)
class AnsweredLine:
    """One answer as kept: the work, yes, no or later, the amount agreed to, the owner's initials."""

    title: str
    answer: str
    amount: int
    initials: str


@dataclass(frozen=True)
class ConsentLine:
    """One consent as kept: who, how, when, to which revision, the limit, and how many said what."""

    n: int
    how: str
    who: str
    phone: str
    said_at: datetime
    read_back: str
    limit: int | None
    signature: str
    taken_by: str
    answers: tuple[AnsweredLine, ...]

    @property
    def agreed(self) -> int:
        """What was agreed to in it, in minor units before tax."""
        return sum(each.amount for each in self.answers)


def consents_of(session: Session, order_id: int) -> list[ConsentLine]:
    """All consents of a work order, the newest first."""
    works, names = works_of(session, order_id), people.names(session)
    return [_consent(session, row, n, works, names) for n, row in kept_consents(session, order_id)][::-1]


def kept_consents(session: Session, order_id: int) -> Iterator[tuple[int, Consent]]:
    """The consents of a work order in the order in which they were kept, each with its revision's number."""
    estimate = estimate_of(session, order_id)
    numbers = {row.key: row.n for row in revisions_of(session, estimate.key)} if estimate else {}
    kept = select(Consent).where(col(Consent.revision_id).in_(numbers)).order_by(col(Consent.id))
    yield from ((numbers[row.revision_id], row) for row in session.exec(kept))


def _consent(
    session: Session, row: Consent, n: int, works: Mapping[int, Work], names: Mapping[int, str]
) -> ConsentLine:
    answers = session.exec(select(Answer).where(Answer.consent_id == row.key).order_by(col(Answer.id)))
    return ConsentLine(
        n=n,
        how=row.how,
        who=row.who,
        phone=row.phone,
        said_at=row.said_at,
        read_back=row.read_back,
        limit=row.limit,
        signature=row.signature,
        taken_by=names.get(row.taken_by, ""),
        answers=tuple(
            AnsweredLine(works[it.work_id].title, it.answer, it.amount, it.acknowledged) for it in answers
        ),
    )

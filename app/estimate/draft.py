"""The open revision in hand: found, or copied from the one that was shown; priced in one place; signed."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.estimate import rules
from app.estimate.rows import lines_of, newest_revision
from app.estimate.rules import SUPPLIES, NewLine
from app.estimate.tables import Estimate, Revision, Work, WorkLine
from app.ground import receipts
from app.ground.acting import Act
from app.ground.receipts import current
from app.ground.series import dated_number
from app.ground.shop import ShopSettings, settings_of, shop_of
from app.ground.words import local
from app.intake.tables import WorkOrder
from app.trade.totals import LineKind


@dataclass
class Draft:
    """The open revision being changed. `lines`: by the key that the form knew, also where it was frozen."""

    session: Session
    act: Act
    order: WorkOrder
    settings: ShopSettings
    revision: Revision
    lines: dict[int, WorkLine]

    def line(self, line_id: int) -> WorkLine:
        """The line that a form means; NoResultFound where the newest revision has none of that key."""
        if line_id not in self.lines:
            raise NoResultFound
        return self.lines[line_id]

    def of_work(self, work_id: int) -> list[WorkLine]:
        """The lines of a work; NoResultFound where the newest revision does not hold it."""
        found = [line for line in self.lines.values() if line.work_id == work_id]
        if not found:
            raise NoResultFound
        return found

    def add(self, work_id: int, group: str, new: Iterable[NewLine]) -> list[WorkLine]:
        """Lines put at the end of the revision."""
        return [self._add(work_id, group, line) for line in new]

    def _add(self, work_id: int, group: str, new: NewLine) -> WorkLine:
        line = WorkLine(
            created_at=self.act.at,
            revision_id=self.revision.key,
            work_id=work_id,
            position=max((each.position for each in self.lines.values()), default=0) + 1,
            group=group,
            kind=new.kind,
            what=new.what,
            price=new.price,
            tax=new.tax,
        )
        self.price(line, new)
        self.session.add(line)
        self.session.flush()
        self.lines[line.key] = line
        return line

    def price(self, line: WorkLine, new: NewLine) -> None:
        """Put what a line says and costs into its row; the amount is rounded here and nowhere else."""
        line.what, line.quantity, line.price, line.tax = new.what, new.quantity, new.price, new.tax
        line.amount = new.amount(self.settings.rule.rounding).minor

    def remove(self, line: WorkLine) -> None:
        """Take a line off the revision."""
        self.lines = {key: each for key, each in self.lines.items() if each is not line}
        self.session.delete(line)
        self.session.flush()


def open_draft(session: Session, act: Act, order_id: int) -> Draft:
    """The revision that may be changed: the open one, else a copy of the frozen one, else the first."""
    order, settings = session.get_one(WorkOrder, order_id), settings_of(session)
    newest = newest_revision(session, order_id)
    current(newest.revision if newest else 0, act)
    if newest is None:
        return Draft(session, act, order, settings, _first(session, act, order_id), {})
    if newest.frozen_at is None:
        newest.revision += 1
        return Draft(
            session, act, order, settings, newest, {it.key: it for it in lines_of(session, newest.key)}
        )
    return _copied(session, act, order, settings, newest)


def _first(session: Session, act: Act, order_id: int) -> Revision:
    year = local(act.at, shop_of(session).zone).year
    number = dated_number(session, "estimate", year)
    estimate = Estimate(created_at=act.at, work_order_id=order_id, number=number)
    session.add(estimate)
    session.flush()
    return _kept(session, Revision(created_at=act.at, estimate_id=estimate.key, n=1, revision=1))


def _kept(session: Session, revision: Revision) -> Revision:
    session.add(revision)
    session.flush()
    return revision


def _copied(session: Session, act: Act, order: WorkOrder, settings: ShopSettings, frozen: Revision) -> Draft:
    after = Revision(
        created_at=act.at, estimate_id=frozen.estimate_id, n=frozen.n + 1, revision=frozen.revision + 1
    )
    _kept(session, after)
    copies = {
        line.key: WorkLine(
            **line.model_dump(exclude={"id", "created_at", "revision_id"}),
            created_at=act.at,
            revision_id=after.key,
        )
        for line in lines_of(session, frozen.key)
    }
    session.add_all(copies.values())
    session.flush()
    return Draft(session, act, order, settings, after, copies)


def sign(draft: Draft, verb: str, row: Work | WorkLine | Revision, *others: Work | Revision) -> int:
    """The key of `row`, after the supplies are worked out anew and the draft is signed with all its lines."""
    _share_supplies(draft)
    lines = sorted(draft.lines.values(), key=lambda line: line.position)
    rest = [line for line in lines if line is not row]
    return receipts.sign(draft.session, draft.act, verb, row, *others, *rest)


def _share_supplies(draft: Draft) -> None:
    """Work the supplies of every work out anew, from its labour."""
    labour: dict[int, int] = {line.work_id: 0 for line in draft.lines.values()}
    supplies = {line.work_id: line for line in draft.lines.values() if ours(line)}
    for line in draft.lines.values():
        if line.kind == LineKind.LABOUR:
            labour[line.work_id] += line.amount
    shares = rules.supplies_shares(list(labour.values()), draft.settings)
    for work_id, share in zip(labour, shares, strict=True):
        _put_supplies(draft, work_id, supplies.get(work_id), share)


def _put_supplies(draft: Draft, work_id: int, line: WorkLine | None, share: int) -> None:
    new = NewLine(LineKind.FEE, SUPPLIES, "1", share, rules.Tax.SUPPLIES)
    if line is None and share:
        draft.add(work_id, draft.of_work(work_id)[0].group, [new])
    elif line is not None and share:
        draft.price(line, new)
    elif line is not None:
        draft.remove(line)


def ours(line: WorkLine) -> bool:
    """Whether a line is the one of supplies, which the shop's settings work out."""
    return line.what == SUPPLIES

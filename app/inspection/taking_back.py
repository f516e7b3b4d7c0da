"""Taking back: the last twenty acts of a person on a unit's walk-round, each put back to what stood before.

Nothing is erased: the act's receipt stays, a row says that it was taken back, a new receipt what stands.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Engine, and_, or_
from sqlmodel import Session, SQLModel, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.documents import has_left
from app.ground.tables import Kept, Receipt
from app.inspection.facts import catalogue_of
from app.inspection.rules import ON_THE_ORDER
from app.inspection.steps import END, RECORD, REST, SAME, SECOND, match_anew, stood_at_the_end
from app.inspection.tables import Finding, FindingPhoto, PhotoLeftOut, Reading, TakenBack, Walk
from app.inspection.together import weigh_together
from app.trade.figure import By, Grade
from app.trade.problems import Problem, Refused

MOST = 20
ACTS = (RECORD, SAME, REST, END)
UNDO = "take back"
REASONS = {
    "place": "Saved at the wrong place",
    "misread": "Reading misread or mistyped",
    "key": "Wrong key tapped",
    "anew": "To be looked at anew",
}
KEPT_ALWAYS = {"id", "created_at", "walk_id", "check", "place", "name", "station", "revision"}
LIFTS = ("grade", "by", "reason")  # what others make heavier
Stood = dict[str, Any]  # one row as a receipt keeps it


@dataclass(frozen=True)
class Changed:
    """One finding of an act: its key and name, what the act made of it, and what stood before."""

    id: int
    name: str
    station: int
    made: str
    before: str


@dataclass(frozen=True)
class LastAct:
    """One act of a person on a unit. `stands`: nobody has changed since what it left.

    `tapped`: when a tablet took it that could send it at `at` only; None where it was sent at once.
    """

    id: int
    walk_id: int
    at: datetime
    ends: bool
    changed: tuple[Changed, ...]
    safety: bool
    stands: bool
    taken_back: bool
    tapped: datetime | None = None

    @property
    def back_at(self) -> str:
        """Address of the page where its taking back is seen."""
        if len(self.changed) == 1:
            return f"/inspection/findings/{self.changed[0].id}"
        walk = f"/inspection/walks/{self.walk_id}"
        return f"{walk}/stations/{self.changed[0].station}" if self.changed else f"{walk}/sum-up"


# What can be taken back


def last_acts(session: Session, order_id: int, person: int) -> list[LastAct]:
    """The last twenty acts of a person on a unit's walk-round, the newest first."""
    mine = and_(_on(order_id), col(Receipt.person_id) == person, col(Receipt.act).in_(ACTS))
    found = session.exec(select(Receipt).where(mine).order_by(col(Receipt.id).desc()).limit(MOST))
    return [_told(session, order_id, receipt) for receipt in found]


def offered(acts: Sequence[LastAct]) -> LastAct | None:
    """The act that the key takes back: the newest that stands as it was left; None where none does."""
    return next((act for act in acts if act.stands and not act.taken_back), None)


def _on(order_id: int) -> ColumnElement[bool]:
    """The receipts of a work order's walks."""
    walks = select(Walk.id).where(Walk.work_order_id == order_id)
    findings = select(Finding.id).where(col(Finding.walk_id).in_(walks))
    taken = select(TakenBack.id).where(col(TakenBack.walk_id).in_(walks))
    of = {"walk": walks, "finding": findings, "takenback": taken}
    subject, key = col(Receipt.subject), col(Receipt.subject_id)
    return or_(*(and_(subject == name, key.in_(asked)) for name, asked in of.items()))


def _told(session: Session, order_id: int, receipt: Receipt) -> LastAct:
    own = _own(receipt)
    walk_id = own[0]["walk_id"] if own else receipt.subject_id
    checks = catalogue_of(session, walk_id)
    taken = session.exec(select(TakenBack.id).where(TakenBack.receipt_id == receipt.key)).first()
    return LastAct(
        id=receipt.key,
        walk_id=walk_id,
        at=receipt.created_at,
        ends=receipt.act == END,
        changed=tuple(_changed(session, order_id, receipt, row) for row in own),
        safety=any(checks.check(row["check"]).safety for row in own),
        stands=_stands(session, receipt, own),
        taken_back=taken is not None,
        tapped=receipts.tapped(receipt),
    )


def _own(receipt: Receipt) -> list[Stood]:
    """The findings that an act itself looked at, as it left them; not those that it only lifted."""
    rows: list[Stood] = json.loads(receipt.stood)
    found = [row for row in rows if row["table"] == "finding" and row["looked_at"]]
    if receipt.act == END:
        return []
    return [row for row in found if datetime.fromisoformat(row["looked_at"]) == receipt.created_at]


def _changed(session: Session, order_id: int, receipt: Receipt, row: Stood) -> Changed:
    before = next(filter(_is_finding, _before(session, order_id, receipt, row["id"])), None)
    return Changed(row["id"], row["name"], row["station"], _grade_said(row), _grade_said(before))


def _is_finding(row: Stood) -> bool:
    return bool(row["table"] == "finding")


def _grade_said(row: Stood | None) -> str:
    if row is None:
        return Grade.UNSEEN.word
    by = f", {By(row['by']).word}" if row["by"] else ""
    return f"{Grade(row['grade']).word}{by}"


def _stands(session: Session, receipt: Receipt, own: Sequence[Stood]) -> bool:
    if receipt.act == END:
        ended = session.get_one(Walk, receipt.subject_id).ended_at
        return ended == receipt.created_at
    return all(_as_left(_row(session, stood["id"]), stood) for stood in own)


def _row(session: Session, key: int) -> Stood:
    return session.get_one(Finding, key).model_dump(mode="json")


def _as_left(row: Stood, stood: Stood) -> bool:
    """Whether a finding stands as an act left it, in all that receipts of that day told of one."""
    now, left = _by_itself(row), _by_itself(stood)
    return {name: now.get(name) for name in left} == left


def _by_itself(stood: Stood) -> Stood:
    """A finding without what others make of it, and without its count of saves."""
    row = {name: value for name, value in stood.items() if name not in ("table", "revision")}
    return row | (row["alone"] or {}) | {"alone": {}}


def _before(session: Session, order_id: int, receipt: Receipt, finding_id: int) -> list[Stood]:
    """A finding and its readings as they stood before an act; none where nobody had looked."""
    asked = and_(
        _on(order_id), col(Receipt.id) < receipt.key, col(Receipt.stood).contains(f'"id":{finding_id},')
    )
    for earlier in session.exec(select(Receipt).where(asked).order_by(col(Receipt.id).desc())):
        rows: list[Stood] = json.loads(earlier.stood)
        if any(_is_finding(row) and row["id"] == finding_id for row in rows):
            return [row for row in rows if _is_of(row, finding_id)]
    return []


def _is_of(row: Stood, finding_id: int) -> bool:
    if row["table"] == "reading":
        return bool(row["finding_id"] == finding_id)
    return _is_finding(row) and bool(row["id"] == finding_id)


# Taking it back


def take_back(book: Engine, act: Act, order_id: int, receipt_id: int, reason: str = "") -> str:
    """Put back what an act of this person's changed, by rows of its own; returns where it is seen.

    `reason`: a key of REASONS, needed for a safety check. Raises Refused where the act is not the one that
    can be taken back now, where the unit was handed over, and without a needed reason.
    """
    with writing(book) as session:
        receipt = session.get(Receipt, receipt_id)
        if receipt is not None and receipts.repeated(session, act) is not None:
            return _told(session, order_id, receipt).back_at
        told = _may_take_back(session, act, order_id, receipt_id, reason)
        taken = TakenBack(
            created_at=act.at, walk_id=told.walk_id, receipt_id=told.id, reason=REASONS.get(reason, "")
        )
        session.add(taken)
        session.flush()
        rows = [*_put_back(session, order_id, told, act.at), *_photos_of(session, act, told, taken)]
        receipts.sign(session, act, UNDO, taken, *rows, *_weighed(session, told, rows))
        return told.back_at


def _may_take_back(session: Session, act: Act, order_id: int, receipt_id: int, reason: str) -> LastAct:
    told = _offer(session, act, order_id, receipt_id)
    _refuse_eased(session, told)
    if told.safety and reason not in REASONS:
        raise Refused([Problem("reason", "This is a safety check: say why", "a reason of the list")])
    return told


def _refuse_eased(session: Session, told: LastAct) -> None:
    """Refuse to take back a do-not-tow finding with which the walk-round ended: evidence clears it."""
    rows = [session.get_one(Finding, each.id) for each in told.changed if each.before != Grade.DNT.word]
    if any(row.grade == Grade.DNT and stood_at_the_end(session, row) for row in rows):
        says = "The walk-round ended with do not tow here: it is cleared, not taken back"
        raise Refused([Problem("", says, ON_THE_ORDER)])


def _offer(session: Session, act: Act, order_id: int, receipt_id: int) -> LastAct:
    if has_left(session, order_id):
        raise Refused([Problem("", "This unit was handed over: nothing is taken back any more", "")])
    told = offered(last_acts(session, order_id, act.person))
    if told is None or told.id != receipt_id:
        raise Refused([Problem("", "This is not your last act here any more", "the act that stands below")])
    return told


def _put_back(session: Session, order_id: int, told: LastAct, at: datetime) -> list[SQLModel]:
    if told.ends:
        return _opened_again(session, told)
    receipt, rows = session.get_one(Receipt, told.id), list[SQLModel]()
    for each in told.changed:
        before = _before(session, order_id, receipt, each.id)
        finding = session.get_one(Finding, each.id)
        rows += _restored(session, finding, before)
        session.add_all(rows)
        rows += match_anew(session, at, finding)
    return rows


def _opened_again(session: Session, told: LastAct) -> list[SQLModel]:
    """The walk as it stood before its end: open, what it had lifted let down, or ended as it was before."""
    walk = session.get_one(Walk, told.walk_id)
    walk.revision += 1
    earlier = _ended_before(session, told)
    walk.ended_at, walk.ended_by = (earlier.created_at, earlier.person_id) if earlier else (None, None)
    if earlier:
        return [walk]
    lifted = [row for row in session.exec(select(Finding).where(Finding.walk_id == walk.key)) if row.alone]
    for row in lifted:
        _let_down(row)
    return [walk, *lifted, *(each for row in lifted for each in _readings(session, row))]


def _ended_before(session: Session, told: LastAct) -> Receipt | None:
    """The act that had ended the walk before this one, if it was not taken back."""
    ended = (Receipt.act == END, Receipt.subject_id == told.walk_id, col(Receipt.id) < told.id)
    taken = col(Receipt.id).not_in(select(TakenBack.receipt_id))
    return session.exec(select(Receipt).where(*ended, taken).order_by(col(Receipt.id).desc())).first()


def _let_down(row: Finding) -> None:
    for name in LIFTS:
        setattr(row, name, row.alone[name])
    row.alone = {}
    row.revision += 1


def _readings(session: Session, row: Finding) -> Iterator[Reading]:
    return iter(session.exec(select(Reading).where(Reading.finding_id == row.key)))


def _restored(session: Session, finding: Finding, before: Sequence[Stood]) -> list[Kept]:
    rows = [_by_itself(row) for row in before if _is_finding(row)]
    stood = Finding.model_validate(rows[0] if rows else finding.model_dump(include=KEPT_ALWAYS))
    for name in Finding.model_fields.keys() - KEPT_ALWAYS:
        setattr(finding, name, getattr(stood, name))
    finding.looked_entry = finding.looked_entry or _looked_entry(session, finding)
    finding.revision += 1
    for reading in _readings(session, finding):
        session.delete(reading)
    session.flush()
    return [finding, *(_again(row) for row in before if row["table"] == "reading")]


def _looked_entry(session: Session, finding: Finding) -> int:
    """The number in the book of a look that was signed before looks were given theirs; 0 where none is."""
    return receipts.entry_at(session, finding.looked_at) if finding.looked_at else 0


def _again(row: Stood) -> Reading:
    kept = {name: value for name, value in row.items() if name not in ("id", "table")}
    return Reading.model_validate(kept)


def _photos_of(session: Session, act: Act, told: LastAct, taken: TakenBack) -> list[PhotoLeftOut]:
    rows: list[Stood] = json.loads(session.get_one(Receipt, told.id).stood)
    keys = [row["id"] for row in rows if row["table"] == str(FindingPhoto.__tablename__)]
    return [PhotoLeftOut(created_at=act.at, finding_photo_id=key, taken_back_id=taken.key) for key in keys]


def _weighed(session: Session, told: LastAct, rows: Sequence[SQLModel]) -> list[SQLModel]:
    """What others change in weight by it, once the walk has ended."""
    session.add_all(rows)
    walk = session.get_one(Walk, told.walk_id)
    known = {id(row) for row in rows}
    lifted = weigh_together(session, walk.key) if walk.ended_at and walk.depth != SECOND else []
    return [row for row in lifted if id(row) not in known]

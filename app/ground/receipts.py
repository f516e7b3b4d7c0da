"""Receipts: an act happens once, leaves its trace, and the traces form a chain of hashes.

Order inside a step: `repeated`? current? decide, write, `sign`.
"""

import hashlib
import json
from collections.abc import Iterator
from datetime import datetime, timedelta

from sqlmodel import Session, SQLModel, col, select

from app.ground.acting import Act
from app.ground.tables import Kept, Receipt, coming_entry
from app.trade.problems import Problem, Refused

FIRST = "0" * 64
TAP = "tap"  # beside the rows of a receipt: when a tablet took it that could not send it at once
SLACK = timedelta(minutes=1)  # by which a clock is set back over the network, and nobody minds
SECRET = {"passphrase_hash", "cookie_hash", "form_token"}


class Stale(Exception):
    """Somebody saved after this form was shown; carries the revision that now stands."""

    def __init__(self, revision: int) -> None:
        self.revision = revision
        super().__init__(f"revision {revision} stands now")


def repeated(session: Session, act: Act) -> int | None:
    """The key of the row that this act made before, or None for a new act.

    Raises Refused where the same submission key comes with other content.
    """
    found = session.exec(select(Receipt).where(Receipt.submission == act.submission)).one_or_none()
    if found is None:
        return None
    if found.sent != act.sent:
        raise Refused([Problem("", "This form was sent before with other content", "a page opened anew")])
    return found.subject_id


def is_known(session: Session, act: Act) -> bool:
    """Whether a form with this submission key was kept before, whatever it held."""
    return session.exec(select(Receipt.id).where(Receipt.submission == act.submission)).first() is not None


def current(revision: int, act: Act) -> None:
    """Raise Stale where the row has moved on since the form was shown."""
    if revision != act.seen:
        raise Stale(revision)


def coming(session: Session) -> int:
    """The number in the book of the act under way, for what an act changes in a row that stands already."""
    return coming_entry(session.connection())


def entry_at(session: Session, at: datetime) -> int:
    """The number in the book of the newest act of an instant, for what was kept without it; 0 for none."""
    newest = select(Receipt.id).where(Receipt.created_at == at).order_by(col(Receipt.id).desc())
    return session.exec(newest.limit(1)).first() or 0


def clock_behind(session: Session, at: datetime) -> datetime | None:
    """When the newest act of the book was, where a clock that shows `at` stands before it; else None."""
    newest = session.exec(select(Receipt.created_at).order_by(col(Receipt.id).desc()).limit(1)).first()
    return newest if newest is not None and at < newest - SLACK else None


def sign(session: Session, act: Act, verb: str, row: Kept, *others: SQLModel) -> int:
    """The key of `row`, after adding it and the others with their receipt; nothing is committed here."""
    session.add_all([row, *others])
    session.flush()
    receipt = Receipt(
        created_at=act.at,
        submission=act.submission,
        sent=act.sent,
        act=verb,
        subject=str(row.__tablename__),
        subject_id=row.key,
        person_id=act.person or None,
        device=act.device,
        stood=_stood([row, *others], act),
        before=head(session),
        hash="",
    )
    receipt.hash = hash_of(receipt)
    session.add(receipt)
    session.flush()
    return row.key


def tapped(receipt: Receipt) -> datetime | None:
    """When a tablet took the act that it could send later only; None where it was sent at once."""
    rows = json.loads(receipt.stood)
    return next((datetime.fromisoformat(row["at"]) for row in rows if row["table"] == TAP), None)


def _stood(rows: list[SQLModel], act: Act) -> str:
    shown = [{"table": str(row.__tablename__), **row.model_dump(mode="json", exclude=SECRET)} for row in rows]
    shown += [{"table": TAP, "at": act.tapped.isoformat()}] if act.tapped else []
    return json.dumps(shown, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def head(session: Session) -> str:
    """Hash of the newest receipt, the outside witness printed on papers; zeros where there is none."""
    last = session.exec(select(Receipt.hash).order_by(col(Receipt.id).desc()).limit(1)).first()
    return last or FIRST


def hash_of(receipt: Receipt) -> str:
    """SHA-256 over all fields of a receipt and the hash before it."""
    fields = receipt.model_dump(mode="json", exclude={"id", "hash"})
    text = json.dumps(fields, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def broken(session: Session) -> Iterator[int]:
    """Keys of receipts whose hash or link is wrong, in order; none where the chain is whole."""
    before = FIRST
    for receipt in session.exec(select(Receipt).order_by(col(Receipt.id))).yield_per(500):
        if receipt.before != before or receipt.hash != hash_of(receipt):
            yield receipt.key
        before = receipt.hash

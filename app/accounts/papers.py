"""The papers of the accounts: invoice and credit note, receipt, close of the day; each printed once."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlmodel import Session

from app.accounts import document
from app.accounts.closing import Day, noted_later
from app.accounts.e_invoice import e_invoice
from app.accounts.facts import PAPER_OF
from app.accounts.tables import Bill, DayClose, Payment
from app.ground import people
from app.ground.acting import Act
from app.ground.papers import Paper
from app.ground.press import Enclosed
from app.intake.facts import order_head, owner_of

XML = "bill.xml"


def told(row: Bill) -> document.Bill:
    """What a bill says, from its snapshot."""
    return document.Bill.model_validate(row.snapshot)


def bill_paper(row: Bill) -> Paper:
    """The paper of an invoice or credit note; what programs read is inside, the e-invoice where it is one."""
    bill = told(row)
    return Paper(
        template="bill",
        kind=PAPER_OF[bill.kind],
        number=row.number,
        title=bill.kind.word,
        work_order_id=row.work_order_id,
        facts={
            "bill": bill,
            "tag": bill.tag,
            "shop_row": bill.seller,
            "zone": bill.zone,
            "head": bill.witness,
            "printed_at": bill.made_at,
        },
        enclosed=tuple(_enclosed(row, bill)),
        issue=1,
    )


def _enclosed(row: Bill, bill: document.Bill) -> Iterator[Enclosed]:
    yield Enclosed("bill.json", _json(row.snapshot), "Everything on this bill", bill.made_at)
    content, wrong = e_invoice(bill)
    if not wrong:
        yield Enclosed(XML, content, "The bill as UBL 2.1, EN 16931", bill.made_at)


def _json(snapshot: Mapping[str, Any]) -> bytes:
    return json.dumps(snapshot, ensure_ascii=False, sort_keys=True, indent=1).encode()


def bill_act(act: Act, row: Bill) -> Act:
    """The act that prints a bill: the same for every try, so that it is printed once."""
    return _once(act, f"accounts/bill/{row.key}/paper", row.snapshot)


def _once(act: Act, key: str, snapshot: Mapping[str, Any]) -> Act:
    return replace(act, submission=key, sent=hashlib.sha256(_json(snapshot)).hexdigest())


@dataclass(frozen=True)
class Receipt:
    """What a receipt says. Amounts in minor units; `left`: owed after it, below 0 where money is held.

    `rounded`: what coins left off and counts as paid too; below 0 where they took more.
    """

    number: str
    kind: str
    amount: int
    means: str
    reference: str
    on: date
    owner: str
    order: str
    by: str
    note: str
    owed_before: int
    rounded: int = 0

    @property
    def left(self) -> int:
        """What is owed after it."""
        return self.owed_before - self.amount - self.rounded


def receipt_paper(session: Session, row: Payment) -> Paper:
    """The paper of a payment, deposit or refund."""
    head = order_head(session, row.work_order_id)
    receipt = Receipt(
        number=row.number,
        kind=row.kind,
        amount=row.amount,
        means=row.means,
        reference=row.reference,
        on=row.on_day,
        owner=owner_of(session, row.work_order_id).name,
        order=head.order_number,
        by=people.names(session).get(row.taken_by, ""),
        note=row.note,
        owed_before=row.owed_before,
        rounded=row.rounded,
    )
    return Paper(
        template="receipt",
        kind="receipt",
        number=row.number,
        title="Receipt",
        work_order_id=row.work_order_id,
        facts={"receipt": receipt, "tag": replace(head, whose=head.owner), "printed_at": row.created_at},
        issue=1,
    )


def receipt_act(act: Act, row: Payment) -> Act:
    """The act that prints a receipt, once."""
    return _once(act, f"accounts/payment/{row.key}/paper", _dumped(row))


def _dumped(row: Payment) -> dict[str, Any]:
    """What a receipt says; without the rounding where there is none, as before it was kept."""
    return row.model_dump(mode="json", exclude=None if row.rounded else {"rounded"})


def day_paper(session: Session, row: DayClose) -> Paper:
    """The paper of a close of the day."""
    day = Day.model_validate(row.snapshot)
    return Paper(
        template="day",
        kind="day close",
        number=row.number,
        title="Day close",
        work_order_id=0,
        facts={
            "day": day,
            "of_days": noted_later(session, day),
            "close": row,
            "by": people.names(session).get(row.closed_by, ""),
            "printed_at": row.created_at,
        },
        issue=1,
    )


def day_act(act: Act, row: DayClose) -> Act:
    """The act that prints a close of the day, once."""
    return _once(act, f"accounts/day/{row.key}/paper", row.snapshot)

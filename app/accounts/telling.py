"""A bill told from the book: who sells to whom, which lines, what was received, what was left undone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from app.accounts import adding_up, document
from app.accounts.adding_up import Done, Sum
from app.accounts.document import Kind
from app.accounts.ready import Ready
from app.accounts.rows import bills_of, exemption_of, owed, payments_of, terms_of
from app.accounts.rules import InvoiceSaid
from app.accounts.tables import Payment
from app.estimate.facts import Ledger, LedgerWork
from app.estimate.rules import rates_of
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.shop import settings_of, shop_of
from app.ground.shop_form import TaxPoint
from app.ground.taxes import settings_on
from app.ground.words import local
from app.intake.facts import order_head, owner_of
from app.trade.money import Money
from app.trade.tax import TaxRate
from app.trade.totals import Rule

HELD = "Held from earlier"


@dataclass(frozen=True)
class Head:
    """What heads a bill: its kind, its number, the act that makes it, its days."""

    kind: Kind
    number: str
    act: Act
    order_id: int
    on: date
    due_on: date


def sum_of(session: Session, order_id: int, said: InvoiceSaid, found: Ready, day: date) -> Sum:
    """What the chosen works come to on a day, less the discount; Refused where that is more than the bill."""
    rule, works = settings_of(session).rule, found.chosen(said.works)
    entries = adding_up.entries_of(works, said.cores_back)
    entries = adding_up.discounted(entries, Money(said.off), said.why, rule.rounding)
    return adding_up.added_up(entries, rates_on(session, order_id, tax_point(session, works, day)), rule)


def tax_point(session: Session, works: Sequence[Done], day: date) -> date:
    """The day whose rates a bill takes: its own `day`, or the last on which its work was finished."""
    finished = [work.finished_on for work in works if work.finished_on]
    return max(finished, default=day) if settings_of(session).tax_point == TaxPoint.DONE else day


def rule_of(session: Session, bill: document.Bill) -> Rule:
    """How a bill was rounded, so that what takes it back is rounded alike."""
    return bill.rule(settings_of(session).rule.rounding)


def rates_on(session: Session, order_id: int, day: date) -> dict[str, TaxRate]:
    """The rates that a work order is billed at on a day; all exempt where the owner has a certificate."""
    rates = rates_of(settings_on(session, day))
    exemption = exemption_of(session, owner_of(session, order_id).key, day)
    return adding_up.exempt(rates, exemption.certificate) if exemption else rates


def invoice(session: Session, head: Head, found: Ready, sums: Sum) -> document.Bill:
    """The invoice over some lines of a work order."""
    billed = {line.work_id for line in sums.lines}
    works = found.chosen(key for key in billed if key is not None)
    return _bill(session, head, sums, settings_of(session).rule).model_copy(
        update={
            "taxed_on": tax_point(session, works, head.on),
            "agreed_on": _agreed_on(found.ledger, billed, shop_of(session).zone),
            "received": tuple(_received(session, head)),
            "undone": tuple(_undone(found.ledger, shop_of(session).zone)),
        }
    )


def credit_note(session: Session, head: Head, of: document.Bill, sums: Sum, reason: str) -> document.Bill:
    """The credit note that takes lines of an invoice back."""
    update = {"takes_back": of.number, "taken_back_from": of.on, "reason": reason, "note": ""}
    return _bill(session, head, sums, rule_of(session, of)).model_copy(update=update)


def _bill(session: Session, head: Head, sums: Sum, rule: Rule) -> document.Bill:
    shop, terms, tag = shop_of(session), terms_of(session), order_head(session, head.order_id)
    return document.Bill(
        kind=head.kind,
        number=head.number,
        made_at=head.act.at,
        made_by=people.names(session).get(head.act.person, ""),
        on=head.on,
        due_on=head.due_on,
        currency=shop.currency,
        currency_code=terms.currency_code,
        zone=shop.zone,
        seller=_seller(session),
        buyer=_buyer(session, head.order_id),
        tag=document.Tag(
            number=tag.number, what=tag.what, whose=tag.owner, stands=tag.stands, lines=tuple(tag.lines)
        ),
        order_number=tag.order_number,
        lines=sums.lines,
        taxes=sums.taxes,
        net=sums.net,
        tax=sums.tax,
        gross=sums.gross,
        note=terms.note,
        rounding=rule.rounding,
        basis=rule.basis,
        witness=receipts.head(session),
    )


def _seller(session: Session) -> document.Party:
    shop, terms = shop_of(session), terms_of(session)
    return document.Party(
        name=shop.name,
        address=shop.address,
        phone=shop.phone,
        email=shop.email,
        country=terms.country,
        tax_number=terms.tax_number,
        register_number=terms.register_number,
    )


def _buyer(session: Session, order_id: int) -> document.Party:
    owner, country = owner_of(session, order_id), terms_of(session).country
    return document.Party(
        name=owner.name, address=owner.address, phone=owner.phone, email=owner.email, country=country
    )


def _agreed_on(found: Ledger, billed: set[int | None], zone: str) -> date | None:
    """The day on which the billed works were agreed to; None where they were on several."""
    said = {local(work.word.said_at, zone).date() for work in found.works if work.word and work.id in billed}
    return said.pop() if len(said) == 1 else None


def _undone(found: Ledger, zone: str) -> Iterator[document.Undone]:
    for work in found.works:
        if work.word is not None and work.word.answer != "yes":
            yield _left(work, zone)


def _left(work: LedgerWork, zone: str) -> document.Undone:
    assert work.word is not None
    on = local(work.word.said_at, zone).date()
    return document.Undone(title=work.title, amount=work.amount, said=work.word.answer, on=on)


def _received(session: Session, head: Head) -> Iterator[document.Received]:
    """What was received before the first invoice; for a later one, what is held for the owner."""
    payments, held = payments_of(session, head.order_id), -owed(session, head.order_id)
    if not bills_of(session, head.order_id):
        yield from map(_as_received, payments)
    elif held > 0:
        yield document.Received(what=HELD, on=head.on, means="", amount=held)


def _as_received(row: Payment) -> document.Received:
    return document.Received(what=row.kind.capitalize(), on=row.on_day, means=row.means, amount=row.counts)


def lines_named(bill: document.Bill, numbers: Sequence[int]) -> list[document.BilledLine]:
    """The lines of a bill that have some numbers, in their order."""
    return [line for line in bill.lines if line.n in set(numbers)]

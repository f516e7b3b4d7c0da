"""The acts of the accounts: an invoice, a credit note, money in and back, the close of the day."""

from datetime import date

from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session

from app.accounts import adding_up, document, rules, telling
from app.accounts.closing import day_of
from app.accounts.document import Kind
from app.accounts.ready import ready
from app.accounts.rows import bills_of, lines_of_bill, owed, payments_of, seen, standing
from app.accounts.rules import Counted, CreditSaid, ExemptionSaid, InvoiceSaid, PaymentSaid, TermsSaid
from app.accounts.tables import Bill, BillLine, DayClose, Exemption, Payment, Terms
from app.accounts.telling import Head
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.series import dated_number
from app.ground.shop import settings_of, shop_of
from app.ground.words import local
from app.intake.tables import Owner, WorkOrder
from app.trade.problems import Problem, Refused

SERIES = {Kind.INVOICE: "invoice", Kind.CREDIT: "credit note"}


def make_invoice(book: Engine, act: Act, order_id: int, said: InvoiceSaid) -> int:
    """Bill finished works of a work order; returns the invoice's key.

    `act.seen`: what the account's page knew; Stale where a bill, a payment or a price came since. Raises
    Refused where a work may not be billed, or where all that is billed passes what the owner agreed to.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(WorkOrder, order_id)
        receipts.current(seen(session, order_id), act)
        day = _today(session, act)
        found = ready(session, order_id, day)
        works = found.chosen(said.works)
        rules.check_chosen(said, found.works)
        rules.check_bounds(found.standing(works), found.bounds)
        sums = telling.sum_of(session, order_id, said, found, day)
        head = Head(Kind.INVOICE, _number(session, "invoice", day), act, order_id, day, said.due_on)
        return _keep(session, head, telling.invoice(session, head, found, sums))


def _today(session: Session, act: Act) -> date:
    return local(act.at, shop_of(session).zone).date()


def _number(session: Session, series: str, day: date) -> str:
    return dated_number(session, series, day.year)


def _keep(session: Session, head: Head, told: document.Bill, takes_back: Bill | None = None) -> int:
    row = Bill(
        created_at=head.act.at,
        work_order_id=head.order_id,
        kind=head.kind,
        number=head.number,
        takes_back_id=takes_back.key if takes_back else None,
        on_day=head.on,
        due_on=head.due_on,
        net=told.net,
        tax=told.tax,
        gross=told.gross,
        snapshot=told.model_dump(mode="json"),
        made_by=head.act.person,
    )
    session.add(row)
    session.flush()
    before = {line.n: line.key for line in lines_of_bill(session, takes_back.key)} if takes_back else {}
    verb = "make invoice" if head.kind is Kind.INVOICE else "take back"
    return receipts.sign(session, head.act, verb, row, *(_line(row, line, before) for line in told.lines))


def _line(row: Bill, line: document.BilledLine, before: dict[int, int]) -> BillLine:
    return BillLine(
        created_at=row.created_at,
        bill_id=row.key,
        n=line.n,
        work_id=line.work_id,
        amount=line.amount,
        takes_back_id=before[line.of] if line.of is not None else None,
    )


def take_back(book: Engine, act: Act, bill_id: int, said: CreditSaid) -> int:
    """Take lines of an invoice back by a credit note, supplies with the labour they share; returns its key.

    `act.seen`: what the account's page knew; Stale where something came since. Raises Refused where a line
    was taken back before or the lines give nothing back; NoResultFound where there is no such invoice.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = invoice_row(session, bill_id)
        receipts.current(seen(session, row.work_order_id), act)
        told, day = document.Bill.model_validate(row.snapshot), _today(session, act)
        stands = telling.lines_named(told, [line.n for line in standing(session, bill_id)])
        wanted = rules.check_lines(said, [line.n for line in stands])
        wanted = adding_up.with_supplies(stands, wanted)
        chosen = [line for line in stands if line.n in wanted]
        sums = adding_up.taken_back(stands, chosen, told.rates(), telling.rule_of(session, told))
        rules.check_credit(sums.gross)
        head = Head(Kind.CREDIT, _number(session, "credit note", day), act, row.work_order_id, day, day)
        return _keep(session, head, telling.credit_note(session, head, told, sums, said.reason), row)


def invoice_row(session: Session, bill_id: int) -> Bill:
    """An invoice by its key; NoResultFound where there is none of that key."""
    row = session.get_one(Bill, bill_id)
    if row.kind != Kind.INVOICE:
        raise NoResultFound
    return row


def take_payment(book: Engine, act: Act, order_id: int, said: PaymentSaid) -> int:
    """Note money that came in on a work order; returns its key. A deposit where nothing is billed yet.

    `act.seen`: what the account's page knew; Stale where something came since.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(WorkOrder, order_id)
        receipts.current(seen(session, order_id), act)
        billed, coin = bool(bills_of(session, order_id)), settings_of(session).cash_step
        rules.check_coins(said, coin)
        if billed:
            rules.check_payment(said, owed(session, order_id), coin)
        kind = "payment" if billed else "deposit"
        off = rules.left_by_coins(said, owed(session, order_id), coin) if billed else 0
        rules.check_nothing(said, off)
        row = _payment(session, act, order_id, said, kind, said.amount, off)
        return receipts.sign(session, act, "take payment", row)


def give_back(book: Engine, act: Act, order_id: int, said: PaymentSaid) -> int:
    """Note money that went back to the owner; returns its key.

    Stale as for a payment. Raises Refused where more would go back than ever came in.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(WorkOrder, order_id)
        receipts.current(seen(session, order_id), act)
        received = sum(row.counts for row in payments_of(session, order_id))
        held, coin = -owed(session, order_id), settings_of(session).cash_step
        rules.check_coins(said, coin)
        rules.check_refund(said, -held, received, coin)
        off = rules.left_by_coins(said, held, coin)
        rules.check_nothing(said, off)
        row = _payment(session, act, order_id, said, "refund", -said.amount, -off)
        return receipts.sign(session, act, "give back", row)


def _payment(
    session: Session, act: Act, order_id: int, said: PaymentSaid, kind: str, amount: int, rounded: int
) -> Payment:
    return Payment(
        created_at=act.at,
        work_order_id=order_id,
        number=_number(session, "receipt", _today(session, act)),
        kind=kind,
        means=said.means,
        amount=amount,
        rounded=rounded,
        reference=said.reference,
        on_day=said.on_day,
        owed_before=owed(session, order_id),
        note=said.note,
        taken_by=act.person,
    )


def keep_exemption(book: Engine, act: Act, owner_id: int, said: ExemptionSaid) -> int:
    """Keep the certificate by which an owner pays no tax, or its end; returns the row's key."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(Owner, owner_id)
        row = Exemption(
            created_at=act.at,
            owner_id=owner_id,
            certificate=said.certificate,
            until=said.until,
            kept_by=act.person,
        )
        return receipts.sign(session, act, "keep exemption", row)


def set_terms(book: Engine, act: Act, said: TermsSaid) -> int:
    """Keep what stands on every bill from now on; returns the row's key. Older bills stay as they are."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = Terms(created_at=act.at, set_by=act.person, **said.__dict__)
        return receipts.sign(session, act, "set terms", row)


def close_day(book: Engine, act: Act, said: Counted) -> int:
    """Close the day: everything since the close before, with the drawer as counted; returns its key.

    `act.seen`: how many bills and payments the page knew; Stale where one came since. Raises Refused where
    nothing was billed, taken or given back since the last close.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        told = day_of(session, act.at)
        receipts.current(told.count, act)
        if not told.count:
            raise Refused([Problem("", "Nothing came since the last close", "a bill or a payment first")])
        rules.check_counted(said, told.cash)
        day = _today(session, act)
        row = DayClose(
            created_at=act.at,
            number=_number(session, "day close", day),
            on_day=day,
            start=said.start,
            counted=said.counted,
            banked=said.banked,
            last_bill=told.last_bill,
            last_payment=told.last_payment,
            snapshot=told.model_dump(mode="json"),
            closed_by=act.person,
        )
        return receipts.sign(session, act, "close day", row)

"""Pages of one work order's account: what may be billed, bills, credit notes, money in and back."""

from collections.abc import Callable, Mapping
from functools import partial

from fastapi import APIRouter, Depends, HTTPException, Response
from sqlalchemy import Engine
from sqlmodel import select

from app.accounts import facts, papers, rules, steps
from app.accounts.e_invoice import e_invoice
from app.accounts.facts import Account
from app.accounts.known import found, print_again, printed
from app.accounts.rules import Means, Way
from app.accounts.tables import Bill, Payment
from app.estimate.tables import Work
from app.ground.acting import Act
from app.ground.book import reading
from app.ground.first import About, Beside, First, Row, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.receipts import Stale
from app.ground.words import money
from app.intake.facts import order_head
from app.trade.problems import Refused

router = APIRouter()
MEANS = tuple((str(each), each.capitalize()) for each in Means)
WAYS = ((str(Way.IN), "It came in"), (str(Way.BACK), "It goes back"))
FORMS = ("bill", "pay", "free")


@router.get("/accounts/orders/{order_id}", dependencies=[Depends(ANYONE)])
def account(order_id: int, book: Book, page: Page) -> Response:
    """The account of a work order: what may be billed, bills, money in and back."""
    return _show(book, page, order_id)


def _account(book: Engine, page: Pages, order_id: int) -> Account:
    with found(book, order_id) as session:
        return facts.account(session, order_id, page.today)


def _show(
    book: Engine,
    page: Pages,
    order_id: int,
    sent: Mapping[str, Filled] | None = None,
    *,
    status: int = 200,
) -> Response:
    it = _account(book, page, order_id)
    forms = {**_fresh(it, page), **(sent or {})}
    filled = {f"{name}_form": forms[name] for name in FORMS}
    return page.show("accounts/account", status=status, it=it, head=it.head, means=MEANS, ways=WAYS, **filled)


def _fresh(it: Account, page: Pages) -> dict[str, Filled]:
    """The forms of the page as nobody has touched them yet."""
    on, seen = page.today.isoformat(), it.seen
    works = "\n".join(str(work.work_id) for work in it.ready.works)
    due = rules.due_from(page.today, it.terms.due_days).isoformat()
    asked = facts.amount_text(abs(it.owed) if it.billed else it.deposit)
    way = str(Way.BACK if it.billed and it.owed < 0 else Way.IN)
    certificate = it.exemption.certificate if it.exemption else ""
    until = it.exemption.until.isoformat() if it.exemption and it.exemption.until else ""
    return {
        "bill": Filled({"works": works, "due_on": due}, revision=seen),
        "pay": Filled({"on_day": on, "amount": asked, "way": way}, revision=seen),
        "free": Filled({"certificate": certificate, "until": until}, revision=seen),
    }


def _answer(
    book: Engine, page: Pages, order_id: int, form: str, typed: Sent, step: Callable[[], None]
) -> Response | None:
    """The page with what is wrong, where an act was refused or came too late; None where it was kept."""
    try:
        step()
    except Refused as refused:
        return _show(book, page, order_id, {form: again(typed, refused.problems)}, status=422)
    except Stale as stale:
        about = About(Bill, Payment, work_order_id=order_id)
        beside = partial(_beside, titles=_titles(book, order_id))
        shown = late(book, page.zone, typed, stale, about, beside=beside)
        return _show(book, page, order_id, {form: shown}, status=409)
    return None


def _beside(first: First, titles: Mapping[str, str]) -> list[Beside]:
    """What came on the account, field by field: a payment, or else a bill. `titles`: of its works."""
    if (paid := first.row(Payment)) is not None:
        return _paid_first(paid, titles)
    if (row := first.row(Bill)) is None:
        return []
    said = {"amount": "Amount", "works": "Finished works", "reason": "Why taken back"}
    billed = [Beside(name, label, _bill_words(row), titles) for name, label in said.items()]
    return [*billed, Beside("due_on", "Due by", row["due_on"])]


def _titles(book: Engine, order_id: int) -> dict[str, str]:
    with reading(book) as session:
        works = session.exec(select(Work).where(Work.work_order_id == order_id))
        return {str(work.key): work.title for work in works}


def _bill_words(row: Row) -> str:
    """A bill as one line: invoice I-2026-0244 of 1,305.39: the works on it."""
    titles = "; ".join(dict.fromkeys(line["title"] for line in row["snapshot"]["lines"]))
    return f"{row['kind']} {row['number']} of {money(row['gross'])}: {titles}"


def _paid_first(row: Row, titles: Mapping[str, str]) -> list[Beside]:
    said = {
        "way": ("Which way", "in" if row["amount"] > 0 else "back"),
        "amount": ("Amount", facts.amount_text(abs(row["amount"]))),
        "means": ("How", row["means"]),
        "reference": ("Reference", row["reference"]),
        "on_day": ("Received or given on", row["on_day"]),
        "note": ("Note", row["note"]),
        "works": ("Finished works", f"a {row['kind']} came: {row['number']}"),
        "reason": ("Why taken back", f"a {row['kind']} came: {row['number']}"),
    }
    words = {"means": dict(MEANS), "way": dict(WAYS), "works": titles}
    return [Beside(name, label, text, words.get(name, {})) for name, (label, text) in said.items()]


def _where(order_id: int) -> str:
    return f"/accounts/orders/{order_id}"


@router.post("/accounts/orders/{order_id}/invoices", dependencies=[Depends(WRITERS)])
def make_invoice(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Bills finished works and prints the invoice."""
    _account(book, page, order_id)

    def step() -> None:
        made = steps.make_invoice(book, act, order_id, rules.read_invoice(typed, page.today))
        _print_bill(page, act, _bill_row(book, made))

    return _answer(book, page, order_id, "bill", typed, step) or page.go(f"{_where(order_id)}#bills")


def _bill_row(book: Engine, bill_id: int) -> Bill:
    with found(book, bill_id) as session:
        return session.get_one(Bill, bill_id)


def _print_bill(page: Pages, act: Act, row: Bill) -> None:
    printed(page.request, papers.bill_act(act, row), papers.bill_paper(row))


@router.post("/accounts/bills/{bill_id}/paper", dependencies=[Depends(WRITERS)])
def print_bill(bill_id: int, act: Acting, book: Book, page: Page) -> Response:
    """Prints a bill that could not be printed at once."""
    row = _bill_row(book, bill_id)
    return print_again(page, papers.bill_act(act, row), papers.bill_paper(row))


@router.get("/accounts/bills/{bill_id}.xml", dependencies=[Depends(WRITERS)])
def bill_xml(bill_id: int, book: Book) -> Response:
    """A bill as UBL 2.1; 404 with the first rule that it breaks where it is no e-invoice."""
    row = _bill_row(book, bill_id)
    content, wrong = e_invoice(papers.told(row))
    if wrong:
        raise HTTPException(404, f"This bill is no e-invoice: {wrong[0].says} ({wrong[0].rule}).")
    headers = {"Content-Disposition": f'attachment; filename="{row.number}.xml"'}
    return Response(content, media_type="application/xml", headers=headers)


# Taking back


@router.get("/accounts/bills/{bill_id}/credit", dependencies=[Depends(WRITERS)])
def credit_page(bill_id: int, book: Book, page: Page) -> Response:
    """The lines of an invoice that may be taken back."""
    return _show_credit(book, page, bill_id)


def _show_credit(
    book: Engine, page: Pages, bill_id: int, form: Filled | None = None, *, status: int = 200
) -> Response:
    with found(book, bill_id) as session:
        it = facts.credit_of(session, steps.invoice_row(session, bill_id))
        head = order_head(session, it.row.work_order_id)
    form = form or Filled(revision=it.seen)
    return page.show("accounts/credit", status=status, it=it, head=head, form=form)


@router.post("/accounts/bills/{bill_id}/credit", dependencies=[Depends(WRITERS)])
def take_back(bill_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Takes lines of an invoice back and prints the credit note."""
    row = _bill_row(book, bill_id)
    try:
        with found(book, bill_id):
            made = steps.take_back(book, act, bill_id, rules.read_credit(typed))
    except Refused as refused:
        return _show_credit(book, page, bill_id, again(typed, refused.problems), status=422)
    except Stale as stale:
        about = About(Bill, Payment, work_order_id=row.work_order_id)
        beside = partial(_beside, titles={})
        form = late(book, page.zone, typed, stale, about, beside=beside)
        return _show_credit(book, page, bill_id, form, status=409)
    _print_bill(page, act, _bill_row(book, made))
    return page.go(f"{_where(row.work_order_id)}#bills")


# Money in and back


@router.post("/accounts/orders/{order_id}/payments", dependencies=[Depends(WRITERS)])
def keep_payment(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Notes money that came in or went back, and prints the receipt."""
    _account(book, page, order_id)

    def step() -> None:
        said = rules.read_payment(typed, page.today)
        keep = steps.give_back if said.way is Way.BACK else steps.take_payment
        printed(page.request, *_receipt(book, act, keep(book, act, order_id, said)))

    return _answer(book, page, order_id, "pay", typed, step) or page.go(f"{_where(order_id)}#money")


def _receipt(book: Engine, act: Act, payment_id: int) -> tuple[Act, Paper]:
    with found(book, payment_id) as session:
        row = session.get_one(Payment, payment_id)
        return papers.receipt_act(act, row), papers.receipt_paper(session, row)


@router.post("/accounts/payments/{payment_id}/paper", dependencies=[Depends(WRITERS)])
def print_receipt(payment_id: int, act: Acting, book: Book, page: Page) -> Response:
    """Prints a receipt that could not be printed at once."""
    return print_again(page, *_receipt(book, act, payment_id))


@router.post("/accounts/orders/{order_id}/exemption", dependencies=[Depends(WRITERS)])
def keep_exemption(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps the certificate by which the owner pays no tax, or ends it."""
    owner_id = _account(book, page, order_id).head.owner_id

    def step() -> None:
        steps.keep_exemption(book, act, owner_id, rules.read_exemption(typed, page.today))

    return _answer(book, page, order_id, "free", typed, step) or page.go(f"{_where(order_id)}#free")

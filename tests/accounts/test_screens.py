"""The accounts as a browser meets them: refused forms keep what was typed, roles, files for programs."""

import csv
import io
import json
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from xml.etree.ElementTree import fromstring

import pytest
from sqlalchemy import Engine

from app.accounts import steps
from app.accounts.en16931 import broken
from app.accounts.rules import Counted, Means, PaymentSaid, TermsSaid
from app.ground.acting import now
from app.ground.words import local
from tests.accounts.stays import DAY, WREN, account, billed, desk, finished, paid
from tests.conftest import Browser, act
from tests.estimate.arrived import BREAKAWAY, TREAD
from tests.links import alike

TWO = (TREAD, BREAKAWAY)
Sign = Callable[[str], Browser]


def today() -> str:
    return local(now(), "America/New_York").date().isoformat()


def here(order_id: int) -> str:
    return f"/accounts/orders/{order_id}"


def works(book: Engine, order_id: int) -> list[str]:
    return [str(work.work_id) for work in account(book, order_id).ready.works]


def invoice(book: Engine, order_id: int, **changed: str) -> dict[str, str | list[str]]:
    seen = str(account(book, order_id).seen)
    usual = {"works": works(book, order_id), "due_on": today(), "revision": seen, "submission": "one"}
    return {**usual, **changed}


def payment(book: Engine, order_id: int, **changed: str) -> dict[str, str]:
    seen = str(account(book, order_id).seen)
    usual = {"amount": "100.00", "means": "cash", "on_day": today(), "revision": seen, "submission": "one"}
    return {**usual, **changed}


def test_the_page_offers_what_was_finished(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    page = signed("Wren").get(here(order_id)).text
    assert "Replace a tire, axle 1 left" in page
    assert "Nothing billed yet" in page
    assert 'name="works" value="1" checked' in page


def test_an_invoice_is_made_and_its_paper_linked(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    answer = wren.post(f"{here(order_id)}/invoices", invoice(book, order_id))
    assert (answer.status_code, answer.headers["location"]) == (303, f"{here(order_id)}#bills")
    page = wren.get(here(order_id)).text
    assert "Invoice I-2" in page
    assert "/papers/1.pdf" in page
    assert wren.get("/papers/1.pdf").content.startswith(b"%PDF-")
    again = wren.post(f"{here(order_id)}/invoices", invoice(book, order_id) | {"works": ["1", "2"]})
    assert again.status_code == 422  # the same key with other content


def test_a_refused_invoice_comes_back_as_typed(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    sent = invoice(book, order_id, discount="a lot", discount_why="<b>goodwill</b>", due_on="2001-01-01")
    answer = signed("Wren").post(f"{here(order_id)}/invoices", sent)
    assert answer.status_code == 422
    assert 'value="a lot"' in answer.text
    assert "&lt;b&gt;goodwill&lt;/b&gt;" in answer.text
    assert "This is not an amount of money" in answer.text
    assert 'aria-describedby="due_on-hint due_on-fix"' in answer.text


def test_a_late_page_says_so_and_bills_nothing(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    sent = invoice(book, order_id)
    paid(book, order_id, 100)
    answer = signed("Wren").post(f"{here(order_id)}/invoices", sent)
    assert answer.status_code == 409
    assert re.search(r"Not saved: \w+ saved first, [^<]*\(take payment\)", answer.text)
    assert re.search(
        r"<th scope=\"row\">Finished works</th><td>a deposit came: R-\d{4}-\d{4}</td>", answer.text
    )
    assert not account(book, order_id).billed


def test_a_payment_is_kept_and_its_receipt_linked(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    sent = payment(book, order_id, means="cheque", reference="No. 1042", note="by post")
    answers = [wren.post(f"{here(order_id)}/payments", sent) for _ in range(2)]
    assert {answer.status_code for answer in answers} == {303}
    (row,) = account(book, order_id).payments
    assert (row.kind, row.means, row.amount, row.reference) == ("deposit", "cheque", 10000, "No. 1042")
    page = wren.get(here(order_id)).text
    assert "100.00 held for the owner" in page
    assert "Cheque, No. 1042" in page


def test_an_unlikely_amount_is_asked_with_the_key_that_keeps_it(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    billed(book, order_id)
    wren = signed("Wren")
    sent = payment(book, order_id, amount="9000.00")
    answer = wren.post(f"{here(order_id)}/payments", sent)
    assert answer.status_code == 422
    assert 'name="confirm-amount" value="9000.00"' in answer.text
    kept = wren.post(f"{here(order_id)}/payments", {**sent, "submission": "two", "confirm-amount": "9000.00"})
    assert kept.status_code == 303


def test_money_goes_back_by_the_same_form(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    paid(book, order_id, 10000)
    sent = payment(book, order_id, way="back")
    assert signed("Wren").post(f"{here(order_id)}/payments", sent).status_code == 303
    assert [row.amount for row in account(book, order_id).payments] == [10000, -10000]


def test_each_paper_of_an_account_is_named_with_its_number(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    for amount in ("100.00", "50.00"):
        sent = payment(book, order_id, amount=amount, submission=amount)
        assert wren.post(f"{here(order_id)}/payments", sent).status_code == 303
    page = wren.get(here(order_id)).text
    assert "R-2026-0002</span>" in page
    assert list(alike(page)) == []


def test_lines_are_taken_back_on_a_page_of_their_own(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    key = billed(book, order_id)
    wren, seen = signed("Wren"), str(account(book, order_id).seen)
    page = wren.get(f"/accounts/bills/{key}/credit").text
    assert "Breakaway switch with pin and cable" in page
    refused = wren.post(f"/accounts/bills/{key}/credit", {"reason": "kept text", "revision": seen})
    assert refused.status_code == 422
    assert 'value="kept text"' in refused.text
    late = {"whole": "yes", "reason": "x", "revision": "0"}
    assert wren.post(f"/accounts/bills/{key}/credit", late).status_code == 409
    sent = {"whole": "yes", "reason": "wrong owner", "revision": seen, "submission": "credit"}
    for _ in range(2):
        answer = wren.post(f"/accounts/bills/{key}/credit", sent)
        assert (answer.status_code, answer.headers["location"]) == (303, f"{here(order_id)}#bills")
    assert "Every line of it was taken back" in wren.get(f"/accounts/bills/{key}/credit").text
    assert account(book, order_id).owed == 0


def test_the_e_invoice_is_there_once_the_shop_has_its_number(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    first, wren = billed(book, order_id), signed("Wren")
    answer = wren.get(f"/accounts/bills/{first}.xml")
    assert answer.status_code == 404
    assert "BR-CO-26" in answer.text  # EN 16931: the seller has an identifier
    assert ".xml" not in wren.get(here(order_id)).text
    steps.set_terms(book, act(), TermsSaid("US", "USD", "77-120934", "00-4471", 14, ""))
    other = finished(book, (TREAD,))
    second = billed(book, other)
    answer = wren.get(f"/accounts/bills/{second}.xml")
    assert answer.headers["content-type"] == "application/xml"
    assert answer.headers["content-disposition"] == 'attachment; filename="I-2026-0002.xml"'
    assert broken(answer.content) == []
    assert fromstring(answer.content).tag.endswith("}Invoice")
    assert f"/accounts/bills/{second}.xml" in wren.get(here(other)).text


def test_a_certificate_is_kept_and_shown(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    old = {"certificate": "EX-42", "until": "2001-01-01"}
    assert wren.post(f"{here(order_id)}/exemption", old).status_code == 422
    assert wren.post(f"{here(order_id)}/exemption", {"certificate": "EX-42"}).status_code == 303
    assert "Pays no tax: certificate EX-42" in wren.get(here(order_id)).text


def test_what_is_owed_stands_by_age(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    billed(book, order_id)  # due on 4 May 2026, long over 90 days before the present
    paid(book, finished(book, (TREAD,)), 500)
    page = signed("Wren").get("/accounts").text
    assert "over 90 days" in page
    assert "I-2026-0001" in page
    assert "Held for owners" in page


def test_the_day_is_counted_and_closed(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    paid(book, order_id, 20000)
    wren = signed("Wren")
    assert "Cash taken less given back is 200.00" in wren.get("/accounts/day").text
    sent = {"start": "150", "counted": "349.95", "banked": "200", "revision": "1", "submission": "day"}
    asked = wren.post("/accounts/day", sent)
    assert asked.status_code == 422
    assert "0.05 less than the book has" in asked.text
    late = {**sent, "revision": "0", "submission": "late", "counted": "350.00"}
    assert wren.post("/accounts/day", late).status_code == 409
    kept = {**sent, "submission": "kept", "confirm-counted": "349.95"}
    for _ in range(2):
        assert wren.post("/accounts/day", kept).status_code == 303
    page = wren.get("/accounts/day").text
    assert "D-2" in page
    assert "0.05 short" in page
    assert "Nothing came since the last close" in page


def test_money_noted_after_the_close_of_its_day_is_named_where_the_drawer_is_counted(
    book: Engine, signed: Sign
) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    paid(book, order_id, 20000)
    assert "Noted later than its day" not in wren.get("/accounts/day").text
    steps.close_day(book, act(person=WREN, seen=1), Counted(0, 20000, 0))
    late = PaymentSaid(Means.CASH, 2000, DAY - timedelta(days=2))
    steps.take_payment(book, desk(book, order_id), order_id, late)
    page = wren.get("/accounts/day").text
    assert "R-2026-0002, WO-000001, received 2 May 2026: 20.00, cash" in page
    assert "before the last count was counted then" in page


def test_the_journal_is_csv_that_no_spreadsheet_runs(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    billed(book, order_id)
    wren = signed("Wren")
    sent = payment(book, order_id, means="transfer", reference="=cmd|' /C calc'!A0")
    wren.post(f"{here(order_id)}/payments", sent)
    answer = wren.get("/accounts/journal.csv?first=2026-05-01&last=2035-01-01")
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.text)))
    assert [row["kind"] for row in rows] == ["invoice", "invoice", "payment"]
    assert rows[2]["reference"].startswith("'=")
    billed_in_all = sum(Decimal(row["gross"]) for row in rows[:2])
    assert billed_in_all == Decimal(account(book, order_id).invoiced) / 100
    told = json.loads(wren.get("/accounts/journal.json?first=2026-05-01&last=2035-01-01").text)
    assert told["format"] == "journal/1"
    assert len(told["entries"]) == 3


@pytest.mark.parametrize(
    ("query", "says"),
    [
        ("csv?first=2026-05-02&last=2026-05-01", "before the first day"),
        ("csv?first=1990-05-02&last=2026-05-01", "more than ten years"),
        ("csv?first=soon", "is not a date"),
    ],
)
def test_an_impossible_journal_is_refused_in_words(signed: Sign, query: str, says: str) -> None:
    answer = signed("Wren").get(f"/accounts/journal.{query}")
    assert answer.status_code == 422
    assert says in answer.text


def test_a_journal_of_another_kind_is_no_page(signed: Sign) -> None:
    answer = signed("Wren").get("/accounts/journal.xls")
    assert answer.status_code == 404
    assert "There is csv and json" in answer.text


def test_a_lead_sets_the_terms_and_a_writer_reads_them(signed: Sign) -> None:
    sent = {
        "country": "us",
        "currency_code": "USD",
        "due_days": "14",
        "tax_number": "77-120934",
        "note": "Thanks",
    }
    assert signed("Lee").post("/accounts/terms", {**sent, "country": "USA"}).status_code == 422
    assert signed("Lee").post("/accounts/terms", sent).status_code == 303
    assert 'value="77-120934"' in signed("Lee").get("/accounts/terms").text
    page = signed("Wren").get("/accounts/terms").text
    assert "77-120934" in page
    assert "<form" not in page
    assert signed("Wren").post("/accounts/terms", sent).status_code == 403


def test_a_technician_reads_the_account_and_changes_nothing(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    toni = signed("Toni")
    page = toni.get(here(order_id)).text
    assert "Replace a tire" in page
    assert "<form" not in page
    for path in ("/accounts", "/accounts/day", "/accounts/terms", "/accounts/journal.csv"):
        assert toni.get(path).status_code == 403
    for path in ("invoices", "payments", "exemption"):
        assert toni.post(f"{here(order_id)}/{path}", {}).status_code == 403


@pytest.mark.parametrize("key", ["0", "999", str(2**63), "9" * 30])
@pytest.mark.parametrize("path", ["orders/{}", "bills/{}/credit", "bills/{}.xml"])
def test_a_key_that_is_none_is_a_page_that_is_not_there(signed: Sign, key: str, path: str) -> None:
    assert signed("Wren").get(f"/accounts/{path.format(key)}").status_code == 404


@pytest.mark.parametrize(
    "path", ["orders/999/invoices", "orders/999/payments", "bills/999/credit", "bills/999/paper"]
)
def test_an_act_on_what_is_not_there_is_404(signed: Sign, path: str) -> None:
    assert signed("Wren").post(f"/accounts/{path}", {}).status_code == 404


def test_a_paper_that_failed_is_printed_again_as_the_same_paper(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    key, wren = billed(book, order_id), signed("Wren")
    assert "Print again" in wren.get(here(order_id)).text
    where = [wren.post(f"/accounts/bills/{key}/paper", {}).headers["location"] for _ in range(2)]
    assert where == ["/papers/1.pdf", "/papers/1.pdf"]


def test_the_account_is_reached_from_the_work_order_and_the_yard(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    wren = signed("Wren")
    assert here(order_id) in wren.get(f"/orders/{order_id}").text
    assert 'href="/accounts"' in wren.get("/").text
    assert 'href="/accounts"' not in signed("Toni").get("/").text


def test_a_late_payment_keeps_its_day(book: Engine, signed: Sign) -> None:
    order_id = finished(book, TWO)
    before = (local(now(), "America/New_York") - timedelta(days=3)).date()
    sent = payment(book, order_id, on_day=before.isoformat())
    assert signed("Wren").post(f"{here(order_id)}/payments", sent).status_code == 303
    assert account(book, order_id).payments[0].on == before
    assert desk(book, order_id).seen == account(book, order_id).seen

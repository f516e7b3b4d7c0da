"""A bill as UBL 2.1 for EN 16931: what a program of the bookkeeper or the buyer reads.

Source: OASIS UBL 2.1 (order of elements), EN 16931-1 with its UBL syntax binding.
"""

from collections.abc import Iterator, Sequence
from xml.sax.saxutils import escape, quoteattr

from app.accounts.document import Bill, BilledLine, Kind, Party, TaxSum
from app.trade.money import Money
from app.trade.tax import TaxCode
from app.trade.totals import LineKind

Node = tuple[str, "str | Sequence[Node]", dict[str, str]]

CORE = "urn:cen.eu:en16931:2017"
UBL = "urn:oasis:names:specification:ubl:schema:xsd:"
HOURS, ONE = "HUR", "C62"  # UN/ECE Recommendation 20
NOT_XML = {0xFFFE: None, 0xFFFF: None}


def to_ubl(bill: Bill) -> bytes:
    """A bill as a UBL document, the same bytes for the same bill."""
    name = "Invoice" if bill.kind is Kind.INVOICE else "CreditNote"
    spaces = {
        "xmlns": f"{UBL}{name}-2",
        "xmlns:cac": f"{UBL}CommonAggregateComponents-2",
        "xmlns:cbc": f"{UBL}CommonBasicComponents-2",
    }
    body = _text((name, [*_head(bill), *_parties(bill), *_money(bill), *_lines(bill)], spaces))
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'.encode()


def _text(node: Node) -> str:
    name, inside, attributes = node
    opens = "".join(f" {key}={quoteattr(value)}" for key, value in attributes.items())
    content = escape(inside.translate(NOT_XML)) if isinstance(inside, str) else "".join(map(_text, inside))
    return f"<{name}{opens}>{content}</{name}>"


def _say(name: str, says: str, **attributes: str) -> Node:
    return f"cbc:{name}", says, attributes


def _group(name: str, *inside: Node) -> Node:
    return f"cac:{name}", [each for each in inside if each[1]], {}


def _amount(bill: Bill, name: str, minor: int) -> Node:
    return _say(name, f"{Money(minor).amount:.2f}", currencyID=bill.currency_code)


def _head(bill: Bill) -> Iterator[Node]:
    invoice = bill.kind is Kind.INVOICE
    yield _say("CustomizationID", CORE)
    yield _say("ID", bill.number)
    yield _say("IssueDate", bill.on.isoformat())
    if invoice:
        yield _say("DueDate", bill.due_on.isoformat())
    yield _say("InvoiceTypeCode", "380") if invoice else _say("CreditNoteTypeCode", "381")
    if says := bill.reason or bill.note:
        yield _say("Note", says)
    if bill.taxed_on and bill.taxed_on != bill.on:
        yield _say("TaxPointDate", bill.taxed_on.isoformat())
    yield _say("DocumentCurrencyCode", bill.currency_code)
    yield _group("OrderReference", _say("ID", bill.order_number))
    if bill.takes_back and bill.taken_back_from:
        yield _before(bill.takes_back, bill.taken_back_from.isoformat())


def _before(number: str, on: str) -> Node:
    return _group(
        "BillingReference", _group("InvoiceDocumentReference", _say("ID", number), _say("IssueDate", on))
    )


def _parties(bill: Bill) -> Iterator[Node]:
    yield _group("AccountingSupplierParty", _party(bill.seller))
    yield _group("AccountingCustomerParty", _party(bill.buyer))
    if bill.kind is Kind.CREDIT:
        yield _group("PaymentTerms", _say("Note", "Set off against what is owed, or given back"))


def _party(party: Party) -> Node:
    country = _group("Country", _say("IdentificationCode", party.country))
    return _group(
        "Party",
        _group("PostalAddress", _say("StreetName", party.address), country),
        _group("PartyTaxScheme", *_tax_number(party)),
        _group(
            "PartyLegalEntity",
            _say("RegistrationName", party.name),
            _say("CompanyID", party.register_number),
        ),
        _group("Contact", _say("Telephone", party.phone), _say("ElectronicMail", party.email)),
    )


def _tax_number(party: Party) -> Iterator[Node]:
    """BT-31 where the number carries its country (BR-CO-09), else BT-32."""
    if party.tax_number:
        scheme = "VAT" if party.tax_number.upper().startswith(party.country) else "TAX"
        yield _say("CompanyID", party.tax_number)
        yield _group("TaxScheme", _say("ID", scheme))


def _money(bill: Bill) -> Iterator[Node]:
    for line in bill.lines:
        if line.kind is LineKind.DISCOUNT:
            yield _allowance(bill, line)
    yield _group(
        "TaxTotal", _amount(bill, "TaxAmount", bill.tax), *(_subtotal(bill, each) for each in bill.taxes)
    )
    yield _totals(bill)


def _totals(bill: Bill) -> Node:
    prepaid = [_amount(bill, "PrepaidAmount", bill.paid)] if bill.paid else []
    lowered = any(line.kind is LineKind.DISCOUNT for line in bill.lines)  # also by 0.00: BR-CO-11
    allowances = [_amount(bill, "AllowanceTotalAmount", bill.discounts)] if lowered else []
    return _group(
        "LegalMonetaryTotal",
        _amount(bill, "LineExtensionAmount", bill.net + bill.discounts),
        _amount(bill, "TaxExclusiveAmount", bill.net),
        _amount(bill, "TaxInclusiveAmount", bill.gross),
        *allowances,
        *prepaid,
        _amount(bill, "PayableAmount", bill.due),
    )


def _allowance(bill: Bill, line: BilledLine) -> Node:
    return _group(
        "AllowanceCharge",
        _say("ChargeIndicator", "false"),
        _say("AllowanceChargeReason", line.what),
        _amount(bill, "Amount", -line.amount),
        _category("TaxCategory", line.code, line.percent),
    )


def _category(name: str, code: TaxCode, percent: str, reason: str = "") -> Node:
    return _group(
        name,
        _say("ID", code),
        _say("Percent", percent),
        _say("TaxExemptionReason", reason),
        _group("TaxScheme", _say("ID", "VAT")),
    )


def _subtotal(bill: Bill, each: TaxSum) -> Node:
    return _group(
        "TaxSubtotal",
        _amount(bill, "TaxableAmount", each.base),
        _amount(bill, "TaxAmount", each.tax),
        _category("TaxCategory", each.code, each.percent, each.reason),
    )


def _lines(bill: Bill) -> Iterator[Node]:
    for line in bill.lines:
        if line.kind is not LineKind.DISCOUNT:
            yield _line(bill, line)


def _line(bill: Bill, line: BilledLine) -> Node:
    invoice = bill.kind is Kind.INVOICE
    unit = HOURS if line.kind is LineKind.LABOUR else ONE
    return _group(
        "InvoiceLine" if invoice else "CreditNoteLine",
        _say("ID", str(line.n)),
        _say("InvoicedQuantity" if invoice else "CreditedQuantity", line.quantity, unitCode=unit),
        _amount(bill, "LineExtensionAmount", line.amount),
        _group(
            "Item",
            _say("Description", line.title),
            _say("Name", line.what),
            _category("ClassifiedTaxCategory", line.code, line.percent),
        ),
        _group("Price", _amount(bill, "PriceAmount", line.price)),
    )

"""Our bills as UBL 2.1 against the rules of EN 16931, and the rules against published examples."""

import re
from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from xml.etree.ElementTree import fromstring

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.accounts.adding_up import Entry, added_up, discounted
from app.accounts.document import Bill, Kind, Party, Received, Tag
from app.accounts.e_invoice import e_invoice
from app.accounts.en16931 import NS, Broken, broken
from app.accounts.ubl import to_ubl
from app.estimate.rules import NewLine
from app.trade.money import Money, Rounding
from app.trade.tax import rate_of
from app.trade.totals import Basis, LineKind, Rule
from tests.accounts.test_adding_up import RATES, random_lines

NOON = datetime(2026, 5, 8, 16, 0, tzinfo=UTC)
DAY = date(2026, 5, 8)
HOUSE = Rule()  # half up, once for each rate
SHOP = Party(
    name="Two Creeks & Sons <Trailers>",
    address="1 Mill Lane",
    country="US",
    tax_number="77-120934",
    register_number="00-4471",
)
OWNER = Party(name="Rosalind Achterberg", country="US")


def bill(
    lines: Sequence[NewLine],
    *,
    paid: int = 0,
    off: int = 0,
    kind: Kind = Kind.INVOICE,
    rule: Rule = HOUSE,
) -> Bill:
    entries = discounted(
        [Entry(each, title="Hubs") for each in lines], Money(off), "goodwill", Rounding.HALF_UP
    )
    sums = added_up(entries, RATES, rule)
    received = (Received(what="Deposit", on=DAY, means="cash", amount=paid),) if paid else ()
    return Bill(
        kind=kind,
        number="I-2026-0244",
        made_at=NOON,
        made_by="Wren",
        on=DAY,
        due_on=DAY,
        takes_back="I-2026-0200" if kind is Kind.CREDIT else "",
        taken_back_from=DAY if kind is Kind.CREDIT else None,
        reason="billed twice" if kind is Kind.CREDIT else "",
        currency="$",
        currency_code="USD",
        zone="America/New_York",
        seller=SHOP,
        buyer=OWNER,
        tag=Tag(number=417, what="Travel trailer", whose=OWNER.name, stands="Gate"),
        order_number="WO-000236",
        lines=sums.lines,
        taxes=sums.taxes,
        net=sums.net,
        tax=sums.tax,
        gross=sums.gross,
        received=received,
    )


def part(price: int, quantity: str = "1", tax: str = "parts", kind: LineKind = LineKind.PART) -> NewLine:
    return NewLine(kind, "Hub bearing set", quantity, price, tax)


USUAL = [part(3875, "2"), part(11500, "1.4", "labour", LineKind.LABOUR), part(1490, "0.35")]


def texts(content: bytes, path: str) -> list[str]:
    return [each.text or "" for each in fromstring(content).iterfind(path, NS)]


def test_our_invoice_keeps_every_rule() -> None:
    content, wrong = e_invoice(bill(USUAL, paid=10000, off=1000))
    assert wrong == []
    # BT-106 243.72 by hand (77.50 + 161.00 + 5.22); BT-107 10.00; BT-109 233.72
    assert texts(content, "cac:LegalMonetaryTotal/cbc:LineExtensionAmount") == ["243.72"]
    assert texts(content, "cac:LegalMonetaryTotal/cbc:AllowanceTotalAmount") == ["10.00"]
    assert texts(content, "cac:LegalMonetaryTotal/cbc:TaxExclusiveAmount") == ["233.72"]
    assert texts(content, "cac:LegalMonetaryTotal/cbc:PrepaidAmount") == ["100.00"]


def test_the_order_of_elements_is_that_of_ubl() -> None:
    # the sequence of UBL-Invoice-2.1.xsd, the elements that we write
    order = [
        *("CustomizationID", "ID", "IssueDate", "DueDate", "InvoiceTypeCode", "DocumentCurrencyCode"),
        *("OrderReference", "AccountingSupplierParty", "AccountingCustomerParty", "AllowanceCharge"),
        *("TaxTotal", "LegalMonetaryTotal", "InvoiceLine"),
    ]
    found = [each.tag.rpartition("}")[2] for each in fromstring(to_ubl(bill(USUAL, off=1000)))]
    assert list(dict.fromkeys(found)) == order


def test_hours_and_pieces_carry_their_units() -> None:
    root = fromstring(to_ubl(bill(USUAL)))
    units = [each.get("unitCode") for each in root.iterfind("cac:InvoiceLine/cbc:InvoicedQuantity", NS)]
    assert units == ["C62", "HUR", "C62"]  # UN/ECE Recommendation 20: one, hour


def test_a_credit_note_names_what_it_takes_back() -> None:
    content, wrong = e_invoice(bill(USUAL, kind=Kind.CREDIT))
    assert wrong == []
    assert texts(content, "cbc:CreditNoteTypeCode") == ["381"]  # UNTDID 1001
    assert texts(content, "cac:BillingReference/cac:InvoiceDocumentReference/cbc:ID") == ["I-2026-0200"]


def test_names_with_signs_of_xml_stay_whole() -> None:
    path = "cac:AccountingSupplierParty/cac:Party/cac:PartyLegalEntity/cbc:RegistrationName"
    assert texts(to_ubl(bill(USUAL)), path) == [SHOP.name]


def test_the_same_bill_is_the_same_bytes() -> None:
    assert to_ubl(bill(USUAL)) == to_ubl(bill(USUAL))


@given(st.randoms(use_true_random=False), st.integers(0, 100_000))
def test_whatever_a_shop_bills_keeps_every_rule(random: object, paid: int) -> None:
    lines = random_lines(random)  # type: ignore[arg-type]  # a Random
    if all(each.kind is LineKind.DISCOUNT for each in lines):
        lines.append(part(100))  # BR-16: a document has a line
    assert e_invoice(bill(lines, paid=paid))[1] == []


def changed(content: bytes, before: str, after: str) -> list[str]:
    text = content.decode()
    assert before in text
    return [each.rule for each in broken(text.replace(before, after, 1).encode())]


CHANGES = [
    ("<cbc:ID>I-2026-0244</cbc:ID>", "", "BR-02"),
    ("<cbc:IssueDate>2026-05-08</cbc:IssueDate>", "", "BR-03"),
    (">380<", ">999<", "BR-CL-01"),
    (">USD<", ">dollars<", "BR-CL-04"),
    (f"{OWNER.name}</cbc:RegistrationName>", "</cbc:RegistrationName>", "BR-07"),
    (">US</cbc:IdentificationCode>", "></cbc:IdentificationCode>", "BR-09"),
    (
        ">243.72</cbc:LineExtensionAmount><cbc:TaxE",
        ">243.73</cbc:LineExtensionAmount><cbc:TaxE",
        "BR-CO-10",
    ),
    (">10.00</cbc:AllowanceTotalAmount>", ">10.01</cbc:AllowanceTotalAmount>", "BR-CO-11"),
    (">233.72</cbc:TaxExclusiveAmount>", ">233.73</cbc:TaxExclusiveAmount>", "BR-CO-13"),
    ("</cbc:TaxAmount><cac:TaxSubtotal>", "9</cbc:TaxAmount><cac:TaxSubtotal>", "BR-DEC"),
    (">100.00</cbc:PrepaidAmount>", ">99.00</cbc:PrepaidAmount>", "BR-CO-16"),
    ("<cbc:DueDate>2026-05-08</cbc:DueDate>", "", "BR-CO-25"),
    ('unitCode="HUR"', 'unitCode="hours"', "BR-CL-23"),
    ("<cbc:Name>Hub bearing set</cbc:Name>", "<cbc:Name> </cbc:Name>", "BR-25"),
    (">38.75</cbc:PriceAmount>", ">-38.75</cbc:PriceAmount>", "BR-27"),
    ("<cbc:Percent>6</cbc:Percent>", "<cbc:Percent>7</cbc:Percent>", "BR-S-01"),
    ("<cbc:CompanyID>77-120934</cbc:CompanyID>", "", "BR-S-02"),
    ("<cbc:TaxExemptionReason>labour to repair</cbc:TaxExemptionReason>", "", "BR-E-10"),
    ("<cbc:AllowanceChargeReason>goodwill, on parts</cbc:AllowanceChargeReason>", "", "BR-33"),
    (">US</cbc:IdentificationCode>", ">UU</cbc:IdentificationCode>", "BR-CL-14"),
    ("<cbc:CompanyID>00-4471</cbc:CompanyID>", "", "BR-CO-26"),
]


@pytest.mark.parametrize(("before", "after", "rule"), CHANGES)
def test_each_change_breaks_its_rule(before: str, after: str, rule: str) -> None:
    assert rule in changed(to_ubl(bill(USUAL, paid=10000, off=1000)), before, after)


def test_a_rate_outside_tax_stands_alone() -> None:
    text = to_ubl(bill(USUAL)).decode().replace("<cbc:ID>E</cbc:ID>", "<cbc:ID>O</cbc:ID>")
    assert "BR-O-11" in [each.rule for each in broken(text.encode())]


def test_what_is_no_xml_and_what_is_no_number_are_said_so() -> None:
    assert [each.rule for each in broken(b"<Invoice")] == ["XML"]
    text = to_ubl(bill(USUAL)).decode().replace(">77.50<", ">1e3<")
    assert broken(text.encode())[0].rule == "XML"


# The published examples of CEN/TC 434 (validation artefacts, folder ubl/examples), told by their figures


def example(
    lines: Sequence[tuple[str, str, str]],
    groups: Sequence[tuple[str, str, str, str]],
    totals: Mapping[str, str],
    around: Sequence[tuple[str, str, str, str]] = (),
) -> bytes:
    """A UBL invoice with the figures of an example: lines, allowances and charges, breakdown, totals."""

    def category(name: str, code: str, percent: str) -> str:
        reason = "<cbc:TaxExemptionReason>exempt</cbc:TaxExemptionReason>" if code == "E" else ""
        says = reason if name == "TaxCategory" else ""
        scheme = "<cac:TaxScheme><cbc:ID>VAT</cbc:ID></cac:TaxScheme>"
        rate = f"<cbc:ID>{code}</cbc:ID><cbc:Percent>{percent}</cbc:Percent>"
        return f"<cac:{name}>{rate}{says}{scheme}</cac:{name}>"

    head = to_ubl(bill(USUAL)).decode()
    head = head[: head.index("<cac:TaxTotal>")]
    for charge, amount, code, percent in around:
        head += (
            f"<cac:AllowanceCharge><cbc:ChargeIndicator>{charge}</cbc:ChargeIndicator>"
            f"<cbc:AllowanceChargeReason>Freight</cbc:AllowanceChargeReason><cbc:Amount>{amount}</cbc:Amount>"
            f"{category('TaxCategory', code, percent)}</cac:AllowanceCharge>"
        )
    head += f"<cac:TaxTotal><cbc:TaxAmount>{totals['TaxAmount']}</cbc:TaxAmount>"
    for code, percent, base, tax in groups:
        head += (
            f"<cac:TaxSubtotal><cbc:TaxableAmount>{base}</cbc:TaxableAmount><cbc:TaxAmount>{tax}</cbc:TaxAmount>"
            f"{category('TaxCategory', code, percent)}</cac:TaxSubtotal>"
        )
    head += "</cac:TaxTotal><cac:LegalMonetaryTotal>"
    head += "".join(f"<cbc:{k}>{v}</cbc:{k}>" for k, v in totals.items() if k != "TaxAmount")
    head += "</cac:LegalMonetaryTotal>"
    for n, (net, code, percent) in enumerate(lines, 1):
        head += (
            f"<cac:InvoiceLine><cbc:ID>{n}</cbc:ID>"
            '<cbc:InvoicedQuantity unitCode="EA">1</cbc:InvoicedQuantity>'
            f"<cbc:LineExtensionAmount>{net}</cbc:LineExtensionAmount><cac:Item><cbc:Name>item</cbc:Name>"
            f"{category('ClassifiedTaxCategory', code, percent)}</cac:Item>"
            f"<cac:Price><cbc:PriceAmount>1.00</cbc:PriceAmount></cac:Price></cac:InvoiceLine>"
        )
    with_currency = re.sub(r"<(cbc:\w*Amount)>", r'<\1 currencyID="USD">', head)
    return f"{with_currency}</Invoice>".encode()


def totals(
    lines: str,
    net: str,
    tax: str,
    gross: str,
    due: str,
    paid: str = "0.00",
    off: str = "0.00",
    on: str = "0.00",
) -> dict[str, str]:
    return {
        "LineExtensionAmount": lines,
        "TaxExclusiveAmount": net,
        "TaxInclusiveAmount": gross,
        "AllowanceTotalAmount": off,
        "ChargeTotalAmount": on,
        "PrepaidAmount": paid,
        "PayableAmount": due,
        "TaxAmount": tax,
    }


EXAMPLES = {
    "ubl-tc434-example2": example(
        [
            ("1273.00", "S", "25"),
            ("-3.96", "S", "15"),
            ("4.96", "S", "15"),
            ("-25.00", "E", "0"),
            ("187.50", "S", "25"),
        ],
        [("S", "25", "1460.50", "365.13"), ("S", "15", "1.00", "0.15"), ("E", "0", "-25.00", "0.00")],
        totals("1436.50", "1436.50", "365.28", "1801.78", "801.78", "1000.00", "100.00", "100.00"),
        [("false", "100.00", "S", "25"), ("true", "100.00", "S", "25")],
    ),
    "ubl-tc434-example3": example(
        [("800.00", "S", "25"), ("800.00", "S", "10")],
        [("S", "25", "900.00", "225.00"), ("S", "10", "800.00", "80.00")],
        totals("1600.00", "1700.00", "305.00", "2005.00", "2005.00", on="100.00"),
        [("true", "100.00", "S", "25")],
    ),
    "ubl-tc434-example4": example(
        [("1500.00", "S", "25"), ("2500.00", "S", "12")],
        [("S", "25", "1500.00", "375.00"), ("S", "12", "2500.00", "300.00")],
        totals("4000.00", "4000.00", "675.00", "4675.00", "4675.00"),
    ),
    "ubl-tc434-example5": example(
        [("1500.00", "S", "25"), ("2500.00", "S", "12")],
        [("S", "25", "1500.00", "375.00"), ("S", "12", "2500.00", "300.00")],
        totals("4000.00", "4000.00", "675.00", "4675.00", "2337.50", "2337.50", "150.00", "150.00"),
        [("false", "150.00", "S", "25"), ("true", "150.00", "S", "25")],
    ),
    "ubl-tc434-example9": example(
        [("147.00", "S", "21")],
        [("S", "21", "147.00", "30.87")],
        totals("147.00", "147.00", "30.87", "177.87", "177.87"),
    ),
    "ubl-tc434-creditnote1": example(
        [("100.11", "E", "0")],
        [("E", "0", "100.11", "0.00")],
        totals("100.11", "100.11", "0.00", "100.11", "100.11"),
    ),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_a_published_example_keeps_every_rule(name: str) -> None:
    assert broken(EXAMPLES[name]) == []


@pytest.mark.parametrize("name", EXAMPLES)
@pytest.mark.parametrize(
    "total", ["TaxExclusiveAmount", "TaxInclusiveAmount", "PayableAmount", "LineExtensionAmount"]
)
def test_a_published_example_with_a_cent_more_breaks_a_rule(name: str, total: str) -> None:
    text = EXAMPLES[name].decode()
    start = text.index(">", text.index(f"<cbc:{total} ", text.index("<cac:LegalMonetaryTotal>"))) + 1
    end = text.index("<", start)
    more = f"{Decimal(text[start:end]) + Decimal('0.01'):.2f}"
    assert {each.rule for each in broken(f"{text[:start]}{more}{text[end:]}".encode())} & {
        "BR-CO-10",
        "BR-CO-13",
        "BR-CO-15",
        "BR-CO-16",
    }


@pytest.mark.parametrize(
    ("lines", "rates", "tax", "gross"),
    [
        # the same figures by our own arithmetic: net by rate in, BT-110 and BT-112 out
        (
            [("1460.50", "25"), ("1.00", "15")],
            ("25", "15"),
            36528,
            182678,
        ),  # example 2, without its exempt return
        ([("900.00", "25"), ("800.00", "10")], ("25", "10"), 30500, 200500),  # example 3
        ([("1500.00", "25"), ("2500.00", "12")], ("25", "12"), 67500, 467500),  # examples 4 and 5
        ([("147.00", "21")], ("21",), 3087, 17787),  # example 9
    ],
)
def test_our_totals_are_those_of_the_examples(
    lines: list[tuple[str, str]], rates: tuple[str, ...], tax: int, gross: int
) -> None:
    entries = [Entry(part(int(Decimal(amount) * 100), tax=percent)) for amount, percent in lines]
    found = added_up(entries, {each: rate_of(Decimal(each)) for each in rates}, HOUSE)
    assert (found.tax, found.gross) == (tax, gross)


def test_a_rule_broken_says_its_code() -> None:
    assert Broken("BR-16", "There is at least one line") in broken(
        example([], [("S", "21", "0.00", "0.00")], totals("0.00", "0.00", "0.00", "0.00", "0.00"))
    )


@pytest.mark.parametrize(
    ("many", "tax", "rules"),
    [
        (3, 9, []),  # 6 % of 1.74 is 0.10, and each 0.58 alone has 0.03: a cent off, which the rule allows
        (68, 204, []),  # 6 % of 39.44 is 2.37: 0.33 off
        (300, 900, ["BR-CO-17"]),  # 6 % of 174.00 is 10.44: 1.44 off, and the rule ends below 1.00
    ],
)
def test_a_bill_rounded_by_line_is_an_e_invoice_as_long_as_the_rule_lets_it(
    many: int, tax: int, rules: list[str]
) -> None:
    found = bill([part(58)] * many, rule=Rule(basis=Basis.LINE))
    assert found.tax == tax
    assert [each.rule for each in e_invoice(found)[1]] == rules

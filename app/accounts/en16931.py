"""The rules of EN 16931 that a UBL document of this shop can break, each by its published code.

Not all of the standard: what a bill for work on a trailer can hold. The published rules let tax be up to a
unit of money off; so do these, and the exact sums are held by the program's own arithmetic.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from xml.etree.ElementTree import Element, ParseError, fromstring

NS = {
    "cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
MONEY = re.compile(r"^-?\d+(\.\d{1,2})?$")
NUMBER = re.compile(r"^-?\d+(\.\d+)?$")
ZERO = Decimal(0)
TYPES = {"380", "381"}
UNITS = {"HUR", "C62", "EA", "H87", "SET", "KGM", "LBR", "LTR", "GLL", "FOT", "YRD", "MTR", "INH", "FTK"}

LISTED = (  # ISO 3166-1 alpha-2 and what BR-CL-14 takes beside it, two letters each
    "ADAEAFAGAIALAMAOAQARASATAUAWAXAZBABBBDBEBFBGBHBIBJBLBMBNBOBQBRBSBTBVBWBYBZCACCCDCFCGCHCICKCLCMCN"
    "COCRCUCVCWCXCYCZDEDJDKDMDODZECEEEGEHELERESETFIFJFKFMFOFRGAGBGDGEGFGGGHGIGLGMGNGPGQGRGSGTGUGWGYHK"
    "HMHNHRHTHUIDIEILIMINIOIQIRISITJEJMJOJPKEKGKHKIKMKNKPKRKWKYKZLALBLCLILKLRLSLTLULVLYMAMCMDMEMFMGMH"
    "MKMLMMMNMOMPMQMRMSMTMUMVMWMXMYMZNANCNENFNGNINLNONPNRNUNZOMPAPEPFPGPHPKPLPMPNPRPSPTPWPYQARERORSRU"
    "RWSASBSCSDSESGSHSISJSKSLSMSNSOSRSSSTSVSXSYSZTCTDTFTGTHTJTKTLTMTNTOTRTTTVTWTZUAUGUMUSUYUZVAVCVEVG"
    "VIVNVUWFWSXIYEYTZAZMZW"
)
COUNTRIES = set(map("".join, zip(LISTED[::2], LISTED[1::2], strict=True)))


@dataclass(frozen=True)
class Broken:
    """A rule that a document breaks: its code and what it asks for."""

    rule: str
    says: str


@dataclass(frozen=True)
class Taxed:
    """An amount with its category and rate; `charge`: added, where it is an allowance it is taken off."""

    amount: Decimal
    code: str
    percent: Decimal
    charge: bool = True
    reason: str = ""
    tax: Decimal = ZERO

    @property
    def signed(self) -> Decimal:
        """The amount as it counts."""
        return self.amount if self.charge else -self.amount


@dataclass(frozen=True)
class Line:
    """One line: number, quantity, unit, net amount, name, price."""

    id: str
    quantity: str
    unit: str
    net: Decimal
    name: str
    price: Decimal | None
    of: Taxed


@dataclass(frozen=True)
class Read:
    """A UBL document as the rules look at it."""

    root: Element
    lines: tuple[Line, ...]
    allowances: tuple[Taxed, ...]
    groups: tuple[Taxed, ...]
    totals: dict[str, Decimal] = field(default_factory=dict)

    def text(self, path: str) -> str:
        """The text at a path, empty where there is none."""
        return (self.root.findtext(path, "", NS) or "").strip()

    def total(self, name: str) -> Decimal:
        """One of the document's totals, 0 where it is not given."""
        return self.totals.get(name, ZERO)

    def sum_of(self, *, charges: bool) -> Decimal:
        """Sum of the document's charges, or of its allowances."""
        return sum((each.amount for each in self.allowances if each.charge is charges), ZERO)

    @property
    def due_said(self) -> bool:
        """Whether a due date or payment terms are given."""
        paths = ("cbc:DueDate", "cac:PaymentTerms/cbc:Note", "cac:PaymentMeans/cbc:PaymentDueDate")
        return any(map(self.text, paths))


def broken(content: bytes) -> list[Broken]:
    """The rules that a UBL document breaks, in the order of the standard; none where it keeps them all."""
    try:
        found = _read(fromstring(content))  # noqa: S314 - the program's own documents
    except (ParseError, ArithmeticError) as wrong:
        return [Broken("XML", f"This cannot be read: {wrong}")]
    rules = [Broken(code, says) for code, says, holds in RULES if not holds(found)]
    return [*rules, *_decimals(found), *_by_group(found)]


def _read(root: Element) -> Read:
    lines = [*root.iterfind("cac:InvoiceLine", NS), *root.iterfind("cac:CreditNoteLine", NS)]
    totals = root.find("cac:LegalMonetaryTotal", NS)
    tax = root.findtext("cac:TaxTotal/cbc:TaxAmount", "", NS)
    named = {
        each.tag.rpartition("}")[2]: _number(each.text) for each in (totals if totals is not None else ())
    }
    return Read(
        root,
        tuple(map(_line, lines)),
        tuple(
            _taxed(each, "cbc:Amount", "cac:TaxCategory") for each in root.iterfind("cac:AllowanceCharge", NS)
        ),
        tuple(
            _taxed(each, "cbc:TaxableAmount", "cac:TaxCategory")
            for each in root.iterfind("cac:TaxTotal/cac:TaxSubtotal", NS)
        ),
        {**named, **({"TaxAmount": _number(tax)} if tax else {})},
    )


def _number(text: str | None) -> Decimal:
    found = (text or "").strip()
    if not NUMBER.match(found):
        raise ArithmeticError(f"{found[:20]!r} is not a number")
    return Decimal(found)


def _taxed(each: Element, amount: str, category: str) -> Taxed:
    percent, tax = each.findtext(f"{category}/cbc:Percent", "", NS), each.findtext("cbc:TaxAmount", "", NS)
    reason = f"{category}/cbc:TaxExemptionReason"
    said = each.findtext("cbc:AllowanceChargeReason", "", NS) or each.findtext(reason, "", NS)
    return Taxed(
        amount=_number(each.findtext(amount, "", NS)),
        code=(each.findtext(f"{category}/cbc:ID", "", NS) or "").strip(),
        percent=_number(percent) if percent else ZERO,
        charge=(each.findtext("cbc:ChargeIndicator", "true", NS) or "").strip() in ("true", "1"),
        reason=said or "",
        tax=_number(tax) if tax else ZERO,
    )


def _line(each: Element) -> Line:
    counted = each.find("cbc:InvoicedQuantity", NS)
    counted = each.find("cbc:CreditedQuantity", NS) if counted is None else counted
    price = each.findtext("cac:Price/cbc:PriceAmount", "", NS)
    return Line(
        id=each.findtext("cbc:ID", "", NS) or "",
        quantity="" if counted is None else counted.text or "",
        unit="" if counted is None else counted.get("unitCode", ""),
        net=_number(each.findtext("cbc:LineExtensionAmount", "", NS)),
        name=each.findtext("cac:Item/cbc:Name", "", NS) or "",
        price=_number(price) if price else None,
        of=_taxed(each, "cbc:LineExtensionAmount", "cac:Item/cac:ClassifiedTaxCategory"),
    )


SELLER = "cac:AccountingSupplierParty/cac:Party"
BUYER = "cac:AccountingCustomerParty/cac:Party"
TAXED_AS = f"{SELLER}/cac:PartyTaxScheme/cbc:CompanyID"
NUMBERED = (  # BT-29, BT-30, BT-31; a tax number that is none of VAT (BT-32) does not count
    f"{SELLER}/cac:PartyIdentification/cbc:ID",
    f"{SELLER}/cac:PartyLegalEntity/cbc:CompanyID",
    f"{SELLER}/cac:PartyTaxScheme[cac:TaxScheme='VAT']/cbc:CompanyID",
)
COUNTRY = "cac:PostalAddress/cac:Country/cbc:IdentificationCode"
TYPE = ("cbc:InvoiceTypeCode", "cbc:CreditNoteTypeCode")
Holds = Callable[[Read], bool]


def _present(path: str) -> Holds:
    return lambda it: bool(it.text(path))


def _given(name: str) -> Holds:
    return lambda it: name in it.totals


def _lines(holds: Callable[[Line], bool]) -> Holds:
    return lambda it: all(map(holds, it.lines))


def _exclusive(it: Read) -> Decimal:
    return it.total("LineExtensionAmount") - it.total("AllowanceTotalAmount") + it.total("ChargeTotalAmount")


def _summed(it: Read, total: str, *, charges: bool) -> bool:
    """Whether a total is that of its allowances or charges, and is given where there are any."""
    given = total in it.totals or all(each.charge is not charges for each in it.allowances)
    return given and it.total(total) == it.sum_of(charges=charges)


def _due(it: Read) -> Decimal:
    paid = it.total("PrepaidAmount") - it.total("PayableRoundingAmount")
    return it.total("TaxInclusiveAmount") - paid


def _all(it: Read) -> Iterator[Taxed]:
    yield from (line.of for line in it.lines)
    yield from it.allowances


def _codes(it: Read) -> set[str]:
    return {each.code for each in (*_all(it), *it.groups)}


RULES: tuple[tuple[str, str, Holds], ...] = (
    ("BR-01", "A document says which specification it keeps", _present("cbc:CustomizationID")),
    ("BR-02", "A document has a number", _present("cbc:ID")),
    ("BR-03", "A document has its day", _present("cbc:IssueDate")),
    ("BR-04", "A document says what it is", lambda it: any(map(it.text, TYPE))),
    ("BR-CL-01", "An invoice is 380, a credit note 381", lambda it: bool(TYPES & set(map(it.text, TYPE)))),
    ("BR-05", "A document names its currency", _present("cbc:DocumentCurrencyCode")),
    (
        "BR-CL-04",
        "A currency is three letters of ISO 4217",
        lambda it: bool(re.fullmatch("[A-Z]{3}", it.text("cbc:DocumentCurrencyCode"))),
    ),
    ("BR-06", "The seller has a name", _present(f"{SELLER}/cac:PartyLegalEntity/cbc:RegistrationName")),
    ("BR-07", "The buyer has a name", _present(f"{BUYER}/cac:PartyLegalEntity/cbc:RegistrationName")),
    (
        "BR-08",
        "The seller has an address",
        lambda it: it.root.find(f"{SELLER}/cac:PostalAddress", NS) is not None,
    ),
    (
        "BR-09",
        "The seller has a country",
        _present(f"{SELLER}/{COUNTRY}"),
    ),
    (
        "BR-10",
        "The buyer has an address",
        lambda it: it.root.find(f"{BUYER}/cac:PostalAddress", NS) is not None,
    ),
    (
        "BR-11",
        "The buyer has a country",
        _present(f"{BUYER}/{COUNTRY}"),
    ),
    (
        "BR-CL-14",
        "A country is two letters of ISO 3166-1",
        lambda it: {it.text(f"{each}/{COUNTRY}") for each in (SELLER, BUYER)} <= COUNTRIES,
    ),
    ("BR-12", "The sum of the lines is given", _given("LineExtensionAmount")),
    ("BR-13", "The total before tax is given", _given("TaxExclusiveAmount")),
    ("BR-14", "The total with tax is given", _given("TaxInclusiveAmount")),
    ("BR-15", "The amount due is given", _given("PayableAmount")),
    ("BR-16", "There is at least one line", lambda it: bool(it.lines)),
    ("BR-21", "Every line has its number", _lines(lambda line: bool(line.id))),
    ("BR-22", "Every line has its quantity", _lines(lambda line: bool(line.quantity))),
    ("BR-23", "Every quantity has its unit", _lines(lambda line: bool(line.unit))),
    ("BR-CL-23", "A unit is one of UN/ECE Recommendation 20", _lines(lambda line: line.unit in UNITS)),
    ("BR-25", "Every line names its item", _lines(lambda line: bool(line.name.strip()))),
    ("BR-26", "Every line has its price", _lines(lambda line: line.price is not None)),
    ("BR-27", "A price is never below 0", _lines(lambda line: line.price is None or line.price >= 0)),
    ("BR-33", "An allowance has its reason", lambda it: all(each.reason for each in it.allowances)),
    ("BR-CO-04", "Every line has its tax category", _lines(lambda line: bool(line.of.code))),
    (
        "BR-CO-10",
        "The sum of the lines is the sum of the lines",
        lambda it: it.total("LineExtensionAmount") == sum((line.net for line in it.lines), ZERO),
    ),
    (
        "BR-CO-11",
        "The allowances add up",
        lambda it: _summed(it, "AllowanceTotalAmount", charges=False),
    ),
    ("BR-CO-12", "The charges add up", lambda it: _summed(it, "ChargeTotalAmount", charges=True)),
    (
        "BR-CO-13",
        "Before tax: lines less allowances plus charges",
        lambda it: it.total("TaxExclusiveAmount") == _exclusive(it),
    ),
    (
        "BR-CO-14",
        "The tax is the sum of the tax of the rates",
        lambda it: it.total("TaxAmount") == sum((each.tax for each in it.groups), ZERO),
    ),
    (
        "BR-CO-15",
        "With tax: before tax plus tax",
        lambda it: it.total("TaxInclusiveAmount") == it.total("TaxExclusiveAmount") + it.total("TaxAmount"),
    ),
    ("BR-CO-16", "Due: with tax less paid plus rounding", lambda it: it.total("PayableAmount") == _due(it)),
    ("BR-CO-18", "There is at least one rate of tax", lambda it: bool(it.groups)),
    (
        "BR-CO-25",
        "Where something is due, it says by when or how",
        lambda it: it.total("PayableAmount") <= 0 or it.due_said,
    ),
    ("BR-CO-26", "The seller has a number", lambda it: any(map(it.text, NUMBERED))),
    (
        "BR-S-02",
        "A seller of what is taxed has a tax number",
        lambda it: not {"S", "E", "Z"} & _codes(it) or bool(it.text(TAXED_AS)),
    ),
    (
        "BG-3",
        "What a credit note takes back is named",
        lambda it: (
            not it.text(TYPE[1]) or bool(it.text("cac:BillingReference/cac:InvoiceDocumentReference/cbc:ID"))
        ),
    ),
    ("BR-O-11", "What is outside tax stands alone", lambda it: "O" not in _codes(it) or len(_codes(it)) == 1),
)


def _decimals(it: Read) -> Iterator[Broken]:
    """Amounts have two decimals at most."""
    for each in it.root.iter():
        name = each.tag.rpartition("}")[2]
        if name.endswith("Amount") and name != "PriceAmount" and not MONEY.match((each.text or "").strip()):
            yield Broken("BR-DEC", f"{name} has two decimals at most: {(each.text or '')[:20]}")


def _by_group(it: Read) -> Iterator[Broken]:
    """Each rate of tax against its lines, allowances and charges."""
    used = {(each.code, each.percent) for each in _all(it)}
    given = {(each.code, each.percent) for each in it.groups}
    for code, percent in sorted(used ^ given):
        yield Broken(f"BR-{code}-01", f"The rate {code} {percent} stands in lines and in the breakdown")
    for group in it.groups:
        yield from _of_group(it, group)


def _of_group(it: Read, group: Taxed) -> Iterator[Broken]:
    same = [each for each in _all(it) if (each.code, each.percent) == (group.code, group.percent)]
    if group.amount != sum((each.signed for each in same), ZERO):
        yield Broken(
            f"BR-{group.code}-08", f"The base of {group.code} {group.percent} is the sum of its lines"
        )
    if abs(group.tax - group.amount * group.percent / 100) >= 1:
        yield Broken("BR-CO-17", f"The tax of {group.code} {group.percent} is its base by its rate")
    if (group.code == "S") != (group.percent > 0):
        yield Broken(f"BR-{group.code}-05", "What is taxed has a rate above 0, all else has 0")
    if group.code == "E" and not group.reason:
        yield Broken("BR-E-10", "What is exempt says why")

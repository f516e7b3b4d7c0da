"""Our bills and our own rules before the rules of EN 16931 as CEN/TC 434 publishes them."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from xml.etree.ElementTree import Element, fromstring, tostring

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.accounts.adding_up import Entry, added_up, exempt
from app.accounts.document import Bill, Kind
from app.accounts.en16931 import COUNTRIES, broken
from app.accounts.ubl import to_ubl
from app.trade.money import Rounding
from app.trade.totals import Basis, LineKind, Rule
from tests.accounts.official import Unreadable, official
from tests.accounts.test_adding_up import RATES, random_lines
from tests.accounts.test_en16931 import CHANGES, EXAMPLES, SHOP, USUAL, bill, part

RULES = [Rule(basis=basis, rounding=rounding) for basis in Basis for rounding in Rounding]
WHOLE = to_ubl(bill(USUAL, paid=10000, off=1000))
CREDIT = to_ubl(bill(USUAL, kind=Kind.CREDIT))


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize(("paid", "off"), [(0, 0), (10000, 0), (0, 1000), (10_000_000, 1000)])
def test_our_bills_keep_the_published_rules(kind: Kind, rule: Rule, paid: int, off: int) -> None:
    assert official(to_ubl(bill(USUAL, kind=kind, rule=rule, paid=paid, off=off))) == {}


def test_the_bill_of_an_owner_who_pays_no_tax_keeps_them() -> None:
    sums = added_up([Entry(each, title="Hubs") for each in USUAL], exempt(RATES, "C-118"), Rule())
    free = {"lines": sums.lines, "taxes": sums.taxes, "net": sums.net, "tax": sums.tax, "gross": sums.gross}
    assert official(to_ubl(bill(USUAL).model_copy(update=free))) == {}


@pytest.mark.parametrize("text", ["a & b", "<cbc:ID>", "]]>", "\"'", "ł Ω 漢", "a\ufffeb", "5 % off; net"])
def test_texts_that_xml_could_take_for_its_own_keep_them(text: str) -> None:
    made = bill([part(100)]).model_copy(
        update={"note": text, "seller": SHOP.model_copy(update={"name": text})}
    )
    assert official(to_ubl(made)) == {}


@given(st.randoms(use_true_random=False), st.integers(0, 100_000), st.sampled_from(RULES))
@settings(max_examples=150, deadline=None)
def test_whatever_a_shop_bills_is_taken_by_the_published_rules_too(
    chance: random.Random, paid: int, rule: Rule
) -> None:
    lines = random_lines(chance)
    if all(each.kind is LineKind.DISCOUNT for each in lines):
        lines.append(part(100))  # BR-16: a document has a line
    content = to_ubl(bill(lines, paid=paid, rule=rule))
    if not broken(content):  # a bill that breaks one is no e-invoice
        assert official(content) == {}


def test_a_discount_that_comes_to_nothing_still_has_its_total() -> None:
    content = to_ubl(bill([*USUAL, part(0, kind=LineKind.DISCOUNT)]))
    assert b">0.00</cbc:AllowanceTotalAmount>" in content
    assert (official(content), broken(content)) == ({}, [])
    without = content.replace(
        b'<cbc:AllowanceTotalAmount currencyID="USD">0.00</cbc:AllowanceTotalAmount>', b""
    )
    assert "BR-CO-11" in official(without)
    assert "BR-CO-11" in [each.rule for each in broken(without)]


# The published examples as they are told here, and their figures a cent off


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_keep_the_published_rules(name: str) -> None:
    assert official(EXAMPLES[name]) == {}


# Our own rules are no laxer than the published ones

ELSEWHERE = {  # what we ask under a code of our own, and what the published rules call it
    "BR-DEC": "UBL-DT-01",
    "BR-S-01": "BR-S-08",
}


@pytest.mark.parametrize(("before", "after", "rule"), CHANGES)
def test_each_change_breaks_the_published_rule_of_the_same_code(before: str, after: str, rule: str) -> None:
    text = WHOLE.decode()
    assert before in text
    told = official(text.replace(before, after, 1).encode())
    assert ELSEWHERE.get(rule, rule) in told


@dataclass(frozen=True)
class Spoilt:
    """A document with one element gone, empty, or with another text."""

    where: str
    how: str
    content: bytes


FIXED = {
    "TaxScheme",
    "ID",
    "Percent",
    "TaxAmount",
    "ChargeIndicator",
}  # the program writes them itself, always


def spoilt(content: bytes) -> Iterator[Spoilt]:
    """Every element but the fixed ones, taken out, emptied, and overwritten in turn."""
    count = len(list(fromstring(content).iter()))
    for n in range(1, count):
        for how in ("gone", "empty", "other"):
            root = fromstring(content)
            name = _spoil(root, list(root.iter())[n], how)
            if name not in FIXED:
                yield Spoilt(f"{n} {name}", how, tostring(root))


def _spoil(root: Element, each: Element, how: str) -> str:
    if how == "gone":
        next(parent for parent in root.iter() if each in list(parent)).remove(each)
    else:
        each.text = "" if how == "empty" else "xyz"
    return each.tag.rpartition("}")[2]


def _refused(content: bytes) -> bool:
    try:
        return bool(official(content))
    except Unreadable:
        return True


@pytest.mark.parametrize("content", [WHOLE, CREDIT], ids=["invoice", "credit note"])
def test_no_document_is_offered_that_the_published_rules_refuse(content: bytes) -> None:
    refused = [each for each in spoilt(content) if _refused(each.content)]
    assert len(refused) > 60  # the published rules do look
    assert [f"{each.where} {each.how}" for each in refused if not broken(each.content)] == []


AMOUNTS = [
    n
    for n, each in enumerate(fromstring(WHOLE).iter())
    if each.tag.endswith("Amount") or each.tag.endswith("Quantity")
]


@given(st.sampled_from(AMOUNTS), st.integers(-20_000, 20_000))
@settings(max_examples=250, deadline=None)
def test_no_figure_may_differ_where_the_published_rules_refuse_it(n: int, off: int) -> None:
    root = fromstring(WHOLE)
    each = list(root.iter())[n]
    each.text = f"{Decimal(each.text or '0') + Decimal(off) / 100:.2f}"
    content = tostring(root)
    assert not _refused(content) or broken(content)


@pytest.mark.parametrize("country", ["US", "CA", "DE", "XI", "UU", "UK", "EU", "us", "U"])
def test_a_country_is_known_where_the_published_list_has_it(country: str) -> None:
    content = WHOLE.decode().replace(">US</cbc:Ident", f">{country}</cbc:Ident").encode()
    assert (country in COUNTRIES) == ("BR-CL-14" not in official(content))


def test_a_seller_with_a_tax_number_alone_is_known_by_it_only_where_it_is_of_vat() -> None:
    # BT-32 identifies nobody (BR-CO-26); BT-31 does. Fictional numbers.
    def of(country: str, number: str) -> Bill:
        seller = SHOP.model_copy(update={"country": country, "tax_number": number, "register_number": ""})
        return bill(USUAL).model_copy(update={"seller": seller})

    for country, number, kept in [("US", "77-120934", False), ("DE", "DE123456788", True)]:
        content = to_ubl(of(country, number))
        assert ("BR-CO-26" not in official(content)) is kept
        assert ("BR-CO-26" not in [each.rule for each in broken(content)]) is kept

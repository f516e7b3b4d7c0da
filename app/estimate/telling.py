"""An estimate as JSON, for a program that reads it: the ledger with what the owner said, as pages show it."""

from datetime import date, datetime
from decimal import Decimal

from pydantic import BaseModel, ConfigDict

from app.estimate.agreed import OwnersWord
from app.estimate.facts import Ledger, LedgerGroup, LedgerLine, LedgerWork
from app.estimate.sums import Sums, TaxSum
from app.trade.money import Money


class Told(BaseModel):
    """What is told; amounts are decimals in text, in the shop's currency."""

    model_config = ConfigDict(frozen=True)


class LineJson(Told):
    """One priced line, before tax. `quantity`: hours where it is labour."""

    kind: str
    what: str
    quantity: str
    price: Decimal
    amount: Decimal
    tax: str


class WordJson(Told):
    """The owner's latest answer to a work. `holds`: whether a yes still covers it, else `lapsed` says why."""

    answer: str
    amount: Decimal
    who: str
    how: str
    said_at: datetime
    initials: str
    holds: bool
    lapsed: str


class WorkJson(Told):
    """One work with its lines. `in_sums`: false where it was declined or another way of it counts."""

    id: int
    title: str
    place: str
    grade: str | None
    findings: tuple[int, ...]
    lines: tuple[LineJson, ...]
    amount: Decimal
    in_sums: bool
    instead_of: int | None
    word: WordJson | None


class GroupJson(Told):
    """One group of the ledger with its sum before tax."""

    group: str
    works: tuple[WorkJson, ...]
    net: Decimal


class TaxJson(Told):
    """Tax of one rate: the categories it is on, their sum, the tax."""

    rate: str
    on: tuple[str, ...]
    base: Decimal
    tax: Decimal


class SumsJson(Told):
    """What lines come to: before tax, taxes by rate, with tax."""

    net: Decimal
    taxes: tuple[TaxJson, ...]
    tax: Decimal
    gross: Decimal


class EstimateJson(Told):
    """The newest revision of a work order's estimate. `covered`: what the owner's yes covers."""

    order_id: int
    number: str
    revision: int
    shown_at: datetime | None
    valid_until: date | None
    note: str
    groups: tuple[GroupJson, ...]
    total: SumsJson
    covered: SumsJson
    deposit: Decimal


def told(made: Ledger) -> EstimateJson:
    """A ledger as JSON tells it."""
    return EstimateJson(
        order_id=made.order_id,
        number=made.number,
        revision=made.n,
        shown_at=made.frozen_at,
        valid_until=made.valid_until,
        note=made.note,
        groups=tuple(map(_group, made.groups)),
        total=_sums(made.total),
        covered=_sums(made.covered),
        deposit=_amount(made.deposit),
    )


def _amount(minor: int) -> Decimal:
    return Money(minor).amount


def _group(group: LedgerGroup) -> GroupJson:
    return GroupJson(group=group.group, works=tuple(map(_work, group.works)), net=_amount(group.sums.net))


def _work(work: LedgerWork) -> WorkJson:
    return WorkJson(
        id=work.id,
        title=work.title,
        place=work.place,
        grade=work.grade,
        findings=tuple(finding.id for finding in work.findings),
        lines=tuple(map(_line, work.lines)),
        amount=_amount(work.amount),
        in_sums=work.counts,
        instead_of=work.instead_of,
        word=_word(work.word) if work.word else None,
    )


def _line(line: LedgerLine) -> LineJson:
    return LineJson(
        kind=line.kind,
        what=line.what,
        quantity=line.quantity,
        price=_amount(line.price),
        amount=_amount(line.amount),
        tax=line.tax,
    )


def _word(word: OwnersWord) -> WordJson:
    return WordJson(
        answer=word.answer,
        amount=_amount(word.amount),
        who=word.who,
        how=word.how,
        said_at=word.said_at,
        initials=word.acknowledged,
        holds=word.holds,
        lapsed=word.lapsed,
    )


def _sums(sums: Sums) -> SumsJson:
    return SumsJson(
        net=_amount(sums.net),
        taxes=tuple(map(_tax, sums.taxes)),
        tax=_amount(sums.tax),
        gross=_amount(sums.gross),
    )


def _tax(tax: TaxSum) -> TaxJson:
    return TaxJson(rate=tax.rate, on=tax.on, base=_amount(tax.base), tax=_amount(tax.tax))

"""The shop's tax rates by category, each in force from a day. Set to local law by a lead.

Nothing here is ever changed: a rate is put right by a newer row of the same day.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.shop import ShopSettings, settings_of
from app.ground.tables import ShopTax
from app.trade.tax import TaxCategory, TaxRate, rate_of, rates_on
from app.trade.typed import Reader, Typed

START = date(1970, 1, 1)  # the rates that a shop begins with are in force on every day that its book names
AHEAD = 5 * 366  # days: no change of a tax is known longer before
BACK = 5 * 366  # days: an older change is no matter of a bill to come


class Taxed(StrEnum):
    """What is taxed alike."""

    PARTS = "parts"
    LABOUR = "labour"
    OUTSIDE = "outside"
    SUPPLIES = "supplies"
    DISPOSAL = "disposal"

    @property
    def word(self) -> str:
        """As its field is named."""
        return {
            Taxed.PARTS: "Parts",
            Taxed.LABOUR: "Labour",
            Taxed.OUTSIDE: "Work done outside",
            Taxed.SUPPLIES: "Shop supplies",
            Taxed.DISPOSAL: "Disposal fees",
        }[self]


@dataclass(frozen=True)
class DaySettings(ShopSettings):
    """The shop's settings with the tax rates in force on one day, in percent as decimal text.

    What stands here is what a shop begins with, before it set a rate.
    """

    tax_parts: str = "6.0"
    tax_labour: str = "0"
    tax_outside: str = "0"
    tax_supplies: str = "6.0"
    tax_disposal: str = "0"

    def tax_percent(self, category: str) -> Decimal:
        """The rate of a category (`parts` ...), in percent."""
        return self.percent(f"tax_{category}")


@dataclass(frozen=True)
class TaxSaid:
    """A rate as a form has it: what it is on, in percent, in force from a day."""

    category: Taxed
    first_day: date
    percent: str


def read_tax(typed: Typed, today: date) -> TaxSaid:
    """The rate that stands in a form, 0 to 100 %; raises Refused.

    A day that is over is asked about, for bills made since keep the rate that they were made with.
    """
    read = Reader(typed)
    category = read.choice("category", Taxed, required="What the rate is on is missing")
    missing = "The rate is missing"
    found = read.quantity("percent", "percent", least="0", most="100", usual=("0", "15"), required=missing)
    first = _first_day(read, today)
    read.done()
    assert category and found and first
    return TaxSaid(category, first, f"{found.value:f}")


def _first_day(read: Reader, today: date) -> date | None:
    first = read.day("first_day", required="The first day of the rate is missing")
    if first and not today - timedelta(days=BACK) <= first <= today + timedelta(days=AHEAD):
        read.wrong("first_day", f"{first.isoformat()} is too far off", "a day within five years")
    elif first and first < today:
        says = f"{first.isoformat()} is over; bills made since keep their rate"
        read.ask("first_day", says, "usually today or a day to come")
    return first


def set_tax(book: Engine, act: Act, said: TaxSaid) -> int:
    """Keep a rate in force from a day; returns the row's key. What was frozen or billed stays as it was.

    The same act again changes nothing.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        row = ShopTax(created_at=act.at, set_by=act.person, **said.__dict__)
        return receipts.sign(session, act, "set tax", row)


def _rows(session: Session) -> Sequence[ShopTax]:
    return session.exec(select(ShopTax).order_by(col(ShopTax.id))).all()


def categories(session: Session) -> tuple[TaxCategory, ...]:
    """What is taxed alike in this shop, with all of its rates by their first days."""
    rows = _rows(session)
    return tuple(_category(each, [row for row in rows if row.category == each]) for each in Taxed)


def _category(which: Taxed, rows: Sequence[ShopTax]) -> TaxCategory:
    at_first = {START: rate_of(DaySettings().tax_percent(which))}
    by_day = at_first | {row.first_day: rate_of(Decimal(row.percent)) for row in rows}
    return TaxCategory(which, which.word, tuple(sorted(by_day.items(), key=lambda it: it[0])))


def settings_on(session: Session, day: date) -> DaySettings:
    """The shop's settings with the tax rates in force on a day."""
    rates = rates_on(categories(session), day)
    percents = {f"tax_{key}": f"{rate.percent:f}" for key, rate in rates.items()}
    return DaySettings().with_kept({**settings_of(session).__dict__, **percents})


@dataclass(frozen=True)
class TaxLine:
    """One rate as the page lists it. `until`: its last day, None where nothing ends it.

    `first_day`: None where it is what the shop began with. `by`: who set it, empty where nobody did.
    """

    name: str
    rate: TaxRate
    first_day: date | None
    until: date | None
    by: str
    today: date

    @property
    def in_force(self) -> bool:
        """Whether it is the rate of today."""
        return not self.to_come and not self.over

    @property
    def to_come(self) -> bool:
        """Whether it begins on a later day."""
        return self.first_day is not None and self.first_day > self.today

    @property
    def over(self) -> bool:
        """Whether another rate has taken its place."""
        return self.until is not None and self.until < self.today


def tax_lines(session: Session, today: date) -> list[TaxLine]:
    """Every rate that is, was or will be in force, by category, the newest of each first."""
    names = people.names(session)
    by = {(row.category, row.first_day): names.get(row.set_by or 0, "") for row in _rows(session)}
    return [line for each in categories(session) for line in _lines(each, by, today)]


def _lines(it: TaxCategory, by: dict[tuple[str, date], str], today: date) -> list[TaxLine]:
    ends = [first - timedelta(days=1) for first, _ in it.rates[1:]]
    made = [
        TaxLine(
            name=it.name,
            rate=rate,
            first_day=None if first == START else first,
            until=until,
            by=by.get((it.key, first), ""),
            today=today,
        )
        for (first, rate), until in zip(it.rates, [*ends, None], strict=True)
    ]
    return made[::-1]

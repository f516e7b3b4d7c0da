"""The shop's form: what may stand in it, and the texts that stand in it."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from zoneinfo import available_timezones

from app.ground.people import NewPerson, Role, person_in
from app.ground.shop import ShopSaid, ShopSettings
from app.ground.tables import Shop
from app.trade.fasteners import read_retorques
from app.trade.money import Money, Rounding
from app.trade.problems import Impossible
from app.trade.totals import Basis
from app.trade.typed import Reader, Typed

AGES = ("tire_watch_years", "tire_needs_years", "tire_dnt_years")
MONEY = (
    "labour_rate",
    "cash_step",
    "supplies_cap",
    "margin",
    "margin_cap",
    "markup_low_to",
    "markup_middle_to",
)
MARKUPS = ("markup_low", "markup_middle", "markup_high")
FIRST_RETORQUE = 50  # miles: common practice tightens the nuts of a fitted wheel within these
OLDEST_USUAL = 10  # years: common practice counts a tire as too old from here, whatever its tread


class Sheet(StrEnum):
    """Paper sizes."""

    LETTER = "letter"
    A4 = "a4"


class MarginRule(StrEnum):
    """Which of amount and share bounds what may be more than agreed."""

    LESS = "less"
    GREATER = "greater"


class TaxPoint(StrEnum):
    """The day whose rate of tax a bill takes."""

    BILL = "bill"
    DONE = "done"


class WeightUnit(StrEnum):
    """Units in which balance weights are marked."""

    OUNCES = "oz"
    GRAMS = "g"


def read_opening(typed: Typed, at: datetime) -> tuple[Shop, NewPerson]:
    """A new shop with its first account, a lead's, as one form has both; raises Refused with all problems."""
    read = Reader(typed)
    found = shop_in(read, at), person_in(read, Role.LEAD)
    read.done()
    return found


def shop_in(read: Reader, at: datetime) -> Shop:
    """A new shop in a form of which more is read; problems go to the reader."""
    return Shop(
        created_at=at,
        name=_name(read),
        address=read.text("address", most=160),
        phone=read.text("phone", most=40),
        email=read.text("email", most=120),
        zone=_zone(read),
        paper=_sheet(read),
    )


def read_shop_said(typed: Typed) -> ShopSaid:
    """The shop with its settings that stands in a form; raises Refused with every problem.

    Money 0.00 and more, shares 0 to 100 %, ages in whole years that rise, brakes from 0 to 26,000 lb GVWR.
    """
    read = Reader(typed)
    said = ShopSaid(
        name=_name(read),
        address=read.text("address", most=160),
        phone=read.text("phone", most=40),
        email=_email(read),
        zone=_zone(read),
        currency=_currency(read),
        paper=_sheet(read),
        settings=_settings(read),
    )
    read.done()
    return said


def _settings(read: Reader) -> ShopSettings:
    watch, needs, dnt = _ages(read)
    low_to, middle_to = _steps(read)
    rounding = read.choice("rounding", Rounding, required="The rounding is missing")
    point = read.choice("tax_point", TaxPoint, required="Whose day sets the rate is missing")
    basis = read.choice("tax_basis", Basis, required="Where tax is rounded is missing")
    unit = read.choice("weight_unit", WeightUnit, required="The unit of balance weights is missing")
    return ShopSettings(
        labour_rate=_money(read, "labour_rate", least=1, most=100_000, usual=(3_000, 30_000)),
        labour_minimum_tenths=_tenths(read),
        rounding=rounding or Rounding.HALF_UP,
        tax_basis=basis or Basis.DOCUMENT,
        tax_point=point or TaxPoint.BILL,
        cash_step=_money(read, "cash_step", least=1, most=100, usual=(1, 25)),
        supplies_percent=_percent(read, "supplies_percent", usual="15"),
        supplies_cap=_money(read, "supplies_cap", most=1_000_000, usual=(0, 50_000)),
        valid_days=_days(read),
        margin=_money(read, "margin", most=1_000_000, usual=(0, 50_000)),
        margin_percent=_percent(read, "margin_percent", usual="25"),
        margin_rule=read.choice("margin_rule", MarginRule, required="Which of the two counts is missing")
        or MarginRule.LESS,
        margin_cap=_money(read, "margin_cap", most=1_000_000, usual=(0, 50_000)),
        deposit_percent=_percent(read, "deposit_percent", usual="50"),
        markup_low_to=low_to,
        markup_middle_to=middle_to,
        **{name: _number(read, name, "percent", "0", "400", ("0", "100")) for name in MARKUPS},
        weight_unit=unit or WeightUnit.OUNCES,
        weight_step_oz=_number(read, "weight_step_oz", "oz", "0.01", "2", ("0.25", "0.5")),
        weight_step_g=_number(read, "weight_step_g", "g", "0.5", "60", ("2.5", "10")),
        tire_watch_years=watch,
        tire_needs_years=needs,
        tire_dnt_years=dnt,
        brakes_required_from_lb=_number(
            read, "brakes_required_from_lb", "lb", "0", "26000", ("1000", "10000")
        ),
        law_place=read.text("law_place", most=60),
        retorque_miles=_retorques(read),
    )


def _name(read: Reader) -> str:
    return read.text("shop_name", required="The shop's name is missing", most=80)


def _email(read: Reader) -> str:
    found = read.text("email", most=120)
    before, at, after = found.rpartition("@")
    if found and not (before and at and after and " " not in found):
        read.wrong("email", f"{found[:40]} is not an e-mail address", "an address such as desk@shop.example")
    return found


def _zone(read: Reader) -> str:
    found = read.text("zone", required="The time zone is missing", most=60)
    if found and found not in available_timezones():
        read.wrong("zone", f"{found[:40]} is not a time zone", "a name such as America/New_York")
    return found


def _currency(read: Reader) -> str:
    found = read.text("currency", required="The currency sign is missing", most=4)
    if any(char.isdigit() or char.isspace() for char in found):
        read.wrong("currency", f"{found} is not a currency sign", "a sign or letters such as $ or CHF")
    return found


def _sheet(read: Reader) -> str:
    return str(read.choice("paper", Sheet) or Sheet.LETTER)


def _money(read: Reader, field: str, *, least: int = 0, most: int, usual: Sequence[int]) -> int:
    return read.money(field, least=least, most=most, usual=usual, required="The amount is missing") or 0


def _percent(read: Reader, field: str, *, usual: str) -> str:
    return _number(read, field, "percent", "0", "100", ("0", usual))


def _number(read: Reader, field: str, unit: str, least: str, most: str, usual: Sequence[str]) -> str:
    missing = "The number is missing"
    found = read.quantity(field, unit, least=least, most=most, usual=usual, required=missing)
    return "0" if found is None else f"{found.value:f}"


def _retorques(read: Reader) -> str:
    field = "retorque_miles"
    try:
        miles = read_retorques(read.text(field, most=60))
    except Impossible as impossible:
        read.problems.append(impossible.at(field))
        return ""
    if miles[0] > FIRST_RETORQUE:
        read.ask(field, f"The first retorque after {miles[0]} miles is late", "usually within 50 miles")
    return ", ".join(map(str, miles))


def _tenths(read: Reader) -> int:
    field = "labour_minimum"
    found = read.number(field, least="0", most="8", usual=("0", "1"), required="The least time is missing")
    tenths = (found or Decimal(0)) * 10
    if tenths % 1:
        read.wrong(field, f"{read.raw(field)} h is finer than tenths", "tenths of an hour, such as 0.2")
    return int(tenths)


def _days(read: Reader) -> int:
    found = read.whole(
        "valid_days", least=1, most=365, required="The days are missing", what="whole days", such_as="30"
    )
    if found and not 7 <= found <= 90:
        read.ask("valid_days", f"{found} days is unusual", "usually 7 to 90 days")
    return found or 0


def _ages(read: Reader) -> tuple[int, int, int]:
    """Years of watch, needs work, do not tow; they have to rise, and an old limit is asked about once."""
    found = [
        read.whole(name, least=1, most=30, required="The years are missing", what="whole years")
        for name in AGES
    ]
    watch, needs, dnt = (each or 0 for each in found)
    if all(found):
        _rising(read, watch, needs, dnt)
        if dnt > OLDEST_USUAL:
            read.ask(AGES[2], f"{dnt} years is old for a tire", f"usually at most {OLDEST_USUAL} years")
    return watch, needs, dnt


def _rising(read: Reader, watch: int, needs: int, dnt: int) -> None:
    if needs < watch:
        read.wrong(AGES[1], f"Needs work from {needs} is before watch", f"at least {watch} years")
    if dnt < needs:
        read.wrong(AGES[2], f"Do not tow from {dnt} is before needs work", f"at least {needs} years")


def _steps(read: Reader) -> tuple[int, int]:
    """The ends of the first two steps of the mark-up; they have to rise."""
    ends = [
        _money(read, name, least=1, most=1_000_000, usual=(500, 100_000))
        for name in ("markup_low_to", "markup_middle_to")
    ]
    if all(ends) and ends[1] <= ends[0]:
        read.wrong("markup_middle_to", f"It ends before {Money(ends[0])} does", f"more than {Money(ends[0])}")
    return ends[0], ends[1]


def texts_of(shop: Shop) -> dict[str, str]:
    """The texts that the book holds for the form, by field name."""
    settings = ShopSettings().with_kept(shop.settings)
    kept = {name: str(value) for name, value in settings.__dict__.items() if name != "labour_minimum_tenths"}
    amounts = {name: str(Money(getattr(settings, name)).amount) for name in MONEY}
    row = {"shop_name": shop.name, "address": shop.address, "phone": shop.phone, "email": shop.email}
    sheet = {"zone": shop.zone, "currency": shop.currency, "paper": shop.paper}
    least = {"labour_minimum": str(Decimal(settings.labour_minimum_tenths) / 10)}
    return {**kept, **amounts, **row, **sheet, **least}

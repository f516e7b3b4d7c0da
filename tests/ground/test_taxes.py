"""Rates of tax in force from a day: read, kept, listed; each bill and estimate takes those of its day."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from alembic import command
from sqlalchemy import Engine
from sqlmodel import col, select

from app.estimate import facts as estimate
from app.ground import migrating
from app.ground.acting import now
from app.ground.book import open_book, reading
from app.ground.receipts import broken
from app.ground.shop import settings_of
from app.ground.tables import ShopTax
from app.ground.taxes import Taxed, TaxLine, TaxSaid, read_tax, set_tax, settings_on, tax_lines
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.conftest import NOON, Browser, act
from tests.estimate.arrived import priced, shown
from tests.ground.taxing import taxed

TODAY = NOON.date()
TOMORROW = TODAY + timedelta(days=1)
FORM = {"category": "parts", "percent": "6.25", "first_day": TODAY.isoformat()}

# California Board of Equalization, "History of Statewide Sales and Use Tax Rates" (state and local together)
CALIFORNIA = {
    date(2004, 7, 1): "7.25",
    date(2009, 4, 1): "8.25",
    date(2011, 7, 1): "7.25",
    date(2013, 1, 1): "7.50",  # Proposition 30
}
# United Kingdom, standard rate of VAT as accountants list it from the tax authority's notices
KINGDOM = {
    date(1991, 4, 1): "17.5",
    date(2008, 12, 1): "15",
    date(2010, 1, 1): "17.5",
    date(2011, 1, 4): "20",
}


def percent_on(book: Engine, day: date, category: str = "parts") -> Decimal:
    with reading(book) as session:
        return settings_on(session, day).tax_percent(category)


def said(**changed: str) -> TaxSaid:
    return read_tax(Texts({**FORM, **changed}), TODAY)


def refused(**changed: str) -> list[Problem]:
    with pytest.raises(Refused) as wrong:
        said(**changed)
    return list(wrong.value.problems)


def lines(book: Engine, today: date = TODAY) -> list[TaxLine]:
    with reading(book) as session:
        return tax_lines(session, today)


@pytest.mark.parametrize(
    ("day", "percent"),
    [
        (date(2009, 3, 31), "7.25"),
        (date(2009, 4, 1), "8.25"),
        (date(2011, 6, 30), "8.25"),
        (date(2011, 7, 1), "7.25"),
        (date(2012, 12, 31), "7.25"),
        (date(2013, 1, 1), "7.50"),
    ],
)
def test_the_last_day_of_a_rate_and_the_first_of_the_next_are_told_apart(
    book: Engine, day: date, percent: str
) -> None:
    for first_day, rate in CALIFORNIA.items():
        taxed(book, first_day, parts=rate)
    assert percent_on(book, day) == Decimal(percent)


@pytest.mark.parametrize(
    ("day", "tax"),
    [
        (date(2008, 11, 30), "17.50"),
        (date(2008, 12, 1), "15.00"),
        (date(2009, 12, 31), "15.00"),
        (date(2010, 1, 1), "17.50"),
        (date(2011, 1, 3), "17.50"),  # the rate rose on a Tuesday, not with the year
        (date(2011, 1, 4), "20.00"),
    ],
)
def test_an_estimate_is_taxed_as_on_its_day(book: Engine, day: date, tax: str) -> None:
    for first_day, rate in reversed(KINGDOM.items()):  # in whatever order they were set
        taxed(book, first_day, parts=rate, labour=rate, supplies=rate, disposal=rate, outside=rate)
    order_id = priced(book)
    with reading(book) as session:
        total = estimate.ledger(session, order_id, day).total
    hundredth = Decimal(total.net) * Decimal(tax) / 100
    assert total.tax == int(hundredth.quantize(Decimal(1), "ROUND_HALF_UP"))


def test_before_anything_was_set_the_shop_s_first_rates_are_in_force_on_every_day(book: Engine) -> None:
    days = (date(1970, 1, 1), TODAY, date(2199, 12, 31))
    assert [percent_on(book, day) for day in days] == [Decimal(6)] * 3
    assert [percent_on(book, day, "labour") for day in days] == [Decimal(0)] * 3


def test_a_rate_to_come_changes_nothing_before_its_day(book: Engine) -> None:
    set_tax(book, act(), TaxSaid(Taxed.PARTS, TOMORROW, "7"))
    assert (percent_on(book, TODAY), percent_on(book, TOMORROW)) == (6, 7)
    with reading(book) as session:
        assert settings_on(session, TOMORROW).labour_rate == settings_of(session).labour_rate


def test_the_same_day_again_puts_a_rate_right_and_both_rows_stay(book: Engine) -> None:
    for percent in ("9", "8.5"):
        set_tax(book, act(), TaxSaid(Taxed.PARTS, TODAY, percent))
    assert percent_on(book, TODAY) == Decimal("8.5")
    with reading(book) as session:
        rows = session.exec(select(ShopTax).order_by(col(ShopTax.id))).all()
        assert [row.percent for row in rows] == ["9", "8.5"]
        assert not list(broken(session))


def test_the_same_act_twice_keeps_one_rate(book: Engine) -> None:
    once = act()
    assert len({set_tax(book, once, TaxSaid(Taxed.PARTS, TODAY, "7")) for _ in range(2)}) == 1
    assert sum(line.by == "" for line in lines(book)) == len(Taxed)
    assert len(lines(book)) == len(Taxed) + 1


def test_every_rate_is_listed_with_its_days(book: Engine) -> None:
    set_tax(book, act(), TaxSaid(Taxed.PARTS, TODAY, "7"))
    set_tax(book, act(), TaxSaid(Taxed.PARTS, TOMORROW, "0"))
    parts = [line for line in lines(book) if line.name == "Parts"]
    assert [str(line.rate) for line in parts] == ["not taxed here", "7 %", "6 %"]
    assert [(line.first_day, line.until) for line in parts] == [
        (TOMORROW, None),
        (TODAY, TODAY),
        (None, TODAY - timedelta(days=1)),
    ]
    assert [(line.to_come, line.in_force, line.over) for line in parts] == [
        (True, False, False),
        (False, True, False),
        (False, False, True),
    ]
    assert [line.in_force for line in lines(book, TOMORROW) if line.name == "Parts"] == [True, False, False]


def test_a_frozen_estimate_keeps_the_rates_it_was_shown_with(book: Engine) -> None:
    order_id = shown(book)
    with reading(book) as session:
        before = estimate.ledger(session, order_id, TODAY)
    taxed(book, TODAY, parts="25", labour="25")
    with reading(book) as session:
        assert estimate.ledger(session, order_id, TOMORROW) == before
        assert estimate.revision_lines(session, order_id, TOMORROW)[0].gross == before.total.gross


def test_an_open_estimate_is_frozen_at_the_rate_of_the_day_it_is_shown_on(book: Engine) -> None:
    taxed(book, TODAY, parts="25", labour="25")
    taxed(book, TOMORROW, parts="50", labour="50")
    order_id = shown(book)
    with reading(book) as session:
        total = estimate.ledger(session, order_id, TOMORROW).total
    assert {tax.rate for tax in total.taxes if tax.tax} == {"25 %", "6 %"}  # supplies as ever


# --- what stands in the form --------------------------------------------------------------------


def test_a_rate_is_read_as_people_type_it() -> None:
    assert said(percent="6,25") == TaxSaid(Taxed.PARTS, TODAY, "6.25")
    assert said(category="labour", percent="0").percent == "0"
    later = TODAY + timedelta(days=200)
    assert said(first_day=later.isoformat()).first_day == later


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("category", ""),
        ("category", "exempt"),
        ("percent", ""),
        ("percent", "-1"),
        ("percent", "100.1"),
        ("percent", "NaN"),
        ("percent", "a fifth"),
        ("first_day", ""),
        ("first_day", "2026-02-30"),
        ("first_day", (TODAY + timedelta(days=1831)).isoformat()),
        ("first_day", (TODAY - timedelta(days=1831)).isoformat()),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(field: str, typed: str) -> None:
    (problem,) = refused(**{field: typed})
    assert problem.field == field
    assert not problem.ask


@pytest.mark.parametrize(
    ("field", "typed"), [("percent", "25"), ("first_day", (TODAY - timedelta(days=1)).isoformat())]
)
def test_the_unlikely_is_asked_about_once(field: str, typed: str) -> None:
    (problem,) = refused(**{field: typed})
    assert (problem.field, problem.ask) == (field, True)
    assert said(**{field: typed, f"confirm-{field}": typed})


# --- as a browser meets it ----------------------------------------------------------------------


def test_a_lead_sets_a_rate_and_everyone_sees_it_beside_the_old_one(
    signed: Callable[[str], Browser],
) -> None:
    lee = signed("Lee")
    day = now().date() + timedelta(days=40)
    form = {"category": "labour", "percent": "7.75", "first_day": day.isoformat()}
    answer = lee.post("/shop/tax", form)
    assert (answer.status_code, answer.headers["location"]) == (303, "/shop/tax")
    page = signed("Toni").get("/shop/tax").text
    assert "7.75 %" in page
    assert "to come" in page
    assert "Set the rate" not in page
    shop = signed("Wren").get("/shop").text
    assert "not taxed here; 7.75 % from" in shop
    assert signed("Wren").post("/shop/tax", form).status_code == 403


def test_a_refused_rate_keeps_what_was_typed_and_says_what_is_accepted(
    signed: Callable[[str], Browser],
) -> None:
    answer = signed("Lee").post("/shop/tax", {**FORM, "percent": "600"})
    assert answer.status_code == 422
    assert 'value="600"' in answer.text
    assert 'aria-describedby="percent-hint percent-fix"' in answer.text
    assert "Accepted: 0\u00a0% to 100\u00a0%" in answer.text


# --- a book of the version before ---------------------------------------------------------------


def test_what_a_shop_had_set_becomes_its_first_rates(tmp_path: Path, monkeypatch: Any) -> None:  # noqa: ANN401
    upgrade = command.upgrade
    old = open_book(tmp_path / "before.db")
    monkeypatch.setattr(migrating, "_append_only", list)  # the tables of today are still to come
    monkeypatch.setattr(command, "upgrade", lambda config, _: upgrade(config, "0002"))
    migrating.migrate(old)
    kept = '{"tax_parts": "8.875", "tax_labour": "0", "labour_rate": 9900}'
    with old.begin() as connection:
        connection.exec_driver_sql(
            "INSERT INTO shop (created_at, name, address, phone, email, zone, currency, paper, settings, "
            "revision) VALUES ('2024-02-03 10:00:00', 'A', '', '', '', 'America/New_York', '$', 'a4', ?, 3)",
            (kept,),
        )
    monkeypatch.undo()
    migrating.migrate(old)
    assert percent_on(old, date(2024, 2, 3)) == Decimal("8.875")
    assert percent_on(old, TODAY, "disposal") == 0  # never set: what a shop begins with
    with reading(old) as session:
        assert settings_of(session).labour_rate == 9900
        assert [row.category for row in session.exec(select(ShopTax))] == ["parts", "labour"]
    with old.connect() as connection:
        assert connection.exec_driver_sql("SELECT settings FROM shop").scalar() == '{"labour_rate":9900}'
    old.dispose()

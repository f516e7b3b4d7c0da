"""The shop's row and settings: read, kept, refused, asked about; what was frozen stays as it was."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import col, select

from app.estimate.rows import margin_of
from app.estimate.tables import Revision
from app.ground.book import reading
from app.ground.forms import Sent, differing
from app.ground.receipts import Stale, broken
from app.ground.shop import ShopSaid, ShopSettings, save_shop, settings_of, shop_of
from app.ground.shop_form import read_shop_said, texts_of
from app.ground.tables import Receipt, Shop
from app.trade.markup import selling_price
from app.trade.money import Money, Tolerance, tolerance
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.conftest import NOON, Browser, act
from tests.estimate.arrived import ledger, priced, shown
from tests.ground.taxing import taxed

SHOP = Shop(created_at=NOON, name="Two Creeks Trailer Shop", phone="555 0100", address="1 Mill Lane")
FORM = texts_of(SHOP)


def said(**changed: str) -> ShopSaid:
    return read_shop_said(Texts({**FORM, **changed}))


def refused(**changed: str) -> list[Problem]:
    with pytest.raises(Refused) as wrong:
        said(**changed)
    return list(wrong.value.problems)


def test_the_form_of_a_new_shop_says_the_settings_that_it_begins_with() -> None:
    assert said().settings == ShopSettings()
    assert (said().name, said().phone, said().paper) == ("Two Creeks Trailer Shop", "555 0100", "letter")


def test_amounts_shares_and_hours_are_read_as_people_type_them() -> None:
    found = said(labour_rate="$98.50", labour_minimum="0.3", deposit_percent="6,25", margin="0").settings
    assert (found.labour_rate, found.labour_minimum_tenths, found.margin) == (9850, 3, 0)
    assert found.percent("deposit_percent") == Decimal("6.25")


@pytest.mark.parametrize(
    ("field", "typed", "accepts"),
    [
        ("shop_name", "", ""),
        ("zone", "Moon", "America/New_York"),
        ("email", "desk at shop", "desk@shop.example"),
        ("currency", "4", "$"),
        ("currency", "", ""),
        ("paper", "legal", "letter"),
        ("labour_rate", "0", "0.01"),  # work for nothing is a discount line, not a rate
        ("labour_rate", "many", "1305.39"),
        ("labour_minimum", "0.25", "tenths"),
        ("labour_minimum", "9", "8"),
        ("deposit_percent", "100.1", "100"),
        ("supplies_percent", "-1", "0"),
        ("rounding", "down", "half_even"),
        ("supplies_percent", "", "a number"),
        ("supplies_cap", "-1", "0.00"),
        ("valid_days", "0", "1 to 365"),
        ("valid_days", "30.5", "whole"),
        ("margin_percent", "101", "100"),
        ("margin_rule", "", "less"),
        ("margin_rule", "either", "greater"),
        ("deposit_percent", "120", "100"),
        ("markup_high", "-5", "400"),
        ("markup_middle_to", "20.00", "more than 20.00"),  # the first step ends there already
        ("weight_unit", "lb", "oz"),
        ("weight_step_oz", "0", "0.01"),
        ("weight_step_g", "five", ""),
        ("tire_watch_years", "0", "1 to 30"),
        ("brakes_required_from_lb", "-3000", "0"),
        ("retorque_miles", "", "such as 10, 25, 50"),
        ("retorque_miles", "25, 10", "rising"),
        ("retorque_miles", "ten", "whole numbers"),
        ("retorque_miles", "10, 501", "500"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(field: str, typed: str, accepts: str) -> None:
    problems = refused(**{field: typed})
    assert [(each.field, each.ask) for each in problems] == [(field, False)]
    assert accepts in problems[0].accepts


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("labour_rate", "12.50"),
        ("supplies_cap", "501"),
        ("margin", "1,305"),  # thirteen hundred, or one and three tenths
        ("valid_days", "180"),
        ("deposit_percent", "80"),
        ("markup_low", "150"),
        ("weight_step_oz", "1"),
        ("tire_dnt_years", "12"),  # common practice: ten years at most
        ("brakes_required_from_lb", "26000"),
        ("retorque_miles", "60, 100"),
    ],
)
def test_the_unlikely_is_asked_about_once_and_then_kept(field: str, typed: str) -> None:
    problems = refused(**{field: typed})
    assert [(each.field, each.ask) for each in problems] == [(field, True)]
    assert said(**{field: typed, f"confirm-{field}": typed})
    assert refused(**{field: typed, f"confirm-{field}": "another"})


def test_the_ages_of_tires_have_to_rise() -> None:
    assert [each.field for each in refused(tire_watch_years="7")] == ["tire_needs_years"]
    assert [each.field for each in refused(tire_dnt_years="5")] == ["tire_dnt_years"]
    assert said(tire_watch_years="6", tire_needs_years="6", tire_dnt_years="6").settings.tire_needs_years == 6


def test_everything_wrong_is_told_at_once() -> None:
    problems = refused(shop_name="", markup_low="x", tire_watch_years="0", weight_unit="lb")
    assert {each.field for each in problems} == {"shop_name", "markup_low", "tire_watch_years", "weight_unit"}


def test_whose_law_decides_is_named_or_left_open() -> None:
    assert ShopSettings().law == "local law"
    assert ShopSettings(law_place="Ohio").law == "the law of Ohio"


def test_every_setting_stands_in_the_form_and_is_read_back() -> None:
    changed = ShopSettings(
        labour_rate=9900,
        labour_minimum_tenths=5,
        rounding="half_even",
        tax_basis="line",
        tax_point="done",
        cash_step=5,
        supplies_percent="5",
        supplies_cap=6000,
        valid_days=14,
        margin=2500,
        margin_percent="5",
        margin_rule="greater",
        margin_cap=4000,
        deposit_percent="30",
        markup_low_to=1000,
        markup_low="80",
        markup_middle_to=5000,
        markup_middle="50",
        markup_high="30",
        weight_unit="g",
        weight_step_oz="0.5",
        weight_step_g="2.5",
        tire_watch_years=3,
        tire_needs_years=5,
        tire_dnt_years=7,
        brakes_required_from_lb="1500",
        law_place="Ohio",
        retorque_miles="25, 50, 100",
    )
    defaults = ShopSettings().__dict__
    assert all(value != defaults[name] for name, value in changed.__dict__.items())
    kept = Shop(created_at=NOON, name="x", settings=dict(changed.__dict__))
    assert read_shop_said(Texts(texts_of(kept))).settings == changed


def test_the_margin_is_the_one_that_the_law_of_the_place_sets() -> None:
    # Fla. Stat. 559.909: the greater of 10 dollars and 10 %, at most 50 dollars
    florida = said(margin="10", margin_percent="10", margin_rule="greater", margin_cap="50").settings
    found = [tolerance(Money(agreed), florida.tolerance).value.minor for agreed in (8000, 30000, 70000)]
    assert found == [1000, 3000, 5000]


def test_the_mark_up_is_read_into_its_three_steps() -> None:
    steps = said(markup_low_to="10", markup_low="100").settings.markup_steps
    assert [selling_price(Money(cost), steps).value.minor for cost in (1000, 5000, 20000)] == [
        2000,  # 10.00 doubled
        7000,  # 50.00 and 40 %
        25000,  # 200.00 and 25 %
    ]


def test_the_shop_is_saved_once_with_its_receipt(book: Engine) -> None:
    once = act(submission="one")
    assert save_shop(book, once, said(labour_rate="99")) == save_shop(book, once, said(labour_rate="99"))
    with reading(book) as session:
        shop = shop_of(session)
        receipt = session.exec(select(Receipt).order_by(col(Receipt.id).desc())).first()
        assert receipt is not None
        assert (settings_of(session).labour_rate, shop.revision) == (9900, 1)
        assert (receipt.act, receipt.subject, receipt.person_id) == ("save shop", "shop", 1)
        assert '"labour_rate":9900' in receipt.stood
        assert list(broken(session)) == []


def test_whoever_saw_an_older_shop_is_told(book: Engine) -> None:
    save_shop(book, act(), said(labour_rate="99"))
    with pytest.raises(Stale) as stale:
        save_shop(book, act(), said(labour_rate="120"))
    assert stale.value.revision == 1
    with reading(book) as session:
        assert settings_of(session).labour_rate == 9900
        sent = Sent(list({**FORM, "labour_rate": "120"}.items()))
        assert differing(sent, texts_of(shop_of(session))) == {"labour_rate": "99.00"}


def test_names_that_a_shop_once_kept_and_no_one_reads_do_no_harm(book: Engine) -> None:
    assert ShopSettings().with_kept({"gone": 1, "margin": 3}) == replace(ShopSettings(), margin=3)


def test_new_settings_change_no_frozen_estimate_and_the_next_one_is_priced_by_them(book: Engine) -> None:
    frozen = shown(book)
    before, margin = ledger(book, frozen), _margin(book, frozen)
    save_shop(book, act(), said(labour_rate="199", supplies_cap="0", margin="0"))
    taxed(book, parts="9", labour="9")
    assert ledger(book, frozen) == before
    assert _margin(book, frozen) == margin == Tolerance(Money(5000), Decimal(10))  # as the owner was told
    with reading(book) as session:
        (kept,) = session.exec(select(Revision)).all()
        assert kept.totals["gross"] == before.total.gross
    later = priced(book)
    assert ledger(book, later).labour_rate == 19900
    assert ledger(book, later).total.gross > before.total.gross
    assert _margin(book, later).says == "even a cent"


def _margin(book: Engine, order_id: int) -> Tolerance:
    with reading(book) as session:
        return margin_of(session, order_id)


# --- as a browser meets it ----------------------------------------------------------------------


@pytest.mark.parametrize("name", ["Wren", "Toni"])
def test_everyone_reads_the_shop_and_only_a_lead_changes_it(
    name: str, signed: Callable[[str], Browser]
) -> None:
    browser = signed(name)
    page = browser.get("/shop")
    assert page.status_code == 200
    assert "125.00 $" in page.text
    assert "Save the shop" not in page.text
    assert 'name="labour_rate"' not in page.text
    assert browser.post("/shop", FORM).status_code == 403


def test_a_lead_saves_the_shop_and_sees_who_saved_it(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    assert "As the shop was opened" in lee.get("/shop").text
    answer = lee.post("/shop", {**FORM, "law_place": "Ohio", "revision": "0"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/shop")
    page = lee.get("/shop").text
    assert 'value="Ohio"' in page
    assert "by Lee." in page


def test_a_refused_shop_keeps_what_was_typed_and_says_what_is_accepted(
    signed: Callable[[str], Browser],
) -> None:
    answer = signed("Lee").post("/shop", {**FORM, "deposit_percent": "600", "address": "9 New Road"})
    assert answer.status_code == 422
    assert 'value="600"' in answer.text
    assert 'value="9 New Road"' in answer.text
    assert 'aria-describedby="deposit_percent-hint deposit_percent-fix"' in answer.text
    assert "600 cannot be. Accepted: 0\u00a0% to 100\u00a0%" in answer.text


def test_two_leads_who_save_at_once_see_both_versions(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    assert lee.post("/shop", {**FORM, "labour_rate": "99.00", "revision": "0"}).status_code == 303
    late = lee.post("/shop", {**FORM, "labour_rate": "120.00", "revision": "0"})
    assert late.status_code == 409
    assert 'value="120.00"' in late.text
    assert "In the book now: <b>99.00</b>" in late.text
    assert 'name="revision" value="1"' in late.text
    assert lee.post("/shop", {**FORM, "labour_rate": "120.00", "revision": "1"}).status_code == 303


def test_the_same_form_sent_twice_is_saved_once(signed: Callable[[str], Browser], book: Engine) -> None:
    lee, form = signed("Lee"), {**FORM, "submission": "twice", "revision": "0"}
    assert [lee.post("/shop", form).status_code for _ in range(2)] == [303, 303]
    with reading(book) as session:
        assert shop_of(session).revision == 1


def test_the_foot_of_every_page_leads_to_shop_and_people(signed: Callable[[str], Browser]) -> None:
    foot = signed("Toni").get("/").text.partition("<footer")[2]
    assert 'href="/shop"' in foot
    assert 'href="/people"' in foot

"""The pages of price, consent, parts and money in a real browser: desk, tablet both ways, without script."""

from collections.abc import Callable
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.accounts.tables import DayClose
from app.bench.floor import steps as floor
from app.estimate import steps as estimate
from app.estimate.rules import Group, NewWork
from app.estimate.saying import How
from app.estimate.tables import Consent
from app.ground.book import reading
from app.ground.shop import shop_of
from app.parts import buying, list_steps
from app.parts.rules import BoughtSaid
from app.parts.tables import Movement, PurchaseOrder
from tests.accounts.stays import TONI, agreed, billed, finish, jobs, paid
from tests.browser.conftest import Desk, Shop
from tests.conftest import act, people_now
from tests.estimate.arrived import BREAKAWAY, HUB_1, ROOF, TREAD, ledger, priced, shown, work_named, writer
from tests.estimate.test_agreed import yes
from tests.parts.shelf import stocked, supplier

Desks = Callable[..., Desk]
SIZES = {"desk": (1280, 900), "upright": (820, 1180), "across": (1180, 820), "narrow": (410, 900)}

LIGHTS = {"desk": "light", "upright": "light", "across": "dark", "narrow": "dark"}
OTHERS = {"desk": "dark", "upright": "dark", "across": "light", "narrow": "light"}


def with_another_way(book: Engine) -> int:
    """A work order whose owner may choose between two ways of one work, and change the budget."""
    order_id = priced(book, (TREAD, BREAKAWAY, ROOF))
    first = work_named(book, order_id, "Breakaway").id
    other = NewWork("Wire the breakaway anew", Group.MUST, hours="2", instead_of=first)
    estimate.add_work(book, writer(book, order_id), order_id, other)
    return order_id


def supplemented(book: Engine) -> int:
    """A work order whose owner said yes before more was found, shown again."""
    order_id = shown(book, (BREAKAWAY, ROOF))
    yes(book, order_id, "Breakaway")
    more = NewWork("Weld a new plate", Group.MUST, hours="2")
    estimate.add_work(book, writer(book, order_id), order_id, more)
    estimate.freeze(book, writer(book, order_id, people_now()), order_id)
    return order_id


def done_and_owed(book: Engine) -> int:
    """A work order with clocked, billed work of which a part is paid."""
    order_id = agreed(book, (HUB_1, BREAKAWAY))
    job = jobs(book, order_id)[0].id
    floor.clock_on(book, act(person=TONI), job)
    floor.clock_off(book, act(person=TONI, at=act().at + timedelta(minutes=84)))
    for each in jobs(book, order_id):
        finish(book, each.id) if each.begun_at is None else None
    billed(book, order_id)
    paid(book, order_id, 5000)
    return order_id


def bought(book: Engine) -> tuple[int, int]:
    """Keys of an open purchase order and of one that was sent; a part lies in aisle A."""
    stocked(book, 3, supplier_id=supplier(book))
    sent = buying.open_order(book, act(), 1)
    buying.add_line(book, act(seen=seen_of(book, sent)), sent, BoughtSaid("BRG-L44649", 1200, 1450, None))
    buying.send_order(book, act(seen=seen_of(book, sent)), sent, "phone")
    still = buying.open_order(book, act(), 1)
    line = BoughtSaid("BRG-L44649", 400, None, None)
    buying.add_line(book, act(seen=seen_of(book, still)), still, line)
    return still, sent


def seen_of(book: Engine, order_id: int) -> int:
    with reading(book) as session:
        return session.get_one(PurchaseOrder, order_id).revision


def looked_at(it: Desk, paths: list[str], width: int) -> tuple[list[str], list[str]]:
    """What axe finds on pages, and the pages that are wider than the screen."""
    faults, wide = [], []
    for path in paths:
        it.go(path)
        faults += it.faults()
        wide += [path] * (it.page.evaluate("document.documentElement.scrollWidth") > width)
    return faults, wide


@pytest.mark.parametrize(("size", "theme"), list(LIGHTS.items()))
def test_the_pages_of_price_and_consent_fit_and_axe_finds_nothing(
    shop: Shop, desk: Desks, size: str, theme: str
) -> None:
    ways, more = with_another_way(shop.book), supplemented(shop.book)
    width, height = SIZES[size]
    it = desk(viewport={"width": width, "height": height}, color_scheme=theme)
    it.sign_in("Lee")
    consents = [f"/estimate/{more}/consent?how={how}" for how in How]
    paths = [f"/estimate/{ways}", f"/estimate/{ways}?budget=400", f"/estimate/{ways}/add"]
    paths += [f"/estimate/{more}", *consents, f"/estimate/{more}/agreed", "/shop/tax"]
    assert looked_at(it, paths, width) == ([], [])


@pytest.mark.parametrize(("size", "theme"), list(OTHERS.items()))
def test_the_pages_of_parts_and_money_fit_and_axe_finds_nothing(
    shop: Shop, desk: Desks, size: str, theme: str
) -> None:
    order_id, (still, sent) = done_and_owed(shop.book), bought(shop.book)
    text = "number,name,cost,price\nBRG-L44649,Bearing set,14.50,9.00\nS-1,Seal,4,"
    asks = list_steps.read_in(shop.book, act(), text)
    width, height = SIZES[size]
    it = desk(viewport={"width": width, "height": height}, color_scheme=theme)
    it.sign_in("Lee")
    paths = ["/accounts", "/accounts/kits", "/accounts/day", f"/accounts/orders/{order_id}", "/bench/hours"]
    paths += [f"/parts/orders/{still}", f"/parts/orders/{sent}", "/parts/orders", "/parts/count?aisle=A"]
    paths += [f"/parts/lists/{asks}", "/parts", "/parts/catalogue/1", "/parts/suppliers"]
    assert looked_at(it, paths, width) == ([], [])


SIDEWAYS = """() => [document.documentElement, ...document.querySelectorAll('.scroll, .tag b, .tag span')]
  .filter(it => it.scrollWidth > it.clientWidth + 1 && getComputedStyle(it).display !== 'none')
  .map(it => it.ariaLabel || it.textContent.trim().slice(0, 60))"""


def test_on_a_phone_money_and_hours_stand_as_lists_and_the_tag_says_the_type(shop: Shop, desk: Desks) -> None:
    """Nothing scrolls sideways, and no word of the tag is cut, at 410 px."""
    order_id = done_and_owed(shop.book)
    it = desk(viewport={"width": 410, "height": 860})
    it.sign_in("Lee")
    for path in ("/accounts", "/accounts/kits", "/accounts/day", "/bench/hours", "/handover/due"):
        it.go(path)
        assert it.page.evaluate(SIDEWAYS) == [], path
    it.go(f"/accounts/orders/{order_id}")
    assert it.page.evaluate(SIDEWAYS) == []
    assert it.page.eval_on_selector("footer a", "it => it.getBoundingClientRect().height") >= 44


@pytest.mark.parametrize("how", list(How))
def test_a_consent_is_kept_without_script_in_each_of_four_ways(shop: Shop, desk: Desks, how: How) -> None:
    order_id = shown(shop.book, (BREAKAWAY,), people_now() - timedelta(hours=1))
    it = desk(java_script_enabled=False)
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}/consent?how={how}")
    work = ledger(shop.book, order_id).works[0].id
    it.page.check(f'[name="say-{work}"][value="yes"]')
    it.page.fill("#who", "Rosalind Achterberg")
    if how is not How.TABLET:
        at = people_now().astimezone(shop_zone(shop.book))
        it.page.fill("#said_on", at.date().isoformat())
        it.page.fill("#said_time", f"{at:%H:%M}")
    if how in (How.PHONE, How.WRITING):
        it.page.fill("#phone", "(555) 555-0142")
    if how is How.PHONE:
        it.page.fill("#read_back", "Breakaway battery, 225.50 before tax: yes")
    it.press("text=Keep my answers")
    with reading(shop.book) as session:
        [kept] = session.exec(select(Consent))
    assert (kept.how, kept.who, kept.signature) == (how, "Rosalind Achterberg", "")


def shop_zone(book: Engine) -> ZoneInfo:
    with reading(book) as session:
        return ZoneInfo(shop_of(session).zone)


def test_a_shelf_is_counted_and_a_delivery_taken_in_without_script(shop: Shop, desk: Desks) -> None:
    _, sent = bought(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Lee")
    it.go("/parts/count?aisle=A")
    it.page.fill("#counted-1", "2")
    it.press("text=Save this count")
    it.go(f"/parts/orders/{sent}")
    it.page.fill("[name^=came-]", "5")
    it.press("text=Take this in")
    with reading(shop.book) as session:
        moved = [(row.kind, row.on_hand) for row in session.exec(select(Movement).order_by(Movement.id))]
    assert moved == [("receive", 300), ("count", -100), ("receive", 500)]


def test_a_delivery_of_more_than_was_ordered_is_said_beside_its_field(shop: Shop, desk: Desks) -> None:
    _, sent = bought(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Lee")
    it.go(f"/parts/orders/{sent}")
    field = it.page.locator("[name^=came-]")
    field.fill("13")
    it.press("text=Take this in")
    assert field.input_value() == "13"
    assert field.get_attribute("aria-invalid") == "true"
    assert "more than is still to come" in it.page.content()


def test_a_tax_rate_is_set_without_script(shop: Shop, desk: Desks) -> None:
    it = desk(java_script_enabled=False)
    it.sign_in("Lee")
    it.go("/shop/tax")
    it.page.select_option("#category", "parts")
    it.page.fill("#percent", "7.25")
    it.page.fill("#first_day", (people_now() + timedelta(days=30)).date().isoformat())
    it.press("text=Set the rate")
    assert "7.25" in it.page.inner_text("main")


def test_a_day_is_closed_without_script(shop: Shop, desk: Desks) -> None:
    done_and_owed(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Lee")
    it.go("/accounts/day")
    it.page.fill("#start", "150.00")
    it.page.fill("#counted", "200.00")
    it.page.fill("#banked", "50.00")
    it.press("main button:has-text('Close the day')")
    with reading(shop.book) as session:
        assert len(session.exec(select(DayClose)).all()) == 1


def test_a_budget_is_tried_without_script(shop: Shop, desk: Desks) -> None:
    order_id = with_another_way(shop.book)
    it = desk(java_script_enabled=False)
    it.sign_in("Wren")
    it.go(f"/estimate/{order_id}")
    it.page.fill("#budget", "1.00")
    with it.page.expect_navigation():
        it.page.press("#budget", "Enter")
    assert "short" in it.page.inner_text(".estimate-side")

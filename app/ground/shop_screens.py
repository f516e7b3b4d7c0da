"""The shop's own page: everyone may read it, a lead may change it."""

from fastapi import APIRouter, Depends, Response

from app.ground import people
from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, LEADS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.ground.shop import last_saved, save_shop, shop_of
from app.ground.shop_form import read_shop_said, texts_of
from app.ground.tables import Shop
from app.ground.taxes import Taxed, read_tax, set_tax, tax_lines
from app.trade.problems import Refused

router = APIRouter()


@router.get("/shop", dependencies=[Depends(ANYONE)])
def shop_page(book: Book, page: Page) -> Response:
    """The shop and its settings."""
    return _shop(book, page)


@router.post("/shop", dependencies=[Depends(LEADS)])
def keep_shop(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what a lead changed of the shop and its settings."""
    try:
        save_shop(book, act, read_shop_said(typed))
    except Refused as refused:
        return _shop(book, page, again(typed, refused.problems), 422)
    except Stale as stale:
        with reading(book) as session:
            now = texts_of(shop_of(session))
        form = late(book, page.zone, typed, stale, About(Shop), now)
        return _shop(book, page, form, 409)
    return page.go("/shop")


def _shop(book: Book, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    with reading(book) as session:
        shop, saved, names = shop_of(session), last_saved(session), people.names(session)
        taxes = tax_lines(session, page.today)
    return page.show(
        "ground/shop",
        status=status,
        form=form or Filled(texts_of(shop), revision=shop.revision),
        taxes=taxes,
        currency=shop.currency,
        saved_at=saved.created_at if saved else None,
        saved_by=names.get(saved.person_id or 0, "") if saved else "",
    )


@router.get("/shop/tax", dependencies=[Depends(ANYONE)])
def tax_page(book: Book, page: Page) -> Response:
    """Every rate of tax with its days."""
    return _tax(book, page)


@router.post("/shop/tax", dependencies=[Depends(LEADS)])
def keep_tax(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps a rate of tax that is in force from a day on."""
    try:
        set_tax(book, act, read_tax(typed, page.today))
    except Refused as refused:
        return _tax(book, page, again(typed, refused.problems), 422)
    return page.go("/shop/tax")


def _tax(book: Book, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    with reading(book) as session:
        taxes = tax_lines(session, page.today)
    return page.show(
        "ground/tax",
        status=status,
        form=form or Filled({"first_day": page.today.isoformat()}),
        taxes=taxes,
        categories=[(each.value, each.word) for each in Taxed],
    )

"""The page of a kit: read by everyone, its hours, parts, fees and steps set by a lead, every version kept."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine

from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, LEADS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.inspection import editing, kit_forms
from app.inspection.catalogue import Catalogue, Kit
from app.inspection.facts import newest_catalogue, newest_version
from app.inspection.tables import CatalogueVersion
from app.trade.problems import Refused

router = APIRouter()
Named = Annotated[str, Path(pattern=r"^[a-z][a-z0-9_]{0,40}$")]


def _standing(book: Engine, key: str) -> tuple[int, Catalogue, Kit]:
    """The version in force, its catalogue, and its kit of that key."""
    with reading(book) as session:
        version, now = newest_version(session).key, newest_catalogue(session)
    try:
        return version, now, now.kit(key)
    except KeyError:
        raise HTTPException(404, "There is no such kit.") from None


@router.get("/inspection/catalogue/kits/{key}", dependencies=[Depends(ANYONE)])
def one_kit(key: Named, book: Book, page: Page) -> Response:
    """One kit as it is sold and done here."""
    return _one(book, page, key, None)


def _one(book: Engine, page: Pages, key: str, form: Filled | None, status: int = 200) -> Response:
    version, now, kit = _standing(book, key)
    return page.show(
        "inspection/catalogue_kit",
        status=status,
        kit=kit,
        cautions=now.cautions_of(kit),
        more_parts=kit_forms.added(kit.parts),
        more_fees=kit_forms.added(kit.fees),
        part_of=list(kit_forms.PART_OF.items()),
        fee_of=list(kit_forms.FEE_OF.items()),
        form=form or Filled(kit_forms.texts_of(kit), revision=version),
    )


@router.post("/inspection/catalogue/kits/{key}", dependencies=[Depends(LEADS)])
def edit_kit(key: Named, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The hours, parts, fees and steps of a kit as this shop sets them; work priced before stays."""
    _, _, kit = _standing(book, key)
    try:
        editing.change_catalogue(book, act, kit_forms.read_kit(typed, kit))
    except Refused as refused:
        return _one(book, page, key, again(typed, refused.problems), 422)
    except Stale as stale:
        now = kit_forms.texts_of(_standing(book, key)[2])
        form = late(book, page.zone, typed, stale, About(CatalogueVersion), now)
        return _one(book, page, key, form, 409)
    return page.go(f"/inspection/catalogue/kits/{key}")

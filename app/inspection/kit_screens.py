"""The pages of kits: read by everyone, set and added by a lead, every version kept, none ever deleted."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine

from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, LEADS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.inspection import editing, kit_forms
from app.inspection.catalogue import Catalogue, Check, Kit
from app.inspection.catalogue_screens import came_first
from app.inspection.facts import newest_catalogue, newest_version
from app.inspection.shop_changes import OWN_KIT, KitAside
from app.inspection.tables import CatalogueVersion
from app.trade.problems import Problem, Refused

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


def _one(
    book: Engine,
    page: Pages,
    key: str,
    form: Filled | None,
    status: int = 200,
    answers: Filled | None = None,
) -> Response:
    version, now, kit = _standing(book, key)
    return page.show(
        "inspection/catalogue_kit",
        status=status,
        kit=kit,
        own=key.startswith(OWN_KIT),
        cautions=now.cautions_of(kit),
        records=[_word(record) for record in kit.records],
        answered=[check for check in now.checks if key in check.kits],
        form=form or Filled(kit_forms.texts_of(kit), revision=version),
        answers=answers or Filled({"check": kit_forms.answered_by(now, key)}, revision=version),
        **_lists(now, kit),
    )


def _word(key: str) -> str:
    return key.replace("_", " ").capitalize()


def _lists(now: Catalogue, kit: Kit | None = None) -> dict[str, object]:
    """What the fields of a kit's forms may hold."""
    systems: dict[str, list[Check]] = {}
    for check in now.checks:
        systems.setdefault(check.system, []).append(check)
    return {
        "more_parts": kit_forms.added(kit.parts if kit else ()),
        "more_fees": kit_forms.added(kit.fees if kit else ()),
        "part_of": list(kit_forms.PART_OF.items()),
        "fee_of": list(kit_forms.FEE_OF.items()),
        "systems": systems,
        "check_words": [(check.key, check.name) for check in now.checks],
    }


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


@router.post("/inspection/catalogue/kits/{key}/checks", dependencies=[Depends(LEADS)])
def set_answers(key: Named, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The checks that a kit answers; walks that begin from now on suggest it there."""
    _, now, kit = _standing(book, key)
    try:
        editing.change_catalogue(book, act, *kit_forms.read_answers(typed, now, kit))
    except Refused as refused:
        return _one(book, page, key, None, 422, again(typed, refused.problems))
    except Stale as stale:
        stands = {"check": kit_forms.answered_by(_standing(book, key)[1], key)}
        form = late(book, page.zone, typed, stale, About(CatalogueVersion), stands)
        return _one(book, page, key, None, 409, form)
    return page.go(f"/inspection/catalogue/kits/{key}")


@router.post("/inspection/catalogue/kits/{key}/aside", dependencies=[Depends(LEADS)])
def put_aside(key: Named, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """A kit of the shop's own put aside, or taken up again; work priced by it keeps it."""
    _standing(book, key)
    try:
        editing.change_catalogue(book, act, _aside(key, typed))
    except Refused as refused:
        return _one(book, page, key, None, 422, again(typed, refused.problems))
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(CatalogueVersion))
        return _one(book, page, key, None, 409, form)
    return page.go(f"/inspection/catalogue/kits/{key}")


def _aside(key: str, typed: Sent) -> KitAside:
    if not key.startswith(OWN_KIT):
        says = "This kit came with the program: a check leaves it out, and it stays"
        raise Refused([Problem("", says, "a kit of our own")])
    return KitAside(kit=key, aside=typed.get("aside") != "no")


# A kit of the shop's own


@router.get("/inspection/catalogue/add-kit", dependencies=[Depends(LEADS)])
def new_kit(book: Book, page: Page) -> Response:
    """The form of a kit of the shop's own."""
    with reading(book) as session:
        version = newest_version(session).key
    return _new(book, page, Filled({"per": "unit"}, revision=version))


def _new(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        now = newest_catalogue(session)
    return page.show(
        "inspection/catalogue_add_kit",
        status=status,
        form=form,
        per=list(kit_forms.PER.items()),
        records=[(record, _word(record)) for record in kit_forms.RECORDS],
        cautions=[(it.key, f"{it.word}: {it.hazard}") for it in now.cautions],
        **_lists(now),
    )


@router.post("/inspection/catalogue/add-kit", dependencies=[Depends(LEADS)])
def add_kit(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """A kit of the shop's own added, and the checks that it answers set; estimates can have it at once."""
    with reading(book) as session:
        now = editing.made_before(session, act) or newest_catalogue(session)
    try:
        added = kit_forms.read_new_kit(typed, now)
        editing.change_catalogue(book, act, added, *kit_forms.read_answers(typed, now, added.kit))
    except Refused as refused:
        return _new(book, page, again(typed, refused.problems), 422)
    except Stale as stale:
        return _new(book, page, came_first(book, page, typed, stale, "name"), 409)
    return page.go(f"/inspection/catalogue/kits/{added.kit.key}")

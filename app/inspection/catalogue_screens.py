"""Pages of the catalogue: read by everyone, changed by a lead, every version kept."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.ground.book import reading
from app.ground.first import About, Beside, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, LEADS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.inspection import change_forms, editing
from app.inspection.catalogue import DEPTHS, KINDS, Catalogue, Check
from app.inspection.change_forms import GRADES, MOST_SEEN, PLACES, limit_field, shipped_limits
from app.inspection.facts import newest_version, version
from app.inspection.shop_changes import CHANGES, LimitSet
from app.inspection.tables import CatalogueVersion
from app.trade.problems import Refused
from app.trade.quantity import UNITS

router = APIRouter()
Named = Annotated[str, Path(pattern=r"^[a-z]{2}\.[a-z0-9_]{1,60}$")]


def _standing(session: Session) -> tuple[CatalogueVersion, Catalogue, Catalogue]:
    """The version in force, its catalogue, and the one that ships below it."""
    row = newest_version(session)
    return row, version(session, row.key), version(session, row.shipped_id or row.key)


@router.get("/inspection/catalogue", dependencies=[Depends(ANYONE)])
def catalogue(book: Book, page: Page) -> Response:
    """All checks by system, the phrases for notes, the versions so far."""
    return _catalogue(book, page, None)


def _catalogue(book: Engine, page: Pages, form: Filled | None, status: int = 200) -> Response:
    with reading(book) as session:
        row, now, _ = _standing(session)
        versions = editing.versions(session)
    systems: dict[str, list[Check]] = {}
    for check in now.checks:
        systems.setdefault(check.system, []).append(check)
    return page.show(
        "inspection/catalogue",
        status=status,
        catalogue=now,
        systems=systems,
        versions=versions,
        form=form or Filled(revision=row.key),
    )


@router.post("/inspection/catalogue/phrases", dependencies=[Depends(LEADS)])
def change_phrases(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """A phrase for notes added or taken away."""
    try:
        editing.change_catalogue(book, act, change_forms.read_phrase(typed))
    except Refused as refused:
        return _catalogue(book, page, again(typed, refused.problems), 422)
    except Stale as stale:
        return _catalogue(book, page, came_first(book, page, typed, stale, "says"), 409)
    return page.go("/inspection/catalogue#phrases")


def came_first(book: Engine, page: Pages, typed: Sent, stale: Stale, field: str) -> Filled:
    """A form that adds to the catalogue and came too late, beside what the newest version changed.

    `field`: the field that is shown beside it.
    """
    with reading(book) as session:
        newest = editing.versions(session)[0]
    said = [Beside(field, "In the catalogue", "; ".join(newest.says))]
    form = late(book, page.zone, typed, stale, About(CatalogueVersion), beside=lambda _: said)
    return replace(form, typed=None, pairs=()) if typed.has("remove") else form


# One check


@router.get("/inspection/catalogue/checks/{key}", dependencies=[Depends(ANYONE)])
def one_check(key: Named, book: Book, page: Page) -> Response:
    """One check as it stands here and as it ships; a lead sets its limits and kits."""
    return _one(book, page, key, None)


def _check(found: Catalogue, key: str) -> Check:
    try:
        return found.check(key)
    except KeyError:
        raise HTTPException(404, "There is no such check.") from None


def _base(shipped: Catalogue, check: Check) -> Check:
    """A check as it ships, or as it is where it is the shop's own."""
    return next((each for each in shipped.checks if each.key == check.key), check)


def _one(book: Engine, page: Pages, key: str, form: Filled | None, status: int = 200) -> Response:
    with reading(book) as session:
        row, now, shipped = _standing(session)
    check = _check(now, key)
    base = _base(shipped, check)
    return page.show(
        "inspection/catalogue_check",
        status=status,
        check=check,
        catalogue=now,
        limits=shipped_limits(base),
        limit_field=limit_field,
        kit_words=[(kit.key, kit.name) for kit in now.kits_offered],
        form=form or Filled(_numbers(row, base), revision=row.key),
    )


def _numbers(row: CatalogueVersion, base: Check) -> dict[str, str]:
    """The numbers of the limits as they stand here, by field."""
    values = {limit_field(m.key, at): f"{limit.ends[0]:f}" for m, at, limit, _ in shipped_limits(base)}
    for change in CHANGES.validate_python(row.changes):
        if isinstance(change, LimitSet) and change.check == base.key:
            own = {limit_field(change.measure, at): n for at, n in enumerate(change.numbers)}
            values |= {field: f"{number:f}" for field, number in own.items() if number is not None}
    return values


@router.post("/inspection/catalogue/checks/{key}/limits", dependencies=[Depends(LEADS)])
def set_limits(key: Named, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The limits of a check set by the shop, never lighter than the law."""
    with reading(book) as session:
        _, now, shipped = _standing(session)
    base = _base(shipped, _check(now, key))
    try:
        editing.change_catalogue(book, act, *change_forms.read_limits(typed, base))
    except Refused as refused:
        return _one(book, page, key, again(typed, refused.problems), 422)
    except Stale as stale:
        with reading(book) as session:
            values = _numbers(_standing(session)[0], base)
        stands = {name: values.get(name, "") for name in typed.names() if name.startswith("limit-")}
        form = late(book, page.zone, typed, stale, About(CatalogueVersion), stands)
        return _one(book, page, key, form, 409)
    return page.go(f"/inspection/catalogue/checks/{key}")


@router.post("/inspection/catalogue/checks/{key}/kits", dependencies=[Depends(LEADS)])
def set_kits(key: Named, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The kits that a check or one of its defects suggests."""
    with reading(book) as session:
        _, now, _ = _standing(session)
    check = _check(now, key)
    try:
        editing.change_catalogue(book, act, change_forms.read_kits(typed, now, check))
    except Refused as refused:
        return _one(book, page, key, again(typed, refused.problems), 422)
    except Stale as stale:
        return _late_kits(book, page, key, typed, stale)
    return page.go(f"/inspection/catalogue/checks/{key}")


def _late_kits(book: Engine, page: Pages, key: str, typed: Sent, stale: Stale) -> Response:
    with reading(book) as session:
        row, found, shipped = _standing(session)
    check = _check(found, key)
    kits = next((it.kits for it in check.defects if it.key == typed.get("defect")), check.kits)
    form = late(book, page.zone, typed, stale, About(CatalogueVersion), {"kit": "\n".join(kits)})
    return _one(book, page, key, replace(form, values=_numbers(row, _base(shipped, check))), 409)


# A check of the shop's own


@router.get("/inspection/catalogue/add", dependencies=[Depends(LEADS)])
def new_check(book: Book, page: Page) -> Response:
    """The form of a check of the shop's own."""
    with reading(book) as session:
        row, _, _ = _standing(session)
    start = {"kinds": "\n".join(KINDS), "depth": "full", "places": "unit", "station": "0"}
    return _new(book, page, Filled(start, revision=row.key))


def _new(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        _, now, _ = _standing(session)
    return page.show(
        "inspection/catalogue_add",
        status=status,
        form=form,
        systems=_words(sorted({check.system for check in now.checks})),
        kinds=KINDS,
        depths=DEPTHS,
        places=_words(PLACES),
        grades=GRADES,
        units=[(key, word or "count") for key, (word, *_) in UNITS.items()],
        numbers=range(1, MOST_SEEN + 1),
    )


def _words(keys: Sequence[str]) -> list[tuple[str, str]]:
    return [(key, key.capitalize()) for key in keys]


@router.post("/inspection/catalogue/add", dependencies=[Depends(LEADS)])
def add_check(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """A check of the shop's own added; walks that begin from now on have it."""
    with reading(book) as session:
        _, now, _ = _standing(session)
        done = editing.made_before(session, act)
    try:
        change = change_forms.read_check(typed, done or now)
        editing.change_catalogue(book, act, change)
    except Refused as refused:
        return _new(book, page, again(typed, refused.problems), 422)
    except Stale as stale:
        return _new(book, page, came_first(book, page, typed, stale, "name"), 409)
    return page.go(f"/inspection/catalogue/checks/{change.check.key}")

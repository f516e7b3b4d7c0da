"""The page of one photo: seen large, and marked."""

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine

from app.ground import people, photo_marks
from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, Acting, Book, Page, Typed, inside
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.ground.tables import Photo, PhotoMarks
from app.trade.problems import Refused

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]


@router.get("/photos/{photo_id}", dependencies=[Depends(ANYONE)])
def photo(photo_id: Key, book: Book, page: Page, back: str = "/") -> Response:
    """One photo with its marks, and the tools to draw them."""
    with reading(book) as session:
        found = _one(session.get(Photo, photo_id))
        layer, revision = photo_marks.newest(session, found.key)
    text = photo_marks.LAYER.dump_json(layer).decode()
    return _show(book, page, photo_id, Filled({"layer": text}, revision=revision), back)


def _one(found: Photo | None) -> Photo:
    if found is None:
        raise HTTPException(404, "There is no such photo.")
    return found


def _show(book: Engine, page: Pages, photo_id: int, form: Filled, back: str, status: int = 200) -> Response:
    with reading(book) as session:
        found, names = _one(session.get(Photo, photo_id)), people.names(session)
        layer, _ = photo_marks.newest(session, found.key)
    return page.show(
        "ground/photo",
        status=status,
        photo=found,
        taken_by=names.get(found.taken_by, ""),
        shown=photo_marks.shown(found, layer),
        mine=photo_marks.shown(found, _typed(form, found)) if form.late else None,
        form=form,
        back=inside(back),
    )


def _typed(form: Filled, found: Photo) -> photo_marks.Layer:
    """The marks of a form that came too late; none where they cannot be read."""
    try:
        return photo_marks.read_layer(form.value("layer"), photo_marks.high_of(found))
    except Refused:
        return ()


@router.post("/photos/{photo_id}/marks", dependencies=[Depends(ANYONE)])
def keep_marks(photo_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The marks of a photo kept as a new layer."""
    with reading(book) as session:
        _one(session.get(Photo, photo_id))
    back = inside(typed.get("back", "/"))
    try:
        photo_marks.keep_marks(book, act, photo_id, typed.get("layer"))
    except Refused as refused:
        return _show(book, page, photo_id, again(typed, refused.problems), back, 422)
    except Stale as stale:
        with reading(book) as session:
            stands = photo_marks.LAYER.dump_json(photo_marks.newest(session, photo_id)[0]).decode()
        about = About(PhotoMarks, photo_id=photo_id)
        form = late(book, page.zone, typed, stale, about, {"layer": stands})
        return _show(book, page, photo_id, form, back, 409)
    return page.go(f"/photos/{photo_id}?back={quote(back, safe='/')}")

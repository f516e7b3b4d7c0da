"""Pages of the common ground: first account, sign-in, people, photos, printed papers, shop settings."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Request, Response
from sqlmodel import select

from app.ground import files, people, sheets
from app.ground.acting import Act, new_key, now
from app.ground.book import reading
from app.ground.forms import Filled, again
from app.ground.gate import (
    ANYONE,
    LEADS,
    Acting,
    Book,
    Page,
    Set,
    Signed,
    Typed,
    cookie_name,
)
from app.ground.pages import Pages
from app.ground.people import Role
from app.ground.settings import Settings
from app.ground.shop_form import read_shop
from app.ground.tables import Document, Person, Photo
from app.trade.problems import Refused

router = APIRouter()
LONG = "private, max-age=31536000, immutable"


@router.get("/static/sheet.css")
def sheet_css() -> Response:
    return Response(sheets.joined(), media_type="text/css", headers={"Cache-Control": "max-age=31536000"})


@router.get("/people/first")
def first_account(book: Book, page: Page) -> Response:
    if not people.nobody_yet(book):
        return page.go("/people/sign-in")
    return page.show("ground/first", form=Filled({"zone": "America/New_York", "paper": "letter"}))


@router.post("/people/first")
def keep_first_account(typed: Typed, book: Book, page: Page, settings: Set, request: Request) -> Response:
    try:
        shop = read_shop(typed, now())
        person = people.read_person(typed, first=True)
        act = Act(typed.get("submission")[:64] or new_key(), typed.hash, 0, now())
        people.open_shop(book, act, shop, person)
    except Refused as refused:
        return page.show("ground/first", status=422, form=again(typed, refused.problems))
    return _signed_in(page, book, settings, request, person.name, person.passphrase, "/")


@router.get("/people/sign-in")
def sign_in_page(book: Book, page: Page, then: Annotated[str, Query()] = "/") -> Response:
    if people.nobody_yet(book):
        return page.go("/people/first")
    return page.show("ground/sign_in", form=Filled({"then": then}), people=_names(book))


@router.post("/people/sign-in")
def sign_in(typed: Typed, book: Book, page: Page, settings: Set, request: Request) -> Response:
    name, passphrase = typed.get("name").strip(), typed.get("passphrase")
    try:
        return _signed_in(page, book, settings, request, name, passphrase, typed.get("then"))
    except Refused as refused:
        form = again(typed, refused.problems)
        return page.show("ground/sign_in", status=422, form=form, people=_names(book))


def _signed_in(
    page: Pages, book: Book, settings: Settings, request: Request, name: str, passphrase: str, then: str
) -> Response:
    device = request.headers.get("user-agent", "")
    cookie = people.sign_in(book, name, passphrase, device, now())
    answer = page.go(then if then.startswith("/") and not then.startswith("//") else "/")
    answer.set_cookie(
        cookie_name(secure=settings.secure),
        cookie,
        httponly=True,
        samesite="strict",
        secure=settings.secure,
        path="/",
    )
    return answer


def _names(book: Book) -> list[str]:
    with reading(book) as session:
        return [person.name for person in people.working(session)]


@router.post("/people/sign-out", dependencies=[Depends(ANYONE)])
def sign_out(book: Book, page: Page, who: Signed, act: Acting, settings: Set) -> Response:
    people.sign_out(book, who.sign_in, act.at)
    answer = page.go("/people/sign-in")
    answer.delete_cookie(cookie_name(secure=settings.secure))
    return answer


@router.get("/people", dependencies=[Depends(ANYONE)])
def people_page(book: Book, page: Page) -> Response:
    return _people(book, page, Filled({"role": Role.TECHNICIAN}))


@router.post("/people", dependencies=[Depends(LEADS)])
def add_person(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    try:
        people.add_person(book, act, people.read_person(typed))
    except Refused as refused:
        return _people(book, page, again(typed, refused.problems), 422)
    return page.go("/people")


def _people(book: Book, page: Page, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        found = list(session.exec(select(Person)))
    return page.show("ground/people", status=status, people=found, form=form, roles=list(Role))


@router.get("/photos/{photo_id}/{size}.jpg", dependencies=[Depends(ANYONE)])
def photo(photo_id: int, size: str, book: Book, settings: Set) -> Response:
    with reading(book) as session:
        found = session.get(Photo, photo_id) if photo_id < 2**63 else None
    if found is None or size not in ("print", "small"):
        raise HTTPException(404, "There is no such photo.")
    content = files.read(settings.files, found.sha256 if size == "print" else found.small_sha256)
    return Response(content, media_type="image/jpeg", headers={"Cache-Control": LONG})


@router.get("/papers/{document_id}.pdf", dependencies=[Depends(ANYONE)])
def paper(document_id: int, book: Book, settings: Set) -> Response:
    with reading(book) as session:
        found = session.get(Document, document_id) if document_id < 2**63 else None
    if found is None:
        raise HTTPException(404, "There is no such paper.")
    name = f"{found.kind}-{found.number}-{found.issue}.pdf".replace(" ", "-")
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Cache-Control": LONG}
    return Response(files.read(settings.files, found.sha256), media_type="application/pdf", headers=headers)

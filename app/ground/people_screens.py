"""Pages of people: the first account, sign-in, who works here, one person, one's own passphrase."""

from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Request, Response
from sqlmodel import select

from app.ground import people, receipts, staff
from app.ground.acting import Act, new_key, now
from app.ground.book import reading
from app.ground.carrying import carried
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, LEADS, Acting, Book, Page, Set, Signed, Typed, cookie_name, inside
from app.ground.pages import Pages
from app.ground.people import Role
from app.ground.receipts import Stale
from app.ground.settings import Settings
from app.ground.shop_form import read_opening
from app.ground.tables import Person
from app.trade.problems import Refused
from app.trade.typed import Reader

router = APIRouter()


@router.get("/people/first")
def first_account(book: Book, page: Page) -> Response:
    """The page of a new shop: its name and its first account, which is a lead's."""
    if not people.nobody_yet(book):
        return page.go("/people/sign-in")
    return page.show("ground/first", form=Filled({"zone": "America/New_York", "paper": "letter"}))


@router.post("/people/first")
def keep_first_account(typed: Typed, book: Book, page: Page, settings: Set, request: Request) -> Response:
    """Makes the shop and its first account, once."""
    try:
        shop, person = read_opening(typed, now())
        act = Act(typed.get("submission")[:64] or new_key(), typed.hash, 0, now())
        people.open_shop(book, act, shop, person)
    except Refused as refused:
        return page.show("ground/first", status=422, form=again(typed, refused.problems))
    device = request.headers.get("user-agent", "")
    cookie = people.sign_in(book, person.name, person.passphrase, device, now())
    return _with_cookie(page.go("/"), cookie, settings)


@router.get("/people/sign-in")
def sign_in_page(
    book: Book, page: Page, then: Annotated[str, Query()] = "/", ended: Annotated[str, Query()] = ""
) -> Response:
    """The page that asks who is there."""
    if people.nobody_yet(book):
        return page.go("/people/first")
    return _door(book, page, Filled({"then": inside(then), "ended": ended[:3]}))


@router.post("/people/sign-in")
def sign_in(typed: Typed, book: Book, page: Page, settings: Set, request: Request) -> Response:
    """Lets a person in with name and passphrase, and sends them where they came from."""
    name, passphrase = typed.get("name").strip(), typed.get("passphrase")
    try:
        cookie = people.sign_in(book, name, passphrase, request.headers.get("user-agent", ""), now())
    except Refused as refused:
        return _door(book, page, again(typed, refused.problems), 422)
    late = carried(typed.get("carried"))
    answer = page.show("ground/carried", form=late) if late else page.go(inside(typed.get("then")))
    return _with_cookie(answer, cookie, settings)


def _door(book: Book, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        names = [person.name for person in people.working(session)]
    return page.show("ground/sign_in", status=status, form=form, people=names)


def _with_cookie(answer: Response, cookie: str, settings: Settings) -> Response:
    answer.set_cookie(
        cookie_name(secure=settings.secure),
        cookie,
        httponly=True,
        samesite="strict",
        secure=settings.secure,
        path="/",
    )
    return answer


@router.post("/people/sign-out", dependencies=[Depends(ANYONE)])
def sign_out(book: Book, page: Page, who: Signed, act: Acting, settings: Set) -> Response:
    """Ends the session of this browser."""
    people.sign_out(book, who.sign_in, act.at)
    answer = page.go("/people/sign-in")
    answer.delete_cookie(cookie_name(secure=settings.secure))
    return answer


@router.get("/people", dependencies=[Depends(ANYONE)])
def people_page(book: Book, page: Page) -> Response:
    """Who works here, with their roles."""
    return _people(book, page, Filled({"role": Role.TECHNICIAN}))


@router.post("/people", dependencies=[Depends(LEADS)])
def add_person(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps a new person of the shop with a first passphrase."""
    try:
        people.add_person(book, act, people.read_person(typed, _taken(book, act)))
    except Refused as refused:
        return _people(book, page, again(typed, refused.problems), 422)
    return page.go("/people")


def _taken(book: Book, act: Act) -> set[str]:
    """Names that have an account; none for an act that is only repeated."""
    with reading(book) as session:
        return set() if receipts.repeated(session, act) is not None else people.known(session)


def _people(book: Book, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        found = sorted(session.exec(select(Person)), key=lambda each: (not each.active, each.name))
    return page.show("ground/people", status=status, people=found, form=form)


@router.get("/people/passphrase", dependencies=[Depends(ANYONE)])
def own_passphrase(page: Page) -> Response:
    """The form in which a person changes the own passphrase."""
    return page.show("ground/passphrase", form=Filled())


@router.post("/people/passphrase", dependencies=[Depends(ANYONE)])
def change_passphrase(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Changes the own passphrase, and ends the person's other sessions."""
    try:
        staff.change_passphrase(book, act, typed.get("old"), _new_passphrase(typed, old=True))
    except Refused as refused:
        return page.show("ground/passphrase", status=422, form=again(typed, refused.problems))
    return page.go("/people/sign-in")


@router.get("/people/{person_id}", dependencies=[Depends(LEADS)])
def person_page(person_id: int, book: Book, page: Page) -> Response:
    """One person, for a lead: sessions, passphrase, whether they still work here."""
    return _person(book, page, person_id)


@router.post("/people/{person_id}/sign-outs", dependencies=[Depends(LEADS)])
def end_sessions(person_id: int, act: Acting, book: Book, page: Page) -> Response:
    """Signs a person out everywhere."""
    _one(book, person_id)
    staff.end_sessions(book, act, person_id)
    return page.go(f"/people/{person_id}")


@router.post("/people/{person_id}/leave", dependencies=[Depends(LEADS)])
def let_go(person_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps that a person works here no more; what they signed stays."""
    _one(book, person_id)
    try:
        staff.let_go(book, act, person_id)
    except Refused as refused:
        return _person(book, page, person_id, again(typed, refused.problems), 422)
    except Stale as stale:
        return _too_late(book, page, person_id, typed, stale)
    return page.go(f"/people/{person_id}")


@router.post("/people/{person_id}/return", dependencies=[Depends(LEADS)])
def take_back(person_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps that a person works here again."""
    _one(book, person_id)
    try:
        staff.take_back(book, act, person_id)
    except Stale as stale:
        return _too_late(book, page, person_id, typed, stale)
    return page.go(f"/people/{person_id}")


@router.post("/people/{person_id}/role", dependencies=[Depends(LEADS)])
def give_role(person_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Lets a person work in another role from now on."""
    _one(book, person_id)
    try:
        staff.give_role(book, act, person_id, people.read_role(typed))
    except Refused as refused:
        return _person(book, page, person_id, again(typed, refused.problems), 422)
    except Stale as stale:
        return _too_late(book, page, person_id, typed, stale)
    return page.go(f"/people/{person_id}")


@router.post("/people/{person_id}/passphrase", dependencies=[Depends(LEADS)])
def give_passphrase(person_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Gives a person a new passphrase, and ends their sessions."""
    _one(book, person_id)
    try:
        staff.give_passphrase(book, act, person_id, _new_passphrase(typed))
    except Refused as refused:
        return _person(book, page, person_id, again(typed, refused.problems), 422)
    except Stale as stale:
        return _too_late(book, page, person_id, typed, stale)
    return page.go(f"/people/{person_id}")


def _new_passphrase(typed: Sent, *, old: bool = False) -> str:
    """The new passphrase of a form; `old`: whether the form asks for the one of before as well."""
    read = Reader(typed)
    if old and not typed.get("old"):
        read.wrong("old", "Your passphrase of now is missing", "that one")
    passphrase = people.read_passphrase(read)
    read.done()
    return passphrase


def _one(book: Book, person_id: int) -> Person:
    with reading(book) as session:
        found = session.get(Person, person_id) if person_id < 2**63 else None
    if found is None:
        raise HTTPException(404, "Nobody of that number works here.")
    return found


def _person(
    book: Book, page: Pages, person_id: int, form: Filled | None = None, status: int = 200
) -> Response:
    person = _one(book, person_id)
    with reading(book) as session:
        devices = people.signed_in(session, person, now())
    form = form or Filled({"role": person.role}, revision=person.revision)
    return page.show("ground/person", status=status, person=person, devices=devices, form=form)


def _too_late(book: Book, page: Pages, person_id: int, typed: Sent, stale: Stale) -> Response:
    person = _one(book, person_id)
    now = {"role": person.role} if typed.has("role") else {}
    form = late(book, page.zone, typed, stale, About(Person, id=person_id), now)
    return _person(book, page, person_id, form, 409)

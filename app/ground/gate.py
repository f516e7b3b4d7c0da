"""The gate: who may ask, from where, for what. Every changing request passes all of it.

Host allow-list, same origin, a session that the server can end, the session's token in the form, a role.
"""

from collections.abc import Awaitable, Callable
from contextlib import suppress
from typing import Annotated
from urllib.parse import SplitResult, quote, urlsplit

from fastapi import Depends, FastAPI, HTTPException, Request, Response
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import people
from app.ground.acting import Act, new_key, now, tapped_at
from app.ground.book import reading
from app.ground.forms import Sent, read_sent
from app.ground.pages import Pages
from app.ground.papers import Printer
from app.ground.people import Role, Who
from app.ground.printing import Desk, Prints
from app.ground.settings import Settings
from app.ground.tables import Shop

SAFE = ("GET", "HEAD")
BY_ITSELF = "/tablet/"  # what lies under it an open page asks by itself, whether or not somebody is there
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cache-Control": "no-store",
}
ENDED = "ended"  # in the sign-in page's address: a form was sent after its session had ended


class NotSignedIn(Exception):
    """Nobody is signed in; the browser is sent to the sign-in page and back."""


def guard(app: FastAPI, settings: Settings) -> None:
    """Put the host and origin checks and the security headers around every answer."""

    @app.middleware("http")
    async def around(request: Request, call_next: Callable[[Request], Awaitable[Response]]) -> Response:
        refused = _refusal(request, settings)
        return sealed(refused or await call_next(request))


def sealed(response: Response) -> Response:
    """An answer with the headers of safety; one that says nothing of caching is not kept anywhere."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if response.headers.get("content-type", "").startswith("text/html"):
        response.headers.setdefault("Vary", "HX-Request")  # a page or its part, from the same address
    return response


def _refusal(request: Request, settings: Settings) -> Response | None:
    if not known_host(request.headers.get("host", ""), settings.hosts):
        return Response("This address is not one of this shop's.", 400, media_type="text/plain")
    if request.method not in SAFE and not same_origin(request):
        return Response("This form did not come from one of our own pages.", 403, media_type="text/plain")
    return None


def known_host(host: str, hosts: tuple[str, ...]) -> bool:
    """Whether a Host header names one of the shop's own addresses, any port."""
    bare = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    return bare.lower() in hosts


def same_origin(request: Request) -> bool:
    """Whether a changing request comes from our own page.

    `Sec-Fetch-Site`, where sent, must be same-origin or none; `Origin` must be our own, port included.
    """
    if request.headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
        return False
    return _split(request.headers.get("origin", "")).netloc == request.headers.get("host", "")


def _split(address: str) -> SplitResult:
    """The parts of an address; no parts where it is none, such as `http://[`."""
    with suppress(ValueError):
        return urlsplit(address)
    return urlsplit("")


def book_of(request: Request) -> Engine:
    """The shop's book."""
    book: Engine = request.app.state.book
    return book


def settings_of_app(request: Request) -> Settings:
    """How this program is set up."""
    settings: Settings = request.app.state.settings
    return settings


def prints_of(request: Request) -> Prints:
    """The papers that are being made."""
    prints: Prints = request.app.state.prints
    return prints


def printer_of(request: Request) -> Desk:
    """Where the papers of this request are printed and kept."""
    state, settings = request.app.state, settings_of_app(request)
    return Desk(Printer(state.book, state.press, settings.files, settings.address), state.prints)


def cookie_name(*, secure: bool) -> str:
    """Name of the session cookie; the `__Host-` prefix is kept by browsers over HTTPS only."""
    return "__Host-castlenut" if secure else "castlenut"


Book = Annotated[Engine, Depends(book_of)]
Set = Annotated[Settings, Depends(settings_of_app)]
InTheMaking = Annotated[Prints, Depends(prints_of)]
Printing = Annotated[Desk, Depends(printer_of)]


def visitor(request: Request, book: Book, settings: Set) -> Who | None:
    """The person signed in, or None."""
    cookie = request.cookies.get(cookie_name(secure=settings.secure), "")
    used = not request.url.path.startswith(BY_ITSELF)
    return people.who(book, cookie, now(), used=used)


Visitor = Annotated[Who | None, Depends(visitor)]


def person(found: Visitor) -> Who:
    """The person signed in; raises NotSignedIn."""
    if found is None:
        raise NotSignedIn
    return found


Signed = Annotated[Who, Depends(person)]


class Only:
    """A dependency that lets only some roles through; the role test reads `roles` off each route."""

    def __init__(self, *roles: Role) -> None:
        self.roles = frozenset(roles)

    def __call__(self, who: Signed) -> Who:
        """The person, if the role is one of ours; 403 otherwise."""
        if who.role not in self.roles:
            allowed = " or ".join(sorted(self.roles))
            raise HTTPException(403, f"This is for a {allowed}; you are signed in as a {who.role}.")
        return who


ANYONE = Only(*Role)
WRITERS = Only(Role.WRITER, Role.LEAD)
TECHNICIANS = Only(Role.TECHNICIAN, Role.LEAD)
LEADS = Only(Role.LEAD)


def came_with_a_session(request: Request) -> bool:
    """Whether the browser showed a session's cookie, so that a session of its own has ended."""
    return cookie_name(secure=settings_of_app(request).secure) in request.cookies


async def sent(request: Request) -> Sent:
    """What the form sent, within limits of count and size."""
    async with request.form(max_files=12, max_fields=600, max_part_size=65_536) as form:
        return await read_sent(form.multi_items())


Typed = Annotated[Sent, Depends(sent)]


WAITED = "x-waited"  # milliseconds; beside the form, since the same form sent again has waited longer


def acting(request: Request, typed: Typed, who: Signed, book: Book) -> Act:
    """The act that a form asks for; 403 where its token was not given to this person."""
    at = now()
    if not people.form_is_of(book, who, typed.get("token"), at):
        raise HTTPException(403, "This form belongs to an earlier sign-in. Open the page anew.")
    return Act(
        submission=typed.get("submission")[:64] or new_key(),
        sent=typed.hash,
        person=who.id,
        device=who.device,
        at=at,
        seen=typed.revision,
        tapped=tapped_at(request.headers.get(WAITED, ""), at),
    )


Acting = Annotated[Act, Depends(acting)]


def pages(request: Request, book: Book, who: Visitor, settings: Set) -> Pages:
    """How this request is answered."""
    with reading(book) as session:
        shop = session.exec(select(Shop)).first()
    zone, name = (shop.zone, shop.name) if shop else ("UTC", "")
    return Pages(request, who, zone, name, {"demo": settings.demo, "in_the_clear": settings.in_the_clear})


Page = Annotated[Pages, Depends(pages)]


def sign_in_address(request: Request) -> str:
    """Where to sign in, with the way back to the page that was asked for, or whose form was sent."""
    asked = request.method in SAFE
    back = str(request.url) if asked else request.headers.get("referer", "/")
    return f"/people/sign-in?then={quote(inside(back), safe='/')}{'' if asked else f'&{ENDED}=yes'}"


def inside(address: str) -> str:
    """Path and query of an address, without its host; the yard where that would lead off this shop."""
    parts = _split(address)
    path = parts.path + (f"?{parts.query}" if parts.query else "")
    ours = path.startswith("/") and not path.startswith("//") and "\\" not in path and path.isprintable()
    return path if ours else "/"

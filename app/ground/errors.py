"""How errors are said: a page in words with a way back, one sentence where htmx asks."""

import logging
import secrets
from http import HTTPStatus

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, PlainTextResponse, RedirectResponse
from starlette.exceptions import HTTPException

from app.ground import gate
from app.ground.pages import Pages, fill

log = logging.getLogger("castlenut")
IN_WORDS = {
    401: "Sign in first",
    404: "There is no such page",
    405: "This page cannot be asked for that way",
    413: "This is too large: a form may have 1 MB, a photo 25 MB",
}


def say_errors(app: FastAPI) -> None:
    """Have the application say its errors: sent to sign in, refused, not there, too large, broken."""
    app.exception_handler(gate.NotSignedIn)(_not_signed_in)
    app.exception_handler(HTTPException)(_refused)
    app.exception_handler(RequestValidationError)(_no_such_page)
    app.exception_handler(Exception)(_broken)


def _not_signed_in(request: Request, _: gate.NotSignedIn) -> Response:
    if "hx-request" in request.headers:
        return PlainTextResponse("Sign in first.", 401)
    return RedirectResponse(gate.sign_in_address(request), 303)


def _refused(request: Request, wrong: HTTPException) -> Response:
    said = str(wrong.detail).rstrip(".")
    by_the_framework = said == HTTPStatus(wrong.status_code).phrase
    says = IN_WORDS.get(wrong.status_code, said) if by_the_framework else said
    answer = _stopped(request, wrong.status_code, says)
    answer.headers.update(wrong.headers or {})
    return answer


def _no_such_page(request: Request, _: RequestValidationError) -> Response:
    return _stopped(request, 404, IN_WORDS[404])


def _broken(request: Request, wrong: Exception) -> Response:
    """The last resort stands outside the gate and asks the book for nothing: that may be what broke."""
    reference = secrets.token_hex(4)
    log.error("error %s at %s", reference, request.url.path, exc_info=wrong)
    says = f"The program met an error; tell your lead the number {reference}"
    if "hx-request" in request.headers:
        return gate.sealed(PlainTextResponse(says, 500))
    nobody = {"who": None, "token": "", "zone": "UTC", "shop": "", "here": "", "demo": False}
    return gate.sealed(HTMLResponse(fill("ground/stopped.html", {**nobody, **_facts(request, says)}), 500))


def _stopped(request: Request, status: int, says: str) -> Response:
    if "hx-request" in request.headers:
        return PlainTextResponse(f"{says}.", status)
    return _page(request).show("ground/stopped", status=status, **_facts(request, says))


def _page(request: Request) -> Pages:
    book, settings = gate.book_of(request), gate.settings_of_app(request)
    return gate.pages(request, book, gate.visitor(request, book, settings), settings)


def _facts(request: Request, says: str) -> dict[str, object]:
    """What the page says, whether something was to be changed, and the page before, where it is ours."""
    before = gate.inside(request.headers.get("referer", "/"))
    back = before if before not in ("/", request.url.path) else ""
    return {"says": says, "back": back, "changing": request.method not in gate.SAFE}

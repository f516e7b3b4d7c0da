"""How errors are said: a page in words with a way back, one sentence where htmx asks, JSON for programs."""

import errno
import logging
import secrets
import sqlite3

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, JSONResponse, PlainTextResponse, RedirectResponse
from sqlalchemy.exc import OperationalError
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from app.ground import gate
from app.ground.carrying import carry
from app.ground.forms import Filled
from app.ground.pages import Pages, fill
from app.ground.printing import Coming
from app.ground.receipts import Stale
from app.trade.problems import Refused

log = logging.getLogger("castlenut")
# What a disk says that is full, read-only, broken or in another program's hands.
DISK_ERRNO = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EPERM, errno.EIO}
DISK_SQLITE = {
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_BUSY,
}
NO_PAGE = "There is no such page"
SIGN_IN = "Sign in first."
JSON = "/api/"  # what lies under it is for programs: answered in JSON, its errors too
IN_WORDS = {  # what the framework says by itself
    "Not Found": NO_PAGE,
    "Method Not Allowed": "This page cannot be asked for that way",
    "Content Too Large": "This is too large: a form may have 1 MB, a photo 25 MB",
}


def say_errors(app: FastAPI) -> None:
    """Have the application say its errors: sign in first, refused, not there, too large, not kept, broken."""
    app.exception_handler(gate.NotSignedIn)(_not_signed_in)
    app.exception_handler(HTTPException)(_refused)
    app.exception_handler(RequestValidationError)(_no_such_page)
    app.exception_handler(Refused)(_not_taken)
    app.exception_handler(Stale)(_moved_on)
    app.exception_handler(Coming)(_coming)
    app.exception_handler(OperationalError)(_not_kept)
    app.exception_handler(OSError)(_not_kept)
    app.exception_handler(Exception)(_broken)


def _of_a_program(request: Request) -> bool:
    return request.url.path.startswith(JSON)


async def _not_signed_in(request: Request, _: gate.NotSignedIn) -> Response:
    if _of_a_program(request):
        return _problem(401, SIGN_IN)
    if "hx-request" in request.headers:
        return PlainTextResponse(SIGN_IN, 401)
    text = await _to_carry(request)
    if not text:
        return RedirectResponse(gate.sign_in_address(request), 303)
    return await run_in_threadpool(_door, request, text)


async def _to_carry(request: Request) -> str:
    """What a form sent whose session had ended, to go with the sign-in; empty where there is nothing."""
    if request.method in gate.SAFE or not gate.came_with_a_session(request):
        return ""
    typed = await gate.sent(request)
    return carry(gate.inside(str(request.url)), typed).text if typed.pairs else ""


def _door(request: Request, text: str) -> Response:
    form = Filled({"then": gate.inside(request.headers.get("referer", "/")), "carried": text})
    return _page(request).show("ground/sign_in", status=401, form=form, people=())


def _refused(request: Request, wrong: HTTPException) -> Response:
    said = str(wrong.detail).rstrip(".")
    answer = _stopped(request, wrong.status_code, IN_WORDS.get(said, said))
    answer.headers.update(wrong.headers or {})
    return answer


def _no_such_page(request: Request, _: RequestValidationError) -> Response:
    return _stopped(request, 404, NO_PAGE)


def _not_taken(request: Request, wrong: Refused) -> Response:
    """For a key without a form of its own, where no page has a field to say it beside."""
    return _stopped(request, 422, ". ".join(problem.says for problem in wrong.problems))


def _moved_on(request: Request, _: Stale) -> Response:
    return _stopped(request, 409, "Somebody saved first; open the page anew")


def _coming(_: Request, paper: Coming) -> Response:
    """A paper that is not done yet: on to the page that shows how far it is."""
    return RedirectResponse(f"/papers/coming/{paper.key}", 303)


def _not_kept(request: Request, wrong: Exception) -> Response:
    """A disk that takes nothing is said in words, and never answered as saved; other faults are ours."""
    if not _of_the_disk(wrong):
        return _broken(request, wrong)
    says = "The shop's book cannot be read now"
    if request.method not in gate.SAFE:
        says = "Not saved: the disk of the shop's computer takes nothing now. What you typed is a page back"
    return _bookless(request, 503, f"{says}; tell your lead the number {_noted(request, wrong)}")


def _of_the_disk(wrong: Exception) -> bool:
    if isinstance(wrong, OSError):
        return wrong.errno in DISK_ERRNO
    code = getattr(getattr(wrong, "orig", None), "sqlite_errorcode", 0)
    return code & 0xFF in DISK_SQLITE  # the low byte is the primary code: sqlite.org/rescode.html


def _broken(request: Request, wrong: Exception) -> Response:
    says = f"The program met an error; tell your lead the number {_noted(request, wrong)}"
    return gate.sealed(_bookless(request, 500, says))


def _noted(request: Request, wrong: Exception) -> str:
    """The number under which the log has the details."""
    reference = secrets.token_hex(4)
    log.error("error %s at %s", reference, request.url.path, exc_info=wrong)
    return reference


def _bookless(request: Request, status: int, says: str) -> Response:
    """The last resort asks the book for nothing: that may be what broke."""
    if _of_a_program(request):
        return _problem(status, f"{says}.")
    if "hx-request" in request.headers:
        return PlainTextResponse(f"{says}.", status)
    nobody = {
        "who": None,
        "token": "",
        "zone": "UTC",
        "shop": "",
        "here": "",
        "demo": False,
        "in_the_clear": False,
    }
    return HTMLResponse(fill("ground/stopped.html", {**nobody, **_facts(request, says)}), status)


def _problem(status: int, says: str) -> Response:
    """What a program is told: the same shape as the problems of a figure, without a field."""
    told = {"field": "", "says": says, "accepts": "", "ask": False}
    return JSONResponse({"problems": [told]}, status)


def _stopped(request: Request, status: int, says: str) -> Response:
    if _of_a_program(request):
        return _problem(status, f"{says}.")
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

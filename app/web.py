"""Builds the web application of one shop: gate, rooms, static files, how errors are said."""

import logging
import secrets
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import PlainTextResponse, RedirectResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from app.bench import screens as bench
from app.estimate import screens as estimate
from app.ground import gate
from app.ground import screens as ground
from app.ground.acting import now
from app.ground.book import open_book
from app.ground.migrating import backup_name, migrate
from app.ground.pages import fill
from app.ground.press import Press
from app.ground.settings import LARGEST_FORM, Settings, folder
from app.handover import screens as handover
from app.inspection import steps as inspection
from app.inspection.catalogue import Catalogue, read_catalogue
from app.intake import screens as intake
from app.yard import screens as yard

ROOMS = (ground, intake, estimate, bench, handover, yard)
log = logging.getLogger("castlenut")


def build(settings: Settings) -> FastAPI:
    """The application over the book in `settings.data`, which is made or brought up to date first."""
    settings.data.mkdir(parents=True, exist_ok=True, mode=0o700)
    book = open_book(settings.book)
    migrate(book, settings.backups / backup_name(now()))
    inspection.keep_catalogue(book, _shipped())
    press = Press()

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        yield
        press.close()
        book.dispose()

    app = FastAPI(
        title="Castlenut", openapi_url=None, docs_url=None, max_body_size=LARGEST_FORM, lifespan=life
    )
    app.state.book, app.state.settings, app.state.press = book, settings, press
    gate.guard(app, settings)
    for room in ROOMS:
        app.include_router(room.router)
    app.mount("/static", StaticFiles(directory=folder("static")))
    _say_errors(app)
    return app


@cache
def _shipped() -> Catalogue:
    """The catalogue that came with this program; a book that has another gets it as its newest version."""
    return read_catalogue(folder("seed_data") / "catalogue")


def _say_errors(app: FastAPI) -> None:
    @app.exception_handler(gate.NotSignedIn)
    def not_signed_in(request: Request, _: gate.NotSignedIn) -> Response:
        if "hx-request" in request.headers:
            return PlainTextResponse("Sign in first.", 401)
        return RedirectResponse(gate.sign_in_address(request), 303)

    @app.exception_handler(HTTPException)
    def stopped(request: Request, wrong: HTTPException) -> Response:
        return _stopped(request, wrong.status_code, str(wrong.detail))

    @app.exception_handler(RequestValidationError)
    def no_such_page(request: Request, _: RequestValidationError) -> Response:
        return _stopped(request, 404, "There is no such page.")

    @app.exception_handler(Exception)
    def broken(request: Request, wrong: Exception) -> Response:
        reference = secrets.token_hex(4)
        log.error("error %s at %s", reference, request.url.path, exc_info=wrong)
        return _stopped(request, 500, f"The program met an error; tell your lead the number {reference}")


def _stopped(request: Request, status: int, says: str) -> Response:
    if "hx-request" in request.headers:
        return PlainTextResponse(says, status)
    facts = {"who": None, "token": "", "zone": "UTC", "shop": "", "here": "", "demo": False}
    return Response(fill("ground/stopped.html", {**facts, "says": says, "status": status}), status)

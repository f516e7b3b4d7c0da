"""Builds the web application of one shop: gate, rooms, static files."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import cache

from fastapi import FastAPI

from app.accounts import desk_screens as books
from app.accounts import screens as accounts
from app.bench import album_screens as album
from app.bench import needs_screens as needs
from app.bench import screens as bench
from app.bench import shown
from app.bench import typing_screens as typing
from app.bench.floor import found_screens as found
from app.bench.floor import screens as floor
from app.canvas import inspection_screens as canvas_inspections
from app.canvas import making_screens as canvas_making
from app.canvas import paper_screens as canvas_papers
from app.canvas import pattern_screens as canvas_patterns
from app.canvas import piece_screens as canvas_pieces
from app.canvas import plan_screens as canvas_plans
from app.canvas import price_screens as canvas_prices
from app.canvas import promise_screens as canvas_promises
from app.canvas import screens as canvas
from app.canvas import seam_screens as canvas_seams
from app.canvas.searching import Seeker
from app.estimate import screens as estimate
from app.ground import gate, people_screens, photo_screens, shop_screens, tablet_screens
from app.ground import screens as ground
from app.ground.acting import now
from app.ground.book import open_book
from app.ground.errors import say_errors
from app.ground.migrating import backup_name, migrate
from app.ground.press import Press
from app.ground.printing import Prints
from app.ground.settings import LARGEST_FORM, Settings, folder
from app.ground.sheets import Static
from app.handover import screens as handover
from app.handover.after import screens as afterwards
from app.inspection import catalogue_screens as catalogue
from app.inspection import editing
from app.inspection import kit_screens as kits
from app.inspection import screens as inspection
from app.inspection import tablet_screens as tablets
from app.inspection.catalogue import Catalogue, read_catalogue
from app.intake import screens as intake
from app.parts import order_screens as part_orders
from app.parts import screens as parts
from app.parts import shelf_screens as shelf
from app.post import screens as post
from app.post.outgoing import Outgoing
from app.post.pictures import Viewer
from app.workbench import api as figures
from app.workbench import screens as workbench
from app.yard import screens as yard

ROOMS = (
    *(ground, tablet_screens, photo_screens, people_screens, shop_screens, intake, inspection),
    *(catalogue, kits, tablets),
    *(
        parts,
        part_orders,
        shelf,
        estimate,
        typing,
        needs,
        bench,
        album,
        floor,
        found,
        canvas,
        canvas_pieces,
        canvas_plans,
        canvas_papers,
        canvas_making,
        canvas_inspections,
        canvas_promises,
        canvas_prices,
        canvas_seams,
        canvas_patterns,
        accounts,
        books,
        afterwards,
        handover,
        post,
        workbench,
        figures,
        yard,
    ),
)


def build(settings: Settings) -> FastAPI:
    """The application over the book in `settings.data`, which is made or brought up to date first."""
    settings.data.mkdir(parents=True, exist_ok=True, mode=0o700)
    book = open_book(settings.book)
    migrate(book, settings.backups / backup_name(now()))
    editing.keep_catalogue(book, _shipped())
    press, prints, seeker = Press(), Prints(), Seeker(book)
    viewer, outgoing = Viewer(), Outgoing(book)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        press.warm()
        seeker.resume()
        yield
        prints.close()
        press.close()
        seeker.close()
        viewer.close()
        outgoing.close()
        book.dispose()

    app = FastAPI(
        title="Castlenut", openapi_url=None, docs_url=None, max_body_size=LARGEST_FORM, lifespan=life
    )
    app.state.book, app.state.settings, app.state.press = book, settings, press
    app.state.prints, app.state.seeker = prints, seeker
    app.state.viewer, app.state.outgoing = viewer, outgoing
    gate.guard(app, settings)
    for room in ROOMS:
        app.include_router(room.router)
    app.mount("/static", Static(directory=folder("static")))
    say_errors(app)
    return app


@cache
def _shipped() -> Catalogue:
    """The catalogue that came with this program; a book that has another gets it as its newest version."""
    return shown.checked(read_catalogue(folder("seed_data") / "catalogue"))

"""Pages: templates, and how a screen answers. One way to show, one way to go on."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache

from fastapi import Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from app.ground import sheets
from app.ground.acting import new_key, now
from app.ground.album_rows import album_rows
from app.ground.named import named
from app.ground.people import Who
from app.ground.settings import folder
from app.ground.words import begun, local, moment, money
from app.trade.days import day, short_day
from app.trade.figure import By, Grade
from app.trade.letters import apart
from app.trade.quantity import with_unit
from app.trade.stock import pieces


@cache
def templates() -> Environment:
    """The templates, strict about what they are given."""
    made = Environment(
        loader=FileSystemLoader(folder("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "day": day,
        "short_day": short_day,
        "moment": moment,
        "local": local,
        "money": money,
        "apart": apart,
        "begun": begun,
        "album_rows": album_rows,
        "pieces": pieces,
        "with_unit": with_unit,
    }
    made.globals |= {"Grade": Grade, "By": By, "new_key": new_key, "version": sheets.version()}
    return made


@cache
def paper_templates() -> Environment:
    """The templates as papers are filled: whatever is set in stands apart from the line round it."""
    return templates().overlay(finalize=_apart)


def _apart(value: object) -> object:
    return value if isinstance(value, Markup) or not isinstance(value, str) else apart(value)


def fill(name: str, facts: Mapping[str, object]) -> str:
    """One template filled with facts; a missing fact is an error."""
    return templates().get_template(name).render(facts)


@dataclass(frozen=True)
class Pages:
    """How a screen answers one request."""

    request: Request
    who: Who | None
    zone: str
    shop: str
    common: Mapping[str, object] = field(default_factory=dict)

    @property
    def part(self) -> bool:
        """Whether htmx asks, so that the part is enough."""
        return "hx-request" in self.request.headers

    @property
    def today(self) -> date:
        """The day that it is in the shop."""
        return local(now(), self.zone).date()

    def facts(self, facts: Mapping[str, object]) -> dict[str, object]:
        """What every template may use, with the page's own facts."""
        return {
            "who": self.who,
            "token": self.who.form_token if self.who else "",
            "zone": self.zone,
            "shop": self.shop,
            "here": self.request.url.path,
            **self.common,
            **facts,
        }

    def show(self, page: str, *, status: int = 200, **facts: object) -> Response:
        """The page `templates/<page>.html`; where htmx asks, its part `_<name>.html`.

        A page without a part is always shown whole.
        """
        room, _, name = page.rpartition("/")
        part = f"{room}/_{name}.html"
        chosen = part if self.part and _exists(part) else f"{page}.html"
        return HTMLResponse(named(fill(chosen, self.facts(facts))), status)

    def go(self, where: str) -> Response:
        """On to another page, after something was saved (303)."""
        return RedirectResponse(where, 303)


@cache
def _exists(name: str) -> bool:
    return name in templates().list_templates()

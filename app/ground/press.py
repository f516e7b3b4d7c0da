"""The press: HTML to PDF in a process of its own, which can read nothing but what the paper names.

The renderer gets the page as text, its pictures by name and its attachments; the only addresses it may open
are `asset:` names of this paper, the fonts that ship with the program, and the marks inside our own sheet.
"""

import gc
import logging
import os
import resource
import tempfile
from collections import OrderedDict
from collections.abc import Callable, Mapping
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache, partial
from pathlib import Path
from threading import Lock
from typing import Any

from app.ground import made_ready
from app.ground.archive import finish, name_enclosed_once
from app.ground.children import Child, end_with_parent
from app.ground.settings import folder
from app.trade.letters import BEYOND_LATIN, NO_LETTERS

SECONDS = 60
READY = 20  # papers made ready that are remembered
# Bytes of data (VmData of proc(5)). On Linux with WeasyPrint 70: 230 MB when warm, 310 MB for a table
# of 1,400 rows, some 800 MB for one of 10,500. A paper that takes more would take it from the whole shop.
MEMORY = 1 << 30
SAYS_SO = """body:not(.bin-labels, .card)::before { display: block; font: 9pt/12pt var(--text);
 margin-bottom: 2mm;
 content: "A box stands for a letter that we cannot print, such as one of Chinese, Japanese or Korean." }"""
SIZES = {
    "letter": "@page { size: Letter; margin-left: 20.95mm; margin-right: 20.95mm }",
    "a4": "@page { size: A4; margin-left: 18mm; margin-right: 18mm }",
}
log = logging.getLogger("castlenut")


class NotPrinted(Exception):
    """A paper could not be made; what it says is kept in the book all the same."""


@dataclass(frozen=True)
class Enclosed:
    """A file attached inside the PDF: the machine-readable record, the calendar."""

    name: str
    content: bytes
    about: str
    at: datetime


@dataclass(frozen=True)
class Sheet:
    """Everything the renderer may know of one paper.

    `html`: the whole page. `pictures`: files by the name that the page uses (`asset:NAME`).
    `size`: letter or a4.
    """

    html: str
    size: str = "letter"
    pictures: Mapping[str, Path] = field(default_factory=dict)
    enclosed: tuple[Enclosed, ...] = ()


class Press(Child):
    """One rendering process, warmed at start, killed when it is stuck and held to its memory in bytes."""

    def __init__(self, memory: int = MEMORY) -> None:
        super().__init__(partial(begin, memory), tasks=50)
        self.memory = memory
        self._ready: OrderedDict[str, bytes] = OrderedDict()
        self._ready_lock = Lock()

    def print(self, sheet: Sheet, seconds: float = SECONDS) -> bytes:
        """The PDF of a sheet; raises NotPrinted where it cannot be made in time and within the memory.

        A sheet that was made ready has only its late facts set in, where they fit their places.
        """
        if (ready := self._ready.get(_fingerprint(sheet))) is not None:
            try:
                return self._made(seconds, set_in, ready, sheet)
            except NotPrinted as wrong:
                log.info("a paper that was made ready is rendered whole: %s", wrong)
        return self._made(seconds, to_pdf, sheet)

    def make_ready(self, sheet: Sheet, seconds: float = SECONDS) -> None:
        """Render a sheet but for its late facts, for the print that comes; raises NotPrinted."""
        key = _fingerprint(sheet)
        html, late = made_ready.without(sheet.html)
        if not late or key in self._ready:
            return
        made = self._made(seconds, rendered_ready, replace(sheet, html=html, enclosed=()))
        with self._ready_lock:
            self._ready[key] = made
            while len(self._ready) > READY:
                self._ready.popitem(last=False)

    def _made(self, seconds: float, make: Callable[..., bytes], *of: object) -> bytes:
        try:
            return self._started().submit(make, *of).result(timeout=seconds)
        except BrokenProcessPool as broken:
            self.close()
            raise NotPrinted("The printing process ended before the paper was done") from broken
        except TimeoutError as late:
            self.close()
            raise NotPrinted(f"The paper was not done in {seconds:.0f} seconds") from late
        except MemoryError as full:
            self.close()  # what is left of the paper goes with the process
            raise NotPrinted(f"The paper needs more memory than {self.memory >> 20} MB") from full
        except (OSError, ValueError, RuntimeError) as wrong:
            raise NotPrinted(str(wrong)) from wrong

    def warm(self) -> None:
        """Start the process, so that the first paper is not slow."""
        self._started().submit(warm)


def begin(memory: int) -> None:
    """What a printing process does first: alone, and warm before the first paper is asked of it."""
    alone(memory)
    warm()


def alone(memory: int) -> None:
    """Take the system's fonts away from this process, so that every machine prints the same.

    It ends with the program that started it, and gets no more memory than so many bytes.
    """
    end_with_parent()
    resource.setrlimit(resource.RLIMIT_DATA, (memory, memory))
    empty = Path(tempfile.mkdtemp(prefix="castlenut-fonts-"))
    config = empty / "fonts.conf"
    config.write_text(f"<fontconfig><dir>{empty}</dir><cachedir>{empty}</cachedir></fontconfig>")
    os.environ["FONTCONFIG_FILE"] = str(config)


def warm() -> None:
    """Load the renderer, the style sheet and its fonts."""
    _read(("paper.css",))


def to_pdf(sheet: Sheet) -> bytes:
    """The PDF of a sheet, PDF/A-3a and PDF/UA-1 at once; the same bytes for the same sheet.

    Raises ValueError where the page asks for anything that is not its own, or a picture is missing.
    """
    from weasyprint.urls import FatalURLFetchingError

    heard = _Heard()
    log = logging.getLogger("weasyprint")
    log.addHandler(heard)
    try:
        made = _rendered(sheet)
    except FatalURLFetchingError as smuggled:
        raise ValueError(str(smuggled)) from None
    finally:
        log.removeHandler(heard)
    if heard.missing:
        raise ValueError(heard.missing[0])
    return made


def rendered_ready(sheet: Sheet) -> bytes:
    """The PDF of a sheet with places kept; raises ValueError as to_pdf does.

    What the renderer leaves behind is swept up here, for sweeping takes a third of a second, and would else
    fall to the one who waits after signing.
    """
    made = to_pdf(sheet)
    gc.collect()
    gc.freeze()  # what is kept for the next paper need not be looked through again
    return made


def set_in(ready: bytes, sheet: Sheet) -> bytes:
    """The PDF of a sheet that was made ready, its late facts set in.

    Raises ValueError where one does not fit its place, or has letters of which the whole paper must speak.
    """
    from weasyprint import HTML

    _, late = made_ready.without(sheet.html)
    page = made_ready.page_of(late)
    if NO_LETTERS.search(sheet.html):
        raise ValueError("letters that we cannot print")
    styles, fonts = _styles(sheet)  # those of the whole paper: this process has read them
    fetcher = _fetcher(Sheet(""))
    made = HTML(string=page, url_fetcher=fetcher, base_url="asset:/").render(
        stylesheets=styles, font_config=fonts, pdf_variant="pdf/a-3u"
    )
    if len(made.pages) != len(late):
        raise ValueError("a late fact does not fit its place")
    enclosed = [_attachment(each, fetcher) for each in sheet.enclosed]
    made.metadata.attachments = [*(made.metadata.attachments or []), *enclosed]
    rendered = made.write_pdf(pdf_variant="pdf/a-3u", finisher=lambda _, pdf: name_enclosed_once(pdf))
    return made_ready.set_in(ready, late, rendered)


def _fingerprint(sheet: Sheet) -> str:
    html, _ = made_ready.without(sheet.html)
    return made_ready.fingerprint(html, sheet.size, {name: str(it) for name, it in sheet.pictures.items()})


class _Heard(logging.Handler):
    """Keeps what the renderer only logs: a picture that it left out in silence."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.missing: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        """Note a message about a picture, drawing or font that could not be loaded or drawn."""
        if (message := record.getMessage()).startswith(("Failed to load", "Failed to render", "Font-face")):
            self.missing.append(message)


def _rendered(sheet: Sheet) -> bytes:
    from weasyprint import HTML

    styles, fonts = _styles(sheet)
    read: dict[str, Any] = {"url_fetcher": _fetcher(sheet), "base_url": "asset:/"}
    made: bytes = HTML(string=sheet.html, **read).write_pdf(
        stylesheets=styles,
        font_config=fonts,
        pdf_variant="pdf/a-3a",
        finisher=finish,
        dpi=150,
        jpeg_quality=75,
        attachments=[_attachment(each, read["url_fetcher"]) for each in sheet.enclosed],
    )
    return made


def _styles(sheet: Sheet) -> tuple[list[Any], Any]:
    """The style sheets of a paper, and the fonts that they load."""
    from weasyprint import CSS

    read, fonts = _read(sheets_of(sheet))
    return [*read, *(CSS(string=rules) for rules in own_rules(sheet))], fonts


@cache
def _read(names: tuple[str, ...]) -> tuple[list[Any], Any]:
    """Style sheets by name, read once in a process."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    fonts = FontConfiguration()
    ours = {"url_fetcher": _fetcher(Sheet("")), "base_url": "asset:/"}
    texts = ((folder("static") / "css" / name).read_text() for name in names)
    return [CSS(string=text, font_config=fonts, **ours) for text in texts], fonts


def sheets_of(sheet: Sheet) -> tuple[str, ...]:
    """The style sheets of a paper by name; fonts for names beyond Latin only where it has such letters."""
    return ("paper.css", "paper-names.css") if BEYOND_LATIN.search(sheet.html) else ("paper.css",)


def own_rules(sheet: Sheet) -> list[str]:
    """The rules of one paper alone: its size, and what it says of letters that it cannot print."""
    return [*([SAYS_SO] if NO_LETTERS.search(sheet.html) else ()), SIZES[sheet.size]]


def _attachment(each: Enclosed, fetcher: object) -> Any:  # noqa: ANN401 - a class of the renderer
    from weasyprint import Attachment

    return Attachment(
        string=each.content,
        name=each.name,
        description=each.about,
        relationship="Data",
        created=each.at,
        modified=each.at,
        url_fetcher=fetcher,
    )


def _fetcher(sheet: Sheet) -> Any:  # noqa: ANN401 - a class of the renderer, imported late
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    known = {f"asset:{name}": path for name, path in sheet.pictures.items()}
    known |= {f"asset:/fonts/{path.name}": path for path in (folder("static") / "fonts").glob("*.woff2")}

    class OfThisPaper(URLFetcher):  # type: ignore[misc]  # the library's class is untyped
        """Opens this paper's own assets and the marks of our sheet; anything else ends the rendering."""

        def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> Any:  # noqa: ANN401
            """The content behind an address of this paper."""
            if url.startswith("data:image/svg+xml"):
                return super().fetch(url, headers)
            if url.startswith(f"asset:{made_ready.PREFIX}"):
                return URLFetcherResponse(url, made_ready.DOT)
            if url not in known:
                raise FatalURLFetchingError(f"not an asset of this paper: {url[:120]}")
            return URLFetcherResponse(url, known[url].open("rb"))

    build: Callable[..., Any] = OfThisPaper
    return build(allowed_protocols=("data",), allow_redirects=False)

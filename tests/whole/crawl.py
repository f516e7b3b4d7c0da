"""The shop as a browser meets it: every page that links reach, every form that stands on them."""

import os
import re
from collections import Counter, deque
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from urllib.parse import urljoin, urlsplit

import lxml.html
from fastapi import FastAPI
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from httpx import Response

LONG = "CASTLENUT_LONG" in os.environ
MOST_ALIKE = 10_000 if LONG else 40  # pages whose addresses differ in their numbers only
MOST = 30_000  # a crawl that does not end is a fault of its own
TYPED = {"text", "textarea", "search", "tel", "email", "url", "date", "time", "password", "number"}
OPEN_ON = {"draw", "recount"}  # keys that only show the page again


@dataclass(frozen=True)
class Control:
    """One control of a form: its name, its kind, the values that it can send, what it sends untouched."""

    name: str
    kind: str
    values: tuple[str, ...] = ()
    sends: tuple[str, ...] = ()


@dataclass(frozen=True)
class Form:
    """A form as it stands on a page. `route`: the path of the route that takes it."""

    page: str
    method: str
    action: str
    controls: tuple[Control, ...]
    route: str = ""
    whole: bool = False  # multipart

    def untouched(self) -> dict[str, list[str]]:
        """What a browser sends where nobody touched the form."""
        sent: dict[str, list[str]] = {}
        for each in self.controls:
            if each.sends:
                sent.setdefault(each.name, []).extend(each.sends)
        return sent

    def names(self, *kinds: str) -> list[str]:
        """Names of the controls of some kinds, each once, in order."""
        return list(dict.fromkeys(each.name for each in self.controls if each.kind in kinds))

    @property
    def typed(self) -> list[str]:
        """Names of the fields that take text."""
        return self.names(*TYPED)


@dataclass(frozen=True)
class Page:
    """An answer to a GET: its address, status, type and text."""

    address: str
    status: int
    kind: str
    text: str
    found_on: str = ""

    @property
    def root(self) -> lxml.html.HtmlElement:
        """The page as a tree."""
        return tree(self.text)

    @property
    def is_page(self) -> bool:
        """Whether this is HTML."""
        return self.kind.startswith("text/html")


@lru_cache(maxsize=600)
def tree(text: str) -> lxml.html.HtmlElement:
    """A page as a tree; a part of a page becomes the body of one."""
    return lxml.html.document_fromstring(text.replace("\0", "\ufffd") or "<p></p>")


STARTS = ("/", "/?find=Finch")  # what was handed over stands on the board no more, but is found


def crawl(client: TestClient, starts: tuple[str, ...] = STARTS) -> dict[str, Page]:
    """Every page that links reach, by address; redirects are followed as pages of their own."""
    found: dict[str, Page] = {}
    alike: Counter[str] = Counter()
    waiting = deque((start, "") for start in starts)
    while waiting:
        address, found_on = waiting.popleft()
        shape = re.sub(r"\d+", "1", address)
        if address in found or alike[shape] >= MOST_ALIKE:
            continue
        assert len(found) < MOST, f"the crawl does not end; last {address} on {found_on}"
        answer = client.get(address)
        alike[shape] += 1
        found[address] = page = page_of_answer(address, answer, found_on)
        waiting.extend((link, address) for link in _ways_on(page, answer))
    return found


def page_of_answer(address: str, answer: Response, found_on: str = "") -> Page:
    """An answer as a page."""
    kind = answer.headers.get("content-type", "")
    return Page(address, answer.status_code, kind, answer.text if "text" in kind else "", found_on)


def _ways_on(page: Page, answer: Response) -> Iterator[str]:
    if answer.status_code in (301, 302, 303, 307, 308):
        yield answer.headers["location"]
    if page.is_page and answer.status_code == 200:
        yield from links(page)


def links(page: Page) -> Iterator[str]:
    """Addresses of our own that a page names: links, pictures, sheets, scripts, forms that only ask."""
    for element in page.root.iter():
        for name in ("href", "src", "hx-get"):
            if (link := element.get(name)) and not link.startswith(("#", "data:", "mailto:", "tel:")):
                yield _own(page.address, link)


def _own(base: str, link: str) -> str:
    parts = urlsplit(urljoin(f"http://testserver{base}", link))
    assert parts.netloc == "testserver", f"{base} links to another server: {link}"
    return f"{parts.path}?{parts.query}" if parts.query else parts.path


def forms(page: Page, app: FastAPI) -> Iterator[Form]:
    """The forms of a page; one with several named keys is several forms."""
    for element in page.root.forms:
        action = _own(page.address, element.get("action") or page.address)
        method = (element.get("method") or "get").upper()
        plain = Form(
            page=page.address,
            method=method,
            action=action,
            controls=tuple(_controls(element)),
            route=route_of(app, method, action),
            whole=element.get("enctype") == "multipart/form-data",
        )
        yield from _by_key(plain, element)


def _by_key(plain: Form, element: lxml.html.HtmlElement) -> Iterator[Form]:
    """The form once for each of its named keys that saves, or once where no key has a name."""
    keys = [each for each in element.iter("button") if each.get("name") and each.get("name") not in OPEN_ON]
    unnamed = [each for each in element.iter("button") if not each.get("name")]
    for key in keys:
        pressed = Control(key.get("name"), "hidden", (), (key.get("value", ""),))
        yield replace(plain, controls=(*plain.controls, pressed))
    if unnamed or not keys:
        yield plain


def _controls(element: lxml.html.HtmlElement) -> Iterator[Control]:
    for each in element.iter("input", "textarea", "select"):
        if each.get("name") and each.get("disabled") is None:
            yield _control(each)


def _control(each: lxml.html.HtmlElement) -> Control:
    name = each.get("name")
    if each.tag == "textarea":
        return Control(name, "textarea", (), (each.text or "",))
    if each.tag == "select":
        return _select(name, each)
    kind, value = each.get("type", "text"), each.get("value", "")
    if kind in ("radio", "checkbox"):
        value = each.get("value", "on")
        return Control(name, kind, (value,), (value,) if each.get("checked") is not None else ())
    return Control(name, kind, (), () if kind == "file" else (value,))


def _select(name: str, each: lxml.html.HtmlElement) -> Control:
    options = list(each.iter("option"))
    values = tuple(option.get("value", option.text or "") for option in options)
    chosen = [value for value, it in zip(values, options, strict=True) if it.get("selected") is not None]
    return Control(name, "select", values, tuple(chosen or values[:1]))


def routes(app: FastAPI) -> Iterator[APIRoute]:
    """Every route of our own."""
    for included in app.routes:
        router = getattr(included, "original_router", None)
        yield from (each for each in (router.routes if router else ()) if isinstance(each, APIRoute))


def route_of(app: FastAPI, method: str, address: str) -> str:
    """Path of the route that takes a request; empty where none does."""
    path = urlsplit(address).path
    for route in routes(app):
        if method in (route.methods or ()) and route.path_regex.fullmatch(path):
            return route.path
    return ""


def filled(form: Form, changes: Mapping[str, str]) -> dict[str, list[str]]:
    """What a form sends with some of its fields changed."""
    return {**form.untouched(), **{name: [text] for name, text in changes.items()}}


def control_texts(root: lxml.html.HtmlElement, name: str) -> list[str]:
    """What stands in the controls of a name on a page."""
    named = (each for each in root.iter("input", "textarea") if each.get("name") == name)
    return [(each.text or "") if each.tag == "textarea" else each.get("value", "") for each in named]


INLINE = re.compile(r"^on[a-z]+$")


def inline_faults(root: lxml.html.HtmlElement) -> Iterator[str]:
    """What runs or styles from inside the page, which our policy forbids and typed text must never become."""
    for each in root.iter():
        if not isinstance(each.tag, str):
            continue
        for name in each.attrib:
            if INLINE.match(name) or name == "style" or name.startswith("hx-on"):
                yield f"<{each.tag} {name}={each.attrib[name][:60]!r}>"
        if each.tag == "style" or (each.tag == "script" and not each.get("src")):
            yield f"inline <{each.tag}>: {(each.text or '')[:60]!r}"
        if (each.get("href") or "").strip().lower().startswith("javascript:"):
            yield f"<{each.tag} href={each.get('href')!r}>"

"""Hostile and clumsy text in every field of every form: refused in words or kept as typed, never run.

A sample that is the same on every run; with CASTLENUT_LONG=1 in the environment every text goes into every
field of every form.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import cycle, islice

import pytest
from httpx import Response
from sqlmodel import SQLModel

from app.ground.tables import APPEND_ONLY
from tests.whole.conftest import ORIGIN, Desk
from tests.whole.crawl import LONG, Form, Page, control_texts, filled, inline_faults, routes, tree

ANSWERS = {200, 303, 403, 404, 409, 413, 422}
# A product that no page shows by chance, so that a template that worked it out would be found out.
PRODUCT = str(7919 * 6841)
PAYLOADS = [
    "",
    "x" * 10_000,
    "1e308",
    "-0",
    "NaN",
    "Infinity",
    "1,5",
    "1.234,56",
    "٣٫٥",
    "9" * 400,
    "\N{TRACTOR}\N{ZERO WIDTH JOINER}\N{WOMAN}",
    "a\0b",
    "\N{RIGHT-TO-LEFT OVERRIDE}exe.fdp",
    "<script>alert(1)</script>",
    "{{7919*6841}}",
    "${7919*6841}",
    "'; DROP TABLE unit;--",
    '"><img src=x onerror=alert(1)>',
    "</textarea><svg onload=alert(1)>",
    "javascript:alert(1)",
    "../../../../etc/passwd",
    " \t\r\n ",
]
OURS = ("token", "submission")


def sample(posted: Sequence[Form], forms_a_route: int) -> list[Form]:
    """Some forms of every route, first those whose fields differ."""
    chosen: dict[str, dict[tuple[str, ...], Form]] = {}
    for form in posted:
        shape = tuple(sorted({each.name.rstrip("0123456789") for each in form.controls}))
        chosen.setdefault(form.route, {}).setdefault(shape, form)
    return [form for shapes in chosen.values() for form in islice(shapes.values(), forms_a_route)]


@pytest.fixture
def chosen(posted: Sequence[Form]) -> Sequence[Form]:
    """The forms to be tried."""
    return posted if LONG else sample(posted, 2)


def fields(form: Form) -> list[str]:
    """Names of everything that a form sends but our own two keys."""
    kinds = {each.kind for each in form.controls} - {"file"}
    return [name for name in form.names(*sorted(kinds)) if name not in OURS]


def look(desk: Desk, form: Form, answer: Response, sent: dict[str, list[str]], about: str) -> Iterator[str]:
    """What is wrong with an answer to a form."""
    if answer.status_code not in ANSWERS:
        yield f"{about}: {answer.status_code}"
    if answer.headers.get("content-type", "").startswith("text/html"):
        yield from (f"{about}: {fault}" for fault in executed(answer.text))
    if answer.status_code in (409, 422):
        yield from (f"{about}: {name} came back other" for name in lost(form, answer.text, sent))
    if answer.status_code == 303:
        yield from afterwards(desk, form, answer.headers["location"], about)


def executed(text: str) -> Iterator[str]:
    """What typed text has become on a page other than text."""
    if PRODUCT in text:
        yield "a template in a field was worked out"
    root = tree(text)
    yield from inline_faults(root)
    yield from ("a picture that was typed" for each in root.iter("img") if each.get("src") == "x")


def lost(form: Form, text: str, sent: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Names of the text fields whose text is not on the page any more."""
    root = tree(text)
    open_texts = [name for name in form.typed if name not in form.names("password") and name in sent]
    standing = {name: control_texts(root, name) for name in open_texts}
    for name in open_texts if any(standing.values()) else ():
        if plain(sent[name][-1]) not in map(plain, standing[name]):
            yield name


def plain(text: str) -> str:
    """A text as a parser of pages hands it back: no NUL, one kind of line end."""
    return text.replace("\0", "\ufffd").replace("\r\n", "\n").replace("\r", "\n").strip("\n")


def afterwards(desk: Desk, form: Form, where: str, about: str) -> Iterator[str]:
    """What is wrong with the pages that show what was kept."""
    for address in (where.partition("#")[0], form.page, "/"):
        page = desk.client.get(address)
        if page.status_code not in (200, 303, 404):
            yield f"{about}: then {address} answers {page.status_code}"
        if page.headers.get("content-type", "").startswith("text/html"):
            yield from (f"{about}: then {address}: {fault}" for fault in executed(page.text))


def test_a_text_in_one_field_is_refused_in_words_or_kept_and_never_run(
    desk: Desk, chosen: Sequence[Form]
) -> None:
    turn, found = cycle(PAYLOADS), []
    for form in chosen:
        for name in fields(form):
            for payload in PAYLOADS if LONG else islice(turn, 2):
                sent = filled(form, {name: payload})
                answer = desk.send(form, sent)
                about = f"{form.route} {name}={payload[:30]!r}"
                found += look(desk, form, answer, sent, about)
                if answer.status_code == 303:
                    desk.anew()
    assert found == []


def test_a_text_in_all_fields_at_once_comes_back_whole(desk: Desk, posted: Sequence[Form]) -> None:
    turn, found = cycle(PAYLOADS), []
    for form in sample(posted, 1):
        for payload in PAYLOADS if LONG else islice(turn, 5):
            sent = filled(form, dict.fromkeys(form.typed, payload))
            answer = desk.send(form, sent)
            found += look(desk, form, answer, sent, f"{form.route} all={payload[:30]!r}")
            if answer.status_code == 303:
                desk.anew()
    assert found == []


def test_a_form_without_its_fields_is_no_error_of_the_program(desk: Desk, posted: Sequence[Form]) -> None:
    found = []
    for form in sample(posted, 1):
        ours = {name: form.untouched().get(name, [""]) for name in OURS}
        answer = desk.send(form, ours)
        found += look(desk, form, answer, ours, form.route)
        if answer.status_code == 303:
            desk.anew()
    assert found == []


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("application/x-www-form-urlencoded", b"%FF%FE=%ED%A0%80&a=%00&%=%zz&&=&token"),
        ("application/x-www-form-urlencoded", b"a=1&" * 700),  # more fields than a form may have
        ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\nb'),
        ("multipart/form-data", b"without a boundary"),
        ("application/json", b'{"token": 1}'),
        ("text/plain", b"\xff\xfe"),
    ],
)
def test_a_body_that_is_no_form_is_refused(
    desk: Desk, posted: Sequence[Form], kind: str, body: bytes
) -> None:
    before = desk.stands()
    for form in sample(posted, 1):
        answer = desk.client.post(form.action, content=body, headers={**ORIGIN, "Content-Type": kind})
        assert answer.status_code in (400, 403, 404, 413, 422), (form.route, answer.status_code)
    assert desk.stands() == before


ODD_KEYS = ["0", "-1", "1.5", "x", "%00", "%2e%2e%2f", str(2**63 - 1), str(2**63), str(2**70), "9" * 300, "٣"]


def test_a_page_of_an_odd_key_is_not_there(desk: Desk) -> None:
    found = []
    for route in routes(desk.app):
        for key in ODD_KEYS if "{" in route.path else ():
            address = odd_address(route.path, key)
            read = "GET" in (route.methods or ())
            if read:
                status = desk.client.get(address).status_code
            else:
                sent = {"token": desk.token("lead"), "submission": key}
                status = desk.client.post(address, data=sent, headers=ORIGIN).status_code
            closed = route.path.startswith("/api/") and status == 403  # a program without its token
            page_alone = status == 405 and not read  # an odd key may make the address of a paper's own page
            # 307: on to the address without its last stroke
            if status not in (404, 307) and not closed and not page_alone:
                found.append((route.path, key, status))
    assert found == []


def odd_address(path: str, key: str) -> str:
    """A route's path with a key in the place of each of its names."""
    parts = [key + part.partition("}")[2] if "{" in part else part for part in path.split("/")]
    return "/".join(parts)


def test_whatever_is_asked_for_in_an_address_is_answered(desk: Desk) -> None:
    found, turn = [], cycle(PAYLOADS)
    for route in routes(desk.app):
        for asked in route.dependant.query_params if "GET" in (route.methods or ()) else ():
            for payload in PAYLOADS if LONG else islice(turn, 8):
                answer = desk.client.get(odd_address(route.path, "1"), params={asked.alias: payload[:2000]})
                if answer.status_code not in ANSWERS:
                    found.append((route.path, asked.alias, payload[:30], answer.status_code))
                if answer.headers.get("content-type", "").startswith("text/html"):
                    found += [(route.path, asked.alias, payload[:30], it) for it in executed(answer.text)]
    assert found == []


def test_what_was_written_stands_escaped_on_every_page(desk: Desk, pages: Mapping[str, Page]) -> None:
    """One hostile text goes into every row of the book that holds text, then all pages are read."""
    hostile = '"><img src=x onerror=alert(1)><script>alert(1)</script>{{7919*6841}} '
    with desk.app.state.book.begin() as connection:
        for table, column in written_texts():
            connection.exec_driver_sql(f'UPDATE "{table}" SET {column} = ? || rowid', (hostile,))
    found, seen = [], 0
    for address, page in pages.items():
        if page.is_page and page.status == 200:
            text = desk.client.get(address).text
            seen += "&lt;img src=x" in text
            found += [f"{address}: {fault}" for fault in executed(text)]
    assert found == []
    assert seen > len(pages) / 4


def written_texts() -> Iterator[tuple[str, str]]:
    """Columns that hold what people wrote, of tables whose rows may change."""
    for table in SQLModel.metadata.sorted_tables:
        if table.name not in APPEND_ONLY:
            yield from ((table.name, each.name) for each in table.columns if each.name in WRITTEN)


WRITTEN = {
    *("name", "address", "maker", "model", "words", "note"),
    *("stands", "condition", "came_with", "title", "what"),
}

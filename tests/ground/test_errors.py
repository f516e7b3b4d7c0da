"""Errors in words, with a way back; caching and other headers on every kind of answer."""

from collections.abc import Callable, Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from app.ground import gate, sheets
from tests.conftest import Browser

ORIGIN = {"Origin": "http://testserver"}


@pytest.mark.parametrize(
    ("path", "status", "says"),
    [
        ("/nowhere", 404, "There is no such page."),
        ("/people/99", 404, "Nobody of that number works here."),
        ("/orders/x", 404, "There is no such page."),
        ("/papers/99", 404, "There is no such paper."),
        ("/papers/99.pdf", 404, "There is no such paper."),
        ("/static/nothing.css", 404, "There is no such page."),
        ("/people/sign-out", 404, "There is no such page."),
    ],
)
def test_what_is_not_there_is_said_with_a_way_back(
    path: str, status: int, says: str, signed: Callable[[str], Browser]
) -> None:
    answer = signed("Lee").get(path)
    assert answer.status_code == status
    assert f'<h1 class="stopped-name">{says}</h1>' in answer.text
    assert '<a class="key" href="/">To the yard</a>' in answer.text
    assert "Lee</a>" in answer.text  # the page is the signed-in person's, as all others are
    assert "Nothing was changed" not in answer.text
    assert answer.headers["cache-control"] == "no-store"
    assert answer.headers["vary"] == "HX-Request"


def test_the_page_before_is_offered_where_it_is_ours(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    ours = {"Referer": "http://testserver/shop?x=1"}
    assert 'href="/shop?x=1">Back to the page before</a>' in lee.client.get("/nowhere", headers=ours).text
    for other in ("http://testserver/nowhere", "http://testserver//evil.test", ""):
        assert "page before" not in lee.client.get("/nowhere", headers={"Referer": other}).text


def test_a_page_cannot_be_asked_for_another_way(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    answer = lee.client.put("/shop", headers=ORIGIN)
    assert answer.status_code == 405
    assert "This page cannot be asked for that way." in answer.text
    assert "Nothing was changed." in answer.text
    assert "GET" in answer.headers["allow"]  # RFC 9110, 15.5.6: 405 names what is allowed


def test_who_may_not_is_told_who_may(signed: Callable[[str], Browser]) -> None:
    answer = signed("Toni").post("/shop", {})
    assert answer.status_code == 403
    assert "This is for a lead; you are signed in as a technician." in answer.text
    assert "Nothing was changed." in answer.text


def test_what_is_too_large_is_refused_before_it_is_read(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    answer = lee.client.post("/people", content=b"x" * 1_100_000, headers=ORIGIN)
    assert answer.status_code == 413
    assert answer.headers["content-type"].startswith("text/plain")  # said by the framework, before the gate

    def pieces() -> Iterator[bytes]:
        yield from (b"a=" + b"x" * 300_000 for _ in range(5))

    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    unannounced = lee.client.post("/people", content=pieces(), headers=ORIGIN | kind)
    assert unannounced.status_code == 413
    assert "This is too large: a form may have 1 MB, a photo 25 MB." in unannounced.text


def test_htmx_gets_a_sentence_and_no_page(signed: Callable[[str], Browser]) -> None:
    answer = signed("Lee").get("/nowhere", part=True)
    assert (answer.status_code, answer.text) == (404, "There is no such page.")


def test_a_fault_of_the_program_is_said_with_a_number_for_the_lead(
    app: FastAPI, book: Engine, caplog: pytest.LogCaptureFixture
) -> None:
    client = TestClient(app, raise_server_exceptions=False)
    with book.begin() as connection:
        connection.exec_driver_sql("ALTER TABLE shop RENAME TO mislaid")
    answer = client.get("/people/sign-in")
    assert answer.status_code == 500
    number = answer.text.partition("tell your lead the number ")[2][:8]
    assert f"error {number} at /people/sign-in" in caplog.text
    assert "mislaid" not in answer.text and "Traceback" not in answer.text
    for name, value in gate.HEADERS.items():
        assert answer.headers[name] == value
    short = client.get("/people/sign-in", headers={"HX-Request": "true"})
    assert short.text.startswith("The program met an error")
    assert "content-security-policy" in short.headers


@pytest.mark.parametrize(
    ("address", "inside"),
    [
        ("http://testserver/orders/3", "/orders/3"),
        ("http://testserver/?find=412", "/?find=412"),
        ("/shop", "/shop"),
        ("https://evil.test/shop", "/shop"),  # only the path is kept, so it stays here
        ("//evil.test", "/"),
        ("https://x//evil.test", "/"),
        ("/\\evil.test", "/"),
        ("/a\nb", "/ab"),  # WHATWG URL: tabs and line ends are left out
        ("javascript:alert(1)", "/"),
        ("", "/"),
    ],
)
def test_a_way_back_never_leads_off_this_shop(address: str, inside: str) -> None:
    assert gate.inside(address) == inside


# --- how long a browser keeps what --------------------------------------------------------------


@pytest.mark.parametrize("path", ["sheet.css", "js/start.js", "icon.svg"])
def test_a_static_file_is_kept_a_year_under_its_version_and_asked_about_without(
    path: str, signed: Callable[[str], Browser]
) -> None:
    lee = signed("Lee")
    assert lee.get(f"/static/{path}?{sheets.version()}").headers["cache-control"] == sheets.KEEP
    for other in ("", "?0", "?v=1"):
        assert lee.get(f"/static/{path}{other}").headers["cache-control"] == "no-cache"


def test_fonts_and_vendored_files_never_change_under_their_names(signed: Callable[[str], Browser]) -> None:
    lee = signed("Lee")
    for path in ("fonts/barlow-semi-condensed-latin-700-normal.woff2", "vendor/htmx-4.0.1.min.js"):
        answer = lee.get(f"/static/{path}")
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"  # RFC 8246
        assert "vary" not in answer.headers


def test_pages_ask_for_sheet_and_script_under_the_version(signed: Callable[[str], Browser]) -> None:
    page = signed("Lee").get("/people")
    assert f"/static/sheet.css?{sheets.version()}" in page.text
    assert f"/static/js/start.js?{sheets.version()}" in page.text
    assert len(sheets.version()) == 8


def test_a_redirect_is_never_kept(signed: Callable[[str], Browser]) -> None:
    answer = signed("Lee").post("/people/sign-out", {})
    assert answer.headers["cache-control"] == "no-store"

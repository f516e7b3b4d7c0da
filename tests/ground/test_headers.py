"""The gate before every route of the table: headers, hosts, origins, tokens, methods."""

from collections.abc import Callable, Iterator

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground import gate
from tests.conftest import Browser
from tests.ground.test_roles import OPEN, written

EVERY = sorted({*written(), *OPEN})
WORKER = "/tablet-worker.js"  # holds nothing of the shop; a browser asks each time whether it changed
ORIGIN = {"Origin": "http://testserver"}


def address(path: str, key: str = "1") -> str:
    """An address of a route, its keys filled in."""
    parts = (
        f"{part.partition('{')[0]}{key}{part.rpartition('}')[2]}" if "{" in part else part
        for part in path.split("/")
    )
    return "/".join(parts)


@pytest.fixture
def lee(signed: Callable[[str], Browser]) -> TestClient:
    return signed("Lee").client


def answers(client: TestClient, **headers: str) -> Iterator[tuple[str, str, int, dict[str, str]]]:
    """Method, path, status and headers of each route's answer."""
    for method, path in EVERY:
        answer = client.request(method, address(path), headers={**ORIGIN, **headers})
        yield method, path, answer.status_code, dict(answer.headers)


@pytest.mark.parametrize("asks", [{}, {"HX-Request": "true"}], ids=["page", "part"])
def test_every_route_answers_under_the_headers_of_safety(lee: TestClient, asks: dict[str, str]) -> None:
    for method, path, status, headers in answers(lee, **asks):
        where = (method, path, status)
        for name, value in gate.HEADERS.items():
            if name != "Cache-Control":
                assert headers[name.lower()] == value, where
        kept = headers["cache-control"]
        assert kept == "no-store" or "static" in path or "private" in kept or path == WORKER, where
        if headers.get("content-type", "").startswith("text/html"):
            assert "HX-Request" in headers["vary"], where
        assert "server" not in headers and "x-powered-by" not in headers, where


def test_strangers_get_the_headers_too(app: FastAPI, book: Engine) -> None:
    with TestClient(app, follow_redirects=False) as client:
        for method, path, status, headers in answers(client):
            assert headers["content-security-policy"] == gate.POLICY, (method, path, status)


def test_no_route_breaks_for_a_key_that_is_not_in_the_book(lee: TestClient) -> None:
    for key in ("0", "99", str(2**63 - 1), str(2**63), "-1", "x", "%00", "1;2", "..%2f1"):
        for method, path in EVERY:
            if "{" in path and method == "GET":
                answer = lee.get(address(path, key))
                assert answer.status_code in (200, 303, 404), (path, key, answer.status_code)


@pytest.mark.parametrize("host", ["evil.test", "testserver.evil.test", "", "127.0.0.1.evil.test", "[::2]"])
def test_no_route_answers_under_another_name(lee: TestClient, host: str) -> None:
    for method, path in EVERY:
        answer = lee.request(method, address(path), headers={**ORIGIN, "Host": host})
        assert answer.status_code == 400, (method, path)
        assert answer.text == "This address is not one of this shop's."


def test_no_form_is_taken_from_another_page_or_without_its_token(lee: TestClient) -> None:
    for method, path in EVERY:
        if method != "POST" or (method, path) in OPEN:
            continue
        for headers in ({"Origin": "http://evil.test"}, {"Origin": "null"}, {}):
            answer = lee.post(address(path), headers=headers)
            assert answer.status_code == 403, path
            assert answer.text == "This form did not come from one of our own pages."
        wrong = lee.post(address(path), data={"token": "x" * 32}, headers=ORIGIN)
        assert wrong.status_code in (403, 404, 422), (path, wrong.status_code)
        if wrong.status_code == 403 and not path.startswith("/api"):  # which says so in its own words
            assert "This form belongs to an earlier sign-in" in wrong.text, path


def test_asking_for_a_page_changes_nothing_even_where_its_address_takes_a_form(lee: TestClient) -> None:
    gets = {path for method, path in EVERY if method == "GET"}
    for method, path in EVERY:
        if method == "POST" and path not in gets:
            assert lee.get(address(path)).status_code in (404, 405), path


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
def test_other_methods_do_nothing(lee: TestClient, method: str) -> None:
    for _, path in EVERY:
        answer = lee.request(method, address(path), headers=ORIGIN)
        assert answer.status_code in (404, 405), (method, path)
        assert "access-control-allow-origin" not in answer.headers


# --- hosts and addresses ------------------------------------------------------------------------

HOSTS = ("127.0.0.1", "localhost", "[::1]", "shop.test")


@pytest.mark.parametrize(
    ("host", "known"),
    [
        ("127.0.0.1", True),
        ("127.0.0.1:8377", True),
        ("LOCALHOST:80", True),  # RFC 9110, 4.2.3: a host is the same in capitals
        ("[::1]", True),
        ("[::1]:8377", True),
        ("shop.test", True),
        ("shop.test.", False),
        ("evil.test", False),
        ("evil.test:127.0.0.1", False),
        ("127.0.0.1@evil.test", False),
        ("127.0.0.2", False),
        ("", False),
        (":8377", False),
    ],
)
def test_only_the_shops_own_names_are_known(host: str, known: bool) -> None:
    assert gate.known_host(host, HOSTS) is known


@given(st.text(max_size=30).filter(lambda text: text.rsplit(":", 1)[0].lower() not in HOSTS))
def test_no_other_text_is_a_name_of_the_shop(host: str) -> None:
    assert not gate.known_host(host, HOSTS)


@pytest.mark.parametrize(
    ("address", "inside"),
    [
        ("/orders/1?x=2", "/orders/1?x=2"),
        ("/", "/"),
        ("//evil.test", "/"),
        ("//evil.test/x", "/x"),
        ("////evil.test/x", "/"),
        ("https://evil.test", "/"),
        ("https://evil.test/orders/1", "/orders/1"),  # the host falls away, the path is ours
        ("/\\evil.test", "/"),
        ("javascript:alert(1)", "/"),
        ("", "/"),
        ("orders/1", "/"),
        ("/orders/1#part", "/orders/1"),
        ("/a\r\nSet-Cookie: x", "/aSet-Cookie: x"),  # urlsplit drops line ends, so no header is split
        ("/a\x01b", "/"),
        ("http://[", "/"),  # no address at all
        ("//[x]y/orders/1", "/"),
    ],
)
def test_the_way_back_stays_inside_the_shop(address: str, inside: str) -> None:
    assert gate.inside(address) == inside


@given(st.text(max_size=60))
def test_no_address_leads_out_of_the_shop(text: str) -> None:
    found = gate.inside(text)
    assert found.startswith("/") and not found.startswith("//")
    assert "\\" not in found.partition("?")[0] and found.isprintable()


@pytest.mark.parametrize("said", ["http://[", "http://a]b", "\x01", "testserver", "//testserver:x"])
def test_an_origin_or_a_page_before_that_is_no_address_does_no_harm(lee: TestClient, said: str) -> None:
    assert lee.post("/people", headers={"Origin": said}).status_code in (400, 403, 422)
    assert lee.get("/nowhere", headers={"Referer": said}).status_code == 404
    assert lee.get("/people/sign-in", params={"then": said}).status_code == 200


def test_the_name_of_the_cookie_is_bound_to_the_host_where_the_shop_is_served_over_https() -> None:
    # RFC 6265bis, 4.1.3.2: a __Host- cookie is secure, of path / and without a domain
    assert gate.cookie_name(secure=True).startswith("__Host-")
    assert not gate.cookie_name(secure=False).startswith("__")

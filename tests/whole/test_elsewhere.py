"""Every form as somebody else's page would send it: refused, whatever the route, and without effect."""

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from app.ground.gate import cookie_name
from tests.whole.conftest import ORIGIN, Desk, Kept
from tests.whole.crawl import Form, routes
from tests.whole.test_fuzz import odd_address, sample

# What a hostile page, a re-pointed name or a proxy can make a browser send. Sources: OWASP's sheet on
# cross-site request forgery; the Fetch Metadata header fields; RFC 6454 7.3 (`null`) and 4 (port).
ELSEWHERE = [
    ({"Origin": "http://evil.test"}, 403),
    ({"Origin": "null"}, 403),
    ({"Origin": ""}, 403),
    ({"Origin": "http://testserver:81"}, 403),
    ({"Origin": "http://testserver.evil.test"}, 403),
    ({"Origin": "http://testserver@evil.test"}, 403),
    ({"Sec-Fetch-Site": "cross-site"}, 403),
    ({"Sec-Fetch-Site": "same-site"}, 403),
    ({"Host": "evil.test"}, 400),
    ({"Host": "evil.test", "Origin": "http://evil.test"}, 400),
    ({"Host": ""}, 400),
    ({"Host": "evil.test", "X-Forwarded-Host": "testserver"}, 400),
    ({"Origin": "http://evil.test", "X-Forwarded-Host": "evil.test"}, 403),
]


@pytest.mark.parametrize(("headers", "status"), ELSEWHERE)
def test_no_form_from_elsewhere_is_taken(
    desk: Desk, kept: Mapping[str, Kept], headers: dict[str, str], status: int
) -> None:
    before = desk.stands()
    for route, it in kept.items():
        answer = desk.send(it.form, it.sent, **headers)
        assert answer.status_code == status, route
    assert desk.stands() == before


def test_no_form_without_this_sessions_token_is_taken(desk: Desk, kept: Mapping[str, Kept]) -> None:
    before = desk.stands()
    for route, it in kept.items():
        for token in ("", "x", desk.token("technician"), desk.token("writer")):
            answer = desk.send(it.form, {**it.sent, "token": [token]})
            assert answer.status_code == 403, route
        untold = {name: value for name, value in it.sent.items() if name != "token"}
        assert desk.send(it.form, untold).status_code == 403, route
    assert desk.stands() == before


def test_a_token_in_the_address_is_no_token(desk: Desk, kept: Mapping[str, Kept]) -> None:
    before, token = desk.stands(), desk.token("lead")
    for route, it in kept.items():
        sent = {name: value for name, value in it.sent.items() if name != "token"}
        answer = desk.client.post(f"{it.form.action}?token={token}", data=texts(sent), headers=ORIGIN)
        assert answer.status_code == 403, route
    assert desk.stands() == before


def texts(sent: Mapping[str, Any]) -> dict[str, Any]:
    """What is sent but the files."""
    return {name: value for name, value in sent.items() if not isinstance(value, tuple)}


def test_nobody_but_who_is_signed_in_changes_anything(desk: Desk, kept: Mapping[str, Kept]) -> None:
    before = desk.stands()
    name = cookie_name(secure=False)
    for cookie in ("", "x" * 43):
        desk.client.cookies.clear()
        desk.client.cookies.set(name, cookie)
        for route, it in kept.items():
            answer = desk.send(it.form, it.sent)
            assert answer.status_code == 401, route  # with the page that signs in, and no more
    assert desk.stands() == before


def test_a_route_that_changes_something_is_closed_to_elsewhere_even_without_a_form(desk: Desk) -> None:
    """Also those that no page of the demo shows, the two that need no sign-in among them."""
    before = desk.stands()
    for route in routes(desk.app):
        if "POST" in (route.methods or ()):
            address = odd_address(route.path, "1")
            for headers, status in ELSEWHERE:
                answer = desk.client.post(address, data={"name": "x"}, headers={**ORIGIN, **headers})
                assert answer.status_code == status, route.path
    assert desk.stands() == before


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE", "OPTIONS", "TRACE"])
def test_no_other_method_is_answered(desk: Desk, posted: Sequence[Form], method: str) -> None:
    before = desk.stands()
    for form in sample(posted, 1):
        assert desk.client.request(method, form.action, headers=ORIGIN).status_code == 405, form.route
    assert desk.stands() == before


def test_an_address_under_another_name_shows_nothing(desk: Desk) -> None:
    """A name of a stranger, pointed at this machine, is no name of the shop (DNS rebinding)."""
    for host in ("evil.test", "testserver.evil.test", "169.254.169.254", ""):
        answer = desk.client.get("/", headers={"Host": host})
        assert answer.status_code == 400, host
        assert "Trailer" not in answer.text

"""Who may do what: the table of all routes. One that is not in it, or names no role, stops the build."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.routing import APIRoute

from app.ground.gate import Only
from app.ground.people import Role
from tests.conftest import Browser

OPEN = {
    ("GET", "/static/sheet.css"),
    ("GET", "/authority.crt"),  # trusted by a tablet before anybody signs in on it
    ("GET", "/tablet-worker.js"),  # a browser asks for it by itself, without the session
    ("GET", "/people/first"),
    ("POST", "/people/first"),
    ("GET", "/people/sign-in"),
    ("POST", "/people/sign-in"),
}
WHO = {"L": Role.LEAD, "W": Role.WRITER, "T": Role.TECHNICIAN}
TABLE = Path(__file__).with_name("roles.txt")


def routes(app: FastAPI) -> Iterator[tuple[str, str, frozenset[Role] | None]]:
    """Method, path and roles of every route of our own."""
    for included in app.routes:
        router = getattr(included, "original_router", None)
        for route in router.routes if router else ():
            assert isinstance(route, APIRoute), route
            for method in sorted(route.methods):
                yield method, route.path, roles_of(route)


def roles_of(route: APIRoute) -> frozenset[Role] | None:
    """The roles that a route lets through, None where it asks for none."""
    named = [each.dependency.roles for each in route.dependencies if isinstance(each.dependency, Only)]
    return frozenset.intersection(*named) if named else None


def written() -> dict[tuple[str, str], frozenset[Role]]:
    """The table as it is written down: method, path, letters of the roles."""
    rows = [line.split() for line in TABLE.read_text().splitlines() if line and not line.startswith("#")]
    return {(method, path): frozenset(WHO[letter] for letter in letters) for method, path, letters in rows}


def test_every_route_names_its_roles_as_the_table_says(app: FastAPI) -> None:
    found = {(method, path): roles for method, path, roles in routes(app)}
    assert {key for key, roles in found.items() if roles is None} == OPEN
    assert {key: roles for key, roles in found.items() if roles is not None} == written()


def test_only_get_and_post_are_listed(app: FastAPI) -> None:
    assert {method for method, _, _ in routes(app)} <= {"GET", "POST"}


@pytest.mark.parametrize("name", ["Lee", "Wren", "Toni"])
def test_a_role_that_may_not_is_refused_whatever_it_asks(
    name: str, signed: Callable[[str], Browser], app: FastAPI
) -> None:
    browser = signed(name)
    role = {"Lee": Role.LEAD, "Wren": Role.WRITER, "Toni": Role.TECHNICIAN}[name]
    for (method, path), roles in written().items():
        if role in roles:
            continue
        address = path
        while "{" in address:
            head, _, tail = address.partition("{")
            address = f"{head}1{tail.partition('}')[2]}"
        answer = browser.get(address) if method == "GET" else browser.post(address, {})
        assert answer.status_code == 403, (method, address)


def test_a_stranger_reaches_nothing_but_the_door(app: FastAPI) -> None:
    from fastapi.testclient import TestClient

    client = TestClient(app, follow_redirects=False)
    for method, path in written():
        address = "/".join("1" if part.startswith("{") else part for part in path.split("/"))
        answer = client.request(method, address, headers={"Origin": "http://testserver"})
        if address.startswith("/api/"):
            assert answer.status_code == 401, (method, address)
            continue
        assert answer.status_code in (303, 404), (method, address, answer.status_code)
        if answer.status_code == 303:
            assert answer.headers["location"].startswith("/people/sign-in")

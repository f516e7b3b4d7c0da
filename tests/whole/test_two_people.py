"""Two people before one page: the second is shown who came first, and what, beside what was typed.

Every form of the demo shop that the shop keeps is sent by one person, and then, as it was shown to both, by
the lead with other words in it. Bar: no write lost without a person having seen it.
"""

import html
import re
from collections.abc import Mapping
from dataclasses import dataclass

import pytest
from httpx import Response

from app.ground.acting import new_key
from app.ground.gate import cookie_name
from tests.whole.conftest import PEOPLE, Desk, Kept, Made, open_desk

FREE = {"name", "note", "says", "reason", "title", "what", "taken_by", "maker", "address", "condition"}
WHO = re.compile(r"Not saved: (.+?) saved first")
MINE = "Yours, not saved"
# What the second person sends otherwise where no field takes free words.
OTHER: dict[str, dict[str, list[str]]] = {
    "/photos/{photo_id}/marks": {"layer": ["[]"]},
    "/people/{person_id}/role": {"role": ["writer"]},
    "/inspection/catalogue/checks/{key}/kits": {"kit": []},
    "/inspection/catalogue/checks/{key}/limits": {"limit-gap-0": ["0.05"]},
    "/inspection/catalogue/kits/{key}": {"hours": ["9.9"]},
    "/inspection/catalogue/kits/{key}/checks": {"check": []},
}
# Keys without a field of their own: who came first is said, and the page shows how it stands now.
KEYS = {
    "/bench/jobs/{job_id}/begin",
    "/bench/jobs/{job_id}/resume",
    "/estimate/{order_id}/price",
    "/estimate/{order_id}/works/{work_id}/remove",
    "/estimate/{order_id}/lines/{line_id}/remove",
    "/inspection/catalogue/phrases",  # taken away, as the demo shop has it
    "/inspection/walks/{walk_id}/end",
    "/parts/orders/{order_id}/lines/{line_id}/remove",
    "/parts/orders/{order_id}/close",
    "/people/{person_id}/leave",
    "/people/{person_id}/passphrase",  # never shown again
}
# Here both send the same, or the form adds what stands by itself: what was typed stays in its fields.
ALIKE = {
    "/bench/jobs/{job_id}/found",
    "/canvas/parts/{part_id}",
    "/canvas/{canvas_id}/pattern",
    "/canvas/pieces/{piece_id}",
    "/canvas/pieces/{piece_id}/edges",
}
# Forms on which somebody else can come first, so that the two must be shown.
FORMS = {
    "/accounts/bills/{bill_id}/credit",
    "/accounts/day",
    "/accounts/orders/{order_id}/invoices",
    "/accounts/orders/{order_id}/payments",
    "/bench/instruments/{instrument_id}",
    "/bench/jobs/{job_id}/accept",
    "/bench/jobs/{job_id}/pause",
    "/bench/stints/{stint_id}",
    "/canvas/{canvas_id}/making",
    "/canvas/{canvas_id}/making/back",
    "/canvas",
    "/canvas/{canvas_id}/promise",
    "/canvas/{canvas_id}/promise/hours",
    "/estimate/{order_id}/freeze",
    "/estimate/{order_id}/lines/{line_id}",
    "/estimate/{order_id}/works",
    "/estimate/{order_id}/works/{work_id}",
    "/estimate/{order_id}/works/{work_id}/lines",
    "/handover/follow-ups/{follow_id}",
    "/handover/{order_id}",
    "/handover/{order_id}/retorque",
    "/inspection/catalogue/add",
    "/inspection/catalogue/add-kit",
    "/inspection/catalogue/checks/{key}/kits",
    "/inspection/catalogue/checks/{key}/limits",
    "/inspection/catalogue/kits/{key}",
    "/inspection/catalogue/kits/{key}/checks",
    "/inspection/findings/{finding_id}",
    "/intake/orders/{order_id}",
    "/intake/owners/{owner_id}",
    "/intake/units/{unit_id}",
    "/parts/catalogue/{part_id}/edit",
    "/parts/orders/{order_id}/delivery",
    "/parts/orders/{order_id}/lines",
    "/parts/orders/{order_id}/send",
    "/parts/suppliers/{supplier_id}",
    "/people/{person_id}/role",
    "/photos/{photo_id}/marks",
    "/shop",
}


@dataclass(frozen=True)
class Late:
    """What the second of two people sent, the answer, and who was first."""

    changed: Mapping[str, list[str]]
    answer: Response
    first: str

    @property
    def text(self) -> str:
        """The answer as it reads."""
        return html.unescape(self.answer.text)


@pytest.fixture(scope="module")
def late(made: Made, kept: Mapping[str, Kept], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Late]:
    """By route, each form that came too late because somebody else had sent it first."""
    with open_desk(made, tmp_path_factory.mktemp("two") / "shop") as desk:
        tried = {route: _after_another(desk, it) for route, it in kept.items()}
    return {route: it for route, it in tried.items() if it.answer.status_code == 409}


def _after_another(desk: Desk, it: Kept) -> Late:
    desk.anew()
    first = next(name for role, name in reversed(PEOPLE.items()) if _kept_by(desk, it, role))
    _signed_in(desk, "lead")
    free = {name: [f"{text[0]} too".strip()] for name, text in it.sent.items() if name in FREE}
    changed = OTHER.get(it.form.route, free)
    return Late(changed, desk.send(it.form, {**it.sent, **changed, "submission": [new_key()]}), first)


def _kept_by(desk: Desk, it: Kept, role: str) -> bool:
    _signed_in(desk, role)
    return desk.send(it.form, {**it.sent, "token": [desk.token(role)]}).status_code == 303


def _signed_in(desk: Desk, role: str) -> None:
    desk.client.cookies.set(cookie_name(secure=False), desk.made.cookies[role])


def test_these_are_the_forms_on_which_somebody_can_come_first(late: dict[str, Late]) -> None:
    """A new form that takes a revision enters one of the lists above."""
    assert set(late) == FORMS | KEYS | ALIKE


def test_the_second_is_told_who_came_first(late: dict[str, Late]) -> None:
    told = {route: WHO.findall(it.text) for route, it in late.items()}
    assert {route: names for route, names in told.items() if names[:1] != [late[route].first]} == {}
    assert {it.first for it in late.values()} > {"Wyn Parry", "Tomas Reyl"}


def test_the_second_sees_both_sides_field_by_field(late: dict[str, Late]) -> None:
    assert {route for route in FORMS if MINE not in late[route].text} == set()
    words = {
        route: [text[0] for text in late[route].changed.values() if text] for route in FORMS - set(OTHER)
    }
    assert {
        route for route, typed in words.items() if any(each not in late[route].text for each in typed)
    } == set()


def test_a_key_that_came_too_late_asks_for_no_choice(late: dict[str, Late]) -> None:
    assert {route for route in KEYS if MINE in late[route].text} == set()


def test_what_was_to_be_a_passphrase_is_not_shown(late: dict[str, Late]) -> None:
    assert "another four words" not in late["/people/{person_id}/passphrase"].text

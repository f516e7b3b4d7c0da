"""Every form sent again and again: one effect, one answer; the same key with other content: refused."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pytest
from httpx import Response

from tests.whole.conftest import Desk, Kept, Made, open_desk
from tests.whole.crawl import Form, routes

# Routes of which no form of the demo shop would be kept as it stands, each with its reason.
NEVER_KEPT = {
    "/people/sign-out",  # ends the sign-in that the tests go on with
    "/people/passphrase",  # so does a new passphrase of one's own
}


def test_of_every_route_some_form_is_kept(kept: Mapping[str, Kept], posted: Sequence[Form]) -> None:
    """What is not kept here, the tests below do not cover."""
    assert {form.route for form in posted} - set(kept) == NEVER_KEPT


Stood = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class Sent:
    """What happened when one form was sent three times, then with other content, then as a late one."""

    answers: Sequence[Response]
    first: Stood
    second: Stood
    receipts: Sequence[str]
    other: Response
    after_other: Stood


@pytest.fixture(scope="module")
def replayed(
    made: Made, kept: Mapping[str, Kept], tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Sent]:
    """Every act of the shop, sent and sent again."""
    with open_desk(made, tmp_path_factory.mktemp("replayed") / "shop") as desk:
        return {route: _replayed(desk, it) for route, it in kept.items()}


def _replayed(desk: Desk, it: Kept) -> Sent:
    desk.anew()
    known = set(keys(desk))
    once = desk.send(it.form, it.sent)
    first = desk.stands()
    again = [desk.send(it.form, it.sent) for _ in range(2)]
    second = desk.stands()
    made = [key for key in keys(desk) if key not in known]
    other = desk.send(it.form, {**it.sent, "added": ["by hand"]})
    return Sent([once, *again], first, second, made, other, desk.stands())


def keys(desk: Desk) -> list[str]:
    """Submission keys of all receipts."""
    with desk.app.state.book.connect() as connection:
        return [key for (key,) in connection.exec_driver_sql("SELECT submission FROM receipt")]


def test_a_form_sent_three_times_gets_one_answer(replayed: dict[str, Sent]) -> None:
    for route, sent in replayed.items():
        said = {(each.status_code, each.headers.get("location")) for each in sent.answers}
        assert said == {(303, sent.answers[0].headers["location"])}, route


def test_a_form_sent_three_times_has_one_effect(replayed: dict[str, Sent]) -> None:
    assert {route for route, sent in replayed.items() if sent.first != sent.second} == set()


def test_an_act_leaves_a_receipt_of_its_own_key(replayed: dict[str, Sent], kept: Mapping[str, Kept]) -> None:
    """No act without a trace: a route that changes rows signs for it with the key of its form."""
    for route, sent in replayed.items():
        key = kept[route].sent["submission"][0]
        assert key in {made.partition("/")[0] for made in sent.receipts}, route


def test_the_same_key_with_other_content_is_refused_and_changes_nothing(replayed: dict[str, Sent]) -> None:
    statuses = {route: sent.other.status_code for route, sent in replayed.items()}
    assert {route: status for route, status in statuses.items() if status != 422} == {}
    assert {route for route, sent in replayed.items() if sent.second != sent.after_other} == set()


def test_a_form_sent_four_times_at_once_has_one_effect_and_one_answer(
    desk: Desk, kept: Mapping[str, Kept], replayed: dict[str, Sent]
) -> None:
    for route, it in kept.items():
        desk.anew()
        answers = desk.at_once(it.form, it.sent, times=2 if it.printed else 4)
        assert {each.status_code for each in answers} == {303}, route
        assert len({each.headers["location"] for each in answers}) == 1, route
        once = {name: each["rows"] for name, each in replayed[route].first.items()}
        assert desk.rows() == once, route


def test_a_form_shown_before_somebody_saved_is_refused_and_overwrites_nothing(
    desk: Desk, kept: Mapping[str, Kept]
) -> None:
    for route in EDITS:
        desk.anew()
        it = kept[route]
        desk.send(it.form, it.sent)
        stood = desk.stands()
        late = desk.send(it.form, {**it.sent, "submission": ["another form, shown as early"]})
        assert late.status_code == 409, (route, late.status_code)
        assert desk.stands() == stood, route


# Forms over one row that several people may have open at the same time.
EDITS = {
    "/intake/owners/{owner_id}",
    "/intake/units/{unit_id}",
    "/intake/orders/{order_id}",
    "/bench/instruments/{instrument_id}",
    "/estimate/{order_id}/works/{work_id}",
    "/estimate/{order_id}/lines/{line_id}",
    "/inspection/findings/{finding_id}",
    "/parts/catalogue/{part_id}/edit",
    "/parts/suppliers/{supplier_id}",
    "/canvas/{canvas_id}",
    "/canvas/parts/{part_id}",
    "/canvas/pieces/{piece_id}",
    "/canvas/pieces/{piece_id}/edges",
}


def test_every_edit_named_here_is_a_route(desk: Desk) -> None:
    assert {route.path for route in routes(desk.app)} >= EDITS

"""The catalogue's pages as a browser meets them."""

import re
from collections.abc import Callable

import pytest
from sqlalchemy import Engine

from app.ground.book import reading
from app.inspection import editing, facts
from app.inspection.catalogue import Catalogue
from app.inspection.stricter import loosened
from tests.conftest import Browser
from tests.inspection.walks import CATALOGUE, at, begun

Signed = Callable[[str], Browser]
ROOT = "/inspection/catalogue"
TREAD = f"{ROOT}/checks/ti.tread"
OWN = {
    "name": "Awning arms",
    "look": "Open the awning and look along both arms.",
    "system": "body",
    "places": "unit",
    "station": "6",
    "kinds": ["travel", "tent"],
    "depth": ["full"],
    "seen-1": "Arm bent",
    "grade-1": "needs-soon",
}


@pytest.fixture
def lee(signed: Signed, book: Engine) -> Browser:
    editing.keep_catalogue(book, CATALOGUE)
    return signed("Lee")


def standing(book: Engine) -> tuple[str, Catalogue]:
    with reading(book) as session:
        return str(facts.newest_version(session).key), facts.newest_catalogue(session)


def send(it: Browser, book: Engine, path: str, **form: str | list[str]) -> tuple[int, str]:
    named = {name.replace("__", "-"): text for name, text in form.items()}
    answer = it.post(path, {"revision": standing(book)[0], **named})
    return answer.status_code, answer.text


def test_everyone_reads_it_and_only_a_lead_changes_it(lee: Browser, signed: Signed) -> None:
    toni = signed("Toni")
    for path in (ROOT, TREAD):
        assert toni.get(path).status_code == 200
        assert 'method="post"' not in toni.get(path).text
        assert 'method="post"' in lee.get(path).text
    for path in (f"{TREAD}/limits", f"{TREAD}/kits", f"{ROOT}/phrases", f"{ROOT}/add"):
        assert toni.post(path, {}).status_code == 403
    assert toni.get(f"{ROOT}/add").status_code == 403
    assert lee.get(f"{ROOT}/checks/ti.nothing").status_code == 404


def test_a_stricter_limit_is_set_and_its_version_told_in_words(lee: Browser, book: Engine) -> None:
    assert send(lee, book, f"{TREAD}/limits", limit__least__0="3", limit__least__1="4")[0] == 303
    page = lee.get(TREAD).text
    assert 'name="limit-least-0" type="text" inputmode="decimal" autocomplete="off" value="3"' in page
    assert "limit of this shop" in page
    assert "Tread depth, Tread, least of the spots" in lee.get(ROOT).text
    assert "Lee" in lee.get(ROOT).text


@pytest.mark.parametrize("typed", ["-1", "41", "five", "1e9"])
def test_a_number_that_cannot_be_read_there_is_refused_beside_its_field(
    lee: Browser, book: Engine, typed: str
) -> None:
    status, page = send(lee, book, f"{TREAD}/limits", limit__least__1=typed)
    assert status == 422
    assert 'id="limit-least-1-fix"' in page
    assert f'value="{typed}"' in page
    assert standing(book)[1] == CATALOGUE


def test_what_the_law_sets_is_not_swallowed_by_a_lighter_limit_before_it(lee: Browser, book: Engine) -> None:
    bound = [
        check
        for check in CATALOGUE.checks
        for measure in check.measures
        if any(limit.law for limit in measure.limits) and not measure.limits[0].law
    ]
    for check in bound[:6]:
        for measure in check.measures:
            wide = {
                f"limit__{measure.key}__{at}": f"{measure.most or 0:f}" for at in range(len(measure.limits))
            }
            send(lee, book, f"{ROOT}/checks/{check.key}/limits", **wide)
    assert loosened(CATALOGUE, standing(book)[1]) == []


def test_kits_of_a_defect_are_switched_and_unknown_ones_refused(lee: Browser, book: Engine) -> None:
    check, kit = f"{ROOT}/checks/ti.cord", CATALOGUE.kits[0].key
    assert send(lee, book, f"{check}/kits", defect="cord", kit=[kit])[0] == 303
    assert standing(book)[1].check("ti.cord").defect("cord").kits == (kit,)
    assert send(lee, book, f"{check}/kits", kit=["k999"])[0] == 422
    assert send(lee, book, f"{check}/kits", defect="nothing", kit=[kit])[0] == 422


def test_a_check_of_our_own_joins_the_next_walk(lee: Browser, book: Engine) -> None:
    before = begun(book)
    assert send(lee, book, f"{ROOT}/add", **OWN)[0] == 303
    assert lee.get(f"{ROOT}/checks/ow.awning_arms").status_code == 200
    after = begun(book)
    row = at(book, after, "ow.awning_arms")
    assert (row.station, row.grade) == (6, "unseen")
    with pytest.raises(Exception, match="No row"):
        at(book, before, "ow.awning_arms")
    lee.post(f"/inspection/findings/{row.key}", {"revision": "0", "seen": ["seen_1"]})
    assert at(book, after, "ow.awning_arms").by == "soon"
    status, page = send(lee, book, f"{ROOT}/add", **OWN)
    assert (status, "There is such a check already" in page) == (422, True)


@pytest.mark.parametrize(
    ("field", "typed"),
    [("name", ""), ("look", ""), ("system", "wings"), ("places", "moon"), ("kinds", "plane"), ("depth", "")],
)
def test_a_check_that_is_not_whole_keeps_what_was_typed(
    lee: Browser, book: Engine, field: str, typed: str
) -> None:
    status, page = send(lee, book, f"{ROOT}/add", **{**OWN, field: typed})
    assert status == 422
    assert f'id="{field}-fix"' in page
    assert "Arm bent" in page


def test_a_check_added_by_a_double_tap_is_one(lee: Browser, book: Engine) -> None:
    form = {"revision": standing(book)[0], "submission": "double tap", **OWN}
    answers = [lee.post(f"{ROOT}/add", form) for _ in range(2)]
    assert [each.status_code for each in answers] == [303, 303]
    assert answers[0].headers["location"] == answers[1].headers["location"]


def test_phrases_are_added_and_taken_away_and_offered_at_each_check(lee: Browser, book: Engine) -> None:
    assert send(lee, book, f"{ROOT}/phrases", says="Left open")[0] == 303
    row = at(book, begun(book), "cp.latch")
    address = f"/inspection/findings/{row.key}"
    assert "<option>Left open</option>" in lee.get(address).text
    lee.post(address, {"revision": "0", "grade": "sound", "note": "cold", "phrase": "Left open"})
    assert at(book, row.walk_id, "cp.latch").note == "cold; Left open"
    lee.post(address, {"revision": "1", "grade": "sound", "phrase": "of nobody's list"})
    assert at(book, row.walk_id, "cp.latch").note == ""
    assert send(lee, book, f"{ROOT}/phrases", says="Left open", remove="yes")[0] == 303
    assert "Left open" not in standing(book)[1].phrases
    assert send(lee, book, f"{ROOT}/phrases", says="")[0] == 422


def test_a_reason_of_the_list_is_enough_to_grade_lighter(lee: Browser, book: Engine) -> None:
    row = at(book, begun(book), "ti.psi", "tire-1-left")
    form = {"revision": "0", "reading-cold": "40", "grade": "sound"}
    refused = lee.post(f"/inspection/findings/{row.key}", form)
    assert 'id="reason-fix"' in refused.text
    picked = {**form, "reason-phrase": CATALOGUE.phrases[0]}
    if lee.post(f"/inspection/findings/{row.key}", picked).status_code == 303:
        assert at(book, row.walk_id, "ti.psi", "tire-1-left").dissent == CATALOGUE.phrases[0]
    else:
        assert 'id="reason-fix"' not in lee.post(f"/inspection/findings/{row.key}", picked).text


def test_who_changes_from_an_old_page_is_told(lee: Browser, book: Engine) -> None:
    old = standing(book)[0]
    send(lee, book, f"{ROOT}/phrases", says="Left open")
    kit = CATALOGUE.kits[0]
    forms: dict[str, tuple[dict[str, str | list[str]], str]] = {
        f"{ROOT}/phrases": ({"says": "Another"}, "Another"),
        f"{TREAD}/limits": ({"limit-least-1": "6"}, "6"),
        f"{TREAD}/kits": ({"kit": kit.key, "defect": ""}, kit.name),
        f"{ROOT}/add": (OWN, OWN["name"]),
    }
    for path, (form, mine) in forms.items():
        answer = lee.post(path, {"revision": old, **form})
        assert answer.status_code == 409, path
        assert "Not saved: Lee saved first" in answer.text, path
        assert "(change catalogue)" in answer.text, path
        both = (f"<p>Yours, not saved: <b>{mine}</b></p>", f"<td>{mine}</td>")
        assert any(each in answer.text for each in both), path
        assert re.search(rf'name="revision" value="{standing(book)[0]}"', answer.text)
    removing = lee.post(f"{ROOT}/phrases", {"revision": old, "says": "Left open", "remove": "yes"})
    assert "Not saved: Lee saved first" in removing.text
    assert "Yours, not saved" not in removing.text
    assert 'value="Left open"><button' in removing.text  # still there, to be taken away


def test_a_limit_set_by_two_at_once_is_shown_side_by_side(lee: Browser, book: Engine) -> None:
    old = standing(book)[0]
    assert send(lee, book, f"{TREAD}/limits", limit__least__1="5")[0] == 303
    late = lee.post(f"{TREAD}/limits", {"revision": old, "limit-least-1": "6"})
    assert late.status_code == 409
    assert "In the book now: <b>5</b>" in late.text
    assert "Yours, not saved: <b>6</b>" in late.text
    taken = {"take-limit-least-1": "limit-least-1", "theirs-limit-least-1": "5", "limit-least-1": "6"}
    assert lee.post(f"{TREAD}/limits", {"revision": standing(book)[0], **taken}).status_code == 303
    assert (
        'name="limit-least-1" type="text" inputmode="decimal" autocomplete="off" value="5"'
        in lee.get(TREAD).text
    )

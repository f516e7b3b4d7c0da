"""What an open page asks by itself: news of the other tablet, pages to keep, and the choice line by line."""

import re
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.acting import now
from app.ground.book import reading, writing
from app.ground.tables import SignIn
from app.inspection import news, steps
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Reading
from app.trade.figure import Grade
from tests.conftest import NOON, Browser, act
from tests.inspection.walks import at, begun

Signed = Callable[[str], Browser]
LEFT = "tire-1-left"


def address(walk: int, stands: int = 0) -> str:
    return f"/tablet/walks/{walk}/news?stands={stands}&station=2"


def stood(text: str) -> int:
    found = re.search(r'data-stands="(\d+)"', text)
    assert found
    return int(found[1])


def since(text: str) -> str:
    found = re.search(r'data-since="([^"]+)"', text)
    assert found
    return found[1]


def test_the_news_tell_who_looked_at_what_and_rise_with_every_save(book: Engine, signed: Signed) -> None:
    walk, browser = begun(book), signed("Lee")
    before = stood(browser.get(address(walk), part=True).text)
    steps.record_finding(book, act(3), at(book, walk, "cp.latch").key, Seen(grade=Grade.SOUND))
    told = browser.get(address(walk, before), part=True)
    assert "Toni: Latch and pin: Sound" in told.text
    assert stood(told.text) == before + 1
    assert 'aria-current="step"' in told.text  # the walk line, with the station in hand


def test_each_page_of_a_walk_names_what_it_was_made_with(book: Engine, signed: Signed) -> None:
    walk, browser = begun(book), signed("Lee")
    row = at(book, walk, "cp.latch")
    pages = [f"walks/{walk}/stations/{row.station}", f"walks/{walk}/sum-up", f"findings/{row.key}"]

    def marks() -> set[tuple[int, str]]:
        texts = [browser.get(f"/inspection/{path}").text for path in pages]
        return {(stood(text), since(text)) for text in texts}

    assert marks() == {(0, "0")}  # before the first look
    steps.record_finding(book, act(3), row.key, Seen(grade=Grade.SOUND))
    steps.record_finding(book, act(3, at=NOON + timedelta(minutes=2)), at(book, walk, "cp.ball").key, Seen())
    assert marks() == {(2, "2026-05-04T16:02:00+00:00")}


def test_nothing_new_is_an_answer_without_a_body(book: Engine, signed: Signed) -> None:
    """RFC 9110, 15.3.5: 204 has no content."""
    walk, browser = begun(book), signed("Lee")
    steps.record_finding(book, act(3), at(book, walk, "cp.latch").key, Seen(grade=Grade.SOUND))
    stands = stood(browser.get(address(walk), part=True).text)
    again = browser.get(address(walk, stands), part=True)
    assert (again.status_code, again.content) == (204, b"")


def test_each_place_says_what_it_stands_at(book: Engine, signed: Signed) -> None:
    walk = begun(book)
    row = at(book, walk, "cp.latch")
    steps.record_finding(book, act(3), row.key, Seen(grade=Grade.SOUND))
    text = signed("Lee").get(address(walk), part=True).text
    assert f'data-path="findings/{row.key}" data-station="{row.station}" data-stands="1"' in text
    assert f'data-path="walks/{walk}/stations/{row.station}"' in text


def test_a_walk_that_is_none_or_a_second_look_has_no_news(book: Engine, signed: Signed) -> None:
    walk, browser = begun(book), signed("Lee")
    row = at(book, walk, "cp.latch")
    steps.record_finding(book, act(1), row.key, Seen(grade=Grade.SOUND))
    second = steps.begin_second_look(book, act(3), row.key)
    with reading(book) as session:
        second_walk = session.get_one(Finding, second).walk_id
        assert news.news_of(session, second_walk) is None
    for missing in (999, second_walk):
        assert browser.get(address(missing), part=True).status_code == 404
    assert browser.get(address(2**70), part=True).status_code == 404


def test_only_the_five_newest_looks_are_told(book: Engine) -> None:
    walk = begun(book)
    with reading(book) as session:
        rows = session.exec(select(Finding).where(Finding.walk_id == walk).limit(7)).all()
    for minute, row in enumerate(rows):
        seen = act(3, at=now() + timedelta(minutes=minute))
        steps.record_finding(book, seen, row.key, Seen(note="seen"))
    with reading(book) as session:
        found = news.news_of(session, walk)
    assert found is not None
    assert [look.finding for look in found.looks] == [row.key for row in reversed(rows)][:5]
    assert found.stands == len(rows)


def test_pages_to_keep_are_those_that_a_person_opens(book: Engine, signed: Signed) -> None:
    walk, browser = begun(book), signed("Toni")
    row = at(book, walk, "cp.latch")
    form = browser.get(f"/tablet/findings/{row.key}", part=True).text
    assert f'action="/inspection/findings/{row.key}"' in form
    assert 'data-sent="outbox"' in form
    assert "<html" not in form
    station = browser.get(f"/tablet/walks/{walk}/stations/{row.station}", part=True).text
    assert f'href="/inspection/findings/{row.key}"' in station


def test_asking_by_itself_keeps_no_sign_in_awake(book: Engine, signed: Signed) -> None:
    """NIST SP 800-63B: inactivity ends a session; a page that asks by itself is no activity."""
    walk, browser = begun(book), signed("Toni")
    with writing(book) as session:
        signed_in = session.exec(select(SignIn)).one()
        signed_in.used_at = now() - timedelta(minutes=20)
        session.add(signed_in)
    before = used_at(book)
    for asked in (address(walk), "/tablet/me", f"/tablet/findings/{at(book, walk, 'cp.latch').key}"):
        assert browser.get(asked, part=True).status_code == 200
    assert used_at(book) == before
    browser.get("/people")
    assert used_at(book) > before


def used_at(book: Engine) -> datetime:
    with reading(book) as session:
        return session.exec(select(SignIn.used_at)).one()


def test_a_tablet_is_told_who_is_signed_in_and_a_stranger_is_not(signed: Signed, book: Engine) -> None:
    browser = signed("Toni")
    told = browser.get("/tablet/me", part=True).json()
    assert (told["person"], told["name"]) == (3, "Toni")
    assert told["token"] == browser.token("/people")
    browser.client.cookies.clear()
    assert browser.get("/tablet/me", part=True).status_code == 401


def test_the_worker_stands_at_the_root_so_that_it_answers_for_every_page(signed: Signed) -> None:
    """Service Workers, 3.4.1: the largest scope is the folder of the script."""
    answer = signed("Toni").get("/tablet-worker.js")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert 'addEventListener("fetch"' in answer.text


# Line by line


def late(browser: Browser, book: Engine, walk: int, **form: str) -> tuple[int, str]:
    """Toni's form on the left tire that comes after Lee's save: the finding's key and the page."""
    row = at(book, walk, "ti.tread", LEFT)
    steps.record_finding(book, act(1), row.key, Seen(readings={"least": "6"}, note="from the left"))
    answer = browser.post(f"/inspection/findings/{row.key}", {"revision": "0", **form}, part=True)
    assert answer.status_code == 409
    return row.key, answer.text


def test_both_sides_stand_beside_each_other_with_a_choice_for_each_line(book: Engine, signed: Signed) -> None:
    _, page = late(signed("Toni"), book, begun(book), **{"reading-least": "7", "note": "mine"})
    for field, theirs, mine in (("reading-least", "6", "7"), ("note", "from the left", "mine")):
        radios = re.findall(rf'<input type="radio" name="take-{field}" value="([^"]*)"([^>]*)>', page)
        assert len(radios) == 2
        assert field in radios[0][0].split()
        assert (radios[1][0], "checked" in radios[1][1]) == ("", True)
        row = re.search(rf'name="take-{field}".*?</tr>', page, re.DOTALL)
        assert row
        assert f"<b>{theirs}</b>" in row[0]
        assert f"<b>{mine}</b>" in row[0]


@pytest.mark.parametrize(
    ("taken", "reading", "note"),
    [
        ((), "7", "mine"),
        (("reading",), "6", "mine"),
        (("note",), "7", "from the left"),
        (("reading", "note"), "6", "from the left"),
    ],
)
def test_each_line_is_kept_as_it_was_chosen(
    book: Engine, signed: Signed, taken: tuple[str, ...], reading: str, note: str
) -> None:
    browser = signed("Toni")
    mine = {"reading-least": "7", "note": "mine"}
    key, _ = late(browser, book, begun(book), **mine)
    standing = {"theirs-reading-least": "6", "theirs-unit-least": "in_32nd", "theirs-note": "from the left"}
    choice = {
        "take-reading-least": "reading-least unit-least" if "reading" in taken else "",
        "take-note": "note" if "note" in taken else "",
    }
    form = {"revision": "1", "unit-least": "in_32nd", **mine, **standing, **choice, "save": "lines"}
    assert browser.post(f"/inspection/findings/{key}", form).status_code == 303
    assert (typed(book, key), at_key(book, key).note) == (reading, note)


def typed(book: Engine, key: int) -> str:
    with reading(book) as session:
        return session.exec(select(Reading.typed).where(Reading.finding_id == key)).one()


def at_key(book: Engine, key: int) -> Finding:
    with reading(book) as session:
        return session.get_one(Finding, key)


def test_the_line_of_the_state_is_the_key_of_the_state_itself(book: Engine, signed: Signed) -> None:
    browser = signed("Toni")
    key, page = late(browser, book, begun(book), grade="watch")
    stands = at_key(book, key).grade
    assert f'type="radio" name="grade" value="{stands}"' in page
    assert 'type="radio" name="grade" value="watch" checked' in page


def test_a_check_that_stands_at_do_not_tow_and_a_second_look_never_wait_on_a_tablet(
    book: Engine, signed: Signed
) -> None:
    walk, browser = begun(book), signed("Toni")
    worn = at(book, walk, "ti.tread", LEFT)
    path = f"/inspection/findings/{worn.key}"
    assert 'data-sent="outbox"' in browser.get(path).text
    steps.record_finding(book, act(1), worn.key, Seen(readings={"least": "1"}))  # 49 CFR 393.75(c)
    assert 'data-sent="online"' in browser.get(path).text
    second = steps.begin_second_look(book, act(3), worn.key)
    assert 'data-sent="online"' in browser.get(f"/inspection/findings/{second}").text

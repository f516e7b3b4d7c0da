"""Forms on their way in and out: what was typed always comes back."""

import asyncio
from concurrent.futures import ThreadPoolExecutor

import pytest

from app.ground.forms import Filled, Sent, again, conflict, differing, read_sent, settled
from app.trade.problems import Problem


def test_the_last_text_of_a_field_counts_and_all_are_kept() -> None:
    sent = Sent([("seen", "a"), ("seen", "b"), ("note", "n")])
    assert sent.get("seen") == "b"
    assert sent.all("seen") == ["a", "b"]
    assert sent.get("other", "none") == "none"
    assert sent.has("note")
    assert not sent.has("other")


def test_a_hash_is_of_the_content_and_not_of_the_order_or_the_token() -> None:
    one = Sent([("a", "1"), ("b", "2"), ("token", "x")])
    same = Sent([("b", "2"), ("token", "y"), ("a", "1")])
    assert one.hash == same.hash
    assert one.hash != Sent([("a", "1"), ("b", "3")]).hash
    assert Sent([], {"photo": [b"1"]}).hash != Sent([], {"photo": [b"2"]}).hash


@pytest.mark.parametrize(("typed", "revision"), [("3", 3), ("", -1), ("x", -1), ("-1", -1), ("9" * 20, -1)])
def test_a_revision_that_is_no_number_is_nobodys(typed: str, revision: int) -> None:
    assert Sent([("revision", typed)]).revision == revision


def test_without_a_revision_the_form_has_seen_none() -> None:
    assert Sent([]).revision == 0


def test_texts_and_files_are_read_from_a_request() -> None:
    from io import BytesIO

    from starlette.datastructures import UploadFile

    items: list[tuple[str, str | UploadFile]] = [
        ("name", "x"),
        ("photo", UploadFile(BytesIO(b"jpeg"))),
        ("photo", UploadFile(BytesIO(b""))),
    ]
    with ThreadPoolExecutor() as apart:  # a loop of a browser may be running in this thread
        sent = apart.submit(asyncio.run, read_sent(items)).result()
    assert sent.get("name") == "x"
    assert sent.files("photo") == [b"jpeg"]
    assert sent.files("other") == []


def test_a_new_form_shows_what_the_book_holds_and_a_refused_one_what_was_typed() -> None:
    assert Filled({"name": "Ada"}).value("name") == "Ada"
    refused = again(Sent([("name", "")]), [Problem("name", "The name is missing")], {"name": "Ada"})
    assert refused.value("name") == ""
    assert refused.problems_of("name")[0].says == "The name is missing"
    assert refused.problems_of("other") == []
    assert refused.wrong


def test_a_corrected_form_is_a_new_act() -> None:
    sent = Sent([("submission", "first")])
    assert again(sent, []).submission != "first"


def test_ticks_are_kept_as_they_were_sent() -> None:
    book = Filled({"seen": "a\nb"})
    assert book.chosen("seen", "a")
    assert not book.chosen("seen", "c")
    refused = again(Sent([("seen", "c")]), [], {"seen": "a"})
    assert refused.chosen("seen", "c")
    assert not refused.chosen("seen", "a")


def test_a_late_form_shows_both_versions() -> None:
    late = conflict(Sent([("note", "mine"), ("revision", "1")]), {"note": "theirs"}, 2)
    assert late.value("note") == "mine"
    assert late.theirs["note"] == "theirs"
    assert late.revision == 2


def test_only_what_differs_is_shown_beside_what_was_typed() -> None:
    sent = Sent([("a", "1 "), ("b", "2"), ("seen", "x"), ("seen", "y"), ("note", "one\r\ntwo")])
    now = {"a": "1", "b": "3", "seen": "x\ny", "note": "one\ntwo", "gone": "", "there": "4"}
    assert differing(sent, now) == {"b": "3", "there": "4"}
    assert differing(sent, {"seen": "y\nx"}) == {"seen": "y\nx"}
    assert Filled(typed=sent).mine("seen") == "x\ny"
    assert Filled({"seen": "x"}).mine("seen") == ""
    assert sent.names() == ["a", "b", "seen", "note"]


def test_a_line_of_a_conflict_takes_the_books_texts_where_that_was_chosen() -> None:
    pairs = [("note", "mine"), ("seen", "crack"), ("take-seen", "seen"), ("take-note", "")]
    pairs += [("theirs-note", "theirs"), ("theirs-seen", "rust"), ("theirs-seen", "bend")]
    assert settled(pairs) == [("note", "mine"), ("seen", "rust"), ("seen", "bend")]


def test_a_line_taken_where_the_book_holds_nothing_is_empty_after() -> None:
    assert settled([("note", "mine"), ("take-note", "note")]) == []


def test_a_form_without_a_conflict_stays_as_it_was_sent() -> None:
    pairs = [("note", "a"), ("note", "b"), ("take", "x"), ("theirs", "y")]
    assert settled(pairs) == pairs

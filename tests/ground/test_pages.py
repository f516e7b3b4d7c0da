"""Templates and how a screen answers: strict, escaped, whole page or part."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from fastapi import Request
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import TemplateNotFound, UndefinedError
from lxml import etree, html

from app.ground.forms import Filled, Pair, Sent, again, conflict
from app.ground.pages import Pages, templates
from app.ground.people import Role, Who
from app.ground.settings import folder
from app.intake.rules import decode
from app.trade.problems import Problem

TEMPLATES = sorted(path.relative_to(folder("templates")) for path in folder("templates").rglob("*.html"))


def asked(path: str = "/people", *, part: bool = False) -> Request:
    headers = [(b"hx-request", b"true")] if part else []
    return Request({"type": "http", "method": "GET", "path": path, "query_string": b"", "headers": headers})


def page(*, part: bool = False, who: Who | None = None) -> Pages:
    return Pages(
        asked(part=part), who, "America/New_York", "Two Creeks", {"demo": False, "in_the_clear": False}
    )


LEE = Who(1, "Lee", Role.LEAD, 1, "token-of-lee")


def test_a_fact_that_a_template_needs_and_is_not_given_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        page().show("ground/stopped", says="x")  # `back` and `changing` are missing
    with pytest.raises(TemplateNotFound):
        page().show("ground/nothing")


@pytest.mark.parametrize("path", TEMPLATES, ids=str)
def test_every_template_can_be_read(path: Path) -> None:
    assert templates().get_template(str(path))


@given(st.text(max_size=60))
def test_no_text_becomes_a_tag_or_ends_an_attribute(text: str) -> None:
    shown = templates().from_string('<p title="{{ it }}">{{ it }}</p>').render(it=text)
    element = html.fragment_fromstring(shown.replace("\0", "\ufffd"))
    assert len(element) == 0
    assert list(element.attrib) == ["title"]


def test_every_page_knows_who_is_there_and_holds_the_token_of_that_sign_in() -> None:
    assert page(who=LEE).facts({})["token"] == "token-of-lee"
    assert page().facts({})["token"] == ""
    assert page(who=LEE).facts({"here": "elsewhere"})["here"] == "elsewhere"  # a page's own facts come first


def test_htmx_gets_the_part_where_there_is_one_and_else_the_whole_page() -> None:
    decoded = decode("123", "standard", date(2026, 5, 4))
    whole, part = (page(part=asks).show("intake/vin", decoded=decoded).body for asks in (False, True))
    assert b"<html" in bytes(whole) and b"<html" not in bytes(part)
    for asks in (False, True):  # this one has no part of its own
        shown = page(part=asks).show("ground/stopped", says="Nothing there", back="", changing=False)
        assert b"<html" in bytes(shown.body)


def test_going_on_is_see_other() -> None:
    answer = page().go("/orders/1")
    assert (answer.status_code, answer.headers["location"]) == (303, "/orders/1")  # RFC 9110, 15.4.4


@pytest.mark.parametrize(
    ("template", "shown"),
    [
        ("{{ 0 | money }}", "0.00"),
        ("{{ 130539 | money }}", "1,305.39"),
        (
            '{{ "90" | with_unit("lbf_ft") }}',
            "90\u00a0lbf·ft",
        ),  # a number and its unit stay together: ISO 80000-1
        ("{{ none | day }}", ""),
        ('{{ none | moment("UTC") }}', ""),
        ('{{ "<b>" }}', "&lt;b&gt;"),
    ],
)
def test_the_filters_print_as_people_read(template: str, shown: str) -> None:
    assert templates().from_string(template).render() == shown


def test_each_form_that_is_shown_has_a_key_of_its_own() -> None:
    text = "{{ new_key() }} {{ new_key() }}"
    one, two = templates().from_string(text).render().split()
    assert one != two


# --- the macros of a field ----------------------------------------------------------------------

MACROS = "field, area, tick, pick, wrong_with, hidden, fixes, came_first, gone, to_fix"
FIELD = f'{{% from "shared/field.html" import {MACROS} %}}'


def drawn(macro: str, form: Filled) -> html.HtmlElement:
    shown = templates().from_string(f"{FIELD}<main>{{{{ {macro} }}}}</main>").render(form=form, token="t")
    return html.document_fromstring(shown)


REFUSED = again(
    Sent([("gvwr", " 0 "), ("note", "a\nb"), ("spare", "no")]),
    [Problem("gvwr", "0 cannot be", "100 lb to 60000 lb"), Problem("note", "Too long", "less")],
)


def test_a_refused_field_is_described_by_its_hint_and_its_fix() -> None:
    page_of = drawn('field(form, "gvwr", "GVWR", hint="as on the label")', REFUSED)
    (control,) = page_of.xpath("//input")
    assert control.get("aria-invalid") == "true"
    assert control.get("aria-describedby") == "gvwr-hint gvwr-fix"  # WAI-ARIA 1.2: ids, blank between
    for each in control.get("aria-describedby").split():
        assert page_of.get_element_by_id(each) is not None
    assert page_of.get_element_by_id("gvwr-fix").text_content().split() == [
        *("Fix:", "0", "cannot", "be.", "Accepted:", "100", "lb", "to", "60000", "lb.")
    ]
    assert page_of.xpath('//label[@for="gvwr"]')


def test_a_field_in_order_is_described_by_its_hint_only() -> None:
    (control,) = drawn('field(form, "year", "Year", hint="of the model")', REFUSED).xpath("//input")
    assert control.get("aria-invalid") is None
    assert control.get("aria-describedby") == "year-hint"


def test_a_passphrase_never_comes_back() -> None:
    form = again(Sent([("passphrase", "four words on paper")]), [Problem("passphrase", "Too short")])
    shown = etree.tostring(drawn('field(form, "passphrase", "Passphrase", kind="password")', form)).decode()
    assert "four words" not in shown


def test_an_unlikely_value_brings_the_key_that_keeps_exactly_it() -> None:
    form = again(Sent([("torque", " 400 ")]), [Problem("torque", "400 is unusual", "40 to 350", ask=True)])
    (key,) = drawn('field(form, "torque", "Torque")', form).xpath('//input[@type="checkbox"]')
    assert (key.get("name"), key.get("value"), key.get("checked")) == ("confirm-torque", "400", None)


def test_a_text_of_several_lines_comes_back_line_by_line() -> None:
    (control,) = drawn('area(form, "note", "Note")', REFUSED).xpath("//textarea")
    assert control.text == "a\nb"


@pytest.mark.parametrize(
    ("form", "ticked"),
    [
        (Filled({"spare": "yes"}), True),
        (Filled({"spare": ""}), False),
        (Filled(), False),
        (again(Sent([("spare", "yes")]), []), True),
        (again(Sent([("other", "x")]), [], {"spare": "yes"}), False),  # the tick was taken away
    ],
)
def test_a_tick_stands_as_it_was_left(form: Filled, ticked: bool) -> None:
    (control,) = drawn('tick(form, "spare", "Spare")', form).xpath("//input")
    assert (control.get("checked") is not None) is ticked


def test_what_is_wrong_is_listed_first_and_leads_to_its_fields() -> None:
    page_of = drawn("fixes(form)", REFUSED)
    assert [link.get("href") for link in page_of.xpath("//a")] == ["#gvwr", "#note"]
    (box,) = page_of.xpath('//*[@role="alert"]')
    assert box.get("tabindex") == "-1"  # so that a script may put the reader there
    assert not drawn("fixes(form)", Filled()).xpath('//*[@role="alert"]')


def test_a_late_form_says_so_and_shows_both() -> None:
    late = conflict(Sent([("note", "mine"), ("revision", "1")]), {"note": "theirs", "gone": ""}, 4)
    assert "Not saved: someone saved first" in drawn("fixes(form)", late).text_content()
    named = replace(late, first="Wyn Parry saved first, 4 May 2026, 12:05 (change line)")
    assert "Not saved: Wyn Parry saved first, 4 May" in drawn("fixes(form)", named).text_content()
    shown = drawn('field(form, "note", "Note")', late)
    assert shown.xpath("//input")[0].get("value") == "mine"
    assert "In the book now: theirs" in shown.text_content()
    assert "In the book now: nothing" in drawn('field(form, "gone", "Gone")', late).text_content()
    hidden = {
        each.get("name"): each.get("value") for each in drawn("hidden(form, token)", late).xpath("//input")
    }
    assert (hidden["revision"], hidden["token"]) == ("4", "t")
    assert hidden["submission"]


def test_both_sides_of_a_choice_are_said_in_its_words() -> None:
    late = conflict(Sent([("unit", "lb")]), {"unit": "kg", "seen": "a\nb"}, 2)
    shown = drawn('pick(form, "unit", "Unit", [("lb", "pounds"), ("kg", "kilograms")])', late)
    said = [" ".join(each.text_content().split()) for each in shown.xpath("//p")]
    assert said == ["In the book now: kilograms", "Yours, not saved: pounds"]
    several = drawn('wrong_with(form, "seen", [("a", "rust"), ("b", "crack")])', late)
    assert "In the book now: rust, crack" in several.text_content()
    assert [each.get("value") for each in several.xpath("//input[@name='theirs-seen']")] == ["a", "b"]
    assert "Yours, not saved: nothing" in several.text_content()


def test_what_came_before_a_row_to_be_added_is_shown_and_not_to_be_taken() -> None:
    pairs = [Pair("Says", "theirs", "mine"), Pair("Note", "", "only mine")]
    late = conflict(Sent([("says", "mine")]), {}, 2, "Wyn Parry saved first", pairs)
    shown = drawn("fixes(form)", late)
    told = [[cell.text_content() for cell in row] for row in shown.xpath("//tbody/tr")]
    assert told == [["Says", "theirs", "mine"], ["Note", "nothing", "only mine"]]
    assert shown.xpath("//input") == []
    assert "save again if yours still holds" in shown.text_content()
    assert "Not saved: Wyn Parry saved first" in drawn("came_first(form)", late).text_content()
    assert drawn("to_fix(form)", late).text_content().strip() == ""
    assert drawn('field(form, "says", "Says")', late).xpath("//input/@name") == ["says"]


def test_what_came_first_offers_only_what_can_be_done_now() -> None:
    typed, tapped = (Sent([("revision", "1"), ("says", text)]) for text in ("mine", ""))
    shown = {
        says: drawn(macro, conflict(sent, {}, 2, "Wyn Parry saved first")).text_content()
        for says, macro, sent in (
            ("save again if yours still holds", "came_first(form)", typed),
            ("tap the key again", "came_first(form)", tapped),
            ("is not asked for here any more", "fixes(form, gone)", typed),
        )
    }
    found = {says: [other for other in shown if other in text] for says, text in shown.items()}
    assert found == {says: [says] for says in shown}
    assert [says for says, text in shown.items() if "still here." in text] == [
        "save again if yours still holds"
    ]


# --- what was sent ------------------------------------------------------------------------------

PAIRS = st.lists(st.tuples(st.sampled_from("abc"), st.text(max_size=6)), max_size=8)


@given(PAIRS, st.sampled_from("abcd"))
def test_the_last_of_all_texts_of_a_field_counts(pairs: list[tuple[str, str]], name: str) -> None:
    sent = Sent(pairs)
    texts = [text for key, text in pairs if key == name]
    assert sent.all(name) == texts
    assert sent.get(name, "none") == (texts[-1] if texts else "none")
    assert sent.has(name) is bool(texts)


@given(PAIRS, st.dictionaries(st.sampled_from("abcd"), st.text(max_size=4)))
def test_a_field_shows_what_was_typed_and_else_what_the_book_holds(
    pairs: list[tuple[str, str]], book: dict[str, str]
) -> None:
    form = again(Sent(pairs), [], book)
    for name in "abcd":
        typed = [text for key, text in pairs if key == name]
        assert form.value(name) == (typed[-1] if typed else book.get(name, ""))


@given(PAIRS, st.text(max_size=9), st.sampled_from(["token", "passphrase", "again", "old"]))
def test_no_secret_changes_the_hash_that_is_kept(
    pairs: list[tuple[str, str]], secret: str, name: str
) -> None:
    assert Sent([*pairs, (name, secret)]).hash == Sent(pairs).hash


@given(PAIRS, st.text(min_size=1, max_size=6))
def test_any_other_text_or_file_changes_it(pairs: list[tuple[str, str]], text: str) -> None:
    assert Sent([*pairs, ("d", text)]).hash != Sent(pairs).hash
    assert Sent(pairs, {"photo": [text.encode("utf-8", "replace")]}).hash != Sent(pairs).hash


@pytest.mark.parametrize(
    ("text", "revision"),
    [
        ("0", 0),
        ("007", 7),
        ("99999999999", 99_999_999_999),
        ("999999999999", -1),
        ("１", -1),
        ("1.0", -1),
        (" 1", -1),
    ],
)
def test_only_plain_digits_are_a_revision(text: str, revision: int) -> None:
    assert Sent([("revision", text)]).revision == revision


TEMPLATES = sorted(folder("templates").rglob("*.html"))
SPOKEN = re.compile(r'<(?:button|a)\b[^>]*aria-label="([^"]*)"[^>]*>([^<{]+)<')
TABLE = re.compile(r'(role="region"[^>]*>\s*)?<table class="ruled parts-list">')


def test_what_is_spoken_holds_the_words_that_are_seen() -> None:
    """WCAG 2.5.3, label in name: who says what is on the key presses it."""
    found = [(file.name, *each) for file in TEMPLATES for each in SPOKEN.findall(file.read_text())]
    assert len(found) >= 3
    assert [it for it in found if it[2].strip().lower() not in it[1].lower()] == []


def test_a_wide_list_of_parts_scrolls_in_itself() -> None:
    """WCAG 1.4.10, reflow: at 200 % on an upright tablet the page itself is not wider than the screen."""
    found = [(file.name, begin) for file in TEMPLATES for begin in TABLE.findall(file.read_text())]
    assert found  # lists of parts stack there; who counts the shelf compares columns
    assert [name for name, begin in found if not begin] == []

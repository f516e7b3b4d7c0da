"""The estimate's pages, as a browser meets them."""

import re
from collections.abc import Callable
from io import BytesIO

import lxml.html
import pytest
from fastapi.routing import APIRoute
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.estimate import facts, steps
from app.estimate.rules import Group, NewWork
from app.estimate.saying import How
from app.estimate.screens import router
from app.estimate.tables import Consent
from app.ground.book import reading
from app.ground.gate import Only
from app.ground.people import Role
from tests.conftest import Browser, people_now
from tests.estimate import arrived
from tests.estimate.arrived import (
    BREAKAWAY,
    ROOF,
    TREAD,
    USUAL,
    Found,
    arrive,
    ledger,
    priced,
    work_named,
    writer,
)

Signed = Callable[[str], Browser]
PART = {"kind": "part", "what": "Hasp", "quantity": "2", "price": "4.50", "tax": "parts"}


def shown(book: Engine, found: tuple[Found, ...] = USUAL) -> int:
    """An estimate shown just now, by the clock that the pages have."""
    return arrived.shown(book, found, people_now())


def seen(book: Engine, order_id: int, **fields: str) -> dict[str, str]:
    """A form as the page of the newest revision sends it."""
    return {"revision": str(ledger(book, order_id).guard), **fields}


def consent_form(book: Engine, order_id: int, **fields: str) -> dict[str, str]:
    found = ledger(book, order_id)
    answers = {f"say-{work.id}": "yes" for work in found.works}
    return seen(
        book,
        order_id,
        **{
            "shown": str(found.revision_id),
            "how": "tablet",
            "who": "Rosalind Achterberg",
            **answers,
            **fields,
        },
    )


def consents(book: Engine) -> list[Consent]:
    with reading(book) as session:
        return list(session.exec(select(Consent)))


# The ledger


def test_the_ledger_shows_groups_findings_and_sums(signed: Signed, book: Engine) -> None:
    order_id = priced(book)
    page = signed("Wren").get(f"/estimate/{order_id}").text
    for word in ("Must, before towing", "Should be put right", "May wait", "E-2026-0001, revision 1"):
        assert word in page
    assert "Do not tow, ti.tread at tire-1-left: 1/32 in; 2/32 is the least" in page
    assert f"{ledger(book, order_id).total.gross / 100:,.2f}" in page


def test_no_spare_is_priced_as_one_tire(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (Found("ti.spare", "unit", "needs", by="soon", reason="No spare"),))
    [work] = ledger(book, order_id).works
    assert work.title == "Replace a tire, spare"
    assert [line.quantity for line in work.lines if line.what.startswith("Trailer tire")] == ["1"]
    assert "Replace a tire, spare" in signed("Wren").get(f"/estimate/{order_id}").text


def test_a_technician_may_look_but_finds_no_keys(signed: Signed, book: Engine) -> None:
    order_id = priced(book)
    page = signed("Toni").get(f"/estimate/{order_id}")
    assert page.status_code == 200
    assert "Show it to the owner" not in page.text
    assert f"/estimate/{order_id}/works/" not in page.text


def test_one_key_prices_the_findings(signed: Signed, book: Engine) -> None:
    order_id, wren = arrive(book), signed("Wren")
    assert "Price the findings" in wren.get(f"/estimate/{order_id}").text
    answer = wren.post(f"/estimate/{order_id}/price", seen(book, order_id))
    assert (answer.status_code, answer.headers["location"]) == (303, f"/estimate/{order_id}")
    assert len(ledger(book, order_id).works) == 5


def test_a_double_tap_prices_once(signed: Signed, book: Engine) -> None:
    order_id, wren = arrive(book), signed("Wren")
    form = seen(book, order_id, submission="one")
    assert [wren.post(f"/estimate/{order_id}/price", form).status_code for _ in range(2)] == [303, 303]
    assert len(ledger(book, order_id).works) == 5


def test_nothing_left_to_price_is_said(signed: Signed, book: Engine) -> None:
    order_id = priced(book)
    answer = signed("Wren").post(f"/estimate/{order_id}/price", seen(book, order_id))
    assert answer.status_code == 422
    assert "Every finding that names a kit is priced already." in answer.text


def test_a_finding_without_a_kit_links_to_hand_typed_work(signed: Signed, book: Engine) -> None:
    order_id = arrive(book, (Found("id.history", "unit", "watch"),))
    page = signed("Wren").get(f"/estimate/{order_id}").text
    finding = ledger(book, order_id).by_hand[0].id
    assert "No kit answers it" in page
    assert f'href="/estimate/{order_id}/add?finding={finding}"' in page


def test_a_unit_without_findings_says_so(signed: Signed, book: Engine) -> None:
    order_id = arrive(book, ())
    assert "No finding asks for work so far" in signed("Wren").get(f"/estimate/{order_id}").text


@pytest.mark.parametrize("tap", ["price", "freeze", "print"])
def test_a_tap_on_an_old_page_is_told_so(signed: Signed, book: Engine, tap: str) -> None:
    order_id = priced(book)
    answer = signed("Wren").post(f"/estimate/{order_id}/{tap}", {"revision": "0"})
    assert answer.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", answer.text)
    assert not ledger(book, order_id).frozen


def test_the_budget_is_drawn_where_the_money_ends(signed: Signed, book: Engine) -> None:
    order_id = priced(book)
    page = signed("Wren").get(f"/estimate/{order_id}?budget=500").text
    assert "Budget of 500.00 ends here, with" in page
    short = signed("Wren").get(f"/estimate/{order_id}?budget=100").text
    assert "short</b> of what must be done before towing" in short


@pytest.mark.parametrize("typed", ["lots", "-5", "1.2.3.4"])
def test_a_budget_that_is_none_stays_in_its_field(signed: Signed, book: Engine, typed: str) -> None:
    answer = signed("Wren").get(f"/estimate/{priced(book)}?budget={typed}")
    assert answer.status_code == 422
    assert f'value="{typed}"' in answer.text
    assert 'aria-describedby="budget-fix"' in answer.text


# Works and lines


def test_a_work_is_added_by_hand(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book, (BREAKAWAY,)), signed("Wren")
    assert wren.get(f"/estimate/{order_id}/add").status_code == 200
    form = seen(book, order_id, title="Fit a hasp", group="wait", hours="0.5", **PART)
    answer = wren.post(f"/estimate/{order_id}/works", form)
    work = work_named(book, order_id, "Fit a hasp")
    assert answer.headers["location"] == f"/estimate/{order_id}/works/{work.id}"
    # 0.5 h at 125.00, two at 4.50, supplies 3 % of 62.50
    assert work.amount == 6250 + 900 + 188


def test_a_refused_work_keeps_what_was_typed(signed: Signed, book: Engine) -> None:
    order_id = arrive(book)
    finding = ledger(book, order_id).unpriced[0].id
    form = seen(book, order_id, title="", group="wait", hours="half", findings=str(finding))
    answer = signed("Wren").post(f"/estimate/{order_id}/works", form)
    assert answer.status_code == 422
    assert 'value="half"' in answer.text
    assert re.search(rf'name="findings" value="{finding}" checked', answer.text)
    assert re.search(r'id="hours"[^>]*aria-describedby="hours-hint hours-fix"', answer.text)
    assert "a number such as 12, 3.5 or 1 3/8" in answer.text
    assert ledger(book, order_id).works == ()


def test_a_work_added_twice_by_a_double_tap_is_one(signed: Signed, book: Engine) -> None:
    order_id, wren = arrive(book, (BREAKAWAY,)), signed("Wren")
    finding = str(ledger(book, order_id).unpriced[0].id)
    form = seen(book, order_id, title="Look", group="wait", hours="1", findings=finding, submission="one")
    answers = [wren.post(f"/estimate/{order_id}/works", form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert len(ledger(book, order_id).works) == 1


def test_a_work_for_an_old_page_keeps_what_was_typed(signed: Signed, book: Engine) -> None:
    order_id = priced(book)
    form = {"revision": "0", "title": "Fit a hasp", "group": "wait", "hours": "0.5"}
    answer = signed("Wren").post(f"/estimate/{order_id}/works", form)
    assert answer.status_code == 409
    assert 'value="Fit a hasp"' in answer.text
    assert f'name="revision" value="{ledger(book, order_id).guard}"' in answer.text


def test_a_works_page_shows_cautions_and_who_may_do_it(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    page = signed("Wren").get(f"/estimate/{order_id}/works/{work_named(book, order_id, 'Breakaway').id}").text
    assert "WARNING" in page
    assert "State law decides which trailers need a breakaway brake" in page


def test_a_line_is_added_changed_and_removed(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book, (BREAKAWAY,)), signed("Wren")
    work = work_named(book, order_id, "Breakaway")
    at = f"/estimate/{order_id}/works/{work.id}"
    assert wren.post(f"{at}/lines", seen(book, order_id, **PART)).headers["location"] == at
    line = next(line for line in work_named(book, order_id, "Breakaway").lines if line.what == "Hasp")
    where = f"/estimate/{order_id}/lines/{line.id}"
    assert 'value="4.50"' in wren.get(where).text
    changed = seen(book, order_id, **{**PART, "price": "5.00"})
    assert wren.post(where, changed).headers["location"] == at
    assert work_named(book, order_id, "Breakaway").amount == work.amount + 1000
    assert wren.post(f"{where}/remove", seen(book, order_id)).status_code == 303
    assert work_named(book, order_id, "Breakaway").amount == work.amount


def test_a_refused_line_keeps_what_was_typed(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book, (BREAKAWAY,)), signed("Wren")
    work = work_named(book, order_id, "Breakaway")
    bad = seen(book, order_id, **{**PART, "price": "4O"})
    for where in (f"works/{work.id}/lines", f"lines/{work.lines[1].id}"):
        answer = wren.post(f"/estimate/{order_id}/{where}", bad)
        assert answer.status_code == 422
        assert 'value="4O"' in answer.text
        assert "an amount such as 1305.39 or 1,305.39" in answer.text
    assert work_named(book, order_id, "Breakaway") == work


def test_a_line_changed_on_an_old_page_shows_both(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book, (BREAKAWAY,)), signed("Wren")
    line = work_named(book, order_id, "Breakaway").lines[1]
    answer = wren.post(f"/estimate/{order_id}/lines/{line.id}", {**PART, "revision": "0", "price": "31.00"})
    assert answer.status_code == 409
    assert 'value="31.00"' in answer.text
    assert "In the book now: <b>26.00</b>" in answer.text  # kit k5's switch
    guard = ledger(book, order_id).guard
    assert f'name="revision" value="{guard}"' in answer.text


def test_a_line_that_was_shown_is_changed_in_the_next_revision_once(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book, (BREAKAWAY,)), signed("Wren")
    line = work_named(book, order_id, "Breakaway").lines[1]
    form = seen(book, order_id, **PART, submission="one")
    answers = [wren.post(f"/estimate/{order_id}/lines/{line.id}", form) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert ledger(book, order_id).n == 2


def test_name_and_group_of_a_work_are_changed(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book, (ROOF,)), signed("Wren")
    work = ledger(book, order_id).works[0]
    at = f"/estimate/{order_id}/works/{work.id}"
    answer = wren.post(at, seen(book, order_id, title="", group="should"))
    assert answer.status_code == 422
    assert "What is to be done is missing" in answer.text
    assert wren.post(at, seen(book, order_id, title="Roof", group="should")).status_code == 303
    assert ledger(book, order_id).work(work.id).group is Group.SHOULD
    late = wren.post(at, {"title": "Roof skin", "group": "wait", "revision": "1"})
    assert late.status_code == 409
    assert 'value="Roof skin"' in late.text
    assert "In the book now: <b>Roof</b>" in late.text


def test_a_work_is_removed(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (ROOF, BREAKAWAY))
    work = work_named(book, order_id, "Breakaway")
    path = f"/estimate/{order_id}/works/{work.id}/remove"
    assert signed("Wren").post(path, seen(book, order_id)).status_code == 303
    assert work.id not in {each.id for each in ledger(book, order_id).works}


def test_what_was_typed_of_a_work_that_was_taken_off_is_not_lost(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (ROOF, BREAKAWAY))
    work = work_named(book, order_id, "Breakaway")
    at = f"/estimate/{order_id}/works/{work.id}"
    before = seen(book, order_id)
    assert signed("Wren").post(f"{at}/remove", before).status_code == 303
    for path, typed in (
        (at, {"title": "New cable", "group": "must"}),
        (f"{at}/lines", {"kind": "part", "what": "New cable", "quantity": "1", "price": "9.00"}),
    ):
        late = signed("Lee").post(path, {**before, **typed})
        assert late.status_code == 409, path
        assert "Not saved: Wren saved first" in late.text, path
        assert "<td>New cable</td>" in late.text, path
        assert signed("Lee").post(path, {**seen(book, order_id), **typed}).status_code == 404, path


def test_what_was_typed_of_a_line_that_was_taken_off_is_not_lost(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    line = next(line for line in work_named(book, order_id, "Breakaway").lines if not line.fixed)
    at = f"/estimate/{order_id}/lines/{line.id}"
    before = seen(book, order_id)
    assert signed("Wren").post(f"{at}/remove", before).status_code == 303
    typed = {"what": "Longer cable", "quantity": "2", "price": "11.00"}
    late = signed("Lee").post(at, {**before, **typed})
    assert late.status_code == 409
    for text in ("Not saved: Wren saved first", "<td>Longer cable</td>", "<td>11.00</td>"):
        assert text in late.text
    assert signed("Lee").post(at, {**seen(book, order_id), **typed}).status_code == 404


def test_the_line_of_supplies_has_no_page(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    line = next(line for line in work_named(book, order_id, "Breakaway").lines if line.fixed)
    assert signed("Wren").get(f"/estimate/{order_id}/lines/{line.id}").status_code == 404


# Consent


def test_showing_it_freezes_it_and_leads_to_the_consent(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book), signed("Wren")
    assert "Nothing to answer yet" in wren.get(f"/estimate/{order_id}/consent").text
    answer = wren.post(f"/estimate/{order_id}/freeze", seen(book, order_id))
    assert answer.headers["location"] == f"/estimate/{order_id}/consent"
    assert ledger(book, order_id).frozen


def test_nothing_is_ticked_beforehand(signed: Signed, book: Engine) -> None:
    order_id = shown(book)
    page = signed("Wren").get(f"/estimate/{order_id}/consent").text
    words = re.findall(r'<input type="radio" name="say-\d+"[^>]*>', page)
    assert len(words) == 3 * len(ledger(book, order_id).works)
    assert not any("checked" in word for word in words)


def test_a_phone_call_is_noted_from_its_own_key(signed: Signed, book: Engine) -> None:
    page = signed("Wren").get(f"/estimate/{shown(book)}/consent?how=phone").text
    assert re.search(r'name="how" value="phone" checked', page)


def test_the_owners_answers_are_kept_and_shown(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book, (BREAKAWAY, ROOF)), signed("Wren")
    roof = ledger(book, order_id).groups[-1].works[0]
    form = consent_form(book, order_id, **{f"say-{roof.id}": "no", "signature": "M24 96L40 30"})
    assert wren.post(f"/estimate/{order_id}/consent", form).status_code == 303
    [kept] = consents(book)
    assert (kept.who, kept.how, kept.signature) == ("Rosalind Achterberg", "tablet", "M24 96L40 30")
    page = wren.get(f"/estimate/{order_id}").text
    assert 'd="M24 96L40 30"' in page
    assert re.search(r'class="strike"><a[^>]*>Replace roof skin', page)


def test_a_double_tap_keeps_one_consent(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book), signed("Wren")
    form = consent_form(book, order_id, submission="one")
    assert [wren.post(f"/estimate/{order_id}/consent", form).status_code for _ in range(2)] == [303, 303]
    assert len(consents(book)) == 1


def test_a_must_put_off_without_initials_comes_back_with_all_answers(signed: Signed, book: Engine) -> None:
    order_id = shown(book, (TREAD, ROOF))
    tire, roof = ledger(book, order_id).works
    form = consent_form(book, order_id, **{f"say-{tire.id}": "no"})
    answer = signed("Wren").post(f"/estimate/{order_id}/consent", form)
    assert answer.status_code == 422
    assert f'aria-describedby="initials-{tire.id}-hint initials-{tire.id}-fix"' in answer.text
    assert "initials such as MT" in answer.text
    assert re.search(rf'name="say-{tire.id}" value="no" checked', answer.text)
    assert re.search(rf'name="say-{roof.id}" value="yes"[^>]* checked', answer.text)
    assert 'value="Rosalind Achterberg"' in answer.text
    assert consents(book) == []
    again = consent_form(book, order_id, **{f"say-{tire.id}": "no", f"initials-{tire.id}": "R.A."})
    assert signed("Wren").post(f"/estimate/{order_id}/consent", again).status_code == 303


def test_a_forged_signature_is_neither_kept_nor_shown(signed: Signed, book: Engine) -> None:
    order_id = shown(book)
    evil = 'M1 1"/><script>alert(1)</script>'
    answer = signed("Wren").post(
        f"/estimate/{order_id}/consent", consent_form(book, order_id, signature=evil)
    )
    assert answer.status_code == 422
    assert "The drawn signature cannot be read" in answer.text
    assert "alert(1)" not in answer.text
    assert consents(book) == []


def test_consent_to_an_old_revision_is_refused(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book), signed("Wren")
    form = consent_form(book, order_id)
    oil = NewWork("Oil the hinge", Group.WAIT, hours="1")
    steps.add_work(book, writer(book, order_id), order_id, oil)
    assert wren.post(f"/estimate/{order_id}/consent", form).status_code == 409
    steps.freeze(book, writer(book, order_id, people_now()), order_id)
    answer = wren.post(f"/estimate/{order_id}/consent", {**form, "submission": "two"})
    assert answer.status_code == 409
    assert "has changed since this page was shown" in answer.text
    newer = {**form, "revision": str(ledger(book, order_id).guard), "submission": "three"}
    assert (
        wren.post(f"/estimate/{order_id}/consent", newer).status_code == 409
    )  # `shown` is still the old one
    assert consents(book) == []


@pytest.mark.parametrize(("how", "who"), [("phone", "Ros A."), ("tablet", "")])
def test_a_late_answer_keeps_how_it_came_but_no_word_on_a_line(
    signed: Signed, book: Engine, how: str, who: str
) -> None:
    order_id = shown(book)
    said = {"said_on": "2026-05-04", "said_time": "11:05", "phone": "555 0199", "read_back": "both"}
    form = consent_form(book, order_id, how=how, who="Ros A.", **said)
    steps.freeze(book, writer(book, order_id, people_now()), order_id)
    steps.add_work(book, writer(book, order_id), order_id, NewWork("Oil the hinge", Group.WAIT, hours="1"))
    steps.freeze(book, writer(book, order_id, people_now()), order_id)
    answer = signed("Wren").post(f"/estimate/{order_id}/consent", form)
    page = lxml.html.fromstring(answer.text)
    assert answer.status_code == 409
    kept = [page.get_element_by_id(name).get("value") for name in ("phone", "said_on", "who", "said_time")]
    assert kept == ["555 0199", "2026-05-04", who, ""]
    assert not page.xpath("//input[starts-with(@name, 'say-')][@checked]")
    (said,) = page.xpath("//*[@id='fixes']")
    assert "nothing was kept: go through the lines anew" in said.text_content()
    assert "save again" not in said.text_content()


def test_a_late_answer_to_an_estimate_that_is_worked_on_has_no_lines_to_go_through(
    signed: Signed, book: Engine
) -> None:
    order_id = shown(book)
    form = consent_form(book, order_id, how="tablet", who="Ros A.")
    steps.add_work(book, writer(book, order_id), order_id, NewWork("Oil the hinge", Group.WAIT, hours="1"))
    page = lxml.html.fromstring(signed("Wren").post(f"/estimate/{order_id}/consent", form).text)
    (said,) = page.xpath("//*[@id='fixes']")
    assert "nothing was kept." in said.text_content()
    assert not page.xpath("//form[@data-agreed]")


@pytest.mark.parametrize("text", ["", "x", "９", "9" * 30])
def test_a_consent_that_names_no_revision_is_refused(signed: Signed, book: Engine, text: str) -> None:
    order_id = shown(book)
    answer = signed("Wren").post(f"/estimate/{order_id}/consent", consent_form(book, order_id, shown=text))
    assert answer.status_code == 422
    assert consents(book) == []


def test_a_call_begins_with_what_is_known_and_an_answer_here_with_no_name(
    signed: Signed, book: Engine
) -> None:
    asked = f"/estimate/{shown(book)}/consent"
    pages = {how: lxml.html.fromstring(signed("Wren").get(f"{asked}?how={how}").text) for how in How}
    known = {
        how: [page.get_element_by_id(name).get("value") for name in ("phone", "who")]
        for how, page in pages.items()
    }
    assert known[How.PHONE] == ["555 0142", "Rosalind Achterberg"]
    assert known[How.TABLET] == known[How.PAPER] == ["555 0142", ""]  # typed, the name is the signature


def test_a_call_is_kept_with_number_time_and_words(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book), signed("Wren")
    bare = wren.post(f"/estimate/{order_id}/consent", consent_form(book, order_id, how="phone"))
    assert bare.status_code == 422
    for says in ("The day of the answer is missing", "The time of the answer is missing"):
        assert says in bare.text
    page = wren.get(f"/estimate/{order_id}/consent?how=phone").text
    for field in ("said_on", "said_time", "phone", "read_back"):
        assert f'name="{field}"' in page


# The paper


def test_the_paper_says_whether_it_may_be_towed_and_asks_line_by_line(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book), signed("Wren")
    form = seen(book, order_id, submission="one")
    answer = wren.post(f"/estimate/{order_id}/print", form)
    assert answer.status_code == 303
    assert ledger(book, order_id).frozen
    pdf = wren.get(answer.headers["location"])
    text = " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(pdf.content)).pages).split())
    for words in (
        "It may not be towed yet: two things come first.",
        "E-2026-0001, revision 1",
        "1 Replace a tire, axle 1 left",
        "What it comes to, with tax",
        "Keep my old parts for me",
        "Owner: Rosalind Achterberg",
        "If you answered by telephone or in writing",
    ):
        assert words in text
    everything = dict(ledger(book, order_id).whole)[Group.WAIT].gross
    assert f"Everything {everything / 100:,.2f}" in text
    assert wren.post(f"/estimate/{order_id}/print", form).headers["location"] == answer.headers["location"]


# Who may, and what is not there


@pytest.mark.parametrize(
    "path",
    ["price", "freeze", "print", "works", "works/1", "works/1/lines", "works/1/remove", "lines/1", "consent"],
)
def test_a_technician_changes_nothing(signed: Signed, book: Engine, path: str) -> None:
    order_id = priced(book)
    before = ledger(book, order_id)
    assert signed("Toni").post(f"/estimate/{order_id}/{path}", seen(book, order_id)).status_code == 403
    assert ledger(book, order_id) == before


@pytest.mark.parametrize("path", ["add", "consent", "works/1", "lines/1"])
def test_a_technician_does_not_see_the_writers_forms(signed: Signed, book: Engine, path: str) -> None:
    assert signed("Toni").get(f"/estimate/{priced(book)}/{path}").status_code == 403


def test_every_route_names_who_may() -> None:
    mine = [route for route in router.routes if isinstance(route, APIRoute)]
    assert len(mine) >= 15
    for route in mine:
        [only] = [it.dependency for it in route.dependencies if isinstance(it.dependency, Only)]
        assert not ("POST" in (route.methods or ()) and Role.TECHNICIAN in only.roles)


@pytest.mark.parametrize(
    "path",
    [
        "99",
        "0",
        "-1",
        "x",
        "9223372036854775808",  # one more than the book's keys can hold
        "99/consent",
        "99/add",
        "{order}/works/99",
        "{order}/lines/99",
        "{order}/lines/9223372036854775808",
    ],
)
def test_a_key_that_is_not_there_is_not_found(signed: Signed, book: Engine, path: str) -> None:
    order_id = priced(book)
    assert signed("Wren").get(f"/estimate/{path.format(order=order_id)}").status_code == 404


@pytest.mark.parametrize(
    "path",
    ["99/price", "{order}/works/99", "{order}/works/99/remove", "{order}/lines/99/remove", "99/consent"],
)
def test_a_post_to_a_key_that_is_not_there_is_not_found(signed: Signed, book: Engine, path: str) -> None:
    order_id = priced(book)
    form = seen(book, order_id, title="Roof", group="wait")
    assert signed("Wren").post(f"/estimate/{path.format(order=order_id)}", form).status_code == 404


def test_pages_hold_no_script_or_style_of_their_own(signed: Signed, book: Engine) -> None:
    order_id, wren = shown(book), signed("Wren")
    work = ledger(book, order_id).works[0]
    for path in ("", "/add", "/consent", f"/works/{work.id}", f"/lines/{work.lines[0].id}"):
        page = wren.get(f"/estimate/{order_id}{path}").text
        assert not re.search(r"<style|<script>| style=| on[a-z]+=|type=\"number\"", page)


def test_what_was_read_is_in_the_book_before_the_answer(signed: Signed, book: Engine) -> None:
    order_id = arrive(book)
    signed("Wren").post(f"/estimate/{order_id}/price", seen(book, order_id))
    with reading(book) as session:
        assert facts.guard(session, order_id) == 1

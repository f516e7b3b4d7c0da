"""Every page that links reach: whole, well formed, and changing nothing by being looked at."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

import lxml.html
import pytest
from fastapi import FastAPI

from app.web import build
from tests.whole.conftest import Crawled, Desk
from tests.whole.crawl import Form, Page, inline_faults, routes, tree

Element = Any  # of lxml, which has no types


@pytest.fixture(scope="module")
def shown(pages: Mapping[str, Page]) -> list[Page]:
    """The pages that are HTML and were answered with one."""
    return [page for page in pages.values() if page.is_page and page.status == 200]


def faults(shown: list[Page], look: Callable[[Element], Iterator[str]]) -> list[str]:
    """What a look at each page finds wrong, with the page's address."""
    return [f"{page.address}: {says}" for page in shown for says in look(page.root)]


def test_every_link_of_ours_leads_to_a_page(pages: Mapping[str, Page]) -> None:
    lost = [(page.status, page.address, page.found_on) for page in pages.values() if page.status >= 400]
    assert lost == []


def test_the_crawl_reaches_every_page_that_can_be_asked_for(pages: Mapping[str, Page], desk: Desk) -> None:
    patterns = [route for route in routes(desk.app) if "GET" in (route.methods or ())]
    paths = [address.partition("?")[0] for address in pages]
    unseen = {route.path for route in patterns if not any(map(route.path_regex.fullmatch, paths))}
    assert {path for path in unseen if not path.startswith("/api/")} <= UNLINKED  # /api/ is for programs


# Pages that the lead of a running shop does not come to by a link, each with its reason.
UNLINKED = {
    "/canvas/{canvas_id}/inspection",  # nothing is sewn yet in the demo shop
    "/authority.crt",  # the program names it at its start, where it has made one
    "/people/first",  # only for a shop without an account
    "/people/sign-in",  # only for who is not signed in
    "/tablet-worker.js",  # these an open page asks for by itself
    "/tablet/me",
    "/tablet/findings/{finding_id}",
    "/tablet/walks/{walk_id}/news",
    "/tablet/walks/{walk_id}/stations/{number}",
    "/intake/vin",  # a part that a form's field asks for
    "/canvas/searches/{search_id}",  # a part that the page of a running search asks for
    "/papers/coming/{key}",  # only while a paper takes longer than a moment
    "/handover/{order_id}/issues/{issue}/paper",  # a part that asks while the paper is made
    "/papers/{kind}/{number:path}/{issue}",  # the square code on a paper leads there
    "/handover/inspection-schema.json",  # for who reads the record in a report by a program
    "/handover/schema.json",  # named inside the record that a handover's PDF carries
}


def test_every_page_has_one_heading_a_title_a_language_and_a_way_to_its_work(shown: list[Page]) -> None:
    assert faults(shown, _outline) == []


def _outline(root: Element) -> Iterator[str]:
    if len(root.findall(".//h1")) != 1:
        yield f"{len(root.findall('.//h1'))} h1"
    if not (root.findtext(".//title") or "").strip():
        yield "no title"
    if not root.get("lang"):
        yield "no lang"
    skip = next((each for each in root.iter("a") if "skip" in (each.get("class") or "")), None)
    target = skip.get("href", "").lstrip("#") if skip is not None else ""
    if not target or not root.xpath("//*[@id=$id]", id=target):
        yield "no skip link to a place on the page"


def test_titles_tell_pages_of_different_work_apart(shown: list[Page]) -> None:
    plain = [page for page in shown if "?" not in page.address]
    assert len({page.root.findtext(".//title") for page in plain}) > len(plain) / 4


def test_no_id_stands_twice_on_a_page(shown: list[Page]) -> None:
    assert faults(shown, _twice) == []


def _twice(root: Element) -> Iterator[str]:
    counted = Counter(root.xpath("//@id"))
    yield from (f"id {name} stands {times} times" for name, times in counted.items() if times > 1)


def test_what_names_another_part_of_the_page_finds_it(shown: list[Page]) -> None:
    assert faults(shown, _pointing) == []


def _pointing(root: Element) -> Iterator[str]:
    known = set(root.xpath("//@id"))
    for name in ("for", "aria-describedby", "aria-labelledby", "aria-controls", "list"):
        for value in root.xpath(f"//@{name}"):
            yield from (f"{name} names {each}" for each in value.split() if each not in known)
    for link in root.xpath("//a[starts-with(@href, '#')]/@href | //use[starts-with(@href, '#')]/@href"):
        if link[1:] not in known:
            yield f"a link to {link}"


def test_every_field_has_a_label_in_words(shown: list[Page]) -> None:
    assert faults(shown, _unlabelled) == []


def _unlabelled(root: Element) -> Iterator[str]:
    for each in root.iter("input", "select", "textarea"):
        if each.get("type") not in ("hidden", "submit") and not _label(root, each):
            yield f"{each.tag} {each.get('name')} has no label"


def _label(root: Element, each: Element) -> str:
    """The words that name a field: its own label, the label around it, or what ARIA names."""
    named = each.get("aria-label", "")
    around = next(each.iterancestors("label"), None)
    if around is not None:
        named += around.text_content()
    for label in root.xpath("//label[@for=$id]", id=each.get("id") or " "):
        named += label.text_content()
    for key in each.get("aria-labelledby", "").split():
        named += "".join(part.text_content() for part in root.xpath("//*[@id=$id]", id=key))
    return named.strip()


def test_every_key_and_link_has_words(shown: list[Page]) -> None:
    assert faults(shown, _wordless) == []


def _wordless(root: Element) -> Iterator[str]:
    for each in root.iter("a", "button"):
        said = each.get("aria-label", "") + each.text_content() + "".join(each.xpath(".//@alt"))
        if not said.strip():
            yield f"<{each.tag} {dict(each.attrib)}> says nothing"


def test_nothing_on_a_page_runs_or_styles_from_inside_it(shown: list[Page]) -> None:
    assert faults(shown, inline_faults) == []


def test_no_number_is_asked_for_with_a_spinner(shown: list[Page]) -> None:
    assert faults(shown, lambda root: (str(each) for each in root.xpath("//input[@type='number']"))) == []


def test_every_picture_says_what_it_shows(shown: list[Page]) -> None:
    assert faults(shown, lambda root: (str(each.get("src")) for each in root.xpath("//img[not(@alt)]"))) == []


def test_every_table_names_its_columns(shown: list[Page]) -> None:
    assert faults(shown, _columnless) == []


def _columnless(root: Element) -> Iterator[str]:
    for each in root.xpath("//table[not(.//th)] | //th[not(@scope)]"):
        yield lxml.html.tostring(each)[:80].decode()


def test_every_form_that_changes_something_carries_token_and_submission(posted: Sequence[Form]) -> None:
    once = [form for form in posted if form.route != "/people/sign-out"]  # ending twice is ending
    assert [(f.page, f.action) for f in posted if not f.untouched().get("token", [""])[0]] == []
    assert [(f.page, f.action) for f in once if not f.untouched().get("submission", [""])[0]] == []


def test_no_two_forms_of_a_page_share_their_submission(posted: Sequence[Form]) -> None:
    """A shared key would make the second form a repeat of the first, and its content would be refused."""
    keys: dict[tuple[str, str], set[str]] = {}
    for form in posted:
        for key in form.untouched().get("submission", []):
            keys.setdefault((form.page, key), set()).add(form.action)
    assert {place: actions for place, actions in keys.items() if len(actions) > 1} == {}


def test_every_form_with_something_to_edit_names_the_revision_that_it_saw(posted: Sequence[Form]) -> None:
    edited = [f for f in posted if f.names("text", "textarea", "select") and f.route not in ADDING]
    assert [(f.page, f.action) for f in edited if "revision" not in f.untouched()] == []


# Forms that only ever add a row, so that there is no revision to have seen, each with its reason.
ADDING = {
    "/workbench/{key}/attach",  # a record, never changed
}


def test_every_form_goes_to_a_route_of_ours(posted: Sequence[Form]) -> None:
    assert [(form.page, form.action) for form in posted if not form.route] == []


def test_every_route_that_changes_something_has_its_form(posted: Sequence[Form], desk: Desk) -> None:
    """What no form of the demo shop can send, no test of this folder covers."""
    sent = {form.route for form in posted}
    changing = {route.path for route in routes(desk.app) if "POST" in (route.methods or ())}
    assert {path for path in changing - sent if not path.startswith("/api/")} <= WITHOUT_FORM


# Routes whose form does not stand on any page of the demo shop as it is, each with its reason.
WITHOUT_FORM = {
    "/bench/jobs/{job_id}/holds/{number}",  # the demo's hold points are all signed, or not reached yet
    "/canvas/{canvas_id}/inspection",  # nothing is sewn yet in the demo shop
    "/people/first",  # only for a shop without an account
    "/people/sign-in",  # only for who is not signed in
    "/people/{person_id}/return",  # only for who has left
    "/workbench/{key}",  # works a figure out again while it is typed; keeps nothing
    "/bench/orders/{order_id}/parts/put-back",  # the demo puts aside only what work still needs
    "/bench/orders/{order_id}/jobs",  # the demo's consents have all become jobs
    "/parts/orders/{order_id}/lines/{line_id}/cost",  # the demo's deliveries came at the catalogue's cost
    "/accounts/bills/{bill_id}/paper",  # only where the press failed
    "/accounts/day/{close_id}/paper",  # the same
    "/accounts/payments/{payment_id}/paper",  # the same
    "/handover/{order_id}/issues/{issue}/paper",  # only where the press failed
    "/handover/visits/{visit_id}/paper",  # the same
    "/inspection/catalogue/kits/{key}/aside",  # only for a kit of the shop's own: the demo has none
    "/papers/{document_id}/mail",  # only where a mail server is named
}


def test_looking_changes_nothing(crawled: Crawled) -> None:
    """Every table but the sign-ins is hashed before and after the crawl."""
    assert crawled.changed == []
    assert len(crawled.pages) > 150  # a crawl that saw little proves little


def test_a_part_asked_for_by_htmx_is_as_sound_as_its_page(shown: list[Page], desk: Desk) -> None:
    before = desk.stands()
    for page in shown[:: max(1, len(shown) // 40)]:
        answer = desk.client.get(page.address, headers={"HX-Request": "true"})
        assert answer.status_code == 200, page.address
        assert answer.text.strip(), page.address
        assert list(inline_faults(tree(answer.text))) == []
    assert desk.stands() == before


def test_a_build_of_the_application_changes_no_row(desk: Desk) -> None:
    before = desk.stands()
    again: FastAPI = build(desk.settings)
    again.state.book.dispose()
    assert desk.stands() == before

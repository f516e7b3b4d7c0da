"""The pages of the workbench as a browser meets them."""

import re
from collections.abc import Callable
from html import unescape
from urllib.parse import urlencode

import lxml.html
import pytest
from httpx import Response

from app.bench import steps as bench
from app.workbench.entry import Figure, Kind
from app.workbench.registry import SECTIONS, all_figures
from app.workbench.rules import example_query
from tests.bench.stay import TONI, Stay, stay
from tests.conftest import Browser, act
from tests.workbench.asking import asked

Signed = Callable[[str], Browser]
FIGURES = list(all_figures().values())


@pytest.fixture
def here(book: object) -> Stay:
    """A unit on the lot."""
    return stay(book)  # type: ignore[arg-type]  # the engine of the book


def address(key: str, **changed: str) -> str:
    """The example of a figure as a link, with some fields changed."""
    query = dict(example_query(all_figures()[key])) | changed
    return f"/workbench/{key}?{urlencode(query)}"


def tree(text: str) -> lxml.html.HtmlElement:
    """A page as a tree."""
    return lxml.html.document_fromstring(text)


def words(text: str) -> str:
    """The words of a page."""
    return " ".join(tree(text).text_content().replace("\xa0", " ").split())


def test_the_list_names_every_figure_by_section(signed: Signed) -> None:
    page = signed("Toni").get("/workbench").text
    assert [each.text for each in tree(page).iter("h2")] == list(SECTIONS)
    for figure in FIGURES:
        assert f'href="/workbench/{figure.key}"' in page


def test_the_find_box_keeps_what_was_asked_and_shows_what_holds_it(signed: Signed) -> None:
    page = signed("Wren").get("/workbench?find=tongue").text
    assert 'value="tongue"' in page
    assert "/workbench/tongue-share" in page
    assert "/workbench/tire-age" not in page
    assert "0 found" in words(signed("Wren").get("/workbench?find=%3Cscript%3E").text)


def test_the_yard_leads_to_the_workbench(signed: Signed) -> None:
    assert 'href="/workbench"' in signed("Toni").get("/").text


def test_every_fresh_form_and_its_example_are_shown(signed: Signed) -> None:
    toni = signed("Toni")
    for figure in FIGURES:
        fresh = toni.get(f"/workbench/{figure.key}")
        assert fresh.status_code == 200
        assert not tree(fresh.text).xpath("//*[@aria-invalid]")
        page = toni.get(address(figure.key))
        assert page.status_code == 200
        assert_worked_out(figure, words(page.text))
        assert_sound(page.text)


def assert_worked_out(figure: Figure, shown: str) -> None:
    """A page holds result, formula and verdict of every figure."""
    for worked in asked(figure.key):
        assert " ".join(worked.says.replace("\xa0", " ").split()) in shown
        assert " ".join(worked.formula.split()) in shown
        if worked.verdict:
            assert worked.verdict.grade.word in shown


def assert_sound(text: str) -> None:
    """One name a control, one id a thing, one first heading, no inline style, drawings named."""
    root = tree(text)
    ids = [each.get("id") for each in root.xpath("//*[@id]")]
    assert len(ids) == len(set(ids)), sorted({each for each in ids if ids.count(each) > 1})
    labelled = {each.get("for") for each in root.iter("label")}
    for control in root.iter("input", "select", "textarea"):
        if control.get("type") == "hidden" or control.get("aria-label"):
            continue
        assert control.get("id") in labelled or any(each.tag == "label" for each in control.iterancestors())
    for each in root.xpath("//*[@aria-describedby]"):
        assert set(each.get("aria-describedby").split()) <= set(ids)
    assert len(list(root.iter("h1"))) == 1
    assert not root.xpath("//*[@style]")
    assert not root.xpath('//input[@type="number"]')
    for drawing in root.xpath('//svg[contains(@class, "drawing")]'):
        assert drawing.get("role") == "img"
        assert drawing.get("aria-label")


@pytest.mark.parametrize("odd", ["<script>alert(1)</script>", "\N{WRENCH}", "1\x00", "x" * 3000])
def test_a_refused_form_keeps_what_was_typed_and_names_the_field(odd: str, signed: Signed) -> None:
    toni = signed("Toni")
    for figure in FIGURES:
        for field in [each for each in figure.fields if each.kind not in (Kind.CHOICE, Kind.YES)][:1]:
            assert_refused_at(field.name, toni.get(address(figure.key, **{field.name: odd})))


def assert_refused_at(name: str, page: Response) -> None:
    """A refused page names the field, in its summary and beside it, and runs nothing that was typed."""
    text = page.text.replace("\x00", "")
    assert page.status_code == 422
    assert "<script>alert(1)" not in text
    control = tree(text).xpath(f'//*[@id="{name}"]')[0]
    assert control.get("aria-invalid") == "true"
    assert f"{name}-fix" in control.get("aria-describedby")
    assert f'href="#{name}"' in text
    assert_sound(text)


def test_every_field_odd_at_once_is_refused_never_an_error(signed: Signed) -> None:
    toni = signed("Toni")
    for figure in FIGURES:
        for odd in ("", "-1", "0", "9" * 20, "NaN", "1,250", "<script>"):
            changed = {each.name: odd for each in figure.fields}
            assert toni.get(address(figure.key, **changed)).status_code in (200, 422)


def test_an_unlikely_value_comes_back_with_a_key_that_keeps_it(signed: Signed) -> None:
    toni = signed("Toni")
    page = toni.get(address("passes", aim="400"))
    assert page.status_code == 422
    assert 'name="confirm-aim" value="400"' in page.text
    kept = toni.get(address("passes", **{"aim": "400", "confirm-aim": "400"}))
    assert (kept.status_code, "100, 200, 400" in kept.text) == (200, True)


def test_units_stand_beside_the_field_and_the_chosen_one_stays(signed: Signed) -> None:
    page = signed("Toni").get(address("end-play", **{"play": "0.1", "play-unit": "mm"}))
    chosen = tree(page.text).xpath('//select[@name="play-unit"]/option[@selected]')
    assert [each.get("value") for each in chosen] == ["mm"]
    assert "0.0039 in" in words(page.text)


def test_a_posted_form_answers_the_same(signed: Signed) -> None:
    toni = signed("Toni")
    posted = toni.post("/workbench/star", {"studs": "5"})
    assert (posted.status_code, "1 3 5 2 4" in posted.text) == (200, True)


def test_htmx_gets_the_part_alone(signed: Signed) -> None:
    toni = signed("Toni")
    part = toni.get(address("star"), part=True).text
    assert "<html" not in part
    assert part.lstrip().startswith('<div class="workbench" id="work">')
    assert "<html" in toni.get(address("star")).text


def test_a_form_works_without_script(signed: Signed) -> None:
    form = tree(signed("Toni").get("/workbench/star").text).forms[0]
    assert (form.method.lower(), form.action) == ("get", "/workbench/star")
    assert form.get("hx-get") == "/workbench/star"


def test_dates_begin_with_today_and_choices_with_the_first(signed: Signed) -> None:
    page = signed("Toni").get("/workbench/tire-age").text
    value = tree(page).xpath('//*[@id="on"]')[0].get("value")
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", value)


def test_cautions_stand_before_the_form(signed: Signed, here: Stay) -> None:
    page = signed("Toni").get("/workbench/leak-test").text
    assert page.index("DANGER") < page.index("<form")
    assert "Gas that escapes" in page


def test_what_is_not_there_is_not_found(signed: Signed) -> None:
    toni = signed("Toni")
    for path in ("/workbench/nothing", "/workbench/orders/99", "/workbench/orders/0", "/workbench/%3Cb%3E"):
        assert toni.get(path).status_code == 404
    assert toni.post("/workbench/nothing", {}).status_code == 404
    assert toni.post("/workbench/nothing/attach", {}).status_code == 404


# Attaching


def test_without_a_unit_on_the_lot_nothing_can_be_attached(signed: Signed) -> None:
    assert "Attach to" not in signed("Toni").get(address("star")).text


@pytest.mark.parametrize("name", ["Toni", "Wren", "Lee"])
def test_anyone_attaches_a_figure_and_finds_it_on_the_order(name: str, signed: Signed, here: Stay) -> None:
    browser = signed(name)
    page = browser.get(address("end-play", **{"play": "0.5", "play-unit": "mm"})).text
    assert "Unit 214" in page
    form = attaching(page) | {"attach-to": f"order-{here.order}", "attach-for": "left hub"}
    answer = browser.post("/workbench/end-play/attach", form)
    assert (answer.status_code, answer.headers["location"]) == (303, f"/workbench/orders/{here.order}")
    shown = words(browser.get(answer.headers["location"]).text)
    for said in ("End play", "left hub", "0.5 mm", "0.0197 in", "Over 0.010 in: adjust", name):
        assert said in shown


def attaching(page: str) -> dict[str, str]:
    """The hidden fields of the form that attaches."""
    form = next(each for each in tree(page).forms if each.action.endswith("/attach"))
    hidden = form.xpath('.//input[@type="hidden"]')
    return {each.get("name"): unescape(each.get("value")) for each in hidden}


def test_the_same_act_sent_again_attaches_once(signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    form = attaching(toni.get(address("star")).text) | {"attach-to": f"order-{here.order}", "attach-for": ""}
    for _ in range(3):
        assert toni.post("/workbench/star/attach", form).status_code == 303
    page = toni.get(f"/workbench/orders/{here.order}").text
    assert page.count('id="figure-') == 1


def test_a_figure_that_cannot_be_worked_out_is_not_attached(signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    answer = toni.post("/workbench/star/attach", {"studs": "99", "attach-to": f"order-{here.order}"})
    assert answer.status_code == 422
    assert 'value="99"' in answer.text
    assert "No figure is attached" in toni.get(f"/workbench/orders/{here.order}").text


def test_a_place_that_is_not_on_the_lot_is_refused_and_the_figure_stays(signed: Signed, here: Stay) -> None:
    answer = signed("Toni").post("/workbench/star/attach", {"studs": "6", "attach-to": "order-77"})
    assert answer.status_code == 422
    assert "Choose where it goes" in answer.text
    assert "1 4 6 3 5 2" in answer.text


def test_a_line_too_long_for_what_it_is_for_is_said(signed: Signed, here: Stay) -> None:
    form = {"studs": "6", "attach-to": f"order-{here.order}", "attach-for": "x" * 61}
    answer = signed("Toni").post("/workbench/star/attach", form)
    assert (answer.status_code, "61 characters" in answer.text) == (422, True)


def test_a_form_of_an_earlier_sign_in_attaches_nothing(signed: Signed, here: Stay) -> None:
    form = {"studs": "6", "attach-to": f"order-{here.order}", "token": "stale"}
    assert signed("Toni").post("/workbench/star/attach", form).status_code == 403


def test_a_job_that_asks_for_figures_is_proved_by_one(signed: Signed, here: Stay) -> None:
    here.work(["figures"], place="unit")
    bench.open_jobs(here.book, act(TONI), here.order)
    toni = signed("Toni")
    page = toni.get(address("tire-size-change")).text
    assert "job 1" in page
    form = attaching(page) | {"attach-to": "job-1", "attach-for": ""}
    assert toni.post("/workbench/tire-size-change/attach", form).status_code == 303
    assert (
        "Another tire size" in toni.get("/bench/jobs/1").text or "Figures" in toni.get("/bench/jobs/1").text
    )
    assert "job 1" not in toni.get(address("tire-size-change")).text  # it has its figures now
    assert toni.get("/bench/jobs/1/records/figures/unit").status_code == 200

"""A figure attached to a work order: drawn there again, found from the order, kept through the handover."""

from collections.abc import Callable
from datetime import date

import lxml.html
import pytest
from sqlalchemy import Engine

from app.bench.records.figures import Figures, Said
from app.trade.typed import Texts
from app.workbench import steps
from app.workbench.entry import Figure
from app.workbench.facts import Place
from app.workbench.registry import all_figures
from app.workbench.rules import drawn_again, record_of
from tests.bench.stay import TONI, Stay, stay
from tests.conftest import Browser, act
from tests.workbench.asking import TODAY, answered

Signed = Callable[[str], Browser]
DRAWN = [figure for figure in all_figures().values() if answered(figure.key).drawn]


@pytest.fixture
def here(book: Engine) -> Stay:
    """A unit on the lot."""
    return stay(book)


def record(figure: Figure, **changed: str) -> Figures:
    """The example of a figure, worked out for a work order."""
    return record_of(figure, Texts({**figure.examples, **changed}), TODAY, "front left")


@pytest.mark.parametrize("figure", DRAWN, ids=lambda figure: figure.key)
def test_a_record_is_drawn_again_as_it_was_on_the_workbench(figure: Figure) -> None:
    assert drawn_again(figure, record(figure), TODAY) == answered(figure.key).drawn


@pytest.mark.parametrize("figure", DRAWN, ids=lambda figure: figure.key)
def test_a_record_is_drawn_again_after_it_was_read_back_from_the_book(figure: Figure) -> None:
    kept = Figures.model_validate_json(record(figure).model_dump_json())
    assert drawn_again(figure, kept, TODAY) == answered(figure.key).drawn


def test_what_was_typed_in_another_unit_is_drawn_in_it() -> None:
    figure = all_figures()["leak-test"]
    metric = {"start": "2.24", "start-unit": "kPa", "end": "2.2", "end-unit": "kPa"}
    kept = record(figure, **metric)
    assert {each.name: each.says for each in kept.sent}["start-unit"] == "kPa"
    assert drawn_again(figure, kept, TODAY) == answered("leak-test", metric).drawn


def test_a_figure_without_a_drawing_has_none_later() -> None:
    figure = all_figures()["end-play"]
    assert drawn_again(figure, record(figure), TODAY) is None


def test_an_entry_that_is_gone_or_asks_more_leaves_the_figures_as_kept() -> None:
    figure = all_figures()["star"]
    kept = record(figure)
    assert drawn_again(None, kept, TODAY) is None
    without = kept.model_copy(update={"sent": ()})
    assert drawn_again(figure, without, TODAY) is None
    odd = kept.model_copy(update={"sent": (Said(name="studs", says="99"),)})
    assert drawn_again(figure, odd, TODAY) is None


def test_what_was_confirmed_is_still_confirmed_when_it_is_drawn() -> None:
    figure = all_figures()["passes"]
    kept = record(figure, **{"aim": "400", "confirm-aim": "400"})
    assert ("confirm-aim", "400") in {(each.name, each.says) for each in kept.sent}


def test_two_digits_of_a_year_mean_what_they_meant_on_the_day() -> None:
    figure = all_figures()["requalification"]
    kept = record(figure, made="03-16", tested="")
    assert drawn_again(figure, kept, date(2046, 1, 1)) is None  # nothing to draw, and nothing raised


def test_the_order_page_shows_drawing_and_figures_and_links_back(signed: Signed, here: Stay) -> None:
    for key in ("runout", "spring-bars", "star", "leak-test", "tire-size-change", "weights-two-planes"):
        kept = record(all_figures()[key])
        steps.attach_figure(here.book, act(TONI), Place("", "", here.order), kept)
    page = signed("Toni").get(f"/workbench/orders/{here.order}").text
    root = lxml.html.document_fromstring(page)
    assert len(root.xpath('//svg[contains(@class, "drawing")]')) >= 6
    ids = [each.get("id") for each in root.xpath("//*[@id]")]
    assert len(ids) == len(set(ids))
    assert page.count("front left") == 6
    assert not root.xpath("//*[@style]")
    order = signed("Toni").get(f"/orders/{here.order}").text
    assert f'href="/workbench/orders/{here.order}"' in order


def test_the_newest_figure_stands_first(signed: Signed, here: Stay) -> None:
    for key in ("star", "end-play"):
        steps.attach_figure(here.book, act(TONI), Place("", "", here.order), record(all_figures()[key]))
    page = signed("Toni").get(f"/workbench/orders/{here.order}").text
    assert page.index("End play") < page.index("Tightening order")

"""A lead time for each material of an order: the last to come decides, and is told as the reason."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import promised, steps
from app.canvas.materials import Material, materials_of
from app.canvas.promised import HoursSaid, read_hours
from app.canvas.said import PartSaid
from app.canvas.tables import CanvasHours
from app.ground.acting import new_key
from app.ground.book import reading
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.canvas.test_promised import HOURS, TODAY, a_day, besides_the_yes, needs, place, reckoned, released
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
WINDOW = {"film": "clear", "film_thou": "20", "screen": "none", "flap": "none", "size": "700 by 480 mm"}
ZIPPER = {
    "chain": "8",
    "teeth": "coil",
    "teeth_an_inch": "10",
    "length": "900 mm",
    "separating": "separating",
    "slider_side": "left",
    "pulls": "both",
}
NEEDS = HoursSaid("4", "12", "0", "0", "0")


def with_part(book: Engine, key: int, kind: Kind, known: dict[str, str]) -> int:
    part = steps.add_part(book, act(), key, kind, "front wall")
    return steps.save_part(book, act(), part, PartSaid("front wall", known))


@pytest.fixture
def order(book: Engine) -> int:
    """A released order with a window of film and a zipper, and a loft whose day is known."""
    promised.set_loft(book, act(1), a_day())
    key = loft.ready(book)
    with_part(book, key, Kind.WINDOW, WINDOW)
    with_part(book, key, Kind.ZIPPER, ZIPPER)
    return released(book, key)


def test_asked_are_the_materials_that_the_order_takes(book: Engine, order: int) -> None:
    assert materials_of(loft.read(book, order)) == (Material.FILM, Material.ZIPPERS)  # no screen
    bare = loft.ready(book)
    assert materials_of(loft.read(book, bare)) == ()
    with_part(book, bare, Kind.FASTENER, {"what": "none"})
    assert materials_of(loft.read(book, bare)) == ()
    with_part(book, bare, Kind.WINDOW, {})  # nothing is known of it: it may take both
    assert materials_of(loft.read(book, bare)) == (Material.FILM, Material.SCREEN)


def test_a_lofts_canvas_comes_as_one(book: Engine, order: int) -> None:
    it = loft.read(book, order)
    steps.save_order(book, act(seen=it.row.revision), order, steps_said("loft"))
    released(book, order)
    assert materials_of(loft.read(book, order)) == ()
    needs(book, order, HoursSaid("4", "12", "5", "10", "21"))
    assert reckoned(place(book, order)).reasons[0].startswith("the canvas of the sewing loft takes about 12")


def steps_said(maker: str) -> steps.OrderSaid:
    return steps.OrderSaid(maker, "measure", "", "", "")


def test_the_last_material_to_come_is_the_reason(book: Engine, order: int) -> None:
    days = {"film": ["1", "2", "3"], "zippers": ["5", "10", "21"]}
    needs(book, order, replace(NEEDS, others=days))
    late = place(book, order)
    assert reckoned(late).reasons[0].startswith("the zippers take about 12")  # (5 + 10 + 21) / 3
    needs(book, order, replace(NEEDS, others={**days, "zippers": ["0", "0", "0"]}))
    soon = reckoned(place(book, order))
    assert soon.reasons[0].startswith("the window film takes about 2")
    assert soon.promised < reckoned(late).promised


def test_what_is_overdue_is_named_and_what_nobody_said_too(book: Engine, order: int) -> None:
    days = {"film": ["1", "2", "5"], "zippers": ["5", "10", "21"]}
    needs(book, order, replace(NEEDS, others=days))
    # said on Monday 4 May 2026: the fifth worked day after it is Monday 11 May
    (says,) = besides_the_yes(place(book, order, TODAY.replace(day=11)))
    assert says.startswith("The window film was to be here by 11 May 2026 at the longest")
    with_part(book, order, Kind.FASTENER, {"what": "snap", "first": "75 mm", "apart": "200 mm", "count": "9"})
    released(book, order)
    (says,) = besides_the_yes(place(book, order))
    assert says == "Nobody has said yet how long these take to come: fasteners"


def test_days_of_the_cloth_alone_hold_for_all_as_before(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("4", "12", "5", "10", "21"))
    found = place(book, order)
    assert reckoned(found).reasons[0].startswith("the cloth takes about 12")
    assert besides_the_yes(found) == ()
    (says,) = besides_the_yes(place(book, order, TODAY.replace(month=7)))
    assert says.startswith("The materials were to be here by")


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"zippers_likely": ""}, "zippers_likely"),
        ({"zippers_longest": "soon"}, "zippers_longest"),
        ({"film_longest": "300"}, "film_longest"),
        ({"film_likely": "4"}, "film_likely"),  # below the shortest
    ],
)
def test_days_that_cannot_be_are_refused_beside_their_field(texts: dict[str, str], field: str) -> None:
    days = {name: text for it in Material for name, text in zip(it.fields, ("5", "10", "21"), strict=True)}
    with pytest.raises(Refused) as refused:
        read_hours(Texts({**HOURS, **days, **texts}), (), (Material.FILM, Material.ZIPPERS))
    assert [problem.field for problem in refused.value.problems] == [field]


def test_the_page_asks_for_each_and_tells_each(book: Engine, signed: Signed, order: int) -> None:
    wren = signed("Wren")
    page = wren.get(f"/canvas/{order}/promise").text
    assert "Working days until the cloth is here; 0 where it is so" in page
    assert "Working days until the zippers are here; 0 where it is so" in page
    assert 'name="screen_likely"' not in page
    days = dict(zip(Material.ZIPPERS.fields, ("5", "10", "21"), strict=True))
    here = dict.fromkeys((*Material.FILM.fields, *promised.CLOTH_DAYS), "0")
    sent = {"submission": new_key(), "revision": "0", **HOURS, **days, **here}
    assert wren.post(f"/canvas/{order}/promise/hours", sent).status_code == 303
    with reading(book) as session:
        (row,) = session.exec(select(CanvasHours)).all()
    assert row.others == {"film": ["0", "0", "0"], "zippers": ["5", "10", "21"]}
    page = " ".join(wren.get(f"/canvas/{order}/promise").text.split())
    assert "until it is here: cloth here; window film here; zippers 5 to 21, likely 10." in page
    assert "The zippers take about 12" in page.replace("\u00a0", " ")
    assert 'name="zippers_likely" type="text" value="10"' in page
    late = wren.post(f"/canvas/{order}/promise/hours", {**sent, "submission": new_key()})
    assert late.status_code == 409
    assert "Zippers: likely" in late.text

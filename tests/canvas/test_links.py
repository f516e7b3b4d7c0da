"""The ways that lead to a canvas order: the work order, the finding, the job of the kit."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine

from app.canvas import facts, steps
from app.ground.book import reading
from app.inspection import steps as inspection
from app.inspection.steps import Seen
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from tests.canvas import loft
from tests.conftest import Browser, act
from tests.inspection.walks import TENT, TRAVEL, at, begun

Signed = Callable[[str], Browser]
TORN = Seen(seen=("tears",), grade=Grade.NEEDS, by=By.USE, readings={"bad": "20"})


@pytest.fixture
def torn(book: Engine) -> int:
    """The finding of a tent whose cloth tears by hand; its work order is the first."""
    row = at(book, begun(book, TENT), "ft.cloth")
    inspection.record_finding(book, act(3, seen=row.revision), row.key, TORN)
    return row.key


def test_the_work_order_of_a_tent_leads_here(book: Engine, signed: Signed, torn: int) -> None:
    assert 'href="/canvas/orders/1"' in signed("Toni").get("/orders/1").text


def test_the_work_order_of_a_travel_trailer_does_not(book: Engine, signed: Signed) -> None:
    begun(book, TRAVEL)
    assert "/canvas/" not in signed("Toni").get("/orders/1").text


def test_the_finding_leads_here_and_is_picked_already(book: Engine, signed: Signed, torn: int) -> None:
    toni = signed("Toni")
    address = f"/canvas/orders/1?finding={torn}"
    assert f'href="{address}"' in toni.get(f"/inspection/findings/{torn}").text
    page = toni.get(address).text
    assert f'<option value="{torn}" selected>' in page


def test_a_finding_that_is_sound_or_not_looked_at_leads_nowhere(book: Engine, signed: Signed) -> None:
    row = at(book, begun(book, TENT), "ft.cloth")
    toni = signed("Toni")
    assert "/canvas/orders" not in toni.get(f"/inspection/findings/{row.key}").text
    with reading(book) as session:
        assert facts.findings_about_canvas(session, 1) == []


def test_an_order_names_the_finding_that_led_to_it(book: Engine, signed: Signed, torn: int) -> None:
    form = {"submission": "a-1", "revision": "0", "finding": str(torn)}
    answer = signed("Toni").post("/canvas/orders/1", form)
    assert answer.headers["location"] == "/canvas/1"
    assert loft.read(book, 1).row.finding_id == torn


def test_one_finding_leads_to_one_order_until_that_is_called_off(book: Engine, torn: int) -> None:
    first = steps.open_order(book, act(), 1, torn)
    with pytest.raises(Refused, match="K-0001"):
        steps.open_order(book, act(), 1, torn)
    steps.call_off(book, act(), first, "The owner sews it")
    assert steps.open_order(book, act(), 1, torn) == first + 1


def test_the_cautions_of_the_kit_stand_beside_the_measuring(book: Engine, signed: Signed, torn: int) -> None:
    key = steps.open_order(book, act(), 1, torn)
    page = signed("Toni").get(f"/canvas/pieces/{loft.piece(book, key)}").text
    assert "WARNING" in page
    assert "Block the roof or ramp before touching its lift" in page

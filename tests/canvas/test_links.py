"""The ways that lead to a canvas order: the work order, the finding, the job of the kit."""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine

from app.canvas import facts, said, shown, steps
from app.canvas.rules import How
from app.ground.book import reading
from app.inspection import steps as inspection
from app.inspection.steps import Seen
from app.trade.canvas.readiness import Kind
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from app.trade.typed import Texts
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


def test_a_finding_that_has_its_order_leads_to_it(book: Engine, signed: Signed, torn: int) -> None:
    key, toni, address = (
        steps.open_order(book, act(), 1, torn),
        signed("Toni"),
        f"/canvas/orders/1?finding={torn}",
    )
    assert toni.get(address).headers["location"] == f"/canvas/{key}"
    page = toni.get("/canvas/orders/1").text
    assert f'Answered by <a href="/canvas/{key}">canvas order K-0001</a>' in page
    assert f'<option value="{torn}"' not in page
    steps.call_off(book, act(), key, "The owner sews it")
    assert f'<option value="{torn}" selected>' in toni.get(address).text


def test_the_cautions_of_the_kit_stand_beside_the_measuring(book: Engine, signed: Signed, torn: int) -> None:
    key = steps.open_order(book, act(), 1, torn)
    page = signed("Toni").get(f"/canvas/pieces/{loft.piece(book, key)}").text
    assert "WARNING" in page
    assert "Block the roof or ramp before touching its lift" in page


PLACES = (("A", 0, 0), ("B", 800, 600), ("C", 800, 0), ("D", 0, 600))
COORDINATES = {f"{name}-{axis}": f"{at}" for name, *ats in PLACES for axis, at in zip("xy", ats, strict=True)}
ANGLES = {"A-B": "800", "B-C": "600", "C-D": "800", "A-D": "640", "A": "90", "B": "90", "C": "97", "D": "90"}
DRAFTS = [
    (How.TAPE, {**loft.WALL, "A-C": "540"}),
    (How.TAPE, {**loft.WALL, "A-C": "900"}),
    (How.TAPE, {name: mm for name, mm in loft.WALL.items() if name != "B-D"}),  # no check
    (How.TAPE, {"A-B": "400"}),
    (How.TAPE, {**loft.WALL, "A-C": "", "B-D": ""}),
    (How.COORDINATES, COORDINATES),  # its edges cross
    (
        How.COORDINATES,
        {**COORDINATES, "B-y": "0", "C-x": "30", "C-y": "600", "D-y": "620"},
    ),
    (How.COORDINATES, {}),
    (How.ANGLES, ANGLES),
    (How.ANGLES, {**ANGLES, "C": "90", "A-D": "700"}),
    (How.ANGLES, {"A-B": "800"}),
]


def test_whatever_holds_an_order_back_leads_to_a_field_that_is_there(book: Engine, signed: Signed) -> None:
    """Drafts of every kind, their mirrors, a mate that differs, a cloth that shrinks much, and questions."""
    key = loft.opened(book)
    cloth, wall = loft.cloth(book, key), loft.piece(book, key)
    loft.sewn(book, wall, cloth)
    for turn, (how, typed) in enumerate(DRAFTS):
        made = steps.add_piece(book, act(), key, said.NewPiece(f"Draft {turn}", how))
        steps.save_measures(book, act(), made, said.PieceSaid(f"Draft {turn}", dict(typed), ["B"]))
        steps.add_piece(book, act(), key, said.NewPiece(f"Mirror {turn}", How.MIRROR, mirror_of=made))
    mate = steps.add_piece(book, act(), key, said.NewPiece("Mate", How.COORDINATES))
    apart = {**COORDINATES, "B-y": "0", "C-y": "620"}
    steps.save_measures(book, act(), mate, said.PieceSaid("Mate", apart, [], mate_of_id=wall, halves=True))
    (part,) = loft.read(book, key).of_kind(Kind.CLOTH)
    much = Texts({**shown.part_texts(part), "shrink": "9 and 12"})
    steps.save_part(book, act(seen=part.revision), part.key, said.read_part(much, Kind.CLOTH))
    for kind in (Kind.WINDOW, Kind.ZIPPER, Kind.FASTENER, Kind.OPTION):
        steps.add_part(book, act(), key, kind, "front wall")
    steps.add_seam(book, act(), key, said.SeamSaid("corner", [f"{wall}:A-B"], [f"{mate}:A-B"]))
    it, toni = loft.read(book, key), signed("Toni")
    links = {shown.block_of(it, problem).href for problem in it.holds_back}
    pages = {address: toni.get(address).text for address in {link.partition("#")[0] for link in links}}
    parts = [link.partition("#") for link in links]
    assert [(page, field) for page, _, field in parts if f' id="{field}"' not in pages[page]] == []
    assert len(links) > 60


def test_a_refused_release_or_stage_leads_to_the_field_that_is_at_fault(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    loft.piece(book, key, typed={"A-B": "400"})
    it, wren = loft.read(book, key), signed("Wren")
    page = wren.post(f"/canvas/{key}/release", {"submission": "a-1", "revision": f"{it.version}"}).text
    fixes = page[page.index('id="fixes"') :].partition("</ul>")[0]
    assert fixes.count("<li>") == len(it.holds_back)
    assert all(f'href="{shown.block_of(it, each).href}"' in fixes for each in it.holds_back)
    form = {"submission": "a-2", "revision": "0", "stage": "measure", "note": "seen"}
    page = wren.post(f"/canvas/{key}/making", form).text
    assert '<li><a href="/canvas/pieces/1#B-C">P1 Front wall is a draft' in page

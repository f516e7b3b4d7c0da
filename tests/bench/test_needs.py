"""What consented work needs of the parts room: put aside, handed out, ordered; nothing without consent."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.bench import needs
from app.bench import steps as jobs
from app.bench.needs import OrderNeeds
from app.bench.tables import Job
from app.estimate import saying
from app.estimate import steps as estimate
from app.estimate.rules import Group, NewLine, NewWork
from app.ground.book import reading
from app.parts import orders
from app.parts.facts import for_shelf
from app.trade.problems import Refused
from app.trade.totals import LineKind
from tests.conftest import Browser, act
from tests.estimate.arrived import PLATE, arrive, ledger
from tests.parts.shelf import part, stands, stocked, supplier

Signed = Callable[[str], Browser]
LINE = NewLine(LineKind.PART, "BRG-L44649 bearing set, both hubs", "4", 2900, "parts")
HASP = NewLine(LineKind.PART, "Hasp", "1", 450, "parts")


def agreed(book: Engine, answer: str = "yes", lines: tuple[NewLine, ...] = (LINE, HASP)) -> int:
    """Key of a work order with one work of these lines, answered by the owner."""
    order_id = arrive(book, (PLATE,))  # nothing found that is still to be priced
    estimate.add_work(book, act(), order_id, NewWork("Repack the hubs", Group.SHOULD, lines=lines))
    estimate.freeze(book, act(seen=ledger(book, order_id).guard), order_id)
    found = ledger(book, order_id)
    said = saying.SaidAll(
        how=saying.How.PHONE,
        who="Rosalind Achterberg",
        answers=(saying.WorkSaid(found.works[0].id, saying.Said(answer)),),
        phone="555 0142",
        read_back="Repack the hubs, yes or no",
    )
    estimate.consent(book, act(seen=found.guard), order_id, found.revision_id, said)
    return order_id


def needed(book: Engine, order_id: int) -> OrderNeeds:
    with reading(book) as session:
        return needs.needs_of(session, order_id)


def figures(book: Engine, order_id: int) -> tuple[int, int, int, int, int]:
    """Wanted, put aside, handed out, ordered, missing of the only need, in pieces."""
    [it] = needed(book, order_id).needs
    found = (it.wanted, it.held, it.out, it.coming, it.missing)
    return tuple(each // 100 for each in found)  # type: ignore[return-value]  # five of five


def test_a_line_names_a_part_by_its_number_or_by_the_kits_name(book: Engine) -> None:
    part(book)
    part(book, number="HSP-1", kit_part="Hasp")
    found = needed(book, agreed(book))
    assert [(it.part.number, it.wanted) for it in found.needs] == [("BRG-L44649", 400), ("HSP-1", 100)]
    assert found.unknown == ()


def test_what_the_catalogue_does_not_know_is_named(book: Engine) -> None:
    part(book)
    assert needed(book, agreed(book)).unknown == ("Hasp",)


@pytest.mark.parametrize("answer", ["no", "later"])
def test_work_that_was_not_agreed_to_needs_nothing(book: Engine, answer: str) -> None:
    stocked(book, 4)
    order_id = agreed(book, answer)
    assert needed(book, order_id).needs == ()
    with pytest.raises(Refused, match="Nothing that it needs"):
        needs.reserve_parts(book, act(), order_id)


def test_what_lies_free_is_put_aside_the_rest_is_ordered_for_that_work(book: Engine) -> None:
    key = stocked(book, 3, supplier_id=supplier(book), reorder_quantity=0, reorder_at=0)
    order_id, again = agreed(book), act()
    made = needs.reserve_parts(book, again, order_id)
    assert needs.reserve_parts(book, again, order_id) == made
    assert stands(book, key) == (3, 3)
    assert figures(book, order_id) == (4, 3, 0, 0, 1)
    needs.order_what_is_missing(book, act())
    assert figures(book, order_id) == (4, 3, 0, 1, 0)
    with reading(book) as session:
        [line] = orders.order_page(session, 1).lines
    assert (line.quantity, line.work_order_id) == (100, order_id)
    with pytest.raises(Refused, match="Nothing is missing"):
        needs.order_what_is_missing(book, act())
    needs.hand_out_parts(book, act(), order_id)
    assert figures(book, order_id) == (4, 0, 3, 1, 0)
    assert stands(book, key) == (0, 0)


def test_what_lies_free_is_counted_off_once_for_two_work_orders(book: Engine) -> None:
    stocked(book, 5, supplier_id=supplier(book), reorder_quantity=0, reorder_at=0)
    first, second = agreed(book), agreed(book)
    needs.order_what_is_missing(book, act())
    with reading(book) as session:
        lines = orders.order_page(session, 1).lines
    assert [(line.work_order_id, line.quantity) for line in lines] == [(second, 300)]  # 4 + 4 less 5
    assert figures(book, first)[4] == 4  # still to be put aside


def test_the_shelf_is_ordered_to_its_reorder_point(book: Engine) -> None:
    stocked(book, 3, supplier_id=supplier(book))
    needs.order_what_is_missing(book, act())
    with reading(book) as session:
        [line] = orders.order_page(session, 1).lines
    assert (line.quantity, line.work_order_id) == (1000, None)  # 3 are under 4: the quantity of 10


def test_nothing_put_aside_is_nothing_to_hand_out(book: Engine) -> None:
    stocked(book, 4)
    with pytest.raises(Refused, match="Nothing is put aside"):
        needs.hand_out_parts(book, act(), agreed(book))


def test_the_pages_show_and_serve_what_is_needed(book: Engine, signed: Signed) -> None:
    key = stocked(book, 6, supplier_id=supplier(book))
    order_id = agreed(book)
    browser = signed("Toni")
    page = re.sub(r"<[^>]+>|\s+", " ", browser.get("/bench/needs").text)
    assert re.search(r"BRG-L44649 +Bearing set, cone and cup +Repack the hubs +4 +0 +0 +0 +4 +4", page)
    here = f"/bench/orders/{order_id}/parts"
    assert browser.post(f"{here}/reserve", {"submission": "aside"}).status_code == 303
    assert browser.post(f"{here}/hand-out", {"submission": "out"}).status_code == 303
    assert stands(book, key) == (2, 0)
    refused = browser.post(f"{here}/hand-out", {"submission": "more"})
    assert refused.status_code == 422
    assert "Nothing is put aside" in refused.text
    assert browser.get("/bench/orders/99/parts").status_code == 404
    assert browser.post("/bench/needs", {"submission": "order"}).status_code == 403
    assert signed("Wren").post("/bench/needs", {"submission": "order"}).status_code == 303


def finished(book: Engine, order_id: int) -> None:
    """The jobs of a work order, opened and finished."""
    jobs.open_jobs(book, act(), order_id)
    with reading(book) as session:
        keys = list(session.exec(select(Job.id).where(Job.work_order_id == order_id)))
    for key in keys:
        assert key
        jobs.finish_job(book, act(), key)


def test_what_is_put_aside_when_the_job_is_finished_is_still_handed_out(book: Engine) -> None:
    key = stocked(book, 6)
    order_id = agreed(book)
    needs.reserve_parts(book, act(), order_id)
    finished(book, order_id)
    found = needed(book, order_id)
    assert ([(it.part.id, it.held) for it in found.idle], found.needs, found.open) == ([(key, 400)], (), True)
    needs.hand_out_parts(book, act(), order_id)
    assert stands(book, key) == (2, 0)
    assert not needed(book, order_id).open


def test_what_no_open_work_needs_goes_back_on_the_shelf(book: Engine, signed: Signed) -> None:
    key = stocked(book, 6)
    order_id = agreed(book)
    needs.reserve_parts(book, act(), order_id)
    browser, here = signed("Toni"), f"/bench/orders/{order_id}/parts"
    refused = browser.post(f"{here}/put-back", {"submission": "early"})
    assert (refused.status_code, stands(book, key)) == (422, (6, 4))
    finished(book, order_id)
    assert "not needed for open work" in browser.get("/bench/needs").text
    assert "not needed for open work" in browser.get(here).text
    assert browser.post(f"{here}/put-back", {"submission": "back"}).status_code == 303
    assert stands(book, key) == (6, 0)
    assert "No consented work waits for a part" in browser.get("/bench/needs").text


def test_what_a_changed_line_needs_no_more_is_idle(book: Engine) -> None:
    """Four were put aside; two are enough since the line was changed."""
    stocked(book, 6)
    order_id = agreed(book, lines=(LINE,))
    needs.reserve_parts(book, act(), order_id)
    found = ledger(book, order_id)
    line = found.works[0].lines[0].id
    estimate.change_line(book, act(seen=found.guard), order_id, line, replace(LINE, quantity="2"))
    assert [it.held for it in needed(book, order_id).idle] == [200]
    needs.put_back_idle(book, act(), order_id)
    assert figures(book, order_id) == (2, 2, 0, 0, 0)


def test_nothing_more_is_bought_for_a_unit_that_left(book: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the handover says of stays that are over: its own test is in tests/handover."""
    stocked(book, 3, supplier_id=supplier(book), reorder_quantity=0, reorder_at=0)
    order_id = agreed(book)
    needs.reserve_parts(book, act(), order_id)
    monkeypatch.setattr(needs, "OVER", [lambda _: {order_id}])
    found = needed(book, order_id)
    assert ([it.held for it in found.idle], found.needs) == ([300], ())
    with pytest.raises(Refused, match="Nothing is missing"):
        needs.order_what_is_missing(book, act())


def test_the_shelf_is_asked_for_every_part_however_many_there_are(book: Engine) -> None:
    """The catalogue shows its first 300; what has run out may stand behind them."""
    for n in range(301):
        part(book, number=f"A-{n}", bin="A-01", reorder_at=0, reorder_quantity=0)
    part(book, number="LAST", bin="Z-01")
    with reading(book) as session:
        assert [line.number for line in for_shelf(session)] == ["LAST"]

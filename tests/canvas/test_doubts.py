"""What a promised day does not hold for is said beside it: on its page, in the queue, on the work order."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import Engine

from app.canvas import doubts, making, promised
from app.canvas.making import Stage, StageSaid
from app.canvas.promised import HoursSaid
from app.ground.acting import now as the_time
from app.ground.book import reading, writing
from app.intake.tables import WorkOrder
from app.parts.tables import PurchaseLine, PurchaseOrder
from tests.canvas import loft
from tests.canvas.test_papers import printed
from tests.canvas.test_promised import (
    LEE,
    NEEDS,
    TODAY,
    TONI,
    a_day,
    another,
    besides_the_yes,
    needs,
    place,
    told,
)
from tests.conftest import NOON, Browser, act
from tests.parts import shelf

Signed = Callable[[str], Browser]


@pytest.fixture
def order(book: Engine) -> int:
    """A released order that the owner agreed to, hung here, and a loft whose day is known."""
    promised.set_loft(book, act(LEE), a_day())
    key = loft.ready(book)
    loft.agreed(book, key)
    it = loft.read(book, key)
    loft.steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    return key


def unit_promised(book: Engine, order_id: int, at: datetime) -> None:
    with writing(book) as session:
        row = session.get_one(WorkOrder, order_id)
        row.promised_at = at
        session.add(row)


def goes(book: Engine, key: int, ship: str) -> None:
    """Where the order goes, changed without a release, so that its release still stands."""
    with writing(book) as session:
        (part,) = loft.facts.canvas_order(session, key).of_kind(loft.Kind.ORDER)
        part.known = {**part.known, "ship": ship}
        session.add(part)


def test_materials_that_are_overdue_are_asked_after(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("4", "12", "1", "2", "5"))
    # said on Monday 4 May 2026: the fifth worked day after it is Monday 11 May
    assert place(book, order, date(2026, 5, 8)).doubts == ()
    (says,) = place(book, order, date(2026, 5, 11)).doubts
    assert says.startswith("The materials were to be here by 11 May 2026 at the longest")
    for turn, stage in enumerate((Stage.MEASURE, Stage.AGREE, Stage.CUT)):
        making.keep_stage(book, act(TONI, seen=turn), order, StageSaid(stage))
    assert place(book, order, date(2026, 5, 11)).doubts == ()  # they are cut, so they came


def test_materials_that_are_here_are_never_overdue(book: Engine, order: int) -> None:
    needs(book, order)
    assert place(book, order, TODAY + timedelta(days=90)).doubts == ()


def test_an_order_ahead_without_hours_is_named(book: Engine, order: int) -> None:
    second = another(book)
    loft.agreed(book, second)
    needs(book, second)
    assert place(book, second).doubts == (
        "Ahead, but not reckoned in, since nobody has said the hours: K-0001",
    )
    needs(book, order)
    assert place(book, second).doubts == ()


def test_a_day_is_reckoned_as_if_the_owner_said_yes_today(book: Engine, order: int) -> None:
    second = another(book)
    needs(book, order)
    assert place(book, second).doubts == ()  # nothing is reckoned yet
    needs(book, second)
    (says,) = place(book, second).doubts
    assert says == (
        "It is not on the estimate: the owner has agreed to nothing. "
        "No cloth is cut before the owner's yes: the day is reckoned as if it were given today"
    )
    loft.agreed(book, second)
    assert place(book, second).doubts == ()


def test_a_unit_promised_before_its_canvas_is_told(book: Engine, order: int) -> None:
    goes(book, order, "installed")
    needs(book, order)  # alone it is promised by 12 May, see test_promised
    stay = loft.read(book, order).row.work_order_id
    unit_promised(book, stay, datetime(2026, 5, 12, 16, tzinfo=UTC))
    assert besides_the_yes(place(book, order)) == ()
    unit_promised(book, stay, datetime(2026, 5, 11, 16, tzinfo=UTC))
    (says,) = besides_the_yes(place(book, order))
    assert says == (
        "The unit itself is promised for 11 May 2026, its canvas for 12 May 2026: "
        "one of the two is to be told anew"
    )
    told(book, order)  # 5 June counts from now on
    assert "its canvas for 5 June 2026" in besides_the_yes(place(book, order))[0]
    goes(book, order, "owner")  # it is not hung on the unit
    assert besides_the_yes(place(book, order)) == ()


def test_a_day_told_that_cannot_be_reckoned_any_more_is_a_day_to_tell_anew(book: Engine, order: int) -> None:
    needs(book, order)
    told(book, order)
    assert not place(book, order).to_tell
    piece = loft.read(book, order).pieces[0]
    loft.sewn_again(book, piece.key, piece.row.cloth_id or 0)
    found = place(book, order)
    assert found.to_tell
    assert found.doubts == ("The owner was told 5 June 2026, and nobody can say whether it is kept",)


@pytest.mark.parametrize(("unit", "canvas"), [(None, TODAY), (TODAY, None), (TODAY, TODAY)])
def test_days_that_are_not_known_or_alike_do_not_clash(unit: date | None, canvas: date | None) -> None:
    assert list(doubts.unit_sooner(unit, canvas)) == []


def test_the_yard_counts_owners_who_are_to_be_told_a_new_day(
    book: Engine, signed: Signed, order: int
) -> None:
    needs(book, order)
    with reading(book) as session:
        assert promised.to_tell(session, TODAY) == 0
    today = the_time().date()
    toni = signed("Toni")
    assert "to be told" not in toni.get("/").text
    far = (today + timedelta(days=30)).isoformat()
    typed = loft.Texts({"promised": far, "how": "by phone"})
    promised.tell(book, act(seen=0), order, typed, today)
    assert "to be told" not in toni.get("/").text
    needs(book, order, HoursSaid("4", "900", "0", "0", "0"))
    assert "Canvas: 1 to be told a new day" in toni.get("/").text
    page = toni.get(f"/orders/{loft.read(book, order).row.work_order_id}").text
    assert ">K-0001</a>, Released to be cut." in page
    assert ": tell the owner a new day</a>" in page
    assert "tell a new day" in toni.get("/canvas").text


def test_the_owners_paper_does_not_stand_by_a_day_that_is_not_kept(
    book: Engine, signed: Signed, order: int
) -> None:
    needs(book, order)
    far = (the_time().date() + timedelta(days=30)).isoformat()
    typed = loft.Texts({"promised": far, "how": "by phone"})
    promised.tell(book, act(seen=0), order, typed, the_time().date())
    unsure = "This day is not sure any more: a new one is told as soon as it is known."
    text = " ".join(printed(signed("Wren"), order, "order"))
    assert ("Promised by" in text, unsure in text) == (True, False)
    needs(book, order, HoursSaid("4", "900", "0", "0", "0"))
    assert unsure in " ".join(printed(signed("Wren"), order, "order"))


def test_the_work_order_says_how_its_canvas_stands(book: Engine, signed: Signed, order: int) -> None:
    stay = loft.read(book, order).row.work_order_id
    assert "No day told yet" in signed("Toni").get(f"/orders/{stay}").text
    making.keep_stage(book, act(TONI, seen=0), order, StageSaid(Stage.MEASURE))
    assert "Measure done, next: agree." in signed("Toni").get(f"/orders/{stay}").text


def test_doubts_stand_on_the_pages(book: Engine, signed: Signed, order: int) -> None:
    second = another(book)
    needs(book, second, NEEDS)
    toni = signed("Toni")
    for page in (f"/canvas/{second}/promise", "/canvas"):
        assert "Ahead, but not reckoned in" in toni.get(page).text


def test_what_is_bought_for_the_order_stands_beside_its_materials(
    book: Engine, signed: Signed, order: int
) -> None:
    row = loft.read(book, order).row
    here = {
        "work_order_id": row.work_order_id,
        "quantity": 700,
        "cost": 900,
        "expected_on": date(2026, 5, 21),
    }
    supplier, cloth = shelf.supplier(book), shelf.part(book, number="CL-9", name="Wall cloth", unit="yd")
    with writing(book) as session:
        bought = PurchaseOrder(created_at=NOON, number="P-1", supplier_id=supplier)
        session.add(bought)
        session.flush()
        for work in (row.work_id, (row.work_id or 0) + 1):  # the second is for another work of the stay
            line = PurchaseLine(
                created_at=NOON, purchase_order_id=bought.key, part_id=cloth, work_id=work, **here
            )
            session.add(line)
    page = signed("Toni").get(f"/canvas/{order}/promise").text
    assert "On order and not here yet: 7 yd Wall cloth, expected 21 May." in page

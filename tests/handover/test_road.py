"""Road-ready or not: why not, the least work, and the evidence one tap away."""

from collections.abc import Callable

from sqlalchemy import Engine

from app.estimate.saying import Said
from app.ground.book import reading
from app.handover.road import RoadReady, road_ready
from app.trade.figure import Grade
from tests.conftest import NOON, Browser
from tests.handover.stays import HUB, NUTS, SOUND, Stay, ready, stay

Sign = Callable[[str], Browser]


def road(made: Stay) -> RoadReady:
    with reading(made.book) as session:
        return road_ready(session, made.order, NOON.date())


def test_what_holds_it_is_named_and_nothing_is_priced_yet(book: Engine) -> None:
    made = stay(book)
    it = road(made)
    assert it.towing.state is Grade.DNT
    assert [one.stop.finding_id for one in it.held] == [made.findings[NUTS.name]]
    assert it.held[0].goes == f"/inspection/findings/{made.findings[NUTS.name]}"
    assert (it.least, it.amount) == ((), 0)
    assert it.unpriced == (f"{NUTS.name}: two nuts loose",)


def test_once_priced_the_least_work_is_named_with_its_price(book: Engine) -> None:
    made = stay(book)
    made.price(say={})
    it = road(made)
    assert [way.state for way in it.least] == ["agreed"]
    assert it.least[0].finding_ids == (made.findings[NUTS.name],)
    assert it.amount == it.least[0].amount > 0
    assert it.unpriced == ()


def test_work_that_the_owner_will_not_have_is_no_way(book: Engine) -> None:
    made = stay(book)
    made.price(
        say={"Wheel": Said.NO, "Tighten": Said.NO, "Nuts": Said.NO, "Studs": Said.NO, "Replace": Said.NO}
    )
    assert all(not one.ways for one in road(made).held) or road(made).least


def test_finished_and_not_cleared_still_holds_it(book: Engine) -> None:
    made = stay(book)
    made.price(say={})
    made.work()
    it = road(made)
    assert it.towing.state is Grade.DNT
    assert it.least[0].state == "done, not cleared yet"


def test_what_was_cleared_names_its_evidence(book: Engine) -> None:
    made = ready(book)
    it = road(made)
    assert it.towing.word == "It may be towed"
    assert (it.held, it.least) == ((), ())
    assert [(one.name, one.was) for one in it.proof] == [(NUTS.name, Grade.DNT)]
    assert it.proof[0].goes


def test_the_page_says_it_and_leads_on(book: Engine, signed: Sign) -> None:
    made = stay(book)
    made.price(say={})
    page = signed("Toni").get(f"/handover/{made.order}/road").text
    assert '<h1 id="road">Do not tow</h1>' in page
    assert "The least that makes it road-ready" in page
    assert f'href="/inspection/findings/{made.findings[NUTS.name]}"' in page


def test_a_fit_unit_is_said_to_be(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    assert "It may be towed" in signed("Toni").get(f"/handover/{made.order}/road").text
    assert signed("Toni").get("/handover/999/road").status_code == 404


def test_a_part_that_nobody_saw_is_told_alike_on_every_page(book: Engine, signed: Sign) -> None:
    made = stay(book, [HUB])
    it = road(made)
    assert (it.towing.state, it.held) == (Grade.UNSEEN, ())
    for where in (f"/orders/{made.order}", f"/handover/{made.order}/road"):
        page = signed("Toni").get(where).text
        assert '<h1 id="road">Not yet known</h1>' in page
        assert "Not looked at: Play by hand, left hub, axle 1." in page
    made.check()
    page = signed("Wren").get(f"/handover/{made.order}").text
    assert "Nothing that was found stands in the way. Not looked at: Play by hand, left hub, axle 1." in page

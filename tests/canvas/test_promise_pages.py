"""Pages of the queue and of one order's day: by whom they are filled, what they show, what is asked."""

from collections.abc import Callable
from datetime import timedelta
from io import BytesIO

import lxml.html
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import promised, steps
from app.canvas.tables import CanvasHours, CanvasTold, LoftDays
from app.ground.acting import new_key, now
from app.ground.book import reading
from app.trade.days import day as in_words
from tests.canvas import loft
from tests.canvas.test_promised import HOURS, a_day
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
LEE = 1
WEEK = [f"{day}" for day in range(5)]
DAY = {"table_hours": "4", "machine_hours": "6", "busy_percent": "100", "off": "", "week": WEEK}


@pytest.fixture
def order(book: Engine) -> int:
    """An order that is released to be cut."""
    key = loft.ready(book)
    it = loft.read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    return key


def sent(desk: Browser, where: str, **texts: object) -> tuple[int, str]:
    """A form of that page, with a revision of 0 unless said; the answer's state and its page's text."""
    answer = desk.post(where, {"submission": new_key(), "revision": "0", **texts})
    return answer.status_code, lxml.html.document_fromstring(answer.text or "<p>").text_content()


def main(desk: Browser, where: str) -> str:
    """What stands on a page."""
    page = lxml.html.document_fromstring(desk.get(where).text)
    return " ".join(page.xpath("//main")[0].text_content().split())


def rows(book: Engine, kind: type[LoftDays | CanvasHours | CanvasTold]) -> int:
    with reading(book) as session:
        return len(session.exec(select(kind)).all())


def test_a_new_loft_says_what_it_lacks(book: Engine, signed: Signed) -> None:
    page = main(signed("Lee"), "/canvas")
    assert "No canvas is on order." in page
    assert "no day can be promised" in page


def test_a_lead_says_what_the_loft_does_in_a_day(book: Engine, signed: Signed) -> None:
    lee = signed("Lee")
    assert sent(lee, "/canvas", **{**DAY, "busy_months": ["5", "6"], "busy_percent": "50"})[0] == 303
    page = main(lee, "/canvas")
    assert "4 h at the cutting table, 6 h at the machines; in busy months 50 percent of it." in page
    ticked = lxml.html.document_fromstring(lee.get("/canvas").text).xpath("//input[@checked]/@value")
    assert ticked == [*WEEK, "5", "6"]


def test_only_a_lead_sets_the_loft_and_only_the_desk_promises(
    book: Engine, order: int, signed: Signed
) -> None:
    assert sent(signed("Wren"), "/canvas", **DAY)[0] == 403
    toni = signed("Toni")
    assert sent(toni, f"/canvas/{order}/promise/hours", **HOURS)[0] == 403
    assert sent(toni, f"/canvas/{order}/promise", promised="2030-01-01", how="x")[0] == 403
    assert "Say what it needs" not in main(toni, f"/canvas/{order}/promise")


def test_what_was_typed_wrong_stays_in_the_loft_form(book: Engine, signed: Signed) -> None:
    status, page = sent(signed("Lee"), "/canvas", **{**DAY, "table_hours": "none", "week": ["6"]})
    assert status == 422
    assert "not a number" in page
    answer = signed("Lee").post("/canvas", {**DAY, "submission": new_key(), "off": "soon", "week": ["6"]})
    shown = lxml.html.document_fromstring(answer.text)
    assert shown.xpath('//textarea[@name="off"]')[0].text.strip() == "soon"
    assert shown.xpath('//input[@name="week" and @checked]/@value') == ["6"]
    assert rows(book, LoftDays) == 0


def test_an_order_goes_from_its_hours_to_a_day_that_is_told(book: Engine, order: int, signed: Signed) -> None:
    promised.set_loft(book, act(LEE), a_day())
    wren = signed("Wren")
    where = f"/canvas/{order}/promise"
    assert "how many hours it needs" in main(wren, where)
    assert sent(wren, f"{where}/hours", **HOURS)[0] == 303
    page = lxml.html.document_fromstring(wren.get(where).text)
    reckoned = page.xpath('//input[@name="promised"]/@value')[0]
    assert "the cloth takes about 12" in page.text_content().casefold()
    assert sent(wren, where, promised=reckoned, how="by phone, 555 0163")[0] == 303
    found = main(wren, where)
    assert "by phone, 555 0163" in found
    assert "is kept" in found
    assert "the owner was told no day yet" not in main(wren, f"/canvas/{order}")
    assert "K-0001" in main(wren, "/canvas")


def test_a_day_that_cannot_be_kept_says_so_in_the_queue(book: Engine, order: int, signed: Signed) -> None:
    promised.set_loft(book, act(LEE), a_day())
    wren = signed("Wren")
    where = f"/canvas/{order}/promise"
    sent(wren, f"{where}/hours", **HOURS)
    soon = (now().date() + timedelta(days=2)).isoformat()
    status, page = sent(wren, where, promised=soon, how="at the counter")
    assert (status, "sooner than four of five" in page) == (422, True)
    again = {"promised": soon, "how": "at the counter", "confirm-promised": soon}
    assert sent(wren, where, **again)[0] == 303
    assert "Tell the owner a new day" in main(wren, where)
    assert "tell a new day" in main(wren, "/canvas")


def test_nothing_is_told_of_an_order_that_is_not_released(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    wren = signed("Wren")
    assert "not released as it stands" in main(wren, f"/canvas/{key}/promise")
    status, page = sent(wren, f"/canvas/{key}/promise", promised="2030-01-01", how="x")
    assert (status, "not released as it stands" in page) == (422, True)
    assert rows(book, CanvasTold) == 0


def test_who_comes_second_sees_what_came_first(book: Engine, order: int, signed: Signed) -> None:
    where = f"/canvas/{order}/promise/hours"
    assert sent(signed("Wren"), where, **HOURS)[0] == 303
    status, page = sent(signed("Lee"), where, **{**HOURS, "machine_hours": "30"})
    assert status == 409
    assert "Not saved: Wren saved first" in page
    assert all(text in page for text in ("12", "30"))
    assert rows(book, CanvasHours) == 1


def test_going_first_asks_with_the_orders_that_it_moves(book: Engine, order: int, signed: Signed) -> None:
    with reading(book) as session:
        visit = loft.facts.canvas_order(session, order).row.work_order_id
    second = steps.open_order(book, act(), visit)
    wren = signed("Wren")
    where = f"/canvas/{second}/promise/hours"
    rushed = {**HOURS, "first": "yes", "why": "leaves on the 12th"}
    status, page = sent(wren, where, **rushed)
    assert (status, "This moves back K-0001" in page) == (422, True)
    assert sent(wren, where, **rushed, **{"confirm-first": "yes"})[0] == 303
    queue = main(wren, "/canvas")
    assert queue.index("K-0002") < queue.index("K-0001")
    assert "Goes first: leaves on the 12th" in queue


def test_an_order_that_is_not_there_is_said_so(signed: Signed) -> None:
    assert signed("Wren").get("/canvas/99/promise").status_code == 404
    assert sent(signed("Wren"), "/canvas/99/promise", promised="2030-01-01", how="x")[0] == 404


def test_the_paper_of_the_order_tells_the_day(book: Engine, order: int, signed: Signed) -> None:
    promised.set_loft(book, act(LEE), a_day())
    wren = signed("Wren")
    assert "No day is promised yet" in printed(wren, order)
    sent(wren, f"/canvas/{order}/promise/hours", **HOURS)
    with reading(book) as session:
        figure = promised.place_of(session, order, now().date()).figure
    assert figure is not None
    late = figure.value.promised + timedelta(days=3)
    sent(wren, f"/canvas/{order}/promise", promised=late.isoformat(), how="x")
    paper = printed(wren, order)
    assert f"Promised by {in_words(late)}" in paper
    assert "four to six weeks" in paper


def printed(desk: Browser, order: int) -> str:
    """The text of the canvas order as it is printed now."""
    sent_to = desk.post(f"/canvas/{order}/print", {"submission": new_key(), "paper": "order"})
    pdf = desk.get(f"{sent_to.headers['location']}.pdf")
    pages = PdfReader(BytesIO(pdf.content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())

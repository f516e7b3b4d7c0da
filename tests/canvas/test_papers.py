"""The papers of a canvas order, printed by the real press and read back."""

import io
import re
from collections.abc import Callable

import pypdf
import pypdfium2
import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import facts, plans, said, steps
from app.canvas.papers import Printed, paper_of
from app.canvas.roll import USUAL_ROLL, read_roll
from app.ground.acting import new_key
from app.ground.book import reading
from app.ground.tables import Document
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]


def printed(browser: Browser, key: int, paper: str) -> list[str]:
    """The pages of a paper as text, blanks and lines run together."""
    sent = {"submission": new_key(), "revision": "0", "paper": paper}
    answer = browser.post(f"/canvas/{key}/print", sent)
    assert answer.status_code == 303, answer.text
    pdf = browser.get(f"{answer.headers['location']}.pdf").content
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return [re.sub(r"\s+", " ", page.extract_text().replace("\N{NO-BREAK SPACE}", " ")) for page in pages]


def released(book: Engine) -> int:
    key = loft.ready(book)
    it = loft.read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    return key


def laid(book: Engine, key: int) -> None:
    it = loft.read(book, key)
    (cloth,) = it.of_kind(Kind.CLOTH)
    roll = read_roll(Texts({**USUAL_ROLL, "ends": "31: 700"}))
    plans.lay(book, act(seen=it.version), it, cloth, roll)


def refusal(book: Engine, key: int, which: Printed) -> str:
    with reading(book) as session:
        order = facts.canvas_order(session, key)
        with pytest.raises(Refused) as refused:
            paper_of(session, order, which, NOON.date())
    (problem,) = refused.value.problems
    assert problem.field == "paper"
    return problem.says


def test_the_order_is_printed_with_what_is_known_and_its_sizes(book: Engine, signed: Signed) -> None:
    key = released(book)
    text = " ".join(printed(signed("Toni"), key, "order"))
    assert "Canvas order K-0001, issue 1" in text
    assert "Released to be cut" in text
    assert "sand, sample 3" in text
    # 400 by 300 mm finished; 400 / 0.97 + 76 by 300 + 76 mm to cut (3 percent shrinkage, hems of 38 mm)
    assert "Finished 400 mm (15.7 in) by 300 mm (11.8 in)" in text
    assert "To cut 488 mm (19.2 in) by 376 mm (14.8 in)" in text
    assert re.search(r"page 1 of \d", text)


def test_order_and_cut_list_tell_the_half_of_a_zipper_that_stays(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    part = steps.add_part(book, act(), key, Kind.ZIPPER, "door")
    new = {"chain": "8", "teeth": "coil", "teeth_an_inch": "10", "length": "1,820 mm"}
    new |= {"separating": "separating", "slider_side": "left", "pulls": "both"}
    old = {**new, "chain": "#8", "slider_side": "right"}
    steps.save_part(book, act(), part, said.PartSaid("door", new, old, runs_with_old=True))
    laid(book, key)
    it, toni = loft.read(book, key), signed("Toni")
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    assert "Runs with the half that stays: chain size: #8" in toni.get(f"/canvas/{key}").text
    for paper in ("order", "cut-list"):
        text = " ".join(printed(toni, key, paper))
        assert "chain size: #8; tooth type: coil; teeth an inch: 10; length: 1,820 mm" in text
        assert "slider side: right" in text


def test_an_order_that_still_asks_is_printed_as_such(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    text = " ".join(printed(signed("Toni"), key, "order"))
    assert "still to be told" in text
    assert "Released" not in text


def test_an_order_with_a_slim_piece_is_printed_with_its_doubtful_corners_ringed(
    book: Engine, signed: Signed
) -> None:
    """A skirt of 2,400 by 260 mm; its diagonals are 2,414.04 (Pythagoras) and hardly fix its corners."""
    key = loft.opened(book)
    skirt = {"A-B": "2400", "B-C": "260", "C-D": "2400", "A-D": "260", "A-C": "2414", "B-D": "2414"}
    loft.piece(book, key, "Skirt", skirt)
    (piece,) = loft.read(book, key).pieces
    assert {problem.field for problem in piece.problems} >= {"C", "D"}
    assert "P1 Skirt" in " ".join(printed(signed("Toni"), key, "order"))


def test_the_cut_list_tells_length_take_and_every_piece(book: Engine, signed: Signed) -> None:
    key = released(book)
    laid(book, key)
    text = " ".join(printed(signed("Toni"), key, "cut-list"))
    assert "All of it is cut from what is in stock" in text
    assert "Roll end 31, 700 mm (27.6 in)" in text
    assert "P1 Front wall 488 by 376 mm 1" in text
    # 400 / 0.97 = 412.4 by 300 mm, hems of 38 mm all round; the end's own corner is 0.
    assert "A 0, 0; B 488, 0; C 488, 376; D 0, 376" in text
    assert "P1 Front wall: A to B hem, turned twice, 38 mm, sewn; B to C hem" in text
    assert "WARNING" in text
    assert "Round knives and hot knives. They cut and burn" in text


def test_the_packing_slip_tells_how_it_is_fitted_and_its_danger(book: Engine, signed: Signed) -> None:
    text = " ".join(printed(signed("Toni"), released(book), "packing"))
    assert "P1 Front wall" in text
    assert "Sent to the shop: " in text
    assert "Under a raised tent roof. It can fall on whoever is under it" in text
    assert "How it is fitted" in text
    assert "Common practice" in text  # nothing was written for this order


def test_labels_are_printed_one_a_page_of_70_by_38_mm(book: Engine, signed: Signed) -> None:
    toni, key = signed("Toni"), released(book)
    answer = toni.post(f"/canvas/{key}/print", {"submission": new_key(), "revision": "0", "paper": "labels"})
    (page,) = pypdf.PdfReader(io.BytesIO(toni.get(f"{answer.headers['location']}.pdf").content)).pages
    # 1 mm is 72 / 25.4 points
    assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(70, abs=0.1)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(38, abs=0.1)
    text = " ".join(page.extract_text().split())
    assert "P1 Front wall" in text
    assert "1 of 1" in text
    assert "face out, A to B down" in text


def test_the_mark_of_a_label_is_read_from_across_the_table(book: Engine, signed: Signed) -> None:
    """Capitals of 6 mm at least, from 2 m: 3 mm a metre (common practice, from memory)."""
    toni, key = signed("Toni"), released(book)
    answer = toni.post(f"/canvas/{key}/print", {"submission": new_key(), "revision": "0", "paper": "labels"})
    (page,) = pypdfium2.PdfDocument(toni.get(f"{answer.headers['location']}.pdf").content)
    text = page.get_textpage()
    _, bottom, _, top = text.get_charbox(text.search("P1").get_next()[0])
    assert (top - bottom) * 25.4 / 72 > 6


@pytest.mark.parametrize(
    ("which", "says"),
    [
        (Printed.ORDER, "There is no piece on this order yet"),
        (Printed.CUT_LIST, "This order is not released as it stands now"),
        (Printed.LABELS, "This order is not released as it stands now"),
        (Printed.PACKING, "This order is not released as it stands now"),
    ],
)
def test_what_cannot_be_printed_yet_says_why(book: Engine, which: Printed, says: str) -> None:
    assert refusal(book, loft.opened(book), which) == says
    assert which.word


def test_no_cut_list_without_a_plan_of_the_order_as_it_stands(book: Engine) -> None:
    key = released(book)
    says = "There is no cut plan of wall cloth as the order stands"
    assert refusal(book, key, Printed.CUT_LIST) == says


def test_no_cut_list_by_the_plan_of_a_changed_order(book: Engine) -> None:
    key = loft.ready(book)
    laid(book, key)
    it = loft.read(book, key)
    (cloth,) = it.of_kind(Kind.CLOTH)
    loft.sewn_again(book, it.pieces[0].key, cloth.key)
    after = loft.read(book, key)
    steps.release(book, act(seen=after.version), key, [problem.says for problem in after.holds_back])
    assert "no cut plan of wall cloth" in refusal(book, key, Printed.CUT_LIST)


def test_a_paper_printed_again_is_its_next_issue(book: Engine, signed: Signed) -> None:
    key = released(book)
    toni = signed("Toni")
    printed(toni, key, "packing")
    assert "issue 2" in " ".join(printed(toni, key, "packing"))
    with reading(book) as session:
        papers = session.exec(select(Document)).all()
    assert [(paper.kind, paper.issue, paper.replaces_id) for paper in papers] == [
        ("packing slip", 1, None),
        ("packing slip", 2, 1),
    ]


def test_a_refused_paper_is_told_on_the_orders_page(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    toni = signed("Toni")
    for paper, says in (("cut-list", "not released as it stands now"), ("", "Say which paper")):
        sent = {"submission": new_key(), "revision": "0", "paper": paper}
        answer = toni.post(f"/canvas/{key}/print", sent)
        assert answer.status_code == 422
        assert says in answer.text
    assert toni.post("/canvas/99/print", {"submission": new_key(), "paper": "order"}).status_code == 404


@pytest.mark.parametrize("which", ["order", "cut-list", "labels", "packing", "inspection"])
def test_each_paper_names_the_release_that_it_is_of(book: Engine, signed: Signed, which: str) -> None:
    """A label of before a change is known by it: the order's page names the newest release."""
    key = released(book)
    toni = signed("Toni")
    laid(book, key)
    assert "release 1" in " ".join(printed(toni, key, which)).casefold()
    (wall,) = loft.read(book, key).pieces
    loft.sewn_again(book, wall.key, wall.row.cloth_id or 0)
    it = loft.read(book, key)
    assert it.issue == "not released"
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    laid(book, key)
    assert "release 2" in " ".join(printed(toni, key, which)).casefold()
    assert "release 2, " in toni.get(f"/canvas/{key}").text

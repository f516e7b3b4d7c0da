"""Sizes signed are the sizes cut: a piece that is otherwise since the owner signed is signed anew.

Sides of 3 and 4 have a diagonal of 5 (Pythagoras); of 5 and 12, of 13. Inches by 25.4 mm.
"""

from collections.abc import Callable

import pytest
from sqlalchemy import Engine

from app.canvas import bought, making, said, shown, steps
from app.canvas.making import Stage, StageSaid
from app.canvas.resized import EARLY
from app.canvas.tables import CanvasPiece, CanvasRelease
from app.ground import receipts
from app.ground.book import reading, writing
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from tests.canvas import loft
from tests.canvas.loft import sign
from tests.canvas.test_papers import printed
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
TALLER = {"A-B": "500", "B-C": "1200", "C-D": "500", "A-D": "1200", "A-C": "1300", "B-D": "1300"}
TALLER_SAYS = (
    "Front wall was changed since the owner signed: A to B was 400 mm (15.7 in), is 500 mm (19.7 in); "
    "B to C was 300 mm (11.8 in), is 1,200 mm (47.2 in); C to D was 400 mm (15.7 in), is 500 mm (19.7 in) "
    "and 1 more"
)


def blanks(text: str) -> str:
    """A text whose figures do not hold on to their units."""
    return text.replace("\N{NO-BREAK SPACE}", " ")


def resized(book: Engine) -> list[str]:
    return [blanks(it) for it in loft.read(book, 1).resized]


def measure(book: Engine, typed: dict[str, str], key: int = 1) -> None:
    """The wall, or another piece, measured anew."""
    with reading(book) as session:
        row = session.get_one(CanvasPiece, key)
    steps.save_measures(book, act(seen=row.revision), key, said.PieceSaid(row.name, dict(typed), []))


def done(book: Engine, *stages: Stage) -> None:
    for stage in stages:
        with reading(book) as session:
            turns = making.making_of(session, 1).turns
        making.keep_stage(book, act(seen=turns), 1, StageSaid(stage, "", "seen"))


@pytest.fixture
def order(book: Engine) -> int:
    """An order that was measured and then signed."""
    key = loft.ready(book)
    sign(book, "Ines Varga, 3 May")
    return key


@pytest.fixture
def early(book: Engine) -> int:
    """An order that was signed before its one piece was measured; else all of it is known."""
    key = loft.opened(book)
    loft.answer(book, key, Kind.ORDER)
    loft.answer(book, key, Kind.FRAME)
    loft.sewn(book, loft.piece(book, key), loft.cloth(book, key))
    return key


def test_sizes_as_signed_hold_nothing_back(book: Engine, order: int) -> None:
    it = loft.read(book, order)
    assert it.resized == ()
    assert it.holds_back == ()


def test_a_piece_measured_anew_is_told_with_its_lengths(book: Engine, order: int) -> None:
    measure(book, TALLER)
    assert resized(book) == [TALLER_SAYS]


def test_it_holds_the_release_back_until_it_is_signed_anew(book: Engine, order: int) -> None:
    measure(book, TALLER)
    it = loft.read(book, order)
    (problem,) = it.holds_back
    assert (blanks(problem.says), problem.ask) == (TALLER_SAYS, False)
    (part,) = it.of_kind(Kind.ORDER)
    assert shown.block_of(it, problem).href == f"/canvas/parts/{part.key}#signed"
    with pytest.raises(Refused):
        steps.release(book, act(seen=it.version), order, [problem.says])
    sign(book, "Ines Varga, 9 May, taller")
    it = loft.read(book, order)
    assert it.holds_back == ()
    steps.release(book, act(seen=it.version), order, [])
    assert loft.read(book, order).released


def test_the_same_words_saved_again_are_no_new_signature(book: Engine, order: int) -> None:
    measure(book, TALLER)
    sign(book, "Ines Varga, 3 May")
    assert resized(book) == [TALLER_SAYS]


@pytest.mark.parametrize("mended", ["Inez Varga, 3 May", "INES VARGA, 3 may", "Ines Varga 3. May"])
def test_a_name_put_right_signs_no_other_sizes(book: Engine, order: int, mended: str) -> None:
    measure(book, TALLER)
    sign(book, mended)
    assert resized(book) == [TALLER_SAYS]


@pytest.mark.parametrize("anew", ["Ines Varga, 3 June", "Ines Varga, 4 May", "Ines Varga, 3 May, 16:30"])
def test_another_day_or_hour_is_another_signature(book: Engine, order: int, anew: str) -> None:
    measure(book, TALLER)
    sign(book, anew)
    assert resized(book) == []


def test_a_name_put_right_leaves_the_release_as_it_is(book: Engine, order: int) -> None:
    steps.release(book, act(seen=loft.read(book, order).version), order, [])
    sign(book, "Inez Varga, 3 May")
    assert loft.read(book, order).released
    sign(book, "")
    assert not loft.read(book, order).released


def test_a_piece_put_back_as_it_was_signed_holds_again(book: Engine, order: int) -> None:
    measure(book, TALLER)
    measure(book, loft.WALL)
    assert resized(book) == []


def test_a_release_that_was_given_lapses_and_is_not_given_anew_without_the_owner(
    book: Engine, order: int
) -> None:
    it = loft.read(book, order)
    steps.release(book, act(seen=it.version), order, [])
    measure(book, TALLER)
    it = loft.read(book, order)
    assert it.stands == "Changed since it was released: 1 thing holds it back"


def test_another_cut_size_is_the_shops_business(book: Engine, order: int) -> None:
    (cloth,) = loft.read(book, order).of_kind(Kind.CLOTH)
    loft.sewn_again(book, 1, cloth.key)
    assert resized(book) == []


def test_pieces_added_and_taken_off_since_are_told(book: Engine, order: int) -> None:
    loft.piece(book, order, "Door")
    row = loft.read(book, order).pieces[0].row
    steps.take_piece_off(book, act(seen=row.revision), row.key)
    assert resized(book) == [
        "Front wall was taken off since the owner signed",
        "Door was measured since the owner signed",
    ]


def test_another_count_is_told(book: Engine, order: int) -> None:
    it = loft.read(book, order)
    row = it.pieces[0].row
    twice = said.EdgesSaid(row.edges, dict(row.known), row.cloth_id, "0", 2)
    steps.save_edges(book, act(seen=row.revision), row.key, twice)
    assert resized(book) == ["Front wall was changed since the owner signed: 1 of it then, 2 now"]


def test_a_wall_that_leans_is_another_shape_though_its_sides_are_alike(book: Engine, order: int) -> None:
    # Sides of 400 and 300 with a diagonal of 480: the other is the root of 2 (400² + 300²) - 480² = 519.2.
    measure(book, {**loft.WALL, "A-C": "480", "B-D": "519"})
    (says,) = resized(book)
    assert "A to C was 500 mm (19.7 in), is 480 mm (18.9 in)" in says


def test_no_order_is_released_by_a_signature_from_before_any_measure(book: Engine, early: int) -> None:
    it = loft.read(book, early)
    (problem,) = it.holds_back
    assert (problem.field, problem.says, problem.ask) == ("part-1.signed", EARLY, False)
    with pytest.raises(Refused, match=EARLY):
        steps.release(book, act(seen=it.version), early, [EARLY])
    sign(book, "Ines Varga, 9 May")
    assert loft.read(book, early).holds_back == ()


def test_nor_is_it_said_to_be_agreed_by_one(book: Engine, early: int) -> None:
    done(book, Stage.MEASURE)
    with pytest.raises(Refused) as refused:
        done(book, Stage.AGREE)
    assert [(it.field, it.says) for it in refused.value.problems] == [("part-1.signed", EARLY)]
    sign(book, "Ines Varga, 2 May")  # the words of before are no signature on the sizes
    with pytest.raises(Refused, match=EARLY):
        done(book, Stage.AGREE)
    sign(book, "Ines Varga, 2 May, 16:30")
    done(book, Stage.AGREE)


def test_a_release_from_before_this_was_asked_holds_no_agreeing_up(book: Engine, early: int) -> None:
    released(book, early)
    assert loft.read(book, early).released
    done(book, Stage.MEASURE)
    with pytest.raises(Refused, match=EARLY):
        done(book, Stage.AGREE)
    sign(book, "Ines Varga, 9 May")
    assert loft.read(book, early).released
    done(book, Stage.AGREE)


def released(book: Engine, key: int) -> None:
    """Released as older versions of the program let it be, whoever signed when."""
    it = loft.read(book, key)
    with writing(book) as session:
        row = CanvasRelease(created_at=NOON, canvas_order_id=key, version=it.version, released_by=1)
        receipts.sign(session, act(), "release canvas order", row)


def test_agreeing_waits_for_the_sizes_as_they_are(book: Engine, order: int) -> None:
    measure(book, TALLER)
    done(book, Stage.MEASURE)
    with pytest.raises(Refused) as refused:
        done(book, Stage.AGREE)
    assert [(it.field, blanks(it.says)) for it in refused.value.problems] == [("part-1.signed", TALLER_SAYS)]
    sign(book, "Ines Varga, 9 May")
    done(book, Stage.AGREE)


def test_agreeing_that_was_taken_back_counts_no_more(book: Engine, order: int) -> None:
    done(book, Stage.MEASURE, Stage.AGREE)
    making.take_back(book, act(seen=2), 1, "said too soon")
    measure(book, TALLER)
    assert resized(book) == [TALLER_SAYS]


def test_page_and_paper_tell_it(book: Engine, order: int, signed: Signed) -> None:
    measure(book, TALLER)
    browser = signed("Wren")
    assert TALLER_SAYS in blanks(browser.get(f"/canvas/{order}").text)
    pages = " ".join(printed(browser, order, "order"))
    assert f"To be signed anew: {TALLER_SAYS}." in pages


def test_a_signature_from_before_any_measure_is_told_until_the_sizes_are_signed(
    book: Engine, early: int, signed: Signed
) -> None:
    wren = signed("Wren")
    pages = (f"/canvas/{early}", f"/canvas/{early}/making")
    told = {page: wren.get(page).text.count(EARLY) for page in pages}
    assert told == dict.fromkeys(pages, 1)
    released(book, early)
    assert EARLY in wren.get(pages[0]).text  # until the owner signs the sizes, released or not
    text = " ".join(printed(wren, early, "order"))
    assert "signature on this order is from before any piece was measured" in text
    assert "To be signed anew" not in text
    sign(book, "Ines Varga, 9 May")
    assert [EARLY in wren.get(page).text for page in pages] == [False, False]


def test_sizes_to_be_agreed_later_are_said_where_the_owner_signs(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    loft.answer(book, key, Kind.ORDER)
    loft.piece(book, key)
    loft.piece(book, key, "Door", {"A-B": "400"})
    text = " ".join(printed(signed("Wren"), key, "order"))
    assert "Sizes still to be measured: Door." in text
    assert "The finished sizes and materials are as I want them" not in text
    head = bought.told(loft.read(book, key))[0]
    assert head.endswith("Sizes still to be measured, signed before cloth is cut: Door")

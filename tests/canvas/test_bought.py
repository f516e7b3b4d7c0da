"""What an owner buys with a canvas order is told where they agree; what is changed later is asked anew."""

import io
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.canvas import making, said, shown, steps
from app.canvas.bought import told
from app.canvas.making import Stage, StageSaid
from app.canvas.priced import Priced, priced_of
from app.estimate import steps as estimate
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.ground.acting import new_key
from app.ground.book import reading
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
LATER = NOON + timedelta(hours=2)
FILM = {"film": "clear", "film_thou": "20", "screen": "18 by 16", "flap": "none", "size": "700 by 480 mm"}
CHANGED = "Window, front wall: film was clear, is tinted"


def answer(book: Engine, part: int, at: datetime = LATER, **texts: str) -> None:
    """Answers of a part changed, two hours after the owner agreed unless said otherwise."""
    (row,) = [it for it in loft.read(book, 1).parts if it.key == part]
    typed = Texts({**shown.part_texts(row), **texts})
    steps.save_part(book, act(seen=row.revision, at=at), part, said.read_part(typed, Kind(row.kind)))


def of(book: Engine, kind: Kind) -> int:
    return loft.read(book, 1).of_kind(kind)[0].key


def stands(book: Engine) -> Priced:
    with reading(book) as session:
        return priced_of(session, loft.read(book, 1))


@pytest.fixture
def order(book: Engine) -> int:
    """An order with a window, to which its owner said yes at noon."""
    key = loft.ready(book)
    window = steps.add_part(book, act(), key, Kind.WINDOW, "front wall")
    steps.save_part(book, act(), window, said.PartSaid("front wall", dict(FILM)))
    loft.agreed(book, key)
    return key


def test_the_order_its_pieces_and_materials_are_told(book: Engine, order: int) -> None:
    assert told(loft.read(book, order)) == (
        "Canvas order K-0001, cut and sewn here: Front wall",
        "Cloth, wall cloth: cotton and polyester canvas, 10 oz/yd², sand, sample 3, "
        "no coating, no flame label",
        "Window, front wall: film clear, film thickness 20 thousandths of an inch, screen 18 by 16, no flap, "
        "size 700 by 480 mm",
    )


def test_what_is_not_known_yet_is_told_as_such(book: Engine) -> None:
    key = loft.opened(book)
    steps.add_part(book, act(), key, Kind.CLOTH, "roof cloth")
    assert told(loft.read(book, key)) == (
        "Canvas order K-0001, cut and sewn here: its pieces are still to be measured",
        "Cloth, roof cloth: still to be chosen",
    )


def test_a_window_of_other_film_is_asked_anew_before_the_cutting(book: Engine, order: int) -> None:
    assert stands(book).agreed
    answer(book, of(book, Kind.WINDOW), film="tinted")
    now = stands(book)
    assert (now.agreed, now.changed) == (False, (CHANGED,))
    assert now.says == f"It was changed since Ines Varga agreed to it: ask again. {CHANGED}"
    it = loft.read(book, order)
    steps.release(book, act(seen=it.version), order, [problem.says for problem in it.holds_back])
    for turn, stage in enumerate((Stage.MEASURE, Stage.AGREE)):
        making.keep_stage(book, act(3, seen=turn), order, StageSaid(stage))
    with pytest.raises(Refused, match="It was changed since Ines Varga agreed"):
        making.keep_stage(book, act(3, seen=2), order, StageSaid(Stage.CUT))


def test_a_window_of_another_size_is_asked_anew(book: Engine, order: int) -> None:
    """The owner signs the sizes of pieces; an opening is no piece, so its size is bought with the window."""
    assert stands(book).agreed
    answer(book, of(book, Kind.WINDOW), size="900 by 480 mm")
    assert stands(book).changed == ("Window, front wall: size was 700 by 480 mm, is 900 by 480 mm",)


def test_a_change_is_one_though_the_clock_was_set_back(book: Engine, order: int) -> None:
    answer(book, of(book, Kind.WINDOW), NOON - timedelta(hours=1), film="tinted")
    assert stands(book).changed == (CHANGED,)


def test_the_owners_yes_to_the_change_covers_it(book: Engine, order: int) -> None:
    answer(book, of(book, Kind.WINDOW), film="tinted")
    again(book, order)
    assert stands(book).agreed
    answer(book, of(book, Kind.WINDOW), LATER + timedelta(minutes=2), film="clear")
    assert stands(book).changed == ("Window, front wall: film was tinted, is clear",)


def test_a_change_in_the_minute_of_the_call_was_spoken_of(book: Engine, order: int) -> None:
    answer(book, of(book, Kind.WINDOW), LATER + timedelta(seconds=40), film="tinted")
    again(book, order)  # by phone, as of 14:00
    assert stands(book).agreed


def again(book: Engine, key: int) -> None:
    """The owner's yes to what is on the estimate as it was shown before, two hours later."""
    with reading(book) as session:
        order = session.get_one(steps.CanvasOrder, key)
        stay, work = order.work_order_id, order.work_id or 0
    revision = estimate.freeze(book, act(seen=loft.seen(book, key)), stay)
    yes = SaidAll(How.PHONE, "Ines Varga", (WorkSaid(work, Said.YES),), "555 0163", LATER, "tinted film")
    estimate.consent(book, act(seen=loft.seen(book, key), at=LATER), stay, revision, yes)


@pytest.mark.parametrize(
    ("kind", "texts", "says"),
    [
        (Kind.CLOTH, {"colour": "grey, sample 7"}, "colour was sand, sample 3, is grey, sample 7"),
        (Kind.CLOTH, {"mass": ""}, "weight was 10 oz/yd², is open again"),
        (Kind.ORDER, {"scope": "whole tent"}, "scope was front wall, is whole tent"),
        (Kind.WINDOW, {"flap": "inside"}, "flap was none, is inside"),
    ],
)
def test_what_the_owner_sees_and_pays_for_counts(
    book: Engine, order: int, kind: Kind, texts: dict[str, str], says: str
) -> None:
    answer(book, of(book, kind), **texts)
    (found,) = stands(book).changed
    assert found.endswith(f": {says}")


@pytest.mark.parametrize(
    ("kind", "texts"),
    [
        (Kind.CLOTH, {"shrink": "2 and 1"}),
        (Kind.FRAME, {"height": "1,430 mm"}),
        (Kind.ORDER, {"old": "kept"}),
    ],
)
def test_what_the_shop_measures_for_itself_does_not(
    book: Engine, order: int, kind: Kind, texts: dict[str, str]
) -> None:
    answer(book, of(book, kind), **texts)
    assert stands(book).changed == ()


def test_what_was_open_when_the_owner_agreed_is_no_change(book: Engine) -> None:
    key = loft.opened(book)
    loft.agreed(book, key)  # by the kit's price, before anything was measured
    answer(book, of(book, Kind.ORDER), scope="front wall")
    window = steps.add_part(book, act(at=LATER), key, Kind.WINDOW, "front wall")
    answer(book, window, film="clear")
    assert stands(book).agreed


def test_a_window_taken_off_is_a_change(book: Engine, order: int) -> None:
    window = of(book, Kind.WINDOW)
    revision = loft.read(book, order).of_kind(Kind.WINDOW)[0].revision
    steps.take_part_off(book, act(seen=revision, at=LATER), window)
    assert stands(book).changed == ("Window, front wall: taken off",)


def test_a_no_is_a_no_whatever_is_changed(book: Engine) -> None:
    key = loft.ready(book)
    loft.priced(book, key)
    loft.answered(book, key, Said.NO)
    answer(book, of(book, Kind.CLOTH), colour="grey")
    assert (stands(book).changed, stands(book).says) == ((), "Ines Varga declined it")


def test_pages_tell_what_is_bought_and_what_was_changed(book: Engine, signed: Signed, order: int) -> None:
    wren, stay = signed("Wren"), loft.read(book, order).row.work_order_id
    window = "Window, front wall: film clear, film thickness 20 thousandths of an inch, screen 18 by 16"
    consent = f"/estimate/{stay}/consent"
    shown_anew = {"submission": new_key(), "revision": f"{loft.seen(book, order)}"}
    assert wren.post(f"/estimate/{stay}/freeze", shown_anew).status_code == 303
    assert window in wren.get(consent).text
    assert "Changed since" not in wren.get(consent).text
    answer(book, of(book, Kind.WINDOW), film="tinted")
    assert f"Changed since:</b> {CHANGED}." in wren.get(consent).text
    assert f"Changed since the owner agreed, ask again.</b> {CHANGED}." in wren.get(f"/estimate/{stay}").text
    page = wren.get(f"/canvas/{order}").text
    assert "It was changed since Ines Varga agreed to it: ask again." in page
    assert f'<a href="{consent}">Ask the owner</a>' in page


def test_the_printed_estimate_tells_the_same(book: Engine, signed: Signed, order: int) -> None:
    answer(book, of(book, Kind.WINDOW), film="tinted")
    wren, stay = signed("Wren"), loft.read(book, order).row.work_order_id
    form = {"submission": new_key(), "revision": f"{loft.seen(book, order)}"}
    sent = wren.post(f"/estimate/{stay}/print", form)
    pdf = PdfReader(io.BytesIO(wren.get(sent.headers["location"]).content))
    text = " ".join("".join(page.extract_text() for page in pdf.pages).split())
    assert "Canvas order K-0001, cut and sewn here: Front wall." in text
    assert "Cloth, wall cloth: cotton and polyester canvas, 10 oz/yd²" in text
    assert f"You said yes, 4 May, IV. Changed since, {CHANGED}: answer again" in text


def test_an_order_called_off_says_that_its_work_is_still_priced(
    book: Engine, signed: Signed, order: int
) -> None:
    it = loft.read(book, order)
    steps.call_off(book, act(seen=it.row.revision), order, "the trailer was sold")
    page = signed("Wren").get(f"/canvas/{order}").text
    assert "The order was called off, its work is on the estimate still:" in page
    assert f'href="/estimate/{it.row.work_order_id}/works/{it.row.work_id}">take it off there</a>' in page
    assert "Ask the owner" not in page

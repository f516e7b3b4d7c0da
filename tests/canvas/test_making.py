"""Stages of making canvas: one after the other, cloth only when released, inspected by somebody else."""

import re
from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from sqlmodel import select

from app.canvas import making, steps
from app.canvas.making import ON_CLOTH, ORDER, Making, Stage, StageRead, StageSaid, read_stage
from app.canvas.tables import CanvasStage
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.ground.tables import Receipt
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
LEE, TONI = 1, 3


def made(book: Engine, key: int) -> Making:
    with reading(book) as session:
        return making.making_of(session, key)


def done(book: Engine, key: int, stage: Stage, person: int = TONI, hours: str = "1.5") -> int:
    """A stage done; what is sewn is inspected by a lead, without a fault."""
    if stage is Stage.INSPECT and made(book, key).of(Stage.SEW).at:
        loft.inspect(book, key, LEE)
    said = StageSaid(stage, hours, "by hand and eye")
    return making.keep_stage(book, act(person, seen=made(book, key).turns), key, said)


def back(book: Engine, key: int, why: str = "Cut on the wrong side") -> int:
    return making.take_back(book, act(TONI, seen=made(book, key).turns), key, why)


@pytest.fixture
def order(book: Engine) -> int:
    """A canvas order that is released to be cut, and agreed to by the owner."""
    key = loft.ready(book)
    loft.agreed(book, key)
    it = loft.read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    return key


def test_the_stages_are_those_of_the_loft_in_their_order() -> None:
    assert [stage.value for stage in ORDER] == [
        *("measure", "agree", "cut", "windows", "sew", "trim", "inspect", "pack")
    ]
    assert ORDER[2:] == ON_CLOTH
    assert all(stage.word and stage.how.endswith(".") for stage in ORDER)


def test_nothing_is_done_at_first(book: Engine, order: int) -> None:
    found = made(book, order)
    assert (found.words, found.next, found.last, found.hours) == ("Not begun", Stage.MEASURE, None, 0)


def test_an_order_is_made_stage_after_stage(book: Engine, order: int) -> None:
    for stage in ORDER:
        assert made(book, order).next is stage
        assert done(book, order, stage, LEE if stage is Stage.INSPECT else TONI) == order
    found = made(book, order)
    assert (found.words, found.next, found.hours) == ("Packed", None, Decimal("12.0"))
    with pytest.raises(Refused, match="It is packed"):
        done(book, order, Stage.PACK)


def test_a_stage_tells_when_by_whom_and_what_was_looked_at(book: Engine, order: int) -> None:
    done(book, order, Stage.MEASURE)
    assert made(book, order).of(Stage.MEASURE) == StageRead(
        Stage.MEASURE, NOON, "Toni", TONI, "1.5", "by hand and eye"
    )
    assert made(book, order).words == "Measure done, next: agree"


@pytest.mark.parametrize("stage", ORDER[1:])
def test_no_stage_comes_before_its_turn(book: Engine, order: int, stage: Stage) -> None:
    with pytest.raises(Refused) as refused:
        done(book, order, stage)
    (problem,) = refused.value.problems
    assert (problem.field, problem.says) == ("stage", "Measure comes next")


def test_no_cloth_is_cut_of_an_order_that_is_not_released(book: Engine) -> None:
    key = loft.ready(book)
    done(book, key, Stage.MEASURE)
    done(book, key, Stage.AGREE)
    with pytest.raises(Refused, match="not released as it stands"):
        done(book, key, Stage.CUT)


def test_measuring_ends_with_pieces_that_stand(book: Engine) -> None:
    key = loft.opened(book)
    with pytest.raises(Refused, match="There is no piece on this order yet"):
        done(book, key, Stage.MEASURE)
    loft.piece(book, key, typed={"A-B": "400"})
    with pytest.raises(Refused, match="P1 Front wall is a draft: its measures do not close yet"):
        done(book, key, Stage.MEASURE)
    loft.steps.save_measures(book, act(seen=1), 1, loft.said.PieceSaid("Front wall", dict(loft.WALL), []))
    assert done(book, key, Stage.MEASURE) == key


def test_agreeing_needs_the_owners_signature_on_the_order(book: Engine) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    done(book, key, Stage.MEASURE)
    with pytest.raises(Refused, match="the owner signed the finished sizes"):
        done(book, key, Stage.AGREE)
    loft.answer(book, key, loft.Kind.ORDER)
    assert done(book, key, Stage.AGREE) == key


def test_a_change_after_cutting_stops_the_sewing(book: Engine, order: int) -> None:
    for stage in ORDER[:4]:
        done(book, order, stage)
    it = loft.read(book, order)
    loft.sewn_again(book, it.pieces[0].key, it.pieces[0].row.cloth_id or 0)
    with pytest.raises(Refused, match="not released as it stands"):
        done(book, order, Stage.SEW)


def test_who_sewed_it_does_not_inspect_it(book: Engine, order: int) -> None:
    for stage in ORDER[:6]:
        done(book, order, stage)
    with pytest.raises(Refused, match="Who sewed it does not inspect it"):
        done(book, order, Stage.INSPECT, TONI)
    assert done(book, order, Stage.INSPECT, LEE) == order


def test_only_the_last_stage_is_taken_back_and_stays_in_the_book(book: Engine, order: int) -> None:
    done(book, order, Stage.MEASURE)
    done(book, order, Stage.AGREE)
    back(book, order)
    found = made(book, order)
    assert (found.next, found.words, found.hours) == (
        Stage.AGREE,
        "Measure done, next: agree",
        Decimal("1.5"),
    )
    with reading(book) as session:
        rows = [(row.stage, row.done, row.note) for row in session.exec(select(CanvasStage))]
    assert rows[1:] == [("agree", True, "by hand and eye"), ("agree", False, "Cut on the wrong side")]
    done(book, order, Stage.AGREE)
    assert made(book, order).next is Stage.CUT


def test_there_is_nothing_to_take_back_at_first(book: Engine, order: int) -> None:
    with pytest.raises(Refused, match="No stage is done yet"):
        back(book, order)


def test_the_same_form_twice_acts_once(book: Engine, order: int) -> None:
    again = act(TONI)
    said = StageSaid(Stage.MEASURE)
    assert making.keep_stage(book, again, order, said) == making.keep_stage(book, again, order, said)
    undo = act(TONI, seen=1)
    assert making.take_back(book, undo, order, "no") == making.take_back(book, undo, order, "no")
    with reading(book) as session:
        acts = [row.act for row in session.exec(select(Receipt)) if "stage" in row.act]
    assert acts == ["do canvas stage", "take canvas stage back"]


def test_two_people_do_not_do_the_same_stage(book: Engine, order: int) -> None:
    done(book, order, Stage.MEASURE)
    for late in (
        lambda: making.keep_stage(book, act(LEE), order, StageSaid(Stage.MEASURE)),
        lambda: making.take_back(book, act(LEE), order, "no"),
    ):
        with pytest.raises(Stale):
            late()


def test_an_order_called_off_is_made_no_further(book: Engine, order: int) -> None:
    steps.call_off(book, act(seen=loft.read(book, order).row.revision), order, "Sold")
    with pytest.raises(Refused, match="called off"):
        done(book, order, Stage.MEASURE)
    with pytest.raises(Refused, match="called off"):
        back(book, order)
    with pytest.raises(NoResultFound):
        done(book, 99, Stage.MEASURE)


def test_a_stage_never_changes(book: Engine, order: int) -> None:
    done(book, order, Stage.MEASURE)
    with pytest.raises(IntegrityError), writing(book) as session:
        session.get_one(CanvasStage, 1).hours = "9"


@pytest.mark.parametrize(
    ("form", "fields"),
    [
        ({"stage": ""}, ["stage"]),
        ({"stage": "dye"}, ["stage"]),
        ({"stage": "cut", "hours": "-1"}, ["hours"]),
        ({"stage": "cut", "hours": "201"}, ["hours"]),
        ({"stage": "cut", "hours": "two"}, ["hours"]),
        ({"stage": "inspect", "note": " "}, ["note"]),
    ],
)
def test_what_cannot_be_is_told_at_its_field(form: dict[str, str], fields: list[str]) -> None:
    with pytest.raises(Refused) as refused:
        read_stage(Texts(form))
    assert [each.field for each in refused.value.problems] == fields


def test_unusual_hours_are_asked_once() -> None:
    form = {"stage": "sew", "hours": "41"}
    with pytest.raises(Refused) as refused:
        read_stage(Texts(form))
    assert [each.ask for each in refused.value.problems] == [True]
    assert read_stage(Texts({**form, "confirm-hours": "41"})) == StageSaid(Stage.SEW, "41")


@given(st.lists(st.sampled_from([True, False]), max_size=20))
def test_however_often_stages_are_taken_back_the_done_ones_come_first(turns: list[bool]) -> None:
    """Pure: the stages that a row of acts leaves done are always the first ones."""
    count = 0
    for forward in turns:
        count = min(count + 1, len(ORDER)) if forward else max(count - 1, 0)
    stages = tuple(StageRead(stage, NOON if at < count else None) for at, stage in enumerate(ORDER))
    found = Making(stages, len(turns))
    assert found.next == (ORDER[count] if count < len(ORDER) else None)
    assert (found.last.stage if found.last else None) == (ORDER[count - 1] if count else None)


# The page


def sent(seen: int, /, **fields: str) -> dict[str, str | list[str]]:
    return {"submission": new_key(), "revision": str(seen), **fields}


def test_the_page_shows_what_is_done_and_asks_for_the_next(book: Engine, order: int, signed: Signed) -> None:
    toni, at = signed("Toni"), f"/canvas/{order}/making"
    assert f'href="{at}"' in toni.get(f"/canvas/{order}").text
    assert toni.post(at, sent(0, stage="measure", hours="2.5", note="on the frame")).status_code == 303
    page = toni.get(at).text
    assert "Measure done, next: agree" in page
    assert "2.5 h" in page
    assert 'name="stage" value="agree"' in page


def test_what_is_wrong_stays_in_its_form(book: Engine, order: int, signed: Signed) -> None:
    toni, at = signed("Toni"), f"/canvas/{order}/making"
    refused = toni.post(at, sent(0, stage="measure", hours="many", note="on the frame"))
    assert refused.status_code == 422
    assert 'id="hours-fix"' in refused.text
    assert "on the frame" in refused.text
    out_of_turn = toni.post(at, sent(0, stage="pack"))
    assert out_of_turn.status_code == 422
    assert "Measure comes next" in out_of_turn.text
    nothing = toni.post(f"{at}/back", sent(0, why=""))
    assert nothing.status_code == 422
    assert "Say why it is taken back" in nothing.text


def anchors(page: str) -> tuple[set[str], set[str]]:
    """What the links within a page lead to, and what is there."""
    return set(re.findall(r'href="#([^"]+)"', page)), set(re.findall(r' id="([^"]+)"', page))


def test_what_is_refused_leads_to_the_stage_that_comes_next(book: Engine, order: int, signed: Signed) -> None:
    toni, at = signed("Toni"), f"/canvas/{order}/making"
    refused = toni.post(at, sent(0, stage="pack"))
    links, there = anchors(refused.text)
    assert "stage" in links
    assert links <= there
    for stage in ORDER:
        done(book, order, stage, LEE if stage is Stage.INSPECT else TONI)
    packed = toni.post(at, sent(len(ORDER), stage="pack"))
    assert packed.status_code == 422
    assert "It is packed" in packed.text
    links, there = anchors(packed.text)
    assert "stage" in links
    assert links <= there


def test_a_late_page_says_so_and_keeps_what_was_typed(book: Engine, order: int, signed: Signed) -> None:
    toni, at = signed("Toni"), f"/canvas/{order}/making"
    toni.post(at, sent(0, stage="measure"))
    late = signed("Lee").post(at, sent(0, stage="measure", note="twice"))
    assert late.status_code == 409
    assert "Toni saved first" in late.text
    assert "twice" in late.text
    assert toni.post(f"{at}/back", sent(1, why="wrong tape")).status_code == 303
    assert made(book, order).words == "Not begun"


def test_no_order_no_making(book: Engine, signed: Signed) -> None:
    toni = signed("Toni")
    assert toni.get("/canvas/99/making").status_code == 404
    assert toni.post("/canvas/99/making", sent(0, stage="measure")).status_code == 404
    assert toni.post("/canvas/99/making/back", sent(0, why="no")).status_code == 404

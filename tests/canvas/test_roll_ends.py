"""Roll ends in stock: off the shelf with the cutting, back with it, and no more than lies there."""

from collections.abc import Callable, Sequence

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import making, plans, steps
from app.canvas.making import Stage, StageSaid
from app.canvas.roll import USUAL_ROLL, read_roll
from app.ground.acting import new_key
from app.ground.book import reading
from app.parts.ledger import standing_of
from app.parts.tables import Movement
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import Browser, act
from tests.parts import shelf

TONI = 3
Signed = Callable[[str], Browser]


def turns(book: Engine, key: int) -> int:
    with reading(book) as session:
        return making.making_of(session, key).turns


def done(book: Engine, key: int, *stages: Stage) -> None:
    for stage in stages:
        said = StageSaid(stage, "", "by hand and eye")
        making.keep_stage(book, act(TONI, seen=turns(book, key)), key, said)


def planned(book: Engine, ends: str) -> int:
    """An order agreed to, released, measured, with a plan on a roll that has such ends."""
    key = loft.ready(book)
    loft.agreed(book, key)
    it = loft.read(book, key)
    (cloth,) = it.of_kind(Kind.CLOTH)
    roll = read_roll(Texts({**USUAL_ROLL, "ends": ends}))
    plans.lay(book, act(seen=it.version), it, cloth, roll)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    done(book, key, Stage.MEASURE, Stage.AGREE)
    return key


def on_hand(book: Engine, part: int) -> int:
    with reading(book) as session:
        return standing_of(session, part).on_hand


def moved(book: Engine) -> Sequence[tuple[str, int, str]]:
    with reading(book) as session:
        return [(row.kind, row.on_hand, row.note) for row in session.exec(select(Movement))][1:]


def test_what_is_cut_from_an_end_leaves_the_shelf_and_comes_back_with_the_stage(book: Engine) -> None:
    """A hemmed wall of 300 by 400 that shrinks 3 percent along A to B.

    By hand: 400 / 0.97 + 2 x 38 is 488.4 mm along the roll; with 150 mm for its ends (common practice)
    638.4 mm, which is 0.70 yd of 914.4 mm, rounded up to hundredths.
    """
    end = shelf.stocked(book, 3, number="END-31", name="Wall cloth, roll end", unit="yd")
    key = planned(book, "end-31: 2743")
    done(book, key, Stage.CUT)
    assert moved(book) == [("issue", -70, "roll end cut for K-0001")]
    assert on_hand(book, end) == 230
    making.take_back(book, act(TONI, seen=turns(book, key)), key, "the wrong end")
    assert on_hand(book, end) == 300
    done(book, key, Stage.CUT)
    assert on_hand(book, end) == 230


def test_an_end_that_is_no_part_moves_nothing(book: Engine) -> None:
    shelf.stocked(book, 3, number="END-31", name="Wall cloth, roll end", unit="each")
    key = planned(book, "end-31: 2743")
    done(book, key, Stage.CUT)
    assert moved(book) == []


def test_an_end_that_is_shorter_than_said_stops_the_cutting(book: Engine, signed: Signed) -> None:
    end = shelf.stocked(book, 1, number="END-31", name="Wall cloth, roll end", unit="ft")
    key = planned(book, "end-31: 2743")
    with pytest.raises(Refused) as refused:
        done(book, key, Stage.CUT)
    (problem,) = refused.value.problems
    says = "Roll end END-31: the plan cuts 2.1 ft of it, 1 ft on the shelf may be cut"  # 638.4 mm of 304.8
    assert (problem.field, problem.says) == ("roll-ends", says)
    toni = signed("Toni")
    form = {"submission": new_key(), "revision": "2", "stage": "cut", "note": "by hand"}
    answer = toni.post(f"/canvas/{key}/making", form)
    assert answer.status_code == 422
    assert 'href="#roll-ends"' in answer.text
    assert f'id="roll-ends-fix"><b>Fix:</b> {says}' in " ".join(answer.text.split())
    assert f'href="/parts/catalogue/{end}"' in answer.text
    assert on_hand(book, end) == 100  # a foot, where the plan needs two
    assert turns(book, key) == 2

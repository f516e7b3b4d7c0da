"""Canvas orders: opened, answered, measured, released, each act once and over the revision it saw."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import facts, said, shown, steps
from app.canvas.rules import How
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece
from app.ground.book import reading
from app.ground.receipts import Stale
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from tests.canvas import loft
from tests.conftest import Browser, act
from tests.parts.shelf import order as work_order


def test_an_order_opens_with_its_own_questions_and_those_of_the_frame(book: Engine) -> None:
    order_id, _ = work_order(book)
    again = act()
    key = steps.open_order(book, again, order_id)
    assert steps.open_order(book, again, order_id) == key
    found = loft.read(book, key)
    assert [part.kind for part in found.parts] == ["order", "frame"]
    assert found.head.order_id == order_id
    assert found.head.vin in found.parts[0].known.get("unit", found.head.vin)  # the plate, from check-in
    with reading(book) as session:
        assert len(session.exec(select(CanvasOrder)).all()) == 1


def test_a_new_order_is_held_back_by_all_that_is_not_known(book: Engine) -> None:
    found = loft.read(book, loft.opened(book))
    fields = {problem.field for problem in found.holds_back}
    assert {"piece", "cloth"} <= fields  # nothing is written down of them
    assert any(field.endswith(".signed") for field in fields)
    assert all(problem.says.endswith("?") for problem in found.holds_back if "." in problem.field)
    assert not found.released


def test_parts_are_added_answered_and_taken_off(book: Engine) -> None:
    key = loft.opened(book)
    part = steps.add_part(book, act(), key, Kind.WINDOW, "front")
    steps.save_part(book, act(), part, said.PartSaid("front wall", {"film": "clear"}))
    with pytest.raises(Stale):
        steps.save_part(book, act(), part, said.PartSaid("rear wall", {}))
    (window,) = loft.read(book, key).of_kind(Kind.WINDOW)
    assert (window.place, window.known) == ("front wall", {"film": "clear"})
    assert steps.take_part_off(book, act(seen=1), part) == key
    assert loft.read(book, key).of_kind(Kind.WINDOW) == ()
    with pytest.raises(Refused, match="taken off"):
        steps.save_part(book, act(seen=2), part, said.PartSaid("front", {}))


def test_a_part_taken_off_twice_by_one_act_comes_back_to_its_order(book: Engine) -> None:
    key, again = loft.opened(book), act()
    part = steps.add_part(book, act(), key, Kind.WINDOW, "front")
    assert [steps.take_part_off(book, again, part) for _ in range(2)] == [key, key]


def test_frame_and_order_stay(book: Engine) -> None:
    for part in loft.read(book, loft.opened(book)).parts:
        with pytest.raises(Refused, match="Every canvas order"):
            steps.take_part_off(book, act(), part.key)


def test_a_cloth_that_a_piece_is_cut_from_stays(book: Engine) -> None:
    key = loft.ready(book)
    (cloth,) = loft.read(book, key).of_kind(Kind.CLOTH)
    with pytest.raises(Refused, match="Front wall is cut from wall cloth") as refused:
        steps.take_part_off(book, act(seen=cloth.revision), cloth.key)
    assert leads(book, key, refused.value) == ["/canvas/pieces/1#cloth"]


def leads(book: Engine, key: int, refused: Refused) -> list[str]:
    """Where each thing that was refused is put right."""
    return [shown.block_of(loft.read(book, key), problem).href for problem in refused.problems]


def test_what_rests_on_a_piece_is_a_tap_away(book: Engine) -> None:
    key = loft.opened(book)
    one, two = loft.piece(book, key), loft.piece(book, key, "Rear wall")
    mirror = steps.add_piece(book, act(), key, said.NewPiece("Side", How.MIRROR, mirror_of=one))
    mate = said.PieceSaid("Rear wall", dict(loft.WALL), [], mate_of_id=one)
    steps.save_measures(book, act(seen=1), two, mate)
    steps.add_seam(book, act(), key, said.SeamSaid("corner", [f"{one}:A-B"], [f"{two}:A-B"]))
    with pytest.raises(Refused) as refused:
        steps.take_piece_off(book, act(seen=1), one)
    assert leads(book, key, refused.value) == [
        f"/canvas/pieces/{two}#mate_of",
        f"/canvas/pieces/{mirror}",
        f"/canvas/{key}#seam-1",
    ]


def test_the_page_leads_there_too(book: Engine, signed: Callable[[str], Browser]) -> None:
    key = loft.ready(book)
    (cloth,) = loft.read(book, key).of_kind(Kind.CLOTH)
    form = {"submission": "gone-1", "revision": str(cloth.revision)}
    page = signed("Toni").post(f"/canvas/parts/{cloth.key}/remove", form)
    assert (page.status_code, '<a href="/canvas/pieces/1#cloth">' in page.text) == (422, True)
    seam = said.SeamSaid("corner", ["1:A-B"], ["1:C-D"])
    steps.add_seam(book, act(), key, seam)
    assert 'id="seam-1"' in signed("Toni").get(f"/canvas/{key}").text


def test_a_draft_is_kept_as_it_was_typed(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(
        book, key, typed={"A-B": "400", "B-C": "300", "C-D": "9000", "A-D": "300", "A-C": "500"}
    )
    found = loft.read(book, key).piece(made)
    assert found is not None
    assert found.row.typed["C-D"] == "9000"
    assert not found.draft.stands
    assert found.cut is None
    assert "C-D" in {problem.field for problem in found.problems}  # 9000 against 500 + 300


def test_a_late_measure_is_stale_and_overwrites_nothing(book: Engine) -> None:
    made = loft.piece(book, loft.opened(book))
    with pytest.raises(Stale):
        steps.save_measures(book, act(), made, said.PieceSaid("other", {}, []))
    with reading(book) as session:
        assert session.get_one(CanvasPiece, made).typed == loft.WALL


def test_a_mirror_follows_its_piece(book: Engine) -> None:
    key = loft.opened(book)
    cloth = loft.cloth(book, key)
    wall = loft.piece(book, key)
    loft.sewn(book, wall, cloth)
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall))
    found = loft.read(book, key).piece(mate)
    assert found is not None
    assert found.cut is not None
    assert found.finished is not None
    assert found.finished.area == 120_000  # 300 by 400
    steps.save_measures(book, act(seen=2), wall, said.PieceSaid("Front wall", {}, []))
    after = loft.read(book, key).piece(mate)
    assert after is not None
    assert after.finished is None
    with pytest.raises(Refused, match="Rear wall, its mirror, rests on Front wall"):
        steps.take_piece_off(book, act(seen=3), wall)
    assert steps.take_piece_off(book, act(), mate) == key
    assert steps.take_piece_off(book, act(seen=3), wall) == key


def test_a_mirror_of_a_mirror_is_refused(book: Engine) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    mate = steps.add_piece(book, act(), key, said.NewPiece("Rear", How.MIRROR, mirror_of=wall))
    with pytest.raises(Refused, match="cannot be mirrored"):
        steps.add_piece(book, act(), key, said.NewPiece("Third", How.MIRROR, mirror_of=mate))


def test_the_cut_size_counts_shrinkage_and_allowances(book: Engine) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    assert piece.cut is not None
    # 400 / 0.97 = 412.371 with a hem of 38 on both sides; across the warp 300 + 76.
    assert piece.cut.cut.width == pytest.approx(Decimal("412.371") + 76, abs=Decimal("0.01"))
    assert piece.cut.cut.height == pytest.approx(Decimal(376), abs=Decimal("0.01"))
    assert {allowance.mm for allowance in facts.allowances_of(piece).values()} == {Decimal(38)}


def test_an_order_of_which_all_is_known_is_released_once(book: Engine) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    assert [problem for problem in found.holds_back if not problem.ask] == []
    asked = [problem.says for problem in found.holds_back]
    again = act(seen=found.version)
    released = steps.release(book, again, key, asked)
    assert steps.release(book, again, key, asked) == released
    assert loft.read(book, key).released
    with pytest.raises(Refused, match="released as it stands"):
        steps.release(book, act(seen=found.version), key, asked)


def test_nothing_is_released_that_is_not_known(book: Engine) -> None:
    key = loft.opened(book)
    found = loft.read(book, key)
    with pytest.raises(Refused) as refused:
        steps.release(book, act(seen=found.version), key, [])
    assert refused.value.problems == found.holds_back


def test_what_is_only_asked_holds_back_until_it_is_confirmed(book: Engine) -> None:
    key = loft.ready(book)
    (part,) = loft.read(book, key).of_kind(Kind.CLOTH)
    known = {**part.known, "shrink": "7 and 1"}  # over 5 percent is unusual, common practice
    steps.save_part(book, act(seen=part.revision), part.key, said.PartSaid(part.place, known))
    found = loft.read(book, key)
    asked = [problem.says for problem in found.holds_back]
    assert any("percent is much" in says for says in asked)
    with pytest.raises(Refused):
        steps.release(book, act(seen=found.version), key, [])
    steps.release(book, act(seen=found.version), key, asked)
    release = loft.read(book, key).release
    assert release is not None
    assert list(release.confirmed) == asked


def test_a_change_after_the_release_needs_another(book: Engine) -> None:
    key = loft.ready(book)
    before = loft.read(book, key)
    steps.release(book, act(seen=before.version), key, [it.says for it in before.holds_back])
    own = said.OrderSaid("here", "measure", "more light", "", "")
    steps.save_order(book, act(), key, own)
    found = loft.read(book, key)
    assert not found.released
    assert "Changed since it was released" in found.stands
    with pytest.raises(Stale):
        steps.release(book, act(seen=before.version), key, [])
    steps.release(book, act(seen=found.version), key, [it.says for it in found.holds_back])
    assert loft.read(book, key).released


def test_taking_something_off_also_raises_the_version(book: Engine) -> None:
    key = loft.opened(book)
    versions = [loft.read(book, key).version]
    part = steps.add_part(book, act(), key, Kind.WINDOW, "front")
    versions.append(loft.read(book, key).version)
    steps.take_part_off(book, act(), part)
    versions.append(loft.read(book, key).version)
    assert versions == sorted(set(versions))


def test_a_zipper_must_run_with_the_half_that_stays(book: Engine) -> None:
    key = loft.ready(book)
    known = dict.fromkeys(("teeth_an_inch", "length"), "10") | {
        "chain": "8",
        "teeth": "coil",
        "separating": "separating",
        "slider_side": "left",
        "pulls": "both",
    }
    part = steps.add_part(book, act(), key, Kind.ZIPPER, "door")
    old = {**known, "chain": "#10", "slider_side": "right"}
    steps.save_part(book, act(), part, said.PartSaid("door", known, old, runs_with_old=True))
    (held,) = [problem for problem in loft.read(book, key).holds_back if not problem.ask]
    assert held.field == f"part-{part}.chain"
    assert "#10" in held.says
    steps.save_part(
        book, act(seen=1), part, said.PartSaid("door", known, {**old, "chain": "8.0"}, runs_with_old=True)
    )
    assert [problem for problem in loft.read(book, key).holds_back if not problem.ask] == []


def test_an_order_called_off_takes_no_more(book: Engine) -> None:
    key = loft.ready(book)
    steps.call_off(book, act(), key, "The owner sells the trailer")
    found = loft.read(book, key)
    assert (found.stands, found.released) == ("Called off", False)
    lates: list[Callable[[], int]] = [
        lambda: steps.add_part(book, act(), key, Kind.WINDOW, "front"),
        lambda: steps.release(book, act(seen=found.version), key, []),
        lambda: steps.save_order(book, act(seen=1), key, said.OrderSaid("here", "file", "", "", "")),
    ]
    for late in lates:
        with pytest.raises(Refused, match="called off"):
            late()
    with reading(book) as session:
        assert facts.canvas_orders(session, found.head.order_id) == []


def test_rows_of_one_order_are_not_another_orders(book: Engine) -> None:
    one, other = loft.opened(book), loft.opened(book)
    steps.add_part(book, act(), other, Kind.WINDOW, "front")
    with reading(book) as session:
        assert len(facts.rows_of(session, CanvasPart, one)) == 2
        assert len(facts.rows_of(session, CanvasPart, other)) == 3

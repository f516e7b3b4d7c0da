"""The pieces of an earlier order taken over in one act: what comes, what is asked anew, what is refused."""

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import pattern, said, steps
from app.canvas.album import keep_photos
from app.canvas.facts import OrderRead, canvas_order
from app.canvas.rules import How
from app.canvas.tables import CanvasPhoto, CanvasPiece
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.ground.tables import Receipt
from app.intake.tables import Unit
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from tests.canvas import loft
from tests.canvas.test_album import said as photo
from tests.canvas.test_papers import printed
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
LATER = NOON + timedelta(days=2)


def released(book: Engine, key: int) -> int:
    it = loft.read(book, key)
    asked = [problem.says for problem in it.holds_back]
    return steps.release(book, act(seen=it.version), key, asked)


def earlier(book: Engine) -> int:
    """A released order: a wall with a note, its mirror, its mate, and a seam of the wall to the mirror."""
    key = loft.ready(book)
    (wall,) = loft.read(book, key).pieces
    measures = said.PieceSaid("Front wall", dict(loft.WALL), [], None, True, "patch at C left out")
    steps.save_measures(book, act(seen=2), wall.key, measures)
    steps.add_piece(book, act(), key, said.NewPiece("Rear wall", How.MIRROR, mirror_of=wall.key))
    mate = loft.piece(book, key, "Door")
    steps.save_measures(book, act(seen=1), mate, said.PieceSaid("Door", dict(loft.WALL), [], wall.key))
    edges = said.EdgesSaid(dict(wall.row.edges), dict(loft.SEEN), wall.row.cloth_id, "90", 2)
    steps.save_edges(book, act(seen=2), mate, edges)
    rear = loft.read(book, key).pieces[1].key
    steps.add_seam(book, act(), key, said.SeamSaid("corner", [f"{wall.key}:B-C"], [f"{rear}:B-C"], "2"))
    loft.sign(book, "Ines Varga, 3 May", key)
    released(book, key)
    return key


def by_pattern(book: Engine) -> int:
    """A new order of another unit whose shape comes from a pattern on file."""
    key = loft.opened(book)
    steps.save_order(book, act(), key, said.OrderSaid("here", "file", "", "", ""))
    return key


def whole(book: Engine, source: int, *names: str) -> said.Taking:
    """All pieces of an earlier order, or those of some names."""
    pieces = loft.read(book, source).pieces
    return said.Taking(source, frozenset(it.key for it in pieces if not names or it.name in names))


def taken(book: Engine, key: int, source: int, *names: str) -> OrderRead:
    seen, taking = loft.read(book, key).version, whole(book, source, *names)
    assert pattern.take_over(book, act(seen=seen, at=LATER), key, taking) == key
    return loft.read(book, key)


def refused(book: Engine, key: int, source: int, *names: str, field: str = "earlier") -> str:
    with pytest.raises(Refused) as found:
        pattern.take_over(book, act(seen=loft.read(book, key).version), key, whole(book, source, *names))
    (problem,) = found.value.problems
    assert problem.field == field
    assert problem.accepts
    return problem.says


def typed(row: CanvasPiece) -> dict[str, object]:
    return {name: getattr(row, name) for name in pattern.AS_TYPED}


def test_pieces_come_as_they_were_typed_with_seams_mates_and_mirrors(book: Engine) -> None:
    source = earlier(book)
    old, new = loft.read(book, source), taken(book, by_pattern(book), source)
    assert [typed(it.row) for it in new.pieces] == [typed(it.row) for it in old.pieces]
    assert [it.row.known for it in new.pieces] == [it.row.known for it in old.pieces]
    wall, rear, door = new.pieces
    assert wall.row.note == "patch at C left out"
    assert (rear.row.mirror_of_id, door.row.mate_of_id) == (wall.key, wall.key)
    assert (door.row.warp_angle, door.row.copies, wall.row.halves) == ("90", 2, True)
    (seam,) = new.seams
    assert (seam.row.name, seam.row.ease) == ("corner", "2")
    assert (seam.row.one, seam.row.other) == ([f"{wall.key}:B-C"], [f"{rear.key}:B-C"])
    assert [it.finished for it in new.pieces] == [it.finished for it in old.pieces]


@pytest.mark.parametrize("set_back", [timedelta(), timedelta(days=9)])
def test_the_release_that_stood_is_told_by_the_book_and_not_by_the_clock(
    book: Engine, set_back: timedelta
) -> None:
    source, key = earlier(book), by_pattern(book)
    seen = loft.read(book, key).version
    pattern.take_over(book, act(seen=seen, at=LATER - set_back), key, whole(book, source, "Front wall"))
    told = loft.read(book, key).pieces[0].source
    assert told is not None
    assert told.released_at == NOON


def test_the_earlier_order_stays_as_it_was_and_corrections_touch_the_new_one_alone(book: Engine) -> None:
    source = earlier(book)
    before = loft.read(book, source)
    wall, *_ = taken(book, by_pattern(book), source).pieces
    steps.save_measures(
        book, act(seen=0), wall.key, said.PieceSaid("Front wall", {**loft.WALL, "A-B": "401"}, [])
    )
    after = loft.read(book, source)
    assert (after.version, after.released) == (before.version, True)
    assert after.pieces[0].row.typed["A-B"] == "400"


def test_photos_stay_with_the_trailer_that_they_show(book: Engine, tmp_path: Path) -> None:
    source = earlier(book)
    wall, *_ = loft.read(book, source).pieces
    keep_photos(book, act(), wall.key, photo("black"), tmp_path)
    new = taken(book, by_pattern(book), source)
    with reading(book) as session:
        assert session.exec(select(CanvasPhoto.canvas_piece_id)).all() == [wall.key]
    assert new.pieces[0].row.taken_from_id == wall.key


def test_a_cloth_comes_by_its_kind_and_is_asked_for_colour_and_roll(book: Engine) -> None:
    new = taken(book, by_pattern(book), earlier(book))
    (cloth,) = new.of_kind(Kind.CLOTH)
    assert cloth.place == "wall cloth"
    assert cloth.known.keys() == {"what", "mass", "coating"}
    assert new.of_cloth(cloth.key) == new.pieces


def test_a_cloth_of_that_name_that_stands_here_is_taken_as_it_stands(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    steps.add_part(book, act(), key, Kind.CLOTH, "Wall cloth")
    (mine,) = loft.read(book, key).of_kind(Kind.CLOTH)
    new = taken(book, key, source)
    assert new.of_kind(Kind.CLOTH) == (mine,)
    assert {it.row.cloth_id for it in new.pieces} == {mine.key}


def test_where_the_order_has_other_cloths_the_piece_is_asked_for_its_own(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    steps.add_part(book, act(), key, Kind.CLOTH, "acrylic, grey")
    new = taken(book, key, source)
    assert [it.place for it in new.of_kind(Kind.CLOTH)] == ["acrylic, grey"]
    assert {it.row.cloth_id for it in new.pieces} == {None}


def test_the_pattern_is_named_where_nobody_named_it(book: Engine) -> None:
    source = earlier(book)
    unit = loft.read(book, source).head.number
    (own,) = taken(book, by_pattern(book), source).of_kind(Kind.ORDER)
    assert own.known["pattern"] == f"canvas order K-0001, unit {unit}"
    key = by_pattern(book)
    (own,) = loft.read(book, key).of_kind(Kind.ORDER)
    steps.save_part(book, act(), own.key, said.PartSaid(own.place, {"pattern": "12, drawer 3"}))
    (own,) = taken(book, key, source).of_kind(Kind.ORDER)
    assert own.known == {"pattern": "12, drawer 3"}


def test_every_piece_is_held_back_until_it_was_checked_on_this_frame(book: Engine) -> None:
    new = taken(book, by_pattern(book), earlier(book))
    wall, rear, door = (it.key for it in new.pieces)

    def asked() -> list[str]:
        return [it.field for it in loft.read(book, new.key).holds_back if it.field.endswith(".checked")]

    assert asked() == [f"piece-{key}.checked" for key in (wall, rear, door)]
    row = new.pieces[0].row
    known = {**row.known, "checked": "fits, Toni, 6 May"}
    steps.save_edges(book, act(), wall, said.EdgesSaid(dict(row.edges), known, row.cloth_id, "0", 1))
    assert asked() == [f"piece-{key}.checked" for key in (rear, door)]


def test_a_check_on_another_frame_does_not_come_along(book: Engine) -> None:
    source = earlier(book)
    key = taken(book, by_pattern(book), source).key
    for kind in (Kind.ORDER, Kind.FRAME, Kind.CLOTH):
        loft.answer(book, key, kind)
    for it in loft.read(book, key).pieces:
        known = {**it.row.known, "checked": "fits, Toni, 6 May"}
        again = said.EdgesSaid(dict(it.row.edges), known, it.row.cloth_id, it.row.warp_angle, it.copies)
        steps.save_edges(book, act(), it.key, again)
    released(book, key)
    third = taken(book, by_pattern(book), key)
    assert {it.checked for it in third.pieces} == {""}
    assert {it.number for it in third.sources} == {"K-0002"}


def test_where_it_comes_from_is_the_order_its_unit_and_its_release_then(book: Engine) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source)
    (found,) = new.sources
    assert (found.key, found.number, found.unit) == (source, "K-0001", loft.read(book, source).head.number)
    assert (found.released_at, found.height) == (NOON, "1,425 mm")
    assert len(new.taken_from(found)) == 3


def test_a_frame_clearly_higher_than_the_patterns_is_asked_about(book: Engine) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source)
    (frame,) = new.of_kind(Kind.FRAME)
    steps.save_part(book, act(), frame.key, said.PartSaid(frame.place, {"height": "1,500 mm"}))
    (asked,) = [it for it in loft.read(book, new.key).holds_back if it.field == f"part-{frame.key}.height"]
    assert asked.ask
    assert "K-0001" in asked.says


def test_it_is_one_act_with_one_receipt_over_the_version_that_was_seen(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    once = act(seen=loft.read(book, key).version)
    assert [pattern.take_over(book, once, key, whole(book, source)) for _ in range(2)] == [key, key]
    assert len(loft.read(book, key).pieces) == 3
    with reading(book) as session:
        (receipt,) = session.exec(select(Receipt).where(Receipt.submission == once.submission)).all()
    assert receipt.act == "take canvas pattern over"
    assert receipt.stood.count('"table":"canvaspiece"') == 3
    with pytest.raises(Stale):
        pattern.take_over(book, act(seen=once.seen), key, whole(book, source))


def test_a_piece_of_that_name_is_never_overwritten(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    loft.piece(book, key, "front wall")
    before = loft.read(book, key)
    assert refused(book, key, source, field="piece") == "In this order there is already: Front wall"
    assert loft.read(book, key) == before


def test_one_section_comes_alone_with_the_seams_between_its_pieces(book: Engine) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source, "Door")
    (door,) = new.pieces
    assert (door.name, door.row.mate_of_id, new.seams) == ("Door", None, ())  # its mate stayed behind
    assert [it.place for it in new.of_kind(Kind.CLOTH)] == ["wall cloth"]
    new = taken(book, by_pattern(book), source, "Front wall", "Rear wall")
    assert [it.row.name for it in new.seams] == ["corner"]
    assert new.pieces[1].row.mirror_of_id == new.pieces[0].key


def test_the_rest_of_a_pattern_is_taken_over_later(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    taken(book, key, source, "Door")
    new = taken(book, key, source, "Front wall", "Rear wall")
    assert [it.name for it in new.pieces] == ["Door", "Front wall", "Rear wall"]
    assert len(new.of_kind(Kind.CLOTH)) == 1


def test_a_mirror_does_not_come_without_what_it_mirrors(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    says = refused(book, key, source, "Rear wall", "Door", field="piece")
    assert says == "Rear wall is cut as the mirror of Front wall"


def test_only_an_order_by_a_pattern_on_file_takes_pieces_over(book: Engine) -> None:
    source = earlier(book)
    says = "The shape of this order does not come from a pattern on file"
    assert refused(book, loft.opened(book), source) == says


def test_pieces_that_are_not_agreed_as_they_stand_are_no_pattern(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    says = "The pieces of {} are not agreed as they stand now"
    assert refused(book, key, by_pattern(book)) == says.format("K-0003")
    assert refused(book, key, key) == says.format("K-0002")
    loft.piece(book, source, "Skirt")
    assert refused(book, key, source) == says.format("K-0001")


def test_an_order_that_was_called_off_takes_nothing_over(book: Engine) -> None:
    source, key = earlier(book), by_pattern(book)
    steps.call_off(book, act(seen=1), key, "sold")
    with pytest.raises(Refused, match="called off"):
        pattern.take_over(book, act(seen=loft.read(book, key).version), key, whole(book, source))


def named(book: Engine, key: int, model: str) -> None:
    with writing(book) as session:
        unit = session.get_one(Unit, canvas_order(session, key).head.unit_id)
        unit.maker, unit.model = "Quillon", model


def test_offered_are_released_orders_those_of_the_same_model_first(book: Engine) -> None:
    first, second, changed = earlier(book), earlier(book), earlier(book)
    loft.piece(book, changed, "Skirt")
    key = by_pattern(book)
    for each, model in ((first, "Hatch 10"), (second, "Hatch 12"), (key, "hatch 10")):
        named(book, each, model)
    with reading(book) as session:
        offers = pattern.offers_for(session, loft.read(book, key))
        assert pattern.offers_for(session, loft.read(book, first)) == []  # measured on its frame
    assert [(it.key, it.alike) for it in offers] == [(first, True), (second, False)]
    assert [*offers[0].pieces.values()] == ["Front wall", "Rear wall", "Door"]
    steps.call_off(book, act(), first, "sold")
    with reading(book) as session:
        assert [it.key for it in pattern.offers_for(session, loft.read(book, key))] == [second]


# On its page and paper


def all_of(book: Engine, source: int) -> list[str]:
    return [f"{it.key}" for it in loft.read(book, source).pieces]


def sent(seen: int, **fields: str | list[str]) -> dict[str, str | list[str]]:
    return {"submission": new_key(), "revision": str(seen), **fields}


def text_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", "", page)).replace("\u00a0", " ").split())


def test_a_writer_takes_pieces_over_and_the_page_says_whence(book: Engine, signed: Signed) -> None:
    source, key = earlier(book), by_pattern(book)
    wren, unit = signed("Wren"), loft.read(book, source).head.number
    page = wren.get(f"/canvas/{key}").text
    assert re.search(r'<details[^>]*id="take-over" open>', page)  # no piece yet
    assert f'<a href="/canvas/{key}?pattern={source}#taken">K-0001, unit {unit}, ' in page
    assert "released 4 May 2026, 12:00</a> <small>Front wall, Rear wall, Door</small>" in page
    assert 'name="piece"' not in page  # whose they are is picked first
    page = wren.get(f"/canvas/{key}?pattern={source}").text
    ticked = re.findall(r'type="checkbox" name="piece" value="(\d+)" checked>', page)
    assert ticked == all_of(book, source)
    assert 'name="piece"' not in wren.get(f"/canvas/{key}?pattern=99").text
    seen, pieces = loft.read(book, key).version, all_of(book, source)
    answer = wren.post(f"/canvas/{key}/pattern", sent(seen, earlier=str(source), piece=pieces))
    assert (answer.status_code, answer.headers["location"]) == (303, f"/canvas/{key}")
    page = wren.get(f"/canvas/{key}").text
    told = text_of(page)
    assert f"from canvas order K-0001, unit {unit}, " in told
    assert "released 4 May 2026, 12:00. Each is still to be checked on this trailer's frame" in told
    assert "Taken over from P1 of K-0001, not yet checked on this trailer's frame, with its cut size" in told
    piece = loft.read(book, key).pieces[0].key
    assert f'href="/canvas/pieces/{piece}#checked"' in page


def test_the_piece_says_that_it_was_taken_over_and_asks_for_the_check(book: Engine, signed: Signed) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source)
    toni, piece = signed("Toni"), new.pieces[0]
    at = f"/canvas/pieces/{piece.key}"
    page = toni.get(at).text
    assert "Still to be checked on this trailer's frame" in text_of(page)
    assert '<input id="checked"' in page
    held = {f"{name}-{side}": text for side, edge in piece.row.edges.items() for name, text in edge.items()}
    cloth = {"cloth": str(piece.row.cloth_id), "warp_angle": "0", "copies": "1"}
    answer = toni.post(f"{at}/edges", sent(0, **held, **cloth, **loft.SEEN, checked="fits, Toni"))
    assert answer.status_code == 303
    assert "Checked on this trailer's frame: fits, Toni." in text_of(toni.get(at).text)
    assert "2 of them are still to be checked" in text_of(toni.get(f"/canvas/{new.key}").text)
    own = loft.read(book, source).pieces[0].key
    assert 'id="checked"' not in toni.get(f"/canvas/pieces/{own}").text


def test_what_is_refused_stays_beside_its_field(book: Engine, signed: Signed) -> None:
    source, key = earlier(book), by_pattern(book)
    loft.piece(book, key, "Door")
    wren, seen = signed("Wren"), loft.read(book, key).version
    pieces = all_of(book, source)
    answer = wren.post(f"/canvas/{key}/pattern", sent(seen, earlier=str(source), piece=pieces[1:]))
    assert answer.status_code == 422
    assert "In this order there is already: Door" in answer.text
    assert "Rear wall is cut as the mirror of Front wall" in answer.text
    assert 'aria-describedby="piece-hint piece-fix"' in answer.text
    ticked = re.findall(r'name="piece" value="(\d+)"( checked)?', answer.text)
    assert ticked == [(pieces[0], ""), (pieces[1], " checked"), (pieces[2], " checked")]
    answer = wren.post(f"/canvas/{key}/pattern", sent(seen, earlier=str(source), piece=["99"]))
    assert "No piece is chosen" in answer.text
    for wrong, says in (("", "Say whose pieces are taken over"), ("99", "99 is not one of the list")):
        answer = wren.post(f"/canvas/{key}/pattern", sent(seen, earlier=wrong))
        assert answer.status_code == 422
        assert says in answer.text
        assert 'id="earlier-fix"' in answer.text
    late = wren.post(f"/canvas/{key}/pattern", sent(seen - 1, earlier=str(source), piece=pieces))
    assert late.status_code == 409
    assert "Lee saved first" in late.text


def test_who_may_not_or_cannot_take_over_sees_no_form(book: Engine, signed: Signed) -> None:
    key = by_pattern(book)
    assert "No other order of this shop is released as it stands" in signed("Wren").get(f"/canvas/{key}").text
    source = earlier(book)
    toni = signed("Toni")
    assert "take-over" not in toni.get(f"/canvas/{key}").text
    assert toni.post(f"/canvas/{key}/pattern", sent(0, earlier=str(source))).status_code == 403
    assert "take-over" not in signed("Wren").get(f"/canvas/{source}").text  # measured on its frame
    assert signed("Wren").post("/canvas/99/pattern", sent(0)).status_code == 404


def test_the_paper_to_be_agreed_names_the_pattern(book: Engine, signed: Signed) -> None:
    source = earlier(book)
    new = taken(book, by_pattern(book), source)
    text = " ".join(printed(signed("Toni"), new.key, "order"))
    unit = loft.read(book, source).head.number
    assert "Its pattern: 3 pieces taken over 6 May 2026, 12:00 from canvas order K-0001" in text
    assert f"unit {unit}" in text
    assert "Each is still to be checked on this trailer's frame before cloth is cut" in text
    assert "Taken over from P1 of K-0001, not yet checked on this trailer's frame" in text
    assert "Its pattern" not in " ".join(printed(signed("Toni"), source, "order"))

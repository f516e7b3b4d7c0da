"""The pages of the canvas room, as a browser meets them."""

import re
from collections.abc import Callable
from html import unescape

from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from app.canvas import said, steps
from app.canvas.facts import findings_about_canvas
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.inspection.facts import CANVAS_KIT
from app.intake.facts import unit_of
from app.trade.canvas.readiness import Kind
from tests.canvas import loft
from tests.conftest import Browser, act
from tests.parts.shelf import order as work_order

Signed = Callable[[str], Browser]
WALL = {**loft.WALL, "name": "Front wall"}
# Its last two sides are 100 mm short of the first: no such triangle.
TOO_SHORT = {"name": "Fly", "A-B": "1000", "B-C": "400", "A-C": "500"}
# Four right angles with two sides that differ by 16 in: the walk ends that far from its start.
OPEN_WALK = {
    "name": "Skirt",
    **{"A-B": "40", "B-C": "32", "C-D": "24", "A-D": "32"},
    **dict.fromkeys("ABCD", "90"),
}


def sent(seen: int = 0, /, **fields: str) -> dict[str, str | list[str]]:
    return {"submission": new_key(), "revision": str(seen), **fields}


def drawn_numbers(page: str) -> list[str]:
    """The lengths along the edges of the first drawing of a page."""
    drawing = page[page.index('class="drawing canvas-sketch') :].partition("</svg>")[0]
    return re.findall(r'<text class="mid"[^>]*dy="1.2">([^<]+)</text>', drawing)


def test_an_order_is_opened_from_the_work_orders_page(book: Engine, signed: Signed) -> None:
    order_id, _ = work_order(book)
    toni = signed("Toni")
    assert "No canvas order yet" in toni.get(f"/canvas/orders/{order_id}").text
    answer = toni.post(f"/canvas/orders/{order_id}", sent(finding=""))
    assert answer.status_code == 303
    page = toni.get(answer.headers["location"])
    assert page.status_code == 200
    assert "Canvas order K-0001" in page.text
    assert "K-0001" in toni.get(f"/canvas/orders/{order_id}").text


def test_the_page_begins_with_links_to_its_parts(book: Engine, signed: Signed) -> None:
    for key in (loft.ready(book), loft.opened(book)):
        page = signed("Toni").get(f"/canvas/{key}").text
        index = page[page.index('<nav class="canvas-index"') :].partition("</nav>")[0]
        links = re.findall(r'href="#([^"]+)"', index)
        assert len(links) >= 8
        assert [it for it in links if f'id="{it}"' not in page] == []


def test_the_plate_is_taken_from_the_book_with_or_without_a_vin(book: Engine) -> None:
    stay, _ = work_order(book)
    for vin, said_of_it in (("7ZZPF1015BB000412", "VIN 7ZZPF1015BB000412"), ("", "no VIN in the book")):
        with writing(book) as session:
            unit = unit_of(session, stay)
            unit.year, unit.maker, unit.model, unit.vin = 2011, "Quillon", "Hatch 10", vin
        (part,) = loft.read(book, steps.open_order(book, act(), stay)).of_kind(Kind.ORDER)
        assert part.known == {"unit": f"2011 Quillon Hatch 10, {said_of_it}"}


def test_a_finding_that_is_not_about_canvas_is_refused(book: Engine, signed: Signed) -> None:
    order_id, _ = work_order(book)
    answer = signed("Toni").post(f"/canvas/orders/{order_id}", sent(finding="12"))
    assert answer.status_code == 422
    assert "is not one of the list" in answer.text


def test_every_question_leads_to_the_field_where_it_is_answered(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    toni = signed("Toni")
    page = unescape(toni.get(f"/canvas/{key}").text)
    links = set(re.findall(r'href="(/canvas/(?:parts|pieces)/\d+)#([\w-]+)"', page))
    assert len(links) > 8
    for address, field in links:
        assert f'id="{field}"' in toni.get(address).text, (address, field)


def test_a_part_is_added_and_goes_on_to_its_questions(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    toni = signed("Toni")
    refused = toni.post(f"/canvas/{key}/parts", sent(kind="zipper", place=""))
    assert refused.status_code == 422
    assert 'aria-describedby="place-hint place-fix"' in refused.text
    answer = toni.post(f"/canvas/{key}/parts", sent(kind="zipper", place="door"))
    page = toni.get(answer.headers["location"]).text
    assert "Which size is on the slider&#39;s back?" in page
    assert "The half that stays on the old tent" in page


def test_answers_come_back_where_one_is_refused(book: Engine, signed: Signed) -> None:
    part = loft.cloth(book, loft.opened(book))
    fields = {"place": "wall cloth", "what": "duck", "flame": "fireproof"}
    answer = signed("Toni").post(f"/canvas/parts/{part}", sent(1, **fields))
    assert answer.status_code == 422
    assert "No cloth is fire-proof" in answer.text
    assert 'value="duck"' in answer.text


def test_answers_that_come_too_late_show_what_came_first(book: Engine, signed: Signed) -> None:
    part = loft.cloth(book, loft.opened(book))
    fields = {"place": "wall cloth", "what": "duck"}
    answer = signed("Toni").post(f"/canvas/parts/{part}", sent(0, **fields))
    assert answer.status_code == 409
    assert "cotton and polyester canvas" in answer.text
    assert 'value="duck"' in answer.text


def test_measures_are_typed_and_drawn(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    toni = signed("Toni")
    fields = {"name": "Front wall", "how": "tape", "corners": "4", "unit": "mm", "mirror_of": ""}
    at = toni.post(f"/canvas/{key}/pieces", sent(**fields)).headers["location"]
    assert "Side A to B is missing" in toni.get(at).text
    assert toni.post(at, sent(**WALL)).status_code == 303
    page = toni.get(at).text
    assert "closure B to D" in page
    assert page.count('class="canvas-finished"') == 1
    assert "A to B 400" in page


def test_a_draft_is_kept_and_its_wrong_edge_is_named_on_the_drawing(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key)
    toni = signed("Toni")
    assert toni.post(f"/canvas/pieces/{made}", sent(1, **{**WALL, "B-D": "540"})).status_code == 303
    page = toni.get(f"/canvas/pieces/{made}").text
    assert "<b>Draft.</b>" in page
    # 540 against the 500 of Pythagoras.
    assert "B to D is 40.0\u00a0mm longer than the other lengths make it" in page
    assert page.count('class="canvas-across"') == 1
    assert 'value="540"' in page


def test_a_draft_drawn_otherwise_than_measured_bears_the_lengths_that_were_read(
    book: Engine, signed: Signed
) -> None:
    key = loft.opened(book)
    toni = signed("Toni")
    flat = toni.post(
        f"/canvas/{key}/pieces", sent(name="Fly", how="tape", corners="3", unit="mm", mirror_of="")
    )
    assert toni.post(at := flat.headers["location"], sent(**TOO_SHORT)).status_code == 303
    assert drawn_numbers(toni.get(at).text) == ["1,000", "400", "500"]  # it is drawn flat: 500 and 500
    walk = toni.post(
        f"/canvas/{key}/pieces", sent(name="Skirt", how="angles", corners="4", unit="in", mirror_of="")
    )
    assert toni.post(at := walk.headers["location"], sent(**OPEN_WALK)).status_code == 303
    assert drawn_numbers(toni.get(at).text) == ["40.0", "32.0", "24.0", "32.0"]  # as typed


def test_a_measure_that_is_no_number_stays_beside_its_fix(book: Engine, signed: Signed) -> None:
    made = loft.piece(book, loft.opened(book))
    answer = signed("Toni").post(f"/canvas/pieces/{made}", sent(1, **{**WALL, "C-D": "four"}))
    assert answer.status_code == 422
    assert 'value="four"' in answer.text
    assert 'aria-describedby="C-D-fix"' in answer.text


def test_edges_and_cloth_make_the_cut_size(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    cloth, made = loft.cloth(book, key), loft.piece(book, key)
    edges = {f"kind-{side}": "plain" for side in ("A-B", "B-C", "C-D", "A-D")}
    answer = signed("Toni").post(
        f"/canvas/pieces/{made}/edges",
        sent(1, **edges, cloth=str(cloth), warp_angle="90", copies="2", outside="face out"),
    )
    assert answer.status_code == 303
    piece = loft.read(book, key).piece(made)
    assert piece is not None
    assert piece.cut is not None
    # 13 for a plain seam on both sides; 3 percent along the warp, which now runs across A to B.
    assert round(piece.cut.cut.width) == 426
    assert round(piece.cut.cut.height) == round(300 / 0.97 + 26)
    assert "2 of it" in signed("Toni").get(f"/canvas/pieces/{made}").text


def test_a_lead_or_writer_releases(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    kept = [problem.says for problem in found.holds_back]
    form = {**sent(found.version), "kept": kept}
    assert signed("Toni").post(f"/canvas/{key}/release", form).status_code == 403
    wren = signed("Wren")
    assert "Release it to be cut" in wren.get(f"/canvas/{key}").text
    assert wren.post(f"/canvas/{key}/release", form).status_code == 303
    assert "Released to be cut" in wren.get(f"/canvas/{key}").text


def test_a_release_of_what_is_not_known_names_it(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    answer = signed("Wren").post(f"/canvas/{key}/release", sent(loft.read(book, key).version))
    assert answer.status_code == 422
    assert "Has the owner signed the finished sizes?" in answer.text


def test_a_release_of_what_was_not_looked_at_is_late(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    seen = loft.read(book, key).version
    steps.add_part(book, act(), key, Kind.WINDOW, "front")
    assert signed("Wren").post(f"/canvas/{key}/release", sent(seen)).status_code == 409


def test_an_order_is_called_off_with_a_reason(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    wren = signed("Wren")
    assert wren.post(f"/canvas/{key}/call-off", sent(why="")).status_code == 422
    assert wren.post(f"/canvas/{key}/call-off", sent(why="Sold as it is")).status_code == 303
    page = wren.get(f"/canvas/{key}").text
    assert "Called off" in page
    assert "Sold as it is" in page
    assert "Release it" not in page


def test_what_is_not_there_is_not_found(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key)
    steps.take_piece_off(book, act(seen=1), made)
    toni = signed("Toni")
    for path in (
        "/canvas/99",
        "/canvas/parts/99",
        "/canvas/pieces/99",
        f"/canvas/pieces/{made}",
        "/canvas/orders/99",
    ):
        assert toni.get(path).status_code == 404, path


def test_nothing_is_done_to_what_is_not_there(book: Engine, signed: Signed) -> None:
    wren = signed("Wren")
    paths = ["orders/99", "99", "99/parts", "99/pieces", "99/seams", "99/rings", "99/release", "99/call-off"]
    paths += ["parts/99", "parts/99/remove", "pieces/99", "pieces/99/edges", "pieces/99/photos"]
    paths += ["pieces/99/remove", "seams/99/remove", f"orders/{2**63 - 1}"]
    for path in paths:
        assert wren.post(f"/canvas/{path}", sent()).status_code == 404, path


def test_the_kit_that_leads_here_is_the_canvas_piece_of_the_catalogue(book: Engine) -> None:
    from app.ground.settings import folder
    from app.inspection.catalogue import read_catalogue

    kit = read_catalogue(folder("seed_data") / "catalogue").kit(CANVAS_KIT)
    assert kit.name == "Canvas piece or zip"
    with reading(book) as session:
        assert findings_about_canvas(session, work_order(book)[0]) == []


def test_measures_that_come_too_late_show_who_came_first(book: Engine, signed: Signed) -> None:
    made = loft.piece(book, loft.opened(book))
    answer = signed("Toni").post(f"/canvas/pieces/{made}", sent(0, **{**WALL, "A-B": "410"}))
    assert answer.status_code == 409
    assert "Lee saved first" in answer.text
    assert "In the book now: <b>400</b>" in answer.text
    assert "Yours, not saved: <b>410</b>" in answer.text


def test_the_orders_own_form_that_comes_too_late_keeps_what_was_typed(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    own = {"maker": "loft", "pattern": "file", "wishes": "", "fitting": "", "aftercare": ""}
    toni = signed("Toni")
    assert toni.post(f"/canvas/{key}", sent(0, **own)).status_code == 303
    answer = toni.post(f"/canvas/{key}", sent(0, **{**own, "wishes": "More light"}))
    assert answer.status_code == 409
    assert "More light</textarea>" in answer.text
    assert loft.read(book, key).row.wishes == ""


def test_who_is_not_signed_in_sees_no_canvas(book: Engine, app: FastAPI) -> None:
    key = loft.opened(book)
    with TestClient(app, follow_redirects=False) as client:
        for path in (f"/canvas/{key}", "/canvas/orders/1", "/canvas/parts/1"):
            answer = client.get(path)
            assert (answer.status_code, "/people/sign-in" in answer.headers["location"]) == (303, True)


def test_a_technician_measures_and_calls_nothing_off(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    toni = signed("Toni")
    page = toni.get(f"/canvas/{key}").text
    assert "Add this piece" in page
    assert "Call it off" not in page
    assert "Release it to be cut" not in page
    assert toni.post(f"/canvas/{key}/call-off", sent(why="Sold")).status_code == 403


def test_a_piece_without_a_name_is_refused_in_its_open_form(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    loft.piece(book, key)
    answer = signed("Toni").post(
        f"/canvas/{key}/pieces", sent(name="", how="angles", corners="30", unit="mm")
    )
    assert answer.status_code == 422
    assert re.search(r'<details[^>]*id="add-piece" open>', answer.text)
    assert 'id="name-fix"' in answer.text
    assert 'value="30"' in answer.text


def test_a_mirror_is_added_and_asks_for_no_measures(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    wall = loft.piece(book, key)
    toni = signed("Toni")
    fields = {"name": "Rear wall", "how": "mirror", "corners": "4", "unit": "mm", "mirror_of": str(wall)}
    page = toni.get(toni.post(f"/canvas/{key}/pieces", sent(**fields)).headers["location"]).text
    assert "Cut as the mirror of another piece" in page
    assert 'id="A-B"' not in page
    assert "Rear wall, 1 to" in page  # its sketch


def test_coordinates_and_angles_have_fields_of_their_own(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    toni = signed("Toni")
    for how, fields in (("coordinates", ("A-x", "C-y")), ("angles", ("A-B", "C"))):
        form = {"name": how, "how": how, "corners": "3", "unit": "in", "mirror_of": ""}
        page = toni.get(toni.post(f"/canvas/{key}/pieces", sent(**form)).headers["location"]).text
        for field in fields:
            assert f'<input id="{field}"' in page
        assert 'class="field-unit">in<' in page


def test_edges_come_back_where_one_is_refused(book: Engine, signed: Signed) -> None:
    made = loft.piece(book, loft.opened(book))
    fields = {"kind-A-B": "pocket", "pole-A-B": "", "held-B-C": "in a rail", "copies": "1", "warp_angle": "0"}
    answer = signed("Toni").post(f"/canvas/pieces/{made}/edges", sent(1, **fields))
    assert answer.status_code == 422
    assert 'aria-describedby="pole-A-B-fix"' in answer.text
    assert 'value="in a rail"' in answer.text
    assert '<option value="pocket" selected>' in answer.text


def test_edges_that_come_too_late_are_told(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    fields = {"kind-A-B": "plain", "copies": "1", "warp_angle": "0"}
    answer = signed("Toni").post(f"/canvas/pieces/{piece.key}/edges", sent(1, **fields))
    assert answer.status_code == 409
    assert "Lee saved first" in answer.text
    assert "Hem, turned twice" in answer.text  # what stands in the book now, in words


def test_what_is_only_asked_is_kept_by_who_releases_and_stays_on_the_page(
    book: Engine, signed: Signed
) -> None:
    key = loft.ready(book)
    (piece,) = loft.read(book, key).pieces
    edges = {side: {"kind": "hem", "added": "90", "held": "sewn"} for side in ("A-B", "B-C", "C-D", "A-D")}
    cloth = piece.row.cloth_id
    steps.save_edges(book, act(seen=2), piece.key, said.EdgesSaid(edges, dict(loft.SEEN), cloth, "0", 1))
    wren, found = signed("Wren"), loft.read(book, key)
    page = wren.get(f"/canvas/{key}").text
    boxes = [unescape(text) for text in re.findall(r'name="kept" value="([^"]+)"', page)]
    assert len(boxes) == 4  # each side: 90 is over the usual 75
    some = {**sent(found.version), "kept": boxes[:3]}
    assert wren.post(f"/canvas/{key}/release", some).status_code == 422
    assert wren.post(f"/canvas/{key}/release", {**sent(found.version), "kept": boxes}).status_code == 303
    assert "Kept all the same" in wren.get(f"/canvas/{key}").text


def test_a_change_after_the_release_is_told_on_every_page(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    steps.release(book, act(seen=found.version), key, [it.says for it in found.holds_back])
    steps.add_part(book, act(), key, Kind.FASTENER, "lower edge")
    toni = signed("Toni")
    for path in (f"/canvas/{key}", f"/canvas/orders/{found.head.order_id}"):
        assert "Changed since it was released" in toni.get(path).text

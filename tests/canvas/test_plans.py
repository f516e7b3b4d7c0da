"""Cut plans of an order: laid at once, kept as they were, the shortest shown, none of a changed order."""

import io
import re
from collections.abc import Callable
from decimal import Decimal
from html import unescape
from typing import Any

import ezdxf
import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from sqlmodel import select

from app.canvas import plans, said, steps
from app.canvas.facts import OrderRead
from app.canvas.plans import PlanRead, Plans
from app.canvas.roll import USUAL_ROLL, Roll, read_roll
from app.canvas.tables import CanvasPart, CutPlan
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.trade.canvas.laying import Strip, unsound
from app.trade.canvas.lengths import bought
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]


def roll(**changed: str) -> Roll:
    return read_roll(Texts({**USUAL_ROLL, "width": "1000", "selvage": "0", **changed}))


def order_of(book: Engine, key: int) -> tuple[OrderRead, CanvasPart]:
    it = loft.read(book, key)
    (cloth,) = it.of_kind(Kind.CLOTH)
    return it, cloth


def laid(book: Engine, key: int, **changed: str) -> int:
    it, cloth = order_of(book, key)
    return plans.lay(book, act(seen=it.version), it, cloth, roll(**changed))


def plan(book: Engine, key: int) -> PlanRead:
    with reading(book) as session:
        return plans.plan_read(session, key)


def known(book: Engine, key: int) -> Plans:
    it, cloth = order_of(book, key)
    with reading(book) as session:
        return plans.plans_of(session, it, cloth.key)


def copies(book: Engine, key: int, count: int) -> None:
    """So many copies of the order's only piece."""
    it, cloth = order_of(book, key)
    (piece,) = it.pieces
    edges = {name: dict(each) for name, each in piece.row.edges.items()}
    changed = said.EdgesSaid(edges, dict(loft.SEEN), cloth.key, "0", count)
    steps.save_edges(book, act(seen=piece.row.revision), piece.key, changed)


def test_the_cut_size_follows_from_shrinkage_and_hem(book: Engine) -> None:
    # A wall of 400 by 300 mm, 3 percent shrinkage along the warp, hems of 38 mm (FM 10-16, chapter 8):
    # 400 / 0.97 + 76 = 488.37 long, 300 + 76 = 376 across (geometry).
    found = plan(book, laid(book, loft.ready(book)))
    assert bought(found.laid).quantize(Decimal("0.01")) == Decimal("488.37")
    (piece,) = found.pieces
    assert piece.outline.height == 376
    told = f"{found.off_roll}, {found.usable}".replace("\N{NO-BREAK SPACE}", " ")
    assert told == "0.49 m of the roll, 1,000 mm (39.4 in)"


def test_two_copies_lie_beside_each_other_where_the_width_allows(book: Engine) -> None:
    # 2 x 376 = 752 across 1,000: the length stays that of one; a third starts a new row.
    key = loft.ready(book)
    copies(book, key, 2)
    two = plan(book, laid(book, key))
    copies(book, key, 3)
    three = plan(book, laid(book, key))
    assert bought(two.laid).quantize(Decimal("0.01")) == Decimal("488.37")
    assert bought(three.laid).quantize(Decimal("0.01")) == Decimal("976.74")


def test_labels_of_copies_tell_piece_and_copy(book: Engine) -> None:
    key = loft.ready(book)
    copies(book, key, 2)
    found = plan(book, laid(book, key))
    assert found.lengths[0].labels == ("P1.1", "P1.2")
    assert found.name_of("P1.2") == "Front wall"
    (row,) = found.rows
    assert (row.labels, row.name, row.size, row.copies) == ("P1.1 to P1.2", "Front wall", "488 by 376 mm", 2)


def test_what_is_read_back_can_be_cut_and_is_what_was_laid(book: Engine) -> None:
    key = loft.ready(book)
    copies(book, key, 5)
    found = plan(book, laid(book, key, tool="hot_knife"))
    (cut,) = found.laid
    assert unsound(cut.plan, found.pieces) == ()
    assert cut.plan.strip == Strip(Decimal(1000), Decimal(6))
    (length,) = found.lengths
    assert length.stitch.keys() == {"P1."}
    assert len(length.bands) == 1


def test_waste_and_least_length_are_told_with_the_figure(book: Engine) -> None:
    # One piece of 488.37 by 376 on 1,000: 37.6 percent is in the piece, and no plan is shorter than it.
    found = plan(book, laid(book, loft.ready(book)))
    use = found.lengths[0].use
    told = {each.name: each.says for each in use.inputs}
    assert use.value.quantize(Decimal("0.1")) == Decimal("37.6")
    assert told["this plan is over it by"] == "0.0\N{NO-BREAK SPACE}% at most"


def test_cloth_to_order_in_metres_and_yards(book: Engine) -> None:
    # 0.488 m and 0.15 m for the ends: 0.7 m, 0.7 yd (0.638 / 0.9144 = 0.698), rounded up to a tenth.
    metres, yards = plan(book, laid(book, loft.ready(book))).take
    assert (metres.says, yards.says) == ("0.7 m", "0.7 yd")


def test_roll_ends_are_used_first(book: Engine) -> None:
    key = loft.ready(book)
    copies(book, key, 3)
    found = plan(book, laid(book, key, ends="31: 500\n32: 300"))
    end, roll = found.lengths
    assert (end.words.replace("\N{NO-BREAK SPACE}", " "), end.labels) == (
        "Roll end 31, 500 mm (19.7 in)",
        ("P1.1", "P1.2"),
    )
    assert (roll.end, roll.labels) == (None, ("P1.3",))
    # The third alone: 0.488 m and 0.15 m for the ends; without the roll end it would be 0.977 and 0.15.
    assert found.take[0].says == "1.2 m"
    assert [it.says for it in roll.take] == ["0.7 m", "0.7 yd"]
    assert (found.of_roll, found.of_ends) == (roll, (end,))
    (whole,) = plan(book, laid(book, key, ends="31: 500\n33: 1200\n34: 2000")).lengths
    assert whole.end is not None
    assert whole.end.mark == "33"


@pytest.mark.parametrize(("ends", "of_roll"), [("", 1), ("32: 300", 1), ("31: 1200", 0)])
def test_ends_that_spare_nothing_or_everything_leave_one_length(
    book: Engine, ends: str, of_roll: int
) -> None:
    key = loft.ready(book)
    copies(book, key, 3)
    found = plan(book, laid(book, key, ends=ends))
    assert len(found.lengths) == 1
    assert (found.of_roll is not None) == bool(of_roll)


def test_what_a_roll_end_gives_is_drawn_on_it_and_not_on_the_roll(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    copies(book, key, 3)
    laid(book, key, ends="31: 500")
    _, cloth = order_of(book, key)
    toni = signed("Toni")
    page = unescape(toni.get(f"/canvas/cloths/{cloth.key}/plan").text).replace("\N{NO-BREAK SPACE}", " ")
    assert "<h1>Cut plan: 0.49 m of the roll</h1>" in page
    drawn_as = re.findall(r'role="img" aria-label="([^"]+)"', page)
    assert drawn_as == 2 * ["Roll end 31, 500 mm (19.7 in), from 0.00 to 0.49 m: P1.1, P1.2"] + 2 * [
        "The roll, from 0.00 to 0.49 m: P1.3"
    ]
    found = plan(book, 1)
    scales = {each.bands[0].width / each.plan.length for each in found.lengths}
    assert max(scales) - min(scales) < Decimal("0.0001")  # what lies under each other is drawn to one scale
    texts = [toni.get(f"/canvas/plans/1/plan.svg?nth={nth}").text for nth in (1, 2)]
    assert [sorted(re.findall(r">(P1\.\d)<", text)) for text in texts] == [["P1.1", "P1.2"], ["P1.3"]]
    inserts = [
        len(drawn(toni.get(f"/canvas/plans/1/plan.dxf?nth={nth}").text).modelspace().query("INSERT"))
        for nth in (0, 1, 2)
    ]
    assert inserts == [1, 2, 1]  # without a number: what is cut from the roll
    assert toni.get("/canvas/plans/1/plan.svg?nth=3").status_code == 404
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_the_page_says_waste_and_bound_openly_and_what_is_still_to_order(
    book: Engine, signed: Signed
) -> None:
    key = loft.ready(book)
    copies(book, key, 3)
    laid(book, key, ends="31: 500")
    _, cloth = order_of(book, key)
    page = unescape(signed("Toni").get(f"/canvas/cloths/{cloth.key}/plan").text).replace(
        "\N{NO-BREAK SPACE}", " "
    )
    # The end: two of 0.4884 x 0.376 m of 1 x 0.4884 m; the roll: one of them. All three by the width are
    # 0.551 m, less the end 0.051 m, and none is longer than the end: over it by 0.437 m.
    assert "<p>Waste 24.8 %.</p>" in page
    assert "<p>Waste 62.4 %; no plan can be under 0.05 m; this plan is over it by 0.44 m at most.</p>" in page
    assert "0.7 yd" in page


def test_a_page_held_upright_has_shorter_lengths_of_the_same_roll(book: Engine, signed: Signed) -> None:
    key = loft.ready(book)
    copies(book, key, 17)  # nine rows of 488.37 mm
    found = plan(book, laid(book, key))
    (length,) = found.lengths
    assert (len(length.bands), len(length.upright)) == (1, 2)
    assert length.upright[-1].end == length.bands[-1].end
    _, cloth = order_of(book, key)
    page = signed("Toni").get(f"/canvas/cloths/{cloth.key}/plan").text
    assert (page.count('class="band band-wide"'), page.count('class="band band-upright"')) == (1, 2)
    ids = re.findall(r' id="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_a_piece_without_a_cut_size_is_named(book: Engine) -> None:
    key = loft.ready(book)
    it, cloth = order_of(book, key)
    bare = loft.piece(book, key, "Door")
    steps.save_edges(book, act(seen=1), bare, said.EdgesSaid({}, {}, cloth.key, "0", 1))
    with pytest.raises(Refused, match=f"P{bare} Door has no cut size yet"):
        laid(book, key)
    assert it.version < loft.read(book, key).version


def test_a_cloth_without_pieces_has_no_plan(book: Engine) -> None:
    key = loft.opened(book)
    loft.cloth(book, key)
    with pytest.raises(Refused, match="No piece is cut from wall cloth yet"):
        laid(book, key)


def test_a_piece_wider_than_the_cloth_is_told_at_the_width(book: Engine) -> None:
    with pytest.raises(Refused) as refused:
        laid(book, loft.ready(book), **{"width": "300", "confirm-width": "300"})
    (problem,) = refused.value.problems
    assert (problem.field, problem.accepts) == ("width", "a wider roll, or a seam across the piece")


def test_nothing_is_laid_for_an_order_called_off_or_changed(book: Engine) -> None:
    key = loft.ready(book)
    it, cloth = order_of(book, key)
    with pytest.raises(Stale):
        plans.lay(book, act(seen=it.version - 1), it, cloth, roll())
    steps.call_off(book, act(seen=it.row.revision), key, "Sold")
    off, _ = order_of(book, key)
    with pytest.raises(Refused, match="called off"):
        plans.lay(book, act(seen=off.version), off, cloth, roll())


def test_the_same_form_twice_lays_once(book: Engine) -> None:
    it, cloth = order_of(book, loft.ready(book))
    again = act(seen=it.version)
    assert plans.lay(book, again, it, cloth, roll()) == plans.lay(book, again, it, cloth, roll())
    with reading(book) as session:
        assert len(session.exec(select(CutPlan)).all()) == 1


def test_a_plan_never_changes(book: Engine) -> None:
    key = laid(book, loft.ready(book))
    with pytest.raises(IntegrityError), writing(book) as session:
        session.get_one(CutPlan, key).length = "1"


def test_a_plan_of_a_changed_order_is_not_cut_from(book: Engine) -> None:
    key = loft.ready(book)
    first = laid(book, key)
    copies(book, key, 2)
    found = known(book, key)
    assert (found.best, found.tries) == (None, ())
    assert found.newest is not None
    assert found.newest.key == first
    second = laid(book, key)
    assert known(book, key).best == plan(book, second)


def test_a_plan_stands_while_its_pieces_are_those_to_be_cut(book: Engine) -> None:
    key = loft.ready(book)
    first = plan(book, laid(book, key))
    it, cloth = order_of(book, key)
    wished = said.OrderSaid(it.row.maker, it.row.pattern, "By June", "Roof edge first", "")
    steps.save_order(book, act(seen=it.row.revision), key, wished)
    steps.add_part(book, act(), key, Kind.WINDOW, "front wall")
    assert known(book, key).best == first
    shrunk = said.PartSaid(cloth.place, {**cloth.known, "shrink": "2 and 0"})
    steps.save_part(book, act(seen=cloth.revision), cloth.key, shrunk)
    assert known(book, key).best is None


def test_a_longer_plan_never_replaces_a_shorter_one(book: Engine) -> None:
    key = loft.ready(book)
    copies(book, key, 3)
    short = plan(book, laid(book, key))
    it, cloth = order_of(book, key)
    longer = plans.lay(book, act(seen=it.version), it, cloth, roll())  # as long: the first of equals stays
    found = known(book, key)
    assert [each.key for each in found.tries] == [longer, short.key]
    assert found.best is not None
    assert found.best.key == short.key


def test_plans_of_another_roll_are_no_tries(book: Engine) -> None:
    key = loft.ready(book)
    laid(book, key)
    wide = laid(book, key, width="1200")
    found = known(book, key)
    assert ([each.key for each in found.tries], len(found.all)) == ([wide], 2)


def test_there_is_no_plan_of_an_unknown_key(book: Engine) -> None:
    with pytest.raises(NoResultFound):
        plan(book, 1)


# The pages


def sent(seen: int, /, **fields: str) -> dict[str, str | list[str]]:
    return {"submission": new_key(), "revision": str(seen), **fields}


def form(**changed: str) -> dict[str, str]:
    return {**USUAL_ROLL, "width": "1000", "selvage": "0", **changed}


@pytest.fixture
def address(book: Engine) -> str:
    """The page of the plan of an order with three copies of a wall."""
    key = loft.ready(book)
    copies(book, key, 3)
    return f"/canvas/cloths/{order_of(book, key)[1].key}/plan"


def version(book: Engine) -> int:
    return loft.read(book, 1).version


def test_the_order_leads_to_the_plan_and_the_plan_back(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    assert f'href="{address}"' in toni.get("/canvas/1").text
    page = toni.get(address).text
    assert "Cut plan of wall cloth" in page
    assert "Not released: plan with it" in page
    assert 'href="/canvas/1#release"' in page


def test_a_plan_is_laid_and_shown_to_scale(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    answer = toni.post(address, sent(version(book), **form()))
    assert (answer.status_code, answer.headers["location"]) == (303, f"{address}#plan")
    page = unescape(toni.get(address).text)
    assert "Cut plan: 0.98\N{NO-BREAK SPACE}m of the roll" in page
    assert "The roll, from 0.00 to 0.98 m: P1.1, P1.2, P1.3" in page
    assert page.count('class="piece"') == 2 * 3  # in the wide drawing and in the upright one


def test_what_is_wrong_with_the_roll_is_told_beside_its_field(
    book: Engine, address: str, signed: Signed
) -> None:
    answer = signed("Toni").post(address, sent(version(book), **form(width="wide", ends="31: 900")))
    assert answer.status_code == 422
    assert 'id="width-fix"' in answer.text
    assert "31: 900" in answer.text


def test_a_form_of_a_changed_order_lays_nothing(book: Engine, address: str, signed: Signed) -> None:
    late = signed("Toni").post(address, sent(version(book) - 1, **form(width="1234")))
    assert late.status_code == 409
    assert "saved first" in late.text
    assert 'value="1234"' in late.text
    with reading(book) as session:
        assert session.exec(select(CutPlan)).all() == []


@pytest.mark.parametrize("seconds", ["", "4", "x", "3600"])
def test_a_search_takes_one_of_the_times_offered(
    book: Engine, address: str, signed: Signed, seconds: str
) -> None:
    toni = signed("Toni")
    toni.post(address, sent(version(book), **form()))
    answer = toni.post("/canvas/plans/1/search", sent(version(book), seconds=seconds))
    assert answer.status_code == 422
    assert 'id="seconds-fix"' in answer.text


def test_a_plan_of_a_changed_order_is_searched_no_further(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    toni.post(address, sent(version(book), **form()))
    copies(book, 1, 2)
    answer = toni.post("/canvas/plans/1/search", sent(version(book), seconds="5"))
    assert answer.status_code == 409
    assert "Lay it anew" in answer.text


def drawn(text: str) -> Any:  # noqa: ANN401 - a drawing of ezdxf
    return ezdxf.read(io.StringIO(text))  # type: ignore[attr-defined]  # its stubs leave it out


def test_the_dxf_file_holds_every_piece_at_full_size(book: Engine, address: str, signed: Signed) -> None:
    # Read back by ezdxf; area by the shoelace formula: 488.37 x 376 mm a piece.
    toni = signed("Toni")
    toni.post(address, sent(version(book), **form()))
    answer = toni.get("/canvas/plans/1/plan.dxf")
    assert answer.headers["content-disposition"] == 'attachment; filename="K-0001-plan-1-1.dxf"'
    drawing = drawn(answer.text)
    assert drawing.units == 4  # millimetres
    assert len(drawing.modelspace().query("INSERT")) == 3
    (block,) = [each for each in drawing.blocks if each.name.startswith("PIECE_")]
    (cut,) = [each for each in block.query("LWPOLYLINE") if each.dxf.layer == "CUT"]
    corners = [(x, y) for x, y, *_ in cut.get_points()]
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))
    assert twice / 2 == pytest.approx(488.37 * 376, rel=1e-4)
    assert len([each for each in block.query("LINE") if each.dxf.layer == "NOTCH"]) == 4


def test_notches_are_chalked_at_the_half_of_the_finished_edge(book: Engine, address: str) -> None:
    """400 / 0.97 = 412.4 by 300 mm; hem of 38 at A to B, else plain seams of 13: 438.4 by 351 mm to cut.

    The finished edge of B to C runs from 38 to 338, its half is at 188; that of the cut edge is at 175.5.
    """
    order, cloth = order_of(book, 1)
    (piece,) = order.pieces
    edges = {side: {"kind": "plain", "held": "sewn"} for side in ("B-C", "C-D", "A-D")}
    edges["A-B"] = {"kind": "hem", "held": "sewn"}
    changed = said.EdgesSaid(edges, dict(loft.SEEN), cloth.key, "0", 1)
    steps.save_edges(book, act(seen=piece.row.revision), piece.key, changed)
    (length,) = plan(book, laid(book, 1)).lengths
    (chalked,) = length.chalked
    assert chalked.corners == "A 0, 0; B 438, 0; C 438, 351; D 0, 351"
    assert chalked.notches == "A to B 219, 0; A to D 0, 188; B to C 438, 188; C to D 219, 351"


def test_the_svg_says_of_what_it_is_and_which_line_is_cut(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    key = laid(book, 1)
    loft.sign(book, "Ines Varga, 3 May")
    it, cloth = order_of(book, 1)
    steps.release(book, act(seen=it.version), 1, [problem.says for problem in it.holds_back])
    answer = toni.get(f"/canvas/plans/{key}/plan.svg")
    assert answer.headers["content-disposition"] == f'attachment; filename="K-0001-plan-{key}-1.svg"'
    text = answer.text.replace("\N{NO-BREAK SPACE}", " ")
    assert f"K-0001, wall cloth, cut plan {key}-1: The roll, 0.98 m; outside up; release 1<" in text
    assert "Full line: cut here; long dashes: sewn or folded there<" in text
    loft.sewn_again(book, it.pieces[0].key, cloth.key)
    changed = toni.get(f"/canvas/plans/{key}/plan.svg").text
    assert "outside up; the order was changed since, cut nothing<" in changed


def test_a_notch_is_drawn_no_longer_than_it_is_cut_in(book: Engine, address: str, signed: Signed) -> None:
    """Hems of 38 mm: a cutter that follows the notch layer must not slit them to the stitch line."""
    key, toni = laid(book, 1), signed("Toni")
    block = drawn(toni.get(f"/canvas/plans/{key}/plan.dxf").text).blocks.get("PIECE_P1.")
    notches = [it for it in block.query("LINE") if it.dxf.layer == "NOTCH"]
    assert [round(it.dxf.start.distance(it.dxf.end), 3) for it in notches] == [6] * 4
    lines = re.findall(
        r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", toni.get(f"/canvas/plans/{key}/plan.svg").text
    )
    first = [(complex(float(a), float(b)), complex(float(c), float(d))) for a, b, c, d in lines]
    assert sum(round(abs(one - other), 1) == 6 for one, other in first) == 3 * 4


def test_the_svg_file_is_at_full_size(book: Engine, address: str, signed: Signed) -> None:
    toni = signed("Toni")
    toni.post(address, sent(version(book), **form()))
    answer = toni.get("/canvas/plans/1/plan.svg")
    assert answer.headers["content-type"] == "image/svg+xml"
    size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm" viewBox="(\S+) (\S+) (\S+) (\S+)"', answer.text)
    assert size is not None
    width, height, _, _, box_width, box_height = map(Decimal, size.groups())
    assert (width, height) == (box_width, box_height)  # one unit is one millimetre
    assert width.quantize(Decimal("0.1")) == Decimal("1016.7")  # 976.74 and 20 mm at either end
    assert height == 1040
    assert answer.text.count('stroke-dasharray="6 3"') == 3
    assert answer.text.count("v-3") == 11  # the ruler below the cloth: a tick each centimetre to 100 mm
    assert "M0 1010h101.6" in answer.text.replace(".0 ", " ").replace(".0h", "h")


@pytest.mark.parametrize(
    "path",
    [
        "/canvas/cloths/99/plan",
        "/canvas/cloths/1/plan",
        "/canvas/plans/9/plan.dxf",
        "/canvas/plans/9/plan.svg",
    ],
)
def test_what_is_no_cloth_and_no_plan_has_no_page(
    book: Engine, address: str, signed: Signed, path: str
) -> None:
    assert signed("Toni").get(path).status_code == 404

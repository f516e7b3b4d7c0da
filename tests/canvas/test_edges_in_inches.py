"""Allowances and poles typed in inches: kept as typed with their unit, cut in millimetres."""

import json
from collections.abc import Callable
from decimal import Decimal

import pytest
from alembic import command
from sqlalchemy import Engine

from app.canvas import facts, said, steps
from app.canvas.rules import EdgeSaid, How, allowance_of
from app.canvas.shown import edge_texts, edge_unit
from app.ground import migrating
from app.ground.acting import new_key
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
INCH = Decimal("25.4")  # mm, exactly: NIST SP 811, appendix B


@pytest.mark.parametrize(("typed", "mm"), [("1 1/2", "38.1"), ("5/8", "15.875"), ("0.5", "12.7"), ("0", "0")])
def test_an_allowance_in_inches_is_cut_in_millimetres(typed: str, mm: str) -> None:
    found = allowance_of(EdgeSaid("hem", typed, unit="in"))
    assert found
    assert abs(found.mm - Decimal(mm)) < Decimal("0.0001")


def test_a_pocket_takes_its_pole_in_inches() -> None:
    """A pole of 1 inch: half round it, 3.14159 by 25.4 / 2 = 39.9 mm, 6 of ease and 13 turned under."""
    found = allowance_of(EdgeSaid("pocket", "", "1", unit="in"))
    assert found
    assert found.mm == Decimal("58.9")


def read(**typed: str) -> dict[str, str]:
    return said.read_edges(Texts({"copies": "1", "warp_angle": "0", **typed}), ["A-B"], {}).edges["A-B"]


def test_what_was_typed_is_kept_with_its_unit() -> None:
    kept = read(**{"edge-unit": "in", "kind-A-B": "hem", "added-A-B": "1 1/2"})
    assert kept == {"kind": "hem", "added": "1 1/2", "unit": "in"}


def test_where_nothing_is_said_of_a_unit_it_is_millimetres() -> None:
    assert read(**{"kind-A-B": "hem", "added-A-B": "38"}) == {"kind": "hem", "added": "38", "unit": "mm"}
    assert read(**{"edge-unit": "in", "kind-A-B": "hem"}) == {"kind": "hem"}  # no length, so no unit


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        (
            {"added-A-B": "20.1"},
            "added-A-B",
        ),  # over half a metre; 38 typed for inches is caught
        ({"added-A-B": "38"}, "added-A-B"),
        ({"added-A-B": "-1"}, "added-A-B"),
        ({"pole-A-B": "25"}, "pole-A-B"),
        ({"edge-unit": "ell"}, "edge-unit"),
    ],
)
def test_what_cannot_be_in_inches_is_refused_beside_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        read(**{"edge-unit": "in", "kind-A-B": "pocket", "pole-A-B": "1", **typed})
    assert field in [problem.field for problem in refused.value.problems]


def test_an_edge_of_before_is_still_in_millimetres(book: Engine) -> None:
    """Edges kept before the unit was asked have none; they were typed in millimetres."""
    key = loft.opened(book)
    piece = steps.add_piece(book, act(), key, said.NewPiece("Front wall", How.TAPE, 4, "in"))
    (row,) = loft.read(book, key).pieces
    assert edge_unit(row.row) == "in"  # the tape's own, where nothing is typed yet
    edges = said.EdgesSaid({"A-B": {"kind": "hem", "added": "38"}}, {}, None, "0", 1)
    steps.save_edges(book, act(seen=0), piece, edges)
    (row,) = loft.read(book, key).pieces
    assert edge_texts(row)["edge-unit"] == "mm"
    assert facts.allowances_of(row)["A-B"].mm == 38


def test_the_form_takes_inches_and_shows_them_again(book: Engine, signed: Signed) -> None:
    key = loft.opened(book)
    piece = loft.piece(book, key)
    toni = signed("Toni")
    fields = {"kind-A-B": "hem", "added-A-B": "1 1/2", "edge-unit": "in", "copies": "1", "warp_angle": "0"}
    form = {"submission": new_key(), "revision": "1", **fields}
    assert toni.post(f"/canvas/pieces/{piece}/edges", form).status_code == 303
    page = toni.get(f"/canvas/pieces/{piece}").text
    assert 'value="1 1/2"' in page
    assert '<option value="in" selected>inches</option>' in page
    (row,) = loft.read(book, key).pieces
    assert abs(facts.allowances_of(row)["A-B"].mm - Decimal("1.5") * INCH) < Decimal("0.0001")


def test_an_older_book_keeps_what_was_added_under_its_new_name(book: Engine) -> None:
    key = loft.opened(book)
    piece = loft.piece(book, key)
    edges = said.EdgesSaid({"A-B": {"kind": "hem", "added": "1 1/2", "unit": "in"}}, {}, None, "0", 1)
    steps.save_edges(book, act(seen=1), piece, edges)
    config = migrating._config()
    kept = []
    with book.connect() as connection:
        config.attributes["connection"] = connection
        for step, to in ((command.downgrade, "0010"), (command.upgrade, "0011")):
            step(config, to)
            kept.append(json.loads(connection.exec_driver_sql("SELECT edges FROM canvaspiece").scalar()))
    assert kept[0]["A-B"] == {"kind": "hem", "mm": "1 1/2", "unit": "in"}
    assert kept[1]["A-B"] == {"kind": "hem", "added": "1 1/2", "unit": "in"}

"""The roll as typed, and plans to and from what the book keeps."""

import json
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.canvas.roll import (
    FIELDS,
    USUAL_ROLL,
    Cut,
    Lies,
    Roll,
    Tool,
    cut_of,
    kept_laid,
    kept_piece,
    lengths_kept,
    read_roll,
)
from app.trade.canvas.bottom_left import first_plan
from app.trade.canvas.dxf import Marks
from app.trade.canvas.laying import CutPlan, Strip, ToCut, unsound
from app.trade.canvas.lengths import Length
from app.trade.canvas.outline import Corner, Edge, Outline
from app.trade.canvas.yardage import RollEnd
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.trade.canvas.published import NAMES, instance


def roll(**changed: str) -> Roll:
    return read_roll(Texts({**USUAL_ROLL, **changed}))


def problems(**changed: str) -> list[Problem]:
    with pytest.raises(Refused) as refused:
        roll(**changed)
    return list(refused.value.problems)


def test_the_usable_width_is_the_roll_less_both_selvages() -> None:
    assert roll(width="1600", selvage="13").strip == Strip(Decimal(1574))


def test_a_roll_measured_in_inches() -> None:
    # 1 in = 25.4 mm exactly (NIST SP 811): 60 in is 1,524 mm.
    assert roll(**{"width": "60", "width-unit": "in", "selvage": "0"}).strip.width == Decimal("1524.0")


@pytest.mark.parametrize(("tool", "gap"), [(Tool.KNIFE, 0), (Tool.HOT, 6)])
def test_the_tool_decides_the_gap(tool: Tool, gap: int) -> None:
    assert roll(tool=tool.value).strip.gap == gap
    assert tool.word


@pytest.mark.parametrize(
    ("lies", "turns"),
    [(Lies.ONE_WAY, (0,)), (Lies.ENDS, (0, 180)), (Lies.QUARTERS, (0, 90, 180, 270))],
)
def test_how_pieces_may_lie(lies: Lies, turns: tuple[int, ...]) -> None:
    assert roll(lies=lies.value).lies.turns == turns
    assert lies.word


def test_roll_ends_stand_one_on_a_line() -> None:
    assert [end.length for end in roll(ends="31: 4.6 yd\n32: 4,200 mm\n33: 3.5 m").ends] == [
        Decimal("4206.24"),  # 1 yd is 914.4 mm, NIST SP 811, B.8
        4200,
        3500,
    ]
    ends = roll(ends="31: 4200\n\n  odd piece, green tag : 980.5 ").ends
    assert [(end.mark, end.length) for end in ends] == [
        ("31", Decimal(4200)),
        ("odd piece, green tag", Decimal("980.5")),
    ]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"width": ""}, "width"),
        ({"width": "x"}, "width"),
        ({"width": "150"}, "width"),
        ({"width": "5201"}, "width"),
        ({"width-unit": "kg"}, "width"),
        ({"selvage": ""}, "selvage"),
        ({"selvage": "-1"}, "selvage"),
        ({"width": "250", "confirm-width": "250", "selvage": "125"}, "selvage"),
        ({"tool": ""}, "tool"),
        ({"tool": "laser"}, "tool"),
        ({"lies": ""}, "lies"),
        ({"lies": "any"}, "lies"),
        ({"ends": "4200"}, "ends"),
        ({"ends": "31: long"}, "ends"),
        ({"ends": "31: 0"}, "ends"),
        ({"ends": "31: 200001"}, "ends"),
        ({"ends": "31: 4200\n31: 4300"}, "ends"),
        ({"ends": "\n".join(f"{at}: 900" for at in range(21))}, "ends"),
    ],
)
def test_what_cannot_be_is_told_at_its_field(changed: dict[str, str], field: str) -> None:
    found = problems(**changed)
    assert [(each.field, each.ask) for each in found] == [(field, False)]


@pytest.mark.parametrize("width", ["899", "3201"])
def test_an_unusual_width_is_asked_once_and_kept(width: str) -> None:
    (asked,) = problems(width=width)
    assert (asked.field, asked.ask) == ("width", True)
    assert roll(**{"width": width, "confirm-width": width}).texts["width"] == width


def test_what_was_typed_is_what_the_form_shows_again() -> None:
    typed = {**USUAL_ROLL, "width": " 1600 ", "ends": "31: 4200"}
    kept = read_roll(Texts(typed)).texts
    assert set(kept) == set(FIELDS)
    assert kept["width"] == "1600"
    assert read_roll(Texts(dict(kept))) == read_roll(Texts(typed))


# What the book keeps

SQUARE = Outline(tuple(Corner(name, Decimal(x), Decimal(y)) for name, x, y in
                       (("A", 0, 0), ("B", 100, 0), ("C", 100, 100), ("D", 0, 100))))  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_plan_comes_back_as_it_was_kept(name: str) -> None:
    """The outlines are of published instances; the book keeps JSON, so that is what they go through."""
    given_ = instance(name)
    pieces = given_.pieces[:6]
    laid = (Length(first_plan(given_.strip, pieces)),)
    cuts = [Cut(piece, f"piece {piece.mark}") for piece in pieces]
    kept = json.loads(json.dumps([[kept_piece(cut) for cut in cuts], kept_laid(laid)]))
    again = [cut_of(each, pieces[0].turns) for each in kept[0]]
    assert again == cuts
    back = lengths_kept(Roll({}, given_.strip, Lies.ENDS), again, kept[1], laid[0].plan.found)
    assert back == laid
    assert unsound(back[0].plan, pieces) == ()


def walls() -> tuple[Roll, list[Cut], CutPlan]:
    """Two walls of 100 mm across the whole of a roll of 100, with two roll ends in stock."""
    wall = ToCut("W.", SQUARE, 2)
    on = Roll({}, Strip(Decimal(100)), Lies.ENDS, (RollEnd("31", Decimal(110)), RollEnd("32", Decimal(120))))
    return on, [Cut(wall, "Wall")], first_plan(on.strip, [wall])


def test_what_lies_on_which_roll_end_is_kept_as_it_was_laid() -> None:
    on, cuts, plan = walls()
    one, two = (replace(plan, laid=(it,)) for it in plan.laid)
    laid = (Length(one, on.ends[1]), Length(replace(two, laid=(replace(two.laid[0], right=Decimal(0)),))))
    kept = json.loads(json.dumps(kept_laid(laid)))
    assert [(it["copy"], it["end"]) for it in kept] == [(1, "32"), (2, "")]
    assert lengths_kept(on, cuts, kept, plan.found) == laid


def test_a_plan_of_before_roll_ends_were_kept_with_it_is_told_with_what_they_give() -> None:
    on, cuts, plan = walls()
    kept = [{name: each[name] for name in each if name != "end"} for each in kept_laid((Length(plan),))]
    found = lengths_kept(on, cuts, kept, plan.found)
    assert [(it.end.mark if it.end else "", it.plan.length) for it in found] == [("31", 100), ("32", 100)]


def test_stitch_lines_and_notches_come_back() -> None:
    (piece, *_) = instance("fu").pieces
    notch = Edge(Corner("A-B/1", Decimal(5), Decimal(0)), Corner("A-B/1*", Decimal(5), Decimal(-13)))
    cut = Cut(piece, "Wall", Marks(SQUARE, (notch,)))
    assert cut_of(json.loads(json.dumps(kept_piece(cut))), piece.turns) == cut


@given(st.decimals("-9999", "9999", places=9), st.decimals("-9999", "9999", places=9))
def test_no_digit_of_a_place_is_lost(x: Decimal, y: Decimal) -> None:
    (piece, *_) = instance("fu").pieces
    moved = Outline((*SQUARE.corners[:3], Corner("D", x, y)))
    cut = Cut(replace(piece, outline=moved), "Wall")
    assert cut_of(json.loads(json.dumps(kept_piece(cut))), piece.turns) == cut

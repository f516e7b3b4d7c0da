"""Orders held back by what is not known; the questions are those that a loft asks (common practice)."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

import pytest

from app.trade.canvas.outline import outline_of
from app.trade.canvas.readiness import (
    NONE,
    QUESTIONS,
    Kind,
    Order,
    Part,
    doubts,
    holds_back,
    open_questions,
    unlike_old,
)
from app.trade.canvas.taped import Draft
from app.trade.problems import Problem

TAKEN_OVER = {"taken": "K-0001"}  # only then is a check on this trailer's frame asked for
DOOR = {
    "chain": "10",
    "teeth": "coil",
    "teeth_an_inch": "10.2",
    "length": "1,820 mm",
    "separating": "separating",
    "slider_side": "left",
    "pulls": "both",
}
WINDOW = {
    "film": "clear",
    "film_thou": "20",
    "screen": "18 by 16",
    "flap": "outside",
    "size": "700 by 480 mm",
}


def zipper(known: Mapping[str, str], key: str = "zipper-1") -> Part:
    return Part(Kind.ZIPPER, key, "front wall, door", known)


def bare(kind: Kind, known: Mapping[str, str] | None = None) -> Part:
    """A part of which nothing else is known; a piece is one that was taken over."""
    told = TAKEN_OVER if kind is Kind.PIECE else {}
    return Part(kind, "x", "here", told | dict(known or {}))


def whole(kind: Kind, key: str) -> Part:
    """A part with every question answered."""
    return Part(kind, key, key, bare(kind, {question.key: "known" for question in QUESTIONS[kind]}).known)


READY = Order(
    parts=(
        whole(Kind.ORDER, "order"),
        whole(Kind.PIECE, "piece-1"),
        Part(
            Kind.CLOTH,
            "cloth-1",
            "walls",
            whole(Kind.CLOTH, "cloth-1").known | {"flame": "CPAI-84 (1995), lot 12"},
        ),
        whole(Kind.FRAME, "frame"),
        Part(Kind.WINDOW, "window-1", "front wall", WINDOW),
        zipper(DOOR),
        whole(Kind.EDGE, "edge-1"),
        whole(Kind.FASTENER, "fastener-1"),
        whole(Kind.OPTION, "option-1"),
    ),
    drafts={"piece-1": Draft(outline_of([0, 100, 100j]), ())},
)


def test_an_order_with_everything_known_may_be_cut() -> None:
    assert holds_back(READY) == ()


@pytest.mark.parametrize("key", DOOR)
def test_whatever_is_not_known_of_a_zipper_blocks_with_one_question(key: str) -> None:
    (problem,) = open_questions(zipper(DOOR | {key: "  "}))
    assert problem.field == f"zipper-1.{key}"
    assert problem.says.startswith("Front wall, door: ")
    assert problem.says.endswith("?")
    assert problem.accepts
    assert not problem.ask


def test_a_zipper_is_asked_for_all_that_must_match() -> None:
    # Chain size, tooth type, teeth per inch, length, separating, slider side: named by the trade.
    asked = {problem.field.split(".")[1] for problem in open_questions(zipper({}))}
    assert asked >= {"chain", "teeth", "teeth_an_inch", "length", "separating", "slider_side"}


def test_a_question_reads_as_a_sentence() -> None:
    says = open_questions(zipper(DOOR | {"teeth": ""}))[0].says
    assert says == "Front wall, door: tooth type is not known. Are the teeth a coil, moulded or metal?"


def test_none_is_an_answer() -> None:
    assert open_questions(zipper({"chain": NONE})) == ()
    no_film = Part(Kind.WINDOW, "window-1", "front wall", WINDOW | {"film": "None", "film_thou": ""})
    assert open_questions(no_film) == ()
    assert open_questions(Part(Kind.FASTENER, "fastener-1", "skirt", {"what": "none"})) == ()


def test_film_without_a_thickness_is_asked_for() -> None:
    part = Part(Kind.WINDOW, "window-1", "front wall", WINDOW | {"film_thou": ""})
    assert [it.field for it in open_questions(part)] == ["window-1.film_thou"]


def test_a_cloth_is_never_answered_away() -> None:
    part = Part(Kind.CLOTH, "cloth-1", "roof", {"what": "none"})
    assert len(open_questions(part)) == len(QUESTIONS[Kind.CLOTH]) - 1


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_of_part_has_its_questions(kind: Kind) -> None:
    asked = QUESTIONS[kind]
    assert len({question.key for question in asked}) == len(asked)
    assert all(question.ask and question.accepts and not question.ask.endswith("?") for question in asked)
    assert len(open_questions(bare(kind))) == len(asked)


@pytest.mark.parametrize(
    ("key", "new", "old"),
    [
        ("chain", "8", "10"),
        ("teeth", "moulded", "coil"),
        ("teeth_an_inch", "9", "10.2"),
        ("teeth_an_inch", "18 over 50 mm", "20 over 50 mm"),
        ("length", "1,820 mm", "1,810 mm"),
        ("length", "72 in", "1,820 mm"),  # 1,828.8 mm
        ("length", "to the floor", "1,820 mm"),
        ("separating", "closed", "separating"),
    ],
)
def test_a_new_zipper_must_be_the_old_tents(key: str, new: str, old: str) -> None:
    on_tent = zipper(DOOR | {key: old, "slider_side": "right"}, "old")
    (problem,) = unlike_old(zipper(DOOR | {key: new}), on_tent)
    assert problem.field == f"zipper-1.{key}"
    assert f"is {new}, the old tent has {old}" in problem.says
    assert not problem.ask


@pytest.mark.parametrize(("new", "old"), [("#10", "10"), ("10.0", "10"), ("Coil", "coil"), ("coil ", "coil")])
def test_one_size_written_in_two_ways_matches(new: str, old: str) -> None:
    key = "teeth" if old == "coil" else "chain"
    assert not unlike_old(zipper(DOOR | {key: new}), zipper(DOOR | {key: old, "slider_side": "right"}))


@pytest.mark.parametrize(
    ("key", "new", "old"),
    [
        # 20 teeth over 50 mm are 20 x 25.4 / 50 = 10.16 an inch; 1 in = 25.4 mm, 1 ft = 12 in.
        ("teeth_an_inch", "20 over 50 mm", "10.2"),
        ("teeth_an_inch", "20 teeth over 2 in", "10"),
        ("length", "1,820 mm", "1820"),
        ("length", "1.82 m", "1,820 mm"),
        ("length", "71 5/8 in", "1,820 mm"),  # 1,819.3 mm
        ("length", "6 ft", "72 in"),
        ("length", "To the floor", "to the floor"),
    ],
)
def test_one_reading_in_two_units_matches(key: str, new: str, old: str) -> None:
    assert not unlike_old(zipper(DOOR | {key: new}), zipper(DOOR | {key: old, "slider_side": "right"}))


def test_a_pattern_is_asked_for_only_where_the_shape_is_on_file() -> None:
    measured = Part(Kind.ORDER, "order", "the order", {"shape": "measure"})
    on_file = Part(Kind.ORDER, "order", "the order", {"shape": "file"})
    asked = [{it.field for it in open_questions(part)} for part in (measured, on_file)]
    assert asked[1] - asked[0] == {"order.pattern"}


def test_the_two_halves_carry_slider_and_pin() -> None:
    (problem,) = unlike_old(zipper(DOOR), zipper(DOOR, "old"))
    assert problem.field == "zipper-1.slider_side"
    assert "both carry the slider on the left" in problem.says
    assert not unlike_old(zipper(DOOR | {"slider_side": ""}), zipper(DOOR | {"slider_side": ""}))


def test_what_is_unknown_is_no_mismatch() -> None:
    assert not unlike_old(zipper(DOOR), zipper({}))


@pytest.mark.parametrize(
    ("thou", "count"), [("20", 0), ("20.0", 0), ("30", 0), ("25", 1), ("0.5 mm", 1), ("", 0), ("none", 0)]
)
def test_an_unusual_film_is_asked_about(thou: str, count: int) -> None:
    told = doubts(Part(Kind.WINDOW, "window-1", "front wall", WINDOW | {"film_thou": thou}))
    assert len(told) == count
    assert all(it.ask and "12, 16, 20, 30, 40" in it.accepts for it in told)


@pytest.mark.parametrize("claim", ["fireproof", "Fire-proof cloth", "fire proof"])
def test_no_cloth_is_written_down_as_fire_proof(claim: str) -> None:
    (problem,) = doubts(Part(Kind.CLOTH, "cloth-1", "walls", {"flame": claim}))
    assert problem.field == "cloth-1.flame"
    assert not problem.ask
    assert not doubts(Part(Kind.CLOTH, "cloth-1", "walls", {"flame": "CPAI-84 (1995)"}))


def test_an_empty_order_is_asked_for_its_parts() -> None:
    assert [it.field for it in holds_back(Order(()))] == ["order", "piece", "cloth", "frame"]


def test_problems_of_pieces_and_seams_hold_an_order_back() -> None:
    off = Problem("B-D", "B to D is 8.0 mm shorter than the other lengths make it", "within 6 mm")
    seam = Problem("A-B", "A to B of front wall is 25 mm longer than A to B of skirt")
    order = Order(READY.parts, {"piece-1": Draft(outline_of([0, 100, 100j]), (off,))}, (seam,))
    assert [it.field for it in holds_back(order)] == ["piece-1.B-D", "A-B"]


def test_zippers_that_do_not_match_hold_an_order_back() -> None:
    order = Order(
        READY.parts, zipped=((zipper(DOOR), zipper(DOOR | {"chain": "8", "slider_side": "right"})),)
    )
    assert [it.field for it in holds_back(order)] == ["zipper-1.chain"]


def test_film_usually_sold_is_known_by_its_thousandths() -> None:
    part = Part(Kind.WINDOW, "w", "door", {"film_thou": str(Decimal(16))})
    assert not doubts(part)


@pytest.mark.parametrize(
    ("kind", "key", "words"),
    [
        # What must be known before cloth is cut, and the question that is asked (common practice).
        (Kind.ORDER, "unit", "What does the plate say"),
        (Kind.ORDER, "rest", "Is the rest of the tent staying"),
        (Kind.ORDER, "old", "May the old pieces be cut up"),
        (Kind.ORDER, "signed", "Has the owner signed the finished sizes"),
        (Kind.PIECE, "tight", "Was it set up and tight"),
        (Kind.PIECE, "outside", "Which face is out"),
        (Kind.CLOTH, "mass", "How heavy"),
        (Kind.CLOTH, "agreed", "When was the sample sent, and who agreed"),
        (Kind.CLOTH, "flame", "What does its flame label say"),
        (Kind.CLOTH, "shrink", "How much does this roll shrink"),
        (Kind.WINDOW, "flap", "Is there a flap"),
        (Kind.EDGE, "held", "What holds this edge"),
        (Kind.FASTENER, "first", "How far from the corner"),
        (Kind.FRAME, "straight", "all four corners as high"),
        (Kind.ZIPPER, "slider_side", "seen from outside"),
    ],
)
def test_each_question_of_the_loft_is_asked(kind: Kind, key: str, words: str) -> None:
    asked = {problem.field: problem.says for problem in open_questions(Part(kind, "part", "front wall"))}
    assert words in asked[f"part.{key}"]


def test_a_check_on_the_frame_is_asked_for_only_where_a_piece_was_taken_over() -> None:
    measured = {problem.field for problem in open_questions(Part(Kind.PIECE, "x", "here"))}
    assert {problem.field for problem in open_questions(bare(Kind.PIECE))} - measured == {"x.checked"}


@pytest.mark.parametrize("kind", list(Kind))
def test_answering_one_question_after_the_other_empties_the_list(kind: Kind) -> None:
    known: dict[str, str] = {}
    left = len(QUESTIONS[kind])
    for question in QUESTIONS[kind]:
        assert len(open_questions(bare(kind, known))) == left
        known[question.key] = "known"
        left -= 1
    assert open_questions(bare(kind, known)) == ()


def test_an_order_with_one_thing_missing_names_just_that() -> None:
    for at, part in enumerate(READY.parts):
        for key in part.known.keys() - TAKEN_OVER:
            known = {it: says for it, says in part.known.items() if it != key}
            parts = (*READY.parts[:at], replace(part, known=known), *READY.parts[at + 1 :])
            told = holds_back(Order(parts, READY.drafts))
            assert [it.field for it in told] == [f"{part.key}.{key}"]


def test_what_is_only_asked_stands_in_the_list_until_it_is_confirmed() -> None:
    odd = Part(Kind.WINDOW, "window-1", "front wall", WINDOW | {"film_thou": "25"})
    told = holds_back(Order((*READY.parts[:4], odd), READY.drafts))
    assert [(it.field, it.ask) for it in told] == [("window-1.film_thou", True)]

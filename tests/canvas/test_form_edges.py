"""The forms of the canvas room at their ends: what is just taken, what is just refused, and where."""

from collections.abc import Callable
from itertools import chain

import pytest

from app.canvas import said
from app.canvas.rules import How, Measured
from app.trade.canvas.allowances import EdgeKind
from app.trade.canvas.readiness import QUESTIONS, Kind
from app.trade.problems import Refused
from app.trade.typed import LINE, TEXT, Texts
from tests.canvas import loft

Read = Callable[[dict[str, str]], object]
TAPED = Measured(How.TAPE, 4, {})
PARTS = [Kind.ORDER, Kind.FRAME, Kind.CLOTH, Kind.WINDOW, Kind.ZIPPER, Kind.FASTENER, Kind.OPTION]


def wrong(read: Read, texts: dict[str, str]) -> set[str]:
    """The fields beside which a form is refused; empty where it is taken."""
    try:
        read(texts)
    except Refused as refused:
        return {problem.field for problem in refused.problems}
    return set()


def part(kind: Kind) -> Read:
    return lambda texts: said.read_part(Texts({"place": "front wall", **texts}), kind)


def piece(texts: dict[str, str]) -> object:
    return said.read_new_piece(Texts({"name": "wall", "how": "tape", **texts}), {})


def measures(texts: dict[str, str]) -> object:
    return said.read_piece(Texts({"name": "wall", **texts}), TAPED, {5: "mate"})


def edges(texts: dict[str, str]) -> object:
    return said.read_edges(Texts(texts), TAPED.sides, {3: "wall cloth"})


@pytest.mark.parametrize(
    ("kind", "key"), list(chain.from_iterable(((k, q.key) for q in QUESTIONS[k]) for k in PARTS))
)
def test_every_answer_is_a_line_of_printable_text(kind: Kind, key: str) -> None:
    read = part(kind)
    assert key in wrong(read, {key: "x" * (LINE + 1)})
    assert key in wrong(read, {key: "a\x07b"})
    if (kind, key) not in said.CHOICES and key not in ("shrink", "at"):
        longest = {key: "x" * LINE, f"confirm-{key}": "x" * LINE}
        assert wrong(read, longest) == set()


@pytest.mark.parametrize(("kind", "key"), list(said.CHOICES))
def test_every_choice_is_taken_and_no_other(kind: Kind, key: str) -> None:
    for choice in said.CHOICES[kind, key]:
        assert wrong(part(kind), {key: choice}) == set()
    assert wrong(part(kind), {key: "something else"}) == {key}


@pytest.mark.parametrize(
    ("corners", "taken"), [("3", True), ("26", True), ("2", False), ("27", False), ("4.5", False), ("", True)]
)
def test_a_piece_has_three_to_twenty_six_corners(corners: str, *, taken: bool) -> None:
    assert (wrong(piece, {"corners": corners}) == set()) is taken


@pytest.mark.parametrize("how", ["tape", "coordinates", "angles"])
def test_a_piece_is_measured_in_one_of_three_ways(how: str) -> None:
    assert wrong(piece, {"how": how}) == set()
    assert wrong(piece, {"how": how, "unit": "cubit"}) == {"unit"}


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        ("0.1", True),
        ("20000", True),
        ("2438,5", True),  # a comma for the point, as some tapes are read out
        ("95 1/2", True),
        ("0", False),
        ("20000.1", False),
        ("1,250", False),  # one thousand two hundred and fifty, or one and a quarter
        ("2438 mm", False),
        ("1e3", False),
    ],
)
def test_a_length_is_what_a_tape_can_read(text: str, *, taken: bool) -> None:
    assert (wrong(measures, {"A-B": text}) == set()) is taken


def test_a_length_in_inches_ends_at_the_same_place() -> None:
    inches = Measured(How.TAPE, 4, {}, "in")

    def read(texts: dict[str, str]) -> object:
        return said.read_piece(Texts({"name": "wall", **texts}), inches, {})

    assert wrong(read, {"A-B": "787"}) == set()  # 787 * 25.4 = 19,989.8 mm
    assert wrong(read, {"A-B": "788"}) == {"A-B"}


def test_a_field_that_the_form_has_not_is_not_kept() -> None:
    found = said.read_piece(Texts({"name": "wall", **loft.WALL, "A-Z": "5", "E-F": "5"}), TAPED, {})
    assert found.typed == loft.WALL


def test_a_mate_is_a_piece_of_the_same_order() -> None:
    assert wrong(measures, {"mate_of": "5"}) == set()
    assert wrong(measures, {"mate_of": "6"}) == {"mate_of"}


def test_a_note_may_be_long_and_have_lines() -> None:
    assert wrong(measures, {"note": "patch at C\nleft out"}) == set()
    assert wrong(measures, {"note": "x" * (TEXT + 1)}) == {"note"}


@pytest.mark.parametrize("kind", [kind for kind in EdgeKind if kind is not EdgeKind.POCKET])
def test_every_kind_of_edge_needs_no_more_than_its_name(kind: EdgeKind) -> None:
    assert wrong(edges, {"kind-A-B": kind}) == set()


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"kind-A-B": "glued"}, "kind-A-B"),
        ({"kind-A-B": "hem", "added-A-B": "-1"}, "added-A-B"),
        ({"kind-A-B": "hem", "added-A-B": "501"}, "added-A-B"),
        ({"kind-A-B": "pocket", "pole-A-B": "0"}, "pole-A-B"),
        ({"kind-A-B": "pocket", "pole-A-B": "101"}, "pole-A-B"),
        ({"held-C-D": "x" * (LINE + 1)}, "held-C-D"),
        ({"warp_angle": "181"}, "warp_angle"),
        ({"copies": "0"}, "copies"),
        ({"copies": "51"}, "copies"),
        ({"cloth": "4"}, "cloth"),
        ({"by": "a\x00b"}, "by"),
    ],
)
def test_what_no_edge_or_cloth_can_be_is_refused_beside_its_field(texts: dict[str, str], field: str) -> None:
    assert wrong(edges, texts) == {field}


@pytest.mark.parametrize(
    "texts",
    [
        {"kind-A-B": "hem", "added-A-B": "0"},
        {"kind-A-B": "hem", "added-A-B": "500"},
        {"kind-A-B": "pocket", "pole-A-B": "100"},
        {"warp_angle": "-180"},
        {"copies": "50"},
        {"cloth": "3"},
        {},
    ],
)
def test_the_ends_themselves_are_taken(texts: dict[str, str]) -> None:
    assert wrong(edges, texts) == set()


@pytest.mark.parametrize("name", ["wishes", "fitting", "aftercare"])
def test_instructions_may_be_long_and_have_lines(name: str) -> None:
    def read(texts: dict[str, str]) -> object:
        return said.read_order(Texts({"maker": "here", "pattern": "measure", **texts}))

    assert wrong(read, {name: "first\nthen"}) == set()
    assert wrong(read, {name: "x" * (TEXT + 1)}) == {name}
    assert wrong(read, {name: "a\x07"}) == {name}

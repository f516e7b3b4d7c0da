"""What the forms of the canvas room say, read into values; every problem beside its field."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from itertools import combinations

from app.canvas.rules import SHRINK_ACCEPTS, EdgeSaid, How, Measured, allowance_of, read_shrink
from app.trade.canvas.allowances import EdgeKind
from app.trade.canvas.options import COSTS, Way
from app.trade.canvas.outline import FEWEST_CORNERS, MOST_CORNERS, edge_name, letters
from app.trade.canvas.readiness import PIECE, QUESTIONS, ZIPPER, Kind, Part, Question, doubts
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.typed import TEXT, Reader, Typed

EARLIER, TAKES = "earlier", "piece"  # fields of the form that takes pieces over
OLD = "old-"  # before the fields of a zipper's half on the old tent
ALL_DIAGONALS = 6  # corners up to which every diagonal is offered: 9 of them
# By unit: the most that is added to an edge, the thinnest and the thickest pole.
EDGE_BOUNDS = {"mm": ("500", "1", "100"), "in": ("20", "0.04", "4")}
LONGEST = Decimal(20_000)  # mm, about 66 ft: no piece of a folding tent trailer is longer


class Maker(StrEnum):
    """Who cuts and sews."""

    HERE = "here"
    LOFT = "loft"


class Pattern(StrEnum):
    """Where the shape comes from."""

    MEASURE = "measure"
    OLD = "old"
    FILE = "file"


MAKERS = (("here", "Cut and sewn here"), ("loft", "Ordered from a sewing loft"))
PATTERNS = (
    ("measure", "Measured on the frame"),
    ("old", "The old canvas is the pattern"),
    ("file", "A pattern is on file"),
)
ADDED = (
    ("cloth", "Cloth"),
    ("window", "Window"),
    ("zipper", "Zipper"),
    ("fastener", "Row of fasteners"),
    ("option", "Option: more light or more privacy"),
)
CHOICES: Mapping[tuple[Kind, str], tuple[str, ...]] = {
    (Kind.ZIPPER, "teeth"): ("coil", "moulded", "metal"),
    (Kind.ZIPPER, "separating"): ("separating", "closed end"),
    (Kind.ZIPPER, "slider_side"): ("left", "right"),
    (Kind.ZIPPER, "pulls"): ("inside", "outside", "both"),
    (Kind.WINDOW, "film"): ("clear", "tinted", "none"),
    (Kind.WINDOW, "flap"): ("inside", "outside", "none"),
    (Kind.OPTION, "what"): tuple(Way),
    (Kind.OPTION, "costs"): COSTS,
    (Kind.ORDER, "old"): ("sent in", "kept", "thrown away"),
    (Kind.ORDER, "ship"): ("owner", "shop", "installed"),
}


@dataclass(frozen=True)
class OrderSaid:
    """What the order's own form says."""

    maker: str
    pattern: str
    wishes: str
    fitting: str
    aftercare: str


def read_order(typed: Typed) -> OrderSaid:
    """The order's own form; raises Refused."""
    read = Reader(typed)
    maker = read.choice("maker", Maker, required="Say who cuts and sews it")
    pattern = read.choice("pattern", Pattern, required="Say where its shape comes from")
    texts = [read.text(name, most=TEXT, lines=True) for name in ("wishes", "fitting", "aftercare")]
    read.done()
    return OrderSaid(str(maker), str(pattern), *texts)


class Added(StrEnum):
    """The kinds of part that a person adds; order and frame are there from the start."""

    CLOTH = "cloth"
    WINDOW = "window"
    ZIPPER = "zipper"
    FASTENER = "fastener"
    OPTION = "option"


def read_added(typed: Typed) -> tuple[Kind, str]:
    """Kind and place of a part to add; raises Refused."""
    read = Reader(typed)
    kind = read.choice("kind", Added, required="Say what is added")
    place = read.text("place", required="Say where it is, or the cloth's name")
    read.done()
    return Kind(str(kind)), place


@dataclass(frozen=True)
class PartSaid:
    """What a part's form says: where it is, its answers, and those of the old half that it runs with."""

    place: str
    known: dict[str, str]
    old: dict[str, str] = field(default_factory=dict)
    runs_with_old: bool = False


def questions_of(kind: Kind) -> tuple[Question, ...]:
    """The questions that a part's form asks."""
    return QUESTIONS[kind]


def read_part(typed: Typed, kind: Kind, abouts: Mapping[int, str] | None = None) -> PartSaid:
    """A part's form: an empty answer is one that is not known yet. Raises Refused.

    `abouts`: the parts by key that an option may be about. Unusual film is asked about once; a claim of
    fire-proof cloth is refused.
    """
    read = Reader(typed)
    place = read.text("place", required="Say where it is")
    known = _answers(read, questions_of(kind), kind)
    if kind is Kind.OPTION:
        one_of(read, "at", abouts or {})
    _check_doubts(read, kind, known)
    if kind is Kind.CLOTH and known.get("shrink"):
        _check(read, "shrink", lambda: read_shrink(known["shrink"]))
    runs = kind is Kind.ZIPPER and read.yes("runs_with_old")
    old = _answers(read, ZIPPER, kind, OLD) if runs else {}
    read.done()
    return PartSaid(place, known, old, runs)


def _answers(read: Reader, asked: Iterable[Question], kind: Kind, before: str = "") -> dict[str, str]:
    found = {it.key: read.text(before + it.key) for it in asked}
    for key, text in found.items():
        choices = CHOICES.get((kind, key))
        if text and choices and text not in choices:
            read.wrong(before + key, f"{text[:40]} is not one of the choices", ", ".join(choices))
    return {key: text for key, text in found.items() if text}


def _check_doubts(read: Reader, kind: Kind, known: Mapping[str, str]) -> None:
    for problem in doubts(Part(kind, "it", "", known)):
        name = problem.field.removeprefix("it.")
        (read.ask if problem.ask else read.wrong)(name, problem.says, problem.accepts)


def _check(read: Reader, name: str, what: Callable[[], object]) -> None:
    try:
        what()
    except Impossible as impossible:
        read.wrong(name, impossible.says, impossible.accepts or SHRINK_ACCEPTS)


# Pieces


class Unit(StrEnum):
    """The unit of a piece's lengths."""

    MM = "mm"
    INCH = "in"


@dataclass(frozen=True)
class NewPiece:
    """A piece to add: measured, or the mirror of another one."""

    name: str
    how: How
    corners: int = 4
    unit: str = "mm"
    mirror_of: int | None = None


def read_new_piece(typed: Typed, others: Mapping[int, str]) -> NewPiece:
    """The form of a new piece; `others`: pieces that it may mirror. Raises Refused."""
    read = Reader(typed)
    name = read.text("name", required="The piece has no name")
    how = read.choice("how", How, required="Say how it is measured")
    corners = read.whole("corners", least=FEWEST_CORNERS, most=MOST_CORNERS) or 4
    unit = read.choice("unit", Unit) or Unit.MM
    mirror_of = one_of(read, "mirror_of", others) if how is How.MIRROR else None
    if how is How.MIRROR and mirror_of is None and not read.problems:
        read.wrong("mirror_of", "Say which piece it mirrors", "a piece of this order")
    read.done()
    assert how is not None
    return NewPiece(name, how, corners, str(unit), mirror_of)


def one_of(read: Reader, name: str, known: Mapping[int, str]) -> int | None:
    """The key picked from a list; None where nothing is."""
    chosen = read.raw(name)
    if not chosen:
        return None
    found = {str(key): key for key in known}.get(chosen)
    if found is None:
        read.wrong(name, f"{chosen[:20]} is not one of the list", "one of the list")
    return found


def fields_of(measured: Measured) -> tuple[str, ...]:
    """The names of the measures that a piece's form has, in the order in which they are taken."""
    if measured.how is How.COORDINATES:
        return tuple(f"{name}-{axis}" for name in measured.names for axis in "xy")
    if measured.how is How.ANGLES:
        return (*measured.sides, *measured.names)
    if measured.how is How.MIRROR:
        return ()
    return (*measured.sides, *diagonals_of(measured.corners))


def diagonals_of(corners: int) -> tuple[str, ...]:
    """The diagonals offered: all up to six corners, beyond that those from A and those over one corner."""
    names = letters(corners)
    sides = {edge_name(names[at - 1], names[at]) for at in range(corners)}
    pairs = [edge_name(*pair) for pair in combinations(names, 2)]
    across = {edge_name(names[at - 2], names[at]) for at in range(corners)}
    every = corners <= ALL_DIAGONALS
    return tuple(
        pair for pair in pairs if pair not in sides and (every or pair.startswith("A-") or pair in across)
    )


@dataclass(frozen=True)
class PieceSaid:
    """The measures of a piece as typed."""

    name: str
    typed: dict[str, str]
    inward: list[str]
    mate_of_id: int | None = None
    halves: bool = False
    note: str = ""


def read_piece(typed: Typed, measured: Measured, others: Mapping[int, str]) -> PieceSaid:
    """The measures of a piece: an empty one is not taken yet, a wrong outline is kept as a draft.

    Raises Refused for what is no number, or no length that a tape on such a tent could read.
    """
    read = Reader(typed)
    name = read.text("name", required="The piece has no name")
    found = {each: read.raw(each) for each in fields_of(measured)}
    for each in found:
        _check_measure(read, each, measured)
    inward = [each for each in typed.all("inward") if each in measured.names]
    mate = one_of(read, "mate_of", others)
    halves, note = read.yes("halves"), read.text("note", most=TEXT, lines=True)
    read.done()
    return PieceSaid(name, {key: text for key, text in found.items() if text}, inward, mate, halves, note)


def _check_measure(read: Reader, name: str, measured: Measured) -> None:
    if "-" not in name:
        read.number(name, least="0.1", most="359.9")
        return
    most = Quantity(str(LONGEST), "mm").to(measured.unit).quantize(Decimal(1))
    least = f"-{most}" if measured.how is How.COORDINATES else "0.1"
    read.quantity(name, measured.unit, least=least, most=str(most))


@dataclass(frozen=True)
class Taking:
    """What is taken over: pieces of an earlier order, all by keys."""

    earlier: int
    pieces: frozenset[int]


def read_taking(typed: Typed, offered: Mapping[int, Mapping[int, str]]) -> Taking:
    """Which pieces of which earlier order are taken over; `offered`: those of the list. Raises Refused."""
    read = Reader(typed)
    earlier = one_of(read, EARLIER, dict.fromkeys(offered, ""))
    if earlier is None and not read.problems:
        read.wrong(EARLIER, "Say whose pieces are taken over", "one of the list")
    known = {f"{key}": key for key in offered.get(earlier or 0, ())}
    picked = frozenset(known[text] for text in typed.all(TAKES) if text in known)
    if not picked and not read.problems:
        read.wrong(TAKES, "No piece is chosen", "at least one piece of the pattern")
    read.done()
    assert earlier is not None
    return Taking(earlier, picked)


# Edges and cloth


@dataclass(frozen=True)
class EdgesSaid:
    """What is said of a piece's edges, its cloth and how it lies on it, and who measured it how."""

    edges: dict[str, dict[str, str]]
    known: dict[str, str]
    cloth_id: int | None
    warp_angle: str
    copies: int


def piece_questions() -> tuple[Question, ...]:
    """The questions of a piece that are answered in words; its cloth is picked from the order's."""
    return tuple(question for question in PIECE if question.key != "cloth")


def read_edges(typed: Typed, sides: Sequence[str], cloths: Mapping[int, str]) -> EdgesSaid:
    """The form of a piece's edges and cloth; raises Refused."""
    read = Reader(typed)
    unit = _edge_unit(read)
    edges = {side: _edge(read, side, unit) for side in sides}
    known = _answers(read, piece_questions(), Kind.PIECE)
    cloth = one_of(read, "cloth", cloths)
    warp = read.raw("warp_angle") if read.number("warp_angle", least="-180", most="180") is not None else "0"
    copies = read.whole("copies", least=1, most=50) or 1
    read.done()
    return EdgesSaid(edges, known, cloth, warp, copies)


def _edge_unit(read: Reader) -> str:
    """What allowances and poles were measured in; millimetres where nothing is said."""
    unit = read.raw("edge-unit") or "mm"
    if unit not in EDGE_BOUNDS:
        read.wrong("edge-unit", f"{unit[:20]} is not a unit for this", "millimetres or inches")
        return "mm"
    return unit


def _edge(read: Reader, side: str, unit: str) -> dict[str, str]:
    kind = read.choice(f"kind-{side}", EdgeKind)
    most, least_pole, most_pole = EDGE_BOUNDS[unit]
    added = _length(read, f"added-{side}", unit, "0", most)
    pole = _length(read, f"pole-{side}", unit, least_pole, most_pole)
    held = read.text(f"held-{side}")
    said = EdgeSaid(str(kind or ""), added, pole, held, unit)
    if not read.problems:
        _check(read, f"pole-{side}", lambda: allowance_of(said))
    typed = {key: text for key, text in vars(said).items() if text}
    return typed if added or pole else {key: text for key, text in typed.items() if key != "unit"}


def _length(read: Reader, name: str, unit: str, least: str, most: str) -> str:
    """A length as typed; empty where it is empty or wrong."""
    return read.raw(name) if read.quantity(name, unit, least=least, most=most) is not None else ""


# Seams


@dataclass(frozen=True)
class SeamSaid:
    """Edges that are sewn or zipped to each other, each as `7:A-B`; `ease` in mm as typed."""

    name: str
    one: list[str]
    other: list[str]
    ease: str = ""


def read_seam(typed: Typed, edges: Sequence[str]) -> SeamSaid:
    """The form of a seam of two edges; `edges`: those of the order. Raises Refused."""
    read = Reader(typed)
    name = read.text("seam", required="The seam has no name")
    one, other = (_edge_of(read, field, edges) for field in ("seam-one", "seam-other"))
    if one and one == other:
        read.wrong("seam-other", "An edge is not sewn to itself", "another edge")
    ease = read.raw("ease") if read.number("ease", least="-500", most="500") is not None else ""
    read.done()
    return SeamSaid(name, [one], [other], ease)


def _edge_of(read: Reader, name: str, edges: Sequence[str]) -> str:
    chosen = read.raw(name)
    if chosen not in edges:
        read.wrong(name, "The edge is missing", "an edge of the list")
    return chosen


def read_ring(typed: Typed, edges: Sequence[str], roofs: Mapping[int, str]) -> SeamSaid:
    """The form of a ring: edges of walls, together as long as all edges of the roof. Raises Refused."""
    read = Reader(typed)
    name = read.text("ring", required="The ring has no name")
    roof = one_of(read, "roof", roofs)
    if roof is None and not read.problems:
        read.wrong("roof", "The roof is missing", "a piece of the list")
    walls = [edge for edge in typed.all("wall") if edge in edges and not edge.startswith(f"{roof}:")]
    if len({edge.partition(":")[0] for edge in walls}) < 2:
        read.wrong("wall", "A ring has at least two walls", "the top edge of each wall")
    read.done()
    return SeamSaid(name, walls, [edge for edge in edges if edge.startswith(f"{roof}:")])

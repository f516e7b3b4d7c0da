"""How an order's parts and pieces stand on its pages: texts of forms, rows, links, sketches."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.canvas import said
from app.canvas.facts import OrderRead, PieceRead, SeamRead, measured_of
from app.canvas.rules import HOW_WORDS, How, Measured, may_be_misread
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece
from app.trade.bounds import says
from app.trade.canvas.mates import SeamSide
from app.trade.canvas.outline import Outline, length_said
from app.trade.canvas.readiness import ZIPPER, Kind, Part, Question, open_questions
from app.trade.canvas.sketch import Paper, Shown, Sketch, sketch
from app.trade.canvas.taped import closure_figure
from app.trade.figure import Worked, plain
from app.trade.problems import Problem
from app.trade.quantity import with_unit

KIND_WORDS: Mapping[str, str] = {
    Kind.ORDER: "Order",
    Kind.FRAME: "Frame",
    Kind.CLOTH: "Cloth",
    Kind.WINDOW: "Window",
    Kind.ZIPPER: "Zipper",
    Kind.FASTENER: "Fasteners",
    Kind.OPTION: "Option",
}
CHOICES: Mapping[str, object] = {
    "makers": said.MAKERS,
    "patterns": said.PATTERNS,
    "added": said.ADDED,
    "hows": tuple((how.value, words.capitalize()) for how, words in HOW_WORDS.items()),
    "units": (("mm", "millimetres"), ("in", "inches")),
}
PLACES = {"piece": "add-piece", "cloth": "add-part"}  # where on the order's page it is added
EDGE_FIELDS = ("kind", "added", "pole", "held")
UNKNOWN = ("", "Not known yet")
SMALL, LARGE = Paper(150, 112), Paper(190, 150)


def order_texts(row: CanvasOrder) -> dict[str, str]:
    """The order's own form."""
    return {name: str(getattr(row, name)) for name in ("maker", "pattern", "wishes", "fitting", "aftercare")}


def part_texts(part: CanvasPart) -> dict[str, str]:
    """A part's form."""
    old = {f"{said.OLD}{key}": text for key, text in part.old.items()}
    asked = [*said.questions_of(Kind(part.kind)), *ZIPPER]
    empty = {name: "" for it in asked for name in (it.key, f"{said.OLD}{it.key}")}
    runs = "yes" if part.runs_with_old else ""
    return {**empty, "place": part.place, "runs_with_old": runs, **part.known, **old}


@dataclass(frozen=True)
class Asked:
    """A question as a form asks it; `options` where it is answered by a choice."""

    key: str
    label: str
    hint: str
    options: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class PartAsked:
    """All questions of a part; `old`: those of the half that a zipper runs with."""

    new: tuple[Asked, ...]
    old: tuple[Asked, ...] = ()


def asked_of(part: CanvasPart) -> PartAsked:
    """The questions of a part as its form asks them."""
    kind = Kind(part.kind)
    new = tuple(_asked(kind, question) for question in said.questions_of(kind))
    old = tuple(_asked(kind, question, said.OLD) for question in ZIPPER) if kind is Kind.ZIPPER else ()
    return PartAsked(new, old)


def _asked(kind: Kind, question: Question, before: str = "") -> Asked:
    choices = said.CHOICES.get((kind, question.key), ())
    options = (UNKNOWN, *((word, word.capitalize()) for word in choices)) if choices else ()
    hint = "" if choices else question.accepts
    return Asked(before + question.key, f"{question.ask}?", hint, options)


@dataclass(frozen=True)
class PartRow:
    """A part in the order's list: how much of it is known, and what is asked next."""

    key: int
    kind: str
    place: str
    said: str
    open: int
    asks: str


def part_row(part: CanvasPart) -> PartRow:
    """A part as the order's list shows it."""
    kind = Kind(part.kind)
    left = open_questions(Part(kind, "it", part.place, part.known))
    known = [f"{it.name}: {part.known[it.key]}" for it in said.questions_of(kind) if part.known.get(it.key)]
    place = "" if kind in (Kind.ORDER, Kind.FRAME) else part.place
    return PartRow(
        part.key, KIND_WORDS[kind], place, "; ".join(known), len(left), left[0].says if left else ""
    )


# What holds an order back


@dataclass(frozen=True)
class Block:
    """One thing that holds an order back, with the place where it is put right."""

    says: str
    accepts: str
    ask: bool
    href: str


def block_of(order: OrderRead, problem: Problem) -> Block:
    """A problem with the page and field where it is answered."""
    return Block(problem.says, problem.accepts, problem.ask, _href(order, problem.field))


def _href(order: OrderRead, field: str) -> str:
    what, _, name = field.partition(".")
    kind, _, rest = what.partition("-")
    key, _, old = rest.partition("-")
    if kind == "part":
        return f"/canvas/parts/{key}#{said.OLD if old else ''}{name}"
    if kind == "piece" and key:
        return f"/canvas/pieces/{key}#{_piece_field(order, int(key), name)}"
    return f"/canvas/{order.key}#{PLACES.get(kind, 'seams')}"


def _piece_field(order: OrderRead, key: int, name: str) -> str:
    """The field of a piece's page: an edge's, a question's, a measure's."""
    edge, _, question = name.partition(".")
    if question:
        return f"held-{edge}"
    piece = order.piece(key)
    unsaid = piece is not None and any(problem.field == name for problem in piece.edge_problems)
    return f"kind-{name}" if unsaid else name


# Pieces


@dataclass(frozen=True)
class Card:
    """A piece as a page shows it. `sketch` is None where the measures fix no outline."""

    key: int
    name: str
    mark: str
    sketch: Sketch | None
    how: str
    stands: str
    wrong: bool
    finished: str
    cut: str
    area: str
    cloth: str
    copies: int
    closures: tuple[Worked[Decimal], ...]
    misread: tuple[str, ...]
    problems: tuple[Problem, ...]


def piece_card(piece: PieceRead, paper: Paper = SMALL) -> Card:
    """A piece for the order's page, or with a larger sketch for its own."""
    cut = piece.cut.cut if piece.cut else None
    return Card(
        key=piece.key,
        name=piece.name,
        mark=piece.mark,
        sketch=_sketch(piece, cut, paper),
        how=_how(piece),
        stands=_stands(piece),
        wrong=any(not problem.ask for problem in piece.faults),
        finished=_size(piece.finished if piece.draft.stands else None),
        cut=_size(cut),
        area=_area(cut),
        cloth=piece.cloth,
        copies=piece.copies,
        closures=tuple(map(closure_figure, piece.draft.closures)),
        misread=may_be_misread(measured_of(piece.row), piece.draft),
        problems=piece.problems,
    )


def _sketch(piece: PieceRead, cut: Outline | None, paper: Paper) -> Sketch | None:
    if piece.finished is None:
        return None
    shown = Shown(piece.finished, cut, piece.warp_angle, piece.faults)
    return sketch(shown, Paper(paper.width, paper.height, piece.row.unit))


def _size(outline: Outline | None) -> str:
    return f"{length_said(outline.width)} by {length_said(outline.height)}" if outline else ""


def _area(outline: Outline | None) -> str:
    return f"{plain(outline.area / 1_000_000, 2)} m²" if outline else ""


def _how(piece: PieceRead) -> str:
    return HOW_WORDS[How(piece.row.how)]


def _stands(piece: PieceRead) -> str:
    """How far a piece has come: a draft with what is wrong, or what is still to be said of it."""
    refused = [problem for problem in piece.problems if not problem.ask]
    if refused:
        return refused[0].says
    asked = f"; {len(piece.problems)} to be confirmed" if piece.problems else ""
    return f"Measured, with its cut size{asked}"


def measured_pieces(order: OrderRead, but: int = 0) -> list[tuple[str, str]]:
    """The measured pieces of an order as the options of a list."""
    pieces = [it for it in order.pieces if it.row.how != How.MIRROR and it.key != but]
    return [("", "None"), *((str(it.key), it.name) for it in pieces)]


def piece_texts(piece: PieceRead) -> dict[str, str]:
    """The form of a piece's measures."""
    row = piece.row
    names = said.fields_of(measured_of(row))
    return {
        **{name: row.typed.get(name, "") for name in names},
        "name": row.name,
        "inward": "\n".join(row.inward),
        "mate_of": str(row.mate_of_id or ""),
        "halves": "yes" if row.halves else "",
        "note": row.note,
    }


def edge_texts(piece: PieceRead) -> dict[str, str]:
    """The form of a piece's edges, cloth and answers."""
    row = piece.row
    edges = {
        f"{name}-{side}": row.edges.get(side, {}).get(name, "")
        for side in measured_of(row).sides
        for name in EDGE_FIELDS
    }
    answers = {question.key: row.known.get(question.key, "") for question in said.piece_questions()}
    rest = {"cloth": str(row.cloth_id or ""), "warp_angle": row.warp_angle, "copies": str(row.copies)}
    return edges | answers | rest | {"edge-unit": edge_unit(row)}


def edge_unit(row: CanvasPiece) -> str:
    """What the allowances and poles of a piece were typed in; the tape's unit where none was typed."""
    typed = [said.get("unit", "mm") for said in row.edges.values() if said.get("added") or said.get("pole")]
    return typed[0] if typed else row.unit


@dataclass(frozen=True)
class Measure:
    """One measure of a piece's form: its field, its label and its unit."""

    name: str
    label: str
    unit: str


def measures_of(piece: PieceRead) -> dict[str, list[Measure]]:
    """The measures of a piece's form in groups, each under its heading."""
    measured = measured_of(piece.row)
    names = said.fields_of(measured)
    groups: dict[str, list[Measure]] = {}
    for name in names:
        head, label, unit = _measure(name, measured)
        groups.setdefault(head, []).append(Measure(name, label, unit))
    return groups


def _measure(name: str, measured: Measured) -> tuple[str, str, str]:
    one, _, other = name.partition("-")
    if not other:
        return "Inner angles", f"Angle at {one}", "°"
    if other in ("x", "y"):
        return "Coordinates", f"{one}, {'to the right' if other == 'x' else 'up'}", measured.unit
    words = f"{one} to {other}"
    return ("Sides" if name in measured.sides else "Diagonals"), words, measured.unit


# Seams


@dataclass(frozen=True)
class SeamRow:
    """A seam as the order's page shows it: both sides with their lengths, and how they differ."""

    key: int
    revision: int
    name: str
    sides: tuple[str, ...]
    stands: str
    wrong: bool


def seam_row(seam: SeamRead) -> SeamRow:
    """A seam with its sides named and compared."""
    sides = (_side(seam.one), _side(seam.other))
    wrong = any(not problem.ask for problem in seam.problems)
    stands = seam.problems[0].says if seam.problems else _apart(seam)
    return SeamRow(seam.row.key, seam.row.revision, seam.row.name, sides, stands, wrong)


def _side(sides: tuple[SeamSide, ...]) -> str:
    together = sum((side.length for side in sides), Decimal(0))
    return (
        f"{'; '.join(side.words for side in sides)}: {length_said(together)}" if sides else "no outline yet"
    )


def _apart(seam: SeamRead) -> str:
    one, other = (sum((side.length for side in sides), Decimal(0)) for sides in (seam.one, seam.other))
    ease = f", with an ease of {with_unit(seam.row.ease, 'mm')}" if seam.row.ease else ""
    off = abs(one - other)
    near = f" within {says(off, 'mm', 1)}" if off >= Decimal("0.05") else ""
    return f"They match{near}{ease}"


def edges_of(order: OrderRead) -> list[tuple[str, str]]:
    """All edges of an order's outlines as the options of a list."""
    pieces = ((piece, piece.finished) for piece in order.pieces)
    return [
        (f"{piece.key}:{edge.name}", f"{edge.words} of {piece.name}, {_long(piece, edge.length)}")
        for piece, outline in pieces
        if outline
        for edge in outline.edges
    ]


def _long(piece: PieceRead, length: Decimal) -> str:
    """An edge's length; of a draft none, since measures that do not close make no length."""
    return length_said(length) if piece.draft.stands else "a draft"

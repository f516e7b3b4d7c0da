"""How an order's parts and pieces stand on its pages: texts of forms, rows, links, sketches."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from app.canvas import said
from app.canvas.facts import OrderRead, PieceRead, SeamRead, allowances_of, known_of, measured_of
from app.canvas.pattern import Offer
from app.canvas.rules import HOW_WORDS, How, Measured, may_be_misread, walk_of
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece
from app.ground.words import moment
from app.trade.bounds import says
from app.trade.canvas.allowances import Allowance
from app.trade.canvas.mates import SeamSide
from app.trade.canvas.outline import Edge, Outline, length_said
from app.trade.canvas.plotted import walk_figure
from app.trade.canvas.readiness import CHECKED, ZIPPER, Kind, Part, Question, open_questions
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
ABOUT = (Kind.WINDOW, Kind.ZIPPER, Kind.CLOTH)  # what an option may be about
CHOICES: Mapping[str, object] = {
    "makers": said.MAKERS,
    "patterns": said.PATTERNS,
    "added": said.ADDED,
    "hows": tuple((how.value, words.capitalize()) for how, words in HOW_WORDS.items()),
    "units": (("mm", "millimetres"), ("in", "inches")),
}
# Where on the order's page it is added or put right.
PLACES = {"piece": "add-piece", "cloth": "add-part", "release": "release", "price": "price"}
EDGE_FIELDS = ("kind", "added", "pole", "held")
UNKNOWN = ("", "Not known yet")
MOST_ACROSS = 6  # corners: with more, the diagonals are too many to read
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


def abouts_of(parts: Iterable[CanvasPart]) -> dict[int, str]:
    """The windows, zippers and cloths of an order by key, each of which an option may be about."""
    return {it.key: f"{KIND_WORDS[it.kind]}, {it.place}" for it in parts if it.kind in ABOUT}


def asked_of(part: CanvasPart, abouts: Mapping[int, str] | None = None) -> PartAsked:
    """The questions of a part as its form asks them; `abouts`: what an option may be about."""
    kind = Kind(part.kind)
    new = tuple(_asked(kind, question) for question in said.questions_of(kind))
    if kind is Kind.OPTION:
        options = (UNKNOWN, *((str(key), name) for key, name in (abouts or {}).items()))
        new = tuple(replace(it, options=options) if it.key == "at" else it for it in new)
    old = tuple(_asked(kind, question, said.OLD) for question in ZIPPER) if kind is Kind.ZIPPER else ()
    return PartAsked(new, old)


def _asked(kind: Kind, question: Question, before: str = "") -> Asked:
    choices = said.CHOICES.get((kind, question.key), ())
    options = (UNKNOWN, *((word, word.capitalize()) for word in choices)) if choices else ()
    hint = "" if choices else question.accepts
    return Asked(before + question.key, f"{question.ask}?", hint, options)


@dataclass(frozen=True)
class PartRow:
    """A part in the order's list: how much of it is known, and what is asked next.

    `stays`: of a zipper, what is known of the half on the old tent that it must run with.
    """

    key: int
    kind: str
    place: str
    said: str
    open: int
    asks: str
    stays: str = ""


def part_rows(order: OrderRead) -> list[PartRow]:
    """The parts of an order as its list shows them."""
    abouts = abouts_of(order.parts)
    return [_row(part, known_of(order.row, part), abouts) for part in order.parts]


def part_row(part: CanvasPart) -> PartRow:
    """One part as the order's list shows it; an option is shown with the others of its order alone."""
    return _row(part, part.known, {})


def _row(part: CanvasPart, answered: Mapping[str, str], abouts: Mapping[int, str]) -> PartRow:
    kind = Kind(part.kind)
    left = open_questions(Part(kind, "it", part.place, answered))
    answers = _in_words(answered, abouts) if kind is Kind.OPTION else answered
    place = "" if kind in (Kind.ORDER, Kind.FRAME) else part.place
    return PartRow(
        part.key,
        KIND_WORDS[kind],
        place,
        _known(kind, answers),
        len(left),
        left[0].says if left else "",
        (_known(kind, part.old) or "nothing is known of it yet") if part.runs_with_old else "",
    )


def _known(kind: Kind, answers: Mapping[str, str]) -> str:
    asked = [it for it in said.questions_of(kind) if answers.get(it.key)]
    return "; ".join(f"{it.name}: {it.answered(answers[it.key])}" for it in asked)


def _in_words(known: Mapping[str, str], abouts: Mapping[int, str]) -> Mapping[str, str]:
    """An option's answers with the name of the part that it is about in place of its key."""
    names = {str(key): name[0].lower() + name[1:] for key, name in abouts.items()}
    at = known.get("at")
    return {**known, "at": names.get(at, "taken off the order")} if at else known


# A pattern on file


@dataclass(frozen=True)
class OfferRow:
    """An earlier order of which pieces can be taken over, and its pieces as the options of a list."""

    key: int
    number: str
    whose: str
    names: str
    pieces: tuple[tuple[str, str], ...]


def offered(offers: Iterable[Offer], zone: str) -> list[OfferRow]:
    """The earlier orders of which pieces can be taken over."""
    return [_offered(it, zone) for it in offers]


def _offered(it: Offer, zone: str) -> OfferRow:
    unit = ", ".join(filter(None, (f"unit {it.unit}", it.made)))
    whose = f"{unit}, released {moment(it.released_at, zone)}"
    pieces = tuple((f"{key}", name) for key, name in it.pieces.items())
    return OfferRow(it.key, it.number, whose, ", ".join(it.pieces.values()), pieces)


def taking_texts(offers: Iterable[Offer], earlier: int) -> dict[str, str]:
    """The form that takes over all pieces of an order of the list; empty where it is not of the list."""
    picked = next((it for it in offers if it.key == earlier), None)
    if picked is None:
        return {said.EARLIER: "", said.TAKES: ""}
    return {said.EARLIER: f"{earlier}", said.TAKES: "\n".join(f"{key}" for key in picked.pieces)}


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


def hrefs_of(order: OrderRead, problems: Iterable[Problem]) -> dict[str, str]:
    """By the field of each problem, the page and field where it is put right."""
    return {problem.field: _href(order, problem.field) for problem in problems}


def _href(order: OrderRead, field: str) -> str:
    if field == "inspection":
        return f"/canvas/{order.key}/inspection"
    what, _, name = field.partition(".")
    kind, _, rest = what.partition("-")
    key, _, old = rest.partition("-")
    if kind == "part":
        return f"/canvas/parts/{key}#{said.OLD if old else ''}{name}"
    if kind == "piece" and key and (piece := order.piece(int(key))):
        return _piece_href(piece, order.piece(piece.row.mirror_of_id or 0) or piece, name)
    if kind == "seam" and key.isdecimal():
        return f"/canvas/{order.key}#{what}"
    return f"/canvas/{order.key}#{PLACES.get(kind, 'seams')}"


def _piece_href(piece: PieceRead, measured: PieceRead, name: str) -> str:
    """The field of a piece's page: an edge's, a question's; a measure's of the piece that was `measured`.

    The shrinkage is its cloth's.
    """
    edge, _, question = name.partition(".")
    if name == "shrink" and piece.row.cloth_id:
        return f"/canvas/parts/{piece.row.cloth_id}#shrink"
    page = f"/canvas/pieces/{piece.key}"
    if not name:
        return page
    if question:
        return f"{page}#held-{edge}"
    if any(problem.field == name for problem in piece.edge_problems):
        return f"{page}#kind-{name}"
    if any(problem.field == name for problem in (*piece.draft.problems, *piece.mate_problems)):
        return f"/canvas/pieces/{measured.key}#{_measure_field(measured, name)}"
    return f"{page}#{name}"


def _measure_field(piece: PieceRead, name: str) -> str:
    """The field of the measure that a problem names: itself, else that of its first corner."""
    if name in said.fields_of(measured_of(piece.row)):
        return name
    corner = name.partition("-")[0]
    return f"{corner}-x" if How(piece.row.how) is How.COORDINATES and len(corner) == 1 else corner


# Pieces


@dataclass(frozen=True)
class Card:
    """A piece as a page shows it. `sketch` is None where the measures fix no outline.

    `wrong`: it is a draft, or cannot be sewn. `heavy`: something is drawn heavy, be it a seam at its edge.
    """

    key: int
    name: str
    mark: str
    sketch: Sketch | None
    how: str
    stands: str
    wrong: bool
    heavy: bool
    finished: str
    cut: str
    area: str
    cloth: str
    copies: int
    across: str
    note: str
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
        heavy=bool(_drawn_heavy(piece)),
        finished=_told_size(piece.finished if piece.draft.stands else None),
        cut=_size(cut),
        area=_area(cut),
        cloth=piece.cloth,
        copies=piece.copies,
        across=_across(piece),
        note=piece.row.note,
        closures=_closures(piece),
        misread=may_be_misread(measured_of(piece.row), piece.draft),
        problems=(*piece.problems, *piece.seam_problems),
    )


def _closures(piece: PieceRead) -> tuple[Worked[Decimal], ...]:
    """How well its measures close: each check of a tape, or the walk round by sides and angles."""
    measured = measured_of(piece.row)
    if measured.how is How.ANGLES and piece.finished is not None:
        return (walk_figure(walk_of(measured)),)
    return tuple(map(closure_figure, piece.draft.closures))


def _sketch(piece: PieceRead, cut: Outline | None, paper: Paper) -> Sketch | None:
    if piece.finished is None:
        return None
    shown = Shown(piece.finished, cut, piece.warp_angle, _drawn_heavy(piece), piece.draft.measured)
    return sketch(shown, Paper(paper.width, paper.height, piece.row.unit))


def _drawn_heavy(piece: PieceRead) -> tuple[Problem, ...]:
    """What is wrong or asked about its shape and its seams: drawn heavy on its sketch."""
    return (*piece.faults, *piece.seam_problems)


def _size(outline: Outline | None) -> str:
    return f"{length_said(outline.width)} by {length_said(outline.height)}" if outline else ""


def _told_size(outline: Outline | None) -> str:
    """A finished size as its drawing has it, whose sides bear their lengths."""
    if outline is None:
        return ""
    return f"{length_said(outline.told_width)} by {length_said(outline.told_height)}"


def _area(outline: Outline | None) -> str:
    return f"{plain(outline.area / 1_000_000, 2)} m²" if outline else ""


def _across(piece: PieceRead) -> str:
    """Its diagonals, by which a finished piece is checked for its shape, in the alphabet's order."""
    outline = piece.finished if piece.draft.stands else None
    if outline is None or len(outline.corners) > MOST_ACROSS:
        return ""
    pairs = (name.split("-") for name in said.diagonals_of(len(outline.corners)))
    return "; ".join(f"{one} to {other} {length_said(outline.length(one, other))}" for one, other in pairs)


def edges_said(piece: PieceRead) -> str:
    """What each of its edges gets, as who sews it reads it: `A to B hem, turned twice, 38 mm, hooked`."""
    outline, allowances = piece.finished, allowances_of(piece)
    edges = outline.edges if outline else ()
    return "; ".join(_edge_said(piece, it, allowances[it.name]) for it in edges if it.name in allowances)


def _edge_said(piece: PieceRead, edge: Edge, allowance: Allowance) -> str:
    held = piece.edges[edge.name].held
    told = f"{edge.words} {allowance.kind.word}, {says(allowance.mm, 'mm')}"
    return f"{told}, {held}" if held else told


def _how(piece: PieceRead) -> str:
    how = How(piece.row.how)
    return f"Cut as the {HOW_WORDS[how]}" if how is How.MIRROR else f"Measured by {HOW_WORDS[how]}"


def _stands(piece: PieceRead) -> str:
    """How far a piece has come: a draft with what is wrong, or what is still to be said of it."""
    refused = [problem for problem in piece.problems if not problem.ask]
    if refused:
        return refused[0].says
    asked = f"; {len(piece.problems)} to be confirmed" if piece.problems else ""
    return f"{_whence(piece)}, with its cut size{asked}"


def _whence(piece: PieceRead) -> str:
    """Whether its measures were taken here, on the piece that it mirrors, or come from an earlier order."""
    if piece.source is None:
        return "Mirrored" if piece.row.how == How.MIRROR else "Measured"
    stands = "checked" if piece.checked else "not yet checked"
    return f"Taken over from {piece.source_mark} of {piece.source.number}, {stands} on this trailer's frame"


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


def asked_of_piece(piece: PieceRead) -> tuple[Question, ...]:
    """The questions of a piece as its form asks them; the check on the frame only of one taken over."""
    return tuple(it for it in said.piece_questions() if it.key != CHECKED or piece.source)


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

"""Whether a canvas order can be released: what is not known blocks it, each with one clear question.

Every answer is the text that was written down. `none` is an answer too ("no pocket here"); an empty one is
not. A new section is zipped to the old tent, so its zippers must be those of the old one to the tooth.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from app.trade.canvas.cloths import FILM_USUAL
from app.trade.canvas.outline import INCH
from app.trade.canvas.taped import Draft
from app.trade.canvas.written import mm_written
from app.trade.problems import Impossible, Problem
from app.trade.quantity import read_number

NONE = "none"


class Kind(StrEnum):
    """What a part of an order is."""

    ORDER = "order"
    PIECE = "piece"
    CLOTH = "cloth"
    WINDOW = "window"
    ZIPPER = "zipper"
    EDGE = "edge"
    FASTENER = "fastener"
    OPTION = "option"
    FRAME = "frame"


@dataclass(frozen=True)
class Question:
    """One thing that must be known of a part: its key, its name, what to ask, what is taken as an answer."""

    key: str
    name: str
    ask: str
    accepts: str
    unit: str = ""  # said after an answer that ends in a figure

    def answered(self, said: str) -> str:
        """An answer as others read it, with the unit that it was asked in."""
        return f"{said} {self.unit}" if self.unit and said[-1:].isdigit() else said


@dataclass(frozen=True)
class Part:
    """One part of an order and what is known of it, by the keys of its questions.

    `key`: the part's own key in the order (`zipper-3`). `place`: where it is ("front wall, door").
    """

    kind: Kind
    key: str
    place: str
    known: Mapping[str, str] = field(default_factory=dict)

    def said(self, key: str) -> str:
        """The answer to a question, without blanks round it; empty where there is none."""
        return self.known.get(key, "").strip()


THOU, SHRINKS = "thousandths of an inch", "percent along and across"
ZIPPER = (
    Question("chain", "chain size", "Which size is on the slider's back", "5, 8 or 10; none for no zipper"),
    Question("teeth", "tooth type", "Are the teeth a coil, moulded or metal", "coil, moulded or metal"),
    Question("teeth_an_inch", "teeth an inch", "How many teeth lie along a ruler", "such as 20 over 50 mm"),
    Question("length", "length", "How long is it between its stops", "a length such as 1,820 mm"),
    Question(
        "separating", "separating or closed", "Does it come apart at its end", "separating or closed end"
    ),
    Question(
        "slider_side", "slider side", "Which half carries the slider, seen from outside", "left or right"
    ),
    Question("pulls", "pulls", "Can it be pulled inside, outside or both", "inside, outside or both"),
)
WINDOW = (
    Question("film", "film", "Is the film clear or tinted, or is there none", "clear, tinted or none"),
    Question("film_thou", "film thickness", "How thick is the film", f"{THOU}, such as 20", THOU),
    Question("screen", "screen", "Is there a screen behind it", "mesh such as 18 by 16, or none"),
    Question("flap", "flap", "Is there a flap, and is it inside or outside", "inside, outside or none"),
    Question("size", "size", "How wide and high is the opening", "such as 700 by 480 mm"),
)
CLOTH = (
    Question("what", "cloth", "Cotton, polyester, acrylic or vinyl", "such as cotton and polyester canvas"),
    Question("mass", "weight", "How heavy is it", "such as 10 oz/yd² or 340 g/m²"),
    Question("colour", "colour", "What colour is it, of which sample", "such as sand, sample 3"),
    Question(
        "agreed",
        "colour agreed",
        "When was the sample sent, and who agreed to it when",
        "such as sent 1 May, agreed 3 May by Ines Varga; none where no sample was wanted",
    ),
    Question("coating", "coating", "Is it coated, and which side is out", "such as water-repellent, or none"),
    Question("flame", "flame label", "What does its flame label say, word for word", "a standard, or none"),
    Question("shrink", "shrinkage", "How much does this roll shrink", f"{SHRINKS}, such as 2 and 1", SHRINKS),
)
PIECE = (
    Question(
        "outside", "outside face", "Which face is out, and which edge is up", "such as face out, A to B down"
    ),
    Question(
        "tight", "how it was measured", "Was it set up and tight when measured", "on the frame, or laid flat"
    ),
    Question("by", "who measured it", "Who measured it, and when", "a name and a day"),
    Question("cloth", "its cloth", "Which cloth is it cut from", "one of the order's cloths"),
    Question(
        "checked",
        "check on this trailer's frame",
        "It was taken over: does it fit this trailer's frame, who held it there, and when",
        "such as fits, Toni, 4 May; what differs is corrected first",
    ),
)
EDGE = (
    Question("held", "hold", "What holds this edge", "sewn, zipped, hooked, in a rail, on a bar, or free"),
)
FASTENER = (
    Question(
        "what", "kind of fastener", "Turn button, snap, cord or channel", "such as turn button, or none"
    ),
    Question("first", "first from the corner", "How far from the corner is the first", "such as 75 mm"),
    Question("apart", "spacing", "How far apart are they", "such as 200 mm"),
    Question("count", "count", "How many are there", "such as 9; 1 for a channel in one length"),
)
OPTION = (
    Question("what", "what is wanted", "More light or more privacy, and by what", "one of the list"),
    Question(
        "at",
        "what it is about",
        "Which window, zipper or cloth of this order is it",
        "one of the list; add it to the order first",
    ),
    Question(
        "costs", "its price", "Is it in the order's price, or does it cost extra", "in the price, or extra"
    ),
)
FRAME = (
    Question(
        "straight",
        "straightness",
        "Are the bars straight and all four corners as high",
        "straight, or what is bent",
    ),
    Question("height", "raised height", "How high is the raised frame at each corner", "such as 1,425 mm"),
)
ORDER = (
    Question("unit", "unit", "What does the plate say: year, model, VIN", "the plate's words and a photo"),
    Question("scope", "scope", "The whole tent, or which sections", "whole tent, or the sections by name"),
    Question(
        "pattern",
        "pattern on file",
        "Which pattern is it, and where does it lie",
        "its number and place, such as 12, drawer 3; only where a pattern is on file",
    ),
    Question(
        "rest", "the rest of the tent", "Is the rest of the tent staying", "staying, with a cut-off, or none"
    ),
    Question(
        "old",
        "what becomes of the old pieces",
        "May the old pieces be cut up as a pattern",
        "sent in, kept or thrown away",
    ),
    Question(
        "ship", "where it goes", "To the owner, to the shop, or installed here", "owner, shop or installed"
    ),
    Question("signed", "owner's signature", "Has the owner signed the finished sizes", "a name and a day"),
)
QUESTIONS: Mapping[Kind, tuple[Question, ...]] = {
    Kind.ORDER: ORDER,
    Kind.PIECE: PIECE,
    Kind.CLOTH: CLOTH,
    Kind.WINDOW: WINDOW,
    Kind.ZIPPER: ZIPPER,
    Kind.EDGE: EDGE,
    Kind.FASTENER: FASTENER,
    Kind.OPTION: OPTION,
    Kind.FRAME: FRAME,
}
SHAPE, ON_FILE = "shape", "file"  # among what is known of an order: where its shape comes from
TAKEN, CHECKED = "taken", "checked"  # of a piece: from which order it was taken over; its check on the frame
MAY_BE_ABSENT = (Kind.ZIPPER, Kind.EDGE, Kind.FASTENER)
MUST_MATCH = ("chain", "teeth", "teeth_an_inch", "length", "separating")
TEETH_OFF = Decimal("0.25")  # teeth an inch: half a tooth miscounted over 50 mm
LENGTH_OFF = Decimal(6)  # mm between the stops of two halves that close; common practice
_COUNTED = re.compile(r"^(.+?)\s*(?:teeth\s*)?over\s*(.+)$", re.IGNORECASE)
FIRE_PROOF = ("fireproof", "fire-proof", "fire proof")


def open_questions(part: Part) -> tuple[Problem, ...]:
    """What is not known of a part, each with its question; the problem's field is `part key.question key`.

    A part that is not there is answered `none` by its first question, and nothing more is asked of it.
    """
    asked = QUESTIONS[part.kind]
    if part.said(asked[0].key).casefold() == NONE and part.kind in MAY_BE_ABSENT:
        return ()
    return tuple(_unknown(part, it) for it in asked if not part.said(it.key) and _applies(part, it))


def _applies(part: Part, question: Question) -> bool:
    if question.key == "pattern":
        return part.said(SHAPE) in ("", ON_FILE)
    if question.key == CHECKED:
        return bool(part.said(TAKEN))
    return not (question.key == "film_thou" and part.said("film").casefold() == NONE)


def _unknown(part: Part, question: Question) -> Problem:
    says = f"{part.place}: {question.name} is not known. {question.ask}?"
    return Problem(f"{part.key}.{question.key}", says[0].upper() + says[1:], question.accepts)


def unlike_old(new: Part, old: Part) -> tuple[Problem, ...]:
    """Where a new zipper would not run with the old tent's: chain, tooth type, teeth an inch, length, end.

    The new half must also be on the other side: slider against pin. What is unknown of either is left to
    `open_questions`. Source: common practice.
    """
    differing = (key for key in MUST_MATCH if new.said(key) and old.said(key) and not _alike(new, old, key))
    names = {question.key: question.name for question in ZIPPER}
    told = tuple(
        Problem(
            f"{new.key}.{key}",
            f"The {names[key]} of {new.place} is {new.said(key)}, the old tent has {old.said(key)}",
            "the old tent's, or new zippers on both sides",
        )
        for key in differing
    )
    return (*told, *_same_side(new, old))


def _alike(new: Part, old: Part, key: str) -> bool:
    texts = new.said(key), old.said(key)
    read, off = _MEASURED.get(key, (None, Decimal(0)))
    one, other = map(read, texts) if read else (None, None)
    if one is None or other is None:
        return _number(texts[0]) == _number(texts[1])
    return abs(one - other) <= off


def _an_inch(text: str) -> Decimal | None:
    """Teeth an inch as they were written: the number, or `20 over 50 mm`; None where it is neither."""
    counted = _COUNTED.match(text.strip())
    over = mm_written(counted.group(2)) if counted else INCH
    number = _number(counted.group(1) if counted else text)
    return number * INCH / over if isinstance(number, Decimal) and over else None


_MEASURED: Mapping[str, tuple[Callable[[str], Decimal | None], Decimal]] = {
    "length": (mm_written, LENGTH_OFF),
    "teeth_an_inch": (_an_inch, TEETH_OFF),
}


def _number(text: str) -> Decimal | str:
    """The number that an answer is, else its words: `8`, `8.0` and `#8` are one size."""
    try:
        return read_number(text.lstrip("#"))
    except Impossible:
        return " ".join(text.casefold().split())


def _same_side(new: Part, old: Part) -> tuple[Problem, ...]:
    side = new.said("slider_side").casefold()
    if not side or side != old.said("slider_side").casefold():
        return ()
    says = f"The new half at {new.place} and the old one both carry the slider on the {side}"
    return (Problem(f"{new.key}.slider_side", says, "one half with the slider, the other with the pin"),)


def doubts(part: Part) -> tuple[Problem, ...]:
    """Answers to be asked about before they are kept: odd film thickness, a claim of fire-proof cloth.

    A flame label is written down with its standard and edition, word for word; no cloth is fire-proof.
    """
    return (*_odd_film(part), *_fire_proof(part))


def _odd_film(part: Part) -> tuple[Problem, ...]:
    said = part.said("film_thou") if part.kind is Kind.WINDOW else ""
    if not said or said.casefold() == NONE or _number(said) in FILM_USUAL:
        return ()
    usual = ", ".join(map(str, FILM_USUAL))
    says = f"Film of {said} thousandths in is unusual"
    return (Problem(f"{part.key}.film_thou", says, f"usually {usual}", ask=True),)


def _fire_proof(part: Part) -> tuple[Problem, ...]:
    if not any(word in part.said("flame").casefold() for word in FIRE_PROOF):
        return ()
    accepts = "the label's own words, such as CPAI-84 (1995), lot 12"
    return (Problem(f"{part.key}.flame", "No cloth is fire-proof", accepts),)


@dataclass(frozen=True)
class Order:
    """A canvas order as far as it is known: its parts, the drafts of its pieces, and what else was found.

    `drafts`: by the piece's key. `found`: problems of options, seams, mates and rings. `zipped`: pairs
    of a new zipper and the old one that it runs with.
    """

    parts: tuple[Part, ...]
    drafts: Mapping[str, Draft] = field(default_factory=dict)
    found: tuple[Problem, ...] = ()
    zipped: tuple[tuple[Part, Part], ...] = ()


def holds_back(order: Order) -> tuple[Problem, ...]:
    """All that keeps an order from being released, questions first; empty where it may be cut.

    Problems that only ask stand here too until a person has confirmed them.
    """
    questions = (problem for part in order.parts for problem in (*open_questions(part), *doubts(part)))
    zippers = (problem for pair in order.zipped for problem in unlike_old(*pair))
    pieces = (problem for key, draft in order.drafts.items() for problem in _of_piece(key, draft))
    return (*_missing_kinds(order.parts), *questions, *zippers, *pieces, *order.found)


def _missing_kinds(parts: Iterable[Part]) -> tuple[Problem, ...]:
    there = {part.kind for part in parts}
    wanted = (Kind.ORDER, Kind.PIECE, Kind.CLOTH, Kind.FRAME)
    return tuple(
        Problem(kind.value, f"There is no {kind.value} yet", f"at least one {kind.value}")
        for kind in wanted
        if kind not in there
    )


def _of_piece(key: str, draft: Draft) -> Iterable[Problem]:
    return (
        Problem(f"{key}.{problem.field}", problem.says, problem.accepts, problem.ask)
        for problem in draft.problems
    )

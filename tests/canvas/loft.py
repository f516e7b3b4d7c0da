"""A canvas order for the tests: a tent trailer taken in, its order, a piece that stands."""

from sqlalchemy import Engine

from app.canvas import facts, inspected, inspecting, making, said, shown, steps
from app.canvas import priced as priced_steps
from app.canvas.facts import OrderRead
from app.canvas.priced import PriceSaid
from app.canvas.rules import How
from app.canvas.tables import CanvasOrder
from app.estimate import steps as estimate
from app.estimate.facts import guard
from app.estimate.saying import How as Way
from app.estimate.saying import Said, SaidAll, WorkSaid
from app.ground.book import reading
from app.inspection import editing
from app.trade.canvas.readiness import Kind
from app.trade.typed import Texts
from tests.conftest import act
from tests.inspection.walks import CATALOGUE
from tests.parts.shelf import order as work_order

# A wall of 3 by 4: its diagonals are 5 (Pythagoras), here in hundreds of millimetres.
WALL = {"A-B": "400", "B-C": "300", "C-D": "400", "A-D": "300", "A-C": "500", "B-D": "500"}
ANSWERS = {
    Kind.ORDER: {
        "unit": "2011 Quillon Hatch 10",
        "scope": "front wall",
        "rest": "staying",
        "old": "kept",
        "ship": "shop",
        "signed": "Ines Varga, 2 May",
    },
    Kind.FRAME: {"straight": "straight", "height": "1,425 mm"},
    Kind.CLOTH: {
        "what": "cotton and polyester canvas",
        "mass": "10 oz/yd²",
        "colour": "sand, sample 3",
        "agreed": "sent 1 May, agreed 2 May by Ines Varga",
        "coating": "none",
        "flame": "none",
        "shrink": "3 and 0",
    },
}
SEEN = {"outside": "face out, A to B down", "tight": "on the frame", "by": "Toni, 4 May"}


def opened(book: Engine) -> int:
    """A new canvas order of a unit that came in."""
    editing.keep_catalogue(book, CATALOGUE)
    order_id, _ = work_order(book)
    return steps.open_order(book, act(), order_id)


def read(book: Engine, key: int) -> OrderRead:
    """A canvas order as the pages read it."""
    with reading(book) as session:
        return facts.canvas_order(session, key)


def answer(book: Engine, key: int, kind: Kind) -> int:
    """Every question of the one part of a kind answered; returns the part's key."""
    (part,) = read(book, key).of_kind(kind)
    texts = Texts({**shown.part_texts(part), **ANSWERS[kind]})
    return steps.save_part(book, act(seen=part.revision), part.key, said.read_part(texts, kind))


def sign(book: Engine, text: str, key: int = 1) -> None:
    """The owner's signature written down in other words."""
    (part,) = read(book, key).of_kind(Kind.ORDER)
    typed = Texts({**shown.part_texts(part), "signed": text})
    steps.save_part(book, act(seen=part.revision), part.key, said.read_part(typed, Kind.ORDER))


def cloth(book: Engine, key: int) -> int:
    """A cloth of which all is known; it shrinks 3 percent along the warp."""
    steps.add_part(book, act(), key, Kind.CLOTH, "wall cloth")
    return answer(book, key, Kind.CLOTH)


def piece(book: Engine, key: int, name: str = "Front wall", typed: dict[str, str] | None = None) -> int:
    """A piece measured by tape."""
    new = said.NewPiece(name, How.TAPE)
    made = steps.add_piece(book, act(), key, new)
    measures = said.PieceSaid(name, dict(WALL if typed is None else typed), [])
    return steps.save_measures(book, act(), made, measures)


def sewn(book: Engine, key: int, cloth_id: int, kind: str = "hem") -> int:
    """What is done with all edges of a piece, and its cloth."""
    edges = {side: {"kind": kind, "held": "sewn"} for side in ("A-B", "B-C", "C-D", "A-D")}
    return steps.save_edges(book, act(seen=1), key, said.EdgesSaid(edges, dict(SEEN), cloth_id, "0", 1))


def ready(book: Engine) -> int:
    """An order of which everything is known."""
    key = opened(book)
    answer(book, key, Kind.FRAME)
    sewn(book, piece(book, key), cloth(book, key))
    answer(book, key, Kind.ORDER)  # the owner signs what was measured
    return key


def priced(book: Engine, key: int, said: PriceSaid | None = None) -> int:
    """The order put on the estimate of its unit's stay."""
    return priced_steps.price_order(book, act(seen=seen(book, key)), key, said or PriceSaid(None, "6"))


def seen(book: Engine, key: int) -> int:
    """The revision that an act on the estimate must have seen."""
    with reading(book) as session:
        return guard(session, session.get_one(CanvasOrder, key).work_order_id)


def answered(book: Engine, key: int, word: Said) -> int:
    """What the owner says to an order that is on the estimate; returns the consent's key."""
    with reading(book) as session:
        order = session.get_one(CanvasOrder, key)
        stay, work = order.work_order_id, order.work_id or 0
    revision = estimate.freeze(book, act(seen=seen(book, key)), stay)
    said = SaidAll(Way.PAPER, "Ines Varga", (WorkSaid(work, word, "IV"),))
    return estimate.consent(book, act(seen=seen(book, key)), stay, revision, said)


def agreed(book: Engine, key: int) -> None:
    """The order priced, and the owner's yes to it."""
    priced(book, key)
    answered(book, key, Said.YES)


def sewn_again(book: Engine, key: int, cloth_id: int) -> int:
    """Its edges bound instead of hemmed: another cut size."""
    revision = next(it for it in read(book, 1).pieces if it.key == key).row.revision
    edges = {side: {"kind": "bound", "held": "sewn"} for side in ("A-B", "B-C", "C-D", "A-D")}
    return steps.save_edges(
        book, act(seen=revision), key, said.EdgesSaid(edges, dict(SEEN), cloth_id, "0", 1)
    )


def sewn_up(book: Engine, key: int, person: int = 3) -> int:
    """An order agreed to, released and sewn by a technician: its inspection comes next."""
    agreed(book, key)
    it = read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    for turn, stage in enumerate(making.ORDER[: making.ORDER.index(making.Stage.INSPECT)]):
        said = making.StageSaid(stage, "", "by hand and eye")
        making.keep_stage(book, act(person, seen=turn), key, said)
    return key


LOOKED = {"locked": "yes", "laps": "yes", "hardware": "none", "zips": "none", "film": "none"}
SPRAYED = {"water": "spray", "minutes": "10", "dry": "yes", "wetted": "yes"}
MADE = {"seam_class": "felled", "stitch": "301"}
SOUND = {"stitches": "6", **MADE, "seams": "hand", "seam_holds": "yes", **SPRAYED, **LOOKED}


def readings(book: Engine, key: int, /, **other: str) -> dict[str, str]:
    """The form of an inspection in which every length is that of the order, and all else sound."""
    sizes = {it.key: f"{it.mm:f}" for it in inspected.drawn_of(read(book, key)) if it.unit == "mm"}
    return {**sizes, **SOUND, **other}


def inspect(book: Engine, key: int, person: int = 1, /, **other: str) -> int:
    """An inspection kept, by a lead."""
    it = read(book, key)
    with reading(book) as session:
        count = len(inspected.inspections_of(session, it).all)
    typed = Texts(readings(book, key, **other))
    said = inspected.read_inspection(typed, inspected.drawn_of(it), lead=True)
    return inspecting.keep_inspection(book, act(person, seen=count), key, said)

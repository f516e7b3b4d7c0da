"""How an order is made, stage after stage: what is done, by whom, in how many hours, and what comes next."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.bench.evidence import BEHIND
from app.canvas.facts import OrderRead, PieceRead, canvas_number, canvas_order
from app.canvas.inspected import inspections_of
from app.canvas.priced import refuse_unagreed
from app.canvas.resized import ANEW
from app.canvas.roll_ends import cut_off, put_back
from app.canvas.rules import SIGNED
from app.canvas.tables import CanvasOrder, CanvasStage
from app.ground import people, receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.trade.canvas.readiness import Kind
from app.trade.problems import Problem, Refused
from app.trade.quantity import read_number
from app.trade.typed import Reader, Typed


class Stage(StrEnum):
    """The stages of making canvas, in their order."""

    MEASURE = "measure"
    AGREE = "agree"
    CUT = "cut"
    WINDOWS = "windows"
    SEW = "sew"
    TRIM = "trim"
    INSPECT = "inspect"
    PACK = "pack"

    @property
    def word(self) -> str:
        """The stage as it is asked for."""
        return _WORDS[self][0]

    @property
    def how(self) -> str:
        """What is looked at before it is said to be done; common practice."""
        return _WORDS[self][1]


_WORDS = {
    Stage.MEASURE: ("Measure", "The old canvas on the frame, tight; each diagonal taped twice."),
    Stage.AGREE: (
        "Agree",
        "The owner has signed the finished sizes, cloth and film; samples are on the order.",
    ),
    Stage.CUT: (
        "Cut",
        "One piece cut and held against the old one before the rest. Notches cut, pieces marked.",
    ),
    Stage.WINDOWS: (
        "Windows and zippers",
        "Film and screens flat, zippers run against the halves that stay.",
    ),
    Stage.SEW: (
        "Sew",
        "Seams run over their notches; thread locked at both ends; no needle holes beside a seam.",
    ),
    Stage.TRIM: ("Final trim", "Threads cut, fasteners set and pulled by hand, edges sealed."),
    Stage.INSPECT: (
        "Inspect",
        "By somebody else than who sewed: each finished size against the order, seams pulled, water on them.",
    ),
    Stage.PACK: ("Pack", "Dry, folded on no window, with what the packing slip names."),
}
ORDER = tuple(Stage)
ON_CLOTH = ORDER[ORDER.index(Stage.CUT) :]  # only once the order is released as it stands


@dataclass(frozen=True)
class StageSaid:
    """What a form says of a stage that is done; `hours` empty where nobody counted."""

    stage: Stage
    hours: str = ""
    note: str = ""


def read_stage(typed: Typed) -> StageSaid:
    """The stage that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    stage = read.choice("stage", Stage, required="Say which stage")
    read.number("hours", least="0", most="200", usual=("0", "40"))
    found = "Say what was looked at" if stage is Stage.INSPECT else ""
    note = read.text("note", required=found, most=400)
    read.done()
    assert stage is not None
    return StageSaid(stage, read.raw("hours"), note)


@dataclass(frozen=True)
class StageRead:
    """One stage as it stands: done when and by whom, or not yet."""

    stage: Stage
    at: datetime | None = None
    by: str = ""
    by_id: int = 0
    hours: str = ""
    note: str = ""


@dataclass(frozen=True)
class Making:
    """The stages of an order. `turns`: how often one was said or taken back, the revision of its forms."""

    stages: tuple[StageRead, ...]
    turns: int

    @property
    def next(self) -> Stage | None:
        """The stage that comes next; None where it is packed."""
        return next((it.stage for it in self.stages if it.at is None), None)

    @property
    def last(self) -> StageRead | None:
        """The stage done last."""
        return next((it for it in reversed(self.stages) if it.at), None)

    @property
    def hours(self) -> Decimal:
        """All hours that were counted."""
        return sum((read_number(it.hours) for it in self.stages if it.hours), Decimal(0))

    @property
    def words(self) -> str:
        """How far it has come."""
        if self.next is None:
            return "Packed"
        return f"{self.last.stage.word} done, next: {self.next.word.lower()}" if self.last else "Not begun"

    def of(self, stage: Stage) -> StageRead:
        """One stage."""
        return self.stages[ORDER.index(stage)]


def making_of(session: Session, order_id: int) -> Making:
    """How far an order has been made."""
    asked = select(CanvasStage).where(CanvasStage.canvas_order_id == order_id)
    rows = list(session.exec(asked.order_by(col(CanvasStage.id))))
    newest: Mapping[str, CanvasStage] = {row.stage: row for row in rows}
    names = people.names(session)
    return Making(tuple(_read(stage, newest.get(stage), names) for stage in ORDER), len(rows))


def _read(stage: Stage, row: CanvasStage | None, names: Mapping[int, str]) -> StageRead:
    if row is None or not row.done:
        return StageRead(stage)
    return StageRead(stage, row.created_at, names[row.made_by], row.made_by, row.hours, row.note)


def keep_stage(book: Engine, act: Act, order_id: int, said: StageSaid) -> int:
    """Keep that the next stage of an order is done; returns the order's key.

    Raises Refused for a stage out of its turn, for measures that are drafts, for sizes that nobody signed
    as they are, for cloth of an order that is not released as it stands, for the cutting of what the owner
    has not agreed to, for inspecting or packing without a record that passes, or for inspecting by who
    sewed it where the shop has two people; Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order, making = _going(session, act, order_id)
        _refuse_out_of_turn(order, making, said.stage)
        _refuse_unready(order, said.stage)
        if said.stage is Stage.CUT:
            refuse_unagreed(session, order)
        ends = cut_off(session, act, order) if said.stage is Stage.CUT else []
        refuse_own_work(session, act, making, said.stage)
        if said.stage in (Stage.INSPECT, Stage.PACK):
            _refuse_uninspected(session, order)
        row = CanvasStage(
            created_at=act.at,
            canvas_order_id=order_id,
            stage=said.stage,
            hours=said.hours,
            note=said.note,
            made_by=act.person,
        )
        return receipts.sign(session, act, "do canvas stage", order.row, row, *ends)


def take_back(book: Engine, act: Act, order_id: int, why: str) -> int:
    """Take the stage done last back, with the reason; returns the order's key.

    Raises Refused where nothing is done, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order, making = _going(session, act, order_id)
        if making.last is None:
            raise Refused([Problem("", "No stage is done yet", "the first stage")])
        ends = put_back(session, act, order) if making.last.stage is Stage.CUT else []
        row = CanvasStage(
            created_at=act.at,
            canvas_order_id=order_id,
            stage=making.last.stage,
            done=False,
            note=why,
            made_by=act.person,
        )
        return receipts.sign(session, act, "take canvas stage back", order.row, row, *ends)


def _going(session: Session, act: Act, order_id: int) -> tuple[OrderRead, Making]:
    order, making = canvas_order(session, order_id), making_of(session, order_id)
    receipts.current(making.turns, act)
    if order.row.called_off:
        raise Refused([Problem("", "This canvas order was called off", "a new one")])
    return order, making


def _refuse_out_of_turn(order: OrderRead, making: Making, stage: Stage) -> None:
    if stage is not making.next:
        comes = f"{making.next.word} comes next" if making.next else "It is packed"
        raise Refused([Problem("stage", comes, "one stage after the other, or the last one taken back")])
    if stage in ON_CLOTH and not order.released:
        raise Refused([Problem("release", "It is not released as it stands now", "its release first")])


def _refuse_unready(order: OrderRead, stage: Stage) -> None:
    """Measuring ends with pieces that stand, agreeing with the owner's signature on their sizes."""
    drafts = [it for it in order.pieces if it.finished is None or not it.draft.stands]
    if stage is Stage.MEASURE and not order.pieces:
        raise Refused([Problem("piece", "There is no piece on this order yet", "at least one, measured")])
    if stage is Stage.MEASURE and drafts:
        says = f"{drafts[0].mark} {drafts[0].name} is a draft: its measures do not close yet"
        raise Refused([Problem(_measure_of(drafts[0]), says, "measures that close")])
    if stage is Stage.AGREE:
        _refuse_unsigned(order)


def _measure_of(draft: PieceRead) -> str:
    wrong = draft.draft.problems
    return f"piece-{draft.key}.{wrong[0].field if wrong else ''}"


def _refuse_unsigned(order: OrderRead) -> None:
    (part,) = order.of_kind(Kind.ORDER)
    field = f"part-{part.key}.{SIGNED}"
    if not part.known.get(SIGNED):
        says = "Nobody has written down that the owner signed the finished sizes"
        raise Refused([Problem(field, says, "who signed and when, among what is known of the order")])
    if order.resized:
        raise Refused([Problem(field, says, ANEW) for says in order.resized])


def _refuse_uninspected(session: Session, order: OrderRead) -> None:
    found = inspections_of(session, order)
    if not found.passes:
        raise Refused(
            [Problem("inspection", found.says, "an inspection record without faults, or taken by a lead")]
        )


def uninspected(session: Session, work_id: int) -> Iterator[str]:
    """What the canvas orders that a work prices lack of their inspection: its job is not finished before."""
    asked = select(CanvasOrder.id).where(CanvasOrder.work_id == work_id, col(CanvasOrder.called_off) == "")
    for key in session.exec(asked.order_by(col(CanvasOrder.id))):
        if says := _uninspected(session, key or 0):
            yield says


def _uninspected(session: Session, key: int) -> str:
    making = making_of(session, key)
    if making.of(Stage.INSPECT).at is None:
        return f"Canvas order {canvas_number(key)} is not inspected. {making.words}"
    found = inspections_of(session, canvas_order(session, key))
    return "" if found.passes else f"The inspection of {canvas_number(key)} does not hold: {found.says}"


BEHIND.append(uninspected)


def refuse_own_work(session: Session, act: Act, making: Making, stage: Stage) -> None:
    """Refused where who sewed it would inspect it, in a shop of two people and more."""
    own = making.of(Stage.SEW).by_id == act.person
    if stage is Stage.INSPECT and own and people.several(session):
        raise Refused([Problem("stage", "Who sewed it does not inspect it", "somebody else of the shop")])

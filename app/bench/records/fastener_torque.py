"""Fastener torque of one joint: named bolts, the order, rounds, readings, thread, check round and retorque.

In a ring or pairs, bolts count with the clock, seen from where the wrench stands; in a row from one end.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Judged, Payload, RecordKind, Used, heaviest_of, read_tool, used
from app.bench.star import wheel
from app.bench.torques import (
    UNITS,
    WRENCH,
    Passed,
    Unit,
    ask_passes,
    deviation_of,
    figure_typed,
    in_hand,
    moved,
    moved_before,
    outside_range,
    passes_read,
    passes_texts,
    passes_to,
    read_figure,
    read_torque,
    read_unit,
)
from app.trade.bolts import (
    FEWEST,
    MOST,
    Joint,
    bolt_torque,
    moved_verdict,
    outward_order,
    question_bolt,
    thread_shown,
)
from app.trade.drawings import Circle
from app.trade.fasteners import (
    FINE_DEVIATION,
    TorqueRange,
    star_sequence,
    wrench_band,
)
from app.trade.figure import Grade, Verdict, Worked
from app.trade.quantity import Quantity, read_number, with_unit
from app.trade.typed import Reader, Typed

NO_FIGURE = "the figure of the part's maker, such as 75"
ORDERS = (("cross", "Crosswise"), ("row", "From the middle"), ("none", "None"))
VISITS = (("fitted", "Fitted now"), ("retorque", "Retorque visit"))
LEAST_CROSS = 3
USUAL_COUNT = 4


class Bolt(Payload):
    """One bolt: its name on the unit, and its last reading as typed."""

    bolt: int
    name: str
    typed: str = ""


class FastenerTorque(Payload):
    """Torque of one joint's bolts. `low`, `high`: the maker's figure as typed, with where it came from.

    `passes`: the bolts tightened in each pass before the last. `whole`: one reading for all, as a click
    wrench gives. `miles`: driven since fitting, at a retorque visit.
    `moved`: bolts that turned in the check round; `moved_before`: those of the round before.
    """

    joint: Joint
    unit: Unit
    low: str
    high: str
    figure_from: str = ""
    order: Literal["cross", "row", "none"]
    visit: Literal["fitted", "retorque"]
    miles: str = ""
    passes: tuple[Passed, ...] = ()
    whole: str = ""
    bolts: tuple[Bolt, ...]
    thread: str = ""
    checked: bool = False
    moved: tuple[int, ...] = ()
    moved_before: tuple[int, ...] = ()
    deviation: Decimal = FINE_DEVIATION
    instrument: Used

    @property
    def figure(self) -> TorqueRange:
        """The maker's figure."""
        return TorqueRange(read_number(self.low), read_number(self.high), self.unit)

    @property
    def readings(self) -> dict[str, Decimal | None]:
        """Reading of each bolt by its name; one reading for all counts for all."""
        found = {each.name: self.whole or each.typed for each in self.bolts}
        return {name: read_number(text) if text else None for name, text in found.items()}

    def named(self, bolts: Iterable[int]) -> list[str]:
        """The names of some bolts, without those that the joint does not have."""
        return [each.name for each in self.bolts if each.bolt in bolts]


# Reading the form


def read(typed: Typed, context: Context) -> FastenerTorque:
    """The record that stands in a form; raises Refused with every problem."""
    form = Reader(typed)
    unit = read_unit(typed)
    joint = form.choice("joint", Joint, required="Say what the bolts hold")
    count = form.whole("count", least=FEWEST, most=MOST, required="The number of bolts is missing") or 0
    low, high = read_figure(form, unit, question_bolt, NO_FIGURE)
    tool = read_tool(form, context, (WRENCH,))
    bolts = _read_bolts(form, count, unit)
    outside = outside_range(form, _typed_fields(form, bolts), unit, tool)
    form.number("thread", least="0", most="12")
    found = {"visit": _read_visit(form), "order": _read_order(form, count)}
    passes = _read_passes(form, count)
    form.done()
    assert tool is not None
    return FastenerTorque.model_validate(
        {
            **{name: form.raw(name) for name in ("miles", "whole", "thread", "figure_from")},
            **found,
            "joint": joint,
            "unit": unit,
            "low": low,
            "high": high,
            "bolts": bolts,
            "passes": passes,
            "checked": form.yes("checked") or bool(moved(form, count)),
            "moved": moved(form, count),
            "moved_before": moved_before(form, context),
            "deviation": deviation_of(tool),
            "instrument": used(tool, context, sorted(outside)),
        }
    )


def _read_bolts(form: Reader, count: int, unit: str) -> tuple[Bolt, ...]:
    names = [form.text(f"n-{bolt}", most=40) or f"Bolt {bolt}" for bolt in range(1, count + 1)]
    texts = [read_torque(form, f"r-{bolt}", unit, question_bolt) for bolt in range(1, count + 1)]
    whole = read_torque(form, "whole", unit, question_bolt)
    if whole and any(texts):
        form.wrong("whole", "All have a reading, and single bolts too", "one of the two")
    if count and not whole and not any(texts):
        form.wrong("whole", "No bolt has a reading", "a reading at each, or one for all, such as 75")
    for bolt, name in enumerate(names, 1):
        if name in names[: bolt - 1]:
            form.wrong(f"n-{bolt}", f"{name} stands twice", "a name of its own, such as left front")
    numbered = enumerate(zip(names, texts, strict=True), 1)
    return tuple(Bolt(bolt=bolt, name=name, typed=text) for bolt, (name, text) in numbered)


def _typed_fields(form: Reader, bolts: Sequence[Bolt]) -> list[tuple[str, str]]:
    each = [(f"r-{one.bolt}", one.typed) for one in bolts if one.typed]
    return [("whole", form.raw("whole")), *each] if form.raw("whole") else each


def _read_visit(form: Reader) -> str:
    visit = form.raw("visit")
    if visit not in dict(VISITS):
        form.wrong("visit", "Say whether they were fitted now", "fitted now, or a retorque visit")
    form.number("miles", least="0", most="100000")
    if visit == "retorque" and not form.raw("miles"):
        form.wrong("miles", "The miles since fitting are missing", "such as 50")
    return visit


def _read_order(form: Reader, count: int) -> str:
    order = form.raw("order")
    if order not in dict(ORDERS):
        form.wrong("order", "Say in which order", "crosswise, from the middle, or none")
    if order == "cross" and 0 < count < LEAST_CROSS:
        form.wrong("order", f"{count} bolts have no cross", "from the middle, or none")
    return order


def _read_passes(form: Reader, count: int) -> tuple[Passed, ...]:
    order = sequence(form.raw("order"), count)
    passes = passes_read(form, order)
    if form.raw("visit") == "fitted" and form.raw("order") == "cross":
        ask_passes(form, passes, order, "bolt")
    return passes


# Judging


def judge(record: FastenerTorque, _context: Context) -> Judged:
    """The heaviest of: every bolt inside the maker's figure, the check round, thread beyond the nuts."""
    bolts = bolt_torque(record.readings, record.figure, record.joint, record.deviation)
    thread = [thread_shown(Quantity(record.thread, "in"))] if record.thread else []
    verdicts = [each.verdict for each in (bolts, *thread) if each.verdict]
    verdict = heaviest_of([*verdicts, _check_round(record)])
    return Judged(verdict, (bolts, *thread, *_bands(record), *_order_of(record.order, len(record.bolts))))


def _check_round(record: FastenerTorque) -> Verdict:
    if not record.checked:
        return Verdict(Grade.UNSEEN, "Check round not done yet")
    now, before = record.named(record.moved), record.named(record.moved_before)
    return moved_verdict(now, before, record.joint)


def _bands(record: FastenerTorque) -> tuple[Worked[object], ...]:
    read = sorted({each for each in record.readings.values() if each is not None})
    return tuple(wrench_band(reading, record.unit, record.deviation) for reading in read[:1])


def sequence(order: str, count: int) -> tuple[int, ...]:
    """The bolts in the order of the work; by their numbers where there is none."""
    return next((each.value for each in _order_of(order, count)), tuple(range(1, count + 1)))


def _order_of(order: str, count: int) -> tuple[Worked[tuple[int, ...]], ...]:
    if order == "cross" and count >= LEAST_CROSS:
        return (star_sequence(count),)
    return (outward_order(count),) if order == "row" and count else ()


# The form's texts


def start(context: Context) -> dict[str, str]:
    """A fresh form: four bolts crosswise, wrench and figure of the stay's last bolts of the kind."""
    last = context.last or {}
    told = {name: str(last.get(name, "")) for name in ("joint", "low", "high", "figure_from")}
    unit = str(last.get("unit", context.torque_unit))
    return {
        **told,
        "count": str(len(last.get("bolts", ())) or USUAL_COUNT),
        "unit": unit if unit in UNITS else "lbf_ft",
        "order": str(last.get("order", "cross")),
        "visit": "retorque" if context.before else "fitted",
        "instrument": context.last_tool,
        **{f"n-{each['bolt']}": each["name"] for each in (context.before or {}).get("bolts", ())},
    }


def texts(record: FastenerTorque) -> dict[str, str]:
    """The form that gives a record again."""
    told = ("joint", "unit", "low", "high", "figure_from", "order", "visit", "miles", "whole", "thread")
    return {
        **{name: str(getattr(record, name)) for name in told},
        "count": str(len(record.bolts)),
        "instrument": str(record.instrument.id),
        "checked": "yes" if record.checked else "",
        **passes_texts(record.passes),
        **{f"n-{each.bolt}": each.name for each in record.bolts},
        **{f"r-{each.bolt}": each.typed for each in record.bolts},
        **{f"moved-{bolt}": "yes" for bolt in record.moved},
    }


# The drawing

SCREEN = Circle(Decimal(210), Decimal(210), Decimal(130))
PAPER = Circle(Decimal(100), Decimal(100), Decimal(70))


def draw(typed: Typed, _context: Context) -> Mapping[str, object]:
    """Bolts in their order with the arrows of a cross, the rounds, names and words for the form."""
    count, figure = count_typed(typed), figure_typed(typed)
    order = typed.get("order")
    cross = order == "cross" and count >= LEAST_CROSS
    last = {bolt: text for bolt in range(1, count + 1) if (text := _reading(typed, bolt))}
    number, done = in_hand(typed, sequence(order, count), last)
    return {
        "count": count,
        "order": sequence(order, count),
        "ring": wheel(count, done, SCREEN, Decimal(36), Decimal(44)) if cross else None,
        "paper_ring": wheel(count, {}, PAPER, Decimal(16), Decimal(16)) if cross else None,
        "figure": figure,
        "aim": f"{figure.aim.normalize():f}" if figure else "",
        "passes": passes_to(figure),
        "pass_now": number,
        "unit_word": with_unit("", read_unit(typed)).strip(),
        "joints": tuple((each.value, each.word) for each in Joint),
        "joint_word": {each.value: each.word for each in Joint}.get(typed.get("joint"), ""),
        "orders": ORDERS,
        "order_word": dict(ORDERS).get(order, ""),
        "visits": VISITS,
    }


def _reading(typed: Typed, bolt: int) -> str:
    return typed.get(f"r-{bolt}").strip() or typed.get("whole").strip()


def count_typed(typed: Typed) -> int:
    """The number of bolts that stands in a form, 0 where it is none."""
    text = typed.get("count").strip()
    count = int(text) if text.isascii() and text.isdigit() and len(text) < 3 else 0
    return count if FEWEST <= count <= MOST else 0


KIND = RecordKind(
    key="fastener_torque",
    title="Fastener torque",
    per="place",
    shape=FastenerTorque,
    read=read,
    judge=judge,
    start=start,
    texts=texts,
    draw=draw,
    tools=(WRENCH,),
    cautions=("c1",),
)

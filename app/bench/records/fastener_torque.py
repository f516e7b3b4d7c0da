"""Fastener torque of one joint: named bolts, the order, rounds, readings, thread, check round and retorque.

In a ring or pairs, bolts count with the clock, seen from where the wrench stands; in a row from one end.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Judged, Payload, RecordKind, heaviest_of, read_tool, used
from app.bench.star import wheel
from app.bench.torques import (
    UNITS,
    WRENCH,
    Passed,
    Torqued,
    ask_passes,
    at_the_nut,
    counted,
    deviation_of,
    figure_shown,
    in_hand,
    moved,
    moved_before,
    nuts_shown,
    one_or_each,
    outside_range,
    passes_read,
    read_adapter,
    read_fields,
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
    star_sequence,
)
from app.trade.figure import Grade, Verdict, Worked
from app.trade.quantity import Quantity
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


class FastenerTorque(Torqued):
    """Torque of one joint's bolts. `miles`: driven since fitting, at a retorque visit. `thread`: inches."""

    joint: Joint
    order: Literal["cross", "row", "none"]
    visit: Literal["fitted", "retorque"]
    miles: str = ""
    bolts: tuple[Bolt, ...]
    thread: str = ""

    @property
    def readings(self) -> dict[str, Decimal | None]:
        """Torque at each bolt by its name; one reading for all counts for all."""
        found = {each.name: self.whole or each.typed for each in self.bolts}
        return {name: self.at_nut(text) if text else None for name, text in found.items()}

    @property
    def shown(self) -> list[str]:
        """What the wrench showed, as typed."""
        return [text for each in self.bolts if (text := self.whole or each.typed)]

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
    lengths = read_adapter(form)
    tool = read_tool(form, context, (WRENCH,))
    bolts = _read_bolts(form, count, unit)
    read_at = read_fields(form.raw("whole"), ((each.bolt, each.typed) for each in bolts))
    outside = outside_range(form, read_at, unit, tool)
    form.number("thread", least="0", most="12")
    found = {"visit": _read_visit(form), "order": _read_order(form, count)}
    passes = _read_passes(form, count)
    form.done()
    assert tool is not None
    return FastenerTorque.model_validate(
        {
            **{name: form.raw(name) for name in ("miles", "whole", "thread", "figure_from")},
            **found,
            **lengths,
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
    asks = at_the_nut(form.typed, question_bolt)
    texts = [read_torque(form, f"r-{bolt}", unit, asks) for bolt in range(1, count + 1)]
    read_torque(form, "whole", unit, asks)
    if count:
        says = ("All have a reading, and single bolts too", "No bolt has a reading")
        one_or_each(form, texts, says, "a reading at each, or one for all, such as 75")
    for bolt, name in enumerate(names, 1):
        if name in names[: bolt - 1]:
            form.wrong(f"n-{bolt}", f"{name} stands twice", "a name of its own, such as left front")
    numbered = enumerate(zip(names, texts, strict=True), 1)
    return tuple(Bolt(bolt=bolt, name=name, typed=text) for bolt, (name, text) in numbered)


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
    read = [each for each in record.readings.values() if each is not None]
    behind = (*record.settings(record.shown), *record.bands(read))
    return Judged(verdict, (bolts, *thread, *behind, *_order_of(record.order, len(record.bolts))))


def _check_round(record: FastenerTorque) -> Verdict:
    if not record.checked:
        return Verdict(Grade.UNSEEN, "Check round not done yet")
    now, before = record.named(record.moved), record.named(record.moved_before)
    return moved_verdict(now, before, record.joint)


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
        "instrument": context.needed_tool((WRENCH,)),
        **{f"n-{each['bolt']}": each["name"] for each in (context.before or {}).get("bolts", ())},
    }


def texts(record: FastenerTorque) -> dict[str, str]:
    """The form that gives a record again."""
    told = ("joint", "order", "visit", "miles", "thread")
    return {
        **record.texts(),
        **{name: str(getattr(record, name)) for name in told},
        "count": str(len(record.bolts)),
        **{f"n-{each.bolt}": each.name for each in record.bolts},
        **{f"r-{each.bolt}": each.typed for each in record.bolts},
    }


# The drawing

SCREEN = Circle(Decimal(210), Decimal(210), Decimal(130))
PAPER = Circle(Decimal(100), Decimal(100), Decimal(70))


def draw(typed: Typed, _context: Context) -> Mapping[str, object]:
    """Bolts in their order with the arrows of a cross, the rounds, names and words for the form."""
    count = counted(typed.get("count").strip(), FEWEST, MOST)
    order = typed.get("order")
    cross = order == "cross" and count >= LEAST_CROSS
    last = {bolt: text for bolt in range(1, count + 1) if (text := _reading(typed, bolt))}
    number, done = in_hand(typed, sequence(order, count), last)
    return {
        "count": count,
        "order": sequence(order, count),
        "ring": wheel(count, done, SCREEN, Decimal(36), Decimal(44)) if cross else None,
        "paper_ring": wheel(count, {}, PAPER, Decimal(16), Decimal(16)) if cross else None,
        **figure_shown(typed),
        "at_nut": nuts_shown(typed, last),
        "pass_now": number,
        "joints": tuple((each.value, each.word) for each in Joint),
        "joint_word": {each.value: each.word for each in Joint}.get(typed.get("joint"), ""),
        "orders": ORDERS,
        "order_word": dict(ORDERS).get(order, ""),
        "visits": VISITS,
    }


def _reading(typed: Typed, bolt: int) -> str:
    return typed.get(f"r-{bolt}").strip() or typed.get("whole").strip()


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

"""Wheel nut torque: star order, passes, one reading a nut or one for the wheel, check round, verdict.

Nuts count with the clock, seen from outside; nut 1 is at the valve or the first after it.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal

from app.bench.kinds import (
    Context,
    Judged,
    Payload,
    RecordKind,
    Used,
    heaviest_of,
    read_tool,
    used,
)
from app.bench.star import wheel
from app.bench.torques import (
    STAGED,
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
from app.trade.drawings import Circle, nut_places
from app.trade.fasteners import (
    FINE_DEVIATION,
    Pass,
    TorqueRange,
    question_torque,
    retorque_verdict,
    staged_passes,
    star_sequence,
    torque_verdict,
    wrench_band,
)
from app.trade.figure import Grade, Verdict, Worked
from app.trade.quantity import read_number, with_unit
from app.trade.typed import Reader, Typed

FEWEST, MOST = 3, 12
NO_FIGURE = "the figure of the wheel's or axle's maker, such as 100"


class Nut(Payload):
    """One nut's last reading as typed."""

    nut: int
    typed: str


class WheelTorque(Payload):
    """Torque of one wheel's nuts. `low`, `high`: the maker's figure as typed, with where it came from.

    `passes`: the nuts tightened in each pass before the last, in star order.
    `whole`: one reading for all nuts, as a click wrench gives; else one in `readings` for each nut.
    `moved`: nuts that turned in the check round; `moved_before`: those of the round before.
    """

    studs: int
    unit: Unit
    low: str
    high: str
    figure_from: str = ""
    passes: tuple[Passed, ...] = ()
    whole: str = ""
    readings: tuple[Nut, ...] = ()
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
    def by_nut(self) -> dict[int, Decimal]:
        """Reading of each nut; one reading for the wheel counts for all."""
        if self.whole:
            return dict.fromkeys(range(1, self.studs + 1), read_number(self.whole))
        return {each.nut: read_number(each.typed) for each in self.readings}


# Reading the form


def read(typed: Typed, context: Context) -> WheelTorque:
    """The record that stands in a form; raises Refused with every problem."""
    form = Reader(typed)
    unit = read_unit(typed)
    studs = form.whole("studs", least=FEWEST, most=MOST, required="The number of studs is missing")
    low, high = read_figure(form, unit, question_torque, NO_FIGURE)
    tool = read_tool(form, context, (WRENCH,))
    whole, readings = _read_nuts(form, studs or 0, unit)
    outside = outside_range(form, _typed_fields(whole, readings), unit, tool)
    passes = _read_passes(form, studs or 0)
    form.done()
    assert studs is not None and tool is not None
    return WheelTorque(
        studs=studs,
        unit=unit,
        low=low,
        high=high,
        figure_from=form.text("figure_from", most=60),
        passes=passes,
        whole=whole,
        readings=readings,
        checked=form.yes("checked") or bool(moved(form, studs)),
        moved=moved(form, studs),
        moved_before=moved_before(form, context),
        deviation=deviation_of(tool),
        instrument=used(tool, context, sorted(outside)),
    )


def _read_nuts(form: Reader, studs: int, unit: str) -> tuple[str, tuple[Nut, ...]]:
    whole = read_torque(form, "whole", unit, question_torque)
    texts = {nut: read_torque(form, f"r-{nut}", unit, question_torque) for nut in range(1, studs + 1)}
    if whole and any(texts.values()):
        form.wrong("whole", "The wheel has a reading, and single nuts too", "one of the two")
    if not whole and not any(texts.values()):
        form.wrong("whole", "No nut has a reading", "a reading at each nut, or one for all, such as 110")
    return whole, tuple(Nut(nut=nut, typed=text) for nut, text in texts.items() if text)


def _typed_fields(whole: str, readings: Iterable[Nut]) -> list[tuple[str, str]]:
    each = [(f"r-{nut.nut}", nut.typed) for nut in readings]
    return [("whole", whole), *each] if whole else each


def _read_passes(form: Reader, studs: int) -> tuple[Passed, ...]:
    order = star_sequence(studs).value if studs else ()
    passes = passes_read(form, order)
    ask_passes(form, passes, order, "nut")
    return passes


# Judging


def judge(record: WheelTorque, _context: Context) -> Judged:
    """The heaviest of: every nut inside the maker's figure, the check round done, no nut moved in it."""
    nuts = torque_verdict(record.by_nut, record.studs, record.figure, record.deviation)
    assert nuts.verdict is not None
    verdict = heaviest_of([nuts.verdict, _check_round(record)])
    return Judged(verdict, (nuts, *_bands(record), star_sequence(record.studs), _passes_of(record)))


def _check_round(record: WheelTorque) -> Verdict:
    if not record.checked:
        return Verdict(Grade.UNSEEN, "Check round not done yet")
    turned = retorque_verdict(record.moved, record.moved_before)
    return turned if record.moved else Verdict(Grade.SOUND, "no nut moved in the check round")


def _bands(record: WheelTorque) -> tuple[Worked[object], ...]:
    readings = sorted(set(record.by_nut.values()))
    return tuple(wrench_band(reading, record.unit, record.deviation) for reading in readings[:1])


def _passes_of(record: WheelTorque) -> Worked[tuple[Pass, ...]]:
    return staged_passes(record.figure.aim, record.unit)


# The form's texts


def start(context: Context) -> dict[str, str]:
    """A fresh form: studs and figure as the unit's own data say."""
    return {
        "studs": str(context.studs or ""),
        "unit": context.torque_unit if context.torque_unit in UNITS else "lbf_ft",
        "low": context.torque_low,
        "high": context.torque_high,
        "figure_from": context.torque_source,
        "instrument": context.last_tool,
    }


def texts(record: WheelTorque) -> dict[str, str]:
    """The form that gives a record again."""
    return {
        "studs": str(record.studs),
        "unit": record.unit,
        "low": record.low,
        "high": record.high,
        "figure_from": record.figure_from,
        "whole": record.whole,
        "instrument": str(record.instrument.id),
        "checked": "yes" if record.checked else "",
        **passes_texts(record.passes),
        **{f"r-{each.nut}": each.typed for each in record.readings},
        **{f"moved-{nut}": "yes" for nut in record.moved},
    }


# The drawing

SCREEN = Circle(Decimal(210), Decimal(210), Decimal(100))
PAPER = Circle(Decimal(100), Decimal(100), Decimal(62))
STEP = Circle(Decimal(32), Decimal(32), Decimal(22))


def draw(typed: Typed, context: Context) -> Mapping[str, object]:
    """The star for screen and paper, a small wheel for each turn, the passes; None without studs."""
    studs, figure = _studs(typed), figure_typed(typed)
    readings = {nut: typed.get(f"r-{nut}").strip() for nut in range(1, studs + 1)}
    last = {nut: text for nut, text in readings.items() if text} or _for_all(typed, studs)
    number, done = in_hand(typed, star_sequence(studs).value if studs else (), last)
    return {
        "wheel": wheel(studs, done, SCREEN, Decimal(36), Decimal(44)) if studs else None,
        "paper_wheel": wheel(studs, {}, PAPER, Decimal(16), Decimal(16)) if studs else None,
        "steps": nut_places(studs, STEP) if studs else (),
        "figure": figure,
        "unit_word": with_unit("", _unit(typed)).strip(),
        "aim": f"{figure.aim.normalize():f}" if figure else "",
        "passes": passes_to(figure),
        "pass_now": number,
        "field_now": f"pass-{number}" if number in STAGED else "r",
        "thread": context.thread,
    }


def _for_all(typed: Typed, studs: int) -> dict[int, str]:
    whole = typed.get("whole").strip()
    return dict.fromkeys(range(1, studs + 1), whole) if whole else {}


def _studs(typed: Typed) -> int:
    text = typed.get("studs").strip()
    studs = int(text) if text.isascii() and text.isdigit() and len(text) < 3 else 0
    return studs if FEWEST <= studs <= MOST else 0


def _unit(typed: Typed) -> str:
    return typed.get("unit") if typed.get("unit") in UNITS else "lbf_ft"


KIND = RecordKind(
    key="wheel_torque",
    title="Wheel nut torque",
    per="wheel",
    shape=WheelTorque,
    read=read,
    judge=judge,
    start=start,
    texts=texts,
    draw=draw,
    tools=(WRENCH,),
)

"""Wheel nut torque: star order, passes, one reading a nut or one for the wheel, check round, verdict.

Nuts count with the clock, seen from outside; nut 1 is at the valve or the first after it.
"""

from collections.abc import Mapping
from decimal import Decimal

from app.bench.kinds import (
    Context,
    Judged,
    Payload,
    RecordKind,
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
    Torqued,
    ask_passes,
    at_the_nut,
    counted,
    deviation_of,
    figure_shown,
    hold_against_unit,
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
from app.trade.drawings import Circle, nut_places
from app.trade.fasteners import (
    Pass,
    question_torque,
    retorque_verdict,
    staged_passes,
    star_sequence,
    torque_verdict,
)
from app.trade.figure import Grade, Verdict, Worked
from app.trade.typed import Reader, Typed

FEWEST, MOST = 3, 12
NO_FIGURE = "the figure of the wheel's or axle's maker, such as 100"


class Nut(Payload):
    """One nut's last reading as typed."""

    nut: int
    typed: str


class WheelTorque(Torqued):
    """Torque of one wheel's nuts: one reading in `readings` for each nut, where `whole` is not for all."""

    studs: int
    readings: tuple[Nut, ...] = ()

    @property
    def by_nut(self) -> dict[int, Decimal]:
        """Torque at each nut; one reading for the wheel counts for all."""
        if self.whole:
            return dict.fromkeys(range(1, self.studs + 1), self.at_nut(self.whole))
        return {each.nut: self.at_nut(each.typed) for each in self.readings}

    @property
    def shown(self) -> list[str]:
        """What the wrench showed, as typed."""
        return [self.whole] if self.whole else [each.typed for each in self.readings]


# Reading the form


def read(typed: Typed, context: Context) -> WheelTorque:
    """The record that stands in a form; raises Refused with every problem."""
    form = Reader(typed)
    unit = read_unit(typed)
    studs = form.whole("studs", least=FEWEST, most=MOST, required="The number of studs is missing")
    low, high = read_figure(form, unit, question_torque, NO_FIGURE)
    hold_against_unit(form, low, high, unit, context)
    lengths = read_adapter(form)
    tool = read_tool(form, context, (WRENCH,))
    whole, readings = _read_nuts(form, studs or 0, unit)
    read_at = read_fields(whole, ((each.nut, each.typed) for each in readings))
    outside = outside_range(form, read_at, unit, tool)
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
        **lengths,
        instrument=used(tool, context, sorted(outside)),
    )


def _read_nuts(form: Reader, studs: int, unit: str) -> tuple[str, tuple[Nut, ...]]:
    asks = at_the_nut(form.typed, question_torque)
    whole = read_torque(form, "whole", unit, asks)
    texts = {nut: read_torque(form, f"r-{nut}", unit, asks) for nut in range(1, studs + 1)}
    says = ("The wheel has a reading, and single nuts too", "No nut has a reading")
    one_or_each(form, texts.values(), says, "a reading at each nut, or one for all, such as 110")
    return whole, tuple(Nut(nut=nut, typed=text) for nut, text in texts.items() if text)


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
    behind = (*record.settings(record.shown), *record.bands(record.by_nut.values()))
    return Judged(verdict, (nuts, *behind, star_sequence(record.studs), _passes_of(record)))


def _check_round(record: WheelTorque) -> Verdict:
    if not record.checked:
        return Verdict(Grade.UNSEEN, "Check round not done yet")
    turned = retorque_verdict(record.moved, record.moved_before)
    return turned if record.moved else Verdict(Grade.SOUND, "no nut moved in the check round")


def _passes_of(record: WheelTorque) -> Worked[tuple[Pass, ...]]:
    return staged_passes(record.set_to, record.unit)


# The form's texts


def start(context: Context) -> dict[str, str]:
    """A fresh form: studs and figure as the unit's own data say."""
    return {
        "studs": str(context.studs or ""),
        "unit": context.torque_unit if context.torque_unit in UNITS else "lbf_ft",
        "low": context.torque_low,
        "high": context.torque_high,
        "figure_from": context.torque_source,
        "instrument": context.needed_tool((WRENCH,)),
    }


def texts(record: WheelTorque) -> dict[str, str]:
    """The form that gives a record again."""
    readings = {f"r-{each.nut}": each.typed for each in record.readings}
    return {"studs": str(record.studs), **record.texts(), **readings}


# The drawing

SCREEN = Circle(Decimal(210), Decimal(210), Decimal(100))
PAPER = Circle(Decimal(100), Decimal(100), Decimal(62))
STEP = Circle(Decimal(32), Decimal(32), Decimal(22))


def draw(typed: Typed, context: Context) -> Mapping[str, object]:
    """The star for screen and paper, a small wheel for each turn, the passes; None without studs."""
    studs = counted(typed.get("studs").strip(), FEWEST, MOST)
    readings = {nut: typed.get(f"r-{nut}").strip() for nut in range(1, studs + 1)}
    last = {nut: text for nut, text in readings.items() if text} or _for_all(typed, studs)
    number, done = in_hand(typed, star_sequence(studs).value if studs else (), last)
    return {
        "wheel": wheel(studs, done, SCREEN, Decimal(36), Decimal(44)) if studs else None,
        "paper_wheel": wheel(studs, {}, PAPER, Decimal(16), Decimal(16)) if studs else None,
        "steps": nut_places(studs, STEP) if studs else (),
        **figure_shown(typed),
        "at_nut": nuts_shown(typed, last),
        "pass_now": number,
        "field_now": f"pass-{number}" if number in STAGED else "r",
        "thread": context.thread,
    }


def _for_all(typed: Typed, studs: int) -> dict[int, str]:
    whole = typed.get("whole").strip()
    return dict.fromkeys(range(1, studs + 1), whole) if whole else {}


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

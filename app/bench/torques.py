"""What every torque record reads: the maker's figure, readings in the wrench's range, what moved before."""

from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Tool, ask_range, put
from app.trade.fasteners import FINE_DEVIATION, TorqueRange, Wrench, wrench_deviation
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader, Typed

Unit = Literal["lbf_ft", "N_m"]
Asks = Callable[[str, Quantity], list[Problem]]
UNITS = ("lbf_ft", "N_m")
WRENCH = "torque wrench"


def read_unit(typed: Typed) -> Unit:
    """The unit of a form, lbf·ft where none was chosen."""
    return "N_m" if typed.get("unit") == "N_m" else "lbf_ft"


def read_figure(form: Reader, unit: str, asks: Asks, accepts: str) -> tuple[str, str]:
    """Low and high end as typed; one figure alone is both. `accepts`: what to ask for where it is missing."""
    low, high = form.raw("low"), form.raw("high") or form.raw("low")
    if not low:
        form.wrong("low", "The low end is missing", accepts)
    for name in ("low", "high"):
        read_torque(form, name, unit, asks)
    try:
        TorqueRange(read_number(low), read_number(high), unit)
    except Impossible as backwards:
        if not form.problems:
            form.problems.append(backwards.at("high"))
    return low, high


def read_torque(form: Reader, name: str, unit: str, asks: Asks) -> str:
    """A torque as typed, its problems noted; empty where nothing stands."""
    text = form.raw(name)
    try:
        if text:
            put(form, asks(name, Quantity(text, unit)))
    except Impossible as no_number:
        form.problems.append(no_number.at(name))
    return text


def outside_range(form: Reader, fields: Iterable[tuple[str, str]], unit: str, tool: Tool | None) -> set[str]:
    """The readings outside the wrench's range, in words, after asking once for each. `fields`: name, text."""
    return {_outside(form, name, text, unit, tool) for name, text in fields}


def _outside(form: Reader, name: str, text: str, unit: str, tool: Tool | None) -> str:
    try:
        return ask_range(form, name, Quantity(text, unit), tool)
    except Impossible:
        return ""  # said already where it was read


def moved(form: Reader, count: int) -> tuple[int, ...]:
    """The nuts that turned in the check round, by number."""
    return tuple(nut for nut in range(1, count + 1) if form.yes(f"moved-{nut}"))


def moved_before(form: Reader, context: Context) -> tuple[int, ...]:
    """The nuts that moved the round before; a figure put right is the same round as the one it replaces."""
    if context.before is None:
        return ()
    same_round = form.raw("correction-kind") == "typing"
    return tuple(context.before.get("moved_before" if same_round else "moved", ()))


def deviation_of(tool: Tool) -> Decimal:
    """Share by which a wrench may be off, from the end of its scale where that is known."""
    if tool.most and tool.unit in (*UNITS, "lbf_in"):
        return wrench_deviation(Wrench.CLICK, read_number(tool.most), tool.unit).value
    return FINE_DEVIATION


def figure_typed(typed: Typed) -> TorqueRange | None:
    """The figure that stands in a form, None where it is not one yet."""
    low = typed.get("low").strip()
    try:
        return TorqueRange(read_number(low), read_number(typed.get("high").strip() or low), read_unit(typed))
    except Impossible:
        return None

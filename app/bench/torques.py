"""What every torque record reads: the maker's figure, the passes nut by nut, readings, what moved before."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Payload, Tool, Used, ask_range, put
from app.trade.fasteners import (
    FINE_DEVIATION,
    Adapter,
    Pass,
    TorqueRange,
    Wrench,
    read_through,
    staged_passes,
    torque_at_nut,
    wrench_band,
    wrench_deviation,
    wrench_setting,
)
from app.trade.figure import Worked, as_printed
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, convert, read_number, with_unit
from app.trade.typed import Reader, Typed

Unit = Literal["lbf_ft", "N_m"]
Asks = Callable[[str, Quantity], list[Problem]]
UNITS = ("lbf_ft", "N_m")
WRENCH = "torque wrench"
ROUNDED = Decimal("0.01")  # of a figure, by which it may be rounded into another unit: common practice
STAGED = (1, 2)  # the passes before the last; the figure is read in the last
LENGTHS = (  # in inches: field, what is missing, least, most, what is usual
    ("wrench_length", "The length of the wrench is missing", "2", "100", ("8", "48")),
    ("adapter_length", "The length of the adapter is missing", "0.1", "60", ("1", "24")),
)


class Passed(Payload):
    """A pass before the last: the nuts that were tightened in it, by number, in the order of the work."""

    number: int
    nuts: tuple[int, ...]


class Torqued(Payload):
    """What every torque record keeps. `low`, `high`: the maker's figure as typed, with where it came from.

    `passes`: the nuts tightened in each pass before the last, in the order of the work. `whole`: one reading
    for all, as a click wrench gives. `moved`: nuts that turned in the check round; `moved_before`: those of
    the round before. `wrench_length`, `adapter_length`: in inches, where an adapter stood straight out from
    the wrench; the readings are then what the wrench showed.
    """

    unit: Unit
    low: str
    high: str
    figure_from: str = ""
    passes: tuple[Passed, ...] = ()
    whole: str = ""
    checked: bool = False
    moved: tuple[int, ...] = ()
    moved_before: tuple[int, ...] = ()
    deviation: Decimal = FINE_DEVIATION
    wrench_length: str = ""
    adapter_length: str = ""
    instrument: Used

    @property
    def adapter(self) -> Adapter | None:
        """The adapter on the wrench, None where there was none."""
        if not self.adapter_length:
            return None
        return Adapter(read_number(self.wrench_length), read_number(self.adapter_length))

    @property
    def figure(self) -> TorqueRange:
        """The maker's figure."""
        return TorqueRange(read_number(self.low), read_number(self.high), self.unit)

    @property
    def set_to(self) -> Decimal:
        """What the wrench is set to for the middle of the figure."""
        return setting(self.figure, self.adapter)

    def at_nut(self, typed: str) -> Decimal:
        """Torque at the nut for a reading of the wrench."""
        return _through(read_number(typed), self.figure, self.adapter)

    def settings(self, typed: Iterable[str]) -> tuple[Worked[object], ...]:
        """What the wrench is set to, and what its least reading means at the nut; nothing without an adapter.

        Readings that are the setting of an end of the figure say nothing beyond it, and are left out.
        """
        adapter, figure = self.adapter, self.figure
        if adapter is None:
            return ()
        plain = {read_number(text) for text in typed if self.at_nut(text) not in (figure.low, figure.high)}
        least = sorted(plain)[:1]
        to_set = wrench_setting(figure.aim, adapter, self.unit)
        return (to_set, *(torque_at_nut(each, adapter, self.unit) for each in least))

    def texts(self) -> dict[str, str]:
        """What a form of any torque record gives again of it."""
        told = ("unit", "low", "high", "figure_from", "whole", "wrench_length", "adapter_length")
        return {
            **{name: str(getattr(self, name)) for name in told},
            "instrument": str(self.instrument.id),
            "checked": "yes" if self.checked else "",
            **passes_texts(self.passes),
            **{f"moved-{nut}": "yes" for nut in self.moved},
        }

    def bands(self, readings: Iterable[Decimal]) -> tuple[Worked[object], ...]:
        """How far the wrench may be off at the lowest of some readings; nothing without a reading."""
        return tuple(wrench_band(least, self.unit, self.deviation) for least in sorted(set(readings))[:1])


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


def hold_against_unit(form: Reader, low: str, high: str, unit: str, context: Context) -> None:
    """Refuse the book's number under another unit of torque; ask once about another figure than the book's.

    85 lbf·ft read as 85 N·m leaves every nut a quarter too loose. Nothing is asked where the book has none.
    """
    own = _own_figure(context)
    if form.problems or own is None:
        return
    meant = TorqueRange(_printed(own.low, own.unit, unit), _printed(own.high, own.unit, unit), unit)
    if _alike(read_number(low), meant.low) and _alike(read_number(high), meant.high):
        return
    says = f"The figure of this unit is {own}"
    if unit != own.unit and read_number(low) == own.low:
        form.wrong("low", says, f"{meant}; where the book is wrong, put it right on the unit's page")
    else:
        form.ask("low", says, str(own) if unit == own.unit else f"{own}, {meant}")


def _own_figure(context: Context) -> TorqueRange | None:
    low, high = context.torque_low or context.torque_high, context.torque_high or context.torque_low
    return TorqueRange(read_number(low), read_number(high), context.torque_unit) if low else None


def _printed(torque: Decimal, unit: str, into: str) -> Decimal:
    return torque if unit == into else as_printed(convert(torque, unit, into), 1)


def _alike(typed: Decimal, meant: Decimal) -> bool:
    return abs(typed - meant) <= meant * ROUNDED


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


def one_or_each(form: Reader, each: Iterable[str], says: tuple[str, str], accepts: str) -> None:
    """Note where one reading for all stands beside single ones, or none stands. `says`: of both, of none."""
    single, both = any(each), ("one of the two", accepts)
    if bool(form.raw("whole")) == single:
        form.wrong("whole", says[not single], both[not single])


def read_fields(whole: str, each: Iterable[tuple[int, str]]) -> list[tuple[str, str]]:
    """The fields of a form that hold a reading, with their texts. `each`: number of a nut and its reading."""
    fields = [(f"r-{nut}", text) for nut, text in each if text]
    return [("whole", whole), *fields] if whole else fields


# The adapter on the wrench


def read_adapter(form: Reader) -> dict[str, str]:
    """Lengths of the wrench and of the adapter on it as typed, in inches: both or neither."""
    texts = {name: form.raw(name) for name, *_ in LENGTHS}
    for name, missing, least, most, usual in LENGTHS:
        form.number(
            name, least=least, most=most, usual=usual, required=missing if any(texts.values()) else ""
        )
    return texts


def adapter_typed(typed: Typed) -> Adapter | None:
    """The adapter that stands in a form, None where it is not one yet."""
    try:
        adapter = Adapter(*(read_number(typed.get(name)) for name, *_ in LENGTHS))
        return adapter if adapter.ratio < 1 else None
    except Impossible:
        return None


def at_the_nut(typed: Typed, asks: Asks) -> Asks:
    """What to ask about a reading of the wrench: what is asked about the torque that it means at the nut."""
    adapter = adapter_typed(typed)

    def asks_through(field: str, shown: Quantity) -> list[Problem]:
        at_nut = as_printed(shown.value / adapter.ratio, 1) if adapter else shown.value
        return asks(field, Quantity(f"{at_nut:f}", shown.unit) if adapter else shown)

    return asks_through


def setting(figure: TorqueRange, adapter: Adapter | None) -> Decimal:
    """What the wrench is set to for the middle of the figure, as printed where an adapter is on it."""
    return as_printed(figure.aim * adapter.ratio, 1) if adapter else figure.aim


def _through(reading: Decimal, figure: TorqueRange, adapter: Adapter | None) -> Decimal:
    return read_through(reading, adapter, figure) if adapter else reading


def nuts_shown(typed: Typed, readings: Mapping[int, str]) -> dict[int, str]:
    """The torque at each nut in words where an adapter is on the wrench, else nothing. `readings`: by nut."""
    figure, adapter = figure_typed(typed), adapter_typed(typed)
    if figure is None or adapter is None:
        return {}
    return {nut: text for nut, typed in readings.items() if (text := _shown(typed, figure, adapter))}


def _shown(typed: str, figure: TorqueRange, adapter: Adapter) -> str:
    try:
        return f"{_through(read_number(typed), figure, adapter).normalize():f}"
    except Impossible:
        return ""


# The passes before the last


def passes_read(form: Reader, order: Sequence[int]) -> tuple[Passed, ...]:
    """The nuts ticked in each pass before the last; `order`: all nuts in that of the work."""
    return tuple(Passed(number=number, nuts=_ticked(form.typed, number, order)) for number in STAGED)


def _ticked(typed: Typed, number: int, order: Sequence[int]) -> tuple[int, ...]:
    return tuple(nut for nut in order if typed.get(f"pass-{number}-{nut}").strip() == "yes")


def ask_passes(form: Reader, passes: Sequence[Passed], order: Sequence[int], what: str) -> None:
    """Question once the nuts that a pass left out. `what`: nut or bolt."""
    if form.raw("confirm-passes") == "yes":
        return
    for each in passes:
        if left := sorted(set(order) - set(each.nuts)):
            says = f"Pass {each.number} is not ticked at {what} {', '.join(map(str, left))}"
            form.problems.append(Problem("passes", says, f"every {what}, pass by pass", ask=True))


def passes_texts(passes: Iterable[Passed]) -> dict[str, str]:
    """The ticks of a form that give the passes again."""
    return {f"pass-{each.number}-{nut}": "yes" for each in passes for nut in each.nuts}


def passes_to(figure: TorqueRange | None, adapter: Adapter | None) -> tuple[Pass, ...]:
    """The passes before the last with what the wrench is set to in each; none without a figure."""
    return staged_passes(setting(figure, adapter), figure.unit).value[: len(STAGED)] if figure else ()


def in_hand(typed: Typed, order: Sequence[int], last: Mapping[int, str]) -> tuple[int, dict[int, str]]:
    """The pass that is being done, and what stands at its nuts. `last`: readings of the last pass, by nut."""
    for number in STAGED if not last else ():
        done = _ticked(typed, number, order)
        if len(done) < len(order):
            return number, dict.fromkeys(done, "done")
    return len(STAGED) + 1, dict(last)


# The check round


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


def counted(text: str, fewest: int, most: int) -> int:
    """A number of nuts as it stands in a form that may be half filled in, 0 where it is none of them."""
    count = int(text) if text.isascii() and text.isdigit() and len(text) < 3 else 0
    return count if fewest <= count <= most else 0


def figure_shown(typed: Typed) -> dict[str, object]:
    """What drawings and sheets say of the figure: itself, what to aim at, the passes to it, its unit.

    `set_to`: what the wrench is set to; the aim itself without an adapter.
    """
    figure, adapter = figure_typed(typed), adapter_typed(typed)
    return {
        "figure": figure,
        "aim": f"{figure.aim.normalize():f}" if figure else "",
        "set_to": f"{setting(figure, adapter).normalize():f}" if figure else "",
        "adapter": adapter,
        "passes": passes_to(figure, adapter),
        "unit_word": with_unit("", read_unit(typed)).strip(),
    }


def figure_typed(typed: Typed) -> TorqueRange | None:
    """The figure that stands in a form, None where it is not one yet."""
    low = typed.get("low").strip()
    try:
        return TorqueRange(read_number(low), read_number(typed.get("high").strip() or low), read_unit(typed))
    except Impossible:
        return None

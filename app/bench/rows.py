"""Record kinds that are a list of rows: what to read, what to reach, one field each. Most kinds are.

The same rows make the form, the sheet to write on, and the printed record.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from app.bench.kinds import (
    Context,
    Judged,
    Payload,
    RecordKind,
    Tool,
    Used,
    ask_range,
    ask_scale,
    heaviest_of,
    nothing_drawn,
    read_tool,
    used,
)
from app.trade.figure import Verdict, Worked
from app.trade.problems import Impossible, Refused
from app.trade.quantity import UNITS, Quantity, alike, with_unit
from app.trade.typed import Reader, Typed


@dataclass(frozen=True)
class Row:
    """One row: field, label, unit, what to reach in words, and what is taken.

    `options`: (value, word) pairs of a choice; `text`: words instead of a number; `whole`: a count, which has
    a `most`. `least`, `most`: what is refused beyond; `usual`: what is asked about beyond. `required`: what
    to say where it is empty. `head`: a heading that stands before this row and those after it. `tested`: the
    pressure of a test, which a pointer's scale has to fit. `stays`: what is mostly the same in each record of
    the kind on one stay, so that it is typed once.
    """

    name: str
    label: str
    unit: str = ""
    reach: str = ""
    least: str = "0"
    most: str = ""
    usual: tuple[str, ...] = ()
    options: tuple[tuple[str, str], ...] = ()
    text: bool = False
    whole: bool = False
    required: str = ""
    start: str = ""
    head: str = ""
    tested: bool = False
    stays: bool = False

    @property
    def across(self) -> bool:
        """Whether the words of a choice are short enough to stand beside each other."""
        return sum(len(word) for _, word in self.options) <= MOST_ACROSS

    @property
    def unit_word(self) -> str:
        """The unit as printed."""
        return UNITS[self.unit][0]

    def said(self, typed: str) -> str:
        """A kept value for people: the word of a choice, a number with its unit."""
        if self.options:
            return dict(self.options).get(typed, "")
        return with_unit(typed, self.unit) if typed and not self.text else typed


YES_NO = (("yes", "Yes"), ("no", "No"))
YES_NO_NONE = (*YES_NO, ("none", "Not fitted"))
MOST_ACROSS = 24  # letters of a choice's words side by side, at half the width of a tablet


def looked(name: str, label: str, reach: str = "", *, may_lack: bool = False, head: str = "") -> Row:
    """A row that is answered yes or no, and must be; `may_lack`: the thing may not be fitted."""
    options = YES_NO_NONE if may_lack else YES_NO
    return Row(name, label, "", reach, options=options, required=f"{label}: say yes or no", head=head)


def words(
    name: str, label: str, reach: str = "", *, required: str = "", head: str = "", stays: bool = False
) -> Row:
    """A row of words."""
    return Row(name, label, "", reach, text=True, required=required, head=head, stays=stays)


class Flat(Payload):
    """Base of a payload made of rows: one text a row, as typed, and the instrument where there is one."""

    instrument: Used | None = None

    def quantity(self, name: str, unit: str) -> Quantity | None:
        """A row's reading, None where it is empty."""
        text = str(getattr(self, name))
        return Quantity(text, unit) if text else None

    def quantities(self, names: Sequence[str], unit: str) -> list[Quantity]:
        """The readings of some rows, without the empty ones."""
        found = [self.quantity(name, unit) for name in names]
        return [each for each in found if each is not None]


def faults(record: Flat, told: Mapping[str, Verdict]) -> list[Verdict]:
    """The verdicts of the rows that were answered with no."""
    return [verdict for name, verdict in told.items() if getattr(record, name) == "no"]


def judged(figures: Sequence[Worked[object]], seen: Sequence[Verdict]) -> Judged:
    """The heaviest of all verdicts; there is at least one."""
    verdicts = [each.verdict for each in figures if each.verdict]
    return Judged(heaviest_of([*verdicts, *seen]), tuple(figures))


Shape = TypeVar("Shape", bound=Flat)
Rows = Callable[[Context], tuple[Row, ...]]
Check = Callable[[Reader, Context], None]


Groups = Mapping[str, Sequence[str]]


def begun(form: Reader, names: Sequence[str]) -> bool:
    """Whether anything stands in some fields."""
    return any(form.raw(name) for name in names)


def check_groups(form: Reader, groups: Groups, accepts: str) -> None:
    """At least one group is filled in, and what is begun is whole. `groups`: what one is, and its fields."""
    if not any(begun(form, names) for names in groups.values()):
        form.wrong(next(iter(groups.values()))[0], "Nothing was read", accepts)
    for what, names in groups.items():
        for name in names:
            if begun(form, names) and not form.raw(name):
                form.wrong(name, f"{what} is not whole without this", "a reading here too, or none of them")


def no_check(_form: Reader, _context: Context) -> None:
    """Nothing to check beyond the rows."""


def own_unit(row: Row, _typed: Typed) -> str:
    """The unit that stands in the row."""
    return row.unit


@dataclass(frozen=True)
class Read:
    """How a list of rows is read and drawn, for `row_kind`.

    `unit_of`: the unit of a row where the form itself says it; the form then shows none beside the field.
    `second`: whether two instruments may be used side by side; the payload then keeps `second` as well.
    """

    rows: Rows
    tools: tuple[str, ...] = ()
    check: Check = no_check
    note: str = ""
    tool_required: bool = True
    second: bool = False
    cautions: tuple[str, ...] = ()
    draw: Callable[[Typed, Context], Mapping[str, object]] = nothing_drawn
    unit_of: Callable[[Row, Typed], str] = own_unit

    def in_units(self, typed: Typed, context: Context) -> tuple[Row, ...]:
        """The rows, each in the unit that it was typed in."""
        return tuple(replace(row, unit=self.unit_of(row, typed)) for row in self.rows(context))


def row_kind(
    key: str, title: str, per: str, shape: type[Shape], judge: Callable[[Shape, Context], Judged], how: Read
) -> RecordKind[Shape]:
    """A record kind made of rows."""

    def read(typed: Typed, context: Context) -> Shape:
        record = shape.model_validate(_read(typed, context, how))
        try:
            judge(record, context)
        except Impossible as wrong:
            raise Refused([wrong.at(how.rows(context)[0].name)]) from wrong
        return record

    def start(context: Context) -> dict[str, str]:
        tool = context.needed_tool(how.tools) if how.tool_required else context.last_tool
        found = {row.name: _begins(row, context) for row in how.rows(context)} | {"instrument": tool}
        return found | ({"second": context.last_used("second")} if how.second else {})

    def draw(typed: Typed, context: Context) -> Mapping[str, object]:
        rows = {"rows": how.rows(context), "kept_rows": how.in_units(typed, context)}
        return rows | {"note": how.note, "second": how.second} | dict(how.draw(typed, context))

    return RecordKind(key, title, per, shape, read, judge, start, _texts, draw, how.tools, how.cautions)


def _begins(row: Row, context: Context) -> str:
    """What a row begins with: what was typed last on this stay where that stays, else its own start."""
    return (context.last_text(row.name) if row.stays else "") or row.start


def _read(typed: Typed, context: Context, how: Read) -> dict[str, object]:
    form = Reader(typed)
    tools = _read_tools(form, context, how)
    named = [tool for tool in tools.values() if tool]
    rows = how.in_units(typed, context)
    outside = [_read_row(form, row, named) for row in rows]
    coarse = [_coarse(form, row, named) for row in rows if row.tested]
    how.check(form, context)
    form.done()
    found: dict[str, object] = {row.name: form.raw(row.name) for row in how.rows(context)}
    return found | {
        field: used(tool, context, _of(tool, outside), _of(tool, coarse)) if tool else None
        for field, tool in tools.items()
    }


def _read_tools(form: Reader, context: Context, how: Read) -> dict[str, Tool | None]:
    """The instruments by their fields: one, or two where two may be used."""
    if not how.tools:
        return {"instrument": None}
    first = read_tool(form, context, how.tools, required=how.tool_required)
    if not how.second:
        return {"instrument": first}
    second = read_tool(form, context, how.tools, required=False, field="second")
    if second and form.raw("second") == form.raw("instrument"):
        form.wrong("second", f"{second.name} is named already", "another instrument, or none")
    if second and not form.raw("instrument"):
        form.wrong(
            "instrument", "The first instrument is missing", "the one that stands second, if it is alone"
        )
    return {"instrument": first, "second": second}


Doubt = tuple[Tool, str]  # an instrument, and a reading in words that it is not made for


def _of(tool: Tool, doubts: Sequence[Doubt | None]) -> list[str]:
    return [doubt[1] for doubt in doubts if doubt and doubt[0] is tool]


def _tool_for(reading: Quantity, tools: Sequence[Tool]) -> Tool | None:
    """The instrument that shows such a reading, rather one whose range it lies in."""
    able = [tool for tool in tools if alike(tool.unit, reading.unit)]
    return next((tool for tool in able if tool.reaches(reading)), able[0] if able else None)


def _read_row(form: Reader, row: Row, tools: Sequence[Tool]) -> Doubt | None:
    """The row's reading in words where it lies outside its instrument's range; its problems are noted."""
    if row.options:
        _read_choice(form, row)
    elif row.text:
        form.text(row.name, required=row.required, most=400)
    elif row.whole:
        form.whole(row.name, least=int(row.least), most=int(row.most), required=row.required)
    else:
        form.number(
            row.name,
            least=row.least,
            most=row.most,
            usual=row.usual,
            required=row.required,
            unit=row.unit,
        )
        return _asked(form, row, tools, ask_range)
    return None


def _read_choice(form: Reader, row: Row) -> None:
    found, words = form.raw(row.name), ", ".join(word for _, word in row.options)
    if not found and row.required:
        form.wrong(row.name, row.required, f"one of: {words}")
    elif found and found not in dict(row.options):
        form.wrong(row.name, "This is not one of the choices", f"one of: {words}")


def _coarse(form: Reader, row: Row, tools: Sequence[Tool]) -> Doubt | None:
    return _asked(form, row, tools, ask_scale)


Asks = Callable[[Reader, str, Quantity, Tool | None], str]


def _asked(form: Reader, row: Row, tools: Sequence[Tool], asks: Asks) -> Doubt | None:
    """What a question about the row's reading and its instrument leaves in doubt."""
    try:
        reading = Quantity(form.raw(row.name), row.unit)
    except Impossible:
        return None  # said already where the number was read
    tool = _tool_for(reading, tools) if row.unit else None
    says = asks(form, row.name, reading, tool)
    return (tool, says) if tool and says else None


def _texts(record: Flat) -> dict[str, str]:
    """The form that gives a record again."""
    found = {name: text for name, text in record.model_dump().items() if isinstance(text, str)}
    named = {field: getattr(record, field) for field in ("instrument", "second") if hasattr(record, field)}
    return found | {field: str(tool.id) if tool else "" for field, tool in named.items()}

"""Reading a form of the workbench and working its figure out; what cannot be is said at its field."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.bench.records import figures as kept
from app.trade.dates import MONTH_ACCEPTS, Month, read_month
from app.trade.figure import shown
from app.trade.money import read_money
from app.trade.problems import Impossible, Problem, Refused
from app.trade.quantity import Quantity, with_unit
from app.trade.typed import Reader, Texts, Typed
from app.workbench.entry import Drawn, Field, Figure, Figures, Kind, Values

FIRST_DAY, LAST_DAY = date(1950, 1, 1), date(2150, 12, 31)
LONGEST_TEXT, LONGEST_LIST = 60, 400
_FRACTION_AFTER_WHOLE = re.compile(r"(^|\s)\d+\s+\d+/\d+")


@dataclass(frozen=True)
class Answer:
    """What the workbench answers: the worked figures and their drawing."""

    figures: Figures
    drawn: Drawn | None = None


def answer(figure: Figure, typed: Typed, today: date) -> Answer:
    """The figures of what stands in a form; raises Refused with every problem and its field.

    `today`: for months with a year of two digits.
    """
    values = read_values(figure, typed, today)
    try:
        figures = figure.work(values)
        return Answer(figures, figure.draw(values, figures))
    except Impossible as impossible:
        raise Refused([impossible.at(_to_blame(figure, values, today))]) from None
    except Refused as refused:
        raise Refused([_placed(each, figure, values, today) for each in refused.problems]) from None


def _placed(problem: Problem, figure: Figure, values: Values, today: date) -> Problem:
    if figure.field_of(problem.field):
        return problem
    return Problem(_to_blame(figure, values, today), problem.says, problem.accepts)


def _to_blame(figure: Figure, values: Values, today: date) -> str:
    """The field that the entry blames; else the first whose example instead would let it be worked out."""
    if figure.blame:
        return figure.blame
    good = read_values(figure, Texts(figure.examples), today)
    for each in figure.fields:
        if _works(figure, Values({**values.found, each.name: good.found[each.name]})):
            return each.name
    return figure.fields[0].name


def _works(figure: Figure, values: Values) -> bool:
    try:
        figure.work(values)
    except (Impossible, Refused):
        return False
    return True


def read_values(figure: Figure, typed: Typed, today: date) -> Values:
    """What stands in a form, by field; raises Refused with every problem."""
    read = Reader(typed)
    found = {each.name: _WAYS[each.kind](read, each, today) for each in figure.fields}
    read.done()
    return Values(found)


def _required(field: Field) -> str:
    return f"{field.label} is missing" if field.needed else ""


def _missing(read: Reader, field: Field) -> bool:
    """Whether the field is empty; said where it is needed."""
    if read.raw(field.name):
        return False
    if field.needed:
        _refuse(read, field, _required(field))
    return True


def _refuse(read: Reader, field: Field, says: str) -> None:
    read.problems.append(Problem(field.name, says, field.accepts, choices=tuple(dict(field.options))))


def _unit(read: Reader, field: Field) -> str | None:
    """The unit chosen beside the field; None, and said, where it is none of the field's."""
    chosen = read.raw(f"{field.name}-unit") or field.unit
    if chosen in field.units:
        return chosen
    units = ", ".join(filter(None, field.units)) or "no unit"
    read.wrong(field.name, f"{chosen[:20]} is not a unit for this", units)
    return None


def _number(read: Reader, field: Field, _today: date) -> Quantity | None:
    if _missing(read, field) or _unit(read, field) is None:
        return None
    return read.quantity(field.name, field.unit, least=field.least, most=field.most, usual=field.usual)


def _whole(read: Reader, field: Field, _today: date) -> int | None:
    if _missing(read, field):
        return None
    return read.whole(field.name, least=int(field.least), most=int(field.most), such_as=field.example)


def _numbers(read: Reader, field: Field, _today: date) -> tuple[Quantity, ...]:
    if _missing(read, field) or (unit := _unit(read, field)) is None:
        return ()
    try:
        found = tuple(Quantity(each, unit) for each in apart(read.raw(field.name)))
        _check_list(field, found)
    except Impossible as impossible:
        read.problems.append(impossible.at(field.name))
        return ()
    return found


def apart(typed: str) -> list[str]:
    """The numbers of a list, still as text: between semicolons or lines where there are any, else blanks.

    Raises Impossible where a blank can stand inside a number (`1 3/8`) or between two, and for a long text.
    """
    if len(typed) > LONGEST_LIST:
        raise Impossible(f"This is {len(typed)} characters long", f"at most {LONGEST_LIST} characters")
    if ";" in typed or "\n" in typed:
        return [each.strip() for each in re.split(r"[;\n]", typed) if each.strip()]
    if _FRACTION_AFTER_WHOLE.search(typed):
        raise Impossible("A fraction after a number can be one or two", "semicolons: 1 3/8; 1 1/2")
    return [each.rstrip(",") for each in typed.split()]


def _check_list(field: Field, found: Sequence[Quantity]) -> None:
    fewest, most = field.counts
    if not fewest <= len(found) <= most:
        count = str(fewest) if fewest == most else f"{fewest} to {most}"
        raise Impossible(f"These are {len(found)} numbers", f"{count}, such as {field.example}")
    for each in found:
        if not Decimal(field.least) <= each.to(field.unit) <= Decimal(field.most):
            reach = f"{field.least} to {with_unit(field.most, field.unit)}"
            raise Impossible(f"{each} cannot be", f"each {reach}")


def _money(read: Reader, field: Field, _today: date) -> object:
    if _missing(read, field):
        return None
    raw = read.raw(field.name)
    try:
        return read_money(raw[:80], field.name, confirmed=read.typed.get(f"confirm-{field.name}") == raw)
    except Impossible as impossible:
        read.problems.append(impossible.at(field.name))
    except Refused as refused:
        read.problems += refused.problems
    return None


def _text(read: Reader, field: Field, _today: date) -> object:
    before = len(read.problems)
    if _missing(read, field):
        return ""
    found = read.text(field.name, most=LONGEST_TEXT)
    if field.parse is None or len(read.problems) > before:
        return found
    return _parsed(read, field, field.parse, found)


def _parsed(read: Reader, field: Field, parse: Callable[[str], object], typed: str) -> object:
    try:
        found = parse(typed)
    except Impossible as impossible:
        read.problems.append(impossible.at(field.name))
        return None
    for each in field.questions(found) if field.questions else ():
        read.ask(field.name, each.says, each.accepts)
    return found


def _choice(read: Reader, field: Field, _today: date) -> str:
    found = read.raw(field.name)
    if not _missing(read, field) and found not in dict(field.options):
        _refuse(read, field, f"{found[:40]} is not one of the choices")
    return found


def _yes(read: Reader, field: Field, _today: date) -> bool:
    return read.yes(field.name)


def _day(read: Reader, field: Field, _today: date) -> date | None:
    if _missing(read, field):
        return None
    found = read.day(field.name)
    if found is not None and not FIRST_DAY <= found <= LAST_DAY:
        read.wrong(field.name, f"{found} is out of reach", f"a day from {FIRST_DAY} to {LAST_DAY}")
    return found


def _month(read: Reader, field: Field, today: date) -> Month | None:
    if _missing(read, field):
        return None
    raw = read.raw(field.name)
    try:
        return read_month(raw[:20], Month.of(today))
    except Impossible as impossible:
        read.wrong(field.name, impossible.says, impossible.accepts or MONTH_ACCEPTS)
    return None


# An example, and a record


def example_query(figure: Figure) -> list[tuple[str, str]]:
    """The example of a figure as its form would send it; a figure without fields sends nothing."""
    return [(each.name, each.example) for each in figure.fields if each.example]


def read_what_for(typed: Typed, field: str) -> str:
    """What a figure is attached for: at most 60 characters, may be empty; raises Refused."""
    read = Reader(typed)
    found = read.text(field, most=LONGEST_TEXT)
    read.done()
    return found


def record_of(figure: Figure, typed: Typed, today: date, what_for: str) -> kept.Figures:
    """A figure worked out from a form, as the record that a work order keeps; raises Refused."""
    found = answer(figure, typed, today)
    return kept.Figures(
        figure=figure.key,
        title=figure.title,
        what_for=what_for,
        typed=tuple(_said(each, typed) for each in figure.fields if typed.get(each.name).strip()),
        sent=tuple(_sent(figure, typed)),
        figures=tuple(kept.Shown.model_validate(shown(each)) for each in found.figures),
    )


def _sent(figure: Figure, typed: Typed) -> Iterator[kept.Said]:
    """What the form held of a figure's fields: texts, units, and what was confirmed."""
    for each in figure.fields:
        for name in (each.name, f"{each.name}-unit", f"confirm-{each.name}"):
            if text := typed.get(name).strip():
                yield kept.Said(name=name, says=text)


def drawn_again(figure: Figure | None, record: kept.Figures, on: date) -> Drawn | None:
    """The drawing of a record, made anew from what was typed on a day; None where there is none."""
    if figure is None:
        return None
    try:
        return answer(figure, Texts({each.name: each.says for each in record.sent}), on).drawn
    except Refused:  # the entry asks more today than when this was kept; the figures stand as kept
        return None


def _said(field: Field, typed: Typed) -> kept.Said:
    text, unit = typed.get(field.name).strip(), typed.get(f"{field.name}-unit") or field.unit
    says = dict(field.options).get(text, "yes" if field.kind is Kind.YES else text)
    return kept.Said(name=field.label, says=with_unit(says, unit) if unit else says)


_WAYS: Mapping[Kind, Callable[[Reader, Field, date], object]] = {
    Kind.NUMBER: _number,
    Kind.NUMBERS: _numbers,
    Kind.WHOLE: _whole,
    Kind.MONEY: _money,
    Kind.TEXT: _text,
    Kind.CHOICE: _choice,
    Kind.YES: _yes,
    Kind.DAY: _day,
    Kind.MONTH: _month,
}

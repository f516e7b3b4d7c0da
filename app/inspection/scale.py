"""The scale below a reading: its limits as ticks and its value as a stroke, over the usual range; pure."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from app.inspection.catalogue import Limit, Measure
from app.trade.figure import By
from app.trade.quantity import with_unit

LONG = 1000  # units of the drawing from end to end
TAPE = (8, 16, 32)  # parts of an inch that a tape or a gauge has
FINE = (-3, -4, -5)  # places of the decimals that stand for them
SHOWN = 3  # limits said beside a field; the rest are said when they apply


@dataclass(frozen=True)
class Scale:
    """Where limits and value lie on a line of 1000 units; `value` is None where nothing was read."""

    limits: tuple[str, ...]
    value: str | None


def scale_of(measure: Measure, number: Decimal | None) -> Scale | None:
    """The scale of a measure, `number` in its own unit; None where it has no usual range or no limits."""
    ends = [end for limit in measure.limits for end in limit.ends]
    if measure.kind != "number" or measure.usual is None or not ends:
        return None
    low, high = min(measure.usual[0], *ends), max(measure.usual[1], *ends)
    ticks = tuple(_at(end, low, high) for end in sorted(set(ends)))
    return Scale(ticks, None if number is None else _at(number, low, high))


def _at(number: Decimal, low: Decimal, high: Decimal) -> str:
    part = (number - low) / (high - low) * LONG
    return f"{min(max(part, Decimal(0)), Decimal(LONG)):.1f}"


def limits_said(measure: Measure) -> str:
    """The limits of a number in words, the heaviest first: do not tow under 2, watch under 5/32 in."""
    if measure.kind != "number":
        return ""
    terms = {limit.by for limit in measure.limits if limit.by}
    said = [f"{_graded(limit, terms)} {' '.join(_signs(limit))}" for limit in measure.limits[:SHOWN]]
    if said:
        head, last = said[:-1], said[-1]
        words, _, number = last.rpartition(" ")
        return ", ".join([*head, f"{words} {with_unit(number, measure.unit)}"])
    if measure.usual is None:
        return ""
    return f"usually {measure.usual[0]:f} to {with_unit(f'{measure.usual[1]:f}', measure.unit)}"


def _graded(limit: Limit, terms: Collection[By]) -> str:
    word = limit.grade.word.lower()
    return f"{word} {limit.by.word}" if limit.by and len(terms) > 1 else word


def _signs(limit: Limit) -> Iterable[str]:
    words = (("from", limit.from_), ("over", limit.over), ("under", limit.under), ("up to", limit.up_to))
    return (f"{word} {_end(end)}" for word, end in words if end is not None)


def _end(number: Decimal) -> str:
    """A limit as a tape has it: 1/16 for 0.0625, which nobody reads off; else as it stands."""
    part = Fraction(number)
    if number.as_tuple().exponent not in FINE or part.denominator not in TAPE:
        return f"{number:f}"
    whole, rest = divmod(part, 1)
    return f"{whole} {rest}" if whole else str(rest)

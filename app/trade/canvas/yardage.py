"""What a cut plan means for the roll: waste, length to take or to order, and the roll end that holds it."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from app.trade.bounds import says
from app.trade.canvas.laying import CutPlan, Strip, ToCut
from app.trade.canvas.outline import length_said
from app.trade.figure import COMMON_PRACTICE, Input, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import convert

END_WASTE = Decimal(150)  # mm for the ends of the roll; common practice
ASSUMED_USE = Decimal(75)  # percent of the cloth in pieces, while no plan is made; common practice
TENTH = Decimal("0.1")
WASTE, LEAST, OVER = "waste", "no plan can be under", "this plan is over it by"


def use_figure(plan: CutPlan, least: Decimal | None = None) -> Worked[Decimal]:
    """How much of the cloth is in pieces, in percent, with its waste.

    The plan must hold something. `least`: length in millimetres that no plan of the roll can be under, told
    with the gap to it; a roll end is not bought, so it has none. Source: common practice.
    """
    return Worked(
        name="of the cloth is in pieces",
        value=100 - plan.waste,
        says=says(100 - plan.waste, "percent", 1),
        formula="area of the pieces by usable width times length of the plan",
        inputs=(
            Input("pieces", f"{plain(plan.area / 1_000_000, 2)} m²"),
            Input("plan", f"{_metres(plan.strip.width)} by {_metres(plan.length)}"),
            Input(WASTE, says(plan.waste, "percent", 1)),
            *(() if least is None else _bound(plan, least)),
        ),
        source=COMMON_PRACTICE,
        unit="percent",
    )


def _bound(plan: CutPlan, least: Decimal) -> tuple[Input, ...]:
    over = max(plan.length - least, Decimal(0))  # of a plan as short as it can be: rounding
    told = says(over * 100 / least, "percent", 1) if least >= over else _metres(over)
    return Input(LEAST, _metres(least)), Input(OVER, f"{told} at most"), Input("found", plan.found)


def bound_said(use: Worked[Decimal]) -> str:
    """Waste of a `use_figure`, and least length and gap where it has them, in a line."""
    return "; ".join(f"{it.name} {it.says}" for it in use.inputs if it.name in (WASTE, LEAST, OVER))


def _metres(mm: Decimal) -> str:
    return says(mm / 1000, "m", 2)


def cloth_to_take(length_mm: Decimal, unit: str = "m", ends: Decimal = END_WASTE) -> Worked[Decimal]:
    """Length of cloth to take from a roll or to order, in metres or yards, rounded up to a tenth.

    `length_mm`: of the plan, over 0. `unit`: `m` or `yd`. `ends`: millimetres lost at the ends, 150 by
    common practice. Impossible for no length.
    """
    if not length_mm > 0 or ends < 0:
        raise Impossible("There is no length of cloth to take", "a plan longer than 0 mm")
    value = _rounded_up(_into(length_mm + ends, unit))
    return Worked(
        name="cloth to take",
        value=value,
        says=f"{value} {unit}",
        formula="length of the plan and the ends, rounded up to a tenth",
        inputs=(Input("plan", length_said(length_mm)), Input("for the ends", length_said(ends))),
        source=COMMON_PRACTICE,
        unit=unit,
    )


def _into(mm: Decimal, unit: str) -> Decimal:
    return convert(mm, "mm", "ft") / 3 if unit == "yd" else convert(mm, "mm", "m")


def _rounded_up(length: Decimal) -> Decimal:
    return length.quantize(TENTH, ROUND_CEILING)


def guessed_length(strip: Strip, pieces: Sequence[ToCut], use: Decimal = ASSUMED_USE) -> Worked[Decimal]:
    """Length of cloth to reckon with before a plan is made, in millimetres.

    `use`: percent of the cloth that will be in pieces, over 0 to 100; 75 by common practice.
    """
    if not 0 < use <= 100:
        raise Impossible(f"{use} percent of a cloth cannot be in pieces", "over 0 to 100 percent, such as 75")
    area = sum((piece.outline.area * piece.copies for piece in pieces), Decimal(0))
    value = area / strip.width / use * 100
    return Worked(
        name="cloth to reckon with",
        value=value,
        says=_metres(value),
        formula="area of the pieces by usable width, by the share that will be in pieces",
        inputs=(
            Input("pieces", f"{plain(area / 1_000_000, 2)} m²"),
            Input("usable width", length_said(strip.width)),
            Input("in pieces", says(use, "percent")),
        ),
        source=COMMON_PRACTICE,
        unit="mm",
        caution="A guess: a cut plan tells what it takes.",
    )


@dataclass(frozen=True)
class RollEnd:
    """An end of a roll in stock: its mark and its length in millimetres."""

    mark: str
    length: Decimal


def end_that_holds(length_mm: Decimal, ends: Sequence[RollEnd], spare: Decimal = END_WASTE) -> RollEnd | None:
    """The shortest roll end that a whole plan can be cut from, with `spare` for its ends; None if none is.

    All ends must be of the plan's cloth and width.
    """
    long_enough = [end for end in ends if end.length >= length_mm + spare]
    return min(long_enough, key=lambda end: (end.length, end.mark), default=None)

"""What a cut plan means for the roll: waste, length to take or to order, and what roll ends can give."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from app.trade.bounds import says
from app.trade.canvas.bottom_left import fill_end, left_over
from app.trade.canvas.laying import CutPlan, Strip, ToCut
from app.trade.canvas.least import at_least
from app.trade.canvas.outline import length_said
from app.trade.figure import COMMON_PRACTICE, Input, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import convert

END_WASTE = Decimal(150)  # mm for the ends of the roll; common practice
ASSUMED_USE = Decimal(75)  # percent of the cloth in pieces, while no plan is made; common practice
TENTH = Decimal("0.1")
WASTE, LEAST, OVER = "waste", "no plan can be under", "this plan is over it by"


def use_figure(plan: CutPlan, pieces: Sequence[ToCut]) -> Worked[Decimal]:
    """How much of the cloth is in pieces, in percent, with the waste, the least length and the gap to it.

    The plan must hold something. Source: common practice.
    """
    least = at_least(plan.strip, pieces).value
    over = plan.length - least
    return Worked(
        name="of the cloth is in pieces",
        value=100 - plan.waste,
        says=says(100 - plan.waste, "percent", 1),
        formula="area of the pieces by usable width times length of the plan",
        inputs=(
            Input("pieces", f"{plain(plan.area / 1_000_000, 2)} m²"),
            Input("plan", f"{_metres(plan.strip.width)} by {_metres(plan.length)}"),
            Input(WASTE, says(plan.waste, "percent", 1)),
            Input(LEAST, _metres(least)),
            Input(OVER, f"{says(over * 100 / least, 'percent', 1)} at most"),
            Input("found", plan.found),
        ),
        source=COMMON_PRACTICE,
        unit="percent",
    )


def bound_said(use: Worked[Decimal]) -> str:
    """Waste, least length and gap of a `use_figure`, in a line."""
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


@dataclass(frozen=True)
class FromEnds:
    """What is cut from roll ends, each with its plan, and the pieces that stay for the roll."""

    used: tuple[tuple[RollEnd, CutPlan], ...]
    rest: tuple[ToCut, ...]


def end_that_holds(length_mm: Decimal, ends: Sequence[RollEnd], spare: Decimal = END_WASTE) -> RollEnd | None:
    """The shortest roll end that a whole plan can be cut from, with `spare` for its ends; None if none is.

    All ends must be of the plan's cloth and width.
    """
    long_enough = [end for end in ends if end.length >= length_mm + spare]
    return min(long_enough, key=lambda end: (end.length, end.mark), default=None)


def cut_from_ends(strip: Strip, pieces: Sequence[ToCut], ends: Sequence[RollEnd]) -> FromEnds:
    """Pieces laid on the roll ends, the shortest end first, the largest piece that still fits first.

    Ends that give no piece are left out. The same input gives the same plans.
    """
    rest, used = tuple(pieces), []
    for end in sorted(ends, key=lambda it: (it.length, it.mark)):
        plan = fill_end(strip, end.length, rest)
        if plan.laid:
            used.append((end, plan))
            rest = left_over(plan, rest)
    return FromEnds(tuple(used), rest)

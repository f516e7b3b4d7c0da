"""The two planes of a wheel as seen from outside, and its runout unrolled: places as text, no markup.

Angles: degrees from the valve, against the clock. The inner plane is seen through the wheel, never mirrored.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.balance import Box, fit_weights
from app.trade.drawings import Circle, Point, arrow, curve, path, polygon
from app.trade.quantity import read_number
from app.trade.runout import even_stations, runout
from app.trade.vectors import Vector, total

TENTH = Decimal("0.1")
POSITIONS = tuple(Decimal(10 * step) for step in range(36))
REACH = 30
MOST_PROPOSED = {"oz": Decimal(16), "g": Decimal(450)}  # over this no set of weights is searched
MIDDLE = Point(Decimal(170), Decimal(170))
AIM = 45  # height of the runout's drawing, 0.001 in, where no reading is higher
LEFT, ZERO, WIDE, HIGH = Decimal(70), Decimal(104), Decimal(792), Decimal(76)


def _ring(radius: Decimal | int) -> Circle:
    return Circle(MIDDLE.x, MIDDLE.y, Decimal(radius))


def _paper_ring(radius: int, drop: int = 0) -> Circle:
    return Circle(Decimal(100), Decimal(100 + drop), Decimal(radius))


TICKS = "".join(path((_ring(122).at(angle), _ring(116).at(angle))) for angle in POSITIONS)


@dataclass(frozen=True)
class Tick:
    """One tick of the paper's wheel, a longer one with its word each 30 degrees."""

    line: str
    word: str
    at: Point


def paper_ticks() -> tuple[Tick, ...]:
    """Ticks of the wheel to write on, one each 10 degrees."""
    return tuple(_tick(angle) for angle in POSITIONS)


def _tick(angle: Decimal) -> Tick:
    named = angle % 30 == 0
    line = path((_paper_ring(74).at(angle), _paper_ring(84 if named else 79).at(angle)))
    return Tick(line, str(angle) if named else "", _paper_ring(92, 3).at(angle))


# A plane


@dataclass(frozen=True)
class WeightDrawn:
    """A weight on the rim: middle, turn of its block in degrees, its amount and where that stands."""

    at: Point
    turn: str
    amount: str
    word: Point


@dataclass(frozen=True)
class PlaneDrawn:
    """One plane: unbalance with its arrow, wanted direction, weights set or proposed, what they leave."""

    name: str
    says: str
    opposite: str
    amount: str
    word: Point
    line: str
    head: str
    ghost: str
    weights: tuple[WeightDrawn, ...]
    proposed: tuple[Vector, ...]
    left: str


def plane_drawn(
    name: str, heavy: Vector | None, put_on: Sequence[Vector], step: Decimal, unit: str
) -> PlaneDrawn:
    """A plane with its unbalance (None: not read yet), and the weights on it, else those proposed."""
    if heavy is None or not heavy.amount:
        says = "no reading yet" if heavy is None else "nothing to correct"
        return PlaneDrawn(name, says, "", "", MIDDLE, "", "", "", _weights(put_on), (), "")
    proposed = proposal(heavy, step, unit)
    tip = _ring(_reach(heavy.amount)).at(heavy.angle)
    drawn = arrow(MIDDLE, tip, Decimal(9), Decimal(0))
    on = put_on or proposed
    return PlaneDrawn(
        name=name,
        says=heavy.says(unit),
        opposite=heavy.opposite.says(unit),
        amount=f"{heavy.amount:f}",
        word=_ring(_reach(heavy.amount) + 14).at(heavy.angle - 14),
        line=path((drawn.start, drawn.end)),
        head=polygon(drawn.head),
        ghost=path((MIDDLE, _ring(112).at(heavy.opposite.angle))),
        weights=_weights(on),
        proposed=proposed,
        left=total([heavy, *on]).says(unit),
    )


def proposal(heavy: Vector, step: Decimal, unit: str) -> tuple[Vector, ...]:
    """Weights that leave the least, at most two piles within 30 degrees of where weight goes.

    Further apart two heavy piles could do as well by pulling against each other. Nothing is proposed over
    16 oz or 450 g.
    """
    if heavy.amount > MOST_PROPOSED[unit]:
        return ()
    wanted = heavy.opposite.angle
    near = tuple(angle for angle in POSITIONS if _apart(angle, wanted) <= REACH)
    return fit_weights(heavy, Box(step, unit, near)).value.weights


def _apart(one: Decimal, other: Decimal) -> Decimal:
    """Degrees between two angles, the short way round."""
    between = abs(one - other) % 360
    return min(between, 360 - between)


def _reach(amount: Decimal) -> Decimal:
    """Length of the arrow: 40 to 96, growing slower the heavier, so that no reading leaves the wheel."""
    return Decimal(40 + round(56 * (1 - math.exp(-float(amount) / 2))))


def _weights(weights: Sequence[Vector]) -> tuple[WeightDrawn, ...]:
    return tuple(
        WeightDrawn(_ring(140).at(each.angle), str(-each.angle), f"{each.amount:f}", _ring(98).at(each.angle))
        for each in weights
    )


# The runout


@dataclass(frozen=True)
class Square:
    """One reading of the dial: place, text, and its angle in words."""

    at: Point
    reading: str
    word: str


@dataclass(frozen=True)
class CurveDrawn:
    """The runout at the tread, unrolled from valve to valve: first harmonic, readings, total."""

    line: str
    through: str
    squares: tuple[Square, ...]
    tir: str
    high: str
    top: Decimal
    bottom: Decimal


def unrolled(texts: Sequence[str]) -> CurveDrawn:
    """The drawing of eight readings in 0.001 in; raises Impossible where one is no number."""
    readings = [read_number(text) for text in texts]
    found = runout(even_stations(readings), "thou").value
    scale = HIGH / max([Decimal(AIM), *(abs(reading) for reading in readings)])
    squares = _squares(texts, scale)
    return CurveDrawn(
        line=curve(found.mean, (found.high.amount, found.high.angle), Point(LEFT, ZERO), (WIDE, scale)),
        through=path([square.at for square in squares]),
        squares=squares,
        tir=f"{found.tir:f}",
        high=found.high.says("thou", 1),
        top=min(square.at.y for square in squares),
        bottom=max(square.at.y for square in squares),
    )


def _squares(texts: Sequence[str], scale: Decimal) -> tuple[Square, ...]:
    around = [*texts, texts[0]]
    step = WIDE / len(texts)
    return tuple(
        Square(
            Point((LEFT + step * turn).quantize(TENTH), (ZERO - read_number(text) * scale).quantize(TENTH)),
            text,
            "valve" if turn in (0, len(texts)) else str(360 * turn // len(texts)),
        )
        for turn, text in enumerate(around)
    )

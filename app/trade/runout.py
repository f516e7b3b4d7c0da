"""Runout: how far a wheel, tire or drum runs out of true, where it is high, and what is to blame.

Angles: degrees from the valve, against the clock, seen from outside. Readings of a dial indicator, larger
where the surface stands further out. Weights cure unbalance, never runout.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, plain
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, convert, with_unit
from app.trade.vectors import NOTHING, Vector, rounded, total, unit_at, vector_of

FEWEST, ENOUGH = 3, 8
LOCAL = 0.35  # share of the first harmonic that the rest may have before a dent is meant
LAW = Source("49 CFR", "570.10(b)")
LAW_LIMIT_IN = Decimal("0.125")
FOURIER = Source("harmonic analysis", "first harmonic by least squares")


@dataclass(frozen=True)
class Station:
    """One reading of the dial at an angle."""

    angle: Decimal
    reading: Decimal


@dataclass(frozen=True)
class Runout:
    """What one turn of readings says, all in the dial's unit.

    `tir`: largest less smallest reading. `high`: amplitude and high point of the first harmonic. `mean`: the
    middle. `rest`: root mean square of what the harmonic leaves. `local`: whether that points at a dent.
    """

    tir: Decimal
    high: Vector
    mean: Decimal
    rest: Decimal
    local: bool

    @property
    def swing(self) -> Decimal:
        """Peak to peak of the first harmonic."""
        return 2 * self.high.amount


def even_stations(readings: Sequence[Decimal]) -> tuple[Station, ...]:
    """Stations evenly spaced around the wheel, the first at the valve, against the clock."""
    step = Decimal(360) / max(len(readings), 1)
    return tuple(Station(turn * step, reading) for turn, reading in enumerate(readings))


def runout(stations: Sequence[Station], unit: str) -> Worked[Runout]:
    """Total indicator reading and first harmonic of one turn of readings.

    `stations`: at least 3 at different angles, 8 or more to tell a dent from a bend. With 3 the harmonic
    fits always and `rest` says nothing. Raises Impossible for fewer. Source: harmonic analysis.
    """
    if len({station.angle % 360 for station in stations}) < FEWEST:
        raise Impossible("Too few places around the wheel", "at least 3 different angles, better 8")
    found = _harmonic(stations)
    return Worked(
        name="runout",
        value=found,
        says=f"{with_unit(f'{found.tir:f}', unit)} total, first harmonic {found.high.says(unit, 1)}",
        formula="largest less smallest; least squares of mean + a cos + b sin",
        inputs=tuple(Input(f"at {plain(place.angle, 1)}°", f"{place.reading:f}") for place in stations),
        source=FOURIER,
        unit=unit,
        caution="Weights cure unbalance, never runout.",
    )


def _harmonic(stations: Sequence[Station]) -> Runout:
    values = [station.reading for station in stations]
    mean, high = _fitted(stations)
    rest = [
        float(station.reading) - mean - (high * unit_at(station.angle).conjugate()).real
        for station in stations
    ]
    rms = math.sqrt(sum(error * error for error in rest) / len(rest))
    local = len(stations) >= ENOUGH and rms > LOCAL * abs(high)
    return Runout(max(values) - min(values), vector_of(high), rounded(mean), rounded(rms), local)


def _fitted(stations: Sequence[Station]) -> tuple[float, complex]:
    """Mean and first harmonic by least squares, from the three normal equations."""
    rows = [(1.0, unit_at(place.angle).real, unit_at(place.angle).imag) for place in stations]
    values = [float(place.reading) for place in stations]
    left = [[sum(row[i] * row[j] for row in rows) for j in range(3)] for i in range(3)]
    right = [sum(row[i] * value for row, value in zip(rows, values, strict=True)) for i in range(3)]
    whole = _determinant(left)
    mean, cosine, sine = (_determinant(_with_column(left, i, right)) / whole for i in range(3))
    return mean, complex(cosine, sine)


def _with_column(square: list[list[float]], column: int, values: list[float]) -> list[list[float]]:
    return [
        [values[i] if j == column else number for j, number in enumerate(row)] for i, row in enumerate(square)
    ]


def _determinant(square: list[list[float]]) -> float:
    (a, b, c), (d, e, f), (g, h, i) = square
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)


# The verdict


class Where(StrEnum):
    """Where the dial stood."""

    STEEL_BEAD = "bead seat, steel wheel"
    ALLOY_BEAD = "bead seat, alloy wheel"
    TREAD = "tread, radial"
    SIDEWALL = "sidewall, lateral"


AIMS_IN = {
    Where.STEEL_BEAD: Decimal("0.045"),
    Where.ALLOY_BEAD: Decimal("0.030"),
    Where.TREAD: Decimal("0.060"),
    Where.SIDEWALL: Decimal("0.080"),
}


def runout_verdict(where: Where, tir: Decimal, unit: str) -> Worked[Decimal]:
    """Total indicator reading in inches with its grade.

    Bead seat over 1/8 in: needs work before towing (49 CFR 570.10(b)); over the shop's aim: needs work soon.
    Raises Impossible under 0.
    """
    if tir < 0:
        raise Impossible("A total reading cannot be under 0", "0 or more, such as 0.030 in")
    reading, inches = Quantity(f"{tir:f}", unit), convert(tir, unit, "in")
    by_law = where in (Where.STEEL_BEAD, Where.ALLOY_BEAD)
    return Worked(
        name=f"runout, {where.value}",
        value=inches,
        says=with_unit(plain(inches, 3), "in"),
        formula="largest less smallest reading of one turn",
        inputs=(Input("total reading", str(reading)),),
        source=LAW if by_law else COMMON_PRACTICE,
        unit="in",
        limit=f"aim {AIMS_IN[where]} in" + (f", at most {LAW_LIMIT_IN} in" if by_law else ""),
        verdict=_true_enough(reading, AIMS_IN[where], LAW_LIMIT_IN if by_law else None),
    )


def _true_enough(reading: Quantity, aim: Decimal, most: Decimal | None) -> Verdict:
    if most is not None and reading.over(most, "in"):
        return Verdict(Grade.NEEDS, f"Over {most} in: the wheel is bent or badly seated", By.TOWING)
    if reading.over(aim, "in"):
        return Verdict(
            Grade.NEEDS, f"Over the aim of {aim} in: seat the bead anew, then match-mount", By.SOON
        )
    return Verdict(Grade.SOUND, f"Inside the aim of {aim} in")


def question_runout(field: str, tir: Quantity) -> list[Problem]:
    """What to ask about a total reading: over 0.25 in is unlikely, under 0 impossible."""
    if tir.value < 0:
        return [Problem(field, "A total reading cannot be under 0", "0 or more, such as 0.030 in")]
    if not tir.over(Decimal("0.25"), "in"):
        return []
    return [Problem(field, f"{tir} is very much runout", "0 to 0.25 in", ask=True)]


# Wheel or tire


@dataclass(frozen=True)
class Blame:
    """Which part the first harmonic stays with, and how to turn the tire.

    `wheel`, `tire`: their parts of the runout as first mounted. `turn`: degrees to turn the tire on the
    wheel, against the clock from the first mounting. `best`, `worst`: amplitude that any turn can reach.
    """

    wheel: Vector
    tire: Vector
    turn: Decimal
    best: Decimal
    worst: Decimal

    @property
    def to_blame(self) -> str:
        """The part with the larger share: wheel or tire; both where they are within a tenth."""
        larger, smaller = max(self.wheel.amount, self.tire.amount), min(self.wheel.amount, self.tire.amount)
        if larger - smaller <= larger / 10:
            return "both"
        return "wheel" if larger == self.wheel.amount else "tire"


def blame(as_mounted: Vector, turned: Vector, unit: str) -> Worked[Blame]:
    """Wheel's and tire's part of the runout and the best turn of the tire, from two mountings.

    `as_mounted`: first harmonic at the tread; `turned`: the same with the tire turned by 180 degrees on the
    wheel. Angles from the valve both times. Source: vector halves of the two readings, common practice.
    """
    wheel = total([as_mounted, turned]).times(Decimal("0.5"))
    tire = total([as_mounted, turned.opposite]).times(Decimal("0.5"))
    best = abs(wheel.amount - tire.amount)
    found = Blame(wheel, tire, _turn(wheel, tire), best, wheel.amount + tire.amount)
    return Worked(
        name="wheel or tire",
        value=found,
        says=f"{found.to_blame}; turn the tire {plain(found.turn)}° against the clock",
        formula="wheel = (first + second) / 2; tire = (first - second) / 2; tire's high point on wheel's low",
        inputs=(
            Input("as mounted", as_mounted.says(unit, 1)),
            Input("tire turned 180°", turned.says(unit, 1)),
        ),
        source=COMMON_PRACTICE,
        unit=unit,
        limit=f"best {plain(best, 1)}, worst {with_unit(plain(found.worst, 1), unit)}",
        caution="Deflate the tire before unseating a bead.",
    )


def _turn(wheel: Vector, tire: Vector) -> Decimal:
    if NOTHING in (wheel, tire):
        return Decimal(0)
    return Vector(Decimal(1), wheel.angle + 180 - tire.angle).angle

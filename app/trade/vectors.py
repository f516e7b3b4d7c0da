"""An amount at an angle in the plane of a wheel: unbalance, weights, runout, vibration.

Angles everywhere in this room: degrees from the valve, against the clock, seen from outside the wheel.
The inner plane too is seen from outside, through the wheel, never mirrored.
"""

import cmath
import math
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit

DIGITS = 9  # kept after the point when trigonometry hands a number back


@dataclass(frozen=True)
class Vector:
    """An amount, zero or more, at an angle; the angle is brought into 0 up to 360, without 360.

    Raises Impossible for a negative amount and for what is no finite number.
    """

    amount: Decimal
    angle: Decimal

    def __post_init__(self) -> None:
        if not (self.amount.is_finite() and self.angle.is_finite()):
            raise Impossible("This is not a number", "an amount and an angle such as 1.25 oz at 215")
        if self.amount < 0:
            raise Impossible("An amount cannot be under 0", "0 or more; turn the angle by 180 instead")
        object.__setattr__(self, "angle", self.angle % 360 + (360 if self.angle % 360 < 0 else 0))

    @property
    def number(self) -> complex:
        """The vector as a complex number, the valve along the real axis."""
        return cmath.rect(float(self.amount), math.radians(float(self.angle)))

    @property
    def opposite(self) -> "Vector":
        """The same amount half a turn away: what cancels this one."""
        return Vector(self.amount, self.angle + 180)

    def times(self, factor: Decimal) -> "Vector":
        """The vector grown by a factor, zero or more."""
        return Vector(self.amount * factor, self.angle)

    def says(self, unit: str, places: int = 2) -> str:
        """Amount and angle for people, such as `0.75 oz at 20°`."""
        angle = round(self.angle) % 360
        return f"{with_unit(plain(self.amount, places), unit)} at {with_unit(str(angle), 'deg')}"


NOTHING = Vector(Decimal(0), Decimal(0))


def vector_of(number: complex) -> Vector:
    """The vector of a complex number, rounded to nine places; nothing has the angle 0."""
    amount = rounded(abs(number))
    return Vector(amount, rounded(math.degrees(cmath.phase(number)))) if amount else NOTHING


def rounded(number: float) -> Decimal:
    """A float as Decimal, rounded to nine places."""
    return Decimal(str(round(number, DIGITS))) + 0


def total(vectors: Iterable[Vector]) -> Vector:
    """The sum of vectors in one plane."""
    return vector_of(sum(vector.number for vector in vectors))


def unit_at(angle: Decimal) -> complex:
    """The complex number of length one at an angle."""
    return cmath.rect(1, math.radians(float(angle)))

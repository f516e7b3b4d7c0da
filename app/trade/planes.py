"""Planes of a wheel: static and couple unbalance, moving vectors between planes, radii and angles.

Angles: degrees from the valve, against the clock, seen from outside, in every plane. Places along the axle
grow towards the outside.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.balance import Box, Fit, fit_weights, residual_verdict
from app.trade.figure import COMMON_PRACTICE, Input, Source, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit
from app.trade.vectors import Vector, rounded, total, unit_at, vector_of

MECHANICS = Source("statics of rigid bodies")
VOCABULARY = Source("ISO 21940-2", "(terms, from memory)")
ADHESIVE_INSET_IN = Decimal("0.75")  # the barrel lies 0.5 to 1 in inside the flange
LEAST_SPREAD = Decimal("0.02")  # share of either half under which it counts as nothing
LEAST_SINE = 1e-9


# Static, couple, dynamic


@dataclass(frozen=True)
class Parts:
    """What two planes' unbalance is made of.

    `static`: the sum, as if in the middle. `couple`: the part in the outer plane of an equal and opposite
    pair. `kind`: static, couple, dynamic or none.
    """

    static: Vector
    couple: Vector
    kind: str


def parts(outer: Vector, inner: Vector, unit: str) -> Worked[Parts]:
    """Static and couple part of the unbalance in two planes, and what it is called.

    Both in `unit` (oz_in, g_mm, or mass at one radius). Weights in one plane cure the static part only.
    Source: ISO 21940-2 (terms), from memory.
    """
    static = total([outer, inner])
    couple = total([outer, inner.opposite]).times(Decimal("0.5"))
    found = Parts(static, couple, _kind(static, couple))
    return Worked(
        name="unbalance",
        value=found,
        says=f"{found.kind}: static {static.says(unit)}, couple {couple.says(unit)}",
        formula="static = outer + inner; couple = (outer - inner) / 2",
        inputs=(Input("outer plane", outer.says(unit)), Input("inner plane", inner.says(unit))),
        source=VOCABULARY,
        unit=unit,
    )


def _kind(static: Vector, couple: Vector) -> str:
    most = max(static.amount, couple.amount)
    held = static.amount > LEAST_SPREAD * most, couple.amount > LEAST_SPREAD * most
    names = {(True, True): "dynamic", (True, False): "static", (False, True): "couple"}
    return names.get(held, "none")


# From plane to plane


@dataclass(frozen=True)
class Held:
    """A vector at a place along the axle."""

    place: Decimal
    vector: Vector


def transfer(
    sources: Sequence[Held], outer: Decimal, inner: Decimal, unit: str
) -> Worked[tuple[Vector, Vector]]:
    """The same unbalance as it stands in two other planes, outer and inner; force and moment stay.

    Places in one unit of length, `outer` other than `inner`; any number of sources (two planes' unbalance,
    or the reactions of two bearings). Planes close together make errors grow. Raises Impossible for one
    plane twice. Source: statics.
    """
    if outer == inner:
        raise Impossible("The two planes are one", "two places along the axle, such as 0 and 5.5 in")
    moved = _lever(sources, inner, outer), _lever(sources, outer, inner)
    return Worked(
        name="unbalance in the planes",
        value=moved,
        says=f"outer {moved[0].says(unit)}, inner {moved[1].says(unit)}",
        formula="vector x distance to the other plane / distance of the planes, summed",
        inputs=(
            *(Input(f"at {held.place:f}", held.vector.says(unit)) for held in sources),
            Input("planes", f"outer {outer:f}, inner {inner:f}"),
        ),
        source=MECHANICS,
        unit=unit,
        caution="Planes close together make the errors of the readings grow.",
    )


def _lever(sources: Sequence[Held], other: Decimal, here: Decimal) -> Vector:
    span = float(here - other)
    return vector_of(sum(held.vector.number * float(held.place - other) / span for held in sources))


@dataclass(frozen=True)
class TwoPlanes:
    """The weights of both planes."""

    outer: Fit
    inner: Fit


def weights_for_two_planes(
    outer: Vector, inner: Vector, outer_box: Box, inner_box: Box, limit: Decimal | None = None
) -> Worked[TwoPlanes]:
    """Weights of both planes with the verdict on what they leave.

    `outer`, `inner`: unbalance in each plane as mass at its weights' radius, in the boxes' one unit; angle
    where the wheel is heavy. Source: common practice.
    """
    unit = outer_box.unit
    found = TwoPlanes(fit_weights(outer, outer_box).value, fit_weights(inner, inner_box).value)
    left = residual_verdict(found.outer.residual, found.inner.residual, unit, limit)
    return Worked(
        name="weights",
        value=found,
        says=f"outer {_said(found.outer, unit)}; inner {_said(found.inner, unit)}",
        formula="in each plane the set of weights that leaves the least, of all sets",
        inputs=(Input("outer plane", outer.says(unit)), Input("inner plane", inner.says(unit))),
        source=COMMON_PRACTICE,
        unit=unit,
        limit=left.limit,
        verdict=left.verdict,
    )


def _said(fit: Fit, unit: str) -> str:
    return ", ".join(weight.says(unit) for weight in fit.weights) or "nothing"


# Radii and angles


def clip_radius(rim_in: Decimal) -> Worked[Decimal]:
    """Radius of clip-on weights, inches: half the rim's nominal diameter. Source: common practice."""
    return _radius("clip-on radius", rim_in, Decimal(0))


def adhesive_radius(rim_in: Decimal, inset_in: Decimal = ADHESIVE_INSET_IN) -> Worked[Decimal]:
    """Radius of adhesive weights in the barrel, inches: half the rim less the inset, 0.5 to 1 in.

    Measure where it matters. Raises Impossible where nothing is left. Source: common practice.
    """
    return _radius("adhesive radius", rim_in, inset_in)


def _radius(name: str, rim_in: Decimal, inset: Decimal) -> Worked[Decimal]:
    radius = rim_in / 2 - inset
    if radius <= 0:
        raise Impossible("No radius is left", "a rim diameter such as 15 in")
    return Worked(
        name=name,
        value=radius,
        says=with_unit(plain(radius, 2), "in"),
        formula="rim diameter / 2 - inset",
        inputs=(Input("rim", with_unit(f"{rim_in:f}", "in")), Input("inset", with_unit(f"{inset:f}", "in"))),
        source=COMMON_PRACTICE,
        unit="in",
    )


def at_radius(weight: Vector, radius: Decimal, other: Decimal, unit: str) -> Worked[Vector]:
    """The weight that does at another radius what this one does here, at the same angle and plane.

    Radii in one unit, over 0. A weight that also sits in another plane needs `transfer`, not this.
    Raises Impossible for 0 or less. Source: statics.
    """
    if min(radius, other) <= 0:
        raise Impossible("A radius cannot be 0 or less", "such as 7.5 in")
    moved = weight.times(radius / other)
    return Worked(
        name="weight at the other radius",
        value=moved,
        says=moved.says(unit),
        formula="weight x radius / other radius",
        inputs=(
            Input("weight", weight.says(unit)),
            Input("radius", f"{radius:f}"),
            Input("other radius", f"{other:f}"),
        ),
        source=MECHANICS,
        unit=unit,
    )


def split_weight(weight: Vector, first: Decimal, second: Decimal, unit: str) -> Worked[tuple[Vector, Vector]]:
    """The two weights at two allowed angles that together act as one between them.

    The shorter way round from `first` to `second` must be under 180 degrees and hold the weight's angle.
    Raises Impossible otherwise. Source: statics (parallelogram of forces).
    """
    one, other = _shares(weight, unit_at(first), unit_at(second))
    pair = Vector(one, first), Vector(other, second)
    return Worked(
        name="split weight",
        value=pair,
        says=f"{pair[0].says(unit)} and {pair[1].says(unit)}",
        formula="weight x sine of the angle to the other place / sine of the angle between the places",
        inputs=(Input("weight", weight.says(unit)), Input("places", f"{first:f}° and {second:f}°")),
        source=MECHANICS,
        unit=unit,
    )


def _shares(weight: Vector, first: complex, second: complex) -> tuple[Decimal, Decimal]:
    across = (first.conjugate() * second).imag
    if abs(across) < LEAST_SINE:
        raise Impossible("These two places lie in one line", "two angles less than 180 degrees apart")
    one = rounded((weight.number.conjugate() * second).imag / across)
    other = rounded((first.conjugate() * weight.number).imag / across)
    if min(one, other) < 0:
        raise Impossible("The weight does not lie between these places", "a place on either side of it")
    return one, other

"""What unbalance does at road speed: turning rate, force, and the unbalance that ISO 21940-11 permits."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import By, Grade, Input, Source, Verdict, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import convert, with_unit
from app.trade.threads import PI

MECHANICS = Source("mechanics", "centrifugal force")
GRADES = Source("ISO 21940-11", "(from memory)")
CAR_WHEELS = Decimal(40)  # G 40: car wheels, wheel rims, wheel sets
LEAST_SHARE, MOST_SHARE = Decimal("0.3"), Decimal("0.7")
KM_H_PER_M_S = Decimal("3.6")


@dataclass(frozen=True)
class Rolling:
    """A wheel on the road: speed (mph or km_h) and rolling radius (in or mm), both over 0.

    The rolling radius of a radial tire is about 0.96 to 0.97 of its free radius. Raises Impossible otherwise.
    """

    speed: Decimal
    speed_unit: str
    radius: Decimal
    radius_unit: str

    def __post_init__(self) -> None:
        if min(self.speed, self.radius) <= 0:
            raise Impossible("A wheel rolls at a speed, on a radius", "60 mph and 14 in")

    @property
    def rate(self) -> Decimal:
        """Angular speed, radians a second."""
        metres = convert(self.radius, self.radius_unit, "m")
        return convert(self.speed, self.speed_unit, "km_h") / KM_H_PER_M_S / metres

    @property
    def inputs(self) -> tuple[Input, Input]:
        """Speed and radius as the inputs of a figure."""
        radius = with_unit(f"{self.radius:f}", self.radius_unit)
        return Input("speed", with_unit(f"{self.speed:f}", self.speed_unit)), Input("rolling radius", radius)


def turns_a_minute(rolling: Rolling) -> Worked[Decimal]:
    """Turns a minute of a wheel at a road speed. Source: mechanics."""
    turns = rolling.rate * 30 / PI
    return Worked(
        name="turns a minute",
        value=turns,
        says=with_unit(plain(turns), "rpm"),
        formula="60 x speed / (2 pi x rolling radius)",
        inputs=rolling.inputs,
        source=MECHANICS,
        unit="rpm",
    )


def force_at_speed(weight: Decimal, unit: str, radius_in: Decimal, rolling: Rolling) -> Worked[Decimal]:
    """Force, lbf, with which a weight out of balance pulls at road speed; double speed, four times the force.

    `weight`: 0 or more, in `unit` (oz, g); `radius_in`: its radius, inches, over 0. Raises Impossible
    otherwise. Source: mechanics.
    """
    if weight < 0 or radius_in <= 0:
        raise Impossible("A weight has a mass and a radius", "1 oz at 7.5 in")
    newtons = convert(weight, unit, "kg") * convert(radius_in, "in", "m") * rolling.rate**2
    force = convert(newtons, "N", "lbf")
    return Worked(
        name="force at speed",
        value=force,
        says=with_unit(plain(force, 1), "lbf"),
        formula="mass x radius x (speed / rolling radius)²",
        inputs=(
            Input("weight", with_unit(f"{weight:f}", unit)),
            Input("radius", with_unit(f"{radius_in:f}", "in")),
            *rolling.inputs,
        ),
        source=MECHANICS,
        unit="lbf",
    )


def permitted_unbalance(mass_kg: Decimal, turns: Decimal, grade: Decimal = CAR_WHEELS) -> Worked[Decimal]:
    """Unbalance that may stay in a rotor, g·mm: grade x mass / angular speed.

    `mass_kg`, `turns` (a minute) and `grade` (mm/s, 40 for car wheels) over 0; raises Impossible otherwise.
    Far looser at road speed than a shop's own limit. Source: ISO 21940-11, from memory.
    """
    if min(mass_kg, turns, grade) <= 0:
        raise Impossible("Mass, speed and grade are over 0", "25 kg, 720 turns a minute, grade 40")
    permitted = grade * mass_kg * 1000 / (turns * PI / 30)
    return Worked(
        name="permitted unbalance",
        value=permitted,
        says=with_unit(plain(permitted), "g_mm"),
        formula="grade x mass / angular speed",
        inputs=(
            Input("grade", f"G {grade:f}"),
            Input("mass", with_unit(f"{mass_kg:f}", "kg")),
            Input("turns a minute", plain(turns)),
        ),
        source=GRADES,
        unit="g_mm",
    )


def permitted_in_planes(
    permitted: Decimal, outer: Decimal, inner: Decimal, centre: Decimal
) -> Worked[tuple[Decimal, Decimal]]:
    """Shares of the permitted unbalance for the outer and the inner plane, by the lever of the mass centre.

    Places along the axle in one unit, the centre between the planes; each share is kept within 0.3 and 0.7.
    Raises Impossible otherwise. Source: ISO 21940-11, from memory.
    """
    if not min(outer, inner) <= centre <= max(outer, inner) or outer == inner:
        raise Impossible("The centre lies between two planes", "planes 0 and 5 in, centre 2 in")
    share = min(max((centre - inner) / (outer - inner), LEAST_SHARE), MOST_SHARE)
    shares = permitted * share, permitted * (1 - share)
    return Worked(
        name="permitted in each plane",
        value=shares,
        says=f"outer {plain(shares[0])}, inner {with_unit(plain(shares[1]), 'g_mm')}",
        formula="permitted x distance of the centre from the other plane / distance of the planes",
        inputs=(
            Input("permitted", with_unit(plain(permitted), "g_mm")),
            Input("planes", f"outer {outer:f}, inner {inner:f}"),
            Input("centre", f"{centre:f}"),
        ),
        source=GRADES,
        unit="g_mm",
    )


def residual_against_grade(residual: Decimal, permitted: Worked[Decimal]) -> Worked[Decimal]:
    """What stays, g·mm, against the permitted unbalance: over it needs work soon.

    Raises Impossible under 0. Source: ISO 21940-11, from memory.
    """
    if residual < 0:
        raise Impossible("An unbalance cannot be under 0", "0 or more g·mm")
    return Worked(
        name="left over",
        value=residual,
        says=with_unit(plain(residual), "g_mm"),
        formula="left over against permitted",
        inputs=permitted.inputs,
        source=GRADES,
        unit="g_mm",
        limit=f"at most {permitted.says}",
        verdict=_against(residual, permitted),
    )


def _against(residual: Decimal, permitted: Worked[Decimal]) -> Verdict:
    if residual > permitted.value:
        return Verdict(Grade.NEEDS, f"Over {permitted.says}", By.SOON)
    return Verdict(Grade.SOUND, f"At most {permitted.says}")

"""Axle by tape: square to the coupler, parallel to its neighbour, toe, camber, heights of the corners."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, as_printed
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

TRACK_LAW = Source("49 CFR", "393.70(a)")
HEIGHT_LAW = Source("COMAR", "11.14.05.03, side difference common practice")
CAUTION = (
    "Loaded, level, rolled forward and back, brakes off; the same pull on the tape both sides. A bent axle "
    "is never heated to straighten it."
)

SQUARE_MOST = Decimal("0.125")  # in between both tapes, common practice
TRACK_MOST = Decimal(3)  # in to either side of the tow vehicle's path
PARALLEL_MOST = Decimal("0.0625")  # in, axle to axle, common practice
TOE_MOST = Decimal("0.125")  # in over the tire, common practice
CAMBER_MOST, CAMBER_APART = Decimal(1), Decimal("0.5")  # degrees, loaded; between the sides
HEIGHTS_APART = Decimal(1)  # in from side to side


@dataclass(frozen=True)
class Tapes:
    """Coupler centre to the same point of the left and right spindle end, and the axle's own lengths.

    `between` spindle ends; `length` ball to axle. Raises Impossible for a length not above 0, or tapes that
    differ by as much as the axle is wide.
    """

    left: Quantity
    right: Quantity
    between: Quantity
    length: Quantity

    def __post_init__(self) -> None:
        for name, way in self.lengths:
            above_zero(name, way, "in")
        if abs(self.apart) >= self.between.to("in"):
            raise Impossible("The tapes cannot differ by that much", "both from the coupler's centre")
        if abs(self._sine) >= 1:
            raise Impossible("These lengths make no triangle", "all four in one unit, such as 195 3/8")

    @property
    def lengths(self) -> tuple[tuple[str, Quantity], ...]:
        """The lengths with their names."""
        return (
            ("Left tape", self.left),
            ("Right tape", self.right),
            ("Between spindle ends", self.between),
            ("Ball to axle", self.length),
        )

    @property
    def apart(self) -> Decimal:
        """Left tape less right one, in: above 0 where the left end is farther back."""
        return self.left.to("in") - self.right.to("in")

    @property
    def _sine(self) -> Decimal:
        squares = self.left.to("in") ** 2 - self.right.to("in") ** 2
        return squares / (2 * self.length.to("in") * self.between.to("in"))

    @property
    def degrees(self) -> Decimal:
        """How far the axle is turned, degrees; above 0 where the left end is farther back."""
        return _degrees(math.asin(float(self._sine)))

    @property
    def track(self) -> Decimal:
        """How far beside the tow vehicle's path the axle runs, in."""
        return abs(Decimal(str(math.tan(math.radians(float(self.degrees)))))) * self.length.to("in")


def _degrees(radians: float) -> Decimal:
    return Decimal(str(round(math.degrees(radians), 6)))


def axle_square(tapes: Tapes) -> Worked[Decimal]:
    """How far an axle is turned, in degrees, from two tapes; above 0 where its left end is farther back.

    Source: common practice for 1/8 in, 49 CFR 393.70(a) for 3 in beside the path.
    """
    return Worked(
        name="axle square",
        value=tapes.degrees,
        says=f"{says(abs(tapes.apart), 'in', 3)} apart, {says(abs(tapes.degrees), 'deg', 2)}",
        unit="deg",
        formula="arc sine of (left² − right²) ÷ (2 × ball to axle × between spindle ends)",
        inputs=tuple(Input(name, str(way)) for name, way in tapes.lengths),
        limit="tapes at most 1/8 in apart; path within 3 in",
        verdict=_square(tapes),
        source=TRACK_LAW,
        caution=CAUTION,
    )


def _square(tapes: Tapes) -> Verdict:
    apart = says(abs(tapes.apart), "in", 3)
    if as_printed(tapes.track, 1) > TRACK_MOST:
        says_so = f"{apart} apart: tracks {says(tapes.track, 'in', 1)} to the side, over 3 in"
        return Verdict(Grade.NEEDS, says_so, By.TOWING)
    if as_printed(abs(tapes.apart), 3) > SQUARE_MOST:
        end = "left" if tapes.apart > 0 else "right"
        return Verdict(Grade.NEEDS, f"{apart} apart, over 1/8 in: {end} end too far back", By.SOON)
    return Verdict(Grade.SOUND, f"tapes {apart} apart")


def axles_parallel(left: Quantity, right: Quantity) -> Worked[Decimal]:
    """Difference in inches between spindle and spindle of two axles, left less right; both above 0.

    Source: common practice.
    """
    apart = above_zero("Left, axle to axle", left, "in") - above_zero("Right, axle to axle", right, "in")
    over = as_printed(abs(apart), 4) > PARALLEL_MOST
    found = f"axles {says(abs(apart), 'in', 3)} out of parallel"
    return Worked(
        name="axles parallel",
        value=apart,
        says=says(abs(apart), "in", 3),
        unit="in",
        formula="spindle to spindle at the left − at the right",
        inputs=(Input("left", str(left)), Input("right", str(right))),
        limit="at most 1/16 in",
        verdict=Verdict(Grade.NEEDS, f"{found}, over 1/16 in", By.SOON) if over else _sound(found),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _sound(found: str) -> Verdict:
    return Verdict(Grade.SOUND, found)


def toe(front: Quantity, rear: Quantity, diameter: Quantity) -> Worked[Decimal]:
    """Toe of both wheels together in degrees, above 0 toe in, from the tread's middles front and rear.

    `diameter` of the tire where it was taken: inches of toe without it are no angle. All above 0, and the
    two not farther apart than the diameter, else Impossible. Source: common practice.
    """
    across = above_zero("Tire diameter", diameter, "in")
    found = above_zero("Rear of the tread", rear, "in") - above_zero("Front of the tread", front, "in")
    if abs(found) >= across:
        raise Impossible("The tread cannot differ by the tire's diameter", "such as 73 1/2 and 73 5/8 in")
    return Worked(
        name="toe",
        value=_degrees(math.asin(float(found / across))),
        says=f"{says(abs(found), 'in', 3)} toe {'in' if found >= 0 else 'out'}",
        unit="deg",
        formula="arc sine of (rear − front) ÷ tire diameter, both wheels together",
        inputs=(Input("front", str(front)), Input("rear", str(rear)), Input("tire diameter", str(diameter))),
        limit="at most 1/8 in, either way",
        verdict=_toe(found),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _toe(found: Decimal) -> Verdict:
    way = f"toe {says(abs(found), 'in', 3)} {'in' if found >= 0 else 'out'}"
    if as_printed(abs(found), 3) > TOE_MOST:
        return Verdict(Grade.NEEDS, f"{way}, over 1/8 in", By.SOON)
    return _sound(way)


def camber(left: Quantity, right: Quantity, height: Quantity) -> Worked[tuple[Decimal, Decimal]]:
    """Camber of both wheels in degrees, above 0 where the top leans out, from the gap to a square.

    `left`, `right`: gap at the top of the rim less gap at its bottom, negative where the bottom is farther
    out; `height` of the rim between both, above 0. Source: common practice.
    """
    tall = above_zero("Rim height", height, "in")
    sides = tuple(_degrees(math.atan(float(-gap.to("in") / tall))) for gap in (left, right))
    return Worked(
        name="camber",
        value=(sides[0], sides[1]),
        says=f"left {says(sides[0], 'deg', 2)}, right {says(sides[1], 'deg', 2)}",
        unit="deg",
        formula="arc tangent of (gap at the bottom − gap at the top) ÷ rim height",
        inputs=(
            Input("left, top − bottom", str(left)),
            Input("right, top − bottom", str(right)),
            Input("rim height", str(height)),
        ),
        limit="at most 1° loaded, at most 1/2° between the sides",
        verdict=_camber(sides[0], sides[1]),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _camber(left: Decimal, right: Decimal) -> Verdict:
    most = max(abs(left), abs(right))
    if as_printed(most, 2) > CAMBER_MOST:
        return Verdict(Grade.NEEDS, f"camber {says(most, 'deg', 2)}, over 1°: bent or overloaded", By.SOON)
    if as_printed(abs(left - right), 2) > CAMBER_APART:
        apart = says(abs(left - right), "deg", 2)
        return Verdict(Grade.NEEDS, f"camber {apart} apart, over 1/2°: one spindle is bent", By.SOON)
    return _sound(f"camber at most {says(most, 'deg', 2)}")


def corner_heights(heights: Mapping[str, tuple[Quantity, Quantity]]) -> Worked[Decimal]:
    """Greatest difference in inches between left and right, of pairs by their names ("front", "rear").

    At least one pair, heights at least 0, else Impossible. Source: Maryland's inspection rule, common
    practice.
    """
    if not heights:
        raise Impossible("No height was read", "left and right, front or rear")
    apart = {name: _apart(name, *pair) for name, pair in heights.items()}
    most = max(apart.values())
    where = next(name for name, each in apart.items() if each == most)
    return Worked(
        name="corner heights",
        value=most,
        says=f"{says(most, 'in', 2)} at the {where}",
        unit="in",
        formula="left − right, the greater of all pairs",
        inputs=tuple(Input(name, f"left {pair[0]}, right {pair[1]}") for name, pair in heights.items()),
        limit="at most 1 in from side to side",
        verdict=_heights(most, where),
        source=HEIGHT_LAW,
        caution=CAUTION,
    )


def _apart(name: str, left: Quantity, right: Quantity) -> Decimal:
    return abs(not_negative(f"Left {name}", left, "in") - not_negative(f"Right {name}", right, "in"))


def _heights(most: Decimal, where: str) -> Verdict:
    found = f"{says(most, 'in', 2)} from side to side at the {where}"
    if most > HEIGHTS_APART:
        return Verdict(Grade.NEEDS, f"{found}, over 1 in", By.SOON)
    return _sound(found)

"""Coupling: drop of the drawbar for a level trailer, and how level it stands when coupled."""

import math
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked, as_printed
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

LOWEST_IN, HIGHEST_IN = Decimal(8), Decimal(35)
NOSE_UP_MOST = Decimal(1)
LEVEL_CAUTION = "Loaded as towed, on level ground. A drawbar is turned over only where its maker allows it."


@dataclass(frozen=True)
class Stance:
    """Heights from the ground, loaded.

    `shank`: its top in the receiver, unhitched. `coupler_level`: socket top with the trailer level. `ball`:
    drawbar's platform to the top of the ball. `squat`: what the tow vehicle sinks there when coupled.
    Raises Impossible for a height outside 8 to 35 in.
    """

    shank: Quantity
    coupler_level: Quantity
    ball: Quantity
    squat: Quantity

    def __post_init__(self) -> None:
        for name, height in (("Shank", self.shank), ("Coupler", self.coupler_level)):
            if not LOWEST_IN <= height.to("in") <= HIGHEST_IN:
                raise Impossible(f"{name} at {height} cannot be", "8 to 35 in, such as 18 1/2")
        above_zero("Ball height", self.ball, "in")


@dataclass(frozen=True)
class Drawbar:
    """Drop in inches (negative is a rise), what is left over, and the nose angle that leaves, in degrees."""

    drop: Decimal
    left_over: Decimal
    degrees: Decimal


def ball_drop(stance: Stance, length: Quantity, step: Quantity) -> Worked[Drawbar]:
    """Drop of the drawbar, in inches and in its own steps, that sets the trailer level when coupled.

    `length` ball to trailer axle, `step` between the drawbar's holes; above 0. Left over above 0: ball high.
    Source: common practice.
    """
    wanted = (
        stance.shank.to("in") + stance.ball.to("in") - stance.coupler_level.to("in") - stance.squat.to("in")
    )
    each = above_zero("Step", step, "in")
    drop = (wanted / each).quantize(Decimal(1)) * each
    left = wanted - drop
    bar = Drawbar(drop, left, _degrees(left, above_zero("Ball to axle", length, "in")))
    return Worked(
        name="drawbar drop",
        value=bar,
        says=f"{'drop' if drop >= 0 else 'rise'} {says(abs(drop), 'in', 2)}",
        unit="in",
        formula="shank height + ball height − coupler height when level − squat, to the nearest step",
        inputs=(
            Input("shank, top", str(stance.shank)),
            Input("ball above the drawbar", str(stance.ball)),
            Input("coupler, trailer level", str(stance.coupler_level)),
            Input("squat", str(stance.squat)),
            Input("step", str(step)),
        ),
        source=COMMON_PRACTICE,
        caution=LEVEL_CAUTION,
    )


def _degrees(height: Decimal, length: Decimal) -> Decimal:
    return Decimal(str(round(math.degrees(math.atan2(float(height), float(length))), 4)))


def level_coupled(front: Quantity, rear: Quantity, *, tandem: bool) -> Worked[Decimal]:
    """How much the trailer's frame is nose up, in inches; negative is nose down.

    `tandem`: more than one axle, which a slope loads unevenly. Both at least 0. Source: common practice.
    """
    up = not_negative("Front height", front, "in") - not_negative("Rear height", rear, "in")
    return Worked(
        name="level, coupled",
        value=up,
        says=f"{says(abs(up), 'in', 2)} nose {'up' if up > 0 else 'down'}" if up else "level",
        unit="in",
        formula="frame height at the front − at the rear",
        inputs=(Input("front", str(front)), Input("rear", str(rear))),
        limit="nose up by at most 1 in",
        verdict=_level(up, tandem=tandem),
        source=COMMON_PRACTICE,
        caution=LEVEL_CAUTION,
    )


def _level(up: Decimal, *, tandem: bool) -> Verdict:
    if as_printed(up, 2) <= NOSE_UP_MOST:
        return Verdict(Grade.SOUND, "level, or nose down")
    by = By.TOWING if tandem else By.SOON
    return Verdict(Grade.NEEDS, f"{says(up, 'in', 2)} nose up, over 1 in", by)

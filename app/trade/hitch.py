"""Spring bars: axle loads before and after, and the tension that restores a share of the front axle."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

STATICS = Source("statics", "free bodies of tow vehicle and trailer, level and still")
CAUTION = (
    "The tow vehicle's book decides whether bars are allowed and how much they restore. They never reduce "
    "trailer, tongue or coupler loads and they raise the trailer's axle load: compare every rating again. "
    "Lift the joint with the jack so that hands stay clear of the bars."
)


@dataclass(frozen=True)
class Rig:
    """Tow vehicle and trailer, all measured level: weights alone, and lengths along the rig.

    `tongue` with bars slack; `overhang` rear axle to ball; `length` ball to the axle group's centre (tandem:
    its equalizer pivot); `lift` ball to where the bars are lifted; `axles` of the trailer, equalized.
    Raises Impossible for a length or weight not above 0, and a tongue weight over the trailer's.
    """

    front: Quantity
    rear: Quantity
    tongue: Quantity
    gross: Quantity
    wheelbase: Quantity
    overhang: Quantity
    length: Quantity
    lift: Quantity
    axles: int = 1

    def __post_init__(self) -> None:
        for name, weight in self.weights:
            above_zero(name, weight, "lb")
        for name, way in self.lengths:
            above_zero(name, way, "in")
        if self.tongue.to("lb") >= self.gross.to("lb"):
            raise Impossible("The tongue cannot weigh more than the trailer", f"under {self.gross}")
        if not 1 <= self.axles <= 3:
            raise Impossible(f"{self.axles} trailer axles cannot be", "1 to 3")

    @property
    def weights(self) -> tuple[tuple[str, Quantity], ...]:
        """Weights with their names."""
        return (
            ("Front axle alone", self.front),
            ("Rear axle alone", self.rear),
            ("Tongue weight", self.tongue),
            ("Trailer weight", self.gross),
        )

    @property
    def lengths(self) -> tuple[tuple[str, Quantity], ...]:
        """Lengths with their names."""
        return (
            ("Wheelbase", self.wheelbase),
            ("Rear axle to ball", self.overhang),
            ("Ball to trailer axle", self.length),
            ("Ball to bar lift", self.lift),
        )

    @property
    def inputs(self) -> tuple[Input, ...]:
        """What went in."""
        return tuple(Input(name, str(each)) for name, each in (*self.weights, *self.lengths))

    @property
    def span(self) -> tuple[Decimal, Decimal, Decimal]:
        """Wheelbase, overhang and ball to axle, in."""
        return self.wheelbase.to("in"), self.overhang.to("in"), self.length.to("in")

    @property
    def pull(self) -> Decimal:
        """Tongue weight, lb."""
        return self.tongue.to("lb")


@dataclass(frozen=True)
class AxleLoads:
    """Loads in lb: tow vehicle front and rear, each trailer axle, and what the ball itself carries."""

    front: Decimal
    rear: Decimal
    trailer_axles: tuple[Decimal, ...]
    on_ball: Decimal

    @property
    def trailer(self) -> Decimal:
        """All trailer axles, lb."""
        return sum(self.trailer_axles, Decimal(0))

    @property
    def total(self) -> Decimal:
        """Everything on the ground, lb."""
        return self.front + self.rear + self.trailer


@dataclass(frozen=True)
class Bars:
    """Moment of both bars about the ball, lb·in, and the lift at the end of each, lb."""

    moment: Decimal
    each: Decimal


def loads_under(rig: Rig, moment: Decimal) -> AxleLoads:
    """Axle loads with a bar moment in lb·in, 0 being slack. Tandem and triple axles share equally."""
    base, back, length = rig.span
    front = rig.front.to("lb") - rig.pull * back / base + moment * (length + back) / (base * length)
    rear = (
        rig.rear.to("lb")
        + rig.pull * (base + back) / base
        - moment * (base + length + back) / (base * length)
    )
    trailer = rig.gross.to("lb") - rig.pull + moment / length
    on_ball = rig.pull + moment / rig.lift.to("in") - moment / length
    return AxleLoads(front, rear, (trailer / rig.axles,) * rig.axles, on_ball)


def axle_loads(rig: Rig, restored: Decimal = Decimal(0)) -> Worked[AxleLoads]:
    """Axle loads in lb when the bars restore a share of the front axle's loss, 0 to 100 %; 0 is slack.

    Raises Impossible outside. Trailer axles share equally, which torsion axles do only when level.
    """
    found = loads_under(rig, bar_tension(rig, restored).value.moment)
    each = says(found.trailer_axles[0], "lb")
    return Worked(
        name="axle loads",
        value=found,
        says=f"front {says(found.front, 'lb')}, rear {says(found.rear, 'lb')}, trailer axle {each} each",
        unit="lb",
        formula="moments about the tow vehicle's rear axle and about the trailer's axle, bars included",
        inputs=(*rig.inputs, Input("front axle restored", says(restored, "percent"))),
        source=STATICS,
        caution=CAUTION,
    )


def bar_tension(rig: Rig, restored: Decimal) -> Worked[Bars]:
    """Lift at the end of each of two bars, in lb, that restores a share of the front axle's loss.

    `restored` 0 to 100 %, else Impossible: a chain cannot push, and more than was lost takes from steering.
    The moment does not depend on the wheelbase. Source: statics.
    """
    if not 0 <= restored <= 100:
        raise Impossible(f"{restored} % cannot be restored", "0 to 100 %, such as 50")
    _, back, length = rig.span
    moment = restored / 100 * rig.pull * back * length / (length + back)
    each = moment / (2 * rig.lift.to("in"))
    return Worked(
        name="bar tension",
        value=Bars(moment, each),
        says=f"{says(each, 'lb')} a bar",
        unit="lb",
        formula=(
            "share × tongue weight × overhang × ball to axle ÷ (ball to axle + overhang), "
            "divided by twice ball to bar lift"
        ),
        inputs=(*rig.inputs, Input("front axle restored", says(restored, "percent"))),
        source=STATICS,
        caution=CAUTION,
    )


def moment_by_tickets(rig: Rig, changes: Sequence[Decimal]) -> Worked[Decimal]:
    """Bar moment in lb·in that fits three changes best: front, rear, trailer, engaged less slack, lb.

    Least squares over the three. Raises Impossible for another number of changes.
    """
    if len(changes) != 3:
        raise Impossible(f"{len(changes)} changes cannot be fitted", "front, rear and trailer, in lb")
    base, back, length = rig.span
    parts = (
        (length + back) / (base * length),
        -(base + length + back) / (base * length),
        1 / length,
    )
    fitted = sum((part * change for part, change in zip(parts, changes, strict=True)), Decimal(0))
    moment = fitted / sum((part * part for part in parts), Decimal(0))
    return Worked(
        name="bar moment by tickets",
        value=moment,
        says=f"{says(moment, '')}\u00a0lb·in",
        unit="lb·in",
        formula="least squares of the three changes on what one lb·in changes each of them",
        inputs=(
            *rig.inputs,
            *(Input(f"{name} change", says(each, "lb")) for name, each in zip(NAMES, changes, strict=True)),
        ),
        source=STATICS,
        caution=CAUTION,
    )


NAMES = ("front", "rear", "trailer")


def restored_by_height(alone: Quantity, slack: Quantity, engaged: Quantity) -> Worked[Decimal]:
    """Front axle restored in percent, from the front fender's height alone, with bars slack and engaged.

    Raises Impossible where the fender did not rise when coupled. For springs of steady rate, not for air.
    """
    rise = not_negative("Height", slack, "in") - not_negative("Height", alone, "in")
    if rise <= 0:
        raise Impossible("The front did not rise when coupled", "slack higher than alone, such as 33 1/2 in")
    restored = 100 * (slack.to("in") - not_negative("Height", engaged, "in")) / rise
    return Worked(
        name="front axle restored, by height",
        value=restored,
        says=f"about {says(restored, 'percent')} by height",
        unit="percent",
        formula="(slack − engaged) ÷ (slack − alone) × 100",
        inputs=(
            Input("alone", str(alone)),
            Input("coupled, bars slack", str(slack)),
            Input("coupled, bars engaged", str(engaged)),
        ),
        source=STATICS,
        caution=CAUTION,
    )

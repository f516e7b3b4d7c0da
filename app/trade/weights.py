"""Scale tickets: tongue and trailer weight by passes over the scale, and what the spring bars gave back."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, pounds, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked, as_printed
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tongue import BALL_HITCH, Bands, tongue_share

ROOT_12 = Decimal(12).sqrt()  # a division rounds evenly, so its standard deviation is division ÷ √12
CAUTION = (
    "Same day, same people, fuel and cargo at every weighing. The least rating of plate, book and parts "
    "decides, and local law."
)
NOTHING = Quantity("0", "lb")
USUAL_DIVISION = Quantity("20", "lb")
FRONT_DIVISIONS = 3  # a front axle that rose by less cannot be measured on this scale
GOAL_BAND = Decimal(10)  # percentage points round the goal of the tow vehicle's book, common practice
TONGUE_FORMULA = "front and rear coupled, bars slack − front and rear of the tow vehicle alone"


@dataclass(frozen=True)
class Ticket:
    """One pass: tow vehicle front and rear, and the trailer's axles (nothing for the tow vehicle alone).

    Raises Impossible for a reading under 0.
    """

    front: Quantity
    rear: Quantity
    trailer: Quantity = NOTHING

    def __post_init__(self) -> None:
        for name, reading in self.readings:
            not_negative(name, reading, "lb")

    @property
    def readings(self) -> tuple[tuple[str, Quantity], ...]:
        """What stands on the ticket, with its name."""
        return ("Front axle", self.front), ("Rear axle", self.rear), ("Trailer axles", self.trailer)

    @property
    def tow(self) -> Decimal:
        """Both axles of the tow vehicle, lb."""
        return self.front.to("lb") + self.rear.to("lb")

    @property
    def on_trailer(self) -> Decimal:
        """All axles of the trailer, lb."""
        return self.trailer.to("lb")

    def __str__(self) -> str:
        return f"front {self.front}, rear {self.rear}, trailer {self.trailer}"


@dataclass(frozen=True)
class Weighing:
    """Passes over one scale: tow vehicle alone, coupled with bars slack, coupled with bars engaged.

    The last is left out where the hitch has no bars.
    Raises Impossible where the trailer's axles read nothing, or a reading is no whole division of the scale.
    """

    alone: Ticket
    slack: Ticket
    engaged: Ticket | None = None
    division: Quantity = USUAL_DIVISION

    def __post_init__(self) -> None:
        above_zero("Scale division", self.division, "lb")
        above_zero("Trailer axles, bars slack", self.slack.trailer, "lb")
        for ticket in filter(None, (self.alone, self.slack, self.engaged)):
            for name, reading in ticket.readings:
                self._whole(name, reading)

    def _whole(self, name: str, reading: Quantity) -> None:
        if reading.to(self.division.unit) % self.division.value:
            raise Impossible(f"{name} {reading} cannot stand on this scale", f"steps of {self.division}")

    @property
    def tongue(self) -> Decimal:
        """Weight on the ball with bars slack, lb; negative is tail-heavy."""
        return self.slack.tow - self.alone.tow

    @property
    def gross(self) -> Decimal:
        """The loaded trailer, lb."""
        return self.tongue + self.slack.on_trailer

    @property
    def unsure(self) -> Decimal:
        """Standard deviation of one reading, lb, from rounding alone."""
        return self.division.to("lb") / ROOT_12

    @property
    def share_unsure(self) -> Decimal:
        """Twice the standard deviation of the tongue share, percentage points."""
        by_tongue = self.slack.on_trailer * 2 * self.unsure
        by_axles = self.tongue * self.unsure
        return 200 * (by_tongue**2 + by_axles**2).sqrt() / self.gross**2

    @property
    def inputs(self) -> tuple[Input, ...]:
        """The tickets."""
        passes = (Input("tow vehicle alone", str(self.alone)), Input("coupled, bars slack", str(self.slack)))
        bars = () if self.engaged is None else (Input("coupled, bars engaged", str(self.engaged)),)
        return (*passes, *bars, Input("scale division", str(self.division)))


def tongue_weight(weighing: Weighing) -> Worked[Decimal]:
    """Weight on the ball in lb, bars slack, with twice its standard deviation. Source: common practice."""
    return Worked(
        name="tongue weight",
        value=weighing.tongue,
        says=f"{says(weighing.tongue, 'lb')} ± {says(4 * weighing.unsure, 'lb')}",
        unit="lb",
        formula=TONGUE_FORMULA,
        inputs=weighing.inputs,
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def trailer_weight(weighing: Weighing) -> Worked[Decimal]:
    """Weight of the loaded trailer in lb; unseen where the bars-engaged pass gives another one.

    Source: common practice; the two may differ by two divisions.
    """
    return Worked(
        name="trailer weight",
        value=weighing.gross,
        says=f"{says(weighing.gross, 'lb')} ± {says(2 * Decimal(5).sqrt() * weighing.unsure, 'lb')}",
        unit="lb",
        formula="tongue weight + trailer axles, bars slack",
        inputs=weighing.inputs,
        verdict=_agree(weighing),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _agree(weighing: Weighing) -> Verdict | None:
    if weighing.engaged is None:
        return None
    other = weighing.engaged.tow + weighing.engaged.on_trailer - weighing.alone.tow
    apart = abs(other - weighing.gross)
    if apart > 2 * weighing.division.to("lb"):
        return Verdict(Grade.UNSEEN, f"the weighings differ by {says(apart, 'lb')}: weigh again")
    return Verdict(Grade.SOUND, "both coupled weighings agree")


def share_by_tickets(weighing: Weighing, bands: Bands = BALL_HITCH) -> Worked[Decimal]:
    """Tongue share in percent from the tickets, bars slack, graded with the scale's doubt."""
    tongue, gross = pounds(weighing.tongue), pounds(weighing.gross)
    return tongue_share(tongue, gross, bands, weighing.share_unsure)


def moved_to_trailer(weighing: Weighing) -> Worked[Decimal]:
    """Weight in lb that the bars put back on the trailer's axles. Raises Impossible without that pass."""
    moved = _engaged(weighing).on_trailer - weighing.slack.on_trailer
    return Worked(
        name="moved to the trailer axles",
        value=moved,
        says=says(moved, "lb"),
        unit="lb",
        formula="trailer axles with bars engaged − bars slack",
        inputs=weighing.inputs,
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _engaged(weighing: Weighing) -> Ticket:
    if weighing.engaged is None:
        raise Impossible("There is no pass with the bars engaged", "a third ticket")
    return weighing.engaged


def front_restored(weighing: Weighing, goal: Decimal | None = None) -> Worked[Decimal | None]:
    """Part of the front axle's loss that the bars restored, in percent; None where the loss is too small.

    `goal`: percent of the tow vehicle's book. Raises Impossible without a pass with bars engaged.
    Source: common practice; over 100 % is not towed.
    """
    front = _engaged(weighing).front.to("lb") - weighing.slack.front.to("lb")
    lost = weighing.alone.front.to("lb") - weighing.slack.front.to("lb")
    measurable = lost >= FRONT_DIVISIONS * weighing.division.to("lb")
    restored = 100 * front / lost if measurable else None
    return Worked(
        name="front axle restored",
        value=restored,
        says="too small to measure" if restored is None else f"about {says(restored, 'percent')}",
        unit="percent",
        formula="(front with bars engaged − bars slack) ÷ (front alone − bars slack) × 100",
        inputs=weighing.inputs,
        limit="at most 100 %" if goal is None else f"{goal} % by the book, at most 100 %",
        verdict=restored_verdict(restored, goal),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def restored_verdict(restored: Decimal | None, goal: Decimal | None) -> Verdict:
    """What a restored share in percent means; None was too small to measure. `goal`: percent of the book.

    Source: common practice; over 100 % is not towed.
    """
    if restored is None:
        return Verdict(Grade.UNSEEN, "the front axle rose by less than the scale can show")
    restored = as_printed(restored)
    found = says(restored, "percent")
    if restored < 0:
        return Verdict(Grade.UNSEEN, f"{found}: bars or tickets are the wrong way round")
    if restored > 100:
        return Verdict(Grade.DNT, f"{found}: more than the front axle lost, set the bars back")
    if goal is not None and abs(restored - goal) > GOAL_BAND:
        return Verdict(Grade.NEEDS, f"{found}, the book says {goal} %: set the bars again", By.SOON)
    return Verdict(Grade.SOUND, f"{found} restored")

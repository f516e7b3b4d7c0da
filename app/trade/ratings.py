"""Ratings of trailer, hitch and tow vehicle: the least of all governs, never their mean."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import Grade, Input, Source, Verdict, Worked, as_printed
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

RULE = Source("49 CFR", "571.3, weight ratings")
CAUTION = (
    "A computed margin is no permission to tow: plate, book and local law decide, and the least rating wins."
)


@dataclass(frozen=True)
class Compared:
    """A rating against the load that rests on it.

    `rating` None: not legible, and never taken from the next one.
    Raises Impossible for a rating not above 0 or a load under 0.
    """

    name: str
    rating: Quantity | None
    load: Quantity
    read_from: str = ""

    def __post_init__(self) -> None:
        not_negative(self.name, self.load, "lb")
        if self.rating is not None:
            above_zero(self.name, self.rating, "lb")

    @property
    def margin(self) -> Decimal | None:
        """Room left in lb, negative where it is over."""
        return None if self.rating is None else self.rating.to("lb") - self.load.to("lb")

    @property
    def use(self) -> Decimal | None:
        """Load over rating."""
        return None if self.rating is None else self.load.to("lb") / self.rating.to("lb")

    @property
    def says(self) -> str:
        """Load, rating and where it was read."""
        rated = "rating not legible" if self.rating is None else f"rating {self.rating}"
        place = f", {self.read_from}" if self.read_from else ""
        return f"{self.load}, {rated}{place}"


def governing_rating(compared: Sequence[Compared], doubt: Quantity | None = None) -> Worked[Compared | None]:
    """The rating that is used most, with its margin; None where no rating can be read.

    `compared`: at least one, else Impossible. `doubt`: what the scale leaves open either way; over or under
    by less cannot be told apart and is held. Source: 49 CFR 571.3 for what GVWR and GAWR mean.
    """
    if not compared:
        raise Impossible("There is no rating to compare", "the plate's rating and a weight")
    known = [each for each in compared if each.use is not None]
    least = max(known, key=lambda each: each.use or Decimal(0), default=None)
    return Worked(
        name="governing rating",
        value=least,
        says="no rating can be read" if least is None else _margin(least),
        formula="rating − load for each; the one used most governs",
        inputs=tuple(Input(each.name, each.says) for each in compared),
        limit="no load over its rating",
        verdict=_rated(compared, least, Decimal(0) if doubt is None else doubt.to("lb")),
        source=RULE,
        caution=CAUTION,
    )


def _margin(least: Compared) -> str:
    margin = least.margin or Decimal(0)
    side = "left" if margin >= 0 else "over"
    return f"{least.name}: {says(abs(margin), 'lb')} {side}"


def _rated(compared: Sequence[Compared], least: Compared | None, doubt: Decimal) -> Verdict:
    missing = ", ".join(each.name for each in compared if each.margin is None)
    if least is None:
        return Verdict(Grade.UNSEEN, f"not legible: {missing}")
    close = [each for each in compared if each.margin is not None and as_printed(each.margin) < doubt]
    if close:
        return _over(min(close, key=lambda each: each.margin or Decimal(0)), doubt)
    if missing:
        return Verdict(Grade.UNSEEN, f"{_margin(least)}; not legible: {missing}")
    return Verdict(Grade.SOUND, _margin(least))


def _over(worst: Compared, doubt: Decimal) -> Verdict:
    if worst.margin is not None and as_printed(worst.margin) < -doubt:
        return Verdict(Grade.DNT, f"{_margin(worst)}: unload")
    return Verdict(Grade.DNT, f"{_margin(worst)}, closer than the scale tells: weigh it better or unload")


@dataclass(frozen=True)
class Limit:
    """Something that limits the trailer: `room` in lb, of which each lb of trailer takes `part`."""

    name: str
    room: Decimal
    part: Decimal = Decimal(1)

    @property
    def trailer(self) -> Decimal:
        """Greatest trailer weight by this limit, lb."""
        return self.room / self.part


def largest_trailer(limits: Sequence[Limit]) -> Worked[Limit]:
    """The limit that allows the least trailer weight; its `trailer` is that weight in lb.

    `limits`: at least one, each with a part above 0, else Impossible. A room under 0 allows no trailer.
    Parts of a trailer of tongue share p, bars slack: gross 1, tongue p, axles 1 − p, tow vehicle p,
    its rear axle p × (1 + overhang ÷ wheelbase). Source: statics.
    """
    if not limits or any(limit.part <= 0 for limit in limits):
        raise Impossible("There is nothing that limits the trailer", "at least one rating")
    least = min(limits, key=lambda limit: limit.trailer)
    return Worked(
        name="largest trailer",
        value=least,
        says=f"{says(max(least.trailer, Decimal(0)), 'lb')}, by {least.name}",
        unit="lb",
        formula="room of each limit ÷ the part of the trailer's weight that rests on it; the least governs",
        inputs=tuple(
            Input(each.name, f"{says(each.room, 'lb')} ÷ {says(each.part, '', 4)}") for each in limits
        ),
        source=RULE,
        caution=CAUTION,
    )

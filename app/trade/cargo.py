"""Cargo: room under the rating, and what moving, adding or taking off a thing does to the tongue."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, pounds, says
from app.trade.figure import COMMON_PRACTICE, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tongue import BALL_HITCH, Bands, tongue_share

LABEL_RULE = Source("49 CFR", "571.120 S10 and 571.110 S9")
WATER_LB_PER_GAL = Decimal("8.34")
ADDED_MOST_LB, ADDED_SHARE = Decimal(100), Decimal("0.015")
CAUTION = (
    "Weigh again after moving cargo, with the water that is travelled with; every rating is compared anew."
)


@dataclass(frozen=True)
class Balance:
    """A trailer as weighed: tongue and gross in lb, and inches from the ball to the axle group's centre.

    Raises Impossible where gross or length is not above 0.
    """

    tongue: Quantity
    gross: Quantity
    length: Quantity

    def __post_init__(self) -> None:
        above_zero("Trailer weight", self.gross, "lb")
        above_zero("Ball to axle", self.length, "in")

    @property
    def inches(self) -> Decimal:
        """Ball to axle, in."""
        return self.length.to("in")

    def changed(self, tongue: Decimal, gross: Decimal) -> "Balance":
        """The same trailer with so much more on the tongue and in all, lb."""
        on_ball, in_all = self.tongue.to("lb") + tongue, self.gross.to("lb") + gross
        return Balance(pounds(on_ball), pounds(in_all), self.length)

    def share(self, bands: Bands = BALL_HITCH) -> Worked[Decimal]:
        """Tongue share in percent, graded."""
        return tongue_share(self.tongue, self.gross, bands)


def move_forward(trailer: Balance, mass: Quantity, forward: Quantity) -> Balance:
    """The trailer with a thing moved towards the ball (negative: rearward). Statics about the axle.

    Raises Impossible for a mass not above 0 or over the trailer's, and a way over one and a half lengths.
    """
    mass_lb = _thing(trailer, mass)
    way = _near(trailer, forward.to("in"), "Moving by")
    return trailer.changed(mass_lb * way / trailer.inches, Decimal(0))


def put_in(trailer: Balance, mass: Quantity, station: Quantity) -> Balance:
    """The trailer with a thing added at `station`, inches behind the ball. Statics about the axle.

    Raises Impossible for a mass not above 0 or over the trailer's, and a place too far from the axle.
    """
    mass_lb = _thing(trailer, mass)
    return trailer.changed(mass_lb * _lever(trailer, station), mass_lb)


def take_out(trailer: Balance, mass: Quantity, station: Quantity) -> Balance:
    """The trailer with a thing at `station` taken off; else as `put_in`."""
    mass_lb = _thing(trailer, mass)
    return trailer.changed(-mass_lb * _lever(trailer, station), -mass_lb)


def moment_to_reach(trailer: Balance, share: Decimal) -> Worked[Decimal]:
    """Weight × way forward, in lb·in, that brings the tongue to a share in percent; negative is rearward."""
    wanted = share / 100 * trailer.gross.to("lb") - trailer.tongue.to("lb")
    moment = wanted * trailer.inches
    return Worked(
        name="cargo to move",
        value=moment,
        says=f"{says(moment, '')}\u00a0lb·in",
        unit="lb·in",
        formula="(share wanted × trailer weight − tongue weight) × ball to axle",
        inputs=(*_inputs(trailer), Input("share wanted", says(share, "percent", 1))),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def mass_to_reach(trailer: Balance, share: Decimal, station: Quantity) -> Worked[Decimal]:
    """Weight in lb to put in at `station` to reach a share in percent; negative means take out.

    Raises Impossible where nothing at that place can change the share so.
    """
    part = share / 100
    lever = _lever(trailer, station) - part
    if not lever:
        raise Impossible(f"Nothing at {station} brings the share to {share} %", "another place")
    mass_lb = (part * trailer.gross.to("lb") - trailer.tongue.to("lb")) / lever
    return Worked(
        name="cargo to put in" if mass_lb >= 0 else "cargo to take out",
        value=mass_lb,
        says=says(abs(mass_lb), "lb", 1),
        unit="lb",
        formula=(
            "(share × trailer weight − tongue weight) ÷ ((ball to axle − place) ÷ ball to axle − share)"
        ),
        inputs=(*_inputs(trailer), Input("place behind the ball", str(station))),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _inputs(trailer: Balance) -> tuple[Input, ...]:
    return (
        Input("tongue weight", str(trailer.tongue)),
        Input("trailer weight", str(trailer.gross)),
        Input("ball to axle", str(trailer.length)),
    )


def _thing(trailer: Balance, mass: Quantity) -> Decimal:
    mass_lb = above_zero("Weight", mass, "lb")
    if mass_lb > trailer.gross.to("lb"):
        raise Impossible(f"{mass} is more than the trailer", f"at most {trailer.gross}")
    return mass_lb


def _lever(trailer: Balance, station: Quantity) -> Decimal:
    return _near(trailer, trailer.inches - station.to("in"), "A place off the axle by") / trailer.inches


def _near(trailer: Balance, way: Decimal, name: str) -> Decimal:
    if abs(way) > trailer.inches * Decimal("1.5"):
        raise Impossible(
            f"{name} {says(abs(way), 'in')} cannot be", "up to one and a half times ball to axle"
        )
    return way


def cargo_room(
    rating: Quantity, empty: Quantity, aboard: Sequence[tuple[str, Quantity]] = ()
) -> Worked[Decimal]:
    """Weight in lb that may still be loaded; negative is over, and not towed until unloaded.

    `rating`: GVWR, above 0; `empty`: as weighed or from the label, above 0; `aboard`: what is in it and not
    in `empty` (water, gas, added gear), each at least 0. Source: 49 CFR 571.120 S10, 571.110 S9.
    """
    taken = sum((not_negative(name, each, "lb") for name, each in aboard), Decimal(0))
    left = above_zero("GVWR", rating, "lb") - above_zero("Empty weight", empty, "lb") - taken
    return Worked(
        name="cargo room",
        value=left,
        says=says(left, "lb", 1),
        unit="lb",
        formula="GVWR − empty weight − what is aboard",
        inputs=(
            Input("GVWR", str(rating)),
            Input("empty weight", str(empty)),
            *(Input(name, str(each)) for name, each in aboard),
        ),
        limit="at least 0 lb",
        verdict=_room(left),
        source=LABEL_RULE,
        caution="Read what the label already counts: old ones take water and gas off, newer ones do not.",
    )


def _room(left: Decimal) -> Verdict:
    if left < 0:
        return Verdict(Grade.DNT, f"{says(-left, 'lb', 1)} over the rating: unload")
    return Verdict(Grade.SOUND, f"{says(left, 'lb', 1)} left")


def water_lb(gallons: Decimal) -> Decimal:
    """Weight of fresh water in lb, 8.34 lb a US gallon."""
    return gallons * WATER_LB_PER_GAL


def label_threshold(rating: Quantity) -> Decimal:
    """Added weight in lb above which the cargo label is corrected before the first sale.

    The lesser of 1.5 % of GVWR and 100 lb. Source: 49 CFR 571.120 S10, 72 FR 68442.
    """
    return min(ADDED_MOST_LB, ADDED_SHARE * above_zero("GVWR", rating, "lb"))

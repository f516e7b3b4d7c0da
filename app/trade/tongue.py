"""Tongue weight: its share of the trailer, and the small scale with a beam that finds it."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked, as_printed, heaviest
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

CAUTION = (
    "Weighed as towed, level, bars slack. Tail-heavy, the tongue flies up when uncoupled: chock first. "
    "The tow vehicle's own book goes before these bands."
)
LEAST_SHARE, MOST_SHARE = Decimal(-20), Decimal(60)  # percent, outside it a ticket was misread


@dataclass(frozen=True)
class Bands:
    """Shares in percent: under `hold` it is not towed; `low` to `high` is the usual band."""

    hold: Decimal
    low: Decimal
    high: Decimal

    @property
    def limit(self) -> str:
        """The bands in words."""
        return f"{self.low} to {self.high} %; under {self.hold} % it is not towed"


BALL_HITCH = Bands(Decimal(5), Decimal(10), Decimal(15))
BOAT = Bands(Decimal(4), Decimal(5), Decimal(15))
BANDS = {"travel": BALL_HITCH, "tent": BALL_HITCH, "cargo": BALL_HITCH, "utility": BALL_HITCH, "boat": BOAT}


def tongue_share(
    tongue: Quantity, gross: Quantity, bands: Bands = BALL_HITCH, doubt: Decimal = Decimal(0)
) -> Worked[Decimal]:
    """Tongue weight as a share of the loaded trailer, in percent, and whether it tows.

    `tongue` with bars slack, may be negative (tail-heavy); `gross` above 0; a share outside -20 to 60 %
    raises Impossible. `doubt`: percentage points either way from the scale; across a limit the worse
    grade counts. Source: common practice.
    """
    share = 100 * tongue.to("lb") / above_zero("Trailer weight", gross, "lb")
    if not LEAST_SHARE <= share <= MOST_SHARE:
        raise Impossible(f"A share of {says(share, 'percent', 1)} cannot be", "both weights in one unit")
    return Worked(
        name="tongue share",
        value=share,
        says=says(share, "percent", 1) + (f" ± {says(doubt, '', 1)}" if doubt else ""),
        unit="percent",
        formula="tongue weight ÷ trailer weight × 100",
        inputs=(Input("tongue weight, bars slack", str(tongue)), Input("trailer weight", str(gross))),
        limit=bands.limit,
        verdict=_share(share, bands, doubt),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _share(share: Decimal, bands: Bands, doubt: Decimal) -> Verdict:
    grade = heaviest([_grade(share - doubt, bands), _grade(share, bands), _grade(share + doubt, bands)])
    near = "" if grade is _grade(share, bands) else ", too near the limit to tell: weigh it better"
    found = _said(share, bands)
    if grade is Grade.DNT:
        return Verdict(grade, f"{found}, hold under {bands.hold} %{near}")
    if grade is Grade.NEEDS:
        return Verdict(grade, f"{found}, outside {bands.low} to {bands.high} %{near}", By.SOON)
    return Verdict(grade, f"{found}, inside {bands.low} to {bands.high} %")


def _said(share: Decimal, bands: Bands) -> str:
    """A share to a tenth; to a hundredth where it would read like a limit that it is not."""
    ends = (bands.hold, bands.low, bands.high)
    places = 2 if share not in ends and as_printed(share, 1) in ends else 1
    return says(share, "percent", places)


def _grade(share: Decimal, bands: Bands) -> Grade:
    if share < bands.hold:
        return Grade.DNT
    return Grade.SOUND if bands.low <= share <= bands.high else Grade.NEEDS


@dataclass(frozen=True)
class Beam:
    """A beam on a fixed support: the coupler at `load`, the scale at `scale`, both from the support.

    `reading` is net of the beam. Raises Impossible where the scale is not beyond the load.
    """

    reading: Quantity
    load: Quantity
    scale: Quantity

    def __post_init__(self) -> None:
        above_zero("Reading", self.reading, "lb")
        if self.scale.to("in") <= above_zero("Support to coupler", self.load, "in"):
            raise Impossible(
                "The scale must stand farther from the support than the coupler", "such as 48 in"
            )

    @property
    def factor(self) -> Decimal:
        """How many times the reading the load is."""
        return self.scale.to("in") / self.load.to("in")


def by_beam(beam: Beam) -> Worked[Decimal]:
    """Weight under the coupler in lb, found with a small scale and a beam. Source: the law of the lever."""
    weight = beam.reading.to("lb") * beam.factor
    return Worked(
        name="tongue weight by beam",
        value=weight,
        says=says(weight, "lb"),
        unit="lb",
        formula="reading × (support to scale ÷ support to coupler)",
        inputs=(
            Input("reading, net of the beam", str(beam.reading)),
            Input("support to coupler", str(beam.load)),
            Input("support to scale", str(beam.scale)),
        ),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def by_jack(on_jack: Quantity, behind_ball: Quantity, ball_to_axle: Quantity) -> Worked[Decimal]:
    """Weight on the ball in lb, from the load under a jack foot behind it; the jack's is more.

    All above 0, and the jack ahead of the axle, else Impossible. Source: moments about the axle.
    """
    length, back = above_zero("Ball to axle", ball_to_axle, "in"), above_zero("Jack", behind_ball, "in")
    if back >= length:
        raise Impossible("A jack behind the axle carries no tongue weight", f"less than {ball_to_axle}")
    weight = above_zero("Load on the jack", on_jack, "lb") * (length - back) / length
    return Worked(
        name="tongue weight by jack",
        value=weight,
        says=says(weight, "lb"),
        unit="lb",
        formula="load on the jack × (ball to axle − ball to jack) ÷ ball to axle",
        inputs=(
            Input("load on the jack", str(on_jack)),
            Input("ball to jack", str(behind_ball)),
            Input("ball to axle", str(ball_to_axle)),
        ),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )

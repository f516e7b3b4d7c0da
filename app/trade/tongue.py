"""Tongue weight: its share of the trailer, and the small scale with a beam that finds it."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked, heaviest
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
    found = says(share, "percent", 1)
    if grade is Grade.DNT:
        return Verdict(grade, f"{found}, hold under {bands.hold} %{near}")
    if grade is Grade.NEEDS:
        return Verdict(grade, f"{found}, outside {bands.low} to {bands.high} %{near}", By.SOON)
    return Verdict(grade, f"{found}, inside {bands.low} to {bands.high} %")


def _grade(share: Decimal, bands: Bands) -> Grade:
    if share < bands.hold:
        return Grade.DNT
    return Grade.SOUND if bands.low <= share <= bands.high else Grade.NEEDS

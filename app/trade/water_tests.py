"""Water: a pipe held under pressure, and a spray long enough to find what leaks."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked, as_printed
from app.trade.quantity import Quantity

HOLD_MIN, FALL_MOST = Decimal(15), Decimal(5)  # min and psi, common practice
PRESSURE = (Decimal(35), Decimal(60))  # psi that a trailer's pipes are tested at
CAUTION = (
    "Pump and water heater off, and shore power out where water met wire. Let pressure go before opening."
)
SPRAY_CAUTION = (
    "Shore power out before the spray, and until wires and outlets are dry. "
    "A raised roof is propped before anybody goes under it."
)


@dataclass(frozen=True)
class Held:
    """A shut water system watched for a time; pressures at least 0, time above 0."""

    start: Quantity
    end: Quantity
    minutes: Quantity

    def __post_init__(self) -> None:
        above_zero("Time", self.minutes, "min")
        not_negative("Pressure at the start", self.start, "psi")
        not_negative("Pressure at the end", self.end, "psi")

    @property
    def fall(self) -> Decimal:
        """What it lost, psi."""
        return self.start.to("psi") - self.end.to("psi")


def water_hold(held: Held) -> Worked[Decimal]:
    """Fall in psi of a shut water system; too short or at another pressure it proves nothing.

    Source: common practice.
    """
    return Worked(
        name="water pressure hold",
        value=held.fall,
        says=f"{says(held.fall, 'psi', 1)} in {held.minutes}",
        unit="psi",
        formula="pressure at the start − at the end",
        inputs=(
            Input("start", str(held.start)),
            Input("end", str(held.end)),
            Input("time", str(held.minutes)),
        ),
        limit="at most 5 psi in 15 min, from 35 to 60 psi",
        verdict=_hold(held),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _hold(held: Held) -> Verdict:
    found = f"fell {says(held.fall, 'psi', 1)}"
    if as_printed(held.fall, 1) > FALL_MOST:
        return Verdict(Grade.NEEDS, f"{found}, over 5 psi: it leaks", By.SOON)
    if held.minutes.under(HOLD_MIN, "min"):
        return Verdict(Grade.UNSEEN, f"{held.minutes} of 15 min: too short to prove anything")
    if held.start.under(PRESSURE[0], "psi") or held.start.over(PRESSURE[1], "psi"):
        return Verdict(Grade.UNSEEN, f"{held.start} is not the pressure of this test, 35 to 60 psi")
    if held.fall < 0:
        return Verdict(Grade.UNSEEN, "pressure rose: the supply is not shut")
    return Verdict(Grade.SOUND, f"{found} in {held.minutes}")


def sprayed(minutes: Quantity, least: Decimal) -> Worked[Decimal]:
    """Minutes of spray over the least that shows a leak; at least 0. Source: common practice."""
    found = not_negative("Time", minutes, "min")
    short = Verdict(Grade.UNSEEN, f"{minutes} of {says(least, 'min')}: too short to prove anything")
    return Worked(
        name="spray",
        value=found - least,
        says=f"{minutes}",
        unit="min",
        formula="minutes sprayed − least",
        inputs=(Input("sprayed", str(minutes)),),
        limit=f"at least {says(least, 'min')}, from the bottom up, one person inside with a light",
        verdict=short if minutes.under(least, "min") else Verdict(Grade.SOUND, f"sprayed {minutes}"),
        source=COMMON_PRACTICE,
        caution=SPRAY_CAUTION,
    )

"""On the road: stopping distance from about 20 mph, and heat of the hubs when it stands again."""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import above_zero, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, as_printed
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity

STOP_LAW = Source("49 CFR", "393.52(d)")
FT_S_A_MPH = Decimal(5280) / 3600
STANDARD_G = Decimal("32.174")  # ft/s²
TEST_MPH = Decimal(20)
SLOWEST, FASTEST = Decimal(18), Decimal(22)  # mph between which a distance is taken to 20
USUAL_FT_S2 = (Decimal(5), Decimal(28))
CAUTION = (
    "Two people, dry, level and hard, light traffic, no open finding of do not tow. The distance counts from "
    "the first movement of the pedal; local inspection law decides."
)
HOT_F, OVER_MATES_F = Decimal(200), Decimal(50)  # °F, common practice


class Combination(StrEnum):
    """What stopped, as the law tells combinations apart."""

    LIGHT = "light"  # two-axle tow vehicle, trailer of 3,000 lb GVWR or less
    OTHER = "other"


MOST_FT = {Combination.LIGHT: Decimal(35), Combination.OTHER: Decimal(40)}


def stop_from_20(distance: Quantity, speed: Quantity, what: Combination) -> Worked[Decimal]:
    """Stopping distance in feet from 20 mph, from one measured at 18 to 22 mph, with the mean deceleration.

    `distance` above 0. Raises Impossible for another speed. Source: 49 CFR 393.52(d).
    """
    if not SLOWEST <= above_zero("Speed", speed, "mph") <= FASTEST:
        raise Impossible(f"From {speed} nothing can be told about 20 mph", "18 to 22 mph")
    feet = above_zero("Stopping distance", distance, "ft") * (TEST_MPH / speed.to("mph")) ** 2
    mean = deceleration(distance, speed)
    return Worked(
        name="stop from 20 mph",
        value=feet,
        says=f"{says(feet, 'ft', 1)}, mean {says(mean / STANDARD_G, '', 2)} g",
        unit="ft",
        formula="distance × (20 mph ÷ speed)²; mean deceleration = speed² ÷ (2 × distance)",
        inputs=(
            Input("distance", str(distance)),
            Input("speed", str(speed)),
            Input("mean deceleration", f"{says(mean, '', 1)} ft/s²"),
        ),
        limit=f"at most {MOST_FT[what]} ft",
        verdict=_stop(feet, MOST_FT[what]),
        source=STOP_LAW,
        caution=CAUTION,
    )


def deceleration(distance: Quantity, speed: Quantity) -> Decimal:
    """Mean deceleration in ft/s², from the first movement of the pedal; both above 0."""
    fast = above_zero("Speed", speed, "mph") * FT_S_A_MPH
    return fast**2 / (2 * above_zero("Stopping distance", distance, "ft"))


def _stop(feet: Decimal, most: Decimal) -> Verdict:
    found = f"stops in {says(feet, 'ft', 1)} from 20 mph"
    if as_printed(feet, 1) > most:
        return Verdict(Grade.NEEDS, f"{found}, over {most} ft", By.TOWING)
    return Verdict(Grade.SOUND, found)


def question_stop(field: str, distance: Quantity, speed: Quantity) -> list[Problem]:
    """What to ask about a stop: a mean under 5 or over 28 ft/s² is unlikely. Source: common practice."""
    mean = deceleration(distance, speed)
    if USUAL_FT_S2[0] <= mean <= USUAL_FT_S2[1]:
        return []
    says_so = f"That is a mean of {says(mean, '', 1)} ft/s²"
    return [Problem(field, says_so, "5 to 28 ft/s², such as 38 ft from 20 mph", ask=True)]


def hub_heat(hubs: Mapping[str, Quantity]) -> Worked[Decimal]:
    """Hottest hub in °F, and by how much it is over the mean of the others, which decides.

    `hubs`: name to temperature at the same spot, within 2 min of stopping; at least two, else Impossible.
    Source: common practice.
    """
    if len(hubs) < 2:
        raise Impossible("One hub cannot be compared", "all hubs of the trailer, in °F")
    found = {name: warmth.to("degF") for name, warmth in hubs.items()}
    hottest = max(found, key=lambda name: found[name])
    others = [warmth for name, warmth in found.items() if name != hottest]
    over = found[hottest] - sum(others, Decimal(0)) / len(others)
    return Worked(
        name="hub heat",
        value=found[hottest],
        says=f"{hottest} {says(found[hottest], 'degF')}, {says(over, 'degF')} over the others",
        unit="degF",
        formula="hottest hub − mean of the others",
        inputs=tuple(Input(name, str(warmth)) for name, warmth in hubs.items()),
        limit="at most 200 °F, at most 50 °F over the others",
        verdict=_heat(hottest, found[hottest], over),
        source=COMMON_PRACTICE,
        caution="Hubs and drums burn skin: read them with the infrared thermometer, not by hand.",
    )


def _heat(hub: str, hottest: Decimal, over: Decimal) -> Verdict:
    if as_printed(hottest) > HOT_F:
        return Verdict(Grade.NEEDS, f"{hub} {says(hottest, 'degF')}, over 200 °F: open it", By.TOWING)
    if as_printed(over) > OVER_MATES_F:
        says_so = f"{hub} {says(over, 'degF')} hotter than the others: open it"
        return Verdict(Grade.NEEDS, says_so, By.TOWING)
    return Verdict(Grade.SOUND, f"hottest hub {says(hottest, 'degF')}")

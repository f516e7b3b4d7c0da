"""Current and resistance of electric brake magnets, each and together."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

LAW = Source("49 CFR", "570.58(a)")
BAND = Decimal("0.1")  # common practice: a cold magnet and a clamp meter are good to a tenth
LAW_OVER, LAW_UNDER = Decimal("1.2"), Decimal("0.7")  # of the maker's greatest current: 49 CFR 570.58(a)
DEAD_A = Decimal("0.2")
CAUTION = (
    "Chock the wheels and pull the tow plug before tracing. A trailer with a required brake dead is not "
    "towed; brake work is for a qualified person."
)


@dataclass(frozen=True)
class Magnet:
    """Cold resistance of one magnet, least and most, in ohm."""

    least_ohm: Decimal
    most_ohm: Decimal

    @property
    def middle_ohm(self) -> Decimal:
        """Half way between the two."""
        return (self.least_ohm + self.most_ohm) / 2


# Common practice, cold, by drum size in inches; the maker's figure goes before these.
MAGNETS = {
    "7": Magnet(Decimal("3.8"), Decimal("4.0")),
    "10": Magnet(Decimal("3.2"), Decimal("3.5")),
    "12": Magnet(Decimal("3.2"), Decimal("3.5")),
}


class Fault(StrEnum):
    """What a brake current says."""

    NONE = "as expected"
    SHORT = "shorted magnet or wire"
    OPEN = "a magnet does not draw"
    GROUND = "poor ground, splice or thin wire"
    DEAD = "open feed, open ground or dead controller"


@dataclass(frozen=True)
class Currents:
    """Current at the measured voltage, least and most, in A."""

    least: Decimal
    most: Decimal

    def holds(self, amps: Decimal, band: Decimal = BAND) -> bool:
        """Whether a reading lies in the band, widened by `band` at both ends."""
        return self.least * (1 - band) <= amps <= self.most * (1 + band)

    def times(self, part: Decimal | int) -> "Currents":
        """The same for another number of magnets."""
        return Currents(self.least * part, self.most * part)

    def __str__(self) -> str:
        return f"{says(self.least, '', 1)} to {says(self.most, 'A', 1)}"


@dataclass(frozen=True)
class Reading:
    """One current reading: `volts` taken at the same point as `amps`, `count` magnets on that feed."""

    magnet: Magnet
    count: int
    volts: Quantity
    amps: Quantity

    def __post_init__(self) -> None:
        if not 1 <= self.count <= 12:
            raise Impossible(f"{self.count} magnets cannot be", "1 to 12 magnets, such as 4")
        not_negative("Current", self.amps, "A")
        if above_zero("Voltage", self.volts, "V") > 18:
            raise Impossible(f"{self.volts} is not a 12 V system", "above 0 to 18 V, such as 12.6")

    @property
    def each(self) -> Currents:
        """What one magnet draws at this voltage."""
        volts = self.volts.to("V")
        return Currents(volts / self.magnet.most_ohm, volts / self.magnet.least_ohm)

    @property
    def together(self) -> Currents:
        """What all magnets draw at this voltage."""
        return self.each.times(self.count)


def expected_current(magnet: Magnet, count: int, volts: Quantity) -> Worked[Currents]:
    """Current that `count` magnets draw together at `volts`, in A, least and most.

    `count` 1 to 12, `volts` above 0 to 18 V at the point of the current reading; else Impossible.
    Source: Ohm's law with the trade's resistances (common practice), or the maker's.
    """
    reading = Reading(magnet, count, volts, Quantity("0", "A"))
    return Worked(
        name="current expected",
        value=reading.together,
        says=str(reading.together),
        unit="A",
        formula="number of magnets × volts ÷ resistance of one magnet, at its most and at its least",
        inputs=_inputs(reading)[:3],
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def magnet_current(reading: Reading, *, required: bool = True) -> Worked[Fault]:
    """What a brake current means: as expected, short, open, poor ground or dead.

    `required`: the law asks for these brakes; then a dead or shorted one is not towed.
    Source: 49 CFR 570.58(a) for the outer limits, common practice for the band of a tenth.
    """
    fault = _fault(reading)
    return Worked(
        name="brake current",
        value=fault,
        says=f"{reading.amps}, {fault}",
        formula="reading against number of magnets × volts ÷ resistance, a tenth allowed either way",
        inputs=(*_inputs(reading), Input("current measured", str(reading.amps))),
        limit=f"{reading.together}, a tenth allowed either way",
        verdict=_verdict(reading, fault, required=required),
        source=LAW,
        caution=CAUTION,
    )


def steps_that_fit(reading: Reading) -> tuple[int, ...]:
    """Numbers of magnets, fewer than fitted, whose band holds the reading; the greatest first."""
    amps = reading.amps.to("A")
    return tuple(n for n in range(reading.count - 1, 0, -1) if reading.each.times(n).holds(amps))


def series_resistance(reading: Reading) -> Decimal:
    """Resistance in feed and ground that would explain the reading, in ohm: volts ÷ amps − magnets."""
    return reading.volts.to("V") / reading.amps.to("A") - reading.magnet.middle_ohm / reading.count


def magnet_resistance(
    magnet: Magnet, ohms: Sequence[Quantity], *, required: bool = True
) -> Worked[tuple[Decimal, ...]]:
    """Cold resistance of each magnet in ohm, and whether every one is in its range.

    `ohms`: at least one, each 0 or more. Source: common practice; the maker's range goes first.
    """
    if not ohms:
        raise Impossible("No magnet was measured", "a resistance a magnet, such as 3.3 ohm")
    found = tuple(not_negative("Resistance", each, "ohm") for each in ohms)
    return Worked(
        name="magnet resistance",
        value=found,
        says=", ".join(map(str, ohms)),
        unit="ohm",
        formula="each reading against the least and the most of its kind, a tenth allowed either way",
        inputs=tuple(Input(f"magnet {n}", str(each)) for n, each in enumerate(ohms, 1)),
        limit=f"{magnet.least_ohm} to {magnet.most_ohm} ohm cold, a tenth allowed either way",
        verdict=_resistances(magnet, found, required=required),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _inputs(reading: Reading) -> tuple[Input, ...]:
    magnet = reading.magnet
    return (
        Input("magnets", str(reading.count)),
        Input("volts at the same point", str(reading.volts)),
        Input("resistance of one magnet, cold", f"{magnet.least_ohm} to {magnet.most_ohm} ohm"),
    )


def _fault(reading: Reading) -> Fault:
    amps = reading.amps.to("A")
    if amps < DEAD_A:
        return Fault.DEAD
    if reading.together.holds(amps):
        return Fault.NONE
    if amps > reading.together.most:
        return Fault.SHORT
    return Fault.OPEN if steps_that_fit(reading) else Fault.GROUND


def _verdict(reading: Reading, fault: Fault, *, required: bool) -> Verdict:
    if fault is Fault.NONE:
        return Verdict(Grade.SOUND, f"{reading.amps} is inside {reading.together}")
    if _inside_law(reading) and fault in (Fault.SHORT, Fault.GROUND):
        return Verdict(Grade.NEEDS, _reason(reading, fault), By.SOON)
    return dead_brake(_reason(reading, fault), required=required)


def dead_brake(says: str, *, required: bool) -> Verdict:
    """Do not tow where the law asks for the brake, else needs work before towing (49 CFR 393.48(a))."""
    if required:
        return Verdict(Grade.DNT, says)
    return Verdict(Grade.NEEDS, says, By.TOWING)


def _inside_law(reading: Reading) -> bool:
    most = reading.together.most
    return LAW_UNDER * most <= reading.amps.to("A") <= LAW_OVER * most


def _reason(reading: Reading, fault: Fault) -> str:
    if fault is Fault.OPEN:
        fits = " or ".join(str(n) for n in steps_that_fit(reading))
        return f"{reading.amps} is what {fits} of {reading.count} magnets draw: measure each wheel"
    if fault is Fault.GROUND:
        extra = says(series_resistance(reading), "ohm", 2)
        return f"{reading.amps} is under {reading.together}: about {extra} in feed or ground"
    if fault is Fault.SHORT:
        return f"{reading.amps} is over {reading.together}: unplug before tracing"
    return f"{reading.amps} is no current: {fault}"


def _resistances(magnet: Magnet, found: tuple[Decimal, ...], *, required: bool) -> Verdict:
    low, high = magnet.least_ohm * (1 - BAND), magnet.most_ohm * (1 + BAND)
    short = [n for n, ohm in enumerate(found, 1) if ohm < low]
    long = [n for n, ohm in enumerate(found, 1) if ohm > high]
    if short:
        return dead_brake(f"{_named(short, found, 'low')}, a shorted coil", required=required)
    if long:
        return Verdict(Grade.NEEDS, f"{_named(long, found, 'high')}: replace the axle pair", By.TOWING)
    return Verdict(Grade.SOUND, "every magnet is in its range")


def _named(magnets: Sequence[int], measured: Sequence[Decimal], how: str) -> str:
    """The magnets that read low or high, by their numbers where more than one was measured."""
    if len(measured) == 1:
        return f"the magnet reads {how}"
    numbers = ", ".join(map(str, magnets))
    return f"magnets {numbers} read {how}" if len(magnets) > 1 else f"magnet {numbers} reads {how}"

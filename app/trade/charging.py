"""Battery under load and converter: what the volts mean."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.batteries import CAUTION as BATTERY_CAUTION
from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Verdict, Worked
from app.trade.quantity import Quantity

LOADED_LEAST = Decimal("10.5")  # V after 5 min at 20 A, common practice
OPEN_LEAST, OPEN_MOST = Decimal("13.2"), Decimal("14.4")  # V without load
CONVERTER_LEAST, CONVERTER_MOST, CONVERTER_DANGER = Decimal("13.0"), Decimal("15.0"), Decimal("15.5")
RIPPLE_MOST = Decimal("0.5")  # V AC
CONVERTER_CAUTION = (
    "The converter's mains side is opened and energized by a qualified person. Lithium needs its own charge "
    "profile."
)


def battery_load(volts: Quantity) -> Worked[Decimal]:
    """Volts of a 12 V battery after 5 min at 20 A, over the least. Above 0. Source: common practice."""
    found = above_zero("Volts under load", volts, "V")
    weak = Verdict(Grade.NEEDS, f"{volts} under load, under 10.5 V", By.SOON)
    return Worked(
        name="battery under load",
        value=found - LOADED_LEAST,
        says=f"{volts} after 5 min at 20 A",
        unit="V",
        formula="volts after 5 min at 20 A − 10.5 V",
        inputs=(Input("volts under load", str(volts)),),
        limit="at least 10.5 V",
        verdict=weak if found < LOADED_LEAST else Verdict(Grade.SOUND, f"{volts} under load"),
        source=COMMON_PRACTICE,
        caution=BATTERY_CAUTION,
    )


@dataclass(frozen=True)
class Charging:
    """Converter on shore power: volts without load, volts under load, ripple in V AC; none under 0."""

    without_load: Quantity
    under_load: Quantity
    ripple: Quantity

    def __post_init__(self) -> None:
        for name, reading in (("Without load", self.without_load), ("Under load", self.under_load)):
            above_zero(name, reading, "V")
        not_negative("Ripple", self.ripple, "V")


def converter(readings: Charging) -> Worked[Decimal]:
    """Volts that the converter loses under load, and what its volts mean. Source: common practice."""
    return Worked(
        name="converter",
        value=readings.without_load.to("V") - readings.under_load.to("V"),
        says=f"{readings.without_load} without load, {readings.under_load} under load",
        unit="V",
        formula="volts without load − volts under load",
        inputs=(
            Input("without load", str(readings.without_load)),
            Input("lamps and furnace fan on", str(readings.under_load)),
            Input("ripple", str(readings.ripple)),
        ),
        limit="13.2 to 14.4 V without load, at least 13.0 V under load, ripple at most 0.5 V",
        verdict=_converter(readings),
        source=COMMON_PRACTICE,
        caution=CONVERTER_CAUTION,
    )


def _converter(readings: Charging) -> Verdict:
    idle, loaded = readings.without_load.to("V"), readings.under_load.to("V")
    if max(idle, loaded) > CONVERTER_DANGER:
        says_so = f"{says(max(idle, loaded), 'V', 1)}, over 15.5 V: switch it off"
        return Verdict(Grade.NEEDS, says_so, By.USE)
    if loaded < CONVERTER_LEAST:
        return Verdict(Grade.NEEDS, f"{readings.under_load} under load, under 13.0 V", By.SOON)
    if readings.ripple.over(RIPPLE_MOST, "V"):
        return Verdict(Grade.NEEDS, f"ripple {readings.ripple}, over 0.5 V", By.SOON)
    if max(idle, loaded) > CONVERTER_MOST:
        return Verdict(Grade.NEEDS, f"{says(max(idle, loaded), 'V', 1)}, over 15.0 V", By.SOON)
    if not OPEN_LEAST <= idle <= OPEN_MOST:
        return Verdict(Grade.WATCH, f"{readings.without_load} without load, usually 13.2 to 14.4 V")
    return Verdict(Grade.SOUND, "converter inside 13.2 to 14.4 V, and at least 13.0 V under load")

"""Propane as a fuel: heat in a fill, hours that it lasts, and its pressure at a temperature."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import not_negative, says
from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, convert

FUEL_RULE = Source("NFPA 58", "annex B, commercial propane")
PRESSURE_RULE = Source("Lemmon, McLinden and Wagner, J. Chem. Eng. Data 54 (2009) 3141", "vapour pressure")
BTU_PER_LB = Decimal(21548)
CRITICAL_K, CRITICAL_KPA = Decimal("369.89"), Decimal("4251.2")
TERMS = (
    (Decimal("-6.7722"), Decimal(1)),
    (Decimal("1.6938"), Decimal("1.5")),
    (Decimal("-1.3341"), Decimal("2.2")),
    (Decimal("-3.1876"), Decimal("4.8")),
    (Decimal("0.94937"), Decimal("6.2")),
)
ATMOSPHERE_KPA = Decimal("101.325")
COLDEST_F, HOTTEST_F = Decimal(-60), Decimal(160)
CAUTION = "No flame or switch in the vapour, which sinks; smell it: shut the cylinder, go out, then call."


@dataclass(frozen=True)
class Burner:
    """One appliance: nameplate input in Btu/h, and the part of the time that it burns, 0 to 1."""

    name: str
    btu_h: Decimal
    duty: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if self.btu_h <= 0:
            raise Impossible(f"An input of {self.btu_h} Btu/h cannot be", "above 0, such as 30000 Btu/h")
        if not 0 <= self.duty <= 1:
            raise Impossible(f"A duty of {self.duty} cannot be", "0 to 1, such as 0.33")


def energy(fuel: Quantity) -> Worked[Decimal]:
    """Heat in a weight of propane, in Btu. `fuel` at least 0. Source: NFPA 58 annex B, 21,548 Btu/lb."""
    heat = not_negative("Propane", fuel, "lb") * BTU_PER_LB
    return Worked(
        name="heat in the fuel",
        value=heat,
        says=f"{says(heat, '')}\u00a0Btu",
        unit="Btu",
        formula="weight × 21,548 Btu/lb",
        inputs=(Input("propane", str(fuel)),),
        source=FUEL_RULE,
        caution=CAUTION,
    )


def load(burners: Sequence[Burner]) -> Decimal:
    """Heat drawn on average, in Btu/h: input × duty of each, added."""
    return sum((each.btu_h * each.duty for each in burners), Decimal(0))


def run_time(fuel: Quantity, burners: Sequence[Burner]) -> Worked[Decimal]:
    """Hours that a weight of propane lasts. Raises Impossible where nothing burns.

    Source: NFPA 58 annex B for the heat; nameplate inputs.
    """
    drawn = load(burners)
    if drawn <= 0:
        raise Impossible("Nothing burns, so there is no time to give", "at least one appliance with a duty")
    hours = energy(fuel).value / drawn
    return Worked(
        name="run time",
        value=hours,
        says=says(hours, "h", 1),
        unit="h",
        formula="heat in the fuel ÷ sum of input × duty",
        inputs=(
            Input("propane", str(fuel)),
            *(Input(each.name, f"{says(each.btu_h, 'btu_h')} × {each.duty}") for each in burners),
        ),
        source=FUEL_RULE,
        caution=CAUTION,
    )


def absolute_kpa(kelvin: Decimal) -> Decimal:
    """Vapour pressure of pure propane, kPa absolute, below 369.89 K."""
    below = 1 - kelvin / CRITICAL_K
    series = sum((factor * below**power for factor, power in TERMS), Decimal(0))
    return CRITICAL_KPA * (CRITICAL_K / kelvin * series).exp()


def vapour_pressure(temperature: Quantity, station_kpa: Decimal = ATMOSPHERE_KPA) -> Worked[Decimal]:
    """Gauge pressure in a cylinder of pure propane at a temperature, in psi; it says nothing of the fill.

    `temperature` -60 to 160 °F, else Impossible; `station_kpa`: air pressure there. Commercial propane reads
    a tenth to a seventh higher. Source: Lemmon, McLinden and Wagner 2009.
    """
    if not COLDEST_F <= temperature.to("degF") <= HOTTEST_F:
        raise Impossible(f"{temperature} is out of reach", "-60 to 160 °F, such as 70")
    kelvin = temperature.to("degC") + Decimal("273.15")
    gauge = convert(absolute_kpa(kelvin) - station_kpa, "kPa", "psi")
    return Worked(
        name="pressure in the cylinder",
        value=gauge,
        says=says(gauge, "psi", 1),
        unit="psi",
        formula="vapour pressure of pure propane − air pressure",
        inputs=(Input("temperature", str(temperature)), Input("air pressure", says(station_kpa, "kPa", 1))),
        source=PRESSURE_RULE,
        caution=CAUTION,
    )

"""Lead-acid batteries: state of charge at rest, and how long a breakaway battery holds its magnets."""

from decimal import Decimal
from itertools import pairwise

from app.trade.bounds import above_zero, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

HOLD_RULE = Source("49 CFR", "393.43(d)")
CHARGE_RULE = Source("BCI", "open circuit voltage, flooded, 80 °F")
RATED_HOURS = Decimal(20)
NEEDED_MIN = Decimal(15)
USUAL_EXPONENT = Decimal("1.2")  # Peukert: 1.1 a good sealed battery, 1.3 an old one, common practice
LEAST_EXPONENT, MOST_EXPONENT = Decimal(1), Decimal("1.6")
SURFACE_V, DEAD_V = Decimal("12.9"), Decimal("10.5")
TABLE_F, PER_F = Decimal(80), Decimal("0.0024")
COOL_F = Decimal(60)  # from here up the table's correction is not worth making
CAUTION = (
    "Eye cover, negative off first, no sparks: a battery gives hydrogen. Only a load proves its capacity."
)

# Volts at rest of a 12 V flooded battery, and percent charged.
RESTED = (
    (Decimal("11.89"), Decimal(0)),
    (Decimal("12.06"), Decimal(25)),
    (Decimal("12.24"), Decimal(50)),
    (Decimal("12.45"), Decimal(75)),
    (Decimal("12.65"), Decimal(100)),
)


def state_of_charge(
    volts: Quantity, temperature: Quantity, *, by_table: bool = False
) -> Worked[Decimal | None]:
    """Charge of a flooded 12 V battery in percent, from volts after 6 h at rest.

    None where volts cannot tell it: over 12.9 V (surface charge) and under 10.5 V (a dead cell, or flat).
    `volts` above 0 to 18. `by_table` takes 0.0024 V a °F under 80 off, as the hydrometer tables print it; it
    is left out from 60 °F up, where it is small, and never adds. Source: BCI table.
    """
    if above_zero("Voltage", volts, "V") > 18:
        raise Impossible(f"{volts} is not a 12 V battery", "above 0 to 18 V, such as 12.6")
    at_80 = volts.to("V") - (_colder(temperature.to("degF")) if by_table else Decimal(0))
    charge = charge_at(at_80) if DEAD_V <= at_80 <= SURFACE_V else None
    return Worked(
        name="state of charge",
        value=charge,
        says="cannot be told" if charge is None else says(charge, "percent"),
        unit="percent",
        formula="straight line between the points of the table, after rest",
        inputs=(
            Input("volts at rest", str(volts)),
            Input("temperature", str(temperature)),
            Input("volts taken for 80 °F", says(at_80, "V", 3)),
        ),
        limit="75 % or more for storage, recharge under 50 %",
        verdict=_charge(charge, at_80),
        source=CHARGE_RULE,
        caution=CAUTION,
    )


def charge_at(volts: Decimal) -> Decimal:
    """Percent charged at volts for 80 °F, 0 to 100."""
    if volts <= RESTED[0][0]:
        return Decimal(0)
    for (low, below), (high, above) in pairwise(RESTED):
        if volts <= high:
            return below + (above - below) * (volts - low) / (high - low)
    return Decimal(100)


def _colder(fahrenheit: Decimal) -> Decimal:
    return PER_F * (TABLE_F - fahrenheit) if fahrenheit < COOL_F else Decimal(0)


def _charge(charge: Decimal | None, volts: Decimal) -> Verdict:
    if charge is None and volts > SURFACE_V:
        return Verdict(Grade.UNSEEN, "surface charge: let it rest, then measure again")
    if charge is None:
        return Verdict(Grade.NEEDS, f"{says(volts, 'V', 1)}: a dead cell, or flat", By.SOON)
    if charge < 50:
        return Verdict(Grade.NEEDS, f"{says(charge, 'percent')}: recharge, then a load test", By.SOON)
    if charge < 75:
        return Verdict(Grade.WATCH, f"{says(charge, 'percent')}: recharge before storage")
    return Verdict(Grade.SOUND, f"{says(charge, 'percent')} charged")


def endurance(amps: Decimal, rated_ah: Decimal, exponent: Decimal = USUAL_EXPONENT) -> Decimal:
    """Minutes to empty at a steady current, by Peukert from a 20 hour rating."""
    return 60 * RATED_HOURS * (rated_ah / (RATED_HOURS * amps)) ** exponent


def breakaway_endurance(
    magnets: Quantity, rated: Quantity, exponent: Decimal = USUAL_EXPONENT
) -> Worked[Decimal]:
    """Minutes that a charged breakaway battery holds its magnets, an estimate, against 15.

    `magnets`: their current together; `rated`: capacity at 20 h; both above 0. `exponent` 1 to 1.6, else
    Impossible. The timed pull goes before this. Source: 49 CFR 393.43(d); Peukert's law.
    """
    if not LEAST_EXPONENT <= exponent <= MOST_EXPONENT:
        raise Impossible(f"An exponent of {exponent} cannot be", "1 to 1.6, such as 1.2")
    minutes = endurance(above_zero("Current", magnets, "A"), above_zero("Capacity", rated, "Ah"), exponent)
    return Worked(
        name="breakaway endurance",
        value=minutes,
        says=f"about {says(minutes, 'min')}",
        unit="min",
        formula="20 h × (capacity ÷ (20 h × current)) ^ exponent",
        inputs=(
            Input("current of all magnets", str(magnets)),
            Input("capacity at 20 h", str(rated)),
            Input("exponent", str(exponent)),
        ),
        limit="at least 15 min",
        verdict=_endures(minutes),
        source=HOLD_RULE,
        caution="An estimate for choosing a battery: only the timed pull with all wheels held proves it.",
    )


def _endures(minutes: Decimal) -> Verdict:
    if minutes < NEEDED_MIN:
        return Verdict(Grade.NEEDS, f"about {says(minutes, 'min')}, under 15: a larger battery", By.TOWING)
    return Verdict(Grade.SOUND, f"about {says(minutes, 'min')}")


def capacity_needed(amps: Decimal, exponent: Decimal = USUAL_EXPONENT) -> Decimal:
    """Capacity at 20 h, in Ah, that just gives 15 minutes at a steady current."""
    return RATED_HOURS * amps * (NEEDED_MIN / 60 / RATED_HOURS) ** (1 / exponent)

"""Load and cold pressure of a tire. More air than marked never raises its rating."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from app.trade.figure import By, Grade, Input, Source, Verdict, Worked, as_printed, plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit

EXPONENT = Decimal("0.585")  # of the classic load formula for truck and bias tires
LOAD_FORMULA = Source("tire load formula", "exponent 0.585 (from memory)")
LEAST_PSI, MOST_PSI = Decimal(10), Decimal(130)
ATMOSPHERE_PSI = Decimal("14.696")  # standard atmosphere, 101.325 kPa
FAHRENHEIT_ZERO = Decimal("459.67")
PLACARD_FIRST = (
    "Never under the pressure of the placard or the label. A lower pressure only from scale weights of "
    "each wheel end; the same on both ends of an axle."
)
RUN_FLAT = Decimal("0.8")  # under 80 % of the placard a tire counts as run flat: common practice


def load_at_pressure(most_lb: Decimal, most_psi: Decimal, psi: Decimal) -> Worked[Decimal]:
    """Load in lb that a tire carries at a cold pressure, scaled from the line on its sidewall.

    `most_lb` at `most_psi`: as marked. `psi`: 10 to `most_psi`; Impossible outside.
    Against trailer tire tables it is within 2 %. Source: load formula with the exponent 0.585.
    """
    _marked(most_lb, most_psi)
    if not LEAST_PSI <= psi <= most_psi:
        raise Impossible(f"{psi} psi is not a pressure for this tire", f"10 to {most_psi} psi cold")
    value = most_lb * (psi / most_psi) ** EXPONENT
    return Worked(
        name="load at the cold pressure",
        value=value,
        says=with_unit(plain(value), "lb"),
        formula="marked load x (pressure / marked pressure) to the power 0.585",
        inputs=(*_sidewall(most_lb, most_psi), Input("cold pressure", with_unit(str(psi), "psi"))),
        source=LOAD_FORMULA,
        unit="lb",
        limit=f"at most {with_unit(plain(most_lb), 'lb')} at {with_unit(str(most_psi), 'psi')}",
        caution=PLACARD_FIRST,
    )


def _marked(most_lb: Decimal, most_psi: Decimal) -> None:
    if not LEAST_PSI < most_psi <= MOST_PSI:
        raise Impossible(f"{most_psi} psi is no marked pressure", "over 10 to 130 psi, such as 50 psi")
    if not 200 <= most_lb <= 9000:
        raise Impossible(f"{most_lb} lb is no tire load", "200 to 9,000 lb, such as 1,760 lb")


def _sidewall(most_lb: Decimal, most_psi: Decimal) -> tuple[Input, Input]:
    marked_psi = Input("marked pressure, cold", with_unit(str(most_psi), "psi"))
    return Input("marked load", with_unit(plain(most_lb), "lb")), marked_psi


def pressure_for_load(
    most_lb: Decimal, most_psi: Decimal, load_lb: Decimal, least_psi: Decimal = Decimal(35)
) -> Worked[Decimal]:
    """Cold pressure in whole psi, rounded up, that carries a load on one tire.

    `load_lb`: over 0, at most `most_lb` (an overload is refused: more air does not raise the rating).
    Not under `least_psi`, the lowest row of the tables (35 psi for rims of 13 to 16 in).
    """
    _marked(most_lb, most_psi)
    if not 0 < load_lb <= most_lb:
        raise Impossible(
            f"{plain(load_lb)} lb is not a load for this tire; more air does not raise its rating",
            f"over 0 to {plain(most_lb)} lb",
        )
    exact = most_psi * (load_lb / most_lb) ** (1 / EXPONENT)
    value = max(exact.to_integral_value("ROUND_CEILING"), min(least_psi, most_psi))
    return Worked(
        name="cold pressure for the load",
        value=value,
        says=with_unit(str(value), "psi"),
        formula="marked pressure x (load / marked load) to the power 1 / 0.585, rounded up",
        inputs=(*_sidewall(most_lb, most_psi), Input("load of the tire", with_unit(plain(load_lb), "lb"))),
        source=LOAD_FORMULA,
        unit="psi",
        limit=f"at least {with_unit(str(least_psi), 'psi')}, at most {with_unit(str(most_psi), 'psi')}",
        caution=PLACARD_FIRST,
    )


def load_between_rows(rows: Sequence[tuple[Decimal, Decimal]], psi: Decimal) -> Worked[Decimal]:
    """Load in lb at a pressure between two rows (psi, lb) of a tire's own table, in a straight line.

    `rows`: at least two, rising. Raises Impossible outside the rows: nothing is said beyond a table.
    The straight line lies under the curve, so it errs to the safe side.
    """
    low, high = _rows_around(rows, psi)
    value = low[1] + (high[1] - low[1]) * (psi - low[0]) / (high[0] - low[0])
    return Worked(
        name="load at the cold pressure",
        value=value,
        says=with_unit(plain(value), "lb"),
        formula="in a straight line between the two rows of the table around it",
        inputs=(_row("row under it", low), _row("row over it", high), Input("cold pressure", f"{psi} psi")),
        source=Source("the tire's own load table"),
        unit="lb",
        caution=PLACARD_FIRST,
    )


def _rows_around(
    rows: Sequence[tuple[Decimal, Decimal]], psi: Decimal
) -> tuple[tuple[Decimal, Decimal], tuple[Decimal, Decimal]]:
    for low, high in pairwise(rows):
        if low[0] <= psi <= high[0]:
            return low, high
    raise Impossible(f"{psi} psi is outside the table", f"{rows[0][0]} to {rows[-1][0]} psi")


def _row(name: str, row: tuple[Decimal, Decimal]) -> Input:
    return Input(name, f"{with_unit(plain(row[1]), 'lb')} at {with_unit(str(row[0]), 'psi')}")


def pressure_at(psi: Decimal, set_at_f: Decimal, now_f: Decimal) -> Worked[Decimal]:
    """Pressure in psi that a tire set at one temperature reads at another, at rest.

    `psi`: 0 to 130. Temperatures in degrees Fahrenheit, -60 to 200. Impossible outside.
    Source: gas law at constant volume.
    """
    if not 0 <= psi <= MOST_PSI or not all(-60 <= it <= 200 for it in (set_at_f, now_f)):
        raise Impossible("This is outside a tire's pressures and temperatures", "0 to 130 psi, -60 to 200 °F")
    warmth = (now_f + FAHRENHEIT_ZERO) / (set_at_f + FAHRENHEIT_ZERO)
    value = (psi + ATMOSPHERE_PSI) * warmth - ATMOSPHERE_PSI
    return Worked(
        name="pressure at another temperature",
        value=value,
        says=with_unit(plain(value, 1), "psi"),
        formula="(pressure + 14.696) x (T2 + 459.67) / (T1 + 459.67) - 14.696",
        inputs=(
            Input("pressure", with_unit(str(psi), "psi")),
            Input("set at", with_unit(str(set_at_f), "degF")),
            Input("now", with_unit(str(now_f), "degF")),
        ),
        source=Source("gas law", "constant volume"),
        unit="psi",
        caution="Set pressure cold: parked three hours and out of the sun. Never bleed a warm tire.",
    )


def cold_pressure(psi: Decimal, placard_psi: Decimal, most_psi: Decimal) -> Worked[Decimal]:
    """A measured cold pressure against placard and the lowest limit of tire, wheel and valve, in psi.

    Under 80 % of the placard the tire is looked at from inside before towing; over the limit it needs
    work before towing; under the placard by more than 3 psi it is filled before towing.
    `psi`: 0 to 150. Impossible outside, or where the placard is over the limit. All three count to a tenth,
    so that 345 kPa on one plate are the 50 psi on another. Source: common practice.
    """
    psi, placard_psi, most_psi = gauged(psi), gauged(placard_psi), gauged(most_psi)
    if not 0 <= psi <= 150:
        raise Impossible(f"{psi} psi is no pressure of a tire", "0 to 150 psi, such as 50 psi")
    if not LEAST_PSI <= placard_psi <= most_psi:
        raise Impossible(f"A placard of {placard_psi} psi over the limit", f"10 to {most_psi} psi")
    return Worked(
        name="cold pressure",
        value=psi,
        says=with_unit(str(psi), "psi"),
        formula="measured cold, against the placard and the lowest of tire, wheel and valve",
        inputs=(
            Input("placard", with_unit(str(placard_psi), "psi")),
            Input("lowest limit", with_unit(str(most_psi), "psi")),
        ),
        source=Source("common practice"),
        unit="psi",
        limit=f"{placard_psi} to {most_psi} psi",
        verdict=_pressure_verdict(psi, placard_psi, most_psi),
        caution="A tire that ran flat is taken off and looked at from inside before it is filled.",
    )


def gauged(psi: Decimal) -> Decimal:
    """A pressure in psi to the tenth that a gauge may show, without needless zeros."""
    return Decimal(f"{as_printed(psi, 1).normalize():f}")


def _pressure_verdict(psi: Decimal, placard: Decimal, most: Decimal) -> Verdict:
    if psi < placard * RUN_FLAT:
        return Verdict(Grade.NEEDS, "under 80 % of the placard: take it off, look inside", By.TOWING)
    if psi > most:
        return Verdict(Grade.NEEDS, "over the limit of tire, wheel or valve", By.TOWING)
    if psi < placard - 3:
        return Verdict(Grade.NEEDS, "more than 3 psi under the placard: find the leak, fill", By.TOWING)
    return Verdict(Grade.SOUND, "at the placard within 3 psi, or over it inside the limit")

"""Copper wire on 12 V: diameter, resistance, voltage drop and the smallest gauge that serves."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

FUSE_RULE = Source("NEC", "240.4(D) and table 310.16, 60 °C copper")
DROP_RULE = Source("ABYC", "E-11")
COPPER_20C = Decimal("1.7241E-8")  # ohm metre, 100 % IACS: NBS Handbook 100
PER_KELVIN = Decimal("0.00393")  # NBS Handbook 100
LAY = Decimal("1.02")  # strands run a fiftieth longer than the wire: common practice
PI = Decimal("3.14159265358979323846")
METRES_PER_INCH = Decimal("0.0254")
INCHES_PER_1000_FT = Decimal(12000)
HOT_C = Decimal(75)
CRITICAL = Decimal(3)  # percent, ABYC E-11: brakes, lamps, charging; 10 for all else
CAUTION = (
    "Battery negative off first, and a fuse at the battery that the wire can carry. Copper only: clad "
    "aluminium and automotive sizes of the same number are smaller."
)

# Gauge number (1/0 is 0): greatest fuse in A that protects it.
FUSE_MOST = {18: 7, 16: 10, 14: 15, 12: 20, 10: 30, 8: 40, 6: 55, 4: 70, 2: 95, 0: 125}


def gauge_name(gauge: int) -> str:
    """A gauge number as printed; 1/0, 2/0, 3/0 and 4/0 are kept as 0, -1, -2 and -3."""
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def wire_diameter(gauge: int) -> Decimal:
    """Diameter of a solid wire in inches. `gauge` -3 (4/0) to 40, else Impossible. Source: ASTM B258."""
    if not -3 <= gauge <= 40:
        raise Impossible(f"There is no gauge {gauge}", "a gauge such as 12, or 0 for 1/0")
    return Decimal("0.005") * Decimal(92) ** (Decimal(36 - gauge) / 39)


def circular_mils(gauge: int) -> Decimal:
    """Area in circular mils: the square of the diameter in thousandths of an inch."""
    return (wire_diameter(gauge) * 1000) ** 2


def resistance_per_1000_ft(gauge: int, celsius: Decimal = HOT_C, *, stranded: bool = True) -> Decimal:
    """Resistance of 1000 ft of copper wire in ohm at a temperature, -60 to 150 °C, else Impossible."""
    if not -60 <= celsius <= 150:
        raise Impossible(f"A wire at {celsius} °C cannot be", "-60 to 150 °C, such as 20")
    area = PI * (wire_diameter(gauge) * METRES_PER_INCH) ** 2 / 4
    resistivity = COPPER_20C * (1 + PER_KELVIN * (celsius - 20))
    lay = LAY if stranded else Decimal(1)
    return resistivity * INCHES_PER_1000_FT * METRES_PER_INCH / area * lay


@dataclass(frozen=True)
class Circuit:
    """A load at the end of a run out and back in the same wire; all three above 0, else Impossible."""

    amps: Quantity
    one_way: Quantity
    volts: Quantity
    celsius: Decimal = HOT_C

    def __post_init__(self) -> None:
        above_zero("Current", self.amps, "A")
        above_zero("Length", self.one_way, "ft")
        above_zero("Voltage", self.volts, "V")

    def drop(self, gauge: int) -> Decimal:
        """Volts lost out and back."""
        run = 2 * self.one_way.to("ft") / 1000
        return run * resistance_per_1000_ft(gauge, self.celsius) * self.amps.to("A")

    def percent(self, gauge: int) -> Decimal:
        """Volts lost as a share of the source, in percent."""
        return 100 * self.drop(gauge) / self.volts.to("V")

    @property
    def inputs(self) -> tuple[Input, ...]:
        """What went in."""
        return (
            Input("current", str(self.amps)),
            Input("one way", str(self.one_way)),
            Input("source", str(self.volts)),
            Input("wire at", f"{self.celsius} °C"),
        )


def voltage_drop(circuit: Circuit, gauge: int, most_percent: Decimal = CRITICAL) -> Worked[Decimal]:
    """Volts lost out and back in copper of one gauge, against a share of the source.

    Source: diameters of ASTM B258, resistivity of NBS Handbook 100; ABYC E-11 (marine) for 3 and 10 %.
    """
    lost, percent = circuit.drop(gauge), circuit.percent(gauge)
    return Worked(
        name="voltage drop",
        value=lost,
        says=f"{says(lost, 'V', 2)}, {says(percent, 'percent', 1)}",
        unit="V",
        formula="2 × one way × resistance of the wire × current",
        inputs=(*circuit.inputs, Input("wire", gauge_name(gauge))),
        limit=f"at most {most_percent} % of the source",
        verdict=_drop(percent, most_percent),
        source=DROP_RULE,
        caution=CAUTION,
    )


def _drop(percent: Decimal, most: Decimal) -> Verdict:
    found = says(percent, "percent", 1)
    if percent > most:
        return Verdict(Grade.NEEDS, f"{found} lost, over {most} %", By.SOON)
    return Verdict(Grade.SOUND, f"{found} lost")


def smallest_gauge(circuit: Circuit, fuse: Quantity, most_percent: Decimal = CRITICAL) -> Worked[int]:
    """Thinnest copper that keeps the drop and that the fuse protects; 0 stands for 1/0.

    Raises Impossible where even 1/0 is too thin. Source: ASTM B258, ABYC E-11, NEC 240.4(D).
    """
    amps = above_zero("Fuse", fuse, "A")
    serves = [n for n, most in FUSE_MOST.items() if most >= amps and circuit.percent(n) <= most_percent]
    if not serves:
        raise Impossible("No gauge up to 1/0 serves this run", "a shorter run or a smaller current")
    best = serves[0]
    return Worked(
        name="smallest wire",
        value=best,
        says=gauge_name(best),
        formula="thinnest whose drop is inside the limit and whose greatest fuse is at least the fuse fitted",
        inputs=(*circuit.inputs, Input("fuse", str(fuse))),
        limit=f"at most {most_percent} % of the source; fuse at most {FUSE_MOST[best]} A",
        source=DROP_RULE,
        caution=CAUTION,
    )


def fuse_verdict(gauge: int, fuse: Quantity) -> Worked[Decimal]:
    """Greatest fuse in A that protects a copper wire, and whether the one fitted is not larger.

    Raises Impossible for a gauge outside the table. Source: NEC 240.4(D), table 310.16 at 60 °C.
    """
    if gauge not in FUSE_MOST:
        raise Impossible(f"No fuse is known for {gauge_name(gauge)}", "an even gauge from 18 to 2, or 1/0")
    most = Decimal(FUSE_MOST[gauge])
    return Worked(
        name="greatest fuse",
        value=most,
        says=says(most, "A"),
        unit="A",
        formula="greatest fuse of the wire, from the table",
        inputs=(Input("wire", gauge_name(gauge)), Input("fuse fitted", str(fuse))),
        limit=f"at most {most} A",
        verdict=_fuse(above_zero("Fuse", fuse, "A"), most),
        source=FUSE_RULE,
        caution=CAUTION,
    )


def _fuse(fitted: Decimal, most: Decimal) -> Verdict:
    if fitted > most:
        says_so = f"{says(fitted, 'A')} on a wire for {says(most, 'A')}: disconnect"
        return Verdict(Grade.NEEDS, says_so, By.USE)
    return Verdict(Grade.SOUND, f"{says(fitted, 'A')} protects the wire")


MOST_SHARE = 102  # percent: what two readings of one meter may differ by


def circuit_drop(at_plug: Quantity, at_lamp: Quantity, in_ground: Quantity) -> Worked[Decimal]:
    """Volts at the lamp as a share of the plug, in percent, and the drop in the ground return.

    All lamps lit; volts above 0, ground at least 0. More at the lamp than at the plug is no reading: unseen.
    Source: common practice, 90 % and 0.2 V.
    """
    share = 100 * at_lamp.to("V") / above_zero("Volts at the plug", at_plug, "V")
    return Worked(
        name="volts at the lamp",
        value=share,
        says=f"{says(share, 'percent')} of the plug",
        unit="percent",
        formula="volts at the lamp ÷ volts at the plug × 100, all lamps lit",
        inputs=(
            Input("at the plug", str(at_plug)),
            Input("at the lamp", str(at_lamp)),
            Input("in the ground return", str(in_ground)),
        ),
        limit="at least 90 % at the lamp, at most 0.2 V in the ground",
        verdict=_lamp(share, in_ground),
        source=Source("common practice"),
    )


def _lamp(share: Decimal, in_ground: Quantity) -> Verdict:
    if in_ground.to("V") > Decimal("0.2"):
        return Verdict(Grade.NEEDS, f"{in_ground} in the ground, over 0.2 V", By.SOON)
    if share < 90:
        return Verdict(Grade.NEEDS, f"{says(share, 'percent')} of the plug, under 90 %", By.SOON)
    if share > MOST_SHARE:
        return Verdict(Grade.UNSEEN, "A lamp cannot get more than the plug gives: measure both again")
    return Verdict(Grade.SOUND, f"{says(share, 'percent')} of the plug")

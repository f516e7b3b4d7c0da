"""The gauge of a pressure test: whether its range can show what was read."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import Source
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity

RULE = Source("IFGC", "406.4; NFPA 54 8.1.4")
TIMES_THE_TEST = Decimal(5)


@dataclass(frozen=True)
class Gauge:
    """A manometer or gauge: what it can show, from `least` to `most`, in one unit of pressure.

    `mechanical`: a pointer moved by a spring or bellows, as on a pressure gauge. Raises Impossible where
    the top of its scale is not above 0 and above its bottom.
    """

    most: Quantity
    least: Quantity | None = None
    mechanical: bool = False

    def __post_init__(self) -> None:
        if above_zero("Top of the scale", self.most, "psi") <= self.bottom_psi:
            raise Impossible("The scale ends where it begins", "such as 0 to 35 in wc")

    @property
    def bottom_psi(self) -> Decimal:
        """The lowest pressure that it shows, psi; 0 where nothing is said."""
        return self.least.to("psi") if self.least else Decimal(0)

    @property
    def range(self) -> str:
        """Its range in words."""
        return f"{self.least.typed.strip() if self.least else 0} to {self.most}"


def question_gauge(field: str, pressure: Quantity, gauge: Gauge) -> list[Problem]:
    """What is wrong with a pressure read on a gauge: off its scale cannot be, too large a scale is unlikely.

    A mechanical gauge ends at five times the pressure of the test at most. Empty where nothing is wrong.
    Source: IFGC 406.4, NFPA 54 8.1.4 (from memory); a reading off the scale is none.
    """
    read = pressure.to("psi")
    if not gauge.bottom_psi <= read <= gauge.most.to("psi"):
        return [Problem(field, f"This gauge cannot show {pressure}", f"{gauge.range}, or another gauge")]
    if gauge.mechanical and gauge.most.to("psi") > read * TIMES_THE_TEST:
        most = says(read * TIMES_THE_TEST, "psi", 1)
        told = f"A gauge up to {gauge.most} is too coarse for {pressure}"
        return [Problem(field, told, f"a scale that ends at {most} at most", ask=True)]
    return []

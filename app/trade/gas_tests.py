"""Timed pressure tests of gas piping: the rate behind a fall, with temperature, and what the test means."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import above_zero, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, with_unit

STANDARD_R, STANDARD_PSI = Decimal("519.67"), Decimal("14.696")  # 60 °F and one atmosphere
COLDEST_F, HOTTEST_F = Decimal(-60), Decimal(160)
ROOT_2 = Decimal(2).sqrt()
SEA_LEVEL = Quantity("14.696", "psi")
TENTH = Quantity("0.1", "in_wc")
CAUTION = (
    "No flame, and never a test with one; never oxygen. Appliances, regulators and gauges of low pressure "
    "are shut off before a higher test. Gas work is for a licensed or qualified person where the law asks; "
    "the local code goes before this sheet."
)


@dataclass(frozen=True)
class HoldTest:
    """One kind of timed test: gauge pressure in `unit`, ends included, and the least time in minutes."""

    name: str
    least: Decimal
    most: Decimal
    unit: str
    least_minutes: Decimal
    source: Source

    @property
    def pressure(self) -> str:
        """Its pressure in words."""
        return f"{self.least} to {with_unit(str(self.most), self.unit)}"

    @property
    def limit(self) -> str:
        """The test in words."""
        return f"no fall and no rise in {says(self.least_minutes, 'min')} at {self.pressure}"


LEAK_CHECK = HoldTest(
    "leak check below the last regulator",
    Decimal("8.5"),
    Decimal("9.5"),
    "in_wc",
    Decimal(3),
    Source("NFPA 54", "annex C"),
)
DROP_TEST = HoldTest(
    "drop test at 8 in wc", Decimal("7.5"), Decimal("8.5"), "in_wc", Decimal(3), COMMON_PRACTICE
)
APPLIANCES_ON = HoldTest(
    "air test with appliances connected",
    Decimal(10),
    Decimal(14),
    "in_wc",
    Decimal(10),
    Source("WAC", "296-150C-1460"),
)
PIPING = HoldTest(
    "air test of new or altered pipe",
    Decimal(3),
    Decimal(60),
    "psi",
    Decimal(15),
    Source("La. Admin. Code", "55:IX-175(A)"),
)
HOLD_TESTS = {"leak": LEAK_CHECK, "drop": DROP_TEST, "appliances": APPLIANCES_ON, "piping": PIPING}


class Found(StrEnum):
    """What a timed test showed."""

    HELD = "held"
    LEAK = "leak"
    PASSING = "gas is coming in: cylinder valve or regulator passes"
    COOLING = "fall explained by cooling or by the gauge: repeat at steady temperature"
    WARMING = "rise explained by warming or by the gauge: repeat at steady temperature"
    HIDDEN = "steady while cooling: gas may be coming in, repeat at steady temperature"


@dataclass(frozen=True)
class Timed:
    """A closed piece of pipe watched for a time.

    Pressures are gauge; `volume_ft3` is the gas space; `division` is the smallest change the gauge shows.
    Raises Impossible for no time, no volume, a pressure under vacuum, or a temperature outside -60 to 160 °F.
    """

    start: Quantity
    end: Quantity
    minutes: Quantity
    start_temperature: Quantity
    end_temperature: Quantity
    volume_ft3: Decimal = Decimal("0.25")
    division: Quantity = TENTH
    station: Quantity = SEA_LEVEL

    def __post_init__(self) -> None:
        above_zero("Time", self.minutes, "min")
        above_zero("Gauge division", self.division, "psi")
        if self.volume_ft3 <= 0:
            raise Impossible(
                f"A pipe of {self.volume_ft3} ft³ cannot be", "a volume above 0, such as 0.25 ft³"
            )
        for pressure in (self.start, self.end):
            if pressure.to("psi") + above_zero("Station pressure", self.station, "psi") <= 0:
                raise Impossible(f"{pressure} is less than nothing", "a gauge pressure such as 9 in wc")
        for warmth in (self.start_temperature, self.end_temperature):
            if not COLDEST_F <= warmth.to("degF") <= HOTTEST_F:
                raise Impossible(f"{warmth} is no weather for a test", "-60 to 160 °F, such as 68")

    @property
    def change_psi(self) -> Decimal:
        """End less start, as the gauge shows it: negative where it fell."""
        return self.end.to("psi") - self.start.to("psi")

    def per_rankine(self, pressure: Quantity, warmth: Quantity) -> Decimal:
        """Absolute pressure over absolute temperature, in psi a degree Rankine."""
        return (pressure.to("psi") + self.station.to("psi")) / rankine(warmth)

    @property
    def to_standard(self) -> Decimal:
        """Factor from psi a degree Rankine lost to standard ft³ an hour."""
        hours = self.minutes.to("h")
        return self.volume_ft3 * STANDARD_R / STANDARD_PSI / hours

    @property
    def rate(self) -> Decimal:
        """Gas lost, standard ft³ an hour; negative where it came in."""
        lost = self.per_rankine(self.start, self.start_temperature) - self.per_rankine(
            self.end, self.end_temperature
        )
        return lost * self.to_standard

    @property
    def doubt(self) -> Decimal:
        """What two readings of this gauge leave open, standard ft³ an hour."""
        return self.division.to("psi") * ROOT_2 / rankine(self.start_temperature) * self.to_standard


def rankine(warmth: Quantity) -> Decimal:
    """Absolute temperature in degrees Rankine."""
    return warmth.to("degF") + Decimal("459.67")


def leak_test(timed: Timed, test: HoldTest = LEAK_CHECK) -> Worked[Decimal]:
    """Gas lost in standard ft³ an hour (negative where it came in), and what the timed test means.

    No loss is tolerated: the rate is information, never an allowance. A test too short, or outside the
    pressure of its kind, proves nothing and stays unseen. Source: that of `test`; ideal gas in a rigid pipe.
    """
    return Worked(
        name=test.name,
        value=timed.rate,
        says=f"{says(timed.rate, '', 4)} ft³/h ± {says(timed.doubt, '', 4)}",
        unit="ft³/h at 60 °F",
        formula=(
            "volume × (start pressure ÷ start temperature − end pressure ÷ end temperature) "
            "× (519.67 °R ÷ 14.696 psi) ÷ hours, absolute throughout"
        ),
        inputs=_inputs(timed),
        limit=test.limit,
        verdict=_verdict(timed, test),
        source=test.source,
        caution=CAUTION,
    )


def found(timed: Timed) -> Found:
    """What the readings show, before the kind of test is asked."""
    change, rate, doubt = timed.change_psi, timed.rate, timed.doubt
    if rate > doubt:
        return Found.LEAK
    if change < 0:
        return Found.COOLING
    if change > 0:
        return Found.PASSING if rate < -doubt else Found.WARMING
    return Found.HIDDEN if rate < -doubt else Found.HELD


def _inputs(timed: Timed) -> tuple[Input, ...]:
    return (
        Input("start", f"{timed.start} at {timed.start_temperature}"),
        Input("end", f"{timed.end} at {timed.end_temperature}"),
        Input("time", str(timed.minutes)),
        Input("volume", f"{timed.volume_ft3} ft³"),
        Input("station pressure", str(timed.station)),
        Input("gauge division", str(timed.division)),
    )


def _verdict(timed: Timed, test: HoldTest) -> Verdict:
    what = found(timed)
    if what is Found.LEAK:
        return Verdict(Grade.NEEDS, "pressure falls: cylinders off and tagged", By.USE)
    if what is Found.PASSING:
        return Verdict(Grade.NEEDS, what, By.USE)
    if amiss := _amiss(timed, test):
        return Verdict(Grade.UNSEEN, amiss)
    if what is Found.HELD:
        return Verdict(Grade.SOUND, f"held {timed.start} for {timed.minutes}")
    return Verdict(Grade.UNSEEN, what)


def _amiss(timed: Timed, test: HoldTest) -> str:
    if timed.minutes.under(test.least_minutes, "min"):
        return f"{timed.minutes} of {says(test.least_minutes, 'min')}: too short to prove anything"
    if timed.start.under(test.least, test.unit) or timed.start.over(test.most, test.unit):
        return f"{timed.start} is not the pressure of this test, {test.pressure}"
    return ""

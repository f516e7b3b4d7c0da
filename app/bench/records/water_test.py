"""Water test: spray from outside, supply held under pressure, pump kept quiet, waste tank filled."""

from decimal import Decimal

from app.bench.kinds import Context, Judged
from app.bench.rows import YES_NO, Flat, Read, Row, check_groups, faults, judged, row_kind, words
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader
from app.trade.water_tests import CAUTION, Held, sprayed, water_hold

SPRAYED = (("body", "Roof, wall, window"), ("canvas", "Canvas"))
LEAST_SPRAY = {"body": Decimal(15), "canvas": Decimal(10)}
GROUPS = {
    "The spray": ("sprayed", "spray_minutes", "dry"),
    "The pressure test": ("start", "end", "minutes"),
    "The pump test": ("quiet_minutes", "quiet"),
    "The tank test": ("tank_minutes", "tank_dry", "valve"),
}
QUIET_LEAST, TANK_LEAST = Decimal(10), Decimal(30)  # min, common practice


class WaterTest(Flat):
    """What of a unit's water was tested: pressures in psi, times in minutes; the rest is empty."""

    sprayed: str = ""
    spray_minutes: str = ""
    dry: str = ""
    start: str = ""
    end: str = ""
    minutes: str = ""
    quiet_minutes: str = ""
    quiet: str = ""
    tank_minutes: str = ""
    tank_dry: str = ""
    valve: str = ""
    where: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a water test."""
    return (
        Row("sprayed", "Sprayed", options=SPRAYED, head="Spray, from the bottom up, one person inside"),
        _minutes("spray_minutes", "Sprayed for", "at least 15, canvas 10"),
        _yes("dry", "Dry inside, looked at with a light"),
        words("where", "Where it came in, or what was looked at"),
        Row("start", "At the start", "psi", "40", most="150", head="Supply shut, under pressure"),
        Row("end", "At the end", "psi", "at most 5 less", most="150"),
        _minutes("minutes", "Watched for", "at least 15"),
        _minutes("quiet_minutes", "Watched for", "at least 10", head="Pump run to its shut-off"),
        _yes("quiet", "Pump stayed quiet"),
        _minutes("tank_minutes", "Stood full for", "at least 30", head="Waste tank"),
        _yes("tank_dry", "All joints dry"),
        _yes("valve", "Valve and cap hold"),
    )


def _minutes(name: str, label: str, reach: str, *, head: str = "") -> Row:
    return Row(name, label, "min", reach, least="0.5", most="1440", head=head)


def _yes(name: str, label: str) -> Row:
    return Row(name, label, options=YES_NO)


def check(form: Reader, _context: Context) -> None:
    """At least one test, each whole."""
    check_groups(form, GROUPS, "spray, supply, pump or tank")
    if form.raw("dry") == "no" and not form.raw("where"):
        form.wrong("where", "Say where it came in", "such as: left rear corner, above the window")


def judge(record: WaterTest, _context: Context) -> Judged:
    """The heaviest verdict of all that was tested."""
    figures: list[Worked[object]] = []
    if record.sprayed:
        figures.append(sprayed(Quantity(record.spray_minutes, "min"), LEAST_SPRAY[record.sprayed]))
    if record.start:
        start, end = Quantity(record.start, "psi"), Quantity(record.end, "psi")
        figures.append(water_hold(Held(start, end, Quantity(record.minutes, "min"))))
    return judged(figures, [*_wet(record), *_timed(record)])


def _wet(record: WaterTest) -> list[Verdict]:
    told = {
        "dry": Verdict(Grade.NEEDS, f"Water comes in: {record.where}", By.SOON),
        "quiet": Verdict(Grade.NEEDS, "Pump runs by itself: something leaks", By.SOON),
        "tank_dry": Verdict(Grade.NEEDS, "Tank or its joints drip", By.TOWING),
        "valve": Verdict(Grade.NEEDS, "Waste valve or cap drips", By.TOWING),
    }
    return faults(record, told)


def _timed(record: WaterTest) -> list[Verdict]:
    tests = ((record.quiet_minutes, QUIET_LEAST, "Pump"), (record.tank_minutes, TANK_LEAST, "Tank"))
    return [_long_enough(minutes, least, what) for minutes, least, what in tests if minutes]


def _long_enough(minutes: str, least: Decimal, what: str) -> Verdict:
    if read_number(minutes) < least:
        return Verdict(Grade.UNSEEN, f"{what} watched for {minutes} of {least} min: this proves nothing")
    return Verdict(Grade.SOUND, f"{what.lower()} held for {minutes} min")


KIND = row_kind(
    "water_test",
    "Water test",
    "unit",
    WaterTest,
    judge,
    Read(rows, ("pressure gauge",), check, CAUTION, tool_required=False, cautions=("c8", "c14")),
)

"""Breakaway test where no battery works it: a surge actuator's lever pulled, or an air line parted."""

from app.bench.kinds import Context, Judged
from app.bench.records.breakaway import check_wheels, wheel_rows
from app.bench.rows import Flat, Read, Row, faults, judged, looked, row_kind
from app.trade.brakes import Hold, breakaway_hold
from app.trade.figure import By, Grade, Verdict
from app.trade.magnets import dead_brake
from app.trade.quantity import Quantity, read_number

TRIED = (("hand", "Turned by hand"), ("tow", "Pulled gently"))
GOES_ON = {
    "surge": "Lever catches when its cable is pulled, and stays by itself",
    "air": "Supply line parted: the brakes come on by themselves",
}
GOES_ON_ELSE = "Pulled, it goes on and stays on by itself"
NOTE = "Chocks set on both sides, nobody before or behind it, before the lever is pulled or the line parted."


class BreakawayPull(Flat):
    """One test. Minutes held, wheels held of wheels braked; the pull in lbf, where it was measured."""

    goes_on: str
    tried: str
    pull: str = ""
    minutes: str
    wheels_held: str
    wheels_braked: str
    lets_go: str
    cable: str


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a test, in the order of the clock."""
    goes_on = GOES_ON.get(context.brakes, GOES_ON_ELSE)
    return (
        looked("goes_on", goes_on),
        Row("tried", "How the wheels were tried", options=TRIED, required="Say how they were tried"),
        Row("pull", "Pull that it held against", "lbf", "where measured", most="5000"),
        Row("minutes", "Held for", "min", "at least 15", most="120", required="The time is missing"),
        *wheel_rows(),
        looked("lets_go", "Set free again: every wheel turns"),
        looked("cable", "Cable or hose whole, with more slack than the chains"),
    )


def judge(record: BreakawayPull, context: Context) -> Judged:
    """The hold against 15 minutes and every braked wheel, and what was seen of lever, release and cable."""
    test = Hold(
        minutes=Quantity(record.minutes, "min"),
        volts_end=None,
        wheels_held=int(read_number(record.wheels_held)),
        wheels_braked=int(read_number(record.wheels_braked)),
    )
    told = {"goes_on": dead_brake("It does not go on and stay on", required=context.brakes_required), **SEEN}
    return judged([breakaway_hold(test, required=context.brakes_required)], faults(record, told))


SEEN = {
    "lets_go": Verdict(Grade.NEEDS, "Brakes stay on when it is set free", By.TOWING),
    "cable": Verdict(Grade.NEEDS, "Cable or hose worn, or pulled before the chains", By.TOWING),
}


KIND = row_kind(
    "breakaway_pull",
    "Breakaway test, no battery",
    "unit",
    BreakawayPull,
    judge,
    Read(rows, ("spring scale",), check_wheels, NOTE, tool_required=False),
)

"""Flow and lock-up of a gas regulator: pressure with burners on, with all off, and at changeover."""

from decimal import Decimal

from app.bench.kinds import Context, Judged
from app.bench.rows import YES_NO, Flat, Read, Row, judged, looked, row_kind
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.gas_tests import CAUTION
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.regulators import LEAST_IN_WC, delivery
from app.trade.typed import Reader

HALF = Decimal("0.5")  # of all input must burn while the running pressure is read, common practice
WAIT_LEAST = Decimal(1)  # min with all off before lock-up counts


class FlowLockup(Flat):
    """One regulator. Inputs in Btu/h from the appliances' plates, pressures in inches of water."""

    two_stage: str
    vent: str
    all_input: str
    burning: str
    running: str
    minutes: str
    lock_up: str
    creeps: str
    changeover: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a regulator, in the order of the work."""
    return (
        looked("two_stage", "Two-stage regulator", head="Regulator"),
        looked("vent", "Vent down, open and shielded"),
        _input("all_input", "All appliances together", head="Burners on"),
        _input("burning", "Burning now", "at least half of all"),
        _pressure("running", "Running", "10.5 to 11.5"),
        Row("changeover", "Running, service cylinder shut", "in_wc", "at least 10", most="60"),
        _pressure("lock_up", "Lock-up", "at most 14, steady", head="All off"),
        Row("minutes", "Waited", "min", "1 to 3", most="60", required="The time is missing"),
        Row("creeps", "Still rising", options=YES_NO, reach="no", required="Say whether it still rises"),
    )


def _input(name: str, label: str, reach: str = "by their plates", *, head: str = "") -> Row:
    return Row(name, label, "btu_h", reach, "1", "500000", required="The input is missing", head=head)


def _pressure(name: str, label: str, reach: str, *, head: str = "") -> Row:
    return Row(name, label, "in_wc", reach, most="60", required="The pressure is missing", head=head)


def check(form: Reader, _context: Context) -> None:
    """No more burns than there is."""
    try:
        more = read_number(form.raw("burning")) > read_number(form.raw("all_input"))
    except Impossible:
        return
    if more:
        form.wrong("burning", "More burns than there is", f"at most {form.raw('all_input')} Btu/h")


def judge(record: FlowLockup, _context: Context) -> Judged:
    """The heaviest of: running, lock-up, changeover, the regulator; too little flow proves nothing."""
    running, lock_up = Quantity(record.running, "in_wc"), Quantity(record.lock_up, "in_wc")
    figures: list[Worked[object]] = [delivery(running, lock_up, creeps=record.creeps == "yes")]
    return judged(figures, [*_proves(record), *_regulator(record)])


def _proves(record: FlowLockup) -> list[Verdict]:
    found = []
    if read_number(record.burning) < HALF * read_number(record.all_input):
        found.append(Verdict(Grade.UNSEEN, "Under half of the input burning: this proves nothing"))
    if read_number(record.minutes) < WAIT_LEAST:
        found.append(Verdict(Grade.UNSEEN, f"Lock-up after {record.minutes} of 1 min: this proves nothing"))
    return found


def _regulator(record: FlowLockup) -> list[Verdict]:
    found = []
    if record.two_stage == "no":
        found.append(Verdict(Grade.NEEDS, "Single-stage regulator", By.USE))
    if record.vent == "no":
        found.append(Verdict(Grade.NEEDS, "Regulator's vent blocked or not shielded", By.USE))
    if record.changeover and read_number(record.changeover) < LEAST_IN_WC:
        found.append(Verdict(Grade.NEEDS, f"Changeover {record.changeover} in wc, under 10", By.USE))
    return found


KIND = row_kind(
    "flow_lockup",
    "Flow and lock-up",
    "unit",
    FlowLockup,
    judge,
    Read(rows, ("manometer", "pressure gauge"), check, CAUTION, cautions=("c5",)),
)

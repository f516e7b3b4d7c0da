"""One gas appliance after service: flame, safety valve, vent, carbon monoxide, relief valve."""

from app.bench.kinds import Context, Judged
from app.bench.rows import Flat, Read, Row, faults, judged, looked, row_kind, words
from app.trade.burners import CAUTION, carbon_monoxide, safety_valve
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader

WHICH = (
    ("furnace", "Furnace"),
    ("heater", "Water heater"),
    ("range", "Range or oven"),
    ("fridge", "Refrigerator"),
    ("other", "Another"),
)
FLAME = (("blue", "Blue, steady"), ("yellow", "Yellow, sooting"), ("lifts", "Lifts or goes out"))


class Appliance(Flat):
    """One appliance. Seconds that its safety valve took, ppm inside and outside, as typed."""

    which: str
    plate: str
    by_whom: str
    chamber: str
    vent: str
    flame: str
    seconds: str
    inside: str
    outside: str
    relief: str
    smell: str


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of an appliance, in the order of the work."""
    return (
        Row("which", "Appliance", options=WHICH, required="Say which appliance", head="Which, and who"),
        words("plate", "Maker's plate: type and number", required="The plate is missing"),
        words("by_whom", "Serviced by", "licensed or qualified person", required="The name is missing"),
        looked("chamber", "Burn chamber whole, no crack, no rust hole", may_lack=True, head="Cold"),
        looked("vent", "Vent tight, caps clear, screened", may_lack=True),
        looked("relief", "Relief valve lifts and shuts", may_lack=True),
        Row("flame", "Flame", options=FLAME, required="Say how it burns", head="Lit"),
        Row("seconds", "Safety valve shuts after", "s", "at most 90", most="600", required="Time it"),
        _ppm("inside", "Carbon monoxide inside, doors shut", "at most 9 over outside"),
        _ppm("outside", "Carbon monoxide outside"),
        looked("smell", "Joints soaped, no bubble, no smell"),
    )


def _ppm(name: str, label: str, reach: str = "") -> Row:
    return Row(name, label, "ppm", reach, most="2000", required="The reading is missing")


def check(form: Reader, _context: Context) -> None:
    """Less inside than outside is asked about: no burner takes carbon monoxide out of the air."""
    try:
        inside, outside = (read_number(form.raw(name)) for name in ("inside", "outside"))
    except Impossible:
        return  # said already where the number was read
    if inside < outside:
        says = "More outside than inside: are the two readings swapped?"
        form.ask("outside", says, "at most the reading inside")


def judge(record: Appliance, _context: Context) -> Judged:
    """The heaviest of: safety valve, carbon monoxide, flame, vent and chamber."""
    figures: list[Worked[object]] = [
        safety_valve(Quantity(record.seconds, "s")),
        carbon_monoxide(Quantity(record.inside, "ppm"), Quantity(record.outside, "ppm")),
    ]
    return judged(figures, _seen(record))


FAULTS = {
    "chamber": Verdict(Grade.NEEDS, "Burn chamber cracked or rusted through: a new appliance", By.USE),
    "vent": Verdict(Grade.NEEDS, "Vent loose or blocked", By.USE),
    "relief": Verdict(Grade.NEEDS, "Relief valve stuck", By.USE),
    "smell": Verdict(Grade.NEEDS, "Bubbles at a joint, or a smell: cylinders off", By.USE),
}


def _seen(record: Appliance) -> list[Verdict]:
    found = faults(record, FAULTS)
    if record.flame != "blue":
        found.append(Verdict(Grade.NEEDS, f"Flame {dict(FLAME)[record.flame].lower()}", By.USE))
    return found or [Verdict(Grade.SOUND, f"{dict(WHICH)[record.which]} burns blue")]


KIND = row_kind(
    "appliance",
    "Appliance",
    "place",
    Appliance,
    judge,
    Read(rows, check=check, note=CAUTION, cautions=("c7", "c5", "c14")),
)

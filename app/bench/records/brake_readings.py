"""Brake readings of one axle: lining, drum, magnets; what was read counts, at least one of the three."""

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.brakes import CAUTION, Lining, drum_diameter, lining_thickness
from app.trade.figure import Worked
from app.trade.magnets import MAGNETS, Reading, magnet_current, magnet_resistance
from app.trade.quantity import Quantity
from app.trade.typed import Reader

SIDES = (("left", "left"), ("right", "right"))
LEAST = "bonded at least 2, riveted at least 1 over the rivet"
HELD = (("bonded", "Bonded"), ("riveted", "Riveted"))
DRUMS = tuple((size, f"{size} in drum") for size in MAGNETS)


class BrakeReadings(Flat):
    """One axle. Lining in 32nds of an inch, two diameters a drum in inches, magnets in ohm, current in A."""

    lining: str = ""
    lining_left: str = ""
    lining_right: str = ""
    drum_left_1: str = ""
    drum_left_2: str = ""
    drum_left_most: str = ""
    drum_right_1: str = ""
    drum_right_2: str = ""
    drum_right_most: str = ""
    magnet: str = ""
    ohms_left: str = ""
    ohms_right: str = ""
    volts: str = ""
    amps: str = ""


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of an axle: lining, drums, and where its brakes are or may be electric, both magnets."""
    linings = [
        Row(
            f"lining_{side}",
            f"Thinnest lining, {word}",
            "in_32nd",
            LEAST,
            most="16",
        )
        for side, word in SIDES
    ]
    drums = [row for side, word in SIDES for row in _drum_rows(side, word)]
    magnets = _magnet_rows() if context.brakes in ("electric", "unknown") else ()
    return (Row("lining", "Lining", options=HELD), *linings, *drums, *magnets)


def _magnet_rows() -> tuple[Row, ...]:
    ohms = [Row(f"ohms_{side}", f"Magnet, {word}, cold", "ohm", most="1000") for side, word in SIDES]
    return (
        Row("magnet", "Magnets", options=DRUMS, reach="7 in: 3.8 to 4.0 ohm; 10 and 12 in: 3.2 to 3.5 ohm"),
        *ohms,
        Row("volts", "Volts at both magnets", "V", most="18"),
        Row("amps", "Amps of both magnets", "A", most="60"),
    )


def _drum_rows(side: str, word: str) -> tuple[Row, ...]:
    told = (
        ("1", "first diameter", ""),
        ("2", "second diameter", "out of round at most 0.005 in"),
        ("most", "most as cast", ""),
    )
    return tuple(
        Row(f"drum_{side}_{name}", f"Drum {word}, {label}", "in", reach, least="5", most="20")
        for name, label, reach in told
    )


GROUPS = (
    ("lining", ("lining", "lining_left", "lining_right")),
    ("drum_left_1", ("drum_left_1", "drum_left_2")),
    ("drum_right_1", ("drum_right_1", "drum_right_2")),
    ("magnet", ("magnet", "ohms_left", "ohms_right")),
    ("amps", ("magnet", "volts", "amps")),
)


def check(form: Reader, _context: Context) -> None:
    """At least one group is read, and what is begun is whole: both sides, two diameters, volts with amps."""
    begun = [group for _, group in GROUPS if any(form.raw(name) for name in group if name not in ("magnet",))]
    if not begun:
        form.wrong("lining", "Nothing was read", "lining, drums, or magnets of both sides")
    for name in {name for group in begun for name in group}:
        if not form.raw(name):
            form.wrong(name, "This belongs to what was read beside it", "a reading of both sides")


def judge(record: BrakeReadings, context: Context) -> Judged:
    """The heaviest verdict of all that was read."""
    figures = [*_linings(record), *_drums(record), *_magnets(record, context)]
    return Judged(heaviest_of([each.verdict for each in figures if each.verdict]), tuple(figures))


def _linings(record: BrakeReadings) -> list[Worked[object]]:
    found = record.quantities(("lining_left", "lining_right"), "in_32nd")
    return [lining_thickness(each, Lining(record.lining)) for each in found]


def _drums(record: BrakeReadings) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    for side, _ in SIDES:
        readings = record.quantities((f"drum_{side}_1", f"drum_{side}_2"), "in")
        if readings:
            found.append(drum_diameter(readings, record.quantity(f"drum_{side}_most", "in")))
    return found


def _magnets(record: BrakeReadings, context: Context) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    ohms = record.quantities(("ohms_left", "ohms_right"), "ohm")
    if ohms:
        found.append(magnet_resistance(MAGNETS[record.magnet], ohms, required=context.brakes_required))
    if record.amps:
        reading = Reading(MAGNETS[record.magnet], 2, Quantity(record.volts, "V"), Quantity(record.amps, "A"))
        found.append(magnet_current(reading, required=context.brakes_required))
    return found


KIND = row_kind(
    "brake_readings",
    "Brake readings",
    "axle",
    BrakeReadings,
    judge,
    Read(rows, ("multimeter", "caliper", "clamp meter"), check, CAUTION, tool_required=False),
)

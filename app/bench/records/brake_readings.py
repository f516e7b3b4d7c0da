"""Brake readings of one axle: lining and drum, or pad and rotor, lines and magnets; what was read counts."""

from app.bench.kinds import Context, Judged, Used, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.bench.rows import begun as begun_of
from app.trade.brakes import (
    CAUTION,
    Lining,
    drum_diameter,
    lining_thickness,
    pad_thickness,
    rotor_thickness,
)
from app.trade.figure import By, Grade, Verdict, Worked
from app.trade.magnets import MAGNETS, Reading, magnet_current, magnet_resistance
from app.trade.quantity import Quantity
from app.trade.typed import Reader

SIDES = (("left", "left"), ("right", "right"))
LEAST = "bonded at least 2, riveted at least 1 over the rivet"
OHMS = "7 in: 3.8 to 4.0 ohm; 10 and 12 in: 3.2 to 3.5 ohm"
HELD = (("bonded", "Bonded"), ("riveted", "Riveted"))
DRUMS = tuple((size, f"{size} in drum") for size in MAGNETS)
JOINTS = (("dry", "Dry"), ("wet", "Wet, or a hose bulges"))
FLUID = (("new", "New, at its mark"), ("level", "At its mark"), ("low", "Low"))
MAY_HAVE_DISCS = ("hydraulic", "surge", "unknown")  # as the walk-round asks: a surge actuator is hydraulic


class BrakeReadings(Flat):
    """One axle. Lining and pad in 32nds of an inch, drums (two diameters each) and rotors in inches, magnets
    in ohm, current in A. `joints`: of pipes and hoses, under pressure. `second`: the meter beside the
    caliper, or the other way round.
    """

    lining: str = ""
    lining_left: str = ""
    lining_right: str = ""
    drum_left_1: str = ""
    drum_left_2: str = ""
    drum_left_most: str = ""
    drum_right_1: str = ""
    drum_right_2: str = ""
    drum_right_most: str = ""
    pad: str = ""
    pad_left: str = ""
    pad_right: str = ""
    rotor_left: str = ""
    rotor_left_least: str = ""
    rotor_right: str = ""
    rotor_right_least: str = ""
    joints: str = ""
    fluid: str = ""
    magnet: str = ""
    ohms_left: str = ""
    ohms_right: str = ""
    volts: str = ""
    amps: str = ""
    amps_left: str = ""
    amps_right: str = ""
    second: Used | None = None


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of an axle: lining and drums, discs and magnets where its brakes have or may have them."""
    drums = [row for side, word in SIDES for row in _drum_rows(side, word)]
    discs = _disc_rows() if context.brakes in MAY_HAVE_DISCS else ()
    magnets = _magnet_rows() if context.brakes in ("electric", "unknown") else ()
    return (*_held_rows("lining", "Lining", "16", "Drum brakes"), *drums, *discs, *magnets)


def _held_rows(name: str, word: str, most: str, head: str) -> tuple[Row, ...]:
    """How lining or pads are held, and the thinnest of either side."""
    label = f"Thinnest {word.lower()}"
    sides = (Row(f"{name}_{side}", f"{label}, {side}", "in_32nd", LEAST, most=most) for side, _ in SIDES)
    return (Row(name, word, options=HELD, head=head), *sides)


def _disc_rows() -> tuple[Row, ...]:
    rotors = (
        Row(f"rotor_{side}{end}", f"Rotor {word}, {label}", "in", least="0.05", most="4")
        for side, word in SIDES
        for end, label in (("", "thinnest of four places"), ("_least", "least marked on it"))
    )
    return (*_held_rows("pad", "Pad", "24", "Disc brakes"), *rotors, *_line_rows())


def _line_rows() -> tuple[Row, ...]:
    """Pipes, hoses and fluid, as the walk-round asks: pressed hard for half a minute; common practice."""
    pressed = "firm pressure held for 30 seconds"
    return (
        Row("joints", "Every joint, pipe and hose", reach=pressed, options=JOINTS, head="Lines and fluid"),
        Row("fluid", "Fluid in the master cylinder", options=FLUID),
    )


def _magnet_rows() -> tuple[Row, ...]:
    ohms = [Row(f"ohms_{side}", f"Magnet, {word}, cold", "ohm", most="1000") for side, word in SIDES]
    return (
        Row("magnet", "Magnets", options=DRUMS, reach=OHMS, head="Magnets"),
        *ohms,
        Row("volts", "Volts at the magnets", "V", most="18"),
        Row("amps", "Amps of both magnets together", "A", most="60"),
        *(Row(f"amps_{side}", f"Amps of the {word} magnet alone", "A", most="60") for side, word in SIDES),
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
    ("pad", ("pad", "pad_left", "pad_right")),
    ("rotor_left", ("rotor_left",)),
    ("rotor_right", ("rotor_right",)),
    ("joints", ("joints",)),
    ("fluid", ("fluid",)),
    ("magnet", ("magnet", "ohms_left", "ohms_right")),
    ("amps", ("magnet", "volts", "amps")),
    ("amps_left", ("magnet", "volts", "amps_left", "amps_right")),
)
WITH = {  # what says nothing alone, and what it belongs to: the first where none of them is read
    "drum_left_most": ("drum_left_1",),
    "drum_right_most": ("drum_right_1",),
    "rotor_left_least": ("rotor_left",),
    "rotor_right_least": ("rotor_right",),
    "volts": ("amps", "amps_left", "amps_right"),
}
SHARED = ("magnet", "volts")  # of several groups: they begin none


def check(form: Reader, _context: Context) -> None:
    """At least one group is read, and what is begun is whole: both sides, two diameters, volts with amps."""
    begun = [group for _, group in GROUPS if any(form.raw(name) for name in group if name not in SHARED)]
    if not begun:
        form.wrong("lining", "Nothing was read", "lining, drums, pads, or magnets of both sides")
    needed = {name for group in begun for name in group}
    needed |= {reads[0] for name, reads in WITH.items() if form.raw(name) and not begun_of(form, reads)}
    for name in sorted(needed):
        if not form.raw(name):
            form.wrong(name, "This belongs to what was read beside it", "a reading of both sides")


def judge(record: BrakeReadings, context: Context) -> Judged:
    """The heaviest verdict of all that was read."""
    figures = [*_linings(record), *_drums(record), *_discs(record), *_magnets(record, context)]
    verdicts = [*(each.verdict for each in figures if each.verdict), *_lines(record)]
    return Judged(heaviest_of(verdicts), tuple(figures))


def _lines(record: BrakeReadings) -> list[Verdict]:
    """A leak or bulge under pressure: 16-222 C.M.R. chapter 1, 200.70 C; the level: common practice."""
    found = {
        "dry": Verdict(Grade.SOUND, "joints and hoses dry under pressure"),
        "wet": Verdict(Grade.DNT, "a joint leaks or a hose bulges under pressure"),
        "new": Verdict(Grade.SOUND, "new fluid at its mark"),
        "level": Verdict(Grade.SOUND, "fluid at its mark"),
        "low": Verdict(Grade.NEEDS, "the fluid is low", By.SOON),
    }
    return [found[each] for each in (record.joints, record.fluid) if each]


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


def _discs(record: BrakeReadings) -> list[Worked[object]]:
    pads = record.quantities(("pad_left", "pad_right"), "in_32nd")
    found: list[Worked[object]] = [pad_thickness(each, Lining(record.pad)) for each in pads]
    for side, _ in SIDES:
        if thinnest := record.quantity(f"rotor_{side}", "in"):
            found.append(rotor_thickness(thinnest, record.quantity(f"rotor_{side}_least", "in")))
    return found


def _magnets(record: BrakeReadings, context: Context) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    ohms = record.quantities(("ohms_left", "ohms_right"), "ohm")
    if ohms:
        found.append(magnet_resistance(MAGNETS[record.magnet], ohms, required=context.brakes_required))
    for amps, count in ((record.amps, 2), (record.amps_left, 1), (record.amps_right, 1)):
        if amps:
            fed = Quantity(record.volts, "V"), Quantity(amps, "A")
            reading = Reading(MAGNETS[record.magnet], count, *fed)
            found.append(magnet_current(reading, required=context.brakes_required))
    return found


KIND = row_kind(
    "brake_readings",
    "Brake readings",
    "axle",
    BrakeReadings,
    judge,
    Read(rows, ("multimeter", "caliper", "clamp meter"), check, CAUTION, tool_required=False, second=True),
)

"""Lights and plug, function by function: lit or dark, fed or dead, and what is lost on the way."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.figure import By, Grade, Verdict
from app.trade.magnets import dead_brake
from app.trade.problems import Impossible
from app.trade.quantity import read_number
from app.trade.typed import Reader

LIT = (("lit", "Lit"), ("dark", "Dark or dim"), ("none", "Not fitted"))
REFLECT = (("lit", "Whole and clean"), ("dark", "Missing, broken or faded"))
REAR = {"tail": "Tail", "stop": "Stop", "left": "Turn left", "right": "Turn right"}
OTHER = {
    "marker": "Side markers, clearance",
    "plate": "Plate lamp",
}
FED = (("fed", "Works"), ("dead", "Dead or poor"), ("none", "Not fitted"))
PLUG = {
    "ground": "Ground, wire and pin",
    "brake_feed": "Brake feed from the controller",
    "charge": "Charging line to the battery",
    "reverse": "Reverse lamp or lock-out",
}
MOST_LOST = "1.0"  # V between plug and lamp with the lamp lit: common practice
USUAL = ("9", "15")  # V of a 12 V system, from flat to charging: common practice
METER = "0.1"  # V that two readings of one meter may lie apart: common practice


class Lights(Flat):
    """One unit's lamps and the other pins of its plug, and volts at both ends where they were read."""

    tail: str
    stop: str
    left: str
    right: str
    marker: str
    plate: str
    reflectors: str
    ground: str = ""
    brake_feed: str = ""
    charge: str = ""
    reverse: str = ""
    volts_plug: str = ""
    volts_lamp: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of the circuits, those at the rear first, then the other pins of the plug."""
    return (
        *_asked(REAR | OTHER, LIT, "Lamps and reflectors"),
        Row("reflectors", "Reflectors", options=REFLECT, required="Reflectors: not looked at"),
        *_asked(PLUG, FED, "At the plug, pin by pin"),
        Row("volts_plug", "Volts at the plug, lamp lit", "V", most="18", usual=USUAL, head="What is lost"),
        Row(
            "volts_lamp",
            "Volts at the furthest lamp",
            "V",
            f"at most {MOST_LOST} V less",
            most="18",
            usual=USUAL,
        ),
    )


def _asked(names: Mapping[str, str], options: tuple[tuple[str, str], ...], head: str) -> tuple[Row, ...]:
    """One row a function, the heading before the first."""
    return tuple(
        Row(name, word, options=options, required=f"{word}: not looked at", head="" if n else head)
        for n, (name, word) in enumerate(names.items())
    )


def check(form: Reader, _context: Context) -> None:
    """Volts are read at both ends; more at the lamp than at the plug is asked about."""
    for name, other in (("volts_plug", "volts_lamp"), ("volts_lamp", "volts_plug")):
        if form.raw(other) and not form.raw(name):
            form.wrong(name, "Volts are read at both ends", "such as 12.6")
    _check_fall(form)


def _check_fall(form: Reader) -> None:
    try:
        plug, lamp = (read_number(form.raw(name)) for name in ("volts_plug", "volts_lamp"))
    except Impossible:
        return  # nothing was read, or it is said already where the number was read
    if lamp - plug > Decimal(METER):
        says = "More volts at the lamp than at the plug: are the two readings swapped?"
        form.ask("volts_lamp", says, "at most the volts at the plug")


def judge(record: Lights, context: Context) -> Judged:
    """A dark tail, stop or turn lamp stops the tow, a dead brake feed where brakes are required; other lamps,
    pins and lost volts need work.
    """
    found = [Verdict(Grade.SOUND, "All lamps lit")]
    rear = [word.lower() for name, word in REAR.items() if getattr(record, name) != "lit"]
    other = [word.lower() for name, word in OTHER.items() if getattr(record, name) == "dark"]
    if rear:
        found.append(Verdict(Grade.DNT, f"No light: {', '.join(rear)}"))
    if other:
        found.append(Verdict(Grade.NEEDS, f"Dark or dim: {', '.join(other)}", By.TOWING))
    if record.reflectors == "dark":
        found.append(Verdict(Grade.NEEDS, "Reflectors missing, broken or faded", By.TOWING))
    return Judged(heaviest_of([*found, *_dead(record, context), *_lost(record)]))


def _dead(record: Lights, context: Context) -> list[Verdict]:
    """What the dead pins of the plug mean. 49 CFR 393.48(a) for the brakes, common practice for the rest."""
    says = {name: f"Dead or poor: {word[0].lower()}{word[1:]}" for name, word in PLUG.items()}
    told = {
        "ground": Verdict(Grade.NEEDS, says["ground"], By.TOWING),
        "brake_feed": dead_brake(says["brake_feed"], required=context.brakes_required),
        "charge": Verdict(Grade.NEEDS, says["charge"], By.SOON),
        "reverse": Verdict(Grade.NEEDS, says["reverse"], By.SOON),
    }
    return [verdict for name, verdict in told.items() if getattr(record, name) == "dead"]


def _lost(record: Lights) -> list[Verdict]:
    """What the volts say; voltage only falls along a wire, so a rise leaves the loss unseen (Ohm's law)."""
    plug, lamp = record.quantity("volts_plug", "V"), record.quantity("volts_lamp", "V")
    if not plug or not lamp:
        return []
    lost = plug.value - lamp.value
    if lost > Decimal(MOST_LOST):
        return [Verdict(Grade.NEEDS, f"{lost} V lost on the way", By.SOON)]
    if -lost > Decimal(METER):
        return [Verdict(Grade.UNSEEN, f"{-lost} V more at the lamp than at the plug: read both again")]
    return []


KIND = replace(
    row_kind(
        "lights", "Lights", "unit", Lights, judge, Read(rows, ("multimeter",), check, tool_required=False)
    ),
    covers=True,
)

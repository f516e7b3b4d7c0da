"""Electrical load: battery at rest and loaded, converter, fuse against wire, what lamps get."""

from app.bench.kinds import Context, Judged
from app.bench.rows import Flat, Read, Row, check_groups, judged, row_kind
from app.trade.batteries import CAUTION, state_of_charge
from app.trade.charging import Charging, battery_load, converter
from app.trade.figure import Worked
from app.trade.quantity import Quantity
from app.trade.typed import Reader
from app.trade.wiring import FUSE_MOST, circuit_drop, fuse_verdict, gauge_name

GROUPS = {
    "The battery": ("battery", "rested", "warmth", "loaded"),
    "The converter": ("idle", "under_load", "ripple"),
    "The fuse": ("wire", "fuse"),
    "What the lamps get": ("at_plug", "at_lamp", "in_ground"),
}
BATTERIES = (("flooded", "Flooded"), ("sealed", "AGM or gel"), ("lithium", "Lithium"))
WIRES = tuple((str(gauge), gauge_name(gauge)) for gauge in FUSE_MOST)


class ElectricalLoad(Flat):
    """12 V side of a unit, volts and amps as typed; what was not read is empty."""

    battery: str = ""
    rested: str = ""
    warmth: str = ""
    loaded: str = ""
    idle: str = ""
    under_load: str = ""
    ripple: str = ""
    wire: str = ""
    fuse: str = ""
    at_plug: str = ""
    at_lamp: str = ""
    in_ground: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a unit's 12 V side."""
    return (
        Row("battery", "Battery", options=BATTERIES, head="Battery"),
        _volts("rested", "Rested 6 h, nothing on", "flooded 12.65 full, 12.24 half"),
        Row("warmth", "Battery's temperature", "degF", least="-40", most="150"),
        _volts("loaded", "After 5 min at 20 A", "at least 10.5"),
        _volts("idle", "Without load", "13.2 to 14.4", head="Converter on shore power"),
        _volts("under_load", "Lamps and furnace fan on", "at least 13.0"),
        Row("ripple", "Ripple, AC", "V", "at most 0.5", most="10"),
        Row("wire", "Thinnest wire behind the fuse", options=WIRES, head="Fuse near the battery"),
        Row("fuse", "Fuse fitted", "A", "14 AWG 15, 12 AWG 20, 10 AWG 30", most="300"),
        _volts("at_plug", "At the plug, all lamps lit", head="What the lamps get"),
        _volts("at_lamp", "At the furthest lamp", "at least 90 % of the plug"),
        Row("in_ground", "Between lamp's ground and plug's ground", "V", "at most 0.2", most="18"),
    )


def _volts(name: str, label: str, reach: str = "", *, head: str = "") -> Row:
    return Row(name, label, "V", reach, least="0.1", most="18", usual=("8", "16"), head=head)


def check(form: Reader, _context: Context) -> None:
    """At least one part is read, and what is begun is whole."""
    check_groups(form, GROUPS, "battery, converter, fuse or lamps")


def judge(record: ElectricalLoad, _context: Context) -> Judged:
    """The heaviest verdict of all that was read."""
    return judged([*_battery(record), *_converter(record), *_wires(record)], [])


def _battery(record: ElectricalLoad) -> list[Worked[object]]:
    if not record.battery:
        return []
    loaded: list[Worked[object]] = [battery_load(Quantity(record.loaded, "V"))]
    if record.battery != "flooded":  # volts at rest tell the charge of flooded cells only
        return loaded
    return [state_of_charge(Quantity(record.rested, "V"), Quantity(record.warmth, "degF")), *loaded]


def _converter(record: ElectricalLoad) -> list[Worked[object]]:
    if not record.idle:
        return []
    idle, under_load, ripple = record.quantities(GROUPS["The converter"], "V")
    return [converter(Charging(idle, under_load, ripple))]


def _wires(record: ElectricalLoad) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    if record.wire:
        found.append(fuse_verdict(int(record.wire), Quantity(record.fuse, "A")))
    if record.at_plug:
        plug, lamp, ground = record.quantities(GROUPS["What the lamps get"], "V")
        found.append(circuit_drop(plug, lamp, ground))
    return found


KIND = row_kind(
    "electrical_load",
    "Electrical load",
    "unit",
    ElectricalLoad,
    judge,
    Read(rows, ("multimeter", "clamp meter"), check, CAUTION, cautions=("c10",)),
)

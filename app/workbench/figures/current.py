"""12 V: wire, fuse, battery, lamps."""

from app.trade.batteries import breakaway_endurance, state_of_charge
from app.trade.connectors import PLUGS, pins
from app.trade.lamps import Body, lamps_required
from app.trade.quantity import Quantity
from app.trade.wiring import (
    FUSE_MOST,
    Circuit,
    circuit_drop,
    fuse_verdict,
    gauge_name,
    smallest_gauge,
    voltage_drop,
)
from app.workbench.entry import (
    AMPS,
    LENGTH,
    ROAD,
    VOLTS,
    WARMTH,
    WEIGHT,
    Figure,
    Figures,
    Values,
    choice,
    day,
    number,
    yes,
)

SECTION = "12 V and lamps"
GAUGE = choice("gauge", "Wire", [(str(each), gauge_name(each)) for each in FUSE_MOST], "12")
MOST = choice("most", "May lose", [("3", "3 %: brakes, lamps, charging"), ("10", "10 %: all else")])
RUN = (
    number("amps", "Current", AMPS, "12", ("0.01", "500")),
    number("way", "Length one way", ROAD, "25", ("0.1", "200")),
    number("volts", "Volts at the source", VOLTS, "12.6", ("5", "60"), start="12.6"),
    number("warm", "Wire at", "degC degF", "75", ("-40", "120"), start="75"),
)
BATTERY = ("c10",)


def _circuit(values: Values) -> Circuit:
    runs = values.quantity("amps"), values.quantity("way"), values.quantity("volts")
    return Circuit(*runs, celsius=values.number("warm", "degC"))


def _drop(values: Values) -> Figures:
    most = Quantity(values.text("most"), "").value
    return (voltage_drop(_circuit(values), int(values.text("gauge")), most),)


def _gauge(values: Values) -> Figures:
    most = Quantity(values.text("most"), "").value
    return (smallest_gauge(_circuit(values), values.quantity("fuse"), most),)


def _lamps(values: Values) -> Figures:
    sizes = values.quantity("width"), values.quantity("length"), values.quantity("rating")
    body = Body(*sizes, values.day("made"), boat=values.yes("boat"), living=values.yes("living"))
    return (lamps_required(body),)


FIGURES = (
    Figure(
        "voltage-drop",
        "Voltage drop",
        SECTION,
        "How much does this wire lose?",
        (*RUN, GAUGE, MOST),
        _drop,
    ),
    Figure(
        "wire-size",
        "Wire size",
        SECTION,
        "Which is the thinnest wire that serves this run and its fuse?",
        (*RUN, number("fuse", "Fuse", AMPS, "20", ("0.5", "500")), MOST),
        _gauge,
    ),
    Figure(
        "fuse",
        "Fuse of a wire",
        SECTION,
        "Does this fuse protect its wire?",
        (GAUGE, number("fuse", "Fuse fitted", AMPS, "20", ("0.1", "500"))),
        lambda values: (fuse_verdict(int(values.text("gauge")), values.quantity("fuse")),),
    ),
    Figure(
        "lamp-volts",
        "Volts at a lamp",
        SECTION,
        "Does the lamp get its volts, and is the ground good?",
        (
            number("plug", "Volts at the plug", VOLTS, "12.6", ("1", "18")),
            number("lamp", "Volts at the lamp", VOLTS, "12.1", ("0", "18")),
            number("ground", "Volts lost in the ground", VOLTS, "0.1", ("0", "18")),
        ),
        lambda values: (
            circuit_drop(values.quantity("plug"), values.quantity("lamp"), values.quantity("ground")),
        ),
    ),
    Figure(
        "state-of-charge",
        "State of charge",
        SECTION,
        "How full is this battery?",
        (
            number("volts", "Volts after 6 h at rest", VOLTS, "12.5", ("0.1", "18"), usual=("9", "15")),
            number("warm", "Temperature", WARMTH, "70", ("-40", "150"), start="70"),
            yes("by_table", "Correct for cold, as hydrometer tables do"),
        ),
        lambda values: (
            state_of_charge(
                values.quantity("volts"), values.quantity("warm"), by_table=values.yes("by_table")
            ),
        ),
        cautions=BATTERY,
    ),
    Figure(
        "breakaway-battery",
        "Breakaway battery",
        SECTION,
        "How long does this battery hold the brakes?",
        (
            number("amps", "Current of all magnets", AMPS, "12", ("0.1", "100")),
            number("rated", "Capacity at 20 h", "Ah", "5", ("0.5", "400")),
            number("exponent", "Exponent", "", "1.2", ("1", "1.6"), start="1.2", hint="1.1 good, 1.3 old"),
        ),
        lambda values: (
            breakaway_endurance(values.quantity("amps"), values.quantity("rated"), values.number("exponent")),
        ),
        cautions=BATTERY,
    ),
    Figure(
        "plug-pins",
        "Cavities of a plug",
        SECTION,
        "Which cavity of this plug carries what?",
        (choice("plug", "Plug", [(key, f"{plug.name}, {plug.standard}") for key, plug in PLUGS.items()]),),
        lambda values: (pins(PLUGS[values.text("plug")]),),
        cautions=BATTERY,
    ),
    Figure(
        "lamps",
        "Lamps required",
        SECTION,
        "Which lamps and reflectors must this trailer have?",
        (
            number("width", "Width", LENGTH, "96", ("10", "150")),
            number("length", "Length over all, with tongue", ROAD, "24", ("2", "80")),
            number("rating", "GVWR", WEIGHT, "7000", ("100", "80000")),
            day("made", "Made", "2014-06-01", today=False),
            yes("boat", "A boat trailer"),
            yes("living", "Built for living or office use only"),
        ),
        _lamps,
    ),
)

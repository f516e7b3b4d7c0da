"""Brakes: lining, drum, pad, rotor, magnets, breakaway."""

from app.trade.brakes import (
    Hold,
    Lining,
    breakaway_hold,
    drum_diameter,
    lining_thickness,
    pad_thickness,
    rotor_thickness,
)
from app.trade.magnets import (
    MAGNETS,
    Magnet,
    Reading,
    expected_current,
    magnet_current,
    magnet_resistance,
)
from app.trade.problems import Problem, Refused
from app.workbench.entry import (
    AMPS,
    LENGTH,
    TREAD,
    VOLTS,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    whole,
    words,
    yes,
)

SECTION = "Brakes"
DRUMS = choice("drum", "Drum", [("10", "10 in"), ("12", "12 in"), ("7", "7 in"), ("own", "maker's ohms")])
OWN = (
    number("least", "Maker's ohms, least", "ohm", "3.0", ("0.5", "20"), needed=False),
    number("most", "Maker's ohms, most", "ohm", "3.3", ("0.5", "20"), needed=False),
)
COUNT = whole("count", "Magnets on the feed", "4", (1, 12))
FED = number("volts", "Volts at the same point", VOLTS, "12.6", ("0.5", "18"))
REQUIRED = yes("required", "The law asks for these brakes", "yes")
DUST, CHOCKS = ("c4",), ("c1", "c2")


def _magnet(values: Values) -> Magnet:
    if values.text("drum") != "own":
        return MAGNETS[values.text("drum")]
    given = [values.number(each.name, "ohm") for each in OWN if values.has(each.name)]
    if not given:
        raise Refused([Problem("least", "The maker's ohms are missing", "such as 3.0 ohm")])
    return Magnet(min(given), max(given))


def _lining(values: Values) -> Figures:
    thinnest, kind = values.quantity("thinnest"), Lining(values.text("kind"))
    shop = values.maybe("shop")
    return (lining_thickness(thinnest, kind, commercial=values.yes("commercial"), shop_least=shop),)


def _expected(values: Values) -> Figures:
    return (expected_current(_magnet(values), values.whole("count"), values.quantity("volts")),)


def _current(values: Values) -> Figures:
    fed = values.quantity("volts"), values.quantity("amps")
    reading = Reading(_magnet(values), values.whole("count"), *fed)
    return (magnet_current(reading, required=values.yes("required")),)


def _resistance(values: Values) -> Figures:
    ohms = values.quantities("ohms")
    return (magnet_resistance(_magnet(values), ohms, required=values.yes("required")),)


def _hold(values: Values) -> Figures:
    test = Hold(
        values.quantity("minutes"), values.quantity("volts"), values.whole("held"), values.whole("braked")
    )
    return (breakaway_hold(test, required=values.yes("required")),)


FIGURES = (
    Figure(
        "lining",
        "Lining",
        SECTION,
        "May this shoe stay?",
        (
            number(
                "thinnest", "Thinnest place", TREAD, "5", ("0", "16"), hint="In 32nds, or choose the unit"
            ),
            choice("kind", "Lining is", words(Lining)),
            yes("commercial", "A commercial vehicle"),
            number("shop", "The shop's own least", TREAD, "3", ("0", "16"), needed=False),
        ),
        _lining,
        cautions=DUST,
    ),
    Figure(
        "drum",
        "Drum",
        SECTION,
        "Is this drum worn out, or out of round?",
        (
            numbers("diameters", "Diameters measured", LENGTH, "10.010 10.014", ("1", "30"), counts=(2, 12)),
            number("cast", "Maximum cast into the drum", LENGTH, "10.090", ("1", "30"), needed=False),
        ),
        lambda values: (drum_diameter(values.quantities("diameters"), values.maybe("cast")),),
        cautions=DUST,
    ),
    Figure(
        "pad",
        "Disc pad",
        SECTION,
        "May this pad stay?",
        (
            number(
                "thinnest", "Thinnest place", TREAD, "7", ("0", "24"), hint="In 32nds, or choose the unit"
            ),
            choice("kind", "Pad is", words(Lining)),
        ),
        lambda values: (pad_thickness(values.quantity("thinnest"), Lining(values.text("kind"))),),
        cautions=DUST,
    ),
    Figure(
        "rotor",
        "Rotor",
        SECTION,
        "Is this disc worn out?",
        (
            number("thinnest", "Thinnest of four places", LENGTH, "0.470", ("0.05", "4")),
            number("least", "Least marked on the rotor", LENGTH, "0.450", ("0.05", "4"), needed=False),
        ),
        lambda values: (rotor_thickness(values.quantity("thinnest"), values.maybe("least")),),
        cautions=DUST,
    ),
    Figure(
        "magnet-expected",
        "Brake current to expect",
        SECTION,
        "What do these magnets draw together when all is well?",
        (DRUMS, *OWN, COUNT, FED),
        _expected,
    ),
    Figure(
        "magnet-current",
        "Brake current measured",
        SECTION,
        "Is a magnet open, shorted, or the ground poor?",
        (DRUMS, *OWN, COUNT, FED, number("amps", "Current measured", AMPS, "11.6", ("0", "100")), REQUIRED),
        _current,
        cautions=CHOCKS,
    ),
    Figure(
        "magnet-resistance",
        "Magnets cold, one by one",
        SECTION,
        "Which magnet is out of its range?",
        (
            DRUMS,
            *OWN,
            numbers("ohms", "Each magnet", "ohm", "3.3 3.4", ("0", "1000"), counts=(1, 12)),
            REQUIRED,
        ),
        _resistance,
        cautions=CHOCKS,
    ),
    Figure(
        "breakaway-hold",
        "Breakaway test",
        SECTION,
        "Did the breakaway hold long enough?",
        (
            number("minutes", "Held for", "min", "15", ("0", "600")),
            number("volts", "Battery at the end", VOLTS, "11.2", ("0", "18")),
            whole("held", "Wheels that held", "4", (0, 12)),
            whole("braked", "Wheels with brakes", "4", (1, 12)),
            REQUIRED,
        ),
        _hold,
        cautions=CHOCKS,
    ),
)

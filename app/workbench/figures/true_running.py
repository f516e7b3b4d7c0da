"""Runout: one turn of readings, its total, wheel or tire to blame."""

from app.trade.runout import Where, blame, even_stations, runout, runout_verdict
from app.trade.vectors import Vector
from app.workbench.draw import Seen, runout_drawn, wheels_drawn
from app.workbench.entry import (
    DIAL,
    SMALL,
    TURN,
    Drawn,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    words,
)

SECTION = "Runout"
WHERE = choice("where", "Where the dial stood", words(Where), Where.TREAD.value)


def _high(name: str, label: str, amount: str, angle: str) -> tuple[Field, Field]:
    return (
        number(name, label, SMALL, amount, ("0", "1000")),
        number(f"{name}_at", f"{label}, high point at", TURN, angle, ("-360", "360")),
    )


def _runout(values: Values) -> Figures:
    readings = values.quantities("readings")
    unit = readings[0].unit
    found = runout(even_stations([each.value for each in readings]), unit)
    return found, runout_verdict(Where(values.text("where")), found.value.tir, unit)


def _drawn_runout(values: Values, _figures: Figures) -> Drawn:
    return Drawn("runout", runout_drawn(values.quantities("readings")))


def _total(values: Values) -> Figures:
    total = values.quantity("total")
    return (runout_verdict(Where(values.text("where")), total.value, total.unit),)


def _mountings(values: Values) -> tuple[Vector, Vector, str]:
    unit = values.quantity("first").unit
    first = Vector(values.number("first", unit), values.number("first_at", "deg"))
    return first, Vector(values.number("second", unit), values.number("second_at", "deg")), unit


def _drawn_blame(values: Values, _figures: Figures) -> Drawn:
    first, second, unit = _mountings(values)
    found = blame(first, second, unit).value
    seen = [
        Seen("as mounted and turned", [("first", first), ("turned", second)]),
        Seen("wheel and tire", [("wheel", found.wheel), ("tire", found.tire)]),
    ]
    return Drawn("vectors", wheels_drawn(seen, unit))


FIGURES = (
    Figure(
        "runout",
        "Runout of one turn",
        SECTION,
        "How far does it run out, where is it high, is it a bend or a dent?",
        (
            numbers(
                "readings",
                "Dial readings, from the valve against the clock",
                SMALL,
                "0 8 17 27 31 27 15 4",
                ("-1000", "1000"),
                counts=(3, 36),
            ),
            WHERE,
        ),
        _runout,
        _drawn_runout,
    ),
    Figure(
        "runout-total",
        "Total runout",
        SECTION,
        "Is this total reading too much?",
        (number("total", "Total reading", DIAL, "0.031", ("0", "2"), usual=("0", "0.25")), WHERE),
        _total,
    ),
    Figure(
        "match-mounting",
        "Wheel or tire to blame",
        SECTION,
        "Is it the wheel or the tire, and how is the tire turned?",
        (
            *_high("first", "First harmonic as mounted", "15.2", "175"),
            *_high("second", "With the tire turned by 180°", "6", "200"),
        ),
        lambda values: (blame(*_mountings(values)),),
        _drawn_blame,
        ("c3",),
    ),
)

"""The living part: mains, converter, appliances, water, damp wood."""

from collections.abc import Mapping

from app.trade.burners import carbon_monoxide, safety_valve
from app.trade.charging import Charging, battery_load, converter
from app.trade.mains import Live, Trip, bonding, live_test
from app.trade.moisture import moisture
from app.trade.quantity import Quantity
from app.trade.water_tests import Held, sprayed, water_hold
from app.workbench.entry import (
    PRESSURE,
    VOLTS,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    whole,
    yes,
)

MAINS, WATER = "Mains and appliances", "Water and damp"
LIVE, BURNS, BATTERY = ("c6",), ("c7",), ("c10",)
TRIPS = [(each.value, each.word) for each in Trip]
MINUTES = ("0", "1440")


def _numbered(values: Values, name: str) -> Mapping[str, Quantity]:
    """The readings of a list by their places: "point 1" and so on."""
    return {f"point {place}": reading for place, reading in enumerate(values.quantities(name), 1)}


def _bonding(values: Values) -> Figures:
    return (bonding(_numbered(values, "ohms"), neutral_apart=values.yes("apart")),)


def _live(values: Values) -> Figures:
    live = Live(
        line=values.quantity("line"),
        skin=values.quantity("skin"),
        right=values.whole("right"),
        outlets=values.whole("outlets"),
        by_button=Trip(values.text("button")),
        by_tester=Trip(values.text("tester")),
    )
    return (live_test(live),)


def _converter(values: Values) -> Figures:
    readings = Charging(values.quantity("idle"), values.quantity("loaded"), values.quantity("ripple"))
    return (converter(readings),)


def _hold(values: Values) -> Figures:
    return (water_hold(Held(values.quantity("start"), values.quantity("end"), values.quantity("minutes"))),)


def _damp(values: Values) -> Figures:
    return (moisture(_numbered(values, "points"), to_close=values.yes("to_close")),)


def _spray(values: Values) -> Figures:
    return (sprayed(values.quantity("minutes"), values.number("least", "min")),)


FIGURES = (
    Figure(
        "ground-and-bond",
        "Ground and bond",
        MAINS,
        "Is every metal part tied to the inlet's ground, with the cord out?",
        (
            numbers("ohms", "Each point to the inlet's ground", "ohm", "0.2 0.3 0.3", ("0", "10000000")),
            yes("apart", "Neutral and ground are apart in the panel", "yes"),
        ),
        _bonding,
        cautions=LIVE,
    ),
    Figure(
        "live-test",
        "Live test of the mains",
        MAINS,
        "Is the skin dead, and is every outlet wired right?",
        (
            number("line", "Line", VOLTS, "121", ("0", "300")),
            number("skin", "Skin to earth", VOLTS, "0.2", ("0", "300")),
            whole("right", "Outlets wired right", "6", (0, 60)),
            whole("outlets", "Outlets in all", "6", (1, 60)),
            choice("button", "GFCI by its button", TRIPS),
            choice("tester", "GFCI by the tester", TRIPS),
        ),
        _live,
        cautions=LIVE,
    ),
    Figure(
        "battery-load",
        "Battery under load",
        MAINS,
        "Does this battery hold its volts after 5 min at 20 A?",
        (number("volts", "Volts under load", VOLTS, "11.4", ("0.1", "18")),),
        lambda values: (battery_load(values.quantity("volts")),),
        cautions=BATTERY,
    ),
    Figure(
        "converter",
        "Converter",
        MAINS,
        "Does the converter give the right volts?",
        (
            number("idle", "Volts without load", VOLTS, "13.6", ("0.1", "30")),
            number("loaded", "Volts with lamps and furnace fan", VOLTS, "13.2", ("0.1", "30")),
            number("ripple", "Ripple, V AC", VOLTS, "0.1", ("0", "30")),
        ),
        _converter,
        cautions=LIVE,
    ),
    Figure(
        "safety-valve",
        "Safety valve of a burner",
        MAINS,
        "Does the valve shut soon enough after its flame is out?",
        (number("seconds", "Flame out to the click", "s", "45", ("0", "3600")),),
        lambda values: (safety_valve(values.quantity("seconds")),),
        cautions=BURNS,
    ),
    Figure(
        "carbon-monoxide",
        "Carbon monoxide",
        MAINS,
        "Is there carbon monoxide inside with the appliance on?",
        (
            number("inside", "Inside, doors shut", "ppm", "3", ("0", "10000")),
            number("outside", "Outside", "ppm", "1", ("0", "10000")),
        ),
        lambda values: (carbon_monoxide(values.quantity("inside"), values.quantity("outside")),),
        cautions=BURNS,
    ),
    Figure(
        "water-hold",
        "Water pressure held",
        WATER,
        "Do the water pipes hold their pressure?",
        (
            number("start", "Pressure at the start", PRESSURE, "45", ("0", "150")),
            number("end", "Pressure at the end", PRESSURE, "44", ("0", "150")),
            number("minutes", "Time", "min", "15", ("0.1", "1440"), start="15"),
        ),
        _hold,
    ),
    Figure(
        "spray",
        "Spray for leaks",
        WATER,
        "Was it sprayed long enough to show a leak?",
        (
            number("minutes", "Sprayed", "min", "10", MINUTES),
            number("least", "At least", "min", "10", MINUTES, start="10"),
        ),
        _spray,
    ),
    Figure(
        "damp-wood",
        "Damp wood",
        WATER,
        "Is this wood dry enough?",
        (
            numbers("points", "Moisture at each point", "percent", "12 14 17", ("0", "100")),
            yes("to_close", "New sheet is about to cover it"),
        ),
        _damp,
    ),
)

"""Propane: cylinder, fuel, pressure, piping, leak tests, regulator."""

from datetime import date
from decimal import Decimal

from app.trade.cylinders import SPECIFICATIONS, Mark, Method, fill, requalification_due
from app.trade.gas_pipes import PIPES, Pipe, Section, pipe_capacity, pipe_serves, smallest_pipe
from app.trade.gas_tests import HOLD_TESTS, Timed, leak_test
from app.trade.gauges import Gauge, question_gauge
from app.trade.problems import Impossible, Refused
from app.trade.propane import Burner, energy, run_time, vapour_pressure
from app.trade.regulators import delivery
from app.workbench.draw import leak_drawn
from app.workbench.entry import (
    GAS,
    ROAD,
    WARMTH,
    WEIGHT,
    Drawn,
    Figure,
    Figures,
    Values,
    choice,
    day,
    month,
    number,
    numbers,
    words,
    yes,
)

SECTION = "Propane"
ESCAPES = ("c5",)
TESTED = [each for each in words(Method) if each[0] != Method.MADE.value]
BY_NAME = {pipe.name: pipe for pipe in PIPES}
PIPE = choice("pipe", "Pipe", [(name, name) for name in BY_NAME], PIPES[1].name)
LONGEST = number("longest", "Regulator to the farthest outlet", ROAD, "28", ("1", "200"))
INPUT = number("btu", "All input downstream", "btu_h", "72600", ("1", "2000000"))


def _marks(values: Values) -> list[Mark]:
    made = [Mark(values.month("made"), Method.MADE)] if values.has("made") else []
    if not values.has("tested"):
        return made
    return [*made, Mark(values.month("tested"), Method(values.text("method")), values.yes("numbered"))]


def _due(values: Values) -> Figures:
    return (requalification_due(_marks(values), values.day("on"), values.text("specification")),)


def _fill(values: Values) -> Figures:
    return (fill(values.quantity("water"), values.quantity("tare"), values.maybe("scale")),)


def _burners(values: Values) -> list[Burner]:
    inputs, duties = values.numbers("inputs", "btu_h"), values.numbers("duties", "percent")
    if len(inputs) != len(duties):
        raise Impossible(f"{len(inputs)} inputs and {len(duties)} duties", "one duty for each input")
    return [
        Burner(f"appliance {n}", one, duty / Decimal(100))
        for n, (one, duty) in enumerate(zip(inputs, duties, strict=True), 1)
    ]


def _run_time(values: Values) -> Figures:
    fuel = values.quantity("fuel")
    return run_time(fuel, _burners(values)), energy(fuel)


def _vapour(values: Values) -> Figures:
    return (vapour_pressure(values.quantity("warm"), values.number("air", "kPa")),)


def _timed(values: Values) -> Timed:
    return Timed(
        start=values.quantity("start"),
        end=values.quantity("end"),
        minutes=values.quantity("minutes"),
        start_temperature=values.quantity("start_warm"),
        end_temperature=values.quantity("end_warm"),
        volume_ft3=values.number("volume"),
        division=values.quantity("division"),
        station=values.quantity("air"),
    )


def _leak(values: Values) -> Figures:
    if values.has("top"):
        _on_the_scale(values, Gauge(values.quantity("top")))
    return (leak_test(_timed(values), HOLD_TESTS[values.text("test")]),)


def _on_the_scale(values: Values, gauge: Gauge) -> None:
    """Raises Refused where a pressure was read off the gauge's scale."""
    read = [(name, values.quantity(name)) for name in ("start", "end")]
    if problems := [each for name, pressure in read for each in question_gauge(name, pressure, gauge)]:
        raise Refused(problems)


def _drawn_leak(values: Values, _figures: Figures) -> Drawn:
    return Drawn("leak", leak_drawn(_timed(values)))


def _pipe(values: Values) -> Pipe:
    return BY_NAME[values.text("pipe")]


def _serves(values: Values) -> Figures:
    section, longest = Section("this section", values.number("btu", "btu_h")), values.quantity("longest")
    return pipe_serves(section, _pipe(values), longest), smallest_pipe(section, longest)


def _delivery(values: Values) -> Figures:
    running, shut = values.quantity("running"), values.quantity("lock_up")
    return (delivery(running, shut, creeps=values.yes("creeps")),)


AIR = number(
    "air",
    "Air pressure there",
    "psi kPa bar",
    "14.696",
    ("8", "16"),
    start="14.696",
    hint="14.696 at sea level, about 0.5 less for each 1,000 ft up",
)
DAY = date(2026, 5, 4).isoformat()
FIGURES = (
    Figure(
        "requalification",
        "Cylinder requalification",
        SECTION,
        "Until when may this cylinder be filled?",
        (
            month("made", "Month of manufacture", "03-2016", needed=False),
            month("tested", "Latest requalification", "04-2022", needed=False),
            choice("method", "How it was proved: letter after the date", TESTED, Method.VISUAL.value),
            yes("numbered", "A requalifier's number stands with the date", "yes"),
            choice("specification", "Specification", [(each, each) for each in SPECIFICATIONS], "4BA"),
            day("on", "Looked at on", DAY),
        ),
        _due,
        cautions=ESCAPES,
    ),
    Figure(
        "cylinder-fill",
        "Fill of a cylinder",
        SECTION,
        "How much may be in it, and is it overfilled?",
        (
            number("water", "WC, water capacity stamped", WEIGHT, "47.6", ("1", "1000")),
            number("tare", "TW, tare stamped", WEIGHT, "17", ("0.5", "500")),
            number("scale", "On the scale now", WEIGHT, "35", ("0.5", "2000"), needed=False),
        ),
        _fill,
        cautions=ESCAPES,
    ),
    Figure(
        "gas-run-time",
        "How long the gas lasts",
        SECTION,
        "How many hours does this fill last?",
        (
            number("fuel", "Propane", WEIGHT, "20", ("0.1", "1000")),
            numbers(
                "inputs", "Input of each appliance", "btu_h", "30000 1500", ("1", "1000000"), counts=(1, 8)
            ),
            numbers(
                "duties",
                "Share of the time that each burns",
                "percent",
                "33 100",
                ("0", "100"),
                counts=(1, 8),
            ),
        ),
        _run_time,
    ),
    Figure(
        "gas-pressure",
        "Pressure in a cylinder",
        SECTION,
        "What pressure does propane have at this temperature?",
        (
            number("warm", "Temperature", WARMTH, "70", ("-60", "160")),
            number("air", "Air pressure", "kPa psi", "101.325", ("50", "110"), start="101.325"),
        ),
        _vapour,
    ),
    Figure(
        "leak-test",
        "Timed leak test",
        SECTION,
        "Does the gas piping hold, with the temperature counted?",
        (
            choice("test", "Kind of test", [(key, test.name) for key, test in HOLD_TESTS.items()]),
            number("start", "Pressure at the start", GAS, "9", ("0.1", "2000")),
            number("end", "Pressure at the end", GAS, "8.8", ("0", "2000")),
            number("minutes", "Time", "min", "3", ("0.1", "1440"), start="3"),
            number("start_warm", "Temperature at the start", WARMTH, "68", ("-60", "160")),
            number("end_warm", "Temperature at the end", WARMTH, "68", ("-60", "160")),
            number("volume", "Gas space, ft³", "", "0.25", ("0.01", "100"), start="0.25"),
            number("division", "Smallest change the gauge shows", GAS, "0.1", ("0.001", "50"), start="0.1"),
            number("top", "Top of the gauge's scale", GAS, "16", ("0.1", "10000"), needed=False),
            AIR,
        ),
        _leak,
        _drawn_leak,
        ESCAPES,
    ),
    Figure(
        "gas-pipe",
        "What a gas pipe carries",
        SECTION,
        "How much does this pipe carry over the longest run?",
        (PIPE, LONGEST, number("drop", "Drop allowed", GAS, "0.5", ("0.01", "5"), start="0.5")),
        lambda values: (pipe_capacity(_pipe(values), values.quantity("longest"), values.quantity("drop")),),
        cautions=ESCAPES,
    ),
    Figure(
        "gas-pipe-serves",
        "Gas pipe against its load",
        SECTION,
        "Is this pipe large enough, and which is the smallest that serves?",
        (PIPE, LONGEST, INPUT),
        _serves,
        cautions=ESCAPES,
    ),
    Figure(
        "regulator",
        "Regulator",
        SECTION,
        "Are running pressure and lock-up right?",
        (
            number("running", "Running, half of all burners on", GAS, "11", ("0", "100")),
            number("lock_up", "Lock-up, all off", GAS, "12.5", ("0", "100")),
            yes("creeps", "It was still rising"),
        ),
        _delivery,
        cautions=ESCAPES,
    ),
)

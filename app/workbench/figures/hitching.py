"""Hitch: spring bars, level, drawbar, chains."""

from dataclasses import replace
from decimal import Decimal

from app.trade.chains import WORKING_LOAD, breaking_strength, chain_strength
from app.trade.coupling import Stance, ball_drop, level_coupled
from app.trade.hitch import Rig, axle_loads, bar_tension, loads_under, moment_by_tickets, restored_by_height
from app.trade.quantity import Quantity
from app.workbench.draw import Stand, axles_drawn
from app.workbench.entry import (
    LENGTH,
    WEIGHT,
    Drawn,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    yes,
)

SECTION = "Hitch"
ROLLS = ("c2",)
HEAVY, LONG, HIGH = ("1", "80000"), ("1", "1000"), ("8", "35")
MEASURED = (
    number("front", "Front axle alone", WEIGHT, "3100", HEAVY),
    number("rear", "Rear axle alone", WEIGHT, "2950", HEAVY),
    number("tongue", "Tongue weight, bars slack", WEIGHT, "720", HEAVY),
    number("gross", "Trailer weight", WEIGHT, "6000", HEAVY),
    number("wheelbase", "Wheelbase", LENGTH, "140", LONG),
    number("overhang", "Rear axle to ball", LENGTH, "48", LONG),
    number("length", "Ball to the middle of the axles", LENGTH, "192", LONG),
    number("lift", "Ball to where the bars are lifted", LENGTH, "30", LONG),
    choice("axles", "Axles of the trailer", [("1", "1"), ("2", "2"), ("3", "3")], "2"),
)
RESTORED = number("restored", "Front axle to be restored", "percent", "50", ("0", "100"), start="50")
CHAINS = [(f"{grade} {size}", f"grade {grade}, {size} in") for grade, size in WORKING_LOAD]


def _rig(values: Values) -> Rig:
    return Rig(
        front=values.quantity("front"),
        rear=values.quantity("rear"),
        tongue=values.quantity("tongue"),
        gross=values.quantity("gross"),
        wheelbase=values.quantity("wheelbase"),
        overhang=values.quantity("overhang"),
        length=values.quantity("length"),
        lift=values.quantity("lift"),
        axles=int(values.text("axles")),
    )


def _bars(values: Values) -> Figures:
    rig, restored = _rig(values), values.number("restored", "percent")
    slack = replace(axle_loads(rig), name="axle loads, bars slack")
    return bar_tension(rig, restored), axle_loads(rig, restored), slack


def _drawn_bars(values: Values, _figures: Figures) -> Drawn:
    rig, restored = _rig(values), values.number("restored", "percent")
    moments = {
        "bars slack": Decimal(0),
        f"{restored:f} % restored": bar_tension(rig, restored).value.moment,
    }
    alone = Stand("tow vehicle alone", rig.front.to("lb"), rig.rear.to("lb"))
    coupled = [
        Stand(words, found.front, found.rear, found.trailer)
        for words, found in ((words, loads_under(rig, moment)) for words, moment in moments.items())
    ]
    return Drawn("axles", axles_drawn([alone, *coupled]))


def _by_tickets(values: Values) -> Figures:
    changes = [values.number(f"change_{name}", "lb") for name in ("front", "rear", "trailer")]
    return (moment_by_tickets(_rig(values), changes),)


def _by_height(values: Values) -> Figures:
    return (restored_by_height(*(values.quantity(name) for name in ("alone", "slack", "engaged"))),)


def _drop(values: Values) -> Figures:
    stance = Stance(*(values.quantity(name) for name in ("shank", "coupler", "ball", "squat")))
    return (ball_drop(stance, values.quantity("length"), values.quantity("step")),)


def _level(values: Values) -> Figures:
    return (level_coupled(values.quantity("front"), values.quantity("rear"), tandem=values.yes("tandem")),)


def _chains(values: Values) -> Figures:
    strengths = values.quantities("chains") or _marked(values)
    return (chain_strength(strengths, values.quantity("rating")),)


def _marked(values: Values) -> tuple[Quantity, ...]:
    grade, size = values.text("mark").split(" ", 1)
    each = Quantity(f"{breaking_strength(int(grade), size):f}", "lb")
    return (each,) * int(values.text("count"))


FIGURES = (
    Figure(
        "spring-bars",
        "Spring bars",
        SECTION,
        "Which lift restores the front axle, and what does each axle carry before and after?",
        (*MEASURED, RESTORED),
        _bars,
        _drawn_bars,
        ROLLS,
    ),
    Figure(
        "bars-by-tickets",
        "Bar moment by tickets",
        SECTION,
        "Which moment of the bars explains what the scale showed?",
        (
            *MEASURED,
            number("change_front", "Front, engaged less slack", WEIGHT, "120", ("-5000", "5000")),
            number("change_rear", "Rear, engaged less slack", WEIGHT, "-200", ("-5000", "5000")),
            number("change_trailer", "Trailer, engaged less slack", WEIGHT, "80", ("-5000", "5000")),
        ),
        _by_tickets,
    ),
    Figure(
        "restored-by-height",
        "Front restored, by the fender's height",
        SECTION,
        "How much of the front axle did the bars restore, by a tape measure?",
        (
            number("alone", "Front fender, alone", LENGTH, "32 1/2", ("5", "80")),
            number("slack", "Coupled, bars slack", LENGTH, "33 1/2", ("5", "80")),
            number("engaged", "Coupled, bars engaged", LENGTH, "33", ("5", "80")),
        ),
        _by_height,
    ),
    Figure(
        "drawbar-drop",
        "Drop of the drawbar",
        SECTION,
        "Which drop or rise sets the trailer level?",
        (
            number("shank", "Top of the shank in the receiver", LENGTH, "19.5", HIGH),
            number("coupler", "Top of the coupler's socket, trailer level", LENGTH, "18.5", HIGH),
            number("ball", "Drawbar to the top of the ball", LENGTH, "2.5", ("0.5", "12")),
            number("squat", "Squat of the tow vehicle when coupled", LENGTH, "1", ("0", "12")),
            number("length", "Ball to the middle of the axles", LENGTH, "192", LONG),
            number("step", "Steps of the drawbar", LENGTH, "1.25", ("0.1", "12"), start="1.25"),
        ),
        _drop,
    ),
    Figure(
        "level",
        "Level when coupled",
        SECTION,
        "Does the coupled trailer stand level?",
        (
            number("front", "Frame at the front", LENGTH, "20 1/2", ("0", "100")),
            number("rear", "Frame at the rear", LENGTH, "20", ("0", "100")),
            yes("tandem", "More than one axle"),
        ),
        _level,
    ),
    Figure(
        "chains",
        "Safety chains",
        SECTION,
        "Are the safety chains strong enough?",
        (
            choice("mark", "Chain by its mark; unmarked is grade 30", CHAINS, "30 5/16"),
            choice("count", "Chains", [("2", "2"), ("1", "1")]),
            numbers(
                "chains",
                "Or the weakest part of each, breaking strength",
                WEIGHT,
                "7600 7600",
                ("1", "200000"),
                counts=(1, 4),
                needed=False,
                hint="Link, hook or eye; wins over the mark",
            ),
            number("rating", "Gross rating of the trailer", WEIGHT, "7000", HEAVY),
        ),
        _chains,
    ),
)

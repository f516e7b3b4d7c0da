"""Balance: weights from the box, what stays, planes, radii, trial weights, unbalance on the road."""

from decimal import Decimal

from app.trade.balance import Box, excess_weight, fit_weights, near_opposite, residual_verdict
from app.trade.balance_speed import (
    Rolling,
    force_at_speed,
    permitted_in_planes,
    permitted_unbalance,
    residual_against_grade,
    turns_a_minute,
)
from app.trade.influence import Run, one_plane_weight, two_plane_weights
from app.trade.planes import (
    Held,
    adhesive_radius,
    at_radius,
    clip_radius,
    parts,
    split_weight,
    transfer,
    weights_for_two_planes,
)
from app.trade.problems import Impossible
from app.trade.quantity import convert
from app.trade.vectors import Vector
from app.workbench.draw import Seen, wheels_drawn
from app.workbench.entry import (
    LENGTH,
    MASS,
    TURN,
    Drawn,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    number,
)

SECTION = "Balance"
AMOUNT, ROUND = ("0", "64"), ("-360", "360")
MOST_SHOWN_OZ = Decimal(32)
REACH = Decimal(30)
UNIT = choice("unit", "Unit of all amounts", [("oz", "oz"), ("g", "g")])
EVERY = number(
    "every",
    "Weights can go at every",
    TURN,
    "10",
    ("5", "90"),
    start="10",
    hint="Degrees from the valve; within 30 of where weight is needed",
)
STEP = number("step", "Step of the weights", "", "0.25", ("0.1", "60"), start="0.25")
LIMIT = number(
    "limit", "At most left in a plane", "", "0.25", ("0", "60"), needed=False, hint="Usual: 1/4 oz or 5 g"
)
RIM = number("rim", "Rim diameter", LENGTH, "15", ("4", "30"))


def _at(name: str, label: str, amount: str, angle: str) -> tuple[Field, Field]:
    """A vector: its amount, and its angle in degrees from the valve, against the clock, from outside."""
    return (
        number(name, label, "", amount, ("0", "2000")),
        number(f"{name}_at", f"{label}, at", TURN, angle, ROUND),
    )


OUTER, INNER = _at("outer", "Outer plane", "1.37", "215"), _at("inner", "Inner plane", "2.10", "62")
WEIGHT_AT = _at("weight", "Weight", "2", "30")


def _vector(values: Values, name: str) -> Vector:
    return Vector(values.number(name), values.number(f"{name}_at", "deg"))


def _unit(values: Values) -> str:
    return values.text("unit")


def _box(values: Values, heavy: Vector) -> Box:
    """The box at the places that a hand would choose; Impossible where the search would not end."""
    step, unit = values.number("step"), _unit(values)
    if convert(heavy.amount, unit, "oz") > MOST_SHOWN_OZ:
        raise Impossible(f"{heavy.says(unit)} is no unbalance of a wheel", "at most 32 oz, such as 1.37")
    if heavy.amount > 200 * step:
        raise Impossible("The step is too fine for so much weight", "such as 0.25 oz or 5 g")
    return Box(step, unit, near_opposite(heavy, values.number("every", "deg"), REACH))


def _one_plane(values: Values) -> Figures:
    heavy = _vector(values, "heavy")
    return (fit_weights(heavy, _box(values, heavy)),)


def _drawn_one(values: Values, _figures: Figures) -> Drawn:
    heavy, unit = _vector(values, "heavy"), _unit(values)
    fit = fit_weights(heavy, _box(values, heavy)).value
    return Drawn("vectors", wheels_drawn([Seen("the wheel", [("heavy", heavy)], fit.weights)], unit))


def _two_planes(values: Values) -> Figures:
    outer, inner, unit = _vector(values, "outer"), _vector(values, "inner"), _unit(values)
    boxes = _box(values, outer), _box(values, inner)
    weights = weights_for_two_planes(outer, inner, *boxes, values.maybe_number("limit"))
    left = weights.value.outer.residual, weights.value.inner.residual
    return weights, residual_verdict(*left, unit, values.maybe_number("limit")), parts(outer, inner, unit)


def _drawn_two(values: Values, _figures: Figures) -> Drawn:
    seen = [_plane_seen(values, name) for name in ("outer", "inner")]
    return Drawn("vectors", wheels_drawn(seen, _unit(values)))


def _plane_seen(values: Values, name: str) -> Seen:
    heavy = _vector(values, name)
    return Seen(f"{name} plane", [("heavy", heavy)], fit_weights(heavy, _box(values, heavy)).value.weights)


def _left(values: Values) -> Figures:
    both = _vector(values, "outer"), _vector(values, "inner")
    return (residual_verdict(*both, _unit(values), values.maybe_number("limit")),)


def _drawn_left(values: Values, _figures: Figures) -> Drawn:
    seen = [Seen(f"{name} plane", [("left", _vector(values, name))]) for name in ("outer", "inner")]
    return Drawn("vectors", wheels_drawn(seen, _unit(values)))


def _excess(values: Values) -> Figures:
    both = values.number("outer"), values.number("inner")
    return (excess_weight(*both, _unit(values), values.number("rim", "in")),)


def _parts(values: Values) -> Figures:
    return (parts(_vector(values, "outer"), _vector(values, "inner"), _unit(values)),)


def _drawn_parts(values: Values, _figures: Figures) -> Drawn:
    outer, inner, unit = _vector(values, "outer"), _vector(values, "inner"), _unit(values)
    found = parts(outer, inner, unit).value
    seen = [
        Seen("both planes", [("outer", outer), ("inner", inner)]),
        Seen("its parts", [("static", found.static), ("couple", found.couple)]),
    ]
    return Drawn("vectors", wheels_drawn(seen, unit))


def _transfer(values: Values) -> Figures:
    held = [Held(values.number(f"{name}_place", "in"), _vector(values, name)) for name in ("first", "second")]
    planes = values.number("to_outer", "in"), values.number("to_inner", "in")
    return (transfer(held, *planes, _unit(values)),)


def _radii(values: Values) -> Figures:
    rim = values.number("rim", "in")
    return clip_radius(rim), adhesive_radius(rim, values.number("inset", "in"))


def _other_radius(values: Values) -> Figures:
    radii = values.number("radius", "in"), values.number("other", "in")
    return (at_radius(_vector(values, "weight"), *radii, _unit(values)),)


def _split(values: Values) -> Figures:
    places = values.number("first", "deg"), values.number("second", "deg")
    return (split_weight(_vector(values, "weight"), *places, _unit(values)),)


def _drawn_split(values: Values, _figures: Figures) -> Drawn:
    weight, unit = _vector(values, "weight"), _unit(values)
    pair = split_weight(weight, values.number("first", "deg"), values.number("second", "deg"), unit).value
    return Drawn("vectors", wheels_drawn([Seen("the wheel", [("weight", weight)], pair)], unit))


def _trial(values: Values) -> Figures:
    found = [_vector(values, name) for name in ("before", "after", "trial")]
    return (one_plane_weight(found[0], found[1], found[2], _unit(values)),)


def _run(values: Values, name: str) -> Run:
    return Run(_vector(values, f"{name}_1"), _vector(values, f"{name}_2"))


def _two_trials(values: Values) -> Figures:
    outer = _vector(values, "outer"), _run(values, "with_outer")
    inner = _vector(values, "inner"), _run(values, "with_inner")
    return (two_plane_weights(_run(values, "before"), outer, inner, _unit(values)),)


def _rolling(values: Values) -> Rolling:
    speed, radius = values.quantity("speed"), values.quantity("rolling")
    return Rolling(speed.value, speed.unit, radius.value, radius.unit)


def _force(values: Values) -> Figures:
    weight, rolling = values.quantity("weight"), _rolling(values)
    at = values.number("radius", "in")
    return force_at_speed(weight.value, weight.unit, at, rolling), turns_a_minute(rolling)


def _grade(values: Values) -> Figures:
    turns = turns_a_minute(_rolling(values))
    permitted = permitted_unbalance(values.number("mass", "kg"), turns.value, values.number("grade"))
    found: Figures = (permitted, turns)
    if all(values.has(name) for name in ("plane_outer", "plane_inner", "centre")):
        places = [values.number(name, "in") for name in ("plane_outer", "plane_inner", "centre")]
        found += (permitted_in_planes(permitted.value, places[0], places[1], places[2]),)
    if values.has("left"):
        found += (residual_against_grade(values.number("left", "g_mm"), permitted),)
    return found


ON_THE_ROAD = (
    number("speed", "Road speed", "mph km_h", "60", ("1", "200")),
    number("rolling", "Rolling radius of the tire", LENGTH, "13.2", ("2", "60")),
)
FIGURES = (
    Figure(
        "weights-one-plane",
        "Weights for one plane",
        SECTION,
        "Which weights of the box leave the least?",
        (*_at("heavy", "Heavy spot", "1.37", "215"), UNIT, STEP, EVERY),
        _one_plane,
        _drawn_one,
    ),
    Figure(
        "weights-two-planes",
        "Weights for two planes",
        SECTION,
        "Which weights go on both planes, and what stays?",
        (*OUTER, *INNER, UNIT, STEP, EVERY, LIMIT),
        _two_planes,
        _drawn_two,
    ),
    Figure(
        "balance-left",
        "What is left over",
        SECTION,
        "Is what stays in both planes little enough?",
        (
            *_at("outer", "Left in the outer plane", "0.08", "35"),
            *_at("inner", "Left in the inner plane", "0.14", "62"),
            UNIT,
            LIMIT,
        ),
        _left,
        _drawn_left,
    ),
    Figure(
        "much-weight",
        "Much weight asked for",
        SECTION,
        "Is this so much weight that runout is to be looked at first?",
        (
            number("outer", "Outer plane asks for", "", "5", ("0", "2000")),
            number("inner", "Inner plane asks for", "", "1.25", ("0", "2000")),
            UNIT,
            RIM,
        ),
        _excess,
    ),
    Figure(
        "unbalance-parts",
        "Static and couple part",
        SECTION,
        "How much of this unbalance is static, how much couple?",
        (*OUTER, *INNER, UNIT),
        _parts,
        _drawn_parts,
    ),
    Figure(
        "planes-moved",
        "Unbalance in other planes",
        SECTION,
        "What is the same unbalance in the planes where weights can go?",
        (
            *_at("first", "First plane", "1.37", "215"),
            number("first_place", "First plane lies at", LENGTH, "0", ("-100", "100")),
            *_at("second", "Second plane", "2.10", "62"),
            number("second_place", "Second plane lies at", LENGTH, "-5.5", ("-100", "100")),
            number("to_outer", "New outer plane at", LENGTH, "0", ("-100", "100")),
            number("to_inner", "New inner plane at", LENGTH, "-3", ("-100", "100")),
            UNIT,
        ),
        _transfer,
    ),
    Figure(
        "weight-radii",
        "Radius of the weights",
        SECTION,
        "At which radius do clip-on and adhesive weights sit?",
        (
            RIM,
            number(
                "inset", "Adhesive weights inside the flange by", LENGTH, "0.75", ("0", "4"), start="0.75"
            ),
        ),
        _radii,
    ),
    Figure(
        "weight-at-radius",
        "Weight at another radius",
        SECTION,
        "What does the same at another radius?",
        (
            *WEIGHT_AT,
            UNIT,
            number("radius", "Its radius", LENGTH, "7.5", ("1", "40")),
            number("other", "Other radius", LENGTH, "6.75", ("1", "40")),
        ),
        _other_radius,
    ),
    Figure(
        "weight-split",
        "Weight split between two places",
        SECTION,
        "Which two weights act as one between them, where a spoke is in the way?",
        (
            *WEIGHT_AT,
            UNIT,
            number("first", "First place", TURN, "0", ROUND),
            number("second", "Second place", TURN, "72", ROUND),
        ),
        _split,
        _drawn_split,
    ),
    Figure(
        "trial-weight",
        "Balancing by one trial weight",
        SECTION,
        "Which weight goes on, by what a trial weight changed?",
        (
            *_at("before", "Reading without", "5", "30"),
            *_at("after", "Reading with the trial weight", "4", "80"),
            *_at("trial", "Trial weight", "1", "0"),
            UNIT,
        ),
        _trial,
    ),
    Figure(
        "trial-weights",
        "Balancing by a trial weight in each plane",
        SECTION,
        "Which weights go on both planes, by three runs?",
        (
            *_at("before_1", "Without, first pickup", "5", "30"),
            *_at("before_2", "Without, second pickup", "4", "200"),
            *_at("outer", "Trial weight outside", "1", "0"),
            *_at("with_outer_1", "With it, first pickup", "4", "80"),
            *_at("with_outer_2", "With it, second pickup", "3.5", "190"),
            *_at("inner", "Trial weight inside", "1", "0"),
            *_at("with_inner_1", "With that, first pickup", "4.5", "40"),
            *_at("with_inner_2", "With that, second pickup", "5", "150"),
            UNIT,
        ),
        _two_trials,
    ),
    Figure(
        "force-at-speed",
        "Force of unbalance on the road",
        SECTION,
        "How hard does a weight out of balance pull at speed?",
        (
            number("weight", "Weight out of balance", MASS, "1", AMOUNT),
            number("radius", "At radius", LENGTH, "7.5", ("1", "40")),
            *ON_THE_ROAD,
        ),
        _force,
    ),
    Figure(
        "balance-grade",
        "Balance grade of ISO 21940-11",
        SECTION,
        "How much unbalance does the grade allow at this speed?",
        (
            number("mass", "Wheel with tire weighs", "kg lb", "25", ("1", "500")),
            *ON_THE_ROAD,
            number("grade", "Grade G, mm/s", "", "40", ("0.4", "4000"), start="40"),
            number("left", "Left over", "g_mm oz_in", "1300", ("0", "1000000"), needed=False),
            number("plane_outer", "Outer plane at", LENGTH, "5.5", ("-100", "100"), needed=False),
            number("plane_inner", "Inner plane at", LENGTH, "0", ("-100", "100"), needed=False),
            number("centre", "Mass centre at", LENGTH, "3", ("-100", "100"), needed=False),
        ),
        _grade,
    ),
)

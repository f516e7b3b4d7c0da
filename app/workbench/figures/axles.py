"""Axles: square, parallel, toe, camber and heights by tape; heat of the hubs, stopping distance."""

from app.trade.quantity import Quantity
from app.trade.stops import Combination, hub_heat, stop_from_20
from app.trade.tape import Tapes, axle_square, axles_parallel, camber, corner_heights, toe
from app.workbench.entry import (
    LENGTH,
    ROAD,
    WARMTH,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
)

SECTION = "Axles and road test"
ON_STANDS, HOT, ROAD_TEST = ("c1",), ("c11",), ("c12",)
LONG, GAP = ("1", "1000"), ("-12", "12")
STOPPED = [
    (Combination.OTHER.value, "any other combination"),
    (Combination.LIGHT.value, "two-axle tow vehicle, trailer of at most 3,000 lb GVWR"),
]


def _way(name: str, label: str, example: str, *, needed: bool = True) -> Field:
    return number(name, label, LENGTH, example, LONG, needed=needed)


def _square(values: Values) -> Figures:
    tapes = Tapes(
        left=values.quantity("left"),
        right=values.quantity("right"),
        between=values.quantity("between"),
        length=values.quantity("length"),
    )
    return (axle_square(tapes),)


def _parallel(values: Values) -> Figures:
    return (axles_parallel(values.quantity("left"), values.quantity("right")),)


def _toe(values: Values) -> Figures:
    return (toe(values.quantity("front"), values.quantity("rear"), values.quantity("diameter")),)


def _camber(values: Values) -> Figures:
    return (camber(values.quantity("left"), values.quantity("right"), values.quantity("height")),)


def _pair(values: Values, end: str) -> tuple[Quantity, Quantity]:
    return values.quantity(f"{end}_left"), values.quantity(f"{end}_right")


def _heights(values: Values) -> Figures:
    ends = [end for end in ("front", "rear") if values.has(f"{end}_left") and values.has(f"{end}_right")]
    return (corner_heights({end: _pair(values, end) for end in ends}),)


def _heat(values: Values) -> Figures:
    hubs = enumerate(values.quantities("hubs"), 1)
    return (hub_heat({f"hub {place}": warmth for place, warmth in hubs}),)


def _stop(values: Values) -> Figures:
    ways = values.quantity("distance"), values.quantity("speed")
    return (stop_from_20(*ways, Combination(values.text("what"))),)


FIGURES = (
    Figure(
        "axle-square",
        "Axle square to the coupler",
        SECTION,
        "Does this axle stand square, or does the trailer track to the side?",
        (
            _way("left", "Coupler to the left spindle end", "195 3/8"),
            _way("right", "Coupler to the right spindle end", "195 1/4"),
            _way("between", "Between the spindle ends", "80"),
            _way("length", "Ball to the axle", "191"),
        ),
        _square,
        cautions=ON_STANDS,
    ),
    Figure(
        "axles-parallel",
        "Axles parallel",
        SECTION,
        "Are the two axles of this tandem parallel?",
        (
            _way("left", "Spindle to spindle, left", "33"),
            _way("right", "Spindle to spindle, right", "33 1/16"),
        ),
        _parallel,
        cautions=ON_STANDS,
    ),
    Figure(
        "toe",
        "Toe",
        SECTION,
        "Do the wheels of this axle run straight ahead?",
        (
            _way("front", "Between the treads, front", "73 1/2"),
            _way("rear", "Between the treads, rear", "73 9/16"),
            _way("diameter", "Diameter of the tire", "26"),
        ),
        _toe,
        cautions=ON_STANDS,
    ),
    Figure(
        "camber",
        "Camber",
        SECTION,
        "Do the wheels of this axle stand upright, loaded?",
        (
            number("left", "Left: gap at the top less gap at the bottom", LENGTH, "1/16", GAP),
            number("right", "Right: gap at the top less gap at the bottom", LENGTH, "1/8", GAP),
            number("height", "Height between both gaps", LENGTH, "15", ("4", "40")),
        ),
        _camber,
        cautions=ON_STANDS,
    ),
    Figure(
        "corner-heights",
        "Heights of the corners",
        SECTION,
        "Does the trailer stand level from side to side?",
        (
            _way("front_left", "Front left", "20 1/4", needed=False),
            _way("front_right", "Front right", "20", needed=False),
            _way("rear_left", "Rear left", "19 3/4", needed=False),
            _way("rear_right", "Rear right", "20", needed=False),
        ),
        _heights,
    ),
    Figure(
        "hub-heat",
        "Heat of the hubs",
        SECTION,
        "Does one hub run hotter than the others?",
        (
            numbers(
                "hubs",
                "All hubs, within 2 min of stopping",
                WARMTH,
                "140 135 142 150",
                ("-40", "900"),
                counts=(2, 12),
            ),
        ),
        _heat,
        cautions=HOT,
    ),
    Figure(
        "stopping",
        "Stopping distance",
        SECTION,
        "Does the rig stop soon enough from 20 mph?",
        (
            number("distance", "From the first movement of the pedal", ROAD, "30", ("1", "300")),
            number("speed", "Speed", "mph km_h", "20", ("18", "22")),
            choice("what", "What stopped", STOPPED),
        ),
        _stop,
        cautions=ROAD_TEST,
    ),
)

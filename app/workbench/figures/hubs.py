"""Bearings: sizes, adjusting, end play, service."""

from decimal import Decimal

from app.trade.bearing_sizes import bearing_set, sets_with_bore, usual_hubs
from app.trade.bearings import (
    ADJUSTMENTS,
    HEAVY,
    LIGHT,
    Grease,
    Service,
    Thickener,
    adjustment,
    angle_for_movement,
    axial_movement,
    end_play_verdict,
    grease_to_pack,
    lock_step,
    service_verdict,
)
from app.trade.threads import Thread, read_thread
from app.workbench.entry import (
    LENGTH,
    MILES,
    TURN,
    WEIGHT,
    Figure,
    Figures,
    Values,
    choice,
    day,
    number,
    text,
    whole,
    words,
    yes,
)

SECTION = "Bearings"
LIMITS = {"light": LIGHT, "heavy": HEAVY}
SPINDLE = text("thread", "Thread of the spindle", "1-14", parse=read_thread, hint="Such as 1-14 or M24x1.5")
ON_STANDS = ("c1",)


def _end_play(values: Values) -> Figures:
    return (end_play_verdict(values.quantity("play"), LIMITS[values.text("axle")]),)


def _angle(values: Values) -> Figures:
    thread = values.of("thread", Thread)
    return (angle_for_movement(thread, values.number("movement", thread.unit)),)


def _bore(values: Values) -> Figures:
    bore = values.quantity("bore")
    return (sets_with_bore(bore.value, bore.unit),)


def _service(values: Values) -> Figures:
    done = values.day("done") if values.has("done") else None
    last = Service(done, values.maybe_number("miles", "mi"))
    return (service_verdict(last, values.day("on"), boat=values.yes("boat")),)


CLEAN = "nothing, washed clean"
NLGI = ("000", "00", "0", "1", "2", "3", "4", "5", "6")
CATEGORIES = ("GC-LB", "GC", "GB", "GA", "LB", "LA", "none")


def _same(options: tuple[str, ...]) -> list[tuple[str, str]]:
    return [(each, each) for each in options]


def _grease(values: Values) -> Figures:
    tub = Grease(values.text("nlgi"), values.text("category"), values.yes("water"))
    there = values.text("there")
    found = None if there == CLEAN else Thickener(there)
    return (grease_to_pack(tub, Thickener(values.text("thickener")), found, boat=values.yes("boat")),)


FIGURES = (
    Figure(
        "end-play",
        "End play",
        SECTION,
        "Is the end play of this hub right?",
        (
            number(
                "play", "Largest of several readings", LENGTH, "0.004", ("0", "1"), usual=("0.001", "0.03")
            ),
            choice("axle", "Axle", [("light", "light trailer"), ("heavy", "heavy vehicle")]),
        ),
        _end_play,
        cautions=ON_STANDS,
    ),
    Figure(
        "bearing-adjustment",
        "Setting the spindle nut",
        SECTION,
        "In which steps is this hub adjusted?",
        (choice("hub", "Hub", [(each, each) for each in ADJUSTMENTS]),),
        lambda values: (adjustment(values.text("hub")),),
        cautions=ON_STANDS,
    ),
    Figure(
        "nut-movement",
        "Movement of a nut turned so far",
        SECTION,
        "How far does the spindle nut move when it is turned back?",
        (SPINDLE, number("turned", "Turned by; one flat is 60", TURN, "60", ("0", "3600"))),
        lambda values: (axial_movement(values.of("thread", Thread), values.number("turned", "deg")),),
    ),
    Figure(
        "nut-angle",
        "Angle of a nut for an end play",
        SECTION,
        "How far is the nut turned back for this end play?",
        (SPINDLE, number("movement", "End play wanted", LENGTH, "0.005", ("0", "1"))),
        _angle,
    ),
    Figure(
        "lock-step",
        "Locking step of a castle nut",
        SECTION,
        "How fine can this nut be set and still take its cotter pin?",
        (
            whole("slots", "Slots of the nut", "6", (3, 36)),
            whole("holes", "Hole ends of the spindle", "2", (1, 36), hint="One hole right through has 2"),
        ),
        lambda values: (lock_step(values.whole("slots"), values.whole("holes")),),
    ),
    Figure(
        "bearing-service",
        "Next bearing service",
        SECTION,
        "When are these bearings cleaned and packed again?",
        (
            day("done", "Last service", "2025-05-10", today=False, needed=False),
            number("miles", "Driven since", MILES, "3000", ("0", "1000000"), needed=False),
            day("on", "Today", "2026-05-04"),
            yes("boat", "A boat trailer that goes into the water"),
        ),
        _service,
    ),
    Figure(
        "grease",
        "Grease for a hub",
        SECTION,
        "Does this grease suit the hub, and may it go onto what is there?",
        (
            choice("nlgi", "NLGI number on the tub", _same(NLGI), "2"),
            choice("category", "Category on the tub", _same(CATEGORIES)),
            choice("thickener", "Thickener of the new grease", words(Thickener), "lithium complex"),
            choice("there", "What is in the hub", [(CLEAN, CLEAN), *words(Thickener)], "lithium complex"),
            yes("water", "The tub says that it resists water"),
            yes("boat", "A boat trailer that goes into the water"),
        ),
        _grease,
    ),
    Figure(
        "bearing",
        "Bearing by its number",
        SECTION,
        "Which cup and sizes go with this cone?",
        (text("cone", "Number on the cone", "L68149"),),
        lambda values: (bearing_set(values.text("cone")),),
    ),
    Figure(
        "bearing-by-bore",
        "Bearings by their bore",
        SECTION,
        "Which bearings have the bore that was measured?",
        (number("bore", "Bore of the cone", LENGTH, "1.250", ("0.1", "10")),),
        _bore,
    ),
    Figure(
        "hub-by-capacity",
        "Usual bearings of an axle",
        SECTION,
        "What do hubs of this axle capacity usually hold?",
        (number("capacity", "Axle capacity", WEIGHT, "3500", ("1", "50000")),),
        lambda values: (usual_hubs(int(values.number("capacity", "lb").quantize(Decimal(1)))),),
    ),
)

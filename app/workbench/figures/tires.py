"""Tires: age, size, load, pressure, tread, a larger tire."""

from dataclasses import replace
from decimal import Decimal

from app.trade.figure import Worked
from app.trade.problems import Impossible
from app.trade.tin import DateCode, made_in, read_date_code
from app.trade.tire_age import made_apart, tire_age
from app.trade.tire_load import (
    Fitted,
    axle_capacity,
    capacity_against_gawr,
    capacity_against_weighed,
    spare_against_gawr,
)
from app.trade.tire_marks import PLIES, index_for, index_load, load_range, speed_of
from app.trade.tire_pressure import (
    cold_pressure,
    load_at_pressure,
    load_between_rows,
    pressure_at,
    pressure_for_load,
)
from app.trade.tire_size import (
    TireSize,
    circumference,
    overall_diameter,
    read_size,
    revolutions_per_km,
    revolutions_per_mile,
    rim_widths,
    size_change,
)
from app.trade.tire_upsizing import OFFERS, Offer, Proposal, Room, upsizing
from app.trade.tire_wear import least_tread, tread_spread
from app.workbench.draw import proposed, sizes_drawn
from app.workbench.entry import (
    LENGTH,
    PRESSURE,
    TREAD,
    WARMTH,
    WEIGHT,
    Drawn,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    day,
    number,
    numbers,
    text,
    whole,
    yes,
)

SECTION = "Tires"
UNDER_PRESSURE = ("c3",)
TIRE_LB, TIRE_PSI = ("200", "9000"), ("10", "130")
MARKED_LOAD = number("most", "Load marked on the sidewall", WEIGHT, "1760", TIRE_LB)
MARKED_PRESSURE = number("at", "At cold pressure", PRESSURE, "50", ("15", "130"))
BY_NAME = {str(each): each for each in OFFERS}


def _size(name: str, label: str, example: str) -> Field:
    return text(name, label, example, parse=read_size, questions=lambda size: size.problems)


def _codes(values: Values) -> tuple[DateCode, ...]:
    on = values.day("on")
    return tuple(read_date_code(code, on) for code in values.text("codes").replace(",", " ").split())


def _age(values: Values) -> Figures:
    code, on = read_date_code(values.text("code"), values.day("on")), values.day("on")
    return made_in(code), tire_age(code, on)


def _apart(values: Values) -> Figures:
    return (made_apart(_two_or_more(_codes(values))),)


def _two_or_more(codes: tuple[DateCode, ...]) -> tuple[DateCode, ...]:
    from_one = "two date codes or more, such as 3019 2520"
    if len(codes) < 2:
        raise Impossible("One tire is not apart from itself", from_one)
    return codes


def _of_size(values: Values) -> Figures:
    size = values.of("size", TireSize)
    ways = (overall_diameter, circumference, revolutions_per_mile, revolutions_per_km, rim_widths)
    return tuple(way(size) for way in ways)


def _change(values: Values) -> Figures:
    present, other = values.of("present", TireSize), values.of("other", TireSize)
    tall = (replace(overall_diameter(size), name=f"diameter, {size}") for size in (present, other))
    return size_change(present, other), *tall


def _axle(values: Values) -> Figures:
    tires = [Fitted(load, values.yes("passenger")) for load in values.numbers("loads", "lb")]
    found: Figures = (axle_capacity(tires),)
    if values.has("gawr"):
        found += (capacity_against_gawr(tires, values.number("gawr", "lb")),)
    if values.has("weighed"):
        end = values.maybe_number("end", "lb")
        found += (capacity_against_weighed(tires, values.number("weighed", "lb"), end),)
    return found


def _spare(values: Values) -> Figures:
    fitted = Fitted(values.number("load", "lb"), values.yes("passenger"))
    return (spare_against_gawr(fitted, values.number("gawr", "lb"), int(values.text("tires"))),)


def _upsizing(values: Values) -> Figures:
    return (_larger(values),)


def _larger(values: Values) -> Worked[tuple[Proposal, ...]]:
    room = Room(
        rim_width=values.number("rim", "in"),
        over=values.number("over", "in"),
        side=values.number("side", "in"),
        between=values.maybe_number("between", "in"),
        wheel_lb=values.maybe_number("wheel", "lb"),
        wheel_psi=values.maybe_number("wheel_at", "psi"),
        spare_place=values.maybe_number("spare", "in"),
    )
    tires, gawr = int(values.text("tires")), values.number("gawr", "lb")
    return upsizing(_present(values), room, gawr, tires)


def _drawn_upsizing(values: Values, _figures: Figures) -> Drawn:
    return Drawn("proposals", proposed(_larger(values).value))


def _present(values: Values) -> Offer:
    return BY_NAME[values.text("present")]


def _marked(values: Values) -> tuple[Decimal, Decimal]:
    return values.number("most", "lb"), values.number("at", "psi")


def _between_rows(values: Values) -> Figures:
    rows = [(values.number(f"{row}_at", "psi"), values.number(row, "lb")) for row in ("low", "high")]
    return (load_between_rows(rows, values.number("psi", "psi")),)


def _drawn_size(values: Values, _figures: Figures) -> Drawn:
    return Drawn("sizes", sizes_drawn([values.of("size", TireSize)]))


def _drawn_change(values: Values, _figures: Figures) -> Drawn:
    return Drawn("sizes", sizes_drawn([values.of(name, TireSize) for name in ("present", "other")]))


LOOKED_ON = "2026-05-04"
FIGURES = (
    Figure(
        "tire-age",
        "Age of a tire",
        SECTION,
        "How old is this tire by its date code?",
        (
            text("code", "Date code", "3019", hint="The last digits in the window on the sidewall"),
            day("on", "Looked at on", LOOKED_ON),
        ),
        _age,
    ),
    Figure(
        "tires-apart",
        "Tires of one axle apart in age",
        SECTION,
        "How far apart were the tires of this axle made?",
        (
            text("codes", "Date codes", "3019 2520", hint="Blanks between, such as 3019 2520"),
            day("on", "Looked at on", LOOKED_ON),
        ),
        _apart,
    ),
    Figure(
        "tire-size",
        "Measures of a tire size",
        SECTION,
        "How tall is this size, how far round, which rims does it go on?",
        (_size("size", "Size as marked", "ST205/75R14"),),
        _of_size,
        _drawn_size,
    ),
    Figure(
        "tire-size-change",
        "Another tire size",
        SECTION,
        "What changes with another size: diameter, height at the axle?",
        (_size("present", "Present size", "ST205/75R14"), _size("other", "Other size", "ST215/75R14")),
        _change,
        _drawn_change,
    ),
    Figure(
        "load-index",
        "Load of a load index",
        SECTION,
        "What load does this index stand for?",
        (whole("index", "Load index", "96", (60, 156)),),
        lambda values: (index_load(values.whole("index")),),
    ),
    Figure(
        "index-needed",
        "Load index for a load",
        SECTION,
        "Which load index carries this load with a reserve?",
        (
            number("load", "Load on one tire", WEIGHT, "1500", ("1", "8818")),
            number("reserve", "Reserve", "percent", "10", ("0", "100"), start="10"),
        ),
        lambda values: (index_for(values.number("load", "lb"), values.number("reserve", "percent")),),
    ),
    Figure(
        "speed-symbol",
        "Speed symbol",
        SECTION,
        "How fast may this tire go?",
        (text("symbol", "Letter after the load index", "M", needed=False),),
        lambda values: (speed_of(values.text("symbol")),),
    ),
    Figure(
        "load-range",
        "Load range",
        SECTION,
        "What does the load range letter stand for?",
        (choice("letter", "Load range", [(each, each) for each in PLIES], "C"),),
        lambda values: (load_range(values.text("letter")),),
    ),
    Figure(
        "axle-tires",
        "Tires against the axle",
        SECTION,
        "Do the tires of this axle carry its rating, and its load on the scale?",
        (
            numbers("loads", "Load marked on each tire", WEIGHT, "1760 1760", TIRE_LB, counts=(2, 4)),
            yes("passenger", "Passenger tires (P or no letters): divided by 1.10"),
            number("gawr", "GAWR of the axle", WEIGHT, "3500", ("500", "20000"), needed=False),
            number("weighed", "Axle on the scale", WEIGHT, "2950", ("100", "20000"), needed=False),
            number("end", "Its heavier wheel end", WEIGHT, "1520", ("50", "20000"), needed=False),
        ),
        _axle,
    ),
    Figure(
        "spare",
        "Spare against its axle",
        SECTION,
        "Does this spare carry what one wheel of the axle may have to carry?",
        (
            number("load", "Load marked on the spare", WEIGHT, "1760", TIRE_LB),
            yes("passenger", "A passenger tire (P or no letters): divided by 1.10"),
            number("gawr", "GAWR of the axle", WEIGHT, "3500", ("500", "20000")),
            choice("tires", "Tires on the axle", [("2", "2"), ("4", "4, dual wheels")]),
        ),
        _spare,
    ),
    Figure(
        "load-at-pressure",
        "Load at a cold pressure",
        SECTION,
        "What does this tire carry at less than its marked pressure?",
        (MARKED_LOAD, MARKED_PRESSURE, number("psi", "Cold pressure", PRESSURE, "40", TIRE_PSI)),
        lambda values: (load_at_pressure(*_marked(values), values.number("psi", "psi")),),
        cautions=UNDER_PRESSURE,
    ),
    Figure(
        "pressure-for-load",
        "Cold pressure for a load",
        SECTION,
        "Which cold pressure carries the load that was weighed?",
        (
            MARKED_LOAD,
            MARKED_PRESSURE,
            number("load", "Load on this tire", WEIGHT, "1400", ("1", "9000")),
            number("least", "Lowest row of its table", PRESSURE, "35", TIRE_PSI, start="35"),
        ),
        lambda values: (
            pressure_for_load(*_marked(values), values.number("load", "lb"), values.number("least", "psi")),
        ),
        cautions=UNDER_PRESSURE,
        blame="load",
    ),
    Figure(
        "load-between-rows",
        "Load between two rows of a table",
        SECTION,
        "What does the tire's own load table say between two rows?",
        (
            number("low_at", "Lower row, pressure", PRESSURE, "35", TIRE_PSI),
            number("low", "Lower row, load", WEIGHT, "1430", TIRE_LB),
            number("high_at", "Upper row, pressure", PRESSURE, "50", TIRE_PSI),
            number("high", "Upper row, load", WEIGHT, "1760", TIRE_LB),
            number("psi", "Cold pressure", PRESSURE, "40", TIRE_PSI),
        ),
        _between_rows,
    ),
    Figure(
        "pressure-and-temperature",
        "Tire pressure at another temperature",
        SECTION,
        "What does a tire set in the cold read when it is warm?",
        (
            number("psi", "Pressure when set", PRESSURE, "50", ("0", "130")),
            number("set_at", "Temperature then", WARMTH, "50", ("-60", "200")),
            number("now", "Temperature now", WARMTH, "90", ("-60", "200")),
        ),
        lambda values: (
            pressure_at(
                values.number("psi", "psi"), values.number("set_at", "degF"), values.number("now", "degF")
            ),
        ),
        cautions=UNDER_PRESSURE,
    ),
    Figure(
        "cold-pressure",
        "Cold pressure against the placard",
        SECTION,
        "Is the cold pressure right?",
        (
            number("psi", "Measured cold", PRESSURE, "49", ("0", "150")),
            number("placard", "Placard", PRESSURE, "50", TIRE_PSI),
            number("most", "Lowest limit of tire, wheel and valve", PRESSURE, "65", ("10", "150")),
        ),
        lambda values: (
            cold_pressure(
                values.number("psi", "psi"), values.number("placard", "psi"), values.number("most", "psi")
            ),
        ),
        cautions=UNDER_PRESSURE,
    ),
    Figure(
        "tread",
        "Tread depth",
        SECTION,
        "Is there tread enough, and is it worn evenly?",
        (numbers("depths", "Depths across the tire", TREAD, "6 5 6", ("0", "40"), counts=(1, 12)),),
        lambda values: (
            least_tread(values.quantities("depths")),
            tread_spread(values.quantities("depths")),
        ),
    ),
    Figure(
        "larger-tire",
        "A larger tire on the same rim",
        SECTION,
        "Which larger tires fit here, and what do they gain?",
        (
            choice("present", "Present tire", [(each, each) for each in BY_NAME], str(OFFERS[9])),
            choice("tires", "Tires on the axle", [("2", "2"), ("4", "4, dual wheels")]),
            number("gawr", "GAWR of the axle", WEIGHT, "3500", ("500", "20000")),
            number("rim", "Rim width between the bead seats", LENGTH, "5.5", ("2", "10")),
            number("over", "Gap over the tire, at its tightest", LENGTH, "2.5", ("0", "40")),
            number("side", "Gap beside the tire, at its tightest", LENGTH, "1.5", ("0", "40")),
            number("between", "Gap between tandem tires", LENGTH, "4", ("0", "60"), needed=False),
            number("wheel", "Load stamped on the wheel", WEIGHT, "2150", TIRE_LB, needed=False),
            number("wheel_at", "Pressure stamped on the wheel", PRESSURE, "65", TIRE_PSI, needed=False),
            number("spare", "Tallest tire the spare's place takes", LENGTH, "27", ("8", "50"), needed=False),
        ),
        _upsizing,
        _drawn_upsizing,
    ),
)

"""What the workbench's drawings show: places and texts, worked out here; the templates only set them.

One unit of a drawing is one pixel at its full size, so that its text stays at least 16 px there. Angles:
degrees from the valve, against the clock, seen from outside.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from app.bench.star import Wheel, wheel
from app.trade.bounds import says
from app.trade.drawings import Circle, Point, arrow, curve, path, polygon
from app.trade.figure import plain
from app.trade.gas_tests import Timed, rankine
from app.trade.quantity import Quantity, convert, with_unit
from app.trade.runout import even_stations, runout
from app.trade.tire_size import MM_IN, TireSize, overall_diameter
from app.trade.tire_upsizing import Proposal
from app.trade.vectors import Vector

TENTH = Decimal("0.1")


def _at(x: Decimal | float, y: Decimal | float) -> Point:
    return Point(_tenth(x), _tenth(y))


def _tenth(number: Decimal | float) -> Decimal:
    return Decimal(str(number)).quantize(TENTH) + 0


# The star


@dataclass(frozen=True)
class Label:
    """A text at a place of a drawing."""

    at: Point
    says: str


@dataclass(frozen=True)
class StarDrawn:
    """The wheel with its star; with many studs the numbers stand outside the ring of nuts."""

    wheel: Wheel
    labels: tuple[Label, ...]
    readings: tuple[Label, ...]
    order: str


STAR, OUTSIDE, READ = (Circle(Decimal(210), Decimal(210), Decimal(r)) for r in (110, 148, 172))
ROOMY = 12  # studs that have room for their number inside


def star_drawn(studs: int, readings: Sequence[str] = ()) -> StarDrawn:
    """A wheel of 3 to 36 studs with its star, and the readings of its nuts beside them, nut 1 first."""
    size = min(Decimal(68), STAR.radius * 4 / studs) / 2
    drawn = wheel(studs, {}, STAR, size + 2, size + 6)
    roomy = studs <= ROOMY
    places = [STAR if roomy else OUTSIDE, READ]
    turned = [[_turned(ring, nut, studs) for nut in range(1, studs + 1)] for ring in places]
    return StarDrawn(
        wheel=drawn,
        labels=tuple(Label(at, str(nut)) for nut, at in enumerate(turned[0], 1)),
        readings=tuple(Label(at, said) for at, said in zip(turned[1], readings, strict=False) if roomy),
        order=" ".join(map(str, drawn.order)),
    )


def _turned(ring: Circle, nut: int, studs: int) -> Point:
    return ring.at(360 - Decimal(360) * (2 * nut - 1) / (2 * studs))


# Vectors on the wheel


@dataclass(frozen=True)
class Seen:
    """What is to be seen on one wheel: named vectors as arrows, weights as blocks on the rim."""

    name: str
    vectors: Sequence[tuple[str, Vector]]
    weights: Sequence[Vector] = ()


@dataclass(frozen=True)
class ArrowDrawn:
    """One vector: line and head, its name and amount, and where they stand; the first is the heavy one."""

    line: str
    head: str
    word: Label
    heavy: bool = False


@dataclass(frozen=True)
class BlockDrawn:
    """One weight on the rim: its middle, the turn of its block, its amount."""

    at: Point
    turn: str
    word: Label


@dataclass(frozen=True)
class WheelDrawn:
    """One wheel with its arrows and blocks, and all of it in words."""

    name: str
    says: str
    arrows: tuple[ArrowDrawn, ...]
    blocks: tuple[BlockDrawn, ...]


@dataclass(frozen=True)
class WheelsDrawn:
    """Wheels side by side, with the ticks of each ten degrees."""

    wheels: tuple[WheelDrawn, ...]
    ticks: str
    unit: str


FACE = {name: Circle(Decimal(150), Decimal(150), Decimal(r)) for name, r in (("in", 104), ("out", 110))}
RIM = Circle(Decimal(150), Decimal(150), Decimal(126))
HUB = Point(Decimal(150), Decimal(150))
TICKS = "".join(
    path((FACE["in"].at(Decimal(turn)), FACE["out"].at(Decimal(turn)))) for turn in range(0, 360, 10)
)
SHORTEST, LONGEST = 30, 82
NEAR = 60  # degrees within which words would stand on one another


def wheels_drawn(seen: Sequence[Seen], unit: str) -> WheelsDrawn:
    """Wheels with arrows to one scale, the longest vector of all 82 px; nothing at all has no arrow."""
    most = max((vector.amount for each in seen for _, vector in each.vectors), default=Decimal(0))
    return WheelsDrawn(tuple(_wheel_drawn(each, most, unit) for each in seen), TICKS, unit)


def _wheel_drawn(seen: Seen, most: Decimal, unit: str) -> WheelDrawn:
    said = [f"{name} {vector.says(unit)}" for name, vector in seen.vectors]
    put = [f"weight {weight.says(unit)}" for weight in seen.weights]
    drawn = [(name, vector) for name, vector in seen.vectors if vector.amount]
    arrows = [
        _arrow_drawn(f"{name} {plain(vector.amount, 2)}", vector, most, _word_place(seen, vector, most))
        for name, vector in drawn
    ]
    arrows = [replace(each, heavy=not place) for place, each in enumerate(arrows)]
    return WheelDrawn(
        seen.name, "; ".join(said + put), tuple(arrows), tuple(_block(each) for each in seen.weights)
    )


def _word_place(seen: Seen, vector: Vector, most: Decimal) -> Point:
    """Where an arrow's word stands: beyond its tip; across the hub from weights; clear of an arrow beside."""
    if any(abs(_apart(weight, vector)) < NEAR for weight in seen.weights):
        return _ring(36).at(vector.angle + 180)
    reach = _reach(vector, most)
    longer = [other for _, other in seen.vectors if other.amount > vector.amount]
    if beside := [_apart(vector, other) for other in longer if abs(_apart(vector, other)) < NEAR]:
        return _ring(reach + 30).at(vector.angle + (60 if beside[0] >= 0 else -60))
    return _ring(reach + 16).at(vector.angle - 12)


def _apart(one: Vector, other: Vector) -> Decimal:
    """Degrees from the other to the one, the short way round."""
    return (one.angle - other.angle + 540) % 360 - 180


def _reach(vector: Vector, most: Decimal) -> Decimal:
    return max(Decimal(SHORTEST), LONGEST * vector.amount / most)


def _arrow_drawn(says: str, vector: Vector, most: Decimal, place: Point) -> ArrowDrawn:
    tip = _ring(_reach(vector, most)).at(vector.angle)
    drawn = arrow(HUB, tip, Decimal(7), Decimal(0), Decimal(14))
    return ArrowDrawn(path((drawn.start, drawn.end)), polygon(drawn.head), Label(place, says))


def _ring(radius: Decimal | int) -> Circle:
    return Circle(HUB.x, HUB.y, Decimal(radius))


def _block(weight: Vector) -> BlockDrawn:
    word = Label(_ring(88).at(weight.angle), plain(weight.amount, 2))
    return BlockDrawn(RIM.at(weight.angle), f"{-weight.angle:.1f}", word)


# Larger tires, row by row


@dataclass(frozen=True)
class Proposed:
    """One larger tire as a row: what it gains, what is left of the gaps, why it does not fit, what else."""

    name: str
    fits: bool
    gain: str
    left: str
    against: tuple[str, ...]
    also: tuple[str, ...]


def proposed(found: Sequence[Proposal]) -> tuple[Proposed, ...]:
    """The rows of all larger tires, those that fit first as they come."""
    return tuple(
        Proposed(
            name=str(each.offer),
            fits=each.fits,
            gain=f"{says(each.gain_tire_lb, 'lb')} a tire",
            left=_gaps(each),
            against=each.against,
            also=each.also,
        )
        for each in found
    )


def _gaps(found: Proposal) -> str:
    gaps = {"over": found.left_over, "beside": found.left_side, "between": found.left_between}
    return ", ".join(f"{says(gap, 'in', 2)} {where}" for where, gap in gaps.items() if gap is not None)


# Runout, unrolled


@dataclass(frozen=True)
class Reading:
    """One reading of the dial: its place, its text, and the degrees where there is room for them."""

    at: Point
    says: str
    degrees: str


@dataclass(frozen=True)
class RunoutDrawn:
    """The dial's readings unrolled from valve to valve: first harmonic, readings, zero line, total."""

    line: str
    through: str
    readings: tuple[Reading, ...]
    zero: Decimal
    top: Decimal
    bottom: Decimal
    total: str
    says: str


LEFT, WIDE, CEILING, HIGH = Decimal(48), Decimal(500), Decimal(40), Decimal(110)
CROWDED = 12


def runout_drawn(readings: Sequence[Quantity]) -> RunoutDrawn:
    """The curve of 3 or more readings of one turn, evenly spaced, all in one unit."""
    unit, values = readings[0].unit, [each.value for each in readings]
    found = runout(even_stations(values), unit).value
    low, high = _ends([*values, found.mean - found.high.amount, found.mean + found.high.amount, Decimal(0)])
    scale = HIGH / (high - low)
    zero = CEILING + high * scale
    places = _places([*values, values[0]], zero, scale)
    return RunoutDrawn(
        line=curve(found.mean, (found.high.amount, found.high.angle), Point(LEFT, zero), (WIDE, scale)),
        through=path(places),
        readings=tuple(_read(at, turn, readings) for turn, at in enumerate(places)),
        zero=_tenth(zero),
        top=min(at.y for at in places),
        bottom=max(at.y for at in places),
        total=with_unit(f"{found.tir.normalize():f}", unit),
        says=found.high.says(unit, 1 if found.high.amount >= 1 else 4),
    )


def _ends(values: Sequence[Decimal]) -> tuple[Decimal, Decimal]:
    """Least and most, apart even where all are alike."""
    low, high = min(values), max(values)
    return (low, high) if high > low else (low, low + 1)


def _places(values: Sequence[Decimal], zero: Decimal, scale: Decimal) -> list[Point]:
    step = WIDE / (len(values) - 1)
    return [_at(LEFT + step * turn, zero - value * scale) for turn, value in enumerate(values)]


def _read(at: Point, turn: int, readings: Sequence[Quantity]) -> Reading:
    count = len(readings)
    every = 1 if count <= CROWDED else 4
    degrees = f"{round(360 * turn / count)}" if turn % every == 0 else ""
    said = readings[turn % count].typed if count <= CROWDED else ""
    return Reading(at, said, "valve" if turn in (0, count) else degrees)


# Axle loads


@dataclass(frozen=True)
class Stand:
    """One stand of the rig: loads in lb on front, rear and all trailer axles; no trailer: None."""

    name: str
    front: Decimal
    rear: Decimal
    trailer: Decimal | None = None


@dataclass(frozen=True)
class Hung:
    """One load hanging under its axle: place, length, number, and its change from the stand before."""

    x: Decimal
    long: Decimal
    says: str
    change: str


@dataclass(frozen=True)
class RowDrawn:
    """One stand as a side view: its shift down, its name, its loads, the turn of the tow vehicle."""

    down: int
    name: str
    loads: tuple[Hung, ...]
    trailer: bool


@dataclass(frozen=True)
class AxlesDrawn:
    """Stands below one another; `says`: all loads in words."""

    rows: tuple[RowDrawn, ...]
    high: int
    says: str


AXLE_X = (Decimal(100), Decimal(250), Decimal(548))
LONGEST_LOAD, ROW = Decimal(62), 178


def axles_drawn(stands: Sequence[Stand]) -> AxlesDrawn:
    """Stands with their loads to one scale, the heaviest 62 px long; each change from the stand before."""
    loads = [_loads(stand) for stand in stands]
    most = max(max(abs(load) for load in each) for each in loads) or Decimal(1)
    rows = [
        RowDrawn(
            down=place * ROW,
            name=stand.name,
            loads=tuple(_hung(here, loads[place - 1] if place else (), most)),
            trailer=len(here) > 2,
        )
        for place, (stand, here) in enumerate(zip(stands, loads, strict=True))
    ]
    return AxlesDrawn(tuple(rows), ROW * len(rows) - 6, "; ".join(map(_stand_said, stands)))


def _loads(stand: Stand) -> tuple[Decimal, ...]:
    both = (stand.front, stand.rear)
    return (*both, stand.trailer) if stand.trailer else both


def _hung(here: Sequence[Decimal], before: Sequence[Decimal], most: Decimal) -> list[Hung]:
    changes = [now - then for now, then in zip(here, before, strict=False)]
    said = [f"{'+' if each > 0 else ''}{plain(each)}" for each in changes] + [""] * len(here)
    return [
        Hung(x, _tenth(max(load, Decimal(0)) * LONGEST_LOAD / most), plain(load), change)
        for x, load, change in zip(AXLE_X, here, said, strict=False)
    ]


def _stand_said(stand: Stand) -> str:
    trailer = f", trailer axles {says(stand.trailer, 'lb')}" if stand.trailer else ""
    return f"{stand.name}: front {says(stand.front, 'lb')}, rear {says(stand.rear, 'lb')}{trailer}"


# Tire sizes over each other


@dataclass(frozen=True)
class TireDrawn:
    """One size standing on the ground: circle, rim, and its section from behind."""

    name: str
    radius: Decimal
    rim: Decimal
    middle: Decimal
    wide: Decimal
    says: str


@dataclass(frozen=True)
class SizesDrawn:
    """Sizes over each other; the first is the present one. `lift`: what the axle stands higher, in words."""

    tires: tuple[TireDrawn, ...]
    lift: str
    says: str


GROUND, TALLEST = Decimal(320), Decimal(290)


def sizes_drawn(sizes: Sequence[TireSize]) -> SizesDrawn:
    """One or two sizes to one scale, the taller 290 px high, standing on one ground."""
    tall = [overall_diameter(size).value for size in sizes]
    scale = TALLEST / max(tall)
    tires = tuple(_tire(size, high, scale) for size, high in zip(sizes, tall, strict=True))
    lift = (tall[-1] - tall[0]) / 2
    word = "higher" if lift >= 0 else "lower"
    said = f"axle {with_unit(plain(abs(lift), 1), 'mm')} {word}" if len(sizes) > 1 else ""
    return SizesDrawn(tires, said, "; ".join(filter(None, (*(tire.says for tire in tires), said))))


def _tire(size: TireSize, tall: Decimal, scale: Decimal) -> TireDrawn:
    inches = with_unit(plain(tall / MM_IN, 1), "in")
    return TireDrawn(
        name=str(size),
        radius=_tenth(tall * scale / 2),
        rim=_tenth(size.rim * MM_IN * scale / 2),
        middle=_tenth(GROUND - tall * scale / 2),
        wide=_tenth(size.section_mm * scale),
        says=f"{size} {inches} tall",
    )


# Leak-down


@dataclass(frozen=True)
class LeakDrawn:
    """Pressure over time: as measured, and as temperature alone would have had it, with the gauge's doubt."""

    line: str
    alone: str
    start: Label
    end: Label
    expected: Label
    doubt: tuple[Decimal, Decimal]
    minutes: str
    says: str


FROM_X, TO_X, TOP_Y, BOTTOM_Y = Decimal(70), Decimal(440), Decimal(40), Decimal(220)


def leak_drawn(timed: Timed) -> LeakDrawn:
    """The two pressures of a timed test with the line that its temperatures alone explain."""
    unit = timed.start.unit
    expected = _by_temperature(timed)
    division = timed.division.to(unit)
    start, end = timed.start.to(unit), timed.end.to(unit)
    low, high = _ends([start, end, expected - division, expected + division])
    heights = [_height(each, low, high) for each in (start, end, expected)]
    apart = _clear(heights[1], heights[2])
    said = with_unit(plain(expected, 2), unit)
    return LeakDrawn(
        line=path((_at(FROM_X, heights[0]), _at(TO_X, heights[1]))),
        alone=path((_at(FROM_X, heights[0]), _at(TO_X, heights[2]))),
        start=Label(_at(FROM_X, heights[0]), str(timed.start)),
        end=Label(_at(TO_X, apart[0]), f"{timed.end} read"),
        expected=Label(_at(TO_X, apart[1]), f"{said} by temperature"),
        doubt=(_height(expected + division, low, high), _height(expected - division, low, high)),
        minutes=str(timed.minutes),
        says=f"from {timed.start} to {timed.end} in {timed.minutes}; by temperature alone {said}",
    )


def _by_temperature(timed: Timed) -> Decimal:
    """End pressure of the same gas, had nothing come or gone, in the unit of the start."""
    station = timed.station.to("psi")
    warmth = rankine(timed.end_temperature) / rankine(timed.start_temperature)
    return convert((timed.start.to("psi") + station) * warmth - station, "psi", timed.start.unit)


def _height(value: Decimal, low: Decimal, high: Decimal) -> Decimal:
    return _tenth(BOTTOM_Y - (value - low) * (BOTTOM_Y - TOP_Y) / (high - low))


def _clear(one: Decimal, other: Decimal) -> tuple[Decimal, Decimal]:
    """Two heights moved apart to 24 px, the upper one up and the lower one down."""
    short = max(Decimal(0), 24 - abs(one - other)) / 2
    return (one - short, other + short) if one < other else (one + short, other - short)

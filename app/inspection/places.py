"""Where on a unit a check is made: its places from its shape, and the order in which a person walks them.

Left and right are told facing the way of travel; in right-hand traffic left is the road side and right the
curb side.
"""

from collections.abc import Callable
from dataclasses import dataclass

from app.inspection.catalogue import Catalogue, Check, Kind
from app.trade.problems import Impossible

STATIONS = (
    "Papers",
    "Coupler",
    "Curb side",
    "Tail",
    "Road side",
    "High lap",
    "Inside",
    "Underneath",
    "Hubs out",
    "Road",
    "Sum up",
)
PAPERS, COUPLER, CURB, TAIL, ROAD, HIGH, INSIDE, UNDER = range(1, 9)
SIDE_WORDS = {"left": "road side", "right": "curb side"}
STATION_OF_SIDE = {"left": ROAD, "right": CURB}
MOST_AXLES = 4
UNKNOWN = "unknown"
CORNERS = ("wheel", "tire", "hub")


@dataclass(frozen=True)
class Place:
    """One place of a unit: key as kept in the book, label as people say it, station where it is met.

    `side`: "road side", "curb side", or empty where it lies on neither.
    """

    key: str
    label: str
    station: int
    side: str = ""


@dataclass(frozen=True)
class UnitShape:
    """What of a unit decides its places. `axles` 1 to 4; `wheels_per_axle_side` 1, or 2 for duals.

    `brakes`: none, electric, surge, hydraulic or air; unknown where nobody has told: all is looked at then.
    `appliances`: names as in the checks (range, furnace, water, fridge); None where nobody has told.
    Raises Impossible for a shape that cannot be.
    """

    kind: Kind
    axles: int = 1
    wheels_per_axle_side: int = 1
    spare: bool = False
    cylinders: int = 0
    exits: int = 2
    receptacles: int = 1
    tanks: tuple[str, ...] = ("gray", "black")
    appliances: tuple[str, ...] | None = None
    brakes: str = UNKNOWN

    def __post_init__(self) -> None:
        if not 1 <= self.axles <= MOST_AXLES:
            raise Impossible(f"{self.axles} axles cannot be", "1 to 4 axles")
        if self.wheels_per_axle_side not in (1, 2):
            raise Impossible(f"{self.wheels_per_axle_side} wheels on a side cannot be", "1, or 2 for duals")
        if not all(0 <= count <= 40 for count in (self.cylinders, self.exits, self.receptacles)):
            raise Impossible("This count cannot be", "0 to 40")

    @property
    def dual(self) -> bool:
        """Whether two wheels stand side by side."""
        return self.wheels_per_axle_side == 2


UNIT = Place("unit", "Whole unit", PAPERS)
SPARE = Place("spare", "Spare tire", TAIL)


def _sided(key: str, label: str, side: str) -> Place:
    return Place(key, label, STATION_OF_SIDE[side], SIDE_WORDS[side])


SIDES = (_sided("side-curb", "Curb side", "right"), _sided("side-road", "Road side", "left"))


def _axles(shape: UnitShape) -> list[Place]:
    return [Place(f"axle-{n}", f"Axle {n}", UNDER) for n in range(1, shape.axles + 1)]


def _corners(shape: UnitShape, word: str, rows: tuple[str, ...] = ("",)) -> list[Place]:
    return [
        _sided(f"{word}-{axle}-{side}{row and '-' + row}", _corner_label(word, side, axle, row), side)
        for side in ("right", "left")
        for axle in range(1, shape.axles + 1)
        for row in rows
    ]


def _corner_label(word: str, side: str, axle: int | str, row: str) -> str:
    return f"{side.capitalize()} {row and row + ' '}{word}, axle {axle}"


def _rows(shape: UnitShape) -> tuple[str, ...]:
    return ("outer", "inner") if shape.dual else ("",)


def _wheels(shape: UnitShape) -> list[Place]:
    return _corners(shape, "wheel")


def _dual_wheels(shape: UnitShape) -> list[Place]:
    return _corners(shape, "wheel", _rows(shape))


def _tires(shape: UnitShape) -> list[Place]:
    return [*_corners(shape, "tire", _rows(shape)), *([SPARE] if shape.spare else [])]


def _hubs(shape: UnitShape) -> list[Place]:
    return _corners(shape, "hub")


def _cylinders(shape: UnitShape) -> list[Place]:
    return [Place(f"cylinder-{n}", f"Gas cylinder {n}", COUPLER) for n in range(1, shape.cylinders + 1)]


def _receptacles(shape: UnitShape) -> list[Place]:
    return [Place(f"receptacle-{n}", f"Receptacle {n}", INSIDE) for n in range(1, shape.receptacles + 1)]


def _tanks(shape: UnitShape) -> list[Place]:
    return [Place(f"tank-{name}", f"{name.capitalize()} tank", UNDER) for name in shape.tanks]


def _appliances(shape: UnitShape) -> list[Place]:
    if not shape.appliances:
        return [Place("appliance-unnamed", "Make not recorded", INSIDE)]
    return [Place(f"appliance-{name}", name.capitalize(), INSIDE) for name in shape.appliances]


def _exits(shape: UnitShape) -> list[Place]:
    main = [Place("exit-main", "Main exit", INSIDE)] if shape.exits else []
    return main + [Place(f"exit-{n}", f"Exit {n}", INSIDE) for n in range(2, shape.exits + 1)]


LAMP_PLACES = {
    "tail": (("tail-left", "Left rear lamp"), ("tail-right", "Right rear lamp")),
    "marker": (
        ("marker-front-right", "Right front marker"),
        ("marker-rear-right", "Right rear marker"),
        ("marker-front-left", "Left front marker"),
        ("marker-rear-left", "Left rear marker"),
    ),
    "wide": (
        ("clearance-front", "Front clearance lamps"),
        ("clearance-rear", "Rear clearance lamps"),
        ("cluster", "Three-lamp cluster"),
    ),
    "reflex": (
        ("reflector-right", "Right reflectors"),
        ("reflector-rear", "Rear reflectors"),
        ("reflector-left", "Left reflectors"),
    ),
    "plate": (("plate", "Plate lamp"),),
}
GROUP_OF_CHECK = {
    "la.marker": "marker",
    "la.wide": "wide",
    "la.reflex": "reflex",
    "la.plate": "plate",
}


def _lamps(group: str) -> list[Place]:
    return [Place(f"lamp-{key}", label, *_met(group, key)) for key, label in LAMP_PLACES[group]]


def _met(group: str, key: str) -> tuple[int, str]:
    side = next((side for side in SIDE_WORDS if key.endswith(side)), "")
    on_side = group in ("marker", "reflex") and side
    return (STATION_OF_SIDE[side] if on_side else TAIL), SIDE_WORDS.get(side, "")


OF_WORD: dict[str, Callable[[UnitShape], list[Place]]] = {
    "unit": lambda _: [UNIT],
    "side": lambda _: list(SIDES),
    "axle": _axles,
    "wheel": _wheels,
    "tire": _tires,
    "hub": _hubs,
    "cylinder": _cylinders,
    "receptacle": _receptacles,
    "tank": _tanks,
    "appliance": _appliances,
    "exit": _exits,
}


SPOKEN = {
    place.key: place.label
    for place in (UNIT, SPARE, *SIDES, *(lamp for group in LAMP_PLACES for lamp in _lamps(group)))
} | {"exit-main": "Main exit", "appliance-unnamed": "Make not recorded"}


def label_of(place: str) -> str:
    """A place as people say it, from its key alone: `wheel-1-left` is `Left wheel, axle 1`."""
    word, *rest = place.split("-")
    if word in CORNERS and len(rest) > 1:
        return _corner_label(word, rest[1], rest[0], "".join(rest[2:]))
    turned = {"cylinder": ("gas", word, *rest), "tank": (*rest, word), "appliance": tuple(rest)}
    words = " ".join(turned.get(word, (word, *rest))).strip().capitalize()
    return SPOKEN.get(place) or words or UNIT.label


def places_for(check: Check, shape: UnitShape) -> list[Place]:
    """The places of a unit where a check is made; none where the unit has no such thing.

    With duals a check of the wheels is made at the outer and the inner one, a check of springs or brakes
    once at the end of the axle. An appliance's check is made where the unit has that appliance, that of a
    kind of brakes where the unit has these or nobody knows what it has.
    """
    if not _has(check, shape):
        return []
    if check.places == "lamp":
        return _lamps(GROUP_OF_CHECK.get(check.key, "tail"))
    if check.places == "wheel" and check.system == "wheels":
        return _dual_wheels(shape)
    return [place for place in OF_WORD[check.places](shape) if _is_at(check, place, shape)]


def _has(check: Check, shape: UnitShape) -> bool:
    braked = not check.brakes or shape.brakes in (UNKNOWN, *check.brakes)
    return braked and shape.axles >= check.least_axles


def _is_at(check: Check, place: Place, shape: UnitShape) -> bool:
    if check.places == "appliance" and shape.appliances is not None:
        return place.key == f"appliance-{check.key.split('.')[1]}"
    if check.key in ("ex.door", "ex.second"):
        return (place.key == "exit-main") == (check.key == "ex.door")
    return True


def station_of(check: Check, place: Place) -> int:
    """The station, 1 to 11, where a check is made: its own where it names one, else that of the place."""
    return check.station or place.station


def walk_order(catalogue: Catalogue, shape: UnitShape, depth: str) -> list[tuple[Check, Place]]:
    """Every check at every place of a walk, in the order of walking: by station, then place, then check.

    All checks at one place follow each other, so that "Go on" leads through a place before the next.
    """
    pairs = [
        (check, place)
        for check in catalogue.for_walk(shape.kind, depth)
        for place in places_for(check, shape)
    ]
    met = _met_order(pairs)
    return sorted(pairs, key=lambda pair: (station_of(*pair), met[_corner(pair[1]), pair[1].key]))


def _corner(place: Place) -> tuple[str, ...]:
    parts = place.key.split("-")
    return tuple(parts[1:3]) if parts[0] in CORNERS else ()


def _met_order(pairs: list[tuple[Check, Place]]) -> dict[tuple[tuple[str, ...], str], tuple[int, int]]:
    """Places of one corner stand together, at the point where the first of them is met."""
    corners: dict[tuple[str, ...], int] = {}
    order: dict[tuple[tuple[str, ...], str], tuple[int, int]] = {}
    for at, (_, place) in enumerate(pairs):
        corner = _corner(place)
        first = corners.setdefault(corner or (place.key,), at)
        order.setdefault((corner, place.key), (first, at))
    return order

"""Weights: tickets, tongue, cargo, ratings."""

from dataclasses import replace
from decimal import Decimal

from app.trade.cargo import Balance, cargo_room, mass_to_reach, moment_to_reach, move_forward
from app.trade.problems import Impossible
from app.trade.ratings import Compared, Limit, governing_rating, largest_trailer
from app.trade.tongue import BANDS, Beam, by_beam, by_jack, tongue_share
from app.trade.weights import (
    Ticket,
    Weighing,
    front_restored,
    moved_to_trailer,
    share_by_tickets,
    tongue_weight,
    trailer_weight,
)
from app.workbench.draw import Stand, axles_drawn
from app.workbench.entry import (
    LENGTH,
    WEIGHT,
    Drawn,
    Field,
    Figure,
    Figures,
    Values,
    choice,
    number,
)

SECTION = "Weights"
ON_SCALE, REACH = ("0", "80000"), ("1", "80000")
UNCOUPLED = ("c2",)
KINDS = choice("kind", "Trailer", [(each, each) for each in BANDS])
TONGUE = number("tongue", "Tongue weight", WEIGHT, "442", ("-20000", "20000"))
GROSS = number("gross", "Trailer weight", WEIGHT, "5200", REACH)
LENGTHWISE = number("length", "Ball to the middle of the axles", LENGTH, "186", ("12", "1000"))
WANTED = number("share", "Tongue share wanted", "percent", "12", ("0", "60"), start="12")
PASSES = {"alone": "tow vehicle alone", "slack": "coupled, bars slack", "engaged": "coupled, bars engaged"}
RATED = {
    "gvwr": ("GVWR against the trailer", "7000", "6000"),
    "axles": ("GAWR of all axles", "7000", "5280"),
    "tires": ("All tires", "7040", "5280"),
    "coupler": ("Coupler against the trailer", "7000", "6000"),
    "ball": ("Ball against the trailer", "6000", "6000"),
    "hitch": ("Hitch against the tongue", "900", "720"),
    "rear": ("Rear axle of the tow vehicle", "3900", "3720"),
}


def _pass(key: str, readings: tuple[str, ...], *, needed: bool = True) -> tuple[Field, ...]:
    names = ("front", "rear", "trailer")
    return tuple(
        number(
            f"{key}_{name}",
            f"{PASSES[key].capitalize()}: {_axle(name)}",
            WEIGHT,
            reading,
            ON_SCALE,
            needed=needed,
        )
        for name, reading in zip(names, readings, strict=False)
    )


def _axle(name: str) -> str:
    return "trailer axles" if name == "trailer" else f"{name} axle"


def _ticket(values: Values, key: str) -> Ticket:
    found = [values.quantity(f"{key}_{name}") for name in ("front", "rear")]
    trailer = values.maybe(f"{key}_trailer") if f"{key}_trailer" in values.found else None
    return Ticket(found[0], found[1], trailer) if trailer else Ticket(found[0], found[1])


def _weighing(values: Values) -> Weighing:
    names = [f"engaged_{name}" for name in ("front", "rear", "trailer")]
    engaged = [name for name in names if values.has(name)]
    if engaged and len(engaged) < len(names):
        raise Impossible("The third ticket has three readings", "front, rear and trailer, or none of them")
    third = _ticket(values, "engaged") if engaged else None
    division = values.quantity("division")
    return Weighing(_ticket(values, "alone"), _ticket(values, "slack"), third, division)


def _tickets(values: Values) -> Figures:
    weighing = _weighing(values)
    share = share_by_tickets(weighing, BANDS[values.text("kind")])
    found: Figures = (tongue_weight(weighing), share, trailer_weight(weighing))
    if weighing.engaged is None:
        return found
    goal = values.maybe_number("goal", "percent")
    return (*found, front_restored(weighing, goal), moved_to_trailer(weighing))


def _drawn_tickets(values: Values, _figures: Figures) -> Drawn:
    weighing = _weighing(values)
    passes = zip(PASSES.values(), (weighing.alone, weighing.slack, weighing.engaged), strict=True)
    stands = [
        Stand(words, each.front.to("lb"), each.rear.to("lb"), each.on_trailer)
        for words, each in passes
        if each
    ]
    return Drawn("axles", axles_drawn(stands))


def _share(values: Values) -> Figures:
    doubt = values.maybe_number("doubt", "percent") or Decimal(0)
    both = values.quantity("tongue"), values.quantity("gross")
    return (tongue_share(*both, BANDS[values.text("kind")], doubt),)


def _beam(values: Values) -> Figures:
    return (by_beam(Beam(values.quantity("reading"), values.quantity("load"), values.quantity("scale"))),)


def _jack(values: Values) -> Figures:
    return (by_jack(values.quantity("jack"), values.quantity("behind"), values.quantity("length")),)


def _room(values: Values) -> Figures:
    names = {"water": "water", "gas": "gas", "gear": "gear added"}
    aboard = [(said, values.quantity(name)) for name, said in names.items() if values.has(name)]
    return (cargo_room(values.quantity("rating"), values.quantity("empty"), aboard),)


def _trailer(values: Values) -> Balance:
    return Balance(values.quantity("tongue"), values.quantity("gross"), values.quantity("length"))


def _to_reach(values: Values) -> Figures:
    trailer, share = _trailer(values), values.number("share", "percent")
    moment = moment_to_reach(trailer, share)
    if not values.has("station"):
        return moment, trailer.share()
    return moment, mass_to_reach(trailer, share, values.quantity("station")), trailer.share()


def _moved(values: Values) -> Figures:
    trailer = _trailer(values)
    after = move_forward(trailer, values.quantity("thing"), values.quantity("forward"))
    bands = BANDS[values.text("kind")]
    return after.share(bands), replace(trailer.share(bands), name="tongue share before")


def _ratings(values: Values) -> Figures:
    compared = [
        Compared(said, values.maybe(f"{key}_rated"), values.quantity(f"{key}_load"))
        for key, (said, _, _) in RATED.items()
        if values.has(f"{key}_load")
    ]
    return (governing_rating(compared, values.maybe("doubt")),)


def _largest(values: Values) -> Figures:
    share = values.number("share", "percent") / 100
    lever = values.number("overhang", "in") / values.number("wheelbase", "in")
    parts = {
        "gvwr": ("GVWR", Decimal(1)),
        "coupler": ("coupler and ball", Decimal(1)),
        "axles": ("axles of the trailer", 1 - share),
        "hitch": ("hitch, on the tongue", share),
        "tow": ("room in the tow vehicle", share),
        "rear": ("room on its rear axle", share * (1 + lever)),
    }
    limits = [
        Limit(said, values.number(key, "lb"), part) for key, (said, part) in parts.items() if values.has(key)
    ]
    return (largest_trailer(limits),)


def _rated(key: str) -> tuple[Field, Field]:
    said, rating, load = RATED[key]
    return (
        number(f"{key}_rated", f"{said}: rating", WEIGHT, rating, REACH, needed=False),
        number(f"{key}_load", f"{said}: load", WEIGHT, load, ON_SCALE, needed=False),
    )


def _maybe(name: str, label: str, example: str) -> Field:
    return number(name, label, WEIGHT, example, REACH, needed=False)


FIGURES = (
    Figure(
        "scale-tickets",
        "Scale tickets",
        SECTION,
        "What do two or three passes over the scale say: tongue, trailer, what the bars gave back?",
        (
            *_pass("alone", ("3100", "2960")),
            *_pass("slack", ("2860", "3920", "5280")),
            *_pass("engaged", ("2980", "3720", "5360"), needed=False),
            number("division", "Steps of the scale", WEIGHT, "20", ("0.1", "200"), start="20"),
            number("goal", "Front to be restored, by the book", "percent", "50", ("0", "100"), needed=False),
            KINDS,
        ),
        _tickets,
        _drawn_tickets,
    ),
    Figure(
        "tongue-share",
        "Tongue share",
        SECTION,
        "Is there enough weight on the ball, and not too much?",
        (
            TONGUE,
            GROSS,
            KINDS,
            number("doubt", "The scale leaves open, either way", "percent", "0.3", ("0", "20"), needed=False),
        ),
        _share,
        cautions=UNCOUPLED,
    ),
    Figure(
        "tongue-by-beam",
        "Tongue weight with a small scale and a beam",
        SECTION,
        "What is on the ball, by a bathroom scale and a beam?",
        (
            number("reading", "Scale, less the beam alone", WEIGHT, "148", ("1", "1000")),
            number("load", "Support to coupler", LENGTH, "12", ("1", "240")),
            number("scale", "Support to scale", LENGTH, "36", ("2", "480")),
        ),
        _beam,
        cautions=UNCOUPLED,
    ),
    Figure(
        "tongue-by-jack",
        "Tongue weight under the jack",
        SECTION,
        "What is on the ball, by the load under the tongue jack?",
        (
            number("jack", "Load under the jack", WEIGHT, "520", REACH),
            number("behind", "Ball to jack", LENGTH, "12", ("0.5", "400")),
            LENGTHWISE,
        ),
        _jack,
        cautions=UNCOUPLED,
    ),
    Figure(
        "cargo-room",
        "Cargo room",
        SECTION,
        "How much may still be loaded?",
        (
            number("rating", "GVWR", WEIGHT, "7000", REACH),
            number("empty", "Empty, weighed or from the label", WEIGHT, "5200", REACH),
            number("water", "Water aboard", WEIGHT, "334", ON_SCALE, needed=False),
            number("gas", "Gas aboard", WEIGHT, "40", ON_SCALE, needed=False),
            number("gear", "Gear added", WEIGHT, "150", ON_SCALE, needed=False),
        ),
        _room,
    ),
    Figure(
        "cargo-to-reach",
        "Cargo for a tongue share",
        SECTION,
        "How much is moved or put in, and where, to bring the tongue to its share?",
        (
            TONGUE,
            GROSS,
            LENGTHWISE,
            WANTED,
            number("station", "Put in at, behind the ball", LENGTH, "60", ("-500", "1500"), needed=False),
        ),
        _to_reach,
        cautions=UNCOUPLED,
    ),
    Figure(
        "cargo-moved",
        "A thing moved in the trailer",
        SECTION,
        "What does moving this thing do to the tongue?",
        (
            TONGUE,
            GROSS,
            LENGTHWISE,
            number("thing", "The thing weighs", WEIGHT, "150", REACH),
            number(
                "forward",
                "Moved towards the ball by",
                LENGTH,
                "60",
                ("-1500", "1500"),
                hint="Rearward: with a minus",
            ),
            KINDS,
        ),
        _moved,
        cautions=UNCOUPLED,
    ),
    Figure(
        "ratings",
        "The rating that governs",
        SECTION,
        "Which rating is used most, and how much is left?",
        (
            *(field for key in RATED for field in _rated(key)),
            number("doubt", "The scale leaves open, either way", WEIGHT, "40", ON_SCALE, needed=False),
        ),
        _ratings,
    ),
    Figure(
        "largest-trailer",
        "Largest trailer",
        SECTION,
        "How heavy may a trailer be behind this tow vehicle, and what limits it?",
        (
            WANTED,
            _maybe("gvwr", "GVWR of the trailer", "7000"),
            _maybe("coupler", "Lesser of coupler and ball", "6000"),
            _maybe("axles", "GAWR of all its axles", "7000"),
            _maybe("hitch", "Tongue weight that the hitch takes", "900"),
            _maybe("tow", "Room in the tow vehicle", "1100"),
            _maybe("rear", "Room on its rear axle", "940"),
            number("overhang", "Rear axle to ball", LENGTH, "48", ("0", "200"), start="48"),
            number("wheelbase", "Wheelbase", LENGTH, "140", ("30", "400"), start="140"),
        ),
        _largest,
    ),
)

"""Scale tickets: up to three passes, or the tongue on a scale of its own; shares, ratings, restoration."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Judged
from app.bench.passes_drawn import passes_drawn
from app.bench.rows import Flat, Read, Row, begun, judged, row_kind, words
from app.trade.bounds import pounds
from app.trade.figure import Worked
from app.trade.problems import Impossible, Refused
from app.trade.quantity import Quantity, read_number
from app.trade.ratings import Compared, governing_rating
from app.trade.tongue import BALL_HITCH, BANDS, Bands, tongue_share
from app.trade.typed import Reader, Texts, Typed
from app.trade.weights import (
    CAUTION,
    Ticket,
    Weighing,
    front_restored,
    moved_to_trailer,
    share_by_tickets,
    tongue_weight,
    trailer_weight,
)

FIRST, SECOND, THIRD = (
    ("front_1", "rear_1"),
    ("front_2", "rear_2", "axles_2"),
    ("front_3", "rear_3", "axles_3"),
)
SINGLE = ("axle_1", "axle_2", "axle_3")
READINGS = (*FIRST, *SECOND, *THIRD, *SINGLE)
SWAPPED = (
    ("front_2", "front_1", "The front axle got heavier when coupled"),
    ("front_2", "front_3", "The bars took weight off the front axle"),
    ("axles_2", "axles_3", "The bars took weight off the trailer"),
)
RATINGS = (
    *("gvwr", "gawr_1", "gawr_2", "gawr_3", "coupling"),
    *("hitch_gross", "hitch_tongue", "tow_gvwr", "tow_rear", "gcwr"),
)
LOADS = (*READINGS, "division", "tongue")
WEIGHT_UNITS = (("lb", "lb"), ("kg", "kg"))
HITCH = (("carrying", "Weight-carrying"), ("distributing", "Weight-distributing"))


class ScaleTickets(Flat):
    """Loads as on the tickets, in `unit`; ratings as on the plates, in `rating_unit`: lb or kg each.

    Trailer axles together in `axles_*`, each singly in `axle_*` as it tows.

    `tongue`: read on a scale of its own, bars slack, in place of the first pass. Ratings are empty where
    nobody read them, and never taken from the next one.
    """

    unit: Literal["lb", "kg"] = "lb"
    rating_unit: Literal["lb", "kg"] = "lb"
    scale: str
    loaded: str
    division: str
    ticket_1: str = ""
    front_1: str = ""
    rear_1: str = ""
    ticket_2: str = ""
    front_2: str = ""
    rear_2: str = ""
    axles_2: str = ""
    ticket_3: str = ""
    front_3: str = ""
    rear_3: str = ""
    axles_3: str = ""
    axle_1: str = ""
    axle_2: str = ""
    axle_3: str = ""
    tongue: str = ""
    goal: str = ""
    gvwr: str = ""
    gawr_1: str = ""
    gawr_2: str = ""
    gawr_3: str = ""
    coupling: str = ""
    hitch_mode: str = ""
    hitch_gross: str = ""
    hitch_tongue: str = ""
    tow_gvwr: str = ""
    tow_rear: str = ""
    gcwr: str = ""

    def weight(self, name: str) -> Quantity | None:
        """A load or rating as typed, None where it is empty."""
        return self.quantity(name, self.rating_unit if name in RATINGS else self.unit)

    def load(self, name: str) -> Decimal:
        """A load in lb, 0 where it is empty."""
        found = self.weight(name)
        return found.to("lb") if found else Decimal(0)

    @property
    def weighing(self) -> Weighing | None:
        """The passes, None where the tongue was read on its own scale."""
        if self.tongue:
            return None
        step = Quantity(self.division, self.unit)
        alone, slack = _ticket(self, 1), _ticket(self, 2)
        return Weighing(alone, slack, _ticket(self, 3) if self.front_3 else None, step)

    @property
    def driven(self) -> int:
        """The pass that it is driven in: bars engaged where they are weighed."""
        return 3 if self.front_3 else 2


def _ticket(record: ScaleTickets, number: int) -> Ticket:
    front, rear, axles = (
        Quantity(_text(record, f"{axle}_{number}"), record.unit) for axle in ("front", "rear", "axles")
    )
    return Ticket(front, rear, axles)


def _text(record: ScaleTickets, name: str) -> str:
    return getattr(record, name, "") or "0"


# The form


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a weighing, in the order of the passes."""
    return (*SCALE, *ALONE, *SLACK, *ENGAGED, *_single_rows(context), *_rating_rows(context))


def unit_of(row: Row, typed: Typed) -> str:
    """Loads are in the scale's unit, ratings in that of the plates."""
    if row.name not in (*LOADS, *RATINGS):
        return row.unit
    return _unit(typed, "rating_unit" if row.name in RATINGS else "unit")


def _unit(typed: Typed, field: str) -> str:
    return typed.get(field) if typed.get(field) in dict(WEIGHT_UNITS) else "lb"


def _load(
    name: str, label: str, reach: str = "", *, least: str = "0", head: str = "", start: str = ""
) -> Row:
    return Row(name, label, "", reach, least, "60000", head=head, start=start)


def _unit_row(name: str, label: str, *, start: str, head: str = "") -> Row:
    return Row(name, label, options=WEIGHT_UNITS, required="The unit is missing", start=start, head=head)


SCALE = (
    words(
        "scale",
        "Scale",
        "name and place",
        required="The scale is missing",
        head="Scale and load",
        stays=True,
    ),
    words("loaded", "Loaded with", "people, water, gas, cargo", required="Say how it was loaded"),
    _unit_row("unit", "The scale reads", start="lb"),
    Row("division", "Step of the scale", "", "", "1", "500", required="The step is missing", start="20"),
)
ALONE = (
    words("ticket_1", "Ticket", head="1 Tow vehicle alone"),
    _load("front_1", "Front axle"),
    _load("rear_1", "Rear axle"),
)
SLACK = (
    words("ticket_2", "Ticket", head="2 Coupled, bars slack or none"),
    _load("front_2", "Front axle"),
    _load("rear_2", "Rear axle"),
    _load("axles_2", "Trailer axles"),
    _load("tongue", "Or: tongue on a scale of its own", "level, bars slack", least="-5000"),
)
ENGAGED = (
    words("ticket_3", "Ticket", head="3 Coupled, bars engaged"),
    _load("front_3", "Front axle"),
    _load("rear_3", "Rear axle"),
    _load("axles_3", "Trailer axles"),
    Row("goal", "Front load to restore, by the tow vehicle's book", "percent", most="100"),
)


def _single_rows(context: Context) -> tuple[Row, ...]:
    heads = {1: "Trailer axles singly, as it tows"}
    if context.axles < 2:
        return ()
    return tuple(
        _load(SINGLE[n - 1], f"Axle {n}", head=heads.get(n, "")) for n in range(1, context.axles + 1)
    )


def _rating_rows(context: Context) -> tuple[Row, ...]:
    gawr = [*context.gawr, "", "", ""]
    axles = [
        _load(f"gawr_{n}", f"GAWR, axle {n}", least="1", start=gawr[n - 1])
        for n in range(1, context.axles + 1)
    ]
    unit = context.gawr_unit if context.gawr_unit in dict(WEIGHT_UNITS) else "lb"
    return (
        _unit_row("rating_unit", "The plates say", head="Ratings as read", start=unit),
        _load("gvwr", "Trailer GVWR", least="1", start=context.gvwr),
        *axles,
        *OTHER_RATINGS,
    )


OTHER_RATINGS = (
    _load("coupling", "Coupler or ball, the lesser", least="1"),
    Row("hitch_mode", "Hitch used as", options=HITCH),
    _load("hitch_gross", "Hitch, gross, in that mode", least="1"),
    _load("hitch_tongue", "Hitch, tongue, in that mode", least="1"),
    _load("tow_gvwr", "Tow vehicle GVWR", least="1"),
    _load("tow_rear", "Tow vehicle rear GAWR", least="1"),
    _load("gcwr", "GCWR", least="1"),
)


def check(form: Reader, _context: Context) -> None:
    """The passes are whole or the tongue stands for the first; steps of the scale; tickets not swapped."""
    if form.raw("tongue"):
        _check_tongue(form)
    else:
        _need(form, (*FIRST, *SECOND), "a reading of this pass, as on the ticket")
    if begun(form, THIRD):
        _need(form, THIRD, "a reading of this pass, as on the ticket")
    for name in READINGS:
        _check_step(form, name)
    for lighter, heavier, says in SWAPPED:
        _check_swapped(form, lighter, heavier, says)


def _check_tongue(form: Reader) -> None:
    if begun(form, FIRST):
        form.wrong("tongue", "The passes give the tongue weight already", "one of the two")
    _need(form, ("axles_2",), "the trailer's axles, as on the ticket")


def _need(form: Reader, names: tuple[str, ...], accepts: str) -> None:
    for name in names:
        if not form.raw(name):
            form.wrong(name, "This reading is missing", accepts)


def _number(form: Reader, name: str) -> Decimal | None:
    try:
        return read_number(form.raw(name)) if form.raw(name) else None
    except Impossible:
        return None  # said already where it was read


def _check_step(form: Reader, name: str) -> None:
    found, step = _number(form, name), _number(form, "division")
    if found is not None and step is not None and step > 0 and found % step:
        form.wrong(
            name,
            f"{form.raw(name)} cannot stand on this scale",
            f"steps of {form.raw('division')} {_unit(form.typed, 'unit')}",
        )


def _check_swapped(form: Reader, lighter: str, heavier: str, says: str) -> None:
    one, other = _number(form, lighter), _number(form, heavier)
    if one is not None and other is not None and one > other:
        form.ask(lighter, f"{says}: are the tickets swapped?", "the tickets by their numbers")


# Judging


def judge(record: ScaleTickets, context: Context) -> Judged:
    """The heaviest of: tongue share, agreement of the passes, every rating that was read, restoration."""
    bands = BANDS.get(context.unit_kind, BALL_HITCH)
    weighing = record.weighing
    if weighing is None:
        return judged([_direct_share(record, bands), _ratings(record, None)], [])
    figures = [
        tongue_weight(weighing),
        trailer_weight(weighing),
        share_by_tickets(weighing, bands),
        *_bars(record, weighing),
        _ratings(record, weighing),
    ]
    return judged(figures, [])


def _direct_share(record: ScaleTickets, bands: Bands) -> Worked[Decimal]:
    tongue = Quantity(record.tongue, record.unit)
    return tongue_share(tongue, pounds(tongue.to("lb") + record.load("axles_2")), bands)


def _bars(record: ScaleTickets, weighing: Weighing) -> tuple[Worked[object], ...]:
    if weighing.engaged is None:
        return ()
    goal = read_number(record.goal) if record.goal else None
    return (moved_to_trailer(weighing), front_restored(weighing, goal))


def _ratings(record: ScaleTickets, weighing: Weighing | None) -> Worked[Compared | None]:
    tongue = weighing.tongue if weighing else record.load("tongue")
    gross = tongue + record.load("axles_2")
    doubt = 2 * Decimal(5).sqrt() * (weighing.unsure if weighing else Decimal(0))
    compared = [
        Compared("trailer GVWR", record.weight("gvwr"), pounds(gross)),
        *_axles(record),
        *_optional(
            record, {"coupling": gross, "hitch_gross": gross, "hitch_tongue": max(tongue, Decimal(0))}
        ),
        *(_optional(record, _tow_loads(record)) if weighing else ()),
    ]
    return governing_rating(compared, pounds(doubt))


def _axles(record: ScaleTickets) -> list[Compared]:
    singly = [(n, record.weight(f"axle_{n}"), record.weight(f"gawr_{n}")) for n in (1, 2, 3)]
    found = [Compared(f"GAWR axle {n}", rating, load) for n, load, rating in singly if load]
    ratings = [rating for _, _, rating in singly if rating]
    if found or not ratings:
        return found
    total = pounds(sum((rating.to("lb") for rating in ratings), Decimal(0)))
    return [Compared("GAWR, all axles", total, pounds(record.load(f"axles_{record.driven}")))]


def _tow_loads(record: ScaleTickets) -> dict[str, Decimal]:
    front, rear, axles = (record.load(f"{axle}_{record.driven}") for axle in ("front", "rear", "axles"))
    return {"tow_gvwr": front + rear, "tow_rear": rear, "gcwr": front + rear + axles}


NAMES = {
    "coupling": "coupler or ball",
    "hitch_gross": "hitch, gross",
    "hitch_tongue": "hitch, tongue",
    "tow_gvwr": "tow vehicle GVWR",
    "tow_rear": "tow vehicle rear GAWR",
    "gcwr": "GCWR",
}


def _optional(record: ScaleTickets, loads: Mapping[str, Decimal]) -> list[Compared]:
    return [
        Compared(NAMES[name], record.weight(name), pounds(load))
        for name, load in loads.items()
        if record.weight(name)
    ]


# The drawing


def draw(typed: Typed, context: Context) -> Mapping[str, object]:
    """The passes side by side, and the figures as far as the form can be read."""
    texts = {name: typed.get(name).strip() for name in ScaleTickets.model_fields}
    return {
        "passes": passes_drawn(texts),
        "figures": _figures(texts, context),
        "unit_word": _unit(typed, "unit"),
    }


def _figures(texts: Mapping[str, str], context: Context) -> tuple[Worked[object], ...]:
    confirmed = {f"confirm-{name}": text for name, text in texts.items()}
    try:
        return KIND.judge(KIND.read(Texts({**texts, **confirmed}), context), context).figures
    except Refused:
        return ()


KIND = row_kind(
    "scale_tickets",
    "Scale tickets",
    "unit",
    ScaleTickets,
    judge,
    Read(rows, check=check, note=CAUTION, cautions=("c2",), draw=draw, unit_of=unit_of),
)

"""Lamps and reflectors that the federal floor asks of a trailer, by width, length and weight."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.trade.bounds import above_zero
from app.trade.figure import Input, Source, Worked
from app.trade.quantity import Quantity

RULE = Source("49 CFR", "393.11 table 1 and 571.108 table I-b")
WIDE_IN, LONG_IN = Decimal(80), Decimal(360)
SHORT_IN, NARROW_IN = Decimal(72), Decimal(30)
HEAVY_LB = Decimal(10000)
TAPED_FROM = date(1993, 12, 1)
CAUTION = (
    "A lamp that works may still not be lawful: local rules and those of the year of make decide. Width is "
    "taken over the widest fixed part, rigid fenders included."
)


@dataclass(frozen=True)
class Lamp:
    """One kind of lamp or reflector: how many, and of which colour. One lamp may serve several."""

    name: str
    count: int
    colour: str

    def __str__(self) -> str:
        return f"{self.count} × {self.name}, {self.colour}"


@dataclass(frozen=True)
class Body:
    """What decides on lamps. `length` is over all, tongue included.

    `living`: built solely for living or office use, which needs no sheeting.
    Raises Impossible for a size or weight that is not above 0.
    """

    width: Quantity
    length: Quantity
    gross_rating: Quantity
    made: date
    boat: bool = False
    living: bool = False

    def __post_init__(self) -> None:
        above_zero("Width", self.width, "in")
        above_zero("Length", self.length, "in")
        above_zero("Gross rating", self.gross_rating, "lb")

    @property
    def wide(self) -> bool:
        """80 in or more."""
        return not self.width.under(WIDE_IN, "in")

    @property
    def long(self) -> bool:
        """30 ft or more."""
        return not self.length.under(LONG_IN, "in")

    @property
    def short(self) -> bool:
        """Under 6 ft, tongue included."""
        return self.length.under(SHORT_IN, "in")

    @property
    def taped(self) -> bool:
        """Whether red and white sheeting is asked for: wide, over 10,000 lb, made since December 1993."""
        heavy = self.gross_rating.over(HEAVY_LB, "lb")
        return self.wide and heavy and self.made >= TAPED_FROM and not self.living


def lamps_required(body: Body) -> Worked[tuple[Lamp, ...]]:
    """Lamps and reflectors of the federal floor for a trailer, each with its number and colour.

    Source: 49 CFR 393.11 table 1, 571.108 table I-b, 393.11(b) for the sheeting.
    """
    lamps = (*_rear(body), *_sides(body), *_wide(body), *_tape(body))
    return Worked(
        name="lamps required",
        value=lamps,
        says="; ".join(map(str, lamps)),
        formula="lamps of every trailer, with those added from 80 in of width and from 30 ft of length",
        inputs=(
            Input("width", str(body.width)),
            Input("length", str(body.length)),
            Input("gross rating", str(body.gross_rating)),
            Input("made", body.made.isoformat()),
        ),
        source=RULE,
        caution=CAUTION,
    )


def _rear(body: Body) -> tuple[Lamp, ...]:
    pair = 1 if body.width.to("in") < NARROW_IN else 2
    return (
        Lamp("tail lamp", pair, "red"),
        Lamp("stop lamp", pair, "red"),
        Lamp("rear turn signal", 2, "red or amber"),
        Lamp("rear reflector", pair, "red"),
        Lamp("license plate lamp", 1, "white"),
    )


def _sides(body: Body) -> tuple[Lamp, ...]:
    rear = (Lamp("rear side marker", 2, "red"), Lamp("rear side reflector", 2, "red"))
    front = (Lamp("front side marker", 2, "amber"), Lamp("front side reflector", 2, "amber"))
    middle = (
        Lamp("intermediate side marker", 2, "amber"),
        Lamp("intermediate side reflector", 2, "amber"),
    )
    return (*rear, *(() if body.short else front), *(middle if body.long else ()))


def _wide(body: Body) -> tuple[Lamp, ...]:
    if not body.wide:
        return ()
    identification = Lamp("rear identification lamp", 3, "red")
    if body.boat:
        # NHTSA interpretations: one double-faced lamp a side near the middle stands for front and rear
        return (Lamp("clearance lamp, double-faced, at mid-length", 2, "amber and red"), identification)
    clearance = (Lamp("front clearance lamp", 2, "amber"), Lamp("rear clearance lamp", 2, "red"))
    return (*clearance, identification)


def _tape(body: Body) -> tuple[Lamp, ...]:
    return (Lamp("conspicuity sheeting, sides and rear", 1, "red and white"),) if body.taped else ()

"""More tire on the same rim: what fits, what it gains, and what it does not change.

A larger tire never raises the rating of the axle, the wheel or the trailer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import COMMON_PRACTICE, Input, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit
from app.trade.tire_load import PASSENGER_DIVISOR
from app.trade.tire_size import MM_IN, TireSize, overall_diameter, read_size, rim_widths

LEAST_OVER_IN = Decimal("0.75")  # tire to fender, suspension at its stop: common practice
LEAST_SIDE_IN = Decimal("0.5")  # sidewall to frame, leaf or brake line: common practice
LEAST_BETWEEN_IN = Decimal("1")  # tread to tread of a tandem: common practice
HIGH_PRESSURE_VALVE_PSI = Decimal(65)  # most of an ordinary rubber snap-in valve


@dataclass(frozen=True)
class Offer:
    """A size in one load range: maximum load in lb at cold psi, as the tables of trailer tires give it."""

    size: TireSize
    load_range: str
    most_lb: Decimal
    most_psi: Decimal

    def __str__(self) -> str:
        return f"{self.size} load range {self.load_range}"


# lb at psi by load range: trailer tire load tables (from memory; where two lists differ, the lower)
_ROWS = """
ST145/80-12 D 1220 65; ST145/80-12 E 1520 80;
ST175/80-13 B 1100 35; ST175/80-13 C 1360 50; ST175/80-13 D 1610 65;
ST185/80-13 B 1200 35; ST185/80-13 C 1480 50; ST185/80-13 D 1725 65;
ST205/75-14 B 1430 35; ST205/75-14 C 1760 50; ST205/75-14 D 2040 65;
ST215/75-14 B 1520 35; ST215/75-14 C 1870 50;
ST205/75-15 B 1480 35; ST205/75-15 C 1820 50; ST205/75-15 D 2150 65;
ST225/75-15 B 1760 35; ST225/75-15 C 2150 50; ST225/75-15 D 2540 65; ST225/75-15 E 2830 80;
ST235/80-16 B 2090 35; ST235/80-16 C 2600 50; ST235/80-16 D 3000 65; ST235/80-16 E 3420 80;
4.80-8 B 590 60; 4.80-8 C 760 90; 5.70-8 B 715 50; 5.70-8 C 910 75; 5.70-8 D 1075 100;
20.5x8.0-10 B 910 35; 20.5x8.0-10 C 1100 50; 20.5x8.0-10 D 1300 70; 20.5x8.0-10 E 1650 90;
4.80-12 B 785 60; 4.80-12 C 990 90; 5.30-12 B 840 55; 5.30-12 C 1045 80; 5.30-12 D 1250 105
"""


def _offer(row: str) -> Offer:
    size, letter, pounds, psi = row.split()
    return Offer(read_size(size), letter, Decimal(pounds), Decimal(psi))


OFFERS = tuple(_offer(row) for row in _ROWS.replace("\n", " ").split(";"))


@dataclass(frozen=True)
class Room:
    """What was measured round the present tire, in inches, loaded, at the tightest place.

    `rim_width`: between the bead seats. `over`: tread to fender or wheel well with the suspension at its
    stop. `side`: sidewall to the nearest thing inside or outside. `between`: tread to tread of a tandem,
    None on a single axle. `wheel_lb`, `wheel_psi`: stamped on the wheel, None where it says nothing.
    `spare_place`: the greatest diameter that the spare's place takes, None where it was not measured.
    Raises Impossible outside 2 to 10 in rim width, or for a negative gap.
    """

    rim_width: Decimal
    over: Decimal
    side: Decimal
    between: Decimal | None = None
    wheel_lb: Decimal | None = None
    wheel_psi: Decimal | None = None
    spare_place: Decimal | None = None

    def __post_init__(self) -> None:
        if not 2 <= self.rim_width <= 10:
            raise Impossible(f"{self.rim_width} in is no rim width", "2 to 10 in, such as 5.5 in")
        if min(self.over, self.side, self.between or Decimal(0)) < 0:
            raise Impossible("A gap is not negative", "the gap in inches, such as 1 3/8; 0 where it touches")


@dataclass(frozen=True)
class Proposal:
    """One larger tire: gains in lb, what is left of each gap in inches, and why it does not fit, if so.

    `also`: what the change asks for besides (a high-pressure valve, the hitch height).
    """

    offer: Offer
    gain_tire_lb: Decimal
    gain_axle_lb: Decimal
    over_gawr_lb: Decimal
    left_over: Decimal
    left_side: Decimal
    left_between: Decimal | None
    against: tuple[str, ...]
    also: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether nothing measured speaks against it."""
        return not self.against

    def __str__(self) -> str:
        gain = f"{with_unit(plain(self.gain_tire_lb), 'lb')} a tire, "
        return f"{self.offer}: {gain}{with_unit(plain(self.gain_axle_lb), 'lb')} an axle"


def rating_stays(gawr_lb: Decimal) -> str:
    """The plain sentence that goes with every proposal."""
    rating = with_unit(plain(gawr_lb), "lb")
    return f"The axle stays rated {rating}: larger tires add reserve, they do not raise GAWR or GVWR."


def upsizing(
    present: Offer, room: Room, gawr_lb: Decimal, tires: int = 2, offers: Sequence[Offer] = OFFERS
) -> Worked[tuple[Proposal, ...]]:
    """Tires for the same rim diameter that carry more, those that fit first, then by gain.

    `tires`: on one axle, 2 or 4. `gawr_lb`: of that axle, 500 to 20,000. Impossible outside.
    A gap left is the gap measured less half the growth in diameter (over), half the growth in section
    (side), the whole growth in diameter (between). Source: common practice.
    """
    if tires not in (2, 4) or not 500 <= gawr_lb <= 20000:
        raise Impossible("This is no axle of a trailer", "2 or 4 tires, GAWR 500 to 20,000 lb")
    larger = [it for it in offers if it.size.rim == present.size.rim and _gain(present, it, room) > 0]
    found = tuple(sorted((_proposal(present, it, room, gawr_lb, tires) for it in larger), key=_best_first))
    return Worked(
        name="larger tires",
        value=found,
        says="; ".join(str(it) for it in found if it.fits) or "none fits on this rim in this room",
        formula="gap left = gap less growth; gain = new load (at most the wheel's) less present load",
        inputs=_inputs(present, room, gawr_lb),
        source=COMMON_PRACTICE,
        limit=f"gaps left at least {LEAST_OVER_IN} in over, {LEAST_SIDE_IN} in beside, "
        f"{LEAST_BETWEEN_IN} in between the tires of a tandem",
        caution=f"{rating_stays(gawr_lb)} All tires of the axle are changed together, the spare with them.",
    )


def _best_first(proposal: Proposal) -> tuple[bool, Decimal, Decimal]:
    return not proposal.fits, -proposal.gain_tire_lb, -proposal.left_over


def _usable(offer: Offer, room: Room) -> Decimal:
    carries = offer.most_lb / PASSENGER_DIVISOR if offer.size.passenger else offer.most_lb
    return min(carries, room.wheel_lb) if room.wheel_lb else carries


def _gain(present: Offer, offer: Offer, room: Room) -> Decimal:
    return _usable(offer, room) - _usable(present, room)


def _proposal(present: Offer, offer: Offer, room: Room, gawr_lb: Decimal, tires: int) -> Proposal:
    taller = (overall_diameter(offer.size).value - overall_diameter(present.size).value) / MM_IN
    wider = (offer.size.section_mm - present.size.section_mm) / MM_IN
    gaps = Gaps(
        over=room.over - taller / 2,
        side=room.side - wider / 2,
        between=None if room.between is None else room.between - taller,
    )
    gain = _gain(present, offer, room)
    return Proposal(
        offer=offer,
        gain_tire_lb=gain,
        gain_axle_lb=gain * tires,
        over_gawr_lb=_usable(offer, room) * tires - gawr_lb,
        left_over=gaps.over,
        left_side=gaps.side,
        left_between=gaps.between,
        against=(*_against_rim(offer, room), *_against_gaps(gaps)),
        also=(*_also(offer, room, taller), *_spare(offer, room, taller)),
    )


@dataclass(frozen=True)
class Gaps:
    """The gaps in inches that a larger tire leaves."""

    over: Decimal
    side: Decimal
    between: Decimal | None


def _against_rim(offer: Offer, room: Room) -> tuple[str, ...]:
    low, high = rim_widths(offer.size).value
    against = []
    if not low <= room.rim_width <= high:
        against.append(f"its rim is {low} to {high} in wide, this one {room.rim_width} in")
    if room.wheel_psi is not None and offer.most_psi > room.wheel_psi:
        against.append(f"it asks {offer.most_psi} psi, the wheel takes {room.wheel_psi} psi")
    return tuple(against)


def _against_gaps(gaps: Gaps) -> tuple[str, ...]:
    named = (
        ("over the tire", gaps.over, LEAST_OVER_IN),
        ("beside the tire", gaps.side, LEAST_SIDE_IN),
        ("between the tires", gaps.between, LEAST_BETWEEN_IN),
    )
    return tuple(
        f"{plain(gap, 2)} in {where}, at least {least} in asked"
        for where, gap, least in named
        if gap is not None and gap < least
    )


def _also(offer: Offer, room: Room, taller: Decimal) -> tuple[str, ...]:
    also = []
    if offer.most_psi > HIGH_PRESSURE_VALVE_PSI:
        also.append(f"a valve for at least {offer.most_psi} psi, high-pressure or metal")
    if taller > 0:
        also.append(f"the trailer stands {plain(taller / 2, 2)} in higher: level it at the hitch again")
    if room.wheel_lb is None:
        also.append("the wheel's own load rating, which was not found")
    elif room.wheel_lb < offer.most_lb:
        also.append(f"the wheel carries {plain(room.wheel_lb)} lb, so the tire counts for no more")
    return tuple(also)


def _spare(offer: Offer, room: Room, taller: Decimal) -> tuple[str, ...]:
    tall = overall_diameter(offer.size).value / MM_IN
    if room.spare_place is not None and tall > room.spare_place:
        return (f"another place for the spare: it is {plain(tall, 2)} in tall, {room.spare_place} in fit",)
    if taller > 0:
        return ("a spare of the new size: the present one is smaller",)
    return ("a spare that carries as much",)


def _inputs(present: Offer, room: Room, gawr_lb: Decimal) -> tuple[Input, ...]:
    between = (
        () if room.between is None else (Input("between the tires", with_unit(str(room.between), "in")),)
    )
    return (
        Input("present tire", f"{present}, {with_unit(plain(present.most_lb), 'lb')}"),
        Input("rim width", with_unit(str(room.rim_width), "in")),
        Input("over the tire", with_unit(str(room.over), "in")),
        Input("beside the tire", with_unit(str(room.side), "in")),
        *between,
        Input("GAWR", with_unit(plain(gawr_lb), "lb")),
    )

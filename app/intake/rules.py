"""Reading what is typed at the desk: impossible refused, unlikely asked about once and then kept."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from app.intake.arrival import (
    Arrival,
    Ball,
    Brakes,
    Depth,
    Kind,
    Known,
    NumberKind,
    OwnerSaid,
    Preferred,
    StaySaid,
    TowSaid,
    UnitSaid,
)
from app.trade.fasteners import question_torque
from app.trade.figure import Worked, plain
from app.trade.letters import NO_LETTERS
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, alike, with_unit
from app.trade.threads import read_thread
from app.trade.tire_size import read_size
from app.trade.typed import Reader, Typed
from app.trade.vin import LENGTH, RULE_YEAR, VinKind, check_digit, model_year, read_vin

MOST_AXLES = 4
FIRST_TRAILER = 1900
MOST_CONCERNS = 12
PHONE_DIGITS = (7, 15)  # ITU-T E.164: at most 15
CLOSING_TIME = time(16, 0)
USUAL_STUDS = (4, 5, 6, 8)
_EMAIL = re.compile(r"^[^\s@]+@[^\s@]+\.[^\s@]+$")
_TIME = re.compile(r"^([01]?\d|2[0-3]):([0-5]\d)$")
_NO_DIGITS = re.compile(r"\D+")
_NOT_IN_NUMBERS = re.compile(r"[\s\-./]+")

# least, most, usual from, usual to: wide enough for anything on wheels, usual by common practice
GVWR_LB = ("100", "60000", "300", "26000")
GAWR_LB = ("100", "30000", "500", "12000")
PRESSURE_PSI = ("5", "130", "25", "110")
LENGTH_FT = ("3", "70", "4", "45")
WIDTH_IN = ("20", "120", "40", "102")  # 102 in: 23 CFR 658.15
RATING_LB = ("200", "60000", "1000", "26000")
TORQUE_LBF_FT = ("", "1000", "", "")


@dataclass(frozen=True)
class Shared:
    """A form in which several quantities share one unit field: `gawr-2-unit` is read from `gvwr-unit`."""

    typed: Typed
    units: Mapping[str, str]

    def get(self, name: str, default: str = "", /) -> str:
        """The last text of a field."""
        return self.typed.get(self.units.get(name, name), default)

    def all(self, name: str) -> list[str]:
        """All texts of a field."""
        return self.typed.all(self.units.get(name, name))


SHARED_UNITS = {
    **{f"gawr-{axle}-unit": "gvwr-unit" for axle in range(1, MOST_AXLES + 1)},
    "torque_low-unit": "torque-unit",
    "torque_high-unit": "torque-unit",
}


def read_arrival(
    typed: Typed,
    on: date,
    zone: str,
    known_owner: Known | None = None,
    known_unit: Known | None = None,
    alike: str = "",
) -> Arrival:
    """Everything that stands in the intake form; raises Refused with every problem of all its sections.

    `on`: today where the shop is. `zone`: the shop's zone, for the promised hour. `alike`: name of another
    owner in the book with this telephone, who is asked about before a second one is made.
    """
    read = Reader(Shared(typed, SHARED_UNITS))
    if alike:
        read.ask("phone", f"{alike} has this telephone", "that owner, by the key above, or one more owner")
    arrival = Arrival(
        stay=_stay(read, on, zone),  # in the order of the form, so that its problems stand in that order
        owner=_owner(read),
        unit=_unit(read, on),
        tow=_tow(read),
        known_owner=known_owner,
        known_unit=known_unit,
        beside=read.yes("beside"),
    )
    _hold_balls_together(read, arrival)
    read.done()
    return arrival


def read_owner(typed: Typed) -> OwnerSaid:
    """The owner that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    owner = _owner(read)
    read.done()
    return owner


def read_unit(typed: Typed, on: date) -> UnitSaid:
    """The unit that stands in a form; raises Refused with every problem. `on`: today, for the model year."""
    read = Reader(Shared(typed, SHARED_UNITS))
    unit = _unit(read, on)
    read.done()
    return unit


def read_stay(typed: Typed, on: date, zone: str) -> StaySaid:
    """The stay that stands in a form; raises Refused with every problem.

    `on`: day of arrival. `zone`: the shop's zone, for the promised hour.
    """
    read = Reader(typed)
    stay = _stay(read, on, zone)
    read.done()
    return stay


def digits(text: str) -> str:
    """The digits of a text, for comparing telephone numbers."""
    return _NO_DIGITS.sub("", text)


def packed(text: str) -> str:
    """A number without blanks, hyphens, points and slashes, in capitals: plates and VINs are compared so."""
    return _NOT_IN_NUMBERS.sub("", text).upper()


# Owner


def _owner(read: Reader) -> OwnerSaid:
    owner = OwnerSaid(
        name=read.text("name", required="The owner's name is missing", most=80),
        phone=_phone(read, "phone"),
        phone_2=_phone(read, "phone_2"),
        email=_email(read),
        address=read.text("address", most=200, lines=True),
        preferred=read.choice("preferred", Preferred) or Preferred.PHONE,
    )
    _reachable(read, owner)
    _printable(read, "name", "address")
    return owner


def _printable(read: Reader, *fields: str) -> None:
    """Ask once about letters for which every paper will show a box: the same that the press says so of."""
    for field in fields:
        if found := "".join(dict.fromkeys(NO_LETTERS.findall(read.raw(field)))):
            says = f"Papers show a box for each of these letters: {found[:12]}"
            read.ask(field, says, "also written in Latin letters, or kept as it is, with boxes on paper")


def _phone(read: Reader, field: str) -> str:
    found = read.text(field, most=40)
    least, most = PHONE_DIGITS
    if found and not least <= len(digits(found)) <= most:
        read.wrong(
            field, f"{found} has {len(digits(found))} digits", f"{least} to {most}, such as (555) 555-0142"
        )
    return found


def _email(read: Reader) -> str:
    found = read.text("email", most=120)
    if found and not _EMAIL.match(found):
        read.wrong("email", f"{found} is not an e-mail address", "an address such as ann@example.com")
    return found


def _reachable(read: Reader, owner: OwnerSaid) -> None:
    """The way of reaching the owner that was chosen must have its number or address."""
    needs = {Preferred.EMAIL: "email", Preferred.PAPER: "address"}
    field = needs.get(Preferred(owner.preferred), "phone")
    if not read.raw(field):
        words = {
            "email": ("The e-mail address is missing", "an address such as ann@example.com"),
            "address": ("The postal address is missing", "street, place, state and ZIP code"),
            "phone": ("The phone number is missing", "a number such as (555) 555-0142"),
        }
        read.wrong(field, f"{words[field][0]}, and the owner is to be reached so", words[field][1])


# Unit


def _unit(read: Reader, on: date) -> UnitSaid:
    kind = read.choice("kind", Kind, required="The kind of unit is missing")
    year = read.whole("year", least=FIRST_TRAILER, most=on.year + 1, what="a year", such_as="2004")
    number, number_kind = _number(read, on, year)
    axles = read.whole("axles", least=1, most=MOST_AXLES, required="The number of axles is missing")
    gvwr, gawr = _ratings(read, axles)
    low, high = _torque(read)
    return UnitSaid(
        kind=kind or Kind.TRAVEL,
        vin=number,
        vin_kind=number_kind,
        plate=read.text("plate", most=20).upper(),
        maker=read.text("maker", most=60),
        model=read.text("model", most=60),
        year=year,
        length_ft=_plain(read, "length_ft", "ft", LENGTH_FT),
        width_in=_plain(read, "width_in", "in", WIDTH_IN),
        axles=axles or 1,
        wheels_per_end=read.whole("wheels_per_end", least=1, most=2) or 1,
        spare=read.yes("spare"),
        gvwr=gvwr,
        gvwr_unit=_unit_of(read, "gvwr", "lb"),
        gawr=gawr,
        tire_size=_tire_size(read),
        tire_pressure=_plain(read, "tire_pressure", "psi", PRESSURE_PSI),
        tire_pressure_unit=_unit_of(read, "tire_pressure", "psi"),
        stud_thread=_thread(read),
        stud_count=_studs(read),
        torque_low=low,
        torque_high=high,
        torque_unit=_unit_of(read, "torque_low", "lbf_ft"),
        torque_source=_torque_source(read),
        brakes=read.choice("brakes", Brakes) or Brakes.UNKNOWN,
        brakes_required={"yes": True, "no": False}.get(read.raw("brakes_required")),
        ball_size=read.choice("ball_size", Ball) or "",
        cylinders=read.whole("cylinders", most=8) or 0,
        battery=read.text("battery", most=80),
    )


def _unit_of(read: Reader, field: str, unit: str) -> str:
    """The unit chosen for a field, or its usual one; the value's own reading refuses an unlike unit."""
    chosen = read.typed.get(f"{field}-unit")
    return chosen if alike(chosen, unit) else unit


def _quantity(read: Reader, field: str, unit: str, limits: Sequence[str]) -> Quantity | None:
    least, most, low, high = limits
    return read.quantity(field, unit, least=least, most=most, usual=(low, high) if low else ())


def _plain(read: Reader, field: str, unit: str, limits: Sequence[str]) -> str:
    """A quantity's text as typed, once it is found possible; empty where there is none."""
    found = _quantity(read, field, unit, limits)
    return found.typed if found else ""


def _number(read: Reader, on: date, year: int | None) -> tuple[str, str]:
    """The number on the frame and what it is; both empty while nobody has looked."""
    said = read.choice("vin_kind", NumberKind) or NumberKind.STANDARD
    typed = read.text("vin", most=40)
    if said is NumberKind.NONE:
        if typed:
            read.wrong("vin", "A number stands here, and below it says that none was found", "one of the two")
        return "", NumberKind.NONE
    if not typed:
        return "", ""
    return _read_number(read, said, typed, on, year)


def _read_number(read: Reader, said: NumberKind, typed: str, on: date, year: int | None) -> tuple[str, str]:
    if said is NumberKind.BEFORE_1981 and year is not None and year >= RULE_YEAR:
        says = f"The year is {year}: from {RULE_YEAR} on a VIN has 17 characters"
        read.wrong("vin_kind", says, "another year, or another kind of number")
        return typed, said
    made = {NumberKind.BEFORE_1981: RULE_YEAR - 1}.get(said, year)
    try:
        vin = read_vin(typed, on, made=made, assigned=said is NumberKind.ASSIGNED)
    except Impossible as impossible:
        read.problems.append(impossible.at("vin"))
        return typed, said
    for problem in vin.problems:
        read.ask("vin", problem.says, problem.accepts)
    return vin.number, vin.kind


def _or(years: Sequence[int]) -> str:
    return " or ".join(map(str, years))


@dataclass(frozen=True)
class Decoded:
    """What a number on a frame says: in one line, with its worked figures, and what to look at again."""

    says: str
    figures: tuple[Worked[object], ...] = ()
    doubts: tuple[Problem, ...] = ()


def decode(typed: str, kind: str, on: date, year: int | None = None) -> Decoded:
    """What a number says before anything is kept; an impossible one says why. Empty for an empty text.

    `kind`: a NumberKind. `on`: today. `year`: model year where it is known.
    """
    if not typed.strip() or kind == NumberKind.NONE:
        return Decoded("")
    made = RULE_YEAR - 1 if kind == NumberKind.BEFORE_1981 else year
    try:
        vin = read_vin(typed, on, made=made, assigned=kind == NumberKind.ASSIGNED)
    except Impossible as impossible:
        return Decoded("This cannot be kept as it stands", doubts=(impossible.at("vin"),))
    if vin.kind is not VinKind.STANDARD:
        return Decoded(f"{vin.number}: {vin.why}", doubts=vin.problems)
    says = f"{vin.grouped}: maker {vin.maker}, model year {_or(vin.years) or 'not said'}, serial {vin.serial}"
    return Decoded(says, (check_digit(vin.number), model_year(vin.number, on)), vin.problems)


def likely_field(text: str) -> str:
    """The field of a new arrival that a text sought in vain belongs in: vin, phone or name."""
    if len(packed(text)) == LENGTH and any(char.isdigit() for char in text):
        return "vin"
    return "phone" if len(digits(text)) >= PHONE_DIGITS[0] and not any(map(str.isalpha, text)) else "name"


def _ratings(read: Reader, axles: int | None) -> tuple[str, tuple[str, ...]]:
    """GVWR, and the GAWR of each axle or of none. `axles`: None where their number could not be read."""
    gvwr = _quantity(read, "gvwr", "lb", GVWR_LB)
    each = [_quantity(read, f"gawr-{axle}", "lb", GAWR_LB) for axle in range(1, MOST_AXLES + 1)]
    known = [found for found in each[:axles] if found]
    if axles is not None:
        _all_or_none(read, axles)
    if gvwr and len(known) == axles:
        _hold_together(read, gvwr, known)
    return gvwr.typed if gvwr else "", tuple(found.typed for found in known)


def _all_or_none(read: Reader, axles: int) -> None:
    typed = [bool(read.raw(f"gawr-{axle}")) for axle in range(1, MOST_AXLES + 1)]
    for axle, given in enumerate(typed, 1):
        if given and axle > axles:
            read.wrong(f"gawr-{axle}", f"There is no axle {axle}", f"a rating for axle 1 to {axles}")
        if not given and axle <= axles and any(typed):
            read.wrong(f"gawr-{axle}", f"The rating of axle {axle} is missing", "one for each axle, or none")


def _hold_together(read: Reader, gvwr: Quantity, gawr: Sequence[Quantity]) -> None:
    """Ask where the axles are rated for less than the unit: right on some labels, a slip on others."""
    total, most = sum((each.to("lb") for each in gawr), Decimal(0)), gvwr.to("lb")
    if total < most:
        says = f"The axles are rated {_lb(total)} together, under the GVWR of {_lb(most)}"
        read.ask("gvwr", says, "the label's own figures; part of the weight rests on the ball")


def _lb(number: Decimal) -> str:
    return with_unit(plain(number), "lb")


def _tire_size(read: Reader) -> str:
    typed = read.text("tire_size", most=40)
    if not typed:
        return ""
    try:
        size = read_size(typed)
    except Impossible as impossible:
        read.problems.append(impossible.at("tire_size"))
        return typed
    for problem in size.problems:
        read.ask("tire_size", problem.says, problem.accepts)
    return typed.upper()


def _thread(read: Reader) -> str:
    typed = read.text("stud_thread", most=30)
    if not typed:
        return ""
    try:
        return read_thread(typed).name
    except Impossible as impossible:
        read.problems.append(impossible.at("stud_thread"))
        return typed


def _studs(read: Reader) -> int | None:
    found = read.whole("stud_count", least=3, most=12)
    if found is not None and found not in USUAL_STUDS:
        read.ask("stud_count", f"{found} studs are unusual", "4, 5, 6 or 8 on most trailers")
    return found


def _torque(read: Reader) -> tuple[str, str]:
    """The least and most of the wheel nut torque; one figure stands for both."""
    low, high = _one_torque(read, "torque_low"), _one_torque(read, "torque_high")
    if low and high and low.value > high.value:
        read.wrong("torque_high", f"{high} is under {low}", "the larger figure here")
    low, high = low or high, high or low
    return low.typed if low else "", high.typed if high else ""


def _one_torque(read: Reader, field: str) -> Quantity | None:
    found = _quantity(read, field, "lbf_ft", TORQUE_LBF_FT)
    for problem in question_torque(field, found) if found else []:
        _note(read, problem)
    return found


def _note(read: Reader, problem: Problem) -> None:
    """A problem of the trade, asked about once where it is only unlikely."""
    if problem.ask:
        read.ask(problem.field, problem.says, problem.accepts)
    else:
        read.problems.append(problem)


def _torque_source(read: Reader) -> str:
    """Where the torque figure came from: asked for with any figure, because a bare figure proves nothing."""
    given = read.raw("torque_low") or read.raw("torque_high")
    missing = "Where the torque figure came from is missing" if given else ""
    if missing and not read.raw("torque_source"):
        read.wrong("torque_source", missing, "the place it was read, such as wheel maker's sheet, or label")
    return read.text("torque_source", most=120)


# Tow vehicle and stay


def _tow(read: Reader) -> TowSaid | None:
    """The tow vehicle, or None where nothing is said of one."""
    fields = ("tow_what", "tow_plate", "tow_rating", "tow_ball")
    if not any(read.raw(field) for field in fields):
        return None
    return TowSaid(
        what=read.text("tow_what", required="What tows it is missing: maker, model, year", most=80),
        plate=read.text("tow_plate", most=20).upper(),
        rating=_plain(read, "tow_rating", "lb", RATING_LB),
        rating_unit=_unit_of(read, "tow_rating", "lb"),
        ball_size=read.choice("tow_ball", Ball) or "",
    )


def _hold_balls_together(read: Reader, arrival: Arrival) -> None:
    """Ask where ball and coupler differ: a small ball lets go of a large coupler."""
    if arrival.tow is None or arrival.unit is None:
        return
    ball, coupler = arrival.tow.ball_size, arrival.unit.ball_size
    if ball and coupler and ball != coupler:
        says = f"The ball is {ball}, the coupler takes {coupler}: a coupler can jump off a wrong ball"
        read.ask("tow_ball", says, "the size stamped on the ball, and on the coupler")


def _stay(read: Reader, on: date, zone: str) -> StaySaid:
    return StaySaid(
        concerns=_concerns(read),
        keys=read.whole("keys", most=20) or 0,
        came_with_spare=read.yes("came_with_spare"),
        came_with_cylinders=read.whole("came_with_cylinders", most=8) or 0,
        came_with=read.text("came_with", most=400, lines=True),
        condition=read.text("condition", most=2000, lines=True),
        stands=read.text("stands", most=40),
        promised_at=_promised(read, on, zone),
        depth=read.choice("depth", Depth) or Depth.FULL,
    )


def _concerns(read: Reader) -> tuple[str, ...]:
    """The owner's words, a line each, as they were said."""
    lines = read.text("concerns", most=4000, lines=True).split("\n")
    found = tuple(line.strip() for line in lines if line.strip())
    if len(found) > MOST_CONCERNS:
        read.wrong("concerns", f"These are {len(found)} concerns", f"at most {MOST_CONCERNS}, a line each")
    return found


def _promised(read: Reader, on: date, zone: str) -> datetime | None:
    day, hour = read.day("promised_day"), _hour(read)
    if day is None:
        return None
    if day < on:
        read.wrong("promised_day", f"{day.isoformat()} is before the unit came", f"{on.isoformat()} or later")
    if day > on + timedelta(days=180):
        read.ask("promised_day", f"{day.isoformat()} is more than half a year away", "a day soon to come")
    return datetime.combine(day, hour, ZoneInfo(zone))


def _hour(read: Reader) -> time:
    typed = read.raw("promised_hour")
    if not typed:
        return CLOSING_TIME
    if found := _TIME.match(typed):
        return time(int(found[1]), int(found[2]))
    read.wrong("promised_hour", f"{typed[:20]} is not a time of day", "hours and minutes, such as 16:00")
    return CLOSING_TIME
